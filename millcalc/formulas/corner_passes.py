"""Passes of a smaller cutter through the corner stock that a larger one has left."""

from math import pi

import numpy as np

from millcalc.formulas._whole import whole_up
from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, Angle, Count, Interval, Length

__all__ = ["corner_passes", "corner_path_length", "width_of_engagement"]

_HALF = pi / 360.0  # deg to rad, and halved
_CORNER = Interval(0.0, 180.0, low_open=True)
_ANGLE = Interval(0.0, 180.0)
_PASSES = Interval(1.0, 1000.0)


@formula(
    symbol="N_p",
    expression="ceil((D_1 - D)/2*(1 - sin(gamma/2))/a_e)",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "corner_angle": _CORNER, "radial_width": POSITIVE},
    requires=("diameter < larger_diameter",),
)
def corner_passes(larger_diameter: Length, diameter: Length, corner_angle: Angle, radial_width: Length) -> Count:
    """Return how many passes a smaller cutter takes through the corner stock of a larger one.

    Parameters
    ----------
    larger_diameter [mm]
        Diameter of the cutter that went before, above the other; scalar or array.
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    corner_angle [deg]
        Angle between the walls, above 0 to 180 (none); scalar or array.
    radial_width [mm]
        Largest distance of neighbouring passes, square to the walls, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cutter is no smaller.

    Notes
    -----
    Valid for upright straight walls, both cut to the same size, and passes parallel to both of them with a sharp
    corner. Source: GEOMETRY.

    Examples
    --------
    >>> corner_passes('20 mm', '8 mm', '90 deg', '0.5 mm')
    4.0
    """
    less = np.where(np.less(diameter, larger_diameter), np.subtract(larger_diameter, diameter), np.nan)
    inside = np.where(np.greater(corner_angle, 0.0) & np.less_equal(corner_angle, 180.0), 1.0, np.nan)
    turn = np.sin(0.5 * _HALF * np.subtract(180.0, corner_angle))
    # 1 - sin(gamma/2), with all its digits near 180 deg
    return whole_up(0.5 * less * 2.0 * turn * turn / radial_width * inside)


@formula(
    symbol="L_c",
    expression="",
    method="for each pass the way on both walls from where the rim meets the arc of the larger cutter to the corner",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "corner_angle": _CORNER, "passes": _PASSES},
    requires=("diameter < larger_diameter",),
)
def corner_path_length(larger_diameter: Length, diameter: Length, corner_angle: Angle, passes: Count) -> Length:
    """Return the length [mm] in the cut of all passes of a smaller cutter through the corner stock of a larger one.

    A pass at a distance w from the finished walls meets stock from where the circles of both cutters touch, sqrt(2
    w d - w^2) nearer to the corner than on the wall, with d half the difference of the diameters.

    Parameters
    ----------
    larger_diameter [mm]
        Diameter of the cutter that went before, above the other; scalar or array.
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    corner_angle [deg]
        Angle between the walls, above 0 to 180 (none); scalar or array.
    passes [1]
        Number of passes, evenly spaced, 1 to 1000; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cutter is no smaller.

    Notes
    -----
    Valid as `corner_passes`; lengths of the axis' path, without approaches and returns. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{corner_path_length('20 mm', '8 mm', '90 deg', 4):.2f~P}")
    24.46 mm
    """
    d, angle, count, _ = np.broadcast_arrays(0.5 * np.subtract(larger_diameter, diameter), corner_angle, passes, 1.0)
    half = _HALF * angle
    cotangent, deepest = 1.0 / np.tan(half), d * (1.0 - np.sin(half))
    fits = (d > 0.0) & (angle > 0.0) & (angle <= 180.0) & (count >= 1.0) & (count <= _PASSES.high)
    most = int(np.max(count, initial=1.0, where=fits))
    place = np.arange(most).reshape(-1, *(1,) * np.ndim(d))
    w = np.minimum(place / count, 1.0) * deepest
    legs = d * cotangent - np.sqrt(np.maximum(2.0 * w * d - w * w, 0.0)) - w * cotangent
    path = np.sum(np.where(place < count, 2.0 * np.maximum(legs, 0.0), 0.0), axis=0)
    return np.where(fits, path, np.nan)[()]


@formula(
    symbol="a_q",
    expression="D*sin(phi/2)^2",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "engagement_angle": _ANGLE},
)
def width_of_engagement(diameter: Length, engagement_angle: Angle) -> Length:
    """Return the radial width [mm] of the straight cut that engages a cutter over an angle.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    engagement_angle [deg]
        Angle of engagement, 0 to 180; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for a cut beside a wall; the inverse of `engagement_angle`. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{width_of_engagement('10 mm', '90 deg'):.1f~P}")
    5.0 mm
    """
    inside = np.greater_equal(engagement_angle, 0.0) & np.less_equal(engagement_angle, 180.0)
    return (diameter * np.sin(_HALF * np.where(inside, engagement_angle, np.nan)) ** 2)[()]
