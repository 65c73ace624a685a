"""The kernel's steps of motion: programmed point, points, feed rate, program and times."""

from typing import Any

import numpy as np

from millcalc.formulas import curves, passes, proportions, rotary, settings, shares, speeds
from millcalc.formulas import motion as moves
from millcalc.formulas import program as programs
from millcalc.formulas import times as timing
from millcalc.planning.calculation import Calculation
from millcalc.planning.geometry import capped
from millcalc.planning.inputs import Choices
from millcalc.planning.speeds_feeds import FEED_LIMITS, FEED_PER_TOOTH_CAUSES, feed_for_marks
from millcalc.planning.tools import Tool
from millcalc.quantities.kinds import CHORD_ERROR, FEED_PER_TOOTH, FEED_RATE, LENGTH

__all__ = ["FEED_RATE_CAUSES", "SPACING_CAUSES", "points_and_feed", "program", "programmed_point", "times"]

Numbers = dict[str, Any]

FEED_RATE_CAUSES = ("feed per tooth", *FEED_LIMITS)
SPACING_CAUSES = (
    "share of the chord error allowed",
    "widened for the block time",
    "chord allowance",
    "length of the pass",
    "fixed by user",
)
FIRST_PASS_CAUSES = (
    "feed rate of the other passes",
    "largest chip of the chart",
    "power",
    "torque",
    "tip deflection",
    "bending stress",
    "thrust",
)
CHORD_CAUSES = ("form tolerance", "scallop")


def programmed_point(calc: Calculation, choices: Choices, n: Numbers, tool: Tool) -> None:
    """Find the radius on which the programmed point runs, and the feed rate there."""
    v = calc.values
    # with a fixed axis all points of the tool move alike
    on_tip = choices.programmed_point == "tip" and not choices.fixed_axis
    v["path_radius"] = tool.path_radius(calc, n, "tip" if on_tip else "centre")
    wanted = (v["wanted_feed_per_tooth"], n["teeth"], v["spindle_speed"])
    contact = calc.use(speeds.feed_rate, *wanted, title="feed rate wanted at the contact")
    v["wanted_feed_rate"] = calc.use(
        curves.programmed_feed_rate,
        contact,
        v["path_radius"],
        n["radius_along"],
        title="feed rate wanted, programmed point",
    )
    v["programmed_length"] = calc.use(curves.programmed_length, n["length"], v["path_radius"], n["radius_along"])


def points_and_feed(calc: Calculation, choices: Choices, n: Numbers, tool: Tool) -> None:
    """Space the points within the chord allowance, wider for the block time, then lower the feed."""
    v = calc.values
    _chord_allowance(calc, n)
    limits = {
        "feed per tooth": v["wanted_feed_rate"],
        "machine": n["largest_feed_rate"],
        "acceleration on the curve": calc.use(moves.centripetal_feed_rate, n["acceleration"], v["path_radius"]),
    }
    limits |= _rotary_limits(calc, choices, n)
    if not choices.feed_is_fixed:
        limits["runout: one tooth marks alone"] = _marks_limit(calc, n, tool, _least_of(limits))
    step = _step(calc, choices, n, _least_of(limits))
    limits["block time"] = calc.use(moves.block_limited_feed_rate, step, n["block_time"])
    fastest = calc.least("feed_rate", FEED_RATE, limits, FEED_RATE_CAUSES)
    _feed_per_tooth_governed(calc)
    v["feed_rate"] = calc.use(settings.set_feed_rate, fastest, n["feed_increment"], title="feed rate as set")
    radii = (v["path_radius"], n["radius_along"])
    v["contact_feed_rate"] = calc.use(curves.contact_feed_rate, v["feed_rate"], *radii)
    v["programmed_spacing"] = step
    v["point_spacing"] = calc.use(curves.contact_length, step, *radii, title="point spacing at the contact")
    v["chord_error"] = calc.use(moves.chord_error, step, v["path_radius"])
    v["block_rate"] = calc.use(moves.block_rate, v["feed_rate"], step, title="blocks a second")
    v["form_budget"] = calc.use(shares.form_budget, v["chord_error"], v["scallop_height"])
    _first_pass(calc, choices, n)


def _rotary_limits(calc: Calculation, choices: Choices, n: Numbers) -> dict[str, Any]:
    """Feed rates that the rotary axes allow where the axis follows the normal, at the programmed point."""
    if choices.fixed_axis:
        return {}
    radii, found = (calc.values["path_radius"], n["radius_along"]), {}
    if "rotary_rate" in choices.limits:
        found["rotary rate"] = calc.use(rotary.rotary_feed_rate, n["rotary_rate"], n["radius_along"])
    if "rotary_distance" in choices.limits:
        distance = n["rotary_distance"]
        if n["gauge_length"] is not None:
            pair = (distance, n["gauge_length"])
            distance = calc.use(passes.joined_length, *pair, title="from the tip to the centre of the rotary axes")
        swing = (n["rapid_rate"], distance, n["radius_along"])
        found["linear axes that follow the swing"] = calc.use(rotary.swung_feed_rate, *swing)
    title = "programmed point, within the rotary axes"
    return {cause: calc.use(curves.programmed_feed_rate, feed, *radii, title=title) for cause, feed in found.items()}


def _least_of(limits: dict[str, Any]) -> Any:
    return np.minimum.reduce(np.broadcast_arrays(*limits.values()))


def _marks_limit(calc: Calculation, n: Numbers, tool: Tool, feed: Any) -> Any:
    """Return the feed rate at which marks stay low where a limit makes the feed so small that one tooth marks alone."""
    v, radii = calc.values, (calc.values["path_radius"], n["radius_along"])
    contact = calc.use(curves.contact_feed_rate, feed, *radii, title="feed rate at the contact within the limits")
    tooth = (contact, n["teeth"], v["spindle_speed"])
    left = calc.use(speeds.feed_per_tooth, *tooth, title="feed per tooth within the limits")
    marks = feed_for_marks(calc, n, tool, np.minimum(v["other_feed_limits"], left))
    # where the marks are low enough already they set no limit, whatever the last digit says
    marks = np.where(marks >= left * (1.0 - 1e-9), np.inf, marks)
    allowed = calc.use(speeds.feed_rate, marks, n["teeth"], v["spindle_speed"], title="feed rate for the marks")
    return calc.use(curves.programmed_feed_rate, allowed, *radii, title="feed rate for the marks, programmed point")


def _feed_per_tooth_governed(calc: Calculation) -> None:
    """Say what governs the feed per tooth where the feed rate was cut back."""
    limit = calc.causes["feed_rate"] - 1  # below 0: the feed per tooth itself
    first = FEED_PER_TOOTH_CAUSES.index(FEED_LIMITS[0])
    calc.causes["feed_per_tooth"] = np.where(limit >= 0, first + limit, calc.causes["feed_per_tooth"])


def _chord_allowance(calc: Calculation, n: Numbers) -> None:
    v = calc.values
    # where a flat bottom leaves no scallop, the chord is measured by the one that is allowed
    scallop = np.where(v["scallop_height"] > 0.0, v["scallop_height"], v["scallop_allowed"])
    candidates = {
        "form tolerance": calc.use(shares.chord_allowance, n["form_tolerance"], n["chord_tolerance_share"]),
        "scallop": calc.use(
            shares.chord_share,
            scallop,
            n["chord_scallop_share"],
            title="chord error by the scallop",
        ),
    }
    v["chord_allowed"] = calc.least("chord_allowed", CHORD_ERROR, candidates, CHORD_CAUSES)


def _step(calc: Calculation, choices: Choices, n: Numbers, feed: Any) -> Any:
    """Return the distance of points at the programmed point."""
    v = calc.values
    if "point_spacing" in choices.fixed:
        calc.causes["point_spacing"] = SPACING_CAUSES.index("fixed by user")
        given = (n["point_spacing"], v["path_radius"], n["radius_along"])
        return calc.use(curves.programmed_length, *given, title="fixed spacing at the programmed point")
    start_error = calc.use(
        shares.chord_share, v["chord_allowed"], n["chord_start_share"], title="chord error to start with"
    )
    start = calc.use(moves.chord_step, start_error, v["path_radius"], title="step to start with")
    widest = calc.use(moves.chord_step, v["chord_allowed"], v["path_radius"], title="widest step")
    needed = calc.use(timing.block_step, feed, n["block_time"], title="step that the block time needs")
    ends = v["programmed_length"]
    step = np.minimum(np.minimum(np.maximum(start, needed), widest), ends)
    cause = np.where(needed <= start, 0, np.where(needed < widest, 1, 2))
    calc.causes["point_spacing"] = np.where(step >= ends, 3, cause)
    candidates = dict(zip(SPACING_CAUSES, (start, needed, widest, ends), strict=False))
    governs = SPACING_CAUSES[int(np.ravel(calc.causes["point_spacing"])[0])]
    calc.chosen("point spacing", LENGTH, candidates, step, governs)
    return step


def _first_pass(calc: Calculation, choices: Choices, n: Numbers) -> None:
    """Give the first, full-width pass a feed whose chip the edge can take."""
    v = calc.values
    radii = (v["path_radius"], n["radius_along"])
    fixed = choices.feed_is_fixed or choices.first_pass == "same feed"
    candidates = {"feed rate of the other passes": v["feed_rate"]}
    bounds = {"largest chip of the chart": v["first_pass_limit"]} | (
        {} if fixed else capped(calc, n, "first_pass_cap", FEED_PER_TOOTH)
    )
    for cause, feed in ({} if fixed else bounds).items():
        limit = (feed, n["teeth"], v["spindle_speed"])
        contact = calc.use(speeds.feed_rate, *limit, title="first pass, feed rate at the contact")
        programmed = calc.use(curves.programmed_feed_rate, contact, *radii, title="first pass, programmed point")
        increment = n["feed_increment"]
        candidates[cause] = calc.use(settings.set_feed_rate, programmed, increment, title="first pass, as set")
    v["first_pass_feed_rate"] = calc.least("first_pass_feed_rate", FEED_RATE, candidates, FIRST_PASS_CAUSES)
    first = calc.use(curves.contact_feed_rate, v["first_pass_feed_rate"], *radii, title="first pass, contact")
    v["first_pass_feed_per_tooth"] = calc.use(
        speeds.feed_per_tooth, first, n["teeth"], v["spindle_speed"], title="first pass, feed per tooth"
    )


def program(calc: Calculation, choices: Choices, n: Numbers) -> None:
    """Count moves, points and characters."""
    v = calc.values
    v["blocks_per_pass"] = calc.use(programs.blocks_per_pass, v["programmed_length"], v["programmed_spacing"])
    v["points"] = calc.use(programs.point_count, v["passes"], v["blocks_per_pass"])
    v["program_size"] = calc.use(programs.program_size, v["points"], n["characters"])
    v["path_length"] = calc.use(passes.total_length, v["passes"], n["length"], title="path length in the cut")


def times(calc: Calculation, choices: Choices, n: Numbers) -> None:
    """Add up the time: cutting, entry and exit, acceleration, links, rapids."""
    v, feed = calc.values, calc.values["feed_rate"]
    more = v["passes"] - 1.0
    once = calc.use(speeds.cutting_time, v["programmed_length"], feed, title="time of one pass")
    first = calc.use(
        speeds.cutting_time, v["programmed_length"], v["first_pass_feed_rate"], title="time of the first pass"
    )
    others = calc.use(timing.repeated_time, more, once, title="time of the other passes")
    v["cutting_time"] = calc.use(timing.summed_time, first, others, title="cutting time")
    length = n["entry_length"]
    if not choices.entry_as_length:
        length = calc.use(proportions.share_of_diameter, n["diameter"], n["entry_factor"], title="entry and exit, each")
    whole = calc.use(passes.pass_length, v["programmed_length"], length)
    ends = calc.use(passes.total_length, 2.0 * v["passes"], length, title="length of entries and exits")
    v["entry_exit_time"] = calc.use(speeds.cutting_time, ends, feed, title="entry and exit time")
    lost = calc.use(timing.acceleration_loss, whole, feed, n["acceleration"])
    v["acceleration_time"] = calc.use(timing.repeated_time, v["passes"], lost, title="time lost to acceleration")
    v["link_time"], v["rapid_time"] = _between_passes(calc, choices, n, whole, more)
    parts = ("cutting_time", "entry_exit_time", "acceleration_time", "link_time", "rapid_time")
    v["operation_time"] = calc.use(timing.operation_time, *(v[p] for p in parts), n["time_factor"])


def _between_passes(calc: Calculation, choices: Choices, n: Numbers, whole: Any, more: Any) -> tuple[Any, Any]:
    """Return the times of links and of rapids."""
    v, nothing = calc.values, 0.0 * more
    if choices.pattern == "back and forth":
        link = calc.use(moves.move_time, v["stepover"], v["feed_rate"], n["acceleration"], title="one link")
        return calc.use(timing.repeated_time, more, link, title="time of links"), nothing
    lift = calc.use(moves.move_time, n["clearance"], n["rapid_rate"], n["acceleration"], title="one retract")
    back = calc.use(moves.move_time, whole, n["rapid_rate"], n["acceleration"], title="one way back")
    lifts = calc.use(timing.repeated_time, 2.0 * more, lift, title="retracts and approaches")
    backs = calc.use(timing.repeated_time, more, back, title="ways back")
    return nothing, calc.use(timing.summed_time, lifts, backs, title="time of rapids")
