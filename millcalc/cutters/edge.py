"""The engaged edge: for rings of the tool between its lowest and highest in the cut, where an edge enters and leaves.

An angle about the axis is counted from the direction square to the axis nearest the feed, positive toward the left.
A ring is in the cut where it leads, lies below the stock plane, and outside what the pass before removed; that is
one stretch, or two.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from millcalc.cutters.cap import cap_stretch
from millcalc.cutters.profile import Profile
from millcalc.cutters.region import Region
from millcalc.cutters.silhouette import Form, in_chunks

__all__ = ["engaged_edge"]

_HALVINGS = 50
_PLACES = np.linspace(0.0, 1.0, 73)
_TURN = 2.0 * np.pi


def engaged_edge(
    profile: Profile, normal_depth: Any, lead: Any, tilt: Any, stepover: Any, mirrored: Any, points: int
) -> list[Any]:
    """Height, radius, edge angle [deg] and two stretches [deg] of rings; each with a last axis over the rings."""

    def edge(form: Form, depth: Any, lead: Any, tilt: Any, stepover: Any, mirrored: Any) -> Any:
        region = Region.of(form, depth, lead, tilt, stepover, mirrored)
        rings = [np.stack(np.broadcast_arrays(*rows)) for rows in zip(*_rings(region, points), strict=True)]
        stretches = _stretches(region, *rings)
        ends = [np.degrees(np.where(mirrored > 0.0, -angle, angle)) for pair in stretches for angle in pair]
        for first in (0, 2):
            ends[first : first + 2] = np.minimum(*ends[first : first + 2]), np.maximum(*ends[first : first + 2])
        return np.concatenate([rings[0], rings[1], np.degrees(rings[2]), *ends])

    case = (normal_depth, lead, tilt, stepover, mirrored)
    found = in_chunks(edge, profile, *case, results=7 * points, nodes=points * len(_PLACES))
    return list(np.split(np.stack(np.broadcast_arrays(*found), axis=-1), 7, axis=-1))


def _rings(region: Region, points: int) -> Any:
    """Rings evenly along the part of the profile that lies below the stock plane: height, radius, edge angle [rad]."""
    form, left = region.form, region.left
    lean = np.arctan2(np.hypot(left.sine, left.cosine * left.side), left.cosine * left.down)
    low, high, _ = cap_stretch(form, region.depth, lean)
    # what faces down more steeply than the lead never leads
    leads = _upper_end(form, region.lead)
    low = tuple(
        np.where((region.lead > 0.0) & (leads[0] >= low[0]), new, old) for new, old in zip(leads, low, strict=True)
    )
    pieces = _pieces(form, low, high)
    total = sum(size for size, _ in pieces)
    for place in np.linspace(0.0, 1.0, points):
        yield _at_length(pieces, place * total)


def _upper_end(form: Form, psi: Any) -> tuple[Any, Any]:
    """Height and radius of the highest point whose normal stands at psi [rad]."""
    height: Any = 0.0
    radius: Any = 0.0
    for arc in range(form.count):
        angle = np.clip(psi, form.normal[arc], form.normal[arc + 1])
        reached = psi >= form.normal[arc]
        height, radius = (
            np.where(reached, new, old) for new, old in zip(form.on_arc(arc, angle), (height, radius), strict=True)
        )
    return height, radius


def _pieces(form: Form, low: tuple[Any, Any], high: tuple[Any, Any]) -> list[tuple[Any, Any]]:
    """Length, and a function from a share of it to the ring, of each arc and straight piece within a stretch."""
    made = []
    before: Any = None
    for arc in range(form.count):
        centre, up, rho = form.centre_radius[arc], form.centre_height[arc], form.arc_radius[arc]
        first, last = form.normal[arc], form.normal[arc + 1]
        start, end = form.ends(arc)
        if before is not None:
            made.append(_straight(before, start, low, high))
        made.append(_round((centre, up, rho), first, last, low, high))
        before = end
    if form.endless:
        top = np.maximum(high[0], before[0])
        made.append(_straight(before, (top, before[1]), low, high))
    return made


def _straight(start: tuple[Any, Any], end: tuple[Any, Any], low: tuple[Any, Any], high: tuple[Any, Any]) -> Any:
    def share(point: tuple[Any, Any]) -> Any:
        run = [b - a for a, b in zip(start, end, strict=True)]
        square = run[0] * run[0] + run[1] * run[1]
        along = (point[0] - start[0]) * run[0] + (point[1] - start[1]) * run[1]
        within = np.clip(along / np.where(square > 0.0, square, 1.0), 0.0, 1.0)
        return np.where(square > 0.0, within, 0.0)

    first, last = share(low), share(high)
    size = np.hypot(end[0] - start[0], end[1] - start[1]) * np.maximum(last - first, 0.0)
    kappa = np.arctan2(end[0] - start[0], end[1] - start[1])

    def ring(part: Any) -> tuple[Any, Any, Any]:
        along = first + (last - first) * part
        return start[0] + along * (end[0] - start[0]), start[1] + along * (end[1] - start[1]), kappa + 0.0 * along

    return size, ring


def _round(arc: tuple[Any, Any, Any], first: Any, last: Any, low: tuple[Any, Any], high: tuple[Any, Any]) -> Any:
    centre, up, rho = arc

    def angle(point: tuple[Any, Any]) -> Any:
        # the way round the centre; points elsewhere on the profile fall to the arc's nearer end
        return np.clip(np.arctan2(point[1] - centre, up - point[0]), first, last)

    below, above = np.where(low[0] > up - rho * np.cos(last), last, angle(low)), angle(high)
    above = np.where(high[0] < up - rho * np.cos(first), first, above)
    size = rho * np.maximum(above - below, 0.0)

    def ring(part: Any) -> tuple[Any, Any, Any]:
        psi = below + (above - below) * part
        return up - rho * np.cos(psi), centre + rho * np.sin(psi), psi

    return size, ring


def _at_length(pieces: list[tuple[Any, Any]], length: Any) -> tuple[Any, Any, Any]:
    """The ring at a length along the pieces."""
    passed: Any = 0.0 * length
    found: tuple[Any, Any, Any] | None = None
    for size, ring in pieces:
        part = np.clip((length - passed) / np.where(size > 0.0, size, 1.0), 0.0, 1.0)
        here = ring(part)
        within = (size > 0.0) & (length >= passed * (1.0 - 1e-12))
        if found is None:
            found = here
        a, b, c = (np.where(within, h, f) for h, f in zip(here, found, strict=True))
        found = a, b, c
        passed = passed + size
    assert found is not None
    return found


def _stretches(region: Region, height: Any, radius: Any, kappa: Any) -> list[tuple[Any, Any]]:
    """Both stretches of angle over which a ring cuts; NaN where there is none."""
    left = region.left
    sine, cosine = np.sin(region.lead), left.cosine
    ratio = sine / cosine / np.tan(np.where(kappa > 0.0, kappa, 1e-300))
    front = np.arccos(np.clip(ratio, -1.0, 1.0))
    front = np.where(ratio >= 1.0 + 1e-12, np.nan, front)
    toward_n, toward_c = radius * sine * left.down, radius * left.side
    limit = height * cosine * left.down - region.depth - left.base[1]
    size = np.hypot(toward_n, toward_c)
    share = limit / np.where(size > 0.0, size, np.nan)
    share = np.where(size > 0.0, share, np.where(limit <= 1e-12, -1.0, 2.0))
    wide = np.where(share > 1.0 + 1e-9, np.nan, np.arccos(np.clip(share, -1.0, 1.0)))
    middle = np.arctan2(toward_c, toward_n)
    found = []
    # a ring that leads all round is cut from the stock alone; one that lies below it too begins opposite the left
    around, below = front >= np.pi - 1e-12, wide >= np.pi - 1e-12
    whole = around | below
    start = np.where(around, np.where(below, -0.5 * np.pi, middle - wide), -front)
    end = np.where(around, np.where(below, 1.5 * np.pi, middle + wide), front)
    for turn in (-_TURN, 0.0, _TURN):
        low, high = np.maximum(-front, middle + turn - wide), np.minimum(front, middle + turn + wide)
        low, high = (np.where(whole, np.nan if turn else v, w) for v, w in ((start, low), (end, high)))
        found.append((np.where(low <= high, low, np.nan), np.where(low <= high, high, np.nan)))
    return _first_two([run for low, high in found for run in _beside(region, height, radius, low, high)])


def _first_two(stretches: list[tuple[Any, Any]]) -> list[tuple[Any, Any]]:
    first = second = tuple(0.0 * s + np.nan for s in stretches[0])
    for low, high in stretches:
        exists, taken = ~np.isnan(low), ~np.isnan(first[0])
        second = tuple(np.where(exists & taken, v, s) for v, s in zip((low, high), second, strict=True))
        first = tuple(np.where(exists & ~taken, v, f) for v, f in zip((low, high), first, strict=True))
    return [first, second]


def _beside(region: Region, height: Any, radius: Any, low: Any, high: Any) -> list[tuple[Any, Any]]:
    """What the pass before has left of a stretch: the first two runs of places that it did not reach."""
    if not np.any(region.beside):
        return [(low, high)]

    def stands(angle: Any) -> Any:
        left = region.left
        w = radius * np.cos(angle)
        across, up = left.turned(radius * np.sin(angle), height * left.cosine - w * np.sin(region.lead))
        across, up = across - left.base[0], np.clip(up - left.base[1], 0.0, region.depth)
        return ~region.beside | (across > left.at(up).across - region.stepover)

    places = _PLACES.reshape(-1, *(1,) * np.ndim(low))
    angles = low + (high - low) * places
    standing = stands(angles) & ~np.isnan(angles)
    begins = standing & ~np.concatenate([np.zeros_like(standing[:1]), standing[:-1]])
    run = np.cumsum(begins, axis=0)
    found = []
    for number in (1, 2):
        within = standing & (run == number)
        first, last = within.argmax(axis=0), len(_PLACES) - 1 - within[::-1].argmax(axis=0)
        ends = [_end(stands, angles, place, way) for place, way in ((first, -1), (last, 1))]
        exists = within.any(axis=0)
        found.append((np.where(exists, ends[0], np.nan), np.where(exists, ends[1], np.nan)))
    return found


def _end(stands: Callable[[Any], Any], angles: Any, place: Any, way: int) -> Any:
    """Where a run ends, between its last place in a direction and the one beyond; the stretch's own end is kept."""
    beyond = np.clip(place + way, 0, len(_PLACES) - 1)
    own = np.take_along_axis(angles, place[None], axis=0)[0]
    kept, gone = own, np.take_along_axis(angles, beyond[None], axis=0)[0]
    for _ in range(_HALVINGS):
        middle = 0.5 * (kept + gone)
        inside = stands(middle)
        kept, gone = np.where(inside, middle, kept), np.where(inside, gone, middle)
    return np.where(beyond == place, own, kept)
