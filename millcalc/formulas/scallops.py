"""The ridge that a ball leaves between passes, and the spacing of the passes on a slope."""

from math import inf, pi

import numpy as np

from millcalc.formulas._fits import FITS
from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, Angle, Interval, Length, Radius, ScallopHeight

__all__ = [
    "plan_spacing",
    "scallop_height",
    "scallop_stepover",
    "step_down",
    "surface_spacing",
    "surface_spacing_from_step_down",
]

_RADIANS = pi / 180.0
_SLOPE = Interval(0.0, 90.0, high_open=True)
_WALL = Interval(0.0, 90.0, low_open=True)


@formula(
    symbol="h_s",
    expression="R = D/2; d = s/(2*rho); 1000*((rho + R)*cos(d) - rho - sqrt(R^2 - (rho + R)^2*sin(d)^2)) "
    "if abs(rho) < inf else 1000*(R - sqrt(R^2 - s^2/4))",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=(FITS, "stepover <= pi*abs(surface_radius)"),
)
def scallop_height(diameter: Length, stepover: Length, surface_radius: Radius = inf) -> ScallopHeight:
    """Return the scallop height [um] that a ball leaves between passes, exactly.

    Parameters
    ----------
    diameter [mm]
        Ball diameter, above 0; scalar or array.
    stepover [mm]
        Distance between passes along the surface, 0 or more.
    surface_radius [mm]
        Radius of the surface across the passes: convex positive, concave negative, flat infinite.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit; the passes do not meet (stepover above the diameter on a flat
        surface, less on a convex one); the concave radius does not exceed the ball's.

    Notes
    -----
    Valid while the ball, not the shank, cuts the ridge: half the stepover up to R cos(tilt). On a concave
    surface the passes reach at most a quarter turn each way. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{scallop_height('10 mm', '0.5 mm'):.4f~P}")
    6.2539 µm
    >>> print(f"{scallop_height('10 mm', '0.5 mm', '-20 mm'):.4f~P}")
    4.6885 µm
    """
    radius = 0.5 * diameter
    curvature = np.divide(1.0, surface_radius)
    half_turn = 0.5 * stepover * curvature
    grown = 1.0 + radius * curvature
    # sinc keeps a nearly flat surface exact where the printed form would cancel
    reach = grown * 0.5 * stepover * np.sinc(half_turn / pi)
    sink = grown * 0.125 * stepover * stepover * curvature * np.sinc(0.5 * half_turn / pi) ** 2
    meets = (grown > 0.0) & (np.abs(half_turn) <= 0.5 * pi) & (reach <= radius)
    square = np.where(meets, radius * radius - reach * reach, np.nan)
    return 1000.0 * (np.divide(reach * reach, radius + np.sqrt(square)) - sink)


@formula(
    symbol="s",
    expression="R = D/2; h = h_s/1000; A = sqrt(h*(D - h)); "
    "4*rho*arcsin(A/(2*rho*sqrt((1 + R/rho)*(1 + h/rho)))) if abs(rho) < inf else 2*A",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=(FITS, "scallop_height <= 500*diameter"),
)
def scallop_stepover(diameter: Length, scallop_height: ScallopHeight, surface_radius: Radius = inf) -> Length:
    """Return the stepover [mm] along the surface at which a ball leaves a scallop height, exactly.

    Parameters
    ----------
    diameter [mm]
        Ball diameter, above 0; scalar or array.
    scallop_height [um]
        Scallop height along the surface normal, 0 up to the ball's radius.
    surface_radius [mm]
        Radius of the surface across the passes: convex positive, concave negative, flat infinite.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit; no stepover leaves so high a scallop; the concave radius does not
        exceed the ball's.

    Notes
    -----
    Valid as `scallop_height`, whose inverse it is. On a concave surface the height is bounded. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{scallop_stepover('10 mm', '5 um'):.5f~P}")
    0.44710 mm
    """
    radius, height = 0.5 * diameter, scallop_height / 1000.0
    curvature = np.divide(1.0, surface_radius)
    grown, raised = 1.0 + radius * curvature, 1.0 + height * curvature
    square = height * (diameter - height)
    apart = grown * raised
    chord = np.divide(square, np.where(apart > 0.0, apart, np.nan))
    # below the height at which the passes just meet, and at most a quarter turn each way
    meets = (height <= radius - 0.5 * grown * curvature * chord) & (curvature * curvature * chord <= 2.0)
    root = np.sqrt(np.where(meets & (grown > 0.0), chord, np.nan))
    turn = 0.5 * np.abs(curvature) * root
    safe = np.where(turn == 0.0, 1.0, turn)
    return 2.0 * root * np.where(turn == 0.0, 1.0, np.arcsin(np.minimum(safe, 1.0)) / safe)


@formula(
    symbol="s",
    expression="s_p/cos(theta)",
    sources=("GEOMETRY",),
    domain={"slope": _SLOPE},
)
def surface_spacing(plan_spacing: Length, slope: Angle) -> Length:
    """Return the spacing along a slope [mm] of passes with a spacing in plan view.

    Parameters
    ----------
    plan_spacing [mm]
        Distance between passes in plan view, 0 or more; scalar or array.
    slope [deg]
        Angle between surface and horizontal across the passes, 0 to below 90.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid on a plane slope. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{surface_spacing('0.2 mm', '60 deg'):.3f~P}")
    0.400 mm
    """
    return plan_spacing / np.cos(slope * _RADIANS)


@formula(
    symbol="s_p",
    expression="s*cos(theta)",
    sources=("GEOMETRY",),
    domain={"slope": _SLOPE},
)
def plan_spacing(stepover: Length, slope: Angle) -> Length:
    """Return the spacing in plan view [mm] of passes a stepover apart along a slope.

    Parameters
    ----------
    stepover [mm]
        Distance between passes along the surface, 0 or more; scalar or array.
    slope [deg]
        Angle between surface and horizontal across the passes, 0 to below 90.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid on a plane slope. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{plan_spacing('0.4 mm', '60 deg'):.3f~P}")
    0.200 mm
    """
    return stepover * np.cos(slope * _RADIANS)


@formula(
    symbol="s",
    expression="s_d/sin(theta)",
    sources=("GEOMETRY",),
    domain={"slope": _WALL},
)
def surface_spacing_from_step_down(step_down: Length, slope: Angle) -> Length:
    """Return the spacing along a slope [mm] of passes a step apart in height.

    Parameters
    ----------
    step_down [mm]
        Distance between passes in height, 0 or more; scalar or array.
    slope [deg]
        Angle between surface and horizontal across the passes, above 0 to 90.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, or the surface is level.

    Notes
    -----
    Valid on a plane slope. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{surface_spacing_from_step_down('0.2 mm', '30 deg'):.3f~P}")
    0.400 mm
    """
    return step_down / np.sin(slope * _RADIANS)


@formula(
    symbol="s_d",
    expression="s*sin(theta)",
    sources=("GEOMETRY",),
    domain={"slope": _WALL},
)
def step_down(stepover: Length, slope: Angle) -> Length:
    """Return the step in height [mm] of passes a stepover apart along a slope.

    Parameters
    ----------
    stepover [mm]
        Distance between passes along the surface, 0 or more; scalar or array.
    slope [deg]
        Angle between surface and horizontal across the passes, above 0 to 90.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, or the surface is level.

    Notes
    -----
    Valid on a plane slope. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{step_down('0.4 mm', '30 deg'):.3f~P}")
    0.200 mm
    """
    return stepover * np.sin(slope * _RADIANS)
