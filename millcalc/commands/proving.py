"""Before the first part: a test patch, what assumed values move, and how far the result may be off."""

from __future__ import annotations

from typing import Any

from millcalc.commands._shared import add_job, add_units, command, given_job, json_text
from millcalc.errors import Fault, JobError

__all__ = ["add"]


def add(commands: Any) -> None:
    """Add the words of these commands."""
    for name, run, text in (
        ("patch", _patch, "Print a test patch of a job: three stepovers on a strip, and what each should measure."),
        ("sensitivity", _sensitivity, "Print by how much each assumed value of a job moves time, scallop and load."),
        ("spread", _spread, "Print the results of a job as ranges, and the chance of holding finish and form."),
    ):
        made = command(commands, name, run, text, f"millcalc {name} job.toml")
        add_job(made)
        add_units(made)


def finishing(options: Any, what: str) -> Any:
    """Return the finishing job that is asked for."""
    from millcalc.planning import FinishingJob

    job = given_job(options)
    if not isinstance(job, FinishingJob):
        raise JobError(f"no {what}", (Fault("command line", options.job, f"only a finishing job has a {what}"),))
    return job


def _patch(options: Any) -> str:
    from millcalc.planning import test_patch
    from millcalc.quantities.record import fields_of, number
    from millcalc.report import patch_page

    made = test_patch(finishing(options, "test patch"))
    if options.json:
        rows = [{n: number(f, n) for n in fields_of(f)} for f in made.fields]
        return json_text({"width": number(made, "width"), "length": number(made, "length"), "fields": rows})
    return patch_page(made, options.units)


def _sensitivity(options: Any) -> str:
    from millcalc.planning import sensitivity
    from millcalc.report import sensitivity_page

    found = sensitivity(given_job(options))
    if options.json:
        rows = {
            e.name: {"value": e.value, "low": e.low, "high": e.high, "ends": e.ends, "slopes": e.slopes}
            for e in found.effects
        }
        return json_text(rows)
    return sensitivity_page(found, options.units)


def _spread(options: Any) -> str:
    from millcalc.planning import spread
    from millcalc.quantities.display import units

    job = finishing(options, "spread")
    found = spread(job)
    if options.json:
        rows = {r.name: {"planned": r.planned, "low": r.low, "middle": r.middle, "high": r.high} for r in found.rows}
        return json_text(rows | {"chance_of_finish": found.chance_of_finish, "chance_of_form": found.chance_of_form})
    with units(options.units or job.settings):
        return f"RANGES: one case in ten lies below, one above\n{found}"
