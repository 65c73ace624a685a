"""What a shop knows of tool life and of what an hour and a cutter cost: tables `wear` and `costs` of a job."""

from __future__ import annotations

from typing import Any

from millcalc.errors import Fault
from millcalc.quantities.kinds import (
    ONE_OR_MORE,
    POSITIVE,
    Cost,
    CostRate,
    Count,
    CuttingSpeed,
    FeedPerTooth,
    Interval,
    Length,
    Ratio,
    Time,
)
from millcalc.quantities.record import Record, entry, fields_of, number, record

__all__ = ["Costs", "Wear", "contradictions_of_costs", "stated_of_costs"]

_PART = Interval(0.0, 1.0, low_open=True, high_open=True)
_EXPONENT = Interval(0.0, 5.0)


@record
class Wear(Record):
    """What is known of the life of an edge in this work: one life at its speed, or the constants of Taylor's law.

    Without a speed, `tool_life` is that of the cut as it is planned.

    Parameters
    ----------
    tool_life [min], life_speed [m/min]
        Time in the cut that an edge lasted, and the cutting speed it lasted at.
    taylor_constant [m/min], taylor_exponent [1]
        Cutting speed at which an edge lasts 1 min, in place of a life; and the exponent, above 0 and below 1.
    life_feed_per_tooth [mm], feed_exponent [1]
        Feed per tooth that the life belongs to, and its exponent in the extended law.
    life_depth [mm], depth_exponent [1]
        Depth of cut that the life belongs to, and its exponent.
    life_spread [1]
        Share by which the lives of single edges differ from the mean.
    wear_limit [mm]
        Width of the wear land that ends the life.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> print(Wear(tool_life="45 min", life_speed="180 m/min").tool_life)
    45.0 minute
    """

    tool_life: Time = entry(default=None, domain=POSITIVE, meaning="time in the cut that an edge lasted")
    life_speed: CuttingSpeed = entry(default=None, domain=POSITIVE, meaning="cutting speed it lasted at")
    taylor_constant: CuttingSpeed = entry(default=None, domain=POSITIVE, meaning="speed of a life of 1 min")
    taylor_exponent: Ratio = entry(default=None, domain=_PART, meaning="exponent of the life")
    life_feed_per_tooth: FeedPerTooth = entry(default=None, domain=POSITIVE, meaning="feed per tooth it lasted at")
    feed_exponent: Ratio = entry(default=None, domain=_EXPONENT, meaning="exponent of the feed per tooth")
    life_depth: Length = entry(default=None, domain=POSITIVE, meaning="depth of cut it lasted at")
    depth_exponent: Ratio = entry(default=None, domain=_EXPONENT, meaning="exponent of the depth of cut")
    life_spread: Ratio = entry(default=None, domain=_PART, meaning="share by which single lives differ")
    wear_limit: Length = entry(default=None, domain=POSITIVE, meaning="width of the wear land that ends a life")


@record
class Costs(Record):
    """What machine, cutters and their changes cost, in any one currency, and how many parts are made.

    Parameters
    ----------
    machine_rate [1/min]
        Cost of machine and operator for a unit of time.
    price [1]
        Price of a cutter, or of all inserts that are changed together.
    edges [1], regrinding_cost [1]
        Lives it serves, 1 if left out, and the cost of one regrinding.
    change_time [min]
        Time to change a worn edge or cutter, with setting it.
    handling_time [min]
        Time for a part besides this operation's moves.
    parts [1]
        How many parts are made.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> print(f"{Costs(machine_rate='90 1/h', price=60).machine_rate:.2f~P}")
    1.50 1/min
    """

    machine_rate: CostRate = entry(default=None, domain=POSITIVE, meaning="cost of machine and operator")
    price: Cost = entry(default=None, meaning="price of a cutter, or of inserts changed together")
    edges: Count = entry(default=None, domain=ONE_OR_MORE, meaning="lives that it serves")
    regrinding_cost: Cost = entry(default=None, meaning="cost of one regrinding")
    change_time: Time = entry(default=None, meaning="time to change a worn edge")
    handling_time: Time = entry(default=None, meaning="time for a part besides this operation's moves")
    parts: Count = entry(default=None, domain=ONE_OR_MORE, meaning="how many parts are made")


def stated_of_costs(job: Any) -> dict[str, Any]:
    """Return every number of a job's tables of wear and costs by name, None where it is not stated."""
    return {n: number(t, n) for t in (job.wear, job.costs) for n in fields_of(t)}


def contradictions_of_costs(job: Any) -> list[Fault]:
    """Return what a job's tables of wear and costs state against each other."""
    stated = {n for n, value in stated_of_costs(job).items() if value is not None}
    faults = []
    if {"tool_life", "taylor_constant"} <= stated:
        reason = "the life follows from the constant, or the constant from the life: give one of the two"
        faults.append(Fault("wear", "tool_life and taylor_constant", reason))
    if "taylor_constant" in stated and "taylor_exponent" not in stated:
        reason = "the constant means a life only with its exponent"
        faults.append(Fault("wear.taylor_exponent", "", reason, example="0.25"))
    if "life_speed" in stated and "tool_life" not in stated:
        faults.append(Fault("wear.tool_life", "", "a speed is stated, but not the life", example='"45 min"'))
    for place, exponent, example in (
        ("life_feed_per_tooth", "feed_exponent", '"0.05 mm"'),
        ("life_depth", "depth_exponent", '"0.2 mm"'),
    ):
        if (place in stated) != (exponent in stated):
            missing, known = (exponent, place) if place in stated else (place, exponent)
            shown = "0.3" if missing == exponent else example
            faults.append(Fault(f"wear.{missing}", "", f"{known} counts only with it", example=shown))
        elif place in stated and not stated & {"tool_life", "taylor_constant"}:
            faults.append(Fault("wear.tool_life", "", f"{place} belongs to a life, which is missing", '"45 min"'))
    if "price" not in stated:
        faults += [
            Fault(f"costs.{n}", "", "it belongs to a price, which is missing")
            for n in ("edges", "regrinding_cost")
            if n in stated
        ]
    if "price" in stated and "machine_rate" not in stated:
        reason = "what a cutter costs counts only beside the machine's time"
        faults.append(Fault("costs.machine_rate", "", reason, example='"90 1/h"'))
    return faults
