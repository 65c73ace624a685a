"""The time of an operation, put together from its moves."""

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, Acceleration, BlockTime, Count, FeedRate, Interval, Length, Ratio, Time

__all__ = ["acceleration_loss", "block_step", "operation_time", "repeated_time", "summed_time"]


@formula(
    symbol="l_s",
    expression="v_f*t_b/60000",
    sources=("KINEMATICS",),
)
def block_step(feed_rate: FeedRate, block_time: BlockTime) -> Length:
    """Return the shortest move [mm] that a control can read at a feed rate.

    Parameters
    ----------
    feed_rate [mm/min]
        Feed rate of the programmed point.
    block_time [ms]
        Time for one block.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: KINEMATICS.

    Examples
    --------
    >>> print(f"{block_step('3000 mm/min', '2 ms'):.2f~P}")
    0.10 mm
    """
    return feed_rate * block_time / 60_000.0


@formula(
    symbol="t_a",
    expression="v = v_f/60; (v/a if l >= v^2/a else 2*sqrt(l/a) - l/v)/60",
    sources=("KINEMATICS",),
    domain={"feed_rate": POSITIVE},
)
def acceleration_loss(length: Length, feed_rate: FeedRate, acceleration: Acceleration) -> Time:
    """Return the time [min] that a move from rest to rest takes beyond its length over its feed rate.

    Parameters
    ----------
    length [mm]
        Length of the move, 0 or more.
    feed_rate [mm/min]
        Feed rate, above 0.
    acceleration [mm/s^2]
        Acceleration along the path.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for constant acceleration without a limit of jerk: a lower bound. Scalars and arrays. Source: KINEMATICS.

    Examples
    --------
    >>> print(f"{acceleration_loss('80 mm', '3000 mm/min', '2000 mm/s^2').to('s'):.3f~P}")
    0.025 s
    """
    speed = feed_rate / 60.0
    reaches = length * acceleration >= speed * speed
    short = 2.0 * np.sqrt(np.divide(length, acceleration)) - np.divide(length, speed)
    return np.where(reaches, np.divide(speed, acceleration), short) / 60.0


@formula(
    symbol="t",
    expression="N_p*t_1",
    sources=("DEFINITION",),
)
def repeated_time(passes: Count, time: Time) -> Time:
    """Return the time [min] of so many equal moves.

    Parameters
    ----------
    passes [1]
        Number of moves.
    time [min]
        Time of one.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{repeated_time(287, '0.02 min'):.2f~P}")
    5.74 min
    """
    return passes * time


@formula(
    symbol="t",
    expression="t_1 + t_2",
    sources=("DEFINITION",),
)
def summed_time(time: Time, further_time: Time) -> Time:
    """Return the sum [min] of two times.

    Parameters
    ----------
    time [min]
        One time.
    further_time [min]
        The other.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{summed_time('2 min', '3 min'):.0f~P}")
    5 min
    """
    return time + further_time


@formula(
    symbol="t_o",
    expression="q_t*(t_c + t_e + t_a + t_k + t_r)",
    sources=("DEFINITION",),
    domain={"time_factor": Interval(0.0, low_open=True)},
)
def operation_time(
    cutting: Time, entry_exit: Time, acceleration_time: Time, links: Time, rapids: Time, time_factor: Ratio = 1.0
) -> Time:
    """Return the time of the operation [min]: a lower bound, times a factor measured on the machine.

    Parameters
    ----------
    cutting [min]
        Time in the cut.
    entry_exit [min]
        Time of entries and exits.
    acceleration_time [min]
        Time lost to acceleration.
    links [min]
        Time of links between passes.
    rapids [min]
        Time of rapid moves.
    time_factor [1]
        Measured over computed time, above 0.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{operation_time('20 min', '1 min', '0.5 min', '0.2 min', '0.3 min', 1.1):.2f~P}")
    24.20 min
    """
    return time_factor * (cutting + entry_exit + acceleration_time + links + rapids)
