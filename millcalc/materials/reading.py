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

import math
import os
import re
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import attrs

from millcalc.errors import DataError, Fault, FileError, nearest
from millcalc.materials import record
from millcalc.sources import HOW_KNOWN, bibliography

__all__ = ["normal_form", "read_materials", "read_texts"]


class _RefusedError(ValueError):
    """A value cannot be used: the reason, and what is accepted instead."""

    def __init__(self, reason: str, accepted: str = "") -> None:
        super().__init__(reason)
        self.reason, self.accepted = reason, accepted


_Check = Callable[[object], object]
_Fields = dict[str, Any]
_Cross = Callable[[_Fields], Iterator[tuple[str, str, str]]]


def _text(raw: object) -> str:
    if not isinstance(raw, str) or not raw.strip():
        raise _RefusedError("is no text", "a text that is not empty")
    return raw.strip()


def _texts(raw: object) -> tuple[str, ...]:
    if not isinstance(raw, list) or not raw:
        raise _RefusedError("is no list of texts", '["one", "two"]')
    return tuple(_text(r) for r in raw)


def _slug(raw: object) -> str:
    if not isinstance(raw, str) or not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", raw):
        raise _RefusedError("is no key", "small letters and digits, joined by hyphens")
    return raw


def _one_of(*words: str) -> _Check:
    def check(raw: object) -> str:
        if raw not in words or not isinstance(raw, str):
            raise _RefusedError("is none of the words used here", ", ".join(words))
        return raw

    return check


def _source(raw: object) -> str:
    key = _text(raw)
    if key not in bibliography():
        raise _RefusedError(f"is no key of the bibliography{nearest(key, bibliography())}")
    return key


def _number(low: float, high: float) -> _Check:
    def check(raw: object) -> float:
        if isinstance(raw, bool) or not isinstance(raw, (int, float)) or not math.isfinite(raw):
            raise _RefusedError("is no finite number", "a number without quotes")
        if not low <= raw <= high:
            raise _RefusedError("lies outside the plausible range", f"{low:g} to {high:g}")
        return float(raw)

    return check


def _span(low: float, high: float) -> _Check:
    one = _number(low, high)

    def check(raw: object) -> tuple[object, object]:
        if not isinstance(raw, list):
            return one(raw), one(raw)
        if len(raw) != 2:
            raise _RefusedError("is no range", "a number or [low, high]")
        found = one(raw[0]), one(raw[1])
        if raw[0] > raw[1]:
            raise _RefusedError("has its low end above its high end", "a number or [low, high]")
        return found

    return check


@attrs.frozen
class _Kind:
    """What a table may hold: its checks, which keys it must have, and checks of several keys together."""

    build: Callable[..., object]
    checks: Mapping[str, _Check]
    optional: frozenset[str] = frozenset()
    cross: tuple[_Cross, ...] = ()


def _not_from_memory(row: _Fields) -> Iterator[tuple[str, str, str]]:
    known = bibliography()[row["source"]].how_known
    if row["how_known"] == "read" and known in ("from memory", "common practice"):
        yield "how_known", "read", f"but its source {row['source']} is known only by: {known}"


def _within(bounds: Mapping[str, tuple[float, float]]) -> _Cross:
    def cross(row: _Fields) -> Iterator[tuple[str, str, str]]:
        (low, high), (least, most) = row["value"], bounds[row["unit"]]
        if not least <= low <= high <= most:
            given = f"{low:g} to {high:g} {row['unit']}"
            yield "value", given, f"lies outside the plausible range {least:g} to {most:g}"

    return cross


_KNOWN: dict[str, _Check] = {"source": _source, "how_known": _one_of(*HOW_KNOWN)}
_STATED: dict[str, _Check] = {**_KNOWN, "scope": _one_of(*record.SCOPES), "conditions": _text}
_RECOMMENDED: dict[str, _Check] = {
    "substrate": _one_of(*record.SUBSTRATES),
    "operation": _one_of(*record.OPERATIONS),
    "stage": _one_of(*record.STAGES),
    "why": _text,
}
_FREE = frozenset({"conditions", "stage", "why"})
_DIAMETER = _number(0.01, 500)


def _value_kind(bounds: Mapping[str, tuple[float, float]]) -> _Kind:
    checks: dict[str, _Check] = {"value": _span(0, math.inf), "unit": _one_of(*bounds), **_STATED}
    return _Kind(record.Value, checks, _FREE, (_not_from_memory, _within(bounds)))


_SPEED = _Kind(
    record.SpeedWindow,
    {
        "value": _span(1, 5000),
        "unit": _one_of("m/min"),
        "hardness": _span(1, 3000),
        "hardness_unit": _one_of("HB", "HRC", "HV", "HRB"),
        **_RECOMMENDED,
        **_STATED,
    },
    _FREE | {"hardness", "hardness_unit"},
    (
        _not_from_memory,
        lambda row: iter(
            [("hardness", str(row.get("hardness")), "and hardness_unit belong together")]
            if ("hardness" in row) != ("hardness_unit" in row)
            else []
        ),
    ),
)
_FEED = _Kind(
    record.FeedChart,
    {
        "value": _span(1e-5, 5),
        "unit": _one_of("mm", "1"),
        "diameter": _span(0.01, 500),
        "radial_share": _number(0.001, 1),
        "axial_share": _number(0.0001, 20),
        **_RECOMMENDED,
        **_STATED,
    },
    _FREE | {"axial_share"},
    (_not_from_memory, _within({"mm": (1e-4, 5), "1": (1e-5, 0.2)})),
)
_KIENZLE = _Kind(
    record.Kienzle,
    {
        "kc11": _number(100, 10000),
        "mc": _number(0.01, 0.8),
        "unit": _one_of("N/mm^2"),
        "chip": _span(1e-4, 10),
        "why": _text,
        **_STATED,
    },
    _FREE,
    (_not_from_memory,),
)
_TAYLOR = _Kind(
    record.Taylor,
    {
        "n": _number(0.01, 1),
        "c": _number(1, 20000),
        "unit": _one_of("m/min"),
        "substrate": _RECOMMENDED["substrate"],
        "operation": _RECOMMENDED["operation"],
        **_STATED,
    },
    _FREE | {"c"},
    (_not_from_memory,),
)
_CAUTION = _Kind(
    record.Caution,
    {"severity": _one_of(*record.SEVERITIES), "text": _text, **_KNOWN},
    cross=(_not_from_memory,),
)
_ALIAS = _Kind(
    record.Alias,
    {"system": _one_of(*record.ALIAS_SYSTEMS), "names": _texts, **_KNOWN},
    cross=(_not_from_memory,),
)
_ROWS = {
    "aliases": _ALIAS,
    "hardness": _value_kind({"HB": (1, 900), "HRC": (1, 75), "HV": (1, 3000), "HRB": (1, 110)}),
    "density": _value_kind({"g/cm^3": (0.02, 25)}),
    "conductivity": _value_kind({"W/(m K)": (0.01, 2500)}),
    "kienzle": _KIENZLE,
    "specific_energy": _value_kind({"W s/mm^3": (0.01, 20)}),
    "cutting_speeds": _SPEED,
    "feed_charts": _FEED,
    "taylor": _TAYLOR,
    "cautions": _CAUTION,
}
_SINGLE = {"least_chip_ratio": _value_kind({"1": (0.05, 5)}), "tip_caution": _CAUTION}
_PLAIN: dict[str, _Check] = {
    "designation": _text,
    "name": _text,
    "iso513": _one_of(*record.ISO513_GROUPS),
    "notes": _texts,
}
_KEYS = (*_PLAIN, *_SINGLE, *_ROWS)
_REQUIRED = ("designation", "name", "iso513", *_SINGLE)
_SPLIT = {
    "value": ("low", "high"),
    "hardness": ("hardness_low", "hardness_high"),
    "diameter": ("diameter_low", "diameter_high"),
    "chip": ("chip_low", "chip_high"),
}


class _Reading:
    """One reading of one or more files: what is wrong so far, and the materials found."""

    def __init__(self) -> None:
        self.faults: list[Fault] = []
        self.found: dict[str, record.Material] = {}
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
            self.checked(place, key, _slug)
            if key in self.found:
                self.refuse(place, key, "is a key that another file has taken")
            made = self.material(place, key, table)
            if made is not None and len(self.faults) == before:
                self.claim(place, made)
                self.found[key] = made

    def material(self, place: str, key: str, table: _Fields) -> record.Material | None:
        self.keys(place, table, _KEYS, _REQUIRED)
        fields: _Fields = {"key": key}
        for name, raw in table.items():
            if name in _PLAIN:
                fields[name] = self.checked(f"{place} {name}", raw, _PLAIN[name])
            elif name in _SINGLE:
                fields[name] = self.row(f"{place} {name}", raw, _SINGLE[name])
            elif name in _ROWS:
                fields[name] = self.rows(f"{place} {name}", raw, _ROWS[name])
        return record.Material(**fields) if all(name in fields for name in _REQUIRED) else None

    def rows(self, where: str, raw: object, kind: _Kind) -> tuple[object, ...]:
        if not isinstance(raw, list):
            self.refuse(where, raw, "is no list of rows", "[{ ... }, { ... }]")
            return ()
        return tuple(self.row(f"{where}[{index}]", each, kind) for index, each in enumerate(raw))

    def row(self, where: str, raw: object, kind: _Kind) -> object:
        if not isinstance(raw, dict):
            self.refuse(where, raw, "is no row", "{ key = value, ... }")
            return None
        before = len(self.faults)
        self.keys(where, raw, kind.checks, [c for c in kind.checks if c not in kind.optional])
        row = {k: self.checked(f"{where}.{k}", v, kind.checks[k]) for k, v in raw.items() if k in kind.checks}
        if len(self.faults) == before:
            for cross in kind.cross:
                for name, given, reason in cross(row):
                    self.refuse(f"{where}.{name}", given, reason)
        return kind.build(**_split(row)) if len(self.faults) == before else None

    def keys(self, where: str, raw: Mapping[str, object], known: Iterable[str], due: Iterable[str]) -> None:
        known = tuple(known)
        for name in raw:
            if name not in known:
                self.refuse(where, name, f"is a key not known here{nearest(name, known)}")
        for name in due:
            if name not in raw:
                self.refuse(f"{where}.{name}", None, "is missing")

    def checked(self, where: str, raw: object, check: _Check) -> object:
        try:
            return check(raw)
        except _RefusedError as refused:
            self.refuse(where, raw, refused.reason, refused.accepted)
            return None

    def claim(self, place: str, made: record.Material) -> None:
        for name in made.names():
            owner = self.claims.setdefault(normal_form(name), made.key)
            if owner != made.key:
                self.refuse(place, name, f"is a name that [{owner}] claims too")


def _split(row: _Fields) -> _Fields:
    fields: _Fields = {}
    for name, found in row.items():
        fields.update(zip(_SPLIT[name], found, strict=True) if name in _SPLIT else [(name, found)])
    return fields


def normal_form(name: str) -> str:
    """Return a name without case, spaces and punctuation, the form in which names are compared.

    Examples
    --------
    >>> normal_form("EN AW-7075 T6")
    'enaw7075t6'
    """
    return "".join(c for c in name.casefold() if c.isalnum())


def read_texts(texts: Sequence[tuple[str, str]]) -> dict[str, record.Material]:
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
        except tomllib.TOMLDecodeError as error:
            raise FileError(f"{name} is no TOML: {error}") from error
        reading.file(name, tables)
    if reading.faults:
        raise DataError("the materials do not load", reading.faults)
    return reading.found


def read_materials(path: str | os.PathLike[str]) -> dict[str, record.Material]:
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
    except OSError as error:
        raise FileError(f"cannot read {path}: {error.strerror or error}") from error
    except UnicodeDecodeError as error:
        raise FileError(f"{path} is no text in UTF-8: {error.reason}") from error
    found = read_texts([(Path(path).name, text)])
    if not found:
        raise FileError(f"{path} holds no material")
    return found
