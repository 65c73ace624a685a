"""Least and greatest of values, and where they are."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

import attrs
import numpy as np

from millcalc.planning.paths.pointwise import SPEED

__all__ = ["Extreme", "extremes_of"]

_OF_MOVES = ("feed_rate", "block_time")


@attrs.frozen
class Extreme:
    """Least and greatest of a value, and the rows where they are; a value that is the same everywhere has row 0."""

    least: float
    least_row: int
    greatest: float
    greatest_row: int

    def wider(self, other: Extreme) -> Extreme:
        """Return the extremes of both, the rows of this where they are alike."""
        low = other if other.least < self.least else self
        high = other if other.greatest > self.greatest else self
        return Extreme(low.least, low.least_row, high.greatest, high.greatest_row)


def extremes_of(values: Mapping[str, Any], names: Collection[str], first: bool) -> dict[str, Extreme]:
    """Return the extremes of a block's values; the rows are its points.

    Those of the speeds follow from the diameters where the spindle's is fixed. No move leads to the `first` point.
    """
    found: dict[str, Extreme] = {}
    fixed = not isinstance(values.get("spindle_speed"), np.ndarray)
    for name in names:
        value = values.get(name)
        if value is None:
            continue
        which = name.removesuffix("_speed")
        of_diameter = found.get(f"{which}_diameter") if fixed and which != name else None
        if of_diameter is not None:
            factor = SPEED * float(values["spindle_speed"])
            low, low_at, high, high_at = attrs.astuple(of_diameter)
            told: Extreme | None = Extreme(low * factor, low_at, high * factor, high_at)
        else:
            told = _ends(value, int(first and name in _OF_MOVES))
        if told is not None:
            found[name] = told
    return found


def _ends(value: Any, skipped: int) -> Extreme | None:
    """Extremes of a value, or None where nothing is known of it."""
    if not isinstance(value, np.ndarray):
        return Extreme(float(value), 0, float(value), 0)
    told = value[skipped:]
    if not len(told):
        return None
    low, high = int(told.argmin()), int(told.argmax())
    if np.isnan(told[low]):
        if np.isnan(told).all():
            return None
        low, high = int(np.nanargmin(told)), int(np.nanargmax(told))
    return Extreme(float(told[low]), low + skipped, float(told[high]), high + skipped)
