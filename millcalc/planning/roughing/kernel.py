"""The kernel of roughing: from the numbers of a job, one variant or many, to every number of its plan."""

from math import inf
from typing import Any

import numpy as np

from millcalc.formulas import shares
from millcalc.planning.calculation import Calculation
from millcalc.planning.roughing import cut, entry, limits, path
from millcalc.planning.roughing.inputs import RoughingChoices
from millcalc.planning.roughing.remarks import note_cautions, note_faults
from millcalc.planning.tools import FormTool, Tool

__all__ = ["run"]

_ROUNDS = 40
"""How often limits may send the kernel back; each round tightens by what the one before was over."""


def run(choices: RoughingChoices, numbers: dict[str, Any], record: bool = False) -> Calculation:
    """Compute everything, under the caps that the limits need; numbers may be floats or arrays of one length."""
    caps = limits.no_caps()
    if choices.loads and "overhang" in choices.limits:
        from millcalc.planning.loading import bodies  # loaded when a plan asks for loads, not with the package

        numbers = numbers | {"bodies": bodies(numbers)}
    calculation = _once(choices, numbers | caps, record)
    wanted = calculation.values
    for _ in range(_ROUNDS):
        with np.errstate(all="ignore"):
            tighter = limits.tightened(calculation, choices, numbers | caps, wanted)
        if not tighter:
            break
        caps |= tighter
        calculation = _once(choices, numbers | caps, record)
    with np.errstate(all="ignore"):
        path.leaves(calculation, choices, numbers)
        note_faults(calculation, choices, numbers)
        note_cautions(calculation, choices, numbers)
    return calculation


def _once(choices: RoughingChoices, numbers: dict[str, Any], record: bool) -> Calculation:
    calculation = Calculation(record)
    # NumPy's floats: divided by zero they give infinity or NaN, which becomes a fault
    numbers = {name: np.float64(v) if isinstance(v, float) else v for name, v in numbers.items()}
    tool: Tool = FormTool(numbers["shape"], numbers["diameter"], True)
    with np.errstate(all="ignore"):
        cut.stand(calculation, choices)
        cut.levels(calculation, choices, numbers)
        cut.widths(calculation, choices, numbers)
        cut.spindle(calculation, choices, numbers, tool)
        cut.feeds(calculation, choices, numbers, tool)
        entry.trochoidal_slot(calculation, choices, numbers)
        entry.descend(calculation, choices, numbers, tool)
        entry.inside_corners(calculation, choices, numbers, tool)
        cut.chips_as_set(calculation, choices, numbers, tool)
        path.times(calculation, choices, numbers)
        if choices.economy:
            from millcalc.planning.edge_life import edges_and_costs

            v = calculation.values
            made = (v["cutting_speed"], v["feed_per_tooth"], v["axial_depth"], v["feed_rate"])
            edges_and_costs(calculation, choices.economy, numbers, made, between_parts=False)
        if choices.loads:
            _loads(calculation, choices, numbers)
    return calculation


def _loads(calc: Calculation, choices: RoughingChoices, n: dict[str, Any]) -> None:
    """Find what each cut does to spindle and tool, and what they can take."""
    from millcalc.planning import loading

    v = calc.values
    cuts = [loading.Cut("", "beside a pass", v["feed_per_tooth"], v["axial_depth"], v["loaded_width"])]
    for word, title, depth in (("slot", "full width", "axial_depth"), ("entry", "entry", "entry_depth")):
        if f"{word}_feed_per_tooth" in v:
            cuts.append(loading.Cut(f"{word}_", title, v[f"{word}_feed_per_tooth"], v[depth], inf))
    if "corner_feed_per_tooth" in v:
        case = (v["corner_feed_per_tooth"], v["axial_depth"], v["corner_width"])
        cuts.append(loading.Cut("corner_", "in the corners", *case))
    loading.cut_loads(calc, n, cuts)
    loading.drive_limits(calc, choices, n)
    if "overhang" in choices.limits:
        loading.bending(calc, n, cuts)
        allowed = (n["stock_left"], n["deflection_share"])
        v["deflection_allowed"] = calc.use(shares.chord_allowance, *allowed, title="deflection allowed")
