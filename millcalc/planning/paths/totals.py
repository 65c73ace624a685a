"""Sums and extremes over a path, block by block."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import attrs
import numpy as np

from millcalc.planning.paths.extremes import Extreme
from millcalc.planning.paths.passes_over import VALUES, Done
from millcalc.planning.paths.pointwise import CAUSES

__all__ = ["Part", "Totals", "part_of"]


@attrs.frozen
class Part:
    """Sums and extremes of one block."""

    time: float
    length: float
    moves: Any
    """Moves by cause."""
    times: Any
    """Their time [s]."""
    extremes: dict[str, Extreme]
    """With the points of the block in place of rows."""
    slow: int
    slow_time: float
    first_slow: int | None
    empty: int


def part_of(done: Done, least_speed: float | None) -> Part:
    """Return the sums and extremes of a block."""
    moves, times = _by_cause(done) if done.sums is None else (done.sums[0].astype(np.int64), done.sums[1])
    total = float(times.sum())
    slow, slow_time, first_slow = _slow(done, least_speed)
    empty = 0 if done.empty is None else int(np.count_nonzero(done.empty))
    return Part(total, float(done.step.sum()), moves, times, done.extremes, slow, slow_time, first_slow, empty)


def _by_cause(done: Done) -> tuple[Any, Any]:
    """Return moves and their times by cause."""
    begin = int(done.block.first)
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
    return moves, times


def _slow(done: Done, least_speed: float | None) -> tuple[int, float, int | None]:
    if least_speed is None:
        return 0, 0.0, None
    below = done.values["least_speed"] < least_speed
    count = int(np.count_nonzero(below))
    if not count:
        return 0, 0.0, None
    return count, float(np.multiply(done.time, below).sum()), int(np.argmax(below))


class Totals:
    """Sums and extremes of the blocks so far."""

    def __init__(self) -> None:
        self.time = self.length = self.slow_time = 0.0
        self.points = self.slow = self.empty = 0
        self.first_slow: int | None = None
        self.moves, self.times = np.zeros(len(CAUSES), dtype=np.int64), np.zeros(len(CAUSES))
        self._extremes: dict[str, Extreme] = {}

    def add(self, part: Part, count: int, row_of: Callable[[int], int]) -> None:
        """Take a block in, by the row of each of its points."""
        self.time += part.time
        self.length += part.length
        self.points += count
        self.moves += part.moves
        self.times += part.times
        self.slow += part.slow
        self.slow_time += part.slow_time
        self.empty += part.empty
        if self.first_slow is None:
            self.first_slow = None if part.first_slow is None else row_of(part.first_slow)
        for name, ends in part.extremes.items():
            held = self._extremes.get(name)
            if held is None or ends.least < held.least or ends.greatest > held.greatest:
                rows = Extreme(ends.least, row_of(ends.least_row), ends.greatest, row_of(ends.greatest_row))
                self._extremes[name] = rows if held is None else held.wider(rows)

    @property
    def extremes(self) -> dict[str, Extreme]:
        """Extremes of the values, in the order of the tables."""
        return {name: self._extremes[name] for name in VALUES if name in self._extremes}
