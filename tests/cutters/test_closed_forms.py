"""Closed forms against the engine over their whole domain, and against the formulas of the ball."""

import numpy as np
import pytest

import millcalc as m
from millcalc.cutters.closed_forms import closed_height, closed_stepover
from millcalc.cutters.scallop import scallop_height, scallop_stepover
from millcalc.formulas import ball, ball_chip, curves, marks, scallops

BALL = m.BallEndMill(diameter="10 mm", teeth=2)
FLAT = m.FlatEndMill(diameter="10 mm", teeth=2)
CORNER = m.CornerRadiusEndMill(diameter="10 mm", corner_radius="2 mm", teeth=2)
COUNT = 2000
RANDOM = np.random.default_rng(11)


def drawn(low, high):
    return RANDOM.uniform(low, high, COUNT)


def test_a_ball_on_plane_and_crest():
    step, lead, tilt = drawn(0.01, 9.0), drawn(-60.0, 60.0), drawn(-60.0, 60.0)
    radius = np.where(RANDOM.random(COUNT) < 0.5, np.inf, drawn(1.0, 200.0))
    closed = closed_height(BALL.profile, step, lead, tilt, radius)
    engine = scallop_height(BALL.profile, step, lead, tilt, radius)
    holds = ~np.isnan(closed)
    assert holds.sum() > COUNT / 2
    assert engine[holds] == pytest.approx(closed[holds], abs=1e-9)
    back = closed_stepover(BALL.profile, np.where(holds, closed, 0.01), lead, tilt, radius)
    sought = scallop_stepover(BALL.profile, np.where(holds, closed, 0.01), lead, tilt, radius)
    known = ~np.isnan(back)
    assert known[holds].mean() > 0.99
    assert sought[known] == pytest.approx(back[known], abs=1e-9)


@pytest.mark.parametrize("leaned", ["lead", "tilt"])
def test_a_flat_end_leaned_one_way(leaned):
    step, angle = drawn(0.01, 9.5), drawn(-80.0, 80.0)
    lean = (angle, 0.0 * angle) if leaned == "lead" else (0.0 * angle, angle)
    closed = closed_height(FLAT.profile, step, *lean, np.inf)
    engine = scallop_height(FLAT.profile, step, *lean, np.inf)
    holds = ~np.isnan(closed)
    assert holds.mean() > 0.6
    assert engine[holds] == pytest.approx(closed[holds], abs=1e-9)
    back = closed_stepover(FLAT.profile, np.where(holds, closed, 0.01), *lean, np.inf)
    assert back[holds] == pytest.approx(step[holds], abs=1e-9)


def test_other_forms_have_none():
    assert closed_height(CORNER.profile, 0.3, 5.0, 0.0, np.inf) is None
    assert closed_stepover(CORNER.profile, 0.01, 5.0, 0.0, np.inf) is None


def test_diameters_of_the_cap_are_those_of_the_formulas():
    depth, lead, tilt = drawn(0.0, 12.0), drawn(-89.0, 89.0), drawn(-89.0, 89.0)
    lean = np.degrees(np.arccos(np.cos(np.radians(lead)) * np.cos(np.radians(tilt))))
    found = BALL.effective_diameter.bare(depth, lead, tilt), BALL.least_diameter.bare(depth, lead, tilt)
    assert found[0] == pytest.approx(ball.ball_effective_diameter.bare(10.0, depth, lean), abs=1e-9)
    assert found[1] == pytest.approx(ball.ball_least_diameter.bare(10.0, depth, lean), abs=1e-6)
    assert BALL.contact_diameter.bare(lead, tilt) == pytest.approx(
        ball.ball_contact_diameter.bare(10.0, lean), abs=1e-6
    )


def test_a_torus_touches_where_the_closed_form_says():
    lead, tilt = drawn(-80.0, 80.0), drawn(-80.0, 80.0)
    lean = np.arccos(np.cos(np.radians(lead)) * np.cos(np.radians(tilt)))
    assert CORNER.contact_diameter.bare(lead, tilt) == pytest.approx(2.0 * (3.0 + 2.0 * np.sin(lean)), abs=1e-9)
    assert CORNER.contact.bare(lead, tilt)[0] == pytest.approx(2.0 - 2.0 * np.cos(lean), abs=1e-9)
    assert FLAT.contact_diameter.bare(lead, tilt) == pytest.approx(np.full(COUNT, 10.0), rel=1e-15)


def test_the_rest_of_a_balls_answers_are_those_of_its_formulas():
    depth, lead, tilt = drawn(0.02, 0.6), drawn(0.5, 20.0), drawn(-15.0, 15.0)
    step, rho = drawn(0.02, 1.0), np.where(RANDOM.random(COUNT) < 0.5, -drawn(30.0, 300.0), drawn(20.0, 300.0))
    few = slice(0, 200)
    for side in ("left", "right"):
        case = depth[few], lead[few], tilt[few], step[few], side
        mine = np.array(BALL.cutting_diameters.bare(*case))
        closed = np.array(ball.ball_cutting_diameters.bare(10.0, *case))
        assert mine == pytest.approx(closed, abs=1e-6)
    chip = BALL.max_chip_thickness.bare(0.1, depth[few], lead[few], tilt[few], step[few])
    assert chip == pytest.approx(ball_chip.ball_max_chip_thickness.bare(0.1, 10.0, depth[few], step[few]), abs=1e-9)
    mean = BALL.mean_chip_thickness.bare(0.1, depth[few], lead[few], tilt[few], step[few])
    assert mean == pytest.approx(ball_chip.ball_mean_chip_thickness.bare(0.1, 10.0, depth[few], step[few]), rel=1e-3)
    feed = drawn(0.01, 0.5)
    mark = BALL.mark_height.bare(feed[few], lead[few], tilt[few], rho[few])
    assert mark == pytest.approx(marks.tooth_mark_height.bare(10.0, feed[few], rho[few]), abs=1e-6)
    runout = BALL.runout_mark_height.bare(feed[few], lead[few], tilt[few], rho[few], 3.0, 4.0)
    lean = np.degrees(np.arccos(np.cos(np.radians(lead)) * np.cos(np.radians(tilt))))
    assert runout == pytest.approx(
        marks.runout_mark_height.bare(10.0, feed[few], 3.0, 4.0, lean[few], rho[few]), abs=1e-6
    )
    assert BALL.tip_path_radius.bare(rho, lead, tilt) == pytest.approx(
        curves.tip_path_radius.bare(10.0, rho, lead, tilt), rel=1e-12
    )
    assert BALL.reference_path_radius.bare(rho, lead, tilt) == pytest.approx(
        curves.centre_path_radius.bare(10.0, rho), rel=1e-12
    )
    assert BALL.engaged_depth.bare(depth, lead, tilt, rho) == pytest.approx(
        ball.engaged_depth.bare(10.0, depth, rho), abs=1e-9
    )
    assert BALL.clearing_inclination.bare(depth) == pytest.approx(ball.clearing_inclination.bare(10.0, depth), rel=1e-9)
    height = BALL.scallop_height.bare(step, lead, tilt, rho)
    fits = ~np.isnan(height)
    assert fits.mean() > 0.9
    assert height[fits] == pytest.approx(scallops.scallop_height.bare(10.0, step, rho)[fits], abs=1e-6)
