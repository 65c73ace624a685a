"""How numbers are printed: metric or inch trade units, significant digits."""

from __future__ import annotations

import contextlib
import contextvars
import math
from collections.abc import Iterator
from typing import Any

from millcalc.errors import ArgumentError, Fault
from millcalc.quantities.kinds import Kind

__all__ = ["inch_size", "number_text", "quantity_text", "system_in_use", "units"]

_SYSTEMS = ("metric", "inch")
_in_use: contextvars.ContextVar[str] = contextvars.ContextVar("millcalc_units", default="metric")

# one inch unit in trade units; exact by definition of the inch, the pound and the horsepower
_POUND = 4.4482216152605
_INCH_SIZES = {
    "inch": 25.4,
    "inch**2": 645.16,
    "microinch": 0.0254,
    "inch/revolution": 25.4,
    "foot/minute": 0.3048,
    "inch/minute": 25.4,
    "inch**3/minute": 16.387064,
    "force_pound": _POUND,
    "force_pound*foot": _POUND * 0.3048,
    "horsepower": 0.74569987158227022,
    "psi": _POUND / 645.16,
    "inch/second**2": 25.4,
    "pound/inch**3": 453.59237 / 16.387064,
    "force_pound/inch": _POUND / 25400.0,
    "lbf/inch": _POUND / 25.4,
    "force_pound/inch**2": _POUND / 645.16e3,
    "horsepower*minute/inch**3": 60.0 * 745.69987158227022 / 16387.064,
    "pound": 0.45359237,
    "ounce*inch": 28.349523125 * 25.4,
}


def checked_system(name: str) -> str:
    """Return a unit system's name, or raise."""
    if name not in _SYSTEMS:
        fault = Fault("units", repr(name), "is no system of units", "'metric' or 'inch'")
        raise ArgumentError("the units cannot be chosen", (fault,))
    return name


def system_in_use() -> str:
    """Return "metric" or "inch", as the innermost `units` block chose."""
    return _in_use.get()


@contextlib.contextmanager
def units(system: str) -> Iterator[None]:
    """Print in metric or inch trade units inside the block.

    Raises
    ------
    ArgumentError
        The system is neither "metric" nor "inch".

    Examples
    --------
    >>> from millcalc.quantities.kinds import LENGTH
    >>> with units("inch"):
    ...     quantity_text(25.4, LENGTH)
    '1 in'
    """
    token = _in_use.set(checked_system(system))
    try:
        yield
    finally:
        _in_use.reset(token)


def inch_size(kind: Kind) -> float:
    """Return how many trade units one inch unit of the kind is."""
    return _INCH_SIZES[kind.inch_unit] if kind.inch_unit else 1.0


def in_system(value: Any, kind: Kind, system: str) -> tuple[Any, str]:
    """Return a value in trade units and its label in the system of units."""
    if system == "inch" and kind.inch_unit:
        return value / inch_size(kind), kind.inch_label
    return value, kind.label


def number_text(value: float, digits: int = 4) -> str:
    """Write a number with so many significant digits, without an exponent where it is readable.

    Examples
    --------
    >>> number_text(0.00123456), number_text(12345.6), number_text(float("inf"))
    ('0.001235', '12346', 'infinite')
    """
    if math.isinf(value):
        return "infinite" if value > 0 else "-infinite"
    if value == 0 or math.isnan(value):
        return "0" if value == 0 else "-"
    magnitude = math.floor(math.log10(abs(value)))
    if not -5 <= magnitude < 12:
        return f"{value:.{digits - 1}e}"
    text = f"{value:.{max(digits - 1 - magnitude, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def quantity_text(value: Any, kind: Kind, system: str | None = None, digits: int = 4) -> str:
    """Write a value in trade units with its unit, in the system in use or the one given."""
    if kind.choices or value is None:
        return "-" if value is None else str(value)
    if kind.words:
        return {n: w for w, n in kind.words}.get(value, number_text(value))
    if kind.whole and math.isfinite(value):
        return f"{value:.0f}"
    if math.isinf(value):
        return number_text(value)
    shown, label = in_system(float(value), kind, system or system_in_use())
    return f"{number_text(shown, digits)} {label}".strip()
