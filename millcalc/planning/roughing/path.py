"""The roughing kernel's steps of path and time, and of what roughing leaves."""

from typing import Any

import numpy as np

from millcalc.formulas import clearing, corner_passes, entry_paths, loops, passes, scallops, shares, speeds, stock
from millcalc.formulas import motion as moves
from millcalc.formulas import times as timing
from millcalc.planning.calculation import Calculation
from millcalc.planning.roughing.inputs import RoughingChoices

__all__ = ["leaves", "times"]

Numbers = dict[str, Any]

_PARTS = ("cutting_time", "entry_exit_time", "acceleration_time", "link_time", "rapid_time")


def times(calc: Calculation, choices: RoughingChoices, n: Numbers) -> None:
    """Add up the time of all levels: cutting, entries, acceleration, returns, rapids."""
    v = calc.values
    if choices.style == "corners":
        _corners(calc, n)
    elif choices.closed and choices.style == "full width":
        _rings(calc, n)
    elif choices.closed:
        _slot_and_passes(calc, n)
    else:
        _from_outside(calc, choices, n)
    if n["slope_step"] is not None:
        _along_the_slopes(calc, choices, n)
    if choices.closed:
        entry = calc.use(speeds.cutting_time, v["entry_path_length"], v["entry_feed_rate"], title="time of one entry")
        v["entry_exit_time"] = calc.use(timing.repeated_time, v["levels"], entry, title="time of entries")
        lift = calc.use(moves.move_time, n["clearance"], n["rapid_rate"], n["acceleration"], title="one retract")
        v["rapid_time"] = calc.use(timing.repeated_time, 2.0 * v["levels"], lift, title="retracts and approaches")
    v["operation_time"] = calc.use(timing.operation_time, *(v[p] for p in _PARTS), n["time_factor"])
    if choices.style != "corners":
        box = (v["rough_width"], v["rough_length"], v["rough_depth"], v["operation_time"])
        v["mean_removal_rate"] = calc.use(speeds.mean_removal_rate, *box)


def _rings(calc: Calculation, n: Numbers) -> None:
    """Levels opened along their centre line at full width, then widened ring by ring."""
    v = calc.values
    box = (v["rough_width"], v["rough_length"])
    slot = calc.use(clearing.centre_line_length, *box)
    path = calc.use(clearing.ring_path_length, *box, n["diameter"], v["passes"], title="path of a level")
    rings = calc.use(passes.remaining_length, path, slot, title="path of the rings")
    opened = calc.use(speeds.cutting_time, slot, v["slot_feed_rate"], title="time of the centre line")
    widened = calc.use(speeds.cutting_time, rings, v["feed_rate"], title="time of the rings")
    one = calc.use(timing.summed_time, opened, widened, title="time of a level")
    v["cutting_time"] = calc.use(timing.repeated_time, v["levels"], one, title="cutting time")
    v["path_length"] = calc.use(passes.total_length, v["levels"], path, title="path length in the cut")
    # each side of a ring is a straight move that begins and ends at rest
    sides = 4.0 * v["passes"] + 1.0
    side = calc.use(passes.mean_move, path, sides, title="mean length of a straight move")
    lost = calc.use(timing.acceleration_loss, side, v["feed_rate"], n["acceleration"], title="lost in a move")
    v["acceleration_time"] = calc.use(
        timing.repeated_time, sides * v["levels"], lost, title="time lost to acceleration"
    )
    link = calc.use(moves.move_time, v["radial_width"], v["feed_rate"], n["acceleration"], title="one link")
    v["link_time"] = calc.use(timing.repeated_time, v["passes"] * v["levels"], link, title="time of links")


def _slot_and_passes(calc: Calculation, n: Numbers) -> None:
    """Deep levels: a slot by trochoidal loops, then passes beside it, each with a return through the air."""
    v, slot = calc.values, calc.values["slot_width"]
    travel = calc.use(entry_paths.axis_travel, v["rough_length"], slot, title="travel of the loops")
    count = calc.use(loops.loops, travel, v["loop_step"])
    case = (slot, n["diameter"], v["loop_step"])
    once = calc.use(loops.loop_time, *case, v["loop_feed_rate"], n["return_feed_rate"])
    v["loops"] = count
    v["slot_time"] = calc.use(timing.repeated_time, count, once, title="time of the slot")
    length = calc.use(entry_paths.axis_travel, v["rough_length"], n["diameter"], title="length of a pass")
    one = calc.use(speeds.cutting_time, length, v["feed_rate"], title="time of one pass")
    beside = calc.use(timing.repeated_time, v["passes"], one, title="time of the passes beside the slot")
    level = calc.use(timing.summed_time, v["slot_time"], beside, title="time of a level")
    v["cutting_time"] = calc.use(timing.repeated_time, v["levels"], level, title="cutting time")
    round_ = calc.use(loops.loop_path_length, *case)
    looped = calc.use(passes.total_length, count, round_, title="path of the slot")
    straight = calc.use(passes.total_length, v["passes"], length, title="path of the passes")
    path = calc.use(passes.joined_length, looped, straight, title="path of a level")
    v["path_length"] = calc.use(passes.total_length, v["levels"], path, title="path length in the cut")
    _returns(calc, n, length, v["levels"])


def _from_outside(calc: Calculation, choices: RoughingChoices, n: Numbers) -> None:
    """Levels of an open pocket: passes from outside, with returns through the air."""
    v = calc.values
    length = calc.use(passes.pass_length, v["rough_length"], v["approach"], title="length of a pass")
    one = calc.use(speeds.cutting_time, length, v["feed_rate"], title="time of one pass")
    level = calc.use(timing.repeated_time, v["passes"], one, title="time of a level")
    v["cutting_time"] = calc.use(timing.repeated_time, v["levels"], level, title="cutting time")
    path = calc.use(passes.total_length, v["passes"], length, title="path of a level")
    v["path_length"] = calc.use(passes.total_length, v["levels"], path, title="path length in the cut")
    v["entry_exit_time"] = 0.0 * level
    _returns(calc, n, length, v["levels"])
    lift = calc.use(moves.move_time, n["clearance"], n["rapid_rate"], n["acceleration"], title="one retract")
    v["rapid_time"] = calc.use(timing.repeated_time, 2.0 * v["levels"], lift, title="retracts and approaches")


def _along_the_slopes(calc: Calculation, choices: RoughingChoices, n: Numbers) -> None:
    """Passes along the slopes, upward from the floor of each level, once round the pocket or along its wall each."""
    v = calc.values
    steps = calc.use(clearing.levels, v["axial_depth"], n["slope_step"], title="steps along the slopes in a level")
    v["slope_step"] = calc.use(
        clearing.equalised_step_down, v["axial_depth"], steps, title="step along the slopes, even"
    )
    v["slope_passes"] = steps - 1.0
    if choices.walled:
        sides = [calc.use(entry_paths.axis_travel, v[f"rough_{way}"], n["diameter"]) for way in ("width", "length")]
        half = calc.use(passes.joined_length, *sides, title="half round the pocket")
        length = calc.use(passes.total_length, 2.0 + 0.0 * steps, half, title="once round the pocket")
    else:
        length = calc.use(passes.pass_length, v["rough_length"], v["approach"], title="once along the wall")
    once = calc.use(speeds.cutting_time, length, v["feed_rate"], title="time of one pass along the slopes")
    count = v["slope_passes"] * v["levels"]
    v["slope_time"] = calc.use(timing.repeated_time, count, once, title="time of the passes along the slopes")
    v["cutting_time"] = calc.use(timing.summed_time, v["cutting_time"], v["slope_time"], title="cutting time in all")
    longer = calc.use(passes.total_length, count, length, title="path along the slopes")
    v["path_length"] = calc.use(passes.joined_length, v["path_length"], longer, title="path length in all")
    flattest = np.minimum(n["slope_from"], n["slope_to"])
    spaced = calc.use(scallops.surface_spacing_from_step_down, v["slope_step"], flattest, title="passes on the slope")
    v["slope_width"] = calc.use(scallops.plan_spacing, spaced, flattest, title="width of a pass along the slopes")


def _corners(calc: Calculation, n: Numbers) -> None:
    """The inside corners one by one, level by level, each pass with a return through the air."""
    v = calc.values
    case = (n["larger_diameter"], n["diameter"], n["corner_angle"], v["passes"])
    path = calc.use(corner_passes.corner_path_length, *case)
    one = calc.use(speeds.cutting_time, path, v["feed_rate"], title="time of a corner")
    places = v["levels"] * n["corners"]
    v["cutting_time"] = calc.use(timing.repeated_time, places, one, title="cutting time")
    v["path_length"] = calc.use(passes.total_length, places, path, title="path length in the cut")
    v["entry_exit_time"] = 0.0 * one
    length = calc.use(passes.mean_move, path, v["passes"], title="mean length of a pass")
    _returns(calc, n, length, places)
    lift = calc.use(moves.move_time, n["clearance"], n["rapid_rate"], n["acceleration"], title="one retract")
    v["rapid_time"] = calc.use(timing.repeated_time, 2.0 * places, lift, title="retracts and approaches")


def _returns(calc: Calculation, n: Numbers, length: Any, places: Any) -> None:
    """Each pass ends at rest, and the cutter goes back through the air to where the next one begins."""
    v = calc.values
    count = v["passes"] * places
    lost = calc.use(timing.acceleration_loss, length, v["feed_rate"], n["acceleration"], title="lost in a pass")
    v["acceleration_time"] = calc.use(timing.repeated_time, count, lost, title="time lost to acceleration")
    back = calc.use(moves.move_time, length, n["return_feed_rate"], n["acceleration"], title="one return")
    v["link_time"] = calc.use(timing.repeated_time, count, back, title="time of returns")


def leaves(calc: Calculation, choices: RoughingChoices, n: Numbers) -> None:
    """Find what is left for the next operation: stock, stairs, the deepest place, and the tolerance of the path."""
    v = calc.values
    v["tolerance"] = calc.use(
        shares.chord_allowance, n["stock_left"], n["tolerance_share"], title="tolerance of the path"
    )
    v["stair_thickness"] = v["greatest_depth"] = None
    if not choices.has_slopes:
        return
    radius = calc.use(stock.offset_radius, n["surface_radius"], n["stock_left"])
    step = v["axial_depth"] if n["slope_step"] is None else v["slope_step"]
    place = (step, n["slope_from"], n["slope_to"], radius)
    v["stair_thickness"] = calc.use(n["shape"].largest_stair, *place, title="thickest stair of the slopes")
    depth = (n["stock_left"], v["stair_thickness"])
    v["greatest_depth"] = calc.use(stock.depth_with_stairs, *depth, title="greatest depth left")
    v["depth_ratio"] = calc.use(stock.depth_ratio, v["greatest_depth"], n["stock_left"])
