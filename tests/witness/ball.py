"""The ball: a dense search of the sphere."""

from __future__ import annotations

import math
from collections.abc import Callable

import mpmath as mp
import numpy as np
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation

DIGITS = 50
TINY = mp.mpf(10) ** -22  # a feed small enough that its square is nothing at 50 digits' tolerance of 1e-12


def axis_vector(lead: float = 0.0, tilt: float = 0.0) -> np.ndarray:
    """Return the tool axis in the frame (F, C, N): N turned to F by lead, then about F to C by tilt."""
    leaned = Rotation.from_euler("Y", lead, degrees=True).apply([0.0, 0.0, 1.0])
    # a positive turn about F takes N away from C, hence the sign
    return Rotation.from_euler("X", -tilt, degrees=True).apply(leaned)


class Cap:
    """The part of a ball below the stock plane, in the frame (F, C, N) at the ball centre.

    Points are (R sin l, R cos l sin w, -R cos l cos w).  `front` keeps u.F >= 0; `offset` is the place of
    the pass before along C (its cylinder of radius R along F is gone), None for a full-width cut.
    """

    def __init__(self, diameter: float, depth: float, front: bool = False, offset: float | None = None):
        self.radius = 0.5 * diameter
        self.depth, self.front, self.offset = depth, front, offset
        self._started: dict[int, tuple[np.ndarray, np.ndarray]] = {}
        # a cap lower than the equator lies within its half-angle of the contact, in both angles
        span = math.acos(max(1 - depth / self.radius, -1.0)) * (1 + 1e-9) if depth < self.radius else np.pi
        self.span = (-span, span, 0.0 if front else -min(span, np.pi / 2), min(span, np.pi / 2))

    def point(self, w: np.ndarray, l: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:  # noqa: E741
        R = self.radius
        return R * np.sin(l), R * np.cos(l) * np.sin(w), -R * np.cos(l) * np.cos(w)

    def room(self, w: np.ndarray, l: np.ndarray) -> np.ndarray:  # noqa: E741
        """Return how far a point is inside the region (>= 0 inside)."""
        _, c, n = self.point(w, l)
        R = self.radius
        inside = self.depth - R - n
        if self.offset is not None:
            inside = np.minimum(inside, np.hypot(c - self.offset, n) - R)
        return inside + 1e-15 * R

    def _edges(self, w0, l0, w1, l1):  # type: ignore[no-untyped-def]
        """Bisect between inside points (w0, l0) and outside points (w1, l1) to 1e-17 rad; return the inside ends."""
        apart = max(float(np.max(np.abs(w1 - w0))), float(np.max(np.abs(l1 - l0))), 1e-16)
        for _ in range(math.ceil(math.log2(apart / 1e-17))):
            wm, lm = 0.5 * (w0 + w1), 0.5 * (l0 + l1)
            ok = self.room(wm, lm) >= 0
            w0, l0 = np.where(ok, wm, w0), np.where(ok, lm, l0)
            w1, l1 = np.where(ok, w1, wm), np.where(ok, l1, lm)
        return w0, l0

    def _candidates(self, window, count):  # type: ignore[no-untyped-def]
        w = np.linspace(window[0], window[1], count)
        l = np.linspace(window[2], window[3], count)  # noqa: E741
        W, L = np.meshgrid(w, l, indexing="ij")
        ok = self.room(W, L) >= 0
        inside, outside = [], []
        for first, second in (
            ((slice(None, -1), slice(None)), (slice(1, None), slice(None))),
            ((slice(None), slice(None, -1)), (slice(None), slice(1, None))),
        ):
            for a, b in ((first, second), (second, first)):
                cross = ok[a] & ~ok[b]
                inside.append((W[a][cross], L[a][cross]))
                outside.append((W[b][cross], L[b][cross]))
        ends = [np.concatenate(part) for side in (inside, outside) for part in zip(*side, strict=True)]
        if not ends[0].size:
            return W[ok], L[ok]
        we, le = self._edges(*ends)
        return np.concatenate([W[ok], we]), np.concatenate([L[ok], le])

    def _start(self, count):  # type: ignore[no-untyped-def]
        """Candidates over the whole span, kept: least and largest diameter start from the same."""
        if count not in self._started:
            self._started[count] = self._candidates(self.span, count)
        return self._started[count]

    def largest(
        self, objective: Callable[..., np.ndarray], seeds: int = 3, count: int = 101, reach: float = 2.0
    ) -> float:
        """Return the largest value of objective(f, c, n) over the region: grid, edges, repeated zoom.

        The grid's crossings of the region's edge are bisected; the best three separate places are zoomed
        until the spacing is 1e-10 rad, so the result is right to about 1e-9 R.  `reach` is the half width of
        the next window in spacings: two on smooth ground, more where the objective has a crease.
        """
        whole = self.span
        w, l = self._start(count)  # noqa: E741
        value = objective(*self.point(w, l))
        dw, dl = (whole[1] - whole[0]) / (count - 1), (whole[3] - whole[2]) / (count - 1)
        order = np.argsort(-value)
        starts: list[int] = []
        for k in order:
            if all(abs(w[k] - w[j]) > 4 * dw or abs(l[k] - l[j]) > 4 * dl for j in starts):
                starts.append(int(k))
                if len(starts) == seeds:
                    break
        best = -np.inf
        for k in starts:
            wk, lk, sw, sl, vk = w[k], l[k], dw, dl, value[k]
            while sw > 1e-10:
                window = (
                    max(wk - reach * sw, whole[0]),
                    min(wk + reach * sw, whole[1]),
                    max(lk - reach * sl, whole[2]),
                    min(lk + reach * sl, whole[3]),
                )
                wz, lz = self._candidates(window, 25)
                if not wz.size:
                    break
                vz = objective(*self.point(wz, lz))
                m = int(np.argmax(vz))
                if vz[m] >= vk:
                    wk, lk, vk = wz[m], lz[m], vz[m]
                sw, sl = sw * reach / 12, sl * reach / 12
            best = max(best, float(vk))
        return best

    def diameters(self, axis: np.ndarray) -> tuple[float, float]:
        """Return least and largest diameter about the axis; above its equator the body is a cylinder."""
        R = self.radius

        def turning(f, c, n):  # type: ignore[no-untyped-def]
            p = np.stack(np.broadcast_arrays(f, c, n), axis=-1)
            r = np.linalg.norm(np.cross(p, axis), axis=-1)
            return np.where(p @ axis > 0, R, r)

        return -2 * self.largest(lambda *p: -turning(*p)), 2 * self.largest(turning)


def cap_diameters(diameter: float, depth: float, inclination: float) -> tuple[float, float]:
    """Return least and largest turning diameter over the whole cap, by search over the sphere."""
    return Cap(diameter, depth).diameters(axis_vector(inclination))


def contact_diameter(diameter: float, lead: float, tilt: float = 0.0) -> float:
    """Return the diameter on which the contact turns: the contact half a turn later, and how far it went."""
    axis = axis_vector(lead, tilt)
    contact = np.array([0.0, 0.0, -0.5 * diameter])
    return float(np.linalg.norm(Rotation.from_rotvec(np.pi * axis).apply(contact) - contact))


def pass_offset(stepover: float | None, uncut_side: str) -> float | None:
    """Return where the pass before lies along C: away from the uncut side (left is +C)."""
    if stepover is None or math.isnan(stepover):
        return None
    return -stepover if uncut_side == "left" else stepover


def cutting_diameters(
    diameter: float,
    depth: float,
    lead: float = 0.0,
    tilt: float = 0.0,
    stepover: float | None = None,
    uncut_side: str = "left",
) -> tuple[float, float, float]:
    """Return least, contact and largest diameter over the part of the cap that cuts, by search (1e-8 R)."""
    least, largest = Cap(diameter, depth, True, pass_offset(stepover, uncut_side)).diameters(axis_vector(lead, tilt))
    return least, contact_diameter(diameter, lead, tilt), largest


def cloud_diameters(
    diameter: float,
    depth: float,
    lead: float,
    tilt: float,
    stepover: float | None,
    uncut_side: str,
    points: int,
) -> tuple[float, float]:
    """Return least and largest diameter of the cutting cap from a plain cloud of points on a ball.

    Crude and without cleverness: an even spiral on the sphere, the definition point by point.
    """
    R, axis = 0.5 * diameter, axis_vector(lead, tilt)
    bottom = -1.0 + min(depth / R, 2.0) * (np.arange(points) + 0.5) / points
    turn = np.arange(points) * (np.pi * (3 - math.sqrt(5)))
    flat = np.sqrt(1 - bottom**2)
    p = R * np.column_stack([flat * np.cos(turn), flat * np.sin(turn), bottom])
    keep = p[:, 0] >= 0
    offset = pass_offset(stepover, uncut_side)
    if offset is not None:
        keep &= np.hypot(p[:, 1] - offset, p[:, 2]) >= R
    p = p[keep]
    r = np.where(p @ axis > 0, R, np.linalg.norm(np.cross(p, axis), axis=1))
    return 2 * float(r.min()), 2 * float(r.max())


def ball_largest_chip(diameter: float, depth: float, stepover: float | None = None, feed_part: float = 1e-7) -> float:
    """Return largest chip thickness over feed: gap between the ball and the same ball a tiny feed ahead.

    The gap is the difference of two radii at points of the region; its relative error is feed/R (1e-7).
    """
    feed = feed_part * diameter
    R = 0.5 * diameter

    def gap(f, c, n):  # type: ignore[no-untyped-def]
        # |p + feed F| - R without loss of digits
        over = 2 * f * feed + feed * feed
        return over / (np.sqrt((f + feed) ** 2 + c * c + n * n) + R) / feed

    return Cap(diameter, depth, True, pass_offset(stepover, "left")).largest(gap)


def ball_true_chip(diameter: float, depth: float, feed: float, stepover: float | None = None) -> float:
    """Return the largest chip of a ball moved by a whole feed: material on the ray from its centre.

    The material reaches from the ball one feed behind, the stock plane or the cylinder of the pass before,
    whichever is farther out, to the present ball.  Search over the sphere; the crease
    is sharp, 2e-4 of the feed.
    """
    R = 0.5 * diameter
    offset = pass_offset(stepover, "left")

    def material(f, c, n):  # type: ignore[no-untyped-def]
        f, c, n = f / R, c / R, n / R
        inner = -feed * f + np.sqrt(R * R - feed * feed * (1 - f * f))
        inner = np.maximum(inner, np.where(n < 0, (R - depth) / np.maximum(-n, 1e-12), -np.inf))
        if offset is not None:
            # |t (c, n) - (offset, 0)| = R
            flat = c * c + n * n
            under = (c * offset) ** 2 + flat * (R * R - offset**2)  # below zero: the ray misses the cylinder
            far = (c * offset + np.sqrt(np.maximum(under, 0.0))) / flat
            inner = np.maximum(inner, np.where(under >= 0, far, -np.inf))
        return R - inner

    return Cap(diameter, depth, True, offset).largest(material, reach=6.0)


def clearing_inclination(diameter: float, depth: float) -> float:
    """Return the least inclination at which the tip is not below the stock plane, by a root (1e-11 deg)."""
    R = 0.5 * diameter
    return brentq(lambda b: R - R * axis_vector(b)[2] - depth, 0.0, 180.0, xtol=1e-13, rtol=1e-14)


def engaged_depth(diameter: float, depth: float, surface_radius: float) -> float:
    """Return the plane's depth with the same half-angle of engagement: the ball's section walked upwards.

    The ball touches the finished circle; its section is walked from the contact until it leaves the stock
    (bisection, 50 digits); the plane's depth is the height of that point over the contact's tangent.
    """
    with mp.workdps(DIGITS):
        R, thick = mp.mpf(diameter) / 2, mp.mpf(depth)

        def left(angle: mp.mpf) -> mp.mpf:
            x, z = R * mp.sin(angle), R - R * mp.cos(angle)
            if math.isinf(surface_radius):
                return z - thick
            # height over the finished surface along its normal; its centre is at z = -rho either way
            rho = mp.mpf(surface_radius)
            away = mp.hypot(x, z + rho)
            return (away - rho if rho > 0 else -rho - away) - thick

        if left(mp.pi) < 0:
            return diameter
        low, high = mp.mpf(0), mp.pi
        for _ in range(165):
            angle = (low + high) / 2
            low, high = (angle, high) if left(angle) < 0 else (low, angle)
        return float(R - R * mp.cos(low))
