"""The cautions of a plan, each with its condition, its rank and its words."""

from collections.abc import Mapping
from typing import Any

import attrs
import numpy as np

from millcalc.planning.calculation import Calculation
from millcalc.planning.geometry import Stand
from millcalc.planning.inputs import Choices
from millcalc.quantities.display import quantity_text
from millcalc.quantities.kinds import ANGLE, CHIP_THICKNESS, CUTTING_SPEED, LENGTH, ROUGHNESS, SCALLOP_HEIGHT, Kind

__all__ = ["CAUTIONS", "RANKS", "SAFETY", "Caution", "caution_text", "note_cautions"]

RANKS = ("stop", "caution", "note")

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
        return self.words.format(*(quantity_text(value, kind, digits=3) for value, kind in self.shows))

    def __str__(self) -> str:
        return f"{self.rank.upper()}: {self.text}"


@attrs.frozen
class _Stated:
    """A caution as it is declared: rank, words, and the numbers that go into the words."""

    rank: str
    words: str
    shows: tuple[tuple[str, Kind], ...] = ()


CAUTIONS: dict[str, _Stated] = {
    "tip_in_cut_stop": _Stated(
        "stop",
        "the tip is in the cut at zero speed; from {0} of inclination it is clear",
        (("clearing_inclination", ANGLE),),
    ),
    "shank_cuts_scallop": _Stated(
        "stop", "tilted so far, the shank above the ball cuts the scallop: heights are not those computed"
    ),
    "scallop_deeper_than_stock": _Stated(
        "stop",
        "the scallop, {0}, is deeper than the stock: parts of the surface are not cleaned up",
        (("scallop_height", SCALLOP_HEIGHT),),
    ),
    "form_budget_spent": _Stated(
        "stop", "chord error and scallop use {0}, more than the form tolerance", (("form_budget", LENGTH),)
    ),
    "tip_in_cut": _Stated(
        "caution",
        "the tip is in the cut at zero speed; from {0} of inclination it is clear",
        (("clearing_inclination", ANGLE),),
    ),
    "finish_missed": _Stated(
        "caution",
        "the fixed stepover leaves {0}, more than the share of the finish allows ({1})",
        (("scallop_height", SCALLOP_HEIGHT), ("scallop_allowed", SCALLOP_HEIGHT)),
    ),
    "chord_missed": _Stated(
        "caution",
        "the fixed point spacing has a chord error of {0}, allowed are {1}",
        (("chord_error", SCALLOP_HEIGHT), ("chord_allowed", SCALLOP_HEIGHT)),
    ),
    "feed_above_bound": _Stated(
        "caution",
        "the fixed feed per tooth is above {0}, all that marks, stepover and chart allow",
        (("feed_bound", LENGTH),),
    ),
    "chip_below_least": _Stated(
        "caution",
        "the largest chip, {0}, is thinner than the edge can cut ({1}): it rubs",
        (("chip_thickness", CHIP_THICKNESS), ("least_chip", CHIP_THICKNESS)),
    ),
    "first_pass_chip": _Stated(
        "caution",
        "the chip of the first, full-width pass is {0}, the chart's largest is {1}",
        (("first_pass_chip_thickness", CHIP_THICKNESS), ("largest_chip", CHIP_THICKNESS)),
    ),
    "marks_above_scallop": _Stated(
        "caution",
        "feed marks, {0}, stand higher than the scallop, {1}",
        (("rz_along", SCALLOP_HEIGHT), ("scallop_height", SCALLOP_HEIGHT)),
    ),
    "block_time_governs": _Stated("caution", "the block time governs the feed rate: fewer points or a faster control"),
    "stock_below_previous_scallop": _Stated(
        "caution",
        "the stock is thinner than the scallops of the operation before, {0}: the load will pulse",
        (("previous_scallop_height", SCALLOP_HEIGHT),),
    ),
    "no_better_than_before": _Stated(
        "caution",
        "the scallop, {0}, is not below that of the operation before, {1}",
        (("scallop_height", SCALLOP_HEIGHT), ("previous_scallop_height", SCALLOP_HEIGHT)),
    ),
    "stepover_above_cut_off": _Stated(
        "caution",
        "the stepover is wider than the roughness cut-off, {0}: a gauge counts the scallops as waviness",
        (("cut_off", LENGTH),),
    ),
    "long_overhang": _Stated("caution", "the overhang is above 5 diameters: reduce stock and feed, expect chatter"),
    "speed_below_window": _Stated(
        "note",
        "at the largest cutting diameter the cutting speed is {0}, below the material's window",
        (("largest_cutting_speed", CUTTING_SPEED),),
    ),
    "tip_in_cut_note": _Stated(
        "note",
        "the tip is in the cut at zero speed; from {0} of inclination it is clear",
        (("clearing_inclination", ANGLE),),
    ),
    "theory_below_measured": _Stated(
        "note",
        "a computed Ra of {0} is not what will be measured: below about 0.4 um runout and material govern",
        (("ra", ROUGHNESS),),
    ),
}
"""Every caution by name, the worst first."""


def note_cautions(calc: Calculation, choices: Choices, n: Mapping[str, Any], stand: Stand) -> None:
    """Note where each caution applies."""
    v, found = calc.values, calc.cautions
    _note_tip(calc, choices)
    tilt = np.max(np.abs(stand.tilt), axis=0)
    found["shank_cuts_scallop"] = v["stepover"] > n["diameter"] * np.cos(np.radians(tilt)) * (1.0 + 1e-12)
    found["scallop_deeper_than_stock"] = v["scallop_height"] > 1000.0 * n["stock"]
    found["form_budget_spent"] = v["form_budget"] > n["form_tolerance"]
    if "stepover" in choices.fixed:
        found["finish_missed"] = v["scallop_height"] > v["scallop_allowed"] * (1.0 + 1e-9)
    if "point_spacing" in choices.fixed:
        found["chord_missed"] = v["chord_error"] > v["chord_allowed"] * (1.0 + 1e-9)
    if "feed_per_tooth" in choices.fixed:
        found["feed_above_bound"] = v["wanted_feed_per_tooth"] > v["feed_bound"] * (1.0 + 1e-9)
    found["chip_below_least"] = v["chip_thickness"] < v["least_chip"]
    found["first_pass_chip"] = v["first_pass_chip_thickness"] > v["largest_chip"] * (1.0 + 1e-9)
    found["marks_above_scallop"] = v["rz_along"] > v["scallop_height"]
    found["block_time_governs"] = calc.causes["feed_rate"] == 3
    if choices.previous:
        found["stock_below_previous_scallop"] = 1000.0 * n["stock"] < v["previous_scallop_height"]
        found["no_better_than_before"] = v["scallop_height"] >= v["previous_scallop_height"]
    found["stepover_above_cut_off"] = v["stepover"] > v["cut_off"]
    if n["overhang"] is not None:
        found["long_overhang"] = n["overhang"] > 5.0 * n["diameter"]
    if n.get("speed_low") is not None:
        found["speed_below_window"] = v["largest_cutting_speed"] < n["speed_low"]
    found["theory_below_measured"] = v["ra"] < 0.4


def _note_tip(calc: Calculation, choices: Choices) -> None:
    """Grade the tip in the cut by material, one step worse for a fine finish."""
    v = calc.values
    in_cut = v["least_diameter"] <= 1e-6 * v["largest_diameter"]
    fine = v["ra_wanted"] <= 0.8
    rank = RANKS.index(choices.tip_caution)
    worse = max(rank - 1, 0)
    names = ("tip_in_cut_stop", "tip_in_cut", "tip_in_cut_note")
    for place, name in enumerate(names):
        calc.cautions[name] = in_cut & ((fine & (place == worse)) | (~fine & (place == rank)))


def caution_text(name: str, values: Mapping[str, Any]) -> Caution:
    """Return a caution with the numbers of one variant."""
    stated = CAUTIONS[name]
    return Caution(name, stated.rank, stated.words, tuple((values[key], kind) for key, kind in stated.shows))
