"""A record with some fields changed, each with its own source; and the one record of a shop's file."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from typing import Any

import attrs

from millcalc.errors import DataError, Fault, UnknownNameError, nearest
from millcalc.materials.form import KEYS, ROWS, SINGLE, Fields, RefusedRowError, RowForm, slug
from millcalc.materials.layers import Catalogue
from millcalc.materials.reading import read_fields, read_materials
from millcalc.materials.record import Material

__all__ = ["OWN_SOURCE", "changed", "only_material"]

OWN_SOURCE = "OWN_RECORD"
"""The source of what a shop states itself."""

_OWN = {"source": OWN_SOURCE, "how_known": "read", "scope": "grade", "conditions": "as the shop states it"}
_UNITS = {
    "density": "g/cm^3",
    "conductivity": "W/(m K)",
    "kienzle": "N/mm^2",
    "specific_energy": "W s/mm^3",
    "cutting_speeds": "m/min",
    "taylor": "m/min",
    "least_chip_ratio": "1",
}
_CHANGED = ", changed: "
_NUMBER = r"(\d+(?:\.\d*)?)"
_IN_WORDS = re.compile(rf"\s*{_NUMBER}(?:\s*(?:to|-)\s*{_NUMBER})?\s*(\D.*\S|\D)\s*")


def only_material(path: str | os.PathLike[str], name: str | None) -> Material:
    """Return the material of a file, chosen by a name where the file holds several."""
    if name is not None:
        return Catalogue.of(path).material(name)
    found = read_materials(path)
    if len(found) > 1:
        how = "choose one with name=..., or read them all with read_materials"
        raise UnknownNameError(f"{os.fspath(path)} holds {len(found)} materials, {', '.join(found)}: {how}")
    return next(iter(found.values()))


def changed(old: Material, changes: Mapping[str, Any]) -> Material:
    """Return a material with some fields changed; see `Material.with_`."""
    faults = [
        Fault(f"{old.designation} {name}", "", f"there is no such field{nearest(name, ('key', *KEYS))}")
        for name in changes
        if name not in (*KEYS, "key")
    ]
    made: Fields = {}
    for name, given in changes.items():
        if name in (*KEYS, "key"):
            try:
                made[name] = _field(old.designation, name, given)
            except DataError as error:
                faults += error.faults
    if faults:
        raise DataError(f"{old.designation} cannot be changed", faults)
    return attrs.evolve(old, origin=_origin(old.origin, changes), **made)


def _origin(before: str, changes: Mapping[str, Any]) -> str:
    start, _, already = before.partition(_CHANGED)
    names = dict.fromkeys([*(already.split(", ") if already else []), *changes])
    return f"{start}{_CHANGED}{', '.join(names)}" if names else before


def _field(where: str, name: str, given: Any) -> Any:
    if name == "key":
        try:
            return slug(given)
        except RefusedRowError as refused:
            raise DataError("no key", (Fault(f"{where} key", repr(given), refused.reason, refused.accepted),)) from None
    if name in SINGLE:
        return _row(where, name, given, SINGLE[name])
    if name in ROWS:
        rows = given if isinstance(given, (list, tuple)) else (given,)
        made: list[Any] = []
        for place, row in enumerate(rows):
            made.append(_row(f"{where} {name}[{place}]", name, row, ROWS[name]))
        return tuple(made)
    if name == "notes":
        given = [given] if isinstance(given, str) else list(given) if isinstance(given, tuple) else given
    return read_fields(where, {name: given})[name]


def _row(where: str, name: str, given: Any, kind: RowForm) -> Any:
    """Return one row, read as from a file; what names no source is the shop's own."""
    if isinstance(given, kind.build):
        _read_at(where, name, kind.table(given))  # it must hold what a file may hold
        return given
    found = _IN_WORDS.fullmatch(given) if isinstance(given, str) else None
    if found and "value" in kind.checks:
        low, high, unit = found.groups()
        given = {"value": [float(low), float(high)] if high else float(low), "unit": unit}
    if isinstance(given, Mapping):
        given = {key: list(value) if isinstance(value, tuple) else value for key, value in given.items()}
        if "source" not in given:
            given = {key: value for key, value in _OWN.items() if key in kind.checks} | given
        if name in _UNITS:
            given = {"unit": _UNITS[name]} | given
    read = _read_at(where, name, given)
    return read[0] if isinstance(read, tuple) else read


def _read_at(where: str, name: str, given: Any) -> Any:
    """Read one row; faults say where in the words of the caller."""
    try:
        return read_fields("", {name: [given] if name in ROWS else given})[name]
    except DataError as error:
        head = f" {name}[0]" if name in ROWS else f" {name}"
        start = where if name in ROWS else f"{where} {name}"
        faults = [attrs.evolve(f, where=start + f.where.removeprefix(head)) for f in error.faults]
        raise DataError(error.headline, faults) from None
