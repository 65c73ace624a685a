"""Each caution: shown by a job that has it, absent in a near job that has not; ranks; numbers in the words."""

import attrs
import pytest
from jobs import EXAMPLE, changed

import millcalc as m
from millcalc.planning import plan
from millcalc.planning.cautions import CAUTIONS, RANKS, SAFETY
from millcalc.quantities.record import number

UPRIGHT = {"axis": {"lead": "0 deg"}}
FINE, COARSE = {"finish": {"ra": "0.4 um"}}, {"finish": {"ra": "0.5 um"}}
FAST = {"largest_spindle_speed": "99000 rpm"}
ALONE = {"previous_diameter": None, "previous_stepover": None}
FORM = {"finish": {"ra": "3 um"}}
FEED = {"feed_per_tooth": "0.02 mm"}


WITHOUT_FORCES = attrs.evolve(m.material("42CrMo4"), kienzle=(), specific_energy=(), force_coefficients=())
LENS = m.family("lens")(diameter="6 mm", segment_radius="20 mm", corner_radius="0.5 mm", teeth=2)


PLANS = {}


def planned(tables):
    """Return the plan of a changed job, each made once."""
    key = repr(tables)
    if key not in PLANS:
        PLANS[key] = plan(changed(**tables))
    return PLANS[key]


def flat(flutes):
    return m.FlatEndMill(diameter="6 mm", teeth=2, flute_length=flutes)


# a job that has the caution, a near one that has not.  The limits: tip clear from acos(1 - 2 a/D), heights (derived);
# overhang of 5 diameters, Ra 0.4 um, shares, twice the chart's chip, window and half as much again, stock of a tenth
# and a quarter of the diameter (common practice); cut-off 0.8 mm for Ra 0.1 to 2 um (from memory, ISO 4288)
NEAR = {
    # in steel a caution, one step worse for Ra 0.4 um and finer; in aluminium a note
    "tip_in_cut_stop": (UPRIGHT | FINE, UPRIGHT | COARSE),
    "tip_in_cut": (UPRIGHT | COARSE, UPRIGHT | FINE),
    # leaned to the uncut side the tip lies where the pass before has cut: in stock on the first pass only
    "first_pass_tip": (
        {"axis": {"lead": "0 deg", "tilt": "-15.4 deg"}},
        {"axis": {"lead": "0 deg", "tilt": "-15.6 deg"}},
    ),
    "tip_in_cut_note": (UPRIGHT | COARSE | {"material": "7075"}, UPRIGHT | FINE | {"material": "7075"}),
    # the ball's scallop ends at a stepover of D cos(tilt): 3 mm at 60 deg
    "shank_cuts_scallop": (
        {"axis": {"lead": "0 deg", "tilt": "60 deg"}, "fixed": {"stepover": "3.01 mm"}, "before": {"stock": "1 mm"}},
        {"axis": {"lead": "0 deg", "tilt": "60 deg"}, "fixed": {"stepover": "3 mm"}, "before": {"stock": "1 mm"}},
    ),
    # 0.5 mm on a 6 mm ball leaves 10.44 um
    "scallop_deeper_than_stock": (
        {"fixed": {"stepover": "0.5 mm"}, "before": ALONE | {"stock": "10.4 um"}},
        {"fixed": {"stepover": "0.5 mm"}, "before": ALONE | {"stock": "10.5 um"}},
    ),
    "form_budget_spent": (
        {"fixed": {"stepover": "0.5 mm"}, "finish": {"form_tolerance": "0.0108 mm"}, "cutter": {"overhang": None}},
        {"fixed": {"stepover": "0.5 mm"}, "finish": {"form_tolerance": "0.0112 mm"}, "cutter": {"overhang": None}},
    ),
    "finish_missed": ({"fixed": {"stepover": "0.194 mm"}}, {"fixed": {"stepover": "0.193 mm"}}),
    # the widest step of the shipped job is 0.69 mm
    "chord_missed": (
        {"fixed": {"point_spacing": "0.7 mm", "stepover": "0.19 mm"}},
        {"fixed": {"point_spacing": "0.69 mm", "stepover": "0.19 mm"}},
    ),
    # marks a revolution apart use their share up at 0.06838 mm on a plane, a little less on the crest
    "feed_above_bound": ({"fixed": {"feed_per_tooth": "0.068 mm"}}, {"fixed": {"feed_per_tooth": "0.067 mm"}}),
    # 0.05 mm x 2 x 17500 rev/min is 1750 mm/min; a block each 2 ms allows 30000 mm/min per mm of spacing (derived)
    "fixed_feed_not_kept": (
        {"fixed": {"feed_per_tooth": "0.05 mm", "point_spacing": "0.05 mm"}},
        {"fixed": {"feed_per_tooth": "0.05 mm", "point_spacing": "0.06 mm"}},
    ),
    "feed_marks_missed": ({"fixed": {"feed_per_tooth": "0.068 mm"}}, {"fixed": {"feed_per_tooth": "0.067 mm"}}),
    "runout_above_feed": ({"cutter": {"eccentricity": "34 um"}}, {"cutter": {"eccentricity": "33 um"}}),
    # a rounding of 8 um wants 0.0032 mm; the mean chip is 0.0652 of the feed here
    "chip_below_least": ({"fixed": {"feed_per_tooth": "0.048 mm"}}, {"fixed": {"feed_per_tooth": "0.05 mm"}}),
    # the chip is 0.1727 of the feed, the chart's largest 0.02615 mm
    "chip_far_above_chart": (
        {"fixed": {"feed_per_tooth": "0.304 mm", "spindle_speed": "5000 rpm"}},
        {"fixed": {"feed_per_tooth": "0.302 mm", "spindle_speed": "5000 rpm"}},
    ),
    "first_pass_chip": ({"fixed": {"feed_per_tooth": "0.099 mm"}}, {"fixed": {"feed_per_tooth": "0.097 mm"}}),
    # a revolution apart the marks are as far apart as the passes at 0.095 mm, and a little higher on the crest
    "marks_above_scallop": ({"fixed": {"feed_per_tooth": "0.095 mm"}}, {"fixed": {"feed_per_tooth": "0.093 mm"}}),
    "block_time_governs": ({"machine": {"block_time": "30 ms"}}, {"machine": {"block_time": "15 ms"}}),
    # a 10 mm ball at 0.6 mm leaves 9.008 um
    "stock_below_previous_scallop": ({"before": {"stock": "9 um"}}, {"before": {"stock": "9.1 um"}}),
    "no_better_than_before": (
        {"fixed": {"stepover": "0.47 mm"}},  # 9.22 um
        {"fixed": {"stepover": "0.46 mm"}},  # 8.83 um
    ),
    "stepover_above_cut_off": ({"fixed": {"stepover": "0.81 mm"}}, {"fixed": {"stepover": "0.8 mm"}}),
    # bending goes with the cube of the overhang (derived); the strength over 3 is 800 N/mm^2 (from memory)
    "deflection_above_share": ({"cutter": {"overhang": "30 mm"}}, {"cutter": {"overhang": "22 mm"}}),
    "bending_stress_high": (
        {"cutter": {"overhang": "150 mm"}, "before": ALONE | {"stock": "1 mm"}},
        {"cutter": {"overhang": "30 mm"}},
    ),
    # kc1.1 of 42CrMo4 holds from 0.1 mm; the milling coefficients of 7075 have no such range
    "force_outside_range": ({}, {"material": "7075"}),
    "no_force_data": (
        {"material": WITHOUT_FORCES, "machine": {"largest_power": "5 kW"}},
        {"machine": {"largest_power": "5 kW"}},
    ),
    # 10.7375 min in the cut, 0.7 x (180/167.3846)^4 of the stated life
    "edge_outlasted": ({"wear": {"tool_life": "11.46 min"}}, {"wear": {"tool_life": "11.48 min"}}),
    # 167.385 m/min
    "life_extrapolated": ({"wear": {"life_speed": "83.6 m/min"}}, {"wear": {"life_speed": "83.8 m/min"}}),
    "long_overhang": ({"cutter": {"overhang": "30.1 mm"}}, {"cutter": {"overhang": "30 mm"}}),
    # 114.3 to 221 m/min at 3.0446 mm, a hundredth left for rounding
    "speed_below_window": (
        {"machine": {"largest_spindle_speed": "11800 rpm"}},
        {"machine": {"largest_spindle_speed": "11900 rpm"}},
    ),
    "speed_above_window": (
        {"fixed": {"cutting_speed": "225 m/min"}, "machine": FAST},
        {"fixed": {"cutting_speed": "221 m/min"}, "machine": FAST},
    ),
    "speed_far_above_window": (
        {"fixed": {"cutting_speed": "333 m/min"}, "machine": FAST},
        {"fixed": {"cutting_speed": "331 m/min"}, "machine": FAST},
    ),
    "stock_deep": ({"before": ALONE | {"stock": "0.61 mm"}}, {"before": ALONE | {"stock": "0.6 mm"}}),
    "stock_far_too_deep": ({"before": ALONE | {"stock": "1.51 mm"}}, {"before": ALONE | {"stock": "1.5 mm"}}),
    "tight_radius": (
        {"surface": {"radius_across": "-3.7 mm", "width": "10 mm"}, "before": ALONE},
        {"surface": {"radius_across": "-3.8 mm", "width": "10 mm"}, "before": ALONE},
    ),
    "radius_not_stated": (
        {"surface": {"slope_from": "20 deg", "slope_to": "50 deg"}, "passes": {"spacing": "step down"}},
        {"surface": {"slope_from": "20 deg", "slope_to": "20 deg"}, "passes": {"spacing": "step down"}},
    ),
    "theory_below_measured": ({}, {"finish": {"ra": "1 um"}}),
    # 0.1 mm of stock and 9 um of scallops, at 15 deg, reach 0.109/cos(15 deg) = 0.113 mm up a flat end's edge (derived)
    "above_flutes": (FORM | {"cutter": flat("0.11 mm")}, FORM | {"cutter": flat("0.115 mm")}),
    # a flat end of 6 mm, upright, meets up to 6 mm; nine tenths are 5.4 mm (common practice)
    "passes_hardly_meet": (
        {"cutter": flat("10 mm"), "axis": {"lead": "0 deg"}, "fixed": FEED | {"stepover": "5.5 mm"}},
        {"cutter": flat("10 mm"), "axis": {"lead": "0 deg"}, "fixed": FEED | {"stepover": "5.3 mm"}},
    ),
    # lens of 20 mm on a cutter of 6 mm: its corner of 0.5 mm begins at asin(2.5/19.5) = 7.366 deg (derived)
    "off_segment": ({"axis": {"lead": "7.4 deg"}, "cutter": LENS}, {"axis": {"lead": "7.3 deg"}, "cutter": LENS}),
}


def test_every_caution_has_its_pair_of_jobs():
    assert set(NEAR) == set(CAUTIONS)


@pytest.mark.parametrize("name", list(NEAR))
def test_caution_is_shown_where_it_applies_and_only_there(name):
    having, near = (planned(tables) for tables in NEAR[name])
    found = {c.name: c for c in having.cautions}
    assert name in found
    assert name not in {c.name for c in near.cautions}
    assert found[name].rank == CAUTIONS[name].rank
    for key, _ in CAUTIONS[name].shows:
        assert key  # each number that is shown stands in the text
    assert len(found[name].shows) == CAUTIONS[name].words.count("{")
    assert "{" not in found[name].text
    assert " - " not in f" {found[name].text} "


def test_words_carry_the_numbers():
    made = planned(NEAR["no_better_than_before"][0])
    (shown,) = (c for c in made.cautions if c.name == "no_better_than_before")
    assert shown.text == "the scallop, 9.22 um, is not below that of the operation before, 9.01 um"
    assert str(shown) == f"CAUTION: {shown.text}"


def test_numbers_in_the_words_follow_the_units_of_the_page():
    made = planned(NEAR["no_better_than_before"][0])
    (shown,) = (c for c in made.cautions if c.name == "no_better_than_before")
    with m.units("inch"):
        assert shown.text == "the scallop, 363 uin, is not below that of the operation before, 355 uin"


def test_the_inclination_that_would_clear_the_tip_does():
    """The caution names it; leaned so far to the machined side the tip is clear, a hundredth less it is not."""
    upright = changed(**UPRIGHT, surface={"radius_along": "flat"})
    made = plan(upright)
    named = number(made, "clearing_inclination")
    (shown,) = (c for c in made.cautions if c.name == "tip_in_cut")
    assert f"lean the axis {named:.3g} deg or more" in shown.text
    # leaned to the machined side, left of the feed in a climb cut, the tip lies in the uncut stock
    for lean, in_cut in ((named + 0.01, False), (named - 0.01, True)):
        leaned = changed(axis={"lead": "0 deg", "tilt": f"{lean} deg"}, surface={"radius_along": "flat"})
        assert any(c.name.startswith("tip") for c in plan(leaned).cautions) is in_cut


def test_cautions_come_worst_first():
    worst = {
        "axis": {"lead": "0 deg"},
        "fixed": {"stepover": "0.9 mm"},
        "before": {"stock": "0.02 mm"},
        "machine": {"largest_spindle_speed": "4000 rpm"},
    }
    ranks = [RANKS.index(c.rank) for c in plan(changed(**worst)).cautions]
    assert ranks == sorted(ranks)
    assert set(ranks) == {0, 1, 2}


@pytest.mark.parametrize(
    ("material", "word"),
    [("Ti-6Al-4V", "titanium fire"), ("7075", "dust explodes"), ("42CrMo4", "Chips are hot and sharp")],
)
def test_cautions_of_the_material_are_present(material, word):
    made = plan(EXAMPLE.with_(material=material))
    assert any(word in c.text for c in made.cautions)
    known = m.material(material)
    assert {c.text for c in known.cautions} <= {c.text for c in made.cautions}


def test_safety_text_is_on_page_and_sheet():
    made = planned({})
    page, sheet = m.plan_page(made), str(made.sheet())
    for text in SAFETY:
        assert text in page
        assert text in sheet
    together = " ".join(SAFETY)
    assert all(w in together for w in ("proved on the machine", "holder", "eye protection", "balanced and rated"))
