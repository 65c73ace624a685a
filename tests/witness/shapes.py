"""Circles and polygons: how far a cutter travels and what it sweeps."""

from __future__ import annotations

import math
from itertools import pairwise

import mpmath as mp
import numpy as np
from scipy.optimize import brentq
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

DIGITS = 50
TINY = mp.mpf(10) ** -22  # a feed small enough that its square is nothing at 50 digits' tolerance of 1e-12


def disc(radius: float, centre: tuple[float, float] = (0.0, 0.0), corners: int = 4000) -> Polygon:
    """Return an inscribed polygon of the disc, with corners on both axes; short by R/2 (pi/corners)^2."""
    angle = 2 * np.pi * np.arange(corners) / corners
    return Polygon(np.column_stack([centre[0] + radius * np.cos(angle), centre[1] + radius * np.sin(angle)]))


def rim_travel(diameter: float) -> float:
    """Return the path of a rim point in one turn: chords of a walk, Richardson-extrapolated (1e-13)."""

    def walked(steps: int) -> float:
        angle = np.linspace(0.0, 2 * np.pi, steps + 1)
        point = 0.5 * diameter * np.exp(1j * angle)
        return float(np.abs(np.diff(point)).sum())

    table = [walked(64 * 2**k) for k in range(5)]
    for order in range(1, 5):
        table = [(4**order * b - a) / (4**order - 1) for a, b in pairwise(table)]
    return table[0]


def swept_area(diameter: float, radial_width: float, advance: float) -> float:
    """Return the area a cutter takes from the side of a plate while it moves `advance`, by polygons (1e-12).

    The plate fills y <= 0; the cutter reaches `radial_width` into it and comes from far behind.
    """
    radius = 0.5 * diameter
    y = radius - radial_width
    behind, start, end = (disc(radius, (x, y), 720) for x in (-4 * diameter, 0.0, advance))
    plate = box(-2 * diameter, -3 * diameter, 2 * diameter + advance, 0.0)
    before = unary_union([behind, start]).convex_hull
    after = unary_union([behind, end]).convex_hull
    return plate.difference(before).area - plate.difference(after).area


def side_approach(diameter: float, radial_width: float) -> float:
    """Return the travel of the centre from first touch to full engagement beside a square corner.

    The work is the quarter plane x >= 0, y >= 0; the cutter's far side runs at y = radial_width.  Touch:
    the distance from the centre to the quarter plane is the radius.  Full: the walked arc of the steady
    cut lies inside the work with all its points.  Roots by bracketing, 1e-11.
    """
    radius = 0.5 * diameter
    y = radial_width - radius

    def gap(x: float) -> float:
        return math.hypot(min(x, 0.0), min(y, 0.0)) - radius

    touch = brentq(gap, -2 * radius, min(-1e-15, 0.0), xtol=1e-13) if gap(-1e-15) < 0 else 0.0
    angle = np.linspace(0.0, np.pi / 2, 20001)
    angle = np.concatenate([-angle[::-1], angle])
    steady = y + radius * np.sin(angle) >= 0
    back = float((radius * np.cos(angle[steady])).min())
    full = brentq(lambda x: x + back, -2 * radius, 2 * radius, xtol=1e-13)
    return full - touch


def centred_approach(diameter: float, width: float) -> float:
    """Return the travel from first touch to full engagement of a strip in mid-cutter (1e-11)."""
    radius = 0.5 * diameter
    edge = brentq(lambda angle: radius * math.sin(angle) - 0.5 * width, 0.0, np.pi / 2, xtol=1e-15)
    angle = np.linspace(-edge, edge, 4001)
    front = radius * np.cos(angle)
    return float(front.max() - front.min())
