"""On a curved surface the contact and the programmed point run on different radii."""

from typing import Any

import numpy as np

from millcalc.formulas._fits import FITS, fits
from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import (
    POSITIVE,
    POSITIVE_OR_INFINITE,
    Angle,
    FeedRate,
    Interval,
    Length,
    Radius,
)

__all__ = [
    "centre_path_radius",
    "contact_feed_rate",
    "contact_length",
    "programmed_feed_rate",
    "programmed_length",
    "tip_path_radius",
]

_RADIANS = np.pi / 180.0


@formula(
    symbol="r",
    expression="abs(rho + D/2)",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=(FITS,),
)
def centre_path_radius(diameter: Length, surface_radius: Radius) -> Length:
    """Return the radius [mm] on which the ball centre runs.

    Parameters
    ----------
    diameter [mm]
        Ball diameter, above 0.
    surface_radius [mm]
        Radius of the surface along the feed: convex positive, concave negative, flat infinite.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit; with an axis of fixed direction the tip runs on the same radius. Scalars and arrays.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{centre_path_radius('10 mm', '-20 mm'):.1f~P}")
    15.0 mm
    """
    return np.where(fits(diameter, surface_radius), np.abs(surface_radius + 0.5 * diameter), np.nan)


@formula(
    symbol="r",
    expression="R = D/2; sqrt((rho + R - R*cos(lambda_f)*cos(tau))^2 + (R*sin(lambda_f))^2)",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=(FITS,),
)
def tip_path_radius(diameter: Length, surface_radius: Radius, lead: Angle = 0.0, tilt: Angle = 0.0) -> Length:
    """Return the radius [mm] on which the tip runs while the axis follows the normal with lead and tilt.

    Parameters
    ----------
    diameter [mm]
        Ball diameter, above 0.
    surface_radius [mm]
        Radius of the surface along the feed: convex positive, concave negative, flat infinite.
    lead [deg]
        Lean toward the feed.
    tilt [deg]
        Lean across the feed.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{tip_path_radius('10 mm', '20 mm', '15 deg'):.4f~P}")
    20.2118 mm
    """
    radius = 0.5 * diameter
    sunk = radius * (1.0 - np.cos(lead * _RADIANS) * np.cos(tilt * _RADIANS))
    return np.where(
        fits(diameter, surface_radius), np.hypot(surface_radius + sunk, radius * np.sin(lead * _RADIANS)), np.nan
    )


@formula(
    symbol="v_p",
    expression="v_f*r/abs(rho) if abs(rho) < inf else v_f",
    sources=("KINEMATICS",),
    domain={"path_radius": POSITIVE_OR_INFINITE},
    requires=("surface_radius != 0",),
)
def programmed_feed_rate(feed_rate: FeedRate, path_radius: Length, surface_radius: Radius) -> FeedRate:
    """Return the feed rate [mm/min] of the programmed point that gives a feed rate at the contact.

    Parameters
    ----------
    feed_rate [mm/min]
        Feed rate at the contact.
    path_radius [mm]
        Radius of the path of the programmed point.
    surface_radius [mm]
        Radius of the surface along the feed: convex positive, concave negative, flat infinite.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: KINEMATICS.

    Examples
    --------
    >>> print(f"{programmed_feed_rate('1000 mm/min', '25 mm', '20 mm'):.0f~P}")
    1250 mm/min
    """
    return feed_rate * _ratio(path_radius, surface_radius)


@formula(
    symbol="v_k",
    expression="v_f*abs(rho)/r if abs(rho) < inf else v_f",
    sources=("KINEMATICS",),
    domain={"path_radius": POSITIVE_OR_INFINITE},
    requires=("surface_radius != 0",),
)
def contact_feed_rate(feed_rate: FeedRate, path_radius: Length, surface_radius: Radius) -> FeedRate:
    """Return the feed rate [mm/min] at the contact for a feed rate of the programmed point.

    Parameters
    ----------
    feed_rate [mm/min]
        Feed rate of the programmed point.
    path_radius [mm]
        Radius of the path of the programmed point.
    surface_radius [mm]
        Radius of the surface along the feed: convex positive, concave negative, flat infinite.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: KINEMATICS.

    Examples
    --------
    >>> print(f"{contact_feed_rate('1250 mm/min', '25 mm', '20 mm'):.0f~P}")
    1000 mm/min
    """
    return feed_rate / _ratio(path_radius, surface_radius)


@formula(
    symbol="l_p",
    expression="l*r/abs(rho) if abs(rho) < inf else l",
    sources=("GEOMETRY",),
    domain={"path_radius": POSITIVE_OR_INFINITE},
    requires=("surface_radius != 0",),
)
def programmed_length(length: Length, path_radius: Length, surface_radius: Radius) -> Length:
    """Return the way of the programmed point [mm] for a length along the surface.

    Parameters
    ----------
    length [mm]
        Length along the surface.
    path_radius [mm]
        Radius of the path of the programmed point.
    surface_radius [mm]
        Radius of the surface along the feed: convex positive, concave negative, flat infinite.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{programmed_length('80 mm', '25 mm', '20 mm'):.0f~P}")
    100 mm
    """
    return length * _ratio(path_radius, surface_radius)


@formula(
    symbol="l_k",
    expression="l*abs(rho)/r if abs(rho) < inf else l",
    sources=("GEOMETRY",),
    domain={"path_radius": POSITIVE_OR_INFINITE, "length": Interval(0.0)},
    requires=("surface_radius != 0",),
)
def contact_length(length: Length, path_radius: Length, surface_radius: Radius) -> Length:
    """Return the way of the contact [mm] for a way of the programmed point.

    Parameters
    ----------
    length [mm]
        Way of the programmed point; may be infinite.
    path_radius [mm]
        Radius of the path of the programmed point.
    surface_radius [mm]
        Radius of the surface along the feed: convex positive, concave negative, flat infinite.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{contact_length('100 mm', '25 mm', '20 mm'):.0f~P}")
    80 mm
    """
    return length / _ratio(path_radius, surface_radius)


def _ratio(path_radius: Any, surface_radius: Any) -> Any:
    """Way of the programmed point per way of the contact; 1 on a flat surface."""
    flat = np.isinf(surface_radius)
    return np.where(flat, 1.0, path_radius / np.where(flat, 1.0, np.abs(surface_radius)))
