"""Chords, blocks and acceleration: what the control and the axes make of a feed rate."""

from math import inf, nan, pi

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import (
    POSITIVE,
    POSITIVE_OR_INFINITE,
    Acceleration,
    Angle,
    BlockRate,
    BlockTime,
    ChordError,
    FeedRate,
    Interval,
    Length,
    Time,
)

__all__ = [
    "acceleration_limited_feed_rate",
    "block_limited_feed_rate",
    "block_rate",
    "centripetal_feed_rate",
    "chord_error",
    "chord_step",
    "corner_feed_rate",
    "move_time",
]

_ZERO_TO_INFINITE = Interval(0.0, inf)


@formula(
    symbol="e",
    expression="1000*(r - sqrt(r^2 - l_s^2/4))",
    sources=("GEOMETRY",),
    domain={"path_radius": POSITIVE_OR_INFINITE},
    requires=("step <= 2*path_radius",),
)
def chord_error(step: Length, path_radius: Length) -> ChordError:
    """Return the largest distance [um] between an arc and its chord.

    Parameters
    ----------
    step [mm]
        Length of the chord, 0 to twice the radius; scalar or array.
    path_radius [mm]
        Radius of the path of the same point, above 0, infinite if straight; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the chord exceeds twice the radius.

    Notes
    -----
    Valid for the point whose path has the radius: what a ball's centre keeps, the contact need not.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{chord_error('2 mm', '50 mm').magnitude:.3f} um")
    10.001 um
    """
    # the product keeps the digits that the difference of the printed form loses
    half = 0.5 * step
    return np.divide(1000.0 * half * half, path_radius + np.sqrt((path_radius - half) * (path_radius + half)))


@formula(
    symbol="l_s",
    expression="sqrt(8*r*e/1000 - 4*(e/1000)^2) if r < inf else inf",
    sources=("GEOMETRY",),
    domain={"path_radius": POSITIVE_OR_INFINITE},
    requires=("chord_error <= 1000*path_radius",),
)
def chord_step(chord_error: ChordError, path_radius: Length) -> Length:
    """Return the chord [mm] whose largest distance from the arc is a chord error.

    Parameters
    ----------
    chord_error [um]
        Largest distance between arc and chord, 0 to the radius; scalar or array.
    path_radius [mm]
        Radius of the path of the same point, above 0, infinite if straight; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the error exceeds the radius.

    Notes
    -----
    Valid for the point whose path has the radius. Infinite on a straight path. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{chord_step('10 um', '50 mm'):.5f~P}")
    1.99990 mm
    """
    error = chord_error / 1000.0
    step = 2.0 * np.sqrt(error * (2.0 * path_radius - error))
    return np.where(path_radius < inf, np.where(error <= path_radius, step, nan), inf)[()]


@formula(
    symbol="f_b",
    expression="v_f/(60*l_s)",
    sources=("KINEMATICS",),
    domain={"step": POSITIVE_OR_INFINITE},
)
def block_rate(feed_rate: FeedRate, step: Length) -> BlockRate:
    """Return the number of blocks a second [1/s] that a feed rate asks of the control.

    Parameters
    ----------
    feed_rate [mm/min]
        Feed rate of the programmed point, 0 or more; scalar or array.
    step [mm]
        Distance between neighbouring points of the path, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for points evenly spaced. Source: KINEMATICS.

    Examples
    --------
    >>> print(f"{block_rate('3000 mm/min', '0.1 mm').magnitude:.0f} 1/s")
    500 1/s
    """
    return np.divide(feed_rate, 60.0 * step)


@formula(
    symbol="v_f",
    expression="60000*l_s/t_b",
    sources=("KINEMATICS",),
    domain={"step": _ZERO_TO_INFINITE, "block_time": POSITIVE},
)
def block_limited_feed_rate(step: Length, block_time: BlockTime) -> FeedRate:
    """Return the greatest feed rate [mm/min] at which the control keeps up with the blocks.

    Parameters
    ----------
    step [mm]
        Distance between neighbouring points of the path, 0 or more; scalar or array.
    block_time [ms]
        Time the control needs for one block, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for points evenly spaced; a control that reads ahead bridges short runs of closer ones.
    Source: KINEMATICS.

    Examples
    --------
    >>> print(f"{block_limited_feed_rate('0.1 mm', '2 ms'):.0f~P}")
    3000 mm/min
    """
    return np.divide(60_000.0 * step, block_time)


@formula(
    symbol="v_f",
    expression="60*sqrt(a*l)",
    sources=("KINEMATICS",),
)
def acceleration_limited_feed_rate(acceleration: Acceleration, length: Length) -> FeedRate:
    """Return the peak feed rate [mm/min] of a move that begins and ends at rest.

    Parameters
    ----------
    acceleration [mm/s^2]
        Acceleration along the path, above 0, the same for slowing down; scalar or array.
    length [mm]
        Length of the move, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for constant acceleration, without limit of jerk. Source: KINEMATICS.

    Examples
    --------
    >>> print(f"{acceleration_limited_feed_rate('2000 mm/s^2', '1 mm'):.1f~P}")
    2683.3 mm/min
    """
    return 60.0 * np.sqrt(acceleration * length)


@formula(
    symbol="v_f",
    expression="60*sqrt(a*r)",
    sources=("KINEMATICS",),
    domain={"path_radius": _ZERO_TO_INFINITE},
)
def centripetal_feed_rate(acceleration: Acceleration, path_radius: Length) -> FeedRate:
    """Return the feed rate [mm/min] at which an arc asks for an acceleration across the path.

    Parameters
    ----------
    acceleration [mm/s^2]
        Acceleration across the path, above 0; scalar or array.
    path_radius [mm]
        Radius of the path of the programmed point, 0 or more, infinite if straight; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for constant feed rate on the arc. Source: KINEMATICS.

    Examples
    --------
    >>> print(f"{centripetal_feed_rate('5000 mm/s^2', '1 mm'):.1f~P}")
    4242.6 mm/min
    """
    return 60.0 * np.sqrt(acceleration * path_radius)


@formula(
    symbol="v_f",
    expression="R_c = e_c/1000*sin(gamma/2)/(1 - sin(gamma/2)); 60*sqrt(a*R_c)",
    sources=("KINEMATICS", "GEOMETRY"),
    domain={"corner_angle": Interval(0.0, 180.0)},
)
def corner_feed_rate(acceleration: Acceleration, corner_tolerance: ChordError, corner_angle: Angle) -> FeedRate:
    """Return the feed rate [mm/min] through a corner rounded by an arc within a tolerance.

    Parameters
    ----------
    acceleration [mm/s^2]
        Acceleration across the path, above 0; scalar or array.
    corner_tolerance [um]
        Distance of the arc from the programmed corner, 0 or more; scalar or array.
    corner_angle [deg]
        Angle between the two moves, 0 (back again) to 180 (straight on); scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid where both moves are long enough for the arc. Infinite straight on. Source: KINEMATICS, GEOMETRY.

    Examples
    --------
    >>> print(f"{corner_feed_rate('2000 mm/s^2', '10 um', '90 deg'):.1f~P}")
    416.9 mm/min
    """
    # 1 - sin(gamma/2) is twice the square of this sine, which keeps its digits near 180 deg
    turn = np.sin((180.0 - corner_angle) * (pi / 720.0))
    room = acceleration * corner_tolerance * np.sin(corner_angle * (pi / 360.0))
    # the least number keeps x/0 out of the straight line; the signed square makes NaN of angles above 180 deg
    feed = 60.0 * np.sqrt(room / (2000.0 * turn * np.abs(turn) + 1e-200))
    return np.where(corner_angle == 180.0, inf, feed)[()]


@formula(
    symbol="t",
    expression="T = sqrt(l/a)/60; max(l/v_f, T) + min(v_f/(3600*a), T)",
    sources=("KINEMATICS",),
    domain={"feed_rate": POSITIVE},
)
def move_time(length: Length, feed_rate: FeedRate, acceleration: Acceleration) -> Time:
    """Return the time [min] of a straight move that begins and ends at rest.

    A move too short to reach the feed rate speeds up to its middle and slows down from there.

    Parameters
    ----------
    length [mm]
        Length of the move, 0 or more; scalar or array.
    feed_rate [mm/min]
        Feed rate, above 0; scalar or array.
    acceleration [mm/s^2]
        Acceleration along the path, above 0, the same for slowing down; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for constant acceleration, without limit of jerk. Source: KINEMATICS.

    Examples
    --------
    >>> print(f"{move_time('100 mm', '3000 mm/min', '2000 mm/s^2').to('s'):.4f~P}")
    2.0250 s
    """
    short = np.sqrt(np.divide(length, acceleration)) / 60.0
    speeding_up = np.divide(feed_rate, 3600.0 * acceleration)
    return np.maximum(np.divide(length, feed_rate), short) + np.minimum(speeding_up, short)
