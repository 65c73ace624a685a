"""What other distributions add: listed without importing, loaded when asked for, failures told and kept apart."""

import builtins
import subprocess
import sys
import threading

import importlib_metadata
import pytest
from distributions import Installed, fresh

from millcalc import discovery
from millcalc.errors import MillcalcWarning, PluginError, UnknownNameError

GROUP = "millcalc.trial"


@pytest.fixture
def installed(tmp_path, monkeypatch):
    yield from fresh(tmp_path, monkeypatch)


@pytest.fixture
def two(installed: Installed) -> Installed:
    """Two distributions that add one name to one group."""
    for name in ("trial-one", "trial-two"):
        module = name.replace("-", "_")
        installed.add(name, {"barrel": f"{module}:MADE"}, {module: f"MADE = {name!r}"}, group=GROUP)
    return installed


def test_names_are_listed_without_importing(installed):
    points = {"barrel": "trial_barrel:Barrel", "lens": "trial_barrel:inside.Lens"}
    installed.add("trial-cutters", points, {"trial_barrel": "Barrel = 1"}, group=GROUP, version="2.1")
    found = discovery.found(GROUP)
    assert list(found) == ["barrel", "lens"]
    assert found["barrel"] == discovery.Plugin("barrel", "trial-cutters", "2.1", "trial_barrel:Barrel")
    assert (found["lens"].origin, found["lens"].key) == ("trial-cutters 2.1", "trial-cutters:lens")
    assert "trial_barrel" not in sys.modules


def test_code_is_imported_when_its_name_is_asked_for(installed):
    modules = {"trial_a": "Barrel = 'a barrel'", "trial_b": "Lens = 'a lens'"}
    installed.add("trial-cutters", {"barrel": "trial_a:Barrel", "lens": "trial_b:Lens"}, modules, group=GROUP)
    assert discovery.load(GROUP, "barrel") == "a barrel"
    assert "trial_a" in sys.modules
    assert "trial_b" not in sys.modules


@pytest.mark.parametrize("name", ["Round_Barrel", " round barrel", "trial-cutters:round.barrel"])
def test_a_name_is_found_however_its_words_are_parted(installed, name):
    installed.add("trial-cutters", {"round-barrel": "trial_a:Barrel"}, {"trial_a": "Barrel = 7"}, group=GROUP)
    assert discovery.load(GROUP, name) == 7


@pytest.mark.parametrize(
    ("target", "code", "cause", "text"),
    [
        ("trial_bad:Barrel", "import nothing_of_this_name", ModuleNotFoundError, "nothing_of_this_name"),
        ("trial_bad:Barrel", "1 / 0", ZeroDivisionError, "division by zero"),
        ("trial_bad:Barrel", "def (", SyntaxError, "invalid syntax|Expected|expected"),
        ("trial_bad:Barrel", "barrel = 1", AttributeError, "has no attribute 'Barrel'"),
        ("trial bad:Barrel", "", Exception, "trial bad"),
    ],
)
def test_what_cannot_be_loaded_names_distribution_version_and_cause(installed, target, code, cause, text):
    installed.add("trial-bad", {"barrel": target}, {"trial_bad": code}, group=GROUP, version="0.3")
    installed.add("trial-good", {"lens": "trial_good:Lens"}, {"trial_good": "Lens = 1"}, group=GROUP)
    with pytest.raises(PluginError, match=text) as raised:
        discovery.load(GROUP, "barrel")
    (fault,) = raised.value.faults
    assert (fault.where, fault.given) == ("trial-bad 0.3", target)
    assert isinstance(raised.value.__cause__, cause)
    assert type(raised.value.__cause__).__name__ in fault.reason
    assert discovery.found(GROUP)["barrel"].failure is raised.value.__cause__
    assert discovery.found(GROUP)["lens"].failure is None
    assert discovery.load(GROUP, "lens") == 1


def test_a_failure_is_told_again_without_another_try(installed):
    code = "import builtins\nbuiltins.trial_tries = getattr(builtins, 'trial_tries', 0) + 1\n1 / 0"
    installed.add("trial-bad", {"barrel": "trial_bad:Barrel"}, {"trial_bad": code}, group=GROUP)
    causes = []
    for _ in range(3):
        with pytest.raises(PluginError) as raised:
            discovery.load(GROUP, "barrel")
        causes.append(raised.value.__cause__)
    assert builtins.__dict__.pop("trial_tries") == 1
    assert causes[0] is causes[1] is causes[2]


def test_what_a_check_refuses_counts_as_a_failure(installed):
    def check(thing, plugin):
        raise TypeError(f"{thing} of {plugin.distribution} is no barrel")

    installed.add("trial-bad", {"barrel": "trial_bad:Barrel"}, {"trial_bad": "Barrel = 5"}, group=GROUP)
    with pytest.raises(PluginError, match="TypeError: 5 of trial-bad is no barrel"):
        discovery.load(GROUP, "barrel", check)
    assert isinstance(discovery.found(GROUP)["barrel"].failure, TypeError)


def test_two_distributions_with_one_name_must_be_chosen_from(two):
    assert set(discovery.found(GROUP)) == {"trial-one:barrel", "trial-two:barrel"}
    with pytest.raises(PluginError, match="'trial-two:barrel' or 'trial-one:barrel'") as raised:
        discovery.load(GROUP, "barrel")
    assert raised.value.faults[0].given == "'barrel'"
    assert discovery.load(GROUP, "trial-one:barrel") == "trial-one"
    assert discovery.load(GROUP, "Trial_Two:Barrel") == "trial-two"


def test_a_name_that_one_distribution_adds_may_be_chosen_too(installed):
    installed.add("trial-one", {"barrel": "trial_one:B"}, {"trial_one": "B = 1"}, group=GROUP)
    assert discovery.load(GROUP, "trial-one:barrel") == 1


def test_a_distribution_twice_on_the_path_is_found_once(installed):
    for version, made in (("1.0", "'hidden'"), ("2.0", "'first on the path'")):
        installed.add(
            "trial-one", {"barrel": "trial_one:B"}, {"trial_one": f"B = {made}"}, group=GROUP, version=version
        )
    assert discovery.found(GROUP)["barrel"].version == "2.0"
    assert discovery.load(GROUP, "barrel") == "first on the path"


def test_an_unknown_name_gets_the_nearest(two):
    two.add("trial-three", {"lens": "trial_three:L"}, {"trial_three": "L = 1"}, group=GROUP)
    with pytest.raises(UnknownNameError, match=r"'barel' to millcalc\.trial \(nearest: barrel"):
        discovery.load(GROUP, "barel")
    with pytest.raises(UnknownNameError, match=r"'lens' to millcalc\.other$"):
        discovery.load("millcalc.other", "lens")


def test_the_path_is_looked_through_once_for_all_groups(two, monkeypatch):
    looks, every = [], importlib_metadata.distributions

    def counted():
        looks.append(threading.current_thread())
        return every()

    monkeypatch.setattr(importlib_metadata, "distributions", counted)
    threads = [threading.Thread(target=discovery.found, args=(f"millcalc.{n}",)) for n in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    discovery.found(GROUP)
    discovery.load(GROUP, "trial-one:barrel")
    with pytest.raises(UnknownNameError):
        discovery.load("millcalc.other", "barrel")
    assert len(looks) == 1
    discovery.forget()
    assert len(discovery.found(GROUP)) == 2
    assert len(looks) == 2


@pytest.mark.parametrize("file", ["METADATA", "entry_points.txt"])
def test_a_broken_installation_is_passed_over_with_a_warning(installed, file):
    info = installed.add("trial-broken", {"lens": "trial_broken:L"}, {"trial_broken": "L = 1"}, group=GROUP)
    installed.add("trial-good", {"barrel": "trial_good:B"}, {"trial_good": "B = 1"}, group=GROUP)
    (info / file).write_bytes(b"[millcalc.trial]\n\xff\xfe no text\n")
    with pytest.warns(MillcalcWarning, match="passed over"):
        assert list(discovery.found(GROUP)) == ["barrel"]


def test_nothing_is_looked_through_before_the_first_question():
    code = "import millcalc.discovery, millcalc.cutters, sys; print('importlib_metadata' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
