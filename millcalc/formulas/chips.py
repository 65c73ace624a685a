"""Engagement of a cutter and thickness of the chip.

The chip is that of the thin-feed approximation: each tooth cuts on a circle, not on its trochoid.
"""

from math import pi

import numpy as np

from millcalc.formulas.speeds import approach_length
from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import (
    ONE_OR_MORE,
    POSITIVE,
    Angle,
    ChipThickness,
    Count,
    FeedPerTooth,
    Interval,
    Length,
    Ratio,
)

__all__ = [
    "centred_engagement_angle",
    "chip_thinning_factor",
    "engagement_angle",
    "feed_per_tooth_for_chip",
    "max_chip_thickness",
    "mean_chip_thickness",
    "round_edge_angle",
    "round_edge_thinning_factor",
    "teeth_in_cut",
]

_EDGE = Interval(0.0, 180.0, low_open=True, high_open=True)
_CUT = {"diameter": POSITIVE, "radial_width": POSITIVE, "edge_angle": _EDGE}
_WITHIN = ("radial_width <= diameter",)
# below this width a tooth no longer cuts the whole feed, and a closed form means nothing
_WHOLE_FEED = ("radial_width >= feed_per_tooth**2/(4*diameter)",)
_RADIANS = pi / 180.0


@formula(
    symbol="phi",
    expression="arccos(1 - 2*a_e/D)",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=_WITHIN,
)
def engagement_angle(diameter: Length, radial_width: Length) -> Angle:
    """Return the angle [deg] over which a tooth is in the cut beside an edge of the work.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    radial_width [mm]
        Width of cut across the feed, 0 to the diameter; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cut is wider than the cutter.

    Notes
    -----
    Valid on straight paths for a feed small against the cutter. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{engagement_angle('10 mm', '2.5 mm'):.2f~P}")
    60.00 deg
    """
    # the half-angle form keeps its digits for thin cuts and near the full slot
    return np.degrees(2.0 * np.arctan2(np.sqrt(radial_width), np.sqrt(diameter - radial_width)))


@formula(
    symbol="phi",
    expression="2*arcsin(a_e/D)",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=_WITHIN,
)
def centred_engagement_angle(diameter: Length, radial_width: Length) -> Angle:
    """Return the angle [deg] over which a tooth is in the cut of a cutter centred on the work.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    radial_width [mm]
        Width of the work, 0 to the diameter; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the work is wider than the cutter.

    Notes
    -----
    Valid on straight paths for a feed small against the cutter. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{centred_engagement_angle('10 mm', '5 mm'):.2f~P}")
    60.00 deg
    """
    beside = np.sqrt((diameter - radial_width) * (diameter + radial_width))
    return np.degrees(2.0 * np.arctan2(radial_width, beside))


@formula(
    symbol="z_e",
    expression="z*phi/(2*pi)",
    sources=("DEFINITION",),
    domain={"teeth": ONE_OR_MORE, "engagement_angle": Interval(0.0, 360.0)},
)
def teeth_in_cut(teeth: Count, engagement_angle: Angle) -> Ratio:
    """Return the mean number of teeth in the cut [1].

    Parameters
    ----------
    teeth [1]
        Number of cutting edges, evenly spaced, 1 or more; scalar or array.
    engagement_angle [deg]
        Angle over which a tooth is in the cut, 0 to 360; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit as a mean over a turn. Source: DEFINITION.

    Examples
    --------
    >>> teeth_in_cut(4, "90 deg")
    1.0
    """
    return teeth * engagement_angle / 360.0


@formula(
    symbol="h_max",
    expression="W = min(a_e, D/2); 2*f_z*sin(kappa)*sqrt(W*(D - W))/D",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "edge_angle": _EDGE},
    requires=_WITHIN,
    validity=_WHOLE_FEED,
)
def max_chip_thickness(
    feed_per_tooth: FeedPerTooth, diameter: Length, radial_width: Length, edge_angle: Angle = 90.0
) -> ChipThickness:
    """Return the largest chip thickness [mm] beside an edge, f_z sin(kappa) sin(phi).

    Parameters
    ----------
    feed_per_tooth [mm]
        Feed per tooth, 0 or more; scalar or array.
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    radial_width [mm]
        Width of cut across the feed, 0 to the diameter; scalar or array.
    edge_angle [deg]
        Tool cutting edge angle, between 0 and 180; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cut is wider than the cutter.

    Notes
    -----
    Valid for thin feeds: at a hundredth of the cutter 2 % high at a_e = D/10, 20 % at D/1000.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{max_chip_thickness('0.1 mm', '10 mm', '1 mm'):.3f~P}")
    0.060 mm
    """
    reach = approach_length.bare(diameter, radial_width)
    return np.divide(2.0 * feed_per_tooth * np.sin(edge_angle * _RADIANS) * reach, diameter)


@formula(
    symbol="h_m",
    expression="2*f_z*sin(kappa)*a_e/(D*arccos(1 - 2*a_e/D))",
    sources=("GEOMETRY",),
    domain=_CUT,
    requires=_WITHIN,
    validity=_WHOLE_FEED,
)
def mean_chip_thickness(
    feed_per_tooth: FeedPerTooth, diameter: Length, radial_width: Length, edge_angle: Angle = 90.0
) -> ChipThickness:
    """Return the mean chip thickness [mm] over the angle of engagement beside an edge.

    Parameters
    ----------
    feed_per_tooth [mm]
        Feed per tooth, 0 or more; scalar or array.
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    radial_width [mm]
        Width of cut across the feed, above 0 to the diameter; scalar or array.
    edge_angle [deg]
        Tool cutting edge angle, between 0 and 180; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cut is wider than the cutter.

    Notes
    -----
    Valid for thin feeds, as `max_chip_thickness`. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{mean_chip_thickness('0.1 mm', '10 mm', '1 mm'):.4f~P}")
    0.0311 mm
    """
    half_angle = np.arctan2(np.sqrt(radial_width), np.sqrt(diameter - radial_width))
    return np.divide(feed_per_tooth * radial_width * np.sin(edge_angle * _RADIANS), diameter * half_angle)


@formula(
    symbol="f_z/h_max",
    expression="W = min(a_e, D/2); D/(2*sin(kappa)*sqrt(W*(D - W)))",
    sources=("GEOMETRY",),
    domain=_CUT,
    requires=_WITHIN,
)
def chip_thinning_factor(diameter: Length, radial_width: Length, edge_angle: Angle = 90.0) -> Ratio:
    """Return feed per tooth over largest chip thickness [1], 1 or more.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    radial_width [mm]
        Width of cut across the feed, above 0 to the diameter; scalar or array.
    edge_angle [deg]
        Tool cutting edge angle, between 0 and 180; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cut is wider than the cutter.

    Notes
    -----
    Valid for thin feeds, as `max_chip_thickness`. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{chip_thinning_factor('10 mm', '1 mm'):.3f}")
    1.667
    """
    reach = approach_length.bare(diameter, radial_width)
    return np.divide(diameter, 2.0 * np.sin(edge_angle * _RADIANS) * reach)


@formula(
    symbol="f_z",
    expression="W = min(a_e, D/2); h*D/(2*sin(kappa)*sqrt(W*(D - W)))",
    sources=("GEOMETRY",),
    domain=_CUT,
    requires=_WITHIN,
    validity=(
        "(2*radial_width >= diameter) | (chip_thickness**2*diameter <= 16*radial_width**2*(diameter - radial_width))",
    ),
)
def feed_per_tooth_for_chip(
    chip_thickness: ChipThickness, diameter: Length, radial_width: Length, edge_angle: Angle = 90.0
) -> FeedPerTooth:
    """Return the feed per tooth [mm] whose largest chip has a thickness, beside an edge.

    Parameters
    ----------
    chip_thickness [mm]
        Largest chip thickness wanted, 0 or more; scalar or array.
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    radial_width [mm]
        Width of cut across the feed, above 0 to the diameter; scalar or array.
    edge_angle [deg]
        Tool cutting edge angle, between 0 and 180; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cut is wider than the cutter.

    Notes
    -----
    Valid for thin feeds, as `max_chip_thickness`; the limit of the width is that of an edge at 90 deg.
    Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{feed_per_tooth_for_chip('0.06 mm', '10 mm', '1 mm'):.3f~P}")
    0.100 mm
    """
    return chip_thickness * chip_thinning_factor.bare(diameter, radial_width, edge_angle)


@formula(
    symbol="kappa_e",
    expression="arccos(1 - 2*min(a_p, d_e/2)/d_e)",
    sources=("GEOMETRY",),
    domain={"edge_diameter": POSITIVE},
)
def round_edge_angle(edge_diameter: Length, axial_depth: Length) -> Angle:
    """Return the tool cutting edge angle [deg] of a round edge at the top of the cut.

    Parameters
    ----------
    edge_diameter [mm]
        Diameter of the circle of the edge, above 0; scalar or array.
    axial_depth [mm]
        Depth of cut along the cutter axis, 0 or more; 90 deg from half the circle on; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for an edge whose circle stands along the cutter axis. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{round_edge_angle('8 mm', '2 mm'):.2f~P}")
    60.00 deg
    """
    depth = np.minimum(axial_depth, 0.5 * edge_diameter)
    return np.degrees(2.0 * np.arctan2(np.sqrt(depth), np.sqrt(edge_diameter - depth)))


@formula(
    symbol="f_z/h_max",
    expression="A = min(a_p, d_e/2); d_e/(2*sqrt(A*(d_e - A)))",
    sources=("GEOMETRY",),
    domain={"edge_diameter": POSITIVE, "axial_depth": POSITIVE},
)
def round_edge_thinning_factor(edge_diameter: Length, axial_depth: Length) -> Ratio:
    """Return feed per tooth over largest chip thickness along a round edge [1], 1 or more.

    Parameters
    ----------
    edge_diameter [mm]
        Diameter of the circle of the edge, above 0; scalar or array.
    axial_depth [mm]
        Depth of cut along the cutter axis, above 0; 1 from half the circle on; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for thin feeds and cuts at least half the cutter wide. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{round_edge_thinning_factor('10 mm', '1 mm'):.3f}")
    1.667
    """
    depth = np.minimum(axial_depth, 0.5 * edge_diameter)
    return np.divide(edge_diameter, 2.0 * np.sqrt(depth * (edge_diameter - depth)))
