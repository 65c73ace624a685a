"""Balance: the standard's worked example, a rotor turned point by point, and the edges."""

from __future__ import annotations

import math

import mpmath as mp
import numpy as np
import pint
import pytest

from millcalc.errors import DomainError, UnitError
from millcalc.formulas import balance


def test_the_worked_example_of_the_standard():
    # ISO 1940-1:2003 / ISO 21940-11, annex (from memory): 3600 kg, 3000 rev/min, G 2.5: 8 um, 28.6e3 g mm
    eccentricity = balance.permissible_eccentricity("G2.5", "3000 rpm").to("um").magnitude
    assert abs(eccentricity - 8.0) <= 0.1
    unbalance = balance.permissible_unbalance("G2.5", "3600 kg", "3000 rpm").to("g*mm").magnitude
    assert abs(unbalance - 28.6e3) <= 100
    # its note, derived: 7.96 um, 28 648 g mm
    assert abs(eccentricity - 7.96) <= 0.005
    assert abs(unbalance - 28648) <= 0.5


@pytest.mark.parametrize(("grade", "speed"), [(2.5, 24000.0), (6.3, 8000.0), (1.0, 60000.0), (16.0, 333.0)])
def test_the_grade_is_the_speed_of_the_centre_of_mass(grade, speed):
    """The centre is followed on its circle for a short time, in 30 digits: its speed in mm/s is the grade."""
    with mp.workdps(30):
        radius = mp.mpf(float(balance.permissible_eccentricity.bare(grade, speed))) / 1000
        step = mp.mpf(10) ** -12
        angle = 2 * mp.pi * mp.mpf(speed) / 60 * step
        moved = mp.sqrt((radius * mp.cos(angle) - radius) ** 2 + (radius * mp.sin(angle)) ** 2)
        assert float(moved / step) == pytest.approx(grade, rel=1e-9)


def test_the_force_is_mass_times_the_acceleration_of_its_centre():
    """Second difference of the path of 1 kg whose centre lies 10 um off, in kg, m and s."""
    with mp.workdps(40):
        offset, turn, step = mp.mpf(10) / 10**6, 2 * mp.pi * 24000 / 60, mp.mpf(10) ** -9
        path = [offset * mp.cos(turn * t * step) for t in (-1, 0, 1)]
        expected = -(path[0] - 2 * path[1] + path[2]) / step**2
    # 1 kg at 10 um is 10 g at 1 mm
    assert balance.unbalance_force.bare(10.0, 24000.0) == pytest.approx(float(expected), rel=1e-9)


def test_speed_and_unbalance_undo_each_other():
    allowed = balance.permissible_unbalance("G2.5", "1.3 kg", "18000 rpm")
    assert balance.largest_balanced_speed("G2.5", "1.3 kg", allowed).to("rpm").magnitude == pytest.approx(18000.0)
    ratio = allowed / balance.permissible_eccentricity("G2.5", "18000 rpm")
    assert ratio.to("kg").magnitude == pytest.approx(1.3)


def test_units_of_the_shop():
    # exact by definition of ounce and inch (derived): 1 oz in = 28.349523125 * 25.4 g mm
    in_ounces = balance.unbalance_force("1 oz*in", "3000 rpm").magnitude
    assert in_ounces == pytest.approx(balance.unbalance_force.bare(28.349523125 * 25.4, 3000.0), rel=1e-12)
    pounds = balance.permissible_unbalance("G2.5", "1 lb", "3000 rpm").magnitude
    assert pounds == pytest.approx(balance.permissible_unbalance.bare(2.5, 0.45359237, 3000.0), rel=1e-12)
    assert balance.permissible_eccentricity(2.5, "3000 rpm") == balance.permissible_eccentricity("g2.5", "50 Hz")


@pytest.mark.parametrize(
    ("formula", "inputs", "kind"),
    [
        (balance.permissible_eccentricity, ("G2.5", "0 rpm"), DomainError),
        (balance.permissible_eccentricity, ("G3.7", "100 rpm"), UnitError),
        (balance.permissible_eccentricity, (0, "100 rpm"), DomainError),
        (balance.permissible_unbalance, ("G2.5", "-1 kg", "100 rpm"), DomainError),
        (balance.permissible_unbalance, ("G2.5", "1 N", "100 rpm"), UnitError),
        (balance.largest_balanced_speed, ("G2.5", "1 kg", "0 g*mm"), DomainError),
        (balance.unbalance_force, ("1 g", "100 rpm"), UnitError),
        (balance.unbalance_force, ("nan g*mm", "100 rpm"), UnitError),
    ],
)
def test_errors(formula, inputs, kind):
    with pytest.raises(kind):
        formula(*inputs)


def test_arrays_and_edges():
    registry = pint.application_registry
    speeds = np.array([1000.0, 10_000.0]) * registry.rpm
    found = balance.permissible_unbalance("G2.5", "1 kg", speeds).magnitude
    np.testing.assert_allclose(found, [75000.0 / (math.pi * 1000.0), 7.5 / math.pi], rtol=1e-13)
    assert balance.unbalance_force.bare(np.array([]), 100.0).shape == (0,)
    assert balance.unbalance_force.bare(0.0, 1e5) == 0.0
    assert math.isnan(balance.permissible_unbalance.bare(2.5, math.nan, 100.0))
    assert balance.permissible_eccentricity.bare(2.5, math.inf) == 0.0
