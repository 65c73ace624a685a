"""Roughness of scallops and feed marks, and the roughness grades of the drawing."""

from collections.abc import Sequence
from math import factorial, nan
from typing import Any

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import (
    POSITIVE,
    FeedPerTooth,
    Grade,
    Interval,
    Length,
    Roughness,
    ScallopHeight,
)

__all__ = [
    "cut_off_length",
    "feed_mark_height",
    "feed_per_tooth_for_mark",
    "grade_from_ra",
    "ra_from_grade",
    "ra_from_scallop",
    "rz_from_scallop",
    "scallop_from_ra",
    "scallop_from_rz",
]

_MOST = 90.65145297051399  # um of Ra for each mm of diameter, where the scallop is as high as the radius
_GRADES = (0.025, 0.05, 0.1, 0.2, 0.4, 0.8, 1.6, 3.2, 6.3, 12.5, 25.0, 50.0)  # nominal Ra of N1 to N12, um
# still that grade: the nominal inch figures (63 uin, 125 uin) lie up to 1.6 % above the metric ones
_LIMITS = tuple(1.02 * nominal for nominal in _GRADES)

# Power series in x^2 of (x - sin x)/x^3 and of (2 sin x - sin x cos x - x)/x^3.  They converge for every x;
# so many terms reach rounding at x = 4/3 and x = pi/2, the largest that occur.
_SEGMENT = tuple((-1) ** k / factorial(2 * k + 3) for k in range(10))
_SINK = tuple((-1) ** k * (4 * 4**k - 2) / factorial(2 * k + 3) for k in range(14))

# (h_s/R)/q*(1 + x) in powers of x = sqrt(1 - q), where q is Ra over the greatest Ra: h_s is a smooth function
# of x.  Fitted to the closed form, inverted in 60 digits; relative error below 1e-13, and exact at x = 0.
_INVERSE = (
    1.0,
    0.32293935606383356,
    0.08379038366809659,
    0.007602796447042264,
    0.0007260946595587664,
    -0.0024614493894438423,
    0.0009448734738119486,
    -0.0008536535305338663,
    0.0007198778519022498,
    -0.00047924265142979975,
    0.00028208494777861925,
    -0.0001245048237757458,
    3.395817107885565e-05,
    -4.273964138636625e-06,
)


def _powers(coefficients: Sequence[float], x: Any) -> Any:
    """Return the sum of coefficients times rising powers of x."""
    total = coefficients[-1]
    for coefficient in coefficients[-2::-1]:
        total = total * x + coefficient
    return total


@formula(
    symbol="Ra",
    expression="R = D/2; T = arccos(1 - h_s/(1000*R)); A = arccos((cos(T) + T/sin(T))/2); "
    "1000*R*(A - sin(A)*cos(A))/sin(T)",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=("scallop_height <= 500*diameter",),
)
def ra_from_scallop(diameter: Length, scallop_height: ScallopHeight) -> Roughness:
    """Return the arithmetical mean deviation Ra [um] of a row of scallops, exactly.

    Parameters
    ----------
    diameter [mm]
        Diameter of the circular arcs that make the profile, above 0; scalar or array.
    scallop_height [um]
        Height of the scallops from valley to ridge, 0 to the radius of the arcs; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the scallop is higher than the radius.

    Notes
    -----
    Valid for arcs that meet in sharp ridges: mean line by balance of areas, no waviness, no marks along the
    feed. 0.2566 of the height for low scallops, 0.1813 at the radius. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{ra_from_scallop('10 mm', '6.2539 um').magnitude:.4f} um")
    1.6046 um
    """
    # the printed form loses all digits for low scallops; the least number keeps 0/0 out of a height of 0
    rise = np.divide(scallop_height, 500.0 * diameter) + 1e-300
    half = 2.0 * np.arcsin(np.sqrt(0.5 * rise))
    sine = np.sqrt(rise * (2.0 - rise))
    sink = 0.5 * half * half * half * _powers(_SINK, half * half) / sine
    mean = 4.0 * np.arcsin(np.sqrt(0.5 * sink))
    area = mean * mean * mean * _powers(_SEGMENT, mean * mean)
    return np.where(scallop_height <= 500.0 * diameter, 250.0 * diameter * area / sine, nan)[()]


@formula(
    symbol="h_s",
    expression="",
    method="the height whose Ra, by the closed form of ra_from_scallop, is the one given",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=("ra <= 90.65145297052*diameter",),
)
def scallop_from_ra(diameter: Length, ra: Roughness) -> ScallopHeight:
    """Return the scallop height [um] that makes an arithmetical mean deviation Ra.

    Parameters
    ----------
    diameter [mm]
        Diameter of the circular arcs that make the profile, above 0; scalar or array.
    ra [um]
        Arithmetical mean deviation, 0 to that of scallops as high as the radius; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or no scallop is as rough.

    Notes
    -----
    Valid as `ra_from_scallop`, which it inverts to 1e-13; Ra rises with the height up to the radius.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{scallop_from_ra('10 mm', '1.6 um').magnitude:.4f} um")
    6.2362 um
    """
    share = np.divide(ra, _MOST * diameter)
    rest = np.sqrt(np.maximum(1.0 - share, 0.0))
    part = np.minimum(share / (1.0 + rest) * _powers(_INVERSE, rest), 1.0)
    return np.where(ra <= 90.65145297052 * diameter, 500.0 * diameter * part, nan)[()]


@formula(
    symbol="Rz",
    expression="h_s",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=("scallop_height <= 500*diameter",),
)
def rz_from_scallop(diameter: Length, scallop_height: ScallopHeight) -> Roughness:
    """Return the peak-to-valley height Rz [um] of a row of scallops: their height.

    Parameters
    ----------
    diameter [mm]
        Diameter of the circular arcs that make the profile, above 0; scalar or array.
    scallop_height [um]
        Height of the scallops from valley to ridge, 0 to the radius of the arcs; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the scallop is higher than the radius.

    Notes
    -----
    Valid for a profile across the passes that holds a whole scallop in each sampling length.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{rz_from_scallop('10 mm', '6 um').magnitude:.1f} um")
    6.0 um
    """
    return np.where(scallop_height <= 500.0 * diameter, scallop_height, nan)[()]


@formula(
    symbol="h_s",
    expression="Rz",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=("rz <= 500*diameter",),
)
def scallop_from_rz(diameter: Length, rz: Roughness) -> ScallopHeight:
    """Return the scallop height [um] that makes a peak-to-valley height Rz: the same.

    Parameters
    ----------
    diameter [mm]
        Diameter of the circular arcs that make the profile, above 0; scalar or array.
    rz [um]
        Peak-to-valley height, 0 to the radius of the arcs; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the height exceeds the radius.

    Notes
    -----
    Valid as `rz_from_scallop`. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{scallop_from_rz('10 mm', '6 um').magnitude:.1f} um")
    6.0 um
    """
    return np.where(rz <= 500.0 * diameter, rz, nan)[()]


@formula(
    symbol="h_f",
    expression="R = D/2; 1000*(R - sqrt(R^2 - f_z^2/4))",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=("feed_per_tooth <= diameter",),
)
def feed_mark_height(diameter: Length, feed_per_tooth: FeedPerTooth) -> ScallopHeight:
    """Return the height [um] of the marks that teeth leave a feed apart along the feed.

    Parameters
    ----------
    diameter [mm]
        Diameter of the arc in which a tooth passes the surface, of a ball that of the ball; above 0.
    feed_per_tooth [mm]
        Distance between neighbouring marks, 0 to the diameter; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the marks do not meet.

    Notes
    -----
    Valid for arcs of a circle: a tooth's path is one only for a feed small against the diameter, and runout
    doubles the distance. Scalars and arrays. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{feed_mark_height('10 mm', '0.1 mm').magnitude:.5f} um")
    0.25001 um
    """
    # the product keeps the digits that the difference of the printed form loses
    radius, half = 0.5 * diameter, 0.5 * feed_per_tooth
    return np.divide(1000.0 * half * half, radius + np.sqrt((radius - half) * (radius + half)))


@formula(
    symbol="f_z",
    expression="H = h_f/1000; 2*sqrt(H*(D - H))",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=("feed_mark_height <= 500*diameter",),
)
def feed_per_tooth_for_mark(diameter: Length, feed_mark_height: ScallopHeight) -> FeedPerTooth:
    """Return the feed per tooth [mm] whose marks have a height along the feed.

    Parameters
    ----------
    diameter [mm]
        Diameter of the arc in which a tooth passes the surface, of a ball that of the ball; above 0.
    feed_mark_height [um]
        Height of the marks, 0 to the radius of the arc; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the marks are higher than the radius.

    Notes
    -----
    Valid as `feed_mark_height`. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{feed_per_tooth_for_mark('10 mm', '0.25 um').magnitude:.5f} mm")
    0.10000 mm
    """
    height = feed_mark_height / 1000.0
    reach = np.sqrt(height * (diameter - height))
    return np.where(height <= 0.5 * diameter, 2.0 * reach, nan)[()]


@formula(
    symbol="Ra",
    expression="0.025*2^(N - 1) if N <= 8 else (6.3 if N == 9 else 12.5*2^(N - 10))",
    sources=("ISO1302",),
)
def ra_from_grade(grade: Grade) -> Roughness:
    """Return the nominal arithmetical mean deviation Ra [um] of a roughness grade.

    Parameters
    ----------
    grade [1]
        Grade number of ISO 1302, "N1" to "N12" or 1 to 12; scalar or array.

    Raises
    ------
    UnitError, DomainError
        The grade is none of the twelve.

    Notes
    -----
    Valid for N1 to N12. Source: ISO1302.

    Examples
    --------
    >>> print(f"{ra_from_grade('N7').magnitude:.1f} um")
    1.6 um
    """
    coarse = np.where(grade == 9, 6.3, 12.5 * 2.0 ** (grade - 10.0))
    known = (grade >= 1) & (grade <= 12) & (grade % 1 == 0)
    return np.where(known, np.where(grade <= 8, 0.025 * 2.0 ** (grade - 1.0), coarse), nan)[()]


@formula(
    symbol="N",
    expression="max(1, 1 + ceil(log(Ra/0.0255)/log(2))) if Ra <= 3.264 else "
    "(9 if Ra <= 6.426 else 10 + max(0, ceil(log(Ra/12.75)/log(2))))",
    sources=("ISO1302",),
    domain={"ra": Interval(0.0, _LIMITS[-1])},
)
def grade_from_ra(ra: Roughness) -> Grade:
    """Return the finest roughness grade whose nominal Ra is not below the one given.

    Parameters
    ----------
    ra [um]
        Arithmetical mean deviation, 0 to 51 um; scalar or array.

    Raises
    ------
    UnitError, DomainError
        The value has the wrong kind of unit or is rougher than N12.

    Notes
    -----
    Valid up to N12. The nominal inch figures count as equal to the metric ones, as the table has it, so that
    63 uin is N7 and 125 uin N8: 2 % above a nominal Ra is still that grade. Source: ISO1302.

    Examples
    --------
    >>> grade_from_ra("1.6 um"), grade_from_ra("63 uin"), grade_from_ra("1.7 um")
    ('N7', 'N7', 'N8')
    """
    number = 1 + sum(ra > limit for limit in _LIMITS[:-1])
    return np.where((ra >= 0.0) & (ra <= _LIMITS[-1]), number, nan)[()]


@formula(
    symbol="l_r",
    expression="0.08 if Ra <= 0.02 else (0.25 if Ra <= 0.1 else (0.8 if Ra <= 2 else (2.5 if Ra <= 10 else 8)))",
    sources=("ISO4288",),
    domain={"ra": Interval(0.0, 80.0)},
    validity=("ra >= 0.006",),
)
def cut_off_length(ra: Roughness) -> Length:
    """Return the cut-off length [mm], which is the sampling length, for measuring a roughness.

    Parameters
    ----------
    ra [um]
        Arithmetical mean deviation expected, 0 to 80 um; scalar or array.

    Raises
    ------
    UnitError, DomainError
        The value has the wrong kind of unit or is rougher than the standard's table.

    Notes
    -----
    Valid for profiles without a regular pattern; where scallops stand out, the standard chooses by their
    spacing instead. The table begins at 0.006 um. Source: ISO4288.

    Examples
    --------
    >>> print(f"{cut_off_length('1.6 um').magnitude:.1f} mm")
    0.8 mm
    """
    # whole hundredths, so that the lengths come out as the decimal numbers they are
    hundredths = 8 + 17 * (ra > 0.02) + 55 * (ra > 0.1) + 170 * (ra > 2.0) + 550 * (ra > 10.0)
    return np.where((ra >= 0.0) & (ra <= 80.0), hundredths / 100.0, nan)[()]
