"""Families of cutters by name: those built in, then what other distributions add to the group "millcalc.cutters"."""

from __future__ import annotations

from typing import Any

import attrs

from millcalc import discovery
from millcalc.cutters.built_in import (
    BallEndMill,
    CornerRadiusEndMill,
    FlatEndMill,
    RoundInsertCutter,
    TaperedBallEndMill,
)
from millcalc.cutters.cutter import Cutter
from millcalc.discovery import Plugin, normal_form
from millcalc.errors import ArgumentError, Fault, PluginError, UnknownNameError, nearest
from millcalc.quantities.record import Field, fields_of

__all__ = [
    "GROUP",
    "Family",
    "FamilyParameter",
    "check_family",
    "families",
    "family",
    "is_built_in",
    "word_of",
    "words",
]

GROUP = "millcalc.cutters"
"""The entry-point group by which a distribution adds families: a name is the family's word, its target the class."""

_CLASSES = (FlatEndMill, BallEndMill, CornerRadiusEndMill, TaperedBallEndMill, RoundInsertCutter)
_BUILT_IN: dict[str, type[Cutter]] = {normal_form(cls.family): cls for cls in _CLASSES}


@attrs.frozen
class FamilyParameter:
    """One parameter of a family: its unit ("1" for a plain number, "" for a word), and what a file may say for it."""

    name: str
    unit: str
    default: Any
    meaning: str
    required: bool
    accepted: str


@attrs.frozen
class Family:
    """One family as it is listed: its word, "millcalc" or distribution and version, and why it failed if it did."""

    word: str
    origin: str
    parameters: tuple[FamilyParameter, ...] = ()
    failure: str = ""

    @property
    def usable(self) -> bool:
        """Whether cutters of the family can be made."""
        return not self.failure


def family(name: str) -> type[Cutter]:
    """Return the class of a family of cutters.

    A built-in word never looks at what other distributions add, and none of them can take it over: a family of
    theirs with a built-in word is reached as "dist:name".

    Parameters
    ----------
    name
        The family's word, for example "corner radius", or "dist:name" to choose a distribution.  Case does not
        matter, nor whether hyphens, underscores or spaces part its words.

    Raises
    ------
    ArgumentError
        The name is no text.
    UnknownNameError
        No family has the name; the message gives the nearest ones.
    PluginError
        What a distribution adds under the name cannot be loaded or is no family of that word, or several
        distributions add it.

    Examples
    --------
    >>> family("Corner-Radius").__name__
    'CornerRadiusEndMill'
    >>> family("tapered bal")
    Traceback (most recent call last):
    millcalc.errors.UnknownNameError: no family of cutters is called 'tapered bal' (nearest: tapered ball...
    """
    if not isinstance(name, str):
        fault = Fault("name", repr(name), "it is no text", "the word of a family", "'ball'")
        raise ArgumentError("no family of cutters can be found", (fault,))
    if is_built_in(name):
        return _BUILT_IN[normal_form(name)]
    try:
        made: type[Cutter] = discovery.load(GROUP, name, check_family)
        return made
    except UnknownNameError:
        raise UnknownNameError(f"no family of cutters is called {name!r}{nearest(name, words())}") from None


def words() -> tuple[str, ...]:
    """Return the words that `family` takes, those built in first, without importing any code of others.

    Examples
    --------
    >>> words()[:5]
    ('flat', 'ball', 'corner radius', 'tapered ball', 'round insert')
    """
    return (*(cls.family for cls in _CLASSES), *_added())


def families() -> dict[str, Family]:
    """Return every family by the word that `family` takes, those built in first.

    The parameters of a family are in its code, so this imports what other distributions add; a family that
    cannot be loaded is listed with its cause.

    Examples
    --------
    >>> ball = families()["ball"]
    >>> ball.origin, ball.usable, [p.name for p in ball.parameters if p.required]
    ('millcalc', True, ['diameter', 'teeth'])
    >>> ball.parameters[0]
    FamilyParameter(name='diameter', unit='mm', default=None, meaning='diameter of the ball', required=True,
                    accepted='above 0 mm, finite')
    """
    listed = {cls.family: Family(cls.family, "millcalc", _parameters(cls)) for cls in _CLASSES}
    for word, plugin in _added().items():
        try:
            listed[word] = Family(word, plugin.origin, _parameters(family(word)))
        except PluginError as error:
            listed[word] = Family(word, plugin.origin, failure=str(error))
    return listed


def word_of(cls: type[Cutter]) -> str:
    """Return the word by which `family` finds a class: its own, or "dist:name" where another has that word too.

    Raises
    ------
    UnknownNameError
        `family` does not find the class under its word: no distribution adds it.

    Examples
    --------
    >>> word_of(BallEndMill)
    'ball'
    """
    if cls in _CLASSES:
        return cls.family
    for word, plugin in _added().items():
        try:
            if normal_form(plugin.name) == normal_form(cls.family) and family(word) is cls:
                return word
        except PluginError:
            continue
    raise UnknownNameError(f"no distribution adds the family {cls.family!r} of {cls.__name__} to {GROUP}")


def is_built_in(word: str) -> bool:
    """Return whether a word is that of a built-in family, however it is spelled.

    Examples
    --------
    >>> is_built_in("Round_Insert"), is_built_in("barrel")
    (True, False)
    """
    return normal_form(word) in _BUILT_IN


def check_family(thing: Any, plugin: Plugin) -> None:
    """Refuse what is no family of the word under which a distribution adds it.

    Raises
    ------
    TypeError
        It is no class derived from `Cutter`, or its word is another one.
    """
    if not (isinstance(thing, type) and issubclass(thing, Cutter)):
        raise TypeError(f"{thing!r} is no class derived from millcalc.cutters.Cutter")
    if not isinstance(thing.family, str) or normal_form(thing.family) != normal_form(plugin.name):
        raise TypeError(f"the family of {thing.__name__} is {thing.family!r}, it is listed as {plugin.name!r}")


def _added() -> dict[str, Plugin]:
    """Return what others add by the words that find it: "dist:name" where the name is a built-in word."""
    found = discovery.found(GROUP).items()
    return {p.key if is_built_in(p.name) else word: p for word, p in found}


def _parameters(cls: type[Cutter]) -> tuple[FamilyParameter, ...]:
    return tuple(_parameter(field) for field in fields_of(cls).values())


def _parameter(field: Field) -> FamilyParameter:
    stated, kind = field.stated, field.kind
    unit = (kind.label or "1") if kind else ""
    accepted = [repr(word) for word in (*stated.choices, *stated.words)]
    if field.parameter is not None:
        accepted.insert(0, field.parameter.domain.text(field.parameter.kind.label))
    default = None if field.required else stated.default
    return FamilyParameter(field.name, unit, default, stated.meaning, field.required, " or ".join(accepted))
