"""The only place that touches pint: units of any registry to trade units, and back.

Nothing is defined on a registry.  A unit is resolved once: its root units with radian and count kept are
its signature, and a kind says which signatures it accepts.  What is resolved is kept per registry, so that
another application registry never meets factors of the one before.
"""

from __future__ import annotations

import weakref
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from millcalc.quantities.kinds import KINDS, Kind

if TYPE_CHECKING:
    from pint import UnitRegistry

__all__ = ["Registry", "application_registry", "define_trade_words", "is_quantity", "registry_of"]

_registries: dict[int, Registry] = {}  # by the identity of the pint registry, which each knows weakly


def is_quantity(value: Any) -> bool:
    """Whether a value is a pint quantity of whatever registry, without importing pint."""
    return hasattr(value, "_units") and hasattr(value, "_magnitude")


def application_registry() -> Registry:
    """Return pint's application registry as it is set now."""
    import pint

    application: Any = pint.application_registry
    return registry_of(application.get())


def registry_of(registry: Any) -> Registry:
    """Return what is known of a pint registry."""
    known = _registries.get(id(registry))
    if known is None or known.pint() is not registry:
        for key in [k for k, r in list(_registries.items()) if r.pint() is None]:
            _registries.pop(key, None)
        known = _registries[id(registry)] = Registry(registry)
    return known


class Registry:
    """A pint registry seen from here: factors to trade units, and quantities made in it."""

    def __init__(self, registry: UnitRegistry[Any]) -> None:
        self.pint: Callable[[], Any] = weakref.ref(registry)
        self._roots: dict[Any, tuple[frozenset[tuple[str, Any]], float]] = {}
        self._factors: dict[tuple[str, Any], float | None] = {}
        self._accepted: dict[str, dict[frozenset[tuple[str, Any]], float]] = {}
        self._units: dict[str, Any] = {}
        self._text_units: dict[str, Any] = {}
        self._number: Any = getattr(registry, "non_int_type", float)  # or Decimal or Fraction
        self._plain = self._number is float and _can_be_made_plainly(registry)

    def factor(self, kind: Kind, units: Any) -> float | None:
        """Return how many trade units of a kind one of `units` is, or None if it is another kind."""
        key = (kind.name, units)
        if key not in self._factors:
            root = self.root(units)
            if root is None:
                return None  # not remembered: the user may define the unit later
            trade = self._accepted_roots(kind).get(root[0])
            self._factors[key] = None if trade is None else float(f"{root[1] / trade:.15g}")
        return self._factors[key]

    def text_units(self, unit: str) -> Any:
        """Return pint's units for a unit text, or None if it knows none such."""
        if unit not in self._text_units:
            try:
                self._text_units[unit] = self.pint().parse_units(unit)._units
            except Exception:  # pint raises a dozen unrelated types, down to tokenizer errors
                return None
        return self._text_units[unit]

    def quantity(self, magnitude: Any, kind: Kind) -> Any:
        """Make a quantity in the trade unit of a kind."""
        units = self._units.get(kind.unit)
        if units is None:
            units = self._units[kind.unit] = self.pint().parse_units(kind.unit)._units
        cls = self.pint().Quantity
        if not self._plain:
            counted = self._number is not float and isinstance(magnitude, float)
            return cls(self._number(str(magnitude)) if counted else magnitude, units)
        made = object.__new__(cls)
        made._magnitude = magnitude
        made._units = units
        return made

    def root(self, units: Any) -> tuple[frozenset[tuple[str, Any]], float] | None:
        if units not in self._roots:
            try:
                root = self.pint().Quantity(1, units).to_root_units()  # 1: a registry may count in Decimal
                self._roots[units] = (frozenset(root.unit_items()), float(root.magnitude))
            except Exception:  # offset and logarithmic units, and units of a foreign registry, have no factor
                return None
        return self._roots[units]

    def _accepted_roots(self, kind: Kind) -> dict[frozenset[tuple[str, Any]], float]:
        """Each accepted signature with the root-unit size of one trade unit."""
        if kind.name not in self._accepted:
            accepted = {}
            for text, size in ((kind.unit, 1.0), *kind.also):
                root = self.root(self.pint().parse_units(text)._units)
                if root is not None:
                    accepted[root[0]] = root[1] / size
            self._accepted[kind.name] = accepted
        return self._accepted[kind.name]


def _can_be_made_plainly(registry: Any) -> bool:
    """Whether setting magnitude and units gives the quantity that pint's slower constructor gives."""
    try:
        slow = registry.Quantity(2.0, "millimeter")
        quick = object.__new__(registry.Quantity)
        quick._magnitude, quick._units = 2.0, slow._units
        alike = vars(quick) == vars(slow) and type(slow._magnitude) is float
        return bool(alike and quick._REGISTRY is slow._REGISTRY and (quick + slow) == 2 * slow)
    except Exception:  # any surprise in a future pint means: take its own constructor
        return False


def define_trade_words(registry: UnitRegistry[Any]) -> None:
    """Define the trade's words on a registry of your own, for those who want pint to read them.

    Words that the registry already knows are left as they are.  millcalc itself needs none of this.

    Examples
    --------
    >>> import pint
    >>> mine = pint.UnitRegistry()
    >>> define_trade_words(mine)
    >>> round(mine("200 sfm").to("m/min").magnitude, 2)
    60.96
    """
    definitions = {
        "tooth": "tooth = count = _ = teeth",
        "rev": "rev = revolution",
        "sfm": "sfm = foot / minute",
        "ipm": "ipm = inch / minute",
        "ipt": "ipt = inch / count",
        "ipr": "ipr = inch / revolution",
        "HP": "HP = horsepower",
    }
    for word, definition in definitions.items():
        if word not in registry:
            registry.define(definition)


def kinds_accepting(registry: Registry, units: Any) -> list[str]:
    """Return the names of the kinds that a unit belongs to, for a message."""
    return [k.noun for k in KINDS.values() if not k.bare and registry.factor(k, units) is not None]
