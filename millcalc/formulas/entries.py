"""Entries into solid stock by straight ramps, in one go or back and forth, and the feed along the axis."""

from math import pi
from typing import Any

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import (
    ONE_OR_MORE,
    POSITIVE,
    Angle,
    Count,
    FeedPerTooth,
    FeedRate,
    Interval,
    Length,
)

__all__ = [
    "axial_feed_per_tooth",
    "axial_feed_rate",
    "largest_ramp_angle",
    "ramp_angle",
    "ramp_length",
    "ramp_passes",
    "ramp_path_length",
]

_RADIANS = pi / 180.0
_DESCENT = Interval(0.0, 90.0, low_open=True, high_open=True)
_ANY_DESCENT = Interval(0.0, 90.0)
_WHOLE = 1e-9  # a quotient this little above a whole number is that number, rounded badly


def _descending(angle: Any) -> Any:
    """1 for the angle of a ramp, NaN for others."""
    return np.where((angle > 0.0) & (angle < 90.0), 1.0, np.nan)


@formula(
    symbol="l_r",
    expression="a_p/tan(alpha_r)",
    sources=("GEOMETRY",),
    domain={"ramp_angle": _DESCENT},
)
def ramp_length(axial_depth: Length, ramp_angle: Angle) -> Length:
    """Return the level length [mm] of a straight ramp down to a depth.

    Parameters
    ----------
    axial_depth [mm]
        Depth to reach, 0 or more; scalar or array.
    ramp_angle [deg]
        Angle between path and level, above 0 and below 90; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. How steep a cutter may go is its maker's to say: solid end mills are commonly ramped at 2 to 5
    deg, less in hard stock (common practice). Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{ramp_length('2 mm', '3 deg'):.2f~P}")
    38.16 mm
    """
    return axial_depth / np.tan(ramp_angle * _RADIANS) * _descending(ramp_angle)


@formula(
    symbol="l_p",
    expression="a_p/sin(alpha_r)",
    sources=("GEOMETRY",),
    domain={"ramp_angle": _DESCENT},
)
def ramp_path_length(axial_depth: Length, ramp_angle: Angle) -> Length:
    """Return the length [mm] along the path of a ramp down to a depth, in one go or back and forth.

    Parameters
    ----------
    axial_depth [mm]
        Depth to reach, 0 or more; scalar or array.
    ramp_angle [deg]
        Angle between path and level, above 0 and below 90; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit; `cutting_time` tells how long it takes. The level pass that clears the slanted floor comes on
    top. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{ramp_path_length('2 mm', '3 deg'):.2f~P}")
    38.21 mm
    """
    return axial_depth / np.sin(ramp_angle * _RADIANS) * _descending(ramp_angle)


@formula(
    symbol="N_p",
    expression="ceil(a_p/(l*tan(alpha_r)))",
    sources=("GEOMETRY",),
    domain={"length": POSITIVE, "ramp_angle": _DESCENT},
)
def ramp_passes(axial_depth: Length, length: Length, ramp_angle: Angle) -> Count:
    """Return how many ramps, back and forth within a length, reach a depth no steeper than an angle.

    Parameters
    ----------
    axial_depth [mm]
        Depth to reach, 0 or more; scalar or array.
    length [mm]
        Travel of the cutter's axis along the slot, above 0; scalar or array.
    ramp_angle [deg]
        Steepest angle between path and level, above 0 and below 90; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit; `ramp_angle` tells the even angle of so many ramps. Source: GEOMETRY.

    Examples
    --------
    >>> ramp_passes('5 mm', '30 mm', '3 deg')
    4.0
    """
    each = np.multiply(length, np.tan(ramp_angle * _RADIANS))
    return np.ceil(axial_depth / each * (1.0 - _WHOLE)) * _descending(ramp_angle)


@formula(
    symbol="alpha",
    expression="arctan2(a_p, N_p*l)",
    sources=("GEOMETRY",),
    domain={"length": POSITIVE, "passes": ONE_OR_MORE},
)
def ramp_angle(axial_depth: Length, length: Length, passes: Count) -> Angle:
    """Return the angle [deg] of ramps, back and forth within a length, that reach a depth in so many passes.

    Parameters
    ----------
    axial_depth [mm]
        Depth to reach, 0 or more; scalar or array.
    length [mm]
        Travel of the cutter's axis along the slot, above 0; scalar or array.
    passes [1]
        Number of ramps, 1 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{ramp_angle('5 mm', '30 mm', 4):.3f~P}")
    2.386 deg
    """
    return np.degrees(np.arctan2(axial_depth, np.multiply(passes, length)))


@formula(
    symbol="alpha_max",
    expression="arctan2(h_c, d_c)",
    sources=("GEOMETRY",),
    domain={"core_diameter": POSITIVE},
)
def largest_ramp_angle(core_clearance: Length, core_diameter: Length) -> Angle:
    """Return the steepest straight ramp [deg] at which the middle of an end face that does not cut stays clear.

    The core that the leading edges leave stands until the trailing ones reach it, a core's diameter later.

    Parameters
    ----------
    core_clearance [mm]
        Height of the middle over the edges, 0 or more; scalar or array.
    core_diameter [mm]
        Diameter of the middle that does not cut, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for a flat middle and edges that cut from there outward; it says that the body does not rub, not that edges
    and machine bear the load: the maker's limit comes first. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{largest_ramp_angle('0.5 mm', '12 mm'):.2f~P}")
    2.39 deg
    """
    return np.degrees(np.arctan2(core_clearance, core_diameter))


@formula(
    symbol="v_a",
    expression="v_f*sin(alpha_r)",
    sources=("KINEMATICS",),
    domain={"ramp_angle": _ANY_DESCENT},
)
def axial_feed_rate(feed_rate: FeedRate, ramp_angle: Angle) -> FeedRate:
    """Return the feed rate [mm/min] along the axis of a cutter that descends on a path.

    Parameters
    ----------
    feed_rate [mm/min]
        Feed rate along the path, 0 or more; scalar or array.
    ramp_angle [deg]
        Angle between path and level, 0 to 90 (plunging); scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit, on straight and helical paths; in the level the share is the cosine. Source: KINEMATICS.

    Examples
    --------
    >>> print(f"{axial_feed_rate('1000 mm/min', '3 deg'):.2f~P}")
    52.34 mm/min
    """
    return feed_rate * np.sin(ramp_angle * _RADIANS)


@formula(
    symbol="f_a",
    expression="f_z*sin(alpha_r)",
    sources=("KINEMATICS",),
    domain={"ramp_angle": _ANY_DESCENT},
)
def axial_feed_per_tooth(feed_per_tooth: FeedPerTooth, ramp_angle: Angle) -> FeedPerTooth:
    """Return the feed per tooth [mm] along the axis of a cutter that descends on a path.

    It is the thickness of the chip under the end of the tooth.

    Parameters
    ----------
    feed_per_tooth [mm]
        Feed per tooth along the path of the axis, 0 or more; scalar or array.
    ramp_angle [deg]
        Angle between path and level, 0 to 90 (plunging); scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit; in the level the share is the cosine. For a feed per tooth stated in the level, divide that by
    the cosine first. Source: KINEMATICS.

    Examples
    --------
    >>> print(f"{axial_feed_per_tooth('0.06 mm', '3 deg'):.5f~P}")
    0.00314 mm
    """
    return feed_per_tooth * np.sin(ramp_angle * _RADIANS)
