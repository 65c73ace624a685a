"""Plugins from real wheels, wrong in every way: the host works on, every fault is listed with all there is to know."""

import json
import os
import subprocess
import sys

import faulty_plugins as faulty
import pytest
from wheels import install

import millcalc as m

SCRIPT = """
import json, pathlib, sys
import attrs
import millcalc as m
from millcalc import discovery
from millcalc.errors import MillcalcError

def told(call):
    try:
        return "made", str(call())
    except MillcalcError as error:
        return type(error).__name__, str(error)

said = {}
said["before"] = [attrs.asdict(s) for s in m.plugins()]
said["imported"] = [name for name in sys.modules if name.startswith("trial_")]
pathlib.Path(sys.argv[1], "trial_gone.py").unlink()
said["asker"] = told(lambda: m.family("asker").__module__)
asker = sys.modules["trial_asker"]
said["asked"] = [asker.PAGE, asker.STEEL, {n: s.state for s in asker.STATES for n in [s.name]}]
said["asker listed"] = asker.LISTED["asker"].failure
said["after"] = [attrs.asdict(s) for s in m.plugins(load=True)]
said["told"] = {n: told(lambda: m.family(n).family) for n in sys.argv[2].split(",")}
said["chosen"] = [told(lambda: m.family(n).__module__) for n in ("twin", "trial-twin-a:twin", "Trial_Twin_B:Twin")]
said["ball"] = [m.family("ball").__module__, m.family("trial-shadow:ball").__module__]
said["families"] = {word: family.failure for word, family in m.families().items()}
said["made"] = float(m.family("good cone")(diameter="6 mm", teeth=2).profile.largest_radius)
said["page"] = m.plan_page(m.plan(m.example_job()))
said["again"] = [attrs.asdict(s) for s in m.plugins(load=True)] == said["after"]
print(json.dumps(said))
"""


@pytest.fixture(scope="module")
def target(tmp_path_factory):
    folder = tmp_path_factory.mktemp("wheels")
    install([wheel.write(folder) for wheel in faulty.ALL], folder / "target")
    return folder / "target"


def run(target, *arguments, status=0):
    variables = os.environ | {"PYTHONPATH": str(target), "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run([sys.executable, *arguments], env=variables, capture_output=True, text=True, check=False)
    assert done.returncode == status, done.stderr
    return done


@pytest.fixture(scope="module")
def listed(target):
    """What the command lists with --load --traceback; run before a plugin is removed."""
    return run(target, "-m", "millcalc", "plugins", "--load", "--traceback", status=1).stdout


@pytest.fixture(scope="module")
def listed_json(target):
    done = run(target, "-m", "millcalc", "plugins", "--load", "--traceback", "--json", status=1)
    return {row["name"]: row for row in json.loads(done.stdout)}


@pytest.fixture(scope="module")
def said(target, listed, listed_json):
    return json.loads(run(target, "-c", SCRIPT, str(target), ",".join(faulty.CAUSES)).stdout)


@pytest.fixture(scope="module")
def states(said):
    return {row["name"]: row for row in said["after"]}


def ours(rows):
    return {row["name"]: row for row in rows if row["distribution"].startswith("trial-")}


def test_all_are_listed_before_any_is_imported(said):
    found = ours(said["before"])
    names = [name for wheel in faulty.ALL for points in wheel.points.values() for name in points]
    assert set(found) == {*names, "trial-twin-a:twin", "trial-twin-b:twin"} - {"twin"}
    assert {n for n, row in found.items() if row["state"] != "not loaded"} == {"twice"}
    assert said["imported"] == []
    versions = {row["distribution"]: row["version"] for row in found.values()}
    assert versions == {wheel.name: wheel.version for wheel in faulty.ALL}


@pytest.mark.parametrize("name", faulty.CAUSES)
def test_a_fault_is_listed_with_distribution_version_cause_and_traceback(name, states, said):
    distribution, version, cause, shown = faulty.CAUSES[name]
    row = states[name]
    assert (row["distribution"], row["version"], row["state"]) == (distribution, version, "failed")
    assert row["cause"].startswith(cause)
    assert shown in (row["traceback"] or row["cause"])
    kind, text = said["told"][name]
    assert kind == "PluginError"
    assert f"{distribution} {version}: given {row['target']}; {row['cause']}" in text
    assert said["families"][name] == text


def test_a_traceback_is_whole(states):
    lines = states["importing"]["traceback"].splitlines()
    assert lines[0] == "Traceback (most recent call last):"
    assert [line.rpartition(" in ")[2] for line in lines if "trial_importing.py" in line] == [
        "<module>",
        "outer",
        "inner",
    ]
    assert lines[-1] == "KeyError: 'no such key'"


def test_the_command_lists_what_the_api_lists(listed, listed_json, states):
    for name, row in listed_json.items():
        if name != "gone":  # removed after the command had run
            assert row["state"] == states[name]["state"], name
            assert row["cause"] == states[name]["cause"], name
    assert listed_json["gone"]["state"] == "loaded"
    for name, (distribution, version, cause, shown) in faulty.CAUSES.items():
        if name != "gone":
            head = next(line for line in listed.splitlines() if line.startswith(f"  {name} "))
            assert head.split()[1:] == [distribution, version, "failed"]
            assert cause in listed
            assert shown in listed
    assert "Traceback (most recent call last):" in listed


def test_what_is_right_is_loaded(states, said):
    right = {"good-cone", "asker", "trial-twin-a:twin", "trial-twin-b:twin"}
    assert {name for name in right if states[name]["state"] == "loaded"} == right
    assert said["made"] == 3.0
    assert said["again"]


def test_two_distributions_with_one_name_are_chosen_by_both_names(said):
    (kind, text), first, second = said["chosen"]
    assert kind == "PluginError"
    assert "2 distributions add this name; accepted: " in text
    assert set(text.partition("accepted: ")[2].split(" or ")) == {"'trial-twin-a:twin'", "'trial-twin-b:twin'"}
    assert (first, second) == (["made", "trial_twin_a"], ["made", "trial_twin_b"])


def test_a_built_in_family_is_not_replaced_and_the_list_says_so(said, states):
    assert said["ball"] == ["millcalc.cutters.built_in", "trial_shadow"]
    assert said["families"]["ball"] == said["families"]["trial-shadow:ball"] == ""
    note = states["ball"]["note"]
    assert note == "the word stays that of the built-in family; this one is 'trial-shadow:ball'"


def test_a_plugin_may_query_everything_while_it_is_imported(said):
    assert said["asker"] == ["made", "trial_asker"]
    page, steel, listed = said["asked"]
    assert page == m.plan_page(m.plan(m.example_job()))
    assert steel == "C45"
    assert "it is being loaded" in said["asker listed"]
    assert listed["asker"] == "not loaded"
    assert listed["good-cone"] == "loaded"
    assert listed["importing"] == "failed"


def test_a_group_that_millcalc_does_not_have_is_listed_with_the_nearest(states):
    assert states["lost"]["group"] == "millcalc.cutter"
    assert states["lost"]["state"] == "not loaded"
    assert states["lost"]["note"] == "millcalc has no such group (nearest: cutters)"


def test_a_plan_comes_out_all_the_same(said, target):
    page = m.plan_page(m.plan(m.example_job()))
    assert said["page"] == page
    done = run(target, "-m", "millcalc", "plan", "--example")
    assert (done.stdout, done.stderr) == (page + "\n", "")
