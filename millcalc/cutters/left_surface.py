"""The surface that passes leave between them: its profile across the feed and its roughness."""

from __future__ import annotations

from typing import Any

import numpy as np

from millcalc.cutters.profile import Profile
from millcalc.cutters.scallop import ridge, sides
from millcalc.cutters.silhouette import Form, Walk, in_chunks, level
from millcalc.formulas._gauss import gauss

__all__ = ["height_for_ra", "left_profile", "roughness"]

_POINTS = 20  # of Gauss, along a piece
_ROUNDS = 40


def left_profile(profile: Profile, stepover: Any, lead: Any, tilt: Any, surface_radius: Any, points: int) -> Any:
    """Distance across and height of points from one pass's contact over the ridge to the next one's.

    Returns two arrays whose last axis runs over 2 `points` - 1 points; where the ridge leans over, it leans.
    """

    def surface(form: Form, stepover: Any, lead: Any, tilt: Any, radius: Any) -> Any:
        left, right = sides(form, lead, tilt, 1.0 / radius)
        top, _ = ridge(left, right, stepover)
        rising, falling, heights = [0.0 * top], [stepover], [0.0 * top]
        for share in np.linspace(0.0, 1.0, points)[1:]:
            height = top * share * share
            rising.append(left.at(height).reach)
            falling.append(stepover - right.at(height).reach)
            heights.append(height)
        # a flat bottom that covers the stepover leaves a plane
        plane = top == 0.0
        rows = [*rising, *reversed(falling[:-1])]
        even = np.linspace(0.0, 1.0, len(rows))
        rows = [np.where(plane, stepover * share, row) for share, row in zip(even, rows, strict=True)]
        return [*rows, *heights, *reversed(heights[:-1])]

    rows = in_chunks(surface, profile, stepover, lead, tilt, surface_radius, results=2 * (2 * points - 1))
    whole = np.stack(np.broadcast_arrays(*rows), axis=-1)
    return np.split(whole, 2, axis=-1)


def roughness(profile: Profile, stepover: Any, lead: Any, tilt: Any, surface_radius: Any) -> tuple[Any, Any, Any]:
    """Ra, Rz and Rq [mm] across the feed; NaN where the ridge leans over, for such a profile has no height."""

    def values(form: Form, stepover: Any, lead: Any, tilt: Any, radius: Any) -> Any:
        left, right = sides(form, lead, tilt, 1.0 / radius)
        top, _ = ridge(left, right, stepover)
        ra, rq = _deviations(left, right, top)
        plane = top == 0.0
        return np.where(plane, 0.0, ra), np.where(plane, 0.0, top + 0.0 * ra), np.where(plane, 0.0, rq)

    return in_chunks(values, profile, stepover, lead, tilt, surface_radius, results=3, nodes=_POINTS)  # type: ignore[no-any-return]


def height_for_ra(profile: Profile, ra: Any, lead: Any, tilt: Any, surface_radius: Any) -> Any:
    """Scallop height [mm] whose profile has an Ra [mm]; Ra and height are nearly in proportion, so a few secants do."""

    def height(form: Form, ra: Any, lead: Any, tilt: Any, radius: Any) -> Any:
        left, right = sides(form, lead, tilt, 1.0 / radius)
        at, before, error_before = 4.0 * ra, None, None
        for _ in range(_ROUNDS):
            found, _ = _deviations(left, right, at)
            error = found - ra
            new = at * ra / found
            if before is not None:
                secant = at - error * (at - before) / (error - error_before)
                new = np.where((secant > 0.25 * new) & (secant < 4.0 * new), secant, new)
            settled = np.abs(error) <= 1e-13 * ra
            before, error_before, at = at, error, np.where(settled, at, new)
            if np.all(settled | np.isnan(error)):
                break
        return np.where(np.abs(error) <= 1e-9 * ra, at, np.nan)

    return in_chunks(height, profile, ra, lead, tilt, surface_radius, nodes=_POINTS)


def _deviations(left: Walk, right: Walk, top: Any) -> tuple[Any, Any]:
    """Ra and Rq of the profile up to a ridge of height `top`."""
    total = _moments(left, top), _moments(right, top)
    width, first, second = (a + b for a, b in zip(*total, strict=True))
    mean = first / width
    low = _moments(left, mean), _moments(right, mean)
    below, under, _ = (a + b for a, b in zip(*low, strict=True))
    return 2.0 * (mean * below - under) / width, np.sqrt(np.maximum(second / width - mean * mean, 0.0))


def _moments(walk: Walk, top: Any) -> tuple[Any, Any, Any]:
    """Width, and integrals over it of the height and its square, from the contact to where a side is `top` high."""
    end = walk.at(top)
    overhangs = end.chi - walk.tilt > np.pi / 2 + 1e-12
    first = second = 0.0 * top
    chi_from, point = walk.tilt, (0.0 * top, 0.0 * top)
    for place in range(len(walk.arcs) + 1):
        last = place == len(walk.arcs)
        reached = np.full(np.shape(top), np.inf) if last else walk.level[place]
        station = (end.across, end.up) if last else (walk.across[place], walk.up[place])
        ahead, high = reached > -np.inf, reached >= top * (2.0 + walk.bend * top)
        stop = tuple(np.where(high, e, s) for e, s in zip((end.across, end.up), station, strict=True))
        if place % 2 == 0 and not last:
            chi_to = np.minimum(walk.chi[place], np.where(high, end.chi, np.inf))
            pieces = _over_arc(walk, walk.arcs[place], chi_from, np.maximum(chi_to, chi_from))
            chi_from = np.where(ahead, np.maximum(walk.chi[place], chi_from), chi_from)
        else:
            pieces = _over_line(walk, point, stop)
        first, second = (np.where(ahead, a + p, a) for a, p in zip((first, second), pieces, strict=True))
        point = tuple(np.where(ahead, s, p) for s, p in zip(stop, point, strict=True))
    return np.where(overhangs, np.nan, end.reach), first, second


def _over_arc(walk: Walk, arc: int, low: Any, high: Any) -> tuple[Any, Any]:
    form = walk.form
    pieces = (form.centre_radius[arc], form.centre_height[arc], form.arc_radius[arc])
    # a small lead squeezes the ellipse of an arc's centre into small chi; without one all is even in chi
    squeezed = (walk.sine > 0.0) & (pieces[0] != 0.0)
    small = np.where(squeezed, np.minimum(walk.sine, 1.0), 1.0)
    first, last = np.arcsinh(low / small), np.arcsinh(high / small)
    nodes, weights = (v[:, None] for v in gauss(_POINTS))
    at = first + (last - first) * nodes
    across, up, bow, out, above = walk.stretch(pieces).point(small * np.sinh(at))
    run = (last - first) * weights * small * np.cosh(at) * bow
    return _summed(walk.bend, (across, up), (out * run, above * run))


def _over_line(walk: Walk, start: tuple[Any, Any], end: tuple[Any, Any]) -> tuple[Any, Any]:
    out, above = end[0] - start[0], end[1] - start[1]
    nodes, weights = (v[:, None] for v in gauss(_POINTS))
    place = start[0] + nodes * out, start[1] + nodes * above
    return _summed(walk.bend, place, (out * weights, above * weights))


def _summed(bend: Any, place: tuple[Any, Any], run: tuple[Any, Any]) -> tuple[Any, Any]:
    """Sum the height and its square over short runs, by the width that each has along the surface."""
    height = level(*place, bend)
    width = (run[0] * (1.0 + bend * place[1]) - run[1] * bend * place[0]) / (1.0 + bend * height) ** 2
    return np.sum(height * width, axis=0), np.sum(height * height * width, axis=0)
