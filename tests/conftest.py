"""What several test modules share: every formula of the library, and numbers that each of them accepts."""

from __future__ import annotations

import functools
import importlib
import math
import pkgutil
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

import millcalc.formulas
from millcalc.quantities.formula import FORMULAS, Formula
from millcalc.quantities.kinds import CUT, FLAG, SIDE

# from, to: where the numbers of a kind usually lie, in trade units; drawn evenly in the logarithm
_USUAL = {
    "length": (0.02, 60.0),
    "feed per tooth": (0.002, 0.5),
    "chip thickness": (0.001, 0.2),
    "feed per revolution": (0.01, 2.0),
    "scallop height": (0.2, 200.0),
    "roughness": (0.03, 40.0),
    "chord error": (0.2, 50.0),
    "deflection": (0.2, 50.0),
    "cutting speed": (5.0, 1000.0),
    "spindle speed": (50.0, 40_000.0),
    "feed rate": (10.0, 20_000.0),
    "acceleration": (200.0, 20_000.0),
    "block time": (0.1, 20.0),
    "count": (1.0, 300.0),
    "ratio": (0.05, 3.0),
    "Brinell hardness": (160.0, 350.0),
    "roughness grade": (1.0, 12.0),
    "tolerance grade": (6.0, 8.0),
}


@functools.cache
def library_formulas() -> dict[str, Formula[Any, Any]]:
    """Return every formula that a module of millcalc.formulas declares."""
    for found in pkgutil.iter_modules(millcalc.formulas.__path__):
        importlib.import_module(f"millcalc.formulas.{found.name}")
    return {n: f for n, f in FORMULAS.items() if f.__module__.startswith("millcalc.formulas.")}


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Run a test that asks for `each_formula` once for each formula of the library."""
    if "each_formula" in metafunc.fixturenames:
        every = library_formulas()
        metafunc.parametrize("each_formula", every.values(), ids=list(every))


@pytest.fixture(scope="session")
def formulas() -> dict[str, Formula[Any, Any]]:
    """Every formula of the library, by name."""
    return library_formulas()


def _drawn(parameter: Any, random: np.random.Generator) -> Any:
    kind, domain = parameter.kind, parameter.domain
    if kind is FLAG:
        return bool(random.integers(2))
    if kind in (CUT, SIDE):
        return str(random.choice(kind.choices))
    if kind.name == "radius":
        return float(random.choice([-1.0, 1.0]) * np.exp(random.uniform(0.0, np.log(1000.0))))
    if kind.name == "angle":
        low, high = max(domain.low, -180.0), min(domain.high, 180.0)
        return float(random.uniform(low, high))
    low, high = (
        max(_USUAL.get(kind.name, (0.1, 10.0))[0], domain.least),
        _USUAL.get(kind.name, (0.1, 10.0))[1],
    )
    value = math.exp(random.uniform(math.log(low), math.log(min(high, domain.greatest))))
    return float(round(value)) if kind.whole else value


def accepted_numbers(formula: Formula[Any, Any], random: np.random.Generator) -> tuple[Any, ...]:
    """Return numbers in trade units that a formula accepts without error or warning."""
    for _ in range(5000):
        numbers = tuple(_drawn(p, random) for p in formula.parameters)
        if not all(c.holds(*numbers) for c in formula.requires + formula.validity):
            continue
        with np.errstate(all="ignore"):
            result = formula.bare(*numbers)
        if not any(math.isnan(r) for r in (result if isinstance(result, tuple) else (result,))):
            return numbers
    raise AssertionError(f"no accepted numbers found for {formula.__name__}")


@pytest.fixture(scope="session")
def numbers_for() -> Callable[[Formula[Any, Any], np.random.Generator], tuple[Any, ...]]:
    """A function that draws numbers a formula accepts."""
    return accepted_numbers
