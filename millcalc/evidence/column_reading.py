"""Tables of a handbook: columns named by parameter with the unit in the head, one row a case."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from typing import Any

import attrs

from millcalc.errors import DataError, Fault, MillcalcError, nearest
from millcalc.evidence.case_reading import faults_of
from millcalc.evidence.relations import asked_of, formula_names
from millcalc.evidence.verdicts import Case
from millcalc.quantities.formula import Formula

__all__ = ["Column", "cases_of_columns", "columns_of_text", "split_heads"]

_HEAD = re.compile(r"\s*(?P<name>\w+)\s*(?:\[(?P<unit>[^\]]*)\]|\((?P<other>[^)]*)\))?\s*")
_OUTPUT = ("output", "printed")
_EXAMPLE = "diameter [mm]"


@attrs.frozen
class Column:
    """One column: its unit, "" for none, and its cells as they are printed."""

    unit: str
    cells: Sequence[str]

    def value(self, row: int) -> str:
        """Return a cell with its unit; an empty one, or a dash, stays without."""
        text = self.cells[row].strip()
        return f"{text} {self.unit}" if self.unit and text not in ("", "-") else text


def columns_of_text(text: str, name: str) -> dict[str, list[str]]:
    """Return the columns of a CSV text by their heads; lines that begin with # are remarks.

    Raises
    ------
    DataError
        There is no row, a head occurs twice, or a row is too long or too short: all are listed with their lines.
    """
    kept = [
        (n, line) for n, line in enumerate(text.splitlines(), 1) if line.strip() and not line.lstrip().startswith("#")
    ]
    delimiter = ";" if kept and ";" in kept[0][1] else ","
    try:
        rows = list(csv.reader(io.StringIO("\n".join(line for _, line in kept)), delimiter=delimiter, strict=True))
    except csv.Error as error:
        raise DataError("the table cannot be read", (Fault(name, "", f"it is no CSV: {error}"),)) from None
    if len(rows) < 2:
        raise DataError("the table cannot be read", (Fault(name, "", "a line of heads and a row at least are needed"),))
    heads = [head.strip() for head in rows[0]]
    lines = [n for n, _ in kept] if len(kept) == len(rows) else list(range(1, len(rows) + 1))
    faults = [
        Fault(f"{name}: {h!r}", "", "two columns have this head") for h in dict.fromkeys(heads) if heads.count(h) > 1
    ]
    faults += [
        Fault(f"{name}, line {line}", f"{len(row)} cells", f"the head has {len(heads)}")
        for line, row in zip(lines[1:], rows[1:], strict=True)
        if len(row) != len(heads)
    ]
    if faults:
        raise DataError("the table cannot be read", faults)
    return {head: [row[i].strip() for row in rows[1:]] for i, head in enumerate(heads)}


def split_heads(columns: Mapping[str, Sequence[str]], name: str) -> dict[str, Column]:
    """Return the columns by their names.

    Raises
    ------
    DataError
        A head is no name with a unit, or columns differ in length.
    """
    found: dict[str, Column] = {}
    faults = []
    for head, cells in columns.items():
        match = _HEAD.fullmatch(head)
        if match is None:
            faults.append(Fault(f"{name}: {head!r}", "", "it is no name with a unit in brackets", example=_EXAMPLE))
        elif match["name"] in found:
            faults.append(Fault(f"{name}: {head!r}", "", "another column has this name"))
        else:
            unit = (match["unit"] or match["other"] or "").strip()
            found[match["name"]] = Column("" if unit in ("1", "-") else unit, cells)
    lengths = {len(cells) for cells in columns.values()}
    if len(lengths) > 1:
        faults.append(Fault(name, f"{sorted(lengths)} cells", "the columns differ in length"))
    if not lengths or lengths == {0}:
        faults.append(Fault(name, "", "there is no row"))
    if faults:
        raise DataError("the table cannot be read", faults)
    return found


def cases_of_columns(
    columns: Mapping[str, Sequence[str]],
    name: str,
    formula: str | Formula[Any, Any] | None = None,
    output: str | None = None,
    cutter: Any = None,
    rounded_inputs: bool = False,
    result: int = 1,
    check: bool = True,
) -> list[Case]:
    """Return a case a row.

    Parameters
    ----------
    columns
        Cells by the heads of their columns.
    name
        What the table is called in messages.
    formula
        Name of the formula that the output was worked out by, or the formula; None: the last column that has the
        name of a formula all inputs of which are there.
    output
        Name of the column with the output; None: that of the formula's name, or the only one that is no input.
    cutter, rounded_inputs, result
        As of `check`.
    check
        Whether a row that cannot be used is refused; `identify` tries one formula after the other.

    Raises
    ------
    DataError
        The formula or the output cannot be told, a column is not known, or a cell cannot be read: all are listed.
    """
    known = split_heads(columns, name)
    asked = _formula_of(known, name, formula, output, cutter)
    column = _output_of(known, name, asked, output)
    inputs = {p.name for p in asked.parameters}
    faults = [
        Fault(f"{name}: {n!r}", "", f"{asked.__name__} has no such input{nearest(n, inputs)}", ", ".join(inputs))
        for n in known
        if n != column and n not in inputs
    ]
    if faults and check:
        raise DataError("the table cannot be read", faults)
    cases = [
        Case(
            id=f"row {row + 1}",
            formula=asked.__name__,
            inputs={
                n: known[n].value(row) for n in known if n in inputs and n != column and known[n].cells[row].strip()
            },
            output=known[column].value(row),
            result=result,
            cutter=cutter,
            rounded_inputs=rounded_inputs,
            place=f"{name}, row {row + 1}",
            source=name,
        )
        for row in range(len(known[column].cells))
    ]
    faults = [fault for case in cases for fault in faults_of(case)] if check else []
    if faults:
        raise DataError("the table cannot be read", faults)
    return cases


def _formula_of(
    units: Mapping[str, Column], name: str, formula: Any, output: str | None, cutter: Any
) -> Formula[Any, Any]:
    if formula is not None:
        try:
            return asked_of(formula, cutter) if isinstance(formula, str) else formula
        except MillcalcError as error:
            raise DataError("the table cannot be read", (Fault(name, repr(formula), error.headline),)) from None
    known = formula_names()["formula" if cutter is None else "cutter"]
    fitting = []
    for column in units if output is None else [output]:
        if column in known:
            asked = asked_of(column, cutter)
            if all(p.name in units for p in asked.parameters if p.required):
                fitting.append(asked)
    if not fitting:
        reason = "no column has the name of a formula all inputs of which are there: name the formula"
        raise DataError("the table cannot be read", (Fault(name, ", ".join(units), reason),))
    return fitting[-1]


def _output_of(units: Mapping[str, Column], name: str, asked: Formula[Any, Any], output: str | None) -> str:
    inputs = {p.name for p in asked.parameters}
    left = [n for n in units if n not in inputs]
    for option in [output] if output else [asked.__name__, *_OUTPUT]:
        if option in units:
            return option
    if output is None and len(left) == 1:
        return left[0]
    reason = f"it cannot be told which column holds what {asked.__name__} gives"
    raise DataError("the table cannot be read", (Fault(name, ", ".join(units), reason, f"a column {asked.__name__}"),))
