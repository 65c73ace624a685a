"""Radii, ways and feeds on a curved surface against a simulated tip and ball centre."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from millcalc.errors import DomainError
from millcalc.formulas.curves import (
    centre_path_radius,
    contact_feed_rate,
    contact_length,
    programmed_feed_rate,
    programmed_length,
    tip_path_radius,
)

BALL = 5.0
RADII = [0.5, 20.0, 300.0, -6.0, -20.0, -300.0]
LEANS = [(0.0, 0.0), (15.0, 0.0), (-15.0, 0.0), (0.0, 20.0), (30.0, -40.0)]


def travel(rho, lead, tilt):
    """Walk over a surface of radius rho along the feed: contact, ball centre and tip at each turn.

    The surface is a cylinder about the y axis; at each contact the axis is leaned about the cross-feed and
    the feed direction as DESIGN.md section 4 says.
    """
    points = []
    for turn in np.radians(np.arange(0.0, 40.0, 0.5)):
        along = turn if rho > 0 else -turn
        outward = np.array([math.sin(along), 0.0, math.cos(along)]) * math.copysign(1.0, rho)
        contact = abs(rho) * np.array([math.sin(along), 0.0, math.cos(along)])
        feed = np.array([math.cos(along), 0.0, -math.sin(along)]) * math.copysign(1.0, rho)
        cross = np.cross(outward, feed)
        axis = Rotation.from_rotvec(math.radians(lead) * cross).apply(outward)
        axis = Rotation.from_rotvec(-math.radians(tilt) * feed).apply(axis)
        centre = contact + BALL * outward
        points.append((contact, centre, centre - BALL * axis))
    return np.array(points).transpose(1, 0, 2)


def radius_of(points):
    """Radius about the y axis, the same at every point of a path."""
    radii = np.hypot(points[:, 0], points[:, 2])
    assert np.ptp(radii) < 1e-12 * max(1.0, radii[0])
    return float(radii[0])


def way(points):
    """Length of a path of equal small turns, corrected from chords to arcs."""
    chords = np.linalg.norm(np.diff(points[:, [0, 2]], axis=0), axis=1)
    half = math.radians(0.25)
    return float(chords.sum() * half / math.sin(half))


@pytest.mark.parametrize("rho", RADII)
@pytest.mark.parametrize(("lead", "tilt"), LEANS)
def test_radii_of_centre_and_tip(rho, lead, tilt):
    _, centre, tip = travel(rho, lead, tilt)
    assert centre_path_radius("10 mm", f"{rho} mm").magnitude == pytest.approx(radius_of(centre), rel=1e-13)
    got = tip_path_radius("10 mm", f"{rho} mm", f"{lead} deg", f"{tilt} deg").magnitude
    assert got == pytest.approx(radius_of(tip), rel=1e-13)


@pytest.mark.parametrize("rho", RADII)
@pytest.mark.parametrize(("lead", "tilt"), LEANS)
def test_ways_and_feeds(rho, lead, tilt):
    """The contact covers a length in the time in which centre or tip covers its own."""
    contact, centre, tip = travel(rho, lead, tilt)
    for path in (centre, tip):
        radius = f"{radius_of(path)!r} mm"
        own, covered = way(path), way(contact)
        surface = f"{rho} mm"
        assert programmed_length(f"{covered!r} mm", radius, surface).magnitude == pytest.approx(own, rel=1e-11)
        assert contact_length(f"{own!r} mm", radius, surface).magnitude == pytest.approx(covered, rel=1e-11)
        minutes = covered / 1000.0  # at 1000 mm/min along the surface
        assert programmed_feed_rate("1000 mm/min", radius, surface).magnitude == pytest.approx(own / minutes, rel=1e-11)
        feed = f"{own / minutes!r} mm/min"
        assert contact_feed_rate(feed, radius, surface).magnitude == pytest.approx(1000, rel=1e-11)


def test_printed_radii():
    # README.md, trap 6 (derived): convex rho + R, concave rho - R
    assert centre_path_radius("10 mm", "20 mm").magnitude == 25
    assert centre_path_radius("10 mm", "-20 mm").magnitude == 15
    # a tip under the contact runs on the surface's radius (derived)
    assert tip_path_radius("10 mm", "20 mm").magnitude == 20
    assert tip_path_radius("10 mm", "-20 mm").magnitude == 20


def test_flat_surfaces():
    for flat in ("inf", "-inf mm"):
        assert centre_path_radius("10 mm", flat).magnitude == math.inf
        assert tip_path_radius("10 mm", flat, "15 deg").magnitude == math.inf
        for formula, value in ((programmed_feed_rate, "1000 mm/min"), (contact_feed_rate, "1000 mm/min")):
            assert formula(value, "inf", flat).magnitude == 1000
        for formula in (programmed_length, contact_length):
            assert formula("80 mm", "inf", flat).magnitude == 80
    assert contact_length("inf mm", "25 mm", "20 mm").magnitude == math.inf


@pytest.mark.parametrize("radius", ["-5 mm", "-4 mm", "0 mm"])
def test_a_surface_the_ball_does_not_fit_is_refused(radius):
    for formula in (centre_path_radius, tip_path_radius):
        with pytest.raises(DomainError, match="surface_radius"):
            formula("10 mm", radius)


def test_a_surface_or_path_without_radius_is_refused():
    for formula, value in (
        (programmed_feed_rate, "1000 mm/min"),
        (contact_feed_rate, "1000 mm/min"),
        (programmed_length, "80 mm"),
        (contact_length, "80 mm"),
    ):
        with pytest.raises(DomainError, match="surface_radius"):
            formula(value, "25 mm", "0 mm")
        with pytest.raises(DomainError, match="path_radius"):
            formula(value, "0 mm", "20 mm")
