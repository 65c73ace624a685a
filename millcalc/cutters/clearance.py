"""Whether shank and holder clear a wall and the floor, and what overhang or lean they need for it.

The frame stands on the floor at the contact: N outward normal, F feed, C = N x F.  The wall runs endless along F, on
the left (toward C) or on the right.  It is all that lies beyond its face and below its top: the top is flat, and the
face goes on below the floor.  With `draft` 0 the face is parallel to N; a positive draft leans it away from the tool,
a negative one undercuts it.  A wall without end has the height infinity.

Plain functions on floats or arrays that broadcast: lengths in mm, angles in degrees, NaN where something is NaN or
outside its domain (lead, tilt and draft between -90 and 90, wall height 0 or more).  `tip` goes from the contact to
the tip: along F, C and N.

Clearances are signed.  Positive: the distance in space.  Negative: the depth of the overlap, the shortest move in any
direction that parts the two; it grows steadily from 0, while a move along C alone would leap where a holder dips
below the top of a wall.  Either way the clearance is the largest gap between parallel planes square to C-N that keep
body and wall apart.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import attrs
import numpy as np

from millcalc.cutters._section import Frustum, Section, by_four, common_shape, in_chunks, sizes_of
from millcalc.errors import ArgumentError, Fault

__all__ = [
    "Frustum",
    "assembled",
    "clearing_leans",
    "clearing_tilt_range",
    "floor_clearance",
    "least_overhang",
    "wall_clearance",
]

_ROUNDS = 60
_GRAZE = 1e-9  # mm: a touch no deeper is none
_STEP = 0.5  # deg: distance of the tilts that are looked at
_GOLDEN = 0.5 * (5.0**0.5 - 1.0)


def assembled(overhang: Any, holder: Sequence[Frustum], shank_diameter: Any, cutting_length: Any) -> list[Frustum]:
    """Bodies of a tool: the shank from the end of the cutting part to the holder, and the holder at an overhang.

    Parameters
    ----------
    overhang
        Height [mm] of the holder's face above the tip.
    holder
        Its bodies; their heights count from the holder's face.
    shank_diameter, cutting_length
        Diameter [mm] of the shank, and the height [mm] at which it begins.

    Raises
    ------
    ArgumentError
        Bodies that cannot be used.

    Examples
    --------
    >>> [body.low for body in assembled(40.0, [Frustum(0, 30, 16, 20)], 10.0, 22.0)]
    [22.0, 40.0]
    """
    sizes_of(holder)
    overhang = np.asarray(overhang, dtype=float)
    radius = 0.5 * np.asarray(shank_diameter, dtype=float)
    shank = Frustum(cutting_length, overhang, radius, radius, "shank")
    return [shank, *(attrs.evolve(b, low=b.low + overhang, high=b.high + overhang) for b in holder)]


def _mirrored(tilt: Any, tip: Sequence[Any], side: str) -> list[Any]:
    """Tilt and tip as seen with the wall on the left."""
    if side not in ("left", "right"):
        raise ArgumentError("the side cannot be used", [Fault("side", repr(side), "it is unknown", '"left", "right"')])
    sign = 1.0 if side == "left" else -1.0
    tip_f, tip_c, tip_n = (np.asarray(t, dtype=float) for t in tip)
    return [sign * np.asarray(tilt, dtype=float), tip_f, sign * tip_c, tip_n]


def _least_of(gaps: Iterator[Any]) -> Any:
    return functools.reduce(np.minimum, gaps)


def wall_clearance(
    bodies: Sequence[Frustum],
    lead: Any,
    tilt: Any,
    tip: Sequence[Any],
    wall_distance: Any,
    wall_height: Any,
    draft: Any = 0.0,
    side: str = "left",
) -> Any:
    """Clearance [mm] between bodies and a wall, the least of all bodies.

    Parameters
    ----------
    bodies
        Pieces of shank and holder, heights from the tip.
    lead, tilt
        Lean [deg] of the axis.
    tip
        From the contact to the tip [mm]: along F, C and N.
    wall_distance, wall_height, draft
        Distance [mm] of the face from the contact, on the floor; height [mm], which may be infinite; draft [deg].
    side
        "left", the side of C, or "right".

    Raises
    ------
    ArgumentError
        Bodies or a side that cannot be used.

    Examples
    --------
    >>> wall_clearance([Frustum(20, 50, 6, 6)], 0.0, 0.0, (0.0, 0.0, 0.0), 10.0, 80.0)
    4.0
    >>> print(f"{wall_clearance([Frustum(20, 50, 16, 16)], 0.0, 0.0, (0.0, 0.0, 0.0), 10.0, 17.0):.6f}")
    3.000000
    """
    sizes = sizes_of(bodies)

    def least(*numbers: Any) -> Any:
        section = Section(*numbers[:8])
        return _least_of(section.gap(body)[0] for body in by_four(numbers[8:]))

    return in_chunks(least, lead, *_mirrored(tilt, tip, side), wall_distance, wall_height, draft, *sizes)


def floor_clearance(bodies: Sequence[Frustum], lead: Any, tilt: Any, tip: Sequence[Any]) -> Any:
    """Clearance [mm] between bodies and the floor, the least of all bodies; arguments as of `wall_clearance`.

    Examples
    --------
    >>> floor_clearance([Frustum(20, 50, 6, 6)], 0.0, 0.0, (0.0, 0.0, 0.0))
    20.0
    """
    sizes = sizes_of(bodies)

    def least(*numbers: Any) -> Any:
        section = Section(*numbers[:5], 0.0, 0.0, 0.0)
        return _least_of(section.floor_gap(body) for body in by_four(numbers[5:]))

    return in_chunks(least, lead, *_mirrored(tilt, tip, "left"), *sizes)


def least_overhang(
    holder: Sequence[Frustum],
    shank_diameter: Any,
    cutting_length: Any,
    longest: Any,
    lead: Any,
    tilt: Any,
    tip: Sequence[Any],
    wall_distance: Any,
    wall_height: Any,
    draft: Any = 0.0,
    side: str = "left",
    *,
    margin: Any = 0.0,
    floor: bool = True,
) -> Any:
    """Least overhang [mm] from which on the tool stays clear of the wall, up to the longest; NaN if there is none.

    Parameters
    ----------
    holder
        Its bodies; their heights count from the holder's face, which stands at the overhang.
    shank_diameter, cutting_length
        Diameter [mm] of the shank, and the height [mm] at which it begins: no overhang is shorter.
    longest
        Largest overhang [mm] asked for.
    margin
        Clearance [mm] that every body of the holder keeps; the shank only must not overlap.
    floor
        Whether holder and shank keep clear of the floor too.

    The others are those of `wall_clearance`.

    Raises
    ------
    ArgumentError
        Bodies or a side that cannot be used.

    Notes
    -----
    With a tilt up to the draft each body clears the better the longer the overhang.  With more, toward the wall, it
    may clear below some overhang, collide, and clear again above the wall: as the clearance is a convex function of
    the overhang, what collides is one stretch a body.  The answer is the end of the last stretch, so that every
    overhang from there to the longest clears.  The shank collides the more the longer it is; it is judged at the
    longest overhang.

    Examples
    --------
    >>> nose = Frustum(0, 30, 16, 16)
    >>> print(f"{least_overhang([nose], 10.0, 15.0, 60.0, 0.0, 0.0, (0.0, 0.0, 0.0), 8.0, 25.0, margin=1.0):.6f}")
    26.000000
    """
    sizes = sizes_of(holder)

    def least(diameter: Any, shortest: Any, longest: Any, margin: Any, *numbers: Any) -> Any:
        section = Section(*numbers[:8])
        radius = np.where(diameter >= 0.0, 0.5 * diameter, np.nan)
        shank = (shortest, longest, radius, radius)
        spare = np.minimum(section.gap(shank)[0], section.floor_gap(shank) if floor else np.inf)
        possible = (spare >= -_GRAZE) & (shortest >= 0.0) & (longest >= shortest) & (longest < np.inf)
        found = np.where(possible, shortest, np.nan)
        for body in by_four(numbers[8:]):
            found = np.maximum(found, _clear_from(section, body, shortest, longest, margin))
            if floor:
                low = (margin - section.floor_gap(body)) / (section.cosine * section.up)
                found = np.maximum(found, np.where(low <= longest + _GRAZE, np.minimum(low, longest), np.nan))
        return found

    place = (lead, *_mirrored(tilt, tip, side), wall_distance, wall_height, draft)
    return in_chunks(least, shank_diameter, cutting_length, longest, margin, *place, *sizes)


def _clear_from(section: Section, body: Sequence[Any], shortest: Any, longest: Any, margin: Any) -> Any:
    """Overhang from which a body keeps a margin: Newton steps down from the longest, which cannot pass a collision."""
    at = np.asarray(longest)
    gap, ahead = section.gap(body, at)
    clear = gap >= margin - _GRAZE
    for _ in range(_ROUNDS):
        rise = -ahead * section.cosine
        step = np.where(rise > 0.0, np.maximum(gap - margin, 0.0) / rise, np.inf)
        new = np.maximum(at - step, shortest)
        moving = np.any(np.abs(new - at) > 1e-11 * (1.0 + np.abs(at)))
        at = new
        if not moving:
            break
        gap, ahead = section.gap(body, at)
    return np.where(clear, at, np.nan)


def clearing_leans(
    bodies: Sequence[Frustum],
    tip_of: Callable[[Any, Any], Sequence[Any]],
    leads: Any,
    tilts: Any,
    wall_distance: Any,
    wall_height: Any,
    draft: Any = 0.0,
    side: str = "left",
    *,
    margin: Any = 0.0,
    floor: bool = True,
) -> Any:
    """Which leans of a grid clear: an array of booleans, a row a lead and a column a tilt.

    Parameters
    ----------
    tip_of
        Called with arrays of lead and tilt [deg], gives `tip`.
    leads, tilts
        Angles [deg] of the rows and of the columns.
    margin
        Clearance [mm] that every body keeps to the wall; the floor it just must not overlap.
    floor
        Whether the bodies keep clear of the floor too.

    The others are those of `wall_clearance`; arrays among them fit the grid.  Where something is NaN nothing clears.

    Examples
    --------
    >>> clearing_leans([Frustum(0, 90, 6, 6)], lambda lead, tilt: (0, 0, 9), [0.0], [-5.0, 5.0], 10.0, 80.0)
    array([[ True, False]])
    """
    lead, tilt = np.broadcast_arrays(np.reshape(leads, (-1, 1)), np.reshape(tilts, (1, -1)))
    tip = tip_of(lead, tilt)
    clear = wall_clearance(bodies, lead, tilt, tip, wall_distance, wall_height, draft, side) >= margin - _GRAZE
    return clear & (floor_clearance(bodies, lead, tilt, tip) >= -_GRAZE) if floor else clear


def clearing_tilt_range(
    bodies: Sequence[Frustum],
    tip_of: Callable[[Any, Any], Sequence[Any]],
    lead: Any,
    tilt: Any,
    lowest: Any,
    highest: Any,
    wall_distance: Any,
    wall_height: Any,
    draft: Any = 0.0,
    side: str = "left",
    *,
    margin: Any = 0.0,
    floor: bool = True,
) -> tuple[Any, Any]:
    """Tilts [deg] from which and up to which a tool clears without a break, around one tilt; NaN if that collides.

    Parameters
    ----------
    tip_of
        Called with flat arrays of lead and tilt [deg], gives `tip`.
    lead, tilt
        The lead [deg], and the tilt [deg] that the range lies around.
    lowest, highest
        Limits [deg] of the range.

    The others are those of `clearing_leans`; all broadcast.  The ends clear, and are found to 1e-6 deg.

    Notes
    -----
    Tilts are looked at every half degree, and between them where the clearance has a dip.  A break is overlooked only
    where several dips lie within one degree.

    Examples
    --------
    >>> body = Frustum(0, 90, 6, 6)
    >>> low, high = clearing_tilt_range([body], lambda lead, tilt: (0, 0, 9), 0.0, 0.0, -30.0, 30.0, 10.0, 80.0)
    >>> print(f"{low:.6f} {high:.6f}")
    -30.000000 3.216905
    """
    sizes = sizes_of(bodies)
    numbers = [lead, tilt, lowest, highest, wall_distance, wall_height, draft, margin, *sizes]
    shape = common_shape(*numbers)
    lead, tilt, lowest, highest, *rest = (np.broadcast_to(n, shape).reshape(-1) for n in numbers)

    def spare(tilts: Any, place: Any) -> Any:
        distance, height, draft, margin, *sizes = (r[place] for r in rest)
        leads = lead[place]
        some = [Frustum(*body) for body in by_four(sizes)]
        tip = tip_of(leads, tilts)
        found = wall_clearance(some, leads, tilts, tip, distance, height, draft, side)
        spare = found - margin
        return (np.minimum(spare, floor_clearance(some, leads, tilts, tip)) if floor else spare) + _GRAZE

    inside = np.where((lowest <= tilt) & (tilt <= highest), tilt, np.nan)
    limits = [np.clip(limit, -90.0, 90.0) for limit in (lowest, highest)]
    ends = [_last_clear(spare, inside, limit) if inside.size else inside for limit in limits]
    low, high = (e.reshape(shape) if shape else float(e[0]) for e in ends)
    return low, high


def _last_clear(spare: Callable[[Any, Any], Any], start: Any, limit: Any) -> Any:
    """Tilt up to which a clearance lasts on the way from a start to a limit; NaN where there is none at the start."""
    farthest = np.max(np.abs(limit - start), initial=0.0, where=np.isfinite(limit - start))
    share = np.linspace(0.0, 1.0, 2 + int(farthest / _STEP))
    tilts = start[:, None] + (limit - start)[:, None] * share
    row = np.broadcast_to(np.arange(start.size)[:, None], tilts.shape)
    found = spare(tilts.reshape(-1), row.reshape(-1)).reshape(tilts.shape)
    _look_into_dips(spare, tilts, found)
    ends = ~(found >= 0.0)
    first = np.argmax(ends, axis=1)
    every = np.arange(start.size)
    clear, hit = tilts[every, np.maximum(first - 1, 0)], tilts[every, first]
    for _ in range(24):
        middle = 0.5 * (clear + hit)
        good = spare(middle, every) >= 0.0
        clear, hit = np.where(good, middle, clear), np.where(good, hit, middle)
    return np.where(ends[:, 0], np.nan, np.where(ends.any(axis=1), clear, limit))


def _look_into_dips(spare: Callable[[Any, Any], Any], tilts: Any, found: Any) -> None:
    """Move each tilt at which the clearance is less than beside it to the bottom of the dip (golden section)."""
    inner = found[:, 1:-1]
    row, place = np.nonzero((inner <= found[:, :-2]) & (inner <= found[:, 2:]) & (inner >= 0.0))
    if not row.size:
        return
    one, other = tilts[row, place], tilts[row, place + 2]
    for _ in range(28):
        part = _GOLDEN * (other - one)
        left, right = other - part, one + part
        nearer = spare(left, row) < spare(right, row)
        one, other = np.where(nearer, one, left), np.where(nearer, right, other)
    bottom = 0.5 * (one + other)
    value = spare(bottom, row)
    deeper = value < found[row, place + 1]
    row, place = row[deeper], place[deeper] + 1
    tilts[row, place], found[row, place] = bottom[deeper], value[deeper]
