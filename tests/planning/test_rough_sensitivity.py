"""Which assumed values move the time of a roughing job: ends of the ranges are plans of their own."""

from __future__ import annotations

import math

import pytest
from second_roughing import bare, rough

from millcalc.errors import ImpossibleJobError, MillcalcError
from millcalc.planning import plan, sensitivity
from millcalc.planning.effects import field_kinds
from millcalc.planning.ranges import ROUGHING_RANGES, ranges_of
from millcalc.quantities.record import fields_of, number
from millcalc.report import page_of, sensitivity_page

JOBS = {"full width": bare(), "light radial": bare(cut={"style": "light radial"}), "with forces": rough()}


def with_value(job, name, value):
    for table in ("assumed", "machine", "cutter"):
        part = getattr(job, table)
        if name in fields_of(part):
            return job.with_(**{table: part._with_kept({name: value})})
    raise AssertionError(name)


def expected(job, name, value, result):
    try:
        return number(plan(with_value(job, name, value)), result)
    except ImpossibleJobError:
        return math.nan


@pytest.mark.parametrize("which", JOBS)
def test_the_ends_are_plans(which):
    job = JOBS[which]
    found = sensitivity(job)
    names = [e.name for e in found.effects]
    assert {"speed_position", "feed_position", "depth_share", "width_share"} <= set(names) == set(ranges_of(job))
    assert [e.swing() for e in found.effects] == sorted((e.swing() for e in found.effects), reverse=True)
    results = ("operation_time", "tip_deflection") if which == "with forces" else ("operation_time",)
    for effect in [e for e in found.effects if which == "full width" or e.name in names[:3]]:
        for result in results:
            ends = [expected(job, effect.name, end, result) for end in (effect.low, effect.high)]
            assert effect.ends[result] == pytest.approx(ends, rel=1e-9, nan_ok=True), effect.name
            assert effect.base[result] == pytest.approx(number(plan(job), result), rel=1e-12)


def test_ranges_contain_the_defaults_and_have_reasons():
    for job in JOBS.values():
        for value, low, high, row in ranges_of(job).values():
            assert low <= value <= high
            assert row.meaning
            assert row.source
    assert set(ROUGHING_RANGES) <= set(field_kinds(type(bare())))


def test_the_page_names_the_three_that_move_the_time_most():
    made = plan(JOBS["full width"])
    section = next(s for s in page_of(made).sections if s.head.startswith("ASSUMED"))
    assert [row[0] for row in section.rows] == [
        e.name.replace("_", " ") for e in sensitivity(JOBS["full width"]).most(3)
    ]
    assert "ramp angle" in sensitivity_page(sensitivity(JOBS["full width"]))


def test_an_impossible_job_says_why():
    with pytest.raises(MillcalcError, match="pocket"):
        sensitivity(bare(pocket={"width": "8 mm"}))
