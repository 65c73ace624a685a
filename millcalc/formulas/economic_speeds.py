"""The tool life and cutting speed at which a part costs least, and at which most parts are made."""

from typing import Any

import numpy as np

from millcalc.formulas._positive import positive
from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, Cost, CostRate, CuttingSpeed, Interval, Ratio, Time

__all__ = ["least_cost_life", "least_cost_speed", "most_output_life", "most_output_speed"]

_BEST: dict[str, Interval] = {
    "taylor_exponent": Interval(0.0, 1.0, low_open=True, high_open=True),
    "machine_rate": POSITIVE,
    "cut_share": Interval(0.0, 1.0, low_open=True),
}
_BY_TIME = {n: d for n, d in _BEST.items() if n != "machine_rate"}


def _lives(taylor_exponent: Any) -> Any:
    """Best life over what a tool change loses, 1/n - 1; NaN where none is best."""
    exponent = positive(taylor_exponent)
    return positive(np.divide(1.0 - exponent, exponent))


@formula(
    symbol="T_k",
    expression="(1 - n)/n*q_s*(t_ct + C_t/C_m)",
    sources=("TAYLOR", "TOOL_ECONOMICS"),
    domain=_BEST,
)
def least_cost_life(
    taylor_exponent: Ratio, change_time: Time, tool_cost: Cost, machine_rate: CostRate, cut_share: Ratio = 1.0
) -> Time:
    """Return the tool life [min] at which a part costs least.

    Parameters
    ----------
    taylor_exponent [1]
        Exponent of the life, above 0 and below 1; scalar or array.
    change_time [min]
        Time to change a worn edge or cutter, 0 or more; scalar or array.
    tool_cost [1]
        Cost of what one tool change puts in, in any one currency; scalar or array.
    machine_rate [1/min]
        Cost of machine and operator for a minute, in the same currency, above 0; scalar or array.
    cut_share [1]
        Share of the machining time in which the edge is in the cut, above 0 to 1; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid with the law of Taylor at a given feed per tooth, depth and width, so that machining time falls as 1/v. With
    t = t_1/v and T = (C/v)^(1/n) the cost of a part is C_m t_1/v + q_s t_1/v (v/C)^(1/n) (C_m t_ct + C_t) and terms
    without v. Its derivative over v is 0 where C_m = (1/n - 1) q_s (C_m t_ct + C_t)/T: the book's
    T = (1/n - 1) (t_ct + C_t/C_m), times q_s. There is but one such place, so within limits of the speed the nearest
    is best. From an exponent of 1 on, the faster the cheaper. Sources: TAYLOR, TOOL_ECONOMICS.

    Examples
    --------
    >>> print(f"{least_cost_life(0.25, '6 min', 24.0, '1.5 1/min'):.0f~P}")
    66 min
    """
    return _lives(taylor_exponent) * cut_share * (change_time + np.divide(tool_cost, positive(machine_rate)))


@formula(
    symbol="v_k",
    expression="C/((1 - n)/n*q_s*(t_ct + C_t/C_m))^n",
    sources=("TAYLOR", "TOOL_ECONOMICS"),
    domain=_BEST | {"taylor_constant": POSITIVE},
    requires=("change_time + tool_cost > 0",),
)
def least_cost_speed(
    taylor_constant: CuttingSpeed,
    taylor_exponent: Ratio,
    change_time: Time,
    tool_cost: Cost,
    machine_rate: CostRate,
    cut_share: Ratio = 1.0,
) -> CuttingSpeed:
    """Return the cutting speed [m/min] at which a part costs least.

    Parameters
    ----------
    taylor_constant [m/min]
        Cutting speed at which an edge lasts 1 min, above 0; scalar or array.
    taylor_exponent [1]
        Exponent of the life, above 0 and below 1; scalar or array.
    change_time [min]
        Time to change a worn edge or cutter, 0 or more; scalar or array.
    tool_cost [1]
        Cost of what one tool change puts in, in any one currency; scalar or array.
    machine_rate [1/min]
        Cost of machine and operator for a minute, in the same currency, above 0; scalar or array.
    cut_share [1]
        Share of the machining time in which the edge is in the cut, above 0 to 1; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or a change costs neither time nor money.

    Notes
    -----
    Valid as `least_cost_life`, whose life this speed gives; limits of tool, holder and machine come first.
    Sources: TAYLOR, TOOL_ECONOMICS.

    Examples
    --------
    >>> print(f"{least_cost_speed('300 m/min', 0.25, '6 min', 24.0, '1.5 1/min'):.1f~P}")
    105.3 m/min
    """
    life = least_cost_life.bare(taylor_exponent, change_time, tool_cost, machine_rate, cut_share)
    return positive(taylor_constant) * np.power(positive(life), -positive(taylor_exponent))


@formula(
    symbol="T_o",
    expression="(1 - n)/n*q_s*t_ct",
    sources=("TAYLOR", "TOOL_ECONOMICS"),
    domain=_BY_TIME,
)
def most_output_life(taylor_exponent: Ratio, change_time: Time, cut_share: Ratio = 1.0) -> Time:
    """Return the tool life [min] at which a part takes least time, so that most parts are made.

    Parameters
    ----------
    taylor_exponent [1]
        Exponent of the life, above 0 and below 1; scalar or array.
    change_time [min]
        Time to change a worn edge or cutter, 0 or more; scalar or array.
    cut_share [1]
        Share of the machining time in which the edge is in the cut, above 0 to 1; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid as `least_cost_life`, of which it is the limit for edges that cost nothing: the time of a part,
    t_1/v + q_s t_1/v (v/C)^(1/n) t_ct and terms without v, has the derivative 0 where T = (1/n - 1) q_s t_ct.
    Sources: TAYLOR, TOOL_ECONOMICS.

    Examples
    --------
    >>> print(f"{most_output_life(0.25, '6 min'):.0f~P}")
    18 min
    """
    return _lives(taylor_exponent) * cut_share * change_time


@formula(
    symbol="v_o",
    expression="C/((1 - n)/n*q_s*t_ct)^n",
    sources=("TAYLOR", "TOOL_ECONOMICS"),
    domain=_BY_TIME | {"taylor_constant": POSITIVE, "change_time": POSITIVE},
)
def most_output_speed(
    taylor_constant: CuttingSpeed, taylor_exponent: Ratio, change_time: Time, cut_share: Ratio = 1.0
) -> CuttingSpeed:
    """Return the cutting speed [m/min] at which a part takes least time, so that most parts are made.

    Parameters
    ----------
    taylor_constant [m/min]
        Cutting speed at which an edge lasts 1 min, above 0; scalar or array.
    taylor_exponent [1]
        Exponent of the life, above 0 and below 1; scalar or array.
    change_time [min]
        Time to change a worn edge or cutter, above 0; scalar or array.
    cut_share [1]
        Share of the machining time in which the edge is in the cut, above 0 to 1; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid as `least_cost_life`; never below the speed of least cost. Between the two lies what a shop chooses from.
    Sources: TAYLOR, TOOL_ECONOMICS.

    Examples
    --------
    >>> print(f"{most_output_speed('300 m/min', 0.25, '6 min'):.1f~P}")
    145.6 m/min
    """
    life = most_output_life.bare(taylor_exponent, change_time, cut_share)
    return positive(taylor_constant) * np.power(positive(life), -positive(taylor_exponent))
