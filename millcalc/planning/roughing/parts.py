"""The parts of a roughing job: the pocket, the cut, values the user fixes, and what is assumed."""

from math import inf

from millcalc.planning.assumed import ASSUMED, Assumed
from millcalc.quantities.kinds import (
    ANGLE,
    NOT_NEGATIVE,
    ONE_OR_MORE,
    POSITIVE,
    RATIO,
    Angle,
    Count,
    CuttingSpeed,
    FeedPerTooth,
    FeedRate,
    Interval,
    Length,
    Radius,
    Ratio,
    SpindleSpeed,
)
from millcalc.quantities.record import Record, entry, record

__all__ = ["ROUGHING_ASSUMED", "STYLES", "Pocket", "RoughingAssumptions", "RoughingCut", "RoughingFixed"]

_SLOPE = Interval(0.0, 90.0)
_CORNER = Interval(0.0, 180.0, low_open=True)
_DESCENT = Interval(0.0, 45.0, low_open=True, high_open=True)
_SHARE = Interval(0.0, 1.0, low_open=True)
_POSITION = Interval(0.0, 1.0)


STYLES = ("full width", "light radial", "corners")
"""How levels are cleared."""


@record
class Pocket(Record):
    """What roughing clears: a pocket with walls all round, or an open one; sizes of the finished part.

    Parameters
    ----------
    width, length, depth [mm]
        Size seen from above, and depth; of a form without straight walls the box around it. Passes run along the
        length; an open pocket is open at the ends of its length and along one side.
    sides
        "closed" or "open".
    slope_from, slope_to [deg]
        Slopes of the surface that the levels leave as stairs, 0 to 90; one alone stands for both, none for upright
        walls and a level floor.
    surface_radius [mm]
        Radius of that surface along the steepest slope: convex positive, concave negative, "flat" by default.
    corner_angle [deg], fillet_radius [mm], corners [1]
        Angle between the walls in the inside corners, radius of the finished fillet in them, and how many there are.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> print(Pocket(width="40 mm", length="70 mm", depth="12 mm").depth)
    12.0 millimeter
    """

    width: Length = entry(domain=POSITIVE, meaning="width, seen from above")
    length: Length = entry(domain=POSITIVE, meaning="length, along which the passes run")
    depth: Length = entry(domain=POSITIVE, meaning="depth of the finished floor")
    sides: str = entry(default="closed", choices=("closed", "open"), meaning="walls all round, or open at the side")
    slope_from: Angle = entry(default=None, domain=_SLOPE, meaning="slope at one end of the range")
    slope_to: Angle = entry(default=None, domain=_SLOPE, meaning="slope at the other end")
    surface_radius: Radius = entry(default=inf, words={"flat": inf}, meaning="radius along the steepest slope")
    corner_angle: Angle = entry(default=None, domain=_CORNER, meaning="angle between the walls of inside corners")
    fillet_radius: Length = entry(default=None, domain=NOT_NEGATIVE, meaning="radius of the finished fillet")
    corners: Count = entry(default=4.0, domain=ONE_OR_MORE, meaning="number of inside corners")


@record
class RoughingCut(Record):
    """How the pocket is cleared, and the stock that is left on it.

    Parameters
    ----------
    stock_left [mm]
        Stock left on walls, floor and surface, along their normals; above 0.
    style
        "full width": levels opened by a cut at full width and widened at the radial width; "light radial": deep cuts
        of little width, a slot opened by trochoidal loops; "corners": only the inside corners, after a larger cutter.
    larger_diameter [mm]
        Diameter of that larger cutter.
    slope_step [mm]
        Step down of passes along the slopes, upward from the floor of each level, which thin its stair; none if left
        out.
    cut
        "climb" or "conventional".
    entry
        Into a closed pocket: by "helix" or "ramp".

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> RoughingCut(stock_left="0.3 mm").style
    'full width'
    """

    stock_left: Length = entry(domain=POSITIVE, meaning="stock left, along the normal")
    style: str = entry(default="full width", choices=STYLES, meaning="how levels are cleared")
    larger_diameter: Length = entry(default=None, domain=POSITIVE, meaning="of the cutter that went before the corners")
    cut: str = entry(default="climb", choices=("climb", "conventional"))
    slope_step: Length = entry(default=None, domain=POSITIVE, meaning="step of passes along the slopes")
    entry: str = entry(default="helix", choices=("helix", "ramp"), meaning="into a closed pocket")


@record
class RoughingFixed(Record):
    """Values that the user fixes, used as given and checked.

    Parameters
    ----------
    cutting_speed [m/min], spindle_speed [rev/min]
        One of the two.
    feed_per_tooth, feed_radial_width [mm]
        Feed per tooth beside a pass, and the radial width it is meant for if that is not this cut's.
    axial_depth, radial_width [mm]
        Depth of a level, the last one less; width of a cut beside a pass.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> print(RoughingFixed(axial_depth="4 mm").axial_depth)
    4.0 millimeter
    """

    cutting_speed: CuttingSpeed = entry(default=None, domain=POSITIVE)
    spindle_speed: SpindleSpeed = entry(default=None, domain=POSITIVE)
    feed_per_tooth: FeedPerTooth = entry(default=None, domain=POSITIVE)
    feed_radial_width: Length = entry(
        default=None, domain=POSITIVE, meaning="radial width the feed per tooth is meant for; none: this cut"
    )
    axial_depth: Length = entry(default=None, domain=POSITIVE, meaning="depth of a level")
    radial_width: Length = entry(default=None, domain=POSITIVE, meaning="width of a cut beside a pass")


@record
class RoughingAssumptions(Record):
    """Assumptions that the user changes; what is left out has the default of `ROUGHING_ASSUMED`."""

    speed_position: Ratio = entry(default=None, domain=_POSITION, meaning="position in the speed window")
    feed_position: Ratio = entry(default=None, domain=_POSITION, meaning="position in the feed window")
    feed_factor: Ratio = entry(default=None, domain=POSITIVE, meaning="largest multiple of the chart's feed")
    width_share: Ratio = entry(default=None, domain=_SHARE, meaning="radial width over the diameter")
    depth_share: Ratio = entry(default=None, domain=POSITIVE, meaning="largest axial depth over the diameter")
    slot_share: Ratio = entry(default=None, domain=POSITIVE, meaning="width of trochoidal slots over the diameter")
    entry_share: Ratio = entry(default=None, domain=POSITIVE, meaning="hole of a helical entry over the diameter")
    entry_feed_share: Ratio = entry(default=None, domain=_SHARE, meaning="feed of an entry over that at full width")
    ramp_angle: Angle = entry(default=None, domain=_DESCENT, meaning="steepest angle of an entry")
    return_feed_rate: FeedRate = entry(default=None, domain=POSITIVE, meaning="feed rate of returns through the air")
    clearance: Length = entry(default=None, meaning="height of retracts")
    time_factor: Ratio = entry(default=None, domain=POSITIVE, meaning="measured time over computed time")
    tolerance_share: Ratio = entry(default=None, domain=_SHARE, meaning="tolerance of the path, of the stock left")
    deflection_share: Ratio = entry(default=None, domain=_SHARE, meaning="of the stock left, for deflection")
    force_spread: Ratio = entry(default=None, domain=_SHARE, meaning="how far computed forces may be off")
    least_width_share: Ratio = entry(default=None, domain=_SHARE, meaning="least share of the wanted radial width kept")
    least_depth_share: Ratio = entry(default=None, domain=_SHARE, meaning="least share of the wanted axial depth kept")


def _rows(*rows: Assumed) -> dict[str, Assumed]:
    return {row.name: row for row in rows}


_BOTH = _rows(
    *(ASSUMED[n] for n in ("speed_position", "feed_position", "feed_factor", "clearance", "time_factor")),
    *(ASSUMED[n] for n in ("force_spread", "helix", "edge_radius", "eccentricity")),
    Assumed("slot_share", 1.6, RATIO, "trochoidal slots are 1.6 diameters wide"),
    Assumed("entry_share", 1.6, RATIO, "the hole of a helical entry is 1.6 diameters wide: no post stands in it"),
    Assumed("entry_feed_share", 0.5, RATIO, "entries at half the feed of a cut at full width"),
    Assumed("ramp_angle", 3.0, ANGLE, "entries descend at 3 deg at most; the cutter's maker says how steep it may"),
    Assumed("tolerance_share", 0.1, RATIO, "the path is within a tenth of the stock left"),
    Assumed("deflection_share", 0.5, RATIO, "the tip deflects into at most half of the stock left"),
    Assumed("least_width_share", 0.5, RATIO, "for power and torque the radial width is at most halved"),
    Assumed("least_depth_share", 0.25, RATIO, "then the axial depth is at most quartered"),
)

ROUGHING_ASSUMED: dict[str, dict[str, Assumed]] = {
    "full width": _BOTH
    | _rows(
        Assumed("width_share", 0.5, RATIO, "half the cutter beside a pass"),
        Assumed("depth_share", 0.5, RATIO, "levels half a diameter deep, for the cut at full width"),
    ),
    "corners": _BOTH
    | _rows(
        Assumed("width_share", 0.1, RATIO, "passes a tenth of the cutter apart"),
        Assumed("depth_share", 0.5, RATIO, "levels half a diameter deep"),
    ),
    "light radial": _BOTH
    | _rows(
        Assumed("width_share", 0.1, RATIO, "a tenth of the cutter beside a pass"),
        Assumed("depth_share", 1.5, RATIO, "one and a half diameters deep, within the flutes"),
    ),
}
"""The defaults of each style, by name."""
