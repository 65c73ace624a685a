"""Rules of the plan: rounding, assumptions, causes, and rules that join parts.

A test or more for each rule, that fails when it is broken. Expected values are worked out beside each test from the
geometry (derived) or are the assumed values of the trade (common practice); test_plan.py computes whole plans again.
"""

from math import asin, ceil, degrees, pi, sqrt

import pytest
from jobs import EXAMPLE, THIN, changed

from millcalc.planning import plan
from millcalc.planning.assumed import ASSUMED, MACHINE_CLASSES
from millcalc.planning.finishing import CAUSES
from millcalc.quantities.record import number


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
    every = {*ASSUMED, *MACHINE_CLASSES["general"], "programmed_point"} - {"least_width_share"}
    edge = {"taylor_exponent", "life_spread", "wear_limit", "edges", "handling_time", "rigidity", "coolant"}
    assert {a.name for a in made.assumed} == every | edge
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
    assert number(made, "feed_per_tooth") < 0.02
    assert any(c.name == "fixed_feed_not_kept" for c in made.cautions)
