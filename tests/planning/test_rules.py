"""One test or more for each rule of the plan, that fails when the rule is broken.

Expected values are worked out beside each test from the geometry (derived) or are the assumed values of the trade
(common practice); test_plan.py computes whole plans a second time.
"""

import math
from math import acos, asin, ceil, cos, degrees, floor, pi, radians, sin, sqrt

import pytest

from millcalc.planning import example_job, plan
from millcalc.planning.assumed import ASSUMED, MACHINE_CLASSES
from millcalc.planning.finishing import CAUSES
from millcalc.quantities.record import number

EXAMPLE = example_job()
ALONE = {"previous_diameter": None, "previous_stepover": None}
"""No scallops known from the operation before."""
UPRIGHT = {"lead": None, "tilt": None, "direction": "vertical"}


def changed(**tables):
    """Return the shipped job with fields of its tables changed."""
    return EXAMPLE.with_(**{t: getattr(EXAMPLE, t).with_(**c) if isinstance(c, dict) else c for t, c in tables.items()})


def numbers(job, *names):
    made = plan(job)
    values = tuple(number(made, name) for name in names)
    return values if len(names) > 1 else values[0]


def floored(value, increment):
    return increment * floor(value / increment + 1e-9)


# --- finish to stepover ----------------------------------------------------------------------------------------------

THIN = 4 / (9 * sqrt(3))  # Ra over the height of low circular scallops (derived, README.md of the published folder)


@pytest.mark.parametrize(
    ("finish", "allowed"),
    [
        ({"ra": "0.8 um"}, 0.5 * 0.8 / THIN),
        ({"grade": "N6", "ra": None}, 0.5 * 0.8 / THIN),  # N6 is Ra 0.8 um (read, ISO 1302)
        ({"rz": "4 um", "ra": None}, 0.5 * 4.0),
        ({"scallop_height": "4 um", "ra": None}, 4.0),  # a scallop height is that of the scallop, not shared
    ],
)
def test_half_of_the_finish_goes_to_the_scallop(finish, allowed):
    got, height, setting, ra = numbers(
        changed(finish=finish), "scallop_allowed", "scallop_height", "stepover_setting", "ra"
    )
    assert got == pytest.approx(allowed, rel=1e-3)
    # set down: what is left does not exceed what is allowed, and the next stepover would
    assert height <= got
    assert 1000 * (3 - sqrt(9 - (setting + 0.01) ** 2 / 4)) > got
    assert ra == pytest.approx(THIN * height, rel=1e-3)


@pytest.mark.parametrize("share", [0.25, 0.7])
def test_the_share_of_the_scallop_can_be_changed(share):
    assumed = {"scallop_share": share, "feed_mark_share": 0.25}
    assert numbers(changed(assumed=assumed), "scallop_allowed") == pytest.approx(share * 0.8 / THIN, rel=1e-3)


@pytest.mark.parametrize(("share", "height"), [(0.25, 0.25), (0.05, 0.05)])
def test_feed_marks_have_their_share_of_the_finish(share, height):
    """Without runout the marks of each tooth use up their share: f_z = 2 sqrt(h (D - h))."""
    job = changed(cutter={"eccentricity": "0 um"}, assumed={"feed_mark_share": share, "feed_factor": 10})
    made = plan(job)
    assert made.governed_by("feed_per_tooth") == ("feed marks" if share == 0.05 else "wanted chip")
    assert number(made, "feed_mark_height") <= height * 0.8 / THIN * (1 + 1e-3)
    if share == 0.05:
        assert number(made, "feed_mark_height") == pytest.approx(height * 0.8 / THIN, rel=2e-3)


@pytest.mark.parametrize("width", [60.0, 1.9, 0.05, 0.19, 0.191])
def test_passes_cut_both_edges_and_are_equalised(width):
    """Exactly ten stepovers need eleven passes; less than one needs two."""
    passes, setting, equalised = numbers(
        changed(surface={"width": f"{width} mm"}), "passes", "stepover_setting", "equalised_stepover"
    )
    assert setting == 0.19
    assert passes == ceil(round(width / 0.19, 9)) + 1
    assert equalised * (passes - 1) == pytest.approx(width, rel=1e-12)
    assert equalised <= setting * (1 + 1e-9)


@pytest.mark.parametrize(
    ("spacing", "measure", "across"),
    [
        ("plan view", cos(radians(50)), 60 * (sin(radians(50)) - sin(radians(30))) / radians(20)),
        ("step down", sin(radians(30)), 60 * (cos(radians(30)) - cos(radians(50))) / radians(20)),
    ],
)
def test_a_spacing_on_a_slope_holds_at_its_worse_end(spacing, measure, across):
    """Width and spacing in plan view or in height; the stepover along the surface stays within the finish."""
    surface = {"slope_from": "30 deg", "slope_to": "50 deg"}
    got = numbers(
        changed(surface=surface, passes={"spacing": spacing}),
        "stepover_setting",
        "stepover",
        "passes",
        "scallop_height",
        "scallop_allowed",
    )
    setting, stepover, passes, height, allowed = got
    assert passes == ceil(across / setting) + 1
    assert stepover == pytest.approx(across / (passes - 1) / measure, rel=1e-12)
    assert stepover <= setting / measure
    assert height <= allowed
    assert number(plan(changed()), "stepover") * measure - setting < 0.011


# --- form tolerance --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("tolerance", "shares", "cause"),
    [
        ("0.02 mm", (0.1, 1 / 3), "scallop"),
        ("0.004 mm", (0.1, 1 / 3), "form tolerance"),
        ("0.02 mm", (0.02, 1 / 3), "form tolerance"),
        ("0.02 mm", (0.1, 0.1), "scallop"),
    ],
)
def test_form_tolerance_is_spent_once(tolerance, shares, cause):
    """Chords use at most a tenth of the tolerance and a third of the scallop; the budget is the sum in mm."""
    made = plan(
        changed(
            finish={"form_tolerance": tolerance},
            assumed={"chord_tolerance_share": shares[0], "chord_scallop_share": shares[1]},
        )
    )
    height, allowed, error, budget = (
        number(made, n) for n in ("scallop_height", "chord_allowed", "chord_error", "form_budget")
    )
    parts = {"form tolerance": 1000 * float(tolerance.split()[0]) * shares[0], "scallop": height * shares[1]}
    assert allowed == pytest.approx(min(parts.values()), rel=1e-12)
    assert made.governed_by("chord_allowed") == cause == min(parts, key=parts.get)
    assert error <= allowed * (1 + 1e-12)
    assert budget == pytest.approx((error + height) / 1000, rel=1e-12)


# --- spindle speed ---------------------------------------------------------------------------------------------------


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


# --- feed per tooth --------------------------------------------------------------------------------------------------

QUIET = {"eccentricity": "0 um"}


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


# --- fixed values ----------------------------------------------------------------------------------------------------


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


# --- points and feed rate --------------------------------------------------------------------------------------------


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


# --- times -----------------------------------------------------------------------------------------------------------

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


# --- rounding, assumptions, causes -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ra", "stepover"),
    [("0.8 um", 0.01), ("0.1 um", 0.001)],
)
def test_metric_values_are_set_to_the_safe_side(ra, stepover):
    made = plan(changed(finish={"ra": ra}, machine={"largest_spindle_speed": "9999.9 rpm"}))
    assert number(made, "spindle_speed") == 9990
    for name, increment in (("feed_rate", 1.0), ("first_pass_feed_rate", 1.0), ("stepover_setting", stepover)):
        share = number(made, name) / increment
        assert share == pytest.approx(round(share), rel=1e-12), name
    assert number(made, "scallop_height") <= number(made, "scallop_allowed")
    assert (number(made, "stepover_setting") < 0.1) == (stepover == 0.001)


def test_inch_values_are_set_to_the_safe_side():
    job = EXAMPLE.with_(settings="inch")
    made, metric = plan(job), plan(EXAMPLE)
    for name, increment in (("feed_rate", 2.54), ("first_pass_feed_rate", 2.54), ("stepover_setting", 0.00254)):
        share = number(made, name) / increment
        assert share == pytest.approx(round(share), rel=1e-12), name
    assert number(made, "stepover_setting") == pytest.approx(0.0076 * 25.4, rel=1e-12)  # 0.19337 mm is 0.00761 in
    assert number(made, "spindle_speed") == number(metric, "spindle_speed") == 17500


def test_everything_follows_from_the_values_as_set():
    made = plan(EXAMPLE)
    v = {n: number(made, n) for n in made.as_numbers() if n in dir(made)}
    assert v["scallop_height"] == pytest.approx(1000 * (3 - sqrt(9 - v["stepover"] ** 2 / 4)), rel=1e-9)
    assert v["largest_cutting_speed"] == pytest.approx(
        pi * v["largest_diameter"] * v["spindle_speed"] / 1000, rel=1e-12
    )
    assert v["feed_per_tooth"] == pytest.approx(v["contact_feed_rate"] / 2 / v["spindle_speed"], rel=1e-12)
    assert v["feed_per_revolution"] == pytest.approx(2 * v["feed_per_tooth"], rel=1e-12)
    assert v["block_rate"] == pytest.approx(v["feed_rate"] / 60 / v["programmed_spacing"], rel=1e-12)
    assert v["removal_rate"] == pytest.approx(0.1 * v["stepover"] * v["contact_feed_rate"] / 1000, rel=1e-12)
    assert v["points"] == v["passes"] * (v["blocks_per_pass"] + 1)
    assert v["program_size"] == 40 * v["points"]
    assert v["clearing_inclination"] == pytest.approx(2 * degrees(asin(sqrt(v["greatest_depth"] / 6))), rel=1e-9)


def test_what_nobody_gave_is_listed_as_assumed_with_its_source():
    made = plan(EXAMPLE)
    every = {*ASSUMED, *MACHINE_CLASSES["general"], "programmed_point"}
    assert {a.name for a in made.assumed} == every
    assert all(a.source and a.meaning for a in made.assumed)


@pytest.mark.parametrize(
    ("table", "name", "value"),
    [
        ("machine", "acceleration", "1 m/s^2"),
        ("machine", "block_time", "5 ms"),
        ("machine", "rapid_rate", "10 m/min"),
        ("cutter", "edge_radius", "10 um"),
        ("cutter", "eccentricity", "2 um"),
        ("assumed", "scallop_share", 0.4),
        ("assumed", "clearance", "2 mm"),
        ("assumed", "time_factor", 1.2),
    ],
)
def test_what_is_given_is_no_longer_assumed(table, name, value):
    made = plan(changed(**{table: {name: value}}))
    assert {a.name for a in plan(EXAMPLE).assumed} - {a.name for a in made.assumed} == {name}
    assert made != plan(EXAMPLE)


@pytest.mark.parametrize(("diameter", "edge", "eccentricity"), [("2.99 mm", 4.0, 2.5), ("3 mm", 8.0, 5.0)])
def test_a_small_cutter_is_assumed_sharper_and_truer(diameter, edge, eccentricity):
    values = {a.name: a.value for a in plan(changed(cutter={"diameter": diameter})).assumed}
    assert (values["edge_radius"], values["eccentricity"]) == (edge, eccentricity)


@pytest.mark.parametrize("share", [0.2, 0.8])
def test_half_of_what_the_scallop_leaves_is_assumed_for_the_feed_marks(share):
    values = {a.name: a.value for a in plan(changed(assumed={"scallop_share": share})).assumed}
    assert values["feed_mark_share"] == pytest.approx((1 - share) / 2, rel=1e-12)


@pytest.mark.parametrize("kind", ["older", "general", "high-speed"])
def test_a_machine_is_assumed_by_its_class(kind):
    made = plan(changed(machine={"kind": kind}))
    values = {a.name: a.value for a in made.assumed}
    # common practice: an older control takes 20 ms a block, a fast one half a millisecond
    assert values["block_time"] == {"older": 20.0, "general": 2.0, "high-speed": 0.5}[kind]
    assert values["acceleration"] == {"older": 500.0, "general": 2000.0, "high-speed": 10000.0}[kind]


def test_every_choice_says_what_governs():
    assert [name for name, _ in plan(EXAMPLE).governed] != []
    assert set(dict(plan(EXAMPLE).governed)) == set(CAUSES)
    assert plan(EXAMPLE).governed_by("passes") == ""


def test_the_middle_of_a_slope_range_is_looked_at():
    """An axis that leans 30 deg downhill stands square to the surface at a slope of 30 deg: the tip is in the cut."""
    surface = {"radius_along": "flat", "slope_from": "0 deg", "slope_to": "60 deg"}
    axis = {"lead": None, "tilt": None, "direction": [0.5, 0.0, 0.8660254]}
    made = plan(changed(surface=surface, axis=axis, material="Ti-6Al-4V"))
    middle = next(c for c in made.conditions if c.name == "slope of least lean")
    assert number(middle, "slope") == pytest.approx(30.0, abs=1e-5)
    assert number(made, "least_diameter") == 0.0
    assert any(c.name.startswith("tip_in_cut") for c in made.cautions)
    # at both ends the axis leans 30 deg and the tip is clear
    ends = [c for c in made.conditions if c.name != "slope of least lean"]
    assert number(ends[0], "least_diameter") > 1.0


def test_feed_marks_follow_the_curve_along_the_feed():
    """On a convex surface marks are those of a ball on its radius: f^2/8 (1/R + 1/rho) in the thin limit (derived)."""
    job = changed(
        cutter={"diameter": "8 mm", "eccentricity": "0 um"}, surface={"radius_along": "5 mm", "length": "15 mm"}
    )
    made = plan(job)
    feed, height = number(made, "feed_per_tooth"), number(made, "feed_mark_height")
    assert height == pytest.approx(1000 * feed**2 / 8 * (1 / 4 + 1 / 5), rel=2e-3)
    assert number(made, "rz_along") == height


def test_the_feed_is_not_above_the_least_stepover_of_a_slope_range():
    surface = {"radius_along": "flat", "slope_from": "10 deg", "slope_to": "80 deg"}
    axis = {"lead": None, "tilt": None, "direction": "vertical"}
    made = plan(changed(surface=surface, axis=axis, passes={"spacing": "step down"}))
    steep = min(number(c, "stepover") for c in made.conditions)
    assert number(made, "feed_per_tooth") <= steep
    assert number(made, "stepover") > 3 * steep


def test_a_limit_that_lets_one_tooth_mark_alone_keeps_the_marks_low():
    """A slow machine brings the feed per tooth below sqrt(2 D e sin(beta)): marks are then a revolution apart."""
    job = changed(
        cutter={"diameter": "10 mm", "teeth": 4}, axis={"lead": "5 deg"}, machine={"largest_feed_rate": "4 m/min"}
    )
    made = plan(job)
    assert made.governed_by("feed_rate") == "runout: one tooth marks alone"
    assert made.governed_by("feed_per_tooth") == "runout: one tooth marks alone"
    allowed = 0.25 * 0.8 / THIN
    assert number(made, "rz_along") <= allowed * (1 + 1e-3)
    assert number(made, "revolution_mark_height") == pytest.approx(number(made, "rz_along"))


def test_a_speed_the_user_fixes_is_checked_against_the_window():
    made = plan(changed(material="Ti-6Al-4V", fixed={"spindle_speed": "18000 rpm"}))
    assert any(c.name == "speed_far_above_window" for c in made.cautions)


def test_the_stepover_is_equalised_and_all_follows_from_it():
    """A narrow strip: the setting does not fit its width, so the passes lie closer and the scallop is lower."""
    narrow = changed(surface={"width": "1 mm"})
    made = plan(narrow)
    passes, setting, stepover = (number(made, n) for n in ("passes", "stepover_setting", "stepover"))
    assert passes == ceil(1 / setting) + 1
    assert stepover == pytest.approx(1 / (passes - 1), rel=1e-12)
    assert stepover < setting - 0.01
    assert number(made, "scallop_height") == pytest.approx(1000 * (3 - (9 - stepover**2 / 4) ** 0.5), rel=1e-9)
    fixed = plan(changed(surface={"width": "1 mm"}, fixed={"stepover": "0.3 mm"}))
    assert number(fixed, "stepover") == 0.3


def test_a_chart_feed_of_the_user_may_be_lowered_by_the_machine():
    job = changed(
        machine={"largest_feed_rate": "1000 mm/min"},
        fixed={"feed_per_tooth": "0.05 mm", "feed_radial_width": "3 mm"},
    )
    assert plan(job).governed_by("feed_rate") == "machine"


def test_a_fixed_feed_that_limits_cut_down_is_named():
    made = plan(changed(fixed={"feed_per_tooth": "0.05 mm", "point_spacing": "0.01 mm"}))
    assert number(made, "feed_per_tooth") < 0.01
    assert any(c.name == "fixed_feed_not_kept" for c in made.cautions)
