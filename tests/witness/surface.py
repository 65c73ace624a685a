"""Scallops and finish, at 50 digits and by polygons."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import mpmath as mp
import numpy as np
from scipy.integrate import quad
from scipy.optimize import brentq
from shapely.geometry import LineString, Point, box
from shapely.ops import unary_union

from witness.shapes import disc

DIGITS = 50
TINY = mp.mpf(10) ** -22  # a feed small enough that its square is nothing at 50 digits' tolerance of 1e-12


def _passes(diameter: float, stepover: mp.mpf, surface_radius: float) -> tuple[mp.mpc, mp.mpc, mp.mpc]:
    """Return the centre of one of two neighbouring balls, the middle normal and its foot on the surface."""
    R, s = mp.mpf(diameter) / 2, mp.mpf(stepover)
    if math.isinf(surface_radius):
        return mp.mpc(s / 2, R), mp.mpc(0, 1), mp.mpc(0, 0)
    rho, sign = abs(mp.mpf(surface_radius)), 1 if surface_radius > 0 else -1
    half = s / (2 * rho)
    return (rho + sign * R) * mp.mpc(mp.sin(half), mp.cos(half)), mp.mpc(0, sign), mp.mpc(0, rho)


def _foot_height(centre: mp.mpc, up: mp.mpc, foot: mp.mpc) -> mp.mpf:
    """Return how far up the middle normal the ball centre is nearest."""
    return ((centre - foot) * mp.conj(up)).real


def scallop(diameter: float, stepover: float, surface_radius: float = math.inf) -> float:
    """Return the scallop between two passes, mm: the first point of the middle normal that a ball reaches.

    The balls touch the surface half a stepover of arc to either side; the middle normal is climbed and the
    crossing bisected in 50 digits.  NaN where the balls do not meet over the middle.
    """
    with mp.workdps(DIGITS):
        R = mp.mpf(diameter) / 2
        if stepover > mp.pi * abs(mp.mpf(surface_radius)):  # more than half round the surface
            return math.nan
        centre, up, foot = _passes(diameter, mp.mpf(stepover), surface_radius)
        along = _foot_height(centre, up, foot)
        if abs(centre - foot - along * up) > R or along < 0:
            return math.nan
        low, high = mp.mpf(0), along
        for _ in range(165):
            h = (low + high) / 2
            if abs(foot + h * up - centre) > R:
                low = h
            else:
                high = h
        return float(low)


def polygon_scallop(diameter: float, stepover: float, surface_radius: float = math.inf) -> float:
    """Return the scallop, mm, from what is left of a ring (or strip) of stock when seven passes are cut.

    Polygons: what three neighbouring passes to either side leave near the middle gap; accuracy about
    1e-6 of the diameter.
    """
    R, corners = 0.5 * diameter, 6000
    if math.isinf(surface_radius):
        stock = box(-0.5 * stepover, 0.0, 0.5 * stepover, 3 * R)
        cut = unary_union([disc(R, ((k + 0.5) * stepover, R), corners) for k in range(-3, 3)])
        shafts = [box((k + 0.5) * stepover - R, R, (k + 0.5) * stepover + R, 9 * R) for k in range(-3, 3)]
        left = stock.difference(unary_union([cut, *shafts]))
        return left.bounds[3]
    rho = abs(surface_radius)
    sign = 1 if surface_radius > 0 else -1
    half = stepover / (2 * rho)
    angles = half * np.arange(-5, 7, 2) if 12 * half < 2 * np.pi else half * np.array([-1, 1])
    reach = rho + sign * R
    cut = unary_union([disc(R, (reach * math.sin(a), reach * math.cos(a)), corners) for a in angles])
    fan = np.linspace(-half, half, 2001)
    tops = np.zeros(fan.size)
    for k, a in enumerate(fan):
        direction = np.array([math.sin(a), math.cos(a)])
        ray = LineString([rho * direction, (rho + sign * 2.0 * R) * direction])
        hit = ray.intersection(cut)
        tops[k] = Point(rho * direction).distance(hit) if not hit.is_empty else np.nan
    return float(tops.max())


def scallop_spacing(diameter: float, height: float, surface_radius: float = math.inf) -> float:
    """Return the stepover, mm, that leaves a scallop of `height` mm.

    The passes are drawn apart until the ball just leaves the point at that height of the middle normal
    (bisection, 50 digits).  NaN where the scallop cannot be that high.
    """
    with mp.workdps(DIGITS):
        R, h = mp.mpf(diameter) / 2, mp.mpf(height)
        low = mp.mpf(0)
        high = mp.mpf(diameter) if math.isinf(surface_radius) else mp.pi * abs(mp.mpf(surface_radius))
        for _ in range(170):
            s = (low + high) / 2
            centre, up, foot = _passes(diameter, s, surface_radius)
            if abs(foot + h * up - centre) < R:
                low = s
            else:
                high = s
        centre, up, foot = _passes(diameter, low, surface_radius)
        miss = abs(abs(foot + h * up - centre) - R)
        if miss > mp.mpf(10) ** -30 * R or _foot_height(centre, up, foot) < h * (1 - mp.mpf(10) ** -20):
            return math.nan
        return float(low)


def arc_profile(diameter: float, scallop_height: float) -> dict[str, float]:
    """Return Ra, Rq, Rz and spacing of a row of circular arcs of that peak-to-valley height.

    Diameter and height in one unit.  Cut at the mean line and integrated piece by piece (1e-12).
    """
    R, h = 0.5 * diameter, scallop_height
    half = brentq(lambda x: math.hypot(x, h - R) - R, 0.0, R, xtol=1e-16, rtol=1e-15) if h < R else R

    def z(x: float) -> float:
        return x * x / (R + math.sqrt(max(R * R - x * x, 0.0)))

    def integral(g: Callable[[float], float], points: list[float]) -> float:
        total = 0.0
        for a, b in pairwise(points):
            # sine substitution keeps a vertical end harmless
            total += quad(
                lambda t, a=a, b=b: g(a + (b - a) * math.sin(t)) * (b - a) * math.cos(t),
                0.0, math.pi / 2, epsabs=0, epsrel=1e-13, limit=200,
            )[0]  # fmt: skip
        return total

    mean = integral(z, [0.0, half]) / half
    cross = brentq(lambda x: z(x) - mean, 0.0, half, xtol=1e-16, rtol=1e-15)
    ra = integral(lambda x: abs(z(x) - mean), [0.0, cross, half]) / half
    rq = math.sqrt(integral(lambda x: (z(x) - mean) ** 2, [0.0, cross, half]) / half)
    return {"Ra": ra, "Rq": rq, "Rz": z(half) - z(0.0), "spacing": 2 * half}
