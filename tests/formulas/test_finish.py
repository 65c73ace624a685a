"""Roughness of scallops and feed marks, grades and cut-off: published values, high precision, edges.

A published value stands with its source and how it is known; the half width is half its last printed digit.
"""

from __future__ import annotations

import math

import mpmath as mp
import numpy as np
import pint
import pytest

from millcalc.errors import DomainError, UnitError, ValidityWarning
from millcalc.formulas import finish
from millcalc.quantities.display import units

MOST = 1000 * 0.5 * 0.18130290594102798  # Ra in um for each mm of diameter at a scallop as high as the radius


def exact_ra(share: mp.mpf) -> mp.mpf:
    """Return Ra/R of arcs whose height is `share` of R, by the closed form in enough digits to cancel."""
    with mp.workdps(80):
        turn = mp.acos(1 - mp.mpf(share))
        mean = mp.acos((mp.cos(turn) + turn / mp.sin(turn)) / 2)
        return (mean - mp.sin(mean) * mp.cos(mean)) / mp.sin(turn)


# f/R, h/R, Ra/h: exact table of the published page (derived)
@pytest.mark.parametrize(
    ("spacing", "height", "ratio"),
    [
        (0.1, 0.00125078, 0.25657),
        (0.5, 0.03175416, 0.25576),
        (1.0, 0.13397460, 0.25274),
        (1.5, 0.33856217, 0.24481),
        (2.0, 1.0, 0.18130),
    ],
)
def test_printed_arcs(spacing, height, ratio):
    high = finish.feed_mark_height("2 mm", f"{spacing} mm")
    assert abs(high.to("mm").magnitude - height) <= 0.5e-8
    back = finish.feed_per_tooth_for_mark("2 mm", high)
    assert back.magnitude == pytest.approx(spacing, rel=1e-12)
    ra = finish.ra_from_scallop("2 mm", high)
    assert abs(ra.magnitude / high.magnitude - ratio) <= 0.5e-5


def test_printed_parabola():
    # worked example (derived): Ra/h = 4/(9 sqrt 3) = 0.2566 for a low scallop
    assert abs(finish.ra_from_scallop("10 mm", "1 um").magnitude - 0.2566) <= 0.00005
    assert finish.ra_from_scallop.bare(10.0, 1e-6) == pytest.approx(4e-6 / (9 * math.sqrt(3)), rel=1e-9)


def test_printed_ridge():
    # Manufacturing Science, Ex. 4.24 (read in a transcription): nose 0.7 mm, feed 0.125 mm: 0.0028 mm
    assert abs(finish.feed_mark_height("1.4 mm", "0.125 mm").to("mm").magnitude - 0.0028) <= 0.00005


SHARES = [1e-30, 1e-12, 1e-9, 1e-6, 1e-3, 0.01, 0.1, 0.3, 0.5, 0.8, 0.95, 0.999, 1 - 1e-9, 1.0]


@pytest.mark.parametrize("share", SHARES)
def test_ra_in_high_precision(share):
    """The closed form in 80 digits (derived); 1e-14 from the smallest scallop to the radius."""
    got = finish.ra_from_scallop.bare(10.0, 5000.0 * share)
    assert got == pytest.approx(float(5000 * exact_ra(share)), rel=1e-14)


def test_ra_is_the_integral():
    """Mean distance from the mean line, by quadrature in 30 digits (derived); 1e-14."""
    with mp.workdps(30):
        high = mp.mpf("0.2")
        half = mp.sqrt(high * (2 - high))
        mean = mp.quad(lambda x: 1 - mp.sqrt(1 - x * x), [0, half]) / half
        cross = mp.sqrt(mean * (2 - mean))
        ra = 2 * mp.quad(lambda x: mean - 1 + mp.sqrt(1 - x * x), [0, cross]) / half
    assert finish.ra_from_scallop.bare(2.0, 200.0) == pytest.approx(float(1000 * ra), rel=1e-14)


def test_ra_rises_and_its_share_falls():
    heights = 5000.0 * np.concatenate([np.geomspace(1e-9, 0.5, 2000), np.linspace(0.5, 1.0, 2000)[1:]])
    ra = finish.ra_from_scallop.bare(10.0, heights)
    assert np.all(np.diff(ra[:-1]) > 0)
    assert np.all(np.diff(ra / heights) < 1e-15)


@pytest.mark.parametrize("share", [s for s in SHARES if s < 0.9999])
def test_scallop_for_ra_in_high_precision(share):
    """The true height of an Ra in 80 digits; 1e-12 times what the slope of Ra makes of rounding."""
    ra = 5000 * exact_ra(mp.mpf(share))
    slope = 1e-13 + 4e-16 / math.sqrt(1 - share)
    assert finish.scallop_from_ra.bare(10.0, float(ra)) == pytest.approx(5000.0 * share, rel=1e-12 + slope)


def test_scallop_and_ra_undo_each_other():
    ra = 10 * MOST * np.concatenate([np.geomspace(1e-12, 0.5, 500), np.linspace(0.5, 1.0, 500)])
    heights = finish.scallop_from_ra.bare(10.0, ra)
    np.testing.assert_allclose(finish.ra_from_scallop.bare(10.0, heights), ra, rtol=2e-13)
    assert np.all(heights <= 5000.0)


@pytest.mark.parametrize("diameter", ["1/8 in", "0.3 mm", "10 mm", "1 in"])
def test_the_highest_scallop_comes_back(diameter):
    radius = finish.scallop_from_rz(diameter, finish.rz_from_scallop(diameter, "0 um")).units
    half = pint.application_registry.Quantity(diameter.replace("1/8", "0.125")) / 2
    ra = finish.ra_from_scallop(diameter, half.to(radius))
    assert finish.scallop_from_ra(diameter, ra).magnitude == pytest.approx(half.to("um").magnitude, rel=1e-7)


def test_no_roughness_no_scallop():
    assert finish.ra_from_scallop.bare(10.0, 0.0) == 0.0
    assert finish.scallop_from_ra.bare(10.0, 0.0) == 0.0
    assert finish.feed_mark_height.bare(10.0, 0.0) == 0.0
    assert finish.feed_per_tooth_for_mark.bare(10.0, 0.0) == 0.0


def test_small_feed_marks_keep_their_digits():
    with mp.workdps(60):
        exact = float(1000 * (mp.mpf(5) - mp.sqrt(mp.mpf(25) - mp.mpf(1e-6) ** 2 / 4)))
    assert finish.feed_mark_height.bare(10.0, 1e-6) == pytest.approx(exact, rel=1e-15)


# ISO 1302 grade table as printed in a drafting hand-out (read)
GRADES = [
    ("N1", "0.025 um", "1 uin"),
    ("N2", "0.05 um", "2 uin"),
    ("N3", "0.1 um", "4 uin"),
    ("N4", "0.2 um", "8 uin"),
    ("N5", "0.4 um", "16 uin"),
    ("N6", "0.8 um", "32 uin"),
    ("N7", "1.6 um", "63 uin"),
    ("N8", "3.2 um", "125 uin"),
    ("N9", "6.3 um", "250 uin"),
    ("N10", "12.5 um", "500 uin"),
    ("N11", "25 um", "1000 uin"),
    ("N12", "50 um", "2000 uin"),
]


@pytest.mark.parametrize(("grade", "metric", "inch"), GRADES)
def test_printed_grades_both_ways(grade, metric, inch):
    assert finish.ra_from_grade(grade).magnitude == float(metric.split()[0])
    assert finish.ra_from_grade(int(grade[1:])).magnitude == float(metric.split()[0])
    assert finish.grade_from_ra(metric) == grade
    assert finish.grade_from_ra(inch) == grade


@pytest.mark.parametrize(("ra", "grade"), [("0 um", "N1"), ("0.026 um", "N2"), ("1.7 um", "N8"), ("51 um", "N12")])
def test_between_grades_the_coarser_holds(ra, grade):
    assert finish.grade_from_ra(ra) == grade


def test_grades_of_arrays():
    um = pint.application_registry.um
    assert finish.grade_from_ra(np.array([[0.8], [7.0]]) * um).tolist() == [["N6"], ["N10"]]
    np.testing.assert_allclose(finish.ra_from_grade(["N7", "N9"]).magnitude, [1.6, 6.3])
    assert np.isnan(finish.ra_from_grade.bare(np.array([0.0, 7.5, 13.0, math.nan]))).all()
    assert np.isnan(finish.grade_from_ra.bare(np.array([-1.0, 52.0, math.nan]))).all()


# ISO 4288 (from memory)
@pytest.mark.parametrize(
    ("ra", "length"),
    [(0.01, 0.08), (0.02, 0.08), (0.05, 0.25), (0.1, 0.25), (0.8, 0.8), (2, 0.8), (10, 2.5), (10.1, 8), (80, 8)],
)
def test_cut_off(ra, length):
    assert finish.cut_off_length(f"{ra} um").magnitude == length


def test_cut_off_below_the_table_warns():
    with pytest.warns(ValidityWarning):
        finish.cut_off_length("0.005 um")
    assert np.isnan(finish.cut_off_length.bare(np.array([-0.1, 81.0, math.nan]))).all()


@pytest.mark.parametrize(
    ("formula", "inputs", "kind"),
    [
        (finish.ra_from_scallop, ("10 mm", "5.01 mm"), DomainError),
        (finish.rz_from_scallop, ("10 mm", "5.01 mm"), DomainError),
        (finish.scallop_from_rz, ("10 mm", "5.01 mm"), DomainError),
        (finish.scallop_from_ra, ("10 mm", "0.907 mm"), DomainError),
        (finish.scallop_from_ra, ("0 mm", "1 um"), DomainError),
        (finish.scallop_from_ra, ("10 mm", "1.6"), UnitError),
        (finish.feed_mark_height, ("10 mm", "10.1 mm"), DomainError),
        (finish.feed_per_tooth_for_mark, ("10 mm", "5.1 mm"), DomainError),
        (finish.ra_from_grade, ("N13",), UnitError),
        (finish.ra_from_grade, (13,), DomainError),
        (finish.ra_from_grade, (6.5,), DomainError),
        (finish.grade_from_ra, ("52 um",), DomainError),
        (finish.cut_off_length, ("81 um",), DomainError),
    ],
)
def test_errors(formula, inputs, kind):
    with pytest.raises(kind):
        formula(*inputs)


def test_not_a_number_outside():
    above = np.array([5000.1, 9000.0])
    for formula in (finish.ra_from_scallop, finish.rz_from_scallop, finish.scallop_from_rz):
        assert np.isnan(formula.bare(10.0, above)).all()
    assert np.isnan(finish.feed_per_tooth_for_mark.bare(10.0, above)).all()
    assert np.isnan(finish.scallop_from_ra.bare(10.0, np.array([907.0, 5000.0]))).all()


def test_arrays_broadcast():
    mm, um = pint.application_registry.mm, pint.application_registry.um
    diameters, heights = np.array([[4.0], [10.0]]) * mm, np.array([1.0, 5.0, 40.0]) * um
    ra = finish.ra_from_scallop(diameters, heights)
    assert ra.shape == (2, 3)
    np.testing.assert_allclose(finish.scallop_from_ra(diameters, ra).magnitude, [[1, 5, 40]] * 2, rtol=1e-12)
    assert finish.rz_from_scallop(diameters, heights).shape == (2, 3)


def test_sheets_in_inch_units():
    with units("inch"):
        text = finish.ra_from_scallop.sheet("0.5 in", "100 uin").text()
    assert "h_s = 2.54 um (100 uin)" in text
    assert "(25.66 uin)" in text
