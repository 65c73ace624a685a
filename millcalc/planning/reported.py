"""What every plan reports besides its numbers: what governed them, margins, cautions, what was assumed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np

from millcalc.planning.assumed import Assumed
from millcalc.planning.calculation import Calculation
from millcalc.planning.cautions import RANKS, SAFETY, Caution
from millcalc.planning.margins import Margin
from millcalc.quantities.record import Record, fields_of, number

__all__ = ["Reported", "basis_text", "causes_of", "foot_of", "plain", "ranked", "rows_used", "single", "stated_numbers"]


class Reported(Record):
    """A plan: numbers, and what stands behind them."""

    job: Any
    governed: tuple[tuple[str, str], ...]
    margins: tuple[Margin, ...]
    cautions: tuple[Caution, ...]
    assumed: tuple[Assumed, ...]
    basis: tuple[Any, ...]

    def governed_by(self, name: str) -> str:
        """Return what governed a number, or an empty text if it was not chosen among several."""
        return dict(self.governed).get(name, "")

    def as_numbers(self) -> dict[str, Any]:
        """Return every number with its unit, what governed, cautions and assumptions, as plain values."""
        numbers: dict[str, Any] = {
            n: {"value": number(self, n), "unit": f.kind.label} for n, f in fields_of(self).items() if f.kind
        }
        return numbers | {
            "governed": dict(self.governed),
            "margins": {m.name: _margin_numbers(m) for m in self.margins},
            "cautions": [{"rank": c.rank, "name": c.name, "text": c.text} for c in self.cautions],
            "assumed": {a.name: {"value": a.value, "unit": a.unit, "source": a.source} for a in self.assumed},
        }


def _margin_numbers(margin: Margin) -> dict[str, Any]:
    return {
        "used": margin.used,
        "limit": margin.limit,
        "unit": margin.kind.label,
        "margin": margin.margin,
        "verdict": margin.verdict,
    }


def plain(value: Any) -> Any:
    """Return the single number of a run with one variant."""
    return float(np.ravel(value)[0]) if isinstance(value, (np.ndarray, np.generic)) else value


def single(values: Mapping[str, Any]) -> dict[str, Any]:
    """Return those values that are single numbers."""
    return {name: value if isinstance(value, float) else None for name, value in values.items()}


def stated_numbers(cls: type[Record], values: Mapping[str, Any]) -> dict[str, Any]:
    """Return the numbers of a plan; what does not exist is None."""
    kept = {name: values.get(name) for name, field in fields_of(cls).items() if field.kind}
    return {name: None if v is not None and v != v else v for name, v in kept.items()}


def causes_of(done: Calculation, causes: Mapping[str, Sequence[str]]) -> tuple[tuple[str, str], ...]:
    """Return what governed each chosen number."""
    return tuple((n, causes[n][int(np.ravel(i)[0])]) for n, i in done.causes.items() if n in causes)


def ranked(found: Iterable[Caution], material: Any, hardness: str = "") -> tuple[Caution, ...]:
    """Return all cautions with those of the material, worst first."""
    of_material = [Caution(material.key, c.severity, c.text) for c in material.cautions]
    return tuple(sorted([*found, *_of_hardness(material, hardness), *of_material], key=lambda c: RANKS.index(c.rank)))


def _of_hardness(material: Any, hardness: str) -> list[Caution]:
    """Say that the work is of another hardness than the record's values hold for."""
    if not hardness:
        return []
    from millcalc.materials.search import off_hardness  # loaded when a hardness is stated

    held = off_hardness(material, hardness)
    words = f"the work is {hardness}, the values of {material.designation} hold for {held}: state those of its hardness"
    return [Caution("hardness_off_record", "caution", words)] if held else []


def foot_of(assumed: Iterable[Assumed], inputs: Any) -> tuple[str, ...]:
    """Return what stands under a sheet: what was assumed, the rows of the material, the safety text."""
    rows = "\n".join(["assumed", *(f"    {a}" for a in assumed)])
    return rows, basis_text(inputs), "\n".join(SAFETY)


def rows_used(inputs: Any) -> tuple[Any, ...]:
    """Return the rows of the material that were used; that of the forces where it is not the material's own."""
    force = _group_force(inputs)
    return tuple(row for row in (inputs.speed_window, inputs.feed_chart, force) if row is not None)


def _group_force(inputs: Any) -> Any:
    row = next(iter(inputs.material.kienzle), None)
    used = inputs.numbers.get("force_coefficients") is not None and not inputs.material.force_coefficients
    return row if used and row is not None and row.fallback else None


def basis_text(inputs: Any) -> str:
    rows = []
    for word, row in (
        ("cutting speed", inputs.speed_window),
        ("feed per tooth", inputs.feed_chart),
        ("cutting force", _group_force(inputs)),
    ):
        if row is not None:
            stretched = f"; {row.fallback}" if row.fallback else ""
            rows.append(f"    {word} {row}: {row.conditions}{stretched}")
    work = inputs.material
    origin = "" if work.origin == "built in" else f" ({work.origin})"
    return "\n".join([f"material: {work.name}{origin}", *rows])
