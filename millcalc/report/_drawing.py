"""What all pictures share: lines and fills, units, and words."""

from __future__ import annotations

from typing import Any

import numpy as np

from millcalc.cutters.cutter import Cutter
from millcalc.errors import ArgumentError, Fault
from millcalc.quantities.display import in_system, quantity_text, system_in_use
from millcalc.quantities.kinds import ANGLE, LENGTH, Kind
from millcalc.quantities.record import number

__all__ = ["cutter_words", "lean_words", "refused", "single_case", "unit_of"]

_TOOL = {"facecolor": "0.9", "edgecolor": "0.25", "linewidth": 1.0}
_WORK = {"facecolor": "0.78", "edgecolor": "0.25", "linewidth": 0.8}
_STOCK = {"facecolor": "#d8cfae", "edgecolor": "#7d7147", "linewidth": 0.8}
_REMOVED = {"facecolor": "#d8cfae", "edgecolor": "#5c5230", "linewidth": 0.8, "hatch": "//////"}
_EDGE = {"color": "#a3341f", "linewidth": 4.0, "solid_capstyle": "butt"}
_CONTACT = {"color": "black", "marker": "o", "markersize": 6.0, "markerfacecolor": "white", "linestyle": "none"}
_AXIS = {"color": "0.4", "linewidth": 0.8, "linestyle": "-."}
_BEFORE = {"color": "0.4", "linewidth": 0.9, "linestyle": "--"}
_BOX = {"facecolor": "white", "edgecolor": "none", "alpha": 0.75, "pad": 1.0}


def _name(cutter: Cutter) -> str:
    teeth = "1 tooth" if cutter.teeth == 1 else f"{cutter.teeth} teeth"
    return f"{cutter.family} {quantity_text(number(cutter, 'diameter'), LENGTH)}, {teeth}"


def _lean_words(lead: float, tilt: float) -> str:
    """Say how the axis stands to the surface normal, and where the contact lies."""
    ways = [(lead, "ahead", "back", "ahead of", "behind")] if lead else []
    ways += [(tilt, "to the left", "to the right", "left of", "right of")] if tilt else []
    leans = [f"{quantity_text(abs(v), ANGLE)} {left if v > 0 else right}" for v, left, right, *_ in ways]
    places = [left if v > 0 else right for v, *_, left, right in ways]
    if not ways:
        return "axis square to the surface, contact at the tip"
    return f"axis leans {' and '.join(leans)}, contact {' and '.join(places)} the tip"


def _span(values: Any, kind: Kind) -> str:
    """Write the least and the greatest of some values, or one where they print alike."""
    ends = dict.fromkeys(quantity_text(float(v), kind, digits=3) for v in (np.min(values), np.max(values)))
    return " to ".join(ends)
