"""The sheet: a calculation to read, each step with formula, numbers put in, result and source."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import attrs

from millcalc.quantities.display import number_text, quantity_text
from millcalc.quantities.glossary import GLOSSARY

if TYPE_CHECKING:
    from millcalc.quantities.formula import Formula

__all__ = ["Choice", "Sheet", "Step"]


@attrs.frozen
class Step:
    """One formula evaluated: the numbers put in and the result, in trade units."""

    formula: Formula[Any, Any]
    numbers: tuple[Any, ...]
    result: Any
    title: str = ""

    def text(self) -> str:
        """Write the step."""
        formula, lines = self.formula, []
        lines.append(self.title or formula.__name__.replace("_", " "))
        *helpers, main = (formula.expression or formula.method).split("; ")
        lines.append(f"    {formula.symbol} = {main}")
        if helpers:
            lines.append(f"    where {', '.join(helpers)}")
        put_in = [f"{GLOSSARY[p.name].symbol} = {_value(n, p.kind)}" for p, n in self._given()]
        lines.append(f"    with {', '.join(put_in)}" if put_in else "")
        results = self.result if isinstance(self.result, tuple) else (self.result,)
        shown = ", ".join(_value(r, k) for r, k in zip(results, formula.result_kinds, strict=True))
        lines.append(f"    {formula.symbol} = {shown}")
        valid = [c.text for c in formula.requires + formula.validity]
        if valid:
            lines.append(f"    valid for {'; '.join(valid)}")
        lines.append(f"    source: {_sources(formula.sources)}")
        return "\n".join(line for line in lines if line)

    def _given(self) -> list[tuple[Any, Any]]:
        pairs = zip(self.formula.parameters, self.numbers, strict=True)
        return [(p, n) for p, n in pairs if n is not None]


@attrs.frozen
class Choice:
    """A choice among values: which were possible, and which governs."""

    title: str
    kind: Any
    candidates: tuple[tuple[str, float], ...]
    chosen: str
    result: float

    def text(self) -> str:
        """Write the choice."""
        lines = [self.title]
        lines += [f"    {name}: {quantity_text(value, self.kind)}" for name, value in self.candidates]
        lines.append(f"    taken: {quantity_text(self.result, self.kind)} ({self.chosen})")
        return "\n".join(lines)


@attrs.frozen
class Sheet:
    """A calculation as one readable page."""

    title: str
    steps: tuple[Step | Choice, ...]
    foot: tuple[str, ...] = ()

    def text(self) -> str:
        """Write the page."""
        blocks = [f"{number}. {step.text()}" for number, step in enumerate(self.steps, 1)]
        if len(blocks) == 1:
            return blocks[0].removeprefix("1. ")
        return "\n\n".join([self.title, *blocks, *self.foot])

    def __str__(self) -> str:
        return self.text()


def _value(value: Any, kind: Any) -> str:
    return quantity_text(value, kind)


def _sources(keys: tuple[str, ...]) -> str:
    from millcalc.sources import source

    return "; ".join(f"{key}: {source(key)}" for key in keys)


def python_expression(expression: str, replace: Callable[[str], str] = str) -> str:
    """Return a printed expression in Python's spelling, each symbol passed through `replace`."""
    powered = expression.replace("^", "**")
    return re.sub(r"[A-Za-z_]\w*", lambda m: replace(m.group()), powered)


__all__ += ["number_text", "python_expression"]
