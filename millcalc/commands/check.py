"""The commands of evidence: check a table against the library, and name the relation it was worked out by."""

from __future__ import annotations

from typing import Any

from millcalc.commands._shared import command, json_text
from millcalc.errors import ArgumentError, Fault

__all__ = ["add"]

_FORMS = ("text", "markdown", "junit")


def add(commands: Any) -> None:
    """Add the words of these commands."""
    text = (
        "Compute the cases of a table and compare them with what it prints, at the printed digits. "
        "Exit status 0 if all agree, or differ as marked; 1 if something differs; 2 if the input cannot be used."
    )
    made = command(commands, "check", _check, text, "millcalc check handbook.csv --formula cutting_speed")
    made.add_argument("tables", nargs="*", metavar="table", help="TOML or CSV file, or folder; none: what is shipped")
    _add_columns(made)
    made.add_argument("--rounded-inputs", action="store_true", help="inputs of a CSV are rounded to their digits")
    made.add_argument("--form", choices=_FORMS, default="text", help="form of the report")
    made.add_argument("--all", action="store_true", help="list the cases that are as they should be, too")
    made.add_argument("--strict", action="store_true", help="exit status 1 also where a case cannot be told")
    made.add_argument("--coverage", action="store_true", help="print the witnesses of every formula instead")
    text = "Say which relation a table of columns was worked out by: exact or approximate, with which pi."
    made = command(commands, "identify", _identify, text, "millcalc identify handbook.csv --output spindle_speed")
    made.add_argument("table", help="CSV file; columns named by input, with units: diameter [mm],…")
    made.add_argument("--output", metavar="column", help="the column to explain; the last if left out")
    made.add_argument("--candidate", action="append", metavar="relation", help="a formula's name; may be repeated")


def _add_columns(made: Any) -> None:
    made.add_argument("--formula", metavar="name", help="of a CSV: the formula; else found by the name of a column")
    made.add_argument("--output", metavar="column", help="of a CSV: the column that the formula gives")


def _check(options: Any) -> str | tuple[str, int]:
    from millcalc.evidence.checking import check

    if options.form != "text" and (options.json or options.coverage):
        other = "--json" if options.json else "--coverage"
        raise ArgumentError("the command line cannot be read", (Fault("--form", options.form, f"{other} has its own"),))
    if options.coverage:
        return _coverage(options)
    asked = {"formula": options.formula, "output": options.output, "rounded_inputs": options.rounded_inputs}
    report = check(options.tables or None, **asked)
    return _formed(report, options, options.all or len(report.verdicts) <= 60), report.status(options.strict)


def _formed(report: Any, options: Any, whole: bool) -> str:
    from millcalc.evidence import reports

    if options.json:
        return json_text(reports.report_table(report))
    if options.form == "junit":
        return reports.report_junit(report)
    return reports.report_markdown(report, whole) if options.form == "markdown" else reports.report_text(report, whole)


def _coverage(options: Any) -> tuple[str, int]:
    from millcalc.evidence.coverage import coverage_rows, coverage_text

    if options.tables:
        raise ArgumentError("the command line cannot be read", (Fault("--coverage", "", "it takes no table"),))
    rows = coverage_rows()
    status = int(any(row.empty for row in rows))
    if options.json:
        import attrs

        return json_text([attrs.asdict(row) for row in rows]), status
    return coverage_text(rows), status


def _identify(options: Any) -> str:
    from millcalc.evidence.identifying import identify
    from millcalc.evidence.reports import identification_table, identification_text

    found = identify(options.table, options.candidate, output=options.output)
    return json_text(identification_table(found)) if options.json else identification_text(found)
