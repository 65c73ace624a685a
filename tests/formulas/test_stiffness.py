"""The tool as a bar against a table, a numerical double integration, and each formula solved for its unknowns."""

import numpy as np
import pytest
from scipy.integrate import solve_bvp

from millcalc.formulas import balance, stiffness


# N/um, solid and fluted (0.8 D), E 600 GPa (derived in the shared check values)
@pytest.mark.parametrize(
    ("diameter", "overhang", "solid", "fluted"),
    [(10, 40, 13.806, 5.655), (4, 16, 5.522, 2.262), (12, 60, 8.482, 3.474)],
)
def test_table(diameter, overhang, solid, fluted):
    assert stiffness.cantilever_stiffness.bare(overhang, diameter, 600.0) == pytest.approx(solid, abs=5e-4)
    thin = stiffness.equivalent_diameter.bare(diameter)
    assert stiffness.cantilever_stiffness.bare(overhang, thin, 600.0) == pytest.approx(fluted, abs=5e-4)


def test_deflection_by_integrating_the_bending_line():
    """E I w'' = F (L - x), clamped at 0 (derived)."""
    force, length, diameter, modulus = 80.0, 35.0, 6.0, 580.0
    bend = 1000 * modulus * np.pi * diameter**4 / 64
    mesh = np.linspace(0, length, 50)
    made = solve_bvp(
        lambda x, y: np.array([y[1], force * (length - x) / bend]),
        lambda a, b: np.array([a[0], a[1]]),
        mesh,
        np.zeros((2, 50)),
        tol=1e-10,
    )
    found = stiffness.cantilever_deflection.bare(force, length, diameter, modulus)
    assert found == pytest.approx(1000 * made.y[0, -1], rel=1e-8)
    assert stiffness.cantilever_overhang.bare(force, found, diameter, modulus) == pytest.approx(length)
    assert found * stiffness.cantilever_stiffness.bare(length, diameter, modulus) == pytest.approx(force)


def test_bending_stress_is_moment_over_section():
    radius = 3.0
    cells = np.linspace(-radius, radius, 400001)
    width = 2 * np.sqrt(np.maximum(radius**2 - cells**2, 0))
    second_moment = np.trapezoid(width * cells**2, cells)
    assert stiffness.bending_stress.bare(50.0, 20.0, 6.0) == pytest.approx(50 * 20 * radius / second_moment, rel=1e-6)


def test_natural_frequency_by_finite_differences():
    """w'''' = lambda w on a clamped bar (derived)."""
    n, length, diameter, modulus, density = 400, 0.04, 0.01, 600e9, 14500.0
    h = length / n
    matrix = np.zeros((n, n))
    for row in range(n):
        for shift, weight in ((-2, 1), (-1, -4), (0, 6), (1, -4), (2, 1)):
            place = row + shift
            if place == -2:
                place = 0  # w(-h) = w(h)
            if 0 <= place < n:
                matrix[row, place] += weight
    # free end: w'' = w''' = 0
    matrix[n - 2, n - 4 : n] = [1, -4, 5, -2]
    matrix[n - 1, n - 3 : n] = [2, -4, 2]
    least = np.min(np.abs(np.linalg.eigvals(matrix))) / h**4
    stiff = modulus * np.pi * diameter**4 / 64 / (density * np.pi * diameter**2 / 4)
    expected = np.sqrt(least * stiff) / (2 * np.pi)
    assert stiffness.cantilever_frequency.bare(40.0, 10.0, 600.0, 14.5) == pytest.approx(expected, rel=5e-3)


def test_balance():
    """G2.5: 24 000 rev/min, 1 kg 0.9947 g mm; G6.3: 8000, 5 kg 37.600 (derived); 3600 kg, 3000 rev/min 8 um,
    28.6e3 g mm (ISO 21940-11 annex, from memory)."""
    assert balance.permissible_unbalance.bare(2.5, 1.0, 24000.0) == pytest.approx(0.9947, abs=5e-5)
    assert balance.permissible_unbalance.bare(6.3, 5.0, 8000.0) == pytest.approx(37.600, abs=5e-4)
    assert balance.permissible_unbalance.bare(2.5, 3600.0, 3000.0) == pytest.approx(28.6e3, abs=100)
    assert balance.permissible_eccentricity.bare(2.5, 3000.0) == pytest.approx(8.0, abs=0.1)
    assert balance.largest_balanced_speed.bare(2.5, 1.0, 0.99471839) == pytest.approx(24000, rel=1e-6)


def test_unbalance_turns_with_the_spindle():
    """Mass times radius times the square of the angular speed: 2 g at 1 mm, 400 turns a second (derived)."""
    assert balance.unbalance_force.bare(2.0, 24000.0) == pytest.approx(2e-3 * 1e-3 * (2 * np.pi * 400) ** 2)
