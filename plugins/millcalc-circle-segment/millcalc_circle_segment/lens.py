"""The lens form: a bottom that bulges as a segment about a point on the axis."""

import math
from collections.abc import Sequence

from millcalc.cutters import Arc, Cutter
from millcalc.errors import Fault
from millcalc.quantities.kinds import NOT_NEGATIVE, POSITIVE, Length
from millcalc.quantities.record import entry, number, record
from millcalc_circle_segment.limits import arc_faults, segment_faults

__all__ = ["LensEndMill"]


@record
class LensEndMill(Cutter):
    """A solid cutter with a lens-shaped bottom, rounded or sharp where it meets the cylinder.

    Parameters
    ----------
    diameter [mm]
        Outside diameter, above 0.
    segment_radius [mm]
        Radius of the bottom, above half the diameter.
    corner_radius [mm]
        Radius of the corner tangent to bottom and cylinder, below half the diameter; 0 or left out: a sharp edge.
    teeth, flute_length, overhang, shank_diameter, helix, substrate, rated_spindle_speed, edge_radius, eccentricity
        As of every `Cutter`.

    Raises
    ------
    JobError
        Values that cannot be used, or that make no cutter; all are listed.

    Notes
    -----
    With R half the diameter, r the corner radius and S the segment radius, the bottom's centre lies on the axis at
    height S, the corner's at radius R - r and height S - sqrt((S - R) (S + R - 2 r)), where the cylinder begins.  At
    the joint of bottom and corner the outward normal stands at the angle from straight down whose sine is
    (R - r) / (S - r).

    Examples
    --------
    >>> cutter = LensEndMill(diameter="12 mm", segment_radius="25 mm", corner_radius="1 mm", teeth=4)
    >>> print(f"the cylinder begins {cutter.profile.top:.6f} mm above the tip")
    the cylinder begins 1.526611 mm above the tip
    """

    family = "lens"

    diameter: Length = entry(domain=POSITIVE, meaning="outside diameter")
    segment_radius: Length = entry(domain=POSITIVE, meaning="radius of the bottom")
    corner_radius: Length = entry(default=None, domain=NOT_NEGATIVE, meaning="radius of the corner; none: a sharp edge")

    def shape_faults(self) -> list[Fault]:
        half, segment, corner = self._lengths()
        return [*segment_faults(segment, 2.0 * half), *arc_faults("corner_radius", corner, 2.0 * half)]

    def pieces(self) -> Sequence[Arc]:
        half, segment, corner = self._lengths()
        rise = math.sqrt((segment - half) * (segment + half - 2.0 * corner))
        cosine, sine = rise / (segment - corner), (half - corner) / (segment - corner)
        joint = (segment * (1.0 - cosine), segment * sine)
        bottom = Arc((0.0, 0.0), joint, (segment, 0.0))
        rim = (segment - rise, half)
        return [bottom, Arc(joint, rim, (segment - rise, half - corner))] if corner else [bottom]

    def _lengths(self) -> tuple[float, float, float]:
        """Half the diameter, radius of the bottom, and of the corner [mm], 0 for a sharp edge."""
        return 0.5 * number(self, "diameter"), number(self, "segment_radius"), number(self, "corner_radius") or 0.0
