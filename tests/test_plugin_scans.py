"""What looking for plugins costs: nothing for what is built in, one look however much is installed."""

import json
import os
import subprocess
import sys

import pytest

from millcalc import BallEndMill
from millcalc.__main__ import main
from millcalc.discovery import Plugin, registered
from millcalc.errors import PluginError
from millcalc.report.plugin_states import plugins_text, tracebacks_text

MANY = 300
SCRIPT = """
import importlib_metadata, sys
looks, every = [], importlib_metadata.distributions

def counted(*given, **named):
    caller = sys._getframe(1).f_globals["__name__"]
    if caller.partition(".")[0] == "millcalc":  # what millcalc stands on may look for itself
        looks.append(caller)
    return every(*given, **named)

importlib_metadata.distributions = counted

import millcalc as m
plan, steel, ball = m.plan(m.example_job()), m.material("C45"), m.BallEndMill(diameter="6 mm", teeth=2)
words = [m.family(w) for w in ("ball", "flat")], m.materials.materials()[:1], m.read_job
print(len(looks))
m.plugins(), m.families(), m.plugins(load=True), m.plugins()
try:
    m.family("no such family")
except LookupError:
    print(len(looks))
print(len(list(every())))
"""
LISTED = """\
millcalc.cutter
  post   shop-cutters 1.0  not loaded
      millcalc has no such group (nearest: cutters)
millcalc.cutters
  stump  shop-cutters 1.0  not loaded
  ball   shop-cutters 1.0  not loaded
      the word stays that of the built-in family; this one is 'shop-cutters:ball'
"""
LOADED = """\
millcalc.cutter
  post   shop-cutters 1.0  not loaded
      millcalc has no such group (nearest: cutters)
millcalc.cutters
  stump  shop-cutters 1.0  failed
      ModuleNotFoundError: No module named 'no_module_of_this_name'
  ball   shop-cutters 1.0  loaded
      the word stays that of the built-in family; this one is 'shop-cutters:ball'
"""


@pytest.fixture(scope="module")
def crowded(tmp_path_factory):
    """A folder with many distributions, none of which has to do with millcalc."""
    folder = tmp_path_factory.mktemp("crowded")
    for each in range(MANY):
        info = folder / f"crowd_{each}-1.{each}.dist-info"
        info.mkdir()
        text = f"Metadata-Version: 2.1\nName: crowd-{each}\nVersion: 1.{each}\n"
        (info / "METADATA").write_text(text, encoding="utf-8")
        points = f"[console_scripts]\ncrowd-{each} = crowd_{each}:main\n\n[another.group]\nname = crowd_{each}:made\n"
        (info / "entry_points.txt").write_text(points, encoding="utf-8")
    return folder


def test_what_is_built_in_looks_at_nothing_and_all_else_looks_once(crowded):
    variables = os.environ | {"PYTHONPATH": str(crowded)}
    command = [sys.executable, "-c", SCRIPT]
    done = subprocess.run(command, env=variables, capture_output=True, text=True, check=True)
    built_in, after, installed = map(int, done.stdout.split())
    assert built_in == 0
    assert after == 1
    assert installed >= MANY


def test_nothing_installed_is_said_so():
    assert plugins_text(()) == "no installed distribution adds anything to millcalc"
    assert tracebacks_text(()) == ""


def test_the_command_lists_what_one_distribution_adds(capsys):
    shop = ("shop-cutters", "1.0")
    with (
        registered("millcalc.cutters", "stump", "no_module_of_this_name:Stump", *shop),
        registered("millcalc.cutters", "ball", BallEndMill, *shop),
        registered("millcalc.cutter", "post", "no_module_of_this_name:Post", *shop),
    ):
        assert main(["plugins", "Shop_Cutters"]) == 0
        assert capsys.readouterr().out == LISTED
        assert main(["plugins", "shop-cutters", "--load"]) == 1
        assert capsys.readouterr().out == LOADED
        assert main(["plugins", "shop-cutters", "--traceback"]) == 1
        shown = capsys.readouterr().out
        assert shown.startswith(LOADED)
        assert "millcalc.cutters stump of shop-cutters 1.0, no_module_of_this_name:Stump:\nTraceback (most" in shown
        assert main(["plugins", "shop-cutters", "--json"]) == 1
        assert [row["state"] for row in json.loads(capsys.readouterr().out)] == ["not loaded", "failed", "loaded"]
        assert main(["plugins", "shop-cuters"]) == 2
        assert "'shop-cuters' adds anything to millcalc (nearest: shop-cutters)" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("plugin", "state", "cause"),
    [
        (Plugin("a", "b", "1", "c:d"), "not loaded", ""),
        (Plugin("a", "b", "1", "c:d", loaded=True), "loaded", ""),
        (Plugin("a", "b", "1", "c:d", failure=ValueError("x")), "failed", "ValueError: x"),
        (Plugin("a", "b", "1", "c:d", failure=PluginError("in words")), "failed", "in words"),
    ],
)
def test_states_and_causes(plugin, state, cause):
    assert (plugin.state, plugin.cause) == (state, cause)
