"""One formula with numbers put in."""

from __future__ import annotations

from typing import Any

from millcalc.commands._shared import add_units, command, json_text, pairs, plain
from millcalc.errors import UnknownNameError, nearest

__all__ = ["add"]


def add(commands: Any) -> None:
    """Add the words of these commands."""
    text = "Print one formula with numbers put in, its result, validity and source."
    example = 'millcalc sheet cutting_speed "diameter=10 mm" "spindle_speed=8000 rpm"'
    made = command(commands, "sheet", _sheet, text, example)
    made.add_argument("formula", help="name of a formula")
    made.add_argument("values", nargs="*", metavar="name=value", help="a parameter and its value")
    add_units(made)


def _sheet(options: Any) -> str:
    from millcalc.formulas import all_formulas
    from millcalc.quantities.display import units

    found = all_formulas()
    if options.formula not in found:
        raise UnknownNameError(f"no formula has the name {options.formula!r}{nearest(options.formula, found)}")
    chosen = found[options.formula]
    given = {name: plain(value) for name, value in pairs(options.values, "diameter=10 mm")}
    with units(options.units or "metric"):
        sheet = chosen.sheet(**given)
        if options.json:
            step = sheet.steps[0]
            return json_text({"formula": options.formula, "numbers": list(step.numbers), "result": step.result})
        return str(sheet)
