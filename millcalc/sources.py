"""The bibliography: one key a source, read from sources.toml when first asked for."""

from __future__ import annotations

import functools
import re
import tomllib
from collections.abc import Mapping
from importlib import resources

import attrs

from millcalc.errors import DataError, Fault, UnknownNameError, nearest

__all__ = ["HOW_KNOWN", "Source", "add_sources", "bibliography", "source"]

HOW_KNOWN = ("read", "common practice", "from memory", "derived")
"""How a value or a source is known, in the only words used for it."""


@attrs.frozen
class Source:
    """Where a formula or a value comes from."""

    key: str
    title: str
    how_known: str
    author: str = ""
    edition: str = ""
    year: str = ""
    page: str = ""
    address: str = ""
    note: str = ""

    def __str__(self) -> str:
        parts = [self.author, self.title, self.edition, self.year, self.page]
        return ", ".join(p for p in parts if p) + f" ({self.how_known})"


@functools.cache
def bibliography() -> dict[str, Source]:
    """Return every source by its key."""
    text = resources.files("millcalc").joinpath("sources.toml").read_text(encoding="utf-8")
    return _read(tomllib.loads(text), "sources.toml")


def add_sources(rows: Mapping[str, object], where: str) -> None:
    """Add sources to the bibliography, those of a file of data that brings its own.

    Parameters
    ----------
    rows
        A table a source by its key: `title`, `how_known`, and whatever else a `Source` has.
    where
        The file, for messages.

    Raises
    ------
    DataError
        A row is no source, or its key already stands for another one; all are listed, and none is added.

    Examples
    --------
    >>> add_sources({"GEOMETRY": {"title": "Another book", "how_known": "read"}}, "shop.toml")
    Traceback (most recent call last):
    millcalc.errors.DataError: the sources cannot be added: shop.toml [GEOMETRY]: given 'Another book'; the key stands
    for another source: ...; accepted: a key of its own, for example 'SHOP_GEOMETRY'
    """
    made, known = _read(rows, where), bibliography()
    taken = [key for key, each in made.items() if known.get(key, each) != each]
    faults = [
        Fault(
            f"{where} [{key}]",
            repr(made[key].title),
            f"the key stands for another source: {known[key]}",
            "a key of its own",
            f"'SHOP_{key}'",
        )
        for key in taken
    ]
    if faults:
        raise DataError("the sources cannot be added", faults)
    known.update(made)


def _read(rows: Mapping[str, object], where: str) -> dict[str, Source]:
    faults, found = [], {}
    for key, row in rows.items():
        texts = isinstance(row, dict) and all(isinstance(value, str) for value in row.values())
        if not (isinstance(row, dict) and texts and _is_source(row)) or not re.fullmatch("[A-Z][A-Z0-9_]*", key):
            reason = "needs a key in capitals, a title and how_known"
            faults.append(Fault(f"{where} [{key}]", str(row), reason, str(HOW_KNOWN)))
        else:
            found[key] = Source(key=key, **row)
    if faults:
        raise DataError("the bibliography does not load", faults)
    return found


def _is_source(row: Mapping[str, str]) -> bool:
    known = {a.name for a in attrs.fields(Source)} - {"key"}
    return set(row) <= known and row.get("how_known") in HOW_KNOWN and bool(row.get("title"))


def source(key: str) -> Source:
    """Return one source.

    Examples
    --------
    >>> source("GEOMETRY").how_known
    'derived'
    """
    try:
        return bibliography()[key]
    except KeyError:
        raise UnknownNameError(f"no source has the key {key!r}{nearest(key, bibliography())}") from None
