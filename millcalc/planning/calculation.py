"""One run of the kernel: formulas evaluated on arrays, choices among values, and what is recorded of them.

The kernel states each step once.  Recording is a list that is filled when a sheet is asked for; without it a
step costs what its formula costs.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from millcalc.quantities.formula import Formula
from millcalc.quantities.kinds import Kind

if TYPE_CHECKING:
    from millcalc.quantities.sheet import Choice, Step

__all__ = ["Calculation"]


class Calculation:
    """Values, governing causes, faults and cautions of a run, for one variant or many.

    Attributes
    ----------
    values
        Each reported number by name, in trade units.
    causes
        For each chosen value, the index of the cause that governs.
    faults, cautions
        For each name, where it applies.
    conditions, each
        The conditions of the job, and the numbers that differ among them (first axis).
    uncut_side
        The side of the uncut stock in each condition.
    steps
        What the sheet shows, or None when nobody asked.
    """

    def __init__(self, record: bool = False) -> None:
        self.values: dict[str, Any] = {}
        self.causes: dict[str, Any] = {}
        self.faults: dict[str, Any] = {}
        self.cautions: dict[str, Any] = {}
        self.steps: list[Step | Choice] | None = [] if record else None
        self.conditions: Sequence[str] = ("",)
        self.each: dict[str, Any] = {}
        self.uncut_side: Any = None

    def use(self, formula: Formula[Any, Any], *arguments: Any, title: str = "") -> Any:
        """Evaluate a formula; record it if a sheet is wanted."""
        result = formula.bare(*arguments)
        if self.steps is not None:
            self._record(formula, arguments, result, title)
        return result

    def least(self, name: str, kind: Kind, candidates: Mapping[str, Any], causes: Sequence[str]) -> Any:
        """Take the least candidate and note which governs; `causes` lists every name there is, in order."""
        names = list(candidates)
        stacked = np.stack(np.broadcast_arrays(*candidates.values()))
        # a NaN candidate must not hide: it makes the result NaN
        place = np.argmin(stacked, axis=0)
        taken = np.min(stacked, axis=0)
        self.causes[name] = np.array([causes.index(n) for n in names])[place]
        if self.steps is not None:
            pairs = tuple((n, _one(v)) for n, v in candidates.items())
            chosen = names[int(_one(place))]
            self._note_choice(name.replace("_", " "), kind, pairs, chosen, _one(taken))
        return taken

    def greatest(self, title: str, kind: Kind, candidates: Mapping[str, Any]) -> Any:
        """Take the greatest candidate."""
        taken = np.maximum.reduce(np.broadcast_arrays(*candidates.values()))
        if self.steps is not None:
            for place, condition in enumerate(self.conditions if np.ndim(taken) > 1 else ("",)):
                pairs = tuple((n, _one(v, place)) for n, v in candidates.items())
                chosen = max(pairs, key=lambda pair: pair[1])
                shown = f"{title} ({condition})" if condition else title
                self._note_choice(shown, kind, pairs, chosen[0], _one(taken, place))
        return taken

    def chosen(self, title: str, kind: Kind, candidates: Mapping[str, Any], taken: Any, cause: str) -> None:
        """Record a choice that is neither the least nor the greatest; the caller says what governs."""
        if self.steps is not None:
            pairs = tuple((n, _one(v)) for n, v in candidates.items())
            self._note_choice(title, kind, pairs, cause, _one(taken))

    def over_conditions(self, title: str, kind: Kind, values: Any, most: bool) -> Any:
        """Take the greatest or least value over the conditions of the job (first axis)."""
        taken = np.max(values, axis=0) if most else np.min(values, axis=0)
        if self.steps is not None and len(self.conditions) > 1:
            each = [float(v) for v in np.broadcast_to(values, (len(self.conditions), 1))[:, 0]]
            pairs = tuple(zip(self.conditions, each, strict=True))
            chosen = self.conditions[each.index(_one(taken))]
            self._note_choice(title, kind, pairs, chosen, _one(taken))
        return taken

    def _note_choice(self, title: str, kind: Kind, pairs: Any, chosen: str, taken: Any) -> None:
        from millcalc.quantities.sheet import Choice  # loaded when a sheet is wanted

        assert self.steps is not None
        self.steps.append(Choice(title, kind, pairs, chosen, taken))

    def _record(self, formula: Formula[Any, Any], arguments: Sequence[Any], result: Any, title: str) -> None:
        from millcalc.quantities.sheet import Step  # loaded when a sheet is wanted

        assert self.steps is not None
        defaults = [p.default for p in formula.parameters[len(arguments) :]]
        pieces = [*arguments, *defaults, *(result if isinstance(result, tuple) else (result,))]
        several = max(np.ndim(p) for p in pieces) > 1
        for place, condition in enumerate(self.conditions if several else ("",)):
            plain = [_one(p, place) for p in pieces]
            count = len(formula.parameters)
            results = plain[count:]
            shown = f"{title or formula.__name__.replace('_', ' ')}{f' ({condition})' if condition else ''}"
            answer = tuple(results) if isinstance(result, tuple) else results[0]
            self.steps.append(Step(formula, tuple(plain[:count]), answer, shown))


def _one(value: Any, place: int = 0) -> Any:
    """Return the single value of a run with one variant, in a condition."""
    if isinstance(value, np.generic):
        return value.item()
    if not isinstance(value, np.ndarray):
        return value
    row = value[min(place, len(value) - 1)] if value.ndim == 2 else value
    return row.reshape(-1)[0].item()
