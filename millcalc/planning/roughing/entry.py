"""The roughing kernel's steps of the entry into a closed pocket, of trochoidal loops and of inside corners."""

from math import inf
from typing import Any

import numpy as np

from millcalc.formulas import (
    chips,
    corner_passes,
    corners,
    entries,
    entry_paths,
    helical_entries,
    loops,
    proportions,
    settings,
    shares,
    speeds,
)
from millcalc.formulas import motion as moves
from millcalc.planning.calculation import Calculation
from millcalc.planning.geometry import capped
from millcalc.planning.roughing.cut import LOAD_CAUSES, own_feed
from millcalc.planning.roughing.inputs import RoughingChoices
from millcalc.planning.tools import Tool
from millcalc.quantities.kinds import FEED_PER_TOOTH, FEED_RATE, LENGTH

__all__ = ["CORNER_CAUSES", "HOLE_CAUSES", "LOOP_CAUSES", "descend", "inside_corners", "trochoidal_slot"]

Numbers = dict[str, Any]

HOLE_CAUSES = ("share of the diameter", "width to rough", "slot")
LOOP_CAUSES = ("feed beside a pass", "acceleration on the loop")
CORNER_CAUSES = ("mean chip of a pass", "feed beside a pass", *LOAD_CAUSES)


def trochoidal_slot(calc: Calculation, choices: RoughingChoices, n: Numbers) -> None:
    """Step the loops so that they engage the cutter as the passes beside them do."""
    if not choices.closed or choices.style != "light radial":
        return
    v, slot = calc.values, (n["diameter"], calc.values["slot_width"])
    v["loop_step"] = calc.use(loops.loop_step_for_engagement, *slot, v["engagement_angle"])
    radius = calc.use(helical_entries.entry_path_radius, *slot, title="radius of the loops")
    v["loop_radius"] = radius
    most = calc.use(moves.centripetal_feed_rate, n["acceleration"], radius, title="feed rate round the loops")
    limits = {"feed beside a pass": v["feed_rate"], "acceleration on the loop": most}
    fastest = calc.least("loop_feed_rate", FEED_RATE, limits, LOOP_CAUSES)
    v["loop_feed_rate"] = calc.use(
        settings.set_feed_rate, fastest, n["feed_increment"], title="feed rate, loops, as set"
    )


def descend(calc: Calculation, choices: RoughingChoices, n: Numbers, tool: Tool) -> None:
    """Find how a closed pocket is entered: hole, pitch or ramps, feed, and how deep the cutter stands in stock."""
    if not choices.closed:
        return
    v = calc.values
    if choices.entry == "helix":
        _helix(calc, choices, n)
    else:
        _ramps(calc, n)
    whole = (n["diameter"], n["diameter"])
    v["entry_engagement"] = calc.use(chips.engagement_angle, *whole, title="engagement of the entry, solid stock")
    share = calc.use(shares.feed_cap, v["full_width_feed"], n["entry_feed_share"], title="feed per tooth of the entry")
    own_feed(calc, n, "entry", {"share of the feed at full width": share, "feed beside a pass": v["feed_per_tooth"]})
    descent = v["entry_angle"]
    v["entry_axial_feed"] = calc.use(entries.axial_feed_per_tooth, v["entry_feed_per_tooth"], descent)
    # at its own depth, not that of the level
    v["engaged_depth"] = v["entry_depth"]
    v["entry_chip_thickness"] = tool.largest_chip(calc, v["entry_feed_per_tooth"], inf, "chip of the entry")
    v["entry_mean_chip_thickness"] = tool.mean_chip(calc, v["entry_feed_per_tooth"], inf, "mean chip of the entry")
    v["engaged_depth"] = v["axial_depth"]


def _helix(calc: Calculation, choices: RoughingChoices, n: Numbers) -> None:
    v, diameter = calc.values, n["diameter"]
    hole = calc.use(proportions.share_of_diameter, diameter, n["entry_share"], title="hole by the diameter")
    room = {"share of the diameter": hole, "width to rough": np.minimum(v["rough_width"], v["rough_length"])}
    if choices.style == "light radial":
        room["slot"] = v["slot_width"]
    v["entry_hole_diameter"] = calc.least("entry_hole_diameter", LENGTH, room, HOLE_CAUSES)
    radius = calc.use(helical_entries.entry_path_radius, diameter, v["entry_hole_diameter"])
    v["entry_path_radius"] = radius
    steepest = calc.use(helical_entries.helix_pitch, n["ramp_angle"], radius, title="pitch at the steepest angle")
    # no more than a level in a turn
    v["entry_pitch"] = np.minimum(steepest, v["axial_depth"])
    calc.chosen(
        "pitch of the entry", LENGTH, {"angle": steepest, "level": v["axial_depth"]}, v["entry_pitch"], "the less"
    )
    v["entry_angle"] = calc.use(helical_entries.entry_helix_angle, v["entry_pitch"], radius)
    v["entry_depth"] = v["entry_pitch"]
    case = (v["axial_depth"], v["entry_pitch"], radius)
    v["entry_path_length"] = calc.use(entry_paths.helical_entry_length, *case, title="path of the entry")
    v["entry_post_diameter"] = calc.use(helical_entries.entry_post_diameter, diameter, v["entry_hole_diameter"])


def _ramps(calc: Calculation, n: Numbers) -> None:
    v = calc.values
    longer = np.maximum(v["rough_width"], v["rough_length"])
    travel = calc.use(entry_paths.axis_travel, longer, n["diameter"])
    v["ramp_passes"] = calc.use(
        entries.ramp_passes, v["axial_depth"], travel, n["ramp_angle"], title="ramps of a level"
    )
    v["entry_angle"] = calc.use(
        entries.ramp_angle, v["axial_depth"], travel, v["ramp_passes"], title="angle of the ramps"
    )
    v["entry_path_length"] = calc.use(entries.ramp_path_length, v["axial_depth"], v["entry_angle"])
    v["entry_depth"] = calc.use(entry_paths.ramp_engaged_depth, v["axial_depth"], v["ramp_passes"])


def inside_corners(calc: Calculation, choices: RoughingChoices, n: Numbers, tool: Tool) -> None:
    """Find the engagement in inside corners, the feed rate that keeps the chip there, and the stock left in them."""
    if not choices.has_corners:
        return
    v, angle = calc.values, n["corner_angle"]
    v["corner_engagement"] = calc.use(corners.corner_engagement, n["diameter"], v["radial_width"], angle)
    if choices.style != "corners":
        factor = calc.use(corners.corner_mean_feed_factor, v["engagement_angle"], v["corner_engagement"])
        rate = calc.use(proportions.share_of_feed_rate, v["feed_rate"], factor)
        # past 134 deg the mean chip falls again: there the same mean would take more feed
        limits = {"mean chip of a pass": rate, "feed beside a pass": v["feed_rate"]}
        for cause, feed in capped(calc, n, "corner_cap", FEED_PER_TOOTH).items():
            limit = (feed, n["teeth"], v["spindle_speed"])
            limits[cause] = calc.use(speeds.feed_rate, *limit, title=f"feed rate in the corners, {cause}")
        setting = (calc.least("corner_feed_rate", FEED_RATE, limits, CORNER_CAUSES), n["feed_increment"])
        v["corner_feed_rate"] = calc.use(settings.set_feed_rate, *setting, title="feed rate in the corners")
        tooth = (v["corner_feed_rate"], n["teeth"], v["spindle_speed"])
        v["corner_feed_per_tooth"] = calc.use(speeds.feed_per_tooth, *tooth, title="feed per tooth in the corners")
        engaged = (n["diameter"], v["corner_engagement"])
        v["corner_width"] = calc.use(corner_passes.width_of_engagement, *engaged, title="width that engages so far")
        case = (calc, v["corner_feed_per_tooth"], v["corner_width"], "mean chip in the corners")
        v["corner_mean_chip_thickness"] = tool.mean_chip(*case)
    if n["fillet_radius"] is not None:
        v["corner_stock"] = calc.use(corners.corner_stock, n["diameter"], n["fillet_radius"], angle)
