"""Job files: what is read, and errors that name file, table and key, all of them at once."""

import pytest

import millcalc as m
from millcalc.errors import FileError, JobError
from millcalc.planning import example_job, example_text, plan, read_job
from millcalc.planning.reading import job_from_text

TEXT = example_text()


def with_lines(*pairs):
    text = TEXT
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def faults_of(text):
    with pytest.raises(JobError) as caught:
        job_from_text(text, "job.toml")
    return list(map(str, caught.value.faults))


def test_the_shipped_file_says_what_its_record_says(tmp_path):
    path = tmp_path / "job.toml"
    path.write_text(TEXT, encoding="utf-8")
    assert read_job(path) == read_job(str(path)) == example_job()
    job = m.FinishingJob(
        part="Press-tool insert, rib (invented)",
        operation="Finish the crown",
        material="42CrMo4",
        surface=m.Surface(width="60 mm", length="80 mm", radius_along="120 mm"),
        axis=m.Axis(lead="15 deg", tilt="0 deg"),
        passes=m.Passes(cut="climb"),
        before=m.Before(stock="0.1 mm", previous_diameter="10 mm", previous_stepover="0.6 mm"),
        finish=m.Finish(ra="0.8 um", form_tolerance="0.02 mm"),
        cutter=m.BallEndMill(diameter="6 mm", teeth=2, overhang="24 mm"),
        machine=m.Machine(largest_spindle_speed="18000 rpm", largest_feed_rate="8000 mm/min"),
        wear=m.Wear(tool_life="60 min", life_speed="180 m/min"),
        costs=m.Costs(machine_rate="90 1/h", price=60, change_time="5 min", parts=12),
    )
    assert job == example_job()
    assert plan(job).governed == plan(example_job()).governed


def test_a_direction_fixed_values_and_assumptions_are_read():
    text = with_lines(
        ('lead = "15 deg"', "direction = [0, 0.1, 1]"),
        ('tilt = "0 deg"', 'travel = "up the slope"'),
        ('radius_across = "flat"', 'radius_across = "Flat"\nslope_from = "10 deg"'),
    )
    job = job_from_text(f'{text}\n[fixed]\nstepover = "0.2 mm"\n[assumed]\nscallop_share = 0.4\ncharacters = 60\n')
    assert job.axis.direction == (0, 0.1, 1)
    assert job.fixed.stepover.magnitude == 0.2
    assert (job.assumed.scallop_share, job.assumed.characters) == (0.4, 60)


@pytest.mark.parametrize(
    ("old", "new", "where", "hint"),
    [
        ('[cutter]\ndiameter = "6 mm"', '[cutter]\ndiamter = "6 mm"', "[cutter] diamter:", "(nearest: diameter"),
        ('stock = "0.1 mm"', 'stok = "0.1 mm"', "[before] stok:", "(nearest: stock"),
        ('[machine]\nkind = "general"', '[machine]\nkind = "general"\npower = 5', "[machine] power:", ""),
        ("[passes]", "[pases]", "pases:", "(nearest: passes"),
        ('material = "42CrMo4"', 'materail = "42CrMo4"', "materail:", "(nearest: material"),
    ],
)
def test_unknown_names_are_given_the_nearest_right_one(old, new, where, hint):
    faults = faults_of(with_lines((old, new)))
    assert any(f.startswith(f"job.toml: {where}") and hint in f for f in faults), faults


@pytest.mark.parametrize("table", ["surface", "before", "finish", "cutter", "machine"])
def test_a_missing_table_is_named(table):
    start = TEXT.index(f"[{table}]")
    end = TEXT.find("\n[", start) if "\n[" in TEXT[start:] else len(TEXT)
    assert faults_of(TEXT[:start] + TEXT[end:]) == [f"job.toml: {table}: the table [{table}] is missing"]


@pytest.mark.parametrize("table", ["axis", "passes", "fixed", "assumed"])
def test_other_tables_may_be_left_out(table):
    start = TEXT.find(f"[{table}]")
    text = TEXT if start < 0 else TEXT[:start] + TEXT[TEXT.find("\n[", start) :]
    assert getattr(job_from_text(text), table) == getattr(m, {"assumed": "Assumptions"}.get(table, table.title()))()


@pytest.mark.parametrize(
    ("line", "where", "example"),
    [
        ('width = "60 mm"', "[surface] width", 'width = "12 mm"'),
        ("teeth = 2", "[cutter] teeth", "teeth = 4"),
        ('form_tolerance = "0.02 mm"', "[finish] form_tolerance", 'form_tolerance = "12 mm"'),
        ('largest_feed_rate = "8000 mm/min"', "[machine] largest_feed_rate", 'largest_feed_rate = "1200 mm/min"'),
        ('material = "42CrMo4"', "material", ""),
    ],
)
def test_a_missing_key_is_named_with_an_example(line, where, example):
    (fault,) = faults_of(with_lines((line, "")))
    assert fault.startswith(f"job.toml: {where}: ")
    assert "missing" in fault
    assert example in fault


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('"60 mm"', "60", "[surface] width: given 60; a length needs a unit; accepted: a quantity or text in mm"),
        ('"60 mm"', '"60"', "[surface] width: given '60'; a length needs a unit"),
        ('"60 mm"', '"60 deg"', "[surface] width: given '60 deg'; its unit is that of an angle, not of a length"),
        ('"60 mm"', '"60 furlongs!"', "[surface] width: given '60 furlongs!'"),
        ('"60 mm"', '"0,5 mm"', "[surface] width: given '0,5 mm'; a comma is not read"),
        ('"60 mm"', "2020-01-01", "[surface] width: given datetime.date(2020, 1, 1)"),
        ('"60 mm"', '["60 mm", "61 mm"]', "[surface] width: given ['60 mm', '61 mm']; an array; a record holds single"),
        ('"60 mm"', '{ value = "60 mm" }', "[surface] width: given {'value': '60 mm'}; dict is not a length"),
        ("teeth = 2", "teeth = 2.5", "[cutter] teeth: given 2.5; it is not a whole number"),
        ("teeth = 2", "teeth = true", "[cutter] teeth: given True; yes or no is not a number"),
        ("teeth = 2", f"teeth = 1{'0' * 400}", "[cutter] teeth: given 1000"),
        ("teeth = 2", "teeth = nan", "[cutter] teeth: given nan; it is not a number"),
        ('"18000 rpm"', '"18000 mm/min"', "[machine] largest_spindle_speed: given '18000 mm/min'; its unit is that of"),
        ('"8000 mm/min"', '"8000 rpm"', "[machine] largest_feed_rate: given '8000 rpm'; its unit is that of a spindle"),
        ('kind = "general"', 'kind = "generl"', "[machine] kind: given 'generl'; it is none of the words accepted ("),
        ('pattern = "one way"', "pattern = 3", "[passes] pattern: given 3; it is none of the words"),
        ('material = "42CrMo4"', "material = 5", "material: given 5; it must be a text"),
        (
            'material = "42CrMo4"',
            'material = "42CrMo5"',
            "material: given '42CrMo5'; no material is called '42CrMo5' (",
        ),
        ('part = "Press-tool insert, rib (invented)"', "part = 1", "part: given 1; it must be a text"),
        ("[cutter]", "[[cutter]]", "cutter: given [{'diameter'"),
        ('ra = "0.8 um"', 'ra = "0.8 um"\nrz = "4 um"', "[finish]: given ra and rz; exactly one finish is needed"),
        ('ra = "0.8 um"', "", "[finish]: given none; exactly one finish is needed"),
        ('lead = "15 deg"', "direction = [0, 0, 0]", "[axis]: given lead or tilt, and direction"),
    ],
)
def test_bad_values_name_file_table_and_key(old, new, message):
    faults = faults_of(with_lines((old, new)))
    assert faults[0].startswith(f"job.toml: {message}"), faults


def test_everything_wrong_stands_in_one_error():
    text = with_lines(
        ('material = "42CrMo4"', 'material = "42CrMo5"'),
        ('"60 mm"', "60"),
        ('stock = "0.1 mm"', 'stok = "0.1 mm"'),
        ("[cutter]", "[cuter]"),
        ('kind = "general"', 'kind = "fast"'),
    )
    found = {f.removeprefix("job.toml: ").split(":")[0] for f in faults_of(text)}
    assert found == {
        "cuter",
        "[surface] width",
        "[before] stok",
        "[before] stock",
        "cutter",
        "[machine] kind",
        "material",
    }


def test_contradictions_and_an_unknown_material_stand_in_one_error():
    faults = faults_of(with_lines(('material = "42CrMo4"', 'material = "nosuch"'), ('ra = "0.8 um"', "")))
    assert [f.split(":")[1].strip() for f in faults] == ["[finish]", "material"]


def test_values_of_a_table_are_checked_although_a_key_is_missing():
    faults = faults_of(with_lines(('stock = "0.1 mm"', ""), ('"10 mm"', "10")))
    found = [f.split(": ")[1] for f in faults]
    assert found == ["[before] stock", "[before] previous_diameter"]


@pytest.mark.parametrize("text", ["width = [", "a = 1 b = 2", "= 3", "a = " + "[" * 100_000])
def test_what_is_not_toml_is_an_error_that_names_the_file(tmp_path, text):
    path = tmp_path / "job.toml"
    path.write_text(text)
    with pytest.raises(FileError, match="it is not TOML") as caught:
        read_job(path)
    assert caught.value.faults[0].where == str(path)


def test_an_empty_file_misses_everything(tmp_path):
    path = tmp_path / "job.toml"
    path.write_text("")
    with pytest.raises(JobError) as caught:
        read_job(path)
    found = [f.where for f in caught.value.faults]
    assert found == [f"{path}: {n}" for n in ("material", "surface", "before", "finish", "cutter", "machine")]


@pytest.mark.parametrize("what", ["missing", "directory", "not UTF-8", "no name"])
def test_a_file_that_cannot_be_read_is_named(tmp_path, what):
    path = tmp_path / "job.toml"
    if what == "directory":
        path.mkdir()
    elif what == "not UTF-8":
        path.write_bytes(b'part = "\xff\xfe"')
    name = "a\0b" if what == "no name" else str(path)
    reason = {"missing": "No such file", "directory": "Is a directory", "not UTF-8": "UTF-8", "no name": "a"}[what]
    with pytest.raises(FileError, match=reason) as caught:
        read_job(name)
    assert caught.value.faults[0].where == name


def test_a_mark_of_the_encoding_and_other_line_ends_do_not_matter(tmp_path):
    path = tmp_path / "job.toml"
    path.write_bytes(b"\xef\xbb\xbf" + TEXT.replace("\n", "\r\n").encode())
    assert read_job(path) == example_job()
