"""The marks that teeth leave along the feed, on flat and curved surfaces, with runout."""

from math import inf
from typing import Any

import numpy as np

from millcalc.formulas._fits import FITS
from millcalc.formulas.scallops import scallop_height, scallop_stepover
from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import (
    ONE_OR_MORE,
    POSITIVE,
    POSITIVE_OR_INFINITE,
    Angle,
    Count,
    Deflection,
    FeedPerRevolution,
    FeedPerTooth,
    Interval,
    Length,
    Radius,
    ScallopHeight,
)

__all__ = ["feed_per_tooth_for_marks", "revolution_mark_height", "runout_mark_height", "tooth_mark_height"]

_RADIANS = np.pi / 180.0


def _alone(diameter: Any, eccentricity: Any, inclination: Any) -> Any:
    """Feed per tooth below which one proud tooth cuts away the marks of the others."""
    return np.sqrt(0.002 * diameter * eccentricity * np.sin(inclination * _RADIANS))


@formula(
    symbol="f_r",
    expression="R = D/2; h = h_f/1000; e = e_r/1000; A = sqrt(h*(D - h)); "
    "f_m = 4*rho*arcsin(A/(2*rho*sqrt((1 + R/rho)*(1 + h/rho)))) if abs(rho) < inf else 2*A; "
    "f_m if min(f_m, f_z) >= sqrt(2*D*e*sin(beta)) else f_m/z",
    sources=("GEOMETRY",),
    domain={
        "diameter": POSITIVE,
        "teeth": ONE_OR_MORE,
        "inclination": Interval(0.0, 90.0),
        "feed_per_tooth": POSITIVE_OR_INFINITE,
    },
    requires=(FITS, "feed_mark_height <= 500*diameter"),
)
def feed_per_tooth_for_marks(
    diameter: Length,
    feed_mark_height: ScallopHeight,
    teeth: Count,
    eccentricity: Deflection = 0.0,
    inclination: Angle = 0.0,
    feed_per_tooth: FeedPerTooth = inf,
    surface_radius: Radius = inf,
) -> FeedPerTooth:
    """Return the feed per tooth [mm] at which feed marks stay within a height, with runout.

    Below a feed per tooth of sqrt(2 D e sin(beta)) one tooth cuts away the marks of the others: then the marks
    are a revolution apart.

    Parameters
    ----------
    diameter [mm]
        Ball diameter, above 0; scalar or array.
    feed_mark_height [um]
        Height allowed, 0 up to the ball's radius.
    teeth [1]
        Number of teeth, 1 or more.
    eccentricity [um]
        Half the runout, 0 or more.
    inclination [deg]
        Angle between axis and surface normal, 0 to 90.
    feed_per_tooth [mm]
        Feed per tooth that other limits leave, above 0: where it is so low that one tooth marks alone, the
        marks of a revolution must stay within the height.
    surface_radius [mm]
        Radius of the surface along the feed: convex positive, concave negative, flat infinite.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit; no feed leaves such marks.

    Notes
    -----
    Valid for teeth evenly spaced, one of them proud by twice the eccentricity. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{feed_per_tooth_for_marks('6 mm', '0.5 um', 2):.4f~P}")
    0.1095 mm
    >>> print(f"{feed_per_tooth_for_marks('6 mm', '0.5 um', 2, '5 um', '15 deg'):.4f~P}")
    0.0548 mm
    """
    apart = scallop_stepover.bare(diameter, feed_mark_height, surface_radius)
    together = np.minimum(apart, feed_per_tooth) >= _alone(diameter, eccentricity, inclination)
    return np.where(together, apart, apart / teeth)


@formula(
    symbol="h_f",
    expression="R = D/2; e = e_r/1000; f_m = f_z if f_z >= sqrt(2*D*e*sin(beta)) else z*f_z; d = f_m/(2*rho); "
    "1000*((rho + R)*cos(d) - rho - sqrt(R^2 - (rho + R)^2*sin(d)^2)) "
    "if abs(rho) < inf else 1000*(R - sqrt(R^2 - f_m^2/4))",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "teeth": ONE_OR_MORE, "inclination": Interval(0.0, 90.0)},
    requires=(FITS,),
)
def runout_mark_height(
    diameter: Length,
    feed_per_tooth: FeedPerTooth,
    teeth: Count,
    eccentricity: Deflection,
    inclination: Angle,
    surface_radius: Radius = inf,
) -> ScallopHeight:
    """Return the height [um] of the feed marks to expect with runout: of each tooth, or of one that marks alone.

    Parameters
    ----------
    diameter [mm]
        Ball diameter, above 0; scalar or array.
    feed_per_tooth [mm]
        Feed per tooth at the contact, 0 or more.
    teeth [1]
        Number of teeth, 1 or more.
    eccentricity [um]
        Half the runout, 0 or more.
    inclination [deg]
        Angle between axis and surface normal, 0 to 90.
    surface_radius [mm]
        Radius of the surface along the feed: convex positive, concave negative, flat infinite.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for teeth evenly spaced, one of them proud by twice the eccentricity; not where the tip, which stands
    still, drags over the surface. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{runout_mark_height('6 mm', '0.1 mm', 2, '5 um', '15 deg'):.3f~P}")
    1.667 µm
    """
    together = feed_per_tooth >= _alone(diameter, eccentricity, inclination)
    apart = np.where(together, feed_per_tooth, teeth * feed_per_tooth)
    return scallop_height.bare(diameter, apart, surface_radius)


@formula(
    symbol="h_z",
    expression="R = D/2; d = f_z/(2*rho); 1000*((rho + R)*cos(d) - rho - sqrt(R^2 - (rho + R)^2*sin(d)^2)) "
    "if abs(rho) < inf else 1000*(R - sqrt(R^2 - f_z^2/4))",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=(FITS,),
)
def tooth_mark_height(diameter: Length, feed_per_tooth: FeedPerTooth, surface_radius: Radius = inf) -> ScallopHeight:
    """Return the height [um] of marks a tooth apart, as a cutter without runout leaves them.

    Parameters
    ----------
    diameter [mm]
        Ball diameter, above 0; scalar or array.
    feed_per_tooth [mm]
        Feed per tooth at the contact, 0 or more.
    surface_radius [mm]
        Radius of the surface along the feed: convex positive, concave negative, flat infinite.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit; marks so far apart do not meet.

    Notes
    -----
    Valid without limit; on a flat surface it is `feed_mark_height`. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{tooth_mark_height('8 mm', '0.1 mm', '5 mm'):.3f~P}")
    0.563 µm
    """
    return scallop_height.bare(diameter, feed_per_tooth, surface_radius)


@formula(
    symbol="h_r",
    expression="R = D/2; d = f/(2*rho); 1000*((rho + R)*cos(d) - rho - sqrt(R^2 - (rho + R)^2*sin(d)^2)) "
    "if abs(rho) < inf else 1000*(R - sqrt(R^2 - f^2/4))",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=(FITS,),
)
def revolution_mark_height(
    diameter: Length, feed_per_revolution: FeedPerRevolution, surface_radius: Radius = inf
) -> ScallopHeight:
    """Return the height [um] of marks a revolution apart, as one proud tooth leaves them.

    Parameters
    ----------
    diameter [mm]
        Ball diameter, above 0; scalar or array.
    feed_per_revolution [mm/rev]
        Feed per revolution at the contact, 0 or more.
    surface_radius [mm]
        Radius of the surface along the feed: convex positive, concave negative, flat infinite.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit; marks so far apart do not meet.

    Notes
    -----
    Valid without limit. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{revolution_mark_height('6 mm', '0.2 mm/rev'):.3f~P}")
    1.667 µm
    """
    return scallop_height.bare(diameter, feed_per_revolution, surface_radius)
