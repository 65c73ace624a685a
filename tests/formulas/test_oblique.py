"""The oblique transformation against vectors on shear plane and rake face; the straight line against least squares."""

import mpmath as mp
import numpy as np
import pytest
from scipy.optimize import brentq

from millcalc.errors import DomainError
from millcalc.formulas import oblique


def printed_case(chip, rake, lean):
    """Orthogonal data of Ti-6Al-4V (from memory: Budak, Altintas, Armarego, ASME J. Eng. Ind. 118 (1996) 216-224)."""
    ratio = (1.755 - 0.028 * rake) * chip ** (0.331 - 0.0082 * rake)
    shear = oblique.shear_angle.bare(ratio, rake)
    return oblique.oblique_coefficients.bare(613.0, shear, 19.1 + 0.29 * rake, rake, lean)


@pytest.mark.parametrize(
    ("case", "expected"),
    # values derived in the shared check values from these data
    [((0.05, 0.0, 0.0), (1730.9, 599.4, 0.0)), ((0.05, 12.0, 30.0), (1510.0, 214.6, 514.9))],
)
def test_coefficients_of_titanium(case, expected):
    assert printed_case(*case) == pytest.approx(expected, abs=0.05)


VECTOR_CASES = [
    (500.0, 25.0, 30.0, 5.0, 20.0),
    (613.0, 40.0, 20.0, -10.0, 45.0),
    (400.0, 30.0, 35.0, 12.0, 0.0),
    (700.0, 35.0, 15.0, 25.0, 30.0),  # a steep rake that pulls in: the radial one is below 0
    (613.0, 39.0, 22.0, 12.0, -30.0),
]


def from_vectors(stress, shear, friction, rake, lean):
    """The force on the tool and the plane it comes from, for a chip 1 mm thick and, square to the speed, 1 mm wide."""
    phi, beta, alpha, i = np.radians([shear, friction, rake, lean])
    # the edge moves along x over the cut surface; z is out of the surface; its end toward y leads where i > 0
    motion, aside, up = np.eye(3)
    edge = np.sin(i) * motion + np.cos(i) * aside
    ahead = np.cos(i) * motion - np.sin(i) * aside  # square to the edge
    face = np.cos(alpha) * up - np.sin(alpha) * ahead  # up the rake face, which leans back
    out = np.cos(alpha) * ahead + np.sin(alpha) * up  # from the face into the chip
    flow = np.cos(i) * face - np.sin(i) * edge  # chip flow at the inclination
    push = -np.cos(beta) * out + np.sin(beta) * flow  # of the chip on the tool, of size 1
    shear_normal = np.cos(phi) * up - np.sin(phi) * ahead
    # the work comes at -motion, the chip leaves along the flow: no gap opens in the plane between
    speed = (-motion @ shear_normal) / (flow @ shear_normal)
    jump = speed * flow + motion
    assert abs(jump @ shear_normal) < 1e-12
    in_plane = push - (push @ shear_normal) * shear_normal
    assert push @ jump < 0.0  # the work holds the chip back
    area = 1.0 / (np.cos(i) * np.sin(phi))
    force = push * stress * area / np.linalg.norm(in_plane)
    return -force @ motion, force @ up, force @ aside


@pytest.mark.parametrize("case", VECTOR_CASES)
def test_vectors_on_the_shear_plane(case):
    """Written from shear plane, rake face and the speeds of work and chip alone (derived)."""
    found = oblique.oblique_coefficients.bare(*case)
    assert found == pytest.approx(from_vectors(*case), rel=1e-12, abs=1e-10)


def test_the_helix_pulls_as_much_as_it_pushes_turned_over():
    case = (500.0, 30.0, 25.0, 8.0)
    right, left = (oblique.oblique_coefficients.bare(*case, lean) for lean in (30.0, -30.0))
    assert right[:2] == pytest.approx(left[:2], rel=1e-14)
    assert right[2] == pytest.approx(-left[2], rel=1e-14)
    assert right[2] > 0.0


def test_an_upright_edge_is_merchants_circle():
    """F_c = tau cos(beta - alpha)/(sin phi cos(phi + beta - alpha)) (derived: forces in one plane)."""
    phi, beta, alpha = np.radians([28.0, 33.0, 6.0])
    whole = 450.0 / (np.sin(phi) * np.cos(phi + beta - alpha))
    expected = (whole * np.cos(beta - alpha), whole * np.sin(beta - alpha), 0.0)
    assert oblique.oblique_coefficients.bare(450.0, 28.0, 33.0, 6.0) == pytest.approx(expected, rel=1e-14)


LINES = [
    (1780.0, 0.17, 0.02, 0.2),
    (2500.0, 0.26, 0.001, 0.05),
    (2000.0, 0.3, 0.0, 0.1),
    (900.0, 0.0, 0.01, 0.1),
    (1500.0, 0.25, 0.1, 0.1 * 1.2 / 0.8 * (1 - 1e-9)),  # below the half range of 0.2 a series takes over
    (1500.0, 0.25, 0.1, 0.1 * 1.2 / 0.8 * (1 + 1e-9)),
    (1500.0, 0.25, 0.1, 0.101),
    (1500.0, 0.99, 0.1, 0.1000001),
]


@pytest.mark.parametrize("case", LINES)
def test_line_of_least_squares(case):
    """The normal equations, their integrals by quadrature in 40 digits (derived)."""
    with mp.workdps(40):
        kc11, mc, low, high = map(mp.mpf, case)

        def moment(power):
            return mp.quad(lambda h: h**power * kc11 * h ** (1 - mc), [low, (low + high) / 2, high])

        sums = [(high ** (k + 1) - low ** (k + 1)) / (k + 1) for k in range(3)]
        steep, edge = mp.lu_solve(mp.matrix([[sums[2], sums[1]], [sums[1], sums[0]]]), [moment(1), moment(0)])
    found = oblique.linearised_force.bare(*case)
    assert found[0] == pytest.approx(float(steep), rel=1e-11)
    assert found[1] == pytest.approx(float(edge), rel=1e-11, abs=1e-11)


def test_line_on_arrays():
    chips = np.array([0.05, 0.101, 0.2])
    found = np.array(oblique.linearised_force.bare(1780.0, 0.17, np.array([0.02, 0.1, 0.3]), chips))
    assert found[:, 0] == pytest.approx(oblique.linearised_force.bare(1780.0, 0.17, 0.02, 0.05))
    assert found[:, 1] == pytest.approx(oblique.linearised_force.bare(1780.0, 0.17, 0.1, 0.101))
    assert np.isnan(found[:, 2]).all()
    assert oblique.linearised_force.bare(1780.0, 0.17, np.array([]), np.array([]))[0].shape == (0,)


def test_shear_angle_from_the_chips_length():
    """The thickness of the chip on the rake over that before it is the ratio (plane geometry, derived)."""
    for ratio, rake in ((0.3, 0.0), (0.5, 10.0), (1.0, -6.0)):

        def miss(phi, ratio=ratio, rake=rake):
            return np.sin(phi) / np.cos(phi - np.radians(rake)) - ratio

        expected = np.degrees(brentq(miss, 1e-6, np.pi / 2 + min(np.radians(rake), 0.0) - 1e-6))
        assert oblique.shear_angle.bare(ratio, rake) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    "call",
    [
        lambda: oblique.shear_angle(1.5, "50 deg"),  # 1.5 sin 50 deg is above 1: no plane
        lambda: oblique.shear_angle(0.0, "5 deg"),
        lambda: oblique.oblique_coefficients("500 N/mm^2", "60 deg", "45 deg", "-20 deg"),  # pushes along the shear
        lambda: oblique.oblique_coefficients("500 N/mm^2", "0 deg", "20 deg", "5 deg"),
        lambda: oblique.linearised_force("1780 N/mm^2", 0.17, "0.1 mm", "0.1 mm"),
        lambda: oblique.linearised_force("1780 N/mm^2", 1.0, "0 mm", "0.1 mm"),
    ],
)
def test_outside_its_domain_there_is_no_number(call):
    with pytest.raises(DomainError):
        call()


def test_arrays_and_not_a_number():
    lean = np.array([[0.0], [30.0]])
    found = oblique.oblique_coefficients.bare(613.0, np.array([30.0, 40.0, np.nan]), 20.0, 5.0, lean)
    assert all(part.shape == (2, 3) for part in found[1:])
    assert np.isnan(found[0][:, 2]).all()
    assert found[0][1, 0] == pytest.approx(oblique.oblique_coefficients.bare(613.0, 30.0, 20.0, 5.0, 30.0)[0])
