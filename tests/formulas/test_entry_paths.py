"""Entries against paths walked step by step, ramps against a floor that is cut down as they pass."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely.geometry import Point, box

from millcalc.errors import DomainError, UnitError
from millcalc.formulas.entry_paths import axis_travel, helical_entry_length, ramp_engaged_depth


@pytest.mark.parametrize(("length", "diameter"), [(70.0, 12.0), (12.5, 12.0), (300.0, 1.0)])
def test_the_axis_travels_where_the_disc_stays_within_the_walls(length, diameter):
    """The places of a disc within a slot, found by walking: the way from the first to the last of them."""
    slot = box(0.0, 0.0, length, 2.0 * diameter)
    step = length / 5000
    inside = [x for x in np.arange(0.0, length, step) if slot.covers(box(x - diameter / 2, 0.1, x + diameter / 2, 0.2))]
    assert axis_travel.bare(length, diameter) == pytest.approx(inside[-1] - inside[0], abs=2.1 * step)
    disc = Point(diameter / 2, diameter).buffer(diameter / 2, 64)
    swept = disc.union(Point(diameter / 2 + axis_travel.bare(length, diameter), diameter).buffer(diameter / 2, 64))
    assert swept.bounds[2] - swept.bounds[0] == pytest.approx(length, rel=1e-12)


def test_a_slot_as_wide_as_the_cutter_leaves_no_travel_and_a_narrower_one_is_refused():
    assert axis_travel("12 mm", "12 mm").magnitude == 0.0
    with pytest.raises(DomainError, match="diameter <= length"):
        axis_travel("11.9 mm", "12 mm")
    assert np.isnan(axis_travel.bare(np.array([12.0, 11.9]), 12.0)).tolist() == [False, True]


@pytest.mark.parametrize(
    ("depth", "pitch", "radius"),
    [(10.0, 1.0, 4.0), (5.75, 1.18, 3.6), (3.0, 3.0, 0.5), (2.0, 7.0, 6.0), (4.0, 1.0, 0.0)],
)
def test_a_helix_with_its_level_turn_is_as_long_as_a_walk_along_it(depth, pitch, radius):
    """Chords between points of the helix down to the depth, then of a circle: short of it by a 1e-9th (derived)."""
    turns = depth / pitch
    down = np.linspace(0.0, 2.0 * math.pi * turns, int(20_000 * max(turns, 1)) + 1)
    level = np.linspace(0.0, 2.0 * math.pi, 20_001)
    points = [np.stack([radius * np.cos(down), radius * np.sin(down), down * pitch / 2.0 / math.pi])]
    points.append(np.stack([radius * np.cos(level), radius * np.sin(level), 0.0 * level]))
    walked = sum(np.sum(np.linalg.norm(np.diff(p), axis=0)) for p in points)
    assert helical_entry_length.bare(depth, pitch, radius) == pytest.approx(walked, rel=1e-7)


def test_plunging_is_the_depth_and_no_depth_is_the_turn_alone():
    assert helical_entry_length("4 mm", "1 mm", "0 mm").magnitude == 4.0
    assert helical_entry_length("0 mm", "1 mm", "3 mm").magnitude == pytest.approx(6.0 * math.pi, rel=1e-15)
    with pytest.raises(DomainError, match="pitch"):
        helical_entry_length("4 mm", "0 mm", "3 mm")
    with pytest.raises(UnitError, match="axial_depth"):
        helical_entry_length(4.0, "1 mm", "3 mm")


@pytest.mark.parametrize("passes", [1, 2, 3, 4, 5, 8, 13])
def test_ramps_cut_no_deeper_at_once_than_the_floor_stands(passes):
    """The floor along the travel, ramp after ramp, back and forth: how far each lies below what the last has left."""
    place, floor, deepest, drop = np.linspace(0.0, 1.0, 2001), np.zeros(2001), 0.0, 1.0 / passes
    for ramp in range(passes):
        along = place if ramp % 2 == 0 else 1.0 - place
        path = drop * (ramp + along)
        deepest = max(deepest, float(np.max(path - floor)))
        floor = np.maximum(floor, path)
    assert ramp_engaged_depth.bare(5.75, passes) == pytest.approx(5.75 * deepest, rel=1e-12)
    assert floor.max() == pytest.approx(1.0)


def test_arrays_and_domains_of_ramps():
    found = ramp_engaged_depth.bare(6.0, np.array([1.0, 2.0, 3.0, 12.0]))
    assert found == pytest.approx([6.0, 6.0, 4.0, 1.0])
    with pytest.raises(DomainError, match="passes"):
        ramp_engaged_depth("6 mm", 0)
