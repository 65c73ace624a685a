"""Limits that govern: where a plan exceeds one, the caps under which the kernel runs again.

The order is the trade's.  Speed limits lower the spindle speed at the same feed per tooth; feed limits lower the feed
rate, then the spindle speed with it, so that the chip stays one the edge can cut; power takes the stepover first, then
the spindle speed, the feed per tooth last; torque the stepover, then the feed per tooth, for a slower spindle gives no
more of it; deflection, bending and thrust take the feed per tooth, down to the least chip.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from millcalc.formulas import speeds
from millcalc.planning.calculation import Calculation
from millcalc.planning.inputs import Choices
from millcalc.planning.motion import FEED_RATE_CAUSES

if TYPE_CHECKING:
    from millcalc.planning.inputs import AnyChoices

__all__ = [
    "BEND",
    "CAPS",
    "OVER",
    "cap_down",
    "keep_the_chip",
    "least_feed",
    "no_caps",
    "sheds_power",
    "slowest",
    "speed_is_free",
    "tightened",
    "uses",
]

Numbers = dict[str, Any]

CAPS = {
    "stepover_cap": ("power", "torque"),
    "spindle_cap": ("power", "least chip at the feed limit"),
    "feed_cap": ("power", "torque", "tip deflection", "bending stress", "thrust"),
    "first_pass_cap": ("power", "torque", "tip deflection", "bending stress", "thrust"),
}
"""What is capped, and what may cap it."""

_USES = {
    "power": ("cutting_power", "power_limit"),
    "torque": ("mean_torque", "torque_limit"),
    "tip deflection": ("tip_deflection", "deflection_allowed"),
    "bending stress": ("bending_stress", "allowable_stress"),
    "thrust": ("mean_force", "thrust_limit"),
}
OVER = 1.0 + 1e-6  # what is above a limit by less is rounded badly
_NEAR, BEND = 1.3, 1.5  # close to a limit: the force falls more slowly than the feed per tooth
_BACK = 0.999  # a step back is a little longer, so that few are needed
_FEED_LIMITS = tuple(
    FEED_RATE_CAUSES.index(cause)
    for cause in (
        "machine",
        "acceleration on the curve",
        "block time",
        "rotary rate",
        "linear axes that follow the swing",
    )
)


def no_caps() -> Numbers:
    """Return caps that cap nothing."""
    return {f"{name}: {cause}": np.float64(np.inf) for name, causes in CAPS.items() for cause in causes}


def uses(v: Numbers, word: str = "") -> dict[str, Any]:
    """Return the share of each load limit that a cut uses; `word` is empty, or that of the first pass."""
    return {
        cause: v[word + used] / v[limit]
        for cause, (used, limit) in _USES.items()
        if v.get(word + used) is not None and v.get(limit) is not None
    }


def tightened(calc: Calculation, choices: Choices, n: Numbers, wanted: Numbers) -> Numbers:
    """Return the caps that a run of the kernel shows to be needed, empty where none is; `wanted` is the first run."""
    made: Numbers = {}
    for cause, share in uses(calc.values).items():
        _beside(made, cause, share, calc.values, choices, n, wanted)
    if not choices.feed_is_fixed:
        _first_pass(made, calc.values, choices, n)
    keep_the_chip(made, calc, choices, n)
    return {name: np.minimum(cap, n[name]) for name, cap in made.items()}


def _beside(made: Numbers, cause: str, share: Any, v: Numbers, choices: Choices, n: Numbers, wanted: Numbers) -> None:
    """Cap what a load limit takes from a cut beside a pass, in its order."""
    over = np.asarray(share > OVER)
    if cause in ("power", "torque") and "stepover" not in choices.fixed:
        floor = n["least_width_share"] * wanted["stepover"]
        over = cap_down(made, f"stepover_cap: {cause}", over, v["stepover"], share, floor)
    if cause == "power" and speed_is_free(choices):
        slower = over & sheds_power(n, choices, v)
        over = (over & ~slower) | cap_down(
            made, f"spindle_cap: {cause}", slower, v["spindle_speed"], share, slowest(n, v)
        )
    if not choices.feed_is_fixed:
        cap_down(made, f"feed_cap: {cause}", over, v["feed_per_tooth"], share, least_feed(v), BEND)


def _first_pass(made: Numbers, v: Numbers, choices: Choices, n: Numbers) -> None:
    """Cap the feed per tooth of the first pass, which has no width to give; for power then the spindle speed."""
    name = "feed_cap" if choices.first_pass == "same feed" else "first_pass_cap"
    for cause, share in uses(v, "first_pass_").items():
        over = np.asarray(share > OVER)
        floor = least_feed(v, "first_pass_")
        over = cap_down(made, f"{name}: {cause}", over, v["first_pass_feed_per_tooth"], share, floor, BEND)
        if cause == "power" and speed_is_free(choices):
            slower = over & sheds_power(n, choices, v)
            cap_down(made, f"spindle_cap: {cause}", slower, v["spindle_speed"], share, slowest(n, v))


def cap_down(made: Numbers, name: str, over: Any, now: Any, share: Any, floor: Any, bend: float = 1.0) -> Any:
    """Cap what is over its limit, down to a floor; return where it stands there already."""
    room = over & (now > floor * (1.0 + 1e-3))
    if np.any(room):
        cap = np.where(room, np.maximum(_BACK * now / share ** np.where(share < _NEAR, bend, 1.0), floor), np.inf)
        made[name] = np.minimum(made.get(name, np.inf), cap)
    return over & ~room


def speed_is_free(choices: AnyChoices) -> bool:
    return choices.has_window and not choices.fixed & {"cutting_speed", "spindle_speed"}


def sheds_power(n: Numbers, choices: AnyChoices, v: Numbers) -> Any:
    """Whether a slower spindle needs less power, and still has it: where the power does not fall with the speed."""
    if "drive_points" in choices.limits:
        return v["spindle_speed"] > n["drive_points"][0][0]
    return np.True_


def slowest(n: Numbers, v: Numbers) -> Any:
    """Spindle speed at the bottom of the window of cutting speeds."""
    return speeds.spindle_speed.bare(n["speed_low"], v["largest_diameter"])


def least_feed(v: Numbers, word: str = "") -> Any:
    """Feed per tooth whose mean chip is the least the edge can cut; `word` as of `uses`."""
    mean, feed = v[f"{word}mean_chip_thickness"], v[f"{word}feed_per_tooth"]
    return np.where(mean > 0.0, feed * v["least_chip"] / np.where(mean > 0.0, mean, 1.0), 0.0)


def keep_the_chip(made: Numbers, calc: Calculation, choices: AnyChoices, n: Numbers) -> None:
    """Where a limit of the feed rate makes the chip too thin, slow the spindle to keep it."""
    if not speed_is_free(choices):
        return
    v = calc.values
    limited = np.isin(calc.causes["feed_rate"], _FEED_LIMITS)
    least = np.minimum(least_feed(v), v["wanted_feed_per_tooth"])
    thin = limited & (v["feed_per_tooth"] < least * (1.0 - 1e-3))
    share = least / np.where(v["feed_per_tooth"] > 0.0, v["feed_per_tooth"], 1.0)
    cap_down(made, "spindle_cap: least chip at the feed limit", thin, v["spindle_speed"], share, slowest(n, v))
