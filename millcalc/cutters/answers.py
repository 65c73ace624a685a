"""`@answer`: a method that the engine answers becomes, on each cutter, a Formula bound to its profile.

`cutter.scallop_height("0.3 mm", "5 deg")` takes and returns quantities, `cutter.scallop_height.bare(0.3, 5.0)` is the
plain function, and `.sheet(...)` shows the numbers, as of every other formula.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Mapping
from typing import Any

import attrs
import numpy as np

from millcalc.cutters.profile import Profile
from millcalc.errors import ArgumentError, DomainError, Fault
from millcalc.quantities.arrays import NO_RESULT
from millcalc.quantities.formula import Formula
from millcalc.quantities.kinds import Interval

__all__ = ["ANSWERS", "Answer", "Profiled", "answer", "number_of_points"]

ANSWERS: dict[str, Answer] = {}
"""Every question that a cutter answers, by name."""


class Profiled:
    """What the questions are asked of: anything that has a profile."""

    @property
    def profile(self) -> Profile:
        """The half-profile."""
        raise TypeError(f"{type(self).__name__} has no profile")

    @property
    def working_length(self) -> Any:
        """Length [mm] from the tip that may reach the surface; infinite where nobody states it."""
        return math.inf


class _Bound(Formula[..., Any]):
    """An answer bound to one cutter, which says in words why there is none."""

    cutter: Any
    reasons: Callable[..., str] | None
    shown_as: Callable[..., Any] | None

    def numbers(self, *args: Any, **kwargs: Any) -> list[Any]:
        """Return the values as floats in trade units, read and checked."""
        return self._read(self._bound(args, kwargs))[0]

    def _evaluated(self, numbers: list[Any], level: int = 5) -> Any:
        try:
            return super()._evaluated(numbers, level)
        except DomainError as error:
            if self.reasons is None or not error.faults[0].reason.startswith(NO_RESULT):
                raise
            faults = [attrs.evolve(f, reason=self._reason(f.reason, numbers)) for f in error.faults]
            raise DomainError(error.headline, faults) from None

    def _reason(self, found: str, numbers: list[Any]) -> str:
        assert self.reasons is not None
        result = np.asarray(self.bare(*numbers)[0] if self._several else self.bare(*numbers))
        place = tuple(np.argwhere(np.isnan(result))[0]) if result.ndim else ()
        single = [np.broadcast_to(n, result.shape)[place] if np.ndim(n) else n for n in numbers]
        words = self.reasons(self.cutter, *single)
        return f"{found}: {words}" if words else found

    def _wrapped(self, result: Any, registry: Any) -> Any:
        made = super()._wrapped(result, registry)
        return made if self.shown_as is None else self.shown_as(*made)

    def __reduce__(self) -> Any:
        return getattr, (self.cutter, self.__name__)


class Answer:
    """A question that every cutter answers; on a cutter it is a Formula bound to it."""

    def __init__(self, function: Callable[..., Any], stated: Mapping[str, Any]) -> None:
        for name in (*functools.WRAPPER_ASSIGNMENTS, "__wrapped__"):
            setattr(self, name, getattr(function, name, function))
        self.function = function
        self.template = _Bound(_without_cutter(function), expression="", requires=(), validity=(), **stated)

    def __get__(self, instance: Any, owner: type | None = None) -> Any:
        return self if instance is None else self.of(instance)

    def of(self, cutter: Any) -> Formula[..., Any]:
        """Return the formula of one cutter, or of anything that has a profile."""
        bound = _Bound.__new__(_Bound)
        bound.__dict__.update(self.template.__dict__)
        bound.cutter = cutter
        bound.bare = functools.partial(self.function, cutter)
        return bound


def _without_cutter(function: Callable[..., Any]) -> Callable[..., Any]:
    """Return a stand-in that has the function's name, text and signature without the cutter."""
    import inspect

    signature = inspect.signature(function, eval_str=True)

    def unbound(*args: Any, **kwargs: Any) -> Any:
        raise TypeError(f"{function.__name__} is asked of a cutter")

    functools.update_wrapper(unbound, function)
    del unbound.__wrapped__  # type: ignore[attr-defined]  # else the signature of the function itself is read
    parameters = list(signature.parameters.values())[1:]
    unbound.__signature__ = signature.replace(parameters=parameters)  # type: ignore[attr-defined]
    return unbound


def answer(
    *,
    symbol: str,
    method: str,
    domain: Mapping[str, Interval] | None = None,
    reasons: Callable[..., str] | None = None,
    shown_as: Callable[..., Any] | None = None,
    sources: tuple[str, ...] = ("GEOMETRY",),
    listed: dict[str, Answer] = ANSWERS,
) -> Callable[[Callable[..., Any]], Any]:
    """Turn a method on floats in trade units into a question that a cutter answers.

    Parameters
    ----------
    symbol, method, domain
        As of a formula: all answers are found by the engine, so `method` says how in words.
    reasons
        Called with the cutter and the numbers where there is no result: says why in words.
    shown_as
        What a checked call puts several results into.
    sources
        Keys of the bibliography.
    listed
        Where the question is listed by its name: those that every cutter answers, or those of another thing.
    """

    def declare(function: Callable[..., Any]) -> Answer:
        made = Answer(function, {"symbol": symbol, "method": method, "sources": sources, "domain": domain or {}})
        made.template.reasons = reasons
        made.template.shown_as = shown_as
        listed[function.__name__] = made
        return made

    return declare


def number_of_points(points: Any) -> int:
    """Return how many points are wanted, 2 or more.

    Raises
    ------
    ArgumentError
        It is no whole number, or less.
    """
    if isinstance(points, bool) or not isinstance(points, (int, np.integer)) or points < 2:
        fault = Fault("points", repr(points), "it is no number of points", "a whole number, 2 or more", "101")
        raise ArgumentError("no points can be laid out", (fault,))
    return int(points)
