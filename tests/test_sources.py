"""The bibliography: every key that is used is there, and every key that is there is used."""

import re
import tomllib
from pathlib import Path

import pytest

from millcalc.errors import UnknownNameError
from millcalc.formulas import all_formulas
from millcalc.sources import HOW_KNOWN, bibliography, source

PACKAGE = Path(__file__).parents[1] / "millcalc"


def test_every_source_is_used():
    code = [p.read_text(encoding="utf-8") for p in PACKAGE.rglob("*.py")]
    data = [p.read_text(encoding="utf-8") for p in PACKAGE.rglob("*.toml") if p.name != "sources.toml"]
    used = set(re.findall(r'"([A-Z][A-Z0-9_]+)"', "\n".join(code + data)))
    # those of the library: plugins that other tests have loaded bring sources of their own
    own = set(tomllib.loads((PACKAGE / "sources.toml").read_text(encoding="utf-8")))
    assert own <= set(bibliography())
    assert own <= used


def test_every_formula_names_sources_that_are_there():
    for name, formula in all_formulas().items():
        assert formula.sources, name
        for key in formula.sources:
            assert source(key).how_known in HOW_KNOWN


def test_a_source_prints_how_it_is_known_and_an_unknown_one_names_the_nearest():
    assert str(source("ISO1302")).endswith("(read)")
    with pytest.raises(UnknownNameError, match="GEOMETRY"):
        source("GEOMETRI")
