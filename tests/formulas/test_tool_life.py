"""Taylor's law against integrated wear, fitted lines and a worn edge followed cut by cut; round trips; edges."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from millcalc.errors import DomainError, SignatureError, UnitError, ValidityWarning
from millcalc.formulas import speeds, tool_life
from millcalc.materials import material
from millcalc.quantities.formula import FORMULAS

RANDOM = np.random.default_rng(11)
LAW = [(120.0, 300.0, 0.25), (30.0, 70.0, 0.12), (250.0, 606.0, 0.448), (400.0, 300.0, 0.3)]


@pytest.mark.parametrize(("speed", "constant", "exponent"), LAW)
def test_the_law_is_the_integral_of_its_slope(speed, constant, exponent):
    """dT/dv = -T/(n v) from 1 min at the constant, integrated to 1e-10: the law to 1e-8."""
    path = solve_ivp(
        lambda v, t: -t / (exponent * v), (constant, speed), [1.0], rtol=1e-10, atol=1e-14, method="DOP853"
    )
    assert tool_life.taylor_life.bare(speed, constant, exponent) == pytest.approx(path.y[0, -1], rel=1e-8)


def test_two_tests_are_the_line_through_two_points():
    """On logarithmic paper: slope and intercept of NumPy's least squares."""
    for _ in range(50):
        v1, v2 = np.exp(RANDOM.uniform(np.log(20), np.log(600), 2))
        t1, t2 = sorted(np.exp(RANDOM.uniform(np.log(2), np.log(200), 2)), reverse=bool(v1 < v2))
        slope, start = np.polyfit(np.log([t1, t2]), np.log([v1, v2]), 1)
        exponent = tool_life.taylor_exponent.bare(v1, t1, v2, t2)
        assert exponent == pytest.approx(-slope, rel=1e-8)
        for v, t in ((v1, t1), (v2, t2)):
            assert tool_life.taylor_constant.bare(v, t, exponent) == pytest.approx(math.exp(start), rel=1e-8)
            assert tool_life.taylor_exponent.bare(v2, t2, v1, t1) == pytest.approx(exponent, rel=1e-12)


def test_round_trips():
    speed, constant = np.exp(RANDOM.uniform(np.log(5), np.log(1000), (2, 500)))
    exponent = RANDOM.uniform(0.08, 1.0, 500)
    life = tool_life.taylor_life.bare(speed, constant, exponent)
    np.testing.assert_allclose(tool_life.taylor_speed.bare(life, constant, exponent), speed, rtol=1e-12)
    np.testing.assert_allclose(tool_life.taylor_constant.bare(speed, life, exponent), constant, rtol=1e-12)
    faster = speed * RANDOM.uniform(1.1, 3.0, 500)
    shorter = tool_life.taylor_life.bare(faster, constant, exponent)
    np.testing.assert_allclose(tool_life.taylor_exponent.bare(speed, life, faster, shorter), exponent, rtol=1e-10)


def test_scatter_moves_the_exponent_as_its_notes_say():
    for lives, moved in ((2.0, 0.14), (10.0, 0.04)):
        as_it_is = tool_life.taylor_exponent.bare(100.0, 10.0 * lives, 150.0, 10.0)
        off = tool_life.taylor_exponent.bare(100.0, 10.0 * lives * math.exp(-0.001), 150.0, 10.0)
        assert (off / as_it_is - 1.0) / 0.001 * 0.1 == pytest.approx(moved, abs=0.005)


def test_shares_at_many_speeds_add_up_to_a_worn_edge():
    """An edge whose wear grows by dt/T(v) while the speed swings: worn after the sum of shares is 1."""

    def speed(t):
        return 150.0 + 60.0 * np.sin(0.7 * t)

    def rate(t, _):
        return (speed(t) / 300.0) ** (1.0 / 0.25)

    def worn(_, wear):
        return wear[0] - 1.0

    worn.terminal = True
    end = solve_ivp(rate, (0.0, 100.0), [0.0], events=worn, rtol=1e-9, atol=1e-12, max_step=0.5).t_events[0][0]
    edges = np.linspace(0.0, end, 20_001)
    lives = tool_life.taylor_life.bare(speed(0.5 * (edges[1:] + edges[:-1])), 300.0, 0.25)
    assert np.sum(tool_life.life_share.bare(np.diff(edges), lives)) == pytest.approx(1.0, rel=1e-6)


def test_edges_counted_one_after_the_other():
    """Cut in whole seconds until the work is done, or until the next part would not fit."""
    for _ in range(200):
        life, part, work = (int(RANDOM.integers(1, high)) for high in (300, 120, 2000))
        used, left = 0, 0
        for _ in range(work):
            if not left:
                used, left = used + 1, life
            left -= 1
        assert tool_life.cutters_needed.bare(work / 60.0, life / 60.0) == used
        parts, left = 0, life
        while left >= part:
            parts, left = parts + 1, left - part
        assert tool_life.parts_per_edge.bare(part / 60.0, life / 60.0) == parts


def test_whole_quotients_that_round_badly():
    assert tool_life.cutters_needed.bare(0.3, 0.1) == 3  # 0.3/0.1 is below 3
    assert tool_life.cutters_needed.bare(3 * 0.1, 0.1) == 3  # 3*0.1/0.1 is above 3
    assert tool_life.parts_per_edge.bare(0.1, 0.3) == 3
    assert tool_life.parts_per_edge.bare(0.1, 3 * 0.1) == 3
    assert tool_life.cutters_needed.bare(3.001, 1.0) == 4
    assert tool_life.parts_per_edge.bare(1.0, 2.999) == 2


def test_length_and_time_of_a_life():
    for life, feed in np.exp(RANDOM.uniform(0.0, 6.0, (50, 2))):
        length = tool_life.life_length.bare(life, feed)
        assert speeds.cutting_time.bare(length, feed) == pytest.approx(life, rel=1e-14)
    assert tool_life.life_length("45 min", "3 m/min").to("m").magnitude == pytest.approx(135.0)


def test_the_exponent_at_its_ends():
    """Near 0 an edge lasts for ever below the constant and not at all above it; at 1 speed times life is constant."""
    life = tool_life.taylor_life
    with np.errstate(over="ignore", under="ignore"):
        assert life.bare(299.0, 300.0, 1e-6) == math.inf
        assert life.bare(301.0, 300.0, 1e-6) == 0.0
    assert life.bare(300.0, 300.0, 1e-6) == life.bare(300.0, 300.0, 1.0) == 1.0
    assert life.bare(100.0, 300.0, 1.0) == pytest.approx(3.0, rel=1e-15)
    assert tool_life.taylor_speed.bare(60.0, 300.0, 1e-9) == pytest.approx(300.0, rel=1e-8)
    assert math.isinf(life("299 m/min", "300 m/min", 1e-6).magnitude)
    with pytest.warns(ValidityWarning, match="taylor_exponent <= 1"):
        life("100 m/min", "300 m/min", 25)


def test_an_edge_that_does_not_wear():
    assert tool_life.taylor_speed("inf", "300 m/min", 0.25).magnitude == 0.0
    assert tool_life.life_share("12 min", math.inf) == 0.0
    assert tool_life.cutters_needed("12 min", math.inf) == 0.0
    assert tool_life.parts_per_edge("12 min", math.inf) == math.inf
    assert math.isinf(tool_life.life_length(math.inf, "100 mm/min").magnitude)
    assert tool_life.cutters_needed("0 min", "12 min") == 0.0


@pytest.mark.parametrize(
    ("name", "inputs", "kind"),
    [
        ("taylor_life", ("0 m/min", "300 m/min", 0.25), DomainError),
        ("taylor_life", ("100 m/min", "300 m/min", 0.0), DomainError),
        ("taylor_life", ("100 m/min", "300 m/min", math.nan), DomainError),
        ("taylor_life", ("100 m/min", 300, 0.25), UnitError),
        ("taylor_life", ("100 m/min", "300 m/min"), SignatureError),
        ("taylor_speed", ("0 min", "300 m/min", 0.25), DomainError),
        ("taylor_constant", ("100 m/min", "inf min", 0.25), DomainError),
        ("taylor_exponent", ("60 m/min", "36 min", "90 m/min", "81 min"), DomainError),
        ("taylor_exponent", ("60 m/min", "81 min", "60 m/min", "36 min"), DomainError),
        ("taylor_exponent", ("60 m/min", "36 min", "90 m/min", "36 min"), DomainError),
        ("life_share", ("1 min", "0 min"), DomainError),
        ("cutters_needed", ("-1 min", "10 min"), DomainError),
        ("parts_per_edge", ("0 min", "10 min"), DomainError),
        ("life_length", ("10 min", "10 mm"), UnitError),
    ],
)
def test_errors(name, inputs, kind):
    with pytest.raises(kind):
        FORMULAS[name](*inputs)


def test_not_a_number_outside_and_arrays(witness):
    for bad in (0.0, -1.0, math.nan):
        for place in range(3):
            numbers = [100.0, 300.0, 0.25]
            numbers[place] = bad
            assert math.isnan(tool_life.taylor_life.bare(*numbers))
            assert math.isnan(tool_life.taylor_speed.bare(*numbers))
            assert math.isnan(tool_life.taylor_constant.bare(*numbers))
        for place in range(4):
            tests = [60.0, 81.0, 90.0, 36.0]
            tests[place] = bad
            assert math.isnan(tool_life.taylor_exponent.bare(*tests))
        assert math.isnan(tool_life.life_share.bare(1.0, bad))
        assert math.isnan(tool_life.cutters_needed.bare(1.0, bad))
        assert math.isnan(tool_life.parts_per_edge.bare(bad, 1.0))
    for impossible in ((60.0, 36.0, 90.0, 81.0), (60.0, 81.0, 60.0, 36.0), (60.0, 36.0, 90.0, 36.0)):
        assert math.isnan(tool_life.taylor_exponent.bare(*impossible))
    same, some = witness.assert_same_as_scalars, np.array([0.5, 1.0, 20.0, 300.0])
    same(tool_life.taylor_life.bare, some, some[::-1], some / 400.0 + 0.1)
    same(tool_life.taylor_speed.bare, some, some[::-1], some / 400.0 + 0.1)
    same(tool_life.taylor_constant.bare, some, some[::-1], some / 400.0 + 0.1)
    same(tool_life.taylor_exponent.bare, some, some[::-1], 400.0 + some, 0.1 * some)
    for name in ("life_share", "cutters_needed", "parts_per_edge", "life_length"):
        same(FORMULAS[name].bare, some, some[::-1])
    for name in tool_life.__all__:
        bare, count = FORMULAS[name].bare, len(FORMULAS[name].parameters)
        assert bare(np.array([]), *[1.0] * (count - 1)).shape == (0,)


def test_an_array_names_its_first_bad_test():
    with pytest.raises(DomainError, match="at index 1, 2 of 3 values"):
        tool_life.taylor_exponent(
            ["60 m/min"] * 3, ["81 min", "30 min", "20 min"], ["90 m/min"] * 3, ["36 min", "36 min", "36 min"]
        )


@pytest.mark.parametrize(("name", "slow", "fast"), [("C45", 200.0, 400.0), ("1.4301", 120.0, 230.0)])
def test_constants_of_the_catalogue_give_lives_of_wear_tests(name, slow, fast):
    """At the ends of the speeds that a row states: 2 to 60 min; a constant of ft/min would give 50 times as much."""
    row = material(name).taylor[0]
    assert f"{slow:.0f}-{fast:.0f} m/min" in row.conditions
    longest, shortest = (tool_life.taylor_life(f"{v} m/min", f"{row.c} {row.unit}", row.n) for v in (slow, fast))
    assert 2.0 < shortest.magnitude < longest.magnitude < 60.0
    again = tool_life.taylor_exponent(f"{slow} m/min", longest, f"{fast} m/min", shortest)
    assert again == pytest.approx(row.n, rel=1e-9)


def test_the_range_of_a_life_holds_the_repeats_that_differ_most():
    """Of the open wear data: 41.0 and 32.7 min for the very same cut, 75.5 and 76.8 min for another (read)."""
    for first, again in ((41.0, 32.7), (75.5, 76.8)):
        mean = 0.5 * (first + again)
        low, high = (f.bare(mean, 0.3) for f in (tool_life.shortest_life, tool_life.longest_life))
        assert low < min(first, again)
        assert max(first, again) < high
        assert (high - low) / mean == pytest.approx(0.6, rel=1e-12)
    with pytest.raises(DomainError, match="life_spread"):
        tool_life.shortest_life("45 min", 1.0)
