"""The command line: pages, JSON, units, help, and one readable line with exit status 2 for every bad input."""

import json
import os
import subprocess
import sys

import pytest

import millcalc as m
from millcalc.__main__ import main
from millcalc.planning import compare, example_job, example_route_text, example_text, plan
from millcalc.quantities.record import fields_of, number

COMMANDS = ("plan", "route", "example", "compare", "sheet", "formulas", "materials")


@pytest.fixture
def run(capsys):
    def runs(*arguments):
        status = main(list(arguments))
        out, err = capsys.readouterr()
        return status, out, err

    return runs


@pytest.fixture
def job(tmp_path):
    """A job file, with texts replaced."""

    def written(*pairs):
        text = example_text()
        for old, new in pairs:
            assert old in text
            text = text.replace(old, new)
        path = tmp_path / "job.toml"
        path.write_text(text, encoding="utf-8")
        return str(path)

    return written


# --- what comes out --------------------------------------------------------------------------------------------------


def test_plan_prints_the_page(run, job):
    page = m.plan_page(plan(example_job())) + "\n"
    assert run("plan", job()) == (0, page, "")
    assert run("plan", "--example") == (0, page, "")


def test_plan_in_inches(run):
    status, out, err = run("plan", "--example", "--units", "inch")
    assert (status, err) == (0, "")
    assert out == m.plan_page(plan(example_job()), "inch") + "\n"


def test_sheet_of_the_plan(run):
    made = plan(example_job())
    assert run("plan", "--example", "--sheet") == (0, f"{made.sheet()}\n", "")
    with m.units("inch"):
        page = f"{made.sheet()}\n"
    assert run("plan", "--example", "--sheet", "--units", "inch")[1] == page


def test_plan_as_json(run):
    status, out, _ = run("plan", "--example", "--json")
    made, held = plan(example_job()), json.loads(out)
    assert status == 0
    for name, field in fields_of(made).items():
        if field.kind:
            assert held[name] == {"value": number(made, name), "unit": field.kind.label}
    assert held["governed"] == dict(made.governed)
    assert len(held["cautions"]) == len(made.cautions)


def test_example_is_a_job_file_to_begin_with(run, tmp_path):
    status, out, _ = run("example")
    path = tmp_path / "mine.toml"
    path.write_text(out, encoding="utf-8")
    assert status == 0
    assert m.read_job(path) == example_job()
    assert json.loads(run("example", "--json")[1])["job"] == example_text().rstrip("\n")


def test_compare_prints_the_table(run, job):
    table = compare(example_job(), stepover=["0.1 mm", "0.2 mm"], teeth=[2, 3])
    fields = ("stepover=0.1 mm, 0.2 mm", "teeth=2,3")
    assert run("compare", job(), *fields) == (0, m.comparison_page(table) + "\n", "")
    assert run("compare", "--example", *fields) == (0, m.comparison_page(table) + "\n", "")


def test_compare_with_options(run):
    table = compare(example_job(), in_step=True, before=True, base=1, stepover=["0.1 mm", "0.2 mm"], cut=["climb"] * 2)
    out = run("compare", "--example", "--in-step", "--before", "--base", "1", "--units", "inch",
              "stepover=0.1 mm, 0.2 mm", "cut=climb, climb")  # fmt: skip
    assert out == (0, m.comparison_page(table, "inch") + "\n", "")


def test_compare_as_json_has_null_in_an_impossible_row(run):
    status, out, _ = run("compare", "--example", "--json", "stepover=0.1 mm, 6.5 mm")
    possible, impossible = json.loads(out, parse_constant=pytest.fail)
    assert status == 0
    assert possible["numbers"]["stepover"] == 0.1
    assert impossible["numbers"]["stepover"] is None
    assert impossible["faults"]


def test_sheet_of_a_formula(run):
    status, out, _ = run("sheet", "cutting_speed", "diameter=10 mm", "spindle_speed=8000 rpm")
    assert status == 0
    assert "v_c = pi*D*n/1000" in out
    assert "v_c = 251.3 m/min" in out
    held = json.loads(run("sheet", "cutting_speed", "diameter=10 mm", "spindle_speed=8000 rpm", "--json")[1])
    assert held["result"] == pytest.approx(80 * 3.141592653589793, rel=1e-12)
    inch = run("sheet", "cutting_speed", "diameter=0.5 in", "spindle_speed=8000 rpm", "--units", "inch")[1]
    assert "1047 ft/min" in inch  # pi/12 0.5 8000


def test_lists(run):
    from millcalc.formulas import all_formulas
    from millcalc.materials import materials

    status, out, _ = run("formulas")
    assert status == 0
    assert {line.split()[0] for line in out.splitlines()} == set(all_formulas())
    assert set(json.loads(run("formulas", "--json")[1])) == set(all_formulas())
    status, out, _ = run("materials")
    assert [line.split()[0] for line in out.splitlines()] == list(materials())
    assert set(json.loads(run("materials", "--json")[1])) == set(materials())
    status, out, _ = run("materials", "1.4301")
    assert status == 0
    assert out.startswith(m.material("1.4301").name)
    assert json.loads(run("materials", "1.4301", "--json")[1])["iso513"] == "M"


@pytest.mark.parametrize("command", COMMANDS)
def test_help_of_every_command_has_an_example(command, capsys):
    with pytest.raises(SystemExit) as left:
        main([command, "--help"])
    assert left.value.code == 0
    assert f"example: millcalc {command}" in " ".join(capsys.readouterr().out.split())


def test_help_lists_every_command(capsys):
    with pytest.raises(SystemExit) as left:
        main(["--help"])
    out = capsys.readouterr().out
    assert left.value.code == 0
    assert all(f"\n    {command}" in out for command in COMMANDS)
    assert "example: millcalc plan --example" in out


@pytest.mark.parametrize("command", COMMANDS)
def test_the_example_of_every_help_works(command, capsys, tmp_path, monkeypatch):
    """The example is run as it is printed; what it writes to a file is compared with what it prints."""
    import shlex

    with pytest.raises(SystemExit):
        main([command, "--help"])
    text = " ".join(capsys.readouterr().out.split())
    words = shlex.split(text[text.index("example: millcalc ") + len("example: millcalc ") :].split(" > ")[0])
    monkeypatch.chdir(tmp_path)
    (tmp_path / "job.toml").write_text(example_text(), encoding="utf-8")
    (tmp_path / "route.toml").write_text(example_route_text(), encoding="utf-8")
    assert main(words) == 0
    assert capsys.readouterr().out


# --- bad input -------------------------------------------------------------------------------------------------------

BAD = {
    "no job": (["plan"], ["a job file is needed"]),
    "two jobs": (["plan", "a.toml", "--example"], ["a.toml", "not both"]),
    "missing file": (["plan", "nosuch.toml"], ["nosuch.toml", "No such file"]),
    "a directory": (["plan", "."], ["Is a directory"]),
    "not TOML": (["plan", "{broken}"], ["broken.toml", "not TOML"]),
    "not UTF-8": (["plan", "{latin}"], ["latin.toml", "UTF-8"]),
    "an empty file": (["plan", "{empty}"], ["empty.toml: surface", "empty.toml: material"]),
    "bad keys": (["plan", "{keys}"], ["keys.toml: [before] stok", "nearest: stock", "[surface] width: given 60"]),
    "two finishes": (["plan", "{finishes}"], ["finishes.toml: [finish]: given ra and rz"]),
    "unknown material": (["plan", "{material}"], ["material.toml: material", "42CrMo5", "nearest: 42CrMo4"]),
    "impossible": (
        ["plan", "{trough}"],
        ["trough.toml", "surface.radius_across: given -2 mm", "accepted: a smaller cutter"],
    ),
    "impossible, sheet": (["plan", "{trough}", "--sheet"], ["trough.toml", "surface.radius_across"]),
    "impossible, JSON": (["plan", "{trough}", "--json"], ["trough.toml", "surface.radius_across"]),
    "impossible, inch": (["plan", "{trough}", "--units", "inch"], ["given -0.07874 in"]),
    "no radius": (["plan", "{pointed}"], ["pointed.toml", "surface.radius_across: given 0 mm"]),
    "no row in the material": (["plan", "{cermet}"], ["cermet.toml", "no cutting speed for cermet"]),
    "nothing to compare": (["compare", "--example"], ["a field is needed", "stepover=0.1 mm"]),
    "no values": (["compare", "--example", "stepover="], ["stepover[0]: given ''"]),
    "no value sign": (["compare", "--example", "teeth=2", "stepover"], ["stepover: it is not name=value"]),
    "a field twice": (["compare", "--example", "teeth=2", "teeth=3"], ["teeth: it is given twice"]),
    "unknown field": (["compare", "--example", "stepovr=0.1 mm"], ["stepovr", "nearest: stepover"]),
    "a bare number": (["compare", "--example", "stepover=0.1"], ["stepover[0]: given 0.1; a length needs a unit"]),
    "unlike lists": (["compare", "--example", "--in-step", "teeth=2,3", "cut=climb"], ["teeth 2, cut 1"]),
    "no such row": (["compare", "--example", "teeth=2,3", "--base", "2"], ["no such row", "0 to 1"]),
    "a contradiction": (["compare", "--example", "direction=vertical"], ["axis: given lead or tilt, and direction"]),
    "compare, missing file": (["compare", "nosuch.toml", "teeth=2"], ["nosuch.toml", "No such file"]),
    "unknown formula": (["sheet", "cutting_sped"], ["cutting_sped", "nearest: cutting_speed"]),
    "no values for a formula": (["sheet", "cutting_speed"], ["missing", "diameter", "spindle_speed"]),
    "a wrong unit": (
        ["sheet", "cutting_speed", "diameter=5 mm", "spindle_speed=1 m"],
        ["spindle_speed: given '1 m'", 'for example "8000 rpm"'],
    ),
    "an unknown parameter": (["sheet", "cutting_speed", "diametre=5 mm", "spindle_speed=1 rpm"], ["diametre"]),
    "outside the domain": (["sheet", "scallop_height", "diameter=5 mm", "stepover=6 mm"], ["stepover = 6 mm"]),
    "a formula twice": (["sheet", "cutting_speed", "diameter=5 mm", "diameter=6 mm"], ["given twice"]),
    "unknown material, shown": (["materials", "42CrMo5"], ["42CrMo5", "nearest: 42CrMo4"]),
}
FILES = {
    "broken": lambda text: "a = [",
    "empty": lambda text: "",
    "keys": lambda text: text.replace('"60 mm"', "60").replace("stock =", "stok ="),
    "finishes": lambda text: text.replace('ra = "0.8 um"', 'ra = "0.8 um"\nrz = "4 um"'),
    "material": lambda text: text.replace("42CrMo4", "42CrMo5"),
    "trough": lambda text: text.replace('radius_across = "flat"', 'radius_across = "-2 mm"'),
    "pointed": lambda text: text.replace('radius_across = "flat"', 'radius_across = "0 mm"'),
    "cermet": lambda text: text.replace('substrate = "coated carbide"', 'substrate = "cermet"'),
}


@pytest.fixture
def files(tmp_path):
    for name, change in FILES.items():
        (tmp_path / f"{name}.toml").write_text(change(example_text()), encoding="utf-8")
    (tmp_path / "latin.toml").write_bytes(b'part = "\xe4"')
    return {p.stem: str(p) for p in tmp_path.iterdir()}


@pytest.mark.parametrize("name", list(BAD))
def test_bad_input_gets_one_readable_line(name, run, files):
    arguments, parts = BAD[name]
    status, out, err = run(*(a.format(**files) for a in arguments))
    assert (status, out) == (2, "")
    assert err.startswith("millcalc: ")
    assert err.count("\n") == 1
    assert err.endswith("\n")
    assert "Traceback" not in err
    for part in parts:
        assert part in err


@pytest.mark.parametrize(
    ("arguments", "part"),
    [
        ([], "command"),
        (["nosuch"], "nosuch"),
        (["plan", "--units", "furlong"], "furlong"),
        (["plan", "--example", "--nosuch"], "--nosuch"),
        (["compare", "--example", "teeth=2", "--base", "first"], "first"),
        (["sheet"], "formula"),
    ],
)
def test_a_command_that_cannot_be_read_gets_one_line(arguments, part, capsys):
    with pytest.raises(SystemExit) as left:
        main(arguments)
    out, err = capsys.readouterr()
    assert (left.value.code, out) == (2, "")
    assert err.startswith("millcalc: ")
    assert err.count("\n") == 1
    assert part in err


# --- as a program of its own -----------------------------------------------------------------------------------------


def test_module_can_be_run(files):
    done = subprocess.run(
        [sys.executable, "-m", "millcalc", "plan", files["trough"]], capture_output=True, text=True, timeout=60
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"millcalc: {files['trough']}: the job cannot be cut")
    assert done.stderr.count("\n") == 1


def test_a_closed_pipe_is_no_error():
    """The reader takes one line and closes; the program ends quietly."""
    program = subprocess.Popen(
        [sys.executable, "-m", "millcalc", "plan", "--example", "--sheet"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=os.environ | {"PYTHONUNBUFFERED": "1"},
    )
    program.stdout.close()
    err = program.stderr.read()
    program.stderr.close()
    assert program.wait(timeout=60) == 0
    assert err == b""


def test_a_terminal_that_lacks_letters_gets_the_page(job):
    path = job(("rib (invented)", "N\N{LATIN SMALL LETTER A WITH DIAERESIS}he"))
    done = subprocess.run(
        [sys.executable, "-m", "millcalc", "plan", path],
        capture_output=True,
        timeout=60,
        env=os.environ | {"PYTHONIOENCODING": "ascii"},
    )
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout.startswith(b"FINISHING PLAN: Press-tool insert, N\\xe4he")


@pytest.mark.parametrize(
    "order",
    [
        ["compare", "{job}", "--json", "stepover=0.1 mm"],
        ["compare", "--json", "{job}", "stepover=0.1 mm"],
        ["compare", "{job}", "stepover=0.1 mm", "--json"],
        ["compare", "stepover=0.1 mm", "--example", "--json"],
    ],
)
def test_fields_and_options_in_any_order(order, run, job):
    status, out, _ = run(*(word.replace("{job}", job()) for word in order))
    assert status == 0
    assert [row["stepover"] for row in json.loads(out)] == [0.1]


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="only where the system has a full device")
def test_output_that_cannot_be_written_is_one_line():
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "millcalc", "plan", "--example"], stdout=full, stderr=subprocess.PIPE, text=True
        )
    assert done.returncode == 2
    assert done.stderr.startswith("millcalc: the output cannot be written")
    assert done.stderr.count("\n") == 1
