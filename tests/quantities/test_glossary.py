"""One name per concept: signatures, docstrings and printed expressions agree with the glossary."""

from __future__ import annotations

import re

import pytest

import millcalc.cutters.assembly  # noqa: F401 - its answers are listed when it is loaded
from millcalc.cutters.answers import ANSWERS
from millcalc.quantities.glossary import GLOSSARY
from millcalc.quantities.kinds import KINDS
from millcalc.sources import HOW_KNOWN, bibliography

FUNCTIONS = {
    "abs",
    "arccos",
    "arcsin",
    "arctan2",
    "ceil",
    "cos",
    "exp",
    "floor",
    "log",
    "max",
    "min",
    "sin",
    "sqrt",
}
FUNCTIONS |= {"tan", "if", "else", "inf", "pi"}


def sections(formula):
    """Return a docstring's first paragraph and its underlined sections."""
    text = re.sub(r"^    ", "", formula.__doc__, flags=re.MULTILINE)
    parts = re.split(r"^(\w+)\n-+\n", text, flags=re.MULTILINE)
    return parts[0], dict(zip(parts[1::2], parts[2::2], strict=True))


def names_in(expression):
    return set(re.findall(r"[A-Za-z_]\w*", expression))


def test_the_glossary_is_made_of_kinds():
    for name, term in GLOSSARY.items():
        assert term.name == name
        assert KINDS[term.kind.name] is term.kind
        assert re.fullmatch(r"[A-Za-z]\w*", term.symbol)
        assert term.meaning


def test_every_name_of_the_glossary_is_used(formulas):
    asked = [*formulas.values(), *(a.template for a in ANSWERS.values())]
    used = {p.name for f in asked for p in f.parameters}
    assert set(GLOSSARY) <= used


def test_parameters_are_in_the_glossary_with_their_kind(each_formula):
    for parameter in each_formula.parameters:
        assert GLOSSARY[parameter.name].kind is parameter.kind, parameter.name


def test_a_formula_named_as_a_parameter_gives_that_kind(formulas):
    for name in set(formulas) & set(GLOSSARY):
        assert formulas[name].result_kinds == (GLOSSARY[name].kind,), name


def test_symbols_within_a_formula_are_unambiguous(each_formula):
    symbols = [GLOSSARY[p.name].symbol for p in each_formula.parameters]
    assert len(set(symbols)) == len(symbols)
    helpers = [h.split("=")[0].strip() for h in each_formula.expression.split(";")[:-1]]
    assert len(set(helpers)) == len(helpers)
    assert not set(helpers) & (set(symbols) | FUNCTIONS)
    assert not set(symbols) & FUNCTIONS
    used = names_in(each_formula.expression)
    assert used <= {*symbols, *helpers, *FUNCTIONS}
    assert set(helpers) <= used


def test_every_parameter_is_used(each_formula):
    used = names_in(each_formula.expression)
    conditions = " ".join(c.text for c in each_formula.requires)
    for parameter in each_formula.parameters:
        shown = GLOSSARY[parameter.name].symbol in used
        assert shown or parameter.name in names_in(conditions) or not each_formula.expression, parameter.name


def test_the_result_has_a_symbol_of_its_own(each_formula):
    results = [s.strip() for s in each_formula.symbol.split(",")]
    assert len(results) == len(each_formula.result_kinds)
    assert not set(results) & {GLOSSARY[p.name].symbol for p in each_formula.parameters}


def test_the_docstring_states_every_parameter_and_its_unit(each_formula):
    _, parts = sections(each_formula)
    stated = re.findall(r"^(\w+) \[(.+)\]$", parts["Parameters"], flags=re.MULTILINE)
    assert stated == [(p.name, p.kind.label or "1") for p in each_formula.parameters]


def test_the_docstring_states_the_unit_of_the_result(each_formula):
    first, parts = sections(each_formula)
    labels = [k.label for k in each_formula.result_kinds if k.label]
    said = re.findall(r"\[(.+?)\]", first + parts.get("Returns", ""))
    assert set(labels) <= set(said), (labels, said)
    assert set(said) <= {*labels, "1"}


def test_the_docstring_has_its_sections(each_formula):
    first, parts = sections(each_formula)
    assert first.startswith("Return ")
    assert first.splitlines()[0].endswith(".")
    assert "Raises" in parts
    assert ">>> " in parts["Examples"]
    assert f"{each_formula.__name__}(" in parts["Examples"]


def test_the_docstring_names_the_sources(each_formula):
    _, parts = sections(each_formula)
    stated = re.search(r"Sources?: ([A-Z0-9_, \n]+)\.", parts["Notes"])
    assert stated, parts["Notes"]
    assert tuple(re.findall(r"\w+", stated[1])) == each_formula.sources


def test_every_source_exists(each_formula):
    assert each_formula.sources
    for key in each_formula.sources:
        assert bibliography()[key].how_known in HOW_KNOWN


def test_an_expression_or_a_method(each_formula):
    assert bool(each_formula.expression) != bool(each_formula.method)


@pytest.mark.parametrize("kind", KINDS.values(), ids=str)
def test_every_kind_is_hashed_and_shown_by_its_name(kind):
    assert repr(kind) == f"<{kind.name} [{kind.label or '1'}]>"
    assert {kind: 1}[kind] == 1
