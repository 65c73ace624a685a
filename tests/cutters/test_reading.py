"""Cutter files: read with every fault named, written so that they read back to an equal cutter."""

import tomllib
from typing import Annotated, Any

import pytest
from distributions import FAMILY, Installed, fresh
from hypothesis import given
from hypothesis import strategies as st

from millcalc.cutters import (
    BallEndMill,
    CornerRadiusEndMill,
    FlatEndMill,
    RoundInsertCutter,
    TaperedBallEndMill,
    family,
)
from millcalc.cutters.cutter import SUBSTRATES
from millcalc.cutters.reading import cutter_from_table, cutter_from_text, cutter_text, read_cutter, write_cutter
from millcalc.errors import ArgumentError, FileError, JobError, PluginError, UnknownNameError
from millcalc.quantities.kinds import KINDS
from millcalc.quantities.record import Field, entry, given_fields, record

BALL = BallEndMill(diameter="6 mm", teeth=2)
ONE_OF_EACH = [
    FlatEndMill(diameter="10 mm", teeth=4, helix="40 deg"),
    BallEndMill(diameter="1/4 in", teeth=2, overhang="24 mm", rated_spindle_speed="40000 rpm", edge_radius="5 um"),
    CornerRadiusEndMill(diameter="10 mm", corner_radius="1/32 in", teeth=4, flute_length="22 mm", eccentricity="3 um"),
    TaperedBallEndMill(tip_diameter="2 mm", half_angle="0.1 rad", diameter="10 mm", teeth=3, substrate="HSS"),
    RoundInsertCutter(diameter="2 in", insert_diameter="12 mm", teeth=5, shank_diameter="20 mm"),
]


@pytest.fixture
def installed(tmp_path, monkeypatch):
    yield from fresh(tmp_path, monkeypatch)


def faults_of(error) -> list[str]:
    return [fault.where for fault in error.value.faults]


@pytest.mark.parametrize("cutter", ONE_OF_EACH, ids=lambda c: c.family)
def test_each_family_reads_back_equal(cutter, tmp_path):
    write_cutter(cutter, tmp_path / "cutter.toml")
    back = read_cutter(tmp_path / "cutter.toml")
    assert back == cutter
    assert given_fields(back) == given_fields(cutter)
    assert cutter_from_table(tomllib.loads(cutter_text(cutter))["cutter"]) == cutter


@given(
    tip=st.floats(0.01, 100.0),
    angle=st.floats(0.01, 89.0),
    more=st.floats(1.0, 10.0),
    teeth=st.integers(1, 100),
    speed=st.floats(1.0, 1e5),
    edge=st.floats(1e-3, 1e3),
    substrate=st.sampled_from(SUBSTRATES),
)
def test_any_numbers_read_back_equal(tip, angle, more, teeth, speed, edge, substrate):
    shape = {"tip_diameter": f"{tip!r} mm", "half_angle": f"{angle!r} deg", "diameter": f"{tip * more!r} mm"}
    body = {"rated_spindle_speed": f"{speed!r} rpm", "edge_radius": f"{edge!r} um", "substrate": substrate}
    cutter = TaperedBallEndMill(**shape, **body, teeth=teeth)
    assert cutter_from_text(cutter_text(cutter)) == cutter


def test_only_what_was_given_is_written():
    assert cutter_text(BALL) == '[cutter]\nfamily = "ball"\ndiameter = "6.0 mm"\nteeth = 2\n'
    assert "substrate" in cutter_text(BALL.with_(substrate="coated carbide"))
    assert "overhang" not in cutter_text(BallEndMill(diameter="6 mm", teeth=2, overhang=None))


@given(text=st.text(st.characters(exclude_categories=["Cs"])))
def test_any_text_is_quoted(text):
    @record
    class Marked(BallEndMill):
        note: str = entry(default="")

    made = Marked(diameter="6 mm", teeth=2, note=text)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("millcalc.cutters.reading.word_of", lambda cls: "ball")
        assert tomllib.loads(cutter_text(made))["cutter"]["note"] == text


WHOLE = {
    "diameter": "6 mm",
    "teeth": 2,
    "half_angle": "45 deg",
    "land": "all",
    "polished": True,
    "grade": "N5",
    "share": 0.1,
    "note": 'a "quoted" \\ word\nand µ\x7f',
    "sharpened": True,
    "times": 3,
    "wear": 1e-7,
    "drawn": "yes",
}


@pytest.mark.parametrize("point", ["steep-cone", "ball"])
def test_a_family_of_another_distribution_reads_back_equal(installed: Installed, point, tmp_path):
    code = {"trial_cone": FAMILY.format(word=point)}
    installed.add("trial-cones", {point: "trial_cone:Cone"}, code)
    cutter = family(f"trial-cones:{point}")(**WHOLE)
    write_cutter(cutter, tmp_path / "cone.toml")
    assert read_cutter(tmp_path / "cone.toml") == cutter
    for name in WHOLE:
        assert f"\n{name} = " in cutter_text(cutter)


def test_what_toml_cannot_say_is_refused_all_at_once(installed):
    installed.add("trial-cones", {"cone": "trial_cone:Cone"}, {"trial_cone": FAMILY.format(word="cone")})
    cutter = family("cone")(diameter="6 mm", teeth=2, drawn=object())
    with pytest.raises(ArgumentError, match=r"drawn: .*object cannot be written to a file") as error:
        cutter_text(cutter)
    assert faults_of(error) == ["drawn"]


def test_a_family_that_nobody_adds_is_not_written():
    class Own(FlatEndMill):
        family = "own"

    with pytest.raises(UnknownNameError, match="'own'"):
        cutter_text(Own(diameter="6 mm", teeth=2))


@pytest.mark.parametrize("kind", [k for k in KINDS.values() if k.unit], ids=lambda k: k.name)
def test_the_printed_unit_of_every_kind_reads_back_exactly(kind):
    field = Field("value", Annotated[Any, kind], entry())
    for number in (0.1, 1 / 3, 123.456789, 2 / 7, 1e-7):
        if number in kind.domain and number in kind.plausible:
            assert field.read(f"{number!r} {kind.label}") == number


def test_a_file_that_is_there_is_kept_unless_told_otherwise(tmp_path):
    path = tmp_path / "cutter.toml"
    path.write_text("what was there", encoding="utf-8")
    with pytest.raises(FileError, match="there is a file of this name; accepted: another name, or overwrite=True"):
        write_cutter(BALL, path)
    assert path.read_text(encoding="utf-8") == "what was there"
    write_cutter(BALL, path, overwrite=True)
    assert read_cutter(path) == BALL
    with pytest.raises(FileError, match="No such file or directory"):
        write_cutter(BALL, tmp_path / "nowhere" / "cutter.toml")


def test_fields_may_stand_at_the_top_or_in_a_table(tmp_path):
    fields = 'diameter = "6 mm"\nteeth = 2\n'
    assert cutter_from_text(fields) == cutter_from_text("[cutter]\n" + fields) == BALL
    assert cutter_from_text('family = "FLAT"\n' + fields) == FlatEndMill(diameter="6 mm", teeth=2)
    (tmp_path / "marked.toml").write_bytes(b"\xef\xbb\xbf" + fields.encode())
    assert read_cutter(tmp_path / "marked.toml") == BALL


def test_every_fault_is_listed_with_file_table_and_key():
    text = 'teeth = 2.5\n[cutter]\nfamily = "corner-radius"\ndiameter = "6"\nteth = 2\ncorner_radius = "1 um"\n'
    with pytest.raises(JobError) as error:
        cutter_from_text(text, "mill.toml")
    cutter = "mill.toml: [cutter] "
    assert set(faults_of(error)) == {"mill.toml: teeth", cutter + "teth", cutter + "teeth", cutter + "diameter"}
    assert "nearest: teeth" in str(error.value)
    with pytest.raises(JobError) as error:
        cutter_from_text("diameter = 6", "mill.toml")
    assert set(faults_of(error)) == {"mill.toml: diameter", "mill.toml: teeth"}
    with pytest.raises(JobError) as error:
        cutter_from_text('cutter = "ball"\nteeth = 2', "mill.toml")
    assert faults_of(error) == ["mill.toml: teeth", "mill.toml: cutter"]


def test_faults_of_a_table_are_named_as_the_job_reader_does():
    with pytest.raises(JobError) as error:
        cutter_from_table({"family": "tapered ball", "tip_diameter": "2 mm", "half_angle": "95 deg", "sides": 3})
    assert set(faults_of(error)) == {"cutter.half_angle", "cutter.sides", "cutter.diameter", "cutter.teeth"}
    with pytest.raises(JobError) as error:
        cutter_from_table({"family": "corner radius", "diameter": "6 mm", "corner_radius": "4 mm", "teeth": 2}, "first")
    assert faults_of(error) == ["first.corner_radius"]
    with pytest.raises(JobError, match=r"cutter: given 6; it must be a table"):
        cutter_from_table(6)


@pytest.mark.parametrize("word", ["bal", 3, ["ball"]])
def test_an_unknown_family_is_a_fault_of_its_key(word):
    with pytest.raises(JobError, match="'flat' or 'ball' or 'corner radius'") as error:
        cutter_from_table({"family": word, "diameter": "6 mm", "teeth": 2})
    assert faults_of(error) == ["cutter.family"]


def test_a_family_that_cannot_be_loaded_is_a_fault_with_its_cause(installed):
    installed.add("trial-bad", {"bad": "trial_bad:Cone"}, {"trial_bad": "import nothing_here"}, version="0.4")
    with pytest.raises(JobError, match=r"trial-bad 0\.4: .*No module named 'nothing_here'") as error:
        cutter_from_table({"family": "bad", "diameter": "6 mm"})
    assert isinstance(error.value.__cause__, PluginError)
    assert isinstance(error.value.__cause__.__cause__, ModuleNotFoundError)


@pytest.mark.parametrize(
    ("data", "reason"),
    [(None, "No such file"), (b"diameter = ", "it is not TOML"), (b"\xff\xfe", "it is not text in UTF-8")],
)
def test_a_file_that_cannot_be_read(tmp_path, data, reason):
    path = tmp_path / "cutter.toml"
    if data is not None:
        path.write_bytes(data)
    with pytest.raises(FileError, match=reason) as error:
        read_cutter(path)
    assert faults_of(error) == [str(path)]
