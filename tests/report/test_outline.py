"""Outlines of leaned cutters: against the cutter's own rings laid round its axis, and against the engine's stepover."""

import numpy as np
import pytest

import millcalc as m
from millcalc.cutters.cap import turned_aside
from millcalc.report.outline import View, cutting_body, flank, tool_bodies

FLAT = m.FlatEndMill(diameter="10 mm", teeth=4)
BALL = m.BallEndMill(diameter="10 mm", teeth=2)
CORNER = m.CornerRadiusEndMill(diameter="10 mm", corner_radius="1.5 mm", teeth=4)
TAPERED = m.TaperedBallEndMill(tip_diameter="2 mm", half_angle="5 deg", diameter="6 mm", teeth=3)
LENS = m.family("lens")(diameter="8 mm", segment_radius="25 mm", corner_radius="1 mm", teeth=4)
BARREL = m.family("taper barrel")(
    diameter="16 mm", tip_radius="3 mm", segment_radius="250 mm", half_angle="20 deg", teeth=2
)
CUTTERS = [FLAT, BALL, CORNER, TAPERED, LENS, BARREL]
LEANS = [(0.0, 0.0), (15.0, 0.0), (0.0, -20.0), (5.0, 10.0), (-3.0, 68.0), (80.0, 0.001)]


def views(cutter, lead, tilt):
    """Both views, each with the picture plane's sideways direction along feed, across and normal."""
    contact = cutter.contact.bare(lead, tilt)
    return [
        (View.along(lead, tilt, (contact[4], contact[5])), (0.0, 1.0)),
        (View.aside(lead, tilt, (contact[3], contact[5])), (1.0, 0.0)),
    ]


def rings_laid_round(cutter, length, lead, tilt):
    """Points of the closed tool's surface from its tip, along feed, across and normal; nothing of the outline's."""
    top = float(cutter.profile.top)
    heights = np.append(top * np.linspace(0.0, 1.0, 400) ** 2, length)
    radii = cutter.profile.radius_at(heights)
    lead, tilt = np.radians([lead, tilt])
    axis = np.array([np.sin(lead), np.cos(lead) * np.sin(tilt), np.cos(lead) * np.cos(tilt)])
    first = np.cross(axis, [0.3, 0.5, -0.8])
    first /= np.linalg.norm(first)
    second = np.cross(axis, first)
    turn = np.linspace(0.0, 2.0 * np.pi, 361)[:, None]
    around = np.cos(turn) * first + np.sin(turn) * second
    return (heights[:, None, None] * axis + radii[:, None, None] * around).reshape(-1, 3)


@pytest.mark.parametrize("cutter", CUTTERS, ids=lambda c: c.family)
@pytest.mark.parametrize(("lead", "tilt"), LEANS)
def test_an_outline_reaches_as_far_as_the_rings_in_every_direction(cutter, lead, tilt):
    length = float(cutter.profile.top) + 7.0
    points = rings_laid_round(cutter, length, lead, tilt)
    for view, (feed, across) in views(cutter, lead, tilt):
        sideways, up = view.outline(cutting_body(cutter, length))
        seen = feed * points[:, 0] + across * points[:, 1]
        for angle in np.radians(np.arange(0.0, 360.0, 9.0)):
            toward = np.cos(angle), np.sin(angle)
            far = np.max(toward[0] * (seen + view.tip[0]) + toward[1] * (points[:, 2] + view.tip[1]))
            assert np.max(toward[0] * sideways + toward[1] * up) == pytest.approx(far, abs=3e-3)


@pytest.mark.parametrize("cutter", CUTTERS, ids=lambda c: c.family)
@pytest.mark.parametrize(("lead", "tilt"), LEANS)
def test_the_contact_is_lowest_and_the_flanks_stand_apart_as_passes_that_meet_there(cutter, lead, tilt):
    """Passes meet where both flanks of one are a stepover apart, which the engine tells for the height."""
    for (view, _), lean in zip(views(cutter, lead, tilt), [(lead, tilt), turned_aside(lead, tilt)], strict=True):
        outline = view.outline(cutting_body(cutter, 1e4))
        assert np.min(outline[1]) == pytest.approx(0.0, abs=1e-9)
        for height in (0.05, 0.4, 1.1):
            (right, low), (left, high) = (flank(outline, height, side) for side in (-1.0, 1.0))
            assert left[-1] - right[-1] == pytest.approx(cutter.stepover.bare(1e3 * height, *lean), rel=1e-3)
            for up in (low, high):
                assert up[-1] == height
                assert np.all(np.diff(up) >= -1e-12)


@pytest.mark.parametrize("cutter", CUTTERS, ids=lambda c: c.family)
def test_upright_the_outline_is_the_profile_mirrored(cutter):
    sideways, up = View().outline(cutting_body(cutter, 20.0))
    np.testing.assert_allclose(sideways, -sideways[::-1], atol=1e-12)
    np.testing.assert_allclose(up, up[::-1], atol=1e-12)
    inside = (up > 1e-9) & (up < float(cutter.profile.top) * (1.0 - 1e-9))
    np.testing.assert_allclose(np.abs(sideways[inside]), cutter.profile.radius_at(up[inside]), atol=1e-9)
    assert sideways.max() == pytest.approx(float(cutter.profile.largest_radius))
    assert up.max() == pytest.approx(max(20.0, float(cutter.profile.top)))


def ends(**more):
    return [body[-1][:2] for body in tool_bodies(m.BallEndMill(diameter="10 mm", teeth=2, **more))]


def test_the_bodies_reach_as_far_as_stated():
    assert ends() == [(5.0, 12.5)]
    assert ends(overhang="30 mm") == [(5.0, 30.0)]
    assert ends(flute_length="15 mm") == [(5.0, 15.0), (5.0, 22.5)]
    assert ends(flute_length="15 mm", overhang="15 mm") == [(5.0, 15.0)]
    assert ends(flute_length="15 mm", overhang="30 mm", shank_diameter="12 mm") == [(5.0, 15.0), (6.0, 30.0)]
    assert ends(shank_diameter="6 mm") == [(5.0, 5.0), (3.0, 12.5)]
    assert ends(overhang="2 mm") == [(5.0, 5.0)]


def test_the_axis_runs_through_the_tip():
    view = View.along(15.0, 30.0, (1.0, 2.0))
    sideways, up = view.axis(0.0, 10.0)
    assert (sideways[0], up[0]) == (1.0, 2.0)
    lead, tilt = np.radians([15.0, 30.0])
    assert sideways[1] - 1.0 == pytest.approx(10.0 * np.cos(lead) * np.sin(tilt))
    assert up[1] - 2.0 == pytest.approx(10.0 * np.cos(lead) * np.cos(tilt))
