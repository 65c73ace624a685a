"""The search of a drawer against brute force: every combination made into a route, planned, and the fastest taken.

Without forces (no overhang, no power or torque stated) what an option leaves does not depend on what went before it,
but for corners, after which every combination is a state of its own: there choices, times and counts are equal.  With
forces a semi-finish may leave more after one state than after another; the search takes the worst of it, so that what
it finds can be cut and is no faster than the fastest.
"""

import functools
import itertools

import pytest
from route_jobs import LAST, MACHINE, ROUGH, SEMI, ball, flat, route

import millcalc as m
from millcalc.errors import MillcalcError
from millcalc.planning import plan_route, search_drawer
from millcalc.planning.routes import plan as planning
from millcalc.quantities.record import number

BALLS = {"B6": ball(6), "B8": ball(8), "B16": ball(16)}
TRIED_MEASURES = ("ra", "scallop_height")


@pytest.fixture(autouse=True)
def _each_job_once(monkeypatch):
    """The same jobs come back in many combinations; a plan is made once."""
    monkeypatch.setattr(planning, "plan", functools.cache(planning.plan))


# --- brute force -----------------------------------------------------------------------------------------------------


def variants(step, drawer):
    """Return each way to do an operation as what it changes of it; finishes are told apart later."""
    names = [step["cutter"]] if step.get("cutter") else list(drawer)
    tried = {n: v for n, v in step.get("tried", {}).items() if n not in TRIED_MEASURES or step["kind"] != "finish"}
    made = []
    for values in itertools.product(names, *tried.values()):
        changes = dict(zip(("cutter", *tried), values, strict=True))
        if "depth_share" in changes:
            changes["assumed"] = dict(step.get("assumed", {})) | {"depth_share": changes.pop("depth_share")}
        made.append(changes)
    return made


def finish_of(steps):
    tried = steps[-1].get("tried", {}) if steps[-1]["kind"] == "finish" else {}
    return next(iter(tried.items()), ("", [None]))


def brute_force(steps, **changes):
    """Return the time [min] of every combination that can be cut, by finish and by what each operation takes."""
    measure, finishes = finish_of(steps)
    ways = [variants(step, changes["drawer"]) for step in steps]
    found, count = {}, 0
    for combination in itertools.product(*ways):
        taken = [{n: v for n, v in s.items() if n != "tried"} | c for s, c in zip(steps, combination, strict=True)]
        for finish in finishes:
            count += 1
            wanted = {} if finish is None else {"finish": m.Finish(**{measure: finish}, form_tolerance="0.03 mm")}
            made = planned(route(*taken, **changes | wanted))
            if made is not None:
                found[finish, tuple(map(repr, taken))] = number(made, "total_time")
    return found, count


def planned(made):
    """Return the plan of a route, or None where it cannot be cut, leaves too little, or does not fit the corners."""
    try:
        done = plan_route(made)
    except MillcalcError:
        return None
    exceeded = any("exceeded" in (h.verdict, h.corner_verdict) for h in done.hand_overs)
    last = made.steps[-1].kind in ("semi-finish", "finish")
    misfit = last and any(c.name == "cutter_above_fillet" for c in done.cautions)
    return None if exceeded or misfit else done


def key_of(steps, choice, finish):
    """Return the key under which brute force holds a choice."""
    taken = []
    for step, option in zip(steps, choice.options, strict=True):
        changes = {"cutter": option.name}
        for name in step.get("tried", {}):
            if name == "depth_share":
                changes["assumed"] = dict(step.get("assumed", {})) | {"depth_share": option.values[name]}
            elif name == "style":
                changes["style"] = option.values["style"]
            elif step["kind"] != "finish":
                unit = "um" if name == "scallop_height" else "mm"
                changes[name] = f"{option.values[name]:g} {unit}"
        taken.append({n: v for n, v in step.items() if n != "tried"} | changes)
    return finish, tuple(map(repr, taken))


def undominated(rows):
    """Return finish [um] and time of the rows that no other beats in one and equals in the other, finest first."""
    points = sorted({(float(f.split()[0]), t) for (f, _), t in rows.items()})
    return [p for p in points if not any(q != p and q[0] <= p[0] and q[1] <= p[1] for q in points)]


# --- equal without forces --------------------------------------------------------------------------------------------

SLOPED = {"slope_from": "30 deg"}
STOCKS = ["0.1 mm", "0.05 mm"]
RAS = ["0.4 um", "0.8 um", "1.6 um"]
SEMIS = {"kind": "semi-finish", "cutter": "B8", "tried": {"stock_left": STOCKS, "scallop_height": ["10 um", "40 um"]}}
ALL_FOUR = (
    {"kind": "rough", "slope_step": "0.4 mm", "tried": {"stock_left": ["0.3 mm", "0.6 mm"], "depth_share": [0.2]}},
    {"kind": "corners", "cutter": "B6", "tried": {"depth_share": [0.05]}},
    SEMIS | {"stock_left": "0.1 mm", "tried": {"scallop_height": ["10 um", "40 um"]}},
    {"kind": "finish", "tried": {"ra": ["0.4 um", "0.8 um"]}},
)
CORNERS_TWICE = (
    {"kind": "rough", "cutter": "E20", "stock_left": "0.4 mm", "tried": {"slope_step": ["0.2 mm", "0.4 mm"]}},
    {"kind": "corners", "tried": {"depth_share": [0.03]}},
    {"kind": "corners", "cutter": "B8", "assumed": {"depth_share": 0.02}},
    {"kind": "finish", "cutter": "B6", "tried": {"ra": RAS}},
)
TWO_STYLES = (
    {"kind": "rough", "cutter": "B16", "tried": {"style": ["full width", "light radial"], "stock_left": STOCKS}},
    {"kind": "finish", "tried": {"scallop_height": ["1 um", "3 um", "9 um"]}},
)
AFTER_A_BALL = (
    SEMIS | {"tried": {"stock_left": ["0.6 mm", "0.2 mm"], "scallop_height": ["10 um", "40 um"]}},
    SEMIS | {"cutter": None},
    {"kind": "finish", "tried": {"ra": RAS}},
)
CASES = {
    "all four": (ALL_FOUR, {"pocket": SLOPED, "drawer": BALLS | {"B12": ball(12)}}),
    "corners twice": (
        CORNERS_TWICE, {"pocket": SLOPED, "drawer": {"E20": flat(20), "E12": flat(12), "B8": ball(8), "B6": ball(6)}},
    ),
    "two styles, a scallop wanted": (
        TWO_STYLES,
        {"finish": m.Finish(scallop_height="3 um", form_tolerance="0.03 mm"), "surface": {"radius_across": "80 mm"}},
    ),
    "after a ball": (
        AFTER_A_BALL,
        {"before": m.Before(stock="0.5 mm", previous_diameter="10 mm", previous_stepover="0.6 mm"),
         "surface": {"radius_across": "-60 mm"}},
    ),
    "after stairs": (
        (SEMIS, LAST | {"cutter": None, "tried": {"ra": [*RAS, "0.80001 um"]}}),
        {"before": m.Before(stock="0.5 mm", stair_thickness="0.3 mm"), "surface": {"radius_along": "70 mm"}},
    ),
    "after steps down": (
        (SEMIS, LAST | {"cutter": None, "tried": {"ra": RAS}}),
        {"before": m.Before(stock="0.5 mm", previous_diameter="10 mm", previous_step_down="0.6 mm"),
         "surface": {"slope_from": "60 deg"}},
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", list(CASES))
def test_without_forces_the_search_finds_what_brute_force_finds(name):
    steps, changes = CASES[name]
    changes = {"drawer": BALLS} | changes
    rows, count = brute_force(steps, **changes)
    found = search_drawer(route(*steps, **changes))
    assert (found.combinations, found.possible) == (count, len(rows))
    assert 0 < len(rows) < count
    measure, finishes = finish_of(steps)
    assert found.finish_name == measure
    expected = undominated(rows)
    assert [c.finish for c in found.front] == [f for f, _ in expected]
    assert [c.time for c in found.front] == pytest.approx([t for _, t in expected], rel=1e-9)
    for choice in found.front:
        text = next(f for f in finishes if float(f.split()[0]) == choice.finish)
        assert rows[key_of(steps, choice, text)] == pytest.approx(choice.time, rel=1e-9)
        assert number(found.plan(choice), "total_time") == pytest.approx(choice.time, rel=1e-9)
    wanted = {"ra": "0.8 um", "scallop_height": "3 um"}[measure]
    fastest = min(t for (f, _), t in rows.items() if f == wanted)
    assert number(found.best, "total_time") == found.choice.time == pytest.approx(fastest, rel=1e-9)
    assert rows[key_of(steps, found.choice, wanted)] == pytest.approx(fastest, rel=1e-9)


@pytest.mark.parametrize(
    "steps",
    [
        ({"kind": "rough", "tried": {"stock_left": ["0.3 mm", "0.6 mm"], "depth_share": [0.1, 0.2]}},),
        (ROUGH | {"cutter": "B16"}, {"kind": "semi-finish", "tried": SEMIS["tried"]}),
    ],
    ids=["roughing alone", "to a semi-finish"],
)
def test_a_route_without_a_finish_has_one_fastest_choice(steps):
    rows, count = brute_force(steps, drawer=BALLS)
    found = search_drawer(route(*steps, drawer=BALLS))
    assert (found.combinations, found.possible) == (count, len(rows))
    assert found.choice.time == pytest.approx(min(rows.values()), rel=1e-9)
    assert [c.options for c in found.front] == [found.choice.options]
    assert found.choice.finish != found.choice.finish  # there is none


# --- what one operation gains another may lose -----------------------------------------------------------------------


@pytest.mark.parametrize(("change", "cutter"), [("0 min", "B8"), ("60 min", "B6")])
def test_a_slower_cutter_may_save_a_tool_change(change, cutter):
    """Alone the semi-finish is fastest with the larger ball; the fillet wants the smaller for the finish."""
    drawer = {"B8": ball(8), "B6": ball(6)}
    semi = {"kind": "semi-finish", "stock_left": "0.1 mm", "scallop_height": "20 um"}
    changes = {"before": m.Before(stock="0.5 mm"), "drawer": drawer}
    alone = {n: number(planned(route(semi | {"cutter": n}, **changes)), "total_time") for n in drawer}
    assert alone["B8"] < alone["B6"]
    changes |= {"pocket": {"fillet_radius": "3 mm"}, "tool_change_time": change}
    found = search_drawer(route(semi, {"kind": "finish", "tried": {"ra": ["0.8 um"]}}, **changes))
    assert found.choice.words() == (cutter, "B6")


def test_the_fastest_single_operations_do_not_make_the_fastest_route():
    """Deeper levels take less time in the corners, but their stairs make the semi-finish slower by more."""
    corners = {"kind": "corners", "cutter": "E12"}
    steps = [
        {"kind": "rough", "cutter": "E20", "stock_left": "0.6 mm", "slope_step": "0.2 mm"},
        corners | {"tried": {"depth_share": [0.02, 0.045]}},
        {"kind": "semi-finish", "cutter": "B6", "stock_left": "0.1 mm", "scallop_height": "10 um"},
        LAST,
    ]
    changes = {"drawer": {"E20": flat(20), "E12": flat(12), "B6": ball(6)}, "pocket": SLOPED | {"corners": 1}}
    shallow, deep = (
        planned(route(steps[0], corners | {"assumed": {"depth_share": share}}, *steps[2:], **changes))
        for share in (0.02, 0.045)
    )
    for i, faster in enumerate((shallow, deep, shallow)):  # the same roughing; then the corners; then the semi-finish
        times = [number(p.plans[i], "operation_time") for p in (shallow, deep)]
        assert number(faster.plans[i], "operation_time") == min(times)
    found = search_drawer(route(*steps, **changes))
    assert found.choice.options[1].values["depth_share"] == 0.02
    assert found.choice.time == pytest.approx(number(shallow, "total_time"), rel=1e-9)
    assert found.choice.time < number(deep, "total_time")


# --- bounded with forces ---------------------------------------------------------------------------------------------


def test_with_forces_what_is_found_can_be_cut_and_is_no_faster_than_the_fastest():
    """Power takes stepovers: after its worst state the second semi-finish leaves more than after the others."""
    held = {"B8": ball(8, overhang="50 mm"), "B6": ball(6, overhang="40 mm")}
    semi = {"kind": "semi-finish", "cutter": "B8", "tried": {"stock_left": ["0.3 mm", "0.2 mm"]}}
    steps = (
        semi | {"scallop_height": "40 um"},
        {
            "kind": "semi-finish",
            "cutter": "B6",
            "stock_left": "0.15 mm",
            "tried": {"scallop_height": ["10 um", "60 um"]},
        },
        LAST | {"tried": {"ra": ["0.8 um", "1.6 um"]}},
    )
    changes = {
        "before": m.Before(stock="0.5 mm", previous_diameter="10 mm", previous_stepover="0.6 mm"),
        "drawer": held,
        "machine": MACHINE.with_(largest_power="0.05 kW", largest_torque="0.06 N*m"),
        "surface": {"radius_across": "-60 mm"},
        "finish": m.Finish(ra="1.6 um", form_tolerance="0.03 mm"),
    }
    rows, count = brute_force(steps, **changes)
    found = search_drawer(route(*steps, **changes))
    assert found.combinations == count
    assert 0 < found.possible <= len(rows)
    assert found.choice in found.front
    for choice, text in zip(found.front, ("0.8 um", "1.6 um"), strict=True):
        own = rows[key_of(steps, choice, text)]  # it can be cut
        fastest = min(t for (f, _), t in rows.items() if f == text)
        assert choice.time * (1 + 1e-9) >= own >= fastest * (1 - 1e-9)
        assert own < 1.05 * fastest
    assert (
        found.choice.time
        == number(found.best, "total_time")
        == pytest.approx(rows[key_of(steps, found.choice, "1.6 um")])
    )


# --- what is stated stands -------------------------------------------------------------------------------------------


ONE = {"E16": flat(16)}


def taken(step, drawer, **changes):
    """Return what the search finds, and which values it chooses for the first operation."""
    found = search_drawer(route(step, **{"drawer": drawer, "pocket": SLOPED} | changes))
    return found, {name for name, value in found.choice.options[0].values.items() if value is not None}


def test_an_open_roughing_tries_stocks_depths_and_slopes():
    found, names = taken({"kind": "rough"}, ONE | {"E6": flat(6)})
    assert names == {"stock_left", "depth_share", "slope_step", "style"}
    assert found.combinations == 2 * 4 * 3 * 3  # cutters, stocks, depths, steps along the slopes
    found, names = taken({"kind": "rough"}, ONE, pocket={})
    assert names == {"stock_left", "depth_share", "style"}
    assert taken({"kind": "rough"}, ONE, pocket={"slope_to": "30 deg"})[1] >= {"slope_step"}


@pytest.mark.parametrize(
    ("stated", "name", "count"),
    [
        ({"stock_left": "0.4 mm"}, "stock_left", 9),
        ({"slope_step": "0.4 mm"}, "slope_step", 12),
        ({"assumed": {"depth_share": "0.3"}, "slope_step": "1 mm"}, "depth_share", 4),
        ({"fixed": {"axial_depth": "2 mm"}, "slope_step": "1 mm"}, "depth_share", 4),
    ],
)
def test_what_is_stated_is_not_tried(stated, name, count):
    found, names = taken({"kind": "rough"} | stated, ONE)
    assert found.combinations == count
    job = found.best.plans[0].job
    kept = {"stock_left": (job.cut, 0.4), "slope_step": (job.cut, 0.4), "depth_share": (job.assumed, 0.3)}
    if "fixed" in stated:
        assert (number(job.fixed, "axial_depth"), number(job.assumed, "depth_share")) == (2.0, None)
    else:
        assert number(kept[name][0], name) == kept[name][1]
    assert name == "stock_left" or name not in names


def test_a_route_that_is_stated_is_planned_as_it_is():
    """With nothing but the finish to choose, search and plan are one."""
    steps = (ROUGH | {"cutter": "B16"}, {"kind": "corners", "cutter": "B8"}, SEMI | {"scallop_height": None}, LAST)
    made = route(*steps, drawer=BALLS)
    found = search_drawer(made, (0.5, 2.0))
    assert found.choice.time == pytest.approx(number(plan_route(made), "total_time"), rel=1e-12)
    assert [c.finish for c in found.front] == [0.4, 0.8, 1.6]
    assert found.best == found.plan(found.choice)


def test_the_finish_wanted_is_always_among_those_tried():
    before = {"before": m.Before(stock="0.1 mm"), "drawer": BALLS}
    found = search_drawer(route(LAST | {"tried": {"ra": ["0.4 um"]}}, **before))
    assert [c.finish for c in found.front] == [0.4, 0.8]
    assert (found.choice.finish, found.combinations) == (0.8, 2)
    grade = m.Finish(grade="N6", form_tolerance="0.03 mm")  # Ra 0.8 um (ISO 1302, from memory)
    found = search_drawer(route(LAST, finish=grade, **before), [2])
    assert (found.finish_name, [c.finish for c in found.front]) == ("ra", [0.8, 1.6])
