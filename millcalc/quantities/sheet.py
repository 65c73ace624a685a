"""The sheet: a calculation to read, each step with formula, numbers put in, result and source."""

from __future__ import annotations

import re
from typing import Any, Protocol

import attrs

from millcalc.quantities.display import quantity_text
from millcalc.quantities.glossary import GLOSSARY

__all__ = ["Choice", "Sheet", "Step"]


class Printable(Protocol):
    """What a sheet needs of a formula."""

    __name__: str
    symbol: str
    expression: str
    method: str
    sources: tuple[str, ...]
    parameters: tuple[Any, ...]
    result_kinds: tuple[Any, ...]
    requires: tuple[Any, ...]
    validity: tuple[Any, ...]


@attrs.frozen
class Step:
    """One formula evaluated: the numbers put in and the result, in trade units."""

    formula: Printable
    numbers: tuple[Any, ...]
    result: Any
    title: str = ""

    @property
    def sources(self) -> tuple[str, ...]:
        """Keys of the bibliography."""
        return self.formula.sources

    def text(self) -> str:
        """Write the step."""
        formula, lines = self.formula, []
        lines.append(self.title or formula.__name__.replace("_", " "))
        *helpers, main = formula.expression.split("; ") if formula.expression else (formula.method,)
        lines.append(f"    {formula.symbol} = {main}")
        if helpers:
            lines.append(f"    where {', '.join(helpers)}")
        put_in = [f"{GLOSSARY[p.name].symbol} = {_value(n, p.kind)}" for p, n in self._given()]
        lines.append(f"    with {', '.join(put_in)}" if put_in else "")
        results = self.result if isinstance(self.result, tuple) else (self.result,)
        shown = ", ".join(_value(r, k) for r, k in zip(results, formula.result_kinds, strict=True))
        lines.append(f"    {formula.symbol} = {shown}")
        valid = [_in_symbols(c.text) for c in formula.requires + formula.validity]
        if valid:
            lines.append(f"    valid for {'; '.join(valid)}")
        lines.append(f"    source: {', '.join(formula.sources)}")
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
    sources: tuple[str, ...] = ()

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
        texts = [step.text() for step in self.steps]
        numbered = [f"{number}. {text}" for number, text in enumerate(texts, 1)]
        head = [self.title, *numbered] if len(texts) > 1 else texts
        return "\n\n".join([*head, *self.foot, _sources(self.steps)])

    def __str__(self) -> str:
        return self.text()


def _value(value: Any, kind: Any) -> str:
    """Write a value in the trade unit that the expression is for, and in inch units beside it where asked for."""
    text = quantity_text(value, kind, "metric")
    beside = quantity_text(value, kind)
    return text if beside == text else f"{text} ({beside})"


def _sources(steps: tuple[Step | Choice, ...]) -> str:
    from millcalc.sources import source

    keys = dict.fromkeys(key for step in steps for key in step.sources)
    return "\n".join(["sources", *(f"    {key}: {source(key)}" for key in keys)])


def _in_symbols(condition: str) -> str:
    """Write a condition in symbols, as books print it."""
    words = {"|": "or", "&": "and"}
    text = re.sub(r"[|&]", lambda m: words[m.group()], condition)
    return re.sub(r"[a-z_]{2,}", lambda m: GLOSSARY[m.group()].symbol if m.group() in GLOSSARY else m.group(), text)
