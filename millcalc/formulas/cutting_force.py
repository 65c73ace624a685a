"""Specific cutting force and cutting power."""

from math import inf, nan

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import (
    POSITIVE,
    Angle,
    ChipThickness,
    CuttingSpeed,
    FeedRate,
    Force,
    Interval,
    Length,
    Power,
    Ratio,
    RemovalRate,
    SpecificEnergy,
    Stress,
)

__all__ = [
    "corrected_cutting_force",
    "cutting_power",
    "energy_power",
    "milling_power",
    "specific_cutting_force",
    "specific_energy",
    "tangential_force",
    "tangential_force_of_power",
]

_EXPONENT = Interval(0.0, 1.0, high_open=True)
_RAKE = Interval(-40.0, 40.0)


@formula(
    symbol="k_c",
    expression="k_c11*h^(-m_c)",
    sources=("KIENZLE", "KWIKI"),
    domain={"mc": _EXPONENT, "chip_thickness": POSITIVE},
)
def specific_cutting_force(kc11: Stress, mc: Ratio, chip_thickness: ChipThickness) -> Stress:
    """Return the specific cutting force [N/mm^2] of a chip thickness, by the law of Kienzle.

    Parameters
    ----------
    kc11 [N/mm^2]
        Specific cutting force at a chip of 1 mm thickness and width, 0 or more; scalar or array.
    mc [1]
        Exponent of the chip thickness, 0 to below 1; scalar or array.
    chip_thickness [mm]
        Chip thickness, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid in the range of chip thickness the constants were measured in, often 0.1 to 1 mm; below it is extrapolated,
    and an edge that is not sharp against the chip needs more. Sources: KIENZLE, KWIKI.

    Examples
    --------
    >>> print(f"{specific_cutting_force('1780 N/mm^2', 0.17, '0.1 mm').magnitude:.0f} N/mm^2")
    2633 N/mm^2
    """
    # np.power: a float below 0 to a broken power is complex in Python, and 0 an error
    return kc11 * np.where(chip_thickness > 0.0, np.power(chip_thickness, -mc), nan)[()]


@formula(
    symbol="k_cor",
    expression="k_c*q_w*(1 - 0.015*(gamma_o - gamma_b)*180/pi)",
    sources=("PRACTICE_FORCE",),
    domain={"rake_angle": _RAKE, "base_rake_angle": _RAKE, "wear_factor": Interval(1.0, 3.0)},
    requires=("rake_angle - base_rake_angle <= 60",),
    validity=("abs(rake_angle - base_rake_angle) <= 20",),
)
def corrected_cutting_force(
    specific_cutting_force: Stress, rake_angle: Angle, base_rake_angle: Angle, wear_factor: Ratio = 1.0
) -> Stress:
    """Return the specific cutting force [N/mm^2] corrected for rake angle and wear.

    Parameters
    ----------
    specific_cutting_force [N/mm^2]
        Specific cutting force, 0 or more; scalar or array.
    rake_angle [deg]
        Rake angle of the edge; scalar or array.
    base_rake_angle [deg]
        Rake angle the constants were measured with; scalar or array.
    wear_factor [1]
        Force of the worn edge over that of a sharp one, 1 to 3; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for rakes within 20 deg of the base: 1.5 % a degree, of which handbooks give 1 to 2 %, so the correction
    itself is good to a third. A wear factor of 1.3 to 1.5 is common for an edge near its end. Source: PRACTICE_FORCE.

    Examples
    --------
    >>> print(f"{corrected_cutting_force('2000 N/mm^2', '10 deg', '6 deg', 1.3).magnitude:.0f} N/mm^2")
    2444 N/mm^2
    """
    more = rake_angle - base_rake_angle
    return specific_cutting_force * wear_factor * np.where(more <= 60.0, 1.0 - 0.015 * more, nan)[()]


@formula(
    symbol="F_t",
    expression="k_c*b*h",
    sources=("DEFINITION",),
)
def tangential_force(specific_cutting_force: Stress, chip_width: Length, chip_thickness: ChipThickness) -> Force:
    """Return the force [N] along the cutting speed on a chip.

    Parameters
    ----------
    specific_cutting_force [N/mm^2]
        Specific cutting force, 0 or more; scalar or array.
    chip_width [mm]
        Width of the chip along the edge, 0 or more; scalar or array.
    chip_thickness [mm]
        Chip thickness, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{tangential_force('800 N/mm^2', '2 mm', '0.2 mm'):.0f~P}")
    320 N
    """
    return specific_cutting_force * chip_width * chip_thickness


@formula(
    symbol="P_c",
    expression="F_t*v_c/60000",
    sources=("DEFINITION",),
    domain={"tangential_force": Interval(0.0, inf, high_open=True)},
)
def cutting_power(tangential_force: Force, cutting_speed: CuttingSpeed) -> Power:
    """Return the power [kW] at the cutter from force and speed.

    Parameters
    ----------
    tangential_force [N]
        Mean force along the cutting speed; scalar or array.
    cutting_speed [m/min]
        Cutting speed, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{cutting_power('320 N', '60 m/min'):.2f~P}")
    0.32 kW
    """
    return tangential_force * cutting_speed / 60_000.0


@formula(
    symbol="F_t",
    expression="60000*P_c/v_c",
    sources=("DEFINITION",),
    domain={"cutting_speed": POSITIVE},
)
def tangential_force_of_power(cutting_power: Power, cutting_speed: CuttingSpeed) -> Force:
    """Return the mean force [N] along the cutting speed that takes a power.

    Parameters
    ----------
    cutting_power [kW]
        Power at the cutter, 0 or more; scalar or array.
    cutting_speed [m/min]
        Cutting speed, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit; of all teeth together and over the turn, a tooth's peak is higher. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{tangential_force_of_power('7.5 kW', '150 m/min'):.0f~P}")
    3000 N
    """
    return np.divide(60_000.0 * cutting_power, cutting_speed)


@formula(
    symbol="P_c",
    expression="u*Q/60",
    sources=("DEFINITION",),
)
def energy_power(specific_energy: SpecificEnergy, removal_rate: RemovalRate) -> Power:
    """Return the power [kW] at the cutter from specific energy and removal rate.

    Parameters
    ----------
    specific_energy [W s/mm^3]
        Energy to remove a volume, the unit power of handbooks, 0 or more; scalar or array.
    removal_rate [cm^3/min]
        Volume removed in unit time, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for the chip thickness and wear that the energy is stated for; tables at the motor include its losses.
    1 hp min/in^3 is 2.7303 W s/mm^3. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{energy_power('3 J/mm^3', '150 cm^3/min'):.1f~P}")
    7.5 kW
    """
    return specific_energy * removal_rate / 60.0


@formula(
    symbol="u",
    expression="60*P_c/Q",
    sources=("DEFINITION",),
    domain={"removal_rate": POSITIVE},
)
def specific_energy(cutting_power: Power, removal_rate: RemovalRate) -> SpecificEnergy:
    """Return the specific energy [W s/mm^3] of a cut whose power was measured.

    Parameters
    ----------
    cutting_power [kW]
        Power at the cutter, without that of the idle spindle, 0 or more; scalar or array.
    removal_rate [cm^3/min]
        Volume removed in unit time, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit; a thousand N/mm^2 of specific cutting force are 1 W s/mm^3. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{specific_energy('7.5 kW', '150 cm^3/min').magnitude:.2f} W s/mm^3")
    3.00 W s/mm^3
    """
    return np.divide(60.0 * cutting_power, removal_rate)


@formula(
    symbol="P_c",
    expression="a_p*a_e*v_f*k_c/60000000",
    sources=("DEFINITION",),
)
def milling_power(
    axial_depth: Length, radial_width: Length, feed_rate: FeedRate, specific_cutting_force: Stress
) -> Power:
    """Return the power [kW] at the cutter from the cut and the specific cutting force of the mean chip.

    Parameters
    ----------
    axial_depth [mm]
        Depth of cut along the axis, 0 or more; scalar or array.
    radial_width [mm]
        Width of cut, 0 or more; scalar or array.
    feed_rate [mm/min]
        Feed rate, 0 or more; scalar or array.
    specific_cutting_force [N/mm^2]
        Specific cutting force, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for a cut of rectangular section, with the force of the mean chip thickness. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{milling_power('3 mm', '100 mm', '500 mm/min', '3000 N/mm^2'):.1f~P}")
    7.5 kW
    """
    return axial_depth * radial_width * feed_rate * specific_cutting_force / 60_000_000.0
