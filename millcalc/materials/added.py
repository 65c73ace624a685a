"""Materials that other distributions add to the entry-point group "millcalc.materials".

An entry point names the path of a TOML file in the form of the library's own, a list of `Material`, or a function that
returns either.  A distribution whose materials cannot be loaded stays listed with its cause and stops nothing else.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import attrs

from millcalc import discovery
from millcalc.discovery import Plugin
from millcalc.errors import Fault, PluginError, UnknownNameError
from millcalc.materials.layers import Layer
from millcalc.materials.reading import read_materials
from millcalc.materials.record import Material

__all__ = ["GROUP", "check_materials", "failed", "find", "layers", "records"]

GROUP = "millcalc.materials"
"""The entry-point group by which a distribution adds materials."""

_MADE: dict[str, tuple[Any, Layer]] = {}  # what each plugin stood for when its layer was made


def layers() -> tuple[Layer, ...]:
    """Return a layer for each name of the group that can be loaded."""
    return tuple(layer for _, layer in _loaded())


def records() -> dict[str, Material]:
    """Return every material that distributions add by "dist:key"."""
    found = ((plugin.distribution, layer.records) for plugin, layer in _loaded())
    return {f"{distribution}:{key}": record for distribution, held in found for key, record in held.items()}


def find(name: str) -> Material | None:
    """Return the material of a name that distributions add, or of "dist:NAME"; None if there is none.

    Raises
    ------
    PluginError
        Several distributions add the name, or the one that is named cannot be loaded.
    UnknownNameError
        The distribution that is named has no such material.
    """
    prefix, colon, rest = name.partition(":")
    if colon:
        named = [key for key, p in _plugins().items() if _same(p.distribution, prefix)]
        if named:
            return _of_distribution(named, prefix, rest)
    hits = {p.distribution: found for p, layer in _loaded() if (found := layer.find(name)) is not None}
    if len(hits) > 1:
        choices = " or ".join(repr(f"{distribution}:{name}") for distribution in hits)
        fault = Fault(GROUP, repr(name), f"{len(hits)} distributions add this material", choices)
        raise PluginError("choose a distribution", (fault,))
    return next(iter(hits.values()), None)


def failed() -> str:
    """Return a hint that names what could not be loaded, or an empty text."""
    lost = [f"{p.origin}: {p.cause}" for p in _plugins().values() if p.failure is not None]
    return f"; materials that cannot be loaded: {'; '.join(lost)}" if lost else ""


def check_materials(thing: Any, plugin: Plugin) -> None:
    """Refuse what is neither a file of materials, nor a list of them, nor a function that returns one of these.

    Raises
    ------
    Exception
        Whatever reading them raises; a name that two of the materials claim is an error too.
    """
    held = _MADE.get(plugin.key)
    if held is None or held[0] is not thing:
        _MADE[plugin.key] = thing, _layer(thing() if callable(thing) else thing, plugin)


def _plugins() -> dict[str, Plugin]:
    return dict(discovery.found(GROUP))


def _loaded() -> Iterable[tuple[Plugin, Layer]]:
    for key, plugin in _plugins().items():
        try:
            discovery.load(GROUP, key, check_materials)
        except PluginError:
            continue  # discovery keeps it, with its cause
        yield plugin, _MADE[plugin.key][1]


def _of_distribution(named: Iterable[str], distribution: str, name: str) -> Material:
    """Return the material of a name, of one distribution; what of it cannot be loaded is an error here."""
    for key in named:
        discovery.load(GROUP, key, check_materials)
        found = _MADE[_plugins()[key].key][1].find(name)
        if found is not None:
            return found
    raise UnknownNameError(f"{distribution} adds no material called {name!r}")


def _layer(held: Any, plugin: Plugin) -> Layer:
    if isinstance(held, (str, os.PathLike)):
        return Layer(plugin.origin, read_materials(Path(held), origin=plugin.origin))
    if not isinstance(held, Iterable) or isinstance(held, Material):
        held = (held,)
    records = list(held.values() if isinstance(held, dict) else held)
    bad = next((r for r in records if not isinstance(r, Material)), None)
    if bad is not None or not records:
        raise TypeError(f"{bad!r} is no Material" if records else "it holds no material")
    taken = [r.key for r in records]
    twice = next((key for key in taken if taken.count(key) > 1), None)
    if twice is not None:
        raise ValueError(f"two of its materials have the key {twice!r}")
    return Layer(plugin.origin, {r.key: attrs.evolve(r, origin=plugin.origin) for r in records})


def _same(distribution: str, given: str) -> bool:
    return discovery.normal_form(distribution) == discovery.normal_form(given)
