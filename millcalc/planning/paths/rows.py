"""Rows that cannot be used: found, said, or left out and listed."""

from __future__ import annotations

from array import array
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from millcalc.errors import DataError, Fault
from millcalc.planning.paths.columns import COLUMNS
from millcalc.planning.paths.points import PathSource
from millcalc.planning.paths.pointwise import FARTHEST, UNIT_SLACK

__all__ = ["Skipped", "cleaned", "refuse"]

_ENDS: dict[str, tuple[float, float, str]] = {
    "normal_depth": (0.0, np.inf, "the stock along the normal is not above 0"),
    "lead": (-90.0, 90.0, "the lead is not between -90 and 90 deg"),
    "tilt": (-90.0, 90.0, "the tilt is not between -90 and 90 deg"),
    "feed_rate": (0.0, np.inf, "the feed rate is not above 0"),
    "step": (0.0, np.inf, "the move has no length"),
}
Chunk = dict[str, Any]


class Skipped:
    """The rows left out, and why."""

    def __init__(self) -> None:
        self.rows = array("q")
        self.reasons: dict[str, int] = {}

    def add(self, rows: Any, reason: str) -> None:
        """Note rows left out for a reason."""
        if len(rows):
            self.rows.extend(int(row) for row in rows)
            self.reasons[reason] = self.reasons.get(reason, 0) + len(rows)


def _faults(columns: Mapping[str, Any], constants: Mapping[str, float]) -> Iterator[tuple[Any, str]]:
    """Yield where rows fail by themselves, and why."""
    for name in columns:
        if name in COLUMNS:
            yield ~np.isfinite(columns[name]), f"{name} is not a finite number"
        if name in ("x", "y", "z"):
            yield np.abs(columns[name]) > FARTHEST, f"{name} lies outside of every machine"
    have = {**constants, **columns}
    for label, parts in (("the tool axis", ("i", "j", "k")), ("the surface normal", ("nx", "ny", "nz"))):
        if parts[0] in have:
            square = sum(np.square(have[part]) for part in parts)
            yield ~(np.abs(square - 1.0) <= UNIT_SLACK) & np.isfinite(square), f"{label} is not of unit length"
    if "i" in have and "nx" in have:
        along = sum(np.multiply(have[a], have[b]) for a, b in zip(("i", "j", "k"), ("nx", "ny", "nz"), strict=True))
        yield along <= 1e-9, "the surface normal is opposed or square to the tool axis"
    for name, (low, high, reason) in _ENDS.items():
        if name in columns:
            yield (columns[name] <= low) | (columns[name] >= high), reason


def cleaned(source: PathSource, size: int, skipped: Skipped) -> Iterator[Chunk]:
    """Yield the rows that can be used, with their row in the source; the others are noted."""
    at, before = 0, None
    for piece in source.chunks(size):
        count = len(next(iter(piece.values())))
        row = at + np.arange(count)
        good = np.ones(count, dtype=bool)
        for bad, reason in _faults(piece, source.constants):
            bad = np.broadcast_to(bad, good.shape) & good
            if "step" in piece and reason == _ENDS["step"][2] and at == 0:
                bad = bad & (row > 0)
            skipped.add(row[bad], reason)
            good &= ~bad
        kept = {name: column[good] for name, column in piece.items()} | {"row": row[good]}
        if "x" in kept and len(kept["row"]):
            kept, before = _without_repeats(kept, before, skipped)
        if len(kept["row"]):
            yield kept
        at += count


def _without_repeats(columns: Chunk, before: Any, skipped: Skipped) -> tuple[Chunk, Any]:
    place = np.column_stack([columns[name] for name in ("x", "y", "z")])
    earlier = np.vstack((place[:1] + 1.0 if before is None else before, place[:-1]))
    fresh = np.any(place != earlier, axis=1)
    skipped.add(columns["row"][~fresh], "the point is repeated")
    return {name: column[fresh] for name, column in columns.items()}, place[-1]


def refuse(columns: Mapping[str, Any], constants: Mapping[str, float], start: int, first: bool) -> None:
    """Raise what is wrong with the first row that cannot be used; the columns hold one row before the first.

    Raises
    ------
    DataError
        With the row and what is wrong with it.
    """
    count = len(next(iter(columns.values())))
    found: list[tuple[int, str, str]] = []
    for bad, reason in _faults(columns, constants):
        bad = np.array(np.broadcast_to(bad, count))
        bad[0] = bad[0] and not first
        if "step" in columns and reason == _ENDS["step"][2] and first:
            bad[1] = False
        _note(found, bad, reason, columns)
    if "x" in columns:
        moved = sum(np.square(np.diff(columns[name])) for name in ("x", "y", "z"))
        _note(found, np.concatenate(([False], moved == 0.0)), "the point is repeated: a move without length", columns)
    if found:
        at, reason, given = min(found, key=lambda fault: fault[0])
        raise DataError("the path cannot be evaluated", [Fault(f"row {start - 1 + at}", given, reason)])


def _note(found: list[tuple[int, str, str]], bad: Any, reason: str, columns: Mapping[str, Any]) -> None:
    if np.any(bad):
        at = int(np.argmax(bad))
        shown = [name for name in columns if name in reason.split()] or [n for n in columns if n in COLUMNS][:6]
        found.append((at, reason, ", ".join(f"{name} = {columns[name][at]:g}" for name in shown)))
