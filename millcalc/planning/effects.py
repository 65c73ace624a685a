"""`sensitivity(job)`: how far each assumed value moves time, scallop and load over its range, from one array pass."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import attrs
import numpy as np

from millcalc.planning.comparing import compare
from millcalc.planning.finishing import plan
from millcalc.planning.job import FinishingJob
from millcalc.planning.ranges import ranges_of
from millcalc.quantities import registries
from millcalc.quantities.display import quantity_text
from millcalc.quantities.kinds import Kind
from millcalc.quantities.record import fields_of

if TYPE_CHECKING:
    from millcalc.planning.inputs import AnyJob

__all__ = ["RESULTS", "Effect", "Sensitivity", "field_kinds", "sensitivity", "with_unit"]

RESULTS = ("operation_time", "scallop_height", "ra", "rz_along", "peak_bending", "tip_deflection")
"""The results looked at; loads are left out where the job has none."""
_STEP = 0.05  # of the range, for the slopes: more than what rounding to set values hides


@attrs.frozen
class Effect:
    """What one input does: its value and range in trade units, and each result at both ends and its slope.

    `ends` holds result at the low and at the high end; `slopes` the change of a result by a change of the input, at its
    value; a result that does not exist at an end is NaN.
    """

    name: str
    kind: Kind
    value: float
    low: float
    high: float
    meaning: str
    ends: dict[str, tuple[float, float]]
    slopes: dict[str, float]
    base: dict[str, float]

    def swing(self, result: str = "operation_time") -> float:
        """Return how far a result moves over the range, as a share of its value."""
        ends = [e for e in (*self.ends[result], self.base[result]) if np.isfinite(e)]
        base = self.base[result]
        return (max(ends) - min(ends)) / base if ends and base else 0.0

    def __str__(self) -> str:
        shown = [quantity_text(v, self.kind, digits=3) for v in (self.value, self.low, self.high)]
        swing = f"the time moves by {100.0 * self.swing():.0f} %"
        return f"{self.name} = {shown[0]}, from {shown[1]} to {shown[2]}: {swing}"


@attrs.frozen
class Sensitivity:
    """The effects of all assumed inputs of a job, that which moves the time most first."""

    job: AnyJob
    effects: tuple[Effect, ...]
    results: tuple[str, ...]

    def most(self, count: int = 3, result: str = "operation_time") -> tuple[Effect, ...]:
        """Return the effects that move a result most, without those that do not move it."""
        ranked = sorted(self.effects, key=lambda e: -e.swing(result))
        return tuple(e for e in ranked[:count] if e.swing(result) > 0.0)


def sensitivity(job: AnyJob) -> Sensitivity:
    """Return how far each assumed value of a job moves its results.

    Parameters
    ----------
    job
        A finishing or roughing job that can be planned.

    Raises
    ------
    ImpossibleJobError
        The job cannot be cut as it is stated.

    Notes
    -----
    One pass over an array: the job, both ends of each range, and a small step to either side of each value for the
    slope. Ranges are those of `RANGES`, each with its source.

    Examples
    --------
    >>> from millcalc.planning import example_job, sensitivity
    >>> [effect.name for effect in sensitivity(example_job()).most(3)]
    ['time_factor', 'feed_factor', 'speed_position']
    """
    ranges, fields = ranges_of(job), field_kinds(type(job))
    known = {name: row for name, row in ranges.items() if name in fields}
    columns = _columns(known, fields)
    values = _values(job, columns, fields)
    results = tuple(r for r in RESULTS if r in values and np.isfinite(values[r][0]))
    base = {r: float(values[r][0]) for r in results}
    effects = []
    for place, (name, (value, low, high, about)) in enumerate(known.items()):
        rows = {r: values[r][1 + 4 * place : 5 + 4 * place] for r in results}
        below, above = columns[name][3 + 4 * place : 5 + 4 * place]
        ends = {r: (float(v[0]), float(v[1])) for r, v in rows.items()}
        slopes = {r: float((v[3] - v[2]) / (above - below)) for r, v in rows.items()}
        kind = fields[name]
        effects.append(Effect(name, kind, value, low, high, about.meaning, ends, slopes, base))
    return Sensitivity(job, tuple(sorted(effects, key=lambda e: -e.swing())), results)


def _columns(known: dict[str, Any], kinds: dict[str, Kind]) -> dict[str, Any]:
    """Return for each input its value in each row: the job, then for each input low, high, and a step down and up."""
    count = 1 + 4 * len(known)
    columns = {name: np.full(count, row[0]) for name, row in known.items()}
    for place, (name, (value, low, high, _)) in enumerate(known.items()):
        step = 1.0 if kinds[name].whole else _STEP * (high - low)
        # at an end of the domain the slope is taken to one side
        down, up = max(value - step, low), min(value + step, high)
        columns[name][1 + 4 * place : 5 + 4 * place] = (low, high, down, up)
    if "scallop_share" in columns and "feed_mark_share" not in columns:
        # half of what the scallop leaves goes to feed marks, as long as nobody states it
        columns["feed_mark_share"] = 0.5 * (1.0 - columns["scallop_share"])
    return columns


def _values(job: AnyJob, columns: dict[str, Any], fields: dict[str, Kind]) -> dict[str, Any]:
    """Return the results of each row; what makes the job itself impossible is raised."""
    if isinstance(job, FinishingJob):
        table = compare(
            job, in_step=True, **{name: with_unit(column, fields[name]) for name, column in columns.items()}
        )
        if table.reasons(0):
            table.plan(0)
        return {name: table.values[name] for name in RESULTS}
    from millcalc.planning.roughing.inputs import roughing_inputs
    from millcalc.planning.roughing.kernel import run

    inputs = roughing_inputs(job)
    count = len(next(iter(columns.values())))
    done = run(inputs.choices, inputs.numbers | columns)
    failed = np.logical_or.reduce([np.broadcast_to(where, count) for where in done.faults.values()])
    if failed[0]:
        plan(job)
    rows = {name: np.broadcast_to(done.values[name], count) for name in RESULTS if name in done.values}
    return {name: np.where(failed, np.nan, row) for name, row in rows.items()}


def field_kinds(job: type[AnyJob] = FinishingJob) -> dict[str, Kind]:
    """Return the kind of every field of a job by name."""
    found = {}
    for part in fields_of(job).values():
        for name, field in fields_of(part.annotation).items() if part.is_record else ():
            if field.kind is not None:
                found[name] = field.kind
    return found


def with_unit(values: Any, kind: Kind) -> Any:
    """Return values in trade units as a quantity, where their kind has a unit."""
    return values if kind.bare else registries.application_registry().quantity(values, kind)
