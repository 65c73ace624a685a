"""Set values: down to a whole increment, never above what was computed, never a whole increment too low."""

from __future__ import annotations

from decimal import ROUND_FLOOR, Decimal

import numpy as np
import pytest

from millcalc.errors import DomainError
from millcalc.formulas.settings import set_feed_rate, set_spindle_speed, set_stepover


@pytest.mark.parametrize(
    ("computed", "set_to"),
    # common practice: down to 10, above 10 000 to 100
    [
        (0.0, 0.0),
        (9.99, 0.0),
        (10.0, 10.0),
        (8765.4, 8760.0),
        (9999.9, 9990.0),
        (10_000.0, 10_000.0),
        (10_099.0, 10_000.0),
        (12_345.0, 12_300.0),
        (24_000.0, 24_000.0),
        (24_000.0 * (1 - 1e-12), 24_000.0),  # a whole speed that a division has rounded
    ],
)
def test_spindle_speed(computed, set_to):
    assert set_spindle_speed(f"{computed!r} rpm").magnitude == set_to


def down(value: float, increment: str) -> float:
    """Round down in decimals."""
    steps = (Decimal(repr(value)) / Decimal(increment)).to_integral_value(ROUND_FLOOR)
    return float(steps * Decimal(increment))


@pytest.mark.parametrize("increment", ["1", "0.1", "10", "2.54"])
def test_feed_rate_against_decimals(increment):
    random = np.random.default_rng(11)
    for value in np.round(random.uniform(0, 20_000, 300), 3):
        got = set_feed_rate(f"{value} mm/min", f"{increment} mm/min").magnitude
        assert got == pytest.approx(down(float(value), increment), rel=1e-12, abs=1e-12)


def test_feed_rate_in_inches():
    # common practice: 0.1 in/min
    got = set_feed_rate("48.76 in/min", "0.1 in/min").to("inch/minute").magnitude
    assert got == pytest.approx(48.7, rel=1e-12)
    assert set_feed_rate("48.7 ipm", "0.1 ipm").to("inch/minute").magnitude == pytest.approx(48.7, rel=1e-12)


@pytest.mark.parametrize(
    ("computed", "set_to"),
    # common practice: 0.001 mm below 0.1, else 0.01
    [
        (0.0, 0.0),
        (0.0567, 0.056),
        (0.0999, 0.099),
        (0.1, 0.1),
        (0.1099, 0.1),
        (0.2179, 0.21),
        (0.3, 0.3),
        (1.239, 1.23),
    ],
)
def test_stepover(computed, set_to):
    got = set_stepover(f"{computed} mm", "0.001 mm", "0.01 mm").magnitude
    assert got == pytest.approx(set_to, rel=1e-12, abs=1e-15)


def test_stepover_against_decimals():
    random = np.random.default_rng(12)
    for value in np.round(random.uniform(0, 2, 500), 4):
        got = set_stepover(f"{value} mm", "0.001 mm", "0.01 mm").magnitude
        assert got == pytest.approx(down(float(value), "0.001" if value < 0.1 else "0.01"), rel=1e-12, abs=1e-12)


def test_stepover_in_inches():
    # common practice: 0.0001 in
    for thou in ("8.57", "0.93", "25.0"):
        got = set_stepover(f"{thou} thou", "0.0001 in", "0.0001 in").to("thou").magnitude
        assert got == pytest.approx(down(float(thou), "0.1"), rel=1e-12)


def test_what_is_set_is_never_above_what_was_computed_and_stays_when_set_again():
    random = np.random.default_rng(13)
    for bare, low, high, increments in (
        (set_spindle_speed.bare, 0, 40_000, ()),
        (set_feed_rate.bare, 0, 20_000, (1.0,)),
        (set_stepover.bare, 0, 3, (0.001, 0.01)),
    ):
        computed = random.uniform(low, high, 10_000)
        done = bare(computed, *increments)
        assert np.all(done <= computed * (1 + 1.1e-9))
        assert np.all(computed - done < max([100.0 if not increments else 0.0, *increments]))
        np.testing.assert_allclose(bare(done, *increments), done, rtol=1e-12)


def test_an_increment_above_zero():
    with pytest.raises(DomainError, match="increment"):
        set_feed_rate("1200 mm/min", "0 mm/min")
    with pytest.raises(DomainError, match="fine_increment"):
        set_stepover("0.2 mm", "0 mm", "0.01 mm")
    with pytest.raises(DomainError, match="spindle_speed"):
        set_spindle_speed("-1 rpm")
