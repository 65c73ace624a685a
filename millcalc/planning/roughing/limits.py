"""Limits that govern roughing: where a plan exceeds one, the caps under which its kernel runs again.

The order is the trade's.  Power takes the radial width first, then the depth of a level where it is free, then the
spindle speed at the same feed per tooth, the feed per tooth last; torque the width, the depth, then the feed per
tooth; deflection, bending and thrust the feed per tooth, down to the least chip.  A cut at full width and an entry
have no width to give: their own feed gives way first.
"""

from typing import Any

import numpy as np

from millcalc.planning.calculation import Calculation
from millcalc.planning.limits import (
    BEND,
    OVER,
    cap_down,
    keep_the_chip,
    least_feed,
    sheds_power,
    slowest,
    speed_is_free,
    uses,
)
from millcalc.planning.roughing.cut import LOAD_CAUSES
from millcalc.planning.roughing.inputs import RoughingChoices

__all__ = ["CAPS", "OWN_FEEDS", "no_caps", "tightened"]

Numbers = dict[str, Any]

OWN_FEEDS = ("slot", "entry", "corner")
"""Cuts that have a feed of their own."""
CAPS = {
    "width_cap": ("power", "torque"),
    "depth_cap": ("power", "torque"),
    "spindle_cap": ("power", "least chip at the feed limit"),
    "feed_cap": LOAD_CAUSES,
    "slot_cap": LOAD_CAUSES,
    "entry_cap": LOAD_CAUSES,
    "corner_cap": LOAD_CAUSES,
}
"""What is capped, and what may cap it."""


def no_caps() -> Numbers:
    """Return caps that cap nothing."""
    return {f"{name}: {cause}": np.float64(np.inf) for name, causes in CAPS.items() for cause in causes}


def tightened(calc: Calculation, choices: RoughingChoices, n: Numbers, wanted: Numbers) -> Numbers:
    """Return the caps that a run of the kernel shows to be needed, empty where none is; `wanted` is the first run."""
    made: Numbers = {}
    for cause, share in uses(calc.values).items():
        over = _sizes(made, cause, np.asarray(share > OVER), share, calc.values, choices, n, wanted)
        if not choices.feed_is_fixed:
            v = calc.values
            cap_down(made, f"feed_cap: {cause}", over, v["feed_per_tooth"], share, least_feed(v), BEND)
    for word in OWN_FEEDS:
        for cause, share in uses(calc.values, f"{word}_").items():
            _own(made, word, cause, share, calc.values, choices, n, wanted)
    keep_the_chip(made, calc, choices, n)
    return {name: np.minimum(cap, n[name]) for name, cap in made.items()}


def _sizes(
    made: Numbers, cause: str, over: Any, share: Any, v: Numbers, choices: RoughingChoices, n: Numbers, wanted: Numbers
) -> Any:
    """Cap width, depth and spindle speed in their order; return where all stand at their floors."""
    if cause not in ("power", "torque"):
        return over
    if "radial_width" not in choices.fixed:
        floor = n["least_width_share"] * wanted["radial_width_setting"]
        over = cap_down(made, f"width_cap: {cause}", over, v["radial_width"], share, floor)
    return _depth_and_speed(made, cause, over, share, v, choices, n, wanted)


def _depth_and_speed(
    made: Numbers, cause: str, over: Any, share: Any, v: Numbers, choices: RoughingChoices, n: Numbers, wanted: Numbers
) -> Any:
    if "axial_depth" not in choices.fixed:
        floor = n["least_depth_share"] * wanted["axial_depth_setting"]
        over = cap_down(made, f"depth_cap: {cause}", over, v["axial_depth"], share, floor)
    if cause == "power" and speed_is_free(choices):
        slower = over & sheds_power(n, choices, v)
        speed = v["spindle_speed"]
        over = (over & ~slower) | cap_down(made, f"spindle_cap: {cause}", slower, speed, share, slowest(n, v))
    return over


def _own(
    made: Numbers, word: str, cause: str, share: Any, v: Numbers, choices: RoughingChoices, n: Numbers, wanted: Numbers
) -> None:
    """Cap the feed of a cut of its own, then what it shares with the cut beside a pass."""
    over, floor = np.asarray(share > OVER), least_feed(v, f"{word}_")
    over = cap_down(made, f"{word}_cap: {cause}", over, v[f"{word}_feed_per_tooth"], share, floor, BEND)
    if word == "slot" and cause in ("power", "torque"):
        _depth_and_speed(made, cause, over, share, v, choices, n, wanted)
