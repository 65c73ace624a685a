"""What reference tables must satisfy: each case says what a source prints, and a formula gives it or is said not to."""

from __future__ import annotations

import os
import tomllib
from pathlib import Path
from typing import Any, ClassVar

import pytest

from millcalc import discovery
from millcalc.discovery import registered, toml_files
from millcalc.errors import MillcalcError
from millcalc.evidence.checking import check
from millcalc.evidence.tables import GROUP, read_tables
from millcalc.testing.fixtures import UNDER_TEST

__all__ = ["GROUP", "ReferenceConformance"]


class ReferenceConformance:
    """Tests of the reference tables of a plugin; derive from it in a test module and state `path` or `tables`.

    Attributes
    ----------
    path
        A TOML file, or a folder of them.
    tables
        Instead of a path, what the entry point names: a package with TOML files, or a function that returns paths.
    """

    path: ClassVar[str | os.PathLike[str] | None] = None
    tables: ClassVar[Any] = None

    def files(self) -> tuple[Path, ...]:
        """Return the files, as a plugin would hand them over."""
        stated = type(self).tables
        if (self.path is None) == (stated is None):
            raise pytest.UsageError(f"{type(self).__name__} states one of path and tables: what is tested")
        with registered(GROUP, UNDER_TEST, Path(self.path) if self.path is not None else stated, UNDER_TEST, "0"):
            return tuple(toml_files(discovery.load(GROUP, f"{UNDER_TEST}:{UNDER_TEST}")))

    def test_there_are_tables(self) -> None:
        assert self.files(), "there is no TOML file"

    def test_every_table_is_whole(self) -> None:
        """Source, how it is known, cases with formula, inputs, output and relation; no half width without a reason."""
        faults = []
        for path in self.files():
            try:
                for table in read_tables(path):
                    assert table.cases, f"{path.name}: no [[case]]"
            except MillcalcError as error:
                faults.append(str(error))
        assert not faults, "\n".join(faults)

    def test_page_and_relation_are_stated(self) -> None:
        """A reader of a distribution's tables finds each value, and knows by which relation it was worked out."""
        for path in self.files():
            content = tomllib.loads(path.read_text(encoding="utf-8-sig"))
            for case in content.get("case", ()):
                assert content.get("page") or case.get("page"), f"{path.name}, {case.get('id')!r}: page is missing"
                assert case.get("relation"), f"{path.name}, {case.get('id')!r}: relation is missing"

    def test_formulas_give_what_is_printed(self) -> None:
        """At the printed digits; a case that is said to disagree must do so."""
        for path in self.files():
            amiss = [v for v in check(path).verdicts if not v.as_expected]
            said = "\n".join(f"{v.case.id}: {v.word}; {v.computed} against {v.printed} {v.reason}" for v in amiss)
            assert not amiss, f"{path.name}:\n{said}"
