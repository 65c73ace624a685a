"""Verdicts at the printed digits: tables of TOML, of CSV and of columns; what is marked; the exit status."""

from __future__ import annotations

import pytest

from millcalc import BallEndMill
from millcalc.errors import DomainError
from millcalc.evidence import Case, Report, check
from millcalc.evidence.checking import verdict_of
from millcalc.evidence.verdicts import digits_of


def one(output, formula="cutting_speed", **more):
    inputs = more.pop("inputs", {"diameter": "10 mm", "spindle_speed": "1000 rpm"})
    return verdict_of(Case(id="one", formula=formula, inputs=inputs, output=output, **more))


@pytest.mark.parametrize(
    ("text", "last", "significant"),
    [
        ("0.50 mm", 0.01, 0.01),
        ("1200 mm/min", 1.0, 100.0),
        ("28.6e3 g*mm", 100.0, 100.0),
        ("5", 1.0, 1.0),
        ("0", 1.0, 1.0),
        ("1e3", 1000.0, 1000.0),
        ("-3.10 um", 0.01, 0.01),
        ("1-1/2 in", 0.0, 0.0),
        ("1/2 in", 0.0, 0.0),
        ("N7", 0.0, 0.0),
        (".25", 0.01, 0.01),
        ("600. mm", 1.0, 1.0),
    ],
)
def test_printed_digits(text, last, significant):
    assert digits_of(text) == pytest.approx((last, significant), rel=1e-12)


# v = 31.41593 m/min
@pytest.mark.parametrize(
    ("output", "word", "difference"),
    [
        ("31.42 m/min", "agrees", -0.407),
        ("31.416 m/min", "agrees", -0.0735),
        ("31.41 m/min", "differs", 0.593),
        ("31.43 m/min", "differs", -1.407),
        ("31 m/min", "agrees", 0.416),
        ("30 m/min", "cannot tell", 1.416),
        ("103.1 ft/min", "agrees", -0.294),
        ("100 ft/min", "cannot tell", 3.07),
        ("200 ft/min", "differs", -96.929),
        ("3.1416e1 m/min", "agrees", -0.0735),
        ("", "cannot tell", None),
        ("-", "cannot tell", None),
    ],
)
def test_verdicts(output, word, difference):
    verdict = one(output)
    assert verdict.word == word
    assert verdict.difference == (None if difference is None else pytest.approx(difference, abs=1e-3))
    assert verdict.relation == "cutting_speed"
    assert bool(verdict.reason) == (word == "cannot tell")


def test_a_stated_width_takes_the_place_of_the_digits():
    assert one("30 m/min", half_width=1.5, wider="from a graph").word == "agrees"
    assert one("31.4 m/min", half_width=0.01).word == "differs"


def test_words():
    assert one("N7", "grade_from_ra", inputs={"ra": "1.6 um"}).word == "agrees"
    verdict = one("N6", "grade_from_ra", inputs={"ra": "1.6 um"})
    assert (verdict.word, verdict.computed, verdict.printed, verdict.difference) == ("differs", "N7", "N6", None)


def test_outside():
    """A value that is refused, values that are refused together, and one outside the validated range."""
    refused = one("1 m/min", inputs={"diameter": "-10 mm", "spindle_speed": "1000 rpm"})
    together = one("90 deg", "engagement_angle", inputs={"diameter": "10 mm", "radial_width": "12 mm"})
    told = one(
        "8.5 um",
        "cantilever_deflection",
        inputs={"force": "100 N", "overhang": "20 mm", "diameter": "10 mm", "modulus": "600 GPa"},
    )
    assert [v.word for v in (refused, together, told)] == ["outside validity"] * 3
    assert refused.computed is None
    assert "diameter" in refused.reason
    assert "radial_width <= diameter" in together.reason
    assert told.computed == pytest.approx(0.905, abs=1e-3)
    assert "overhang >= 3*diameter" in told.reason


def test_rounded_inputs_leave_a_doubt():
    """12 m/min at 3.8 mm: the diameter is good to 1.3 %."""
    inputs = {"cutting_speed": "12 m/min", "diameter": "3.8 mm"}
    assert one("1000.3 rpm", "spindle_speed", inputs=inputs).word == "differs"
    verdict = one("1000.3 rpm", "spindle_speed", inputs=inputs, rounded_inputs=True)
    assert verdict.word == "cannot tell"
    assert "rounding of the inputs" in verdict.reason
    assert one("1100.3 rpm", "spindle_speed", inputs=inputs, rounded_inputs=True).word == "differs"
    assert one("1005.2 rpm", "spindle_speed", inputs=inputs, rounded_inputs=True).word == "agrees"


def test_questions_to_a_cutter_and_relations_of_books():
    cutter = {"family": "flat", "diameter": "10 mm", "teeth": 2}
    asked = {"stepover": "0.2 mm", "lead": "20 deg", "tilt": "30 deg"}
    assert one("1.6784 um", "scallop_height", inputs=asked, cutter=cutter).word == "agrees"
    verdict = one("900 um", "scallop_height", inputs={"diameter": "10 mm", "stepover": "6 mm"}, variation="s^2/(8 R)")
    assert (verdict.word, verdict.relation) == ("agrees", "scallop_height, s^2/(8 R)")


COLUMNS = {
    "diameter [mm]": [6, 10, 20],
    "spindle_speed [rpm]": [5305, 3183, 1592],
    "cutting_speed [m/min]": ["100.0", "100.0", "100.3"],
}


def test_columns_name_the_formula_themselves():
    report = check(COLUMNS)
    assert [v.word for v in report.verdicts] == ["agrees", "agrees", "differs"]
    assert {v.case.formula for v in report.verdicts} == {"cutting_speed"}
    assert report.counts == {"agrees": 2, "differs": 1, "outside validity": 0, "cannot tell": 0}


def test_the_formula_and_the_output_may_be_named():
    assert {v.case.formula for v in check(COLUMNS, output="spindle_speed").verdicts} == {"spindle_speed"}
    report = check(
        {"diameter (in)": ["1/2"], "stepover (thou)": [20], "ridge (thou)": ["0.200"]}, formula="scallop_height"
    )
    assert [v.word for v in report.verdicts] == ["agrees"]
    ball = check(
        {"stepover [mm]": ["0.3"], "scallop_height [um]": ["2.251"]}, cutter=BallEndMill(diameter="10 mm", teeth=2)
    )
    assert [v.word for v in ball.verdicts] == ["agrees"]
    of_several = check(
        {"step_down [mm]": ["0.5"], "slope [deg]": [60], "stair_length [mm]": ["0.5774"]},
        formula="stairs",
        result=4,
        cutter={"family": "corner radius", "diameter": "10 mm", "corner_radius": "1 mm", "teeth": 4},
    )
    assert [v.word for v in of_several.verdicts] == ["agrees"]


def test_a_csv_and_a_folder(tmp_path):
    (tmp_path / "speeds.csv").write_text(
        "# invented\ndiameter [mm],spindle_speed [rpm],cutting_speed [m/min]\n10,3183,100.0\n20,1592,\n",
        encoding="utf-8",
    )
    (tmp_path / "grades.toml").write_text(
        'title = "Ours"\nhow_known = "common practice"\n[[case]]\nid = "a"\nformula = "ra_from_grade"\n'
        'inputs = { grade = "N7" }\noutput = "1.6 um"\n',
        encoding="utf-8",
    )
    report = check(tmp_path)
    assert [v.word for v in report.verdicts] == ["agrees", "agrees", "cannot tell"]
    assert report.titles == ("Ours", "speeds")
    assert [v.word for v in check([tmp_path / "grades.toml", COLUMNS]).verdicts] == [
        "agrees",
        "agrees",
        "agrees",
        "differs",
    ]
    assert (report.status(), report.status(strict=True)) == (0, 1)
    semicolons = tmp_path / "de.csv"
    semicolons.write_text(
        "diameter [mm];spindle_speed [rpm];cutting_speed [m/min]\n10;3183;100.0\n", encoding="utf-8-sig"
    )
    assert check(semicolons).status() == 0


def test_status():
    good, bad, unsure = one("31.42 m/min"), one("31.41 m/min"), one("30 m/min")
    marked, wrongly = one("31.41 m/min", disagrees="a slip"), one("31.42 m/min", disagrees="a slip")
    assert Report((good, marked)).status() == 0
    assert Report((good, bad)).status() == 1
    assert Report((good, wrongly)).status() == 1
    assert Report((good, unsure)).status() == 0
    assert Report((good, unsure)).status(strict=True) == 1
    assert Report((unsure,)).status() == 1  # nothing was found to agree
    assert Report(()).status() == 1
    assert Report((good, unsure, wrongly)).amiss == (wrongly,)
    assert Report((good, unsure, wrongly)).undecided == (unsure,)


def test_records_are_frozen():
    with pytest.raises(AttributeError):
        one("31.42 m/min").word = "differs"
    assert isinstance(DomainError("x"), ValueError)
