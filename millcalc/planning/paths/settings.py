"""What a path is cut with: the record that the user fills in, and the numbers that the passes over the points take."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import attrs
import numpy as np

from millcalc.cutters.built_in import BallEndMill
from millcalc.cutters.cutter import Cutter
from millcalc.errors import Fault, JobError
from millcalc.formulas import ball, scallops
from millcalc.planning.assumed import MACHINE_CLASSES, Assumed
from millcalc.planning.parts import Machine
from millcalc.quantities.kinds import (
    CHORD_ERROR,
    POSITIVE,
    ChipThickness,
    ChordError,
    Count,
    CuttingSpeed,
    FeedPerTooth,
    Interval,
    Length,
    Radius,
    SpindleSpeed,
    Stress,
)
from millcalc.quantities.record import Record, entry, number, record

if TYPE_CHECKING:
    from millcalc.materials import Material

__all__ = ["PathCut", "Settings", "settings_of"]

CORNER_TOLERANCE = Assumed("corner_tolerance", 10.0, CHORD_ERROR, "not stated in the cut; common practice")
_SHADES = ("full width", "beside the pass")


@record
class PathCut(Record):
    """How a path is cut: depth, stepover, speed, feed, and what the control does at corners.

    Parameters
    ----------
    normal_depth [mm]
        Stock along the surface normal, above 0; left out where the path states it at each point.
    stepover [mm]
        Distance to the pass before, along the surface; left out: a full-width cut, without scallop and load.
    radius_across [mm]
        Radius of the surface across the passes: convex positive, concave negative, "flat" by default.
    spindle_speed [rev/min], cutting_speed [m/min]
        One of the two: a fixed spindle speed, or a cutting speed that the spindle keeps at the contact.
    feed_per_tooth, chip_thickness [mm]
        One of the two: a feed per tooth at the contact, or the largest chip that the feed keeps.
    uncut_side
        Side of the travel on which the stock still stands: "left" or "right".
    engagement
        What the cutting diameters are taken over: "full width", the whole part below the stock plane that leads, which
        holds for the first pass and bounds all others, or "beside the pass", found by a search at each point.
    programmed_point
        The point whose positions the path states: "tip" or "ball centre".
    corner_tolerance [um]
        How far the control may round a corner off; 10 um are assumed.
    look_ahead [1]
        How many moves beyond the one it runs the control knows; left out: all.
    least_cutting_speed [m/min]
        Cutting speed below which an edge rubs: points whose slowest edge falls below are counted.
    specific_force [N/mm^2]
        Specific cutting force, for the power; left out: that of the material, where one is given.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> print(PathCut(normal_depth="0.2 mm", spindle_speed="8000 rpm", feed_per_tooth="0.1 mm").feed_per_tooth)
    0.1 millimeter
    """

    normal_depth: Length = entry(default=None, domain=POSITIVE, meaning="stock along the surface normal")
    stepover: Length = entry(default=math.inf, domain=Interval(0.0, low_open=True), meaning="to the pass before")
    radius_across: Radius = entry(default=math.inf, words={"flat": math.inf}, meaning="radius across the passes")
    spindle_speed: SpindleSpeed = entry(default=None, domain=POSITIVE, meaning="fixed spindle speed")
    cutting_speed: CuttingSpeed = entry(default=None, domain=POSITIVE, meaning="cutting speed kept at the contact")
    feed_per_tooth: FeedPerTooth = entry(default=None, domain=POSITIVE, meaning="feed per tooth at the contact")
    chip_thickness: ChipThickness = entry(default=None, domain=POSITIVE, meaning="largest chip that the feed keeps")
    uncut_side: str = entry(default="right", choices=("left", "right"), meaning="side of the stock that still stands")
    engagement: str = entry(default=_SHADES[0], choices=_SHADES, meaning="what the cutting diameters are taken over")
    programmed_point: str = entry(default="tip", choices=("tip", "ball centre"))
    corner_tolerance: ChordError = entry(default=None, domain=POSITIVE, meaning="how far corners may be rounded off")
    look_ahead: Count = entry(default=None, domain=Interval(1.0, 100_000.0), meaning="moves known beyond the one run")
    least_cutting_speed: CuttingSpeed = entry(default=None, domain=POSITIVE, meaning="speed below which an edge rubs")
    specific_force: Stress = entry(default=None, domain=POSITIVE, meaning="specific cutting force")

    def _check(self) -> None:
        faults = [
            Fault(f"{a}, {b}", "both" if _given(self, a) else "", "one of the two is to be stated", example=example)
            for a, b, example in (
                ("spindle_speed", "cutting_speed", 'spindle_speed = "8000 rpm"'),
                ("feed_per_tooth", "chip_thickness", 'feed_per_tooth = "0.1 mm"'),
            )
            if _given(self, a) == _given(self, b)
        ]
        if self.engagement == _SHADES[1] and math.isinf(number(self, "stepover")):
            faults.append(Fault("stepover", "", "the pass before is one stepover away", example='"0.3 mm"'))
        if faults:
            raise JobError("PathCut cannot be made", faults)


def _given(held: Record, name: str) -> bool:
    return number(held, name) is not None


@attrs.frozen(eq=False)
class Settings:
    """Numbers of the passes: mm, s, rad; speeds of cutting and spindle in trade units."""

    cutter: Cutter
    diameter: float
    teeth: float
    is_ball: bool
    depth: float | None
    stepover: float
    radius_across: float
    spindle_speed: float | None
    cutting_speed: float | None
    largest_spindle_speed: float
    feed_per_tooth: float | None
    chip_thickness: float | None
    uncut_side: str
    beside: bool
    on_tip: bool
    corner_tolerance: float
    look_ahead: int | None
    least_speed: float | None
    specific_force: float | None
    kienzle: tuple[float, float] | None
    acceleration: float
    block_time: float
    largest_feed: float
    rapid: float
    rotary_rate: float | None
    rotary_distance: float | None
    assumed: tuple[Assumed, ...]
    turning: bool
    """Whether the tool axis is stated at each point."""

    @property
    def load_wanted(self) -> bool:
        """Whether the cutting power can be told."""
        return self.stepover < math.inf and (self.specific_force is not None or self.kienzle is not None)

    @property
    def followed(self) -> float:
        """Spindle speed by the diameter at the contact that it follows, 0 where it is fixed."""
        return 0.0 if self.cutting_speed is None else 1000.0 * self.cutting_speed / math.pi

    def engaged(self, depth: Any) -> Any:
        """Depth on a plane that engages as much of a ball across; of other forms the depth itself."""
        if not self.is_ball or math.isinf(self.radius_across):
            return depth
        return ball.engaged_depth.bare(self.diameter, depth, self.radius_across)


def settings_of(
    cutter: Cutter, machine: Machine, cut: PathCut, material: Material | str | None, own_depth: bool, turning: bool
) -> Settings:
    """Return the numbers of a path's passes.

    Raises
    ------
    JobError
        What is missing or contradictory; all is listed.
    """
    machine_numbers, assumed = _of_machine(machine)
    speeds = [number(machine, "largest_spindle_speed"), number(machine, "holder_spindle_speed")]
    fastest = min(s for s in (*speeds, number(cutter, "rated_spindle_speed")) if s is not None)
    _check(cutter, cut, fastest, own_depth)
    tolerance, look = number(cut, "corner_tolerance"), number(cut, "look_ahead")
    if tolerance is None:
        tolerance, assumed = CORNER_TOLERANCE.value, (*assumed, CORNER_TOLERANCE)
    force, kienzle = _force(cut, material)
    return Settings(
        cutter=cutter,
        diameter=number(cutter, "diameter"),
        teeth=number(cutter, "teeth"),
        is_ball=isinstance(cutter, BallEndMill),
        depth=number(cut, "normal_depth"),
        stepover=number(cut, "stepover"),
        radius_across=number(cut, "radius_across"),
        spindle_speed=number(cut, "spindle_speed"),
        cutting_speed=number(cut, "cutting_speed"),
        largest_spindle_speed=fastest,
        feed_per_tooth=number(cut, "feed_per_tooth"),
        chip_thickness=number(cut, "chip_thickness"),
        uncut_side=cut.uncut_side,
        beside=cut.engagement == _SHADES[1],
        on_tip=cut.programmed_point == "tip",
        corner_tolerance=tolerance / 1000.0,
        look_ahead=None if look is None else int(look),
        least_speed=number(cut, "least_cutting_speed"),
        specific_force=force,
        kienzle=kienzle,
        assumed=assumed,
        turning=turning,
        **machine_numbers,
    )


def _of_machine(machine: Machine) -> tuple[dict[str, Any], tuple[Assumed, ...]]:
    known, assumed = {}, []
    for name, row in MACHINE_CLASSES[machine.kind].items():
        known[name] = number(machine, name)
        if known[name] is None:
            known[name] = row.value
            assumed.append(row)
    rate, distance = number(machine, "rotary_rate"), number(machine, "rotary_distance")
    gauge = number(machine, "gauge_length")
    return {
        "acceleration": known["acceleration"],
        "block_time": known["block_time"] / 1000.0,
        "largest_feed": number(machine, "largest_feed_rate") / 60.0,
        "rapid": known["rapid_rate"] / 60.0,
        "rotary_rate": None if rate is None else math.radians(rate),
        "rotary_distance": distance if gauge is None else distance + gauge,
    }, tuple(assumed)


def _check(cutter: Cutter, cut: PathCut, fastest: float, own_depth: bool) -> None:
    faults, spindle, depth = [], number(cut, "spindle_speed"), number(cut, "normal_depth")
    if spindle is not None and spindle > fastest:
        reason = f"machine, holder or cutter allow {fastest:g} rev/min"
        faults.append(Fault("spindle_speed", f"{spindle:g} rev/min", reason))
    if own_depth and depth is not None:
        faults.append(Fault("normal_depth", f"{depth:g} mm", "the path states it at each point, too"))
    if not own_depth and depth is None:
        reason = "neither the cut nor the path states the stock along the normal"
        faults.append(Fault("normal_depth", "", reason, example='"0.2 mm"'))
    ball_cut = isinstance(cutter, BallEndMill)
    if not ball_cut and cut.programmed_point != "tip":
        faults.append(Fault("programmed_point", repr(cut.programmed_point), "only a ball has a centre", '"tip"'))
    if ball_cut:
        faults += _of_surface(number(cutter, "diameter"), depth or 0.0, number(cut, "radius_across"), cut)
    if faults:
        raise JobError("the path cannot be evaluated", faults)


def _of_surface(diameter: float, depth: float, radius: float, cut: PathCut) -> list[Fault]:
    """Faults of a ball and the surface across its passes."""
    if np.isnan(ball.engaged_depth.bare(diameter, depth, radius)):
        return [Fault("radius_across", f"{radius:g} mm", "the ball does not fit into the surface")]
    stepover = number(cut, "stepover")
    if math.isfinite(stepover) and np.isnan(scallops.scallop_height.bare(diameter, stepover, radius)):
        accepted = f"on a plane at most the diameter, {diameter:g} mm; left out for a cut over the full width"
        return [Fault("stepover", f"{stepover:g} mm", "the passes do not meet", accepted, '"0.3 mm"')]
    return []


def _force(cut: PathCut, material: Material | str | None) -> tuple[float | None, tuple[float, float] | None]:
    """Return the specific force, or the constants of the law of Kienzle."""
    stated = number(cut, "specific_force")
    if stated is not None or material is None:
        return stated, None
    from millcalc.materials import Material
    from millcalc.materials import material as named

    work = material if isinstance(material, Material) else named(material)
    if work.kienzle:
        return None, (work.kienzle[0].kc11, work.kienzle[0].mc)
    if work.specific_energy:
        return 1000.0 * work.specific_energy[0].middle, None
    return None, None
