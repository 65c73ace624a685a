"""Trochoidal loops against the cutter going round: its rim sampled in the stock that all loops before have left."""

from __future__ import annotations

import functools
import math

import numpy as np
import pytest
from scipy.optimize import brentq
from shapely.geometry import Point
from shapely.ops import unary_union

from millcalc.errors import DomainError, UnitError
from millcalc.formulas import arcs, chips, helical_entries, loops

RIM = 1801  # samples of the leading half of the rim, 0.1 deg apart
TURNS = 720  # places of the cutter round the loop
# cutter, slot, step: narrow and wide slots, small steps and the largest
CASES = [
    (10.0, 16.0, 1.0),
    (10.0, 16.0, 3.0),
    (10.0, 16.0, 5.5),
    (10.0, 12.0, 0.3),
    (10.0, 12.0, 1.2),
    (10.0, 12.0, 1.9),
    (10.0, 11.0, 0.8),
    (10.0, 20.0, 9.5),
    (10.0, 40.0, 1.0),
    (10.0, 40.0, 8.0),
    (6.0, 60.0, 6.0),
]


class Round:
    """One loop of a slot that has been going on: its circle is at the origin, the step forward is along x."""

    def __init__(self, diameter, width, step):
        self.radius, self.path, self.reach, self.step = diameter / 2, (width - diameter) / 2, width / 2, step
        self.before = int(width / step) + 2
        self.given = diameter, width, step

    def axis(self, turn):
        return self.path * np.cos(turn), self.path * np.sin(turn)

    def cut_by_loops_before(self, x, y):
        """Each loop cuts a ring; the first of them starts in a hole that is clear."""
        standing = np.arange(x.size)
        for loop in range(1, self.before + 1):
            away = np.hypot(x[standing] + loop * self.step, y[standing])
            hole = loop == self.before
            cut = (away <= self.reach + 1e-12) & (hole | (away >= self.path - self.radius - 1e-12))
            standing = standing[~cut]
        return ~np.isin(np.arange(x.size), standing)

    def cut_on_this_loop(self, x, y, turn):
        """Where the cutter stood since the step forward, half a degree apart, up to just before now.

        Of places on a circle the nearest to a sample is the next in angle, to either side, or the first or the last.
        """
        places = np.arange(-math.pi, turn - 1e-6, math.pi / 360)
        along = (np.arctan2(y, x) + math.pi) / (math.pi / 360)
        last = np.full(along.shape, places.size - 1.0)
        nearest = np.stack([np.floor(along), np.ceil(along), 0.0 * last, last]).clip(0, places.size - 1)
        px, py = self.axis(places[nearest.astype(int)])
        ahead = -self.path - np.linspace(0, self.step, 40)[:, None]
        near = (x - np.concatenate([px, ahead + 0.0 * x])) ** 2 + (y - np.concatenate([py, 0.0 * (ahead + y)])) ** 2
        return (near < (self.radius - 1e-9) ** 2).any(axis=0)

    def leading(self, turn):
        """Samples of the leading half: their angle from the travel, and which stand in stock."""
        away = np.linspace(-math.pi / 2, math.pi / 2, RIM)
        px, py = self.axis(turn)
        x = px + self.radius * np.cos(turn + math.pi / 2 + away)
        y = py + self.radius * np.sin(turn + math.pi / 2 + away)
        stock = ~self.cut_by_loops_before(x, y)
        # only what is not clear already
        if stock.any():
            stock[stock] = ~self.cut_on_this_loop(x[stock], y[stock], turn)
        return away, stock

    def engagement(self, turn):
        """Degrees of the leading half in stock, right to a tenth."""
        return 180.0 * float(self.leading(turn)[1].mean())

    def largest(self):
        """The largest engagement all round, and a fiftieth of a degree apart about the best place."""
        turns, seen = once_round(*self.given)
        best = turns[int(np.argmax([stock.mean() for _, stock in seen]))]
        spacing = math.degrees(turns[1] - turns[0])
        fine = [self.engagement(t) for t in best + np.radians(np.arange(-spacing, spacing, 0.02))]
        return max(fine), math.degrees(best)


@functools.cache
def once_round(diameter, width, step):
    """The middles of even steps all round the loop, and what the leading half meets there."""
    around = Round(diameter, width, step)
    turns = np.linspace(-math.pi, math.pi, TURNS, endpoint=False) + math.pi / TURNS
    return turns, [around.leading(t) for t in turns]


@pytest.mark.parametrize(("diameter", "width", "step"), CASES)
def test_the_largest_engagement_on_a_loop(diameter, width, step):
    """Right to the spacing of the samples; on the front of the loop it is less."""
    around = Round(diameter, width, step)
    largest, place = around.largest()
    got = loops.loop_engagement.bare(diameter, width, step)
    assert got == pytest.approx(largest, abs=0.2)
    assert place < 0.0 or got == 180.0
    # at the front by the law of cosines, as a check of the sampling itself
    rho, radius, ahead = width / 2, diameter / 2, (width - diameter) / 2 + step
    front = math.degrees(math.acos((rho**2 - ahead**2 - radius**2) / (2 * ahead * radius)))
    assert around.engagement(0.0) == pytest.approx(front, abs=0.15)
    assert front < got or got == 180.0


@pytest.mark.parametrize(("diameter", "width", "step"), CASES)
def test_where_a_loop_cuts_and_what_it_removes(diameter, width, step):
    """The way in the cut, as the time counts it, and the area that the leading half sweeps over in stock."""
    around = Round(diameter, width, step)
    turns, seen = once_round(diameter, width, step)
    cutting = np.array([stock.any() for _, stock in seen])
    way = helical_entries.entry_path_radius.bare(diameter, width) * 2 * math.pi / turns.size
    time = float(np.where(cutting, way / 800.0, way / 5000.0).sum()) + step / 5000.0
    assert loops.loop_time.bare(width, diameter, step, 800.0, 5000.0) == pytest.approx(time, rel=4e-3)
    swept = sum(float((np.cos(away) * stock).sum()) for away, stock in seen) * diameter / 2 * math.pi / (RIM - 1) * way
    slot = unary_union([Point(k * step, 0.0).buffer(width / 2, quad_segs=500) for k in range(around.before + 1)])
    before = unary_union([Point(k * step, 0.0).buffer(width / 2, quad_segs=500) for k in range(around.before)])
    area = slot.area - before.area
    assert swept == pytest.approx(area, rel=0.02)
    rate = loops.loop_removal_rate.bare(width, 5.0, step, 0.01)
    ridges = (step / width) ** 2 / 6.0
    assert 5.0 * area / 0.01 / 1000.0 == pytest.approx(rate * (1.0 - ridges), rel=2e-3)


def test_the_engagement_of_a_bore_with_stock_as_thick_as_the_step():
    """The formula of arcs, whose triangle has another origin, in slots at least twice as wide as the cutter."""
    for width in (20.0, 26.0, 60.0, 500.0):
        for step in (0.01, 0.4, 3.0, 7.0, 9.9):
            straight = arcs.arc_radial_engagement.bare(10.0, step, width, True)
            expected = chips.engagement_angle.bare(10.0, straight)
            assert loops.loop_engagement.bare(10.0, width, step) == pytest.approx(expected, rel=1e-12)
    # in a slot without end the step is the width of a straight cut
    assert loops.loop_engagement.bare(10.0, 1e12, 2.5) == pytest.approx(60.0, rel=1e-9)


def test_the_two_branches_meet_and_the_engagement_grows_with_the_step():
    for width in (10.01, 11.0, 13.0, 17.0, 19.9):
        meet = width * (width - 10.0) / 20.0
        around = loops.loop_engagement.bare(10.0, width, meet * np.array([1 - 1e-12, 1.0, 1 + 1e-12]))
        np.testing.assert_allclose(around, around[1], rtol=1e-11)
        steps = np.linspace(0.0, min(10.0, width - 10.0), 2001)
        assert (np.diff(loops.loop_engagement.bare(10.0, width, steps)) > 0.0).all()


@pytest.mark.parametrize("width", [10.5, 12.0, 16.0, 19.9, 20.0, 20.1, 45.0])
def test_the_step_for_an_engagement_by_root_finding_and_back(width):
    largest = min(10.0, width - 10.0)
    most = loops.loop_engagement.bare(10.0, width, largest)
    for angle in (0.5, 20.0, 60.0, 100.0, 125.0, 150.0, 179.0, 180.0):
        step = loops.loop_step_for_engagement.bare(10.0, width, angle)
        if angle >= most:
            assert step == pytest.approx(largest, rel=1e-12)
            continue
        root = brentq(lambda s: loops.loop_engagement.bare(10.0, width, s) - angle, 0.0, largest, xtol=1e-14)  # noqa: B023
        assert step == pytest.approx(root, rel=1e-9)
        assert loops.loop_engagement.bare(10.0, width, step) == pytest.approx(angle, rel=1e-10)
    steps = np.linspace(0.0, largest, 500)
    there = loops.loop_engagement.bare(10.0, width, steps)
    np.testing.assert_allclose(loops.loop_step_for_engagement.bare(10.0, width, there), steps, rtol=1e-9)


def test_a_step_never_beyond_what_it_is_valid_for():
    """At 180 deg too the step found is one that the other formulas accept."""
    random = np.random.default_rng(9)
    diameter = random.uniform(0.5, 40.0, 2000)
    width = diameter * random.uniform(1.001, 4.0, 2000)
    step = loops.loop_step_for_engagement.bare(diameter, width, 180.0)
    np.testing.assert_allclose(step, np.minimum(diameter, width - diameter), rtol=1e-9)
    assert not np.isnan(loops.loop_engagement.bare(diameter, width, step)).any()
    assert not np.isnan(loops.loop_time.bare(width, diameter, step, 1000.0, 3000.0)).any()


def test_the_path_by_its_chords():
    turns = np.linspace(0.0, 2.0 * math.pi, 20_001)
    x, y = Round(10.0, 16.0, 1.0).axis(turns)
    chords = float(np.hypot(np.diff(x), np.diff(y)).sum())
    assert loops.loop_path_length.bare(16.0, 10.0, 1.0) == pytest.approx(chords + 1.0, rel=1e-7)
    # one feed rate all round is the path over it
    time = loops.loop_time.bare(16.0, 10.0, 1.0, 900.0, 900.0)
    assert time == pytest.approx((chords + 1.0) / 900.0, rel=1e-7)


def test_loops_are_the_fewest_that_reach():
    for travel, step in ((54.0, 1.1), (6 * 1.1, 1.1), (0.3, 0.1), (10.0, 2.5), (0.0, 1.0), (1e-3, 1.0)):
        places = np.arange(0, 200) * step
        assert loops.loops.bare(travel, step) == int(np.argmax(places >= travel * (1 - 1e-9)))


def test_ends_of_the_domain():
    assert loops.loop_engagement.bare(10.0, 16.0, 0.0) == 0.0
    assert loops.loop_engagement.bare(10.0, 20.0, 10.0) == 180.0 == loops.loop_engagement.bare(10.0, 30.0, 10.0)
    assert loops.loop_step_for_engagement.bare(10.0, 16.0, 0.0) == 0.0
    assert loops.loop_path_length.bare(16.0, 10.0, 0.0) == pytest.approx(6.0 * math.pi)
    assert loops.loop_removal_rate.bare(16.0, 0.0, 1.0, 0.01) == 0.0
    # both ends keep their digits: small steps as a series, and the last of the way to 180 deg
    tiny = loops.loop_engagement.bare(10.0, 16.0, 1e-12)
    assert tiny == pytest.approx(math.degrees(2 * math.sqrt(1e-12 * 16.0 / 60.0)), rel=1e-11)
    last = 180.0 - loops.loop_engagement.bare(10.0, 30.0, 10.0 - 1e-9)
    assert last == pytest.approx(math.degrees(2 * math.sqrt(1e-9 * 10.0 / 200.0)), rel=1e-6)


@pytest.mark.parametrize(
    ("formula", "inputs", "kind"),
    [
        (loops.loop_engagement, ("10 mm", "10 mm", "1 mm"), DomainError),
        (loops.loop_engagement, ("10 mm", "12 mm", "2.1 mm"), DomainError),
        (loops.loop_engagement, ("10 mm", "40 mm", "10.1 mm"), DomainError),
        (loops.loop_engagement, ("10 mm", "16 mm", 1), UnitError),
        (loops.loop_step_for_engagement, ("10 mm", "9 mm", "60 deg"), DomainError),
        (loops.loop_step_for_engagement, ("10 mm", "16 mm", "181 deg"), DomainError),
        (loops.loops, ("10 mm", "0 mm"), DomainError),
        (loops.loop_path_length, ("10 mm", "10 mm", "1 mm"), DomainError),
        (loops.loop_time, ("16 mm", "10 mm", "1 mm", "0 mm/min", "1 m/min"), DomainError),
        (loops.loop_time, ("16 mm", "10 mm", "6.1 mm", "1 m/min", "1 m/min"), DomainError),
        (loops.loop_removal_rate, ("16 mm", "10 mm", "1 mm", "0 s"), DomainError),
    ],
)
def test_errors(formula, inputs, kind):
    with pytest.raises(kind):
        formula(*inputs)


def test_not_a_number_outside_without_a_warning():
    nan = math.nan
    outside = [
        (
            loops.loop_engagement,
            [(10.0, 10.0, 0.0), (10.0, 9.0, 1.0), (10.0, 16.0, -1.0), (10.0, 16.0, 6.1), (10.0, 40.0, 10.1)],
        ),
        (loops.loop_engagement, [(0.0, 16.0, 1.0), (10.0, 16.0, nan), (10.0, 16.0, math.inf), (nan, 16.0, 1.0)]),
        (loops.loop_step_for_engagement, [(10.0, 10.0, 60.0), (10.0, 16.0, -1.0), (10.0, 16.0, 181.0)]),
        (loops.loops, [(10.0, 0.0), (-1.0, 1.0), (nan, 1.0)]),
        (loops.loop_path_length, [(10.0, 10.0, 1.0), (16.0, 10.0, -1.0), (16.0, 0.0, 1.0)]),
        (loops.loop_time, [(16.0, 10.0, 7.0, 1e3, 1e3), (16.0, 10.0, 1.0, 0.0, 1e3), (16.0, 10.0, 1.0, 1e3, nan)]),
        (loops.loop_removal_rate, [(16.0, 5.0, 1.0, 0.0), (0.0, 5.0, 1.0, 1.0), (16.0, -5.0, 1.0, 1.0)]),
    ]
    with np.errstate(all="raise"):
        for formula, cases in outside:
            assert np.isnan([formula.bare(*case) for case in cases]).all(), formula


def test_infinite_empty_and_whole_arrays(witness):
    assert loops.loops.bare(math.inf, 1.0) == math.inf
    assert loops.loop_time.bare(16.0, 10.0, 1.0, math.inf, math.inf) == 0.0
    same = witness.assert_same_as_scalars
    diameters, widths, steps = np.array([6.0, 10.0, 11.5]), np.array([12.0, 15.0, 40.0]), np.array([0.0, 0.5, 5.0])
    angles = np.array([10.0, 90.0, 180.0])
    same(loops.loop_engagement.bare, diameters, widths, steps)
    same(loops.loop_step_for_engagement.bare, diameters, widths, angles)
    same(loops.loops.bare, widths, steps + 0.7)
    same(loops.loop_path_length.bare, widths, diameters, steps)
    same(loops.loop_time.bare, widths, diameters, steps, widths * 50, widths * 200)
    same(loops.loop_removal_rate.bare, widths, diameters, steps, widths / 1000)
    for empty in (loops.loop_engagement, loops.loop_step_for_engagement):
        assert empty.bare(np.array([]), 16.0, 1.0).shape == (0,)
