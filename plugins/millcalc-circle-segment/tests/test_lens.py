"""The lens form: a published-table value, its limits and its faults."""

import math

import pytest
from shapes import lens, lenses, refusal


def test_derived_value():
    """Derived from first principles and verified numerically (the project's table of exact values), printed digits."""
    bottom, corner = lens(12.0, 25.0, 1.0).pieces()
    assert corner.centre[1] == pytest.approx(5.0, abs=1e-12)
    assert corner.centre[0] == pytest.approx(1.526611, abs=0.5e-6)
    assert bottom.end[1] == pytest.approx(5.208333, abs=0.5e-6)
    assert bottom.end[0] == pytest.approx(0.548553, abs=0.5e-6)


def test_bottom_and_corner_and_cylinder():
    for cutter, diameter, segment, corner in lenses():
        bottom, *rounding = cutter.pieces()
        assert bottom.centre == (segment, 0.0)
        if corner:
            (rim,) = rounding
            assert math.isclose(rim.radius, corner, rel_tol=1e-9)
            assert rim.end == (rim.centre[0], 0.5 * diameter)
        else:
            assert not rounding
            assert bottom.end[1] == pytest.approx(0.5 * diameter, rel=1e-12)
        above = 2.0 * float(cutter.profile.top)
        assert cutter.profile.radius_at(above) == pytest.approx(0.5 * diameter, rel=1e-12)


def test_no_corner_is_a_sharp_edge():
    """Derived: the rim stands S - sqrt(S^2 - R^2) above the tip, with the bottom's slope below and none above."""
    sharp = lens(12.0, 25.0)
    assert sharp.pieces() == lens(12.0, 25.0, 0.0).pieces()
    assert float(sharp.profile.top) == pytest.approx(25.0 - math.sqrt(25.0**2 - 6.0**2), abs=1e-12)
    assert sharp.corner_radius is None


def test_small_corner_nears_the_sharp_edge():
    sharp, rounded = lens(12.0, 25.0), lens(12.0, 25.0, 1e-5)
    for height in (0.01, 0.2, 0.5, 0.7, 1.0):
        assert rounded.profile.radius_at(height) == pytest.approx(sharp.profile.radius_at(height), abs=1e-4)


@pytest.mark.parametrize("corner", [None, 0.5, 3.0, 4.99])
def test_segment_of_nearly_half_the_diameter_gives_the_ball(corner):
    cutter = lens(10.0, 5.0 * (1.0 + 2e-9), corner)
    for height in (0.01, 0.1, 1.0, 2.5, 4.9):
        assert cutter.profile.radius_at(height) == pytest.approx(math.sqrt(height * (10.0 - height)), abs=1e-4)


def test_corner_of_nearly_half_the_diameter_gives_the_ball():
    cutter = lens(10.0, 40.0, 5.0 * (1.0 - 1e-8))
    for height in (0.01, 0.1, 1.0, 2.5, 4.9):
        assert cutter.profile.radius_at(height) == pytest.approx(math.sqrt(height * (10.0 - height)), abs=1e-6)


def test_flat_segment_gives_a_flat_end_with_a_corner():
    cutter = lens(10.0, 1e6, 1.0)
    for height in (0.01, 0.1, 0.5, 0.9, 1.1, 3.0):
        rise = 1.0 - min(height, 1.0)
        assert cutter.profile.radius_at(height) == pytest.approx(4.0 + math.sqrt(1.0 - rise * rise), abs=2e-4)


@pytest.mark.parametrize(
    ("values", "where", "given", "accepted", "reason"),
    [
        ((12.0, 6.0, 1.0), "segment_radius", "6 mm", "above 6 mm", "ball nose"),
        ((12.0, 5.0, None), "segment_radius", "5 mm", "above 6 mm", "does not reach"),
        ((12.0, 25.0, 6.0), "corner_radius", "6 mm", "below 6 mm", "no segment is left"),
        ((12.0, 25.0, 30.0), "corner_radius", "30 mm", "below 6 mm", "no segment is left"),
    ],
)
def test_faults(values, where, given, accepted, reason):
    found = refusal(lens, *values)
    assert (found[0], found[1], found[3]) == (where, given, accepted)
    assert reason in found[2]


def test_a_negative_corner_is_refused():
    assert refusal(lens, 12.0, 25.0, -1.0)[0] == "corner_radius"
