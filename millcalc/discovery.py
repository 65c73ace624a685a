"""Finding what other distributions add through entry points, and loading it when it is first asked for.

The installed distributions are looked through once a process, at the first question, for all groups together;
that imports none of their code.  What cannot be loaded stays listed with its cause and stops nothing else.
"""

from __future__ import annotations

import collections
import functools
import re
import threading
import warnings
from collections.abc import Callable, Iterator, Mapping
from typing import Any

import attrs

from millcalc.errors import Fault, MillcalcWarning, PluginError, UnknownNameError, nearest

__all__ = ["Plugin", "forget", "found", "load", "normal_form"]

_LOCK = threading.Lock()


@attrs.frozen
class Plugin:
    """One name that a distribution adds to a group.

    `target` says where the code is, "module:attribute"; `failure` is what went wrong when it was loaded, if it was.
    """

    name: str
    distribution: str
    version: str
    target: str
    failure: Exception | None = None

    @property
    def key(self) -> str:
        """What chooses it whatever others add: "dist:name"."""
        return f"{self.distribution}:{self.name}"

    @property
    def origin(self) -> str:
        """Distribution and version."""
        return f"{self.distribution} {self.version}"


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
    plugin = plugins[key]
    if plugin.failure is None:
        import importlib_metadata  # not loaded with the package: built-in names need none of it

        try:
            thing = importlib_metadata.EntryPoint(plugin.name, plugin.target, group).load()
            if check is not None:
                check(thing, plugin)
            return thing
        except Exception as error:  # code of others may raise anything
            plugins[key] = plugin = attrs.evolve(plugin, failure=error)
    reason = f"{type(plugin.failure).__name__}: {plugin.failure}"
    headline = f"{plugin.name!r} of {group} cannot be loaded"
    raise PluginError(headline, (Fault(plugin.origin, plugin.target, reason),)) from plugin.failure


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


def _chosen(group: str, name: str, plugins: Mapping[str, Plugin]) -> str:
    wanted = normal_form(name)
    keys = [key for key, p in plugins.items() if wanted in (normal_form(p.name), normal_form(key))]
    if len(keys) == 1:
        return keys[0]
    if keys:
        reason = f"{len(keys)} distributions add this name"
        fault = Fault(group, repr(name), reason, " or ".join(map(repr, keys)))
        raise PluginError("choose a distribution", (fault,))
    known = {p.name for p in plugins.values()} | set(plugins)
    raise UnknownNameError(f"no installed distribution adds {name!r} to {group}{nearest(name, known)}")


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
