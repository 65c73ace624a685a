"""A second witness for the formulas: the same quantities found without their closed forms.

Nothing here knows a formula of the library.  A cap is sampled, a polygon is cut, a circle is walked along,
a distance is integrated, a root is bracketed.  Every witness states in its docstring what it does and how
close it comes.  Lengths are mm, angles degrees; the other units are named where they occur.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from itertools import pairwise

import mpmath as mp
import numpy as np
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation
from shapely.geometry import LineString, Point, Polygon, box
from shapely.ops import unary_union

DIGITS = 50
TINY = mp.mpf(10) ** -22  # a feed small enough that its square is nothing at 50 digits' tolerance of 1e-12


# --- circles and polygons ------------------------------------------------------------------------------


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


# --- engagement and chip thickness -----------------------------------------------------------------------


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


# --- the ball ---------------------------------------------------------------------------------------------


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
        """Bisect between inside points (w0, l0) and outside points (w1, l1); return the inside ends."""
        for _ in range(50):
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
        ws, ls = [W[ok]], [L[ok]]
        for first, second in (
            ((slice(None, -1), slice(None)), (slice(1, None), slice(None))),
            ((slice(None), slice(None, -1)), (slice(None), slice(1, None))),
        ):
            for a, b in ((first, second), (second, first)):
                cross = ok[a] & ~ok[b]
                if cross.any():
                    we, le = self._edges(W[a][cross], L[a][cross], W[b][cross], L[b][cross])
                    ws.append(we)
                    ls.append(le)
        return np.concatenate(ws), np.concatenate(ls)

    def largest(
        self, objective: Callable[..., np.ndarray], seeds: int = 3, count: int = 101, reach: float = 2.0
    ) -> float:
        """Return the largest value of objective(f, c, n) over the region: grid, edges, repeated zoom.

        The grid's crossings of the region's edge are bisected; the best three separate places are zoomed
        until the spacing is 1e-10 rad, so the result is right to about 1e-9 R.  `reach` is the half width of
        the next window in spacings: two on smooth ground, more where the objective has a crease.
        """
        whole = self.span
        w, l = self._candidates(whole, count)  # noqa: E741
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


# --- scallops and finish --------------------------------------------------------------------------------


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


# --- motion ---------------------------------------------------------------------------------------------


def sagitta(step: float, path_radius: float) -> float:
    """Return the largest distance, mm, between a circle and its chord: the arc is walked in 50 digits."""
    with mp.workdps(DIGITS):
        r = mp.mpf(path_radius)
        low, high = mp.mpf(0), mp.pi
        for _ in range(165):  # the angle whose chord has the length of the step
            angle = (low + high) / 2
            if abs(r * mp.expj(angle) - r) < step:
                low = angle
            else:
                high = angle
        start, end = r, r * mp.expj(angle)
        chord = end - start

        def off(turned: mp.mpf) -> mp.mpf:
            return abs((mp.conj(chord) * (r * mp.expj(turned) - start)).imag) / abs(chord)

        return float(_highest(off, mp.mpf(0), angle, 70))


def chord_for(error: float, path_radius: float) -> float:
    """Return the chord, mm, with that sagitta (mm), by a root (1e-9)."""
    return brentq(
        lambda s: sagitta(s, path_radius) - error,
        1e-9 * path_radius,
        2 * path_radius * (1 - 1e-12),
        xtol=1e-13,
    )


def bent_acceleration(feed_rate: float, path_radius: float) -> float:
    """Return the acceleration, mm/s^2, of a point on a circle: second difference of its place, 50 digits."""
    with mp.workdps(DIGITS):
        rate, r, dt = mp.mpf(feed_rate) / 60, mp.mpf(path_radius), mp.mpf(10) ** -12

        def place(t: mp.mpf) -> mp.mpc:
            return r * mp.expj(rate * t / r)

        return float(abs(place(dt) - 2 * place(mp.mpf(0)) + place(-dt)) / dt**2)


def feed_for_bend(acceleration: float, path_radius: float) -> float:
    """Return the feed rate, mm/min, whose acceleration on the circle is the given one, by a root."""
    return brentq(lambda f: bent_acceleration(f, path_radius) - acceleration, 1e-6, 1e9, xtol=1e-9, rtol=1e-13)


def corner_arc(tolerance: float, angle: float) -> float:
    """Return the radius, mm, of the arc between two moves that passes the corner at `tolerance` mm (1e-12).

    Two unit legs leave the corner at the given interior angle.  The centre slides along the bisector; its
    distance to a leg is a cross product; the arc passes the corner at centre distance minus radius.
    """
    one = np.array([1.0, 0.0])
    two = np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle))])
    bisector = (one + two) / np.linalg.norm(one + two)

    def radius(distance: float) -> float:
        centre = distance * bisector
        return float(abs(centre[0] * one[1] - centre[1] * one[0]))

    unit = 1.0 - radius(1.0)
    distance = brentq(lambda d: d - radius(d) - tolerance, 0.0, 2 * tolerance / unit, xtol=1e-18, rtol=1e-14)
    return radius(distance)


def travel_time(length: float, feed_rate: float, acceleration: float) -> float:
    """Return the time, min, of a rest-to-rest move: the integral of dx/v, v bounded by feed and acceleration.

    Tanh-sinh quadrature, split where the bounds cross, 1e-13.
    """
    with mp.workdps(30):
        L, top, a = mp.mpf(length), mp.mpf(feed_rate) / 60, mp.mpf(acceleration)

        def slowness(x: mp.mpf) -> mp.mpf:
            return 1 / min(top, mp.sqrt(2 * a * x))

        middle = L / 2  # the way down mirrors the way up
        low, high = mp.mpf(0), middle
        if mp.sqrt(2 * a * middle) <= top:
            return float(2 * mp.quad(slowness, [0, middle]) / 60)
        for _ in range(110):
            x = (low + high) / 2
            if mp.sqrt(2 * a * x) < top:
                low = x
            else:
                high = x
        return float(2 * mp.quad(slowness, [0, low, middle]) / 60)


def stepped_travel_time(length: float, feed_rate: float, acceleration: float, steps: int = 100_000) -> float:
    """Return the time, min, of the same move with a control that decides tick by tick.

    It speeds up while it could still stop in time, then brakes to rest; right to a few ticks, a tick being
    about the whole over `steps`.
    """
    top = min(feed_rate / 60, math.sqrt(2 * acceleration * length))
    tick = (length / top + top / acceleration) / steps
    x, v, t, braking = 0.0, 0.0, 0.0, False
    while True:
        faster = min(top, v + acceleration * tick)
        braking = braking or x + 0.5 * (v + faster) * tick + faster**2 / (2 * acceleration) > length
        new = v - acceleration * tick if braking else faster
        if new <= 0.0:
            return t / 60
        x += 0.5 * (v + new) * tick
        v = new
        t += tick


def peak_feed(acceleration: float, length: float) -> float:
    """Return the peak feed rate, mm/min, of a move from rest to rest: half the length speeds it up."""

    def way(v: float) -> float:
        return quad(lambda u: u / acceleration, 0.0, v)[0]

    return 60 * brentq(lambda v: way(v) - 0.5 * length, 0.0, 1e6, xtol=1e-12, rtol=1e-14)


# --- arrays --------------------------------------------------------------------------------------


def assert_same_as_scalars(bare: Callable[..., object], *columns: object, **fixed: object) -> None:
    """Check that columns of values, and the first column crossed with the rest, give what scalars give.

    Allowed: 1e-12 relative, since vector and scalar versions of a sine may differ in the last digits.
    """
    first, *rest = np.broadcast_arrays(*[np.asarray(c, dtype=float) for c in columns])
    grids = [([first, *rest], (first.size,))]
    if rest:
        grids.append(([first[:, None], *(r[None, :] for r in rest)], (first.size, first.size)))
    for arrays, shape in grids:
        answer = bare(*arrays, **fixed)
        together = [np.broadcast_to(a, shape) for a in (answer if isinstance(answer, tuple) else (answer,))]
        full = [np.broadcast_to(a, shape) for a in arrays]
        for place in np.ndindex(shape):
            alone = bare(*(float(a[place]) for a in full), **fixed)
            pieces = alone if isinstance(alone, tuple) else (alone,)
            for part, value in zip(together, pieces, strict=True):
                np.testing.assert_allclose(part[place], value, rtol=1e-12, err_msg=f"at {place}")
