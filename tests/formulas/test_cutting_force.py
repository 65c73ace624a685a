"""Cutting force, power and drive against printed figures, and entry and exit against points on a circle."""

import numpy as np
import pytest

from millcalc.errors import DomainError, UnitError, ValidityWarning
from millcalc.formulas import chips, cutting_force, drive, entry_exit


# kc [N/mm^2] printed to 10 at h = 0.1 and 0.63 mm, read in an encyclopaedia's textbook table
@pytest.mark.parametrize(
    ("kc11", "mc", "thin", "thick"), [(1780, 0.17, 2630, 1930), (2110, 0.17, 3120, 2280), (780, 0.18, 1180, 850)]
)
def test_printed_specific_forces(kc11, mc, thin, thick):
    found = cutting_force.specific_cutting_force.bare(kc11, mc, np.array([0.1, 0.63]))
    assert found == pytest.approx([thin, thick], abs=5)


def test_a_worn_edge_and_a_flat_rake_cost_force():
    """1.5 % a degree and 1.3 for wear (common practice)."""
    assert cutting_force.corrected_cutting_force.bare(2000.0, 0.0, 6.0, 1.3) == pytest.approx(2000 * 1.09 * 1.3)
    assert cutting_force.corrected_cutting_force.bare(2000.0, 6.0, 6.0) == 2000.0


def test_a_rake_far_from_the_base_warns_and_farther_has_no_answer():
    call = cutting_force.corrected_cutting_force
    with pytest.warns(ValidityWarning):
        call("2000 N/mm^2", "30 deg", "6 deg")
    with pytest.raises(DomainError):
        call("2000 N/mm^2", "40 deg", "-40 deg")
    assert np.isnan(call.bare(2000.0, 40.0, np.array([-40.0]))).all()


def test_outside_its_domain_the_bare_function_is_no_number():
    for chip in (0.0, -0.1, np.nan):
        assert np.isnan(cutting_force.specific_cutting_force.bare(1780.0, 0.17, chip))
    assert cutting_force.specific_cutting_force.bare(1780.0, 0.17, np.array([])).shape == (0,)
    assert cutting_force.specific_cutting_force.bare(1780.0, 0.17, 1.0) == 1780.0


def test_power_force_and_energy_undo_each_other():
    power = cutting_force.cutting_power.bare(850.0, 120.0)
    assert cutting_force.tangential_force_of_power.bare(power, 120.0) == pytest.approx(850.0)
    assert cutting_force.specific_energy.bare(power, 60.0) == pytest.approx(power)
    assert cutting_force.energy_power.bare(cutting_force.specific_energy.bare(power, 37.0), 37.0) == pytest.approx(
        power
    )


@pytest.mark.parametrize(
    "text",
    ["2.5 J/mm^3", "2.5 W*s/mm^3", "2.5 W s/mm^3", "2.5 kW*s/cm^3", "2.5 kJ/cm^3", "2500 N/mm^2", "2.5 N*m/mm^3"],
)
def test_one_specific_energy_in_many_spellings(text):
    assert cutting_force.energy_power(text, "60 cm^3/min").magnitude == pytest.approx(2.5, rel=1e-14)


def test_specific_energy_in_inches_is_exact():
    """550 ft lbf/s for 60 s over a cubic inch: 396000 lbf/in^2 (derived)."""
    found = cutting_force.energy_power("1 hp min/in^3", "60 cm^3/min").magnitude
    assert found == pytest.approx(396000 * 4.4482216152605 / 645.16 / 1000, rel=1e-13)
    assert cutting_force.energy_power("1 HP*min/in^3", "1 in^3/min").to("horsepower").magnitude == pytest.approx(1.0)
    with pytest.raises(UnitError):
        cutting_force.energy_power("2.5 kW", "60 cm^3/min")


def test_unit_power_in_inches():
    """10 in^3/min at 1.1 hp min/in^3 need 11 hp and 578 lb ft (slab milling example, read in a transcription)."""
    power = cutting_force.energy_power("1.1 HP*min/in^3", "10 in^3/min")
    assert power.to("horsepower").magnitude == pytest.approx(11.0, abs=0.05)
    torque = drive.spindle_torque(power, "100 rpm")
    assert torque.to("force_pound*foot").magnitude == pytest.approx(578, abs=0.7)


def test_power_by_force_and_by_volume_agree():
    """Mean force k_c A z phi/(2 pi) over the turn, summed as a chip, is the volume's power (derived)."""
    angles = (np.arange(20000) + 0.5) / 20000 * np.pi / 3
    depth, teeth, feed, diameter, speed = 3.0, 4, 0.1, 20.0, 2000.0
    width = diameter / 2 * (1 - np.cos(np.pi / 3))
    force = 1500.0 * depth * np.mean(feed * np.sin(angles)) * teeth * (np.pi / 3) / (2 * np.pi)
    by_force = cutting_force.cutting_power.bare(force, np.pi * diameter * speed / 1000)
    by_volume = cutting_force.milling_power.bare(depth, width, feed * teeth * speed, 1500.0)
    assert by_force == pytest.approx(by_volume, rel=1e-8)


def test_the_drive_gives_its_torque_then_its_power():
    speeds = np.array([100.0, 2864.788975654116, 20000.0])
    assert drive.base_speed.bare(50.0, 15.0) == pytest.approx(speeds[1])
    power, torque = drive.available_power.bare(50.0, 15.0, speeds), drive.available_torque.bare(50.0, 15.0, speeds)
    assert power[1:] == pytest.approx([15.0, 15.0])
    assert torque[:2] == pytest.approx([50.0, 50.0])
    assert power == pytest.approx(drive.power_of_torque.bare(torque, speeds))
    assert torque == pytest.approx(drive.spindle_torque.bare(power, speeds))
    assert drive.available_power.bare(50.0, 15.0, 0.0) == 0.0
    assert drive.available_torque.bare(50.0, 15.0, 0.0) == pytest.approx(50.0, rel=1e-15)
    assert drive.available_torque("50 N*m", "15 kW", "0 rpm").magnitude == pytest.approx(50.0, rel=1e-15)


@pytest.mark.parametrize("width", [0.01, 1.0, 5.0, 7.5, 10.0])
def test_entry_and_exit(width):
    """A tooth turns from the left (0 deg) over ahead to the right; it cuts where the stock stands (points, derived)."""
    angles = np.linspace(0.0, 180.0, 180001)
    left = 5.0 * np.cos(np.radians(angles))  # distance to the left of the axis
    for cut, stands in (("conventional", left >= 5.0 - width), ("climb", left <= width - 5.0)):
        inside = angles[stands]
        assert entry_exit.entry_angle.bare(10.0, width, cut) == pytest.approx(inside[0], abs=2e-3)
        assert entry_exit.exit_angle.bare(10.0, width, cut) == pytest.approx(inside[-1], abs=2e-3)


@pytest.mark.parametrize("cut", ["climb", "conventional"])
def test_from_entry_to_exit_is_the_engagement(cut):
    widths = np.array([0.0, 1e-9, 2.5, 10.0])
    ends = [f.bare(10.0, widths, cut) for f in (entry_exit.entry_angle, entry_exit.exit_angle)]
    assert ends[1] - ends[0] == pytest.approx(chips.engagement_angle.bare(10.0, widths), abs=1e-13)
    assert np.isnan(entry_exit.exit_angle.bare(10.0, np.array([10.1]), cut)).all()


def test_entry_takes_arrays_of_cuts():
    found = entry_exit.entry_angle.bare(10.0, 5.0, np.array(["climb", "conventional"]))
    assert found == pytest.approx([90.0, 0.0])


@pytest.mark.parametrize(
    "call",
    [
        lambda: cutting_force.specific_cutting_force("1780 N/mm^2", 0.17, "0 mm"),
        lambda: cutting_force.corrected_cutting_force("1780 N/mm^2", "5 deg", "5 deg", 0.5),
        lambda: drive.spindle_torque("1 kW", "0 rpm"),
        lambda: drive.motor_power("1 kW", 1.2),
        lambda: cutting_force.specific_energy("1 kW", "0 cm^3/min"),
        lambda: cutting_force.tangential_force_of_power("1 kW", "0 m/min"),
        lambda: entry_exit.entry_angle("10 mm", "11 mm", "climb"),
    ],
)
def test_outside_its_domain_there_is_no_number(call):
    with pytest.raises(DomainError):
        call()
