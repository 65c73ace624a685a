"""Every question that a cutter answers, asked in arrays and alone."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from millcalc.cutters import Cutter
from millcalc.cutters.answers import ANSWERS
from millcalc.cutters.shape import Shape

__all__ = ["asked_both_ways"]


def asked_both_ways(cutter: Cutter) -> tuple[list[str], set[str]]:
    """Return what an array of values is answered otherwise than its last value alone, and what has an answer.

    Examples
    --------
    >>> from millcalc import BallEndMill
    >>> differing, answered = asked_both_ways(BallEndMill(diameter="6 mm", teeth=2))
    >>> differing, "scallop_height" in answered
    ([], True)
    """
    differing, answered = [], set()
    for name in _questions():
        bare, given = getattr(cutter, name).bare, _given(cutter, name)
        whole = np.atleast_2d(np.array(bare(**given), dtype=float))
        if np.isfinite(whole).any():
            answered.add(name)
        single = np.atleast_1d(np.array(bare(**{n: float(v[_LAST]) for n, v in given.items()}), dtype=float))
        if not np.allclose(whole[:, _LAST], single, rtol=1e-9, atol=1e-12, equal_nan=True):
            values = ", ".join(f"{n}={v[_LAST]:g}" for n, v in given.items())
            differing.append(f"{name}({values}) is {single} alone and {whole[:, _LAST]} in an array")
    return differing, answered


_LAST = -1  # an answer that takes the first value for all, or a mean of them, is wrong there
_SHARES = {
    "stepover": 0.05,
    "normal_depth": 0.02,
    "feed_per_tooth": 0.01,
    "chip_thickness": 0.002,
    "surface_radius": 30.0,
    "step_down": 0.05,
    "stair_thickness": 0.02,
    "length": 0.5,
}
"""Values as shares of the largest radius; what is below is in trade units."""
_VALUES = {"scallop_height": 3.0, "feed_mark_height": 0.5, "ra": 0.6, "teeth": 2.0, "eccentricity": 2.0}
_SLOPES = {"slope": (30.0, 60.0), "slope_from": (20.0, 30.0), "slope_to": (50.0, 60.0)}


def _questions() -> list[str]:
    """Return what every cutter is asked; other things than cutters answer questions, too."""
    return [name for name in ANSWERS if hasattr(Shape, name)]


def _given(cutter: Cutter, name: str) -> dict[str, Any]:
    """Return values for the numbers a question takes: leans at which the profile touches, sizes in its proportion."""
    profile = cutter.profile
    low, high = max(float(profile.normal[0]), 0.0), min(float(profile.normal[-1]), 0.5 * math.pi)
    angles = np.degrees(low + (high - low) * np.array([0.3, 0.8]))
    size = float(profile.largest_radius)
    known: dict[str, Any] = {"lead": np.array([0.0, 2.0]), "tilt": angles}
    known |= {n: size * share * np.array([0.5, 1.0]) for n, share in _SHARES.items()}
    known |= {n: value * np.array([1.0, 1.5]) for n, value in _VALUES.items()}
    known |= {n: np.array(value) for n, value in _SLOPES.items()}
    asked = [p.name for p in ANSWERS[name].template.parameters if not p.kind.discrete]
    return {n: known[n] for n in asked}
