"""Routes of operations."""

from __future__ import annotations

from typing import Any

from millcalc.commands._shared import add_units, command, json_text
from millcalc.errors import Fault, JobError, UnknownNameError

__all__ = ["add"]


def add(commands: Any) -> None:
    """Add the words of these commands."""
    text = "Print the plan of a route file; what it leaves open is searched for in its drawer."
    made = command(commands, "route", _route, text, "millcalc route route.toml")
    made.add_argument("job", nargs="?", metavar="route", help="route file (TOML)")
    made.add_argument("--example", action="store_true", help="use the route file that is shipped")
    made.add_argument("--operation", help="print the whole plan of one operation, by its name or number")
    made.add_argument("--pages", action="store_true", help="print the page that the shop pins up for each operation")
    add_units(made)


def _route(options: Any) -> str:
    from millcalc.planning import example_route, plan_route, read_route, search_drawer
    from millcalc.quantities.display import units
    from millcalc.report import front_page, plan_page, route_page

    if bool(options.job) == options.example:
        what = "a route file is needed" if not options.job else "give a route file or --example, not both"
        raise JobError("no route", (Fault("command line", options.job or "", what, "a path, or --example"),))
    route = example_route() if options.example else read_route(options.job)
    with units(options.units or route.settings):
        found = search_drawer(route) if route.is_open else None
        made = found.best if found else plan_route(route)
        if options.operation:
            one = _operation(made, options.operation)
            return json_text(one.as_numbers()) if options.json else plan_page(one, options.units)
        if options.pages:
            return _pages(options, made)
        if options.json:
            return json_text((found or made).as_numbers())
        return front_page(found, options.units) if found else route_page(made, options.units)


def _pages(options: Any, made: Any) -> str:
    """Return the page of each operation; all carry the checksum of the route."""
    from millcalc.planning import example_route_text
    from millcalc.planning.reading import file_text
    from millcalc.report import page_of, page_text

    if options.json:
        raise JobError("no pages", (Fault("command line", "--pages and --json", "give one of them"),))
    source = example_route_text() if options.example else file_text(options.job, "route")
    return "\n\n\n".join(page_text(page_of(each, options.units, source)) for each in made.plans)


def _operation(made: Any, asked: str) -> Any:
    """Return the plan of an operation by its name or its number."""
    names = [n.casefold() for n in made.names]
    word = asked.strip().casefold()
    if word.isdecimal() and 0 < int(word) <= len(names):
        return made.plans[int(word) - 1]
    if word not in names:
        raise UnknownNameError(f"the route has no operation {asked!r}; it has {', '.join(made.names)}")
    return made.plans[names.index(word)]
