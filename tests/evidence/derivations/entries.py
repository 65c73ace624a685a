"""Derived by walked paths and roots: ramps, helices and rings."""

from __future__ import annotations

import math

import mpmath as mp
import numpy as np
import witness as w
from evidence.derivations.case import Derived
from scipy.optimize import brentq

_ROOT, _WALK = "by bracketing a root", "by walking the path in chords"


def walked(point, start, end, steps=200_000):
    """Length of a path by its chords."""
    t = np.linspace(start, end, steps + 1)
    return float(np.sum(np.linalg.norm(np.diff(point(t), axis=1), axis=0)))


def helix(pitch, radius):
    return lambda t: np.array([radius * np.cos(t), radius * np.sin(t), pitch * t / (2 * math.pi)])


TITLE = "Ramps, helices and rings, worked out by walked paths and roots"
CASES = [
    Derived(
        "axial-feed-per-tooth",
        "axial_feed_per_tooth",
        {"feed_per_tooth": "0.1 mm", "ramp_angle": "3 deg"},
        lambda: (0.1 * mp.expj(mp.radians(3))).imag,
        ".5f",
        "mm",
        "component of the step along the axis",
    ),
    Derived(
        "axial-feed",
        "axial_feed_rate",
        {"feed_rate": "1000 mm/min", "ramp_angle": "3 deg"},
        lambda: (1000 * mp.expj(mp.radians(3))).imag,
        ".3f",
        "mm/min",
        "component of the feed along the axis",
    ),
    Derived(
        "largest-ramp",
        "largest_ramp_angle",
        {"core_clearance": "0.3 mm", "core_diameter": "4 mm"},
        lambda: math.degrees(brentq(lambda a: 4 * math.sin(a) - 0.3 * math.cos(a), 0, 1, xtol=1e-15)),
        ".4f",
        "deg",
        _ROOT + ": the far edge of the core just touches the slope",
    ),
    Derived(
        "ramp-angle",
        "ramp_angle",
        {"axial_depth": "2 mm", "length": "30 mm", "passes": 4},
        lambda: math.degrees(brentq(lambda a: 4 * 30 * math.tan(a) - 2, 0, 1, xtol=1e-15)),
        ".4f",
        "deg",
        _ROOT + ": four slopes reach the depth",
    ),
    Derived(
        "ramp-length",
        "ramp_length",
        {"axial_depth": "2 mm", "ramp_angle": "3 deg"},
        lambda: brentq(lambda x: x * math.tan(math.radians(3)) - 2, 0, 100, xtol=1e-13),
        ".3f",
        "mm",
        _ROOT + ": the slope reaches the depth",
    ),
    Derived(
        "ramp-path",
        "ramp_path_length",
        {"axial_depth": "2 mm", "ramp_angle": "3 deg"},
        lambda: walked(
            lambda t: np.array([t, t * math.tan(math.radians(3))]),
            0,
            brentq(lambda x: x * math.tan(math.radians(3)) - 2, 0, 100),
        ),
        ".3f",
        "mm",
        _WALK,
    ),
    Derived(
        "helix-angle",
        "entry_helix_angle",
        {"pitch": "1 mm", "path_radius": "4 mm"},
        lambda: math.degrees(math.asin(1 / walked(helix(1.0, 4.0), 0, 2 * math.pi))),
        ".4f",
        "deg",
        _WALK + ": descent over the way of a turn",
    ),
    Derived(
        "helix-path",
        "helix_path_length",
        {"axial_depth": "5 mm", "pitch": "1 mm", "path_radius": "4 mm"},
        lambda: walked(helix(1.0, 4.0), 0, 10 * math.pi),
        ".3f",
        "mm",
        _WALK,
    ),
    Derived(
        "helix-with-its-level-turn",
        "helical_entry_length",
        {"axial_depth": "5 mm", "pitch": "1 mm", "path_radius": "4 mm"},
        lambda: walked(helix(1.0, 4.0), 0, 10 * math.pi) + walked(helix(0.0, 4.0), 0, 2 * math.pi),
        ".3f",
        "mm",
        _WALK,
    ),
    Derived(
        "helix-pitch",
        "helix_pitch",
        {"ramp_angle": "3 deg", "path_radius": "4 mm"},
        lambda: walked(helix(0.0, 4.0), 0, 2 * math.pi) * math.tan(math.radians(3)),
        ".4f",
        "mm",
        _WALK + ": a slope wound round",
    ),
    Derived(
        "largest-pitch",
        "largest_helix_pitch",
        {"core_clearance": "0.3 mm", "core_diameter": "4 mm", "path_radius": "4 mm"},
        lambda: 2 * math.pi * 0.3 / brentq(lambda t: abs(4 * np.exp(1j * t) - 4) - 4, 0.01, 3, xtol=1e-15),
        ".4f",
        "mm",
        _ROOT + ": the turn over which the core's far edge follows its near one",
    ),
    Derived(
        "helical-removal",
        "helical_removal_rate",
        {"diameter": "10 mm", "arc_diameter": "18 mm", "feed_rate": "1000 mm/min", "ramp_angle": "3 deg"},
        lambda: float((1000 * mp.expj(mp.radians(3))).imag) * w.disc(9.0, corners=40_000).area / 1000,
        ".2f",
        "cm^3/min",
        "polygon area of the hole by the descent",
    ),
    Derived(
        "ring-spacing-limit",
        "largest_ring_spacing",
        {"diameter": "10 mm"},
        lambda: brentq(lambda s: math.hypot(s - 5, s - 5) - 5, 5, 10, xtol=1e-14),
        ".4f",
        "mm",
        _ROOT + ": the corner of the ring inside, cut from the diagonal",
    ),
    Derived(
        "loop-path",
        "loop_path_length",
        {"slot_width": "16 mm", "diameter": "10 mm", "loop_step": "1.5 mm"},
        lambda: walked(helix(0.0, 3.0), 0, 2 * math.pi) + 1.5,
        ".4f",
        "mm",
        _WALK,
    ),
]
