"""The command that lists what other distributions add, and what of it has failed."""

from __future__ import annotations

from typing import Any

from millcalc.commands._shared import command, json_text

__all__ = ["add"]


def add(commands: Any) -> None:
    """Add the words of this command."""
    text = "List what other installed distributions add to millcalc; exit status 1 if any of it has failed."
    made = command(commands, "plugins", _plugins, text, "millcalc plugins --load")
    made.add_argument("distribution", nargs="?", help="list only what this one adds")
    made.add_argument("--load", action="store_true", help="import and check all of it; else only list it")
    made.add_argument("--traceback", action="store_true", help="print the whole traceback of each failure, too")


def _plugins(options: Any) -> tuple[str, int]:
    from millcalc.report.plugin_states import of_distribution, plugins, plugins_text, tracebacks_text

    found = plugins(options.load)
    if options.distribution:
        found = of_distribution(found, options.distribution)
    status = int(any(state.state == "failed" for state in found))
    if options.json:
        import attrs

        left = () if options.traceback else ("traceback",)
        return json_text([attrs.asdict(s, filter=lambda a, _: a.name not in left) for s in found]), status
    parts = [plugins_text(found)]
    if options.traceback and status:
        parts.append(tracebacks_text(found))
    return "\n\n".join(parts), status
