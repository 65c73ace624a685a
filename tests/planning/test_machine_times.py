"""Acceleration and block time from timed moves: moves integrated numerically, with noise; and what is refused."""

from __future__ import annotations

import ast
import math

import numpy as np
import pytest
from jobs import EXAMPLE, changed

from millcalc.errors import ArgumentError, JobError
from millcalc.planning import plan
from millcalc.planning.machine_times import TimedMove, fit_machine, time_factor_of
from millcalc.planning.reading import example_text, job_from_text
from millcalc.quantities.record import number

PLAN = plan(EXAMPLE)
FEED = 6000.0  # mm/min
ERROR = 0.3  # s, the default


def seconds(move, acceleration, block_time):
    """Time of all moves of a row (length, spacing or None, feed rate, repeats), by summing dx over the speed at x.

    The speed is the feed rate, what the blocks let through, or what can be reached from or left to a stand; over half
    a move x = l u^2/2, so that the start from a stand is summed without a pole.
    """
    length, spacing, feed, repeats = move
    fastest = min(feed / 60.0, (spacing or length) / (block_time / 1000.0))
    u = (np.arange(4000) + 0.5) / 4000
    speed = np.minimum(fastest, np.sqrt(2.0 * acceleration * (0.5 * length * u * u)))
    return 2 * repeats * 2 * float(np.sum(length * u / speed)) / 4000


def timed(move, time):
    length, spacing, feed, repeats = move
    stated = {"length": f"{length!r} mm", "feed_rate": f"{feed!r} mm/min", "repeats": repeats, "time": f"{time!r} s"}
    return TimedMove(**stated | ({} if spacing is None else {"point_spacing": f"{spacing!r} mm"}))


def measured(moves, truth, random=None, noise=ERROR):
    """The moves as a machine does them, with errors of the stopwatch."""
    return [timed(m, seconds(m, *truth) + (random.normal(0.0, noise) if random else 0.0)) for m in moves]


DESIGN = [
    (1.0, None, FEED, 120),
    (8.0, None, FEED, 40),
    (100.0, 0.05, FEED, 3),
    (100.0, 1.0, FEED, 5),
    (60.0, 0.1, FEED, 4),
]
TRUTHS = [(2000.0, 2.0), (700.0, 4.0), (5000.0, 1.0), (1200.0, 6.5), (9000.0, 0.8)]


@pytest.mark.parametrize("truth", TRUTHS)
def test_exact_times_give_the_machine_back(truth):
    found = fit_machine(measured(DESIGN, truth))
    values = (number(found, "acceleration"), number(found, "block_time"))
    assert values == pytest.approx(truth, rel=1e-3)
    assert np.abs(found.residuals).max() < 2e-3
    assert found.remark == ""
    for name, true in zip(("acceleration", "block_time"), truth, strict=True):
        assert number(found, f"{name}_low") < true < number(found, f"{name}_high")


def covered(found, truth):
    pairs = zip(("acceleration", "block_time"), truth, strict=True)
    return [number(found, f"{n}_low") <= true <= number(found, f"{n}_high") for n, true in pairs]


def test_ranges_hold_the_truth_as_often_as_they_say():
    """95 in 100; of 80 draws 72 or more but for 2 in 1000 (binomial), and too wide ranges would hold all."""
    random = np.random.default_rng(7)
    hits = []
    for draw in range(80):
        truth = TRUTHS[draw % 3]
        hits.append(covered(fit_machine(measured(DESIGN, truth, random)), truth))
    counts = np.sum(hits, axis=0)
    assert np.all(counts >= 72)
    assert counts.sum() < 160


def test_a_larger_error_than_stated_is_taken_from_the_disagreement():
    random = np.random.default_rng(11)
    # so often that no time falls below what the feed rate allows
    twice = [(length, spacing, feed, 15 * repeats) for length, spacing, feed, repeats in DESIGN + DESIGN]
    hits, remarks = [], []
    for _ in range(20):
        found = fit_machine(measured(twice, TRUTHS[0], random, noise=1.5), timing_error="0.15 s")
        hits.append(covered(found, TRUTHS[0]))
        remarks.append(found.remark)
        assert 0.5 < 60 * number(found, "timing_error") < 3.0
    assert np.sum(hits) >= 34
    assert all("disagree by more than the timing error" in r for r in remarks)


def test_the_width_is_that_of_the_timing_error():
    """Derived: of many short moves t = 4 N sqrt(l/a), so that da/a = 2 dt/t; of long ones t_b as dt/t."""
    moves = [(1.0, None, 60_000.0, 100), (100.0, 0.02, FEED, 10), (100.0, 0.5, FEED, 10)]
    found = fit_machine(measured(moves, (2000.0, 2.0)), timing_error="0.1 s")
    short = 400 * math.sqrt(1.0 / 2000.0)
    width = (number(found, "acceleration_high") - number(found, "acceleration_low")) / 2000.0
    # the long moves that blocks do not slow lose v/a each, 20 times, and tell as much of it as that
    tells = math.hypot(short / 2.0, 20 * 100.0 / 2000.0)
    assert width == pytest.approx(2 * 1.96 * 0.1 / tells, rel=0.01)
    long = 20 * 100.0 / 0.02 * 0.002
    width = (number(found, "block_time_high") - number(found, "block_time_low")) / 2.0
    assert width == pytest.approx(2 * 1.96 * 0.1 / long, rel=0.05)


def refused(moves, truth, **more):
    with pytest.raises(ArgumentError) as caught:
        fit_machine(measured(moves, truth), **more)
    return caught.value.faults


def suggested(fault):
    """The move that a fault asks for, as (length, spacing, feed rate, repeats)."""
    call = ast.parse(fault.example.replace(", time=...", ""), mode="eval").body
    stated = {k.arg: ast.literal_eval(k.value) for k in call.keywords}
    sizes = [
        float(str(stated[n]).split()[0]) if n in stated else None for n in ("length", "point_spacing", "feed_rate")
    ]
    return (*sizes, stated["repeats"])


UNTOLD = {
    "all long": ([(100.0, 0.05, FEED, 3), (200.0, 1.0, FEED, 3)], {"acceleration"}, "too long"),
    "blocks never slow it": ([(1.0, None, FEED, 100), (100.0, 2.0, FEED, 3)], {"block_time"}, "slowed by its blocks"),
    "one spacing": ([(5.0, 0.05, FEED, 60), (0.5, 0.05, FEED, 400)], {"block_time"}, "the same point spacing"),
    "twice the same": ([(100.0, 1.0, FEED, 3), (100.0, 1.0, FEED, 3)], {"acceleration", "block_time"}, "too long"),
}


@pytest.mark.parametrize("truth", TRUTHS[:3])
@pytest.mark.parametrize("case", UNTOLD)
def test_moves_that_cannot_tell_are_refused_and_the_further_moves_tell(case, truth):
    moves, names, reason = UNTOLD[case]
    faults = refused(moves, truth)
    assert {f.where for f in faults} == names
    assert any(reason in f.reason for f in faults)
    for _ in range(3):
        moves = moves + [suggested(f) for f in faults]
        try:
            found = fit_machine(measured(moves, truth))
            break
        except ArgumentError as error:
            faults = error.faults
    else:
        pytest.fail(f"still not told: {faults}")
    assert (number(found, "acceleration"), number(found, "block_time")) == pytest.approx(truth, rel=0.02)
    assert all(covered(found, truth))


def test_what_the_moves_tell_all_the_same_is_said():
    fault = refused(*([(1.0, None, FEED, 100), (100.0, 2.0, FEED, 3)], (2000.0, 2.0)))[0]
    most = float(fault.reason.partition("it lies below ")[2].split()[0])
    # 2 mm at 6000 mm/min pass in 20 ms: any quicker block is possible
    assert 19.0 < most < 24.0


def test_moves_faster_than_their_feed_rate_are_refused():
    slow = measured(DESIGN, TRUTHS[0])
    fast = timed((100.0, 1.0, FEED, 5), 5.0)  # once out and back counted as two: 10 s at the least
    with pytest.raises(ArgumentError, match=r"moves\[5\].time: given 5 s; at 6000 mm/min they take 10 s or more"):
        fit_machine([*slow, fast])


BAD = [
    ([{"length": 100, "feed_rate": "6000 mm/min", "repeats": 2, "time": "4 s"}], "moves[0].length: given 100"),
    ([{"length": "1 mm", "feed_rate": "-6000 mm/min", "repeats": 2, "time": "4 s"}], "moves[0].feed_rate"),
    ([{"length": "1 mm", "feed_rate": "6000 mm/min", "repeats": 1.5, "time": "4 s"}], "not a whole number"),
    ([{"length": "1 mm", "feed_rate": "6000 mm/min", "repeats": 0, "time": "4 s"}], "moves[0].repeats"),
    ([{"length": "1 mm", "feed_rate": "6000 mm/min", "repeats": 2, "time": "nan s"}], "moves[0].time"),
    ([{"length": "1 mm", "feed": "6000 mm/min", "repeats": 2, "time": "4 s"}], "(nearest: feed_rate"),
    ([timed((1.0, None, FEED, 9), 9.0), 5], "moves[1]: given 5; it is no move"),
    ([timed((1.0, None, FEED, 9), 9.0)], "two unknowns need two moves or more"),
    ([], "two unknowns need two moves or more"),
    ("moves.toml", "it is no list of moves"),
    (timed((1.0, None, FEED, 9), 9.0), "it is no list of moves"),
    (None, "it is no list of moves"),
]


@pytest.mark.parametrize(("moves", "said"), BAD, ids=[said for _, said in BAD])
def test_moves_that_cannot_be_used_are_refused(moves, said):
    with pytest.raises(ArgumentError) as caught:
        fit_machine(moves)
    assert said in str(caught.value)


@pytest.mark.parametrize("error", ["0 s", "-1 s", 0.3, "nan s", ["0.1 s", "0.2 s"], "0.3 mm"])
def test_a_timing_error_that_cannot_be_used_is_refused(error):
    with pytest.raises(ArgumentError, match="timing_error"):
        fit_machine(measured(DESIGN, TRUTHS[0]), timing_error=error)


def test_points_further_apart_than_the_move_are_refused():
    with pytest.raises(JobError, match="point_spacing: given 2 mm on 1 mm; the points lie further apart"):
        timed((1.0, 2.0, FEED, 9), 9.0)


def test_what_is_found_goes_into_the_machine_of_a_job():
    found = fit_machine(measured(DESIGN, TRUTHS[0]))
    machine = EXAMPLE.machine.with_(acceleration=found.acceleration, block_time=found.block_time)
    assert number(machine, "block_time") == number(found, "block_time")
    assert plan(EXAMPLE.with_(machine=machine)).block_rate.magnitude > 0
    assert str(found).splitlines()[1].startswith("block time 2 ms, from 1.9")


def test_the_time_factor_is_measured_over_computed_whatever_was_assumed():
    parts = ("cutting_time", "entry_exit_time", "acceleration_time", "link_time", "rapid_time")
    computed = sum(number(PLAN, name) for name in parts)
    assert time_factor_of(PLAN, "18 min") == pytest.approx(18.0 / computed)
    assumed = plan(changed(assumed={"time_factor": 1.3}))
    assert time_factor_of(assumed, "18 min") == pytest.approx(18.0 / computed)
    # planned again with it, the plan takes the measured time
    again = plan(changed(assumed={"time_factor": time_factor_of(assumed, "1080 s")}))
    assert number(again, "operation_time") == pytest.approx(18.0)
    rough = plan(job_from_text(example_text("roughing")))
    assert time_factor_of(rough, rough.operation_time) == pytest.approx(1.0)


@pytest.mark.parametrize("time", [18, "18", "0 min", "-3 min", "nan min", "18 mm", ["1 min", "2 min"]])
def test_a_measured_time_that_cannot_be_used_is_refused(time):
    with pytest.raises(ArgumentError, match="measured_time"):
        time_factor_of(PLAN, time)
    with pytest.raises(ArgumentError, match="no plan of a job"):
        time_factor_of(EXAMPLE, "18 min")
