"""Values as a shop sets them, rounded to the safe side."""

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, FeedRate, Length, SpindleSpeed

__all__ = ["set_feed_rate", "set_spindle_speed", "set_stepover"]

_EXACT = 1e-9  # a quotient this little below a whole number is that number, rounded badly


@formula(
    symbol="n_set",
    expression="10*floor(n/10) if n <= 10000 else 100*floor(n/100)",
    sources=("PRACTICE",),
)
def set_spindle_speed(spindle_speed: SpindleSpeed) -> SpindleSpeed:
    """Return the spindle speed [rev/min] as it is set: down to 10, above 10 000 to 100.

    Parameters
    ----------
    spindle_speed [rev/min]
        Spindle speed computed.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: PRACTICE.

    Examples
    --------
    >>> print(f"{set_spindle_speed('12345 rpm').magnitude:.0f}")
    12300
    """
    unit = np.where(spindle_speed <= 10_000.0, 10.0, 100.0)
    return unit * np.floor(spindle_speed / unit * (1.0 + _EXACT))


@formula(
    symbol="v_set",
    expression="c*floor(v_f/c)",
    sources=("PRACTICE",),
    domain={"increment": POSITIVE},
)
def set_feed_rate(feed_rate: FeedRate, increment: FeedRate) -> FeedRate:
    """Return the feed rate [mm/min] as it is set, down to a whole increment.

    Parameters
    ----------
    feed_rate [mm/min]
        Feed rate computed.
    increment [mm/min]
        Increment: 1 mm/min, or 0.1 in/min.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: PRACTICE.

    Examples
    --------
    >>> print(f"{set_feed_rate('1234.5 mm/min', '1 mm/min'):.0f~P}")
    1234 mm/min
    """
    return increment * np.floor(np.divide(feed_rate, increment) * (1.0 + _EXACT))


@formula(
    symbol="s_set",
    expression="c_f*floor(s/c_f) if s < 0.1 else c_s*floor(s/c_s)",
    sources=("PRACTICE",),
    domain={"fine_increment": POSITIVE, "coarse_increment": POSITIVE},
)
def set_stepover(stepover: Length, fine_increment: Length, coarse_increment: Length) -> Length:
    """Return the stepover [mm] as it is set, down to a whole increment.

    Parameters
    ----------
    stepover [mm]
        Stepover computed.
    fine_increment [mm]
        Increment below 0.1 mm: 0.001 mm, or 0.0001 in.
    coarse_increment [mm]
        Increment from there on: 0.01 mm, or 0.0001 in.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: PRACTICE.

    Examples
    --------
    >>> print(f"{set_stepover('0.2179 mm', '0.001 mm', '0.01 mm'):.2f~P}")
    0.21 mm
    """
    unit = np.where(stepover < 0.1, fine_increment, coarse_increment)
    return unit * np.floor(np.divide(stepover, unit) * (1.0 + _EXACT))
