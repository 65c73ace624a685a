"""The stages of a drawer search: every option of an operation, planned side by side with what it may find before it.

What an option finds is a state that the stage before leaves.  States that differ in nothing the operation asks for are
planned once; states and options are planned as one array, pair by pair.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Hashable, Mapping, Sequence
from typing import Any

import attrs
import numpy as np

from millcalc.cutters import BallEndMill
from millcalc.errors import MillcalcError
from millcalc.formulas import stock
from millcalc.planning.comparing import compare
from millcalc.planning.job import FinishingJob
from millcalc.planning.roughing.inputs import roughing_inputs
from millcalc.planning.roughing.job import RoughingJob
from millcalc.planning.roughing.kernel import run
from millcalc.planning.routes.handover import verdict_of
from millcalc.planning.routes.jobs import SEMI_SCALLOP, Left, job_of
from millcalc.planning.routes.options import Option
from millcalc.planning.routes.parts import Operation, Route
from millcalc.quantities import registries
from millcalc.quantities.kinds import LENGTH, ROUGHNESS, SCALLOP_HEIGHT, Kind
from millcalc.quantities.record import number

__all__ = ["Stage", "finishing_stage", "roughing_stage"]

_UM = 1000.0
_SOLID = Left(stock=0.0)
"""What roughing finds: the stock is the pocket's."""
Pair = tuple[Left, Option]
Arrays = dict[str, Any]


@attrs.frozen(slots=False, eq=False)
class Stage:
    """An operation with all its options.

    `time` [min] and `possible` have the axes of the operations `found`, whose options make the states that it finds,
    and last that of its own options.  What it leaves has the axes of the operations `leaving`: of corners those that
    they find, too; of others their own alone, with the worst over the states that they find.
    """

    step: Operation
    options: tuple[Option, ...]
    states: tuple[Left | None, ...]
    found: tuple[int, ...]
    leaving: tuple[int, ...]
    time: Any
    possible: Any
    left: Mapping[str, Any]

    @functools.cached_property
    def covered(self) -> Any:
        """Whether the stock that is left covers what is left uneven; not where the option cannot be cut."""
        left = self.left
        needed = stock.needed_stock.bare(left["unevenness"], left["deflection"], left["chord_error"])
        return (verdict_of(left["stock"], needed, left["deflection"]) != "exceeded") & np.isfinite(needed)


def roughing_stage(route: Route, step: Operation, options: Sequence[Option], before: Stage | None) -> Stage:
    """Plan all options of a roughing operation, or of corners after each state before."""
    states = [_SOLID] if before is None else _states(before)
    table = _Table(states, options, lambda left: (left.stock, _diameter(left)))
    for group in _groups(options, ("style",)):
        table.plan(
            [(i, j) for i in table.distinct for j in group if before is None or _is_smaller(options[j], states[i])],
            functools.partial(_rough_rows, route, step),
        )
    left = table.arrays("stock", "unevenness", "deflection", "chord_error", "stepover")
    if before is None:
        return table.stage(step, before, (0,), {name: array[0] for name, array in left.items()})
    for name in ("unevenness", "deflection", "chord_error"):
        # beside the corners all still stands as roughing has left it
        left[name] = np.maximum(left[name], np.ravel(before.left[name])[:, None])
    shape = (*before.covered.shape, len(options))
    left = {name: array.reshape(shape) for name, array in left.items()}
    return table.stage(step, before, (*before.leaving, before.leaving[-1] + 1), left)


def finishing_stage(route: Route, step: Operation, options: Sequence[Option], before: Stage | Left) -> Stage:
    """Plan all options of a finishing operation after each state before, the options of a cutter as one array."""
    states = [before] if isinstance(before, Left) else _states(before)
    table = _Table(states, options, lambda left: (left.stock, _ball_before(left), left.unevenness))
    fits = [_fits(route, option) for option in options]
    for group in _groups(options, ()):
        for balls in (True, False):
            some = [i for i in table.distinct if (_ball_before(states[i]) is not None) == balls]
            pairs = [(i, j) for i in some for j in group if fits[j] and _leaves_less(options[j], states[i])]
            table.plan(pairs, functools.partial(_finish_rows, route, step))
    worst = {n: _worst(a, table.possible) for n, a in table.arrays("deflection", "chord_error", "stepover").items()}
    worst["unevenness"] = _worst(table.arrays("scallop_height")["scallop_height"], table.possible) / _UM
    worst["stock"] = np.array([_stock(o) for o in options])
    stage = None if isinstance(before, Left) else before
    return table.stage(step, stage, (0 if stage is None else stage.leaving[-1] + 1,), worst)


class _Table:
    """Arrays with an axis of states and one of options, filled pair by pair; like states share their rows."""

    def __init__(
        self, states: Sequence[Left | None], options: Sequence[Option], key: Callable[[Left], Hashable]
    ) -> None:
        first: dict[Hashable, int] = {}
        self.states, self.options = tuple(states), tuple(options)
        # a state that cannot be found has rows of its own, which nothing fills
        self._rows = [i if s is None else first.setdefault(key(s), i) for i, s in enumerate(states)]
        self.distinct = list(first.values())
        self._shape = (len(self.states), len(self.options))
        self._found: Arrays = {"possible": np.zeros(self._shape, dtype=bool)}

    def plan(self, places: Sequence[tuple[int, int]], rows: Callable[[Sequence[Pair]], Arrays]) -> None:
        """Plan pairs of a state and an option; where no job can be made of them, none is possible."""
        pairs = [(left, self.options[j]) for i, j in places if (left := self.states[i]) is not None]
        if not pairs:
            return
        try:
            found = rows(pairs)
        except MillcalcError:
            return
        at = tuple(np.array(places).T)
        for name, row in found.items():
            self._found.setdefault(name, np.full(self._shape, np.nan))[at] = row

    @property
    def possible(self) -> Any:
        """Whether an option can be cut in a state."""
        return self._found["possible"][self._rows]

    def arrays(self, *names: str) -> Arrays:
        """Return arrays by name, NaN where an option cannot be cut."""
        nothing = np.full(self._shape, np.nan)
        return {n: np.where(self.possible, self._found.get(n, nothing)[self._rows], np.nan) for n in names}

    def stage(self, step: Operation, before: Stage | None, leaving: tuple[int, ...], left: Arrays) -> Stage:
        """Return the stage, with an axis for each operation that makes its states."""
        found = () if before is None else before.leaving
        shape = (*(() if before is None else before.covered.shape), len(self.options))
        time, possible = (np.reshape(a, shape) for a in (self.arrays("time")["time"], self.possible))
        return Stage(step, self.options, self.states, found, leaving, time, possible, left)


def _states(before: Stage) -> list[Left | None]:
    """Return what a stage leaves, None where it cannot be cut or leaves too little for what it leaves uneven."""
    left = [np.ravel(before.left[n]) for n in ("stock", "unevenness", "stepover")]
    rows = zip(np.ndindex(before.covered.shape), np.ravel(before.covered), *left, strict=True)
    return [_state(before.options[place[-1]], *map(float, row)) if ok else None for place, ok, *row in rows]


def _state(option: Option, stock_left: float, uneven: float, stepover: float) -> Left:
    ball = isinstance(option.cutter, BallEndMill) and bool(np.isfinite(stepover))
    return Left(
        stock=stock_left,
        cutter=option.cutter,
        stair_thickness=None if ball else uneven,
        stepover=stepover if ball else None,
    )


def _diameter(left: Left | None) -> float | None:
    return None if left is None or left.cutter is None else float(number(left.cutter, "diameter"))


def _is_smaller(option: Option, left: Left | None) -> bool:
    larger = _diameter(left)
    return larger is not None and number(option.cutter, "diameter") < larger


def _ball_before(left: Left | None) -> Hashable:
    """Return ball and stepover of the operation before, None where no scallops of a ball are known."""
    if left is None or left.stepover is None or not isinstance(left.cutter, BallEndMill):
        return None
    return _diameter(left), left.stepover


def _stock(option: Option) -> float:
    """Return the stock [mm] that a finishing operation leaves."""
    return float(option.values.get("stock_left", 0.0))


def _leaves_less(option: Option, left: Left | None) -> bool:
    return left is not None and _stock(option) < left.stock


def _fits(route: Route, option: Option) -> bool:
    """Whether the stock that an option leaves has room on a concave surface."""
    radii = [number(route.surface, name) for name in ("radius_across", "radius_along")]
    return all(bool(np.isfinite(r) or r > 0.0) for r in (stock.offset_radius.bare(r, _stock(option)) for r in radii))


def _groups(options: Sequence[Option], shaping: Sequence[str]) -> list[list[int]]:
    """Return the places of the options that differ in numbers only, together."""
    groups: dict[Hashable, list[int]] = {}
    for place, option in enumerate(options):
        key = (id(option.cutter), *(option.values.get(n) for n in shaping))
        groups.setdefault(key, []).append(place)
    return list(groups.values())


def _job(route: Route, step: Operation, pairs: Sequence[Pair]) -> Any:
    """Return the job of the first pair of which one can be made."""
    refusals = []
    for left, option in pairs:
        try:
            return job_of(route, option.step(step), option.cutter, left)
        except MillcalcError as error:
            refusals.append(error)
    raise refusals[0]


def _rough_rows(route: Route, step: Operation, pairs: Sequence[Pair]) -> Arrays:
    """Plan pairs of a state and an option of one cutter and style as one array."""
    count = len(pairs)
    job = _job(route, step, pairs)
    assert isinstance(job, RoughingJob)
    inputs = roughing_inputs(job)
    columns: Arrays = {"stock_left": np.array([o.values.get("stock_left", left.stock) for left, o in pairs])}
    for name in {"slope_step", "depth_share"} & pairs[0][1].values.keys():
        columns[name] = np.array([o.values[name] for _, o in pairs])
    if job.cut.style == "corners":
        columns["larger_diameter"] = np.array([_diameter(left) for left, _ in pairs])
    done = run(inputs.choices, inputs.numbers | columns)
    v = done.values

    def row(value: Any) -> Any:
        return np.broadcast_to(np.asarray(value, dtype=float), count)

    words = [w for w in ("", "slot_", "entry_", "corner_") if f"{w}tip_deflection" in v]
    deflection = np.max([row(v[f"{w}tip_deflection"]) for w in words], axis=0) if words else row(0.0)
    faults = np.logical_or.reduce([np.broadcast_to(w, count) for w in done.faults.values()])
    return {
        "time": row(v["operation_time"]),
        "possible": ~faults & (columns["stock_left"] < number(route.pocket, "depth")),
        "unevenness": row(0.0 if v["stair_thickness"] is None else v["stair_thickness"]),
        "deflection": deflection,
        "chord_error": row(v["tolerance"]),
        "stock": columns["stock_left"],
    }


def _finish_rows(route: Route, step: Operation, pairs: Sequence[Pair]) -> Arrays:
    """Plan pairs of a state and an option of one cutter as one array."""
    job = _job(route, step, pairs)
    assert isinstance(job, FinishingJob)
    table = compare(job, in_step=True, **_columns(route, step, pairs))
    v = table.values
    deflections = [np.nan_to_num(v[f"{w}tip_deflection"]) for w in ("", "first_pass_")]
    return {
        "possible": table.possible(),
        "time": v["operation_time"],
        "deflection": np.maximum(*deflections),
        "chord_error": v["chord_error"],
        "scallop_height": v["scallop_height"],
        "stepover": v["stepover"],
    }


def _columns(route: Route, step: Operation, pairs: Sequence[Pair]) -> dict[str, Any]:
    """Return the fields of the job that differ among pairs, as arrays with their units."""
    states, options = [left for left, _ in pairs], [option for _, option in pairs]
    stock_left = np.array([_stock(o) for o in options])
    columns: dict[str, tuple[Any, Kind]] = {"stock": (np.array([s.stock for s in states]) - stock_left, LENGTH)}
    if _ball_before(states[0]) is not None:
        columns["previous_diameter"] = (np.array([_diameter(s) for s in states]), LENGTH)
        columns["previous_stepover"] = (np.array([s.stepover for s in states]), LENGTH)
    elif states[0].stated is None:
        columns["stair_thickness"] = (np.array([s.unevenness for s in states]), LENGTH)
    if step.kind == "semi-finish":
        stated = [o.values["scallop_height"] for o in options]
        scallops = [SEMI_SCALLOP * _UM * t if s is None else s for s, t in zip(stated, stock_left, strict=True)]
        columns["scallop_height"] = (np.array(scallops), SCALLOP_HEIGHT)
        columns["form_tolerance"] = (stock_left, LENGTH)
        for name in ("radius_across", "radius_along"):
            radius = number(route.surface, name)
            if np.isfinite(radius):
                columns[name] = (stock.offset_radius.bare(radius, stock_left), LENGTH)
    else:
        name = "ra" if number(route.finish, "scallop_height") is None else "scallop_height"
        wanted = np.array([o.values["finish"] for o in options])
        columns[name] = (wanted, SCALLOP_HEIGHT if name == "scallop_height" else ROUGHNESS)
    registry = registries.application_registry()
    return {name: registry.quantity(value, kind) for name, (value, kind) in columns.items()}


def _worst(values: Any, possible: Any) -> Any:
    """Return the greatest over the states in which an option can be cut; NaN where there is none."""
    greatest = np.max(np.where(possible, values, -np.inf), axis=0, initial=-np.inf)
    return np.where(np.isfinite(greatest), greatest, np.nan)
