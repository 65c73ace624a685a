"""Clearance in space: polygons of circles in space, points in space, moves that part.

All expected values are derived by the second means named in each test.  None of these uses directions, ellipses or
Newton steps of the module.
"""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, disjoint, get_coordinates, linestrings, polygons
from shapely.ops import nearest_points

from millcalc.cutters.clearance import Frustum, floor_clearance, wall_clearance

FAR = 1e4


def axis_of(lead, tilt):
    """Return the axis and two vectors square to it, components along F, C, N."""
    a, b = math.radians(lead), math.radians(tilt)
    axis = np.array([math.sin(a), math.cos(a) * math.sin(b), math.cos(a) * math.cos(b)])
    first = np.cross(axis, [0.0, 1.0, 0.0] if abs(axis[1]) < 0.7 else [1.0, 0.0, 0.0])
    first /= np.linalg.norm(first)
    return axis, first, np.cross(axis, first)


def ring(height, radius, lead, tilt, tip, angles):
    """Return points of a circle about the axis, in space."""
    axis, first, second = axis_of(lead, tilt)
    out = np.cos(angles)[..., None] * first + np.sin(angles)[..., None] * second
    return np.asarray(tip) + np.asarray(height)[..., None] * axis + np.asarray(radius)[..., None] * out


def wall_polygon(distance, height, draft):
    """Return the section of a wall as a polygon, cut off far away."""
    slope = math.tan(math.radians(draft))
    face = [(distance + n * slope, n) for n in (height, -FAR)]
    return Polygon([*face, (3 * FAR, -FAR), (3 * FAR, height)])


def hull_toward(body, lead, tilt, tip, toward):
    """Return the silhouette seen along F: circles in space, sampled ever closer about the points farthest out.

    `toward` tells from a polygon in which direction to look closer; at last samples are 2e-7 rad apart.
    """
    ends = ((body.low, body.low_radius), (body.high, body.high_radius))
    angles = [np.linspace(0.0, 2 * np.pi, 401)] * 2
    width = 0.03
    for _ in range(5):
        circles = [ring(z, r, lead, tilt, tip, a)[:, 1:] for (z, r), a in zip(ends, angles, strict=True)]
        hull = LineString(np.concatenate(circles)).convex_hull
        direction = toward(hull)
        farthest = [a[np.argmax(c @ direction)] for c, a in zip(circles, angles, strict=True)]
        angles = [np.append(a, f + width * np.linspace(-1, 1, 81)) for a, f in zip(angles, farthest, strict=True)]
        width /= 8
    return hull


def grown(hull, draft):
    """Return the silhouette with all that lies above it along the face, and away from the wall."""
    points = np.array(hull.exterior.coords if hull.geom_type == "Polygon" else hull.coords)
    slope = np.radians(draft)
    moved = [points + FAR * np.array(way) for way in ((-1.0, 0.0), (math.sin(slope), math.cos(slope)))]
    return LineString(np.concatenate([points, *moved])).convex_hull


def by_polygons(body, lead, tilt, tip, distance, height, draft):
    """Return the signed clearance: how far the upper edge of the wall lies out of the grown silhouette, or in it.

    Two convex shapes are apart as far as the one's corner from the other, grown by the one's (Minkowski's sum).
    """
    corner = Point(distance + height * math.tan(math.radians(draft)), height)

    def way(hull):
        whole = grown(hull, draft)
        near = nearest_points(whole.exterior, corner)[0]
        sign = -1.0 if whole.contains(corner) else 1.0
        return sign * np.array([corner.x - near.x, corner.y - near.y])

    whole = grown(hull_toward(body, lead, tilt, tip, way), draft)
    return -whole.exterior.distance(corner) if whole.contains(corner) else whole.distance(corner)


def by_distance(body, lead, tilt, tip, distance, height, draft):
    """Return the distance of the two polygons; 0 where they overlap."""
    wall = wall_polygon(distance, height, draft)

    def way(hull):
        near, far = nearest_points(hull, wall)
        return np.array([far.x - near.x, far.y - near.y])

    return hull_toward(body, lead, tilt, tip, way).distance(wall)


def drawn_case(random):
    """Return a body, a lean, a tip and a wall whose upper edge lies near the body or within it."""
    low = random.uniform(0.0, 60.0)
    high = low + random.uniform(0.5, 60.0)
    radii = random.uniform(0.0, 25.0, 2) * random.choice([0.0, 1.0, 1.0, 1.0], 2)
    if random.random() < 0.2:
        radii[0] = radii[1]
    lead, tilt = random.uniform(-89.0, 89.0, 2) * random.choice([0.0, 0.3, 1.0], 2)
    tip, draft = random.uniform(-8.0, 8.0, 3), random.choice([0.0, 5.0, 40.0, -10.0, -50.0])
    axis = axis_of(lead, tilt)[0]
    along, off = random.uniform(low - 20.0, high + 20.0), random.uniform(-40.0, 40.0)
    height = max(0.0, tip[2] + along * axis[2] - off * math.sin(math.radians(tilt)))
    edge = tip[1] + along * axis[1] + off * math.cos(math.radians(tilt))
    wall = (edge - height * math.tan(math.radians(draft)), height, draft)
    return Frustum(low, high, *radii), lead, tilt, tip, *wall


def cases(number, seed):
    random = np.random.default_rng(seed)
    return [drawn_case(random) for _ in range(number)]


def test_height_over_the_floor_by_circles_in_space():
    """Sampled circles are short by R/2 (pi/n)^2, less than 1e-6 mm."""
    angles = np.linspace(0.0, 2 * np.pi, 20001)
    for body, lead, tilt, tip, *_ in cases(30, 1):
        points = [ring(z, r, lead, tilt, tip, angles) for z, r in zip(body.numbers[:2], body.numbers[2:], strict=True)]
        expected = min(p[:, 2].min() for p in points)
        assert floor_clearance([body], lead, tilt, tip) == pytest.approx(expected, abs=1e-6)


def test_signed_clearance_by_polygons_of_circles_in_space():
    found = [(wall_clearance([c[0]], *c[1:]), by_polygons(*c)) for c in cases(150, 2)]
    ours, theirs = np.array(found).T
    np.testing.assert_allclose(ours, theirs, rtol=0, atol=1e-9)
    assert np.count_nonzero(ours < 0.0) > 30
    assert np.count_nonzero(ours > 0.0) > 30


def test_distance_of_polygons_of_circles_in_space():
    for case in cases(100, 3):
        ours = wall_clearance([case[0]], *case[1:])
        assert max(ours, 0.0) == pytest.approx(by_distance(*case), abs=1e-9)


def test_distance_by_points_in_space():
    """Points on the surface of the body, ever denser about the nearest, to the wall by cases: face, edge or top."""
    for body, lead, tilt, tip, distance, height, draft in cases(60, 4):
        ours = wall_clearance([body], lead, tilt, tip, distance, height, draft)
        if ours <= 0.0:
            continue
        slope = math.radians(draft)
        angle, share, width = 0.0, 0.5, 1.0
        for _ in range(14):
            angles = angle + np.pi * width * np.linspace(-1, 1, 121)[:, None]
            shares = np.clip(share + 0.5 * width * np.linspace(-1, 1, 41), 0.0, 1.0)[None, :]
            heights = body.low + shares * (body.high - body.low) + 0.0 * angles
            radii = body.low_radius + shares * (body.high_radius - body.low_radius) + 0.0 * angles
            points = ring(heights, radii, lead, tilt, tip, angles + 0.0 * shares)
            out, up = points[..., 1] - distance - height * math.tan(slope), points[..., 2] - height
            down_face = out * math.sin(slope) + up * math.cos(slope)
            to_face = up * math.sin(slope) - out * math.cos(slope)
            gap = np.where(down_face <= 0.0, to_face, np.hypot(out, up))
            gap = np.where((out >= 0.0) & (up >= 0.0), up, gap)
            place = np.unravel_index(np.argmin(gap), gap.shape)
            angle, share = angles[place[0], 0], shares[0, place[1]]
            width *= 0.3
        assert ours == pytest.approx(gap.min(), abs=1e-7)


def test_depth_is_the_shortest_move_that_parts_them():
    """Polygons moved by a little more than the depth part in one of 720 directions; by a little less in none."""
    ways = np.radians(np.arange(0.0, 360.0, 0.5))
    deep = [c for c in cases(120, 5) if -8.0 < wall_clearance([c[0]], *c[1:]) < -0.1]
    for body, *case in deep:
        depth = -wall_clearance([body], *case)
        wall = wall_polygon(*case[3:])
        hull = hull_toward(body, *case[:3], lambda hull: np.array([1.0, -1.0]))
        outline, shapes = get_coordinates(hull), polygons if hull.geom_type == "Polygon" else linestrings
        for move, parts in ((1.001 * depth + 1e-4, True), (0.999 * depth - 1e-4, False)):
            moved = outline + move * np.stack([np.cos(ways), np.sin(ways)], axis=1)[:, None]
            assert disjoint(shapes(moved), wall).any() == parts
    assert len(deep) > 5


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6), st.floats(-5.0, 5.0), st.floats(-5.0, 5.0))
def test_a_move_changes_no_clearance_by_more_than_its_length(seed, across, up):
    body, lead, tilt, tip, *wall = drawn_case(np.random.default_rng(seed))
    before = wall_clearance([body], lead, tilt, tip, *wall)
    after = wall_clearance([body], lead, tilt, tip + np.array([3.0, across, up]), *wall)
    assert abs(after - before) <= math.hypot(across, up) + 1e-12


def test_an_endless_wall_is_as_one_far_higher_than_the_tool():
    for body, lead, tilt, tip, distance, _, draft in cases(20, 6):
        endless = wall_clearance([body], lead, tilt, tip, distance, np.inf, draft)
        assert endless == pytest.approx(wall_clearance([body], lead, tilt, tip, distance, 1e5, draft), abs=1e-9)
