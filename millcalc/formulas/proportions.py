"""Sizes and feed rates as shares of others, where practice states them so."""

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import NOT_NEGATIVE, POSITIVE, FeedRate, Length, Ratio

__all__ = ["share_of_diameter", "share_of_feed_rate"]


@formula(symbol="l_D", expression="m*D", sources=("DEFINITION",), domain={"diameter": POSITIVE, "factor": NOT_NEGATIVE})
def share_of_diameter(diameter: Length, factor: Ratio) -> Length:
    """Return a length [mm] that is stated as a multiple of the cutter's diameter.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    factor [1]
        Multiple, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{share_of_diameter('10 mm', 1.5):.1f~P}")
    15.0 mm
    """
    return factor * diameter


@formula(symbol="v_q", expression="m*v_f", sources=("DEFINITION",), domain={"factor": NOT_NEGATIVE})
def share_of_feed_rate(feed_rate: FeedRate, factor: Ratio) -> FeedRate:
    """Return a feed rate [mm/min] that is a multiple of another.

    Parameters
    ----------
    feed_rate [mm/min]
        Feed rate, 0 or more; scalar or array.
    factor [1]
        Multiple, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{share_of_feed_rate('1200 mm/min', 0.6):.0f~P}")
    720 mm/min
    """
    return factor * feed_rate
