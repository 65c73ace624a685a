"""What books print in place of a formula: approximations, other reference points, a rounded pi."""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Mapping
from types import CodeType
from typing import Any

from millcalc.evidence.relations import Variation
from millcalc.quantities.formula import Formula
from millcalc.quantities.glossary import GLOSSARY
from millcalc.quantities.kinds import ANGLE

__all__ = ["VARIATIONS", "other_pi"]

_FUNCTIONS: dict[str, Any] = {
    "__builtins__": {},
    "abs": abs,
    "min": min,
    "max": max,
    "sqrt": math.sqrt,
    "sin": math.sin,
    "cos": math.cos,
    "tan": math.tan,
    "arcsin": math.asin,
    "arccos": math.acos,
    "arctan2": math.atan2,
    "exp": math.exp,
    "log": math.log,
    "ceil": math.ceil,
    "floor": math.floor,
    "inf": math.inf,
}


@functools.lru_cache(maxsize=64)
def _compiled(expression: str) -> tuple[tuple[str, CodeType], ...]:
    """Compile the helpers and the result of a printed expression of the library."""
    *helpers, main = expression.replace("^", "**").split(";")
    parts = [text.partition("=")[::2] for text in helpers] + [("", main)]
    return tuple((name.strip(), compile(text.strip(), "expression", "eval")) for name, text in parts)


def other_pi(formula: Formula[Any, Any], pi: float) -> Callable[..., float]:
    """Return a formula's printed expression as a function, with another number for pi.

    Angles are turned into radians as they are; pi is replaced where the expression prints it.
    """

    def compute(*numbers: Any) -> float:
        names: dict[str, Any] = {**_FUNCTIONS, "pi": pi}
        for parameter, number in zip(formula.parameters, numbers, strict=True):
            angle = parameter.kind is ANGLE
            names[GLOSSARY[parameter.name].symbol] = math.radians(number) if angle else number
        value = math.nan
        for name, code in _compiled(formula.expression):
            value = eval(code, names)
            names[name] = value
        return math.degrees(value) if formula.result_kinds == (ANGLE,) else value

    return compute


def _half(diameter: float, width: float) -> float:
    return min(width, 0.5 * diameter)


def _side_angle(diameter: float, width: float) -> float:
    """Angle of engagement beside an edge, rad."""
    return 2.0 * math.asin(math.sqrt(width / diameter))


def _upright(edge_angle: float) -> float:
    return math.sin(math.radians(edge_angle))


VARIATIONS: Mapping[str, tuple[Variation, ...]] = {
    "approach_length": (
        Variation("sqrt(a_e D)", lambda d, w: math.sqrt(w * d)),
        Variation("D/2", lambda d, w: 0.5 * d),
        Variation("centred, (D - sqrt(D^2 - a_e^2))/2", lambda d, w: 0.5 * (d - math.sqrt(d * d - w * w))),
    ),
    "centred_approach_length": (
        Variation("beside the edge, sqrt(a_e (D - a_e))", lambda d, w: math.sqrt(_half(d, w) * (d - _half(d, w)))),
        Variation("D/2", lambda d, w: 0.5 * d),
    ),
    "engagement_angle": (
        Variation("centred, 2 arcsin(a_e/D)", lambda d, w: 2.0 * math.degrees(math.asin(w / d))),
        Variation("thin cut, 2 sqrt(a_e/D)", lambda d, w: 2.0 * math.degrees(math.sqrt(w / d))),
    ),
    "centred_engagement_angle": (
        Variation("beside the edge, arccos(1 - 2 a_e/D)", lambda d, w: math.degrees(_side_angle(d, w))),
    ),
    "max_chip_thickness": (
        Variation("thin cut, 2 f_z sqrt(a_e/D)", lambda f, d, w, k=90.0: 2.0 * f * math.sqrt(w / d) * _upright(k)),
        Variation("mean, 2 f_z a_e/(D phi)", lambda f, d, w, k=90.0: 2.0 * f * w / d / _side_angle(d, w) * _upright(k)),
        Variation("mean of a thin cut, f_z sqrt(a_e/D)", lambda f, d, w, k=90.0: f * math.sqrt(w / d) * _upright(k)),
    ),
    "mean_chip_thickness": (
        Variation("thin cut, f_z sqrt(a_e/D)", lambda f, d, w, k=90.0: f * math.sqrt(w / d) * _upright(k)),
        Variation(
            "maximum, 2 f_z sqrt(a_e/D (1 - a_e/D))",
            lambda f, d, w, k=90.0: 2.0 * f / d * math.sqrt(_half(d, w) * (d - _half(d, w))) * _upright(k),
        ),
        Variation(
            "centred, f_z a_e/(D arcsin(a_e/D))", lambda f, d, w, k=90.0: f * w / d / math.asin(w / d) * _upright(k)
        ),
    ),
    "chip_thinning_factor": (
        Variation("thin cut, sqrt(D/a_e)/2", lambda d, w, k=90.0: 0.5 * math.sqrt(d / w) / _upright(k)),
        Variation("mean, phi D/(2 a_e)", lambda d, w, k=90.0: 0.5 * d / w * _side_angle(d, w) / _upright(k)),
        Variation("mean of a thin cut, sqrt(D/a_e)", lambda d, w, k=90.0: math.sqrt(d / w) / _upright(k)),
    ),
    "feed_per_tooth_for_chip": (
        Variation("thin cut, h sqrt(D/a_e)/2", lambda h, d, w, k=90.0: 0.5 * h * math.sqrt(d / w) / _upright(k)),
        Variation("mean, h phi D/(2 a_e)", lambda h, d, w, k=90.0: 0.5 * h * d / w * _side_angle(d, w) / _upright(k)),
        Variation("mean of a thin cut, h sqrt(D/a_e)", lambda h, d, w, k=90.0: h * math.sqrt(d / w) / _upright(k)),
    ),
    "scallop_height": (
        Variation(
            "s^2/(8 R)",
            lambda d, s, r=math.inf: 125.0 * s * s * (2.0 / d + (0.0 if math.isinf(r) else 1.0 / r)),
        ),
        Variation("s^2/(4 R)", lambda d, s, r=math.inf: 500.0 * s * s / d),
    ),
    "scallop_stepover": (
        Variation(
            "sqrt(8 R h)",
            lambda d, h, r=math.inf: math.sqrt(0.008 * h / (2.0 / d + (0.0 if math.isinf(r) else 1.0 / r))),
        ),
    ),
    "feed_mark_height": (
        Variation("f^2/(8 R)", lambda d, f: 250.0 * f * f / d),
        Variation("f^2/(4 R)", lambda d, f: 500.0 * f * f / d),
    ),
    "chord_error": (Variation("s^2/(8 r)", lambda s, r: 125.0 * s * s / r),),
    "chord_step": (Variation("sqrt(8 r e)", lambda e, r: math.sqrt(0.008 * e * r)),),
    "ra_from_scallop": (
        Variation("h/4", lambda d, h: 0.25 * h),
        Variation("thin arc, 4/(9 sqrt 3) h", lambda d, h: 4.0 * h / (9.0 * math.sqrt(3.0))),
        Variation("h/5", lambda d, h: 0.2 * h),
    ),
    "ball_effective_diameter": (
        Variation("upright, 2 sqrt(a_n (D - a_n))", lambda d, a, b=0.0: 2.0 * math.sqrt(a * (d - a))),
        Variation("at the contact, D sin(beta)", lambda d, a, b=0.0: d * math.sin(math.radians(b))),
    ),
    "spindle_speed": (Variation("12/pi = 3.82", lambda v, d: 3820.0 / 12.0 * v / d),),
}
"""Other forms by the formula that they stand for, as functions of the same numbers in trade units."""
