"""Loops of the second pass over a block: speeds along the path, times, and what follows from them."""

from __future__ import annotations

from typing import Any

import numpy as np

from millcalc.planning.paths.pointwise import ACCELERATION, SAME, move_time
from millcalc.planning.paths.tiles import TILE, tile_ends, tile_read

__all__ = ["MOVE_VALUES", "loop_along", "loop_seen"]

MOVE_VALUES = ("block_time", "mean_feed_rate", "chip_thickness", "removal_rate")
"""What `loop_along` finds of each move, in its order."""


def loop_seen(steps: Any, cap: Any, acceleration: float) -> tuple[float, float, float]:
    """Return 2 a times the way, and the squares of speeds that the caps allow at the last point and before it all."""
    way, forward, backward = 0.0, np.inf, np.inf
    for at in range(len(cap)):
        double = 2.0 * acceleration * steps[at]
        way += double
        forward = min(cap[at], forward + double)
        backward = min(backward, cap[at] + way)
    return way, forward, backward


def tile_forward(steps: Any, cap: Any, acceleration: float, speeds: Any) -> bool:
    """Fill in squares of the speeds at the points, by the first, which is before them.

    Return whether the caps are the speeds: they rise and fall slowly enough for the acceleration, and the first allows
    it.
    """
    double, fast = 2.0 * acceleration, 0
    for at in range(len(cap) - 1):
        fast += 1 if abs(cap[at + 1] - cap[at]) > double * steps[at + 1] else 0
    if fast == 0 and speeds[0] + double * steps[0] >= cap[0]:
        speeds[1:] = cap
        return True
    allowed = speeds[0]
    for at in range(len(cap)):
        allowed = min(cap[at], allowed + double * steps[at])
        speeds[at + 1] = allowed
    return False


def tile_backward(steps: Any, acceleration: float, behind: Any, speeds: Any, slow: bool) -> Any:
    """Lower the squares of the speeds to what `behind` allows; return what is allowed before the first."""
    double, last = 2.0 * acceleration, len(steps)
    if slow and behind >= speeds[last]:
        return speeds[1] + double * steps[0]
    allowed = behind
    for at in range(last - 1, -1, -1):
        allowed = min(speeds[at + 1], allowed)
        speeds[at + 1] = allowed
        allowed += double * steps[at]
    return allowed


def tile_speeds(steps: Any, cap: Any, acceleration: float, behind: Any, speeds: Any) -> None:
    """Fill in the squares of the speeds at the points, by the first, which is before them, and by `behind`."""
    count = len(cap)
    slow = np.empty(count // TILE + 1, np.bool_)
    for start in range(0, count, TILE):
        end = min(start + TILE, count)
        slow[start // TILE] = tile_forward(steps[start:end], cap[start:end], acceleration, speeds[start : end + 1])
    for tile in range((count - 1) // TILE, -1, -1):
        start = tile * TILE
        end = min(start + TILE, count)
        behind = tile_backward(steps[start:end], acceleration, behind, speeds[start : end + 1], slow[tile])


def tile_times(steps: Any, speeds: Any, rate: Any, acceleration: float, time: Any, free: Any, roots: Any) -> None:
    """Fill in the time of each move, and the square of the speed that the acceleration alone allows in it."""
    for at in range(len(speeds)):
        roots[at] = np.sqrt(speeds[at])
    for at in range(len(steps)):
        half = 0.5 * (speeds[at + 1] + speeds[at])
        free[at] = half + acceleration * steps[at]
        peak = np.maximum(np.minimum(free[at], rate[at]), half)
        time[at] = move_time(steps[at], half, roots[at + 1] + roots[at], peak, acceleration)


def tile_outcome(steps: Any, ways: Any, time: Any, per: Any, out: Any) -> None:
    """Fill in what follows from the time of a move; no numbers where nothing is cut."""
    for at in range(len(steps)):
        contact = ways[at] / time[at] * 60.0
        out[0][at], out[1][at] = time[at] * 1000.0, steps[at] / time[at] * 60.0
        out[2][at], out[3][at] = contact * per[0, at] + per[2, at], contact * per[1, at] + per[2, at]


def tile_causes(free: Any, moves: Any, speeds: Any, held: int, time: Any, cause: Any, sums: Any) -> int:
    """Fill in what governed each move, and add moves and times up by it; return which cap holds the last point down.

    Where its feed rate is not reached that is a point beside it, else the acceleration.
    """
    rate, cap, mark, own = moves
    last, moved, spent = 0, 0.0, 0.0
    for at in range(len(cap)):
        beside = mark[at] if speeds[at + 1] >= cap[at] * SAME else 0
        found = own[at]
        if free[at] < rate[at] * SAME:
            found = max(held, beside) if max(held, beside) > 0 else ACCELERATION
        cause[at], held = found, beside
        if found != last:
            sums[0, last] += moved
            sums[1, last] += spent
            last, moved, spent = found, 0.0, 0.0
        moved, spent = moved + 1.0, spent + time[at]
    sums[0, last] += moved
    sums[1, last] += spent
    return held


def loop_along(
    moves: Any, per: Any, joint: Any, numbers: Any, out: Any, time: Any, cause: Any, ends: Any, sums: Any
) -> None:
    """Find the time of each move and what follows from it.

    Parameters
    ----------
    moves
        Lengths, ways of the contact, squares of feed rates and of caps, which caps they are, causes.
    per
        Of each move chip thickness and removal rate by the feed rate [mm/min] of the contact, and 0, or no number where
        nothing is cut.
    joint
        Square of the speed before the first move, that allowed behind the last, which cap holds the first down.
    numbers
        The acceleration, whether what is told is the same for all moves, and the first move that there is.
    out, time, cause
        Take the values of `MOVE_VALUES`, times [s] and causes.
    ends, sums
        Take extremes of the values and their places, moves and times by cause.
    """
    steps, ways, square, cap, mark, own = moves
    acceleration, same, begin = numbers
    speeds, each, held = np.empty(len(cap) + 1), np.empty((3, TILE)), joint[2]
    free, roots = np.empty(TILE), np.empty(TILE + 1)
    speeds[0] = joint[0]
    tile_speeds(steps, cap, acceleration, joint[1], speeds)
    for start in range(0, len(cap), TILE):
        end = min(start + TILE, len(cap))
        if start == 0 or not same:
            tile_read(per, start, end - start, each)
        square_speeds, times_of = speeds[start : end + 1], time[start:end]
        tile_times(steps[start:end], square_speeds, square[start:end], acceleration, times_of, free, roots)
        if start == 0 and begin > 0:
            time[0] = 0.0
        values = out[0][start:end], out[1][start:end], out[2][start:end], out[3][start:end]
        tile_outcome(steps[start:end], ways[start:end], times_of, each, values)
        tile = square[start:end], cap[start:end], mark[start:end], own[start:end]
        held = tile_causes(free, tile, square_speeds, held, times_of, cause[start:end], sums)
        if start == 0 and begin > 0:
            sums[0, cause[0]] -= 1.0
            out[1][0] = out[2][0] = out[3][0] = np.nan
        for row in range(4):
            tile_ends(values[row], begin if start == 0 else 0, start, ends[row])
