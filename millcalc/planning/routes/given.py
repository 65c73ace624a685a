"""What an operation takes in its mappings: values fixed, assumptions changed, values that the search tries."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import attrs

from millcalc.errors import Fault, JobError, nearest
from millcalc.planning.assumed import Assumptions
from millcalc.planning.parts import Fixed
from millcalc.planning.roughing.parts import STYLES, RoughingAssumptions, RoughingFixed
from millcalc.quantities.convert import Parameter, RefusedError, read_value, shown
from millcalc.quantities.kinds import LENGTH, POSITIVE, RATIO, ROUGHNESS, SCALLOP_HEIGHT, Kind
from millcalc.quantities.record import Record

__all__ = ["TRIED", "mapping_faults", "tried_values", "without_iterators"]

_ROUGHING: dict[str, type[Record]] = {"fixed": RoughingFixed, "assumed": RoughingAssumptions}
_FINISHING: dict[str, type[Record]] = {"fixed": Fixed, "assumed": Assumptions}
TRIED = {
    "rough": ("stock_left", "slope_step", "depth_share", "style"),
    "corners": ("depth_share",),
    "semi-finish": ("stock_left", "scallop_height"),
    "finish": ("ra", "scallop_height"),
}
"""What the search tries of each kind of operation."""
_KINDS: dict[str, Kind] = {
    "stock_left": LENGTH,
    "slope_step": LENGTH,
    "scallop_height": SCALLOP_HEIGHT,
    "depth_share": RATIO,
    "ra": ROUGHNESS,
}


def mapping_faults(kind: str, name: str, given: object) -> list[Fault]:
    """Return what is wrong with the mapping `name`, "fixed", "assumed" or "tried", of an operation of a kind."""
    if given is None:
        return []
    if not isinstance(given, Mapping):
        return [Fault(name, shown(given), "it must be a mapping of names and values")]
    strange = [Fault(name, shown(key), "a name is a text") for key in given if not isinstance(key, str)]
    if strange:
        return strange
    if name == "tried":
        return [fault for key, values in given.items() for fault in _tried_faults(kind, key, values)]
    try:
        (_ROUGHING if kind in ("rough", "corners") else _FINISHING)[name](**given)
    except JobError as error:
        return [attrs.evolve(fault, where=f"{name}.{fault.where}") for fault in error.faults]
    return []


def without_iterators(tried: object) -> object:
    """Return what is tried with its iterators read out into tuples, so that it can be read again."""
    if not isinstance(tried, Mapping):
        return tried
    return {name: tuple(values) if isinstance(values, Iterator) else values for name, values in tried.items()}


def _tried_faults(kind: str, name: str, values: object) -> list[Fault]:
    if name not in TRIED[kind]:
        reason = f"the search does not try it of an operation of the kind {kind!r}{nearest(name, TRIED[kind])}"
        return [Fault(f"tried.{name}", "", reason, ", ".join(TRIED[kind]), _example(TRIED[kind][0]))]
    try:
        if not tried_values(name, values):
            return [Fault(f"tried.{name}", "", "the list is empty", example=_example(name))]
    except RefusedError as refused:
        return [refused.fault]
    return []


def tried_values(name: str, values: Any) -> tuple[Any, ...]:
    """Return the values to try of a name, in trade units, each once.

    Raises
    ------
    RefusedError
        With the fault.
    """
    if not isinstance(values, Iterable) or isinstance(values, (str, Mapping)) or getattr(values, "ndim", 1) != 1:
        raise RefusedError(Fault(f"tried.{name}", shown(values), "it must be a list", example=_example(name)))
    return tuple(dict.fromkeys(_style(v) if name == "style" else _number(name, v) for v in values))


def _number(name: str, value: Any) -> float:
    parameter = Parameter(f"tried.{name}", _KINDS[name], POSITIVE)
    read = read_value(value, parameter)
    if getattr(read, "ndim", 0):
        raise parameter.refuse(value, "an array; the list holds single values")
    return float(read)


def _style(value: object) -> str:
    word = value.strip().casefold() if isinstance(value, str) else ""
    if word not in STYLES[:2]:
        accepted = " or ".join(map(repr, STYLES[:2]))
        reason = "it is no style of roughing"
        raise RefusedError(Fault("tried.style", shown(value), reason, accepted, _example("style")))
    return word


def _example(name: str) -> str:
    value = '"light radial"' if name == "style" else _KINDS[name].example
    return f"{name} = [{value}]"
