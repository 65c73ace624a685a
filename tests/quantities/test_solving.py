"""Solving a formula for an input: closed inverses, several solutions, none, levels, jumps, arrays, errors."""

from __future__ import annotations

import math

import numpy as np
import pytest
from foreign import REGISTRY

from millcalc import BallEndMill, FlatEndMill
from millcalc.errors import ArgumentError, DomainError, SignatureError, UnitError, ValidityWarning
from millcalc.formulas import all_formulas
from millcalc.quantities import roots

F = all_formulas()
Q = REGISTRY.Quantity


@pytest.mark.parametrize(
    ("name", "unknown", "known", "expected"),
    [
        ("cutting_speed", "diameter", {"cutting_speed": "150 m/min", "spindle_speed": "8000 rpm"}, 150 / (8 * math.pi)),
        ("cutting_speed", "spindle_speed", {"cutting_speed": "150 m/min", "diameter": "6 mm"}, 150_000 / (6 * math.pi)),
        ("feed_rate", "teeth", {"result": "1200 mm/min", "feed_per_tooth": "0.05 mm", "spindle_speed": "8000 rpm"}, 3),
        ("scallop_height", "stepover", {"scallop_height": "5 um", "diameter": "10 mm"}, 2 * math.sqrt(0.005 * 9.995)),
        ("engagement_angle", "radial_width", {"engagement_angle": "180 deg", "diameter": "8 mm"}, 8),
        ("engagement_angle", "radial_width", {"engagement_angle": "60 deg", "diameter": "8 mm"}, 2),
        ("taylor_life", "taylor_exponent",
         {"result": "20 min", "cutting_speed": "100 m/min", "taylor_constant": "5 m/s"}, math.log(3) / math.log(20)),
        ("specific_cutting_force", "chip_thickness", {"result": "1700 N/mm^2", "kc11": "1700 N/mm^2", "mc": 0.25}, 1),
        ("chord_error", "path_radius", {"chord_error": "10 um", "step": "2 mm"}, (1 + 0.01**2) / 0.02),
        ("offset_radius", "surface_radius", {"offset_radius": "-49 mm", "normal_depth": "1 mm"}, -50),
        ("scallop_height", "surface_radius", {"result": "5 um", "diameter": "10 mm", "stepover": "0.4 mm"}, 20.0743),
    ],
)  # fmt: skip
def test_values_known_otherwise(name, unknown, known, expected):
    found = F[name].solve(unknown, **known)
    assert float(getattr(found, "magnitude", found)) == pytest.approx(
        expected, rel=1e-5 if expected == 20.0743 else 1e-12
    )


def test_quantities_in_and_out():
    found = F["cutting_speed"].solve("diameter", cutting_speed=Q(500.0, "ft/min"), spindle_speed=Q(8000.0, "rpm"))
    assert isinstance(found, Q)
    assert found.to("inch").magnitude == pytest.approx(500 * 12 / (8000 * math.pi), rel=1e-12)


def test_several_solutions_are_listed_and_one_is_chosen():
    asked = {"inclination": "20 deg", "tilt": "10 deg"}
    with pytest.raises(DomainError, match=r"2 solutions: -17\.40985205 deg, 17\.40985205 deg") as caught:
        F["inclination"].solve("lead", **asked)
    assert "between" in caught.value.faults[0].accepted
    lead = F["inclination"].solve("lead", between=("0 deg", "1.5 rad"), **asked)
    assert F["inclination"](lead, "10 deg").magnitude == pytest.approx(20, rel=1e-14)
    edge = {"max_chip_thickness": "0.05 mm", "feed_per_tooth": "0.1 mm", "diameter": "8 mm", "radial_width": "4 mm"}
    with pytest.raises(DomainError, match=r"2 solutions: 30 deg, 150 deg"):
        F["max_chip_thickness"].solve("edge_angle", **edge)


def test_a_solution_at_a_turning_point():
    found = F["inclination"].solve("lead", inclination="10 deg", tilt="10 deg")
    assert found.magnitude == pytest.approx(0.0, abs=1e-5)


def test_none_says_what_is_reached():
    with pytest.raises(DomainError, match="given 190 deg; the formula reaches from 0 to 180 deg"):
        F["engagement_angle"].solve("radial_width", engagement_angle="190 deg", diameter="8 mm")
    with pytest.raises(DomainError, match=r"only 3\.125 would give it, which is no whole number"):
        F["feed_rate"].solve("teeth", feed_rate="1250 mm/min", feed_per_tooth="0.05 mm", spindle_speed="8000 rpm")
    with pytest.raises(DomainError, match="looked for from 1 up to 2 mm"):
        F["scallop_height"].solve("stepover", scallop_height="1 um", diameter="10 mm", between=("1 mm", "2 mm"))


def test_a_level_course_has_no_solution_of_its_own():
    """From half the diameter on the largest chip is the feed; steps of a count hold over a stretch."""
    with pytest.raises(DomainError, match=r"every value from 3\.99999\d* mm to 8 mm"):
        F["max_chip_thickness"].solve("radial_width", result="0.1 mm", feed_per_tooth="0.1 mm", diameter="8 mm")
    with pytest.raises(DomainError, match=r"every value from 3\.\d* mm to 4\.\d* mm"):
        F["passes_across"].solve("width", passes_across=5, stepover="1 mm")
    with pytest.raises(DomainError, match=r"every value from 0\.816 um to 1\.632 um"):
        F["grade_from_ra"].solve("ra", grade_from_ra="N7")


def test_a_jump_across_the_value_is_no_solution():
    with pytest.raises(DomainError, match="no stepover gives"):
        F["set_stepover"].solve("stepover", result="0.0123 mm", fine_increment="0.005 mm", coarse_increment="0.01 mm")


def test_arrays():
    sizes = np.array([[2.0, 5.0, 10.0], [12.0, 16.0, 20.0]])
    found = F["cutting_speed"].solve("spindle_speed", cutting_speed="100 m/min", diameter=Q(sizes, "mm"))
    assert found.magnitude == pytest.approx(100_000 / (math.pi * sizes), rel=1e-12)
    heights = Q(np.linspace(1.0, 20.0, 700), "um")
    steps = F["scallop_height"].solve("stepover", scallop_height=heights, diameter="10 mm")
    assert steps.magnitude == pytest.approx(F["scallop_stepover"]("10 mm", heights).magnitude, rel=1e-12)
    with pytest.raises(DomainError, match="at index 2"):
        F["engagement_angle"].solve("radial_width", result=Q([10.0, 20.0, 190.0], "deg"), diameter="8 mm")
    with pytest.raises(DomainError, match="do not fit together"):
        F["engagement_angle"].solve("radial_width", result=Q([10.0, 20.0], "deg"), diameter=Q([1.0, 2.0, 3.0], "mm"))


def test_an_element_of_an_array_is_what_it_is_alone():
    angles = np.array([20.0, 90.0, 179.0, 180.0])
    found = F["engagement_angle"].solve("radial_width", result=Q(angles, "deg"), diameter="8 mm").magnitude
    alone = [F["engagement_angle"].solve("radial_width", result=f"{a} deg", diameter="8 mm").magnitude for a in angles]
    assert found == pytest.approx(alone, rel=1e-12)


def test_questions_to_a_cutter():
    ball, flat = BallEndMill(diameter="10 mm", teeth=2), FlatEndMill(diameter="10 mm", teeth=2)
    found = ball.scallop_height.solve("stepover", scallop_height="5 um", tilt="10 deg")
    assert found.magnitude == pytest.approx(2 * math.sqrt(0.005 * 9.995), rel=1e-9)
    with pytest.raises(DomainError, match="2 solutions"):
        flat.scallop_height.solve("lead", scallop_height="5 um", stepover="0.5 mm")


@pytest.mark.parametrize(
    ("unknown", "known", "words"),
    [
        ("diametre", {"cutting_speed": "1 m/min"}, r"no input 'diametre' \(nearest: diameter\)"),
        ("diameter", {"spindle_speed": "1 rpm"}, "its result given once, as cutting_speed=… or result=…"),
        ("diameter", {"cutting_speed": "1 m/min", "result": "1 m/min", "spindle_speed": "1 rpm"}, "given once"),
        ("diameter", {"cutting_speed": "1 m/min"}, "missing: spindle_speed"),
        ("diameter", {"cutting_speed": "1 m/min", "spindle_sped": "1 rpm"}, r"no input 'spindle_sped'"),
        ("diameter", {"cutting_speed": "1 m/min", "spindle_speed": "1 rpm", "diameter": "1 mm"}, "which is given, too"),
    ],
)
def test_what_is_asked_wrongly(unknown, known, words):
    with pytest.raises(SignatureError, match=words):
        F["cutting_speed"].solve(unknown, **known)


def test_what_cannot_be_solved():
    with pytest.raises(SignatureError, match="has 3 results"):
        F["mean_milling_force"].solve("teeth", result="1 N")
    with pytest.raises(SignatureError, match="cannot be solved for cut, which is 'climb' or 'conventional'"):
        F["entry_angle"].solve("cut", result="30 deg", diameter="1 mm", radial_width="1 mm")


@pytest.mark.parametrize(
    ("known", "kind"),
    [
        ({"cutting_speed": "150 mm", "spindle_speed": "8000 rpm"}, UnitError),
        ({"cutting_speed": 150, "spindle_speed": "8000 rpm"}, UnitError),
        ({"cutting_speed": "150 m/min", "spindle_speed": "-8000 rpm"}, DomainError),
        ({"cutting_speed": Q(math.nan, "m/min"), "spindle_speed": "8000 rpm"}, DomainError),
        ({"cutting_speed": "150 m/min", "spindle_speed": "8000 rpm", "between": ("1 mm",)}, ArgumentError),
        ({"cutting_speed": "150 m/min", "spindle_speed": "8000 rpm", "between": ("1 mm", "1 mm")}, ArgumentError),
        ({"cutting_speed": "150 m/min", "spindle_speed": "8000 rpm", "between": 3}, ArgumentError),
        ({"cutting_speed": "150 m/min", "spindle_speed": "8000 rpm", "between": ("-2 mm", "-1 mm")}, ArgumentError),
    ],
)
def test_values_that_cannot_be_used(known, kind):
    with pytest.raises(kind):
        F["cutting_speed"].solve("diameter", **known)


def test_outside_the_validated_range_it_warns():
    asked = {"result": "1 um", "force": "100 N", "diameter": "10 mm", "modulus": "600 GPa"}
    with pytest.warns(ValidityWarning, match="overhang >= 3"):
        found = F["cantilever_deflection"].solve("overhang", **asked)
    assert found.magnitude == pytest.approx((3 * 600e3 * math.pi * 1e4 / 64 * 1e-3 / 100) ** (1 / 3), rel=1e-9)


def test_nodes_and_apart():
    nodes = roots.nodes(-180.0, 180.0, 121)
    assert np.all(np.diff(nodes) > 0)
    assert {-180.0, 0.0, 180.0} <= set(nodes.tolist())
    assert roots.apart([3.0, 1.0, 1.0 + 1e-9], lambda a, b: True) == [1.0, 3.0]
    assert roots.apart([1.0, 3.0], lambda a, b: False) == [1.0]
