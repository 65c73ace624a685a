"""The commands of evidence: forms, exit status, coverage, identification."""

from __future__ import annotations

import argparse
import json
from xml.etree import ElementTree

import pytest

from millcalc.commands import check as command
from millcalc.errors import ArgumentError, DataError, FileError


@pytest.fixture
def run():
    parser = argparse.ArgumentParser()
    command.add(parser.add_subparsers(required=True))

    def called(*words):
        options = parser.parse_args(list(map(str, words)))
        answer = options.run(options)
        return answer if isinstance(answer, tuple) else (answer, 0)

    return called


@pytest.fixture
def page(tmp_path):
    path = tmp_path / "page.csv"
    path.write_text(
        "diameter [mm],spindle_speed [rpm],cutting_speed [m/min]\n10,3185,100.0\n20,1592,100.0\n", encoding="utf-8"
    )
    return path


def test_what_is_shipped(run):
    text, status = run("check", "--strict")
    assert status == 0
    assert text.count("\n") == 0  # nothing is amiss, so nothing is listed
    assert "differs" in text


def test_a_table_in_each_form(run, page):
    text, status = run("check", page)
    assert status == 1
    assert "row 1" in text
    assert json.loads(run("check", page, "--json")[0])["counts"]["differs"] == 1
    assert json.loads(run("check", page, "--json")[0])["amiss"] == 1
    assert run("check", page, "--form", "markdown")[0].startswith("| case |")
    assert ElementTree.fromstring(run("check", page, "--form", "junit")[0].encode()).get("failures") == "1"
    assert run("check", page, "--output", "spindle_speed", "--formula", "spindle_speed")[1] == 1
    assert "cannot tell" in run("check", page, "--rounded-inputs")[0]


@pytest.mark.parametrize("other", ["--json", "--coverage"])
def test_a_report_has_one_form(run, other):
    with pytest.raises(ArgumentError, match=f"--form: given junit; {other} has its own"):
        run("check", "--form", "junit", other)


def test_coverage(run):
    text, status = run("check", "--coverage")
    assert status == 0
    assert text.endswith("; 0 empty")
    assert len(json.loads(run("check", "--coverage", "--json")[0])) > 200
    with pytest.raises(ArgumentError, match="takes no table"):
        run("check", "--coverage", "page.csv")


def test_identify(run, page):
    text, status = run("identify", page, "--output", "spindle_speed")
    assert (text.splitlines()[0], status) == ("spindle_speed, pi = 3.14", 0)
    said = json.loads(run("identify", page, "--output", "spindle_speed", "--json")[0])
    assert said["best"] == ["spindle_speed, pi = 3.14"]
    only = run("identify", page, "--output", "spindle_speed", "--candidate", "spindle_speed, pi = 22/7")[0]
    assert "spindle_speed, pi = 22/7  0 of 2" in only


def test_input_that_cannot_be_used(run, tmp_path):
    with pytest.raises(FileError):
        run("check", tmp_path / "none.csv")
    (tmp_path / "bad.toml").write_text("x", encoding="utf-8")
    with pytest.raises(DataError):
        run("check", tmp_path / "bad.toml")
