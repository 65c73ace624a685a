"""The bar of steps against quadrature of the moment integral, an elastic line and beam elements, and at its limits."""

from __future__ import annotations

import math

import mpmath as mp
import numpy as np
import pytest
from scipy import integrate, linalg

from millcalc.loads import beam as b
from millcalc.loads.beam import Beam

INF = math.inf
# length, lower, upper, modulus, density of each step
BARS = {
    "even": ([40.0], [10.0], [10.0], [600.0], [14.5]),
    "stepped": ([20.0, 30.0], [8.0, 10.0], [8.0, 10.0], [600.0, 600.0], [14.5, 14.5]),
    "taper": ([0.5, 0.5, 40.0, 30.0], [1.0, 2.0, 2.5, 10.0], [2.0, 2.5, 10.0, 10.0], [580.0] * 4, [14.4] * 4),
    "neck": ([8.0, 25.0, 12.0, 10.0], [10.0, 6.0, 6.0, 12.0], [10.0, 6.0, 12.0, 9.0], [580.0] * 4, [14.4] * 4),
    "holder": (
        [1.0, 20.0, 30.0, 40.0, 60.0],
        [4.0, 8.0, 10.0, 24.0, 40.0],
        [8.0, 8.0, 10.0, 40.0, 60.0],
        [580.0, 580.0, 580.0, 207.0, 207.0],
        [14.4, 14.4, 14.4, 7.85, 7.85],
    ),
}
POINTS, SHARES = np.polynomial.legendre.leggauss(24)
CLAMPS = [(INF, INF), (20.0, 20_000.0), (5.0, INF), (INF, 3000.0)]


def pieces(bar):
    """Yield start, length, lower, upper, modulus, density of each step."""
    start = 0.0
    for row in zip(*bar, strict=True):
        yield (start, *row)
        start += row[0]


def moved(bar, clamp, reach, at):
    """Deflection [um] at a height for 1 N at `reach`, by the moment integral (a virtual force), Gauss on 5 x 24."""
    total, top = 0.0, sum(bar[0])
    for start, length, lower, upper, modulus, _ in pieces(bar):
        low = max(start, reach, at)
        if low < start + length:
            cells = np.linspace(low, start + length, 6)
            half = np.diff(cells)[:, None] / 2
            x = cells[:-1, None] + half * (1.0 + POINTS)
            wide = lower + (upper - lower) * (x - start) / length
            total += np.sum(half * SHARES * (x - reach) * (x - at) * 64 / (math.pi * modulus * wide**4))
    return total + 1.0 / clamp[0] + (top - reach) * (top - at) / clamp[1]


def moved_in_25_digits(bar, reach, at):
    """Deflection [um] of the clamped bar as of `moved`, its integral in 25 digits."""
    total = mp.mpf(0)
    with mp.workdps(25):
        for start, length, lower, upper, modulus, _ in pieces(bar):
            low = max(start, reach, at)
            if low < start + length:

                def bend(x, s=start, length=length, lower=lower, upper=upper, modulus=modulus):
                    wide = lower + (upper - lower) * (x - s) / length
                    return (x - reach) * (x - at) * 64 / (mp.pi * modulus * wide**4)

                total += mp.quad(bend, mp.linspace(low, start + length, 5))
        return float(total)


def first_frequency(bar, clamp):
    """First frequency [Hz] by beam elements of about 2 mm, cubic shapes, their cones integrated; N, mm, s, tonnes."""
    elements = []
    for _, length, lower, upper, modulus, density in pieces(bar):
        count = max(1, math.ceil(length / 2.0))
        wide = np.linspace(lower, upper, count + 1)
        elements += [(length / count, *wide[i : i + 2], modulus * 1e3, density * 1e-9) for i in range(count)]
    size = 2 * len(elements) + 2
    stiff, heavy = np.zeros((size, size)), np.zeros((size, size))
    points, shares = np.polynomial.legendre.leggauss(6)
    for e, (h, lower, upper, modulus, density) in enumerate(elements):
        span = slice(2 * e, 2 * e + 4)
        for t, share in zip(0.5 * (points + 1.0), 0.5 * shares * h, strict=True):
            wide = lower + (upper - lower) * t
            bend = np.array([12 * t - 6, (6 * t - 4) * h, 6 - 12 * t, (6 * t - 2) * h]) / h**2
            shape = [1 - 3 * t**2 + 2 * t**3, h * (t - 2 * t**2 + t**3), 3 * t**2 - 2 * t**3, h * (t**3 - t**2)]
            stiff[span, span] += share * modulus * math.pi * wide**4 / 64 * np.outer(bend, bend)
            heavy[span, span] += share * density * math.pi * wide**2 / 4 * np.outer(shape, shape)
    held = [size - 2 + i for i in (0, 1) if math.isinf(clamp[i])]
    for i in (0, 1):
        if not math.isinf(clamp[i]):
            stiff[size - 2 + i, size - 2 + i] += clamp[i] * 1e3
    free = [i for i in range(size) if i not in held]
    longest = linalg.eigh(heavy[np.ix_(free, free)], stiff[np.ix_(free, free)], eigvals_only=True)[-1]
    return 1.0 / (2.0 * math.pi * math.sqrt(longest))


@pytest.mark.parametrize("clamp", CLAMPS)
@pytest.mark.parametrize("name", BARS)
def test_compliance_is_the_moment_integral(name, clamp):
    beam = Beam.of(*BARS[name], *clamp)
    top = sum(BARS[name][0])
    for reach in (0.0, 0.2, 0.03 * top, 0.4 * top, 0.77 * top):
        assert b.compliance(beam, reach) == pytest.approx(moved(BARS[name], clamp, reach, reach), rel=1e-11)
        assert b.tip_compliance(beam, reach) == pytest.approx(moved(BARS[name], clamp, reach, 0.0), rel=1e-11)


@pytest.mark.parametrize("name", BARS)
def test_the_moment_integral_is_that_in_25_digits(name):
    for reach, at in ((0.0, 0.0), (0.03 * sum(BARS[name][0]), 0.0)):
        assert moved(BARS[name], CLAMPS[0], reach, at) == pytest.approx(
            moved_in_25_digits(BARS[name], reach, at), rel=1e-13
        )


def test_the_published_bars():
    # published page (derived): E 600 GPa, D x L, N/um solid / 0.8 D; stepped: 100 N, 8 L 20 on 10 L 30: 15.452 um
    for diameter, length, solid, fluted in ((10, 40, 13.806, 5.655), (4, 16, 5.522, 2.262), (12, 60, 8.482, 3.474)):
        beam = Beam.of(length, [[diameter, 0.8 * diameter]], modulus=600.0)
        np.testing.assert_allclose(1.0 / b.compliance(beam), [solid, fluted], atol=0.0005)
    assert abs(100 * b.compliance(Beam.of(*BARS["stepped"])) - 15.452) <= 0.0005


@pytest.mark.parametrize("reach", [0.0, 0.3, 6.0, 20.0, 33.0])
@pytest.mark.parametrize("name", BARS)
def test_largest_stress_is_that_of_a_fine_walk(name, reach):
    """Stress at 20 001 places of each step; the closed place is within what a place is wide."""
    places, stress = [], []
    for start, length, lower, upper, _, _ in pieces(BARS[name]):
        along = np.linspace(0.0, 1.0, 20_001)
        x = start + length * along
        places.append(x)
        stress.append(32.0 * np.maximum(x - reach, 0.0) / (math.pi * (lower + (upper - lower) * along) ** 3))
    places, stress = np.concatenate(places), np.concatenate(stress)
    found = b.largest_stress(Beam.of(*BARS[name]), reach)
    assert found.stress == pytest.approx(stress.max(), rel=1e-7)
    assert found.stress >= stress.max() * (1.0 - 1e-14)
    assert found.height == pytest.approx(places[stress.argmax()], abs=0.003)


def test_stress_is_largest_inside_a_cone_where_it_is_half_as_wide_again():
    found = b.largest_stress(Beam.of(60.0, 4.0, 12.0))
    # d = d1 + g x, and x/d^3 is largest at d = 3 g x, where d = 1.5 d1
    assert found.height == pytest.approx(15.0)
    assert found.stress == pytest.approx(32 * 15.0 / (math.pi * 6.0**3))


@pytest.mark.parametrize("clamp", CLAMPS)
@pytest.mark.parametrize("name", BARS)
def test_frequency_is_that_of_beam_elements(name, clamp):
    """To a thousandth, as the docstring says."""
    expected = first_frequency(BARS[name], clamp)
    assert b.natural_frequency(Beam.of(*BARS[name], *clamp)) == pytest.approx(expected, rel=1e-3)


def test_frequency_of_the_even_bar():
    # closed form with b = 1.8751 (derived): b^2/(2 pi L^2) sqrt(E I/(rho A))
    speed = math.sqrt(600e9 / 14.5e3)
    exact = 1.875104068711961**2 / (2 * math.pi * 0.04**2) * 0.01 / 4 * speed
    assert b.natural_frequency(Beam.of(*BARS["even"])) == pytest.approx(exact, rel=1e-3)
    split = Beam.of([10.0] * 4, 10.0, modulus=600.0, density=14.5)
    assert b.natural_frequency(split) == pytest.approx(exact, rel=1e-5)


def test_a_soft_spring_under_a_rigid_bar():
    """A bar that cannot bend, on a soft spring: mass on spring, and, tilting, a pendulum with J = m L^2/3."""
    beam = Beam.of([20.0, 20.0], 20.0, modulus=1e6, density=8.0, lateral=0.1)
    assert b.natural_frequency(beam) == pytest.approx(math.sqrt(1e5 / b.mass(beam)) / (2 * math.pi), rel=1e-4)
    tilted = Beam.of([20.0, 20.0], 20.0, modulus=1e6, density=8.0, tilting=10.0)
    inertia = b.mass(tilted) * 0.04**2 / 3
    assert b.natural_frequency(tilted) == pytest.approx(math.sqrt(10.0 / inertia) / (2 * math.pi), rel=1e-4)
    # a bar that only tilts: (L - a) (L - s)/k_t
    assert b.tip_compliance(tilted, 10.0) == pytest.approx(40.0 * 30.0 / 10.0, rel=1e-4)


def test_mass_is_the_volume_of_frusta():
    expected = 0.0
    for _, length, lower, upper, _, density in pieces(BARS["neck"]):
        volume, _ = integrate.quad(lambda t, d=(lower, upper): math.pi * (d[0] + (d[1] - d[0]) * t) ** 2 / 4, 0, 1)
        expected += volume * length * density * 1e-6
    assert b.mass(Beam.of(*BARS["neck"])) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("clamp", CLAMPS)
@pytest.mark.parametrize("reach", [0.0, 0.7])
@pytest.mark.parametrize(("name", "step"), [("stepped", -1), ("holder", 2), ("neck", 1), ("even", 0)])
def test_largest_length_moves_by_the_limit(name, step, reach, clamp):
    bar, reach = BARS[name], 0.0 if name == "even" else reach
    for factor in (1.0001, 1.3, 20.0, 1e5):
        start = [*bar[0]]
        start[step] = 0.0
        limit = factor * moved((start, *bar[1:]), clamp, reach, 0.0) + 1e-3
        length = b.largest_length(Beam.of(*bar, *clamp), limit, reach, step)
        start[step] = float(length)
        assert moved((start, *bar[1:]), clamp, reach, 0.0) == pytest.approx(limit, rel=1e-9)


def test_no_length_where_the_rest_moves_more():
    beam = Beam.of(*BARS["stepped"])
    alone = b.tip_compliance(Beam.of(20.0, 8.0, modulus=600.0))
    assert math.isnan(b.largest_length(beam, 0.99 * alone))
    assert b.largest_length(beam, alone * (1 + 1e-12)) == pytest.approx(0.0, abs=1e-6)
    assert math.isnan(b.largest_length(beam, 1.0, 21.0))
    assert b.largest_length(beam, INF) == INF


def test_steps_without_length_change_nothing():
    bar = BARS["neck"]
    wide = [[*row[:2], extra, *row[2:]] for row, extra in zip(bar, (0.0, 0.0, 0.0, 1.0, 1.0), strict=True)]
    wide = [[extra, *row, extra] for row, extra in zip(wide, (0.0, 0.5, 0.0, 1.0, 1.0), strict=True)]
    plain, padded = Beam.of(*bar, 9.0, 9000.0), Beam.of(*wide, 9.0, 9000.0)
    for function in (b.compliance, b.tip_compliance, b.largest_stress):
        for reach in (0.0, 3.0, 20.0):
            np.testing.assert_allclose(function(padded, reach), function(plain, reach), rtol=1e-14)
    assert b.natural_frequency(padded) == pytest.approx(b.natural_frequency(plain), rel=1e-12)
    assert b.mass(padded) == pytest.approx(b.mass(plain), rel=1e-14)


def test_a_cone_comes_to_the_cylinder_and_rigid_springs_to_the_clamp():
    even = Beam.of(40.0, 10.0)
    for taper in (1e-3, 1e-6, 1e-9):
        cone = Beam.of(40.0, 10.0 - taper, 10.0 + taper)
        assert b.compliance(cone) == pytest.approx(b.compliance(even), rel=taper)
    held = Beam.of(40.0, 10.0, lateral=1e12, tilting=1e15)
    assert b.compliance(held) == pytest.approx(b.compliance(even), rel=1e-9)
    assert b.natural_frequency(held) == pytest.approx(b.natural_frequency(even), rel=1e-9)


def test_many_tools_side_by_side_are_each_alone():
    random = np.random.default_rng(3)
    length, lower, upper = (
        random.uniform(1, 30, (5, 2, 3)),
        random.uniform(3, 9, (5, 2, 3)),
        random.uniform(3, 9, (5, 1, 3)),
    )
    modulus, lateral = random.uniform(200, 600, 5), random.uniform(5, 50, 3)
    reach = random.uniform(0, 10, (2, 1))
    beam = Beam.of(length, lower, upper, modulus, 14.0, lateral)
    answers = [b.compliance(beam, reach), b.tip_compliance(beam, reach), *b.largest_stress(beam, reach)]
    answers += [b.natural_frequency(beam), b.mass(beam), b.largest_length(beam, 1e3, 0.0)]
    assert all(a.shape == (2, 3) for a in answers)
    for row in range(2):
        for column in range(3):
            one = Beam.of(
                length[:, row, column], lower[:, row, column], upper[:, 0, column], modulus, 14.0, lateral[column]
            )
            at = float(reach[row, 0])
            alone = [b.compliance(one, at), b.tip_compliance(one, at), *b.largest_stress(one, at)]
            alone += [b.natural_frequency(one), b.mass(one), b.largest_length(one, 1e3, 0.0)]
            assert all(np.ndim(a) == 0 for a in alone)
            np.testing.assert_allclose([a[row, column] for a in answers], alone, rtol=1e-12)


def test_many_places_on_one_tool():
    beam = Beam.of(*BARS["neck"])
    places = np.array([[0.0, 5.0], [20.0, 50.0]])
    for function in (b.compliance, b.tip_compliance):
        expected = [[float(function(beam, p)) for p in row] for row in places]
        np.testing.assert_allclose(function(beam, places), expected, rtol=1e-13)
    found = b.largest_stress(beam, places).stress
    np.testing.assert_allclose(found[1, 0], b.largest_stress(beam, 20.0).stress, rtol=1e-13)


def test_outside_and_empty():
    beam = Beam.of(*BARS["stepped"])
    for place in (-0.1, 50.1, math.nan):
        assert math.isnan(b.compliance(beam, place))
        assert math.isnan(b.largest_stress(beam, place).stress)
    assert b.compliance(beam, 50.0) == pytest.approx(0.0, abs=1e-15)
    none = Beam.of(np.empty((2, 0)), 8.0)
    assert b.compliance(none).shape == b.natural_frequency(none).shape == b.largest_length(none, 1.0).shape == (0,)
    assert b.largest_stress(none).stress.shape == b.mass(none).shape == (0,)
    assert math.isnan(b.natural_frequency(Beam.of([10.0, math.nan], 8.0)))
    found = b.natural_frequency(Beam.of([[10.0, math.nan], [20.0, 20.0]], 8.0))
    assert np.isnan(found).tolist() == [False, True]


def test_a_chunk_more_gives_the_same(monkeypatch):
    lengths = np.linspace(10.0, 60.0, 50)
    beam = Beam.of(np.stack([lengths, lengths]), 8.0)
    whole = b.natural_frequency(beam)
    monkeypatch.setattr(b, "_AT_ONCE", 36 * 7)
    np.testing.assert_array_equal(b.natural_frequency(beam), whole)
