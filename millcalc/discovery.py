"""Finding what other distributions add through entry points, and loading it when it is first asked for.

The installed distributions are looked through once a process, at the first question, for all groups together;
that imports none of their code.  What cannot be loaded stays listed with its cause and stops nothing else.

A distribution may state the version of the interface it was written for, `MILLCALC_API = 1` in the module that its
entry point names or in a package above it, or `api = 1` at the top of a TOML file; another version is refused.
"""

from __future__ import annotations

import collections
import contextlib
import functools
import os
import re
import threading
import types
import warnings
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

import attrs

from millcalc.errors import Fault, MillcalcWarning, PluginError, UnknownNameError, nearest

__all__ = [
    "API",
    "Plugin",
    "all_found",
    "check_api",
    "forget",
    "found",
    "load",
    "normal_form",
    "registered",
    "toml_files",
]

API = 1
"""The version of the interface that this millcalc offers to other distributions."""

_LOCK = threading.Lock()
_UNDER_WAY = threading.local()  # what each thread is loading
_UNSET: Any = object()


@attrs.frozen
class Plugin:
    """One name that a distribution adds to a group.

    `target` says where the code is, "module:attribute"; `loaded` whether it was imported and found good; `failure`
    what went wrong when it was loaded, if it was, and `traceback` the whole of it as text.
    """

    name: str
    distribution: str
    version: str
    target: str
    loaded: bool = False
    failure: BaseException | None = None
    traceback: str = attrs.field(default="", eq=False, repr=False)
    _held: Any = attrs.field(default=_UNSET, eq=False, repr=False)

    @property
    def key(self) -> str:
        """What chooses it whatever others add: "dist:name"."""
        return f"{self.distribution}:{self.name}"

    @property
    def origin(self) -> str:
        """Distribution and version."""
        return f"{self.distribution} {self.version}"

    @property
    def state(self) -> str:
        """The word "not loaded", "loaded" or "failed"."""
        return "failed" if self.failure is not None else "loaded" if self.loaded else "not loaded"

    @property
    def cause(self) -> str:
        """What went wrong, in words; empty if nothing did."""
        if self.failure is None:
            return ""
        own = isinstance(self.failure, PluginError)
        return str(self.failure) if own else f"{type(self.failure).__name__}: {self.failure}"


def all_found() -> Mapping[str, Mapping[str, Plugin]]:
    """Return what other distributions add to any group of millcalc, by group and name, without importing any of it.

    A group that millcalc does not have is listed too, if its name begins as theirs do.

    Examples
    --------
    >>> all(group.startswith("millcalc.") for group in all_found())
    True
    """
    return {group: found(group) for group in sorted(_table()) if group.startswith("millcalc.") and _table()[group]}


def found(group: str) -> Mapping[str, Plugin]:
    """Return what other distributions add to a group, by name, without importing any of it.

    Parameters
    ----------
    group
        Name of an entry-point group, for example "millcalc.cutters".

    Returns
    -------
    mapping
        Names to `Plugin`.  A name that two distributions add is listed as "dist:name", once for each.

    Examples
    --------
    >>> sorted(found("millcalc.no such group"))
    []
    """
    plugins = _table().get(group, {})
    claims = collections.Counter(normal_form(p.name) for p in plugins.values())
    return {p.name if claims[normal_form(p.name)] == 1 else key: p for key, p in plugins.items()}


def load(group: str, name: str, check: Callable[[Any, Plugin], None] | None = None) -> Any:
    """Return what a name of a group stands for; its code is imported when it is first asked for.

    Parameters
    ----------
    group
        Name of an entry-point group, for example "millcalc.cutters".
    name
        A name in that group, or "dist:name" to choose a distribution; spelled as `normal_form` forgives.
    check
        Called with what was imported and its `Plugin`; whatever it raises counts as a failure to load.

    Raises
    ------
    PluginError
        The code cannot be imported or is not what the group is for, now or when it was first tried; or several
        distributions add the name.
    UnknownNameError
        No distribution adds the name; the message gives the nearest ones.

    Examples
    --------
    >>> load("millcalc.no such group", "barrel")
    Traceback (most recent call last):
    millcalc.errors.UnknownNameError: no installed distribution adds 'barrel' to millcalc.no such group
    """
    plugins = _table().get(group, {})
    key = _chosen(group, name, plugins)
    if plugins[key].failure is None:
        with _not_within_itself(group, plugins[key]):
            try:
                thing = _imported(group, plugins[key])
                if check is not None:
                    check(thing, plugins[key])
                plugins[key] = attrs.evolve(plugins[key], loaded=True, held=thing)
                return thing
            except (Exception, SystemExit) as error:  # code of others may raise anything
                from traceback import format_exception  # only where something failed

                text = "".join(format_exception(error))
                plugins[key] = attrs.evolve(plugins[key], loaded=False, failure=error, traceback=text)
    plugin = plugins[key]
    headline = f"{plugin.name!r} of {group} cannot be loaded"
    raise PluginError(headline, (Fault(plugin.origin, plugin.target, plugin.cause),)) from plugin.failure


def check_api(stated: object, where: str) -> None:
    """Refuse a version of the interface that is not the one this millcalc offers.

    Parameters
    ----------
    stated
        The version that a distribution states.
    where
        Where it states it, for the message.

    Raises
    ------
    PluginError
        It is another version, or none.

    Examples
    --------
    >>> check_api(2, "MILLCALC_API of shop_cutters")
    Traceback (most recent call last):
    millcalc.errors.PluginError: another version of the interface: MILLCALC_API of shop_cutters: given 2; this
    millcalc offers version 1; accepted: 1, by a version of either distribution that fits the other
    """
    if type(stated) is not int or stated != API:
        accepted = f"{API}, by a version of either distribution that fits the other"
        reason = f"this millcalc offers version {API}"
        raise PluginError("another version of the interface", (Fault(where, repr(stated), reason, accepted),))


@contextlib.contextmanager
def registered(group: str, name: str, thing: Any, distribution: str, version: str) -> Iterator[Plugin]:
    """Add a name to a group for as long as the block lasts, as if a distribution that adds it were installed.

    For tests of plugins, which need not be installed for it.  What it adds to an installed distribution takes the
    place of what that adds under the name; leaving the block restores it.

    Parameters
    ----------
    group
        Name of an entry-point group, for example "millcalc.cutters".
    name
        The name to add.
    thing
        What it stands for, or the text "module:attribute" that an entry point would hold.
    distribution, version
        Of the distribution that is made believe.

    Examples
    --------
    >>> with registered("millcalc.cutters", "stump", "no_module_of_this_name:Stump", "shop-cutters", "1.0"):
    ...     print(found("millcalc.cutters")["stump"].origin)
    shop-cutters 1.0
    >>> "stump" in found("millcalc.cutters")
    False
    """
    target = thing if isinstance(thing, str) else f"{_module_of(thing)}:{_name_of(thing)}"
    held = _UNSET if isinstance(thing, str) else thing
    plugin, plugins = Plugin(name, distribution, version, target, held=held), _table().setdefault(group, {})
    before = plugins.get(plugin.key)
    plugins[plugin.key] = plugin
    try:
        yield plugin
    finally:
        plugins.pop(plugin.key, None)
        if before is not None:
            plugins[plugin.key] = before


def forget() -> None:
    """Forget what was found, and what failed, so that the next question looks again.

    For tests that put distributions on `sys.path`; a program has no need of it.
    """
    with _LOCK:
        _scan.cache_clear()


def normal_form(name: str) -> str:
    """Return a name without regard to case and to which hyphens, underscores, dots or spaces part its words.

    Examples
    --------
    >>> normal_form("Round_Insert")
    'round-insert'
    """
    return re.sub(r"[-_.\s]+", "-", name.strip()).casefold()


def toml_files(thing: Any) -> tuple[Path, ...]:
    """Return the TOML files that an entry point stands for: a file, a folder, a package, or a function returning such.

    Parameters
    ----------
    thing
        What was loaded.

    Raises
    ------
    TypeError
        It is none of these.

    Examples
    --------
    >>> import millcalc.planning.examples
    >>> [path.name for path in toml_files(millcalc.planning.examples)][:1]
    ['finishing.toml']
    """
    if isinstance(thing, types.ModuleType):
        thing = list(getattr(thing, "__path__", ()))
    if callable(thing):
        thing = thing()
    if isinstance(thing, (str, os.PathLike)):
        path = Path(thing)
        return tuple(sorted(path.glob("*.toml"))) if path.is_dir() else (path,)
    if not isinstance(thing, Iterable) or isinstance(thing, Mapping):
        raise TypeError(f"{thing!r} names neither a folder, a file, a package nor a function that returns paths")
    return tuple(path for each in thing for path in toml_files(Path(each)))


def _chosen(group: str, name: str, plugins: Mapping[str, Plugin]) -> str:
    wanted = normal_form(name)
    keys = [key for key, p in plugins.items() if wanted in (normal_form(p.name), normal_form(key))]
    if len(keys) > 1 and name in keys:  # one distribution may spell a name in two ways
        return name
    if len(keys) == 1:
        return keys[0]
    if keys:
        reason = f"{len(keys)} distributions add this name"
        fault = Fault(group, repr(name), reason, " or ".join(map(repr, keys)))
        raise PluginError("choose a distribution", (fault,))
    known = {p.name for p in plugins.values()} | set(plugins)
    raise UnknownNameError(f"no installed distribution adds {name!r} to {group}{nearest(name, known)}")


@contextlib.contextmanager
def _not_within_itself(group: str, plugin: Plugin) -> Iterator[None]:
    """Refuse to load what this thread is loading already, without counting it as a failure.

    Code that asks for all there is while it is imported meets itself, half made.
    """
    under_way = _UNDER_WAY.__dict__.setdefault("keys", [])
    if (group, plugin.key) in under_way:
        reason = "it is being loaded: its own code asks for it meanwhile"
        fault = Fault(plugin.origin, plugin.target, reason)
        raise PluginError(f"{plugin.name!r} of {group} cannot be loaded yet", (fault,))
    under_way.append((group, plugin.key))
    try:
        yield
    finally:
        under_way.pop()


def _imported(group: str, plugin: Plugin) -> Any:
    """Import what a plugin stands for, packages first: another version of the interface is refused at once."""
    import importlib
    import sys

    import importlib_metadata  # not loaded with the package: built-in names need none of it

    held, point = plugin._held, importlib_metadata.EntryPoint(plugin.name, plugin.target, group)
    module = point.module if held is _UNSET else _module_of(held)
    parts = module.split(".")
    for name in (".".join(parts[: count + 1]) for count in range(len(parts))):
        if held is _UNSET:
            importlib.import_module(name)
        stated = getattr(sys.modules.get(name), "MILLCALC_API", None)
        if stated is not None:
            check_api(stated, f"MILLCALC_API of {name}")
    return point.load() if held is _UNSET else held


def _module_of(thing: Any) -> str:
    return thing.__name__ if isinstance(thing, types.ModuleType) else str(getattr(thing, "__module__", ""))


def _name_of(thing: Any) -> str:
    return str(getattr(thing, "__qualname__", type(thing).__qualname__))


def _table() -> dict[str, dict[str, Plugin]]:
    with _LOCK:  # two threads that ask first at the same time look once
        return _scan()


@functools.cache
def _scan() -> dict[str, dict[str, Plugin]]:
    """Return every group's plugins by "dist:name"."""
    table: dict[str, dict[str, Plugin]] = collections.defaultdict(dict)
    for name, version, points in _distributions():
        for point in points:
            plugin = Plugin(point.name, name, version, point.value)
            if plugin.key in table[point.group]:
                fault = Fault(point.group, repr(point.name), "its entry points state this name twice")
                plugin = attrs.evolve(plugin, failure=PluginError("no choice is made", (fault,)))
            table[point.group][plugin.key] = plugin
    return dict(table)


def _distributions() -> Iterator[tuple[str, str, Any]]:
    """Yield name, version and entry points of each distribution; the first of a name on the path hides others."""
    import importlib_metadata

    seen = set()
    for each in importlib_metadata.distributions():
        try:
            name, version, points = each.metadata["Name"], each.version, each.entry_points
            form = normal_form(name)
        except Exception as error:  # an installation may be broken in any way
            text = f"the distribution {each} is passed over, its metadata cannot be read: {error}"
            warnings.warn(text, MillcalcWarning, stacklevel=2)
            continue
        if form not in seen:
            seen.add(form)
            yield name, version, points
