"""Layers of materials: each a set of records with their names; of several layers the first that has a name answers."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping
from typing import TypeAlias, Union

import attrs

from millcalc.errors import ArgumentError, DataError, Fault, UnknownNameError, nearest
from millcalc.materials.form import normal_form
from millcalc.materials.reading import read_materials
from millcalc.materials.record import Material

__all__ = ["PREFIXES", "Catalogue", "Layer", "Source", "name_forms"]

PREFIXES = ("en", "aisi", "sae", "uns", "jis", "astm", "wnr", "din", "iso", "aa", "alloy", "grade", "number")
"""Words before a name that say in which system it is a name."""

Source: TypeAlias = Union["Catalogue", Material, Mapping[str, Material], Iterable[Material], str, "os.PathLike[str]"]
"""What a catalogue is made of: the path of a file, a record, several of them, or another catalogue."""


def name_forms(name: str) -> list[str]:
    """Return the forms under which a name is looked for: as it is, then without the words of systems before it.

    Examples
    --------
    >>> name_forms("AISI/SAE 1045")
    ['aisisae1045', 'sae1045', '1045']
    """
    forms = [normal_form(name)]
    for form in forms:  # grows as words are taken away
        forms += [shorter for p in PREFIXES if (shorter := form.removeprefix(p)) not in (*forms, "")]
    return forms


@attrs.frozen(eq=False)
class Layer:
    """Records of one origin by their keys; a name that two of them claim does not load."""

    origin: str
    records: Mapping[str, Material]
    _names: dict[str, Material] = attrs.field(init=False, repr=False)

    def __attrs_post_init__(self) -> None:
        claims: dict[str, Material] = {}
        faults = []
        for record in self.records.values():
            for name in record.names():
                owner = claims.setdefault(normal_form(name), record)
                if owner is not record:
                    reason = f"is a name that [{owner.key}] claims too"
                    faults.append(Fault(f"{self.origin} [{record.key}]", repr(name), reason))
        if faults:
            raise DataError("the materials cannot lie in one layer", faults)
        object.__setattr__(self, "_names", claims)

    @property
    def keys(self) -> tuple[str, ...]:
        """The keys of all materials."""
        return tuple(self.records)

    def find(self, name: str) -> Material | None:
        """Return the material of a name, or None."""
        return next((self._names[form] for form in name_forms(name) if form in self._names), None)

    def names(self) -> Iterator[str]:
        """Yield every name as it is written."""
        for record in self.records.values():
            yield from record.names()


@attrs.frozen(eq=False)
class Catalogue:
    """Materials of a shop, in layers; the first layer that has a name answers.

    Made from a file, from records, or from other catalogues laid over each other.  The library's own materials are no
    part of it: `material(name, catalogue=...)` looks here first and there after, `use_materials` does so for a
    whole program.

    Examples
    --------
    >>> from millcalc.materials import material
    >>> ours = Catalogue.of(material("C45").with_(key="our-c45", designation="Our C45", aliases=(), hardness="210 HB"))
    >>> ours.keys(), ours.material("our c45").hardness[0].low
    (('our-c45',), 210.0)
    """

    layers: tuple[Layer, ...] = ()

    @classmethod
    def of(cls, source: Source) -> Catalogue:
        """Return the catalogue of a file, of one or several records, or of a catalogue itself.

        Raises
        ------
        FileError
            A file cannot be read, is no TOML or holds no material.
        DataError
            Anything in it is wrong, or two records claim one name; every fault is listed.
        ArgumentError
            It is nothing a catalogue can be made of.
        """
        if isinstance(source, Catalogue):
            return source
        if isinstance(source, (str, os.PathLike)):
            return cls((Layer(os.fspath(source), read_materials(source)),))
        return cls((_layer(source),))

    def over(self, other: Source) -> Catalogue:
        """Return a catalogue with this one's layers over those of another: what both name, this one answers."""
        return Catalogue((*self.layers, *Catalogue.of(other).layers))

    def find(self, name: str) -> Material | None:
        """Return the material of a name, or None."""
        found = (layer.find(name) for layer in self.layers)
        return next((record for record in found if record is not None), None)

    def material(self, name: str) -> Material:
        """Return the material of a name, of this catalogue alone.

        Raises
        ------
        UnknownNameError
            No material has the name; the message gives the nearest names.
        """
        found = self.find(name)
        if found is None:
            raise UnknownNameError(f"no material is called {name!r}{nearest(name, self.names())}")
        return found

    def keys(self) -> tuple[str, ...]:
        """Return the keys of all materials, each once."""
        return tuple(dict.fromkeys(key for layer in self.layers for key in layer.records))

    def names(self) -> Iterator[str]:
        """Yield every name as it is written."""
        for layer in self.layers:
            yield from layer.names()


def _layer(source: object) -> Layer:
    """Return the layer of one or several records."""
    if isinstance(source, Material):
        records: list[object] = [source]
    elif isinstance(source, Mapping):
        records = list(source.values())
    elif isinstance(source, Iterable):
        records = list(source)
    else:
        records = [source]
    if not records or not all(isinstance(record, Material) for record in records):
        accepted = "the path of a file, a Material or several of them, or a Catalogue"
        fault = Fault("catalogue", repr(source)[:60], "is nothing that holds materials", accepted)
        raise ArgumentError("no catalogue can be made", (fault,))
    made = [record for record in records if isinstance(record, Material)]
    keys = [record.key for record in made]
    twice = sorted({key for key in keys if keys.count(key) > 1})
    origin = ", ".join(dict.fromkeys(record.origin for record in made))
    if twice:
        faults = [Fault(f"{origin} [{key}]", "", "is a key that two records have") for key in twice]
        raise DataError("the materials cannot lie in one layer", faults)
    return Layer(origin, dict(zip(keys, made, strict=True)))
