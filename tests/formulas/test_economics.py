"""Time and cost of a part against a shop that makes parts one by one, changing edges as they wear."""

from __future__ import annotations

import math

import numpy as np
import pytest

from millcalc.errors import DomainError, UnitError
from millcalc.formulas import economics, tool_life
from millcalc.quantities.formula import FORMULAS

RANDOM = np.random.default_rng(13)
WORN = ("tool_changes", "change_time_per_part", "wear_cost_per_part", "time_per_part", "cost_per_part")
CASE = {
    "machining_time": 15.0,
    "tool_life": 45.0,
    "machine_rate": 1.5,
    "tool_cost": 24.0,
    "change_time": 6.0,
    "handling_time": 3.0,
    "cut_share": 0.8,
}


def bare(name, **changed):
    """A formula of the subject at the case, with some numbers changed."""
    numbers = CASE | changed
    return FORMULAS[name].bare(*(numbers[p.name] for p in FORMULAS[name].parameters))


def made_one_by_one(parts, machining_time, tool_life, machine_rate, tool_cost, change_time, handling_time, cut_share):
    """Follow a batch by the clock: an edge is changed when it is worn, within a part too; time, cost and changes."""
    clock, money, changes, left = 0.0, 0.0, 0, tool_life
    for _ in range(parts):
        clock += handling_time + machining_time * (1.0 - cut_share)
        to_cut = machining_time * cut_share
        while to_cut > left:
            clock += left + change_time
            to_cut, left, changes, money = to_cut - left, tool_life, changes + 1, money + tool_cost
        clock, left = clock + to_cut, left - to_cut
    return clock, money + machine_rate * clock, changes


@pytest.mark.parametrize("seed", range(8))
def test_a_batch_made_one_by_one(seed):
    """Means over 3000 parts: apart by one tool change in the batch at most, the one not yet due at its end."""
    random = np.random.default_rng(seed)
    numbers = {n: float(random.uniform(0.2, 2.0) * v) for n, v in CASE.items()}
    numbers["cut_share"] = float(random.uniform(0.05, 1.0))
    parts = 3000
    clock, money, changes = made_one_by_one(parts, **numbers)
    assert changes > 50
    assert abs(bare("tool_changes", **numbers) - changes / parts) <= 1.0 / parts
    assert abs(bare("time_per_part", **numbers) - clock / parts) <= numbers["change_time"] / parts
    one_change = numbers["machine_rate"] * numbers["change_time"] + numbers["tool_cost"]
    assert abs(bare("cost_per_part", **numbers) - money / parts) <= one_change / parts
    without = numbers | {"machine_rate": 0.0, "tool_cost": 0.0}
    _, nothing, _ = made_one_by_one(10, **without)
    assert nothing == bare("cost_per_part", **without) == 0.0


def test_the_sums_are_sums():
    changes = bare("tool_changes")
    assert changes == pytest.approx(0.8 * 15 / 45, rel=1e-15)
    assert bare("change_time_per_part") == pytest.approx(changes * 6, rel=1e-15)
    assert bare("time_per_part") == pytest.approx(15 + 3 + bare("change_time_per_part"), rel=1e-15)
    assert bare("wear_cost_per_part") == pytest.approx(changes * (1.5 * 6 + 24), rel=1e-15)
    assert bare("cost_per_part") == pytest.approx(1.5 * bare("time_per_part") + changes * 24, rel=1e-15)


def test_tool_changes_are_the_share_of_life_in_the_cut():
    assert bare("tool_changes") == pytest.approx(tool_life.life_share.bare(0.8 * 15.0, 45.0), rel=1e-15)


def test_a_cutter_from_purchase_to_its_last_regrind():
    for _ in range(100):
        lives = int(RANDOM.integers(1, 12))
        price, grind = RANDOM.uniform(0.0, 80.0, 2)
        paid = price
        for life in range(lives):
            paid += grind if life else 0.0
        assert economics.tool_cost.bare(price, lives, grind) == pytest.approx(paid / lives, rel=1e-13)
    assert economics.tool_cost(12.0, 6) == 2.0  # an insert of six edges
    assert economics.tool_cost(60, 1, 12) == 60.0  # never reground


def test_a_rate_by_the_hour_is_a_rate_by_the_minute():
    by_minute = economics.cost_per_part("15 min", "45 min", "1.5 1/min", 24, "6 min", "3 min")
    assert by_minute == pytest.approx(1.5 * 20 + 8, rel=1e-14)
    for rate in ("90 1/h", "90/h", "0.025 1/s"):
        assert economics.cost_per_part("0.25 h", "45 min", rate, 24, "360 s", "3 min", 1.0) == pytest.approx(
            by_minute, rel=1e-13
        )


def test_the_whole_time_counts_as_cut_unless_a_share_is_said():
    for name in WORN:
        inputs = [CASE[p.name] for p in FORMULAS[name].parameters if p.name != "cut_share"]
        assert FORMULAS[name].bare(*inputs) == bare(name, cut_share=1.0) > bare(name)


def test_an_edge_that_does_not_wear_and_one_that_costs_nothing():
    for ever in ({"tool_life": math.inf}, {"cut_share": 0.0}):
        assert bare("tool_changes", **ever) == bare("change_time_per_part", **ever) == 0.0
        assert bare("wear_cost_per_part", **ever) == 0.0
        assert bare("time_per_part", **ever) == 18.0
        assert bare("cost_per_part", **ever) == 27.0
    assert economics.cost_per_part("15 min", "inf", "1.5 1/min", 24, "6 min", "3 min") == 27.0
    assert bare("cost_per_part", tool_cost=0.0) == pytest.approx(1.5 * bare("time_per_part"), rel=1e-15)
    assert bare("wear_cost_per_part", tool_cost=0.0, change_time=0.0) == 0.0
    assert bare("time_per_part", change_time=0.0) == 18.0


@pytest.mark.parametrize(
    ("name", "inputs", "kind"),
    [
        ("tool_changes", ("15 min", "0 min"), DomainError),
        ("tool_changes", ("15 min", "45 min", 1.1), DomainError),
        ("tool_changes", ("-1 min", "45 min"), DomainError),
        ("tool_changes", (15, "45 min"), UnitError),
        ("cost_per_part", ("15 min", "45 min", 1.5, 24, "6 min", "3 min"), UnitError),
        ("cost_per_part", ("15 min", "45 min", "1.5 rpm", 24, "6 min", "3 min"), UnitError),
        ("cost_per_part", ("15 min", "45 min", "1.5 1/min", "24 mm", "6 min", "3 min"), UnitError),
        ("cost_per_part", ("15 min", "45 min", "1.5 1/min", -24, "6 min", "3 min"), DomainError),
        ("cost_per_part", ("15 min", "45 min", "1.5 1/min", math.nan, "6 min", "3 min"), DomainError),
        ("wear_cost_per_part", ("15 min", "45 min", "1.5 1/min", math.inf, "6 min"), DomainError),
        ("tool_cost", (60.0, 0), DomainError),
        ("tool_cost", (60.0, 1.5), DomainError),
    ],
)
def test_errors(name, inputs, kind):
    with pytest.raises(kind):
        FORMULAS[name](*inputs)


def test_not_a_number_outside_and_arrays(witness):
    for name in WORN:
        for wrong in (0.0, -1.0, math.nan):
            assert math.isnan(bare(name, tool_life=wrong))
        for parameter in FORMULAS[name].parameters:
            assert math.isnan(bare(name, **{parameter.name: math.nan}))
        columns = [RANDOM.uniform(0.1, 1.0, 4) for _ in FORMULAS[name].parameters]
        witness.assert_same_as_scalars(FORMULAS[name].bare, *columns)
        assert bare(name, machining_time=np.array([])).shape == (0,)
    assert math.isnan(economics.tool_cost.bare(60.0, 0.5, 12.0))
    witness.assert_same_as_scalars(economics.tool_cost.bare, np.array([5.0, 60.0]), [1.0, 4.0], [0.0, 12.0])
    assert economics.tool_cost.bare(np.array([]), 4, 12.0).shape == (0,)


def test_the_share_in_the_cut():
    """Twelve minutes of fifteen; with it the cost is that of the minutes in the cut alone."""
    share = economics.cut_share.bare(12.0, 15.0)
    assert share == pytest.approx(0.8, rel=1e-15)
    assert bare("tool_changes", cut_share=share) == pytest.approx(12.0 / 45.0, rel=1e-12)
    with pytest.raises(DomainError, match="cutting"):
        economics.cut_share("16 min", "15 min")
