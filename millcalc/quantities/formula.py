"""`@formula`: one plain function on floats or arrays in trade units becomes a Formula.

Calling a Formula takes and returns quantities, checked; `.bare` is the plain function itself; `.sheet`
gives the calculation to read.
"""

from __future__ import annotations

import functools
import inspect
import math
import warnings
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Generic, ParamSpec, TypeVar, get_args

from millcalc.errors import ArgumentError, DomainError, Fault, SignatureError, UnitError, ValidityWarning
from millcalc.quantities import arrays, registries
from millcalc.quantities.convert import Parameter, RefusedError, check, read, shown
from millcalc.quantities.glossary import GLOSSARY
from millcalc.quantities.kinds import Interval, Kind, kind_of

if TYPE_CHECKING:
    from millcalc.quantities.sheet import Sheet

__all__ = ["FORMULAS", "Formula", "formula"]

P = ParamSpec("P")
R = TypeVar("R")

FORMULAS: dict[str, Formula[Any, Any]] = {}
"""Every formula declared so far, by name."""

_OMITTED: Any = object()
_CALL_LEVEL, _SHEET_LEVEL = 5, 4  # frames between a warning and the line of the user that it is about


class Condition:
    """A condition over several parameters, as text to print and as a function to evaluate."""

    def __init__(self, text: str, parameters: Sequence[Parameter]) -> None:
        self.text = text
        names = ", ".join(p.name for p in parameters)
        self.holds: Callable[..., Any] = eval(f"lambda {names}: {text}", {"pi": math.pi})


class Formula(Generic[P, R]):
    """A formula of the trade: a checked call, the bare function, and the sheet.

    Attributes
    ----------
    bare
        The plain function on floats or arrays in trade units: no checks, NaN outside the domain.
    symbol, expression
        What is computed and how, as books print it; an angle in it is an angle, not a number of degrees.
    method
        How it is computed, in words, where no closed expression exists.
    parameters
        Name, kind, domain and default of each parameter.
    requires
        Conditions over several parameters outside which a checked call raises.
    validity
        Conditions outside which a checked call warns.
    sources
        Keys of the bibliography.
    """

    __name__: str

    def __init__(
        self,
        bare: Callable[P, R],
        symbol: str,
        expression: str,
        sources: tuple[str, ...],
        domain: Mapping[str, Interval],
        requires: tuple[str, ...],
        validity: tuple[str, ...],
        method: str = "",
    ) -> None:
        functools.update_wrapper(self, bare)
        self.bare = bare
        self.symbol = symbol
        self.expression = expression
        self.method = method
        self.sources = sources
        signature = inspect.signature(bare, eval_str=True)
        self.parameters = _parameters(self.__name__, signature, domain)
        self.result_kinds = _result_kinds(self.__name__, signature)
        self.requires = tuple(Condition(text, self.parameters) for text in requires)
        self.validity = tuple(Condition(text, self.parameters) for text in validity)
        self._conditions = self.requires + self.validity
        self._several = len(self.result_kinds) > 1
        bare.__qualname__ = f"{self.__name__}.bare"  # so that pickle finds it again

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> Any:
        """Compute with quantities: read, check, evaluate, and return quantities."""
        given = self._bound(args, kwargs)
        numbers: list[Any] = []
        registry = None
        for parameter, value in zip(self.parameters, given, strict=True):
            if value is _OMITTED:
                numbers.append(parameter.default)
                continue
            number = parameter.quick(value)
            if number is None:
                return self._carefully(given)
            numbers.append(number)
            if registry is None:
                registry = getattr(value, "_REGISTRY", None)
        try:
            for condition in self._conditions:
                if not condition.holds(*numbers):
                    return self._carefully(given)
            result: Any = self.bare(*numbers)  # type: ignore[call-arg]  # numbers are one for each parameter of P
        except ArithmeticError:
            return self._carefully(given)
        for piece in result if self._several else (result,):
            if piece != piece:  # NaN
                return self._carefully(given)
        return self._wrapped(result, registry)

    def sheet(self, *args: P.args, **kwargs: P.kwargs) -> Sheet:
        """Return the calculation for these values: symbol, expression, numbers, result, validity, source.

        Raises
        ------
        ArgumentError
            As the call does, and when a value is an array.
        """
        given = self._bound(args, kwargs)
        numbers, _ = self._read(given, _SHEET_LEVEL)
        if any(arrays.is_array(n) for n in numbers):
            fault = Fault(self.__name__, "an array", "a sheet shows one calculation", "single values")
            raise ArgumentError(f"{self.__name__} has no sheet for arrays", (fault,))
        from millcalc.quantities.sheet import Sheet, Step  # loaded when somebody wants to read

        return Sheet(self.__name__, (Step(self, tuple(numbers), self._evaluated(numbers, _SHEET_LEVEL)),))

    def solve(self, unknown: str, /, *, between: Any = None, **known: Any) -> Any:
        """Return the value of an input for which the formula gives a stated result.

        Parameters
        ----------
        unknown
            Name of the input that is looked for.
        between
            Two values of it, of which the solution lies between; needed where there are several.
        known
            The other inputs by their names, and the result by the formula's name (or as ``result``).

        Raises
        ------
        SignatureError
            An input or the result is missing or unknown; the formula has several results.
        UnitError, DomainError, ArgumentError
            A value cannot be used; no solution, with what the formula reaches; or several, all listed.
        """
        from millcalc.quantities.solving import solve_for  # with NumPy's searches, loaded when first asked for

        return solve_for(self, unknown, between, known)

    def __repr__(self) -> str:
        return f"<formula {self.__name__}: {self.symbol} = {self.expression or self.method}>"

    def __reduce__(self) -> str:
        return self.__name__

    def __get__(self, instance: object, owner: type | None = None) -> Formula[P, R]:
        # being a descriptor makes inspect, pydoc and doctest see a routine; a formula needs no instance
        return self

    @functools.cached_property
    def _bind(self) -> Callable[..., tuple[Any, ...]]:
        """Bind as Python does; made at the first call, not at import."""
        names = ", ".join(p.name if p.required else f"{p.name}=_OMITTED" for p in self.parameters)
        values = "".join(f"{p.name}, " for p in self.parameters)
        bind: Callable[..., tuple[Any, ...]] = eval(f"lambda {names}: ({values})", {"_OMITTED": _OMITTED})
        bind.__qualname__ = self.__name__  # what Python's own message names
        return bind

    def _bound(self, args: Any, kwargs: Any) -> tuple[Any, ...]:
        try:
            return self._bind(*args, **kwargs)
        except TypeError as error:
            takes = ", ".join(p.name if p.required else f"{p.name}={p.default}" for p in self.parameters)
            raise SignatureError(f"{error}; it takes {self.__name__}({takes})") from None

    def _carefully(self, given: tuple[Any, ...]) -> Any:
        quick = self._quickly_on_arrays(given)
        if quick is not None:
            return quick
        numbers, registry = self._read(given)
        return self._wrapped(self._evaluated(numbers), registry)

    def _quickly_on_arrays(self, given: tuple[Any, ...]) -> Any:
        """Evaluate where every value is an ordinary array or scalar and nothing is amiss; else None."""
        parts: list[Any] = []
        registry = None
        for parameter, value in zip(self.parameters, given, strict=True):
            number = parameter.default if value is _OMITTED else parameter.quick(value)
            pair = None
            if number is None and value is not _OMITTED:
                pair = parameter.quick_array(value)
                if pair is None:
                    return None
            parts.append(arrays.Part(*pair, parameter.low, parameter.high) if pair else number)
            if registry is None:
                registry = getattr(value, "_REGISTRY", None)
        conditions = [c.holds for c in self._conditions]
        result = arrays.evaluate_checked(self.bare, parts, conditions, len(self.result_kinds))
        return None if result is None else self._wrapped(result, registry)

    def _read(self, given: tuple[Any, ...], level: int = _CALL_LEVEL) -> tuple[list[Any], Any]:
        """Read and check each value, and raise all that is wrong in one error."""
        refusals: list[RefusedError] = []
        implausible: list[str] = []
        numbers: list[Any] = []
        registry = None
        for parameter, value in zip(self.parameters, given, strict=True):
            if value is _OMITTED or (value is None and parameter.default is None and not parameter.required):
                numbers.append(parameter.default)
                continue
            try:
                number, found = read(value, parameter)
                registry = registry if registry is not None else found
                numbers.append(number)
                if not check(number, value, parameter):
                    implausible.append(f"{parameter.name} = {shown(value)} is not plausible for {parameter.kind.noun}")
            except RefusedError as refused:
                refusals.append(refused)
        if refusals:
            raise _error_of(self.__name__, refusals)
        for text in implausible:
            self._warn(text, level)
        return numbers, registry

    def _evaluated(self, numbers: list[Any], level: int = _CALL_LEVEL) -> Any:
        arrays.refuse_unlike_shapes(self.__name__, [p.name for p in self.parameters], numbers)
        for condition in self.requires:
            if not arrays.all_true(arrays.called(condition.holds, numbers)):
                raise DomainError(f"{self.__name__} is not defined here", (self._fault(condition, numbers),))
        for condition in self.validity:
            if not arrays.all_true(arrays.called(condition.holds, numbers)):
                self._warn(f"outside the validated range {condition.text}", level)
        result = arrays.evaluate(self.bare, numbers)
        fault = arrays.undefined_fault(result, self.parameters, numbers)
        if fault is not None:
            raise DomainError(f"{self.__name__} is not defined here", (fault,))
        return result

    def _fault(self, condition: Condition, numbers: list[Any]) -> Fault:
        holds = arrays.called(condition.holds, numbers)
        return arrays.condition_fault(condition.text, holds, self.parameters, numbers)

    def _warn(self, text: str, level: int) -> None:
        warnings.warn(f"{self.__name__}: {text}", ValidityWarning, stacklevel=level)

    def _wrapped(self, result: Any, registry: Any) -> Any:
        if self._several:
            return tuple([_wrap(r, k, registry) for r, k in zip(result, self.result_kinds, strict=True)])
        return _wrap(result, self.result_kinds[0], registry)


def _wrap(value: Any, kind: Kind, registry: Any) -> Any:
    if type(value) is not float and not getattr(value, "ndim", 0):
        value = float(value)
    if kind.words:
        return arrays.words(value, {number: word for word, number in kind.words})
    if not kind.unit:
        return value
    known = registries.application_registry() if registry is None else registries.registry_of(registry)
    return known.quantity(value, kind)


def _error_of(name: str, refusals: list[RefusedError]) -> ArgumentError:
    about_domain = {r.about_domain for r in refusals}
    kind = DomainError if about_domain == {True} else UnitError if about_domain == {False} else ArgumentError
    return kind(f"{name} cannot be computed", [r.fault for r in refusals])


def _parameters(owner: str, signature: inspect.Signature, domain: Mapping[str, Interval]) -> tuple[Parameter, ...]:
    found = []
    for name, parameter in signature.parameters.items():
        kind = kind_of(parameter.annotation)
        if kind is None or name not in GLOSSARY:
            raise TypeError(f"{owner}({name}) needs the annotation of a kind and an entry in the glossary")
        required = parameter.default is inspect.Parameter.empty
        default = None if required else parameter.default
        found.append(Parameter(name, kind, domain.get(name, kind.domain), default, required))
    unknown = set(domain) - {p.name for p in found}
    if unknown:
        raise TypeError(f"{owner} states a domain for unknown parameters {sorted(unknown)}")
    return tuple(found)


def _result_kinds(owner: str, signature: inspect.Signature) -> tuple[Kind, ...]:
    annotation = signature.return_annotation
    kind = kind_of(annotation)
    kinds = [kind] if kind else [kind_of(a) for a in get_args(annotation)]
    stated = tuple(k for k in kinds if k is not None)
    if not stated or len(stated) < len(kinds):
        raise TypeError(f"{owner} needs a kind for its result")
    return stated


def formula(
    *,
    symbol: str,
    expression: str,
    sources: tuple[str, ...],
    domain: Mapping[str, Interval] | None = None,
    requires: tuple[str, ...] = (),
    validity: tuple[str, ...] = (),
    method: str = "",
) -> Callable[[Callable[P, R]], Formula[P, R]]:
    """Turn a plain function on floats or arrays in trade units into a Formula.

    Parameters
    ----------
    symbol
        Symbol of the result.
    expression
        The expression in the symbols of the glossary, as books print it; helpers may precede the result,
        separated by semicolons: ``"R = D/2; R - sqrt(R^2 - s^2/4)"``.  Angles are angles.
    method
        In place of the expression, where no closed one exists: how the result is found, in words.
    sources
        Keys of the bibliography.
    domain
        Interval of a parameter where it differs from its kind's.
    requires, validity
        Conditions in the parameters' names, NumPy style, outside which a checked call raises, or warns.
    """

    def declare(bare: Callable[P, R]) -> Formula[P, R]:
        made = Formula(bare, symbol, expression, sources, domain or {}, requires, validity, method)
        known = FORMULAS.get(made.__name__)
        if known is not None and known.__module__ != made.__module__:
            raise TypeError(f"{known.__module__} already declares a formula {made.__name__}: choose another name")
        FORMULAS[made.__name__] = made
        return made

    return declare
