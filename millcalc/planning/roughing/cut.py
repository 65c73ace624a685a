"""The roughing kernel's steps of the cut: levels, widths, spindle speed, feeds, chips."""

from math import inf
from typing import Any

import numpy as np

from millcalc.formulas import chips, clearing, corner_passes, corners, passes, proportions, settings, shares, speeds
from millcalc.planning.calculation import Calculation
from millcalc.planning.geometry import capped
from millcalc.planning.motion import FEED_RATE_CAUSES
from millcalc.planning.roughing.inputs import RoughingChoices
from millcalc.planning.speeds_feeds import SPINDLE_CAUSES, speed_candidates, wanted_chip
from millcalc.planning.tools import Tool
from millcalc.quantities.kinds import FEED_PER_TOOTH, FEED_RATE, LENGTH, SPINDLE_SPEED

__all__ = [
    "DEPTH_CAUSES",
    "FEED_CAUSES",
    "SLOT_CAUSES",
    "WIDTH_CAUSES",
    "chips_as_set",
    "feeds",
    "levels",
    "own_feed",
    "spindle",
    "stand",
    "widths",
]

Numbers = dict[str, Any]

SPEED_CAPS = ("power", "least chip at the feed limit")
"""Caps of the spindle speed, which keep the window of cutting speeds."""
LOAD_CAUSES = ("power", "torque", "tip deflection", "bending stress", "thrust")
DEPTH_CAUSES = ("share of the diameter", "depth to rough", "flutes", "fixed by user", "power", "torque")
WIDTH_CAUSES = (
    "share of the diameter",
    "rings that leave nothing in their corners",
    "fixed by user",
    "power",
    "torque",
)
FEED_CAUSES = (
    "wanted chip",
    "multiple of the chart",
    "chart value fixed by user",
    "fixed by user",
    "machine",
    *LOAD_CAUSES,
)
SLOT_CAUSES = ("wanted chip", "share of the feed at full width", "feed beside a pass", "machine", *LOAD_CAUSES)


def stand(calc: Calculation, choices: RoughingChoices) -> None:
    """Stand the axis upright on the levels; on which side the stock lies."""
    calc.each |= {"lead": np.zeros((1, 1)), "tilt": np.zeros((1, 1))}
    # with a right-hand spindle a climb cut has the uncut stock on the right
    calc.uncut_side = np.array([["right" if choices.cut == "climb" else "left"]])


def levels(calc: Calculation, choices: RoughingChoices, n: Numbers) -> None:
    """Find what there is to rough, the depth of a level and the number of levels."""
    v, stock = calc.values, n["stock_left"]
    across, along = (2.0, 2.0) if choices.walled else (1.0, 0.0)
    for name, sides in (("width", across), ("length", along), ("depth", 1.0)):
        v[f"rough_{name}"] = calc.use(clearing.size_to_rough, n[name], stock, sides, title=f"{name} to rough")
    if "axial_depth" in choices.fixed:
        setting = n["axial_depth"]
        calc.causes["axial_depth"] = DEPTH_CAUSES.index("fixed by user")
    else:
        share = calc.use(proportions.share_of_diameter, n["diameter"], n["depth_share"], title="depth by the diameter")
        candidates = {"share of the diameter": share, "depth to rough": v["rough_depth"]}
        if n["flute_length"] is not None:
            candidates["flutes"] = n["flute_length"]
        candidates |= capped(calc, n, "depth_cap", LENGTH)
        setting = calc.least("axial_depth", LENGTH, candidates, DEPTH_CAUSES)
    v["axial_depth_setting"] = setting
    v["levels"] = calc.use(clearing.levels, v["rough_depth"], setting)
    even = calc.use(
        clearing.equalised_step_down, v["rough_depth"], v["levels"], title="depth of a level, shared evenly"
    )
    v["axial_depth"] = np.minimum(setting, v["rough_depth"]) if "axial_depth" in choices.fixed else even
    v["engaged_depth"] = v["axial_depth"]


def widths(calc: Calculation, choices: RoughingChoices, n: Numbers) -> None:
    """Find the radial width, how many passes a level takes, and the engagement beside a pass."""
    v, diameter = calc.values, n["diameter"]
    if "radial_width" in choices.fixed:
        setting = n["radial_width"]
        calc.causes["radial_width"] = WIDTH_CAUSES.index("fixed by user")
    else:
        share = calc.use(proportions.share_of_diameter, diameter, n["width_share"], title="width by the diameter")
        candidates = {"share of the diameter": share} | capped(calc, n, "width_cap", LENGTH)
        if choices.closed and choices.style == "full width":
            meets = calc.use(clearing.largest_ring_spacing, diameter)
            candidates["rings that leave nothing in their corners"] = meets
        widest = calc.least("radial_width", LENGTH, candidates, WIDTH_CAUSES)
        increments = (n["fine_increment"], n["coarse_increment"])
        setting = calc.use(settings.set_stepover, widest, *increments, title="radial width as set")
    v["radial_width_setting"] = setting
    even = _passes(calc, choices, n, setting)
    v["radial_width"] = setting if "radial_width" in choices.fixed else even
    pair = (diameter, v["radial_width"])
    v["engagement_angle"] = calc.use(chips.engagement_angle, *pair, title="engagement beside a pass")
    v["loaded_width"] = v["radial_width"]
    if choices.style == "corners":
        # all of the cut is in the corner: its engagement there is what loads the cutter
        engaged = calc.use(corners.corner_engagement, *pair, n["corner_angle"])
        v["loaded_width"] = calc.use(corner_passes.width_of_engagement, diameter, engaged)


def _passes(calc: Calculation, choices: RoughingChoices, n: Numbers, setting: Any) -> Any:
    """Note the passes of a level; return the width that they share evenly."""
    v, diameter = calc.values, n["diameter"]
    width = v["rough_width"]
    if choices.style == "corners":
        case = (n["larger_diameter"], diameter, n["corner_angle"])
        v["corner_depth"] = calc.use(corners.corner_stock_between, *case)
        v["passes"] = calc.use(corner_passes.corner_passes, *case, setting, title="passes of a corner")
        return setting
    if choices.closed and choices.style == "full width":
        narrow = np.minimum(width, v["rough_length"])
        v["passes"] = calc.use(clearing.clearing_rings, narrow, diameter, setting, title="rings round the centre line")
        even = calc.use(clearing.ring_spacing, narrow, diameter, v["passes"], title="width of a ring, shared evenly")
        # a pocket as wide as the cutter is all slot
        return np.where(v["passes"] > 0.0, even, diameter)
    if choices.closed:
        slot = calc.use(proportions.share_of_diameter, diameter, n["slot_share"], title="width of a trochoidal slot")
        room = np.minimum(width, v["rough_length"])
        v["slot_width"] = np.minimum(slot, room)
        calc.chosen("slot width", LENGTH, {"share": slot, "pocket": room}, v["slot_width"], "the narrower")
        left = calc.use(passes.remaining_length, width, v["slot_width"], title="width beside the slot")
        v["passes"] = calc.use(clearing.side_passes, left, setting, title="passes beside the slot")
        return setting
    v["passes"] = calc.use(clearing.side_passes, width, setting, title="passes of a level")
    return calc.use(clearing.side_pass_width, width, v["passes"], title="width of a pass, shared evenly")


def spindle(calc: Calculation, choices: RoughingChoices, n: Numbers, tool: Tool) -> None:
    """Find the spindle speed from the largest cutting diameter and every rated speed."""
    v = calc.values
    found = tool.diameters(calc, v["engaged_depth"], v["loaded_width"], "diameters beside a pass")
    v["largest_diameter"] = calc.over_conditions("largest cutting diameter", LENGTH, found[2], most=True)
    if "spindle_speed" in choices.fixed:
        v["spindle_speed"] = n["spindle_speed"]
        calc.causes["spindle_speed"] = SPINDLE_CAUSES.index("fixed by user")
    else:
        candidates = speed_candidates(calc, choices, n)
        for cause in (cause for cause in SPEED_CAPS if cause in candidates):
            # a level made shallower since then may cut with a smaller diameter: the window is kept at that
            low = calc.use(speeds.spindle_speed, n["speed_low"], v["largest_diameter"], title="bottom of the window")
            kept = {"the limit": candidates[cause], "bottom of the window": low}
            candidates[cause] = calc.greatest(f"spindle speed within the window: {cause}", SPINDLE_SPEED, kept)
        fastest = calc.least("spindle_speed", SPINDLE_SPEED, candidates, SPINDLE_CAUSES)
        v["spindle_speed"] = calc.use(settings.set_spindle_speed, fastest, title="spindle speed as set")
    pair = (v["largest_diameter"], v["spindle_speed"])
    v["cutting_speed"] = calc.use(speeds.cutting_speed, *pair, title="cutting speed at the largest diameter")


def feeds(calc: Calculation, choices: RoughingChoices, n: Numbers, tool: Tool) -> None:
    """Find the feed beside a pass, and that of a cut at full width."""
    v = calc.values
    wanted_chip(calc, choices, n)
    chip = tool.feed_for_chip(calc, v["wanted_chip"], v["loaded_width"], "feed for the wanted chip")
    cap = calc.use(shares.feed_cap, v["chart_feed_per_tooth"], n["feed_factor"])
    cause = "chart value fixed by user" if "feed_radial_width" in choices.fixed else "wanted chip"
    candidates = {cause: chip, "multiple of the chart": cap}
    if choices.feed_is_fixed:
        v["feed_bound"] = calc.least("feed_bound", FEED_PER_TOOTH, candidates, FEED_CAUSES)
        v["wanted_feed_per_tooth"] = n["feed_per_tooth"]
        calc.causes["feed_per_tooth"] = FEED_CAUSES.index("fixed by user")
    else:
        candidates |= capped(calc, n, "feed_cap", FEED_PER_TOOTH)
        v["wanted_feed_per_tooth"] = calc.least("feed_per_tooth", FEED_PER_TOOTH, candidates, FEED_CAUSES)
    wanted = (v["wanted_feed_per_tooth"], n["teeth"], v["spindle_speed"])
    v["wanted_feed_rate"] = calc.use(speeds.feed_rate, *wanted, title="feed rate wanted")
    limits = {"feed per tooth": v["wanted_feed_rate"], "machine": n["largest_feed_rate"]}
    fastest = calc.least("feed_rate", FEED_RATE, limits, FEED_RATE_CAUSES)
    limited = calc.causes["feed_rate"] > 0
    calc.causes["feed_per_tooth"] = np.where(limited, FEED_CAUSES.index("machine"), calc.causes["feed_per_tooth"])
    v["feed_rate"] = calc.use(settings.set_feed_rate, fastest, n["feed_increment"], title="feed rate as set")
    tooth = (v["feed_rate"], n["teeth"], v["spindle_speed"])
    v["feed_per_tooth"] = calc.use(speeds.feed_per_tooth, *tooth, title="feed per tooth as set")
    v["full_width_feed"] = tool.feed_for_chip(calc, v["wanted_chip"], inf, "feed for the wanted chip at full width")
    if choices.closed and choices.style == "full width":
        sources = {"wanted chip": v["full_width_feed"], "feed beside a pass": v["feed_per_tooth"]}
        own_feed(calc, n, "slot", sources)


def own_feed(calc: Calculation, n: Numbers, word: str, sources: Numbers) -> None:
    """Give a cut that is not beside a pass its own feed: the least of its sources, the machine's and its caps."""
    v = calc.values
    candidates = sources | capped(calc, n, f"{word}_cap", FEED_PER_TOOTH)
    most = (n["largest_feed_rate"], n["teeth"], v["spindle_speed"])
    candidates["machine"] = calc.use(speeds.feed_per_tooth, *most, title="feed per tooth at the machine's feed rate")
    least = calc.least(f"{word}_feed_rate", FEED_PER_TOOTH, candidates, SLOT_CAUSES)
    rate = calc.use(speeds.feed_rate, least, n["teeth"], v["spindle_speed"], title=f"feed rate, {word}")
    v[f"{word}_feed_rate"] = calc.use(
        settings.set_feed_rate, rate, n["feed_increment"], title=f"feed rate, {word}, as set"
    )
    tooth = (v[f"{word}_feed_rate"], n["teeth"], v["spindle_speed"])
    v[f"{word}_feed_per_tooth"] = calc.use(speeds.feed_per_tooth, *tooth, title=f"feed per tooth, {word}, as set")


def chips_as_set(calc: Calculation, choices: RoughingChoices, n: Numbers, tool: Tool) -> None:
    """Recompute the chips from the feeds as set, and how much is removed beside a pass."""
    v = calc.values
    feed, width = v["feed_per_tooth"], v["loaded_width"]
    v["chip_thickness"] = tool.largest_chip(calc, feed, width, "chip beside a pass")
    v["mean_chip_thickness"] = tool.mean_chip(calc, feed, width, "mean chip beside a pass")
    if "slot_feed_per_tooth" in v:
        own = v["slot_feed_per_tooth"]
        v["slot_chip_thickness"] = tool.largest_chip(calc, own, inf, "chip at full width")
        v["slot_mean_chip_thickness"] = tool.mean_chip(calc, own, inf, "mean chip at full width")
    v["removal_rate"] = calc.use(speeds.removal_rate, v["axial_depth"], v["radial_width"], v["feed_rate"])
    v["approach"] = calc.use(proportions.share_of_diameter, n["diameter"], 0.5, title="approach and overrun, each")
