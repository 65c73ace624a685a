"""The passes over a block as loops, for a compiler: what those of the cut and those along the path share.

The loops take the formulas of `pointwise` point by point.  A block is taken in tiles that stay in the nearest cache,
and each loop over a tile is so simple that it is compiled into instructions that take several numbers at once.
Uncompiled the loops are very slow, and give the same numbers.
"""

from __future__ import annotations

from typing import Any

import numpy as np

__all__ = ["TILE", "tile_ends", "tile_place", "tile_read"]

TILE = 500
"""Points in a tile; no power of two, so that rows of tiles do not fall on the same lines of the cache."""


def tile_read(three: Any, start: int, count: int, rows: Any) -> None:
    """Copy a stretch of three columns into rows."""
    one, two, last = three
    for at in range(count):
        rows[0, at], rows[1, at], rows[2, at] = one[start + at], two[start + at], last[start + at]


def tile_ends(values: Any, begin: int, start: int, ends: Any) -> None:
    """Take values into their extremes and where they are; what is no number is passed over."""
    low, low1, low2, low3 = np.inf, np.inf, np.inf, np.inf
    high, high1, high2, high3 = -np.inf, -np.inf, -np.inf, -np.inf
    for at in range(begin, len(values) - 3, 4):
        a, b, c, d = values[at], values[at + 1], values[at + 2], values[at + 3]
        low, low1 = a if a < low else low, b if b < low1 else low1
        low2, low3 = c if c < low2 else low2, d if d < low3 else low3
        high, high1 = a if a > high else high, b if b > high1 else high1
        high2, high3 = c if c > high2 else high2, d if d > high3 else high3
    for at in range(max(begin, len(values) - 3), len(values)):
        a = values[at]
        low, high = a if a < low else low, a if a > high else high
    low, high = min(min(low, low1), min(low2, low3)), max(max(high, high1), max(high2, high3))
    if low < ends[0]:
        ends[0], ends[1] = low, start + tile_place(values, low, begin)
    if high > ends[2]:
        ends[2], ends[3] = high, start + tile_place(values, high, begin)


def tile_place(values: Any, wanted: float, begin: int) -> int:
    """Return where a value is."""
    at = begin
    while values[at] != wanted:
        at += 1
    return at
