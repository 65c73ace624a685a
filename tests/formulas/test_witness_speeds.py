"""Speeds and feeds against walks along circles, polygons and printed examples.

Sources: worked examples of the published folder (each named beside its figures, with how it is known).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from millcalc.formulas import speeds

INCH = 25.4
FOOT = 0.3048


@pytest.mark.parametrize("diameter", [0.1, 0.4, 3.0, 10.0, 63.5, 250.0])
@pytest.mark.parametrize("turns", [1.0, 795.0, 24_000.0, 160_000.0])
def test_speed_is_the_walk_of_a_rim_point(witness, diameter, turns):
    """Chords of a walked circle, extrapolated; 1e-12."""
    walked = witness.rim_travel(diameter) * turns / 1000.0
    assert speeds.cutting_speed.bare(diameter, turns) == pytest.approx(walked, rel=1e-12)
    assert speeds.spindle_speed.bare(walked, diameter) == pytest.approx(turns, rel=1e-12)


def test_feed_is_counted_tooth_by_tooth():
    """One minute is played: each tooth that passes moves the cutter on; 1e-12 after 12 000 sums."""
    feed, teeth, turns = 0.04, 4, 3000
    place, passed = 0.0, 0
    for _ in range(turns):
        for _ in range(teeth):
            place += feed
            passed += 1
    assert passed == 12_000
    assert speeds.feed_rate.bare(feed, teeth, turns) == pytest.approx(place, rel=1e-11)
    assert speeds.feed_per_tooth.bare(place, teeth, turns) == pytest.approx(feed, rel=1e-11)
    assert speeds.feed_per_revolution.bare(feed, teeth) == pytest.approx(place / turns, rel=1e-11)


@pytest.mark.parametrize("diameter", [6.0, 20.0])
@pytest.mark.parametrize("share", [0.01, 0.3, 0.5, 0.8, 1.0])
def test_removal_is_the_area_that_polygons_lose(witness, diameter, share):
    """Area of the plate cut away by polygons in a tenth of a minute, times the depth; 1e-9."""
    feed, depth = 30.0, 1.7
    area = witness.swept_area(diameter, share * diameter, feed / 10)
    assert speeds.removal_rate.bare(depth, share * diameter, feed) == pytest.approx(area * 10 * depth / 1000, rel=1e-9)


@pytest.mark.parametrize("diameter", [2.0, 10.0, 63.5])
@pytest.mark.parametrize("share", [0.001, 0.02, 0.1, 0.3, 0.499, 0.5, 0.501, 0.7, 0.99, 1.0])
def test_approach_beside_an_edge(witness, diameter, share):
    """Touch and full engagement by roots and a walked arc; 1e-10."""
    expected = witness.side_approach(diameter, share * diameter)
    assert speeds.approach_length.bare(diameter, share * diameter) == pytest.approx(expected, rel=1e-10)


@pytest.mark.parametrize("diameter", [2.0, 63.5])
@pytest.mark.parametrize("share", [0.001, 0.1, 0.4724, 0.9, 1.0])
def test_approach_in_the_middle(witness, diameter, share):
    """A walked arc; 1e-9, of the radius for the narrow strip."""
    expected = witness.centred_approach(diameter, share * diameter)
    assert speeds.centred_approach_length.bare(diameter, share * diameter) == pytest.approx(
        expected, rel=1e-9, abs=1e-12 * diameter
    )


def test_cutting_time_is_added_up():
    """A tool moved in ten thousand ticks of the clock; 1e-9."""
    tick = 0.5 / 10_000
    length = sum(750.0 * tick for _ in range(10_000))
    assert speeds.cutting_time.bare(length, 750.0) == pytest.approx(0.5, rel=1e-9)


@pytest.mark.parametrize(
    ("speed", "diameter", "printed", "half_width"),
    [
        # A01: Turning and Boring, Industrial Press 1914 (read): 60 ft/min, 5 in
        (60 * FOOT, 5 * INCH, 46.0, 0.5),
        # A08: A Textbook of Production Engineering, 11th ed., Ex. 22.2 (read in a transcription); truncated in print
        (30.0, 60.0, 159.0, 1.0),
        (30.0, 10.0, 954.0, 1.0),
        # A09: the same book, Ex. 22.4 (read in a transcription)
        (21.0, 20.0, 334.23, 0.06),
        (21.0, 5.0, 1336.9, 0.06),
        # B23: Fundamentals of Modern Manufacturing, ch. 22 problem (from memory)
        (60.0, 65.0, 293.8, 0.05),
    ],
)
def test_printed_spindle_speeds(speed, diameter, printed, half_width):
    assert abs(speeds.spindle_speed.bare(speed, diameter) - printed) <= half_width


def test_printed_removal_rates():
    # B01: Manufacturing Engineering and Technology, 4th ed., Ex. 24.1 (read in a transcription): 150 000 mm3/min
    feed = speeds.feed_rate.bare(0.25, 20, 100)
    assert feed == pytest.approx(500.0, abs=0.5)
    assert speeds.removal_rate.bare(100.0, 3.0, feed) * 1000 == pytest.approx(150_000, abs=0.5)
    # B02: the same book, Ex. 23.1 (read in a transcription): 10 in3/min
    feed = speeds.feed_rate.bare(0.01 * INCH, 20, 100)
    cubic_inches = speeds.removal_rate.bare(4 * INCH, 0.125 * INCH, feed) * 1000 / INCH**3
    assert cubic_inches == pytest.approx(10.0, abs=0.05)
    # B04: A Textbook of Production Engineering, Ex. 15.2 (read in a transcription): 2666.67 mm3/s
    feed = speeds.feed_rate.bare(0.25, 20, 100)
    assert speeds.removal_rate.bare(100.0, 3.2, feed) * 1000 / 60 == pytest.approx(2666.67, abs=0.005)
    # A10: face-milling statement (statement read, key from memory): 1527.9 mm3/s
    feed = speeds.feed_rate.bare(0.1, 12, speeds.spindle_speed.bare(120.0, 120.0))
    assert speeds.removal_rate.bare(4.0, 60.0, feed) * 1000 / 60 == pytest.approx(1527.9, abs=0.05)
    # B23: Fundamentals of Modern Manufacturing, ch. 22 problem (from memory): 110 177 mm3/min
    feed = speeds.feed_rate.bare(0.2, 5, speeds.spindle_speed.bare(60.0, 65.0))
    assert feed == pytest.approx(293.8, abs=0.05)
    assert speeds.removal_rate.bare(7.5, 50.0, feed) * 1000 == pytest.approx(110_177, abs=30)


def test_printed_times_and_approaches():
    # B01, exact approach of the note (read in a transcription): 11.87 mm, 37.42 s
    approach = speeds.approach_length.bare(50.0, 3.0)
    assert approach == pytest.approx(11.87, abs=0.005)
    assert speeds.cutting_time.bare(300 + approach, 500.0) * 60 == pytest.approx(37.42, abs=0.005)
    # B04: A Textbook of Production Engineering, Ex. 15.2 (read in a transcription), exact approach: 37.5 s
    approach = speeds.approach_length.bare(50.0, 3.2)
    assert speeds.cutting_time.bare(300 + approach, 500.0) * 60 == pytest.approx(37.5, abs=0.05)
    # B07: A Textbook of Production Engineering, Ex. 4.18 (read in a transcription): over-travel 3.767 mm, 0.163 min
    approach = speeds.centred_approach_length.bare(63.5, 30.0)
    assert approach == pytest.approx(3.767, abs=0.0005)
    feed = speeds.feed_rate.bare(0.125, 6, 1500)
    assert speeds.cutting_time.bare(180 + approach, feed) == pytest.approx(0.163, abs=0.0006)
    # B20: GATE ME 2012 (read): a slot over the diagonal of 100 mm at 50 mm/min takes 170 s
    assert speeds.cutting_time.bare(math.hypot(100, 100), 50.0) * 60 == pytest.approx(170, abs=0.5)
    # B23: Fundamentals of Modern Manufacturing, ch. 22 problem (from memory): approach 20.77 mm, 2.67 min
    approach = speeds.approach_length.bare(65.0, 7.5)
    assert approach == pytest.approx(20.77, abs=0.006)
    feed = speeds.feed_rate.bare(0.2, 5, speeds.spindle_speed.bare(60.0, 65.0))
    assert speeds.cutting_time.bare(735 + 5 + 25 + approach, feed) == pytest.approx(2.67, abs=0.006)


def test_outside_the_domain_is_not_a_number():
    assert math.isnan(speeds.approach_length.bare(10.0, 10.5))
    assert math.isnan(speeds.centred_approach_length.bare(10.0, 10.5))


def test_arrays_give_what_scalars_give(witness):
    same = witness.assert_same_as_scalars
    diameters, widths = np.array([2.0, 10.0, 63.5, 4.0]), np.array([0.1, 5.0, 63.5, 3.0])
    feeds = np.array([0.01, 0.1, 0.2, 0.02])
    same(speeds.cutting_speed.bare, diameters, widths * 100)
    same(speeds.spindle_speed.bare, widths * 20, diameters)
    same(speeds.feed_rate.bare, feeds, [1, 2, 3, 4], widths * 100)
    same(speeds.feed_per_tooth.bare, feeds * 1e4, [1, 2, 3, 4], diameters * 100)
    same(speeds.feed_per_revolution.bare, feeds, [1, 2, 3, 4])
    same(speeds.removal_rate.bare, widths, diameters, feeds * 1e4)
    same(speeds.approach_length.bare, diameters, widths)
    same(speeds.centred_approach_length.bare, diameters, widths)
    same(speeds.cutting_time.bare, widths, feeds * 1e4)
