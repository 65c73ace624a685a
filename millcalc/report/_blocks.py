"""What the pages of all plans are made of: blocks of aligned rows, margins, cautions, what was assumed."""

from collections.abc import Sequence
from typing import Any

from millcalc.cutters import BallEndMill, Cutter
from millcalc.materials import Kienzle, SpeedWindow
from millcalc.planning.inputs import work_material
from millcalc.planning.reported import Reported
from millcalc.quantities.display import quantity_text, system_in_use
from millcalc.quantities.kinds import CUTTING_SPEED, FEED_PER_TOOTH
from millcalc.quantities.record import fields_of, number

__all__ = [
    "aligned",
    "basis_block",
    "block",
    "cause_text",
    "cautions_block",
    "clock_text",
    "cutter_text",
    "margins_block",
    "number_row",
    "shown_text",
    "system_of",
]


def system_of(asked: str | None, job: Any) -> str:
    """Return the system of units asked for, else that of the job if it is set in inches, else the one in use."""
    return asked or ("inch" if job.settings == "inch" else system_in_use())


def shown_text(part: Any, name: str, digits: int | None = None) -> str:
    """Write a number of a record with its unit, whole ones in full."""
    kind = fields_of(part)[name].kind
    assert kind is not None
    if digits is None:
        return quantity_text(number(part, name), kind)
    return quantity_text(number(part, name), kind, digits=12 if kind.whole else digits)


def clock_text(minutes: float) -> str:
    hours, rest = divmod(round(minutes), 60)
    return f"{hours}:{rest:02d} h" if minutes >= 1.0 else ""


def number_row(made: Reported, name: str, digits: int = 3, remark: str = "") -> tuple[str, str, str]:
    """Return a number of a plan as a row: what it is, its value, a remark."""
    remark = clock_text(number(made, name)) if name == "operation_time" else remark
    return fields_of(made)[name].stated.meaning, shown_text(made, name, digits), remark


def cause_text(made: Reported, name: str) -> str:
    cause = made.governed_by(name)
    return f"governed by: {cause}" if cause else ""


def margins_block(made: Reported) -> str:
    """Write how far each limit is away."""
    rows = [(m.name, *m.texts, f"{100.0 * m.margin:.0f} %", m.verdict) for m in made.margins]
    table = aligned([("", "used", "limit", "left", "verdict"), *rows])
    return "\n".join(["MARGINS (not decided: less is left than the numbers may be off)", *(f"  {r}" for r in table)])


def aligned(rows: Sequence[Sequence[str]]) -> list[str]:
    """Align cells to the right."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return ["  ".join(f"{cell:>{wide}}" for cell, wide in zip(row, widths, strict=True)).rstrip() for row in rows]


def block(head: str, rows: Sequence[tuple[str, str, str]]) -> str:
    wide = max(len(r[0]) for r in rows)
    far = max(len(r[1]) for r in rows)
    return "\n".join([head, *(f"  {w:<{wide}}  {t:>{far}}  {r}".rstrip() for w, t, r in rows)])


def cautions_block(made: Reported) -> str:
    rows = [f"  {c}" for c in made.cautions]
    return "\n".join(["CAUTIONS", *rows]) if rows else ""


def basis_block(made: Reported) -> str:
    rows = [f"  {a}" for a in made.assumed]
    from_rows = []
    for row in made.basis:
        if isinstance(row, Kienzle):
            from_rows.append(f"  cutting force {row}; {row.fallback}")
            continue
        kind = CUTTING_SPEED if isinstance(row, SpeedWindow) else FEED_PER_TOOTH
        span = " to ".join(dict.fromkeys(quantity_text(v, kind, digits=3) for v in (row.low, row.high)))
        stretched = f"; {row.fallback}" if row.fallback else ""
        from_rows.append(f"  {kind.name} {span} ({row.source}, {row.how_known}, {row.scope}){stretched}")
    origin = work_material(made.job).origin
    head = "FROM THE MATERIAL'S RECORD" + ("" if origin == "built in" else f" ({origin})")
    return "\n".join(["ASSUMED, not stated in the job", *rows, head, *from_rows])


def cutter_text(cutter: Cutter) -> str:
    """Describe a cutter by its family and the sizes that make its form."""
    form = [n for n in fields_of(cutter) if n not in fields_of(Cutter) and number(cutter, n) is not None]
    family = "ball-nose" if isinstance(cutter, BallEndMill) else cutter.family
    sizes = [f"{n.replace('_', ' ')} {shown_text(cutter, n)}" for n in form if n != "diameter"]
    if number(cutter, "overhang") is not None:
        sizes.append(f"overhang {shown_text(cutter, 'overhang')}")
    teeth = f"{cutter.teeth} teeth" if cutter.teeth != 1 else "1 tooth"
    return ", ".join([f"{family} {shown_text(cutter, 'diameter')}", teeth, cutter.substrate, *sizes])
