"""A straight line through scattered points, with what the scatter leaves open: Student's t, 95 in 100."""

from __future__ import annotations

import math
from typing import Any

import attrs
import numpy as np

__all__ = ["Line", "line_through", "student_t"]

# two-sided 95 in 100, for 1 to 30 degrees of freedom; the tests compare with another library
_STUDENT = (
    *(12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228),
    *(2.201, 2.179, 2.160, 2.145, 2.131, 2.120, 2.110, 2.101, 2.093, 2.086),
    *(2.080, 2.074, 2.069, 2.064, 2.060, 2.056, 2.052, 2.048, 2.045, 2.042),
)
_NORMAL = 1.959964


def student_t(degrees: int) -> float:
    """Return Student's t for 95 in 100 to both sides, for 1 degree of freedom and more.

    Examples
    --------
    >>> student_t(1), student_t(8), round(student_t(100), 3)
    (12.706, 2.306, 1.984)
    """
    if degrees <= len(_STUDENT):
        return _STUDENT[degrees - 1]
    z = _NORMAL  # first terms of the expansion about the normal distribution
    return z + (z**3 + z) / (4 * degrees) + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * degrees**2)


@attrs.frozen
class Line:
    """The line of least squares y = start + slope x, and how far its points lie from it."""

    start: float
    slope: float
    count: int
    centre: float
    breadth: float  # sum of the squared distances of the x from their centre
    scatter: float  # standard deviation of a point from the line

    @property
    def t(self) -> float:
        """Student's t for the line's degrees of freedom."""
        return student_t(self.count - 2)

    @property
    def slope_error(self) -> float:
        """The standard error of the slope."""
        return self.scatter / math.sqrt(self.breadth)

    def at(self, x: float) -> float:
        """Return the line's height at x."""
        return self.start + self.slope * x

    def error_at(self, x: float) -> float:
        """Return the standard error of the line's height at x."""
        return self.scatter * math.sqrt(1.0 / self.count + (x - self.centre) ** 2 / self.breadth)

    def slope_range(self) -> tuple[float, float]:
        """Return the range of the slope, 95 in 100."""
        off = self.t * self.slope_error
        return self.slope - off, self.slope + off

    def range_at(self, x: float) -> tuple[float, float]:
        """Return the range of the height at x, 95 in 100."""
        off = self.t * self.error_at(x)
        return self.at(x) - off, self.at(x) + off

    def zero_range(self) -> tuple[float, float]:
        """Return the range of the x at which the height is 0 (Fieller), for a slope that is surely not 0."""
        # every x at which 0 lies in the range of the height
        share = (self.t * self.slope_error / self.slope) ** 2
        zero = -self.start / self.slope - self.centre
        spread = (1.0 - share) * self.breadth / self.count + zero**2
        off = self.t * self.slope_error / abs(self.slope) * math.sqrt(spread)
        return self.centre + (zero - off) / (1.0 - share), self.centre + (zero + off) / (1.0 - share)


def line_through(x: Any, y: Any) -> Line:
    """Return the line of least squares through three points or more that do not all have the same x.

    Examples
    --------
    >>> found = line_through([0.0, 1.0, 2.0], [1.0, 2.9, 5.0])
    >>> round(found.slope, 6), round(found.start, 6)
    (2.0, 0.966667)
    """
    x, y = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    centre, middle = float(x.mean()), float(y.mean())
    breadth = float(np.sum((x - centre) ** 2))
    slope = float(np.sum((x - centre) * (y - middle))) / breadth
    start = middle - slope * centre
    off = y - (start + slope * x)
    scatter = math.sqrt(float(np.sum(off**2)) / (x.size - 2))
    return Line(start, slope, int(x.size), centre, breadth, scatter)
