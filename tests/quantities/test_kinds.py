"""Kinds: the trade units, the spellings each accepts, and that a kind is more than a dimension."""

from __future__ import annotations

import itertools
import math

import pytest
from foreign import REGISTRY

from millcalc.quantities import kinds
from millcalc.quantities.convert import Parameter, RefusedError, read_value
from millcalc.quantities.kinds import KINDS, Interval, Kind, kind_of
from millcalc.quantities.registries import registry_of

# kinds that share a signature because nothing in the unit tells them apart
ALIKE = [
    {
        "length",
        "radius",
        "feed per tooth",
        "chip thickness",
        "scallop height",
        "roughness",
        "deflection",
        "chord error",
    },
    {"cutting speed", "feed rate"},
    {"time", "block time"},
    {"block rate", "frequency", "cost rate"},
    {"stress", "modulus of elasticity", "specific energy"},
    {"edge force", "stiffness"},
    {"spindle speed", "rotary rate"},
]
# a rate per time without an angle is a spindle speed, as every machine plate writes it; not the other way
ONE_WAY = {(name, "spindle speed") for name in ("block rate", "frequency", "cost rate")}


def read(text: object, kind: Kind) -> float:
    return read_value(text, Parameter("value", kind, kinds.ANY))


# the trade unit of each kind: DESIGN.md section 3 (common practice)
TRADE_UNITS = {
    "length": "mm",
    "angle": "deg",
    "cutting speed": "m/min",
    "spindle speed": "rev/min",
    "feed rate": "mm/min",
    "feed per tooth": "mm",
    "feed per revolution": "mm/rev",
    "chip thickness": "mm",
    "removal rate": "cm^3/min",
    "force": "N",
    "torque": "N m",
    "power": "kW",
    "stress": "N/mm^2",
    "roughness": "um",
    "deflection": "um",
    "scallop height": "um",
    "time": "min",
    "density": "g/cm^3",
    "stiffness": "N/um",
    "frequency": "Hz",
}


@pytest.mark.parametrize(("name", "label"), TRADE_UNITS.items())
def test_trade_units(name, label):
    assert KINDS[name].label == label
    assert read(f"3 {label}", KINDS[name]) == 3.0


@pytest.mark.parametrize("kind", [k for k in KINDS.values() if not k.bare], ids=lambda k: k.name)
def test_each_kind_reads_what_it_says_it_accepts(kind):
    for spelling in (*kind.accepted, kind.label, kind.inch_label or kind.label):
        assert 0 < read(f"2 {spelling}", kind) < math.inf
    example = read(kind.example.strip('"'), kind)
    assert example in kind.domain
    assert kind.plausible.low <= example <= kind.plausible.high


@pytest.mark.parametrize("kind", [k for k in KINDS.values() if k.bare], ids=lambda k: k.name)
def test_the_example_of_a_kind_without_unit_is_accepted(kind):
    assert kind.accepted_text()
    given = {"True": True}.get(kind.example, kind.example.strip('"'))
    assert read(given, kind) in (True, 4.0, 0.5, "left", 7.0, 2.5, 220.0, "climb")


def test_every_kind_is_listed_once_and_machine_readable():
    names = [k.name for k in vars(kinds).values() if isinstance(k, Kind)]
    assert sorted(names) == sorted(KINDS)
    assert len(set(names)) == len(names)
    for kind in KINDS.values():
        assert kind.symbol or kind.bare, kind
        assert isinstance(kind.plausible, Interval)
        assert bool(kind.inch_unit) == bool(kind.inch_label), kind


SPINDLE_SPEEDS = [
    "8000 rpm",
    "8000 RPM",
    "8000 rev/min",
    "8000 r/min",
    "8000/min",
    "8000 1/min",
    "8000 min^-1",
]


@pytest.mark.parametrize("text", SPINDLE_SPEEDS)
def test_spellings_of_one_spindle_speed_in_words(text):
    assert read(text, kinds.SPINDLE_SPEED) == 8000.0


@pytest.mark.parametrize(
    ("magnitude", "unit"),
    # the same speed (derived: 60 s a minute, 2 pi rad a revolution)
    [
        (8000.0, "rpm"),
        (8000.0, "revolution/minute"),
        (8000.0, "turn/minute"),
        (8000.0, "1/minute"),
        (8000.0 / 60.0, "hertz"),
        (8000.0 * 2 * math.pi / 60.0, "radian/second"),
        (8.0, "kilorevolution/minute"),
    ],
)
def test_spellings_of_one_spindle_speed_as_quantities(magnitude, unit):
    assert read(REGISTRY.Quantity(magnitude, unit), kinds.SPINDLE_SPEED) == pytest.approx(8000.0, rel=1e-14)


def test_the_spellings_of_the_machine_plate_as_text():
    # the rounded figures are those of the trade's usual examples (derived: 8000/60 and 8000 * 2 pi/60)
    assert read("133.33 Hz", kinds.SPINDLE_SPEED) == pytest.approx(7999.8, rel=1e-14)
    assert read("837.76 rad/s", kinds.SPINDLE_SPEED) == pytest.approx(837.76 * 30 / math.pi, rel=1e-14)


@pytest.mark.parametrize("text", ["0.1 mm", "0.1 mm/tooth", "0.1 mm/teeth", "100 um", "100 um/tooth"])
def test_feed_per_tooth_spellings(text):
    assert read(text, kinds.FEED_PER_TOOTH) == pytest.approx(0.1, rel=1e-15)


@pytest.mark.parametrize("text", ["0.004 in", "0.004 in/tooth", "0.004 ipt", "4 thou"])
def test_feed_per_tooth_in_inches(text):
    assert read(text, kinds.FEED_PER_TOOTH) == pytest.approx(0.1016, rel=1e-14)  # 25.4 mm an inch, by definition


def test_a_feed_per_revolution_is_no_feed_per_tooth_and_no_length():
    for kind in (kinds.FEED_PER_TOOTH, kinds.LENGTH, kinds.CHIP_THICKNESS):
        with pytest.raises(RefusedError) as refused:
            read("0.1 mm/rev", kind)
        assert "feed per revolution" in refused.value.fault.reason
    with pytest.raises(RefusedError):
        read("0.1 mm/tooth", kinds.FEED_PER_REVOLUTION)
    with pytest.raises(RefusedError):
        read("0.1 mm", kinds.FEED_PER_REVOLUTION)
    assert read("0.004 ipr", kinds.FEED_PER_REVOLUTION) == pytest.approx(0.1016, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    # exact by definition of foot, inch, pound and horsepower (derived)
    [
        ("1 in", kinds.LENGTH, 25.4),
        ("1 thou", kinds.LENGTH, 0.0254),
        ("500 sfm", kinds.CUTTING_SPEED, 152.4),
        ("500 ft/min", kinds.CUTTING_SPEED, 152.4),
        ("10 ipm", kinds.FEED_RATE, 254.0),
        ("32 uin", kinds.ROUGHNESS, 0.8128),
        ("1 HP", kinds.POWER, 0.74569987158227022),
        ("1 hp", kinds.POWER, 0.74569987158227022),
        ("10 ft-lbf", kinds.TORQUE, 13.558179483314004),
        ("1 in^3/min", kinds.REMOVAL_RATE, 16.387064),
        ("1 psi", kinds.STRESS, 4.4482216152605 / 645.16),
        ("10 deg", kinds.ANGLE, 10.0),
        ("10°", kinds.ANGLE, 10.0),
    ],
)
def test_inch_and_trade_words(text, kind, expected):
    assert read(text, kind) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize(("given", "kind"), list(itertools.permutations([k for k in KINDS.values() if not k.bare], 2)))
def test_a_kind_takes_no_other_kind(given, kind):
    same = any({given.name, kind.name} <= group for group in ALIKE) or (given.name, kind.name) in ONE_WAY
    registry = registry_of(REGISTRY)
    factor = registry.factor(kind, REGISTRY.parse_units(given.unit)._units)
    assert (factor is not None) == same


def test_intervals():
    unit = Interval(0.0, 1.0, low_open=True)
    assert 0.0 not in unit
    assert 5e-324 in unit
    assert 1.0 in unit
    assert math.nan not in unit
    assert unit.text("mm") == "above 0 up to 1 mm"
    assert Interval().text("mm") == "any number"
    assert math.inf in Interval(0.0)
    assert math.inf not in kinds.NOT_NEGATIVE
    assert kinds.NOT_NEGATIVE.text("mm") == "from 0 mm, finite"


def test_kind_of():
    assert kind_of(kinds.Length) is kinds.LENGTH
    assert kind_of(float) is None
