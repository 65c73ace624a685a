"""The force on the tool while it turns, integrated along every tooth's engaged edge.

The edge is cut into elements along the profile, the turn into steps.  Whether an element cuts is told by three
distances: it leads, it lies below the stock plane, and outside what the pass before removed; at the ends of the
engaged edge an element counts by the share of it that lies inside.  Sums over the elements of a ring's sine and cosine
are matrix products, from which the components follow for all coefficients.

Angles about the axis are counted from X, the feed made square to the axis, toward Y, the left.  The stock stands on
the left here; for the right the tool is mirrored, and turns the other way.
"""

from __future__ import annotations

from typing import Any

import attrs
import numpy as np

from millcalc.cutters.profile import Profile
from millcalc.cutters.region import Region
from millcalc.cutters.rings import rings
from millcalc.cutters.silhouette import Form, in_chunks

__all__ = ["Cut", "Edge", "chips", "components", "force_course"]

Span = tuple[Any, Any]
_TABLE = 33  # heights at which the pass before is looked up


@attrs.frozen(eq=False)
class Edge:
    """The elements of a tooth's edge in a chunk of cases; arrays of cases by elements, or cases by 1."""

    region: Region
    hand: Any
    height: Any
    radius: Any
    sine: Any
    cosine: Any
    """Of the edge angle."""
    lag: Any
    size: Any
    """Length of an element along the profile."""
    stretch: Any
    """Length of the edge itself over that along the profile."""

    @classmethod
    def of(cls, region: Region, mirrored: Any, helix: Any, elements: int, span: Span = (0.0, 1.0)) -> Edge:
        """Lay the elements out over a span of the edge, in shares of its length below the stock plane."""
        middles = (np.arange(elements) + 0.5) / elements
        places = span[0] + np.multiply.outer(middles, span[1] - span[0])
        found = rings(region, places, without_bottom=True)
        height, radius, kappa = (row.T for row in (found.height, found.radius, found.edge_angle))
        twist = np.tan(np.radians(helix))[:, None] / region.form.largest_radius[:, None]
        sine = np.sin(kappa)
        size = np.broadcast_to((span[1] - span[0]) * found.length, np.shape(region.depth))[:, None] / elements
        stretch = np.sqrt(1.0 + (radius * twist * sine) ** 2)
        hand = np.where(mirrored > 0.0, -1.0, 1.0)[:, None]
        return cls(region, hand, height, radius, sine, np.cos(kappa), twist * height, size, stretch)

    def weights(self) -> Any:
        """What the sums over the elements are weighted with: cases, elements, sums."""
        turn = np.cos(self.lag), np.sin(self.lag)
        columns = [*turn, *(self.sine * t for t in turn), *(self.cosine * t for t in turn)]
        columns += [self.sine, self.cosine, self.radius]
        return np.stack(np.broadcast_arrays(*columns), axis=-1)


class Cut:
    """Which elements cut at which angles, and how the chip's thickness follows from the feed."""

    def __init__(self, edge: Edge, angles: Any) -> None:
        region = edge.region
        left, lead = region.left, region.lead[:, None]
        self.edge = edge
        self.turn = np.cos(angles), np.sin(angles)
        lag = edge.lag[:, None, :]
        if np.any(edge.lag):
            across, along = np.cos(lag), edge.hand[:, :, None] * np.sin(lag)
            cosine, sine = (t[:, :, None] for t in self.turn)
            cosine, sine = cosine * across - sine * along, sine * across + cosine * along
        else:
            cosine, sine = (t[:, :, None] for t in self.turn)
        down, side = left.down[:, None], left.side[:, None]
        along = edge.height * left.cosine[:, None]
        back = edge.radius * np.sin(lead)
        up = _plane(along * down - left.base[1][:, None], -back * down, -edge.radius * side, cosine, sine)
        inside = _share(region.depth[:, None, None] - up)
        if np.any(region.beside):
            across = _plane(along * side - left.base[0][:, None], -back * side, edge.radius * down, cosine, sine)
            room = across + region.stepover[:, None, None] - _before(region, up)
            inside = np.minimum(inside, np.where(region.beside[:, None, None], _share(room), 1.0))
        ahead = (edge.sine * left.cosine[:, None])[:, None, :] * cosine
        self.ahead = ahead - (edge.cosine * np.sin(lead))[:, None, :]
        """The normal's component along the feed: chip thickness over feed per tooth."""
        self.inside = inside * edge.size[:, :, None]

    def sums(self, chip: Any, exponent: Any, weights: Any) -> tuple[Any, Any]:
        """Sums over the elements of chip section and of edge length, for each case and angle."""
        thick = np.maximum(chip, 0.0)
        power = thick if not np.any(exponent) else thick ** (1.0 - exponent[:, None, None])
        length = np.where(thick > 0.0, self.inside * _share(chip), 0.0) * self.edge.stretch[:, None, :]
        return np.matmul(self.inside * power, weights), np.matmul(length, weights)


def _plane(level: Any, cosine: Any, sine: Any, *turn: Any) -> Any:
    return level[:, None, :] + cosine[:, None, :] * turn[0] + sine[:, None, :] * turn[1]


def _share(distance: Any) -> Any:
    """The share of each element that lies inside, from how far its middle does."""
    if distance.shape[2] < 2:
        return np.where(distance > 0.0, 1.0, 0.0)
    change = np.empty_like(distance)
    np.subtract(distance[..., 2:], distance[..., :-2], out=change[..., 1:-1])
    change[..., 1:-1] *= 0.5
    change[..., 0] = distance[..., 1] - distance[..., 0]
    change[..., -1] = distance[..., -1] - distance[..., -2]
    np.abs(change, out=change)
    np.maximum(change, 1e-300, out=change)
    np.divide(distance, change, out=change)
    change += 0.5
    np.maximum(change, 0.0, out=change)
    return np.minimum(change, 1.0, out=change)


def _before(region: Region, up: Any) -> Any:
    """How far the pass before, seen along the feed, reaches toward the stock at each height."""
    form, depth = region.form, region.depth
    height = np.clip(up, 0.0, depth[:, None, None])
    ball = form.arc_radius[0]
    one = form.count == 1 and not np.any(form.centre_radius) and not np.any(form.normal[0])
    # the silhouette of a ball is a circle, as far as its cylinder
    round_ = one & (depth <= ball * (1.0 - np.abs(region.left.side)))
    circle = np.sqrt(height * (2.0 * ball[:, None, None] - height))
    if np.all(round_ | ~region.beside):
        return circle
    share = np.linspace(0.0, 1.0, _TABLE)
    # at no height a flat bottom reaches from the contact to its edge: it is its edge that is asked for
    share[0] = 1e-6
    table = region.left.at(depth * (share * share)[:, None]).across.T
    place = np.sqrt(height / depth[:, None, None]) * (_TABLE - 1)
    low = np.minimum(np.nan_to_num(place).astype(int), _TABLE - 2)
    start = low + (_TABLE * np.arange(len(table)))[:, None, None]
    flat = table.reshape(-1)
    found = flat[start] + (place - low) * (flat[start + 1] - flat[start])
    return np.where(round_[:, None, None], circle, found)


def components(cut: Cut, sums: tuple[Any, Any], coefficients: Any) -> Any:
    """Force along X, Y and the axis [N], torque [N mm]: last axis."""
    hand, (c, s) = cut.edge.hand, cut.turn
    total: list[Any] = [0.0] * 4
    for chosen, (tangential, radial, axial) in zip(sums, (coefficients[:3], coefficients[3:]), strict=True):
        t, r, a = (k[:, None] for k in (tangential, radial, axial))
        part = np.moveaxis(chosen, -1, 0)
        # along and square to the direction of the tip's edge, for the whole, the sine and the cosine of kappa
        cos_all, cos_sine, cos_cosine = (c * part[i] - hand * s * part[i + 1] for i in (0, 2, 4))
        sin_all, sin_sine, sin_cosine = (s * part[i] + hand * c * part[i + 1] for i in (0, 2, 4))
        for place, value in enumerate(
            (
                -hand * t * sin_all - r * cos_sine - a * cos_cosine,
                t * cos_all - hand * (r * sin_sine + a * sin_cosine),
                r * part[7] - a * part[6],
                t * part[8],
            )
        ):
            total[place] = total[place] + value
    return np.stack(total, axis=-1)


def chips(cut: Cut, feed: Any, eccentricity: Any, teeth: Any, tooth: int) -> Any:
    """Chip thickness of one tooth of a cutter that runs out; the teeth may be an array of numbers."""
    even = feed[:, None, None] * cut.ahead
    if not np.any(eccentricity):
        return even
    edge, least = cut.edge, even + np.inf
    teeth = np.broadcast_to(teeth, np.shape(feed))[:, None]
    own = np.cos(2.0 * np.pi * tooth / teeth + edge.lag)
    for back in range(1, int(np.max(teeth)) + 1):
        other = np.cos(2.0 * np.pi * (tooth - back) / teeth + edge.lag)
        offset = 1e-3 * eccentricity[:, None] * (own - other) * edge.sine
        chip = back * even + np.where(back <= teeth, offset, np.inf)[:, None, :]
        least = np.minimum(least, chip)
    # behind the tool an offset makes no chip
    return np.where(cut.ahead > 0.0, least, np.minimum(least, even))


def force_course(
    profile: Profile,
    cut: tuple[Any, ...],
    feed: Any,
    helix: Any,
    eccentricity: Any,
    coefficients: tuple[Any, ...],
    teeth: int,
    angles: int,
    elements: int,
) -> tuple[Any, Any]:
    """Rotation [deg], and X, Y, axial force [N] and torque [N m] over a revolution; first axes 4 and the rotation.

    `coefficients` are K_tc, K_rc, K_ac [N/mm^2], K_te, K_re, K_ae [N/mm] and the exponent of the chip; the number of
    angles is raised to a multiple of the teeth.
    """
    steps = -(-angles // teeth)
    count = steps * teeth
    # half a step aside: a tooth that enters or leaves square to the feed does so between two steps
    turns = 2.0 * np.pi * (np.arange(count) + 0.5) / count

    def course(form: Form, *flat: Any) -> Any:
        depth, lead, tilt, stepover, mirrored, feed, helix, eccentricity, *rest = flat
        region = Region.of(form, depth, lead, tilt, stepover, mirrored)
        edge = Edge.of(region, mirrored, helix, elements)
        made = Cut(edge, np.broadcast_to(turns, (len(depth), count)))
        weights = edge.weights()
        total: Any = 0.0
        running_out = bool(np.any(eccentricity))
        for tooth in range(teeth):
            if running_out or tooth == 0:
                chip = chips(made, feed, eccentricity, teeth, tooth)
                single = components(made, made.sums(chip, rest[6], weights), rest[:6])
            total = total + _turned(single, edge.hand, tooth * steps)
        total = np.where(np.isnan(region.upper[0] + region.upper[1])[:, None, None], np.nan, total)
        return np.moveaxis(total, (2, 1), (0, 1)).reshape(4 * count, -1)

    case = (*cut, feed, helix, eccentricity, *coefficients)
    found: Any = in_chunks(course, profile, *case, results=4 * count, nodes=count * elements, least=4)
    shaped: Any = np.asarray(found).reshape(4, count, *np.shape(found[0]))
    shaped[3] *= 1e-3
    return np.degrees(turns), shaped


def _turned(single: Any, hand: Any, steps: int) -> Any:
    """The course of one tooth as the tool turns: a tooth's angle falls as it turns, or rises where mirrored."""
    count = single.shape[1]
    rotation = np.arange(count)
    place = np.where(hand > 0.0, steps - 1 - rotation, rotation - steps) % count
    return np.take_along_axis(single, place[:, :, None], axis=1)
