"""Tool life and cost of a plan: worked out again by plain arithmetic, found by search, unknown where nothing is."""

from __future__ import annotations

import math

import attrs
import numpy as np
import pytest
from scipy.optimize import minimize_scalar
from second_roughing import OWN, bare

import millcalc as m
from millcalc.errors import JobError
from millcalc.materials.record import Taylor
from millcalc.quantities.record import number
from millcalc.report import page_of, plan_page

LIFE = {"tool_life": "60 min", "life_speed": "180 m/min"}
MONEY = {"machine_rate": "90 1/h", "price": 60, "change_time": "5 min", "parts": 12}
NUMBERS = (
    "tool_life",
    "shortest_life",
    "longest_life",
    "life_path",
    "life_used",
    "parts_per_edge",
    "cutters_needed",
    "least_cost_speed",
    "most_output_speed",
    "part_time",
    "machine_cost",
    "operation_cost",
)
KNOWN = {"source": "OWN_RECORD", "how_known": "common practice", "scope": "grade"}


def job(wear=LIFE, costs=MONEY, **changes):
    return m.example_job().with_(wear=m.Wear(**wear), costs=m.Costs(**costs), **changes)


def got(made, name):
    return number(made, name)


def second(made, exponent=0.25, spread=0.3, life=60.0, at=180.0, parts=12, rate=1.5, edge=60.0, change=5.0, own=0.0):
    """The whole block from speeds, times and feed of the plan, with `math` only."""
    speed = got(made, "largest_cutting_speed" if hasattr(made, "largest_cutting_speed") else "cutting_speed")
    feed = got(made, "contact_feed_rate" if hasattr(made, "contact_feed_rate") else "feed_rate")
    cutting, operation = got(made, "cutting_time"), got(made, "operation_time")
    mean = life * (at / speed) ** (1.0 / exponent)
    low = mean * (1.0 - spread)
    changes = cutting / mean
    best = (1.0 / exponent - 1.0) * (change + edge / rate)
    output = (1.0 / exponent - 1.0) * change
    return {
        "tool_life": mean,
        "shortest_life": low,
        "longest_life": mean * (1.0 + spread),
        "life_path": low * feed,
        "life_used": cutting / low,
        "parts_per_edge": math.floor(low / cutting),
        "cutters_needed": edges_for(made, parts, cutting, low),
        "least_cost_speed": speed * (mean / best) ** exponent,
        "most_output_speed": speed * (mean / output) ** exponent,
        "part_time": operation + own + changes * change,
        "machine_cost": rate * (operation + own),
        "operation_cost": rate * (operation + own) + changes * (rate * change + edge),
    }


def edges_for(made, parts, cutting, low):
    """A finished surface takes a fresh edge between parts, where an edge lasts one; roughing wherever a life ends."""
    whole = math.floor(low / cutting)
    if whole >= 1 and isinstance(made, m.Plan):
        return math.ceil(parts / whole)
    return math.ceil(parts * cutting / low)


def same(made, expected):
    assert {n: got(made, n) for n in NUMBERS} == {n: pytest.approx(v, rel=1e-9) for n, v in expected.items()}


def test_the_block_worked_out_again():
    made = m.plan(job())
    same(made, second(made))
    assert [a.name for a in made.assumed if a.name in ("taylor_exponent", "life_spread", "wear_limit", "edges")] == [
        "taylor_exponent",
        "life_spread",
        "wear_limit",
        "edges",
    ]


def test_all_stated_leaves_nothing_of_it_assumed():
    wear = LIFE | {"taylor_exponent": 0.2, "life_spread": 0.4, "wear_limit": "0.2 mm"}
    costs = MONEY | {"edges": 3, "regrinding_cost": 12, "handling_time": "4 min"}
    made = m.plan(job(wear, costs))
    same(made, second(made, exponent=0.2, spread=0.4, edge=(60.0 + 2 * 12.0) / 3.0, own=4.0))
    stated = {*wear, *costs}
    assert not [a for a in made.assumed if a.name in stated]


def test_a_measured_time_counts_in_the_cut_too():
    one, half_more = (m.plan(job(assumed=m.Assumptions(time_factor=f))) for f in (1.0, 1.5))
    assert got(half_more, "life_used") == pytest.approx(1.5 * got(one, "life_used"), rel=1e-12)
    assert got(half_more, "machine_cost") == pytest.approx(1.5 * got(one, "machine_cost"), rel=1e-12)


def test_an_edge_that_lasts_one_part_and_some_is_changed_after_each():
    made = m.plan(job(assumed=m.Assumptions(time_factor=4.0)))
    assert 0.5 < got(made, "life_used") < 1.0
    assert got(made, "cutters_needed") == 12.0 > math.ceil(12 * got(made, "life_used"))
    beyond = m.plan(job(assumed=m.Assumptions(time_factor=8.0)))
    assert got(beyond, "parts_per_edge") == 0.0
    assert got(beyond, "cutters_needed") == math.ceil(12 * got(beyond, "life_used"))
    rows = {r[0]: r[1] for section in page_of(made).sections for r in section.rows}
    assert rows["have ready"] == "12 cutters"


def test_the_speeds_are_those_that_a_search_finds():
    """At a given feed per tooth the time under feed falls as 1/v: cost and time of a part by search over v."""
    made = m.plan(job())
    speed, life, cutting = (got(made, n) for n in ("largest_cutting_speed", "tool_life", "cutting_time"))

    def part(v, money):
        under = cutting * speed / v
        changes = under / (life * (speed / v) ** 4)
        return (1.5 * under + changes * (1.5 * 5.0 + 60.0)) if money else under + changes * 5.0

    for name, money in (("least_cost_speed", True), ("most_output_speed", False)):
        best = minimize_scalar(part, bounds=(20.0, 900.0), args=(money,), method="bounded", options={"xatol": 1e-7})
        assert got(made, name) == pytest.approx(best.x, rel=1e-5)


def test_constant_and_life_say_the_same():
    exponent = 0.25
    constant = f"{180.0 * 60.0**exponent} m/min"
    by_life, by_constant = (m.plan(job(w)) for w in (LIFE, {"taylor_constant": constant, "taylor_exponent": exponent}))
    for name in NUMBERS:
        assert got(by_constant, name) == pytest.approx(got(by_life, name), rel=1e-12)


def test_a_life_without_a_speed_is_that_of_this_cut():
    assert got(m.plan(job({"tool_life": "33 min"})), "tool_life") == pytest.approx(33.0, rel=1e-12)


@pytest.mark.parametrize("known", ["life", "constant"])
def test_the_extended_law(known):
    """T = T_1 (v_1/v)^(1/n) (f_1/f)^(x/n) (a_1/a)^(y/n), written out."""
    more = {"life_feed_per_tooth": "0.05 mm", "feed_exponent": 0.3, "life_depth": "0.2 mm", "depth_exponent": 0.15}
    wear = LIFE if known == "life" else {"taylor_constant": f"{180.0 * 60.0**0.25} m/min"}
    made = m.plan(job(wear | {"taylor_exponent": 0.25} | more))
    speed, feed, depth = (got(made, n) for n in ("largest_cutting_speed", "feed_per_tooth", "greatest_depth"))
    life = 60.0 * (180.0 / speed) ** 4 * (0.05 / feed) ** 1.2 * (0.2 / depth) ** 0.6
    assert got(made, "tool_life") == pytest.approx(life, rel=1e-9)
    # each alone
    for place, exponent, ratio in (("life_depth", "depth_exponent", (0.2 / depth) ** 0.6),):
        alone = m.plan(job(wear | {"taylor_exponent": 0.25, place: more[place], exponent: more[exponent]}))
        assert got(alone, "tool_life") == pytest.approx(60.0 * (180.0 / speed) ** 4 * ratio, rel=1e-9)


def test_unknown_where_nothing_is_known():
    made = m.plan(job({}, {"machine_rate": "90 1/h"}))
    assert [n for n in NUMBERS if got(made, n) is not None] == ["machine_cost"]
    assert got(made, "machine_cost") == pytest.approx(1.5 * got(made, "operation_time"))
    assert "unknown" in plan_page(made)
    # C45 has constants from turning with cermet: they say nothing of carbide in the mill
    assert got(m.plan(job({}, {}, material="C45")), "tool_life") is None


def milled(**row):
    taylor = Taylor(**{"n": 0.3, "c": 400.0, "substrate": "coated carbide", "operation": "end milling"} | row, **KNOWN)
    return attrs.evolve(OWN, taylor=(taylor,))


def test_constants_of_the_material_count_where_they_come_from_milling():
    made = m.plan(bare(material=milled()))
    assert got(made, "tool_life") == pytest.approx((400.0 / got(made, "cutting_speed")) ** (1.0 / 0.3), rel=1e-12)
    assert {"taylor_constant", "taylor_exponent"} <= {a.name for a in made.assumed}
    for other in ({"operation": "turning"}, {"substrate": "cermet"}, {"c": None}):
        assert got(m.plan(bare(material=milled(**other))), "tool_life") is None


def test_an_exponent_of_the_material_goes_before_that_of_the_class():
    made = m.plan(bare(material=milled(c=None, operation="turning", n=0.4), wear=LIFE))
    speed = got(made, "cutting_speed")
    assert got(made, "tool_life") == pytest.approx(60.0 * (180.0 / speed) ** 2.5, rel=1e-12)
    steel = m.plan(bare(cutter={"substrate": "coated carbide"}, wear=LIFE))
    assert got(steel, "tool_life") == pytest.approx(60.0 * (180.0 / speed) ** 4, rel=1e-12)


def test_roughing_worked_out_again():
    made = m.plan(bare(wear=LIFE, costs=MONEY))
    same(made, second(made))


def test_one_surface_outlasts_one_edge():
    for made in (m.plan(job({"tool_life": "10 min"})), m.plan(bare(wear={"tool_life": "1 min"}))):
        assert "edge_outlasted" in [c.name for c in made.cautions]
        assert got(made, "parts_per_edge") == 0.0
    assert "edge_outlasted" not in [c.name for c in m.plan(job()).cautions]


def test_rows_of_a_comparison_are_plans():
    table = m.compare(job(), tool_life=["5 min", "20 min"], machine_rate=["60 1/h", "120 1/h"])
    for row, (life, rate) in enumerate([(a, b) for a in ("5 min", "20 min") for b in ("60 1/h", "120 1/h")]):
        made = m.plan(job(LIFE | {"tool_life": life}, MONEY | {"machine_rate": rate}))
        for name in NUMBERS:
            assert table.values[name][row] == got(made, name)


def test_the_sheet_holds_every_number():
    made = m.plan(job())
    results = [step.result for step in made.sheet().steps if hasattr(step, "result")]
    flat = [v for r in results for v in (r if isinstance(r, tuple) else (r,))]
    for name in NUMBERS:
        assert any(np.isclose(float(v), got(made, name), rtol=1e-12, atol=0.0) for v in flat), name


@pytest.mark.parametrize(
    ("wear", "costs", "named"),
    [
        (LIFE | {"taylor_constant": "300 m/min", "taylor_exponent": 0.25}, {}, "tool_life and taylor_constant"),
        ({"taylor_constant": "300 m/min"}, {}, "wear.taylor_exponent"),
        ({"life_speed": "180 m/min"}, {}, "wear.tool_life"),
        (LIFE | {"life_depth": "1 mm"}, {}, "wear.depth_exponent"),
        (LIFE | {"feed_exponent": 0.3}, {}, "wear.life_feed_per_tooth"),
        ({"life_depth": "1 mm", "depth_exponent": 0.2}, {}, "wear.tool_life"),
        ({}, {"edges": 2}, "costs.edges"),
        ({}, {"regrinding_cost": 2}, "costs.regrinding_cost"),
        ({}, {"price": 60}, "costs.machine_rate"),
    ],
)
def test_what_contradicts_itself(wear, costs, named):
    with pytest.raises(JobError, match=named.replace(".", r"\.")):
        job(wear, costs)
    with pytest.raises(JobError, match=named.replace(".", r"\.")):
        bare(wear=wear, costs=costs)


@pytest.mark.parametrize(
    ("record", "field", "value"),
    [
        (m.Wear, "tool_life", "0 min"),
        (m.Wear, "tool_life", "45 mm"),
        (m.Wear, "taylor_exponent", 1.0),
        (m.Wear, "taylor_exponent", 0.0),
        (m.Wear, "life_spread", 1.0),
        (m.Wear, "life_speed", "180 rpm"),
        (m.Wear, "tool_life", math.nan),
        (m.Costs, "machine_rate", 90),
        (m.Costs, "price", -1),
        (m.Costs, "edges", 0),
        (m.Costs, "parts", 1.5),
        (m.Costs, "change_time", "-1 min"),
    ],
)
def test_values_that_cannot_be_used(record, field, value):
    with pytest.raises(JobError, match=field):
        record(**{field: value})


def test_the_pages_say_the_life_as_a_range():
    made = m.plan(job())
    page = plan_page(made)
    assert "56 min to 104 min" in page
    assert "to a wear land of 0.3 mm" in page
    rows = {r[0]: r[1] for section in page_of(made).sections for r in section.rows}
    assert rows["life of an edge"] == "56 min to 104 min"
    assert rows["have ready"] == "3 cutters"
    assert rows["path in the cut that the shortest life lasts"] == f"{got(made, 'life_path') / 1000.0:.3g} m"
    feet = got(made, "life_path") / 304.8
    assert f"{feet:.3g} ft" in plan_page(made, "inch")
    stated = m.plan(job(LIFE | {"wear_limit": "0.2 mm"}))
    assert "to a wear land of 0.2 mm" in plan_page(stated)
