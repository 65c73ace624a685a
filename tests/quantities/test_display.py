"""Printing: metric or inch trade units, significant digits."""

from __future__ import annotations

import math
import threading

import pytest
from foreign import REGISTRY

from millcalc.errors import ArgumentError
from millcalc.formulas.speeds import cutting_speed, feed_per_tooth
from millcalc.quantities import kinds
from millcalc.quantities.display import inch_size, number_text, quantity_text, system_in_use, units
from millcalc.quantities.kinds import KINDS
from millcalc.quantities.registries import registry_of


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.0, "0"),
        (1.0, "1"),
        (0.00123456, "0.001235"),
        (12345.6, "12346"),
        (9.99996, "10"),
        (99999.6, "100000"),
        (-2.5, "-2.5"),
        (100.0, "100"),
        (1e-9, "1.000e-09"),
        (1e15, "1.000e+15"),
        (math.inf, "infinite"),
        (-math.inf, "-infinite"),
        (math.nan, "-"),
    ],
)
def test_number_text(value, text):
    assert number_text(value) == text


@pytest.mark.parametrize("kind", [k for k in KINDS.values() if k.inch_unit], ids=lambda k: k.name)
def test_inch_sizes_are_pints(kind):
    size = registry_of(REGISTRY).factor(kind, REGISTRY.parse_units(kind.inch_unit)._units)
    assert inch_size(kind) == pytest.approx(size, rel=1e-14)


# what the trade prints in inch units: DESIGN.md section 3; figures exact by definition of the units (derived)
@pytest.mark.parametrize(
    ("value", "kind", "text"),
    [
        (25.4, kinds.LENGTH, "1 in"),
        (152.4, kinds.CUTTING_SPEED, "500 ft/min"),
        (254.0, kinds.FEED_RATE, "10 in/min"),
        (0.1016, kinds.FEED_PER_TOOTH, "0.004 in/tooth"),
        (0.1016, kinds.FEED_PER_REVOLUTION, "0.004 in/rev"),
        (0.8128, kinds.ROUGHNESS, "32 uin"),
        (0.74569987158227022, kinds.POWER, "1 hp"),
        (1.3558179483314004, kinds.TORQUE, "1 ft-lbf"),
        (16.387064, kinds.REMOVAL_RATE, "1 in^3/min"),
        (8000.0, kinds.SPINDLE_SPEED, "8000 rev/min"),
        (15.0, kinds.ANGLE, "15 deg"),
        (4.0, kinds.COUNT, "4"),
        (0.5, kinds.RATIO, "0.5"),
        (7.0, kinds.GRADE, "N7"),
        (math.nan, kinds.GRADE, "-"),
        ("left", kinds.SIDE, "left"),
        (None, kinds.LENGTH, "-"),
        (math.inf, kinds.RADIUS, "infinite"),
    ],
)
def test_inch(value, kind, text):
    assert quantity_text(value, kind, "inch") == text
    with units("inch"):
        assert quantity_text(value, kind) == text


def test_the_innermost_block_counts_and_an_error_ends_it():
    assert system_in_use() == "metric"
    with units("inch"):
        with units("metric"):
            assert quantity_text(25.4, kinds.LENGTH) == "25.4 mm"
        assert quantity_text(25.4, kinds.LENGTH) == "1 in"
    with pytest.raises(RuntimeError), units("inch"):
        raise RuntimeError
    assert system_in_use() == "metric"


def test_a_block_is_of_one_thread():
    seen = []
    with units("inch"):
        thread = threading.Thread(target=lambda: seen.append(system_in_use()))
        thread.start()
        thread.join()
    assert seen == ["metric"]


@pytest.mark.parametrize("name", ["imperial", "", None, "Inch"])
def test_other_systems_are_refused(name):
    with pytest.raises(ArgumentError, match="'metric' or 'inch'"), units(name):
        pass


def test_a_sheet_in_inches():
    with units("inch"):
        text = str(cutting_speed.sheet("0.5 in", "8000 rpm"))
    # the expression is for metric trade units: these are printed, the inch units beside them
    assert "D = 12.7 mm (0.5 in), n = 8000 rev/min" in text
    assert "v_c = 319.2 m/min (1047 ft/min)" in text  # pi * 0.5/12 * 8000 = 1047.2 (derived)
    assert "v_c = 319.2 m/min" in str(cutting_speed.sheet("0.5 in", "8000 rpm"))
    with units("inch"):
        assert "f_z = 0.0254 mm (0.001 in/tooth)" in str(feed_per_tooth.sheet("32 ipm", 4, "8000 rpm"))


def test_units_change_what_is_printed_only():
    with units("inch"):
        result = cutting_speed("0.5 in", "8000 rpm")
    assert str(result.units) == "meter / minute"
