"""The pages of plain text: everything a person needs, in metric and in inch, and nothing false."""

import re

import pytest
from jobs import EXAMPLE, changed

import millcalc as m
from millcalc.errors import ArgumentError
from millcalc.planning import compare, plan
from millcalc.planning.cautions import RANKS, SAFETY
from millcalc.quantities.display import quantity_text
from millcalc.quantities.record import fields_of, number
from millcalc.report import comparison_page, plan_page
from millcalc.report.text import lean_in_words

UPRIGHT = {"lead": None, "tilt": None, "direction": "vertical"}
SLOPES = changed(
    axis=UPRIGHT,
    surface={"slope_from": "20 deg", "slope_to": "60 deg", "radius_across": "80 mm"},
    passes={"pattern": "back and forth", "spacing": "step down"},
)
PAGE = plan_page(plan(EXAMPLE))


def row_of(page, word):
    (line,) = [line for line in page.splitlines() if re.match(rf"  {re.escape(word)}(  |$)", line)]
    return line


def test_the_head_states_the_job():
    head = PAGE.split("\n\n")[0]
    for text in (
        "FINISHING PLAN: Press-tool insert, rib (invented), Finish the crown",
        "42CrMo4, ISO 513 P",
        "ball-nose 6 mm, 2 teeth, coated carbide, overhang 24 mm",
        "follows the surface normal, leans 15 deg ahead, contact ahead of the tip",
        "one way, climb, uncut stock on the right, spaced along the surface",
        "0.1 mm along the normal",
        "Ra 0.8 um, form tolerance 0.02 mm",
    ):
        assert text in head


@pytest.mark.parametrize(
    ("axis", "words"),
    [
        ({"lead": "0 deg"}, "along the surface normal, no lean: the contact is the tip"),
        ({"lead": "-12.5 deg"}, "follows the surface normal, leans 12.5 deg back, contact behind the tip"),
        (
            {"lead": "10 deg", "tilt": "-5 deg"},
            "follows the surface normal, leans 10 deg ahead, contact ahead of the tip, "
            "leans 5 deg to the right of the feed",
        ),
        ({"lead": None, "tilt": "5 deg"}, "follows the surface normal, leans 5 deg to the left of the feed"),
    ],
)
def test_the_lean_is_said_in_words(axis, words):
    assert lean_in_words(changed(axis=axis)) == words


def test_a_fixed_axis_is_said_in_words():
    assert lean_in_words(SLOPES) == "vertical, slope 20 deg to 60 deg, travel across the slope, downward"
    up = changed(axis=UPRIGHT | {"direction": [0.1, 0, 1], "travel": "up the slope"}, surface={"slope_from": "5 deg"})
    assert lean_in_words(up).startswith("fixed in [0.1, 0, 1], slope 5 deg")


@pytest.mark.parametrize(
    ("word", "name", "digits"),
    [
        ("spindle speed as set", "spindle_speed", 5),
        ("feed rate as set, programmed point", "feed_rate", 5),
        ("feed rate of the first pass", "first_pass_feed_rate", 5),
        ("stepover as set", "stepover_setting", 5),
        ("point spacing at the contact", "point_spacing", 5),
        ("scallop height", "scallop_height", 3),
        ("feed per tooth at the contact", "feed_per_tooth", 3),
        ("feed rate at the contact", "contact_feed_rate", 3),
        ("number of passes", "passes", 12),
        ("points", "points", 12),
        ("path length in the cut", "path_length", 3),
        ("in the cut", "cutting_time", 3),
        ("rapid moves", "rapid_time", 3),
        ("time of the operation, a lower bound", "operation_time", 3),
    ],
)
@pytest.mark.parametrize("system", ["metric", "inch"])
def test_rows_show_the_numbers_of_the_plan(word, name, digits, system):
    made = plan(EXAMPLE)
    text = quantity_text(number(made, name), fields_of(made)[name].kind, system, digits)
    assert f" {text}" in row_of(plan_page(made, system), word)


def test_what_is_set_says_what_governs():
    made = plan(EXAMPLE)
    for word, name in (("spindle speed as set", "spindle_speed"), ("stepover as set", "stepover")):
        assert row_of(PAGE, word).endswith(f"governed by: {made.governed_by(name)}")
    assert row_of(PAGE, "feed per tooth at the contact").endswith(f"governed by: {made.governed_by('feed_per_tooth')}")


def test_the_setting_is_called_what_it_is():
    made = plan(SLOPES)
    step = quantity_text(number(made, "stepover_setting"), fields_of(made)["stepover_setting"].kind, digits=5)
    assert step in row_of(plan_page(made), "step down as set")
    plan_view = changed(surface={"slope_from": "20 deg"}, passes={"spacing": "plan view"})
    assert row_of(plan_page(plan(plan_view)), "stepover in plan view as set")
    assert "step down as set" not in PAGE


def test_each_condition_has_its_row():
    made = plan(SLOPES)
    page = plan_page(made)
    assert "IN EACH CONDITION" in page
    assert "IN EACH CONDITION" not in PAGE
    for condition in made.conditions:
        (line,) = [li for li in page.splitlines() if li.strip().startswith(f"{condition.name}  ")]
        for name in ("slope", "lead", "tilt", "least_diameter", "contact_diameter", "largest_diameter"):
            assert quantity_text(number(condition, name), fields_of(condition)[name].kind) in line
    (head,) = [li for li in page.splitlines() if li.split()[:3] == ["slope", "lead", "tilt"]]
    assert head.split()[-1] == "largest"


def test_cautions_come_worst_first_and_safety_last():
    made = plan(changed(axis={"lead": "0 deg"}, before={"stock": "0.02 mm"}, fixed={"stepover": "0.9 mm"}))
    page = plan_page(made)
    places = [page.index(f"  {c}") for c in made.cautions]
    assert places == sorted(places)
    assert [c.rank for c in made.cautions] == sorted((c.rank for c in made.cautions), key=RANKS.index)
    assert page.endswith("\n".join(SAFETY))


def test_what_was_assumed_is_listed_with_its_source():
    made = plan(EXAMPLE)
    for row in made.assumed:
        (line,) = [li for li in PAGE.splitlines() if li.startswith(f"  {row.name} = ")]
        assert row.meaning in line
        assert line.endswith(f"({row.source})")
    for row in made.basis:
        assert f"({row.source}, {row.how_known}, {row.scope})" in PAGE


def test_an_inch_page_has_no_metric_number():
    """But for the sentences of assumptions, which state rules of thumb."""
    made = plan(SLOPES.with_(fixed=SLOPES.fixed.with_(stepover="0.3 mm", feed_per_tooth="0.1 mm")))
    page = plan_page(made, "inch")
    kept = [line.split(": ")[0] if " = " in line else line for line in page.splitlines() if "what will be" not in line]
    assert not re.search(r"\d (mm|um|m/min|cm\^3)\b", "\n".join(kept))
    assert re.search(r"\d ft/min", page)
    assert re.search(r"\d uin", page)


def test_the_system_in_use_is_taken_and_an_unknown_one_refused():
    made = plan(EXAMPLE)
    with m.units("inch"):
        assert plan_page(made) == plan_page(made, "inch")
        assert plan_page(made, "metric") == PAGE
    with pytest.raises(ArgumentError, match="is no system of units"):
        plan_page(made, "imperial")
    with pytest.raises(ArgumentError, match="is no system of units"):
        comparison_page(compare(EXAMPLE, teeth=[2]), "imperial")


def test_a_job_without_words_has_a_plain_head():
    page = plan_page(plan(EXAMPLE.with_(part="", operation="")))
    assert page.splitlines()[0] == "FINISHING PLAN"
    short = changed(cutter={"overhang": None}, passes={"pattern": "back and forth"})
    assert "coated carbide\n" in plan_page(plan(short))
    assert "back and forth, uncut stock first on the right" in plan_page(plan(short))


@pytest.mark.parametrize(
    ("finish", "words"),
    [
        ({"ra": None, "grade": "N5"}, "grade N5"),
        ({"ra": None, "rz": "4 um"}, "Rz 4 um"),
        ({"ra": None, "scallop_height": "2 um"}, "scallop height 2 um"),
    ],
)
def test_the_finish_is_named(finish, words):
    assert f"wanted    {words}, form tolerance" in plan_page(plan(changed(finish=finish)))


def test_lines_have_no_loose_ends():
    for made in (plan(EXAMPLE), plan(SLOPES)):
        for system in ("metric", "inch"):
            for line in plan_page(made, system).splitlines():
                assert line == line.rstrip()
                assert not re.search(r"\b(nan|None|inf)\b", line)


# --- the comparison ---------------------------------------------------------------------------------------------


def test_the_table_has_a_row_for_each_variant():
    table = compare(EXAMPLE, stepover=["0.1 mm", "0.2 mm"], teeth=[2, 3])
    lines = comparison_page(table).splitlines()
    assert lines[0].split()[:4] == ["row", "stepover", "teeth", "scallop"]
    assert [line.split()[1:4] for line in lines[1:5]] == [
        ["0.1", "mm", "2"],
        ["0.1", "mm", "3"],
        ["0.2", "mm", "2"],
        ["0.2", "mm", "3"],
    ]
    assert len({len(line) for line in lines[:5]}) == 1  # the columns stand under each other
    assert lines[5] == "multiples of row 0"
    for row, line in enumerate(lines[1:5]):
        height = quantity_text(table.values["scallop_height"][row], fields_of(m.Plan)["scallop_height"].kind)
        assert f" {height} " in line
        assert f" {table.multiples()['points'][row]:.3g} " in line


def test_an_impossible_row_says_why():
    page = comparison_page(compare(EXAMPLE, stepover=["0.1 mm", "6.5 mm"]))
    lines = page.splitlines()
    assert lines[2].split()[:3] == ["1", "6.5", "mm"]
    assert lines[2].split()[3:].count("-") >= 10
    assert not re.search(r"\d", " ".join(lines[2].split()[3:]))
    (why,) = [line for line in lines if line.startswith("row 1: impossible: fixed.stepover: passes so far apart")]
    assert "accepted: a stepover up to that at which passes meet" in why


def test_the_table_follows_base_before_and_units():
    table = compare(EXAMPLE, before=True, base=1, stepover=["0.1 mm"])
    lines = comparison_page(table, "inch").splitlines()
    assert lines[1].split()[1:3] == ["0.02362", "in"]
    assert re.search(r" 1 +1 +1 ", lines[2])
    assert {"multiples of row 1", "row 0 is the operation before"} <= set(lines)
    assert " mm" not in "\n".join(lines)


def test_words_and_what_is_not_given_are_shown():
    page = comparison_page(
        compare(EXAMPLE, material=["C45", m.material("7075")], holder_spindle_speed=[None, "9000 rpm"])
    )
    rows = [line.split() for line in page.splitlines()[1:5]]
    assert [r[1:3] for r in rows[:2]] == [["C45", "-"], ["C45", "9000"]]
    assert m.material("7075").designation in page
