"""Damaged tables: typed errors that name file, case or row, and list every fault."""

from __future__ import annotations

import pytest

from millcalc.errors import DataError, FileError
from millcalc.evidence import check, read_tables

HEAD = 'title = "Ours"\nhow_known = "read"\n'
GOOD = '[[case]]\nid = "a"\nformula = "ra_from_grade"\ninputs = { grade = "N7" }\noutput = "1.6 um"\n'


def faults_of(text, tmp_path, name="table.toml"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    with pytest.raises(DataError) as caught:
        check(path)
    assert all(name in fault.where for fault in caught.value.faults)
    return caught.value.faults


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (HEAD, "case: there is none"),
        (HEAD + "case = 3", "case: there is none"),
        ('how_known = "read"\n' + GOOD, "title: it is missing"),
        ('title = "x"\nhow_known = "guess"\n' + GOOD, "how_known: given 'guess'"),
        ("title = 3\nhow_known = 'read'\n" + GOOD, "title: given 3; it is no text"),
        (HEAD + "api = 2\n" + GOOD, "this millcalc offers version 1"),
        (HEAD + "colour = 'red'\n" + GOOD, "colour: the key is not known here"),
        (HEAD + GOOD + "colour = 'red'\n", "case 'a': colour: the key is not known here"),
        (HEAD + GOOD + GOOD, "case 'a': 2 cases have this id"),
        (HEAD + GOOD.replace("ra_from_grade", "ra_of_grade"), "case 'a': formula: given 'ra_of_grade'"),
        (HEAD + GOOD.replace("grade =", "grad ="), "case 'a': grad: ra_from_grade has no such input"),
        (HEAD + GOOD.replace("grade =", "grad ="), "case 'a': grade: ra_from_grade needs it"),
        (HEAD + GOOD.replace("N7", "N77"), "case 'a': grade: given 'N77'"),
        (HEAD + GOOD.replace("1.6 um", "1.6 rpm"), "case 'a': output: given '1.6 rpm'"),
        (HEAD + GOOD.replace('"1.6 um"', "true"), "case 'a': output: given True; it is no value"),
        (HEAD + GOOD.replace('{ grade = "N7" }', "[1]"), "inputs: given [1]; it is no table"),
        (HEAD + GOOD + "half_width = 0.5\n", "wider than half the last printed digit, without a reason"),
        (HEAD + GOOD + "half_width = -0.5\n", "half_width: given -0.5"),
        (HEAD + GOOD + "half_width = nan\n", "half_width: given nan"),
        (HEAD + GOOD + "result = 2\n", "result: given 2; ra_from_grade has 1"),
        (HEAD + GOOD + "result = 0\n", "result: given 0; it is no place"),
        (HEAD + GOOD + 'disagrees = ""\n', "disagrees: the reason is left out"),
        (HEAD + GOOD + 'variation = "h/4"\n', "has no variation 'h/4'"),
        (HEAD + GOOD + 'cutter = { family = "flatt", diameter = "1 mm", teeth = 2 }\n', "flatt"),
        (HEAD + GOOD + 'holder = "none"\n', "holder: given 'none'; it is no list of tables"),
        (HEAD + GOOD.replace('id = "a"\n', ""), "case 1: id: it is missing"),
    ],
)  # fmt: skip
def test_faults_of_a_file_of_cases(text, words, tmp_path):
    assert any(words in str(fault) for fault in faults_of(text, tmp_path)), faults_of(text, tmp_path)


def test_every_fault_of_a_file_is_listed(tmp_path):
    text = "colour = 'red'\n" + GOOD.replace("N7", "x") + GOOD.replace('id = "a"', 'id = "b"').replace("1.6 um", "?")
    found = faults_of(text, tmp_path)
    assert len(found) == 5  # the colour, title and how_known missing, the grade, the output
    assert {f.where.split(": ", 1)[1] for f in found} >= {"colour", "title", "how_known"}


def test_every_file_of_a_folder_is_looked_at(tmp_path):
    for name in ("one", "two"):
        (tmp_path / f"{name}.toml").write_text("title = 'x'\n", encoding="utf-8")
    with pytest.raises(DataError) as caught:
        check(tmp_path)
    assert {f.where.rsplit("/", 1)[-1].split(":")[0] for f in caught.value.faults} == {"one.toml", "two.toml"}


@pytest.mark.parametrize("text", ["[[case", 'title = "x" "y"', "a = 1\na = 2", "[" * 5000])
def test_what_is_no_toml(text, tmp_path):
    (fault,) = faults_of(text, tmp_path)
    assert fault.reason.startswith("it is not TOML")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "a line of heads and a row at least are needed"),
        ("diameter [mm],spindle_speed [rpm],cutting_speed [m/min]\n", "a line of heads and a row"),
        ("diameter [mm],diameter [mm]\n1,2\n", "two columns have this head"),
        ("diameter [mm],diameter [in]\n1,2\n", "another column has this name"),
        ("dia meter [mm],x\n1,2\n", "it is no name with a unit in brackets"),
        ("diameter [mm],spindle_speed [rpm],cutting_speed [m/min]\n1,2\n", "line 2: given 2 cells; the head has 3"),
        ("diameter [mm],spindle_speed [rpm],cutting_speed [m/min]\n1,2,x\n", "row 1: output: given 'x m/min'"),
        ("diameter [mm],spindle_speed [rpm],cutting_speed [m/min]\n1,2,3\n,2,3\n", "diameter: cutting_speed needs it"),
        ("diameter [mm],spindle_speed [rpm],cutting_speed [kg]\n1,2,3\n", "its unit is that of a mass"),
        ("diameter,spindle_speed [rpm],cutting_speed [m/min]\n1,2,3\n", "a length needs a unit"),
        ("diameter [mm],spindle_speed [rpm],speed [m/min]\n1,2,3\n", "no column has the name of a formula"),
        ("diameter [mm],spindle_speed [rpm],teeth,cutting_speed [m/min]\n1,2,3,4\n", "cutting_speed has no such input"),
        ('diameter [mm],cutting_speed [m/min]\n"1,2\n', "it is no CSV"),
    ],
)  # fmt: skip
def test_faults_of_a_csv(text, words, tmp_path):
    assert any(words in str(fault) for fault in faults_of(text, tmp_path, "table.csv"))


def test_every_row_of_a_csv_is_looked_at(tmp_path):
    text = "diameter [mm],spindle_speed [rpm],cutting_speed [m/min]\n1,2,3\nx,2,3\n1,y,z\n"
    found = faults_of(text, tmp_path, "table.csv")
    assert [f.where.split(", ")[-1] for f in found] == ["row 2: diameter", "row 3: spindle_speed", "row 3: output"]


def test_what_is_no_file(tmp_path):
    with pytest.raises(FileError, match="No such file"):
        check(tmp_path / "nothing.toml")
    with pytest.raises(FileError, match=r"holds no \.toml and no \.csv"):
        check(tmp_path)
    binary = tmp_path / "binary.toml"
    binary.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(FileError, match="not text in UTF-8"):
        check(binary)
    with pytest.raises(DataError, match="neither a path nor a mapping"):
        check(3)


def test_faults_of_columns():
    with pytest.raises(DataError, match="the columns differ in length"):
        read_tables({"diameter [mm]": [1, 2], "cutting_speed [m/min]": [1]})
    with pytest.raises(DataError, match="there is no row"):
        read_tables({})
    with pytest.raises(DataError, match="cannot be told which column"):
        read_tables({"diameter [mm]": [1], "a": [1], "b": [1]}, formula="cutting_speed")
    with pytest.raises(DataError, match="no formula has the name 'cuting_speed'"):
        read_tables({"diameter [mm]": [1], "a": [1]}, formula="cuting_speed")
