"""The bibliography: one key a source, read from sources.toml when first asked for."""

from __future__ import annotations

import functools
import tomllib
from importlib import resources

import attrs

from millcalc.errors import DataError, Fault, UnknownNameError, nearest

__all__ = ["HOW_KNOWN", "Source", "bibliography", "source"]

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
    faults, found = [], {}
    for key, row in tomllib.loads(text).items():
        unknown = set(row) - {a.name for a in attrs.fields(Source)}
        if unknown or row.get("how_known") not in HOW_KNOWN or not row.get("title"):
            faults.append(Fault(f"sources.toml [{key}]", str(row), "needs a title and how_known", str(HOW_KNOWN)))
        else:
            found[key] = Source(key=key, **row)
    if faults:
        raise DataError("the bibliography does not load", faults)
    return found


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
