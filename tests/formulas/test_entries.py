"""Ramps and helical entries against walked paths, swept polygons and a floor that is looked at point by point."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely.geometry import LineString, Point

from millcalc.errors import DomainError, UnitError
from millcalc.formulas import arcs, entries, helical_entries, speeds


def walked(points):
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def helix(path_radius, pitch, turns, steps):
    """Points of the axis' path."""
    turn = np.linspace(0.0, 2 * math.pi * turns, steps)
    return np.column_stack([path_radius * np.cos(turn), path_radius * np.sin(turn), -pitch * turn / (2 * math.pi)])


@pytest.mark.parametrize(("depth", "length", "angle"), [(5.0, 30.0, 3.0), (2.0, 80.0, 1.0), (12.0, 6.0, 20.0)])
def test_a_ramp_walked_back_and_forth(depth, length, angle):
    """Down in steps of a thousandth of the slot until the depth is reached."""
    step = length / 1000
    walk, down, turns, at = 0.0, 0.0, 1, 0.0
    fall = step * math.sin(math.radians(angle)) / math.cos(math.radians(angle))
    while down < depth - 1e-9:
        if at > length - 0.5 * step:
            turns, at = turns + 1, 0.0
        part = min(1.0, (depth - down) / fall)
        walk, down, at = walk + part * math.hypot(step, fall), down + part * fall, at + step
    assert entries.ramp_passes.bare(depth, length, angle) == turns
    assert entries.ramp_path_length.bare(depth, angle) == pytest.approx(walk, rel=1e-9)
    level = entries.ramp_length.bare(depth, angle)
    assert math.hypot(level, depth) == pytest.approx(walk, rel=1e-9)
    even = entries.ramp_angle.bare(depth, length, turns)
    assert even <= angle
    assert turns * length * math.tan(math.radians(even)) == pytest.approx(depth, rel=1e-12)


def test_a_whole_number_of_ramps_stays_whole():
    for passes in (1, 3, 7, 49):
        angle = entries.ramp_angle.bare(0.7 * passes, 13.0, passes)
        assert entries.ramp_passes.bare(0.7 * passes, 13.0, angle) == passes
    assert entries.ramp_passes.bare(0.0, 13.0, 3.0) == 0.0


@pytest.mark.parametrize(("radius", "pitch", "turns"), [(4.0, 1.0, 3.0), (0.5, 2.0, 1.3), (40.0, 0.3, 2.0)])
def test_a_walked_helix(radius, pitch, turns):
    """Chords of 200 001 points: short by (turn/step)^2/24."""
    path = helix(radius, pitch, turns, 200_001)
    assert helical_entries.helix_path_length.bare(pitch * turns, pitch, radius) == pytest.approx(walked(path), rel=1e-8)
    first = path[1] - path[0]
    angle = math.degrees(math.atan2(-first[2], math.hypot(first[0], first[1])))
    assert helical_entries.entry_helix_angle.bare(pitch, radius) == pytest.approx(angle, rel=1e-8)
    assert helical_entries.helix_pitch.bare(angle, radius) == pytest.approx(pitch, rel=1e-7)


def test_the_feed_along_the_axis_is_the_speed_of_descent():
    for angle in (0.0, 2.0, 35.0, 90.0):
        length = entries.ramp_path_length.bare(3.0, angle) if 0.0 < angle < 90.0 else 3.0
        time = speeds.cutting_time.bare(length, 800.0)
        descent = 3.0 / time if angle else 0.0
        assert entries.axial_feed_rate.bare(800.0, angle) == pytest.approx(descent, rel=1e-12)
        # one tooth of four at 1000 rev/min
        per_tooth = entries.axial_feed_per_tooth.bare(0.2, angle)
        assert 4 * 1000 * per_tooth == pytest.approx(descent, rel=1e-12)


def swept(diameter, hole, inner=0.0):
    """Area that the end of a cutter, a disc or ring, covers in a level turn."""
    path = Point(0, 0).buffer(0.5 * (hole - diameter), quad_segs=720).exterior
    outer = LineString(path.coords).buffer(0.5 * diameter, quad_segs=720)
    if not inner:
        return outer
    turn = np.linspace(0.0, 2 * math.pi, 181)
    radius = 0.5 * (hole - diameter)
    always = Point(radius, 0.0).buffer(0.5 * inner, quad_segs=90)
    for t in turn:
        always = always.intersection(
            Point(radius * math.cos(t), radius * math.sin(t)).buffer(0.5 * inner, quad_segs=90)
        )
    return outer.difference(always)


@pytest.mark.parametrize(("diameter", "hole"), [(10.0, 18.0), (10.0, 19.99), (10.0, 24.0), (10.0, 60.0), (25.0, 32.0)])
def test_hole_post_and_removal_rate(diameter, hole):
    """The swept polygon: its size, its hole, and its area times the pitch in the time of a turn; 1e-5."""
    radius = helical_entries.entry_path_radius.bare(diameter, hole)
    area = swept(diameter, hole)
    assert helical_entries.entry_hole_diameter.bare(diameter, radius) == pytest.approx(hole)
    assert area.bounds[2] - area.bounds[0] == pytest.approx(hole, rel=1e-5)
    post = 2 * math.sqrt(sum(LineString(r).convex_hull.area for r in area.interiors) / math.pi)
    assert helical_entries.entry_post_diameter.bare(diameter, hole) == pytest.approx(post, abs=2e-3)
    pitch, feed = 0.8, 700.0
    angle = helical_entries.entry_helix_angle.bare(pitch, radius)
    turn = speeds.cutting_time.bare(helical_entries.helix_path_length.bare(pitch, pitch, radius), feed)
    rate = helical_entries.helical_removal_rate.bare(diameter, hole, feed, angle)
    assert rate == pytest.approx(area.area * pitch / turn / 1000, rel=1e-4)


@pytest.mark.parametrize(("diameter", "corner"), [(10.0, 0.0), (25.0, 0.8), (12.0, 4.0)])
def test_the_largest_hole_with_a_flat_floor(diameter, corner):
    """The flat disc within the corner, swept in a level turn, covers the middle of the hole or leaves a post."""
    largest = helical_entries.largest_entry_hole.bare(diameter, corner)
    for hole, covered in ((largest - 0.05, True), (largest + 0.05, False)):
        axis = Point(0, 0).buffer(0.5 * (hole - diameter), quad_segs=720).exterior
        floor = LineString(axis.coords).buffer(0.5 * diameter - corner, quad_segs=720)
        assert floor.contains(Point(0.0, 0.0)) is covered
    assert helical_entries.largest_entry_hole.bare(diameter, 0.5 * diameter) == diameter  # a ball


@pytest.mark.parametrize(("diameter", "core"), [(25.0, 9.0), (10.0, 2.0)])
def test_the_smallest_hole(diameter, core):
    smallest = helical_entries.smallest_entry_hole.bare(diameter, core)
    assert swept(diameter, smallest + 0.4, core).contains(Point(0.0, 0.0))
    assert not swept(diameter, smallest - 0.4, core).contains(Point(0.0, 0.0))
    assert helical_entries.smallest_entry_hole.bare(diameter, 0.0) == diameter


def nearest_approach(core, path_radius, pitch, steps=40_000, places=4_000):
    """How much the body comes down on a point of the floor while its middle covers it; the worst of many points."""
    turn = np.linspace(0.0, 2 * math.pi, steps, endpoint=False)
    x, y = path_radius * np.cos(turn), path_radius * np.sin(turn)
    worst = 0.0
    for q in np.linspace(path_radius - 0.5 * core + 1e-9, path_radius + 0.5 * core - 1e-9, places):
        covered = np.hypot(x - q, y) <= 0.5 * core
        worst = max(worst, covered.mean() * pitch)
    return worst


@pytest.mark.parametrize(("core", "radius"), [(9.0, 6.0), (9.0, 4.5001), (2.0, 30.0)])
def test_the_middle_stays_clear_of_what_the_edges_leave(core, radius):
    """Counted over 40 000 steps of a turn and some places."""
    pitch = helical_entries.largest_helix_pitch.bare(0.5, core, radius)
    assert nearest_approach(core, radius, pitch, 20_000, 1_500) == pytest.approx(0.5, rel=4e-3)


def test_a_wide_helix_is_a_ramp_to_the_middle():
    pitch = helical_entries.largest_helix_pitch.bare(0.5, 9.0, 1e5)
    straight = entries.largest_ramp_angle.bare(0.5, 9.0)
    assert helical_entries.entry_helix_angle.bare(pitch, 1e5) == pytest.approx(straight, rel=1e-6)
    # a ramp walked: the trailing edges come a core's diameter after the leading ones
    assert math.tan(math.radians(straight)) * 9.0 == pytest.approx(0.5)


def test_the_feed_at_the_wall_of_the_hole():
    # axis and wall turn together: their speeds are as their radii
    radius = helical_entries.entry_path_radius.bare(10.0, 18.0)
    assert arcs.arc_feed_rate.bare(900.0, 10.0, 18.0, True) == pytest.approx(900.0 * radius / 9.0)


@pytest.mark.parametrize(
    ("formula", "inputs", "kind"),
    [
        (entries.ramp_length, ("1 mm", "0 deg"), DomainError),
        (entries.ramp_length, ("1 mm", "90 deg"), DomainError),
        (entries.ramp_path_length, ("-1 mm", "3 deg"), DomainError),
        (entries.ramp_passes, ("1 mm", "0 mm", "3 deg"), DomainError),
        (entries.ramp_angle, ("1 mm", "10 mm", 0), DomainError),
        (entries.axial_feed_rate, ("100 mm/min", "91 deg"), DomainError),
        (entries.axial_feed_per_tooth, ("0.1 mm/rev", "3 deg"), UnitError),
        (helical_entries.entry_path_radius, ("10 mm", "9 mm"), DomainError),
        (helical_entries.entry_post_diameter, ("10 mm", "9 mm"), DomainError),
        (helical_entries.helical_removal_rate, ("10 mm", "9 mm", "1 m/min", "3 deg"), DomainError),
        (helical_entries.largest_helix_pitch, ("1 mm", "10 mm", "4 mm"), DomainError),
        (helical_entries.largest_entry_hole, ("10 mm", "6 mm"), DomainError),
        (helical_entries.smallest_entry_hole, ("10 mm", "10 mm"), DomainError),
        (helical_entries.helix_path_length, ("10 mm", "0 mm", "4 mm"), DomainError),
    ],
)
def test_errors(formula, inputs, kind):
    with pytest.raises(kind):
        formula(*inputs)


def test_not_a_number_outside():
    outside = np.array([0.0, 90.0, -3.0, np.nan])
    with np.errstate(all="ignore"):
        for formula, before, after in (
            (entries.ramp_length, (1.0,), ()),
            (entries.ramp_path_length, (1.0,), ()),
            (entries.ramp_passes, (1.0, 10.0), ()),
            (helical_entries.helix_pitch, (), (4.0,)),
        ):
            assert np.isnan(formula.bare(*before, outside, *after)).all()
    assert math.isnan(helical_entries.entry_path_radius.bare(10.0, 9.0))
    assert math.isnan(helical_entries.entry_post_diameter.bare(10.0, 9.0))
    assert math.isnan(helical_entries.helical_removal_rate.bare(10.0, 9.0, 100.0, 3.0))
    assert math.isnan(helical_entries.largest_helix_pitch.bare(1.0, 10.0, 4.0))
    assert math.isnan(helical_entries.largest_entry_hole.bare(10.0, 6.0))
    assert math.isnan(helical_entries.smallest_entry_hole.bare(10.0, 10.0))


def test_arrays_give_what_scalars_give(witness):
    same = witness.assert_same_as_scalars
    sizes, angles = np.array([2.0, 10.0, 20.0]), np.array([1.0, 3.0, 30.0])
    same(entries.ramp_length.bare, sizes, angles)
    same(entries.ramp_passes.bare, sizes, sizes * 3, angles)
    same(entries.ramp_angle.bare, sizes, sizes * 3, np.array([1.0, 2.0, 3.0]))
    same(entries.largest_ramp_angle.bare, sizes / 10, sizes)
    same(helical_entries.helix_pitch.bare, angles, sizes)
    same(helical_entries.helix_path_length.bare, sizes, sizes / 10, sizes)
    same(helical_entries.largest_helix_pitch.bare, sizes / 10, sizes, sizes)
    same(helical_entries.entry_path_radius.bare, sizes, sizes * 1.8)
    same(helical_entries.helical_removal_rate.bare, sizes, sizes * 2.4, sizes * 100, angles)
    assert entries.ramp_length.bare(np.array([]), 3.0).shape == (0,)
    assert helical_entries.helix_path_length.bare(10.0, 1.0, 0.0) == 10.0
