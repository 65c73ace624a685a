"""Cutters of any form by other means: the support function of a convex body of revolution, and bisection.

A profile is a list of ("line", start, end) and ("arc", start, end, centre), points as (height, radius); an endless
cylinder of the last radius follows.  Nothing is taken from the library: the shadow that the tool casts along the feed
is what lies below all its supporting lines, so how far it reaches at a height is a least over their directions.
Derived; good to about 1e-11 mm.
"""

import math

import numpy as np
from scipy.optimize import brentq


def axis(lead, tilt):
    """Components of the axis: along the feed, across it, along the normal."""
    lead, tilt = math.radians(lead), math.radians(tilt)
    return math.sin(lead), math.cos(lead) * math.sin(tilt), math.cos(lead) * math.cos(tilt)


def least(function, low, high, grid=200):
    """Least value of a function of an array between two ends: a grid, and again between the neighbours of its best."""
    best = math.inf
    for _ in range(8):
        at = np.linspace(low, high, grid)
        values = function(at)
        place = int(np.nanargmin(values))
        best = min(best, float(values[place]))
        low, high = at[max(place - 1, 0)], at[min(place + 1, grid - 1)]
    return best


class Body:
    """A leaned cutter and its shadow along the feed, placed so that it touches the plane at the origin."""

    def __init__(self, pieces, lead, tilt):
        self.pieces = pieces
        self.axis = axis(lead, tilt)
        self.top, self.radius = pieces[-1][2]
        self.sink = self._support(-self.axis[2])
        self.touch = self._touching()

    def _support(self, along):
        """Greatest z*a + r*sqrt(1 - a^2) over the profile: how far the body reaches where a = direction . axis."""
        along = np.asarray(along, dtype=float)
        square = np.sqrt(np.maximum(1.0 - along * along, 0.0))
        found = np.full(along.shape, -np.inf)
        for piece in self.pieces:
            for height, radius in piece[1:3]:
                found = np.maximum(found, height * along + radius * square)
            if piece[0] == "arc":
                start, end, centre = (np.array(p) for p in piece[1:4])
                rho = math.dist(start, centre)
                place = np.stack([centre[0] + rho * along, centre[1] + rho * square])
                inside = (place[0] >= start[0] - 1e-12) & (place[0] <= end[0] + 1e-12) & (place[1] >= -1e-12)
                inside &= place[1] >= min(start[1], end[1]) - 1e-12
                found = np.where(inside, np.maximum(found, centre[0] * along + centre[1] * square + rho), found)
        return np.where(along > 1e-15, np.inf, found)

    def _touching(self):
        """Across of the tip from the contact, from a central difference of the support function."""
        step = 1e-5
        values = [float(self.support(phi)) for phi in (-step, step)]
        return (values[1] - values[0]) / (2.0 * step)

    def support(self, phi):
        """How far the shadow reaches from the tip in the direction sin(phi) across, -cos(phi) up."""
        return self._support(np.sin(phi) * self.axis[1] - np.cos(phi) * self.axis[2])

    def bounds(self, phi):
        """The same from the contact: the point of the plane below which nothing lies."""
        return self.support(phi) - np.sin(phi) * self.touch - np.cos(phi) * self.sink

    def reach(self, up, side):
        """How far the shadow reaches across at a height, to the left (1) or the right (-1)."""

        def line(phi):
            return (self.bounds(side * phi) + np.cos(phi) * up) / np.sin(phi)

        return least(line, 1e-7, math.pi - 1e-7)

    def outside(self, across, up):
        """How far a point lies outside the shadow; negative inside."""
        return -least(lambda p: self.bounds(p) - np.sin(p) * across + np.cos(p) * up, -math.pi, math.pi, 800)


def scallop(body, stepover, radius=math.inf):
    """Height at which the shadows of neighbouring passes meet, both turned with the normal of a curved surface."""
    if math.isinf(radius):
        if body.reach(1e-12, 1) + body.reach(1e-12, -1) >= stepover:
            return 0.0  # a straight piece touches, and covers the stepover
        return brentq(lambda h: body.reach(h, 1) + body.reach(h, -1) - stepover, 1e-12, 60.0, xtol=1e-14)

    def angle(height, side):
        """Angle at the surface's centre up to which the shadow covers the circle of a height."""

        def clear(turn):
            across = side * (radius + height) * math.sin(turn)
            return body.outside(across, (radius + height) * math.cos(turn) - radius)

        sign = math.copysign(1.0, radius)
        return sign * brentq(lambda t: clear(sign * t), 1e-9, 1.2, xtol=1e-13)

    def missing(height):
        return radius * (angle(height, 1) + angle(height, -1)) - stepover

    return brentq(missing, 1e-6, 3.0, xtol=1e-12)


def scallop_fixed(pieces, lead, tilt, stepover, radius):
    """The same with the axis fixed in space; lead and tilt relative to the normal midway between the passes."""
    half = 0.5 * stepover / radius
    left, right = (Body(pieces, lead, tilt + math.degrees(turn)) for turn in (-half, half))
    # each body stands in the frame of its own contact; the ridge lies at an angle from the middle

    def covered(body, turn, place, height):
        """How far a point of the circle lies outside the body whose contact stands at an angle `turn`."""
        x, y = (radius + height) * math.sin(place - turn), (radius + height) * math.cos(place - turn) - radius
        return body.outside(x, y)

    def gap(height):
        """Angle between the ends of what the passes cover at a height, negative where they overlap."""
        sign = math.copysign(1.0, radius)
        ends = []
        for body, turn, way in ((right, -half, 1.0), (left, half, -1.0)):
            place = brentq(
                lambda t, b=body, u=turn, w=way: covered(b, u, u + sign * w * t, height), 1e-9, 1.2, xtol=1e-13
            )
            ends.append(turn + sign * way * place)
        return sign * (ends[1] - ends[0])

    return brentq(gap, 1e-6, 3.0, xtol=1e-12)
