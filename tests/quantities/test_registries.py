"""Registries: any is accepted, none is changed, and the application registry is the one set now."""

from __future__ import annotations

import gc
import subprocess
import sys
import tempfile
import weakref
from decimal import Decimal

import numpy as np
import pint
import pytest

from millcalc.errors import UnitError
from millcalc.formulas.ball import ball_effective_diameter
from millcalc.formulas.speeds import cutting_speed, feed_rate
from millcalc.quantities import convert, registries
from millcalc.quantities.kinds import KINDS
from millcalc.quantities.registries import define_trade_words, registry_of

KEPT = tempfile.TemporaryDirectory()


def plain_registry():
    """Return a new registry; pint reads its list of units once and keeps what it read."""
    return pint.UnitRegistry(cache_folder=KEPT.name)


@pytest.fixture
def own():
    """A registry that is not the application's."""
    return plain_registry()


@pytest.fixture
def application():
    """A new application registry, set for one test."""
    before = pint.application_registry.get()
    new = plain_registry()
    pint.set_application_registry(new)
    yield new
    pint.set_application_registry(before)


def test_results_are_in_the_registry_of_the_first_quantity(own):
    other = plain_registry()
    result = cutting_speed("10 mm", own.Quantity(8000, "rpm"))
    assert result._REGISTRY is own
    assert type(result) is type(own.Quantity(1, "mm"))
    result = cutting_speed(other.Quantity(10, "mm"), own.Quantity(8000, "rpm"))
    assert result._REGISTRY is other
    assert (result + other.Quantity(1, "foot/minute")).magnitude == pytest.approx(251.6322, abs=1e-4)
    array = cutting_speed(own.Quantity([10.0, 20.0], "mm"), other.Quantity(8000, "rpm"))
    assert array._REGISTRY is own
    listed = cutting_speed([own.Quantity(10.0, "mm"), "20 mm"], "8000 rpm")
    assert listed._REGISTRY is own


def test_results_are_in_pints_own_units(own):
    result = cutting_speed(own.Quantity(10, "mm"), "8000 rpm")
    assert str(result.units) == "meter / minute"
    slow = own.Quantity(result.magnitude, "meter/minute")
    assert result == slow
    assert hash(result) == hash(slow)
    assert vars(result) == vars(slow)


def test_string_calls_are_in_the_application_registry_of_now(application):
    assert cutting_speed("10 mm", "8000 rpm")._REGISTRY is application
    later = plain_registry()
    pint.set_application_registry(later)
    assert cutting_speed("10 mm", "8000 rpm")._REGISTRY is later


def test_a_later_application_registry_meets_no_stale_factors(application):
    """The same unit name of another size: what was remembered for one registry is not used for the other."""
    application.define("cubit = 450 millimeter")
    assert cutting_speed("1 cubit", "100 rpm").magnitude == pytest.approx(0.45 * np.pi * 100)
    later = plain_registry()
    later.define("cubit = 500 millimeter")
    pint.set_application_registry(later)
    assert cutting_speed("1 cubit", "100 rpm").magnitude == pytest.approx(0.5 * np.pi * 100)
    assert cutting_speed(application.Quantity(1, "cubit"), "100 rpm").magnitude == pytest.approx(45 * np.pi)
    assert cutting_speed(later.Quantity(1, "cubit"), "100 rpm").magnitude == pytest.approx(50 * np.pi)


def test_units_shared_by_two_registries_are_looked_up_in_the_right_one():
    """The quick way goes by the identity of units; one object may serve two registries."""
    first, second = plain_registry(), plain_registry()
    first.define("cubit = 450 millimeter")
    second.define("cubit = 500 millimeter")
    units = first.parse_units("cubit")._units
    for _ in range(3):
        for registry, size in ((first, 0.45), (second, 0.5)):
            result = cutting_speed(registry.Quantity(1.0, units), registry.Quantity(100.0, "rpm"))
            assert result.magnitude == pytest.approx(size * np.pi * 100)


def test_a_unit_defined_later_is_found(application):
    with pytest.raises(UnitError, match="not known"):
        cutting_speed("1 cubit", "100 rpm")
    application.define("cubit = 450 millimeter")
    assert cutting_speed("1 cubit", "100 rpm").magnitude == pytest.approx(45 * np.pi)


def contents(registry):
    """Everything a user could have defined on a registry."""
    names = ("_units", "_suffixes", "_prefixes", "_dimensions", "_contexts", "_groups", "_systems")
    return {name: dict(getattr(registry, name)) for name in names}


def test_nothing_is_defined_on_any_registry(application, own):
    application.define("tooth = 3 meter")  # a user's own word keeps its meaning
    before = {registry: contents(registry) for registry in (own, application)}
    for text in ("8000 rpm", "8000 rev/min", "133 Hz"):
        cutting_speed(own.Quantity(0.5, "inch"), text)
        cutting_speed("10 thou", text)
    feed_per_tooth_read = feed_rate("0.1 mm/tooth", 4, "8000 rpm")
    ball_effective_diameter("10 mm", "0.2 mm", own.Quantity(0.1, "radian"))
    for kind in KINDS.values():
        if not kind.bare:
            registry_of(own).quantity(1.0, kind)
    assert feed_per_tooth_read.magnitude == pytest.approx(3200)
    assert application.Quantity("1 tooth").to("meter").magnitude == 3
    fresh = plain_registry()
    for registry, was in before.items():
        now = contents(registry)
        units, units_before = now.pop("_units"), was.pop("_units")
        assert now == was
        assert units_before.items() <= units.items()
        # pint itself adds a name such as millimeter when it first meets it; one of ours it would not know
        assert all(name in fresh for name in set(units) - set(units_before))


def test_an_ordinary_call_leaves_the_list_of_units_as_it_is(own):
    d, n = own.Quantity(10.0, "mm"), own.Quantity(8000.0, "rpm")
    cutting_speed(d, n)  # pint itself adds derived names such as millimeter when it first meets them
    before = contents(own)
    cutting_speed(d, n)
    cutting_speed("3 mm", n)
    assert contents(own) == before


def test_define_trade_words(own):
    fresh = set(own._units)
    for word in ("sfm", "ipm", "tooth", "HP"):
        assert word not in own
    define_trade_words(own)
    assert own("0.1 mm/tooth").to("mm/count").magnitude == pytest.approx(0.1)
    assert own("200 sfm").to("m/min").magnitude == pytest.approx(60.96)  # 0.3048 m a foot, by definition
    assert own("8000 rev/min").to("rpm").magnitude == pytest.approx(8000)
    assert set(own._units) > fresh
    define_trade_words(own)  # a second time changes nothing
    mine = plain_registry()
    mine.define("tooth = 3 meter")
    define_trade_words(mine)
    assert mine("1 tooth").to("meter").magnitude == 3


def test_only_the_registry_asked_for_gets_trade_words(own):
    define_trade_words(plain_registry())
    assert "sfm" not in own
    assert cutting_speed("1 in", "100 rpm").magnitude > 0


@pytest.mark.parametrize(
    "options",
    [
        {"autoconvert_offset_to_baseunit": True},
        {"auto_reduce_dimensions": True},
        {"system": "imperial"},
        {"case_sensitive": False},
        {"default_as_delta": False},
        {"autoconvert_to_preferred": True},
    ],
    ids=str,
)
def test_registries_with_other_options(options):
    registry = pint.UnitRegistry(**options)
    result = cutting_speed(registry.Quantity(1.0, "inch"), registry.Quantity(8000.0, "rpm"))
    assert result.magnitude == pytest.approx(np.pi * 25.4 * 8, rel=1e-14)
    assert str(result.units) == "meter / minute"
    with pytest.raises(UnitError):
        cutting_speed(registry.Quantity(1.0, "second"), registry.Quantity(8000.0, "rpm"))


def test_a_registry_with_another_default_format():
    registry = plain_registry()
    registry.formatter.default_format = ".1f~P"
    assert str(cutting_speed(registry.Quantity(10, "mm"), "8000 rpm")) == "251.3 m/min"
    with pytest.raises(UnitError, match="given 10 second;"):
        cutting_speed(registry.Quantity(10, "second"), "8000 rpm")


def test_a_registry_that_makes_arrays_of_all_gets_arrays():
    registry = pint.UnitRegistry(force_ndarray=True)
    result = cutting_speed(registry.Quantity(10.0, "mm"), "8000 rpm")
    assert isinstance(result.magnitude, np.ndarray)
    assert result.to("m/s").magnitude == pytest.approx(np.pi * 80 / 60)


def test_a_registry_that_counts_in_decimals_gets_decimals():
    registry = pint.UnitRegistry(non_int_type=Decimal)
    result = cutting_speed(registry.Quantity("1 inch"), registry.Quantity("8000 rpm"))
    assert isinstance(result.magnitude, Decimal)
    assert float(result.to("m/s").magnitude) == pytest.approx(np.pi * 25.4 * 8 / 60)


def test_a_registry_no_longer_used_is_let_go():
    registry = plain_registry()
    gone = weakref.ref(registry)
    cutting_speed(registry.Quantity(10.0, "mm"), registry.Quantity(8000.0, "rpm"))
    del registry
    gc.collect()
    assert gone() is None


def test_the_memory_of_units_is_bounded(monkeypatch):
    monkeypatch.setattr(convert, "_MOST_FACTORS", 8)
    registry = plain_registry()
    for _ in range(50):
        quantity = registry.Quantity(10.0, registry.UnitsContainer({"millimeter": 1}))
        assert cutting_speed(quantity, "8000 rpm").magnitude == pytest.approx(251.3274, abs=1e-4)
    assert len(convert._FACTORS["length"]) <= 9


def test_a_pint_that_makes_quantities_otherwise_is_met_with_its_own_constructor(own):
    known = registries.Registry(own)
    known._plain = False
    assert known.quantity(2.0, KINDS["length"]) == own.Quantity(2.0, "millimeter")


def run(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


SET = "import pint; mine = pint.UnitRegistry(); pint.set_application_registry(mine)\n"
IMPORT = "from millcalc.formulas.speeds import cutting_speed\n"
LOOK = (
    "print(cutting_speed('10 mm', '8000 rpm')._REGISTRY is mine, "
    "cutting_speed(mine.Quantity(10, 'mm'), '8000 rpm')._REGISTRY is mine, "
    "cutting_speed(pint.Quantity(10, 'mm'), '8000 rpm')._REGISTRY is mine)\n"
)


@pytest.mark.parametrize("code", [SET + IMPORT + LOOK, IMPORT + SET + LOOK], ids=["before", "after"])
def test_an_application_registry_set_before_or_after_the_import(code):
    assert run(code) == "True True True"


def test_pint_is_loaded_at_the_first_quantity_and_its_registry_gives_way_to_one_set_later():
    code = (
        "import sys; from millcalc.formulas.speeds import cutting_speed\n"
        "print('pint' in sys.modules); cutting_speed.bare(1.0, 2.0); print('pint' in sys.modules)\n"
        "r = cutting_speed('10 mm', '8000 rpm'); print('pint' in sys.modules)\n"
        "import pint; print(r + pint.Quantity('1 m/min') > r)\n"
    )
    assert run(code + SET + LOOK).split() == ["False", "False", "True", "True", *["True"] * 3]
