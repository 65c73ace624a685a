"""Time and cost of a part with its tool changes.

A cost is a number of any one currency, the same all through a calculation.
"""

import numpy as np

from millcalc.formulas._positive import positive
from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import (
    ONE_OR_MORE,
    POSITIVE,
    POSITIVE_OR_INFINITE,
    Cost,
    CostRate,
    Count,
    Interval,
    Ratio,
    Time,
)

__all__ = [
    "change_time_per_part",
    "cost_per_part",
    "cut_share",
    "time_per_part",
    "tool_changes",
    "tool_cost",
    "wear_cost_per_part",
]

_WORN: dict[str, Interval] = {"tool_life": POSITIVE_OR_INFINITE, "cut_share": Interval(0.0, 1.0)}


@formula(
    symbol="C_t",
    expression="(C_p + (N_e - 1)*C_g)/N_e",
    sources=("DEFINITION",),
    domain={"edges": ONE_OR_MORE},
)
def tool_cost(price: Cost, edges: Count, regrinding_cost: Cost = 0.0) -> Cost:
    """Return the cost of one life of a cutter or an insert.

    Parameters
    ----------
    price [1]
        Price of it, in any one currency; scalar or array.
    edges [1]
        Lives it serves: edges of an insert, or regrindings and 1, 1 or more; scalar or array.
    regrinding_cost [1]
        Cost of one regrinding, in the same currency, 0 for an insert; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid where all lives are as long. Of a cutter with several inserts add them up: they are changed together. A shank
    or body is shared out in the same way over the lives it holds. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{tool_cost(60.0, 4, 12.0):.2f}")
    24.00
    """
    lives = np.where(np.greater_equal(edges, 1.0), edges, np.nan)
    return np.divide(price + (lives - 1.0) * regrinding_cost, lives)


@formula(
    symbol="N_t",
    expression="q_s*t_m/T",
    sources=("TOOL_ECONOMICS",),
    domain=_WORN,
)
def tool_changes(machining_time: Time, tool_life: Time, cut_share: Ratio = 1.0) -> Ratio:
    """Return the tool changes for a part, as a mean over many parts.

    Parameters
    ----------
    machining_time [min]
        Time under feed for a part, 0 or more; scalar or array.
    tool_life [min]
        Time in the cut until the edge is worn to its limit, above 0; scalar or array.
    cut_share [1]
        Share of the machining time in which the edge is in the cut, 0 to 1; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid where an edge is used to the end of its life; one changed only between parts serves `parts_per_edge` of them.
    Source: TOOL_ECONOMICS.

    Examples
    --------
    >>> print(f"{tool_changes('15 min', '45 min', 0.9):.2f}")
    0.30
    """
    return np.divide(cut_share * machining_time, positive(tool_life))


@formula(
    symbol="t_t",
    expression="q_s*t_m/T*t_ct",
    sources=("TOOL_ECONOMICS",),
    domain=_WORN,
)
def change_time_per_part(machining_time: Time, tool_life: Time, change_time: Time, cut_share: Ratio = 1.0) -> Time:
    """Return the time [min] of tool changes for a part.

    Parameters
    ----------
    machining_time [min]
        Time under feed for a part, 0 or more; scalar or array.
    tool_life [min]
        Time in the cut until the edge is worn to its limit, above 0; scalar or array.
    change_time [min]
        Time to change a worn edge or cutter, 0 or more; scalar or array.
    cut_share [1]
        Share of the machining time in which the edge is in the cut, 0 to 1; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid as a mean over many parts. Source: TOOL_ECONOMICS.

    Examples
    --------
    >>> print(f"{change_time_per_part('15 min', '45 min', '6 min'):.1f~P}")
    2.0 min
    """
    return tool_changes.bare(machining_time, tool_life, cut_share) * change_time


@formula(
    symbol="K_t",
    expression="q_s*t_m/T*(C_m*t_ct + C_t)",
    sources=("TOOL_ECONOMICS",),
    domain=_WORN,
)
def wear_cost_per_part(
    machining_time: Time,
    tool_life: Time,
    machine_rate: CostRate,
    tool_cost: Cost,
    change_time: Time,
    cut_share: Ratio = 1.0,
) -> Cost:
    """Return what wear costs a part: the edges used, and the machine while they are changed.

    Parameters
    ----------
    machining_time [min]
        Time under feed for a part, 0 or more; scalar or array.
    tool_life [min]
        Time in the cut until the edge is worn to its limit, above 0; scalar or array.
    machine_rate [1/min]
        Cost of machine and operator for a minute, in any one currency; scalar or array.
    tool_cost [1]
        Cost of what one tool change puts in, in the same currency; scalar or array.
    change_time [min]
        Time to change a worn edge or cutter, 0 or more; scalar or array.
    cut_share [1]
        Share of the machining time in which the edge is in the cut, 0 to 1; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid as a mean over many parts; it does not count parts that a broken edge spoils. Source: TOOL_ECONOMICS.

    Examples
    --------
    >>> print(f"{wear_cost_per_part('15 min', '45 min', '1.5 1/min', 24.0, '6 min'):.2f}")
    11.00
    """
    return tool_changes.bare(machining_time, tool_life, cut_share) * (machine_rate * change_time + tool_cost)


@formula(
    symbol="t_p",
    expression="t_m + t_h + q_s*t_m/T*t_ct",
    sources=("TOOL_ECONOMICS",),
    domain=_WORN,
)
def time_per_part(
    machining_time: Time, tool_life: Time, change_time: Time, handling_time: Time, cut_share: Ratio = 1.0
) -> Time:
    """Return the time [min] that a part takes with its share of the tool changes.

    Parameters
    ----------
    machining_time [min]
        Time under feed for a part, 0 or more; scalar or array.
    tool_life [min]
        Time in the cut until the edge is worn to its limit, above 0; scalar or array.
    change_time [min]
        Time to change a worn edge or cutter, 0 or more; scalar or array.
    handling_time [min]
        Time for a part that no speed shortens: loading, rapid moves, idle time; scalar or array.
    cut_share [1]
        Share of the machining time in which the edge is in the cut, 0 to 1; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid as a mean over many parts; setting up a batch comes on top. Source: TOOL_ECONOMICS.

    Examples
    --------
    >>> print(f"{time_per_part('15 min', '45 min', '6 min', '3 min'):.1f~P}")
    20.0 min
    """
    changes = tool_changes.bare(machining_time, tool_life, cut_share)
    return machining_time + handling_time + changes * change_time


@formula(
    symbol="K_p",
    expression="C_m*(t_m + t_h) + q_s*t_m/T*(C_m*t_ct + C_t)",
    sources=("TOOL_ECONOMICS",),
    domain=_WORN,
)
def cost_per_part(
    machining_time: Time,
    tool_life: Time,
    machine_rate: CostRate,
    tool_cost: Cost,
    change_time: Time,
    handling_time: Time,
    cut_share: Ratio = 1.0,
) -> Cost:
    """Return the cost of an operation for a part: machine time, tool changes and edges.

    Parameters
    ----------
    machining_time [min]
        Time under feed for a part, 0 or more; scalar or array.
    tool_life [min]
        Time in the cut until the edge is worn to its limit, above 0; scalar or array.
    machine_rate [1/min]
        Cost of machine and operator for a minute, in any one currency; scalar or array.
    tool_cost [1]
        Cost of what one tool change puts in, in the same currency; scalar or array.
    change_time [min]
        Time to change a worn edge or cutter, 0 or more; scalar or array.
    handling_time [min]
        Time for a part that no speed shortens: loading, rapid moves, idle time; scalar or array.
    cut_share [1]
        Share of the machining time in which the edge is in the cut, 0 to 1; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid as a mean over many parts; material and setting up come on top. Source: TOOL_ECONOMICS.

    Examples
    --------
    >>> print(f"{cost_per_part('15 min', '45 min', '90 1/h', 24.0, '6 min', '3 min'):.2f}")
    38.00
    """
    wear = wear_cost_per_part.bare(machining_time, tool_life, machine_rate, tool_cost, change_time, cut_share)
    return machine_rate * (machining_time + handling_time) + wear


@formula(
    symbol="q_s",
    expression="t_c/t_m",
    sources=("DEFINITION",),
    domain={"machining_time": POSITIVE},
    requires=("machining_time - cutting >= 0",),
)
def cut_share(cutting: Time, machining_time: Time) -> Ratio:
    """Return the share of the machining time in which the edge is in the cut.

    Parameters
    ----------
    cutting [min]
        Time in the cut, 0 or more; scalar or array.
    machining_time [min]
        Time under feed for a part, no less than the time in the cut; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or more is cut than the time under feed.

    Notes
    -----
    Valid as a mean of the part. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{cut_share('12 min', '15 min'):.2f}")
    0.80
    """
    share = np.divide(cutting, positive(machining_time))
    return np.where(share <= 1.0, share, np.nan)[()]
