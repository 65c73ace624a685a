"""Derived by roots, sampled rims and quadrature: engagement, thinning and corners."""

from __future__ import annotations

import math

import mpmath as mp
import numpy as np
import witness as w
from evidence.derivations.case import Derived
from scipy.optimize import brentq

_RIM, _ROOT = "by sampling the rim", "by bracketing a root"


def corner_leftover(radius, angle):
    """Return depth along the bisector and reach along a wall of what a circle leaves in a corner, by a root each."""
    half = math.radians(angle / 2)
    out = brentq(lambda d: d * math.sin(half) - radius, 0.0, 100.0 * radius, xtol=1e-14)  # the centre is a radius off
    return out - radius, out * math.cos(half)


def corner_gap_area(radius, angle):
    """Return the area that a circle leaves in a corner, by strips across the bisector."""
    with mp.workdps(30):
        half, r = mp.radians(mp.mpf(angle) / 2), mp.mpf(radius)
        out, touch = r / mp.sin(half), r / mp.tan(half) * mp.cos(half)

        def strip(x):
            inside = r * r - (out - x) ** 2
            return 2 * (x * mp.tan(half) - (mp.sqrt(inside) if inside > 0 else 0))

        return float(mp.quad(strip, [0, out - r, (out - r + touch) / 2, touch]))


def _distance_to_path(points, radius, angle):
    """Distance of points to the path of a circle's centre through a corner, two rays from its corner."""
    half = math.radians(angle / 2)
    corner = radius / math.sin(half) * np.exp(1j * half)
    best = np.full(points.shape, np.inf)
    for ray in (1.0 + 0j, np.exp(2j * half)):
        along = np.maximum(((points - corner) * np.conj(ray)).real, 0.0)
        best = np.minimum(best, np.abs(points - corner - along * ray))
    return best


def rim_in_corner(diameter, angle, before, place, samples=200_001):
    """Degrees of the front half of the rim in stock, `place` before the corner; `before`: radius of path, of cutter."""
    half, r = math.radians(angle / 2), 0.5 * diameter
    centre = r / math.sin(half) * np.exp(1j * half) + place
    turn = math.pi + np.linspace(-math.pi / 2, math.pi / 2, samples)  # along the first wall into the corner
    rim = centre + r * np.exp(1j * turn)
    walls = (rim.imag >= -1e-12) & ((rim * np.exp(-2j * half)).imag <= 1e-12)
    uncut = _distance_to_path(rim, before[0], angle) > before[1]
    return 180.0 * float(np.mean(walls & uncut))


def largest_in_stock(larger, diameter, angle):
    """Largest engagement in what a larger cutter left, over all places."""
    before = (0.5 * larger, 0.5 * larger)
    places = np.linspace(0.0, larger, 101)
    seen = [rim_in_corner(diameter, angle, before, p, 20_001) for p in places]
    best = places[int(np.argmax(seen))]
    near = np.linspace(max(best - larger / 100, 0.0), best + larger / 100, 41)
    return max(rim_in_corner(diameter, angle, before, p, 40_001) for p in near)


def corner_way(larger, diameter, angle, passes, step=2e-4):
    """Way of the centre on both walls where the rim is not inside what the larger cutter cleared, pass by pass."""
    half, d, total = math.radians(angle / 2), 0.5 * (larger - diameter), 0.0
    centre, depth = (d / math.tan(half), d), d * (1 - math.sin(half))
    for k in range(passes):
        off = depth * k / passes
        x = np.arange(off / math.tan(half), centre[0], step)
        total += 2 * step * np.count_nonzero(np.hypot(x - centre[0], off - centre[1]) > d)
    return total


TITLE = "Engagement and corners, worked out by roots, sampled rims and quadrature"
CASES = [
    Derived(
        "centred-angle",
        "centred_engagement_angle",
        {"diameter": "10 mm", "radial_width": "3 mm"},
        lambda: w.centred_engagement(10.0, 3.0),
        ".3f",
        "deg",
        "length of the rim in the strip, by quadrature",
    ),
    Derived(
        "thinning",
        "chip_thinning_factor",
        {"diameter": "10 mm", "radial_width": "1 mm"},
        lambda: 1 / w.largest_chip(10.0, 1.0),
        ".4f",
        "",
        "the largest gap between two circles a feed apart, searched",
    ),
    Derived(
        "thinning-at-45",
        "chip_thinning_factor",
        {"diameter": "10 mm", "radial_width": "1 mm", "edge_angle": "45 deg"},
        lambda: 1 / w.largest_chip(10.0, 1.0, 45.0),
        ".4f",
        "",
        "the largest gap between two cones a feed apart, searched",
    ),
    Derived(
        "feed-for-a-chip",
        "feed_per_tooth_for_chip",
        {"chip_thickness": "0.03 mm", "diameter": "10 mm", "radial_width": "1 mm"},
        lambda: 0.03 / w.largest_chip(10.0, 1.0),
        ".4f",
        "mm",
        "the largest gap between two circles a feed apart, searched",
    ),
    Derived(
        "round-edge-thinning",
        "round_edge_thinning_factor",
        {"edge_diameter": "12 mm", "axial_depth": "1 mm"},
        lambda: 1 / w.round_edge_largest_chip(12.0, 1.0),
        ".4f",
        "",
        "the largest gap between two circles a feed apart, searched",
    ),
    Derived(
        "teeth-in-cut",
        "teeth_in_cut",
        {"teeth": 5, "engagement_angle": "100 deg"},
        lambda: w.mean_teeth_in_cut(5, 100.0),
        ".4f",
        "",
        "teeth counted turn by turn, the mean",
    ),
    Derived(
        "arc-engagement-inside",
        "arc_radial_engagement",
        {"diameter": "10 mm", "radial_width": "1 mm", "arc_diameter": "30 mm", "inside": True},
        lambda: w.straight_width_for(10.0, w.arc_engagement(10.0, 1.0, 30.0, True)),
        ".4f",
        "mm",
        "the rim walked until it leaves the ring of stock",
    ),
    Derived(
        "arc-engagement-outside",
        "arc_radial_engagement",
        {"diameter": "10 mm", "radial_width": "1 mm", "arc_diameter": "30 mm", "inside": False},
        lambda: w.straight_width_for(10.0, w.arc_engagement(10.0, 1.0, 30.0, False)),
        ".4f",
        "mm",
        "the rim walked until it leaves the ring of stock",
    ),
    Derived(
        "width-of-an-angle",
        "width_of_engagement",
        {"diameter": "10 mm", "engagement_angle": "50 deg"},
        lambda: w.straight_width_for(10.0, 50.0),
        ".4f",
        "mm",
        "root of the length of the rim in stock",
    ),
    Derived(
        "entry-climb",
        "entry_angle",
        {"diameter": "10 mm", "radial_width": "2 mm", "cut": "climb"},
        lambda: 180 - w.side_engagement(10.0, 2.0),
        ".3f",
        "deg",
        "length of the rim in stock, before it leaves along the feed",
    ),
    Derived(
        "entry-conventional",
        "entry_angle",
        {"diameter": "10 mm", "radial_width": "2 mm", "cut": "conventional"},
        lambda: 0.0,
        ".1f",
        "deg",
        "a conventional cut begins with no chip",
    ),
    Derived(
        "exit-conventional",
        "exit_angle",
        {"diameter": "10 mm", "radial_width": "2 mm", "cut": "conventional"},
        lambda: w.side_engagement(10.0, 2.0),
        ".3f",
        "deg",
        "length of the rim in stock",
    ),
    Derived(
        "corner-reach",
        "corner_reach",
        {"diameter": "10 mm", "corner_angle": "60 deg"},
        lambda: corner_leftover(5.0, 60.0)[1],
        ".4f",
        "mm",
        _ROOT + ": the centre that is a radius off both walls",
    ),
    Derived(
        "corner-stock",
        "corner_stock",
        {"diameter": "10 mm", "fillet_radius": "2 mm", "corner_angle": "60 deg"},
        lambda: corner_leftover(5.0, 60.0)[0] - corner_leftover(2.0, 60.0)[0],
        ".4f",
        "mm",
        _ROOT + ": the centre that is a radius off both walls",
    ),
    Derived(
        "corner-stock-of-two",
        "corner_stock_between",
        {"larger_diameter": "20 mm", "diameter": "8 mm", "corner_angle": "75 deg"},
        lambda: corner_leftover(10.0, 75.0)[0] - corner_leftover(4.0, 75.0)[0],
        ".4f",
        "mm",
        _ROOT + ": the centre that is a radius off both walls",
    ),
    Derived(
        "corner-area",
        "corner_area",
        {"diameter": "10 mm", "fillet_radius": "2 mm", "corner_angle": "60 deg"},
        lambda: corner_gap_area(5.0, 60.0) - corner_gap_area(2.0, 60.0),
        ".4f",
        "mm^2",
        "by quadrature of strips across the bisector",
    ),
    Derived(
        "corner-engagement",
        "corner_engagement",
        {"diameter": "10 mm", "radial_width": "1 mm", "corner_angle": "120 deg"},
        lambda: rim_in_corner(10.0, 120.0, (6.0, 5.0), 0.0),
        ".2f",
        "deg",
        _RIM + " in the corner, after a parallel pass",
    ),
    Derived(
        "corner-stock-engagement",
        "corner_stock_engagement",
        {"larger_diameter": "20 mm", "diameter": "10 mm", "corner_angle": "90 deg"},
        lambda: largest_in_stock(20.0, 10.0, 90.0),
        ".1f",
        "deg",
        _RIM + " place by place",
    ),
    Derived(
        "corner-feed",
        "corner_feed_factor",
        {"engagement_angle": "40 deg", "corner_engagement": "80 deg"},
        lambda: max(np.sin(np.radians(np.linspace(0, 40, 9001)))) / max(np.sin(np.radians(np.linspace(0, 80, 9001)))),
        ".4f",
        "",
        "largest chip of either arc, sampled",
    ),
    Derived(
        "corner-mean-feed",
        "corner_mean_feed_factor",
        {"engagement_angle": "40 deg", "corner_engagement": "80 deg"},
        lambda: mp.quad(mp.sin, [0, mp.radians(40)]) / 40 / (mp.quad(mp.sin, [0, mp.radians(80)]) / 80),
        ".4f",
        "",
        "mean chip of either arc, by quadrature",
    ),
    Derived(
        "corner-passes",
        "corner_passes",
        {"larger_diameter": "20 mm", "diameter": "8 mm", "corner_angle": "90 deg", "radial_width": "0.5 mm"},
        lambda: next(
            n
            for n in range(1, 99)
            if n * 0.5 >= (corner_leftover(10.0, 90.0)[0] - corner_leftover(4.0, 90.0)[0]) * math.sin(math.pi / 4)
        ),
        ".0f",
        "",
        "passes added until they reach through the stock, square to the wall",
    ),
    Derived(
        "corner-path",
        "corner_path_length",
        {"larger_diameter": "20 mm", "diameter": "8 mm", "corner_angle": "90 deg", "passes": 4},
        lambda: corner_way(20.0, 8.0, 90.0, 4),
        ".1f",
        "mm",
        "by walking the path in chords" + ", counted where the rim is not clear",
    ),
]
