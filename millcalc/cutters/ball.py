"""The ball-nose cutter."""

from millcalc.quantities.kinds import POSITIVE, Count, Deflection, Interval, Length, SpindleSpeed
from millcalc.quantities.record import Record, entry, record

__all__ = ["BallEndMill"]


@record
class BallEndMill(Record):
    """A solid ball-nose cutter.

    Parameters
    ----------
    diameter [mm]
        Diameter of the ball, above 0.
    teeth [1]
        Number of cutting edges that reach the contact, 1 or more.
    overhang [mm]
        Length out of the holder.
    substrate
        Tool material: "coated carbide", "carbide", "HSS", "cermet", "ceramic", "PCBN" or "PCD".
    rated_spindle_speed [rev/min]
        Largest spindle speed the cutter's maker allows.
    edge_radius [um]
        Rounding of the cutting edge.
    eccentricity [um]
        Distance of the cutter's axis from the axis of rotation, half the runout read on a dial.

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

    diameter: Length = entry(domain=POSITIVE, meaning="diameter of the ball")
    teeth: Count = entry(domain=Interval(1.0, 100.0), meaning="number of cutting edges")
    overhang: Length = entry(default=None, domain=POSITIVE, meaning="length out of the holder")
    substrate: str = entry(
        default="coated carbide",
        choices=("coated carbide", "carbide", "HSS", "cermet", "ceramic", "PCBN", "PCD"),
        meaning="tool material",
    )
    rated_spindle_speed: SpindleSpeed = entry(default=None, domain=POSITIVE, meaning="largest speed its maker allows")
    edge_radius: Deflection = entry(default=None, domain=POSITIVE, meaning="rounding of the cutting edge")
    eccentricity: Deflection = entry(default=None, meaning="half the runout")
