"""The kernel's steps of loads: force, power and torque beside a pass and in the first, deflection and bending."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from millcalc.cutters import BallEndMill, Cutter
from millcalc.cutters.profile import Profile
from millcalc.cutters.shape import SideBySide
from millcalc.formulas import drive as drives
from millcalc.formulas import shares, stiffness
from millcalc.planning.calculation import Calculation
from millcalc.planning.drive import power_at
from millcalc.planning.inputs import Choices
from millcalc.planning.tools import Tool
from millcalc.quantities.kinds import DEFLECTION, FORCE, TORQUE

__all__ = ["LOADS", "Cut", "bending", "bodies", "cut_loads", "drive_limits", "loads"]

if TYPE_CHECKING:
    from millcalc.planning.inputs import AnyChoices

Numbers = dict[str, Any]

LOADS = ("mean_torque", "peak_torque", "peak_bending", "peak_force", "push", "mean_force")
"""What is known of each cut, in the order of the answer."""
_KINDS = (TORQUE, TORQUE, FORCE, FORCE, FORCE, FORCE)


class Cut(NamedTuple):
    """A cut whose loads are wanted: what its names begin with, its title, feed per tooth, depth and stepover."""

    word: str
    title: str
    feed: Any
    depth: Any
    stepover: Any


def loads(calc: Calculation, choices: Choices, n: Numbers, tool: Tool) -> None:
    """Find what the cut does to spindle and tool, the worst of the job's conditions, and what they can take."""
    v = calc.values
    v["first_pass_mean_chip_thickness"] = tool.mean_chip(
        calc, v["first_pass_feed_per_tooth"], inf, "mean chip of the first pass"
    )
    depth = v["engaged_depth"]
    cuts = (
        Cut("", "beside a pass", v["feed_per_tooth"], depth, v["stepover"]),
        Cut("first_pass_", "first pass", v["first_pass_feed_per_tooth"], depth, inf),
    )
    cut_loads(calc, n, cuts)
    drive_limits(calc, choices, n)
    if "overhang" in choices.limits:
        bending(calc, n, cuts)
        allowed = (n["form_tolerance"], n["deflection_share"])
        v["deflection_allowed"] = calc.use(shares.chord_allowance, *allowed, title="deflection allowed")
        left = {"beside a pass": v["form_error"], "first pass": v["first_pass_form_error"]}
        errors = (v["chord_error"], v["scallop_height"], calc.greatest("largest form error", DEFLECTION, left))
        v["form_budget"] = calc.use(shares.form_budget, *errors, title="form tolerance used, with the deflection")


def cut_loads(calc: Calculation, n: Numbers, cuts: Sequence[Cut]) -> None:
    """Find force, torque and power of each cut, the worst of the job's conditions."""
    v, force = calc.values, _turning(n)
    for cut in cuts:
        case = (cut.feed, cut.depth, calc.each["lead"], calc.each["tilt"], cut.stepover, calc.uncut_side)
        found = calc.use(force.turning_force, *case, title=f"force, {cut.title}")
        for name, kind, each in zip(LOADS, _KINDS, found, strict=True):
            sized = np.abs(each) if name == "push" else each
            title = f"force, {cut.title}: {name.replace('_', ' ')}"
            v[cut.word + name] = calc.over_conditions(title, kind, sized, most=True)
        pair = (v[cut.word + "mean_torque"], v["spindle_speed"])
        v[cut.word + "cutting_power"] = calc.use(drives.power_of_torque, *pair, title=f"power, {cut.title}")


def _turning(n: Numbers) -> Any:
    from millcalc.loads.turning import TurningForce

    profile = n["shape"].profile
    if isinstance(n["shape"], BallEndMill) and np.ndim(n["diameter"]):
        profile = Profile.balls(n["diameter"])
    return TurningForce(profile, n["teeth"], n["helix"], n["eccentricity"], n["force_coefficients"].numbers)


def drive_limits(calc: Calculation, choices: AnyChoices, n: Numbers) -> None:
    """Note the limits of the machine: power at this speed, the torque of the drive, the thrust of the axes."""
    v, speed = calc.values, calc.values["spindle_speed"]
    if "drive_points" in choices.limits:
        v["power_limit"] = power_at(n["drive_points"], speed)
        first_speed, first_power = n["drive_points"][0]
        v["torque_limit"] = calc.use(drives.spindle_torque, first_power, first_speed, title="torque of the drive")
    for name, stated in (("power_limit", "largest_power"), ("torque_limit", "largest_torque")):
        if stated in choices.limits:
            v[name] = n[stated]
    if "largest_thrust" in choices.limits:
        v["thrust_limit"] = n["largest_thrust"]


def bending(calc: Calculation, n: Numbers, cuts: Sequence[Cut]) -> None:
    """Find how far the tip moves, what of it the surface shows, and the largest bending stress."""
    v, (made, stiff, stress, v["allowable_stress"], frequency) = calc.values, n["bodies"]
    one = made[0] if len(made) == 1 else None
    v["tip_stiffness"] = calc.use(one.stiffness, 0.0, title="stiffness at the tip") if one else stiff
    v["natural_frequency"] = calc.use(one.natural_frequency, title="natural frequency") if one else frequency
    for cut in cuts:
        word, title = cut.word, cut.title
        pair = (v[word + "peak_bending"], v["tip_stiffness"])
        v[word + "tip_deflection"] = calc.use(stiffness.force_deflection, *pair, title=f"tip deflection, {title}")
        pair = (v[word + "push"], v["tip_stiffness"])
        v[word + "form_error"] = calc.use(stiffness.force_deflection, *pair, title=f"form error, {title}")
        force = v[word + "peak_bending"]
        bent = calc.use(one.bending_stress, force, 0.0, title=f"bending stress, {title}") if one else force * stress
        v[word + "bending_stress"] = bent


def bodies(n: Numbers) -> tuple[Any, ...]:
    """The different tools; and of each variant's stiffness, stress by force, allowable stress, natural frequency."""
    from millcalc.loads.body import ToolBody

    keys = list(
        zip(
            *np.broadcast_arrays(np.array(_cutters(n), dtype=object), *(_spring(n[name]) for name in _SPRINGS)),
            strict=True,
        )
    )
    known = {}
    for key in dict.fromkeys(keys):
        springs = {
            name: None if np.isinf(value) else float(value) for name, value in zip(_SPRINGS, key[1:], strict=True)
        }
        known[key] = ToolBody(cutter=key[0])._with_kept(springs)
    found = {key: _numbers_of(body) for key, body in known.items()}
    columns = [np.array(column) for column in zip(*(found[key] for key in keys), strict=True)]
    return (list(known.values()), *(c if len(keys) > 1 else c[0] for c in columns))


_SPRINGS = ("lateral_stiffness", "tilting_stiffness")


def _spring(stiffness: Any) -> Any:
    """The stiffness, infinite where none is stated."""
    return np.inf if stiffness is None else stiffness


def _cutters(n: Numbers) -> list[Cutter]:
    """The cutter of each variant, the same object where it is the same."""
    shape = n["shape"]
    if isinstance(shape, SideBySide):
        return list(shape.cutters)
    names = [name for name in ("diameter", "overhang", "flute_length", "shank_diameter") if np.ndim(n[name])]
    if not names:
        return [shape]
    known: dict[tuple[float, ...], Cutter] = {}
    rows = list(zip(*(map(float, n[name]) for name in names), strict=True))
    for row in set(rows):
        known[row] = shape._with_kept(dict(zip(names, row, strict=True)))
    return [known[row] for row in rows]


def _numbers_of(body: Any) -> tuple[float, ...]:
    asked = body.stiffness.bare(0.0), body.bending_stress.bare(1.0, 0.0), body.allowable_stress.magnitude
    return tuple(map(float, (*asked, body.natural_frequency.bare())))
