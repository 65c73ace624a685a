"""The kernel's steps of geometry: lean, depth, finish to stepover, what the passes leave, cutting diameters."""

from typing import Any

import numpy as np

from millcalc.formulas import finish, lean, passes, scallops, settings, shares, stock
from millcalc.planning.calculation import Calculation
from millcalc.planning.inputs import Choices
from millcalc.planning.tools import Tool
from millcalc.quantities.kinds import ANGLE, LENGTH, Kind

__all__ = [
    "axis_stand",
    "capped",
    "cutting_diameters",
    "depths",
    "finish_allowances",
    "stepover",
    "surface_left",
]

Numbers = dict[str, Any]

STEPOVER_CAUSES = ("wanted finish", "widest at which passes meet", "fixed by user", "power", "torque")


def capped(calc: Calculation, n: Numbers, name: str, kind: Kind) -> dict[str, Any]:
    """Return what limits leave of a value, by cause, where they do."""
    caps = {key.partition(": ")[2]: cap for key, cap in n.items() if key.startswith(f"{name}: ")}
    caps = {cause: cap for cause, cap in caps.items() if np.any(np.isfinite(cap))}
    for cause, cap in caps.items():
        title = f"{name.removesuffix('_cap').replace('_', ' ')} that the limit leaves: {cause}"
        calc.chosen(title, kind, {"found by trial": cap}, cap, "found by trial")
    return caps


def axis_stand(calc: Calculation, choices: Choices, n: Numbers) -> None:
    """Find slope, lead, tilt and the side of the uncut stock in each condition of the job (first axis)."""
    ends = _slopes(calc, choices, n)
    ways = ("way out", "way back") if choices.pattern == "back and forth" else ("",)
    rows = [(end, way) for end in ends for way in ways]
    slope = None
    if choices.has_slope_range:
        slope = np.stack(np.broadcast_arrays(*(np.atleast_1d(ends[end]) for end, _ in rows)))
    calc.conditions = [", ".join(w for w in row if w) for row in rows]
    back = np.array([[way == "way back"] for _, way in rows])
    if choices.fixed_axis:
        heading = n["heading"] + np.where(back, 180.0, 0.0)
        axis = (slope, heading, n["axis_downhill"], n["axis_along"], n["axis_up"])
        lead = calc.use(lean.fixed_axis_lead, *axis, title="lead")
        tilt = calc.use(lean.fixed_axis_tilt, *axis, title="tilt")
    else:
        sign = np.where(back & (choices.way_back == "axis kept"), -1.0, 1.0)
        lead, tilt = (sign * (0.0 if n[key] is None else n[key]) for key in ("lead", "tilt"))
    calc.each |= {"slope": slope, "lead": lead, "tilt": tilt}
    inclination = calc.use(lean.inclination, lead, tilt)
    calc.values["inclination"] = calc.over_conditions("largest inclination", ANGLE, inclination, most=True)
    other = {"left": "right", "right": "left"}[choices.uncut_side]
    calc.uncut_side = np.where(back, other, choices.uncut_side)


def _slopes(calc: Calculation, choices: Choices, n: Numbers) -> dict[str, Any]:
    """Order the ends of the slope range; return the slopes to look at: these, and where a fixed axis leans least."""
    if n["slope_from"] is not None:
        n["flattest"] = np.minimum(n["slope_from"], n["slope_to"])
        n["steepest"] = np.maximum(n["slope_from"], n["slope_to"])
    if not choices.has_slope_range:
        return {"": None}
    slopes = {"flattest slope": n["flattest"], "steepest slope": n["steepest"]}
    # an upright axis leans least at the flattest slope
    if choices.fixed_axis and not choices.upright:
        case = (n["slope_from"], n["slope_to"], n["axis_downhill"], n["axis_up"])
        slopes["slope of least lean"] = calc.use(lean.slope_of_least_lean, *case)
    return slopes


def depths(calc: Calculation, choices: Choices, n: Numbers, tool: Tool) -> None:
    """Find the greatest depth: the stock, the scallops that stand on it, and what the curvature adds."""
    v, depth = calc.values, n["stock"]
    v["previous_scallop_height"] = None
    if choices.previous:
        step = n[choices.previous]
        if choices.previous == "previous_step_down":
            step = calc.use(scallops.surface_spacing_from_step_down, step, n["flattest"], title="stepover before")
        before = (n["previous_diameter"], step, n["radius_across"])
        v["previous_scallop_height"] = calc.use(scallops.scallop_height, *before, title="scallop height before")
        v["previous_spacing"] = step
        depth = calc.use(shares.greatest_depth, depth, v["previous_scallop_height"])
    elif n["stair_thickness"] is not None:
        depth = calc.use(stock.depth_with_stairs, depth, n["stair_thickness"], title="greatest depth")
    v["greatest_depth"] = depth
    v["engaged_depth"] = calc.greatest("depth engaged", LENGTH, tool.engaged_depths(calc, n, depth))


def finish_allowances(calc: Calculation, choices: Choices, n: Numbers, tool: Tool) -> None:
    """Share the wanted finish out: scallop height and feed-mark height allowed."""
    v = calc.values
    if choices.finish == "scallop_height":
        v["scallop_allowed"] = n["scallop_height"]
        share = n["feed_mark_share"] / n["scallop_share"]
        v["mark_allowed"] = calc.use(shares.height_share, n["scallop_height"], share, title="feed marks allowed")
        v["ra_wanted"] = tool.ra_of(calc, n, n["scallop_height"], "Ra of the wanted scallop")
        return
    wanted = n[choices.finish]
    if choices.finish == "grade":
        wanted = calc.use(finish.ra_from_grade, wanted, title="Ra of the grade")
    quantity = "rz" if choices.finish == "rz" else "ra"
    word = "Rz" if choices.finish == "rz" else "Ra"
    for result, share, cause in (
        ("scallop_allowed", "scallop_share", "scallop"),
        ("mark_allowed", "feed_mark_share", "feed marks"),
    ):
        part = calc.use(shares.roughness_share, wanted, n[share], title=f"share of {word} for the {cause}")
        v[result] = tool.scallop_for(calc, n, quantity, part, f"{cause} allowed")
    if choices.finish == "rz":
        height = tool.scallop_for(calc, n, quantity, wanted, "height of the wanted Rz")
        wanted = tool.ra_of(calc, n, height, "Ra of the wanted Rz")
    v["ra_wanted"] = wanted


def stepover(calc: Calculation, choices: Choices, n: Numbers, tool: Tool) -> None:
    """Find the stepover set, its largest value along the surface, and the number of passes."""
    v = calc.values
    if "stepover" in choices.fixed:
        setting = n["stepover"]
        calc.causes["stepover"] = STEPOVER_CAUSES.index("fixed by user")
    else:
        setting = _stepover_for_finish(calc, choices, n, tool)
    v["stepover_setting"] = setting
    across = _measured_width(calc, choices, n)
    v["passes"] = calc.use(passes.passes_across, across, setting, title="passes, both edges cut")
    v["equalised_stepover"] = calc.use(passes.equalised_stepover, across, v["passes"], title="stepover, shared evenly")
    # a stepover that the user fixes is cut as it is given, the last pass closer
    cut = setting if "stepover" in choices.fixed else v["equalised_stepover"]
    v["stepover"] = _along_surface(calc, choices, cut)


def _stepover_for_finish(calc: Calculation, choices: Choices, n: Numbers, tool: Tool) -> Any:
    v = calc.values
    exact, widest = tool.stepover_for(calc, n, v["scallop_allowed"])
    # no stepover leaves a scallop so high as allowed: then the widest at which passes meet will do
    beyond = np.isnan(exact) & (v["scallop_allowed"] <= 500.0 * n["diameter"])
    candidates = {"wanted finish": np.where(beyond, np.inf, exact), "widest at which passes meet": widest}
    candidates |= capped(calc, n, "stepover_cap", LENGTH)
    surface = calc.least("stepover", LENGTH, candidates, STEPOVER_CAUSES)
    if choices.slope_spacing and choices.spacing == "plan view":
        surface = calc.use(scallops.plan_spacing, surface, n["steepest"], title="stepover in plan view")
    elif choices.slope_spacing:
        surface = calc.use(scallops.step_down, surface, n["flattest"], title="step down")
    increments = (n["fine_increment"], n["coarse_increment"])
    return calc.use(settings.set_stepover, surface, *increments, title="stepover as set")


def _along_surface(calc: Calculation, choices: Choices, setting: Any) -> Any:
    """Return the largest stepover along the surface; note it in each condition."""
    calc.values["least_stepover"] = setting
    if not choices.slope_spacing:
        return setting
    spacing = scallops.surface_spacing if choices.spacing == "plan view" else scallops.surface_spacing_from_step_down
    along = calc.use(spacing, setting, calc.each["slope"], title="stepover along the surface")
    calc.each["stepover"] = along
    calc.values["least_stepover"] = calc.over_conditions("least stepover", LENGTH, along, most=False)
    return calc.over_conditions("largest stepover along the surface", LENGTH, along, most=True)


def _measured_width(calc: Calculation, choices: Choices, n: Numbers) -> Any:
    """Return the width in the measure of the spacing."""
    span = (n["width"], n["slope_from"], n["slope_to"])
    if choices.slope_spacing and choices.spacing == "plan view":
        return calc.use(passes.plan_width, *span, title="width in plan view")
    if choices.slope_spacing:
        return calc.use(passes.wall_height, *span, title="height")
    return n["width"]


def surface_left(calc: Calculation, choices: Choices, n: Numbers, tool: Tool) -> None:
    """Find what the passes leave across: scallop, Ra, Rz."""
    v = calc.values
    v["scallop_height"] = tool.scallop_of(calc, n, v["stepover"])
    v["ra"], v["rz"] = tool.surface_of(calc, n)
    v["cut_off"] = calc.use(finish.cut_off_length, v["ra_wanted"], title="roughness cut-off")


def cutting_diameters(calc: Calculation, choices: Choices, n: Numbers, tool: Tool) -> None:
    """Find least, contact and largest cutting diameter anywhere in the job: first pass, beside a pass, both ways."""
    v = calc.values
    first = tool.diameters(calc, v["engaged_depth"], None, "diameters, first pass")
    beside = tool.diameters(calc, v["engaged_depth"], v["stepover"], "diameters, beside a pass")
    candidates = {"first pass": first[2], "beside a pass": beside[2]}
    largest = calc.greatest("largest cutting diameter", LENGTH, candidates)
    calc.each |= {"least_diameter": beside[0], "contact_diameter": beside[1], "largest_diameter": largest}
    v["least_diameter"] = calc.over_conditions("least cutting diameter", LENGTH, beside[0], most=False)
    v["contact_diameter"] = calc.over_conditions("diameter at the contact", LENGTH, beside[1], most=False)
    v["largest_diameter"] = calc.over_conditions("largest cutting diameter", LENGTH, largest, most=True)
    v["first_pass_least_diameter"] = calc.over_conditions("least, first pass", LENGTH, first[0], most=False)
    v["clearing_inclination"] = tool.clearing(calc, v["engaged_depth"])
