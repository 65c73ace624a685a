"""Reading material records from TOML: the library's own files and a shop's own in the same form.

A file holds one table a material, its key the name of the table; a row of values is an inline table::

    [c45]
    designation = "C45"
    name = "Unalloyed medium-carbon steel"
    iso513 = "P"
    density = [{ value = 7.85, unit = "g/cm^3", source = "CALL", how_known = "read", scope = "neighbour",
      conditions = "printed for 1040" }]

`value` is a number or a range `[low, high]`.  Nothing is guessed: a row without unit, source, how_known, scope and
conditions is refused (only density and conductivity do without conditions: at room temperature), and every fault of
a file is reported at once.  A source is a key of the bibliography; a shop that reads its own records names OWN_RECORD
and says more in `conditions`, or the file brings sources of its own, each a table ``[sources.KEY]`` with a title and
how it is known.  ``api = 1`` at the top of a file says for which version of the form it was written.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from millcalc.discovery import check_api
from millcalc.errors import DataError, Fault, FileError, nearest
from millcalc.materials.form import (
    KEYS,
    PLAIN,
    REQUIRED,
    ROWS,
    SINGLE,
    Check,
    Fields,
    RefusedRowError,
    RowForm,
    normal_form,
    slug,
)
from millcalc.materials.record import BUILT_IN, Material
from millcalc.sources import add_sources

__all__ = ["read_fields", "read_materials", "read_texts"]


class _Reading:
    """One reading of one or more files: what is wrong so far, and the materials found."""

    def __init__(self, origin: str) -> None:
        self.origin = origin
        self.faults: list[Fault] = []
        self.found: dict[str, Material] = {}
        self.claims: dict[str, str] = {}

    def refuse(self, where: str, given: object, reason: str, accepted: str = "") -> None:
        shown = repr(given) if given is not None else ""
        self.faults.append(Fault(where, shown[:80], reason, accepted))

    def file(self, name: str, tables: Mapping[str, object]) -> None:
        self.sources(name, tables.get("sources", {}))
        for key, table in tables.items():
            if key == "sources":
                continue
            place = f"{name} [{key}]"
            if key == "api" and not isinstance(table, dict):
                check_api(table, f"api of {name}")
                continue
            if not isinstance(table, dict):
                self.refuse(place, table, "is no table of a material")
                continue
            before = len(self.faults)
            self.checked(place, key, slug)
            if key in self.found:
                self.refuse(place, key, "is a key that another file has taken")
            made = self.material(place, key, table)
            if made is not None:
                self.claim(place, made)  # a name claimed twice is told with all else that is wrong
                if len(self.faults) == before:
                    self.found[key] = made

    def sources(self, name: str, tables: object) -> None:
        if not isinstance(tables, dict):
            self.refuse(f"{name} [sources]", tables, "is no table of sources")
            return
        try:
            add_sources(tables, f"{name} [sources]")
        except DataError as error:
            self.faults.extend(error.faults)

    def material(self, place: str, key: str, table: Fields) -> Material | None:
        self.keys(place, table, KEYS, REQUIRED)
        fields = self.fields(place, table)
        if not all(name in fields for name in REQUIRED):
            return None
        return Material(key=key, origin=self.origin, **fields)

    def fields(self, place: str, table: Mapping[str, object]) -> Fields:
        fields: Fields = {}
        for name, raw in table.items():
            if name in PLAIN:
                fields[name] = self.checked(f"{place} {name}", raw, PLAIN[name])
            elif name in SINGLE:
                fields[name] = self.row(f"{place} {name}", raw, SINGLE[name])
            elif name in ROWS:
                fields[name] = self.rows(f"{place} {name}", raw, ROWS[name])
        return fields

    def rows(self, where: str, raw: object, kind: RowForm) -> tuple[object, ...]:
        if not isinstance(raw, list):
            self.refuse(where, raw, "is no list of rows", "[{ ... }, { ... }]")
            return ()
        made = [self.row(f"{where}[{index}]", each, kind) for index, each in enumerate(raw)]
        return tuple(row for row in made if row is not None)

    def row(self, where: str, raw: object, kind: RowForm) -> object:
        if not isinstance(raw, dict):
            self.refuse(where, raw, "is no row", "{ key = value, ... }")
            return None
        before = len(self.faults)
        self.keys(where, raw, kind.checks, [c for c in kind.checks if c not in kind.optional])
        row = {k: self.checked(f"{where}.{k}", v, kind.checks[k]) for k, v in raw.items() if k in kind.checks}
        if len(self.faults) == before:
            for cross in kind.cross:
                for name, given, reason in cross(row):
                    self.faults.append(Fault(f"{where}.{name}", given, reason))
        return kind.make(row) if len(self.faults) == before else None

    def keys(self, where: str, raw: Mapping[str, object], known: Iterable[str], due: Iterable[str]) -> None:
        known = tuple(known)
        for name in raw:
            if name not in known:
                self.refuse(where, name, f"is a key not known here{nearest(name, known)}")
        for name in due:
            if name not in raw:
                self.refuse(f"{where}.{name}", None, "is missing")

    def checked(self, where: str, raw: object, check: Check) -> object:
        try:
            return check(raw)
        except RefusedRowError as refused:
            self.refuse(where, raw, refused.reason, refused.accepted)
            return None

    def claim(self, place: str, made: Material) -> None:
        for name in made.names():
            if not isinstance(name, str):
                continue  # a designation that was refused
            owner = self.claims.setdefault(normal_form(name), made.key)
            if owner != made.key:
                self.refuse(place, name, f"is a name that [{owner}] claims too")


def read_texts(texts: Sequence[tuple[str, str]], origin: str = BUILT_IN) -> dict[str, Material]:
    """Read materials from pairs of a file name, for the messages, and the TOML text of the file.

    `origin` is what the records say of where they come from.

    Raises
    ------
    DataError
        If anything in any text is wrong; every fault names file, table, key and index (from 0).
    FileError
        If a text is no TOML.
    PluginError
        If a text states another version of the form.

    Examples
    --------
    >>> read_texts([("shop.toml", "[x]\\nname = 'X'")])
    Traceback (most recent call last):
    millcalc.errors.DataError: the materials do not load:
      - shop.toml [x].designation: is missing
      - shop.toml [x].iso513: is missing
      - shop.toml [x].least_chip_ratio: is missing
      - shop.toml [x].tip_caution: is missing
    """
    reading = _Reading(origin)
    for name, text in texts:
        try:
            tables = tomllib.loads(text)
        except (ValueError, RecursionError) as error:
            raise FileError(f"{name} is no TOML: {error}") from error
        reading.file(name, tables)
    if reading.faults:
        raise DataError("the materials do not load", reading.faults)
    return reading.found


def read_fields(where: str, table: Mapping[str, object]) -> Fields:
    """Return some fields of a material as its record keeps them, read from values as a file holds them.

    Raises
    ------
    DataError
        If anything is wrong; every fault names `where`, the field and the index (from 0).
    """
    reading = _Reading(where)
    reading.keys(where, table, KEYS, ())
    fields = reading.fields(where, table)
    if reading.faults:
        raise DataError("the values cannot be used", reading.faults)
    return fields


def read_materials(path: str | os.PathLike[str], *, origin: str | None = None) -> dict[str, Material]:
    """Read a shop's own materials from a TOML file in the form of the library's own files.

    Parameters
    ----------
    path
        The file.
    origin
        What the records say of where they come from; the path, unless stated.

    Raises
    ------
    FileError
        If the file cannot be read, is no TOML text or holds no material.
    DataError
        If anything in it is wrong; every fault is listed.

    Examples
    --------
    >>> read_materials("no such file.toml")
    Traceback (most recent call last):
    millcalc.errors.FileError: cannot read no such file.toml: No such file or directory
    """
    try:
        text = Path(path).read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileError(f"{path} is no text in UTF-8: {error.reason}") from error
    except (OSError, TypeError, ValueError) as error:
        raise FileError(f"cannot read {path}: {getattr(error, 'strerror', None) or error}") from error
    found = read_texts([(Path(path).name, text)], os.fspath(path) if origin is None else origin)
    if not found:
        raise FileError(f"{path} holds no material")
    return found
