"""Engagement and chip thickness, by walking and counting."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

import mpmath as mp
import numpy as np
from scipy.optimize import brentq
from shapely.geometry import LineString, box

from witness.shapes import disc

DIGITS = 50
TINY = mp.mpf(10) ** -22  # a feed small enough that its square is nothing at 50 digits' tolerance of 1e-12


def arc_over(diameter: float, low: float, high: float) -> float:
    """Return the angle of the front half of the rim that lies between two heights: length integral, 1e-14.

    The heights are measured across the feed from the centre.  d(arc) = dy / sqrt(1 - (y/R)^2); with
    u^2 the distance to the nearer end of the half the root at the end is gone; Gauss-Legendre in 30 digits.
    """
    with mp.workdps(30):
        radius = mp.mpf(diameter) / 2

        def from_end(height: mp.mpf) -> mp.mpf:
            """Arc between the end of the half at height 1 and a height between 0 and 1."""
            far = mp.sqrt(1 - height)
            return mp.quad(lambda u: 2 / mp.sqrt(2 - u * u), [0, far], method="gauss-legendre")

        lo = max(mp.mpf(low) / radius, mp.mpf(-1))
        hi = min(mp.mpf(high) / radius, mp.mpf(1))
        quarter = from_end(mp.mpf(0))
        places = [quarter - from_end(y) if y >= 0 else from_end(-y) - quarter for y in (lo, hi)]
        return float(mp.degrees(places[1] - places[0]))


def side_engagement(diameter: float, radial_width: float) -> float:
    """Return the engaged angle beside an edge, by the length integral."""
    with mp.workdps(DIGITS):
        radius = mp.mpf(diameter) / 2
        return arc_over(diameter, radius - mp.mpf(radial_width), radius)


def centred_engagement(diameter: float, radial_width: float) -> float:
    """Return the engaged angle of a strip in the middle of the cutter, by the length integral."""
    return arc_over(diameter, -mp.mpf(radial_width) / 2, mp.mpf(radial_width) / 2)


def polygon_engagement(diameter: float, radial_width: float) -> float:
    """Return the side engagement: length of the front rim inside the plate over the radius (1e-8)."""
    radius = 0.5 * diameter
    angle = np.linspace(-np.pi / 2, np.pi / 2, 20001)
    rim = LineString(np.column_stack([radius * np.cos(angle), radius * np.sin(angle)]))
    plate = box(-1.0, radius - radial_width, diameter, diameter)
    return math.degrees(rim.intersection(plate).length / radius)


def mean_teeth_in_cut(teeth: int, angle: float, samples: int = 400_000) -> float:
    """Return the time average of the teeth inside the engaged angle; close to teeth/samples."""
    phase = (np.arange(samples) + 0.5) * 360.0 / samples
    count = np.zeros(samples)
    for tooth in range(int(teeth)):
        count += np.mod(phase + tooth * 360.0 / teeth, 360.0) < angle
    return float(count.mean())


def cone_gap(diameter: float, edge_angle: float, turned: mp.mpf) -> mp.mpf:
    """Return chip thickness over feed for an edge on a cone, at an angle turned from the finished wall.

    The cutter's cone is moved forward by a feed of 1e-22 diameters; from a point of its edge the surface
    normal is followed back until it meets the cone of the tooth before (secant method, 50 digits).
    """
    radius = mp.mpf(diameter) / 2
    feed = TINY * diameter
    kappa = mp.radians(mp.mpf(edge_angle))
    slope = mp.cos(kappa) / mp.sin(kappa)
    across = (mp.sin(turned), mp.cos(turned))  # along the feed, across it
    normal = (mp.sin(kappa) * across[0], mp.sin(kappa) * across[1], -mp.cos(kappa))

    def outside(t: mp.mpf) -> mp.mpf:
        x = feed + radius * across[0] - t * normal[0]
        y = radius * across[1] - t * normal[1]
        z = -t * normal[2]
        return mp.sqrt(x * x + y * y) - radius - z * slope

    a, b = mp.mpf(0), feed
    fa, fb = outside(a), outside(b)
    for _ in range(6):
        if fa == fb:
            break
        a, b, fa = b, b - fb * (b - a) / (fb - fa), fb
        fb = outside(b)
    return b / feed


def _highest(func: Callable[[mp.mpf], mp.mpf], low: mp.mpf, high: mp.mpf, rounds: int = 60) -> mp.mpf:
    """Return the largest value of a one-humped function, by ternary search."""
    best = max(func(low), func(high))
    for _ in range(rounds):
        third = (high - low) / 3
        if func(low + third) < func(high - third):
            low = low + third
        else:
            high = high - third
    return max(best, func((low + high) / 2))


@lru_cache(maxsize=512)
def largest_chip(diameter: float, radial_width: float, edge_angle: float = 90.0) -> float:
    """Return largest chip thickness over feed per tooth on the engaged arc, thin-feed limit (1e-13)."""
    with mp.workdps(DIGITS):
        angle = mp.radians(mp.mpf(side_engagement(diameter, radial_width)))
        return float(_highest(lambda turned: cone_gap(diameter, edge_angle, turned), mp.mpf(0), angle))


@lru_cache(maxsize=512)
def mean_chip(diameter: float, radial_width: float, edge_angle: float = 90.0) -> float:
    """Return mean chip thickness over feed per tooth along the engaged arc: quadrature of the gap (1e-13)."""
    with mp.workdps(DIGITS):
        angle = mp.radians(mp.mpf(side_engagement(diameter, radial_width)))
        nodes, weights = np.polynomial.legendre.leggauss(24)
        total = sum(
            mp.mpf(w) * cone_gap(diameter, edge_angle, angle * (1 + mp.mpf(x)) / 2)
            for x, w in zip(nodes, weights, strict=True)
        )
        return float(total / 2)


def centred_mean_chip(diameter: float, radial_width: float) -> float:
    """Return mean chip thickness over feed of a strip in the middle, by quadrature of the gap."""
    with mp.workdps(DIGITS):
        half = mp.radians(mp.mpf(centred_engagement(diameter, radial_width))) / 2
        nodes, weights = np.polynomial.legendre.leggauss(24)
        return float(
            sum(
                mp.mpf(w) * cone_gap(diameter, 90.0, mp.pi / 2 + half * mp.mpf(x))
                for x, w in zip(nodes, weights, strict=True)
            )
            / 2
        )


def crescent_mean_chip(diameter: float, radial_width: float) -> float:
    """Return mean chip over feed: polygon area of the crescent one tooth takes, over arc length and feed.

    The feed is 1e-3 diameters; the crescent of two like polygons is exact but for its ends (1e-5).
    """
    radius, feed = 0.5 * diameter, 1e-3 * diameter
    here, before = disc(radius, (feed, 0.0), 7200), disc(radius, (0.0, 0.0), 7200)
    plate = box(0.0, radius - radial_width, 2 * diameter, 2 * diameter)
    area = here.difference(before).intersection(plate).area
    return area / feed / (radius * math.radians(polygon_engagement(diameter, radial_width)))


def trochoid_largest_chip(diameter: float, radial_width: float, feed_per_tooth: float, teeth: int, up: bool) -> float:
    """Return the true largest chip thickness of straight milling: teeth on trochoids, thickness on the ray.

    Angle is counted from the finished wall to the front; the plate ends `radial_width` from the wall.  On
    each ray from the present centre the material reaches from the path of the tooth before, or from the
    side of the plate, to the tip.  Rays are refined around the best (1e-9 relative).
    """
    radius = 0.5 * diameter
    sense = 1.0 if up else -1.0
    per_rad = feed_per_tooth * teeth / (2 * np.pi)

    def material(angle: np.ndarray) -> np.ndarray:
        # present tooth: turned by `angle` from the wall, its centre at sense * per_rad * angle
        centre = sense * per_rad * angle
        other = angle.copy()  # angle of the tooth before when its tip lies on the same ray
        for _ in range(60):
            x = sense * per_rad * other - feed_per_tooth + radius * np.sin(other) - centre
            y = radius * np.cos(other)
            off = x * np.cos(angle) - y * np.sin(angle)
            rate = (sense * per_rad + radius * np.cos(other)) * np.cos(angle) + radius * np.sin(other) * np.sin(angle)
            other = other - off / rate
        x = sense * per_rad * other - feed_per_tooth + radius * np.sin(other) - centre
        inner = x * np.sin(angle) + radius * np.cos(other) * np.cos(angle)
        side = (radius - radial_width) / np.cos(angle)
        side = np.where(np.cos(angle) > 1e-9, side, -np.inf if radial_width > radius else np.inf)
        return radius - np.maximum(inner, side)

    low, high = 0.0, min(math.radians(side_engagement(diameter, radial_width)), np.pi)
    best = 0.0
    for _ in range(12):
        angle = np.linspace(low, high, 2001)
        thickness = material(angle)
        k = int(np.argmax(thickness))
        best = float(thickness[k])
        low, high = float(angle[max(k - 2, 0)]), float(angle[min(k + 2, 2000)])
    return best


def round_edge_slope(edge_diameter: float, axial_depth: float) -> float:
    """Return the slope angle of a round edge where the top of the stock crosses it.

    The circle is x^2 + (z - r)^2 = r^2; the crossing is found by a root, the tangent by a central
    difference of 1e-20 in 50 digits.
    """
    with mp.workdps(DIGITS):
        r, depth = mp.mpf(edge_diameter) / 2, mp.mpf(axial_depth)

        def point(t: mp.mpf) -> tuple[mp.mpf, mp.mpf]:  # by arc length from the lowest point
            return r * mp.sin(t / r), r * (1 - mp.cos(t / r))

        t = mp.mpf(0)
        low, high = mp.mpf(0), mp.pi * r / 2
        for _ in range(170):
            t = (low + high) / 2
            if point(t)[1] < depth:
                low = t
            else:
                high = t
        step = mp.mpf(10) ** -20
        ahead, behind = point(t + step), point(t - step)
        return float(mp.degrees(mp.atan2(ahead[1] - behind[1], ahead[0] - behind[0])))


def round_edge_largest_chip(edge_diameter: float, axial_depth: float) -> float:
    """Return largest chip thickness over feed along a round edge moved sideways: gap of two circles."""
    with mp.workdps(DIGITS):
        r = mp.mpf(edge_diameter) / 2
        feed = TINY * r
        top = mp.radians(mp.mpf(round_edge_slope(edge_diameter, axial_depth)))

        def gap(angle: mp.mpf) -> mp.mpf:
            x, z = feed + r * mp.sin(angle), -r * mp.cos(angle)
            return (mp.sqrt(x * x + z * z) - r) / feed

        return float(_highest(gap, mp.mpf(0), top))


def arc_centre_feed(feed_rate: float, diameter: float, arc_diameter: float, inside: bool) -> float:
    """Return the feed rate of the centre that moves the contact at `feed_rate` along the arc: kinematics.

    The finished arc is walked by the contact; the centre stands a cutter radius off it along the normal;
    both speeds are chord lengths over a step of 1e-20 turns in 50 digits.
    """
    with mp.workdps(DIGITS):
        step = mp.mpf(10) ** -20

        def pair(turn: mp.mpf) -> tuple[mp.mpc, mp.mpc]:
            outward = mp.expj(2 * mp.pi * turn)
            contact = mp.mpf(arc_diameter) / 2 * outward
            off = -outward if inside else outward
            return contact, contact + mp.mpf(diameter) / 2 * off

        one, two = pair(mp.mpf("0.1")), pair(mp.mpf("0.1") + step)
        return float(mp.mpf(feed_rate) * abs(two[1] - one[1]) / abs(two[0] - one[0]))


def arc_engagement(diameter: float, radial_width: float, arc_diameter: float, inside: bool) -> float:
    """Return the angle of the rim in stock on an arc: the rim walked until it leaves the ring of stock.

    Bracketed root, 1e-12 rad.  180 deg where the rim never leaves the ring.
    """
    radius, arc = 0.5 * diameter, 0.5 * arc_diameter
    sign = -1.0 if inside else 1.0
    centre = arc + sign * radius
    limit = arc + sign * radial_width

    def leave(angle: float) -> float:
        # from the contact round the rim; the contact faces the finished arc
        point = centre - sign * radius * complex(math.cos(angle), math.sin(angle))
        return sign * (abs(point) - limit)

    if leave(math.pi) <= 0:
        return 180.0
    return math.degrees(brentq(leave, 0.0, math.pi, xtol=1e-15, rtol=1e-14))


def straight_width_for(diameter: float, angle: float) -> float:
    """Return the straight radial width with that engaged angle, by a root of the length integral (1e-10)."""
    if angle >= 180.0:
        return diameter
    return brentq(lambda w: side_engagement(diameter, w) - angle, 1e-9 * diameter, diameter * (1 - 1e-15), xtol=1e-13)
