"""`test_patch(job)`: three stepovers to cut on one strip before the part, and what each should measure."""

from __future__ import annotations

from typing import Any

import numpy as np

from millcalc.errors import ArgumentError, Fault
from millcalc.planning.comparing import compare
from millcalc.planning.finishing import Plan, plan
from millcalc.planning.job import FinishingJob
from millcalc.quantities.kinds import (
    Count,
    FeedPerRevolution,
    FeedPerTooth,
    FeedRate,
    Length,
    Roughness,
    ScallopHeight,
    SpindleSpeed,
    Time,
)
from millcalc.quantities.record import Record, entry, fields_of, number, record

__all__ = ["Patch", "PatchField", "test_patch"]

_MULTIPLES = (0.7, 1.0, 1.4)
_CUT_OFFS = 5.0  # lengths over which roughness is evaluated, ISO 21920-3
_MARGIN = 2.0  # to either side, so that the gauge stays off the edges


@record
class PatchField(Record):
    """One field of a test patch: what to set, and what it should measure (ideal geometry; measured will be higher)."""

    stepover: Length = entry(meaning="stepover")
    spindle_speed: SpindleSpeed = entry(meaning="spindle speed")
    feed_rate: FeedRate = entry(meaning="feed rate")
    passes: Count = entry(meaning="passes")
    width: Length = entry(meaning="width of the field, across the passes")
    scallop_height: ScallopHeight = entry(meaning="scallop height")
    ra: Roughness = entry(meaning="Ra across")
    rz: Roughness = entry(meaning="Rz across")
    rz_along: ScallopHeight = entry(meaning="Rz along")
    feed_per_tooth: FeedPerTooth = entry(meaning="distance of marks a tooth apart")
    feed_per_revolution: FeedPerRevolution = entry(meaning="distance of marks a revolution apart")
    time: Time = entry(meaning="time in the cut")


@record
class Patch(Record):
    """Three fields side by side on one strip, from fine to coarse."""

    fields: tuple[PatchField, ...] = entry(meaning="the fields")
    width: Length = entry(meaning="width of the strip, across the passes")
    length: Length = entry(meaning="length of the strip, along the feed")
    plan: Plan = entry(meaning="the plan that the middle field proves")


def test_patch(job: FinishingJob) -> Patch:
    """Return a test patch: the planned stepover between a finer and a coarser one, at the feed of each.

    Parameters
    ----------
    job
        A finishing job that can be planned.

    Raises
    ------
    ImpossibleJobError
        The job cannot be cut as it is stated.

    Notes
    -----
    Each field is as wide as a gauge needs: five cut-offs of its roughness and as many passes at least. Cut it on the
    part's material, in the set-up of the part, and compare with `read_surface`.

    Examples
    --------
    >>> from millcalc.planning import example_job
    >>> for field in test_patch(example_job()).fields:
    ...     print(f"{field.stepover:.3f~P}, Ra {field.ra:.2f~P}")
    0.133 mm, Ra 0.19 µm
    0.190 mm, Ra 0.39 µm
    0.266 mm, Ra 0.76 µm
    """
    if not isinstance(job, FinishingJob):
        fault = Fault("job", repr(job)[:60], "it is no finishing job", "a FinishingJob")
        raise ArgumentError("no patch to cut", (fault,))
    made = plan(job)
    wanted = number(made, "equalised_stepover")
    table = compare(job, stepover=[f"{m * wanted!r} mm" for m in _MULTIPLES])
    fields = []
    for row in range(len(table)):
        if table.possible()[row]:
            fields.append(_field({n: float(v[row]) for n, v in table.values.items()}, m_of(row) * wanted))
    gauge = max(number(f, "width") for f in fields)
    length = max(gauge, 5.0 * number(job.cutter, "diameter"))
    strip = {"fields": tuple(_timed(f, length) for f in fields), "length": length, "plan": made}
    return Patch._from_numbers(strip | {"width": sum(number(f, "width") for f in fields)})


def m_of(row: int) -> float:
    """Return the multiple of the stepover in a row."""
    return _MULTIPLES[row]


def _field(values: dict[str, float], stepover: float) -> PatchField:
    from millcalc.formulas.finish import cut_off_length

    gauge = _CUT_OFFS * float(cut_off_length.bare(values["ra"]))
    passes = float(np.ceil(max(gauge, 5.0 * stepover) / stepover) + _MARGIN)
    kept: dict[str, Any] = {n: values[n] for n in fields_of(PatchField) if n in values}
    return PatchField._from_numbers(kept | {"stepover": stepover, "passes": passes, "width": passes * stepover})


def _timed(field: PatchField, length: float) -> PatchField:
    minutes = number(field, "passes") * length / number(field, "feed_rate")
    return PatchField._from_numbers({n: number(field, n) for n in fields_of(field)} | {"time": minutes})


test_patch.__test__ = False  # type: ignore[attr-defined]  # a question, no test of pytest's
