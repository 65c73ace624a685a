"""Array handling of checked calls: evaluation in cache-sized chunks, and faults that name an index."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from typing import Any

import attrs
import numpy as np

from millcalc.errors import DomainError, Fault
from millcalc.quantities.convert import Parameter, first_place

__all__ = [
    "NO_RESULT",
    "all_true",
    "called",
    "condition_fault",
    "evaluate",
    "evaluate_checked",
    "is_array",
    "quietly",
    "refuse_unlike_shapes",
    "undefined_fault",
    "words",
]

NO_RESULT = "no result exists for these together"
CHUNK = 98_304  # elements; a few arrays of this length stay in the cache


def quietly() -> Any:
    """Return a context in which NumPy says nothing of divisions by zero and the like."""
    return np.errstate(invalid="ignore", divide="ignore", over="ignore")


def is_array(value: Any) -> bool:
    """Whether a value is an array of one dimension or more."""
    return isinstance(value, np.ndarray) and value.ndim > 0


def all_true(truth: Any) -> bool:
    """Whether a condition holds everywhere; of no elements it holds."""
    return bool(np.all(truth))


def refuse_unlike_shapes(name: str, names: Sequence[str], numbers: Sequence[Any]) -> None:
    """Raise if the arrays do not broadcast."""
    shapes = {n: v.shape for n, v in zip(names, numbers, strict=True) if is_array(v)}
    try:
        np.broadcast_shapes(*shapes.values())
    except ValueError:
        given = ", ".join(f"{n} {s}" for n, s in shapes.items())
        fault = Fault("shapes", given, "the arrays do not fit together", "shapes that broadcast")
        raise DomainError(f"{name} cannot be computed", (fault,)) from None


@attrs.frozen
class Part:
    """An array argument: the values, the factor to trade units, and the bounds nothing may cross."""

    values: Any
    factor: float
    low: float
    high: float

    def chunk(self, start: int) -> Any:
        """Return a piece in trade units, or None if a value is out of bounds."""
        piece = self.values[start : start + CHUNK]
        if self.factor != 1.0:
            piece = piece * self.factor
        # a NaN fails both comparisons
        return piece if self.low <= piece.min() and piece.max() <= self.high else None


def evaluate_checked(
    bare: Callable[..., Any], parts: Sequence[Any], conditions: Sequence[Callable[..., Any]], results: int
) -> Any:
    """Check and compute chunk by chunk; None where something needs a closer look."""
    shaped = [p.values for p in parts if isinstance(p, Part)]
    if not shaped or not _alike(shaped) or not shaped[0].size:
        return None
    flat = [attrs.evolve(p, values=p.values.reshape(-1)) if isinstance(p, Part) else p for p in parts]
    size = shaped[0].size
    out = [np.empty(size) for _ in range(results)]
    with quietly():
        for start in range(0, size, CHUNK):
            numbers = [p.chunk(start) if isinstance(p, Part) else p for p in flat]
            if any(n is None and isinstance(p, Part) for n, p in zip(numbers, flat, strict=True)):
                return None
            if not all(all_true(holds(*numbers)) for holds in conditions):
                return None
            answer = bare(*numbers)
            for whole, piece in zip(out, answer if results > 1 else (answer,), strict=True):
                whole[start : start + CHUNK] = piece
                if math.isnan(whole[start : start + CHUNK].min()):
                    return None
    shaped_out = tuple(o.reshape(shaped[0].shape) for o in out)
    return shaped_out if results > 1 else shaped_out[0]


def evaluate(bare: Callable[..., Any], numbers: Sequence[Any]) -> Any:
    """Call the bare function and give every result the shape that the arrays have together."""
    return _as_floats(called(bare, numbers), [n for n in numbers if is_array(n)])


def called(function: Callable[..., Any], numbers: Sequence[Any]) -> Any:
    """Call a function of numbers; where Python's floats raise, as in 1/0, NumPy's give infinity or NaN."""
    with quietly():
        try:
            return function(*numbers)
        except ArithmeticError:
            return function(*(np.float64(n) if type(n) in (float, int) else n for n in numbers))


def _alike(shaped: Sequence[Any]) -> bool:
    return all(a.shape == shaped[0].shape and a.flags.c_contiguous for a in shaped)


def _as_floats(answer: Any, shaped: Sequence[Any]) -> Any:
    """Give every result the broadcast shape, also where it does not depend on all arrays."""
    if not shaped:
        return answer
    shape = np.broadcast_shapes(*(s.shape for s in shaped))
    if isinstance(answer, tuple):
        return tuple(np.array(np.broadcast_to(a, shape), dtype=float) for a in answer)
    return np.array(np.broadcast_to(answer, shape), dtype=float)


def undefined_fault(result: Any, parameters: Sequence[Parameter], numbers: Sequence[Any]) -> Fault | None:
    """Say for which values the result is not a number, or return None."""
    for piece in result if isinstance(result, tuple) else (result,):
        undefined = np.isnan(piece)
        if np.any(undefined):
            return condition_fault("", ~undefined, parameters, numbers)
    return None


def condition_fault(text: str, holds: Any, parameters: Sequence[Parameter], numbers: Sequence[Any]) -> Fault:
    """Say which condition fails, for which numbers, and for arrays where and how often."""
    pairs = zip(parameters, numbers, strict=True)
    mentioned = re.findall(r"\w+", text)
    names = [(p, n) for p, n in pairs if (not text or p.name in mentioned) and n is not None]
    fails = f"{text} does not hold" if text else NO_RESULT
    if not is_array(holds):
        given = ", ".join(_printed(p, n) for p, n in names)
        return Fault(given, "", fails)
    place = first_place(~holds)
    at_place = [(p, np.broadcast_to(n, holds.shape)[place]) for p, n in names]
    given = ", ".join(_printed(p, n) for p, n in at_place)
    count = f"{np.count_nonzero(~holds)} of {holds.size}"
    return Fault(given, "", f"{fails} at index {place}, {count} values fail it")


def _printed(parameter: Parameter, number: Any) -> str:
    shown = f"{number:.6g}" if isinstance(number, (float, np.floating)) else str(number)
    return f"{parameter.name} = {shown} {parameter.kind.label}".rstrip()


def words(value: Any, names: dict[int, str]) -> Any:
    """Return the words that stand for whole numbers."""
    if is_array(value):
        return np.array([names[int(v)] for v in value.reshape(-1)], dtype=object).reshape(value.shape)
    return names[int(value)]
