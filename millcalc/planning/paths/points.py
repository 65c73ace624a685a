"""The points of a path: columns of numbers, handed out in chunks by whatever holds them."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, Protocol

import numpy as np

from millcalc.errors import ArgumentError, Fault
from millcalc.planning.paths.columns import COLUMNS, Column, read_column

__all__ = ["Path", "PathSource", "check_columns", "checked_constants", "direction_of"]

Chunk = dict[str, Any]
_CONSTANTS = {
    "normal_depth": (0.0, math.inf),
    "feed_rate": (0.0, math.inf),
    "lead": (-90.0, 90.0),
    "tilt": (-90.0, 90.0),
}
_GROUPS = {"points": ("x", "y", "z"), "axis": ("i", "j", "k"), "normal": ("nx", "ny", "nz")}


class PathSource(Protocol):
    """What a path is read from; a reader of other files or of meshes has only to be this."""

    names: tuple[str, ...]
    """Columns of a chunk: x, y, z; i, j, k; nx, ny, nz; normal_depth, lead, tilt, step, feed_rate, rapid."""
    constants: Mapping[str, float]
    """Columns that are the same at every point."""
    length: int | None
    """How many points there are, where that is known."""

    def chunks(self, size: int) -> Iterator[Chunk]:
        """Yield the columns `size` points at a time, floats in mm, deg, mm/min, the axes as they come."""


class Path:
    """A path of points with tool axes and surface normals, or with lead and tilt.

    Parameters
    ----------
    points
        Positions of the programmed point, an array of shape (n, 3), or left out where `step` states the moves.
    axis
        Tool axis from tip to spindle: an array of shape (n, 3), or one direction for all.
    normal
        Outward surface normal: an array of shape (n, 3), or one direction for all.
    lead, tilt [deg]
        In place of axis and normal: lean toward the travel, turned first, and across it, at each point.
    normal_depth [mm]
        Stock along the normal at each point, where it is not the same for all.
    step [mm]
        In place of points: length of the move to each point; the first is not used.
    feed_rate [mm/min]
        Feed rate of the program at each point: not exceeded.
    rapid
        True where the move to a point is a rapid.
    unit
        "mm" or "inch": unit of plain numbers, their feed rates per minute.
    angle_unit
        "deg" or "rad": unit of plain angles.

    Raises
    ------
    UnitError
        Plain numbers without a unit, or a unit of another kind.
    ArgumentError
        Columns of unlike lengths, missing or contradictory ones.

    Notes
    -----
    Arrays are kept as they are and read a chunk at a time, so a memory map stays on the disk. Arrays of dask
    stay lazy.

    Examples
    --------
    >>> path = Path([[0, 0, 0], [1, 0, 0], [2, 0, 0]], axis=[0, 0, 1], normal=[0, 0, 1], unit="mm")
    >>> path.length, path.names
    (3, ('x', 'y', 'z'))
    """

    def __init__(
        self,
        points: Any = None,
        *,
        axis: Any = None,
        normal: Any = None,
        lead: Any = None,
        tilt: Any = None,
        normal_depth: Any = None,
        step: Any = None,
        feed_rate: Any = None,
        rapid: Any = None,
        unit: str | None = None,
        angle_unit: str | None = None,
    ) -> None:
        given = {"points": points, "axis": axis, "normal": normal, "lead": lead, "tilt": tilt}
        given |= {"normal_depth": normal_depth, "step": step, "feed_rate": feed_rate, "rapid": rapid}
        self._columns: dict[str, Column] = {}
        self.constants: Mapping[str, float] = {}
        for name, value in given.items():
            if value is not None:
                self._add(name, value, unit, angle_unit)
        self._settle()

    def _settle(self) -> None:
        """Check what the columns are among each other."""
        self.constants = checked_constants(self.constants)
        lengths = {name: column.length for name, column in self._columns.items()}
        _check_lengths(lengths)
        self.names = tuple(self._columns)
        check_columns((*self.names, *self.constants))
        self.length: int | None = next(iter(lengths.values()))
        self.lazy = any(column.lazy for column in self._columns.values())

    def _add(self, name: str, value: Any, unit: str | None, angle_unit: str | None) -> None:
        """Take a column, three of them, or a constant."""
        column = read_column(name, value, unit, angle_unit)
        if name not in _GROUPS:
            if column.shape == ():
                self.constants = {**self.constants, name: float(column.part(...))}
            else:
                self._columns[name] = column
        elif column.shape == (3,) and name != "points":
            self.constants = {**self.constants, **dict(zip(_GROUPS[name], _direction(name, column), strict=True))}
        elif len(column.shape) == 2 and column.shape[1] == 3:
            self._columns |= {n: column.column(at) for at, n in enumerate(_GROUPS[name])}
        else:
            accepted = "an array of shape (n, 3)" + (", or one direction of 3 numbers" if name != "points" else "")
            raise ArgumentError(
                "no path can be made", [Fault(name, f"shape {column.shape}", "it has another shape", accepted)]
            )

    @classmethod
    def from_columns(
        cls,
        columns: Mapping[str, Any],
        *,
        unit: str | None = None,
        angle_unit: str | None = None,
        constants: Mapping[str, float] | None = None,
    ) -> Path:
        """Return a path of single columns: x, y, z; i, j, k (axis); nx, ny, nz (normal); and the rest.

        Parameters
        ----------
        columns
            Arrays or quantities by their names.
        unit, angle_unit
            As of a path.
        constants
            Columns that are the same at every point.

        Raises
        ------
        UnitError, ArgumentError
            As of a path.
        """
        made = cls.__new__(cls)
        made._columns = {name: read_column(name, value, unit, angle_unit) for name, value in columns.items()}
        made.constants = constants or {}
        made._settle()
        return made

    def chunks(self, size: int) -> Iterator[Chunk]:
        """Yield the columns a number of points at a time."""
        for start in range(0, self.length or 0, size):
            yield self.part(start, start + size)

    def part(self, start: int, stop: int) -> Chunk:
        """Return the columns of a stretch of points, floats in trade units."""
        return {name: column.part(slice(start, stop)) for name, column in self._columns.items()}

    def columns(self) -> dict[str, Column]:
        """Return the columns as they are held."""
        return dict(self._columns)

    @staticmethod
    def from_chunks(
        chunks: Iterable[Mapping[str, Any]] | Callable[[], Iterable[Mapping[str, Any]]],
        *,
        unit: str | None = None,
        angle_unit: str | None = None,
        constants: Mapping[str, float] | None = None,
    ) -> PathSource:
        """Return a path that comes in pieces, each a mapping of columns: x, y, z; i, j, k; nx, ny, nz and the rest.

        Parameters
        ----------
        chunks
            The pieces, walked once, or a function that begins them anew.
        unit, angle_unit
            As of a path.
        constants
            Columns that are the same at every point.

        Raises
        ------
        UnitError, ArgumentError
            As of a path, when the pieces are read.
        """
        return _Pieces(chunks, unit, angle_unit, constants or {})


class _Pieces:
    """A path of pieces of any length."""

    length: int | None = None

    def __init__(self, chunks: Any, unit: str | None, angle_unit: str | None, constants: Mapping[str, float]) -> None:
        self._begin = chunks if callable(chunks) else None
        self._units = unit, angle_unit
        self.constants: Mapping[str, float] = checked_constants(constants)
        self._left = iter(chunks() if callable(chunks) else chunks)
        self._first = next(self._left, None)
        self._walked = False
        self.names = tuple(self._first or ())
        check_columns((*self.names, *constants))

    def chunks(self, size: int) -> Iterator[Chunk]:
        """Yield the pieces, cut to a number of points at most."""
        at = 0
        for piece in self._pieces():
            columns = self._columns(piece, at)
            count = len(next(iter(columns.values())))
            for start in range(0, count, size):
                yield {name: column[start : start + size] for name, column in columns.items()}
            at += count

    def _pieces(self) -> Iterator[Any]:
        if not self._walked:
            self._walked = True
            return itertools.chain([] if self._first is None else [self._first], self._left)
        if self._begin is None:
            fault = Fault("chunks", "an iterator", "its pieces have been walked", "a function that begins them anew")
            raise ArgumentError("the path cannot be read", [fault])
        return iter(self._begin())

    def _columns(self, piece: Mapping[str, Any], at: int) -> Chunk:
        if set(piece) != set(self.names):
            missing = ", ".join(sorted(set(self.names) ^ set(piece)))
            raise ArgumentError(
                "the path cannot be read", [Fault(f"row {at}", "", f"the pieces differ in their columns: {missing}")]
            )
        read = {name: read_column(name, value, *self._units) for name, value in piece.items()}
        _check_lengths({name: column.length for name, column in read.items()}, at)
        return {name: column.part(slice(None)) for name, column in read.items()}


def checked_constants(constants: Mapping[str, float]) -> dict[str, float]:
    """Return columns that are the same at every point, directions made one long.

    Raises
    ------
    ArgumentError
        A value is no number, or lies outside of what its column holds.
    """
    made, faults = {}, []
    for name, value in constants.items():
        try:
            made[name] = float(value)
        except (TypeError, ValueError):
            made[name] = math.nan
        if name in _GROUPS["points"]:
            faults.append(
                Fault(name, repr(value)[:40], "points are stated by columns, one that is the same for all, too")
            )
        low, high = _CONSTANTS.get(name, (-math.inf, math.inf))
        if name in COLUMNS and not (low < made[name] < high):
            faults.append(Fault(name, repr(value)[:40], "it is no such number", "a plain number in mm, deg, mm/min"))
    if faults:
        raise ArgumentError("no path can be made", faults)
    for group in ("axis", "normal"):
        parts = _GROUPS[group]
        if set(parts) <= set(made):
            column = Column(group, np.array([made[p] for p in parts]), 1.0)
            made |= {p: float(v) for p, v in zip(parts, _direction(group, column), strict=True)}
    return made


def _direction(name: str, column: Column) -> Any:
    """Return a direction of unit length."""
    parts = np.asarray(column.part(...), dtype=float)
    length = math.sqrt(float(parts @ parts))
    if not 0.0 < length < math.inf:
        raise ArgumentError("no path can be made", [Fault(name, f"{parts.tolist()}", "it is no direction")])
    return parts / length


def direction_of(text: str) -> list[float]:
    """Return a direction of unit length from three numbers in a text, "0,0,1".

    Raises
    ------
    ArgumentError
        It is no direction.
    """
    try:
        parts = [float(part) for part in text.split(",")]
    except ValueError:
        parts = []
    if len(parts) != 3:
        raise ArgumentError("no path can be made", [Fault("direction", repr(text), "it is not three numbers", "0,0,1")])
    return [float(p) for p in _direction("direction", Column("direction", np.array(parts), 1.0))]


def _check_lengths(lengths: Mapping[str, int], at: int = 0) -> None:
    if len(set(lengths.values())) != 1:
        said = ", ".join(f"{name} {count}" for name, count in lengths.items()) or "no column at all"
        raise ArgumentError(
            "the path cannot be read", [Fault(f"row {at}", said, "the columns are not of one length, one row a point")]
        )
    if not any(lengths.values()):
        raise ArgumentError("the path cannot be read", [Fault("points", "", "there are none")])


def check_columns(names: tuple[str, ...]) -> None:
    """Refuse a choice of columns that tells no path.

    Raises
    ------
    ArgumentError
        Columns are unknown, missing or too many; all is said.
    """
    have, faults = set(names), []
    faults += [Fault(name, "", "there is no such column", ", ".join(COLUMNS)) for name in names if name not in COLUMNS]
    for group, parts in _GROUPS.items():
        if have & set(parts) and not have >= set(parts):
            faults.append(Fault(group, ", ".join(sorted(have & set(parts))), f"all of {', '.join(parts)} are needed"))
    if ("x" in have) == ("step" in have):
        reason = "positions, or in their place the length of each move, are needed"
        faults.append(Fault("points", "both" if "x" in have else "", reason))
    leans, axes = have & {"lead", "tilt"}, have & {"i", "nx"}
    if leans and axes:
        faults.append(Fault("lead, tilt", "both", "lean is stated by axis and normal, or by lead and tilt"))
    if not leans and (axes != {"i", "nx"} or "step" in have):
        reason = "axis and normal with positions, or lead and tilt, are needed at each point"
        faults.append(Fault("axis, normal", ", ".join(sorted(axes)), reason, example="axis=[0, 0, 1]"))
    if faults:
        raise ArgumentError("no path can be made", faults)
