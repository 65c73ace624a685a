"""What made a surface: against surfaces cut numerically, the stated rule, and what cannot be decided."""

from __future__ import annotations

import math

import numpy as np
import pytest
from jobs import EXAMPLE, changed

from millcalc.errors import ArgumentError
from millcalc.planning import plan
from millcalc.planning.expected import expected_marks
from millcalc.planning.measured import RULE, Measured, read_surface
from millcalc.quantities.display import units
from millcalc.quantities.record import number

PLAN = plan(EXAMPLE)
BALL = 3.0  # mm, radius of the shipped job's ball
EVERY = {name: number(PLAN, name) for name in ("stepover", "feed_per_tooth", "feed_per_revolution", "point_spacing")}


def cut_by_arcs(spacing, proud=(0.0,), radius=BALL, length=None):
    """Heights [um] left by arcs a spacing apart, lowest wins; the k-th arc lies lower by `proud` [um], in turn."""
    length = 40 * spacing if length is None else length
    x = np.linspace(0.0, length, 6_001)
    centres = np.arange(-5, round(length / spacing) + 6)
    lowered = np.array(proud)[centres % len(proud)]
    heights = [
        1000.0 * (d * d) / (2.0 * radius) - low for d, low in zip(x - centres[:, None] * spacing, lowered, strict=True)
    ]
    return x, np.min(heights, axis=0)


def measured_on(x, z):
    """Spacing [mm] of the marks by their greatest harmonic, Ra and Rz [um] about the mean line."""
    z = z - z.mean()
    power = np.abs(np.fft.rfft(z[:-1] * np.hanning(len(z) - 1))) ** 2
    place = int(np.argmax(power[2:])) + 2
    # between two lines of the spectrum by the parabola through three
    before, at, after = np.log(power[place - 1 : place + 2])
    shift = 0.5 * (before - after) / (before - 2.0 * at + after)
    return (x[-1] - x[0]) / (place + shift), float(np.abs(z).mean()), float(np.ptp(z))


def reading(across=None, along=None, made=PLAN):
    """Read the surface of two profiles."""
    given = {}
    for way, profile in (("across", across), ("along", along)):
        if profile is not None:
            spacing, ra, rz = measured_on(*profile)
            given |= {f"spacing_{way}": f"{spacing} mm", f"ra_{way}": f"{ra} um", f"rz_{way}": f"{rz} um"}
    return read_surface(made, **given)


def row_of(found, cause):
    return next(row for row in found.rows if row.cause == cause)


def test_expected_marks_are_those_of_surfaces_cut_numerically():
    """Derived here: parabolas that envelop each other; Ra and height by summing about the mean line."""
    rows = {marks.cause: marks for marks in expected_marks(PLAN)}
    # along a convex surface of 120 mm the ball's arc bends away from it by both curvatures
    along = 1.0 / (1.0 / BALL + 1.0 / 120.0)
    for cause, radius in {"scallops": BALL, "tooth marks": along, "revolution marks": along}.items():
        _, ra, rz = measured_on(*cut_by_arcs(rows[cause].spacing, radius=radius))
        assert (rows[cause].ra, rows[cause].rz) == pytest.approx((ra, rz), rel=2e-3), cause
    # chords of the surface's arc, upside down; the programmed tip runs on a path a little shorter
    _, z = cut_by_arcs(rows["facets"].spacing, radius=120.0)
    upside_down = np.mean(z) - z
    assert rows["facets"].ra == pytest.approx(np.abs(upside_down).mean(), rel=0.03)
    assert rows["facets"].least_spacing == pytest.approx(80.0 / 164)


def test_scallops_cut_numerically_are_known_again_and_need_no_correction():
    found = reading(across=cut_by_arcs(EVERY["stepover"]))
    assert found.across == "scallops"
    assert number(found, "ra_factor") == pytest.approx(1.0, abs=0.01)
    assert number(found, "rz_factor") == pytest.approx(1.0, abs=0.01)
    assert row_of(found, "scallops").fit == 1.0
    assert found.undecided == ("along: nothing was measured there",)


@pytest.mark.parametrize(
    ("cause", "spacing", "proud", "radius"),
    [
        ("tooth marks", "feed_per_tooth", (0.0,), BALL),
        # one of two teeth proud by 10 um wipes out the marks of the other: f_z^2/(2 R) is 0.8 um
        ("revolution marks", "feed_per_tooth", (10.0, 0.0), BALL),
        ("facets", "point_spacing", (0.0,), 120.0),
    ],
)
def test_marks_along_cut_numerically_are_told_apart(cause, spacing, proud, radius):
    found = reading(along=cut_by_arcs(EVERY[spacing], proud, radius))
    assert found.along == cause
    assert found.rows[0].cause == cause
    assert number(found.rows[0], "ra_ratio") == pytest.approx(1.0, abs=0.08)
    assert all(row.fit is None or row.fit <= 0.5 for row in found.rows[1:])
    assert found.across == ""


def test_roughness_above_the_ideal_is_the_correction():
    x, z = cut_by_arcs(EVERY["stepover"])
    rough = z + np.random.default_rng(3).normal(0.0, 0.5, len(z))
    _, ra, _ = measured_on(x, rough)
    found = read_surface(PLAN, spacing_across="0.19 mm", ra_across=f"{ra} um")
    assert found.ra_factor == pytest.approx(ra / number(PLAN, "ra"), rel=1e-12)
    assert found.ra_factor > 1.2
    assert found.rz_factor is None
    assert f"measured Ra is {found.ra_factor:.2f} times" in found.text


RATIOS = [1.0, 1.1, 1 / 0.9, 1.15, 1.3, 1.5, 1.6, 0.95, 0.8, 0.65, 0.5]


@pytest.mark.parametrize("ratio", RATIOS)
def test_the_spacing_part_follows_the_stated_rule(ratio):
    """The rule as `RULE` states it, written out: the height is not known, so it counts half."""
    beyond = max(ratio / 1.1, 0.9 / ratio, 1.0)
    part = max(0.0, 1.0 - math.log(beyond, 1.4))
    row = row_of(read_surface(PLAN, spacing_across=f"{ratio * EVERY['stepover']} mm"), "scallops")
    assert number(row, "fit") == pytest.approx(0.75 * part, abs=1e-9)
    assert number(row, "spacing_ratio") == pytest.approx(ratio)
    assert "within 10 %" in RULE


@pytest.mark.parametrize("ratio", [0.9, 1.0, 2.0, 2.2, 3.0, 4.4, 6.0, 0.6, 0.45, 0.2])
def test_the_height_part_follows_the_stated_rule(ratio):
    beyond = max(ratio / 2.2, 0.9 / ratio, 1.0)
    part = max(0.0, 1.0 - math.log(beyond, 2.0))
    asked = {"ra_across": f"{ratio * number(PLAN, 'ra')} um", "rz_across": "100 um"}
    row = row_of(read_surface(PLAN, spacing_across="0.19 mm", **asked), "scallops")
    assert number(row, "fit") == pytest.approx((1.0 + part) / 2.0, abs=1e-9)
    alone = row_of(read_surface(PLAN, rz_across=f"{ratio * number(PLAN, 'rz')} um"), "scallops")
    assert number(alone, "fit") == pytest.approx(0.5 * (1.0 + part) / 2.0, abs=1e-9)


def test_roughness_alone_names_no_cause():
    found = read_surface(PLAN, ra_across="0.5 um", ra_along="0.3 um")
    assert (found.across, found.along) == ("", "")
    assert [t.partition(":")[0] for t in found.undecided] == ["across", "along"]
    assert all("roughness alone names no cause" in t for t in found.undecided)
    # the correction is told, with what it rests on
    assert found.ra_factor == pytest.approx(0.5 / number(PLAN, "ra"))
    assert "the spacing there was not measured" in found.remarks[0]


def test_marks_of_no_cause_are_said_to_be_that():
    found = read_surface(PLAN, spacing_along="1.1 mm", spacing_across="0.3 mm", ra_across="1 um")
    assert (found.across, found.along, found.ra_factor) == ("", "", None)
    across, along, correction = found.undecided
    assert "scallops a stepover apart are nearest, at 1.58 times theirs" in across
    assert "chord facets a point spacing apart are nearest, at 2.24 times theirs" in along
    assert "chatter" in along
    assert correction.endswith("the marks across do not lie a stepover apart")


def test_exchanged_directions_are_noticed():
    found = read_surface(PLAN, spacing_across="0.0675 mm", spacing_along="0.19 mm")
    assert "marks a tooth apart: were across and along exchanged?" in found.undecided[0]
    assert "scallops a stepover apart: were across and along exchanged?" in found.undecided[1]


def test_causes_as_far_apart_are_not_told_apart():
    fixed = {"point_spacing": f"{EVERY['feed_per_revolution']} mm"}
    made = plan(changed(fixed=fixed, machine={"block_time": "0.1 ms"}))
    spacing = number(made, "feed_per_revolution")
    assert spacing == pytest.approx(number(made, "point_spacing"), rel=0.05)
    found = read_surface(made, spacing_along=f"{spacing} mm")
    assert found.along == ""
    assert "fit alike; cut again with another spindle speed" in found.undecided[1]
    # their heights tell
    told = read_surface(made, spacing_along=f"{spacing} mm", ra_along=f"{number(row_of(found, 'facets'), 'ra')} um")
    assert told.rows[0].cause == "facets"


def test_runout_other_than_planned_is_remarked():
    one = f"{EVERY['feed_per_tooth']} mm"
    assert "less runout than planned" in read_surface(PLAN, spacing_along=one).remarks[0]
    true = plan(changed(cutter={"eccentricity": "0 um"}))
    apart = f"{number(true, 'feed_per_revolution')} mm"
    found = read_surface(true, spacing_along=apart)
    assert found.along == "revolution marks"
    assert "more runout than planned" in found.remarks[0]
    assert read_surface(PLAN, spacing_along=f"{EVERY['feed_per_revolution']} mm").remarks == ()


def test_one_tooth_leaves_one_kind_of_marks():
    made = plan(changed(cutter={"teeth": 1}))
    assert [m.cause for m in expected_marks(made)] == ["scallops", "tooth marks", "facets"]
    found = read_surface(made, spacing_along=f"{number(made, 'feed_per_tooth')} mm")
    assert (found.along, found.remarks) == ("tooth marks", ())


def test_a_decided_cause_that_does_not_explain_the_roughness_says_so():
    rough = read_surface(PLAN, spacing_across="0.19 mm", ra_across="2 um")
    assert rough.across == "scallops"
    assert "Ra is 5.19 times ideal; something else roughens it" in rough.remarks[0]
    smooth = read_surface(PLAN, spacing_across="0.19 mm", rz_across="0.5 um")
    assert "Rz is 0.33 times ideal; smoother than" in smooth.remarks[0]


def test_facets_of_a_straight_path_leave_nothing():
    made = plan(changed(surface={"radius_along": "flat"}))
    found = read_surface(made, spacing_along=f"{number(made, 'point_spacing')} mm")
    row = row_of(found, "facets")
    assert (row.fit, row.ra_ratio, row.remark) == (0.0, None, "chords of a straight path leave none")
    assert found.along == ""
    assert "facets a point spacing apart would lie so far apart, but ideal geometry leaves none" in found.undecided[1]


def test_what_lies_further_apart_than_the_cut_off_is_waviness():
    """Ra up to 2 um is measured with a cut-off of 0.8 mm, ISO 21920-3 (the module's table, from memory)."""
    made = plan(changed(fixed={"point_spacing": "1 mm"}))
    found = read_surface(made, spacing_along="1 mm", ra_along="1.5 um")
    row = row_of(found, "facets")
    assert "cut-off" in row.remark
    assert row.fit == 0.75
    assert found.along == "facets"


def test_scallops_beyond_the_cut_off_are_not_corrected():
    made = plan(changed(fixed={"stepover": "1 mm"}))
    found = read_surface(made, spacing_across="1 mm", ra_across="0.5 um")
    assert (found.across, found.ra_factor) == ("scallops", None)
    assert "does not count them" in found.undecided[1]
    # as rough as such scallops are, they are measured with a longer one
    assert read_surface(made, spacing_across="1 mm", ra_across="12 um").ra_factor == pytest.approx(
        12 / number(made, "ra")
    )


SLOPES = {"slope_from": "10 deg", "slope_to": "60 deg"}


def test_on_a_range_of_slopes_the_stepover_is_a_range():
    job = changed(surface=SLOPES, passes={"spacing": "plan view"}, fixed={"stepover": "0.1 mm"})
    made = plan(job)
    low, high = 0.1 / math.cos(math.radians(10)), 0.1 / math.cos(math.radians(60))
    row = row_of(read_surface(made, spacing_across="0.15 mm"), "scallops")
    assert (number(row, "least_spacing"), number(row, "spacing")) == pytest.approx((low, high))
    assert (row.spacing_ratio, row.fit) == (1.0, 0.75)
    # low scallops rise with the square of the stepover, so the flattest slope has the least
    assert number(row, "least_ra") == pytest.approx(number(row, "ra") * (low / high) ** 2, rel=1e-3)
    # the ball's parabola over that stepover: Ra 4/(9 sqrt 3) of its height, derived
    ra = 4 / (9 * math.sqrt(3)) * 1000 * 0.15**2 / (8 * BALL)
    found = read_surface(made, spacing_across="0.15 mm", ra_across=f"{1.5 * ra} um")
    assert found.ra_factor == pytest.approx(1.5, rel=2e-3)
    assert "changes with the slope" in read_surface(made, ra_across="0.3 um").undecided[2]


BAD = [
    ({"spacing_across": 0.19}, "spacing_across: given 0.19; a length needs a unit"),
    ({"ra_across": float("nan")}, "ra_across: given nan; a roughness needs a unit"),
    ({"ra_along": "-0.2 um"}, "ra_along: given '-0.2 um'; it lies outside the domain"),
    ({"spacing_along": "0 mm"}, "spacing_along: given '0 mm'; it lies outside the domain"),
    ({"rz_along": "inf um"}, "rz_along"),
    ({"ra_across": "0.5 mm/rev"}, "ra_across"),
    ({"spacing_across": ["0.1 mm", "0.2 mm"]}, "an array; a record holds single values"),
    ({}, "there is nothing to read"),
    ({"ra_along": "1 um", "rz_along": "0.8 um"}, "they may be exchanged"),
]


@pytest.mark.parametrize(("given", "said"), BAD, ids=[said for _, said in BAD])
def test_values_that_cannot_be_used_are_refused(given, said):
    with pytest.raises(ArgumentError) as caught:
        read_surface(PLAN, **given)
    assert said in str(caught.value)


def test_quantities_of_nan_are_refused_and_all_faults_are_listed():
    import pint

    ureg = pint.get_application_registry()
    with pytest.raises(ArgumentError) as caught:
        read_surface(PLAN, ureg.Quantity(math.nan, "mm"), 3, "-1 mm")
    assert [f.where for f in caught.value.faults] == ["spacing_across", "ra_across", "spacing_along"]
    assert caught.value.faults[0].reason == "it is not a number (NaN)"
    assert all(f.accepted and f.example for f in caught.value.faults)
    with pytest.raises(ArgumentError, match="no plan of a finishing cut"):
        read_surface(EXAMPLE, spacing_across="0.19 mm")


def test_inch_texts_are_read_and_the_text_follows_the_units():
    found = read_surface(PLAN, spacing_across="7.5 thou", ra_across="20 uin")
    assert found.across == "scallops"
    assert found.ra_factor == pytest.approx(20 * 0.0254 / number(PLAN, "ra"))
    assert found.measured == Measured(spacing_across="7.5 thou", ra_across="20 uin")
    assert number(found.measured, "spacing_across") == pytest.approx(0.1905)
    with units("inch"):
        assert "expected every 0.00748 in" in found.text
    assert str(found) == found.text
