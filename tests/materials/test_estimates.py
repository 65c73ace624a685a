"""Estimates and hardness scales: inside their spread of what sources print, and no further than these reach."""

import math
import tomllib
from pathlib import Path

import numpy as np
import pytest

from millcalc.errors import ArgumentError, DomainError, UnknownNameError
from millcalc.materials import (
    SpeedWindow,
    Value,
    converted_hardness,
    energy_estimate,
    least_chip_estimate,
    material,
    speed_estimate,
    substrate_speed_estimate,
)
from millcalc.materials.estimates import SPEED_EXPONENTS
from millcalc.materials.hardness_scales import TABLE, convertible

HANDBOOK = Path(__file__).parents[2] / "reference" / "machinerys_handbook_31.toml"
STATED = {"source": "FMDB", "how_known": "read", "scope": "group", "conditions": "medium-carbon steels"}


def printed_energies():
    """Yield hardness from, to and the printed constant [W s/mm^3] of plain carbon steel (MHB31 p. 1147, read)."""
    for case in tomllib.loads(HANDBOOK.read_text(encoding="utf-8"))["case"]:
        low, high = map(int, case["id"].split("-")[-2:])
        yield low, high, float(case["output"].split()[0])


PRINTED = list(printed_energies())


@pytest.mark.parametrize(("low", "high", "energy"), PRINTED)
def test_the_energy_of_plain_carbon_steel_holds_the_printed_constant(low, high, energy):
    """At the middle of the printed band; the constant is printed to 0.01."""
    found = energy_estimate("plain carbon", 0.5 * (low + high))
    assert found.low - 0.006 <= energy <= found.high + 0.006
    assert found.high / found.low < 1.06
    assert (found.unit, found.source, found.scope) == ("W s/mm^3", "HARDNESS_FITS", "group")


def test_the_line_of_plain_carbon_steel_is_that_of_least_squares():
    middle = np.array([0.5 * (low + high) for low, high, _ in PRINTED])
    rise, base = np.polyfit(middle, [energy for *_, energy in PRINTED], 1)
    for hardness in (90, 220, 350):
        assert energy_estimate("plain carbon", hardness).middle == pytest.approx(base + rise * hardness, rel=0.006)


# steel, hardness from, to, constant [W s/mm^3]: the same table, other columns (read, shared/published/materials.toml)
ALLOYED = [
    ("4140 and 4340", 200, 220, 1.97), ("4140 and 4340", 240, 260, 2.18), ("4140 and 4340", 260, 280, 2.29),
    ("4140 and 4340", 280, 300, 2.38), ("4140 and 4340", 300, 320, 2.48), ("4140 and 4340", 320, 340, 2.62),
    ("4140 and 4340", 340, 360, 2.73), ("4130 and 8620", 280, 300, 2.18),
    ("resulfurized 1108 to 1132", 160, 180, 1.31), ("resulfurized 1137 to 1151", 200, 220, 1.5),
    ("resulfurized 1137 to 1151", 220, 240, 1.56), ("resulfurized 1137 to 1151", 240, 260, 1.69),
]  # fmt: skip


@pytest.mark.parametrize(("steel", "low", "high", "energy"), ALLOYED)
def test_the_energy_of_other_steels_holds_the_printed_constant(steel, low, high, energy):
    found = energy_estimate(steel.upper(), 0.5 * (low + high))
    assert found.low - 0.006 <= energy <= found.high + 0.006


@pytest.mark.parametrize("hardness", [79, 361, math.nan, math.inf, "200", None, True])
def test_no_energy_beyond_the_rows(hardness):
    with pytest.raises(DomainError, match="nothing is extrapolated; accepted: a number from 80 to 360"):
        energy_estimate("plain carbon", hardness)
    with pytest.raises(UnknownNameError, match="no rule of the specific energy is called 'plain carbn'"):
        energy_estimate("plain carbn", 200)


def row(low, high, hardness, substrate="HSS"):
    return SpeedWindow(
        low=low, high=high, unit="m/min", substrate=substrate, operation="face milling", hardness_low=hardness - 25,
        hardness_high=hardness + 25, hardness_unit="HB", **STATED,
    )  # fmt: skip


# medium-carbon steel, face milling, a_p 7.6 and 1.0 mm [m/min] by the middle of 50 HB (FMDB table 9-9, read)
HSS = {150: (35.1, 54.9), 200: (30.5, 48.8), 250: (24.4, 38.1), 300: (21.3, 33.5), 350: (15.2, 24.4), 400: (10.7, 21.3)}
COATED = {150: (166.1, 320.0), 200: (147.8, 256.0), 250: (128.0, 228.6), 300: (108.2, 213.4), 350: (93.0, 164.6)}


@pytest.mark.parametrize(("rows", "substrate"), [(HSS, "HSS"), (COATED, "coated carbide")])
def test_speeds_at_another_hardness_hold_the_printed_ones(rows, substrate):
    """From any row to any other the printed range lies inside the estimate."""
    for start, (low, high) in rows.items():
        for end, (slow, fast) in rows.items():
            found = speed_estimate(row(low, high, start, substrate), end)
            assert found.low <= slow, (start, end)
            assert found.high >= fast, (start, end)
            assert (found.hardness_low, found.hardness_high, found.scope) == (end, end, "class")
            assert found.fallback == f"stated for {start:g} HB (FMDB), estimated for {end:g} HB"


def test_the_estimate_widens_with_the_distance():
    same, near, far = (speed_estimate(row(30.0, 30.0, 200), hardness) for hardness in (200, 250, 400))
    assert (same.low, same.high) == (30, 30)
    assert near.high / near.low < far.high / far.low
    least, _, most = SPEED_EXPONENTS["HSS"]
    assert (far.low, far.high) == pytest.approx((0.689 * 30 * 0.5**most, 1.311 * 30 * 0.5**least), abs=0.06)


def test_no_speed_where_no_rule_or_row_reaches():
    with pytest.raises(UnknownNameError, match="no rule of speed over hardness for carbide; there are HSS, coated"):
        speed_estimate(row(30, 40, 200, "carbide"), 250)
    for hardness in (140, 430, 600):
        with pytest.raises(DomainError, match="a number from 150 to 425"):
            speed_estimate(row(30, 40, 200), hardness)
    bare = SpeedWindow(low=30, high=40, unit="m/min", substrate="HSS", operation="milling", **STATED)
    with pytest.raises(DomainError, match="it states no Brinell hardness"):
        speed_estimate(bare, 200)


@pytest.mark.parametrize("hardness", sorted(COATED))
def test_coated_carbide_from_high_speed_steel_holds_the_printed_speeds(hardness):
    found = substrate_speed_estimate(row(*HSS[hardness], hardness), hardness)
    assert found.low <= COATED[hardness][0] * 1.01
    assert found.high >= COATED[hardness][1] * 0.99
    assert found.substrate == "coated carbide"
    assert "times the speed of HSS (FMDB)" in found.fallback


def test_no_coated_carbide_from_elsewhere():
    with pytest.raises(UnknownNameError, match="no rule of speed from coated carbide"):
        substrate_speed_estimate(row(30, 40, 200, "coated carbide"), 200)
    with pytest.raises(DomainError, match="a number from 125 to 425"):
        substrate_speed_estimate(row(30, 40, 200), 450)


def test_an_estimate_goes_into_a_record_and_shows():
    work = material("42CrMo4")
    found = speed_estimate(work.speed_window("coated carbide"), 350)
    made = work.with_(cutting_speeds=found, hardness="350 HB").speed_window("coated carbide")
    assert "stated for 300 HB (FMDB), estimated for 350 HB" in made.fallback
    assert made.low < work.speed_window("coated carbide").low


def test_the_least_chip_is_a_share_of_the_edge_radius():
    assert (least_chip_estimate(8).low, least_chip_estimate(8).high) == pytest.approx((0.14 * 0.008, 0.43 * 0.008))
    hard = least_chip_estimate(np.float64(8), work_hardening=True)
    assert (hard.low, hard.high, hard.how_known) == (0.008, 0.008, "from memory")
    for key in ("c45", "x5crni18-10"):
        record = material(key)
        found = least_chip_estimate(10, work_hardening=record.iso513 == "M")
        assert 0.9 * found.low <= 0.01 * record.least_chip_ratio.middle <= 1.1 * found.high
    for bad in (0, -1, math.nan, "8", None, True):
        with pytest.raises(ArgumentError, match="is not a positive number"):
            least_chip_estimate(bad)


def hard(low, high, unit):
    return Value(low=low, high=high, unit=unit, source="PRACTICE", how_known="common practice", scope="class")


# the only pair that was read: 50 to 52 HRC are 477 to 514 HB (a reference page, HCONV)
def test_the_pair_that_was_read_lies_inside():
    found = converted_hardness(hard(50, 52, "HRC"), "HB")
    assert found.low < 477 < 514 < found.high
    assert 0.5 * (found.low + found.high) == pytest.approx(0.5 * (477 + 514), rel=0.025)


def test_the_table_is_smooth_and_rises():
    """A slip of memory would be a kink: HRC rises by less and less, to two roundings; HB is 0.95 HV."""
    even = [entry for entry in TABLE if entry[0] <= 640]
    bend = np.diff([entry[2] for entry in even], 2)
    assert -0.61 < bend.min() < bend.max() < 0.21
    assert np.all(np.diff([entry[2] for entry in TABLE]) > 0)
    for vickers, brinell, _ in even:
        assert brinell == pytest.approx(0.95 * vickers, abs=0.6)


@pytest.mark.parametrize(("start", "end"), [("HB", "HV"), ("HV", "HRC"), ("HB", "HRC")])
def test_there_and_back_holds_the_start(start, end):
    for value in (300, 333, 450, 520):
        back = converted_hardness(converted_hardness(hard(value, value, start), end), start)
        assert back.low < value < back.high


def test_the_end_of_the_table_is_the_end():
    for value, unit, wanted in (
        (610, "HB", "HRC"),
        (220, "HB", "HRC"),
        (69, "HRC", "HV"),
        (60, "HRC", "HB"),
        (70, "HB", "HV"),
    ):
        with pytest.raises(DomainError, match=f"the table from {unit} to {wanted} ends there"):
            converted_hardness(hard(value, value, unit), wanted)
        assert not convertible(hard(value, value, unit), wanted)
    with pytest.raises(UnknownNameError, match="there is no conversion for the scale 'HRB'"):
        converted_hardness(hard(80, 80, "HRB"), "HB")
    same = hard(200, 210, "HB")
    assert converted_hardness(same, "HB") is same


def test_a_conversion_says_what_it_is():
    found = converted_hardness(hard(54, 56, "HRC"), "HV")
    assert (found.source, found.how_known, found.scope, found.unit) == ("ISO18265", "from memory", "class", "HV")
    assert "converted from 54 to 56 HRC" in found.conditions
    assert found.low < 590 < found.high
