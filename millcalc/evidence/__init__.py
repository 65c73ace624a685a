"""Evidence: what sources print, whether the library gives it, and which relation a table was worked out by."""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from millcalc.evidence.checking import check
    from millcalc.evidence.coverage import coverage_rows, coverage_text
    from millcalc.evidence.identifying import Candidate, Identification, identify
    from millcalc.evidence.relations import Relation, Variation, relation, relations_for
    from millcalc.evidence.tables import Table, read_tables, shipped_tables
    from millcalc.evidence.verdicts import Case, Report, Verdict

_HOMES = {
    "millcalc.evidence.checking": ("check",),
    "millcalc.evidence.coverage": ("coverage_rows", "coverage_text"),
    "millcalc.evidence.identifying": ("Candidate", "Identification", "identify"),
    "millcalc.evidence.relations": ("Relation", "Variation", "relation", "relations_for"),
    "millcalc.evidence.tables": ("Table", "read_tables", "shipped_tables"),
    "millcalc.evidence.verdicts": ("Case", "Report", "Verdict"),
}
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names}

__all__ = [
    "Candidate",
    "Case",
    "Identification",
    "Relation",
    "Report",
    "Table",
    "Variation",
    "Verdict",
    "check",
    "coverage_rows",
    "coverage_text",
    "identify",
    "read_tables",
    "relation",
    "relations_for",
    "shipped_tables",
]


def __getattr__(name: str) -> Any:
    home = _HOME_OF.get(name)
    if home is None:
        raise AttributeError(f"millcalc.evidence has no name {name!r}")
    return getattr(importlib.import_module(home), name)
