"""Check values for any convex cutter of revolution: scallop, gouge and roughness from the outline of its shadow.

Seen along the feed the tilt only turns the shadow in its own plane, so one symmetric half outline per lead is enough.
The half outline is ordered by the angle k of its outward direction from "down the axis"; the angle psi of the same
direction in the meridian plane follows from cos(psi) = cos(lead) cos(k).  Straight pieces of the profile are straight
in the outline, sharp edges give arcs of an ellipse.  Two neighbouring outlines are crossed by polygons, then by Newton
steps at forty-five digits.  Points are complex: across + i * normal.  Lengths mm, angles degrees; values are derived.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from mpmath import mp, mpf

DIGITS = 30
GUARD = 15
TINY = 1e-12


def flat(D):
    """A square end: one line, then the cylinder."""
    return [("line", (mpf(0), mpf(0)), (mpf(0), mpf(D) / 2))]


def ball(D):
    """A half ball."""
    return corner(D, mpf(D) / 2)


def corner(D, rc):
    """A flat end with a rounded edge."""
    R, c = mpf(D) / 2, mpf(rc)
    start = (mpf(0), R - c)
    bottom = [("line", (mpf(0), mpf(0)), start)] if start[1] > 0 else []
    return [*bottom, ("arc", start, (c, R), (c, R - c))]


def round_insert(D, insert_diameter):
    """Round inserts around a body; D is the largest diameter."""
    return corner(D, mpf(insert_diameter) / 2)


def tapered_ball(tip_diameter, half_angle, D):
    """A ball tip tangent to a cone, the cone ending at the cylinder."""
    with mp.workdps(DIGITS + GUARD):
        t, a, R = mpf(tip_diameter) / 2, mp.radians(mpf(half_angle)), mpf(D) / 2
        join = (t * (1 - mp.sin(a)), t * mp.cos(a))
        top = (join[0] + (R - join[1]) / mp.tan(a), R)
        return [("arc", (mpf(0), mpf(0)), join, (t, mpf(0))), ("line", join, top)]


def oval(D, tip_radius, segment_radius):
    """A ball tip tangent to a large segment that is tangent to the cylinder."""
    with mp.workdps(DIGITS + GUARD):
        R, t, S = mpf(D) / 2, mpf(tip_radius), mpf(segment_radius)
        centre = (t + mp.sqrt((S - t) ** 2 - (S - R) ** 2), R - S)
        k = S / (S - t)
        join = (centre[0] + (t - centre[0]) * k, centre[1] * (1 - k))
        return [("arc", (mpf(0), mpf(0)), join, (t, mpf(0))), ("arc", join, (centre[0], R), centre)]


def lens(D, segment_radius, corner_radius):
    """A large segment about the axis tangent to a rounded edge."""
    with mp.workdps(DIGITS + GUARD):
        R, S, c = mpf(D) / 2, mpf(segment_radius), mpf(corner_radius)
        edge = (S - mp.sqrt((S - c) ** 2 - (R - c) ** 2), R - c)
        k = S / (S - c)
        join = (S + (edge[0] - S) * k, edge[1] * k)
        return [("arc", (mpf(0), mpf(0)), join, (S, mpf(0))), ("arc", join, (edge[0], R), edge)]


@dataclass
class Stretch:
    """One smooth stretch of an outline; at(u, lib) with lib mp or np gives complex points.

    The parameter of a curve is its k; a line or the endless ray lies at one k and counts from 0 to its length.
    """

    at: Callable[..., Any]
    start: Any
    end: Any
    kind: str = "curve"
    k: Any = None

    def moved(self, spin, shift):
        """Turned and scaled by the complex number spin, then shifted."""

        def at(u, lib):
            a, b = (spin, shift) if lib is mp else (complex(spin), complex(shift))
            return self.at(u, lib) * a + b

        return replace(self, at=at)

    def mirrored(self):
        """Mirrored about the normal, same parameter."""
        return replace(self, at=lambda u, lib: -lib.conj(self.at(u, lib)))

    def across(self):
        """The mirror image run through the other way, as the other half of the outline needs it."""
        back = None if self.k is None else -self.k
        return replace(self, at=lambda u, lib: -lib.conj(self.at(-u, lib)), start=-self.end, end=-self.start, k=back)


def _meridian(pieces):
    """Profile by rising psi: ("round", psi from, psi to, z, r, arc radius) or ("line", psi, psi, z0, r0, z1, r1)."""
    out, psi = [], mpf(0)
    for piece in pieces:
        (z0, r0), (z1, r1) = [(mpf(z), mpf(r)) for z, r in piece[1:3]]
        if piece[0] == "line":
            first = last = mp.atan2(z1 - z0, r1 - r0)
            body = ("line", first, last, z0, r0, z1, r1)
        else:
            zc, rc = mpf(piece[3][0]), mpf(piece[3][1])
            first, last = mp.atan2(r0 - rc, zc - z0), mp.atan2(r1 - rc, zc - z1)
            body = ("round", first, last, zc, rc, mp.hypot(r0 - rc, z0 - zc))
        if first - psi > TINY:
            out.append(("round", psi, first, z0, r0, mpf(0)))
        out.append(body)
        psi = last
    if mp.pi / 2 - psi > TINY:
        out.append(("round", psi, mp.pi / 2, z1, r1, mpf(0)))
    return out


def _seen(k, z, r, q, lead, lib):
    """Outline point of direction k on a round of radius q about (z, r) of the profile (q = 0: a sharp edge)."""
    sin, cos = mp.sin(lead), mp.cos(lead)
    if lib is not mp:
        z, r, q, sin, cos = (float(v) for v in (z, r, q, sin, cos))
    if sin == 0:
        x, y = r + q * lib.sin(k), z - q * lib.cos(k)
    else:
        over = r / lib.sqrt(lib.sin(k) ** 2 + (sin * lib.cos(k)) ** 2) + q
        x, y = over * lib.sin(k), (z - q * cos * lib.cos(k)) * cos - over * sin**2 * lib.cos(k)
    return lib.mpc(x, y) if lib is mp else x + 1j * y


def _straight(p, q, k, kind="line", length=1):
    def at(u, lib):
        a, b = (p, q) if lib is mp else (complex(p), complex(q))
        return a + (b - a) * u

    return Stretch(at, mpf(0), mpf(length), kind, k)


def _half(pieces, lead):
    """Half outline from k = 0 up to the endless cylinder, axis upright."""

    def turn(psi):
        return mp.acos(mp.cos(psi) / mp.cos(lead)) if psi > abs(lead) else mpf(0)

    out = []
    for kind, first, last, *data in _meridian(pieces):
        a, b = turn(first), turn(last)
        if kind == "line":
            if lead == 0 or a > 0:
                z0, r0, z1, r1 = data
                out.append(_straight(_seen(a, z0, r0, 0, lead, mp), _seen(a, z1, r1, 0, lead, mp), a))
        elif b - a > TINY and (data[2] > 0 or (lead != 0 and data[1] != 0)):
            out.append(Stretch(lambda k, lib, data=data: _seen(k, *data, lead, lib), a, b))
    z, r = (mpf(v) for v in pieces[-1][2])
    foot = mp.mpc(r, z * mp.cos(lead))
    return [*out, _straight(foot, foot + 1j, mp.pi / 2, "ray", 10**4 * r)]


def _rightward(half, k0):
    """The outline from direction k0 towards larger k; a line at k0 itself counts from its middle."""
    out = []
    for n, s in enumerate([*(s.across() for s in reversed(half)), *half]):
        if s.k is None:
            if s.end - k0 > TINY:
                out.append(replace(s, start=max(s.start, k0)))
        elif s.k > k0 + TINY or (abs(s.k - k0) <= TINY and abs(k0) <= TINY and n >= len(half)):
            out.append(s)
        elif abs(s.k - k0) <= TINY < abs(k0):
            out.append(replace(s, start=(s.start + s.end) / 2))
    return out


def _sides(pieces, lead, tilt, phi=0):
    """Outline right and left of the point whose outward direction is phi from straight down, that point at 0."""
    half, spin = _half(pieces, lead), mp.expj(-tilt)
    right = _rightward(half, tilt + phi)
    left = [s.mirrored() for s in _rightward(half, -tilt - phi)]
    foot = right[0].at(right[0].start, mp) * spin
    return [s.moved(spin, -foot) for s in right], [s.moved(spin, -foot) for s in left]


def touching(pieces, lead, tilt):
    """(height, radius, vector from contact to tip as (F, C, N)); a line of contact counts at its middle."""
    with mp.workdps(DIGITS + GUARD):
        a, b = mp.radians(mpf(lead)), mp.radians(mpf(tilt))
        T = mp.matrix([mp.sin(a), mp.cos(a) * mp.sin(b), mp.cos(a) * mp.cos(b)])
        psi = mp.atan2(mp.hypot(T[0], T[1]), T[2])
        if psi <= TINY:
            return mpf(0), mpf(0), (mpf(0), mpf(0), mpf(0))
        found = [m for m in _meridian(pieces) if m[1] - TINY <= psi <= m[2] + TINY]
        if not found or psi >= mp.pi / 2:
            raise ValueError("the cutter lies on its cylinder")
        kind, _, _, *data = next((m for m in found if m[0] == "line"), found[0])
        if kind == "line":
            z, r = (data[0] + data[2]) / 2, (data[1] + data[3]) / 2
        else:
            z, r = data[0] - data[2] * mp.cos(psi), data[1] + data[2] * mp.sin(psi)
        v = -z * T - r * (mp.cos(psi) * T - mp.matrix([0, 0, 1])) / mp.sin(psi)
        return z, r, (v[0], v[1], v[2])


def _grid(stretch, lead, count=40):
    """Parameters of a polygon: even in k and even in the azimuth about the axis, or the ends of a line."""
    a, b = float(stretch.start), float(stretch.end)
    if stretch.kind != "curve":
        return np.array([a, b])
    s = abs(float(mp.sin(lead)))
    ends = np.arctan2(np.sin([a, b]), s * np.cos([a, b]))
    v = np.linspace(*ends, count)
    return np.union1d(np.linspace(a, b, count), np.clip(np.arctan2(s * np.sin(v), np.cos(v)), a, b))


def _first_crossing(sides, lead):
    """Stretch numbers and parameters of the first crossing of the two polygons along the first one, or None."""
    where, params, points = [], [], []
    for side in sides:
        grids = [_grid(s, lead) for s in side]
        where.append(np.concatenate([np.full(len(g), n) for n, g in enumerate(grids)]))
        params.append(np.concatenate(grids))
        points.append(np.concatenate([s.at(g, np) for s, g in zip(side, grids, strict=True)]))
    a, d = points[0][:-1, None], np.diff(points[0])[:, None]
    b, e = points[1][None, :-1], np.diff(points[1])[None, :]
    det = np.imag(np.conj(d) * e)
    with np.errstate(divide="ignore", invalid="ignore"):
        s, t = np.imag(np.conj(b - a) * e) / det, np.imag(np.conj(b - a) * d) / det
    slack = 1e-9
    good = (np.abs(det) > 1e-13 * np.abs(d) * np.abs(e)) & (s >= -slack) & (s <= 1 + slack)
    good &= (t >= -slack) & (t <= 1 + slack)
    if not good.any():
        return None
    i = int(np.argmax(good.any(axis=1)))
    j = int(np.argmin(np.where(good[i], s[i], np.inf)))
    start = []
    for n, index, part in ((0, i, s[i, j]), (1, j, t[i, j])):
        u, same = params[n], where[n][index] == where[n][index + 1]
        start.append(mpf(float(u[index] + part * (u[index + 1] - u[index]) if same else u[index])))
    return [int(where[0][i]), int(where[1][j])], start


def _refine(sides, places, params):
    """Newton steps on both parameters, going on to the next stretch where one of them leaves its own."""
    step, pushed = mpf(10) ** (8 - DIGITS), [0, 0]
    for _ in range(80):
        now = [sides[n][places[n]] for n in (0, 1)]
        p = [now[n].at(params[n], mp) for n in (0, 1)]
        slope = [(now[n].at(params[n] + step, mp) - p[n]) / step for n in (0, 1)]
        gap, det = p[1] - p[0], mp.im(mp.conj(slope[0]) * slope[1])
        if det == 0:
            break
        change = [mp.im(mp.conj(gap) * slope[1]) / det, mp.im(mp.conj(gap) * slope[0]) / det]
        held = False
        for n in (0, 1):
            goal, low, high = params[n] + change[n], now[n].start, now[n].end
            params[n] = min(max(goal, low), high)
            if abs(goal - params[n]) < mpf(10) ** -DIGITS:
                pushed[n] = 0
                continue
            held, pushed[n] = True, pushed[n] + 1
            other = places[n] + (1 if goal > high else -1)
            if pushed[n] > 2 and 0 <= other < len(sides[n]):
                places[n], pushed[n] = other, 0
                params[n] = sides[n][other].start if goal > high else sides[n][other].end
        if not held and max(abs(c) for c in change) < mpf(10) ** (-DIGITS - 3):
            return places, params, sides[0][places[0]].at(params[0], mp)
    raise ArithmeticError("the crossing did not settle")


def _passes(pieces, stepover, lead, tilt, radius, axis_fixed):
    """Right side of the first pass and left side of the second."""
    right, left = _sides(pieces, lead, tilt)
    if mp.isinf(radius):
        return right, [s.moved(1, stepover) for s in left]
    centre, half = mp.mpc(0, -radius), stepover / (2 * radius)
    if not axis_fixed:
        spin = mp.expj(-2 * half)
        return right, [s.moved(spin, centre - centre * spin) for s in left]
    foot = centre + mp.mpc(0, radius) * mp.expj(-half)
    right, left = _sides(pieces, lead, tilt, half)[0], _sides(pieces, lead, tilt, -half)[1]
    return [s.moved(1, -mp.conj(foot)) for s in right], [s.moved(1, foot) for s in left]


def _largest(stretch, low, high, value, grid=()):
    """Largest value of a stretch by dense sampling, then finer about the best point."""
    u, best = np.union1d(np.linspace(low, high, 201), np.clip(grid, low, high)), -np.inf
    for _ in range(12):
        found = value(stretch.at(u, np))
        n = int(np.argmax(found))
        best = max(best, float(found[n]))
        u = np.linspace(u[max(n - 1, 0)], u[min(n + 1, len(u) - 1)], 51)
    return best


def scallop_height(pieces, stepover, lead, tilt, surface_radius=mp.inf, axis_fixed=False):
    """Radial height of the ridge between two passes (mpf; nan if the outlines do not meet, 0 under a flat bottom).

    Gouging is not looked at: a cutter that gouges a trough can give a negative height.  Where a strong overhang has
    its highest point below the crossing (curved surfaces only) that point counts, to about 1e-12.
    """
    with mp.workdps(DIGITS + GUARD):
        lead, tilt = mp.radians(mpf(lead)), mp.radians(mpf(tilt))
        s, radius = mpf(stepover), mpf(surface_radius)
        plane = mp.isinf(radius)
        lean = abs(s / (2 * radius)) if axis_fixed else mpf(0)
        if abs(lead) >= mp.pi / 2 or abs(tilt) + lean >= mp.pi / 2:
            return mp.nan
        sides = _passes(pieces, s, lead, tilt, radius, axis_fixed)
        lying = [t for t in _half(pieces, lead) if t.kind == "line" and abs(t.k - abs(tilt)) <= TINY]
        length = sum(abs(t.at(1, mp) - t.at(0, mp)) for t in lying) * (2 if abs(tilt) <= TINY else 1)
        if plane and length >= s * (1 - TINY):
            return mpf(0)
        crossing = _first_crossing(sides, lead)
        if crossing is None:
            return mp.nan
        places, params, p = _refine(sides, *crossing)
        if plane:
            return mp.im(p)
        sign, c, r = (1 if radius > 0 else -1), complex(0, -radius), abs(float(radius))
        height, crest = sign * (abs(p - mp.mpc(0, -radius)) - abs(radius)), -np.inf
        for side, place, u in zip(sides, places, params, strict=True):
            for n in range(place + 1):
                end = float(u if n == place else side[n].end)
                crest = max(crest, _largest(side[n], float(side[n].start), end, lambda q: sign * (np.abs(q - c) - r)))
        return mpf(crest) if height > 0 and crest > height + TINY * (1 + r) else height


def gouge_depth(pieces, lead, tilt, surface_radius):
    """Reach of the endless cutter beyond a half circle of the (negative) radius, up to the height of its centre."""
    with mp.workdps(DIGITS + GUARD):
        lead, tilt = mp.radians(mpf(lead)), mp.radians(mpf(tilt))
        R, worst = abs(float(surface_radius)), 0.0

        def beyond(p):
            return np.where(p.imag <= R * (1 + 1e-15), np.abs(p - 1j * R) - R, -np.inf)

        right, left = _sides(pieces, lead, tilt)
        for stretch in right + left:
            low, high = float(stretch.start), float(stretch.end)
            if stretch.kind == "ray":
                high = (R - float(mp.im(stretch.at(0, mp)))) / float(mp.cos(tilt))
            if high > low:
                grid = _grid(stretch, lead, 1001) if stretch.kind == "curve" else ()
                worst = max(worst, _largest(stretch, low, high, beyond, grid))
        return worst if worst > 1e-13 * R else 0.0


def _below(side, top):
    """Heights, distances across and Gauss weights in height over one side of a profile up to a height."""
    nodes, weights = np.polynomial.legendre.leggauss(120)
    nodes, weights, out = (nodes + 1) / 2, weights / 2, []
    for stretch in side:
        a, b = float(stretch.start), float(stretch.end)
        y0, y1 = (float(stretch.at(np.array(u), np).imag) for u in (a, b))
        y1 = min(y1, top)
        if y1 <= y0:
            continue
        y = y0 + (y1 - y0) * nodes**2
        low, high = np.full_like(y, a), np.full_like(y, b)
        for _ in range(70):
            middle = (low + high) / 2
            under = stretch.at(middle, np).imag < y
            low, high = np.where(under, middle, low), np.where(under, high, middle)
        out.append((y, np.abs(stretch.at(high, np).real), 2 * nodes * weights * (y1 - y0)))
    return [np.concatenate(v) for v in zip(*out, strict=True)]


def left_roughness(pieces, stepover, lead, tilt):
    """(Ra, Rq) of the profile left on a plane; nan where the ridge overhangs or the passes do not meet.

    The length of profile below each height is the width of the outline there, so no slope is needed.
    """
    h, s = float(scallop_height(pieces, stepover, lead, tilt)), float(stepover)
    if not h > 0:
        return h, h
    with mp.workdps(DIGITS + GUARD):
        sides = _sides(pieces, mp.radians(mpf(lead)), mp.radians(mpf(tilt)))

    def moment(below, power):
        """Integral over height of (profile length below / stepover) * height**power."""
        return sum(float(np.sum(w * x * y**power)) for y, x, w in below) / s

    whole = [_below(side, h) for side in sides]
    if any(np.any(np.diff(across) < -1e-9) for _, across, _ in whole):
        return float("nan"), float("nan")
    mean = h - moment(whole, 0)
    under = [_below(side, mean) for side in sides]
    return 2 * moment(under, 0), float(np.sqrt(h**2 - 2 * moment(whole, 1) - mean**2))
