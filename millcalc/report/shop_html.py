"""The shop's page as HTML that stands alone: no network, one sheet of A4 or letter paper."""

from __future__ import annotations

from html import escape

from millcalc.report.shop_page import Page, Section

__all__ = ["page_html"]

_STYLE = """
@page { size: auto; margin: 9mm; }
.millcalc { font: 10pt/1.25 "Liberation Sans", Arial, Helvetica, sans-serif; color: #111; background: #fff;
  max-width: 186mm; margin: 0 auto; }
.millcalc h1 { font-size: 14pt; margin: 0 0 2mm; border-bottom: 0.6mm solid #111; }
.millcalc h2 { font-size: 9.5pt; margin: 2.2mm 0 0.6mm; letter-spacing: 0.03em; }
.millcalc table { border-collapse: collapse; width: 100%; }
.millcalc td { padding: 0.25mm 1.5mm; border-bottom: 0.15mm solid #bbb; vertical-align: top; }
.millcalc td.value { font-weight: bold; white-space: nowrap; }
.millcalc td.wide { font-weight: normal; white-space: normal; }
.millcalc td.remark { color: #444; }
.millcalc td.proven { width: 26mm; border: 0.2mm solid #777; }
.millcalc ul { margin: 0.5mm 0; padding-left: 5mm; list-style: none; }
.millcalc li::before { content: "\\25a1"; display: inline-block; width: 5mm; margin-left: -5mm; }
.millcalc ul.cautions li::before { content: "\\25b2"; }
.millcalc li.stop { font-weight: bold; border-left: 1mm solid #111; padding-left: 1mm; }
.millcalc footer { font-size: 8.5pt; color: #333; margin-top: 2.5mm; border-top: 0.3mm solid #111; padding-top: 1mm; }
.millcalc .signed { margin: 3mm 0 1mm; }
@media print {
  .millcalc { max-width: none; font-size: 8pt; line-height: 1.12; }
  .millcalc h1 { font-size: 12pt; margin-bottom: 1mm; }
  .millcalc h2 { font-size: 8pt; margin-top: 1.4mm; }
  .millcalc footer { font-size: 7pt; }
  .millcalc table { break-inside: avoid; }
}
"""


def page_html(page: Page, whole: bool = True) -> str:
    """Return a page as HTML.

    Parameters
    ----------
    page
        The page.
    whole
        Whether a document is wanted, or only the part for a notebook.

    Examples
    --------
    >>> from millcalc.planning import example_job, plan
    >>> from millcalc.report import page_of
    >>> page_html(page_of(plan(example_job()))).splitlines()[0]
    '<!DOCTYPE html>'
    """
    cautions = "".join(f'<li class="{rank}">{escape(f"{rank.upper()}: {text}")}</li>' for rank, text in page.cautions)
    if page.left_out:
        cautions += f"<li>and {page.left_out} more in the plan</li>"
    body = [
        '<div class="millcalc">',
        f"<h1>{escape(page.title)}</h1>",
        *(_section(s) for s in page.sections if s.rows),
        f'<h2>CAUTIONS</h2><ul class="cautions">{cautions}</ul>',
        f"<h2>FIRST RUN</h2><ul>{''.join(f'<li>{escape(step)}</li>' for step in page.proving)}</ul>",
        '<p class="signed">initials ____________ &nbsp; date ________________</p>',
        f"<footer>{'<br>'.join(map(escape, page.footer))}<br>job {escape(page.checksum)}, "
        f"millcalc {escape(page.version)}</footer>",
        "</div>",
    ]
    part = f"<style>{_STYLE}</style>\n" + "\n".join(body)
    if not whole:
        return part
    head = f'<meta charset="utf-8"><title>{escape(page.title)}</title>'
    return f'<!DOCTYPE html>\n<html lang="en"><head>{head}</head><body>\n{part}\n</body></html>\n'


def _section(section: Section) -> str:
    head = escape(section.head) + (" &nbsp;(last column: proven)" if section.proven else "")
    return f"<h2>{head}</h2><table>{''.join(_row(section, row) for row in section.rows)}</table>"


def _row(section: Section, row: tuple[str, str, str]) -> str:
    what, value, remark = map(escape, row)
    wide = "" if section.proven or len(row[1]) < 24 else " wide"
    proven = '<td class="proven"></td>' if section.proven else ""
    return f'<tr><td>{what}</td><td class="value{wide}">{value}</td><td class="remark">{remark}</td>{proven}</tr>'
