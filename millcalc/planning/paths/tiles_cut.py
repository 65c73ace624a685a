"""Loops of the first pass over a block: what cuts at each point, feed rates, caps."""

from __future__ import annotations

from typing import Any

import numpy as np

from millcalc.planning.paths.pointwise import (
    ALONG,
    BLOCK_TIME,
    CORNER,
    FARTHEST,
    IS_UNIT,
    PLUNGE,
    ROTARY,
    SPEED,
    SWUNG,
    UNIT_SLACK,
    axis_by_travel,
    ball_diameters,
    contact_way,
    corner_radius,
    dot,
    minus,
    plus,
    swing_angle,
    times,
)
from millcalc.planning.paths.tiles import TILE, tile_ends, tile_read

__all__ = ["CUT_VALUES", "loop_caps", "loop_cut"]

CUT_VALUES = (
    "least_diameter",
    "contact_diameter",
    "largest_diameter",
    "least_speed",
    "contact_speed",
    "largest_speed",
    "spindle_speed",
    "feed_rate",
)
"""What `loop_cut` finds at each point, in its order."""
_POINT, _AXIS, _NORMAL = 0, 3, 6
"""First of the three rows that hold them."""


def tile_three(rows: Any, first: int, at: int) -> Any:
    """Return three numbers at a place, from rows that follow each other."""
    return rows[first, at], rows[first + 1, at], rows[first + 2, at]


def tile_unit(rows: Any, first: int, count: int) -> float:
    """Make directions one long where they are not; return how far their squares are from 1."""
    off = 0.0
    for at in range(count):
        three = tile_three(rows, first, at)
        off = max(off, abs(dot(three, three) - 1.0))
    if off > IS_UNIT:
        for at in range(count):
            three = tile_three(rows, first, at)
            made = times(1.0 / np.sqrt(dot(three, three)), three)
            rows[first, at], rows[first + 1, at], rows[first + 2, at] = made
    return off


def tile_moves(rows: Any, on_tip: float, radius: float, steps: Any, ways: Any, along: Any, way: Any) -> None:
    """Fill in steps, ways of the contact, shares along the normal, and directions (`way`)."""
    for at in range(len(steps)):
        move = minus(tile_three(rows, _POINT, at + 1), tile_three(rows, _POINT, at))
        steps[at] = np.sqrt(dot(move, move))
        way[0, at], way[1, at], way[2, at] = times(1.0 / steps[at], move)
        normal = tile_three(rows, _NORMAL, at + 1)
        before = minus(times(on_tip, tile_three(rows, _AXIS, at)), tile_three(rows, _NORMAL, at))
        offset = minus(times(on_tip, tile_three(rows, _AXIS, at + 1)), normal)
        ways[at] = contact_way(move, minus(offset, before), radius)
        along[at] = abs(dot(tile_three(way, 0, at), normal))


def tile_points(rows: Any, way: Any, steps: Any, tolerance: float, corner: Any, axis: Any, size: Any) -> None:
    """Fill in corners, the axis by the travel, and the square of the travel in the surface."""
    for at in range(len(corner)):
        before, after = tile_three(way, 0, at), tile_three(way, 0, at + 1)
        corner[at] = corner_radius(before, after, np.minimum(steps[at], steps[at + 1]), tolerance)
        normal = tile_three(rows, _NORMAL, at + 1)
        less = minus(tile_three(rows, _AXIS, at + 1), normal)
        found = axis_by_travel(plus(after, before), less, normal, dot(less, less))
        axis[0][at], axis[1][at], axis[2][at], size[at] = found


def tile_usual(steps: Any, along: Any, size: Any, upward: Any, count: int) -> bool:
    """Whether all can be told: moves with a length and not along the normal, axes on the normal's side."""
    usual = 0
    for at in range(count):
        moves = (steps[at] > 0.0) & (steps[at] < 4.0 * FARTHEST) & (along[at] <= PLUNGE)
        usual += moves & (size[at] >= ALONG) & (upward[at] > 0.0)
    return usual == count and 0.0 < steps[count] < 4.0 * FARTHEST


def tile_swings(rows: Any, swings: Any) -> None:
    """Fill in the angles that the axis turns in the moves."""
    for at in range(len(swings)):
        swings[at] = swing_angle(minus(tile_three(rows, _AXIS, at + 1), tile_three(rows, _AXIS, at)))


def tile_values(axis: Any, each: Any, numbers: Any, out: Any) -> None:
    """Fill in diameters, speeds of cutting and spindle; no numbers in a rapid, whose feed has no bound."""
    diameter, spindle_speed, followed, largest_spindle_speed = numbers
    for at in range(len(out[0])):
        none = each[2, at] - each[2, at]
        least, contact, largest = ball_diameters(
            axis[0][at], axis[1][at], axis[2][at], diameter, each[0, at], each[1, at]
        )
        speed = np.minimum(followed / contact, largest_spindle_speed) if followed > 0.0 else spindle_speed
        factor = speed * SPEED
        out[0][at], out[1][at], out[2][at] = least + none, contact + none, largest + none
        out[3][at], out[4][at], out[5][at] = least * factor + none, contact * factor + none, largest * factor + none
        out[6][at] = speed


def tile_rates(steps: Any, ways: Any, each: Any, number: Any, control: Any, out: Any, caps: Any) -> bool:
    """Fill in feed rates, their squares and causes; return whether the cutter has a chip everywhere."""
    teeth, block_time = control[0], control[1]
    without = 0
    for at in range(len(ways)):
        wanted = each[2, at] * (out[6][at] * teeth) * (steps[at] / ways[at])
        given, soonest = each[3, at], steps[at] / block_time
        rate = min(given, wanted)
        cause = number[at] if given < wanted else 0
        without += 0 if wanted > 0.0 else 1
        slowed = BLOCK_TIME if soonest < rate else cause
        rate = min(soonest, rate)
        out[7][at], caps[0][at], caps[3][at] = 60.0 * rate, rate * rate, slowed
    return without == 0


def tile_swung(steps: Any, ways: Any, swings: Any, control: Any, out: Any, caps: Any) -> None:
    """Lower feed rates to what the rotary axes allow, and the linear axes that follow them."""
    rotary_rate, rotary_distance, rapid = control[2], control[3], control[4]
    for at in range(len(ways)):
        turning = steps[at] / swings[at] * rotary_rate
        following = steps[at] / (swings[at] * rotary_distance + ways[at]) * rapid if swings[at] > 0.0 else np.inf
        limit = min(turning, following)
        if limit * limit < caps[0][at]:
            caps[3][at] = SWUNG if following < turning else ROTARY
            out[7][at], caps[0][at] = 60.0 * limit, limit * limit


def loop_cut(
    columns: Any, told: Any, number: Any, numbers: Any, steps: Any, ways: Any, axis: Any, out: Any, caps: Any, ends: Any
) -> bool:
    """Find what cuts at each point, the feed rate of the move to it, and its cap; return whether all could be told.

    Parameters
    ----------
    columns
        Points, axes and normals, with a point before the block and one after it.
    told
        At each point cosine and sine of the angle of the ball's cap, the feed per tooth, without bound in a rapid, and
        the feed rate [mm/s] that is allowed.
    number
        What allows it.
    numbers
        Those of laying out (tolerance of corners, radius, 1 where the tip is programmed, else 0); of the cut (diameter,
        spindle speed, its product with the diameter at the contact where it follows that, else 0, largest spindle
        speed); of the control (teeth by 60, block time, rotary rate, rotary distance, rapid rate); acceleration;
        whether what is told is the same at all points; whether the rotary axes limit; the first move that there is.
    steps, ways, axis
        Take lengths of the moves to the points and to the next one, ways of the contact, the axis by the travel.
    out, ends
        Take the values of `CUT_VALUES`, their extremes and places.
    caps
        Take squares of feed rates and of caps, which caps they are, and causes.
    """
    laying, cutting, control, acceleration, same, swinging, begin = numbers
    tolerance, radius, on_tip = laying
    rows, way, moved = np.empty((9, TILE + 2)), np.empty((3, TILE + 1)), np.empty((2, TILE + 1))
    each, numbered, size, swings = np.empty((4, TILE)), np.empty(TILE, np.uint8), np.empty(TILE), np.empty(TILE)
    for start in range(0, len(ways), TILE):
        count = min(TILE, len(ways) - start)
        end = start + count
        for three in range(3):
            tile_read(columns[three], start, count + 2, rows[3 * three :])
        off = max(tile_unit(rows, _AXIS, count + 2), tile_unit(rows, _NORMAL, count + 2))
        step, contact, along = steps[start : end + 1], moved[0, : count + 1], moved[1, : count + 1]
        tile_moves(rows, on_tip, radius, step, contact, along, way)
        lean, corner = (axis[0][start:end], axis[1][start:end], axis[2][start:end]), caps[1][start:end]
        tile_points(rows, way, step, tolerance, corner, lean, size)
        if not (off <= UNIT_SLACK and tile_usual(step, along, size, lean[2], count)):
            return False
        if start == 0 or not same:
            tile_read(told[:3], start, count, each)
            for at in range(count):
                each[3, at], numbered[at] = told[3][start + at], number[start + at]
        ways[start:end] = contact[:count]
        low, high = out[:4], out[4:]
        values = (
            *(low[0][start:end], low[1][start:end], low[2][start:end], low[3][start:end]),
            *(high[0][start:end], high[1][start:end], high[2][start:end], high[3][start:end]),
        )
        tile_values(lean, each, cutting, values)
        squares = caps[0][start:end], corner, caps[2][start:end], caps[3][start:end]
        if not tile_rates(step, ways[start:end], each, numbered, control, values, squares):
            return False
        if swinging:
            tile_swings(rows, swings[:count])
            tile_swung(step, ways[start:end], swings, control, values, squares)
        for at in range(count):
            corner[at] *= acceleration
        for row in range(8):
            tile_ends(values[row], begin if start == 0 and row == 7 else 0, start, ends[row])
    return True


def loop_caps(square: Any, cap: Any, mark: Any) -> None:
    """Lower the caps of the points to the feed rates of the moves beside them, and mark those that stay: corners."""
    last = len(cap) - 1
    for at in range(last):
        beside = min(square[at], square[at + 1])
        mark[at] = CORNER if cap[at] < beside else 0
        cap[at] = min(cap[at], beside)
    mark[last] = CORNER if cap[last] < square[last] else 0
    cap[last] = min(cap[last], square[last])
