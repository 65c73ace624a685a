"""Bodies about a leaned axis, and how far they stand from a wall and from the floor, seen along the feed.

The module `clearance` states the frame, the wall and the sign of a clearance.  A section takes a body as four numbers,
those of a `Frustum`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

import attrs
import numpy as np

from millcalc.errors import ArgumentError, Fault

__all__ = ["Frustum", "Section", "by_four", "common_shape", "in_chunks", "sizes_of"]

_CHUNK = 4096
_ROUNDS = 24
_TINY = 1e-100
_POINT = 1e-9  # mm: a smaller ring is sought as one of this radius


def _number(value: Any) -> Any:
    try:
        array = np.asarray(value, dtype=float)
    except (TypeError, ValueError):
        raise ArgumentError("a frustum cannot be used", [Fault("frustum", repr(value), "it is no number")]) from None
    return array if array.ndim else float(array)


_same = attrs.cmp_using(eq=np.array_equal)


@attrs.frozen
class Frustum:
    """A body about the tool axis: a cylinder or a piece of a cone.

    Parameters
    ----------
    low, high
        Heights [mm] of its ends above the tip, along the axis.
    low_radius, high_radius
        Radii [mm] at its ends.
    name
        What faults call it.

    Raises
    ------
    ArgumentError
        A radius is negative, a number infinite, the upper end below the lower one, or arrays do not fit together.

    Examples
    --------
    >>> Frustum(20, 50, 6, 6).high
    50.0
    """

    low: Any = attrs.field(converter=_number, eq=_same)
    high: Any = attrs.field(converter=_number, eq=_same)
    low_radius: Any = attrs.field(converter=_number, eq=_same)
    high_radius: Any = attrs.field(converter=_number, eq=_same)
    name: str = "frustum"

    def __attrs_post_init__(self) -> None:
        if faults := list(self._faults()):
            raise ArgumentError("a body cannot be used", faults)

    @property
    def numbers(self) -> tuple[Any, Any, Any, Any]:
        """Heights and radii, as given to make it."""
        return self.low, self.high, self.low_radius, self.high_radius

    def _faults(self) -> Iterator[Fault]:
        try:
            np.broadcast_shapes(*map(np.shape, self.numbers))
        except ValueError:
            shapes = ", ".join(str(np.shape(n)) for n in self.numbers)
            yield Fault(self.name, f"shapes {shapes}", "its arrays do not fit together")
            return
        for word, value in zip(("low", "high", "low_radius", "high_radius"), self.numbers, strict=True):
            yield from self._wrong(word, value, np.isinf(value), "it is infinite")
        for word, value in (("low_radius", self.low_radius), ("high_radius", self.high_radius)):
            yield from self._wrong(word, value, np.less(value, 0.0), "it is negative")
        below = np.less(self.high, self.low)
        yield from self._wrong("high", self.high, below, "it lies below the lower end")

    def _wrong(self, word: str, value: Any, bad: Any, reason: str) -> Iterator[Fault]:
        if np.any(bad):
            first = tuple(int(i) for i in np.argwhere(bad)[0])
            given = f"{np.broadcast_to(value, np.shape(bad))[first]:.6g} mm"
            if first:
                given += f" at index {first} ({np.count_nonzero(bad)} such)"
            yield Fault(f"{self.name}, {word}", given, reason)


def sizes_of(bodies: Sequence[Frustum]) -> list[Any]:
    """Numbers of all bodies in a row, four each."""
    faults = [
        Fault(f"body {place}", repr(body), "it is no Frustum")
        for place, body in enumerate(bodies)
        if not isinstance(body, Frustum)
    ]
    if not len(bodies):
        faults.append(Fault("bodies", "none", "at least one body is needed"))
    if faults:
        raise ArgumentError("the bodies cannot be used", faults)
    return [number for body in bodies for number in body.numbers]


def by_four(sizes: Sequence[Any]) -> list[Sequence[Any]]:
    """Numbers of each body."""
    return [sizes[i : i + 4] for i in range(0, len(sizes), 4)]


def common_shape(*arguments: Any) -> tuple[int, ...]:
    """Shape that all arguments broadcast to."""
    shapes = [np.shape(a) for a in arguments]
    try:
        return np.broadcast_shapes(*shapes)
    except ValueError:
        given = ", ".join(str(s) for s in dict.fromkeys(shapes) if s)
        raise ArgumentError("the arguments cannot be used", [Fault("shapes", given, "they do not fit")]) from None


def _flat(values: Any, shape: tuple[int, ...]) -> Any:
    """One number stays one; an array becomes flat."""
    values = np.asarray(values, dtype=float)
    return values.reshape(1) if values.size == 1 else np.broadcast_to(values, shape).reshape(-1)


def in_chunks(function: Callable[..., Any], *arguments: Any) -> Any:
    """Call a function of flat arrays chunk by chunk, so that all stays in the cache; give back the broadcast shape."""
    shape = common_shape(*arguments)
    flat = [_flat(a, shape) for a in arguments]
    out = np.empty(int(np.prod(shape)))
    with np.errstate(all="ignore"):
        for start in range(0, out.size, _CHUNK):
            some = slice(start, start + _CHUNK)
            out[some] = function(*(f[some] if f.size > 1 else f for f in flat))
    return out.reshape(shape) if shape else float(out[0])


def _inside_domain(angle: Any) -> Any:
    return np.radians(np.where(np.abs(angle) < 90.0, angle, np.nan))


class Section:
    """Tool and wall seen along the feed: body and wall are convex, so a direction tells how far they stand apart.

    Directions are unit vectors from body to wall, given along the apparent axis and across it.  A ring of the body
    appears as an ellipse; the wall has its nearest plane on the face, or else its nearest line on the upper edge.
    """

    def __init__(self, lead: Any, tilt: Any, tip_f: Any, tip_c: Any, tip_n: Any, *wall: Any) -> None:
        distance, height, draft = wall
        lead, tilt, draft = (_inside_domain(a) for a in (lead, tilt, draft))
        self.sine, self.cosine = np.abs(np.sin(lead)), np.cos(lead)
        self.side, self.up = np.sin(tilt), np.cos(tilt)
        self.face = np.sin(tilt - draft), np.cos(tilt - draft)
        known = np.where(height >= 0.0, 0.0 * tip_f, np.nan)
        self.to_face = (distance - tip_c) * np.cos(draft) + tip_n * np.sin(draft) + known
        self.ends = height < np.inf
        out, up = distance + height * np.tan(draft) - tip_c, height - tip_n
        self.edge = out * self.side + up * self.up, out * self.up - up * self.side
        self.over_floor = tip_n + 0.0 * tip_c + known

    def floor_gap(self, body: Sequence[Any], raised: Any = 0.0) -> Any:
        """Height of the lowest point of a body over the floor."""
        low, high, low_radius, high_radius = body
        upright = self.cosine * self.up
        lying = np.sqrt(self.sine**2 + (self.cosine * self.side) ** 2)
        lowest = np.minimum(low * upright - low_radius * lying, high * upright - high_radius * lying)
        return self.over_floor + raised * upright + lowest

    def gap(self, body: Sequence[Any], raised: Any = 0.0) -> tuple[Any, Any]:
        """Largest gap between a body raised along the axis and the wall, and how far its direction points ahead."""
        low, high, low_radius, high_radius = body
        rings = [((z + raised) * self.cosine, r) for z, r in ((low, low_radius), (high, high_radius))]
        best = self.to_face - self._reach(rings, *self.face), self.face[0]
        best = self._better(best, rings, [(-self.up, self.side)])
        best = self._better(best, rings, self._flanks(body))
        best = self._better(best, rings, [self._toward(*ring, 1.0) for ring in rings])
        if np.any(best[0] < 0.0):  # the far side of a ring is the nearest way out only from within
            best = self._better(best, rings, [self._toward(*ring, -1.0) for ring in rings])
        return best

    def _reach(self, rings: Sequence[tuple[Any, Any]], along: Any, across: Any) -> Any:
        """How far a body reaches from the tip in a direction."""
        wide = np.sqrt(across * across + (self.sine * along) ** 2)
        (low, low_radius), (high, high_radius) = rings
        return np.maximum(low * along + low_radius * wide, high * along + high_radius * wide)

    def _better(self, best: tuple[Any, Any], rings: Sequence[tuple[Any, Any]], directions: Any) -> tuple[Any, Any]:
        """Take a direction where it lies between down and square to the face, and parts the two better."""
        gap, ahead = best
        for along, across in directions:
            found = self.edge[0] * along + self.edge[1] * across - self._reach(rings, along, across)
            between = (along * self.side + across * self.up >= 0.0) & (along * self.face[1] <= across * self.face[0])
            better = self.ends & between & (found > gap)
            gap, ahead = np.where(better, found, gap), np.where(better, along, ahead)
        return gap, ahead

    def _flanks(self, body: Sequence[Any]) -> list[tuple[Any, Any]]:
        """Directions square to the flanks of a body; NaN where the one end hides behind the other."""
        low, high, low_radius, high_radius = body
        shrinks, rises = low_radius - high_radius, (high - low) * self.cosine
        size = np.hypot(high - low, shrinks) * self.cosine
        along = shrinks / size
        across = np.sqrt((rises - self.sine * shrinks) * (rises + self.sine * shrinks)) / size
        return [(along, across), (along, -across)]

    def _toward(self, height: Any, radius: Any, sense: float) -> tuple[Any, Any]:
        """Direction from the nearest point of a ring to the upper edge; sense -1: the near point on the far side.

        With half axes `sine` and 1, the near point of the ellipse follows from one number: the root of a falling
        convex function, which Newton steps approach from below.
        """
        radius = np.maximum(radius, _POINT)
        ahead, aside = (self.edge[0] - height) / radius, self.edge[1] / radius
        sign = np.where(ahead < 0.0, -sense, sense)
        ahead, off = np.maximum(np.abs(ahead), _TINY), np.abs(aside)
        narrow, room = np.maximum(self.sine, _TINY) * ahead, self.cosine**2
        at = _start(narrow, off, room, sense)
        for _ in range(_ROUNDS):
            rest = room + sense * at
            one, other = (narrow / at) ** 2, (off / rest) ** 2
            fall = one / at + sense * other / rest
            step = np.where(fall > 0.0, 0.5 * (one + other - 1.0) / fall, 0.0)
            at = at + step
            if not np.any(np.abs(step) > 1e-5 * at):
                break
        along, across = sign * ahead / at, aside / (room + sense * at)
        size = np.hypot(along, across)
        return along / size, across / size


def _start(narrow: Any, off: Any, room: Any, sense: float) -> Any:
    """Start of the Newton steps of `_toward`: below the root, and of its size."""
    spare = 1.0 - (off / room) ** 2
    level = narrow / np.sqrt(np.where(spare > 0.0, spare, 0.0))
    if sense < 0.0:
        return np.where(spare > 0.0, level, narrow)
    peak = np.cbrt(0.5 * narrow / off) ** 2 * room
    return np.maximum(np.maximum(narrow, off - room), np.minimum(level / np.sqrt(2.0), peak))
