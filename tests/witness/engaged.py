"""The part of a cutter that cuts, by other means: rings of the body, arcs of angle, a silhouette by supporting lines.

A profile is a tuple of ("line", start, end) and ("arc", start, end, centre), points as (height, radius) from the tip;
an endless cylinder of the last radius follows.  Frame (F, C, N) = feed, cross-feed (left), outward normal; the tool
touches N = 0 at the origin.  Nothing is taken from the library.  A ring of the body is met by the stock plane and by
the leading side in arcs of angle known exactly; the earlier pass is its silhouette along the feed: a ring point lies
outside it when it reaches farther across than the least, over all supporting lines, of their reach at its height.
Derived; diameters are good to about 1e-9 mm, chip_reach to about 1e-5, mark_height to about 1e-12 mm.

Angles about the axis: zero at e1 = F - (F.T) T normalised, positive toward e2 = T x e1 = (0, T_N, -T_C) / |F x T|,
which is +C for an upright tool.
"""

import functools
import itertools
import math

import numpy as np
from scipy.optimize import brentq

TURNS = 2 * math.pi * np.array([-1.0, 0.0, 1.0])[:, None]  # an arc of angle may be met again one turn on


class Piece:
    """One smooth piece of the half-profile, or a sharp edge (no length, a fan of normals), over u in [0, 1]."""

    def __init__(self, kind, start, end, centre=None, fan=None):
        self.kind, self.start, self.end, self.centre, self.fan = kind, start, end, centre, fan
        self.length = 0.0 if kind == "edge" else math.dist(start, end)
        if kind == "arc":
            self.size = 0.5 * (math.dist(start, centre) + math.dist(end, centre))
            # angle of the outward normal: -90 deg looks down the axis, 0 is square to it
            self.low = math.atan2(start[0] - centre[0], start[1] - centre[1])
            self.high = math.atan2(end[0] - centre[0], end[1] - centre[1])
            self.length = self.size * (self.high - self.low)

    def point(self, u):
        """Height and radius."""
        (z0, r0), (z1, r1) = self.start, self.end
        if self.kind == "arc":
            angle = self.low + u * (self.high - self.low)
            z, r = self.centre[0] + self.size * np.sin(angle), self.centre[1] + self.size * np.cos(angle)
            return np.where(u <= 0, z0, np.where(u >= 1, z1, z)), np.where(u <= 0, r0, np.where(u >= 1, r1, r))
        return z0 + u * (z1 - z0), r0 + u * (r1 - r0)

    def normal(self, u):
        """Outward normal: part along the axis, part square to it."""
        if self.kind == "edge":
            return self.fan[0] + 0 * u, self.fan[1] + 0 * u
        if self.kind == "arc":
            angle = self.low + u * (self.high - self.low)
            return np.sin(angle), np.cos(angle)
        along, out = self.end[0] - self.start[0], self.end[1] - self.start[1]
        return 0 * u - out / self.length, 0 * u + along / self.length


class Tool:
    """A leaned body touching the plane, its support function, its silhouette along the feed."""

    def __init__(self, pieces, lead, tilt, depth=None):
        lead, tilt = math.radians(lead), math.radians(tilt)
        self.F, self.C, self.N = math.sin(lead), math.cos(lead) * math.sin(tilt), math.cos(lead) * math.cos(tilt)
        self.E = math.hypot(self.C, self.N)  # the feed square to the axis
        self.e1 = (self.E, -self.F * self.C / self.E, -self.F * self.N / self.E)
        self.e2 = (0.0, self.N / self.E, -self.C / self.E)
        self.lean = math.hypot(self.F, self.C)
        self.pieces = [Piece(*p) for p in pieces]
        self.corners = np.array([self.pieces[0].start, *(p.end for p in self.pieces)], dtype=float)
        self.radius = self.corners[-1, 1]
        self.origin = self.contact()
        self.lowest = self.origin[2]
        self.depth = depth
        if depth is None:
            return
        top = self.corners[-1, 0]
        end = (depth + self.lowest + self.radius * self.lean) / self.N
        if end > top:
            self.pieces.append(Piece("line", (top, self.radius), (end, self.radius)))
        for below, above in itertools.pairwise(tuple(self.pieces)):
            one, other = (tuple(float(v) for v in p.normal(at)) for p, at in ((below, 1.0), (above, 0.0)))
            if one[0] < other[0] - 1e-9:
                # any normal of the fan may count: the one that looks forward over the widest arc
                fan = max((one, other), key=lambda n: float(self.front(*np.array(n))))
                self.pieces.append(Piece("edge", below.end, below.end, fan=fan))

    def support(self, down):
        """Support function of the body for unit directions with the part `down` <= 0 along the axis."""
        down = np.minimum(down, 0.0)
        out = np.sqrt(np.maximum(1 - down * down, 0.0))
        best = np.full(np.shape(down), -np.inf)
        for z, r in self.corners:
            best = np.maximum(best, z * down + r * out)
        for p in self.pieces:
            if p.kind == "arc":  # it supports where the normal is one of its own
                inside = (down >= math.sin(p.low)) & (down <= math.sin(p.high))
                best = np.maximum(best, np.where(inside, p.centre[0] * down + p.centre[1] * out + p.size, -np.inf))
        return best

    def contact(self):
        """The contact before the tool is put on the plane: the farthest point along -N."""
        if self.lean < 1e-15:
            return (0.0, 0.0, 0.0)
        options = [tuple(c) for c in self.corners]
        angle = math.atan2(-self.N, self.lean)
        for p in self.pieces:
            if p.kind == "arc" and p.low <= angle <= p.high:
                options.append((p.centre[0] + p.size * math.sin(angle), p.centre[1] + p.size * math.cos(angle)))
        z, r = min(options, key=lambda o: o[0] * self.N - o[1] * self.lean)
        side = [self.N * t / self.lean for t in (self.F, self.C)]
        return (z * self.F + r * side[0], z * self.C + r * side[1], z * self.N - r * self.lean)

    def reach(self, heights, closer=1e12):
        """How far to the left the silhouette reaches at heights above the plane: a least over supporting lines."""
        shape, heights = np.shape(heights), np.maximum(heights, 0.0).reshape(-1, 1)
        # beyond the upper end the line looks up the axis
        low, high = (np.full(heights.shape, end) for end in (-0.5 * math.pi, math.atan2(-self.C, self.N)))
        last, rows = (64 if heights.size < 100 else 17), np.arange(heights.size)  # few heights: fewer, wider turns
        share = np.linspace(0.0, 1.0, last + 1)
        with np.errstate(divide="ignore", invalid="ignore"):
            for _ in range(math.ceil(math.log(closer) / math.log(last / 2))):
                at = low + (high - low) * share
                across, up = np.cos(at), np.sin(at)
                reached = (self.support(self.C * across + self.N * up) - (self.lowest + heights) * up) / across
                reached[across <= 1e-14] = np.inf
                place = np.argmin(reached, axis=1)
                best = reached[rows, place]
                low, high = (at[rows, np.clip(place + step, 0, last), None] for step in (-1, 1))
        return best.reshape(shape)

    def tabulate(self, size=3000):
        """Reach over the root of the height, for quick looks."""
        self.roots = np.linspace(0.0, 1.0, size)
        self.reached = self.reach(self.depth * self.roots**2, closer=1e8)

    def quick_reach(self, heights):
        return np.interp(np.sqrt(np.clip(heights / self.depth, 0, 1)), self.roots, self.reached)

    def place(self, z, r, a):
        """Across and height of ring points."""
        cos, sin = np.cos(a), np.sin(a)
        return (
            z * self.C + r * (cos * self.e1[1] + sin * self.e2[1]),
            z * self.N + r * (cos * self.e1[2] + sin * self.e2[2]) - self.lowest,
        )

    def front(self, along, out):
        """Half the arc of a ring whose normal looks forward; negative when there is none."""
        push = along * self.F
        with np.errstate(divide="ignore", invalid="ignore"):
            cosine = np.where(out > 1e-15, -push / (out * self.E), np.where(push >= 0, -2.0, 2.0))
        return np.where(cosine > 1, -1.0, np.arccos(np.clip(cosine, -1, 1)))

    def arcs(self, z, r, along, out, whole=False):
        """Arcs of angle that lie below the stock and look forward: (low, high), each (3, ...), empty if high < low."""
        swing = r * self.lean  # the height of a ring is middle + swing cos(a - crest)
        crest = math.atan2(self.e2[2], self.e1[2])
        gap = self.depth - z * self.N + self.lowest
        with np.errstate(divide="ignore", invalid="ignore"):
            cosine = np.where(gap >= swing, -2.0, np.where(swing > 1e-300, -gap / swing, 2.0))
        below = np.where(cosine > 1, -1.0, np.arccos(np.clip(cosine, -1, 1)))
        ahead = np.full(np.shape(below), math.pi) if whole else self.front(along, out)
        low = np.maximum(crest + math.pi - below + TURNS, -ahead)
        high = np.minimum(crest + math.pi + below + TURNS, ahead)
        return low, np.where((below < 0) | (ahead < 0), low - 1, high)

    def met(self, piece, u, whole):
        """Whether any angle of the rings is below the stock and ahead."""
        u = np.atleast_1d(np.asarray(u, dtype=float))
        low, high = self.arcs(*piece.point(u), *piece.normal(u), whole)
        return (high >= low).any(axis=0)

    def freedom(self, piece, u, stepover, exact=False):
        """How far the ring comes out of the earlier pass at most, over its arcs."""
        u = np.atleast_1d(np.asarray(u, dtype=float))
        z, r = piece.point(u)
        low, high = self.arcs(z, r, *piece.normal(u))
        empty = high < low
        low, high = low[..., None], np.where(empty, low, high)[..., None]
        at = low + (high - low) * np.linspace(0, 1, 65)
        across, height = self.place(z[:, None], r[:, None], at)
        free = np.where(empty[..., None], -np.inf, across + stepover - self.quick_reach(height))
        if not exact:
            return free.max(axis=(0, 2))
        row, _, col = np.unravel_index(np.argmax(free), free.shape)  # one ring only
        near = at[row, 0, max(col - 1, 0)], at[row, 0, min(col + 1, 64)]
        for _ in range(4):
            grid = np.linspace(*near, 33)
            across, height = self.place(z, r, grid)
            found = across + stepover - self.reach(height)
            col = int(np.argmax(found))
            near = grid[max(col - 1, 0)], grid[min(col + 1, 32)]
        return found.max(keepdims=True) if np.isfinite(free).any() else np.array([-np.inf])


@functools.lru_cache(maxsize=64)
def _tool(pieces, normal_depth, lead, tilt, stepover, uncut_side):
    """A tool with the uncut side on the left (the right is its mirror image); kept, for the next question on it."""
    tool = Tool(pieces, lead, tilt if uncut_side == "left" else -tilt, normal_depth)
    if stepover is not None:
        tool.tabulate()
    return tool


def _span(tool, piece, stepover, whole):
    """First and last profile parameter of a piece that cuts, or None."""

    def look(grid):
        found = tool.met(piece, grid, whole)
        if stepover is None or whole:
            return found, None
        free = tool.freedom(piece, grid, stepover)
        return free > 0, free

    if piece.kind == "edge":
        return (0.0, 0.0) if look(np.zeros(1))[0][0] else None
    coarse = np.linspace(0, 1, 4001)
    found = np.flatnonzero(tool.met(piece, coarse, whole))
    if not found.size:
        return None
    grid = np.linspace(coarse[max(found[0] - 1, 0)], coarse[min(found[-1] + 1, 4000)], 401)
    for _ in range(3):
        good, free = look(grid)
        if good.any() or free is None or not np.isfinite(free).any():
            break
        k = int(np.argmax(free))
        grid = np.linspace(grid[max(k - 1, 0)], grid[min(k + 1, grid.size - 1)], 41)
    if not good.any():
        return None
    ends = []
    for k, step in ((int(np.flatnonzero(good)[0]), -1), (int(np.flatnonzero(good)[-1]), 1)):
        if not 0 <= k + step < grid.size:
            ends.append(float(grid[k]))
            continue
        inner, outer = float(grid[k]), float(grid[k + step])
        if not tool.met(piece, outer, whole)[0]:
            bad, outer = outer, inner
            for _ in range(10):
                between = np.linspace(bad, outer, 65)
                k = int(np.argmax(tool.met(piece, between, whole)[1:])) + 1
                bad, outer = float(between[k - 1]), float(between[k])
        if free is not None:
            gaps = [tool.freedom(piece, u, stepover, exact=True)[0] for u in (outer, inner)]
            if gaps[0] < 0 < gaps[1]:
                gap = functools.partial(tool.freedom, piece, stepover=stepover, exact=True)
                outer = brentq(lambda u, gap=gap: float(gap(u)[0]), outer, inner, xtol=1e-13, rtol=1e-13)
        ends.append(outer)
    return tuple(ends)


def cutting_diameters(pieces, normal_depth, lead, tilt, stepover=None, uncut_side="left", whole_cap=False):
    """Least and largest diameter that cuts: rings by their arcs, the ends along the profile by root finding."""
    tool = _tool(pieces, normal_depth, lead, tilt, stepover, uncut_side)
    radii = []
    for piece in tool.pieces:
        span = _span(tool, piece, stepover, whole_cap)
        if span:
            radii += [float(piece.point(np.float64(u))[1]) for u in span]
    return (2 * min(radii), 2 * max(radii)) if radii else (math.nan, math.nan)


def chip_reach(pieces, normal_depth, lead, tilt, stepover=None, uncut_side="left", sliding=True, cells=1000):
    """Largest and area-mean n.F over the part that cuts, by a grid fitted to the arcs; edges have no area.

    A face along the feed (n.F = 0, the bottom of an upright flat end) counts in the mean unless `sliding` is False.
    The mean alone depends on the number of cells: 200 are good to 4e-4, 1000 to about 1e-5.
    """
    tool = _tool(pieces, normal_depth, lead, tilt, stepover, uncut_side)
    largest, push, area, share = -math.inf, 0.0, 0.0, (np.arange(cells) + 0.5) / cells
    for piece in tool.pieces:
        span = None if piece.kind == "edge" else _span(tool, piece, stepover, False)
        if not span or span[1] <= span[0]:
            continue
        # the middle of cells crowded toward both ends, where the arcs may open like a root
        edges = span[0] + (span[1] - span[0]) * 0.5 * (1 - np.cos(math.pi * np.linspace(0, 1, cells + 1)))
        u, weight = 0.5 * (edges[1:] + edges[:-1]), np.diff(edges) * piece.length
        z, r = piece.point(u)
        along, out = piece.normal(u)
        for low, high in zip(*tool.arcs(z, r, along, out), strict=True):
            if not (high > low).any():
                continue
            width = np.maximum(high - low, 0)
            at = low[:, None] + width[:, None] * share
            across, height = tool.place(z[:, None], r[:, None], at)
            free = across + stepover - tool.quick_reach(height) if stepover is not None else np.ones_like(at)
            # a point within half a cell of the earlier pass counts in part
            slope = np.abs(np.gradient(free, axis=1)) + 1e-300
            inside = np.clip(free / slope + 0.5, 0, 1) * (width[:, None] > 0)
            forward = out[:, None] * tool.E * np.cos(at) + along[:, None] * tool.F
            if not sliding and np.abs(forward).max() < 1e-14:
                continue
            share_area = inside * (weight * r * width)[:, None] / share.size
            push, area = push + float((share_area * forward).sum()), area + float(share_area.sum())
        largest = max(largest, _climb(tool, piece, span, stepover))
    return (largest, push / area) if area else (math.nan, math.nan)


def _climb(tool, piece, span, stepover):
    """Largest n.F of one piece: on each ring the admissible angle nearest to zero, rings narrowed onto the best."""
    u, best = np.linspace(*span, 201), -math.inf
    for turn in range(8):
        z, r = piece.point(u)
        along, out = piece.normal(u)
        low, high = tool.arcs(z, r, along, out)
        near = np.concatenate([np.maximum(low, 0), np.minimum(high, 0)])
        far = np.concatenate([np.maximum(high, 0), np.minimum(low, 0)])
        ring = np.nonzero(np.concatenate([(high >= low) & (high >= 0), (high >= low) & (low <= 0)]))
        near, far, ring = near[ring], far[ring], ring[1]
        for step in range(6 if stepover is not None else 0):
            at = near[:, None] + (far - near)[:, None] * np.linspace(0, 1, 101 if step == 0 else 17)
            across, height = tool.place(z[ring, None], r[ring, None], at)
            quick = turn == 0 or step == 0
            free = across + stepover - (tool.quick_reach(height) if quick else tool.reach(height)) > 0
            some = free.any(axis=1) | (step > 0)
            at, ring, first = at[some], ring[some], np.argmax(free[some], axis=1)
            first = np.where(free[some].any(axis=1), first, at.shape[1] - 1)  # none left close by: the far end
            rows = np.arange(ring.size)
            near, far = at[rows, np.maximum(first - 1, 0)], at[rows, first]
        if not ring.size:
            break
        forward = out[ring] * tool.E * np.cos(far if stepover is not None else near) + along[ring] * tool.F
        i = int(ring[np.argmax(forward)])
        best = max(best, float(forward.max())) if turn > 0 else best
        u = np.linspace(u[max(i - 1, 0)], u[min(i + 1, u.size - 1)], 12)
    return best


def ring_stretches(pieces, z, normal_depth, lead, tilt, stepover=None, uncut_side="left", size=7200):
    """Angles about the axis and whether the ring at height z cuts there (a sharp edge at z: any normal of its fan)."""
    tool = _tool(pieces, normal_depth, lead, tilt, stepover, uncut_side)
    held = [p for p in tool.pieces if p.start[0] <= z <= p.end[0] and (p.kind == "edge" or p.end[0] > p.start[0])]
    angles = 2 * math.pi * (np.arange(size) + 0.5) / size - math.pi
    if not held:
        return angles, np.zeros(size, bool)
    piece = held[-1]  # edges come last
    u = np.float64(piece.kind != "edge" and z >= piece.end[0])
    if piece.start[0] < z < piece.end[0]:
        u = np.float64(brentq(lambda v: float(piece.point(v)[0]) - z, 0, 1, xtol=1e-15))
    (height, r), (along, out) = piece.point(u), piece.normal(u)
    turned = angles if uncut_side == "left" else -angles
    across, up = tool.place(height, r, turned)
    cuts = (up <= normal_depth) & (out * tool.E * np.cos(turned) + along * tool.F >= 0)
    if stepover is not None:
        free = across[cuts] + stepover - tool.quick_reach(up[cuts])
        close = np.abs(free) < 1e-3  # the table is far closer than that
        free[close] = across[cuts][close] + stepover - tool.reach(up[cuts][close])
        cuts[cuts] = free > 0
    return angles, cuts


def mark_height(pieces, feed, lead, tilt, surface_radius=math.inf):
    """Ridge between copies a feed apart in the plane of feed and normal through the contact; nan if they never meet."""
    tool = Tool(pieces, lead, tilt)
    top, axis = tool.corners[-1, 0], (tool.F, tool.C, tool.N)

    def outline(z):
        z = np.clip(z, 0.0, top)
        best = np.full(np.shape(z), tool.corners[tool.corners[:, 0] <= 0, 1].max())
        for p in (p for p in tool.pieces if p.end[0] > p.start[0]):
            (z0, r0), (z1, r1) = p.start, p.end
            if p.kind == "line":
                r = r0 + (z - z0) * (r1 - r0) / (z1 - z0)
            else:
                r = p.centre[1] + np.sqrt(np.maximum((p.size - z + p.centre[0]) * (p.size + z - p.centre[0]), 0))
            best = np.where((z > z0) & (z <= z1), r, best)
        return best

    def outside(x, y):
        point = (x + tool.origin[0], tool.origin[1], y + tool.origin[2])
        z = sum(p * t for p, t in zip(point, axis, strict=True))
        radius = np.sqrt(sum((p - z * t) ** 2 for p, t in zip(point, axis, strict=True)))
        return np.maximum(-z, radius - outline(z))

    def rise(along):
        """Height at which the line square to the surface, `along` from the contact, meets the body."""
        angle = along / surface_radius
        way, first = (math.sin(angle), math.cos(angle)), (along, 0.0)
        if math.isfinite(surface_radius):
            first = (surface_radius * way[0], surface_radius * (way[1] - 1))
        start = -first[1] / way[1] if first[1] > 0 else 0.0  # a body off the plane cannot lie below it

        def gap(h):
            return outside(first[0] + h * way[0], first[1] + h * way[1])

        if gap(start) <= 0:
            return start
        steps = start + (4 * tool.radius + top) * np.linspace(0, 1, 4001) ** 2
        inside = np.flatnonzero(gap(steps) <= 0)
        if not inside.size:
            return math.inf
        return brentq(lambda h: float(gap(h)), steps[inside[0] - 1], steps[inside[0]], xtol=1e-16, rtol=1e-15)

    def lead_of_first(x):
        one, other = rise(x), rise(x - feed)
        return 0.0 if one == other else max(min(one - other, 1e3), -1e3)

    if lead_of_first(0.0) > 0 or lead_of_first(feed) < 0:
        return math.nan
    at = brentq(lead_of_first, 0.0, feed, xtol=1e-15, rtol=1e-15)
    return rise(at) if math.isfinite(rise(at)) and abs(lead_of_first(at)) < 1e-6 else math.nan
