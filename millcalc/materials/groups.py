"""What the grades of one group of ISO 513 have in common: ranges, wide ones, for a record that lacks a value.

Nothing takes them by itself.  The rows say that they are the group's, in `scope` and in `fallback`.
"""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Iterator
from typing import Any, TypeVar

import attrs

from millcalc.errors import UnknownNameError
from millcalc.materials._words import known
from millcalc.materials.catalogue import records_of
from millcalc.materials.layers import Source
from millcalc.materials.record import Material
from millcalc.materials.rows import ISO513_GROUPS, SUBSTRATES, Kienzle, SpeedWindow, Value

__all__ = ["GROUP_SOURCE", "GroupForce", "group_force", "group_force_constants", "group_speed_window"]

GROUP_SOURCE = "GROUP_RANGE"
"""The source of what is drawn from the records of a group."""

_OPERATIONS = ("finishing", "milling", "end milling", "face milling")
_LEAST = 2  # grades that make a range
_Found = TypeVar("_Found")


@attrs.frozen(kw_only=True)
class GroupForce:
    """The specific cutting force kc [N/mm^2] of a group's grades at one chip thickness, and the constants' ranges.

    `row` holds the constants of the middle grade; `chip_thickness` [mm] is where the grades were put in order.
    """

    row: Kienzle
    kc11: Value
    mc: Value
    force: Value
    chip_thickness: float
    grades: tuple[str, ...]

    @property
    def spread(self) -> float:
        """The highest force over the lowest."""
        return self.force.high / self.force.low


def group_force(iso513: str, *, chip_thickness: float = 0.1, catalogue: Source | None = None) -> GroupForce:
    """Return the range of the specific cutting force of a group's grades.

    Parameters
    ----------
    iso513
        The group: "P", "M", "K", "N", "S", "H" or "none".
    chip_thickness
        Chip thickness [mm] at which the grades are compared, 0.001 to 5.
    catalogue
        Materials laid over the others for this call.

    Raises
    ------
    UnknownNameError
        There is no such group, or fewer than two of its grades have a kc1.1 and mc.

    Notes
    -----
    Each grade counts once, by the row it uses; the middle grade is the one with the median force at that chip, the
    higher of two. Source: GROUP_RANGE.

    Examples
    --------
    >>> found = group_force("P")
    >>> found.row.scope, found.spread > 1.2, "C45" in found.grades
    ('group', True, True)
    """
    group = known(iso513, ISO513_GROUPS, "group of ISO 513")
    grades = _enough(group, "kc1.1 and mc", ((m, m.kienzle[0]) for m in _members(group, catalogue) if _own(m)))
    forces = [row.kc11 * chip_thickness**-row.mc for _, row in grades]
    middle = grades[forces.index(statistics.median_high(forces))][1]
    kc11, mc = [row.kc11 for _, row in grades], [row.mc for _, row in grades]
    said = f"{len(grades)} grades of group {group}"
    fallback = (
        f"no kc1.1 of its own; the middle of {said}, whose kc at h {chip_thickness:g} mm is {min(forces):.0f} to "
        f"{max(forces):.0f} N/mm^2"
    )
    span: dict[str, Any] = {
        "chip_low": min(r.chip_low for _, r in grades),
        "chip_high": max(r.chip_high for _, r in grades),
    }
    made = Kienzle(kc11=middle.kc11, mc=middle.mc, **span, fallback=fallback, **_stated(said))
    return GroupForce(
        row=made,
        kc11=Value(low=min(kc11), high=max(kc11), unit="N/mm^2", **_stated(said)),
        mc=Value(low=min(mc), high=max(mc), unit="1", **_stated(said)),
        force=Value(low=min(forces), high=max(forces), unit="N/mm^2", **_stated(f"{said}, h {chip_thickness:g} mm")),
        chip_thickness=chip_thickness,
        grades=tuple(m.designation for m, _ in grades),
    )


def group_force_constants(iso513: str, *, catalogue: Source | None = None) -> Kienzle:
    """Return constants of the specific cutting force for a group, to be given to a record that has none.

    Its `fallback` says that it is the group's, and how far the group's grades lie apart; a plan prints it.

    Raises
    ------
    UnknownNameError
        There is no such group, or fewer than two of its grades have a kc1.1 and mc.

    Examples
    --------
    >>> from millcalc.materials import material
    >>> steel = material("C45").with_(kienzle=())
    >>> steel.force_constants()
    Traceback (most recent call last):
    millcalc.errors.UnknownNameError: no kc1.1 and mc for C45; it has a specific energy ...
    >>> steel.with_(kienzle=group_force_constants(steel.iso513)).force_constants().scope
    'group'
    """
    return group_force(iso513, catalogue=catalogue).row


def group_speed_window(
    iso513: str, substrate: str, operation: str = "finishing", *, catalogue: Source | None = None
) -> SpeedWindow:
    """Return the cutting speeds [m/min] that the grades of a group use, from the slowest to the fastest.

    Parameters
    ----------
    iso513
        The group: "P", "M", "K", "N", "S", "H" or "none".
    substrate
        Tool material, for example "HSS", "carbide", "coated carbide".
    operation
        "finishing", "milling", "end milling" or "face milling".
    catalogue
        Materials laid over the others for this call.

    Raises
    ------
    UnknownNameError
        The words are unknown, or fewer than two grades of the group have such speeds.

    Examples
    --------
    >>> row = group_speed_window("P", "HSS")
    >>> row.scope, row.low < 15 < row.high
    ('group', True)
    """
    group = known(iso513, ISO513_GROUPS, "group of ISO 513")
    substrate = known(substrate, SUBSTRATES, "tool material")
    operation = known(operation, _OPERATIONS, "operation")
    found = list(_windows(_members(group, catalogue), substrate, operation))
    rows = [row for _, row in _enough(group, f"cutting speed for {substrate}", found)]
    low, high, said = min(r.low for r in rows), max(r.high for r in rows), f"{len(rows)} grades of group {group}"
    return SpeedWindow(
        low=low,
        high=high,
        unit="m/min",
        substrate=substrate,
        operation=operation,
        stage="general",
        fallback=f"no speed of its own; from the slowest to the fastest of {said}",
        **_stated(said),
    )


def _windows(members: Iterable[Material], substrate: str, operation: str) -> Iterator[tuple[Material, SpeedWindow]]:
    for record in members:
        try:
            row = record.speed_window(substrate, operation)
        except UnknownNameError:
            continue
        if row.substrate == substrate and row.source != GROUP_SOURCE:
            yield record, row


def _own(record: Material) -> bool:
    """Whether a record has constants of its own, not those of the group."""
    return bool(record.kienzle) and record.kienzle[0].source != GROUP_SOURCE


def _members(group: str, catalogue: Source | None) -> list[Material]:
    return [record for record in records_of(catalogue=catalogue).values() if record.iso513 == group]


def _enough(group: str, what: str, found: Iterable[tuple[Material, _Found]]) -> list[tuple[Material, _Found]]:
    made = list(found)
    if len(made) < _LEAST:
        names = ", ".join(m.designation for m, _ in made) or "none"
        raise UnknownNameError(f"group {group} has no range of {what}: grades that have it: {names}")
    return made


def _stated(conditions: str) -> dict[str, Any]:
    return {"source": GROUP_SOURCE, "how_known": "derived", "scope": "group", "conditions": conditions}
