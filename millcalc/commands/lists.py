"""Lists of formulas, materials and cutters."""

from __future__ import annotations

from typing import Any

from millcalc.commands._shared import command, json_text

__all__ = ["add"]


def add(commands: Any) -> None:
    """Add the words of these commands."""
    command(commands, "formulas", _formulas, "List the formulas.", "millcalc formulas")
    made = command(commands, "materials", _materials, "List the materials, or show one.", "millcalc materials C45")
    made.add_argument("name", nargs="?", help="any name of a material")
    text = "List the families of cutters with their parameters, or show one."
    made = command(commands, "cutters", _cutters, text, 'millcalc cutters "corner radius"')
    made.add_argument("name", nargs="?", help="the word of a family")


def _formulas(options: Any) -> str:
    from millcalc.formulas import all_formulas

    found = all_formulas()
    if options.json:
        rows = {n: {"parameters": [p.name for p in f.parameters], "expression": f.expression} for n, f in found.items()}
        return json_text(rows)
    wide = max(map(len, found))
    first_lines = {n: (f.__doc__ or "").splitlines()[0] for n, f in found.items()}
    return "\n".join(f"{name:<{wide}}  {line.removeprefix('Return ')}" for name, line in first_lines.items())


def _materials(options: Any) -> str:
    from millcalc.materials import material, materials
    from millcalc.report.lists import material_text

    if options.name:
        found = material(options.name)
        return json_text(_material_rows(found)) if options.json else material_text(found)
    rows = [(key, material(key)) for key in materials()]
    if options.json:
        return json_text({key: {"name": m.name, "iso513": m.iso513} for key, m in rows})
    wide = max(len(key) for key, _ in rows)
    return "\n".join(f"{key:<{wide}}  {m.iso513:<4}  {m.name}" for key, m in rows)


def _cutters(options: Any) -> str:
    from millcalc.cutters.catalogue import families, family, word_of
    from millcalc.report.lists import cutters_text

    listed = families()
    if options.name:
        word = word_of(family(options.name))
        listed = {word: listed[word]}
    if options.json:
        import attrs

        return json_text({word: attrs.asdict(shown) for word, shown in listed.items()})
    return cutters_text(listed, alone=bool(options.name))


def _material_rows(shown: Any) -> dict[str, Any]:
    import attrs

    rows: dict[str, Any] = attrs.asdict(shown)
    return rows
