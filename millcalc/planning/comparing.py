"""`compare(job, stepover=[...])`: many variants in one pass through the kernel of which `plan` is the case of one."""

from collections.abc import Mapping, Sequence
from typing import Any

import attrs
import numpy as np

from millcalc.cutters import BallEndMill, Cutter
from millcalc.cutters.shape import SideBySide
from millcalc.errors import Fault, JobError, nearest
from millcalc.planning.calculation import Calculation
from millcalc.planning.cautions import CAUTIONS, RANKS, Caution, caution_text
from millcalc.planning.faults import FAULTS, fault_of
from millcalc.planning.finishing import CAUSES, Plan, plan
from millcalc.planning.inputs import Inputs, chart_arrays, followed, inputs_of
from millcalc.planning.job import FinishingJob, both_ends
from millcalc.planning.kernel import run
from millcalc.planning.varying import Varied, alike, places_of, taken, varied_fields, with_fields
from millcalc.quantities import registries
from millcalc.quantities.display import quantity_text
from millcalc.quantities.record import fields_of, given_fields, number

__all__ = ["MULTIPLES", "Comparison", "compare"]

CHUNK = 4096  # variants; the kernel's arrays of this length stay in the cache of one core
MULTIPLES = ("scallop_height", "operation_time", "points", "program_size")
"""What each row is also given of, as a multiple of the base row."""

_SHOWN = {name for stated in CAUTIONS.values() for name, _ in stated.shows}
"""The numbers that cautions show."""
_NUMBERS = {name: field for name, field in fields_of(Plan).items() if field.kind}


@attrs.frozen(eq=False)
class Comparison:
    """A table of plans, computed as arrays.

    Attributes
    ----------
    job
        The job that was varied.
    settings
        For each varied field, its value in each row, as it is kept (floats in trade units, or words).
    values
        For each number of a plan, its value in each row, in trade units; NaN in an impossible row.
    causes
        For each chosen number, the index into `CAUSES` of what governs it.
    faults, cautions
        For each name, whether it applies in each row.
    base
        The row that multiples refer to.
    before
        Whether row 0 is the operation before.
    """

    job: FinishingJob
    settings: Mapping[str, Sequence[Any]]
    values: Mapping[str, Any]
    causes: Mapping[str, Any]
    faults: Mapping[str, Any]
    cautions: Mapping[str, Any]
    base: int
    before: bool
    _varied: Mapping[str, Varied]
    _shown: Mapping[str, Any]

    def __len__(self) -> int:
        return len(self.values["operation_time"])

    def __getitem__(self, name: str) -> Any:
        """Return a number of all rows, as a quantity where it has a unit."""
        if name not in _NUMBERS:
            fault = Fault(name, "", f"a plan has no such number{nearest(name, _NUMBERS)}")
            raise JobError("nothing to show", (fault,))
        kind = _NUMBERS[name].kind
        assert kind is not None
        value = self.values[name]
        return value if kind.bare else registries.application_registry().quantity(value, kind)

    def possible(self) -> Any:
        """Return for each row whether it can be cut."""
        return ~np.logical_or.reduce(list(self.faults.values()))

    def reasons(self, row: int) -> tuple[Fault, ...]:
        """Return why a row is impossible, and what would make it possible."""
        row = self._row(row)
        return tuple(fault_of(name, {}) for name, where in self.faults.items() if where[row])

    def cautions_of(self, row: int) -> tuple[Caution, ...]:
        """Return the cautions of a row, worst first, without those of its material; none of an impossible row."""
        row = self._row(row)
        if self.reasons(row):
            return ()
        values = {n: float(v[row]) for n, v in (*self.values.items(), *self._shown.items())}
        found = [caution_text(n, values) for n, where in self.cautions.items() if where[row]]
        return tuple(sorted(found, key=lambda c: RANKS.index(c.rank)))

    def governed_by(self, name: str) -> list[str]:
        """Return what governs a chosen number in each row; an empty text in an impossible row."""
        if name not in CAUSES:
            return [""] * len(self)
        words = CAUSES[name]
        return [words[int(i)] if ok else "" for i, ok in zip(self.causes[name], self.possible(), strict=True)]

    def multiples(self, base: int | None = None) -> dict[str, Any]:
        """Return scallop, time, points and program size of each row as multiples of the base row's."""
        row = self._row(self.base if base is None else base)
        return {name: self.values[name] / self.values[name][row] for name in MULTIPLES}

    def row_job(self, row: int) -> FinishingJob:
        """Return the job of one row."""
        row = self._row(row)
        if self.before and row == 0:
            return _job_before(self.job)
        return with_fields(self.job, {n: (v, self.settings[n][row]) for n, v in self._varied.items()})

    def plan(self, row: int) -> Plan:
        """Return the plan of one row.

        Raises
        ------
        ImpossibleJobError
            The row cannot be cut.
        """
        return plan(self.row_job(row))

    def label(self, row: int) -> list[str]:
        """Return the varied values of a row in words."""
        return [_text(self._varied[n], values[row]) for n, values in self.settings.items()]

    def as_rows(self) -> list[dict[str, Any]]:
        """Return each row as plain values: the varied fields, the numbers in trade units, faults and cautions."""
        multiples = self.multiples()
        rows = []
        for row in range(len(self)):
            rows.append(
                {n: _plain(v[row]) for n, v in self.settings.items()}
                | {"numbers": {n: float(v[row]) for n, v in self.values.items()}}
                | {"multiples": {n: float(v[row]) for n, v in multiples.items()}}
                | {"faults": [str(f) for f in self.reasons(row)]}
                | {"cautions": [n for n, where in self.cautions.items() if where[row]]}
            )
        return rows

    def _row(self, row: int) -> int:
        if not isinstance(row, (int, np.integer)) or not -len(self) <= row < len(self):
            fault = Fault("row", repr(row), "there is no such row", f"0 to {len(self) - 1}")
            raise JobError("the row cannot be shown", (fault,))
        return row % len(self)


def compare(
    job: FinishingJob, *, in_step: bool = False, base: int = 0, before: bool = False, **fields: Any
) -> Comparison:
    """Return the plans of many variants of a job as a table.

    Parameters
    ----------
    job
        The finishing job.
    in_step
        Take the values of several fields together, row by row; otherwise each with each.
    base
        Row that the multiples refer to.
    before
        Put the operation before as row 0, as far as the job states its ball and stepover.
    fields
        Lists of values by the name of any field of the job, for example ``stepover=["0.1 mm", "0.2 mm"]``.

    Raises
    ------
    JobError
        An unknown field, values that cannot be read, lists of unlike length in step.

    Examples
    --------
    >>> from millcalc.planning import example_job
    >>> table = compare(example_job(), stepover=["0.1 mm", "0.2 mm"])
    >>> [float(round(h, 3)) for h in table["scallop_height"].magnitude]
    [0.417, 1.667]
    """
    varied = varied_fields(job, fields)
    places = places_of(varied, in_step)
    count = len(next(iter(places.values()))) if places else 1
    settings = {n: taken(v.values, places[n]) for n, v in varied.items()}
    gathered = _Gathered(count)
    for rows, part in alike(varied, places, count):
        _run_alike(job, varied, settings, rows, part, gathered)
    if before:
        earlier = _job_before(job)
        gathered.put_before(earlier)
        settings = {n: [_kept_in(earlier, varied[n]), *v] for n, v in settings.items()}
    values, causes, found, noted, shown = gathered.parts()
    made = Comparison(job, settings, values, causes, found, noted, base, before, varied=varied, shown=shown)
    made._row(base)
    return made


class _Gathered:
    """Arrays of all rows, filled part by part."""

    def __init__(self, count: int) -> None:
        self.values = {n: np.full(count, np.nan) for n in _NUMBERS}
        self.causes = {n: np.zeros(count, dtype=int) for n in CAUSES}
        self.faults = {n: np.zeros(count, dtype=bool) for n in FAULTS}
        self.cautions = {n: np.zeros(count, dtype=bool) for n in CAUTIONS}
        self.shown = {n: np.full(count, np.nan) for n in _SHOWN - set(_NUMBERS)}

    def put(self, rows: Any, numbers: Mapping[str, Any], done: Calculation) -> None:
        """Fill some rows from a run of the kernel and the numbers it was given."""
        for kept, found in (
            (self.values, done.values),
            (self.shown, {**numbers, **done.values}),
            (self.causes, done.causes),
            (self.faults, done.faults),
            (self.cautions, done.cautions),
        ):
            for name, whole in kept.items():
                if found.get(name) is not None:
                    whole[rows] = found[name]

    def put_before(self, job: FinishingJob) -> None:
        """Put the operation before as the first row."""
        inputs = inputs_of(job)
        first = _Gathered(1)
        first.put(slice(0, 1), inputs.numbers, run(inputs.choices, inputs.numbers))
        for kept, one in zip(self._all(), first._all(), strict=True):
            for name in kept:
                kept[name] = np.concatenate([one[name], kept[name]])

    def _all(self) -> tuple[dict[str, Any], ...]:
        return self.values, self.causes, self.faults, self.cautions, self.shown

    def parts(self) -> tuple[dict[str, Any], ...]:
        """Return values, causes, faults, cautions and what they show, an impossible row as NaN."""
        impossible = np.logical_or.reduce(list(self.faults.values()))
        if impossible.any():
            for whole in self.values.values():
                whole[impossible] = np.nan
        return self._all()


def _run_alike(
    job: FinishingJob,
    varied: Mapping[str, Varied],
    settings: Mapping[str, Sequence[Any]],
    rows: Any,
    shaping: Mapping[str, Any],
    gathered: _Gathered,
) -> None:
    """Run the kernel over rows that differ in numbers only."""
    first = {n: (v, shaping.get(n, settings[n][rows[0]])) for n, v in varied.items()}
    inputs = inputs_of(with_fields(job, first))
    for start in range(0, len(rows), CHUNK):
        some = rows[start : start + CHUNK]
        numbers = {n: np.asarray(settings[n])[some] for n in varied if n not in shaping}
        numbers = inputs.numbers | _following(job, inputs, numbers)
        gathered.put(some, numbers, run(inputs.choices, numbers))


def _following(job: FinishingJob, inputs: Inputs, numbers: dict[str, Any]) -> dict[str, Any]:
    """Add the numbers that follow from those varied: the chart from the diameter, one slope from the other."""
    ends = ("slope_from", "slope_to")
    if not numbers.keys().isdisjoint(ends):
        stated = (numbers.get(name, number(job.surface, name)) for name in ends)
        numbers |= dict(zip(ends, both_ends(*stated), strict=True))
    if not numbers.keys().isdisjoint(_of_shape(job.cutter)):
        numbers["shape"] = _side_by_side(job.cutter, {n: numbers[n] for n in _of_shape(job.cutter) if n in numbers})
    if "diameter" in numbers:
        numbers |= chart_arrays(inputs.material, numbers["diameter"], inputs.substrate)
    if "diameter" in numbers or "scallop_share" in numbers:
        assumed = {a.name for a in inputs.assumed} - set(numbers)
        rows = followed(inputs.numbers | numbers)
        numbers |= {name: row.value for name, row in rows.items() if name in assumed}
    return numbers


def _of_shape(cutter: Cutter) -> set[str]:
    """Return the numbers that change a cutter's shape; a ball's is its diameter, which the kernel takes as it is."""
    if isinstance(cutter, BallEndMill):
        return set()
    return (fields_of(cutter).keys() - fields_of(Cutter).keys()) | {"overhang", "flute_length"}


def _side_by_side(cutter: Cutter, varied: Mapping[str, Any]) -> SideBySide:
    """Put the cutters of all rows side by side; one that is asked for again is made once."""
    made: dict[tuple[float, ...], Cutter] = {}
    rows = []
    for values in zip(*varied.values(), strict=True):
        key = tuple(map(float, values))
        if key not in made:
            made[key] = cutter._with_kept(dict(zip(varied, key, strict=True)))
        rows.append(made[key])
    return SideBySide(rows)


def _job_before(job: FinishingJob) -> FinishingJob:
    """Return the operation before as a job of its own: its ball, its stepover, the same machine and pattern."""
    inputs = inputs_of(job)
    if not inputs.choices.previous:
        reason = "the operation before needs its ball's diameter and its stepover or step down"
        raise JobError("the operation before cannot be a row", (Fault("before", "", reason),))
    done = run(inputs.choices, inputs.numbers)
    spacing = float(np.ravel(done.values["previous_spacing"])[0])
    no_ball = dict.fromkeys(("previous_diameter", "previous_stepover", "previous_step_down"))
    return job.with_(
        cutter=_ball_before(job),
        fixed=type(job.fixed)()._with_kept({"stepover": spacing}),
        before=job.before._with_kept(no_ball),
        passes=job.passes.with_(spacing="along the surface"),
        operation="the operation before",
    )


def _ball_before(job: FinishingJob) -> BallEndMill:
    """Return the ball of the operation before, with the teeth and the tool material of this one."""
    ball = {"diameter": number(job.before, "previous_diameter")}
    if isinstance(job.cutter, BallEndMill):
        return job.cutter._with_kept(ball)
    same = given_fields(job.cutter) & {"teeth", "substrate", "edge_radius", "eccentricity", "overhang"}
    made = BallEndMill(teeth=job.cutter.teeth, diameter="1 mm")
    return made._with_kept(ball | {name: number(job.cutter, name) for name in same})


def _kept_in(job: FinishingJob, varied: Varied) -> Any:
    """Return the value of a varied field in a job, as it is kept."""
    return number(getattr(job, varied.table) if varied.table else job, varied.field.name)


def _text(varied: Varied, value: Any) -> str:
    if value is None:
        return "-"
    if varied.field.kind is None:
        return str(getattr(value, "designation", value))
    return quantity_text(float(value), varied.field.kind)


def _plain(value: Any) -> Any:
    """Return a varied value as it is kept, as a plain number or word."""
    if isinstance(value, np.generic):
        return value.item()
    return value if value is None or isinstance(value, (str, float, int)) else getattr(value, "designation", str(value))
