"""`plan_route(route)`: the plans of all operations, their hand-overs, and the time of the whole."""

from __future__ import annotations

import itertools
from typing import Any

import attrs

from millcalc.cutters import BallEndMill, Cutter
from millcalc.errors import ArgumentError, Fault, ImpossibleJobError, JobError, MillcalcError
from millcalc.planning.cautions import RANKS, Caution
from millcalc.planning.finishing import Plan, plan
from millcalc.planning.roughing.plan import RoughingPlan
from millcalc.planning.routes.handover import HandOver, fits_fillet, hand_over
from millcalc.planning.routes.jobs import Left, job_of, left_at_start
from millcalc.planning.routes.parts import Operation, Route
from millcalc.quantities.kinds import LENGTH, Kind, Time
from millcalc.quantities.record import Record, entry, fields_of, number, record

__all__ = ["RoutePlan", "left_by", "plan_route", "step_names"]


@record
class RoutePlan(Record):
    """The plans of a route, in their order, and what stands between them."""

    plans: tuple[Any, ...] = entry(meaning="the plan of each operation")
    names: tuple[str, ...] = entry(meaning="the operations in words")
    hand_overs: tuple[HandOver, ...] = entry(meaning="what stands between the operations, and after the last")
    tool_changes: int = entry(meaning="number of tool changes")
    tool_change_time: Time = entry(meaning="time of tool changes")
    cutting_time: Time = entry(meaning="time of all operations")
    total_time: Time = entry(meaning="time of the route, a lower bound")
    cautions: tuple[Caution, ...] = entry(meaning="what the hand-overs tell, worst first")
    route: Route = entry(meaning="the route")

    def as_numbers(self) -> dict[str, Any]:
        """Return all plans and hand-overs as plain values."""
        own = {n: {"value": number(self, n), "unit": f.kind.label} for n, f in fields_of(self).items() if f.kind}
        return own | {
            "tool_changes": self.tool_changes,
            "operations": [
                {"name": name} | made.as_numbers() for name, made in zip(self.names, self.plans, strict=True)
            ],
            "hand_overs": [{n: number(h, n) for n in fields_of(h)} for h in self.hand_overs],
            "cautions": [{"rank": c.rank, "name": c.name, "text": c.text} for c in self.cautions],
        }


def plan_route(route: Route) -> RoutePlan:
    """Return the plan of a route whose cutters and stocks are all stated.

    Parameters
    ----------
    route
        The route; what is open in it is found by `search_drawer`.

    Raises
    ------
    JobError
        Something of an operation is open or contradicts what the operation before leaves; each fault names it.
    ImpossibleJobError
        An operation cannot be cut; each fault says what would make it possible.

    Examples
    --------
    >>> from millcalc.planning import example_route, plan_route
    >>> print(f"{plan_route(example_route()).total_time:.1f~P}")
    25.6 min
    """
    if not isinstance(route, Route):
        fault = Fault("route", repr(route)[:60], "it is no route", "a Route; read_route reads one from a file")
        raise ArgumentError("nothing to plan", (fault,))
    _complete(route)
    names, cutters = step_names(route), [route.cutter_of(step) for step in route.steps]
    left, plans, overs = left_at_start(route), list[Any](), list[HandOver]()
    for place, (step, cutter) in enumerate(zip(route.steps, cutters, strict=True)):
        assert cutter is not None
        made = _planned(route, step, cutter, left, f"operations[{place}] ({names[place]})")
        plans.append(made)
        left = left_by(step, cutter, made, left)
        last = place + 1 == len(cutters)
        if not last:
            overs.append(hand_over(route, (names[place], names[place + 1]), left, cutters[place + 1]))
    changes = sum(one != other for one, other in itertools.pairwise(cutters))
    cutting = sum(number(p, "operation_time") for p in plans)
    change = changes * number(route, "tool_change_time")
    return RoutePlan._from_numbers(
        {
            "plans": tuple(plans),
            "names": names,
            "hand_overs": tuple(overs),
            "tool_changes": changes,
            "tool_change_time": change,
            "cutting_time": cutting,
            "total_time": cutting + change,
            "cautions": _cautions(route, overs, cutters[-1]),
            "route": route,
        }
    )


def step_names(route: Route) -> tuple[str, ...]:
    """Return the operations in words, numbered where the same word comes twice."""
    words = [step.name or step.kind for step in route.steps]
    return tuple(w if words.count(w) == 1 else f"{w} {words[: i + 1].count(w)}" for i, w in enumerate(words))


def _complete(route: Route) -> None:
    """Refuse a route that leaves something open."""
    faults = []
    for i, step in enumerate(route.steps):
        if step.cutter is None:
            faults.append(Fault(f"operations[{i}].cutter", "", "no cutter is stated; search_drawer finds one"))
        if step.kind in ("rough", "semi-finish") and number(step, "stock_left") is None:
            reason = "the stock it leaves is not stated; search_drawer finds it"
            faults.append(Fault(f"operations[{i}].stock_left", "", reason, example='"0.3 mm"'))
    if faults:
        raise JobError("the route is open", faults)


def _planned(route: Route, step: Operation, cutter: Cutter, left: Left | None, where: str) -> Plan | RoughingPlan:
    """Plan an operation; its faults are told with the operation's name."""
    try:
        return plan(job_of(route, step, cutter, left))
    except (JobError, ImpossibleJobError) as error:
        faults = [attrs.evolve(f, where=f"{where} {f.where}".rstrip()) for f in error.faults]
        raise type(error)("an operation cannot be planned", faults) from None
    except MillcalcError as error:
        raise JobError("an operation cannot be planned", (Fault(where, "", str(error)),)) from None


def left_by(step: Operation, cutter: Cutter, made: Plan | RoughingPlan, left: Left | None) -> Left:
    """Return what an operation leaves for the next."""
    if isinstance(made, RoughingPlan):
        words = ("", "slot_", "entry_", "corner_")
        deflection = max(number(made, f"{w}tip_deflection") or 0.0 for w in words)
        stairs = number(made, "stair_thickness")
        tolerance = number(made, "tolerance")
        if step.kind == "corners" and left is not None:
            # beside the corners all still stands as roughing has left it
            stairs = max(stairs or 0.0, left.stair_thickness or 0.0) or None
            deflection, tolerance = max(deflection, left.deflection), max(tolerance, left.chord_error)
        stock_left = number(made.job.cut, "stock_left")
        return Left(stock_left, cutter, stairs, deflection=deflection, chord_error=tolerance)
    semi = step.kind == "semi-finish"
    deflection = max(number(made, f"{w}tip_deflection") or 0.0 for w in ("", "first_pass_"))
    return Left(
        stock=number(step, "stock_left") if semi else 0.0,
        cutter=cutter,
        scallop_height=number(made, "scallop_height"),
        stepover=number(made, "stepover") if isinstance(cutter, BallEndMill) else None,
        deflection=deflection,
        chord_error=number(made, "chord_error"),
    )


def _cautions(route: Route, overs: list[HandOver], last: Cutter | None) -> tuple[Caution, ...]:
    found = []
    for over in overs:
        # numbers are put into the words when they are shown, in the units then in use
        step, following = (name.replace("{", "{{").replace("}", "}}") for name in (over.step, over.following))
        if over.verdict != "kept":
            rank = "caution" if over.verdict == "exceeded" else "note"
            words = f"{step} leaves {{0}}; stairs or scallops, deflection and tolerance need {{1}}: {over.verdict}"
            found.append(Caution("stock_not_covered", rank, words, _lengths(over, "stock", "needed")))
        if over.corner_verdict != "kept":
            words = f"{following} meets {{0}} in the inside corners, more than {{1}}: an operation for them before it"
            found.append(
                Caution("corners_too_deep", "caution", words, _lengths(over, "corner_depth", "corner_allowed"))
            )
    found += _misfit(route, last)
    return tuple(sorted(found, key=lambda c: RANKS.index(c.rank)))


def _lengths(over: HandOver, *names: str) -> tuple[tuple[float, Kind], ...]:
    return tuple((number(over, name), LENGTH) for name in names)


def _misfit(route: Route, last: Cutter | None) -> list[Caution]:
    """Say where the last cutter is larger than the finished fillet."""
    if last is None or fits_fillet(route, last):
        return []
    sizes = ((0.5 * number(last, "diameter"), LENGTH), (number(route.pocket, "fillet_radius"), LENGTH))
    words = "the last cutter, radius {0}, does not fit the fillet of {1}: stock stays in the corners"
    return [Caution("cutter_above_fillet", "caution", words, sizes)]
