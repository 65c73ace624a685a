"""The power curve of a spindle: how its points are read, and what they give at a speed."""

import numpy as np
import pytest

import millcalc as m
from millcalc.errors import JobError
from millcalc.planning.drive import drive_points, power_at

ROWS = [["1000 rpm", "4 kW"], ["3000 rpm", "12 kW"], ["18000 rpm", "9 kW"]]


def test_power_between_below_and_above_the_points():
    """Straight between points, torque kept below the first, power kept above the last (derived)."""
    found = power_at(drive_points(ROWS), np.array([0.0, 500.0, 1000.0, 2000.0, 3000.0, 10500.0, 30000.0]))
    assert found == pytest.approx([0.0, 2.0, 4.0, 8.0, 12.0, 10.5, 9.0])


def test_a_machine_keeps_its_points_when_it_is_copied():
    machine = m.Machine(largest_spindle_speed="18000 rpm", largest_feed_rate="8 m/min", drive_points=ROWS)
    assert machine.with_(duty="40 % of ten minutes").drive_points == ((1000, 4), (3000, 12), (18000, 9))


@pytest.mark.parametrize(
    ("points", "reason"),
    [
        ([["1000 rpm", "4 kW"], ["900 rpm", "5 kW"]], "speeds rising"),
        ([["1000 rpm", "4 N"]], "its unit is that of"),
        ([[1000.0, 4.0]], "needs a unit"),
        ([["1000 rpm"]], "no pair"),
        ([], "one row or more"),
        (12, "no list of rows"),
        ("1000 rpm", "no pair"),
        ([["1000 rpm", "-4 kW"]], "outside the domain"),
    ],
)
def test_points_that_cannot_be_used(points, reason):
    with pytest.raises(JobError, match=reason):
        m.Machine(largest_spindle_speed="18000 rpm", largest_feed_rate="8 m/min", drive_points=points)


def test_points_and_ratings_contradict_each_other():
    with pytest.raises(JobError, match="not by both"):
        m.Machine(
            largest_spindle_speed="18000 rpm", largest_feed_rate="8 m/min", drive_points=ROWS, largest_power="9 kW"
        )
