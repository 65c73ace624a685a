"""The first natural frequency in bending of a tool as a bar clamped in the holder."""

from math import pi

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, Density, Frequency, Length, Mass, Modulus, Stiffness

__all__ = ["cantilever_frequency", "overhung_frequency"]

FIRST_ROOT = 1.875104068711961
"""Least positive root of cos(b) cosh(b) = -1: the first bending mode of a clamped bar."""


@formula(
    symbol="f_1",
    expression="b = 1.875104068711961; 1000000*b^2*D/(8*pi*L^2)*sqrt(E/rho)",
    sources=("BEAM",),
    domain={"overhang": POSITIVE, "diameter": POSITIVE, "density": POSITIVE},
    validity=("overhang >= 3*diameter",),
)
def cantilever_frequency(overhang: Length, diameter: Length, modulus: Modulus, density: Density) -> Frequency:
    """Return the first natural frequency [Hz] in bending of a clamped round bar.

    Parameters
    ----------
    overhang [mm]
        Length out of the clamp, above 0; scalar or array.
    diameter [mm]
        Diameter of the bar, above 0; scalar or array.
    modulus [GPa]
        Modulus of elasticity of the bar, above 0; scalar or array.
    density [g/cm^3]
        Density of the bar, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for a slender bar in a rigid clamp, without damping: an upper estimate, since clamp, holder and spindle give
    way too; the machine's own is found by a tap test. Source: BEAM.

    Examples
    --------
    >>> print(f"{cantilever_frequency('40 mm', '10 mm', '600 GPa', '14.5 g/cm^3'):.0f~P}")
    5624 Hz
    """
    return 1e6 * FIRST_ROOT**2 * diameter / (8.0 * pi * overhang**2) * np.sqrt(np.divide(modulus, density))


@formula(
    symbol="f_1",
    expression="b = 1.875104068711961; 1000/(2*pi)*sqrt(k/(3*m/b^4 + m_t))",
    sources=("BEAM",),
    domain={"mass": POSITIVE},
)
def overhung_frequency(stiffness: Stiffness, mass: Mass, tip_mass: Mass = 0.0) -> Frequency:
    """Return the first natural frequency [Hz] in bending of a bar of known stiffness, with a mass at its end.

    Of the mass of an even bar 0.2427 swings with the end.

    Parameters
    ----------
    stiffness [N/um]
        Stiffness at the end, 0 or more; scalar or array.
    mass [kg]
        Mass of the bar out of its clamp, above 0; scalar or array.
    tip_mass [kg]
        Mass at the end besides, as of a cutting head, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for an even bar in a rigid clamp, without damping; exact without a mass at the end, at most 0.5 % low with
    one, since less than 0.2427 of the bar swings then (0.2357 in the end). Source: BEAM.

    Examples
    --------
    >>> print(f"{overhung_frequency('13.806 N/um', '45.6 g'):.0f~P}")
    5622 Hz
    """
    return 1000.0 / (2.0 * pi) * np.sqrt(np.divide(stiffness, 3.0 * mass / FIRST_ROOT**4 + tip_mass))
