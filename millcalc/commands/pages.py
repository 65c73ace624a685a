"""The page that the shop pins up."""

from __future__ import annotations

from typing import Any

from millcalc.commands._shared import (
    add_job,
    add_record,
    add_units,
    command,
    given_job,
    given_text,
    json_text,
    recorded,
)
from millcalc.errors import ArgumentError, Fault

__all__ = ["add"]


def add(commands: Any) -> None:
    """Add the words of these commands."""
    text = "Print the page of a job that the shop pins up: what to set, what to expect, how to prove it."
    made = command(commands, "page", _page, text, "millcalc page job.toml --html > page.html")
    add_job(made)
    add_units(made)
    add_record(made)
    made.add_argument("--html", action="store_true", help="as HTML that stands alone and prints on one sheet")
    made.add_argument("--pdf", metavar="file", help="write it as a PDF file of one sheet; nothing is overwritten")
    made.add_argument("--paper", choices=("A4", "letter"), default="A4", help="of the PDF file; A4 if left out")


def _page(options: Any) -> str:
    from millcalc.planning import plan
    from millcalc.report import page_html, page_of, page_pdf, page_text

    asked = [word for word in ("html", "pdf", "json") if getattr(options, word)]
    if len(asked) > 1:
        fault = Fault("command line", " and ".join(f"--{a}" for a in asked), "give one of them")
        raise ArgumentError("the page cannot be written", (fault,))
    made = plan(given_job(options))
    page = page_of(made, options.units, given_text(options), recorded(options))
    if options.json:
        import attrs

        return json_text(
            attrs.asdict(page, filter=lambda field, _: field.name != "kind")
            | {"cautions": list(map(str, page.cautions))}
        )
    if options.pdf:
        return f"written to {page_pdf(page, options.pdf, options.paper)}"
    return page_html(page) if options.html else page_text(page)
