"""Speed along the path: as fast as the limits at every point and move allow with constant acceleration.

With u = v^2 and D = 2 a times the way, the greatest speeds that the acceleration allows are u_i = min over all j of
(cap_j + |D_i - D_j|): forward it is a running minimum of cap - D, backward of cap + D.  A block needs of those before
it one number, the speed at their last point, and of those behind it one: the least cap + D as seen from its end.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import attrs
import numpy as np

from millcalc.planning.paths.pointwise import ACCELERATION, CORNER, LOOK_AHEAD, SAME, move_time
from millcalc.planning.paths.settings import Settings

__all__ = ["Ends", "Envelope", "Joint", "capped", "envelope_of", "run"]

Seen = Callable[[Any, Any, float], tuple[float, float, float]]


@attrs.frozen
class Ends:
    """What the blocks beside a block need of it: all as squares of speeds, (mm/s)^2."""

    first_rate: float
    """Of its first move."""
    way: float
    """2 a times the way from the last point before it to its own last."""
    forward: float
    """What its points allow at its last point."""
    backward: float
    """What they allow at the last point before it."""
    last_cap: float
    """Of its last point by itself."""
    last_mark: int
    """Which cap that is."""

    def mark_at(self, square: float) -> int:
        """Return which cap holds the last point down to a speed: 0 none, else the number of a cause."""
        return self.last_mark if square >= self.last_cap * SAME else 0


@attrs.frozen
class Joint:
    """What one block hands to the next: squares of the speed at the point between them; a path begins at rest."""

    entry: float = 0.0
    """What the points before allow: the speed itself."""
    mark: int = 0
    """Which cap holds it down there."""

    def passed(self, ends: Ends, behind: float) -> Joint:
        """Return the joint after a block, at whose last point so much is allowed by what follows."""
        entry = min(ends.forward, self.entry + ends.way, behind)
        return Joint(entry, ends.mark_at(entry))


@attrs.define(eq=False)
class Envelope:
    """Caps of a block's points and moves."""

    step: Any
    rate: Any
    """Square of the feed rate of the move to each point."""
    cap: Any
    """Square of the speed at which each point may be passed, but for the move after the last."""
    mark: Any
    """Which cap a point has: 0 a feed rate, else the number of a cause."""
    cause: Any
    ends: Ends


def envelope_of(s: Settings, step: Any, rate: Any, cause: Any, corner: Any, first: bool) -> Envelope:
    """Return the caps of a block; `step` goes on after the block as far as the control looks ahead."""
    m = len(rate)
    square = rate * rate
    cap = np.empty(m)
    np.minimum(square[:-1], square[1:], out=cap[:-1])
    cap[-1] = square[-1]
    limit = corner * s.acceleration
    mark = np.multiply(limit < cap, np.uint8(CORNER))
    return capped(s, step, (square, np.minimum(cap, limit), mark, cause), first, _seen)


def capped(s: Settings, step: Any, caps: tuple[Any, Any, Any, Any], first: bool, seen: Seen) -> Envelope:
    """Return the envelope of a block by its caps: squares of feed rates and of caps, which caps they are, causes."""
    square, cap, mark, cause = caps
    cap = _known_ahead(s, step, cap, mark)
    own = np.concatenate(([0.0], step[1 : len(cap)])) if first else step[: len(cap)]
    way, forward, backward = seen(own, cap, s.acceleration)
    ends = Ends(float(square[0]), way, forward, backward, float(cap[-1]), int(mark[-1]))
    return Envelope(own, square, cap, mark, cause, ends)


def _known_ahead(s: Settings, step: Any, cap: Any, mark: Any) -> Any:
    """Return the caps, lowered to what still stops within the moves that the control knows after each point."""
    if s.look_ahead is None:
        return cap
    total = np.concatenate(([0.0], np.cumsum(step[1:])))  # way from the block's first point to each later one
    end = np.minimum(np.arange(len(cap)) + s.look_ahead, len(total) - 1)
    limit = (total[end] - total[: len(cap)]) * (2.0 * s.acceleration)
    mark[limit < cap] = LOOK_AHEAD
    return np.minimum(cap, limit)


def run(s: Settings, held: Envelope, joint: Joint, behind: float) -> tuple[Any, Any]:
    """Return the time [s] of the move to each point, and the number of the cause that governed it.

    `behind` is the square of the speed allowed at the block's last point by all that follows.
    """
    speeds = _speeds(s, held, joint.entry, behind)
    half = 0.5 * (speeds[1:] + speeds[:-1])
    free = half + s.acceleration * held.step
    roots = np.sqrt(speeds)
    peak = np.maximum(np.minimum(free, held.rate), half)
    time = move_time(held.step, half, roots[1:] + roots[:-1], peak, s.acceleration)
    if held.step[0] == 0.0:
        time[0] = 0.0
    return time, _governed(held, speeds[1:], joint.mark, free)


def _slow(cap: Any, double: Any) -> bool:
    """Whether the caps rise and fall slowly enough for the acceleration: no running minimum is needed."""
    return bool((np.abs(cap[1:] - cap[:-1]) <= double[1:]).all())


def _seen(own: Any, cap: Any, acceleration: float) -> tuple[float, float, float]:
    """Return 2 a times the way, and the squares of speeds that the caps allow at its last point and before it."""
    double = own * (2.0 * acceleration)
    if _slow(cap, double):
        return float(double.sum()), float(cap[-1]), float(cap[0] + double[0])
    way = np.cumsum(double)
    return float(way[-1]), float((cap - way).min() + way[-1]), float((cap + way).min())


def _speeds(s: Settings, held: Envelope, entry: float, behind: float) -> Any:
    """Return the squares of the speeds before the first point and at the points."""
    cap, double = held.cap, held.step * (2.0 * s.acceleration)
    if entry + double[0] >= cap[0] and behind >= cap[-1] and _slow(cap, double):
        return np.concatenate(([entry], cap))
    way = np.cumsum(double)
    forward, backward = cap - way, cap + way
    forward[0] = min(forward[0], entry)
    backward[-1] = min(backward[-1], behind + way[-1])
    forward = np.minimum.accumulate(forward) + way
    backward = np.minimum.accumulate(backward[::-1])[::-1] - way
    speeds = np.maximum(np.minimum(forward, backward), 0.0)
    # what the sum of the whole way rounds off is no acceleration
    noise = 4.0 * np.finfo(float).eps * (way[-1] + cap.max())
    return np.concatenate(([entry], np.where(np.abs(cap - speeds) <= noise, cap, speeds)))


def _governed(held: Envelope, u: Any, before: int, free: Any) -> Any:
    """What governed each move: its feed rate where it is reached, else a point beside it, else the acceleration."""
    slower = free < held.rate * SAME
    if not slower.any():
        return held.cause
    marks = np.concatenate(([before], np.where(u >= held.cap * SAME, held.mark, 0)))
    beside = np.maximum(marks[1:], marks[:-1])
    return np.where(slower, np.where(beside > 0, beside, ACCELERATION), held.cause).astype(np.uint8)
