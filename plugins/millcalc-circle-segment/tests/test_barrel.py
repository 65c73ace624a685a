"""The barrel form: where its largest diameter lies, its limits and its faults."""

import math
import random

import pytest
from millcalc_circle_segment import BarrelEndMill
from shapes import barrel, barrels, limit_in, longest_barrel, refusal

from millcalc.errors import JobError


def test_segment_is_symmetric_about_the_largest_diameter():
    """By definition: both its ends are equally wide, and the widest place lies halfway between them."""
    for cutter, *given in barrels():
        *_, corner, segment = cutter.pieces()
        assert math.isclose(segment.start[1], segment.end[1], rel_tol=1e-12), given
        height, radius, bend = cutter.profile.at_normal(0.5 * math.pi)
        assert math.isclose(height, 0.5 * (segment.start[0] + segment.end[0]), rel_tol=1e-11), given
        assert math.isclose(2.0 * radius, given[0], rel_tol=1e-12), given
        assert math.isclose(bend, given[2], rel_tol=1e-12), given
        assert math.isclose(corner.radius, given[1], rel_tol=1e-9), given


def test_cutting_part_ends_at_the_flute_length():
    for cutter, *given in barrels():
        top = given[3]
        assert math.isclose(float(cutter.profile.top), top, rel_tol=1e-12)
        assert math.isnan(cutter.profile.radius_at(top * 1.001))
        assert cutter.profile.slope_at(top * (1.0 - 1e-9)) < 0.0


def test_worked_by_hand():
    """Derived: R 5, r 1, S 13, L 6 give k = 5 / 25, and the normal of the joint the 0.2, sqrt(0.96) direction."""
    cutter = barrel(10.0, 1.0, 13.0, 6.0)
    flat = 5.0 - 1.0 - 12.0 * (1.0 - math.sqrt(0.96))
    bottom, corner, segment = cutter.pieces()
    assert bottom.end == pytest.approx((0.0, flat), abs=1e-12)
    assert corner.end == pytest.approx((0.8, flat + math.sqrt(0.96)), abs=1e-12)
    assert segment.centre == pytest.approx((3.4, -8.0), abs=1e-12)
    assert segment.end == pytest.approx((6.0, flat + math.sqrt(0.96)), abs=1e-12)


def test_flat_segment_gives_a_cylinder_with_a_corner():
    """Derived: as the segment radius grows the sides straighten, by no more than the rise of the arc."""
    cutter = barrel(10.0, 2.0, 1e6, 20.0)
    for height in (0.1, 0.5, 1.0, 1.9):
        expected = 3.0 + math.sqrt(4.0 - (2.0 - height) ** 2)
        assert cutter.profile.radius_at(height) == pytest.approx(expected, abs=1e-4)
    for height in (2.0, 5.0, 11.0, 20.0):
        assert cutter.profile.radius_at(height) == pytest.approx(5.0, abs=1e-4)


def test_segment_of_nearly_half_the_diameter_gives_a_ball_above_the_corner():
    """Derived: its centre then lies on the axis, at the height of the largest diameter."""
    cutter = barrel(10.0, 1.0, 5.0 * (1.0 + 1e-8), 7.0)
    middle = 1.0 + 4.0 * 6.0 / 9.0
    for height in (1.0, 2.0, middle, 5.0, 6.9):
        expected = math.sqrt(25.0 - (height - middle) ** 2)
        assert cutter.profile.radius_at(height) == pytest.approx(expected, abs=1e-6)


def test_longest_flutes_leave_no_flat():
    """The closed form of the limit against one found by halving."""
    draw = random.Random(7)
    for _ in range(100):
        diameter, share = draw.uniform(2.0, 25.0), draw.uniform(0.05, 0.9)
        corner, segment = 0.5 * diameter * share, 0.5 * diameter * draw.uniform(1.05, 40.0)
        longest = longest_barrel(diameter, corner, segment)
        where, _, reason, accepted = refusal(barrel, diameter, corner, segment, 1.01 * longest)
        assert (where, "across the axis" in reason) == ("flute_length", True)
        limit = limit_in(accepted, "up to")
        assert 0.0 <= longest - limit <= 1.001e-4
        accepted_cutter = barrel(diameter, corner, segment, limit)
        assert accepted_cutter.pieces()[-2].start[1] < 0.02 * diameter
        assert refusal(barrel, diameter, corner, segment, longest + 1e-4)[0] == "flute_length"


def test_no_flat_at_the_very_limit():
    """Derived: R 5, r 1, S 9 and room 1/2 give L = 1 + 17 sqrt(3) / 2, where the corner begins at the tip."""
    cutter = barrel(10.0, 1.0, 9.0, 1.0 + 17.0 * math.sqrt(3.0) / 2.0)
    corner, segment = cutter.pieces()
    assert corner.start == pytest.approx((0.0, 0.0), abs=1e-12)
    assert segment.start == pytest.approx((1.0 - math.sqrt(3.0) / 2.0, 0.5), abs=1e-12)


@pytest.mark.parametrize(
    ("values", "where", "given", "accepted", "reason"),
    [
        ((10.0, 1.0, 5.0, 8.0), "segment_radius", "5 mm", "above 5 mm", "ball nose"),
        ((10.0, 1.0, 4.0, 8.0), "segment_radius", "4 mm", "above 5 mm", "does not reach"),
        ((10.0, 5.0, 80.0, 8.0), "corner_radius", "5 mm", "below 5 mm", "no segment is left"),
        ((10.0, 6.0, 80.0, 8.0), "corner_radius", "6 mm", "below 5 mm", "no segment is left"),
        ((10.0, 2.0, 80.0, 2.0), "flute_length", "2 mm", "above 2 mm, up to 45.3979 mm", "begins above the corner"),
        ((10.0, 2.0, 80.0, 46.0), "flute_length", "46 mm", "above 2 mm, up to 45.3979 mm", "across the axis"),
        ((10.0, 2.0, 80.0, 200.0), "flute_length", "200 mm", "above 2 mm, up to 45.3979 mm", "across the axis"),
    ],
)
def test_faults(values, where, given, accepted, reason):
    found = refusal(barrel, *values)
    assert (found[0], found[1], found[3]) == (where, given, accepted)
    assert reason in found[2]


def test_flute_length_is_required():
    with pytest.raises(JobError, match="flute_length: it is missing"):
        BarrelEndMill(diameter="10 mm", corner_radius="1 mm", segment_radius="85 mm", teeth=4)


def test_several_faults_are_listed_together():
    with pytest.raises(JobError) as caught:
        barrel(10.0, 6.0, 4.0, 8.0)
    assert [f.where for f in caught.value.faults] == ["segment_radius", "corner_radius"]


def test_flutes_longer_than_the_overhang_are_refused():
    with pytest.raises(JobError, match="longer than the overhang"):
        barrel(10.0, 1.0, 80.0, 12.0).with_(overhang="10 mm")
