"""The taper barrel: its definition, the forms it turns into at its limits, and its faults."""

import math

import pytest
from shapes import limit_in, mm, oval, ovals, points_of, refusal, taper_barrel, taper_barrels

from millcalc.cutters import TaperedBallEndMill


def test_middle_and_chord_of_the_segment_lean_by_the_half_angle():
    for cutter, _, _, half_angle, _ in taper_barrels():
        _, side = cutter.pieces()
        (h0, r0), (h1, r1) = side.start, side.end
        assert math.degrees(math.atan2(r1 - r0, h1 - h0)) == pytest.approx(half_angle, abs=1e-9)
        (_, _), (hm, rm), (_, _) = points_of(side, 2)
        arm = (hm - side.centre[0], rm - side.centre[1])
        assert math.degrees(math.atan2(-arm[0], arm[1])) == pytest.approx(half_angle, abs=1e-9)


def test_tip_and_segment_and_largest_diameter():
    for cutter, diameter, tip, _, segment in taper_barrels():
        ball, side = cutter.pieces()
        assert ball.centre == (tip, 0.0)
        assert math.isclose(side.radius, segment, rel_tol=1e-12)
        assert side.end[1] == 0.5 * diameter
        assert cutter.profile.radius_at(2.0 * side.end[0]) == pytest.approx(0.5 * diameter, rel=1e-12)


def test_worked_by_hand():
    """Derived: normals at 30 and 70 deg from straight down make a half angle of 40 deg."""
    tip, segment, low, high = 1.0, 11.0, math.radians(30.0), math.radians(70.0)
    half = segment * math.sin(high) - 10.0 * 0.5
    ball, side = taper_barrel(2.0 * half, tip, 40.0, segment).pieces()
    assert ball.end == pytest.approx((1.0 - math.cos(low), 0.5), abs=1e-12)
    assert side.centre == pytest.approx((1.0 + 10.0 * math.cos(low), -5.0), abs=1e-12)
    assert side.end == pytest.approx((1.0 + 10.0 * math.cos(low) - 11.0 * math.cos(high), half), abs=1e-12)


def test_least_segment_is_the_oval_form():
    """Derived: the segment that ends tangent to the cylinder is the oval's, and halving its arc gives the angle."""
    for cutter, diameter, tip, segment in ovals():
        lower = math.asin((segment - 0.5 * diameter) / (segment - tip))
        half_angle = 45.0 - math.degrees(0.5 * lower)
        where, _, _, accepted = refusal(taper_barrel, diameter, tip, half_angle, 0.999 * segment)
        assert where == "segment_radius"
        assert limit_in(accepted, "from") == pytest.approx(segment, abs=1.1e-4)
        same = taper_barrel(diameter, tip, half_angle, segment * (1.0 + 1e-9))
        assert same.pieces()[1].centre == pytest.approx(cutter.pieces()[1].centre, rel=1e-6, abs=1e-6)


def test_the_least_segment_printed_is_accepted():
    for values in ((16.0, 3.0, 20.0), (12.0, 2.0, 30.0), (10.0, 0.5, 7.0)):
        limit = limit_in(refusal(taper_barrel, *values, 4.0)[3], "from")
        taper_barrel(*values, limit)
        assert refusal(taper_barrel, *values, limit - 1e-4)[0] == "segment_radius"
    assert limit_in(refusal(taper_barrel, 12.0, 2.0, 30.0, 4.0)[3], "from") == 10.0  # 2 + (6 - 2) / (2 sin^2)


def test_flat_segment_gives_the_tapered_ball():
    """Derived: as the segment radius grows the side becomes the straight taper of the built-in family."""
    cone = TaperedBallEndMill(diameter="10 mm", tip_diameter="4 mm", half_angle="8 deg", teeth=3)
    cutter = taper_barrel(10.0, 2.0, 8.0, 1e6)
    for height in (0.1, 1.0, 3.0, 10.0, 20.0, 30.0):
        assert cutter.profile.radius_at(height) == pytest.approx(cone.profile.radius_at(height), abs=5e-4)
    assert float(cutter.profile.top) == pytest.approx(float(cone.profile.top), abs=5e-3)


def test_segment_near_the_tip_radius_gives_the_ball():
    for half_angle in (5.0, 25.0, 60.0):
        diameter = 4.0 * math.cos(math.radians(0.5 * half_angle))  # between the tip's tangent and the whole ball
        cutter = taper_barrel(diameter, 2.0, half_angle, 2.0 * (1.0 + 1e-8))
        for share in (0.01, 0.3, 0.7, 0.99):
            height = share * float(cutter.profile.top)
            assert cutter.profile.radius_at(height) == pytest.approx(math.sqrt(height * (4.0 - height)), abs=1e-6)


@pytest.mark.parametrize(
    ("values", "where", "given", "accepted", "reason"),
    [
        ((3.9, 2.0, 10.0, 80.0), "diameter", "3.9 mm", "above 3.9393 mm", "no segment is left"),
        ((4.0, 2.0, 10.0, 2.0), "segment_radius", "2 mm", "above 2 mm", "no flatter than the tip"),
        ((12.0, 2.0, 10.0, 1.0), "segment_radius", "1 mm", "from 68.3269 mm", "no flatter than the tip"),
        ((12.0, 2.0, 10.0, 60.0), "segment_radius", "60 mm", "from 68.3269 mm", "widest below its upper end"),
        ((12.0, 2.0, 60.0, 6.5), "segment_radius", "6.5 mm", "above 6.9283 mm", "reaches the axis"),
        ((12.0, 2.0, 60.0, 1.5), "segment_radius", "1.5 mm", "above 6.9283 mm", "no flatter than the tip"),
        ((12.0, 2.0, 45.0, 6.0), "segment_radius", "6 mm", "above 6 mm", "reaches the axis"),
    ],
)
def test_faults(values, where, given, accepted, reason):
    found = refusal(taper_barrel, *values)
    assert (found[0], found[1], found[3]) == (where, given, accepted)
    assert reason in found[2]


@pytest.mark.parametrize("half_angle", ["0 deg", "90 deg", "-5 deg"])
def test_half_angle_lies_between_0_and_90(half_angle):
    def make():
        return taper_barrel(12.0, 2.0, 30.0, 80.0).with_(half_angle=half_angle)

    where, _, _, accepted = refusal(make)
    assert (where, "above 0 below 90 deg" in accepted) == ("half_angle", True)


def test_an_oval_has_the_same_largest_diameter_as_its_taper_barrel():
    assert oval(12.0, 2.0, 80.0).diameter == taper_barrel(12.0, 2.0, 10.0, 80.0).diameter
    assert taper_barrel(12.0, 2.0, 10.0, 80.0).with_(tip_radius=mm(1.9)).tip_radius.m_as("mm") == 1.9
