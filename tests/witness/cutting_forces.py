"""Milling forces of any convex cutter of revolution at any lean, element by element, edges in their exact places.

A profile is a list of ("line", start, end) and ("arc", start, end, centre), points as (height, radius) from the tip
upward; an endless cylinder of the last radius follows.  Frame (F, C, N) = feed, left of the feed, outward normal; the
tool touches N = 0 from above.  Forces act on the tool and are given in X (the feed made square to the axis), Y = T x X
and T (from tip to spindle).  Lengths mm (the eccentricity too), angles degrees, coefficients (Ktc, Krc, Kac) N/mm^2 at
a chip of 1 mm where the exponent is not zero, (Kte, Kre, Kae) N/mm, forces N, torque N m, power kW.

Nothing is taken from the library.  The thin-feed model: chip f_z (F . n) on the tool at rest, with runout the least
of the distances to the surfaces that the last z teeth left.  Each edge (and, for means, each ring) is cut into cells;
the places where it enters and leaves the cut are bisected, the rest is Gauss's rule on three points.  The pass before
is the convex shadow of the tool along the feed, from its supporting lines.  Derived; the error falls with the number
of cells and is stated beside every number of force_cases.toml.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from scipy.integrate import quad
from shapely import MultiPoint, box
from shapely.affinity import translate

CELLS = 400
DIRECTIONS = 40001  # supporting lines of half a shadow: off by R/8 (pi/2/40000)^2, about 2e-10 R
ROWS_AT_ONCE = 1500
NODES, WEIGHTS = np.polynomial.legendre.leggauss(3)


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
        a = np.linspace(-math.pi / 2, last, DIRECTIONS)
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

    def room(self, at, theta, tooth):
        """Return a number above zero where a point of an edge is in the cut."""
        c, s = np.cos(theta), np.sin(theta)
        across, height = (at.height * self.T[k] + at.radius * (c * self.X[k] + s * self.Y[k]) for k in (1, 2))
        height = height - self.lowest
        room = np.minimum(self.chip(at, theta, tooth) / self.feed, self.depth - height)
        if self.shadow is None:
            return room
        # the tool nowhere reaches beyond the far flank of the pass before, so the near flank alone decides
        return np.minimum(room, self.side * across + self.stepover - np.interp(height, *self.shadow))

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


def _inside(room, edges):
    """Return row, start and end of the part of every cell that is in the cut, its boundary bisected."""
    inside = room(np.arange(len(edges))[:, None], edges) > 0
    row, cell = np.nonzero(inside[:, :-1] | inside[:, 1:])
    first, second = edges[row, cell], edges[row, cell + 1]
    starts, stops = inside[row, cell], inside[row, cell + 1]
    crossed = starts != stops
    good, bad = np.where(starts, first, second)[crossed], np.where(starts, second, first)[crossed]
    for _ in range(44):
        mid = (good + bad) / 2
        yes = room(row[crossed], mid) > 0
        good, bad = np.where(yes, mid, good), np.where(yes, bad, mid)
    low, high = first.copy(), second.copy()
    low[crossed] = np.where(starts[crossed], low[crossed], good)
    high[crossed] = np.where(starts[crossed], good, high[crossed])
    return row, low, high


def _integral(room, load, edges):
    """Return the integral of the loads over what is in the cut, a row each, five columns."""
    row, low, high = _inside(room, edges)
    half = (high - low) / 2
    place = ((low + high) / 2)[:, None] + half[:, None] * NODES
    values = load(row[:, None], place)
    return np.stack([np.bincount(row, (v @ WEIGHTS) * half, len(edges)) for v in values], axis=1)


def _crowded(low, high, count):
    """Return places from low to high that crowd at both ends, where the cut begins and ends like a square root."""
    return low + (high - low) * (1 - np.cos(np.pi * np.linspace(0.0, 1.0, count))) / 2


def _edges(cut, angles, cells):
    """Return the five loads at each rotation angle."""
    angle, tooth = (v.ravel() for v in np.meshgrid(np.radians(angles), np.arange(cut.teeth), indexing="ij"))
    total = np.zeros((angle.size, 5))
    for piece, u0, u1 in cut.spans:
        for begin in range(0, angle.size, ROWS_AT_ONCE):
            part = slice(begin, begin + ROWS_AT_ONCE)
            start, who = 2 * math.pi / cut.teeth * tooth[part] - angle[part], tooth[part]

            def ask(question, row, u, piece=piece, start=start, who=who):
                at = piece.at(u)
                return question(at, start[row] + cut.lag(at), who[row])

            grid = np.tile(_crowded(u0, u1, cells + 1), (who.size, 1))
            total[part] += piece.length * _integral(
                lambda row, u, ask=ask: ask(cut.room, row, u), lambda row, u, ask=ask: ask(cut.load, row, u), grid
            )
    return total.reshape(len(angles), cut.teeth, 5).sum(axis=1)


def _rings(cut, cells):
    """Return the mean of the five loads over a revolution: every tooth passes every angle of every ring."""
    total = np.zeros(5)
    lowest_side = math.atan2(-cut.Y[2], -cut.X[2])
    for piece, u0, u1 in cut.spans:
        walls = _crowded(u0, u1, cells + 1)
        u = np.repeat((walls[:-1] + walls[1:]) / 2, cut.teeth)
        share = np.repeat(np.diff(walls), cut.teeth) * piece.length / (2 * math.pi)
        tooth = np.tile(np.arange(cut.teeth), cells)
        rings = piece.at(u)
        reach = rings.radius * cut.steep
        over = cut.depth + cut.lowest - rings.height * cut.T[2]
        half = np.where(over >= reach, math.pi, np.arccos(np.clip(-over / np.where(reach > 0, reach, 1.0), -1, 1)))
        for begin in range(0, u.size, ROWS_AT_ONCE):
            part = slice(begin, begin + ROWS_AT_ONCE)
            ring, who = Local(*(v[part] for v in rings)), tooth[part]

            def ask(question, row, theta, ring=ring, who=who):
                return question(Local(*(v[row] for v in ring)), theta, who[row])

            grid = lowest_side + half[part, None] * _crowded(-1.0, 1.0, cells + 1)
            total += share[part] @ _integral(
                lambda row, t, ask=ask: ask(cut.room, row, t), lambda row, t, ask=ask: ask(cut.load, row, t), grid
            )
    return total


def forces(pieces, teeth, helix, eccentricity, coefficients, exponent, feed, depth, lead, tilt, stepover, uncut_side,
           angles, cells=CELLS):  # fmt: skip
    """Return forces on the tool (angles, 3) in X, Y, T, N, and the torque to drive it (angles,), N m.

    At the rotation angle 0 the tip of tooth 0 points along X; rotation lowers its angle, counted from X toward Y.
    """
    cut = Cut(pieces, teeth, helix, eccentricity, coefficients, exponent, feed, depth, lead, tilt, stepover, uncut_side)
    found = _edges(cut, np.atleast_1d(np.asarray(angles, float)), cells)
    return found[:, :3], found[:, 3]


def mean_forces(*setting, cells=CELLS):
    """Return the mean over a revolution: forces (3,) in X, Y, T and the torque; arguments of `forces`, no angles."""
    found = _rings(Cut(*setting), cells)
    return found[:3], float(found[3])


def mean_power(*setting, spindle_speed, cells=CELLS):
    """Return the mean cutting power, kW, at a spindle speed in rev/min."""
    return mean_forces(*setting, cells=cells)[1] * 2 * math.pi * spindle_speed / 60000


def peak_forces(*setting, cells=CELLS, steps=360):
    """Return the largest resultant and the largest bending force (X and Y together) of a revolution, N.

    Rotation in `steps` a pitch, the four highest places of each then searched in steps a thousand times finer.
    Where a whole edge enters at once, the limit from the side that cuts counts.
    """
    cut = Cut(*setting)
    turn = 360.0 if cut.eccentricity else 360.0 / cut.teeth
    count = round(turn * cut.teeth / 360 * steps)
    step, answers = turn / count, []
    coarse = np.arange(count) * step
    seen = _edges(cut, coarse, cells)
    for width in (3, 2):
        values = np.linalg.norm(seen[:, :width], axis=1)
        best = float(values.max())
        tops = np.flatnonzero((values >= np.roll(values, 1)) & (values >= np.roll(values, -1)))
        for top in tops[np.argsort(values[tops])[-4:]]:
            centre, span = coarse[top], step
            for _ in range(3):
                fine = centre + span * np.linspace(-1, 1, 21)
                near = np.linalg.norm(_edges(cut, fine, cells)[:, :width], axis=1)
                best, centre, span = max(best, float(near.max())), fine[near.argmax()], span / 10
        answers.append(best)
    return tuple(answers)


def chip_volume_per_rev(*setting, cells=CELLS):
    """Return the volume of the chips of a revolution, mm^3: chip times area of the surface that cuts, summed."""
    cut = Cut(*setting)
    cut.coefficients, cut.exponent = (1000.0, 0, 0, 0, 0, 0), 0.0  # torque, N m, is then chip times radius, mm^3
    return 2 * math.pi * _rings(cut, cells)[3]


def removed_volume_per_rev(*setting, rings=400, corners=1440):
    """Return the volume taken off in a revolution, mm^3: the stock between two shadows, times the feed.

    The shadow along the feed is the hull of projected rings, polygons with `corners` in the body: it is too small by
    about R/2 (pi/corners)^2 all round.
    """
    cut = Cut(*setting)
    last, R = cut.pieces[-1].end
    top = Piece("line", (last, R), (last + 10 * (cut.depth + cut.largest) / cut.T[2], R))
    points = []
    for piece, count in [*((p, rings) for p in cut.pieces), (top, 2)]:
        at = piece.at(np.linspace(0.0, 1.0, count)[:, None])
        theta = 2 * math.pi * np.arange(corners) / corners
        c, s = np.cos(theta), np.sin(theta)
        place = [at.height * cut.T[k] + at.radius * (c * cut.X[k] + s * cut.Y[k]) for k in (1, 2)]
        points.append(np.stack([v.ravel() for v in place], axis=1))
    shadow = translate(MultiPoint(np.concatenate(points)).convex_hull, 0.0, -cut.lowest)
    wide = 10 * (cut.depth + cut.largest)
    section = shadow.intersection(box(-wide, -1.0, wide, cut.depth))
    if math.isfinite(cut.stepover):
        section = section.difference(translate(shadow, -cut.side * cut.stepover, 0.0))
    return section.area * cut.feed * cut.teeth


def line_meets_tool(pieces, lead, tilt, across, height, samples=20001):
    """Tell whether the line along the feed at that place meets the tool: the line walked, radius against height.

    The solid is asked itself: the least of (distance from the axis - radius there), searched and searched again.
    """
    cut = Cut(pieces, 1, 0.0, 0.0, (1,) * 6, 0.0, 1.0, 1.0, lead, tilt)
    shape = [p.at(np.linspace(0.0, 1.0, 4001)) for p in cut.pieces]
    h, r = (np.concatenate([getattr(at, name) for at in shape]) for name in ("height", "radius"))
    centre, span = 0.0, 4 * (cut.largest + abs(across) + height)
    least = math.inf
    for _ in range(3):
        along = centre + span * np.linspace(-1, 1, samples)
        point = np.stack([along, np.full(samples, across), np.full(samples, height + cut.lowest)])
        up = cut.T @ point
        beside = np.linalg.norm(point - up * cut.T[:, None], axis=0)
        outside = np.maximum(beside - np.interp(up, h, r), -up)
        least, centre, span = min(least, outside.min()), along[outside.argmin()], span / 1000
    return least < 0


def cylinder_average(diameter, teeth, helix, coefficients, exponent, feed, axial_depth, radial_width, uncut_side):
    """Return mean X, Y, T (N) and torque (N m) of an upright square end that cuts with its side, by quadrature."""
    tc, rc, ac, te, re, ae = coefficients
    edge = 1 / math.cos(math.radians(helix))
    inner = math.asin(1 - 2 * radial_width / diameter)
    sign = {"left": 1, "right": -1}[uncut_side]
    low, high = sorted((sign * inner, sign * math.pi / 2))

    def load(theta, which):
        h = max(feed * math.cos(theta), 0.0) ** (1 - exponent)
        along, inward, up = tc * h + te * edge, rc * h + re * edge, ac * h + ae * edge
        c, s = math.cos(theta), math.sin(theta)
        return (-along * s - inward * c, along * c - inward * s, -up, along * diameter / 2000)[which]

    middles = sorted({low, high, *(m for m in (0.0,) if low < m < high)})
    turns = teeth * axial_depth / (2 * math.pi)
    means = [turns * sum(quad(load, a, b, args=(k,), epsabs=1e-12)[0] for a, b in pairwise(middles)) for k in range(4)]
    return np.array(means[:3]), means[3]
