"""Torque and power of a drive."""

from math import inf, pi

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, Interval, Power, Ratio, SpindleSpeed, Torque

__all__ = ["available_power", "available_torque", "base_speed", "motor_power", "power_of_torque", "spindle_torque"]


@formula(
    symbol="M_c",
    expression="30000*P_c/(pi*n)",
    sources=("DEFINITION",),
    domain={"spindle_speed": POSITIVE},
)
def spindle_torque(cutting_power: Power, spindle_speed: SpindleSpeed) -> Torque:
    """Return the torque [N m] at a power and spindle speed.

    Parameters
    ----------
    cutting_power [kW]
        Power at the cutter, 0 or more; scalar or array.
    spindle_speed [rev/min]
        Spindle speed, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit; the mean, a tooth's peak is higher. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{spindle_torque('7.5 kW', '100 rpm').magnitude:.1f} N m")
    716.2 N m
    """
    return np.divide(30_000.0 * cutting_power, pi * spindle_speed)


@formula(
    symbol="P_c",
    expression="pi*M_c*n/30000",
    sources=("DEFINITION",),
    domain={"spindle_torque": Interval(0.0, inf, high_open=True)},
)
def power_of_torque(spindle_torque: Torque, spindle_speed: SpindleSpeed) -> Power:
    """Return the power [kW] of a torque at a spindle speed.

    Parameters
    ----------
    spindle_torque [N m]
        Torque at the spindle, 0 or more; scalar or array.
    spindle_speed [rev/min]
        Spindle speed, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{power_of_torque('10 N*m', '8000 rpm'):.3f~P}")
    8.378 kW
    """
    return pi * spindle_torque * spindle_speed / 30_000.0


@formula(
    symbol="P_m",
    expression="P_c/eta",
    sources=("DEFINITION",),
    domain={"efficiency": Interval(0.0, 1.0, low_open=True)},
)
def motor_power(cutting_power: Power, efficiency: Ratio) -> Power:
    """Return the power [kW] the motor gives for a power at the cutter.

    Parameters
    ----------
    cutting_power [kW]
        Power at the cutter, 0 or more; scalar or array.
    efficiency [1]
        Share of the motor's power that reaches the cutter, above 0 to 1; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid at constant speed; speeding up comes on top. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{motor_power('4 kW', 0.8):.1f~P}")
    5.0 kW
    """
    return np.divide(cutting_power, efficiency)


@formula(
    symbol="n_b",
    expression="30000*P_r/(pi*M_r)",
    sources=("DEFINITION",),
    domain={"rated_torque": POSITIVE, "rated_power": POSITIVE},
)
def base_speed(rated_torque: Torque, rated_power: Power) -> SpindleSpeed:
    """Return the spindle speed [rev/min] at which a drive changes from constant torque to constant power.

    Parameters
    ----------
    rated_torque [N m]
        Torque up to the base speed, at the duty in question, above 0; scalar or array.
    rated_power [kW]
        Power from the base speed on, at the same duty, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for a drive without a gear. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{base_speed('50 N*m', '15 kW').magnitude:.0f} rev/min")
    2865 rev/min
    """
    return np.divide(30_000.0 * rated_power, pi * rated_torque)


@formula(
    symbol="M_a",
    expression="min(M_r, 30000*P_r/(pi*n)) if n > 0 else M_r",
    sources=("DEFINITION",),
    domain={"rated_torque": POSITIVE, "rated_power": POSITIVE},
)
def available_torque(rated_torque: Torque, rated_power: Power, spindle_speed: SpindleSpeed) -> Torque:
    """Return the torque [N m] a drive gives at a spindle speed: constant to its base speed, then at constant power.

    Parameters
    ----------
    rated_torque [N m]
        Torque up to the base speed, at the duty in question, above 0; scalar or array.
    rated_power [kW]
        Power from the base speed on, at the same duty, above 0; scalar or array.
    spindle_speed [rev/min]
        Spindle speed, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for the duty of the ratings, below the speed at which the maker's curve falls off. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{available_torque('50 N*m', '15 kW', '10000 rpm').magnitude:.2f} N m")
    14.32 N m
    """
    from_base = np.maximum(spindle_speed, np.divide(30_000.0 * rated_power, pi * rated_torque))
    return np.minimum(rated_torque, np.divide(30_000.0 * rated_power, pi * from_base))


@formula(
    symbol="P_a",
    expression="min(P_r, pi*M_r*n/30000)",
    sources=("DEFINITION",),
    domain={"rated_torque": POSITIVE, "rated_power": POSITIVE},
)
def available_power(rated_torque: Torque, rated_power: Power, spindle_speed: SpindleSpeed) -> Power:
    """Return the power [kW] a drive gives at a spindle speed: rising to its base speed, then constant.

    Parameters
    ----------
    rated_torque [N m]
        Torque up to the base speed, at the duty in question, above 0; scalar or array.
    rated_power [kW]
        Power from the base speed on, at the same duty, above 0; scalar or array.
    spindle_speed [rev/min]
        Spindle speed, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for the duty of the ratings, below the speed at which the maker's curve falls off. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{available_power('50 N*m', '15 kW', '1000 rpm'):.3f~P}")
    5.236 kW
    """
    return np.minimum(rated_power, pi * rated_torque * spindle_speed / 30_000.0)
