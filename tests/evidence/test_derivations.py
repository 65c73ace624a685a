"""Derived cases are what their derivations give, worked out anew; the files hold these cases and no others."""

from __future__ import annotations

import importlib

import pytest
from evidence.derivations import counting

from millcalc.evidence import read_tables
from millcalc.evidence.tables import reference_folder

SUBJECTS = ("counting", "sums", "corners", "entries", "surfaces", "working", "cutters", "tools")
MODULES = {subject: importlib.import_module(f"evidence.derivations.{subject}") for subject in SUBJECTS}
DERIVED = [pytest.param(subject, case, id=f"{subject}:{case.id}") for subject, m in MODULES.items() for case in m.CASES]


@pytest.fixture(scope="module")
def shipped():
    tables = {s: read_tables(reference_folder() / f"derived_{s}.toml")[0] for s in SUBJECTS}
    return {s: {case.id: case for case in table.cases} for s, table in tables.items()}


@pytest.mark.parametrize(("subject", "case"), DERIVED)
def test_what_is_printed_is_what_is_derived(subject, case, shipped):
    kept = shipped[subject][case.id]
    assert kept.output == case.output
    assert (kept.formula, kept.inputs, kept.relation) == (case.formula, case.inputs, case.how)
    assert kept.result == case.extra.get("result", 1)
    assert (kept.cutter, kept.coefficients, kept.body) == tuple(
        case.extra.get(key) for key in ("cutter", "coefficients", "body")
    )


@pytest.mark.parametrize("subject", SUBJECTS)
def test_no_case_is_without_derivation(subject, shipped):
    assert set(shipped[subject]) == {case.id for case in MODULES[subject].CASES}


def test_derivations_know_nothing_of_the_library():
    for module in MODULES.values():
        with open(module.__file__, encoding="utf-8") as file:
            assert "millcalc" not in file.read()


def test_the_helpers():
    assert counting.fewest(lambda n: n * 3 >= 10) == 4
    assert counting.most(lambda n: n * 3 <= 10) == 3
