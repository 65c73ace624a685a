"""Cutting speed, spindle speed, feeds, removal rate, approach and time."""

from math import pi

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, CuttingSpeed, Length, SpindleSpeed

__all__ = ["cutting_speed"]


@formula(symbol="v_c", expression="pi*D*n/1000", sources=("DEFINITION",), domain={"diameter": POSITIVE})
def cutting_speed(diameter: Length, spindle_speed: SpindleSpeed) -> CuttingSpeed:
    """Return the cutting speed [m/min] at a diameter.

    Parameters
    ----------
    diameter [mm]
        Diameter at which the edge cuts, above 0; scalar or array.
    spindle_speed [rev/min]
        Spindle speed, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{cutting_speed('10 mm', '8000 rpm'):.1f~P}")
    251.3 m/min
    """
    return pi * diameter * spindle_speed / 1000.0
