"""The page that the shop pins up."""

from __future__ import annotations

from typing import Any

from millcalc.commands._shared import add_job, add_units, command, given_job, json_text

__all__ = ["add"]


def add(commands: Any) -> None:
    """Add the words of these commands."""
    text = "Print the page of a job that the shop pins up: what to set, what to expect, how to prove it."
    made = command(commands, "page", _page, text, "millcalc page job.toml --html > page.html")
    add_job(made)
    add_units(made)
    made.add_argument("--html", action="store_true", help="as HTML that stands alone and prints on one sheet")


def _page(options: Any) -> str:
    from millcalc.planning import example_text, plan
    from millcalc.planning.reading import file_text
    from millcalc.report import page_html, page_of, page_text

    made = plan(given_job(options))
    page = page_of(made, options.units, example_text() if options.example else file_text(options.job))
    if options.json:
        import attrs

        return json_text(
            attrs.asdict(page, filter=lambda field, _: field.name != "kind")
            | {"cautions": list(map(str, page.cautions))}
        )
    return page_html(page) if options.html else page_text(page)
