"""The extended law against Taylor's, integrated slopes and fitted planes; round trips of its inverses; edges."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from millcalc.errors import DomainError, UnitError, ValidityWarning
from millcalc.formulas import life_conditions, tool_life
from millcalc.quantities.formula import FORMULAS

RANDOM = np.random.default_rng(12)
EXTENDED = ("extended_life", "extended_speed", "extended_feed", "extended_depth", "extended_constant")
CASE = {
    "cutting_speed": 150.0,
    "tool_life": 40.0,
    "feed_per_tooth": 0.1,
    "axial_depth": 2.0,
    "extended_constant": 180.0,
    "taylor_exponent": 0.25,
    "feed_exponent": 0.3,
    "depth_exponent": 0.15,
}


def bare(name, **changed):
    """A formula of the extended law at the case, with some numbers changed."""
    numbers = CASE | changed
    return FORMULAS[name].bare(*(numbers[p.name] for p in FORMULAS[name].parameters))


def drawn(count):
    """Numbers of a shop, many at once."""
    low = np.array([20.0, 2.0, 0.01, 0.05, 30.0, 0.1, 0.1, 0.1])
    high = np.array([600.0, 200.0, 0.5, 20.0, 900.0, 0.7, 0.9, 0.9])
    numbers = np.exp(RANDOM.uniform(np.log(low), np.log(high), (count, 8)))
    return dict(zip(CASE, numbers.T, strict=True))


@pytest.mark.parametrize("exponent", [4.0, 1.0, 0.3, -0.5])
@pytest.mark.parametrize("factor", [0.3, 0.99, 1.0, 1.7, 5.0])
def test_a_scaled_life_is_the_integral_of_its_slope(factor, exponent):
    """d log T = -k dx/x from 1 to the factor."""
    fall, _ = quad(lambda x: exponent / x, 1.0, factor)
    assert life_conditions.scaled_life.bare(30.0, factor, exponent) == pytest.approx(30.0 * math.exp(-fall), rel=1e-10)


def test_one_percent_more_is_as_many_percent_less():
    for exponent in (0.3, 1.0, 4.0):
        small = life_conditions.scaled_life.bare(100.0, 1.0 + 1e-7, exponent)
        assert (100.0 - small) / 100.0 / 1e-7 == pytest.approx(exponent, rel=1e-5)


def test_a_scaled_speed_is_the_law_of_taylor():
    for speed, constant, exponent, factor in RANDOM.uniform([50, 200, 0.1, 0.5], [300, 600, 0.9, 2.0], (100, 4)):
        first = tool_life.taylor_life.bare(speed, constant, exponent)
        second = tool_life.taylor_life.bare(speed * factor, constant, exponent)
        assert life_conditions.scaled_life.bare(first, factor, 1.0 / exponent) == pytest.approx(second, rel=1e-12)
        assert life_conditions.life_exponent.bare(first, second, factor) == pytest.approx(1.0 / exponent, rel=1e-9)


@pytest.mark.parametrize(
    ("name", "step"), [("cutting_speed", "taylor_exponent"), ("feed_per_tooth", ""), ("axial_depth", "")]
)
def test_slopes_of_the_extended_life(name, step):
    """Two lives that differ in one condition: the exponent of that condition, over Taylor's."""
    exponents = {"feed_per_tooth": "feed_exponent", "axial_depth": "depth_exponent"}
    expected = 1.0 if step else CASE[exponents[name]]
    second = bare("extended_life", **{name: 1.3 * CASE[name]})
    found = life_conditions.life_exponent.bare(bare("extended_life"), second, 1.3)
    assert found * CASE["taylor_exponent"] == pytest.approx(expected, rel=1e-12)


def test_exponents_and_constant_are_the_plane_through_tests():
    """NumPy's least squares of log T over log v, log f and log d in 30 made-up tests gives the law back."""
    numbers = drawn(30)
    at = {n: CASE[n] for n in ("extended_constant", "taylor_exponent", "feed_exponent", "depth_exponent")}
    life = bare("extended_life", **(numbers | at))
    columns = [np.ones(30), *(np.log(numbers[n]) for n in ("cutting_speed", "feed_per_tooth", "axial_depth"))]
    start, speed, feed, depth = np.linalg.lstsq(np.column_stack(columns), np.log(life), rcond=None)[0]
    assert -1.0 / speed == pytest.approx(at["taylor_exponent"], rel=1e-9)
    assert feed / speed == pytest.approx(at["feed_exponent"], rel=1e-9)
    assert depth / speed == pytest.approx(at["depth_exponent"], rel=1e-9)
    assert math.exp(-start / speed) == pytest.approx(at["extended_constant"], rel=1e-9)


def test_round_trips_of_all_inverses():
    numbers = drawn(500)
    numbers["tool_life"] = bare("extended_life", **numbers)
    for name, of in zip(
        EXTENDED, ("tool_life", "cutting_speed", "feed_per_tooth", "axial_depth", "extended_constant"), strict=True
    ):
        np.testing.assert_allclose(bare(name, **numbers), numbers[of], rtol=1e-11)


def test_at_one_millimetre_it_is_the_law_of_taylor():
    one = {"feed_per_tooth": 1.0, "axial_depth": 1.0}
    assert bare("extended_life", **one) == pytest.approx(tool_life.taylor_life.bare(150.0, 180.0, 0.25), rel=1e-14)
    assert bare("extended_life", feed_exponent=0.0, depth_exponent=0.0) == bare("extended_life", **one)
    # the speed of one minute is the constant of the simple law, whatever the exponent
    constant = bare("extended_speed", tool_life=1.0)
    assert constant == bare("extended_speed", tool_life=1.0, taylor_exponent=0.9)
    for speed in (100.0, 250.0):
        simple = tool_life.taylor_life.bare(speed, constant, 0.25)
        assert bare("extended_life", cutting_speed=speed) == pytest.approx(simple, rel=1e-13)


def test_feed_and_depth_are_read_in_any_unit_of_length():
    inch = life_conditions.extended_life("400 sfm", "0.004 in", "0.1 in", "500 sfm", 0.25, 0.3, 0.15)
    metric = bare(
        "extended_life", cutting_speed=121.92, feed_per_tooth=0.1016, axial_depth=2.54, extended_constant=152.4
    )
    assert inch.magnitude == pytest.approx(metric, rel=1e-12)


def test_lives_without_end_and_exponents_at_their_ends():
    assert bare("extended_speed", tool_life=math.inf) == 0.0
    assert life_conditions.extended_speed(math.inf, "0.1 mm", "1 mm", "180 m/min", 0.25, 0.3, 0.15).magnitude == 0.0
    with np.errstate(over="ignore", under="ignore"):
        assert bare("extended_life", taylor_exponent=1e-5) == math.inf
        assert bare("extended_life", taylor_exponent=1e-5, cutting_speed=500.0) == 0.0
    assert bare("extended_life", taylor_exponent=1.0) == pytest.approx(180 / 150 / 0.1**0.3 / 2**0.15, rel=1e-14)
    with pytest.warns(ValidityWarning, match="taylor_exponent <= 1"):
        life_conditions.extended_life("150 m/min", "0.1 mm", "2 mm", "180 m/min", 4.0, 0.3, 0.15)


@pytest.mark.parametrize(
    ("name", "inputs", "kind"),
    [
        ("scaled_life", ("0 min", 2.0, 4.0), DomainError),
        ("scaled_life", ("10 min", 0.0, 4.0), DomainError),
        ("scaled_life", ("10 min", 2.0, math.nan), DomainError),
        ("scaled_life", (10, 2.0, 4.0), UnitError),
        ("life_exponent", ("10 min", "5 min", 1.0), DomainError),
        ("life_exponent", ("10 min", "0 min", 2.0), DomainError),
        ("extended_life", ("100 m/min", "0 mm", "2 mm", "180 m/min", 0.25, 0.3, 0.15), DomainError),
        ("extended_life", ("100 m/min", "0.1 mm", "2 mm", "180 m/min", 0.25, -0.3, 0.15), DomainError),
        ("extended_feed", ("10 min", "100 m/min", "2 mm", "180 m/min", 0.25, 0.0, 0.15), DomainError),
        ("extended_depth", ("10 min", "100 m/min", "0.1 mm", "180 m/min", 0.25, 0.3, 0.0), DomainError),
        ("extended_constant", ("100 m/min", "inf min", "0.1 mm", "2 mm", 0.25, 0.3, 0.15), DomainError),
    ],
)
def test_errors(name, inputs, kind):
    with pytest.raises(kind):
        FORMULAS[name](*inputs)


def test_not_a_number_outside():
    positive = ("cutting_speed", "tool_life", "feed_per_tooth", "axial_depth", "extended_constant", "taylor_exponent")
    for name in EXTENDED:
        for parameter in FORMULAS[name].parameters:
            for wrong in (0.0, -1.0, math.nan) if parameter.name in positive else (math.nan,):
                assert math.isnan(bare(name, **{parameter.name: wrong})), (name, parameter.name, wrong)
    for wrong in (0.0, -1.0):
        assert math.isnan(bare("extended_feed", feed_exponent=wrong))
        assert math.isnan(bare("extended_depth", depth_exponent=wrong))
        assert math.isnan(life_conditions.scaled_life.bare(10.0, wrong, 2.0))
        assert math.isnan(life_conditions.life_exponent.bare(10.0, wrong, 2.0))
    assert math.isnan(life_conditions.life_exponent.bare(10.0, 5.0, 1.0))


def test_arrays(witness):
    same, some = witness.assert_same_as_scalars, np.array([0.3, 1.1, 4.0])
    same(life_conditions.scaled_life.bare, some, some[::-1], some - 1.0)
    same(life_conditions.life_exponent.bare, some, some[::-1] + 1.0, some)
    numbers = drawn(4)
    for name in EXTENDED:
        same(FORMULAS[name].bare, *(numbers[p.name] for p in FORMULAS[name].parameters))
        assert bare(name, axial_depth=np.array([]), feed_per_tooth=np.array([])).shape == (0,)
    assert life_conditions.scaled_life.bare(np.array([]), 2.0, 1.0).shape == (0,)
    assert life_conditions.life_exponent.bare(np.array([]), 2.0, 3.0).shape == (0,)
