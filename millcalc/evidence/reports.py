"""Reports of evidence as text, Markdown, JSON and JUnit XML."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree

from millcalc.evidence.identifying import Identification
from millcalc.evidence.verdicts import AGREES, DIFFERS, Report, Verdict

__all__ = [
    "identification_table",
    "identification_text",
    "report_junit",
    "report_markdown",
    "report_table",
    "report_text",
]

_HEADS = ("case", "formula", "computed", "printed", "difference", "verdict")


def _number(value: Any) -> str:
    return "" if value is None else value if isinstance(value, str) else f"{value:.7g}"


def _cells(verdict: Verdict) -> tuple[str, ...]:
    difference = "" if verdict.difference is None else f"{verdict.difference:+.3g}"
    word = verdict.word + (", as marked" if verdict.word == DIFFERS and verdict.case.disagrees else "")
    if verdict.word == AGREES and verdict.case.disagrees:
        word += ", though marked as differing"
    computed = "" if verdict.computed is None else f"{_number(verdict.computed)} {verdict.unit}".strip()
    return verdict.case.id, verdict.relation, computed, verdict.case.output, difference, word


def _summary(report: Report) -> str:
    """Say how many cases there are, and what was found."""
    marked = sum(v.as_expected and bool(v.case.disagrees) for v in report.verdicts)
    counts = ", ".join(f"{n} {word}" for word, n in report.counts.items() if n)
    text = f"{len(report.verdicts)} cases: {counts or 'none'}"
    return text + (f" ({marked} of them as marked)" if marked else "")


def _why(verdict: Verdict) -> str:
    return "; ".join(w for w in (verdict.reason, verdict.case.disagrees) if w)


def report_text(report: Report, whole: bool = True) -> str:
    """Return a report as plain text: a line a case, the difference in units of the last printed digit.

    Parameters
    ----------
    report
        What `check` returned.
    whole
        Whether cases that are as they should be are listed, too.
    """
    shown = [v for v in report.verdicts if whole or not v.as_expected]
    rows = [_HEADS, *(_cells(v) for v in shown)]
    widths = [max(len(row[i]) for row in rows) for i in range(len(_HEADS))]
    lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
    for at, verdict in reversed(list(enumerate(shown, 1))):
        if _why(verdict):
            lines.insert(at + 1, f"    {_why(verdict)}")
    return "\n".join([*(lines if shown else []), *([""] if shown else []), _summary(report)])


def report_markdown(report: Report, whole: bool = True) -> str:
    """Return a report as a table in Markdown."""
    shown = [v for v in report.verdicts if whole or not v.as_expected]
    heads = (*_HEADS, "why")
    lines = [_bar(heads), _bar(["---"] * len(heads)), *(_bar((*_cells(v), _why(v))) for v in shown)]
    return "\n".join([*lines, "", _summary(report)])


def _bar(cells: Any) -> str:
    kept = (str(cell).replace("\\", "\\\\").replace("|", "\\|").replace("\n", " ") for cell in cells)
    return f"| {' | '.join(kept)} |"


def report_table(report: Report) -> dict[str, Any]:
    """Return a report as lists and mappings that JSON holds."""
    return {
        "tables": list(report.titles),
        "counts": report.counts,
        "amiss": len(report.amiss),
        "cases": [
            {
                "id": v.case.id,
                "source": v.case.source,
                "place": v.case.place,
                "formula": v.case.formula,
                "relation": v.relation,
                "inputs": {name: str(value) for name, value in v.case.inputs.items()},
                "printed": v.case.output,
                "computed": v.computed,
                "unit": v.unit,
                "difference": v.difference,
                "verdict": v.word,
                "as_expected": v.as_expected,
                "reason": v.reason,
                "disagrees": v.case.disagrees,
            }
            for v in report.verdicts
        ],
    }


def report_junit(report: Report) -> str:
    """Return a report as JUnit XML: a test case a case, what is amiss as failures, what is undecided as skipped."""
    root = ElementTree.Element("testsuites", name="millcalc check")
    for source in dict.fromkeys(v.case.source for v in report.verdicts):
        own = [v for v in report.verdicts if v.case.source == source]
        suite = ElementTree.SubElement(root, "testsuite", name=_plain(source or "table"))
        suite.set("tests", str(len(own)))
        suite.set("failures", str(sum(v.amiss for v in own)))
        suite.set("errors", "0")
        suite.set("skipped", str(sum(not v.amiss and not v.as_expected for v in own)))
        suite.set("time", "0")
        for verdict in own:
            _junit_case(suite, verdict)
    for key in ("tests", "failures", "errors", "skipped"):
        root.set(key, str(sum(int(suite.get(key, "0")) for suite in root)))
    ElementTree.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ElementTree.tostring(root, encoding="unicode")


def _junit_case(suite: ElementTree.Element, verdict: Verdict) -> None:
    name, formula = _plain(verdict.case.id), _plain(verdict.case.formula)
    case = ElementTree.SubElement(suite, "testcase", name=name, classname=formula, time="0")
    if verdict.as_expected:
        return
    _, relation, computed, printed, difference, word = _cells(verdict)
    unit = "units of the last printed digit"
    off = f", off by {difference} {unit}" if difference else ""
    kind = "failure" if verdict.amiss else "skipped"
    told = ElementTree.SubElement(case, kind, message=_plain(f"{word}: computed {computed}, printed {printed}{off}"))
    told.text = _plain("; ".join(w for w in (relation, verdict.case.place, _why(verdict)) if w))


def _plain(text: str) -> str:
    """Return a text without the characters that XML does not allow."""
    return "".join(
        c for c in text if c in "\t\n\r" or " " <= c <= "\ud7ff" or "\ue000" <= c <= "\ufffd" or c > "\uffff"
    )


def identification_text(found: Identification) -> str:
    """Return what `identify` found as plain text, the best first."""
    rows = [("relation", "rows that agree", "mean difference")]
    for each in found.candidates:
        off = "not computed" if each.mean_difference == float("inf") else f"{each.mean_difference:.3g}"
        rows.append((each.name, f"{each.agreeing} of {each.rows}", off))
    widths = [max(len(row[i]) for row in rows) for i in range(3)]
    lines = ["  ".join(c.ljust(w) for c, w in zip(row, widths, strict=True)).rstrip() for row in rows]
    return "\n".join([_said(found), "", *lines, "", "differences in units of the last printed digit"])


def _said(found: Identification) -> str:
    best = [each.name for each in found.best]
    if not best:
        return "No relation gives any of the rows."
    text = best[0] if len(best) == 1 else f"The printed digits do not tell apart: {' | '.join(best)}"
    if found.best[0].share < 1.0:
        text += f" (nearest; {found.best[0].agreeing} of {found.best[0].rows} rows)"
    return text


def identification_table(found: Identification) -> dict[str, Any]:
    """Return what `identify` found as lists and mappings that JSON holds."""
    rows = [
        {
            "relation": c.name,
            "rows": c.rows,
            "agreeing": c.agreeing,
            "share": c.share,
            "mean_difference": c.mean_difference,
        }
        for c in found.candidates
    ]
    return {"best": [c.name for c in found.best], "candidates": rows}
