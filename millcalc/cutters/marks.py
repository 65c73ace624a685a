"""The marks that a tooth's feed leaves: two copies of the tool, a feed apart, in the section along the feed.

The section is that through the contact, with the feed and the surface normal in it.  On a surface curved along the
feed the second copy is turned about the surface's centre.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from millcalc.cutters.cap import axis_components, contact, turned_aside
from millcalc.cutters.front import Front, Surface
from millcalc.cutters.profile import Profile
from millcalc.cutters.scallop import flat_width, increasing_root
from millcalc.cutters.silhouette import Form, in_chunks, level, reach

__all__ = ["feed_at_height", "mark_feed", "mark_height"]

_ROUNDS = 60


class _Section:
    """Both ends, ahead and behind, of the section of the tool at a height."""

    def __init__(self, form: Form, lead: Any, tilt: Any, base: list[Any], bend: Any) -> None:
        lead, tilt = np.radians(lead), np.radians(tilt)
        ahead, across, up = base
        self.ends = (
            Surface.of(form, lead, tilt, (ahead, across, up)),
            Surface.of(form, -lead, tilt, (-ahead, across, up)),
        )
        self.bend = bend
        self.near: list[Any] = [None, None]

    def at(self, side: int, up: Any) -> Front:
        """The end ahead (0) or behind (1) at a height above the contact's tangent plane."""
        found = self.ends[side].leaves(0.0 * up, up, self.near[side])
        self.near[side] = np.where(np.isfinite(found.ahead), found.ahead, 0.0)
        return found

    def measured(self, side: int, up: Any) -> tuple[Any, Any, Any, Any]:
        """Level and reach along the curved surface at a height, and their changes with it."""
        found = self.at(side, up)
        out, bend = found.ahead, self.bend
        run = -found.upward / np.where(found.forward == 0.0, np.nan, found.forward)
        height = level(out, up, bend)
        rise = (1.0 + bend * up + bend * out * run) / (1.0 + bend * height)
        along = ((1.0 + bend * up) * run - bend * out) / (1.0 + bend * height) ** 2
        return height, reach(out, up, bend), rise, along


def _with_section(function: Any, profile: Profile, value: Any, lead: Any, tilt: Any, surface_radius: Any) -> Any:
    """Call a function of value, section and the section's curvature, chunk by chunk; the contact is found first."""
    found = contact(profile, lead, tilt)
    base = [-np.asarray(v) for v in found[3:6]]
    curvature = _curvature_along(lead, tilt, *found[:3])

    def called(form: Form, value: Any, lead: Any, tilt: Any, radius: Any, curvature: Any, *base: Any) -> Any:
        def section(some: Any) -> _Section:
            return _Section(form.some(some), lead[some], tilt[some], [b[some] for b in base], 1.0 / radius[some])

        return function(value, section, curvature + 1.0 / radius)

    return in_chunks(called, profile, value, lead, tilt, surface_radius, curvature, *base)


def _curvature_along(lead: Any, tilt: Any, height: Any, radius: Any, bend: Any) -> Any:
    """Curvature of the tool's surface along the feed at the contact, by Euler's rule."""
    f, c, _ = axis_components(lead, tilt)
    flat = np.hypot(f, c)
    share = np.where(flat > 0.0, f / np.where(flat > 0.0, flat, 1.0), 1.0) ** 2
    with np.errstate(all="ignore"):
        return np.minimum(share / bend + (1.0 - share) * flat / radius, 1e6) + 0.0 * height


def mark_height(profile: Profile, feed: Any, lead: Any, tilt: Any, surface_radius: Any) -> Any:
    """Height [mm] of marks a feed [mm] apart; 0 where a straight piece smooths them, NaN where they do not meet."""

    def height(feed: Any, section: Any, curvature: Any) -> Any:
        guess = 0.125 * feed * feed * np.where(curvature > 1e-9, np.minimum(curvature, 4.0 / feed), 1e-3)
        found = _height(feed, section(...), guess)
        lost = np.isnan(found) & (feed > 0.0) & np.isfinite(feed)
        if lost.any():
            # where Newton's steps got lost, as they may at a corner of the section, a bracket does not
            part = section(lost)
            root = increasing_root(lambda r: _feed(r * r, part), feed[lost], np.sqrt(feed[lost]))
            found[lost] = root * root
        return found

    found = _with_section(height, profile, feed, lead, tilt, surface_radius)
    half, bend = _face(profile, lead, tilt), np.divide(1.0, surface_radius)
    turn = 0.25 * bend * feed
    # two tangent planes of the crest, as long as they meet on the straight piece
    on_face = 0.5 * feed * np.tan(turn) / np.cos(2.0 * turn)
    smooth = (bend >= 0.0) & (0.5 * feed <= reach(half, 0.0, bend)) & (half > 0.0)
    return np.where(smooth, np.where(bend > 0.0, on_face, 0.0), found)[()]


def _face(profile: Profile, lead: Any, tilt: Any) -> Any:
    """Half the length of the straight piece that touches along the feed; 0 without one."""
    return 0.5 * flat_width(profile, *turned_aside(lead, tilt))


def mark_feed(profile: Profile, height: Any, lead: Any, tilt: Any, surface_radius: Any) -> Any:
    """Distance [mm] of marks of a height [mm]; NaN where none are so high."""

    def feed(height: Any, section: Any, _: Any) -> Any:
        return _feed(height, section(...))

    found = _with_section(feed, profile, height, lead, tilt, surface_radius)
    half, bend = _face(profile, lead, tilt), np.divide(1.0, surface_radius)
    with np.errstate(all="ignore"):
        out = np.sqrt(height * (2.0 + bend * height) / np.where(bend > 0.0, bend, np.nan))
    return np.where((bend > 0.0) & (out <= half), 2.0 * reach(out, 0.0, bend), found)[()]


def feed_at_height(profile: Profile, height: Any, lead: Any, tilt: Any) -> Any:
    """How far [mm] from the contact the section is a height [mm] above it: the further of both ends."""

    def further(height: Any, section: Any, _: Any) -> Any:
        whole = section(...)
        return np.maximum(*(whole.at(side, height).ahead for side in (0, 1)))

    return _with_section(further, profile, height, lead, tilt, np.inf)


def _feed(height: Any, section: _Section) -> Any:
    return _side_feed(height, section, 0) + _side_feed(height, section, 1)


def _side_feed(height: Any, section: _Section, side: int) -> Any:
    """Reach along the surface at which one end of the section has a height above it."""
    if not np.any(section.bend != 0.0):
        return section.at(side, height).ahead
    up = 1.0 * height
    for _ in range(_ROUNDS):
        found, _, rise, _ = section.measured(side, up)
        step = (height - found) / rise
        up = np.where(height > 0.0, np.clip(up + step, 0.1 * up, 10.0 * up), 0.0)
        if np.all((np.abs(step) <= 1e-12 * up) | np.isnan(step)):
            break
    found, out, rise, _ = section.measured(side, up)
    answered = (np.abs(found - height) <= 1e-9 * height) & (rise > 0.0)
    return np.where(answered | (height == 0.0), out, np.nan)


def _height(feed: Any, section: _Section, guess: Any) -> Any:
    """Solve for the heights of both ends over the tangent plane: equal levels, reaches that add up to the feed."""
    ups = [guess, guess]
    for _ in range(_ROUNDS):
        one, other = (section.measured(side, up) for side, up in enumerate(ups))
        uneven, missing = one[0] - other[0], feed - one[1] - other[1]
        # level steps equal: one[2] d1 - other[2] d2 = -uneven; one[3] d1 + other[3] d2 = missing
        det = one[2] * other[3] + other[2] * one[3]
        steps = (missing * other[2] - uneven * other[3]) / det, (missing * one[2] + uneven * one[3]) / det
        ups = [np.clip(u + s, 0.1 * u, 10.0 * u) for u, s in zip(ups, steps, strict=True)]
        still = [np.abs(s) > 1e-12 * u for u, s in zip(ups, steps, strict=True)]
        if not np.any((still[0] | still[1]) & (feed > 0.0)):
            break
    one, other = (section.measured(side, up) for side, up in enumerate(ups))
    met = (np.abs(one[1] + other[1] - feed) <= 1e-8 * feed) & (np.abs(one[0] - other[0]) <= 1e-8 * np.abs(one[0]))
    return np.where(feed == 0.0, 0.0, np.where(met & (one[2] + other[2] > 0.0), 0.5 * (one[0] + other[0]), np.nan))
