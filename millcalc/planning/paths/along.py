"""Speed along the path: as fast as the limits at every point and move allow with constant acceleration.

With u = v^2 and D = 2 a times the way, the greatest speeds that the acceleration allows are u_i = min over all j of
(cap_j + |D_i - D_j|): forward it is a running minimum of cap - D, backward of cap + D.  A block needs of those before
it one number, the speed at their last point, and of those behind it one: the least cap + D as seen from its end.
"""

from __future__ import annotations

from typing import Any

import attrs
import numpy as np

from millcalc.planning.paths.blocks import Work
from millcalc.planning.paths.feeds import ACCELERATION, CORNER, LOOK_AHEAD
from millcalc.planning.paths.settings import Settings

__all__ = ["Ends", "Envelope", "Joint", "envelope_of", "run"]

_SAME = 1.0 - 1e-9


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
        return self.last_mark if square >= self.last_cap * _SAME else 0


@attrs.frozen
class Joint:
    """What one block hands to the next: squares of the speed at the point between them; a path begins at rest."""

    before: float = 0.0
    """The speed itself."""
    entry: float = 0.0
    """What the points before allow."""
    mark: int = 0
    """Which cap holds it down there."""

    def passed(self, ends: Ends, behind: float) -> Joint:
        """Return the joint after a block, at whose last point so much is allowed by what follows."""
        entry = min(ends.forward, self.entry + ends.way, behind)
        return Joint(entry, entry, ends.mark_at(entry))


@attrs.define(eq=False)
class Envelope:
    """Caps of a block's points and moves."""

    step: Any
    rate: Any
    """Square of the feed rate of the move to each point."""
    cap: Any
    """Square of the speed at which each point may be passed, but for the move after the last."""
    way: Any
    """2 a times the way to each point from the last before the block; None where the caps need no acceleration."""
    mark: Any
    """Which cap a point has: 0 a feed rate, else the number of a cause."""
    cause: Any
    ends: Ends


def envelope_of(s: Settings, work: Work, step: Any, rate: Any, cause: Any, corner: Any, first: bool) -> Envelope:
    """Return the caps of a block; `step` goes on after the block as far as the control looks ahead."""
    m = len(rate)
    square = np.multiply(rate, rate, out=work.get("square rate", m))
    cap, mark = work.get("cap", m), work.get("mark", m, np.uint8)
    mask = work.get("mask", m, bool)
    np.minimum(square[:-1], square[1:], out=cap[:-1])
    cap[-1] = square[-1]
    mark[:] = 0
    if corner is not None:
        limit = np.multiply(corner, s.acceleration, out=work.get("a1", m))
        np.less(limit, cap, out=mask)
        np.multiply(mask, np.uint8(CORNER), out=mark)
        np.minimum(cap, limit, out=cap)
    own = step[:m]
    if first:
        own = work.get("own step", m)
        own[:] = step[:m]
        own[0] = 0.0
    if s.look_ahead is not None:
        limit = _known_ahead(s, work, step, m)
        np.less(limit, cap, out=mask)
        np.copyto(mark, np.uint8(LOOK_AHEAD), where=mask)
        np.minimum(cap, limit, out=cap)
    return _measured(s, work, own, square, cap, mark, cause)


def _known_ahead(s: Settings, work: Work, step: Any, m: int) -> Any:
    """Square of the speed that still stops within the moves that the control knows after each point."""
    assert s.look_ahead is not None
    total = np.concatenate(([0.0], np.cumsum(step[1:])))  # way from the block's first point to each later one
    end = np.minimum(np.arange(m) + s.look_ahead, len(total) - 1)
    return np.multiply(total[end] - total[:m], 2.0 * s.acceleration, out=work.get("a1", m))


def _measured(s: Settings, work: Work, own: Any, square: Any, cap: Any, mark: Any, cause: Any) -> Envelope:
    """Find what the blocks beside need, without a running minimum where the caps rise and fall slowly enough."""
    m = len(own)
    last = float(cap[-1]), int(mark[-1])
    double = np.multiply(own, 2.0 * s.acceleration, out=work.get("a2", m))
    change = np.subtract(cap[1:], cap[:-1], out=work.get("a3", m)[: m - 1])
    np.abs(change, out=change)
    mask = np.less_equal(change, double[1:], out=work.get("mask", m, bool)[: m - 1])
    if mask.all():
        total = float(double.sum())
        ends = Ends(float(square[0]), total, float(cap[-1]), float(cap[0] + double[0]), *last)
        return Envelope(own, square, cap, None, mark, cause, ends)
    way = np.cumsum(double, out=work.get("way along", m))
    spare = np.subtract(cap, way, out=work.get("a1", m))
    forward = float(spare.min() + way[-1])
    np.add(cap, way, out=spare)
    ends = Ends(float(square[0]), float(way[-1]), forward, float(spare.min()), *last)
    return Envelope(own, square, cap, way, mark, cause, ends)


def run(s: Settings, work: Work, held: Envelope, joint: Joint, behind: float, time: Any) -> Any:
    """Put the time [s] of the move to each point into an array; return the number of the cause that governed it.

    `behind` is the square of the speed allowed at the block's last point by all that follows.
    """
    before = joint.before
    m = len(held.step)
    u = _speeds(s, work, held, joint.entry, behind)
    v = work.get("a6", m + 1)
    v[0] = before**0.5
    np.sqrt(u, out=v[1:])
    both = work.get("a4", m)
    np.add(u[1:], u[:-1], out=both[1:])
    both[0] = before + u[0]
    peak, spare = work.get("a3", m), work.get("a2", m)
    np.multiply(held.step, s.acceleration, out=peak)
    np.multiply(both, 0.5, out=spare)
    peak += spare
    cause = _governed(work, held, u, joint.mark, peak)
    np.minimum(peak, held.rate, out=peak)
    np.maximum(peak, spare, out=peak)
    # changing speed: (2 peak - v - v)/a; at the peak what is left of the way
    np.subtract(peak, spare, out=spare)
    spare *= 1.0 / s.acceleration
    np.subtract(held.step, spare, out=spare)
    np.maximum(spare, 0.0, out=spare)
    np.sqrt(peak, out=peak)
    np.divide(spare, peak, out=spare)
    np.multiply(peak, 2.0, out=time)
    time -= v[:m]
    time -= v[1:]
    time *= 1.0 / s.acceleration
    time += spare
    if held.step[0] == 0.0:
        time[0] = 0.0
    return cause


def _speeds(s: Settings, work: Work, held: Envelope, entry: float, behind: float) -> Any:
    """Square of the speed at each point."""
    m, cap = len(held.step), held.cap
    first = 2.0 * s.acceleration * float(held.step[0])
    way = held.way
    if way is None:
        if entry + first >= cap[0] and behind >= cap[-1]:
            return cap
        double = np.multiply(held.step, 2.0 * s.acceleration, out=work.get("a2", m))
        way = np.cumsum(double, out=work.get("way along", m))
    u, back = work.get("a5", m), work.get("a1", m)
    np.subtract(cap, way, out=u)
    u[0] = min(u[0], entry)
    np.minimum.accumulate(u, out=u)
    u += way
    np.add(cap, way, out=back)
    back[-1] = min(back[-1], behind + way[-1])
    np.minimum.accumulate(back[::-1], out=back[::-1])
    back -= way
    np.minimum(u, back, out=u)
    return np.maximum(u, 0.0, out=u)


def _governed(work: Work, held: Envelope, u: Any, before: int, free: Any) -> Any:
    """What governed each move: its feed rate where it is reached, else a point beside it, else the acceleration."""
    m, cause = len(held.step), held.cause
    mask = np.less(free, np.multiply(held.rate, _SAME, out=work.get("a1", m)), out=work.get("mask", m, bool))
    if not mask.any():
        return cause
    np.copyto(cause, np.uint8(ACCELERATION), where=mask)
    if before or held.mark.any():
        at_cap = np.greater_equal(u, np.multiply(held.cap, _SAME, out=work.get("a1", m)))
        mark = np.multiply(held.mark, at_cap)
        beside = np.maximum(mark, np.concatenate(([before], mark[:-1]))).astype(np.uint8)
        mask &= beside > 0
        np.copyto(cause, beside, where=mask)
    return cause
