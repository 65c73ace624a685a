"""The conformance suite passes what is right, and of what is wrong it fails the very test that is about it."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from millcalc import BallEndMill
from millcalc.cutters.answers import ANSWERS
from millcalc.discovery import found
from millcalc.testing import CutterConformance, questions
from millcalc.testing import registered_plugin as registered_plugin

MODULE = Path(__file__).with_name("faulty_suite.py")
EXPECTED = {
    "Right": set(),
    "Silent": {"test_every_parameter_says_what_it_is"},
    "WithoutUnit": {"test_every_parameter_says_what_it_is", "test_every_number_has_a_kind"},
    "Dented": {"test_the_profile_is_convex"},
    "Mistaken": {"test_the_contact_is_the_farthest_point"},
    "Narrow": {"test_the_diameter_is_the_largest"},
    "OneByOne": {"test_answers_for_arrays_equal_those_for_scalars"},
    "Unwritten": {"test_a_job_file_with_it_is_read_back_the_same"},
    "Crashing": {"test_what_makes_no_cutter_is_refused"},
    "Deaf": {"test_units_are_read"},
    "Known": {"test_it_is_a_family_that_its_word_finds"},
    "Hidden": {"test_copies_are_equal"},
    "File": set(),
    "Records": set(),
    "Taken": {"test_no_name_is_that_of_a_built_in_material"},
    "TakenOnPurpose": set(),
    "Nameless": {"test_every_name_finds_its_material"},
    "NoSource": {"test_every_value_has_a_source"},
    "NotRead": {"test_every_value_has_a_source"},
    "OwnWithoutConditions": {"test_every_value_has_a_source"},
    "OtherUnit": {"test_units_are_right"},
    "NotPlausible": {"test_units_are_right"},
    "Forces": {"test_data_on_the_force_agree"},
    "Burning": {"test_what_burns_says_so"},
}
"""What is tested, by the name of its class, and the tests that must fail; all others must pass."""


@pytest.fixture(scope="module")
def output():
    command = [sys.executable, "-m", "pytest", "-q", "-rA", "--tb=line", "-p", "no:cacheprovider", "-p", "no:doctest"]
    command += ["--import-mode=importlib", "-c", "/dev/null", str(MODULE)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 1, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def results(output):
    found = {}
    for verdict, cls, test in re.findall(r"^(PASSED|FAILED|ERROR) \S+::Test(\w+)::(\w+)", output, re.MULTILINE):
        found.setdefault(cls, {})[test] = verdict
    return found


@pytest.mark.parametrize("cls", EXPECTED)
def test_what_is_wrong_fails_where_it_is_wrong(results, cls):
    assert {test for test, verdict in results[cls].items() if verdict != "PASSED"} == EXPECTED[cls]
    assert len(results[cls]) >= 8


def test_what_cannot_be_read_fails_everywhere(results):
    assert set(results["NoFile"].values()) == {"FAILED"}
    assert set(results["NothingStated"].values()) == {"ERROR"}


def test_each_test_of_the_suite_can_fail(results):
    failed = set().union(*EXPECTED.values())
    everything = {test for tests in results.values() for test in tests}
    # what cannot be read fails these, as above
    assert everything - failed == {"test_all_of_it_can_be_read", "test_plans_come_out"}


def test_nothing_else_of_millcalc_imports_pytest():
    package = Path(__file__).parents[2] / "millcalc"
    having = {p.relative_to(package).parts[0] for p in package.rglob("*.py") if "import pytest" in p.read_text("utf-8")}
    assert having == {"testing"}


def test_a_class_without_family_or_examples_is_refused():
    class TestNone(CutterConformance):
        family = "oval"

    class TestNobody(CutterConformance):
        examples = ({"diameter": "6 mm"},)

    for cls in (TestNone, TestNobody):
        with pytest.raises(pytest.UsageError, match=f"{cls.__name__} states no family, or no examples"):
            cls().pytest_generate_tests(None)


def test_a_fixture_registers_until_the_test_ends(registered_plugin):
    registered_plugin("millcalc.cutters", "stump", "no_module_of_this_name:Stump")
    plugin = registered_plugin("millcalc.cutters", "post", dict, "shop-cutters", "2")
    assert found("millcalc.cutters")["stump"].origin == "plugin-under-test 0"
    assert found("millcalc.cutters")["post"] == plugin
    assert plugin.origin == "shop-cutters 2"


def test_a_cutter_is_asked_everything_that_cutters_answer():
    asked = set(questions._questions())
    assert {"contact_diameter", "scallop_height", "max_chip_thickness", "stairs"} <= asked
    assert asked == {name for name in ANSWERS if hasattr(BallEndMill, name)}
