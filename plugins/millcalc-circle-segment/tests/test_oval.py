"""The oval form: a published-table value, its limits and its faults."""

import math

import pytest
from shapes import mm, oval, ovals, refusal

from millcalc.errors import JobError


def test_derived_value():
    """Derived from first principles and verified numerically (the project's table of exact values), printed digits."""
    tip, segment = oval(12.0, 2.0, 80.0).pieces()
    assert segment.centre[1] == pytest.approx(-74.0, abs=1e-12)
    assert segment.centre[0] == pytest.approx(26.65766, abs=0.5e-5)
    assert tip.end[1] == pytest.approx(1.89744, abs=0.5e-5)
    assert tip.end[0] == pytest.approx(1.36775, abs=0.5e-5)


def test_tip_and_segment_and_cylinder():
    for cutter, diameter, tip, segment in ovals():
        ball, side = cutter.pieces()
        assert ball.centre == (tip, 0.0)
        assert math.isclose(side.radius, segment, rel_tol=1e-12)
        assert math.isclose(side.centre[1], 0.5 * diameter - segment, rel_tol=1e-12, abs_tol=1e-12)
        assert side.end == (side.centre[0], 0.5 * diameter)
        assert cutter.profile.radius_at(10.0 * side.end[0]) == pytest.approx(0.5 * diameter, rel=1e-12)


def test_segment_of_nearly_half_the_diameter_gives_the_ball():
    cutter = oval(10.0, 2.0, 5.0 * (1.0 + 1e-8))
    for height in (0.01, 0.1, 1.0, 2.5, 4.9, 5.0):
        expected = math.sqrt(height * (10.0 - height))
        assert cutter.profile.radius_at(height) == pytest.approx(expected, abs=1e-6)


def test_segment_and_half_the_diameter_near_the_tip_radius_give_the_ball():
    cutter = oval(10.0, 5.0 * (1.0 - 1e-8), 5.0 * (1.0 + 1e-8))
    for height in (0.01, 0.1, 1.0, 2.5, 4.9, 5.0):
        expected = math.sqrt(height * (10.0 - height))
        assert cutter.profile.radius_at(height) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    ("values", "where", "given", "accepted", "reason"),
    [
        ((12.0, 2.0, 6.0), "segment_radius", "6 mm", "above 6 mm", "ball nose"),
        ((12.0, 2.0, 3.0), "segment_radius", "3 mm", "above 6 mm", "does not reach"),
        ((12.0, 6.0, 80.0), "tip_radius", "6 mm", "below 6 mm", "no segment is left"),
        ((12.0, 7.0, 80.0), "tip_radius", "7 mm", "below 6 mm", "no segment is left"),
    ],
)
def test_faults(values, where, given, accepted, reason):
    found = refusal(oval, *values)
    assert (found[0], found[1], found[3]) == (where, given, accepted)
    assert reason in found[2]


def test_flutes_must_reach_the_cylinder():
    with pytest.raises(JobError, match=r"flute_length: given 26 mm; .* up to 26\.6577 mm"):
        oval(12.0, 2.0, 80.0).with_(flute_length="26 mm")
    assert oval(12.0, 2.0, 80.0).with_(flute_length=mm(26.7)).flute_length.m_as("mm") == 26.7


def test_a_bare_number_is_refused():
    with pytest.raises(JobError, match="segment_radius"):
        oval(12.0, 2.0, 80.0).with_(segment_radius=80.0)
