"""Sensitivity, spread and test patch: against plans one by one, and against what the numbers must mean."""

from __future__ import annotations

import numpy as np
import pytest
from jobs import EXAMPLE, changed

from millcalc.errors import ArgumentError, ImpossibleJobError
from millcalc.planning import plan
from millcalc.planning.effects import RESULTS, field_kinds, sensitivity
from millcalc.planning.patch import test_patch as patch_of
from millcalc.planning.ranges import RANGES, ranges_of
from millcalc.planning.uncertainty import spread
from millcalc.quantities.record import number

KINDS = field_kinds()
TABLE_OF = {"acceleration": "machine", "block_time": "machine", "rapid_rate": "machine"}
TABLE_OF |= {"edge_radius": "cutter", "eccentricity": "cutter", "helix": "cutter"}


def with_value(job, name, value):
    """The job with one assumed value stated, and what follows from it as long as nobody states that."""
    unit = KINDS[name].label
    text = value if KINDS[name].bare else f"{value!r} {unit}"
    table = TABLE_OF.get(name, "assumed")
    return job.with_(**{table: getattr(job, table).with_(**{name: text})})


@pytest.fixture(scope="module")
def found():
    return sensitivity(EXAMPLE)


def test_every_assumed_value_with_a_range_is_looked_at(found):
    assert {e.name for e in found.effects} == set(ranges_of(EXAMPLE))
    assert found.results == RESULTS
    assert all(e.low <= e.value <= e.high and e.low < e.high for e in found.effects)
    swings = [e.swing() for e in found.effects]
    assert swings == sorted(swings, reverse=True)


@pytest.mark.parametrize("name", sorted(ranges_of(EXAMPLE)))
def test_ends_and_slopes_are_those_of_plans(found, name):
    effect = next(e for e in found.effects if e.name == name)
    low, high = (plan(with_value(EXAMPLE, name, end)) for end in (effect.low, effect.high))
    step = 1.0 if KINDS[name].whole else 0.05 * (effect.high - effect.low)
    near = [min(max(effect.value + way * step, effect.low), effect.high) for way in (-1, 1)]
    below, above = (plan(with_value(EXAMPLE, name, place)) for place in near)
    base = plan(EXAMPLE)
    for result in RESULTS:
        assert effect.ends[result] == pytest.approx((number(low, result), number(high, result)), rel=1e-9)
        slope = (number(above, result) - number(below, result)) / (near[1] - near[0])
        assert effect.slopes[result] == pytest.approx(slope, rel=1e-6, abs=1e-9)
        assert effect.base[result] == pytest.approx(number(base, result), rel=1e-12)


def test_the_most_moving_values_are_named(found):
    names = [e.name for e in found.most(3)]
    assert names == ["time_factor", "feed_factor", "speed_position"]
    assert "the time moves by 50 %" in str(found.most(1)[0])
    assert all(e.swing("peak_bending") > 0.0 for e in found.most(5, "peak_bending"))


def test_without_loads_they_are_left_out():
    assert "peak_bending" not in sensitivity(changed(cutter={"overhang": None})).results


def test_an_impossible_job_says_why():
    with pytest.raises(ImpossibleJobError, match="deeper than half"):
        sensitivity(changed(before={"stock": "4 mm"}))


def test_ranges_have_sources_and_contain_the_defaults():
    for name, row in RANGES.items():
        assert row.source == "PRACTICE", name
        assert row.low < row.high
        assert not row.relative or row.low < 1.0 < row.high


def test_spread_holds_the_settings_and_ranges_the_results():
    made = spread(EXAMPLE)
    assert not set(made.varied) & {n for n, r in RANGES.items() if r.choice}
    for row in made.rows:
        assert row.low <= row.middle <= row.high
    # a time factor from 1 to 1.5 alone makes the time longer, never shorter than three quarters
    time = made["operation_time"]
    assert 0.95 * time.planned < time.low < time.high < 1.7 * time.planned
    # force constants may be off by 30 %, the runout adds to the peak
    power = made["cutting_power"]
    assert power.low == pytest.approx(0.76 * power.planned, rel=0.05)
    assert power.high == pytest.approx(1.24 * power.planned, rel=0.05)
    # roughness from one to two times the ideal, evenly
    assert (made["ra"].low / made["ra"].planned, made["ra"].high / made["ra"].planned) == pytest.approx(
        (1.1, 1.9), abs=0.03
    )
    assert made.chance_of_finish == 1.0
    assert str(made).endswith("chance of the finish 100 %, of the form 100 %")


def test_chances_are_shares_of_the_cases():
    """With the scallop at nine tenths of the finish the factor on Ra must stay below 1/0.9: a ninth of the cases."""
    job = changed(assumed={"scallop_share": 0.9, "feed_mark_share": 0.05})
    made = spread(job)
    share = number(made.plan, "ra") / 0.8
    assert made.chance_of_finish == pytest.approx(1.0 / share - 1.0, abs=0.01)
    # chords, scallop and deflection together come to about 1.9 um: some cases hold it, some do not
    tight = spread(changed(finish={"form_tolerance": "0.00185 mm"}, cutter={"overhang": "40 mm"}))
    assert 0.0 < tight.chance_of_form < 1.0
    row = tight["form_budget"]
    assert (row.low < 0.00185) == (tight.chance_of_form > 0.1)
    assert (row.high <= 0.00185) == (tight.chance_of_form >= 0.9)


def test_the_same_draw_every_time():
    assert spread(EXAMPLE).rows == spread(EXAMPLE).rows


def test_a_patch_has_three_fields_as_wide_as_a_gauge_needs():
    made = patch_of(EXAMPLE)
    steps = np.array([number(f, "stepover") for f in made.fields])
    assert steps / number(made.plan, "equalised_stepover") == pytest.approx([0.7, 1.0, 1.4], rel=1e-12)
    for field in made.fields:
        alone = plan(changed(fixed={"stepover": f"{number(field, 'stepover')!r} mm"}))
        for name in ("scallop_height", "ra", "rz", "rz_along", "feed_rate", "spindle_speed"):
            assert number(field, name) == pytest.approx(number(alone, name), rel=1e-9), name
        # Ra below 2 um is measured over five cut-offs of 0.8 mm at most
        assert number(field, "width") >= 5 * 0.8
        assert number(field, "width") == pytest.approx(number(field, "passes") * number(field, "stepover"))
        seconds = number(field, "passes") * number(made, "length") / number(field, "feed_rate")
        assert number(field, "time") == pytest.approx(seconds)
    assert number(made, "width") == pytest.approx(sum(number(f, "width") for f in made.fields))


def test_a_patch_needs_a_job():
    with pytest.raises(ArgumentError, match="FinishingJob"):
        patch_of("job.toml")
