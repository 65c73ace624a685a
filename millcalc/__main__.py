"""The command line: reads a job file or values, prints plans, comparisons, sheets and lists."""

import argparse
import json
import math
import os
import sys
import warnings
from collections.abc import Sequence
from typing import Any, NoReturn

from millcalc.errors import ArgumentError, Fault, JobError, MillcalcError, UnknownNameError, nearest

__all__ = ["main"]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit status: 0, or 2 when the input cannot be used."""
    warnings.showwarning = _warning_line
    options = _options(arguments)
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="backslashreplace")  # a page is printed, whatever the terminal can show
    try:
        print(options.run(options))
        sys.stdout.flush()
    except MillcalcError as error:
        print(f"millcalc: {_in_file(options, _line(error))}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        # the reader, head or a pager, has seen enough
        _drop_output()
    except OSError as error:
        _drop_output()
        print(f"millcalc: the output cannot be written: {error.strerror}", file=sys.stderr)
        return 2
    return 0


def _drop_output() -> None:
    """Send what is still to be printed nowhere, so that closing the program does not fail on it."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _options(arguments: Sequence[str] | None) -> Any:
    """Read the arguments; fields may stand behind options, too, which argparse alone does not read."""
    parser = _parser()
    options, left = parser.parse_known_args(arguments)
    fields = [word for word in left if "=" in word and not word.startswith("-")]
    strange = [word for word in left if word not in fields]
    if strange or (fields and not hasattr(options, "fields")):
        parser.error(f"unrecognized arguments: {' '.join(strange or fields)}")
    if fields:
        options.fields = [*options.fields, *fields]
    return options


def _line(error: MillcalcError) -> str:
    """Write an error with all its faults in one line."""
    return ": ".join(w for w in (error.headline, "; and ".join(map(str, error.faults))) if w)


def _in_file(options: Any, line: str) -> str:
    """Name the job file, where the error does not."""
    name = getattr(options, "job", None)
    return line if not name or "=" in name or name in line else f"{name}: {line}"


class _Parser(argparse.ArgumentParser):
    """A parser whose errors are one line, too."""

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"millcalc: {message} ({self.prog} --help shows how)\n")


def _warning_line(message: Any, *_: Any, **__: Any) -> None:
    print(f"millcalc: note: {message}", file=sys.stderr)


def _parser() -> _Parser:
    parser = _Parser(
        prog="millcalc",
        description="Plan roughing and finishing cuts, with a cutter of any form, before a tool path is computed.",
        epilog="example: millcalc plan --example",
    )
    commands = parser.add_subparsers(required=True, metavar="command")
    _add_plan(commands)
    _add_page(commands)
    _add_route(commands)
    _add_compare(commands)
    _add_sheet(commands)
    _add_lists(commands)
    return parser


def _command(commands: Any, name: str, run: Any, text: str, example: str) -> Any:
    made = commands.add_parser(name, help=text, description=text, epilog=f"example: {example}")
    made.set_defaults(run=run)
    made.add_argument("--json", action="store_true", help="print JSON, numbers in metric trade units")
    return made


def _add_units(command: Any) -> None:
    command.add_argument("--units", choices=("metric", "inch"), help="units of the page; those of the job if left out")


def _add_job(command: Any) -> None:
    command.add_argument("job", nargs="?", help="job file (TOML)")
    command.add_argument("--example", action="store_true", help="use the job file that is shipped")


def _add_plan(commands: Any) -> None:
    text = "Print the plan of a job file as a page."
    command = _command(commands, "plan", _plan, text, "millcalc plan job.toml --units inch")
    _add_job(command)
    _add_units(command)
    command.add_argument("--sheet", action="store_true", help="print the whole calculation instead")
    text = "Print a shipped file, to begin your own with."
    command = _command(commands, "example", _example, text, "millcalc example route > route.toml")
    kinds = ("finishing", "roughing", "route")
    command.add_argument(
        "kind", nargs="?", default=kinds[0], choices=kinds, help="what it is of; finishing if left out"
    )


def _add_page(commands: Any) -> None:
    text = "Print the page of a job that the shop pins up: what to set, what to expect, how to prove it."
    command = _command(commands, "page", _page, text, "millcalc page job.toml --html > page.html")
    _add_job(command)
    _add_units(command)
    command.add_argument("--html", action="store_true", help="as HTML that stands alone and prints on one sheet")


def _add_route(commands: Any) -> None:
    text = "Print the plan of a route file; what it leaves open is searched for in its drawer."
    command = _command(commands, "route", _route, text, "millcalc route route.toml")
    command.add_argument("job", nargs="?", metavar="route", help="route file (TOML)")
    command.add_argument("--example", action="store_true", help="use the route file that is shipped")
    command.add_argument("--operation", help="print the whole plan of one operation, by its name or number")
    _add_units(command)


def _add_compare(commands: Any) -> None:
    text = "Print a table of plans with one or more fields varied."
    example = 'millcalc compare job.toml "stepover=0.1 mm, 0.2 mm" "diameter=6 mm, 8 mm"'
    command = _command(commands, "compare", _compare, text, example)
    _add_job(command)
    command.add_argument("fields", nargs="*", metavar="field=values", help="a field of the job and its values")
    command.add_argument("--in-step", action="store_true", help="take the values together, row by row")
    command.add_argument("--before", action="store_true", help="put the operation before as row 0")
    command.add_argument("--base", type=int, default=0, help="row that the multiples refer to")
    _add_units(command)


def _add_sheet(commands: Any) -> None:
    text = "Print one formula with numbers put in, its result, validity and source."
    example = 'millcalc sheet cutting_speed "diameter=10 mm" "spindle_speed=8000 rpm"'
    command = _command(commands, "sheet", _sheet, text, example)
    command.add_argument("formula", help="name of a formula")
    command.add_argument("values", nargs="*", metavar="name=value", help="a parameter and its value")
    _add_units(command)


def _add_lists(commands: Any) -> None:
    _command(commands, "formulas", _formulas, "List the formulas.", "millcalc formulas")
    command = _command(commands, "materials", _materials, "List the materials, or show one.", "millcalc materials C45")
    command.add_argument("name", nargs="?", help="any name of a material")
    text = "List the families of cutters with their parameters, or show one."
    command = _command(commands, "cutters", _cutters, text, 'millcalc cutters "corner radius"')
    command.add_argument("name", nargs="?", help="the word of a family")


def _job(options: Any) -> Any:
    from millcalc.planning import example_job, read_job

    if options.example and options.job and "=" not in options.job:
        raise JobError("two jobs", (Fault("command line", options.job, "give a job file or --example, not both"),))
    if options.example:
        return example_job()
    if not options.job or "=" in options.job:
        raise JobError("no job", (Fault("command line", "", "a job file is needed", "a path, or --example"),))
    return read_job(options.job)


def _plan(options: Any) -> str:
    from millcalc.planning import plan
    from millcalc.quantities.display import units
    from millcalc.report import plan_page

    job = _job(options)
    with units(options.units or job.settings):
        made = plan(job)
        if options.json:
            return _json(made.as_numbers() | ({"sheet": str(made.sheet())} if options.sheet else {}))
        return str(made.sheet()) if options.sheet else plan_page(made, options.units)


def _example(options: Any) -> str:
    from millcalc.planning import example_route_text, example_text

    text = (example_route_text() if options.kind == "route" else example_text(options.kind)).rstrip("\n")
    return _json({"job": text}) if options.json else text


def _page(options: Any) -> str:
    from millcalc.planning import example_text, plan
    from millcalc.planning.reading import file_text
    from millcalc.report import page_html, page_of, page_text

    made = plan(_job(options))
    page = page_of(made, options.units, example_text() if options.example else file_text(options.job))
    if options.json:
        import attrs

        return _json(
            attrs.asdict(page, filter=lambda field, _: field.name != "kind")
            | {"cautions": list(map(str, page.cautions))}
        )
    return page_html(page) if options.html else page_text(page)


def _route(options: Any) -> str:
    from millcalc.planning import example_route, plan_route, read_route, search_drawer
    from millcalc.quantities.display import units
    from millcalc.report import front_page, plan_page, route_page

    if bool(options.job) == options.example:
        what = "a route file is needed" if not options.job else "give a route file or --example, not both"
        raise JobError("no route", (Fault("command line", options.job or "", what, "a path, or --example"),))
    route = example_route() if options.example else read_route(options.job)
    with units(options.units or route.settings):
        found = search_drawer(route) if route.is_open else None
        made = found.best if found else plan_route(route)
        if options.operation:
            one = _operation(made, options.operation)
            return _json(one.as_numbers()) if options.json else plan_page(one, options.units)
        if options.json:
            return _json((found or made).as_numbers())
        return front_page(found, options.units) if found else route_page(made, options.units)


def _operation(made: Any, asked: str) -> Any:
    """Return the plan of an operation by its name or its number."""
    names = [n.casefold() for n in made.names]
    word = asked.strip().casefold()
    if word.isdecimal() and 0 < int(word) <= len(names):
        return made.plans[int(word) - 1]
    if word not in names:
        raise UnknownNameError(f"the route has no operation {asked!r}; it has {', '.join(made.names)}")
    return made.plans[names.index(word)]


def _compare(options: Any) -> str:
    from millcalc.planning import FinishingJob, compare
    from millcalc.report import comparison_page

    given = list(options.fields)
    if options.job and "=" in options.job:
        given.insert(0, options.job)
    fields = {name: _values(values) for name, values in _pairs(given, "stepover=0.1 mm, 0.2 mm")}
    if not fields:
        raise JobError(
            "nothing to compare", (Fault("command line", "", "a field is needed", example="stepover=0.1 mm"),)
        )
    job = _job(options)
    if not isinstance(job, FinishingJob):
        raise JobError("nothing to compare", (Fault("command line", options.job, "only finishing jobs are compared"),))
    table = compare(job, in_step=options.in_step, base=options.base, before=options.before, **fields)
    return _json(table.as_rows()) if options.json else comparison_page(table, options.units)


def _values(text: str) -> list[Any]:
    """Return the values of a list; a plain number stays one, for fields without a unit."""
    return [_plain(part.strip()) for part in text.split(",")]


def _plain(text: str) -> Any:
    try:
        return float(text)
    except ValueError:
        return text


def _pairs(given: Sequence[str], example: str) -> list[tuple[str, str]]:
    pairs = [(name.strip(), value.strip()) for name, _, value in (text.partition("=") for text in given)]
    faults = [Fault(text, "", "it is not name=value", example=example) for text in given if "=" not in text]
    names = [name for name, _ in pairs]
    faults += [Fault(name, "", "it is given twice") for name in dict.fromkeys(names) if names.count(name) > 1]
    if faults:
        raise ArgumentError("the command line cannot be read", faults)
    return pairs


def _sheet(options: Any) -> str:
    from millcalc.formulas import all_formulas
    from millcalc.quantities.display import units

    found = all_formulas()
    if options.formula not in found:
        raise UnknownNameError(f"no formula has the name {options.formula!r}{nearest(options.formula, found)}")
    chosen = found[options.formula]
    given = {name: _plain(value) for name, value in _pairs(options.values, "diameter=10 mm")}
    with units(options.units or "metric"):
        sheet = chosen.sheet(**given)
        if options.json:
            step = sheet.steps[0]
            return _json({"formula": options.formula, "numbers": list(step.numbers), "result": step.result})
        return str(sheet)


def _formulas(options: Any) -> str:
    from millcalc.formulas import all_formulas

    found = all_formulas()
    if options.json:
        rows = {n: {"parameters": [p.name for p in f.parameters], "expression": f.expression} for n, f in found.items()}
        return _json(rows)
    wide = max(map(len, found))
    first_lines = {n: (f.__doc__ or "").splitlines()[0] for n, f in found.items()}
    return "\n".join(f"{name:<{wide}}  {line.removeprefix('Return ')}" for name, line in first_lines.items())


def _materials(options: Any) -> str:
    from millcalc.materials import material, materials
    from millcalc.report.lists import material_text

    if options.name:
        found = material(options.name)
        return _json(_material_rows(found)) if options.json else material_text(found)
    rows = [(key, material(key)) for key in materials()]
    if options.json:
        return _json({key: {"name": m.name, "iso513": m.iso513} for key, m in rows})
    wide = max(len(key) for key, _ in rows)
    return "\n".join(f"{key:<{wide}}  {m.iso513:<4}  {m.name}" for key, m in rows)


def _cutters(options: Any) -> str:
    from millcalc.cutters.catalogue import families, family, word_of
    from millcalc.report.lists import cutters_text

    listed = families()
    if options.name:
        word = word_of(family(options.name))
        listed = {word: listed[word]}
    if options.json:
        import attrs

        return _json({word: attrs.asdict(shown) for word, shown in listed.items()})
    return cutters_text(listed, alone=bool(options.name))


def _material_rows(shown: Any) -> dict[str, Any]:
    import attrs

    rows: dict[str, Any] = attrs.asdict(shown)
    return rows


def _json(value: Any) -> str:
    return json.dumps(_finite(value), indent=2, ensure_ascii=False)


def _finite(value: Any) -> Any:
    """Return a value that JSON can hold: infinity and NaN, which it has not, become null."""
    if isinstance(value, dict):
        return {key: _finite(v) for key, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [_finite(v) for v in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


if __name__ == "__main__":
    sys.exit(main())
