"""What the engine costs for each element, as ratios to the ball's closed forms timed in the same run."""

import timeit

import numpy as np
import pytest

import millcalc as m
from millcalc.formulas.ball import ball_effective_diameter
from millcalc.formulas.scallops import scallop_stepover

CUTTER = m.CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=4)
COUNT = 100_000
RANDOM = np.random.default_rng(3)
DEPTH = RANDOM.uniform(0.01, 1.0, COUNT)
LEAD, TILT = RANDOM.uniform(0.0, 20.0, COUNT), RANDOM.uniform(-20.0, 20.0, COUNT)
INCLINATION = np.degrees(np.arccos(np.cos(np.radians(LEAD)) * np.cos(np.radians(TILT))))
HEIGHT = RANDOM.uniform(0.5, 20.0, COUNT)
RADIUS = RANDOM.uniform(20.0, 500.0, COUNT)


def ratio(ours, theirs, limit):
    """Return how many times as long the one takes as the other, measured until the limit is kept."""
    best = float("inf")
    for _ in range(5):
        times = [[timeit.timeit(f, number=1) for f in (ours, theirs, theirs)] for _ in range(3)]
        one = min(row[0] for row in times)
        other = min(min(row[1:]) for row in times)
        best = min(best, one / other)
        if best <= limit:
            break
    return best


@pytest.mark.parametrize("name", ["effective_diameter", "least_diameter"])
def test_a_diameter_costs_at_most_40_times_the_balls(name):
    asked = getattr(CUTTER, name).bare
    found = ratio(
        lambda: asked(DEPTH, LEAD, TILT), lambda: ball_effective_diameter.bare(10.0, DEPTH, INCLINATION), 40.0
    )
    assert found <= 40.0


def test_a_contact_diameter_costs_at_most_40_times_the_balls():
    found = ratio(
        lambda: CUTTER.contact_diameter.bare(LEAD, TILT),
        lambda: ball_effective_diameter.bare(10.0, DEPTH, INCLINATION),
        40.0,
    )
    assert found <= 40.0


@pytest.mark.parametrize("radius", [np.inf, RADIUS], ids=["plane", "convex"])
def test_a_stepover_costs_at_most_150_times_the_balls(radius):
    rho = np.broadcast_to(radius, COUNT)
    found = ratio(
        lambda: CUTTER.stepover.bare(HEIGHT, LEAD, TILT, rho), lambda: scallop_stepover.bare(10.0, HEIGHT, rho), 150.0
    )
    assert found <= 150.0


def test_the_cost_grows_with_the_number_of_elements():
    def time_of(count):
        case = HEIGHT[:count], LEAD[:count], TILT[:count]
        return min(timeit.timeit(lambda: CUTTER.stepover.bare(*case), number=1) for _ in range(3)) / count

    # noise only ever makes a run look slow: the best of a few rounds of both
    long, short = (min(time_of(count) for _ in range(3)) for count in (COUNT, COUNT // 10))
    assert long <= 1.3 * short
