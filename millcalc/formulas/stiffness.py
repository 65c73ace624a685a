"""The tool as a bar clamped in the holder: deflection, stiffness and bending stress."""

from math import nan, pi

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import (
    NOT_NEGATIVE,
    POSITIVE,
    Deflection,
    Force,
    Interval,
    Length,
    Modulus,
    Ratio,
    SecondMoment,
    Stiffness,
    Stress,
)

__all__ = [
    "bending_stress",
    "cantilever_deflection",
    "cantilever_stiffness",
    "equivalent_diameter",
    "force_deflection",
    "largest_overhang",
    "second_moment",
    "stepped_deflection",
    "tip_deflection",
]

_SHARE = Interval(0.0, 1.0, low_open=True)


@formula(
    symbol="delta",
    expression="F/k",
    sources=("BEAM",),
    domain={"tip_stiffness": POSITIVE, "force": NOT_NEGATIVE},
)
def force_deflection(force: Force, tip_stiffness: Stiffness) -> Deflection:
    """Return the deflection [um] of the tip under a force.

    Parameters
    ----------
    force [N]
        Force square to the axis at the tip, 0 or more; scalar or array.
    tip_stiffness [N/um]
        Stiffness at the tip, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid while the tool stays elastic. Source: BEAM.

    Examples
    --------
    >>> print(f"{force_deflection('40 N', '4 N/um'):.1f~P}")
    10.0 µm
    """
    return np.divide(force, tip_stiffness)


@formula(
    symbol="d_eq",
    expression="q_D*D",
    sources=("KOPS90",),
    domain={"diameter": POSITIVE, "equivalent_ratio": _SHARE},
)
def equivalent_diameter(diameter: Length, equivalent_ratio: Ratio = 0.8) -> Length:
    """Return the diameter [mm] of the plain bar that bends as the fluted part of a cutter does.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    equivalent_ratio [1]
        Equivalent over cutter diameter, above 0 up to 1; about 0.8 for two and four flutes.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for the usual depth of flutes; a thick core comes nearer to 1. Source: KOPS90.

    Examples
    --------
    >>> print(equivalent_diameter("10 mm"))
    8.0 millimeter
    """
    return equivalent_ratio * diameter


@formula(symbol="I", expression="pi*D^4/64", sources=("BEAM",), domain={"diameter": POSITIVE})
def second_moment(diameter: Length) -> SecondMoment:
    """Return the second moment of area [mm^4] of a round bar about a diameter.

    Parameters
    ----------
    diameter [mm]
        Diameter of the bar, above 0; of a fluted part the equivalent diameter; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Source: BEAM.

    Examples
    --------
    >>> print(f"{second_moment('10 mm'):.2f~P}")
    490.87 mm⁴
    """
    return pi * diameter**4 / 64.0


@formula(
    symbol="delta",
    expression="64*F*L^3/(3*pi*E*D^4)",
    sources=("BEAM",),
    domain={"force": NOT_NEGATIVE, "diameter": POSITIVE},
    validity=("overhang >= 3*diameter",),
)
def cantilever_deflection(force: Force, overhang: Length, diameter: Length, modulus: Modulus) -> Deflection:
    """Return how far [um] the end of a clamped round bar gives way to a force on it.

    Parameters
    ----------
    force [N]
        Force square to the axis, on the end, 0 or more; scalar or array.
    overhang [mm]
        Length out of the clamp, 0 or more; scalar or array.
    diameter [mm]
        Diameter of the bar, above 0; of a fluted part the equivalent diameter; scalar or array.
    modulus [GPa]
        Modulus of elasticity of the bar, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid from an overhang of 3 diameters on, where shear adds about 6 %, and for a rigid clamp; holder and spindle
    add their own, often as much again. Source: BEAM.

    Examples
    --------
    >>> print(f"{cantilever_deflection('100 N', '40 mm', '10 mm', '600 GPa'):.2f~P}")
    7.24 µm
    """
    return 64.0 * force * overhang**3 / (3.0 * pi * modulus * diameter**4)


@formula(
    symbol="delta_t",
    expression="32*F*(L - z_F)^2*(2*L + z_F)/(3*pi*E*D^4)",
    sources=("BEAM",),
    domain={"force": NOT_NEGATIVE, "diameter": POSITIVE},
    requires=("load_height <= overhang",),
    validity=("overhang >= 3*diameter",),
)
def tip_deflection(
    force: Force, overhang: Length, diameter: Length, modulus: Modulus, load_height: Length = 0.0
) -> Deflection:
    """Return how far [um] the tip of a clamped round bar moves when a force acts above it.

    Parameters
    ----------
    force [N]
        Force square to the axis, 0 or more; scalar or array.
    overhang [mm]
        Length out of the clamp, 0 or more; scalar or array.
    diameter [mm]
        Diameter of the bar, above 0; of a fluted part the equivalent diameter; scalar or array.
    modulus [GPa]
        Modulus of elasticity of the bar, above 0; scalar or array.
    load_height [mm]
        Height over the tip at which the force acts, 0 up to the overhang; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain, or the force acts inside the clamp.

    Notes
    -----
    Valid as `cantilever_deflection`. The bar below the force stays straight and leans with it. Source: BEAM.

    Examples
    --------
    >>> print(f"{tip_deflection('100 N', '40 mm', '10 mm', '600 GPa', '5 mm'):.2f~P}")
    5.89 µm
    """
    lever = overhang - load_height
    moved = 32.0 * force * lever * lever * (2.0 * overhang + load_height) / (3.0 * pi * modulus * diameter**4)
    return np.where(lever >= 0.0, moved, nan)[()]


@formula(
    symbol="k",
    expression="3*pi*E*D^4/(64*L^3)",
    sources=("BEAM",),
    domain={"overhang": POSITIVE, "diameter": POSITIVE},
    validity=("overhang >= 3*diameter",),
)
def cantilever_stiffness(overhang: Length, diameter: Length, modulus: Modulus) -> Stiffness:
    """Return the stiffness [N/um] of a clamped round bar at its end.

    Parameters
    ----------
    overhang [mm]
        Length out of the clamp, above 0; scalar or array.
    diameter [mm]
        Diameter of the bar, above 0; of a fluted part the equivalent diameter; scalar or array.
    modulus [GPa]
        Modulus of elasticity of the bar, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid as `cantilever_deflection`. Source: BEAM.

    Examples
    --------
    >>> print(f"{cantilever_stiffness('40 mm', '10 mm', '600 GPa'):.3f~P}")
    13.806 N/µm
    """
    return 3.0 * pi * modulus * diameter**4 / (64.0 * overhang**3)


@formula(
    symbol="delta",
    expression="d = q_D*D; 64*F/(3*pi*E)*(l_f^3/d^4 + (L^3 - l_f^3)/d_s^4)",
    sources=("BEAM", "KOPS90"),
    domain={
        "force": NOT_NEGATIVE,
        "diameter": POSITIVE,
        "shank_diameter": POSITIVE,
        "equivalent_ratio": _SHARE,
    },
    requires=("flute_length <= overhang",),
    validity=("overhang >= 3*diameter",),
)
def stepped_deflection(
    force: Force,
    overhang: Length,
    flute_length: Length,
    diameter: Length,
    shank_diameter: Length,
    modulus: Modulus,
    equivalent_ratio: Ratio = 0.8,
) -> Deflection:
    """Return how far [um] the tip of a cutter with fluted part and shank gives way to a force on it.

    Parameters
    ----------
    force [N]
        Force square to the axis, on the tip, 0 or more; scalar or array.
    overhang [mm]
        Length out of the holder, flutes and shank together, 0 or more; scalar or array.
    flute_length [mm]
        Length of the fluted part, 0 up to the overhang; scalar or array.
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    shank_diameter [mm]
        Diameter of the shank, above 0; scalar or array.
    modulus [GPa]
        Modulus of elasticity of the whole body, above 0; scalar or array.
    equivalent_ratio [1]
        Equivalent over cutter diameter in the fluted part, above 0 up to 1.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain, or the flutes are longer than the overhang.

    Notes
    -----
    Valid as `cantilever_deflection`. Sources: BEAM, KOPS90.

    Examples
    --------
    >>> print(f"{stepped_deflection('100 N', '50 mm', '20 mm', '10 mm', '10 mm', '600 GPa'):.3f~P}")
    15.452 µm
    """
    fluted = flute_length**3
    bent = fluted / (equivalent_ratio * diameter) ** 4 + (overhang**3 - fluted) / shank_diameter**4
    return np.where(flute_length <= overhang, 64.0 * force * bent / (3.0 * pi * modulus), nan)[()]


@formula(
    symbol="sigma",
    expression="32*F*l_F/(pi*D^3)",
    sources=("BEAM",),
    domain={"force": NOT_NEGATIVE, "diameter": POSITIVE},
)
def bending_stress(force: Force, lever: Length, diameter: Length) -> Stress:
    """Return the largest bending stress [N/mm^2] in a section of a round bar.

    Parameters
    ----------
    force [N]
        Force square to the axis, 0 or more; scalar or array.
    lever [mm]
        Distance from the force to the section, 0 or more; scalar or array.
    diameter [mm]
        Diameter of the section, above 0; of a fluted part the equivalent diameter; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid away from notches; a sharp step or the end of the flutes raises it locally. Carbide breaks without warning:
    stay well below its rupture strength, guard the machine, wear eye protection. Source: BEAM.

    Examples
    --------
    >>> print(f"{bending_stress('100 N', '40 mm', '8 mm'):.1f~P}")
    79.6 N/mm²
    """
    return 32.0 * force * lever / (pi * diameter**3)


@formula(
    symbol="L_max",
    expression="(3*pi*E*D^4*delta/(64*F))^(1/3)",
    sources=("BEAM",),
    domain={"force": POSITIVE, "diameter": POSITIVE},
)
def largest_overhang(force: Force, deflection: Deflection, diameter: Length, modulus: Modulus) -> Length:
    """Return the overhang [mm] at which the end of a clamped round bar gives way by the deflection stated.

    Parameters
    ----------
    force [N]
        Force square to the axis, on the end, above 0; scalar or array.
    deflection [um]
        Deflection that may occur, 0 or more; scalar or array.
    diameter [mm]
        Diameter of the bar, above 0; of a fluted part the equivalent diameter; scalar or array.
    modulus [GPa]
        Modulus of elasticity of the bar, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid as `cantilever_deflection`; vibration usually limits the overhang before. Source: BEAM.

    Examples
    --------
    >>> print(f"{largest_overhang('100 N', '10 um', '10 mm', '600 GPa'):.2f~P}")
    44.54 mm
    """
    return np.cbrt(3.0 * pi * modulus * diameter**4 * deflection / (64.0 * force))
