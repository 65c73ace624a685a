"""The stages of a drawer search: every option of an operation, planned side by side with what it may find before it.

Each stage has an axis of its options.  What an option finds is a state of the stage before; options and states are
planned as one array, pair by pair.
"""

from __future__ import annotations

import functools
import itertools
from collections.abc import Mapping, Sequence
from typing import Any

import attrs
import numpy as np

from millcalc.cutters import BallEndMill, Cutter
from millcalc.errors import Fault, JobError, MillcalcError
from millcalc.formulas import stock
from millcalc.planning.comparing import compare
from millcalc.planning.roughing.inputs import roughing_inputs
from millcalc.planning.roughing.job import RoughingJob
from millcalc.planning.roughing.kernel import run
from millcalc.planning.routes.handover import verdict_of
from millcalc.planning.routes.jobs import SEMI_SCALLOP, Left, job_of
from millcalc.planning.routes.parts import Operation, Route
from millcalc.quantities import registries
from millcalc.quantities.kinds import LENGTH, RATIO, ROUGHNESS, SCALLOP_HEIGHT, Kind
from millcalc.quantities.record import number

__all__ = ["Option", "Stage", "finishing_stage", "options_of", "roughing_stage"]

_STOCKS = {"rough": (0.2, 0.3, 0.5, 0.8), "semi-finish": (0.05, 0.1, 0.2)}
_DEPTHS = (0.1, 0.25, 0.5)
_SLOPE_STEPS = (0.25, 0.5, 1.0)
_SCALLOPS = (5.0, 10.0, 20.0, 40.0)
_UM = 1000.0


@attrs.frozen
class Option:
    """One way to do an operation: the cutter, the stock it leaves, its scallop, depth of levels, style or finish."""

    cutter: Cutter
    name: str
    values: dict[str, Any]

    def step(self, step: Operation, wanted: Mapping[str, Any]) -> Operation:
        """Return the operation with this option taken."""
        changes: dict[str, Any] = {"cutter": self.cutter, "tried": None}
        for key, unit in (("stock_left", "mm"), ("slope_step", "mm"), ("scallop_height", "um")):
            if key in self.values:
                changes[key] = f"{self.values[key]!r} {unit}"
        if "style" in self.values:
            changes["style"] = self.values["style"]
        if "depth_share" in self.values:
            changes["assumed"] = dict(step.assumed or {}) | {"depth_share": self.values["depth_share"]}  # type: ignore[call-overload]
        return step.with_(**changes)


@attrs.frozen(slots=False, eq=False)
class Stage:
    """An operation with all its options: arrays with an axis of states before and one of options.

    `time` [min] and `possible` have both axes; what is left has the axis of options, the worst over the states.
    """

    step: Operation
    options: tuple[Option, ...]
    time: Any
    possible: Any
    stock: Any
    unevenness: Any
    deflection: Any
    chord_error: Any
    stepover: Any
    finish: Any

    @functools.cached_property
    def covered(self) -> Any:
        """Whether the stock that each option leaves covers what it leaves uneven."""
        needed = stock.needed_stock.bare(self.unevenness, self.deflection, self.chord_error)
        return (verdict_of(self.stock, needed, self.deflection) != "exceeded") & np.isfinite(needed)


def options_of(route: Route, step: Operation, finishes: Sequence[float]) -> tuple[Option, ...]:
    """Return every option of an operation: what is stated stands, what is open is tried."""
    cutters = [(step.cutter, route.cutter_of(step))] if step.cutter is not None else list(route.cutters.items())
    tried = _tried(route, step, finishes)
    made = []
    for name, cutter in cutters:
        assert cutter is not None
        for values in itertools.product(*tried.values()):
            word = name if isinstance(name, str) else cutter.family
            made.append(Option(cutter, word, dict(zip(tried, values, strict=True))))
    return tuple(made)


def _tried(route: Route, step: Operation, finishes: Sequence[float]) -> dict[str, Sequence[Any]]:
    """Return the values that are tried, by name, in trade units."""
    given = {name: _listed(name, values) for name, values in dict(step.tried or {}).items()}  # type: ignore[call-overload]
    known: dict[str, Sequence[Any]] = {}
    stated = number(step, "stock_left")
    if step.kind in _STOCKS:
        known["stock_left"] = _STOCKS[step.kind] if stated is None else (stated,)
    if step.kind == "rough" and step.cutter is None:
        sloped = route.pocket is not None and number(route.pocket, "slope_from") is not None
        known["depth_share"] = _DEPTHS
        if sloped and number(step, "slope_step") is None:
            known["slope_step"] = _SLOPE_STEPS
    if step.kind == "rough":
        known["style"] = (step.style,)
    if step.kind == "corners":
        known["depth_share"] = (dict(step.assumed or {}).get("depth_share", 0.25),)  # type: ignore[call-overload]
    if step.kind == "semi-finish":
        scallop = number(step, "scallop_height")
        known["scallop_height"] = (_SCALLOPS if step.cutter is None else (None,)) if scallop is None else (scallop,)
    if step.kind == "finish":
        known["finish"] = tuple(finishes)
    if step.kind == "finish" and "ra" in given:
        known["finish"] = given.pop("ra")
    return known | given


_KNOWN: dict[str, Kind] = {
    "stock_left": LENGTH,
    "slope_step": LENGTH,
    "scallop_height": SCALLOP_HEIGHT,
    "depth_share": RATIO,
    "ra": ROUGHNESS,
}


def _listed(name: str, values: Any) -> list[Any]:
    """Read a list of values that the user wants tried."""
    if name == "style":
        return list(values)
    if name not in _KNOWN:
        accepted = ", ".join((*_KNOWN, "style"))
        raise JobError("the search cannot be made", (Fault(f"tried.{name}", "", "it is not tried", accepted),))
    from millcalc.quantities.convert import Parameter, RefusedError, read_value

    parameter = Parameter(f"tried.{name}", _KNOWN[name], _KNOWN[name].domain)
    try:
        return [float(read_value(value, parameter)) for value in values]
    except RefusedError as refused:
        raise JobError("the search cannot be made", (refused.fault,)) from None


def roughing_stage(route: Route, step: Operation, options: Sequence[Option], before: Stage | None) -> Stage:
    """Plan all options of a roughing operation, or of corners after each state before."""
    states = [None] if before is None else [Left(float(s), o.cutter) for s, o in _stocks(before)]
    shape = (len(states), len(options))
    arrays = {name: np.full(shape, np.nan) for name in ("time", "stairs", "deflection", "chord_error", "stock")}
    possible = np.zeros(shape, dtype=bool)
    for sample, group in _groups(options, ("style",)):
        places = _distinct(states, sample)
        pairs = [(i, j) for i in dict.fromkeys(places) if i is not None for j in group]
        if pairs:
            found = _rough_rows(route, step, [(states[i], options[j]) for i, j in pairs], sample)
            at = tuple(np.array(pairs).T)
            for name, row in found.items():
                (possible if name == "possible" else arrays[name])[at] = row
        for state, place in enumerate(places):
            if place is not None and place != state:
                possible[state, group] = possible[place, group]
                for array in arrays.values():
                    array[state, group] = array[place, group]
    if before is not None and step is not route.steps[-1]:
        # what corners leave uneven must be covered where they are, whatever the roughing before them left
        needed = stock.needed_stock.bare(arrays["stairs"], arrays["deflection"], arrays["chord_error"])
        possible &= verdict_of(arrays["stock"], needed, arrays["deflection"]) != "exceeded"
    worst = {n: _worst(arrays[n], possible) for n in ("stairs", "deflection", "chord_error", "stock")}
    none = np.full(len(options), np.nan)
    left = (worst["stock"], worst["stairs"], worst["deflection"], worst["chord_error"])
    return Stage(step, tuple(options), arrays["time"], possible, *left, none, none)


def _stocks(before: Stage) -> list[tuple[Any, Option]]:
    return list(zip(before.stock, before.options, strict=True))


def _distinct(states: Sequence[Left | None], sample: Option) -> list[int | None]:
    """Return for each state the first that is the same to corners; None where the cutter before was no larger."""
    first: dict[Any, int] = {}
    places: list[int | None] = []
    for place, left in enumerate(states):
        if left is None or left.cutter is None:
            places.append(place)
            continue
        key = (number(left.cutter, "diameter"), left.stock)
        fits = key[0] > number(sample.cutter, "diameter") and left.stock == left.stock
        places.append(first.setdefault(key, place) if fits else None)
    return places


def _groups(options: Sequence[Option], shaping: Sequence[str]) -> list[tuple[Option, Any]]:
    """Group the options that differ in numbers only; return one of each group and the places."""
    keys = [(id(o.cutter), *(o.values.get(n) for n in shaping)) for o in options]
    return [(options[keys.index(k)], np.flatnonzero([key == k for key in keys])) for k in dict.fromkeys(keys)]


def _rough_rows(
    route: Route, step: Operation, pairs: Sequence[tuple[Left | None, Option]], sample: Option
) -> dict[str, Any]:
    """Plan pairs of a state and an option of one cutter and style as one array."""
    count = len(pairs)
    try:
        job = job_of(route, sample.step(step, {}), sample.cutter, pairs[0][0])
        assert isinstance(job, RoughingJob)
        inputs = roughing_inputs(job)
    except MillcalcError:
        return {"possible": np.zeros(count, dtype=bool)}
    named = [n for n in ("stock_left", "slope_step", "depth_share") if n in sample.values]
    columns: dict[str, Any] = {n: np.array([o.values[n] for _, o in pairs]) for n in named}
    lefts = [left for left, _ in pairs if left is not None and left.cutter is not None]
    if lefts:
        columns["larger_diameter"] = np.array([number(left.cutter, "diameter") for left in lefts])
        if "stock_left" not in columns and number(step, "stock_left") is None:
            columns["stock_left"] = np.array([left.stock for left in lefts])
    # at least one array, so that every result has the axis of the pairs
    columns.setdefault("stock_left", np.full(count, inputs.numbers["stock_left"]))
    done = run(inputs.choices, inputs.numbers | columns)
    v = done.values

    def row(value: Any) -> Any:
        return np.broadcast_to(np.asarray(value, dtype=float), count)

    words = [w for w in ("", "slot_", "entry_", "corner_") if f"{w}tip_deflection" in v]
    deflection = np.max([row(v[f"{w}tip_deflection"]) for w in words], axis=0) if words else row(0.0)
    faults = np.logical_or.reduce([np.broadcast_to(w, count) for w in done.faults.values()])
    return {
        "time": row(v["operation_time"]),
        "possible": ~faults,
        "stairs": row(0.0 if v["stair_thickness"] is None else v["stair_thickness"]),
        "deflection": deflection,
        "chord_error": row(v["tolerance"]),
        "stock": row(columns["stock_left"]),
    }


def finishing_stage(route: Route, step: Operation, options: Sequence[Option], before: Stage | Left) -> Stage:
    """Plan all options of a finishing operation after each state before, the options of a cutter as one array."""
    states = [before] if isinstance(before, Left) else [_state(before, i) for i in range(len(before.options))]
    shape = (len(states), len(options))
    names = ("time", "deflection", "chord_error", "scallop_height", "stepover", "ra")
    arrays = {name: np.full(shape, np.nan) for name in names}
    possible = np.zeros(shape, dtype=bool)
    for sample, group in _groups(options, ()):
        for balls in (True, False):
            some = [i for i, s in enumerate(states) if s is not None and _is_ball(s) == balls]
            pairs = [(i, j) for i in some for j in group if _leaves_less(states[i], options[j])]
            if pairs:
                found = _finish_rows(route, step, [(states[i], options[j]) for i, j in pairs], sample)
                at = tuple(np.array(pairs).T)
                for name, row in found.items():
                    (possible if name == "possible" else arrays[name])[at] = row
    worst = {n: _worst(arrays[n], possible) for n in names[1:]}
    return Stage(
        step,
        tuple(options),
        arrays["time"],
        possible,
        np.array([o.values.get("stock_left", 0.0) for o in options]),
        worst["scallop_height"] / _UM,
        worst["deflection"],
        worst["chord_error"],
        worst["stepover"],
        worst["ra"],
    )


def _state(before: Stage, place: int) -> Left | None:
    """What an option before leaves, or None where it cannot be cut or leaves too little for what it leaves uneven."""
    if not before.possible[:, place].any() or not before.covered[place]:
        return None
    stepover, uneven = float(before.stepover[place]), float(before.unevenness[place])
    cutter = before.options[place].cutter
    ball = isinstance(cutter, BallEndMill) and np.isfinite(stepover)
    return Left(
        stock=float(before.stock[place]),
        cutter=cutter,
        stair_thickness=None if ball else uneven,
        stepover=stepover if ball else None,
    )


def _is_ball(left: Left | None) -> bool:
    return left is not None and left.stepover is not None and isinstance(left.cutter, BallEndMill)


def _leaves_less(left: Left | None, option: Option) -> bool:
    return left is not None and option.values.get("stock_left", 0.0) < left.stock * (1.0 - 1e-9)


def _finish_rows(
    route: Route, step: Operation, pairs: Sequence[tuple[Left | None, Option]], sample: Option
) -> dict[str, Any]:
    """Plan pairs of a state and an option of one cutter as one array."""
    nothing = {"possible": np.zeros(len(pairs), dtype=bool)}
    first, option = pairs[0]
    try:
        job = job_of(route, option.step(step, {}), sample.cutter, first)
        table = compare(job, in_step=True, **_columns(route, step, pairs))  # type: ignore[arg-type]
    except MillcalcError:
        return nothing
    v = table.values
    deflections = [np.nan_to_num(v[f"{w}tip_deflection"]) for w in ("", "first_pass_")]
    return {
        "possible": table.possible(),
        "time": v["operation_time"],
        "deflection": np.maximum(*deflections),
        "chord_error": v["chord_error"],
        "scallop_height": v["scallop_height"],
        "stepover": v["stepover"],
        "ra": v["ra"],
    }


def _columns(route: Route, step: Operation, pairs: Sequence[tuple[Left | None, Option]]) -> dict[str, Any]:
    """Return the fields of the job that differ among pairs, as arrays with their units."""
    states = [left for left, _ in pairs if left is not None]
    options = [option for _, option in pairs]
    stock_left = np.array([o.values.get("stock_left", 0.0) for o in options])
    columns: dict[str, tuple[Any, Kind]] = {"stock": (np.array([s.stock for s in states]) - stock_left, LENGTH)}
    if _is_ball(states[0]):
        columns["previous_diameter"] = (np.array([number(s.cutter, "diameter") for s in states]), LENGTH)
        columns["previous_stepover"] = (np.array([s.stepover for s in states]), LENGTH)
    else:
        columns["stair_thickness"] = (np.array([s.unevenness for s in states]), LENGTH)
    if step.kind == "semi-finish":
        stated = [o.values["scallop_height"] for o in options]
        scallops = [SEMI_SCALLOP * _UM * t if s is None else s for s, t in zip(stated, stock_left, strict=True)]
        columns["scallop_height"] = (np.array(scallops), SCALLOP_HEIGHT)
        columns["form_tolerance"] = (stock_left, LENGTH)
        for name in ("radius_across", "radius_along"):
            radius = number(route.surface, name)
            if np.isfinite(radius):
                columns[name] = (radius + stock_left, LENGTH)
    else:
        name = "scallop_height" if number(route.finish, "scallop_height") is not None else "ra"
        wanted = np.array([o.values["finish"] for o in options])
        columns[name] = (wanted, SCALLOP_HEIGHT if name == "scallop_height" else ROUGHNESS)
    registry = registries.application_registry()
    return {name: registry.quantity(value, kind) for name, (value, kind) in columns.items()}


def _worst(values: Any, possible: Any) -> Any:
    """Return the greatest over the states in which an option can be cut; NaN where there is none."""
    greatest = np.max(np.where(possible, values, -np.inf), axis=0, initial=-np.inf)
    return np.where(np.isfinite(greatest), greatest, np.nan)
