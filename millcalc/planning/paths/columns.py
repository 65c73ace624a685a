"""Columns of a path: arrays of any holder, read a stretch at a time as floats in trade units."""

from __future__ import annotations

from typing import Any

import attrs
import numpy as np

from millcalc.errors import ArgumentError, Fault, UnitError
from millcalc.quantities import registries
from millcalc.quantities.kinds import ANGLE, FEED_RATE, LENGTH, Kind

__all__ = ["COLUMNS", "Column", "is_lazy", "read_column"]

COLUMNS: dict[str, Kind | None] = {
    **dict.fromkeys(("x", "y", "z"), LENGTH),
    **dict.fromkeys(("i", "j", "k", "nx", "ny", "nz"), None),
    "normal_depth": LENGTH,
    "lead": ANGLE,
    "tilt": ANGLE,
    "step": LENGTH,
    "feed_rate": FEED_RATE,
    "rapid": None,
}
"""Every column of a path and its kind."""
_KINDS = COLUMNS | {"points": LENGTH, "axis": None, "normal": None}
_UNITS = {"mm": 1.0, "inch": 25.4, "in": 25.4}
_ANGLES = {"deg": 1.0, "rad": 180.0 / np.pi}


@attrs.frozen(eq=False)
class Column:
    """An array of numbers or flags, and what one is in trade units."""

    name: str
    array: Any
    factor: float

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape of the array."""
        return tuple(self.array.shape)

    @property
    def length(self) -> int:
        """How many rows there are."""
        return int(self.shape[0]) if self.shape else 1

    @property
    def lazy(self) -> bool:
        """Whether it is an array of dask."""
        return is_lazy(self.array)

    def column(self, at: int) -> Column:
        """Return one column of three."""
        return Column(self.name, self.array[:, at], self.factor)

    def part(self, rows: Any) -> Any:
        """Return a stretch as floats in trade units; a view where nothing is to be changed."""
        found = self.array[rows]
        if isinstance(found, np.ndarray) and found.dtype == float and self.factor == 1.0:
            return np.asarray(found)
        return np.asarray(found, dtype=float) * self.factor if self.factor != 1.0 else np.asarray(found, dtype=float)


def is_lazy(array: Any) -> bool:
    """Whether an array is one of dask, told without importing it."""
    return hasattr(array, "__dask_graph__")


def read_column(name: str, value: Any, unit: str | None, angle_unit: str | None) -> Column:
    """Return a column with its factor to trade units.

    Raises
    ------
    UnitError
        The numbers have no unit, or one of another kind.
    ArgumentError
        They are no numbers.
    """
    if name not in _KINDS:
        raise ArgumentError("no path can be made", [Fault(name, "", "there is no such column", ", ".join(COLUMNS))])
    kind, factor, array = _KINDS[name], 1.0, value
    if registries.is_quantity(value):
        array, found = value._magnitude, None
        if kind is not None:
            found = registries.registry_of(value._REGISTRY).factor(kind, value._units)
        if found is None:
            wanted = kind.accepted_text() if kind else "numbers without a unit"
            raise UnitError("no path can be made", [Fault(name, f"numbers in {value.units}", "the unit fails", wanted)])
        factor = found
    elif kind is not None:
        factor = _plain_factor(name, kind, unit, angle_unit)
    if not is_lazy(array):
        try:
            array = np.asanyarray(array)
        except ValueError:
            array = np.asarray(array, dtype=object)
        if array.dtype.kind not in "iufb":
            raise ArgumentError("no path can be made", [Fault(name, f"{array.dtype} array", "it holds no numbers")])
    return Column(name, array, factor)


def _plain_factor(name: str, kind: Kind, unit: str | None, angle_unit: str | None) -> float:
    word, table, given = ("angle_unit", _ANGLES, angle_unit) if kind is ANGLE else ("unit", _UNITS, unit)
    if given in table:
        return table[given]
    choice = " or ".join(f'"{u}"' for u in list(table)[:2])
    accepted = f"a quantity, or plain numbers with {word} = {choice}"
    shown, reason = ("plain numbers", "they need a unit") if given is None else (repr(given), "it is no such unit")
    fault = Fault(name, shown, reason, accepted, f"{word}={choice.split()[0]}")
    raise UnitError("no path can be made", [fault])
