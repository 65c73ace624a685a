"""Tool life where more than the speed changes: by a power of any condition, and the extended law of Taylor."""

import numpy as np

from millcalc.formulas._positive import positive
from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import (
    POSITIVE,
    POSITIVE_OR_INFINITE,
    CuttingSpeed,
    FeedPerTooth,
    Interval,
    Length,
    Ratio,
    Time,
)

__all__ = [
    "extended_constant",
    "extended_depth",
    "extended_feed",
    "extended_life",
    "extended_speed",
    "life_exponent",
    "scaled_life",
]

_USUAL = ("taylor_exponent <= 1",)
_CUT = dict.fromkeys(("feed_per_tooth", "axial_depth", "extended_constant", "taylor_exponent"), POSITIVE)
_EXPONENT = Interval(0.0, 5.0)
_SOLVED = Interval(0.0, 5.0, low_open=True)


@formula(
    symbol="T",
    expression="T_1*m^(-k_T)",
    sources=("TAYLOR",),
    domain={"first_life": POSITIVE, "factor": POSITIVE},
)
def scaled_life(first_life: Time, factor: Ratio, life_exponent: Ratio) -> Time:
    """Return the tool life [min] after one condition of the cut changes by a factor.

    Parameters
    ----------
    first_life [min]
        Tool life before the change, above 0; scalar or array.
    factor [1]
        The condition after the change over that before, above 0; scalar or array.
    life_exponent [1]
        Percent by which the life falls where the condition rises by 1 %; of the speed 1 over Taylor's exponent; scalar
        or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for a speed, feed, depth or width of cut, near the tests that the exponent comes from; it needs no constant.
    Several changes are made one after the other. Source: TAYLOR.

    Examples
    --------
    >>> print(f"{scaled_life('30 min', 0.5, 4):.0f~P}")
    480 min
    """
    return np.multiply(positive(first_life), np.power(positive(factor), np.negative(life_exponent)))


@formula(
    symbol="k_T",
    expression="log(T_1/T_2)/log(m)",
    sources=("TAYLOR",),
    domain={"first_life": POSITIVE, "second_life": POSITIVE, "factor": POSITIVE},
    requires=("factor != 1",),
)
def life_exponent(first_life: Time, second_life: Time, factor: Ratio) -> Ratio:
    """Return by how many percent tool life falls where a condition of the cut rises by 1 %, from two tests.

    Parameters
    ----------
    first_life [min]
        Tool life in the first test, above 0; scalar or array.
    second_life [min]
        Tool life in the second, above 0; scalar or array.
    factor [1]
        The condition in the second test over that in the first, above 0 and not 1; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the condition did not change.

    Notes
    -----
    Valid for tests with all else equal. Below 0 the life grows with the condition. Times Taylor's exponent it is the
    exponent of the condition in the extended law. Source: TAYLOR.

    Examples
    --------
    >>> print(f"{life_exponent('15 min', '9 min', 1.5):.2f}")
    1.26
    """
    change = np.log(positive(factor))
    with_life = np.log(np.divide(positive(first_life), positive(second_life)))
    return np.divide(with_life, np.where(np.equal(change, 0.0), np.nan, change))


@formula(
    symbol="T",
    expression="(C_e/(v_c*f_z^x_f*a_p^x_p))^(1/n)",
    sources=("TAYLOR",),
    domain=_CUT | {"cutting_speed": POSITIVE, "feed_exponent": _EXPONENT, "depth_exponent": _EXPONENT},
    validity=_USUAL,
)
def extended_life(
    cutting_speed: CuttingSpeed,
    feed_per_tooth: FeedPerTooth,
    axial_depth: Length,
    extended_constant: CuttingSpeed,
    taylor_exponent: Ratio,
    feed_exponent: Ratio,
    depth_exponent: Ratio,
) -> Time:
    """Return the tool life [min] at a cutting speed, a feed per tooth and a depth of cut.

    Parameters
    ----------
    cutting_speed [m/min]
        Cutting speed, above 0; scalar or array.
    feed_per_tooth [mm]
        Feed per tooth, above 0; scalar or array.
    axial_depth [mm]
        Depth of cut, above 0; scalar or array.
    extended_constant [m/min]
        Cutting speed at which an edge lasts 1 min at a feed of 1 mm and a depth of 1 mm, above 0; scalar or array.
    taylor_exponent [1]
        Exponent of the life, above 0, usually 0.1 to 0.6; scalar or array.
    feed_exponent [1]
        Exponent of the feed per tooth, 0 to 5; scalar or array.
    depth_exponent [1]
        Exponent of the depth, 0 to 5; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid within the speeds, feeds and depths of the tests, at their width and limit of wear. The constant is that of
    m/min and mm: one for feet or inches has another number, beyond the units of the speed. Source: TAYLOR.

    Examples
    --------
    >>> print(f"{extended_life('150 m/min', '0.1 mm', '2 mm', '150 m/min', 0.25, 0.3, 0.15):.1f~P}")
    10.5 min
    """
    speed = extended_speed.bare(1.0, feed_per_tooth, axial_depth, extended_constant, 1.0, feed_exponent, depth_exponent)
    return np.power(np.divide(speed, positive(cutting_speed)), np.divide(1.0, positive(taylor_exponent)))


@formula(
    symbol="v_c",
    expression="C_e/(T^n*f_z^x_f*a_p^x_p)",
    sources=("TAYLOR",),
    domain=_CUT | {"tool_life": POSITIVE_OR_INFINITE, "feed_exponent": _EXPONENT, "depth_exponent": _EXPONENT},
    validity=_USUAL,
)
def extended_speed(
    tool_life: Time,
    feed_per_tooth: FeedPerTooth,
    axial_depth: Length,
    extended_constant: CuttingSpeed,
    taylor_exponent: Ratio,
    feed_exponent: Ratio,
    depth_exponent: Ratio,
) -> CuttingSpeed:
    """Return the cutting speed [m/min] at which an edge lasts so long at a feed per tooth and a depth of cut.

    Parameters
    ----------
    tool_life [min]
        Time in the cut until the edge is worn to its limit, above 0; scalar or array.
    feed_per_tooth [mm]
        Feed per tooth, above 0; scalar or array.
    axial_depth [mm]
        Depth of cut, above 0; scalar or array.
    extended_constant [m/min]
        Cutting speed at which an edge lasts 1 min at a feed of 1 mm and a depth of 1 mm, above 0; scalar or array.
    taylor_exponent [1]
        Exponent of the life, above 0, usually 0.1 to 0.6; scalar or array.
    feed_exponent [1]
        Exponent of the feed per tooth, 0 to 5; scalar or array.
    depth_exponent [1]
        Exponent of the depth, 0 to 5; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid as `extended_life`. At a life of 1 min it is the constant of Taylor's law for this feed and depth.
    Source: TAYLOR.

    Examples
    --------
    >>> print(f"{extended_speed('60 min', '0.1 mm', '2 mm', '150 m/min', 0.25, 0.3, 0.15):.1f~P}")
    96.9 m/min
    """
    feed_part = np.power(positive(feed_per_tooth), feed_exponent)
    depth_part = np.power(positive(axial_depth), depth_exponent)
    worn = np.power(positive(tool_life), positive(taylor_exponent))
    return np.divide(positive(extended_constant), worn * feed_part * depth_part)


@formula(
    symbol="f_z",
    expression="(C_e/(v_c*T^n*a_p^x_p))^(1/x_f)",
    sources=("TAYLOR",),
    domain={n: d for n, d in _CUT.items() if n != "feed_per_tooth"}
    | {"tool_life": POSITIVE, "cutting_speed": POSITIVE, "feed_exponent": _SOLVED, "depth_exponent": _EXPONENT},
    validity=_USUAL,
)
def extended_feed(
    tool_life: Time,
    cutting_speed: CuttingSpeed,
    axial_depth: Length,
    extended_constant: CuttingSpeed,
    taylor_exponent: Ratio,
    feed_exponent: Ratio,
    depth_exponent: Ratio,
) -> FeedPerTooth:
    """Return the feed per tooth [mm] at which an edge lasts so long at a cutting speed and a depth of cut.

    Parameters
    ----------
    tool_life [min]
        Time in the cut until the edge is worn to its limit, above 0; scalar or array.
    cutting_speed [m/min]
        Cutting speed, above 0; scalar or array.
    axial_depth [mm]
        Depth of cut, above 0; scalar or array.
    extended_constant [m/min]
        Cutting speed at which an edge lasts 1 min at a feed of 1 mm and a depth of 1 mm, above 0; scalar or array.
    taylor_exponent [1]
        Exponent of the life, above 0, usually 0.1 to 0.6; scalar or array.
    feed_exponent [1]
        Exponent of the feed per tooth, above 0 to 5; scalar or array.
    depth_exponent [1]
        Exponent of the depth, 0 to 5; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid as `extended_life`: a small exponent makes far too large feeds out of little, which is no leave to use them.
    What an edge, a tool and a spindle can bear comes first. Source: TAYLOR.

    Examples
    --------
    >>> print(f"{extended_feed('60 min', '100 m/min', '2 mm', '150 m/min', 0.25, 0.3, 0.15):.4f~P}")
    0.0901 mm
    """
    # the speed at a feed of 1 mm, over the speed that is wanted
    speed = extended_speed.bare(tool_life, 1.0, axial_depth, extended_constant, taylor_exponent, 0.0, depth_exponent)
    return np.power(np.divide(speed, positive(cutting_speed)), np.divide(1.0, positive(feed_exponent)))


@formula(
    symbol="a_p",
    expression="(C_e/(v_c*T^n*f_z^x_f))^(1/x_p)",
    sources=("TAYLOR",),
    domain={n: d for n, d in _CUT.items() if n != "axial_depth"}
    | {"tool_life": POSITIVE, "cutting_speed": POSITIVE, "feed_exponent": _EXPONENT, "depth_exponent": _SOLVED},
    validity=_USUAL,
)
def extended_depth(
    tool_life: Time,
    cutting_speed: CuttingSpeed,
    feed_per_tooth: FeedPerTooth,
    extended_constant: CuttingSpeed,
    taylor_exponent: Ratio,
    feed_exponent: Ratio,
    depth_exponent: Ratio,
) -> Length:
    """Return the depth of cut [mm] at which an edge lasts so long at a cutting speed and a feed per tooth.

    Parameters
    ----------
    tool_life [min]
        Time in the cut until the edge is worn to its limit, above 0; scalar or array.
    cutting_speed [m/min]
        Cutting speed, above 0; scalar or array.
    feed_per_tooth [mm]
        Feed per tooth, above 0; scalar or array.
    extended_constant [m/min]
        Cutting speed at which an edge lasts 1 min at a feed of 1 mm and a depth of 1 mm, above 0; scalar or array.
    taylor_exponent [1]
        Exponent of the life, above 0, usually 0.1 to 0.6; scalar or array.
    feed_exponent [1]
        Exponent of the feed per tooth, 0 to 5; scalar or array.
    depth_exponent [1]
        Exponent of the depth, above 0 to 5; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid as `extended_life`: a small exponent makes far too large depths out of little, which is no leave to use them.
    What an edge, a tool and a spindle can bear comes first. Source: TAYLOR.

    Examples
    --------
    >>> print(f"{extended_depth('60 min', '100 m/min', '0.1 mm', '150 m/min', 0.25, 0.3, 0.15):.3f~P}")
    1.623 mm
    """
    # the speed at a depth of 1 mm, over the speed that is wanted
    speed = extended_speed.bare(tool_life, feed_per_tooth, 1.0, extended_constant, taylor_exponent, feed_exponent, 0.0)
    return np.power(np.divide(speed, positive(cutting_speed)), np.divide(1.0, positive(depth_exponent)))


@formula(
    symbol="C_e",
    expression="v_c*T^n*f_z^x_f*a_p^x_p",
    sources=("TAYLOR",),
    domain={n: d for n, d in _CUT.items() if n != "extended_constant"}
    | {"tool_life": POSITIVE, "cutting_speed": POSITIVE, "feed_exponent": _EXPONENT, "depth_exponent": _EXPONENT},
    validity=_USUAL,
)
def extended_constant(
    cutting_speed: CuttingSpeed,
    tool_life: Time,
    feed_per_tooth: FeedPerTooth,
    axial_depth: Length,
    taylor_exponent: Ratio,
    feed_exponent: Ratio,
    depth_exponent: Ratio,
) -> CuttingSpeed:
    """Return the speed [m/min] at which an edge lasts 1 min at a feed and a depth of 1 mm, from a test.

    Parameters
    ----------
    cutting_speed [m/min]
        Cutting speed of the test, above 0; scalar or array.
    tool_life [min]
        Tool life in the test, above 0; scalar or array.
    feed_per_tooth [mm]
        Feed per tooth of the test, above 0; scalar or array.
    axial_depth [mm]
        Depth of cut of the test, above 0; scalar or array.
    taylor_exponent [1]
        Exponent of the life, above 0, usually 0.1 to 0.6; scalar or array.
    feed_exponent [1]
        Exponent of the feed per tooth, 0 to 5; scalar or array.
    depth_exponent [1]
        Exponent of the depth, 0 to 5; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid as a constant of the law only: nobody cuts at it. Source: TAYLOR.

    Examples
    --------
    >>> print(f"{extended_constant('100 m/min', '45 min', '0.1 mm', '2 mm', 0.25, 0.3, 0.15):.1f~P}")
    144.0 m/min
    """
    feed_part = np.power(positive(feed_per_tooth), feed_exponent)
    depth_part = np.power(positive(axial_depth), depth_exponent)
    return positive(cutting_speed) * np.power(positive(tool_life), positive(taylor_exponent)) * feed_part * depth_part
