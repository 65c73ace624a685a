"""Each fault: raised by a job, naming the place, the value, and what would make the job possible; then it is."""

import math

import pytest
from jobs import changed

import millcalc as m
from millcalc.cutters import Cutter, Line
from millcalc.errors import ImpossibleJobError
from millcalc.planning import plan
from millcalc.planning.faults import FAULTS
from millcalc.quantities.kinds import POSITIVE, Length
from millcalc.quantities.record import entry, number, record

ALONE = {"previous_diameter": None, "previous_stepover": None}
UPRIGHT = {"lead": None, "tilt": None, "direction": "vertical"}


def slopes(low, high):
    return {"slope_from": f"{low} deg", "slope_to": f"{high} deg"}


@record
class Cone(Cutter):
    """A cone without a cylinder above it: a family as a shop may state it in a script."""

    family = "cone"
    endless = False

    diameter: Length = entry(domain=POSITIVE)

    def pieces(self):
        radius = 0.5 * number(self, "diameter")
        return [Line((0.0, 0.0), (radius / math.sqrt(3.0), radius))]


CONE = Cone(diameter="6 mm", teeth=2)

# the impossible job, the value its message shows, the job with the remedy that the message names
JOBS = {
    "concave_across": (
        {"surface": {"radius_across": "-3 mm", "width": "9 mm"}, "before": ALONE},
        "-3 mm",
        {"surface": {"radius_across": "-3 mm", "width": "9 mm"}, "before": ALONE, "cutter": {"diameter": "5 mm"}},
    ),
    "concave_along": (
        {"surface": {"radius_along": "-2.9 mm", "length": "9 mm"}, "before": ALONE},
        "-2.9 mm",
        {"surface": {"radius_along": "-2.9 mm", "length": "9 mm"}, "before": ALONE, "cutter": {"diameter": "5 mm"}},
    ),
    # full turns: 2 pi 9.5 is 59.69 mm, 2 pi 12.7 is 79.80 mm
    "wider_than_turn": (
        {"surface": {"radius_across": "9.5 mm"}},
        "60 mm",
        {"surface": {"radius_across": "9.6 mm"}},
    ),
    "longer_than_turn": (
        {"surface": {"radius_along": "12.7 mm"}},
        "80 mm",
        {"surface": {"radius_along": "12.8 mm"}},
    ),
    "scallop_above_ball": (
        {"finish": {"ra": None, "scallop_height": "3.1 mm"}, "before": {"stock": "2 mm"}},
        "3100 um",
        {"finish": {"ra": None, "scallop_height": "0.1 mm"}, "before": {"stock": "2 mm"}},
    ),
    "stock_above_ball": (
        {"before": ALONE | {"stock": "3.01 mm"}},
        "3.01 mm",
        {"before": ALONE | {"stock": "3.01 mm"}, "cutter": {"diameter": "8 mm"}},
    ),
    "no_scallop_before": (
        {"surface": {"radius_across": "-4 mm", "width": "9 mm"}},
        "10 mm",
        {"surface": {"radius_across": "-4 mm", "width": "9 mm"}, "before": ALONE},
    ),
    "level_step_down": (
        {"surface": slopes(0, 30), "passes": {"spacing": "step down"}},
        "0 deg",
        {"surface": slopes(5, 30), "passes": {"spacing": "step down"}},
    ),
    "upright_plan_view": (
        {"surface": slopes(45, 90), "passes": {"spacing": "plan view"}},
        "90 deg",
        {"surface": slopes(45, 90), "passes": {"spacing": "step down"}},
    ),
    "axis_from_below": (
        # the axis leans 26.57 deg back from upright
        {"axis": UPRIGHT | {"direction": [-0.5, 0, 1]}, "surface": slopes(45, 64)},
        "90.57 deg",
        {"axis": UPRIGHT | {"direction": [-0.5, 0, 1]}, "surface": slopes(45, 63)},
    ),
    "passes_do_not_meet": (
        {"fixed": {"stepover": "6.01 mm"}},
        "6.01 mm",
        {"fixed": {"stepover": "6 mm"}},
    ),
    "no_stepover": (
        {"finish": {"ra": "1e-9 um"}},
        "0 mm",
        {"finish": {"ra": "1e-9 um"}, "fixed": {"stepover": "0.01 mm", "feed_per_tooth": "0.05 mm"}},
    ),
    "spindle_above_machine": (
        {"fixed": {"spindle_speed": "18001 rpm"}},
        "18001 rev/min",
        {"fixed": {"spindle_speed": "18000 rpm"}},
    ),
    "spindle_above_holder": (
        {"fixed": {"spindle_speed": "15001 rpm"}, "machine": {"holder_spindle_speed": "15000 rpm"}},
        "15001 rev/min",
        {"fixed": {"spindle_speed": "15000 rpm"}, "machine": {"holder_spindle_speed": "15000 rpm"}},
    ),
    "spindle_above_cutter": (
        {"fixed": {"spindle_speed": "15001 rpm"}, "cutter": {"rated_spindle_speed": "15000 rpm"}},
        "15001 rev/min",
        {"fixed": {"spindle_speed": "15000 rpm"}, "cutter": {"rated_spindle_speed": "16000 rpm"}},
    ),
    # at the least chip the first pass still needs 21 W, 34 N mm and 8.6 N on an axis (the library's own figures)
    "power_above_machine": (
        {"machine": {"largest_power": "5 W"}},
        "kW",
        {"machine": {"largest_power": "30 W"}},
    ),
    "torque_above_machine": (
        {"machine": {"largest_torque": "0.005 N*m"}},
        "N m",
        {"machine": {"largest_torque": "0.05 N*m"}},
    ),
    "thrust_above_machine": (
        {"machine": {"largest_thrust": "3 N"}},
        " N",
        {"machine": {"largest_thrust": "10 N"}},
    ),
    "no_spindle_speed": (
        {"fixed": {"cutting_speed": "0.05 m/min"}},
        "0 rev/min",
        {"fixed": {"cutting_speed": "50 m/min"}},
    ),
    "width_above_cutter": (
        {"fixed": {"feed_per_tooth": "0.02 mm", "feed_radial_width": "6.1 mm"}},
        "6.1 mm",
        {"fixed": {"feed_per_tooth": "0.02 mm", "feed_radial_width": "6 mm"}},
    ),
    "marks_do_not_meet": (
        {"fixed": {"feed_per_tooth": "6.1 mm", "spindle_speed": "500 rpm"}},
        "6.1 mm",
        {"fixed": {"feed_per_tooth": "2.9 mm", "spindle_speed": "500 rpm"}},
    ),
    "points_leave_curve": (
        {"fixed": {"point_spacing": "250 mm"}},
        "250 mm",
        {"fixed": {"point_spacing": "239 mm"}},
    ),
    "feed_above_machine": (
        {"fixed": {"feed_per_tooth": "0.3 mm"}},
        "0.3 mm",
        {"fixed": {"feed_per_tooth": "0.3 mm", "spindle_speed": "12000 rpm"}},
    ),
    "no_feed": (
        {"fixed": {"point_spacing": "1e-5 mm"}, "machine": {"block_time": "100 ms"}},
        "0 mm/min",
        {"fixed": {"point_spacing": "0.01 mm"}, "machine": {"block_time": "100 ms"}},
    ),
    # a cone of 60 deg per side that ends at its rim has no point that faces a steeper inclination
    "no_contact": (
        {"cutter": CONE, "axis": {"lead": "31 deg"}},
        "31 deg",
        {"cutter": CONE, "axis": {"lead": "20 deg"}, "fixed": {"stepover": "0.001 mm"}},
    ),
    "not_computed": (
        {"assumed": {"time_factor": 1e308}},
        "infinite",
        {"assumed": {"time_factor": 1e300}},
    ),
}


def test_every_fault_has_its_job():
    assert set(JOBS) == set(FAULTS)


@pytest.mark.parametrize("name", list(JOBS))
def test_impossible_job_says_where_why_and_what_would_do(name):
    impossible, value, _ = JOBS[name]
    with pytest.raises(ImpossibleJobError) as caught:
        plan(changed(**impossible))
    (fault,) = caught.value.faults  # the first cause, without what follows from it
    stated = FAULTS[name]
    assert (fault.where, fault.reason, fault.accepted) == (stated.where, stated.reason, stated.remedy)
    assert value in fault.given
    message = str(caught.value)
    assert all(part in message for part in (stated.where, value, stated.reason, stated.remedy))
    assert "\n" not in message


@pytest.mark.parametrize("name", list(JOBS))
def test_the_remedied_job_can_be_cut(name):
    made = plan(changed(**JOBS[name][2]))
    assert made.operation_time.magnitude > 0


def test_values_in_a_message_follow_the_units_in_use():
    with m.units("inch"), pytest.raises(ImpossibleJobError, match=r"given -0\.1181 in;"):
        plan(changed(**JOBS["concave_across"][0]))


def test_every_cause_is_listed_in_one_error():
    both = {
        "surface": {"radius_across": "-2 mm", "radius_along": "-2.5 mm", "width": "9 mm", "length": "9 mm"},
        "before": ALONE,
        "fixed": {"spindle_speed": "20000 rpm"},
    }
    with pytest.raises(ImpossibleJobError) as caught:
        plan(changed(**both))
    found = {f.where for f in caught.value.faults}
    assert found == {"surface.radius_across", "surface.radius_along", "fixed.spindle_speed"}


def test_a_sheet_of_an_impossible_job_cannot_be_had():
    with pytest.raises(ImpossibleJobError):
        plan(changed(**JOBS["stock_above_ball"][0])).sheet()


def test_no_plan_exceeds_a_limit_it_was_given():
    """Spindle speed, feed rate: never above what machine, holder and cutter allow, whatever is wanted."""
    for n_max, feed_max in (("5000 rpm", "300 mm/min"), ("18000 rpm", "2000.9 mm/min"), ("12345 rpm", "8 m/min")):
        job = changed(machine={"largest_spindle_speed": n_max, "largest_feed_rate": feed_max})
        made, machine = plan(job), job.machine
        assert made.spindle_speed <= machine.largest_spindle_speed
        assert made.feed_rate <= machine.largest_feed_rate
        assert made.first_pass_feed_rate <= made.feed_rate
