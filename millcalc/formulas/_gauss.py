"""Gauss's points and weights, for integrals over a piece; NumPy's polynomials are loaded when first needed."""

import functools
from typing import Any

__all__ = ["gauss"]


@functools.cache
def gauss(points: int) -> tuple[Any, Any]:
    """Return points on 0 to 1 and weights that add to 1."""
    from numpy.polynomial.legendre import leggauss

    nodes, weights = leggauss(points)
    return 0.5 * (nodes + 1.0), 0.5 * weights
