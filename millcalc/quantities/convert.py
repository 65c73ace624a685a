"""Anything a person may write for a value: to floats or arrays in trade units, or to a fault."""

from __future__ import annotations

import math
import numbers
import sys
import weakref
from typing import Any

import attrs
import numpy as np

from millcalc.errors import Fault
from millcalc.quantities import registries
from millcalc.quantities.kinds import COUNT, FLAG, Interval, Kind
from millcalc.quantities.reading import UnreadableTextError, split

__all__ = ["Parameter", "RefusedError", "read", "read_value"]


# by kind, by the identity of units: whose they are, the units themselves, how many trade units one is
KnownFactor = tuple["weakref.ref[Any]", Any, float]
_FACTORS: dict[str, dict[int, KnownFactor]] = {}
_MOST_FACTORS = 1024
_LARGEST_INT = 2**53  # up to here every int is a float


class RefusedError(Exception):
    """A value cannot be used; carries the fault, never leaves the package."""

    def __init__(self, fault: Fault, about_domain: bool = False) -> None:
        self.fault = fault
        self.about_domain = about_domain


@attrs.define
class Parameter:
    """One parameter of a formula or one field of a record."""

    name: str
    kind: Kind
    domain: Interval
    default: Any = None
    required: bool = True
    low: float = attrs.field(init=False)
    high: float = attrs.field(init=False)
    _least: float = attrs.field(init=False)
    _most: float = attrs.field(init=False)
    _factors: dict[int, KnownFactor] = attrs.field(init=False)

    def __attrs_post_init__(self) -> None:
        # one comparison serves domain and plausible range; what fails it is looked at more closely
        plausible = self.kind.plausible
        self.low = max(self.domain.least, plausible.least)
        self.high = min(self.domain.greatest, plausible.greatest)
        if self.domain.high == math.inf and not self.domain.high_open:
            self.high = math.inf
        # infinity is looked at with care: NumPy warns of what a formula may do with it
        self._least, self._most = max(self.low, -sys.float_info.max), min(self.high, sys.float_info.max)
        self._factors = _FACTORS.setdefault(self.kind.name, {})

    def quick(self, value: Any) -> Any:
        """Return the number of an ordinary good value, or None: then it must be looked at with care.

        One look-up by the identity of the units; the entry keeps them alive, so that an identity means them,
        but not their registry.
        """
        try:
            number = value._magnitude
            entry = self._factors.get(id(value._units))
            if entry is None or entry[0]() is not value._REGISTRY:
                entry = self._remembered(value)
        except AttributeError:
            return self._quick_bare(value)
        if entry is None:
            return None
        if type(number) is not float and (type(number) is not int or abs(number) > _LARGEST_INT):
            return None
        number = number * entry[2]
        return number if self._least <= number <= self._most and not self.kind.whole else None

    def quick_array(self, value: Any) -> tuple[Any, float] | None:
        """Return the array of an ordinary quantity and the factor to trade units, or None."""
        try:
            array = value._magnitude
            entry = self._factors.get(id(value._units))
            if entry is None or entry[0]() is not value._REGISTRY:
                entry = self._remembered(value)
        except AttributeError:
            return None
        if entry is None or type(array) is not np.ndarray or array.dtype != float or not array.ndim or self.kind.whole:
            return None
        return array, entry[2]

    def _quick_bare(self, value: Any) -> Any:
        kind = self.kind
        if kind is FLAG:
            return value if type(value) is bool else None
        if kind.discrete:
            return value if type(value) is str and value in kind.choices else None
        if not kind.bare or type(value) not in (int, float) or (type(value) is int and value > _LARGEST_INT):
            return None
        if not self._least <= value <= self._most or (kind.whole and value % 1 != 0):
            return None
        return value

    def _remembered(self, value: Any) -> KnownFactor | None:
        registry = value._REGISTRY
        factor = None if self.kind.bare else registries.registry_of(registry).factor(self.kind, value._units)
        if factor is None:
            return None
        if len(self._factors) >= _MOST_FACTORS:
            self._factors.clear()
        entry = self._factors[id(value._units)] = (weakref.ref(registry), value._units, factor)
        return entry

    def refuse(self, given: Any, reason: str, about_domain: bool = False, text: str = "") -> RefusedError:
        """Make the refusal of a value, shown as `text` or as it was given."""
        accepted = self.kind.accepted_text()
        if self.domain != Interval() and not self.kind.discrete:
            accepted += f" ({self.domain.text(self.kind.label)})"
        fault = Fault(self.name, text or shown(given), reason, accepted, self.kind.example)
        return RefusedError(fault, about_domain)


def shown(given: Any) -> str:
    """Write what was given on one line, shortened; a quantity as pint writes it whatever its registry's format."""
    try:
        text = f"{given._magnitude} {given.units:D}" if registries.is_quantity(given) else repr(given)
    except Exception:  # whatever was given may refuse to be written
        text = f"a value of type {type(given).__name__}"
    text = " ".join(text.split())
    return text if len(text) <= 60 else text[:57] + "..."


def read_value(value: Any, parameter: Parameter) -> Any:
    """Return a float or array in trade units, inside the domain.

    Raises
    ------
    RefusedError
        With the fault.
    """
    number, _ = read(value, parameter)
    check(number, value, parameter)
    return number


def read(value: Any, parameter: Parameter) -> tuple[Any, Any]:
    """Return the value as float or array in trade units, and the pint registry it came from or None."""
    try:
        return _read(value, parameter)
    except OverflowError:
        raise parameter.refuse(value, "the number is too large") from None


def _read(value: Any, parameter: Parameter) -> tuple[Any, Any]:
    kind = parameter.kind
    if kind.discrete:
        return _choice(value, parameter), None
    if registries.is_quantity(value):
        return _quantity(value, parameter), value._REGISTRY
    if isinstance(value, str):
        return _text(value, parameter), None
    if isinstance(value, (list, tuple)):
        return _sequence(value, parameter)
    if isinstance(value, np.ndarray) and value.dtype.kind in "OUS":
        return read(value.tolist(), parameter)
    if isinstance(value, (bool, np.bool_)) or (isinstance(value, np.ndarray) and value.dtype.kind == "b"):
        raise parameter.refuse(value, "yes or no is not a number")
    if isinstance(value, (numbers.Real, np.ndarray)) and not _imaginary(value):
        return _bare_number(value, parameter), None
    raise parameter.refuse(value, f"{type(value).__name__} is not {kind.noun}")


def _imaginary(value: Any) -> bool:
    if isinstance(value, np.ndarray):
        return value.dtype.kind not in "iuf"
    return isinstance(value, numbers.Complex) and not isinstance(value, numbers.Real)


def _floats(value: Any) -> Any:
    if isinstance(value, np.ma.MaskedArray):
        value = np.ma.filled(value.astype(float), math.nan)  # what is masked is no number
    return np.asarray(value, dtype=float) if isinstance(value, np.ndarray) and value.ndim else float(value)


def _bare_number(value: Any, parameter: Parameter) -> Any:
    kind = parameter.kind
    if kind.bare:
        return _floats(value)
    if not isinstance(value, np.ndarray) and float(value) in parameter.domain and math.isinf(value):
        return float(value)  # infinity is the same in every unit
    raise parameter.refuse(value, f"{kind.noun} needs a unit")


def _quantity(value: Any, parameter: Parameter) -> Any:
    kind, magnitude = parameter.kind, value._magnitude
    number = isinstance(magnitude, (numbers.Number, np.ndarray)) and not isinstance(magnitude, (bool, np.bool_))
    if not number or _imaginary(magnitude):
        raise parameter.refuse(value, "its magnitude is neither a real number nor an array of them")
    registry = registries.registry_of(value._REGISTRY)
    if kind.bare:
        root = registry.root(value._units)
        if root is None or set(dict(root[0])) - {"count"} or (root[0] and kind is not COUNT):
            raise parameter.refuse(value, f"it has a unit, {kind.noun} has none")
        return _floats(magnitude) * root[1]
    factor = registry.factor(kind, value._units)
    if factor is None:
        raise parameter.refuse(value, _wrong_kind(registry, value._units, kind))
    return _floats(magnitude) * factor


def _text(value: str, parameter: Parameter) -> Any:
    kind = parameter.kind
    words = {word.casefold(): number for word, number in kind.words}
    if value.strip().casefold() in words:
        return float(words[value.strip().casefold()])
    if words:
        raise parameter.refuse(value, f"it is none of {kind.words[0][0]} to {kind.words[-1][0]}")
    try:
        number, unit = split(value)
    except UnreadableTextError as why:
        raise parameter.refuse(value, str(why)) from None
    if kind.bare:
        if unit:
            raise parameter.refuse(value, f"it has a unit, {kind.noun} has none")
        return number
    if not unit:
        if math.isinf(number) and number in parameter.domain:
            return number
        raise parameter.refuse(value, f"{kind.noun} needs a unit")
    registry = registries.application_registry()
    units = registry.text_units(unit)
    if units is None:
        raise parameter.refuse(value, "its unit is not known")
    factor = registry.factor(kind, units)
    if factor is None:
        raise parameter.refuse(value, _wrong_kind(registry, units, kind))
    return number * factor


def _wrong_kind(registry: registries.Registry, units: Any, kind: Kind) -> str:
    meant = registries.kinds_accepting(registry, units)
    if any("mil" in name.split("_") for name in units):
        return f"mil is an angle to pint, not {kind.noun}: write thou for 0.001 in"
    if meant:
        return f"its unit is that of {' or '.join(meant[:2])}, not of {kind.noun}"
    return f"its unit is not that of {kind.noun}"


def _sequence(value: Any, parameter: Parameter) -> tuple[Any, Any]:
    """A list of texts, of quantities, or of plain numbers where those are accepted."""
    registry, read_items = None, []
    try:
        plain = np.asarray(value)
    except (ValueError, TypeError):
        plain = None
    if plain is not None and plain.dtype.kind in "iuf":
        return _bare_number(plain.astype(float), parameter), None
    for index, item in enumerate(value):
        try:
            number, found = read(item, parameter)
        except RefusedError as refused:
            where = f"{refused.fault.where}[{index}]"
            raise RefusedError(attrs.evolve(refused.fault, where=where), refused.about_domain) from None
        registry = registry or found
        read_items.append(number)
    try:
        return np.asarray(read_items, dtype=float), registry
    except ValueError:
        raise parameter.refuse(value, "its rows differ in length") from None


def _choice(value: Any, parameter: Parameter) -> Any:
    kind = parameter.kind
    if kind is FLAG:
        if isinstance(value, (bool, np.bool_)):
            return bool(value)
        if isinstance(value, (list, tuple, np.ndarray)) and np.asarray(value).dtype.kind == "b":
            return np.asarray(value)
        if isinstance(value, str) and value.strip().casefold() in ("true", "yes", "false", "no"):
            return value.strip().casefold() in ("true", "yes")
    elif isinstance(value, str) and value.strip().casefold() in kind.choices:
        return value.strip().casefold()
    elif isinstance(value, (list, tuple, np.ndarray)) and np.all(np.isin(np.asarray(value), kind.choices)):
        return np.asarray(value)
    raise parameter.refuse(value, "it is none of the words accepted")


def check(number: Any, given: Any, parameter: Parameter) -> bool:
    """Refuse what lies outside the domain; return whether all lies inside the plausible range."""
    if parameter.kind.discrete:
        return True
    if isinstance(number, np.ndarray) and number.ndim:
        _check_array(number, parameter)
        low_high = (float(number.min()), float(number.max())) if number.size else (parameter.low,) * 2
    else:
        _check_scalar(float(number), given, parameter)
        low_high = (float(number),) * 2
    return parameter.low <= low_high[0] and low_high[1] <= parameter.high


def _check_scalar(number: float, given: Any, parameter: Parameter) -> None:
    if number != number:
        raise parameter.refuse(given, "it is not a number (NaN)", about_domain=True)
    if number not in parameter.domain:
        raise parameter.refuse(given, "it lies outside the domain", about_domain=True)
    if parameter.kind.whole and math.isfinite(number) and number != math.floor(number):
        raise parameter.refuse(given, "it is not a whole number", about_domain=True)


def first_place(truth: Any) -> Any:
    """Return the index at which an array is first true, a plain number in one dimension."""
    first = tuple(int(i) for i in np.argwhere(truth)[0])
    return first[0] if len(first) == 1 else first


def _check_array(number: Any, parameter: Parameter) -> None:
    domain = parameter.domain
    bad = ~((number >= domain.least) & (number <= domain.greatest))
    if parameter.kind.whole:
        bad |= number != np.floor(number)
    if not bad.any():
        return
    place = first_place(bad)
    total = int(np.count_nonzero(bad))
    reason = f"{total} of {bad.size} values lie outside the domain, the first at index {place}"
    given = f"{number[place]:g} {parameter.kind.label}".strip() + f" at index {place}"
    raise parameter.refuse(number, reason, True, given)
