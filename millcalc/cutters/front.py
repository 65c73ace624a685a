"""Points of the tool's leading surface: where a line along the feed leaves the tool.

Seen along the feed a point lies across and up from the contact; along the line through it the tool is a stretch,
for what lies inside a convex body on a line is one.  Its leading end is found by Newton steps kept in a bracket.
"""

from __future__ import annotations

from functools import cached_property
from typing import Any

import attrs
import numpy as np

from millcalc.cutters.silhouette import Form

__all__ = ["Front", "Surface"]

_ROUNDS = 80


@attrs.frozen(eq=False, slots=False)
class Surface:
    """The tool's surface in the directions of the workpiece, measured from the contact; angles in radians."""

    form: Form
    sine: Any
    cosine: Any
    side: Any
    down: Any
    base: tuple[Any, Any, Any]
    """From the tip to the contact along the feed, across and up."""

    @classmethod
    def of(cls, form: Form, lead: Any, tilt: Any, base: tuple[Any, Any, Any]) -> Surface:
        return cls(form, np.sin(lead), np.cos(lead), np.sin(tilt), np.cos(tilt), base)

    def leaves(self, across: Any, up: Any, near: Any = None) -> Front:
        """Where the line along the feed through a point leaves the tool, ahead; `near` is a place to start from."""
        c, h = across + self.base[1], up + self.base[2]
        x, y = c * self.down - h * self.side, h * self.down + c * self.side
        return self._found(x, y, near)

    def _found(self, x: Any, y: Any, near: Any) -> Front:
        widest = 2.0 * np.max(self._ring_radii(), axis=0) + np.abs(x)
        low, high = (self.sine * y - widest) / self.cosine, (self.sine * y + widest) / self.cosine
        at = high if near is None else np.clip(near + self.base[0], low, high)
        done = np.isnan(at)
        for _ in range(_ROUNDS):
            height, away, radius, slope = self._along(x, y, at)
            room = radius - away
            change = slope * self.sine - self._cross(x, y, at) * self.cosine
            inward = np.where(height < 0.0, self.sine > 0.0, np.where(np.isnan(radius), self.sine < 0.0, False))
            ahead = (room >= 0.0) | inward | (~np.isnan(room) & (change > 0.0))
            low, high = np.where(ahead & ~done, at, low), np.where(ahead | done, high, at)
            new = at - room / change
            astray = ~((new > low) & (new < high) & (change < 0.0))
            new = np.where(astray, 0.5 * (low + high), new)
            short = ~astray & (np.abs(new - at) <= 1e-9 * (1.0 + np.abs(at)))
            at = np.where(done, at, new)
            done = done | short | (high - low <= 1e-15 * (1.0 + np.abs(high)))
            if done.all():
                break
        return self._described(x, y, at)

    def _ring_radii(self) -> Any:
        form = self.form
        return form.centre_radius + form.arc_radius * np.sin(np.minimum(form.normal[1:], np.pi / 2))

    def _along(self, x: Any, y: Any, f: Any) -> tuple[Any, Any, Any, Any]:
        """Height along the axis, distance from it, and the tool's radius and slope there."""
        height = f * self.sine + y * self.cosine
        away = np.hypot(x, f * self.cosine - y * self.sine)
        return (height, away, *self.ring(height))

    def _cross(self, x: Any, y: Any, f: Any) -> Any:
        """Cosine of the angle between the radial direction and the axis' cross direction nearest the feed."""
        w = f * self.cosine - y * self.sine
        away = np.hypot(x, w)
        return np.where(away > 0.0, w / np.where(away > 0.0, away, 1.0), 1.0)

    @cached_property
    def _arcs(self) -> list[tuple[Any, ...]]:
        """Of each arc what holds at every height: the straight piece before it, its bottom, centre, radius, and end."""
        form, before = self.form, None
        found: list[tuple[Any, ...]] = []
        for arc in range(form.count):
            start, end = form.ends(arc)
            bottom, straight = start[0], None
            if before is not None:
                rise = start[0] - before[0]
                # where two arcs meet smoothly, rounding must not pass for a straight piece
                smooth = rise > 1e-9
                lean = (start[1] - before[1]) / np.where(smooth, rise, np.nan)
                bottom = np.where(smooth, bottom, np.minimum(bottom, before[0]))
                straight = None if not np.any(smooth) else (smooth, *before, start[0], lean)
            rho = form.arc_radius[arc]
            rounded = None if not np.any(rho > 0.0) else (bottom, form.centre_height[arc], rho, form.centre_radius[arc])
            found.append((straight, rounded, end))
            before = end
        return found

    def ring(self, height: Any) -> tuple[Any, Any]:
        """Radius and its slope at a height; NaN outside the cutting part."""
        radius = slope = np.full(np.broadcast(height, self.form.normal[0]).shape, np.nan)
        for straight, rounded, end in self._arcs:
            if straight is not None:
                smooth, low, low_radius, high, lean = straight
                inside = (height >= low) & (height <= high) & smooth
                radius = np.where(inside, low_radius + lean * (height - low), radius)
                slope = np.where(inside, lean, slope)
            if rounded is not None:
                bottom, up, rho, centre = rounded
                drop = np.where(rho > 0.0, up - height, 0.0)
                out = np.sqrt(np.maximum(rho * rho - drop * drop, 0.0))
                inside = (height >= bottom) & (height <= end[0]) & (rho > 0.0)
                radius = np.where(inside, centre + out, radius)
                slope = np.where(inside, drop / np.where(out > 0.0, out, 1e-300), slope)
        if self.form.endless:
            low, low_radius = self._arcs[-1][2]
            radius = np.where(height >= low, low_radius, radius)
            slope = np.where(height >= low, 0.0, slope)
        return radius, slope

    def _bottom_radius(self) -> Any:
        """Radius of the flat bottom; 0 without one."""
        form = self.form
        radius: Any = 0.0
        for arc in range(form.count):
            radius = np.where(form.normal[arc] <= 1e-12, form.ends(arc)[0][1], radius)
        return radius

    def _described(self, x: Any, y: Any, f: Any) -> Front:
        height, away, radius, slope = self._along(x, y, f)
        forward = (self._cross(x, y, f) * self.cosine - slope * self.sine) / np.sqrt(1.0 + slope * slope)
        bottom = self._bottom_radius()
        inner = (height <= 1e-9) & (away < bottom * (1.0 - 1e-9))
        inner = inner | (np.isnan(radius) & (np.abs(height) <= 1e-9) & (away <= bottom * (1.0 + 1e-9)))
        if not self.form.endless:
            top, edge = self.form.ends(self.form.count - 1)[1]
            inner = inner | ((height >= top * (1.0 - 1e-9)) & (away < edge * (1.0 - 1e-9)))
        # a line that passes the tool by has no point on it
        forward = np.where(inner | (np.abs(radius - away) <= 1e-6 * (1.0 + radius)), forward, np.nan)
        forward = np.where(inner, -self.sine, forward)
        w = f * self.cosine - y * self.sine
        part = np.where(away > 0.0, x / np.where(away > 0.0, away, 1.0), 0.0)
        along = -(w / np.where(away > 0.0, away, 1.0)) * self.sine - slope * self.cosine
        upward = (along * self.down - part * self.side) / np.sqrt(1.0 + slope * slope)
        upward = np.where(inner, -self.cosine * self.down, upward)
        away = np.where(np.isnan(forward), np.nan, away)
        return Front(f - self.base[0], away, forward, upward)


@attrs.frozen(eq=False)
class Front:
    """A point of the leading surface."""

    ahead: Any
    """Along the feed, from the contact."""
    radius: Any
    """Distance from the axis."""
    forward: Any
    """Component of the outward normal along the feed."""
    upward: Any
    """Component of the outward normal along the surface normal."""
