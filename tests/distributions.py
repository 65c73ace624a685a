"""Tiny distributions for tests: a folder with metadata, entry points and modules, put on the path without a build."""

import sys
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

from millcalc import discovery


class Installed:
    """The distributions of one test."""

    def __init__(self, folder: Path, patch: pytest.MonkeyPatch) -> None:
        self.folder, self.patch = folder, patch
        self.modules: set[str] = set()

    def add(
        self,
        name: str,
        points: Mapping[str, str],
        modules: Mapping[str, str],
        *,
        group: str = "millcalc.cutters",
        version: str = "1.0",
    ) -> Path:
        """Add a distribution with entry points and modules, names to targets and to code; return its metadata."""
        site = self.folder / f"site{len(list(self.folder.iterdir()))}"
        info = site / f"{name.replace('-', '_')}-{version}.dist-info"
        info.mkdir(parents=True)
        (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n", encoding="utf-8")
        lines = [f"{point} = {target}" for point, target in points.items()]
        (info / "entry_points.txt").write_text("\n".join([f"[{group}]", *lines, ""]), encoding="utf-8")
        for module, code in modules.items():
            (site / f"{module}.py").write_text(code, encoding="utf-8")
        self.modules |= set(modules)
        self.patch.syspath_prepend(str(site))
        discovery.forget()
        return info


def fresh(folder: Path, patch: pytest.MonkeyPatch) -> Iterator[Installed]:
    """Give a test its distributions, and forget them after it."""
    installed = Installed(folder, patch)
    discovery.forget()
    yield installed
    for name in installed.modules:
        sys.modules.pop(name, None)
    discovery.forget()


FAMILY = '''
"""A family with one straight slope, as a plugin would add it."""

from collections.abc import Sequence

from millcalc.cutters import Cutter, Line
from millcalc.quantities.kinds import POSITIVE, Angle, Flag, Grade, Length, Ratio
from millcalc.quantities.record import entry, record


@record
class Cone(Cutter):
    """A pointed cone."""

    family = "{word}"

    diameter: Length = entry(domain=POSITIVE, meaning="largest diameter")
    half_angle: Angle = entry(default=30.0, meaning="angle per side")
    land: Length = entry(default=float("inf"), words={{"all": float("inf")}}, meaning="width of the land")
    polished: Flag = entry(default=None, meaning="whether the flutes are polished")
    grade: Grade = entry(default=None, meaning="roughness grade of the flutes")
    share: Ratio = entry(default=0.5, meaning="a share")
    note: str = entry(default="", meaning="a note")
    sharpened: bool = entry(default=False, meaning="whether it was sharpened")
    times: int = entry(default=0, meaning="how often")
    wear: float = entry(default=0.0, meaning="a measure of wear")
    drawn: object = entry(default=None, meaning="anything")

    def pieces(self) -> Sequence[Line]:
        height = 0.5 * self._diameter
        return [Line((0.0, 0.0), (height, 0.5 * self._diameter))]
'''
"""Code of a module with a family `Cone`; its word is put in with format(word=...)."""
