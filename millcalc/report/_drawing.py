"""What all pictures share: lines and fills, the length unit, words, and the values of a single case."""

from __future__ import annotations

from typing import Any

import numpy as np

from millcalc.cutters.cutter import Cutter
from millcalc.errors import ArgumentError, Fault
from millcalc.quantities.display import in_system, quantity_text, system_in_use
from millcalc.quantities.kinds import ANGLE, LENGTH, Kind
from millcalc.quantities.record import number

__all__ = ["LINES", "cutter_words", "lean_words", "refused", "single_case", "span_text", "unit_of"]

LINES: dict[str, dict[str, Any]] = {
    "tool": {"facecolor": "0.9", "edgecolor": "0.25", "linewidth": 1.0},
    "finished surface": {"facecolor": "0.75", "edgecolor": "0.25", "linewidth": 0.8},
    "stock": {"facecolor": "#d8cfae", "edgecolor": "#6b603c", "linewidth": 0.8},
    "removed": {"facecolor": "#d8cfae", "edgecolor": "#6b603c", "linewidth": 0.8, "hatch": "//////"},
    "edge in the cut": {"color": "#a3341f", "linewidth": 4.0, "solid_capstyle": "butt"},
    "contact": {"color": "black", "marker": "o", "markersize": 6.0, "markerfacecolor": "white", "linestyle": "none"},
    "tool axis": {"color": "0.4", "linewidth": 0.8, "linestyle": "-."},
    "pass before": {"color": "0.4", "linewidth": 0.9, "linestyle": "--"},
    "surface left": {"color": "black", "linewidth": 1.4},
}
"""How each thing is drawn, by the word that stands for it in the key."""


def refused(where: str, given: Any, reason: str, accepted: str) -> ArgumentError:
    """Make the error of an argument that cannot be used."""
    text = repr(given)
    shown = text if len(text) <= 60 else text[:57] + "..."
    return ArgumentError("the picture cannot be drawn", (Fault(where, shown, reason, accepted),))


def single_case(asked: Any, first: Any, given: dict[str, Any]) -> list[Any]:
    """Ask, so that what is wrong is raised, and return the values of the single case in trade units.

    Raises
    ------
    UnitError, DomainError
        As of the question.
    ArgumentError
        There are several cases.
    """
    asked(first, **given)
    found: list[Any] = asked.numbers(first, **given)
    if any(np.ndim(v) for v in found):
        raise refused("values", "an array", "a picture shows one case", "single values")
    return found


def unit_of(kind: Kind) -> tuple[float, str]:
    """Return by what trade units are multiplied to be drawn in the system in use, and the unit's label.

    Examples
    --------
    >>> unit_of(LENGTH)
    (1.0, 'mm')
    """
    factor, label = in_system(1.0, kind, system_in_use())
    return float(factor), label


def cutter_words(cutter: Cutter) -> str:
    """Name a cutter by its family, diameter and teeth.

    Examples
    --------
    >>> from millcalc import BallEndMill
    >>> cutter_words(BallEndMill(diameter="10 mm", teeth=2))
    'ball 10 mm, 2 teeth'
    """
    teeth = int(number(cutter, "teeth"))
    return f"{cutter.family} {quantity_text(number(cutter, 'diameter'), LENGTH)}, {teeth} {_teeth(teeth)}".lstrip()


def _teeth(count: int) -> str:
    return "tooth" if count == 1 else "teeth"


def lean_words(lead: float, tilt: float) -> str:
    """Say how the axis stands to the surface normal, and where the contact lies; lead and tilt in degrees.

    Examples
    --------
    >>> lean_words(15.0, 0.0)
    'axis leans 15 deg ahead, contact ahead of the tip'
    >>> lean_words(-3.0, -10.0)
    'axis leans 3 deg back and 10 deg to the right, contact behind and right of the tip'
    """
    ways = [(lead, "ahead", "back", "ahead of", "behind"), (tilt, "to the left", "to the right", "left of", "right of")]
    leans = [f"{quantity_text(abs(v), ANGLE)} {plus if v > 0 else minus}" for v, plus, minus, *_ in ways if v]
    places = [plus if v > 0 else minus for v, *_, plus, minus in ways if v]
    if not leans:
        return "axis square to the surface, contact at the tip"
    return f"axis leans {' and '.join(leans)}, contact {' and '.join(places)} the tip"


def span_text(low: float, high: float, kind: Kind) -> str:
    """Write a range with the unit once, or one value where both ends print alike.

    Examples
    --------
    >>> span_text(8.25, 31.0, ANGLE), span_text(90.0, 90.0, ANGLE)
    ('8.25 to 31 deg', '90 deg')
    """
    least, greatest = (quantity_text(float(v), kind, digits=3) for v in (low, high))
    label = f" {unit_of(kind)[1]}"
    return greatest if least == greatest else f"{least.removesuffix(label)} to {greatest}"
