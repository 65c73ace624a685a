"""Sums and extremes over a path, block by block."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import attrs
import numpy as np

from millcalc.planning.paths.feeds import CAUSES
from millcalc.planning.paths.passes_over import VALUES, Done

__all__ = ["Extreme", "Part", "Totals", "part_of"]

_EXTREME = tuple(v for v in VALUES if v not in ("cause", "step", "lead", "tilt"))


_OF_MOVES = ("feed_rate", "block_time")


@attrs.frozen
class Extreme:
    """Least and greatest of a value, and the rows where they are; a value that is the same everywhere has row 0."""

    least: float
    least_row: int
    greatest: float
    greatest_row: int


@attrs.frozen
class Part:
    """Sums and extremes of one block."""

    time: float
    length: float
    moves: Any
    """Moves by cause."""
    times: Any
    """Their time [s]."""
    extremes: dict[str, tuple[float, float]]
    slow: int
    slow_time: float
    first_slow: int | None
    empty: int


def part_of(done: Done, least_speed: float | None, wanted: frozenset[str]) -> Part:
    """Return the sums and extremes of a block."""
    begin = 1 if done.block.first else 0
    time, cause = done.time, done.cause[begin:]
    total = float(time.sum())
    moves, times = np.zeros(len(CAUSES), dtype=np.int64), np.zeros(len(CAUSES))
    left, share = len(cause), total
    for at in range(len(CAUSES)):
        is_cause = cause == at
        count = int(np.count_nonzero(is_cause))
        if count:
            moves[at] = count
            left -= count
            spent = share if not left else float(np.multiply(time[begin:], is_cause).sum())
            times[at], share = spent, share - spent
        if not left:
            break
    extremes = _extremes(done.values, wanted, begin)
    slow, slow_time, first_slow = _slow(done, least_speed)
    empty = 0 if done.empty is None else int(np.count_nonzero(done.empty))
    return Part(total, float(done.step.sum()), moves, times, extremes, slow, slow_time, first_slow, empty)


def _extremes(values: Mapping[str, Any], wanted: frozenset[str], begin: int) -> dict[str, tuple[float, float]]:
    """Least and greatest of each value; those of the speeds follow from the diameters where the spindle's is fixed."""
    found: dict[str, tuple[float, float]] = {}
    fixed = not isinstance(values.get("spindle_speed"), np.ndarray)
    for name in _EXTREME:
        value = values.get(name)
        if name not in wanted or value is None:
            continue
        if begin and name in _OF_MOVES and isinstance(value, np.ndarray):
            value = value[begin:]  # no move leads to the first point
            if not len(value):
                continue
        which = name.removesuffix("_speed")
        ends = found.get(f"{which}_diameter")
        if fixed and which != name and ends is not None and ends[0] == ends[0]:
            factor = np.pi / 1000.0 * float(values["spindle_speed"])
            found[name] = (ends[0] * factor, ends[1] * factor)
        else:
            found[name] = _ends(value)
    return found


def _ends(value: Any) -> tuple[float, float]:
    if not isinstance(value, np.ndarray):
        return float(value), float(value)
    low, high = float(value.min()), float(value.max())
    if low != low:
        known = value[~np.isnan(value)]
        return (float(known.min()), float(known.max())) if len(known) else (math.nan, math.nan)
    return low, high


def _slow(done: Done, least_speed: float | None) -> tuple[int, float, int | None]:
    if least_speed is None:
        return 0, 0.0, None
    below = done.values["least_speed"] < least_speed
    count = int(np.count_nonzero(below))
    if not count:
        return 0, 0.0, None
    return count, float(np.multiply(done.time, below).sum()), done.block.row(int(np.argmax(below)))


class Totals:
    """Sums and extremes of the blocks so far."""

    def __init__(self) -> None:
        self.time = self.length = self.slow_time = 0.0
        self.points = self.slow = self.empty = 0
        self.first_slow: int | None = None
        self.moves, self.times = np.zeros(len(CAUSES), dtype=np.int64), np.zeros(len(CAUSES))
        self.extremes: dict[str, Extreme] = {}

    def add(self, done: Done, part: Part) -> None:
        """Take a block in."""
        rows = {}
        for name, ends in part.extremes.items():
            held = self.extremes.get(name)
            if held is None or ends[0] < held.least or ends[1] > held.greatest:
                rows[name] = tuple(_row(done, done.values[name], end) for end in ends)
        self.take(part, done.block.count, rows)

    def take(self, part: Part, count: int, rows: Mapping[str, tuple[int, ...]]) -> None:
        """Take sums and extremes in, with the rows of those extremes that go beyond what there is."""
        self.time += part.time
        self.length += part.length
        self.points += count
        self.moves += part.moves
        self.times += part.times
        self.slow += part.slow
        self.slow_time += part.slow_time
        self.empty += part.empty
        if self.first_slow is None and part.first_slow is not None:
            self.first_slow = part.first_slow
        for name, at in rows.items():
            self._extreme(name, part.extremes[name], at)

    def _extreme(self, name: str, ends: tuple[float, float], rows: tuple[int, ...]) -> None:
        if math.isnan(ends[0]):
            return
        held = self.extremes.get(name)
        low, high = ends[0], ends[1]
        if held is None:
            self.extremes[name] = Extreme(low, rows[0], high, rows[1])
            return
        least = (low, rows[0]) if low < held.least else (held.least, held.least_row)
        greatest = (high, rows[1]) if high > held.greatest else (held.greatest, held.greatest_row)
        self.extremes[name] = Extreme(*least, *greatest)


def _row(done: Done, value: Any, wanted: float) -> int:
    return done.block.row(int(np.argmax(value == wanted))) if isinstance(value, np.ndarray) else done.block.row(0)
