"""The options of an operation in a drawer search: what is stated stands, what is open is tried."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import attrs

from millcalc.cutters import Cutter
from millcalc.errors import Fault, JobError
from millcalc.planning.routes.given import tried_values
from millcalc.planning.routes.parts import Operation, Route
from millcalc.quantities.record import number

__all__ = ["MOST", "Option", "all_options"]

MOST = 50_000_000
"""Combinations that are looked at together."""

_STOCKS = {"rough": (0.2, 0.3, 0.5, 0.8), "semi-finish": (0.05, 0.1, 0.2)}
_DEPTHS = {"rough": (0.1, 0.25, 0.5), "corners": (0.25,)}
_SLOPE_STEPS = (0.25, 0.5, 1.0)
_SCALLOPS = (5.0, 10.0, 20.0, 40.0)


@attrs.frozen
class Option:
    """One way to do an operation: the cutter, the stock it leaves, its scallop, depth of levels, style or finish."""

    cutter: Cutter
    name: str
    values: dict[str, Any]

    def step(self, step: Operation) -> Operation:
        """Return the operation with this option taken."""
        changes: dict[str, Any] = {"cutter": self.cutter, "tried": None}
        for key, unit in (("stock_left", "mm"), ("slope_step", "mm"), ("scallop_height", "um")):
            if self.values.get(key) is not None and step.kind != "finish":
                changes[key] = f"{self.values[key]!r} {unit}"
        if "style" in self.values:
            changes["style"] = self.values["style"]
        if "depth_share" in self.values:
            changes["assumed"] = _mapping(step.assumed) | {"depth_share": self.values["depth_share"]}
        return step.with_(**changes)


def all_options(route: Route, finishes: Iterable[float], wanted: float) -> list[tuple[Option, ...]]:
    """Return every option of each operation; a finish tries the one wanted and those listed.

    Raises
    ------
    JobError
        They make too many combinations.
    """
    tried = [_tried(route, step, sorted({*finishes, wanted}), wanted) for step in route.steps]
    cutters = [_cutters(route, step) for step in route.steps]
    sizes = [len(c) * math.prod(map(len, t.values())) for c, t in zip(cutters, tried, strict=True)]
    if math.prod(sizes) > MOST:
        reason = "they are too many; state some cutters or stocks, or fewer values in `tried`"
        given = f"{float(math.prod(sizes)):.3g} combinations ({' x '.join(map(str, sizes))})"
        raise JobError("the search cannot be made", (Fault("operations", given, reason, f"up to {MOST:.3g}"),))
    return [_options(c, t) for c, t in zip(cutters, tried, strict=True)]


def _cutters(route: Route, step: Operation) -> list[tuple[str, Cutter]]:
    """Return the cutters that an operation may take, with their names."""
    if step.cutter is None:
        return list(route.cutters.items())
    cutter = route.cutter_of(step)
    assert cutter is not None
    return [(step.cutter if isinstance(step.cutter, str) else cutter.family, cutter)]


def _options(cutters: Iterable[tuple[str, Cutter]], tried: Mapping[str, Sequence[Any]]) -> tuple[Option, ...]:
    rows = list(itertools.product(*tried.values()))
    return tuple(Option(cutter, name, dict(zip(tried, row, strict=True))) for name, cutter in cutters for row in rows)


def _tried(route: Route, step: Operation, finishes: Sequence[float], wanted: float) -> dict[str, Sequence[Any]]:
    """Return the values that are tried, by name, in trade units."""
    given = {name: tried_values(name, values) for name, values in _mapping(step.tried).items()}
    if step.kind == "finish":
        listed = next(iter(given.values()), None)
        return {"finish": finishes if listed is None else sorted({*listed, wanted})}
    known: dict[str, Sequence[Any]] = {}
    stated = number(step, "stock_left")
    if step.kind in _STOCKS:
        known["stock_left"] = _STOCKS[step.kind] if stated is None else (stated,)
    if step.kind in _DEPTHS and step.cutter is None and not _depth_is_stated(step):
        known["depth_share"] = _DEPTHS[step.kind]
    if step.kind == "rough":
        sloped = any(number(route.pocket, name) is not None for name in ("slope_from", "slope_to"))
        if sloped and step.cutter is None and number(step, "slope_step") is None:
            known["slope_step"] = _SLOPE_STEPS
        known["style"] = (step.style,)
    if step.kind == "semi-finish":
        scallop = number(step, "scallop_height")
        known["scallop_height"] = (_SCALLOPS if step.cutter is None else (None,)) if scallop is None else (scallop,)
    return known | given


def _depth_is_stated(step: Operation) -> bool:
    return _mapping(step.assumed).get("depth_share") is not None or "axial_depth" in _mapping(step.fixed)


def _mapping(given: object) -> dict[str, Any]:
    return dict(given or {})  # type: ignore[call-overload, no-any-return]
