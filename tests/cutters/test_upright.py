"""The upright axis in closed form against the engine that searches, and against strips summed height by height."""

from __future__ import annotations

import math

import numpy as np
import pytest

from millcalc import BallEndMill, CornerRadiusEndMill, FlatEndMill, RoundInsertCutter, TaperedBallEndMill
from millcalc.cutters import region, upright
from millcalc.cutters.profile import Arc, Line, Profile

CUTTERS = {
    "flat": FlatEndMill(diameter="10 mm", teeth=2),
    "ball": BallEndMill(diameter="10 mm", teeth=2),
    "corner radius": CornerRadiusEndMill(diameter="10 mm", teeth=2, corner_radius="1 mm"),
    "tapered ball": TaperedBallEndMill(tip_diameter="4 mm", half_angle="5 deg", diameter="8 mm", teeth=2),
    "round insert": RoundInsertCutter(diameter="20 mm", insert_diameter="8 mm", teeth=2),
}
DEPTH = np.array([0.05, 0.3, 1.0, 3.0, 7.0])[:, None]
WIDTH = np.array([0.05, 0.3, 1.0, 3.0, 4.9, 7.0, 9.0, 12.0, 50.0, np.inf])[None]


@pytest.fixture
def searching(monkeypatch):
    """The engine without its closed forms for an upright axis."""
    monkeypatch.setattr(region.upright, "applies", lambda *_: False)


@pytest.mark.usefixtures("searching")
@pytest.mark.parametrize("name", CUTTERS)
def test_the_engine_finds_the_same(name):
    profile = CUTTERS[name].profile
    chip = region.chip_reach(profile, DEPTH, 0.0, 0.0, WIDTH, 0.0)
    assert upright.chip_reach(profile, DEPTH, WIDTH) == pytest.approx(chip, rel=1e-9)
    # the engine's own mean is good to about 3e-4
    mean = region.mean_reach(profile, DEPTH, 0.0, 0.0, WIDTH, 0.0)
    assert upright.mean_reach(profile, DEPTH, WIDTH) == pytest.approx(mean, rel=4e-4)
    least, largest = region.cutting_radii(profile, DEPTH, 0.0, 0.0, WIDTH, 0.0)
    assert upright.largest_radius(profile, DEPTH) + 0.0 * np.isfinite(WIDTH) == pytest.approx(largest, abs=1e-12)
    assert not np.any(least)


def stripped(radius, depth, width, count=400_000):
    """Largest and mean component along the feed, from strips of the outline between level planes."""
    height = depth * ((np.arange(count + 1)) / count) ** 2
    rim = radius(height)
    mean = 0.5 * (rim[1:] + rim[:-1])
    slant = np.hypot(np.diff(height), np.diff(rim))
    seen = np.sum(np.diff(height) * np.minimum(width, 2.0 * mean))
    angle = np.arccos(np.clip(1.0 - width / mean, -1.0, 1.0))
    ahead = np.where(mean > width, np.sin(angle), 1.0) * np.diff(height) / slant
    return float(np.max(ahead)), float(seen / np.sum(slant * mean * angle))


OUTLINES = {
    "ball": lambda z: np.where(z < 5.0, np.sqrt(np.maximum(z * (10.0 - z), 0.0)), 5.0),
    "corner radius": lambda z: np.where(z < 1.0, 4.0 + np.sqrt(np.maximum(z * (2.0 - z), 0.0)), 5.0),
}


@pytest.mark.parametrize("name", OUTLINES)
@pytest.mark.parametrize(("depth", "width"), [(0.2, 0.1), (0.7, 2.5), (4.0, 6.0), (9.0, 0.4), (3.0, 30.0)])
def test_strips_of_the_outline(name, depth, width):
    largest, mean = stripped(OUTLINES[name], depth, width)
    profile = CUTTERS[name].profile
    assert upright.chip_reach(profile, depth, width) == pytest.approx(largest, rel=2e-5)
    assert upright.mean_reach(profile, depth, width) == pytest.approx(mean, rel=2e-6)


def test_many_profiles_side_by_side():
    made = [c.profile for c in CUTTERS.values()]
    stacked = Profile.stack(made)
    for asked in (upright.chip_reach, upright.mean_reach):
        each = [asked(p, 2.0, 1.0) for p in made]
        assert asked(stacked, 2.0, 1.0) == pytest.approx(each, rel=1e-13)


def test_where_it_does_not_apply():
    ball = CUTTERS["ball"].profile
    assert upright.applies(ball, 0.0, np.zeros(3))
    assert not upright.applies(ball, 1e-12, 0.0)
    assert not upright.applies(ball, 0.0, np.array([0.0, 1.0]))
    # a barrel, whose arc has its centre beyond the axis
    start, centre, radius = (0.0, 3.0), (6.0, -10.0), math.hypot(13.0, 6.0)
    end = (10.0, centre[1] + math.sqrt(radius**2 - 16.0))
    barrel = Profile([Line((0.0, 0.0), start), Arc(start, end, centre)], endless=False)
    assert not upright.applies(barrel, 0.0, 0.0)


@pytest.mark.parametrize("asked", [upright.chip_reach, upright.mean_reach])
def test_edges(asked):
    profile = CUTTERS["corner radius"].profile
    assert np.isnan(asked(profile, np.nan, 1.0))
    assert np.isnan(asked(profile, -1.0, 1.0))
    assert np.isnan(asked(profile, 1.0, np.nan))
    assert asked(profile, np.array([]), 1.0).shape == (0,)
    assert asked(profile, 2.0, 10.0) == pytest.approx(asked(profile, 2.0, np.inf), rel=1e-14)
