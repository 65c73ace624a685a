"""The search of a drawer: of every combination of cutters, stocks and steps the fastest for each finish."""

from __future__ import annotations

import math
from collections.abc import Sequence
from numbers import Real
from typing import Any

import attrs
import numpy as np

from millcalc.errors import ArgumentError, Fault, ImpossibleJobError, JobError, MillcalcError
from millcalc.formulas import finish
from millcalc.planning.finishing import plan
from millcalc.planning.routes.handover import corner_excess, fits_fillet
from millcalc.planning.routes.jobs import job_of, left_at_start
from millcalc.planning.routes.options import Option, all_options
from millcalc.planning.routes.parts import Route
from millcalc.planning.routes.plan import RoutePlan, plan_route, step_names
from millcalc.planning.routes.stages import Stage, finishing_stage, roughing_stage
from millcalc.quantities.convert import shown
from millcalc.quantities.record import number

__all__ = ["Choice", "RouteFront", "search_drawer"]

_MULTIPLES = (0.5, 0.7, 1.0, 1.4, 2.0, 4.0)
"""Finishes that are tried, as multiples of the one wanted."""


@attrs.frozen
class Choice:
    """One point of the front: the finish [um], the time [min] of the route, and the option of each operation."""

    finish: float
    time: float
    options: tuple[Option, ...]

    def words(self) -> tuple[str, ...]:
        """Return the cutters by name."""
        return tuple(o.name for o in self.options)


@attrs.frozen
class RouteFront:
    """What a search found.

    Attributes
    ----------
    route
        The route that was searched.
    best
        The plan of the fastest route with the finish wanted.
    choice
        What it takes: cutters, stocks, steps.
    front
        For each finish that more time buys the fastest choice, the finest finish first.
    finish_name
        The finish that the front lists: "ra" or "scallop_height" [um].
    combinations, possible
        How many combinations were looked at, and how many of them can be cut within all limits.
    """

    route: Route
    best: RoutePlan
    choice: Choice
    front: tuple[Choice, ...]
    finish_name: str
    combinations: int
    possible: int

    def plan(self, choice: Choice) -> RoutePlan:
        """Return the plan of a choice of the front."""
        return plan_route(_taken(self.route, choice, self.finish_name))

    def as_numbers(self) -> dict[str, Any]:
        """Return the front and the best route as plain values."""
        rows = [{"finish": c.finish, "time": c.time, "options": _plain(c)} for c in self.front]
        return {
            "finish": self.finish_name,
            "front": rows,
            "combinations": self.combinations,
            "possible": self.possible,
            "best": self.best.as_numbers(),
        }


def search_drawer(route: Route, finishes: Sequence[float] = _MULTIPLES) -> RouteFront:
    """Find the cutters, stocks and steps that make a route fastest, for the finish wanted and for others.

    All combinations of the options of every operation are looked at as one array; each is planned with every limit of
    the machine active, and hand-overs that are exceeded rule it out.  After roughing and corners an operation finds
    just what each combination of them leaves; after a semi-finish the worst that its option may leave, whatever went
    before it.  The best route is planned again as it is.

    Parameters
    ----------
    route
        The route; an operation without a cutter takes every cutter of the drawer, stocks and steps that are not stated
        are tried from a grid, or those listed in `tried`.
    finishes
        Multiples of the finish wanted for which the front is asked; 1 is always among them.

    Raises
    ------
    ArgumentError
        The route is none, or the multiples cannot be used.
    JobError
        Too many combinations.
    ImpossibleJobError
        No combination keeps all limits; the fault says which operation fails first.

    Examples
    --------
    >>> from millcalc.planning import example_route, search_drawer
    >>> found = search_drawer(example_route())
    >>> found.choice.words()
    ('E12', 'E6', 'B8', 'B6')
    """
    if not isinstance(route, Route):
        fault = Fault("route", shown(route), "it is no route", "a Route; read_route reads one from a file")
        raise ArgumentError("nothing to search", (fault,))
    name, wanted = _wanted(route)
    stages = _stages(route, [wanted * m for m in _multiples(finishes)], wanted)
    total = _total(route, stages)
    if not np.isfinite(total).any():
        raise ImpossibleJobError("no route can be cut with this drawer", (_why(route, stages),))
    if route.steps[-1].kind == "finish":
        by_finish = [
            (f, _fastest(stages, total, f)) for f in dict.fromkeys(o.values["finish"] for o in stages[-1].options)
        ]
    else:
        by_finish = [(wanted, _fastest(stages, total, None))]
    choices = {f: c for f, c in by_finish if c is not None}
    best = choices.get(wanted)
    if best is None:
        fault = Fault("finish", f"{wanted:g} um", "no combination reaches it within all limits", "a coarser finish")
        raise ImpossibleJobError("no route can be cut with this drawer", (fault,))
    made = plan_route(_taken(route, best, name))
    best = choices[wanted] = attrs.evolve(best, time=number(made, "total_time"))
    return RouteFront(route, made, best, _front(choices), name, total.size, int(np.isfinite(total).sum()))


def _multiples(finishes: object) -> list[float]:
    """Return the multiples of the finish wanted."""
    given: list[Any] = list(finishes) if isinstance(finishes, (list, tuple, set, range, np.ndarray)) else [finishes]
    strange = [m for m in given if not isinstance(m, Real) or isinstance(m, bool) or not 0.0 < float(m) < math.inf]
    if strange:
        fault = Fault("finishes", shown(strange[0]), "it is no multiple", "numbers above 0", "(0.5, 1, 2)")
        raise ArgumentError("the search cannot be made", (fault,))
    return [float(m) for m in given]


def _wanted(route: Route) -> tuple[str, float]:
    """Return which finish is varied, and its value wanted [um]; NaN where the route does not end with a finish."""
    if route.finish is None or route.steps[-1].kind != "finish":
        return "ra", float("nan")
    for name in ("scallop_height", "ra"):
        if number(route.finish, name) is not None:
            return name, float(number(route.finish, name))
    if number(route.finish, "grade") is not None:
        return "ra", float(finish.ra_from_grade.bare(number(route.finish, "grade")))
    raise JobError(
        "the search cannot be made", (Fault("finish.rz", "", "the front needs Ra, a grade or a scallop height"),)
    )


def _stages(route: Route, finishes: Sequence[float], wanted: float) -> list[Stage]:
    """Plan every operation with every option, after every state that it may find."""
    stages: list[Stage] = []
    for step, options in zip(route.steps, all_options(route, finishes, wanted), strict=True):
        before = stages[-1] if stages else None
        if step.kind in ("rough", "corners"):
            stages.append(roughing_stage(route, step, options, before))
        else:
            start: Any = left_at_start(route)
            stages.append(finishing_stage(route, step, options, before or start))
    return stages


def _total(route: Route, stages: Sequence[Stage]) -> Any:
    """Return the time [min] of every combination, infinite where it cannot be cut; one axis an operation.

    After an option whose stock does not cover what it leaves uneven nothing is possible.
    """
    shape = tuple(len(s.options) for s in stages)
    total = np.zeros(shape)
    for place, stage in enumerate(stages):
        total = total + _spread(np.where(stage.possible, stage.time, np.inf), (*stage.found, place), shape)
        if place:
            total = total + _spread(_between(route, stages, place), (place - 1, place), shape)
    if stages[-1].step.kind in ("semi-finish", "finish"):
        fits = [fits_fillet(route, o.cutter) for o in stages[-1].options]
        total = total + _spread(np.where(fits, 0.0, np.inf), (len(stages) - 1,), shape)
    return total


def _spread(values: Any, axes: tuple[int, ...], shape: tuple[int, ...]) -> Any:
    """Give an array the axes of all operations."""
    return np.reshape(values, [size if axis in axes else 1 for axis, size in enumerate(shape)])


def _between(route: Route, stages: Sequence[Stage], place: int) -> Any:
    """Return the time of a tool change between the options of neighbouring operations, infinite where one misfits."""
    one, other = stages[place - 1].options, stages[place].options
    same = np.array([[a.cutter == b.cutter for b in other] for a in one])
    larger = np.array([number(o.cutter, "diameter") for o in one])[:, None]
    diameter = np.array([number(o.cutter, "diameter") for o in other])[None, :]
    excess = corner_excess(route, larger, diameter)[2]
    return np.where(excess, np.inf, np.where(same, 0.0, number(route, "tool_change_time")))


def _fastest(stages: Sequence[Stage], total: Any, wanted: float | None) -> Choice | None:
    """Return the fastest choice with a finish, or None where none can be cut."""
    if wanted is not None:
        same = np.array([o.values["finish"] == wanted for o in stages[-1].options])
        total = np.where(same, total, np.inf)
    place = np.unravel_index(int(np.argmin(total)), total.shape)
    if not np.isfinite(total[place]):
        return None
    options = tuple(stage.options[i] for stage, i in zip(stages, place, strict=True))
    return Choice(wanted if wanted is not None else float("nan"), float(total[place]), options)


def _front(choices: dict[float, Choice]) -> tuple[Choice, ...]:
    """Return the choices that no finer finish does as fast, the finest first."""
    kept: list[Choice] = []
    for _, choice in sorted(choices.items()):
        if not kept or choice.time < kept[-1].time:
            kept.append(choice)
    return tuple(kept)


def _taken(route: Route, choice: Choice, name: str) -> Route:
    """Return the route with a choice taken."""
    steps = [o.step(step) for step, o in zip(route.steps, choice.options, strict=True)]
    changes: dict[str, Any] = {"operations": steps}
    if route.steps[-1].kind == "finish":
        finishes = dict.fromkeys(("scallop_height", "ra", "rz", "grade"))
        changes["finish"] = route.finish._with_kept({**finishes, name: choice.finish})
    return route.with_(**changes)


def _why(route: Route, stages: Sequence[Stage]) -> Fault:
    """Say which operation, or which hand-over, rules every combination out."""
    for i, (name, stage) in enumerate(zip(step_names(route), stages, strict=True)):
        where = f"operations[{i}] ({name})"
        if not stage.possible.any():
            return _first_refusal(route, stage, where)
        if i + 1 < len(stages) and not stage.covered.any():
            reason = "whatever stock it leaves, stairs or scallops, deflection and tolerance are more"
            return Fault(where, "", reason, "smaller steps, stiffer tools, more stock")
    reason = "every combination fails at a hand-over or has a cutter too large for the corners"
    return Fault("operations", "", reason, "an operation for the corners, or a finer grid in `tried`")


def _first_refusal(route: Route, stage: Stage, where: str) -> Fault:
    """Say why the first option of an operation cannot be cut, for one."""
    reason, option = "none of its options can be cut within all limits", stage.options[0]
    found = [left for left in stage.states if left is not None]
    try:
        plan(job_of(route, option.step(stage.step), option.cutter, found[0]))
    except MillcalcError as error:
        why = "; and ".join(map(str, error.faults)) or error.headline
        reason = f"{reason}; {option.name}, for one: {why}"
    return Fault(where, "", reason, "other cutters, stocks or steps")


def _plain(choice: Choice) -> list[dict[str, Any]]:
    return [{"cutter": o.name} | o.values for o in choice.options]
