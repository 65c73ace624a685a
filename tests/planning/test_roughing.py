"""Roughing plans against a second computation of the whole of them, their loads against integrals, record and page.

The second computation is in second_roughing.py, with `math` alone.
"""

import functools
import pickle
from math import cos, inf, pi, radians

import attrs
import numpy as np
import pytest
from second_roughing import rough, second, turning

import millcalc as m
from millcalc.planning import plan
from millcalc.planning.cautions import SAFETY
from millcalc.quantities.record import fields_of, number

GIVEN = {"D": 12.0, "z": 4, "width": 40.0, "length": 70.0, "depth": 12.0, "stock": 0.5}
CASES = {
    "full width, closed, helix": (
        rough(
            pocket={"slope_from": "30 deg", "slope_to": "60 deg", "corner_angle": "90 deg", "fillet_radius": "4 mm"},
        ),
        GIVEN | {"slopes": (radians(30), radians(60)), "gamma": radians(90), "fillet": 4.0},
    ),
    "full width, closed, ramps, corner radius": (
        rough(
            m.CornerRadiusEndMill,
            cutter={"corner_radius": "4 mm", "diameter": "16 mm", "teeth": 3},
            cut={"entry": "ramp", "cut": "conventional", "stock_left": "0.6 mm"},
            pocket={
                "length": "36 mm",
                "width": "58 mm",
                "depth": "17 mm",
                "slope_to": "50 deg",
                "slope_from": "15 deg",
            },
            machine={"kind": "older"},
        ),
        GIVEN
        | {"D": 16.0, "r_e": 4.0, "z": 3, "entry": "ramp", "stock": 0.6, "length": 36.0, "width": 58.0, "depth": 17.0}
        | {"slopes": (radians(15), radians(50)), "accel": 500.0, "rapid": 10000.0},
    ),
    "light radial, closed, passes along the slopes": (
        rough(
            cut={"style": "light radial", "slope_step": "3 mm"},
            pocket={"slope_from": "40 deg", "depth": "30 mm", "corner_angle": "70 deg"},
            machine={"largest_feed_rate": "2600 mm/min", "acceleration": "100 mm/s^2"},
        ),
        GIVEN
        | {"style": "light radial", "slope_step": 3.0, "slopes": (radians(40),), "depth": 30.0, "gamma": radians(70)}
        | {"v_max": 2600.0, "accel": 100.0},
    ),
    "full width, open": (
        rough(pocket={"sides": "open"}, cutter={"flute_length": "5 mm"}),
        GIVEN | {"closed": False, "walls": 1, "flutes": 5.0},
    ),
    "corners after a larger cutter": (
        rough(
            cut={"style": "corners", "larger_diameter": "20 mm"},
            cutter={"diameter": "6 mm", "flute_length": "13 mm", "overhang": "22 mm"},
            pocket={"corner_angle": "100 deg", "fillet_radius": "2.5 mm", "corners": 3},
        ),
        GIVEN
        | {"D": 6.0, "style": "corners", "D1": 20.0, "gamma": radians(100), "fillet": 2.5, "corners": 3}
        | {"closed": False, "flutes": 13.0},
    ),
}
# what the two compute by different numerics: bands of a rounded flank, evenly spread, in the second one
SPREAD_SHARE = {"mean_chip_thickness": 1e-8}
# life and cost have a second computation of their own: test_edge_life.py
EDGES = (
    *("tool_life", "shortest_life", "longest_life", "life_path", "life_used", "parts_per_edge", "cutters_needed"),
    *("least_cost_speed", "most_output_speed", "part_time", "machine_cost", "operation_cost"),
)
# computed again below, or in tests/loads (the natural frequency)
LOADS = (
    *("cutting_power", "mean_torque", "peak_torque", "peak_bending", "mean_force", "tip_stiffness", "tip_deflection"),
    *("bending_stress", "natural_frequency", "slot_mean_torque"),
    *(f"{w}_{n}" for w in ("slot", "entry", "corner") for n in ("cutting_power", "peak_bending", "tip_deflection")),
    "slot_bending_stress",
)


@functools.cache
def planned(name):
    """The plan of a case, and its second computation."""
    job, case = CASES[name]
    return plan(job), second(case)


@pytest.fixture(params=list(CASES))
def both(request):
    return planned(request.param)


def test_the_second_computation_has_every_number_that_the_plan_has(both):
    made, other = both
    known = {n for n, f in fields_of(made).items() if f.kind and number(made, n) is not None}
    assert set(other) == known - set(LOADS) - set(EDGES)


def test_every_number_agrees_with_the_second_computation(both):
    made, other = both
    off = {}
    for name, expected in other.items():
        got = number(made, name)
        if abs(got - expected) > max(SPREAD_SHARE.get(name, 1e-9) * abs(expected), 1e-12):
            off[name] = (got, expected)
    assert not off


def test_the_cases_take_different_ways_through_the_rules():
    found = [planned(name)[0] for name in CASES]
    names = ("axial_depth", "entry_hole_diameter", "loop_feed_rate", "corner_feed_rate")
    assert [tuple(p.governed_by(n) for n in names) for p in found] == [
        ("share of the diameter", "share of the diameter", "", "mean chip of a pass"),
        ("share of the diameter", "", "", ""),
        ("share of the diameter", "share of the diameter", "acceleration on the loop", "mean chip of a pass"),
        ("flutes", "", "", ""),
        ("share of the diameter", "", "", ""),
    ]


# --- loads ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", list(CASES))
def test_mean_torque_and_power_are_those_of_the_law_of_kienzle(name):
    """Sum of kc(h) h b r over engagement and flank, z of them a turn (derived).

    The kernel lays 24 steps over the engagement and 12 over the edge, at whose ends it takes the mean of what lies
    inside: h^0.75 is not straight over a step, and the end of a step is known to a few hundredths of it: 0.5 %, on a
    rounded flank, where each height is engaged over another angle, 2 %.
    """
    case, (made, other) = CASES[name][1], planned(name)
    r_e = case.get("r_e", 0.0)
    width = other["radial_width"]
    if case.get("style") == "corners":
        width = case["D"] * (1 - cos(radians(other["corner_engagement"]))) / 2
    cuts = [("", "axial_depth", width), ("slot_", "axial_depth", inf), ("entry_", "entry_depth", inf)]
    seen = 0
    for word, depth, cut_width in cuts:
        if f"{word}feed_per_tooth" not in other:
            continue
        torque = turning(case["D"], r_e, case["z"], other[depth], cut_width, other[f"{word}feed_per_tooth"])
        power = torque * 2 * pi * other["spindle_speed"] / 60000
        assert number(made, f"{word}cutting_power") == pytest.approx(power, rel=0.02 if r_e else 0.005)
        if word != "entry_":
            assert number(made, f"{word}mean_torque") == pytest.approx(torque, rel=0.02 if r_e else 0.005)
        seen += 1
    assert seen == (3 if "slot_feed_rate" in other else 2 if "entry_feed_rate" in other else 1)


def course_of_force(made, depth, width, feed):
    """Forces across the axis [N] and torque [N m] over a turn: discs up the flank, each behind the one below (derived).

    A climb cut: seen from the stock's side the tooth comes from ahead and leaves there. Against it stands kc h b, half
    of it pushes toward the axis; a quarter along it has no part across. Helix of 30 deg.
    """
    D, z, steps, discs = 12.0, 4, 1440, 300
    turn = np.arccos(max(1 - 2 * width / D, -1.0))
    at = 2 * pi * np.arange(steps)[:, None] / steps - np.tan(radians(30)) * depth * (np.arange(discs) + 0.5) / discs / 6
    x = y = torque = 0.0
    for tooth in range(z):
        place = (at + 2 * pi * tooth / z) % (2 * pi)  # from the side of the stock toward the feed
        chip = np.where(place < turn, feed * np.sin(place), 0.0)
        force = 1700 * np.where(chip > 0, chip, 1.0) ** 0.75 * (chip > 0) * depth / discs
        x = x + np.sum(force * (np.cos(place) - 0.5 * np.sin(place)), axis=1)
        y = y + np.sum(force * (0.5 * np.cos(place) + np.sin(place)), axis=1)
        torque = torque + np.sum(force, axis=1) * D / 2000
    return x, y, torque


def test_peaks_deflection_and_stress():
    """A flat end mill that does not run out: largest force over a turn; a bar of two steps, clamped (derived).

    Up to the flutes' end it bends as a bar of 0.8 of its diameter (common practice), E = 580 kN/mm^2.  The kernel looks
    at 24 places of the angle over which a tooth cuts, helix and all, here 107 deg: half of 4.5 deg beside the peak the
    force has fallen by some 3 %.  Its means are better than 1 %.
    """
    made = plan(rough(cutter={"eccentricity": "0 um"}))
    flute, root = 26.0, 40.0
    inertia = [pi * d**4 / 64 for d in (0.8 * 12.0, 12.0)]
    bent = flute**3 / 3 / inertia[0] + (root**3 - flute**3) / 3 / inertia[1]
    stiffness = 580.0 / bent  # kN/mm, the same as N/um
    assert number(made, "tip_stiffness") == pytest.approx(stiffness, rel=1e-9)
    stress = max(32 * flute / pi / (0.8 * 12.0) ** 3, 32 * root / pi / 12.0**3)
    for word, width in (("", number(made, "radial_width")), ("slot_", 12.0)):
        feed = number(made, f"{word}feed_per_tooth")
        x, y, torque = course_of_force(made, number(made, "axial_depth"), width, feed)
        largest = np.hypot(x, y).max()
        assert number(made, f"{word}peak_bending") == pytest.approx(largest, rel=0.03)
        assert number(made, f"{word}tip_deflection") == pytest.approx(largest / stiffness, rel=0.03)
        assert number(made, f"{word}bending_stress") == pytest.approx(largest * stress, rel=0.03)
        if not word:
            assert number(made, "peak_torque") == pytest.approx(torque.max(), rel=0.03)
            assert number(made, "mean_force") == pytest.approx(max(abs(x.mean()), abs(y.mean())), rel=0.01)


# --- the record -----------------------------------------------------------------------------------------------

MADE = plan(CASES["full width, closed, helix"][0])


def test_a_plan_is_frozen_equal_and_can_be_pickled():
    again = plan(CASES["full width, closed, helix"][0])
    assert again == MADE
    assert hash(again) == hash(MADE)
    assert plan(rough()) != MADE
    with pytest.raises(attrs.exceptions.FrozenInstanceError):
        MADE.levels = 3
    copy = pickle.loads(pickle.dumps(MADE))
    assert copy == MADE
    assert copy.spindle_speed == MADE.spindle_speed


def test_each_number_is_a_quantity_of_its_kind_and_stands_in_the_plain_values():
    plain = MADE.as_numbers()
    for name, field in fields_of(MADE).items():
        if field.kind is None:
            continue
        shown, kept = getattr(MADE, name), number(MADE, name)
        assert plain[name] == {"value": kept, "unit": field.kind.label}
        if kept is None or field.kind.bare:
            assert shown == kept
        else:
            assert shown.magnitude == kept
            assert shown.units == shown._REGISTRY.Unit(field.kind.unit)
    assert plain["governed"]["slot_feed_rate"] == "wanted chip"
    assert set(plain["assumed"]) == {a.name for a in MADE.assumed}
    assert [row.operation for row in MADE.basis] == ["end milling", "end milling"]


def test_what_is_assumed_is_what_matters():
    """Shares of power only where power is limited, holes only of a helix, slots only of loops."""
    helix, ramp = {"entry_share", "ramp_angle", "entry_feed_share"}, {"ramp_angle", "entry_feed_share"}
    shares = {"least_width_share", "least_depth_share"}
    looked_at = helix | shares | {"slot_share", "width_share", "depth_share", "entry", "deflection_share", "helix"}
    always = {"width_share", "depth_share", "deflection_share", "helix"}
    for tables, expected in (
        ({}, always | helix | {"entry"}),
        ({"cut": {"entry": "ramp"}}, always | ramp),
        ({"pocket": {"sides": "open"}}, always),
        ({"cut": {"style": "light radial"}}, always | helix | {"slot_share", "entry"}),
        ({"machine": {"largest_power": "5 kW"}}, always | helix | shares | {"entry"}),
        ({"fixed": {"axial_depth": "3 mm", "radial_width": "4 mm"}}, {"deflection_share", "helix", "entry"} | helix),
        ({"cutter": {"overhang": None}}, {"width_share", "depth_share", "entry"} | helix),
    ):
        assert {a.name for a in plan(rough(**tables)).assumed} & looked_at == expected, tables


# --- the page -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("system", ["metric", "inch"])
@pytest.mark.parametrize("name", list(CASES))
def test_the_page_shows_the_plan(name, system):
    made = planned(name)[0]
    page = m.plan_page(made, system)
    assert page.startswith("ROUGHING PLAN\n")
    for word in ("None", "nan", "infinite", "{", "\t", " \n"):
        assert word not in page, word
    for text in (*SAFETY, *(str(c) for c in made.cautions if system == "metric")):
        assert text in page
    heads = {"ENTRY INTO EACH LEVEL": "entry_feed_rate", "INSIDE CORNERS": "corner_engagement", "LOADS": "mean_torque"}
    for head, name_in in heads.items():
        assert (head in page) == (number(made, name_in) is not None), head
    assert ("kW" in page, "mm/min" in page) == ((True, True) if system == "metric" else (False, False))
    rows = {n for n, f in fields_of(made).items() if f.kind and f.stated.meaning in page}
    not_shown = {"rough_width", "rough_length", "rough_depth", "loop_radius", "entry_feed_per_tooth"}
    assert {n for n, f in fields_of(made).items() if f.kind and number(made, n) is not None} - rows <= not_shown


def test_set_numbers_say_what_governs_them_and_the_head_states_the_job():
    page = m.plan_page(plan(rough(part="Die (invented)", operation="Clear", cutter={"flute_length": "5 mm"})))
    assert page.startswith("ROUGHING PLAN: Die (invented), Clear\n")
    for words in (
        "material  Own steel, ISO 513 P",
        "flat 12 mm, 4 teeth, coated carbide",
        "closed, 40 mm by 70 mm, 12 mm deep",
        "full width, climb, entry by helix",
        "0.5 mm along the normal",
        "governed by: flutes",
        "governed by: cutting speed of the material",
    ):
        assert words in page
