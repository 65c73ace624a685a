"""What step-down roughing leaves on a slope: stairs, in the section of steepest slope.

Plain functions on a profile and floats or arrays: lengths in mm, angles in degrees, `surface_radius` convex positive,
concave negative, flat infinite.  The cutter stands upright and clears each level as a pocket: from the place where it
touches the surface, or the stock that is to be left on it, everything outward.  Between two levels a ridge stands where
the lower cutter's flank meets the upper one's underside or the floor of its level.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from millcalc.cutters._stair_parts import Place, flat_radius, outline, section, top
from millcalc.cutters.profile import Profile
from millcalc.cutters.silhouette import Form, in_chunks

__all__ = ["largest_stair", "largest_stair_step", "stair_shape"]

_ROUNDS = 100
_GRAZE = 1e-9  # mm: a gouge no deeper is none
_NODES = 33
_GOLDEN = 0.5 * (np.sqrt(5.0) - 1.0)


def stair_shape(profile: Profile, step_down: Any, slope: Any, surface_radius: Any) -> tuple[Any, Any, Any, Any]:
    """Thickness [mm] of the stair left, height of its ridge over the lower level, mean thickness, length on the slope.

    NaN where the tool does not touch, does not fit, or ends below the ridge.  A convex surface runs on upright where it
    has turned so, a concave one level; its last level lies on the floor.
    """
    found: tuple[Any, Any, Any, Any] = in_chunks(_shape, profile, step_down, slope, surface_radius, results=4)
    return found


def largest_stair_step(profile: Profile, stair_thickness: Any, slope: Any, surface_radius: Any) -> Any:
    """Step down [mm] whose stairs are as thick as stated; infinite where none leaves them so thick."""
    return in_chunks(_step, profile, stair_thickness, slope, surface_radius)


def largest_stair(profile: Profile, step_down: Any, slope_from: Any, slope_to: Any, surface_radius: Any) -> Any:
    """Largest thickness [mm] of the stairs over a range of slopes; NaN where the tool does not fit all of it.

    The largest of evenly spread slopes, improved by golden sections between its neighbours.
    """

    def largest(form: Form, step: Any, low: Any, high: Any, radius: Any) -> Any:
        def thickness(slope: Any) -> Any:
            return _shape(form, step, slope, radius)[0]

        low, high = np.minimum(low, high), np.maximum(low, high)
        width = (high - low) / (_NODES - 1)
        slopes = np.minimum(low + width * np.arange(_NODES)[:, None], high)
        nodes = _shape(_repeated(form, _NODES), *(_flat(step), slopes.reshape(-1), _flat(radius)))[0]
        nodes = nodes.reshape(_NODES, -1)
        best = np.max(nodes, axis=0)
        at = low + width * np.argmax(nodes, axis=0)
        left, right = np.maximum(at - width, low), np.minimum(at + width, high)
        one, other = right - _GOLDEN * (right - left), left + _GOLDEN * (right - left)
        lower, upper = thickness(one), thickness(other)
        for _ in range(30):
            best = np.where(np.isnan(best), best, np.fmax(best, np.fmax(lower, upper)))
            rises = lower < upper
            left, right = np.where(rises, one, left), np.where(rises, right, other)
            # of the two places inside, one is kept
            new = np.where(rises, left + _GOLDEN * (right - left), right - _GOLDEN * (right - left))
            found = thickness(new)
            one, other = np.where(rises, other, new), np.where(rises, new, one)
            lower, upper = np.where(rises, upper, found), np.where(rises, found, lower)
        return best

    return in_chunks(largest, profile, step_down, slope_from, slope_to, surface_radius, nodes=_NODES)


def _flat(values: Any) -> Any:
    return np.tile(values, _NODES)


def _repeated(form: Form, count: int) -> Form:
    """The form of each element, so many times over."""
    names = ("centre_radius", "centre_height", "arc_radius", "normal")
    arrays = {name: getattr(form, name) for name in names}
    return Form(form.endless, **{n: np.tile(a, (1, count)) if a.shape[1] > 1 else a for n, a in arrays.items()})


def _shape(form: Form, step: Any, slope: Any, radius: Any) -> tuple[Any, Any, Any, Any]:
    """Thickness, height of the ridge, mean thickness and length of the stair."""
    place = Place.at(form, np.radians(slope), 1.0 / radius)
    drop = np.minimum(step, place.room)
    moved, height, reached = place.lowered(drop)
    ridge = _ridge(place, drop, moved, height)
    thickness = place.above(moved, drop, ridge)
    if np.any(place.bend < 0.0):
        lower = _bulge(place, moved, drop, height, ridge)
        upper = _bulge(place, 0.0 * moved, 0.0 * drop, ridge - drop, place.height)
        thickness = np.where(place.bend < 0.0, np.fmax(thickness, np.fmax(lower, upper)), thickness)
    level_plane = (place.bend == 0.0) & (slope == 0.0)
    area, length = _area(place, moved, drop, height, reached, ridge)
    mean = np.where(length > 0.0, area / length, 0.0)
    found = (thickness, ridge, mean, np.where(level_plane, np.inf, length))
    fits = ~((place.bend < 0.0) & (place.lowered(0.0 * drop)[0] > _GRAZE)) & ~np.isnan(ridge + radius)
    one, two, three, four = (np.where(fits, np.where(drop > 0.0, np.maximum(f, 0.0), 0.0), np.nan) for f in found)
    return one, two, three, four


def _ridge(place: Place, drop: Any, moved: Any, height: Any) -> Any:
    """Height on the lower cutter at which it meets the upper one, or the floor of its level.

    How much wider the lower cutter is than the upper one at the same place falls with the height: Newton steps in the
    root of the height above the upper level, kept between the contacts of both levels.
    """
    form = place.form
    low = np.sqrt(np.maximum(height - drop, 0.0))
    last = place.height if form.endless else np.minimum(place.height, top(form) - drop)
    high = np.maximum(np.sqrt(np.maximum(last, 0.0)) + 0.0 * drop, low)
    at, highest = 0.5 * (low + high), high

    def gap(at: Any) -> tuple[Any, Any]:
        lower, upper = outline(form, drop + at * at), outline(form, at * at)
        return lower[0] - upper[0] - moved, 2.0 * at * (lower[1] - upper[1])

    on_floor = outline(form, drop)[0] - flat_radius(form) <= moved
    open_ = ~on_floor & (high > low)
    for _ in range(_ROUNDS):
        if not open_.any():
            break
        value, rate = gap(at)
        low, high = np.where(value > 0.0, at, low), np.where(value > 0.0, high, at)
        new = at - value / rate
        astray = ~((new >= low) & (new <= high))
        new = np.where(astray, 0.5 * (low + high), new)
        done = (np.abs(new - at) <= 1e-15 * at) | (high - low <= 1e-15 * high) | (value == 0.0)
        at = np.where(open_, new, at)
        open_ = open_ & ~done
    meets = form.endless | (drop <= top(form)) & (gap(highest)[0] <= 1e-12)
    return np.where(on_floor, drop, np.where(meets, drop + at * at, np.nan))


def _bulge(place: Place, moved: Any, drop: Any, low: Any, high: Any) -> Any:
    """Largest distance from a concave surface of the outline between two heights, ends of the stretch aside.

    A piece flatter than the surface is farthest from it where it is nearest to the surface's centre.
    """
    form = place.form
    out = moved + place.radius + place.sine / place.bend
    up = drop + place.height - place.cosine / place.bend
    found = np.nan * out
    below: tuple[Any, Any] = (0.0, 0.0)
    for arc in range(form.count):
        start, end = form.ends(arc)
        rise, spread = start[0] - below[0], start[1] - below[1]
        square = rise * rise + spread * spread
        share = (rise * (up - below[0]) + spread * (out - below[1])) / np.where(square > 0.0, square, np.nan)
        psi = np.arctan2(out - form.centre_radius[arc], form.centre_height[arc] - up)
        on_arc = form.on_arc(arc, np.clip(psi, form.normal[arc], form.normal[arc + 1]))[0]
        for height in (below[0] + np.clip(share, 0.0, 1.0) * rise, on_arc):
            found = np.fmax(found, place.above(moved, drop, np.clip(height, low, high)))
        below = end
    return found


def _area(place: Place, moved: Any, drop: Any, height: Any, reached: Any, ridge: Any) -> tuple[Any, Any]:
    """Area of the stair, and length of the surface below it between the contacts of both levels."""
    form, bend = place.form, place.bend
    out = moved + place.radius
    cut = out * (ridge - height) - section(form, ridge) + section(form, height)
    cut = cut + place.radius * (place.height - ridge + drop)
    cut = cut - section(form, place.height) + section(form, ridge - drop)
    x, z = out - reached, drop + place.height - height
    # a convex surface that has turned upright runs on straight
    upright = (bend > 0.0) & (z * bend > place.cosine)
    x_turn = np.where(upright, place.wall, x)
    z_turn = np.where(upright, place.cosine / np.where(upright, bend, 1.0), z)
    chord = np.hypot(x_turn, z_turn)
    turn = 2.0 * np.arcsin(np.minimum(0.5 * chord * np.abs(bend), 1.0))
    arc = np.where(bend == 0.0, chord, turn / np.where(bend == 0.0, 1.0, np.abs(bend)))
    small = turn < 1e-3
    over = np.where(small, turn / 12.0, 0.5 * (turn - np.sin(turn)) / np.where(small, 1.0, turn * turn))
    under = 0.5 * x_turn * z_turn + 0.5 * (x_turn + x) * (z - z_turn) + np.sign(bend) * arc * arc * over
    return cut - under, arc + z - z_turn


def _step(form: Form, thickness: Any, slope: Any, radius: Any) -> Any:
    """Step whose stair has a thickness, by secants in the logarithms of both, kept in their bracket."""
    place = Place.at(form, np.radians(slope), 1.0 / radius)
    size = np.max(np.stack([top(form) + 0.0 * thickness, outline(form, top(form) + 0.0 * thickness)[0]]), axis=0)
    # from here on the surface, not the cutter, makes the stair: deeper steps leave it, or thicker ones
    most = (thickness + 4.0 * size) / np.maximum(place.cosine, 1e-9)
    most = np.minimum(most, np.where(place.bend > 0.0, radius + 4.0 * size + thickness, most))
    most = np.minimum(most, place.room)

    def miss(step: Any) -> Any:
        return np.log(_shape(form, step, slope, radius)[0] / thickness)

    high, low = np.log(most), np.log(np.minimum(1e-9 * most, 1e-6 * thickness))
    above, below = miss(most), miss(np.exp(low))
    reachable = ~(above < -1e-9)
    at = high
    for turn in range(_ROUNDS):
        secant = low - below * (high - low) / (above - below)
        inside = (secant > low) & (secant < high) & (turn % 3 != 2)
        at = np.where(inside, secant, 0.5 * (low + high))
        value = miss(np.exp(at))
        over = ~(value < 0.0)
        high, above = np.where(over, at, high), np.where(over, value, above)
        low, below = np.where(over, low, at), np.where(over, below, value)
        if np.all((np.abs(value) <= 1e-14) | (high - low <= 1e-15 * np.abs(high)) | ~reachable):
            break
    step = np.exp(np.where(np.abs(below) < np.abs(above), low, high))
    found = np.where(np.abs(miss(step)) <= 1e-6, step, np.nan)
    return np.where(reachable, found, np.where(thickness > 0.0, np.inf, np.nan))
