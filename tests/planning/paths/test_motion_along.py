"""The time along a path: published cases, a simulation in fine steps, blocks of every size, causes."""

import math

import numpy as np
import pytest
from path_cases import BALL, CUT, MACHINE, simulated_time, wavy_path

from millcalc.formulas.motion import centripetal_feed_rate, corner_feed_rate, move_time
from millcalc.formulas.rotary import rotary_feed_rate, swung_feed_rate
from millcalc.planning.paths.evaluation import evaluate_path
from millcalc.planning.paths.points import Path

UP = {"axis": [0, 0, 1], "normal": [0, 0, 1], "unit": "mm"}


def evaluated(points, machine=MACHINE, cut=CUT, **more):
    return evaluate_path(Path(points, **UP), BALL, machine, cut, **more)


def test_the_block_time_limits_the_feed():
    """Published relation L/T: 0.1 mm in 2 ms is 3000 mm/min (read in the table of the truths)."""
    fast = CUT._with_kept({"chip_thickness": None, "feed_per_tooth": 0.5})
    points = np.column_stack((np.arange(200) * 0.1, np.zeros(200), np.zeros(200)))
    found = evaluated(points, cut=fast)
    assert found["feed_rate"][100] == pytest.approx(3000.0, rel=1e-9)
    assert found.extremes["mean_feed_rate"].greatest == pytest.approx(3000.0, rel=1e-9)
    assert found.governed["block time"][0] > 150


def test_rest_to_rest_reaches_its_peak():
    """A move of 1 mm at 2000 mm/s^2 peaks at sqrt(a L), 2683.3 mm/min: it takes 2 sqrt(L/a) (published relation)."""
    fast = CUT._with_kept({"chip_thickness": None, "feed_per_tooth": 0.5})
    found = evaluated([[0, 0, 0], [1, 0, 0]], cut=fast)
    assert found.time.to("s").magnitude == pytest.approx(2.0 * math.sqrt(1.0 / 2000.0), rel=1e-12)
    assert 2.0 * found["mean_feed_rate"][1] == pytest.approx(2683.3, abs=0.05)
    assert found.governed == {"acceleration": (1, 1.0)}
    assert found.extremes["block_time"].least_row == 1


@pytest.mark.parametrize("length", [0.5, 3.0, 80.0])
def test_a_straight_move_takes_the_time_of_the_formula(length):
    points = np.column_stack((np.linspace(0, length, 41), np.zeros(41), np.zeros(41)))
    found = evaluated(points, MACHINE.with_(block_time="0.001 ms"))
    wanted = move_time.bare(length, found["feed_rate"][5], 2000.0)
    assert found.time.to("min").magnitude == pytest.approx(wanted, rel=1e-9)


def test_an_arc_is_passed_at_the_speed_of_its_radius():
    """Published relation sqrt(a r): 5000 mm/s^2 on 1 mm is 4242.6 mm/min."""
    around = np.linspace(0.0, 6.0, 20_000)
    points = np.column_stack((np.cos(around), np.sin(around), np.zeros(20_000)))
    fast = CUT._with_kept({"chip_thickness": None, "feed_per_tooth": 0.5})
    machine = MACHINE.with_(acceleration="5000 mm/s^2", block_time="0.0001 ms", largest_feed_rate="20 m/min")
    found = evaluated(points, machine, fast)
    assert centripetal_feed_rate.bare(5000.0, 1.0) == pytest.approx(4242.6, abs=0.05)
    assert found.extremes["mean_feed_rate"].greatest == pytest.approx(4242.6, rel=1e-4)
    assert found.governed["corner"][0] > 15_000


def test_a_corner_is_passed_at_the_speed_of_the_formula():
    """Two long moves at 90 deg within 10 um: R = 0.02414 mm (derived, read in the table of the truths)."""
    found = evaluated([[0, 0, 0], [50, 0, 0], [50, 50, 0]])
    corner = corner_feed_rate.bare(2000.0, 10.0, 90.0) / 60.0
    assert corner**2 / 2000.0 == pytest.approx(0.02414, abs=5e-6)
    rate = found["feed_rate"][1] / 60.0
    wanted = 2 * (50.0 / rate + rate / 2 / 2000.0 + (rate - corner) ** 2 / (2 * 2000.0 * rate))
    assert found.time.to("s").magnitude == pytest.approx(wanted, rel=1e-12)


@pytest.mark.parametrize("block", [2, 3, 7, 50, 4000])
def test_blocks_and_threads_do_not_change_the_result(block):
    whole = evaluate_path(wavy_path(900, noise=1.0), BALL, MACHINE, CUT, threads=1, block=2000)
    found = evaluate_path(wavy_path(900, noise=1.0), BALL, MACHINE, CUT, threads=2, block=block)
    assert found.keys() == whole.keys()
    names = whole.keys()
    for name in names:
        np.testing.assert_allclose(found[name], whole[name], rtol=1e-9, atol=1e-12, err_msg=name)
    assert found.time.magnitude == pytest.approx(whole.time.magnitude, rel=1e-12)
    assert found.extremes["largest_speed"] == whole.extremes["largest_speed"]
    assert {c: n for c, (n, _) in found.governed.items()} == {c: n for c, (n, _) in whole.governed.items()}


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("look_ahead", [None, 2])
def test_random_paths_against_a_simulation_in_fine_steps(seed, look_ahead):
    random = np.random.default_rng(seed)
    points = np.cumsum(random.uniform(-1.0, 1.0, (12, 3)) * [2.0, 2.0, 0.0], axis=0)
    cut = CUT if look_ahead is None else CUT.with_(look_ahead=look_ahead)
    found = evaluated(points, MACHINE.with_(acceleration="700 mm/s^2"), cut, block=5)
    moves = np.diff(points, axis=0)
    steps = np.linalg.norm(moves, axis=1)
    caps = [0.0]
    for at in range(1, len(moves)):
        cosine = np.clip(moves[at - 1] @ moves[at] / steps[at - 1] / steps[at], -1.0, 1.0)
        angle = 180.0 - math.degrees(math.acos(cosine))
        within = corner_feed_rate.bare(700.0, 10.0, angle)
        fits = 0.5 * min(steps[at - 1], steps[at]) * math.tan(math.radians(angle / 2))
        cap = min(within, centripetal_feed_rate.bare(700.0, fits)) / 60.0
        if look_ahead is not None:
            cap = min(cap, math.sqrt(2.0 * 700.0 * steps[at : at + look_ahead].sum()))
        caps.append(cap)
    wanted = simulated_time(steps, found["feed_rate"][1:] / 60.0, [*caps, 0.0], 700.0)
    assert found.time.to("s").magnitude == pytest.approx(wanted, rel=1e-3)
    assert found["block_time"].sum() / 1000.0 == pytest.approx(found.time.to("s").magnitude, rel=1e-12)


def test_a_short_look_ahead_slows_a_straight_path():
    points = np.column_stack((np.arange(3000) * 0.01, np.zeros(3000), np.zeros(3000)))
    fast = CUT._with_kept({"chip_thickness": None, "feed_per_tooth": 0.2})
    machine = MACHINE.with_(block_time="0.01 ms")
    found = evaluated(points, machine, fast.with_(look_ahead=10), block=128)
    steady = math.sqrt(2.0 * 2000.0 * 10 * 0.01) * 60.0
    middle = slice(500, 2500)
    np.testing.assert_allclose(found["mean_feed_rate"][middle], steady, rtol=0.03)
    assert found.governed["look-ahead"][0] > 2900


def test_rotary_axes_limit_the_feed_as_the_formulas_say():
    """Around a cylinder of 20 mm with the axis along the normal, the contact as the programmed point's base."""
    around = np.radians(np.linspace(0.0, 60.0, 300))
    normal = np.column_stack((np.sin(around), np.zeros(300), np.cos(around)))
    machine = MACHINE.with_(rotary_rate="20 deg/s")
    path = Path(20.0 * normal, axis=normal, normal=normal, unit="mm")
    found = evaluate_path(path, BALL, machine, CUT)
    assert found["feed_rate"][100] == pytest.approx(rotary_feed_rate.bare(20.0, 20.0), rel=1e-4)
    assert found.governed["rotary rate"][0] > 200
    far = MACHINE.with_(rotary_distance="250 mm", rapid_rate="20 m/min")
    found = evaluate_path(path, BALL, far, CUT)
    assert found["feed_rate"][100] == pytest.approx(swung_feed_rate.bare(20_000.0, 250.0, 20.0), rel=1e-4)


def test_a_rapid_turns_no_faster_than_the_rotary_axes():
    """45 deg in a move of 10 mm at 20 deg/s: 2.25 s, 266.7 mm/min, however fast the linear axes are."""
    axis = np.array([[0, 0, 1], [math.sqrt(0.5), 0, math.sqrt(0.5)], [math.sqrt(0.5), 0, math.sqrt(0.5)]])
    path = Path([[0, 0, 0], [10, 0, 0], [20, 0, 0]], axis=axis, normal=[0, 0, 1], rapid=[0, 1, 1], unit="mm")
    found = evaluate_path(path, BALL, MACHINE.with_(rotary_rate="20 deg/s"), CUT)
    assert found["feed_rate"][1] == pytest.approx(10.0 / 2.25 * 60.0, rel=1e-9)
    assert found["feed_rate"][2] == 20_000.0
    assert found.cause_words()[1] == "rotary rate"


def test_retracts_and_rapids_cut_nothing():
    points = [[0, 0, 0], [10, 0, 0], [20, 0, 0], [20, 0, 5], [20, 0, 10], [0, 0, 10], [0, 1, 10], [0, 1, 5], [0, 1, 0]]
    path = Path(points, rapid=[0, 0, 0, 0, 0, 1, 1, 0, 0], **UP)
    found = evaluate_path(path, BALL, MACHINE.with_(acceleration="20 m/s^2"), CUT)
    empty = np.isnan(found["largest_diameter"])
    assert empty.tolist() == [False, False, False, True, False, True, True, True, True]
    idle = np.isnan(found["chip_thickness"])
    assert idle.tolist() == [True, False, False, True, True, True, True, True, True]
    assert found.without_cut == 6
    assert found["feed_rate"][5] == 20_000.0
    assert "rapid rate" in found.governed
    assert not np.isnan(found["feed_rate"]).any()
    assert found.extremes["largest_diameter"].greatest_row == 0


def test_the_feed_rate_of_the_program_is_not_exceeded():
    points = np.column_stack((np.arange(50) * 2.0, np.zeros(50), np.zeros(50)))
    given = np.where(np.arange(50) < 25, 700.0, 9000.0)
    found = evaluate_path(Path(points, feed_rate=given, **UP), BALL, MACHINE, CUT)
    assert found["feed_rate"][10] == pytest.approx(700.0, rel=1e-12)
    assert found["feed_rate"][40] < 8000.0
    assert found.cause_words()[10] == "feed rate of the program"


def test_points_whose_slowest_edge_rubs_are_counted():
    found = evaluated([[0, 0, 0], [5, 0, 0], [9, 0, 0]], cut=CUT.with_(least_cutting_speed="20 m/min"))
    assert (found.slow_points, found.first_slow_row) == (3, 0)
    assert found.slow_time == found.time
    assert "below 20" in str(found)
