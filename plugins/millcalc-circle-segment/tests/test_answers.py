"""What millcalc answers for these families, against the circle and against relations derived for any cutter.

With tilt only, the tool is seen along the feed as its own profile, so passes that touch with a segment leave the
ridges of the segment's circle (derived).
"""

import math

import pytest
from shapes import barrel, lens, mm, oval, taper_barrel

OVAL = oval(12.0, 2.0, 80.0)
BARREL = barrel(10.0, 1.0, 85.0, 21.0)
TAPER = taper_barrel(16.0, 3.0, 20.0, 250.0)
LENS = lens(12.0, 25.0, 1.0)
SHARP = lens(12.0, 25.0)


def ridge(radius: float, stepover: float) -> float:
    """Height [um] of the ridge between two circles."""
    return 1000.0 * 0.25 * stepover**2 / (radius + math.sqrt(radius**2 - 0.25 * stepover**2))


@pytest.mark.parametrize(
    ("cutter", "tilt", "radius"),
    [
        (OVAL, 30.0, 2.0),  # below the joint with the tip, at 71.6 deg
        (OVAL, 80.0, 80.0),
        (BARREL, 87.0, 85.0),
        (BARREL, 89.9, 85.0),  # at the largest diameter: the ridge lies on either side of it
        (TAPER, 70.0, 250.0),
        (LENS, 0.0, 25.0),
        (LENS, 8.0, 25.0),
        (SHARP, 8.0, 25.0),
    ],
)
@pytest.mark.parametrize("stepover", [0.1, 0.5, 1.5])
def test_scallop_is_that_of_the_circle(cutter, tilt, radius, stepover):
    height = cutter.scallop_height(mm(stepover), lead="0 deg", tilt=f"{tilt!r} deg").m_as("um")
    assert height == pytest.approx(ridge(radius, stepover), rel=1e-6)
    back = cutter.stepover(f"{height!r} um", lead="0 deg", tilt=f"{tilt!r} deg").m_as("mm")
    assert back == pytest.approx(stepover, rel=1e-8)


def test_stepover_of_a_segment():
    """Derived: the chord of the circle at the height of the ridge, 1.78883 mm on 80 mm at 5 um."""
    stepover = OVAL.stepover("5 um", lead="0 deg", tilt="80 deg").m_as("mm")
    assert stepover == pytest.approx(2.0 * math.sqrt(2.0 * 80.0 * 0.005 - 0.005**2), rel=1e-9)


@pytest.mark.parametrize(
    ("cutter", "centre", "radius", "angles"),
    [
        (OVAL, -74.0, 80.0, (72.0, 80.0, 89.0)),
        (OVAL, 0.0, 2.0, (10.0, 60.0, 71.0)),
        (BARREL, -80.0, 85.0, (84.0, 89.9)),
        (LENS, 0.0, 25.0, (3.0, 12.0)),
        (LENS, 5.0, 1.0, (13.0, 60.0, 89.0)),
        (SHARP, 6.0, 0.0, (14.0, 60.0, 89.0)),  # the sharp edge
    ],
)
def test_contact_diameter(cutter, centre, radius, angles):
    """Derived: on an arc the contact lies where its normal is the surface's, whichever way the axis leans."""
    for angle in angles:
        expected = 2.0 * (centre + radius * math.sin(math.radians(angle)))
        assert cutter.contact_diameter(f"{angle} deg").m_as("mm") == pytest.approx(expected, rel=1e-9)
        assert cutter.contact_diameter(tilt=f"{angle} deg").m_as("mm") == pytest.approx(expected, rel=1e-9)


def test_taper_barrel_touches_a_wall_at_the_half_angle_with_its_middle():
    _, side = TAPER.pieces()
    middle = side.centre[1] + side.radius * math.sin(math.radians(70.0))
    assert TAPER.contact_diameter(tilt="70 deg").m_as("mm") == pytest.approx(2.0 * middle, rel=1e-9)
    assert side.start[1] < middle < side.end[1]


@pytest.mark.parametrize(("lead", "tilt"), [(80.0, 0.0), (70.0, 40.0), (20.0, 76.0), (-75.0, 20.0)])
def test_small_stepover_with_lead_and_tilt(lead, tilt):
    """Derived: swept along the feed an arc of radius S about a ring of radius c leaves a surface of radius

    S + c sin^2(lead) / sin^3(inclination) across it.
    """
    a, b = math.radians(lead), math.radians(tilt)
    inclination = math.acos(math.cos(a) * math.cos(b))
    assert math.sin(inclination) > 74.0 / 78.0  # on the segment
    swept = 80.0 - 74.0 * math.sin(a) ** 2 / math.sin(inclination) ** 3
    stepover = 0.01
    height = OVAL.scallop_height(mm(stepover), f"{lead} deg", f"{tilt} deg").m_as("um")
    assert height == pytest.approx(ridge(swept, stepover), rel=1e-3)


def test_segment_leaves_less_than_the_ball():
    """Derived: in the thin limit in proportion to the radii, 80 to 6 on the same diameter."""
    from millcalc.cutters import BallEndMill

    ball = BallEndMill(diameter="12 mm", teeth=2).scallop_height("0.2 mm", tilt="80 deg")
    assert (ball / OVAL.scallop_height("0.2 mm", tilt="80 deg")).m_as("") == pytest.approx(80.0 / 6.0, rel=1e-3)
