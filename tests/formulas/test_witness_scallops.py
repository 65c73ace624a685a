"""Scallops and spacings against two balls, a climbed normal, and polygons.

Sources: README.md and geometry_truths.md of the published folder (derived).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from millcalc.formulas import scallops

UM = 1000.0
INCH = 25.4
# f/R, h/R of the exact circular arc; README.md (derived)
ARC = [(0.1, 0.00125078), (0.5, 0.03175416), (1.0, 0.13397460), (1.5, 0.33856217), (2.0, 1.0)]
RADII = [math.inf, 1e5, 200.0, 20.0, 5.0, 2.0, 0.3, -1e5, -200.0, -20.0, -10.0, -6.0, -5.2, -5.01]


@pytest.mark.parametrize(("spacing", "height"), ARC)
def test_printed_arc_heights(witness, spacing, height):
    assert witness.scallop(2.0, spacing) == pytest.approx(height, abs=5.1e-9)
    assert scallops.scallop_height.bare(2.0, spacing) / UM == pytest.approx(height, abs=5.1e-9)
    if spacing < 2:
        assert scallops.scallop_stepover.bare(2.0, height * UM) == pytest.approx(spacing, abs=2e-7)


@pytest.mark.parametrize("radius", RADII)
@pytest.mark.parametrize("stepover", [1e-3, 0.05, 0.3, 1.0, 2.5, 5.0, 8.0, 9.99])
def test_height(witness, radius, stepover):
    """The middle normal climbed to the ball in 50 digits.  Allowed: 1e-10, and 1e-12 mm that floats lose."""
    expected = witness.scallop(10.0, stepover, radius)
    got = float(scallops.scallop_height.bare(10.0, stepover, radius))
    if math.isnan(expected):
        assert math.isnan(got)
    else:
        assert got == pytest.approx(expected * UM, rel=1e-10, abs=1e-12 * UM)


@pytest.mark.parametrize("radius", [-5.01, -6.0, -10.0, -20.0])
@pytest.mark.parametrize("stepover", [12.0, 15.7, 16.0, 18.8, 20.0, 31.4, 40.0])
def test_height_up_to_half_round_a_bore(witness, radius, stepover):
    """Beyond a quarter turn to either side there is no pass beside a pass; 1e-10."""
    expected = witness.scallop(10.0, stepover, radius) * UM
    got = float(scallops.scallop_height.bare(10.0, stepover, radius))
    assert got == pytest.approx(expected, rel=1e-10, nan_ok=True)


@pytest.mark.parametrize("height", [9.0, 9.99, 10.0, 10.009, 10.02, 11.0])
def test_stepover_in_a_trough_hardly_wider_than_the_ball(witness, height):
    """The height ends at half a turn: Rs - sqrt(R^2 - (Rs - R)^2), 10.01 um for 5.01 and 5 (derived)."""
    expected = witness.scallop_spacing(10.0, height / UM, -5.01)
    assert math.isnan(expected) == (height > 10.0101)
    got = float(scallops.scallop_stepover.bare(10.0, height, -5.01))
    assert got == pytest.approx(expected, rel=1e-9, nan_ok=True)


@pytest.mark.parametrize(
    ("radius", "stepover"),
    [(math.inf, 1.0), (math.inf, 9.0), (30.0, 4.0), (2.0, 1.0), (-30.0, 4.0), (-6.0, 3.0)],
)
def test_height_of_what_polygons_leave(witness, radius, stepover):
    """Neighbouring passes cut as polygons, the highest rest within a pass; 2e-6 mm."""
    got = scallops.scallop_height.bare(10.0, stepover, radius) / UM
    assert got == pytest.approx(witness.polygon_scallop(10.0, stepover, radius), abs=2e-6)


@pytest.mark.parametrize("radius", RADII)
@pytest.mark.parametrize("height", [1e-3, 0.1, 3.0, 8.0, 40.0, 500.0])
def test_stepover(witness, radius, height):
    """Passes drawn apart until the ball leaves the point, in 50 digits.  Allowed 1e-9."""
    expected = witness.scallop_spacing(10.0, height / UM, radius)
    got = float(scallops.scallop_stepover.bare(10.0, height, radius))
    if math.isnan(expected):
        assert math.isnan(got)
    else:
        assert got == pytest.approx(expected, rel=1e-9)


@settings(max_examples=200, derandomize=True, deadline=None, database=None)
@given(
    diameter=st.floats(0.1, 50.0),
    share=st.floats(1e-3, 0.9),
    bend=st.one_of(st.just(math.inf), st.floats(0.02, 1e3), st.floats(-1e3, -1.02)),
)
def test_height_and_stepover_undo_each_other(diameter, share, bend):
    """Round trip on plane, convex and concave; 1e-6, the scallop of a small step has few digits."""
    radius = bend * diameter / 2
    stepover = share * min(diameter, abs(radius))
    height = scallops.scallop_height.bare(diameter, stepover, radius)
    assert height > 0
    back = scallops.scallop_stepover.bare(diameter, height, radius)
    assert back == pytest.approx(stepover, rel=1e-6)


def test_largest_stepover_on_a_convex_surface():
    """geometry_truths.md (derived): 2 Rs arcsin(R/(Rs + R)); beyond, the passes do not meet."""
    for radius in (0.3, 5.0, 20.0, 1000.0):
        most = 2 * radius * math.asin(5 / (radius + 5))
        assert math.isfinite(scallops.scallop_height.bare(10.0, most * 0.999999, radius))
        assert math.isnan(scallops.scallop_height.bare(10.0, most * 1.000001, radius))
    assert math.isnan(scallops.scallop_height.bare(10.0, 10.001))


def test_a_ball_does_not_fit_a_narrower_trough():
    assert math.isnan(scallops.scallop_height.bare(10.0, 0.5, -4.9))
    assert math.isnan(scallops.scallop_stepover.bare(10.0, 5.0, -4.9))


def test_printed_shares():
    """geometry_truths.md (derived): how far s_o^2/(8R) and its curved twin are off."""
    for stepover, off in ((2.0, 0.01), (6.0, 0.10)):  # "1 % at D/5, 10 % at .6 D"
        rough = stepover**2 / 40 * UM
        assert 1 - rough / scallops.scallop_height.bare(10.0, stepover) == pytest.approx(off, abs=0.005)
    # "13 % off at Rs = 4R, s_o = D/2"
    offs = [
        5.0**2 / 8 * (1 / 5 + 1 / radius) * UM / scallops.scallop_height.bare(10.0, 5.0, radius) - 1
        for radius in (20.0, -20.0)
    ]
    assert max(abs(off) for off in offs) == pytest.approx(0.13, abs=0.005)


def test_inch_figures():
    """README.md (derived): a 0.125 in ball leaves 0.0052, 0.0013, 0.0002 in; a 0.250 in ball 0.0025 in."""
    for diameter, stepover, height in (
        (0.125, 0.050, 0.0052), (0.125, 0.025, 0.0013), (0.125, 0.010, 0.0002), (0.250, 0.050, 0.0025),
    ):  # fmt: skip
        got = scallops.scallop_height.bare(diameter * INCH, stepover * INCH) / UM / INCH
        assert got == pytest.approx(height, abs=5.1e-5)


@pytest.mark.parametrize("slope", [1.0, 15.0, 45.0, 70.0, 89.0])
def test_spacings_on_a_slope(slope):
    """A point is let down a tilted plane by bisection until its plan (or its fall) is the spacing; 1e-12."""
    direction = np.exp(1j * math.radians(slope))
    for given_as, part in (
        (scallops.surface_spacing, direction.real),
        (scallops.surface_spacing_from_step_down, direction.imag),
    ):
        low, high = 0.0, 1000.0
        for _ in range(80):
            way = (low + high) / 2
            low, high = (way, high) if way * part < 0.3 else (low, way)
        assert given_as.bare(0.3, slope) == pytest.approx(low, rel=1e-12)


def test_spacings_at_the_ends():
    assert scallops.surface_spacing.bare(0.3, 0.0) == pytest.approx(0.3, rel=1e-15)
    assert scallops.surface_spacing_from_step_down.bare(0.3, 90.0) == pytest.approx(0.3, rel=1e-15)


def test_arrays_give_what_scalars_give(witness):
    same = witness.assert_same_as_scalars
    diameters, steps = np.array([2.0, 10.0, 6.0, 4.0]), np.array([0.1, 0.5, 1.0, 0.3])
    radii = np.array([np.inf, 20.0, -30.0, -8.0])
    same(scallops.scallop_height.bare, diameters, steps, radii)
    same(scallops.scallop_stepover.bare, diameters, steps * 10, radii)
    same(scallops.surface_spacing.bare, steps, [0.0, 10.0, 45.0, 80.0])
    same(scallops.surface_spacing_from_step_down.bare, steps, [90.0, 10.0, 45.0, 80.0])
