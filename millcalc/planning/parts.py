"""The parts of a finishing job: surface, axis, passes, what was left before, finish, machine, fixed values."""

import math
from collections.abc import Iterable

from millcalc.errors import Fault, JobError
from millcalc.planning.drive import drive_points
from millcalc.quantities.kinds import (
    ONE_OR_MORE,
    POSITIVE,
    Acceleration,
    Angle,
    BlockTime,
    Count,
    CuttingSpeed,
    FeedPerTooth,
    FeedRate,
    Force,
    Grade,
    Interval,
    Length,
    Power,
    Radius,
    RotaryRate,
    Roughness,
    ScallopHeight,
    SpindleSpeed,
    Stiffness,
    TiltingStiffness,
    Torque,
)
from millcalc.quantities.record import Record, entry, number, record

__all__ = ["Axis", "Before", "Finish", "Fixed", "Machine", "Passes", "Shop", "Surface"]

_SLOPE = Interval(0.0, 90.0)
_LEAN = Interval(-90.0, 90.0, low_open=True, high_open=True)
_FLAT = {"flat": math.inf}


@record
class Surface(Record):
    """The surface.

    Parameters
    ----------
    width, length [mm]
        Width across the passes and length along the feed, both along the surface, above 0.
    radius_across, radius_along [mm]
        Radii across the passes and along the feed: convex positive, concave negative, "flat" by default.
    slope_from, slope_to [deg]
        Slopes at the ends of the range, 0 to 90, in either order; one alone stands for both.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> print(Surface(width="60 mm", length="80 mm", radius_along="-120 mm").radius_along)
    -120.0 millimeter
    """

    width: Length = entry(domain=POSITIVE, meaning="width across the passes, along the surface")
    length: Length = entry(domain=POSITIVE, meaning="length along the feed")
    radius_across: Radius = entry(default=math.inf, words=_FLAT, meaning="radius across the passes")
    radius_along: Radius = entry(default=math.inf, words=_FLAT, meaning="radius along the feed")
    slope_from: Angle = entry(default=None, domain=_SLOPE, meaning="slope at one end of the range")
    slope_to: Angle = entry(default=None, domain=_SLOPE, meaning="slope at the other end")


@record
class Axis(Record):
    """How the axis stands: following the surface normal with lead and tilt, or fixed in a direction.

    Parameters
    ----------
    lead, tilt [deg]
        Lean toward the feed, turned first, and across it, positive to the left; between -90 and 90.
    direction
        "vertical", or components downhill, along the slope and up; instead of lead and tilt.
    travel, order
        For a fixed axis: "across the slope", "up the slope" or "down the slope"; passes "downward" or "upward".
    way_back
        Whether the axis keeps its direction in space on the way back ("axis kept") or its lean ("lean kept").
    programmed_point
        The point whose path and feed rate the program states: "tip" or "ball centre".

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> print(Axis(lead="15 deg").lead)
    15.0 degree
    """

    lead: Angle = entry(default=None, domain=_LEAN, meaning="lean toward the feed, turned first")
    tilt: Angle = entry(default=None, domain=_LEAN, meaning="lean across the feed, positive to the left")
    direction: object = entry(default=None, meaning='"vertical", or components [downhill, along, up]')
    travel: str = entry(default="across the slope", choices=("across the slope", "up the slope", "down the slope"))
    order: str = entry(default="downward", choices=("downward", "upward"), meaning="which passes come first")
    way_back: str = entry(default="axis kept", choices=("axis kept", "lean kept"))
    programmed_point: str = entry(default="tip", choices=("tip", "ball centre"))

    def _check(self) -> None:
        direction = self.direction
        if isinstance(direction, str):
            direction = direction.strip().casefold()
        elif isinstance(direction, Iterable):
            direction = tuple(direction)
        object.__setattr__(self, "direction", direction)

    def components(self) -> tuple[float, ...]:
        """Return the components downhill, along the slope and up; an axis without a direction counts as upright."""
        return tuple(map(float, self.direction)) if isinstance(self.direction, tuple) else (0.0, 0.0, 1.0)


@record
class Passes(Record):
    """The pattern, the side of the uncut stock (`cut` or `uncut_side`), and how the spacing is measured.

    With a right-hand spindle a climb cut has the uncut stock on the right of the travel.

    Raises
    ------
    JobError
        Words that are none of those accepted; all are listed.

    Examples
    --------
    >>> Passes(cut="climb").pattern
    'one way'
    """

    pattern: str = entry(default="one way", choices=("one way", "back and forth"))
    cut: str = entry(default=None, choices=("climb", "conventional"))
    uncut_side: str = entry(default=None, choices=("left", "right"))
    spacing: str = entry(default="along the surface", choices=("along the surface", "plan view", "step down"))


@record
class Before(Record):
    """What the operation before left.

    Parameters
    ----------
    stock [mm]
        Stock along the surface normal, above 0, without the scallops that stand on it.
    previous_diameter [mm]
        Diameter of its ball, if its scallops are known.
    previous_stepover, previous_step_down [mm]
        Its stepover along the surface, or its step in height.
    stair_thickness [mm]
        In place of these: thickness of the stairs that roughing in levels left on the stock; a cutter's `stairs`.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> print(Before(stock="0.1 mm").stock)
    0.1 millimeter
    """

    stock: Length = entry(domain=POSITIVE, meaning="stock left, along the normal")
    previous_diameter: Length = entry(default=None, domain=POSITIVE, meaning="its ball diameter")
    previous_stepover: Length = entry(default=None, domain=POSITIVE, meaning="its stepover on the surface")
    previous_step_down: Length = entry(default=None, domain=POSITIVE, meaning="or its step in height")
    stair_thickness: Length = entry(default=None, meaning="stairs of roughing that stand on the stock")


@record
class Finish(Record):
    """The finish wanted and the form tolerance.

    Parameters
    ----------
    scallop_height, ra, rz [um]
        The finish wanted; exactly one of these and `grade`.
    grade
        ISO 1302 grade, "N1" to "N12".
    form_tolerance [mm]
        Tolerance of the form, above 0.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> Finish(grade="N6", form_tolerance="0.02 mm").grade
    'N6'
    """

    scallop_height: ScallopHeight = entry(default=None, domain=POSITIVE, meaning="scallop height wanted")
    ra: Roughness = entry(default=None, domain=POSITIVE, meaning="Ra wanted")
    rz: Roughness = entry(default=None, domain=POSITIVE, meaning="Rz wanted")
    grade: Grade = entry(default=None, meaning="ISO 1302 grade wanted")
    form_tolerance: Length = entry(domain=POSITIVE, meaning="form tolerance of the surface")


@record
class Machine(Record):
    """The machine: its limits; what is not known is assumed by its class.

    Parameters
    ----------
    kind
        Class of machine: "older", "general" or "high-speed".
    rigidity
        Of the whole set-up, with workholding and overhang: "weak", "ordinary" or "rigid".
    largest_spindle_speed, holder_spindle_speed [rev/min]
        Largest of the machine, and rated for the holder.
    largest_feed_rate, rapid_rate [mm/min]
        Largest while cutting, and rapid traverse.
    acceleration [mm/s^2]
        Acceleration along the path.
    block_time [ms]
        Time the control needs for one block.
    largest_torque [N m], largest_power [kW]
        Of the spindle: constant torque up to the base speed, then constant power; either alone is a limit, too.
    duty
        What they are rated for, in words; "continuous" by default.
    drive_points
        In their place the power curve as rows [spindle speed, power], speeds rising; below the first the torque is
        constant, above the last the power.
    largest_thrust [N]
        Largest force on an axis of the machine.
    rotary_rate [deg/s], rotary_distance [mm]
        Largest rate of the rotary axes, and how far the contact lies from their centre.
    gauge_length [mm]
        From the spindle's nose to the tip, where the rotary axes turn the spindle: then `rotary_distance` counts from
        the nose, and this is added.
    lateral_stiffness [N/um], tilting_stiffness [N m/rad]
        Of holder and spindle at the clamp, against moving sideways and against tilting; rigid if left out.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> print(Machine(largest_spindle_speed="18000 rpm", largest_feed_rate="8 m/min").largest_feed_rate)
    8000.0 millimeter / minute
    """

    kind: str = entry(default="general", choices=("older", "general", "high-speed"))
    rigidity: str = entry(default="ordinary", choices=("weak", "ordinary", "rigid"), meaning="of the whole set-up")
    largest_spindle_speed: SpindleSpeed = entry(domain=POSITIVE, meaning="largest spindle speed")
    largest_feed_rate: FeedRate = entry(domain=POSITIVE, meaning="largest feed rate while cutting")
    holder_spindle_speed: SpindleSpeed = entry(default=None, domain=POSITIVE, meaning="rated for the holder")
    acceleration: Acceleration = entry(default=None, meaning="acceleration along the path")
    block_time: BlockTime = entry(default=None, meaning="time for one block")
    rapid_rate: FeedRate = entry(default=None, domain=POSITIVE, meaning="rapid traverse")
    largest_torque: Torque = entry(default=None, domain=POSITIVE, meaning="torque of the spindle up to its base speed")
    largest_power: Power = entry(default=None, domain=POSITIVE, meaning="power of the spindle from its base speed on")
    duty: str = entry(default="continuous", meaning="what torque and power are rated for")
    drive_points: object = entry(default=None, meaning="points of the power curve: [[speed, power], ...]")
    largest_thrust: Force = entry(default=None, domain=POSITIVE, meaning="largest force on an axis")
    rotary_rate: RotaryRate = entry(default=None, domain=POSITIVE, meaning="largest rate of the rotary axes")
    rotary_distance: Length = entry(default=None, meaning="from the contact to the centre of the rotary axes")
    gauge_length: Length = entry(default=None, domain=POSITIVE, meaning="from the spindle's nose to the tip")
    lateral_stiffness: Stiffness = entry(default=None, domain=POSITIVE, meaning="of the clamp against moving sideways")
    tilting_stiffness: TiltingStiffness = entry(default=None, domain=POSITIVE, meaning="of the clamp against tilting")

    def _check(self) -> None:
        object.__setattr__(self, "drive_points", drive_points(self.drive_points))
        stated = [n for n in ("largest_torque", "largest_power") if number(self, n) is not None]
        if self.drive_points and stated:
            reason = "the power curve is stated by its points, or by torque and power, not by both"
            raise JobError("Machine cannot be made", [Fault("drive_points", " and ".join(stated), reason)])
        if number(self, "gauge_length") is not None and number(self, "rotary_distance") is None:
            reason = "it counts only with the distance from the nose to the centre of the rotary axes"
            raise JobError("Machine cannot be made", [Fault("rotary_distance", "", reason, example='"250 mm"')])


@record
class Fixed(Record):
    """Values that the user fixes, used as given and checked.

    A feed per tooth with the radial width it is meant for stands for the chart's: its chip is kept, within the other
    limits.

    Parameters
    ----------
    cutting_speed [m/min], spindle_speed [rev/min]
        One of the two.
    feed_per_tooth, feed_radial_width [mm]
        Feed per tooth at the contact, and the radial width it is meant for if that is not this cut's.
    stepover [mm]
        In the measure of the spacing.
    point_spacing [mm]
        Distance of points at the contact.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> print(Fixed(stepover="0.2 mm").stepover)
    0.2 millimeter
    """

    cutting_speed: CuttingSpeed = entry(default=None, domain=POSITIVE)
    spindle_speed: SpindleSpeed = entry(default=None, domain=POSITIVE)
    feed_per_tooth: FeedPerTooth = entry(default=None, domain=POSITIVE)
    feed_radial_width: Length = entry(
        default=None, domain=POSITIVE, meaning="radial width the feed per tooth is meant for; none: this cut"
    )
    stepover: Length = entry(default=None, domain=POSITIVE, meaning="in the measure of the spacing")
    point_spacing: Length = entry(default=None, domain=POSITIVE, meaning="distance of points at the contact")


@record
class Shop(Record):
    """Words for the page that the shop pins up; none of them changes a number.

    Parameters
    ----------
    hardness, coolant, holder, cutter_name
        As the shop says it, for example "300 HB", "air blast", "collet holder, short", "ball 6, tray 4".
    cutters [1]
        How many cutters to have at hand.
    shortest_overhang [mm]
        With the cutter's overhang: from-to; the plan is for the cutter's own, the longest.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> Shop(coolant="air blast").coolant
    'air blast'
    """

    hardness: str = entry(default="", meaning="hardness of the work")
    coolant: str = entry(default="", meaning="coolant")
    holder: str = entry(default="", meaning="holder")
    cutter_name: str = entry(default="", meaning="cutter, as the shop calls it")
    cutters: Count = entry(default=None, domain=ONE_OR_MORE, meaning="how many cutters to have at hand")
    shortest_overhang: Length = entry(default=None, domain=POSITIVE, meaning="shortest overhang that will do")
