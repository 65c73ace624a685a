"""The two passes over a block by compiled loops: of a ball whose points, axes and normals are stated.

A block with something out of the ordinary, a move along the normal or a row that cannot be used, goes by the arrays.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

import numpy as np

from millcalc.planning.paths.along import Joint, capped
from millcalc.planning.paths.blocks import Block
from millcalc.planning.paths.compiled import loops
from millcalc.planning.paths.cutting import BallCut
from millcalc.planning.paths.extremes import Extreme, extremes_of
from millcalc.planning.paths.feeds import allowed_by
from millcalc.planning.paths.moves import in_range, with_later
from millcalc.planning.paths.passes_over import AT_POINT, Done, Kernel, Target, Wanted, ahead_of, blank
from millcalc.planning.paths.points import PathSource, checked_constants
from millcalc.planning.paths.pointwise import CAUSES
from millcalc.planning.paths.settings import Settings
from millcalc.planning.paths.tiles_along import MOVE_VALUES
from millcalc.planning.paths.tiles_cut import CUT_VALUES

__all__ = ["CompiledKernel", "kernel_of"]

_COLUMNS = ("x", "y", "z", "i", "j", "k", "nx", "ny", "nz")


def kernel_of(s: Settings, path: PathSource, keep: frozenset[str], compiled: bool) -> Kernel:
    """Return the passes over a path, in compiled loops where they are wanted and know such a path.

    Raises
    ------
    MissingExtraError
        Compiled loops are wanted, and numba is not installed.
    """
    if compiled:
        loops()
    known = s.is_ball and not s.beside and {*_COLUMNS} <= {*path.names, *path.constants}
    return (CompiledKernel if compiled and known else Kernel)(s, path.names, checked_constants(path.constants), keep)


class CompiledKernel(Kernel):
    """The passes over blocks, in compiled loops."""

    def first(self, block: Block, target: Target) -> Wanted:
        """Find what cuts, the speeds, the feed rates, and the caps of the points."""
        found = None
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            if in_range({n: block.columns[n] for n in self.names}, block):
                found = self._first(block, target)
        return super().first(block, target) if found is None else found

    def _first(self, block: Block, target: Target) -> Wanted | None:
        s, m = self.s, block.count
        assert isinstance(self.tool, BallCut)
        program = self._program(block)
        depth = program.get("normal_depth", s.depth)
        cosine, sine, share = self.tool.of_depth(depth)
        feed = self._feed(share)
        rapid = np.broadcast_to(program["rapid"] != 0.0, m) if "rapid" in program else None
        limit, number = allowed_by(s, program)
        told = cosine, sine, feed if rapid is None else np.where(rapid, np.inf, feed), limit
        step, way, axis, ends = np.empty(m + 1), np.empty(m), tuple(np.empty((3, m))), _no_ends(CUT_VALUES)
        caps = (*np.empty((2, m)), *np.empty((2, m), dtype=np.uint8))
        values = {n: np.empty(m) if n == "spindle_speed" and s.spindle_speed else target(n) for n in CUT_VALUES}
        each, out, numbers = tuple(_each(v, m) for v in told), tuple(values.values()), self._numbers(block, _same(told))
        if not loops().cut(self._three(block), each, _each(number, m), numbers, step, way, axis, out, caps, ends):
            return None
        values["spindle_speed"] = s.spindle_speed or values["spindle_speed"]
        scallop = self.tool.scallop(None) if "scallop_height" in self.keep else None
        values |= {"feed_per_tooth": feed, "scallop_height": scallop}
        step = with_later(block.columns, step)
        values |= self._moves(block, step, axis, target)
        blank(values, AT_POINT, rapid)
        mean = self.tool.mean_chip_share(None, depth) if s.kienzle and s.load_wanted else None
        loops().caps(*caps[:3])
        envelope = capped(s, ahead_of(block, step), caps, block.first, loops().seen)
        extremes, speed = self._extremes(values, CUT_VALUES, ends), values["spindle_speed"]
        return Wanted(block, values, envelope, way, speed, share, mean, depth, rapid, extremes, by_loops=True)

    def _three(self, block: Block) -> tuple[Any, ...]:
        """Points, axes and normals."""
        rows = block.count + 2
        have = {n: _each(self.constants[n], rows) for n in _COLUMNS if n in self.constants}
        found = [np.require(have[n] if n in have else block.columns[n], requirements="A") for n in _COLUMNS]
        return tuple(found[:3]), tuple(found[3:6]), tuple(found[6:])

    def _numbers(self, block: Block, same: bool) -> tuple[Any, ...]:
        s = self.s
        return (
            (s.corner_tolerance, 0.5 * s.diameter, float(s.on_tip)),
            (s.diameter, s.spindle_speed or 0.0, s.followed, s.largest_spindle_speed),
            (
                *(s.teeth / 60.0, s.block_time, math.inf if s.rotary_rate is None else s.rotary_rate),
                *(s.rotary_distance or 0.0, math.inf if s.rotary_distance is None else s.rapid),
            ),
            s.acceleration,
            same,
            s.rotary_rate is not None or s.rotary_distance is not None,
            int(block.first),
        )

    def second(self, wanted: Wanted, joint: Joint, behind: float, target: Target) -> Done:
        """Find the time of each move, and what follows from it."""
        if not wanted.by_loops:
            return super().second(wanted, joint, behind, target)
        s, block, held = self.s, wanted.block, wanted.envelope
        m, begin, beside = block.count, int(block.first), math.isfinite(s.stepover)
        ends, sums, time, cause = _no_ends(MOVE_VALUES), np.zeros((2, len(CAUSES))), np.empty(m), target("cause")
        values = {n: target(n) for n in MOVE_VALUES}
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            removal = self._removal_per_feed(wanted) if beside else math.nan
            per = (
                self._chip_per_feed(wanted),
                removal,
                0.0 if wanted.idle is None else np.where(wanted.idle, math.nan, 0.0),
            )
            moves = held.step, wanted.way, held.rate, held.cap, held.mark, held.cause
            known, each = (joint.entry, behind, joint.mark), tuple(_each(v, m) for v in per)
            out = tuple(values.values())
            loops().along(moves, each, known, (s.acceleration, _same(per), begin), out, time, cause, ends, sums)
            wanted.values |= {n: v for n, v in {**values, "cause": cause}.items() if n in self.keep}
            if beside:
                self._power(wanted, time, values["removal_rate"], target)
        extremes = wanted.extremes | self._extremes({**values, **wanted.values}, MOVE_VALUES, ends)
        return Done(block, wanted.values, time, cause, held.step, wanted.idle, extremes, sums)

    def _extremes(self, values: dict[str, Any], names: tuple[str, ...], ends: Any) -> dict[str, Extreme]:
        """Extremes that the loops have found, and those of the other values of a pass."""
        found = {}
        for name, (low, low_at, high, high_at) in zip(names, ends.tolist(), strict=True):
            if name in self.keep and low <= high:
                found[name] = Extreme(low, int(low_at), high, int(high_at))
        others = ("spindle_speed", "feed_per_tooth", "scallop_height") if names is CUT_VALUES else ("power",)
        left = [n for n in others if n in self.keep and n not in found]
        return found | extremes_of({n: values.get(n) for n in left}, left, first=False)


def _each(value: Any, count: int) -> Any:
    """A value at each point."""
    if np.ndim(value):
        return value
    one: Any = np.asarray(value)[()]
    return _spread(one, count)


@lru_cache(maxsize=64, typed=True)  # 2 and 2.0 are arrays of different kinds
def _spread(value: Any, count: int) -> Any:
    return np.broadcast_to(value, count)


def _same(values: tuple[Any, ...]) -> bool:
    """Whether values are the same at all points."""
    return not any(np.ndim(value) for value in values)


def _no_ends(names: tuple[str, ...]) -> Any:
    ends = np.zeros((len(names), 4))
    ends[:, 0], ends[:, 2] = np.inf, -np.inf
    return ends
