"""The plan against a second computation of the whole of it, and the record it comes in.

The second computation is in second_plan.py.  Its cutting diameters come from points spread over the ball; how close
that comes is said where they are compared.
"""

import pickle
from math import inf, radians, sin

import attrs
import pytest
from second_plan import second, stood_height

import millcalc as m
from millcalc.materials import FeedChart, Material, SpeedWindow, Value
from millcalc.materials.record import Caution as MaterialCaution
from millcalc.planning import example_job
from millcalc.quantities.record import fields_of, number

# invented for these tests
KNOWN = {"source": "OWN_RECORD", "how_known": "common practice", "scope": "grade", "substrate": "coated carbide"}
VALUE = {"source": "OWN_RECORD", "how_known": "common practice"}
OWN = Material(
    key="own",
    designation="Own steel",
    name="Steel invented for the tests",
    iso513="P",
    least_chip_ratio=Value(low=0.4, high=0.4, unit="1", scope="grade", **VALUE),
    tip_caution=MaterialCaution(severity="caution", text="the tip rubs", **VALUE),
    cutting_speeds=(SpeedWindow(low=100.0, high=200.0, unit="m/min", operation="finishing", **KNOWN),),
    feed_charts=(
        FeedChart(
            low=0.03,
            high=0.06,
            unit="mm",
            operation="finishing",
            diameter_low=1.0,
            diameter_high=20.0,
            radial_share=0.1,
            **KNOWN,
        ),
    ),
)


def own_job(surface, axis, passes, before, finish, cutter, machine, **more):
    return m.FinishingJob(
        material=OWN,
        surface=m.Surface(**surface),
        axis=m.Axis(**axis),
        passes=m.Passes(**passes),
        before=m.Before(**before),
        finish=m.Finish(**finish),
        cutter=m.BallEndMill(**cutter),
        machine=m.Machine(**machine),
        **more,
    )


FLAT = (
    own_job(
        surface={"width": "50 mm", "length": "120 mm"},
        axis={},
        passes={"cut": "climb"},
        before={"stock": "0.2 mm"},
        finish={"ra": "1.6 um", "form_tolerance": "0.03 mm"},
        cutter={"diameter": "10 mm", "teeth": 2},
        machine={"largest_spindle_speed": "12000 rpm", "largest_feed_rate": "5 m/min"},
    ),
    {
        "D": 10.0,
        "z": 2,
        "width": 50.0,
        "length": 120.0,
        "rho_c": inf,
        "rho_f": inf,
        "stock": 0.2,
        "ra": 1.6,
        "form": 0.03,
        "lead": 0.0,
        "vertical": False,
        "both_ways": False,
        "step_down": False,
        "uncut": "right",
        "n_max": 12000.0,
        "feed_max": 5000.0,
        "acceleration": 2000.0,
        "block": 2.0,
        "rapid": 20000.0,
    },
)
CONVEX = (
    own_job(
        surface={"width": "30 mm", "length": "60 mm", "radius_across": "40 mm", "radius_along": "25 mm"},
        axis={"lead": "12 deg"},
        passes={"cut": "conventional"},
        before={"stock": "0.12 mm", "previous_diameter": "8 mm", "previous_stepover": "0.5 mm"},
        finish={"ra": "0.8 um", "form_tolerance": "0.01 mm"},
        cutter={"diameter": "6 mm", "teeth": 4, "edge_radius": "1 um"},
        machine={"kind": "older", "largest_spindle_speed": "24000 rpm", "largest_feed_rate": "9 m/min"},
    ),
    FLAT[1]
    | {
        "D": 6.0,
        "z": 4,
        "edge": 0.001,
        "width": 30.0,
        "length": 60.0,
        "rho_c": 40.0,
        "rho_f": 25.0,
        "stock": 0.12,
        "D_before": 8.0,
        "s_before": 0.5,
        "ra": 0.8,
        "form": 0.01,
        "lead": radians(12.0),
        "uncut": "left",
        "n_max": 24000.0,
        "feed_max": 9000.0,
        "acceleration": 500.0,
        "block": 20.0,
        "rapid": 10000.0,
    },
)
SLOPES = (
    own_job(
        surface={
            "width": "40 mm",
            "length": "90 mm",
            "radius_along": "-200 mm",
            "slope_from": "20 deg",
            "slope_to": "60 deg",
        },
        axis={"direction": "vertical", "travel": "across the slope"},
        passes={"pattern": "back and forth", "cut": "climb", "spacing": "step down"},
        before={"stock": "0.15 mm"},
        finish={"grade": "N6", "form_tolerance": "0.02 mm"},
        cutter={"diameter": "8 mm", "teeth": 3},
        machine={"kind": "high-speed", "largest_spindle_speed": "30000 rpm", "largest_feed_rate": "12 m/min"},
    ),
    FLAT[1]
    | {
        "D": 8.0,
        "z": 3,
        "width": 40.0,
        "length": 90.0,
        "rho_f": -200.0,
        "stock": 0.15,
        "form": 0.02,
        "ra": 0.8,  # N6, read in the table of ISO 1302
        "slopes": (radians(20.0), radians(60.0)),
        "vertical": True,
        "both_ways": True,
        "step_down": True,
        "n_max": 30000.0,
        "feed_max": 12000.0,
        "acceleration": 10000.0,
        "block": 0.5,
        "rapid": 40000.0,
    },
)
CASES = {"flat, 3 axes": FLAT, "convex, leaned": CONVEX, "vertical on slopes": SLOPES}
# the points lie up to a thousandth of the ball's radius from an extreme on a slanting edge of what cuts; the kernel
# states its mean chip to 1e-5; the sagitta of a shallow arc keeps nine digits in the plain arithmetic here
SPREAD = {"least_diameter": 4e-3, "least_cutting_speed": 0.2}
SPREAD_SHARE = {"largest_diameter": 2e-4, "largest_cutting_speed": 2e-4, "mean_chip_thickness": 2e-5}


# life and cost have a second computation of their own: test_edge_life.py
EDGES = (
    *("tool_life", "shortest_life", "longest_life", "life_path", "life_used", "parts_per_edge", "cutters_needed"),
    *("least_cost_speed", "most_output_speed", "part_time", "machine_cost", "operation_cost"),
)
# loads have tests of their own: test_loading.py
LOADS = (
    *("cutting_power", "mean_torque", "peak_torque", "peak_bending", "mean_force", "tip_stiffness", "tip_deflection"),
    *("deflection_allowed", "form_error", "bending_stress", "natural_frequency"),
    *(f"first_pass_{n}" for n in ("cutting_power", "peak_bending", "tip_deflection", "bending_stress")),
)


@pytest.fixture(scope="module", params=list(CASES))
def both(request):
    job, case = CASES[request.param]
    return m.plan(job), second(case)


def test_second_computation_has_every_number(both):
    made, other = both
    assert set(other) == {n for n, f in fields_of(made).items() if f.kind} - set(LOADS) - set(EDGES)


def test_every_number_agrees_with_the_second_computation(both):
    made, other = both
    off = {}
    for name, expected in other.items():
        got = number(made, name)
        if expected is None:
            assert got is None, name
            continue
        share, room = SPREAD_SHARE.get(name, 1e-9), SPREAD.get(name, 1e-12)
        if abs(got - expected) > max(share * abs(expected), room):
            off[name] = (got, expected)
    assert not off


def test_the_cases_differ_in_what_governs():
    """The three jobs are of use only if each takes another way through the rules."""
    causes = {name: dict(m.plan(job).governed) for name, (job, _) in CASES.items()}
    found = {n: tuple(c[k] for k in ("feed_per_tooth", "point_spacing", "feed_rate")) for n, c in causes.items()}
    assert found == {
        "flat, 3 axes": ("multiple of the chart", "length of the pass", "feed per tooth"),
        "convex, leaned": ("block time", "chord allowance", "block time"),
        "vertical on slopes": ("feed marks", "share of the chord error allowed", "feed per tooth"),
    }


# --- the record -----------------------------------------------------------------------------------------------

EXAMPLE = m.plan(example_job())


def test_plan_is_frozen_equal_and_can_be_hashed():
    again = m.plan(example_job())
    assert again == EXAMPLE
    assert hash(again) == hash(EXAMPLE)
    assert m.plan(example_job().with_(material="C45")) != EXAMPLE
    with pytest.raises(attrs.exceptions.FrozenInstanceError):
        EXAMPLE.passes = 3


def test_plan_survives_pickling():
    again = pickle.loads(pickle.dumps(EXAMPLE))
    assert again == EXAMPLE
    assert again.spindle_speed == EXAMPLE.spindle_speed


def test_each_number_is_a_quantity_of_its_kind():
    for name, field in fields_of(EXAMPLE).items():
        if field.kind is None:
            continue
        shown = getattr(EXAMPLE, name)
        if field.kind.bare:
            assert shown == number(EXAMPLE, name)
        else:
            assert shown.magnitude == number(EXAMPLE, name)
            assert shown.units == shown._REGISTRY.Unit(field.kind.unit)
    assert f"{EXAMPLE.spindle_speed:~}" == "17500.0 rpm"
    assert EXAMPLE.passes == 317
    assert isinstance(EXAMPLE.passes, int)


def test_as_numbers_holds_every_number_with_its_unit():
    numbers = EXAMPLE.as_numbers()
    for name, field in fields_of(EXAMPLE).items():
        if field.kind:
            assert numbers[name] == {"value": number(EXAMPLE, name), "unit": field.kind.label}
    assert numbers["governed"]["stepover"] == "wanted finish"
    assert set(numbers["assumed"]) == {a.name for a in EXAMPLE.assumed}


def test_conditions_of_a_slope_range_and_both_ways():
    made = m.plan(SLOPES[0])
    places = ("flattest slope", "steepest slope")
    assert [c.name for c in made.conditions] == [f"{p}, {w}" for p in places for w in ("way out", "way back")]
    assert [number(c, "slope") for c in made.conditions] == [20.0, 20.0, 60.0, 60.0]
    tilts = [20.0, -20.0, 60.0, -60.0]
    assert [number(c, "tilt") for c in made.conditions] == pytest.approx(tilts)
    assert [number(c, "lead") for c in made.conditions] == pytest.approx([0.0] * 4, abs=1e-12)
    # step down over the sine of the slope
    shared = number(made, "equalised_stepover")
    apart = [shared / sin(radians(abs(t))) for t in tilts]
    assert [number(c, "stepover") for c in made.conditions] == pytest.approx(apart, rel=1e-12)
    heights = [1000 * stood_height(4.0, s, inf) for s in apart]
    assert [number(c, "scallop_height") for c in made.conditions] == pytest.approx(heights, rel=1e-9)
    # the plan states the worse of them
    assert number(made, "scallop_height") == max(number(c, "scallop_height") for c in made.conditions)
    assert number(made, "least_diameter") == min(number(c, "least_diameter") for c in made.conditions)
    assert number(made, "largest_diameter") == max(number(c, "largest_diameter") for c in made.conditions)


def test_one_stand_has_no_conditions():
    assert EXAMPLE.conditions == ()


def test_basis_are_the_rows_of_the_material():
    made = m.plan(FLAT[0])
    assert [(row.low, row.high) for row in made.basis] == [(100.0, 200.0), (0.03, 0.06)]
    fixed = FLAT[0].with_(fixed=m.Fixed(cutting_speed="120 m/min"))
    assert [(row.low, row.high) for row in m.plan(fixed).basis] == [(100.0, 200.0), (0.03, 0.06)]
