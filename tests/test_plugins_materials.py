"""Materials and reference tables that real wheels add: found by name, chosen, refused, told of."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from wheels import Wheel, install

import millcalc as m

MATERIALS, REFERENCES = "millcalc.materials", "millcalc.references"
SHOP = Path(__file__).parents[1] / "plugins/millcalc-example-shop/millcalc_example_shop/materials.toml"
FILE = "from pathlib import Path\nFILE = Path(__file__).with_name('steels.toml')\n"
LISTED = FILE + "from millcalc.materials import read_materials\nRECORDS = list(read_materials(FILE).values())\n"
CALLED = FILE + "from millcalc.materials import read_materials\ndef made():\n    return read_materials(FILE)\n"
ASKING = "import millcalc as m\nFOUND = m.material('C45'), m.materials.materials(plugins=True)\n"
SOURCES = '[sources.TRIAL_BOOK]\ntitle = "An invented book"\nhow_known = "read"\n\n'


def steel(key, designation, *changes):
    """The invented steel of the example shop, under another name."""
    text = SHOP.read_text(encoding="utf-8")
    pairs = (("[example-die-steel]", f"[{key}]"), ('"Example die steel"', f'"{designation}"'), *changes)
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    return text


def wheel(name, text, code=FILE, attribute="FILE"):
    package = name.replace("-", "_")
    files = {f"{package}/__init__.py": code, f"{package}/steels.toml": text}
    return Wheel(name, "1.0", files, {MATERIALS: {name: f"{package}:{attribute}"}})


WHEELS = (
    wheel("mat-file", steel("alfa-steel", "Alfa")),
    wheel("mat-list", steel("bravo-steel", "Bravo"), LISTED, "RECORDS"),
    wheel("mat-call", steel("charlie-steel", "Charlie"), CALLED, "made"),
    wheel("mat-book", steel("delta-steel", "Delta", ("OWN_RECORD", "TRIAL_BOOK")) + "\n" + SOURCES),
    wheel("mat-asks", steel("echo-steel", "Echo"), FILE + ASKING),
    wheel("twin-one", steel("twin-steel", "Twin")),
    wheel("twin-two", steel("twin-steel", "Twin", ("7.8", "7.9"))),
    wheel("shadow-c45", steel("c45", "C45")),
    wheel("bad-api", steel("golf-steel", "Golf", ("api = 1", "api = 2"))),
    wheel("bad-values", steel("hotel-steel", "Hotel", ("value = 7.8", "value = 7800"))),
    wheel("bad-source", steel("india-steel", "India", ("OWN_RECORD", "NO_SUCH_BOOK"))),
    wheel("bad-type", steel("juliet-steel", "Juliet"), "FILE = 7.5\n"),
    wheel("bad-absent", steel("kilo-steel", "Kilo"), FILE.replace("steels", "nothing")),
    Wheel(
        "ref-tables",
        "2.0",
        {
            "ref_tables/__init__.py": "from pathlib import Path\nFOLDER = Path(__file__).parent\n"
            "NUMBER = 7\ndef paths():\n    return sorted(FOLDER.glob('*.toml'))\n",
            "ref_tables/book.toml": 'title = "An invented book"\n',
            "ref_empty/__init__.py": "",
            "ref_other/page.toml": "api = 3\n",
            "ref_folder/page.toml": 'title = "A folder without code"\n',
        },
        {
            REFERENCES: {
                "package": "ref_tables",
                "path": "ref_tables:FOLDER",
                "call": "ref_tables:paths",
                "folder": "ref_folder",
                "lost": "ref_tables:NOTHING",
                "number": "ref_tables:NUMBER",
                "empty": "ref_empty",
                "other": "ref_other",
            }
        },
    ),
)
CAUSES = {
    "bad-api": "another version of the interface: api of steels.toml: given 2",
    "bad-values": "DataError: the materials do not load: steels.toml [hotel-steel] density[0].value: given 7800",
    "bad-source": "DataError: the materials do not load",
    "bad-type": "TypeError",
    "bad-absent": "FileError: cannot read ",
}
SCRIPT = """
import json, sys
import attrs
import millcalc as m
from millcalc import discovery
from millcalc.errors import MillcalcError

def told(call):
    try:
        return call()
    except MillcalcError as error:
        return [type(error).__name__, str(error)]

def where(name):
    return told(lambda: [m.material(name).key, m.material(name).origin, m.material(name).density[0].low])

said = {"steel": where("C45"), "untouched": not [n for n in sys.modules if n[:4] in ("mat_", "twin", "bad_", "shad")]}
said["found"] = {name: where(name) for name in sys.argv[1].split(",")}
said["source"] = told(lambda: str(m.source("TRIAL_BOOK")))
said["keys"] = m.materials.materials(plugins=True)
said["asked"] = told(lambda: [sys.modules["mat_asks"].FOUND[0].origin, sys.modules["mat_asks"].FOUND[1]])
said["speed"] = float(m.plan(m.example_job().with_(material="alfa-steel")).spindle_speed.m_as("rpm"))
said["states"] = [attrs.asdict(s) for s in m.plugins(load=True)]
load = lambda name: discovery.load("millcalc.references", name)
said["references"] = [load("package").__name__, str(load("path")), [str(p) for p in load("call")()]]
said["references"] += [list(load("folder").__path__), told(lambda: load("lost"))]
said["page"] = m.plan_page(m.plan(m.example_job()))
print(json.dumps(said))
"""
NAMES = ("Alfa", "bravo-steel", "Charlie", "Delta", "Echo", "Twin", "twin-one:Twin", "Twin_Two:twin-steel")
NAMES += ("shadow-c45:C45", "Golf", "bad-values:Hotel", "mat-file:Bravo")


@pytest.fixture(scope="module")
def target(tmp_path_factory):
    folder = tmp_path_factory.mktemp("wheels")
    install([each.write(folder) for each in WHEELS], folder / "target")
    return folder / "target"


@pytest.fixture(scope="module")
def said(target):
    variables = os.environ | {"PYTHONPATH": str(target), "PYTHONDONTWRITEBYTECODE": "1"}
    command = [sys.executable, "-c", SCRIPT, ",".join(NAMES)]
    done = subprocess.run(command, env=variables, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.fixture(scope="module")
def states(said):
    return {row["name"]: row for row in said["states"]}


def test_a_built_in_name_is_found_without_any_of_it(said):
    assert said["steel"] == ["c45", "built in", 7.85]
    assert said["untouched"]


@pytest.mark.parametrize(
    ("name", "key", "origin"),
    [
        ("Alfa", "alfa-steel", "mat-file 1.0"),
        ("bravo-steel", "bravo-steel", "mat-list 1.0"),
        ("Charlie", "charlie-steel", "mat-call 1.0"),
        ("Delta", "delta-steel", "mat-book 1.0"),
        ("Echo", "echo-steel", "mat-asks 1.0"),
        ("shadow-c45:C45", "c45", "shadow-c45 1.0"),
    ],
)
def test_a_material_is_found_by_its_names(said, states, name, key, origin):
    assert said["found"][name] == [key, origin, 7.8]
    assert states[origin.split()[0]]["state"] == "loaded"
    assert f"{origin.split()[0]}:{key}" in said["keys"]


def test_a_file_brings_its_own_sources(said):
    assert said["source"] == "An invented book (read)"


def test_two_distributions_with_one_material_are_chosen_by_both_names(said):
    kind, text = said["found"]["Twin"]
    assert kind == "PluginError"
    assert "2 distributions add this material; accepted: " in text
    assert set(text.partition("accepted: ")[2].split(" or ")) == {"'twin-one:Twin'", "'twin-two:Twin'"}
    assert said["found"]["twin-one:Twin"] == ["twin-steel", "twin-one 1.0", 7.8]
    assert said["found"]["Twin_Two:twin-steel"] == ["twin-steel", "twin-two 1.0", 7.9]


@pytest.mark.parametrize("name", CAUSES)
def test_a_fault_is_listed_with_its_cause(states, name):
    row = states[name]
    assert (row["state"], row["distribution"], row["version"]) == ("failed", name, "1.0")
    assert row["cause"].startswith(CAUSES[name])
    assert row["traceback"].startswith("Traceback (most recent call last):")


def test_an_unknown_name_tells_what_could_not_be_loaded(said):
    kind, text = said["found"]["Golf"]
    assert kind == "UnknownNameError"
    assert "bad-api 1.0: another version of the interface" in text
    kind, text = said["found"]["bad-values:Hotel"]
    assert kind == "PluginError"
    assert "bad-values 1.0: given bad_values:FILE; DataError" in text
    assert said["found"]["mat-file:Bravo"] == ["UnknownNameError", "mat-file adds no material called 'Bravo'"]


def test_a_plugin_may_query_the_catalogue_while_it_is_imported(said):
    origin, keys = said["asked"]
    assert origin == "built in"
    assert "mat-file:alfa-steel" in keys
    assert "mat-asks:echo-steel" not in keys


def test_a_plan_comes_out_with_and_without(said):
    assert said["speed"] > 0.0
    assert said["page"] == m.plan_page(m.plan(m.example_job()))


def test_reference_tables_are_named_by_folder_package_path_or_function(said, target):
    package, path, called, folder, (kind, text) = said["references"]
    assert (package, path) == ("ref_tables", str(target / "ref_tables"))
    assert called == [str(target / "ref_tables" / "book.toml")]
    assert folder == [str(target / "ref_folder")]
    assert kind == "PluginError"
    assert "ref-tables 2.0: given ref_tables:NOTHING; AttributeError" in text


@pytest.mark.parametrize(
    ("name", "cause"),
    [
        ("number", "TypeError: 7 names neither a folder, a file, a package nor a function that returns paths"),
        ("empty", "FileError: ref_empty holds no TOML file"),
        ("other", "another version of the interface: api of page.toml: given 3"),
        ("lost", "AttributeError"),
    ],
)
def test_what_names_no_reference_tables_is_listed_with_its_cause(states, name, cause):
    assert states[name]["state"] == "failed"
    assert states[name]["cause"].startswith(cause)
    assert {states[n]["state"] for n in ("package", "path", "call", "folder")} == {"loaded"}
