"""What reference tables must satisfy: each case says what a source prints, and a formula gives it or is said not to."""

from __future__ import annotations

import os
import re
import tomllib
import warnings
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, ClassVar

import pytest

from millcalc import discovery
from millcalc.cutters.reading import cutter_from_table
from millcalc.discovery import check_api, registered, toml_files
from millcalc.errors import ValidityWarning
from millcalc.formulas import all_formulas
from millcalc.quantities.convert import Parameter, read_value
from millcalc.quantities.kinds import ANY
from millcalc.sources import HOW_KNOWN
from millcalc.testing.fixtures import UNDER_TEST

__all__ = ["GROUP", "ReferenceConformance"]

GROUP = "millcalc.references"
"""The entry-point group by which a distribution adds reference tables."""

_HEAD = {"title", "author", "edition", "year", "page", "address", "how_known", "note", "case"}
_NEEDED = {"id", "formula", "inputs", "output", "half_width", "relation"}
_FREE = {"cutter", "disagrees", "result", "page", "address", "how_known", "note"}

_NUMBER = re.compile(r"[-+]?\d+\.?(\d*)(?:[eE]([-+]?\d+))?")
_WIDEST = 0.02


class ReferenceConformance:
    """Tests of the reference tables of a plugin; derive from it in a test module and state `path` or `tables`.

    Attributes
    ----------
    path
        A TOML file, or a folder of them.
    tables
        Instead of a path, what the entry point names: a package with TOML files, or a function that returns paths.
    """

    path: ClassVar[str | os.PathLike[str] | None] = None
    tables: ClassVar[Any] = None

    def files(self) -> dict[str, dict[str, Any]]:
        """Return what each file holds, by its name, as a plugin would hand it over."""
        stated = type(self).tables
        if (self.path is None) == (stated is None):
            raise pytest.UsageError(f"{type(self).__name__} states one of path and tables: what is tested")
        with registered(GROUP, UNDER_TEST, Path(self.path) if self.path is not None else stated, UNDER_TEST, "0"):
            found = toml_files(discovery.load(GROUP, f"{UNDER_TEST}:{UNDER_TEST}"))
        return {path.name: tomllib.loads(path.read_text(encoding="utf-8")) for path in found}

    def cases(self) -> Iterator[tuple[str, dict[str, Any]]]:
        """Yield the cases of all files, each with its place for messages."""
        for name, content in self.files().items():
            yield from ((f"{name}, {case.get('id')!r}", case) for case in content.get("case", ()))

    def test_there_are_tables_with_cases(self) -> None:
        files = self.files()
        assert files, "there is no TOML file"
        for name, content in files.items():
            assert content.get("case"), f"{name}: no [[case]]"

    def test_every_table_names_its_source(self) -> None:
        for name, content in self.files().items():
            if "api" in content:
                check_api(content.pop("api"), f"api of {name}")
            assert set(content) <= _HEAD, f"{name}: {sorted(set(content) - _HEAD)} is not known here"
            for key in ("title", "page"):
                assert str(content.get(key, "")).strip(), f"{name}: {key} is missing"
            assert content.get("how_known") in HOW_KNOWN, f"{name}: how_known is one of {', '.join(HOW_KNOWN)}"

    def test_every_case_is_whole(self) -> None:
        for place, case in self.cases():
            assert set(case) >= _NEEDED, f"{place}: {sorted(_NEEDED - set(case))} is missing"
            assert set(case) <= _NEEDED | _FREE, f"{place}: {sorted(set(case) - _NEEDED - _FREE)} is not known here"
            assert case.get("how_known", "read") in HOW_KNOWN, place
            assert str(case.get("disagrees", "because")).strip(), f"{place}: why it disagrees is missing"
        for name, content in self.files().items():
            twice = [key for key, count in Counter(c.get("id") for c in content["case"]).items() if count > 1]
            assert not twice, f"{name}: {twice} is the id of several cases"

    def test_every_input_is_one_of_its_formula(self) -> None:
        for place, case in self.cases():
            names = {parameter.name for parameter in _formula(place, case).parameters}
            assert set(case["inputs"]) <= names, f"{place}: {sorted(set(case['inputs']) - names)} is no input"

    def test_no_check_is_wide(self) -> None:
        """A half width is that of the printed digits; where rounded inputs carry further it stays a small share."""
        for place, case in self.cases():
            printed = _NUMBER.match(case["output"])
            last = 10.0 ** (int(printed[2] or 0) - len(printed[1])) if printed else 0.0  # a word has no digits
            widest = max(0.6 * last, _WIDEST * abs(float(printed[0])) if printed else 0.0)
            assert 0.0 <= case["half_width"] <= widest, (
                f"{place}: a half width of up to {widest:g} still checks something"
            )

    def test_formulas_give_what_is_printed(self) -> None:
        """Within the printed digits; a case that is said to disagree must do so."""
        for place, case in self.cases():
            apart, half_width = _miss(place, case)
            if "disagrees" in case:
                assert apart > half_width, f"{place}: it is said to disagree, and agrees"
            else:
                assert apart <= half_width, f"{place}: the formula is off by {apart:.6g}, {half_width:.6g} is allowed"


def _formula(place: str, case: Mapping[str, Any]) -> Any:
    """Return the formula of a case; of a cutter, a table as in a job file, the question that it answers."""
    if "cutter" in case:
        found = getattr(cutter_from_table(case["cutter"]), case["formula"], None)
    else:
        found = all_formulas().get(case["formula"])
    assert found is not None, f"{place}: there is no formula {case['formula']!r}"
    return found


def _miss(place: str, case: Mapping[str, Any]) -> tuple[float, float]:
    """Return how far formula and print are apart, and the half width, in trade units."""
    formula, which = _formula(place, case), case.get("result", 1) - 1
    kind = formula.result_kinds[which]
    _, _, unit = case["output"].partition(" ")
    texts = [case["output"], *([f"{case['half_width']!r} {unit}".strip()] if case["half_width"] else [])]
    printed, *half = (float(read_value(text, Parameter("output", kind, ANY))) for text in texts)
    with warnings.catch_warnings():
        warnings.simplefilter("error", ValidityWarning)
        answer = formula(**case["inputs"])
    answer = answer[which] if len(formula.result_kinds) > 1 else answer
    if isinstance(answer, str):
        answer = read_value(answer, Parameter("output", kind, ANY))
    return abs(float(getattr(answer, "magnitude", answer)) - printed), sum(half) + 1e-12 * abs(printed)
