"""Balance of tool and spindle by ISO 21940-11: permissible unbalance, and the force that unbalance makes."""

from math import pi

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, BalanceGrade, Deflection, Force, Mass, SpindleSpeed, Unbalance

__all__ = ["largest_balanced_speed", "permissible_eccentricity", "permissible_unbalance", "unbalance_force"]


@formula(
    symbol="e_per",
    expression="30000*G/(pi*n)",
    sources=("ISO21940",),
    domain={"spindle_speed": POSITIVE},
)
def permissible_eccentricity(balance_grade: BalanceGrade, spindle_speed: SpindleSpeed) -> Deflection:
    """Return how far [um] the centre of mass of a rotor may lie from its axis.

    Parameters
    ----------
    balance_grade [1]
        Grade, as "G2.5" or its number, above 0; scalar or array.
    spindle_speed [rev/min]
        Largest spindle speed in use, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for rigid rotors. The rated speed of holder, tool and spindle comes first, whatever the balance. A clamped
    tool can be put back only to a few um, so that less than 1 um cannot be kept. Source: ISO21940.

    Examples
    --------
    >>> print(f"{permissible_eccentricity('G2.5', '24000 rpm'):.3f~P}")
    0.995 µm
    """
    return 30000.0 * balance_grade / (pi * spindle_speed)


@formula(
    symbol="U_per",
    expression="30000*G*m/(pi*n)",
    sources=("ISO21940",),
    domain={"spindle_speed": POSITIVE},
)
def permissible_unbalance(balance_grade: BalanceGrade, mass: Mass, spindle_speed: SpindleSpeed) -> Unbalance:
    """Return the residual unbalance [g mm] that a balance quality grade permits.

    Parameters
    ----------
    balance_grade [1]
        Grade, as "G2.5" or its number, above 0; scalar or array.
    mass [kg]
        Mass of what turns, 0 or more: the tool in its holder, or with the spindle's shaft; scalar or array.
    spindle_speed [rev/min]
        Largest spindle speed in use, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for rigid rotors, over both planes together. The rated speed of holder, tool and spindle comes first,
    whatever the balance; the spindle's maker says which grade it needs. Source: ISO21940.

    Examples
    --------
    >>> print(f"{permissible_unbalance('G6.3', '5 kg', '8000 rpm'):.3f~P}")
    37.600 g·mm
    """
    return 30000.0 * balance_grade * mass / (pi * spindle_speed)


@formula(
    symbol="n_max",
    expression="30000*G*m/(pi*U)",
    sources=("ISO21940",),
    domain={"unbalance": POSITIVE},
)
def largest_balanced_speed(balance_grade: BalanceGrade, mass: Mass, unbalance: Unbalance) -> SpindleSpeed:
    """Return the spindle speed [rev/min] up to which a measured unbalance keeps a balance quality grade.

    Parameters
    ----------
    balance_grade [1]
        Grade, as "G2.5" or its number, above 0; scalar or array.
    mass [kg]
        Mass of what turns, 0 or more; scalar or array.
    unbalance [g mm]
        Residual unbalance as measured, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for rigid rotors. It is no permission to turn so fast: the least of the rated speeds of holder, tool,
    collet or screws and spindle comes first. Source: ISO21940.

    Examples
    --------
    >>> print(f"{largest_balanced_speed('G2.5', '1 kg', '2 g*mm'):.0f~P}")
    11937 rpm
    """
    return 30000.0 * balance_grade * mass / (pi * unbalance)


@formula(symbol="F_U", expression="U*(pi*n/30)^2/1000000", sources=("KINEMATICS",))
def unbalance_force(unbalance: Unbalance, spindle_speed: SpindleSpeed) -> Force:
    """Return the turning force [N] with which an unbalance loads the spindle.

    Parameters
    ----------
    unbalance [g mm]
        Residual unbalance, 0 or more; scalar or array.
    spindle_speed [rev/min]
        Spindle speed, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid well below the first natural frequency; near it the motion grows. Never turn a tool above its rated speed
    or that of its holder. Source: KINEMATICS.

    Examples
    --------
    >>> print(f"{unbalance_force('10 g*mm', '24000 rpm'):.1f~P}")
    63.2 N
    """
    turn = pi * spindle_speed / 30.0
    return unbalance * turn * turn * 1e-6
