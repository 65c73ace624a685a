"""How the wanted finish and the form tolerance are shared out, and where in a window to start."""

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import (
    ChipThickness,
    ChordError,
    CuttingSpeed,
    Deflection,
    FeedPerTooth,
    Interval,
    Length,
    Ratio,
    Roughness,
    ScallopHeight,
)

__all__ = [
    "chord_allowance",
    "chord_share",
    "feed_cap",
    "feed_in_window",
    "form_budget",
    "greatest_depth",
    "height_share",
    "least_chip",
    "roughness_share",
    "speed_in_window",
    "stated_width",
]


@formula(
    symbol="Ra_q",
    expression="Ra*q",
    sources=("DEFINITION",),
    domain={"share": Interval(0.0, 1.0, low_open=True)},
)
def roughness_share(ra: Roughness, share: Ratio) -> Roughness:
    """Return the share [um] of a wanted roughness that one cause may use.

    Parameters
    ----------
    ra [um]
        Wanted roughness.
    share [1]
        Share, above 0 to 1.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{roughness_share('0.8 um', 0.5):.1f~P}")
    0.4 µm
    """
    return ra * share


@formula(
    symbol="h_q",
    expression="h_s*q",
    sources=("DEFINITION",),
    domain={"share": Interval(0.0, low_open=True)},
)
def height_share(scallop_height: ScallopHeight, share: Ratio) -> ScallopHeight:
    """Return the share [um] of a scallop height that another cause may use.

    Parameters
    ----------
    scallop_height [um]
        Scallop height.
    share [1]
        Share, above 0.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{height_share('5 um', 0.5):.1f~P}")
    2.5 µm
    """
    return scallop_height * share


@formula(
    symbol="e",
    expression="1000*q*t_f",
    sources=("DEFINITION",),
    domain={"share": Interval(0.0, 1.0, low_open=True)},
)
def chord_allowance(form_tolerance: Length, share: Ratio) -> ChordError:
    """Return the chord error [um] that a share of the form tolerance allows.

    Parameters
    ----------
    form_tolerance [mm]
        Form tolerance.
    share [1]
        Share, above 0 to 1.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{chord_allowance('0.02 mm', 0.1):.1f~P}")
    2.0 µm
    """
    return 1000.0 * form_tolerance * share


@formula(
    symbol="e_q",
    expression="e*q",
    sources=("DEFINITION",),
    domain={"share": Interval(0.0, 1.0, low_open=True)},
)
def chord_share(chord_error: ChordError, share: Ratio) -> ChordError:
    """Return a share [um] of the chord error allowed.

    Parameters
    ----------
    chord_error [um]
        Chord error allowed.
    share [1]
        Share, above 0 to 1.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{chord_share('2 um', 0.5):.1f~P}")
    1.0 µm
    """
    return chord_error * share


@formula(
    symbol="t_u",
    expression="(e + h_s + delta)/1000",
    sources=("DEFINITION",),
)
def form_budget(chord_error: ChordError, scallop_height: ScallopHeight, deflection: Deflection = 0.0) -> Length:
    """Return how much of the form tolerance [mm] chord, scallop and deflection use together.

    Parameters
    ----------
    chord_error [um]
        Chord error.
    scallop_height [um]
        Scallop height.
    deflection [um]
        Deflection of the cutter, 0 where unknown.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{form_budget('2 um', '5 um'):.3f~P}")
    0.007 mm
    """
    return (chord_error + scallop_height + deflection) / 1000.0


@formula(
    symbol="a_g",
    expression="a_n + h_s/1000",
    sources=("DEFINITION",),
)
def greatest_depth(normal_depth: Length, scallop_height: ScallopHeight) -> Length:
    """Return the greatest depth [mm] along the normal: the stock and the scallops that stand on it.

    Parameters
    ----------
    normal_depth [mm]
        Stock left by the operation before.
    scallop_height [um]
        Scallop height of the operation before.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{greatest_depth('0.1 mm', '20 um'):.2f~P}")
    0.12 mm
    """
    return normal_depth + scallop_height / 1000.0


@formula(
    symbol="v_c",
    expression="v_1 + q*(v_2 - v_1)",
    sources=("DEFINITION",),
    domain={"share": Interval(0.0, 1.0)},
)
def speed_in_window(speed_low: CuttingSpeed, speed_high: CuttingSpeed, share: Ratio) -> CuttingSpeed:
    """Return the cutting speed [m/min] at a position in its window.

    Parameters
    ----------
    speed_low [m/min]
        Lower end of the window.
    speed_high [m/min]
        Upper end.
    share [1]
        Position, 0 to 1.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{speed_in_window('120 m/min', '200 m/min', 0.5):.0f~P}")
    160 m/min
    """
    return speed_low + share * (speed_high - speed_low)


@formula(
    symbol="f_z",
    expression="f_1 + q*(f_2 - f_1)",
    sources=("DEFINITION",),
    domain={"share": Interval(0.0, 1.0)},
)
def feed_in_window(feed_low: FeedPerTooth, feed_high: FeedPerTooth, share: Ratio) -> FeedPerTooth:
    """Return the feed per tooth [mm] at a position in its window.

    Parameters
    ----------
    feed_low [mm]
        Lower end of the window.
    feed_high [mm]
        Upper end.
    share [1]
        Position, 0 to 1.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{feed_in_window('0.02 mm', '0.04 mm', 0.5):.2f~P}")
    0.03 mm
    """
    return feed_low + share * (feed_high - feed_low)


@formula(
    symbol="f_m",
    expression="m*f_z",
    sources=("PRACTICE",),
    domain={"factor": Interval(0.0, low_open=True)},
)
def feed_cap(feed_per_tooth: FeedPerTooth, factor: Ratio) -> FeedPerTooth:
    """Return the feed per tooth [mm] that a multiple of the chart's allows.

    Parameters
    ----------
    feed_per_tooth [mm]
        The chart's feed per tooth.
    factor [1]
        Multiple, above 0.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: PRACTICE.

    Examples
    --------
    >>> print(f"{feed_cap('0.03 mm', 2):.2f~P}")
    0.06 mm
    """
    return factor * feed_per_tooth


@formula(
    symbol="a_e",
    expression="q*D",
    sources=("DEFINITION",),
    domain={"share": Interval(0.0, 1.0, low_open=True)},
)
def stated_width(diameter: Length, share: Ratio) -> Length:
    """Return the radial width [mm] for which a chart states its feed.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter.
    share [1]
        Radial width in diameters, above 0 to 1.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{stated_width('6 mm', 0.5):.0f~P}")
    3 mm
    """
    return share * diameter


@formula(
    symbol="h_l",
    expression="q_h*r_n/1000",
    sources=("MINCHIP",),
    domain={"least_chip_ratio": Interval(0.0, low_open=True)},
)
def least_chip(edge_radius: Deflection, least_chip_ratio: Ratio) -> ChipThickness:
    """Return the least chip thickness [mm] that an edge can cut.

    Parameters
    ----------
    edge_radius [um]
        Rounding of the edge.
    least_chip_ratio [1]
        Least chip as a multiple of it, above 0.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: MINCHIP.

    Examples
    --------
    >>> print(f"{least_chip('8 um', 0.4):.4f~P}")
    0.0032 mm
    """
    return least_chip_ratio * edge_radius / 1000.0
