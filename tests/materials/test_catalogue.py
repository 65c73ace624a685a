"""Finding materials by any of their names."""

import time
from pathlib import Path

import pytest

from millcalc.errors import ArgumentError, DataError, UnknownNameError
from millcalc.materials import built_in, catalogue, material, materials
from millcalc.materials.built_in import BuiltIn
from millcalc.materials.reading import read_texts
from millcalc.materials.rows import ISO513_GROUPS

NAMES = [
    ("C45", "c45"),
    ("c 45", "c45"),
    ("1.0503", "c45"),
    ("1.1191", "c45"),
    ("1045", "c45"),
    ("AISI 1045", "c45"),
    ("SAE-1045", "c45"),
    ("AISI/SAE 1045", "c45"),
    ("DIN EN C45", "c45"),
    ("uns-g10450", "c45"),
    ("en_1.0503", "c45"),
    ("UNS G10450", "c45"),
    ("S45C", "c45"),
    ("42CrMo4", "42crmo4"),
    ("42 crmo 4", "42crmo4"),
    ("1.7225", "42crmo4"),
    ("4140", "42crmo4"),
    ("SCM440", "42crmo4"),
    ("P20", "40crmnmo7"),
    ("1.2311", "40crmnmo7"),
    ("H13", "x40crmov5-1"),
    ("1.2344", "x40crmov5-1"),
    ("X40CrMoV5-1", "x40crmov5-1"),
    ("H13 hardened", "x40crmov5-1-55hrc"),
    ("X40CrMoV5-1, 55 HRC", "x40crmov5-1-55hrc"),
    ("D2", "x153crmov12"),
    ("D2 hardened", "x153crmov12-60hrc"),
    ("1018", "aisi-1018"),
    ("12L14", "11smnpb30"),
    ("AISI 4340", "34crnimo6"),
    ("SAE 8620", "20nicrmo2-2"),
    ("52100", "100cr6"),
    ("52100 hardened", "100cr6-60hrc"),
    ("M2", "hs6-5-2"),
    ("17-4PH", "x5crnicunb16-4"),
    ("2205", "x2crnimon22-5-3"),
    ("440C", "x105crmo17"),
    ("GGG-40", "en-gjs-400-15"),
    ("FCV400", "en-gjv-400"),
    ("AA 2024", "en-aw-2024-t3"),
    ("A356", "en-ac-42100"),
    ("Cu-ETP", "cw004a"),
    ("C17200", "cw101c"),
    ("AZ91D", "en-mc21120"),
    ("FR-4", "gfrp"),
    ("acetal", "pom"),
    ("nylon 66", "pa66"),
    ("tooling board", "pu-board"),
    ("W.-Nr. 1.4301", "x5crni18-10"),
    ("304", "x5crni18-10"),
    ("JIS SUS304", "x5crni18-10"),
    ("316l", "x2crnimo17-12-2"),
    ("1.4404", "x2crnimo17-12-2"),
    ("S31603", "x2crnimo17-12-2"),
    ("EN GJL 250", "en-gjl-250"),
    ("GJL-250", "en-gjl-250"),
    ("FC250", "en-gjl-250"),
    ("7075", "en-aw-7075-t6"),
    ("en aw 7075", "en-aw-7075-t6"),
    ("AA 6061", "en-aw-6061-t6"),
    ("Ti-6Al-4V", "ti-6al-4v"),
    ("ti6al4v", "ti-6al-4v"),
    ("TiAl6V4", "ti-6al-4v"),
    ("Grade 5", "ti-6al-4v"),
    ("R56400", "ti-6al-4v"),
    ("718", "alloy-718"),
    ("Nickel alloy 718", "alloy-718"),
    ("N07718", "alloy-718"),
    ("2.4668", "alloy-718"),
    ("CuZn39Pb3", "cuzn39pb3"),
    ("CW614N", "cuzn39pb3"),
    ("S235JR", "s235jr"),
    ("A36", "s235jr"),
]


@pytest.mark.parametrize(("name", "key"), NAMES)
def test_a_material_is_found_by_any_of_its_names(name, key):
    assert material(name).key == key


def test_every_name_of_every_material_finds_it():
    for key in materials():
        for name in material(key).names():
            assert material(name).key == key


def test_the_list_holds_the_materials_promised_group_by_group():
    found = materials()
    assert len(found) == len(set(found))
    groups = [material(key).iso513 for key in found]
    assert groups == sorted(groups, key=ISO513_GROUPS.index)
    assert set(groups) == set(ISO513_GROUPS)
    assert len(found) >= 62
    assert {"c45", "42crmo4", "40crmnmo7", "x40crmov5-1-55hrc", "x5crni18-10", "x2crnimo17-12-2"} <= set(found)
    assert {"en-gjl-250", "en-aw-7075-t6", "ti-6al-4v", "alloy-718", "cuzn39pb3", "s235jr"} <= set(found)


@pytest.mark.parametrize(
    ("name", "near"), [("42CrMo5", "42CrMo4"), ("1.4302", "1.4301"), ("Ti-6Al-4", "Ti-6Al-4V"), ("c5", "C45")]
)
def test_a_miss_gives_the_nearest_names(name, near):
    with pytest.raises(UnknownNameError, match="nearest") as caught:
        material(name)
    assert near.casefold() in str(caught.value).casefold()
    assert isinstance(caught.value, LookupError)


@pytest.mark.parametrize("name", ["", " ", "EN", "...", "wood of the moon"])
def test_a_name_near_to_nothing_is_a_plain_miss(name):
    with pytest.raises(UnknownNameError, match="no material is called"):
        material(name)


@pytest.mark.parametrize("name", [None, 1.4301, 304, b"C45"])
def test_a_name_that_is_no_text_is_refused(name):
    with pytest.raises(ArgumentError, match="is no text"):
        material(name)


def test_the_catalogue_is_read_once():
    assert material("C45") is material("1045")


def test_the_index_holds_the_names_of_the_records_in_the_order_of_the_files():
    """The names are picked from the text; all files, read as a whole, say the same."""
    folder = Path(catalogue.__file__).with_name("data")
    files = [(p.name, p.read_text(encoding="utf-8")) for p in sorted(folder.glob("*.toml"))]
    found, index = read_texts(files), BuiltIn()
    assert sorted(index.keys) == sorted(found)
    assert index.records == found
    assert sorted(index.names()) == sorted(name for m in found.values() for name in m.names())


def test_a_first_look_up_reads_one_record_only():
    index = BuiltIn()
    assert index.find("1.7225").key == "42crmo4"
    assert list(index._read) == ["42crmo4"]
    assert index.find("4140") is index.find("42CrMo4")


def test_a_key_that_two_files_hold_does_not_load(monkeypatch):
    monkeypatch.setattr(built_in, "_parts", lambda text: [("c45", '[c45]\niso513 = "P"')])
    with pytest.raises(DataError, match=r"\[c45\]: given 'c45'; is a key that h.toml has taken"):
        BuiltIn()


def test_the_first_look_up_is_quicker_than_reading_all():
    """In a process of its own it comes on top of the first plan."""
    best = float("inf")
    for _ in range(7):
        start = time.perf_counter()
        BuiltIn().find("42CrMo4")
        best = min(best, time.perf_counter() - start)
    whole = min(_time(lambda: BuiltIn().records) for _ in range(3))
    assert best < 0.6 * whole


def _time(call):
    start = time.perf_counter()
    call()
    return time.perf_counter() - start
