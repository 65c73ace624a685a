"""What to prove and what is in doubt, as text: the test patch, and how far assumed values move the result."""

from __future__ import annotations

from typing import TYPE_CHECKING

from millcalc.quantities.display import quantity_text, units
from millcalc.quantities.record import fields_of
from millcalc.report._blocks import aligned, shown_text, system_of

if TYPE_CHECKING:
    from millcalc.planning.effects import Sensitivity
    from millcalc.planning.patch import Patch

__all__ = ["patch_page", "sensitivity_page"]

_HEADS = {"operation_time": "time", "scallop_height": "scallop", "ra": "Ra", "rz_along": "Rz along"}


def patch_page(patch: Patch, system: str | None = None) -> str:
    """Return a test patch as a page of plain text: what to set in each field, and what it should measure.

    Parameters
    ----------
    patch
        What `test_patch` made.
    system
        "metric" or "inch"; the system in use if left out.

    Raises
    ------
    ArgumentError
        The system is neither.

    Examples
    --------
    >>> from millcalc.planning import example_job, test_patch
    >>> print(patch_page(test_patch(example_job())).splitlines()[0])
    TEST PATCH: a strip of 13.7 mm by 30 mm, three fields side by side
    """
    with units(system_of(system, patch.plan.job)):
        size = " by ".join(shown_text(patch, n, 3) for n in ("width", "length"))
        columns = [["", "fine", "planned", "coarse"]]
        for name, field in fields_of(type(patch.fields[0])).items():
            columns.append([field.stated.meaning, *(shown_text(each, name, 3) for each in patch.fields)])
        wide = max(len(row[0]) for row in columns)
        rows = aligned([[f"{row[0]:<{wide}}", *row[1:]] for row in columns])
    return "\n".join(
        [
            f"TEST PATCH: a strip of {size}, three fields side by side",
            *(f"  {row}" for row in rows),
            "Ideal geometry; measured values will be higher. Cut it in the same material, with the same cutter, holder "
            "and lean;",
            "measure Ra across and along and the distance of the marks in each field, and read them with the surface "
            "reading.",
        ]
    )


def sensitivity_page(found: Sensitivity, system: str | None = None) -> str:
    """Return the effects of assumed values as a table: by how many percent each moves a result over its range.

    Parameters
    ----------
    found
        What `sensitivity` made.
    system
        "metric" or "inch"; the system in use if left out.

    Raises
    ------
    ArgumentError
        The system is neither.

    Examples
    --------
    >>> from millcalc.planning import example_job, sensitivity
    >>> print(sensitivity_page(sensitivity(example_job())).splitlines()[0])
    ASSUMED VALUES, and by how many percent each moves a result over its range
    """
    heads = [_HEADS.get(name, name.replace("_", " ")) for name in found.results]
    with units(system_of(system, found.job)):
        rows = [["", "value", "from", "to", *heads]]
        for effect in found.effects:
            shown = [quantity_text(v, effect.kind, digits=3) for v in (effect.value, effect.low, effect.high)]
            moved = [f"{100.0 * effect.swing(name):.0f}" for name in found.results]
            rows.append([effect.name.replace("_", " "), *shown, *moved])
    wide = max(len(row[0]) for row in rows)
    table = aligned([[f"{row[0]:<{wide}}", *row[1:]] for row in rows])
    head = "ASSUMED VALUES, and by how many percent each moves a result over its range"
    return "\n".join([head, *(f"  {row}" for row in table)])
