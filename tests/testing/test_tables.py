"""The conformance suite of reference tables passes what is right and fails what is wrong where it is wrong."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

MODULE = Path(__file__).with_name("faulty_tables.py")
AGREE = "test_formulas_give_what_is_printed"
WHOLE = "test_every_table_is_whole"
BOTH, PLACE = {WHOLE, AGREE}, {"test_page_and_relation_are_stated"}
EXPECTED = {
    "File": set(),
    "OwnTables": set(),
    "Function": set(),
    "Disagreeing": set(),
    "OtherVersion": BOTH,
    "NoPage": PLACE,
    "Hearsay": BOTH,
    "NoRelation": PLACE,
    "Twice": BOTH,
    "Input": BOTH,
    "Wide": BOTH,
    "Off": {AGREE},
    "AgreesAfterAll": {AGREE},
}


@pytest.fixture(scope="module")
def results():
    command = [sys.executable, "-m", "pytest", "-q", "-rA", "--tb=line", "-p", "no:cacheprovider"]
    command += ["--import-mode=importlib", "-c", "/dev/null", str(MODULE)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 1, done.stdout + done.stderr
    found = {}
    for verdict, cls, test in re.findall(r"^(PASSED|FAILED) \S+::Test(\w+)::(\w+)", done.stdout, re.MULTILINE):
        found.setdefault(cls, {})[test] = verdict
    return found


@pytest.mark.parametrize("cls", EXPECTED)
def test_what_is_wrong_fails_where_it_is_wrong(results, cls):
    assert len(results[cls]) == 4
    assert {test for test, verdict in results[cls].items() if verdict == "FAILED"} == EXPECTED[cls]


def test_what_holds_no_case_fails(results):
    assert results["Empty"][WHOLE] == "FAILED"
    assert set(results["Number"].values()) == {"FAILED"}
