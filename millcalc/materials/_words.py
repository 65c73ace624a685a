"""Checks of the words and numbers that a material is asked with."""

import math

from millcalc.errors import ArgumentError, Fault, UnknownNameError, nearest

__all__ = ["known", "positive"]


def positive(diameter: float) -> float:
    """Return a diameter as a float above 0."""
    try:
        number = math.nan if isinstance(diameter, (bool, str)) else float(diameter)
    except (TypeError, ValueError):
        number = math.nan
    if not (math.isfinite(number) and number > 0):
        fault = Fault("diameter", repr(diameter), "is not a positive number", "a diameter in mm", "6.0")
        raise ArgumentError("no feed can be given", [fault])
    return number


def known(word: str, words: tuple[str, ...], what: str) -> str:
    """Return the word of a list that is meant, whatever its case."""
    for candidate in words:
        if isinstance(word, str) and candidate.casefold() == word.strip().casefold():
            return candidate
    hint = nearest(word, words) if isinstance(word, str) else ""
    raise UnknownNameError(f"no {what} is called {word!r}{hint}; there are {', '.join(words)}")
