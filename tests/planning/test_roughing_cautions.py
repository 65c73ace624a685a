"""Each caution of roughing: shown by a job that has it, absent in a near one; ranks, numbers in the words."""

import attrs
import pytest
from second_roughing import OWN
from second_roughing import bare as rough

import millcalc as m
from millcalc.planning import plan
from millcalc.planning.cautions import RANKS
from millcalc.planning.roughing.remarks import ROUGHING_CAUTIONS
from millcalc.quantities.record import number

STIFF = {"cutter": {"overhang": "40 mm"}}
OPEN = {"sides": "open"}
FAST = {"largest_spindle_speed": "20000 rpm"}
CORNER = {"corner_angle": "90 deg"}
LONG = {
    "pocket": OPEN | {"depth": "17 mm"},
    "cut": {"stock_left": "5 mm"},
    "fixed": {"feed_per_tooth": "0.06 mm"},
}
WITHOUT_FORCES = attrs.evolve(OWN, kienzle=())

# a job that has the caution, a near one that has not.  How they are known: lengths, stairs, posts, corners and speeds
# derived; an overhang of 5 diameters, window and half as much again, half of the stock for the tip, a third of the
# strength (2400 N/mm^2, from memory) are common practice
NEAR = {
    "depth_above_flutes": (
        {"fixed": {"axial_depth": "5.1 mm"}, "cutter": {"flute_length": "5 mm"}},
        {"fixed": {"axial_depth": "5 mm"}, "cutter": {"flute_length": "5 mm"}},
    ),
    "pocket_deeper_than_overhang": (
        {"pocket": {"depth": "40.1 mm"}, "cutter": {"overhang": "40 mm"}},
        {"pocket": {"depth": "40 mm"}, "cutter": {"overhang": "40 mm"}},
    ),
    # so much stock that the deflection does not govern; the stress goes with the overhang
    "bending_stress_high": (LONG | {"cutter": {"overhang": "105 mm"}}, LONG | {"cutter": {"overhang": "100 mm"}}),
    # the feed that the user fixes is not taken back; the deflection goes with the cube of the overhang
    "deflection_above_share": (
        {"fixed": {"feed_per_tooth": "0.06 mm"}, "pocket": OPEN, "cutter": {"overhang": "70 mm"}},
        {"fixed": {"feed_per_tooth": "0.06 mm"}, "pocket": OPEN, "cutter": {"overhang": "60 mm"}},
    ),
    # an edge of 8 um wants 0.0032 mm; at half the diameter the mean chip is 2/pi of the feed
    "chip_below_least": (
        {"fixed": {"feed_per_tooth": "0.0050 mm", "radial_width": "6 mm"}},
        {"fixed": {"feed_per_tooth": "0.0052 mm", "radial_width": "6 mm"}},
    ),
    # 0.06 x 0.9165 mm, over 0.968 at 4.5 mm of 12 mm
    "feed_above_bound": ({"fixed": {"feed_per_tooth": "0.0569 mm"}}, {"fixed": {"feed_per_tooth": "0.0567 mm"}}),
    # twice 5 um; set down to whole millimetres a minute
    "runout_above_feed": ({"fixed": {"feed_per_tooth": "0.0099 mm"}}, {"fixed": {"feed_per_tooth": "0.0101 mm"}}),
    # 5.75 mm times the cosine of the flattest slope: 85.00 and 85.03 deg make 0.501 and 0.498 mm
    "stairs_above_stock": ({"pocket": {"slope_from": "85 deg"}}, {"pocket": {"slope_from": "85.03 deg"}}),
    # steps of 1.4375 mm over the tangent of the slope, rings 4.5 mm wide: 17.7 deg
    "slope_pass_wide": (
        {"cut": {"slope_step": "1.5 mm"}, "pocket": {"slope_from": "17.6 deg"}},
        {"cut": {"slope_step": "1.5 mm"}, "pocket": {"slope_from": "17.8 deg"}},
    ),
    # (2 + sqrt 2)/4 of 12 mm is 10.243 mm
    "rings_leave_posts": ({"fixed": {"radial_width": "10.25 mm"}}, {"fixed": {"radial_width": "10.24 mm"}}),
    "corner_stock_left": (
        {"pocket": CORNER | {"fillet_radius": "5.9 mm"}},
        {"pocket": CORNER | {"fillet_radius": "6 mm"}},
    ),
    # the mean chip over 75.5 deg is 0.8965 of that over 14 deg more, 0.9084 of that over 12 deg more
    "corner_engages_more": ({"pocket": {"corner_angle": "166 deg"}}, {"pocket": {"corner_angle": "168 deg"}}),
    "deep_slot": (
        {"fixed": {"axial_depth": "12.1 mm"}, "pocket": {"depth": "30 mm"}},
        {"fixed": {"axial_depth": "12 mm"}, "pocket": {"depth": "30 mm"}},
    ),
    "entry_leaves_post": ({"assumed": {"entry_share": 2.01}}, {"assumed": {"entry_share": 2.0}}),
    # 0.94775 min in the cut, 0.7 of the life
    "edge_outlasted": ({"wear": {"tool_life": "1.353 min"}}, {"wear": {"tool_life": "1.355 min"}}),
    # 150 m/min at most, set down to whole tens of the spindle
    "life_extrapolated": (
        {"wear": {"tool_life": "60 min", "life_speed": "301 m/min"}},
        {"wear": {"tool_life": "60 min", "life_speed": "298 m/min"}},
    ),
    "long_overhang": ({"cutter": {"overhang": "60.1 mm"}}, {"cutter": {"overhang": "60 mm"}}),
    # a window of 100 to 200 m/min at 12 mm, a hundredth left for rounding: 2626 rev/min
    "speed_below_window": (
        {"machine": {"largest_spindle_speed": "2620 rpm"}},
        {"machine": {"largest_spindle_speed": "2630 rpm"}},
    ),
    "speed_above_window": ({"fixed": {"cutting_speed": "203 m/min"}}, {"fixed": {"cutting_speed": "201 m/min"}}),
    "speed_far_above_window": ({"fixed": {"cutting_speed": "302 m/min"}}, {"fixed": {"cutting_speed": "299 m/min"}}),
    "middle_must_cut": ({}, {"pocket": OPEN}),
    # its chips from 0.02 mm; 2/pi of the feed
    "force_outside_range": (
        STIFF | {"fixed": {"feed_per_tooth": "0.0312 mm", "radial_width": "6 mm"}},
        STIFF | {"fixed": {"feed_per_tooth": "0.0316 mm", "radial_width": "6 mm"}},
    ),
    "no_force_data": (
        {"material": WITHOUT_FORCES, "machine": {"largest_power": "5 kW"}},
        {"machine": {"largest_power": "5 kW"}},
    ),
}


def named(made):
    return {c.name: c for c in made.cautions}


def test_every_caution_has_its_pair_of_jobs():
    assert set(NEAR) == set(ROUGHING_CAUTIONS)


@pytest.mark.parametrize("name", list(NEAR))
def test_a_caution_is_shown_where_it_applies_and_only_there(name):
    having, near = (plan(rough(**tables)) for tables in NEAR[name])
    found, stated = named(having), ROUGHING_CAUTIONS[name]
    assert name in found
    assert name not in named(near)
    assert (found[name].rank, len(found[name].shows)) == (stated.rank, stated.words.count("{"))
    text = found[name].text
    assert not {"{", "nan", "None", "infinite"} & set(text.replace("{", " { ").split())
    for value, _ in found[name].shows:
        assert value > 0.0


def test_words_carry_the_numbers_in_the_units_of_the_page():
    made = plan(rough(pocket=CORNER | {"fillet_radius": "4 mm"}))
    shown = named(made)["corner_stock_left"]
    # (6 - 4)(sqrt(2) - 1) mm (derived)
    assert shown.text.startswith("the inside corners keep 0.828 mm over their fillet")
    assert str(shown) == f"CAUTION: {shown.text}"
    with m.units("inch"):
        assert "keep 0.0326 in over" in shown.text


def test_what_the_caution_of_deflection_names_does_it():
    """Overhang, depth or diameter as it says, each alone: within a tenth, for the force is not even with the depth."""
    base = {"fixed": {"feed_per_tooth": "0.06 mm"}, "pocket": OPEN, "cutter": {"flute_length": "14 mm"}}

    def made(overhang, **more):
        tables = {"cutter": base["cutter"] | {"overhang": f"{overhang} mm"}, "fixed": base["fixed"] | more}
        return plan(rough(**base | tables))

    shown = named(made(90.0))["deflection_above_share"].shows
    deflection, allowed, shorter, depth, diameter = (value for value, _ in shown)
    assert deflection > allowed == 250.0
    assert number(made(90.0 - shorter), "tip_deflection") == pytest.approx(allowed, rel=0.1)
    assert number(made(90.0, axial_depth=f"{depth} mm"), "tip_deflection") == pytest.approx(allowed, rel=0.1)
    base["cutter"]["diameter"] = f"{diameter} mm"
    thick = made(90.0, axial_depth="5.75 mm", radial_width="6 mm")
    assert number(thick, "tip_deflection") == pytest.approx(allowed, rel=0.1)


def test_cautions_come_worst_first_with_those_of_the_material():
    made = plan(
        rough(
            material="Ti-6Al-4V",
            fixed={"axial_depth": "5.5 mm"},
            cutter={"flute_length": "5 mm"},
            pocket={"slope_from": "30 deg"},
        )
    )
    ranks = [RANKS.index(c.rank) for c in made.cautions]
    assert ranks == sorted(ranks)
    assert set(ranks) == {0, 1, 2}
    assert {c.text for c in m.material("Ti-6Al-4V").cautions} <= {c.text for c in made.cautions}


def test_a_smaller_cutter_clears_the_corners():
    """What the caution asks for, and the plan of that: the corners done, none of their stock left."""
    corners = CORNER | {"fillet_radius": "3 mm"}
    assert "corner_stock_left" in named(plan(rough(pocket=corners)))
    small = {"diameter": "6 mm", "flute_length": "13 mm", "overhang": "22 mm"}
    made = plan(rough(pocket=corners, cutter=small, cut={"style": "corners", "larger_diameter": "12 mm"}))
    assert "corner_stock_left" not in named(made)
    assert number(made, "corner_stock") == 0.0
