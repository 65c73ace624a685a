"""kc1.1 and mc from the power of a simulated cut: turn by turn, tooth by tooth, by its own quadrature."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from millcalc.errors import ArgumentError
from millcalc.materials import fit_kienzle_from_power
from millcalc.materials.power_readings import _over_engagement
from millcalc.quantities.record import number

RANDOM = np.random.default_rng(8)
FEEDS = (0.04, 0.07, 0.12, 0.2)
CUT = {"diameter": "20 mm", "teeth": 4, "radial_width": "6 mm", "axial_depth": "5 mm", "cutting_speed": "150 m/min"}


def power(feed, kc11, mc, width, diameter=20.0, teeth=4, depth=5.0, speed=150.0, steps=20_000):
    """Return the mean power [kW] over a turn: the force of each tooth at each step, by the law of Kienzle."""
    end = math.acos(1.0 - 2.0 * width / diameter)
    places = (np.arange(steps) + 0.5) / steps * 2.0 * math.pi
    total = 0.0
    for tooth in range(teeth):
        place = (places + tooth * 2.0 * math.pi / teeth) % (2.0 * math.pi)
        chip = np.where(place < end, feed * np.sin(place), 0.0)
        chip = chip[chip > 0.0]
        total += float(np.sum(kc11 * chip ** (1.0 - mc) * depth)) / steps
    return total * speed / 60_000.0


def fit(powers, feeds=FEEDS, **changes):
    return fit_kienzle_from_power(
        feed_per_tooth=[f"{f} mm" for f in feeds], cutting_power=[f"{float(p)!r} kW" for p in powers], **(CUT | changes)
    )


@pytest.mark.parametrize("width", [0.5, 2.0, 6.0, 10.0, 14.0, 19.0, 20.0])
@pytest.mark.parametrize(("kc11", "mc"), [(1780.0, 0.17), (2500.0, 0.26), (700.0, 0.4)])
def test_the_constants_of_a_simulated_cut_are_found_again(width, kc11, mc):
    made = fit([power(f, kc11, mc, width) for f in FEEDS], radial_width=f"{width} mm")
    assert number(made, "mc") == pytest.approx(mc, abs=2e-4)
    assert number(made, "kc11") == pytest.approx(kc11, rel=1e-3)


@pytest.mark.parametrize("mc", [0.0, 0.17, 0.5, 0.9])
@pytest.mark.parametrize("angle", [0.2, 1.0, 0.5 * math.pi, 2.0, 3.0, math.pi])
def test_the_integral_over_the_engagement_is_that_of_another_library(mc, angle):
    whole, slope = _over_engagement(mc, angle)
    assert whole == pytest.approx(quad(lambda p: math.sin(p) ** (1 - mc), 0, angle, epsrel=1e-10)[0], rel=1e-6)
    other = quad(lambda p: -math.log(math.sin(p)) * math.sin(p) ** (1 - mc), 0, angle, epsrel=1e-10)[0]
    assert slope == pytest.approx(other, rel=1e-5, abs=1e-8)


def test_the_ranges_hold_the_truth_as_often_as_they_say():
    """95 in 100 of 300 sets; the share is good to 4 points."""
    true, kept = np.array([power(f, 1780.0, 0.17, 6.0, steps=4000) for f in FEEDS]), np.zeros(2)
    for _ in range(300):
        made = fit(true * np.exp(RANDOM.normal(0, 0.01, 4)))
        kept += [number(made, f"{n}_low") < t < number(made, f"{n}_high") for n, t in (("kc11", 1780.0), ("mc", 0.17))]
    assert np.all(np.abs(kept / 300 - 0.95) < 0.04), kept


def test_the_chips_are_those_that_carry_the_force():
    """Their mean lies between that of the chip and its largest; of a slot half a turn long each side counts alike."""
    made = fit([power(f, 1780.0, 0.17, 20.0) for f in FEEDS], radial_width="20 mm")
    low, high = number(made, "chip_low"), number(made, "chip_high")
    assert high / low == pytest.approx(FEEDS[-1] / FEEDS[0])
    assert 0.6366 * FEEDS[0] < low < FEEDS[0]
    weight = quad(lambda p: math.sin(p) ** 0.83, 0, math.pi)[0]
    mean = quad(lambda p: math.log(math.sin(p)) * math.sin(p) ** 0.83, 0, math.pi)[0] / weight
    assert low == pytest.approx(FEEDS[0] * math.exp(mean), rel=1e-4)


@pytest.mark.parametrize(
    ("powers", "changes", "said"),
    [
        ([1.0, 2.0], {}, "given feed_per_tooth 4, cutting_power 2"),
        ([1.0, 1.0, 1.0, 1.0], {}, "the force falls as fast as the chip grows thicker"),
        ([1.0, 1.75, 3.0, 5.0], {}, "it cannot be told from 0"),
        ([1.0, 1.7, 2.8, 0.0], {}, "cutting_power: given "),
        ([1.0, 1.7, 2.8, 4.4], {"radial_width": "21 mm"}, "radial_width: given 21 mm; it is wider than the cutter"),
        ([1.0, 1.7, 2.8, 4.4], {"teeth": 0, "diameter": "5"}, "teeth: given 0"),
        ([1.0, 1.7, 2.8, 4.4], {"teeth": 0, "diameter": "5"}, "diameter: given '5'"),
        ([1.0, 1.7, 2.8, 4.4], {"cutting_speed": ["1 m/min", "2 m/min"]}, "a single value is needed"),
    ],
)
def test_readings_that_cannot_tell_are_refused(powers, changes, said):
    with pytest.raises(ArgumentError) as caught:
        fit(powers, **changes)
    assert said in str(caught.value)
