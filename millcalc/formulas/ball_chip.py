"""The chip of a ball-nose cutter beside a pass: one correction from the geometry of the engaged cap."""

from math import inf
from typing import Any

import numpy as np

from millcalc.formulas._cap import mean_reach
from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, POSITIVE_OR_INFINITE, ChipThickness, FeedPerTooth, Length

__all__ = ["ball_feed_per_tooth_for_chip", "ball_max_chip_thickness", "ball_mean_chip_thickness"]


def _reach(diameter: Any, normal_depth: Any, stepover: Any) -> Any:
    """How far ahead of the ball's centre the engaged cap reaches."""
    depth = np.minimum(normal_depth, 0.5 * diameter)
    square = depth * (diameter - depth)
    side = np.maximum(np.sqrt(square) - stepover, 0.0)
    return np.sqrt(square - side * side)


@formula(
    symbol="h_max",
    expression="R = D/2; a = min(a_n, R); S = sqrt(a*(D - a)); q = max(S - s, 0); f_z*sqrt(S^2 - q^2)/R",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "stepover": POSITIVE_OR_INFINITE},
    validity=("feed_per_tooth <= 0.1*diameter",),
)
def ball_max_chip_thickness(
    feed_per_tooth: FeedPerTooth, diameter: Length, normal_depth: Length, stepover: Length = inf
) -> ChipThickness:
    """Return the largest chip thickness [mm] on a ball, in one step from the geometry beside a pass.

    The chip is the feed's component along the ball's normal, largest where the engaged cap reaches furthest
    ahead. The lean of the axis does not change it.

    Parameters
    ----------
    feed_per_tooth [mm]
        Feed per tooth, 0 or more; scalar or array.
    diameter [mm]
        Ball diameter, above 0.
    normal_depth [mm]
        Stock along the surface normal, 0 or more.
    stepover [mm]
        Distance to the pass before; infinite for a full-width cut.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for a feed per tooth small against the ball; about 2 % high at a twentieth of the radius.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{ball_max_chip_thickness('0.1 mm', '10 mm', '0.5 mm', '0.5 mm'):.5f~P}")
    0.02778 mm
    """
    return np.divide(feed_per_tooth * _reach(diameter, normal_depth, stepover), 0.5 * diameter)


@formula(
    symbol="h_mean",
    expression="",
    method="f_z times the mean of u.F over the part of the cap that cuts, by area: integral of x w(x) over that of "
    "w(x), w the angle over which the slice of the ball at x ahead is engaged",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "normal_depth": POSITIVE, "stepover": POSITIVE_OR_INFINITE},
    validity=("feed_per_tooth <= 0.1*diameter",),
)
def ball_mean_chip_thickness(
    feed_per_tooth: FeedPerTooth, diameter: Length, normal_depth: Length, stepover: Length = inf
) -> ChipThickness:
    """Return the mean chip thickness [mm] on a ball, over the engaged area, beside a pass or at full width.

    Parameters
    ----------
    feed_per_tooth [mm]
        Feed per tooth, 0 or more; scalar or array.
    diameter [mm]
        Ball diameter, above 0.
    normal_depth [mm]
        Stock along the surface normal, above 0; beyond the ball's equator the value at the equator.
    stepover [mm]
        Distance to the pass before; infinite for a full-width cut.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for a feed per tooth small against the ball; the integral is good to about 1e-7.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{ball_mean_chip_thickness('0.1 mm', '10 mm', '0.5 mm', '0.5 mm'):.5f~P}")
    0.01055 mm
    """
    radius = 0.5 * diameter
    return feed_per_tooth * mean_reach(np.minimum(np.divide(normal_depth, radius), 1.0), np.divide(stepover, radius))


@formula(
    symbol="f_z",
    expression="R = D/2; a = min(a_n, R); S = sqrt(a*(D - a)); q = max(S - s, 0); h*R/sqrt(S^2 - q^2)",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "normal_depth": POSITIVE, "stepover": POSITIVE_OR_INFINITE},
)
def ball_feed_per_tooth_for_chip(
    chip_thickness: ChipThickness, diameter: Length, normal_depth: Length, stepover: Length = inf
) -> FeedPerTooth:
    """Return the feed per tooth [mm] that gives a largest chip thickness on a ball, the inverse of the chip.

    Parameters
    ----------
    chip_thickness [mm]
        Largest chip thickness wanted, 0 or more; scalar or array.
    diameter [mm]
        Ball diameter, above 0.
    normal_depth [mm]
        Stock along the surface normal, above 0.
    stepover [mm]
        Distance to the pass before; infinite for a full-width cut.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for a feed per tooth small against the ball. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{ball_feed_per_tooth_for_chip('0.02778 mm', '10 mm', '0.5 mm', '0.5 mm'):.3f~P}")
    0.100 mm
    """
    return np.divide(chip_thickness * 0.5 * diameter, _reach(diameter, normal_depth, stepover))
