"""A proven cut: what was set, what the part measured, the corrections; and those that a new job may learn from."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from millcalc.cutters.cutter import SUBSTRATES
from millcalc.errors import ArgumentError, Fault, JobError, UnknownNameError
from millcalc.planning.finishing import Plan
from millcalc.planning.inputs import work_material
from millcalc.planning.job import FinishingJob
from millcalc.quantities.kinds import POSITIVE, Count, FeedRate, Length, Ratio, Roughness, SpindleSpeed
from millcalc.quantities.record import Record, entry, number, record

if TYPE_CHECKING:
    from millcalc.planning.roughing.job import RoughingJob

__all__ = ["Proven", "day_of", "proven_for", "proven_of"]

_LIKE = 0.1  # share by which diameters of like cutters differ at most


@record
class Proven(Record):
    """A proven cut: what was cut with what, what was set, what the part measured, and the corrections.

    Parameters
    ----------
    date
        Day of the cut, a date or text such as "2026-03-31"; today's if left out.
    checksum
        Checksum on the page of the job.
    material
        Name of the work material.
    family, substrate
        The cutter's family and tool material, as in a job file.
    diameter [mm]
        Its diameter.
    teeth [1]
        Its teeth.
    spindle_speed [rev/min], feed_rate [mm/min], stepover, point_spacing [mm]
        What was set.
    ra [um]
        Ra measured across the passes.
    ra_factor, time_factor [1]
        Measured over computed Ra, and measured over computed time.
    part, operation, initials, remark
        Words.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.
    """

    date: object = entry(default=None, meaning="day of the cut")
    checksum: str = entry(meaning="checksum on the page of the job")
    material: str = entry(meaning="work material")
    family: str = entry(meaning="the cutter's family")
    diameter: Length = entry(domain=POSITIVE, meaning="the cutter's diameter")
    teeth: Count = entry(default=None, domain=POSITIVE, meaning="the cutter's teeth")
    substrate: str = entry(choices=SUBSTRATES, meaning="tool material")
    spindle_speed: SpindleSpeed = entry(domain=POSITIVE, meaning="spindle speed set")
    feed_rate: FeedRate = entry(domain=POSITIVE, meaning="feed rate set")
    stepover: Length = entry(domain=POSITIVE, meaning="stepover set")
    point_spacing: Length = entry(default=None, domain=POSITIVE, meaning="point spacing set")
    ra: Roughness = entry(domain=POSITIVE, meaning="Ra measured across the passes")
    ra_factor: Ratio = entry(default=None, domain=POSITIVE, meaning="measured over computed Ra")
    time_factor: Ratio = entry(default=None, domain=POSITIVE, meaning="measured over computed time")
    part: str = entry(default="", meaning="the part")
    operation: str = entry(default="", meaning="the operation")
    initials: str = entry(default="", meaning="who proved it")
    remark: str = entry(default="", meaning="what else is to be known")

    def _check(self) -> None:
        object.__setattr__(self, "date", day_of(self.date))
        faults = [
            Fault(n, "''", "it is empty") for n in ("checksum", "material", "family") if not getattr(self, n).strip()
        ]
        if faults:
            raise JobError("Proven cannot be made", faults)


def day_of(given: Any) -> datetime.date:
    """Return a date; none is today's."""
    if given is None:
        return datetime.date.today()
    if isinstance(given, datetime.datetime):
        return given.date()
    if isinstance(given, datetime.date):
        return given
    try:
        return datetime.date.fromisoformat(given.strip())
    except (AttributeError, ValueError):
        fault = Fault("date", repr(given)[:60], "it is no date", "a date, or text: year-month-day", '"2026-03-31"')
        raise JobError("Proven cannot be made", (fault,)) from None


def proven_of(plan: Plan, checksum: str, ra: Any, **more: Any) -> Proven:
    """Return the entry of a plan that was cut as it is: material, cutter and settings from the plan, Ra as measured.

    Parameters
    ----------
    plan
        The plan.
    checksum
        Checksum on the page of the job.
    ra [um]
        Ra measured across the passes; the factor is that over the computed one, if `ra_factor` is not given.
    more
        Further values of `Proven`, also such as were set otherwise than planned.

    Raises
    ------
    ArgumentError
        It is no plan of a finishing cut.
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> from millcalc.planning import example_job, plan
    >>> made = proven_of(plan(example_job()), "d06fa4ee", "0.5 um", date="2026-03-31")
    >>> made.material, round(made.ra_factor, 2)
    ('42CrMo4', 1.3)
    """
    if not isinstance(plan, Plan):
        fault = Fault("plan", repr(plan)[:60], "it is no plan of a finishing cut", "a Plan", "plan(job)")
        raise ArgumentError("no entry can be made", (fault,))
    job = plan.job
    stated = {
        "checksum": checksum,
        "material": work_material(job).designation,
        "family": job.cutter.family,
        "diameter": job.cutter.diameter,  # type: ignore[attr-defined]  # every family states one
        "teeth": job.cutter.teeth,
        "substrate": job.cutter.substrate,
        "spindle_speed": plan.spindle_speed,
        "feed_rate": plan.feed_rate,
        "stepover": plan.stepover_setting,
        "point_spacing": plan.point_spacing,
        "part": job.part,
        "operation": job.operation,
    }
    made = Proven(**stated | {"ra": ra} | more)
    computed = number(plan, "ra")
    if "ra_factor" not in more and computed:
        made = made.with_(ra_factor=number(made, "ra") / computed)
    return made


def proven_for(entries: Iterable[Proven], job: FinishingJob | RoughingJob) -> tuple[Proven, ...]:
    """Return the proven cuts of the same material with a like cutter, the latest first.

    Parameters
    ----------
    entries
        Proven cuts.
    job
        The job at hand.

    Raises
    ------
    ArgumentError
        It is no job, or there are entries that are no proven cuts.

    Notes
    -----
    A like cutter is one of the same family and tool material whose diameter differs by a tenth at most. Names of a
    material that the catalogue knows as one are the same.

    Examples
    --------
    >>> from millcalc.planning import example_job, plan
    >>> made = proven_of(plan(example_job()), "d06fa4ee", "0.5 um").with_(material="1.7225")
    >>> len(proven_for([made, made.with_(diameter="8 mm")], example_job()))
    1
    """
    from millcalc.planning.roughing.job import RoughingJob  # loaded when it is asked, not with the package

    if not isinstance(job, (FinishingJob, RoughingJob)):
        fault = Fault("job", repr(job)[:60], "it is no job", "a FinishingJob or RoughingJob")
        raise ArgumentError("nothing to look for", (fault,))
    entries = tuple(entries)
    odd = [
        Fault(f"entries[{i}]", repr(e)[:60], "it is no proven cut")
        for i, e in enumerate(entries)
        if type(e) is not Proven
    ]
    if odd:
        raise ArgumentError("nothing to look in", odd)
    cutter, work = job.cutter, work_material(job)
    diameter = number(cutter, "diameter")
    found = [
        entry
        for entry in entries
        if entry.family.casefold() == cutter.family.casefold()
        and entry.substrate == cutter.substrate
        and abs(number(entry, "diameter") - diameter) <= _LIKE * diameter * (1.0 + 1e-9)
        and _same_material(entry.material, work)
    ]
    return tuple(sorted(found, key=lambda entry: entry.date, reverse=True))  # type: ignore[arg-type,return-value]


def _same_material(named: str, work: Any) -> bool:
    """Whether a name is one of a material, in the catalogue or as it is written."""
    from millcalc.materials import material  # loaded when it is asked, not with the package

    if named.strip().casefold() in {name.casefold() for name in (work.key, work.designation, *work.names())}:
        return True
    try:
        return bool(material(named).key == work.key)
    except UnknownNameError:
        return False
