"""Plans with cutters of any form: a ball told as another form plans as the ball; comparisons; job files."""

import re
from pathlib import Path

import numpy as np
import pytest
from jobs import EXAMPLE, changed

import millcalc as m
from millcalc.errors import ImpossibleJobError, JobError
from millcalc.planning import compare, example_text, plan
from millcalc.planning.reading import job_from_text
from millcalc.quantities.record import fields_of, number
from millcalc.report import plan_page

AS_FORM = m.CornerRadiusEndMill(diameter="6 mm", corner_radius="3 mm", teeth=2, overhang="24 mm")
BULL = m.CornerRadiusEndMill(diameter="10 mm", corner_radius="1.5 mm", teeth=4, overhang="30 mm")
FREE_BULL = BULL.with_(overhang=None)
"""Without an overhang no forces are calculated, which take most of a plan's time."""
LENS = m.family("lens")(diameter="8 mm", segment_radius="25 mm", corner_radius="1 mm", teeth=4, overhang="32 mm")
FREE_LENS = LENS.with_(overhang=None)
SLOPES = {"slope_from": "20 deg", "slope_to": "40 deg", "radius_across": "150 mm"}
# with an overhang deflection and forces are compared, too
UNLOADED = {"cutter": {"overhang": None}}
JOBS = {
    "leaned and curved both ways, back and forth": {
        "axis": {"lead": "12 deg", "tilt": "-8 deg"},
        "surface": {"radius_across": "-60 mm", "radius_along": "-90 mm"},
        "passes": {"pattern": "back and forth", "cut": None, "uncut_side": "left"},
    },
    "axis upright, inch": {
        "axis": {"lead": None, "tilt": None, "direction": "vertical"},
        "surface": SLOPES,
        "passes": {"spacing": "step down"},
        "settings": "inch",
    },
    "fixed values": {"fixed": {"stepover": "0.25 mm", "feed_per_tooth": "0.05 mm", "point_spacing": "0.3 mm"}},
    "rz": UNLOADED | {"finish": {"ra": None, "rz": "4 um"}},
    "scallop": UNLOADED
    | {"finish": {"ra": None, "scallop_height": "3 um"}, "axis": {"programmed_point": "ball centre"}},
}


@pytest.mark.parametrize("name", JOBS)
def test_a_ball_told_as_another_form_plans_as_the_ball(name):
    job = changed(**JOBS[name])
    ball, form = plan(job), plan(job.with_(cutter=AS_FORM.with_(overhang=job.cutter.overhang)))
    for field in (n for n, f in fields_of(ball).items() if f.kind):
        one, other = number(ball, field), number(form, field)
        if one is None:
            assert other is None, field
            continue
        # the mean chip is an integral good to 1e-3, and what is counted or rounded may turn at a last digit
        assert other == pytest.approx(one, rel=2e-3 if "mean_chip" in field else 1e-5), field
    assert dict(ball.governed) == dict(form.governed)
    assert {c.name for c in ball.cautions} == {c.name for c in form.cautions}


@pytest.mark.parametrize("cutter", [FREE_BULL, LENS, m.FlatEndMill(diameter="6 mm", teeth=2)], ids=lambda c: c.family)
def test_a_plan_is_what_the_cutters_answers_say(cutter):
    made = plan(changed(cutter=cutter, axis={"lead": "3 deg", "tilt": "1 deg"}))
    place = (made.stepover, "3 deg", "1 deg")
    assert made.scallop_height.magnitude == pytest.approx(cutter.scallop_height(*place).magnitude, rel=1e-12)
    assert made.ra.magnitude == pytest.approx(cutter.roughness(*place).ra.magnitude, rel=1e-12)
    assert made.scallop_height <= cutter.scallop_for_ra("0.4 um", "3 deg", "1 deg")  # half of Ra 0.8 um
    assert made.contact_diameter.magnitude == pytest.approx(cutter.contact_diameter("3 deg", "1 deg").magnitude)
    mark = cutter.mark_height(made.feed_per_tooth, "3 deg", "1 deg", made.job.surface.radius_along)
    assert made.feed_mark_height.magnitude == pytest.approx(mark.magnitude, rel=1e-9)
    sheet = str(made.sheet())
    assert "method" not in sheet
    assert cutter.scallop_height.method in sheet


def test_rows_of_a_comparison_are_plans():
    job = changed(cutter=BULL, axis={"lead": "4 deg"})
    table = compare(job, corner_radius=["1 mm", "2 mm", "5 mm"], diameter=["10 mm", "12 mm"], stepover=["0.2 mm"])
    assert len(table) == 6
    for row in (1, 2, 4):  # each corner radius, each diameter, and the ball
        made = table.plan(row)
        for name in ("scallop_height", "largest_diameter", "chip_thickness", "operation_time", "rz_along"):
            assert table.values[name][row] == pytest.approx(number(made, name), rel=1e-9), name


def test_lean_and_stock_are_arrays_too():
    leads, stocks = ["1 deg", "4 deg"], ["0.05 mm", "0.2 mm"]
    table = compare(changed(cutter=FREE_LENS), in_step=True, lead=leads, stock=stocks)
    plans = [table.plan(row) for row in range(2)]
    for name in ("contact_diameter", "largest_diameter", "feed_per_tooth"):
        assert list(table.values[name]) == pytest.approx([number(made, name) for made in plans], rel=1e-12), name
    assert (np.diff(table.values["contact_diameter"]) > 0).all()
    assert (np.diff(table.values["largest_diameter"]) > 0).all()


def test_the_operation_before_is_a_ball():
    table = compare(changed(cutter=FREE_BULL), before=True, stepover=["0.2 mm"])
    assert isinstance(table.row_job(0).cutter, m.BallEndMill)
    assert table.row_job(0).cutter.teeth == 4
    assert table.values["scallop_height"][0] == pytest.approx(9.008, abs=5e-4)  # a 10 mm ball at 0.6 mm


def test_a_form_that_does_not_exist_is_an_error_of_the_comparison():
    with pytest.raises(JobError, match="corner_radius: given 6 mm; it is above 5 mm"):
        compare(changed(cutter=BULL), corner_radius=["1 mm", "6 mm"])


def test_a_trough_too_tight_for_the_lean_is_impossible():
    with pytest.raises(ImpossibleJobError, match="does not fit into the concave radius across"):
        plan(changed(cutter=FREE_BULL, axis={"lead": "1 deg"}, surface={"radius_across": "-150 mm"}))
    assert plan(changed(cutter=FREE_BULL, axis={"lead": "5 deg"}, surface={"radius_across": "-150 mm"}))


@pytest.mark.parametrize(
    ("lines", "kind", "page"),
    [
        ('family = "flat"\ndiameter = "6 mm"', "FlatEndMill", "flat 6 mm, 2 teeth"),
        (
            'family = "Corner-Radius"\ndiameter = "6 mm"\ncorner_radius = "1 mm"',
            "CornerRadiusEndMill",
            "corner radius 1",
        ),
        ('family = "lens"\ndiameter = "6 mm"\nsegment_radius = "25 mm"', "LensEndMill", "segment radius 25 mm"),
        ('diameter = "6 mm"', "BallEndMill", "ball-nose 6 mm"),
    ],
)
def test_a_job_file_names_the_family(lines, kind, page):
    text = example_text().replace('lead = "15', 'lead = "2').replace('overhang = "24 mm"', "", 1)
    job = job_from_text(text.replace('diameter = "6 mm"', lines, 1))
    assert type(job.cutter).__name__ == kind
    assert page in plan_page(plan(job)).splitlines()[2]


def test_a_job_file_with_a_wrong_cutter_names_table_and_key():
    text = example_text().replace('diameter = "6 mm"', 'family = "lense"\ndiameter = "6 mm"', 1)
    with pytest.raises(JobError, match=r"job: \[cutter\] family: .*nearest: lens"):
        job_from_text(text)
    text = example_text().replace('diameter = "6 mm"', 'family = "corner radius"\ndiameter = "6 mm"', 1)
    with pytest.raises(JobError, match=r"job: \[cutter\] corner_radius: it is missing"):
        job_from_text(text)


def test_the_family_that_developers_are_shown_works():
    text = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")
    (code,) = re.findall(r"```python\n([^`]*class ChamferCutter.*?)```", text, flags=re.DOTALL)
    names = {"__name__": "shown"}
    exec(code, names)
    cutter = names["ChamferCutter"](diameter="6 mm", teeth=2)
    assert plan(EXAMPLE.with_(cutter=cutter, fixed=m.Fixed(stepover="0.01 mm"))).operation_time.magnitude > 0
