"""`@record`: a frozen record that holds floats in trade units and shows quantities.

A field annotated with a kind is read like a formula's argument, kept as a float, and shown as a quantity by
a property of its name, so that frozen means frozen and == works.  Other fields are kept as they are.
"""

from __future__ import annotations

import inspect
import math
import warnings
from collections.abc import Mapping
from typing import Any, Self, TypeVar, dataclass_transform

import attrs

from millcalc.errors import Fault, JobError, ValidityWarning, nearest
from millcalc.quantities import registries
from millcalc.quantities.convert import Parameter, RefusedError, read_value
from millcalc.quantities.display import quantity_text
from millcalc.quantities.kinds import Interval, Kind, kind_of

__all__ = ["Record", "entry", "fields_of", "given_fields", "number", "record"]

C = TypeVar("C", bound=type[Any])
_REQUIRED: Any = object()
_FIELDS = "__millcalc_fields__"
_GIVEN = "__millcalc_given__"


@attrs.frozen
class Entry:
    """What a field of a record states about itself."""

    default: Any = _REQUIRED
    domain: Interval | None = None
    words: Mapping[str, float] = attrs.field(factory=dict)
    choices: tuple[str, ...] = ()
    meaning: str = ""


def entry(
    *,
    default: Any = _REQUIRED,
    domain: Interval | None = None,
    words: Mapping[str, float] | None = None,
    choices: tuple[str, ...] = (),
    meaning: str = "",
) -> Any:
    """Declare a field: its default, its domain, words that stand for numbers, or the words accepted."""
    return Entry(default, domain, words or {}, choices, meaning)


class Field:
    """A field of a record: how a value for it is read, and what it accepts."""

    def __init__(self, name: str, annotation: Any, stated: Entry) -> None:
        self.name = name
        self.stated = stated
        self.kind = kind_of(annotation)
        self.annotation = annotation
        self.required = stated.default is _REQUIRED
        self.parameter = None
        if self.kind is not None:
            self.parameter = Parameter(name, self.kind, stated.domain or self.kind.domain)

    @property
    def is_record(self) -> bool:
        """Whether the field holds a record of its own, a table of a job file."""
        return isinstance(self.annotation, type) and issubclass(self.annotation, Record)

    def example(self) -> str:
        """Return an example of the field."""
        return f"{self.name} = {self.kind.example}" if self.kind else ""

    def read(self, value: Any) -> Any:
        """Return the value as it is kept.

        Raises
        ------
        RefusedError
            With the fault.
        """
        if value is None and not self.required:
            return self.stated.default  # as if it had been left out
        if self.parameter is not None:
            if isinstance(value, str) and value.strip().casefold() in self.stated.words:
                return self.stated.words[value.strip().casefold()]
            return self._number(value, self.parameter)
        if self.stated.choices:
            return self._chosen(value)
        if isinstance(self.annotation, type) and not isinstance(value, self.annotation):
            raise RefusedError(Fault(self.name, repr(value), f"it is not {self.annotation.__name__}"))
        return value

    def _number(self, value: Any, parameter: Parameter) -> float:
        kept = read_value(value, parameter)
        if getattr(kept, "ndim", 0):
            raise parameter.refuse(value, "an array; a record holds single values")
        if not parameter.low <= kept <= parameter.high:
            text = f"{self.name} = {value} is not plausible for {parameter.kind.noun}"
            warnings.warn(text, ValidityWarning, stacklevel=5)
        return float(kept)

    def _chosen(self, value: Any) -> str:
        known = self.stated.choices
        if isinstance(value, str) and value.strip().casefold() in (k.casefold() for k in known):
            return next(k for k in known if k.casefold() == value.strip().casefold())
        accepted = " or ".join(repr(k) for k in known)
        hint = nearest(value, known) if isinstance(value, str) else ""
        raise RefusedError(Fault(self.name, repr(value), f"it is none of the words accepted{hint}", accepted))


def fields_of(cls: Any) -> dict[str, Field]:
    """Return the fields of a record by name."""
    found: dict[str, Field] = getattr(cls, _FIELDS)
    return found


def number(held: Any, name: str) -> Any:
    """Return a field as it is kept: a float in trade units, a word, or None."""
    return getattr(held, f"_{name}") if fields_of(held)[name].kind else getattr(held, name)


def given_fields(held: Any) -> frozenset[str]:
    """Return the names of the fields that were given, not left at their defaults."""
    named: frozenset[str] = getattr(held, _GIVEN)
    return named


class Record:
    """What every record can do."""

    def __init__(self, *unnamed: Any, **given: Any) -> None:
        fields, faults = fields_of(self), []
        if unnamed:
            faults.append(Fault("values", repr(unnamed), "each is given by its name", example=_example(fields)))
        faults += [Fault(n, "", f"there is no such field{nearest(n, fields)}") for n in given if n not in fields]
        missing = [f for n, f in fields.items() if f.required and n not in given]
        faults += [Fault(f.name, "", "it is missing", example=f.example()) for f in missing]
        read, refused = _read(fields, given)
        if faults or refused:
            raise JobError(f"{type(self).__name__} cannot be made", faults + refused)
        self._keep({n: f.stated.default for n, f in fields.items()} | read, frozenset(given))
        self._check()

    def with_(self, **changes: Any) -> Self:
        """Return a copy with some fields changed, read and checked as on making.

        Raises
        ------
        JobError
            An unknown field, or values that cannot be used; all are listed.
        """
        fields = fields_of(self)
        faults = [Fault(n, "", f"there is no such field{nearest(n, fields)}") for n in changes if n not in fields]
        read, refused = _read(fields, changes)
        if faults or refused:
            raise JobError(f"{type(self).__name__} cannot be changed", faults + refused)
        return self._with_kept(read)

    def _with_kept(self, changes: Mapping[str, Any]) -> Self:
        """Return a copy with some fields changed to values as they are kept; None takes a value away."""
        made = type(self).__new__(type(self))
        taken_away = {n for n, v in changes.items() if v is None}
        kept = {n: number(self, n) for n in fields_of(self)} | dict(changes)
        made._keep(kept, (given_fields(self) | frozenset(changes)) - taken_away)
        made._check()
        return made

    @classmethod
    def _from_numbers(cls, kept: Mapping[str, Any]) -> Self:
        """Make a record from values as they are kept, unchecked; what is missing is None."""
        made = cls.__new__(cls)
        made._keep(kept, frozenset(kept))
        return made

    def _keep(self, kept: Mapping[str, Any], named: frozenset[str]) -> None:
        for name, field in fields_of(self).items():
            object.__setattr__(self, f"_{name}" if field.kind else name, kept.get(name))
        object.__setattr__(self, _GIVEN, named)

    def _check(self) -> None:
        """Raise what the fields contradict among each other; a record that has such rules says them here."""

    def __repr__(self) -> str:
        parts = []
        for name, field in fields_of(self).items():
            value = number(self, name)
            if value is not None:
                text = value if field.kind is None else quantity_text(value, field.kind, "metric", 6)
                parts.append(f"{name}={text!r}")
        return f"{type(self).__name__}({', '.join(parts)})"


@dataclass_transform(kw_only_default=True, frozen_default=True, field_specifiers=(entry,))
def record(cls: C) -> C:
    """Turn a class of annotated fields, derived from `Record`, into a record; fields of a base come after its own."""
    inherited = getattr(cls, _FIELDS, {})
    own = {
        name: Field(name, annotation, stated if isinstance(stated, Entry) else Entry())
        for name, annotation in inspect.get_annotations(cls, eval_str=True).items()
        for stated in [cls.__dict__.get(name)]
    }
    fields = own | {name: field for name, field in inherited.items() if name not in own}
    these = {}
    for name, field in own.items():
        if name in cls.__dict__:
            delattr(cls, name)
        these[f"_{name}" if field.kind else name] = attrs.field()
    cls.__annotations__ = {}
    setattr(cls, _FIELDS, fields)
    made: C = attrs.define(these=these, frozen=True, slots=False, init=False, repr=False)(cls)
    for name, field in own.items():
        if field.kind:
            setattr(made, name, _property(name, field.kind, field.stated.meaning))
    return made


def _read(fields: Mapping[str, Field], given: Mapping[str, Any]) -> tuple[dict[str, Any], list[Fault]]:
    """Read each value, and return all that cannot be used, so that one error lists all that is wrong."""
    read, faults = {}, []
    for name, value in given.items():
        if name in fields:
            try:
                read[name] = fields[name].read(value)
            except RefusedError as refused:
                faults.append(refused.fault)
    return read, faults


def _example(fields: Mapping[str, Field]) -> str:
    return next((f.example() for f in fields.values() if f.kind), "")


def _property(name: str, kind: Kind, meaning: str) -> property:
    def get(self: Any) -> Any:
        value = getattr(self, f"_{name}")
        if value is None:
            return None
        return _spoken(value, kind) if kind.bare else registries.application_registry().quantity(value, kind)

    return property(get, doc=meaning or name.replace("_", " "))


def _spoken(value: Any, kind: Kind) -> Any:
    """A number without a unit as a script expects it: a word, a whole number, or itself."""
    words = {n: w for w, n in kind.words}
    if value in words:
        return words[value]
    return int(value) if kind.whole and math.isfinite(value) else value
