"""Route files: TOML with the tables of a route, its operations and its drawer."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from importlib import resources
from typing import Any

import attrs

from millcalc.cutters import Cutter
from millcalc.cutters.reading import cutter_from_table
from millcalc.errors import Fault, JobError, nearest
from millcalc.planning.reading import file_text, shop_material, tables_of
from millcalc.planning.routes.parts import Operation, Route
from millcalc.quantities.convert import RefusedError
from millcalc.quantities.record import Field, Record, fields_of

__all__ = ["example_route", "example_route_text", "is_route", "read_route", "route_from_text"]

_EXAMPLE = "route.toml"


def read_route(path: str | os.PathLike[str]) -> Route:
    """Read a route file.

    Parameters
    ----------
    path
        A TOML file; `example_route_text` shows one.

    Raises
    ------
    FileError
        The file is missing, unreadable, or no TOML.
    JobError
        Unknown or missing tables and keys, values that cannot be used: all are listed, with file, table and key.

    Examples
    --------
    >>> import tempfile, pathlib
    >>> path = pathlib.Path(tempfile.mkdtemp(), "route.toml")
    >>> _ = path.write_text(example_route_text())
    >>> [step.kind for step in read_route(path).steps]
    ['rough', 'corners', 'semi-finish', 'finish']
    """
    name = os.fspath(path)
    return route_from_text(file_text(name, "route"), name)


def route_from_text(text: str, name: str = "route") -> Route:
    """Read a route from the text of a route file; `name` stands for the file in messages."""
    tables = tables_of(text, name, "route")
    if "cutter" in tables and not is_route(tables):
        reason = "it is a job of one operation; read_job reads it"
        raise JobError("the route cannot be read", (Fault(f"{name}: cutter", "", reason),))
    tables, laid, unknown = shop_material(tables, name)
    fields = fields_of(Route)
    parts: dict[str, Any] = {}
    faults = [Fault(f"{name}: {k}", "", f"unknown{nearest(k, fields)}") for k in tables if k not in fields]
    for key, field in fields.items():
        if key not in tables:
            if field.required:
                faults.append(Fault(f"{name}: {key}", "", "it is missing"))
            continue
        made, wrong = _read(key, field, tables[key], name)
        parts[key] = made
        faults += wrong
    faults += unknown
    if faults:
        raise JobError("the route cannot be read", faults)
    try:
        return Route(**parts | laid)
    except JobError as error:
        raise JobError("the route cannot be read", [_within(_counted(f), f"{name}: ") for f in error.faults]) from None


def is_route(tables: Mapping[str, Any]) -> bool:
    """Whether tables of a file are those of a route."""
    return "operations" in tables


def _read(key: str, field: Field, given: Any, name: str) -> tuple[Any, list[Fault]]:
    if key == "operations":
        return _operations(given, name)
    if key == "drawer":
        return _drawer(given, name)
    if key == "material" and not isinstance(given, str):
        return None, [Fault(f"{name}: {key}", repr(given)[:60], "it must be a text")]
    if not field.is_record:
        return given, _refusals(field, given, name)
    if not isinstance(given, dict):
        return None, [Fault(f"{name}: {key}", repr(given), f"it must be a table, [{key}]")]
    return _made(field.annotation, given, f"{name}: [{key}] ")


def _refusals(field: Field, given: Any, name: str) -> list[Fault]:
    try:
        field.read(given)
    except RefusedError as refused:
        return [_within(refused.fault, f"{name}: ")]
    return []


def _operations(given: Any, name: str) -> tuple[Any, list[Fault]]:
    if not isinstance(given, list) or not all(isinstance(table, dict) for table in given):
        return None, [Fault(f"{name}: operations", repr(given)[:60], "it must be a list of tables, [[operations]]")]
    made, faults = [], []
    for place, table in enumerate(given):
        where = f"{name}: [[operations]] {place + 1} "
        cutter = table.get("cutter")
        if isinstance(cutter, dict):
            cutter, wrong = _cutter(cutter, f"{where}cutter.")
            table = table | {"cutter": cutter}
            faults += wrong
        step, wrong = _made(Operation, table, where)
        made.append(step)
        faults += wrong
    return made, faults


def _drawer(given: Any, name: str) -> tuple[Any, list[Fault]]:
    if not isinstance(given, dict):
        return None, [Fault(f"{name}: drawer", repr(given)[:60], "it must be a table of cutters, [drawer.name]")]
    made, faults = {}, []
    for word, table in given.items():
        made[word], wrong = _cutter(table, f"{name}: [drawer.{word}] ")
        faults += wrong
    return made, faults


def _cutter(table: Any, where: str) -> tuple[Cutter | None, list[Fault]]:
    try:
        return cutter_from_table(table, "cutter"), []
    except JobError as error:
        places = [f.where.removeprefix("cutter").removeprefix(".") for f in error.faults]
        return None, [attrs.evolve(f, where=f"{where}{p}".rstrip()) for f, p in zip(error.faults, places, strict=True)]


def _made(cls: type[Record], table: Mapping[str, Any], where: str) -> tuple[Any, list[Fault]]:
    try:
        return cls(**table), []
    except JobError as error:
        return None, [_within(f, where) for f in error.faults]


def _counted(fault: Fault) -> Fault:
    """Name the operation of a fault as the other faults of a file do, counted from 1."""
    return attrs.evolve(fault, where=re.sub(r"^operations\[(\d+)\]\.", _counted_place, fault.where))


def _counted_place(found: re.Match[str]) -> str:
    return f"[[operations]] {int(found[1]) + 1} "


def _within(fault: Fault, where: str) -> Fault:
    return attrs.evolve(fault, where=f"{where}{fault.where}")


def example_route_text() -> str:
    """Return the text of the shipped route file, a scenario of our own.

    Examples
    --------
    >>> example_route_text().splitlines()[0]
    '# A route: a pocket of a press-tool insert. The part, its cutters and all values are invented for this example.'
    """
    return resources.files("millcalc.planning").joinpath("examples", _EXAMPLE).read_text(encoding="utf-8")


def example_route() -> Route:
    """Return the route of the shipped route file.

    Examples
    --------
    >>> sorted(example_route().cutters)
    ['B10', 'B6', 'B8', 'E12', 'E6', 'R16']
    """
    return route_from_text(example_route_text(), _EXAMPLE)
