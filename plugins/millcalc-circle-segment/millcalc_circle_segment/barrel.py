"""The barrel form: widest in the middle of a segment that narrows toward both its ends."""

import math
from collections.abc import Sequence

from millcalc.cutters import Arc, Cutter, Line
from millcalc.errors import Fault
from millcalc.quantities.kinds import POSITIVE, Length
from millcalc.quantities.record import entry, number, record
from millcalc_circle_segment.limits import SLACK, arc_faults, at_least, at_most, refused, segment_faults

__all__ = ["BarrelEndMill"]


@record
class BarrelEndMill(Cutter):
    """A solid barrel cutter: flat bottom, corner, and a segment whose middle is the largest diameter.

    Parameters
    ----------
    diameter [mm]
        Largest diameter, above 0.
    corner_radius [mm]
        Radius of the corner between bottom and segment, above 0, below half the diameter.
    segment_radius [mm]
        Radius of the segment, above half the diameter.
    flute_length [mm]
        Length of the cutting edges from the bottom to the segment's upper end, above the corner radius, and no
        longer than leaves room for the corner.
    teeth, overhang, shank_diameter, helix, substrate, rated_spindle_speed, edge_radius, eccentricity
        As of every `Cutter`.

    Raises
    ------
    JobError
        Values that cannot be used, or that make no cutter; all are listed.

    Notes
    -----
    The segment is symmetric about the largest diameter: where it joins the corner it is as wide as at the top.
    With R half the diameter, r the corner radius, S the segment radius and L the flute length, its centre lies at
    radius R - S and height r + (S - r) k, and the corner's at radius R - r - (S - r) (1 - sqrt(1 - k^2)) and height
    r, where k = (L - r) / (2 S - r) is the cosine of the angle between the outward normal at their joint and
    straight down.  The bottom is flat as far as the corner's centre; the longest flute length is that which leaves
    no flat.  Nothing cuts above the segment.

    Examples
    --------
    >>> cutter = BarrelEndMill(
    ...     diameter="10 mm", corner_radius="1 mm", segment_radius="85 mm", flute_length="21 mm", teeth=4
    ... )
    >>> widest, _, _ = cutter.profile.at_normal(math.pi / 2)
    >>> print(f"widest {widest:.4f} mm above the bottom")
    widest 10.9408 mm above the bottom
    """

    family = "barrel"
    endless = False

    diameter: Length = entry(domain=POSITIVE, meaning="largest diameter, in the middle of the segment")
    corner_radius: Length = entry(domain=POSITIVE, meaning="radius of the corner between bottom and segment")
    segment_radius: Length = entry(domain=POSITIVE, meaning="radius of the segment")
    flute_length: Length = entry(domain=POSITIVE, meaning="length from the bottom to the segment's upper end")

    def shape_faults(self) -> list[Fault]:
        half, corner, segment, top = self._lengths()
        faults = [*segment_faults(segment, 2.0 * half), *arc_faults("corner_radius", corner, 2.0 * half)]
        if faults:
            return faults
        room = (half - corner) / (segment - corner)
        longest = corner + (2.0 * segment - corner) * math.sqrt(room * (2.0 - room))
        accepted = f"above {at_least(corner)} mm, up to {at_most(longest)} mm"
        if top <= corner * (1.0 + SLACK):
            return [refused("flute_length", top, "the segment begins above the corner: none is left", accepted)]
        if top > longest * (1.0 + 1e-12):
            reason = "the segment narrows so far below that the corner tangent to it would reach across the axis"
            return [refused("flute_length", top, reason, accepted)]
        return []

    def pieces(self) -> Sequence[Line | Arc]:
        half, corner, segment, top = self._lengths()
        cosine = (top - corner) / (2.0 * segment - corner)
        sine = math.sqrt(max((1.0 - cosine) * (1.0 + cosine), 0.0))
        flat = max(half - corner - (segment - corner) * (1.0 - sine), 0.0)
        joint = (corner * (1.0 - cosine), flat + corner * sine)
        middle = (corner + (segment - corner) * cosine, half - segment)
        bottom = [Line((0.0, 0.0), (0.0, flat))] if flat > SLACK * half else []
        return [
            *bottom,
            Arc((0.0, flat), joint, (corner, flat)),
            Arc(joint, (top, joint[1]), middle),
        ]

    def _lengths(self) -> tuple[float, float, float, float]:
        """Half the diameter, corner radius, segment radius and flute length [mm]."""
        corner, segment, top = (number(self, n) for n in ("corner_radius", "segment_radius", "flute_length"))
        return 0.5 * number(self, "diameter"), corner, segment, top
