"""Mean force of a cylindrical cutter, in closed form."""

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import (
    FINITE,
    ONE_OR_MORE,
    Angle,
    Count,
    EdgeForce,
    FeedPerTooth,
    Force,
    Interval,
    Length,
    Stress,
)

__all__ = ["mean_milling_force"]

_TURN = Interval(0.0, 180.0)
_EITHER_WAY = ("radial_coefficient", "axial_coefficient", "radial_edge_force", "axial_edge_force")


@formula(
    symbol="F_x, F_y, F_z",
    expression="",
    method="the force of a tooth integrated over its way through the cut, times the teeth, over a turn",
    sources=("MEAN_FORCE",),
    domain={"teeth": ONE_OR_MORE, "entry_angle": _TURN, "exit_angle": _TURN, **dict.fromkeys(_EITHER_WAY, FINITE)},
    requires=("exit_angle >= entry_angle",),
)
def mean_milling_force(
    teeth: Count,
    axial_depth: Length,
    feed_per_tooth: FeedPerTooth,
    entry_angle: Angle,
    exit_angle: Angle,
    tangential_coefficient: Stress,
    radial_coefficient: Stress,
    axial_coefficient: Stress,
    tangential_edge_force: EdgeForce = 0.0,
    radial_edge_force: EdgeForce = 0.0,
    axial_edge_force: EdgeForce = 0.0,
) -> tuple[Force, Force, Force]:
    """Return the mean force [N] on a cylindrical cutter along the feed, to the left of it, and along the axis.

    Parameters
    ----------
    teeth [1]
        Number of teeth, 1 or more; scalar or array.
    axial_depth [mm]
        Depth of cut along the axis, 0 or more; scalar or array.
    feed_per_tooth [mm]
        Feed per tooth, 0 or more; scalar or array.
    entry_angle [deg]
        Angle at which a tooth enters, as `entry_angle` counts it, 0 to 180; scalar or array.
    exit_angle [deg]
        Angle at which it leaves, not less; scalar or array.
    tangential_coefficient [N/mm^2]
        Tangential coefficient of the chip's section, 0 or more; scalar or array.
    radial_coefficient [N/mm^2]
        Radial coefficient of the chip's section, below 0 where a steep rake pulls in; scalar or array.
    axial_coefficient [N/mm^2]
        Axial coefficient of the chip's section, above 0 where the helix pulls out; scalar or array.
    tangential_edge_force [N/mm]
        Tangential force for each mm of axial depth, 0 or more; scalar or array.
    radial_edge_force [N/mm]
        Radial force for each mm of axial depth; scalar or array.
    axial_edge_force [N/mm]
        Axial force for each mm of axial depth; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    The axis points from the tip to the spindle: a helix that pulls the cutter out of the holder makes a negative force.
    The helix shifts the force in time and leaves its mean. Valid for a right-hand spindle, a straight path, and a
    feed small against the cutter. Source: MEAN_FORCE.

    Examples
    --------
    >>> case = (4, '2 mm', '0.05 mm', '0 deg', '180 deg', '1825 N/mm^2', '770 N/mm^2', '735 N/mm^2')
    >>> found = mean_milling_force(*case, '29.7 N/mm', '55.7 N/mm', '1.8 N/mm')
    >>> print(*(f"{force:.2f~P}" for force in found))
    -218.84 N 258.13 N -100.78 N
    """
    start, end = (np.radians(a) for a in (entry_angle, exit_angle))
    end = np.where(end >= start, end, np.nan)
    middle, half = 0.5 * (start + end), 0.5 * (end - start)
    # integrals over the angle of sin^2, sin cos, sin, cos; as products, which keep their digits in thin cuts
    square = half - 0.5 * np.cos(2.0 * middle) * np.sin(2.0 * half)
    both = 0.5 * np.sin(2.0 * middle) * np.sin(2.0 * half)
    sine, cosine = 2.0 * np.sin(middle) * np.sin(half), 2.0 * np.cos(middle) * np.sin(half)
    share, chip = teeth * axial_depth / (2.0 * np.pi), feed_per_tooth
    along = chip * (tangential_coefficient * both + radial_coefficient * square)
    across = chip * (tangential_coefficient * square - radial_coefficient * both)
    pull = axial_coefficient * chip * sine + axial_edge_force * 2.0 * half
    return (
        -share * (along + tangential_edge_force * cosine + radial_edge_force * sine),
        share * (across + tangential_edge_force * sine - radial_edge_force * cosine),
        -share * pull,
    )
