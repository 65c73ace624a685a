"""The sheet of a plan: the same kernel with a recorder, complete, true step by step, and free when not asked."""

import math

import numpy as np
import pytest
from jobs import EXAMPLE, changed

import millcalc as m
from millcalc.planning import plan
from millcalc.planning.inputs import inputs_of
from millcalc.planning.kernel import run
from millcalc.quantities import sheet as sheet_module
from millcalc.quantities.record import fields_of, number
from millcalc.quantities.sheet import Choice, Step

ALONE = {"previous_diameter": None, "previous_stepover": None}


SLOPES = {
    "axis": {"lead": None, "tilt": None, "direction": "vertical"},
    "surface": {"slope_from": "20 deg", "slope_to": "60 deg", "radius_across": "50 mm"},
    "passes": {"pattern": "back and forth", "spacing": "step down"},
    "finish": {"ra": None, "grade": "N6"},
    "before": {"previous_stepover": None, "previous_step_down": "0.2 mm"},
}
FIXED = {
    "fixed": {
        "stepover": "0.2 mm",
        "spindle_speed": "9000 rpm",
        "feed_per_tooth": "0.04 mm",
        "point_spacing": "0.3 mm",
    },
    "before": ALONE,
    "finish": {"ra": None, "scallop_height": "3 um"},
    "assumed": {"entry_length": "2 mm"},
}
# job; the numbers that are no result of a step: given as they are, or nothing because there is no such move
JOBS = {
    "shipped": ({}, {"link_time"}),
    "slopes": (SLOPES, {"rapid_time"}),
    "Rz, same feed": ({"finish": {"ra": None, "rz": "4 um"}, "assumed": {"first_pass": "same feed"}}, {"link_time"}),
    "fixed": (
        FIXED,
        {"stepover_setting", "stepover", "spindle_speed", "scallop_allowed", "greatest_depth", "link_time"},
    ),
    "chart value": ({"fixed": {"feed_per_tooth": "0.04 mm", "feed_radial_width": "0.3 mm"}}, {"link_time"}),
}


@pytest.fixture(params=list(JOBS))
def case(request):
    tables, given = JOBS[request.param]
    made = plan(changed(**tables))
    return made, made.sheet(), given


def results_of(sheet):
    for step in sheet.steps:
        yield from step.result if isinstance(step.result, tuple) else (step.result,)


def test_every_number_of_the_plan_is_the_result_of_a_step(case):
    made, sheet, given = case
    found = set(results_of(sheet))
    values = {n: number(made, n) for n, f in fields_of(made).items() if f.kind and number(made, n) is not None}
    # a number fixed or given may by chance be a step's result, too; a nought that stands for no move may not be asked
    missing = {n for n, v in values.items() if v not in found}
    assert missing <= given, missing - given
    for name in missing & {"link_time", "rapid_time"}:
        assert values[name] == 0


def test_every_step_is_true(case):
    """The recorded result is the formula's for the recorded numbers, and a choice is one of its candidates."""
    _, sheet, _ = case
    assert len(sheet.steps) > 60
    for step in sheet.steps:
        if isinstance(step, Step):
            with np.errstate(all="ignore"):  # as in the kernel: infinity times nought where a surface is flat
                again = step.formula.bare(*step.numbers)
            assert tuple(map(float, again if isinstance(again, tuple) else (again,))) == pytest.approx(
                step.result if isinstance(step.result, tuple) else (step.result,), rel=1e-12, abs=1e-12, nan_ok=True
            ), step.title
        else:
            assert isinstance(step, Choice)
            assert step.result in [v for _, v in step.candidates], step.title
            named = dict(step.candidates)
            if step.chosen in named:
                assert named[step.chosen] == step.result, step.title


def test_steps_build_on_each_other(case):
    """Whatever goes into a step was given with the job, assumed, read in the material, or came out of a step above."""
    made, sheet, _ = case
    inputs = inputs_of(made.job)
    known = {float(v) for v in inputs.numbers.values() if isinstance(v, (int, float))}
    known |= {p.default for s in sheet.steps if isinstance(s, Step) for p in s.formula.parameters if p.default}
    known |= {0.0, 90.0, 180.0, 270.0, math.inf}
    loose = []
    for step in sheet.steps:
        put_in = step.numbers if isinstance(step, Step) else [v for _, v in step.candidates]
        loose += [(step.title, v) for v in put_in if isinstance(v, float) and v not in known]
        known |= set(step.result if isinstance(step.result, tuple) else (step.result,))
    # what is put together between steps: one pass less, both ends, the feed that other limits leave
    plain = {number(made, "passes") - 1, 2 * number(made, "passes"), 2 * (number(made, "passes") - 1)}
    loose = [(t, v) for t, v in loose if v not in plain and -v not in known]
    # what a limit leaves is found by running the kernel again; one value is the ratio of two shares
    loose = [(t, v) for t, v in loose if "that the limit leaves" not in t]
    assert [t for t, _ in loose] in ([], ["feed marks allowed"])


def test_the_recorder_changes_no_number(case):
    made, _, _ = case
    inputs = inputs_of(made.job)
    plain, recorded = run(inputs.choices, inputs.numbers), run(inputs.choices, inputs.numbers, record=True)
    assert plain.steps is None
    assert recorded.steps
    for part in ("values", "causes", "faults", "cautions"):
        one, other = getattr(plain, part), getattr(recorded, part)
        assert one.keys() == other.keys()
        for name, value in one.items():
            assert repr(value) == repr(other[name]), name


def test_nothing_is_recorded_when_no_sheet_is_asked_for(monkeypatch):
    def refuse(*_, **__):
        raise AssertionError("recorded without being asked")

    for word in ("Step", "Choice"):
        monkeypatch.setattr(sheet_module, word, refuse)
    made = plan(EXAMPLE)
    m.compare(EXAMPLE, stepover=["0.1 mm", "0.2 mm"])
    with pytest.raises(AssertionError, match="recorded"):
        made.sheet()


def test_the_page_has_every_step_with_symbol_numbers_and_source():
    made = plan(EXAMPLE)
    sheet, page = made.sheet(), str(made.sheet())
    assert page.startswith("Press-tool insert, rib (invented) - Finish the crown - calculation")
    for place, step in enumerate(sheet.steps, 1):
        start = page.index(f"\n{place}. {step.title}")
        block = page[start : page.find("\n\n", start)]
        if isinstance(step, Step):
            assert f"    {step.formula.symbol} = " in block
            assert ("    with " in block) == bool(step.numbers)
            assert all(key in block for key in step.formula.sources)
        else:
            assert f"({step.chosen})" in block
            assert all(name in block for name, _ in step.candidates)


def test_the_page_ends_with_what_was_assumed_and_read():
    page = str(plan(EXAMPLE).sheet())
    for row in plan(EXAMPLE).assumed:
        assert f"    {row.name} = " in page
    assert "feed per tooth 0.03 to 0.06 mm" in page
    assert "Local rules and qualified people decide." in page


def test_rules_are_on_the_sheet():
    """Each rule of the plan can be found as a step or a choice."""
    titles = [s.title for s in plan(changed(**SLOPES)).sheet().steps]
    for word in (
        "share of Ra for the scallop",
        "passes, both edges cut",
        "stepover, shared evenly",
        "chord allowed",
        "form budget",
        "largest cutting diameter",
        "spindle speed",
        "feed per tooth",
        "first pass feed rate",
        "point spacing",
        "feed rate",
        "operation time",
    ):
        assert any(t == word or t.startswith(f"{word} (") for t in titles), word
    for word in ("as set", "step down as set", "stepover before", "fixed spacing"):
        everywhere = titles + [s.title for s in plan(changed(**FIXED)).sheet().steps]
        assert any(word in t for t in everywhere) or word == "step down as set", word


def test_steps_name_the_condition_they_hold_in():
    titles = [s.title for s in plan(changed(**SLOPES)).sheet().steps]
    for end in ("flattest slope", "steepest slope"):
        for way in ("way out", "way back"):
            assert f"tilt ({end}, {way})" in titles


def test_the_sheet_follows_the_units_in_use():
    made = plan(EXAMPLE)
    with m.units("inch"):
        page = str(made.sheet())
    # the printed expression is for metric trade units, so these stay, with the inch units beside them
    assert "D = 6 mm (0.2362 in)" in page
    assert "D = 6 mm," in str(made.sheet())


@pytest.mark.parametrize("block_time", ["0.5 ms", "12 ms", "15 ms", "40 ms"])
def test_the_sheet_says_what_governs_the_spacing(block_time):
    made = plan(changed(machine={"block_time": block_time}))
    (choice,) = [s for s in made.sheet().steps if isinstance(s, Choice) and s.title == "point spacing"]
    assert choice.chosen == made.governed_by("point_spacing")
    assert dict(choice.candidates)[choice.chosen] == choice.result
