"""Reports as text, Markdown, JSON and JUnit XML: structure, counts, and what strange texts do to them."""

from __future__ import annotations

import json
from xml.etree import ElementTree

import pytest

from millcalc.evidence import Case, Report
from millcalc.evidence.checking import verdict_of
from millcalc.evidence.reports import report_junit, report_markdown, report_table, report_text


def made(name, output, **more):
    inputs = {"diameter": "10 mm", "spindle_speed": "1000 rpm"}
    return verdict_of(Case(id=name, formula="cutting_speed", inputs=inputs, output=output, **more))


@pytest.fixture
def report():
    verdicts = (
        made("good", "31.42 m/min", source="Book | one"),
        made("bad", "31.41 m/min", source="Book | one", place="book.toml, case 'bad'"),
        made("marked", "31 ft/min", source="Book | one", disagrees="metres are meant"),
        made("wrongly", "31.42 m/min", source="<Other> & \x00more", disagrees="a slip"),
        made("unsure", "30 m/min", source="<Other> & \x00more"),
    )
    return Report(verdicts, ("Book | one", "<Other> & \x00more"))


def test_text(report):
    text = report_text(report)
    lines = text.splitlines()
    assert lines[0].split() == ["case", "formula", "computed", "printed", "difference", "verdict"]
    assert next(line for line in lines if line.startswith("bad")).split() == [
        *("bad", "cutting_speed", "31.41593", "m/min", "31.41", "m/min", "+0.593", "differs")
    ]
    assert "differs, as marked" in text
    assert "agrees, though marked as differing" in text
    assert lines[lines.index(next(x for x in lines if x.startswith("marked"))) + 1].strip() == "metres are meant"
    assert lines[-1] == "5 cases: 2 agrees, 2 differs, 1 cannot tell (1 of them as marked)"
    short = report_text(report, whole=False)
    assert "good" not in short
    assert "marked  " not in short
    assert "unsure" in short
    assert str(report) == text


def test_markdown(report):
    lines = report_markdown(report).splitlines()
    cells = [line.replace("\\|", "").count("|") for line in lines[:-2]]
    assert set(cells) == {8}
    assert set(lines[1]) <= set("| -")
    assert len(lines) == 2 + 5 + 2


def test_json(report):
    table = json.loads(json.dumps(report_table(report)))
    assert table["counts"] == {"agrees": 2, "differs": 2, "outside validity": 0, "cannot tell": 1}
    assert table["amiss"] == 2
    first = table["cases"][0]
    assert first["computed"] == pytest.approx(31.4159265)
    assert first["difference"] == pytest.approx(-0.407, abs=1e-3)
    assert (first["verdict"], first["as_expected"], first["unit"]) == ("agrees", True, "m/min")


def test_junit(report):
    """The shape that build servers read: suites of cases, each with at most one of failure and skipped."""
    root = ElementTree.fromstring(report_junit(report).encode())
    assert root.tag == "testsuites"
    assert [suite.tag for suite in root] == ["testsuite", "testsuite"]
    for holder in (root, *root):
        cases = list(holder.iter("testcase"))
        assert int(holder.get("tests")) == len(cases)
        assert int(holder.get("failures")) == sum(case.find("failure") is not None for case in cases)
        assert int(holder.get("skipped")) == sum(case.find("skipped") is not None for case in cases)
        assert holder.get("errors") == "0"
        assert holder.get("name")
    for case in root.iter("testcase"):
        assert case.get("name")
        assert case.get("classname") == "cutting_speed"
        assert len(case) <= 1
        for told in case:
            assert told.tag in ("failure", "skipped")
            assert told.get("message")
    by_name = {case.get("name"): case for case in root.iter("testcase")}
    assert by_name["bad"].find("failure").get("message").endswith("off by +0.593 units of the last printed digit")
    assert "book.toml" in by_name["bad"].find("failure").text
    assert by_name["wrongly"].find("failure") is not None
    assert by_name["unsure"].find("skipped") is not None
    assert not list(by_name["good"])
    assert not list(by_name["marked"])


def test_nothing_to_report():
    empty = Report(())
    assert report_text(empty) == "0 cases: none"
    assert ElementTree.fromstring(report_junit(empty).encode()).get("tests") == "0"
