"""Feed rates that rotary axes allow where the axis follows the normal of a curved surface."""

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, FeedRate, Length, Radius, RotaryRate

__all__ = ["rotary_feed_rate", "swung_feed_rate"]


@formula(
    symbol="v_r",
    expression="pi*omega*abs(rho)/3",
    sources=("KINEMATICS",),
    domain={"rotary_rate": POSITIVE},
)
def rotary_feed_rate(rotary_rate: RotaryRate, surface_radius: Radius) -> FeedRate:
    """Return the feed rate [mm/min] at the contact at which a rotary axis turns at its rate.

    Parameters
    ----------
    rotary_rate [deg/s]
        Largest rate of the rotary axis, above 0; scalar or array.
    surface_radius [mm]
        Radius of the surface along the feed: convex positive, concave negative, flat infinite; not 0.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid where one axis follows the surface normal; near its own pole an axis turns faster. Source: KINEMATICS.

    Examples
    --------
    >>> print(f"{rotary_feed_rate('60 deg/s', '20 mm'):.1f~P}")
    1256.6 mm/min
    """
    return np.pi * rotary_rate * np.abs(surface_radius) / 3.0


@formula(
    symbol="v_s",
    expression="v_f/(1 + d_s/abs(rho))",
    sources=("KINEMATICS",),
)
def swung_feed_rate(feed_rate: FeedRate, rotary_distance: Length, surface_radius: Radius) -> FeedRate:
    """Return the feed rate [mm/min] at the contact at which linear axes, that also follow the swing, reach their rate.

    Parameters
    ----------
    feed_rate [mm/min]
        Largest rate of the linear axes, 0 or more; scalar or array.
    rotary_distance [mm]
        Distance of the contact from the centre of the rotary axis, 0 or more; scalar or array.
    surface_radius [mm]
        Radius of the surface along the feed: convex positive, concave negative, flat infinite; not 0.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    A bound: the swing and the way of the contact add up at most. Valid as `rotary_feed_rate`. Source: KINEMATICS.

    Examples
    --------
    >>> print(f"{swung_feed_rate('20 m/min', '250 mm', '50 mm'):.1f~P}")
    3333.3 mm/min
    """
    radius = np.where(surface_radius == 0.0, np.nan, np.abs(surface_radius))
    return feed_rate / (1.0 + rotary_distance / radius)
