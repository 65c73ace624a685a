"""The taper barrel: a segment that leans like a taper, from a ball tip up to the largest diameter."""

import math
from collections.abc import Sequence

from millcalc.cutters import Arc, Cutter
from millcalc.errors import Fault
from millcalc.quantities.kinds import POSITIVE, Angle, Interval, Length
from millcalc.quantities.record import entry, number, record
from millcalc_circle_segment.limits import SLACK, at_least, refused

__all__ = ["TaperBarrelEndMill"]

_HALF_ANGLE = Interval(0.0, 90.0, low_open=True, high_open=True)
_EIGHTH = 0.25 * math.pi * (1.0 - SLACK)  # from 45 deg on the tip, not the largest diameter, ends the segment


@record
class TaperBarrelEndMill(Cutter):
    """A solid tapered cutter with a ball tip, whose taper bulges as a segment up to the largest diameter.

    Parameters
    ----------
    diameter [mm]
        Largest diameter, where the segment ends and a cylinder follows.
    tip_radius [mm]
        Radius of the ball tip, above 0.
    half_angle [deg]
        Angle per side between the axis and the segment's tangent in its middle, which is also that of the chord
        between its ends; above 0, below 90.
    segment_radius [mm]
        Radius of the segment, above the tip radius, and large enough for the segment to widen up to its upper end.
    teeth, flute_length, overhang, shank_diameter, helix, substrate, rated_spindle_speed, edge_radius, eccentricity
        As of every `Cutter`.

    Raises
    ------
    JobError
        Values that cannot be used, or that make no cutter; all are listed.

    Notes
    -----
    The middle of the segment halves its arc from the joint with the tip to its upper end.  With R half the
    diameter, r the tip radius, S the segment radius and a the half angle, the outward normal stands at the angle p
    from straight down at the joint and at 180 deg - 2 a - p at the upper end, where S sin(2 a + p) - (S - r) sin(p)
    = R.  The segment's centre lies at radius -(S - r) sin(p) and height r + (S - r) cos(p).  The cylinder that
    follows begins with an edge, unless the segment radius is the smallest possible at a half angle below 45 deg:
    then the segment is tangent to it, as in the oval form.

    Examples
    --------
    >>> cutter = TaperBarrelEndMill(
    ...     diameter="16 mm", tip_radius="3 mm", half_angle="20 deg", segment_radius="250 mm", teeth=3
    ... )
    >>> print(f"the cylinder begins {cutter.profile.top:.4f} mm above the tip")
    the cylinder begins 16.2125 mm above the tip
    """

    family = "taper barrel"

    diameter: Length = entry(domain=POSITIVE, meaning="largest diameter, where the segment ends")
    tip_radius: Length = entry(domain=POSITIVE, meaning="radius of the ball tip")
    half_angle: Angle = entry(domain=_HALF_ANGLE, meaning="angle of the segment's middle to the axis, per side")
    segment_radius: Length = entry(domain=POSITIVE, meaning="radius of the segment")

    def shape_faults(self) -> list[Fault]:
        half, tip, angle, segment = self._shape()
        tangent = 2.0 * tip * math.cos(angle)
        if 2.0 * half <= tangent * (1.0 + SLACK):
            reason = f"the tip is {tangent:.6g} mm wide where it leans by the half angle: no segment is left above"
            return [refused("diameter", 2.0 * half, reason, f"above {at_least(tangent)} mm")]
        least = _least_segment(half, tip, angle)
        if segment <= tip * (1.0 + SLACK):
            reason = f"it is no flatter than the tip of {tip:g} mm"
        elif angle < _EIGHTH and segment < least * (1.0 - 1e-12):
            reason = "the segment is widest below its upper end, so the largest diameter would lie within it"
        elif angle >= _EIGHTH and segment <= least * (1.0 + SLACK):
            reason = "the segment reaches the axis before it is tangent to the tip"
        else:
            return []
        word = "from" if angle < _EIGHTH and least > tip else "above"
        return [refused("segment_radius", segment, reason, f"{word} {at_least(max(tip, least))} mm")]

    def pieces(self) -> Sequence[Arc]:
        half, tip, angle, segment = self._shape()
        lower = _joint_normal(half, tip, angle, segment)
        upper = math.pi - 2.0 * angle - lower
        joint = (tip * (1.0 - math.cos(lower)), tip * math.sin(lower))
        middle = (tip + (segment - tip) * math.cos(lower), -(segment - tip) * math.sin(lower))
        top = middle[0] - segment * math.cos(upper)
        return [Arc((0.0, 0.0), joint, (tip, 0.0)), Arc(joint, (top, half), middle)]

    def _shape(self) -> tuple[float, float, float, float]:
        """Half the diameter, tip radius [mm], half angle [rad] and segment radius [mm]."""
        tip, angle, segment = (number(self, n) for n in ("tip_radius", "half_angle", "segment_radius"))
        return 0.5 * number(self, "diameter"), tip, math.radians(angle), segment


def _least_segment(half: float, tip: float, angle: float) -> float:
    """Smallest segment radius [mm].

    Its upper end is tangent to the cylinder, or above 45 deg its lower end lies at the tip.
    """
    if angle < _EIGHTH:
        return tip + (half - tip) / (2.0 * math.sin(angle) ** 2)
    return half / math.sin(2.0 * angle)


def _joint_normal(half: float, tip: float, angle: float, segment: float) -> float:
    """Angle [rad] of the outward normal from straight down where tip and segment meet.

    S sin(2 a + p) - (S - r) sin(p) = R, written M sin(p + shift) = R and solved where it falls with p.
    """
    along = segment * math.cos(2.0 * angle) - (segment - tip)
    across = segment * math.sin(2.0 * angle)
    size = math.hypot(along, across)
    return math.atan2(half, -math.sqrt(max((size - half) * (size + half), 0.0))) - math.atan2(across, along)
