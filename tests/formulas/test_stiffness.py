"""The clamped bar: printed values, the elastic line integrated from its differential equation, and the edges."""

from __future__ import annotations

import math
import warnings

import numpy as np
import pint
import pytest
import sympy as sp
from scipy import integrate

from millcalc.errors import DomainError, UnitError, ValidityWarning
from millcalc.formulas import stiffness as s

# D, L, N/um solid and of 0.8 D, at 600 GPa: exact tables of the published page (derived)
TABLE = [(10.0, 40.0, 13.806, 5.655), (4.0, 16.0, 5.522, 2.262), (12.0, 60.0, 8.482, 3.474)]


@pytest.mark.parametrize(("diameter", "overhang", "solid", "fluted"), TABLE)
def test_printed_stiffness(diameter, overhang, solid, fluted):
    equivalent = s.equivalent_diameter(f"{diameter} mm")
    for bar, printed in ((f"{diameter} mm", solid), (equivalent, fluted)):
        found = s.cantilever_stiffness(f"{overhang} mm", bar, "600 GPa").to("N/um").magnitude
        assert abs(found - printed) <= 0.0005
        moved = s.cantilever_deflection("100 N", f"{overhang} mm", bar, "600 GPa").to("um").magnitude
        assert moved == pytest.approx(100.0 / found, rel=1e-12)


def test_printed_stepped_cutter():
    # published page (derived): 100 N, shank d 10 L 30, flutes 8 L 20: 15.452 um
    moved = s.stepped_deflection("100 N", "50 mm", "20 mm", "8 mm", "10 mm", "600 GPa", equivalent_ratio=1)
    assert abs(moved.to("um").magnitude - 15.452) <= 0.0005


def elastic_line(force, lengths, diameters, modulus, load_height):
    """Deflection [um] at the tip: E I y'' = M from the clamp downward, solved as an initial value problem."""
    total, moved, lean = sum(lengths), 0.0, 0.0
    top = total
    for length, diameter in zip(reversed(lengths), reversed(diameters), strict=True):
        rigidity = modulus * 1e3 * math.pi * diameter**4 / 64

        def rate(along, state, top=top, rigidity=rigidity):
            return [state[1], force * max(top - along - load_height, 0.0) / rigidity]

        inner = np.clip(top - load_height, 0.0, length)  # the moment has a kink at the force
        for span in ((0.0, inner), (inner, length)):
            if span[1] > span[0]:
                solved = integrate.solve_ivp(rate, span, [moved, lean], rtol=1e-11, atol=1e-15)
                moved, lean = solved.y[:, -1]
        top -= length
    return 1000.0 * moved


@pytest.mark.parametrize("height", [0.0, 1.0, 12.0, 39.0, 40.0])
def test_tip_deflection_is_the_elastic_line(height):
    expected = elastic_line(80.0, [40.0], [7.0], 580.0, height)
    got = s.tip_deflection.bare(80.0, 40.0, 7.0, 580.0, height)
    assert got == pytest.approx(expected, rel=1e-8, abs=1e-12)


@pytest.mark.parametrize(("flutes", "shank"), [(0.0, 10.0), (12.0, 10.0), (30.0, 4.0), (50.0, 10.0)])
def test_stepped_deflection_is_the_elastic_line(flutes, shank):
    expected = elastic_line(80.0, [flutes, 50.0 - flutes], [6.4, shank], 580.0, 0.0)
    got = s.stepped_deflection.bare(80.0, 50.0, flutes, 8.0, shank, 580.0)
    assert got == pytest.approx(expected, rel=1e-8)


def test_second_moment_is_the_integral_over_the_disc():
    r, phi, d = sp.symbols("r phi d", positive=True)
    disc = sp.integrate((r * sp.sin(phi)) ** 2 * r, (r, 0, d / 2), (phi, 0, 2 * sp.pi))
    assert s.second_moment.bare(7.3) == pytest.approx(float(disc.subs(d, 7.3)), rel=1e-13)


def test_stress_balances_the_moment():
    """The stress that grows straight from the middle, over the disc, makes the moment of the force."""
    largest = s.bending_stress.bare(90.0, 37.0, 8.0)

    def turning(y):
        return largest * y / 4.0 * y * 2.0 * math.sqrt(16.0 - y * y)

    moment, _ = integrate.quad(turning, -4.0, 4.0, epsabs=0.0, epsrel=1e-10)
    assert moment == pytest.approx(90.0 * 37.0, rel=1e-9)


def test_largest_overhang_undoes_the_deflection():
    found = s.largest_overhang("75 N", "12 um", "6 mm", "580 GPa")
    assert s.cantilever_deflection("75 N", found, "6 mm", "580 GPa").to("um").magnitude == pytest.approx(12.0)
    assert s.largest_overhang.bare(75.0, 0.0, 6.0, 580.0) == 0.0


def test_shear_at_the_edge_of_validity():
    """Shear of a round carbide bar (Cowper's coefficient, Poisson's ratio 0.22) adds about 6 % at 3 diameters."""
    ratio, overhang = 0.22, 3.0
    share = 6 * (1 + ratio) / (7 + 6 * ratio)
    bending = overhang**3 / (3 * math.pi / 64)
    shear = overhang * 2 * (1 + ratio) / (share * math.pi / 4)
    assert 0.05 < shear / bending < 0.065
    with pytest.warns(ValidityWarning, match="overhang"):
        s.cantilever_stiffness("29 mm", "10 mm", "600 GPa")
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        s.cantilever_stiffness("30 mm", "10 mm", "600 GPa")


@pytest.mark.parametrize(
    ("formula", "inputs", "kind"),
    [
        (s.equivalent_diameter, ("10 mm", 1.01), DomainError),
        (s.second_moment, ("0 mm",), DomainError),
        (s.cantilever_stiffness, ("0 mm", "10 mm", "600 GPa"), DomainError),
        (s.cantilever_deflection, ("-1 N", "40 mm", "10 mm", "600 GPa"), DomainError),
        (s.cantilever_deflection, ("1 N", "40 mm", "10 mm", "600 N/mm"), UnitError),
        (s.cantilever_deflection, ("1 N", "40 mm", "10 mm", 600), UnitError),
        (s.tip_deflection, ("1 N", "40 mm", "10 mm", "600 GPa", "41 mm"), DomainError),
        (s.stepped_deflection, ("1 N", "40 mm", "41 mm", "10 mm", "10 mm", "600 GPa"), DomainError),
        (s.largest_overhang, ("0 N", "10 um", "10 mm", "600 GPa"), DomainError),
        (s.bending_stress, ("1 N", "40 mm", "0 mm"), DomainError),
    ],
)
def test_errors(formula, inputs, kind):
    with pytest.raises(kind):
        formula(*inputs)


def test_units_of_the_shop():
    # exact by definition of pound and inch (derived); 1 psi = 4.4482216152605/645.16 N/mm^2
    psi = s.cantilever_stiffness("2 in", "0.5 in", "30000000 psi").to("N/um").magnitude
    modulus = 3e7 * 4.4482216152605 / 645.16 / 1000
    assert psi == pytest.approx(s.cantilever_stiffness.bare(50.8, 12.7, modulus), rel=1e-12)
    same = s.cantilever_stiffness("50 mm", "10 mm", "207000 N/mm^2")
    assert same.magnitude == pytest.approx(s.cantilever_stiffness("50 mm", "10 mm", "207 GPa").magnitude, rel=1e-14)


def test_arrays_and_edges():
    mm = pint.application_registry.mm
    found = s.cantilever_stiffness(np.array([[40.0], [80.0]]) * mm, np.array([10.0, 8.0]) * mm, "600 GPa").magnitude
    np.testing.assert_allclose(found, [[13.806, 5.655], [13.806 / 8, 5.655 / 8]], atol=0.0005)
    assert np.isnan(s.tip_deflection.bare(1.0, np.array([40.0, 10.0]), 5.0, 600.0, 20.0)).tolist() == [False, True]
    assert math.isnan(s.stepped_deflection.bare(1.0, 40.0, 41.0, 8.0, 8.0, 600.0))
    assert s.cantilever_deflection.bare(np.array([]), 40.0, 10.0, 600.0).shape == (0,)
    assert s.cantilever_deflection.bare(1.0, math.inf, 10.0, 600.0) == math.inf
