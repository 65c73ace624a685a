"""Which fields of a job a comparison varies, how their values are read, and which rows are computed together."""

from collections.abc import Mapping, Sequence
from typing import Any

import attrs
import numpy as np

from millcalc.errors import Fault, JobError, nearest
from millcalc.planning.job import FINISHES, TABLES, FinishingJob
from millcalc.quantities import registries
from millcalc.quantities.convert import RefusedError, read_value
from millcalc.quantities.record import Field, fields_of

__all__ = ["Varied", "alike", "places_of", "taken", "varied_fields", "with_fields"]

_SHOWN = 3  # faults of one field that an error lists


@attrs.frozen
class Varied:
    """A field that is varied: where it stands, how it is read, its values as they are kept."""

    table: str
    field: Field
    values: Sequence[Any]

    @property
    def shapes(self) -> bool:
        """Whether another value makes another calculation, not only another number."""
        return self.field.kind is None


def varied_fields(job: FinishingJob, given: Mapping[str, Any]) -> dict[str, Varied]:
    """Find each field and read its values; every fault in one error."""
    found, faults = {}, []
    known = _fields(job)
    for name, values in given.items():
        if name not in known:
            faults.append(Fault(name, "", f"a job has no such field{nearest(name, known)}"))
            continue
        table, field = known[name]
        try:
            found[name] = Varied(table, field, _read_all(field, values))
            if not len(found[name].values):
                faults.append(Fault(name, "", "no values are given"))
        except _RefusedValuesError as refused:
            faults += refused.faults
    if faults:
        raise JobError("the comparison cannot be made", faults)
    return found


class _RefusedValuesError(Exception):
    """Values of a field cannot be read; never leaves the module."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = faults


def _read_all(field: Field, values: Any) -> Any:
    """Read the values of a field: an array at once, a list one by one."""
    array = registries.is_quantity(values) or isinstance(values, np.ndarray)
    if array and field.parameter is not None:
        try:
            read = np.atleast_1d(read_value(values, field.parameter))
            if read.ndim > 1:
                raise field.parameter.refuse(values, f"an array of {read.ndim} dimensions; values come in a row")
            return read
        except RefusedError as refused:
            raise _RefusedValuesError([refused.fault]) from None
    kept, faults = [], []
    for index, value in enumerate(_listed(values)):
        try:
            kept.append(field.read(value))
        except RefusedError as refused:
            faults.append(attrs.evolve(refused.fault, where=f"{field.name}[{index}]"))
    if len(faults) > _SHOWN:
        more = Fault(field.name, "", f"{len(faults) - _SHOWN} more of {len(kept) + len(faults)} values cannot be used")
        faults = [*faults[:_SHOWN], more]
    if faults:
        raise _RefusedValuesError(faults)
    return kept


def _fields(job: FinishingJob) -> dict[str, tuple[str, Field]]:
    found = {n: (t, f) for t in TABLES for n, f in fields_of(getattr(job, t)).items()}
    return found | {n: ("", f) for n, f in fields_of(job).items() if n in ("material", "settings")}


def _listed(values: Any) -> Any:
    """Return the values one by one; a single value is a list of one."""
    return values if isinstance(values, (list, tuple, range, np.ndarray)) else [values]


def places_of(varied: Mapping[str, Varied], in_step: bool) -> dict[str, Any]:
    """Return for each field which of its values each row takes."""
    lengths = {n: len(v.values) for n, v in varied.items()}
    if in_step:
        if len(set(lengths.values())) > 1:
            said = ", ".join(f"{n} {c}" for n, c in lengths.items())
            raise JobError("the comparison cannot be made", (Fault("in step", said, "the lists differ in length"),))
        return {n: np.arange(c) for n, c in lengths.items()}
    if not lengths:
        return {}
    grid = np.indices(tuple(lengths.values())).reshape(len(lengths), -1)
    return dict(zip(lengths, grid, strict=True))


def _has_none(values: Sequence[Any]) -> bool:
    return not isinstance(values, np.ndarray) and any(v is None for v in values)


def taken(values: Sequence[Any], places: Any) -> Any:
    if isinstance(values, np.ndarray) or all(isinstance(v, float) for v in values):
        return np.asarray(values, dtype=float)[places]
    return [values[i] for i in places]


def alike(varied: Mapping[str, Varied], places: Mapping[str, Any], count: int) -> list[tuple[Any, dict[str, Any]]]:
    """Group the rows that differ in numbers only."""
    shaping = [n for n, v in varied.items() if v.shapes or _has_none(v.values)]
    if not shaping:
        return [(np.arange(count), {})] if count else []
    stacked = np.stack([_first_equal(varied[n].values)[places[n]] for n in shaping])
    combinations, group = np.unique(stacked, axis=1, return_inverse=True)
    parts = []
    for index, combination in enumerate(combinations.T):
        rows = np.flatnonzero(group.reshape(-1) == index)
        parts.append((rows, {n: varied[n].values[i] for n, i in zip(shaping, combination, strict=True)}))
    return parts


def with_fields(job: FinishingJob, fields: Mapping[str, tuple[Varied, Any]]) -> FinishingJob:
    """Return the job with fields replaced by values as they are kept."""
    tables: dict[str, dict[str, Any]] = {}
    for name, (varied, value) in fields.items():
        tables.setdefault(varied.table, {})[name] = value
    changes: dict[str, Any] = dict(tables.pop("", {}))
    for table, changed in tables.items():
        part = getattr(job, table)
        if table == "finish" and any(n in changed for n in FINISHES):
            changed = dict.fromkeys(FINISHES) | changed
        changes[table] = part._with_kept(changed)
    return job.with_(**changes)


def _first_equal(values: Sequence[Any]) -> Any:
    """Return for each value the place of the first that equals it."""
    first: dict[Any, int] = {}
    hashable = [tuple(v) if isinstance(v, list) else v for v in values]
    return np.array([first.setdefault(value, place) for place, value in enumerate(hashable)])
