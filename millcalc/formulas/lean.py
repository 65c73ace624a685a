"""How the cutter axis leans against the surface and the feed."""

from typing import Any

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import Angle, Interval, Ratio

__all__ = ["fixed_axis_lead", "fixed_axis_tilt", "inclination"]

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


def _exact(component: Any) -> Any:
    """Return 0 where a quarter turn leaves a rounding error."""
    return np.where(np.abs(component) < 1e-15, 0.0, component)
