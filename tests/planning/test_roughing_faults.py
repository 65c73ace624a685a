"""Each fault of a roughing job: raised by a job, naming place, value and remedy; a near job can be cut."""

import pytest
from second_roughing import bare as rough

import millcalc as m
from millcalc.errors import ImpossibleJobError
from millcalc.planning import plan
from millcalc.planning.roughing.remarks import ROUGHING_FAULTS
from millcalc.quantities.record import number

RAMP, LIGHT = {"entry": "ramp"}, {"style": "light radial"}
FAST = {"largest_spindle_speed": "20000 rpm"}
ROUND = {"family": m.CornerRadiusEndMill, "cutter": {"corner_radius": "3 mm"}}

# the impossible job, the value its message shows, a near job that can be cut.  Stock of 0.5 mm on both walls, a cutter
# of 12 mm, 1.05 of it for an entry or loops (common practice); feeds of 4 teeth at 3970 rev/min
JOBS = {
    "wider_than_pocket": (
        {"pocket": {"width": "12.99 mm"}, "cut": RAMP},
        "12 mm",
        {"pocket": {"width": "13 mm"}, "cut": RAMP},
    ),
    "no_room_for_helix": ({"pocket": {"width": "13.59 mm"}}, "12.59 mm", {"pocket": {"width": "13.61 mm"}}),
    "no_room_for_ramp": (
        {"pocket": {"width": "13.5 mm", "length": "13.59 mm"}, "cut": RAMP},
        "13.59 mm",
        {"pocket": {"width": "13.5 mm", "length": "13.61 mm"}, "cut": RAMP},
    ),
    "no_room_for_loops": (
        {"pocket": {"width": "13.59 mm"}, "cut": LIGHT},
        "12.59 mm",
        {"pocket": {"width": "13.61 mm"}, "cut": LIGHT},
    ),
    # set to thousandths of a millimetre
    "no_width": ({"assumed": {"width_share": 8.3e-5}}, "0 mm", {"assumed": {"width_share": 8.4e-5}}),
    # with the stock a radius of 2.9 mm, then 3.1 mm, for a corner of 3 mm
    "does_not_fit_slope": (
        ROUND | {"pocket": {"slope_from": "20 deg", "surface_radius": "-3.4 mm"}},
        "20 deg",
        ROUND | {"pocket": {"slope_from": "20 deg", "surface_radius": "-3.6 mm"}},
    ),
    "spindle_above_machine": (
        {"fixed": {"spindle_speed": "12001 rpm"}},
        "12001 rev/min",
        {"fixed": {"spindle_speed": "12000 rpm"}},
    ),
    "spindle_above_holder": (
        {"fixed": {"spindle_speed": "9001 rpm"}, "machine": {"holder_spindle_speed": "9000 rpm"}},
        "9001 rev/min",
        {"fixed": {"spindle_speed": "9000 rpm"}, "machine": {"holder_spindle_speed": "9000 rpm"}},
    ),
    "spindle_above_cutter": (
        {"fixed": {"spindle_speed": "9001 rpm"}, "cutter": {"rated_spindle_speed": "9000 rpm"}},
        "9001 rev/min",
        {"fixed": {"spindle_speed": "9000 rpm"}, "cutter": {"rated_spindle_speed": "9000 rpm"}},
    ),
    # 10 rev/min, the least that is set, is 0.377 m/min at 12 mm
    "no_spindle_speed": (
        {"fixed": {"cutting_speed": "0.37 m/min"}},
        "0 rev/min",
        {"fixed": {"cutting_speed": "0.38 m/min"}},
    ),
    "width_above_cutter": (
        {"fixed": {"feed_per_tooth": "0.05 mm", "feed_radial_width": "12.1 mm"}},
        "12.1 mm",
        {"fixed": {"feed_per_tooth": "0.05 mm", "feed_radial_width": "12 mm"}},
    ),
    # 0.1 mm needs 1588 mm/min
    "feed_above_machine": (
        {"fixed": {"feed_per_tooth": "0.1 mm"}, "machine": {"largest_feed_rate": "1587 mm/min"}},
        "0.1 mm",
        {"fixed": {"feed_per_tooth": "0.1 mm"}, "machine": {"largest_feed_rate": "1589 mm/min"}},
    ),
    # at the least chip the full width still needs 0.106 kW, 0.38 N m and 193 N (the library's own figures)
    "power_above_machine": ({"machine": {"largest_power": "90 W"}}, "kW", {"machine": {"largest_power": "130 W"}}),
    "torque_above_machine": (
        {"machine": {"largest_torque": "0.3 N*m"}},
        "N m",
        {"machine": {"largest_torque": "0.46 N*m"}},
    ),
    "thrust_above_machine": ({"machine": {"largest_thrust": "150 N"}}, " N", {"machine": {"largest_thrust": "200 N"}}),
    # feeds are set to whole millimetres a minute
    "no_feed": (
        {"machine": {"largest_feed_rate": "0.9 mm/min"}},
        "0 mm/min",
        {"machine": {"largest_feed_rate": "1 mm/min"}},
    ),
    "not_computed": (
        {"assumed": {"time_factor": 1e308}, "pocket": {"length": "900 mm"}},
        "infinite",
        {"assumed": {"time_factor": 1e300}, "pocket": {"length": "900 mm"}},
    ),
}


def test_every_fault_has_its_job():
    assert set(JOBS) == set(ROUGHING_FAULTS)


@pytest.mark.parametrize("name", list(JOBS))
def test_an_impossible_job_says_where_why_and_what_would_do(name):
    impossible, value, _ = JOBS[name]
    with pytest.raises(ImpossibleJobError) as caught:
        plan(rough(**impossible))
    (fault,) = caught.value.faults  # the first cause, without what follows from it
    stated = ROUGHING_FAULTS[name]
    assert (fault.where, fault.reason, fault.accepted) == (stated.where, stated.reason, stated.remedy)
    assert value in fault.given
    message = str(caught.value)
    assert all(part in message for part in (stated.where, value, stated.reason, stated.remedy))
    assert "\n" not in message


@pytest.mark.parametrize("name", list(JOBS))
def test_the_near_job_can_be_cut(name):
    assert number(plan(rough(**JOBS[name][2])), "operation_time") > 0


@pytest.mark.parametrize(
    ("name", "remedy"),
    [
        ("wider_than_pocket", {"cut": RAMP | {"stock_left": "0.2 mm"}}),
        ("no_room_for_helix", {"cut": RAMP}),
        ("no_room_for_ramp", {"cutter": {"diameter": "11 mm"}, "cut": RAMP}),
        ("no_room_for_loops", {"cutter": {"diameter": "11 mm"}}),
        ("no_width", {"assumed": {"width_share": 0.1}}),
        ("does_not_fit_slope", {"cutter": {"corner_radius": "2 mm"}}),
        ("power_above_machine", {"cutter": {"diameter": "8 mm", "teeth": 2}}),
        ("torque_above_machine", {"cutter": {"diameter": "8 mm", "teeth": 2}}),
        ("thrust_above_machine", {"fixed": {"axial_depth": "2 mm"}}),
    ],
)
def test_what_the_message_names_does_it(name, remedy):
    made = plan(rough(**JOBS[name][0] | remedy))
    assert number(made, "operation_time") > 0


def test_values_in_a_message_follow_the_units_in_use():
    with m.units("inch"), pytest.raises(ImpossibleJobError, match=r"given 0\.4957 in;"):
        plan(rough(**JOBS["no_room_for_helix"][0]))


def test_every_cause_is_listed_in_one_error_and_a_sheet_cannot_be_had():
    job = rough(pocket={"width": "12 mm"}, fixed={"spindle_speed": "13000 rpm"})
    with pytest.raises(ImpossibleJobError) as caught:
        plan(job)
    assert [f.where for f in caught.value.faults] == ["cutter.diameter", "fixed.spindle_speed"]


def test_a_short_pocket_takes_a_round_slot():
    """Shorter than the slot would be wide: a hole all over its length, and no loop to carry it on."""
    made = plan(rough(cut=LIGHT, pocket={"length": "18 mm"}))
    assert number(made, "slot_width") == number(made, "entry_hole_diameter") == 17.0
    assert number(made, "loops") == number(made, "slot_time") == 0.0
    assert number(made, "passes") == 19  # 22 mm beside it at 1.2 mm
