"""The contact, and the diameters over the whole part of the tool below the stock plane, in closed form.

A ring of the tool at height z and radius r reaches down to z cos(b) - r sin(b) along the surface normal, b the
inclination.  Below the stock plane is what lies within the depth of the contact's value; along the profile that is
one stretch about the contact, whose ends are found on arcs and straight pieces exactly.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from millcalc.cutters.profile import Profile
from millcalc.cutters.silhouette import Form, in_chunks

__all__ = [
    "axis_components",
    "cap_radii",
    "cap_stretch",
    "clearing_inclination",
    "contact",
    "highest_edge",
    "inclination",
    "segment_window",
    "turned_aside",
]

Point = tuple[Any, Any]


def axis_components(lead: Any, tilt: Any) -> tuple[Any, Any, Any]:
    """Components of the axis along the feed, across it and along the normal; angles in degrees."""
    lead, tilt = np.radians(lead), np.radians(tilt)
    return np.sin(lead), np.cos(lead) * np.sin(tilt), np.cos(lead) * np.cos(tilt)


def inclination(lead: Any, tilt: Any) -> Any:
    """Angle [rad] between axis and surface normal."""
    f, c, n = axis_components(lead, tilt)
    return np.arctan2(np.hypot(f, c), n)


def turned_aside(lead: Any, tilt: Any) -> tuple[Any, Any]:
    """Lead and tilt [deg] of the same axis for one who looks across the feed: the section along it."""
    f, c, n = axis_components(lead, tilt)
    return np.degrees(np.arctan2(c, np.hypot(f, n))), np.degrees(np.arctan2(f, n))


def contact(profile: Profile, lead: Any, tilt: Any) -> tuple[Any, ...]:
    """Contact on the tool: height, radius, radius of curvature, from it to the tip and to the reference (F, C, N)."""

    def located(form: Form, lead: Any, tilt: Any) -> Any:
        f, c, n = axis_components(lead, tilt)
        lean = np.arctan2(np.hypot(f, c), n)
        height, radius, bend = form.at_normal(lean)
        flat = np.hypot(f, c)
        out = np.where(flat > 0.0, 1.0 / np.where(flat > 0.0, flat, 1.0), 0.0)
        # the radial direction in which the contact lies: the normal's part square to the axis, turned round
        radial = (n * f * out, n * c * out, (n * n - 1.0) * out)
        upright = flat == 0.0
        radial = (np.where(upright, 1.0, radial[0]), *radial[1:])
        tip = [-height * t - radius * e for t, e in zip((f, c, n), radial, strict=True)]
        centre = form.reference_height
        return (height, radius, bend, *tip, *(p + centre * t for p, t in zip(tip, (f, c, n), strict=True)))

    found: tuple[Any, ...] = in_chunks(located, profile, lead, tilt, results=9)
    return found


def cap_radii(profile: Profile, normal_depth: Any, lead: Any, tilt: Any) -> tuple[Any, Any]:
    """Least and largest radius over the whole part of the tool below the stock plane."""

    def radii(form: Form, depth: Any, lead: Any, tilt: Any) -> Any:
        (_, low), (_, high), widest = cap_stretch(form, depth, inclination(lead, tilt))
        return np.fmin(low, high), widest

    found: tuple[Any, Any] = in_chunks(radii, profile, normal_depth, lead, tilt, results=2)
    return found


def cap_stretch(form: Form, depth: Any, lean: Any) -> tuple[Point, Point, Any]:
    """The stretch of the profile below the stock plane: lower and upper end (height, radius), and largest radius.

    Both ends touch the stock plane on the side of the axis on which the contact lies.
    """
    sine, cosine = np.sin(lean), np.cos(lean)
    height, radius, _ = form.at_normal(lean)
    limit = height * cosine - radius * sine + depth
    known = ~np.isnan(radius + depth) & (depth >= 0.0)
    low = high = (np.where(known, height, np.nan), np.where(known, radius, np.nan))
    widest = low[1]
    before: Any = None
    for arc in range(form.count):
        centre, up, rho = form.centre_radius[arc], form.centre_height[arc], form.arc_radius[arc]
        ends = form.normal[arc], form.normal[arc + 1]
        start, end = form.ends(arc)
        found = _on_arc((centre, up, rho), ends, lean, up * cosine - centre * sine - limit)
        if before is not None:
            found += _on_line(before, start, [p[0] * cosine - p[1] * sine - limit for p in (before, start)])
        for point in found:
            low, high = _further(low, point, -1.0), _further(high, point, 1.0)
            widest = np.where(known, np.fmax(widest, point[1]), np.nan)
        before = end
    if form.endless:
        top = np.where(cosine > 0.0, (limit + before[1] * sine) / cosine, np.inf)
        high = (np.where(high[0] >= before[0], np.maximum(top, before[0]), high[0]), high[1])
    return low, high, widest


def _further(end: Point, point: Point, way: float) -> Point:
    """The point further up or down the profile; on a flat bottom, where the height stays, the radius tells."""
    beyond = (way * point[0] > way * end[0]) | ((point[0] == end[0]) & (way * point[1] > way * end[1]))
    return np.where(beyond, point[0], end[0]), np.where(beyond, point[1], end[1])


def _on_line(start: Point, end: Point, above: list[Any]) -> list[Point]:
    """Ends of what lies below the stock plane on a straight piece, from how far its ends lie above it."""
    first, last = above
    share = np.clip(first / np.where(first == last, np.nan, first - last), 0.0, 1.0)
    cross = [a + share * (b - a) for a, b in zip(start, end, strict=True)]
    outside = (first > 0.0) & (last > 0.0)
    made = []
    for within, point in ((first <= 0.0, start), (last <= 0.0, end)):
        height, radius = (np.where(within, p, c) for p, c in zip(point, cross, strict=True))
        made.append((np.where(outside, np.nan, height), np.where(outside, np.nan, radius)))
    return made


def _on_arc(arc: tuple[Any, Any, Any], ends: tuple[Any, Any], lean: Any, room: Any) -> list[Point]:
    """Ends and widest place of what lies below the stock plane on an arc, whose centre lies `room` above it."""
    centre, up, rho = arc
    ratio = np.where(rho > 0.0, room / np.where(rho > 0.0, rho, 1.0), np.where(room <= 0.0, -1.0, 2.0))
    reach = np.arccos(np.clip(ratio, -1.0, 1.0))
    first, last = np.maximum(ends[0], lean - reach), np.minimum(ends[1], lean + reach)
    within = (first <= last) & (ratio <= 1.0 + 1e-12)
    widest = np.clip(np.pi / 2, first, np.maximum(first, last))
    angles = [np.where(within, psi, np.nan) for psi in (first, widest, last)]
    return [(up - rho * np.cos(psi), centre + rho * np.sin(psi)) for psi in angles]


def segment_window(profile: Profile) -> tuple[Any, Any] | None:
    """Inclinations [deg] at which the contact lies on the arc of the largest radius, if that exceeds the tool's."""
    place = np.argmax(profile.arc_radius, axis=0)
    radius, start, end = (
        np.take_along_axis(rows, np.atleast_1d(place)[None] if profile.shape else np.array([place]), axis=0)[0]
        for rows in (profile.arc_radius, profile.normal[:-1], profile.normal[1:])
    )
    if not np.any(radius > profile.largest_radius * (1.0 + 1e-9)):
        return None
    return np.degrees(start), np.degrees(end)


def highest_edge(profile: Profile, normal_depth: Any, lead: Any, tilt: Any) -> Any:
    """Height [mm] from the tip up to which the tool lies below the stock plane."""

    def height(form: Form, depth: Any, lead: Any, tilt: Any) -> Any:
        _, high, _ = cap_stretch(form, depth, inclination(lead, tilt))
        return high[0]

    return in_chunks(height, profile, normal_depth, lead, tilt)


def clearing_inclination(profile: Profile, normal_depth: Any) -> Any:
    """Inclination [rad] from which the tip is clear of the stock; NaN where none up to a right angle clears it."""

    def clearing(form: Form, depth: Any) -> Any:
        found = np.full(np.shape(depth), np.nan)
        for arc in reversed(range(form.count)):
            centre, up, rho = form.centre_radius[arc], form.centre_height[arc], form.arc_radius[arc]
            size = np.hypot(centre, up)
            # the tip stands rho + centre sin(b) - up cos(b) above the contact on this arc
            ratio = (depth - rho) / np.where(size > 0.0, size, np.nan)
            lean = np.arcsin(np.clip(ratio, -1.0, 1.0)) + np.arctan2(up, centre)
            fits = (np.abs(ratio) <= 1.0) & (lean >= form.normal[arc] - 1e-12) & (lean <= form.normal[arc + 1] + 1e-12)
            found = np.where(fits, lean, found)
        return np.where(depth <= 0.0, 0.0 * depth, found)

    return in_chunks(clearing, profile, normal_depth)
