"""Stairs of every form of cutter against levels milled in polygons: thickness, area, length, and where a tool ends."""

from math import inf

import numpy as np
import pytest
from witness import stair_polygons as witness

import millcalc as m
from millcalc.cutters import Arc, Line, Profile, stairs
from millcalc.errors import DomainError

TOOLS = {
    "flat": m.FlatEndMill(diameter="10 mm", teeth=4),
    "ball": m.BallEndMill(diameter="10 mm", teeth=2),
    "corner": m.CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=3),
    "taper": m.TaperedBallEndMill(tip_diameter="4 mm", half_angle="15 deg", diameter="10 mm", teeth=2),
    "lens": m.family("lens")(diameter="12 mm", segment_radius="25 mm", corner_radius="1 mm", teeth=3),
    "oval": m.family("oval")(diameter="12 mm", tip_radius="2 mm", segment_radius="80 mm", teeth=3),
}
OUTLINES = {name: witness.outline(tool.profile.pieces) for name, tool in TOOLS.items()}
PLACES = [(s, inf) for s in (0.5, 10.0, 35.0, 60.0, 80.0, 88.0, 90.0)]
PLACES += [(s, r) for r in (30.0, 400.0, -400.0) for s in (10.0, 60.0, 88.0)]


@pytest.mark.parametrize(("slope", "radius"), PLACES)
@pytest.mark.parametrize("name", TOOLS)
def test_stairs_are_what_milled_levels_leave(name, slope, radius):
    """Small steps to steps larger than the tool.

    The chords of the outline, 4e-4 rad apart, bring 5e-4, and move the contacts on a round by as much of its radius.
    """
    tool, chain = TOOLS[name].profile, OUTLINES[name]
    for step in (0.02, 0.5, 2.0, 12.0):
        thick, _, mean, length = stairs.stair_shape(tool, step, slope, radius)
        left, area, surface = witness.stair(chain, slope, step, radius)
        assert thick == pytest.approx(left, rel=5e-4, abs=1e-7)
        assert mean * length == pytest.approx(area, rel=1e-3, abs=1e-7)
        assert length == pytest.approx(surface, rel=1e-9, abs=8e-4 * abs(radius) if np.isfinite(radius) else 0.0)


@pytest.mark.parametrize(("slope", "step"), [(80.0, 1.0), (80.0, 3.0), (90.0, 20.0)])
def test_a_straight_flank_bridges_a_hollow(slope, step):
    """Between the ends of the flank, both touching, the stair is thicker than under the ridge."""
    left = witness.stair(OUTLINES["taper"], slope, step, -100.0)[0]
    assert stairs.stair_shape(TOOLS["taper"].profile, step, slope, -100.0)[0] == pytest.approx(left, rel=1e-5)


def test_a_flank_as_steep_as_the_surface_wipes_it():
    """The cutter slides down along its own flank: nothing is left, flat or convex (derived)."""
    for radius in (inf, 20.0, 1e6):
        assert stairs.stair_shape(TOOLS["taper"].profile, 1.0, 75.0, radius)[0] == pytest.approx(0.0, abs=1e-9)


def test_surfaces_run_on_straight():
    """A round that has turned upright is a wall, whose cylinder is clean; a hollow ends in its floor (derived)."""
    ball = TOOLS["ball"].profile
    deep = stairs.stair_shape(ball, np.array([50.0, 80.0]), 60.0, 30.0)[0]
    assert deep[0] == pytest.approx(deep[1])
    bowl = stairs.stair_shape(ball, np.array([50.0, 80.0]), 20.0, -30.0)
    fall = (30.0 - 5.0) * (1 - np.cos(np.radians(20.0)))
    assert bowl[0] == pytest.approx(np.full(2, stairs.stair_shape(ball, fall, 20.0, -30.0)[0]))
    assert stairs.stair_shape(ball, 1.0, 0.0, -30.0)[0] == 0.0
    assert stairs.stair_shape(ball, 1.0, 0.0, inf)[3] == inf


def test_a_cutter_that_narrows_again():
    """A ball on a slim neck leaves its scallop on an upright wall (the scallop of a plane), and ends somewhere."""
    neck = 3.0
    top = 5.0 + np.sqrt(25.0 - neck**2)
    profile = Profile([Arc((0.0, 0.0), (float(top), neck), (5.0, 0.0))], endless=False)
    scallop = 5.0 - np.sqrt(25.0 - 0.25)
    assert stairs.stair_shape(profile, 1.0, 90.0, inf)[0] == pytest.approx(scallop, rel=1e-9)
    assert np.isnan(stairs.stair_shape(profile, 9.0, 90.0, inf)[0])
    assert np.isnan(stairs.stair_shape(profile, 9.5, 30.0, inf)[0])


def test_where_a_tool_does_not_fit():
    ball, lens = TOOLS["ball"].profile, TOOLS["lens"].profile
    assert np.isnan(stairs.stair_shape(ball, 0.1, 45.0, -4.999)[0])
    assert np.isfinite(stairs.stair_shape(ball, 0.1, 45.0, -5.001)[0])
    assert np.isnan(stairs.stair_shape(lens, 0.1, 5.0, -20.0)[0])  # on its segment, flatter than the hollow
    assert np.isfinite(stairs.stair_shape(lens, 0.1, 60.0, -20.0)[0])
    ended = Profile([Line((0.0, 0.0), (1.0, 4.0))], endless=False)
    assert np.isnan(stairs.stair_shape(ended, 0.1, 80.0, inf)[0])


@pytest.mark.parametrize(
    ("name", "inputs", "words"),
    [
        ("ball", ("1 mm", "45 deg", "-4.9 mm"), "does not fit into the concave surface"),
        ("flat", ("1 mm", "45 deg", "0 mm"), "no radius of 0"),
        ("barrel", ("25 mm", "89 deg"), "farther apart than the cutting part reaches"),
    ],
)
def test_why_there_are_no_stairs(name, inputs, words):
    barrel = m.family("barrel")(
        diameter="12 mm", corner_radius="1 mm", segment_radius="60 mm", flute_length="20 mm", teeth=3
    )
    with pytest.raises(DomainError, match=words):
        (TOOLS | {"barrel": barrel})[name].stairs(*inputs)


@pytest.mark.parametrize("name", TOOLS)
@pytest.mark.parametrize(("low", "high"), [(5.0, 90.0), (80.0, 90.0), (90.0, 60.0), (30.0, 30.0)])
def test_the_worst_of_a_range_of_slopes(name, low, high):
    """Against 4001 slopes, close to 2e-7."""
    tool = TOOLS[name].profile
    worst = stairs.stair_shape(tool, 0.5, np.unique(np.linspace(low, high, 4001)), inf)[0].max()
    assert stairs.largest_stair(tool, 0.5, low, high, inf) == pytest.approx(worst, rel=1e-5)


def test_the_worst_slope_may_be_inside():
    tool = TOOLS["taper"].profile
    ends = stairs.stair_shape(tool, 0.5, np.array([74.9, 90.0]), inf)[0]
    assert stairs.largest_stair(tool, 0.5, 74.9, 90.0, inf) > 2 * ends.max()


@pytest.mark.parametrize("name", TOOLS)
def test_steps_of_every_size_are_found_again(name):
    tool = TOOLS[name].profile
    radius, thick, slopes = (
        grid.ravel() for grid in np.meshgrid([inf, 50.0, 1e6], [1e-4, 0.05], [0.0, 1.0, 20.0, 60.0, 85.0])
    )
    step = stairs.largest_stair_step(tool, thick, slopes, radius)
    assert stairs.stair_shape(tool, step, slopes, radius)[0] == pytest.approx(thick, rel=1e-6)
    assert stairs.largest_stair_step(tool, 0.1, 90.0, inf) == inf
