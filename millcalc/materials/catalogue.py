"""The library's own materials: read when first asked for, found by any of their names."""

from __future__ import annotations

import functools
from importlib import resources

from millcalc.errors import ArgumentError, Fault, UnknownNameError, nearest
from millcalc.materials.form import normal_form
from millcalc.materials.reading import read_texts
from millcalc.materials.record import Material

__all__ = ["material", "materials"]

_FILES = ("p.toml", "m.toml", "k.toml", "n.toml", "s.toml", "h.toml")
_PREFIXES = ("en", "aisi", "sae", "uns", "jis", "astm", "wnr", "din", "iso", "aa", "alloy", "grade", "number")


@functools.cache
def _catalogue() -> dict[str, Material]:
    folder = resources.files("millcalc").joinpath("materials", "data")
    return read_texts([(name, folder.joinpath(name).read_text(encoding="utf-8")) for name in _FILES])


@functools.cache
def _by_name() -> dict[str, Material]:
    return {normal_form(name): m for m in _catalogue().values() for name in m.names()}


def materials() -> tuple[str, ...]:
    """Return the keys of all materials, in the order of the groups P, M, K, N, S, H.

    Examples
    --------
    >>> "42crmo4" in materials()
    True
    """
    return tuple(_catalogue())


def material(name: str) -> Material:
    """Return a material by key, designation, EN name, material number, AISI, UNS, JIS or trade name.

    Case, spaces, punctuation and a prefix such as "AISI" or "W.-Nr." do not matter.  Grades of different
    systems are nearest, never identical.

    Raises
    ------
    UnknownNameError
        If no material has the name; the message gives the nearest names.
    ArgumentError
        If the name is no text.

    Examples
    --------
    >>> material("1.4301").key, material("aisi 4140").key
    ('x5crni18-10', '42crmo4')
    >>> material("C54")
    Traceback (most recent call last):
    millcalc.errors.UnknownNameError: no material is called 'C54' (nearest: C45)
    """
    if not isinstance(name, str):
        fault = Fault("name", repr(name), "is no text", "a name of a material", "'C45'")
        raise ArgumentError("no material can be found", [fault])
    plain, known = normal_form(name), _by_name()
    for form in (plain, *(plain.removeprefix(p) for p in _PREFIXES)):
        if form in known:
            return known[form]
    raise UnknownNameError(f"no material is called {name!r}{nearest(name, _all_names())}")


def _all_names() -> list[str]:
    return [name for m in _catalogue().values() for name in m.names()]
