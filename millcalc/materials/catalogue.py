"""Materials by any of their names: a shop's own first, then the library's, then what other distributions add.

The layers in their order: of the call, of the process (`use_materials`), of the file that the environment variable
MILLCALC_MATERIALS names, the library's own, and those that distributions add to the group "millcalc.materials".  A
layer that answers for a name of the library's own materials says so once; "builtin:NAME" always reaches these. What
distributions add is looked at last and only where nothing before has the name, so it never takes a built-in name
over; "dist:NAME" chooses the distribution.
"""

from __future__ import annotations

import functools
import os
import warnings
from collections.abc import Iterator
from types import TracebackType

import attrs

from millcalc.errors import ArgumentError, Fault, FileError, MillcalcWarning, UnknownNameError, nearest
from millcalc.materials.built_in import BuiltIn
from millcalc.materials.layers import Catalogue, Layer, Source
from millcalc.materials.record import Material

__all__ = ["VARIABLE", "MaterialsInUse", "material", "materials", "plugin_layer", "records_of", "use_materials"]

VARIABLE = "MILLCALC_MATERIALS"
"""The environment variable that names a shop's file, or several parted as in PATH."""

_IN_USE: list[MaterialsInUse] = []  # of the process, the latest last
_SAID: set[tuple[str, str]] = set()


@functools.cache
def _built_in() -> BuiltIn:
    return BuiltIn()


def plugin_layer() -> tuple[Layer, ...]:
    """Return the layers that other distributions add; a scan of what is installed, and an import of their code.

    Built-in names never come here.  A distribution whose materials cannot be loaded has no layer; discovery lists
    it with its cause.
    """
    from millcalc.materials import added  # not loaded for built-in names

    return added.layers()


def materials(*, plugins: bool = False, catalogue: Source | None = None) -> tuple[str, ...]:
    """Return the keys of all materials, a shop's own first, then the library's by the groups P, M, K, N, S, H.

    Parameters
    ----------
    plugins
        Whether to list what other distributions add too, which imports their code; theirs are "dist:key".
    catalogue
        Materials laid over all others for this call: a path, records or a `Catalogue`.

    Examples
    --------
    >>> "42crmo4" in materials()
    True
    """
    keys = dict.fromkeys(key for layer in _layers(catalogue) for key in layer.keys)
    if plugins:
        from millcalc.materials import added  # not loaded for built-in names

        keys |= dict.fromkeys(added.records())
    return tuple(keys)


def records_of(*, plugins: bool = False, catalogue: Source | None = None) -> dict[str, Material]:
    """Return the records by the keys that `materials` lists."""
    found: dict[str, Material] = {}
    for layer in _layers(catalogue):
        found = found | {key: record for key, record in layer.records.items() if key not in found}
    if plugins:
        from millcalc.materials import added  # not loaded for built-in names

        found |= added.records()
    return found


def material(name: str, *, catalogue: Source | None = None) -> Material:
    """Return a material by key, designation, EN name, material number, AISI, UNS, JIS or trade name.

    Case, spaces, punctuation and a prefix such as "AISI" or "W.-Nr." do not matter.  Grades of different
    systems are nearest, never identical.

    Parameters
    ----------
    name
        A name; "builtin:NAME" for the library's own material, "dist:NAME" for that of a distribution.
    catalogue
        Materials laid over all others for this call: a path, records or a `Catalogue`.

    Raises
    ------
    UnknownNameError
        If no material has the name; the message gives the nearest names.
    PluginError
        If several distributions add the name, or the one that is named cannot be loaded.
    ArgumentError
        If the name is no text.

    Examples
    --------
    >>> material("1.4301").key, material("aisi 4140").key
    ('x5crni18-10', '42crmo4')
    >>> material("42CrMo5")
    Traceback (most recent call last):
    millcalc.errors.UnknownNameError: no material is called '42CrMo5' (nearest: 42CrMo4, ...
    """
    if not isinstance(name, str):
        fault = Fault("name", repr(name), "is no text", "a name of a material", "'C45'")
        raise ArgumentError("no material can be found", [fault])
    return _found(name, catalogue)


def _found(name: str, catalogue: Source | None) -> Material:
    prefix, colon, rest = name.partition(":")
    if colon and prefix.strip().casefold() == "builtin":
        found = _built_in().find(rest)
        if found is None:
            raise UnknownNameError(f"no built-in material is called {rest!r}{nearest(rest, _built_in().names())}")
        return found
    for layer in _layers(catalogue):
        found = layer.find(name)
        if found is not None:
            if layer is not _built_in():
                _say_shadowed(name, layer)
            return found
    from millcalc.materials import added  # not loaded for built-in names

    record = added.find(name)
    if record is not None:
        return record
    known = [n for layer in (*_layers(catalogue), *plugin_layer()) for n in layer.names()]
    raise UnknownNameError(f"no material is called {name!r}{nearest(name, known)}{added.failed()}")


def _layers(catalogue: Source | None) -> Iterator[Layer | BuiltIn]:
    """Yield all layers but those of other distributions."""
    if catalogue is not None:
        yield from Catalogue.of(catalogue).layers
    for used in reversed(_IN_USE):
        yield from used.catalogue.layers
    yield from _of_environment()
    yield _built_in()


def _say_shadowed(name: str, layer: Layer | BuiltIn) -> None:
    """Warn, once a layer and material, that a name is one of the library's own too."""
    own = _built_in().find(name)
    if own is None or (layer.origin, own.key) in _SAID:
        return
    _SAID.add((layer.origin, own.key))
    text = f"{name!r} is the material of {layer.origin}, not the built-in {own.designation}: 'builtin:{own.key}'"
    warnings.warn(text, MillcalcWarning, stacklevel=4)


def _of_environment() -> tuple[Layer, ...]:
    named = os.environ.get(VARIABLE, "")
    paths = [path for path in named.split(os.pathsep) if path.strip()]
    try:
        return tuple(_read_once(path, *_state_of(path)) for path in paths)
    except FileError as error:
        raise FileError(f"{error.headline} (named by {VARIABLE})", error.faults) from None


def _state_of(path: str) -> tuple[int, int]:
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        return 0, 0  # reading it says what is wrong
    return found.st_mtime_ns, found.st_size


@functools.lru_cache(maxsize=16)
def _read_once(path: str, changed: int, size: int) -> Layer:
    """Return the layer of a file, read again only when it has changed."""
    return Catalogue.of(path).layers[0]


@attrs.define(eq=False)
class MaterialsInUse:
    """Materials in use by this process until `end`, or until the block that began with them is left."""

    catalogue: Catalogue

    def end(self) -> None:
        """Take them out of use; a second time does nothing."""
        _IN_USE[:] = [used for used in _IN_USE if used is not self]

    def __enter__(self) -> Catalogue:
        return self.catalogue

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.end()


def use_materials(source: Source) -> MaterialsInUse:
    """Lay materials over the library's own, for the whole process or for a block.

    Parameters
    ----------
    source
        The path of a shop's file, records, or a `Catalogue`.

    Returns
    -------
    MaterialsInUse
        Its `end` takes them out of use again; so does leaving the block, where it is used in a with statement.

    Raises
    ------
    FileError
        The file cannot be read, is no TOML or holds no material.
    DataError
        Anything in it is wrong; every fault is listed.

    Notes
    -----
    A job that names its material by a name looks it up when it is planned, and when its plan is printed: do both in
    the block, or give the job the record, ``material=material("C45")``.  All threads of the process see them.

    Examples
    --------
    >>> ours = material("C45").with_(key="bar-7", designation="Bar 7", aliases=(), hardness="210 HB")
    >>> with use_materials(ours):
    ...     print(material("bar 7").hardness[0].low)
    210.0
    """
    used = MaterialsInUse(Catalogue.of(source))
    _IN_USE.append(used)
    return used
