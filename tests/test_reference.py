"""Published and derived values as data: every case of reference/*.toml goes through the checked call of its formula.

A case says what a source prints, not what is right.  One that carries `disagrees` must disagree by more than
the printed digits; all others must agree within them.
"""

from __future__ import annotations

import warnings

import pytest

from millcalc.errors import ValidityWarning
from millcalc.evidence import shipped_tables
from millcalc.evidence.checking import verdict_of
from millcalc.evidence.tables import reference_folder
from millcalc.sources import HOW_KNOWN

TABLES = shipped_tables()
CASES = [pytest.param(case, id=case.place.rsplit("/", 1)[-1]) for table in TABLES for case in table.cases]


@pytest.mark.parametrize("case", CASES)
def test_case(case):
    with warnings.catch_warnings():
        warnings.simplefilter("error", ValidityWarning)
        verdict = verdict_of(case)
    assert verdict.word == ("differs" if case.disagrees else "agrees"), verdict


@pytest.mark.parametrize("table", TABLES, ids=[table.title for table in TABLES])
def test_every_file_names_its_source(table):
    assert table.head["page"]
    assert table.head["how_known"] in HOW_KNOWN
    assert all(case.how_known in HOW_KNOWN for case in table.cases)
    assert all(case.relation for case in table.cases)


def test_the_folder_holds_nothing_else():
    assert len(TABLES) == len(list(reference_folder().glob("*.toml"))) - 1  # the list of tests


def test_there_are_many_cases_of_either_kind_and_some_disagree():
    cases = [case for table in TABLES for case in table.cases]
    derived = [case for case in cases if case.how_known == "derived"]
    assert len(cases) - len(derived) >= 60
    assert len(derived) >= 40
    assert sum(bool(case.disagrees) for case in cases) >= 30
