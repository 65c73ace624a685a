"""What a plan asks of the force: means over a turn, peaks, and the push on the surface, for many cases at once.

As of the course, but the steps lie only where a tooth may cut, and divide the pitch, so that the courses of the teeth
that cut together are added place by place.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np

from millcalc.cutters.edge import facing
from millcalc.cutters.profile import Profile
from millcalc.cutters.region import Region
from millcalc.cutters.rings import rings
from millcalc.cutters.silhouette import Form, in_chunks
from millcalc.loads.course import Cut, Edge, chips, components

__all__ = ["ForceSummary", "force_summary"]

STEPS, ELEMENTS = 24, 12
"""Steps over the angles at which a tooth cuts, and elements along its edge: good to a few hundredths."""
_THIN, _FINER = 0.3, 6  # where fewer elements cut, a grid so much finer finds those that do
_LOOKED_AT = np.linspace(0.0, 1.0, 7)  # rings that tell where a tooth may cut


class ForceSummary(NamedTuple):
    """Forces [N] on the tool along X (the feed made square to the axis), Y (left of it) and the axis; torque [N m].

    Peaks are those of a cutter that runs out; the push is the force along the surface normal, square to the axis, as
    the edge passes the contact.
    """

    mean_feed: Any
    mean_cross: Any
    mean_axial: Any
    mean_torque: Any
    peak_torque: Any
    peak_bending: Any
    peak_force: Any
    push: Any


def force_summary(
    profile: Profile,
    cut: tuple[Any, ...],
    feed: Any,
    helix: Any,
    eccentricity: Any,
    coefficients: tuple[Any, ...],
    teeth: Any,
    steps: int = STEPS,
    elements: int = ELEMENTS,
) -> ForceSummary:
    """Summarise the force; `cut` is depth, lead, tilt, stepover and whether mirrored; all are arrays or floats."""

    def summed(form: Form, *flat: Any) -> Any:
        laid = _Laid(form, flat, steps, elements)
        rows = laid.rows()
        thin = laid.engaged() < _THIN
        if np.any(thin):
            finer = _Laid(form.some(thin), [f[thin] for f in flat], _FINER * steps, _FINER * elements)
            rows[:, thin] = _Laid(form.some(thin), [f[thin] for f in flat], steps, elements, finer).rows()
        return np.where(np.isnan(laid.region.upper[0] + laid.region.upper[1]), np.nan, rows)

    case = (*cut, feed, helix, eccentricity, teeth, *coefficients)
    return ForceSummary(*in_chunks(summed, profile, *case, results=8, nodes=steps * elements, least=256))


class _Laid:
    """Elements and steps laid over the engaged edge of a chunk of cases, or over what a finer grid found of it."""

    def __init__(self, form: Form, flat: Sequence[Any], steps: int, elements: int, found: _Laid | None = None) -> None:
        depth, lead, tilt, stepover, mirrored, *self.rest = flat
        self.helix, self.teeth = self.rest[1], self.rest[3]
        self.region = Region.of(form, depth, lead, tilt, stepover, mirrored)
        self.edge = Edge.of(self.region, mirrored, self.helix, elements, found.span() if found else (0.0, 1.0))
        start, width = found.window() if found else _window(self.region, self.edge)
        pitch = 2.0 * np.pi / self.teeth
        width = np.where(width > 0.0, np.minimum(width, 2.0 * np.pi), pitch)
        self.parts = np.maximum(np.floor(pitch * steps / width), 1.0)
        self.start, self.step = start, pitch / self.parts
        self.steps, self.elements = steps, elements
        self.cut = Cut(self.edge, (start + 0.5 * self.step)[:, None] + self.step[:, None] * np.arange(steps))
        self.cuts = (self.cut.inside > 0.0) & (self.cut.ahead > 0.0)

    def engaged(self) -> Any:
        """Share of the elements that cut at some step."""
        return np.mean(self.cuts.any(axis=1), axis=1)

    def span(self) -> tuple[Any, Any]:
        """The span of the edge that cuts, with an element to either side."""
        return _ends(self.cuts.any(axis=1), self.elements)

    def window(self) -> tuple[Any, Any]:
        """First angle and width of what cuts, with a step to either side."""
        low, high = _ends(self.cuts.any(axis=2), self.steps)
        return self.start + low * self.steps * self.step, (high - low) * self.steps * self.step

    def rows(self) -> Any:
        """The summary of each case."""
        feed, _, eccentricity, teeth, *given = self.rest
        steps, parts, weights = self.steps, self.parts, self.edge.weights()

        def course(chip: Any) -> Any:
            return components(self.cut, self.cut.sums(chip, given[6], weights), given[:6])

        even = course(feed[:, None, None] * self.cut.ahead)
        even = np.where((np.arange(steps) < (teeth * parts)[:, None])[:, :, None], even, 0.0)
        mean = np.sum(even, axis=1) / parts[:, None]
        others = _others(even, parts)
        heavy = course(chips(self.cut, feed, eccentricity, teeth, 0)) if np.any(eccentricity) else even
        heavy = heavy + others
        torques = 1e-3 * mean[:, 3], 1e-3 * np.max(heavy[..., 3], axis=1)
        forces = (np.hypot(heavy[..., 0], heavy[..., 1]), np.sqrt(np.sum(heavy[..., :3] ** 2, axis=-1)))
        push = self._push(even + others)
        return np.stack([*mean[:, :3].T, *torques, *(np.max(f, axis=1) for f in forces), push])

    def _push(self, both: Any) -> Any:
        """Force along the surface normal of what bends the tool, as the edge passes the contact."""
        left, sine = self.region.left, np.sin(self.region.lead)
        hand = self.edge.hand[:, 0]
        lean = np.arctan2(np.hypot(sine, left.cosine * left.side), left.cosine * left.down)
        height = self.region.form.at_normal(lean)[0]
        lag = np.tan(np.radians(self.helix)) * height / self.region.form.largest_radius
        contact = np.arctan2(left.side, sine * left.down) - hand * lag
        place = ((contact - self.start) / self.step - 0.5) % self.parts
        low = np.floor(np.nan_to_num(place)).astype(int)
        found: Any = 0.0
        for at, share in ((low, 1.0 - place + low), ((low + 1) % self.parts.astype(int), place - low)):
            inside = at < self.steps
            force = both[np.arange(len(at)), np.where(inside, at, 0)]
            # the tilt is mirrored here, and Y is not
            along = -force[:, 0] * sine * left.down - force[:, 1] * hand * left.side
            found = found + np.where(inside, share * along, 0.0)
        return found


def _ends(cuts: Any, count: int) -> tuple[Any, Any]:
    """First and last place that cuts, and one more to either side, as shares; all where none does."""
    some = cuts.any(axis=1)
    low, high = cuts.argmax(axis=1) - 1, count + 1 - cuts[:, ::-1].argmax(axis=1)
    return np.where(some, np.maximum(low, 0) / count, 0.0), np.where(some, np.minimum(high, count) / count, 1.0)


def _window(region: Region, edge: Edge) -> tuple[Any, Any]:
    """First angle of a tooth's tip at which it leads below the stock plane, and the width of all such angles."""
    found = rings(region, _LOOKED_AT, without_bottom=True)
    lag = edge.hand[:, 0] * (edge.lag[:, -1] / np.where(edge.height[:, -1] > 0.0, edge.height[:, -1], 1.0))
    shift = lag * found.height
    stretches = facing(region, found)
    low = np.fmin.reduce([np.fmin.reduce(low - shift) for low, _ in stretches])
    high = np.fmax.reduce([np.fmax.reduce(high - shift) for _, high in stretches])
    return np.where(np.isnan(low), 0.0, low), np.where(np.isnan(low), 0.0, high - low)


def _others(single: Any, parts: Any) -> Any:
    """The forces of all teeth that cut together with one, at the places of that one."""
    steps = single.shape[1]
    place = np.arange(steps)
    others = np.zeros_like(single)
    for tooth in range(1, int(np.ceil(steps / np.min(parts)))):
        for way in (1, -1):
            at = place + way * tooth * parts[:, None].astype(int)
            there = (at >= 0) & (at < steps)
            gone = np.take_along_axis(single, np.clip(at, 0, steps - 1)[:, :, None], axis=1)
            others = others + np.where(there[:, :, None], gone, 0.0)
    return others
