"""The shop's page as a PDF file on one sheet of A4 or letter paper, with the extra `pdf`."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from millcalc.errors import ArgumentError, Fault, MissingExtraError
from millcalc.report._writing import write_new
from millcalc.report.shop_page import Page, Section

__all__ = ["page_pdf"]

PAPERS = ("A4", "letter")
_MARGIN, _PROVEN = 9.0, 24.0  # mm
_LARGEST, _LEAST = 9.0, 5.0  # points of the text
_LINE = 1.22  # height of a line over that of the text
_POINT = 25.4 / 72.0


def page_pdf(page: Page, path: str | os.PathLike[str], paper: str = "A4", overwrite: bool = False) -> Path:
    """Write a page as a PDF file of one sheet; the text is as large as fits.

    Parameters
    ----------
    page
        The page.
    path
        The file, ending in ".pdf".
    paper
        "A4" or "letter".
    overwrite
        Whether a file that exists may be replaced.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    ArgumentError
        The paper is neither, or the ending is another one.
    MissingExtraError
        The extra `pdf` is not installed.
    FileError
        The file exists, or cannot be written.

    Examples
    --------
    >>> import tempfile, pathlib
    >>> from millcalc.planning import example_job, plan
    >>> from millcalc.report import page_of
    >>> path = page_pdf(page_of(plan(example_job())), pathlib.Path(tempfile.mkdtemp(), "page.pdf"))
    >>> path.read_bytes()[:5]
    b'%PDF-'
    """
    file = _checked(path, paper)
    size = _LARGEST
    made = _written(page, paper, size)
    while made.page_no() > 1 and size > _LEAST:
        size -= 0.25
        made = _written(page, paper, size)
    write_new(str(file), bytes(made.output()), overwrite, "page")
    return file


def _checked(path: Any, paper: Any) -> Path:
    if paper not in PAPERS:
        fault = Fault("paper", repr(paper)[:40], "it is no paper known here", '"A4" or "letter"')
        raise ArgumentError("the page cannot be written", (fault,))
    try:
        file = Path(path)
    except TypeError:
        fault = Fault("path", repr(path)[:40], "it is no path", "the name of a file", '"page.pdf"')
        raise ArgumentError("the page cannot be written", (fault,)) from None
    if file.suffix.casefold() != ".pdf":
        fault = Fault("path", str(file), "its ending is another one", 'a name that ends in ".pdf"', '"page.pdf"')
        raise ArgumentError("the page cannot be written", (fault,))
    return file


def _document(paper: str) -> Any:
    try:
        from fpdf import FPDF
    except ImportError:
        raise MissingExtraError('the page as PDF needs fpdf2: pip install "millcalc[pdf]"') from None
    made = FPDF(orientation="portrait", unit="mm", format=paper)
    made.set_margin(_MARGIN)
    made.set_auto_page_break(True, _MARGIN)
    made.add_page()
    made.set_line_width(0.1)
    return made


def _written(page: Page, paper: str, size: float) -> Any:
    made = _document(paper)
    made.set_title(page.title)
    line = size * _POINT * _LINE
    _text(made, page.title, size + 3.0, 1.5 * line, bold=True)
    for section in page.sections:
        if section.rows:
            _section(made, section, size, line)
    _text(made, "CAUTIONS", size, 1.4 * line, bold=True)
    for rank, text in page.cautions:
        _text(made, f"{rank.upper()}: {text}", size, line, bold=rank == "stop")
    if page.left_out:
        _text(made, f"and {page.left_out} more in the plan", size, line)
    _text(made, "FIRST RUN", size, 1.4 * line, bold=True)
    for step in page.proving:
        _text(made, f"[  ] {step}", size, line)
    _text(made, "initials ____________    date ________________", size, 2.2 * line)
    for text in page.footer:
        _text(made, text, size - 1.0, line)
    _text(made, f"job {page.checksum}, millcalc {page.version}", size - 1.0, line)
    return made


def _section(made: Any, section: Section, size: float, line: float) -> None:
    """Write rows in columns: what, value, remark, and a box for what was proven."""
    _text(made, section.head + (" - last column: proven" if section.proven else ""), size, 1.4 * line, bold=True)
    room = made.epw - (_PROVEN if section.proven else 0.0)
    wide = []
    for place, style in enumerate(("", "B" if section.proven else "")):
        made.set_font("helvetica", style, size)
        wide.append(max(made.get_string_width(_plain(row[place])) for row in section.rows) + 2.5)
    first = min(wide[0], 0.5 * room)
    # a long value, a description, takes what the others leave
    second = min(wide[1], room - first - (0.15 * room if any(row[2] for row in section.rows) else 0.0))
    third = max(room - first - second, 1.0)
    for what, value, remark in section.rows:
        left, top = made.l_margin, made.get_y()
        cells = ((what, first, ""), (value, second, "B" if section.proven else ""), (remark, third, ""))
        heights = []
        for text, width, style in cells:
            made.set_font("helvetica", style, size)
            found = made.multi_cell(width, line, _plain(text), dry_run=True, output="LINES", align="L")
            heights.append(line * max(1, len(found)))
        most = max(heights)
        if top + most > made.page_break_trigger:
            made.add_page()
            top = made.get_y()
        for text, width, style in cells:
            made.set_xy(left, top)
            made.set_font("helvetica", style, size)
            made.multi_cell(width, line, _plain(text), align="L")
            left += width
        if section.proven:
            made.rect(made.l_margin + room, top, _PROVEN, most)
        made.line(made.l_margin, top + most, made.l_margin + room, top + most)
        made.set_xy(made.l_margin, top + most)


def _text(made: Any, text: str, size: float, line: float, bold: bool = False) -> None:
    made.set_font("helvetica", "B" if bold else "", size)
    made.set_x(made.l_margin)
    made.multi_cell(0, line, _plain(text), align="L", new_x="LMARGIN", new_y="NEXT")


def _plain(text: str) -> str:
    """Return text in the letters that the font has."""
    return text.encode("latin-1", "replace").decode("latin-1")
