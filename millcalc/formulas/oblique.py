"""From orthogonal cutting data to the force coefficients of an inclined edge."""

from math import factorial, nan, prod
from typing import Any

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, Angle, ChipThickness, EdgeForce, Interval, Ratio, Stress

__all__ = ["linearised_force", "oblique_coefficients", "shear_angle"]

_RAKE = Interval(-60.0, 60.0)
_SHARP = Interval(0.0, 90.0, low_open=True, high_open=True)
_NARROW, _TERMS = 0.2, range(22)


@formula(
    symbol="phi_n",
    expression="arctan2(r_c*cos(gamma_o), 1 - r_c*sin(gamma_o))",
    sources=("OBLIQUE",),
    domain={"chip_ratio": Interval(0.0, 2.0, low_open=True), "rake_angle": _RAKE},
)
def shear_angle(chip_ratio: Ratio, rake_angle: Angle) -> Angle:
    """Return the shear angle [deg] from the ratio of chip thicknesses.

    Parameters
    ----------
    chip_ratio [1]
        Thickness of the uncut over that of the cut chip, above 0 to 2; scalar or array.
    rake_angle [deg]
        Normal rake angle, between -60 and 60; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for a continuous chip from a sharp edge; there is no angle where the chip ratio times the sine of the rake
    reaches 1. Of an inclined edge whose chip flows at the inclination the ratio is the same. Source: OBLIQUE.

    Examples
    --------
    >>> print(f"{shear_angle(0.5, '10 deg'):.2f~P}")
    28.33 deg
    """
    rake = np.radians(rake_angle)
    left = 1.0 - chip_ratio * np.sin(rake)
    return np.degrees(np.arctan2(chip_ratio * np.cos(rake), np.where(left > 0.0, left, nan)))


@formula(
    symbol="K_tc, K_rc, K_ac",
    expression="",
    method="the force on the shear plane for a chip that flows at the inclination, in the directions of the edge",
    sources=("OBLIQUE",),
    domain={
        "shear_angle": _SHARP,
        "friction_angle": Interval(0.0, 90.0, high_open=True),
        "rake_angle": _RAKE,
        "edge_inclination": Interval(-80.0, 80.0),
    },
)
def oblique_coefficients(
    shear_stress: Stress, shear_angle: Angle, friction_angle: Angle, rake_angle: Angle, edge_inclination: Angle = 0.0
) -> tuple[Stress, Stress, Stress]:
    """Return tangential, radial and axial force coefficient [N/mm^2] of an inclined edge.

    Parameters
    ----------
    shear_stress [N/mm^2]
        Stress in the shear plane, 0 or more; scalar or array.
    shear_angle [deg]
        Shear angle, above 0 to below 90; scalar or array.
    friction_angle [deg]
        Friction angle on the rake face, 0 to below 90; scalar or array.
    rake_angle [deg]
        Normal rake angle, between -60 and 60; scalar or array.
    edge_inclination [deg]
        Inclination of the edge, on an end mill its helix, between -80 and 80; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    For each mm^2 of chip section, the width measured square to the cutting speed, as the axial depth of an end mill is.
    The tangential one acts against the edge's motion, the radial one lifts it off the cut surface, the axial one
    acts square to both: positive, with the lower end of the edge ahead, it pulls the cutter out of its holder.
    Valid for a sharp edge, a shear plane, and chip flow at the inclination; edge forces come on top; there is no
    answer where the force has no part along the chip's shear. Source: OBLIQUE.

    Examples
    --------
    >>> found = oblique_coefficients('613 N/mm^2', '30 deg', '20 deg', '5 deg', '30 deg')
    >>> print(*(f"{k.magnitude:.1f}" for k in found))
    1742.4 404.4 631.4
    """
    shear, rake, lean = (np.radians(a) for a in (shear_angle, rake_angle, edge_inclination))
    # the chip flows at the inclination of the edge
    slant = np.tan(lean)
    friction = np.arctan(np.tan(np.radians(friction_angle)) * np.cos(lean))
    turned = friction - rake
    side = slant * np.sin(friction)
    along = np.cos(shear + turned)
    along = np.where(along > 0.0, along, nan)
    scale = np.divide(shear_stress, np.sin(shear) * np.hypot(along, side))
    return (
        scale * (np.cos(turned) + slant * side),
        scale * np.sin(turned) / np.cos(lean),
        scale * (slant * np.cos(turned) - side),
    )


@formula(
    symbol="K_c, K_e",
    expression="",
    method="the line of least squares through the force per width over the range of chips",
    sources=("KIENZLE",),
    domain={"mc": Interval(0.0, 1.0, high_open=True), "chip_high": POSITIVE},
    requires=("chip_high > chip_low",),
)
def linearised_force(
    kc11: Stress, mc: Ratio, chip_low: ChipThickness, chip_high: ChipThickness
) -> tuple[Stress, EdgeForce]:
    """Return the coefficient [N/mm^2] and edge force [N/mm] of the straight line nearest to the law of Kienzle.

    Parameters
    ----------
    kc11 [N/mm^2]
        Specific cutting force at 1 mm, 0 or more; scalar or array.
    mc [1]
        Exponent of the chip thickness, 0 to below 1; scalar or array.
    chip_low [mm]
        Least chip of the range, 0 or more; scalar or array.
    chip_high [mm]
        Largest chip of the range, above the least; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Least squares of the force on a chip of 1 mm width over the range. Valid within the range. Source: KIENZLE.

    Examples
    --------
    >>> found = linearised_force('1780 N/mm^2', 0.17, '0.02 mm', '0.2 mm')
    >>> print(f"{found[0].magnitude:.0f} N/mm^2, {found[1].magnitude:.1f} N/mm")
    2185 N/mm^2, 39.6 N/mm
    """
    middle = 0.5 * (chip_low + chip_high)
    inside = (chip_low >= 0.0) & (chip_high > chip_low)
    middle = np.where(inside, middle, nan)
    mean, steep = _mean_and_slope(1.0 - mc, 0.5 * (chip_high - chip_low) / middle)
    scale = kc11 * np.power(middle, 1.0 - mc)
    return scale * steep / middle, scale * np.maximum(mean - steep, 0.0)


def _mean_and_slope(power: Any, half: Any) -> tuple[Any, Any]:
    """Mean and slope of the line of least squares through (1 + t)^power for t from -half to half, up to 1."""
    first, second = (((1.0 + half) ** (power + i) - (1.0 - half) ** (power + i)) / (power + i) for i in (1.0, 2.0))
    # what is left of the difference in a narrow range is rounding: there the binomial series
    terms = [prod(power - j for j in range(k)) / factorial(k) * half ** (k - k % 2) / (k + 1 + k % 2) for k in _TERMS]
    narrow = half < _NARROW
    mean = np.where(narrow, sum(terms[::2]), 0.5 * first / half)
    return mean, np.where(narrow, 3.0 * sum(terms[1::2]), 1.5 * (second - first) / half**3)
