"""Moves and leans of a block: lengths, corners, the axis in the frame of surface and travel, the way of the contact.

The axis is taken by its difference g from the normal, both of unit length: then T.N = 1 - g.g/2 and the sine of the
inclination keep their digits where the axis stands near the normal.  The travel at a point is the mean of the
directions before and after it, less what runs along the normal.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from millcalc.planning.paths.blocks import Block, Work
from millcalc.planning.paths.rows import UNIT_SLACK, refuse
from millcalc.planning.paths.settings import Settings

__all__ = ["Laid", "lay_out"]

_XYZ, _AXIS, _NORMAL = ("x", "y", "z"), ("i", "j", "k"), ("nx", "ny", "nz")
_ALONG = 1e-12
"""Square of the part of the travel in the surface below which a move runs along the normal."""
_PLUNGE = 1.0 - 1e-9
_RADIANS = np.pi / 180.0

Three = tuple[Any, Any, Any]


class Laid:
    """What a block's points and moves are: arrays of the block's points, moves by the point they end at."""

    def __init__(self, block: Block, work: Work) -> None:
        self.block = block
        self.work = work
        self.count = block.count
        self.step: Any = None
        """Length of the move to each point, and of those after the block; index 0 is the move to the first point."""
        self.contact_step: Any = None
        """Way of the contact in that move."""
        self.corner: Any = None
        """Square of the speed [mm^2/s^2] at which each point may be passed, per acceleration [mm/s^2]."""
        self.forward: Any = None
        self.across: Any = None
        self.upward: Any = None
        """The axis in the frame of travel, its left, and normal."""
        self.travel: Any = None
        """Sum of the directions of the moves before and after each point."""
        self.swing: Any = None
        """Angle [rad] that the axis turns in the move."""
        self.undefined: Any = None
        """Where the travel has no direction in the surface, or None."""
        self.plunging: Any = None
        """Where the move to a point runs along the normal, or None."""


def lay_out(block: Block, work: Work, s: Settings, constants: Mapping[str, float], names: tuple[str, ...]) -> Laid:
    """Lay a block out.

    Raises
    ------
    DataError
        A row cannot be used.
    """
    laid = Laid(block, work)
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        columns = {n: _contiguous(block.columns[n], n, work) for n in names}
        good = _ranges(columns, block)
        if "x" in columns:
            good = _directions(laid, columns, s) and good
        else:
            laid.step = columns["step"][1:]
        leans = {"lead", "tilt"} & {*columns, *constants}
        good = (_by_lean if leans else _by_axes)(laid, columns, constants, s) and good
        if not good:
            refuse(columns, constants, block.start, block.first)
        if laid.undefined is not None:
            _lean_aside(laid)
    return laid


def _contiguous(column: Any, name: str, work: Work) -> Any:
    """Return a column whose numbers lie side by side, copied where it is one of several in an array."""
    if column.flags.c_contiguous:
        return column
    held = work.get(f"column {name}", len(column), before=1)
    held[:] = column
    return held


def _ranges(columns: Mapping[str, Any], block: Block) -> bool:
    good = True
    for name in ("normal_depth", "feed_rate", "lead", "tilt", "step"):
        if name in columns:
            column = columns[name][2 if name == "step" and block.first else 0 :]
            low, high = (-90.0, 90.0) if name in ("lead", "tilt") else (0.0, np.inf)
            good = good and bool(column.min() > low and column.max() < high)
    return good


def _dot(a: Three, b: Three, out: Any, spare: Any) -> Any:
    np.multiply(a[0], b[0], out=out)
    for p, q in ((a[1], b[1]), (a[2], b[2])):
        np.multiply(p, q, out=spare)
        np.add(out, spare, out=out)
    return out


def _directions(laid: Laid, columns: Mapping[str, Any], s: Settings) -> bool:
    """Lengths of moves, their directions, and the turn at each point."""
    work, m = laid.work, laid.count
    moves = len(columns["x"]) - 1
    spare = work.get("a4", moves)
    d = tuple(np.subtract(columns[n][1:], columns[n][:-1], out=work.get(f"d{n}", moves)) for n in _XYZ)
    step = _dot(d, d, work.get("step", moves), spare)
    np.sqrt(step, out=step)
    laid.step = step
    good = bool(step.min() > 0.0 and step.max() < np.inf)
    inverse = np.divide(1.0, step, out=work.get("a1", moves))
    e = tuple(np.multiply(p, inverse, out=work.get(f"e{n}", moves)) for p, n in zip(d, _XYZ, strict=True))
    turn = tuple(np.subtract(p[1 : m + 1], p[:m], out=work.get(f"t{n}", m)) for p, n in zip(e, _XYZ, strict=True))
    square = _dot(turn, turn, work.get("a2", m), spare[:m])
    for p, q in zip(turn, e, strict=True):
        np.add(q[1 : m + 1], q[:m], out=p)
    laid.travel = turn
    laid.corner = _corner(work, square, step, s, m)
    return good


def _corner(work: Work, square: Any, step: Any, s: Settings, m: int) -> Any:
    """Radius [mm] at each point: of the arc within the tolerance, or that which fits between the moves' middles.

    With the turn theta, sine = sin(theta/2) and cosine = cos(theta/2): delta cosine/(1 - cosine), and half the shorter
    move by tan(theta/2).
    """
    radius, spare = work.get("corner", m), work.get("a1", m)
    square *= 0.25  # sin^2(theta/2)
    cosine = np.subtract(1.0, square, out=work.get("a3", m))
    np.maximum(cosine, 0.0, out=cosine)
    np.sqrt(cosine, out=cosine)
    np.add(cosine, 1.0, out=spare)
    spare *= s.corner_tolerance
    np.divide(spare, square, out=spare)
    np.minimum(step[:m], step[1 : m + 1], out=radius)
    radius *= 0.5
    np.sqrt(square, out=square)
    np.divide(radius, square, out=radius)
    np.minimum(radius, spare, out=radius)
    radius *= cosine
    # straight on, 0/0 or x/0: no corner
    return radius


def _by_lean(laid: Laid, columns: Mapping[str, Any], constants: Mapping[str, float], s: Settings) -> bool:
    """The axis by lead and tilt."""
    m, work = laid.count, laid.work
    have = {**constants, **{n: c[1 : m + 1] for n, c in columns.items()}}
    lead, tilt = (np.multiply(have.get(n, 0.0), _RADIANS) for n in ("lead", "tilt"))
    across = np.cos(lead)
    for name, value in (
        ("forward", np.sin(lead)),
        ("across", across * np.sin(tilt)),
        ("upward", across * np.cos(tilt)),
    ):
        held = work.get(name, m)
        held[:] = value
        setattr(laid, name, held)
    laid.contact_step = laid.step
    return True


def _unit(columns: Mapping[str, Any], constants: Mapping[str, float], names: Three, work: Work) -> tuple[Any, bool]:
    """A direction of unit length at each point, a constant one as three numbers."""
    if names[0] in constants:
        return tuple(constants[n] for n in names), True
    given = tuple(columns[n] for n in names)
    count = len(given[0])
    square = _dot(given, given, work.get("a1", count), work.get("a2", count))
    low, high = float(square.min()), float(square.max())
    if not max(high - 1.0, 1.0 - low) <= UNIT_SLACK:
        return given, False
    if max(high - 1.0, 1.0 - low) <= 4e-15:
        return given, True
    np.sqrt(square, out=square)
    np.divide(1.0, square, out=square)
    return tuple(
        np.multiply(p, square, out=work.get(n, count, before=1)) for p, n in zip(given, names, strict=True)
    ), True


def _by_axes(laid: Laid, columns: Mapping[str, Any], constants: Mapping[str, float], s: Settings) -> bool:
    """The axis by its components, seen from the normal and the travel."""
    m, work = laid.count, laid.work
    count = len(columns["x"])
    axis, good = _unit(columns, constants, _AXIS, work)
    normal, fine = _unit(columns, constants, _NORMAL, work)
    if not (good and fine):
        return False
    g = tuple(
        np.subtract(a, b, out=work.get(f"g{n}", count, before=1)) for a, b, n in zip(axis, normal, _XYZ, strict=True)
    )
    w = _dot(g, g, work.get("w", count, before=1), work.get("a2", count))
    if not w.max() < 2.0:
        return False
    fixed = not isinstance(axis[0], np.ndarray)
    if not fixed and (s.rotary_rate is not None or s.rotary_distance is not None):
        _swing(laid, axis)
    _contact(laid, g, normal, w, s, fixed)
    inside = slice(1, m + 1)
    _framed(laid, tuple(p[inside] for p in g), _inside(normal, inside), w[inside])
    return True


def _inside(three: Three, rows: slice) -> Three:
    return tuple(p[rows] if isinstance(p, np.ndarray) else p for p in three)  # type: ignore[return-value]


def _framed(laid: Laid, g: Three, normal: Three, w: Any) -> None:
    """Components of the axis along the travel, to its left, and along the normal."""
    m, work = laid.count, laid.work
    spare, along = work.get("a1", m), work.get("a2", m)
    travel = laid.travel
    _dot(tuple(work.get(f"e{n}", m) for n in _XYZ), normal, along, spare)
    np.abs(along, out=along)
    if along.max() > _PLUNGE:
        laid.plunging = along > _PLUNGE
    upward = np.multiply(w, -0.5, out=work.get("upward", m))
    upward += 1.0
    _dot(travel, normal, along, spare)
    size = _dot(travel, travel, work.get("a3", m), spare)
    np.multiply(along, along, out=spare)
    size -= spare
    if size.min() < _ALONG:
        laid.undefined = size < _ALONG
    np.sqrt(size, out=size)
    np.divide(1.0, size, out=size)
    # T.s - (s.N)(T.N) = g.s + (s.N) w/2
    forward = _dot(g, travel, work.get("forward", m), spare)
    np.multiply(along, w, out=along)
    along *= 0.5
    forward += along
    forward *= size
    across = work.get("across", m)
    _triple(travel, g, normal, across, spare, along)
    across *= size
    laid.forward, laid.across, laid.upward = forward, across, upward


def _lean_aside(laid: Laid) -> None:
    """Where the travel runs along the normal, count the lean as tilt: for the feed, which needs one."""
    rows = np.flatnonzero(laid.undefined)
    laid.forward[rows] = 0.0
    upward = laid.upward[rows]
    laid.across[rows] = np.sqrt((1.0 - upward) * (1.0 + upward))


def _triple(s: Three, g: Three, n: Three, out: Any, spare: Any, part: Any) -> None:
    """s.(g x n)."""
    for at in range(3):
        one, two = (at + 1) % 3, (at + 2) % 3
        np.multiply(g[one], n[two], out=part)
        np.multiply(g[two], n[one], out=spare)
        part -= spare
        np.multiply(part, s[at], out=part if at else out)
        if at:
            out += part


def _swing(laid: Laid, axis: Three) -> None:
    m, work = laid.count, laid.work
    spare, chord = work.get("a1", m), work.get("swing", m)
    d = tuple(np.subtract(p[1 : m + 1], p[:m], out=work.get(f"w{n}", m)) for p, n in zip(axis, _XYZ, strict=True))
    _dot(d, d, chord, spare)
    np.sqrt(chord, out=chord)
    chord *= 0.5
    np.arcsin(np.minimum(chord, 1.0, out=chord), out=chord)
    chord *= 2.0
    laid.swing = chord


def _contact(laid: Laid, g: Three, normal: Three, w: Any, s: Settings, fixed: bool) -> None:
    """Way of the contact in each move: from the tip R (T - N) for a ball, from its centre -R N."""
    m, work = laid.count, laid.work
    if fixed and not isinstance(normal[0], np.ndarray):
        laid.contact_step = laid.step[:m]
        return
    if not s.is_ball:
        from millcalc.planning.paths.form_values import contact_offset

        offset: Any = contact_offset(s, g, normal, w)
    elif s.on_tip:
        offset = g
    else:
        offset = tuple(np.negative(p) for p in normal)
    spare, way = work.get("a1", m), work.get("way", m)
    factor = 0.5 * s.diameter if s.is_ball else 1.0
    part = work.get("a2", m)
    for at, (o, n) in enumerate(zip(offset, _XYZ, strict=True)):
        if isinstance(o, np.ndarray):
            np.subtract(o[1 : m + 1], o[:m], out=part)
            part *= factor
            part += work.get(f"d{n}", m)
        else:
            part[:] = work.get(f"d{n}", m)
        np.multiply(part, part, out=spare if at else way)
        if at:
            way += spare
    np.sqrt(way, out=way)
    laid.contact_step = way
