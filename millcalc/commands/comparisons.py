"""Tables of plans with fields varied."""

from __future__ import annotations

from typing import Any

from millcalc.commands._shared import add_job, add_units, command, given_job, json_text, pairs, values
from millcalc.errors import Fault, JobError

__all__ = ["add"]


def add(commands: Any) -> None:
    """Add the words of these commands."""
    text = "Print a table of plans with one or more fields varied."
    example = 'millcalc compare job.toml "stepover=0.1 mm, 0.2 mm" "diameter=6 mm, 8 mm"'
    made = command(commands, "compare", _compare, text, example)
    add_job(made)
    made.add_argument("fields", nargs="*", metavar="field=values", help="a field of the job and its values")
    made.add_argument("--in-step", action="store_true", help="take the values together, row by row")
    made.add_argument("--before", action="store_true", help="put the operation before as row 0")
    made.add_argument("--base", type=int, default=0, help="row that the multiples refer to")
    add_units(made)


def _compare(options: Any) -> str:
    from millcalc.planning import FinishingJob, compare
    from millcalc.report import comparison_page

    given = list(options.fields)
    if options.job and "=" in options.job:
        given.insert(0, options.job)
    fields = {name: values(listed) for name, listed in pairs(given, "stepover=0.1 mm, 0.2 mm")}
    if not fields:
        raise JobError(
            "nothing to compare", (Fault("command line", "", "a field is needed", example="stepover=0.1 mm"),)
        )
    job = given_job(options)
    if not isinstance(job, FinishingJob):
        raise JobError("nothing to compare", (Fault("command line", options.job, "only finishing jobs are compared"),))
    table = compare(job, in_step=options.in_step, base=options.base, before=options.before, **fields)
    return json_text(table.as_rows()) if options.json else comparison_page(table, options.units)
