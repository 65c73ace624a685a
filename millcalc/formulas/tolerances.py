"""Tolerances of size: the standard's table, stored as it stands."""

from math import nan
from typing import Any

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import Interval, Length, ToleranceGrade

__all__ = ["standard_tolerance"]

_UP_TO = (6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0)  # mm, each range ends with its upper size; the first begins above 3
_TABLE = {  # um
    6: (8, 9, 11, 13, 16, 19, 22),
    7: (12, 15, 18, 21, 25, 30, 35),
    8: (18, 22, 27, 33, 39, 46, 54),
}
_FIRST = 3.0


@formula(
    symbol="t_IT",
    expression="",
    method="read from the table of the standard: the range that the size lies in, then the grade",
    sources=("ISO286",),
    domain={"size": Interval(_FIRST, _UP_TO[-1], low_open=True)},
)
def standard_tolerance(size: Length, tolerance_grade: ToleranceGrade) -> Length:
    """Return the standard tolerance [mm] of a size.

    Parameters
    ----------
    size [mm]
        Nominal size, above 3 to 120 mm; scalar or array.
    tolerance_grade [1]
        Grade, IT6, IT7 or IT8; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside the part of the table that is kept here.

    Notes
    -----
    Valid for the sizes and grades that are kept; a size at the end of a range belongs to it.  The formula behind the
    table, i = 0.45 D^(1/3) + 0.001 D with the geometric mean of a range, is not what it holds: rounding, and a size put
    in for the mean, make up to 15 %. Source: ISO286.

    Examples
    --------
    >>> print(f"{standard_tolerance('12 mm', 'IT7').to('um'):.0f~P}")
    18 µm
    """
    lengths, grades = np.asarray(size, dtype=float), np.asarray(tolerance_grade, dtype=float)
    inside = (lengths > _FIRST) & (lengths <= _UP_TO[-1])
    column = np.minimum(np.searchsorted(_UP_TO, lengths), len(_UP_TO) - 1)
    found: Any = nan
    for grade, row in _TABLE.items():
        found = np.where(inside & (grades == grade), np.asarray(row)[column] / 1000.0, found)
    return found[()]
