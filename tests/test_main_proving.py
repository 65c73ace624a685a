"""The command line of proving: patch, sensitivity, spread, surface, proven, timing, the PDF page; bad input to each."""

from __future__ import annotations

import json

import pytest

from millcalc.__main__ import main
from millcalc.planning import example_job, example_text, plan, read_proven, sensitivity, test_patch
from millcalc.quantities.record import number

MOVES = """
[[move]]
length = "10 mm"
feed_rate = "6000 mm/min"
repeats = 50
time = "28.3 s"
[[move]]
length = "100 mm"
point_spacing = "0.02 mm"
feed_rate = "3000 mm/min"
repeats = 2
time = "40.0 s"
[[move]]
length = "100 mm"
point_spacing = "0.2 mm"
feed_rate = "3000 mm/min"
repeats = 5
time = "20.3 s"
"""


def run(capsys, *words):
    status = main(words)
    out, err = capsys.readouterr()
    return status, out, err


def as_json(capsys, *words):
    status, out, _ = run(capsys, *words, "--json")
    assert status == 0
    return json.loads(out)


def test_the_patch_and_the_effects(capsys):
    fields = as_json(capsys, "patch", "--example")["fields"]
    assert [f["ra"] for f in fields] == [number(f, "ra") for f in test_patch(example_job()).fields]
    found = as_json(capsys, "sensitivity", "--example")
    assert list(found) == [e.name for e in sensitivity(example_job()).effects]
    ranges = as_json(capsys, "spread", "--example")
    time = ranges["operation_time"]
    assert time["low"] < time["middle"] < time["high"]
    for name in ("patch", "sensitivity", "spread"):
        status, out, _ = run(capsys, name, "--example", "--units", "inch")
        assert status == 0
        assert " in" in out


def test_a_surface_is_read(capsys):
    status, out, _ = run(capsys, "surface", "--example", "--ra-across", "0.5 um", "--spacing-across", "0.19 mm")
    assert status == 0
    assert "made across by scallops" in out
    found = as_json(capsys, "surface", "--example", "--ra-across", "0.5 um", "--spacing-across", "0.19 mm")
    assert found["across"] == "scallops"
    assert found["ra_factor"] == pytest.approx(0.5 / number(plan(example_job()), "ra"))


def test_what_was_proven_is_added_and_shown(capsys, tmp_path):
    record, job = tmp_path / "proven.toml", tmp_path / "job.toml"
    job.write_text(example_text(), encoding="utf-8")
    for ra, initials in (("0.5 um", "AB"), ("0.6 um", "CD")):
        words = ("proven", str(record), str(job), "--ra", ra, "--initials", initials, "--time", "18 min")
        status, out, err = run(capsys, *words, "--feed-rate", "2000 mm/min", "--date", "2026-03-31")
        assert (status, err) == (0, "")
        assert str(record) in out
    entries = read_proven(record)
    assert [e.initials for e in entries] == ["AB", "CD"]
    assert number(entries[0], "feed_rate") == 2000.0
    assert number(entries[0], "time_factor") == pytest.approx(18.0 / number(plan(example_job()), "operation_time"))
    for command in ("plan", "page"):
        _, out, _ = run(capsys, command, str(job), "--record", str(record))
        assert "TEXTBOOK AND PROVEN" in out
        assert "proven 2000 mm/min" in out
    _, page, _ = run(capsys, "page", str(job))
    assert f"job {entries[0].checksum}" in page


def test_timed_moves_tell_the_machine(capsys, tmp_path):
    moves = tmp_path / "moves.toml"
    moves.write_text(MOVES, encoding="utf-8")
    status, out, err = run(capsys, "timing", str(moves))
    assert (status, err) == (0, "")
    assert out.startswith("acceleration ")
    found = as_json(capsys, "timing", str(moves))
    # 10 mm at 100 mm/s: 0.1 s + v/a each; 0.02 mm a block in 0.4 m/200 s: 2 ms
    assert found["acceleration"] == pytest.approx(100.0 / 0.183, rel=0.2)
    assert found["block_time"] == pytest.approx(2.0, rel=0.05)


def test_the_page_as_a_file(capsys, tmp_path):
    path = tmp_path / "page.pdf"
    assert run(capsys, "page", "--example", "--pdf", str(path), "--paper", "letter")[0] == 0
    assert path.read_bytes()[:5] == b"%PDF-"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("patch",), "a job file is needed"),
        (("surface", "--example"), "measured"),
        (("surface", "--example", "--ra-across", "0.5 mm/min"), "ra_across"),
        (("proven", "{tmp}/r.toml", "--example", "--ra", "0 um"), "ra"),
        (("proven", "{tmp}/r.toml", "--example", "--ra", "1 um", "--date", "soon"), "date"),
        (("proven", "{tmp}/none/r.toml", "--example", "--ra", "1 um"), "none"),
        (("timing", "{tmp}/none.toml"), "No such file"),
        (("timing", "{tmp}/bad.toml"), "[[move]]"),
        (("timing", "{tmp}/one.toml"), "two"),
        (("page", "--example", "--html", "--pdf", "{tmp}/x.pdf"), "give one of them"),
        (("page", "--example", "--pdf", "{tmp}/x.txt"), ".pdf"),
        (("plan", "--example", "--record", "{tmp}/bad.toml"), "proven"),
        (("patch", "{tmp}/rough.toml"), "only a finishing job"),
        (("spread", "{tmp}/rough.toml"), "only a finishing job"),
        (("surface", "{tmp}/rough.toml", "--ra-across", "1 um"), "only a finishing job"),
    ],
)
def test_bad_input_gets_one_readable_line(capsys, tmp_path, words, said):
    (tmp_path / "bad.toml").write_text("x = 1", encoding="utf-8")
    (tmp_path / "rough.toml").write_text(example_text("roughing"), encoding="utf-8")
    one = '[[move]]\nlength = "1 mm"\nfeed_rate = "1 m/min"\nrepeats = 1\ntime = "1 s"\n'
    (tmp_path / "one.toml").write_text(one, encoding="utf-8")
    status, out, err = run(capsys, *(w.replace("{tmp}", str(tmp_path)) for w in words))
    assert (status, out) == (2, "")
    assert err.startswith("millcalc: ")
    assert err.count("\n") == 1
    assert said in err
    assert not (tmp_path / "r.toml").exists()
