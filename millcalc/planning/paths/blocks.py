"""A path cut into blocks that stay in the cache, each with the points beside it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import attrs
import numpy as np

from millcalc.errors import ArgumentError, Fault
from millcalc.planning.paths.points import Path, PathSource
from millcalc.planning.paths.rows import Skipped, cleaned

__all__ = ["BLOCK", "Block", "aligned", "blocks_of", "mirrored"]

BLOCK = 32_768
"""Points in a block: short enough for the cache, long enough that threads seldom wait for each other."""

_LINE = 64  # bytes
Chunk = dict[str, Any]
_TURNED = ("x", "y", "z")


@attrs.define(eq=False)
class Block:
    """A stretch of a path: columns with one point before it and one or more after it."""

    columns: Chunk
    count: int
    start: int
    first: bool
    last: bool
    rows: Any = None
    """Row of each point in the source, where rows were left out."""

    @property
    def after(self) -> int:
        """How many points after the block its columns hold."""
        return len(next(iter(self.columns.values()))) - self.count - 1

    def row(self, at: int) -> int:
        """Return the row of a point of the block in the source."""
        return int(self.start + at if self.rows is None else self.rows[at])


def aligned(count: int, kind: Any = float) -> Any:
    """Return an array that begins with a line of the cache: half the time of a sum."""
    size = np.dtype(kind).itemsize
    room = np.empty(count * size + _LINE, dtype=np.uint8)
    start = -room.ctypes.data % _LINE
    return room[start : start + count * size].view(kind)


def blocks_of(source: PathSource, size: int, after: int, skipped: Skipped | None) -> Iterator[Block]:
    """Yield a path's blocks, each with so many points after it as there are.

    Raises
    ------
    ArgumentError
        There are less than two points.
    DataError
        A row cannot be used, where rows are not skipped.
    """
    if isinstance(source, Path) and skipped is None:
        yield from _slices(source, size, after)
    else:
        yield from _windows(source, size, after, skipped)


def _slices(path: Path, size: int, after: int) -> Iterator[Block]:
    """Blocks that are views of arrays, but for the first and the last."""
    total = path.length or 0
    _enough(total)
    for start in range(0, total, size):
        count = min(size, total - start)
        first, last = start == 0, start + count == total
        columns = path.part(max(start - 1, 0), start + count + after)
        yield Block(mirrored(columns, first, last), count, start, first, last)


def _windows(source: PathSource, size: int, after: int, skipped: Skipped | None) -> Iterator[Block]:
    """Blocks of a path that comes in pieces."""
    held: Chunk | None = None
    start, begun = 0, 0
    for piece in _gathered(_pieces(source, size, skipped), size):
        held = piece if held is None else _joined([held, piece])
        while _rows_of(held) - begun >= size + after + 1:
            yield _window(held, start, size, begun, after, False)
            start += size
            held = {n: column[size - (1 - begun) :] for n, column in held.items()}
            begun = 1
    total = 0 if held is None else _rows_of(held) - begun
    _enough(total + start)
    assert held is not None
    while total > 0:
        count = min(size, total)
        yield _window(held, start, count, begun, after, count == total)
        start, total = start + count, total - count
        held = {n: column[count - (1 - begun) :] for n, column in held.items()}
        begun = 1


def _window(held: Chunk, start: int, count: int, begun: int, after: int, last: bool) -> Block:
    columns = {n: column[: begun + count + after] for n, column in held.items()}
    rows = columns.pop("row", None)
    rows = None if rows is None else rows[begun : begun + count]
    return Block(mirrored(columns, begun == 0, last), count, start, begun == 0, last, rows)


def _pieces(source: PathSource, size: int, skipped: Skipped | None) -> Iterator[Chunk]:
    if skipped is None:
        yield from source.chunks(size)
    else:
        yield from cleaned(source, size, skipped)


def _gathered(pieces: Iterator[Chunk], size: int) -> Iterator[Chunk]:
    """Put short pieces together, so that they are not copied again and again."""
    waiting: list[Chunk] = []
    count = 0
    for piece in pieces:
        waiting.append(piece)
        count += _rows_of(piece)
        if count >= size:
            yield _joined(waiting)
            waiting, count = [], 0
    if waiting:
        yield _joined(waiting)


def _joined(pieces: list[Chunk]) -> Chunk:
    return pieces[0] if len(pieces) == 1 else {n: np.concatenate([p[n] for p in pieces]) for n in pieces[0]}


def _rows_of(columns: Mapping[str, Any]) -> int:
    return len(next(iter(columns.values())))


def _enough(total: int) -> None:
    if total < 2:
        raise ArgumentError("the path cannot be evaluated", [Fault("points", str(total), "a path has two or more")])


def mirrored(columns: Chunk, first: bool, last: bool) -> Chunk:
    """Go on straight at the ends, so that every point has one before and one after it."""
    if not first and not last:
        return columns
    made = {}
    for name, column in columns.items():
        turn = name in _TURNED
        before = [2.0 * column[0] - column[1] if turn else column[0]] if first else []
        behind = [2.0 * column[-1] - column[-2] if turn else column[-1]] if last else []
        made[name] = np.concatenate((before, column, behind))
    return made
