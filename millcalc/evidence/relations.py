"""Relations: a formula, as it stands or in one of the variations that books print in its place."""

from __future__ import annotations

import functools
import json
import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import attrs

from millcalc.errors import UnknownNameError, nearest
from millcalc.quantities.formula import Formula
from millcalc.quantities.kinds import SPINDLE_SPEED

__all__ = ["Relation", "Variation", "asked_of", "formula_names", "numbers_of", "relation", "relations_for"]


@attrs.frozen
class Variation:
    """Another form of a formula: a function of the same numbers, in trade units, in the same order."""

    name: str
    compute: Callable[..., float] = attrs.field(eq=False, repr=False)


@attrs.frozen
class Relation:
    """A formula, with or without a variation."""

    formula: Formula[Any, Any]
    variation: Variation | None = None

    @property
    def name(self) -> str:
        """The formula's name, and the variation's."""
        name: str = self.formula.__name__
        return f"{name}, {self.variation.name}" if self.variation else name

    @property
    def text(self) -> str:
        """What is computed, as books print it."""
        if self.variation:
            return f"{self.formula.symbol}: {self.variation.name}"
        return f"{self.formula.symbol} = {self.formula.expression or self.formula.method}"

    def value(self, numbers: Sequence[Any], which: int = 1) -> float:
        """Return one result for numbers in trade units; NaN where a variation is not defined.

        Raises
        ------
        DomainError
            The formula is not defined there.
        """
        if self.variation:
            try:
                return float(self.variation.compute(*numbers))
            except (ArithmeticError, ValueError):
                return math.nan
        result = self.formula._evaluated(list(numbers))
        return float(result[which - 1] if isinstance(result, tuple) else result)


def numbers_of(formula: Formula[Any, Any], inputs: Mapping[str, Any]) -> list[Any]:
    """Return the numbers of a call in trade units, read and checked.

    Raises
    ------
    SignatureError, UnitError, DomainError, ArgumentError
        As the call does.
    """
    return formula._read(formula._bound((), inputs))[0]


def asked_of(
    name: str, cutter: Any = None, coefficients: Any = None, body: Any = None, holder: Any = None
) -> Formula[Any, Any]:
    """Return a formula by its name; of a cutter, with force coefficients or as a body, a question that it answers.

    Parameters
    ----------
    name
        Name of a formula or of a question.
    cutter
        A cutter, or its table as in a job file; None asks a formula of the library.
    coefficients, body
        With a cutter, the parameters of `ForceCoefficients`, or those of `ToolBody` beside it (may be empty).
    holder
        With a cutter, the tables of its holder's sections, as in a job file.

    Raises
    ------
    UnknownNameError
        There is none of this name.
    JobError
        The cutter, the coefficients or the body cannot be made.

    Examples
    --------
    >>> asked_of("cutting_speed").symbol
    'v_c'
    >>> asked_of("stepover", {"family": "flat", "diameter": "10 mm", "teeth": 2}).symbol
    's'
    """
    asked = "formula"
    if cutter is None:
        found: Mapping[str, Any] = _library()
    else:
        made, listed = _made(_frozen(cutter), _frozen(coefficients), _frozen(body), _frozen(holder))
        found, asked = {n: made for n in listed if hasattr(made, n)}, "question to this"
    if name not in found:
        raise UnknownNameError(f"no {asked} has the name {name!r}{nearest(name, found)}")
    answer: Formula[Any, Any] = found[name] if cutter is None else getattr(found[name], name)
    return answer


@functools.cache
def _library() -> Mapping[str, Any]:
    from millcalc.formulas import all_formulas

    return all_formulas()


def _frozen(table: Any) -> Any:
    """Return a table as text, so that what it makes is made once; a record stays itself."""
    return json.dumps(table, sort_keys=True) if isinstance(table, (Mapping, list)) else table


@functools.lru_cache(maxsize=256)
def _made(cutter: Any, coefficients: Any, body: Any, holder: Any) -> tuple[Any, Any]:
    from millcalc.cutters.answers import ANSWERS
    from millcalc.cutters.reading import cutter_from_table

    made = cutter_from_table(json.loads(cutter)) if isinstance(cutter, str) else cutter
    if coefficients is not None:
        from millcalc.loads.coefficients import ForceCoefficients
        from millcalc.loads.forces import FORCE_ANSWERS, MillingForce

        given = ForceCoefficients(**json.loads(coefficients)) if isinstance(coefficients, str) else coefficients
        return MillingForce(made, given), FORCE_ANSWERS
    if body is not None:
        from millcalc.loads.body import BODY_ANSWERS, ToolBody

        return (ToolBody(cutter=made, **json.loads(body)) if isinstance(body, str) else body), BODY_ANSWERS
    if holder is not None:
        from millcalc.cutters.assembly import Assembly, HolderSection

        return Assembly(made, [HolderSection(**each) for each in json.loads(holder)]), ANSWERS
    return made, ANSWERS


def formula_names() -> dict[str, tuple[str, ...]]:
    """Return the names of all formulas, and of the questions to cutters, their forces and their bodies, by whom."""
    import millcalc.cutters.assembly  # noqa: F401 - its questions are listed when it is loaded
    from millcalc.cutters.answers import ANSWERS
    from millcalc.formulas import all_formulas
    from millcalc.loads.body import BODY_ANSWERS
    from millcalc.loads.forces import FORCE_ANSWERS

    listed = {"formula": all_formulas(), "cutter": ANSWERS, "force": FORCE_ANSWERS, "body": BODY_ANSWERS}
    return {whose: tuple(names) for whose, names in listed.items()}


def relation(name: str | Formula[Any, Any], variation: str = "", cutter: Any = None) -> Relation:
    """Return a relation by the name of its formula and of its variation.

    Parameters
    ----------
    name
        Name of a formula, or the formula itself; with a cutter, of a question.
    variation
        Name of one of its variations; empty: the formula as it stands.

    Raises
    ------
    UnknownNameError
        There is no such formula or variation; the message lists those there are.

    Examples
    --------
    >>> relation("cutting_speed", "pi = 3.14").name
    'cutting_speed, pi = 3.14'
    """
    formula = asked_of(name, cutter) if isinstance(name, str) else name
    if not variation:
        return Relation(formula)
    known = {v.name: v for v in _variations(formula)}
    if variation not in known:
        listed = ", ".join(map(repr, known)) or "none"
        raise UnknownNameError(f"{formula.__name__} has no variation {variation!r}; it has {listed}")
    return Relation(formula, known[variation])


def relations_for(name: str | Formula[Any, Any], cutter: Any = None) -> tuple[Relation, ...]:
    """Return a formula and all its variations.

    Examples
    --------
    >>> [r.name for r in relations_for("chord_error")]
    ['chord_error', 'chord_error, s^2/(8 r)']
    """
    formula = asked_of(name, cutter) if isinstance(name, str) else name
    return Relation(formula), *(Relation(formula, v) for v in _variations(formula))


def _variations(formula: Formula[Any, Any]) -> tuple[Variation, ...]:
    from millcalc.evidence.variations import VARIATIONS, other_pi

    found = list(VARIATIONS.get(formula.__name__, ()) if not hasattr(formula, "cutter") else ())
    if formula.expression and "pi" in formula.expression.replace("*", " ").replace("(", " ").replace("/", " ").split():
        found += [Variation(f"pi = {text}", other_pi(formula, value)) for text, value in _PIS.items()]
    if formula.result_kinds == (SPINDLE_SPEED,) and formula.expression:
        found += [Variation(f"{v.name}, truncated", _truncated(v.compute)) for v in found if v.name in _TRUNCATED]
        found.append(Variation("truncated", _truncated(formula.bare)))
    return tuple(found)


_PIS = {"3.14": 3.14, "22/7": 22.0 / 7.0, "3.1416": 3.1416}
_TRUNCATED = ("pi = 3.14",)


def _truncated(compute: Callable[..., Any]) -> Callable[..., float]:
    return lambda *numbers: math.floor(compute(*numbers))
