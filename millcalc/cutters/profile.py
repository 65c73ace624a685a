"""The axial half-profile of a cutter: a convex chain of straight pieces and arcs, from the tip upward.

The engine works on the chain's *support form*: the arcs in order of the angle psi between their outward normal
and straight down the axis.  A sharp corner is an arc of no radius, a straight piece the gap between the end of
one arc and the start of the next at the same psi.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import Any, Self

import attrs
import numpy as np

from millcalc.errors import DataError, Fault

__all__ = ["Arc", "Line", "Profile", "SupportForm"]

Point = tuple[float, float]
_CLOSE = 1e-9  # relative to the profile's size: what a rounded input may be off
_QUARTER = math.pi / 2


@attrs.frozen
class Line:
    """A straight piece between two points (height, radius) [mm]."""

    start: Point
    end: Point

    def normals(self) -> tuple[float, float]:
        """Angle [rad] of the outward normal from straight down, at both ends."""
        angle = math.atan2(self.end[0] - self.start[0], self.end[1] - self.start[1])
        return angle, angle

    def size(self) -> float:
        """Length [mm]."""
        return math.hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])

    def faults(self) -> list[str]:
        """What is wrong with it on its own."""
        return [] if self.size() > 0.0 else ["it has no length"]


@attrs.frozen
class Arc:
    """A circular arc between two points (height, radius) [mm] about a centre, bulging outward."""

    start: Point
    end: Point
    centre: Point

    @property
    def radius(self) -> float:
        """Radius of the arc [mm]."""
        return math.dist(self.start, self.centre)

    def normals(self) -> tuple[float, float]:
        """Angle [rad] of the outward normal from straight down, at both ends."""
        return self._normal(self.start), self._normal(self.end)

    def _normal(self, point: Point) -> float:
        angle = math.atan2(point[1] - self.centre[1], self.centre[0] - point[0])
        return 0.0 if abs(angle) < 1e-12 else angle

    def faults(self) -> list[str]:
        """What is wrong with it on its own."""
        other = math.dist(self.end, self.centre)
        if abs(other - self.radius) > _CLOSE * max(self.radius, 1.0):
            return [f"its ends lie {self.radius:.9g} and {other:.9g} mm from its centre"]
        start, end = self.normals()
        return [] if start < end else ["it runs backward: its normal must turn from down to outward"]


Piece = Line | Arc


class SupportForm:
    """Arcs in the order of their outward normals; what is asked of them is the same for a profile and for arrays.

    Attributes
    ----------
    endless
        Whether a cylinder of the last radius follows.
    centre_radius, centre_height, arc_radius [mm]
        Of each arc, first axis; a sharp corner has no radius.
    normal [rad]
        Angles between the arcs, one more than arcs.
    """

    endless: bool
    centre_radius: Any
    centre_height: Any
    arc_radius: Any
    normal: Any

    @property
    def count(self) -> int:
        """Number of arcs, sharp corners counted."""
        return len(self.arc_radius)

    def ends(self, arc: int) -> tuple[tuple[Any, Any], tuple[Any, Any]]:
        """Both ends (height, radius) of an arc."""
        start, end = (self.on_arc(arc, self.normal[arc + i]) for i in (0, 1))
        return start, end

    def on_arc(self, arc: int, psi: Any) -> tuple[Any, Any]:
        """Height and radius of the point of an arc whose normal stands at psi [rad]."""
        rho = self.arc_radius[arc]
        return self.centre_height[arc] - rho * np.cos(psi), self.centre_radius[arc] + rho * np.sin(psi)

    @property
    def largest_radius(self) -> Any:
        """The largest radius of the cutting part."""
        last = np.minimum(self.normal[-1], _QUARTER)
        found = 0.0 * self.normal[0]
        for arc in range(self.count):
            _, radius = self.on_arc(arc, np.clip(last, self.normal[arc], self.normal[arc + 1]))
            found = np.maximum(found, radius)
        return found

    @property
    def reference_height(self) -> Any:
        """Height of the centre of the first rounding, on the axis: a ball's centre; 0 if nothing is rounded."""
        height = 0.0 * self.normal[0]
        for arc in reversed(range(self.count)):
            height = np.where(self.arc_radius[arc] > 0.0, self.centre_height[arc], height)
        return height

    def at_normal(self, psi: Any) -> tuple[Any, Any, Any]:
        """Height, radius and radius of curvature where the outward normal stands at psi [rad] from straight down.

        Where a straight piece has that normal it is the middle of the piece, the tip of a flat bottom, and the
        lower end of an endless cylinder; psi beyond the profile gives NaN.
        """
        height: Any = np.nan
        radius: Any = np.nan
        bend: Any = np.nan
        for arc in range(self.count):
            inside = (psi >= self.normal[arc] - 1e-12) & (psi <= self.normal[arc + 1] + 1e-12)
            here = self.on_arc(arc, np.clip(psi, self.normal[arc], self.normal[arc + 1]))
            # the ends of two arcs with the same normal: the straight piece between them
            meets = inside & ~np.isnan(height) & (np.abs(psi - self.normal[arc]) <= 1e-12)
            height, radius = (
                np.where(meets, 0.5 * (old + new), np.where(inside, new, old))
                for old, new in zip((height, radius), here, strict=True)
            )
            bend = np.where(inside, self.arc_radius[arc], bend)
        # a flat bottom is a disc, whose middle is the tip
        bottom = np.abs(psi) <= 1e-12
        return _plain(np.where(bottom, 0.0, height)), _plain(np.where(bottom, 0.0, radius)), _plain(bend)


class Profile(SupportForm):
    """A convex half-profile in (height, radius), from the tip to the top of the cutting part.

    Parameters
    ----------
    pieces
        `Line` and `Arc` pieces in order; the first starts at the tip (0, 0).
    endless
        Whether a cylinder of the last radius follows above; otherwise the cutting part ends there.

    Raises
    ------
    DataError
        The chain has gaps, is not convex, or overlaps itself; each fault says which piece.

    Examples
    --------
    >>> ball = Profile([Arc((0, 0), (5, 5), (5, 0))])
    >>> round(float(ball.radius_at(1.0)), 6), round(float(ball.slope_at(1.0)), 6)
    (3.0, 1.333333)
    """

    def __init__(self, pieces: Sequence[Piece], endless: bool = True) -> None:
        self.pieces = tuple(pieces)
        self.endless = endless
        faults = _faults(self.pieces, endless)
        if faults:
            raise DataError("the profile cannot be used", faults)
        form = _support_form(self.pieces, endless)
        self.centre_radius, self.centre_height, self.arc_radius, self.normal = map(np.array, form)

    @classmethod
    def stack(cls, profiles: Sequence[Profile]) -> Self:
        """Put profiles side by side, so that one call answers for all; arrays get a last axis over them."""
        made = cls.__new__(cls)
        made.pieces = ()
        made.endless = all(p.endless for p in profiles)
        if len({p.endless for p in profiles}) > 1:
            fault = Fault("profiles", "", "some end in a cylinder and others do not", "profiles of one family")
            raise DataError("the profiles cannot be put side by side", (fault,))
        count = max(len(p.arc_radius) for p in profiles)
        forms = [p._padded(count) for p in profiles]
        names = ("centre_radius", "centre_height", "arc_radius", "normal")
        for name, rows in zip(names, zip(*forms, strict=True), strict=True):
            setattr(made, name, np.stack(rows, axis=-1))
        return made

    @classmethod
    def balls(cls, diameters: Any) -> Self:
        """Put half balls side by side, as `stack` does, from an array of their diameters."""
        radius = 0.5 * np.asarray(diameters, dtype=float)
        made = cls.__new__(cls)
        made.pieces, made.endless = (), True
        made.centre_radius, made.centre_height, made.arc_radius = 0.0 * radius[None], radius[None], radius[None]
        made.normal = np.stack([0.0 * radius, _QUARTER + 0.0 * radius])
        return made

    def _padded(self, count: int) -> tuple[Any, ...]:
        """Return the support form with a given number of arcs, the last one split where there are fewer."""
        more = count - len(self.arc_radius)
        arcs = (self.centre_radius, self.centre_height, self.arc_radius)
        ends = np.full(more, self.normal[-1])
        return (*(np.append(a, np.full(more, a[-1])) for a in arcs), np.append(self.normal, ends))

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape of the arrays that the profile brings along: empty, or the number of profiles side by side."""
        return tuple(self.arc_radius.shape[1:])

    @property
    def top(self) -> Any:
        """Height of the end of the last piece."""
        return self.ends(self.count - 1)[1][0]

    def radius_at(self, height: Any) -> Any:
        """Radius [mm] at a height; NaN outside the cutting part."""
        return _plain(self._at_height(height)[0])

    def slope_at(self, height: Any) -> Any:
        """Change of radius with height; infinite on a flat bottom, the upper piece's at a joint."""
        return _plain(self._at_height(height)[1])

    def curvature_at(self, height: Any) -> Any:
        """Curvature [1/mm] of the profile at a height; 0 on a straight piece."""
        return _plain(self._at_height(height)[2])

    def normal_at(self, height: Any) -> Any:
        """Angle [deg] of the outward normal from straight down the axis: the tool cutting edge angle kappa."""
        return np.degrees(np.arctan2(1.0, self._at_height(height)[1]))

    def _at_height(self, height: Any) -> tuple[Any, Any, Any]:
        """Radius, slope and curvature at a height."""
        height = np.asarray(height, dtype=float)
        radius = slope = bend = np.full(np.broadcast_shapes(height.shape, self.shape), np.nan)
        below: tuple[Any, Any] = (np.nan, np.nan)
        for arc in range(self.count):
            start, end = self.ends(arc)
            rise = start[0] - below[0]
            with np.errstate(all="ignore"):
                lean = (start[1] - below[1]) / rise
                up = np.clip(self.centre_height[arc] - height, -self.arc_radius[arc], self.arc_radius[arc])
                out = np.sqrt(self.arc_radius[arc] ** 2 - up * up)
                turn = np.divide(1.0, self.arc_radius[arc])
                steep = up / out
                along = below[1] + lean * (height - below[0])
            # where two arcs meet smoothly, rounding must not pass for a straight piece
            on_line = (height >= below[0]) & (height < start[0]) & (rise > 1e-9)
            bottom = np.where(np.abs(rise) <= 1e-9, np.minimum(start[0], below[0]), start[0])
            on_arc = (height >= bottom) & (height <= end[0])
            radius = np.where(on_line, along, radius)
            radius = np.where(on_arc, self.centre_radius[arc] + out, radius)
            slope = np.where(on_line, lean, np.where(on_arc & (end[0] > start[0]), steep, slope))
            bend = np.where(on_line, 0.0, np.where(on_arc & (end[0] > start[0]), turn, bend))
            below = end
        above = (height >= below[0]) & self.endless
        return (
            np.where(above, below[1], radius),
            np.where(above & (height > below[0]) | above & np.isnan(slope), 0.0, slope),
            np.where(above & (height > below[0]) | above & np.isnan(bend), 0.0, bend),
        )


def _plain(value: Any) -> Any:
    return value if np.ndim(value) else float(value)


def _faults(pieces: Sequence[Piece], endless: bool) -> list[Fault]:
    """Return all that is wrong with a chain of pieces, each with the piece's number."""
    if not pieces:
        return [Fault("pieces", "", "a profile needs at least one piece")]
    found = []

    def fault(place: int, reason: str) -> None:
        found.append(Fault(f"piece {place}", repr(pieces[place]), reason))

    size = max(abs(v) for piece in pieces for point in (piece.start, piece.end) for v in point) or 1.0
    for place, piece in enumerate(pieces):
        if not all(math.isfinite(v) for v in _numbers(piece)):
            fault(place, "a coordinate is not finite")
            continue
        for reason in piece.faults():
            fault(place, reason)
        if min(piece.start[1], piece.end[1]) < -_CLOSE * size:
            fault(place, "it crosses the axis: a radius is negative")
    if found:
        return found
    if math.dist(pieces[0].start, (0.0, 0.0)) > _CLOSE * size:
        fault(0, "the profile starts at the tip, height 0 and radius 0")
    if pieces[0].normals()[0] < -1e-9:
        fault(0, "it dips below the tip")
    for place, (lower, upper) in enumerate(itertools.pairwise(pieces), 1):
        gap = math.dist(lower.end, upper.start)
        if gap > _CLOSE * size:
            fault(place, f"it starts {gap:.6g} mm from the end of piece {place - 1}")
        elif upper.normals()[0] < lower.normals()[1] - 1e-7:
            fault(place, f"the corner with piece {place - 1} points inward: the profile must be convex")
    last = pieces[-1].normals()[1]
    if endless and last > _QUARTER + 1e-9:
        fault(len(pieces) - 1, "it narrows toward the top, so no cylinder can follow")
    elif last >= math.pi - 1e-9:
        fault(len(pieces) - 1, "it closes over the top")
    return found


def _numbers(piece: Piece) -> tuple[float, ...]:
    points = (piece.start, piece.end) if isinstance(piece, Line) else (piece.start, piece.end, piece.centre)
    return tuple(v for point in points for v in point)


def _support_form(pieces: Sequence[Piece], endless: bool) -> tuple[list[float], list[float], list[float], list[float]]:
    """Return the arcs in order of their normals: radius and height of the centre, radius; and the angles between."""
    arcs: list[tuple[float, float, float, float, float]] = []  # centre radius, centre height, radius, from, to
    turned = 0.0
    point = (0.0, 0.0)
    for piece in pieces:
        start, end = piece.normals()
        smooth = start <= turned + 1e-9
        # a line always ends an arc, if only one without radius, so that lines are the gaps between arcs
        if not smooth or (isinstance(piece, Line) and (not arcs or arcs[-1][4] < start or _gap(arcs[-1], point))):
            arcs.append((point[1], point[0], 0.0, turned, max(start, turned)))
        if isinstance(piece, Arc):
            arcs.append((piece.centre[1], piece.centre[0], piece.radius, max(start, turned), end))
        turned, point = max(end, turned), piece.end
    if isinstance(pieces[-1], Line) or (endless and turned < _QUARTER - 1e-9):
        last = max(turned, _QUARTER) if endless else turned
        arcs.append((point[1], point[0], 0.0, turned, last))
    columns = list(zip(*arcs, strict=True))
    bounds = [*columns[3], columns[4][-1]]
    if endless:
        bounds[-1] = _QUARTER
    return list(columns[0]), list(columns[1]), list(columns[2]), bounds


def _gap(arc: tuple[float, float, float, float, float], point: Point) -> bool:
    """Whether an arc ends elsewhere than at a point: a line lies between."""
    centre_radius, centre_height, rho, _, psi = arc
    end = (centre_height - rho * math.cos(psi), centre_radius + rho * math.sin(psi))
    return math.dist(end, point) > 1e-7
