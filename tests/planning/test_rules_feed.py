"""Rules of the plan: feed per tooth and fixed values.

A test or more for each rule, that fails when it is broken. Expected values are worked out beside each test from the
geometry (derived) or are the assumed values of the trade (common practice); test_plan.py computes whole plans again.
"""

from math import acos, cos, pi, radians, sin, sqrt

import pytest
from jobs import EXAMPLE, QUIET, THIN, changed, floored, numbers

from millcalc.planning import plan
from millcalc.quantities.record import number


@pytest.mark.parametrize(
    ("tables", "cause"),
    [
        ({"assumed": {"feed_factor": 10}, "cutter": QUIET}, "wanted chip"),
        ({}, "feed marks"),
        ({"assumed": {"feed_factor": 50}, "cutter": QUIET, "finish": {"ra": "0.02 um"}}, "stepover"),
        ({"cutter": QUIET}, "multiple of the chart"),
        ({"cutter": QUIET, "assumed": {"first_pass": "same feed", "feed_position": 1.0}}, "first pass"),
        (
            {
                "fixed": {"feed_per_tooth": "0.02 mm", "feed_radial_width": "0.3 mm"},
                "cutter": QUIET,
                "assumed": {"feed_factor": 10},
            },
            "chart value fixed by user",
        ),
        ({"fixed": {"feed_per_tooth": "0.05 mm"}}, "fixed by user"),
    ],
)
def test_the_least_feed_per_tooth_governs(tables, cause):
    """Whatever governs, the feed stays within all that bound it."""
    if cause == "stepover":  # marks may be as high as the scallop here, so that the stepover is the less
        tables = tables | {"assumed": {"feed_factor": 50, "feed_mark_share": 0.99}}
    made = plan(changed(**tables))
    assert made.governed_by("feed_per_tooth") == cause
    f_z, stepover, chip = (number(made, n) for n in ("feed_per_tooth", "stepover", "chip_thickness"))
    if not cause.endswith("by user"):
        assert f_z <= stepover
        assert chip <= number(made, "wanted_chip") * (1 + 1e-9)
    if cause == "stepover":
        assert f_z == pytest.approx(stepover, rel=1e-3)


def engaged_chip(diameter, depth, stepover, turns=4000):
    """Largest component of the feed along the ball's normal beside a pass, one direction after another (to 1e-3)."""
    rim, offset, best = sin(acos(1 - 2 * depth / diameter)), 2 * stepover / diameter, 0.0
    for j in range(turns):
        turn = pi * (j / turns - 0.5)
        low, high = 0.0, rim  # how far from the contact the ball is outside the pass before, by halving
        for _ in range(40):
            x, y = high * cos(turn), high * sin(turn)
            if (y + offset) ** 2 + 1 - x * x - y * y >= 1:
                break
            middle = (low + high) / 2
            x, y = middle * cos(turn), middle * sin(turn)
            low, high = (middle, high) if (y + offset) ** 2 + 1 - x * x - y * y >= 1 else (low, middle)
        best = max(best, high * cos(turn))
    return best


def test_the_wanted_chip_needs_one_correction_of_the_geometry():
    """The chip at the feed that was set is the chart's chip, h = f_z sin(phi) at the chart's engagement."""
    job = changed(
        assumed={"feed_factor": 10}, cutter=QUIET, surface={"radius_along": "flat"}, machine={"kind": "high-speed"}
    )
    f_z, chip, wanted, depth, stepover = numbers(
        job, "feed_per_tooth", "chip_thickness", "wanted_chip", "greatest_depth", "stepover"
    )
    row = plan(job).basis[1]
    width = row.radial_share * 6
    assert wanted == pytest.approx((row.low + row.high) / 2 * 2 * sqrt(width * (6 - width)) / 6, rel=1e-9)
    assert wanted >= chip >= wanted * (1 - 2e-3)  # the feed rate was set down
    assert chip == pytest.approx(f_z * engaged_chip(6, depth, stepover), rel=1e-3)


def test_a_chart_value_is_meant_for_its_width():
    """A feed per tooth fixed with its radial width is turned into a chip by that width alone."""
    fixed = {"feed_per_tooth": "0.02 mm", "feed_radial_width": "0.2 mm"}
    job = changed(fixed=fixed, cutter=QUIET, assumed={"feed_factor": 10})
    wanted, chip = numbers(job, "wanted_chip", "chip_thickness")
    assert wanted == pytest.approx(0.02 * sin(acos(1 - 2 * 0.2 / 6)), rel=1e-9)
    assert wanted >= chip >= wanted * (1 - 2e-3)


def test_one_tooth_marks_alone_with_runout():
    """Below sqrt(2 D e sin(beta)) the marks are a revolution apart, and must keep their share so."""
    made = plan(EXAMPLE)
    f_z, height, along = (number(made, n) for n in ("feed_per_tooth", "revolution_mark_height", "rz_along"))
    assert f_z < sqrt(2 * 6 * 0.005 * sin(radians(15)))
    # on a crest of radius 120 two turns of the ball meet higher: about 1 + 3/120 times
    assert along == height == pytest.approx(1000 * (3 - sqrt(9 - f_z**2)) * (1 + 3 / 120), rel=1e-4)
    assert height <= 0.25 * 0.8 / THIN * (1 + 1e-3)
    quiet = plan(changed(cutter=QUIET))
    assert number(quiet, "rz_along") == number(quiet, "feed_mark_height")


def test_where_a_limit_leaves_one_tooth_to_mark_alone_its_marks_stay_low():
    """All four teeth mark at 0.09 mm; the machine leaves 0.037 mm, where one of them does: a quarter of 0.1351."""
    cutter, machine = {"teeth": 4, "eccentricity": "0.5 um"}, {"largest_feed_rate": "2600 mm/min"}
    free, made = plan(changed(cutter=cutter)), plan(changed(cutter=cutter, machine=machine))
    alone = sqrt(2 * 6 * 0.0005 * sin(radians(15)))
    assert number(free, "feed_per_tooth") > alone > 2600 / 4 / 17500 > number(made, "feed_per_tooth")
    assert made.governed_by("feed_rate") == made.governed_by("feed_per_tooth") == "runout: one tooth marks alone"
    share = 0.25 * 0.8 / THIN
    assert share * (1 - 4e-3) <= number(made, "rz_along") <= share * (1 + 1e-3)


@pytest.mark.parametrize("factor", [0.5, 2.0])
def test_feed_stays_below_a_multiple_of_the_chart(factor):
    job = changed(cutter=QUIET, assumed={"feed_factor": factor})
    f_z = numbers(job, "feed_per_tooth")
    row = plan(job).basis[1]
    cap = factor * (row.low + row.high) / 2
    assert cap * (1 - 2e-3) <= f_z <= cap


def test_the_first_pass_has_a_feed_of_its_own():
    """A full-width chip no thicker than the chart's largest; the other passes keep their feed."""
    tables = {"cutter": QUIET, "assumed": {"feed_position": 1.0}, "finish": {"ra": "1.6 um"}}
    made = plan(changed(**tables))
    first, feed, chip = (number(made, n) for n in ("first_pass_feed_rate", "feed_rate", "first_pass_chip_thickness"))
    row = made.basis[1]
    width = row.radial_share * 6
    largest = row.high * 2 * sqrt(width * (6 - width)) / 6
    assert made.governed_by("first_pass_feed_rate") == "largest chip of the chart"
    assert first < feed
    assert largest * (1 - 2e-3) <= chip <= largest
    same = plan(changed(**tables | {"assumed": {"feed_position": 1.0, "first_pass": "same feed"}}))
    assert number(same, "first_pass_feed_rate") == number(same, "feed_rate") == pytest.approx(first, rel=1e-3)


@pytest.mark.parametrize(
    ("fixed", "name", "value"),
    [
        ({"stepover": "0.2345 mm"}, "stepover_setting", 0.2345),
        ({"spindle_speed": "12345 rpm"}, "spindle_speed", 12345.0),
        ({"point_spacing": "0.3456 mm"}, "point_spacing", 0.3456),
    ],
)
def test_fixed_values_are_used_as_given(fixed, name, value):
    made = plan(changed(fixed=fixed))
    assert number(made, name) == pytest.approx(value, rel=1e-12)
    assert made.governed_by(name.removesuffix("_setting")) == "fixed by user"


def test_a_fixed_feed_per_tooth_is_set_down_to_a_feed_rate():
    feed, f_z = numbers(
        changed(fixed={"feed_per_tooth": "0.05 mm"}, surface={"radius_along": "flat"}), "feed_rate", "feed_per_tooth"
    )
    assert feed == 0.05 * 2 * 17500
    assert f_z == pytest.approx(0.05, rel=1e-12)


def test_a_fixed_cutting_speed_replaces_the_window():
    n, largest = numbers(changed(fixed={"cutting_speed": "80 m/min"}), "spindle_speed", "largest_diameter")
    assert n == floored(80000 / (pi * largest), 10)
