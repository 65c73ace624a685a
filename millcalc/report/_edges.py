"""How long an edge lasts and what the operation costs, as a block of the plan and rows of the shop's page."""

from __future__ import annotations

from typing import Any

from millcalc.planning.reported import Reported
from millcalc.quantities.display import quantity_text, system_in_use
from millcalc.quantities.kinds import LENGTH, TIME
from millcalc.quantities.record import fields_of, number
from millcalc.report._blocks import block, number_row

__all__ = ["edge_rows", "edges_block"]

_EDGES = ("life_used", "parts_per_edge", "cutters_needed")
_COSTS = ("part_time", "machine_cost", "operation_cost", "least_cost_speed", "most_output_speed")


def edges_block(made: Reported) -> str:
    """Write what the plan knows of edges and costs."""
    return block("EDGE AND COST", edge_rows(made, (*_EDGES, *_COSTS)))


def edge_rows(made: Reported, names: tuple[str, ...] = _EDGES) -> list[tuple[str, str, str]]:
    """Return the life as a range, or unknown, and the numbers asked for that the plan has."""
    return [*_life(made), *(number_row(made, n) for n in names if number(made, n) is not None)]


def _life(made: Any) -> list[tuple[str, str, str]]:
    ends = [number(made, n) for n in ("shortest_life", "longest_life")]
    if None in ends:
        return [("life of an edge", "unknown", "state a life in the table wear")]
    low, high = (quantity_text(v, TIME, digits=2) for v in ends)
    path, unit = number(made, "life_path") / 1000.0, "m"
    if system_in_use() == "inch":
        path, unit = path / 0.3048, "ft"
    limit = number(made.job.wear, "wear_limit")
    land = next((a.value for a in made.assumed if a.name == "wear_limit"), limit)
    remark = f"to a wear land of {quantity_text(land, LENGTH, digits=3)}"
    meaning = fields_of(type(made))["life_path"].stated.meaning
    return [("life of an edge", f"{low} to {high}", remark), (meaning, f"{path:.3g} {unit}", "")]
