"""Hardness in another scale: a table of unalloyed and low-alloy steels, interpolated, and no further than it goes."""

from __future__ import annotations

import numpy as np

from millcalc.errors import ArgumentError, DomainError, Fault, UnknownNameError
from millcalc.materials.rows import Value

__all__ = ["SCALES", "TABLE", "converted_hardness", "convertible"]

# HV 10, HB with a carbide ball, HRC; from memory of ISO 18265, table A.1: the standard was not opened
TABLE = (
    (240, 228, 20.3),
    (260, 247, 24.0),
    (280, 266, 27.1),
    (300, 285, 29.8),
    (320, 304, 32.2),
    (340, 323, 34.4),
    (360, 342, 36.6),
    (380, 361, 38.8),
    (400, 380, 40.8),
    (420, 399, 42.7),
    (440, 418, 44.5),
    (460, 437, 46.1),
    (480, 456, 47.7),
    (500, 475, 49.1),
    (520, 494, 50.5),
    (540, 513, 51.7),
    (560, 532, 53.0),
    (580, 551, 54.1),
    (600, 570, 55.2),
    (620, 589, 56.3),
    (640, 608, 57.3),
    (660, None, 58.3),
    (700, None, 60.1),
    (740, None, 61.8),
    (780, None, 63.3),
    (820, None, 64.7),
    (860, None, 65.9),
    (900, None, 67.0),
    (940, None, 68.0),
)
"""Vickers, Brinell and Rockwell C hardness of the same steel; Brinell ends at 608."""

SCALES = ("HV", "HB", "HRC")
_BELOW = ((80, 76), (100, 95), (120, 114), (140, 133), (160, 152), (180, 171), (200, 190), (220, 209))  # HV, HB
_SPREAD = {"HV": 0.05, "HB": 0.05, "HRC": 2.0}  # shares of the value; points of Rockwell C: common practice


def converted_hardness(hardness: Value, unit: str) -> Value:
    """Return a hardness in another scale, widened by what conversions are off.

    Parameters
    ----------
    hardness
        A hardness or a range in "HV", "HB" or "HRC".
    unit
        The scale wanted: "HV", "HB" or "HRC".

    Raises
    ------
    UnknownNameError
        There is no conversion between the scales.
    DomainError
        The hardness lies outside the table; nothing is extrapolated.

    Notes
    -----
    Valid for unalloyed and low-alloy steels, 80 to 940 HV, 76 to 608 HB, 20.3 to 68 HRC; others have others.
    The result is widened by 5 % (HV, HB) or 2 points (HRC). A measurement in the scale wanted is better than any
    conversion. Source: ISO18265.

    Examples
    --------
    >>> from millcalc.materials import material
    >>> print(converted_hardness(material("H13 hardened").hardness[0], "HB"))
    538 to 595 HB (ISO18265, from memory, class)
    """
    unit = _scale(unit)
    start = _scale(hardness.unit)
    if start == unit:
        return hardness
    known, wanted = _columns(start, unit)
    if not known[0] <= hardness.low <= hardness.high <= known[-1]:
        given = f"{hardness.low:g} to {hardness.high:g} {start}"
        reason = f"the table from {start} to {unit} ends there"
        fault = Fault("hardness", given, reason, f"{known[0]:g} to {known[-1]:g} {start}")
        raise DomainError("the hardness cannot be converted", (fault,))
    low, high = (float(np.interp(end, known, wanted)) for end in (hardness.low, hardness.high))
    off = _SPREAD[unit]
    low, high = (low - off, high + off) if unit == "HRC" else (low * (1.0 - off), high * (1.0 + off))
    return Value(
        low=round(low, 1 if unit == "HRC" else 0),
        high=round(high, 1 if unit == "HRC" else 0),
        unit=unit,
        source="ISO18265",
        how_known="from memory",
        scope="class",
        conditions=f"unalloyed and low-alloy steel, converted from {hardness}; interpolated and widened",
    )


def convertible(hardness: Value, unit: str) -> bool:
    """Return whether a hardness has a counterpart in another scale."""
    try:
        converted_hardness(hardness, unit)
    except (UnknownNameError, ArgumentError):
        return False
    return True


def _scale(unit: str) -> str:
    if unit not in SCALES:
        raise UnknownNameError(f"there is no conversion for the scale {unit!r}; there are {', '.join(SCALES)}")
    return unit


def _columns(start: str, unit: str) -> tuple[list[float], list[float]]:
    """Return the pairs of two scales, rising."""
    rows = [(*row, None) for row in _BELOW] + list(TABLE)
    pairs = [(row[SCALES.index(start)], row[SCALES.index(unit)]) for row in rows]
    kept = [(float(a), float(b)) for a, b in pairs if a is not None and b is not None]
    return [a for a, _ in kept], [b for _, b in kept]
