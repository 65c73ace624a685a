"""A ball-nose cutter leaned on a surface: the diameters at which it cuts, and where its tip is clear."""

import numpy as np

from millcalc.formulas._cap import cutting_extent
from millcalc.formulas._fits import FITS, fits
from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import (
    POSITIVE,
    POSITIVE_OR_INFINITE,
    Angle,
    Interval,
    Length,
    Radius,
    Side,
)

__all__ = [
    "ball_contact_diameter",
    "ball_cutting_diameters",
    "ball_effective_diameter",
    "ball_least_diameter",
    "clearing_inclination",
    "engaged_depth",
]

_RIGHT_ANGLE = Interval(0.0, 90.0)
_LEAN = Interval(-90.0, 90.0, low_open=True, high_open=True)
_RADIANS = np.pi / 180.0


@formula(
    symbol="D_e",
    expression="gamma_c = 2*arcsin(sqrt(min(a_n/D, 1))); D*sin(min(beta + gamma_c, pi/2))",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "inclination": _RIGHT_ANGLE},
)
def ball_effective_diameter(diameter: Length, normal_depth: Length, inclination: Angle = 0.0) -> Length:
    """Return the largest diameter [mm] about the cutter axis on the whole cap below the stock plane.

    It is exact for a full-width cut leaned ahead or to the side; `ball_cutting_diameters` tells what cuts
    beside a pass or when the axis lags.

    Parameters
    ----------
    diameter [mm]
        Ball diameter, above 0; scalar or array.
    normal_depth [mm]
        Stock along the surface normal, 0 or more; beyond the ball's equator the ball's full diameter cuts.
    inclination [deg]
        Angle between axis and surface normal, 0 to 90.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit on a plane; on a concave surface put in `engaged_depth`. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{ball_effective_diameter('10 mm', '0.2 mm', '15 deg'):.4f~P}")
    5.1893 mm
    """
    cap = 2.0 * np.arcsin(np.sqrt(np.minimum(np.divide(normal_depth, diameter), 1.0)))
    return diameter * np.sin(np.minimum(inclination * _RADIANS + cap, np.pi / 2))


@formula(
    symbol="D_c",
    expression="D*sin(beta)",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "inclination": _RIGHT_ANGLE},
)
def ball_contact_diameter(diameter: Length, inclination: Angle) -> Length:
    """Return the diameter [mm] about the cutter axis at the point that touches the finished surface.

    Parameters
    ----------
    diameter [mm]
        Ball diameter, above 0; scalar or array.
    inclination [deg]
        Angle between axis and surface normal, 0 to 90.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{ball_contact_diameter('10 mm', '15 deg'):.4f~P}")
    2.5882 mm
    """
    return diameter * np.sin(inclination * _RADIANS)


@formula(
    symbol="D_l",
    expression="gamma_c = 2*arcsin(sqrt(min(a_n/D, 1))); D*sin(max(beta - gamma_c, 0))",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "inclination": _RIGHT_ANGLE},
)
def ball_least_diameter(diameter: Length, normal_depth: Length, inclination: Angle = 0.0) -> Length:
    """Return the least diameter [mm] about the cutter axis on the whole cap below the stock plane.

    It is 0 where the tip, which stands still, is in the cap.

    Parameters
    ----------
    diameter [mm]
        Ball diameter, above 0; scalar or array.
    normal_depth [mm]
        Stock along the surface normal, 0 or more.
    inclination [deg]
        Angle between axis and surface normal, 0 to 90.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit on a plane. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{ball_least_diameter('10 mm', '0.2 mm', '30 deg'):.4f~P}")
    2.3751 mm
    """
    cap = 2.0 * np.arcsin(np.sqrt(np.minimum(np.divide(normal_depth, diameter), 1.0)))
    return diameter * np.sin(np.maximum(inclination * _RADIANS - cap, 0.0))


@formula(
    symbol="D_l, D_c, D_e",
    expression="",
    method="D*sqrt(1 - w^2) at the extremes of w = u.T over the part of the cap that cuts: u.F >= 0, below the "
    "stock plane, outside the cylinder of the pass before; above the ball's equator (w > 0) D",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "lead": _LEAN, "tilt": _LEAN, "stepover": POSITIVE_OR_INFINITE},
)
def ball_cutting_diameters(
    diameter: Length,
    normal_depth: Length,
    lead: Angle = 0.0,
    tilt: Angle = 0.0,
    stepover: Length = None,
    uncut_side: Side = "left",
) -> tuple[Length, Length, Length]:
    """Return the least diameter [mm], that at the contact and the largest over the part of the cap that cuts.

    Parameters
    ----------
    diameter [mm]
        Ball diameter, above 0; scalar or array.
    normal_depth [mm]
        Stock along the surface normal, 0 or more.
    lead [deg]
        Lean toward the feed, turned first; positive: contact ahead of the tip; between -90 and 90.
    tilt [deg]
        Lean across the feed; positive: toward the left; between -90 and 90.
    stepover [mm]
        Distance to the pass before; none or infinite for a full-width cut.
    uncut_side [1]
        Side of the feed on which the stock still stands, "left" or "right".

    Returns
    -------
    least, at_contact, largest
        Diameters [mm]; the least is 0 where the tip, which stands still, is in the cut.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit on a plane, for a feed per tooth small against the ball; exact up to rounding (about
    1e-7 of the diameter near the tip). Source: GEOMETRY.

    Examples
    --------
    >>> for lead in ("15 deg", "-15 deg"):
    ...     print(*(f"{d:.4f~P}" for d in ball_cutting_diameters("10 mm", "0.2 mm", lead)))
    2.5882 mm 2.5882 mm 5.1893 mm
    0.0000 mm 2.5882 mm 3.7435 mm
    """
    axis_f = np.sin(lead * _RADIANS)
    across = np.cos(lead * _RADIANS)
    axis_c = across * np.sin(tilt * _RADIANS)
    axis_n = across * np.cos(tilt * _RADIANS)
    toward_uncut = np.where(np.asarray(uncut_side) == "left", 1.0, -1.0) * axis_c
    ratio = None if stepover is None else np.divide(stepover, 0.5 * diameter)
    lowest, highest = cutting_extent(np.divide(normal_depth, diameter), axis_f, toward_uncut, axis_n, ratio)
    at_contact = diameter * np.sqrt(axis_f**2 + axis_c**2)
    return (
        diameter * np.sqrt(1.0 - np.minimum(lowest, 0.0) ** 2),
        at_contact + 0.0 * lowest,
        diameter * np.sqrt(1.0 - np.minimum(highest, 0.0) ** 2),
    )


@formula(
    symbol="beta_c",
    expression="2*arcsin(sqrt(a_n/D))",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=("normal_depth <= 0.5*diameter",),
)
def clearing_inclination(diameter: Length, normal_depth: Length) -> Angle:
    """Return the inclination [deg] from which the tip is clear of the stock, whichever way the axis leans.

    Parameters
    ----------
    diameter [mm]
        Ball diameter, above 0; scalar or array.
    normal_depth [mm]
        Stock along the surface normal, up to the ball's radius.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid up to the ball's equator; no inclination clears the tip beyond. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{clearing_inclination('10 mm', '0.2 mm'):.2f~P}")
    16.26 deg
    """
    ratio = np.where(normal_depth <= 0.5 * diameter, np.divide(normal_depth, diameter), np.nan)
    return 2.0 * np.arcsin(np.sqrt(ratio)) / _RADIANS


@formula(
    symbol="a_q",
    expression="R = D/2; min(a_n*(1 + a_n/(2*rho))/(1 + R/rho), D)",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=(
        FITS,
        "normal_depth <= abs(surface_radius)",
    ),
)
def engaged_depth(diameter: Length, normal_depth: Length, surface_radius: Radius) -> Length:
    """Return the depth [mm] on a plane that engages as much of a ball's section as stock on a curved surface.

    Parameters
    ----------
    diameter [mm]
        Ball diameter, above 0; scalar or array.
    normal_depth [mm]
        Stock along the surface normal, 0 or more; on a concave surface up to its radius.
    surface_radius [mm]
        Radius of the surface in the section: convex positive, concave negative, flat infinite.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, or the concave radius does not exceed the ball's.

    Notes
    -----
    Valid for a circular section. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{engaged_depth('10 mm', '0.2 mm', '-20 mm'):.4f~P}")
    0.2653 mm
    """
    curvature = np.divide(1.0, surface_radius)
    grown = 1.0 + 0.5 * diameter * curvature
    depth = np.divide(normal_depth * (1.0 + 0.5 * normal_depth * curvature), grown)
    return np.where(fits(diameter, surface_radius), np.minimum(depth, diameter), np.nan)
