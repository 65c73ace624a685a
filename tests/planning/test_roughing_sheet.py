"""The sheet of a roughing plan: the same kernel with a recorder, complete, true step by step, free when not asked."""

import importlib.util
import math
from pathlib import Path

import numpy as np
import pytest
from second_roughing import rough

import millcalc as m
from millcalc.planning import plan
from millcalc.planning.roughing.inputs import roughing_inputs
from millcalc.planning.roughing.kernel import run
from millcalc.quantities import sheet as sheet_module
from millcalc.quantities.record import fields_of, number
from millcalc.quantities.sheet import Choice, Step

SLOPED = {"slope_from": "30 deg", "slope_to": "60 deg", "corner_angle": "90 deg", "fillet_radius": "4 mm"}
LIMITS = {"largest_power": "0.35 kW", "largest_torque": "2 N*m", "largest_thrust": "600 N"}
# job; the numbers that are no result of a step: given as they are, or a nought where there is no such move
JOBS = {
    "helix": ({"pocket": SLOPED, "machine": LIMITS}, set()),
    "ramp, corner radius": (
        {
            "family": m.CornerRadiusEndMill,
            "cutter": {"corner_radius": "2 mm", "overhang": None},
            "cut": {"entry": "ramp"},
        },
        set(),
    ),
    "light radial": ({"cut": {"style": "light radial", "slope_step": "2 mm"}, "pocket": SLOPED}, set()),
    "open, fixed": (
        {
            "pocket": {"sides": "open"},
            "cutter": {"overhang": None},
            "fixed": {"axial_depth": "4 mm", "radial_width": "5 mm", "spindle_speed": "3500 rpm"},
        },
        {"axial_depth", "radial_width", "spindle_speed", "entry_exit_time"},
    ),
    "open, chart value": (
        {"pocket": {"sides": "open"}, "fixed": {"feed_per_tooth": "0.05 mm", "feed_radial_width": "3 mm"}},
        {"entry_exit_time"},
    ),
    "fixed feed, ball": (
        {"family": m.BallEndMill, "cutter": {"overhang": None}, "fixed": {"feed_per_tooth": "0.05 mm"}},
        set(),
    ),
    "corners": (
        {"cut": {"style": "corners", "larger_diameter": "20 mm"}, "pocket": {"corner_angle": "90 deg"}},
        {"entry_exit_time"},
    ),
}


@pytest.fixture(scope="module", params=list(JOBS))
def case(request):
    tables, given = JOBS[request.param]
    made = plan(rough(**tables))
    return made, made.sheet(), given


def results_of(steps):
    for step in steps:
        yield from step.result if isinstance(step.result, tuple) else (step.result,)


def test_every_number_of_the_plan_is_the_result_of_a_step(case):
    made, sheet, given = case
    found = set(results_of(sheet.steps))
    values = {n: number(made, n) for n, f in fields_of(made).items() if f.kind and number(made, n) is not None}
    missing = {n for n, v in values.items() if v not in found}
    # the passes along the slopes are the steps of a level less its floor
    assert missing <= given | {"slope_passes"}, missing - given
    assert values.get("entry_exit_time", 0.0) == 0 or "entry_exit_time" not in missing
    assert "slope_passes" not in missing or values["slope_passes"] + 1 in found


def test_every_step_is_true(case):
    """The recorded result is the formula's for the recorded numbers, and a choice is one of its candidates."""
    _, sheet, _ = case
    assert len(sheet.steps) > 40
    for step in sheet.steps:
        if isinstance(step, Step):
            with np.errstate(all="ignore"):
                again = step.formula.bare(*step.numbers)
            found = tuple(map(float, again if isinstance(again, tuple) else (again,)))
            kept = step.result if isinstance(step.result, tuple) else (step.result,)
            assert found == pytest.approx(kept, rel=1e-12, abs=1e-12), step.title
        else:
            assert isinstance(step, Choice)
            assert step.result in [v for _, v in step.candidates], step.title
            named = dict(step.candidates)
            if step.chosen in named:
                assert named[step.chosen] == step.result, step.title
        # a plane with stock on it is a plane
        assert step.title == "offset radius" or all(math.isfinite(r) for r in results_of([step])), step.title


def test_steps_build_on_each_other(case):
    """Whatever goes into a step was given with the job, assumed, read in the material, or came out of a step above."""
    made, sheet, _ = case
    inputs = roughing_inputs(made.job)
    known = {float(v) for v in inputs.numbers.values() if isinstance(v, (int, float))}
    known |= {p.default for s in sheet.steps if isinstance(s, Step) for p in s.formula.parameters if p.default}
    # no lean, both walls, one floor, half a diameter of approach
    known |= {0.0, 1.0, 2.0, 0.5, math.inf}
    # counts put together between steps: levels of passes, of corners, of rounds, of two rapids, sides of the rings
    levels, passes, corners = (
        number(part, n) for part, n in ((made, "levels"), (made, "passes"), (made.job.pocket, "corners"))
    )
    sides, rounds = 4 * passes + 1, number(made, "slope_passes") or 0.0
    known |= {2 * levels, passes * levels, sides, sides * levels, rounds, rounds * levels}
    known |= {corners * levels, 2 * corners * levels, passes * corners * levels}
    loose = []
    for step in sheet.steps:
        put_in = step.numbers if isinstance(step, Step) else [v for _, v in step.candidates]
        loose += [(step.title, v) for v in put_in if isinstance(v, float) and v not in known]
        known |= set(results_of([step]))
    # what a limit leaves is found by running the kernel again
    assert not [(t, v) for t, v in loose if "that the limit leaves" not in t]


@pytest.mark.parametrize("name", ["helix", "ramp, corner radius", "corners"])
def test_the_recorder_changes_no_number(name):
    inputs = roughing_inputs(rough(**JOBS[name][0]))
    plain, recorded = run(inputs.choices, inputs.numbers), run(inputs.choices, inputs.numbers, record=True)
    assert plain.steps is None
    assert recorded.steps
    for part in ("values", "causes", "faults", "cautions"):
        one, other = getattr(plain, part), getattr(recorded, part)
        assert one.keys() == other.keys()
        for name, value in one.items():
            assert repr(value) == repr(other[name]), name


@pytest.fixture(scope="module")
def printed_value():
    """The reader of expressions that the formulas are tested with."""
    place = Path(__file__).parents[1] / "formulas" / "test_expressions.py"
    spec = importlib.util.spec_from_file_location("reader_of_expressions", place)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.printed_value


def test_printed_expressions_give_what_was_computed(case, printed_value):
    """The page prints symbol, expression and numbers of each step: put in again, they give its result."""
    evaluated = 0
    for step in case[1].steps:
        if isinstance(step, Step) and step.formula.expression:
            found = [printed_value(step.formula, step.numbers)]
            if "floor(" in step.formula.expression or "ceil(" in step.formula.expression:
                # a whole number written in floats, 6 mm in hundredths, may lie a hair beside it
                first, *rest = step.numbers
                found += [printed_value(step.formula, (first * way, *rest)) for way in (1 + 1e-9, 1 - 1e-9)]
            assert any(step.result == pytest.approx(again, rel=1e-11, abs=1e-300) for again in found), step.title
            evaluated += 1
        elif isinstance(step, Step):
            assert step.formula.method, step.title
    assert evaluated > 30


def test_the_page_has_every_step_with_symbol_numbers_and_source(case):
    made, sheet, _ = case
    page = str(sheet)
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
    assert not {"None", "nan"} & set(page.replace("=", " ").replace(",", " ").split())
    for row in made.assumed:
        assert f"    {row.name} = " in page
    assert "Local rules and qualified people decide." in page


def test_nothing_is_recorded_when_no_sheet_is_asked_for(monkeypatch):
    def refuse(*_, **__):
        raise AssertionError("recorded without being asked")

    for word in ("Step", "Choice"):
        monkeypatch.setattr(sheet_module, word, refuse)
    made = plan(rough(machine=LIMITS))
    with pytest.raises(AssertionError, match="recorded"):
        made.sheet()


def test_rules_are_on_the_sheet_and_follow_the_units_in_use():
    made = plan(rough(pocket=SLOPED, machine=LIMITS, part="Die (invented)"))
    sheet = made.sheet()
    titles = [s.title for s in sheet.steps]
    for word in (
        "axial depth",
        "depth of a level, shared evenly",
        "radial width as set",
        "rings round the centre line",
        "spindle speed as set",
        "slot feed rate",
        "entry hole diameter",
        "pitch of the entry",
        "feed rate in the corners",
        "power, full width",
        "deflection allowed",
        "time of entries",
        "thickest stair of the slopes",
        "greatest depth left",
    ):
        assert any(t == word for t in titles), word
    assert any("that the limit leaves: power" in t for t in titles)
    with m.units("inch"):
        page = str(sheet)
    assert page.startswith("Die (invented) - calculation")
    assert "D = 12 mm (0.4724 in)" in page
