"""A convex cutter of revolution, leaned and set on a plane: which places of its edges cut, how thick, with what load.

A profile is a list of ("line", start, end) and ("arc", start, end, centre), points as (height, radius) from the tip
upward; an endless cylinder of the last radius follows.  Frame (F, C, N) = feed, left of the feed, outward normal; the
tool touches N = 0 from above.  T is the axis from tip to spindle, X the feed made square to it, Y = T x X; angles
about the axis count from X toward Y.  Lengths mm, angles of the callers degrees.  Nothing is taken from the library.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

DIRECTIONS = 40001  # supporting lines of half a shadow: off by R/8 (pi/2/40000)^2, about 2e-10 R


def flat(diameter):
    """Return the profile of a square end."""
    return [("line", (0.0, 0.0), (0.0, diameter / 2))]


def corner(diameter, corner_radius):
    """Return the profile of a flat end with a rounded edge; a ball where the rounding is half the diameter."""
    R, c = diameter / 2, corner_radius
    bottom = [("line", (0.0, 0.0), (0.0, R - c))] if c < R else []
    return [*bottom, ("arc", (0.0, R - c), (c, R), (c, R - c))]


def ball(diameter):
    """Return the profile of a half ball."""
    return corner(diameter, diameter / 2)


def tapered_ball(tip_diameter, half_angle, diameter):
    """Return the profile of a ball tip tangent to a cone that ends at the cylinder."""
    t, a = tip_diameter / 2, math.radians(half_angle)
    join = (t - t * math.sin(a), t * math.cos(a))
    top = (join[0] + (diameter / 2 - join[1]) / math.tan(a), diameter / 2)
    return [("arc", (0.0, 0.0), join, (t, 0.0)), ("line", join, top)]


class Local(NamedTuple):
    """Points of the profile: height, radius, sine and cosine of the angle from straight down the axis to the normal."""

    height: np.ndarray
    radius: np.ndarray
    sine: np.ndarray
    cosine: np.ndarray


class Piece:
    """One smooth piece of the profile over u in [0, 1], u in proportion to the length."""

    def __init__(self, kind, start, end, centre=None):
        self.start, self.end, self.centre = start, end, centre
        (h0, r0), (h1, r1) = start, end
        if kind == "arc":
            self.size = math.dist(start, centre)
            self.low = math.atan2(r0 - centre[1], centre[0] - h0)
            self.high = math.atan2(r1 - centre[1], centre[0] - h1)
            self.length = self.size * (self.high - self.low)
        else:
            self.length = math.dist(start, end)

    def at(self, u) -> Local:
        (h0, r0), (h1, r1) = self.start, self.end
        if self.centre is None:
            still = 0 * u
            sine, cosine = (h1 - h0) / self.length, (r1 - r0) / self.length
            return Local(h0 + u * (h1 - h0), r0 + u * (r1 - r0), sine + still, cosine + still)
        kappa = self.low + u * (self.high - self.low)
        sine, cosine = np.sin(kappa), np.cos(kappa)
        return Local(self.centre[0] - self.size * cosine, self.centre[1] + self.size * sine, sine, cosine)

    def supports(self, down, out):
        """Return candidates (height, radius) that may reach farthest along -down T + out e_r."""
        ends = [(np.full_like(down, h), np.full_like(down, r)) for h, r in (self.start, self.end)]
        if self.centre is None:
            return ends
        kappa = np.clip(np.arctan2(out, down), self.low, self.high)
        found = self.at((kappa - self.low) / (self.high - self.low))
        return [*ends, (found.height, found.radius)]


class Cut:
    """A cutter leaned and set on the plane, its shadow along the feed, and what of it cuts."""

    def __init__(self, pieces, teeth, helix, eccentricity, coefficients, exponent, feed, depth, lead=0.0, tilt=0.0,
                 stepover=math.inf, uncut_side="left"):  # fmt: skip
        self.teeth, self.eccentricity, self.feed, self.depth = teeth, eccentricity, feed, depth
        self.coefficients, self.exponent, self.stepover = coefficients, exponent, stepover
        self.side = {"left": 1.0, "right": -1.0}[uncut_side]
        a, b = math.radians(lead), math.radians(tilt)
        self.T = np.array([math.sin(a), math.cos(a) * math.sin(b), math.cos(a) * math.cos(b)])
        square = np.array([1.0, 0.0, 0.0]) - self.T[0] * self.T
        self.X = square / np.linalg.norm(square)
        self.Y = np.cross(self.T, self.X)
        self.steep = math.hypot(self.T[0], self.T[1])
        self.pieces = [Piece(*p) for p in pieces]
        last, R = self.pieces[-1].end
        self.largest = max(p.end[1] for p in self.pieces)
        self.turn = math.tan(math.radians(helix)) / self.largest
        self.lowest = self._lowest()
        top = (depth + self.lowest + R * self.steep) / self.T[2]
        self.spans = []
        cylinder = [Piece("line", (last, R), (top, R))] if top > last else []
        for piece in [*self.pieces, *cylinder]:
            self.spans += [(piece, *ends) for ends in [self._span(piece)] if ends]
        self.shadow = None if math.isinf(stepover) else self._shadow(self.side)

    def _lowest(self):
        down, out = np.array([self.T[2]]), np.array([self.steep])
        return min(float((h * down - r * out)[0]) for p in self.pieces for h, r in p.supports(down, out))

    def _span(self, piece):
        """Return the part of the piece whose rings dip below the stock plane, None if there is none."""

        def below(u):
            at = piece.at(u)
            return at.height * self.T[2] - at.radius * self.steep - self.lowest < self.depth

        u = np.linspace(0.0, 1.0, 20001)
        dips = np.flatnonzero(below(u))
        if not dips.size:
            return None
        ends = []
        for inner, outer in ((dips[0], dips[0] - 1), (dips[-1], dips[-1] + 1)):
            good = float(u[inner])
            bad = float(u[outer]) if 0 <= outer < u.size else good
            for _ in range(50):
                mid = (good + bad) / 2
                good, bad = (mid, bad) if below(np.float64(mid)) else (good, mid)
            ends.append(good)
        return tuple(ends) if ends[1] > ends[0] else None

    def _shadow(self, side):
        """Return heights N and the reach toward `side` across the feed at these heights, by supporting lines."""
        T = self.T
        last = math.atan2(-side * T[1], T[2])  # square to the axis, the cylinder lies along this supporting line
        # seen almost edge on, a disc is a thin ellipse that turns within the lead: directions crowd square to it
        thin, near = math.atan2(-T[2], -side * T[1]), np.geomspace(1e-10, math.pi, DIRECTIONS // 2)
        a = np.concatenate([np.linspace(-math.pi / 2, last, DIRECTIONS), thin - near, thin + near])
        a = np.unique(np.clip(a, -math.pi / 2, last))
        u = np.array([0 * a, side * np.cos(a), np.sin(a)])
        down = np.maximum(-(T @ u), 0.0)
        across = u + down * T[:, None]
        out = np.linalg.norm(across, axis=0)
        found = [candidate for p in self.pieces for candidate in p.supports(down, out)]
        h, r = (np.array([f[k] for f in found]) for k in (0, 1))
        best = (r * out - h * down).argmax(axis=0), np.arange(a.size)
        point = h[best] * T[:, None] + r[best] * across / np.where(out > 0, out, 1.0)
        far = point[:, -1:] + 1000 * (self.depth + self.largest) * T[:, None]
        point = np.hstack([point, far])
        return np.maximum.accumulate(point[2] - self.lowest), side * point[1]

    def lag(self, at):
        return at.height * self.turn

    def chip(self, at, theta, tooth):
        """Return the chip thickness of a tooth; not above zero where it does not cut."""
        facing = at.sine * (self.X[0] * np.cos(theta) + self.Y[0] * np.sin(theta)) - at.cosine * self.T[0]
        if self.eccentricity == 0:
            return self.feed * facing
        pitch, lag = 2 * math.pi / self.teeth, self.lag(at)
        own = np.cos(pitch * tooth + lag)
        gaps = [
            m * self.feed * facing + self.eccentricity * (own - np.cos(pitch * (tooth - m) + lag)) * at.sine
            for m in range(1, self.teeth)
        ]
        return np.minimum.reduce([*gaps, self.teeth * self.feed * facing])

    def rooms(self, at, theta, tooth):
        """Return three numbers, all above zero where a point of an edge is in the cut: chip, stock, pass before."""
        c, s = np.cos(theta), np.sin(theta)
        across, height = (at.height * self.T[k] + at.radius * (c * self.X[k] + s * self.Y[k]) for k in (1, 2))
        height = height - self.lowest
        chip = self.chip(at, theta, tooth) / self.feed
        if self.shadow is None:
            return chip, self.depth - height, np.full_like(height, math.inf)
        # the tool nowhere reaches beyond the far flank of the pass before, so the near flank alone decides
        return chip, self.depth - height, self.side * across + self.stepover - np.interp(height, *self.shadow)

    def room(self, at, theta, tooth):
        return np.minimum.reduce(self.rooms(at, theta, tooth))

    def load(self, at, theta, tooth):
        """Return X, Y, T (N), torque (N m) and the chip (mm^2), each on a mm of the profile."""
        tc, rc, ac, te, re, ae = self.coefficients
        chip = np.maximum(self.chip(at, theta, tooth), 0.0)
        drawn = chip ** (1 - self.exponent)
        edge = np.sqrt(1 + (at.radius * self.turn * at.sine) ** 2)
        along, inward, up = tc * drawn + te * edge, rc * drawn + re * edge, ac * drawn + ae * edge
        c, s = np.cos(theta), np.sin(theta)
        toward_axis = inward * at.sine + up * at.cosine
        return (
            -along * s - toward_axis * c,
            along * c - toward_axis * s,
            inward * at.cosine - up * at.sine,
            along * at.radius / 1000,
            chip,
        )
