"""Preferred numbers: the rounded series that the gears of older spindles step along."""

from math import nan
from typing import Any

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, Count, SpindleSpeed

__all__ = ["stepped_spindle_speed"]

_R20 = np.array(
    [1.0, 1.12, 1.25, 1.4, 1.6, 1.8, 2.0, 2.24, 2.5, 2.8, 3.15, 3.55, 4.0, 4.5, 5.0, 5.6, 6.3, 7.1, 8.0, 9.0]
)
_HAIR = 1e-9  # a speed this little below a step is that step, rounded badly


@formula(
    symbol="n_s",
    expression="",
    method="the largest preferred number of the series at or below, from the table of the standard",
    sources=("ISO3",),
    domain={"spindle_speed": POSITIVE},
    requires=("(steps == 5) | (steps == 10) | (steps == 20)",),
)
def stepped_spindle_speed(spindle_speed: SpindleSpeed, steps: Count = 20.0) -> SpindleSpeed:
    """Return the step [rev/min] of a geared spindle at or below a spindle speed.

    Parameters
    ----------
    spindle_speed [rev/min]
        Spindle speed wanted, above 0; scalar or array.
    steps [1]
        Steps to a decade: 5, 10 or 20, the series R5, R10 or R20; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or there is no such series.

    Notes
    -----
    Valid for spindles whose steps are preferred numbers; the plate of the machine comes first. The numbers of R5 and
    R10 are every fourth and every second of R20. Source: ISO3.

    Examples
    --------
    >>> print(f"{stepped_spindle_speed('1500 rpm'):.0f~P}, {stepped_spindle_speed('1500 rpm', 10):.0f~P}")
    1400 rpm, 1250 rpm
    """
    speeds, series = np.asarray(spindle_speed, dtype=float), np.asarray(steps, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        decade = np.power(10.0, np.floor(np.log10(np.where(speeds > 0.0, speeds, nan) * (1.0 + _HAIR))))
        share = speeds * (1.0 + _HAIR) / decade
    found: Any = nan
    for count, stride in ((5, 4), (10, 2), (20, 1)):
        steps_of = _R20[::stride]
        place = np.clip(np.searchsorted(steps_of, share, side="right") - 1, 0, len(steps_of) - 1)
        found = np.where((series == count) & np.isfinite(decade), steps_of[place] * decade, found)
    return found[()]
