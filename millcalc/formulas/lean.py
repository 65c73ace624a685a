"""How the cutter axis leans against the surface and the feed."""

from typing import Any

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import Angle, Interval, Ratio

__all__ = ["fixed_axis_lead", "fixed_axis_tilt", "inclination", "slope_of_least_lean"]

_RADIANS = np.pi / 180.0


@formula(
    symbol="beta",
    expression="arctan2(sqrt(sin(lambda_f)^2 + cos(lambda_f)^2*sin(tau)^2), cos(lambda_f)*cos(tau))",
    sources=("GEOMETRY",),
)
def inclination(lead: Angle, tilt: Angle) -> Angle:
    """Return the angle [deg] between the cutter axis and the surface normal.

    Parameters
    ----------
    lead [deg]
        Lean toward the feed, turned first.
    tilt [deg]
        Lean across the feed.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{inclination('10 deg', '10 deg'):.3f~P}")
    14.106 deg
    """
    ahead, across = np.sin(lead * _RADIANS), np.cos(lead * _RADIANS)
    aside = across * np.sin(tilt * _RADIANS)
    return np.arctan2(np.hypot(ahead, aside), across * np.cos(tilt * _RADIANS)) / _RADIANS


@formula(
    symbol="lambda_f",
    expression="T = sqrt(t_x^2 + t_y^2 + t_z^2); arcsin((cos(psi)*t_y + sin(psi)*(sin(theta)*t_z - cos(theta)*t_x))/T)",
    sources=("GEOMETRY",),
    domain={"slope": Interval(0.0, 90.0)},
    requires=("(axis_downhill != 0) | (axis_along != 0) | (axis_up != 0)",),
)
def fixed_axis_lead(
    slope: Angle, heading: Angle, axis_downhill: Ratio = 0.0, axis_along: Ratio = 0.0, axis_up: Ratio = 1.0
) -> Angle:
    """Return the lead [deg] of an axis that keeps its direction on a slope.

    Parameters
    ----------
    slope [deg]
        Slope of the surface, 0 to 90.
    heading [deg]
        Direction of travel: 0 along the slope with the hill on the left, 90 uphill, 180 along it with
        the hill on the right, 270 downhill.
    axis_downhill [1]
        Component of the axis toward the foot of the slope, horizontally.
    axis_along [1]
        Component along the slope, to the right of one who looks uphill.
    axis_up [1]
        Component upward.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{fixed_axis_lead('30 deg', '90 deg'):.1f~P}")
    30.0 deg
    """
    steep, level = np.sin(slope * _RADIANS), np.cos(slope * _RADIANS)
    uphill = steep * axis_up - level * axis_downhill
    ahead = _exact(np.cos(heading * _RADIANS)) * axis_along + _exact(np.sin(heading * _RADIANS)) * uphill
    length = np.sqrt(axis_downhill**2 + axis_along**2 + axis_up**2)
    return np.arcsin(np.clip(ahead / length, -1.0, 1.0)) / _RADIANS


@formula(
    symbol="tau",
    expression="arctan2(cos(psi)*(sin(theta)*t_z - cos(theta)*t_x) - sin(psi)*t_y, sin(theta)*t_x + cos(theta)*t_z)",
    sources=("GEOMETRY",),
    domain={"slope": Interval(0.0, 90.0)},
    requires=("(axis_downhill != 0) | (axis_along != 0) | (axis_up != 0)",),
)
def fixed_axis_tilt(
    slope: Angle, heading: Angle, axis_downhill: Ratio = 0.0, axis_along: Ratio = 0.0, axis_up: Ratio = 1.0
) -> Angle:
    """Return the tilt [deg] of an axis that keeps its direction on a slope.

    Parameters
    ----------
    slope [deg]
        Slope of the surface, 0 to 90.
    heading [deg]
        Direction of travel: 0 along the slope with the hill on the left, 90 uphill, 180 along it with
        the hill on the right, 270 downhill.
    axis_downhill [1]
        Component of the axis toward the foot of the slope, horizontally.
    axis_along [1]
        Component along the slope, to the right of one who looks uphill.
    axis_up [1]
        Component upward.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{fixed_axis_tilt('30 deg', '0 deg'):.1f~P}")
    30.0 deg
    """
    steep, level = np.sin(slope * _RADIANS), np.cos(slope * _RADIANS)
    uphill = steep * axis_up - level * axis_downhill
    aside = _exact(np.cos(heading * _RADIANS)) * uphill - _exact(np.sin(heading * _RADIANS)) * axis_along
    return np.arctan2(aside, steep * axis_downhill + level * axis_up) / _RADIANS


@formula(
    symbol="theta_l",
    expression="min(max(arctan2(t_x, t_z), min(theta_1, theta_2)), max(theta_1, theta_2))",
    sources=("GEOMETRY",),
    domain={"slope_from": Interval(0.0, 90.0), "slope_to": Interval(0.0, 90.0)},
    requires=("(axis_downhill != 0) | (axis_up != 0)",),
)
def slope_of_least_lean(slope_from: Angle, slope_to: Angle, axis_downhill: Ratio = 0.0, axis_up: Ratio = 1.0) -> Angle:
    """Return the slope [deg] of a range at which an axis of fixed direction leans least from the surface normal.

    Parameters
    ----------
    slope_from [deg]
        Slope at one end of the range, 0 to 90; scalar or array.
    slope_to [deg]
        Slope at the other end, 0 to 90.
    axis_downhill [1]
        Component of the axis toward the foot of the slope, horizontally.
    axis_up [1]
        Component upward.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{slope_of_least_lean('0 deg', '60 deg', 0.5, 0.8660254):.1f~P}")
    30.0 deg
    """
    square = np.arctan2(axis_downhill, axis_up) / _RADIANS
    low, high = np.minimum(slope_from, slope_to), np.maximum(slope_from, slope_to)
    return np.minimum(np.maximum(square, low), high)


def _exact(component: Any) -> Any:
    """Return 0 where a quarter turn leaves a rounding error."""
    return np.where(np.abs(component) < 1e-15, 0.0, component)
