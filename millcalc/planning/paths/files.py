"""Paths from files: CSV with units in its head, and arrays saved by NumPy, both read a stretch at a time."""

from __future__ import annotations

import csv
import itertools
import os
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path as FilePath
from typing import Any

import numpy as np

from millcalc.errors import DataError, Fault, FileError
from millcalc.planning.paths.columns import COLUMNS
from millcalc.planning.paths.points import Path, PathSource, check_columns, checked_constants
from millcalc.quantities import registries
from millcalc.quantities.kinds import Kind
from millcalc.quantities.reading import UnreadableTextError, unit_words

__all__ = ["read_path"]

Chunk = dict[str, Any]
_HEAD = re.compile(r"\s*(?P<name>\w+)\s*(?:\[\s*(?P<unit>[^\]]*?)\s*\])?\s*")
_EXAMPLE = '"x [mm],y [mm],z [mm],i,j,k,nx,ny,nz"'
_LONGEST = 100_000  # characters in a line; a file of something else may have no line ends
_FLAGS = {"true": 1.0, "false": 0.0, "yes": 1.0, "no": 0.0}


def read_path(
    file: str | os.PathLike[str],
    *,
    columns: Sequence[str] | None = None,
    unit: str | None = None,
    angle_unit: str | None = None,
    constants: Mapping[str, float] | None = None,
) -> PathSource:
    """Return the path in a file; its points are read when it is evaluated, a stretch at a time.

    Parameters
    ----------
    file
        A CSV file with the units in its head, "x [mm],y [mm],z [mm],i,j,k,nx,ny,nz", or an array that NumPy saved
        (.npy), a row a point, which is mapped and not loaded.
    columns
        Names of the columns of an array: x, y, z; i, j, k (axis); nx, ny, nz (normal); or step, lead, tilt; and
        normal_depth, feed_rate, rapid.
    unit
        "mm" or "inch", of an array.
    angle_unit
        "deg" or "rad", of an array.
    constants
        Columns that are the same at every point: "i", "j", "k" of a fixed axis, "nx", "ny", "nz" of a plane.

    Raises
    ------
    FileError
        The file cannot be found or read, or is not such a file.
    UnitError, ArgumentError
        Columns without a unit, unknown or missing ones.

    Examples
    --------
    >>> import os, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = os.path.join(folder, "path.csv")
    ...     with open(file, "w") as text:
    ...         _ = text.write("x [in],y [in],z [in],i,j,k\\n0,0,0,0,0,1\\n1,0,0,0,0,1\\n")
    ...     path = read_path(file, constants={"nx": 0.0, "ny": 0.0, "nz": 1.0})
    ...     print(next(path.chunks(10))["x"])
    [ 0.  25.4]
    """
    place = FilePath(file)
    if not place.is_file():
        raise FileError("the path cannot be read", [Fault("file", str(file), "there is no such file")])
    if place.suffix.casefold() == ".npy":
        return _array_path(place, columns, unit, angle_unit, constants or {})
    return _CsvPath(place, checked_constants(constants or {}))


def _array_path(
    file: FilePath, columns: Sequence[str] | None, unit: str | None, angle_unit: str | None, constants: Any
) -> Path:
    try:
        array = np.load(file, mmap_mode="r", allow_pickle=False)
    except (OSError, ValueError, EOFError, SyntaxError) as why:
        raise FileError("the path cannot be read", [Fault("file", str(file), f"it is no such array: {why}")]) from None
    names = tuple(columns or ())
    if array.ndim != 2 or array.shape[1] != len(names) or not names:
        reason = f"the array has the shape {array.shape}, and {len(names)} columns are named"
        raise FileError(
            "the path cannot be read", [Fault("columns", ", ".join(names), reason, example='["x", "y", "z"]')]
        )
    taken = {name: array[:, at] for at, name in enumerate(names)}
    return Path.from_columns(taken, unit=unit, angle_unit=angle_unit, constants=constants)


class _CsvPath:
    """A table of points, read anew each time it is walked."""

    length: int | None = None

    def __init__(self, file: FilePath, constants: dict[str, float]) -> None:
        self._file = file
        self.constants: Mapping[str, float] = constants
        with self._opened() as text:
            head = text.readline(_LONGEST)
        self._columns = [self._column(cell) for cell in next(csv.reader([head]), [])]
        self.names = tuple(name for name, _ in self._columns)
        if len(set(self.names)) < len(self.names):
            raise self._refused("head", head.strip()[:60], "a column is named twice")
        check_columns((*self.names, *constants))

    def _opened(self) -> Any:
        return open(self._file, encoding="utf-8-sig", errors="replace", newline="")

    def _refused(self, where: str, given: str, reason: str) -> FileError:
        return FileError(f"{self._file.name} is no path", [Fault(where, given, reason, example=_EXAMPLE)])

    def _column(self, cell: str) -> tuple[str, float]:
        """Return a column's name and what one of its numbers is in trade units."""
        match = _HEAD.fullmatch(cell)
        if match is None or match["name"] not in COLUMNS:
            raise self._refused("head", repr(cell[:40]), f"it names none of the columns {', '.join(COLUMNS)}")
        name, unit = match["name"], match["unit"]
        kind = COLUMNS[name]
        if kind is None:
            if unit:
                raise self._refused("head", cell, "this column has no unit")
            return name, 1.0
        if not unit:
            raise self._refused("head", cell, f"{kind.noun} needs a unit in brackets, {kind.accepted_text()}")
        return name, self._factor(cell, unit, kind)

    def _factor(self, cell: str, unit: str, kind: Kind) -> float:
        try:
            words = unit_words(unit)
        except UnreadableTextError as why:
            raise self._refused("head", cell, str(why)) from None
        registry = registries.application_registry()
        units = registry.text_units(words)
        factor = None if units is None else registry.factor(kind, units)
        if factor is None:
            raise self._refused("head", cell, f"its unit is not that of {kind.noun}")
        return factor

    def chunks(self, size: int) -> Iterator[Chunk]:
        """Yield the columns so many rows at a time."""
        factors = np.array([factor for _, factor in self._columns])
        with self._opened() as text:
            text.readline(_LONGEST)
            for at in itertools.count(0, size):
                lines = list(itertools.islice(_lines(text, self._refused), size))
                if not lines:
                    return
                table = self._table(lines, at) * factors
                yield {name: np.ascontiguousarray(table[:, n]) for n, name in enumerate(self.names)}

    def _table(self, lines: list[str], at: int) -> Any:
        """Numbers of some lines; a cell that is none becomes NaN, which the pass over the points names."""
        try:
            table = np.loadtxt(lines, delimiter=",", ndmin=2, comments=None)
            if table.shape == (len(lines), len(self.names)):
                return table
        except ValueError:
            pass  # looked at line by line
        return np.array([self._row(line, at + n) for n, line in enumerate(lines)])

    def _row(self, line: str, row: int) -> list[float]:
        cells = line.rstrip("\r\n").split(",")
        if len(cells) != len(self.names):
            reason = f"it has {len(cells)} columns, the head names {len(self.names)}"
            raise DataError(f"{self._file.name} is no path", [Fault(f"row {row}", line.strip()[:60], reason)])
        return [self._number(cell, row) for cell in cells]

    def _number(self, cell: str, row: int) -> float:
        word = cell.strip().casefold()
        try:
            return _FLAGS[word] if word in _FLAGS else float(word)
        except ValueError:
            raise DataError(
                f"{self._file.name} is no path", [Fault(f"row {row}", repr(cell[:40]), "it is no number")]
            ) from None


def _lines(text: Any, refused: Any) -> Iterator[str]:
    """Yield the lines that hold something."""
    while line := text.readline(_LONGEST):
        if len(line) == _LONGEST:
            raise refused("file", line[:40], "a line has no end")
        if line.strip():
            yield line
