"""Engagement, chip thickness and arcs: published examples and edges.

A published value stands with its source and how it is known; the half width is half its last printed digit.
"""

from __future__ import annotations

import math
import warnings

import numpy as np
import pint
import pytest

from millcalc.errors import DomainError, UnitError, ValidityWarning
from millcalc.formulas import arcs, chips
from millcalc.quantities.display import units


def printed(result: pint.Quantity, unit: str, value: float, half_width: float) -> bool:
    return abs(result.to(unit).magnitude - value) <= half_width


# a_e/D, angle, h_max/f_z, h_mean/f_z: exact tables of the published page (derived)
TABLE = [
    (0.02, 16.260, 0.28000, 0.14095),
    (0.05, 25.842, 0.43589, 0.22172),
    (0.10, 36.870, 0.60000, 0.31080),
    (0.20, 53.130, 0.80000, 0.43136),
    (0.25, 60.000, 0.86603, 0.47746),
    (0.50, 90.000, 1.0, 0.63662),
    (0.75, 120.000, 1.0, 0.71620),
    (1.00, 180.000, 1.0, 0.63662),
]


@pytest.mark.parametrize(("share", "angle", "largest", "mean"), TABLE)
def test_printed_table(share, angle, largest, mean):
    width = f"{12 * share} mm"
    assert printed(chips.engagement_angle("12 mm", width), "deg", angle, 0.0005)
    assert printed(chips.max_chip_thickness("1 um", "12 mm", width), "um", largest, 0.000005)
    assert printed(chips.mean_chip_thickness("1 um", "12 mm", width), "um", mean, 0.000005)
    assert chips.chip_thinning_factor("12 mm", width) == pytest.approx(1 / largest, rel=2e-5)
    assert printed(chips.feed_per_tooth_for_chip(f"{largest} um", "12 mm", width), "um", 1.0, 2e-5)
    if share <= 0.5:
        assert printed(chips.round_edge_angle("12 mm", width), "deg", angle, 0.0005)
        assert chips.round_edge_thinning_factor("12 mm", width) == pytest.approx(1 / largest, rel=2e-5)


def test_printed_chips():
    # Manufacturing Science, Ex. 4.15 (read in a transcription): mean 0.0018 mm
    assert printed(chips.mean_chip_thickness("0.0125 mm", "50 mm", "1 mm"), "mm", 0.0018, 0.00005)
    # Manufacturing Science, Ex. 4.16 (read in a transcription): mean 0.043 mm
    assert printed(chips.mean_chip_thickness("0.1666667 mm", "75 mm", "5 mm"), "mm", 0.043, 0.0005)
    # practice quiz of 2020, statement read, value derived: 90.98 um; the thin-cut form 92.38 is not it
    largest = chips.max_chip_thickness("0.2666667 mm", "100 mm", "3 mm")
    assert printed(largest, "um", 90.98, 0.01)
    assert not printed(largest, "um", 92.38, 0.01)


@pytest.mark.parametrize("share", [1e-6, 0.02, 0.5, 0.7, 1.0])
@pytest.mark.parametrize("edge", ["90 deg", "45 deg", "120 deg"])
def test_feed_and_chip_undo_each_other(share, edge):
    diameter, width = "10 mm", f"{10 * share:.9f} mm"
    chip = chips.max_chip_thickness("1 um", diameter, width, edge)
    assert chips.feed_per_tooth_for_chip(chip, diameter, width, edge).magnitude == pytest.approx(1e-3)
    factor = chips.chip_thinning_factor(diameter, width, edge)
    assert factor >= 1.0
    assert factor * chip.magnitude == pytest.approx(1e-3)


def test_thin_cuts_and_the_slot_keep_their_digits():
    # 2 sqrt(a_e/D) rad as the cut becomes thin; what is missing to 180 deg as it becomes a slot
    assert chips.engagement_angle.bare(10.0, 1e-17) == pytest.approx(math.degrees(2e-9), rel=1e-14)
    assert chips.engagement_angle.bare(10.0, 10.0) == 180.0
    assert chips.centred_engagement_angle.bare(10.0, 10.0) == 180.0
    assert chips.centred_engagement_angle.bare(10.0, 1e-12) == pytest.approx(math.degrees(2e-13), rel=1e-14)
    assert chips.max_chip_thickness.bare(0.1, 10.0, 0.0) == 0.0


def test_round_edge_is_upright_from_half_the_circle_on():
    angles = chips.round_edge_angle.bare(8.0, np.array([0.0, 2.0, 4.0, 4.1, 100.0]))
    np.testing.assert_allclose(angles, [0.0, 60.0, 90.0, 90.0, 90.0], rtol=1e-14)
    np.testing.assert_allclose(chips.round_edge_thinning_factor.bare(8.0, np.array([4.0, 9.0])), 1.0)


def test_teeth_in_cut():
    assert chips.teeth_in_cut(6, "180 deg") == 3.0
    assert chips.teeth_in_cut(1, "36 deg") == pytest.approx(0.1)
    angle = chips.engagement_angle("10 mm", "10 mm")
    assert chips.teeth_in_cut(2, angle) == 1.0


def test_a_width_below_the_whole_feed_warns():
    # geometry_truths (derived): below a_e = f_z^2/(8 R) a tooth no longer cuts the whole feed; 0.25 um here
    for formula in (chips.max_chip_thickness, chips.mean_chip_thickness):
        with pytest.warns(ValidityWarning, match="radial_width"):
            formula("0.1 mm", "10 mm", "0.2 um")
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            formula("0.1 mm", "10 mm", "0.3 um")


def test_a_feed_for_the_chip_beyond_the_width_warns():
    # the limit is where the feed found is 2 sqrt(a_e D)
    limit = 4 * 0.001 * math.sqrt((10 - 0.001) / 10)
    chip = [f"{limit * factor} mm" for factor in (0.99, 1.01)]
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        feed = chips.feed_per_tooth_for_chip(chip[0], "10 mm", "1 um")
        chips.feed_per_tooth_for_chip("5 mm", "10 mm", "10 mm")
    assert feed.magnitude == pytest.approx(0.99 * 2 * math.sqrt(0.001 * 10), rel=1e-9)
    with pytest.warns(ValidityWarning):
        chips.feed_per_tooth_for_chip(chip[1], "10 mm", "1 um")


@pytest.mark.parametrize(("inside", "rate"), [(True, 750.0), (False, 1250.0)])
def test_arc_feed_is_the_ratio_of_the_paths(inside, rate):
    assert arcs.arc_feed_rate("1000 mm/min", "10 mm", "40 mm", inside).magnitude == pytest.approx(rate)


def test_arc_engagement_when_the_whole_front_is_in_stock():
    for width in (10.0, 10.5, 30.0):
        assert arcs.arc_radial_engagement.bare(10.0, width, 40.0, False) == pytest.approx(10.0)
    # a solid: no pilot hole; the cutter's far side is always in stock
    assert arcs.arc_radial_engagement.bare(10.0, 20.0, 40.0, True) == 10.0
    assert arcs.arc_radial_engagement.bare(10.0, 0.0, 40.0, True) == 0.0


@pytest.mark.parametrize(("inside", "wider"), [(True, True), (False, False)])
def test_inside_engages_more_and_outside_less_than_the_straight_cut(inside, wider):
    width = arcs.arc_radial_engagement("10 mm", "1 mm", "25 mm", inside).magnitude
    assert (width > 1.0) is wider
    # the angle read off the triangle of the arc's centre, the cutter's and the end of the cut
    arc, radius, sign = 12.5, 5.0, -1.0 if inside else 1.0
    apart, end = arc + sign * radius, arc + sign * 1.0
    cosine = sign * (apart**2 + radius**2 - end**2) / (2 * apart * radius)
    angle = chips.engagement_angle("10 mm", f"{width} mm").magnitude
    assert math.cos(math.radians(angle)) == pytest.approx(cosine, rel=1e-12)


@pytest.mark.parametrize(
    ("formula", "inputs", "kind"),
    [
        (chips.engagement_angle, ("10 mm", "10.01 mm"), DomainError),
        (chips.centred_engagement_angle, ("10 mm", "10.01 mm"), DomainError),
        (chips.chip_thinning_factor, ("10 mm", "0 mm"), DomainError),
        (chips.mean_chip_thickness, ("0.1 mm", "10 mm", "0 mm"), DomainError),
        (chips.max_chip_thickness, ("0.1 mm", "10 mm", "1 mm", "0 deg"), DomainError),
        (chips.feed_per_tooth_for_chip, ("0.1 mm", "10 mm", "11 mm"), DomainError),
        (chips.max_chip_thickness, ("0.1 mm/rev", "10 mm", "1 mm"), UnitError),
        (chips.round_edge_thinning_factor, ("10 mm", "0 mm"), DomainError),
        (chips.teeth_in_cut, (0, "90 deg"), DomainError),
        (chips.teeth_in_cut, (4, "361 deg"), DomainError),
        (arcs.arc_feed_rate, ("100 mm/min", "10 mm", "10 mm", True), DomainError),
        (arcs.arc_feed_rate, ("100 mm/min", "10 mm", "20 mm", "maybe"), UnitError),
        (arcs.arc_radial_engagement, ("10 mm", "1 mm", "9 mm", True), DomainError),
        (arcs.arc_radial_engagement, ("10 mm", "11 mm", "20 mm", True), DomainError),
    ],
)
def test_errors(formula, inputs, kind):
    with pytest.raises(kind):
        formula(*inputs)


def test_not_a_number_outside():
    assert np.isnan(chips.chip_thinning_factor.bare(10.0, np.array([10.1, -0.1]))).all()
    assert np.isnan(arcs.arc_radial_engagement.bare(10.0, np.array([1.0, 11.0]), np.array([9.0, 20.0]), True)).all()


def test_arrays_broadcast():
    mm = pint.application_registry.mm
    chip = chips.max_chip_thickness("0.1 mm", np.array([[10.0], [20.0]]) * mm, np.array([1.0, 2.0, 10.0]) * mm)
    expected = [[0.06, 0.08, 0.1], [0.1 * math.sin(math.acos(0.9)), 0.06, 0.1]]
    np.testing.assert_allclose(chip.magnitude, expected, rtol=1e-12)
    inside = np.array([True, False])
    np.testing.assert_allclose(arcs.arc_feed_rate.bare(1000.0, 10.0, 40.0, inside), [750.0, 1250.0])


def test_sheets_in_inch_units():
    with units("inch"):
        text = chips.max_chip_thickness.sheet("0.004 in", "0.5 in", "0.05 in").text()
    assert "f_z = 0.1016 mm (0.004 in/tooth)" in text
    assert "(0.0024 in)" in text
