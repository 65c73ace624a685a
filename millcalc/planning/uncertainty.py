"""`spread(job)`: a plan's settings kept, and how far results may lie apart where its inputs are not known exactly."""

from __future__ import annotations

from typing import Any

import attrs
import numpy as np

from millcalc.planning.comparing import compare
from millcalc.planning.effects import field_kinds, with_unit
from millcalc.planning.finishing import Plan, plan
from millcalc.planning.job import FinishingJob, wanted_finish
from millcalc.planning.ranges import Range, ranges_of
from millcalc.quantities.display import quantity_text
from millcalc.quantities.kinds import Kind
from millcalc.quantities.record import fields_of, number

__all__ = ["RA_FACTOR", "Spread", "SpreadRow", "spread"]

RA_FACTOR = Range(
    1.0, 2.0, "measured Ra is one to two times that of the ideal geometry: runout, material, built-up edge"
)
"""Measured over ideal roughness."""
_SAMPLES = 512
_LOADS = ("cutting_power", "mean_torque", "peak_bending", "tip_deflection", "bending_stress")
_ROUGH = ("ra", "rz")
_SHOWN = ("operation_time", *_ROUGH, "rz_along", "form_budget", "mean_chip_thickness", *_LOADS)


@attrs.frozen
class SpreadRow:
    """One result, in trade units: as planned, and what one case in ten stays below, half, and nine in ten."""

    name: str
    meaning: str
    kind: Kind
    planned: float
    low: float
    middle: float
    high: float

    def __str__(self) -> str:
        shown = [quantity_text(v, self.kind, digits=3) for v in (self.low, self.high, self.planned)]
        return f"{self.meaning}: {shown[0]} to {shown[1]} (planned {shown[2]})"


@attrs.frozen
class Spread:
    """The ranges of a plan's results, and the chances of holding what the drawing wants (None where it wants none)."""

    plan: Plan
    rows: tuple[SpreadRow, ...]
    varied: tuple[str, ...]
    chance_of_finish: float
    chance_of_form: float

    def __getitem__(self, name: str) -> SpreadRow:
        return next(row for row in self.rows if row.name == name)

    def __str__(self) -> str:
        chances = (
            f"chance of the finish {100 * self.chance_of_finish:.0f} %, of the form {100 * self.chance_of_form:.0f} %"
        )
        return "\n".join([*map(str, self.rows), chances])


def spread(job: FinishingJob, samples: int = _SAMPLES) -> Spread:
    """Return the ranges of a plan's results where its settings are kept and its inputs are not known exactly.

    Parameters
    ----------
    job
        A finishing job that can be planned.
    samples
        Number of cases, 16 or more.

    Raises
    ------
    ImpossibleJobError
        The job cannot be cut as it is stated.

    Notes
    -----
    The settings of the plan are fixed; what nobody stated is drawn evenly from its range, each part of every range as
    often (the same draw every time), the inputs independent of each other; loads by the spread of force constants,
    roughness by how measured values exceed ideal ones. Chances are as good as these ranges: common practice, no test.

    Examples
    --------
    >>> from millcalc.planning import example_job, spread
    >>> print(spread(example_job()).chance_of_form)
    1.0
    """
    made = plan(job)
    kept = _as_set(made)
    ranges = {n: row for n, row in ranges_of(job).items() if not row[3].choice}
    kinds = field_kinds()
    names = [n for n in ranges if n in kinds]
    drawn = _drawn(len(names) + 2, samples)
    columns = {n: _stretched(drawn[i], ranges[n], kinds[n]) for i, n in enumerate(names)}
    table = compare(kept, in_step=True, **{n: with_unit(v, kinds[n]) for n, v in columns.items()})
    v: dict[str, Any] = {name: np.array(table.values[name]) for name in _SHOWN}
    force = 1.0 + number_of(made, "force_spread", 0.3) * (2.0 * drawn[-1] - 1.0)
    rough = RA_FACTOR.low + (RA_FACTOR.high - RA_FACTOR.low) * drawn[-2]
    v |= {name: v[name] * force for name in _LOADS} | {name: v[name] * rough for name in _ROUGH}
    v["form_budget"] = _budget(table, force)
    rows = tuple(_row(name, v[name], made) for name in _SHOWN if np.isfinite(v[name]).any())
    form = float(np.mean(v["form_budget"] <= number(job.finish, "form_tolerance")))
    return Spread(made, rows, tuple(names), _finish_chance(made, v, rough), form)


def number_of(made: Plan, name: str, default: float) -> float:
    """Return an assumed number of a plan."""
    given = number(made.job.assumed, name)
    return default if given is None else float(given)


def _budget(table: Any, force: Any) -> Any:
    """Return the form tolerance used [mm] beside a pass; a fixed feed would make too much of the first pass."""
    left = np.nan_to_num(table.values["form_error"]) * force
    return (table.values["chord_error"] + table.values["scallop_height"] + left) / 1000.0


def _as_set(made: Plan) -> FinishingJob:
    """Return the job with the settings of its plan fixed."""
    names = {"spindle_speed": "spindle_speed", "stepover": "equalised_stepover", "point_spacing": "point_spacing"}
    fixed = {field: number(made, name) for field, name in names.items()}
    fixed |= {"feed_per_tooth": number(made, "feed_per_tooth"), "cutting_speed": None, "feed_radial_width": None}
    return made.job.with_(fixed=made.job.fixed._with_kept(fixed))


def _drawn(count: int, samples: int) -> Any:
    """Return numbers from 0 to 1, each part of every column's range as often, in an order of its own."""
    random = np.random.default_rng(20_251)
    return np.stack([(random.permutation(samples) + random.random(samples)) / samples for _ in range(count)])


def _stretched(drawn: Any, row: tuple[float, float, float, Range], kind: Kind) -> Any:
    """Spread a draw over a range whose middle case is the value: half below it, half above."""
    value, low, high, _ = row
    below, above = low + (value - low) * 2.0 * drawn, value + (high - value) * (2.0 * drawn - 1.0)
    found = np.where(drawn < 0.5, below, above) if low < value < high else low + (high - low) * drawn
    return np.round(found) if kind.whole else found


def _row(name: str, values: Any, made: Plan) -> SpreadRow:
    field = fields_of(Plan)[name]
    assert field.kind is not None
    known = values[np.isfinite(values)]
    low, middle, high = (float(x) for x in np.quantile(known, (0.1, 0.5, 0.9)))
    return SpreadRow(name, field.stated.meaning, field.kind, float(number(made, name)), low, middle, high)


def _finish_chance(made: Plan, v: dict[str, Any], rough: Any) -> float:
    """Return the share of cases whose finish is no coarser than wanted."""
    name = wanted_finish(made.job)
    if name == "scallop_height":
        return float(np.mean(number(made, "scallop_height") * rough <= number(made.job.finish, "scallop_height")))
    if name == "grade":
        from millcalc.formulas.finish import ra_from_grade

        return float(np.mean(v["ra"] <= ra_from_grade.bare(number(made.job.finish, "grade"))))
    return float(np.mean(v[name] <= number(made.job.finish, name)))
