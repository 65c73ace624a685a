"""What evaluating a path gives: values at each point, sums, extremes and where, and what governed."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from millcalc.errors import UnknownNameError, nearest
from millcalc.planning.paths.extremes import Extreme
from millcalc.planning.paths.passes_over import VALUES
from millcalc.planning.paths.pointwise import CAUSES
from millcalc.planning.paths.rows import Skipped
from millcalc.planning.paths.settings import Settings
from millcalc.planning.paths.totals import Totals
from millcalc.quantities import registries
from millcalc.quantities.display import quantity_text
from millcalc.quantities.kinds import (
    ANGLE,
    BLOCK_TIME,
    CHIP_THICKNESS,
    CUTTING_SPEED,
    FEED_PER_TOOTH,
    FEED_RATE,
    LENGTH,
    POWER,
    REMOVAL_RATE,
    SCALLOP_HEIGHT,
    SPINDLE_SPEED,
    TIME,
    Kind,
)

__all__ = ["KIND_OF_VALUE", "PathResult"]

KIND_OF_VALUE: dict[str, Kind | None] = {
    "step": LENGTH,
    "lead": ANGLE,
    "tilt": ANGLE,
    "least_diameter": LENGTH,
    "contact_diameter": LENGTH,
    "largest_diameter": LENGTH,
    "spindle_speed": SPINDLE_SPEED,
    "least_speed": CUTTING_SPEED,
    "contact_speed": CUTTING_SPEED,
    "largest_speed": CUTTING_SPEED,
    "feed_per_tooth": FEED_PER_TOOTH,
    "feed_rate": FEED_RATE,
    "mean_feed_rate": FEED_RATE,
    "chip_thickness": CHIP_THICKNESS,
    "block_time": BLOCK_TIME,
    "removal_rate": REMOVAL_RATE,
    "power": POWER,
    "scallop_height": SCALLOP_HEIGHT,
    "cause": None,
}
"""The kind of each value; causes are numbers into `CAUSES`."""


class PathResult:
    """A path evaluated.

    `result["feed_rate"]` is the array in trade units, the move to each point belonging to that point;
    `result.quantity("feed_rate")` the same as a quantity. Where nothing is cut (rapids, moves along the normal) what
    tells of the cut is NaN.
    """

    def __init__(self, values: Mapping[str, Any], totals: Totals, s: Settings, skipped: Skipped | None) -> None:
        self._values = dict(values)
        self._totals = totals
        self.assumed = s.assumed
        self.least_cutting_speed = s.least_speed
        self.rotary_axes_free = s.turning and s.rotary_rate is None and s.rotary_distance is None
        """Whether the tool axis turns along the path and nothing is known of the rotary axes: the time is too short."""
        self.skipped = () if skipped is None else tuple(skipped.rows)
        """Rows that were left out."""
        self.skipped_reasons: dict[str, int] = {} if skipped is None else dict(skipped.reasons)

    def __getitem__(self, name: str) -> Any:
        value = self._values.get(name)
        if value is None:
            raise UnknownNameError(f"no value {name!r} was kept{nearest(name, VALUES)}")
        return value

    def __contains__(self, name: object) -> bool:
        return name in self._values

    def keys(self) -> tuple[str, ...]:
        """Return the names of the values kept."""
        return tuple(self._values)

    def quantity(self, name: str) -> Any:
        """Return a value as a quantity of pint's application registry."""
        kind = KIND_OF_VALUE.get(name)
        value = self[name]
        return value if kind is None else registries.application_registry().quantity(value, kind)

    @property
    def points(self) -> int:
        """How many points were evaluated."""
        return self._totals.points

    @property
    def time(self) -> Any:
        """Time of the path, a lower bound: the jerk is not limited."""
        return registries.application_registry().quantity(self._totals.time / 60.0, TIME)

    @property
    def length(self) -> Any:
        """Length of the path of the programmed point."""
        return registries.application_registry().quantity(self._totals.length, LENGTH)

    @property
    def extremes(self) -> dict[str, Extreme]:
        """Least and greatest of each value in trade units, and the rows where they are."""
        return dict(self._totals.extremes)

    @property
    def governed(self) -> dict[str, tuple[int, float]]:
        """How many moves each cause governed, and its share of the time."""
        total = self._totals.time or math.nan
        pairs = zip(CAUSES, self._totals.moves.tolist(), self._totals.times.tolist(), strict=True)
        return {cause: (count, time / total) for cause, count, time in pairs if count}

    @property
    def slow_points(self) -> int:
        """How many points have an edge slower than the least cutting speed."""
        return self._totals.slow

    @property
    def first_slow_row(self) -> int | None:
        """The first of them."""
        return self._totals.first_slow

    @property
    def slow_time(self) -> Any:
        """Time of the moves to them."""
        return registries.application_registry().quantity(self._totals.slow_time / 60.0, TIME)

    @property
    def without_cut(self) -> int:
        """How many points cut nothing: rapids, and moves along the normal, which have no lead."""
        return self._totals.empty

    def as_numbers(self) -> dict[str, Any]:
        """Return sums, extremes and causes as numbers in metric trade units, for JSON."""
        extremes = {
            name: {"least": e.least, "least_row": e.least_row, "greatest": e.greatest, "greatest_row": e.greatest_row}
            for name, e in self.extremes.items()
        }
        return {
            "points": self.points,
            "length": self._totals.length,
            "time": self._totals.time / 60.0,
            "extremes": extremes,
            "governed": {c: {"moves": n, "time_share": share} for c, (n, share) in self.governed.items()},
            "slow_points": self.slow_points,
            "first_slow_row": self.first_slow_row,
            "slow_time": self._totals.slow_time / 60.0,
            "without_cut": self.without_cut,
            "skipped": list(self.skipped),
            "assumed": {row.name: row.value for row in self.assumed},
            "rotary_axes_free": self.rotary_axes_free,
        }

    def __str__(self) -> str:
        lines = [
            f"points          {self.points}" + (f", skipped {len(self.skipped)}" if self.skipped else ""),
            f"length          {quantity_text(self._totals.length, LENGTH)}",
            f"time            {quantity_text(self._totals.time / 60.0, TIME)} (a lower bound: jerk is not limited)",
        ]
        if self.without_cut:
            lines.append(f"without cut     {self.without_cut} points: rapids, and moves along the normal")
        lines += ["", *self._extreme_lines(), "", "governed by                        moves   share of time"]
        lines += [f"  {cause:<30} {count:>8}   {100 * share:.1f} %" for cause, (count, share) in self.governed.items()]
        lines += self._remarks()
        return "\n".join(lines)

    def _extreme_lines(self) -> list[str]:
        lines = [f"{'':<18}{'least':>18}{'row':>10}{'greatest':>20}{'row':>10}"]
        for name, e in self.extremes.items():
            kind = KIND_OF_VALUE[name]
            assert kind is not None
            low, high = (quantity_text(v, kind, digits=5) for v in (e.least, e.greatest))
            lines.append(f"{name.replace('_', ' '):<18}{low:>18}{e.least_row:>10}{high:>20}{e.greatest_row:>10}")
        return lines

    def _remarks(self) -> list[str]:
        lines = []
        if self.least_cutting_speed is not None:
            limit = quantity_text(self.least_cutting_speed, CUTTING_SPEED)
            where = f", the first in row {self.first_slow_row}" if self.slow_points else ""
            lines.append(f"slowest edge below {limit}: {self.slow_points} points{where}")
        lines += [f"skipped: {count} rows, {reason}" for reason, count in self.skipped_reasons.items()]
        lines += [f"assumed: {row}" for row in self.assumed]
        if self.rotary_axes_free:
            lines.append(
                "not limited: the rotary axes, of which the machine states no rotary_rate; the time is too short"
            )
        return ["", *lines] if lines else []

    def cause_words(self) -> Any:
        """Return what governed the move to each point, in words."""
        return np.asarray(CAUSES, dtype=object)[self["cause"]]
