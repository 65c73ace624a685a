"""Property symbols of ISO 13399: the family they decide, what they refuse, and the way back.

The values expected follow from the geometry and from the meanings of the symbols, which are from memory.
"""

import re

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from millcalc.cutters import (
    BallEndMill,
    CornerRadiusEndMill,
    Cutter,
    FlatEndMill,
    Line,
    RoundInsertCutter,
    TaperedBallEndMill,
)
from millcalc.cutters.iso13399 import IGNORED_SYMBOLS, SOURCE, cutter_from_iso13399, iso13399_of
from millcalc.errors import ArgumentError, JobError
from millcalc.quantities.kinds import POSITIVE, Length
from millcalc.quantities.record import entry, record
from millcalc.sources import source

BODY = {
    "teeth": 3,
    "flute_length": "9 mm",
    "overhang": "30 mm",
    "shank_diameter": "6 mm",
    "helix": "-30 deg",
    "rated_spindle_speed": "30000 rpm",
}
BODY_SYMBOLS = {"ZEFP": 3, "APMX": 9.0, "LPR": 30.0, "DMM": 6.0, "FHA": -30.0, "RPMX": 30000.0}
EACH = [
    (FlatEndMill(diameter="10 mm", **BODY), {"DC": 10.0, "KAPR": 90.0}),
    (BallEndMill(diameter="10 mm", **BODY), {"DC": 10.0, "RE": 5.0}),
    (CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", **BODY), {"DC": 10.0, "RE": 1.0, "KAPR": 90.0}),
    (
        TaperedBallEndMill(tip_diameter="2 mm", half_angle="15 deg", diameter="4 mm", **BODY),
        {"DC": 2.0, "DCX": 4.0, "RE": 1.0, "KAPR": 75.0, "BHTA": 15.0},
    ),
    (RoundInsertCutter(diameter="50 mm", insert_diameter="12 mm", **BODY), {"DCX": 50.0, "IC": 12.0}),
]
LENGTHS = st.floats(0.1, 100.0)


def refusal(**symbols) -> dict[str, str]:
    """Return the faults of symbols that make no cutter, by symbol."""
    with pytest.raises(JobError, match="the symbols make no cutter") as error:
        cutter_from_iso13399({"ZEFP": 2} | symbols)
    return {fault.where: str(fault) for fault in error.value.faults}


@pytest.mark.parametrize(("cutter", "shape"), EACH, ids=lambda x: getattr(x, "family", ""))
def test_each_family_goes_to_symbols_and_back(cutter, shape):
    symbols = iso13399_of(cutter)
    assert symbols == shape | BODY_SYMBOLS
    assert isinstance(symbols["ZEFP"], int)
    assert cutter_from_iso13399(symbols) == cutter
    assert cutter_from_iso13399(symbols | {"family": cutter.family.upper().replace(" ", "_")}) == cutter


@given(tip=LENGTHS, angle=st.floats(0.01, 89.0), more=st.floats(1.001, 10.0), share=st.floats(0.01, 0.99))
def test_any_shape_reads_back_equal(tip, angle, more, share):
    wide, mm = f"{tip * more!r} mm", f"{tip!r} mm"
    part = f"{tip * share!r} mm"
    for cutter in (
        FlatEndMill(diameter=mm, teeth=2),
        BallEndMill(diameter=mm, teeth=2),
        CornerRadiusEndMill(diameter=mm, corner_radius=f"{0.5 * tip * share!r} mm", teeth=2),
        TaperedBallEndMill(tip_diameter=mm, half_angle=f"{angle!r} deg", diameter=wide, teeth=2),
        RoundInsertCutter(diameter=mm, insert_diameter=part, teeth=2),
    ):
        assert cutter_from_iso13399(iso13399_of(cutter)) == cutter


@pytest.mark.parametrize(
    ("symbols", "made"),
    [
        ({"DC": 6, "RE": 3}, BallEndMill(diameter="6 mm", teeth=2)),
        ({"DCX": 6, "RE": 3, "KAPR": 90, "BHTA": 0}, BallEndMill(diameter="6 mm", teeth=2)),
        ({"DC": 6, "RE": 0}, FlatEndMill(diameter="6 mm", teeth=2)),
        ({"DC": 6, "KAPR": 90}, FlatEndMill(diameter="6 mm", teeth=2)),
        ({"DC": 6, "DCX": 6, "RE": 0.5}, CornerRadiusEndMill(diameter="6 mm", corner_radius="0.5 mm", teeth=2)),
        (
            {"RE": 1, "DC": 2, "KAPR": 85, "DCX": 6},
            TaperedBallEndMill(tip_diameter="2 mm", half_angle="5 deg", diameter="6 mm", teeth=2),
        ),
        (
            {"DC": 38, "DCX": 50, "IC": 12, "RE": 6},
            RoundInsertCutter(diameter="50 mm", insert_diameter="12 mm", teeth=2),
        ),
        ({"family": "ball", "DC": 6}, BallEndMill(diameter="6 mm", teeth=2)),
        ({"family": "ball", "RE": 3}, BallEndMill(diameter="6 mm", teeth=2)),
        (
            {"family": "corner radius", "DC": 6, "RE": 3},
            CornerRadiusEndMill(diameter="6 mm", corner_radius="3 mm", teeth=2),
        ),
        (
            {"family": "tapered ball", "RE": 1, "BHTA": 5, "DCX": 6},
            TaperedBallEndMill(tip_diameter="2 mm", half_angle="5 deg", diameter="6 mm", teeth=2),
        ),
        ({"family": "Flat", "DC": 6}, FlatEndMill(diameter="6 mm", teeth=2)),
    ],
)
def test_symbols_decide_the_family(symbols, made):
    assert cutter_from_iso13399({"ZEFP": 2} | symbols) == made


def test_values_are_numbers_in_the_standards_units_quantities_or_text():
    ureg = pint.get_application_registry()
    body = {"ZEFP": 2, "RPMX": 40000, "FHA": "0.5 rad"}
    plain = cutter_from_iso13399({"DC": 6.35, "RE": np.float64(3.175), "LPR": np.int64(20)} | body)
    units = cutter_from_iso13399({"DC": "1/4 in", "RE": 0.3175 * ureg.cm, "LPR": "20 mm"} | body)
    assert plain == units
    assert plain.rated_spindle_speed == ureg.Quantity(40000, "rpm")


def test_harmless_symbols_are_passed_over():
    assert cutter_from_iso13399({"DC": 6, "RE": 3, "ZEFP": 2} | dict.fromkeys(IGNORED_SYMBOLS, 57)) == BallEndMill(
        diameter="6 mm", teeth=2
    )


def test_unknown_symbols_and_bad_values_are_listed_together():
    faults = refusal(DC="6", RE=-1, DX=3, family="bal", KAPR=True)
    assert set(faults) == {"DC", "RE", "DX", "family", "KAPR"}
    assert "nearest: DC" in faults["DX"]
    assert "nearest: ball" in faults["family"]
    assert "needs a unit" in faults["DC"]


@pytest.mark.parametrize(
    ("symbols", "where", "text"),
    [
        ({"DC": 10}, "RE", "nothing says what the corner is like; accepted: RE"),
        ({"DC": 10, "KAPR": 45}, "KAPR", "chamfer or taper cutter, is none of the families here"),
        ({"DC": 10, "RE": 0, "BHTA": 5}, "BHTA", "given 5 deg; a straight edge at a slant with a sharp corner"),
        ({"DC": 10, "DCX": 22}, "DCX", "a straight edge at a slant with a sharp corner"),
        ({"DC": 10, "RE": 6}, "RE", "given 6 mm; it is above 5 mm, so the corners overlap"),
        ({"RE": 3}, "DC", "it is missing; accepted: cutting diameter"),
        ({"DC": 2, "DCX": 6, "RE": 1}, "KAPR", "it is missing"),
        ({"DC": 2, "KAPR": 85, "RE": 1}, "DCX", "it is missing; accepted: cutting diameter maximum"),
        ({"DC": 38, "IC": 12}, "DCX", "it is missing"),
        ({"DC": 50, "DCX": 50, "IC": 12}, "DC", "given 50 mm; the round insert cutter .* has 38 mm"),
        ({"DCX": 50, "IC": 12, "RE": 0.8}, "RE", "given 0.8 mm; the round insert cutter .* has 6 mm"),
        ({"DCX": 50, "IC": 12, "KAPR": 45}, "KAPR", "given 45 deg; the round insert cutter .* has none"),
        ({"DC": 3, "DCX": 6, "RE": 1, "KAPR": 85}, "DC", "given 3 mm; the tapered ball cutter .* has 2 mm"),
        ({"RE": 0.8, "DCX": 63, "KAPR": 45}, "DC", "nothing says whether RE rounds the whole tip"),
        ({"RE": 0.8, "DC": 50, "DCX": 63, "KAPR": 45}, "DC", "given 50 mm; the tapered ball cutter .* has 1.6 mm"),
        ({"RE": 1, "DC": 2, "DCX": 6, "KAPR": 90, "BHTA": 5}, "KAPR", "given 90 deg; .* has 85 deg"),
        ({"DC": 10, "DCX": 8, "RE": 5}, "DCX", "given 8 mm; the ball cutter .* has 10 mm"),
        ({"family": "ball", "DC": 10, "RE": 2}, "RE", "given 2 mm; the ball cutter .* has 5 mm"),
        ({"family": "flat", "DC": 10, "KAPR": 45}, "KAPR", "given 45 deg; the flat cutter .* has 90 deg"),
        ({"family": "flat", "DC": 10, "IC": 12}, "IC", "given 12 mm; the flat cutter .* has none"),
        ({"family": "corner radius", "DC": 10}, "RE", "it is missing"),
        ({"DC": 10, "RE": 5, "APMX": 3}, "APMX", "the profile of the cutting part reaches up to 5 mm"),
        ({"DC": 10, "RE": 5, "APMX": 30, "LPR": 20}, "APMX", "longer than the overhang"),
        ({"DC": 10, "RE": 5, "ZEFP": None}, "ZEFP", "it is missing"),
        ({"DC": 10, "RE": 5, "ZEFP": 2.5}, "ZEFP", "it is not a whole number"),
    ],
)
def test_what_determines_no_cutter_or_contradicts_itself_is_refused(symbols, where, text):
    faults = refusal(**symbols)
    assert set(faults) == {where}
    assert re.search(text, faults[where])


def test_what_is_no_table_is_refused():
    with pytest.raises(JobError, match="a table of symbols and values"):
        cutter_from_iso13399([("DC", 6)])


def test_a_family_without_symbols_is_refused_both_ways():
    @record
    class Cone(Cutter):
        family = "cone"
        diameter: Length = entry(domain=POSITIVE)

        def pieces(self):
            return [Line((0.0, 0.0), (self._diameter, 0.5 * self._diameter))]

    with pytest.raises(ArgumentError, match="Cone; no symbols are known for its shape; accepted: 'flat' or 'ball'"):
        iso13399_of(Cone(diameter="6 mm", teeth=2))
    assert "no symbols are known for such a family" in refusal(family="cone", DC=6)["family"]


def test_the_symbols_say_how_they_are_known():
    assert source(SOURCE).how_known == "from memory"
