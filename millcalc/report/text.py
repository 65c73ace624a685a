"""The plan and the comparison as plain text pages, metric or inch."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from millcalc.cutters import BallEndMill, Cutter
from millcalc.materials import SpeedWindow
from millcalc.planning.cautions import SAFETY
from millcalc.planning.comparing import MULTIPLES, Comparison
from millcalc.planning.finishing import Condition, Plan
from millcalc.planning.inputs import uncut_side, work_material
from millcalc.planning.job import SIDE_OF_CUT, FinishingJob, slope_range, wanted_finish
from millcalc.quantities.display import quantity_text, system_in_use, units
from millcalc.quantities.kinds import ANGLE, CUTTING_SPEED, FEED_PER_TOOTH
from millcalc.quantities.record import fields_of, number

__all__ = ["comparison_page", "lean_in_words", "plan_page"]

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


def plan_page(made: Plan, system: str | None = None) -> str:
    """Return a plan as a page of plain text.

    Parameters
    ----------
    made
        The plan.
    system
        "metric" or "inch"; the system in use if left out.

    Raises
    ------
    ArgumentError
        The system is neither.

    Examples
    --------
    >>> from millcalc.planning import example_job, plan
    >>> print(plan_page(plan(example_job())).splitlines()[0])
    FINISHING PLAN: Press-tool insert, rib (invented), Finish the crown
    """
    with units(_system(system, made.job)):
        blocks = [
            _head(made.job),
            _block("SET", [_row(made, n, _cause(made, n)) for n in _SET]),
            _block(
                "EXPECT (ideal geometry; measured values will be higher)",
                [_row(made, n, _cause(made, n)) for n in _EXPECT],
            ),
            _block("CUTTING DIAMETERS AND SPEEDS", [_speed(made, n) for n in _SPEEDS]),
            _conditions(made),
            _loads(made),
            _block("PROGRAM", [_row(made, n) for n in _PROGRAM]),
            _block("TIME (lower bound)", [_row(made, n) for n in _TIMES]),
            _margins(made),
            _cautions(made),
            _basis(made),
            "\n".join(SAFETY),
        ]
    return "\n\n".join(b for b in blocks if b)


def _system(asked: str | None, job: FinishingJob) -> str:
    """Return the system of units asked for, else that of the job if it is set in inches, else the one in use."""
    return asked or ("inch" if job.settings == "inch" else system_in_use())


def _head(job: FinishingJob) -> str:
    title = ", ".join(t for t in (job.part, job.operation) if t)
    work = work_material(job)
    rows = [
        ("material", f"{work.designation}, ISO 513 {work.iso513}"),
        ("cutter", _cutter(job.cutter)),
        ("surface", _surface(job)),
        ("axis", lean_in_words(job)),
        ("passes", f"{job.passes.pattern}, {_cut(job)}, spaced {_spacing(job)}"),
        ("stock", _stock(job)),
        ("wanted", f"{_finish(job)}, form tolerance {_shown(job.finish, 'form_tolerance')}"),
    ]
    head = f"FINISHING PLAN: {title}" if title else "FINISHING PLAN"
    return "\n".join([head, *(f"  {word:<10}{text}" for word, text in rows)])


def _cutter(cutter: Cutter) -> str:
    """Describe a cutter by its family and the sizes that make its form."""
    form = [n for n in fields_of(cutter) if n not in fields_of(Cutter) and number(cutter, n) is not None]
    family = "ball-nose" if isinstance(cutter, BallEndMill) else cutter.family
    sizes = [f"{n.replace('_', ' ')} {_shown(cutter, n)}" for n in form if n != "diameter"]
    if number(cutter, "overhang") is not None:
        sizes.append(f"overhang {_shown(cutter, 'overhang')}")
    teeth = f"{cutter.teeth} teeth" if cutter.teeth != 1 else "1 tooth"
    return ", ".join([f"{family} {_shown(cutter, 'diameter')}", teeth, cutter.substrate, *sizes])


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
    size = f"{_shown(surface, 'width')} across by {_shown(surface, 'length')} along the feed"
    bends = []
    for name, word in (("radius_across", "across"), ("radius_along", "along")):
        radius = number(surface, name)
        way = "flat" if radius in (float("inf"), float("-inf")) else "convex" if radius > 0 else "concave"
        bends.append(f"{way} {word}" + ("" if way == "flat" else f" {_shown(surface, name)}"))
    return f"{size}, {', '.join(bends)}"


def _stock(job: FinishingJob) -> str:
    before = job.before
    ball = number(before, "previous_diameter")
    left = f", left by a ball of {_shown(before, 'previous_diameter')}" if ball is not None else ""
    if number(before, "stair_thickness") is not None:
        left = f", stairs of {_shown(before, 'stair_thickness')} on it"
    return f"{_shown(before, 'stock')} along the normal{left}"


def _cut(job: FinishingJob) -> str:
    side = uncut_side(job)
    if job.passes.pattern == "back and forth":
        return f"uncut stock first on the {side}"
    (cut,) = (cut for cut, uncut in SIDE_OF_CUT.items() if uncut == side)
    return f"{cut}, uncut stock on the {side}"


def _spacing(job: FinishingJob) -> str:
    words = {"along the surface": "along the surface", "plan view": "in plan view", "step down": "as a step down"}
    return words[job.passes.spacing]


def _finish(job: FinishingJob) -> str:
    name = wanted_finish(job)
    word = {"scallop_height": "scallop height", "ra": "Ra", "rz": "Rz", "grade": "grade"}[name]
    return f"{word} {_shown(job.finish, name)}"


def _shown(part: Any, name: str) -> str:
    kind = fields_of(part)[name].kind
    assert kind is not None
    return quantity_text(number(part, name), kind)


def _row(made: Plan, name: str, remark: str = "") -> tuple[str, str, str]:
    field = fields_of(Plan)[name]
    assert field.kind is not None
    digits = 12 if field.kind.whole else 5 if name in (*_SET, "stepover", "equalised_stepover") else 3
    text = quantity_text(number(made, name), field.kind, digits=digits)
    if name == "operation_time":
        remark = _clock(number(made, name))
    measure = _MEASURES.get(made.job.passes.spacing, "stepover as set")
    return field.stated.meaning.replace("stepover as set", measure), text, remark


def _cause(made: Plan, name: str) -> str:
    cause = made.governed_by(_GOVERNED.get(name, name))
    return f"governed by: {cause}" if cause else ""


def _clock(minutes: float) -> str:
    hours, rest = divmod(round(minutes), 60)
    return f"{hours}:{rest:02d} h" if minutes >= 1.0 else ""


def _speed(made: Plan, place: str) -> tuple[str, str, str]:
    diameter, speed = (_row(made, f"{place}_{what}")[1] for what in ("diameter", "cutting_speed"))
    word = {"least": "least", "contact": "at the contact", "largest": "largest"}[place]
    return word, diameter, speed


def _loads(made: Plan) -> str:
    """Write the loads, where they are computed."""
    known = [name for name in _LOADS if number(made, name) is not None]
    return _block("LOADS (as good as the force constants)", [_row(made, n) for n in known]) if known else ""


def _margins(made: Plan) -> str:
    """Write how far each limit is away."""
    rows = [(m.name, *m.texts, f"{100.0 * m.margin:.0f} %", m.verdict) for m in made.margins]
    table = _lines([("", "used", "limit", "left", "verdict"), *rows])
    return "\n".join(["MARGINS (not decided: less is left than the numbers may be off)", *(f"  {r}" for r in table)])


def _conditions(made: Plan) -> str:
    """Write what differs between the slopes looked at and between the ways."""
    if not made.conditions:
        return ""
    names = [n for n, f in fields_of(Condition).items() if f.kind and "cutting_speed" not in n]
    names = [n for n in names if any(number(c, n) is not None for c in made.conditions)]
    head = ["", *(_CONDITION_HEADS.get(n, n) for n in names)]
    rows = [[c.name, *(_shown(c, n) for n in names)] for c in made.conditions]
    return "\n".join(["IN EACH CONDITION (the worse governs)", *(f"  {line}" for line in _lines([head, *rows]))])


def _lines(rows: Sequence[Sequence[str]]) -> list[str]:
    """Align cells to the right."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return ["  ".join(f"{cell:>{wide}}" for cell, wide in zip(row, widths, strict=True)) for row in rows]


def _block(head: str, rows: Sequence[tuple[str, str, str]]) -> str:
    wide = max(len(r[0]) for r in rows)
    far = max(len(r[1]) for r in rows)
    return "\n".join([head, *(f"  {w:<{wide}}  {t:>{far}}  {r}".rstrip() for w, t, r in rows)])


def _cautions(made: Plan) -> str:
    rows = [f"  {c}" for c in made.cautions]
    return "\n".join(["CAUTIONS", *rows]) if rows else ""


def _basis(made: Plan) -> str:
    rows = [f"  {a}" for a in made.assumed]
    from_rows = []
    for row in made.basis:
        kind = CUTTING_SPEED if isinstance(row, SpeedWindow) else FEED_PER_TOOTH
        span = " to ".join(dict.fromkeys(quantity_text(v, kind, digits=3) for v in (row.low, row.high)))
        stretched = f"; {row.fallback}" if row.fallback else ""
        from_rows.append(f"  {kind.name} {span} ({row.source}, {row.how_known}, {row.scope}){stretched}")
    return "\n".join(["ASSUMED, not stated in the job", *rows, "FROM THE MATERIAL'S RECORD", *from_rows])


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
    with units(_system(system, table.job)):
        multiples = table.multiples()
        words = [_HEADS.get(n, n.replace("_", " ")) for n in (*table.settings, *_COLUMNS)]
        head = ["row", *words, "x scallop", "x time", "x points", "x program", "worst"]
        rows = [head, *(_comparison_row(table, multiples, row) for row in range(len(table)))]
        lines = _lines(rows)
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
