"""What a file of materials may hold: the checks of every key and the rows they make."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

import attrs

from millcalc.errors import nearest
from millcalc.materials import rows
from millcalc.sources import HOW_KNOWN, bibliography

__all__ = [
    "KEYS",
    "PLAIN",
    "REQUIRED",
    "ROWS",
    "SINGLE",
    "Check",
    "Fields",
    "RefusedRowError",
    "RowForm",
    "normal_form",
    "slug",
]


def normal_form(name: str) -> str:
    """Return a name without case, spaces and punctuation, the form in which names are compared.

    Examples
    --------
    >>> normal_form("EN AW-7075 T6")
    'enaw7075t6'
    """
    return "".join(filter(str.isalnum, name.casefold()))


_SPLIT = {
    "value": ("low", "high"),
    "hardness": ("hardness_low", "hardness_high"),
    "diameter": ("diameter_low", "diameter_high"),
    "chip": ("chip_low", "chip_high"),
}


class RefusedRowError(ValueError):
    """A value cannot be used: the reason, and what is accepted instead."""

    def __init__(self, reason: str, accepted: str = "") -> None:
        super().__init__(reason)
        self.reason, self.accepted = reason, accepted


Check = Callable[[object], object]
Fields = dict[str, Any]
_Cross = Callable[[Fields], Iterator[tuple[str, str, str]]]


def _text(raw: object) -> str:
    if not isinstance(raw, str) or not raw.strip():
        raise RefusedRowError("is no text", "a text that is not empty")
    return raw.strip()


def _name(raw: object) -> str:
    if not normal_form(_text(raw)):
        raise RefusedRowError("is no name", "a text with letters or digits")
    return _text(raw)


def _list_of(check: Callable[[object], str]) -> Check:
    def checked(raw: object) -> tuple[str, ...]:
        if not isinstance(raw, list) or not raw:
            raise RefusedRowError("is no list of texts", '["one", "two"]')
        return tuple(check(r) for r in raw)

    return checked


def slug(raw: object) -> str:
    if not isinstance(raw, str) or not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", raw):
        raise RefusedRowError("is no key", "small letters and digits, joined by hyphens")
    return raw


def _one_of(*words: str) -> Check:
    def check(raw: object) -> str:
        if raw not in words or not isinstance(raw, str):
            raise RefusedRowError("is none of the words used here", ", ".join(words))
        return raw

    return check


def _source(raw: object) -> str:
    key = _text(raw)
    if key not in bibliography():
        raise RefusedRowError(f"is no key of the bibliography{nearest(key, bibliography())}")
    return key


def _number(low: float, high: float) -> Check:
    def check(raw: object) -> float:
        if isinstance(raw, bool) or not isinstance(raw, (int, float)) or raw != raw:
            raise RefusedRowError("is no number", "a number without quotes")
        if not low <= raw <= high:
            raise RefusedRowError("lies outside the plausible range", f"{low:g} to {high:g}")
        return float(raw)

    return check


def _span(low: float, high: float) -> Check:
    one = _number(low, high)

    def check(raw: object) -> tuple[object, object]:
        if not isinstance(raw, list):
            return one(raw), one(raw)
        if len(raw) != 2:
            raise RefusedRowError("is no range", "a number or [low, high]")
        found = one(raw[0]), one(raw[1])
        if raw[0] > raw[1]:
            raise RefusedRowError("has its low end above its high end", "a number or [low, high]")
        return found

    return check


@attrs.frozen
class RowForm:
    """What a table may hold: its checks, which keys it must have, and checks of several keys together."""

    build: type[Any]
    checks: Mapping[str, Check]
    optional: frozenset[str] = frozenset()
    cross: tuple[_Cross, ...] = ()

    def table(self, row: Any) -> Fields:
        """Return a record of this form as a file would state it."""
        fields = {name: list(v) if isinstance(v, tuple) else v for name, v in attrs.asdict(row).items()}
        for name, ends in _SPLIT.items():
            if name in self.checks:
                low, high = (fields[end] for end in ends)
                fields[name] = None if low is None else [low, high]
        return {name: fields[name] for name in self.checks if fields.get(name) not in (None, "")}

    def make(self, row: Fields) -> object:
        """Return the record of a row that has passed all checks."""
        fields: Fields = {}
        for name, found in row.items():
            fields.update(zip(_SPLIT[name], found, strict=True) if name in _SPLIT else [(name, found)])
        return self.build(**fields)


def _not_from_memory(row: Fields) -> Iterator[tuple[str, str, str]]:
    known = bibliography()[row["source"]].how_known
    if row["how_known"] == "read" and known in ("from memory", "common practice"):
        yield "how_known", "'read'", f"but its source {row['source']} is known only by: {known}"


def _shown(low: float, high: float, unit: str) -> str:
    number = f"{low:g}" if low == high else f"{low:g} to {high:g}"
    return number if unit == "1" else f"{number} {unit}"


def _within(bounds: Mapping[str, tuple[float, float]]) -> _Cross:
    def cross(row: Fields) -> Iterator[tuple[str, str, str]]:
        (low, high), (least, most) = row["value"], bounds[row["unit"]]
        if not least <= low <= high <= most:
            yield (
                "value",
                _shown(low, high, row["unit"]),
                f"lies outside the plausible range {least:g} to {most:g}",
            )

    return cross


_KNOWN: dict[str, Check] = {"source": _source, "how_known": _one_of(*HOW_KNOWN)}
_STATED: dict[str, Check] = {**_KNOWN, "scope": _one_of(*rows.SCOPES), "conditions": _text}
_RECOMMENDED: dict[str, Check] = {
    "substrate": _one_of(*rows.SUBSTRATES),
    "operation": _one_of(*rows.OPERATIONS),
    "stage": _one_of(*rows.STAGES),
    "why": _text,
}
_HARDNESS = {"HB": (1.0, 900.0), "HRC": (1.0, 75.0), "HV": (1.0, 3000.0), "HRB": (1.0, 110.0)}
_FREE = frozenset({"stage", "why"})


def _hardness_with_unit(row: Fields) -> Iterator[tuple[str, str, str]]:
    (low, high), unit = row.get("hardness", (None, None)), row.get("hardness_unit")
    if (low is None) != (unit is None):
        yield "hardness", "one of hardness and hardness_unit", "the two belong together"
    elif unit is not None and not _HARDNESS[unit][0] <= low <= high <= _HARDNESS[unit][1]:
        yield "hardness", _shown(low, high, unit), "lies outside the plausible range"


def _value_kind(bounds: Mapping[str, tuple[float, float]]) -> RowForm:
    checks: dict[str, Check] = {"value": _span(0, 1e6), "unit": _one_of(*bounds), **_STATED}
    return RowForm(rows.Value, checks, frozenset(), (_not_from_memory, _within(bounds)))


_SPEED = RowForm(
    rows.SpeedWindow,
    {
        "value": _span(1, 5000),
        "unit": _one_of("m/min"),
        "hardness": _span(1, 3000),
        "hardness_unit": _one_of(*_HARDNESS),
        **_RECOMMENDED,
        **_STATED,
    },
    _FREE | {"hardness", "hardness_unit"},
    (_not_from_memory, _hardness_with_unit),
)
_FEED = RowForm(
    rows.FeedChart,
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
_KIENZLE = RowForm(
    rows.Kienzle,
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
_FORCE = RowForm(
    rows.ForceRow,
    {
        **{name: _number(0, 20000) for name in ("ktc", "krc", "kac")},
        **{name: _number(0, 500) for name in ("kte", "kre", "kae")},
        "why": _text,
        **_STATED,
    },
    _FREE,
    (_not_from_memory,),
)
_TAYLOR = RowForm(
    rows.Taylor,
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
_CAUTION = RowForm(
    rows.Caution,
    {"severity": _one_of(*rows.SEVERITIES), "text": _text, **_KNOWN},
    cross=(_not_from_memory,),
)
_ALIAS = RowForm(
    rows.Alias,
    {"system": _one_of(*rows.ALIAS_SYSTEMS), "names": _list_of(_name), **_KNOWN},
    cross=(_not_from_memory,),
)
ROWS = {
    "aliases": _ALIAS,
    "hardness": _value_kind(_HARDNESS),
    "density": _value_kind({"g/cm^3": (0.02, 25)}),
    "conductivity": _value_kind({"W/(m K)": (0.01, 2500)}),
    "kienzle": _KIENZLE,
    "force_coefficients": _FORCE,
    "specific_energy": _value_kind({"W s/mm^3": (0.01, 20)}),
    "cutting_speeds": _SPEED,
    "feed_charts": _FEED,
    "taylor": _TAYLOR,
    "cautions": _CAUTION,
}
SINGLE = {"least_chip_ratio": _value_kind({"1": (0.05, 5)}), "tip_caution": _CAUTION}
PLAIN: dict[str, Check] = {
    "designation": _name,
    "name": _text,
    "iso513": _one_of(*rows.ISO513_GROUPS),
    "notes": _list_of(_text),
}
KEYS = (*PLAIN, *SINGLE, *ROWS)
REQUIRED = ("designation", "name", "iso513", *SINGLE)
