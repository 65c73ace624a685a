"""Published values as data: every case of reference/*.toml goes through the checked call of its formula.

A case says what a source prints, not what is right.  One that carries `disagrees` must disagree by more than
the printed digits; all others must agree within them.
"""

from __future__ import annotations

import importlib
import pkgutil
import tomllib
import warnings
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

import millcalc.formulas
from millcalc.cutters.reading import cutter_from_table
from millcalc.errors import ValidityWarning
from millcalc.quantities.convert import Parameter, read_value
from millcalc.quantities.formula import FORMULAS, Formula
from millcalc.quantities.kinds import ANY
from millcalc.sources import HOW_KNOWN

FOLDER = Path(__file__).parents[1] / "reference"
HEAD = {"title", "author", "edition", "year", "page", "address", "how_known", "note", "case"}
NEEDED = {"id", "formula", "inputs", "output", "half_width", "relation"}
ALLOWED = NEEDED | {"cutter", "disagrees", "result", "page", "address", "how_known", "note"}

for module in pkgutil.iter_modules(millcalc.formulas.__path__):
    importlib.import_module(f"millcalc.formulas.{module.name}")


def load() -> dict[str, dict[str, Any]]:
    return {path.stem: tomllib.loads(path.read_text(encoding="utf-8")) for path in FOLDER.glob("*.toml")}


FILES = load()
CASES = [
    pytest.param(case, id=f"{name}:{case['id']}") for name, content in sorted(FILES.items()) for case in content["case"]
]


def in_trade_units(formula: Formula[Any, Any], which: int, text: str) -> float:
    """Read a printed output with the reader that the inputs go through."""
    kind = formula.result_kinds[which]
    return float(read_value(text, Parameter("output", kind, ANY)))


def formula_of(case: dict[str, Any]) -> Formula[Any, Any]:
    """The formula of a case; of a cutter, a table as in a job file, it is a question that it answers."""
    if "cutter" not in case:
        return FORMULAS[case["formula"]]
    found: Formula[Any, Any] = getattr(cutter_from_table(case["cutter"]), case["formula"])
    return found


def computed(formula: Formula[Any, Any], which: int, inputs: dict[str, Any]) -> float:
    answer = formula(**inputs)
    if len(formula.result_kinds) > 1:
        answer = answer[which]
    if isinstance(answer, str):
        return in_trade_units(formula, which, answer)
    return float(getattr(answer, "magnitude", answer))


def miss(case: dict[str, Any]) -> tuple[float, float]:
    """Return how far formula and print are apart, and the half width, in trade units."""
    formula, which = formula_of(case), case.get("result", 1) - 1
    printed = in_trade_units(formula, which, case["output"])
    unit = case["output"].partition(" ")[2]
    half = in_trade_units(formula, which, f"{case['half_width']} {unit}") if case["half_width"] else 0.0
    with warnings.catch_warnings():
        warnings.simplefilter("error", ValidityWarning)
        return abs(computed(formula, which, case["inputs"]) - printed), half + 1e-12 * abs(printed)


@pytest.mark.parametrize("case", CASES)
def test_case(case):
    apart, half_width = miss(case)
    if "disagrees" in case:
        assert apart > half_width, "the case is said to disagree, and agrees"
    else:
        assert apart <= half_width


@pytest.mark.parametrize("name", sorted(FILES))
def test_every_file_names_its_source(name):
    content = FILES[name]
    assert set(content) <= HEAD
    assert content["title"]
    assert content["page"]
    assert content["how_known"] in HOW_KNOWN
    for case in content["case"]:
        assert set(case) >= NEEDED, case["id"]
        assert set(case) <= ALLOWED, case["id"]
        assert case.get("how_known", "read") in HOW_KNOWN
        assert case.get("disagrees", "because") != ""
        assert set(case["inputs"]) <= {p.name for p in formula_of(case).parameters}


def test_ids_are_unique_in_a_file():
    for name, content in FILES.items():
        twice = [i for i, count in Counter(case["id"] for case in content["case"]).items() if count > 1]
        assert not twice, name


def test_there_are_many_cases_and_some_disagree():
    cases = [case for content in FILES.values() for case in content["case"]]
    assert len(cases) >= 100
    assert sum("disagrees" in case for case in cases) >= 10
