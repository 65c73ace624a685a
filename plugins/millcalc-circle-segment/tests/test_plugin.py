"""millcalc finds the families through their entry points; the examples of docstrings and README run."""

import doctest
import importlib
import importlib.metadata
import subprocess
import sys
from pathlib import Path

import millcalc_circle_segment
import pytest

from millcalc.cutters import Cutter, families, family

FAMILIES = {
    "barrel": "BarrelEndMill",
    "lens": "LensEndMill",
    "oval": "OvalEndMill",
    "taper barrel": "TaperBarrelEndMill",
}
MODULES = ("", ".barrel", ".lens", ".limits", ".oval", ".taper_barrel")
OPTIONS = doctest.NORMALIZE_WHITESPACE | doctest.ELLIPSIS


def test_entry_points_are_installed():
    points = importlib.metadata.distribution("millcalc-circle-segment").entry_points
    found = {p.name: p.value for p in points if p.group == "millcalc.cutters"}
    assert found == {w: f"millcalc_circle_segment:{c}" for w, c in FAMILIES.items()}


@pytest.mark.parametrize("word", FAMILIES)
def test_family_is_found_by_its_word(word):
    cls = family(word)
    assert cls is getattr(millcalc_circle_segment, FAMILIES[word])
    assert issubclass(cls, Cutter)
    assert cls.family == word


@pytest.mark.parametrize(
    "word", ["taper barrel", "taper-barrel", "Taper_Barrel", "millcalc-circle-segment:taper barrel"]
)
def test_spellings_of_a_word(word):
    assert family(word) is millcalc_circle_segment.TaperBarrelEndMill


@pytest.mark.parametrize("word", FAMILIES)
def test_family_is_listed(word):
    one = families()[word]
    assert (one.word, one.usable) == (word, True)
    assert one.origin.startswith("millcalc-circle-segment ")
    required = {p.name for p in one.parameters if p.required}
    assert {"diameter", "segment_radius", "teeth"} <= required
    assert ("flute_length" in required) == (word == "barrel")
    assert all(p.meaning for p in one.parameters)


def test_built_in_families_do_not_import_the_plugin():
    text = "import sys, millcalc.cutters as c; c.family('ball'); assert 'millcalc_circle_segment' not in sys.modules"
    subprocess.run([sys.executable, "-c", text], check=True)


@pytest.mark.parametrize("module", MODULES)
def test_docstring_examples(module):
    failed, run = doctest.testmod(importlib.import_module(f"millcalc_circle_segment{module}"), optionflags=OPTIONS)
    assert not failed
    assert run or module in ("", ".limits")


def test_readme_examples():
    path = Path(__file__).parents[1] / "README.md"
    failed, run = doctest.testfile(str(path), module_relative=False, optionflags=OPTIONS)
    assert run
    assert not failed
