"""What tools are made of: modulus, density and strength, by the words for tool materials, and of steel.

Single grades differ; where the maker states a value, take that.  The edge alone is of PCD or PCBN; what bends is the
carbide body under it.
"""

from __future__ import annotations

import attrs

from millcalc.errors import UnknownNameError, nearest
from millcalc.materials.rows import Value

__all__ = ["SAFETY_FACTOR", "TOOL_MATERIALS", "ToolMaterial", "tool_material"]

SAFETY_FACTOR = 3.0
"""Strength over the bending stress allowed in finishing: teeth knock, flutes are notches, strength scatters."""


@attrs.frozen(kw_only=True)
class ToolMaterial:
    """A tool material: its values, each with its source, and what the body of a tool with such edges is made of.

    Examples
    --------
    >>> tool_material("HSS").modulus.middle, tool_material("PCD").body
    (200.0, 'carbide')
    """

    word: str
    modulus: Value
    """[GPa]"""
    density: Value
    """[g/cm^3]"""
    strength: Value
    """In bending [N/mm^2]; of steel, which yields before, in tension."""
    body: str
    """Word of the material that the body is made of."""
    note: str = ""

    @property
    def allowable_stress(self) -> float:
        """Bending stress allowed in finishing [N/mm^2]: the low end of the strength over the safety factor."""
        return self.strength.low / SAFETY_FACTOR


def tool_material(word: str) -> ToolMaterial:
    """Return a tool material by its word, one of those that a cutter's `substrate` takes, or "steel".

    Raises
    ------
    UnknownNameError
        There is none such; the message gives the nearest.

    Examples
    --------
    >>> round(tool_material("carbide").allowable_stress)
    800
    """
    found = {known.casefold(): row for known, row in TOOL_MATERIALS.items()}.get(word.strip().casefold())
    if found is None:
        raise UnknownNameError(f"no tool material is called {word!r}{nearest(word, TOOL_MATERIALS)}")
    return found


_HOW = {"MEM_SUBSTRATE": "from memory", "HSS_PAGE": "read", "CALL": "read"}


def _value(low: float, high: float, unit: str, conditions: str = "", source: str = "MEM_SUBSTRATE") -> Value:
    return Value(
        low=low, high=high, unit=unit, source=source, how_known=_HOW[source], scope="class", conditions=conditions
    )


def _material(
    word: str, modulus: Value, density: tuple[float, float], strength: Value, body: str = "", note: str = ""
) -> ToolMaterial:
    return ToolMaterial(
        word=word,
        modulus=modulus,
        density=_value(*density, "g/cm^3"),
        strength=strength,
        body=body or word,
        note=note,
    )


_COBALT = "cemented carbide of 15 to 6 % cobalt; about 580 at 10 %"
_CARBIDE = (
    _value(530.0, 630.0, "GPa", _COBALT),
    (14.0, 14.9),
    _value(2400.0, 3600.0, "N/mm^2", "transverse rupture strength of ground bars"),
)
_EDGE_ONLY = "only the edge is made of it; the body that bends is carbide"
_HEAD_ONLY = "usually inserts or heads; the body that bends may be another material: state it"
_RUPTURE = "transverse rupture strength"

TOOL_MATERIALS: dict[str, ToolMaterial] = {
    row.word: row
    for row in (
        _material("coated carbide", *_CARBIDE, body="carbide", note="the coating is too thin to count"),
        _material("carbide", *_CARBIDE),
        _material(
            "HSS",
            _value(200.0, 200.0, "GPa", "M3 class 2", "HSS_PAGE"),
            (8.0, 8.2),
            _value(3000.0, 4500.0, "N/mm^2", _RUPTURE),
        ),
        _material(
            "cermet",
            _value(400.0, 450.0, "GPa"),
            (6.0, 7.2),
            _value(1500.0, 2300.0, "N/mm^2", _RUPTURE),
            note=_HEAD_ONLY,
        ),
        _material(
            "ceramic",
            _value(380.0, 400.0, "GPa", "alumina; silicon nitride about 300"),
            (3.9, 4.1),
            _value(400.0, 800.0, "N/mm^2", _RUPTURE),
            note=_HEAD_ONLY,
        ),
        _material(
            "PCBN",
            _value(600.0, 700.0, "GPa"),
            (3.4, 4.3),
            _value(600.0, 1200.0, "N/mm^2", _RUPTURE),
            "carbide",
            _EDGE_ONLY,
        ),
        _material(
            "PCD",
            _value(800.0, 900.0, "GPa"),
            (3.9, 4.2),
            _value(1000.0, 1700.0, "N/mm^2", _RUPTURE),
            "carbide",
            _EDGE_ONLY,
        ),
        ToolMaterial(
            word="steel",
            modulus=_value(207.0, 207.0, "GPa", "alloy steels", "CALL"),
            density=_value(7.85, 7.85, "g/cm^3", "4140 and 4340", "CALL"),
            strength=_value(900.0, 1100.0, "N/mm^2", "tensile strength of a hardened and tempered holder steel"),
            body="steel",
        ),
    )
}
"""Every tool material by its word."""
