"""The search of a drawer: of every combination of cutters, stocks and steps the fastest for each finish."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import attrs
import numpy as np

from millcalc.errors import Fault, ImpossibleJobError, JobError
from millcalc.formulas import finish
from millcalc.planning.routes.handover import corner_excess, fits_fillet
from millcalc.planning.routes.jobs import left_at_start
from millcalc.planning.routes.parts import Route
from millcalc.planning.routes.plan import RoutePlan, plan_route
from millcalc.planning.routes.stages import Option, Stage, finishing_stage, options_of, roughing_stage
from millcalc.quantities.record import number

__all__ = ["Choice", "RouteFront", "search_drawer"]

_MULTIPLES = (0.5, 0.7, 1.0, 1.4, 2.0, 4.0)
"""Finishes that are tried, as multiples of the one wanted."""
_MOST = 50_000_000
"""Combinations that are looked at together."""


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
    the machine active, and hand-overs that are exceeded rule it out.  What an operation finds is the worst that an
    option before may leave; the best route is planned again as it is.

    Parameters
    ----------
    route
        The route; an operation without a cutter takes every cutter of the drawer, stocks and steps that are not stated
        are tried from a grid, or those listed in `tried`.
    finishes
        Multiples of the finish wanted for which the front is asked; 1 is always among them.

    Raises
    ------
    JobError
        Too many combinations, or values to try that cannot be used.
    ImpossibleJobError
        No combination keeps all limits; the fault says which operation fails first.

    Examples
    --------
    >>> from millcalc.planning import example_route, search_drawer
    >>> found = search_drawer(example_route())
    >>> found.choice.words()
    ('E12', 'E6', 'B8', 'B6')
    """
    name, wanted = _wanted(route)
    tried = sorted({*finishes, 1.0})
    stages = _stages(route, [wanted * m for m in tried])
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
    best = attrs.evolve(best, time=number(made, "total_time"))
    return RouteFront(route, made, best, _front(choices), name, total.size, int(np.isfinite(total).sum()))


def _wanted(route: Route) -> tuple[str, float]:
    """Return which finish is varied, and its value wanted [um]."""
    if route.finish is None:
        return "ra", float("nan")
    for name in ("scallop_height", "ra"):
        if number(route.finish, name) is not None:
            return name, float(number(route.finish, name))
    if number(route.finish, "grade") is not None:
        return "ra", float(finish.ra_from_grade.bare(number(route.finish, "grade")))
    raise JobError(
        "the search cannot be made", (Fault("finish.rz", "", "the front needs Ra, a grade or a scallop height"),)
    )


def _stages(route: Route, finishes: Sequence[float]) -> list[Stage]:
    """Plan every operation with every option, after every state that it may find."""
    stages: list[Stage] = []
    for step in route.steps:
        options = options_of(route, step, finishes)
        before = _before(stages, step.kind)
        if step.kind in ("rough", "corners"):
            stages.append(roughing_stage(route, step, options, None if step.kind == "rough" else stages[0]))
        else:
            left = left_at_start(route)
            found: Any = stages[before] if before is not None else left
            stages.append(finishing_stage(route, step, options, found))
        size = float(np.prod([float(len(s.options)) for s in stages]))
        if size > _MOST:
            reason = f"{size:.3g} combinations are too many; state some cutters or stocks, or fewer values in `tried`"
            raise JobError("the search cannot be made", (Fault("operations", "", reason),))
    return stages


def _before(stages: Sequence[Stage], kind: str) -> int | None:
    """Return the place of the stage whose stock an operation finds: corners leave that of the roughing before."""
    places = [i for i, s in enumerate(stages) if s.step.kind != "corners"]
    return places[-1] if places else None


def _total(route: Route, stages: Sequence[Stage]) -> Any:
    """Return the time [min] of every combination, infinite where it cannot be cut; one axis an operation."""
    shape = tuple(len(s.options) for s in stages)
    total = np.zeros(shape)
    for place, stage in enumerate(stages):
        source = _before(stages[:place], stage.step.kind)
        time = np.where(stage.possible, stage.time, np.inf)
        total = total + (_spread(time[0], (place,), shape) if source is None else _spread(time, (source, place), shape))
        if place:
            total = total + _spread(_between(route, stages, place), (place - 1, place), shape)
            if source is not None:
                covered = np.where(stages[source].covered, 0.0, np.inf)
                total = total + _spread(covered, (source,), shape)
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
    steps = [o.step(step, {}) for step, o in zip(route.steps, choice.options, strict=True)]
    changes: dict[str, Any] = {"operations": steps}
    if route.steps[-1].kind == "finish":
        finishes = dict.fromkeys(("scallop_height", "ra", "rz", "grade"))
        changes["finish"] = route.finish._with_kept({**finishes, name: choice.finish})
    return route.with_(**changes)


def _why(route: Route, stages: Sequence[Stage]) -> Fault:
    """Say which operation, or which hand-over, rules every combination out."""
    for i, stage in enumerate(stages):
        if not stage.possible.any():
            reason = "none of its options can be cut within all limits"
            return Fault(f"operations[{i}] ({stage.step.kind})", "", reason, "other cutters, stocks or steps")
        last = i + 1 == len(stages)
        if not last and stage.step.kind != "corners" and not stage.covered.any():
            reason = "whatever stock it leaves, stairs or scallops, deflection and tolerance are more"
            return Fault(f"operations[{i}] ({stage.step.kind})", "", reason, "smaller steps, stiffer tools, more stock")
    reason = "every combination fails at a hand-over or has a cutter too large for the corners"
    return Fault("operations", "", reason, "an operation for the corners, or a finer grid in `tried`")


def _plain(choice: Choice) -> list[dict[str, Any]]:
    return [{"cutter": o.name} | o.values for o in choice.options]
