"""Which relation a table was worked out by: each candidate put through every row, the best named, with ties."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

import attrs

from millcalc.errors import ArgumentError, DataError, Fault, UnknownNameError
from millcalc.evidence.checking import verdict_of
from millcalc.evidence.column_reading import cases_of_columns, columns_of_text, split_heads
from millcalc.evidence.relations import Relation, asked_of, formula_names, relation, relations_for
from millcalc.evidence.tables import cells_of, text_of
from millcalc.evidence.verdicts import AGREES, Case, Verdict, digits_of
from millcalc.quantities.convert import Parameter, RefusedError, read
from millcalc.quantities.kinds import ANY

__all__ = ["Candidate", "Identification", "identify"]

_FEW = 3  # numbers that may end in zeros by chance


@attrs.frozen
class Candidate:
    """How well one relation reproduces a table.

    `agreeing` counts the rows that agree at the printed digits; `mean_difference` is the mean, over the rows that
    can be computed, of the difference regardless of its sign, in units of the last printed digit.
    """

    relation: Relation
    verdicts: Sequence[Verdict] = attrs.field(repr=False)

    @property
    def name(self) -> str:
        return self.relation.name

    @property
    def rows(self) -> int:
        return len(self.verdicts)

    @property
    def agreeing(self) -> int:
        return sum(v.word == AGREES for v in self.verdicts)

    @property
    def share(self) -> float:
        return self.agreeing / self.rows if self.rows else 0.0

    @property
    def mean_difference(self) -> float:
        found = [abs(v.difference) for v in self.verdicts if v.difference is not None]
        return sum(found) / len(found) if found else float("inf")


@attrs.frozen
class Identification:
    """The candidates, the best first; `best` holds several where the printed digits do not tell them apart."""

    candidates: Sequence[Candidate]

    @property
    def best(self) -> tuple[Candidate, ...]:
        """The candidates that no other beats; none if no row agrees with any."""
        if not self.candidates or not self.candidates[0].agreeing:
            return ()
        first = self.candidates[0]
        return tuple(c for c in self.candidates if _alike(c, first))

    def __str__(self) -> str:
        from millcalc.evidence.reports import identification_text

        return identification_text(self)


def _alike(one: Candidate, other: Candidate) -> bool:
    """Whether printed digits leave two candidates level: as many rows agree, and all, or as far off as each other."""
    whole = one.agreeing == one.rows
    return one.agreeing == other.agreeing and (whole or abs(one.mean_difference - other.mean_difference) < 1e-6)


def identify(
    table: str | os.PathLike[str] | Mapping[str, Any],
    candidates: Iterable[str | Relation] | None = None,
    *,
    output: str | None = None,
    cutter: Any = None,
) -> Identification:
    """Say which of several relations reproduces a table best.

    Parameters
    ----------
    table
        A CSV file, or a mapping of columns by their heads: named by parameter, with the unit in brackets.
    candidates
        Relations, or names of formulas: each stands for itself and all its variations, or "name, variation" for one.
        None: every formula whose inputs are the other columns and whose result can be printed in the output's unit.
    output
        Name of the column that is to be explained; None: the only column that is no input of any candidate, or else
        the last.
    cutter
        A cutter, or its table: then questions to it are candidates.

    Returns
    -------
    Identification
        The candidates in order: share of rows that agree at the printed digits, then the mean difference.

    Raises
    ------
    FileError, DataError
        The table cannot be read.
    ArgumentError, UnknownNameError
        There is no candidate, or one is not known.

    Examples
    --------
    >>> rows = {"diameter [mm]": [10, 10], "stepover [mm]": [1, 6], "height [um]": ["25.0", "900"]}
    >>> [best.name for best in identify(rows).best]
    ['scallop_height, s^2/(8 R)']
    """
    if isinstance(table, Mapping):
        name, columns = "table", {str(head): cells_of(cells) for head, cells in table.items()}
    else:
        name = os.fspath(table)
        columns = columns_of_text(text_of(Path(name)), name)
    known = split_heads(columns, name)
    explained = output or list(known)[-1]
    if explained not in known:
        raise DataError(
            "the table cannot be read", (Fault(name, explained, "no column has this name", ", ".join(known)),)
        )
    relations = _given(candidates, cutter) if candidates is not None else _every(cutter)
    fitting = [r for r in relations if _fits(r, known, explained)]
    if not fitting:
        reason = "no relation has these inputs and such a result"
        raise ArgumentError(
            "nothing can be identified", (Fault(name, ", ".join(known), reason, "columns named by input"),)
        )
    asked = {"output": explained, "cutter": cutter, "check": False}
    found = []
    for each in fitting:
        cases = _to_their_place(cases_of_columns(columns, name, formula=each.formula, **asked))
        found.append(Candidate(each, tuple(verdict_of(case, each) for case in cases)))
    kept = found if candidates is not None else _different(found)
    return Identification(tuple(sorted(kept, key=lambda c: (-c.share, c.mean_difference))))


def _to_their_place(cases: Sequence[Case]) -> list[Case]:
    """Where every number of the column ends in zeros, they fill the place: it is rounded to tens, or hundreds."""
    digits = [digits_of(case.output) for case in cases if case.output.strip() not in ("", "-")]
    place = min((significant for _, significant in digits), default=0.0)
    if len(digits) < _FEW or not all(last < place for last, _ in digits):
        return list(cases)
    return [attrs.evolve(case, half_width=0.5 * place) for case in cases]


def _different(found: Sequence[Candidate]) -> list[Candidate]:
    """Leave out what computes the same as another candidate; a formula as it stands goes before a variation."""
    kept: dict[tuple[str, ...], Candidate] = {}
    for each in sorted(found, key=lambda c: c.relation.variation is not None):
        kept.setdefault(tuple(f"{v.computed!s:.14}" for v in each.verdicts), each)
    return list(kept.values())


def _given(candidates: Iterable[str | Relation], cutter: Any) -> list[Relation]:
    relations: list[Relation] = []
    for each in candidates:
        if isinstance(each, Relation):
            relations.append(each)
            continue
        name, _, variation = each.partition(",")
        single = (relation(name.strip(), variation.strip(), cutter),)
        relations += single if variation else relations_for(name.strip(), cutter)
    return relations


def _every(cutter: Any) -> list[Relation]:
    names = formula_names()["formula" if cutter is None else "cutter"]
    return [each for name in names if _asked(name, cutter) for each in relations_for(name, cutter)]


def _asked(name: str, cutter: Any) -> bool:
    """Whether this is asked of a cutter without a holder, too."""
    try:
        asked_of(name, cutter)
    except UnknownNameError:
        return False
    return True


def _fits(each: Relation, known: Mapping[str, Any], explained: str) -> bool:
    """Whether the other columns are inputs, all that are needed, and the result can be printed in the unit."""
    inputs = {p.name for p in each.formula.parameters}
    required = {p.name for p in each.formula.parameters if p.required}
    given = {n for n in known if n != explained}
    if not given <= inputs or not required <= given or len(each.formula.result_kinds) > 1:
        return False
    printed = next(
        (t for t in map(known[explained].value, range(len(known[explained].cells))) if t not in ("", "-")), ""
    )
    try:
        read(printed, Parameter("output", each.formula.result_kinds[0], ANY))
    except RefusedError:
        return False
    return True
