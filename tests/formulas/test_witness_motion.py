"""Chords, blocks and acceleration against walked arcs, differences of places and integrated moves.

Sources: README.md and geometry_truths.md of the published folder (derived).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from millcalc.formulas import motion

UM = 1000.0
# path radius, chord error in mm, chord; README.md (derived)
CHORDS = [(50.0, 0.01, 1.99990), (10.0, 0.005, 0.632376), (1.0, 0.1, 0.871780)]


@pytest.mark.parametrize(("radius", "error", "chord"), CHORDS)
def test_printed_chords(witness, radius, error, chord):
    assert witness.chord_for(error, radius) == pytest.approx(chord, abs=5.1e-6)
    assert motion.chord_step.bare(error * UM, radius) == pytest.approx(chord, abs=5.1e-6)
    assert motion.chord_error.bare(chord, radius) / UM == pytest.approx(error, rel=2e-5)


@pytest.mark.parametrize("radius", [0.1, 1.0, 50.0, 3000.0])
@pytest.mark.parametrize("share", [1e-4, 0.01, 0.2, 1.0, 1.7, 1.99, 2.0])
def test_chord_error_is_the_walked_distance(witness, radius, share):
    """Farthest point of the arc from its chord in 50 digits; 1e-10, and 1e-15 of the radius.

    At a chord of the whole diameter the last digit of the chord moves the height by its root: 3e-8.
    """
    expected = witness.sagitta(share * radius, radius) * UM
    tolerance = {"rel": 1e-10, "abs": 1e-15 * radius * UM} if share < 2 else {"rel": 5e-8}
    assert motion.chord_error.bare(share * radius, radius) == pytest.approx(expected, **tolerance)


@pytest.mark.parametrize("radius", [0.1, 50.0])
@pytest.mark.parametrize("share", [1e-6, 1e-3, 0.1, 0.5, 0.9])
def test_chord_step_is_the_root(witness, radius, share):
    """The chord whose walked sagitta is the error, by a root; 1e-9."""
    expected = witness.chord_for(share * radius, radius)
    assert motion.chord_step.bare(share * radius * UM, radius) == pytest.approx(expected, rel=1e-9)


def test_printed_share_of_the_chord():
    """geometry_truths.md (derived): s^2/(8R) is low by s^2/(16 R^2) against the chord."""
    step, radius = 2.0, 20.0
    rough = step**2 / (8 * radius) * UM
    low = 1 - rough / motion.chord_error.bare(step, radius)
    assert low == pytest.approx(step**2 / (16 * radius**2), rel=0.01)


def test_blocks_are_counted():
    """A control that takes a block every T ms moves one step a block: one second is played."""
    step, block_time = 0.1, 2.0
    place, clock, blocks = 0.0, 0.0, 0
    while clock < 1000.0 - 1e-9:
        place, clock, blocks = place + step, clock + block_time, blocks + 1
    assert motion.block_limited_feed_rate.bare(step, block_time) == pytest.approx(place * 60, rel=1e-9)
    assert motion.block_rate.bare(place * 60, step) == pytest.approx(blocks, rel=1e-9)
    # README.md, block limit (derived): 0.1 mm, 2 ms -> 3000 mm/min
    assert motion.block_limited_feed_rate.bare(0.1, 2.0) == pytest.approx(3000.0, rel=1e-12)


@pytest.mark.parametrize(("acceleration", "radius"), [(5000.0, 1.0), (1500.0, 0.02), (300.0, 80.0)])
def test_centripetal_feed(witness, acceleration, radius):
    """Second difference of the place on the circle, then a root; 1e-10."""
    expected = witness.feed_for_bend(acceleration, radius)
    assert motion.centripetal_feed_rate.bare(acceleration, radius) == pytest.approx(expected, rel=1e-10)


def test_printed_accelerations():
    """README.md (derived): centripetal 4242.6, rest to rest 2683.3 mm/min."""
    assert motion.centripetal_feed_rate.bare(5000.0, 1.0) == pytest.approx(4242.6, abs=0.051)
    assert motion.acceleration_limited_feed_rate.bare(2000.0, 1.0) == pytest.approx(2683.3, abs=0.051)


@pytest.mark.parametrize(("acceleration", "length"), [(2000.0, 1.0), (500.0, 0.003), (9810.0, 400.0)])
def test_peak_of_a_move(witness, acceleration, length):
    """Half the length integrated from v dv / a, then a root; 1e-11."""
    expected = witness.peak_feed(acceleration, length)
    assert motion.acceleration_limited_feed_rate.bare(acceleration, length) == pytest.approx(expected, rel=1e-11)


def test_printed_corner(witness):
    """README.md (derived): 0.01 mm at 90 deg -> arc of 0.02414 mm."""
    assert witness.corner_arc(0.01, 90.0) == pytest.approx(0.02414, abs=5.1e-6)
    expected = 60 * math.sqrt(2000.0 * 0.02414)
    assert motion.corner_feed_rate.bare(2000.0, 10.0, 90.0) == pytest.approx(expected, rel=2e-4)


@pytest.mark.parametrize("angle", [1.0, 20.0, 60.0, 90.0, 135.0, 170.0, 179.0])
@pytest.mark.parametrize("tolerance", [0.001, 0.02])
def test_corner_feed(witness, angle, tolerance):
    """Arc that slides along the bisector, then the second difference on it; 1e-9."""
    arc = witness.corner_arc(tolerance, angle)
    expected = witness.feed_for_bend(2000.0, arc)
    # near 180 deg the distance to the corner is a small difference: 1e-16 over 1 - sin
    loss = 1e-15 / (1 - math.sin(math.radians(angle / 2)))
    got = motion.corner_feed_rate.bare(2000.0, tolerance * UM, angle)
    assert got == pytest.approx(expected, rel=1e-9 + loss)


def test_corner_ends():
    assert motion.corner_feed_rate.bare(2000.0, 10.0, 180.0) == math.inf
    assert float(motion.corner_feed_rate.bare(2000.0, 10.0, 0.0)) == pytest.approx(0.0, abs=1e-12)


MOVES = [
    (10.0, 3000.0, 1000.0),
    (1.0, 3000.0, 1000.0),
    (2.5, 3000.0, 1000.0),  # the feed is just reached
    (0.001, 12_000.0, 500.0),
    (500.0, 800.0, 20_000.0),
]


@pytest.mark.parametrize(("length", "feed", "acceleration"), MOVES)
def test_move_time(witness, length, feed, acceleration):
    """Integral of dx/v with both bounds, tanh-sinh; 1e-11."""
    expected = witness.travel_time(length, feed, acceleration)
    assert motion.move_time.bare(length, feed, acceleration) == pytest.approx(expected, rel=1e-11)


@pytest.mark.parametrize(("length", "feed", "acceleration"), MOVES[:2])
def test_move_time_of_a_stepping_control(witness, length, feed, acceleration):
    """A control that decides 100 000 times on the way: right to some of its ticks, 2e-5."""
    expected = witness.stepped_travel_time(length, feed, acceleration, 100_000)
    assert motion.move_time.bare(length, feed, acceleration) == pytest.approx(expected, rel=2e-5)


def test_outside_the_domain_is_not_a_number():
    assert math.isnan(motion.chord_error.bare(2.1, 1.0))


def test_arrays_give_what_scalars_give(witness):
    same = witness.assert_same_as_scalars
    steps, radii = np.array([0.01, 0.1, 1.0, 0.3]), np.array([1.0, 10.0, 50.0, 0.5])
    feeds, accelerations = np.array([500.0, 3000.0, 12_000.0, 80.0]), np.array([100.0, 2000.0, 5000.0, 1e4])
    same(motion.chord_error.bare, steps, radii)
    same(motion.chord_step.bare, steps, radii)
    same(motion.block_rate.bare, feeds, steps)
    same(motion.block_limited_feed_rate.bare, steps, [0.5, 1.0, 2.0, 10.0])
    same(motion.acceleration_limited_feed_rate.bare, accelerations, steps)
    same(motion.centripetal_feed_rate.bare, accelerations, radii)
    same(motion.corner_feed_rate.bare, accelerations, steps * 10, [20.0, 90.0, 150.0, 179.0])
    same(motion.move_time.bare, radii, feeds, accelerations)
