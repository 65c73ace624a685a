"""The loaded numbers against figures that sources print, and against what a machinist would believe."""

import pytest

from millcalc.errors import UnknownNameError
from millcalc.materials import Kienzle, Material, material, materials
from millcalc.sources import HOW_KNOWN, bibliography

ALL = materials()
METALS = [key for key in ALL if material(key).iso513 != "none"]
NO_CARBIDE = "c95400"  # nothing was found for carbide in aluminium bronze


def runs(m: Material, substrate: str) -> bool:
    """Whether the record has a speed for a tool material."""
    try:
        return bool(m.speed_window(substrate))
    except UnknownNameError:
        return False


def rows_of(m: Material):
    lists = (m.aliases, m.hardness, m.density, m.conductivity, m.kienzle, m.specific_energy, m.cutting_speeds)
    for rows in (*lists, m.feed_charts, m.taylor, m.cautions, (m.least_chip_ratio, m.tip_caution)):
        yield from rows


def kc(row: Kienzle, chip: float) -> float:
    return row.kc11 * chip**-row.mc


# key, kc1.1, mc, source, how known
KIENZLE = [
    ("s235jr", 1780, 0.17, "KWIKI", "read"),
    ("c45", 2220, 0.14, "MEM_KIENZLE", "from memory"),
    ("42crmo4", 2500, 0.26, "KWIKI", "read"),
    ("x5crni18-10", 2350, 0.21, "MEM_KIENZLE", "from memory"),
    ("en-gjl-250", 1160, 0.26, "MEM_KIENZLE", "from memory"),
    ("en-aw-7075-t6", 830, 0.23, "MEM_KIENZLE", "from memory"),
    ("cuzn39pb3", 780, 0.18, "KWIKI", "read"),
    ("ti-6al-4v", 1370, 0.21, "MEM_KIENZLE", "from memory"),
    ("alloy-718", 2088, 0.29, "MEM_KIENZLE", "from memory"),
]


@pytest.mark.parametrize(("key", "kc11", "mc", "source", "how_known"), KIENZLE)
def test_kienzle_constants_are_those_of_the_source(key, kc11, mc, source, how_known):
    row = material(key).force_constants()
    assert (row.kc11, row.mc, row.source, row.how_known) == (kc11, mc, source, how_known)


# printed kc [N/mm^2] at h = 0.1 and 0.63 mm, source KWIKI, printed to 10 N/mm^2
@pytest.mark.parametrize(("key", "thin", "thick"), [("s235jr", 2630, 1930), ("cuzn39pb3", 1180, 850)])
def test_kienzle_constants_give_the_printed_specific_force(key, thin, thick):
    row = material(key).force_constants()
    assert (row.chip_low, row.chip_high) == (0.1, 0.63)
    assert kc(row, row.chip_low) == pytest.approx(thin, abs=5)
    assert kc(row, row.chip_high) == pytest.approx(thick, abs=5)


def test_remembered_aluminium_force_lies_within_the_milling_coefficients_read():
    """Ktc + Kte/h of 7075 in four studies (table 5, doi 10.1186/s10033-021-00536-9)."""
    force = kc(material("7075").force_constants(), 0.1)
    assert 600.46 + 17.9 / 0.1 < force < 1319.41 + 19.65 / 0.1


# key, list, index, low, high, unit, source, how known
VALUES = [
    ("s235jr", "specific_energy", 0, 1.72, 1.88, "W s/mm^3", "MHB31", "read"),
    ("s235jr", "specific_energy", 1, 2.7, 2.7, "W s/mm^3", "CARV192", "read"),
    ("s235jr", "hardness", 0, 116, 149, "HB", "HCONV", "derived"),
    ("c45", "hardness", 0, 163, 163, "HB", "J1397R", "read"),
    ("42crmo4", "density", 0, 7.85, 7.85, "g/cm^3", "CALL", "read"),
    ("42crmo4", "specific_energy", 0, 2.38, 2.38, "W s/mm^3", "MHB31", "read"),
    ("40crmnmo7", "hardness", 0, 300, 300, "HB", "P20SHEET", "read"),
    ("40crmnmo7", "specific_energy", 2, 7.0, 7.0, "W s/mm^3", "CARV192", "read"),
    ("x5crni18-10", "density", 0, 8.0, 8.0, "g/cm^3", "CALL", "read"),
    ("x5crni18-10", "conductivity", 0, 16.2, 16.2, "W/(m K)", "ASM304", "read"),
    ("x2crnimo17-12-2", "conductivity", 0, 15.9, 15.9, "W/(m K)", "CALL8", "read"),
    ("x2crnimo17-12-2", "hardness", 1, 217, 217, "HB", "TN3", "read"),
    ("en-gjl-250", "specific_energy", 0, 1.9, 1.9, "W s/mm^3", "CARV192", "read"),
    ("en-gjl-250", "hardness", 0, 190, 230, "HB", "EN1561R", "read"),
    ("en-aw-7075-t6", "specific_energy", 0, 0.9, 0.9, "W s/mm^3", "CARV192", "read"),
    ("en-aw-7075-t6", "density", 0, 2.8, 2.8, "g/cm^3", "CALL", "read"),
    ("en-aw-6061-t6", "hardness", 0, 95, 95, "HB", "ADM", "read"),
    ("cuzn39pb3", "specific_energy", 0, 1.6, 1.6, "W s/mm^3", "CARV192", "read"),
    ("cuzn39pb3", "hardness", 0, 60, 70, "HRB", "CDA360", "read"),
    ("ti-6al-4v", "density", 0, 4.42, 4.42, "g/cm^3", "ISAK09", "read"),
    ("ti-6al-4v", "conductivity", 0, 6.6, 6.6, "W/(m K)", "ISAK09", "read"),
    ("ti-6al-4v", "specific_energy", 0, 3.0, 4.1, "W s/mm^3", "MEM_KALP212", "from memory"),
    ("alloy-718", "specific_energy", 0, 4.9, 6.8, "W s/mm^3", "MEM_KALP212", "from memory"),
    ("alloy-718", "hardness", 0, 36, 44, "HRC", "MEM_MIL5", "from memory"),
    ("x40crmov5-1-55hrc", "hardness", 0, 55, 55, "HRC", "ELB97", "read"),
]


@pytest.mark.parametrize(("key", "rows", "index", "low", "high", "unit", "source", "how_known"), VALUES)
def test_values_are_those_of_the_source(key, rows, index, low, high, unit, source, how_known):
    row = getattr(material(key), rows)[index]
    assert (row.low, row.high, row.unit, row.source, row.how_known) == (low, high, unit, source, how_known)


@pytest.mark.parametrize("key", ALL)
def test_metal_cutting_constants_convert_back_to_the_printed_removal_rate(key):
    """MCTI prints K in in^3/min per hp; u = 2.7304/K W s/mm^3."""
    for row in material(key).specific_energy:
        if row.source == "MCTI":
            printed = float(row.conditions.removeprefix("printed as ").split()[0])
            assert row.low == pytest.approx(2.7304 / printed, abs=0.006)


# key, substrate, low, high [m/min], source: the window that finishing uses
SPEEDS = [
    ("s235jr", "coated carbide", 172.2, 327.7, "FMDB"),
    ("s235jr", "carbide", 100, 200, "CARV187"),
    ("s235jr", "HSS", 28, 28, "CARV187"),
    ("c45", "coated carbide", 147.8, 256.0, "FMDB"),
    ("c45", "carbide", 75, 150, "CARV187"),
    ("c45", "HSS", 25.9, 25.9, "VM68"),
    ("42crmo4", "coated carbide", 114.3, 221.0, "FMDB"),
    ("42crmo4", "carbide", 90, 170, "MEM_KALP242"),
    ("42crmo4", "HSS", 10, 10, "CARV187"),
    ("40crmnmo7", "coated carbide", 120, 200, "MEM_MDH"),
    ("40crmnmo7", "HSS", 12.2, 21.3, "SHOP"),
    ("x5crni18-10", "carbide", 100, 125, "CARV187"),
    ("x5crni18-10", "HSS", 9, 20, "TUT615"),
    ("x2crnimo17-12-2", "carbide", 100, 125, "CARV187"),
    ("en-gjl-250", "carbide", 110, 150, "CARV187"),
    ("en-gjl-250", "HSS", 20, 20, "CARV187"),
    ("en-aw-7075-t6", "carbide", 600, 600, "CARV187"),
    ("en-aw-6061-t6", "HSS", 100, 100, "CARV187"),
    ("cuzn39pb3", "carbide", 300, 760, "MEM_KALP242"),
    ("cuzn39pb3", "HSS", 60, 150, "TUT615"),
    ("ti-6al-4v", "coated carbide", 60, 100, "PRACTICE"),
    ("ti-6al-4v", "carbide", 50, 60, "MEM_KALP242"),
    ("ti-6al-4v", "HSS", 12.2, 18.3, "SHOP"),
    ("alloy-718", "coated carbide", 90, 90, "SHAR01"),
    ("alloy-718", "carbide", 20, 40, "PRACTICE"),
    ("x40crmov5-1-55hrc", "coated carbide", 60, 130, "MEM_MDH"),
]


@pytest.mark.parametrize(("key", "substrate", "low", "high", "source"), SPEEDS)
def test_speed_used_in_finishing(key, substrate, low, high, source):
    row = material(key).speed_window(substrate)
    assert (row.low, row.high, row.unit, row.source) == (low, high, "m/min", source)


# key, substrate, n, C [m/min], source
TAYLOR = [
    ("c45", "cermet", 0.292, 621, "AIST"),
    ("x5crni18-10", "carbide", 0.448, 606, "AIST"),
    ("en-gjl-250", "coated carbide", 0.441, 705, "AIST"),
    ("ti-6al-4v", "coated carbide", 0.25, None, "TATAR20"),
]


@pytest.mark.parametrize(("key", "substrate", "n", "c", "source"), TAYLOR)
def test_tool_life_constants_are_fits_and_say_so(key, substrate, n, c, source):
    row = material(key).taylor[0]
    assert (row.substrate, row.n, row.c, row.source, row.how_known) == (substrate, n, c, source, "derived")


# finishing feed at D 6 mm with solid carbide [mm], after the rule of 0.004 to 0.012 D
FEEDS = {
    "P": (0.03, 0.06),
    "M": (0.024, 0.048),
    "K": (0.03, 0.06),
    "N": (0.036, 0.072),
    "H": (0.024, 0.042),
    # unlike the rest of their groups
    "ti-6al-4v": (0.024, 0.048),
    "alloy-718": (0.024, 0.042),
    **dict.fromkeys(("cw004a", "cw101c", "c95400"), (0.03, 0.06)),
    "en-gjn-hb555": (0.018, 0.03),
}


@pytest.mark.parametrize("key", METALS)
def test_finishing_feed_of_a_six_millimetre_ball(key):
    m = material(key)
    row = m.feed_chart(6.0, "coated carbide")
    due = FEEDS.get(key) or FEEDS[m.iso513]
    assert (row.low, row.high) == pytest.approx(due)
    assert (row.unit, row.operation, row.radial_share) == ("mm", "finishing", 0.05)
    assert row.how_known != "read"


@pytest.mark.parametrize("key", ALL)
def test_every_row_names_a_source_of_the_bibliography_and_how_it_is_known(key):
    for row in rows_of(material(key)):
        known = bibliography()[row.source]
        assert row.how_known in HOW_KNOWN
        assert not (row.how_known == "read" and known.how_known != "read"), row
        assert not (row.source.startswith("MEM_") and known.how_known != "from memory")


# group: density [g/cm^3], kc1.1 [N/mm^2], finishing speed of carbide [m/min]
BELIEVABLE = {
    "P": ((7.7, 8.2), (1500, 2600), (30, 370)),
    "M": ((7.7, 8.1), (1800, 2600), (50, 200)),
    "K": ((7.0, 7.4), (900, 1600), (80, 250)),
    "N": ((2.6, 8.9), (500, 1000), (200, 1000)),
    "S": ((4.3, 8.9), (1200, 3000), (20, 120)),
    "H": ((7.6, 7.9), (3000, 5000), (40, 180)),
    # unlike the rest of their groups
    "az31b": ((1.7, 1.9), (200, 400), (150, 220)),
    "en-mc21120": ((1.7, 1.9), (200, 400), (150, 220)),
    "zp0400": ((6.4, 6.8), (500, 1000), (150, 300)),
    "cw101c": ((8.2, 8.4), (1000, 3000), (80, 200)),
    "en-gjn-hb555": ((7.6, 7.8), (3000, 5000), (10, 30)),
}


@pytest.mark.parametrize("key", METALS)
def test_a_machinist_would_believe_it(key):
    m = material(key)
    density, force, speed = BELIEVABLE.get(key) or BELIEVABLE[m.iso513]
    assert density[0] <= m.density[0].low <= m.density[0].high <= density[1]
    assert all(force[0] <= row.kc11 <= force[1] for row in m.kienzle)
    for substrate in ("carbide", "coated carbide"):
        assert runs(m, substrate) is (key != NO_CARBIDE)
        if key != NO_CARBIDE:
            row = m.speed_window(substrate)
            assert speed[0] <= row.low <= row.high <= speed[1]
            assert row.stage not in ("test range", "whole range", "upper limit")
        for diameter in (1.0, 3.0, 6.0, 12.0, 20.0):
            feed = m.feed_chart(diameter, substrate)
            assert 0.003 * diameter <= feed.low < feed.high <= 0.0121 * diameter


@pytest.mark.parametrize("key", [k for k in METALS if runs(material(k), "HSS") and k != NO_CARBIDE])
def test_high_speed_steel_runs_slower_than_carbide(key):
    m = material(key)
    for substrate in ("carbide", "coated carbide"):
        assert m.speed_window("HSS").high <= m.speed_window(substrate).low


@pytest.mark.parametrize("key", [k for k in METALS if material(k).kienzle and material(k).specific_energy])
def test_force_and_energy_agree_within_the_scatter_of_the_sources(key):
    """Specific force at h 0.2 mm against specific energy (1 W s/mm^3 = 1000 N/mm^2): within a factor 2.5."""
    m = material(key)
    energy = 1000 * m.specific_energy[0].middle
    assert energy / 2.5 < kc(m.force_constants(), 0.2) < energy * 2.5


NOT_HARDENING = ("x20cr13", "x6cr17", "x105crmo17", "x12crs13")  # chromium steels without nickel
HARMED_BY_THE_TIP = ("az31b", "en-mc21120", "cfrp", "gfrp")  # what is rubbed burns, or comes apart


@pytest.mark.parametrize("key", ALL)
def test_least_chip_and_tip_caution_follow_the_group(key):
    m = material(key)
    hardens = m.iso513 in ("M", "S") and key not in NOT_HARDENING
    assert (m.least_chip_ratio.low, m.least_chip_ratio.unit) == (1.0 if hardens else 0.4, "1")
    assert m.least_chip_ratio.how_known == ("from memory" if hardens else "common practice")
    forgives = m.iso513 in ("N", "none") and key not in HARMED_BY_THE_TIP
    assert m.tip_caution.severity == ("note" if forgives else "caution")


# key, word that a caution of severity "caution" must carry, source
HAZARDS = [
    ("ti-6al-4v", "class D", "ITA"),
    ("ti-6al-4v", "fire", "ITA"),
    ("alloy-718", "cobalt", "MEM_NFPA"),
    ("x5crni18-10", "nickel", "MEM_NFPA"),
    ("x2crnimo17-12-2", "chromium", "MEM_NFPA"),
    ("en-gjl-250", "dust", "PRACTICE"),
    ("en-aw-7075-t6", "explode", "DSS"),
    ("cuzn39pb3", "lead", "PRACTICE"),
    ("x40crmov5-1-55hrc", "guard", "PRACTICE"),
]


@pytest.mark.parametrize(("key", "word", "source"), HAZARDS)
def test_work_that_can_hurt_carries_its_caution(key, word, source):
    texts = [c.text for c in material(key).cautions if c.severity == "caution" and c.source == source]
    assert any(word in text for text in texts)


@pytest.mark.parametrize("key", ALL)
def test_every_caution_of_health_or_fire_defers_to_local_codes_somewhere(key):
    assert any("local" in c.text for c in material(key).cautions)
