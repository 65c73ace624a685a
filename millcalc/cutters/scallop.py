"""What the passes leave between them: the ridge in which two silhouettes meet, and where a tool does not fit.

Plain functions on a profile and floats or arrays: lengths in mm, angles in degrees, `surface_radius` convex positive,
concave negative, flat infinite.  Neighbouring passes stand on both sides of the place that lead and tilt are stated
for; either both are turned with the surface normal, or the axis keeps its direction in space.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from millcalc.cutters.profile import Profile
from millcalc.cutters.silhouette import Form, Silhouette, Walk, in_chunks, level, picked

__all__ = [
    "depth_on_plane",
    "flat_width",
    "gouge_depth",
    "largest_stepover",
    "scallop_height",
    "scallop_stepover",
    "sides",
]

_ROUNDS = 100
_SAMPLES = np.append(0.0, np.geomspace(1e-3, 1.0, 24))  # dense at the contact, where a tight surface is gouged first
_GRAZE = 1e-9  # mm: a gouge no deeper is none


def sides(form: Form, lead: Any, tilt: Any, bend: Any) -> tuple[Walk, Walk]:
    """Left and right side of the silhouette; angles in degrees."""
    return Walk.both(form, np.radians(lead), np.radians(tilt), bend)


def flat_width(profile: Profile, lead: Any, tilt: Any) -> Any:
    """Width [mm] of the straight piece that touches a plane: passes no further apart leave no scallop."""

    def width(form: Form, lead: Any, tilt: Any) -> Any:
        left, right = sides(form, lead, tilt, 0.0)
        return left.touching + right.touching

    return in_chunks(width, profile, lead, tilt)


def scallop_stepover(
    profile: Profile,
    scallop_height: Any,
    lead: Any,
    tilt: Any,
    surface_radius: Any,
    length: Any = np.inf,
    axis_fixed: bool = False,
) -> Any:
    """Stepover [mm] along the surface that leaves a scallop height [mm]; NaN where none does.

    The tool, up to a length [mm] from its tip, must fit into a concave surface.
    """

    def stepover(form: Form, height: Any, lead: Any, tilt: Any, radius: Any, length: Any) -> Any:
        bend = 1.0 / radius
        left, right = sides(form, lead, tilt, bend)
        found = left.at(height).reach + right.at(height).reach
        flat = np.where(bend == 0.0, left.touching + right.touching, 0.0)
        found = np.where(height == 0.0, flat, found)
        if axis_fixed and np.any(bend != 0.0):
            found = _fixed_stepover(form, height, lead, tilt, bend, found)
        return np.where(_fits(left, right, bend, length), found, np.nan)

    return in_chunks(stepover, profile, scallop_height, lead, tilt, surface_radius, length)


def scallop_height(
    profile: Profile,
    stepover: Any,
    lead: Any,
    tilt: Any,
    surface_radius: Any,
    length: Any = np.inf,
    axis_fixed: bool = False,
) -> Any:
    """Scallop height [mm] along the normal that a stepover leaves; 0 where a flat bottom leaves none."""

    def height(form: Form, stepover: Any, lead: Any, tilt: Any, radius: Any, length: Any) -> Any:
        bend = 1.0 / radius
        left, right = sides(form, lead, tilt, bend)
        if axis_fixed and np.any(bend != 0.0):
            found = _fixed_height(form, stepover, lead, tilt, bend)
        else:
            found = ridge(left, right, stepover)[0]
        return np.where(_fits(left, right, bend, length), found, np.nan)

    return in_chunks(height, profile, stepover, lead, tilt, surface_radius, length)


def largest_stepover(profile: Profile, lead: Any, tilt: Any, surface_radius: Any, length: Any = np.inf) -> Any:
    """Stepover [mm] up to which passes meet, both turned with the surface normal."""

    def largest(form: Form, lead: Any, tilt: Any, radius: Any, length: Any) -> Any:
        bend = 1.0 / radius
        left, right = sides(form, lead, tilt, bend)
        _, meeting = ridge(left, right, np.full(np.shape(lead), np.inf))
        return np.where(_fits(left, right, bend, length), meeting, np.nan)

    return in_chunks(largest, profile, lead, tilt, surface_radius, length)


def depth_on_plane(profile: Profile, normal_depth: Any, lead: Any, tilt: Any, surface_radius: Any) -> Any:
    """Height [mm] over the contact's tangent plane at which the silhouette leaves the stock, the higher side."""

    def depth(form: Form, stock: Any, lead: Any, tilt: Any, radius: Any) -> Any:
        left, right = sides(form, lead, tilt, 1.0 / radius)
        return np.where(stock == 0.0, 0.0, np.maximum(left.at(stock).up, right.at(stock).up))

    return in_chunks(depth, profile, normal_depth, lead, tilt, surface_radius)


def ridge(left: Walk, right: Walk, stepover: Any) -> tuple[Any, Any]:
    """Height at which the silhouettes are as wide as the stepover, and the width found there."""
    flat = np.where(left.bend == 0.0, left.touching + right.touching, 0.0)
    low = np.zeros(np.shape(stepover))
    high = np.sqrt(_highest(left, right))
    at = np.minimum(_first_guess(left, right, stepover), high)
    open_ = stepover > flat
    for _ in range(_ROUNDS):
        width, rate = _width(left, right, at)
        below = (width < stepover) & (rate > 0.0)
        low, high = np.where(below, at, low), np.where(below, high, at)
        new = at - (width - stepover) / (2.0 * at * rate)
        astray = ~((new > low) & (new < high))
        middle = np.where(high > 4.0 * low, np.sqrt(np.maximum(low, 1e-3 * high) * high), 0.5 * (low + high))
        new = np.where(astray, middle, new)
        done = ~astray & (np.abs(new - at) <= 1e-8 * at)
        at = np.where(open_, new, at)
        open_ = open_ & ~done & (high - low > 1e-15 * high)
        if not open_.any():
            break
    width, _ = _width(left, right, at)
    meets = np.abs(width - stepover) <= 1e-7 * stepover
    below, _ = _width(left, right, low)
    height = np.where(stepover <= flat, 0.0, np.where(meets, at * at, np.nan))
    return height, np.where(np.isinf(stepover), below, width)


def _width(left: Walk, right: Walk, at: Any) -> tuple[Any, Any]:
    """Width of the silhouette at a height of at^2, along the surface, and its change with the height."""
    one, other = left.at(at * at), right.at(at * at)
    return one.reach + other.reach, one.rate + other.rate


def _highest(left: Walk, right: Walk) -> Any:
    """A height above which the width of the silhouette grows no more, or which it never reaches."""
    top = np.maximum(left.up[-1], right.up[-1])
    # on a curved surface the widest place may lie far up a leaning flank
    wide = np.maximum(left.across[-1], right.across[-1])
    return np.where(left.bend == 0.0, top * (1.0 + 1e-9), 100.0 * (top + wide))


def _first_guess(left: Walk, right: Walk, stepover: Any) -> Any:
    """Root of the height that a silhouette with the curvature of the contact leaves."""
    bows = (left.contact_bow(), right.contact_bow())
    curvature = 0.5 * sum(1.0 / np.maximum(b, 1e-6) for b in bows) + left.bend
    guess = stepover * np.sqrt(np.maximum(curvature, 1e-9) / 8.0)
    return np.where(np.isfinite(guess), np.maximum(guess, 1e-9), np.inf)


def _fits(left: Walk, right: Walk, bend: Any, length: Any) -> Any:
    """Whether the tool touches the surface nowhere but at the contact."""
    if not np.any(bend < 0.0):
        return ~np.isnan(left.base[0])
    tightest = np.maximum(left.contact_bow(), right.contact_bow())
    return (_deepest(left, right, bend, length) <= _GRAZE) & ~((bend < 0.0) & (tightest * -bend > 1.0))


def gouge_depth(profile: Profile, lead: Any, tilt: Any, surface_radius: Any, length: Any = np.inf) -> Any:
    """Depth [mm] to which the tool, up to a length from its tip, cuts into a concave surface; 0 where it fits.

    The surface is taken as half a circle: 90 degrees to either side of the contact.
    """

    def depth(form: Form, lead: Any, tilt: Any, radius: Any, length: Any) -> Any:
        bend = np.minimum(1.0 / radius, 0.0)
        found = _deepest(*sides(form, lead, tilt, bend), bend, length)
        return np.where(found <= _GRAZE, 0.0, found)

    return in_chunks(depth, profile, lead, tilt, surface_radius, length)


def _deepest(left: Walk, right: Walk, bend: Any, length: Any) -> Any:
    found = np.maximum(_deepest_on(left, bend, length), _deepest_on(right, bend, length))
    return np.where(np.isnan(left.base[0]), np.nan, np.where(bend < 0.0, np.maximum(found, 0.0), 0.0))


def _deepest_on(walk: Walk, bend: Any, length: Any) -> Any:
    """Depth of the deepest point of a side: an end of an arc, a place on one, or on the flank above."""
    ahead = (walk.level > -np.inf) & (1.0 + bend * walk.up >= 0.0)
    deepest = np.max(np.where(ahead, -level(walk.across, walk.up, bend), 0.0), axis=0)
    for place in range(0, len(walk.arcs), 2):
        low = walk.tilt if place == 0 else np.maximum(walk.chi[place - 1], walk.tilt)
        deepest = np.fmax(deepest, _deepest_on_arc(walk, walk.arcs[place], low, walk.chi[place], bend))
    return np.fmax(deepest, _deepest_on_flank(walk, bend, length))


def _deepest_on_arc(walk: Walk, arc: int, low: Any, high: Any, bend: Any) -> Any:
    """Depth on an arc: the deepest of some places, improved by Newton steps on the slope of the depth."""
    form = walk.form
    stretch = walk.stretch((form.centre_radius[arc], form.centre_height[arc], form.arc_radius[arc]))
    high = np.maximum(low, high)
    small = np.maximum(walk.sine, 1e-9)  # a small lead squeezes the ellipse of an arc's centre into small chi
    first, last = np.arcsinh(low / small), np.arcsinh(high / small)

    def depth(chi: Any) -> tuple[Any, Any, Any]:
        across, up, bow, out, above = stretch.point(chi)
        below = 1.0 + bend * up
        slope = above * below + bend * across * out
        turn = out * below - bend * across * above + bend * bow
        found = np.where(below >= 0.0, -level(across, up, bend), -np.inf)
        return found, slope, turn

    chi = small * np.sinh(first + (last - first) * _SAMPLES.reshape(-1, 1))
    sampled = np.stack([depth(c)[0] for c in chi])
    at = picked(np.broadcast_to(chi, sampled.shape), np.argmax(sampled, axis=0))
    best = np.max(sampled, axis=0)
    for _ in range(6):
        _, slope, turn = depth(at)
        at = np.clip(at - np.where(turn != 0.0, slope / np.where(turn == 0.0, 1.0, turn), 0.0), low, high)
        best = np.fmax(best, depth(at)[0])
    return np.where(high > low, best, 0.0)


def _deepest_on_flank(walk: Walk, bend: Any, length: Any) -> Any:
    """Depth of the end of the cylinder above: at the surface's edge, level with its centre, or where the tool ends."""
    if not walk.form.endless:
        return 0.0 * bend
    x, y = walk.across[-1], walk.up[-1]
    top = walk.form.centre_height[-1]
    to_edge = (-1.0 / np.where(bend < 0.0, bend, -1.0) - y) / walk.down
    along = np.minimum(to_edge, np.maximum(length - top, 0.0) * walk.cosine)
    found = -level(x + along * walk.side, y + along * walk.down, bend)
    return np.where((along > 0.0) & (bend < 0.0), found, 0.0)


def _fixed_height(form: Form, stepover: Any, lead: Any, tilt: Any, bend: Any) -> Any:
    """Scallop height between passes whose axis keeps its direction while the normal turns from one to the other."""
    lead, tilt = np.radians(lead), np.radians(tilt)
    half = 0.5 * stepover * bend
    out = 0.5 * stepover * np.sinc(half / np.pi)
    drop = -0.5 * stepover * np.sin(0.5 * half) * np.sinc(0.5 * half / np.pi)
    silhouette = Silhouette(form, lead)
    mid = Walk(silhouette, tilt, 0.0 * bend)

    def offset(turn: Any, side: float) -> tuple[Any, Any]:
        contact = mid.turned(*silhouette.contact(tilt + turn))
        return side * out - contact[0], drop - contact[1]

    left, right = offset(-half, 1.0), offset(half, -1.0)
    apart = (left[0] - right[0], left[1] - right[1])
    lean = np.arctan2(apart[1], apart[0])
    one, other = Walk(silhouette, tilt + lean, 0.0 * bend), Walk(silhouette, -(tilt + lean), 0.0 * bend)
    height, _ = ridge(one, other, np.hypot(*apart))
    root = one.at(height)
    root_x = np.where(height == 0.0, one.touching, root.across)
    foot = one.contact_in(mid)
    x = foot[0] + np.cos(lean) * root_x - np.sin(lean) * height + right[0]
    y = foot[1] + np.sin(lean) * root_x + np.cos(lean) * height + right[1]
    return level(x, y, bend)


def _fixed_stepover(form: Form, height: Any, lead: Any, tilt: Any, bend: Any, guess: Any) -> Any:
    """Stepover at which `_fixed_height` gives a height, sought from that of passes turned with the normal."""

    def root_of_height(stepover: Any) -> Any:
        return np.sqrt(np.maximum(_fixed_height(form, stepover, lead, tilt, bend), 0.0))

    return increasing_root(root_of_height, np.sqrt(height), 2.0 * guess)


def increasing_root(function: Callable[[Any], Any], goal: Any, high: Any) -> Any:
    """Where an increasing function, 0 at 0, reaches a goal below `high`; where it has no value it counts as above."""
    low, low_value = np.zeros(np.shape(goal)), np.zeros(np.shape(goal))
    high_value = function(high)
    at = high
    for step in range(_ROUNDS):
        secant = low + (high - low) * (goal - low_value) / (high_value - low_value)
        inside = (secant > low) & (secant < high) & (step % 3 != 2)
        new = np.where(inside, secant, 0.5 * (low + high))
        value = function(new)
        above = ~(value < goal)
        high, high_value = np.where(above, new, high), np.where(above, value, high_value)
        low, low_value = np.where(above, low, new), np.where(above, low_value, value)
        at = np.where(np.abs(value - goal) <= 1e-15 * goal, new, secant)
        settled = (high - low <= 1e-14 * high) | (np.abs(value - goal) <= 1e-14 * goal)
        if np.all(settled | np.isnan(goal)):
            break
    return np.where(np.abs(function(at) - goal) <= 1e-9 * np.maximum(goal, 1e-9), at, np.nan)
