"""What holds of many numbers at once: round trips, monotonic courses, scaling, units, arrays, limits."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from millcalc.formulas import all_formulas

F = all_formulas()
few = settings(max_examples=12, derandomize=True, deadline=None, database=None)


def spread(low, high):
    """Numbers evenly spread in the logarithm."""
    return st.floats(math.log(low), math.log(high)).map(math.exp)


DIAMETER, SHARE, FEED, SPEED = spread(0.5, 60.0), st.floats(0.02, 0.98), spread(0.005, 0.5), spread(10.0, 800.0)
INVERTED = [
    ("cutting_speed", "diameter", {"diameter": (DIAMETER, "mm"), "spindle_speed": (spread(50, 40_000), "rpm")}),
    ("spindle_speed", "cutting_speed", {"cutting_speed": (SPEED, "m/min"), "diameter": (DIAMETER, "mm")}),
    ("chord_error", "path_radius", {"step": (spread(0.01, 1.0), "mm"), "path_radius": (spread(2.0, 500.0), "mm")}),
    ("scallop_height", "stepover", {"stepover": (spread(0.01, 0.5), "mm"), "diameter": (spread(1.0, 60.0), "mm")}),
    ("scallop_height", "diameter", {"stepover": (spread(0.01, 0.5), "mm"), "diameter": (spread(1.0, 60.0), "mm")}),
    ("taylor_life", "cutting_speed", {"cutting_speed": (SPEED, "m/min"), "taylor_constant": (SPEED, "m/min"),
                                      "taylor_exponent": (st.floats(0.1, 0.5), "")}),
    ("bending_stress", "diameter", {"force": (spread(1, 1000), "N"), "lever": (spread(1, 100), "mm"),
                                    "diameter": (DIAMETER, "mm")}),
    ("permissible_unbalance", "mass", {"balance_grade": (st.just("G2.5"), ""), "mass": (spread(0.1, 20), "kg"),
                                       "spindle_speed": (spread(1000, 40_000), "rpm")}),
    ("move_time", "feed_rate", {"length": (spread(20, 100), "mm"), "feed_rate": (spread(100, 3000), "mm/min"),
                                "acceleration": (spread(500, 5000), "mm/s^2")}),
    ("step_down", "slope", {"stepover": (FEED, "mm"), "slope": (st.floats(5, 85), "deg")}),
]  # fmt: skip


@pytest.mark.parametrize(("name", "unknown", "inputs"), INVERTED, ids=[f"{n}-{u}" for n, u, _ in INVERTED])
@given(data=st.data())
@few
def test_what_is_solved_is_what_was_put_in(name, unknown, inputs, data):
    values = {n: data.draw(strategy, label=n) for n, (strategy, _) in inputs.items()}
    texts = {n: f"{v!r} {inputs[n][1]}".strip() if not isinstance(v, str) else v for n, v in values.items()}
    result = F[name](**texts)
    known = {n: t for n, t in texts.items() if n != unknown}
    between = ("0 deg", "90 deg") if inputs[unknown][1] == "deg" else None
    found = F[name].solve(unknown, result=result, between=between, **known)
    assert found.magnitude == pytest.approx(values[unknown], rel=1e-9)


RISING = [
    ("engagement_angle", (10.0, 1.0), 1, 1.0),
    ("max_chip_thickness", (0.1, 10.0, 1.0, 90.0), 0, 1.0),
    ("scallop_height", (10.0, 0.5, math.inf), 1, 1.0),
    ("scallop_height", (10.0, 0.5, math.inf), 0, -1.0),
    ("taylor_life", (100.0, 300.0, 0.25), 0, -1.0),
    ("cantilever_deflection", (100.0, 40.0, 10.0, 600.0), 1, 1.0),
    ("cantilever_deflection", (100.0, 40.0, 10.0, 600.0), 2, -1.0),
    ("chord_error", (0.5, 20.0), 0, 1.0),
    ("ra_from_scallop", (10.0, 5.0), 1, 1.0),
    ("permissible_unbalance", (2.5, 1.0, 8000.0), 2, -1.0),
    ("corner_stock", (10.0, 2.0, 80.0), 2, -1.0),
    ("loop_engagement", (10.0, 16.0, 1.0), 2, 1.0),
]


@pytest.mark.parametrize(("name", "numbers", "place", "sign"), RISING, ids=[f"{n}-{p}" for n, _, p, _ in RISING])
@given(one=st.floats(0.5, 1.5), other=st.floats(0.5, 1.5))
@few
def test_courses_rise_or_fall(name, numbers, place, sign, one, other):
    low, high = sorted((one, other))
    if high - low < 1e-9:
        return
    values = [F[name].bare(*(n * f if i == place else n for i, n in enumerate(numbers))) for f in (low, high)]
    assert sign * (values[1] - values[0]) > 0.0


# the factor on the result when all lengths, feeds and heights grow alike
SCALED = [
    ("engagement_angle", (10.0, 1.0), (1, 1), 0),
    ("max_chip_thickness", (0.1, 10.0, 1.0, 90.0), (1, 1, 1, 0), 1),
    ("scallop_height", (10.0, 0.5, 40.0), (1, 1, 1), 1),
    ("scallop_stepover", (10.0, 5.0, 40.0), (1, 1, 1), 1),
    ("chord_error", (0.5, 20.0), (1, 1), 1),
    ("ra_from_scallop", (10.0, 5.0), (1, 1), 1),
    ("ball_effective_diameter", (10.0, 0.2, 20.0), (1, 1, 0), 1),
    ("corner_area", (10.0, 2.0, 80.0), (1, 1, 0), 2),
    ("second_moment", (10.0,), (1,), 4),
    ("removal_rate", (2.0, 5.0, 1000.0), (1, 1, 1), 3),
    ("loop_engagement", (10.0, 16.0, 1.0), (1, 1, 1), 0),
    ("helix_path_length", (5.0, 1.0, 4.0), (1, 1, 1), 1),
    ("runout_mark_height", (10.0, 0.1, 2.0, 10.0, 15.0, math.inf), (1, 1, 0, 1, 0, 1), 1),
]


@pytest.mark.parametrize(("name", "numbers", "powers", "power"), SCALED, ids=[row[0] for row in SCALED])
@given(factor=spread(0.1, 10.0))
@few
def test_larger_things_scale(name, numbers, powers, power, factor):
    scaled = [n * factor**p for n, p in zip(numbers, powers, strict=True)]
    assert F[name].bare(*scaled) == pytest.approx(F[name].bare(*numbers) * factor**power, rel=1e-11)


@pytest.mark.parametrize(
    ("name", "metric", "inch"),
    [
        ("cutting_speed", {"diameter": (25.4, "mm"), "spindle_speed": (1.0, "rpm")}, {"diameter": "in"}),
        ("scallop_height", {"diameter": (25.4, "mm"), "stepover": (25.4e-3, "mm")},
         {"diameter": "in", "stepover": "thou"}),
        ("energy_power", {"specific_energy": (2.730323888, "W*s/mm^3"), "removal_rate": (16.387064, "cm^3/min")},
         {"specific_energy": "HP*min/in^3", "removal_rate": "in^3/min"}),
        ("cantilever_stiffness",
         {"overhang": (254.0, "mm"), "diameter": (25.4, "mm"), "modulus": (6.894757293168361, "GPa")},
         {"diameter": "in", "modulus": "Mpsi", "overhang": "dain"}),
    ],
)  # fmt: skip
@given(factor=spread(0.5, 2.0))
@few
def test_inches_and_millimetres_are_the_same(name, metric, inch, factor):
    ours = {n: f"{v * factor!r} {unit}" for n, (v, unit) in metric.items()}
    units = {"Mpsi": ("psi", 1e6), "dain": ("in", 10.0)}
    theirs = dict(ours)
    for n, unit in inch.items():
        word, many = units.get(unit, (unit, 1.0))
        theirs[n] = f"{many * factor!r} {word}"
    one, other = F[name](**ours), F[name](**theirs)
    assert one.magnitude == pytest.approx(other.to(one.units).magnitude, rel=2e-7)


def test_scalars_are_elements_of_arrays(each_formula, numbers_for):
    random = np.random.default_rng(23)
    rows = [numbers_for(each_formula, random) for _ in range(4)]
    columns = [
        np.array(column) if not isinstance(column[0], (str, bool)) else column for column in zip(*rows, strict=True)
    ]
    words = [c for c in columns if not isinstance(c, np.ndarray)]
    if any(len(set(c)) > 1 for c in words):
        columns = [c if isinstance(c, np.ndarray) else np.array(c) for c in columns]
    else:
        columns = [c if isinstance(c, np.ndarray) else c[0] for c in columns]
    with np.errstate(all="ignore"):
        whole = each_formula.bare(*columns)
        single = [each_formula.bare(*row) for row in rows]
    parts = whole if isinstance(whole, tuple) else (whole,)
    for place, part in enumerate(parts):
        alone = [s[place] if isinstance(s, tuple) else s for s in single]
        assert np.broadcast_to(part, (4,)) == pytest.approx(np.array(alone, dtype=float), rel=1e-12, nan_ok=True)


@given(diameter=DIAMETER, share=SHARE)
@few
def test_limits(diameter, share):
    """A surface of infinite radius is a plane, no tilt is no lean, a whole width is a slot, thin arcs are parabolas."""
    stepover = 0.9 * diameter * share
    plane = F["scallop_height"].bare(diameter, stepover)
    assert F["scallop_height"].bare(diameter, stepover, 1e12) == pytest.approx(plane, rel=1e-9)
    assert F["tip_path_radius"].bare(diameter, 1e9, 0.0, 0.0) == pytest.approx(1e9, rel=1e-12)
    assert F["inclination"].bare(80 * share, 0.0) == pytest.approx(80 * share, rel=1e-12)
    assert F["ball_effective_diameter"].bare(diameter, 0.5 * diameter, 0.0) == pytest.approx(diameter, rel=1e-12)
    assert F["engagement_angle"].bare(diameter, diameter) == pytest.approx(180.0)
    assert F["ra_from_scallop"].bare(diameter, 1e-6 * diameter) == pytest.approx(
        4e-6 * diameter / (9 * math.sqrt(3)), rel=1e-6
    )
    assert F["programmed_feed_rate"].bare(1000.0, 5.0, math.inf) == 1000.0
    assert F["corner_engagement"].bare(diameter, stepover, 180.0) == pytest.approx(
        F["engagement_angle"].bare(diameter, stepover), rel=1e-12
    )
