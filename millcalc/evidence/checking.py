"""Checking: each case computed and compared with what is printed, at the printed digits."""

from __future__ import annotations

import itertools
import math
import os
import re
import warnings
from collections.abc import Mapping, Sequence
from typing import Any

from millcalc.errors import ArgumentError, DomainError, MillcalcError, ValidityWarning
from millcalc.evidence.relations import Relation, asked_of, numbers_of, relation
from millcalc.evidence.tables import Table, plugin_tables, read_tables, shipped_tables
from millcalc.evidence.verdicts import AGREES, CANNOT_TELL, DIFFERS, OUTSIDE, Case, Report, Verdict, digits_of
from millcalc.quantities.convert import Parameter, RefusedError, read_value
from millcalc.quantities.kinds import ANY, Kind
from millcalc.quantities.reading import UnreadableTextError, split

__all__ = ["check", "verdict_of"]

_ROUNDING = 1e-12
_NUMBER = (
    r"\s*[-+\u2212]?\s*(?:\d+(?:\s+|-)\d+\s*/\s*\d+|\d+\s*/\s*\d+|(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?|inf(?:inity)?)"
)


def check(
    table: str | os.PathLike[str] | Mapping[str, Any] | Sequence[Any] | None = None,
    *,
    formula: Any = None,
    output: str | None = None,
    cutter: Any = None,
    rounded_inputs: bool = False,
    result: int = 1,
) -> Report:
    """Compute every case of a table and say whether the library gives what is printed.

    Parameters
    ----------
    table
        A TOML file of cases, a CSV file of a handbook's table, a folder of them, a mapping of either form, or a list
        of these; None: what is shipped, and what other installed distributions add.
    formula
        Of a table of columns: the formula that the output was worked out by, or its name; None: the last column that
        has the name of a formula.
    output
        Of a table of columns: name of the column with the output; None: found by the formula.
    cutter
        Of a table of columns: the cutter that a question is asked of, or its table as in a job file.
    rounded_inputs
        Of a table of columns: whether inputs are rounded to the digits they are printed with.  A difference that they
        can make is then no difference, but cannot be told.  Else inputs are exact.
    result
        Of a table of columns: which of several results is printed, from 1 on.

    Returns
    -------
    Report
        For each case: computed, printed, the difference in units of the last printed digit, the verdict "agrees",
        "differs", "outside validity" or "cannot tell", and the relation used.

    Raises
    ------
    FileError, DataError
        A file or table cannot be used; every fault is listed with file and case or row.

    Warns
    -----
    MillcalcWarning
        What another distribution adds cannot be loaded or read, and is passed over.

    Examples
    --------
    >>> columns = {"diameter [mm]": [10, 20], "spindle_speed [rpm]": [955, 477], "cutting_speed [m/min]": [30, 31]}
    >>> [(v.word, round(v.difference, 2)) for v in check(columns).verdicts]
    [('agrees', 0.0), ('differs', -1.03)]
    """
    asked = {"formula": formula, "output": output, "cutter": cutter, "rounded_inputs": rounded_inputs, "result": result}
    if table is None:
        tables = shipped_tables() + plugin_tables()
    elif isinstance(table, Sequence) and not isinstance(table, str):
        tables = tuple(itertools.chain.from_iterable(read_tables(each, **asked) for each in table))
    else:
        tables = read_tables(table, **asked)
    return _report(tables)


def _report(tables: Sequence[Table]) -> Report:
    verdicts = [verdict_of(case) for table in tables for case in table.cases]
    return Report(tuple(verdicts), tuple(table.title for table in tables))


def verdict_of(case: Case, used: Relation | None = None) -> Verdict:
    """Return the verdict on one case.

    Parameters
    ----------
    case
        The case.
    used
        The relation it is computed by; None: the one that the case names.
    """
    if used is None:
        used = relation(asked_of(case.formula, case.cutter, case.coefficients, case.body, case.holder), case.variation)
    kind = used.formula.result_kinds[case.result - 1]
    printed, unit, factor = _printed(case.output, kind)
    with warnings.catch_warnings(record=True) as told:
        warnings.simplefilter("always", ValidityWarning)
        try:
            numbers = numbers_of(used.formula, case.inputs)
            trade = used.value(numbers, case.result)
        except (DomainError, ArgumentError) as error:
            return Verdict(case, OUTSIDE, None, printed, unit, None, used.name, _line(error))
    words = {number: word for word, number in kind.words}
    computed = words.get(trade, trade) if kind.words else trade / factor
    said = "; ".join(str(w.message) for w in told if issubclass(w.category, ValidityWarning))
    if printed is None:
        return Verdict(case, CANNOT_TELL, computed, None, unit, None, used.name, "no output is printed")
    if isinstance(printed, str) or isinstance(computed, str):
        word = OUTSIDE if said else AGREES if computed == printed else DIFFERS
        return Verdict(case, word, computed, printed, unit, None, used.name, said)
    if math.isnan(computed):
        return Verdict(case, OUTSIDE, None, printed, unit, None, used.name, "the relation is not defined here")
    off = 0.0 if computed == printed else computed - printed
    difference = off / (case.digit or 1.0)
    word, why = (OUTSIDE, said) if said else _compared(case, used, numbers, off, factor)
    return Verdict(case, word, computed, printed, unit, difference, used.name, why)


def _compared(case: Case, used: Relation, numbers: Sequence[Any], off: float, factor: float) -> tuple[str, str]:
    """Return the verdict on a difference, in the unit of the print."""
    slack = _ROUNDING * abs(_number(case.output)) + case.allowed * 1e-9
    if abs(off) <= case.allowed + slack:
        return AGREES, ""
    _, significant = digits_of(case.output)
    if case.half_width is None and abs(off) <= 0.5 * significant + slack:
        return CANNOT_TELL, "it cannot be told whether the zeros at the end are digits or fill the place"
    if case.rounded_inputs:
        spread = _spread(case, used, numbers) / factor
        if abs(off) <= case.allowed + spread + slack:
            return CANNOT_TELL, f"the rounding of the inputs may make {spread:.3g}"
    return DIFFERS, ""


def _spread(case: Case, used: Relation, numbers: Sequence[Any]) -> float:
    """Return how far the result may move, in trade units, when each input moves by half its last printed digit."""
    names = [p.name for p in used.formula.parameters]
    total = 0.0
    middle = used.value(numbers, case.result)
    for name, text in case.inputs.items():
        digit = digits_of(text)[0] if isinstance(text, str) else 0.0
        if not digit:
            continue
        place, moved = names.index(name), []
        scale = numbers[place] / _number(text) if _number(text) else 0.0
        for sign in (-0.5, 0.5):
            other = [*numbers]
            other[place] = numbers[place] + sign * digit * scale
            try:
                moved.append(abs(used.value(other, case.result) - middle))
            except (DomainError, ArgumentError):
                continue
        total += max([m for m in moved if not math.isnan(m)], default=0.0)
    return total


def _printed(text: str, kind: Kind) -> tuple[Any, str, float]:
    """Return what is printed, number or word, its unit as printed, and how many trade units that is."""
    if text.strip() in ("", "-"):
        return None, kind.label, 1.0
    if kind.words or kind.discrete:
        return text.strip(), "", 1.0
    unit = _unit(text)
    factor = float(read_value(f"1 {unit}", Parameter("output", kind, ANY))) if unit else 1.0
    return _number(text), unit, factor


def _number(text: str) -> float:
    try:
        return split(text)[0]
    except UnreadableTextError:
        return 0.0


def _unit(text: str) -> str:
    """Return the unit as it is printed."""
    return re.sub(_NUMBER, "", text, count=1, flags=re.IGNORECASE).strip()


def _line(error: MillcalcError | RefusedError) -> str:
    faults = getattr(error, "faults", ())
    return "; ".join(str(f) for f in faults) or str(error)
