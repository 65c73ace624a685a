"""What the profiles of all four families have in common, over cutters drawn at random."""

import itertools
import math

import pytest
from shapes import DRAWN, joint_errors, points_of

from millcalc.cutters import Line
from millcalc.errors import JobError

each = pytest.mark.parametrize("word", sorted(DRAWN))


@each
def test_pieces_meet_and_are_tangent(word):
    for cutter, *given in DRAWN[word]():
        size = max(given)
        pieces = cutter.pieces()
        for lower, upper in itertools.pairwise(pieces):
            gap, off = joint_errors(lower, upper)
            assert gap <= 1e-12 * size, given
            assert off <= 1e-12 * size, given


@each
def test_arcs_keep_their_radius_at_both_ends(word):
    for cutter, *given in DRAWN[word]():
        for piece in cutter.pieces():
            if not isinstance(piece, Line):
                assert math.isclose(math.dist(piece.end, piece.centre), piece.radius, rel_tol=1e-12), given


@each
def test_profile_is_convex(word):
    """The polygon through points of all pieces turns one way only: from outward to upward."""
    for cutter, *given in DRAWN[word]():
        pieces = cutter.pieces()
        points = [p for piece in pieces for p in points_of(piece)[:-1]] + [points_of(pieces[-1])[-1]]
        assert points[0] == (0.0, 0.0), given
        assert math.dist(points[-1], pieces[-1].end) < 1e-9 * max(given), given
        for (h0, r0), (h1, r1), (h2, r2) in zip(points, points[1:], points[2:], strict=False):
            turn = (r1 - r0) * (h2 - h1) - (h1 - h0) * (r2 - r1)
            assert turn > -1e-12 * max(given), given


@each
def test_profile_reaches_the_largest_diameter(word):
    for cutter, diameter, *rest in DRAWN[word]():
        widest = max(r for piece in cutter.pieces() for _, r in points_of(piece, 400))
        assert 2.0 * widest <= diameter * (1.0 + 1e-12), (diameter, *rest)
        assert math.isclose(2.0 * float(cutter.profile.largest_radius), diameter, rel_tol=1e-12), (diameter, *rest)


@each
def test_radius_at_a_height_agrees_with_the_pieces(word):
    for cutter, *given in list(DRAWN[word]())[:30]:
        for piece in cutter.pieces():
            for height, radius in points_of(piece, 8):
                if 1e-6 < height < cutter.profile.top - 1e-6:
                    assert math.isclose(cutter.profile.radius_at(height), radius, rel_tol=1e-9), given


@each
def test_copies_are_checked_like_the_first(word):
    for cutter, *_ in list(DRAWN[word]())[:20]:
        assert cutter.with_(teeth=cutter.teeth) == cutter
        assert cutter.with_(teeth=6).profile.top == cutter.profile.top
        with pytest.raises(JobError):
            cutter.with_(
                segment_radius=0.49 * min(cutter.diameter, 2.0 * getattr(cutter, "tip_radius", cutter.diameter))
            )
