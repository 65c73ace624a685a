"""Loads in a plan: their numbers computed again, which limit governs in which order, and the margins."""

from math import inf

import numpy as np
import pytest
from jobs import EXAMPLE, changed

import millcalc as m
from millcalc.errors import JobError
from millcalc.loads.body import ToolBody
from millcalc.loads.coefficients import ForceCoefficients
from millcalc.loads.course import force_course
from millcalc.planning import compare, plan
from millcalc.planning.margins import Margin
from millcalc.quantities.kinds import POWER
from millcalc.quantities.record import number

WIDE = {"finish": {"form_tolerance": "0.1 mm"}}  # so that the tip's deflection does not govern


def course(made, stepover, feed):
    """The force over a turn at the numbers of a plan, on a fine grid."""
    job = made.job
    cut = (number(made, "greatest_depth"), 15.0, 0.0, stepover, 1.0)
    coefficients = ForceCoefficients.from_material(job.material).numbers
    found = force_course(job.cutter.profile, cut, feed, 30.0, 5.0, coefficients, 2, 1440, 200)[1]
    even = force_course(job.cutter.profile, cut, feed, 30.0, 0.0, coefficients, 2, 1440, 200)[1]
    return found, even


def test_loads_of_the_shipped_job():
    """Force and torque on a fine grid of the course, power and deflection from them (derived)."""
    made = plan(changed(surface={"radius_along": "flat"}))
    found, even = course(made, number(made, "stepover"), number(made, "feed_per_tooth"))
    torque = even[3].mean()
    assert number(made, "mean_torque") == pytest.approx(torque, rel=0.06)
    power = torque * number(made, "spindle_speed") * 2 * np.pi / 60000
    assert number(made, "cutting_power") == pytest.approx(power, rel=0.06)
    bending = np.hypot(found[0], found[1]).max()
    assert number(made, "peak_bending") == pytest.approx(bending, rel=0.06)
    stiffness = ToolBody(cutter=EXAMPLE.cutter).stiffness().magnitude
    assert number(made, "tip_stiffness") == pytest.approx(stiffness, rel=1e-12)
    assert number(made, "tip_deflection") == pytest.approx(number(made, "peak_bending") / stiffness, rel=1e-12)
    assert number(made, "deflection_allowed") == 10.0
    first, _ = course(made, inf, number(made, "first_pass_feed_rate") / 2 / number(made, "spindle_speed"))
    assert number(made, "first_pass_peak_bending") == pytest.approx(np.hypot(first[0], first[1]).max(), rel=0.06)


def governed(job, *names):
    made = plan(job)
    return made, tuple(made.governed_by(name) for name in names)


def test_the_tip_deflection_governs_the_first_pass_by_its_feed():
    made, causes = governed(EXAMPLE, "first_pass_feed_rate", "feed_rate", "spindle_speed")
    assert causes == ("tip deflection", "feed per tooth", "cutting speed of the material")
    assert 9.0 < number(made, "first_pass_tip_deflection") <= 10.0
    free = plan(changed(**WIDE))
    assert number(free, "first_pass_tip_deflection") > 10.0
    assert number(made, "spindle_speed") == number(free, "spindle_speed")


# a sharp edge, so that the first pass can go slowly enough
COARSE = {
    "finish": {"ra": "12 um", "form_tolerance": "0.3 mm"},
    "before": {"stock": "0.3 mm"},
    "cutter": {"edge_radius": "0.5 um", "eccentricity": "0.1 um"},
}


def test_power_takes_the_stepover_then_the_speed_then_the_feed():
    """At ever less power: stepover to its half, speed to the bottom of its window, feed (order of the trade)."""
    free = plan(changed(**COARSE))
    wanted = number(free, "cutting_power")
    # the window is 114.3 to 221 m/min (FMDB, read), its middle is wanted
    bottom = 114.3 / (0.5 * (114.3 + 221))
    seen = []
    for share in (0.95, 0.7, 0.5, 0.4, 0.3, 0.2, 0.15):
        try:
            made = plan(changed(**COARSE, machine={"largest_power": f"{share * wanted} kW"}))
        except m.MillcalcError:
            break
        assert number(made, "cutting_power") <= share * wanted * (1 + 1e-4)
        left = [number(made, n) / number(free, n) for n in ("stepover", "spindle_speed", "feed_per_tooth")]
        if left[1] < 0.999:
            assert left[0] == pytest.approx(0.5, abs=0.02)
        if left[2] < 0.95:
            assert left[1] == pytest.approx(bottom, abs=0.02)
        seen.append(tuple(np.round(left, 2)))
    assert seen[0][0] < 1.0
    assert any(speed < 1.0 for _, speed, _ in seen)
    assert any(feed < 1.0 for _, _, feed in seen), seen


def test_torque_takes_the_stepover_and_never_the_speed():
    free = plan(changed(**COARSE))
    limit = 0.9 * number(free, "mean_torque")
    made = plan(changed(**COARSE, machine={"largest_torque": f"{limit} N*m"}))
    assert made.governed_by("stepover") == "torque"
    assert number(made, "mean_torque") <= limit * (1 + 1e-4)
    assert number(made, "spindle_speed") >= number(free, "spindle_speed")


def test_torque_of_the_first_pass_takes_its_feed():
    free = plan(changed(**WIDE))
    limit = 0.8 * number(free, "mean_torque")
    with pytest.raises(m.MillcalcError, match="torque"):  # the first pass has no width to give
        plan(changed(**WIDE, machine={"largest_torque": f"{limit} N*m"}))
    fine = plan(changed(**WIDE, machine={"largest_torque": "0.015 N*m"}))
    assert fine.governed_by("first_pass_feed_rate") == "torque"
    assert number(fine, "spindle_speed") == number(free, "spindle_speed")


def test_a_feed_limit_slows_the_spindle_to_keep_the_chip():
    """Down to the bottom of the window, 114.3 m/min at 3.0446 mm (FMDB, read): 11950, set to 11900."""
    made, causes = governed(changed(machine={"largest_feed_rate": "600 mm/min"}), "feed_rate", "spindle_speed")
    assert causes == ("machine", "least chip at the feed limit")
    assert number(made, "spindle_speed") == 11900.0
    assert number(made, "feed_rate") == 600.0
    slow = plan(changed(machine={"largest_feed_rate": "1500 mm/min"}))
    assert number(slow, "mean_chip_thickness") == pytest.approx(number(slow, "least_chip"), rel=0.02)
    assert 11900.0 < number(slow, "spindle_speed") < 17500.0


def test_rotary_axes_limit_the_feed():
    """3 deg/s on a radius of 120 mm: 3/180 pi x 120 x 60 = 377 mm/min at the contact (derived)."""
    made, (cause,) = governed(changed(machine={"rotary_rate": "3 deg/s"}), "feed_rate")
    assert cause == "rotary rate"
    assert number(made, "contact_feed_rate") == pytest.approx(376.99, abs=1.0)
    made, (cause,) = governed(changed(machine={"rotary_distance": "2000 mm"}), "feed_rate")
    assert cause == "linear axes that follow the swing"
    assert number(made, "contact_feed_rate") <= 20000 / (1 + 2000 / 120)
    upright = {"lead": None, "tilt": None, "direction": "vertical"}
    fixed = changed(axis=upright, surface={"slope_from": "20 deg"}, machine={"rotary_rate": "3 deg/s"})
    assert plan(fixed).governed_by("feed_rate") != "rotary rate"


def test_the_gauge_length_adds_to_the_way_to_the_rotary_axes():
    whole = changed(machine={"rotary_distance": "2000 mm"})
    parted = changed(machine={"rotary_distance": "1850 mm", "gauge_length": "150 mm"})
    assert number(plan(whole), "feed_rate") == number(plan(parted), "feed_rate")
    with pytest.raises(JobError, match="rotary_distance"):
        changed(machine={"gauge_length": "150 mm"})


def test_holder_and_spindle_give_way_in_series():
    rigid = number(plan(EXAMPLE), "tip_stiffness")
    side = number(plan(changed(machine={"lateral_stiffness": "20 N/um"})), "tip_stiffness")
    assert 1.0 / side == pytest.approx(1.0 / rigid + 1.0 / 20.0, rel=1e-9)
    # tilting about the clamp moves the tip by F L^2 / k
    tilt = number(plan(changed(machine={"tilting_stiffness": "40 kN*m/rad"})), "tip_stiffness")
    lever = number(EXAMPLE.cutter, "overhang") * 1e-3
    assert 1.0 / tilt == pytest.approx(1.0 / rigid + 1e6 * lever**2 / 40e3, rel=1e-9)
    table = compare(EXAMPLE, lateral_stiffness=["20 N/um", None, "5 N/um"])
    assert table.values["tip_stiffness"][:2] == pytest.approx([side, rigid], rel=1e-12)


def test_the_form_budget_counts_the_deflection():
    made = plan(EXAMPLE)
    parts = [number(made, n) for n in ("chord_error", "scallop_height")]
    worst = max(number(made, "form_error"), made_first_pass_error(made))
    assert number(made, "form_budget") == pytest.approx((sum(parts) + worst) / 1000.0, rel=1e-12)


def made_first_pass_error(made):
    """What the first pass leaves along the normal, from the course of the force over a turn."""
    steps = made.sheet().steps
    return next(s.result for s in steps if getattr(s, "title", "") == "form error, first pass")


def test_no_limit_is_ever_exceeded():
    """Whatever is asked: a plan keeps power, torque, thrust and speeds, or there is none."""
    random = np.random.default_rng(3)
    kept = 0
    for _ in range(25):
        limits = {"largest_power": 10 ** random.uniform(-2.2, -0.5), "largest_torque": 10 ** random.uniform(-2.2, -1.0)}
        job = changed(
            machine={
                "largest_power": f"{limits['largest_power']} kW",
                "largest_torque": f"{limits['largest_torque']} N*m",
                "largest_thrust": f"{10 ** random.uniform(0.5, 2.0)} N",
                "largest_feed_rate": f"{random.uniform(300, 6000)} mm/min",
            },
            before={"stock": f"{random.uniform(0.05, 0.3)} mm"},
        )
        try:
            made = plan(job)
        except m.MillcalcError:
            continue
        kept += 1
        for word in ("", "first_pass_"):
            assert number(made, f"{word}cutting_power") <= limits["largest_power"] * (1 + 2e-4)
        assert number(made, "mean_torque") <= limits["largest_torque"] * (1 + 2e-4)
        assert number(made, "mean_force") <= number(job.machine, "largest_thrust") * (1 + 2e-4)
        assert number(made, "feed_rate") <= number(job.machine, "largest_feed_rate")
    assert kept >= 5


def test_rows_of_a_comparison_are_plans():
    table = compare(EXAMPLE, overhang=["18 mm", "24 mm", "30 mm"], stock=["0.1 mm", "0.2 mm"])
    for row in range(len(table)):
        made = table.plan(row)
        for name in ("cutting_power", "tip_deflection", "first_pass_tip_deflection", "bending_stress", "feed_rate"):
            assert float(table.values[name][row]) == pytest.approx(number(made, name), rel=1e-9), name


def test_a_sheet_shows_force_stiffness_and_deflection():
    page = str(plan(EXAMPLE).sheet())
    for words in ("force, beside a pass", "stiffness at the tip", "tip deflection, first pass", "MECHANISTIC"):
        assert words in page


def test_margins_name_what_is_left_and_what_is_not_decided():
    made = plan(EXAMPLE)
    found = {row.name: row for row in made.margins}
    assert found["tip deflection, first pass"].verdict == "not decided"
    assert found["spindle speed, machine"].verdict == "kept"
    assert found["spindle speed, machine"].margin == pytest.approx(1 - 17500 / 18000)
    assert [r.margin for r in made.margins] == sorted(r.margin for r in made.margins)
    assert made.as_numbers()["margins"]["feed rate, machine"]["limit"] == 8000.0


@pytest.mark.parametrize(
    ("used", "limit", "spread", "floor", "verdict"),
    [
        (0.5, 1.0, 0.3, False, "kept"),
        (0.8, 1.0, 0.3, False, "not decided"),
        (1.2, 1.0, 0.3, False, "not decided"),
        (1.5, 1.0, 0.3, False, "exceeded"),
        (1.1, 1.0, 0.0, False, "exceeded"),
        (1.0, 1.0, 0.0, False, "kept"),
        (3.0, 1.0, 0.3, True, "kept"),
        (1.1, 1.0, 0.3, True, "not decided"),
        (0.5, 1.0, 0.3, True, "exceeded"),
    ],
)
def test_verdicts(used, limit, spread, floor, verdict):
    assert Margin("power", used, limit, POWER, spread, floor).verdict == verdict


def test_the_page_shows_loads_and_margins():
    page = m.plan_page(plan(EXAMPLE))
    assert "LOADS (as good as the force constants)" in page
    assert "not decided" in page
    quiet = m.plan_page(plan(changed(cutter={"overhang": None})))
    assert "LOADS" not in quiet
    assert "MARGINS" in quiet


def test_stairs_of_roughing_stand_on_the_stock():
    """What a corner-radius cutter leaves at 45 deg in levels of 1 mm, 0.2929 mm (derived), is cut with the stock."""
    rougher = m.CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=4)
    thick = rougher.stairs("1 mm", "45 deg")[0]
    alone = {"previous_diameter": None, "previous_stepover": None}
    bare, stairs = (plan(changed(before=alone | more)) for more in ({}, {"stair_thickness": thick}))
    assert number(stairs, "greatest_depth") == pytest.approx(0.1 + 0.292893, abs=1e-6)
    assert number(stairs, "peak_bending") > number(bare, "peak_bending")
    assert "stairs of 0.2929 mm on it" in m.plan_page(stairs)
    with pytest.raises(m.MillcalcError, match="not both"):
        changed(before={"stair_thickness": "0.1 mm"})
    several = compare(changed(before=alone), stair_thickness=["0.1 mm", "0.2 mm"])
    assert several.values["greatest_depth"] == pytest.approx([0.2, 0.3])
