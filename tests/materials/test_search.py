"""Finding materials by what they are."""

import pytest
from shop_steel import steel, written

from millcalc.errors import ArgumentError, UnknownNameError
from millcalc.materials import material, materials, search_materials, tags_of


def test_nothing_asked_is_everything():
    assert search_materials() == materials()


@pytest.mark.parametrize("group", "PMKNSH")
def test_by_group(group):
    assert search_materials(group=group.lower()) == tuple(k for k in materials() if material(k).iso513 == group)


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("1.4301", "x5crni18-10"), ("aisi304", None), ("stainless x5crni", "x5crni18-10"), ("STRUCTURAL", "s235jr"),
        ("g10450", "c45"), ("scm 440", "42crmo4"), ("6Al4V", "ti-6al-4v"), ("moon", None),
    ],
)  # fmt: skip
def test_by_words_of_names_and_notes(text, key):
    found = search_materials(text)
    assert key in found if key else found == ()
    assert len(found) < len(materials())


def test_by_hardness_in_the_scale_stated():
    for key in materials():
        for row in material(key).hardness:
            assert key in search_materials(hardness=f"{row.low:g} to {row.high:g} {row.unit}")
            assert key in search_materials(hardness=f"{row.high:g} {row.unit.lower()}")
    bar = material("gjl-250").with_(key="bar", designation="Bar", aliases=(), hardness=["190 to 230 HB", "90 HRB"])
    for hardness, found in (("230-400 HB", True), ("231 to 400 HB", False), ("90 hrb", True), ("91 HRB", False)):
        assert ("bar" in search_materials(hardness=hardness, catalogue=bar)) is found


def test_a_hardened_steel_is_found_in_another_scale_and_a_nickel_alloy_is_not():
    """55 HRC is about 595 HV (ISO 18265, from memory); the table is none of nickel alloys, stated in HRC too."""
    assert "x40crmov5-1-55hrc" in search_materials(hardness="590 to 600 HV")
    assert "x40crmov5-1-55hrc" not in search_materials(hardness="700 to 800 HV")
    assert "alloy-718" in search_materials(hardness="40 HRC")
    assert "alloy-718" not in search_materials(hardness="350 to 420 HV", group="S")


@pytest.mark.parametrize(
    "hardness", ["300", "HB", "300 HX", "-300 HB", "300 to 200 HB", "", 300, ("300", "HB"), "1e3 HB"]
)
def test_a_hardness_that_cannot_be_read_is_refused(hardness):
    with pytest.raises(ArgumentError, match=r"hardness: given .*it cannot be read"):
        search_materials(hardness=hardness)


def test_tags_tell_hazards_data_and_words():
    titanium, brass = set(tags_of(material("ti-6al-4v"))), set(tags_of(material("cuzn39pb3")))
    assert {"fire", "titanium", "alloy", "carbide", "work hardening", "tool life", "kc1.1"} <= titanium
    assert {"lead", "brass", "HSS"} <= brass
    assert not {"fire", "lead"} & (titanium & brass)
    assert "explosion" in tags_of(material("7075"))
    assert "force coefficients" in tags_of(material("7075"))
    assert "dust" in tags_of(material("gjl-250"))


def test_by_tags_all_of_them():
    for tag in ("fire", "lead", "coated carbide", "work hardening"):
        assert search_materials(tag=tag) == tuple(k for k in materials() if tag in tags_of(material(k)))
    both = search_materials(tag=["Fire", " coated CARBIDE "])
    assert both == tuple(k for k in materials() if {"fire", "coated carbide"} <= set(tags_of(material(k))))
    assert 0 < len(both) < len(materials())


def test_an_unknown_tag_gives_the_nearest():
    with pytest.raises(UnknownNameError, match=r"no material has the tag 'titanum' \(nearest: titanium"):
        search_materials(tag="titanum")
    with pytest.raises(UnknownNameError, match="no material has the tag 5"):
        search_materials(tag=[5])
    with pytest.raises(UnknownNameError, match="no group of ISO 513 is called 'Q'"):
        search_materials(group="Q")


def test_all_conditions_together(tmp_path):
    path = written(tmp_path / "shop.toml", steel())
    assert search_materials("shop", group="P", catalogue=path) == ("our-steel",)
    assert search_materials("shop", group="M", catalogue=path) == ()
    assert search_materials("shop") == ()
