"""Rules of the plan: finish to stepover, form tolerance.

A test or more for each rule, that fails when it is broken. Expected values are worked out beside each test from the
geometry (derived) or are the assumed values of the trade (common practice); test_plan.py computes whole plans again.
"""

from math import ceil, cos, radians, sin, sqrt

import pytest
from jobs import THIN, changed, numbers

from millcalc.planning import plan
from millcalc.quantities.record import number


@pytest.mark.parametrize(
    ("finish", "allowed"),
    [
        ({"ra": "0.8 um"}, 0.5 * 0.8 / THIN),
        ({"grade": "N6", "ra": None}, 0.5 * 0.8 / THIN),  # N6 is Ra 0.8 um (read, ISO 1302)
        ({"rz": "4 um", "ra": None}, 0.5 * 4.0),
        ({"scallop_height": "4 um", "ra": None}, 4.0),  # a scallop height is that of the scallop, not shared
    ],
)
def test_half_of_the_finish_goes_to_the_scallop(finish, allowed):
    got, height, setting, ra = numbers(
        changed(finish=finish), "scallop_allowed", "scallop_height", "stepover_setting", "ra"
    )
    assert got == pytest.approx(allowed, rel=1e-3)
    # set down: what is left does not exceed what is allowed, and the next stepover would
    assert height <= got
    assert 1000 * (3 - sqrt(9 - (setting + 0.01) ** 2 / 4)) > got
    assert ra == pytest.approx(THIN * height, rel=1e-3)


@pytest.mark.parametrize("share", [0.25, 0.7])
def test_the_share_of_the_scallop_can_be_changed(share):
    assumed = {"scallop_share": share, "feed_mark_share": 0.25}
    assert numbers(changed(assumed=assumed), "scallop_allowed") == pytest.approx(share * 0.8 / THIN, rel=1e-3)


@pytest.mark.parametrize(("share", "height"), [(0.25, 0.25), (0.05, 0.05)])
def test_feed_marks_have_their_share_of_the_finish(share, height):
    """Without runout the marks of each tooth use up their share: f_z = 2 sqrt(h (D - h))."""
    job = changed(cutter={"eccentricity": "0 um"}, assumed={"feed_mark_share": share, "feed_factor": 10})
    made = plan(job)
    assert made.governed_by("feed_per_tooth") == ("feed marks" if share == 0.05 else "wanted chip")
    assert number(made, "feed_mark_height") <= height * 0.8 / THIN * (1 + 1e-3)
    if share == 0.05:
        assert number(made, "feed_mark_height") == pytest.approx(height * 0.8 / THIN, rel=2e-3)


@pytest.mark.parametrize("width", [60.0, 1.9, 0.05, 0.19, 0.191])
def test_passes_cut_both_edges_and_are_equalised(width):
    """Exactly ten stepovers need eleven passes; less than one needs two."""
    passes, setting, equalised = numbers(
        changed(surface={"width": f"{width} mm"}), "passes", "stepover_setting", "equalised_stepover"
    )
    assert setting == 0.19
    assert passes == ceil(round(width / 0.19, 9)) + 1
    assert equalised * (passes - 1) == pytest.approx(width, rel=1e-12)
    assert equalised <= setting * (1 + 1e-9)


@pytest.mark.parametrize(
    ("spacing", "measure", "across"),
    [
        ("plan view", cos(radians(50)), 60 * (sin(radians(50)) - sin(radians(30))) / radians(20)),
        ("step down", sin(radians(30)), 60 * (cos(radians(30)) - cos(radians(50))) / radians(20)),
    ],
)
def test_a_spacing_on_a_slope_holds_at_its_worse_end(spacing, measure, across):
    """Width and spacing in plan view or in height; the stepover along the surface stays within the finish."""
    surface = {"slope_from": "30 deg", "slope_to": "50 deg"}
    got = numbers(
        changed(surface=surface, passes={"spacing": spacing}),
        "stepover_setting",
        "stepover",
        "passes",
        "scallop_height",
        "scallop_allowed",
    )
    setting, stepover, passes, height, allowed = got
    assert passes == ceil(across / setting) + 1
    assert stepover == pytest.approx(across / (passes - 1) / measure, rel=1e-12)
    assert stepover <= setting / measure
    assert height <= allowed
    assert number(plan(changed()), "stepover") * measure - setting < 0.011


@pytest.mark.parametrize(
    ("tolerance", "shares", "cause"),
    [
        ("0.02 mm", (0.1, 1 / 3), "scallop"),
        ("0.004 mm", (0.1, 1 / 3), "form tolerance"),
        ("0.02 mm", (0.02, 1 / 3), "form tolerance"),
        ("0.02 mm", (0.1, 0.1), "scallop"),
    ],
)
def test_form_tolerance_is_spent_once(tolerance, shares, cause):
    """Chords use at most a tenth of the tolerance and a third of the scallop; the budget is the sum in mm."""
    made = plan(
        changed(
            cutter={"overhang": None},
            finish={"form_tolerance": tolerance},
            assumed={"chord_tolerance_share": shares[0], "chord_scallop_share": shares[1]},
        )
    )
    height, allowed, error, budget = (
        number(made, n) for n in ("scallop_height", "chord_allowed", "chord_error", "form_budget")
    )
    parts = {"form tolerance": 1000 * float(tolerance.split()[0]) * shares[0], "scallop": height * shares[1]}
    assert allowed == pytest.approx(min(parts.values()), rel=1e-12)
    assert made.governed_by("chord_allowed") == cause == min(parts, key=parts.get)
    assert error <= allowed * (1 + 1e-12)
    assert budget == pytest.approx((error + height) / 1000, rel=1e-12)
