"""Materials of other distributions: found when nothing else has the name, chosen, refused, listed with their cause."""

import subprocess
import sys

import pytest
from distributions import fresh
from shop_steel import steel, written

from millcalc import discovery
from millcalc.errors import PluginError, UnknownNameError
from millcalc.materials import catalogue, material, materials, search_materials
from millcalc.materials.added import GROUP

FILE = "from pathlib import Path\nFILE = Path({path!r})\n"
LIST = FILE + "from millcalc.materials import read_materials\nRECORDS = list(read_materials(FILE).values())\n"
CALL = FILE + "CALLS = []\ndef made():\n    CALLS.append(1)\n    return FILE\n"


@pytest.fixture
def installed(tmp_path, monkeypatch):
    folder = tmp_path / "sites"
    folder.mkdir()
    yield from fresh(folder, monkeypatch)


@pytest.fixture
def add(installed, tmp_path):
    def adding(name, text, code=FILE, attribute="FILE"):
        module = name.replace("-", "_")
        path = written(tmp_path / f"{module}.toml", text)
        installed.add(name, {name: f"{module}:{attribute}"}, {module: code.format(path=str(path))}, group=GROUP)

    return adding


@pytest.mark.parametrize(
    ("code", "attribute"), [(FILE, "FILE"), (LIST, "RECORDS"), (CALL, "made")], ids=["file", "list", "function"]
)
def test_an_entry_point_yields_a_file_a_list_or_a_function(add, code, attribute):
    add("shop-steels", steel(), code, attribute)
    found = material("our steel")
    assert (found.key, found.origin) == ("our-steel", "shop-steels 1.0")
    assert material("Our-Steel") is material("shop_steels:our steel") is found
    assert materials(plugins=True)[-1] == "shop-steels:our-steel"
    assert "shop-steels:our-steel" not in materials()
    assert search_materials("invented", plugins=True) == ("shop-steels:our-steel",)
    assert discovery.found(GROUP)["shop-steels"].state == "loaded"


def test_a_function_is_called_once(add):
    add("shop-steels", steel(), CALL, "made")
    for _ in range(3):
        material("our steel")
    assert len(sys.modules["shop_steels"].CALLS) == 1


def test_built_in_and_shop_names_never_look_at_them(add, monkeypatch, tmp_path):
    add("shop-steels", steel())
    with monkeypatch.context() as patch:
        patch.setattr(discovery, "_scan", None)  # a look would fail
        assert material("C45").origin == "built in"
        assert material("B", catalogue=written(tmp_path / "b.toml", steel("b-steel", "B"))).key == "b-steel"
        assert "c45" in materials()
        with pytest.raises(TypeError):
            material("our steel")


def test_built_in_names_load_no_metadata_in_a_fresh_interpreter():
    code = "import sys; from millcalc.materials import material; material('1045'); "
    code += "print('importlib_metadata' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_a_built_in_name_is_not_taken_over(add):
    add("shop-steels", steel("c45", "C45"))
    assert material("C45").origin == "built in"
    assert material("shop-steels:C45").origin == "shop-steels 1.0"
    assert materials(plugins=True).count("c45") == 1


def test_two_distributions_with_one_material(add):
    add("twin-one", steel(speed="[151, 200]"))
    add("twin-two", steel(speed="[152, 200]"))
    with pytest.raises(PluginError, match="2 distributions add this material") as caught:
        material("our steel")
    assert "'twin-one:our steel'" in str(caught.value)
    assert "'twin-two:our steel'" in str(caught.value)
    assert material("twin-two:our steel").speed_window("coated carbide").low == 152


FAULTS = [
    ("bad-values", steel(speed="[0, 200]"), FILE, "cutting_speeds[0].value: given [0, 200]"),
    ("bad-type", steel(), "FILE = 7.5\n", "7.5 is no Material"),
    ("bad-empty", steel(), "FILE = []\n", "it holds no material"),
    ("bad-import", steel(), "import no_such_module\n", "No module named 'no_such_module'"),
    ("bad-twice", steel(), LIST + "FILE = RECORDS * 2\n", "two of its materials have the key 'our-steel'"),
    ("bad-call", steel(), "def FILE():\n    raise OSError('no disk')\n", "no disk"),
    ("bad-form", "api = 2\n" + steel(), FILE, "another version of the interface"),
]


@pytest.mark.parametrize(("name", "text", "code", "said"), FAULTS, ids=[row[0] for row in FAULTS])
def test_what_cannot_be_loaded_is_listed_and_stops_nothing_else(add, name, text, code, said):
    add(name, text, code)
    add("good", steel("good-steel", "Good"))
    assert material("Good").origin == "good 1.0"
    with pytest.raises(UnknownNameError, match="no material is called 'our steel'") as caught:
        material("our steel")
    assert f"cannot be loaded: {name} 1.0: " in str(caught.value)
    assert said in str(caught.value)
    with pytest.raises(PluginError, match=f"'{name}' of millcalc.materials cannot be loaded"):
        material(f"{name}:our steel")
    state = discovery.found(GROUP)[name]
    assert state.state == "failed"
    assert said in state.cause
    assert [layer.origin for layer in catalogue.plugin_layer()] == ["good 1.0"]


def test_a_miss_gives_the_nearest_of_theirs_too(add):
    add("shop-steels", steel())
    with pytest.raises(UnknownNameError, match=r"\(nearest: Our steel, our-steel\)"):
        material("our steell")
    with pytest.raises(UnknownNameError, match="shop-steels adds no material called 'C45'"):
        material("shop-steels:C45")
    with pytest.raises(UnknownNameError, match="no material is called 'nobody:our steel'"):
        material("nobody:our steel")
