"""Rules of the plan: points, feed rate, times.

A test or more for each rule, that fails when it is broken. Expected values are worked out beside each test from the
geometry (derived) or are the assumed values of the trade (common practice); test_plan.py computes whole plans again.
"""

import math
from math import cos, radians, sin, sqrt

import pytest
from jobs import ALONE, EXAMPLE, QUIET, changed, floored, numbers

from millcalc.planning import plan
from millcalc.quantities.record import number


@pytest.mark.parametrize("radius", [120.0, -120.0, 10.0, -4.0])
@pytest.mark.parametrize("point", ["tip", "ball centre"])
def test_centre_and_contact_run_on_different_radii(radius, point):
    """Feed rates, lengths and spacings stand in the ratio of the radii; the chord is that of the programmed path."""
    job = changed(
        surface={"radius_along": f"{radius} mm", "length": "20 mm"},
        axis={"programmed_point": point, "lead": "20 deg"},
        before=ALONE,
    )
    path = abs(radius + 3)
    if point == "tip":
        path = math.hypot(radius + 3 - 3 * cos(radians(20)), 3 * sin(radians(20)))
    feed, at_contact, step, spacing, error = numbers(
        job, "feed_rate", "contact_feed_rate", "programmed_spacing", "point_spacing", "chord_error"
    )
    assert feed / at_contact == pytest.approx(path / abs(radius), rel=1e-12)
    assert step / spacing == pytest.approx(path / abs(radius), rel=1e-12)
    assert error == pytest.approx(1000 * (path - sqrt(path**2 - step**2 / 4)), rel=1e-6)


def test_feed_per_tooth_is_held_at_the_contact():
    """On a hollow of radius 12 the ball centre runs on 9: its feed is three quarters of the contact's."""
    job = changed(surface={"radius_along": "-12 mm", "length": "20 mm"}, axis={"programmed_point": "ball centre"})
    feed, at_contact, f_z, n = numbers(job, "feed_rate", "contact_feed_rate", "feed_per_tooth", "spindle_speed")
    assert feed == pytest.approx(0.75 * at_contact, rel=1e-12)
    assert f_z == pytest.approx(at_contact / (2 * n), rel=1e-12)


@pytest.mark.parametrize(
    ("block_time", "cause", "feed_cause"),
    [
        ("2 ms", "share of the chord error allowed", "feed per tooth"),
        ("15 ms", "widened for the block time", "feed per tooth"),
        ("30 ms", "chord allowance", "block time"),
    ],
)
def test_points_are_widened_before_the_feed_is_lowered(block_time, cause, feed_cause):
    made = plan(changed(machine={"block_time": block_time}))
    assert (made.governed_by("point_spacing"), made.governed_by("feed_rate")) == (cause, feed_cause)
    free = plan(EXAMPLE)
    feed, step, rate = (number(made, n) for n in ("feed_rate", "programmed_spacing", "block_rate"))
    most = 1000 / float(block_time.split()[0])
    assert rate <= most * (1 + 1e-9)
    error, allowed = number(made, "chord_error"), number(made, "chord_allowed")
    if feed_cause == "feed per tooth":
        assert feed == number(free, "feed_rate")
    if cause == "share of the chord error allowed":
        assert error == pytest.approx(allowed / 2, rel=1e-9)
    elif cause == "widened for the block time":
        assert allowed / 2 < error < allowed
        assert rate == pytest.approx(most, rel=1e-3)
    else:
        assert error == pytest.approx(allowed, rel=1e-9)
        assert feed == floored(step * most * 60, 1) < number(free, "feed_rate")


def test_points_lie_no_wider_than_the_pass():
    made = plan(changed(surface={"radius_along": "flat"}))
    assert number(made, "point_spacing") == 80
    assert made.governed_by("point_spacing") == "length of the pass"
    assert (number(made, "blocks_per_pass"), number(made, "points")) == (1, 2 * 317)


@pytest.mark.parametrize(
    ("tables", "cause", "feed"),
    [
        ({"machine": {"largest_feed_rate": "1500.5 mm/min"}}, "machine", 1500),
        # 60 sqrt(100 mm/s^2 5.1055 mm) at the tip's path over a radius of 5 mm and a lead of 15 deg
        (
            {
                "machine": {"acceleration": "100 mm/s^2", "block_time": "0.1 ms"},
                "surface": {"radius_along": "5 mm", "length": "9 mm"},
                "cutter": QUIET,
            },
            "acceleration on the curve",
            floored(60 * sqrt(100 * math.hypot(5 + 3 - 3 * cos(radians(15)), 3 * sin(radians(15)))), 1),
        ),
    ],
)
def test_what_governs_the_feed_rate(tables, cause, feed):
    made = plan(changed(**tables))
    assert (made.governed_by("feed_rate"), number(made, "feed_rate")) == (cause, feed)


PARTS = ("cutting_time", "entry_exit_time", "acceleration_time", "link_time", "rapid_time")


@pytest.mark.parametrize("pattern", ["one way", "back and forth"])
@pytest.mark.parametrize("factor", [1.0, 1.37])
def test_the_time_is_the_sum_of_its_parts(pattern, factor):
    made = plan(changed(passes={"pattern": pattern}, assumed={"time_factor": factor}))
    parts = [number(made, n) for n in PARTS]
    assert number(made, "operation_time") == pytest.approx(factor * sum(parts), rel=1e-12)
    assert (parts[3] > 0, parts[4] > 0) == (pattern == "back and forth", pattern == "one way")
    assert all(p > 0 for p in parts[:3])


def test_entry_and_exit_are_a_length_or_a_multiple_of_the_diameter():
    for assumed, length in (({}, 3.0), ({"entry_factor": 1.5}, 9.0), ({"entry_length": "2 mm"}, 2.0)):
        time, feed, passes = numbers(changed(assumed=assumed), "entry_exit_time", "feed_rate", "passes")
        assert time == pytest.approx(2 * passes * length / feed, rel=1e-12)


def test_acceleration_is_included():
    """Each pass speeds up and slows down: v/a longer than its length over its feed."""
    for acceleration in (500.0, 5000.0):
        time, feed, passes = numbers(
            changed(machine={"acceleration": f"{acceleration} mm/s^2"}), "acceleration_time", "feed_rate", "passes"
        )
        assert time == pytest.approx(passes * feed / 60 / acceleration / 60, rel=1e-12)


def test_links_and_rapids_are_timed_from_rest_to_rest():
    made = plan(changed(passes={"pattern": "back and forth"}))
    feed, more, s = number(made, "feed_rate") / 60, number(made, "passes") - 1, number(made, "stepover")
    reaches = s * 2000 >= feed**2
    link = s / feed + feed / 2000 if reaches else 2 * sqrt(s / 2000)
    assert number(made, "link_time") == pytest.approx(more * link / 60, rel=1e-12)
    assert not reaches
    made = plan(changed(assumed={"clearance": "8 mm"}, surface={"radius_along": "flat"}))
    rapid = 20000 / 60
    back = 86 / rapid + rapid / 2000  # pass, entry and exit
    lift = 2 * sqrt(8 / 2000)  # too short to reach the rapid rate
    assert number(made, "rapid_time") == pytest.approx(more * (back + 2 * lift) / 60, rel=1e-12)
