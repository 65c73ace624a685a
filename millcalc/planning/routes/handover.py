"""Hand-overs: whether the stock an operation leaves covers all it may have left uneven, and whether cutters fit."""

from __future__ import annotations

from typing import Any

import numpy as np

from millcalc.cutters import Cutter
from millcalc.formulas import corners, stock
from millcalc.planning.routes.jobs import Left
from millcalc.planning.routes.parts import Route
from millcalc.quantities.kinds import ChordError, Deflection, Length
from millcalc.quantities.record import Record, entry, number, record

__all__ = ["CORNER_SHARE", "FORCE_SPREAD", "HandOver", "corner_excess", "fits_fillet", "hand_over", "verdict_of"]

CORNER_SHARE = 0.25
"""Stock in a corner over the diameter of the cutter that meets it, above which it is far too deep (common practice)."""
FORCE_SPREAD = 0.3
"""How far a computed deflection may be off (common practice)."""


@record
class HandOver(Record):
    """What stands between two operations.

    `verdict` is "kept", "not decided" (less is spare than the computed deflection may be off), or "exceeded".
    """

    step: str = entry(meaning="the operation that hands over")
    following: str = entry(meaning="the operation that takes over")
    stock: Length = entry(meaning="stock left")
    unevenness: Length = entry(meaning="stairs or scallops that stand on it")
    deflection: Deflection = entry(meaning="deflection of the tool")
    chord_error: ChordError = entry(meaning="tolerance of the path")
    needed: Length = entry(meaning="stock that covers all of these")
    corner_depth: Length = entry(meaning="stock in the inside corners that the next cutter meets, along the bisector")
    corner_allowed: Length = entry(meaning="what the next cutter may meet: a quarter of its diameter")
    verdict: str = entry(meaning="of the stock")
    corner_verdict: str = entry(meaning="of the corners")


def hand_over(route: Route, names: tuple[str, str], left: Left, following: Cutter | None) -> HandOver:
    """Return the hand-over from what is left to the cutter that follows."""
    needed = float(stock.needed_stock.bare(left.unevenness, left.deflection, left.chord_error))
    found: dict[str, Any] = {
        "step": names[0],
        "following": names[1],
        "stock": left.stock,
        "unevenness": left.unevenness,
        "deflection": left.deflection,
        "chord_error": left.chord_error,
        "needed": needed,
        "verdict": str(verdict_of(left.stock, needed, left.deflection)),
        "corner_verdict": "kept",
    }
    if following is not None and left.cutter is not None:
        sizes = (number(left.cutter, "diameter"), number(following, "diameter"))
        depth, allowed, excess = corner_excess(route, *sizes)
        found |= {"corner_depth": float(depth), "corner_allowed": float(allowed)}
        found["corner_verdict"] = "exceeded" if excess else "kept"
    return HandOver._from_numbers(found)


def verdict_of(left: Any, needed: Any, deflection: Any) -> Any:
    """Return the verdict of stock left against the stock needed [mm], with a deflection [um]; arrays, too."""
    spread = FORCE_SPREAD * np.asarray(deflection) / 1000.0
    words = np.where(np.asarray(left) - needed < -1e-9 - spread, "exceeded", "not decided")
    return np.where(np.asarray(left) - needed >= spread - 1e-9, "kept", words)


def corner_excess(route: Route, larger: Any, diameter: Any) -> tuple[Any, Any, Any]:
    """Return the stock that a cutter meets in corners after a larger one, what it may meet, and whether it is more."""
    angle = number(route.pocket, "corner_angle") if route.pocket is not None else None
    allowed = CORNER_SHARE * np.asarray(diameter)
    if angle is None:
        return np.zeros(np.shape(allowed)), allowed, np.zeros(np.shape(allowed), dtype=bool)
    depth = corners.corner_stock_between.bare(np.asarray(larger), np.asarray(diameter), angle)
    return depth, allowed, depth > allowed * (1.0 + 1e-9)


def fits_fillet(route: Route, cutter: Cutter) -> bool:
    """Whether a cutter reaches into the finished fillets of the inside corners, if their radius is stated."""
    fillet = number(route.pocket, "fillet_radius") if route.pocket is not None else None
    return fillet is None or number(cutter, "diameter") <= 2.0 * fillet * (1.0 + 1e-9)
