"""The kernel's steps from cutting speed to spindle speed and from the wanted chip to the feed per tooth."""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING, Any

import numpy as np

from millcalc.formulas import chips, settings, shares, speeds
from millcalc.planning.calculation import Calculation
from millcalc.planning.geometry import capped
from millcalc.planning.inputs import Choices
from millcalc.planning.tools import Tool
from millcalc.quantities.kinds import FEED_PER_TOOTH, SPINDLE_SPEED

if TYPE_CHECKING:
    from millcalc.planning.inputs import AnyChoices

__all__ = [
    "FEED_LIMITS",
    "FEED_PER_TOOTH_CAUSES",
    "SPINDLE_CAUSES",
    "chips_as_set",
    "feed_for_marks",
    "feed_per_tooth",
    "speed_candidates",
    "spindle",
    "wanted_chip",
]

Numbers = dict[str, Any]

SPINDLE_CAUSES = (
    "cutting speed of the material",
    "cutting speed fixed by user",
    "machine",
    "holder",
    "cutter",
    "fixed by user",
    "power",
    "least chip at the feed limit",
)
FEED_LIMITS = (
    "machine",
    "acceleration on the curve",
    "runout: one tooth marks alone",
    "block time",
    "rotary rate",
    "linear axes that follow the swing",
)
"""What may cut the feed rate, and with it the feed per tooth, back."""
FEED_PER_TOOTH_CAUSES = (
    "wanted chip",
    "feed marks",
    "stepover",
    "multiple of the chart",
    "first pass",
    "chart value fixed by user",
    "fixed by user",
    *FEED_LIMITS,
    "power",
    "torque",
    "tip deflection",
    "bending stress",
    "thrust",
)


def spindle(calc: Calculation, choices: Choices, n: Numbers) -> None:
    """Find the spindle speed from the largest cutting diameter and every rated speed."""
    v = calc.values
    if "spindle_speed" in choices.fixed:
        v["spindle_speed"] = n["spindle_speed"]
        calc.causes["spindle_speed"] = SPINDLE_CAUSES.index("fixed by user")
    else:
        candidates = speed_candidates(calc, choices, n)
        fastest = calc.least("spindle_speed", SPINDLE_SPEED, candidates, SPINDLE_CAUSES)
        v["spindle_speed"] = calc.use(settings.set_spindle_speed, fastest, title="spindle speed as set")
    for place in ("least", "contact", "largest"):
        diameter = v[f"{place}_diameter"]
        v[f"{place}_cutting_speed"] = calc.use(
            speeds.cutting_speed, diameter, v["spindle_speed"], title=f"cutting speed, {place} diameter"
        )
        if len(calc.conditions) > 1:
            each = (calc.each[f"{place}_diameter"], v["spindle_speed"])
            calc.each[f"{place}_cutting_speed"] = calc.use(speeds.cutting_speed, *each, title=f"cutting speed, {place}")


def speed_candidates(calc: Calculation, choices: AnyChoices, n: Numbers) -> dict[str, Any]:
    if "cutting_speed" in choices.fixed:
        cause, wanted = "cutting speed fixed by user", n["cutting_speed"]
    else:
        cause = "cutting speed of the material"
        window = (n["speed_low"], n["speed_high"], n["speed_position"])
        wanted = calc.use(shares.speed_in_window, *window, title="cutting speed wanted")
    largest = calc.values["largest_diameter"]
    candidates = {cause: calc.use(speeds.spindle_speed, wanted, largest, title="spindle speed at the largest diameter")}
    candidates["machine"] = n["largest_spindle_speed"]
    for cause, name in (("holder", "holder_spindle_speed"), ("cutter", "rated_spindle_speed")):
        if name in choices.limits:
            candidates[cause] = n[name]
    return candidates | capped(calc, n, "spindle_cap", SPINDLE_SPEED)


def feed_per_tooth(calc: Calculation, choices: Choices, n: Numbers, tool: Tool) -> None:
    """Find the feed per tooth at the contact, and that of the first pass."""
    v = calc.values
    wanted_chip(calc, choices, n)
    candidates = _feed_candidates(calc, choices, n, tool)
    v["first_pass_limit"] = tool.feed_for_chip(calc, v["largest_chip"], inf, "feed per tooth, first pass")
    if choices.feed_is_fixed:
        bounds = {k: x for k, x in candidates.items() if k != "wanted chip"}
        v["feed_bound"] = calc.least("feed_bound", FEED_PER_TOOTH, bounds, FEED_PER_TOOTH_CAUSES)
        v["wanted_feed_per_tooth"] = n["feed_per_tooth"]
        calc.causes["feed_per_tooth"] = FEED_PER_TOOTH_CAUSES.index("fixed by user")
        return
    if choices.first_pass == "same feed":
        candidates["first pass"] = v["first_pass_limit"]
    candidates |= capped(calc, n, "feed_cap", FEED_PER_TOOTH)
    v["wanted_feed_per_tooth"] = calc.least("feed_per_tooth", FEED_PER_TOOTH, candidates, FEED_PER_TOOTH_CAUSES)


def wanted_chip(calc: Calculation, choices: AnyChoices, n: Numbers) -> None:
    """Turn the chart's feed at its stated engagement into a chip thickness."""
    v, diameter = calc.values, n["diameter"]
    stated = calc.use(shares.stated_width, diameter, n["radial_share"], title="radial width the chart is for")
    if "feed_radial_width" in choices.fixed:
        chart, width = n["feed_per_tooth"], n["feed_radial_width"]
    else:
        window = (n["feed_low"], n["feed_high"], n["feed_position"])
        chart, width = calc.use(shares.feed_in_window, *window, title="feed per tooth of the chart"), stated
    v["chart_feed_per_tooth"] = chart
    v["wanted_chip"] = calc.use(chips.max_chip_thickness, chart, diameter, width, title="chip wanted")
    v["largest_chip"] = calc.use(
        chips.max_chip_thickness, n["feed_high"], diameter, stated, title="largest chip of the chart"
    )
    v["least_chip"] = calc.use(shares.least_chip, n["edge_radius"], n["least_chip_ratio"])


def _feed_candidates(calc: Calculation, choices: Choices, n: Numbers, tool: Tool) -> dict[str, Any]:
    v = calc.values
    chip = tool.feed_for_chip(calc, v["wanted_chip"], v["stepover"], "feed for the wanted chip")
    cap = calc.use(shares.feed_cap, v["chart_feed_per_tooth"], n["feed_factor"])
    v["other_feed_limits"] = np.minimum(np.minimum(chip, cap), v["least_stepover"])
    cause = "chart value fixed by user" if "feed_radial_width" in choices.fixed else "wanted chip"
    return {
        cause: chip,
        "feed marks": feed_for_marks(calc, n, tool, v["other_feed_limits"]),
        "stepover": v["least_stepover"],
        "multiple of the chart": cap,
    }


def feed_for_marks(calc: Calculation, n: Numbers, tool: Tool, others: Any) -> Any:
    """Return the feed per tooth whose marks stay within their height, where the other limits leave `others`."""
    v = calc.values
    feed = tool.feed_for_marks(calc, n, others)
    # in a trough, or on a sharp crest, no feed may leave marks so high: then they set no limit
    unlimited = np.isnan(feed) & (v["mark_allowed"] <= 500.0 * n["diameter"])
    return np.where(unlimited, np.inf, feed)


def chips_as_set(calc: Calculation, choices: Choices, n: Numbers, tool: Tool) -> None:
    """Recompute feed, chip and marks from the feed rate as set."""
    v = calc.values
    v["feed_per_tooth"] = calc.use(
        speeds.feed_per_tooth, v["contact_feed_rate"], n["teeth"], v["spindle_speed"], title="feed per tooth as set"
    )
    feed, first = v["feed_per_tooth"], v["first_pass_feed_per_tooth"]
    v["chip_thickness"] = tool.largest_chip(calc, feed, v["stepover"], "chip beside a pass")
    v["mean_chip_thickness"] = tool.mean_chip(calc, feed, v["stepover"], "mean chip beside a pass")
    v["first_pass_chip_thickness"] = tool.largest_chip(calc, first, inf, "chip of the first pass")
    v["feed_per_revolution"] = calc.use(speeds.feed_per_revolution, v["feed_per_tooth"], n["teeth"])
    v["feed_mark_height"], v["revolution_mark_height"], v["rz_along"] = tool.marks_of(calc, n)
    v["removal_rate"] = calc.use(speeds.removal_rate, n["stock"], v["stepover"], v["contact_feed_rate"])
