"""The panels of the surface that passes leave: its height against the distance along the surface."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import attrs
import numpy as np

from millcalc.cutters.cutter import Cutter
from millcalc.quantities.display import quantity_text
from millcalc.quantities.kinds import LENGTH, ROUGHNESS, SCALLOP_HEIGHT
from millcalc.report._drawing import LINES, cutter_words, lean_words, single_case, unit_of

__all__ = ["Left", "draw_left", "left_words", "scale_left"]


@attrs.frozen
class Left:
    """The surface that a cutter leaves, in trade units."""

    cutter: Cutter
    stepover: float
    lead: float
    tilt: float
    surface_radius: float
    height: float
    ra: float
    """NaN where the ridge leans over."""
    rz: float
    contacts: Any
    """Where the passes touch [mm]."""
    across: Any
    up: Any

    @classmethod
    def of(cls, cutter: Any, stepover: Any, given: dict[str, Any], passes: int) -> Left:
        """Ask the cutter about the surface it leaves.

        Raises
        ------
        UnitError, DomainError, ArgumentError
            As of `scallops_picture`.
        """
        step, lead, tilt, radius, _ = single_case(cutter.scallop_height, stepover, given)
        across, up = (v.magnitude for v in cutter.scallop_profile(stepover, **given))
        # one pass about its contact: from the ridge on its right, over the contact, to that on its left
        top = len(across) // 2
        across, up = np.append(across[top:] - step, across[1 : top + 1]), np.append(up[top:], up[1 : top + 1])
        height = float(cutter.scallop_height.bare(step, lead, tilt, radius))
        ra, rz = map(float, cutter.roughness.bare(step, lead, tilt, radius)[:2])
        contacts = step * np.arange(passes)
        across, up = (contacts[:, None] + across).ravel(), np.tile(up, passes)
        return cls(cutter, step, lead, tilt, radius, height, ra, rz, contacts, across, up)


def draw_left(axes: Any, left: Left) -> None:
    """Draw what one cutter leaves, and write its heights."""
    length, _ = unit_of(LENGTH)
    height, label = unit_of(SCALLOP_HEIGHT)
    across, up = length * left.across, height * left.up
    ground = np.append(across, [across[-1], across[0]]), np.append(up, [-1e6 * height] * 2)
    axes.fill(*ground, facecolor=LINES["finished surface"]["facecolor"], linewidth=0.0, label="_ground")
    axes.plot(across, up, label="surface left", zorder=3.0, **LINES["surface left"])
    contacts = length * left.contacts
    axes.plot(contacts, 0.0 * contacts, label="contact", zorder=5.0, **LINES["contact"])
    words = [f"scallop height {quantity_text(left.height, SCALLOP_HEIGHT)}"]
    if math.isnan(left.ra):
        words.append("no Ra and Rz, for the ridge leans over")
    else:
        words += [f"{word} {quantity_text(v, ROUGHNESS)}" for word, v in (("Ra", left.ra), ("Rz", left.rz))]
    axes.set(title=f"{cutter_words(left.cutter)}: {', '.join(words)}", ylabel=f"height over the surface [{label}]")


def scale_left(rows: Sequence[Any], lefts: Sequence[Left]) -> None:
    """Give all panels the same scales, the left of the feed on the left."""
    length, label = unit_of(LENGTH)
    height, _ = unit_of(SCALLOP_HEIGHT)
    top = height * (max(left.height for left in lefts) or 1.0)
    rows[0].set_ylim(-0.15 * top, 1.25 * top)
    ends = [f(left.across) for left in lefts for f in (np.min, np.max)]
    rows[0].set_xlim(length * max(ends), length * min(ends))
    rows[-1].set_xlabel(f"distance across the feed along the surface, left positive [{label}]")
    rows[0].legend(loc="upper right", ncols=2, frameon=False)


def left_words(left: Left) -> str:
    """Say how the passes lie, what surface they are on, and how the axis stands."""
    radius = left.surface_radius
    bend = f"{'convex' if radius > 0 else 'concave'} across, radius {quantity_text(abs(radius), LENGTH)}"
    surface = "flat" if math.isinf(radius) else bend
    head = f"passes {quantity_text(left.stepover, LENGTH)} apart, surface {surface}; seen along the feed"
    return f"{head}\n{lean_words(left.lead, left.tilt)}; heights and distances in different scales"
