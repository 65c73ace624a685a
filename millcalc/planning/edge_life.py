"""How long an edge lasts in a planned cut, how many are needed, and what the operation costs."""

from __future__ import annotations

from math import inf
from typing import Any

import numpy as np

from millcalc.formulas import economic_speeds, economics, life_conditions, times, tool_life
from millcalc.planning.assumed import Assumed
from millcalc.planning.calculation import Calculation
from millcalc.planning.costs import stated_of_costs
from millcalc.quantities.kinds import COST, COUNT, CUTTING_SPEED, LENGTH, RATIO, TIME

__all__ = ["edge_numbers", "edges_and_costs", "flags_of"]

_EXPONENTS = {"HSS": 0.125, "ceramic": 0.5, "PCBN": 0.5, "PCD": 0.5}
_CARBIDE = 0.25
_MILLING = ("finishing", "milling", "end milling", "face milling", "shoulder milling")
_ALWAYS = (
    Assumed("life_spread", 0.3, RATIO, "repeats of the same cut differ by so much and more", "WEAR_DATA"),
    Assumed("wear_limit", 0.3, LENGTH, "width of the wear land that ends a life, mean of the teeth", "ISO8688"),
)
_PRICED = (
    Assumed("change_time", 5.0, TIME, "a cutter is changed, set and touched off"),
    Assumed("edges", 1.0, COUNT, "a cutter is used once"),
    Assumed("regrinding_cost", 0.0, COST, "inserts, or no regrinding"),
)
_PART = (
    Assumed("handling_time", 0.0, TIME, "nothing besides the moves of the operation"),
    Assumed("parts", 1.0, COUNT, "one part"),
)


def edge_numbers(job: Any, work: Any) -> tuple[dict[str, Any], tuple[Assumed, ...]]:
    """Return what is known of life and costs beyond what the job states, and what of it was assumed."""
    stated = stated_of_costs(job)
    numbers, assumed = dict[str, Any](), list[Assumed]()

    def assume(row: Assumed, matters: bool = True) -> None:
        if stated[row.name] is None:
            numbers[row.name] = row.value
            if matters:
                assumed.append(row)

    for row in _constants(job, work, stated):
        assume(row)
    known = any({**stated, **numbers}[n] is not None for n in ("tool_life", "taylor_constant"))
    priced = stated["machine_rate"] is not None
    for row in _ALWAYS:
        assume(row, known)
    for row in _PRICED:
        assume(row, known and priced and (row.name != "regrinding_cost" or stated["edges"] is not None))
    for row in _PART:
        assume(row, priced if row.name == "handling_time" else known)
    return numbers, tuple(assumed)


def _constants(job: Any, work: Any, stated: dict[str, Any]) -> list[Assumed]:
    """Constants of Taylor's law that nobody stated: a milling test of the material, or the class of the edge.

    A constant from turning says nothing of the short, thin chips of a finishing cut; its exponent still does.
    """
    rows = [r for r in work.taylor if r.substrate == job.cutter.substrate]
    milled = next((r for r in rows if r.c is not None and r.operation in _MILLING), None)
    found = []
    if stated["tool_life"] is None and stated["taylor_constant"] is None:
        if milled is None:
            return []
        found.append(Assumed("taylor_constant", milled.c, CUTTING_SPEED, milled.conditions, milled.source))
    if rows:
        row = milled or rows[0]
        said = f"of {row.operation} this material: {row.conditions}"
        return [*found, Assumed("taylor_exponent", row.n, RATIO, said, row.source)]
    substrate = job.cutter.substrate
    said = f"usual of {substrate}"
    return [*found, Assumed("taylor_exponent", _EXPONENTS.get(substrate, _CARBIDE), RATIO, said)]


def flags_of(numbers: dict[str, Any]) -> frozenset[str]:
    """Return what of life and costs a job can be told: it shapes the calculation."""
    names = ("tool_life", "taylor_constant", "life_speed", "feed_exponent", "depth_exponent", "machine_rate", "price")
    return frozenset(n for n in names if numbers[n] is not None)


def edges_and_costs(
    calc: Calculation, flags: frozenset[str], n: dict[str, Any], cut: tuple[Any, ...], between_parts: bool
) -> None:
    """Find life, edges and costs; `cut` is cutting speed, feed per tooth, depth and feed rate in the cut.

    A change of the edge shows on a finished surface: where an edge lasts a part, it is changed `between_parts` only.
    """
    v = calc.values
    if flags & {"tool_life", "taylor_constant"}:
        _life(calc, flags, n, cut, between_parts)
    if "machine_rate" in flags:
        rest = (n["machine_rate"], 0.0, 0.0, n["handling_time"])
        v["machine_cost"] = calc.use(economics.cost_per_part, v["operation_time"], inf, *rest, title="machine time")
        if "tool_life" in v and "price" in flags:
            _costs(calc, n)


def _life(
    calc: Calculation, flags: frozenset[str], n: dict[str, Any], cut: tuple[Any, ...], between_parts: bool
) -> None:
    v, (speed, feed, depth, rate) = calc.values, cut
    exponent = n["taylor_exponent"]
    v["edge_speed"] = speed
    extended = bool(flags & {"feed_exponent", "depth_exponent"})
    known_speed = n["life_speed"] if "life_speed" in flags else speed
    # what the law is not extended by has the exponent 0, and counts as it is in this cut
    feed_then = n["life_feed_per_tooth"] if "feed_exponent" in flags else feed
    depth_then = n["life_depth"] if "depth_exponent" in flags else depth
    powers = tuple(n[p] if p in flags else 0.0 for p in ("feed_exponent", "depth_exponent"))
    known = n["tool_life"]
    if "taylor_constant" in flags and extended:
        known, known_speed = 1.0, n["taylor_constant"]
    if extended:
        constant = calc.use(
            life_conditions.extended_constant, known_speed, known, feed_then, depth_then, exponent, *powers
        )
        case = (speed, feed, depth, constant, exponent, *powers)
        v["tool_life"] = calc.use(life_conditions.extended_life, *case, title="tool life")
    else:
        constant = n["taylor_constant"]
        if "tool_life" in flags:
            constant = calc.use(tool_life.taylor_constant, known_speed, known, exponent)
        v["tool_life"] = calc.use(tool_life.taylor_life, speed, constant, exponent, title="tool life")
    v["life_constant"] = calc.use(tool_life.taylor_constant, speed, v["tool_life"], exponent, title="for this cut")
    _edges(calc, n, rate, between_parts)


def _edges(calc: Calculation, n: dict[str, Any], rate: Any, between_parts: bool) -> None:
    v = calc.values
    v["shortest_life"] = calc.use(tool_life.shortest_life, v["tool_life"], n["life_spread"])
    v["longest_life"] = calc.use(tool_life.longest_life, v["tool_life"], n["life_spread"])
    v["edge_time"] = calc.use(times.repeated_time, n["time_factor"], v["cutting_time"], title="in the cut, as measured")
    v["life_path"] = calc.use(tool_life.life_length, v["shortest_life"], rate, title="path of the shortest life")
    v["life_used"] = calc.use(tool_life.life_share, v["edge_time"], v["shortest_life"], title="of the shortest life")
    v["parts_per_edge"] = calc.use(tool_life.parts_per_edge, v["edge_time"], v["shortest_life"])
    whole = calc.use(times.repeated_time, n["parts"], v["edge_time"], title="in the cut, all parts")
    lasting = v["shortest_life"]
    if between_parts:
        parts = calc.use(times.repeated_time, v["parts_per_edge"], v["edge_time"], title="whole parts of an edge")
        lasting = np.where(v["parts_per_edge"] >= 1.0, parts, lasting)
    v["cutters_needed"] = calc.use(tool_life.cutters_needed, whole, lasting)


def _costs(calc: Calculation, n: dict[str, Any]) -> None:
    """Cost of the operation for a part, and the speeds of least cost and of most output, at the mean life."""
    v, rate, change = calc.values, n["machine_rate"], n["change_time"]
    edge = calc.use(economics.tool_cost, n["price"], n["edges"], n["regrinding_cost"], title="cost of one life")
    share = calc.use(economics.cut_share, v["edge_time"], v["operation_time"])
    case = (v["operation_time"], v["tool_life"])
    v["operation_cost"] = calc.use(economics.cost_per_part, *case, rate, edge, change, n["handling_time"], share)
    v["part_time"] = calc.use(economics.time_per_part, *case, change, n["handling_time"], share)
    # only what is under feed gets shorter with the speed, and in that the edge is in the cut
    law = (v["life_constant"], n["taylor_exponent"])
    v["least_cost_speed"] = calc.use(economic_speeds.least_cost_speed, *law, change, edge, rate)
    v["most_output_speed"] = calc.use(economic_speeds.most_output_speed, *law, change)
