"""What commands have in common: options, the job they ask for, `name=value` pairs, JSON."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import Any

from millcalc.errors import ArgumentError, Fault, JobError

__all__ = [
    "add_job",
    "add_record",
    "add_units",
    "command",
    "given_job",
    "given_text",
    "json_text",
    "pairs",
    "plain",
    "recorded",
    "values",
]


def command(commands: Any, name: str, run: Any, text: str, example: str) -> Any:
    made = commands.add_parser(name, help=text, description=text, epilog=f"example: {example}")
    made.set_defaults(run=run)
    made.add_argument("--json", action="store_true", help="print JSON, numbers in metric trade units")
    return made


def add_units(command: Any) -> None:
    command.add_argument("--units", choices=("metric", "inch"), help="units of the page; those of the job if left out")


def add_job(command: Any) -> None:
    command.add_argument("job", nargs="?", help="job file (TOML)")
    command.add_argument("--example", action="store_true", help="use the job file that is shipped")


def add_record(made: Any) -> None:
    made.add_argument("--record", metavar="file", help="the shop's record of proven cuts; one like this is shown")


def recorded(options: Any) -> tuple[Any, ...]:
    """Return the proven cuts of the record that is named, none without one."""
    from millcalc.planning import read_proven

    return read_proven(options.record) if options.record else ()


def given_job(options: Any) -> Any:
    from millcalc.planning import example_job, read_job

    if options.example and options.job and "=" not in options.job:
        raise JobError("two jobs", (Fault("command line", options.job, "give a job file or --example, not both"),))
    if options.example:
        return example_job()
    if not options.job or "=" in options.job:
        raise JobError("no job", (Fault("command line", "", "a job file is needed", "a path, or --example"),))
    return read_job(options.job)


def values(text: str) -> list[Any]:
    """Return the values of a list; a plain number stays one, for fields without a unit."""
    return [plain(part.strip()) for part in text.split(",")]


def plain(text: str) -> Any:
    try:
        return float(text)
    except ValueError:
        return text


def pairs(given: Sequence[str], example: str) -> list[tuple[str, str]]:
    pairs = [(name.strip(), value.strip()) for name, _, value in (text.partition("=") for text in given)]
    faults = [Fault(text, "", "it is not name=value", example=example) for text in given if "=" not in text]
    names = [name for name, _ in pairs]
    faults += [Fault(name, "", "it is given twice") for name in dict.fromkeys(names) if names.count(name) > 1]
    if faults:
        raise ArgumentError("the command line cannot be read", faults)
    return pairs


def given_text(options: Any) -> str:
    """Return the text of the job file that is asked for, whose checksum a page carries."""
    from millcalc.planning import example_text
    from millcalc.planning.reading import file_text

    return example_text() if options.example else file_text(options.job)


def json_text(value: Any) -> str:
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
