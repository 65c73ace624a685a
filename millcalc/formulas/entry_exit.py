"""Angles at which a tooth enters and leaves the cut."""

import numpy as np

from millcalc.formulas.chips import engagement_angle
from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, Angle, Cut, Length

__all__ = ["entry_angle", "exit_angle"]


@formula(
    symbol="phi_s",
    expression="",
    method="180 deg less the engagement angle for a climb cut, 0 for a conventional one",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=("radial_width <= diameter",),
)
def entry_angle(diameter: Length, radial_width: Length, cut: Cut) -> Angle:
    """Return the angle [deg] at which a tooth enters the cut, counted from the direction square to the feed.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    radial_width [mm]
        Width of cut across the feed, 0 to the diameter; scalar or array.
    cut [1]
        "climb" or "conventional"; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Counted in the sense of rotation, 90 deg straight ahead: a conventional cut begins at 0, a climb cut ends at 180.
    With a right-hand spindle 0 lies on the left of the feed. Valid for a feed small against the cutter.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{entry_angle('10 mm', '2.5 mm', 'climb'):.1f~P}")
    120.0 deg
    """
    wide = engagement_angle.bare(diameter, radial_width)
    return np.where(np.asarray(cut) == "climb", 180.0 - wide, 0.0 * wide)[()]


@formula(
    symbol="phi_e",
    expression="",
    method="180 deg for a climb cut, the engagement angle for a conventional one",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=("radial_width <= diameter",),
)
def exit_angle(diameter: Length, radial_width: Length, cut: Cut) -> Angle:
    """Return the angle [deg] at which a tooth leaves the cut, counted from the direction square to the feed.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    radial_width [mm]
        Width of cut across the feed, 0 to the diameter; scalar or array.
    cut [1]
        "climb" or "conventional"; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Counted as of `entry_angle`. Valid for a feed small against the cutter. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{exit_angle('10 mm', '2.5 mm', 'conventional'):.1f~P}")
    60.0 deg
    """
    wide = engagement_angle.bare(diameter, radial_width)
    return np.where(np.asarray(cut) == "climb", 180.0 + 0.0 * wide, wide)[()]
