"""The engine against supporting lines and bisection: scallops of all families, flat and curved, turned and fixed."""

import numpy as np
import pytest
from witness.bodies import Body, scallop, scallop_fixed
from witness.cutting import chip_reach, cutting_diameters

import millcalc as m
from millcalc.cutters.profile import Line
from millcalc.cutters.scallop import scallop_height, scallop_stepover

FAMILIES = {
    "flat": m.FlatEndMill(diameter="10 mm", teeth=4),
    "ball": m.BallEndMill(diameter="10 mm", teeth=2),
    "corner radius": m.CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=4),
    "tapered ball": m.TaperedBallEndMill(tip_diameter="4 mm", half_angle="6 deg", diameter="10 mm", teeth=3),
    "round insert": m.RoundInsertCutter(diameter="20 mm", insert_diameter="8 mm", teeth=3),
    "lens": m.family("lens")(diameter="10 mm", segment_radius="30 mm", corner_radius="1 mm", teeth=3),
    "oval": m.family("oval")(diameter="10 mm", tip_radius="1.5 mm", segment_radius="60 mm", teeth=3),
    "taper barrel": m.family("taper barrel")(
        diameter="12 mm", tip_radius="1.5 mm", half_angle="20 deg", segment_radius="100 mm", teeth=3
    ),
}
SEEDS = range(3)


def pieces_of(cutter):
    return [
        ("line", p.start, p.end) if isinstance(p, Line) else ("arc", p.start, p.end, p.centre)
        for p in cutter.profile.pieces
    ]


def drawn(family, seed):
    """A lean and a stepover: every other seed on, or close to, the end of a piece."""
    random = np.random.default_rng([seed, *map(ord, family)])
    lead, tilt = random.uniform(-40.0, 40.0), random.uniform(-60.0, 60.0)
    joints = [p.normals()[1] for p in FAMILIES[family].profile.pieces]
    if seed % 3 == 1 and 0.05 < joints[0] < 1.5:
        lead, tilt = 0.0, np.degrees(joints[0]) + random.choice([0.0, 0.2, -0.3])  # contact at a joint
    if seed % 3 == 2:
        lead *= 0.02
    return lead, tilt, random.uniform(0.05, 6.0) if seed % 2 else random.uniform(0.01, 0.5)


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("seed", SEEDS)
def test_scallops_on_a_plane(family, seed):
    cutter, (lead, tilt, step) = FAMILIES[family], drawn(family, seed)
    height = scallop(Body(pieces_of(cutter), lead, tilt), step)
    assert scallop_height(cutter.profile, step, lead, tilt, np.inf) == pytest.approx(height, abs=1e-9)
    assert scallop_stepover(cutter.profile, height, lead, tilt, np.inf) == pytest.approx(step, abs=1e-7)


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("radius", [60.0, 9.0, -400.0])
def test_scallops_on_curved_surfaces(family, radius):
    cutter = FAMILIES[family]
    lead, tilt, step = 17.0, 11.0, 1.3
    height = scallop(Body(pieces_of(cutter), lead, tilt), step, radius)
    assert scallop_height(cutter.profile, step, lead, tilt, radius) == pytest.approx(height, abs=1e-9)


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("radius", [60.0, -400.0])
def test_scallops_with_the_axis_fixed_in_space(family, radius):
    cutter = FAMILIES[family]
    lead, tilt, step = 6.0, 14.0, 1.3
    height = scallop_fixed(pieces_of(cutter), lead, tilt, step, radius)
    found = scallop_height(cutter.profile, step, lead, tilt, radius, np.inf, True)
    assert found == pytest.approx(height, abs=1e-9)
    assert scallop_stepover(cutter.profile, height, lead, tilt, radius, np.inf, True) == pytest.approx(step, abs=1e-7)


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("seed", [0, 1])
def test_diameters_and_chip_of_the_part_that_cuts(family, seed):
    random = np.random.default_rng([seed, 7, *map(ord, family)])
    lead, tilt, depth = random.uniform(-15.0, 25.0), random.uniform(-30.0, 30.0), random.uniform(0.02, 0.6)
    step = None if seed == 0 else random.uniform(0.05, 2.0)
    side = "left" if seed % 2 else "right"
    cutter = FAMILIES[family]
    wide = np.inf if step is None else step
    least, _, largest = cutter.cutting_diameters.bare(depth, lead, tilt, wide, side)
    assert (least, largest) == pytest.approx(
        cutting_diameters(pieces_of(cutter), depth, lead, tilt, step, side), abs=2e-9
    )
    chip = cutter.max_chip_thickness.bare(1.0, depth, lead, tilt, wide, side)
    assert chip == pytest.approx(chip_reach(pieces_of(cutter), depth, lead, tilt, step, side), abs=1e-6)
