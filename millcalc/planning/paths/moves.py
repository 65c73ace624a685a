"""Moves and leans of a block: lengths, corners, the axis in the frame of surface and travel, the way of the contact.

The axis is taken by its difference from the normal, both of unit length: then T.N and the sine of the inclination keep
their digits where the axis stands near the normal.  The travel at a point is the mean of the directions before and
after it, less what runs along the normal.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import attrs
import numpy as np

from millcalc.planning.paths.blocks import Block
from millcalc.planning.paths.pointwise import (
    ALONG,
    FARTHEST,
    IS_UNIT,
    PLUNGE,
    UNIT_SLACK,
    axis_by_travel,
    contact_way,
    corner_radius,
    dot,
    minus,
    plus,
    swing_angle,
    times,
)
from millcalc.planning.paths.rows import refuse
from millcalc.planning.paths.settings import Settings

__all__ = ["Laid", "in_range", "lay_out", "with_later"]

_XYZ, _AXIS, _NORMAL = ("x", "y", "z"), ("i", "j", "k"), ("nx", "ny", "nz")

_NOWHERE = (0.0, 0.0, 0.0)
_FROM, _TO, _BETWEEN = slice(None, -1), slice(1, None), slice(1, -1)

Columns = Mapping[str, Any]
Three = tuple[Any, Any, Any]


@attrs.define(eq=False)
class Laid:
    """What a block's points and moves are: arrays of the block's points, moves by the point they end at."""

    block: Block
    step: Any
    """Length of the move to each point, and of those after the block; index 0 is the move to the first point."""
    forward: Any
    across: Any
    upward: Any
    """The axis in the frame of travel, its left, and normal."""
    corner: Any = np.inf
    """Square of the speed [mm^2/s^2] at which each point may be passed, per acceleration [mm/s^2]."""
    way: Any = None
    """Way of the contact in each move, or None where it is that of the programmed point."""
    swing: Any = None
    """Angle [rad] that the axis turns in the move."""
    undefined: Any = None
    """Where the travel has no direction in the surface, or None."""
    plunging: Any = None
    """Where the move to a point runs along the normal, or None."""

    @property
    def count(self) -> int:
        """Points of the block."""
        return self.block.count

    @property
    def axis(self) -> Three:
        """The axis in that frame."""
        return self.forward, self.across, self.upward

    @property
    def contact_step(self) -> Any:
        """Way of the contact in the move to each point."""
        return self.step[: self.count] if self.way is None else self.way


def lay_out(block: Block, s: Settings, constants: Mapping[str, float], names: tuple[str, ...]) -> Laid:
    """Lay a block out.

    Raises
    ------
    DataError
        A row cannot be used.
    """
    columns = {n: block.columns[n] for n in names}
    laid = None
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        if in_range(columns, block):
            by = _by_lean if {"lead", "tilt"} & {*columns, *constants} else _by_axes
            laid = by(block, columns, constants, s)
        if laid is None:
            refuse(columns, constants, block.start, block.first)
            raise AssertionError("a block has been refused without a reason")
        if laid.undefined is not None:
            _lean_aside(laid)
    return laid


def in_range(columns: Columns, block: Block) -> bool:
    """Whether depths, feed rates, leans and steps are what they may be."""
    if "rapid" in columns and not np.isfinite(columns["rapid"].sum()):
        return False
    for name in ("normal_depth", "feed_rate", "lead", "tilt", "step"):
        if name in columns:
            column = columns[name][2 if name == "step" and block.first else 0 :]
            low, high = (-90.0, 90.0) if name in ("lead", "tilt") else (0.0, np.inf)
            if len(column) and not (column.min() > low and column.max() < high):
                return False
    return True


def _three(columns: Columns, names: tuple[str, ...]) -> Three:
    """Three columns, each of numbers that lie side by side: what follows is much quicker."""
    return tuple(np.require(columns[n], requirements=("C", "A")) for n in names)


def _rows(three: Three, rows: slice) -> Three:
    return tuple(p[rows] if np.ndim(p) else p for p in three)


def _moves(points: Three, offset: Three, normal: Three, scale: float) -> tuple[Any, Any, Any, Three]:
    """Return steps, ways of the contact, shares of the moves along the normal, and directions, between points.

    `offset` times `scale` is where the contact lies from the programmed point; where that is the same for all, the ways
    are None.
    """
    moves = minus(_rows(points, _TO), _rows(points, _FROM))
    steps = np.sqrt(dot(moves, moves))
    directions = times(1.0 / steps, moves)
    turned = minus(_rows(offset, _TO), _rows(offset, _FROM))
    ways = contact_way(moves, turned, scale) if any(np.ndim(p) for p in offset) else None
    return steps, ways, np.abs(dot(directions, _rows(normal, _TO))), directions


def _points(directions: Three, steps: Any, less: Three, normal: Three, s: Settings) -> tuple[Any, Any, Any, Any, Any]:
    """Return corners, the axis by the travel, and the square of the travel in the surface, between moves."""
    before, after = _rows(directions, _FROM), _rows(directions, _TO)
    corner = corner_radius(before, after, np.minimum(steps[:-1], steps[1:]), s.corner_tolerance)
    beside = _rows(less, _BETWEEN)
    found = axis_by_travel(plus(after, before), beside, _rows(normal, _BETWEEN), dot(beside, beside))
    return corner, found[0], found[1], np.broadcast_to(found[2], len(corner)), found[3]


def with_later(columns: Columns, step: Any) -> Any:
    """Steps with those of the moves that follow them."""
    rows = len(step)
    if len(columns["x"]) == rows + 1:
        return step
    later = sum(np.square(np.diff(columns[n][rows:])) for n in _XYZ)
    return np.concatenate((step, np.sqrt(later)))


def _is_move(step: Any) -> bool:
    return bool(step.min() > 0.0 and step.max() < 4.0 * FARTHEST)


def _by_lean(block: Block, columns: Columns, constants: Mapping[str, float], s: Settings) -> Laid | None:
    """The axis by lead and tilt."""
    m = block.count
    have = {**constants, **{n: c[1 : m + 1] for n, c in columns.items()}}
    lead, tilt = (np.broadcast_to(np.radians(have.get(n, 0.0)), m) for n in ("lead", "tilt"))
    across = np.cos(lead)
    axis = np.sin(lead), across * np.sin(tilt), across * np.cos(tilt)
    if "x" not in columns:
        return Laid(block, columns["step"][1:], axis[0], axis[1], axis[2])
    points = tuple(p[: m + 2] for p in _three(columns, _XYZ))
    step, _, _, directions = _moves(points, _NOWHERE, _NOWHERE, 0.0)
    step = with_later(columns, step)
    if not _is_move(step):
        return None
    corner = _points(directions, step[: m + 1], _NOWHERE, _NOWHERE, s)[0]
    return Laid(block, step, axis[0], axis[1], axis[2], corner)


def _unit(columns: Columns, constants: Mapping[str, float], names: tuple[str, ...], rows: int) -> Three | None:
    """A direction of unit length at each point, a constant one as three numbers; None where one is not."""
    if names[0] in constants:
        return tuple(constants[n] for n in names)  # type: ignore[return-value]
    given: Three = tuple(p[:rows] for p in _three(columns, names))
    square = dot(given, given)
    off = max(float(square.max()) - 1.0, 1.0 - float(square.min()))
    if not off <= UNIT_SLACK:
        return None
    return given if off <= IS_UNIT else times(1.0 / np.sqrt(square), given)


def _by_axes(block: Block, columns: Columns, constants: Mapping[str, float], s: Settings) -> Laid | None:
    """The axis by its components, seen from the normal and the travel; None where a row cannot be used."""
    m = block.count
    axis, normal = _unit(columns, constants, _AXIS, m + 2), _unit(columns, constants, _NORMAL, m + 2)
    if axis is None or normal is None:
        return None
    less = minus(axis, normal)
    offset, scale = _offset(s, less, normal)
    points = tuple(p[: m + 2] for p in _three(columns, _XYZ))
    step, way, along, directions = _moves(points, offset, normal, scale)
    corner, forward, across, upward, size = _points(directions, step, less, normal, s)
    step = with_later(columns, step)
    if not (_is_move(step) and upward.min() > 0.0):
        return None
    laid = Laid(block, step, forward, across, upward, corner, None if way is None else way[:m])
    if size.min() < ALONG:
        laid.undefined = size < ALONG
    if along.max() > PLUNGE:
        laid.plunging = along[:m] > PLUNGE
    laid.swing = _swing(axis, m, s)
    return laid


def _offset(s: Settings, less: Three, normal: Three) -> tuple[Three, float]:
    """Where the contact lies from the programmed point: from a ball's tip R (T - N), from its centre -R N."""
    if s.is_ball:
        return less if s.on_tip else minus(_NOWHERE, normal), 0.5 * s.diameter
    from millcalc.planning.paths.form_values import contact_offset

    return contact_offset(s, less, normal, dot(less, less)), 1.0


def _swing(axis: Three, m: int, s: Settings) -> Any:
    """Angle [rad] that the axis turns in each move, where something depends on it."""
    if not np.ndim(axis[0]) or (s.rotary_rate is None and s.rotary_distance is None):
        return None
    turn = minus(tuple(p[1 : m + 1] for p in axis), tuple(p[:m] for p in axis))
    return swing_angle(turn)


def _lean_aside(laid: Laid) -> None:
    """Where the travel runs along the normal, count the lean as tilt: for the feed, which needs one."""
    rows = np.flatnonzero(laid.undefined)
    laid.forward[rows] = 0.0
    upward = laid.upward[rows]
    laid.across[rows] = np.sqrt((1.0 - upward) * (1.0 + upward))
