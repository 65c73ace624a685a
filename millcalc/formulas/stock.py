"""Stock that an operation leaves for the next."""

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, ChordError, Deflection, Length, Radius, Ratio

__all__ = ["depth_ratio", "depth_with_stairs", "needed_stock", "offset_radius"]


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


@formula(symbol="q_a", expression="a_g/a_n", sources=("DEFINITION",), domain={"normal_depth": POSITIVE})
def depth_ratio(greatest_depth: Length, normal_depth: Length) -> Ratio:
    """Return the greatest depth [1] over the least, which tells how far the load of the next cut peaks.

    Parameters
    ----------
    greatest_depth [mm]
        Stock with the stairs that stand on it; scalar or array.
    normal_depth [mm]
        Stock without them, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit; the force grows less than the depth where the cutter is round. Source: DEFINITION.

    Examples
    --------
    >>> depth_ratio('0.6 mm', '0.3 mm')
    2.0
    """
    return greatest_depth / normal_depth


@formula(symbol="rho_o", expression="rho + a_n", sources=("GEOMETRY",))
def offset_radius(surface_radius: Radius, normal_depth: Length) -> Radius:
    """Return the radius [mm] of a surface with stock of even thickness on it.

    Parameters
    ----------
    surface_radius [mm]
        Radius of the finished surface: convex positive, concave negative, flat infinite; scalar or array.
    normal_depth [mm]
        Stock along the surface normal, 0 or more, below a concave radius; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid while stock fits into a concave surface; NaN where it fills it. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{offset_radius('-20 mm', '0.5 mm'):.1f~P}")
    -19.5 mm
    """
    offset = np.add(surface_radius, normal_depth)
    return np.where((surface_radius > 0.0) | (offset < 0.0), offset, np.nan)[()]


@formula(
    symbol="a_m",
    expression="t_s + (delta + e)/1000",
    sources=("PRACTICE",),
)
def needed_stock(stair_thickness: Length, deflection: Deflection, chord_error: ChordError) -> Length:
    """Return the least stock [mm] that lets the next operation clean up all that this one leaves.

    Parameters
    ----------
    stair_thickness [mm]
        Thickness of the stairs or height of the scallops that stand on the stock, 0 or more; scalar or array.
    deflection [um]
        Deflection of this operation's tool, which may have cut as far into the stock; scalar or array.
    chord_error [um]
        Tolerance of this operation's path; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid as a rule: all errors are taken as if they met at one place. Source: PRACTICE.

    Examples
    --------
    >>> print(f"{needed_stock('0.12 mm', '40 um', '10 um'):.2f~P}")
    0.17 mm
    """
    return stair_thickness + (np.add(deflection, chord_error)) / 1000.0
