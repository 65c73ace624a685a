"""The page a shop pins up: its numbers are the plan's, it fits on one sheet, it stands alone."""

from __future__ import annotations

import html.parser
import json
import re
import shutil
import subprocess

import pytest
from jobs import EXAMPLE, changed

from millcalc.__main__ import main
from millcalc.planning import example_text, plan
from millcalc.planning.reading import job_from_text
from millcalc.quantities.record import number
from millcalc.report import page_html, page_of, page_text
from millcalc.report.shop_page import MOST_CAUTIONS, checksum_of

ROUGHING = job_from_text(example_text("roughing"))
WORDS = {
    "hardness": "300 HB",
    "coolant": "air blast",
    "holder": "collet holder, short",
    "cutter_name": "ball 6, tray 4",
    "cutters": 2,
    "shortest_overhang": "20 mm",
}
SHOP = changed(shop=WORDS)


@pytest.fixture(scope="module")
def pages():
    return {"finishing": page_of(plan(SHOP)), "roughing": page_of(plan(ROUGHING))}


def cells(page, head):
    return {row[0]: row[1] for s in page.sections if s.head.startswith(head) for row in s.rows}


def test_what_is_set_is_what_the_plan_says(pages):
    made = plan(SHOP)
    found = cells(pages["finishing"], "SET")
    assert found["spindle speed as set"] == f"{number(made, 'spindle_speed'):.0f} rev/min"
    assert found["feed rate as set, programmed point"] == f"{number(made, 'feed_rate'):.0f} mm/min"
    assert found["stepover as set"] == f"{number(made, 'stepover_setting'):g} mm"
    assert found["number of passes"] == f"{number(made, 'passes'):.0f}"
    rough = cells(pages["roughing"], "SET")
    assert rough["feed rate of the entry, as set"] == f"{number(plan(ROUGHING), 'entry_feed_rate'):.0f} mm/min"


def test_the_words_of_the_shop_stand_on_it(pages):
    text = page_text(pages["finishing"])
    for word in ("300 HB", "air blast", "collet holder, short", "ball 6, tray 4", "2 cutters", "20 mm to 24 mm"):
        assert word in text
    for word in ("initials", "date", "FIRST RUN", "proven", "governed by: wanted finish", "0:15 h"):
        assert word in text
    assert "None" not in text
    assert "nan" not in text


def test_no_number_changes_with_the_words_of_the_shop():
    with_words, without = plan(SHOP).as_numbers(), plan(EXAMPLE).as_numbers()
    assert without["assumed"].pop("coolant")["value"]  # nobody named one
    assert with_words == without


def test_at_most_five_cautions_the_worst_first():
    made = plan(changed(before={"stock": "1 mm"}, axis={"lead": None, "tilt": None}, material="Ti-6Al-4V"))
    page = page_of(made)
    assert len(made.cautions) > MOST_CAUTIONS == len(page.cautions)
    assert page.left_out == len(made.cautions) - MOST_CAUTIONS
    ranks = [("stop", "caution", "note").index(rank) for rank, _ in page.cautions]
    assert ranks == sorted(ranks)
    assert f"and {page.left_out} more in the plan" in page_text(page)


def test_inch_pages_use_decimals():
    page = page_of(plan(SHOP), "inch")
    found = cells(page, "SET") | cells(page, "EXPECT")
    # 0.19 mm, 1.5025 um, 2366 mm/min
    assert found["stepover as set"] == "0.00748 in"
    assert found["scallop height"] == "0.592 x 0.0001 in"
    assert found["feed rate as set, programmed point"] == "93.15 in/min"
    assert not re.search(r"\d mm\b", " ".join(text for _, text in page.cautions))


def test_checksum_changes_with_the_job():
    pages = [page_of(plan(job)).checksum for job in (EXAMPLE, SHOP, changed(finish={"ra": "0.9 um"}))]
    assert len(set(pages)) == 3
    assert page_of(plan(EXAMPLE), source="text").checksum == checksum_of("text")


class Looked(html.parser.HTMLParser):
    """Tags that are open at the end, and what a page would fetch."""

    def __init__(self):
        super().__init__()
        self.open, self.fetched, self.text = [], [], []

    def handle_starttag(self, tag, attrs):
        if tag not in ("meta", "br"):
            self.open.append(tag)
        self.fetched += [v for k, v in attrs if k in ("src", "href")]

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.text.append(data)


@pytest.mark.parametrize("kind", ["finishing", "roughing"])
def test_html_stands_alone_and_says_the_same(pages, kind):
    page = pages[kind]
    made = page_html(page)
    looked = Looked()
    looked.feed(made)
    assert not looked.open
    assert not looked.fetched
    assert "http" not in made
    assert "url(" not in made
    text = " ".join(looked.text)
    for section in page.sections:
        for row in section.rows:
            assert all(cell in text for cell in row)
    assert page._repr_html_() in made
    assert "<html" not in page._repr_html_()


def test_html_escapes_what_the_user_wrote():
    page = page_of(plan(changed(shop={"coolant": "<b>air & mist</b>"})))
    assert "&lt;b&gt;air &amp; mist&lt;/b&gt;" in page_html(page)


BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")


@pytest.mark.skipif(BROWSER is None, reason="no browser on this machine")
@pytest.mark.parametrize("kind", ["finishing", "roughing"])
def test_a_browser_prints_it_on_one_sheet(pages, kind, tmp_path):
    source, printed = tmp_path / "page.html", tmp_path / "page.pdf"
    source.write_text(page_html(pages[kind]), encoding="utf-8")
    options = ["--headless", "--no-sandbox", "--disable-gpu", f"--print-to-pdf={printed}"]
    subprocess.run([BROWSER, *options, source.as_uri()], check=True, capture_output=True, timeout=90)
    assert len(re.findall(rb"/Type\s*/Page[^s]", printed.read_bytes())) == 1


def test_from_the_command_line(tmp_path, capsys):
    path = tmp_path / "job.toml"
    path.write_text(example_text(), encoding="utf-8")
    assert main(["page", str(path)]) == 0
    assert f"job {checksum_of(example_text())}" in capsys.readouterr().out
    assert main(["page", str(path), "--html", "--units", "inch"]) == 0
    assert capsys.readouterr().out.startswith("<!DOCTYPE html>")
    assert main(["page", "--example", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["sections"][1]["rows"][0][1] == "17500 rev/min"
