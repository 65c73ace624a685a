"""Paths of entries into a closed pocket: how far the axis travels and how deep the cutter stands in stock."""

from math import pi

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import ONE_OR_MORE, POSITIVE, Count, Length

__all__ = ["axis_travel", "helical_entry_length", "ramp_engaged_depth"]


@formula(
    symbol="l_a",
    expression="l - D",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=("diameter <= length",),
)
def axis_travel(length: Length, diameter: Length) -> Length:
    """Return how far [mm] a cutter's axis travels between two walls.

    Parameters
    ----------
    length [mm]
        Distance of the walls, no less than the diameter; scalar or array.
    diameter [mm]
        Cutter diameter, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cutter does not fit between the walls.

    Notes
    -----
    Valid for upright walls square to the travel. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{axis_travel('70 mm', '12 mm'):.0f~P}")
    58 mm
    """
    return np.where(diameter <= length, length - diameter, np.nan)[()]


@formula(
    symbol="l_p",
    expression="a_p*sqrt(1 + (2*pi*r/p_h)^2) + 2*pi*r",
    sources=("GEOMETRY",),
    domain={"pitch": POSITIVE},
)
def helical_entry_length(axial_depth: Length, pitch: Length, path_radius: Length) -> Length:
    """Return the length [mm] of the axis' path in a helical entry with the level turn that clears its floor.

    Parameters
    ----------
    axial_depth [mm]
        Depth to reach, 0 or more; scalar or array.
    pitch [mm]
        Descent in one turn, above 0; scalar or array.
    path_radius [mm]
        Radius of the path of the axis, 0 (plunging) or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit; it begins at the top of the stock. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{helical_entry_length('10 mm', '1 mm', '4 mm'):.2f~P}")
    276.66 mm
    """
    turn = 2.0 * pi * path_radius
    return axial_depth * np.hypot(1.0, turn / pitch) + turn


@formula(
    symbol="a_r",
    expression="min(2/N_p, 1)*a_p",
    sources=("GEOMETRY",),
    domain={"passes": ONE_OR_MORE},
)
def ramp_engaged_depth(axial_depth: Length, passes: Count) -> Length:
    """Return the largest depth [mm] that a cutter stands in stock on ramps back and forth.

    Where a ramp turns back, the one before has cut its own drop only; at the other end the new one is two drops below
    the floor left there.

    Parameters
    ----------
    axial_depth [mm]
        Depth that all ramps reach together, 0 or more; scalar or array.
    passes [1]
        Number of ramps, even in drop, 1 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for a flat end; the width of the cutter, short against the ramp, is not counted. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{ramp_engaged_depth('5 mm', 4):.2f~P}")
    2.50 mm
    """
    return np.minimum(2.0 / passes, 1.0) * axial_depth
