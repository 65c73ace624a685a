"""A route, and what a search of the drawer found, as pages of plain text."""

from __future__ import annotations

from typing import Any

from millcalc.planning.cautions import SAFETY, Caution
from millcalc.planning.inputs import work_material
from millcalc.planning.roughing.plan import RoughingPlan
from millcalc.planning.routes.drawer import Choice, RouteFront
from millcalc.planning.routes.plan import RoutePlan
from millcalc.quantities.display import quantity_text, units
from millcalc.quantities.kinds import LENGTH, RATIO, ROUGHNESS, SCALLOP_HEIGHT, TIME, Kind
from millcalc.quantities.record import fields_of, number
from millcalc.report._blocks import aligned, clock_text, cutter_text, system_of

__all__ = ["front_page", "route_page"]

_SETTINGS = ("stock_left", "slope_step", "depth_share", "style", "scallop_height", "finish")
_WORDS = {"ra": "Ra", "scallop_height": "scallop"}
_KINDS: dict[str, Kind] = {
    "stock_left": LENGTH,
    "slope_step": LENGTH,
    "depth_share": RATIO,
    "scallop_height": SCALLOP_HEIGHT,
    "finish": ROUGHNESS,
}


def route_page(made: RoutePlan, system: str | None = None) -> str:
    """Return a route as a page of plain text.

    Parameters
    ----------
    made
        The plan of the route.
    system
        "metric" or "inch"; the system in use if left out.

    Raises
    ------
    ArgumentError
        The system is neither.

    Examples
    --------
    >>> from millcalc.planning import example_route, plan_route
    >>> print(route_page(plan_route(example_route())).splitlines()[0])
    ROUTE: Press-tool insert, pocket (invented)
    """
    with units(system_of(system, made.route)):
        blocks = [_head(made), _operations(made), _hand_overs(made), _cautions(made), "\n".join(SAFETY)]
    return "\n\n".join(b for b in blocks if b)


def front_page(found: RouteFront, system: str | None = None) -> str:
    """Return what a search found as a page of plain text: the front, then the fastest route for the finish wanted.

    Parameters
    ----------
    found
        The result of `search_drawer`.
    system
        "metric" or "inch"; the system in use if left out.

    Raises
    ------
    ArgumentError
        The system is neither.
    """
    with units(system_of(system, found.route)):
        rows = [(_WORDS[found.finish_name], "time", *found.best.names), *(_point(c) for c in found.front)]
        lines = [f"  {line}" for line in aligned(rows)]
        counted = f"{found.combinations} combinations, {found.possible} of them within all limits"
        taken = ["TAKEN FOR THE FINISH WANTED", *_taken(found)]
        blocks = ["\n".join([f"TIME AGAINST FINISH ({counted})", *lines]), "\n".join(taken)]
    return "\n\n".join([*blocks, route_page(found.best, system)])


def _point(choice: Choice) -> tuple[str, ...]:
    finish = "-" if choice.finish != choice.finish else quantity_text(choice.finish, ROUGHNESS, digits=3)
    return (finish, quantity_text(choice.time, TIME, digits=4), *choice.words())


def _taken(found: RouteFront) -> list[str]:
    rows, words = [], {"finish": _WORDS[found.finish_name]}
    for name, option in zip(found.best.names, found.choice.options, strict=True):
        said = [
            f"{words.get(n, n.replace('_', ' '))} {_value(n, option.values[n])}"
            for n in _SETTINGS
            if option.values.get(n) is not None
        ]
        rows.append((name, option.name, ", ".join(said)))
    wide = [max(len(row[i]) for row in rows) for i in (0, 1)]
    return [f"  {a:<{wide[0]}}  {b:<{wide[1]}}  {c}".rstrip() for a, b, c in rows]


def _value(name: str, value: Any) -> str:
    return quantity_text(value, _KINDS[name], digits=3) if name in _KINDS else str(value)


def _head(made: RoutePlan) -> str:
    route, work = made.route, work_material(made.plans[0].job)
    rows = [
        ("material", f"{work.designation}, {work.group}"),
        ("time", f"{_shown(made, 'total_time')} {clock_text(number(made, 'total_time'))}".rstrip() + ", a lower bound"),
        (
            "of it",
            f"{_shown(made, 'cutting_time')} for the operations, {_shown(made, 'tool_change_time')} for "
            f"{made.tool_changes} tool change{'' if made.tool_changes == 1 else 's'}",
        ),
    ]
    head = f"ROUTE: {route.part}" if route.part else "ROUTE"
    return "\n".join([head, *(f"  {word:<10}{text}" for word, text in rows)])


def _operations(made: RoutePlan) -> str:
    rows: list[tuple[str, ...]] = [("", "cutter", "spindle", "feed rate", "depth", "width", "time")]
    for name, plan in zip(made.names, made.plans, strict=True):
        depth, width = (
            ("axial_depth", "radial_width") if isinstance(plan, RoughingPlan) else ("greatest_depth", "stepover")
        )
        shown = [_shown(plan, n, 4) for n in ("spindle_speed", "feed_rate", depth, width, "operation_time")]
        rows.append((name, cutter_text(plan.job.cutter).split(", overhang")[0], *shown))
    return "\n".join(["OPERATIONS (each has a plan and a sheet of its own)", *(f"  {r}" for r in aligned(rows))])


def _hand_overs(made: RoutePlan) -> str:
    if not made.hand_overs:
        return ""
    names = ("stock", "unevenness", "deflection", "chord_error", "needed")
    rows: list[tuple[str, ...]] = [
        ("", "stock left", "uneven", "deflection", "tolerance", "needed", "verdict", "corners", "allowed", "verdict")
    ]
    for over in made.hand_overs:
        corner = [_shown(over, n) for n in ("corner_depth", "corner_allowed")]
        first = [f"{over.step} to {over.following}", *(_shown(over, n) for n in names), over.verdict]
        rows.append((*first, *corner, over.corner_verdict))
    return "\n".join(["HAND-OVERS", *(f"  {r}" for r in aligned(rows))])


def _cautions(made: RoutePlan) -> str:
    """Write the cautions of the hand-overs, then those of each operation, without notes."""
    rows = [str(c) for c in made.cautions]
    seen: set[str] = set()
    for name, plan in zip(made.names, made.plans, strict=True):
        for caution in plan.cautions:
            if _worth(caution) and caution.text not in seen:
                seen.add(caution.text)
                rows.append(f"{caution.rank.upper()}, {name}: {caution.text}")
    return (
        "\n".join(["CAUTIONS (notes stand in the plans of the operations)", *(f"  {r}" for r in rows)]) if rows else ""
    )


def _worth(caution: Caution) -> bool:
    return caution.rank != "note"


def _shown(part: Any, name: str, digits: int = 3) -> str:
    kind = fields_of(part)[name].kind
    assert kind is not None
    value = number(part, name)
    return "-" if value is None else quantity_text(value, kind, digits=digits)
