"""Roughness of scallops and feed marks against integrals over the circular arcs.

Sources: README.md of the published folder (derived; the grade table of ISO 1302 read) and worked examples.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from millcalc.formulas import finish

UM = 1000.0
# f/R, h/R, Ra/h, Rq/h of the exact circular arc; README.md (derived)
ARC = [
    (0.1, 0.00125078, 0.25657, 0.29812),
    (0.5, 0.03175416, 0.25576, 0.29745),
    (1.0, 0.13397460, 0.25274, 0.29492),
    (1.5, 0.33856217, 0.24481, 0.28813),
    (2.0, 1.0, 0.18130, 0.22320),
]
# grade number, Ra in um; ISO 1302 as printed in a drafting hand-out (read)
GRADES = dict(zip(range(1, 13), [0.025, 0.05, 0.1, 0.2, 0.4, 0.8, 1.6, 3.2, 6.3, 12.5, 25, 50], strict=True))
# nominal Ra in millionths of an inch of the same table (read), with the half width of the printed figure
MICROINCH = [1, 2, 4, 8, 16, 32, 63, 125, 250, 500, 1000, 2000]


@pytest.mark.parametrize(("spacing", "height", "ra", "rq"), ARC)
def test_printed_arc_roughness(witness, spacing, height, ra, rq):
    profile = witness.arc_profile(2.0, height)
    assert profile["spacing"] == pytest.approx(spacing, abs=2e-7)
    assert profile["Ra"] / height == pytest.approx(ra, abs=5.1e-6)
    assert profile["Rq"] / height == pytest.approx(rq, abs=5.1e-6)
    assert finish.ra_from_scallop.bare(2.0, height * UM) / UM / height == pytest.approx(ra, abs=5.1e-6)


def test_thin_arc_ratio():
    """F06 (derived): Ra/h of a parabolic scallop 0.2566."""
    assert finish.ra_from_scallop.bare(10.0, 1.0) == pytest.approx(0.2566, abs=5e-5)


@pytest.mark.parametrize("diameter", [0.2, 10.0])
@pytest.mark.parametrize("share", [1e-6, 1e-4, 0.003, 0.05, 0.2, 0.4, 0.499, 0.5])
def test_ra_and_rz_are_the_integrals(witness, diameter, share):
    """Mean line and mean distance by quadrature; Ra to 1e-9, Rz to 1e-12."""
    height = share * diameter
    profile = witness.arc_profile(diameter, height)
    assert finish.ra_from_scallop.bare(diameter, height * UM) == pytest.approx(profile["Ra"] * UM, rel=1e-9)
    assert finish.rz_from_scallop.bare(diameter, height * UM) == pytest.approx(profile["Rz"] * UM, rel=1e-12)


@pytest.mark.parametrize("ra", [0.05, 0.4, 1.6, 12.5, 50.0, 500.0])
def test_scallop_for_a_finish(witness, ra):
    """The height whose integrated Ra is the wanted one, by a root; 1e-8."""
    height = brentq(lambda h: witness.arc_profile(10.0, h)["Ra"] * UM - ra, 1e-6, 5.0, xtol=1e-14)
    assert finish.scallop_from_ra.bare(10.0, ra) == pytest.approx(height * UM, rel=1e-8)
    assert finish.scallop_from_rz.bare(10.0, ra) == pytest.approx(ra, rel=1e-12)


@pytest.mark.parametrize("diameter", [0.2, 10.0])
@pytest.mark.parametrize("share", [1e-3, 0.01, 0.1, 0.3, 0.7, 1.0])
def test_feed_marks_are_scallops_along_the_feed(witness, diameter, share):
    """Two balls a feed apart, the middle normal climbed; 1e-10 and 1e-12 diameters."""
    expected = witness.scallop(diameter, share * diameter) * UM
    got = finish.feed_mark_height.bare(diameter, share * diameter)
    assert got == pytest.approx(expected, rel=1e-10, abs=1e-12 * diameter * UM)


def test_printed_feed_mark():
    # F01: Manufacturing Science, 2nd ed., Ex. 4.24 (read in a transcription): nose radius 0.7, feed 0.125: 0.0028 mm
    assert finish.feed_mark_height.bare(1.4, 0.125) / UM == pytest.approx(0.0028, abs=5e-5)


def test_feed_mark_roughness_of_the_trap_list():
    """README.md, trap 4 (derived): Ra of feed marks f^2/(18 sqrt 3 R), the thin limit; 1e-4 at f = R/50."""
    height = finish.feed_mark_height.bare(10.0, 0.1)
    ra = finish.ra_from_scallop.bare(10.0, height)
    assert ra == pytest.approx(0.1**2 / (18 * math.sqrt(3) * 5) * UM, rel=1e-4)


@pytest.mark.parametrize(("grade", "ra"), GRADES.items())
def test_grades(grade, ra):
    assert float(finish.ra_from_grade.bare(grade)) == ra
    assert float(finish.grade_from_ra.bare(ra)) == grade
    # F05: the nominal inch figures are rounded: 2 % and 0.6 uin
    nominal = MICROINCH[grade - 1]
    assert float(finish.ra_from_grade.bare(grade)) / 0.0254 == pytest.approx(nominal, abs=max(0.6, 0.02 * nominal))


def test_outside_the_domain_is_not_a_number():
    assert math.isnan(finish.ra_from_scallop.bare(10.0, 5001.0))
    assert math.isnan(finish.feed_mark_height.bare(10.0, 10.1))
    for grade in (0, 13, 2.5):
        assert math.isnan(float(finish.ra_from_grade.bare(grade)))


def test_arrays_give_what_scalars_give(witness):
    same = witness.assert_same_as_scalars
    diameters, heights = np.array([2.0, 10.0, 6.0, 4.0]), np.array([0.1, 5.0, 100.0, 2000.0])
    same(finish.ra_from_scallop.bare, diameters, heights / 2)
    same(finish.rz_from_scallop.bare, diameters, heights / 2)
    same(finish.scallop_from_ra.bare, diameters, heights / 20)
    same(finish.scallop_from_rz.bare, diameters, heights / 2)
    same(finish.feed_mark_height.bare, diameters, heights / 2000)
    same(finish.ra_from_grade.bare, [1, 5, 7, 12])
    same(finish.grade_from_ra.bare, [0.025, 0.4, 1.6, 50.0])
