"""Inside corners against polygons: what a cutter leaves, and how much of its rim stands in stock on its way in."""

from __future__ import annotations

import math

import mpmath as mp
import numpy as np
import pytest
from shapely.geometry import LineString, Polygon

from millcalc.errors import DomainError, UnitError
from millcalc.formulas import arcs, chips, corners

CASES = [
    (20.0, 4.0, 90.0),
    (10.0, 0.0, 90.0),
    (16.0, 2.5, 60.0),
    (12.0, 3.0, 120.0),
    (12.0, 1.0, 165.0),
    (8.0, 1.0, 35.0),
]


def wedge(angle, reach):
    """The open side of a corner at the origin; the first wall runs along x."""
    turn = np.radians(np.linspace(0.0, angle, 60))
    return Polygon([(0.0, 0.0), *zip(reach * np.cos(turn), reach * np.sin(turn), strict=True)])


def corner_path(angle, radius, reach):
    """The centre's path at a distance from both walls, first wall first."""
    half = math.radians(angle / 2)
    corner = np.array([radius / math.tan(half), radius])
    ahead, on = np.array([1.0, 0.0]), np.array([math.cos(2 * half), math.sin(2 * half)])
    return LineString([corner + reach * ahead, corner, corner + reach * on])


def left(angle, radius):
    """What a cutter on that path leaves between the walls, near the corner; area short by (pi/2/4000)^2/6."""
    reach = 4.0 * radius / math.sin(math.radians(angle / 2))
    near = wedge(angle, radius / math.tan(math.radians(angle / 2)) * 1.5)
    milled = corner_path(angle, radius, 3 * reach).buffer(radius, quad_segs=4000)
    # the corner itself, not the slivers between chords and walls
    pieces = near.difference(milled)
    return max(getattr(pieces, "geoms", [pieces]), key=lambda p: p.area)


def front_in_stock(stock, centre, radius, ahead, points=40_001):
    """Degrees of the rim's front half that stand in the stock."""
    turn = ahead + np.linspace(-math.pi / 2, math.pi / 2, points)
    rim = LineString(np.column_stack([centre[0] + radius * np.cos(turn), centre[1] + radius * np.sin(turn)]))
    return math.degrees(rim.intersection(stock).length / radius)


def largest_engagement(angle, radius, milled):
    """Go along the first wall into the corner and away along the second; the largest engagement on the way."""
    path = corner_path(angle, radius, 6.0 * radius)
    stock = wedge(angle, 60.0 * radius).difference(milled)
    (x0, y0), (x1, y1), (x2, y2) = path.coords
    found = []
    for (ax, ay), (bx, by) in (((x0, y0), (x1, y1)), ((x1, y1), (x2, y2))):
        for share in (0.0, 0.5, 0.9, 0.99, 1.0):
            centre = (ax + share * (bx - ax), ay + share * (by - ay))
            found.append(front_in_stock(stock, centre, radius, math.atan2(by - ay, bx - ax)))
    return found


@pytest.mark.parametrize(("diameter", "fillet", "angle"), CASES)
def test_stock_reach_and_area(diameter, fillet, angle):
    """Polygons of both cutters' leftovers: distances to 1e-6, areas to 1e-6 of the area."""
    over = left(angle, 0.5 * diameter)
    half = math.radians(angle / 2)
    ray = LineString([(0.0, 0.0), (4 * diameter * math.cos(half), 4 * diameter * math.sin(half))])
    depth, area = over.intersection(ray).length, over.area
    if fillet:
        depth -= left(angle, fillet).intersection(ray).length
        area -= left(angle, fillet).area
    assert corners.corner_stock.bare(diameter, fillet, angle) == pytest.approx(depth, abs=1e-6)
    assert corners.corner_area.bare(diameter, fillet, angle) == pytest.approx(area, rel=1e-5)
    wall = np.array(over.exterior.coords)
    assert corners.corner_reach.bare(diameter, angle) == pytest.approx(
        wall[np.abs(wall[:, 1]) < 1e-9, 0].max(), rel=2e-3
    )
    assert corners.corner_stock_between.bare(diameter, 2 * fillet + 1e-300, angle) == pytest.approx(depth, abs=1e-6)


@pytest.mark.parametrize(("diameter", "fillet", "angle"), CASES)
def test_area_is_the_integral_of_the_gap(diameter, fillet, angle):
    """Both radii's areas by 200 000 strips across the bisector."""

    def strips(radius):
        half = math.radians(angle / 2)
        ends = radius / math.tan(half) * math.cos(half)  # where the circle leaves the walls
        x = (np.arange(200_000) + 0.5) * ends / 200_000
        circle = np.sqrt(np.maximum(radius**2 - (radius / math.sin(half) - x) ** 2, 0.0))
        return 2 * float(np.sum(x * math.tan(half) - circle)) * ends / 200_000

    expected = strips(0.5 * diameter) - (strips(fillet) if fillet else 0.0)
    assert corners.corner_area.bare(diameter, fillet, angle) == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize("angle", [35.0, 60.0, 90.0, 120.0, 165.0, 180.0])
@pytest.mark.parametrize("share", [0.02, 0.1, 0.3, 0.6])
def test_engagement_on_the_way_through_a_corner(angle, share):
    """Every place of the way, after a parallel pass of the same cutter: within 1e-3 deg of the arc's chords."""
    radius = 5.0
    width = 2 * radius * share
    before = corner_path(angle, radius + width, 40.0 * radius).buffer(radius, quad_segs=4000)
    found = largest_engagement(angle, radius, before)
    assert corners.corner_engagement.bare(2 * radius, width, angle) == pytest.approx(max(found), abs=0.05)
    assert found[0] == pytest.approx(chips.engagement_angle.bare(2 * radius, width), abs=0.05)


@pytest.mark.parametrize("angle", [40.0, 60.0, 90.0, 120.0, 165.0])
@pytest.mark.parametrize("share", [0.2, 0.5, 0.8, 0.95])
def test_engagement_in_corner_stock(angle, share):
    larger, radius = 10.0, 10.0 * share
    milled = corner_path(angle, larger, 100.0 * radius).buffer(larger, quad_segs=4000)
    found = largest_engagement(angle, radius, milled)
    got = corners.corner_stock_engagement.bare(2 * larger, 2 * radius, angle)
    assert got == pytest.approx(max(found), abs=0.15)


@pytest.mark.parametrize(("straight", "corner"), [(20.0, 110.0), (36.87, 126.87), (60.0, 100.0), (90.0, 180.0)])
def test_feed_factors_keep_the_chip_of_the_chip_formulas(straight, corner):
    def width(angle):
        return 5.0 * (1 - math.cos(math.radians(angle)))

    for factor, thickness in (
        (corners.corner_feed_factor, chips.max_chip_thickness),
        (corners.corner_mean_feed_factor, chips.mean_chip_thickness),
    ):
        kept = thickness.bare(0.1 * factor.bare(straight, corner), 10.0, width(corner))
        assert kept == pytest.approx(thickness.bare(0.1, 10.0, width(straight)), rel=1e-12)


def test_a_rounded_path_with_even_stock_engages_less_than_a_sharp_one():
    # stock of even thickness on a fillet: the equal straight width of the arcs' formula
    for path_radius in (0.1, 1.0, 10.0):
        width = arcs.arc_radial_engagement.bare(10.0, 1.0, 10.0 + 2 * path_radius, True)
        rounded = chips.engagement_angle.bare(10.0, width)
        assert chips.engagement_angle.bare(10.0, 1.0) < rounded
    assert rounded < corners.corner_engagement.bare(10.0, 1.0, 90.0)


def test_no_corner_and_nothing_to_take():
    assert corners.corner_stock.bare(10.0, 2.0, 180.0) == 0.0
    assert corners.corner_area.bare(10.0, 2.0, 180.0) == 0.0
    assert corners.corner_reach.bare(10.0, 180.0) == 0.0
    assert corners.corner_engagement.bare(10.0, 2.5, 180.0) == pytest.approx(60.0)
    assert corners.corner_stock_engagement.bare(12.0, 10.0, 180.0) == 0.0
    for angle in (30.0, 90.0):
        assert corners.corner_stock.bare(10.0, 5.0, angle) == corners.corner_stock.bare(10.0, 7.0, angle) == 0.0
        assert corners.corner_area.bare(10.0, 7.0, angle) == 0.0
        assert corners.corner_stock_between.bare(10.0, 12.0, angle) == 0.0
    assert corners.corner_engagement.bare(10.0, 0.0, 90.0) == 90.0
    assert corners.corner_engagement.bare(10.0, 10.0, 90.0) == 180.0


def test_small_turns_keep_their_digits():
    turned = np.array([1e-6, 1e-3, 0.05, 0.0999, 0.1001, 0.2])
    found = corners.corner_area.bare(2.0, 0.0, 180.0 - np.degrees(2 * turned))
    # the angle handed over carries 1e-14 deg; cube of what is left of it
    with mp.workdps(50):
        exact = [float(mp.tan(mp.mpf(t)) - mp.mpf(t)) for t in turned]
    np.testing.assert_allclose(found, exact, rtol=1e-7)
    np.testing.assert_allclose(found[2:], exact[2:], rtol=1e-11)


@pytest.mark.parametrize(
    ("formula", "inputs", "kind"),
    [
        (corners.corner_stock, ("10 mm", "1 mm", "0 deg"), DomainError),
        (corners.corner_stock, ("10 mm", "-1 mm", "90 deg"), DomainError),
        (corners.corner_area, ("10 mm", "1 mm", "181 deg"), DomainError),
        (corners.corner_engagement, ("10 mm", "11 mm", "90 deg"), DomainError),
        (corners.corner_stock_engagement, ("10 mm", "10 mm", "90 deg"), DomainError),
        (corners.corner_feed_factor, ("0 deg", "90 deg"), DomainError),
        (corners.corner_reach, ("10 mm", 90), UnitError),
    ],
)
def test_errors(formula, inputs, kind):
    with pytest.raises(kind):
        formula(*inputs)


def test_not_a_number_outside_and_arrays(witness):
    for angle in (0.0, -10.0, 180.1, math.nan):
        with np.errstate(all="ignore"):
            values = (
                corners.corner_stock.bare(10.0, 1.0, angle),
                corners.corner_stock_between.bare(10.0, 6.0, angle),
                corners.corner_reach.bare(10.0, angle),
                corners.corner_area.bare(10.0, 1.0, angle),
                corners.corner_engagement.bare(10.0, 1.0, angle),
                corners.corner_stock_engagement.bare(10.0, 6.0, angle),
                corners.corner_feed_factor.bare(angle, 90.0),
                corners.corner_mean_feed_factor.bare(90.0, angle),
            )
        assert np.isnan(values).all()
    assert math.isnan(corners.corner_stock_engagement.bare(10.0, 10.0, 90.0))
    same = witness.assert_same_as_scalars
    sizes, angles = np.array([4.0, 10.0, 20.0, 32.0]), np.array([30.0, 90.0, 120.0, 180.0])
    same(corners.corner_stock.bare, sizes, sizes / 5, angles)
    same(corners.corner_area.bare, sizes, sizes / 5, angles)
    same(corners.corner_engagement.bare, sizes, sizes / 5, angles)
    same(corners.corner_stock_engagement.bare, sizes, sizes / 2, angles)
    same(corners.corner_feed_factor.bare, angles / 2, angles)
    assert corners.corner_stock.bare(np.array([]), 1.0, 90.0).shape == (0,)
