"""The kernel: from the numbers of a job, one variant or many, to every number of the plan.

Each step is a formula or a choice among formulas' results; nothing here is written twice for one variant,
for many, or for the sheet.
"""

from typing import Any

import numpy as np

from millcalc.cutters import BallEndMill
from millcalc.planning import geometry, motion, speeds_feeds
from millcalc.planning.calculation import Calculation
from millcalc.planning.cautions import note_cautions
from millcalc.planning.faults import note_faults
from millcalc.planning.inputs import Choices
from millcalc.planning.tools import BallTool, FormTool, Tool

__all__ = ["run"]


def run(choices: Choices, numbers: dict[str, Any], record: bool = False) -> Calculation:
    """Compute everything; numbers may be floats or arrays of one length."""
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
        note_faults(calculation, choices, numbers, tool)
        note_cautions(calculation, choices, numbers, tool)
    return calculation


def _tool(choices: Choices, numbers: dict[str, Any]) -> Tool:
    """The tool as the steps ask it: a ball in closed form, which an array of diameters may vary, or any form."""
    if isinstance(numbers["shape"], BallEndMill):
        return BallTool(numbers["diameter"])
    return FormTool(numbers["shape"], numbers["diameter"], choices.fixed_axis)
