"""Shares, budgets and windows against weighing out, and their edges."""

from __future__ import annotations

from fractions import Fraction

import pytest

from millcalc.errors import DomainError, UnitError
from millcalc.formulas.shares import (
    chord_allowance,
    chord_share,
    feed_cap,
    feed_in_window,
    form_budget,
    greatest_depth,
    height_share,
    least_chip,
    roughness_share,
    speed_in_window,
    stated_width,
)

SHARES = [1e-6, 0.1, 1 / 3, 0.5, 1.0]


@pytest.mark.parametrize(
    ("formula", "value", "unit"),
    [
        (roughness_share, "0.8 um", "um"),
        (height_share, "5 um", "um"),
        (chord_share, "2 um", "um"),
        (chord_allowance, "0.02 mm", "um"),
        (stated_width, "6 mm", "mm"),
        (feed_cap, "0.03 mm", "mm"),
    ],
)
@pytest.mark.parametrize("share", SHARES)
def test_a_share_and_the_rest_are_the_whole(formula, value, unit, share):
    """In exact fractions: the share over the whole is the share asked for."""
    part = formula(value, share).to(unit).magnitude
    whole = formula(value, 1).to(unit).magnitude
    assert float(Fraction(part) / Fraction(whole)) == pytest.approx(share, rel=1e-15)
    number, given_in = value.split()
    scale = 1000.0 if (given_in, unit) == ("mm", "um") else 1.0
    assert whole == pytest.approx(float(number) * scale, rel=1e-15)


@pytest.mark.parametrize(
    ("formula", "value", "most"),
    [
        (roughness_share, "0.8 um", 1.0),
        (chord_share, "2 um", 1.0),
        (chord_allowance, "0.02 mm", 1.0),
        (stated_width, "6 mm", 1.0),
        (height_share, "5 um", None),
        (feed_cap, "0.03 mm", None),
    ],
)
def test_shares_lie_between_nothing_and_the_whole(formula, value, most):
    for bad in (0, -0.1):
        with pytest.raises(DomainError, match="above 0"):
            formula(value, bad)
    if most:
        with pytest.raises(DomainError, match="up to 1"):
            formula(value, 1.0001)
    else:
        assert formula(value, 2).magnitude > formula(value, 1).magnitude
    with pytest.raises(UnitError, match="has a unit"):
        formula(value, "10 mm")


def test_form_budget_is_laid_up_piece_by_piece():
    # three gauges of 2, 5 and 10 um are 0.017 mm high (derived)
    assert form_budget("2 um", "5 um", "10 um").magnitude == pytest.approx(0.017, rel=1e-15)
    assert form_budget("2 um", "5 um").magnitude == pytest.approx(0.007, rel=1e-15)
    assert form_budget("0 um", "0 um").magnitude == 0.0
    # 0.0001 in and 0.0002 in are 7.62 um (derived)
    assert form_budget("100 uin", "0.0002 in").magnitude == pytest.approx(0.00762, rel=1e-14)
    with pytest.raises(DomainError, match="deflection"):
        form_budget("2 um", "5 um", "-1 um")


def test_the_budget_of_the_chord_is_spent_once():
    """A tenth of 0.02 mm for the chord and 5 um of scallop use 7 um of the 20 (derived)."""
    chord = chord_allowance("0.02 mm", 0.1)
    assert chord.to("um").magnitude == pytest.approx(2.0, rel=1e-15)
    assert form_budget(chord, "5 um").to("um").magnitude == pytest.approx(7.0, rel=1e-14)


def test_greatest_depth_is_stock_and_scallops():
    assert greatest_depth("0.1 mm", "20 um").magnitude == pytest.approx(0.12, rel=1e-15)
    assert greatest_depth("0.1 mm", "0 um").magnitude == 0.1
    # README.md, heard once: 0.025 in of stock; on it scallops of 0.0013 in (derived): 0.0263 in
    inches = greatest_depth("0.025 in", "0.0013 in").to("inch").magnitude
    assert inches == pytest.approx(0.0263, rel=1e-14)


@pytest.mark.parametrize("share", [0.0, 0.25, 0.5, 1.0])
def test_windows_by_stepping_through_them(share):
    """The window cut in a thousand steps, so many of them walked."""
    speed = 120.0 + sum([80.0 / 1000] * round(share * 1000))
    assert speed_in_window("120 m/min", "200 m/min", share).magnitude == pytest.approx(speed, rel=1e-12)
    feed = 0.02 + sum([0.02 / 1000] * round(share * 1000))
    assert feed_in_window("0.02 mm", "0.04 mm", share).magnitude == pytest.approx(feed, rel=1e-12)


def test_the_ends_of_windows():
    # Carvill p. 187 (read): carbide in mild steel from 100 to 200 m/min
    assert speed_in_window("100 m/min", "200 m/min", 0).magnitude == 100
    assert speed_in_window("100 m/min", "200 m/min", 1).magnitude == 200
    assert feed_in_window("0.03 mm", "0.03 mm", 0.7).magnitude == 0.03
    for formula, low, high in (
        (speed_in_window, "100 m/min", "200 m/min"),
        (feed_in_window, "0.02 mm", "0.04 mm"),
    ):
        for share in (-0.01, 1.01):
            with pytest.raises(DomainError, match="share"):
                formula(low, high, share)


def test_least_chip():
    # material_rules.md 4.5 (abstract read): 0.14 to 0.43 of the edge radius; rule of use 0.4
    assert least_chip("8 um", 0.4).magnitude == pytest.approx(0.0032, rel=1e-15)
    assert least_chip("10 um", 0.14).magnitude == pytest.approx(0.0014, rel=1e-15)
    assert least_chip("10 um", 0.43).magnitude == pytest.approx(0.0043, rel=1e-15)
    with pytest.raises(DomainError, match="least_chip_ratio"):
        least_chip("8 um", 0)
