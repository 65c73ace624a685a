"""Tables that other distributions add: named by folder, file, package or function; what cannot be loaded."""

from __future__ import annotations

import pytest

from millcalc.discovery import registered
from millcalc.errors import MillcalcWarning
from millcalc.evidence import check, checking, shipped_tables
from millcalc.evidence.tables import GROUP, plugin_tables

TEXT = (
    'title = "Ours"\nhow_known = "common practice"\napi = 1\n[[case]]\nid = "a"\nformula = "ra_from_grade"\n'
    'inputs = { grade = "N7" }\noutput = "1.6 um"\n'
)


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "one.toml").write_text(TEXT, encoding="utf-8")
    (tmp_path / "two.toml").write_text(TEXT.replace("1.6", "1.7"), encoding="utf-8")
    return tmp_path


def titles(thing):
    with registered(GROUP, "ours", thing, "our-tables", "1.0"):
        return [(table.title, table.name.rsplit("/", 1)[-1]) for table in plugin_tables()]


def test_a_folder_a_file_and_a_function(folder):
    both = [("Ours", "one.toml"), ("Ours", "two.toml")]
    assert titles(folder) == both
    assert titles(folder / "two.toml") == both[1:]
    assert titles(lambda: [folder / "one.toml", str(folder / "two.toml")]) == both


def test_they_are_checked_with_what_is_shipped(folder, monkeypatch):
    first = shipped_tables()[:1]
    monkeypatch.setattr(checking, "shipped_tables", lambda: first)  # the rest is checked elsewhere
    before = len(first[0].cases)
    with registered(GROUP, "ours", folder, "our-tables", "1.0"):
        report = check()
    assert len(report.verdicts) == before + 2
    assert [v.word for v in report.verdicts[-2:]] == ["agrees", "differs"]
    assert report.status() == 1


def test_what_cannot_be_used(folder):
    """It is passed over with a warning that says why, and stops no other."""
    (folder / "one.toml").write_text("title = 3", encoding="utf-8")
    sound = folder / "two.toml"
    for thing, said in (
        ("no_such_module:x", "no_such_module"),
        (lambda: 3, "names neither a folder"),
        (folder, r"one\.toml"),
    ):
        with registered(GROUP, "ours", thing, "d", "1"), registered(GROUP, "sound", sound, "e", "1"):
            with pytest.warns(MillcalcWarning, match=said):
                found = plugin_tables()
            assert [table.title for table in found] == ["Ours"]
