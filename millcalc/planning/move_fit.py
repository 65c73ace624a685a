"""The fit of acceleration and block time to timed moves: chi-square, its profiles, and the move that tells more."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import attrs
import numpy as np

from millcalc.formulas.motion import block_limited_feed_rate, move_time
from millcalc.quantities.kinds import ACCELERATION, BLOCK_TIME
from millcalc.quantities.record import number

__all__ = ["Fit", "Timings", "best_fit", "further_move", "ranges_of_fit"]

_BOUNDS = {  # mm/s^2 and ms: the plausible range of the kind, and a control much quicker than any
    "acceleration": (ACCELERATION.plausible.low, ACCELERATION.plausible.high),
    "block_time": (1e-3, BLOCK_TIME.plausible.high),
}
_WIDTHS = 1.96  # standard errors to either side: 95 in 100
# what chi-square over its degrees of freedom exceeds by chance in 5 of 100, from 1 degree on; more degrees: the last
_AGREE = (3.841, 2.996, 2.605, 2.372, 2.214, 2.099, 2.010, 1.938, 1.880, 1.831)
_COARSE, _FINE, _ZOOMS = 65, 13, 8  # places looked at: at first, then about the best, again and again
_SHARES = np.linspace(0.0, 1.0, _FINE)


@attrs.frozen
class Fit:
    """The best values [mm/s^2, ms], their chi-square, and how many times the stated error the timings are off."""

    acceleration: float
    block_time: float
    least: float
    scale: float


@attrs.frozen(eq=False)
class Timings:
    """Timed moves as arrays: length and spacing [mm], feed rate [mm/min], number of moves, time of all [s]."""

    length: Any
    spacing: Any
    feed_rate: Any
    count: Any
    time: Any

    @classmethod
    def of(cls, moves: Sequence[Any]) -> Timings:
        """Return moves as arrays."""
        names = ("length", "point_spacing", "feed_rate", "repeats", "time")
        rows = [[number(move, name) for name in names] for move in moves]
        # a move in one block has its points at its ends
        table = [[row[0], row[0] if row[1] is None else row[1], row[2], 2.0 * row[3], 60.0 * row[4]] for row in rows]
        return cls(*np.array(table, dtype=float).reshape(len(rows), 5).T)

    @staticmethod
    def bounds(name: str) -> tuple[float, float]:
        """Return the range in which a value is looked for."""
        return _BOUNDS[name]

    def computed(self, acceleration: Any, block_time: Any) -> Any:
        """Return the time [s] of each move, on a last axis of its own."""
        a, t = np.asarray(acceleration)[..., None], np.asarray(block_time)[..., None]
        feed = np.minimum(self.feed_rate, block_limited_feed_rate.bare(self.spacing, t))
        return 60.0 * self.count * move_time.bare(self.length, feed, a)

    def residuals(self, acceleration: Any, block_time: Any) -> Any:
        """Return measured less computed time [s]."""
        return self.time - self.computed(acceleration, block_time)

    def chi_square(self, error: float, acceleration: Any, block_time: Any) -> Any:
        """Return the sum of squared residuals over the error of a timing."""
        return np.sum((self.residuals(acceleration, block_time) / error) ** 2, axis=-1)

    def least_times(self) -> Any:
        """Return the time [s] below which the feed rate does not let the moves be."""
        return 60.0 * self.count * self.length / self.feed_rate


def _profile(timings: Timings, error: float, name: str, values: Any) -> tuple[Any, Any]:
    """Return, for each value of one unknown, the least chi-square over the other, and the other where it is."""
    values = np.asarray(values, dtype=float)[:, None]
    low, high = (math.log(b) for b in _BOUNDS["block_time" if name == "acceleration" else "acceleration"])
    grid = np.broadcast_to(np.linspace(low, high, _COARSE), (len(values), _COARSE))
    rows = np.arange(len(values))
    for _ in range(_ZOOMS):
        others = np.exp(grid)
        pair = (values, others) if name == "acceleration" else (others, values)
        chi = timings.chi_square(error, *pair)
        at = np.argmin(chi, axis=1)
        step = grid[:, 1] - grid[:, 0]
        best = grid[rows, at]
        ends = np.clip([best - step, best + step], low, high)
        grid = ends[0][:, None] + (ends[1] - ends[0])[:, None] * _SHARES
    return chi[rows, at], others[rows, at]


def best_fit(timings: Timings, error: float) -> Fit:
    """Return the values with the least chi-square."""
    low, high = (math.log(b) for b in _BOUNDS["acceleration"])
    grid = np.linspace(low, high, _COARSE)
    for _ in range(_ZOOMS):
        chi, other = _profile(timings, error, "acceleration", np.exp(grid))
        at = int(np.argmin(chi))
        step = grid[1] - grid[0]
        found = Fit(float(np.exp(grid[at])), float(other[at]), float(chi[at]), 1.0)
        grid = np.linspace(max(grid[at] - step, low), min(grid[at] + step, high), _FINE)
    freedom = len(timings.time) - 2
    if freedom < 1:
        return found
    ratio = found.least / freedom
    agree = ratio <= _AGREE[min(freedom, len(_AGREE)) - 1]
    return found if agree else attrs.evolve(found, scale=math.sqrt(ratio))


def ranges_of_fit(timings: Timings, error: float, best: Fit) -> dict[str, tuple[float, float]]:
    """Return for each unknown the range of values whose least chi-square lies within 95 in 100 of the best."""
    limit = best.least + (_WIDTHS * best.scale) ** 2
    found = {}
    for name, value in (("acceleration", best.acceleration), ("block_time", best.block_time)):
        low, high = _BOUNDS[name]
        found[name] = tuple(_end(timings, error, name, limit, value, bound) for bound in (low, high))
    return found  # type: ignore[return-value]


def _end(timings: Timings, error: float, name: str, limit: float, value: float, bound: float) -> float:
    """Return how far a value may go towards a bound, the furthest if it may again beyond a gap."""
    span = math.log(bound / value)
    # crowded at the value, where narrow ranges end
    shares = np.concatenate([[0.0], np.geomspace(1e-5, 1.0, 45)])
    inside = 0.0
    for _ in range(4):
        within = _profile(timings, error, name, value * np.exp(shares * span))[0] <= limit
        last = int(np.flatnonzero(within)[-1]) if within.any() else 0
        if last == len(shares) - 1:
            return float(value * math.exp(shares[last] * span))
        inside = float(shares[last])
        shares = np.linspace(inside, shares[last + 1], _FINE)
    return float(value * math.exp(inside * span))


def further_move(
    name: str, timings: Timings, error: float, best: Fit, known: tuple[float, float]
) -> dict[str, str | int]:
    """Return the further move that tells an unknown: as `TimedMove` takes it, without its time.

    For the acceleration a move so short that it just reaches its feed rate, in one block, so often that the timing
    error is a twentieth of what speeding up takes; for the block time the longest move with points so close that a
    control within what is known is slowed; for what blocks do from other causes, points four times as far apart.
    """
    feed = float(np.max(timings.feed_rate))
    if name == "acceleration":
        low, high = max(known[0], _BOUNDS[name][0]), min(known[1], 10.0 * max(known[0], 100.0))
        middle = math.sqrt(low * high) if low < high else low
        # where blocks are slow, a block as long as the move must not be what slows it
        length = max((feed / 60.0) ** 2 / middle, feed / 60_000.0 * best.block_time)
        repeats = math.ceil(20.0 * error * middle / (2.0 * feed / 60.0))
        return _stated(length, None, feed, repeats)
    length = float(np.max(timings.length))
    repeats = math.ceil(20.0 * error * feed / 60.0 / (2.0 * length))
    if name == "spacing":
        spacing = 4.0 * float(np.max(timings.spacing))
        return _stated(max(length, spacing), spacing, feed, repeats)
    slowest = min(known[1], 20.0)
    # a twentieth: seen down to a twentieth of the slowest block time that is still possible
    return _stated(length, feed / 60_000.0 * slowest / 20.0, feed, repeats)


def _stated(length: float, spacing: float | None, feed: float, repeats: int) -> dict[str, str | int]:
    stated: dict[str, str | int] = {"length": f"{_round(length)} mm"}
    if spacing is not None:
        stated["point_spacing"] = f"{_round(spacing)} mm"
    return stated | {"feed_rate": f"{feed:g} mm/min", "repeats": max(repeats, 1)}


def _round(value: float) -> str:
    """Write a length with two digits, as one programs it."""
    return f"{float(f'{value:.2g}'):g}"
