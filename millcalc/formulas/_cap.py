"""How far the part of a ball that cuts reaches along the cutter axis: the extremes of a linear function on it.

Unit ball, frame (feed F, toward the uncut side C, outward normal N).  The part that cuts is the set of unit
vectors u with u.F >= 0, below the stock plane, and outside the cylinder that the pass before swept along F at
distance sigma on the machined side.  A linear function on it is extreme at the pole it points to, on one of
the three bounding curves, or at their corners.
"""

from typing import Any

import numpy as np

from millcalc.formulas._gauss import gauss

__all__ = ["cutting_extent", "mean_reach"]

_EDGE = 1e-12  # a candidate this little outside the part still counts: it lies on the boundary
_GRID = np.linspace(0.0, 1.0, 13)
_DELTA = 1e-4
_ROUNDS = 8


def cutting_extent(depth: Any, axis_f: Any, axis_c: Any, axis_n: Any, sigma: Any) -> tuple[Any, Any]:
    """Return the least and greatest u.T over the part that cuts.

    `depth` is the stock in ball diameters, `sigma` the stepover in ball radii or None for a full-width cut.
    """
    depth = np.minimum(depth, 1.0)
    top = 2.0 * depth - 1.0
    rim = np.sqrt(np.maximum(1.0 - top * top, 0.0))
    axis = (axis_f, axis_c, axis_n)

    def inside(x: Any, y: Any, z: Any) -> Any:
        ahead_below = (x >= -_EDGE) & (z <= top + _EDGE)
        if sigma is None:
            return ahead_below
        return ahead_below & ((x * x <= sigma * (sigma + 2.0 * y) + _EDGE) | np.isinf(sigma))

    low: Any = np.inf
    high: Any = -np.inf
    for point, exact in _candidates(axis, top, rim):
        w = axis_f * point[0] + axis_c * point[1] + axis_n * point[2] if exact is None else exact
        valid = inside(*point)
        low = np.where(valid, np.minimum(low, w), low)
        high = np.where(valid, np.maximum(high, w), high)
    if sigma is not None:
        curve_low, curve_high = _on_cylinder(axis, depth, sigma)
        low, high = np.fmin(low, curve_low), np.fmax(high, curve_high)
    undefined = np.isnan(axis_f + axis_c + axis_n + depth + (0.0 if sigma is None else sigma))
    # the contact is always there, so a value without candidates is one that was not a number
    return np.where(undefined, np.nan, np.clip(low, -1.0, 1.0)), np.where(undefined, np.nan, np.clip(high, -1.0, 1.0))


def _candidates(axis: tuple[Any, Any, Any], top: Any, rim: Any) -> list[tuple[tuple[Any, Any, Any], float | None]]:
    """Points where the function can be extreme, with its value where that is exact: the poles.

    Contact, poles, stock circle, section x = 0, corners.
    """
    f, c, n = axis
    flat = np.hypot(f, c)
    flat = np.where(flat == 0.0, 1.0, flat)
    section = np.hypot(c, n)
    rim_f, rim_c = rim * f / flat, rim * c / flat
    sec_c, sec_n = c / section, n / section
    return [
        ((-f, -c, -n), -1.0),
        ((f, c, n), 1.0),
        ((0.0, 0.0, -1.0 + 0.0 * n), None),
        ((rim_f, rim_c, top), None),
        ((-rim_f, -rim_c, top), None),
        ((0.0, -sec_c, -sec_n), None),
        ((0.0, sec_c, sec_n), None),
        ((0.0, rim, top), None),
        ((0.0, -rim, top), None),
    ]


def _on_cylinder(axis: tuple[Any, Any, Any], depth: Any, sigma: Any) -> tuple[Any, Any]:
    """Return the extremes on the curve in which the cylinder of the pass before meets the ball.

    The curve is followed in t = tan(angle/2) about the cylinder's axis, from the ridge (x = 0) to the stock
    plane: evenly in log t, for a fine stepover has its extreme close to the ridge, with a cubic in v that
    takes the square root's steepness from both ends.  The best of a few samples
    is polished; every value is one the function takes.
    """
    f, c, n = axis
    half = np.where(sigma < 2.0, 0.5 * sigma, np.nan)  # beyond the diameter the pass before is out of reach
    start = half / (1.0 + np.sqrt(1.0 - half * half))
    with np.errstate(divide="ignore"):
        end = np.minimum(np.sqrt(depth / (1.0 - depth)), 1.0 / start)
        span = np.log(np.where(end >= start, end / start, np.nan))

    def value(v: Any) -> Any:
        t = start * np.exp(span * (v * v * (3.0 - 2.0 * v)))
        p = 1.0 / (1.0 + t * t)
        s = 2.0 * t * p
        x = np.sqrt(np.maximum(sigma * (2.0 * s - sigma), 0.0))
        return f * x + c * (s - sigma) + n * (t * t - 1.0) * p

    grid = _GRID.reshape(-1, *(1,) * np.ndim(f + c + n + span))
    sampled = value(grid)
    return -_polished(lambda v: -value(v), grid, -sampled), _polished(value, grid, sampled)


def _polished(value: Any, grid: Any, sampled: Any) -> Any:
    """Return the greatest value near the best sample, by Newton steps on differences that stay in its cell."""
    best = np.max(sampled, axis=0)
    at = np.max(np.where(sampled == best, grid, 0.0), axis=0)
    cell = 1.0 / (len(_GRID) - 1)
    left, right = np.maximum(at - cell, _DELTA), np.minimum(at + cell, 1.0 - _DELTA)
    for _ in range(_ROUNDS):
        at = np.minimum(np.maximum(at, left), right)
        below, centre, above = value(at - _DELTA), value(at), value(at + _DELTA)
        best = np.fmax(best, centre)
        bend = below - 2.0 * centre + above
        newton = at + 0.5 * _DELTA * (below - above) / np.where(bend < 0.0, bend, 1.0)
        at = np.where(bend < 0.0, newton, np.where(above > below, right, left))
    return np.fmax(best, value(np.minimum(np.maximum(at, left), right)))


def mean_reach(depth: Any, sigma: Any) -> Any:
    """Return the mean of u.F over the part that cuts, by area.

    Slices square to the feed have equal areas per height on a sphere, so the mean is that of x weighted with
    the angle over which a slice is engaged.  The pass before trims the slices up to x = trimmed only.
    `depth` is the stock in ball radii, up to 1; `sigma` the stepover in ball radii.
    """
    rim = depth * (2.0 - depth)
    edge = np.sqrt(rim)
    reach = np.sqrt(rim - np.maximum(edge - sigma, 0.0) ** 2)
    trimmed = np.where(sigma < 2.0 * edge, np.sqrt(np.maximum(rim - (edge - sigma) ** 2, 0.0)), 0.0)
    first = _moments(depth, sigma, 0.0, trimmed)
    rest = _moments(depth, sigma, trimmed, reach)
    return (first[1] + rest[1]) / (first[0] + rest[0])


def _moments(depth: Any, sigma: Any, low: Any, high: Any) -> tuple[Any, Any]:
    """Return the engaged area of the slices between two places, and its moment about x = 0.

    Gauss points in v, x = high - (high - low) v^2, take the root at the upper end.
    """
    v, weight = (piece.reshape(-1, *(1,) * np.ndim(depth + sigma)) for piece in gauss(16))
    x = high - (high - low) * v * v
    slice_radius = np.sqrt(1.0 - x * x)
    stock = np.arccos(np.minimum((1.0 - depth) / slice_radius, 1.0))
    beside = (x * x / (2.0 * sigma) - 0.5 * sigma) / slice_radius
    before = np.arcsin(np.minimum(np.maximum(beside, -1.0), 1.0))
    engaged = np.maximum(stock - np.maximum(-stock, before), 0.0) * (high - low) * v * weight
    # added one by one, so that an element of an array gets the very sum that a scalar gets
    return sum(engaged), sum(x * engaged)
