"""Reading material records from TOML: the library's own files and a shop's own in the same form.

A file holds one table a material, its key the name of the table; a row of values is an inline table::

    [c45]
    designation = "C45"
    name = "Unalloyed medium-carbon steel"
    iso513 = "P"
    density = [{ value = 7.85, unit = "g/cm^3", source = "CALL", how_known = "read", scope = "neighbour" }]

`value` is a number or a range `[low, high]`.  Nothing is guessed: a row without unit, source, how_known and
scope is refused, and every fault of a file is reported at once.  A source is a key of the bibliography; a
shop that reads its own records names OWN_RECORD and says more in `conditions`.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

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
from millcalc.materials.record import Material

__all__ = ["read_materials", "read_texts"]


class _Reading:
    """One reading of one or more files: what is wrong so far, and the materials found."""

    def __init__(self) -> None:
        self.faults: list[Fault] = []
        self.found: dict[str, Material] = {}
        self.claims: dict[str, str] = {}

    def refuse(self, where: str, given: object, reason: str, accepted: str = "") -> None:
        shown = repr(given) if given is not None else ""
        self.faults.append(Fault(where, shown[:80], reason, accepted))

    def file(self, name: str, tables: Mapping[str, object]) -> None:
        for key, table in tables.items():
            place = f"{name} [{key}]"
            if not isinstance(table, dict):
                self.refuse(place, table, "is no table of a material")
                continue
            before = len(self.faults)
            self.checked(place, key, slug)
            if key in self.found:
                self.refuse(place, key, "is a key that another file has taken")
            made = self.material(place, key, table)
            if made is not None and len(self.faults) == before:
                self.claim(place, made)
                self.found[key] = made

    def material(self, place: str, key: str, table: Fields) -> Material | None:
        self.keys(place, table, KEYS, REQUIRED)
        fields: Fields = {"key": key}
        for name, raw in table.items():
            if name in PLAIN:
                fields[name] = self.checked(f"{place} {name}", raw, PLAIN[name])
            elif name in SINGLE:
                fields[name] = self.row(f"{place} {name}", raw, SINGLE[name])
            elif name in ROWS:
                fields[name] = self.rows(f"{place} {name}", raw, ROWS[name])
        return Material(**fields) if all(name in fields for name in REQUIRED) else None

    def rows(self, where: str, raw: object, kind: RowForm) -> tuple[object, ...]:
        if not isinstance(raw, list):
            self.refuse(where, raw, "is no list of rows", "[{ ... }, { ... }]")
            return ()
        return tuple(self.row(f"{where}[{index}]", each, kind) for index, each in enumerate(raw))

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
            owner = self.claims.setdefault(normal_form(name), made.key)
            if owner != made.key:
                self.refuse(place, name, f"is a name that [{owner}] claims too")


def read_texts(texts: Sequence[tuple[str, str]]) -> dict[str, Material]:
    """Read materials from pairs of a file name, for the messages, and the TOML text of the file.

    Raises
    ------
    DataError
        If anything in any text is wrong; every fault names file, table, key and index (from 0).
    FileError
        If a text is no TOML.

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
    reading = _Reading()
    for name, text in texts:
        try:
            tables = tomllib.loads(text)
        except (ValueError, RecursionError) as error:
            raise FileError(f"{name} is no TOML: {error}") from error
        reading.file(name, tables)
    if reading.faults:
        raise DataError("the materials do not load", reading.faults)
    return reading.found


def read_materials(path: str | os.PathLike[str]) -> dict[str, Material]:
    """Read a shop's own materials from a TOML file in the form of the library's own files.

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
    found = read_texts([(Path(path).name, text)])
    if not found:
        raise FileError(f"{path} holds no material")
    return found
