"""The families built in: flat, ball, corner radius, tapered ball, round insert."""

import math
from collections.abc import Sequence

from millcalc.cutters.cutter import Cutter
from millcalc.cutters.profile import Arc, Line, Piece
from millcalc.errors import Fault
from millcalc.quantities.kinds import POSITIVE, Angle, Interval, Length
from millcalc.quantities.record import entry, number, record

__all__ = ["BallEndMill", "CornerRadiusEndMill", "FlatEndMill", "RoundInsertCutter", "TaperedBallEndMill"]

HALF_ANGLE = Interval(0.0, 90.0, low_open=True, high_open=True)


@record
class FlatEndMill(Cutter):
    """A cylindrical end mill with a flat end and sharp corners.

    Parameters
    ----------
    diameter [mm]
        Outside diameter, above 0.
    teeth, flute_length, overhang, shank_diameter, helix, substrate, rated_spindle_speed, edge_radius, eccentricity
        As of every `Cutter`.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> print(FlatEndMill(diameter="10 mm", teeth=4).contact_diameter("15 deg"))
    10.0 millimeter
    """

    family = "flat"

    diameter: Length = entry(domain=POSITIVE, meaning="outside diameter")

    def pieces(self) -> Sequence[Piece]:
        return [Line((0.0, 0.0), (0.0, 0.5 * number(self, "diameter")))]


@record
class BallEndMill(Cutter):
    """A solid ball-nose cutter.

    Parameters
    ----------
    diameter [mm]
        Diameter of the ball, above 0.
    teeth, flute_length, overhang, shank_diameter, helix, substrate, rated_spindle_speed, edge_radius, eccentricity
        As of every `Cutter`.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> cutter = BallEndMill(diameter="6 mm", teeth=2, overhang="24 mm")
    >>> print(cutter.diameter, cutter.substrate)
    6.0 millimeter coated carbide
    """

    family = "ball"

    diameter: Length = entry(domain=POSITIVE, meaning="diameter of the ball")

    def pieces(self) -> Sequence[Piece]:
        radius = 0.5 * number(self, "diameter")
        return [Arc((0.0, 0.0), (radius, radius), (radius, 0.0))]


@record
class CornerRadiusEndMill(Cutter):
    """A cylindrical end mill with rounded corners.

    Parameters
    ----------
    diameter [mm]
        Outside diameter, above 0.
    corner_radius [mm]
        Radius of the corner, above 0 up to half the diameter.
    teeth, flute_length, overhang, shank_diameter, helix, substrate, rated_spindle_speed, edge_radius, eccentricity
        As of every `Cutter`.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> cutter = CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=4)
    >>> print(f"{cutter.scallop_height('0.5 mm', lead='5 deg'):.3f~P}")
    0.667 µm
    """

    family = "corner radius"

    diameter: Length = entry(domain=POSITIVE, meaning="outside diameter")
    corner_radius: Length = entry(domain=POSITIVE, meaning="radius of the corner")

    def shape_faults(self) -> list[Fault]:
        return corner_faults("corner_radius", number(self, "corner_radius"), number(self, "diameter"))

    def pieces(self) -> Sequence[Piece]:
        return rounded(number(self, "diameter"), number(self, "corner_radius"))


@record
class RoundInsertCutter(Cutter):
    """A cutter with round inserts.

    Parameters
    ----------
    diameter [mm]
        Outside diameter over the inserts, above 0.
    insert_diameter [mm]
        Diameter of an insert, above 0 up to the diameter.
    teeth, flute_length, overhang, shank_diameter, helix, substrate, rated_spindle_speed, edge_radius, eccentricity
        As of every `Cutter`.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> cutter = RoundInsertCutter(diameter="50 mm", insert_diameter="10 mm", teeth=4)
    >>> print(f"{cutter.contact_diameter('0 deg', '60 deg'):.3f~P}")
    48.660 mm
    """

    family = "round insert"

    diameter: Length = entry(domain=POSITIVE, meaning="outside diameter over the inserts")
    insert_diameter: Length = entry(domain=POSITIVE, meaning="diameter of an insert")

    def shape_faults(self) -> list[Fault]:
        return corner_faults("insert_diameter", number(self, "insert_diameter"), 2.0 * number(self, "diameter"))

    def pieces(self) -> Sequence[Piece]:
        return rounded(number(self, "diameter"), 0.5 * number(self, "insert_diameter"))


@record
class TaperedBallEndMill(Cutter):
    """A tapered cutter with a ball tip, widening up to its largest diameter.

    Parameters
    ----------
    tip_diameter [mm]
        Diameter of the ball at the tip, above 0, below the largest diameter.
    half_angle [deg]
        Angle of the taper per side, above 0, below 90.
    diameter [mm]
        Largest diameter, where the taper ends.
    teeth, flute_length, overhang, shank_diameter, helix, substrate, rated_spindle_speed, edge_radius, eccentricity
        As of every `Cutter`.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> cutter = TaperedBallEndMill(tip_diameter="2 mm", half_angle="5 deg", diameter="10 mm", teeth=3)
    >>> print(f"{cutter.contact_diameter('15 deg'):.4f~P}")
    0.5176 mm
    """

    family = "tapered ball"

    tip_diameter: Length = entry(domain=POSITIVE, meaning="diameter of the ball at the tip")
    half_angle: Angle = entry(domain=HALF_ANGLE, meaning="angle of the taper per side")
    diameter: Length = entry(domain=POSITIVE, meaning="largest diameter")

    def shape_faults(self) -> list[Fault]:
        diameter = number(self, "diameter")
        tangent = number(self, "tip_diameter") * math.cos(math.radians(number(self, "half_angle")))
        if diameter < tangent * (1.0 - 1e-9):
            reason = f"the taper begins at a diameter of {tangent:.6g} mm: no taper is left"
            return [Fault("diameter", f"{diameter:g} mm", reason, "a larger diameter or a smaller tip")]
        return []

    def pieces(self) -> Sequence[Piece]:
        ball, largest = 0.5 * number(self, "tip_diameter"), 0.5 * number(self, "diameter")
        angle = math.radians(number(self, "half_angle"))
        tangent = (ball * (1.0 - math.sin(angle)), ball * math.cos(angle))
        top = tangent[0] + (largest - tangent[1]) / math.tan(angle)
        return [Arc((0.0, 0.0), tangent, (ball, 0.0)), *straight(tangent, (top, largest))]


def rounded(diameter: float, corner: float) -> list[Piece]:
    """Pieces of a flat end with rounded corners; without the flat where the corners meet in the middle."""
    flat = 0.5 * diameter - corner
    arc = Arc((0.0, flat), (corner, 0.5 * diameter), (corner, flat))
    return [*straight((0.0, 0.0), (0.0, flat)), arc]


def straight(start: tuple[float, float], end: tuple[float, float]) -> list[Piece]:
    """Return a straight piece, or none where it would have no length worth naming."""
    return [Line(start, end)] if math.dist(start, end) > 1e-9 * max(map(abs, (*start, *end))) else []


def corner_faults(name: str, value: float, diameter: float) -> list[Fault]:
    """Return the fault of a corner wider than the cutter."""
    if value <= 0.5 * diameter * (1.0 + 1e-12):
        return []
    reason = f"it is above {0.5 * diameter:g} mm, so the corners overlap"
    return [Fault(name, f"{value:g} mm", reason, f"above 0 up to {0.5 * diameter:g} mm")]
