"""Milling forces of any convex cutter of revolution at any lean, element by element, edges in their exact places.

Profiles and frames as in leaned_cut.py.  Forces act on the tool and are given in X (the feed made square to the axis),
Y = T x X and T (from tip to spindle).  Lengths mm (the eccentricity too), angles degrees, coefficients (Ktc, Krc, Kac)
N/mm^2, at a chip of 1 mm where the exponent is not zero, (Kte, Kre, Kae) N/mm, forces N, torque N m, power kW.

Nothing is taken from the library.  The thin-feed model: chip f_z (F . n) on the tool at rest, with runout the least
of the distances to the surfaces that the last z teeth left.  Each edge (and, for means, each ring) is cut into cells;
the places where it enters and leaves the cut are bisected, the rest is Gauss's rule on three points.  The pass before
is the convex shadow of the tool along the feed, from its supporting lines.  Derived; the error falls with the number
of cells and is stated beside every number of force_cases.toml.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from scipy.integrate import quad
from scipy.spatial import ConvexHull
from shapely import Polygon, box
from shapely.affinity import translate

from witness.leaned_cut import Cut, Local, Piece, ball, corner, flat, tapered_ball

__all__ = [
    "ball",
    "chip_volume_per_rev",
    "corner",
    "cylinder_average",
    "flat",
    "forces",
    "line_meets_tool",
    "mean_forces",
    "mean_power",
    "peak_forces",
    "removed_volume_per_rev",
    "tapered_ball",
]

CELLS = 400
ROWS_AT_ONCE = 1500
NODES, WEIGHTS = np.polynomial.legendre.leggauss(3)


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


class Rings:
    """Rings of one piece, a tooth each, and the angles at which they may dip below the stock plane."""

    def __init__(self, cut, piece, u, tooth, cells):
        self.cut, self.tooth, self.rings = cut, tooth, piece.at(u)
        reach = self.rings.radius * cut.steep
        over = cut.depth + cut.lowest - self.rings.height * cut.T[2]
        half = np.arccos(np.clip(-over / np.where(reach > 0, reach, 1.0), -1, 1))
        # a little wider, so that no rounding decides whether an end is in
        half = np.where(over >= reach, math.pi, np.minimum(half * (1 + 1e-7), math.pi))
        self.grid = math.atan2(-cut.Y[2], -cut.X[2]) + half[:, None] * _crowded(-1.0, 1.0, cells + 1)

    def _ask(self, question, row, theta):
        return question(Local(*(v[row] for v in self.rings)), theta, self.tooth[row])

    def loads(self):
        return _integral(
            lambda row, t: self._ask(self.cut.room, row, t), lambda row, t: self._ask(self.cut.load, row, t), self.grid
        )

    def ways(self):
        """Return for each ring what ends its arcs in the cut, in order."""
        rooms = np.stack(self._ask(self.cut.rooms, np.arange(len(self.grid))[:, None], self.grid))
        by, inside = rooms.argmin(axis=0), rooms.min(axis=0) > 0
        change = inside[:, 1:] != inside[:, :-1]
        ender = np.where(inside[:, 1:], by[:, :-1], by[:, 1:])
        return [tuple(e[c]) for e, c in zip(ender, change, strict=True)]


def _breaks(cut, piece, u0, u1, cells):
    """Return the places between which the arcs in the cut of every tooth's rings are ended by the same things."""
    places = {u0, u1}
    for tooth in range(cut.teeth if cut.eccentricity else 1):

        def ways(u, tooth=tooth):
            return Rings(cut, piece, u, np.full(u.size, tooth), cells).ways()

        u = _crowded(u0, u1, cells + 2)[1:-1]
        known = ways(u)
        change = [k for k in range(u.size - 1) if known[k] != known[k + 1]]
        low, high, before = u[change], u[[k + 1 for k in change]], [known[k] for k in change]
        for _ in range(40 if change else 0):
            mid = (low + high) / 2
            same = np.array([w == b for w, b in zip(ways(mid), before, strict=True)])
            low, high = np.where(same, mid, low), np.where(same, high, mid)
        places.update(low)
    return sorted(places)


def _rings(cut, cells):
    """Return the mean of the five loads over a revolution: every tooth passes every angle of every ring."""
    total = np.zeros(5)
    teeth = cut.teeth if cut.eccentricity else 1
    t, weight = np.polynomial.legendre.leggauss(max(cells // 10, 4))
    place, weight = (1 - np.cos(math.pi * (t + 1) / 2)) / 2, weight * math.pi / 4 * np.sin(math.pi * (t + 1) / 2)
    for piece, u0, u1 in cut.spans:
        for low, high in pairwise(_breaks(cut, piece, u0, u1, cells)):
            u, tooth = np.tile(low + (high - low) * place, teeth), np.repeat(range(teeth), t.size)
            rings = Rings(cut, piece, u, tooth, cells)
            total += piece.length * (high - low) * np.tile(weight, teeth) @ rings.loads()
    return total * cut.teeth / teeth / (2 * math.pi)


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
    cloud = np.concatenate(points)
    shadow = translate(Polygon(cloud[ConvexHull(cloud).vertices]), 0.0, -cut.lowest)
    wide = 10 * (cut.depth + cut.largest)
    section = shadow.intersection(box(-wide, -1.0, wide, cut.depth))
    if math.isfinite(cut.stepover):
        section = section.difference(translate(shadow, -cut.side * cut.stepover, 0.0))
    return section.area * cut.feed * cut.teeth


def line_meets_tool(pieces, lead, tilt, across, height, samples=4001):
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
