"""Every formula and every question has a witness; the listed tests exist and are about what they are listed for."""

from __future__ import annotations

import functools
import importlib
import tomllib
from collections import Counter
from pathlib import Path

import pytest

from millcalc.evidence import coverage_rows, coverage_text, shipped_tables
from millcalc.evidence.relations import formula_names
from millcalc.evidence.tables import WITNESSES, reference_folder
from millcalc.formulas import SUBJECTS

ROWS = coverage_rows()
LISTED = tomllib.loads((reference_folder() / WITNESSES).read_text(encoding="utf-8"))
TESTS = Path(__file__).parents[1]


def test_no_row_is_empty_and_each_has_a_case_that_the_library_did_not_make():
    assert not [(r.whose, r.name) for r in ROWS if r.empty]
    assert not [(r.whose, r.name) for r in ROWS if not r.cases]


def test_rows_are_all_formulas_and_questions():
    assert {(r.whose, r.name) for r in ROWS} == {(w, n) for w, names in formula_names().items() for n in names}
    assert Counter(r.whose for r in ROWS).keys() == {"formula", "cutter", "force", "body"}


@pytest.mark.parametrize("subject", SUBJECTS)
def test_every_subject_has_cases_of_all_its_formulas(subject):
    module = importlib.import_module(f"millcalc.formulas.{subject}")
    asked = {case.formula for table in shipped_tables() for case in table.cases if case.cutter is None}
    assert {n for n in module.__all__ if hasattr(getattr(module, n), "bare")} <= asked


@functools.cache
def text_of(path):
    return (TESTS / path).read_text(encoding="utf-8")


@pytest.mark.parametrize("whose", LISTED)
def test_listed_tests_exist_and_are_about_it(whose):
    for name, test in [(n, t) for n, tests in LISTED[whose].items() for t in tests]:
        assert name in formula_names()[whose]
        path, word = test.split("::")
        text = text_of(path)
        assert f"def {word}(" in text, test
        before, after = text.split(f"def {word}(", 1)
        decorators = before.rsplit("\n\n\n", 1)[-1]
        assert name in decorators + after.split("\n\n\n", 1)[0], test


def test_the_table():
    text = coverage_text(ROWS)
    assert len(text.splitlines()) == len(ROWS) + 3
    assert text.endswith("; 0 empty")
    assert "cutting_speed" in text
