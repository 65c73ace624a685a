"""The kernel: from the numbers of a job, one variant or many, to every number of the plan.

Each step is a formula or a choice among formulas' results; nothing here is written twice for one variant,
for many, or for the sheet.
"""

from typing import Any

import numpy as np

from millcalc.cutters import BallEndMill
from millcalc.planning import geometry, limits, motion, speeds_feeds
from millcalc.planning.calculation import Calculation
from millcalc.planning.cautions import note_cautions
from millcalc.planning.faults import note_faults
from millcalc.planning.inputs import Choices
from millcalc.planning.tools import BallTool, FormTool, Tool

__all__ = ["run"]


_ROUNDS = 30
"""How often limits may send the kernel back; each round tightens by what the one before was over."""


def run(choices: Choices, numbers: dict[str, Any], record: bool = False) -> Calculation:
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
    return calculation


def _once(choices: Choices, numbers: dict[str, Any], record: bool) -> Calculation:
    calculation = Calculation(record)
    # NumPy's floats: divided by zero they give infinity or NaN, which becomes a fault
    numbers = {name: np.float64(v) if isinstance(v, float) else v for name, v in numbers.items()}
    tool = _tool(choices, numbers)
    with np.errstate(all="ignore"):
        geometry.axis_stand(calculation, choices, numbers)
        geometry.depths(calculation, choices, numbers, tool)
        geometry.finish_allowances(calculation, choices, numbers, tool)
        geometry.stepover(calculation, choices, numbers, tool)
        geometry.surface_left(calculation, choices, numbers, tool)
        geometry.cutting_diameters(calculation, choices, numbers, tool)
        speeds_feeds.spindle(calculation, choices, numbers)
        speeds_feeds.feed_per_tooth(calculation, choices, numbers, tool)
        motion.programmed_point(calculation, choices, numbers, tool)
        motion.points_and_feed(calculation, choices, numbers, tool)
        speeds_feeds.chips_as_set(calculation, choices, numbers, tool)
        motion.program(calculation, choices, numbers)
        motion.times(calculation, choices, numbers)
        if choices.economy:
            from millcalc.planning.edge_life import edges_and_costs

            v = calculation.values
            cut = (v["largest_cutting_speed"], v["feed_per_tooth"], v["greatest_depth"], v["contact_feed_rate"])
            edges_and_costs(calculation, choices.economy, numbers, cut, between_parts=True)
        if choices.loads:
            from millcalc.planning.loading import loads

            loads(calculation, choices, numbers, tool)
        note_faults(calculation, choices, numbers, tool)
        note_cautions(calculation, choices, numbers, tool)
    return calculation


def _tool(choices: Choices, numbers: dict[str, Any]) -> Tool:
    """The tool as the steps ask it: a ball in closed form, which an array of diameters may vary, or any form."""
    if isinstance(numbers["shape"], BallEndMill):
        return BallTool(numbers["diameter"])
    return FormTool(numbers["shape"], numbers["diameter"], choices.fixed_axis)
