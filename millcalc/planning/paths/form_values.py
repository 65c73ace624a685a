"""Cutters of other forms: the engine's closed answers at each point, its searches on a grid of leans.

Diameters are those of the whole part below the stock plane, in closed form at each point.  The chip depends on the lean
alone where depth and stepover are the same all along, and its search takes milliseconds; it is searched on a grid of
leans as the path comes by, and a point takes the thickest chip of the nodes around it: the feed errs to the safe side.
A lean that is a node has the engine's very answer.  The scallop is searched at each point, where it is asked for.
"""

from __future__ import annotations

import math
import threading
from typing import Any

import numpy as np

from millcalc.cutters import cap
from millcalc.errors import Fault, JobError
from millcalc.planning.paths.cutting import leans
from millcalc.planning.paths.moves import Laid
from millcalc.planning.paths.settings import Settings

__all__ = ["FormCut", "contact_offset"]

GRID = 0.5
"""Distance [deg] of the nodes."""
_HALF = 182
_AT_NODE = 1e-7
"""A lean this near to a node, in distances of nodes, is that of the node."""
Three = tuple[Any, Any, Any]


def _inclination(w: Any) -> Any:
    """Inclination [deg] by the square of the difference of axis and normal."""
    return np.degrees(2.0 * np.arcsin(np.minimum(0.5 * np.sqrt(w), 1.0)))


def contact_offset(s: Settings, g: Three, normal: Three, w: Any) -> Three:
    """Return the way from the tip to the contact [mm] at each point: up the axis, and outward on the contact's side."""
    height, radius = cap.contact(s.cutter.profile, _inclination(w), 0.0)[:2]
    upward = 1.0 - 0.5 * w
    flat = np.sqrt(w * (1.0 - 0.25 * w))
    out = np.divide(radius, flat, out=np.zeros_like(flat), where=flat > 0.0)
    # T = g + N; the radial direction is (n T - N)/flat
    along = height + out * upward
    return tuple(along * p + (along - out) * q for p, q in zip(g, normal, strict=True))


class FormCut:
    """A cutter of any form."""

    def __init__(self, s: Settings) -> None:
        self.s = s
        self._lock = threading.Lock()
        self._tables: dict[str, Any] = {}

    def __reduce__(self) -> tuple[Any, ...]:
        return FormCut, (self.s,)  # a worker elsewhere fills a grid of its own

    def diameters(self, laid: Laid, depth: Any, out: Three) -> None:
        """Put the least, the contact's and the largest cutting diameter into arrays."""
        s = self.s
        if s.beside:
            lead, tilt = leans(laid.axis)
            found = s.cutter.cutting_diameters.bare(depth, lead, tilt, s.stepover, s.uncut_side)
        else:
            lean = np.degrees(np.arctan2(np.hypot(laid.forward, laid.across), laid.upward))
            low, high = cap.cap_radii(s.cutter.profile, depth, lean, 0.0)
            found = 2.0 * low, 2.0 * cap.contact(s.cutter.profile, lean, 0.0)[1], 2.0 * high
        for held, value in zip(out, found, strict=True):
            held[:] = value

    def chip_share(self, laid: Laid, depth: Any) -> Any:
        """Largest chip as a share of the feed per tooth: the largest of the nodes around."""
        s = self.s

        def ask(lead: Any, tilt: Any) -> Any:
            return s.cutter.max_chip_thickness.bare(1.0, depth, lead, tilt, s.stepover, s.uncut_side)

        return self._around("chip", laid, depth, ask, np.maximum)

    def mean_chip_share(self, laid: Laid, depth: Any) -> Any:
        """Mean chip as a share of the feed per tooth: the least of the nodes around, whose force is the largest."""
        s = self.s

        def ask(lead: Any, tilt: Any) -> Any:
            return s.cutter.mean_chip_thickness.bare(1.0, depth, lead, tilt, s.stepover, s.uncut_side)

        return self._around("mean", laid, depth, ask, np.minimum)

    def scallop(self, laid: Laid) -> Any:
        """Scallop height [um] by the engine; none without a pass beside."""
        s = self.s
        if math.isinf(s.stepover):
            return None
        return s.cutter.scallop_height.bare(s.stepover, *leans(laid.axis), s.radius_across)

    def _around(self, name: str, laid: Laid, depth: Any, ask: Any, worse: Any) -> Any:
        """Return the worst of the nodes around each lean."""
        if np.ndim(depth):
            reason = "a path of such a cutter has one depth for all points: its chip is searched on a grid of leans"
            raise JobError("the path cannot be evaluated", [Fault("normal_depth", "at each point", reason)])
        (row, beyond), (column, beside) = (_nodes(angle) for angle in leans(laid.axis))
        wide = 2 * _HALF + 1
        corners = [r * wide + c for r in (row, beyond) for c in (column, beside)]
        table = self._filled(name, corners, ask)
        found = table[corners[0]]
        for corner in corners[1:]:
            worse(found, table[corner], out=found)
        return found

    def _filled(self, name: str, corners: list[Any], ask: Any) -> Any:
        """The grid of an answer, with these nodes searched."""
        wide = 2 * _HALF + 1
        with self._lock:
            table = self._tables.get(name)
            if table is None:
                table = self._tables[name] = np.full(wide * wide, np.nan)
                self._tables[name + " known"] = np.zeros(wide * wide, dtype=bool)
            known = self._tables[name + " known"]
            seen = np.zeros(wide * wide, dtype=bool)
            for corner in corners:
                seen[corner] = True
            nodes = np.flatnonzero(seen & ~known)
            if len(nodes):
                lead, tilt = nodes // wide - _HALF, nodes % wide - _HALF
                inside = (np.abs(lead * GRID) < 90.0) & (np.abs(tilt * GRID) < 90.0)
                at = nodes[inside]
                if len(at):
                    table[at] = ask(lead[inside] * GRID, tilt[inside] * GRID)
                known[nodes] = True
        return table


def _nodes(angle: Any) -> tuple[Any, Any]:
    """Number of the node at or below an angle, and of that at or above it."""
    angle /= GRID
    low, high = np.floor(angle + _AT_NODE), np.ceil(angle - _AT_NODE)
    return (low + _HALF).astype(np.intp), (high + _HALF).astype(np.intp)
