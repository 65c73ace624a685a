"""Clearing a box-shaped pocket in levels: how many, how deep, which rings or passes in each."""

from typing import Any

import numpy as np

from millcalc.formulas._whole import whole_up
from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import ONE_OR_MORE, POSITIVE, Count, Length

__all__ = [
    "centre_line_length",
    "clearing_rings",
    "equalised_step_down",
    "largest_ring_spacing",
    "levels",
    "ring_path_length",
    "ring_spacing",
    "side_pass_width",
    "side_passes",
    "size_to_rough",
]

_LARGEST = 0.25 * (2.0 + np.sqrt(2.0))


def _above_zero(value: Any) -> Any:
    return np.where(np.greater(value, 0.0), value, np.nan)


def _from_zero(value: Any) -> Any:
    return np.where(np.greater_equal(value, 0.0), value, np.nan)


def _from_one(value: Any) -> Any:
    return np.where(np.greater_equal(value, 1.0), value, np.nan)


@formula(
    symbol="N_z",
    expression="ceil(d_t/s_d)",
    sources=("DEFINITION",),
    domain={"step_down": POSITIVE},
)
def levels(total_depth: Length, step_down: Length) -> Count:
    """Return the number of levels in which a depth is cut.

    Parameters
    ----------
    total_depth [mm]
        Depth to cut, 0 or more; scalar or array.
    step_down [mm]
        Largest depth of a level, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit; a quotient no more than 1e-9 above a whole number is taken as that. Source: DEFINITION.

    Examples
    --------
    >>> levels('25 mm', '6 mm')
    5.0
    """
    return whole_up(_from_zero(total_depth) / _above_zero(step_down))[()]


@formula(
    symbol="s_q",
    expression="d_t/N_z",
    sources=("DEFINITION",),
    domain={"levels": ONE_OR_MORE},
)
def equalised_step_down(total_depth: Length, levels: Count) -> Length:
    """Return the depth of a level [mm] at which so many share a depth evenly.

    Parameters
    ----------
    total_depth [mm]
        Depth to cut, 0 or more; scalar or array.
    levels [1]
        Number of levels, 1 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{equalised_step_down('27 mm', 5):.2f~P}")
    5.40 mm
    """
    return (_from_zero(total_depth) / _from_one(levels))[()]


@formula(
    symbol="B_r",
    expression="B - N_s*t_l",
    sources=("DEFINITION",),
    requires=("sides*stock_left < size",),
)
def size_to_rough(size: Length, stock_left: Length, sides: Count) -> Length:
    """Return what is left to rough [mm] of a size when stock is left for finishing.

    Parameters
    ----------
    size [mm]
        Finished width, length or depth, above 0; scalar or array.
    stock_left [mm]
        Stock left on each side, 0 or more; scalar or array.
    sides [1]
        Number of sides on which it is left: 0, 1 (a depth) or 2 (between walls); scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or nothing is left to rough.

    Notes
    -----
    Valid for sides square to the size. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{size_to_rough('40 mm', '0.3 mm', 2):.1f~P}")
    39.4 mm
    """
    return _above_zero(np.subtract(size, np.multiply(_from_zero(sides), _from_zero(stock_left))))[()]


@formula(
    symbol="N_r",
    expression="ceil((w - D)/(2*a_e))",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "radial_width": POSITIVE},
    requires=("diameter <= width",),
    validity=("radial_width <= 0.8535*diameter",),
)
def clearing_rings(width: Length, diameter: Length, radial_width: Length) -> Count:
    """Return the number of rings round the centre line in which a closed pocket is widened.

    Parameters
    ----------
    width [mm]
        Smaller side of the pocket, no less than the diameter; scalar or array.
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    radial_width [mm]
        Largest distance between neighbouring rings, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cutter does not fit the pocket.

    Notes
    -----
    Valid up to a width of cut of `largest_ring_spacing`, 0.854 of the diameter: wider apart, sharp rings leave posts
    at their corners. A pocket as wide as the cutter has no ring; a quotient no more than 1e-9 above a whole number is
    taken as that. Source: GEOMETRY.

    Examples
    --------
    >>> clearing_rings('40 mm', '12 mm', '6 mm')
    3.0
    """
    room = _from_zero(np.subtract(width, _above_zero(diameter)))
    return whole_up(0.5 * room / _above_zero(radial_width))[()]


@formula(
    symbol="s_r",
    expression="(w - D)/(2*N_r) if N_r > 0 else 0",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=("diameter <= width",),
    validity=("(rings > 0) | (width <= 1.000001*diameter)",),
)
def ring_spacing(width: Length, diameter: Length, rings: Count) -> Length:
    """Return the distance [mm] between neighbouring rings that share the width of a pocket evenly.

    Parameters
    ----------
    width [mm]
        Smaller side of the pocket, no less than the diameter; scalar or array.
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    rings [1]
        Number of rings, 0 (a slot as wide as the cutter) or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cutter does not fit the pocket.

    Notes
    -----
    Valid without rings only where there is no more than the slot; also the width of cut of each ring on its straight
    sides. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{ring_spacing('40 mm', '12 mm', 3):.3f~P}")
    4.667 mm
    """
    room = _from_zero(np.subtract(width, _above_zero(diameter)))
    each = 0.5 * room / np.maximum(_from_zero(rings), 1.0)
    return np.where(np.equal(rings, 0.0), 0.0 * room, each)[()]


@formula(
    symbol="s_m",
    expression="(2 + sqrt(2))/4*D",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
)
def largest_ring_spacing(diameter: Length) -> Length:
    """Return the distance [mm] up to which neighbouring rings with square corners leave nothing between them.

    On the diagonal of a corner the inner ring reaches half a diameter beyond its corner, while the outer one, with its
    own square inner edge, comes toward it by half a diameter along each side.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for a flat end without corner radius; straight sides alone would allow the whole diameter. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{largest_ring_spacing('12 mm'):.3f~P}")
    10.243 mm
    """
    return (_LARGEST * _above_zero(diameter))[()]


@formula(
    symbol="L_r",
    expression="(2*N_r + 1)*abs(l - w) + 2*(N_r + 1)*(min(w, l) - D) if N_r > 0 else max(w, l) - D",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE},
    requires=("(diameter <= width) & (diameter <= length)",),
    validity=("(rings > 0) | (width <= 1.000001*diameter) | (length <= 1.000001*diameter)",),
)
def ring_path_length(width: Length, length: Length, diameter: Length, rings: Count) -> Length:
    """Return the length [mm] of the axis' path in one level: the centre line, then rings out to the walls.

    Parameters
    ----------
    width [mm]
        One side of the pocket, no less than the diameter; scalar or array.
    length [mm]
        The other side, longer or shorter, no less than the diameter; scalar or array.
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    rings [1]
        Number of rings, evenly spaced, 0 (a slot as wide as the cutter) or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the cutter does not fit the pocket.

    Notes
    -----
    Valid for rings with square corners, whole all round; links from ring to ring come on top. Without rings, the path
    along the middle from end to end. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{ring_path_length('40 mm', '70 mm', '12 mm', 3):.0f~P}")
    434 mm
    """
    narrow, wide = np.minimum(width, length), np.maximum(width, length)
    room = _from_zero(np.subtract(narrow, _above_zero(diameter)))
    line, count = wide - narrow, _from_zero(rings)
    ringed = (2.0 * count + 1.0) * line + 2.0 * (count + 1.0) * room
    return np.where(np.equal(rings, 0.0), line + room, ringed)[()]


@formula(symbol="l_c", expression="abs(l - w)", sources=("GEOMETRY",))
def centre_line_length(width: Length, length: Length) -> Length:
    """Return the length [mm] of the centre line of a pocket, along which the cutter opens it at full width.

    Parameters
    ----------
    width [mm]
        One side of the pocket, 0 or more; scalar or array.
    length [mm]
        The other side, longer or shorter; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for the line as far from its ends as from the sides; none where the pocket is square. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{centre_line_length('40 mm', '70 mm'):.0f~P}")
    30 mm
    """
    return np.abs(np.subtract(_from_zero(length), _from_zero(width)))[()]


@formula(
    symbol="N_p",
    expression="ceil(w/a_e)",
    sources=("DEFINITION",),
    domain={"radial_width": POSITIVE},
)
def side_passes(width: Length, radial_width: Length) -> Count:
    """Return the number of parallel passes that remove a strip of stock from an open side.

    Parameters
    ----------
    width [mm]
        Width of the strip, 0 or more; scalar or array.
    radial_width [mm]
        Largest width of cut, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit; a quotient no more than 1e-9 above a whole number is taken as that. Source: DEFINITION.

    Examples
    --------
    >>> side_passes('40 mm', '1.5 mm')
    27.0
    """
    return whole_up(_from_zero(width) / _above_zero(radial_width))[()]


@formula(
    symbol="a_q",
    expression="w/N_p",
    sources=("DEFINITION",),
    domain={"passes": ONE_OR_MORE},
)
def side_pass_width(width: Length, passes: Count) -> Length:
    """Return the width of cut [mm] at which so many passes share a strip of stock evenly.

    Parameters
    ----------
    width [mm]
        Width of the strip, 0 or more; scalar or array.
    passes [1]
        Number of passes, 1 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Source: DEFINITION.

    Examples
    --------
    >>> print(f"{side_pass_width('40 mm', 27):.4f~P}")
    1.4815 mm
    """
    return (_from_zero(width) / _from_one(passes))[()]
