"""Every error and warning of the library: one small tree of each.

All errors derive from `MillcalcError`.  An error about values carries `faults`, one record a fault, so
that a script can read what a person reads in the message.
"""

from __future__ import annotations

from collections.abc import Iterable

import attrs

__all__ = [
    "ArgumentError",
    "DataError",
    "DomainError",
    "Fault",
    "FileError",
    "ImpossibleJobError",
    "JobError",
    "MillcalcError",
    "MillcalcWarning",
    "MissingExtraError",
    "PluginError",
    "SignatureError",
    "UnitError",
    "UnknownNameError",
    "ValidityWarning",
    "nearest",
]


@attrs.frozen
class Fault:
    """One thing that is wrong: where, what was given, what is accepted, an example."""

    where: str
    given: str
    reason: str
    accepted: str = ""
    example: str = ""

    def __str__(self) -> str:
        text = f"{self.where}: given {self.given}; {self.reason}" if self.given else f"{self.where}: {self.reason}"
        if self.accepted:
            text += f"; accepted: {self.accepted}"
        if self.example:
            text += f", for example {self.example}"
        return text


class MillcalcError(Exception):
    """The root of all errors of this library."""

    def __init__(self, headline: str, faults: Iterable[Fault] = ()) -> None:
        self.headline = headline
        self.faults = tuple(faults)
        super().__init__(headline, self.faults)

    def __str__(self) -> str:
        if len(self.faults) == 1:
            return f"{self.headline}: {self.faults[0]}"
        return "\n  - ".join([self.headline + (":" if self.faults else ""), *map(str, self.faults)])


class SignatureError(MillcalcError, TypeError):
    """A formula was called with a missing, unknown or repeated argument."""


class ArgumentError(MillcalcError, ValueError):
    """One or more arguments cannot be used; `faults` says which and why."""


class UnitError(ArgumentError):
    """A value has no unit, a unit that cannot be read, or the unit of another kind of quantity."""


class DomainError(ArgumentError):
    """A value, or several together, lie outside what the formula is defined for."""


class FileError(MillcalcError):
    """A file cannot be found or read, or is not what it should be."""


class JobError(MillcalcError, ValueError):
    """A job states something unknown, missing, contradictory or unreadable."""


class ImpossibleJobError(MillcalcError, ValueError):
    """The job is stated well but cannot be cut; each fault says what would make it possible."""


class DataError(MillcalcError, ValueError):
    """A record of material, source or cutter data does not load; every fault is listed."""


class UnknownNameError(MillcalcError, LookupError):
    """A name is not in the catalogue; the message gives the nearest ones."""


class PluginError(MillcalcError):
    """What another distribution adds cannot be used; names the distribution, its version and the cause."""


class MissingExtraError(MillcalcError, ImportError):
    """What a function needs beyond millcalc is not installed; the message says which extra brings it."""


class MillcalcWarning(UserWarning):
    """The root of all warnings of this library."""


class ValidityWarning(MillcalcWarning):
    """A value lies outside the range in which the formula has been validated, or is implausible."""


def nearest(word: str, known: Iterable[str]) -> str:
    """Return a hint naming the known words nearest to `word`, or an empty text.

    Examples
    --------
    >>> nearest("stepver", ["stepover", "stock"])
    ' (nearest: stepover)'
    """
    import difflib  # loaded when there is something to suggest

    lowered = {k.casefold(): k for k in known}
    found = difflib.get_close_matches(word.casefold(), list(lowered), n=3, cutoff=0.6)
    return f" (nearest: {', '.join(lowered[f] for f in found)})" if found else ""
