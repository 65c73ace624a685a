"""Cutting speed, feeds, removal rate, approach and time: published examples and edges.

A published value stands with its source and how it is known; the half width is half its last printed digit.
"""

from __future__ import annotations

import math

import numpy as np
import pint
import pytest

from millcalc.errors import ArgumentError, DomainError, SignatureError, UnitError
from millcalc.formulas import speeds
from millcalc.quantities.display import units


def printed(result: pint.Quantity, unit: str, value: float, half_width: float) -> bool:
    return abs(result.to(unit).magnitude - value) <= half_width


@pytest.mark.parametrize(
    ("speed", "diameter", "turns", "half_width"),
    [
        ("60 ft/min", "5 in", 46, 0.5),  # Turning and Boring, 1914 (read)
        ("30 m/min", "60 mm", 159, 1.0),  # Production Engineering, 11th ed., Ex. 22.2 (read), truncated
        ("30 m/min", "10 mm", 954, 1.0),  # the same
        ("21 m/min", "20 mm", 334.23, 0.06),  # Production Engineering, 11th ed., Ex. 22.4 (read)
        ("21 m/min", "5 mm", 1336.9, 0.06),  # the same
        ("60 m/min", "65 mm", 293.8, 0.05),  # Fundamentals of Modern Manufacturing, ch. 22 (from memory)
        ("25 m/min", "60 mm", 132.63, 0.005),  # examination ME 2025 (read)
    ],
)
def test_printed_spindle_speeds_both_ways(speed, diameter, turns, half_width):
    assert printed(speeds.spindle_speed(speed, diameter), "rpm", turns, half_width)
    number, unit = float(speed.split()[0]), speed.split()[1].replace("ft", "foot")
    back = speeds.cutting_speed(diameter, f"{turns} rpm")
    assert printed(back, unit, number, number * half_width / turns * 1.001)


def test_the_inch_factor_of_an_article():
    # magazine article on cutting equations (read): 3.82 in at 100 rev/min is 100 ft/min
    assert printed(speeds.cutting_speed("3.82 in", "100 rpm"), "foot/minute", 100, 0.05)


@pytest.mark.parametrize(
    ("feed", "teeth", "turns", "rate", "unit", "half_width"),
    [
        ("0.25 mm", 20, "100 rpm", 500, "mm/min", 0.5),  # Manufacturing Engineering, Ex. 24.1 (read)
        ("0.01 in", 20, "100 rpm", 20, "in/min", 0.05),  # the same, inch, Ex. 23.1 (read)
        ("0.2 mm", 5, "293.8 rpm", 293.8, "mm/min", 0.05),  # Modern Manufacturing, ch. 22 (from memory)
    ],
)
def test_printed_feeds_solved_for_each(feed, teeth, turns, rate, unit, half_width):
    assert printed(speeds.feed_rate(feed, teeth, turns), unit, rate, half_width)
    back = speeds.feed_per_tooth(f"{rate} {unit}", teeth, turns)
    number, length = feed.split()
    assert printed(back, length, float(number), float(number) * half_width / rate * 1.001)
    per_turn = speeds.feed_per_revolution(feed, teeth)
    assert per_turn.magnitude == pytest.approx(teeth * float(number) * (25.4 if length == "in" else 1.0))


@pytest.mark.parametrize(
    ("depth", "width", "rate", "value", "unit", "half_width"),
    [
        ("100 mm", "3 mm", "500 mm/min", 150000, "mm^3/min", 0.5),  # Manufacturing Engineering, Ex. 24.1 (read)
        ("4 in", "0.125 in", "20 in/min", 10, "in^3/min", 0.05),  # the same, Ex. 23.1 (read)
        ("100 mm", "3.2 mm", "500 mm/min", 2666.67, "mm^3/s", 0.005),  # Production Engineering, Ex. 15.2 (read)
        ("4 mm", "60 mm", "381.972 mm/min", 1527.9, "mm^3/s", 0.05),  # examination PI 2016 (from memory)
        ("50 mm", "7.5 mm", "293.8 mm/min", 110177, "mm^3/min", 30),  # Modern Manufacturing (from memory)
    ],
)
def test_printed_removal_rates(depth, width, rate, value, unit, half_width):
    assert printed(speeds.removal_rate(depth, width, rate), unit, value, half_width)
    assert printed(speeds.removal_rate(width, depth, rate), unit, value, half_width)


def test_printed_approaches():
    # Modern Manufacturing, ch. 22 (from memory): sqrt(d (D - d)) = 20.77
    assert printed(speeds.approach_length("65 mm", "7.5 mm"), "mm", 20.77, 0.006)
    # Production Engineering, Ex. 4.18: over-travel by its relation (derived) 3.767
    assert printed(speeds.centred_approach_length("63.5 mm", "30 mm"), "mm", 3.767, 0.0005)
    # Manufacturing Engineering, Ex. 24.1 (read) prints sqrt(d D) = 12.2, which is not the travel
    assert not printed(speeds.approach_length("50 mm", "3 mm"), "mm", 12.2, 0.05)
    assert printed(speeds.approach_length("50 mm", "3 mm"), "mm", 11.87, 0.005)


@pytest.mark.parametrize(
    ("length", "rate", "value", "unit", "half_width"),
    [
        ("312.2 mm", "500 mm/min", 37.5, "s", 0.05),  # Manufacturing Engineering, Ex. 24.1 (read)
        ("183.767 mm", "1125 mm/min", 0.163, "min", 0.0006),  # Production Engineering, Ex. 4.18 (read)
        ("141.4214 mm", "50 mm/min", 170, "s", 0.5),  # examination ME 2012 (read)
        ("6 in", "8 in/min", 0.75, "min", 0.005),  # Manufacturing Engineering, Ex. 22.1 (read)
        ("400 mm", "26.526 mm/min", 15.08, "min", 0.005),  # examination ME 2025 (read)
    ],
)
def test_printed_times(length, rate, value, unit, half_width):
    assert printed(speeds.cutting_time(length, rate), unit, value, half_width)


def test_approach_is_half_the_cutter_from_half_width_on():
    approach = speeds.approach_length.bare(10.0, np.array([0.0, 1e-12, 5.0, 5.0001, 7.5, 10.0]))
    np.testing.assert_allclose(approach, [0.0, math.sqrt(1e-11), 5.0, 5.0, 5.0, 5.0], rtol=1e-12)


def test_centred_approach_of_narrow_work_keeps_its_digits():
    # w^2/(4 D) for narrow work, where D - sqrt(D^2 - w^2) is nothing but rounding
    assert speeds.centred_approach_length.bare(50.0, 1e-6) == pytest.approx(5e-15, rel=1e-12)
    assert speeds.centred_approach_length.bare(50.0, 50.0) == 25.0


def test_zero_turns_and_zero_feed_are_allowed():
    assert speeds.cutting_speed("10 mm", "0 rpm").magnitude == 0
    assert speeds.spindle_speed("0 m/min", "10 mm").magnitude == 0
    assert speeds.feed_rate("0 mm", 2, "8000 rpm").magnitude == 0
    assert speeds.cutting_time("0 mm", "100 mm/min").magnitude == 0


@pytest.mark.parametrize(
    ("formula", "inputs", "kind"),
    [
        (speeds.spindle_speed, ("120 m/min", "0 mm"), DomainError),
        (speeds.spindle_speed, ("120 mm", "10 mm"), UnitError),
        (speeds.spindle_speed, (120.0, "10 mm"), UnitError),
        (speeds.feed_rate, ("0.1 mm", 0, "100 rpm"), DomainError),
        (speeds.feed_rate, ("0.1 mm", 2.5, "100 rpm"), DomainError),
        (speeds.feed_per_tooth, ("100 mm/min", 2, "0 rpm"), DomainError),
        (speeds.removal_rate, ("1 mm", "-1 mm", "100 mm/min"), DomainError),
        (speeds.approach_length, ("10 mm", "10.1 mm"), DomainError),
        (speeds.centred_approach_length, ("10 mm", "10.1 mm"), DomainError),
        (speeds.cutting_time, ("10 mm", "0 mm/min"), DomainError),
        (speeds.cutting_time, ("10 N", "-1 mm/min"), ArgumentError),
    ],
)
def test_errors(formula, inputs, kind):
    with pytest.raises(kind) as caught:
        formula(*inputs)
    assert type(caught.value) is kind
    assert caught.value.faults


def test_a_missing_argument():
    with pytest.raises(SignatureError):
        speeds.feed_rate("0.1 mm", 2)


def test_arrays_broadcast():
    result = speeds.feed_rate(np.array([[0.05], [0.1]]) * pint.application_registry.mm, 2, "1000 rpm")
    np.testing.assert_allclose(result.magnitude, [[100.0], [200.0]])
    widths = np.array([1.0, 3.0, 12.0]) * pint.application_registry.mm
    with pytest.raises(DomainError, match="index 2"):
        speeds.approach_length("10 mm", widths)
    assert np.isnan(speeds.approach_length.bare(10.0, widths.magnitude)).tolist() == [False, False, True]


def test_sheets_in_inch_units():
    with units("inch"):
        assert "ft/min" in speeds.cutting_speed.sheet("0.5 in", "3000 rpm").text()
        assert "in^3/min" in speeds.removal_rate.sheet("0.1 in", "0.2 in", "30 in/min").text()
        assert "f_z = 0.0508 mm (0.002 in/tooth)" in speeds.feed_rate.sheet("0.002 in", 4, "5000 rpm").text()


def test_the_mean_removal_rate_is_that_of_cuts_and_pauses():
    """A box cleared slice by slice at its rate of each, with a pause between: all of it over all the time (derived)."""
    width, length, depth, time = 40.0, 70.0, 12.0, 0.0
    for _ in range(3):
        rate = speeds.removal_rate.bare(depth / 3, width, 500.0)
        time += width * length * depth / 3 / 1000.0 / rate + 0.05
    mean = speeds.mean_removal_rate("40 mm", "70 mm", "12 mm", f"{time} min")
    assert mean.to("cm^3/min").magnitude * time == pytest.approx(33.6, rel=1e-14)
    assert mean.to("cm^3/min").magnitude < rate
    assert speeds.mean_removal_rate("2 in", "3 in", "0 in", "1 min").magnitude == 0
    assert speeds.mean_removal_rate.bare(10.0, 10.0, np.array([1.0, 2.0]), 0.1).tolist() == [1.0, 2.0]
    with pytest.raises(DomainError, match="time"):
        speeds.mean_removal_rate("40 mm", "70 mm", "12 mm", "0 min")
