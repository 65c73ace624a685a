"""Lean of the axis against rotation matrices and vectors.

Conventions: DESIGN.md section 4.  F feed, N outward normal, C = N x F; lead is turned first, about the
cross-feed direction, then tilt about the feed direction; lead > 0 toward F, tilt > 0 toward C.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from millcalc.errors import DomainError
from millcalc.formulas.lean import fixed_axis_lead, fixed_axis_tilt, inclination

F, C, N = np.eye(3)  # columns of the local frame: feed, cross-feed, normal
LEADS = [-80.0, -15.0, 0.0, 10.0, 45.0, 89.0]
TILTS = [-170.0, -60.0, -15.0, 0.0, 10.0, 89.0, 150.0]


def axis(lead, tilt):
    """Turn an axis that stands on the surface: about C toward F, then about F toward C."""
    leaned = Rotation.from_rotvec(math.radians(lead) * C).apply(N)
    return Rotation.from_rotvec(-math.radians(tilt) * F).apply(leaned)


def test_the_frame():
    np.testing.assert_allclose(np.cross(N, F), C)
    assert axis(10, 0) @ F > 0
    assert axis(0, 10) @ C > 0
    # DESIGN.md section 4: T = sin(lead) F + cos(lead) sin(tilt) C + cos(lead) cos(tilt) N
    lead, tilt = math.radians(20), math.radians(30)
    expected = [math.sin(lead), math.cos(lead) * math.sin(tilt), math.cos(lead) * math.cos(tilt)]
    np.testing.assert_allclose(axis(20, 30), expected, rtol=1e-14)


@pytest.mark.parametrize("lead", LEADS)
@pytest.mark.parametrize("tilt", TILTS)
def test_inclination_is_the_angle_between_axis_and_normal(lead, tilt):
    leaned = axis(lead, tilt)
    expected = math.degrees(math.atan2(np.linalg.norm(np.cross(leaned, N)), leaned @ N))
    assert inclination(f"{lead} deg", f"{tilt} deg").magnitude == pytest.approx(expected, rel=1e-13, abs=1e-13)


def test_small_inclinations_keep_their_digits():
    # two small turns about square axes add like the sides of a right triangle (derived)
    assert inclination("3e-9 deg", "4e-9 deg").magnitude == pytest.approx(5e-9, rel=1e-12)
    assert inclination("0 deg", "0 deg").magnitude == 0.0


def slope_frame(slope, heading):
    """Feed, cross-feed and normal on a slope, in x toward its foot, y to the right seen uphill, z up.

    x, y, z is right-handed: who looks uphill, along -x, has +y on the right hand.
    """
    tilt_down = Rotation.from_rotvec(math.radians(slope) * np.array([0.0, 1.0, 0.0]))
    normal = tilt_down.apply([0.0, 0.0, 1.0])  # leans toward the foot
    uphill = tilt_down.apply([-1.0, 0.0, 0.0])
    along = np.array([0.0, 1.0, 0.0])
    feed = math.cos(math.radians(heading)) * along + math.sin(math.radians(heading)) * uphill
    return feed, np.cross(normal, feed), normal


def test_the_slope_frame():
    feed, cross, normal = slope_frame(30, 0)
    np.testing.assert_allclose(normal, [0.5, 0, math.sqrt(0.75)], atol=1e-15)
    # heading 0: along the slope with the hill on the left
    assert cross[0] < 0
    assert cross[2] > 0
    assert slope_frame(30, 90)[0][2] > 0  # 90 uphill
    assert slope_frame(30, 270)[0][2] < 0  # 270 downhill
    for vector in (feed, cross, normal):
        assert np.linalg.norm(vector) == pytest.approx(1)


AXES = [(0.0, 0.0, 1.0), (0.3, -0.2, 1.0), (-1.0, 0.5, 2.0), (0.0, 1.0, 0.1), (1.0, 0.0, 0.0)]


@pytest.mark.parametrize("vector", AXES)
@pytest.mark.parametrize("slope", [0.0, 20.0, 55.0, 90.0])
@pytest.mark.parametrize("heading", [-30.0, 0.0, 45.0, 90.0, 180.0, 270.0, 333.0])
def test_lead_and_tilt_turn_the_normal_into_the_axis(vector, slope, heading):
    """Put back into the rotations in the slope's own frame they give the axis again."""
    arguments = (f"{slope} deg", f"{heading} deg", *vector)
    lead, tilt = (f(*arguments).magnitude for f in (fixed_axis_lead, fixed_axis_tilt))
    frame = np.column_stack(slope_frame(slope, heading))
    expected = np.array(vector) / np.linalg.norm(vector)
    # the arcsine of the lead keeps half the digits near a right angle
    np.testing.assert_allclose(frame @ axis(lead, tilt), expected, atol=5e-8 if abs(lead) > 89 else 1e-13)


@pytest.mark.parametrize(
    ("heading", "lead", "tilt"),
    # a vertical axis on a slope of 30 deg (derived by looking at it): uphill the axis leans ahead, along the
    # slope it leans to the hill, left or right of the feed
    [("0 deg", 0.0, 30.0), ("90 deg", 30.0, 0.0), ("180 deg", 0.0, -30.0), ("270 deg", -30.0, 0.0)],
)
def test_a_vertical_axis(heading, lead, tilt):
    assert fixed_axis_lead("30 deg", heading).magnitude == pytest.approx(lead, abs=1e-13)
    assert fixed_axis_tilt("30 deg", heading).magnitude == pytest.approx(tilt, abs=1e-13)


def test_a_vertical_axis_is_inclined_by_the_slope_whatever_the_heading():
    for heading in range(0, 360, 15):
        lead = fixed_axis_lead("35 deg", f"{heading} deg")
        tilt = fixed_axis_tilt("35 deg", f"{heading} deg")
        assert inclination(lead, tilt).magnitude == pytest.approx(35, rel=1e-13)


def test_the_length_of_the_axis_vector_does_not_matter():
    short = fixed_axis_lead("20 deg", "50 deg", 0.1, 0.2, 0.3)
    assert fixed_axis_lead("20 deg", "50 deg", 10, 20, 30).magnitude == pytest.approx(short.magnitude, rel=1e-14)


def test_an_axis_along_the_feed_and_no_axis():
    assert fixed_axis_lead("90 deg", "90 deg").magnitude == pytest.approx(90, rel=1e-7)
    for formula in (fixed_axis_lead, fixed_axis_tilt):
        with pytest.raises(DomainError, match="axis_up"):
            formula("20 deg", "0 deg", 0, 0, 0)
        with pytest.raises(DomainError, match="slope"):
            formula("91 deg", "0 deg")
