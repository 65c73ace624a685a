"""Cases as TOML states them: to records, or to faults, every one of them with its place."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

from millcalc.discovery import check_api
from millcalc.errors import Fault, MillcalcError, PluginError
from millcalc.evidence.relations import asked_of, relation
from millcalc.evidence.verdicts import Case, digits_of
from millcalc.quantities.convert import Parameter, RefusedError, read, read_value
from millcalc.quantities.kinds import ANY
from millcalc.sources import HOW_KNOWN

__all__ = ["cases_of", "faults_of", "head_faults"]

_TEXT_KEYS = ("title", "author", "edition", "year", "page", "address", "how_known", "note")
_HEAD = {*_TEXT_KEYS, "rounded_inputs", "api", "case"}
_NEEDED = ("id", "formula", "inputs", "output")
_TEXTS = ("id", "formula", "relation", "variation", "disagrees", "wider", "page", "address", "how_known", "note")
_TABLES = ("inputs", "cutter", "coefficients", "body")
_FREE = (*_TEXTS, *_TABLES, "holder", "output", "result", "half_width", "rounded_inputs")
_SLACK = 0.5001  # a half width up to half a digit needs no reason; the rest is rounding


def head_faults(content: Mapping[str, Any], name: str) -> list[Fault]:
    """Return what is wrong at the top of a file."""
    faults = [Fault(f"{name}: {key}", "", "the key is not known here") for key in content if key not in _HEAD]
    for key in ("title", "how_known"):
        if not str(content.get(key, "")).strip():
            faults.append(Fault(f"{name}: {key}", "", "it is missing", "a text"))
    wrong = [key for key in _TEXT_KEYS if key in content and not isinstance(content[key], str)]
    faults += [Fault(f"{name}: {key}", repr(content[key]), "it is no text") for key in wrong]
    if isinstance(content.get("how_known"), str) and content["how_known"] not in HOW_KNOWN:
        faults.append(
            Fault(f"{name}: how_known", repr(content["how_known"]), "it is none of the words", str(HOW_KNOWN))
        )
    if "api" in content:
        try:
            check_api(content["api"], f"api of {name}")
        except PluginError as error:
            faults += error.faults
    if not isinstance(content.get("case"), list) or not content["case"]:
        faults.append(Fault(f"{name}: case", "", "there is none", "tables [[case]]"))
    return faults


def cases_of(content: Mapping[str, Any], name: str) -> tuple[list[Case], list[Fault]]:
    """Return the cases of a file and what is wrong with them."""
    rows = content.get("case")
    cases: list[Case] = []
    faults: list[Fault] = []
    for number, row in enumerate(rows if isinstance(rows, list) else (), 1):
        word = row.get("id") if isinstance(row, dict) else None
        place = f"{name}, case {word!r}" if isinstance(word, str) else f"{name}, case {number}"
        wrong = _row_faults(row, place)
        if not wrong:
            case = _case(row, content, place)
            wrong = faults_of(case)
            cases.append(case)
        faults += wrong
    counted = Counter(case.id for case in cases)
    faults += [Fault(f"{name}, case {key!r}", "", f"{n} cases have this id") for key, n in counted.items() if n > 1]
    return cases, faults


def _row_faults(row: Any, place: str) -> list[Fault]:
    if not isinstance(row, dict):
        return [Fault(place, repr(row)[:60], "it is no table")]
    faults = [Fault(f"{place}: {key}", "", "it is missing") for key in _NEEDED if key not in row]
    faults += [Fault(f"{place}: {key}", "", "the key is not known here") for key in row if key not in _FREE]
    checks = [(_TEXTS, str, "text"), (_TABLES, dict, "table"), (("rounded_inputs",), bool, "yes or no")]
    for keys, kind, noun in checks:
        wrong = [key for key in keys if key in row and not isinstance(row[key], kind)]
        faults += [Fault(f"{place}: {key}", repr(row[key])[:60], f"it is no {noun}") for key in wrong]
    if "holder" in row and not (isinstance(row["holder"], list) and all(isinstance(h, dict) for h in row["holder"])):
        faults.append(Fault(f"{place}: holder", repr(row["holder"])[:60], "it is no list of tables"))
    if "output" in row and (isinstance(row["output"], bool) or not isinstance(row["output"], (str, int, float))):
        faults.append(Fault(f"{place}: output", repr(row["output"])[:60], "it is no value", example='"60 m/min"'))
    which = row.get("result", 1)
    if isinstance(which, bool) or not isinstance(which, int) or which < 1:
        faults.append(Fault(f"{place}: result", repr(which), "it is no place", "1, 2, …"))
    half = row.get("half_width", 0.0)
    if isinstance(half, bool) or not isinstance(half, (int, float)) or not 0.0 <= half < float("inf"):
        faults.append(Fault(f"{place}: half_width", repr(half), "it is no number, 0 or more, in the output's unit"))
    if "how_known" in row and row["how_known"] not in HOW_KNOWN:
        faults.append(Fault(f"{place}: how_known", repr(row["how_known"]), "it is none of the words", str(HOW_KNOWN)))
    faults += [
        Fault(f"{place}: {key}", "", "the reason is left out") for key in ("disagrees", "wider") if row.get(key) == ""
    ]
    return faults


def _case(row: Mapping[str, Any], content: Mapping[str, Any], place: str) -> Case:
    stated = {key: value for key, value in row.items() if key != "output"}
    for key in ("how_known", "page", "address"):
        stated.setdefault(key, str(content.get(key, "")))
    stated.setdefault("rounded_inputs", content.get("rounded_inputs") is True)
    return Case(output=str(row["output"]), place=place, source=str(content.get("title", "")), **stated)


def faults_of(case: Case) -> list[Fault]:
    """Return what is wrong with a case: its formula, its inputs, what is printed, the width it is checked to."""
    try:
        formula = asked_of(case.formula, case.cutter, case.coefficients, case.body, case.holder)
        relation(formula, case.variation)
    except (MillcalcError, TypeError) as error:
        inner = getattr(error, "faults", ())
        headline = getattr(error, "headline", str(error))
        return [Fault(f"{case.place}: {f.where}", f.given, f.reason, f.accepted, f.example) for f in inner] or [
            Fault(f"{case.place}: formula", repr(case.formula), headline)
        ]
    faults = _input_faults(case, formula)
    if case.result > len(formula.result_kinds):
        many = len(formula.result_kinds)
        return [*faults, Fault(f"{case.place}: result", str(case.result), f"{case.formula} has {many}")]
    if case.output.strip() not in ("", "-"):
        try:
            read(case.output, Parameter("output", formula.result_kinds[case.result - 1], ANY))
        except RefusedError as refused:
            why = refused.fault
            faults.append(Fault(f"{case.place}: output", why.given, why.reason, why.accepted, why.example))
    width = case.half_width
    if width is not None and not case.wider and width > _SLACK * digits_of(case.output)[0]:
        reason = "it is wider than half the last printed digit, without a reason"
        faults.append(Fault(f"{case.place}: half_width", f"{width:g}", reason, 'wider = "why"'))
    return faults


def _input_faults(case: Case, formula: Any) -> list[Fault]:
    parameters = {p.name: p for p in formula.parameters}
    faults = [
        Fault(f"{case.place}: {name}", "", f"{case.formula} has no such input", ", ".join(parameters))
        for name in case.inputs
        if name not in parameters
    ]
    missing = [p.name for p in formula.parameters if p.required and p.name not in case.inputs]
    faults += [Fault(f"{case.place}: {name}", "", f"{case.formula} needs it") for name in missing]
    for name, value in case.inputs.items():
        if name not in parameters:
            continue
        try:
            read_value(value, parameters[name])
        except RefusedError as refused:
            why = refused.fault
            if not refused.about_domain:  # outside the domain is a verdict, not a fault of the file
                faults.append(Fault(f"{case.place}: {name}", why.given, why.reason, why.accepted, why.example))
    return faults
