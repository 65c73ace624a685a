"""Parts of the search for a root: where to look, how a bracket is closed, where a course turns."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np

__all__ = ["apart", "crosses_once", "crossing", "least", "locally_least", "next_share", "nodes"]

_NEAR = 1e-9  # the nearest place to zero that is looked at, in trade units


def nodes(low: float, high: float, count: int) -> Any:
    """Return places to look at: even in the logarithm from either end, and even between them where that is near."""
    span = high - low
    steps = np.geomspace(min(_NEAR, 1e-6 * span), span, count // 2)
    parts = [[low, high], low + steps, high - steps]
    if low < 0.0 < high:
        parts += [[0.0], -np.geomspace(_NEAR, -low, count // 2), np.geomspace(_NEAR, high, count // 2)]
    if low >= 0.0:
        parts.append(np.geomspace(max(low, _NEAR * min(1.0, high)), high, count // 2))
    parts.append(np.linspace(low, high, count // 2))
    nodes = np.unique(np.concatenate([np.asarray(p, dtype=float) for p in parts]))
    return nodes[(nodes >= low) & (nodes <= high)]


def next_share(a: Any, b: Any, c: Any, fa: Any, fb: Any, fc: Any, width: Any) -> Any:
    """Inverse quadratic interpolation where the three points allow it, else bisection."""
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
        fits = (phi**2 < xi) & ((1.0 - phi) ** 2 < 1.0 - xi)
        t = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        least = np.minimum(0.5, np.spacing(np.maximum(np.abs(a), np.abs(b))) / width)
        return np.where(fits & np.isfinite(t), np.clip(t, least, 1.0 - least), 0.5)


def least(function: Callable[[float], float], low: float, high: float) -> float:
    """Return where a function of one valley is least (golden section)."""
    share = 0.5 * (math.sqrt(5.0) - 1.0)
    for _ in range(90):
        one, other = high - share * (high - low), low + share * (high - low)
        if function(one) <= function(other):
            high = other
        else:
            low = one
    return 0.5 * (low + high)


def crossing(off: Any) -> Any:
    with np.errstate(invalid="ignore"):
        return np.sign(off[:-1]) * np.sign(off[1:]) < 0


def crosses_once(off: Any) -> Any:
    """Whether each course is defined in one stretch, only rises or only falls, and crosses zero between two nodes."""
    step, undefined = np.diff(off, axis=0), np.isnan(off)
    with np.errstate(invalid="ignore"):
        monotonic = ~(step < 0).any(axis=0) | ~(step > 0).any(axis=0)
    stretches = (~undefined[0]) + ((~undefined[1:]) & undefined[:-1]).sum(axis=0)
    return monotonic & (stretches == 1) & (crossing(off).sum(axis=0) == 1) & ~(off == 0.0).any(axis=0)


def locally_least(size: Any) -> Any:
    padded = np.concatenate([[np.inf], size, [np.inf]])
    return (padded[1:-1] <= padded[:-2]) & (padded[1:-1] < padded[2:])


def apart(found: list[float], differ: Callable[[float, float], bool]) -> list[float]:
    """Return roots in order, those that are the same but for rounding once."""
    kept: list[float] = []
    for x in sorted(found):
        near = kept and x - kept[-1] <= 1e-7 * max(abs(x), abs(kept[-1]))
        if not kept or (not near and differ(kept[-1], x)):
            kept.append(x)
    return kept
