"""What inside corners do to a roughing cut: engagement, load and the feed that the limits leave there."""

import math

import numpy as np
import pytest
from second_roughing import rough

from millcalc.planning import plan
from millcalc.quantities.record import number

CORNER = {"pocket": {"corner_angle": "90 deg"}, "cutter": {"overhang": "40 mm"}}


def torque(feed, width, depth, diameter, teeth, kc11, mc):
    """Mean torque [N m] of a flat end mill by the law of Kienzle, summed over a fine grid of the engagement."""
    engaged = math.acos(1.0 - 2.0 * width / diameter)
    phi = (np.arange(20_000) + 0.5) / 20_000 * engaged
    chip = feed * np.sin(phi)
    work = kc11 * chip ** (1.0 - mc) * depth
    return 1e-3 * teeth * 0.5 * diameter * float(np.sum(work)) * engaged / 20_000 / (2.0 * math.pi)


@pytest.fixture(scope="module")
def made():
    return plan(rough(**CORNER))


def test_the_load_in_a_corner_is_that_of_a_wider_cut(made):
    """The rim stands in stock over a quarter turn more; a straight cut as wide as that has the same torque."""
    diameter = 12.0
    angle = math.radians(number(made, "corner_engagement"))
    assert angle == pytest.approx(
        math.pi / 2 + math.acos(1.0 - 2.0 * number(made, "radial_width") / diameter), rel=1e-9
    )
    width = diameter * math.sin(angle / 2) ** 2
    feed = number(made, "corner_feed_rate") / number(made, "spindle_speed") / made.job.cutter.teeth
    row = made.job.material.kienzle[0]
    expected = torque(feed, width, number(made, "axial_depth"), diameter, made.job.cutter.teeth, row.kc11, row.mc)
    found = number(made, "corner_cutting_power") / number(made, "spindle_speed") * 30_000 / math.pi
    assert found == pytest.approx(expected, rel=0.01)
    assert number(made, "corner_peak_bending") > number(made, "peak_bending")


def test_a_limit_takes_the_feed_in_the_corners(made):
    power = 0.5 * (number(made, "cutting_power") + number(made, "corner_cutting_power"))
    held = plan(rough(**CORNER, machine={"largest_power": f"{power!r} kW"}))
    assert number(held, "feed_rate") == number(made, "feed_rate")
    assert number(held, "corner_feed_rate") < number(made, "corner_feed_rate")
    assert held.governed_by("corner_feed_rate") == "power"
    assert number(held, "corner_cutting_power") <= power * (1.0 + 1e-4)
    assert "power, corners" in {m.name for m in held.margins}
