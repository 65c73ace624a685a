"""A record with some fields changed, and the one record of a file."""

import attrs
import pytest
from shop_steel import steel, written

from millcalc.errors import DataError, FileError, UnknownNameError
from millcalc.loads.coefficients import ForceCoefficients
from millcalc.materials import Caution, Kienzle, Material, Taylor, Value, material
from millcalc.materials.form import KEYS, REQUIRED

C45 = material("C45")


def test_changed_values_carry_the_shops_own_source():
    made = C45.with_(hardness="220 HB", kienzle={"kc11": 2050, "mc": 0.2, "chip": (0.05, 0.4)}, density="7.84 g/cm^3")
    (hardness,), (row,) = made.hardness, made.kienzle
    assert (hardness.low, hardness.high, hardness.unit) == (220, 220, "HB")
    assert (row.kc11, row.mc, row.chip_low, row.chip_high, row.unit) == (2050, 0.2, 0.05, 0.4, "N/mm^2")
    for each in (hardness, row, made.density[0]):
        assert (each.source, each.how_known, each.scope) == ("OWN_RECORD", "read", "grade")
        assert each.conditions == "as the shop states it"
    assert ForceCoefficients.from_material(made).origin.startswith("kc1.1 and mc of C45 (OWN_RECORD, read, grade)")


def test_all_else_stays_and_the_record_it_came_from_too():
    before = attrs.asdict(C45)
    made = C45.with_(hardness=["52 to 54 HRC", {"value": [540, 590], "unit": "HV"}])
    assert attrs.asdict(C45) == before
    assert [(r.low, r.high, r.unit) for r in made.hardness] == [(52, 54, "HRC"), (540, 590, "HV")]
    same = [f.name for f in attrs.fields(Material) if f.name not in ("hardness", "origin")]
    assert all(getattr(made, name) is getattr(C45, name) for name in same)


def test_rows_are_kept_as_they_are():
    row = C45.kienzle[0]
    made = C45.with_(kienzle=({"kc11": 2000, "mc": 0.2, "chip": [0.1, 0.5]}, row))
    assert made.kienzle[1] is row
    assert made.force_constants().kc11 == 2000
    assert C45.with_(cutting_speeds=C45.cutting_speeds[:1]).cutting_speeds == C45.cutting_speeds[:1]


def test_every_field_of_every_material_goes_in_as_it_came_out():
    for key in ("c45", "ti-6al-4v", "en-gjl-250", "x40crmov5-1-55hrc"):
        record = material(key)
        made = record.with_(**{name: getattr(record, name) for name in KEYS if getattr(record, name)})
        assert made == record


def test_words_and_single_rows_can_be_changed():
    made = C45.with_(
        key="bar-7", designation="Bar 7", aliases={"system": "other", "names": ["The old one"]}, iso513="H",
        notes="from stock", tip_caution={"severity": "note", "text": "none"}, least_chip_ratio={"value": 0.5},
        taylor={"n": 0.25, "c": 310, "substrate": "carbide", "operation": "milling"}, cautions=(),
    )  # fmt: skip
    assert made.names() == ("bar-7", "Bar 7", "The old one")
    assert (made.iso513, made.notes, made.cautions) == ("H", ("from stock",), ())
    assert made.tip_caution == Caution(severity="note", text="none", source="OWN_RECORD", how_known="read")
    assert (made.least_chip_ratio.middle, made.taylor[0].c) == (0.5, 310)


def test_values_of_a_source_of_their_own_say_all_of_it():
    row = {"value": 200, "unit": "HB", "source": "CALL", "how_known": "read", "scope": "grade", "conditions": "bar"}
    assert C45.with_(hardness=row).hardness[0].source == "CALL"
    with pytest.raises(DataError, match=r"C45 hardness\[0\].how_known: is missing") as caught:
        C45.with_(hardness={"value": 200, "unit": "HB", "source": "CALL"})
    assert len(caught.value.faults) == 3


def test_all_that_is_wrong_is_told_at_once():
    with pytest.raises(DataError, match="C45 cannot be changed") as caught:
        C45.with_(
            hardness="220 HX", kienze=1, kienzle=[{"kc11": 1}], density="about", tip_caution=3, key="A b", notes=5,
            cutting_speeds={"value": 0, "substrate": "carbide", "operation": "milling"},
        )  # fmt: skip
    assert list(map(str, caught.value.faults)) == [
        "C45 kienze: there is no such field (nearest: kienzle)",
        "C45 hardness[0].unit: given 'HX'; is none of the words used here; accepted: HB, HRC, HV, HRB",
        "C45 kienzle[0].mc: is missing",
        "C45 kienzle[0].chip: is missing",
        "C45 kienzle[0].kc11: given 1; lies outside the plausible range; accepted: 100 to 10000",
        "C45 density[0]: given 'about'; is no row; accepted: { key = value, ... }",
        "C45 tip_caution: given 3; is no row; accepted: { key = value, ... }",
        "C45 key: given 'A b'; is no key; accepted: small letters and digits, joined by hyphens",
        'C45 notes: given 5; is no list of texts; accepted: ["one", "two"]',
        "C45 cutting_speeds[0].value: given 0; lies outside the plausible range; accepted: 1 to 5000",
    ]


KNOWN = {"source": "PRACTICE", "how_known": "common practice", "scope": "class", "conditions": "c"}


@pytest.mark.parametrize(
    ("name", "row", "said"),
    [
        ("density", Value(low=7.8, high=7.8, unit="HB", **KNOWN), "density[0].unit: given 'HB'"),
        ("hardness", Value(low=220, high=210, unit="HB", **KNOWN), "low end above its high end"),
        ("kienzle", Kienzle(kc11=5, mc=0.2, chip_low=0.1, chip_high=1, **KNOWN), "kienzle[0].kc11: given 5"),
        ("taylor", Taylor(n=0.2, substrate="cheese", operation="milling", **KNOWN), "taylor[0].substrate"),
        ("least_chip_ratio", Value(low=50, high=50, unit="1", **KNOWN), "least_chip_ratio.value: given 50"),
    ],
)
def test_rows_hold_what_a_file_may_hold(name, row, said):
    with pytest.raises(DataError) as caught:
        C45.with_(**{name: row})
    assert said in str(caught.value)


def test_a_file_with_one_material(tmp_path):
    path = written(tmp_path / "shop.toml", steel())
    assert Material.from_file(path) == Material.from_file(str(path), name="our steel")
    with pytest.raises(UnknownNameError, match="no material is called 'C45'"):
        Material.from_file(path, name="C45")


def test_a_file_with_several_needs_a_name(tmp_path):
    path = written(tmp_path / "shop.toml", steel(), steel("b-steel", "B"))
    with pytest.raises(UnknownNameError, match=r"holds 2 materials, our-steel, b-steel: .*name=.*read_materials"):
        Material.from_file(path)
    assert Material.from_file(path, name="b").key == "b-steel"


def test_a_file_that_is_none_is_refused(tmp_path):
    with pytest.raises(FileError, match="cannot read"):
        Material.from_file(tmp_path / "none.toml")
    with pytest.raises(DataError, match=r"bad.toml \[our-steel\] cutting_speeds\[0\]"):
        Material.from_file(written(tmp_path / "bad.toml", steel(speed="[0, 200]")))


def test_what_a_record_must_have_cannot_be_taken_away():
    for name in REQUIRED:
        with pytest.raises(DataError, match=f"C45 {name}"):
            C45.with_(**{name: None})
