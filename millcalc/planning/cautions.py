"""The cautions of a plan, each with its condition, its rank and its words."""

from collections.abc import Mapping
from typing import Any

import attrs
import numpy as np

from millcalc.planning.calculation import Calculation
from millcalc.planning.inputs import Choices
from millcalc.planning.motion import FEED_RATE_CAUSES
from millcalc.planning.tools import Tool
from millcalc.quantities.display import quantity_text
from millcalc.quantities.kinds import (
    ANGLE,
    CHIP_THICKNESS,
    CHORD_ERROR,
    CUTTING_SPEED,
    DEFLECTION,
    FEED_PER_TOOTH,
    LENGTH,
    ROUGHNESS,
    SCALLOP_HEIGHT,
    STRESS,
    TIME,
    Kind,
)

__all__ = ["CAUTIONS", "RANKS", "SAFETY", "Caution", "Stated", "caution_text", "note_cautions", "note_edges"]

RANKS = ("stop", "caution", "note")

_MORE = 1.0 + 1e-9  # what is above by less is equal, rounded badly

SAFETY = (
    "Starting values, to be proved on the machine; the limits of tool, holder and machine makers come first.",
    "Guards closed, eye protection on; the holder balanced and rated for the speed.",
    "Local rules and qualified people decide.",
)
"""Standing safety text of every plan."""


@attrs.frozen
class Caution:
    """One caution of a plan: its words, and the numbers that go into them, in trade units."""

    name: str
    rank: str
    words: str
    shows: tuple[tuple[Any, Kind], ...] = ()

    @property
    def text(self) -> str:
        """The caution in words, its numbers in the system of units in use."""
        shown = [quantity_text(value, kind, digits=3) for value, kind in self.shows]
        return self.words.format(*shown) if shown else self.words

    def __str__(self) -> str:
        return f"{self.rank.upper()}: {self.text}"


@attrs.frozen
class Stated:
    """A caution as it is declared: rank, words, and the numbers that go into the words."""

    rank: str
    words: str
    shows: tuple[tuple[str, Kind], ...] = ()


_CLEAR = (("clearing_inclination", ANGLE),)
_TIP = "the tip stands still in the cut and drags, the finish computed does not hold there"

CAUTIONS: dict[str, Stated] = {
    "tip_in_cut_stop": Stated("stop", _TIP + "; lean the axis {0} or more to clear it", _CLEAR),
    "scallop_deeper_than_stock": Stated(
        "stop",
        "the scallop, {0}, is deeper than the stock: parts of the surface are not cleaned up",
        (("scallop_height", SCALLOP_HEIGHT),),
    ),
    "form_budget_spent": Stated(
        "stop", "chord error and scallop use {0}, more than the form tolerance", (("form_budget", LENGTH),)
    ),
    "chip_far_above_chart": Stated(
        "stop",
        "the largest chip, {0}, is more than twice the chart's largest, {1}: the edge will break",
        (("chip_thickness", CHIP_THICKNESS), ("largest_chip", CHIP_THICKNESS)),
    ),
    "speed_far_above_window": Stated(
        "stop",
        "at the largest cutting diameter the cutting speed is {0}, the material's window ends at {1}",
        (("largest_cutting_speed", CUTTING_SPEED), ("speed_high", CUTTING_SPEED)),
    ),
    "stock_far_too_deep": Stated(
        "stop",
        "the stock, {0} with its scallops, is above a quarter of the diameter: semi-finish first",
        (("greatest_depth", LENGTH),),
    ),
    "edge_outlasted": Stated(
        "caution",
        "one surface takes {0} in the cut, an edge lasts {1} to {2}: a change within it leaves a step; a lower speed, "
        "a larger cutter, or a change at a border",
        (("edge_time", TIME), ("shortest_life", TIME), ("longest_life", TIME)),
    ),
    "tip_in_cut": Stated("caution", _TIP + "; lean the axis {0} or more to clear it", _CLEAR),
    "first_pass_tip": Stated(
        "caution", "on the first, full-width pass the tip is in the cut; lean the axis {0} or more to clear it", _CLEAR
    ),
    "finish_missed": Stated(
        "caution",
        "the fixed stepover leaves {0}, more than the share of the finish allows ({1})",
        (("scallop_height", SCALLOP_HEIGHT), ("scallop_allowed", SCALLOP_HEIGHT)),
    ),
    "chord_missed": Stated(
        "caution",
        "the fixed point spacing has a chord error of {0}, {1} is allowed",
        (("chord_error", CHORD_ERROR), ("chord_allowed", CHORD_ERROR)),
    ),
    "feed_above_bound": Stated(
        "caution",
        "the fixed feed per tooth is above {0}, all that marks, stepover and chart allow",
        (("feed_bound", FEED_PER_TOOTH),),
    ),
    "fixed_feed_not_kept": Stated(
        "caution",
        "the fixed feed per tooth is not kept: limits leave {0}",
        (("feed_per_tooth", FEED_PER_TOOTH),),
    ),
    "feed_marks_missed": Stated(
        "caution",
        "feed marks of {0} are more than the share of the finish allows ({1})",
        (("rz_along", SCALLOP_HEIGHT), ("mark_allowed", SCALLOP_HEIGHT)),
    ),
    "marks_above_scallop": Stated(
        "caution",
        "feed marks, {0}, stand higher than the scallop, {1}",
        (("rz_along", SCALLOP_HEIGHT), ("scallop_height", SCALLOP_HEIGHT)),
    ),
    "chip_below_least": Stated(
        "caution",
        "the mean chip, {0}, is thinner than the edge can cut ({1}): it rubs",
        (("mean_chip_thickness", CHIP_THICKNESS), ("least_chip", CHIP_THICKNESS)),
    ),
    "first_pass_chip": Stated(
        "caution",
        "the chip of the first, full-width pass is {0}, the chart's largest is {1}",
        (("first_pass_chip_thickness", CHIP_THICKNESS), ("largest_chip", CHIP_THICKNESS)),
    ),
    "runout_above_feed": Stated(
        "caution", "the runout is larger than the feed per tooth: one tooth does the work of all"
    ),
    "speed_above_window": Stated(
        "caution",
        "at the largest cutting diameter the cutting speed is {0}, above the material's window",
        (("largest_cutting_speed", CUTTING_SPEED),),
    ),
    "stock_deep": Stated(
        "caution",
        "the stock, {0} with its scallops, is above a tenth of the diameter: deep for a finishing feed",
        (("greatest_depth", LENGTH),),
    ),
    "tight_radius": Stated(
        "caution", "a concave radius is hardly wider than the cutter there: wide contact, expect chatter"
    ),
    "radius_not_stated": Stated(
        "caution", "the slope changes over the surface although it is stated flat that way: state its radius"
    ),
    "block_time_governs": Stated("caution", "the block time governs the feed rate: fewer points or a faster control"),
    "stock_below_previous_scallop": Stated(
        "caution",
        "the stock is thinner than the scallops of the operation before, {0}: the load will pulse",
        (("previous_scallop_height", SCALLOP_HEIGHT),),
    ),
    "no_better_than_before": Stated(
        "caution",
        "the scallop, {0}, is not below that of the operation before, {1}",
        (("scallop_height", SCALLOP_HEIGHT), ("previous_scallop_height", SCALLOP_HEIGHT)),
    ),
    "stepover_above_cut_off": Stated(
        "caution",
        "the stepover is wider than the roughness cut-off, {0}: a gauge counts the scallops as waviness",
        (("cut_off", LENGTH),),
    ),
    "bending_stress_high": Stated(
        "stop",
        "the bending stress, {0}, is above what the tool material bears with a margin, {1}: a shorter overhang, less "
        "stock or a thicker cutter",
        (("shown_stress", STRESS), ("allowable_stress", STRESS)),
    ),
    "deflection_above_share": Stated(
        "caution",
        "the tip deflects by {0}, more than its share of the form tolerance, {1}, even at the least chip: it takes an "
        "overhang shorter by {2}, a stock of about {3} (a semi-finish before), or a cutter about {4} thick",
        (
            ("shown_deflection", DEFLECTION),
            ("deflection_allowed", DEFLECTION),
            ("overhang_excess", LENGTH),
            ("depth_for_deflection", LENGTH),
            ("diameter_for_deflection", LENGTH),
        ),
    ),
    "force_outside_range": Stated(
        "note",
        "the mean chip, {0}, is thinner than those the force constants were found at, {1}: forces are extrapolated",
        (("mean_chip_thickness", CHIP_THICKNESS), ("force_chip_low", CHIP_THICKNESS)),
    ),
    "no_force_data": Stated(
        "note", "the material's record has no data on forces: power, torque and deflection are not checked"
    ),
    "life_extrapolated": Stated(
        "caution",
        "the life of an edge is carried over from {0} to {1}, further than the law is known to hold",
        (("life_speed", CUTTING_SPEED), ("edge_speed", CUTTING_SPEED)),
    ),
    "long_overhang": Stated("caution", "the overhang is above 5 diameters: reduce stock and feed, expect chatter"),
    "passes_hardly_meet": Stated(
        "caution",
        "the passes overlap by less than a tenth of what they could: a pass that wanders leaves a high ridge",
    ),
    "above_flutes": Stated(
        "caution",
        "the stock reaches {0} up the cutter, above its cutting edges: the shank rubs",
        (("highest_edge", LENGTH),),
    ),
    "off_segment": Stated(
        "caution",
        "the contact leaves the cutter's segment, which lies at inclinations from {0} to {1}",
        (("segment_from", ANGLE), ("segment_to", ANGLE)),
    ),
    "shank_cuts_scallop": Stated(
        "note", "the passes reach past the ball: the shank cuts the ridge lower than the scallop computed"
    ),
    "speed_below_window": Stated(
        "note",
        "at the largest cutting diameter the cutting speed is {0}, below the material's window",
        (("largest_cutting_speed", CUTTING_SPEED),),
    ),
    "tip_in_cut_note": Stated("note", _TIP + "; lean the axis {0} or more to clear it", _CLEAR),
    "theory_below_measured": Stated(
        "note",
        "a computed Ra of {0} is not what will be measured: below about 0.4 um (16 uin) runout and material govern",
        (("ra", ROUGHNESS),),
    ),
}
"""Every caution by name, the worst first."""


def note_cautions(calc: Calculation, choices: Choices, n: dict[str, Any], tool: Tool) -> None:
    """Note where each caution applies."""
    _note_tip(calc, choices, tool)
    calc.cautions |= tool.remarks(calc, n)
    _note_surface(calc, choices, n)
    _note_cut(calc, choices, n)
    _note_speed(calc, choices, n)
    note_edges(calc, n)
    _note_loads(calc, choices, n)


def note_edges(calc: Calculation, n: Mapping[str, Any]) -> None:
    """Note what is to be said of the life of an edge, where it is known."""
    v = calc.values
    if "edge_time" in v:
        calc.cautions["edge_outlasted"] = v["edge_time"] > v["shortest_life"]
        if n["life_speed"] is not None:
            # twice the speed is the most that tests usually span
            calc.cautions["life_extrapolated"] = np.abs(np.log2(v["edge_speed"] / n["life_speed"])) > 1.0


def _note_loads(calc: Calculation, choices: Choices, n: Mapping[str, Any]) -> None:
    v, found = calc.values, calc.cautions
    if not choices.loads:
        found["no_force_data"] = np.asarray(choices.loads_asked)
        return
    found["force_outside_range"] = v["mean_chip_thickness"] < n["force_chip_low"]
    if "overhang" in choices.limits:
        for name, shown in (("bending_stress", "shown_stress"), ("tip_deflection", "shown_deflection")):
            v[shown] = np.maximum(v[name], v[f"first_pass_{name}"])
        found["bending_stress_high"] = v["shown_stress"] > v["allowable_stress"] * (1.0 + 1e-4)
        over = v["shown_deflection"] / v["deflection_allowed"]
        found["deflection_above_share"] = over > 1.0 + 1e-4
        # the deflection falls with the cube of the overhang
        v["overhang_excess"] = n["overhang"] * (1.0 - np.maximum(over, 1.0) ** (-1.0 / 3.0))
        # nearly with the depth, and against the fourth power of the diameter
        v["depth_for_deflection"] = v["greatest_depth"] / np.maximum(over, 1.0)
        v["diameter_for_deflection"] = n["diameter"] * np.maximum(over, 1.0) ** 0.25


def _note_surface(calc: Calculation, choices: Choices, n: Mapping[str, Any]) -> None:
    v, found = calc.values, calc.cautions
    found["scallop_deeper_than_stock"] = v["scallop_height"] > 1000.0 * n["stock"]
    found["form_budget_spent"] = v["form_budget"] > n["form_tolerance"]
    if "stepover" in choices.fixed:
        found["finish_missed"] = v["scallop_height"] > v["scallop_allowed"] * _MORE
    if "point_spacing" in choices.fixed:
        found["chord_missed"] = v["chord_error"] > v["chord_allowed"] * _MORE
    found["feed_marks_missed"] = v["rz_along"] > v["mark_allowed"] * _MORE
    found["marks_above_scallop"] = v["rz_along"] > v["scallop_height"]
    if choices.previous:
        found["stock_below_previous_scallop"] = 1000.0 * n["stock"] < v["previous_scallop_height"]
        found["no_better_than_before"] = v["scallop_height"] >= v["previous_scallop_height"]
    found["stepover_above_cut_off"] = v["stepover"] > v["cut_off"]
    found["theory_below_measured"] = v["ra"] < 0.4
    if choices.has_slope_range:
        bent = "radius_across" if choices.slopes_across else "radius_along"
        found["radius_not_stated"] = (n["flattest"] != n["steepest"]) & np.isinf(n[bent])


def _note_cut(calc: Calculation, choices: Choices, n: Mapping[str, Any]) -> None:
    v, found = calc.values, calc.cautions
    if choices.feed_is_fixed:
        found["feed_above_bound"] = v["wanted_feed_per_tooth"] > v["feed_bound"] * _MORE
        found["fixed_feed_not_kept"] = calc.causes["feed_rate"] > 0
    found["chip_far_above_chart"] = v["chip_thickness"] > 2.0 * v["largest_chip"]
    found["chip_below_least"] = v["mean_chip_thickness"] < v["least_chip"]
    found["first_pass_chip"] = v["first_pass_chip_thickness"] > v["largest_chip"] * _MORE
    found["runout_above_feed"] = 0.002 * n["eccentricity"] > v["feed_per_tooth"]
    share = v["greatest_depth"] / n["diameter"]
    found["stock_far_too_deep"] = share > 0.25
    found["stock_deep"] = (share > 0.1) & (share <= 0.25)
    found["block_time_governs"] = calc.causes["feed_rate"] == FEED_RATE_CAUSES.index("block time")
    if n["overhang"] is not None:
        found["long_overhang"] = n["overhang"] > 5.0 * n["diameter"]


def _note_speed(calc: Calculation, choices: Choices, n: Mapping[str, Any]) -> None:
    if not choices.has_window:
        return
    speed, found = calc.values["largest_cutting_speed"], calc.cautions
    # a hundredth is what rounding the spindle speed down may take
    found["speed_below_window"] = speed < 0.99 * n["speed_low"]
    found["speed_far_above_window"] = speed > 1.5 * n["speed_high"]
    found["speed_above_window"] = (speed > 1.01 * n["speed_high"]) & (speed <= 1.5 * n["speed_high"])


def _note_tip(calc: Calculation, choices: Choices, tool: Tool) -> None:
    """Grade the tip in the cut by material, one step worse for a finish that the material does not forgive."""
    v = calc.values
    # an upright flat bottom is ground hollow: its middle does not touch
    drags = ~(tool.flat_bottom & (v["inclination"] <= 1e-9))
    in_cut = (v["least_diameter"] <= 1e-6 * v["largest_diameter"]) & drags
    fine = v["ra_wanted"] <= (0.8 if choices.work_hardening else 0.4)
    rank = RANKS.index(choices.tip_caution)
    worse = max(rank - 1, 0)
    names = ("tip_in_cut_stop", "tip_in_cut", "tip_in_cut_note")
    for place, name in enumerate(names):
        calc.cautions[name] = in_cut & ((fine & (place == worse)) | (~fine & (place == rank)))
    first = v["first_pass_least_diameter"] <= 1e-6 * v["largest_diameter"]
    calc.cautions["first_pass_tip"] = first & drags & ~in_cut & (choices.tip_caution != "note")


def caution_text(name: str, values: Mapping[str, Any], table: Mapping[str, Stated] | None = None) -> Caution:
    """Return a caution with the numbers of one variant."""
    stated = (CAUTIONS if table is None else table)[name]
    shown = tuple((values[key], kind) for key, kind in stated.shows)
    words = stated.words
    if stated.shows == _CLEAR and shown[0][0] != shown[0][0]:
        words, shown = words.replace("lean the axis {0} or more to clear it", "no lean clears it"), ()
    return Caution(name, stated.rank, words, shown)
