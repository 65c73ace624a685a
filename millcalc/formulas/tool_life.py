"""Tool life: the law of Taylor, its constants from tests, and how many edges a time in the cut uses up."""

import numpy as np

from millcalc.formulas._positive import positive
from millcalc.formulas._whole import whole_up
from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import (
    POSITIVE,
    POSITIVE_OR_INFINITE,
    Count,
    CuttingSpeed,
    FeedRate,
    Interval,
    Length,
    Ratio,
    Time,
)

__all__ = [
    "cutters_needed",
    "life_length",
    "life_share",
    "longest_life",
    "parts_per_edge",
    "shortest_life",
    "taylor_constant",
    "taylor_exponent",
    "taylor_life",
    "taylor_speed",
]

_HAIR = 1e-9  # a quotient this little below a whole number is that number, rounded badly
_USUAL = ("taylor_exponent <= 1",)
_SPREAD = {"tool_life": POSITIVE_OR_INFINITE, "life_spread": Interval(0.0, 1.0, high_open=True)}


@formula(
    symbol="T",
    expression="(C/v_c)^(1/n)",
    sources=("TAYLOR",),
    domain={"cutting_speed": POSITIVE, "taylor_constant": POSITIVE, "taylor_exponent": POSITIVE},
    validity=_USUAL,
)
def taylor_life(cutting_speed: CuttingSpeed, taylor_constant: CuttingSpeed, taylor_exponent: Ratio) -> Time:
    """Return the tool life [min] at a cutting speed.

    Parameters
    ----------
    cutting_speed [m/min]
        Cutting speed, above 0; scalar or array.
    taylor_constant [m/min]
        Cutting speed at which an edge lasts 1 min, above 0; scalar or array.
    taylor_exponent [1]
        Exponent of the life, above 0, usually 0.1 to 0.6; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid at the feed, depth, width and limit of wear of the tests, between their speeds; repeated tests differ by a
    third and more, so an edge is changed well before. The constant is the same number in m/min only. Source: TAYLOR.

    Examples
    --------
    >>> print(f"{taylor_life('150 m/min', '300 m/min', 0.25):.1f~P}")
    16.0 min
    """
    return np.power(
        np.divide(positive(taylor_constant), positive(cutting_speed)), np.divide(1.0, positive(taylor_exponent))
    )


@formula(
    symbol="v_c",
    expression="C/T^n",
    sources=("TAYLOR",),
    domain={"tool_life": POSITIVE_OR_INFINITE, "taylor_constant": POSITIVE, "taylor_exponent": POSITIVE},
    validity=_USUAL,
)
def taylor_speed(tool_life: Time, taylor_constant: CuttingSpeed, taylor_exponent: Ratio) -> CuttingSpeed:
    """Return the cutting speed [m/min] at which an edge lasts so long.

    Parameters
    ----------
    tool_life [min]
        Time in the cut until the edge is worn to its limit, above 0; scalar or array.
    taylor_constant [m/min]
        Cutting speed at which an edge lasts 1 min, above 0; scalar or array.
    taylor_exponent [1]
        Exponent of the life, above 0, usually 0.1 to 0.6; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid at the feed, depth, width and limit of wear of the tests, between their speeds: a speed far below them may
    wear the edge faster, not slower, by a built-up edge. Source: TAYLOR.

    Examples
    --------
    >>> print(f"{taylor_speed('60 min', '300 m/min', 0.25):.1f~P}")
    107.8 m/min
    """
    return positive(taylor_constant) * np.power(positive(tool_life), -positive(taylor_exponent))


@formula(
    symbol="C",
    expression="v_c*T^n",
    sources=("TAYLOR",),
    domain={"cutting_speed": POSITIVE, "tool_life": POSITIVE, "taylor_exponent": POSITIVE},
    validity=_USUAL,
)
def taylor_constant(cutting_speed: CuttingSpeed, tool_life: Time, taylor_exponent: Ratio) -> CuttingSpeed:
    """Return the cutting speed [m/min] at which an edge lasts 1 min, from one test and the exponent.

    Parameters
    ----------
    cutting_speed [m/min]
        Cutting speed of the test, above 0; scalar or array.
    tool_life [min]
        Tool life in the test, above 0; scalar or array.
    taylor_exponent [1]
        Exponent of the life, above 0, usually 0.1 to 0.6; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for the conditions of the test. With the exponent of two tests either of them gives the same constant.
    Source: TAYLOR.

    Examples
    --------
    >>> print(f"{taylor_constant('120 m/min', '45 min', 0.25):.1f~P}")
    310.8 m/min
    """
    return positive(cutting_speed) * np.power(positive(tool_life), positive(taylor_exponent))


@formula(
    symbol="n",
    expression="log(v_2/v_c)/log(T/T_2)",
    sources=("TAYLOR",),
    domain=dict.fromkeys(("cutting_speed", "tool_life", "second_speed", "second_life"), POSITIVE),
    requires=("(second_speed - cutting_speed)*(tool_life - second_life) > 0",),
)
def taylor_exponent(
    cutting_speed: CuttingSpeed, tool_life: Time, second_speed: CuttingSpeed, second_life: Time
) -> Ratio:
    """Return the exponent of the tool life from two tests at different speeds.

    Parameters
    ----------
    cutting_speed [m/min]
        Cutting speed of one test, above 0; scalar or array.
    tool_life [min]
        Tool life in it, above 0; scalar or array.
    second_speed [m/min]
        Cutting speed of the other test, another one; scalar or array.
    second_life [min]
        Tool life in it, shorter at the higher speed; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the edge lasts longer at the higher speed.

    Notes
    -----
    Valid for tests with all else equal. One life that is off by a tenth moves the exponent by 0.14 of itself where the
    lives are as 2 to 1, by 0.04 where they are as 10 to 1: test far apart, and more than once. Source: TAYLOR.

    Examples
    --------
    >>> print(f"{taylor_exponent('60 m/min', '81 min', '90 m/min', '36 min'):.3f}")
    0.500
    """
    with_speed = np.log(np.divide(positive(second_speed), positive(cutting_speed)))
    with_life = np.log(np.divide(positive(tool_life), positive(second_life)))
    return positive(np.divide(with_speed, np.where(np.equal(with_life, 0.0), np.nan, with_life)))


@formula(
    symbol="l_T",
    expression="T*v_f",
    sources=("DEFINITION",),
    domain={"tool_life": POSITIVE_OR_INFINITE, "feed_rate": POSITIVE},
)
def life_length(tool_life: Time, feed_rate: FeedRate) -> Length:
    """Return the length of path [mm] in the cut that an edge lasts.

    Parameters
    ----------
    tool_life [min]
        Time in the cut until the edge is worn to its limit, above 0; scalar or array.
    feed_rate [mm/min]
        Feed rate, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for one feed rate at the conditions of the life; `cutting_time` is the way back. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{life_length('45 min', '3000 mm/min').to('m'):.1f~P}")
    135.0 m
    """
    return np.multiply(tool_life, feed_rate)


@formula(
    symbol="q_T",
    expression="t_c/T",
    sources=("DEFINITION",),
    domain={"tool_life": POSITIVE_OR_INFINITE},
)
def life_share(cutting: Time, tool_life: Time) -> Ratio:
    """Return the share of an edge's life that a time in the cut uses up.

    Parameters
    ----------
    cutting [min]
        Time in the cut, 0 or more; scalar or array.
    tool_life [min]
        Tool life at the conditions of this cut, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for an edge that wears evenly in time. Shares of cuts at different conditions add up: an edge whose shares
    make 1 is due, though a cut that breaks in or heats the edge does not know of the sum. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{life_share('12 min', '45 min'):.3f}")
    0.267
    """
    return np.divide(cutting, positive(tool_life))


@formula(
    symbol="N_c",
    expression="ceil(t_c/T)",
    sources=("DEFINITION",),
    domain={"tool_life": POSITIVE_OR_INFINITE},
)
def cutters_needed(cutting: Time, tool_life: Time) -> Count:
    """Return the number of fresh edges, or cutters, that a time in the cut takes.

    Parameters
    ----------
    cutting [min]
        Time in the cut of the whole work, 0 or more; scalar or array.
    tool_life [min]
        Time in the cut until the edge is worn to its limit, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid where an edge is changed wherever its life ends, also within a part; it counts the first. One that is changed
    between parts only serves as many as `parts_per_edge` says. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{cutters_needed('100 min', '45 min'):.0f}")
    3
    """
    return whole_up(np.divide(cutting, positive(tool_life)))


@formula(
    symbol="N_w",
    expression="floor(T/t_c)",
    sources=("DEFINITION",),
    domain={"cutting": POSITIVE, "tool_life": POSITIVE_OR_INFINITE},
)
def parts_per_edge(cutting: Time, tool_life: Time) -> Count:
    """Return the number of whole parts, or passes, that an edge lasts.

    Parameters
    ----------
    cutting [min]
        Time in the cut for one of them, above 0; scalar or array.
    tool_life [min]
        Time in the cut until the edge is worn to its limit, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit; 0 says that the edge has to be changed within the part, which marks a finished surface: a
    lower speed or a shorter cut for each edge is the way out. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{parts_per_edge('12 min', '45 min'):.0f}")
    3
    """
    quotient = np.divide(positive(tool_life), positive(cutting))
    return np.floor(np.maximum(quotient + _HAIR, quotient * (1.0 + _HAIR)))


@formula(
    symbol="T_min",
    expression="T*(1 - q_w)",
    sources=("WEAR_DATA",),
    domain=_SPREAD,
)
def shortest_life(tool_life: Time, life_spread: Ratio) -> Time:
    """Return the shortest tool life [min] to expect of edges that are meant to be alike.

    Parameters
    ----------
    tool_life [min]
        Tool life to expect on the mean, above 0; scalar or array.
    life_spread [1]
        Share by which single edges differ from the mean, 0 to below 1; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for the same work, cutter and conditions. Tests that were repeated differ by 2 to 57 %, so an edge is changed
    by this life, not by the mean. Source: WEAR_DATA.

    Examples
    --------
    >>> print(f"{shortest_life('45 min', 0.3):.1f~P}")
    31.5 min
    """
    return np.multiply(tool_life, 1.0 - np.asarray(life_spread)[()])


@formula(
    symbol="T_max",
    expression="T*(1 + q_w)",
    sources=("WEAR_DATA",),
    domain=_SPREAD,
)
def longest_life(tool_life: Time, life_spread: Ratio) -> Time:
    """Return the longest tool life [min] to expect of edges that are meant to be alike.

    Parameters
    ----------
    tool_life [min]
        Tool life to expect on the mean, above 0; scalar or array.
    life_spread [1]
        Share by which single edges differ from the mean, 0 to below 1; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for the same work, cutter and conditions. Good for comparing; nobody plans on it. Source: WEAR_DATA.

    Examples
    --------
    >>> print(f"{longest_life('45 min', 0.3):.1f~P}")
    58.5 min
    """
    return np.multiply(tool_life, 1.0 + np.asarray(life_spread)[()])
