"""The marks that teeth leave along the feed, with runout."""

from math import inf

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import (
    POSITIVE,
    POSITIVE_OR_INFINITE,
    Angle,
    Count,
    Deflection,
    FeedPerRevolution,
    FeedPerTooth,
    Interval,
    Length,
    ScallopHeight,
)

__all__ = ["feed_per_tooth_for_marks", "revolution_mark_height", "runout_mark_height"]

_RADIANS = np.pi / 180.0


@formula(
    symbol="f_r",
    expression="h = h_f/1000; f_m = 2*sqrt(h*(D - h)); e = e_r/1000; "
    "f_m if min(f_m, f_z) >= sqrt(2*D*e*sin(beta)) else f_m/z",
    sources=("GEOMETRY",),
    domain={
        "diameter": POSITIVE,
        "teeth": Interval(1.0),
        "inclination": Interval(0.0, 90.0),
        "feed_per_tooth": POSITIVE_OR_INFINITE,
    },
    requires=("feed_mark_height <= 500*diameter",),
)
def feed_per_tooth_for_marks(
    diameter: Length,
    feed_mark_height: ScallopHeight,
    teeth: Count,
    eccentricity: Deflection = 0.0,
    inclination: Angle = 0.0,
    feed_per_tooth: FeedPerTooth = inf,
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

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

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
    height = feed_mark_height / 1000.0
    fits = height <= 0.5 * diameter
    apart = 2.0 * np.sqrt(np.where(fits, height * (diameter - height), np.nan))
    alone = np.sqrt(0.002 * diameter * eccentricity * np.sin(inclination * _RADIANS))
    return np.where(np.minimum(apart, feed_per_tooth) >= alone, apart, apart / teeth)


@formula(
    symbol="h_f",
    expression="R = D/2; e = e_r/1000; f_m = f_z if f_z >= sqrt(2*D*e*sin(beta)) else z*f_z; "
    "1000*(R - sqrt(R^2 - f_m^2/4))",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "teeth": Interval(1.0), "inclination": Interval(0.0, 90.0)},
    requires=("feed_per_tooth*teeth <= diameter",),
)
def runout_mark_height(
    diameter: Length, feed_per_tooth: FeedPerTooth, teeth: Count, eccentricity: Deflection, inclination: Angle
) -> ScallopHeight:
    """Return the height [um] of the feed marks to expect with runout: of each tooth, or of one that marks alone.

    Parameters
    ----------
    diameter [mm]
        Ball diameter, above 0; scalar or array.
    feed_per_tooth [mm]
        Feed per tooth, 0 or more.
    teeth [1]
        Number of teeth, 1 or more.
    eccentricity [um]
        Half the runout, 0 or more.
    inclination [deg]
        Angle between axis and surface normal, 0 to 90.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for teeth evenly spaced, one of them proud by twice the eccentricity. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{runout_mark_height('6 mm', '0.1 mm', 2, '5 um', '15 deg'):.3f~P}")
    1.667 µm
    """
    radius = 0.5 * diameter
    alone = np.sqrt(0.002 * diameter * eccentricity * np.sin(inclination * _RADIANS))
    half = 0.5 * np.where(feed_per_tooth >= alone, feed_per_tooth, teeth * feed_per_tooth)
    root = np.sqrt(np.where(half <= radius, radius * radius - half * half, np.nan))
    return 1000.0 * half * half / (radius + root)


@formula(
    symbol="h_r",
    expression="R = D/2; 1000*(R - sqrt(R^2 - f^2/4))",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=("feed_per_revolution <= diameter",),
)
def revolution_mark_height(diameter: Length, feed_per_revolution: FeedPerRevolution) -> ScallopHeight:
    """Return the height [um] of marks a revolution apart, as one proud tooth leaves them.

    Parameters
    ----------
    diameter [mm]
        Ball diameter, above 0.
    feed_per_revolution [mm/rev]
        Feed per revolution, 0 up to the diameter.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{revolution_mark_height('6 mm', '0.2 mm/rev'):.3f~P}")
    1.667 µm
    """
    radius, half = 0.5 * diameter, 0.5 * feed_per_revolution
    fits = half <= radius
    root = np.sqrt(np.where(fits, radius * radius - half * half, np.nan))
    return 1000.0 * half * half / (radius + root)
