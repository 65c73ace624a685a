"""A table is told by the relation it was worked out by: rows are made by each relation, by plain arithmetic."""

from __future__ import annotations

import math

import pytest

from millcalc.errors import ArgumentError, DataError, UnknownNameError
from millcalc.evidence import identify, relation, relations_for

DIAMETERS = [3, 4, 5, 6, 8, 10, 12, 16, 20, 25]
WIDTHS = [0.3, 0.5, 0.8, 1.2, 2.0, 3.0, 4.0]


def speeds(compute, form=".0f"):
    rows = [f"{compute(100.0, d):{form}}" for d in DIAMETERS]
    return {"cutting_speed [m/min]": [100] * len(rows), "diameter [mm]": DIAMETERS, "spindle_speed [rpm]": rows}


def chips(compute, unit="mm", form=".4f"):
    rows = [f"{compute(w):{form}}" for w in WIDTHS]
    sizes = {"feed_per_tooth [mm]": [0.1] * len(rows), "diameter [mm]": [10] * len(rows)}
    return {**sizes, "radial_width [mm]": WIDTHS, f"column [{unit}]": rows}


@pytest.mark.parametrize(
    ("compute", "form", "name"),
    [
        (lambda v, d: 1000 * v / (math.pi * d), ".2f", "spindle_speed"),
        (lambda v, d: 1000 * v / (3.14 * d), ".1f", "spindle_speed, pi = 3.14"),
        (lambda v, d: 1000 * v / (22 / 7 * d), ".1f", "spindle_speed, pi = 22/7"),
        (lambda v, d: math.floor(1000 * v / (math.pi * d)), ".0f", "spindle_speed, truncated"),
        (lambda v, d: math.floor(1000 * v / (3.14 * d)), ".0f", "spindle_speed, pi = 3.14, truncated"),
        (lambda v, d: 1000 / 12 * 3.82 * v / d, ".1f", "spindle_speed, 12/pi = 3.82"),
    ],
)
def test_which_pi_and_whether_truncated(compute, form, name):
    found = identify(speeds(compute, form))
    assert [c.name for c in found.best] == [name]
    assert found.best[0].share == 1.0
    assert str(found).startswith(name)


@pytest.mark.parametrize(
    ("compute", "name"),
    [
        (lambda w: 0.2 * math.sqrt(w / 10 * (1 - w / 10)), "max_chip_thickness"),
        (lambda w: 0.2 * math.sqrt(w / 10), "max_chip_thickness, thin cut, 2 f_z sqrt(a_e/D)"),
        (lambda w: 0.2 * w / 10 / math.acos(1 - w / 5), "mean_chip_thickness"),
        (lambda w: 0.1 * math.sqrt(w / 10), "max_chip_thickness, mean of a thin cut, f_z sqrt(a_e/D)"),
        (lambda w: 0.1 * w / 10 / math.asin(w / 10), "mean_chip_thickness, centred, f_z a_e/(D arcsin(a_e/D))"),
    ],
)
def test_largest_or_mean_chip_exact_or_thin(compute, name):
    assert [c.name for c in identify(chips(compute)).best] == [name]


def test_side_or_centred():
    def table(compute):
        rows = [f"{math.degrees(compute(w)):.2f}" for w in WIDTHS]
        return {"diameter [mm]": [10] * len(rows), "radial_width [mm]": WIDTHS, "angle [deg]": rows}

    assert [c.name for c in identify(table(lambda w: math.acos(1 - w / 5))).best] == ["engagement_angle"]
    assert [c.name for c in identify(table(lambda w: 2 * math.asin(w / 10))).best] == ["centred_engagement_angle"]


def scallops(stepovers, form, approximate):
    heights = [1000 * (s * s / 40 if approximate else 5 - math.sqrt(25 - s * s / 4)) for s in stepovers]
    rows = [f"{h:{form}}" for h in heights]
    return {"diameter [mm]": [10] * len(rows), "stepover [mm]": stepovers, "scallop_height [um]": rows}


def test_exact_or_approximate_scallops():
    wide = [0.5, 1.0, 2.0, 3.0, 5.0]
    assert [c.name for c in identify(scallops(wide, ".1f", False)).best] == ["scallop_height"]
    assert [c.name for c in identify(scallops(wide, ".1f", True)).best] == ["scallop_height, s^2/(8 R)"]


def test_ties_are_said():
    """Fine stepovers in few digits: exact and parabola print the same."""
    found = identify(scallops([0.1, 0.2, 0.3], ".2f", False))
    assert {c.name for c in found.best} == {"scallop_height", "scallop_height, s^2/(8 R)"}
    assert str(found).startswith("The printed digits do not tell apart: ")


def test_the_nearest_is_named_where_none_gives_all():
    table = speeds(lambda v, d: 1000 * v / (3.14 * d), ".1f")
    table["spindle_speed [rpm]"][0] = "9999.9"
    found = identify(table)
    assert [c.name for c in found.best] == ["spindle_speed, pi = 3.14"]
    assert (found.best[0].agreeing, found.best[0].rows) == (9, 10)
    assert "(nearest; 9 of 10 rows)" in str(found)
    assert found.candidates[0].mean_difference > 0.0
    nothing = identify(speeds(lambda v, d: 7.7 * d, ".1f"))
    assert nothing.best == ()
    assert str(nothing).startswith("No relation gives any of the rows.")


def test_a_column_rounded_to_tens():
    """Zeros at the end of every number are no digits; of one number they are taken for digits."""
    tens = speeds(lambda v, d: round(1000 * v / (math.pi * d), -1), ".0f")
    found = {c.name: c.agreeing for c in identify(tens).candidates}
    assert found["spindle_speed"] == len(DIAMETERS)
    exact = speeds(lambda v, d: 1000 * v / (3.14 * d))
    assert exact["spindle_speed [rpm]"][7] == "1990"
    assert [c.name for c in identify(exact).best] == ["spindle_speed, pi = 3.14"]


def test_candidates_may_be_named():
    table = scallops([1.0, 3.0], ".1f", True)
    found = identify(table, ["scallop_height, s^2/(8 R)", relation("scallop_height"), "feed_mark_height"])
    assert len(found.candidates) == 2
    assert [c.name for c in found.best] == ["scallop_height, s^2/(8 R)"]
    assert [r.name for r in relations_for("chord_step")] == ["chord_step", "chord_step, sqrt(8 r e)"]


def test_a_question_to_a_cutter():
    cutter = {"family": "flat", "diameter": "10 mm", "teeth": 2}
    heights = [f"{1000 * math.sin(math.radians(5)) * (5 - math.sqrt(25 - s * s / 4)):.3f}" for s in (1.0, 2.0, 4.0)]
    table = {"stepover [mm]": [1, 2, 4], "lead [deg]": [5, 5, 5], "ridge [um]": heights}
    assert "scallop_height" in [c.name for c in identify(table, cutter=cutter).best]


def test_a_csv_and_the_column_to_explain(tmp_path):
    path = tmp_path / "page.csv"
    path.write_text(
        "spindle_speed [rpm],cutting_speed [m/min],diameter [mm]\n3185,100,10\n1592,100,20\n", encoding="utf-8"
    )
    found = identify(path, output="spindle_speed")
    assert found.best[0].name == "spindle_speed, pi = 3.14"


def test_what_cannot_be_identified():
    table = speeds(lambda v, d: 1000 * v / (math.pi * d))
    with pytest.raises(DataError, match="no column has this name"):
        identify(table, output="speed")
    with pytest.raises(ArgumentError, match="no relation has these inputs"):
        identify({"diameter [mm]": [1], "stepover [mm]": [1], "cost [rpm]": [1]})
    with pytest.raises(UnknownNameError, match="no formula has the name"):
        identify(table, ["spindel_speed"])
    with pytest.raises(UnknownNameError, match="no variation 'pi = 3'"):
        identify(table, ["spindle_speed, pi = 3"])
