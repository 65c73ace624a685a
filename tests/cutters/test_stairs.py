"""Stairs of roughing in levels against outlines pushed against a surface, closed forms and the scallop."""

from math import inf

import numpy as np
import pytest
from witness import stairs as witness

import millcalc as m
from millcalc.errors import DomainError

TOOLS = {
    "flat": (m.FlatEndMill(diameter="10 mm", teeth=4), witness.outline("flat", 10.0)),
    "ball": (m.BallEndMill(diameter="10 mm", teeth=2), witness.outline("ball", 10.0)),
    "corner": (
        m.CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=3),
        witness.outline("corner", 10.0, 1.0),
    ),
    "taper": (
        m.TaperedBallEndMill(tip_diameter="4 mm", half_angle="5 deg", diameter="8 mm", teeth=2),
        witness.outline("cone", 8.0, 2.0, 5.0),
    ),
}
# slope, radius, height of the upper tip over the centre
PLACES = [(s, inf, 0.0) for s in (0.5, 5.0, 20.0, 60.0, 88.0)]
PLACES += [(0.0, 60.0, 50.0), (0.0, 60.0, 20.0), (0.0, -60.0, -40.0), (0.0, -60.0, -20.0)]


@pytest.mark.parametrize("step", [0.2, 1.0, 6.0])
@pytest.mark.parametrize(("slope", "radius", "tip"), PLACES)
@pytest.mark.parametrize("name", TOOLS)
def test_stairs_against_the_process(name, slope, radius, tip, step):
    """Flat, convex and concave, shallow and steep; samples of the outline lie 1.5 um apart (derived)."""
    tool, outline = TOOLS[name]
    expected, touched = witness.stair(outline, step, witness.Surface(slope, radius), tip)
    assert tool.stairs.bare(step, touched, radius)[0] == pytest.approx(expected, abs=2e-3)


@pytest.mark.parametrize("slope", [20.0, 45.0, 70.0])
def test_where_passes_meet_a_stair_is_the_scallop_of_an_upright_axis(slope):
    """The same cutter, spaced along the slope (two ways through the engine)."""
    for name in ("ball", "corner"):
        tool = TOOLS[name][0]
        spacing = 0.1 / np.sin(np.radians(slope))
        scallop = 1e-3 * tool.scallop_height.bare(spacing, 0.0, slope, inf, True)
        assert tool.stairs.bare(0.1, slope)[0] == pytest.approx(scallop, rel=1e-9)


@pytest.mark.parametrize("step", [0.01, 1.0, 20.0])
def test_a_square_end_leaves_whole_steps(step):
    """Thickness d cos(slope), cusp at the level above (derived)."""
    slopes = np.array([0.0, 1.0, 30.0, 60.0, 89.0, 90.0])
    thick, height, *_ = TOOLS["flat"][0].stairs.bare(step, slopes)
    assert thick == pytest.approx(step * np.cos(np.radians(slopes)), abs=1e-12 * step)
    assert height == pytest.approx(np.full(6, step))


def test_level_and_upright_surfaces():
    """A level surface keeps the whole step, whatever the cutter; the cylinder wipes an upright wall (derived)."""
    for tool, _ in TOOLS.values():
        assert tool.stairs.bare(0.5, 0.0)[0] == pytest.approx(0.5)
        assert tool.stairs.bare(0.5, 90.0)[0] == pytest.approx(0.0, abs=1e-12)
        assert np.isinf(tool.step_down_for_stairs.bare(0.1, 90.0))


@pytest.mark.parametrize("name", TOOLS)
@pytest.mark.parametrize(("slope", "radius"), [(10.0, inf), (45.0, inf), (80.0, inf), (40.0, 80.0), (50.0, -80.0)])
def test_the_step_for_stairs_leaves_them(name, slope, radius):
    tool = TOOLS[name][0]
    for thick in (0.005, 0.1, 1.0):
        step = tool.step_down_for_stairs.bare(thick, slope, radius)
        assert tool.stairs.bare(step, slope, radius)[0] == pytest.approx(thick, rel=1e-6)


def test_a_large_radius_is_flat():
    tool = TOOLS["corner"][0]
    flat = tool.stairs.bare(0.5, 40.0)[0]
    for radius in (1e7, -1e7):
        assert tool.stairs.bare(0.5, 40.0, radius)[0] == pytest.approx(flat, rel=1e-5)


def test_arrays_edges_and_what_has_no_answer():
    tool = TOOLS["ball"][0]
    steps = np.array([0.1, 0.2, 0.4])
    assert tool.stairs.bare(steps, 45.0)[0] == pytest.approx([tool.stairs.bare(s, 45.0)[0] for s in steps], rel=1e-14)
    assert tool.stairs.bare(np.array([]), 45.0)[0].shape == (0,)
    assert np.isnan(tool.stairs.bare(np.nan, 45.0)[0])
    assert np.isnan(tool.step_down_for_stairs.bare(np.nan, 45.0))
    with pytest.raises(DomainError, match="does not fit into the concave surface"):
        tool.stairs("1 mm", "45 deg", "-4.9 mm")
    with pytest.raises(DomainError, match="no radius of 0"):
        tool.stairs("1 mm", "45 deg", "0 mm")
    with pytest.raises(DomainError, match="slope"):
        tool.stairs("1 mm", "91 deg")
