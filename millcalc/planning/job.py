"""The finishing job: what is to be cut, with what, on what, and how it shall look."""

import numbers
from typing import Any

from millcalc.cutters import Cutter
from millcalc.errors import Fault, JobError
from millcalc.planning.assumed import Assumptions
from millcalc.planning.costs import Costs, Wear, contradictions_of_costs
from millcalc.planning.parts import Axis, Before, Finish, Fixed, Machine, Passes, Shop, Surface
from millcalc.quantities.record import Record, entry, fields_of, given_fields, number, record

__all__ = [
    "FINISHES",
    "SIDE_OF_CUT",
    "TABLES",
    "FinishingJob",
    "both_ends",
    "slope_range",
    "slopes_across",
    "wanted_finish",
]

FINISHES = ("scallop_height", "ra", "rz", "grade")
"""The fields of which a job states exactly one."""

SIDE_OF_CUT = {"climb": "right", "conventional": "left"}
"""Side of the uncut stock, with a right-hand spindle."""


@record
class FinishingJob(Record):
    """A finishing job.

    Parameters
    ----------
    material
        Name of a work material of the catalogue, or a `Material`.
    surface, before, finish, cutter, machine
        What is cut, what the operation before left, what is wanted, with what, on what.
    axis, passes, fixed, assumed
        How the axis stands, the pattern, values fixed by the user, assumptions changed by the user.
    wear, costs
        What is known of the life of an edge, and what machine and cutter cost.
    shop
        Words for the page that the shop pins up.
    part, operation
        Words for the page.
    settings
        "metric" or "inch": the increments to which values are set.

    Raises
    ------
    JobError
        A job that states too little, too much, or things that contradict each other; all are listed.
    """

    material: object = entry(meaning="work material")
    surface: Surface = entry()
    before: Before = entry()
    finish: Finish = entry()
    cutter: Cutter = entry()
    machine: Machine = entry()
    axis: Axis = entry(default=Axis())
    passes: Passes = entry(default=Passes())
    fixed: Fixed = entry(default=Fixed())
    assumed: Assumptions = entry(default=Assumptions())
    wear: Wear = entry(default=Wear())
    costs: Costs = entry(default=Costs())
    shop: Shop = entry(default=Shop())
    part: str = entry(default="")
    operation: str = entry(default="")
    settings: str = entry(default="metric", choices=("metric", "inch"))

    def _check(self) -> None:
        faults = contradictions(self)
        if faults:
            raise JobError("the job contradicts itself", faults)


TABLES = tuple(name for name, field in fields_of(FinishingJob).items() if field.is_record)
"""The parts of a job that are records, tables of a job file."""


def contradictions(job: FinishingJob) -> list[Fault]:
    """Return what the parts of a job state against each other."""
    found = [*_of_finish(job), *_of_axis(job), *_of_passes(job), *_of_before(job), *_of_fixed(job), *_of_assumed(job)]
    return [*found, *contradictions_of_costs(job)]


def _of_finish(job: FinishingJob) -> list[Fault]:
    stated = [n for n in FINISHES if number(job.finish, n) is not None]
    if len(stated) == 1:
        return []
    said = " and ".join(stated) or "none"
    return [Fault("finish", said, "exactly one finish is needed", ", ".join(FINISHES), 'ra = "0.8 um"')]


def wanted_finish(job: FinishingJob) -> str:
    """Return the name of the finish that the job states."""
    return next(n for n in FINISHES if number(job.finish, n) is not None)


def slopes_across(job: FinishingJob) -> bool:
    """Whether the slope runs across the passes; with travel up or down it, passes lie side by side."""
    return job.axis.direction is None or job.axis.travel == "across the slope"


def _of_axis(job: FinishingJob) -> list[Fault]:
    axis, faults = job.axis, list[Fault]()
    leaned = number(axis, "lead") is not None or number(axis, "tilt") is not None
    if leaned and axis.direction is not None:
        reason = "an axis either follows the normal with lead and tilt or keeps a direction"
        faults.append(Fault("axis", "lead or tilt, and direction", reason))
    if axis.direction is not None:
        if not _is_direction(axis.direction):
            accepted = '"vertical" or three numbers, not all zero: downhill, along the slope, up'
            faults.append(Fault("axis.direction", repr(axis.direction), "is no direction", accepted, "[0, 0, 1]"))
        if not _has_slope(job):
            faults.append(Fault("surface.slope_from", "", "a fixed axis needs the slope range", example='"0 deg"'))
    idle = sorted({"travel", "order"} & given_fields(axis)) if axis.direction is None else []
    if idle:
        faults.append(Fault("axis", " and ".join(idle), "it has no effect while the axis follows the normal"))
    return faults


def slope_range(job: FinishingJob) -> tuple[Any, Any]:
    """Return the slopes [deg] of both ends of the range; one that is left out is as the other; none: (None, None)."""
    return both_ends(*(number(job.surface, name) for name in ("slope_from", "slope_to")))


def both_ends(start: Any, end: Any) -> tuple[Any, Any]:
    """Return both ends of a range of which one may be left out."""
    return (end if start is None else start), (start if end is None else end)


def _has_slope(job: FinishingJob) -> bool:
    return slope_range(job)[0] is not None


def _is_direction(direction: object) -> bool:
    if isinstance(direction, str):
        return direction == "vertical"
    if not isinstance(direction, tuple) or len(direction) != 3:
        return False
    real = all(isinstance(d, numbers.Real) and not isinstance(d, bool) for d in direction)
    return real and 1e-6 < max(abs(float(d)) for d in direction) < 1e6


def _of_passes(job: FinishingJob) -> list[Fault]:
    passes, faults = job.passes, []
    if None not in (passes.cut, passes.uncut_side) and SIDE_OF_CUT[passes.cut] != passes.uncut_side:
        reason = "with a right-hand spindle a climb cut has the uncut stock on the right, conventional on the left"
        faults.append(Fault("passes", f"{passes.cut} and uncut_side {passes.uncut_side}", reason))
    if passes.spacing != "along the surface":
        if not _has_slope(job):
            reason = f'spacing "{passes.spacing}" needs the slope of the surface'
            faults.append(Fault("surface.slope_from", "", reason, example='"30 deg"'))
        if not slopes_across(job) and passes.spacing == "step down":
            reason = "passes up and down a slope lie side by side; a step down needs travel across the slope"
            faults.append(Fault("passes.spacing", '"step down"', reason))
    return faults


def _of_before(job: FinishingJob) -> list[Fault]:
    before = job.before
    steps = [n for n in ("previous_stepover", "previous_step_down") if number(before, n) is not None]
    has_ball = number(before, "previous_diameter") is not None
    faults = []
    if len(steps) > 1:
        faults.append(Fault("before", " and ".join(steps), "give one of the two"))
    if bool(steps) != has_ball:
        reason = "its scallops need both the ball's diameter and the stepover or step down"
        faults.append(Fault("before", steps[0] if steps else "previous_diameter", reason))
    if number(before, "stair_thickness") is not None and (steps or has_ball):
        reason = "on the stock stand the scallops of a ball or the stairs of roughing, not both"
        faults.append(Fault("before", "stair_thickness and a ball before", reason))
    if steps == ["previous_step_down"] and not _has_slope(job):
        faults.append(Fault("surface.slope_from", "", "a step down needs the slope", example='"60 deg"'))
    return faults


def _of_fixed(job: FinishingJob) -> list[Fault]:
    fixed, faults = job.fixed, []
    if number(fixed, "cutting_speed") is not None and number(fixed, "spindle_speed") is not None:
        faults.append(Fault("fixed", "cutting_speed and spindle_speed", "give one of the two"))
    width = number(fixed, "feed_radial_width")
    if width is not None and number(fixed, "feed_per_tooth") is None:
        faults.append(
            Fault("fixed.feed_radial_width", f"{width:g} mm", "it belongs to a feed_per_tooth, which is missing")
        )
    return faults


def _of_assumed(job: FinishingJob) -> list[Fault]:
    faults, assumed = [], job.assumed
    shares = [number(assumed, n) for n in ("scallop_share", "feed_mark_share")]
    if None not in shares and sum(shares) > 1.0:
        reason = "the finish can be shared out only once: together they are above 1"
        faults.append(Fault("assumed", "scallop_share and feed_mark_share", reason))
    if number(assumed, "entry_factor") is not None and number(assumed, "entry_length") is not None:
        faults.append(Fault("assumed", "entry_factor and entry_length", "give one of the two"))
    return faults
