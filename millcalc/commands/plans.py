"""Plans of job files, and the files to begin with."""

from __future__ import annotations

from typing import Any

from millcalc.commands._shared import add_job, add_record, add_units, command, given_job, json_text, recorded

__all__ = ["add"]


def add(commands: Any) -> None:
    """Add the words of these commands."""
    text = "Print the plan of a job file as a page."
    made = command(commands, "plan", _plan, text, "millcalc plan job.toml --units inch")
    add_job(made)
    add_units(made)
    add_record(made)
    made.add_argument("--sheet", action="store_true", help="print the whole calculation instead")
    text = "Print a shipped file, to begin your own with."
    made = command(commands, "example", _example, text, "millcalc example route > route.toml")
    kinds = ("finishing", "roughing", "route")
    made.add_argument("kind", nargs="?", default=kinds[0], choices=kinds, help="what it is of; finishing if left out")


def _plan(options: Any) -> str:
    from millcalc.planning import plan
    from millcalc.quantities.display import units
    from millcalc.report import plan_page

    job = given_job(options)
    with units(options.units or job.settings):
        made = plan(job)
        if options.json:
            return json_text(made.as_numbers() | ({"sheet": str(made.sheet())} if options.sheet else {}))
        return str(made.sheet()) if options.sheet else plan_page(made, options.units, recorded(options))


def _example(options: Any) -> str:
    from millcalc.planning import example_route_text, example_text

    text = (example_route_text() if options.kind == "route" else example_text(options.kind)).rstrip("\n")
    return json_text({"job": text}) if options.json else text
