"""Passes over a surface: how many, how far apart, how long."""

from math import pi

import numpy as np

from millcalc.formulas._fits import FITS, fits
from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import (
    ONE_OR_MORE,
    POSITIVE,
    Angle,
    Count,
    Interval,
    Length,
    Radius,
)

__all__ = [
    "equalised_stepover",
    "joined_length",
    "largest_stepover",
    "mean_move",
    "pass_length",
    "passes_across",
    "plan_width",
    "remaining_length",
    "total_length",
    "wall_height",
]

_RADIANS = pi / 180.0
_WHOLE = 1e-9  # a quotient this little above a whole number is that number, rounded badly


@formula(
    symbol="N_p",
    expression="ceil(w/s) + 1",
    sources=("DEFINITION",),
    domain={"stepover": POSITIVE},
)
def passes_across(width: Length, stepover: Length) -> Count:
    """Return the number of passes that cover a width with both edges cut.

    Parameters
    ----------
    width [mm]
        Width across the passes, 0 or more.
    stepover [mm]
        Distance between passes in the same measure, above 0.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> passes_across('60 mm', '0.21 mm')
    287.0
    """
    return np.ceil(np.divide(width, stepover) * (1.0 - _WHOLE)) + 1.0


@formula(
    symbol="s_q",
    expression="w/max(N_p - 1, 1)",
    sources=("DEFINITION",),
    domain={"passes": ONE_OR_MORE},
)
def equalised_stepover(width: Length, passes: Count) -> Length:
    """Return the stepover [mm] at which so many passes share a width evenly.

    Parameters
    ----------
    width [mm]
        Width across the passes, 0 or more.
    passes [1]
        Number of passes, 1 or more.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{equalised_stepover('60 mm', 287):.4f~P}")
    0.2098 mm
    """
    return width / np.maximum(passes - 1.0, 1.0)


@formula(
    symbol="w_p",
    expression="w*(sin(theta_2) - sin(theta_1))/(theta_2 - theta_1) if theta_2 != theta_1 else w*cos(theta_1)",
    sources=("GEOMETRY",),
    domain={"slope_from": Interval(0.0, 90.0), "slope_to": Interval(0.0, 90.0)},
)
def plan_width(width: Length, slope_from: Angle, slope_to: Angle) -> Length:
    """Return the width in plan view [mm] of a surface whose slope changes evenly across it.

    Parameters
    ----------
    width [mm]
        Width along the surface, 0 or more.
    slope_from [deg]
        Slope at one edge, 0 to 90.
    slope_to [deg]
        Slope at the other edge, 0 to 90.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for a slope that changes evenly: exact for a plane and for a circular arc. Scalars and arrays.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{plan_width('60 mm', '60 deg', '60 deg'):.3f~P}")
    30.000 mm
    """
    half = 0.5 * (slope_to - slope_from)
    middle = 0.5 * (slope_to + slope_from)
    return width * np.cos(middle * _RADIANS) * np.sinc(half / 180.0)


@formula(
    symbol="w_h",
    expression="w*(cos(theta_1) - cos(theta_2))/(theta_2 - theta_1) if theta_2 != theta_1 else w*sin(theta_1)",
    sources=("GEOMETRY",),
    domain={"slope_from": Interval(0.0, 90.0), "slope_to": Interval(0.0, 90.0)},
)
def wall_height(width: Length, slope_from: Angle, slope_to: Angle) -> Length:
    """Return the height [mm] of a surface whose slope changes evenly across it.

    Parameters
    ----------
    width [mm]
        Width along the surface, 0 or more.
    slope_from [deg]
        Slope at one edge, 0 to 90.
    slope_to [deg]
        Slope at the other edge, 0 to 90.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for a slope that changes evenly: exact for a plane and for a circular arc. Scalars and arrays.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{wall_height('60 mm', '30 deg', '30 deg'):.3f~P}")
    30.000 mm
    """
    half = 0.5 * (slope_to - slope_from)
    middle = 0.5 * (slope_to + slope_from)
    return width * np.sin(middle * _RADIANS) * np.sinc(half / 180.0)


@formula(
    symbol="s_m",
    expression="R = D/2; 2*abs(rho)*arcsin(min(R/abs(rho + R), 1)) if abs(rho) < inf else D",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=(FITS,),
)
def largest_stepover(diameter: Length, surface_radius: Radius) -> Length:
    """Return the stepover [mm] up to which neighbouring passes of a ball still meet.

    Parameters
    ----------
    diameter [mm]
        Ball diameter, above 0.
    surface_radius [mm]
        Radius across the passes: convex positive, concave negative, flat infinite.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid up to where passes meet; on a concave surface at most a quarter turn each way; on a large one as on a plane.
    Scalars and arrays.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{largest_stepover('10 mm', '20 mm'):.4f~P}")
    8.0543 mm
    """
    radius = 0.5 * diameter
    ratio = np.minimum(np.divide(radius, np.abs(surface_radius + radius)), 1.0)
    turn = 2.0 * np.abs(surface_radius) * np.arcsin(ratio)
    return np.where(np.isinf(surface_radius), diameter, np.where(fits(diameter, surface_radius), turn, np.nan))


@formula(
    symbol="L",
    expression="N_p*l",
    sources=("DEFINITION",),
)
def total_length(passes: Count, length: Length) -> Length:
    """Return the length [mm] of so many equal moves.

    Parameters
    ----------
    passes [1]
        Number of moves.
    length [mm]
        Length of one.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{total_length(287, '80 mm'):.0f~P}")
    22960 mm
    """
    return passes * length


@formula(
    symbol="l_p",
    expression="l + 2*l_e",
    sources=("DEFINITION",),
)
def pass_length(length: Length, entry: Length) -> Length:
    """Return the length [mm] of a pass with its entry and exit.

    Parameters
    ----------
    length [mm]
        Length on the surface.
    entry [mm]
        Length of the entry; the exit has the same.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{pass_length('80 mm', '3 mm'):.0f~P}")
    86 mm
    """
    return length + 2.0 * entry


@formula(symbol="L", expression="l + l_2", sources=("DEFINITION",))
def joined_length(length: Length, further_length: Length) -> Length:
    """Return the length [mm] of two paths, one after the other.

    Parameters
    ----------
    length [mm]
        Length of one.
    further_length [mm]
        Length of the other.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{joined_length('80 mm', '35 mm'):.0f~P}")
    115 mm
    """
    return length + further_length


@formula(symbol="l_m", expression="L/N_b", sources=("DEFINITION",), domain={"blocks": POSITIVE})
def mean_move(total_length: Length, blocks: Count) -> Length:
    """Return the mean length [mm] of the straight moves of a path.

    Parameters
    ----------
    total_length [mm]
        Length of the path.
    blocks [1]
        Number of straight moves, above 0.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{mean_move('120 mm', 4):.0f~P}")
    30 mm
    """
    return total_length / blocks


@formula(symbol="l_r", expression="L - l", sources=("DEFINITION",), requires=("length <= total_length",))
def remaining_length(total_length: Length, length: Length) -> Length:
    """Return the length [mm] of what remains of a path without a part of it.

    Parameters
    ----------
    total_length [mm]
        Length of the path.
    length [mm]
        Length of the part, no more than the path's.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain; the part is longer than the path.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{remaining_length('570 mm', '30 mm'):.0f~P}")
    540 mm
    """
    return np.where(length <= total_length, total_length - length, np.nan)[()]
