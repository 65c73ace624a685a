"""Chip thickness and engagement against walked rims, moved cones, crescents and trochoids.

Sources: README.md and geometry_truths.md of the published folder (derived) and its worked examples.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from millcalc.formulas import arcs, chips

# a_e/D, engaged angle, h_max/f_z, h_mean/f_z; README.md, exact tables (derived)
PERIPHERAL = [
    (0.02, 16.260, 0.28000, 0.14095),
    (0.05, 25.842, 0.43589, 0.22172),
    (0.10, 36.870, 0.60000, 0.31080),
    (0.20, 53.130, 0.80000, 0.43136),
    (0.25, 60.000, 0.86603, 0.47746),
    (0.50, 90.000, 1.0, 0.63662),
    (0.75, 120.000, 1.0, 0.71620),
    (1.00, 180.000, 1.0, 0.63662),
]
# a_e/D, h_mean/f_z of a centred face mill; README.md, exact tables (derived)
CENTRED = [(0.25, 0.98939), (0.5, 0.95493), (0.75, 0.88437), (1.0, 0.63662)]
SHARES = [1e-4, 0.003, 0.05, 0.31, 0.5, 0.62, 0.9, 0.9999, 1.0]
ARCS = [  # cutter, stock, finished arc, inside
    (10.0, 0.3, 30.0, True),
    (10.0, 0.3, 30.0, False),
    (10.0, 6.0, 30.0, True),
    (10.0, 6.0, 30.0, False),
    (10.0, 0.5, 12.0, True),
    (10.0, 0.05, 10.2, True),
    (10.0, 0.5, 2.0, False),
    (10.0, 3.0, 0.5, False),
    (6.0, 2.0, 500.0, True),
    (6.0, 2.0, 500.0, False),
    (6.0, 1e-3, 25.0, True),
    (6.0, 1e-3, 25.0, False),
    (10.0, 9.9, 40.0, True),
    (10.0, 9.9, 40.0, False),
]


@pytest.mark.parametrize(("share", "angle", "largest", "mean"), PERIPHERAL)
def test_the_witness_agrees_with_the_printed_table(witness, share, angle, largest, mean):
    assert witness.side_engagement(10.0, 10 * share) == pytest.approx(angle, abs=0.0005)
    assert witness.polygon_engagement(10.0, 10 * share) == pytest.approx(angle, abs=0.0005)
    assert witness.largest_chip(10.0, 10 * share) == pytest.approx(largest, abs=5.1e-6)
    assert witness.mean_chip(10.0, 10 * share) == pytest.approx(mean, abs=5.1e-6)
    assert witness.crescent_mean_chip(10.0, 10 * share) == pytest.approx(mean, abs=8e-6)


@pytest.mark.parametrize(("share", "angle", "largest", "mean"), PERIPHERAL)
def test_the_printed_table(share, angle, largest, mean):
    assert chips.engagement_angle.bare(10.0, 10 * share) == pytest.approx(angle, abs=0.0005)
    assert chips.max_chip_thickness.bare(0.1, 10.0, 10 * share) * 10 == pytest.approx(largest, abs=5.1e-6)
    assert chips.mean_chip_thickness.bare(0.1, 10.0, 10 * share) * 10 == pytest.approx(mean, abs=5.1e-6)
    assert chips.chip_thinning_factor.bare(10.0, 10 * share) == pytest.approx(1 / largest, rel=2e-5)
    if share <= 0.5:  # "round edge: the same numbers with a_e/D read as a_p/iC"
        assert chips.round_edge_angle.bare(8.0, 8 * share) == pytest.approx(angle, abs=0.0005)
        assert chips.round_edge_thinning_factor.bare(8.0, 8 * share) == pytest.approx(1 / largest, rel=2e-5)


@pytest.mark.parametrize("diameter", [0.2, 10.0, 80.0])
@pytest.mark.parametrize("share", SHARES)
def test_engagement(witness, diameter, share):
    """Length integral of the rim in 30 digits; 1e-11 (the input itself carries 1e-16 of the diameter)."""
    width = share * diameter
    assert chips.engagement_angle.bare(diameter, width) == pytest.approx(
        witness.side_engagement(diameter, width), rel=1e-11
    )
    assert chips.centred_engagement_angle.bare(diameter, width) == pytest.approx(
        witness.centred_engagement(diameter, width), rel=1e-11
    )


@pytest.mark.parametrize(("share", "mean"), CENTRED)
def test_centred_mean_of_the_printed_table(witness, share, mean):
    """The printed mean, from the library's angle: the crescent's area is f_z a_e whatever the place."""
    assert witness.centred_mean_chip(10.0, 10 * share) == pytest.approx(mean, abs=5.1e-6)
    arc = math.radians(chips.centred_engagement_angle.bare(10.0, 10 * share)) * 5.0
    assert 10 * share / arc == pytest.approx(mean, abs=5.1e-6)


@pytest.mark.parametrize(("teeth", "angle"), [(1, 30.0), (2, 180.0), (3, 77.7), (4, 133.0), (12, 60.0), (6, 5.0)])
def test_teeth_in_cut_is_the_time_average(witness, teeth, angle):
    """Counted over 400 000 positions of the cutter: within one count a tooth."""
    counted = witness.mean_teeth_in_cut(teeth, angle)
    assert chips.teeth_in_cut.bare(teeth, angle) == pytest.approx(counted, abs=teeth / 400_000)


@pytest.mark.parametrize("share", SHARES)
@pytest.mark.parametrize("edge_angle", [90.0, 60.0, 45.0, 12.0])
def test_chip_thickness_is_the_gap_of_two_cones(witness, share, edge_angle):
    """Edge cone moved by 1e-22 of a feed, normal followed back; 1e-11."""
    diameter, feed = 12.0, 0.08
    width = share * diameter
    largest = witness.largest_chip(diameter, width, edge_angle)
    mean = witness.mean_chip(diameter, width, edge_angle)
    got = chips.max_chip_thickness.bare(feed, diameter, width, edge_angle)
    assert got == pytest.approx(feed * largest, rel=1e-11)
    assert chips.mean_chip_thickness.bare(feed, diameter, width, edge_angle) == pytest.approx(feed * mean, rel=1e-11)
    assert chips.chip_thinning_factor.bare(diameter, width, edge_angle) == pytest.approx(1 / largest, rel=1e-11)
    assert chips.feed_per_tooth_for_chip.bare(0.03, diameter, width, edge_angle) == pytest.approx(
        0.03 / largest, rel=1e-11
    )


@pytest.mark.parametrize("share", [0.003, 0.05, 0.31, 0.5, 0.62, 0.9, 1.0])
def test_mean_chip_is_the_crescent_spread_on_the_arc(witness, share):
    """Polygon area of what one tooth takes over length of its arc; a feed squared over D a_e at its ends."""
    got = chips.mean_chip_thickness.bare(1.0, 10.0, 10 * share)
    assert got == pytest.approx(witness.crescent_mean_chip(10.0, 10 * share), rel=1e-6 * (1 + 1 / share))


@pytest.mark.parametrize(
    ("width", "up", "down"),  # geometry_truths.md, chip thickness (derived): per cent over the true trochoid
    [(3.0, 0.4, -0.1), (1.0, 1.6, 0.6), (0.1, 5.7, 4.5), (0.01, 19.0, 18.0)],
)
def test_distance_from_true_trochoids(witness, width, up, down):
    """Teeth on trochoids, thickness on the ray; the printed digit is the tolerance (0.5 of the last)."""
    closed = chips.max_chip_thickness.bare(0.1, 10.0, width)
    half = 0.51 if width == 0.01 else 0.051
    for printed, is_up in ((up, True), (down, False)):
        true = witness.trochoid_largest_chip(10.0, width, 0.1, 2, is_up)
        assert abs((closed / true - 1) * 100 - printed) <= half


@pytest.mark.parametrize("width", [0.5, 3.0, 4.9])
def test_the_trochoid_comes_to_the_closed_form_with_small_feed(witness, width):
    """Ten times less feed, ten times closer: left is the arc's shortness, half a feed over sqrt(a_e D)."""
    for feed in (1e-2, 1e-3, 1e-4):
        closed = chips.max_chip_thickness.bare(feed, 10.0, width)
        for up in (True, False):
            true = witness.trochoid_largest_chip(10.0, width, feed, 2, up)
            assert closed == pytest.approx(true, rel=0.6 * feed / math.sqrt(width * 10))


@pytest.mark.parametrize("share", [1e-4, 0.01, 0.1, 0.25, 0.4, 0.4999, 0.5])
def test_round_edge(witness, share):
    """Tangent by differences in 50 digits, gap of two circles; 1e-11."""
    slope = witness.round_edge_slope(8.0, 8 * share)
    assert chips.round_edge_angle.bare(8.0, 8 * share) == pytest.approx(slope, rel=1e-11)
    largest = witness.round_edge_largest_chip(8.0, 8 * share)
    assert chips.round_edge_thinning_factor.bare(8.0, 8 * share) == pytest.approx(1 / largest, rel=1e-11)


@pytest.mark.parametrize(("diameter", "arc", "inside"), sorted({(a[0], a[2], a[3]) for a in ARCS}))
def test_arc_feed_is_the_kinematics(witness, diameter, arc, inside):
    """Speeds of contact and centre by differences in 50 digits; 1e-12."""
    expected = witness.arc_centre_feed(800.0, diameter, arc, inside)
    assert arcs.arc_feed_rate.bare(800.0, diameter, arc, inside) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(("diameter", "width", "arc", "inside"), ARCS)
def test_arc_engagement(witness, diameter, width, arc, inside):
    """Rim walked out of the ring of stock, then the straight width of that angle by a root; 1e-9."""
    angle = witness.arc_engagement(diameter, width, arc, inside)
    got = arcs.arc_radial_engagement.bare(diameter, width, arc, inside)
    assert got == pytest.approx(witness.straight_width_for(diameter, angle), rel=1e-9)
    assert chips.engagement_angle.bare(diameter, got) == pytest.approx(angle, rel=1e-9)


def test_an_arc_of_huge_diameter_is_straight():
    for inside in (True, False):
        assert arcs.arc_radial_engagement.bare(10.0, 2.0, 1e9, inside) == pytest.approx(2.0, rel=1e-6)
        assert arcs.arc_feed_rate.bare(500.0, 10.0, 1e9, inside) == pytest.approx(500.0, rel=1e-7)


def test_printed_chip_thicknesses():
    # C01: Manufacturing Science, 2nd ed., Ex. 4.15 (read in a transcription; exact form in the note): 0.003500
    assert chips.max_chip_thickness.bare(15 / (60 * 20), 50.0, 1.0) == pytest.approx(0.003500, abs=5e-7)
    # C03: GATE ME 1994 (statement read, exact value derived): 0.00555
    assert chips.max_chip_thickness.bare(20 / (40 * 30), 70.0, 2.0) == pytest.approx(0.00555, abs=5e-6)
    # C04: practice quiz (statement read, value derived): 90.98 um
    assert chips.max_chip_thickness.bare(200 / (150 * 5), 100.0, 3.0) * 1000 == pytest.approx(90.98, abs=0.01)


def test_outside_the_domain_is_not_a_number():
    assert math.isnan(chips.engagement_angle.bare(10.0, 10.1))
    assert math.isnan(chips.centred_engagement_angle.bare(10.0, 10.1))
    assert math.isnan(chips.max_chip_thickness.bare(0.1, 10.0, 10.1))
    assert math.isnan(chips.mean_chip_thickness.bare(0.1, 10.0, 10.1))
    assert math.isnan(arcs.arc_feed_rate.bare(500.0, 10.0, 9.9, True))
    assert math.isnan(arcs.arc_radial_engagement.bare(10.0, 1.0, 9.9, True))


def test_arrays_give_what_scalars_give(witness):
    same = witness.assert_same_as_scalars
    diameters, widths = np.array([2.0, 10.0, 63.5, 4.0]), np.array([0.1, 5.0, 50.0, 3.0])
    feeds, angles = np.array([0.01, 0.1, 0.2, 0.02]), np.array([90.0, 45.0, 60.0, 10.0])
    same(chips.engagement_angle.bare, diameters, widths)
    same(chips.centred_engagement_angle.bare, diameters, widths)
    same(chips.teeth_in_cut.bare, [1, 2, 3, 4], angles)
    same(chips.max_chip_thickness.bare, feeds, diameters, widths, angles)
    same(chips.mean_chip_thickness.bare, feeds, diameters, widths, angles)
    same(chips.chip_thinning_factor.bare, diameters, widths, angles)
    same(chips.feed_per_tooth_for_chip.bare, feeds, diameters, widths, angles)
    same(chips.round_edge_angle.bare, diameters, widths / 4)
    same(chips.round_edge_thinning_factor.bare, diameters, widths / 4)
    for inside in (True, False):
        same(arcs.arc_feed_rate.bare, feeds * 1e4, diameters, diameters * 3, inside=inside)
        same(arcs.arc_radial_engagement.bare, diameters, widths / 2, diameters * 3, inside=inside)
