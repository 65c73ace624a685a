"""The part that cuts of a tool whose axis stands square to the surface: closed along heights, no search is needed.

Valid for profiles of an endless cutter whose arcs have their centres on the axis or outside it, so that higher up the
chip only grows along each arc.  Heights, radii and widths in mm.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from millcalc.cutters.profile import Profile
from millcalc.cutters.silhouette import Form, in_chunks
from millcalc.formulas._gauss import gauss

__all__ = ["applies", "chip_reach", "largest_radius", "mean_reach"]

_POINTS = 16  # of Gauss, along a piece


def applies(profile: Profile, lead: Any, tilt: Any) -> bool:
    """Whether the axis stands square to the surface, and the profile is one that this module answers for."""
    if np.any(lead) or np.any(tilt) or not profile.endless:
        return False
    return bool(np.all(profile.centre_radius >= 0.0))


def largest_radius(profile: Profile, depth: Any) -> Any:
    """Radius at the height of the stock plane."""
    return in_chunks(lambda form, depth: _top(form, depth)[0], profile, depth)


def chip_reach(profile: Profile, depth: Any, stepover: Any) -> Any:
    """Largest component of the tool's normal along the feed over the part that cuts: chip thickness over feed.

    It is largest at the stock plane or where an arc ends below it.
    """

    def reach(form: Form, depth: Any, stepover: Any) -> Any:
        found = _forward(*_top(form, depth), stepover)
        for arc in range(form.count):
            height, radius = form.ends(arc)[1]
            sine = np.sin(form.normal[arc + 1])
            found = np.fmax(found, np.where(height <= depth, _forward(radius, sine, stepover), -np.inf))
        return np.where(depth > 0.0, found, np.where(depth == 0.0, 0.0, np.nan))

    return in_chunks(reach, profile, depth, stepover)


def mean_reach(profile: Profile, depth: Any, stepover: Any) -> Any:
    """Mean component of the tool's normal along the feed over the part that cuts, by area."""

    def mean(form: Form, depth: Any, stepover: Any) -> Any:
        seen = surface = 0.0 * depth
        below: tuple[Any, Any] = (0.0 * depth, 0.0 * depth)
        for arc in range(form.count):
            start, end = form.ends(arc)
            parts = (_cone(below, start, depth, stepover), _rounding(form, arc, depth, stepover))
            seen, surface = seen + parts[0][0] + parts[1][0], surface + parts[0][1] + parts[1][1]
            below = end
        rest = np.maximum(depth - below[0], 0.0)
        seen = seen + rest * np.minimum(stepover, 2.0 * below[1])
        surface = surface + rest * below[1] * _engaged(below[1], stepover)
        return np.divide(seen, surface)

    return in_chunks(mean, profile, depth, stepover, nodes=2 * _POINTS)


def _top(form: Form, depth: Any) -> tuple[Any, Any]:
    """Radius at a height, and the sine of the angle of the normal there from straight down."""
    radius = sine = np.nan * depth
    below: tuple[Any, Any] = (0.0 * depth, 0.0 * depth)
    for arc in range(form.count):
        start, end = form.ends(arc)
        share = (depth - below[0]) / np.where(start[0] > below[0], start[0] - below[0], np.nan)
        on_line = (share >= 0.0) & (share <= 1.0)
        radius = np.where(on_line, below[1] + share * (start[1] - below[1]), radius)
        sine = np.where(on_line, np.sin(form.normal[arc]), sine)
        psi = _psi(form, arc, depth)
        on_arc = (depth >= start[0]) & (depth <= end[0])
        radius = np.where(on_arc, form.centre_radius[arc] + form.arc_radius[arc] * np.sin(psi), radius)
        sine = np.where(on_arc, np.sin(psi), sine)
        below = end
    above = depth >= below[0]
    return np.where(above, below[1], radius), np.where(above, 1.0, sine)


def _psi(form: Form, arc: int, height: Any) -> Any:
    """Angle of the normal at a height on an arc, or at the nearer of its ends."""
    rho = form.arc_radius[arc]
    share = (form.centre_height[arc] - height) / np.where(rho > 0.0, rho, np.nan)
    found = np.arccos(np.clip(share, -1.0, 1.0))
    return np.clip(np.where(rho > 0.0, found, form.normal[arc + 1]), form.normal[arc], form.normal[arc + 1])


def _forward(radius: Any, sine: Any, stepover: Any) -> Any:
    """Component along the feed at the edge of what the pass before has left, or ahead where it left all of it."""
    wide = np.minimum(stepover, radius)
    return sine * np.sqrt(wide * (2.0 * radius - wide)) / np.where(radius > 0.0, radius, np.nan)


def _engaged(radius: Any, stepover: Any) -> Any:
    """Angle [rad] of the leading half over which the pass before has left stock."""
    share = np.clip(stepover / np.where(radius > 0.0, 2.0 * radius, np.nan), 0.0, 1.0)
    return 2.0 * np.arcsin(np.sqrt(np.where(np.isnan(share), 1.0, share)))


def _cone(below: Any, start: Any, depth: Any, stepover: Any) -> tuple[Any, Any]:
    """Area seen along the feed, and area of the surface, of a straight piece up to the stock plane."""
    rise, spread = start[0] - below[0], start[1] - below[1]
    part = np.where(rise > 0.0, np.clip((depth - below[0]) / np.where(rise > 0.0, rise, 1.0), 0.0, 1.0), 0.0)
    kink = np.clip((0.5 * stepover - below[1]) / np.where(spread > 0.0, spread, np.nan), 0.0, part)
    nodes, weights = (v[:, None] for v in gauss(_POINTS))
    seen = surface = 0.0 * part
    for low, high in ((0.0 * part, np.nan_to_num(kink)), (np.nan_to_num(kink), part)):
        share = low + (high - low) * nodes**2
        weight = (high - low) * 2.0 * nodes * weights
        radius = below[1] + share * spread
        seen = seen + np.sum(weight * np.minimum(stepover, 2.0 * radius), axis=0) * rise
        length = np.hypot(rise, spread)
        surface = surface + np.sum(weight * radius * _engaged(radius, stepover), axis=0) * length
    return seen, surface


def _rounding(form: Form, arc: int, depth: Any, stepover: Any) -> tuple[Any, Any]:
    """Area seen along the feed, and area of the surface, of an arc up to the stock plane."""
    rho, low, top = form.arc_radius[arc], form.normal[arc], _psi(form, arc, depth)
    kink = np.arcsin(np.clip((0.5 * stepover - form.centre_radius[arc]) / np.where(rho > 0.0, rho, np.nan), 0.0, 1.0))
    kink = np.clip(np.where(np.isnan(kink), low, kink), low, top)
    nodes, weights = (v[:, None] for v in gauss(_POINTS))
    seen = surface = 0.0 * (depth + rho)
    for start, end in ((low + 0.0 * top, kink), (kink, top)):
        psi = start + (end - start) * nodes**2
        weight = (end - start) * 2.0 * nodes * weights * rho
        radius = form.centre_radius[arc] + rho * np.sin(psi)
        seen = seen + np.sum(weight * np.sin(psi) * np.minimum(stepover, 2.0 * radius), axis=0)
        surface = surface + np.sum(weight * radius * _engaged(radius, stepover), axis=0)
    return seen, surface
