"""The ball's cutting diameters, chip and engagement against a search over the sphere.

Sources: README.md and geometry_truths.md of the published folder (derived).  The search (witness.Cap) finds
an extreme to about 1e-9 of the radius; 2e-8 mm is allowed here, which also covers a turning radius of zero.
"""

from __future__ import annotations

import inspect
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from millcalc.formulas import ball, ball_chip

NEAR = {"rel": 1e-8, "abs": 2e-8}


def gamma(diameter: float, depth: float) -> float:
    """Return the half-angle of the cap in degrees, for printed ratios only."""
    return math.degrees(math.acos(1 - 2 * depth / diameter))


# lead, tilt, least, at the contact, largest; README.md: D 10, a_p 0.2, feed +x, full width (derived)
PRINTED = [
    (0.0, 0.0, 0.0, 0.0, 2.8000),
    (15.0, 0.0, 2.5882, 2.5882, 5.1893),
    (-15.0, 0.0, 0.0, 2.5882, 3.7435),
    (-30.0, 0.0, 2.3751, 5.0000, 5.5570),
    (0.0, 15.0, 0.0, 2.5882, 5.1893),
    (0.0, -15.0, 0.0, 2.5882, 5.1893),
]


@pytest.mark.parametrize(("lead", "tilt", "least", "contact", "largest"), PRINTED)
def test_printed_cutting_diameters(witness, lead, tilt, least, contact, largest):
    expected = pytest.approx((least, contact, largest), abs=5.1e-5)
    assert witness.cutting_diameters(10.0, 0.2, lead, tilt) == expected
    assert tuple(ball.ball_cutting_diameters.bare(10.0, 0.2, lead, tilt)) == expected


def test_printed_cutting_diameters_beside_a_pass(witness):
    """geometry_truths.md, cutting diameters of a ball (derived)."""
    full = 10 * math.sin(math.radians(15 + gamma(10, 0.5)))
    for cut in (witness.cutting_diameters, ball.ball_cutting_diameters.bare):
        # the full-width formula is 8.4 % and 27.5 % high
        assert full / cut(10.0, 0.5, 15.0, 0.0, 0.5)[2] - 1 == pytest.approx(0.084, abs=5.1e-4)
        assert full / cut(10.0, 0.5, 15.0, 0.0, 0.01)[2] - 1 == pytest.approx(0.275, abs=5.1e-4)
        # leaning to the uncut side it is exact; to the machined side 113 % too high, true 3.068
        assert cut(10.0, 0.5, 0.0, 15.0, 0.5, "left")[2] == pytest.approx(full, rel=1e-9)
        assert cut(10.0, 0.5, 0.0, -15.0, 0.5, "right")[2] == pytest.approx(full, rel=1e-9)
        for tilt, side in ((-15.0, "left"), (15.0, "right")):
            largest = cut(10.0, 0.5, 0.0, tilt, 0.5, side)[2]
            assert largest == pytest.approx(3.068, abs=5.1e-4)
            assert full / largest - 1 == pytest.approx(1.13, abs=5.1e-3)
        # lead -15: the formula describes the back; true largest 4.942, at the side
        assert cut(10.0, 0.5, -15.0, 0.0)[2] == pytest.approx(4.942, abs=5.1e-4)


@pytest.mark.parametrize("diameter", [10.0, 0.4])
@pytest.mark.parametrize("inclination", [0.0, 5.0, 30.0, 60.0, 74.1, 90.0])
@pytest.mark.parametrize("share", [1e-3, 0.02, 0.1, 0.37, 0.5, 0.7])
def test_whole_cap(witness, diameter, inclination, share):
    depth = share * diameter
    least, largest = witness.cap_diameters(diameter, depth, inclination)
    assert ball.ball_effective_diameter.bare(diameter, depth, inclination) == pytest.approx(largest, **NEAR)
    assert ball.ball_least_diameter.bare(diameter, depth, inclination) == pytest.approx(least, **NEAR)


def test_whole_cap_without_inclination_is_the_chord(witness):
    """The plane cuts the ball in a circle; a depth beyond the equator leaves the cylinder."""
    assert ball.ball_effective_diameter.bare(10.0, 0.2) == pytest.approx(2.8, abs=5.1e-5)
    assert ball.ball_effective_diameter.bare(10.0, 0.2, 15.0) == pytest.approx(5.1893, abs=5.1e-5)
    for depth in (5.0, 7.0, 10.0):
        assert ball.ball_effective_diameter.bare(10.0, depth) == 10.0
    assert ball.ball_least_diameter.bare(10.0, 0.2) == 0.0


@pytest.mark.parametrize("lead", [-90.0, -40.0, -3.0, 0.0, 1.0, 15.0, 60.0, 90.0])
def test_contact_diameter_is_half_a_turn(witness, lead):
    """The contact turned by 180 deg about the axis; 1e-12."""
    expected = witness.contact_diameter(10.0, lead)
    assert ball.ball_contact_diameter.bare(10.0, abs(lead)) == pytest.approx(expected, rel=1e-12, abs=1e-12)


def _jobs() -> list[tuple]:
    """Return named corners and a seeded spread of jobs: depth, lead, tilt, stepover, uncut side."""
    chord = 2 * math.sqrt(0.5 * 9.5)
    jobs: list[tuple] = [
        (0.5, 0.0, 0.0, None, "left"),
        (0.5, 0.0, 0.0, 0.5, "left"),
        (0.5, 0.0, 0.0, 0.5, "right"),
        (0.5, 5.0, 0.0, 0.001, "left"),
        (0.5, 15.0, 0.0, chord * 0.499, "left"),
        (0.5, 15.0, 0.0, chord * 0.501, "right"),
        (0.5, -15.0, 10.0, chord * 1.001, "left"),
        (0.5, -15.0, -10.0, chord * 1.001, "right"),
        (0.5, 15.0, 10.0, 10.0, "left"),
        (0.5, 15.0, 10.0, 13.0, "left"),
        (0.5, 75.0, 0.0, 0.5, "left"),
        (0.5, -75.0, 0.0, 0.5, "left"),
        (0.5, 0.0, 75.0, 0.5, "left"),
        (0.5, 0.0, -75.0, 0.5, "left"),
        (5.0, 20.0, 20.0, None, "left"),
        (5.0, 20.0, -20.0, 2.0, "left"),
        (5.0, 0.0, 0.0, 3.0, "right"),
        (7.5, 0.0, 0.0, None, "left"),
        (7.5, -30.0, 0.0, None, "left"),
        (7.5, 30.0, 30.0, 1.0, "left"),
        (7.5, -30.0, 20.0, 8.0, "right"),
        (10.0, -30.0, 20.0, None, "right"),
        # the tip just behind the cut of a narrow pass: the least lies within the edge of the pass before
        (0.5, -1.0, 0.0, 0.02, "left"),
        (1.2, -0.3, 0.0, 0.007, "left"),
        (4.4, -0.75, 0.0, 0.001, "left"),
        (9.3, -0.6, 1.1, 0.0025, "right"),
        (4.5, -2.0, 3.0, 0.01, "right"),
    ]
    rng = np.random.default_rng(20)
    for _ in range(50):
        depth = float(rng.choice([0.02, 0.2, 0.5, 1.5, 3.0, 4.9]) * rng.uniform(0.8, 1.0))
        lead, tilt = (float(rng.uniform(-1, 1) * rng.choice([5, 20, 60])) for _ in range(2))
        stepover = None if rng.random() < 0.25 else float(10 ** rng.uniform(-2.5, 1.05))
        jobs.append((depth, lead, tilt, stepover, "left" if rng.random() < 0.5 else "right"))
    return jobs


@pytest.mark.parametrize(("depth", "lead", "tilt", "stepover", "side"), _jobs())
def test_cutting_diameters(witness, depth, lead, tilt, stepover, side):
    expected = witness.cutting_diameters(10.0, depth, lead, tilt, stepover, side)
    got = ball.ball_cutting_diameters.bare(10.0, depth, lead, tilt, stepover, side)
    assert tuple(map(float, got)) == pytest.approx(expected, **NEAR)


@settings(max_examples=150, derandomize=True, deadline=None, database=None)
@given(
    depth=st.floats(0.01, 10.0),
    lead=st.floats(-80, 80),
    tilt=st.floats(-80, 80),
    stepover=st.one_of(st.none(), st.floats(0.01, 12.0)),
    side=st.sampled_from(["left", "right"]),
)
def test_no_point_of_a_cloud_contradicts(witness, depth, lead, tilt, stepover, side):
    """20 000 points of the cap: none turns outside the two diameters (1e-9 mm); and, with enough points,
    the cloud comes as near to them as its own spacing allows."""
    points = 20_000
    least, _, largest = ball.ball_cutting_diameters.bare(10.0, depth, lead, tilt, stepover, side)
    try:
        low, high = witness.cloud_diameters(10.0, depth, lead, tilt, stepover, side, points)
    except ValueError:  # so narrow a region that the cloud misses it
        return
    assert least <= low + 1e-9
    assert largest >= high - 1e-9
    if stepover is None:
        spacing = math.sqrt(math.pi * 10.0 * depth / points)
        assert least >= low - 4 * spacing
        assert largest <= high + 4 * spacing


def test_none_and_infinity_mean_that_no_pass_lies_beside_and_nan_stays_nan():
    whole = tuple(ball.ball_cutting_diameters.bare(10.0, 0.5, 15.0, 5.0))
    for nothing in (None, math.inf):
        assert tuple(ball.ball_cutting_diameters.bare(10.0, 0.5, 15.0, 5.0, nothing)) == whole
    chip = ball_chip.ball_max_chip_thickness.bare(0.1, 10.0, 0.5)
    assert ball_chip.ball_max_chip_thickness.bare(0.1, 10.0, 0.5, math.inf) == chip
    assert all(math.isnan(d) for d in ball.ball_cutting_diameters.bare(10.0, 0.5, 15.0, 5.0, math.nan))
    assert math.isnan(ball_chip.ball_max_chip_thickness.bare(0.1, 10.0, 0.5, math.nan))


def test_mirrored_jobs_have_the_same_diameters():
    for lead in (-20.0, 0.0, 20.0):
        left = ball.ball_cutting_diameters.bare(10.0, 0.5, lead, 12.0, 0.3, "left")
        right = ball.ball_cutting_diameters.bare(10.0, 0.5, lead, -12.0, 0.3, "right")
        assert tuple(left) == pytest.approx(tuple(right), rel=1e-12)


@pytest.mark.parametrize("depth", [0.001, 0.05, 0.5, 3.0, 5.0, 7.0, 10.0])
@pytest.mark.parametrize("stepover", [None, 0.002, 0.05, 0.5, 2.0, 4.4, 9.0, 10.0, 14.0])
def test_ball_chip(witness, depth, stepover):
    """Gap between the ball and the same ball a feed of 1e-7 diameters ahead; 3e-7."""
    expected = witness.ball_largest_chip(10.0, depth, stepover)
    beside = () if stepover is None else (stepover,)
    got = ball_chip.ball_max_chip_thickness.bare(0.1, 10.0, depth, *beside)
    # the gap carries half a feed over the diameter, 1e-7, on top of the limit
    assert got == pytest.approx(0.1 * expected, abs=0.1 * 1.1e-7)


@pytest.mark.parametrize("stepover", [0.01, 0.5, 3.0, 12.0])
def test_feed_for_a_ball_chip(witness, stepover):
    """The searched gap again, turned round; 3e-7."""
    expected = 0.02 / witness.ball_largest_chip(10.0, 0.5, stepover)
    got = ball_chip.ball_feed_per_tooth_for_chip.bare(0.02, 10.0, 0.5, stepover)
    assert got == pytest.approx(expected, rel=2e-7 / witness.ball_largest_chip(10.0, 0.5, stepover))


def test_printed_ball_chip(witness):
    """geometry_truths.md (derived), a_p 0.5, f_z 0.1: the bound f_z sin(psi) is 1.9 % above the true chip of
    a whole feed; with s_o = a_p = 0.5 the true maximum is 62 % of the bound."""
    bound = ball_chip.ball_max_chip_thickness.bare(0.1, 10.0, 0.5)
    assert bound == pytest.approx(0.1 * math.sin(math.radians(gamma(10, 0.5))), rel=1e-12)
    assert witness.ball_true_chip(10.0, 0.5, 0.1) / bound - 1 == pytest.approx(-0.019, abs=5.1e-4)
    true = witness.ball_true_chip(10.0, 0.5, 0.1, 0.5)
    assert true / bound == pytest.approx(0.62, abs=5.1e-3)
    # the thin-feed limit beside a pass lies above it, by about half a feed over the cap's reach
    assert true < ball_chip.ball_max_chip_thickness.bare(0.1, 10.0, 0.5, 0.5) < true * 1.04


@pytest.mark.parametrize("stepover", [0.2, 1.0, 3.0, 6.0])
def test_the_true_ball_chip_comes_to_the_limit(witness, stepover):
    """Ten times less feed, ten times closer; left is half a feed per mm of diameter ten."""
    for feed in (1e-1, 1e-2, 1e-3):
        got = ball_chip.ball_max_chip_thickness.bare(feed, 10.0, 0.5, stepover)
        assert got == pytest.approx(witness.ball_true_chip(10.0, 0.5, feed, stepover), rel=0.6 * feed)


@pytest.mark.parametrize("diameter", [10.0, 0.4])
@pytest.mark.parametrize("share", [1e-4, 0.02, 0.1, 0.37, 0.5])
def test_clearing_inclination(witness, diameter, share):
    """Root of the tip's height; 1e-10, and the least diameter leaves zero just there."""
    depth = share * diameter
    got = ball.clearing_inclination.bare(diameter, depth)
    assert got == pytest.approx(witness.clearing_inclination(diameter, depth), rel=1e-10)
    assert ball.ball_least_diameter.bare(diameter, depth, got - 1e-3) == 0.0
    if got < 89:
        assert ball.ball_least_diameter.bare(diameter, depth, got + 1e-3) > 0.0


@pytest.mark.parametrize("depth", [1e-3, 0.05, 0.5, 2.0, 5.0, 8.0])
@pytest.mark.parametrize("radius", [math.inf, 1e6, 200.0, 20.0, 6.0, 1.0, 0.05, -1e6, -200.0, -50.0, -20.0])
def test_engaged_depth(witness, depth, radius):
    """The section of the ball walked out of the stock; 1e-9."""
    expected = witness.engaged_depth(10.0, depth, radius)
    got = ball.engaged_depth.bare(10.0, depth, radius)
    assert got == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("depth", "radius"),
    [(0.001, -5.01), (0.01, -5.01), (0.019, -5.01), (0.05, -5.2), (0.39, -5.2), (0.5, -6.0)],
)
def test_engaged_depth_in_a_trough_hardly_wider_than_the_ball(witness, depth, radius):
    expected = witness.engaged_depth(10.0, depth, radius)
    assert expected < 10.0
    assert ball.engaged_depth.bare(10.0, depth, radius) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(("depth", "radius"), [(0.03, -5.01), (3.0, -6.0), (8.0, -7.0)])
def test_a_ball_that_drowns_in_the_trough(witness, depth, radius):
    """No point of the ball is out of stock: the whole ball is engaged, or no answer; never less."""
    assert witness.engaged_depth(10.0, depth, radius) == 10.0
    got = float(ball.engaged_depth.bare(10.0, depth, radius))
    assert math.isnan(got) or got == pytest.approx(10.0, rel=1e-12)


def test_outside_the_domain_is_not_a_number():
    assert math.isnan(ball.engaged_depth.bare(10.0, 0.1, -4.9))
    assert math.isnan(ball.ball_effective_diameter.bare(10.0, -0.1))


def test_arrays_give_what_scalars_give(witness):
    same = witness.assert_same_as_scalars
    diameters, depths = np.array([2.0, 10.0, 6.0, 4.0]), np.array([0.1, 0.5, 4.0, 0.01])
    leans, tilts = np.array([0.0, 15.0, -40.0, 70.0]), np.array([0.0, -15.0, 30.0, 5.0])
    stepovers = np.array([0.2, np.nan, 1.0, 7.0])
    same(ball.ball_effective_diameter.bare, diameters, depths, np.abs(leans))
    same(ball.ball_contact_diameter.bare, diameters, np.abs(leans))
    same(ball.ball_least_diameter.bare, diameters, depths, np.abs(leans))
    for side in ("left", "right"):
        same(ball.ball_cutting_diameters.bare, diameters, depths, leans, tilts, stepovers, uncut_side=side)
    same(ball_chip.ball_max_chip_thickness.bare, depths / 10, diameters, depths, stepovers)
    same(ball.clearing_inclination.bare, diameters, np.minimum(depths, 1.0))
    same(ball.engaged_depth.bare, diameters, depths, [np.inf, 20.0, -30.0, 1.0])
    assert list(inspect.signature(ball.ball_cutting_diameters.bare).parameters)[:2] == [
        "diameter",
        "normal_depth",
    ]
