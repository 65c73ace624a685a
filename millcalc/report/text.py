"""The plan and the comparison as plain text pages, metric or inch."""

from collections.abc import Iterable
from typing import Any

import numpy as np

from millcalc.planning.cautions import SAFETY
from millcalc.planning.comparing import MULTIPLES, Comparison
from millcalc.planning.finishing import Condition, Plan
from millcalc.planning.inputs import uncut_side, work_material
from millcalc.planning.job import SIDE_OF_CUT, FinishingJob, slope_range, wanted_finish
from millcalc.planning.proven import Proven
from millcalc.planning.roughing.plan import RoughingPlan
from millcalc.quantities.display import quantity_text, units
from millcalc.quantities.kinds import ANGLE
from millcalc.quantities.record import fields_of, number
from millcalc.report._blocks import (
    aligned,
    basis_block,
    block,
    cause_text,
    cautions_block,
    cutter_text,
    margins_block,
    number_row,
    shown_text,
    system_of,
)
from millcalc.report._edges import edges_block
from millcalc.report._proven import proven_block
from millcalc.report._roughing import roughing_page

__all__ = [
    "comparison_page",
    "cut_in_words",
    "finish_in_words",
    "lean_in_words",
    "plan_page",
    "spacing_in_words",
    "stock_in_words",
]

_SET = (
    "spindle_speed",
    "feed_rate",
    "first_pass_feed_rate",
    "stepover_setting",
    "point_spacing",
)
_EXPECT = (
    "scallop_height",
    "ra",
    "rz",
    "rz_along",
    "feed_mark_height",
    "revolution_mark_height",
    "passes",
    "stepover",
    "equalised_stepover",
    "feed_per_tooth",
    "wanted_chip",
    "chip_thickness",
    "mean_chip_thickness",
    "least_chip",
    "first_pass_chip_thickness",
    "contact_feed_rate",
    "removal_rate",
)
_SPEEDS = ("least", "contact", "largest")
_LOADS = (
    "cutting_power",
    "mean_torque",
    "peak_torque",
    "peak_bending",
    "mean_force",
    "tip_deflection",
    "deflection_allowed",
    "form_error",
    "bending_stress",
    "tip_stiffness",
    "natural_frequency",
    "first_pass_cutting_power",
    "first_pass_peak_bending",
    "first_pass_tip_deflection",
    "first_pass_bending_stress",
)
_PROGRAM = ("points", "block_rate", "program_size", "path_length", "chord_error", "chord_allowed", "form_budget")
_TIMES = ("cutting_time", "entry_exit_time", "acceleration_time", "link_time", "rapid_time", "operation_time")
_GOVERNED = {"stepover_setting": "stepover", "stepover": ""}
_MEASURES = {"plan view": "stepover in plan view as set", "step down": "step down as set"}
_CONDITION_HEADS = {
    "scallop_height": "scallop",
    "least_diameter": "least diameter",
    "contact_diameter": "at the contact",
    "largest_diameter": "largest",
}
_HEADS = {"ra": "Ra", "rz": "Rz", "operation_time": "time"}
_COLUMNS = ("scallop_height", "ra", "passes", "spindle_speed", "feed_rate", "points", "operation_time")


def plan_page(made: Plan | RoughingPlan, system: str | None = None, proven: Iterable[Proven] = ()) -> str:
    """Return a plan as a page of plain text.

    Parameters
    ----------
    made
        The plan.
    system
        "metric" or "inch"; the system in use if left out.
    proven
        The shop's record of proven cuts; the latest like this one stands beside the plan.

    Raises
    ------
    ArgumentError
        The system is neither, or what is proven is no record of proven cuts.

    Examples
    --------
    >>> from millcalc.planning import example_job, plan
    >>> print(plan_page(plan(example_job())).splitlines()[0])
    FINISHING PLAN: Press-tool insert, rib (invented), Finish the crown
    """
    if isinstance(made, RoughingPlan):
        return roughing_page(made, system, proven)
    with units(system_of(system, made.job)):
        blocks = [
            _head(made.job),
            block("SET", [_row(made, n, _cause(made, n)) for n in _SET]),
            block(
                "EXPECT (ideal geometry; measured values will be higher)",
                [_row(made, n, _cause(made, n)) for n in _EXPECT],
            ),
            block("CUTTING DIAMETERS AND SPEEDS", [_speed(made, n) for n in _SPEEDS]),
            _conditions(made),
            _loads(made),
            block("PROGRAM", [_row(made, n) for n in _PROGRAM]),
            block("TIME (lower bound)", [_row(made, n) for n in _TIMES]),
            edges_block(made),
            proven_block(made, proven),
            margins_block(made),
            cautions_block(made),
            basis_block(made),
            "\n".join(SAFETY),
        ]
    return "\n\n".join(b for b in blocks if b)


def _head(job: FinishingJob) -> str:
    title = ", ".join(t for t in (job.part, job.operation) if t)
    work = work_material(job)
    rows = [
        ("material", f"{work.designation}, {work.group}"),
        ("cutter", cutter_text(job.cutter)),
        ("surface", _surface(job)),
        ("axis", lean_in_words(job)),
        ("passes", f"{job.passes.pattern}, {cut_in_words(job)}, spaced {spacing_in_words(job)}"),
        ("stock", stock_in_words(job)),
        ("wanted", f"{finish_in_words(job)}, form tolerance {shown_text(job.finish, 'form_tolerance')}"),
    ]
    head = f"FINISHING PLAN: {title}" if title else "FINISHING PLAN"
    return "\n".join([head, *(f"  {word:<10}{text}" for word, text in rows)])


def lean_in_words(job: FinishingJob) -> str:
    """Say how the axis stands, in words.

    Examples
    --------
    >>> from millcalc.planning import example_job
    >>> lean_in_words(example_job())
    'follows the surface normal, leans 15 deg ahead, contact ahead of the tip'
    """
    axis = job.axis
    if axis.direction is not None:
        parts = ", ".join(f"{part:.10g}" for part in axis.components())
        stand = "vertical" if axis.direction == "vertical" else f"fixed in [{parts}]"
        ends = " to ".join(dict.fromkeys(quantity_text(slope, ANGLE) for slope in slope_range(job)))
        order = f", {axis.order}" if axis.travel == "across the slope" else ""
        return f"{stand}, slope {ends}, travel {axis.travel}{order}"
    lead, tilt = number(axis, "lead") or 0.0, number(axis, "tilt") or 0.0
    words = ["follows the surface normal"]
    if lead:
        way, contact = ("ahead", "ahead of") if lead > 0 else ("back", "behind")
        words.append(f"leans {abs(lead):g} deg {way}, contact {contact} the tip")
    if tilt:
        words.append(f"leans {abs(tilt):g} deg to the {'left' if tilt > 0 else 'right'} of the feed")
    return ", ".join(words) if len(words) > 1 else "along the surface normal, no lean: the contact is the tip"


def _surface(job: FinishingJob) -> str:
    surface = job.surface
    size = f"{shown_text(surface, 'width')} across by {shown_text(surface, 'length')} along the feed"
    bends = []
    for name, word in (("radius_across", "across"), ("radius_along", "along")):
        radius = number(surface, name)
        way = "flat" if radius in (float("inf"), float("-inf")) else "convex" if radius > 0 else "concave"
        bends.append(f"{way} {word}" + ("" if way == "flat" else f" {shown_text(surface, name)}"))
    return f"{size}, {', '.join(bends)}"


def stock_in_words(job: FinishingJob) -> str:
    before = job.before
    ball = number(before, "previous_diameter")
    left = f", left by a ball of {shown_text(before, 'previous_diameter')}" if ball is not None else ""
    if number(before, "stair_thickness") is not None:
        left = f", stairs of {shown_text(before, 'stair_thickness')} on it"
    return f"{shown_text(before, 'stock')} along the normal{left}"


def cut_in_words(job: FinishingJob) -> str:
    side = uncut_side(job)
    if job.passes.pattern == "back and forth":
        return f"uncut stock first on the {side}"
    (cut,) = (cut for cut, uncut in SIDE_OF_CUT.items() if uncut == side)
    return f"{cut}, uncut stock on the {side}"


def spacing_in_words(job: FinishingJob) -> str:
    words = {"along the surface": "along the surface", "plan view": "in plan view", "step down": "as a step down"}
    return words[job.passes.spacing]


def finish_in_words(job: FinishingJob) -> str:
    name = wanted_finish(job)
    word = {"scallop_height": "scallop height", "ra": "Ra", "rz": "Rz", "grade": "grade"}[name]
    return f"{word} {shown_text(job.finish, name)}"


def _row(made: Plan, name: str, remark: str = "") -> tuple[str, str, str]:
    digits = 5 if name in (*_SET, "stepover", "equalised_stepover") else 3
    meaning, text, remark = number_row(made, name, digits, remark)
    measure = _MEASURES.get(made.job.passes.spacing, "stepover as set")
    return meaning.replace("stepover as set", measure), text, remark


def _cause(made: Plan, name: str) -> str:
    return cause_text(made, _GOVERNED.get(name, name))


def _speed(made: Plan, place: str) -> tuple[str, str, str]:
    diameter, speed = (_row(made, f"{place}_{what}")[1] for what in ("diameter", "cutting_speed"))
    word = {"least": "least", "contact": "at the contact", "largest": "largest"}[place]
    return word, diameter, speed


def _loads(made: Plan) -> str:
    """Write the loads, where they are computed."""
    known = [name for name in _LOADS if number(made, name) is not None]
    return block("LOADS (as good as the force constants)", [_row(made, n) for n in known]) if known else ""


def _conditions(made: Plan) -> str:
    """Write what differs between the slopes looked at and between the ways."""
    if not made.conditions:
        return ""
    names = [n for n, f in fields_of(Condition).items() if f.kind and "cutting_speed" not in n]
    names = [n for n in names if any(number(c, n) is not None for c in made.conditions)]
    head = ["", *(_CONDITION_HEADS.get(n, n) for n in names)]
    rows = [[c.name, *(shown_text(c, n) for n in names)] for c in made.conditions]
    return "\n".join(["IN EACH CONDITION (the worse governs)", *(f"  {line}" for line in aligned([head, *rows]))])


def comparison_page(table: Comparison, system: str | None = None) -> str:
    """Return a comparison as a table of plain text; each row also as a multiple of the base row.

    Parameters
    ----------
    table
        The comparison.
    system
        "metric" or "inch"; the system in use if left out.

    Raises
    ------
    ArgumentError
        The system is neither.

    Examples
    --------
    >>> from millcalc.planning import compare, example_job
    >>> page = comparison_page(compare(example_job(), stepover=["0.1 mm", "0.2 mm"]))
    >>> print(page.splitlines()[0].split()[:3])
    ['row', 'stepover', 'scallop']
    """
    with units(system_of(system, table.job)):
        multiples = table.multiples()
        words = [_HEADS.get(n, n.replace("_", " ")) for n in (*table.settings, *_COLUMNS)]
        head = ["row", *words, "x scallop", "x time", "x points", "x program", "worst"]
        rows = [head, *(_comparison_row(table, multiples, row) for row in range(len(table)))]
        lines = aligned(rows)
        notes = [f"row {r}: impossible: {f}" for r in range(len(table)) for f in table.reasons(r)]
        notes += [f"row {r}: {c}" for r in range(len(table)) for c in _row_cautions(table, r)]
        notes += ["row 0 is the operation before"] if table.before else []
    base = "" if table.possible()[table.base] else ", which is impossible"
    return "\n".join([*lines, f"multiples of row {table.base}{base}", *notes])


def _comparison_row(table: Comparison, multiples: dict[str, Any], row: int) -> list[str]:
    cells = []
    for name in _COLUMNS:
        kind = fields_of(Plan)[name].kind
        value = float(table.values[name][row])
        assert kind is not None
        cells.append("-" if np.isnan(value) else quantity_text(value, kind, digits=4))
    shares = [float(multiples[n][row]) for n in MULTIPLES]
    return [
        str(row),
        *table.label(row),
        *cells,
        *("-" if np.isnan(s) else f"{s:.3g}" for s in shares),
        _worst(table, row),
    ]


def _worst(table: Comparison, row: int) -> str:
    """Return the rank of the worst caution of a row."""
    if table.reasons(row):
        return "impossible"
    return next((c.rank for c in table.cautions_of(row)), "-")


def _row_cautions(table: Comparison, row: int) -> list[str]:
    """Return the cautions of a row in words, without notes and without those of the material."""
    return [str(c) for c in table.cautions_of(row) if c.rank != "note"]
