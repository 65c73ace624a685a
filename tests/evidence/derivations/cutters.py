"""Derived of cutters of any form by the witness of tests/witness."""

from __future__ import annotations

import math

import numpy as np
import witness as w
from evidence.derivations.case import Derived, asked
from scipy.optimize import brentq
from witness import engaged, revolved, stair_polygons

BALL = {"family": "ball", "diameter": "10 mm", "teeth": 2}
CORNER = {"family": "corner radius", "diameter": "10 mm", "corner_radius": "1 mm", "teeth": 4}
_BALL = (("arc", (0.0, 0.0), (5.0, 5.0), (5.0, 0.0)),)
_CORNER = (("line", (0.0, 0.0), (0.0, 4.0)), ("arc", (0.0, 4.0), (1.0, 5.0), (1.0, 4.0)))
_LEAN = {"lead": "20 deg", "tilt": "10 deg"}
_SUPPORT, _RINGS = "from the supporting plane of the turned body", "rings of the body by their arcs below the stock"
_LEVELS = "levels milled as polygons"


def _of(pieces, lead, tilt):
    """Contact of a leaned tool from its supporting plane: tip to contact in the frame, height, radius."""
    tool = engaged.Tool(pieces, lead, tilt)
    point, axis = np.array(tool.origin), np.array([tool.F, tool.C, tool.N])
    height = float(point @ axis)
    return point, height, float(np.linalg.norm(point - height * axis)), axis


def tip_way(surface, pieces, lead, tilt, reference=0.0):
    """Radius about the centre of the surface of a point on the axis, in the plane of feed and normal."""
    point, _, _, axis = _of(pieces, lead, tilt)
    way = reference * axis - point  # from the contact
    return math.hypot(surface + way[2], way[0])


def highest(depth, lead):
    """Height of the edge of a leaning ball in the stock: its cap sampled in front of the contact."""
    polar, turn = np.meshgrid(np.linspace(0, math.acos(1 - depth / 5), 2001), np.linspace(0, 2 * math.pi, 2001))
    f, n = 5 * np.sin(polar) * np.cos(turn), 5 - 5 * np.cos(polar)
    lean = math.radians(lead)
    along = f * math.sin(lean) + (n - 5) * math.cos(lean)
    return 5 + float(along[f >= 0].max())


def stair(slope, step):
    return stair_polygons.stair(stair_polygons.outline(_CORNER), slope, step)


def worst_stair(step, low, high):
    return max(stair(s, step)[0] for s in np.linspace(low, high, 51))


def scallop_for(ra):
    """Scallop height [um] at which the outline's Ra [um] is as wanted."""
    pieces = revolved.corner(10, 1)
    spacing = brentq(lambda s: 1000 * revolved.left_roughness(pieces, s, 20, 10)[0] - ra, 0.05, 1.0, xtol=1e-9)
    return 1000 * float(revolved.scallop_height(pieces, spacing, 20, 10))


TITLE = "Cutters of any form, worked out from rings, silhouettes and polygons"
CASES = [
    Derived("contact-height", "contact", _LEAN, lambda: _of(_CORNER, 20, 10)[1], ".5f", "mm", _SUPPORT, asked(CORNER)),
    Derived(
        "contact-radius", "contact", _LEAN, lambda: _of(_CORNER, 20, 10)[2], ".5f", "mm", _SUPPORT, asked(CORNER, 2)
    ),
    Derived(
        "tip-along-the-feed",
        "contact",
        _LEAN,
        lambda: -_of(_CORNER, 20, 10)[0][0],
        ".5f",
        "mm",
        _SUPPORT,
        asked(CORNER, 4),
    ),
    Derived(
        "tip-across", "contact", _LEAN, lambda: -_of(_CORNER, 20, 10)[0][1], ".5f", "mm", _SUPPORT, asked(CORNER, 5)
    ),
    Derived(
        "tip-along-the-normal",
        "contact",
        _LEAN,
        lambda: -_of(_CORNER, 20, 10)[0][2],
        ".5f",
        "mm",
        _SUPPORT,
        asked(CORNER, 6),
    ),
    Derived(
        "contact-diameter",
        "contact_diameter",
        _LEAN,
        lambda: 2 * _of(_CORNER, 20, 10)[2],
        ".5f",
        "mm",
        _SUPPORT,
        asked(CORNER),
    ),
    Derived(
        "effective-diameter",
        "effective_diameter",
        {"normal_depth": "0.5 mm", "lead": "15 deg", "stepover": "0.5 mm", "cutting_only": True},
        lambda: engaged.cutting_diameters(_CORNER, 0.5, 15, 0, 0.5)[1],
        ".4f",
        "mm",
        _RINGS,
        asked(CORNER),
    ),
    Derived(
        "least-diameter",
        "least_diameter",
        {"normal_depth": "0.5 mm", "lead": "15 deg", "stepover": "0.5 mm", "cutting_only": True},
        lambda: engaged.cutting_diameters(_BALL, 0.5, 15, 0, 0.5)[0],
        ".4f",
        "mm",
        _RINGS,
        asked(BALL),
    ),
    Derived(
        "clear-of-the-tip",
        "clearing_inclination",
        {"normal_depth": "0.2 mm"},
        lambda: w.clearing_inclination(10.0, 0.2),
        ".3f",
        "deg",
        "the lean from which the sampled tip stays out of the stock",
        asked(BALL),
    ),
    Derived(
        "engaged-in-a-trough",
        "engaged_depth",
        {"normal_depth": "0.2 mm", "surface_radius": "-50 mm"},
        lambda: w.engaged_depth(10.0, 0.2, -50.0),
        ".4f",
        "mm",
        "where two circles cross, by a root",
        asked(BALL),
    ),
    Derived(
        "mean-chip",
        "mean_chip_thickness",
        {"feed_per_tooth": "0.1 mm", "normal_depth": "0.5 mm", "lead": "15 deg", "stepover": "0.5 mm"},
        lambda: 0.1 * engaged.chip_reach(_BALL, 0.5, 15, 0, 0.5)[1],
        ".4f",
        "mm",
        "cells of the part that cuts, summed by area",
        asked(BALL),
    ),
    Derived(
        "feed-for-a-chip",
        "feed_per_tooth_for_chip",
        {"chip_thickness": "0.02 mm", "normal_depth": "0.5 mm", "lead": "15 deg", "stepover": "0.5 mm"},
        lambda: 0.02 / engaged.chip_reach(_BALL, 0.5, 15, 0, 0.5)[0],
        ".4f",
        "mm",
        "the steepest place of the part that cuts, searched",
        asked(BALL),
    ),
    Derived(
        "highest-edge",
        "highest_edge",
        {"normal_depth": "0.5 mm", "lead": "15 deg"},
        lambda: highest(0.5, 15),
        ".3f",
        "mm",
        "the cap sampled in front of the contact",
        asked(BALL),
    ),
    Derived(
        "mark",
        "mark_height",
        {"feed_per_tooth": "0.2 mm", **_LEAN},
        lambda: 1000 * engaged.mark_height(_CORNER, 0.2, 20, 10),
        ".4f",
        "um",
        "outlines a feed apart in the section along the feed",
        asked(CORNER),
    ),
    Derived(
        "mark-of-one-tooth",
        "runout_mark_height",
        {"feed_per_tooth": "0.1 mm", "lead": "15 deg", "teeth": 2, "eccentricity": "20 um"},
        lambda: 1000 * engaged.mark_height(_BALL, 0.2, 15, 0),
        ".4f",
        "um",
        "outlines two feeds apart: the low tooth stays above the ridge",
        asked(BALL),
    ),
    Derived(
        "feed-for-a-mark",
        "feed_per_tooth_for_marks",
        {"feed_mark_height": "1 um", **_LEAN},
        lambda: brentq(lambda f: 1000 * engaged.mark_height(_CORNER, f, 20, 10) - 1, 0.01, 0.5, xtol=1e-9),
        ".5f",
        "mm",
        "root of outlines a feed apart",
        asked(CORNER),
    ),
    Derived(
        "tip-path",
        "tip_path_radius",
        {"surface_radius": "60 mm", **_LEAN},
        lambda: tip_way(60, _CORNER, 20, 10),
        ".4f",
        "mm",
        _SUPPORT,
        asked(CORNER),
    ),
    Derived(
        "reference-path",
        "reference_path_radius",
        {"surface_radius": "60 mm", **_LEAN},
        lambda: tip_way(60, _CORNER, 20, 10, 1.0),
        ".4f",
        "mm",
        _SUPPORT,
        asked(CORNER),
    ),
    Derived(
        "stair",
        "stairs",
        {"step_down": "0.5 mm", "slope": "60 deg"},
        lambda: stair(60, 0.5)[0],
        ".4f",
        "mm",
        _LEVELS,
        asked(CORNER),
    ),
    Derived(
        "stair-length",
        "stairs",
        {"step_down": "0.5 mm", "slope": "60 deg"},
        lambda: stair(60, 0.5)[2],
        ".4f",
        "mm",
        _LEVELS,
        asked(CORNER, 4),
    ),
    Derived(
        "largest-stair",
        "largest_stair",
        {"step_down": "0.5 mm", "slope_from": "20 deg", "slope_to": "70 deg"},
        lambda: worst_stair(0.5, 20, 70),
        ".3f",
        "mm",
        _LEVELS + ", slope by slope",
        asked(CORNER),
    ),
    Derived(
        "step-for-a-stair",
        "step_down_for_stairs",
        {"stair_thickness": "0.1 mm", "slope": "60 deg"},
        lambda: brentq(lambda s: stair(60, s)[0] - 0.1, 0.05, 2, xtol=1e-6),
        ".3f",
        "mm",
        "root of " + _LEVELS,
        asked(CORNER),
    ),
    Derived(
        "flat-width",
        "flat_width",
        {},
        lambda: 2 * (5 - 1),
        ".0f",
        "mm",
        "the bottom inside the rounding",
        asked(CORNER),
    ),
    Derived(
        "ra-left",
        "roughness",
        {"stepover": "0.3 mm", **_LEAN},
        lambda: 1000 * revolved.left_roughness(revolved.corner(10, 1), 0.3, 20, 10)[0],
        ".4f",
        "um",
        "Gauss quadrature of the outline's width",
        asked(CORNER),
    ),
    Derived(
        "rq-left",
        "roughness",
        {"stepover": "0.3 mm", **_LEAN},
        lambda: 1000 * revolved.left_roughness(revolved.corner(10, 1), 0.3, 20, 10)[1],
        ".4f",
        "um",
        "Gauss quadrature of the outline's width",
        asked(CORNER, 3),
    ),
    Derived(
        "scallop-for-ra",
        "scallop_for_ra",
        {"ra": "0.5 um", **_LEAN},
        lambda: scallop_for(0.5),
        ".3f",
        "um",
        "root of quadratures of the outline's width",
        asked(CORNER),
    ),
]
