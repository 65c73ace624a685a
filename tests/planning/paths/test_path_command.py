"""The command `path`: a table of points and a file of cutter, machine and cut in, a summary and values out."""

import json

import numpy as np
import pytest
from path_cases import BALL, CUT, MACHINE, wavy, wavy_path

from millcalc.commands import path as path_command
from millcalc.planning.paths.evaluation import evaluate_path

JOB = """
material = "C45"
[cutter]
family = "ball"
diameter = "10 mm"
teeth = 2
[machine]
largest_spindle_speed = "18000 rpm"
largest_feed_rate = "8 m/min"
[cut]
normal_depth = "0.2 mm"
stepover = "0.3 mm"
spindle_speed = "12000 rpm"
chip_thickness = "0.02 mm"
"""
NAMES = "x,y,z,i,j,k,nx,ny,nz"


@pytest.fixture
def files(tmp_path):
    np.save(tmp_path / "points.npy", np.hstack(wavy(200)))
    (tmp_path / "path.toml").write_text(JOB)
    return tmp_path


def run(capsys, *words):
    import argparse

    from millcalc.errors import MillcalcError

    parser = argparse.ArgumentParser()
    path_command.add(parser.add_subparsers())
    options = parser.parse_args(["path", *map(str, words)])
    try:
        return options.run(options)
    except MillcalcError as error:
        return error


def test_a_summary_as_text_and_json(files, capsys):
    case = (files / "points.npy", files / "path.toml", "--columns", NAMES, "--unit", "mm")
    whole = evaluate_path(wavy_path(200), BALL, MACHINE, CUT, "C45")
    found = json.loads(run(capsys, *case, "--json"))
    assert found["time"] == pytest.approx(whole.time.magnitude, rel=1e-12)
    assert found["extremes"]["power"]["greatest"] == pytest.approx(whole.extremes["power"].greatest)
    text = run(capsys, *case, "--units", "inch")
    assert "ft/min" in text
    assert "governed by" in text


def test_values_as_csv(files, capsys):
    case = (files / "points.npy", files / "path.toml", "--columns", NAMES, "--unit", "mm")
    run(capsys, *case, "--out", files / "out.csv", "--keep", "feed_rate,largest_diameter,scallop_height")
    head, *rows = (files / "out.csv").read_text().splitlines()
    assert head == "largest_diameter [mm],feed_rate [mm/min],scallop_height [um]"
    table = np.loadtxt(rows, delimiter=",")
    whole = evaluate_path(wavy_path(200), BALL, MACHINE, CUT)
    np.testing.assert_allclose(table[:, 1], whole["feed_rate"], rtol=1e-8)
    np.testing.assert_allclose(table[:, 2], whole["scallop_height"], rtol=1e-8)


def test_what_stands_there_is_not_replaced(files, capsys):
    case = (files / "points.npy", files / "path.toml", "--columns", NAMES, "--unit", "mm")
    (files / "out.csv").write_text("mine")
    assert "there is a file of this name" in str(run(capsys, *case, "--out", files / "out.csv"))
    assert (files / "out.csv").read_text() == "mine"


def test_by_compiled_loops(files, capsys):
    pytest.importorskip("numba")
    case = (files / "points.npy", files / "path.toml", "--columns", NAMES, "--unit", "mm")
    assert run(capsys, *case, "--compiled") == run(capsys, *case)


def test_rotary_axes_of_which_nothing_is_known_are_told(files, capsys):
    case = (files / "points.npy", files / "path.toml", "--columns", NAMES, "--unit", "mm")
    assert "not limited: the rotary axes" in run(capsys, *case)
    (files / "path.toml").write_text(JOB.replace("[cut]", 'rotary_rate = "90 deg/s"\n[cut]'))
    assert "rotary_rate" not in run(capsys, *case)
    (files / "flat.csv").write_text("x [mm],y [mm],z [mm]\n0,0,0\n1,0,0\n1,1,0\n")
    (files / "path.toml").write_text(JOB)
    assert "rotary_rate" not in run(capsys, files / "flat.csv", files / "path.toml", "--axis=0,0,1", "--normal=0,0,1")


def test_one_axis_and_one_normal(files, capsys):
    (files / "flat.csv").write_text("x [in],y [in],z [in]\n0,0,0\n1,0,0\n1,1,0\n")
    found = json.loads(run(capsys, files / "flat.csv", files / "path.toml", "--axis=0,0,2", "--normal=0,0,1", "--json"))
    assert found["length"] == pytest.approx(50.8)
    assert "three numbers" in str(run(capsys, files / "flat.csv", files / "path.toml", "--axis=up", "--normal=0,0,1"))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (JOB.replace("[cut]", "[cuts]"), "[cut] is missing"),
        (JOB.replace('"0.2 mm"', "0.2"), "[cut] normal_depth"),
        (JOB.replace("teeth", "tooth"), "[cutter]"),
        (JOB.replace('"C45"', "45"), "must be a text"),
        ("x = [", "not TOML"),
    ],
)
def test_files_that_cannot_be_used(files, capsys, text, words):
    (files / "path.toml").write_text(text)
    assert words in str(run(capsys, files / "points.npy", files / "path.toml", "--columns", NAMES, "--unit", "mm"))


def test_skipped_rows_are_told(files, capsys):
    rows = np.hstack(wavy(200))
    rows[[3, 50], 0] = np.nan
    np.save(files / "points.npy", rows)
    case = (files / "points.npy", files / "path.toml", "--columns", NAMES, "--unit", "mm")
    assert "row 3" in str(run(capsys, *case))
    assert json.loads(run(capsys, *case, "--skip", "--json"))["skipped"] == [3, 50]
    assert "skipped: 2 rows, x is not a finite number" in run(capsys, *case, "--skip")
