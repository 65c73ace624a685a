"""Stock that an operation leaves for the next."""

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import Length

__all__ = ["depth_with_stairs"]


@formula(symbol="a_g", expression="a_n + t_s", sources=("DEFINITION",))
def depth_with_stairs(normal_depth: Length, stair_thickness: Length) -> Length:
    """Return the greatest depth [mm] along the normal: the stock and the stairs that stand on it.

    Parameters
    ----------
    normal_depth [mm]
        Stock left by roughing, without its stairs, 0 or more; scalar or array.
    stair_thickness [mm]
        Largest thickness of the stairs along the surface normal, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit; the least depth is the stock alone. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{depth_with_stairs('0.3 mm', '0.29 mm'):.2f~P}")
    0.59 mm
    """
    return normal_depth + stair_thickness
