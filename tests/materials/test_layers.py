"""Layers of materials: of a call, of the process, of the environment, the library's own; who answers, who is told."""

import os
import warnings

import pytest
from shop_steel import steel, written

import millcalc as m
from millcalc.errors import ArgumentError, DataError, FileError, JobError, MillcalcWarning, UnknownNameError
from millcalc.materials import catalogue, material, materials
from millcalc.materials.catalogue import VARIABLE, use_materials
from millcalc.materials.layers import Catalogue
from millcalc.planning import example_route_text, example_text
from millcalc.planning.reading import job_from_text
from millcalc.planning.routes.reading import route_from_text


@pytest.fixture(autouse=True)
def fresh(monkeypatch):
    """No test hears or keeps what another has laid."""
    monkeypatch.delenv(VARIABLE, raising=False)
    monkeypatch.setattr(catalogue, "_SAID", set())
    yield
    assert not catalogue._IN_USE


def layer(path, speed, key="our-steel", designation="Our steel", more=""):
    return written(path, steel(key, designation, speed, more))


def low(name, **where):
    return material(name, **where).speed_window("coated carbide").low


def test_the_layers_answer_in_their_order(tmp_path, monkeypatch):
    paths = [layer(tmp_path / f"{n}.toml", f"[{n}, 500]") for n in (101, 102, 103, 104)]
    monkeypatch.setenv(VARIABLE, str(paths[3]))
    assert low("Our Steel") == 104
    with use_materials(paths[2]):
        assert low("our steel") == 103
        with use_materials(paths[1]):  # the latest lies on top
            assert low("OUR-STEEL") == 102
            assert low("our steel", catalogue=paths[0]) == 101
        assert low("our steel") == 103
    assert low("our steel") == 104
    monkeypatch.delenv(VARIABLE)
    with pytest.raises(UnknownNameError, match="no material is called 'our steel'"):
        material("our steel")


def test_origins_stay_visible(tmp_path):
    path = layer(tmp_path / "shop.toml", "[150, 200]")
    assert material("our steel", catalogue=path).origin == str(path)
    assert material("C45").origin == "built in"
    assert material("C45").with_(hardness="220 HB").origin == "built in, changed: hardness"
    assert m.Material.from_file(path).with_(notes=["x"]).origin == f"{path}, changed: notes"


def test_a_layer_that_answers_for_a_built_in_name_says_so_once(tmp_path):
    path = layer(tmp_path / "shop.toml", "[150, 200]", "c45", "C45")
    with use_materials(path):
        with pytest.warns(
            MillcalcWarning, match=r"'C 45' is the material of .*shop.toml, not the built-in C45"
        ) as heard:
            assert low("C 45") == 150
        assert len(heard) == 1
        assert "'builtin:c45'" in str(heard[0].message)
        assert heard[0].filename == __file__
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            assert low("c45") == 150
            assert low("1045") != 150  # its other names stay those of the built-in one
            assert low("builtin:C45") == low("Builtin: 1.0503") != 150
    assert material("C45").origin == "built in"
    with pytest.raises(UnknownNameError, match="no built-in material is called 'Our steel'"):
        material("builtin:Our steel", catalogue=layer(tmp_path / "other.toml", "[150, 200]"))


def test_a_layer_with_names_of_its_own_is_silent(tmp_path):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert low("our steel", catalogue=layer(tmp_path / "shop.toml", "[150, 200]")) == 150


def test_a_listing_has_a_shops_own_first(tmp_path):
    own = materials()
    path = written(tmp_path / "shop.toml", steel(), steel("c45", "C45"))
    assert materials(catalogue=path) == ("our-steel", "c45", *(key for key in own if key != "c45"))
    assert materials() == own


def test_use_as_a_function_lasts_until_it_is_ended(tmp_path):
    used = use_materials(layer(tmp_path / "shop.toml", "[150, 200]"))
    assert low("our steel") == 150
    used.end()
    used.end()
    with pytest.raises(UnknownNameError):
        material("our steel")


def test_blocks_may_end_in_any_order(tmp_path):
    first = use_materials(layer(tmp_path / "a.toml", "[150, 200]"))
    second = use_materials(layer(tmp_path / "b.toml", "[160, 200]"))
    first.end()
    assert low("our steel") == 160
    second.end()


def test_a_block_ends_when_it_fails(tmp_path):
    with pytest.raises(ZeroDivisionError), use_materials(layer(tmp_path / "a.toml", "[150, 200]")):
        1 / 0  # noqa: B018 - the failure is the test
    with pytest.raises(UnknownNameError):
        material("our steel")


def test_catalogues_lie_over_each_other(tmp_path):
    a, b = layer(tmp_path / "a.toml", "[150, 200]"), written(tmp_path / "b.toml", steel("b-steel", "B"), steel())
    ours = Catalogue.of(a).over(b)
    assert ours.keys() == ("our-steel", "b-steel")
    assert ours.material("our steel").origin == str(a)
    assert Catalogue.of(b).over(Catalogue.of(a)).material("our steel").origin == str(b)
    assert Catalogue.of(ours) is ours
    assert low("B", catalogue=ours) == 150
    with pytest.raises(UnknownNameError, match=r"no material is called 'our steal' \(nearest: Our steel"):
        ours.material("our steal")
    with pytest.raises(UnknownNameError):
        ours.material("C45")  # the library's own are no part of it


def test_records_make_a_catalogue():
    one, two = (material("C45").with_(key=k, designation=k, aliases=()) for k in ("one", "two"))
    for source in ([one, two], (one, two), {"x": one, "y": two}, (r for r in (one, two))):
        assert Catalogue.of(source).keys() == ("one", "two")
    assert material("two", catalogue=[one, two]) is two
    with pytest.raises(DataError, match=r"\[one\]: is a key that two records have"):
        Catalogue.of([one, one])
    with pytest.raises(DataError, match=r"\[two\]: given 'One'; is a name that \[one\] claims too"):
        Catalogue.of([one, two.with_(designation="One")])
    for source in (5, None, [], [one, "C45"], {"a": 1}):
        with pytest.raises(ArgumentError, match="is nothing that holds materials"):
            Catalogue.of(source)


def test_the_environment_may_name_several_files_and_one_that_changed_is_read_again(tmp_path, monkeypatch):
    a, b = layer(tmp_path / "a.toml", "[150, 200]"), written(tmp_path / "b.toml", steel("b-steel", "B"))
    monkeypatch.setenv(VARIABLE, f"{a}{os.pathsep}{b}{os.pathsep}")
    assert material("our steel") is material("our steel")
    assert (low("our steel"), low("B")) == (150, 150)
    layer(a, "[151, 201]", more="# longer than before\n")
    assert low("our steel") == 151


def test_a_file_of_the_environment_that_cannot_be_read_is_an_error_that_names_the_variable(tmp_path, monkeypatch):
    monkeypatch.setenv(VARIABLE, str(tmp_path / "none.toml"))
    with pytest.raises(FileError, match=r"cannot read .*none.toml: No such file .* \(named by MILLCALC_MATERIALS\)"):
        material("C45")
    assert material("builtin:C45").key == "c45"
    monkeypatch.setenv(VARIABLE, str(written(tmp_path / "bad.toml", steel(speed="[0, 200]"))))
    with pytest.raises(DataError, match=r"bad.toml \[our-steel\] cutting_speeds\[0\].value"):
        material("C45")


JOB = example_text().replace('material = "42CrMo4"', 'material = "our steel"\nmaterials = "shop.toml"')
ROUTE = example_route_text().replace('material = "42CrMo4"', 'material = "our steel"\nmaterials = "shop.toml"')


@pytest.mark.parametrize(("text", "read"), [(JOB, m.read_job), (ROUTE, m.read_route)], ids=["job", "route"])
def test_a_job_names_a_file_that_lies_beside_it(tmp_path, text, read):
    layer(tmp_path / "shop.toml", "[150, 200]")
    made = read(written(tmp_path / "job.toml", text))
    assert made.material.designation == "Our steel"
    assert made.material.origin == str(tmp_path / "shop.toml")


def test_a_plan_says_whose_material_it_is(tmp_path):
    path = layer(tmp_path / "shop.toml", "[150, 200]")
    made = m.plan(m.read_job(written(tmp_path / "job.toml", JOB)))
    assert made.basis[0].low == 150
    assert f"FROM THE MATERIAL'S RECORD ({path})" in m.plan_page(made)
    assert f"material: Invented steel of a shop ({path})" in str(made.sheet())
    assert "FROM THE MATERIAL'S RECORD\n" in m.plan_page(m.plan(m.example_job()))


def test_a_job_may_name_a_material_that_its_file_does_not_hold(tmp_path):
    layer(tmp_path / "shop.toml", "[150, 200]")
    text = example_text().replace('material = "42CrMo4"', 'material = "42CrMo4"\nmaterials = "shop.toml"')
    assert m.read_job(written(tmp_path / "job.toml", text)) == m.example_job()


@pytest.mark.parametrize("text", [JOB, ROUTE], ids=["job", "route"])
@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("5", "materials: given 5; it must be a text"),
        ('" "', "materials: given ' '; it must be a text"),
        ('"none.toml"', "materials: given 'none.toml'; cannot read"),
        ('"bad.toml"', "bad.toml [our-steel] cutting_speeds[0].value: given [0, 200]; lies outside"),
        ('"other.toml"', "material: given 'our steel'; no material is called 'our steel'"),
    ],
)
def test_a_bad_file_is_told_with_all_else_that_is_wrong(tmp_path, text, key, said):
    written(tmp_path / "bad.toml", steel(speed="[0, 200]"))
    written(tmp_path / "other.toml", steel("other", "Other"))
    text = text.replace('"shop.toml"', key).replace("[machine]", "wrong = 1\n[machine]", 1)
    read = route_from_text if "[[operations]]" in text else job_from_text
    with pytest.raises(JobError) as caught:
        read(text, str(tmp_path / "job.toml"))
    faults = list(map(str, caught.value.faults))
    assert sum(said in fault for fault in faults) == 1, faults
    assert len(faults) == 2
    assert any("wrong" in fault for fault in faults)
