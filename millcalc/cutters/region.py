"""The part of the tool that cuts: leading, below the stock plane, and outside what the pass before removed.

Seen along the feed it is a region of the silhouette, bounded by the silhouette itself, by the stock plane, and by
the silhouette of the pass before, one stepover toward the machined side.  Diameters and chip are extreme on those
curves: on the silhouette at its ends and where the axis comes nearest, on the other two where a search finds them.
The stock stands on the left here; for the right the tool is mirrored.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from typing import Any

import attrs
import numpy as np

from millcalc.cutters import upright
from millcalc.cutters.cap import cap_stretch
from millcalc.cutters.front import Front, Surface
from millcalc.cutters.profile import Profile
from millcalc.cutters.scallop import ridge
from millcalc.cutters.silhouette import Form, Walk, in_chunks
from millcalc.formulas._gauss import gauss

__all__ = ["Region", "chip_reach", "cutting_radii", "mean_reach"]

_CELLS, _ROUNDS = 16, 14  # of the search for radii, which are smooth along a curve
_CHIP_CELLS, _CHIP_ROUNDS = 64, 30  # of that for the chip, which leaps at sharp corners
_POINTS = 12  # of Gauss, along each of two directions


@attrs.frozen(eq=False, slots=False)
class Region:
    """The cutting region of flat arrays of cases, seen along the feed."""

    form: Form
    lead: Any
    depth: Any
    stepover: Any
    left: Walk
    right: Walk
    surface: Surface
    beside: Any
    """Whether the pass before takes part of the region away."""
    upper: tuple[Any, Any]
    """How far the silhouette reaches to the left and to the right at the stock plane."""

    @classmethod
    def of(cls, form: Form, depth: Any, lead: Any, tilt: Any, stepover: Any, mirrored: Any) -> Region:
        """Lay the region out; angles in degrees, `mirrored` above 0 where the stock stands on the right."""
        lead = np.radians(lead)
        tilt = np.radians(np.where(mirrored > 0.0, -tilt, tilt))
        flat = 0.0 * lead
        left, right = Walk.both(form, lead, tilt, flat)
        surface = Surface.of(form, lead, tilt, (flat, *left.base))
        upper = left.at(depth).across, right.at(depth).across
        beside = stepover < upper[0] + upper[1]
        return cls(form, lead, depth, stepover, left, right, surface, beside, upper)

    @functools.cached_property
    def ridge(self) -> Any:
        """Height at which the pass before meets the silhouette, at most the depth."""
        met, _ = ridge(
            self.left, self.right, np.where(self.beside, self.stepover, 0.5 * (self.upper[0] + self.upper[1]))
        )
        return np.where(self.beside, np.minimum(met, self.depth), self.depth)

    @property
    def inner(self) -> Any:
        """How far the stock plane's part of the region reaches toward the machined side."""
        return np.maximum(-self.upper[1], self.upper[0] - self.stepover)

    def fronts(self, shares: Any, near: Any = None) -> Front:
        """Points of the leading surface: on the curve in the stock plane, and on that which the pass before left.

        The first axis of the shares is over the two curves, the last over the elements.  Both curves are dense at
        their ends, where the tool turns away steeply; the second runs geometrically, for where the stepover is fine
        the extremes lie close to the ridge.
        """
        even = 0.5 - 0.5 * np.cos(np.pi * shares)
        on_stock = self.inner + even[0] * (self.upper[0] - self.inner)
        low = np.maximum(self.ridge, 1e-9 * self.depth)
        up = np.minimum(low * (self.depth / low) ** even[1], self.depth)
        on_pass = np.where(self.beside, self.left.at(up).across - self.stepover, np.nan)
        ups = np.stack([self.depth + 0.0 * up, up])
        return self.surface.leaves(np.stack([on_stock, on_pass]), ups, near)

    def extremes(self, value: Callable[[Front], Any], signs: tuple[float, ...], cells: int, rounds: int) -> Any:
        """The greatest (sign 1) or least (-1) value on both curves together, a row for each sign."""
        size = np.shape(self.depth)
        nodes = np.broadcast_to(np.linspace(0.0, 1.0, cells + 1)[:, None], (2, cells + 1, *size))
        fronts = self.fronts(nodes)
        sampled = value(fronts)
        way = np.array(signs)[:, None]
        values = np.where(np.isnan(sampled), -np.inf, sampled * way[:, :, None, None])
        best = np.argmax(values, axis=2)
        places = [(best + i) / cells for i in (-1, 0, 1)]
        mirrored = [cells - np.abs(cells - np.abs(best + i)) for i in (-1, 0, 1)]
        heights = [np.take_along_axis(values, m[:, :, None], axis=2)[:, :, 0] for m in mirrored]
        near = np.moveaxis(np.take_along_axis(fronts.ahead[None], best[:, :, None], axis=2)[:, :, 0], 0, 1)
        top = heights[1]
        for turn in range(rounds):
            new = _next_place(places, heights, turn % 2 == 0)
            # the values are level at both ends, so they are continued as their mirror image beyond them
            inside = np.moveaxis(1.0 - np.abs(1.0 - np.abs(new)), 0, 1)
            found = np.moveaxis(value(self.fronts(inside, near)), 1, 0) * way[:, :, None]
            top = np.fmax(top, found)
            places, heights = _narrowed(places, heights, new, found)
        best_of_both = np.max(top, axis=1)
        return way * np.where(np.isinf(best_of_both), np.nan, best_of_both)

    def silhouette_radii(self) -> list[Any]:
        """Radii where they may be extreme on the silhouette: its ends, the contact, where the axis is nearest."""
        roots = [(self.left, self.left.at(self.depth)), (self.right, self.right.at(self.ridge))]
        found = [self._radius_at(walk, root) for walk, root in roots]
        # the axis is passed where the silhouette crosses the apparent one; a flat bottom may end on the way there
        spans = np.logical_and.reduce([_aside(walk, root) >= 0.0 for walk, root in roots])
        near = np.abs(self.lead)
        for radius in _radii_at_normal(self.form, near):
            found.append(np.where(spans, radius, np.nan))
        lean = np.arctan2(
            np.hypot(self.left.sine, self.left.cosine * self.left.side), self.left.cosine * self.left.down
        )
        return [*found, *_radii_at_normal(self.form, lean)]

    def _radius_at(self, walk: Walk, root: Any) -> Any:
        """Distance from the axis of a point of the silhouette."""
        psi = np.arccos(np.clip(walk.cosine * np.cos(root.chi), -1.0, 1.0))
        x = np.abs(_aside(walk, root))
        sine = np.sin(root.chi)
        apart = np.abs(sine) > 1e-9
        middle = np.fmax.reduce(_radii_at_normal(self.form, psi))
        found = np.where(apart, x * np.sin(psi) / np.where(apart, np.abs(sine), 1.0), middle)
        # without a lead the silhouette is the section
        return np.where(walk.sine == 0.0, x, found)

    def stock_extremes(self) -> list[Any]:
        """Radii where the stock plane is touched nearest to and furthest up the axis, if the tool cuts there."""
        sine, tilt = np.sin(self.lead), self.left.tilt
        across, up = self.left.cosine * np.sin(tilt), self.left.cosine * np.cos(tilt)
        flat = np.hypot(sine, across)
        lean = np.arctan2(flat, up)
        low, high, _ = cap_stretch(self.form, self.depth, lean)
        found = []
        for way, (height, radius) in ((-1.0, low), (1.0, high)):
            place = height * across + radius * across * up / np.where(flat > 0.0, flat, 1.0) - self.left.base[0]
            # a hair's breadth inside counts: the point then lies on the pass before
            cuts = (way * sine >= 0.0) & (place >= self.inner - 1e-12) & (place <= self.upper[0] + 1e-12)
            found.append(np.where(cuts & (flat > 0.0), radius, np.nan))
        return found

    def tip_radius(self) -> Any:
        """0 where the tip cuts, else NaN: it leads when the axis lags."""
        across, up = -self.left.base[0], -self.left.base[1]
        kept = ~self.beside | (across >= self.left.at(up).across - self.stepover)
        cuts = (self.lead <= 0.0) & (up <= self.depth) & kept & ((self.lead < 0.0) | (self.left.tilt == 0.0))
        return np.where(cuts, 0.0, np.nan)


def _aside(walk: Walk, root: Any) -> Any:
    """How far a point of the silhouette lies from the apparent axis, positive on the side walked."""
    return (root.across + walk.base[0]) * walk.down - (root.up + walk.base[1]) * walk.side


def _radii_at_normal(form: Form, psi: Any) -> list[Any]:
    """Radii of all points of a profile whose normal stands at psi: one, or both ends of a straight piece."""
    found = []
    for arc in range(form.count):
        inside = (psi >= form.normal[arc] - 1e-12) & (psi <= form.normal[arc + 1] + 1e-12)
        radius = form.centre_radius[arc] + form.arc_radius[arc] * np.sin(psi)
        found.append(np.where(inside, radius, np.nan))
    return found


def _next_place(places: list[Any], heights: list[Any], parabola: bool) -> Any:
    """The top of the parabola through three places; in turn with it a cut that brings the longer side to size."""
    (a, b, c), (fa, fb, fc) = places, heights
    one, other = (b - a) * (fb - fc), (b - c) * (fb - fa)
    top = b - 0.5 * ((b - a) * one - (b - c) * other) / (one - other)
    left, right = b - a, c - b
    cut = np.minimum(0.381966 * np.maximum(left, right), 4.0 * np.minimum(left, right))
    cut = np.where(right > left, b + cut, b - cut)
    return np.where((top > a) & (top < c) & (np.abs(top - b) > 1e-9), top, cut) if parabola else cut


def _narrowed(places: list[Any], heights: list[Any], new: Any, value: Any) -> tuple[list[Any], list[Any]]:
    """Keep the best place and its two neighbours."""
    (a, b, c), (fa, fb, fc) = places, heights
    right, better = new > b, value >= fb
    left_b, left_new = right & better, ~right & ~better
    right_b, right_new = ~right & better, right & ~better
    a, fa = (np.where(left_b, q, np.where(left_new, n, o)) for q, n, o in ((b, new, a), (fb, value, fa)))
    c, fc = (np.where(right_b, q, np.where(right_new, n, o)) for q, n, o in ((b, new, c), (fb, value, fc)))
    return [a, np.where(better, new, b), c], [fa, np.where(better, value, fb), fc]


def cutting_radii(
    profile: Profile, normal_depth: Any, lead: Any, tilt: Any, stepover: Any, mirrored: Any
) -> tuple[Any, Any]:
    """Least and largest radius [mm] over the part that cuts; `stepover` infinite for a full-width cut."""
    if upright.applies(profile, lead, tilt):
        depth = np.where(np.isnan(stepover), np.nan, normal_depth + 0.0 * (lead + tilt))
        largest = upright.largest_radius(profile, depth)
        return 0.0 * largest, largest

    def radii(form: Form, depth: Any, lead: Any, tilt: Any, stepover: Any, mirrored: Any) -> Any:
        region = Region.of(form, depth, lead, tilt, stepover, mirrored)
        found = [*region.silhouette_radii(), *region.stock_extremes(), region.tip_radius()]
        low, high = np.fmin.reduce(found), np.fmax.reduce(found)
        least, largest = region.extremes(lambda front: front.radius, (-1.0, 1.0), _CELLS, _ROUNDS)
        low, high = np.fmin(low, least), np.fmax(high, largest)
        known = ~np.isnan(region.upper[0] + region.upper[1])
        return np.where(known, low, np.nan), np.where(known, high, np.nan)

    case = (normal_depth, lead, tilt, stepover, mirrored)
    found: tuple[Any, Any] = in_chunks(radii, profile, *case, results=2, nodes=_CELLS)
    return found


def chip_reach(profile: Profile, normal_depth: Any, lead: Any, tilt: Any, stepover: Any, mirrored: Any) -> Any:
    """Largest component of the tool's normal along the feed over the part that cuts: chip thickness over feed."""
    if upright.applies(profile, lead, tilt):
        return upright.chip_reach(profile, normal_depth + 0.0 * (lead + tilt), stepover)

    def reach(form: Form, depth: Any, lead: Any, tilt: Any, stepover: Any, mirrored: Any) -> Any:
        region = Region.of(form, depth, lead, tilt, stepover, mirrored)
        (largest,) = region.extremes(lambda front: front.forward, (1.0,), _CHIP_CELLS, _CHIP_ROUNDS)
        known = ~np.isnan(region.upper[0] + region.upper[1])
        return np.where(known, np.fmax(largest, 0.0), np.nan)

    return in_chunks(reach, profile, normal_depth, lead, tilt, stepover, mirrored, nodes=_CHIP_CELLS)


def mean_reach(profile: Profile, normal_depth: Any, lead: Any, tilt: Any, stepover: Any, mirrored: Any) -> Any:
    """Mean component of the tool's normal along the feed over the part that cuts, by area."""
    if upright.applies(profile, lead, tilt):
        return upright.mean_reach(profile, normal_depth + 0.0 * (lead + tilt), stepover)

    def mean(form: Form, depth: Any, lead: Any, tilt: Any, stepover: Any, mirrored: Any) -> Any:
        region = Region.of(form, depth, lead, tilt, stepover, mirrored)
        known = ~np.isnan(region.upper[0] + region.upper[1])
        return np.where(known, _mean_forward(region), np.nan)

    return in_chunks(mean, profile, normal_depth, lead, tilt, stepover, mirrored, nodes=_POINTS**2)


def _mean_forward(region: Region) -> Any:
    """Mean component along the feed by area: the region's area seen along the feed over that of the surface."""
    seen = surface = 0.0
    nodes, weights = (v[:, None] for v in gauss(_POINTS))
    angle = np.pi * (nodes - 0.5)[:, None]
    for low, high in ((0.0 * region.depth, region.ridge), (region.ridge, region.depth)):
        up = low + (high - low) * nodes * nodes  # dense at the bottom, where the region is narrow
        rise = (high - low) * 2.0 * nodes * weights
        end = region.left.at(up).across
        start = np.maximum(-region.right.at(up).across, end - region.stepover)
        seen = seen + np.sum(rise * (end - start), axis=0)
        # across, nodes crowd at the silhouette, where the normal is square to the feed
        middle, half = 0.5 * (start + end), 0.5 * (end - start)
        forward = region.surface.leaves(middle + half * np.sin(angle), up + 0.0 * angle).forward
        strip = half * np.cos(angle) * np.pi * weights[:, None] / np.maximum(forward, 1e-9)
        surface = surface + np.sum(rise * np.sum(strip, axis=0), axis=0)
    return np.divide(seen, surface)
