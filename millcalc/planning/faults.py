"""What makes a job impossible, and what would make it possible."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import attrs
import numpy as np

from millcalc.errors import Fault
from millcalc.planning.calculation import Calculation
from millcalc.planning.inputs import Choices
from millcalc.planning.limits import uses
from millcalc.planning.tools import Tool
from millcalc.quantities.display import quantity_text
from millcalc.quantities.glossary import GLOSSARY
from millcalc.quantities.kinds import (
    ANGLE,
    FEED_PER_TOOTH,
    FEED_RATE,
    LENGTH,
    RADIUS,
    SCALLOP_HEIGHT,
    SPINDLE_SPEED,
    Kind,
)

if TYPE_CHECKING:
    from millcalc.planning.inputs import AnyChoices

__all__ = ["FAULTS", "Impossible", "any_of", "fault_of", "note_faults", "note_spindle"]


@attrs.frozen
class Impossible:
    """A fault: where it stands in the job, the number that shows it, why, and what would make it possible."""

    where: str
    shows: str
    kind: Kind
    reason: str
    remedy: str


FAULTS: dict[str, Impossible] = {
    "concave_across": Impossible(
        "surface.radius_across",
        "radius_across",
        RADIUS,
        "the cutter does not fit into the concave radius across",
        'a smaller cutter, or less lean; a plane has the radius "flat"',
    ),
    "concave_along": Impossible(
        "surface.radius_along",
        "radius_along",
        RADIUS,
        "the cutter does not fit into the concave radius along the feed",
        'a smaller cutter, or less lean; a plane has the radius "flat"',
    ),
    "longer_than_turn": Impossible(
        "surface.length",
        "length",
        LENGTH,
        "the surface is longer than a full turn of its radius along the feed",
        "a length up to the full circle, or a larger radius",
    ),
    "wider_than_turn": Impossible(
        "surface.width",
        "width",
        LENGTH,
        "the surface is wider than a full turn of its radius across",
        "a width up to the full circle, or a larger radius",
    ),
    "scallop_above_ball": Impossible(
        "finish",
        "scallop_allowed",
        SCALLOP_HEIGHT,
        "the scallop allowed is higher than half the cutter's diameter, or than any that passes leave",
        "a finer finish or a larger cutter",
    ),
    "stock_above_ball": Impossible(
        "before.stock",
        "greatest_depth",
        LENGTH,
        "the stock is deeper than half the cutter's diameter",
        "roughing or semi-finishing first, or a larger cutter",
    ),
    "no_scallop_before": Impossible(
        "before.previous_diameter",
        "previous_diameter",
        LENGTH,
        "this ball and its passes leave no scallops here: it does not fit, or the passes do not meet",
        "a smaller ball or closer passes before, or only the stock that is left",
    ),
    "level_step_down": Impossible(
        "surface.slope_from",
        "slope_from",
        ANGLE,
        "a step down never gets across a level surface",
        'a slope range that begins above 0 deg, or spacing "along the surface"',
    ),
    "upright_plan_view": Impossible(
        "surface.slope_to",
        "slope_to",
        ANGLE,
        "a spacing in plan view never gets down an upright wall",
        'a slope range that ends below 90 deg, or spacing "step down"',
    ),
    "axis_from_below": Impossible(
        "axis",
        "inclination",
        ANGLE,
        "the axis leans more than 90 deg from the surface normal: the shank would cut",
        "an axis or a slope range with less lean",
    ),
    "no_contact": Impossible(
        "axis",
        "inclination",
        ANGLE,
        "the cutting part has no point with this normal: the cutter cannot touch the surface so leaned",
        "an axis that leans less, or a cutter whose profile reaches round so far",
    ),
    "passes_do_not_meet": Impossible(
        "fixed.stepover",
        "stepover",
        LENGTH,
        "passes so far apart do not meet: stock would stay between them",
        "a stepover up to that at which passes meet",
    ),
    "no_stepover": Impossible(
        "finish",
        "stepover_setting",
        LENGTH,
        "the finish needs a stepover below the smallest that is set",
        "a coarser finish, a larger ball, or a fixed stepover",
    ),
    "spindle_above_machine": Impossible(
        "fixed.spindle_speed",
        "spindle_speed",
        SPINDLE_SPEED,
        "it is above the largest spindle speed of the machine",
        "a lower spindle speed",
    ),
    "spindle_above_holder": Impossible(
        "fixed.spindle_speed",
        "spindle_speed",
        SPINDLE_SPEED,
        "it is above the rated speed of the holder",
        "a lower spindle speed, or a holder rated for it",
    ),
    "spindle_above_cutter": Impossible(
        "fixed.spindle_speed",
        "spindle_speed",
        SPINDLE_SPEED,
        "it is above the rated speed of the cutter",
        "a lower spindle speed, or a cutter rated for it",
    ),
    "no_spindle_speed": Impossible(
        "machine",
        "spindle_speed",
        SPINDLE_SPEED,
        "no spindle speed of 10 rev/min or more is left",
        "a higher cutting speed or a smaller cutting diameter",
    ),
    "width_above_cutter": Impossible(
        "fixed.feed_radial_width",
        "feed_radial_width",
        LENGTH,
        "it is wider than the cutter",
        "the radial width the feed per tooth is meant for, up to the diameter",
    ),
    "marks_do_not_meet": Impossible(
        "fixed.feed_per_tooth",
        "feed_per_tooth",
        LENGTH,
        "marks so far apart do not meet: stock would stay between them",
        "a feed per tooth below the diameter",
    ),
    "points_leave_curve": Impossible(
        "fixed.point_spacing",
        "point_spacing",
        LENGTH,
        "no chord so long fits into the path",
        "a point spacing below twice the radius along the feed",
    ),
    "feed_above_machine": Impossible(
        "fixed.feed_per_tooth",
        "wanted_feed_per_tooth",
        FEED_PER_TOOTH,
        "the fixed feed per tooth needs a feed rate above the machine's",
        "a smaller feed per tooth or a lower spindle speed",
    ),
    "power_above_machine": Impossible(
        "machine",
        "shown_power",
        GLOSSARY["cutting_power"].kind,
        "the cut needs more power than the spindle has, even at the least stepover, speed and chip",
        "less stock before, a smaller cutter, fewer teeth, or a stronger spindle",
    ),
    "torque_above_machine": Impossible(
        "machine.largest_torque",
        "shown_torque",
        GLOSSARY["spindle_torque"].kind,
        "the cut needs more torque than the spindle has, even at the least stepover and chip",
        "less stock before, a smaller cutter, fewer teeth, or a stronger spindle",
    ),
    "thrust_above_machine": Impossible(
        "machine.largest_thrust",
        "shown_thrust",
        GLOSSARY["tangential_force"].kind,
        "the mean force of the cut is above the largest thrust, even at the least chip",
        "less stock before or fewer teeth",
    ),
    "no_feed": Impossible(
        "machine",
        "feed_rate",
        FEED_RATE,
        "no feed rate of one increment or more is left",
        "a coarser finish, fewer teeth that mark, wider points, or a shorter block time",
    ),
    "not_computed": Impossible(
        "job",
        "operation_time",
        GLOSSARY["time"].kind,
        "a value of the plan does not exist for these inputs together",
        "inputs inside the domains of the formulas; change one value back and compare the sheets",
    ),
}
"""Every fault by name, the first cause first."""


def note_faults(calc: Calculation, choices: Choices, n: dict[str, Any], tool: Tool) -> None:
    """Note where each fault applies; the last one catches any number that does not exist."""
    v, found = calc.values, calc.faults
    radius = 0.5 * n["diameter"]
    misfits = tool.misfits(calc, n)
    found["axis_from_below"] = v["inclination"] > 90.0 + 1e-9
    if "no_contact" in misfits:
        found["no_contact"] = misfits["no_contact"] & ~found["axis_from_below"]
    found["concave_across"], found["concave_along"] = misfits["concave_across"], misfits["concave_along"]
    found["longer_than_turn"] = n["length"] > 2.0 * np.pi * np.abs(n["radius_along"]) * (1.0 + 1e-9)
    found["wider_than_turn"] = n["width"] > 2.0 * np.pi * np.abs(n["radius_across"]) * (1.0 + 1e-9)
    untouched = found.get("no_contact", np.False_)
    found["scallop_above_ball"] = _scallop_above_ball(v, radius) & ~untouched
    found["stock_above_ball"] = v["greatest_depth"] > radius
    if choices.previous:
        found["no_scallop_before"] = np.isnan(v["previous_scallop_height"])
    if choices.slope_spacing and choices.spacing == "step down":
        found["level_step_down"] = n["flattest"] <= 0.0
    elif choices.slope_spacing:
        found["upright_plan_view"] = n["steepest"] >= 90.0
    if "stepover" in choices.fixed:
        found["passes_do_not_meet"] = np.isnan(v["scallop_height"]) & ~any_of(found)
    else:
        found["no_stepover"] = (v["stepover_setting"] <= 0.0) & ~any_of(found)
    note_spindle(calc, choices, n)
    if "feed_radial_width" in choices.fixed:
        found["width_above_cutter"] = n["feed_radial_width"] > n["diameter"]
    if choices.feed_is_fixed:
        found["marks_do_not_meet"] = np.isnan(v["feed_mark_height"]) & ~any_of(found)
        found["feed_above_machine"] = v["wanted_feed_rate"] > n["largest_feed_rate"] * (1.0 + 1e-9)
    if "point_spacing" in choices.fixed:
        found["points_leave_curve"] = np.isnan(v["chord_error"]) & ~any_of(found)
    _note_loads(calc, choices)
    found["no_feed"] = (v["feed_rate"] <= 0.0) & ~found["no_spindle_speed"]
    missing = ~np.isfinite(v["operation_time"])
    for name in ("scallop_height", "ra", "rz_along", "chip_thickness"):
        missing = missing | np.isnan(v[name])
    found["not_computed"] = missing & ~any_of(found)


def _scallop_above_ball(v: Mapping[str, Any], radius: Any) -> Any:
    """A roughness that no scallop of the ball reaches has no scallop height: it is above the ball's, too."""
    allowed = v["scallop_allowed"]
    return (allowed > 1000.0 * radius) | np.isnan(allowed) | np.isnan(v["mark_allowed"])


def _note_loads(calc: Calculation, choices: Choices) -> None:
    """Note what no cap could bring within the limits of the machine."""
    if not choices.loads:
        return
    v = calc.values
    shares = (uses(v), uses(v, "first_pass_"))
    shown = {"power": "cutting_power", "torque": "mean_torque", "thrust": "mean_force"}
    for cause, name in shown.items():
        if cause in shares[0]:
            worst = np.maximum(*(s[cause] for s in shares))
            calc.faults[f"{cause}_above_machine"] = worst > 1.0 + 1e-4
            v[f"shown_{cause}"] = np.maximum(v[name], v[f"first_pass_{name}"])


def note_spindle(calc: Calculation, choices: AnyChoices, n: Mapping[str, Any]) -> None:
    speed = calc.values["spindle_speed"]
    if "spindle_speed" in choices.fixed:
        calc.faults["spindle_above_machine"] = speed > n["largest_spindle_speed"]
        if "holder_spindle_speed" in choices.limits:
            calc.faults["spindle_above_holder"] = speed > n["holder_spindle_speed"]
        if "rated_spindle_speed" in choices.limits:
            calc.faults["spindle_above_cutter"] = speed > n["rated_spindle_speed"]
    calc.faults["no_spindle_speed"] = speed <= 0.0


def any_of(found: Mapping[str, Any]) -> Any:
    total: Any = np.False_
    for where in found.values():
        total = total | where
    return total


def fault_of(name: str, values: Mapping[str, Any], table: Mapping[str, Impossible] | None = None) -> Fault:
    """Return a fault in words, with the number that shows it."""
    stated = (FAULTS if table is None else table)[name]
    shown = values.get(stated.shows)
    given = "" if shown is None or shown != shown else quantity_text(shown, stated.kind)
    return Fault(stated.where, given, stated.reason, stated.remedy)
