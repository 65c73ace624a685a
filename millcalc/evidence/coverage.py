"""Which witnesses each formula and each question has: published cases, derived cases, its expression, tests."""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Sequence

import attrs

from millcalc.evidence.relations import formula_names
from millcalc.evidence.tables import WITNESSES, reference_folder, shipped_tables
from millcalc.evidence.verdicts import Case

__all__ = ["Row", "coverage_rows", "coverage_text", "whose"]


@attrs.frozen
class Row:
    """The witnesses of one formula, or of a question to a cutter, its forces or its body.

    `published` and `derived` count cases, `expression` says whether the printed expression is compared with the code
    by a test, `tests` names tests in which something other than the library says what is right.
    """

    name: str
    whose: str
    published: int
    derived: int
    expression: bool
    tests: Sequence[str]

    @property
    def cases(self) -> int:
        """How many cases there are."""
        return self.published + self.derived

    @property
    def empty(self) -> bool:
        """Whether nothing but the library itself says that it is right."""
        return not (self.cases or self.expression or self.tests)


def whose(case: Case) -> str:
    """Return of what a case asks: of a formula, a cutter, its forces or its body."""
    if case.cutter is None:
        return "formula"
    return "force" if case.coefficients is not None else "body" if case.body is not None else "cutter"


def coverage_rows() -> tuple[Row, ...]:
    """Return a row for each public formula and each question, from the shipped cases and the list of tests."""
    from millcalc.formulas import all_formulas

    published: Counter[tuple[str, str]] = Counter()
    derived: Counter[tuple[str, str]] = Counter()
    for table in shipped_tables():
        for case in table.cases:
            counted = derived if case.how_known == "derived" else published
            counted[whose(case), case.formula] += 1
    tests = tomllib.loads((reference_folder() / WITNESSES).read_text(encoding="utf-8"))
    formulas = all_formulas()
    rows = []
    for asked, names in formula_names().items():
        for name in names:
            printed = asked == "formula" and bool(formulas[name].expression)
            listed = tuple(tests.get(asked, {}).get(name, ()))
            rows.append(Row(name, asked, published[asked, name], derived[asked, name], printed, listed))
    return tuple(rows)


def coverage_text(rows: Sequence[Row]) -> str:
    """Return the coverage as a plain table, one row a formula or question."""
    cells = [("name", "of", "published", "derived", "expression", "tests")]
    cells += [
        (
            r.name,
            r.whose,
            str(r.published or "-"),
            str(r.derived or "-"),
            "yes" if r.expression else "-",
            str(len(r.tests) or "-"),
        )
        for r in rows
    ]
    widths = [max(len(row[i]) for row in cells) for i in range(6)]
    lines = ["  ".join(c.ljust(w) for c, w in zip(row, widths, strict=True)).rstrip() for row in cells]
    published, derived = sum(r.published for r in rows), sum(r.derived for r in rows)
    printed, tests = sum(r.expression for r in rows), sum(len(r.tests) for r in rows)
    total = f"{len(rows)} rows: {published} published cases, {derived} derived ones"
    rest = f"{printed} expressions, {tests} tests; {sum(r.empty for r in rows)} empty"
    return "\n".join([*lines, "", f"{total}, {rest}"])
