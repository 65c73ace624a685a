"""The stairs that roughing in levels leaves on a sloped surface, with an upright axis and a cutter of any form.

At each level the tool touches the surface, and everything outward from there is cleared down to its tip.  What stays
between two levels is highest where the lower tool's flank leaves the level of the upper one: on its floor, or under
the round of its bottom.  Distances outward and heights are counted from the upper contact; angles in radians.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from millcalc.cutters.profile import Profile
from millcalc.cutters.scallop import increasing_root
from millcalc.cutters.silhouette import Form, in_chunks

__all__ = ["largest_stair_step", "stair_cusp"]

_HALVINGS = 60
_ENDLESS = 1e6  # mm: a step down so far that the stairs never get so thick


def stair_cusp(profile: Profile, step_down: Any, slope: Any, surface_radius: Any) -> tuple[Any, Any]:
    """Thickness [mm] of the stair along the surface normal, and height [mm] of its cusp over the lower level's tip.

    The slope [deg] is that at the upper level; the radius is that of the surface in the plane of the steepest slope.
    """

    def cusp(form: Form, step: Any, slope: Any, radius: Any) -> Any:
        slope = np.radians(slope)
        below = _next_slope(form, step, slope, radius)
        outward = _outward(form, step, slope, below, radius)
        height = _cusp_height(form, step, outward)
        contact_height, contact_radius = _contact(form, slope)
        inward = contact_radius - _radius_at(form, height)
        thick = _above(inward + outward, height - step - contact_height, slope, radius)
        # on a flat surface the step to the lower level runs along it
        along = inward * np.sin(slope) + (height - contact_height) * np.cos(slope)
        thick = np.where(np.isinf(radius), along, thick)
        known = (step >= 0.0) & ~np.isnan(below) & ~np.isnan(thick)
        thick = np.where(known, np.where(step == 0.0, 0.0, np.maximum(thick, 0.0)), np.nan)
        return np.stack([thick, np.where(known, height, np.nan)])

    found: tuple[Any, Any] = in_chunks(cusp, profile, step_down, slope, surface_radius, results=2)
    return found


def largest_stair_step(profile: Profile, stair_thickness: Any, slope: Any, surface_radius: Any) -> Any:
    """Step down [mm] that leaves stairs of a thickness; infinite where none leaves them so thick."""
    wanted = np.asarray(stair_thickness, dtype=float)
    shape = np.broadcast_shapes(profile.shape, *(np.shape(a) for a in (wanted, slope, surface_radius)))
    high = np.broadcast_to(np.maximum(wanted, 1e-9), shape).copy()
    for _ in range(_HALVINGS):
        thick, _ = stair_cusp(profile, high, slope, surface_radius)
        short = (thick < wanted) & (high <= _ENDLESS)
        if not np.any(short):
            break
        high = np.where(short, 2.0 * high, high)
    endless = high > _ENDLESS

    def thickness(step: Any) -> Any:
        return stair_cusp(profile, step, slope, surface_radius)[0]

    with np.errstate(all="ignore"):
        found = increasing_root(thickness, np.where(wanted >= 0.0, wanted, np.nan) + np.zeros(shape), high)
    found = np.where(endless & ~np.isnan(thickness(1e-9)), np.inf, found)
    return found if shape else float(found)


def _contact(form: Form, slope: Any) -> tuple[Any, Any]:
    """Height and radius where the tool touches; of a flat bottom its edge, beyond which the level is floor."""
    height, radius, _ = form.at_normal(slope)
    return height, np.where(slope <= 1e-12, _bottom(form), radius)


def _bottom(form: Form) -> Any:
    """Radius of a flat bottom, 0 where there is none."""
    return np.maximum(form.on_arc(0, form.normal[0])[1], 0.0) * (form.normal[0] <= 1e-12)


def _next_slope(form: Form, step: Any, slope: Any, radius: Any) -> Any:
    """Slope at the contact of the lower level; of a flat surface the same, NaN where the surface does not reach it."""
    flat = np.isinf(radius)
    if np.all(flat):
        return slope + 0.0 * step
    rho = np.where(flat, 1.0, radius)

    def fall(angle: Any) -> Any:
        """How far the tip stands below that of the upper level."""
        heights = [rho * np.cos(a) - _contact(form, a)[0] for a in (slope, angle)]
        return heights[0] - heights[1]

    # down a dome the slope grows to upright, down into a bowl it shrinks to level
    low, high = slope + 0.0 * step, np.where(radius > 0.0, 0.5 * np.pi, 0.0) + 0.0 * step
    reached = fall(high) >= step
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        short = fall(middle) < step
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return np.where(flat, slope, np.where(reached, 0.5 * (low + high), np.nan))


def _outward(form: Form, step: Any, slope: Any, below: Any, radius: Any) -> Any:
    """How far the lower tool stands outward of the upper one; without end on a level surface."""
    flat = np.isinf(radius)
    rho = np.where(flat, 1.0, radius)
    tips = [rho * np.sin(a) + _contact(form, a)[1] for a in (slope, below)]
    straight = step * np.cos(slope) / np.maximum(np.sin(slope), 1e-300)
    return np.where(flat, straight, tips[1] - tips[0])


def _radius_at(form: Form, height: Any) -> Any:
    """Radius of the outline at a height; that of a flat bottom at its level."""
    found: Any = _bottom(form) + 0.0 * height
    before: Any = None
    for arc in range(form.count):
        start, end = form.ends(arc)
        if before is not None:
            rise = start[0] - before[0]
            along = before[1] + (start[1] - before[1]) * (height - before[0]) / np.where(rise > 0.0, rise, 1.0)
            found = np.where((height >= before[0]) & (height <= start[0]) & (rise > 0.0), along, found)
        up = np.clip(form.centre_height[arc] - height, -form.arc_radius[arc], form.arc_radius[arc])
        out = form.centre_radius[arc] + np.sqrt(form.arc_radius[arc] ** 2 - up * up)
        found = np.where((height >= start[0]) & (height <= end[0]) & (form.arc_radius[arc] > 0.0), out, found)
        before = end
    assert before is not None
    above = before[1] if form.endless else np.nan
    return np.where(height > before[0], above, found)


def _cusp_height(form: Form, step: Any, outward: Any) -> Any:
    """Height over the lower tip at which its flank comes out under the upper level."""
    on_floor = _radius_at(form, step) - _bottom(form) <= outward
    low, high = step + 0.0 * outward, step + form.ends(form.count - 1)[1][0] + 0.0 * outward
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        gap = _radius_at(form, middle) - _radius_at(form, middle - step) > outward
        low, high = np.where(gap, middle, low), np.where(gap, high, middle)
    return np.where(on_floor, step, 0.5 * (low + high))


def _above(across: Any, up: Any, slope: Any, radius: Any) -> Any:
    """Distance from the surface of a point given from the upper contact, outward and up."""
    flat = np.isinf(radius)
    bend = np.where(flat, 0.0, 1.0 / np.where(flat, 1.0, radius))
    level = across * np.sin(slope) + up * np.cos(slope)
    square = 2.0 * level + bend * (across * across + up * up)
    return square / (1.0 + np.sqrt(np.maximum(1.0 + bend * square, 0.0)))
