"""The force over a turn against an independent sum, closed forms, the energy of the cut, and its own summary."""

from math import inf

import numpy as np
import pytest
from witness import cutting_forces, leaned_cut

from millcalc import BallEndMill, CornerRadiusEndMill, FlatEndMill, TaperedBallEndMill
from millcalc.errors import DomainError, UnknownNameError
from millcalc.formulas import average_force, entry_exit
from millcalc.loads.coefficients import ForceCoefficients
from millcalc.loads.course import force_course
from millcalc.loads.forces import FORCE_ANSWERS, MillingForce
from millcalc.loads.summary import force_summary

TITANIUM = (1825.0, 770.0, 735.0, 29.7, 55.7, 1.8)
CUTTERS = {
    "flat": (FlatEndMill(diameter="10 mm", teeth=4), leaned_cut.flat(10.0)),
    "ball": (BallEndMill(diameter="8 mm", teeth=2), leaned_cut.ball(8.0)),
    "corner": (CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=3), leaned_cut.corner(10.0, 1.0)),
    "taper": (
        TaperedBallEndMill(tip_diameter="4 mm", half_angle="5 deg", diameter="8 mm", teeth=2),
        leaned_cut.tapered_ball(4.0, 5.0, 8.0),
    ),
}
# family, teeth, helix, eccentricity [um], exponent, feed, depth, lead, tilt, stepover, side
CASES = [
    ("flat", 4, 30.0, 0.0, 0.0, 0.05, 2.0, 0.0, 0.0, inf, "left"),
    ("flat", 3, 45.0, 0.0, 0.0, 0.08, 1.0, 0.0, 0.0, 3.0, "right"),
    ("flat", 2, 30.0, 10.0, 0.26, 0.05, 0.5, 4.0, 0.0, 2.0, "left"),
    ("flat", 2, 0.0, 0.0, 0.0, 0.05, 0.3, 10.0, -20.0, 0.7, "right"),
    ("ball", 2, 0.0, 0.0, 0.0, 0.05, 0.1, 15.0, 0.0, 0.2, "right"),
    ("ball", 4, 30.0, 5.0, 0.26, 0.03, 0.2, 15.0, 10.0, 0.3, "left"),
    ("ball", 1, 30.0, 0.0, 0.0, 0.05, 1.0, 0.0, 0.0, inf, "left"),
    ("ball", 2, 30.0, 0.0, 0.0, 0.05, 0.5, -15.0, 10.0, 1.0, "left"),
    ("corner", 3, 30.0, 0.0, 0.17, 0.1, 0.3, 3.0, 0.0, 2.0, "right"),
    ("corner", 6, 40.0, 10.0, 0.0, 0.05, 0.5, 20.0, -10.0, inf, "left"),
    ("taper", 2, 20.0, 0.0, 0.0, 0.04, 0.3, 0.0, 15.0, 0.5, "left"),
    ("taper", 3, 20.0, 8.0, 0.2, 0.04, 0.3, 10.0, -25.0, 0.4, "right"),
]


def course(case, angles=720, elements=240):
    family, teeth, helix, runout, exponent, feed, depth, lead, tilt, stepover, side = case
    cut = (depth, lead, tilt, stepover, 1.0 if side == "right" else 0.0)
    profile = CUTTERS[family][0].profile
    return force_course(profile, cut, feed, helix, runout, (*TITANIUM, exponent), teeth, angles, elements)


def setting(case):
    family, teeth, helix, runout, exponent, *cut = case
    return (CUTTERS[family][1], teeth, helix, 1e-3 * runout, TITANIUM, exponent, *cut)


@pytest.mark.parametrize("case", CASES, ids=lambda c: "-".join(map(str, c)))
def test_course_against_the_independent_sum(case):
    rotation, found = course(case)
    places = slice(7, None, 36)
    expected, torque = cutting_forces.forces(*setting(case), rotation[places])
    size = np.abs(found[:3]).max()
    apart = np.abs(found[:3, places].T - expected[:, :3]).max(axis=1)
    assert np.median(apart) <= 5e-3 * size
    assert apart.max() <= 0.1 * size  # where a corner of the profile or a whole edge enters
    assert np.median(np.abs(found[3, places] - torque)) <= 5e-3 * found[3].max()
    mean, mean_torque = cutting_forces.mean_forces(*setting(case))
    assert found[:3].mean(axis=1) == pytest.approx(mean, abs=1e-3 * size)
    assert found[3].mean() == pytest.approx(mean_torque, rel=5e-3)


@pytest.mark.parametrize("case", CASES, ids=lambda c: "-".join(map(str, c)))
def test_summary_of_the_course(case):
    """On its coarse grid; of a cutter that runs out the means are those of one that does not."""
    family, teeth, helix, runout, exponent, feed, depth, lead, tilt, stepover, side = case
    _, found = course(case)
    _, even = course((*case[:3], 0.0, *case[4:]))
    cut = (depth, lead, tilt, stepover, 1.0 if side == "right" else 0.0)
    made = force_summary(CUTTERS[family][0].profile, cut, feed, helix, runout, (*TITANIUM, exponent), teeth)
    size = np.abs(even[:3]).max()
    means = made.mean_feed, made.mean_cross, made.mean_axial
    assert means == pytest.approx(even[:3].mean(axis=1), abs=0.015 * size)
    assert made.mean_torque == pytest.approx(even[3].mean(), rel=0.08)
    assert made.peak_bending == pytest.approx(np.hypot(found[0], found[1]).max(), rel=0.12)
    assert made.peak_force == pytest.approx(np.linalg.norm(found[:3], axis=0).max(), rel=0.12)
    assert made.peak_torque == pytest.approx(found[3].max(), rel=0.12)


def test_push_is_the_force_as_the_edge_passes_the_contact():
    """A ball led by 15 deg, its stock ahead: the contact lies straight ahead of the axis (derived)."""
    case = ("ball", 2, 0.0, 0.0, 0.0, 0.05, 0.3, 15.0, 0.0, inf, "left")
    expected, _ = cutting_forces.forces(*setting(case), [1e-6])
    normal = -np.sin(np.radians(15.0)) * expected[0, 0]
    cut = (0.3, 15.0, 0.0, inf, 0.0)
    made = force_summary(CUTTERS["ball"][0].profile, cut, 0.05, 0.0, 0.0, (*TITANIUM, 0.0), 2, 240, 60)
    assert made.push == pytest.approx(normal, rel=0.02)


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("width", [1.0, 5.0, 8.0])
def test_means_of_a_cylinder_in_closed_form(width, side):
    """The closed mean force of a side cut; stock on the left is cut conventionally (derived)."""
    cut = "conventional" if side == "left" else "climb"
    angles = entry_exit.entry_angle.bare(10.0, width, cut), entry_exit.exit_angle.bare(10.0, width, cut)
    expected = average_force.mean_milling_force.bare(4, 2.0, 0.05, *angles, *TITANIUM)
    case = ("flat", 4, 0.0, 0.0, 0.0, 0.05, 2.0, 0.0, 0.0, width, side)
    assert course(case, 7200, 20)[1][:3].mean(axis=1) == pytest.approx(expected, abs=0.3)


def test_ball_in_a_slot():
    """Mean cross force of K_tc alone: z K_tc f_z a/4, whatever the radius (derived in the shared check values)."""
    for diameter in (6.0, 20.0):
        ball = BallEndMill(diameter=f"{diameter} mm", teeth=2)
        alone = ForceCoefficients(tangential_coefficient="1000 N/mm^2")
        found = MillingForce(ball, alone).mean_force("0.05 mm", "1 mm")[1].magnitude
        assert found == pytest.approx(2 * 1000 * 0.05 * 1.0 / 4, rel=1e-4)


@pytest.mark.parametrize("family", CUTTERS)
def test_energy_is_force_times_volume(family):
    """With K_tc alone the work of a turn is K_tc times the volume of a turn (derived; volume by polygons)."""
    case = (family, 3, 30.0, 0.0, 0.0, 0.05, 0.4, 12.0, 8.0, 0.9, "left")
    _, found = force_course(
        CUTTERS[family][0].profile,
        (0.4, 12.0, 8.0, 0.9, 0.0),
        0.05,
        30.0,
        0.0,
        (1000.0, 0, 0, 0, 0, 0, 0.0),
        3,
        720,
        240,
    )
    volume = cutting_forces.removed_volume_per_rev(*setting(case))
    assert 2 * np.pi * found[3].mean() == pytest.approx(volume, rel=2e-3)


def test_arrays_and_single_cases_agree():
    force = MillingForce(CUTTERS["corner"][0], "7075")
    leads = ["0 deg", "5 deg", "20 deg"]
    together = force.peak_force("0.05 mm", "0.3 mm", leads, stepover="1 mm")[1].magnitude
    single = [force.peak_force("0.05 mm", "0.3 mm", lead, stepover="1 mm")[1].magnitude for lead in leads]
    assert together == pytest.approx(single, rel=1e-12)
    assert force.course("0.05 mm", ["0.2 mm", "0.3 mm"], angles=90).feed.shape == (2, 90)
    assert np.asarray(force.power.bare(8000.0, 0.05, np.array([]))).shape == (0,)
    assert np.isnan(force.power.bare(8000.0, 0.05, np.nan))
    assert force.power.bare(0.0, 0.05, 0.2) == 0.0


def test_no_feed_makes_no_force():
    force = MillingForce(CUTTERS["ball"][0], "ti-6al-4v")
    assert force.power.bare(8000.0, 0.0, 0.2, 15.0) == 0.0


def test_errors():
    force = MillingForce(CUTTERS["ball"][0], "7075")
    with pytest.raises(DomainError, match="normal_depth"):
        force.power("8000 rpm", "0.05 mm", "0 mm")
    with pytest.raises(DomainError, match="lead"):
        force.mean_force("0.05 mm", "0.1 mm", "95 deg")
    with pytest.raises(UnknownNameError):
        MillingForce(CUTTERS["ball"][0], "unobtainium")


def test_coefficients_of_a_material():
    """7075: table 5, doi 10.1186/s10033-021-00536-9 (read); 42CrMo4 by kc1.1 (read)."""
    assert ForceCoefficients.from_material("7075").numbers == (767.01, 168.8, 222.0, 27.7, 26.6, 0.7, 0.0)
    steel = ForceCoefficients.from_material("42CrMo4")
    assert (steel.numbers[0], steel.numbers[6]) == (2500.0, 0.26)
    assert "kc1.1" in steel.origin


def test_kienzle_is_the_power_law_on_every_chip():
    """A cut with one chip thickness all along: a straight edge square to the feed, at its middle (derived)."""
    made = ForceCoefficients.from_kienzle("1780 N/mm^2", 0.17)
    flat = FlatEndMill(diameter="10 mm", teeth=1)
    rotation, _, cross, _, torque = MillingForce(flat, made).course("0.1 mm", "2 mm", angles=3600)
    ahead = np.argmin(np.abs(rotation.magnitude - 0.0))
    expected = 1780 * 0.1**0.83 * 2
    assert torque.magnitude[ahead] == pytest.approx(expected * 5e-3, rel=1e-4)
    assert cross.magnitude[ahead] == pytest.approx(expected, rel=2e-3)


@pytest.mark.parametrize("name", FORCE_ANSWERS)
def test_each_answer_has_a_sheet(name):
    asked = getattr(MillingForce(CUTTERS["ball"][0], "7075"), name)
    speed = ["8000 rpm"] if name == "power" else []
    assert "MECHANISTIC" in str(asked.sheet(*speed, "0.05 mm", "0.1 mm", "15 deg"))
