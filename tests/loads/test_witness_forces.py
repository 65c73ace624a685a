"""The witness of the milling forces against closed facts, a balance of energy and a plain sum of vectors.

Sources: README.md of the published folder (derived), section Forces, for the averages of slots; the rest is derived
here.
"""

from __future__ import annotations

import functools
import math

import numpy as np
import pytest
from witness import cutting_forces as cf
from witness import force_cases
from witness.leaned_cut import Cut

INF = math.inf
# README.md, Forces (derived): z 4, a 2 mm, f_z .05 mm; axial force there counted toward the holder's other side
PUBLISHED = (1825.0, 770.0, 735.0, 29.7, 55.7, 1.8)
SLOT = (-218.839, 258.130, -100.783)
ONLY_TANGENTIAL = (1825.0, 0.0, 0.0, 0.0, 0.0, 0.0)
CASES = force_cases.read_cases()
LEANED = [case for case in CASES if case["lead"] or case["tilt"]]


def name(case):
    lean = f"{case['lead']:g}/{case['tilt']:g}"
    return f"{case['form'][0]} {case['form'][1]:g} {lean} {case['stepover']:g} {case['uncut_side']}"


@functools.cache
def mean_at_500_cells(index):
    return cf.mean_forces(*force_cases.setting(CASES[index]), cells=500)


def upright(pieces, teeth, coefficients, feed, depth, stepover=INF, side="left", helix=0.0, exponent=0.0, runout=0.0):
    return (pieces, teeth, helix, runout, coefficients, exponent, feed, depth, 0.0, 0.0, stepover, side)


def test_the_published_slot():
    setting = upright(cf.flat(10.0), 4, PUBLISHED, 0.05, 2.0)
    mean, torque = cf.mean_forces(*setting)
    assert mean == pytest.approx(SLOT, abs=0.0005)
    closed, closed_torque = cf.cylinder_average(10.0, 4, 0.0, PUBLISHED, 0.0, 0.05, 2.0, 10.0, "left")
    assert closed == pytest.approx(SLOT, abs=0.0005)
    # the teeth take f_z cos over half a turn: mean (Ktc f_z 2 + Kte pi)/(2 pi) a z R
    assert torque == pytest.approx((1825 * 0.05 * 2 + 29.7 * math.pi) / (2 * math.pi) * 8 * 5e-3, rel=1e-9)
    assert closed_torque == pytest.approx(torque, rel=1e-9)


def test_the_two_halves_of_a_slot():
    """README.md, Forces (derived): half up + half down = slot; the quarter turn of the up half integrated by hand."""
    halves = [cf.mean_forces(*upright(cf.flat(10.0), 4, PUBLISHED, 0.05, 2.0, 5.0, side)) for side in ("left", "right")]
    assert halves[0][0] + halves[1][0] == pytest.approx(SLOT, abs=0.0005)
    up = -8 / (2 * math.pi) * (0.05 * 1825 / 2 + 29.7 + 0.05 * 770 * math.pi / 4 + 55.7)
    assert halves[0][0][0] == pytest.approx(up, rel=1e-9)
    assert halves[0][1] == pytest.approx(halves[1][1], rel=1e-9)


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("width", [0.4, 3.0, 5.0, 8.0])
def test_side_cuts_of_a_square_end(side, width):
    helix = 35.0
    setting = upright(cf.flat(10.0), 3, PUBLISHED, 0.06, 4.0, width, side, 0.0, 0.26)
    mean, torque = cf.mean_forces(*setting)
    closed, closed_torque = cf.cylinder_average(10.0, 3, 0.0, PUBLISHED, 0.26, 0.06, 4.0, width, side)
    assert [*mean, torque] == pytest.approx([*closed, closed_torque], rel=1e-5, abs=1e-4)
    wound = (*setting[:2], helix, *setting[3:])
    closed, closed_torque = cf.cylinder_average(10.0, 3, helix, PUBLISHED, 0.26, 0.06, 4.0, width, side)
    over_a_turn, torques = cf.forces(*wound, np.arange(240) / 2)
    assert [*over_a_turn.mean(axis=0), torques.mean()] == pytest.approx([*closed, closed_torque], rel=2e-3, abs=0.02)


@pytest.mark.parametrize(("diameter", "teeth", "depth"), [(4.0, 2, 0.3), (8.0, 3, 1.5), (16.0, 1, 8.0)])
def test_a_ball_in_a_slot(diameter, teeth, depth):
    """README.md, Forces (derived): mean cross force from Ktc alone is z Ktc f_z a/4, whatever the diameter."""
    mean, _ = cf.mean_forces(*upright(cf.ball(diameter), teeth, ONLY_TANGENTIAL, 0.05, depth))
    assert mean == pytest.approx([0.0, teeth * 1825 * 0.05 * depth / 4, 0.0], rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("case", CASES[1::2], ids=name)
def test_the_energy_is_that_of_the_stock_taken_off(case):
    """Runout moves the chip from tooth to tooth and takes off no more; the shadows are polygons, good to 2e-5."""
    setting = force_cases.setting(case)
    volume = cf.removed_volume_per_rev(*setting)
    assert cf.chip_volume_per_rev(*setting, cells=200) == pytest.approx(volume, rel=3e-5)
    setting[4:6] = ONLY_TANGENTIAL, 0.0
    power = 1825 * volume * 8000 / 60e6  # N/mm^2 mm^3/min to kW
    assert cf.mean_power(*setting, spindle_speed=8000.0, cells=200) == pytest.approx(power, rel=3e-5)


@pytest.mark.parametrize("case", LEANED[::2], ids=name)
def test_a_turn_of_the_edges_has_the_mean_of_the_rings(case):
    """The turn is summed every half degree and misses entry and exit by as much; 5e-4 of the mean force."""
    found, torque = cf.forces(*force_cases.setting(case), np.arange(720) / 2, cells=100)
    mean, mean_torque = mean_at_500_cells(CASES.index(case))
    assert found.mean(axis=0) == pytest.approx(mean, abs=5e-4 * np.linalg.norm(mean))
    assert torque.mean() == pytest.approx(mean_torque, rel=5e-4)


@pytest.mark.parametrize(
    ("pieces", "lead", "tilt"),
    [
        (cf.ball(10.0), 15.0, -10.0),
        (cf.flat(10.0), -15.0, 10.0),
        (cf.flat(10.0), 0.0, 20.0),
        (cf.corner(10.0, 2.0), 25.0, 20.0),
        (cf.tapered_ball(2.0, 10.0, 6.0), 10.0, -30.0),
    ],
)
@pytest.mark.parametrize("side", ["left", "right"])
def test_the_shadow_is_what_lines_along_the_feed_meet(pieces, lead, tilt, side):
    cut = Cut(pieces, 2, 30.0, 0.0, PUBLISHED, 0.0, 0.1, 2.0, lead, tilt, 1.0, side)
    for height in (0.002, 0.05, 0.4, 1.9):
        reach = cut.side * np.interp(height, *cut.shadow)
        for beside, meets in ((-1e-4, True), (1e-4, False)):
            assert cf.line_meets_tool(pieces, lead, tilt, reach + cut.side * beside, height) == meets


@pytest.mark.parametrize(("diameter", "depth", "stepover"), [(4.0, 0.0004, 0.08), (16.0, 0.192, 0.033)])
@pytest.mark.parametrize("lead", [0.0, 0.001])
def test_a_flat_bottom_seen_almost_edge_on(diameter, depth, stepover, lead):
    """A shadow wider than the stepover takes stepover times depth; the ridge of so small a lead is below 1e-5 of it."""
    setting = [*upright(cf.corner(diameter, diameter / 10), 2, PUBLISHED, 0.02, depth, stepover)]
    setting[8] = lead
    assert cf.chip_volume_per_rev(*setting) == pytest.approx(0.02 * 2 * stepover * depth, rel=1e-4)


def elements(pieces, top, count):
    """Return heights and radii of the nodes of a polyline along the profile, up the cylinder to `top`."""
    nodes = []
    for kind, start, end, *centre in pieces:
        t = np.linspace(0.0, 1.0, count)[:, None]
        if kind == "line":
            nodes.append(np.array(start) + t * (np.array(end) - np.array(start)))
            continue
        a, b = (np.array(p) - np.array(centre[0]) for p in (start, end))
        whole = math.acos(a @ b / (np.linalg.norm(a) * np.linalg.norm(b)))
        nodes.append(np.array(centre[0]) + (np.sin((1 - t) * whole) * a + np.sin(t * whole) * b) / math.sin(whole))
    last = np.array(pieces[-1][2])
    nodes.append(np.stack([np.linspace(last[0], top, count), np.full(count, last[1])], axis=1))
    return np.concatenate(nodes)


def lines_meet(nodes, axis, lowest, points):
    """Tell which lines along the feed through the points meet the tool: each walked, radius against height."""
    middle, span, least = np.zeros((len(points), 1)), 4 * (nodes[:, 1].max() + np.abs(points).max()), np.inf
    for _ in range(3):
        along = middle + span * np.linspace(-1, 1, 401)
        across, height = points[:, 1:2], points[:, 2:] + lowest
        up = along * axis[0] + across * axis[1] + height * axis[2]
        beside = np.sqrt(along**2 + across**2 + height**2 - up**2)
        outside = np.maximum(beside - np.interp(up, *nodes.T), -up)
        best = outside.argmin(axis=1)[:, None]
        least = np.minimum(least, outside.min(axis=1))
        middle, span = np.take_along_axis(along, best, axis=1), span / 100
    return least < 0


def plain_sum(case, angle, count=700):
    """Return X, Y, T and torque: straight elements, vectors in space, the pass before by lines walked along.

    An element is in or out as a whole: off by about one part in `count` at each end of the cut.
    """
    a, b = math.radians(case["lead"]), math.radians(case["tilt"])
    axis = np.array([math.sin(a), math.cos(a) * math.sin(b), math.cos(a) * math.cos(b)])
    ahead = np.array([1.0, 0, 0]) - axis[0] * axis
    ahead /= np.linalg.norm(ahead)
    left = np.cross(axis, ahead)
    nodes = elements(force_cases.profile(case["form"]), 2.5 * case["depth"] + 0.8 * case["form"][-1], count)
    lowest = (nodes[:, 0] * axis[2] - nodes[:, 1] * math.hypot(axis[0], axis[1])).min()
    widest, z, e, feed = nodes[:, 1].max(), case["teeth"], case["eccentricity"], case["feed"]
    shift = case["stepover"] * {"left": 1, "right": -1}[case["uncut_side"]]
    tc, rc, ac, te, re, ae = case["coefficients"]
    start, step = nodes[:-1], np.diff(nodes, axis=0)
    (h, r), (dh, dr) = (start + step / 2)[np.any(step, axis=1)].T, step[np.any(step, axis=1)].T
    turn = math.tan(math.radians(case["helix"])) / widest
    ds, lag = np.hypot(dh, dr), h * turn
    force, torque = np.zeros(3), 0.0
    for j in range(z):
        theta = (2 * math.pi * j / z + lag - math.radians(angle))[:, None]
        out = np.cos(theta) * ahead + np.sin(theta) * left
        along = (dh[:, None] * axis + dr[:, None] * out) / ds[:, None]
        normal = np.cross(np.cross(axis, out), along)
        points = h[:, None] * axis + r[:, None] * out - [0, 0, lowest]
        offsets = [e * np.cos(2 * math.pi * k / z + lag) for k in range(z)]
        sine = np.sum(normal * out, axis=1)
        gaps = [m * feed * normal[:, 0] + (offsets[j] - offsets[(j - m) % z]) * sine for m in range(1, z + 1)]
        chip = np.min(gaps, axis=0)
        cuts = np.flatnonzero((chip > 1e-12) & (points[:, 2] < case["depth"]))
        if math.isfinite(shift) and cuts.size:
            cuts = cuts[~lines_meet(nodes, axis, lowest, points[cuts] + [0, shift, 0])]
        edge, drawn = np.hypot(ds, r * turn * dh)[cuts], (np.maximum(chip, 0) ** (1 - case["exponent"]) * ds)[cuts]
        tangential = tc * drawn + te * edge
        force += tangential @ np.cross(axis, out[cuts])
        force -= (rc * drawn + re * edge) @ normal[cuts] + (ac * drawn + ae * edge) @ along[cuts]
        torque += tangential @ r[cuts] / 1000
    return np.array([force @ ahead, force @ left, force @ axis, torque])


@pytest.mark.parametrize("index", [3, 6, 11, 13, 18, 20, 21])
def test_a_plain_sum_of_vectors(index):
    """Near the angle with the largest force and 44 and 176 degrees on; 1 % of the largest force."""
    case, every = CASES[index], 4
    seen, torques = cf.forces(*force_cases.setting(case), np.arange(0.0, 360.0, every), cells=100)
    size = np.linalg.norm(seen, axis=1)
    for place in (size.argmax() + np.array([0, 44, 176]) // every) % size.size:
        plain = plain_sum(case, every * place)
        assert plain[:3] == pytest.approx(seen[place], abs=0.01 * size.max())
        assert plain[3] == pytest.approx(torques[place], abs=0.01 * torques.max())


def test_runout_of_a_single_tooth_is_nothing():
    case = CASES[7]
    assert case["teeth"] == 1
    assert case["eccentricity"] > 0
    setting = force_cases.setting(case)
    angles = np.arange(0.0, 360.0, 7.0)
    with_runout = cf.forces(*setting, angles)
    setting[3] = 0.0
    without = cf.forces(*setting, angles)
    assert np.abs(without[0]).max() > 50
    assert with_runout[0] == pytest.approx(without[0], abs=1e-9)


def test_with_a_large_runout_one_of_two_teeth_does_it_all():
    """Offsets of +e and -e: the tooth beside takes no chip, the other twice the feed."""
    angles = np.arange(0.0, 360.0, 5.0) + 0.25
    both, torque = cf.forces(*upright(cf.flat(10.0), 2, PUBLISHED, 0.05, 2.0, 3.0, "right", 0.0, 0.26, 1.0), angles)
    alone, own = cf.forces(*upright(cf.flat(10.0), 1, PUBLISHED, 0.1, 2.0, 3.0, "right", 0.0, 0.26), angles)
    assert np.abs(alone).max() > 100
    assert both == pytest.approx(alone, abs=1e-9)
    assert torque == pytest.approx(own, abs=1e-12)


def test_a_small_runout_shares_the_chip_as_the_offsets_say():
    """Two teeth of a square end at angle 0: tooth 0 has f_z + 2 e, half a turn later tooth 1 has f_z - 2 e."""
    setting = upright(cf.flat(10.0), 2, ONLY_TANGENTIAL, 0.05, 2.0, runout=0.01)
    seen, _ = cf.forces(*setting, [0.0, 180.0])
    assert seen[:, 1] == pytest.approx([1825 * 2 * 0.07, 1825 * 2 * 0.03], rel=1e-9)


@pytest.mark.parametrize("index", range(len(CASES)), ids=[name(case) for case in CASES])
def test_the_table_is_what_the_witness_gives(index):
    """At half as many cells as it was written with: within the error stated, twice for its own digit."""
    mean, torque = mean_at_500_cells(index)
    for label, value in zip(force_cases.RESULTS, (*mean, torque), strict=False):
        assert value == pytest.approx(CASES[index][label], abs=2 * CASES[index]["error"][label], rel=0)
