"""Tool materials: words, ranges and sources."""

from __future__ import annotations

import pytest

from millcalc.cutters.cutter import SUBSTRATES
from millcalc.errors import UnknownNameError
from millcalc.loads.substrates import SAFETY_FACTOR, TOOL_MATERIALS, tool_material
from millcalc.sources import bibliography


def test_every_word_of_a_cutter_is_there_and_steel():
    assert set(TOOL_MATERIALS) == {*SUBSTRATES, "steel"}
    for word, row in TOOL_MATERIALS.items():
        assert row.word == word
        assert tool_material(f" {word.upper()} ") is row


@pytest.mark.parametrize("row", TOOL_MATERIALS.values(), ids=lambda r: r.word)
def test_values_have_their_unit_and_source(row):
    for value, unit in ((row.modulus, "GPa"), (row.density, "g/cm^3"), (row.strength, "N/mm^2")):
        assert value.unit == unit
        assert 0.0 < value.low <= value.high
        assert bibliography()[value.source].how_known == value.how_known
    assert row.allowable_stress * SAFETY_FACTOR == pytest.approx(row.strength.low)
    assert SAFETY_FACTOR >= 3.0
    assert TOOL_MATERIALS[row.body].body == row.body


def test_what_is_published():
    # published page, material_rules 4.8: HSS (M3 class 2) 200 GPa (read); Callister B.2: alloy steel 207 GPa (read),
    # B.1: 4140 and 4340 7.85 g/cm^3 (read); carbide of 6, 10, 15 % cobalt about 630, 580, 530 GPa (from memory)
    assert tool_material("HSS").modulus.middle == 200.0
    assert (tool_material("steel").modulus.middle, tool_material("steel").density.middle) == (207.0, 7.85)
    carbide = tool_material("carbide").modulus
    assert (carbide.low, carbide.middle, carbide.high) == (530.0, 580.0, 630.0)
    # the same page: carbide is 2.6 to 3.4 times as stiff as steel
    for ratio in (carbide.middle / 207.0, carbide.middle / 200.0):
        assert 2.6 <= ratio <= 3.4
    # PCD 800 to 900, PCBN 600 to 700, alumina 380 to 400 (from memory)
    spans = [(tool_material(w).modulus.low, tool_material(w).modulus.high) for w in ("PCD", "PCBN", "ceramic")]
    assert spans == [(800.0, 900.0), (600.0, 700.0), (380.0, 400.0)]


def test_only_the_edge_is_of_diamond():
    assert tool_material("PCD").body == tool_material("PCBN").body == "carbide"
    assert "edge" in tool_material("PCD").note


def test_an_unknown_word_names_the_nearest():
    with pytest.raises(UnknownNameError, match="nearest: carbide"):
        tool_material("carbid")
