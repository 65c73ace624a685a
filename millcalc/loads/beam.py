"""A round bar of steps, from the tip upward to the clamp: how it bends under a force, and how fast it swings.

Floats or arrays in trade units; the first axis of a step's arrays is the steps, the rest are the cases, many tools
side by side.  Bending alone counts: shear, which adds 6 % at an overhang of 3 diameters and 2 % at 5, does not.

All follows from the three sums over what lies above a place x: of 1/(E I), (y - x)/(E I) and (y - x)^2/(E I).  Over a
cone they are closed: the integral of p q/d^4, with p, q and d running straight from p1, q1, d1 to p2, q2, d2 over the
length l, is l (p2 q2 d1^2 + (p1 q2 + p2 q1) d1 d2/2 + p1 q1 d2^2)/(3 d1^3 d2^3).
"""

from __future__ import annotations

from math import inf, nan, pi
from typing import Any, NamedTuple

import attrs
import numpy as np

from millcalc.formulas._gauss import gauss

__all__ = [
    "Beam",
    "StressPlace",
    "compliance",
    "largest_length",
    "largest_stress",
    "mass",
    "natural_frequency",
    "tip_compliance",
]

POINTS = 3  # a step, at which its mass is gathered: frequencies to a thousandth
_AT_ONCE = 2**21  # numbers in the matrices of a chunk of cases


class StressPlace(NamedTuple):
    """The largest bending stress for each newton of force [N/mm^2 per N], and its height over the tip [mm]."""

    stress: Any
    height: Any


@attrs.frozen(eq=False)
class Beam:
    """Steps from the tip upward, each a cylinder or a cone, and the springs that hold the last.

    Attributes
    ----------
    length [mm]
        Of each step, 0 or more; a step without length changes nothing.
    lower, upper [mm]
        Diameters at its lower and upper end, above 0.
    modulus [GPa], density [g/cm^3]
        Of its material.
    lateral [N/um], tilting [N m/rad]
        Stiffness of the clamp against moving sideways and against tilting; infinite if it is rigid.
    """

    length: Any
    lower: Any
    upper: Any
    modulus: Any
    density: Any
    lateral: Any = inf
    tilting: Any = inf

    @classmethod
    def of(
        cls,
        length: Any,
        lower: Any,
        upper: Any = None,
        modulus: Any = 580.0,
        density: Any = 14.45,
        lateral: Any = inf,
        tilting: Any = inf,
    ) -> Beam:
        """Make a beam from numbers and arrays; one with the steps alone is the same in all cases.

        Examples
        --------
        >>> beam = Beam.of([20.0, 30.0], [8.0, 10.0], modulus=600.0)
        >>> round(100 * float(compliance(beam)), 3)
        15.452
        """
        given = (length, lower, lower if upper is None else upper, modulus, density)
        rows = [np.atleast_1d(np.asarray(g, dtype=float)) for g in given]
        springs = [np.asarray(s, dtype=float) for s in (lateral, tilting)]
        cases = np.broadcast_shapes(*(s.shape for s in springs), *(r.shape[1:] for r in rows))
        spread = [r.reshape((r.shape[0], *(1,) * (len(cases) + 1 - r.ndim), *r.shape[1:])) for r in rows]
        count = np.broadcast_shapes(*(r.shape[:1] for r in rows))
        return cls(*(np.broadcast_to(r, (*count, *cases)) for r in spread), *springs)

    @property
    def cases(self) -> tuple[int, ...]:
        """Shape of the cases; empty for a single tool."""
        return tuple(np.shape(self.length)[1:])

    @property
    def total(self) -> Any:
        """Length of all steps [mm]."""
        return np.sum(self.length, axis=0)

    def against(self, dimensions: int) -> Beam:
        """Return the beam with axes put before its cases, so that places of so many dimensions go with it."""
        more = (1,) * (dimensions - len(self.cases))
        names = ("length", "lower", "upper", "modulus", "density")
        rows = {n: np.reshape(getattr(self, n), (len(self.length), *more, *self.cases)) for n in names}
        return attrs.evolve(self, **rows)


class _Sums(NamedTuple):
    """Above a place, clamp and all: of 1/(E I) [1/(kN mm)], (y - x)/(E I) [1/kN] and (y - x)^2/(E I) [um/N]."""

    turn: Any
    lean: Any
    move: Any


def _sums(beam: Beam, place: Any) -> _Sums:
    """The sums above places [mm] over the tip, shaped as the cases or with axes before them."""
    place = np.asarray(place, dtype=float)
    beam = beam.against(place.ndim)
    end = np.cumsum(beam.length, axis=0)
    start = np.clip(place, end - beam.length, end)
    with np.errstate(all="ignore"):
        share = np.where(beam.length > 0.0, (end - start) / beam.length, 0.0)
        low, high = beam.upper + (beam.lower - beam.upper) * share, beam.upper
        weight = 64.0 / (pi * beam.modulus) * (end - start) / (3.0 * (low * high) ** 3)
        weight = np.where(end > start, weight, 0.0)
        near, far = start - place, end - place
        near, far = np.maximum(near, 0.0), np.maximum(far, 0.0)
        turn = weight * (low * low + low * high + high * high)
        lean = weight * (far * low * low + 0.5 * (near + far) * low * high + near * high * high)
        move = weight * (far * far * low * low + near * far * low * high + near * near * high * high)
    free = end[-1] - place
    inside = (place >= 0.0) & (free >= -1e-9 * end[-1])
    tilted = np.divide(1.0, beam.tilting)
    return _Sums(
        *(
            np.where(inside, s, nan)
            for s in (
                np.sum(turn, axis=0) + tilted,
                np.sum(lean, axis=0) + free * tilted,
                np.sum(move, axis=0) + free * free * tilted + np.divide(1.0, beam.lateral),
            )
        )
    )


def compliance(beam: Beam, reach: Any = 0.0) -> Any:
    """Return how far the place of a force gives way to it [um/N].

    Parameters
    ----------
    reach [mm]
        Distance of the force from the tip, 0 up to the length of the beam.

    Examples
    --------
    >>> round(1.0 / float(compliance(Beam.of(40.0, 10.0, modulus=600.0))), 3)
    13.806
    """
    return _sums(beam, reach).move[()]


def tip_compliance(beam: Beam, reach: Any = 0.0) -> Any:
    """Return how far the tip moves for a force at `reach` [um/N]; what lies below the force leans with it.

    Examples
    --------
    >>> round(100 * float(tip_compliance(Beam.of(40.0, 10.0, modulus=600.0), 5.0)), 2)
    5.89
    """
    sums = _sums(beam, reach)
    return (sums.move + reach * sums.lean)[()]


def largest_stress(beam: Beam, reach: Any = 0.0) -> StressPlace:
    """Return the largest bending stress for each newton at `reach`, and where it is.

    It lies at an end of a step, or inside a cone where the bar has become half as wide again as it was, or would have
    been, at the force.

    Examples
    --------
    >>> found = largest_stress(Beam.of([20.0, 30.0], [8.0, 12.0]))
    >>> round(100 * float(found.stress), 1), float(found.height)
    (39.8, 20.0)
    """
    reach = np.asarray(reach, dtype=float)
    beam = beam.against(reach.ndim)
    end = np.cumsum(beam.length, axis=0)
    start = end - beam.length
    with np.errstate(all="ignore"):
        lean = (beam.upper - beam.lower) / beam.length
        inner = np.where(lean > 0.0, 0.5 * (beam.lower / lean - start) + 1.5 * reach, end)
        inner = np.clip(inner, start, end)
        places = np.stack(np.broadcast_arrays(start, inner, end))
        wide = np.stack(np.broadcast_arrays(beam.lower, beam.lower + lean * (inner - start), beam.upper))
        stress = 32.0 * np.maximum(places - reach, 0.0) / (pi * wide**3)
    stress = np.where(beam.length > 0.0, stress, 0.0)
    stress, heights = (np.concatenate(list(row)) for row in np.broadcast_arrays(stress, places))
    at = np.argmax(stress, axis=0)[None]
    inside = (reach >= 0.0) & (reach <= end[-1] * (1.0 + 1e-9))
    found = (np.where(inside, np.take_along_axis(row, at, axis=0)[0], nan)[()] for row in (stress, heights))
    return StressPlace(*found)


def largest_length(beam: Beam, limit: Any, reach: Any = 0.0, step: int = -1) -> Any:
    """Return the length of a cylindrical step [mm] at which the tip moves by `limit` [um/N] for a force at `reach`.

    What the tip moves is a cubic of that length whose coefficients are above 0, so that Newton's steps from above
    come down to the only root.  NaN where the rest alone moves more, or the force acts at or above the step.

    Parameters
    ----------
    step
        Which step is to grow; the last, the shank, unless stated.

    Examples
    --------
    >>> round(float(largest_length(Beam.of([20.0, 1.0], [8.0, 10.0], modulus=600.0), 0.15452)), 2)
    30.0
    """
    count = len(beam.length)
    step %= count
    lengths = np.where(np.arange(count).reshape(-1, *(1,) * len(beam.cases)) == step, 0.0, beam.length)
    short = attrs.evolve(beam, length=lengths)
    base = np.sum(beam.length[:step], axis=0)
    reach, limit = np.asarray(reach, dtype=float), np.asarray(limit, dtype=float)
    here, above = _sums(short, reach), _sums(short, base)
    bend = 64.0 / (pi * beam.modulus[step] * beam.lower[step] ** 4)
    near, far = base - reach, base
    # the step bends, and what is above turns and leans further the longer the step is
    linear = bend * near * far + 2.0 * above.lean + (near + far) * above.turn
    square = 0.5 * bend * (near + far) + above.turn
    cubic = bend / 3.0
    room = limit - (here.move + reach * here.lean)
    with np.errstate(all="ignore"):
        room = np.where((room >= 0.0) & (near >= 0.0), room, nan)
        found = np.fmin(np.fmin(room / linear, np.sqrt(room / square)), np.cbrt(room / cubic))
        for _ in range(12):
            value = ((cubic * found + square) * found + linear) * found - room
            slope = (3.0 * cubic * found + 2.0 * square) * found + linear
            found = np.where(slope > 0.0, found - value / slope, found)
    return np.where(np.isposinf(room), inf, found)[()]


def mass(beam: Beam) -> Any:
    """Return the mass of all steps [kg].

    Examples
    --------
    >>> round(float(mass(Beam.of(40.0, 10.0, density=14.5))), 5)
    0.04555
    """
    square = (beam.lower**2 + beam.lower * beam.upper + beam.upper**2) / 3.0
    return np.sum(0.25e-6 * pi * beam.density * beam.length * square, axis=0)[()]


def natural_frequency(beam: Beam) -> Any:
    """Return the first natural frequency [Hz] in bending: an estimate, without damping.

    The mass is gathered at Gauss points of each step, and between these points the bar's compliance is exact, so that
    the largest eigenvalue of mass times compliance is off by less than a thousandth; slender bars, the springs of the
    clamp and what is known of them decide how near that is to the machine.  What gives way beyond the clamp lowers
    it: a rigid clamp tells the most it can be.

    Examples
    --------
    >>> round(float(natural_frequency(Beam.of([20.0, 20.0], 10.0, modulus=600.0, density=14.5))))
    5624
    """
    points, shares = (v.reshape(-1, *(1,) * len(beam.cases)) for v in gauss(POINTS))
    start = np.cumsum(beam.length, axis=0) - beam.length
    place = start[:, None] + points * beam.length[:, None]
    wide = beam.lower[:, None] + points * (beam.upper - beam.lower)[:, None]
    gathered = 0.25e-6 * pi * shares * beam.density[:, None] * beam.length[:, None] * wide**2
    count = len(beam.length) * POINTS
    place = place.reshape(count, *beam.cases)
    sums = _sums(beam, place)
    flat = [v.reshape(count, -1) for v in (place, gathered, sums.move, sums.lean)]
    found = np.empty(flat[0].shape[1])
    chunk = max(1, _AT_ONCE // count**2)
    for first in range(0, found.size, chunk):
        found[first : first + chunk] = _slowest(*(v[:, first : first + chunk].T for v in flat))
    return found.reshape(beam.cases)[()]


def _slowest(place: Any, gathered: Any, move: Any, lean: Any) -> Any:
    """The lowest frequency of masses at places, cases by points, on a bar of known compliance."""
    upper = np.maximum.outer(np.arange(place.shape[1]), np.arange(place.shape[1]))
    apart = np.abs(place[:, :, None] - place[:, None, :])
    matrix = move[:, upper] + apart * lean[:, upper]
    root = np.sqrt(gathered)
    matrix *= root[:, :, None] * root[:, None, :]
    bad = ~np.all(np.isfinite(matrix), axis=(1, 2))
    matrix[bad] = 0.0
    largest = np.linalg.eigvalsh(matrix)[:, -1]
    with np.errstate(all="ignore"):
        return np.where(bad, nan, 1000.0 / (2.0 * pi * np.sqrt(largest)))
