"""Roughing at its edges: sizes that just fit, every family, slopes to both ends, many jobs side by side in arrays."""

from math import pi, radians, sin, sqrt, tan

import numpy as np
import pytest
from second_roughing import OWN, bare, rough

import millcalc as m
from millcalc.planning import plan
from millcalc.planning.roughing.inputs import roughing_inputs
from millcalc.planning.roughing.kernel import run
from millcalc.quantities.record import fields_of, number

OPEN, RAMP = {"sides": "open"}, {"entry": "ramp"}


def of(made, *names):
    return [number(made, name) for name in names]


def values(made):
    return {n: number(made, n) for n, f in fields_of(made).items() if f.kind}


def assert_sound(made):
    """Every number finite and no less than 0; nothing on the page that is none."""
    for name, value in values(made).items():
        assert value is None or (np.isfinite(value) and value >= 0), (name, value)
    page = m.plan_page(made)
    assert not {"None", "nan", "infinite", "inf"} & set(page.replace(",", " ").split())


# --- pockets that just fit ------------------------------------------------------------------------------------


def test_a_pocket_as_wide_as_the_cutter_is_one_slot():
    made = plan(bare(pocket={"width": "13 mm"}, cut=RAMP))
    assert_sound(made)
    assert of(made, "passes", "radial_width", "engagement_angle") == [0.0, 12.0, 180.0]
    assert number(made, "path_length") == 2 * (69 - 12)
    assert number(made, "cutting_time") == pytest.approx(2 * 57 / number(made, "slot_feed_rate"), rel=1e-12)
    assert number(made, "link_time") == 0.0


def test_a_square_pocket_has_no_centre_line():
    """Rings of 4.25 mm: 8 and 16 times that round each level, and nothing at full width but the entry."""
    made = plan(bare(pocket={"width": "30 mm", "length": "30 mm"}))
    assert_sound(made)
    assert of(made, "passes", "radial_width", "path_length") == [2.0, 4.25, 2 * 4.25 * (8 + 16)]
    assert number(made, "cutting_time") == pytest.approx(204 / number(made, "feed_rate"), rel=1e-12)


def test_width_and_length_of_a_closed_pocket_may_change_places():
    for cut in ({}, RAMP):
        one = plan(bare(cut=cut, pocket={"width": "36 mm", "length": "80 mm"}))
        other = plan(bare(cut=cut, pocket={"width": "80 mm", "length": "36 mm"}))
        assert of(one, "rough_width", "rough_length") == of(other, "rough_length", "rough_width")
        for name, value in values(one).items():
            if value is not None and name not in ("rough_width", "rough_length"):
                assert value == pytest.approx(number(other, name), rel=1e-12), name


def test_stock_that_leaves_hardly_anything_to_rough():
    made = plan(bare(cut={"stock_left": "11.99 mm"}, pocket={"width": "60 mm"}))
    assert_sound(made)
    assert of(made, "levels", "axial_depth") == [1.0, pytest.approx(0.01, abs=1e-9)]
    assert number(made, "entry_pitch") == number(made, "axial_depth")
    assert made.governed_by("axial_depth") == "depth to rough"


def test_one_level_and_a_hair_more():
    """6 mm are one level of half the diameter, a micrometre more is two; rounding is no level."""
    for depth, levels in (("6.5 mm", 1), ("6.500000000001 mm", 1), ("6.501 mm", 2)):
        assert number(plan(bare(pocket={"depth": depth})), "levels") == levels
    fixed = plan(bare(fixed={"axial_depth": "4 mm"}))
    assert of(fixed, "levels", "axial_depth") == [3.0, 4.0]
    assert number(plan(bare(fixed={"axial_depth": "40 mm"})), "axial_depth") == 11.5


def test_a_cut_as_wide_as_the_cutter():
    made = plan(bare(fixed={"radial_width": "12 mm"}, pocket=OPEN))
    assert_sound(made)
    assert of(made, "engagement_angle", "passes") == [180.0, 4.0]
    assert number(made, "chip_thickness") == pytest.approx(number(made, "feed_per_tooth"), rel=1e-12)
    # over half a turn the mean of a sine is 2/pi
    assert number(made, "mean_chip_thickness") == pytest.approx(2 / pi * number(made, "feed_per_tooth"), rel=1e-9)


def test_a_slot_as_wide_as_the_pocket_needs_no_passes_beside_it():
    made = plan(bare(cut={"style": "light radial"}, pocket={"width": "20 mm"}))
    assert_sound(made)
    assert of(made, "slot_width", "passes", "link_time", "acceleration_time") == [19.0, 0.0, 0.0, 0.0]
    assert number(made, "slot_time") == number(made, "cutting_time")
    assert made.governed_by("entry_hole_diameter") == "width to rough"


def test_rings_stay_so_near_that_their_corners_are_cleared():
    """(2 + sqrt(2))/4 of the diameter, 10.243 mm, set down: two rings share 13.5 mm."""
    made = plan(bare(assumed={"width_share": 1.0}))
    assert made.governed_by("radial_width") == "rings that leave nothing in their corners"
    assert of(made, "passes", "radial_width") == [2.0, 6.75]
    # beside a straight wall alone the whole diameter is cleared: 39.5 mm in passes of 12 mm
    assert number(plan(bare(assumed={"width_share": 1.0}, pocket=OPEN)), "passes") == 4


def test_the_hole_of_an_entry_is_no_wider_than_the_slot():
    made = plan(bare(cut={"style": "light radial"}, assumed={"entry_share": 1.8, "slot_share": 1.4}))
    assert of(made, "entry_hole_diameter", "slot_width") == [pytest.approx(16.8), pytest.approx(16.8)]
    assert made.governed_by("entry_hole_diameter") == "slot"


def test_a_corner_without_an_increment_of_feed_is_a_fault():
    """In inches a tenth of an inch a minute is the least: what is left of it in the corners is none."""
    slow = {"machine": {"largest_feed_rate": "3 mm/min"}, "settings": "inch"}
    assert number(plan(bare(**slow)), "feed_rate") == pytest.approx(2.54, rel=1e-12)
    with pytest.raises(m.MillcalcError, match="no feed rate of one increment"):
        plan(bare(**slow, pocket={"corner_angle": "90 deg"}))


def test_walls_in_line_are_no_corner():
    made = plan(bare(pocket={"corner_angle": "180 deg", "fillet_radius": "0 mm"}))
    assert of(made, "corner_feed_rate", "corner_stock") == [number(made, "feed_rate"), 0.0]
    assert number(made, "corner_engagement") == pytest.approx(number(made, "engagement_angle"), rel=1e-12)


def test_climb_and_conventional_load_the_tool_alike():
    """Seen in a mirror they are the same cut, but for the turn of the spindle: the mean torque is the same.

    The steps of the kernel lie otherwise along the edge: 1 %. Peaks lie where the helix comes in or goes out.
    """
    loads = ("cutting_power", "mean_torque", "slot_cutting_power", "slot_mean_torque", "entry_cutting_power")
    directed = ("peak_torque", "peak_bending", "mean_force", "tip_deflection", "bending_stress")
    for family, more in ((m.FlatEndMill, {}), (m.CornerRadiusEndMill, {"corner_radius": "2 mm"})):
        one, other = (plan(rough(family, cutter=more, cut={"cut": way})) for way in ("climb", "conventional"))
        for name, value in values(one).items():
            if value is not None and not name.endswith(directed):
                room = 0.01 if name in loads else 1e-9
                assert value == pytest.approx(number(other, name), rel=room), name


# --- families -------------------------------------------------------------------------------------------------


def test_a_ball_turns_faster_where_it_is_shallow():
    """At 2 mm it cuts with 2 sqrt(2 x 10) mm, and its chip rises with the sine of the angle there (derived)."""
    made = plan(bare(m.BallEndMill, fixed={"axial_depth": "2 mm", "radial_width": "6 mm"}, pocket=OPEN))
    assert_sound(made)
    wide = 2 * sqrt(2 * 10)
    n = number(made, "spindle_speed")
    assert n == 10 * np.floor(150000 / pi / wide / 10)
    assert number(made, "cutting_speed") == pytest.approx(pi * wide * n / 1000, rel=1e-9)
    # engaged beyond its middle there: the whole sine, wide/12
    assert number(made, "chip_thickness") == pytest.approx(number(made, "feed_per_tooth") * wide / 12, rel=1e-9)


def test_a_round_insert_thins_the_chip_below_its_radius():
    """At 1 mm of an insert of 5 mm the edge stands at arccos(1 - 1/2.5): its sine is 0.8 (derived)."""
    cutter = {"insert_diameter": "5 mm", "flute_length": None, "diameter": "20 mm"}
    made = plan(bare(m.RoundInsertCutter, cutter=cutter, fixed={"axial_depth": "1 mm", "radial_width": "12 mm"}))
    assert_sound(made)
    for word in ("", "slot_"):
        feed = number(made, f"{word}feed_per_tooth")
        assert number(made, f"{word}chip_thickness") == pytest.approx(0.8 * feed, rel=1e-9)
    assert number(made, "feed_per_tooth") == pytest.approx(0.06 * 2 * sqrt(0.21) / 0.8, rel=2e-3)


@pytest.mark.parametrize(
    ("family", "cutter"),
    [
        (m.FlatEndMill, {}),
        (m.BallEndMill, {}),
        (m.CornerRadiusEndMill, {"corner_radius": "3 mm"}),
        (m.CornerRadiusEndMill, {"corner_radius": "6 mm"}),
        (m.RoundInsertCutter, {"insert_diameter": "5 mm", "flute_length": None}),
        (m.TaperedBallEndMill, {"tip_diameter": "8 mm", "half_angle": "5 deg", "flute_length": None}),
    ],
)
@pytest.mark.parametrize("style", ["full width", "light radial", "corners"])
def test_every_family_roughs_in_every_style(family, cutter, style):
    cut = {"style": style} | ({"larger_diameter": "20 mm"} if style == "corners" else {})
    made = plan(rough(family, cutter=cutter, cut=cut, pocket={"corner_angle": "90 deg", "depth": "7 mm"}))
    assert_sound(made)
    assert number(made, "chip_thickness") <= number(made, "wanted_chip") * (1 + 1e-9)
    loads = ("mean_torque", "cutting_power", "peak_bending", "tip_deflection")
    assert all(value > 0 for value in of(made, *loads))


def test_a_corner_radius_of_half_the_diameter_is_a_ball():
    tables = {"pocket": {"slope_from": "20 deg", "slope_to": "70 deg"}}
    one = plan(bare(m.BallEndMill, **tables))
    other = plan(bare(m.CornerRadiusEndMill, cutter={"corner_radius": "6 mm"}, **tables))
    for name, value in values(one).items():
        assert value is None or value == pytest.approx(number(other, name), rel=1e-6), name


@pytest.mark.parametrize(("diameter", "teeth"), [(0.1, 2), (0.5, 2), (60.0, 6), (300.0, 12)])
def test_tiny_and_huge_cutters(diameter, teeth):
    size = {name: f"{factor * diameter} mm" for name, factor in (("width", 8), ("length", 15), ("depth", 1.2))}
    cutter = {"diameter": f"{diameter} mm", "teeth": teeth, "flute_length": f"{2 * diameter} mm"}
    made = plan(
        bare(
            pocket=size,
            cut={"stock_left": f"{0.04 * diameter} mm"},
            cutter=cutter | {"overhang": f"{3 * diameter} mm"},
            machine={"largest_spindle_speed": "60000 rpm"},
        )
    )
    assert_sound(made)
    assert of(made, "levels", "passes") == [3.0, 7.0]
    assert number(made, "cutting_speed") <= 150.0


# --- slopes ---------------------------------------------------------------------------------------------------


def stair(family=m.FlatEndMill, cutter=(), step="3 mm", **pocket):
    return number(
        plan(bare(family, cutter=dict(cutter), fixed={"axial_depth": step}, pocket=pocket)), "stair_thickness"
    )


def test_stairs_at_both_ends_of_the_slopes():
    """A level floor keeps a whole level, an upright wall nothing; in between its step by the cosine (derived)."""
    assert stair(slope_from="0 deg") == pytest.approx(3.0, rel=1e-12)
    assert stair(slope_from="90 deg") == pytest.approx(0.0, abs=1e-12)
    assert stair(slope_from="0 deg", slope_to="90 deg") == pytest.approx(3.0, rel=1e-9)
    assert stair(slope_from="60 deg") == pytest.approx(1.5, rel=1e-12)
    assert stair(slope_to="35 deg") == stair(slope_from="35 deg", slope_to="35 deg") == stair(slope_from="35 deg")
    assert stair(slope_from="35 deg", slope_to="70 deg") == stair(slope_from="70 deg", slope_to="35 deg")


@pytest.mark.parametrize("radius", ["-20 mm", "20 mm"])
def test_stairs_of_a_curved_wall_grow_with_the_step(radius):
    slopes = {"slope_from": "30 deg", "slope_to": "70 deg", "surface_radius": radius}
    found = [stair(step=f"{s} mm", **slopes) for s in (0.25, 2.0)]
    assert found == sorted(found)
    # of steps small against the radius those of a plane
    assert found[0] == pytest.approx(0.25 * 0.75**0.5, rel=0.03)


def test_a_concave_radius_just_above_the_ball():
    """With 0.5 mm of stock 6.6 mm become 6.1 mm: stairs are thin where the cutter nearly fits, there 6 mm."""
    slopes = {"slope_from": "20 deg", "slope_to": "60 deg"}
    near = stair(m.BallEndMill, surface_radius="-6.51 mm", **slopes)
    assert 0 < near < stair(m.BallEndMill, surface_radius="-8 mm", **slopes) < stair(m.BallEndMill, **slopes)
    with pytest.raises(m.MillcalcError, match="does not fit its radius"):
        stair(m.BallEndMill, surface_radius="-6.49 mm", **slopes)


def test_passes_along_the_slopes_thin_the_stairs():
    pocket = {"slope_from": "30 deg", "slope_to": "60 deg"}
    without = plan(bare(pocket=pocket))
    made = plan(bare(pocket=pocket, cut={"slope_step": "1 mm"}))
    # six steps in a level of 5.75 mm, five of them above its floor, twice 27 + 57 mm round
    assert of(made, "slope_passes", "slope_step") == [5.0, pytest.approx(5.75 / 6, rel=1e-12)]
    assert number(made, "stair_thickness") == pytest.approx(5.75 / 6 * 0.75**0.5, rel=1e-9)
    more = 2 * 5 * 2 * (27 + 57)
    assert number(made, "path_length") - number(without, "path_length") == pytest.approx(more, rel=1e-12)
    assert number(made, "slope_time") == pytest.approx(more / number(made, "feed_rate"), rel=1e-12)
    one = plan(bare(pocket=pocket, cut={"slope_step": "6 mm"}))
    assert of(one, "slope_passes", "slope_time") == [0.0, 0.0]
    assert number(one, "stair_thickness") == number(without, "stair_thickness")
    along = plan(bare(pocket=pocket | OPEN, cut={"slope_step": "1 mm"}))
    # open: once along the wall, half a diameter before and behind
    assert number(along, "slope_time") == pytest.approx(2 * 5 * 82 / number(along, "feed_rate"), rel=1e-12)


def test_an_entry_is_no_steeper_than_assumed():
    for angle in (0.5, 3.0, 30.0):
        for word in ("helix", "ramp"):
            made = plan(bare(cut={"entry": word}, assumed={"ramp_angle": f"{angle} deg"}))
            assert number(made, "entry_angle") <= angle * (1 + 1e-9)
            feed = number(made, "entry_feed_per_tooth") * sin(radians(number(made, "entry_angle")))
            assert number(made, "entry_axial_feed") == pytest.approx(feed, rel=1e-12)
        ramps = number(made, "ramp_passes")
        assert (ramps - 1) * 57 * tan(radians(angle)) < number(made, "axial_depth")


# --- side by side ---------------------------------------------------------------------------------------------

LIMITS = {"largest_power": "0.9 kW", "largest_torque": "3 N*m"}
SLOPED = {"slope_from": "30 deg", "slope_to": "60 deg", "surface_radius": "300 mm", "corner_angle": "90 deg"}
SIDE_BY_SIDE = {
    "helix, stock": ({"pocket": SLOPED, "machine": LIMITS}, {"stock_left": [0.1, 0.3, 0.8, 2.0]}),
    "ramp, shares": (
        {"cut": RAMP, "machine": LIMITS},
        {
            "depth_share": [0.2, 0.5, 0.9, 1.3],
            "width_share": [0.5, 0.3, 0.1, 0.9],
            "largest_power": [9.0, 0.2, 0.6, 1.5],
        },
    ),
    "fixed sizes": (
        {"fixed": {"axial_depth": "3 mm", "radial_width": "5 mm"}, "machine": LIMITS},
        {"axial_depth": [1.0, 3.0, 5.0, 14.0], "radial_width": [0.5, 5.0, 9.0, 12.0]},
    ),
    "light radial": (
        {"cut": {"style": "light radial", "slope_step": "2 mm"}, "pocket": SLOPED, "machine": LIMITS},
        {"stock_left": [0.1, 0.4, 1.0], "slot_share": [1.2, 1.6, 2.0], "depth_share": [0.3, 0.8, 2.0]},
    ),
    "open": ({"pocket": OPEN, "machine": LIMITS}, {"stock_left": [0.1, 5.0], "largest_torque": [1.0, 4.0]}),
    "corners": (
        {"cut": {"style": "corners", "larger_diameter": "20 mm"}, "pocket": {"corner_angle": "90 deg"}},
        {"larger_diameter": [13.0, 20.0, 40.0], "corner_angle": [60.0, 90.0, 140.0], "depth_share": [0.2, 0.5, 1.0]},
    ),
}


@pytest.mark.parametrize("name", list(SIDE_BY_SIDE))
def test_jobs_side_by_side_give_row_by_row_what_they_give_alone(name):
    """Every number, what governs it, every fault and caution, under limits that stop the rows at different places."""
    tables, varied = SIDE_BY_SIDE[name]
    inputs = roughing_inputs(rough(**tables))
    together = run(inputs.choices, inputs.numbers | {n: np.array(v) for n, v in varied.items()})
    rows = len(next(iter(varied.values())))
    for row in range(rows):
        alone = run(inputs.choices, inputs.numbers | {n: v[row] for n, v in varied.items()})
        for part in ("values", "causes", "faults", "cautions"):
            one, other = getattr(together, part), getattr(alone, part)
            assert one.keys() == other.keys()
            for key, value in other.items():
                if value is None or np.asarray(value).dtype.kind not in "fib":
                    continue
                here = np.broadcast_to(np.asarray(one[key], dtype=float), (rows,))[row]
                assert here == pytest.approx(float(np.ravel(value)[0]), rel=1e-9, abs=1e-12, nan_ok=True), (row, key)


def test_the_rows_side_by_side_are_those_of_plans():
    inputs = roughing_inputs(rough(machine=LIMITS))
    stocks = [0.2, 0.6, 1.5]
    together = run(inputs.choices, inputs.numbers | {"stock_left": np.array(stocks)})
    for row, stock in enumerate(stocks):
        made = plan(rough(machine=LIMITS, cut={"stock_left": f"{stock} mm"}))
        for name, value in values(made).items():
            if value is not None and name in together.values:
                here = np.broadcast_to(together.values[name], (3,))[row]
                assert here == pytest.approx(value, rel=1e-9), (row, name)


def test_a_material_without_a_window_is_planned_at_the_speed_that_is_fixed():
    import attrs

    silent = attrs.evolve(OWN, cutting_speeds=())
    made = plan(bare(material=silent, fixed={"spindle_speed": "3000 rpm"}))
    assert number(made, "spindle_speed") == 3000
    with pytest.raises(m.MillcalcError, match="cutting speed"):
        plan(bare(material=silent))
