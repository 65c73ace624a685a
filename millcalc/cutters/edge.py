"""The engaged edge: for rings of the tool between its lowest and highest in the cut, where an edge enters and leaves.

An angle about the axis is counted from the direction square to the axis nearest the feed, positive toward the left.
A ring is in the cut where it leads, lies below the stock plane, and outside what the pass before removed; that is
one stretch, or two.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from millcalc.cutters.profile import Profile
from millcalc.cutters.region import Region
from millcalc.cutters.rings import Rings, rings
from millcalc.cutters.silhouette import Form, in_chunks

__all__ = ["engaged_edge", "facing"]

_HALVINGS = 50
_PLACES = np.linspace(0.0, 1.0, 73)
_TURN = 2.0 * np.pi


def engaged_edge(
    profile: Profile, normal_depth: Any, lead: Any, tilt: Any, stepover: Any, mirrored: Any, points: int
) -> list[Any]:
    """Height, radius, edge angle [deg] and two stretches [deg] of rings; each with a last axis over the rings."""

    def edge(form: Form, depth: Any, lead: Any, tilt: Any, stepover: Any, mirrored: Any) -> Any:
        region = Region.of(form, depth, lead, tilt, stepover, mirrored)
        found = rings(region, np.linspace(0.0, 1.0, points))
        stretches = [run for low, high in facing(region, found) for run in _beside(region, found, low, high)]
        ends = [np.degrees(np.where(mirrored > 0.0, -angle, angle)) for pair in _first_two(stretches) for angle in pair]
        for first in (0, 2):
            ends[first : first + 2] = np.minimum(*ends[first : first + 2]), np.maximum(*ends[first : first + 2])
        return np.concatenate([found.height, found.radius, np.degrees(found.edge_angle), *ends])

    case = (normal_depth, lead, tilt, stepover, mirrored)
    found = in_chunks(edge, profile, *case, results=7 * points, nodes=points * len(_PLACES))
    return list(np.split(np.stack(np.broadcast_arrays(*found), axis=-1), 7, axis=-1))


def facing(region: Region, found: Rings) -> list[tuple[Any, Any]]:
    """Stretches of angle [rad] over which rings lead and lie below the stock plane; NaN where there is none."""
    left = region.left
    height, radius, kappa, _ = found
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
    stretches = []
    # a ring that leads all round is cut from the stock alone; one that lies below it too begins opposite the left
    around, below = front >= np.pi - 1e-12, wide >= np.pi - 1e-12
    whole = around | below
    start = np.where(around, np.where(below, -0.5 * np.pi, middle - wide), -front)
    end = np.where(around, np.where(below, 1.5 * np.pi, middle + wide), front)
    for turn in (-_TURN, 0.0, _TURN):
        low, high = np.maximum(-front, middle + turn - wide), np.minimum(front, middle + turn + wide)
        low, high = (np.where(whole, np.nan if turn else v, w) for v, w in ((start, low), (end, high)))
        stretches.append((np.where(low <= high, low, np.nan), np.where(low <= high, high, np.nan)))
    return stretches


def _first_two(stretches: list[tuple[Any, Any]]) -> list[tuple[Any, Any]]:
    first = second = tuple(0.0 * s + np.nan for s in stretches[0])
    for low, high in stretches:
        exists, taken = ~np.isnan(low), ~np.isnan(first[0])
        second = tuple(np.where(exists & taken, v, s) for v, s in zip((low, high), second, strict=True))
        first = tuple(np.where(exists & ~taken, v, f) for v, f in zip((low, high), first, strict=True))
    return [first, second]


def _beside(region: Region, found: Rings, low: Any, high: Any) -> list[tuple[Any, Any]]:
    """What the pass before has left of a stretch: the first two runs of places that it did not reach."""
    if not np.any(region.beside):
        return [(low, high)]
    height, radius = found.height, found.radius

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
    runs = []
    for number in (1, 2):
        within = standing & (run == number)
        first, last = within.argmax(axis=0), len(_PLACES) - 1 - within[::-1].argmax(axis=0)
        ends = [_end(stands, angles, place, way) for place, way in ((first, -1), (last, 1))]
        exists = within.any(axis=0)
        runs.append((np.where(exists, ends[0], np.nan), np.where(exists, ends[1], np.nan)))
    return runs


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
