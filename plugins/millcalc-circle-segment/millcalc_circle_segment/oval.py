"""The oval form: a segment between a ball tip and the cylinder, tangent to both."""

import math
from collections.abc import Sequence

from millcalc.cutters import Arc, Cutter
from millcalc.errors import Fault
from millcalc.quantities.kinds import POSITIVE, Length
from millcalc.quantities.record import entry, number, record
from millcalc_circle_segment.limits import arc_faults, segment_faults

__all__ = ["OvalEndMill"]


@record
class OvalEndMill(Cutter):
    """A solid cutter with a ball tip and a segment that is tangent to the tip and to the cylinder above.

    Parameters
    ----------
    diameter [mm]
        Largest diameter, that of the cylinder, above 0.
    tip_radius [mm]
        Radius of the ball tip, above 0, below half the diameter.
    segment_radius [mm]
        Radius of the segment, above half the diameter.
    teeth, flute_length, overhang, shank_diameter, helix, substrate, rated_spindle_speed, edge_radius, eccentricity
        As of every `Cutter`.

    Raises
    ------
    JobError
        Values that cannot be used, or that make no cutter; all are listed.

    Notes
    -----
    With R half the diameter, r the tip radius and S the segment radius, the segment's centre lies at radius R - S and
    height r + sqrt((R - r) (2 S - R - r)), where the cylinder begins.  At the joint of tip and segment the outward
    normal stands at the angle from straight down whose sine is (S - R) / (S - r).

    Examples
    --------
    >>> cutter = OvalEndMill(diameter="12 mm", tip_radius="2 mm", segment_radius="80 mm", teeth=2)
    >>> print(f"the cylinder begins {cutter.profile.top:.5f} mm above the tip")
    the cylinder begins 26.65766 mm above the tip
    """

    family = "oval"

    diameter: Length = entry(domain=POSITIVE, meaning="largest diameter, that of the cylinder")
    tip_radius: Length = entry(domain=POSITIVE, meaning="radius of the ball tip")
    segment_radius: Length = entry(domain=POSITIVE, meaning="radius of the segment")

    def shape_faults(self) -> list[Fault]:
        half, tip, segment = self._lengths()
        return [*segment_faults(segment, 2.0 * half), *arc_faults("tip_radius", tip, 2.0 * half)]

    def pieces(self) -> Sequence[Arc]:
        half, tip, segment = self._lengths()
        rise = math.sqrt((half - tip) * (2.0 * segment - half - tip))
        cosine, sine = rise / (segment - tip), (segment - half) / (segment - tip)
        joint = (tip * (1.0 - cosine), tip * sine)
        middle = (tip + rise, half - segment)
        return [Arc((0.0, 0.0), joint, (tip, 0.0)), Arc(joint, (tip + rise, half), middle)]

    def _lengths(self) -> tuple[float, float, float]:
        """Half the diameter, tip radius and segment radius [mm]."""
        return 0.5 * number(self, "diameter"), number(self, "tip_radius"), number(self, "segment_radius")
