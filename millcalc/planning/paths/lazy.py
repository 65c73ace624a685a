"""Paths of dask arrays: what cuts stays lazy, chunk by chunk; the time takes two passes and one number a chunk.

A chunk is evaluated with one point of each neighbour (those beside it that are needed to look ahead).  Its first pass
gives what the neighbours must know of it, four numbers; these, brought together in one small task, say at which speed
each chunk begins and ends; its second pass then goes its own way.  Where a worker is lost, its chunks are evaluated
again.
"""

from __future__ import annotations

import importlib
from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np

from millcalc.errors import ArgumentError, Fault, MissingExtraError
from millcalc.planning.paths.along import Ends, Joint
from millcalc.planning.paths.blocks import Block, mirrored
from millcalc.planning.paths.fused import kernel_of
from millcalc.planning.paths.passes_over import Done, Kernel, Wanted
from millcalc.planning.paths.pipeline import behind_of
from millcalc.planning.paths.points import Path
from millcalc.planning.paths.result import PathResult
from millcalc.planning.paths.settings import Settings
from millcalc.planning.paths.totals import Part, Totals, part_of

__all__ = ["LazyResult", "evaluate_lazily"]

_ALONG = ("mean_feed_rate", "chip_thickness", "block_time", "removal_rate", "power", "cause")
"""Values that need the time, and so the neighbours."""


class LazyResult:
    """A path whose values are dask arrays; `summary()` computes sums and extremes."""

    def __init__(self, values: Mapping[str, Any], parts: list[Any], s: Settings, starts: list[int]) -> None:
        self._values = dict(values)
        self._parts = parts
        self._settings = s
        self._starts = starts

    def __getitem__(self, name: str) -> Any:
        return self._values[name]

    def keys(self) -> tuple[str, ...]:
        """Return the names of the values."""
        return tuple(self._values)

    def summary(self) -> PathResult:
        """Compute time, sums, extremes and causes, in whichever scheduler dask is set to."""
        dask: Any = importlib.import_module("dask")
        totals = Totals()
        for start, (part, count) in zip(self._starts, dask.compute(*self._parts), strict=True):
            totals.add(part, count, start.__add__)
        return PathResult({}, totals, self._settings, None)


def _first(kernel: Kernel, block: Block) -> Wanted:
    return kernel.first(block, _target_of(block))


def _target_of(block: Block) -> Any:
    return lambda name: np.empty(block.count, dtype=np.uint8 if name == "cause" else float)


def _block(names: tuple[str, ...], factors: tuple[float, ...], pieces: list[Any], start: int, ends: Any) -> Block:
    """Put a chunk together from its own columns and the points beside it."""
    first, last, count = ends
    columns = {}
    for name, factor, (before, own, after) in zip(names, factors, pieces, strict=True):
        parts = [np.asarray(part, dtype=float) for part in (before, own, after) if part is not None]
        columns[name] = np.concatenate(parts) * factor
    return Block(mirrored(columns, first, last), count, start, first, last)


def _ends(kernel: Kernel, block: Block) -> Ends:
    return _first(kernel, block).envelope.ends


def _joints(fastest: float, ends: list[Ends]) -> list[tuple[Joint, float]]:
    """Say of each chunk how fast it is entered, and what is allowed behind it."""
    joint, found = Joint(), []
    for at, own in enumerate(ends):
        behind = behind_of(ends[at + 1 :], True, fastest)
        assert behind is not None
        found.append((joint, behind))
        joint = joint.passed(own, behind)
    return found


def _done(kernel: Kernel, block: Block, joints: list[tuple[Joint, float]], at: int) -> Done:
    joint, behind = joints[at]
    return kernel.second(_first(kernel, block), joint, behind, _target_of(block))


def _point_value(kernel: Kernel, name: str, block: Block) -> Any:
    return _as_array(_first(kernel, block).values[name], block.count)


def _value(name: str, done: Done) -> Any:
    return _as_array(done.values[name], done.block.count)


def _as_array(value: Any, count: int) -> Any:
    return value if isinstance(value, np.ndarray) else np.full(count, value)


def _part(done: Done, least_speed: float | None) -> tuple[Part, int]:
    """Sums and extremes of a chunk, and how many points it has."""
    return part_of(done, least_speed), done.block.count


def evaluate_lazily(path: Path, s: Settings, wanted: frozenset[str], needed: frozenset[str], compiled: bool) -> Any:
    """Return the values of a path of dask arrays, as dask arrays of the same chunks: a `LazyResult`.

    Raises
    ------
    MissingExtraError
        dask is not installed.
    ArgumentError
        The chunks are not known.
    """
    try:
        dask: Any = importlib.import_module("dask")
        da: Any = importlib.import_module("dask.array")
    except ImportError:
        raise MissingExtraError('paths of dask arrays need dask: pip install "millcalc[dask]"') from None
    kernel = kernel_of(s, path, needed, compiled)
    blocks, counts = _blocks(path, max(1, s.look_ahead or 0), dask, da)
    held = dask.delayed(kernel, pure=True, traverse=False)
    fastest = max(s.largest_feed, s.rapid) ** 2
    ends = [dask.delayed(_ends)(held, block) for block in blocks]
    joints = dask.delayed(_joints)(fastest, ends)
    done = [dask.delayed(_done)(held, block, joints, at) for at, block in enumerate(blocks)]
    values = {}
    for name in sorted(wanted):
        if name in _ALONG:
            pieces = [dask.delayed(_value)(name, one) for one in done]
        else:
            pieces = [dask.delayed(_point_value)(held, name, block) for block in blocks]
        kind = np.uint8 if name == "cause" else float
        arrays = [da.from_delayed(piece, (n,), dtype=kind) for piece, n in zip(pieces, counts, strict=True)]
        values[name] = da.concatenate(arrays)
    parts = [dask.delayed(_part)(one, s.least_speed) for one in done]
    return LazyResult(values, parts, s, [sum(counts[:at]) for at in range(len(counts))])


def _blocks(path: Path, after: int, dask: Any, da: Any) -> tuple[list[Any], list[int]]:
    """Chunks of a path as delayed blocks, and how many points each has."""
    columns = path.columns()
    arrays = {name: c.array if c.lazy else da.from_array(c.array) for name, c in columns.items()}
    leading = next(arrays[name] for name, c in columns.items() if c.lazy)
    counts = [int(n) if n == n else -1 for n in leading.chunks[0]]
    _known(counts)
    arrays = {name: array.rechunk((tuple(counts),)) for name, array in arrays.items()}
    factors = tuple(c.factor for c in columns.values())
    total, start, blocks = sum(counts), 0, []
    for count in counts:
        stop = start + count
        pieces = [_around(array, start, stop, after) for array in arrays.values()]
        ends = (start == 0, stop == total, count)
        blocks.append(dask.delayed(_block)(tuple(arrays), factors, pieces, start, ends))
        start = stop
    return blocks, counts


def _known(counts: Iterable[int]) -> None:
    if min(counts) < 1 or sum(counts) < 2:
        fault = Fault("chunks", "", "they are of unknown length or empty, or the path has less than two points")
        raise ArgumentError("the path cannot be evaluated", [fault])


def _around(array: Any, start: int, stop: int, after: int) -> list[Any]:
    """A chunk of a column with the point before it and those after it."""
    before = array[start - 1 : start] if start else None
    behind = array[stop : stop + after] if stop < array.shape[0] else None
    return [before, array[start:stop], behind]
