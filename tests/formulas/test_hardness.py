"""Rules over hardness: straight and power laws against points that determine them, and refusals."""

import numpy as np
import pytest

from millcalc.errors import DomainError, UnitError, ValidityWarning
from millcalc.formulas import hardness

RANDOM = np.random.default_rng(3)


def test_the_energy_is_the_line_through_two_of_its_points():
    for _ in range(50):
        base, rise = RANDOM.uniform(0.5, 2.0), RANDOM.uniform(0.001, 0.01)
        points = np.array([100.0, 300.0])
        slope, start = np.polyfit(points, hardness.energy_at_hardness.bare(points, base, rise), 1)
        assert (slope, start) == pytest.approx((rise, base), rel=1e-9)


def test_the_printed_constants_of_the_handbook():
    """Machinery's Handbook, 31st ed., p. 1147 (read): 1.72 at 80-100 HB, 2.32 at 200-220 HB, 3.11 at 340-360 HB."""
    for middle, energy in ((90, 1.72), (210, 2.32), (350, 3.11)):
        found = hardness.energy_at_hardness.bare(middle, 1.243, 0.00512)
        assert found == pytest.approx(energy, rel=0.025)  # the worst misfit of the line is 2.4 %


def test_the_speed_falls_by_the_exponent_in_a_hundred():
    """1 % harder is the exponent in percent slower, to first order."""
    for exponent in (0.75, 1.4):
        slower = hardness.speed_at_hardness.bare(100.0, 250.0, 250.0 * 1.0001, exponent)
        assert (1.0 - slower / 100.0) / 1e-4 == pytest.approx(exponent, rel=1e-3)


def test_printed_speeds_of_high_speed_steel():
    """1045, milling, read: 30.5 m/min at 125-175 HB to 7.6 at 375-425 HB; the fit is b 1.39, worst misfit 22 %."""
    rows = {150: 30.5, 200: 25.9, 250: 21.3, 300: 16.8, 350: 10.7, 400: 7.6}
    logs = np.log(np.array(list(rows.items())))
    slope = np.polyfit(*logs.T, 1)[0]
    assert -slope == pytest.approx(1.39, abs=0.02)
    for brinell, speed in rows.items():
        found = hardness.speed_at_hardness.bare(24.0, 200.0, brinell, 1.39)
        assert found == pytest.approx(speed, rel=0.23)


def test_there_and_back():
    speed, here, there = 120.0, 200.0, 350.0
    found = hardness.speed_at_hardness.bare(speed, here, there, 0.75)
    assert hardness.speed_at_hardness.bare(found, there, here, 0.75) == pytest.approx(speed, rel=1e-12)


def test_what_lies_outside_is_refused_or_told():
    with pytest.raises(DomainError):
        hardness.speed_at_hardness("100 m/min", 0, 200, 0.75)
    with pytest.raises(UnitError):
        hardness.energy_at_hardness(200, "1.2 N", "0.005 J/mm^3")
    with pytest.warns(ValidityWarning):
        hardness.speed_at_hardness("100 m/min", 200, 600, 0.75)
    with pytest.warns(ValidityWarning):
        hardness.energy_at_hardness(500, "1.243 J/mm^3", "0.00512 J/mm^3")
