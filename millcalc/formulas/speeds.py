"""Cutting speed, spindle speed, feeds, removal rate, approach and time."""

from math import nan, pi

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import (
    ONE_OR_MORE,
    POSITIVE,
    Count,
    CuttingSpeed,
    FeedPerRevolution,
    FeedPerTooth,
    FeedRate,
    Length,
    RemovalRate,
    SpindleSpeed,
    Time,
)

__all__ = [
    "approach_length",
    "centred_approach_length",
    "cutting_speed",
    "cutting_time",
    "feed_per_revolution",
    "feed_per_tooth",
    "feed_rate",
    "mean_removal_rate",
    "removal_rate",
    "spindle_speed",
]


@formula(symbol="v_c", expression="pi*D*n/1000", sources=("DEFINITION",), domain={"diameter": POSITIVE})
def cutting_speed(diameter: Length, spindle_speed: SpindleSpeed) -> CuttingSpeed:
    """Return the cutting speed [m/min] at a diameter.

    Parameters
    ----------
    diameter [mm]
        Diameter at which the edge cuts, above 0; scalar or array.
    spindle_speed [rev/min]
        Spindle speed, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{cutting_speed('10 mm', '8000 rpm'):.1f~P}")
    251.3 m/min
    """
    return pi * diameter * spindle_speed / 1000.0


@formula(symbol="n", expression="1000*v_c/(pi*D)", sources=("DEFINITION",), domain={"diameter": POSITIVE})
def spindle_speed(cutting_speed: CuttingSpeed, diameter: Length) -> SpindleSpeed:
    """Return the spindle speed [rev/min] that gives a cutting speed at a diameter.

    Parameters
    ----------
    cutting_speed [m/min]
        Cutting speed wanted, 0 or more; scalar or array.
    diameter [mm]
        Diameter at which the edge cuts, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{spindle_speed('120 m/min', '10 mm').magnitude:.1f} rev/min")
    3819.7 rev/min
    """
    return np.divide(1000.0 * cutting_speed, pi * diameter)


@formula(symbol="v_f", expression="f_z*z*n", sources=("DEFINITION",), domain={"teeth": ONE_OR_MORE})
def feed_rate(feed_per_tooth: FeedPerTooth, teeth: Count, spindle_speed: SpindleSpeed) -> FeedRate:
    """Return the feed rate [mm/min] of a cutter.

    Parameters
    ----------
    feed_per_tooth [mm]
        Feed per tooth, 0 or more; scalar or array.
    teeth [1]
        Number of cutting edges, 1 or more; scalar or array.
    spindle_speed [rev/min]
        Spindle speed, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit, for the point at which the feed per tooth is held. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{feed_rate('0.05 mm', 4, '8000 rpm'):.0f~P}")
    1600 mm/min
    """
    return feed_per_tooth * teeth * spindle_speed


@formula(
    symbol="f_z",
    expression="v_f/(z*n)",
    sources=("DEFINITION",),
    domain={"teeth": ONE_OR_MORE, "spindle_speed": POSITIVE},
)
def feed_per_tooth(feed_rate: FeedRate, teeth: Count, spindle_speed: SpindleSpeed) -> FeedPerTooth:
    """Return the feed per tooth [mm] of a cutter at a feed rate.

    Parameters
    ----------
    feed_rate [mm/min]
        Feed rate, 0 or more; scalar or array.
    teeth [1]
        Number of cutting edges, 1 or more; scalar or array.
    spindle_speed [rev/min]
        Spindle speed, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit, for the point whose feed rate is given. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{feed_per_tooth('1600 mm/min', 4, '8000 rpm'):.3f~P}")
    0.050 mm
    """
    return np.divide(feed_rate, teeth * spindle_speed)


@formula(symbol="f", expression="f_z*z", sources=("DEFINITION",), domain={"teeth": ONE_OR_MORE})
def feed_per_revolution(feed_per_tooth: FeedPerTooth, teeth: Count) -> FeedPerRevolution:
    """Return the feed per revolution [mm/rev] of a cutter.

    Parameters
    ----------
    feed_per_tooth [mm]
        Feed per tooth, 0 or more; scalar or array.
    teeth [1]
        Number of cutting edges, 1 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{feed_per_revolution('0.05 mm', 4).magnitude:.2f} mm/rev")
    0.20 mm/rev
    """
    return feed_per_tooth * teeth


@formula(symbol="Q", expression="a_p*a_e*v_f/1000", sources=("DEFINITION",))
def removal_rate(axial_depth: Length, radial_width: Length, feed_rate: FeedRate) -> RemovalRate:
    """Return the volume removed in unit time [cm^3/min].

    Parameters
    ----------
    axial_depth [mm]
        Depth of cut along the cutter axis, 0 or more; scalar or array.
    radial_width [mm]
        Width of cut across the feed, 0 or more; scalar or array.
    feed_rate [mm/min]
        Feed rate, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for a cut of rectangular section; what a ball or a corner radius leaves standing counts as removed.
    Source: DEFINITION.

    Examples
    --------
    >>> print(f"{removal_rate('4 mm', '60 mm', '400 mm/min').magnitude:.1f} cm^3/min")
    96.0 cm^3/min
    """
    return axial_depth * radial_width * feed_rate / 1000.0


@formula(
    symbol="Q_m",
    expression="w*l*d_t/t_1/1000",
    sources=("DEFINITION",),
    domain={"time": POSITIVE},
)
def mean_removal_rate(width: Length, length: Length, total_depth: Length, time: Time) -> RemovalRate:
    """Return the mean removal rate [cm^3/min] of a pocket that is cleared in a time.

    Parameters
    ----------
    width [mm]
        Width of the pocket, 0 or more; scalar or array.
    length [mm]
        Length of the pocket, 0 or more; scalar or array.
    total_depth [mm]
        Depth of the pocket, 0 or more; scalar or array.
    time [min]
        Time it takes, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for a pocket like a box. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{mean_removal_rate('40 mm', '70 mm', '12 mm', '4.2 min').magnitude:.1f} cm^3/min")
    8.0 cm^3/min
    """
    return width * length * total_depth / time / 1000.0


@formula(
    symbol="l_a",
    expression="W = min(a_e, D/2); sqrt(W*(D - W))",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=("radial_width <= diameter",),
)
def approach_length(diameter: Length, radial_width: Length) -> Length:
    """Return the travel [mm] from first touch to full engagement, beside an edge of the work.

    Up to half the cutter it is sqrt(a_e (D - a_e)); from there to the full slot it stays D/2.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    radial_width [mm]
        Width of cut across the feed, 0 to the diameter; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cut is wider than the cutter.

    Notes
    -----
    Valid where the entered face is square to the feed. Books also print sqrt(a_e D), which is too long, and
    D/2 for every width. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{approach_length('50 mm', '3 mm'):.2f~P}")
    11.87 mm
    """
    half = np.where(radial_width <= diameter, 0.5 * diameter, nan)
    width = np.minimum(radial_width, half)
    return np.sqrt(width * (diameter - width))


@formula(
    symbol="l_a",
    expression="(D - sqrt(D^2 - a_e^2))/2",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=("radial_width <= diameter",),
)
def centred_approach_length(diameter: Length, radial_width: Length) -> Length:
    """Return the travel [mm] from first touch to full engagement of a cutter centred on the work.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    radial_width [mm]
        Width of the work, 0 to the diameter; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the work is wider than the cutter.

    Notes
    -----
    Valid where the entered face is square to the feed. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{centred_approach_length('63.5 mm', '30 mm'):.3f~P}")
    3.767 mm
    """
    # the difference of the printed form cancels for narrow work; the product does not
    chord = np.sqrt((diameter - radial_width) * (diameter + radial_width))
    return np.divide(0.5 * radial_width * radial_width, diameter + chord)


@formula(symbol="t", expression="l/v_f", sources=("KINEMATICS",), domain={"feed_rate": POSITIVE})
def cutting_time(length: Length, feed_rate: FeedRate) -> Time:
    """Return the time [min] of a travel at constant feed rate.

    Parameters
    ----------
    length [mm]
        Length of travel with approach and overrun, 0 or more; scalar or array.
    feed_rate [mm/min]
        Feed rate, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid while the machine holds the feed rate; `move_time` counts speeding up and slowing down.
    Source: KINEMATICS.

    Examples
    --------
    >>> print(f"{cutting_time('312.2 mm', '500 mm/min'):.4f~P}")
    0.6244 min
    """
    return np.divide(length, feed_rate)
