"""Scallops and spacings as they are called: printed figures with units, edges, errors.

Printed figures: README.md and geometry_truths.md of the published folder (derived there).  Two balls,
polygons and a climbed normal witness the formulas in test_witness_scallops.py.
"""

from __future__ import annotations

import math

import pytest
from scipy.optimize import brentq

from millcalc.errors import DomainError
from millcalc.formulas.passes import largest_stepover
from millcalc.formulas.scallops import (
    plan_spacing,
    scallop_height,
    scallop_stepover,
    step_down,
    surface_spacing,
    surface_spacing_from_step_down,
)


@pytest.mark.parametrize(
    ("diameter", "stepover", "printed"),
    # README.md, worked from figures heard once (derived): heights in inches to four places
    [("0.125 in", "0.050 in", 0.0052), ("0.125 in", "25 thou", 0.0013), ("0.250 in", "1/20 in", 0.0025)],
)
def test_printed_inch_heights(diameter, stepover, printed):
    assert scallop_height(diameter, stepover).to("inch").magnitude == pytest.approx(printed, abs=5e-5)


def test_a_smaller_ball_at_the_same_stepover_is_worse():
    # README.md (derived)
    assert scallop_height("0.125 in", "0.05 in") > scallop_height("0.25 in", "0.05 in")


@pytest.mark.parametrize("radius", ["inf", "20 mm", "1 mm", "-20 mm", "-5.5 mm"])
@pytest.mark.parametrize("stepover", ["0.01 mm", "0.3 mm", "0.9 mm"])
def test_height_and_stepover_undo_each_other(radius, stepover):
    height = scallop_height("10 mm", stepover, radius)
    back = scallop_stepover("10 mm", height, radius)
    assert back.magnitude == pytest.approx(float(stepover.split()[0]), rel=1e-9)


def lowest_meeting(stepover, rho, ball=5.0):
    """Height over the surface at which two circles meet, by bisection in the plane of their centres."""
    if math.isinf(rho):
        return ball - brentq(lambda y: math.hypot(stepover / 2, y) - ball, 0.0, ball)
    half = stepover / 2 / rho
    centre = (rho + ball) * complex(math.sin(half), math.cos(half))  # from the surface's centre of curvature
    return brentq(lambda h: abs(complex(0.0, rho + h) - centre) - ball, 0.0, ball, xtol=1e-14)


@pytest.mark.parametrize("rho", [math.inf, 20.0, 3.0, -20.0, -7.0])
@pytest.mark.parametrize("stepover", [0.3, 1.0, 2.5])
def test_height_is_where_the_circles_meet(rho, stepover):
    got = scallop_height("10 mm", f"{stepover} mm", f"{rho} mm").magnitude
    assert got == pytest.approx(1000 * lowest_meeting(stepover, rho), rel=1e-9)


def test_a_nearly_flat_surface_is_a_flat_one():
    flat = scallop_height("10 mm", "0.3 mm").magnitude
    for radius in ("1e9 mm", "-1e9 mm", "1e15 mm", "-inf mm"):
        assert scallop_height("10 mm", "0.3 mm", radius).magnitude == pytest.approx(flat, rel=1e-7)
    flat = scallop_stepover("10 mm", "5 um").magnitude
    for radius in ("1e9 mm", "-1e9 mm", "1e15 mm", "-inf mm"):
        assert scallop_stepover("10 mm", "5 um", radius).magnitude == pytest.approx(flat, rel=1e-7)


def test_zero():
    assert scallop_height("10 mm", "0 mm").magnitude == 0.0
    assert scallop_height("10 mm", "0 mm", "-20 mm").magnitude == 0.0
    assert scallop_stepover("10 mm", "0 um", "20 mm").magnitude == 0.0


def test_the_ends_of_the_domain():
    # the scallop of passes a diameter apart is the radius (derived)
    assert scallop_height("10 mm", "10 mm").magnitude == pytest.approx(5000, rel=1e-12)
    assert scallop_stepover("10 mm", "5 mm").magnitude == pytest.approx(10, rel=1e-12)
    for bad in ("10.001 mm", "20 mm"):
        with pytest.raises(DomainError, match="stepover"):
            scallop_height("10 mm", bad)
    with pytest.raises(DomainError, match=r"scallop_height <= 500\*diameter"):
        scallop_stepover("10 mm", "5001 um")


@pytest.mark.parametrize("radius", [0.3, 5.0, 20.0, 1000.0])
def test_the_largest_stepover_on_a_convex_surface_is_where_heights_end(radius):
    # geometry_truths.md (derived): 2 Rs arcsin(R/(Rs + R))
    most = largest_stepover("10 mm", f"{radius} mm").magnitude
    assert most == pytest.approx(2 * radius * math.asin(5 / (radius + 5)), rel=1e-14)
    assert scallop_height("10 mm", f"{most * (1 - 1e-9)!r} mm", f"{radius} mm").magnitude > 0
    with pytest.raises(DomainError):
        scallop_height("10 mm", f"{most * (1 + 1e-9)!r} mm", f"{radius} mm")


def test_the_height_on_a_concave_surface_is_bounded():
    # geometry_truths.md (derived): Rs 5.01 never leaves 0.01 mm up to a quarter turn's neighbour; and above
    # Rs - sqrt(R^2 - (Rs - R)^2) no stepover leaves the height
    bound = 5.01 - math.sqrt(25 - 0.01**2)
    assert scallop_stepover("10 mm", f"{bound * 999.9} um", "-5.01 mm").magnitude < math.pi * 5.01
    with pytest.raises(DomainError, match="no result exists"):
        scallop_stepover("10 mm", f"{bound * 1000.1} um", "-5.01 mm")


@pytest.mark.parametrize("radius", ["-5 mm", "-4 mm", "0 mm"])
def test_a_trough_not_wider_than_the_ball_is_refused(radius):
    for formula, value in ((scallop_height, "0.3 mm"), (scallop_stepover, "5 um")):
        with pytest.raises(DomainError, match="surface_radius"):
            formula("10 mm", value, radius)


@pytest.mark.parametrize("slope", [5.0, 30.0, 45.0, 60.0, 85.0])
def test_spacings_form_a_right_triangle(slope):
    """The spacing along the slope is the hypotenuse over plan spacing and step down (derived)."""
    across = plan_spacing("0.4 mm", f"{slope} deg").magnitude
    down = step_down("0.4 mm", f"{slope} deg").magnitude
    assert math.hypot(across, down) == pytest.approx(0.4, rel=1e-14)
    assert math.degrees(math.atan2(down, across)) == pytest.approx(slope, rel=1e-12)
    assert surface_spacing(f"{across!r} mm", f"{slope} deg").magnitude == pytest.approx(0.4, rel=1e-13)
    assert surface_spacing_from_step_down(f"{down!r} mm", f"{slope} deg").magnitude == pytest.approx(0.4, rel=1e-13)


def test_spacings_at_the_ends():
    assert surface_spacing("0.4 mm", "0 deg").magnitude == 0.4
    assert surface_spacing_from_step_down("0.4 mm", "90 deg").magnitude == 0.4
    for formula in (surface_spacing, plan_spacing):
        with pytest.raises(DomainError, match="slope"):
            formula("0.4 mm", "90 deg")
    for formula in (surface_spacing_from_step_down, step_down):
        with pytest.raises(DomainError, match="slope"):
            formula("0.4 mm", "0 deg")
