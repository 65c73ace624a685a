"""Text to number and unit: "1-1/2 in" is 1.5 and "in".

The number is split from the unit here, because a unit library that evaluates whole strings turns bad input
into numbers ("0,5 mm" into 0 mm).  Only the unit, checked against a small grammar and with trade words
replaced, goes on.
"""

from __future__ import annotations

import functools
import math
import re

__all__ = ["UnreadableTextError", "split"]


class UnreadableTextError(ValueError):
    """The text is not a number and a unit; the message says why (never leaves the package)."""


# not compiled here: the first text read does that, not the import
_NUMBER = r"""\s*(?P<sign>[-+\u2212]?)\s*(?:
        (?P<whole>\d+)(?:\s+|-)(?P<mtop>\d+)\s*/\s*(?P<mbottom>\d+)   # 1 1/2 and 1-1/2
      | (?P<top>\d+)\s*/\s*(?P<bottom>\d+)                            # 1/2
      | (?P<decimal>(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)     # 0.5, 1e-3
      | (?P<infinite>inf(?:inity)?)(?![a-z])
    )"""
_NAME = r"[A-Za-z\u00b5\u03bc\u00b0\"]+"
_FACTOR = rf"{_NAME}(?:\s*(?:\^|\*\*)\s*[-+]?\d+|-[123]|[23])?"
_UNIT = rf"(?:1?\s*/\s*)?{_FACTOR}(?:(?:\s*[*/\u00b7]\s*|\s+){_FACTOR})*"

_WORDS = {
    "rpm": "(revolution/minute)",
    "rev": "revolution",
    "revs": "revolution",
    "r": "revolution",
    "tooth": "count",
    "teeth": "count",
    "sfm": "(foot/minute)",
    "sfpm": "(foot/minute)",
    "ipm": "(inch/minute)",
    "ipt": "(inch/count)",
    "ipr": "(inch/revolution)",
    "hp": "horsepower",
    "um": "micrometer",
    "uin": "microinch",
    "min": "minute",
    "in": "inch",
    '"': "inch",
    "\u00b0": "degree",
}
_ANY_CASE = {"rpm", "sfm", "sfpm", "ipm", "ipt", "ipr", "hp"}


@functools.lru_cache(maxsize=4096)
def split(text: str) -> tuple[float, str]:
    """Return the number and the unit of a text, the unit in words that pint knows.

    Raises
    ------
    UnreadableTextError
        The text is no number, holds two numbers, a comma, or a unit that is not one.

    Examples
    --------
    >>> split("1-1/2 in")
    (1.5, 'inch')
    >>> split("8000 rpm")
    (8000.0, '(revolution/minute)')
    """
    if not text.strip():
        raise UnreadableTextError("the text is empty")
    match = re.match(_NUMBER, text, re.VERBOSE | re.IGNORECASE)
    if match is None:
        raise UnreadableTextError("it does not begin with a number")
    number, rest = _number(match), text[match.end() :]
    if rest.startswith(","):
        raise UnreadableTextError("a comma is not read: write 0.5 for 0,5 and 8000 for 8,000")
    return number, unit_words(rest.strip())


def _number(match: re.Match[str]) -> float:
    part = match.groupdict()
    try:
        if part["whole"]:
            value = int(part["whole"]) + int(part["mtop"]) / int(part["mbottom"])
        elif part["top"]:
            value = int(part["top"]) / int(part["bottom"])
        else:
            value = math.inf if part["infinite"] else float(part["decimal"])
    except (ZeroDivisionError, OverflowError, ValueError):  # ValueError: more digits than an int may have
        raise UnreadableTextError("the number cannot be read") from None
    if math.isinf(value) and not part["infinite"]:
        raise UnreadableTextError("the number is too large")
    return -value if part["sign"] in ("-", "\u2212") else value


@functools.lru_cache(maxsize=4096)
def unit_words(unit: str) -> str:
    """Check a unit's spelling and replace the trade's words in it.

    Examples
    --------
    >>> unit_words("mm/tooth"), unit_words("N/mm2"), unit_words("/min")
    ('mm/count', 'N/mm**2', '1/minute')
    """
    if not unit:
        return ""
    plain = re.sub(r"(^|\s+)per\s+", "/", unit)
    plain = re.sub(r"(?<=[a-zA-Z])-(?=[a-zA-Z])", "*", plain)  # ft-lbf
    if re.search(r"(?<![a-zA-Z])mils?(?![a-zA-Z])", plain, re.IGNORECASE):
        raise UnreadableTextError('"mil" means an angle to some and 0.001 in to others: write thou')
    if len(plain) > 80 or not re.fullmatch(_UNIT, plain):
        raise UnreadableTextError(f"{unit!r} is not a unit")
    plain = re.sub(rf"({_NAME})\s*(?:\^|\*\*)?\s*([-+]?\d+)", r"\1**\2", plain)
    plain = re.sub(_NAME, lambda m: _word(m.group()), plain).replace("\u00b7", "*")
    plain = re.sub(r"(?<=[\w)])\s+(?=[\w(])", "*", plain)
    return "1" + plain if plain.startswith("/") else plain


def _word(name: str) -> str:
    folded = name.casefold()
    if folded in _ANY_CASE:
        return _WORDS[folded]
    name = name.replace("\u03bc", "\u00b5")
    if name.startswith("\u00b5"):
        return {"\u00b5m": "micrometer", "\u00b5in": "microinch"}.get(name, "micro" + name[1:])
    return _WORDS.get(name, name)
