"""Each printed case with one result, solved for each of its inputs, gives the printed input back.

What is printed stands for all values that round to it: solved at both ends of that, the inputs found enclose the
printed one.  Left out are words and counts, which many inputs give, and inputs that the result does not depend on.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from millcalc.errors import DomainError
from millcalc.evidence import shipped_tables
from millcalc.evidence.relations import asked_of, numbers_of
from millcalc.quantities.convert import Parameter, read_value
from millcalc.quantities.kinds import ANY

PRINTED = []
for _table in shipped_tables():
    for _case in _table.cases:
        if _case.cutter is None and not (_case.disagrees or _case.variation):
            _formula = asked_of(_case.formula)
            if len(_formula.result_kinds) == 1 and not _formula.result_kinds[0].words:
                PRINTED.append(pytest.param(_case, _formula, id=f"{_table.name.rsplit('/', 1)[-1]}:{_case.id}"))
STEPPED = {"cut_off_length", "standard_tolerance"}  # read from tables: no inverse
STEPPED |= {"set_feed_rate", "set_spindle_speed", "set_stepover"}  # rounded down


def width(case, formula):
    kind = formula.result_kinds[0]
    unit = case.output.partition(" ")[2]
    value = float(read_value(case.output, Parameter("output", kind, ANY)))
    half = (
        float(read_value(f"{case.allowed!r} {unit}".strip(), Parameter("output", kind, ANY))) if case.allowed else 0.0
    )
    return value - half * (1 + 1e-9) - 1e-12 * abs(value), value + half * (1 + 1e-9) + 1e-12 * abs(value)


def solved(formula, name, target, known, near):
    """Return the solution nearest to a value, NaN if the formula does not reach so far."""
    kind = formula.result_kinds[0]
    given = target if kind.bare else f"{target!r} {kind.unit}"
    try:
        found = formula.solve(name, result=given, **known)
    except DomainError as error:
        (fault,) = error.faults
        if "solutions" in fault.given:  # several: the one about the printed input
            return solved_near(formula, name, given, known, near)
        if fault.given.startswith("every value"):
            return "level"
        return math.nan
    return float(getattr(found, "magnitude", found))


def solved_near(formula, name, given, known, near):
    """Return the one solution about a value; the bracket is narrowed until it holds only one."""
    parameter = next(p for p in formula.parameters if p.name == name)
    for share in (0.3, 0.1, 0.03):
        span = share * abs(near) or 1e-3
        ends = (max(near - span, parameter.domain.least), min(near + span, parameter.domain.greatest))
        try:
            between = [f"{end!r} {parameter.kind.unit}".strip() for end in ends]
            found = formula.solve(name, result=given, between=between, **known)
        except DomainError as error:
            if "solutions" in error.faults[0].given:
                continue
            return "level" if error.faults[0].given.startswith("every") else math.nan
        return float(getattr(found, "magnitude", found))
    raise AssertionError("too many solutions")


def depends(formula, case, name, printed):
    """Whether the result changes with the input at all, as it does not with an exponent of 0."""
    numbers = numbers_of(formula, case.inputs)
    place = [p.name for p in formula.parameters].index(name)
    before = formula.bare(*numbers)
    with np.errstate(invalid="ignore"):
        after = [formula.bare(*numbers[:place], printed * f, *numbers[place + 1 :]) for f in (0.9, 1.1)]
    return any(a != before for a in after)


@pytest.mark.parametrize(("case", "formula"), PRINTED)
def test_printed_inputs_come_back(case, formula):
    if formula.__name__ in STEPPED or formula.result_kinds[0].whole:
        return
    low, high = width(case, formula)
    for parameter in formula.parameters:
        name = parameter.name
        if name not in case.inputs or parameter.kind.discrete or parameter.kind.words or parameter.kind.whole:
            continue
        known = {n: v for n, v in case.inputs.items() if n != name}
        printed = float(read_value(case.inputs[name], parameter))
        ends = [solved(formula, name, target, known, printed) for target in (low, high)]
        if "level" in ends or not np.isfinite(printed) or not depends(formula, case, name, printed):
            continue
        reached = [end for end in ends if not math.isnan(end)]
        if len(reached) == 2:
            slack = 1e-9 * max(abs(printed), 1e-6)
            assert min(reached) - slack <= printed <= max(reached) + slack, (name, ends)
        else:  # an end of what the formula reaches lies within the printed digits
            middle = solved(formula, name, 0.5 * (low + high), known, printed)
            assert reached or middle == "level" or not math.isnan(middle), name


def test_there_are_many():
    assert len(PRINTED) > 300
