"""What the shop has proven beside what the textbook says, for a plan of the same material with a like cutter."""

from __future__ import annotations

from collections.abc import Iterable

from millcalc.planning.proven import Proven, proven_for
from millcalc.planning.reported import Reported
from millcalc.quantities.display import quantity_text
from millcalc.quantities.record import fields_of, number
from millcalc.report._blocks import block, shown_text

__all__ = ["proven_block", "proven_rows"]

_SET = {
    "spindle_speed": "spindle_speed",
    "feed_rate": "feed_rate",
    "stepover": "stepover_setting",
    "point_spacing": "point_spacing",
}
"""Names of what was set: in the record, and in a plan."""
_EXPECT = (("ra_factor", "ra"), ("time_factor", "operation_time"))


def proven_rows(made: Reported, entries: Iterable[Proven]) -> tuple[str, tuple[tuple[str, str, str], ...]]:
    """Return a head and rows: what, the textbook's value, the proven one; no rows if nothing like it was proven."""
    found = proven_for(entries, made.job)
    if not found:
        return "", ()
    latest, known = found[0], fields_of(type(made))
    rows = [
        (known[planned].stated.meaning, shown_text(made, planned, 5), f"proven {shown_text(latest, proven, 5)}")
        for proven, planned in _SET.items()
        if number(latest, proven) is not None and planned in known
    ]
    for factor, name in _EXPECT:
        share = number(latest, factor)
        if share is not None and name in known and number(made, name) is not None:
            kind = known[name].kind
            assert kind is not None
            value = quantity_text(share * number(made, name), kind, digits=3)
            rows.append((f"{known[name].stated.meaning}, to measure", value, f"{share:.3g} times the computed one"))
    who = f", {latest.initials}" if latest.initials else ""
    more = f"; and {len(found) - 1} earlier" if len(found) > 1 else ""
    return f"TEXTBOOK AND PROVEN ({latest.date}, job {latest.checksum}{who}{more})", tuple(rows)


def proven_block(made: Reported, entries: Iterable[Proven]) -> str:
    head, rows = proven_rows(made, entries)
    return block(head, rows) if rows else ""
