"""Natural frequencies of clamped bars against beam elements, and the edges."""

from __future__ import annotations

import math

import mpmath as mp
import numpy as np
import pytest
from scipy import linalg

from millcalc.errors import DomainError, UnitError
from millcalc.formulas.frequencies import FIRST_ROOT, cantilever_frequency, overhung_frequency
from millcalc.formulas.stiffness import cantilever_stiffness


def frequencies(overhang, diameter, modulus, density, tip_mass=0.0, elements=40):
    """First frequency [Hz] of a bar of two-node beam elements, cubic shapes, in N, mm, s and tonnes."""
    size, h = 2 * elements + 2, overhang / elements
    stiff, heavy = np.zeros((size, size)), np.zeros((size, size))
    rigidity, line = modulus * 1e3 * math.pi * diameter**4 / 64, density * 1e-9 * math.pi * diameter**2 / 4
    k = np.array([[12, 6 * h, -12, 6 * h], [6 * h, 4 * h * h, -6 * h, 2 * h * h]])
    k = np.vstack([k, [-12, -6 * h, 12, -6 * h], [6 * h, 2 * h * h, -6 * h, 4 * h * h]]) * rigidity / h**3
    m = np.array([[156, 22 * h, 54, -13 * h], [22 * h, 4 * h * h, 13 * h, -3 * h * h]])
    m = np.vstack([m, [54, 13 * h, 156, -22 * h], [-13 * h, -3 * h * h, -22 * h, 4 * h * h]]) * line * h / 420
    for e in range(elements):
        stiff[2 * e : 2 * e + 4, 2 * e : 2 * e + 4] += k
        heavy[2 * e : 2 * e + 4, 2 * e : 2 * e + 4] += m
    heavy[-2, -2] += tip_mass * 1e-3
    longest = linalg.eigh(heavy[2:, 2:], stiff[2:, 2:], eigvals_only=True)[-1]
    return 1.0 / (2.0 * math.pi * math.sqrt(longest))


def test_the_root_of_the_first_mode():
    with mp.workdps(30):
        root = mp.findroot(lambda b: mp.cos(b) * mp.cosh(b) + 1, 1.9)
    assert float(root) == pytest.approx(FIRST_ROOT, rel=1e-15)


@pytest.mark.parametrize(("overhang", "diameter", "modulus", "density"), [(40, 10, 600, 14.5), (90, 6, 207, 7.85)])
def test_frequencies_are_those_of_beam_elements(overhang, diameter, modulus, density):
    expected = frequencies(overhang, diameter, modulus, density)
    assert cantilever_frequency.bare(overhang, diameter, modulus, density) == pytest.approx(expected, rel=1e-6)
    stiff = cantilever_stiffness.bare(overhang, diameter, modulus)
    mass = density * 1e-6 * math.pi * diameter**2 / 4 * overhang
    assert overhung_frequency.bare(stiff, mass) == pytest.approx(expected, rel=1e-6)
    misses = []
    for share in (0.02, 0.1, 0.3, 1.0, 5.0, 100.0):
        exact = frequencies(overhang, diameter, modulus, density, share * mass)
        misses.append(overhung_frequency.bare(stiff, mass, share * mass) / exact - 1.0)
    # the docstring's bound, and on the low side
    assert min(misses) >= -0.005
    assert max(misses) <= 0.0
    assert min(misses) < -0.001


@pytest.mark.parametrize(
    ("formula", "inputs", "kind"),
    [
        (overhung_frequency, ("10 N/um", "0 kg"), DomainError),
        (overhung_frequency, ("10 N/um", "1 kg", "-1 g"), DomainError),
        (overhung_frequency, ("10 N/mm^2", "1 kg"), UnitError),
        (cantilever_frequency, ("40 mm", "10 mm", "600 GPa", "0 g/cm^3"), DomainError),
        (cantilever_frequency, ("0 mm", "10 mm", "600 GPa", "14 g/cm^3"), DomainError),
    ],
)
def test_errors(formula, inputs, kind):
    with pytest.raises(kind):
        formula(*inputs)


def test_arrays_and_edges():
    overhangs = np.array([40.0, 80.0, np.inf, np.nan])
    found = cantilever_frequency.bare(overhangs, 10.0, 600, 15)
    np.testing.assert_allclose(found / found[0], [1.0, 0.25, 0.0, np.nan])
    assert overhung_frequency.bare(np.array([]), 1.0).shape == (0,)
    assert overhung_frequency.bare(0.0, 1.0) == 0.0
    # a spring of 1 N/um under 1 kg at the end of a bar without weight: sqrt(10^6) rad/s (derived)
    assert overhung_frequency.bare(1.0, 1e-12, 1.0) == pytest.approx(1000.0 / (2.0 * math.pi), rel=1e-9)
