"""Versions of the interface, tracebacks, what asks for itself, and what is made believe to be installed."""

import importlib
import sys
import threading
import types

import pytest
from distributions import fresh

from millcalc import discovery
from millcalc.discovery import Plugin, all_found, check_api, found, load, registered, toml_files
from millcalc.errors import PluginError, UnknownNameError

GROUP = "millcalc.trial"


@pytest.fixture
def installed(tmp_path, monkeypatch):
    yield from fresh(tmp_path, monkeypatch)


def refusal(name):
    with pytest.raises(PluginError) as raised:
        load(GROUP, name)
    return str(raised.value)


@pytest.mark.parametrize("stated", [0, 2, -1, "1", 1.0, True, (1,)])
def test_any_other_version_of_the_interface_is_refused(installed, stated):
    code = f"MILLCALC_API = {stated!r}\nMADE = 1"
    installed.add("trial-old", {"barrel": "trial_old:MADE"}, {"trial_old": code}, group=GROUP, version="3.1")
    text = refusal("barrel")
    assert "trial-old 3.1" in text
    assert f"MILLCALC_API of trial_old: given {stated!r}; this millcalc offers version 1" in text
    assert "PluginError:" not in text
    with pytest.raises(PluginError, match="another version of the interface: here"):
        check_api(stated, "here")


def test_the_version_it_offers_is_accepted_and_need_not_be_stated(installed):
    check_api(discovery.API, "here")
    modules = {"trial_new": "MILLCALC_API = 1\nMADE = 1", "trial_silent": "MADE = 2"}
    installed.add("trial-new", {"barrel": "trial_new:MADE", "lens": "trial_silent:MADE"}, modules, group=GROUP)
    assert (load(GROUP, "barrel"), load(GROUP, "lens")) == (1, 2)
    assert {p.state for p in found(GROUP).values()} == {"loaded"}


def test_a_package_of_another_version_is_refused_before_its_modules_are_imported(installed):
    info = installed.add("trial-old", {"barrel": "trial_old.inner.deep:MADE"}, {}, group=GROUP)
    package = info.parent / "trial_old"
    (package / "inner").mkdir(parents=True)
    (package / "__init__.py").write_text("")
    (package / "inner" / "__init__.py").write_text("MILLCALC_API = 2\n")
    (package / "inner" / "deep.py").write_text("raise RuntimeError('this needs the other millcalc')\n")
    assert "MILLCALC_API of trial_old.inner: given 2" in refusal("barrel")
    assert "trial_old.inner.deep" not in sys.modules
    for name in [n for n in sys.modules if n.partition(".")[0] == "trial_old"]:
        del sys.modules[name]


def test_the_traceback_of_a_failure_is_kept_with_what_led_to_it(installed):
    code = "try:\n    1 / 0\nexcept ZeroDivisionError as error:\n    raise ValueError('so it cannot be') from error\n"
    installed.add("trial-bad", {"barrel": "trial_bad:MADE"}, {"trial_bad": code}, group=GROUP)
    assert found(GROUP)["barrel"].traceback == ""
    refusal("barrel")
    plugin = found(GROUP)["barrel"]
    assert plugin.state == "failed"
    assert plugin.cause == "ValueError: so it cannot be"
    text = plugin.traceback
    assert text.index("ZeroDivisionError: division by zero") < text.index("The above exception was the direct cause")
    assert text.endswith("ValueError: so it cannot be\n")
    assert "trial_bad.py" in text


def test_leaving_the_program_is_a_failure_and_an_interrupt_is_none(installed):
    modules = {"trial_leaving": "import sys\nsys.exit(3)\n", "trial_stopped": "raise KeyboardInterrupt\n"}
    points = {"leaving": "trial_leaving:X", "stopped": "trial_stopped:X"}
    installed.add("trial-bad", points, modules, group=GROUP)
    assert "SystemExit: 3" in refusal("leaving")
    with pytest.raises(KeyboardInterrupt):
        load(GROUP, "stopped")
    assert found(GROUP)["stopped"].state == "not loaded"


def test_what_asks_for_itself_while_it_is_imported_is_loaded_after_all(installed):
    code = (
        "from millcalc import discovery\nfrom millcalc.errors import PluginError\n"
        "try:\n    discovery.load('millcalc.trial', 'barrel')\nexcept PluginError as error:\n    MADE = str(error)\n"
    )
    installed.add("trial-self", {"barrel": "trial_self:MADE"}, {"trial_self": code}, group=GROUP)
    assert "'barrel' of millcalc.trial cannot be loaded yet" in load(GROUP, "barrel")
    assert found(GROUP)["barrel"].state == "loaded"


def test_another_thread_waits_for_a_plugin_that_is_being_loaded(installed):
    code = "import time\ntime.sleep(0.1)\nMADE = 5\n"
    installed.add("trial-slow", {"barrel": "trial_slow:MADE"}, {"trial_slow": code}, group=GROUP)
    made = []
    threads = [threading.Thread(target=lambda: made.append(load(GROUP, "barrel"))) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert made == [5, 5, 5, 5]


def test_all_groups_are_listed_together_by_their_names(installed):
    installed.add("trial-one", {"barrel": "trial_one:X"}, {}, group=GROUP)
    installed.add("trial-two", {"barrel": "trial_two:X"}, {}, group="another.group")
    listed = all_found()
    assert set(listed[GROUP]) == {"barrel"}
    assert all(group.startswith("millcalc.") for group in listed)


# --- made believe ----------------------------------------------------------------------------------------------------


def test_what_is_registered_is_found_until_the_block_ends():
    with registered(GROUP, "Barrel", dict, "shop-cutters", "1.5") as plugin:
        assert plugin == Plugin("Barrel", "shop-cutters", "1.5", "builtins:dict")
        assert found(GROUP) == {"Barrel": plugin}
        assert load(GROUP, "barrel") is load(GROUP, "shop-cutters:Barrel") is dict
        assert found(GROUP)["Barrel"].state == "loaded"
    with pytest.raises(UnknownNameError):
        load(GROUP, "barrel")


def test_what_is_registered_takes_the_place_of_its_own_installed_self_only(installed):
    installed.add("trial-one", {"barrel": "trial_one:MADE"}, {"trial_one": "MADE = 1"}, group=GROUP)
    with registered(GROUP, "barrel", 2, "trial-one", "9"):
        assert load(GROUP, "barrel") == 2
    assert load(GROUP, "barrel") == 1
    with registered(GROUP, "barrel", 3, "trial-two", "9"):
        assert "2 distributions add this name" in refusal("barrel")
        assert (load(GROUP, "trial-one:barrel"), load(GROUP, "trial-two:barrel")) == (1, 3)


def test_a_registered_thing_is_checked_and_may_be_a_target_or_nothing_at_all():
    def check(thing, plugin):
        raise TypeError(f"{thing} of {plugin.origin} will not do")

    with registered(GROUP, "barrel", None, "shop", "1"):
        assert load(GROUP, "barrel") is None
    with registered(GROUP, "barrel", 7, "shop", "1"), pytest.raises(PluginError, match="7 of shop 1 will not do"):
        load(GROUP, "barrel", check)
    with registered(GROUP, "barrel", "math:pi", "shop", "1"):
        assert load(GROUP, "barrel") == pytest.approx(3.14159265)


def test_a_registered_thing_of_another_version_is_refused(monkeypatch):
    module = types.ModuleType("trial_made_up")
    module.MILLCALC_API = 5
    monkeypatch.setitem(sys.modules, "trial_made_up", module)
    with registered(GROUP, "barrel", module, "shop", "1"):
        assert "MILLCALC_API of trial_made_up: given 5" in refusal("barrel")


def test_a_block_left_by_an_error_leaves_nothing_behind():
    with pytest.raises(RuntimeError), registered(GROUP, "barrel", 1, "shop", "1"):
        raise RuntimeError
    assert dict(found(GROUP)) == {}


# --- files that an entry point names ---------------------------------------------------------------------------


def test_files_are_found_in_whatever_names_them(tmp_path, monkeypatch):
    for name in ("tables_with_code", "tables_without"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "b.toml").write_text("")
        (tmp_path / name / "a.toml").write_text("")
    (tmp_path / "tables_with_code" / "__init__.py").write_text("")
    monkeypatch.syspath_prepend(str(tmp_path))
    for name in ("tables_with_code", "tables_without"):
        folder = tmp_path / name
        expected = (folder / "a.toml", folder / "b.toml")
        package = importlib.import_module(name)
        for thing in (package, folder, str(folder), lambda found=folder: found, lambda found=folder: [found]):
            assert toml_files(thing) == expected
        assert toml_files(folder / "b.toml") == (folder / "b.toml",)
        sys.modules.pop(name)


@pytest.mark.parametrize("thing", [7, None, {"a": 1}])
def test_what_names_no_files_is_refused(thing):
    with pytest.raises(TypeError, match="names neither a folder, a file, a package nor a function"):
        toml_files(thing)
