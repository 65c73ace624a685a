"""Helical entries into solid stock: path, hole and what stays in its middle."""

from math import pi

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, Angle, FeedRate, Interval, Length, RemovalRate

__all__ = [
    "entry_helix_angle",
    "entry_hole_diameter",
    "entry_path_radius",
    "entry_post_diameter",
    "helical_removal_rate",
    "helix_path_length",
    "helix_pitch",
    "largest_entry_hole",
    "largest_helix_pitch",
    "smallest_entry_hole",
]

_RADIANS = pi / 180.0
_DESCENT = Interval(0.0, 90.0, low_open=True, high_open=True)
_ANY_DESCENT = Interval(0.0, 90.0)


@formula(
    symbol="alpha",
    expression="arctan2(p_h, 2*pi*r)",
    sources=("GEOMETRY",),
    domain={"path_radius": POSITIVE},
)
def entry_helix_angle(pitch: Length, path_radius: Length) -> Angle:
    """Return the angle [deg] between the helical path of a cutter's axis and the level.

    Parameters
    ----------
    pitch [mm]
        Descent in one turn, 0 or more; scalar or array.
    path_radius [mm]
        Radius of the path of the axis, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. The edge at the wall descends on a larger radius, at a smaller angle. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{entry_helix_angle('1 mm', '4 mm'):.3f~P}")
    2.279 deg
    """
    return np.degrees(np.arctan2(pitch, 2.0 * pi * path_radius))


@formula(
    symbol="p",
    expression="2*pi*r*tan(alpha_r)",
    sources=("GEOMETRY",),
    domain={"ramp_angle": _DESCENT, "path_radius": POSITIVE},
)
def helix_pitch(ramp_angle: Angle, path_radius: Length) -> Length:
    """Return the descent [mm] in one turn of a helical path at an angle.

    Parameters
    ----------
    ramp_angle [deg]
        Angle between path and level, above 0 and below 90; scalar or array.
    path_radius [mm]
        Radius of the path of the axis, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{helix_pitch('2 deg', '4 mm'):.3f~P}")
    0.878 mm
    """
    inside = np.where((ramp_angle > 0.0) & (ramp_angle < 90.0), 1.0, np.nan)
    return 2.0 * pi * path_radius * np.tan(ramp_angle * _RADIANS) * inside


@formula(
    symbol="l_p",
    expression="a_p*sqrt(1 + (2*pi*r/p_h)^2)",
    sources=("GEOMETRY",),
    domain={"pitch": POSITIVE},
)
def helix_path_length(axial_depth: Length, pitch: Length, path_radius: Length) -> Length:
    """Return the length [mm] of the axis' path in a helical entry down to a depth.

    Parameters
    ----------
    axial_depth [mm]
        Depth to reach, 0 or more; scalar or array.
    pitch [mm]
        Descent in one turn, above 0; scalar or array.
    path_radius [mm]
        Radius of the path of the axis, 0 (plunging) or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit; the level turn that clears the floor, 2 pi r, comes on top. `cutting_time` tells how long it
    takes. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{helix_path_length('10 mm', '1 mm', '4 mm'):.2f~P}")
    251.53 mm
    """
    return axial_depth * np.hypot(1.0, 2.0 * pi * path_radius / pitch)


@formula(symbol="d_h", expression="D + 2*r", sources=("GEOMETRY",), domain={"diameter": POSITIVE})
def entry_hole_diameter(diameter: Length, path_radius: Length) -> Length:
    """Return the diameter [mm] of the hole that a helical entry bores.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    path_radius [mm]
        Radius of the path of the axis, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. A feed rate wanted at its wall is turned into that of the axis by `arc_feed_rate`.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{entry_hole_diameter('10 mm', '4 mm'):.1f~P}")
    18.0 mm
    """
    return diameter + np.multiply(2.0, path_radius)


@formula(
    symbol="r_p",
    expression="(d_a - D)/2",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "arc_diameter": POSITIVE},
    requires=("diameter <= arc_diameter",),
)
def entry_path_radius(diameter: Length, arc_diameter: Length) -> Length:
    """Return the radius [mm] of the axis' path that bores a hole of a diameter.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    arc_diameter [mm]
        Diameter of the hole, no less than the cutter's; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cutter does not fit the hole.

    Notes
    -----
    Valid without limit. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{entry_path_radius('10 mm', '18 mm'):.1f~P}")
    4.0 mm
    """
    room = np.subtract(arc_diameter, diameter)
    return np.where(room >= 0.0, 0.5 * room, np.nan)[()]


@formula(
    symbol="d_min",
    expression="D + d_c",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=("core_diameter < diameter",),
)
def smallest_entry_hole(diameter: Length, core_diameter: Length) -> Length:
    """Return the least diameter [mm] of a helical entry at which the edges reach the middle of the hole.

    In a smaller one the middle of the end face, which does not cut, always covers some of the floor, and rubs.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    core_diameter [mm]
        Diameter of the middle that does not cut, 0 (cutting to the centre) or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cutter has no edges at its end.

    Notes
    -----
    Valid for edges that cut from there outward; `largest_helix_pitch` keeps the middle clear. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{smallest_entry_hole('25 mm', '9 mm'):.1f~P}")
    34.0 mm
    """
    return np.where(core_diameter < diameter, np.add(diameter, core_diameter), np.nan)[()]


@formula(
    symbol="d_max",
    expression="2*(D - r_e)",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=("2*corner_radius <= diameter",),
)
def largest_entry_hole(diameter: Length, corner_radius: Length) -> Length:
    """Return the largest diameter [mm] of a helical entry whose floor a level turn leaves flat, without a post.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    corner_radius [mm]
        Radius of the cutter's corner, 0 or more, up to half the diameter (a ball); scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the corner is larger than the cutter.

    Notes
    -----
    Valid for a flat end within the corner. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{largest_entry_hole('25 mm', '0.8 mm'):.1f~P}")
    48.4 mm
    """
    return np.where(np.multiply(2.0, corner_radius) <= diameter, 2.0 * np.subtract(diameter, corner_radius), np.nan)[()]


@formula(
    symbol="d_p",
    expression="max(d_a - 2*D, 0)",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "arc_diameter": POSITIVE},
    requires=("diameter <= arc_diameter",),
)
def entry_post_diameter(diameter: Length, arc_diameter: Length) -> Length:
    """Return the diameter [mm] of the post that a helical entry leaves standing in the middle of its hole.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    arc_diameter [mm]
        Diameter of the hole, no less than the cutter's; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cutter does not fit the hole.

    Notes
    -----
    Valid above the corner of the cutter; at the floor a corner radius makes it twice that wider. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{entry_post_diameter('10 mm', '24 mm'):.1f~P}")
    4.0 mm
    """
    post = np.maximum(np.subtract(arc_diameter, np.multiply(2.0, diameter)), 0.0)
    return np.where(diameter <= arc_diameter, post, np.nan)[()]


@formula(
    symbol="p_max",
    expression="pi*h_c/arcsin(d_c/(2*r))",
    sources=("GEOMETRY",),
    domain={"core_diameter": POSITIVE, "path_radius": POSITIVE},
    requires=("core_diameter <= 2*path_radius",),
)
def largest_helix_pitch(core_clearance: Length, core_diameter: Length, path_radius: Length) -> Length:
    """Return the largest pitch [mm] of a helix at which the middle of an end face that does not cut stays clear.

    A point of the floor is under the middle for part of a turn, at most twice the arc sine of the ratio of the middle's
    radius to the path's; by as much of the pitch the body comes nearer.

    Parameters
    ----------
    core_clearance [mm]
        Height of the middle over the edges, 0 or more; scalar or array.
    core_diameter [mm]
        Diameter of the middle that does not cut, above 0; scalar or array.
    path_radius [mm]
        Radius of the path of the axis, no less than the middle's; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the middle always covers some of the floor.

    Notes
    -----
    Valid for a flat middle and edges that cut from there outward; it says that the body does not rub, not that edges
    and machine bear the load: the maker's limit comes first. On a wide path it is that of `largest_ramp_angle`.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{largest_helix_pitch('0.5 mm', '9 mm', '6 mm'):.3f~P}")
    1.852 mm
    """
    share = np.divide(core_diameter, np.multiply(2.0, path_radius))
    covered = np.arcsin(np.where(share <= 1.0, share, np.nan))
    return (pi * core_clearance / covered)[()]


@formula(
    symbol="Q",
    expression="pi/4*(d_a^2 - max(d_a - 2*D, 0)^2)*v_f*sin(alpha_r)/1000",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "arc_diameter": POSITIVE, "ramp_angle": _ANY_DESCENT},
    requires=("diameter <= arc_diameter",),
)
def helical_removal_rate(diameter: Length, arc_diameter: Length, feed_rate: FeedRate, ramp_angle: Angle) -> RemovalRate:
    """Return the removal rate [cm^3/min] of a helical entry into solid stock, once it is as deep as its pitch.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    arc_diameter [mm]
        Diameter of the hole, no less than the cutter's; scalar or array.
    feed_rate [mm/min]
        Feed rate along the path of the axis, 0 or more; scalar or array.
    ramp_angle [deg]
        Angle between that path and the level, 0 to 90; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cutter does not fit the hole.

    Notes
    -----
    Valid for a flat end; a post in the middle is not removed. The front half of the rim is engaged, 180 deg, as deep as
    the pitch at the wall and less toward the middle. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{helical_removal_rate('10 mm', '18 mm', '800 mm/min', '2 deg'):.3f~P}")
    7.105 cm³/min
    """
    post = np.maximum(np.subtract(arc_diameter, np.multiply(2.0, diameter)), 0.0)
    ring = 0.25 * pi * np.subtract(arc_diameter, post) * np.add(arc_diameter, post)
    rate = ring * feed_rate * np.sin(ramp_angle * _RADIANS) / 1000.0
    return np.where(diameter <= arc_diameter, rate, np.nan)[()]
