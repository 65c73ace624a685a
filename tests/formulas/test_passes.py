"""Passes, points and characters against counting, and widths against numeric integration."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad
from shapely.geometry import LineString

from millcalc.errors import ArgumentError, DomainError
from millcalc.formulas.passes import (
    equalised_stepover,
    joined_length,
    largest_stepover,
    mean_move,
    pass_length,
    passes_across,
    plan_width,
    remaining_length,
    total_length,
    wall_height,
)
from millcalc.formulas.program import blocks_per_pass, point_count, program_size
from millcalc.formulas.proportions import share_of_diameter


@pytest.mark.parametrize(
    ("width", "stepover"),
    [(60.0, 0.21), (60.0, 0.2), (1.0, 0.1), (0.3, 0.1), (0.7, 0.1), (10.0, 3.0), (10.0, 10.0), (10.0, 11.0)],
)
def test_passes_are_counted(width, stepover):
    """Laid one by one until the far edge is cut; both edges are cut."""
    laid, at = 1, 0.0
    while at < width - 1e-9:
        laid, at = laid + 1, laid * stepover
    assert passes_across(f"{width} mm", f"{stepover} mm") == laid
    even = equalised_stepover(f"{width} mm", laid).magnitude
    assert even <= stepover * (1 + 1e-12)
    assert even * (laid - 1) == pytest.approx(width, rel=1e-14)


def test_a_line_is_one_pass_and_a_whole_quotient_is_not_rounded_up():
    assert passes_across("0 mm", "0.2 mm") == 1
    assert equalised_stepover("60 mm", 1).magnitude == 60
    # 0.3/0.1 is 2.9999999999999996 and 0.7/0.1 6.999999999999999 in floats, 3 and 7 in the shop (derived)
    for tenths in range(1, 200):
        assert passes_across(f"{tenths / 10} mm", "0.1 mm") == tenths + 1


def test_a_stepover_above_zero_and_whole_passes():
    with pytest.raises(DomainError, match="stepover"):
        passes_across("60 mm", "0 mm")
    with pytest.raises(DomainError, match="passes"):
        equalised_stepover("60 mm", 0)
    with pytest.raises(ArgumentError, match="whole"):
        point_count(2.5, 3)


SLOPES = [(0.0, 0.0), (0.0, 90.0), (10.0, 60.0), (60.0, 10.0), (30.0, 30.0), (30.0, 30.0000001), (89.0, 90.0)]


@pytest.mark.parametrize(("start", "end"), SLOPES)
def test_widths_by_integration(start, end):
    """The slope changes evenly along the arc; its cosine and sine are integrated by quadrature, 1e-12."""

    def along(function):
        return quad(lambda s: function(math.radians(start + (end - start) * s / 60)), 0, 60, epsabs=1e-13)[0]

    arguments = ("60 mm", f"{start} deg", f"{end} deg")
    assert plan_width(*arguments).magnitude == pytest.approx(along(math.cos), rel=1e-11, abs=1e-11)
    assert wall_height(*arguments).magnitude == pytest.approx(along(math.sin), rel=1e-11, abs=1e-11)


@pytest.mark.parametrize(("start", "end"), [(0.0, 90.0), (10.0, 60.0), (25.0, 25.5)])
def test_widths_by_a_polygon(start, end):
    """The arc is drawn with corners on it, its length set to 60, and its box measured; 1e-9."""
    angles = np.radians(np.linspace(start, end, 20_001))
    line = LineString(np.column_stack([np.sin(angles), -np.cos(angles)]))
    left, bottom, right, top = line.bounds
    scale = 60 / line.length
    arguments = ("60 mm", f"{start} deg", f"{end} deg")
    assert plan_width(*arguments).magnitude == pytest.approx((right - left) * scale, rel=1e-9)
    assert wall_height(*arguments).magnitude == pytest.approx((top - bottom) * scale, rel=1e-9)


def test_widths_of_planes():
    # sides of a right triangle with 30 and 60 deg (derived)
    assert plan_width("60 mm", "60 deg", "60 deg").magnitude == pytest.approx(30, rel=1e-14)
    assert wall_height("60 mm", "30 deg", "30 deg").magnitude == pytest.approx(30, rel=1e-14)
    assert wall_height("60 mm", "0 deg", "0 deg").magnitude == 0.0
    # quarter of a circle: its radius both ways, 60/(pi/2) (derived)
    for formula in (plan_width, wall_height):
        assert formula("60 mm", "0 deg", "90 deg").magnitude == pytest.approx(120 / math.pi, rel=1e-14)
        with pytest.raises(DomainError, match="slope_to"):
            formula("60 mm", "0 deg", "91 deg")


@pytest.mark.parametrize("rho", [0.3, 5.0, 20.0, 1e4, -20.0, -11.0])
def test_largest_stepover_by_turning_the_balls_apart(rho):
    """Circles of radius 5 about centres on a circle of radius |rho + 5| part at a distance of 10."""
    low, high = 0.0, math.pi / 2  # half the turn between the centres
    for _ in range(80):
        half = 0.5 * (low + high)
        low, high = (half, high) if 2 * abs(rho + 5) * math.sin(half) <= 10 else (low, half)
    assert largest_stepover("10 mm", f"{rho} mm").magnitude == pytest.approx(2 * abs(rho) * low, rel=1e-12)


def test_largest_stepover_at_the_ends():
    assert largest_stepover("10 mm", "inf").magnitude == 10
    assert largest_stepover("10 mm", "-inf mm").magnitude == 10
    assert largest_stepover("10 mm", "1e12 mm").magnitude == pytest.approx(10, rel=1e-10)
    # in a bore hardly wider than the ball the passes meet up to a quarter turn each way: pi Rs (derived)
    assert largest_stepover("10 mm", "-6 mm").magnitude == pytest.approx(6 * math.pi, rel=1e-14)
    for radius in ("-5 mm", "-1 mm", "0 mm"):
        with pytest.raises(DomainError, match="surface_radius"):
            largest_stepover("10 mm", radius)


@pytest.mark.parametrize(
    ("length", "step"), [(80.0, 0.632), (80.0, 0.8), (0.3, 0.1), (1.0, 5.0), (0.0, 1.0), (5.0, math.inf)]
)
def test_blocks_are_counted(length, step):
    moves, at = 1, step
    while at < length - 1e-9:
        moves, at = moves + 1, (moves + 1) * step
    assert blocks_per_pass(f"{length} mm", f"{step} mm") == moves


def test_points_and_characters():
    passes, blocks = 7, 5
    points = [(p, b) for p in range(passes) for b in range(blocks + 1)]
    assert point_count(passes, blocks) == len(points)
    assert program_size(len(points), 40) == len("x" * 40 * len(points))
    assert point_count(0, 5) == 0
    # README.md, common practice (derived): halving stepover and point spacing makes four times the points
    coarse = point_count(passes_across("60 mm", "0.2 mm"), blocks_per_pass("80 mm", "0.4 mm"))
    fine = point_count(passes_across("60 mm", "0.1 mm"), blocks_per_pass("80 mm", "0.2 mm"))
    assert fine / coarse == pytest.approx(4, rel=0.01)


def test_lengths():
    # README.md, heard once (derived): 0.25 in is 100 % of a 0.25 in cutter and 200 % of a 0.125 in one
    assert share_of_diameter("0.25 in", 1).to("inch").magnitude == pytest.approx(0.25, rel=1e-14)
    assert share_of_diameter("0.125 in", "2").to("inch").magnitude == pytest.approx(0.25, rel=1e-14)
    assert share_of_diameter("6 mm", 0).magnitude == 0
    assert pass_length("80 mm", "3 mm").magnitude == 86
    assert total_length(287, "80 mm").magnitude == sum([80.0] * 287)
    with pytest.raises(DomainError, match="factor"):
        share_of_diameter("6 mm", -1)


def test_paths_joined_parted_and_shared_out():
    """One path in pieces: what is joined is parted again, and its moves, laid end to end, are the whole."""
    path = LineString([(0.0, 0.0), (30.0, 0.0), (30.0, 40.0), (0.0, 40.0), (0.0, 5.0)])
    pieces = [LineString(path.coords[i : i + 2]).length for i in range(4)]
    head = joined_length(f"{pieces[0]} mm", f"{pieces[1]} mm")
    whole = joined_length(joined_length(head, f"{pieces[2]} mm"), f"{pieces[3]} mm")
    assert whole.magnitude == pytest.approx(path.length, rel=1e-15)
    rest = remaining_length(whole, head)
    assert rest.magnitude == pytest.approx(pieces[2] + pieces[3], rel=1e-15)
    assert remaining_length(whole, whole).magnitude == 0
    assert mean_move(whole, 4).magnitude == pytest.approx(sum(pieces) / len(pieces), rel=1e-15)
    assert total_length(4, mean_move(whole, 4)).magnitude == pytest.approx(path.length, rel=1e-15)
    with pytest.raises(DomainError, match="length <= total_length"):
        remaining_length("30 mm", "30.1 mm")
    assert np.isnan(remaining_length.bare(30.0, np.array([29.0, 31.0]))).tolist() == [False, True]
    with pytest.raises(DomainError, match="blocks"):
        mean_move("30 mm", 0)
