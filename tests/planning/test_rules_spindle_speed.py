"""Rules of the plan: spindle speed and cutting diameters.

A test or more for each rule, that fails when it is broken. Expected values are worked out beside each test from the
geometry (derived) or are the assumed values of the trade (common practice); test_plan.py computes whole plans again.
"""

from math import acos, cos, pi, radians, sin, sqrt

import pytest
from jobs import ALONE, EXAMPLE, UPRIGHT, changed, floored, numbers

from millcalc.planning import plan
from millcalc.quantities.record import number


def full_width(diameter, depth, lean):
    """Largest diameter of a full-width cut, up to 90 deg (derived, geometry_truths.md)."""
    return diameter * sin(min(radians(lean) + acos(1 - 2 * depth / diameter), pi / 2))


def test_spindle_speed_is_that_of_the_largest_diameter():
    """D 10, stock 0.2, lead 15: contact 2.5882, largest 5.1893 (derived, README.md of the published folder)."""
    job = changed(
        cutter={"diameter": "10 mm"}, before=ALONE | {"stock": "0.2 mm"}, surface={"radius_along": "flat"},
        fixed={"cutting_speed": "150 m/min"},
    )  # fmt: skip
    n, contact, largest, v_contact, v_least, v_largest = numbers(
        job,
        "spindle_speed",
        "contact_diameter",
        "largest_diameter",
        "contact_cutting_speed",
        "least_cutting_speed",
        "largest_cutting_speed",
    )
    assert (contact, largest) == pytest.approx((2.5882, 5.1893), abs=5.1e-5)
    assert n == floored(1000 * 150 / (pi * largest), 10)
    # reported, and not what n follows from: at the contact there is half the speed
    assert v_contact == pytest.approx(pi * contact * n / 1000, rel=1e-12)
    assert v_least == pytest.approx(v_contact, rel=1e-7)
    assert v_largest <= 150 < v_largest * (1 + 11 / n)


def test_a_standing_tip_does_not_raise_the_spindle_speed():
    n, least, largest = numbers(
        changed(axis={"lead": "0 deg"}, fixed={"cutting_speed": "60 m/min"}),
        "spindle_speed",
        "least_cutting_speed",
        "largest_diameter",
    )
    assert least == 0
    assert n == floored(60000 / (pi * largest), 100)


def test_the_first_full_width_pass_counts():
    """Beside a pass only 2.78 mm of the shipped job's ball cut, in the first pass 3.04 mm."""
    made = plan(EXAMPLE)
    depth = 0.1 + number(made, "previous_scallop_height") / 1000
    assert number(made, "largest_diameter") == pytest.approx(full_width(6, depth, 15), rel=1e-9)
    steps = [s for s in made.sheet().steps if s.title.startswith("diameters, ")]
    first, beside = (s.result[2] for s in steps)
    assert first > 1.05 * beside


def test_the_scallops_of_the_operation_before_stand_on_the_stock():
    """A 10 mm ball at 0.6 mm leaves 5 - sqrt(25 - 0.09) mm on top of the stock."""
    before, depth, largest = numbers(changed(), "previous_scallop_height", "greatest_depth", "largest_diameter")
    assert before == pytest.approx(1000 * (5 - sqrt(25 - 0.09)), rel=1e-9)
    assert depth == pytest.approx(0.1 + before / 1000, rel=1e-12)
    assert largest > numbers(changed(before=ALONE), "largest_diameter") * 1.01


def test_a_step_down_before_is_widest_on_the_flattest_slope():
    before = {"previous_stepover": None, "previous_step_down": "0.3 mm"}
    surface = {"slope_from": "60 deg", "slope_to": "30 deg"}
    assert numbers(changed(before=before, surface=surface), "previous_scallop_height") == pytest.approx(
        1000 * (5 - sqrt(25 - 0.09)), rel=1e-9
    )


@pytest.mark.parametrize("slopes", [("10 deg", "50 deg"), ("50 deg", "10 deg")])
def test_the_largest_diameter_is_that_of_the_worse_end_of_the_slopes(slopes):
    surface = {"radius_along": "flat", "slope_from": slopes[0], "slope_to": slopes[1]}
    job = changed(axis=UPRIGHT, surface=surface, before=ALONE)
    assert numbers(job, "largest_diameter") == pytest.approx(full_width(6, 0.1, 50), rel=1e-9)
    assert numbers(job, "contact_diameter") == pytest.approx(6 * sin(radians(10)), rel=1e-9)


def test_a_fixed_axis_square_to_the_surface_within_the_slopes_counts():
    """Upright over 20 to 60 deg it never is; leaned downhill by 35 deg it is at 35 deg: there the tip cuts."""
    surface = {"slope_from": "20 deg", "slope_to": "60 deg", "radius_across": "100 mm"}
    leaned = UPRIGHT | {"direction": [sin(radians(35)), 0, cos(radians(35))]}
    for axis, least, names in ((UPRIGHT, 20.0, 2), (leaned, 0.0, 3)):
        made = plan(changed(axis=axis, surface=surface, before=ALONE))
        assert len(made.conditions) == names
        assert number(made, "contact_diameter") == pytest.approx(6 * sin(radians(least)), abs=1e-9)
        assert any(c.name.startswith("tip_in_cut") for c in made.cautions) is (least == 0)


def test_both_ways_count():
    """With the axis kept, a lead of 15 deg back is 15 deg ahead on the way back, which cuts at a larger diameter."""
    ahead, back, both = (
        numbers(changed(axis={"lead": lead}, passes={"pattern": pattern}), "largest_diameter")
        for lead, pattern in (("15 deg", "one way"), ("-15 deg", "one way"), ("-15 deg", "back and forth"))
    )
    assert back < 0.9 * ahead
    assert both == pytest.approx(ahead, rel=1e-12)
    kept = changed(axis={"lead": "-15 deg", "way_back": "lean kept"}, passes={"pattern": "back and forth"})
    assert numbers(kept, "largest_diameter") == pytest.approx(back, rel=1e-9)


@pytest.mark.parametrize(
    ("travel", "order", "cut", "lead", "tilt"),
    [
        # working downward the stock lies downhill: in a climb cut on the right, the hill on the left
        ("across the slope", "downward", "climb", 0.0, 20.0),
        ("across the slope", "upward", "climb", 0.0, -20.0),
        ("across the slope", "downward", "conventional", 0.0, -20.0),
        ("across the slope", "upward", "conventional", 0.0, 20.0),
        # uphill an upright axis leans ahead, for the surface normal leans back
        ("up the slope", "downward", "climb", 20.0, 0.0),
        ("down the slope", "downward", "climb", -20.0, 0.0),
    ],
)
def test_lead_and_tilt_follow_from_travel_order_and_side(travel, order, cut, lead, tilt):
    job = changed(
        axis=UPRIGHT | {"travel": travel, "order": order},
        passes={"cut": cut},
        surface={"slope_from": "20 deg"},
    )
    stands = {(round(number(c, "lead"), 9), round(number(c, "tilt"), 9)) for c in plan(job).conditions}
    assert stands <= {(lead, tilt)}
    titles = {s.title.split(" (")[0]: s.result for s in plan(job).sheet().steps}
    assert (titles["lead"], titles["tilt"]) == pytest.approx((lead, tilt), abs=1e-9)


def test_the_side_of_the_uncut_stock_changes_on_the_way_back():
    """With the axis kept, one that leans to the uncut side on the way out does so on the way back."""
    made = {
        tilt: plan(changed(axis={"lead": "0 deg", "tilt": tilt}, passes={"pattern": "back and forth"}))
        for tilt in ("-14 deg", "14 deg")
    }
    for tilt, tip in (("-14 deg", "first_pass_tip"), ("14 deg", "tip_in_cut")):
        out, back = made[tilt].conditions
        assert number(back, "tilt") == -number(out, "tilt")
        assert number(back, "least_diameter") == pytest.approx(number(out, "least_diameter"), rel=1e-6)
        assert {c.name for c in made[tilt].cautions} & {"first_pass_tip", "tip_in_cut"} == {tip}


@pytest.mark.parametrize(
    ("rated", "cause", "n"),
    [
        ({"machine": {"largest_spindle_speed": "12345 rpm"}}, "machine", 12300),
        ({"machine": {"holder_spindle_speed": "9876 rpm"}}, "holder", 9870),
        ({"cutter": {"rated_spindle_speed": "15000 rpm"}}, "cutter", 15000),
        ({"fixed": {"cutting_speed": "100 m/min"}}, "cutting speed fixed by user", 10400),
        ({}, "cutting speed of the material", 17500),
        ({"fixed": {"spindle_speed": "12345 rpm"}}, "fixed by user", 12345),
        (
            {
                "machine": {"largest_spindle_speed": "9000 rpm", "holder_spindle_speed": "8000 rpm"},
                "cutter": {"rated_spindle_speed": "7000 rpm"},
            },
            "cutter",
            7000,
        ),
    ],
)
def test_every_rated_speed_bounds_the_spindle_speed(rated, cause, n):
    made = plan(changed(**rated))
    assert (made.governed_by("spindle_speed"), number(made, "spindle_speed")) == (cause, n)


def test_the_position_in_the_speed_window_can_be_changed():
    slow, middle, fast = (
        numbers(
            changed(assumed={"speed_position": p}, machine={"largest_spindle_speed": "99000 rpm"}),
            "largest_cutting_speed",
        )
        for p in (0.0, 0.5, 1.0)
    )
    low, high = plan(EXAMPLE).basis[0].low, plan(EXAMPLE).basis[0].high
    for got, wanted in ((slow, low), (middle, (low + high) / 2), (fast, high)):
        assert got <= wanted < got * 1.01
