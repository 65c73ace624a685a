"""The oblique transformation against vectors on shear plane and rake face; the straight line against least squares."""

import numpy as np
import pytest
from scipy.optimize import brentq

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


@pytest.mark.parametrize(
    "case", [(500.0, 25.0, 30.0, 5.0, 20.0), (613.0, 40.0, 20.0, -10.0, 45.0), (400, 30, 35, 12, 0)]
)
def test_vectors_on_the_shear_plane(case):
    """Friction against the chip's flow on the rake face, shear stress on the plane: solved for the force (derived)."""
    stress, shear, friction, rake, lean = case
    phi, beta, alpha, i = np.radians([shear, friction, rake, lean])
    # x across the edge along the cut surface, y along the edge, z up from the cut surface; the tool moves to -x
    speed = np.array([np.cos(i), np.sin(i), 0.0])  # of the work against the tool
    down_rake = np.array([np.sin(alpha), 0.0, np.cos(alpha)])  # up the rake, square to the edge
    edge = np.array([0.0, 1.0, 0.0])
    flow = np.cos(i) * down_rake + np.sin(i) * edge  # chip flow at the inclination
    normal = np.array([np.cos(alpha), 0.0, -np.sin(alpha)])  # the chip presses into the tool
    force = np.cos(beta) * normal + np.sin(beta) * flow  # on the tool, by size 1
    # on the shear plane the shear stress points along the chip's change of speed
    plane = np.array([-np.sin(phi), 0.0, -np.cos(phi)])
    assert abs(plane @ np.array([np.cos(phi), 0, -np.sin(phi)])) < 1e-12
    along = np.array([np.cos(phi), 0.0, -np.sin(phi)])
    shear_size = np.hypot(force @ along, force @ edge)
    area = 1.0 / (np.sin(phi) * np.cos(i))  # under 1 mm of edge and of chip thickness
    scale = stress * area / shear_size
    radial = -np.array([0.0, 0.0, 1.0]) @ force
    tangential = force @ speed
    across = force @ np.array([-np.sin(i), np.cos(i), 0.0])
    found = oblique.oblique_coefficients.bare(*case)
    expected = np.array([tangential, radial, across]) * scale
    assert np.abs(found[0]) == pytest.approx(np.abs(expected[0]), rel=1e-9)
    assert np.abs(found[1]) == pytest.approx(np.abs(expected[1]), rel=1e-9)
    assert np.abs(found[2]) == pytest.approx(np.abs(expected[2]), rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("case", [(1780.0, 0.17, 0.02, 0.2), (2500.0, 0.26, 0.001, 0.05), (900.0, 0.0, 0.01, 0.1)])
def test_line_of_least_squares(case):
    kc11, mc, low, high = case
    chips = low + (high - low) * (np.arange(200001) + 0.5) / 200001
    steep, edge = np.polyfit(chips, kc11 * chips ** (1 - mc), 1)
    assert oblique.linearised_force.bare(*case) == pytest.approx((steep, edge), rel=1e-6, abs=1e-6)


def test_shear_angle_from_the_chips_length():
    """The thickness of the chip on the rake over that before it is the ratio (plane geometry, derived)."""
    for ratio, rake in ((0.3, 0.0), (0.5, 10.0), (1.0, -6.0)):

        def miss(phi, ratio=ratio, rake=rake):
            return np.sin(phi) / np.cos(phi - np.radians(rake)) - ratio

        expected = np.degrees(brentq(miss, 1e-6, np.pi / 2 + min(np.radians(rake), 0.0) - 1e-6))
        assert oblique.shear_angle.bare(ratio, rake) == pytest.approx(expected, rel=1e-9)
