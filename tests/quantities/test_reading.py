"""Texts: the number is split from the unit here, so that what pint misreads is refused or read right."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from millcalc.quantities.reading import UnreadableTextError, split, unit_words


@pytest.mark.parametrize(
    ("text", "number", "unit"),
    [
        ("12 mm", 12.0, "mm"),
        ("12mm", 12.0, "mm"),
        ("  12   mm ", 12.0, "mm"),
        ("+12 mm", 12.0, "mm"),
        ("-12 mm", -12.0, "mm"),
        ("\u221212 mm", -12.0, "mm"),
        (".5 mm", 0.5, "mm"),
        ("5. mm", 5.0, "mm"),
        ("1e-3 mm", 0.001, "mm"),
        ("1.5E+3 mm", 1500.0, "mm"),
        ("1/2 in", 0.5, "inch"),
        ("1 1/2 in", 1.5, "inch"),
        ("1-1/2 in", 1.5, "inch"),
        ("-1 1/2 in", -1.5, "inch"),
        ('3/8"', 0.375, "inch"),
        ("2 1/16 in/min", 2.0625, "inch/minute"),
        ("inf mm", math.inf, "mm"),
        ("-infinity", -math.inf, ""),
        ("0.5", 0.5, ""),
        ("8000/min", 8000.0, "1/minute"),
        ("8000 1/min", 8000.0, "1/minute"),
        ("8000 / min", 8000.0, "1/minute"),
        ("0.1 mm per tooth", 0.1, "mm/count"),
        ("12 \u00b5m", 12.0, "micrometer"),
        ("12 \u03bcm", 12.0, "micrometer"),
        ("1700 N/mm^2", 1700.0, "N/mm**2"),
        ("1700 N/mm2", 1700.0, "N/mm**2"),
        ("1700 N/mm**2", 1700.0, "N/mm**2"),
        ("2.5 N m", 2.5, "N*m"),
        ("2.5 N\u00b7m", 2.5, "N*m"),
        ("2 ft-lbf", 2.0, "ft*lbf"),
        ("3 HP", 3.0, "horsepower"),
        ("3 Rpm", 3.0, "(revolution/minute)"),
    ],
)
def test_split(text, number, unit):
    read, unit_read = split(text)
    assert (read, unit_read.replace(" ", "")) == (number, unit)


# pint's own parser makes numbers of these, or computes without end
MISREAD = ["0,5 mm", "12 mm 3 mm", "mm", "", "10**10**3 mm"]


@pytest.mark.parametrize("text", MISREAD)
def test_what_pint_misreads_is_refused(text):
    with pytest.raises(UnreadableTextError):
        split(text)


def test_the_traps_are_still_traps():
    """If pint ever refuses or reads these right, the number could be left to it."""
    registry = pint.UnitRegistry()
    assert registry.Quantity("0,5 mm").magnitude == 0
    assert registry.Quantity("1 1/2 in").to("inch").magnitude == 0.5
    assert registry.Quantity("mm").magnitude == 1


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "empty"),
        ("   ", "empty"),
        ("mm", "does not begin with a number"),
        ("nan mm", "does not begin with a number"),
        ("twelve mm", "does not begin with a number"),
        ("--5 mm", "does not begin with a number"),
        ("0,5 mm", "comma"),
        ("8,000 rpm", "comma"),
        ("1.000,5 mm", "comma"),
        ("12 mm 3 mm", "is not a unit"),
        ("12 mm, 3 mm", "is not a unit"),
        ("10**10**3 mm", "is not a unit"),
        ("10^3 mm", "is not a unit"),
        ("2*3 mm", "is not a unit"),
        ("1/2/3 in", "is not a unit"),
        ("1 - 1/2 in", "is not a unit"),
        ("1.5 1/2 in", "is not a unit"),
        ("1 000 mm", "is not a unit"),
        ("0x10 mm", "is not a unit"),
        ("12 mm)", "is not a unit"),
        ("12 (mm", "is not a unit"),
        ("12 mm.real", "is not a unit"),
        ("12 __import__('os')", "is not a unit"),
        ("50 %", "is not a unit"),
        ("12 " + "m*" * 60 + "m", "is not a unit"),
        ("1/0 in", "cannot be read"),
        ("1 1/0 in", "cannot be read"),
        ("1" * 5000 + "/2 in", "cannot be read"),
        ("1e999 mm", "too large"),
        ("5 mil", "write thou"),
        ("5 mils", "write thou"),
        ("5 MIL", "write thou"),
        ("5 mil/min", "write thou"),
    ],
)
def test_refused_texts_say_why(text, reason):
    with pytest.raises(UnreadableTextError, match=reason):
        split(text)


def test_words_that_only_contain_mil_are_not_mil():
    assert unit_words("millimeter") == "millimeter"
    assert unit_words("milliinch") == "milliinch"


@given(st.integers(0, 10**6), st.integers(0, 10**4), st.integers(1, 10**4), st.sampled_from([" ", "-", "  "]))
def test_mixed_fractions(whole, top, bottom, between):
    number, unit = split(f"{whole}{between}{top}/{bottom} in")
    assert unit == "inch"
    assert number == whole + top / bottom


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_printed_float_is_read_back(value):
    assert split(f"{value!r} mm") == (value, "mm")


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused(text):
    try:
        number, _ = split(text)
    except UnreadableTextError:
        return
    assert number == number


def test_a_split_is_remembered():
    split.cache_clear()
    for _ in range(3):
        split("7.25 mm")
    assert (split.cache_info().misses, split.cache_info().hits) == (1, 2)
