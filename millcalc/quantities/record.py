"""`@record`: a frozen record that holds floats in trade units and shows quantities.

A field annotated with a kind is read like a formula's argument, kept as a float, and shown as a quantity by
a property of its name, so that frozen means frozen and == works.  Other fields are kept as they are.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any, Self, TypeVar, dataclass_transform

import attrs

from millcalc.errors import Fault, JobError, nearest
from millcalc.quantities import registries
from millcalc.quantities.convert import Parameter, RefusedError, read_value
from millcalc.quantities.display import quantity_text
from millcalc.quantities.kinds import Interval, Kind, kind_of

__all__ = ["Record", "entry", "fields_of", "number", "record"]

C = TypeVar("C", bound=type[Any])
_REQUIRED: Any = attrs.NOTHING
_FIELDS = "__millcalc_fields__"


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

    def read(self, value: Any) -> Any:
        """Return the value as it is kept.

        Raises
        ------
        RefusedError
            With the fault.
        """
        if value is None and not self.required:
            return None
        if self.parameter is not None:
            if isinstance(value, str) and value.strip().casefold() in self.stated.words:
                return self.stated.words[value.strip().casefold()]
            kept = read_value(value, self.parameter)
            if getattr(kept, "ndim", 0):
                raise self.parameter.refuse(value, "an array; a record holds single values")
            return kept
        if self.stated.choices:
            return self._chosen(value)
        if isinstance(self.annotation, type) and not isinstance(value, self.annotation):
            raise RefusedError(Fault(self.name, repr(value), f"it is not {self.annotation.__name__}"))
        return value

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


class Record:
    """What every record can do."""

    def with_(self, **changes: Any) -> Self:
        """Return a copy with some fields changed, read and checked as on making.

        Raises
        ------
        JobError
            An unknown field, or values that cannot be used; all are listed.
        """
        fields = fields_of(self)
        strange = [n for n in changes if n not in fields]
        unknown = [Fault(n, "", f"there is no such field{nearest(n, fields)}") for n in strange]
        if unknown:
            raise JobError(f"{type(self).__name__} cannot be changed", unknown)
        self._refuse_all_at_once(changes)
        kept = {name: number(self, name) for name in fields}
        made = type(self)._from_numbers(kept | {name: fields[name].read(v) for name, v in changes.items()})
        made._check()
        return made

    def _check(self) -> None:
        """Raise what the fields contradict among each other; a record that has such rules says them here."""

    @classmethod
    def _from_numbers(cls, kept: Mapping[str, Any]) -> Self:
        """Make a record from values as they are kept, unchecked; what is missing is None."""
        made = cls.__new__(cls)
        for name, field in fields_of(cls).items():
            object.__setattr__(made, f"_{name}" if field.kind else name, kept.get(name))
        return made

    def __attrs_pre_init__(self, **given: Any) -> None:
        self._refuse_all_at_once(given)

    def __attrs_post_init__(self) -> None:
        self._check()

    def _refuse_all_at_once(self, given: Mapping[str, Any]) -> None:
        """Read every value before the first is kept, so that one error lists all that is wrong."""
        faults = []
        for name, value in given.items():
            try:
                fields_of(self)[name].read(value)
            except RefusedError as refused:
                faults.append(refused.fault)
        if faults:
            raise JobError(f"{type(self).__name__} cannot be made", faults)

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
    """Turn a class of annotated fields, derived from `Record`, into a record."""
    fields = {
        name: Field(name, annotation, stated if isinstance(stated, Entry) else Entry())
        for name, annotation in cls.__annotations__.items()
        for stated in [cls.__dict__.get(name)]
    }
    these = {}
    for name, field in fields.items():
        if name in cls.__dict__:
            delattr(cls, name)
        kept = f"_{name}" if field.kind else name
        these[kept] = attrs.field(default=field.stated.default, alias=name, converter=_converter(field))
    cls.__annotations__ = {}
    setattr(cls, _FIELDS, fields)
    made: C = attrs.define(these=these, frozen=True, slots=False, kw_only=True, repr=False)(cls)
    for name, field in fields.items():
        if field.kind:
            setattr(made, name, _property(name, field))
    return made


def _converter(field: Field) -> Callable[[Any], Any]:
    return lambda value: field.read(value)


def _property(name: str, field: Field) -> property:
    def get(self: Any) -> Any:
        value = getattr(self, f"_{name}")
        if value is None or field.kind is None:
            return None
        if field.kind.bare:
            return _spoken(value, field.kind)
        return registries.application_registry().quantity(value, field.kind)

    return property(get, doc=field.stated.meaning or name.replace("_", " "))


def _spoken(value: Any, kind: Kind) -> Any:
    """A number without a unit as a script expects it: a word, a whole number, or itself."""
    words = {n: w for w, n in kind.words}
    if value in words:
        return words[value]
    return int(value) if kind.whole and math.isfinite(value) else value
