"""Finding materials by any of their names."""

import time

import pytest

from millcalc.errors import ArgumentError, UnknownNameError
from millcalc.materials import catalogue, material, materials

NAMES = [
    ("C45", "c45"),
    ("c 45", "c45"),
    ("1.0503", "c45"),
    ("1.1191", "c45"),
    ("1045", "c45"),
    ("AISI 1045", "c45"),
    ("SAE-1045", "c45"),
    ("UNS G10450", "c45"),
    ("S45C", "c45"),
    ("42CrMo4", "42crmo4"),
    ("42 crmo 4", "42crmo4"),
    ("1.7225", "42crmo4"),
    ("4140", "42crmo4"),
    ("SCM440", "42crmo4"),
    ("P20", "40crmnmo7"),
    ("1.2311", "40crmnmo7"),
    ("H13", "x40crmov5-1-55hrc"),
    ("1.2344", "x40crmov5-1-55hrc"),
    ("X40CrMoV5-1", "x40crmov5-1-55hrc"),
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
    assert groups == sorted(groups, key="PMKNSH".index)
    assert set(groups) == set("PMKNSH")
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


def test_reading_the_whole_catalogue_is_quick():
    materials()
    best = float("inf")
    for _ in range(7):
        catalogue._catalogue.cache_clear()
        start = time.perf_counter()
        materials()
        best = min(best, time.perf_counter() - start)
    catalogue._by_name.cache_clear()
    assert best < 0.05  # 15 ms on the machine it was written on; the room is for slower ones
