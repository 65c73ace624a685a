"""Levels, rings and passes of a pocket against their paths laid out one by one, and polygons of what those clear."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from shapely.geometry import LineString, MultiLineString, Point, box

from millcalc.errors import DomainError, UnitError, ValidityWarning
from millcalc.formulas import clearing

POCKETS = [
    (40.0, 70.0, 12.0, 6.0),
    (70.0, 40.0, 12.0, 10.2),
    (50.0, 50.0, 10.0, 8.5),
    (13.0, 90.0, 12.0, 5.0),
    (80.0, 81.0, 6.0, 1.7),
]


def rings_round(width, length, diameter, rings):
    """The centre line and each ring as a list of points, outermost last; the pocket's middle is the origin."""
    half = 0.5 * abs(length - width)
    paths = [[(-half, 0.0), (half, 0.0)]]
    for ring in range(1, rings + 1):
        out = 0.5 * (min(width, length) - diameter) * ring / rings
        x, y = half + out, out
        paths.append([(-x, -y), (x, -y), (x, y), (-x, y), (-x, -y)])
    return paths


def travelled(paths):
    return sum(math.dist(a, b) for path in paths for a, b in pairwise(path))


def left_standing(width, length, diameter, rings):
    """What a flat end of that path leaves of the pocket, in pieces larger than the chords of its circles."""
    paths = rings_round(width, length, diameter, rings)
    lines = [LineString(p) for p in paths if travelled([p]) > 0.0]
    swept = MultiLineString(lines).buffer(0.5 * diameter, quad_segs=500)
    if len(lines) < len(paths):
        swept = swept.union(Point(0.0, 0.0).buffer(0.5 * diameter, quad_segs=500))
    x, y = 0.5 * max(width, length), 0.5 * min(width, length)
    pieces = box(-x, -y, x, y).difference(swept)
    return [p for p in getattr(pieces, "geoms", [pieces]) if p.area > 1e-4 * diameter**2]


@pytest.mark.parametrize(("width", "length", "diameter", "radial"), POCKETS)
def test_the_path_is_the_sum_of_its_rings(width, length, diameter, radial):
    narrow = min(width, length)
    rings = clearing.clearing_rings.bare(narrow, diameter, radial)
    spacing = clearing.ring_spacing.bare(narrow, diameter, rings)
    assert spacing <= radial < spacing * rings / (rings - 1) if rings > 1 else spacing <= radial
    paths = rings_round(width, length, diameter, int(rings))
    assert clearing.ring_path_length.bare(width, length, diameter, rings) == pytest.approx(travelled(paths), rel=1e-12)
    assert clearing.centre_line_length.bare(width, length) == pytest.approx(travelled(paths[:1]), rel=1e-12)
    # neighbours as far apart as said, and the outermost at the walls
    assert paths[1][2][1] == pytest.approx(spacing)
    assert paths[-1][2] == pytest.approx(((max(width, length) - diameter) / 2, (narrow - diameter) / 2))


@pytest.mark.parametrize(("width", "length", "diameter", "radial"), POCKETS)
def test_the_path_clears_the_pocket_but_for_the_fillets_of_its_corners(width, length, diameter, radial):
    rings = int(clearing.clearing_rings.bare(min(width, length), diameter, radial))
    pieces = left_standing(width, length, diameter, rings)
    assert len(pieces) == 4
    fillet = (1.0 - math.pi / 4) * (0.5 * diameter) ** 2
    assert [p.area for p in pieces] == pytest.approx([fillet] * 4, rel=1e-3)
    # each reaches the vertex of the pocket
    assert all(max(abs(x) for x, _ in p.exterior.coords) == 0.5 * max(width, length) for p in pieces)


@pytest.mark.parametrize("longer", [0.0, 30.0])
def test_posts_stand_between_rings_from_the_largest_spacing_on(longer):
    """One ring round the centre: at its corners it leaves posts once it is farther out than said."""
    largest = clearing.largest_ring_spacing.bare(10.0)
    for out, pieces in ((0.99 * largest, 4), (1.02 * largest, 8)):
        assert len(left_standing(10.0 + 2 * out, 10.0 + 2 * out + longer, 10.0, 1)) == pieces
    with pytest.warns(ValidityWarning, match="radial_width"):
        clearing.clearing_rings("60 mm", "10 mm", "9 mm")
    assert clearing.clearing_rings("60 mm", "10 mm", "8.5 mm") == 3.0


def test_the_largest_spacing_by_the_distance_of_two_corners():
    # the inner corner at the origin; the outer ring's inner edge is a square corner half a diameter within it
    diameter, spacing = 7.0, clearing.largest_ring_spacing.bare(7.0)
    assert math.dist((0.0, 0.0), (spacing - diameter / 2,) * 2) == pytest.approx(diameter / 2, rel=1e-14)


def test_a_pocket_as_wide_as_the_cutter_is_one_slot():
    assert clearing.clearing_rings.bare(12.0, 12.0, 3.0) == 0.0
    assert clearing.ring_spacing.bare(12.0, 12.0, 0.0) == 0.0
    assert clearing.ring_path_length.bare(12.0, 70.0, 12.0, 0.0) == 58.0
    assert clearing.ring_path_length.bare(70.0, 12.0, 12.0, 0.0) == clearing.centre_line_length.bare(70.0, 12.0)
    assert clearing.ring_path_length.bare(12.0, 12.0, 12.0, 0.0) == 0.0
    assert math.copysign(1.0, clearing.clearing_rings.bare(12.0, 12.0, 3.0)) == 1.0
    for formula, given in (
        (clearing.ring_spacing, ("40 mm", "12 mm", 0)),
        (clearing.ring_path_length, ("40 mm", "70 mm", "12 mm", 0)),
    ):
        with pytest.warns(ValidityWarning, match="rings"):
            formula(*given)


@pytest.mark.parametrize("count", [clearing.levels, clearing.side_passes])
def test_counts_are_the_fewest_that_reach(count):
    """Taken away one by one; a quotient rounded badly is the whole number, one that is larger is not."""
    random = np.random.default_rng(7)
    for whole, step in zip(random.uniform(0.0, 50.0, 300), random.uniform(0.1, 9.0, 300), strict=True):
        left, taken = float(whole), 0
        while left > 0.0:
            left, taken = left - float(step), taken + 1
        assert count.bare(whole, step) == taken
    assert (0.1 + 0.2) / 0.1 > 3.0
    assert count.bare(0.1 + 0.2, 0.1) == 3.0 == count.bare(0.3, 0.1)
    assert [count.bare(m * (1 + 0.9e-9), 1.0) for m in (1.0, 7.0, 1e6)] == [1.0, 7.0, 1e6]
    assert [count.bare(m * (1 + 1e-8), 1.0) for m in (1.0, 7.0, 1e6)] == [2.0, 8.0, 1e6 + 1]
    assert count.bare(0.0, 2.0) == 0.0 == count.bare(1e-12, 2.0)
    assert count.bare(1e-6, 2.0) == 1.0 == count.bare(2.0, math.inf) + 1.0


def test_shares_add_up_again():
    random = np.random.default_rng(8)
    depth, step = random.uniform(1.0, 60.0, 200), random.uniform(0.2, 20.0, 200)
    for count, share in (
        (clearing.levels, clearing.equalised_step_down),
        (clearing.side_passes, clearing.side_pass_width),
    ):
        number = count.bare(depth, step)
        each = share.bare(depth, number)
        assert (each <= step * (1 + 1e-9)).all()
        np.testing.assert_allclose([sum([e] * int(n)) for e, n in zip(each, number, strict=True)], depth, rtol=1e-12)


def test_size_to_rough_is_the_box_within():
    inner = box(0.0, 0.0, 40.0, 70.0).buffer(-0.3, join_style="mitre")
    x0, y0, x1, y1 = inner.bounds
    assert clearing.size_to_rough.bare(40.0, 0.3, 2.0) == pytest.approx(x1 - x0, rel=1e-14)
    assert clearing.size_to_rough.bare(70.0, 0.3, 2.0) == pytest.approx(y1 - y0, rel=1e-14)
    assert clearing.size_to_rough.bare(40.0, 0.3, 0.0) == 40.0 == clearing.size_to_rough.bare(40.0, 0.0, 2.0)
    assert clearing.size_to_rough.bare(12.0, 0.5, 1.0) == 11.5
    for size, stock, sides in ((1.0, 0.5, 2.0), (0.0, 0.0, 0.0), (1.0, 2.0, 1.0), (1.0, -0.1, 1.0), (1.0, 0.1, -1.0)):
        assert math.isnan(clearing.size_to_rough.bare(size, stock, sides))


@pytest.mark.parametrize(
    ("formula", "inputs", "kind"),
    [
        (clearing.levels, ("10 mm", "0 mm"), DomainError),
        (clearing.levels, ("-1 mm", "2 mm"), DomainError),
        (clearing.levels, ("10 mm", 2), UnitError),
        (clearing.equalised_step_down, ("10 mm", 0), DomainError),
        (clearing.equalised_step_down, ("10 mm", 2.5), DomainError),
        (clearing.size_to_rough, ("1 mm", "0.5 mm", 2), DomainError),
        (clearing.clearing_rings, ("10 mm", "12 mm", "3 mm"), DomainError),
        (clearing.clearing_rings, ("20 mm", "12 mm", "0 mm"), DomainError),
        (clearing.ring_spacing, ("10 mm", "12 mm", 1), DomainError),
        (clearing.ring_path_length, ("70 mm", "10 mm", "12 mm", 1), DomainError),
        (clearing.ring_path_length, ("10 mm", "70 mm", "12 mm", 1), DomainError),
        (clearing.centre_line_length, ("10 mm", 70), UnitError),
        (clearing.largest_ring_spacing, ("0 mm",), DomainError),
        (clearing.side_passes, ("10 mm", "0 mm"), DomainError),
        (clearing.side_pass_width, ("10 mm", 0), DomainError),
    ],
)
def test_errors(formula, inputs, kind):
    with pytest.raises(kind):
        formula(*inputs)


def test_not_a_number_outside_without_a_warning():
    nan = math.nan
    outside = [
        (clearing.levels, [(10.0, 0.0), (10.0, -1.0), (-1.0, 2.0), (nan, 2.0), (10.0, nan)]),
        (clearing.equalised_step_down, [(10.0, 0.0), (-1.0, 2.0), (10.0, nan)]),
        (clearing.clearing_rings, [(11.0, 12.0, 2.0), (20.0, 0.0, 2.0), (20.0, 12.0, 0.0), (20.0, 12.0, nan)]),
        (clearing.ring_spacing, [(11.0, 12.0, 2.0), (11.0, 12.0, 0.0), (20.0, 12.0, nan), (20.0, 12.0, -1.0)]),
        (clearing.ring_path_length, [(11.0, 30.0, 12.0, 1.0), (30.0, 11.0, 12.0, 0.0), (20.0, 30.0, 12.0, nan)]),
        (clearing.centre_line_length, [(nan, 1.0), (-1.0, 1.0), (1.0, -1.0)]),
        (clearing.largest_ring_spacing, [(0.0,), (nan,)]),
        (clearing.side_passes, [(10.0, 0.0), (-1.0, 2.0)]),
        (clearing.side_pass_width, [(10.0, 0.0), (-1.0, 2.0)]),
    ]
    with np.errstate(all="raise"):
        for formula, cases in outside:
            assert np.isnan([formula.bare(*case) for case in cases]).all(), formula


def test_infinite_empty_and_whole_arrays(witness):
    assert clearing.levels.bare(math.inf, 2.0) == math.inf
    assert clearing.clearing_rings.bare(20.0, 12.0, math.inf) == 0.0
    assert clearing.ring_path_length.bare(20.0, math.inf, 12.0, 1.0) == math.inf
    same = witness.assert_same_as_scalars
    widths, lengths, counts = np.array([12.0, 25.0, 40.0]), np.array([80.0, 12.5, 40.0]), np.array([0.0, 1.0, 4.0])
    same(clearing.levels.bare, widths, lengths / 9)
    same(clearing.equalised_step_down.bare, widths, counts + 1)
    same(clearing.size_to_rough.bare, widths, lengths / 100, counts)
    same(clearing.clearing_rings.bare, widths, widths[::-1] / 4, lengths / 30)
    same(clearing.ring_spacing.bare, widths, widths / 2, counts)
    same(clearing.ring_path_length.bare, widths, lengths, widths / 4, counts)
    same(clearing.centre_line_length.bare, widths, lengths)
    same(clearing.largest_ring_spacing.bare, widths)
    same(clearing.side_passes.bare, widths, lengths / 30)
    same(clearing.side_pass_width.bare, widths, counts + 1)
    assert clearing.ring_path_length.bare(np.array([]), 40.0, 10.0, 2.0).shape == (0,)
    assert clearing.levels.bare(np.array([]), 2.0).shape == (0,)
