"""Chords, blocks and acceleration: published values and edges.

A published value stands with its source and how it is known; the half width is half its last printed digit.
"""

from __future__ import annotations

import math
import warnings

import mpmath as mp
import numpy as np
import pint
import pytest

from millcalc.errors import DomainError, UnitError
from millcalc.formulas import motion
from millcalc.quantities.display import units


# exact tables of the published page (derived)
@pytest.mark.parametrize(
    ("radius", "error", "step", "half_width"),
    [(50, 10, 1.99990, 5e-6), (10, 5, 0.632376, 5e-7), (1, 100, 0.871780, 5e-7)],
)
def test_printed_chords_both_ways(radius, error, step, half_width):
    got = motion.chord_step(f"{error} um", f"{radius} mm")
    assert abs(got.magnitude - step) <= half_width
    assert motion.chord_error(got, f"{radius} mm").magnitude == pytest.approx(error, rel=1e-12)


# exact tables of the published page (derived)
def test_printed_limits_solved_for_each():
    feed = motion.block_limited_feed_rate("0.1 mm", "2 ms")
    assert feed.magnitude == pytest.approx(3000)
    assert motion.block_rate(feed, "0.1 mm").magnitude == pytest.approx(1 / 0.002)
    assert abs(motion.centripetal_feed_rate("5000 mm/s^2", "1 mm").magnitude - 4242.6) <= 0.05
    assert abs(motion.acceleration_limited_feed_rate("2000 mm/s^2", "1 mm").magnitude - 2683.3) <= 0.05
    # corner of 90 deg within 0.01 mm: an arc of 0.02414 mm
    corner = motion.corner_feed_rate("2000 mm/s^2", "10 um", "90 deg").magnitude
    assert abs((corner / 60) ** 2 / 2000 - 0.02414) <= 5e-6


@pytest.mark.parametrize("step", [1e-9, 1e-4, 0.5, 199.0, 200.0])
def test_chord_error_in_high_precision(step):
    with mp.workdps(60):
        half = mp.mpf(step) / 2
        exact = float(1000 * (100 - mp.sqrt(mp.mpf(10000) - half * half)))
    assert motion.chord_error.bare(step, 100.0) == pytest.approx(exact, rel=1e-14)


def test_a_straight_path():
    assert motion.chord_error("5 mm", "inf").magnitude == 0
    assert motion.chord_step("5 um", "inf").magnitude == math.inf
    assert motion.chord_step("0 um", "inf").magnitude == math.inf
    assert motion.chord_step("0 um", "5 mm").magnitude == 0
    assert motion.block_rate("500 mm/min", "inf").magnitude == 0
    assert motion.block_limited_feed_rate(motion.chord_step("5 um", "inf"), "1 ms").magnitude == math.inf
    assert motion.centripetal_feed_rate("1000 mm/s^2", "inf").magnitude == math.inf
    assert motion.centripetal_feed_rate("1000 mm/s^2", "0 mm").magnitude == 0


def test_corners():
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert motion.corner_feed_rate("1e5 mm/s^2", "0.9 mm", "180 deg").magnitude == math.inf
        assert motion.corner_feed_rate("1000 mm/s^2", "0 um", "180 deg").magnitude == math.inf
        assert motion.corner_feed_rate("1000 mm/s^2", "0 um", "90 deg").magnitude == 0
        assert motion.corner_feed_rate("1000 mm/s^2", "10 um", "0 deg").magnitude == 0
    assert np.isnan(motion.corner_feed_rate.bare(1000.0, 10.0, np.array([-1.0, 180.1, 300.0]))).all()


@pytest.mark.parametrize("angle", [179.0, 179.999, 179.9999999])
def test_nearly_straight_corners_keep_their_digits(angle):
    with mp.workdps(60):
        sine = mp.sin(mp.mpf(angle) / 2 * mp.pi / 180)
        exact = float(60 * mp.sqrt(2000 * mp.mpf("0.01") * sine / (1 - sine)))
    assert motion.corner_feed_rate.bare(2000.0, 10.0, angle) == pytest.approx(exact, rel=1e-14)


def test_move_time_of_long_and_short_moves():
    # v = 50 mm/s, a = 1000 mm/s^2: 2.5 mm are needed to reach the feed and stop again (derived)
    assert motion.move_time("100 mm", "3000 mm/min", "1000 mm/s^2").to("s").magnitude == pytest.approx(2.05)
    assert motion.move_time("2.5 mm", "3000 mm/min", "1000 mm/s^2").to("s").magnitude == pytest.approx(0.1)
    short = motion.move_time("1 mm", "3000 mm/min", "1000 mm/s^2").to("s").magnitude
    assert short == pytest.approx(2 * math.sqrt(1 / 1000))
    assert motion.move_time("0 mm", "3000 mm/min", "1000 mm/s^2").magnitude == 0


def test_move_time_at_the_peak_feed_has_no_step():
    peak = motion.acceleration_limited_feed_rate.bare(2000.0, 1.0)
    around = motion.move_time.bare(1.0, peak * np.array([1 - 1e-9, 1.0, 1 + 1e-9]), 2000.0)
    np.testing.assert_allclose(around, around[1], rtol=1e-14)


@pytest.mark.parametrize(
    ("formula", "inputs", "kind"),
    [
        (motion.chord_error, ("2.1 mm", "1 mm"), DomainError),
        (motion.chord_error, ("1 mm", "0 mm"), DomainError),
        (motion.chord_step, ("1.1 mm", "1 mm"), DomainError),
        (motion.chord_step, ("1 um", "1 deg"), UnitError),
        (motion.block_rate, ("100 mm/min", "0 mm"), DomainError),
        (motion.block_limited_feed_rate, ("0.1 mm", "0 ms"), DomainError),
        (motion.acceleration_limited_feed_rate, ("0 mm/s^2", "1 mm"), DomainError),
        (motion.centripetal_feed_rate, ("1000 mm/s", "1 mm"), UnitError),
        (motion.corner_feed_rate, ("1000 mm/s^2", "10 um", "181 deg"), DomainError),
        (motion.corner_feed_rate, ("1000 mm/s^2", "10 um", 90), UnitError),
        (motion.move_time, ("1 mm", "0 mm/min", "1000 mm/s^2"), DomainError),
    ],
)
def test_errors(formula, inputs, kind):
    with pytest.raises(kind):
        formula(*inputs)


def test_not_a_number_outside():
    assert np.isnan(motion.chord_error.bare(np.array([2.1, 9.0]), 1.0)).all()
    assert np.isnan(motion.chord_step.bare(np.array([1001.0, 1999.0, -1.0]), 1.0)).all()


def test_arrays_broadcast():
    mm = pint.application_registry.mm
    steps = motion.chord_step("10 um", np.array([[50.0, math.inf], [10.0, 1.0]]) * mm)
    assert steps.shape == (2, 2)
    assert steps.magnitude[0, 1] == math.inf
    times = motion.move_time(np.array([[1.0], [100.0]]) * mm, "3000 mm/min", ["500 mm/s^2", "1 m/s^2", "2 m/s^2"])
    assert times.shape == (2, 3)
    with pytest.raises(DomainError, match="index 1"):
        motion.chord_error(np.array([1.0, 30.0]) * mm, "10 mm")


def test_sheets_in_inch_units():
    with units("inch"):
        text = motion.chord_error.sheet("0.1 in", "2 in").text()
        assert "l_s = 2.54 mm (0.1 in)" in text
        assert "uin" in text
        assert "in/min" in motion.block_limited_feed_rate.sheet("0.004 in", "2 ms").text()
