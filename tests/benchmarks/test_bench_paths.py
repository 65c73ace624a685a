"""What a path costs, as ratios measured in one run: to loops fused by hand, to plain NumPy, by length, by form.

Rounds of all sides are interleaved, and medians compared, so that what else the machine does hits all alike. The
lengths are those that a suite has time for; MILLCALC_LONG=1 takes ten million points.
"""

from __future__ import annotations

import os
import time
import tracemalloc
from functools import cache

import numpy as np
import pytest
from path_cases import BALL, CUT, MACHINE, unit
from rounds import settled

from millcalc import CornerRadiusEndMill
from millcalc.formulas.ball_chip import ball_feed_per_tooth_for_chip, ball_max_chip_thickness
from millcalc.planning.paths.blocks import aligned
from millcalc.planning.paths.evaluation import evaluate_path
from millcalc.planning.paths.points import Path

LONG = bool(os.environ.get("MILLCALC_LONG"))
MANY = 10_000_000 if LONG else 1_000_000
NAMES = (
    "step",
    "least_diameter",
    "contact_diameter",
    "largest_diameter",
    "least_speed",
    "contact_speed",
    "largest_speed",
    "feed_rate",
    "mean_feed_rate",
    "chip_thickness",
    "block_time",
    "removal_rate",
    "cause",
)


@cache
def long_case(count: int):
    """Passes over a wavy surface, ten thousand points each, the axis leaning ahead and to the side."""
    way = np.arange(count) * 0.1
    x, y = way % 1000.0, np.floor(way / 1000.0) * 0.3
    points = np.column_stack((x, y, 3.0 * np.sin(x / 10.0) * np.cos(y / 10.0)))
    slopes = (-0.3 * np.cos(x / 10.0) * np.cos(y / 10.0), 0.3 * np.sin(x / 10.0) * np.sin(y / 10.0), np.ones(count))
    normal = unit(np.column_stack(slopes))
    axis = unit(normal + np.column_stack((np.full(count, 0.3), 0.1 * np.sin(way / 7.0), np.zeros(count))))
    return points, axis, normal


def arrays(count):
    return {n: aligned(count, np.uint8 if n == "cause" else float) for n in NAMES}


def runner(count, cutter=BALL, **more):
    """A function that evaluates into arrays that are there already, and those arrays."""
    points, axis, normal = long_case(count)
    path, out = Path(points, axis=axis, normal=normal, unit="mm"), arrays(count)
    for array in out.values():
        array[:] = 0
    return lambda: evaluate_path(path, cutter, MACHINE, CUT, keep=(), out=out, **more), out


def medians(*calls, rounds: int):
    """Median time of each call, the calls in turn; the first round warms up."""
    times = []
    for _ in range(rounds + 1):
        row = []
        for call in calls:
            start = time.perf_counter()
            call()
            row.append(time.perf_counter() - start)
        times.append(row)
    return np.median(np.array(times[1:]), axis=0)


def feed_per_tooth():
    return ball_feed_per_tooth_for_chip.bare(0.02, 10.0, 0.2, 0.3)


def by_hand():
    """The loops fused by hand, two threads, and the arrays that they fill in."""
    fused = pytest.importorskip("fused_path")
    points, axis, normal = long_case(MANY)
    ref, speeds, spare = arrays(MANY), np.empty((3, MANY)), np.empty((3, MANY))
    ref["cause"][:] = 0
    share = ball_max_chip_thickness.bare(1.0, 10.0, 0.2, 0.3) / 24_000.0
    sine = 2.0 * np.sqrt(0.02 * 0.98)
    rate = feed_per_tooth() * 24_000.0 / 60.0
    case = (10.0, 0.96, sine, rate, 8000.0 / 60.0, 0.002, 0.01, 2000.0, np.pi * 12.0)

    def run():
        cut = [ref[n] for n in ("least_diameter", "contact_diameter", "largest_diameter")]
        fused.points(points, axis, normal, case, ref["step"], spare[0], *cut, speeds, ref["feed_rate"], spare[1])
        fused.along(ref["step"], ref["feed_rate"], spare[1], 2000.0, spare[2])
        last = [ref[n] for n in ("block_time", "mean_feed_rate", "chip_thickness", "removal_rate", "cause")]
        fused.loads(ref["step"], spare[0], ref["feed_rate"], spare[2], 2000.0, share, 0.06 / 1000.0, *last)

    return run, ref


@pytest.mark.parametrize(("compiled", "most"), [(True, 1.2), (False, 5.0)], ids=["compiled", "arrays"])
def test_against_loops_fused_by_hand(compiled, most):
    """Two threads each; the loops by hand have neither sums nor extremes, and do not look for rows that fail.

    By NumPy alone it is 3.5 to 4: a ufunc writes and reads its operands in the cache where a loop keeps them in
    registers, and two threads wait for each other between its calls; 5 leaves room for another machine.
    """
    hand, ref = by_hand()
    ours, out = runner(MANY, threads=2, compiled=compiled)

    def ratio():
        mine, other = medians(ours, hand, rounds=5)
        return mine / other

    found = settled(ratio, most, tries=6)
    for name in NAMES[:-1]:
        if not name.endswith("speed"):
            np.testing.assert_allclose(out[name], ref[name], rtol=1e-8, atol=1e-9, err_msg=name)
    assert found <= most


def whole_arrays(points, axis, normal):
    """The same in plain NumPy on whole arrays, by angles, as a script would; the look-ahead by running minima."""
    move = np.diff(points, axis=0)
    step = np.linalg.norm(move, axis=1)
    way = np.linalg.norm(move + 5.0 * np.diff(axis - normal, axis=0), axis=1)
    ahead = move / step[:, None]
    ahead = np.vstack((ahead[:1], ahead, ahead[-1:]))
    travel = ahead[1:] + ahead[:-1]
    travel = travel - np.sum(travel * normal, axis=1)[:, None] * normal
    travel /= np.linalg.norm(travel, axis=1)[:, None]
    f, n = np.sum(axis * travel, axis=1), np.sum(axis * normal, axis=1)
    c = np.sum(axis * np.cross(normal, travel), axis=1)
    top, rim = -0.96, 2.0 * np.sqrt(0.02 * 0.98)
    high = n * top + rim * np.where(f >= 0.0, np.hypot(f, c), np.abs(c))
    section = np.sqrt(1.0 - f * f)
    low = np.where(n >= -top * section, -section, n * top - np.abs(c) * rim)
    low = np.where(f > 0.0, low, np.where(n >= -top, -1.0, n * top - np.hypot(f, c) * rim))
    diameters = [10.0 * np.sqrt(np.maximum(1.0 - w * w, 0.0)) for w in (low, -n, np.minimum(high, 0.0))]
    speeds = [np.pi * 12.0 * d for d in diameters]
    rate = np.minimum(np.minimum(feed_per_tooth() * 400.0 * step / way, 8000.0 / 60.0), step / 0.002)
    turn = np.arccos(np.clip(np.sum(ahead[1:-2] * ahead[2:-1], axis=1), -1.0, 1.0))
    cosine = np.cos(turn / 2)
    with np.errstate(divide="ignore", invalid="ignore"):
        radius = np.minimum(0.01 * cosine / (1.0 - cosine), np.minimum(step[1:], step[:-1]) / 2 / np.tan(turn / 2))
    cap = np.fmin(np.minimum(rate[1:], rate[:-1]) ** 2, 2000.0 * radius)
    cap = np.concatenate(([0.0], cap, [0.0]))
    distance = np.concatenate(([0.0], np.cumsum(4000.0 * step)))
    u = np.minimum.accumulate(cap - distance) + distance
    u = np.minimum(u, np.minimum.accumulate((cap + distance)[::-1])[::-1] - distance)
    u = np.maximum(u, 0.0)
    peak = np.sqrt(np.minimum(rate**2, (u[1:] + u[:-1]) / 2 + 2000.0 * step))
    spent = (2 * peak - np.sqrt(u[1:]) - np.sqrt(u[:-1])) / 2000.0
    spent = spent + np.maximum(step - (peak**2 - (u[1:] + u[:-1]) / 2) / 2000.0, 0.0) / peak
    contact = way / spent * 60.0
    share = ball_max_chip_thickness.bare(1.0, 10.0, 0.2, 0.3) / 24_000.0
    loads = contact * share, contact * 0.06 / 1000.0
    ends = [(a.min(), a.argmin(), a.max(), a.argmax()) for a in (*diameters, *speeds, rate, spent, *loads)]
    return spent, diameters, ends


def test_against_plain_numpy_on_whole_arrays():
    ours, out = runner(MANY)
    case = long_case(MANY)
    spent, diameters, _ = whole_arrays(*case)

    def ratio():
        mine, plain = medians(ours, lambda: whole_arrays(*case), rounds=3)
        return mine / plain

    assert settled(ratio, 0.5, tries=4) <= 0.5
    np.testing.assert_allclose(out["block_time"][1:], spent * 1000.0, rtol=1e-4)
    np.testing.assert_allclose(out["largest_diameter"], diameters[2], rtol=1e-9)


@pytest.mark.parametrize("compiled", [True, False], ids=["compiled", "arrays"])
def test_the_time_grows_with_the_length(compiled):
    """A tenth at most above what the length says, from a quarter of it to all of it."""
    if compiled:
        pytest.importorskip("numba")
    few, many = MANY // 4, MANY
    one, ten = runner(few, compiled=compiled)[0], runner(many, compiled=compiled)[0]

    def ratio():
        short, long = medians(one, ten, rounds=5)
        return long / short / (many / few)

    assert settled(ratio, 1.1, tries=4) <= 1.1


def test_a_corner_radius_against_a_ball():
    """Once its grid of leans is filled, which does not grow with the path."""
    cutter = CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=4)
    few = 250_000
    points, axis, normal = long_case(few)
    path = Path(points, axis=axis, normal=normal, unit="mm")
    cut = CUT._with_kept({"chip_thickness": None, "feed_per_tooth": 0.1, "stepover": np.inf})

    def form():
        evaluate_path(path, cutter, MACHINE, cut, keep=("largest_diameter", "feed_rate"))

    def ball():
        evaluate_path(path, BALL, MACHINE, cut, keep=("largest_diameter", "feed_rate"))

    def ratio():
        one, other = medians(form, ball, rounds=2)
        return one / other

    assert settled(ratio, 40.0, tries=2) <= 40.0


def pieces(count, size=50_000):
    for at in range(0, count, size):
        way = np.arange(at, min(at + size, count)) * 0.1
        yield {"x": way, "y": np.sin(way), "z": 0.0 * way}


@pytest.mark.parametrize("count", [200_000, 5_000_000 if LONG else 1_000_000])
def test_memory_beyond_the_results_is_bounded(count):
    constants = {"i": 0.0, "j": 0.0, "k": 1.0, "nx": 0.0, "ny": 0.0, "nz": 1.0}
    path = Path.from_chunks(pieces(count), unit="mm", constants=constants)
    tracemalloc.start()
    try:
        found = evaluate_path(path, BALL, MACHINE, CUT, keep=(), threads=2)
        most = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert found.points == count
    assert most < 100e6
