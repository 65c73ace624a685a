"""Profiles: what is refused and which piece is named; place, slope, curvature and normal against hand values."""

import math
import pickle

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import millcalc as m
from millcalc.cutters import Arc, Line, Profile
from millcalc.errors import DataError, JobError

CORNER = Profile([Line((0, 0), (0, 4)), Arc((0, 4), (1, 5), (1, 4))])
CONE = Profile([Line((0, 0), (3, 4))], endless=False)


@pytest.mark.parametrize(
    ("pieces", "endless", "where", "reason"),
    [
        ([], True, "pieces", "at least one piece"),
        ([Line((1, 0), (1, 4))], True, "piece 0", "starts at the tip"),
        ([Line((0, 0), (0, 4)), Arc((0, 4.1), (1, 5), (1, 4))], True, "piece 1", "lie 1.00498756 and 1 mm from its"),
        ([Line((0, 0), (0, 4)), Line((0, 4.5), (3, 5))], True, "piece 1", "0.5 mm from the end of piece 0"),
        ([Line((0, 0), (3, 4)), Line((3, 4), (3.5, 5))], True, "piece 1", "the corner with piece 0 points inward"),
        ([Line((0, 0), (0, 0))], True, "piece 0", "no length"),
        ([Line((0, 0), (0, -4))], True, "piece 0", "crosses the axis"),
        ([Arc((0, 0), (5, -5), (5, 0))], True, "piece 0", "runs backward"),
        ([Line((0, 0), (-1, 4))], True, "piece 0", "dips below the tip"),
        ([Line((0, 0), (math.nan, 4))], True, "piece 0", "not finite"),
        ([Line((0, 0), (0, 4)), Line((0, 4), (5, 3))], True, "piece 1", "narrows toward the top"),
        ([Arc((0, 0), (10, 0), (5, 0))], False, "piece 0", "closes over the top"),
    ],
)
def test_a_chain_that_makes_no_tool_names_its_piece(pieces, endless, where, reason):
    with pytest.raises(DataError) as raised:
        Profile(pieces, endless)
    assert any(f.where == where and reason in f.reason for f in raised.value.faults), raised.value.faults


def test_all_faults_are_listed_at_once():
    with pytest.raises(DataError) as raised:
        Profile([Line((0, 0), (0, 0)), Arc((0, 4), (1, 5), (1, 3))])
    assert [f.where for f in raised.value.faults] == ["piece 0", "piece 1"]


def test_values_of_a_rounded_corner():
    # on the corner of 1 mm at height 0.5: radius 4 + sqrt(0.75), normal 60 deg, slope cot(60 deg) (derived)
    assert CORNER.radius_at(0.5) == pytest.approx(4.0 + math.sqrt(0.75), rel=1e-15)
    assert CORNER.normal_at(0.5) == pytest.approx(60.0, rel=1e-14)
    assert CORNER.slope_at(0.5) == pytest.approx(1.0 / math.sqrt(3.0), rel=1e-14)
    assert CORNER.curvature_at(0.5) == 1.0
    assert [CORNER.radius_at(h) for h in (1.0, 7.0)] == [5.0, 5.0]
    assert (CORNER.slope_at(7.0), CORNER.curvature_at(7.0), CORNER.normal_at(7.0)) == (0.0, 0.0, 90.0)
    assert math.isnan(CORNER.radius_at(-0.1))
    assert CORNER.at_normal(math.radians(60.0)) == pytest.approx((0.5, 4.0 + math.sqrt(0.75), 1.0), rel=1e-14)
    assert CORNER.at_normal(0.0)[:2] == (0.0, 0.0)
    assert (CORNER.top, CORNER.largest_radius, CORNER.reference_height) == pytest.approx((1.0, 5.0, 1.0), rel=1e-15)


def test_values_of_a_cone_that_ends():
    # 4 in radius on 3 in height: normal atan(3/4) from straight down (derived)
    assert CONE.radius_at(1.5) == pytest.approx(2.0)
    assert CONE.slope_at(1.5) == pytest.approx(4.0 / 3.0)
    assert CONE.normal_at(1.5) == pytest.approx(math.degrees(math.atan2(3.0, 4.0)))
    assert math.isnan(CONE.radius_at(3.1))
    assert all(math.isnan(v) for v in CONE.at_normal(math.radians(40.0)))
    assert CONE.at_normal(math.radians(20.0))[:2] == (0.0, 0.0)
    assert CONE.at_normal(math.atan2(3.0, 4.0))[:2] == pytest.approx((1.5, 2.0))  # the middle of what touches


def test_profiles_side_by_side_answer_as_each_alone():
    cutters = [m.CornerRadiusEndMill(diameter="10 mm", corner_radius=f"{r} mm", teeth=2) for r in (1, 2, 5)]
    stack = Profile.stack([c.profile for c in cutters])
    psi = math.radians(35.0)
    alone = np.array([c.profile.at_normal(psi) for c in cutters]).T
    assert np.array(stack.at_normal(psi)) == pytest.approx(alone, rel=1e-15)
    with pytest.raises(DataError, match="profiles of one family"):
        Profile.stack([CORNER, CONE])


@given(height=st.floats(0.001, 40.0))
def test_place_by_height_and_by_normal_agree(height):
    profile = m.TaperedBallEndMill(tip_diameter="4 mm", half_angle="4 deg", diameter="10 mm", teeth=3).profile
    psi = math.radians(profile.normal_at(height))
    found = profile.at_normal(psi)
    tangent = 2.0 * (1.0 - math.sin(math.radians(4.0)))
    if height < tangent:
        assert found[:2] == pytest.approx((height, profile.radius_at(height)), abs=1e-9)
    # moved a little up, the radius changes by the slope
    step = 1e-7 * height
    rise = (profile.radius_at(height + step) - profile.radius_at(height - step)) / (2.0 * step)
    assert rise == pytest.approx(profile.slope_at(height), rel=1e-4, abs=1e-6)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: m.CornerRadiusEndMill(diameter="10 mm", corner_radius="5.1 mm", teeth=2), "above 0 up to 5 mm"),
        (lambda: m.RoundInsertCutter(diameter="10 mm", insert_diameter="10.1 mm", teeth=2), "the corners overlap"),
        (
            lambda: m.TaperedBallEndMill(tip_diameter="6 mm", half_angle="10 deg", diameter="5.9 mm", teeth=2),
            "the taper begins at a diameter of 5.90885 mm",
        ),
        (lambda: m.FlatEndMill(diameter="10 mm", teeth=2, flute_length="30 mm", overhang="20 mm"), "longer than the"),
        (
            lambda: m.CornerRadiusEndMill(diameter="10 mm", corner_radius="2 mm", teeth=2, flute_length="1 mm"),
            "flute_length: given 1 mm; the profile of the cutting part reaches up to 2 mm",
        ),
        (lambda: m.FlatEndMill(diameter="-1 mm", teeth=2), "diameter: given '-1 mm'"),
        (
            lambda: m.TaperedBallEndMill(tip_diameter="1 mm", half_angle="90 deg", diameter="5 mm", teeth=2),
            "half_angle",
        ),
    ],
)
def test_sizes_that_make_no_cutter_are_refused(make, words):
    with pytest.raises(JobError) as raised:
        make()
    assert words in str(raised.value)


def test_limits_of_the_families_meet():
    ball = m.BallEndMill(diameter="10 mm", teeth=2).profile
    corner = m.CornerRadiusEndMill(diameter="10 mm", corner_radius="5 mm", teeth=2).profile
    insert = m.RoundInsertCutter(diameter="10 mm", insert_diameter="10 mm", teeth=2).profile
    heights = np.linspace(0.0, 8.0, 41)
    for other in (corner, insert):
        assert other.radius_at(heights) == pytest.approx(ball.radius_at(heights), abs=1e-12)


def test_cutters_are_equal_hashable_and_pickled_and_change_with_their_fields():
    cutter = m.TaperedBallEndMill(tip_diameter="2 mm", half_angle="5 deg", diameter="10 mm", teeth=3)
    cutter.profile  # noqa: B018  # kept once it was asked for
    again = pickle.loads(pickle.dumps(cutter))
    assert again == cutter
    assert hash(again) == hash(cutter)
    wider = cutter.with_(diameter="12 mm")
    assert wider.profile.largest_radius == 6.0
    assert cutter.profile.largest_radius == 5.0
