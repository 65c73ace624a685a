"""Clearance of shank and holder: hand cases, what is refused, overhangs and leans against brute scans.

All expected values are derived: by elementary geometry where a test says hand, otherwise by the scan it names.  The
clearance of any body at any lean has its second witness in `test_section`.
"""

import math
import pickle

import numpy as np
import pytest
from witness.arrays import assert_same_as_scalars

from millcalc.cutters.clearance import (
    Frustum,
    assembled,
    clearing_leans,
    clearing_tilt_range,
    floor_clearance,
    least_overhang,
    wall_clearance,
)
from millcalc.errors import ArgumentError

ORIGIN = (0.0, 0.0, 0.0)
HOLDER = [Frustum(0, 20, 10, 14), Frustum(20, 50, 20, 20)]


def test_upright_cylinder_beside_an_upright_wall():
    """Hand: distance less radius; a lead lengthens nothing across."""
    body = [Frustum(20, 50, 6, 6)]
    assert wall_clearance(body, 0.0, 0.0, ORIGIN, 10.0, 80.0) == 4.0
    assert wall_clearance(body, 0.0, 0.0, (9.0, 1.5, 3.0), 10.0, np.inf) == 2.5
    assert wall_clearance(body, 35.0, 0.0, ORIGIN, 10.0, np.inf) == pytest.approx(4.0, abs=1e-14)
    assert wall_clearance(body, 0.0, 0.0, ORIGIN, 4.0, 80.0) == -2.0


@pytest.mark.parametrize("lean", [-40.0, -1.0, 1.0, 25.0])
def test_leaning_in_the_plane_across(lean):
    """Hand: the corner of a rectangle: upper one with a lean to the wall, lower one with a lean away."""
    z = 50.0 if lean > 0 else 20.0
    t = math.radians(lean)
    expected = 60.0 - z * math.sin(t) - 6.0 * math.cos(t)
    found = wall_clearance([Frustum(20, 50, 6, 6)], 0.0, lean, ORIGIN, 60.0, np.inf)
    assert found == pytest.approx(expected, abs=1e-13)
    mirrored = wall_clearance([Frustum(20, 50, 6, 6)], 0.0, -lean, ORIGIN, 60.0, np.inf, side="right")
    assert mirrored == pytest.approx(expected, abs=1e-13)


def test_a_wall_lower_than_the_holder():
    """Hand: above the top the height counts; diagonally the triangle 3, 4, 5; a dip of 0.5 mm into the top is 0.5."""
    assert wall_clearance([Frustum(20, 50, 16, 16)], 0.0, 0.0, ORIGIN, 10.0, 17.0) == pytest.approx(3.0, abs=1e-14)
    assert wall_clearance([Frustum(24, 50, 7, 7)], 0.0, 0.0, ORIGIN, 10.0, 20.0) == pytest.approx(5.0, abs=1e-14)
    assert wall_clearance([Frustum(16.5, 50, 16, 16)], 0.0, 0.0, ORIGIN, 10.0, 17.0) == pytest.approx(-0.5, abs=1e-14)
    bodies = [Frustum(0, 20, 6, 6), Frustum(20, 50, 16, 16)]
    assert wall_clearance(bodies, 0.0, 0.0, ORIGIN, 7.0, 17.0) == 1.0  # the shank beside the wall is nearer


def test_draft_and_undercut():
    """Hand: the lower end is nearest to a face that leans away, the upper end to one that leans over."""
    body = [Frustum(20, 50, 6, 6)]
    for draft, z in ((10.0, 20.0), (-10.0, 50.0)):
        slope = math.radians(draft)
        expected = (30.0 + z * math.tan(slope) - 6.0) * math.cos(slope)
        assert wall_clearance(body, 0.0, 0.0, ORIGIN, 30.0, np.inf, draft) == pytest.approx(expected, abs=1e-13)
        assert wall_clearance(body, 0.0, draft, ORIGIN, 30.0, np.inf, draft) == pytest.approx(
            30.0 * math.cos(slope) - 6.0, abs=1e-13
        )  # the cylinder leans as the wall does


def test_a_lying_ring_beside_an_edge():
    """Hand: seen at a lead of 60 deg a disc of radius 20 is an ellipse 20 by 20 sin(60 deg), its top at the height."""
    disc, height = [Frustum(0, 0, 20, 20)], 20.0 * math.sin(math.radians(60.0))
    below = wall_clearance(disc, 60.0, 0.0, (0.0, 0.0, 50.0), -1e-9, 50.0 - height - 3.0)
    assert below == pytest.approx(3.0, abs=1e-9)
    assert wall_clearance(disc, 60.0, 0.0, (0.0, 0.0, 50.0), 0.0, 50.0) == pytest.approx(-height, abs=1e-13)
    sine, cosine = math.sin(math.radians(20.0)), math.cos(math.radians(20.0))
    # a point on the major axis lies s sqrt(R^2 - off^2 / c^2) from the ellipse; left of the middle the wall drops down
    for off in (5.0, -5.0):
        depth = sine * math.sqrt(400.0 - (off / cosine) ** 2)
        found = wall_clearance(disc, 20.0, 0.0, (0.0, -off, 50.0), 0.0, 50.0)
        assert found == (pytest.approx(-depth, abs=1e-13) if off > 0 else pytest.approx(-sine * 20.0, abs=1e-13))


def test_floor():
    """Hand: the lowest point of a rectangle."""
    body, t = [Frustum(20, 50, 6, 6)], math.radians(30.0)
    lowest = 20.0 * math.cos(t) - 6.0 * math.sin(t) + 1.0
    assert floor_clearance(body, 0.0, -30.0, (0.0, 0.0, 1.0)) == pytest.approx(lowest, abs=1e-14)
    assert floor_clearance(body, 30.0, 0.0, (5.0, 5.0, 1.0)) == pytest.approx(lowest, abs=1e-14)


def test_limits_of_the_wall():
    """Hand: a wall of no height leaves the edge of the floor; one without end, or far away, is never reached."""
    assert wall_clearance([Frustum(20, 50, 16, 16)], 0.0, 0.0, ORIGIN, 10.0, 0.0) == 20.0
    assert wall_clearance([Frustum(20, 50, 16, 16)], 5.0, 5.0, ORIGIN, np.inf, 9.0, 3.0) == np.inf


def clearance_of(overhang, lead, tilt, distance, height, draft):
    bodies = assembled(overhang, HOLDER, 8.0, 15.0)
    return wall_clearance(bodies, lead, tilt, (0.5, -1.0, 2.0), distance, height, draft)


def overhang_for(lead, tilt, distance, height, draft, margin=0.5, **more):
    return least_overhang(
        HOLDER, 8.0, 15.0, 80.0, lead, tilt, (0.5, -1.0, 2.0), distance, height, draft, margin=margin, **more
    )


def test_arrays_give_what_scalars_give():
    random = np.random.default_rng(7)
    columns = [random.uniform(*ends, 9) for ends in ((20, 50), (-60, 60), (-60, 60), (3, 40), (0, 60), (-20, 20))]
    columns[4][:2] = np.inf, 0.0
    assert_same_as_scalars(clearance_of, *columns)
    assert_same_as_scalars(lambda *a: floor_clearance(HOLDER, a[0], a[1], (0.0, 0.0, a[2])), *columns[1:4])
    assert_same_as_scalars(overhang_for, *columns[1:])


def test_nothing_and_the_unknown():
    assert clearance_of(30.0, np.array([]), 0.0, 9.0, 9.0, 0.0).shape == (0,)
    assert clearance_of(30.0, np.zeros((2, 0)), 0.0, 9.0, 9.0, 0.0).shape == (2, 0)
    good = (30.0, 5.0, 5.0, 30.0, 20.0, 3.0)
    bad = [(i, np.nan) for i in range(6)] + [(1, 90.0), (2, -90.0), (5, 90.0), (4, -1.0)]
    for place, value in bad:
        numbers = [*good[:place], value, *good[place + 1 :]]
        assert math.isnan(clearance_of(*numbers)), (place, value)
        if place:
            assert math.isnan(overhang_for(*numbers[1:])), (place, value)
    for tip in ((np.nan, 0, 0), (0, np.nan, 0), (0, 0, np.nan)):
        assert math.isnan(wall_clearance(HOLDER, 5.0, 5.0, tip, 30.0, 20.0))
        assert math.isnan(floor_clearance(HOLDER, 5.0, 5.0, tip))
    mixed = clearance_of(30.0, np.array([5.0, np.nan]), 5.0, 30.0, 20.0, 3.0)
    assert mixed[0] == clearance_of(*good)
    assert math.isnan(mixed[1])


def test_bad_bodies_are_refused_by_name():
    def faults(*numbers, **named):
        with pytest.raises(ArgumentError) as caught:
            Frustum(*numbers, **named)
        return [(f.where, f.given, f.reason) for f in caught.value.faults]

    assert faults(0, 5, -1, 2, name="nut") == [("nut, low_radius", "-1 mm", "it is negative")]
    assert faults(5, 4, 1, -2) == [
        ("frustum, high_radius", "-2 mm", "it is negative"),
        ("frustum, high", "4 mm", "it lies below the lower end"),
    ]
    assert faults(0, np.inf, 1, 1)[0] == ("frustum, high", "inf mm", "it is infinite")
    assert faults(0, [5, -5, -6], 1, 1)[0][1] == "-5 mm at index (1,) (2 such)"
    assert "do not fit" in faults(np.zeros(2), np.ones(3), 1, 1)[0][2]
    assert faults("wide", 5, 1, 1)[0][2] == "it is no number"
    with pytest.raises(ArgumentError, match="body 1: given 7; it is no Frustum"):
        wall_clearance([HOLDER[0], 7], 0.0, 0.0, ORIGIN, 9.0, 9.0)
    with pytest.raises(ArgumentError, match="at least one body"):
        floor_clearance([], 0.0, 0.0, ORIGIN)
    with pytest.raises(ArgumentError, match='"left", "right"'):
        wall_clearance(HOLDER, 0.0, 0.0, ORIGIN, 9.0, 9.0, side="up")
    with pytest.raises(ArgumentError, match=r"\(2,\), \(3,\)"):
        wall_clearance(HOLDER, np.zeros(2), np.zeros(3), ORIGIN, 9.0, 9.0)


def test_frusta_are_values():
    body = Frustum(0, 20, 10, 14)
    assert pickle.loads(pickle.dumps(body)) == body == HOLDER[0] != HOLDER[1]
    assert Frustum(0, [1.0, 2.0], 1, 1) == Frustum(0, np.array([1.0, 2.0]), 1, 1)
    with pytest.raises(AttributeError):
        body.low = 3.0


def test_least_overhang_by_hand():
    """Upright: the nose of radius 10 overhangs the wall, so its face stands a margin above the top, or beside it.

    Leaning away by 30 deg, face and edge: the lowest corner of the nose at height L is 0.866 L - 5 over the floor.
    """
    nose = [Frustum(0, 30, 10, 10)]
    assert least_overhang(nose, 8.0, 15.0, 60.0, 0.0, 0.0, ORIGIN, 7.0, 25.0) == pytest.approx(25.0, abs=1e-9)
    assert least_overhang(nose, 8.0, 15.0, 60.0, 0.0, 0.0, ORIGIN, 7.0, 25.0, margin=2.0) == pytest.approx(27.0)
    assert least_overhang(nose, 8.0, 15.0, 60.0, 0.0, 0.0, ORIGIN, 12.5, 25.0, margin=2.0) == 15.0  # beside it
    assert math.isnan(least_overhang(nose, 8.0, 15.0, 26.0, 0.0, 0.0, ORIGIN, 7.0, 25.0, margin=2.0))  # too short
    assert math.isnan(least_overhang(nose, 8.0, 15.0, 60.0, 0.0, 0.0, ORIGIN, 3.9, 25.0))  # the shank collides
    assert least_overhang(nose, 8.0, 15.0, 60.0, 0.0, 0.0, ORIGIN, 4.0, 25.0) == pytest.approx(25.0)  # and touches
    away = {"wall_distance": 90.0, "wall_height": 0.0, "margin": 12.0}
    expected = (12.0 + 5.0) / math.cos(math.radians(30.0))
    found = least_overhang(nose, 8.0, 15.0, 60.0, 0.0, -30.0, ORIGIN, **away)
    assert found == pytest.approx(expected, abs=1e-9)
    assert least_overhang(nose, 8.0, 15.0, 60.0, 0.0, -30.0, ORIGIN, **away, floor=False) == 15.0
    for wrong in (np.inf, 14.0, np.nan):  # no end, shorter than the cutting part, unknown
        assert math.isnan(least_overhang(nose, 8.0, 15.0, wrong, 0.0, 0.0, ORIGIN, 7.0, 25.0))


def test_toward_the_wall_a_collision_ends_twice():
    """Leaning over a low wall: clear before it, clear above it; hand: the answer lifts the lower rim to the top."""
    at = {"lead": 0.0, "tilt": 40.0, "tip": ORIGIN, "wall_distance": 27.0, "wall_height": 20.0}
    disc = [Frustum(0, 1, 9, 9)]
    clearance = wall_clearance(assembled(np.array([25.0, 32.2, 60.0]), disc, 2.0, 5.0), **at)
    assert np.sign(clearance).tolist() == [1.0, -1.0, 1.0]
    expected = (20.0 + 9.0 * math.sin(math.radians(40.0))) / math.cos(math.radians(40.0))
    assert least_overhang(disc, 2.0, 5.0, 60.0, **at) == pytest.approx(expected, abs=1e-9)


def test_least_overhang_by_a_scan():
    """Every overhang of a fine scan from the answer on clears, and none a little below it."""
    random, kinds = np.random.default_rng(8), []
    for _ in range(150):
        tilt, lead, height, draft = random.uniform(-50, 50), random.uniform(-50, 50), random.uniform(0, 60), 5.0
        wall = (random.uniform(5, 60), height if random.random() < 0.9 else np.inf, draft)
        found = overhang_for(lead, tilt, *wall)

        def spare(overhang, lead=lead, tilt=tilt, wall=wall):
            shank, *holder = assembled(overhang, HOLDER, 8.0, 15.0)
            place = (lead, tilt, (0.5, -1.0, 2.0))
            of_holder = np.minimum(wall_clearance(holder, *place, *wall), floor_clearance(holder, *place)) - 0.5
            return of_holder, np.minimum(wall_clearance([shank], *place, *wall), floor_clearance([shank], *place))

        scan = np.linspace(15.0, 80.0, 400)
        of_holder, of_shank = spare(scan)
        if math.isnan(found):
            assert of_holder[-1] < 0.0 or of_shank[-1] < 0.0
        else:
            assert (np.minimum(of_holder, of_shank)[scan >= found] >= -1e-9).all()
            assert found == 15.0 or spare(found - 1e-6)[0] < 0.0
        kinds.append("none" if math.isnan(found) else "least" if found == 15.0 else "between")
    assert all(kinds.count(k) > 10 for k in ("none", "least", "between"))


def ball_tip(lead, tilt):
    """Tip of a ball of radius 6 from its contact: up to the centre, back along the axis."""
    a, b = np.radians(lead), np.radians(tilt)
    return -6.0 * np.sin(a), -6.0 * np.cos(a) * np.sin(b), 6.0 - 6.0 * np.cos(a) * np.cos(b)


BALL = assembled(40.0, HOLDER, 11.0, 12.0)


def test_clearing_leans_one_by_one():
    leads, tilts = np.linspace(-80, 80, 9), np.linspace(-89, 89, 31)
    found = clearing_leans(BALL, ball_tip, leads, tilts, 14.0, 30.0, 4.0, margin=0.4)
    expected = [
        [
            min(
                wall_clearance(BALL, a, b, ball_tip(a, b), 14.0, 30.0, 4.0), floor_clearance(BALL, a, b, ball_tip(a, b))
            )
            >= 0.4
            for b in tilts
        ]
        for a in leads
    ]
    assert found.dtype == bool
    assert found.tolist() == expected
    assert 0 < found.sum() < found.size
    assert (clearing_leans(BALL, ball_tip, leads, tilts, 14.0, 30.0, 4.0, margin=0.4, floor=False) >= found).all()
    mirrored = clearing_leans(BALL, ball_tip, leads, -tilts, 14.0, 30.0, 4.0, "right", margin=0.4)
    assert (mirrored == found).all()
    assert clearing_leans(BALL, ball_tip, [], tilts, 14.0, 30.0).shape == (0, 31)
    assert not clearing_leans(BALL, ball_tip, leads, [np.nan, 90.0], 14.0, 30.0).any()


def test_tilt_range_by_a_scan():
    """Against a scan every 0.02 deg: all in the range clears; just outside it nothing does, but at a limit."""
    random, lead = np.random.default_rng(9), np.linspace(-60.0, 60.0, 25)
    distance, height = random.uniform(8.0, 40.0, 25), random.uniform(0.0, 45.0, 25)
    low, high = clearing_tilt_range(BALL, ball_tip, lead, -20.0, -70.0, 60.0, distance, height, 3.0, margin=0.2)
    for a, d, h, first, last in zip(lead, distance, height, low, high, strict=True):

        def clears(tilts, a=a, d=d, h=h):
            return clearing_leans(BALL, ball_tip, [a], tilts, d, h, 3.0, margin=0.2)[0]

        scan = np.arange(-70.0, 60.001, 0.02)
        if math.isnan(first):
            assert math.isnan(last)
            assert not clears([-20.0])[0]
            continue
        assert clears(scan[(scan >= first) & (scan <= last)]).all()
        assert clears([first, last]).all()
        assert first == -70.0 or not clears([first - 1e-6])[0]
        assert last == 60.0 or not clears([last + 1e-6])[0]
    assert np.isfinite(low).sum() > 10
    assert (high[np.isfinite(high)] < 60.0).any()


def test_tilt_range_ends_at_a_break_narrower_than_the_steps():
    """The tip dips to the wall by 1 mm a degree and overlaps it for a tenth of a degree about 10.2 deg (hand)."""

    def tip_of(lead, tilt):
        return 0.0 * lead, 4.05 - np.abs(tilt - 10.2), 90.0 + 0.0 * tilt

    low, high = clearing_tilt_range([Frustum(0, 0, 0, 0)], tip_of, 0.0, 0.0, -30.0, 30.0, 4.0, np.inf)
    assert (low, high) == (-30.0, pytest.approx(10.15, abs=1e-6))


def test_tilt_range_of_one_and_of_none():
    around = (0.0, -30.0, 30.0, 14.0, 30.0)
    one = clearing_tilt_range(BALL, ball_tip, 5.0, *around)
    many = clearing_tilt_range(BALL, ball_tip, np.array([[5.0], [np.nan]]), *around)
    assert [m[0, 0] for m in many] == pytest.approx(one, abs=1e-9)
    assert np.isnan(many)[:, 1].all()
    assert clearing_tilt_range(BALL, ball_tip, np.zeros(0), *around)[0].shape == (0,)
    assert np.isnan(clearing_tilt_range(BALL, ball_tip, 5.0, 31.0, *around[1:])).all()
    tower = assembled(np.array([[30.0], [40.0]]), HOLDER, 11.0, 12.0)
    assert clearing_tilt_range(tower, ball_tip, np.zeros(3), *around)[1].shape == (2, 3)
    wide = clearing_tilt_range([Frustum(0, 1, 1, 1)], ball_tip, 0.0, 0.0, -np.inf, np.inf, 50.0, 5.0, floor=False)
    assert wide == pytest.approx((-90.0, 90.0), abs=1e-6)
