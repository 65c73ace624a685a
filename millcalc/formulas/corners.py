"""Inside corners: what a larger cutter leaves in them, how far a cutter is engaged there, and the feed that suits."""

from math import pi
from typing import Any

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, Angle, Area, Interval, Length, Ratio

__all__ = [
    "corner_area",
    "corner_engagement",
    "corner_feed_factor",
    "corner_mean_feed_factor",
    "corner_reach",
    "corner_stock",
    "corner_stock_between",
    "corner_stock_engagement",
]

_HALF = pi / 360.0  # deg to rad, and halved
_CORNER = Interval(0.0, 180.0, low_open=True)
_ANGLE = Interval(0.0, 180.0, low_open=True)
# tan(x) - x of small x, by its series: x^3/3 + 2 x^5/15 + ...
_SERIES = (1 / 3, 2 / 15, 17 / 315, 62 / 2835, 1382 / 155925, 21844 / 6081075, 929569 / 638512875)


def _inside(corner_angle: Any) -> Any:
    """1 where there is a corner, NaN elsewhere."""
    return np.where((corner_angle > 0.0) & (corner_angle <= 180.0), 1.0, np.nan)


def _beyond(corner_angle: Any) -> Any:
    """Distance from the vertex to a fillet of radius 1, 1/sin(gamma/2) - 1, with all its digits near 180 deg."""
    turn = np.sin(0.5 * _HALF * (180.0 - corner_angle))
    return 2.0 * turn * turn / np.sin(_HALF * corner_angle)


@formula(
    symbol="t_c",
    expression="max(D/2 - r_f, 0)*(1/sin(gamma/2) - 1)",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "corner_angle": _CORNER},
)
def corner_stock(diameter: Length, fillet_radius: Length, corner_angle: Angle) -> Length:
    """Return the stock [mm] that a cutter leaves in an inside corner over its fillet, along the bisector.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    fillet_radius [mm]
        Radius of the finished fillet, 0 or more; scalar or array.
    corner_angle [deg]
        Angle between the walls, above 0 to 180 (none); scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for upright straight walls, cut to the fillet by a path with a sharp corner; 0 where the cutter is no larger
    than the fillet. Stock left on the walls comes on top, over the sine of half the angle. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{corner_stock('20 mm', '4 mm', '90 deg'):.4f~P}")
    2.4853 mm
    """
    return np.maximum(0.5 * diameter - fillet_radius, 0.0) * _beyond(corner_angle) * _inside(corner_angle)


@formula(
    symbol="t_c",
    expression="max(D_1 - D, 0)/2*(1/sin(gamma/2) - 1)",
    sources=("GEOMETRY",),
    domain={"larger_diameter": POSITIVE, "diameter": POSITIVE, "corner_angle": _CORNER},
)
def corner_stock_between(larger_diameter: Length, diameter: Length, corner_angle: Angle) -> Length:
    """Return the depth [mm], along the bisector, that a smaller cutter must take in a corner after a larger one.

    Parameters
    ----------
    larger_diameter [mm]
        Diameter of the cutter that went before, above 0; scalar or array.
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    corner_angle [deg]
        Angle between the walls, above 0 to 180 (none); scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid where both cut the walls to the same size, on paths with a sharp corner; 0 where the cutter is no smaller.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{corner_stock_between('20 mm', '8 mm', '90 deg'):.4f~P}")
    2.4853 mm
    """
    return 0.5 * np.maximum(larger_diameter - diameter, 0.0) * _beyond(corner_angle) * _inside(corner_angle)


@formula(
    symbol="l_c",
    expression="D/2/tan(gamma/2)",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "corner_angle": _CORNER},
)
def corner_reach(diameter: Length, corner_angle: Angle) -> Length:
    """Return how far [mm] along the wall from its vertex a cutter leaves stock in an inside corner.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    corner_angle [deg]
        Angle between the walls, above 0 to 180 (none); scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for straight walls that are as long; a smaller cutter has to be in its cut from here on. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{corner_reach('20 mm', '90 deg'):.4f~P}")
    10.0000 mm
    """
    # the tangent of the other half keeps its digits as the corner opens
    return 0.5 * diameter * np.tan(_HALF * (180.0 - corner_angle)) * _inside(corner_angle)


@formula(
    symbol="A_c",
    expression="max(D^2/4 - r_f^2, 0)*(tan((pi - gamma)/2) - (pi - gamma)/2)",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "corner_angle": _CORNER},
)
def corner_area(diameter: Length, fillet_radius: Length, corner_angle: Angle) -> Area:
    """Return the area [mm^2], seen along the axis, that a cutter leaves in an inside corner outside the fillet.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    fillet_radius [mm]
        Radius of the finished fillet, 0 or more, or of the smaller cutter that follows; scalar or array.
    corner_angle [deg]
        Angle between the walls, above 0 to 180 (none); scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for straight walls, cut to size by a path with a sharp corner; times the depth it is the volume left.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{corner_area('20 mm', '4 mm', '90 deg'):.4f~P}")
    18.0266 mm²
    """
    turned = _HALF * (180.0 - corner_angle)
    series = 0.0
    for term in reversed(_SERIES):
        series = turned * turned * (term + series)
    unit = np.where(turned < 0.1, turned * series, np.tan(turned) - turned)
    radius = 0.5 * diameter
    return np.maximum((radius - fillet_radius) * (radius + fillet_radius), 0.0) * unit * _inside(corner_angle)


@formula(
    symbol="phi_m",
    expression="min(pi - gamma + arccos(1 - 2*a_e/D), pi)",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "corner_angle": _CORNER},
    requires=("radial_width <= diameter",),
)
def corner_engagement(diameter: Length, radial_width: Length, corner_angle: Angle) -> Angle:
    """Return the largest angle [deg] of engagement where a cut along a wall turns into an inside corner.

    In the corner the rim stands in the stock from the one wall to the other, which is as far as the path turns, and on
    to where it leaves the stock of the second wall; behind its widest place it does not cut.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    radial_width [mm]
        Width of cut along both walls, 0 to the diameter; scalar or array.
    corner_angle [deg]
        Angle between the walls, above 0 to 180 (none); scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cut is wider than the cutter.

    Notes
    -----
    Valid for a path with a sharp corner after another of the same cutter, parallel to it, and a feed small against the
    cutter. A path rounded so that the stock has even thickness engages as `arc_radial_engagement` tells.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{corner_engagement('10 mm', '1 mm', '90 deg'):.2f~P}")
    126.87 deg
    """
    straight = np.degrees(2.0 * np.arctan2(np.sqrt(radial_width), np.sqrt(diameter - radial_width)))
    return np.minimum(180.0 - corner_angle + straight, 180.0) * _inside(corner_angle)


@formula(
    symbol="phi_m",
    expression="W = sin((pi - gamma)/4)*sqrt((D_1 + D + (D_1 - D)/sin(gamma/2))/(2*D)); "
    "min((pi - gamma)/2 + 2*arcsin(min(W, 1)), pi)",
    sources=("GEOMETRY",),
    domain={"larger_diameter": POSITIVE, "diameter": POSITIVE, "corner_angle": _CORNER},
    requires=("diameter < larger_diameter",),
)
def corner_stock_engagement(larger_diameter: Length, diameter: Length, corner_angle: Angle) -> Angle:
    """Return the largest angle [deg] of engagement of a smaller cutter in the corner stock of a larger one.

    It is reached at the corner of the path, where the cutter touches both walls.

    Parameters
    ----------
    larger_diameter [mm]
        Diameter of the cutter that went before, above the other; scalar or array.
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    corner_angle [deg]
        Angle between the walls, above 0 to 180 (none); scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cutter is no smaller.

    Notes
    -----
    Valid where both cut the walls to the same size in one go along them, on paths with a sharp corner, for a feed small
    against the cutter. Passes that approach the corner in steps are engaged less. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{corner_stock_engagement('20 mm', '12 mm', '90 deg'):.2f~P}")
    106.87 deg
    """
    turn, sine = np.sin(0.5 * _HALF * (180.0 - corner_angle)), np.sin(_HALF * corner_angle)
    smaller = np.where(diameter < larger_diameter, 1.0, np.nan)
    wide = turn * np.sqrt((larger_diameter + diameter + (larger_diameter - diameter) / sine) / (2.0 * diameter))
    angle = 90.0 - 0.5 * corner_angle + np.degrees(2.0 * np.arcsin(np.minimum(wide, 1.0)))
    return np.minimum(angle, 180.0) * _inside(corner_angle) * smaller


@formula(
    symbol="q_c",
    expression="sin(min(phi, pi/2))/sin(min(phi_c, pi/2))",
    sources=("GEOMETRY",),
    domain={"engagement_angle": _ANGLE, "corner_engagement": _ANGLE},
)
def corner_feed_factor(engagement_angle: Angle, corner_engagement: Angle) -> Ratio:
    """Return the feed in a corner over that on the straight that keeps the largest chip thickness.

    Parameters
    ----------
    engagement_angle [deg]
        Angle of engagement along the straight wall, above 0 to 180; scalar or array.
    corner_engagement [deg]
        Angle of engagement in the corner, above 0 to 180; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for a cut beside a wall. From 90 deg on the largest chip grows no more; force and torque still do, with the
    teeth in the cut. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{corner_feed_factor('36.87 deg', '126.87 deg'):.3f}")
    0.600
    """
    straight, corner = (np.sin(2.0 * _HALF * np.minimum(a, 90.0)) for a in (engagement_angle, corner_engagement))
    return np.divide(straight, corner) * _engaged(engagement_angle) * _engaged(corner_engagement)


@formula(
    symbol="q_c",
    expression="sin(phi/2)^2/phi/(sin(phi_c/2)^2/phi_c)",
    sources=("GEOMETRY",),
    domain={"engagement_angle": _ANGLE, "corner_engagement": _ANGLE},
)
def corner_mean_feed_factor(engagement_angle: Angle, corner_engagement: Angle) -> Ratio:
    """Return the feed in a corner over that on the straight that keeps the mean chip thickness.

    Parameters
    ----------
    engagement_angle [deg]
        Angle of engagement along the straight wall, above 0 to 180; scalar or array.
    corner_engagement [deg]
        Angle of engagement in the corner, above 0 to 180; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for a cut beside a wall. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{corner_mean_feed_factor('36.87 deg', '126.87 deg'):.3f}")
    0.430
    """
    straight, corner = (np.sin(_HALF * a) ** 2 / a for a in (engagement_angle, corner_engagement))
    return np.divide(straight, corner) * _engaged(engagement_angle) * _engaged(corner_engagement)


def _engaged(angle: Any) -> Any:
    """1 for an angle that a tooth can be in the cut beside a wall, NaN for others."""
    return np.where((angle > 0.0) & (angle <= 180.0), 1.0, np.nan)
