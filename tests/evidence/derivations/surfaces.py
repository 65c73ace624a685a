"""Derived by vectors, roots and searches: leans, balls, marks and curved surfaces."""

from __future__ import annotations

import math

import mpmath as mp
import numpy as np
import witness as w
from evidence.derivations.case import Derived
from evidence.derivations.entries import helix, walked
from scipy.optimize import brentq, minimize_scalar

_ROOT, _WALK, _VECTOR = "by bracketing a root", "by walking the path in chords", "by turning vectors"


def turned_axis(lead, tilt):
    """Tool axis by turning the normal about the cross-feed, then about the feed, by exponentials of matrices."""

    def turn(axis, angle):
        k = np.cross(np.eye(3), axis) * -1.0
        return mp_expm(k * math.radians(angle))

    return turn([1.0, 0, 0], -tilt) @ turn([0, 1.0, 0], lead) @ np.array([0.0, 0, 1])


def mp_expm(matrix):
    return np.array(mp.expm(mp.matrix(matrix.tolist())).tolist(), dtype=float)


def ridge(radius, spacing, surface=math.inf):
    return 1000.0 * w.scallop(2 * radius, spacing, surface)


def fixed(slope, heading):
    """Lead and tilt of an upright axis on a slope, from the frame of feed, cross-feed and normal."""
    th, ps = math.radians(slope), math.radians(heading)
    down = np.array([math.cos(th), 0.0, -math.sin(th)])  # x is downhill, seen from above, y along, z up
    along, normal = np.array([0.0, 1.0, 0.0]), np.array([math.sin(th), 0.0, math.cos(th)])
    feed = math.cos(ps) * along - math.sin(ps) * down
    cross = np.cross(normal, feed)
    up = np.array([0.0, 0.0, 1.0])
    return math.degrees(math.asin(up @ feed)), math.degrees(math.atan2(up @ cross, up @ normal))


def tip_radius(radius, surface, lead, tilt):
    """Distance of the tip from the centre of the surface, in the plane of feed and normal."""
    axis = turned_axis(lead, tilt)
    centre = np.array([0.0, 0.0, surface + radius])
    tip = centre - radius * axis
    return math.hypot(tip[0], tip[2])


TITLE = "Leans, balls, marks and curved surfaces, worked out by vectors, roots and searches"
CASES = [
    Derived(
        "inclination",
        "inclination",
        {"lead": "20 deg", "tilt": "30 deg"},
        lambda: math.degrees(math.acos(turned_axis(20, 30)[2])),
        ".4f",
        "deg",
        _VECTOR,
    ),
    Derived(
        "engaged-on-a-trough",
        "engaged_depth",
        {"diameter": "10 mm", "normal_depth": "0.2 mm", "surface_radius": "-50 mm"},
        lambda: w.engaged_depth(10.0, 0.2, -50.0),
        ".5f",
        "mm",
        "where two circles cross, by a root",
    ),
    Derived(
        "engaged-on-a-crest",
        "engaged_depth",
        {"diameter": "10 mm", "normal_depth": "0.2 mm", "surface_radius": "50 mm"},
        lambda: w.engaged_depth(10.0, 0.2, 50.0),
        ".5f",
        "mm",
        "where two circles cross, by a root",
    ),
    Derived(
        "ball-chip",
        "ball_max_chip_thickness",
        {"feed_per_tooth": "0.1 mm", "diameter": "10 mm", "normal_depth": "0.5 mm", "stepover": "0.5 mm"},
        lambda: 0.1 * w.ball_largest_chip(10.0, 0.5, 0.5),
        ".5f",
        "mm",
        "the largest gap between two spheres, searched over the part that cuts",
    ),
    Derived(
        "ball-feed-for-a-chip",
        "ball_feed_per_tooth_for_chip",
        {"chip_thickness": "0.01 mm", "diameter": "10 mm", "normal_depth": "0.2 mm", "stepover": "0.3 mm"},
        lambda: 0.01 / w.ball_largest_chip(10.0, 0.2, 0.3),
        ".4f",
        "mm",
        "the largest gap between two spheres, searched over the part that cuts",
    ),
    Derived(
        "plan-spacing",
        "plan_spacing",
        {"stepover": "0.3 mm", "slope": "40 deg"},
        lambda: (0.3 * mp.expj(mp.radians(40))).real,
        ".5f",
        "mm",
        _VECTOR,
    ),
    Derived(
        "step-down",
        "step_down",
        {"stepover": "0.3 mm", "slope": "40 deg"},
        lambda: (0.3 * mp.expj(mp.radians(40))).imag,
        ".5f",
        "mm",
        _VECTOR,
    ),
    Derived(
        "spacing-on-a-slope",
        "surface_spacing",
        {"plan_spacing": "0.3 mm", "slope": "40 deg"},
        lambda: abs(mp.mpc(0.3, 0.3 * mp.tan(mp.radians(40)))),
        ".5f",
        "mm",
        _VECTOR,
    ),
    Derived(
        "spacing-of-a-step-down",
        "surface_spacing_from_step_down",
        {"step_down": "0.3 mm", "slope": "40 deg"},
        lambda: abs(mp.mpc(0.3 * mp.cot(mp.radians(40)), 0.3)),
        ".5f",
        "mm",
        _VECTOR,
    ),
    Derived(
        "stepover-on-a-crest",
        "scallop_stepover",
        {"diameter": "10 mm", "scallop_height": "5 um", "surface_radius": "50 mm"},
        lambda: w.scallop_spacing(10.0, 0.005, 50.0),
        ".5f",
        "mm",
        _ROOT + " of the ridge between two circles",
    ),
    Derived(
        "stepover-on-a-plane",
        "scallop_stepover",
        {"diameter": "10 mm", "scallop_height": "5 um"},
        lambda: w.scallop_spacing(10.0, 0.005),
        ".5f",
        "mm",
        _ROOT + " of the ridge between two circles",
    ),
    Derived(
        "rz",
        "rz_from_scallop",
        {"diameter": "10 mm", "scallop_height": "5 um"},
        lambda: (lambda p: p["Rz"] if "Rz" in p else p["rz"])(w.arc_profile(10.0, 0.005)) * 1000,
        ".3f",
        "um",
        "highest and lowest point of a sampled row of arcs",
    ),
    Derived(
        "scallop-of-rz",
        "scallop_from_rz",
        {"diameter": "10 mm", "rz": "5 um"},
        lambda: (lambda p: p["Rz"] if "Rz" in p else p["rz"])(w.arc_profile(10.0, 0.005)) * 1000,
        ".3f",
        "um",
        "highest and lowest point of a sampled row of arcs",
    ),
    Derived(
        "tooth-mark",
        "tooth_mark_height",
        {"diameter": "10 mm", "feed_per_tooth": "0.3 mm", "surface_radius": "-40 mm"},
        lambda: ridge(5.0, 0.3, -40.0),
        ".4f",
        "um",
        "ridge between two circles a feed apart, by a root",
    ),
    Derived(
        "revolution-mark",
        "revolution_mark_height",
        {"diameter": "10 mm", "feed_per_revolution": "0.4 mm/rev"},
        lambda: ridge(5.0, 0.4),
        ".4f",
        "um",
        "ridge between two circles a feed apart, by a root",
    ),
    Derived(
        "mark-of-one-tooth",
        "runout_mark_height",
        {"diameter": "10 mm", "feed_per_tooth": "0.1 mm", "teeth": 2, "eccentricity": "10 um", "inclination": "15 deg"},
        lambda: ridge(5.0, 0.2),
        ".4f",
        "um",
        "the low tooth stays above the ridge that the high one leaves",
    ),
    Derived(
        "mark-of-both-teeth",
        "runout_mark_height",
        {"diameter": "10 mm", "feed_per_tooth": "0.4 mm", "teeth": 2, "eccentricity": "1 um", "inclination": "15 deg"},
        lambda: ridge(5.0, 0.4),
        ".4f",
        "um",
        "both teeth reach below the ridge",
    ),
    Derived(
        "feed-for-marks",
        "feed_per_tooth_for_marks",
        {"diameter": "10 mm", "feed_mark_height": "1 um", "teeth": 2},
        lambda: w.scallop_spacing(10.0, 0.001),
        ".5f",
        "mm",
        _ROOT + " of the ridge between two circles",
    ),
    Derived(
        "feed-for-marks-of-one-tooth",
        "feed_per_tooth_for_marks",
        {"diameter": "10 mm", "feed_mark_height": "1 um", "teeth": 2, "eccentricity": "10 um", "inclination": "15 deg"},
        lambda: w.scallop_spacing(10.0, 0.001) / 2,
        ".5f",
        "mm",
        _ROOT + " of the ridge that one tooth a turn leaves",
    ),
    Derived(
        "fixed-axis-lead",
        "fixed_axis_lead",
        {"slope": "30 deg", "heading": "40 deg"},
        lambda: fixed(30, 40)[0],
        ".4f",
        "deg",
        "frame of the slope built from vectors; component of the axis along the feed",
    ),
    Derived(
        "fixed-axis-tilt",
        "fixed_axis_tilt",
        {"slope": "30 deg", "heading": "40 deg"},
        lambda: fixed(30, 40)[1],
        ".4f",
        "deg",
        "frame of the slope built from vectors; direction of the axis across the feed",
    ),
    Derived(
        "slope-of-least-lean",
        "slope_of_least_lean",
        {"slope_from": "10 deg", "slope_to": "60 deg", "axis_downhill": 0.5, "axis_up": 1.0},
        lambda: (
            minimize_scalar(
                lambda t: math.acos((0.5 * math.sin(math.radians(t)) + math.cos(math.radians(t))) / math.hypot(0.5, 1)),
                bounds=(10, 60),
                method="bounded",
                options={"xatol": 1e-9},
            ).x
        ),
        ".2f",
        "deg",
        "the least angle between axis and normal, searched",
    ),
    Derived(
        "centre-path",
        "centre_path_radius",
        {"diameter": "10 mm", "surface_radius": "-40 mm"},
        lambda: abs(complex(40, 0) - 5),
        ".0f",
        "mm",
        "the centre stands a radius off the wall",
    ),
    Derived(
        "tip-path",
        "tip_path_radius",
        {"diameter": "10 mm", "surface_radius": "40 mm", "lead": "20 deg", "tilt": "10 deg"},
        lambda: tip_radius(5.0, 40.0, 20, 10),
        ".4f",
        "mm",
        _VECTOR,
    ),
    Derived(
        "feed-at-the-contact",
        "contact_feed_rate",
        {"feed_rate": "1000 mm/min", "path_radius": "45 mm", "surface_radius": "40 mm"},
        lambda: 1000 * walked(helix(0, 40), 0, 1) / walked(helix(0, 45), 0, 1),
        ".3f",
        "mm/min",
        _WALK + ": both ways of one turn of the normal",
    ),
    Derived(
        "length-at-the-contact",
        "contact_length",
        {"length": "10 mm", "path_radius": "45 mm", "surface_radius": "40 mm"},
        lambda: walked(helix(0, 40), 0, 10 / 45),
        ".4f",
        "mm",
        _WALK,
    ),
    Derived(
        "feed-programmed",
        "programmed_feed_rate",
        {"feed_rate": "1000 mm/min", "path_radius": "45 mm", "surface_radius": "40 mm"},
        lambda: 1000 * walked(helix(0, 45), 0, 1) / walked(helix(0, 40), 0, 1),
        ".2f",
        "mm/min",
        _WALK + ": both ways of one turn of the normal",
    ),
    Derived(
        "length-programmed",
        "programmed_length",
        {"length": "10 mm", "path_radius": "45 mm", "surface_radius": "40 mm"},
        lambda: walked(helix(0, 45), 0, 10 / 40),
        ".4f",
        "mm",
        _WALK,
    ),
    Derived(
        "rotary-feed",
        "rotary_feed_rate",
        {"rotary_rate": "30 deg/s", "surface_radius": "40 mm"},
        lambda: 60 * walked(helix(0, 40), 0, math.radians(30)),
        ".2f",
        "mm/min",
        _WALK + " of a second",
    ),
    Derived(
        "swung-feed",
        "swung_feed_rate",
        {"feed_rate": "1000 mm/min", "rotary_distance": "200 mm", "surface_radius": "40 mm"},
        lambda: 1000 * 40 / (40 + 200.0),
        ".3f",
        "mm/min",
        "the pivot and the contact share a turn; by their ways",
    ),
    Derived(
        "largest-stepover-on-a-crest",
        "largest_stepover",
        {"diameter": "10 mm", "surface_radius": "40 mm"},
        lambda: 2 * 40 * brentq(lambda a: 45 * math.sin(a) - 5, 0, 1, xtol=1e-15),
        ".4f",
        "mm",
        _ROOT + ": balls turned apart until they part",
    ),
    Derived(
        "plan-width",
        "plan_width",
        {"width": "30 mm", "slope_from": "10 deg", "slope_to": "60 deg"},
        lambda: 30 / 50 * mp.quad(lambda t: mp.cos(mp.radians(t)), [10, 60]),
        ".4f",
        "mm",
        "quadrature of the slope along the arc",
    ),
    Derived(
        "wall-height",
        "wall_height",
        {"width": "30 mm", "slope_from": "10 deg", "slope_to": "60 deg"},
        lambda: 30 / 50 * mp.quad(lambda t: mp.sin(mp.radians(t)), [10, 60]),
        ".4f",
        "mm",
        "quadrature of the slope along the arc",
    ),
]
