"""The library's own materials: an index of their names first, and each record read when it is first asked for.

Reading all files takes longer than a plan, one record a millisecond or two.  So the names are picked from the text, and
the tests read everything and compare.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from importlib import resources

from millcalc.errors import DataError, Fault
from millcalc.materials.form import normal_form
from millcalc.materials.layers import Layer, name_forms
from millcalc.materials.reading import read_texts
from millcalc.materials.record import BUILT_IN, Material
from millcalc.materials.rows import ISO513_GROUPS

__all__ = ["BuiltIn"]

# each begins with plain characters, so that a search leaps over the rows of values
_HEAD = re.compile(r"\n\[([A-Za-z0-9_-]+)\][ \t]*(?:#.*)?(?=\n)")
_NAME = re.compile(r"""\ndesignation\s*=\s*["']([^"'\n]+)["']""")
_GROUP = re.compile(r"""\niso513\s*=\s*["']([^"'\n]+)["']""")
_NAMES = re.compile(r"names\s*=\s*\[([^\]]*)\]")
_QUOTED = re.compile(r"""["']([^"'\n]+)["']""")


class BuiltIn:
    """A layer of materials whose records are read one by one."""

    origin = BUILT_IN

    def __init__(self) -> None:
        folder = resources.files("millcalc").joinpath("materials", "data")
        texts = {f.name: f.read_text(encoding="utf-8") for f in folder.iterdir() if f.name.endswith(".toml")}
        found = [(name, *part) for name in sorted(texts) for part in _parts(texts[name])]
        found.sort(key=lambda part: _rank(part[2]))  # by group, then as the files have them
        self._texts: dict[str, tuple[str, str]] = {}
        self._keys: dict[str, str] = {}
        self._written: list[str] = []
        self._read: dict[str, Material] = {}
        for name, key, text in found:
            if key in self._texts:
                fault = Fault(f"{name} [{key}]", repr(key), f"is a key that {self._texts[key][0]} has taken")
                raise DataError("the materials do not load", (fault,))
            self._texts[key] = name, text
            for each in _names(key, text):
                self._written.append(each)
                self._keys.setdefault(normal_form(each), key)

    @property
    def keys(self) -> tuple[str, ...]:
        """The keys of all materials, by group."""
        return tuple(self._texts)

    @property
    def records(self) -> Mapping[str, Material]:
        """Every record by its key, all of them read; a name that two claim is an error."""
        return Layer(self.origin, {key: self._record(key) for key in self._texts}).records

    def find(self, name: str) -> Material | None:
        """Return the material of a name, or None."""
        found = next((self._keys[form] for form in name_forms(name) if form in self._keys), None)
        return None if found is None else self._record(found)

    def names(self) -> Iterator[str]:
        """Yield every name as it is written."""
        yield from self._written

    def _record(self, key: str) -> Material:
        if key not in self._read:
            self._read[key] = read_texts([self._texts[key]])[key]
        return self._read[key]


def _parts(text: str) -> Iterator[tuple[str, str]]:
    """Yield key and text of each material of a file."""
    text = f"\n{text}\n"
    heads = list(_HEAD.finditer(text))
    for head, after in zip(heads, [*(h.start() for h in heads[1:]), len(text)], strict=True):
        yield head.group(1), text[head.start() : after]


def _names(key: str, text: str) -> Iterator[str]:
    yield key
    if (designation := _NAME.search(text)) is not None:
        yield designation.group(1)
    for listed in _NAMES.findall(text):
        yield from _QUOTED.findall(listed)


def _rank(text: str) -> int:
    stated = _GROUP.search(text)
    return ISO513_GROUPS.index(stated.group(1)) if stated and stated.group(1) in ISO513_GROUPS else len(ISO513_GROUPS)
