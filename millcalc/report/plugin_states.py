"""What other distributions add to millcalc, and how far each of it has come: listed, loaded or failed."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable
from typing import Any

import attrs

from millcalc import discovery
from millcalc.discovery import Plugin
from millcalc.errors import FileError, PluginError, UnknownNameError, nearest

__all__ = ["GROUPS", "PluginState", "of_distribution", "plugins", "plugins_text", "tracebacks_text"]

GROUPS = ("millcalc.cutters", "millcalc.materials", "millcalc.references")
"""The groups that millcalc reads."""


@attrs.frozen
class PluginState:
    """One name that a distribution adds to a group, and its state: "not loaded", "loaded" or "failed".

    `cause` and `traceback` say why it failed; `note` what is to be known to reach it.
    """

    group: str
    name: str
    distribution: str
    version: str
    target: str
    state: str
    cause: str = ""
    note: str = ""
    traceback: str = attrs.field(default="", repr=False)


def plugins(load: bool = False) -> tuple[PluginState, ...]:
    """Return what other distributions add to millcalc, by group and name.

    Parameters
    ----------
    load
        Whether all of it is tried: its code is imported and checked.  If not, nothing is imported, and the states
        are those that the process has come to.

    Returns
    -------
    tuple of PluginState
        A name that two distributions add is listed as "dist:name", once for each.

    Examples
    --------
    >>> from millcalc.discovery import registered
    >>> with registered("millcalc.cutters", "stump", "no_module_of_this_name:Stump", "shop-cutters", "1.0"):
    ...     state = next(state for state in plugins(load=True) if state.name == "stump")
    >>> state.state, state.cause
    ('failed', "ModuleNotFoundError: No module named 'no_module_of_this_name'")
    """
    if load:
        for group in GROUPS:
            _load_all(group)
    return tuple(
        _state(group, name, plugin) for group, found in discovery.all_found().items() for name, plugin in found.items()
    )


def of_distribution(states: Iterable[PluginState], name: str) -> tuple[PluginState, ...]:
    """Return what one distribution adds.

    Raises
    ------
    UnknownNameError
        It adds nothing, or is not installed; the message gives the nearest ones that do.
    """
    states = tuple(states)
    found = tuple(s for s in states if discovery.normal_form(s.distribution) == discovery.normal_form(name))
    if not found:
        known = nearest(name, {s.distribution for s in states})
        raise UnknownNameError(f"no installed distribution {name!r} adds anything to millcalc{known}")
    return found


def plugins_text(states: Iterable[PluginState]) -> str:
    """Return the list for a terminal: group, then name, distribution, version and state, the cause below it."""
    states = tuple(states)
    if not states:
        return "no installed distribution adds anything to millcalc"
    columns = [(s.name, f"{s.distribution} {s.version}") for s in states]
    name_wide, origin_wide = (max(map(len, column)) for column in zip(*columns, strict=True))
    lines: list[str] = []
    for group in dict.fromkeys(s.group for s in states):
        lines.append(group)
        for state, (name, origin) in zip(states, columns, strict=True):
            if state.group == group:
                lines.append(f"  {name:<{name_wide}}  {origin:<{origin_wide}}  {state.state}")
                lines += [f"      {line}" for text in (state.note, state.cause) if text for line in text.splitlines()]
    return "\n".join(lines)


def tracebacks_text(states: Iterable[PluginState]) -> str:
    """Return the whole traceback of each failure, with what it belongs to above it."""
    failed = [s for s in states if s.state == "failed"]
    heads = [f"{s.group} {s.name} of {s.distribution} {s.version}, {s.target}:" for s in failed]
    return "\n".join(f"{head}\n{s.traceback or s.cause}" for head, s in zip(heads, failed, strict=True)).rstrip()


def _load_all(group: str) -> None:
    check = _check_of(group)
    for name in discovery.found(group):
        try:
            discovery.load(group, name, check)
        except PluginError:
            continue  # it stays listed with its cause


def _check_of(group: str) -> Callable[[Any, Plugin], None]:
    if group == "millcalc.cutters":
        from millcalc.cutters.catalogue import check_family

        return check_family
    if group == "millcalc.materials":
        from millcalc.materials.added import check_materials

        return check_materials
    return _check_tables


def _check_tables(thing: Any, plugin: Plugin) -> None:
    """Refuse what names no reference tables."""
    files = discovery.toml_files(thing)
    if not files:
        raise FileError(f"{plugin.target} holds no TOML file")
    for path in files:
        stated = tomllib.loads(path.read_text(encoding="utf-8"))
        discovery.check_api(stated.get("api", discovery.API), f"api of {path.name}")


def _state(group: str, name: str, plugin: Plugin) -> PluginState:
    kept = (plugin.distribution, plugin.version, plugin.target, plugin.state, plugin.cause)
    return PluginState(group, name, *kept, _note(group, plugin), plugin.traceback)


def _note(group: str, plugin: Plugin) -> str:
    from millcalc.cutters.catalogue import is_built_in

    if group not in GROUPS:
        endings = {each.partition(".")[2]: each for each in GROUPS}  # alike as they begin, the rest decides
        return f"millcalc has no such group{nearest(group.partition('.')[2], endings)}"
    if group == "millcalc.cutters" and is_built_in(plugin.name):
        return f"the word stays that of the built-in family; this one is {plugin.key!r}"
    return ""
