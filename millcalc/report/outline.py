"""Outlines of a cutter as points, for pictures: upright in section, and leaned as seen along and across the feed.

Each part of a tool is a body of revolution, a list of arcs as in the support form of a `Profile`, closed at its top.
Seen from anywhere the axis appears shortened, and the outline is where the normal of the body lies in the picture:
where it stands at chi from straight down the apparent axis it stands at psi from straight down the axis itself,
cos(psi) = shortening cos(chi).
"""

from __future__ import annotations

import math
from typing import Any

import attrs
import numpy as np

from millcalc.cutters.cap import axis_components
from millcalc.cutters.cutter import Cutter
from millcalc.quantities.record import number

__all__ = ["View", "cutting_body", "flank", "tool_bodies"]

_STEPS = 180
_CLOSER = np.geomspace(1e-5, 1.0, 120)  # rad, to either side of where a picture may be enlarged
_ABOVE = 0.75  # of the diameter: length drawn above the cutting part where none is stated
Points = tuple[Any, Any]
Body = list[tuple[float, float, float, float, float]]


def tool_bodies(cutter: Cutter) -> list[Body]:
    """Return the bodies of a tool from the tip upward: the cutting part, and the shank where one is seen.

    A body is a list of arcs: radius and height of the centre and radius [mm], normals at both ends [rad].  The cutting
    part reaches to the flute length, the shank to the overhang; where these are not stated, some way above.

    Examples
    --------
    >>> from millcalc import BallEndMill
    >>> cutter = BallEndMill(diameter="10 mm", teeth=2, flute_length="15 mm", overhang="30 mm", shank_diameter="6 mm")
    >>> [body[-1][:2] for body in tool_bodies(cutter)]
    [(5.0, 15.0), (3.0, 30.0)]
    """
    names = ("diameter", "flute_length", "overhang", "shank_diameter")
    diameter, flutes, overhang, shank = (number(cutter, n) for n in names)
    top = cutting_body(cutter)[-1][1]
    end = max(flutes or 0.0, top) + _ABOVE * diameter if overhang is None else max(overhang, top)
    # without a flute length a cylinder that ends the profile goes on, unless a shank begins
    fluted = flutes if flutes is not None else end if shank is None else top
    cutting = cutting_body(cutter, fluted)
    radius, cut = cutting[-1][:2]
    if end <= cut:
        return [cutting]
    wide = radius if shank is None else 0.5 * shank
    return [cutting, [(wide, cut, 0.0, 0.0, 0.5 * math.pi), (wide, end, 0.0, 0.5 * math.pi, math.pi)]]


def cutting_body(cutter: Cutter, length: float = 0.0) -> Body:
    """Return the profile as a body; a cylinder that ends it reaches to the length [mm] from the tip, if above."""
    profile = cutter.profile
    top, radius = profile.ends(profile.count - 1)[1]
    end = max(length, float(top)) if profile.endless else float(top)
    rows = (profile.centre_radius, profile.centre_height, profile.arc_radius, profile.normal[:-1], profile.normal[1:])
    arcs: Any = [tuple(map(float, row)) for row in zip(*rows, strict=True)]
    return [*arcs, (float(radius), end, 0.0, float(profile.normal[-1]), math.pi)]


@attrs.frozen
class View:
    """A picture plane: the axis' components in it, sideways and up, and where the tip lies [mm]."""

    sideways: float = 0.0
    up: float = 1.0
    tip: tuple[float, float] = (0.0, 0.0)

    @classmethod
    def along(cls, lead: float, tilt: float, tip: tuple[float, float]) -> View:
        """As seen along the feed; sideways is positive to the left, toward C."""
        _, c, n = axis_components(lead, tilt)
        return cls(float(c), float(n), tip)

    @classmethod
    def aside(cls, lead: float, tilt: float, tip: tuple[float, float]) -> View:
        """As seen across the feed, from its right; sideways is positive toward the feed."""
        f, _, n = axis_components(lead, tilt)
        return cls(float(f), float(n), tip)

    def outline(self, body: Body, close: float | None = None) -> Points:
        """Return the closed outline [mm] of a body: sideways and up, from its top over the lowest point to its top.

        Points lie closely about the angle `close` [rad] of the normal from straight down the axis as it appears; about
        the lowest point if left out.

        Examples
        --------
        >>> sideways, up = View().outline([(1.0, 0.0, 0.0, 0.0, 1.571), (1.0, 2.0, 0.0, 1.571, 3.1416)])
        >>> print(sideways.min().round(3), sideways.max().round(3), up.max().round(3))
        -1.0 1.0 2.0
        """
        shortening = math.hypot(self.sideways, self.up)
        close = math.atan2(abs(self.sideways), self.up) if close is None else close
        across, along = _half(body, shortening, np.concatenate([close - _CLOSER, [close], close + _CLOSER]))
        across, along = np.append(-across[::-1], across), np.append(along[::-1], along)
        return (
            (across * self.up + along * self.sideways) / shortening + self.tip[0],
            (along * self.up - across * self.sideways) / shortening + self.tip[1],
        )

    def axis(self, low: float, high: float) -> Points:
        """Return two points [mm] of the axis, at heights from the tip."""
        heights = np.array([low, high])
        return self.tip[0] + heights * self.sideways, self.tip[1] + heights * self.up


def _half(body: Body, shortening: float, close: Any) -> Points:
    """One half of the outline in the apparent axis' frame, from straight down to straight up."""
    sine = math.sqrt(max(1.0 - shortening * shortening, 0.0))
    turn = np.linspace(0.0, math.pi, _STEPS)
    squeezed = np.arctan2(sine * np.sin(turn), np.cos(turn))  # even steps round a rim that is seen nearly edge on
    across, along = [], []
    for centre, height, radius, first, last in body:
        ends = math.cos(first) / shortening, math.cos(last) / shortening
        if ends[1] > 1.0 + 1e-12 or ends[0] < -1.0 - 1e-12:
            continue  # it faces down or up too steeply to be seen on the outline
        low, high = np.arccos(np.clip(ends, -1.0, 1.0))
        chi = np.sort(np.clip(np.concatenate([np.linspace(low, high, _STEPS), squeezed, close]), low, high))
        spread = np.hypot(np.sin(chi), sine * np.cos(chi))
        level = spread == 0.0  # straight down or up, unshortened: the rim
        spread = np.where(level, 1.0, spread)
        out = np.where(level, 1.0, np.sin(chi) / spread)
        across.append(centre * out + radius * np.sin(chi))
        along.append(height * shortening - (radius + centre * sine * sine / spread) * np.cos(chi))
    return np.concatenate(across), np.concatenate(along)


def flank(outline: Points, depth: float, side: float) -> Points:
    """Return the part of an outline from its lowest point up to a height [mm], on the side of the sign.

    Examples
    --------
    >>> square = View().outline([(1.0, 0.0, 0.0, 0.0, 1.571), (1.0, 2.0, 0.0, 1.571, 3.1416)])
    >>> sideways, up = flank(square, 0.5, -1.0)
    >>> print(sideways[-1].round(3), up[-1].round(3))
    -1.0 0.5
    """
    # either half of the way round, from the lowest point to the highest, rises all along
    across, up = outline if side > 0.0 else (outline[0][::-1], outline[1][::-1])
    across, up = across[np.argmin(up) :], up[np.argmin(up) :]
    across, up = across[: np.argmax(up) + 1], up[: np.argmax(up) + 1]
    below = up < depth
    return np.append(across[below], np.interp(depth, up, across)), np.append(up[below], depth)
