"""The silhouette of a cutter seen along the feed: the curve that bounds what the moving tool removes.

Seen along F the axis appears turned by the tilt, and foreshortened by the cosine of the lead.  Where the outward
normal of the silhouette stands at chi from straight down that apparent axis, the normal of the tool stands at psi
from straight down the axis, cos(psi) = cos(lead) cos(chi), and an arc of the profile appears as the offset, by its
radius, of the ellipse that its centre describes.  A straight piece appears as a straight piece.

The left side, toward C, is walked from the contact (chi = tilt) upward; the right side is the left one of the tool
tilted the other way.  Between *stations*, the ends of the arcs in the order in which they are met, the walk runs
along one arc or one straight piece.
"""

from __future__ import annotations

from typing import Any

import attrs
import numpy as np

from millcalc.cutters.profile import Profile, SupportForm

__all__ = ["Form", "Root", "Silhouette", "Stretch", "Walk", "in_chunks", "level", "picked", "reach"]

_CHUNK = 8192
_ROUNDS = 80
_SHORT = 1e-8
_QUARTER = np.pi / 2


def in_chunks(
    function: Any, profile: Profile, *arguments: Any, results: int = 1, nodes: int = 1, least: int = 64
) -> Any:
    """Call a function of a profile and equal flat arrays, chunk by chunk, and give back the broadcast shape.

    `nodes` is how many places the function looks at for each element, so that its arrays stay in the cache; a chunk
    has at least `least` elements.
    """
    shape = np.broadcast_shapes(profile.shape, *(np.shape(a) for a in arguments))
    flat = [np.broadcast_to(np.asarray(a, dtype=float), shape).reshape(-1) for a in arguments]
    names = ("centre_radius", "centre_height", "arc_radius", "normal")
    size = int(np.prod(shape))
    form = {n: _spread(getattr(profile, n), shape, size) for n in names}
    out = np.empty((results, size))
    with np.errstate(all="ignore"):
        step = max(_CHUNK // nodes, least)
        for start in range(0, size, step):
            some = slice(start, start + step)
            piece = Form(profile.endless, **{n: a[:, some] if a.shape[1] > 1 else a for n, a in form.items()})
            out[:, some] = function(piece, *(f[some] for f in flat))
    shaped = out.reshape(results, *shape)
    answer = tuple(r if shape else float(r) for r in shaped)
    return answer if results > 1 else answer[0]


def _spread(values: Any, shape: tuple[int, ...], size: int) -> Any:
    """Give the arrays of a profile a last axis over all elements."""
    if values.ndim == 1:
        return values[:, None]
    return np.broadcast_to(values.reshape(len(values), *(1,) * (len(shape) - 1), -1), (len(values), *shape)).reshape(
        len(values), size
    )


@attrs.frozen(eq=False)
class Form(SupportForm):
    """The support form of a profile, each array with a last axis that fits the elements in hand."""

    endless: bool
    centre_radius: Any
    centre_height: Any
    arc_radius: Any
    normal: Any

    def some(self, chosen: Any) -> Form:
        """The profiles of some elements."""
        arrays = (self.centre_radius, self.centre_height, self.arc_radius, self.normal)
        return Form(self.endless, *(a[:, chosen] if a.shape[1] > 1 else a for a in arrays))


def level(across: Any, up: Any, bend: Any) -> Any:
    """Height above a surface of curvature `bend` of a point given from the contact."""
    q = 2.0 * up + bend * (across * across + up * up)
    return q / (1.0 + np.sqrt(1.0 + bend * q))


def reach(across: Any, up: Any, bend: Any) -> Any:
    """Arc length along the surface from the contact to the foot of a point."""
    below = 1.0 + bend * up
    angle = np.arctan2(bend * across, below)
    return np.where(bend == 0.0, across, np.divide(angle, np.where(bend == 0.0, 1.0, bend)))


@attrs.frozen(eq=False)
class Root:
    """Where a side of the silhouette reaches a level: across and up from the contact, and chi [rad]."""

    across: Any
    up: Any
    chi: Any
    reach: Any
    rate: Any
    """Change of the reach along the surface with the level."""


class Silhouette:
    """The silhouette of a tool leaned toward the feed by a lead [rad], about its apparent axis; even in chi."""

    def __init__(self, form: Form, lead: Any) -> None:
        self.form = form
        self.lead = np.abs(lead)
        self.sine, self.cosine = np.sin(self.lead), np.cos(lead)
        self._least: Any = None
        self.arcs, rows = self._stations()
        self.chi, self.across, self.along = (np.stack(np.broadcast_arrays(*r)) for r in zip(*rows, strict=True))

    def arc(self, place: Any) -> tuple[Any, Any, Any]:
        """Centre radius, centre height and radius of an arc for each element."""
        form = self.form
        values = (form.centre_radius, form.centre_height, form.arc_radius)
        return tuple(v[place, 0] if v.shape[1] == 1 else picked(v, place) for v in values)

    def point(self, arc: tuple[Any, Any, Any], sine: Any, cosine: Any, side: float) -> tuple[Any, Any]:
        """Point of an arc: across the apparent axis and along it."""
        centre, height, rho = arc
        spread = np.sqrt(sine * sine + self.sine * self.sine * cosine * cosine)
        flat = spread == 0.0  # no lead, and straight down: the end of a flat bottom on the side asked for
        over = np.divide(centre, np.where(flat, 1.0, spread))
        across = np.where(flat, side * centre, over * sine) + rho * sine
        return across, height * self.cosine - (rho + over * self.sine * self.sine) * cosine

    def contact(self, tilt: Any) -> tuple[Any, Any]:
        """Where the normal stands at chi = tilt; the middle of a straight piece that touches."""
        form, sine, cosine = self.form, np.sin(tilt), np.cos(tilt)
        psi = np.arctan2(np.hypot(self.sine, self.cosine * sine), self.cosine * cosine)
        found_x = found_y = np.full(np.broadcast_shapes(np.shape(psi), form.normal.shape[1:]), np.nan)
        for place in range(form.count):
            arc = (form.centre_radius[place], form.centre_height[place], form.arc_radius[place])
            inside = (psi >= form.normal[place] - 1e-12) & (psi <= form.normal[place + 1] + 1e-12)
            x, y = self.point(arc, sine, cosine, 0.0)
            meets = inside & ~np.isnan(found_x) & (np.abs(psi - form.normal[place]) <= 1e-12)
            found_x = np.where(meets, 0.5 * (found_x + x), np.where(inside, x, found_x))
            found_y = np.where(meets, 0.5 * (found_y + y), np.where(inside, y, found_y))
        upright = psi <= 1e-12
        return np.where(upright, 0.0, found_x), np.where(upright, 0.0, found_y)

    def _stations(self) -> tuple[list[int], list[Any]]:
        """Lay out the ends of arcs in the order of a walk: falling to chi = 0, then rising."""
        order = []
        for joint in range(self.form.count - 1, 0, -1):
            order += [(joint, joint, -1.0), (joint, joint - 1, -1.0)]
        for joint in range(1, self.form.count):
            order += [(joint, joint - 1, 1.0), (joint, joint, 1.0)]
        order.append((self.form.count, self.form.count - 1, 1.0))
        made: dict[tuple[int, int], tuple[Any, Any, Any]] = {}
        rows = []
        for joint, arc, side in order:
            if (joint, arc) not in made:
                made[joint, arc] = self._station(joint, arc)
            chi, across, along = made[joint, arc]
            rows.append((side * chi, side * across, along))
        return [arc for _, arc, _ in order], rows

    def _station(self, joint: int, arc: int) -> tuple[Any, Any, Any]:
        """The end of an arc on the rising side; of a joint that lies below the lead, chi = 0 stands in for it."""
        form = self.form
        ratio = np.cos(form.normal[joint]) / self.cosine
        if joint == form.count and form.endless:
            ratio = 0.0 * ratio
        reached = ratio <= 1.0
        chi = np.arccos(np.clip(ratio, -1.0, 1.0))
        pieces = (form.centre_radius[arc], form.centre_height[arc], form.arc_radius[arc])
        if not np.all(reached):
            pieces = tuple(np.where(reached, p, q) for p, q in zip(pieces, self.arc(self._least_arc()), strict=True))
        return (chi, *self.point(pieces, np.sin(chi), np.cos(chi), 1.0))

    def _least_arc(self) -> Any:
        """Index of the arc that appears at chi = 0, where psi is least."""
        if self._least is None:
            self._least = np.zeros(np.shape(self.lead), dtype=int)
            for arc in range(1, self.form.count):
                self._least = np.where(self.form.normal[arc] <= self.lead, arc, self._least)
        return self._least


def picked(values: Any, place: Any) -> Any:
    """Row of each element's own place; places may have further axes in front."""
    flat = values.reshape(len(values), -1)
    return flat[place, np.arange(flat.shape[1])]


class Walk:
    """One side of a silhouette, from its contact upward.

    Takes flat arrays: the tilt [rad], positive toward the side walked, and the curvature of the surface [1/mm],
    convex positive.
    """

    def __init__(self, silhouette: Silhouette, tilt: Any, bend: Any, contact: tuple[Any, Any] | None = None) -> None:
        self.silhouette = silhouette
        self.form, self.arcs = silhouette.form, silhouette.arcs
        self.sine, self.cosine = silhouette.sine, silhouette.cosine
        self.bend = bend
        self.tilt = tilt
        self.down, self.side = np.cos(tilt), np.sin(tilt)
        self.base = self.turned(*(silhouette.contact(tilt) if contact is None else contact))
        self.chi = silhouette.chi
        across, up = self.turned(silhouette.across, silhouette.along)
        self.across, self.up = across - self.base[0], up - self.base[1]
        self.level = 2.0 * self.up + self.bend * (self.across**2 + self.up**2)
        self.level = np.where(self._passed(), -np.inf, self.level)

    @classmethod
    def both(cls, form: Form, lead: Any, tilt: Any, bend: Any) -> tuple[Walk, Walk]:
        """Left and right side of a tool leaned by lead and tilt [rad]."""
        silhouette = Silhouette(form, lead)
        x, y = silhouette.contact(tilt)
        return cls(silhouette, tilt, bend, (x, y)), cls(silhouette, -tilt, bend, (-x, y))

    def turned(self, across: Any, along: Any) -> tuple[Any, Any]:
        """Turn a point of the apparent axis' frame into the surface's: across, up."""
        return across * self.down + along * self.side, along * self.down - across * self.side

    def contact_in(self, other: Walk) -> tuple[Any, Any]:
        """Contact from the tip in the directions of another walk of the same side with the same lead."""
        x, y = self.base
        along, across = x * self.side + y * self.down, x * self.down - y * self.side
        return other.turned(across, along)

    def _passed(self) -> Any:
        """Whether a station lies behind the contact: lower chi, or the near end of the piece that touches."""
        behind = self.chi < self.tilt - 1e-12
        touching = np.abs(self.chi - self.tilt) <= 1e-12
        return behind | (touching & (self.across <= 0.0) & ((self.across < 0.0) | (self.up <= 0.0)))

    def at(self, height: Any) -> Root:
        """Where the walk first reaches a height above the surface; NaN where it never does.

        Heights may have further axes in front.
        """
        wanted = height * (2.0 + self.bend * height)
        levels = self.level.reshape(len(self.arcs), *(1,) * (np.ndim(wanted) - 1), -1)
        ahead = levels > wanted  # at a level piece: its far end
        found = ahead.any(axis=0)
        place = np.where(found, ahead.argmax(axis=0), len(self.arcs))
        straight = (place % 2 == 1) & (found | self.form.endless)
        chi, across, up = self._on_arc(
            wanted, np.where(found & ~straight, place, len(self.arcs) - 1), found & ~straight
        )
        if straight.any():
            line = self._on_line(wanted, place)
            chi, across, up = (np.where(straight, new, old) for new, old in zip(line, (chi, across, up), strict=True))
        answered = (straight | found) & (height >= 0.0)
        chi, across, up = (np.where(answered, v, np.nan) for v in (chi, across, up))
        phi = chi - self.tilt
        below = 1.0 + self.bend * up
        slope_out = np.cos(phi) * below - np.sin(phi) * self.bend * across
        slope_up = np.cos(phi) * self.bend * across + np.sin(phi) * below
        rate = slope_out / slope_up / (1.0 + self.bend * height)
        return Root(across, up, chi, reach(across, up, self.bend), rate)

    @property
    def touching(self) -> Any:
        """How far a straight piece touches a plane beyond the contact."""
        near = (np.abs(self.chi - self.tilt) <= 1e-12) & (self.level > -np.inf)
        return np.max(np.where(near, self.across, 0.0), axis=0) + 0.0 * self.base[0]

    def contact_bow(self) -> Any:
        """Radius of curvature of the silhouette at the contact; infinite on a straight piece."""
        place = np.argmax(self.level > -np.inf, axis=0)  # the first station ahead
        arc = self.silhouette.arc(np.asarray(self.arcs)[place])
        _, _, bow, _, _ = self.stretch(arc).point(self.tilt)
        ahead = (self.level > -np.inf).any(axis=0)
        return np.where(ahead & (place % 2 == 0), bow, np.inf)

    def _on_line(self, wanted: Any, place: Any) -> tuple[Any, Any, Any]:
        """Solve on the straight piece that ends at a station, or on the endless cylinder above the last one."""
        last = len(self.arcs) - 1
        before = np.clip(place - 1, 0, last)
        x, y, chi = (picked(v, before) for v in (self.across, self.up, self.chi))
        upper = np.minimum(place, last)
        endless = place > last
        dx = np.where(endless, self.side, picked(self.across, upper) - x)
        dy = np.where(endless, self.down, picked(self.up, upper) - y)
        a = self.bend * (dx * dx + dy * dy)
        b = dy + self.bend * (x * dx + y * dy)
        c = 2.0 * y + self.bend * (x * x + y * y) - wanted
        root = np.sqrt(b * b - a * c)
        along = np.where(b >= 0.0, -c / (b + root), (root - b) / np.where(a == 0.0, np.nan, a))
        along = np.where(c == 0.0, 0.0, along)
        return chi, x + along * dx, y + along * dy

    def _on_arc(self, wanted: Any, place: Any, active: Any) -> tuple[Any, Any, Any]:
        """Solve on the arc that ends at a station, by Newton steps on the root of the level, kept in their bracket."""
        arc = self.silhouette.arc(np.asarray(self.arcs)[place])
        before = np.maximum(place - 1, 0)
        low = np.where(place > 0, picked(self.chi, before), -np.inf)
        low, high = np.maximum(low, self.tilt), picked(self.chi, place)
        small = np.maximum(self.sine, 1e-9)
        goal = np.sqrt(np.maximum(wanted, 0.0))
        low_w, high_w = np.arcsinh(low / small), np.arcsinh(high / small)
        # to begin with, the root of the level is taken as straight from end to end
        below = np.where(place > 0, np.sqrt(np.maximum(picked(self.level, before), 0.0)), 0.0)
        share = (goal - below) / (np.sqrt(np.maximum(picked(self.level, place), 0.0)) - below)
        at = np.clip(np.arcsinh((low + (high - low) * np.minimum(share, 1.0)) / small), low_w, high_w)
        stretch = self.stretch(arc)
        chi = small * np.sinh(_search(stretch, small, goal, low_w, high_w, at, active & (high > low)))
        across, up, *_ = stretch.point(chi)
        return chi, across, up

    def stretch(self, arc: tuple[Any, Any, Any]) -> Stretch:
        """An arc as it appears on this side."""
        return Stretch(*arc, self.sine, self.down, self.side, self.bend, *self.base)


@attrs.frozen(eq=False)
class Stretch:
    """An arc of the profile as it appears in a silhouette, for each element; points are counted from the contact."""

    centre: Any
    height: Any
    rho: Any
    sine: Any
    down: Any
    side: Any
    bend: Any
    base_across: Any
    base_up: Any

    def some(self, chosen: Any, shape: tuple[int, ...]) -> Stretch:
        """The stretches of some elements of a shape."""
        return Stretch(*(_at_each(v, shape)[chosen] for v in attrs.astuple(self, recurse=False)))

    def turned(self, across: Any, along: Any) -> tuple[Any, Any]:
        """Turn a point of the apparent axis' frame into the surface's: across, up."""
        return across * self.down + along * self.side, along * self.down - across * self.side

    def point(self, chi: Any) -> tuple[Any, ...]:
        """Point where the normal stands at chi, radius of curvature there, and the tangent: across, up."""
        sine, cosine = np.sin(chi), np.cos(chi)
        lead = self.sine * self.sine
        square = sine * sine + lead * (cosine * cosine)
        safe = np.where(square > 0.0, square, 1.0)
        over = np.where(square > 0.0, self.centre / np.sqrt(safe), 0.0)
        around = lead * over
        axis = np.sqrt(1.0 - lead)
        x, y = self.turned((over + self.rho) * sine, self.height * axis - (self.rho + around) * cosine)
        bow = self.rho + around / safe
        return x - self.base_across, y - self.base_up, bow, *self.turned(cosine, sine)


def _at_each(value: Any, shape: tuple[int, ...]) -> Any:
    """A value at each element; for the few of one search much quicker than a view."""
    if np.shape(value) == shape:
        return np.asarray(value)
    made = np.empty(shape, dtype=np.asarray(value).dtype)
    made[...] = value
    return made


def _search(stretch: Stretch, small: Any, goal: Any, low: Any, high: Any, at: Any, open_: Any) -> Any:
    """Find where the root of the level reaches a goal, in w = asinh(chi/small), by Newton steps kept in a bracket."""
    shape = np.broadcast_shapes(np.shape(at), np.shape(open_))
    small, goal, low, high, at, open_ = (_at_each(v, shape) for v in (small, goal, low, high, at, open_))
    stretch, found = stretch.some(..., shape), np.array(at)
    places: Any = ...
    for _ in range(_ROUNDS):
        chi = small * np.sinh(at)
        across, up, bow, out, above = stretch.point(chi)
        value = np.sqrt(np.maximum(2.0 * up + stretch.bend * (across * across + up * up), 0.0))
        steep = bow * (above * (1.0 + stretch.bend * up) + stretch.bend * across * out)
        miss = value - goal
        low, high = np.where(miss < 0.0, at, low), np.where(miss < 0.0, high, at)
        new = at - miss * value / (steep * np.sqrt(small * small + chi * chi))
        astray = ~((new >= low) & (new <= high))
        new = np.where(astray, 0.5 * (low + high), new)
        # a Newton step this short leaves an error of its square
        short = ~astray & (np.abs(new - at) <= _SHORT * (1.0 + np.abs(at)))
        at = np.where(open_, new, at)
        found[places] = at
        open_ = open_ & ~short & (high > low)
        left = np.count_nonzero(open_)
        if not left:
            break
        if 2 * left < open_.size:
            # the few that take longer go on alone
            indices: Any = np.indices(shape) if places is ... else places
            places = tuple(rows[open_] for rows in indices)
            stretch = stretch.some(open_, open_.shape)
            small, goal, low, high, at = (v[open_] for v in (small, goal, low, high, at))
            open_ = np.ones(left, dtype=bool)
    return found
