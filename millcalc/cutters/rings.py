"""Rings of a tool: places evenly along the part of its profile that lies below the stock plane."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from millcalc.cutters.cap import cap_stretch
from millcalc.cutters.region import Region
from millcalc.cutters.silhouette import Form

__all__ = ["Rings", "rings"]


class Rings(NamedTuple):
    """Height, radius and edge angle [rad] of rings, and the length of the profile that they stand for."""

    height: Any
    radius: Any
    edge_angle: Any
    length: Any


def rings(region: Region, places: Any, without_bottom: bool = False) -> Rings:
    """Rings at shares of the length of the profile below the stock plane, first axis; also without a level bottom."""
    form, left = region.form, region.left
    lean = np.arctan2(np.hypot(left.sine, left.cosine * left.side), left.cosine * left.down)
    low, high, _ = cap_stretch(form, region.depth, lean)
    # what faces down more steeply than the lead never leads
    leads = _upper_end(form, region.lead)
    never = (region.lead >= 0.0) if without_bottom else (region.lead > 0.0)
    low = tuple(np.where(never & (leads[0] >= low[0]), new, old) for new, old in zip(leads, low, strict=True))
    pieces = _pieces(form, low, high)
    total = sum(size for size, _ in pieces)
    places = np.asarray(places)
    shares = places[:, None] if places.ndim == 1 else places
    height, radius, edge_angle = np.broadcast_arrays(*_at_length(pieces, shares * total))
    return Rings(height, radius, edge_angle, total)


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
