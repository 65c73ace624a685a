"""The roughing job: what is to be cleared in levels, with what, on what, and what shall be left."""

from typing import Any

from millcalc.cutters import Cutter
from millcalc.errors import Fault, JobError
from millcalc.planning.costs import Costs, Wear, contradictions_of_costs
from millcalc.planning.job import both_ends
from millcalc.planning.parts import Machine, Shop
from millcalc.planning.roughing.parts import Pocket, RoughingAssumptions, RoughingCut, RoughingFixed
from millcalc.quantities.record import Record, entry, fields_of, given_fields, number, record

__all__ = ["ROUGHING_TABLES", "RoughingJob", "slopes"]


@record
class RoughingJob(Record):
    """A roughing job.

    Parameters
    ----------
    material
        Name of a work material of the catalogue, or a `Material`.
    pocket, cut, cutter, machine
        What is cleared, how and to which stock, with what, on what.
    fixed, assumed
        Values fixed by the user, assumptions changed by the user.
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

    Examples
    --------
    >>> from millcalc import FlatEndMill, Machine, Pocket, RoughingCut
    >>> job = RoughingJob(
    ...     material="C45",
    ...     pocket=Pocket(width="40 mm", length="70 mm", depth="12 mm"),
    ...     cut=RoughingCut(stock_left="0.3 mm"),
    ...     cutter=FlatEndMill(diameter="12 mm", teeth=4, substrate="coated carbide"),
    ...     machine=Machine(largest_spindle_speed="12000 rpm", largest_feed_rate="8 m/min"),
    ... )
    >>> job.cut.style
    'full width'
    """

    material: object = entry(meaning="work material")
    pocket: Pocket = entry()
    cut: RoughingCut = entry()
    cutter: Cutter = entry()
    machine: Machine = entry()
    fixed: RoughingFixed = entry(default=RoughingFixed())
    assumed: RoughingAssumptions = entry(default=RoughingAssumptions())
    wear: Wear = entry(default=Wear())
    costs: Costs = entry(default=Costs())
    shop: Shop = entry(default=Shop())
    part: str = entry(default="")
    operation: str = entry(default="")
    settings: str = entry(default="metric", choices=("metric", "inch"))

    def _check(self) -> None:
        faults = [*_of_pocket(self), *_of_cut(self), *_of_fixed(self), *contradictions_of_costs(self)]
        if faults:
            raise JobError("the job contradicts itself", faults)


ROUGHING_TABLES = tuple(name for name, field in fields_of(RoughingJob).items() if field.is_record)
"""The parts of a job that are records, tables of a job file."""


def slopes(job: RoughingJob) -> tuple[Any, Any]:
    """Return the slopes [deg] at both ends of the range, or (None, None) for upright walls and a level floor."""
    return both_ends(number(job.pocket, "slope_from"), number(job.pocket, "slope_to"))


def _of_pocket(job: RoughingJob) -> list[Fault]:
    pocket, faults = job.pocket, []
    if number(pocket, "fillet_radius") is not None and number(pocket, "corner_angle") is None:
        reason = "the fillet needs the angle of the corner it is in"
        faults.append(Fault("pocket.corner_angle", "", reason, example='"90 deg"'))
    if slopes(job)[0] is None and "surface_radius" in given_fields(pocket):
        reason = "a radius along the slope needs the slope"
        faults.append(Fault("pocket.slope_from", "", reason, example='"30 deg"'))
    stock, depth = number(job.cut, "stock_left"), number(pocket, "depth")
    if stock >= depth:
        reason = "it is no less than the depth of the pocket"
        faults.append(Fault("cut.stock_left", f"{stock:g} mm", reason, f"below {depth:g} mm", '"0.3 mm"'))
    return faults


def _of_cut(job: RoughingJob) -> list[Fault]:
    cut, faults = job.cut, []
    if "entry" in given_fields(cut) and job.pocket.sides == "open":
        faults.append(Fault("cut.entry", cut.entry, "an open pocket is entered from outside"))
    if number(cut, "slope_step") is not None and slopes(job)[0] is None:
        faults.append(Fault("pocket.slope_from", "", "passes along the slopes need the slope", example='"30 deg"'))
    if "entry" in given_fields(cut) and cut.style == "corners" and job.pocket.sides == "closed":
        reason = "corners are entered from what the larger cutter has cleared"
        faults.append(Fault("cut.entry", cut.entry, reason, "no entry"))
    if number(cut, "slope_step") is not None and cut.style == "corners":
        faults.append(Fault("cut.slope_step", "", "only the corners are cleared, not the slopes"))
    larger, diameter = number(cut, "larger_diameter"), number(job.cutter, "diameter")
    if cut.style != "corners":
        if larger is not None:
            faults.append(Fault("cut.larger_diameter", f"{larger:g} mm", 'it belongs to style = "corners"'))
        return faults
    angle = number(job.pocket, "corner_angle")
    if angle is None:
        reason = "corners are cleared, but their angle is not stated"
        faults.append(Fault("pocket.corner_angle", "", reason, example='"90 deg"'))
    elif angle == 180.0:
        faults.append(Fault("pocket.corner_angle", "180 deg", "walls in line have no corner to clear", "below 180 deg"))
    if larger is None:
        reason = "the diameter of the cutter that went before is missing"
        faults.append(Fault("cut.larger_diameter", "", reason, example='"16 mm"'))
    elif diameter is not None and larger <= diameter:
        reason = f"the cutter that went before must be larger than this one, {diameter:g} mm"
        faults.append(Fault("cut.larger_diameter", f"{larger:g} mm", reason, f"above {diameter:g} mm"))
    return faults


def _of_fixed(job: RoughingJob) -> list[Fault]:
    fixed, faults = job.fixed, []
    if number(fixed, "cutting_speed") is not None and number(fixed, "spindle_speed") is not None:
        faults.append(Fault("fixed", "cutting_speed and spindle_speed", "give one of the two"))
    width = number(fixed, "feed_radial_width")
    if width is not None and number(fixed, "feed_per_tooth") is None:
        reason = "it belongs to a feed_per_tooth, which is missing"
        faults.append(Fault("fixed.feed_radial_width", f"{width:g} mm", reason))
    diameter = number(job.cutter, "diameter")
    width = number(fixed, "radial_width")
    if width is not None and diameter is not None and width > diameter:
        reason = "no cut is wider than the cutter"
        faults.append(Fault("fixed.radial_width", f"{width:g} mm", reason, f"up to the diameter, {diameter:g} mm"))
    return faults
