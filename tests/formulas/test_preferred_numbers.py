"""Steps of geared spindles: the printed series, every decade, what lies between, and what is no series."""

from __future__ import annotations

import numpy as np
import pytest

from millcalc.errors import DomainError, UnitError
from millcalc.formulas.preferred_numbers import stepped_spindle_speed

# ISO 3, the rounded series as a table passed on (not read in the standard)
R5 = (1, 1.6, 2.5, 4, 6.3)
R10 = (1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8)
R20 = tuple(sorted((*R10, 1.12, 1.4, 1.8, 2.24, 2.8, 3.55, 4.5, 5.6, 7.1, 9)))


@pytest.mark.parametrize(("steps", "series"), [(5, R5), (10, R10), (20, R20)])
def test_the_printed_series(steps, series):
    for decade in (0.1, 1.0, 10.0, 1000.0, 10_000.0):
        for number, following in zip(series, (*series[1:], 10.0), strict=True):
            between = 0.5 * (number + following) * decade
            for wanted in (number * decade, between, following * decade * 0.999):
                assert stepped_spindle_speed.bare(wanted, float(steps)) == pytest.approx(number * decade, rel=1e-12)


@pytest.mark.parametrize(("steps", "series"), [(5, R5), (10, R10), (20, R20)])
def test_the_series_are_the_roots_of_ten_rounded(steps, series):
    """The numbers lie within 1.3 % of 10^(k/steps), by which the standard makes them (derived)."""
    exact = 10.0 ** (np.arange(steps) / steps)
    assert np.max(np.abs(np.array(series) / exact - 1.0)) < 0.013


def test_arrays_and_units():
    found = stepped_spindle_speed.bare(np.array([[1499.0], [4000.0]]), np.array([5.0, 10.0, 20.0]))
    assert found.tolist() == pytest.approx(np.array([[1000.0, 1250.0, 1400.0], [4000.0, 4000.0, 4000.0]]))
    assert stepped_spindle_speed("25 1/s").magnitude == pytest.approx(1400.0)


@pytest.mark.parametrize(
    ("speed", "steps", "kind"),
    [("0 rpm", 20, DomainError), ("-5 rpm", 20, DomainError), ("100 rpm", 40, DomainError), ("100 mm", 20, UnitError)],
)
def test_what_is_refused(speed, steps, kind):
    with pytest.raises(kind):
        stepped_spindle_speed(speed, steps)


def test_what_has_no_step_has_no_number():
    assert np.isnan(stepped_spindle_speed.bare(np.array([0.0, -1.0, np.nan, np.inf]), 20.0)).all()
    assert np.isnan(stepped_spindle_speed.bare(100.0, 7.0))
