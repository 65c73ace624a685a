"""Cutters from and to the property symbols of ISO 13399.

Symbols and meanings are from memory (source ISO_13399); the standard was not opened.  The length out of the holder
is the protruding length LPR.  The functional length LF is not: of a cutter with a shank it counts from the end of
the shank, clamped length and all, and it ends at the cutting reference point, which need not be the tip.
"""

import math
import numbers
from collections.abc import Callable, Mapping
from typing import Any

import attrs

from millcalc.cutters.built_in import (
    BallEndMill,
    CornerRadiusEndMill,
    FlatEndMill,
    RoundInsertCutter,
    TaperedBallEndMill,
)
from millcalc.cutters.cutter import Cutter
from millcalc.discovery import normal_form
from millcalc.errors import ArgumentError, Fault, JobError, nearest
from millcalc.quantities.kinds import NOT_NEGATIVE, POSITIVE, Angle, Count, Interval, Length, SpindleSpeed
from millcalc.quantities.record import Record, entry, fields_of, number, record

__all__ = ["IGNORED_SYMBOLS", "SOURCE", "IsoProperties", "cutter_from_iso13399", "iso13399_of"]

SOURCE = "ISO_13399"
"""Key of the source of symbols and meanings."""

IGNORED_SYMBOLS = {
    "LF": "functional length",
    "LH": "head length",
    "LU": "usable length",
    "OAL": "overall length",
    "DN": "neck diameter",
}
"""Symbols that are passed over, with their meaning: they say nothing of a cutter that is kept here."""

_EDGE_ANGLE = Interval(0.0, 90.0, low_open=True)
_TAPER_ANGLE = Interval(0.0, 90.0, high_open=True)


@record
class IsoProperties(Record):
    """Property symbols of ISO 13399 that describe a cutter, from memory (source ISO_13399).

    Parameters
    ----------
    DC, DCX [mm]
        Cutting diameter and its maximum.  Of a cutter that widens above its tip DC is the lower one: a tapered
        ball's tip diameter, the diameter of the flat under round inserts.
    RE [mm]
        Corner radius; 0 is a sharp corner.
    IC [mm]
        Inscribed circle diameter of an insert.
    KAPR, BHTA [deg]
        Tool cutting edge angle, and body half taper angle.
    ZEFP [1]
        Peripheral effective cutting edge count.
    APMX [mm]
        Depth of cut maximum.
    LPR [mm]
        Protruding length.
    DMM [mm]
        Shank diameter.
    FHA [deg]
        Flute helix angle.
    RPMX [1/min]
        Rotational speed maximum.

    Raises
    ------
    JobError
        Unknown symbols and values that cannot be used; all are listed.

    Examples
    --------
    >>> print(IsoProperties(DC="10 mm").DC)
    10.0 millimeter
    """

    DC: Length = entry(default=None, domain=POSITIVE, meaning="cutting diameter")
    DCX: Length = entry(default=None, domain=POSITIVE, meaning="cutting diameter maximum; DC may be a lower one")
    RE: Length = entry(default=None, domain=NOT_NEGATIVE, meaning="corner radius")
    IC: Length = entry(default=None, domain=POSITIVE, meaning="inscribed circle diameter")
    KAPR: Angle = entry(default=None, domain=_EDGE_ANGLE, meaning="tool cutting edge angle")
    BHTA: Angle = entry(default=None, domain=_TAPER_ANGLE, meaning="body half taper angle")
    ZEFP: Count = entry(default=None, meaning="peripheral effective cutting edge count")
    APMX: Length = entry(default=None, meaning="depth of cut maximum")
    LPR: Length = entry(default=None, meaning="protruding length")
    DMM: Length = entry(default=None, meaning="shank diameter")
    FHA: Angle = entry(default=None, meaning="flute helix angle")
    RPMX: SpindleSpeed = entry(default=None, meaning="rotational speed maximum")


_BODY = {
    "ZEFP": "teeth",
    "APMX": "flute_length",
    "LPR": "overhang",
    "DMM": "shank_diameter",
    "FHA": "helix",
    "RPMX": "rated_spindle_speed",
}
_CLOSE = 1e-6  # relative: what two symbols that say the same may differ by


@attrs.frozen
class _Shape:
    """How a family is said in symbols: the one that gives each parameter, and what each must be of a cutter."""

    symbols: dict[str, str]
    parameters: Callable[[Mapping[str, float]], dict[str, float | None]]
    stated: Callable[[Any], dict[str, float]]
    written: tuple[str, ...]


def _straight(cutter: Any, corner: float) -> dict[str, float]:
    """Return the symbols of a cutter as wide above as at its corners."""
    width = cutter._diameter
    return {"DC": width, "DCX": width, "RE": corner, "KAPR": 90.0, "BHTA": 0.0}


def _width(given: Mapping[str, float]) -> float | None:
    return given.get("DC", given.get("DCX"))


def _ball_diameter(given: Mapping[str, float]) -> float | None:
    return 2.0 * given["RE"] if "RE" in given else None


def _half_angle(given: Mapping[str, float]) -> float | None:
    """Return the angle of a taper per side [deg]; BHTA first, because 90 less KAPR is rounded."""
    return given.get("BHTA", 90.0 - given["KAPR"] if "KAPR" in given else None)


_SHAPES: dict[type[Cutter], _Shape] = {
    FlatEndMill: _Shape(
        {"diameter": "DC"},
        lambda given: {"diameter": _width(given)},
        lambda cutter: _straight(cutter, 0.0),
        ("DC", "KAPR"),
    ),
    BallEndMill: _Shape(
        {"diameter": "DC"},
        lambda given: {"diameter": _width(given) or _ball_diameter(given)},
        lambda cutter: _straight(cutter, 0.5 * cutter._diameter),
        ("DC", "RE"),
    ),
    CornerRadiusEndMill: _Shape(
        {"diameter": "DC", "corner_radius": "RE"},
        lambda given: {"diameter": _width(given), "corner_radius": given.get("RE")},
        lambda cutter: _straight(cutter, cutter._corner_radius),
        ("DC", "RE", "KAPR"),
    ),
    TaperedBallEndMill: _Shape(
        {"tip_diameter": "RE", "half_angle": "KAPR", "diameter": "DCX"},
        lambda given: {
            "tip_diameter": _ball_diameter(given),
            "half_angle": _half_angle(given),
            "diameter": given.get("DCX"),
        },
        lambda cutter: {
            "DC": cutter._tip_diameter,
            "DCX": cutter._diameter,
            "RE": 0.5 * cutter._tip_diameter,
            "KAPR": 90.0 - cutter._half_angle,
            "BHTA": cutter._half_angle,
        },
        ("DC", "DCX", "RE", "KAPR", "BHTA"),
    ),
    RoundInsertCutter: _Shape(
        {"diameter": "DCX", "insert_diameter": "IC"},
        lambda given: {"diameter": given.get("DCX"), "insert_diameter": given.get("IC")},
        lambda cutter: {
            "DC": cutter._diameter - cutter._insert_diameter,
            "DCX": cutter._diameter,
            "RE": 0.5 * cutter._insert_diameter,
            "IC": cutter._insert_diameter,
        },
        ("DCX", "IC"),
    ),
}


def cutter_from_iso13399(properties: Mapping[str, Any]) -> Cutter:
    """Make a cutter of property symbols of ISO 13399.

    Parameters
    ----------
    properties
        Values by symbol, those of `IsoProperties`: plain numbers in the standard's units (mm, degree, 1/min),
        quantities, or text with units.  The symbols in `IGNORED_SYMBOLS` are passed over.  `family` names a
        built-in family; left out, the symbols decide:

        - IC: round insert, with DCX over the inserts, because DC may be that of the flat under them
        - KAPR below 90, BHTA above 0, or DCX above DC: tapered ball, with DC and RE of its tip
        - RE half of DC: ball; another RE: corner radius
        - RE = 0, or KAPR = 90 without RE: flat

    Raises
    ------
    JobError
        Unknown symbols, values that cannot be used, symbols that decide no family, contradict each other, or
        leave a parameter open: all that can be said is listed, by symbol.

    Examples
    --------
    >>> cutter_from_iso13399({"DC": 10, "RE": 0.5, "ZEFP": 4, "LPR": 35})
    CornerRadiusEndMill(diameter='10 mm', corner_radius='0.5 mm', teeth='4', overhang='35 mm', ...)
    >>> cutter_from_iso13399({"DC": 10, "KAPR": 45, "ZEFP": 4})
    Traceback (most recent call last):
    millcalc.errors.JobError: the symbols make no cutter: KAPR: given 45 deg; a straight edge at a slant with a
    sharp corner, a chamfer or taper cutter, is none of the families here; accepted: RE of the tip, a tapered ball
    """
    if not isinstance(properties, Mapping):
        raise _refusal([Fault("properties", repr(properties), "they must be a table of symbols and values")])
    symbols = {str(k): v for k, v in properties.items() if k != "family" and k not in IGNORED_SYMBOLS}
    faults: list[Fault] = []
    given, cls = {}, None
    try:
        given = _numbers(symbols)
        cls = _decided(given) if "family" not in properties else None
    except JobError as error:
        faults += error.faults
    try:
        cls = _named(properties["family"]) if "family" in properties else cls
    except JobError as error:
        faults += error.faults
    if faults or cls is None:
        raise _refusal(faults)
    return _made(cls, given)


def iso13399_of(cutter: Cutter) -> dict[str, float]:
    """Return a cutter as property symbols of ISO 13399, plain numbers in the standard's units (mm, degree, 1/min).

    Substrate, edge radius and eccentricity have no symbol here.  Otherwise the symbols read back to an equal
    cutter, but that a corner radius of half the diameter reads back as the ball it is.

    Raises
    ------
    ArgumentError
        The cutter is of no built-in family.

    Examples
    --------
    >>> iso13399_of(BallEndMill(diameter="6 mm", teeth=2, overhang="24 mm"))
    {'DC': 6.0, 'RE': 3.0, 'ZEFP': 2, 'LPR': 24.0}
    """
    shape = _SHAPES.get(type(cutter))
    if shape is None:
        fault = Fault("cutter", type(cutter).__name__, "no symbols are known for its shape", _known())
        raise ArgumentError("the cutter cannot be said in symbols", (fault,))
    stated = shape.stated(cutter)
    body = {symbol: number(cutter, name) for symbol, name in _BODY.items()}
    body["ZEFP"] = int(body["ZEFP"])
    return {s: stated[s] for s in shape.written} | {s: v for s, v in body.items() if v is not None}


def _refusal(faults: list[Fault]) -> JobError:
    return JobError("the symbols make no cutter", faults)


def _known() -> str:
    return " or ".join(repr(cls.family) for cls in _SHAPES)


def _numbers(symbols: Mapping[str, Any]) -> dict[str, float]:
    """Return the values in the standard's units, or raise all that cannot be read."""
    read = IsoProperties(**{symbol: _with_unit(symbol, value) for symbol, value in symbols.items()})
    values = {symbol: number(read, symbol) for symbol in fields_of(IsoProperties)}
    return {symbol: value for symbol, value in values.items() if value is not None}


def _with_unit(symbol: str, value: Any) -> Any:
    """Return a plain number as text with the standard's unit, and anything else as it is."""
    field = fields_of(IsoProperties).get(symbol)
    plain = isinstance(value, numbers.Real) and not isinstance(value, bool)
    if field is None or field.kind is None or field.kind.bare or not plain:
        return value
    return f"{value} {field.kind.label}"


def _named(word: Any) -> type[Cutter]:
    """Return the class of the family that is named, or raise that its shape cannot be said in symbols."""
    known = {normal_form(cls.family): cls for cls in _SHAPES}
    form = normal_form(word) if isinstance(word, str) else ""
    if form not in known:
        hint = nearest(form, known)
        raise _refusal([Fault("family", repr(word), f"no symbols are known for such a family{hint}", _known())])
    return known[form]


def _decided(given: Mapping[str, float]) -> type[Cutter]:
    """Return the family that the symbols decide, or raise why they decide none."""
    width, corner, slant = _width(given), given.get("RE"), _half_angle(given)
    widens = given.get("DCX", 0.0) > given.get("DC", math.inf) * (1.0 + _CLOSE)
    if "IC" in given:
        return RoundInsertCutter
    if slant or widens:
        if corner and "DC" in given:
            return TaperedBallEndMill
        raise _refusal([_open_tip() if corner else _slanted(given)])
    if corner:
        full = width is not None and math.isclose(2.0 * corner, width, rel_tol=_CLOSE)
        return BallEndMill if full else CornerRadiusEndMill
    if corner == 0.0 or "KAPR" in given:
        return FlatEndMill
    accepted = "RE (0 for a sharp corner), KAPR = 90, IC, or family"
    raise _refusal([Fault("RE", "", "nothing says what the corner is like", accepted)])


def _slanted(given: Mapping[str, float]) -> Fault:
    """Return the fault of a cutter that widens above a sharp corner."""
    symbol = next(s for s in ("KAPR", "BHTA", "DCX") if s in given)
    reason = "a straight edge at a slant with a sharp corner, a chamfer or taper cutter, is none of the families here"
    return Fault(symbol, _said(symbol, given[symbol]), reason, "RE of the tip, a tapered ball")


def _open_tip() -> Fault:
    """Return the fault of a tip that may be a ball or a flat with rounded corners, as face mills have it."""
    return Fault("DC", "", "nothing says whether RE rounds the whole tip", "DC (2 RE of a tapered ball), or family")


def _made(cls: type[Cutter], given: Mapping[str, float]) -> Cutter:
    """Make the cutter of a family, or raise by symbol what is missing or cannot be, and what contradicts it."""
    shape = _SHAPES[cls]
    symbol_of = shape.symbols | {name: symbol for symbol, name in _BODY.items()}
    found = shape.parameters(given) | {name: given.get(symbol) for symbol, name in _BODY.items()}
    fields = fields_of(cls)
    texts = {n: f"{v!r} {k.label}".strip() for n, v in found.items() if v is not None and (k := fields[n].kind)}
    try:
        cutter = cls(**texts)
    except JobError as error:
        raise _refusal([_by_symbol(f, symbol_of) for f in error.faults]) from None
    faults = _contradictions(cutter, given)
    if faults:
        raise _refusal(faults)
    return cutter


def _by_symbol(fault: Fault, symbol_of: Mapping[str, str]) -> Fault:
    symbol = symbol_of.get(fault.where, fault.where)
    accepted = fault.accepted or fields_of(IsoProperties)[symbol].stated.meaning
    return attrs.evolve(fault, where=symbol, accepted=accepted, example=fault.example.replace(fault.where, symbol, 1))


def _contradictions(cutter: Cutter, given: Mapping[str, float]) -> list[Fault]:
    """Return the symbols of the shape that are not as the cutter has them."""
    stated = _SHAPES[type(cutter)].stated(cutter)
    faults = []
    for symbol, value in given.items():
        if symbol in _BODY or math.isclose(value, stated.get(symbol, math.nan), rel_tol=_CLOSE, abs_tol=1e-9):
            continue
        has = f"has {_said(symbol, stated[symbol])}" if symbol in stated else "has none"
        reason = f"the {cutter.family} cutter that the other symbols make {has}"
        faults.append(Fault(symbol, _said(symbol, value), reason, "symbols that agree; leave out one that does not"))
    return faults


def _said(symbol: str, value: float) -> str:
    kind = fields_of(IsoProperties)[symbol].kind
    return f"{value:.6g} {kind.label if kind else ''}".strip()
