"""Stairs from the process alone, with polygons: levels are milled one after the other and what stands is measured.

A hill is a polygon: a plane slope, or a quarter round that runs on straight past level and upright.  The outline of a
cutter is a chain of points; at each level it is pushed against the hill from outside until one of its points touches,
then the level is cleared outward.  Lengths mm, angles degrees; close to 1e-6 of the size with 4000 points.
"""

from __future__ import annotations

import math

import numpy as np
from shapely.geometry import LineString, Polygon
from shapely.ops import clip_by_rect, unary_union

POINTS = 4_000


def outline(pieces, endless=True, top=400.0):
    """Points (height, radius) of a half-profile; pieces as of witness.revolved, or those of a profile."""
    chain = []
    for piece in pieces:
        kind, *points = _described(piece)
        (z0, r0), (z1, r1) = points[:2]
        if kind == "line":
            share = np.linspace(0.0, 1.0, POINTS)
            chain += list(zip(z0 + share * (z1 - z0), r0 + share * (r1 - r0), strict=True))
            continue
        zc, rc = points[2]
        rho = math.hypot(z0 - zc, r0 - rc)
        first, last = math.atan2(r0 - rc, zc - z0), math.atan2(r1 - rc, zc - z1)
        turn = np.linspace(first, last, POINTS)
        chain += list(zip(zc - rho * np.cos(turn), rc + rho * np.sin(turn), strict=True))
    if endless:
        chain.append((top, chain[-1][1]))
    return np.array(chain)


def _described(piece):
    if not isinstance(piece, tuple):
        centre = getattr(piece, "centre", None)
        piece = ("line", piece.start, piece.end) if centre is None else ("arc", piece.start, piece.end, centre)
    return piece[0], *(tuple(map(float, p)) for p in piece[1:])


class Hill:
    """A slope: a plane through the origin, or a quarter of a circle about the origin and its straight ends."""

    def __init__(self, slope, surface_radius=math.inf):
        self.slope, self.radius = math.radians(slope), surface_radius

    def outward(self, z):
        """How far out the hill lies at heights; -inf above the top of a round, +inf below the floor of a hollow."""
        if math.isinf(self.radius):
            return -z / math.tan(self.slope)
        rho = abs(self.radius)
        if self.radius > 0:
            side = np.sqrt(np.maximum(rho**2 - np.maximum(z, 0.0) ** 2, 0.0))
            return np.where(z > rho, -np.inf, side)
        side = -np.sqrt(np.maximum(rho**2 - np.minimum(z, 0.0) ** 2, 0.0))
        return np.where(z < -rho, np.inf, side)

    def foot(self):
        """Point of the surface with the stated slope."""
        if math.isinf(self.radius):
            return 0.0, 0.0
        return self.radius * math.sin(self.slope), self.radius * math.cos(self.slope)

    def distance(self, x, z):
        """Distance of points from the surface."""
        if math.isinf(self.radius):
            return x * math.sin(self.slope) + z * math.cos(self.slope)
        if self.radius > 0:
            return np.hypot(np.maximum(x, 0.0), np.maximum(z, 0.0)) - self.radius
        return -self.radius - np.hypot(np.minimum(x, 0.0), np.minimum(z, 0.0))

    def polygon(self, low, high, inward):
        """The hill between two heights as a polygon, dense on its surface."""
        z = np.linspace(low, high, 40 * POINTS + 1)
        x = self.outward(z)
        keep = np.isfinite(x)
        z, x = z[keep], x[keep]
        back = min(inward, float(x.min()) - 1.0)
        return Polygon([(back, z[0]), *zip(x, z, strict=True), (back, z[-1])])


def stand(chain, hill, tip):
    """Place of the axis at a level: pushed inward until a point of the outline touches."""
    touching = hill.outward(tip + chain[:, 0]) + chain[:, 1]
    return float(touching.max())


def upper_tip(chain, hill):
    """Height of the tip when the cutter touches where the slope is the stated one: the hill's tangent supports it."""
    sine, cosine = math.sin(hill.slope), math.cos(hill.slope)
    supported = chain[:, 1] * sine - chain[:, 0] * cosine
    # of a straight piece its lower end, as of the cylinder
    return hill.foot()[1] - float(chain[np.argmax(supported >= supported.max() - 1e-12), 0])


def level(chain, x, tip, far):
    """What a level clears: the outline at its place and all outward from it."""
    rim = np.column_stack([x - chain[:, 1], tip + chain[:, 0]])
    return Polygon(np.concatenate([rim, [(far, rim[-1, 1]), (far, tip), (x, tip)]]))


def stair(chain, slope, step_down, surface_radius=math.inf, levels=2):
    """Return thickness and area of the stair between the level that touches at the slope and the next one below.

    Levels above and below are milled too.  A hollow is milled down to its floor at most.
    """
    hill = Hill(slope, surface_radius)
    tip = upper_tip(chain, hill)
    lowest = -abs(surface_radius) if surface_radius < 0 else -math.inf
    tips = [max(tip - k * step_down, lowest) for k in range(-levels, levels + 2)]
    tips = [t for k, t in enumerate(tips) if k == 0 or t < tips[k - 1]]
    places = [(stand(chain, hill, t), t) for t in tips]
    finite = [p for p in places if math.isfinite(p[0])]
    touch, below = places[levels], places[levels + 1]
    contact, lower = (_contact(chain, hill, *p) for p in (touch, below))
    far = max(x for x, _ in finite) + 10.0 * chain[:, 1].max()
    # the stretch of surface between the contacts, seen along the normal
    window = _window(hill, contact, lower, far=20.0 * chain[:, 1].max())
    x0, z0, x1, z1 = window.bounds
    around = (x0 - 1.0, z0 - 1.0, x1 + 1.0, z1 + 1.0)  # what is cleared elsewhere only costs time
    left = window.difference(unary_union([clip_by_rect(level(chain, x, t, far), *around) for x, t in finite]))
    pieces = [p for p in getattr(left, "geoms", [left]) if p.area > 0.0]
    if not pieces:
        return 0.0, 0.0, _length(hill, contact, lower)
    # what no level reaches is above the window's stair, beyond a gap
    standing = [p for p in pieces if np.min(hill.distance(*_points(p))) < 1e-5]
    if not standing:
        return 0.0, 0.0, _length(hill, contact, lower)
    points = np.concatenate([np.stack(_points(p)) for p in standing], axis=1)
    return float(hill.distance(*points).max()), sum(p.area for p in standing), _length(hill, contact, lower)


def _points(polygon):
    return np.array(polygon.segmentize(0.02).exterior.coords).T


def _contact(chain, hill, x, tip):
    gap = x - chain[:, 1] - hill.outward(tip + chain[:, 0])
    best = np.argmax(gap <= gap.min() + 1e-12)
    return float(x - chain[best, 1]), float(tip + chain[best, 0])


def _window(hill, upper, lower, far):
    """What lies over the surface between two of its points: a strip, or a sector with its straight end."""
    if math.isinf(hill.radius):
        normal = np.array([math.sin(hill.slope), math.cos(hill.slope)])
        a, b = np.array(upper), np.array(lower)
        return Polygon(np.array([a, b, b + far * normal, a + far * normal]))
    z = np.linspace(lower[1], upper[1], 2001)
    rim = np.column_stack([hill.outward(z), z])
    if hill.radius < 0:
        end = (min(upper[0], 0.0), 0.0) if upper[1] >= 0.0 else (0.0, 0.0)
        return Polygon(np.concatenate([rim, [end, (0.0, 0.0)]])).buffer(0)
    size = np.hypot(rim[:, 0], np.maximum(rim[:, 1], 0.0))[:, None]
    normal = np.column_stack([rim[:, 0], np.maximum(rim[:, 1], 0.0)]) / size
    return Polygon(np.concatenate([rim, (rim + far * normal)[::-1]])).buffer(0)


def _length(hill, upper, lower):
    z = np.linspace(lower[1], upper[1], 4 * POINTS + 1)
    return LineString(np.column_stack([hill.outward(z), z])).length
