"""What makes a roughing job impossible, and its cautions."""

from collections.abc import Mapping
from functools import partial
from typing import Any

import numpy as np

from millcalc.formulas import clearing
from millcalc.planning.calculation import Calculation
from millcalc.planning.cautions import CAUTIONS, Stated, note_edges
from millcalc.planning.faults import FAULTS, Impossible, any_of, note_spindle
from millcalc.planning.limits import uses
from millcalc.planning.roughing.inputs import RoughingChoices
from millcalc.planning.roughing.limits import OWN_FEEDS
from millcalc.quantities.glossary import GLOSSARY
from millcalc.quantities.kinds import ANGLE, DEFLECTION, FEED_PER_TOOTH, FEED_RATE, LENGTH

__all__ = ["ROUGHING_CAUTIONS", "ROUGHING_FAULTS", "note_cautions", "note_faults"]

_MORE = 1.0 + 1e-9  # what is above by less is equal, rounded badly
_SLACK = 1.0 + 1e-4  # how close to a limit the caps come
_SPINDLE = ("spindle_above_machine", "spindle_above_holder", "spindle_above_cutter", "no_spindle_speed")

ROUGHING_FAULTS: dict[str, Impossible] = {
    "wider_than_pocket": Impossible(
        "cutter.diameter",
        "diameter",
        LENGTH,
        "with the stock left on the walls the cutter does not fit into the pocket",
        "a smaller cutter, or less stock left",
    ),
    "no_room_for_helix": Impossible(
        "cut.entry",
        "entry_hole_diameter",
        LENGTH,
        "the pocket leaves no room for a helical entry: its hole would hardly be wider than the cutter",
        'a smaller cutter, or entry = "ramp"',
    ),
    "no_room_for_ramp": Impossible(
        "cut.entry",
        "length",
        LENGTH,
        "the pocket is no longer than the cutter is wide: there is nowhere to ramp",
        "a smaller cutter, or a hole drilled before and an open pocket",
    ),
    "no_room_for_loops": Impossible(
        "cut.style",
        "slot_width",
        LENGTH,
        "the slot is hardly wider than the cutter: there is no room for trochoidal loops",
        'a smaller cutter, a larger slot_share, or style = "full width"',
    ),
    "no_width": Impossible(
        "cutter.diameter",
        "radial_width_setting",
        LENGTH,
        "no radial width of one increment or more is left",
        "a larger width_share or cutter",
    ),
    "does_not_fit_slope": Impossible(
        "pocket.slope_from",
        "slope_from",
        ANGLE,
        "the cutter cannot touch every slope of the range, does not fit its radius, or ends below the stairs",
        "a smaller cutter or corner radius, less depth of a level, or a narrower range",
    ),
    **{name: FAULTS[name] for name in _SPINDLE},
    "width_above_cutter": FAULTS["width_above_cutter"],
    "feed_above_machine": FAULTS["feed_above_machine"],
    "power_above_machine": Impossible(
        "machine",
        "shown_power",
        GLOSSARY["cutting_power"].kind,
        "the cut needs more power than the spindle has, even at the least width, depth, speed and chip",
        "less depth or width, a smaller cutter, fewer teeth, or a stronger spindle",
    ),
    "torque_above_machine": Impossible(
        "machine.largest_torque",
        "shown_torque",
        GLOSSARY["spindle_torque"].kind,
        "the cut needs more torque than the spindle has, even at the least width, depth and chip",
        "less depth or width, a smaller cutter, fewer teeth, or a stronger spindle",
    ),
    "thrust_above_machine": Impossible(
        "machine.largest_thrust",
        "shown_thrust",
        GLOSSARY["tangential_force"].kind,
        "the mean force of the cut is above the largest thrust, even at the least chip",
        "less depth or width, or fewer teeth",
    ),
    "no_feed": Impossible(
        "machine",
        "feed_rate",
        FEED_RATE,
        "no feed rate of one increment or more is left",
        "less depth or width, a shorter overhang, or a machine with more feed",
    ),
    "not_computed": FAULTS["not_computed"],
}
"""Every fault by name, the first cause first."""

ROUGHING_CAUTIONS: dict[str, Stated] = {
    "depth_above_flutes": Stated(
        "stop",
        "a level of {0} is deeper than the flutes are long, {1}: the shank rubs",
        (("axial_depth", LENGTH), ("flute_length", LENGTH)),
    ),
    "pocket_deeper_than_overhang": Stated(
        "stop",
        "the pocket is {0} deep and the tool reaches {1}: the holder would meet the stock",
        (("depth", LENGTH), ("overhang", LENGTH)),
    ),
    "bending_stress_high": CAUTIONS["bending_stress_high"],
    "deflection_above_share": Stated(
        "caution",
        "the tip deflects by {0}, more than its share of the stock left, {1}, even at the least chip: it takes an "
        "overhang shorter by {2}, levels about {3} deep, or a cutter about {4} thick",
        (
            ("shown_deflection", DEFLECTION),
            ("deflection_allowed", DEFLECTION),
            ("overhang_excess", LENGTH),
            ("depth_for_deflection", LENGTH),
            ("diameter_for_deflection", LENGTH),
        ),
    ),
    "chip_below_least": CAUTIONS["chip_below_least"],
    "feed_above_bound": Stated(
        "caution",
        "the fixed feed per tooth is above what chip and chart allow here, {0}",
        (("feed_bound", FEED_PER_TOOTH),),
    ),
    "runout_above_feed": CAUTIONS["runout_above_feed"],
    "stairs_above_stock": Stated(
        "caution",
        "the stairs, {0}, are thicker than the stock left under them, {1}: the next cut is loaded unevenly; a smaller "
        "depth of the levels or a semi-finish evens it out",
        (("stair_thickness", LENGTH), ("stock_left", LENGTH)),
    ),
    "slope_pass_wide": Stated(
        "caution",
        "on the flattest slope a pass along it takes {0}, wider than the cut beside a pass, {1}: a smaller slope_step",
        (("slope_width", LENGTH), ("radial_width", LENGTH)),
    ),
    "rings_leave_posts": Stated(
        "caution",
        "rings {0} apart leave posts on the diagonals of their corners: {1} at most",
        (("radial_width", LENGTH), ("largest_spacing", LENGTH)),
    ),
    "corner_stock_left": Stated(
        "caution",
        "the inside corners keep {0} over their fillet, along the bisector: a smaller cutter has to clear them before "
        "the finish",
        (("corner_stock", LENGTH),),
    ),
    "corner_engages_more": Stated(
        "caution",
        "in the inside corners the cutter is engaged over {0} instead of {1}: feed {2} there, or round the path",
        (("corner_engagement", ANGLE), ("engagement_angle", ANGLE), ("corner_feed_rate", FEED_RATE)),
    ),
    "deep_slot": Stated(
        "caution",
        "the level is opened at full width deeper than the cutter is wide: chips pack in the flutes; less depth, or "
        'style = "light radial"',
    ),
    "entry_leaves_post": Stated(
        "caution",
        "the hole of the entry leaves a post of {0} in its middle: it breaks off and jams; a smaller hole",
        (("entry_post_diameter", LENGTH),),
    ),
    "edge_outlasted": CAUTIONS["edge_outlasted"],
    "life_extrapolated": CAUTIONS["life_extrapolated"],
    "long_overhang": CAUTIONS["long_overhang"],
    "speed_below_window": CAUTIONS["speed_below_window"],
    "speed_above_window": CAUTIONS["speed_above_window"],
    "speed_far_above_window": CAUTIONS["speed_far_above_window"],
    "middle_must_cut": Stated(
        "note",
        "the entry needs a cutter whose middle cuts, or a hole and an angle that keep the middle clear: see its maker",
    ),
    "force_outside_range": CAUTIONS["force_outside_range"],
    "no_force_data": CAUTIONS["no_force_data"],
}
"""Every caution by name, the worst first."""


def note_faults(calc: Calculation, choices: RoughingChoices, n: Mapping[str, Any]) -> None:
    """Note where each fault applies; the last one catches any number that does not exist."""
    v, found, diameter = calc.values, calc.faults, n["diameter"]
    room = v["rough_width"]
    if choices.walled:
        room = np.minimum(room, v["rough_length"])
        found["wider_than_pocket"] = ~(room >= diameter)
        if choices.closed:
            _note_entry(calc, choices, n)
    else:
        found["wider_than_pocket"] = ~(room > 0.0)
    found["no_width"] = v["radial_width_setting"] <= 0.0
    if choices.has_slopes:
        found["does_not_fit_slope"] = np.isnan(v["stair_thickness"]) & ~any_of(found)
    note_spindle(calc, choices, n)
    if "feed_radial_width" in choices.fixed:
        found["width_above_cutter"] = n["feed_radial_width"] > diameter
    if choices.feed_is_fixed:
        found["feed_above_machine"] = v["wanted_feed_rate"] > n["largest_feed_rate"] * _MORE
    _note_machine(calc, choices)
    feeds = [v[f"{word}_feed_rate"] for word in (*OWN_FEEDS, "loop", "corner") if f"{word}_feed_rate" in v]
    least = np.minimum.reduce(np.broadcast_arrays(v["feed_rate"], *feeds))
    found["no_feed"] = (least <= 0.0) & ~found["no_spindle_speed"] & ~any_of(found)
    missing = ~np.isfinite(v["operation_time"]) | np.isnan(v["chip_thickness"])
    found["not_computed"] = missing & ~any_of(found)


def _note_entry(calc: Calculation, choices: RoughingChoices, n: Mapping[str, Any]) -> None:
    v, found, tight = calc.values, calc.faults, 1.05 * n["diameter"]
    if choices.style == "light radial":
        found["no_room_for_loops"] = (v["slot_width"] < tight) & ~any_of(found)
    if choices.entry == "helix":
        found["no_room_for_helix"] = (v["entry_hole_diameter"] < tight) & ~any_of(found)
    else:
        longer = np.maximum(v["rough_width"], v["rough_length"])
        found["no_room_for_ramp"] = (longer < tight) & ~any_of(found)


def _note_machine(calc: Calculation, choices: RoughingChoices) -> None:
    """Note what no cap could bring within the limits of the machine."""
    if not choices.loads:
        return
    v = calc.values
    words = [w for w in ("", *(f"{o}_" for o in OWN_FEEDS)) if f"{w}cutting_power" in v]
    shown = {"power": "cutting_power", "torque": "mean_torque", "thrust": "mean_force"}
    for cause, name in shown.items():
        shares = [used[cause] for used in map(partial(uses, v), words) if cause in used]
        if shares:
            calc.faults[f"{cause}_above_machine"] = np.maximum.reduce(np.broadcast_arrays(*shares)) > _SLACK
            v[f"shown_{cause}"] = np.maximum.reduce(np.broadcast_arrays(*(v[word + name] for word in words)))


def note_cautions(calc: Calculation, choices: RoughingChoices, n: Mapping[str, Any]) -> None:
    """Note where each caution applies."""
    v, found = calc.values, calc.cautions
    if n["flute_length"] is not None:
        found["depth_above_flutes"] = v["axial_depth"] > n["flute_length"] * _MORE
    if n["overhang"] is not None:
        found["pocket_deeper_than_overhang"] = n["depth"] > n["overhang"]
        found["long_overhang"] = n["overhang"] > 5.0 * n["diameter"]
    _note_feeds(calc, choices, n)
    _note_speed(calc, choices, n)
    if choices.has_slopes:
        found["stairs_above_stock"] = v["stair_thickness"] > n["stock_left"] * _MORE
    if "slope_width" in v:
        found["slope_pass_wide"] = np.isfinite(v["slope_width"]) & (v["slope_width"] > v["radial_width"] * _MORE)
    if choices.closed and choices.style == "full width":
        v["largest_spacing"] = clearing.largest_ring_spacing.bare(n["diameter"])
        found["rings_leave_posts"] = (v["radial_width"] > v["largest_spacing"] * _MORE) & (v["passes"] > 1.0)
    if "corner_feed_rate" in v:
        found["corner_engages_more"] = v["corner_feed_rate"] < 0.9 * v["feed_rate"]
    if "corner_stock" in v:
        found["corner_stock_left"] = v["corner_stock"] > 0.0
    if choices.closed:
        found["middle_must_cut"] = np.full(np.shape(v["feed_rate"]), True)
    if "entry_post_diameter" in v:
        found["entry_leaves_post"] = v["entry_post_diameter"] > 0.0
    if "slot_feed_rate" in v:
        found["deep_slot"] = v["axial_depth"] > n["diameter"] * _MORE
    note_edges(calc, n)
    _note_loads(calc, choices, n)


def _note_feeds(calc: Calculation, choices: RoughingChoices, n: Mapping[str, Any]) -> None:
    v, found = calc.values, calc.cautions
    if choices.feed_is_fixed:
        found["feed_above_bound"] = v["wanted_feed_per_tooth"] > v["feed_bound"] * _MORE
    found["chip_below_least"] = v["mean_chip_thickness"] < v["least_chip"]
    found["runout_above_feed"] = 0.002 * n["eccentricity"] > v["feed_per_tooth"]


def _note_speed(calc: Calculation, choices: RoughingChoices, n: Mapping[str, Any]) -> None:
    if not choices.has_window:
        return
    v, found = calc.values, calc.cautions
    speed = v["largest_cutting_speed"] = v["cutting_speed"]
    # a hundredth is what rounding the spindle speed down may take
    found["speed_below_window"] = speed < 0.99 * n["speed_low"]
    found["speed_far_above_window"] = speed > 1.5 * n["speed_high"]
    found["speed_above_window"] = (speed > 1.01 * n["speed_high"]) & (speed <= 1.5 * n["speed_high"])


def _note_loads(calc: Calculation, choices: RoughingChoices, n: Mapping[str, Any]) -> None:
    v, found = calc.values, calc.cautions
    if not choices.loads:
        found["no_force_data"] = np.asarray(choices.loads_asked)
        return
    found["force_outside_range"] = v["mean_chip_thickness"] < n["force_chip_low"]
    if "overhang" not in choices.limits:
        return
    words = [w for w in ("", *(f"{o}_" for o in OWN_FEEDS)) if f"{w}tip_deflection" in v]
    for name, shown in (("bending_stress", "shown_stress"), ("tip_deflection", "shown_deflection")):
        v[shown] = np.maximum.reduce(np.broadcast_arrays(*(v[word + name] for word in words)))
    found["bending_stress_high"] = v["shown_stress"] > v["allowable_stress"] * _SLACK
    over = v["shown_deflection"] / v["deflection_allowed"]
    found["deflection_above_share"] = over > _SLACK
    # the deflection falls with the cube of the overhang and, nearly, with the depth
    v["overhang_excess"] = n["overhang"] * (1.0 - np.maximum(over, 1.0) ** (-1.0 / 3.0))
    v["depth_for_deflection"] = v["axial_depth"] / np.maximum(over, 1.0)
    v["diameter_for_deflection"] = n["diameter"] * np.maximum(over, 1.0) ** 0.25
