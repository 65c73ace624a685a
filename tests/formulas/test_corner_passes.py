"""Passes through corner stock against dense walks along the paths, and their small formulas against definitions."""

import math

import numpy as np
import pytest

from millcalc.errors import DomainError
from millcalc.formulas import chips, corner_passes, corners

CASES = [
    (20.0, 8.0, 90.0, 4),
    (20.0, 16.0, 90.0, 2),
    (30.0, 6.0, 60.0, 12),
    (16.0, 10.0, 135.0, 3),
    (50.0, 10.0, 40.0, 9),
]


def walked(larger, diameter, angle, passes, step=0.002):
    """Length of the paths on which the cutter's circle is not inside what the larger cutter has cleared."""
    half, d = math.radians(angle / 2), 0.5 * (larger - diameter)
    # the larger cutter's centre; the smaller one's paths start from its last corner, walls along x and its mirror
    centre = np.array([d / math.tan(half), d])
    depth = d * (1.0 - math.sin(half))
    total = 0.0
    for place in range(passes):
        w = depth * place / passes
        x = np.arange(w / math.tan(half), centre[0] + diameter, step)
        gap = np.hypot(x - centre[0], w - centre[1])
        # inside it while the distance of the centres is below the difference of the radii
        total += 2.0 * step * np.count_nonzero((gap > d) & (x < centre[0]))
    return total


@pytest.mark.parametrize(("larger", "diameter", "angle", "passes"), CASES)
def test_path_is_what_a_walk_along_it_finds(larger, diameter, angle, passes):
    found = corner_passes.corner_path_length.bare(larger, diameter, angle, passes)
    assert found == pytest.approx(walked(larger, diameter, angle, passes), abs=0.01 * passes)


@pytest.mark.parametrize(("larger", "diameter", "angle", "passes"), CASES)
def test_passes_are_as_near_as_asked(larger, diameter, angle, passes):
    # square to the walls the stock of the bisector shows its share by the sine of half the angle
    square = corners.corner_stock_between.bare(larger, diameter, angle) * math.sin(math.radians(angle / 2))
    width = square / passes
    assert corner_passes.corner_passes.bare(larger, diameter, angle, width) == passes
    assert corner_passes.corner_passes.bare(larger, diameter, angle, width * 0.999) == passes + 1


def test_last_pass_goes_from_one_fillet_end_to_the_other():
    found = corner_passes.corner_path_length.bare(20.0, 8.0, 90.0, 1)
    reach = corners.corner_reach.bare(np.array([20.0, 8.0]), 90.0)
    assert found == pytest.approx(2.0 * (reach[0] - reach[1]), rel=1e-14)


def test_arrays_are_what_scalars_are():
    columns = [np.array(c, dtype=float) for c in zip(*CASES, strict=True)]
    each = [corner_passes.corner_path_length.bare(*case) for case in CASES]
    assert corner_passes.corner_path_length.bare(*columns) == pytest.approx(each, rel=1e-14)
    assert corner_passes.corner_path_length.bare(np.array([]), 8.0, 90.0, 4).shape == (0,)


def test_width_of_engagement_is_the_inverse():
    width = np.linspace(0.0, 12.0, 50)
    angle = chips.engagement_angle.bare(12.0, width)
    assert corner_passes.width_of_engagement.bare(12.0, angle) == pytest.approx(width, abs=1e-13)


def test_a_cutter_no_smaller_is_refused():
    with pytest.raises(DomainError, match="larger_diameter"):
        corner_passes.corner_passes("8 mm", "8 mm", "90 deg", "0.5 mm")
    with pytest.raises(DomainError, match="larger_diameter"):
        corner_passes.corner_path_length("8 mm", "10 mm", "90 deg", 2)
    assert np.isnan(corner_passes.corner_path_length.bare(8.0, 8.0, 90.0, 2))
    assert np.isnan(corner_passes.width_of_engagement.bare(8.0, 181.0))


def test_a_straight_wall_has_no_corner():
    assert corner_passes.corner_passes.bare(20.0, 8.0, 180.0, 0.5) == 0.0
