"""Lists for the command line: families of cutters with their parameters, materials with their rows."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

__all__ = ["cutters_text", "material_text"]


def cutters_text(listed: Mapping[str, Any], alone: bool = False) -> str:
    """Return the families of cutters with their parameters; those that every family has stand at the end."""
    common = None if alone else _common_parameters(listed.values())
    blocks = ["\n".join(_family_lines(shown, common or ())) for shown in listed.values()]
    if common:
        rows = [_parameter_line(p) for p in common]
        blocks.append("\n".join(["every family has also", *rows]))
    return "\n\n".join(blocks)


def _common_parameters(listed: Any) -> Any:
    """Return the parameters that every family has in the same form."""
    parameters = [shown.parameters for shown in listed if shown.usable]
    return [p for p in parameters[0] if all(p in others for others in parameters)]


def _family_lines(shown: Any, common: Any) -> list[str]:
    head = f'family = "{shown.word}"  from {shown.origin}'
    if shown.failure:
        return [head, f"  cannot be used: {shown.failure}"]
    return [head, *(_parameter_line(p) for p in shown.parameters if p not in common)]


def _parameter_line(parameter: Any) -> str:
    unit = f" [{parameter.unit}]" if parameter.unit else ""
    need = "" if parameter.required else ", may be left out"
    accepted = f" ({parameter.accepted})" if parameter.accepted else ""
    return f"  {parameter.name + unit:<30}{parameter.meaning}{accepted}{need}"


_FORCE_NAMES = (("ktc", "krc", "kac"), ("kte", "kre", "kae"))


def material_text(shown: Any) -> str:
    """Return a material with its names, rows and cautions."""
    lines = [
        f"{shown.name} ({shown.designation}), {shown.group}",
        f"names: {', '.join(dict.fromkeys(shown.names()))}",
        *([] if shown.origin == "built in" else [f"from: {shown.origin}"]),
    ]
    for word, rows in (("cutting speed", shown.cutting_speeds), ("feed per tooth", shown.feed_charts)):
        for row in rows:
            lines.append(f"{word}, {row.substrate}, {row.operation}: {row}")
    for row in shown.kienzle:
        lines.append(f"{row}; {row.fallback}" if row.fallback else f"{row}")
    for row in shown.force_coefficients:
        section, edge = (f"{getattr(row, a):g}, {getattr(row, b):g}, {getattr(row, c):g}" for a, b, c in _FORCE_NAMES)
        known = f"({row.source}, {row.how_known}, {row.scope})"
        lines.append(f"force coefficients {section} N/mm^2, edge {edge} N/mm {known}")
    lines += [f"{c.severity.upper()}: {c.text}" for c in (shown.tip_caution, *shown.cautions)]
    return "\n".join(lines)
