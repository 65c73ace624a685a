"""The shop's page as PDF: one sheet of the paper asked for, with every word of the page; nothing is overwritten."""

from __future__ import annotations

import pytest
from jobs import changed
from pypdf import PdfReader

from millcalc.errors import ArgumentError, FileError, MissingExtraError
from millcalc.planning import example_text, plan
from millcalc.planning.reading import job_from_text
from millcalc.report import page_of, page_pdf

ROUGHING = job_from_text(example_text("roughing"))
HOLDER = "Spannfutter für Ø 6 \u2265 3 D"
LONG = changed(shop={"coolant": "mist of " + "a very long word of the shop, " * 20, "holder": HOLDER})


def words(text):
    return "".join(text.split())


@pytest.fixture(scope="module", params=["finishing", "roughing", "long"])
def page(request):
    return page_of(plan({"finishing": changed(), "roughing": ROUGHING, "long": LONG}[request.param]))


@pytest.mark.parametrize(("paper", "size"), [("A4", (210.0, 297.0)), ("letter", (215.9, 279.4))])
def test_one_sheet_with_every_word(page, paper, size, tmp_path):
    made = PdfReader(page_pdf(page, tmp_path / "page.pdf", paper))
    assert len(made.pages) == 1
    box = made.pages[0].mediabox
    for measured, wanted in zip((box.width, box.height), size, strict=True):
        assert float(measured) * 25.4 / 72.0 == pytest.approx(wanted, abs=0.1)
    found = words(made.pages[0].extract_text())
    wanted = [cell for s in page.sections for row in s.rows for cell in row]
    wanted += [text for _, text in page.cautions] + list(page.proving) + list(page.footer)
    wanted += [page.title, page.checksum, page.version]
    for text in wanted:
        assert words(text.replace("\u2265", "?")) in found, text


def test_nothing_is_overwritten_unless_asked(tmp_path):
    page, path = page_of(plan(changed())), tmp_path / "page.pdf"
    path.write_text("what a user made", encoding="utf-8")
    with pytest.raises(FileError, match="overwrite"):
        page_pdf(page, path)
    assert path.read_text(encoding="utf-8") == "what a user made"
    page_pdf(page, str(path), overwrite=True)
    assert path.read_bytes()[:5] == b"%PDF-"


@pytest.mark.parametrize(
    ("path", "paper", "named"),
    [("page.txt", "A4", "ending"), ("page", "A4", "ending"), ("page.pdf", "A3", "paper"), (None, "A4", "path")],
)
def test_what_cannot_be_written(path, paper, named, tmp_path):
    with pytest.raises(ArgumentError, match=named):
        page_pdf(page_of(plan(changed())), path and tmp_path / path, paper)
    assert not list(tmp_path.iterdir())


def test_a_folder_that_is_not_there(tmp_path):
    with pytest.raises(FileError, match="No such file"):
        page_pdf(page_of(plan(changed())), tmp_path / "none" / "page.pdf")


def test_without_the_extra(monkeypatch, tmp_path):
    monkeypatch.setitem(__import__("sys").modules, "fpdf", None)
    with pytest.raises(MissingExtraError, match=r"millcalc\[pdf\]"):
        page_pdf(page_of(plan(changed())), tmp_path / "page.pdf")
