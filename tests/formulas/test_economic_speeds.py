"""Least cost and most output against minimising the cost and time of a part over the speed; limits; edges."""

from __future__ import annotations

import math

import mpmath as mp
import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from millcalc.errors import DomainError, UnitError
from millcalc.formulas import economic_speeds, economics, tool_life
from millcalc.quantities.formula import FORMULAS

ALL = ("least_cost_life", "least_cost_speed", "most_output_life", "most_output_speed")
CASE = {
    "taylor_constant": 300.0,
    "taylor_exponent": 0.25,
    "change_time": 6.0,
    "tool_cost": 24.0,
    "machine_rate": 1.5,
    "cut_share": 0.8,
}
FIRST = 1800.0  # min m/min: machining time at 1 m/min
HANDLING = 3.0


def bare(name, **changed):
    """A formula of the subject at the case, with some numbers changed."""
    numbers = CASE | changed
    return FORMULAS[name].bare(*(numbers[p.name] for p in FORMULAS[name].parameters))


def drawn(seed):
    """Constants of a shop."""
    random = np.random.default_rng(seed)
    low, high = [30.0, 0.08, 0.2, 0.5, 0.2, 0.2], [900.0, 0.8, 20.0, 100.0, 4.0, 1.0]
    return {n: float(math.exp(x)) for n, x in zip(CASE, random.uniform(np.log(low), np.log(high)), strict=True)}


def part(numbers, speed):
    """Cost and time of a part at a speed, by the library's own sums and law."""
    life = tool_life.taylor_life.bare(speed, numbers["taylor_constant"], numbers["taylor_exponent"])
    changed, share = numbers["change_time"], numbers["cut_share"]
    cost = economics.cost_per_part.bare(
        FIRST / speed, life, numbers["machine_rate"], numbers["tool_cost"], changed, HANDLING, share
    )
    return cost, economics.time_per_part.bare(FIRST / speed, life, changed, HANDLING, share)


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize(("name", "which"), [("least_cost_speed", 0), ("most_output_speed", 1)])
def test_no_speed_is_better(seed, name, which):
    """SciPy's minimum over the logarithm of the speed, to 1e-6; and of 20 000 speeds none is better."""
    numbers = drawn(seed)
    best = bare(name, **numbers)
    around = (math.log(best) - 2.0, math.log(best) + 1.5)
    found = minimize_scalar(
        lambda x: part(numbers, math.exp(x))[which] - HANDLING, bounds=around, method="bounded", options={"xatol": 1e-9}
    )
    assert math.exp(found.x) == pytest.approx(best, rel=1e-6)
    with np.errstate(over="ignore", under="ignore", divide="ignore"):
        tried = part(numbers, np.geomspace(1e-3 * best, 1e3 * best, 20_000))[which]
    least = part(numbers, best)[which]
    assert tried.min() >= least * (1.0 - 1e-13)
    # it falls up to there and rises from there: within limits of the speed the nearest is best
    turn = int(np.argmin(tried))
    assert np.all(np.diff(tried[: turn + 1]) <= 0.0)
    assert np.all(np.diff(tried[turn:][np.isfinite(tried[turn:])]) >= 0.0)


@pytest.mark.parametrize("seed", range(5))
def test_the_derivative_is_zero_in_many_digits(seed):
    """Cost and time written out anew in 40 digits; root of the derivative by mpmath to 1e-13."""
    with mp.workdps(40):
        constant, n, change, tool, rate, share = (mp.mpf(v) for v in drawn(seed).values())

        def cost(speed):
            changes = share * FIRST / speed * (speed / constant) ** (1 / n)
            return rate * FIRST / speed + changes * (rate * change + tool)

        def time(speed):
            return FIRST / speed + share * FIRST / speed * (speed / constant) ** (1 / n) * change

        for name, function in (("least_cost_speed", cost), ("most_output_speed", time)):
            got = bare(name, **drawn(seed))
            root = mp.findroot(lambda v, f=function: mp.diff(f, v), mp.mpf(got) * mp.mpf("1.01"))
            assert got == pytest.approx(float(root), rel=1e-13)


@pytest.mark.parametrize("seed", range(10))
def test_speed_and_life_belong_together(seed):
    numbers = drawn(seed)
    for speed, life in (("least_cost_speed", "least_cost_life"), ("most_output_speed", "most_output_life")):
        law = numbers["taylor_constant"], numbers["taylor_exponent"]
        assert tool_life.taylor_life.bare(bare(speed, **numbers), *law) == pytest.approx(
            bare(life, **numbers), rel=1e-11
        )
    assert bare("least_cost_speed", **numbers) < bare("most_output_speed", **numbers)
    assert bare("least_cost_life", **numbers) > bare("most_output_life", **numbers)


def test_money_drops_out():
    """In another currency, or with edges that cost nothing: the same life, and that of most output."""
    for rate in (0.01, 1.0, 250.0):
        other = bare("least_cost_life", machine_rate=1.5 * rate, tool_cost=24.0 * rate)
        assert other == pytest.approx(bare("least_cost_life"), rel=1e-14)
        assert bare("least_cost_life", machine_rate=rate, tool_cost=0.0) == bare("most_output_life")
        assert bare("least_cost_speed", machine_rate=rate, tool_cost=0.0) == bare("most_output_speed")


def test_less_time_in_the_cut_allows_a_shorter_life():
    assert bare("least_cost_life", cut_share=0.4) == pytest.approx(0.5 * bare("least_cost_life"), rel=1e-15)
    for name in ALL:
        inputs = [CASE[p.name] for p in FORMULAS[name].parameters if p.name != "cut_share"]
        assert FORMULAS[name].bare(*inputs) == bare(name, cut_share=1.0)


def test_the_exponent_at_its_ends():
    """Towards 0 the speed of the constant is best, however much an edge costs; towards 1 no speed is enough."""
    for speed, life in (("least_cost_speed", "least_cost_life"), ("most_output_speed", "most_output_life")):
        assert bare(life, taylor_exponent=1e-12) > 1e12
        assert bare(speed, taylor_exponent=1e-12) == pytest.approx(300.0, rel=1e-9)
        near = 1.0 - 1e-12
        assert bare(life, taylor_exponent=near) == pytest.approx(1e-12 * bare(life, taylor_exponent=0.5), rel=1e-3)
        assert bare(speed, taylor_exponent=near) > 1e12
        for outside in (0.0, 1.0, 1.5, -0.2, math.nan):
            assert math.isnan(bare(life, taylor_exponent=outside))
            assert math.isnan(bare(speed, taylor_exponent=outside))


def test_from_an_exponent_of_one_on_faster_is_cheaper():
    for exponent in (1.0, 1.4):
        costs = part(CASE | {"taylor_exponent": exponent}, np.geomspace(1.0, 1e4, 200))[0]
        assert np.all(np.diff(costs) < 0.0)


def test_a_change_that_costs_nothing():
    assert economic_speeds.least_cost_life(0.25, "0 min", 0, "1.5 1/min").magnitude == 0.0
    assert economic_speeds.most_output_life(0.25, "0 min").magnitude == 0.0
    assert math.isnan(bare("least_cost_speed", change_time=0.0, tool_cost=0.0))
    assert math.isnan(bare("most_output_speed", change_time=0.0))
    with pytest.raises(DomainError, match="change_time \\+ tool_cost > 0"):
        economic_speeds.least_cost_speed("300 m/min", 0.25, "0 min", 0, "1.5 1/min")
    only_money = economic_speeds.least_cost_life(0.25, "0 min", 24, "1.5 1/min")
    assert only_money.magnitude == pytest.approx(48.0, rel=1e-15)


@pytest.mark.parametrize(
    ("name", "inputs", "kind"),
    [
        ("least_cost_life", (1.0, "6 min", 24, "1.5 1/min"), DomainError),
        ("least_cost_life", (0.0, "6 min", 24, "1.5 1/min"), DomainError),
        ("least_cost_life", (0.25, "6 min", 24, "0 1/min"), DomainError),
        ("least_cost_life", (0.25, "6 min", 24, "1.5 1/min", 0.0), DomainError),
        ("least_cost_life", (0.25, "6 min", math.inf, "1.5 1/min"), DomainError),
        ("least_cost_life", (0.25, "6 min", 24, 1.5), UnitError),
        ("least_cost_speed", ("300 mm", 0.25, "6 min", 24, "1.5 1/min"), UnitError),
        ("most_output_life", (0.25, "-6 min"), DomainError),
        ("most_output_speed", ("300 m/min", 0.25, "0 min"), DomainError),
        ("most_output_speed", ("300 m/min", math.nan, "6 min"), DomainError),
    ],
)
def test_errors(name, inputs, kind):
    with pytest.raises(kind):
        FORMULAS[name](*inputs)


def test_not_a_number_outside_and_arrays(witness):
    for name in ALL:
        for parameter in FORMULAS[name].parameters:
            assert math.isnan(bare(name, **{parameter.name: math.nan}))
        columns = [np.random.default_rng(14).uniform(0.1, 0.9, 4) for _ in FORMULAS[name].parameters]
        witness.assert_same_as_scalars(FORMULAS[name].bare, *columns)
        assert bare(name, change_time=np.array([])).shape == (0,)
    assert math.isnan(bare("least_cost_life", machine_rate=0.0))
    assert math.isnan(bare("least_cost_speed", taylor_constant=-1.0))
    assert math.isnan(bare("most_output_speed", taylor_constant=0.0))
