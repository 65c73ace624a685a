"""Cuts along an arc: the feed rate that keeps the contour's speed, the width that keeps the engagement."""

from math import nan

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, FeedRate, Flag, Length

__all__ = ["arc_feed_rate", "arc_radial_engagement"]


@formula(
    symbol="v_p",
    expression="v_f*(d_a - D)/d_a if inside else v_f*(d_a + D)/d_a",
    sources=("KINEMATICS",),
    domain={"diameter": POSITIVE, "arc_diameter": POSITIVE},
    requires=("(inside == False) | (diameter < arc_diameter)",),
)
def arc_feed_rate(feed_rate: FeedRate, diameter: Length, arc_diameter: Length, inside: Flag) -> FeedRate:
    """Return the feed rate [mm/min] of the cutter centre that keeps the feed rate on the contour of an arc.

    Parameters
    ----------
    feed_rate [mm/min]
        Feed rate wanted at the finished contour, 0 or more; scalar or array.
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    arc_diameter [mm]
        Diameter of the finished arc, inside above the cutter's; scalar or array.
    inside [1]
        Whether the arc is cut from the inside, as a bore.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cutter does not fit inside.

    Notes
    -----
    Valid without limit. It keeps the speed along the contour; `arc_radial_engagement` keeps the chip, and the
    two corrections are not to be multiplied blindly. Source: KINEMATICS.

    Examples
    --------
    >>> print(f"{arc_feed_rate('1000 mm/min', '10 mm', '40 mm', True):.0f~P}")
    750 mm/min
    """
    sign = 1.0 - 2.0 * inside
    path = arc_diameter + sign * diameter
    return np.where(path > 0.0, np.divide(feed_rate * path, arc_diameter), nan)[()]


@formula(
    symbol="a_q",
    expression="min(D, a_e*(d_a - a_e)/(d_a - D) if inside else a_e*(d_a + a_e)/(d_a + D))",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "arc_diameter": POSITIVE},
    requires=("(inside == False) | (diameter < arc_diameter) & (2*radial_width <= arc_diameter)",),
)
def arc_radial_engagement(diameter: Length, radial_width: Length, arc_diameter: Length, inside: Flag) -> Length:
    """Return the radial width [mm] of the straight cut that engages the cutter as a cut on an arc does.

    The rim leaves the stock where its circle meets that of the stock's surface; the triangle of that point
    and the two centres gives the width with the same angle. The cutter's diameter is returned where the whole
    front of the cutter is in stock.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    radial_width [mm]
        Thickness of the stock on the arc, 0 or more; inside up to the arc's radius, a hole of none.
    arc_diameter [mm]
        Diameter of the finished arc, which the cutter touches; scalar or array.
    inside [1]
        Whether the arc is cut from the inside, as a bore.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cutter does not fit inside.

    Notes
    -----
    Valid for stock of even thickness and a feed small against the cutter. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{arc_radial_engagement('10 mm', '1 mm', '15 mm', True):.2f~P}")
    2.80 mm
    """
    sign = 1.0 - 2.0 * inside
    path = arc_diameter + sign * diameter
    width = np.divide(radial_width * (arc_diameter + sign * radial_width), path)
    fits = (path > 0.0) & (arc_diameter + 2.0 * sign * radial_width >= 0.0)
    return np.where(fits, np.minimum(width, diameter), nan)[()]
