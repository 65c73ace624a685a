"""The ball's formulas as they are called: printed figures with units, edges of the domains, errors.

Printed figures: README.md and geometry_truths.md of the published folder (derived there), D 10.  The search
over the sphere that witnesses the formulas is in test_witness_ball.py.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from millcalc.errors import DomainError, UnitError, ValidityWarning
from millcalc.formulas.ball import (
    ball_contact_diameter,
    ball_cutting_diameters,
    ball_effective_diameter,
    ball_least_diameter,
    clearing_inclination,
    engaged_depth,
)
from millcalc.formulas.ball_chip import (
    ball_feed_per_tooth_for_chip,
    ball_max_chip_thickness,
    ball_mean_chip_thickness,
)


def mm(quantity):
    return quantity.to("mm").magnitude


@pytest.mark.parametrize(
    ("lead", "printed"),
    [
        ("0 deg", (0.0, 0.0, 2.8)),
        ("15 deg", (2.5882, 2.5882, 5.1893)),
        ("-15 deg", (0.0, 2.5882, 3.7435)),
        ("-30 deg", (2.3751, 5.0, 5.557)),
    ],
)
def test_printed_diameters_in_millimetres_and_inches(lead, printed):
    """README.md, inclined ball D 10, a_p 0.2, half cap that cuts (derived)."""
    assert [mm(d) for d in ball_cutting_diameters("10 mm", "0.2 mm", lead)] == pytest.approx(printed, abs=5e-5)
    inches = ball_cutting_diameters(f"{10 / 25.4!r} in", f"{0.2 / 25.4!r} in", lead)
    assert [mm(d) for d in inches] == pytest.approx(printed, abs=5e-5)


def test_the_whole_cap_agrees_with_the_cutting_half_where_it_may():
    """Full width and lead ahead: the largest and that at the contact are the closed forms."""
    for lean in (0.0, 5.0, 16.0, 40.0, 80.0):
        _, contact, largest = ball_cutting_diameters("10 mm", "0.2 mm", f"{lean} deg")
        assert mm(largest) == pytest.approx(mm(ball_effective_diameter("10 mm", "0.2 mm", f"{lean} deg")), rel=1e-9)
        assert mm(contact) == pytest.approx(mm(ball_contact_diameter("10 mm", f"{lean} deg")), rel=1e-12, abs=1e-12)


def test_the_largest_diameter_is_the_diameter_from_the_equator_on():
    # README.md, trap 5 (derived): D sin(beta + gamma), gamma = arccos(1 - 2 a_p/D) = 16.260 deg, then D
    below = 10 * math.sin(math.radians(73.73) + math.acos(0.96))
    assert below < 10
    assert mm(ball_effective_diameter("10 mm", "0.2 mm", "73.73 deg")) == pytest.approx(below, rel=1e-15)
    assert mm(ball_effective_diameter("10 mm", "0.2 mm", "73.75 deg")) == 10.0
    assert mm(ball_effective_diameter("10 mm", "0.2 mm", "90 deg")) == 10.0
    for depth in ("5 mm", "7 mm", "10 mm", "50 mm"):
        assert mm(ball_effective_diameter("10 mm", depth)) == 10.0


def test_no_stock_means_the_contact_alone():
    for lean in ("0 deg", "20 deg", "90 deg"):
        contact = mm(ball_contact_diameter("10 mm", lean))
        assert mm(ball_effective_diameter("10 mm", "0 mm", lean)) == pytest.approx(contact, rel=1e-15)
        assert mm(ball_least_diameter("10 mm", "0 mm", lean)) == pytest.approx(contact, rel=1e-15)
    assert mm(ball_max_chip_thickness("0.1 mm", "10 mm", "0 mm")) == 0.0
    assert mm(engaged_depth("10 mm", "0 mm", "-20 mm")) == 0.0


def test_the_tip_is_clear_from_the_clearing_inclination_on():
    # README.md (derived): gamma 16.260 deg for D 10, a_p 0.2
    clear = clearing_inclination("10 mm", "0.2 mm").magnitude
    assert clear == pytest.approx(16.260, abs=5e-4)
    assert mm(ball_least_diameter("10 mm", "0.2 mm", f"{clear - 0.01} deg")) == 0.0
    assert mm(ball_least_diameter("10 mm", "0.2 mm", f"{clear + 0.01} deg")) > 0.0
    assert clearing_inclination("10 mm", "0 mm").magnitude == 0.0
    assert clearing_inclination("10 mm", "5 mm").magnitude == pytest.approx(90, rel=1e-14)
    with pytest.raises(DomainError, match=r"normal_depth <= 0\.5\*diameter does not hold"):
        clearing_inclination("10 mm", "5.01 mm")


def test_the_chip_ends_at_the_feed():
    # the feed's component along the ball's normal cannot exceed the feed (derived)
    for depth in ("5 mm", "6 mm", "20 mm"):
        assert mm(ball_max_chip_thickness("0.1 mm", "10 mm", depth)) == pytest.approx(0.1, rel=1e-15)
    assert mm(ball_max_chip_thickness("0 mm", "10 mm", "0.5 mm")) == 0.0


@pytest.mark.parametrize("stepover", ["0.001 mm", "0.5 mm", "4 mm", "inf"])
def test_feed_and_chip_undo_each_other(stepover):
    chip = ball_max_chip_thickness("0.08 mm", "10 mm", "0.4 mm", stepover)
    assert mm(ball_feed_per_tooth_for_chip(chip, "10 mm", "0.4 mm", stepover)) == pytest.approx(0.08, rel=1e-9)


def mean_by_rings(depth, sigma):
    """Mean of u.F over the engaged part of a unit ball, ring by ring about the surface normal, by quadrature.

    On the ring at the angle g from the contact the pass before, a cylinder along the feed a distance sigma
    aside, has left what lies beyond sin(alpha) = 1 - sigma/sin(g); alpha is counted from the feed.
    """

    def from_alpha(g):
        return max(-1.0, 1.0 - sigma / math.sin(g)) if g > 0 else -1.0

    rim = math.acos(1.0 - depth)
    breaks = [math.asin(sigma / 2)] if sigma < 2 and math.asin(sigma / 2) < rim else None
    options = {"points": breaks, "epsabs": 1e-13, "epsrel": 1e-12, "limit": 200}
    forward = quad(lambda g: math.sin(g) ** 2 * (1.0 - from_alpha(g)), 0.0, rim, **options)[0]
    area = quad(lambda g: math.sin(g) * (math.pi / 2 - math.asin(from_alpha(g))), 0.0, rim, **options)[0]
    return forward / area


@pytest.mark.parametrize("depth", [0.001, 0.05, 0.5, 2.0, 5.0])
@pytest.mark.parametrize("stepover", [0.02, 0.1, 0.5, 0.98, 2.0, 3.9, 6.0, 9.9, 12.0])
def test_mean_chip_ring_by_ring(depth, stepover):
    """The formula slices square to the feed and is as good as its page says: 1e-7."""
    got = mm(ball_mean_chip_thickness("0.1 mm", "10 mm", f"{depth} mm", f"{stepover} mm"))
    assert got == pytest.approx(0.1 * mean_by_rings(depth / 5.0, stepover / 5.0), rel=1e-7)


def test_mean_chip_at_full_width_and_beyond_the_equator():
    # of a quarter of a sphere the mean of x over the area is 1/2 (derived: slices of equal height, equal area)
    for depth in ("5 mm", "8 mm"):
        assert mm(ball_mean_chip_thickness("0.1 mm", "10 mm", depth)) == pytest.approx(0.05, rel=1e-7)
    for stepover in ("0.5 mm", "inf"):
        mean = mm(ball_mean_chip_thickness("0.1 mm", "10 mm", "0.5 mm", stepover))
        assert 0 < mean < mm(ball_max_chip_thickness("0.1 mm", "10 mm", "0.5 mm", stepover))


def test_validity_of_the_chip():
    with pytest.warns(ValidityWarning, match=r"feed_per_tooth <= 0\.1\*diameter"):
        ball_max_chip_thickness("1.1 mm", "10 mm", "0.5 mm")


def test_engaged_depth_by_the_angle_of_the_arc():
    """The point where the ball's circle leaves the stock, found on the circles themselves by bisection."""
    for depth, rho in ((0.2, -20.0), (0.2, 20.0), (0.05, -6.0), (1.0, 3.0)):
        centre = rho + 5.0  # from the surface's centre of curvature; its stock ends at |rho + depth|
        low, high = 0.0, math.pi
        for _ in range(100):
            angle = 0.5 * (low + high)  # around the ball, from its contact
            outside = abs(complex(5.0 * math.sin(angle), centre - 5.0 * math.cos(angle))) - abs(rho + depth)
            beyond = outside > 0 if rho > 0 else outside < 0
            low, high = (low, angle) if beyond else (angle, high)
        plane = 5.0 * (1.0 - math.cos(low))
        assert mm(engaged_depth("10 mm", f"{depth} mm", f"{rho} mm")) == pytest.approx(plane, rel=1e-9)
    assert mm(engaged_depth("10 mm", "0.2 mm", "inf")) == 0.2


@pytest.mark.parametrize("radius", ["0 mm", "-5 mm", "-4 mm"])
def test_a_trough_narrower_than_the_ball_is_refused(radius):
    with pytest.raises(DomainError):
        engaged_depth("10 mm", "0.2 mm", radius)


@pytest.mark.parametrize(
    ("arguments", "where"),
    [
        (("0 mm", "0.2 mm"), "diameter"),
        (("10 mm", "-0.2 mm"), "normal_depth"),
        (("10 mm", "0.2 mm", "90.1 deg"), "inclination"),
        (("10 mm", "0.2 mm", "-0.1 deg"), "inclination"),
        (("10 mm", "inf mm"), "normal_depth"),
    ],
)
def test_outside_the_domain(arguments, where):
    for formula in (ball_effective_diameter, ball_least_diameter):
        with pytest.raises(DomainError) as error:
            formula(*arguments)
        assert error.value.faults[0].where == where


def test_lean_short_of_a_right_angle_and_a_stepover_above_zero():
    for lean in ("90 deg", "-90 deg"):
        with pytest.raises(DomainError, match="above -90 below 90 deg"):
            ball_cutting_diameters("10 mm", "0.2 mm", lean)
    with pytest.raises(DomainError, match="stepover"):
        ball_cutting_diameters("10 mm", "0.2 mm", stepover="0 mm")
    with pytest.raises(UnitError, match="inclination"):
        ball_effective_diameter("10 mm", "0.2 mm", "15")


def test_radians_are_angles():
    degrees = ball_effective_diameter("10 mm", "0.2 mm", "15 deg")
    assert mm(ball_effective_diameter("10 mm", "0.2 mm", f"{math.pi / 12!r} rad")) == pytest.approx(mm(degrees))


def test_the_three_diameters_are_in_order():
    random = np.random.default_rng(5)
    size = 20_000
    numbers = (
        random.uniform(0.5, 20, size),
        random.uniform(0, 2, size),
        random.uniform(-60, 60, size),
        random.uniform(-60, 60, size),
        random.uniform(0.001, 3, size),
    )
    least, contact, largest = ball_cutting_diameters.bare(*numbers)
    assert np.all(least <= contact * (1 + 1e-12))
    assert np.all(contact <= largest * (1 + 1e-12))
    assert np.all(largest <= numbers[0] * (1 + 1e-15))
    whole = ball_cutting_diameters.bare(*numbers[:4])
    assert np.all(whole[0] <= least + 1e-9)
    assert np.all(whole[2] >= largest - 1e-9)
