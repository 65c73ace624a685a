"""Points along the pieces of a half-profile, found without asking the engine: its second witness."""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence

from millcalc.cutters import Arc, Line

__all__ = ["outline", "support"]

_COUNT = 200


def outline(pieces: Sequence[Line | Arc], count: int = _COUNT) -> list[tuple[float, float]]:
    """Return points (height, radius) [mm] along the pieces, from the first to the last end.

    Examples
    --------
    >>> points = outline([Arc((0.0, 0.0), (5.0, 5.0), (5.0, 0.0))], 2)
    >>> [(round(h, 3), round(r, 3)) for h, r in points]
    [(0.0, 0.0), (1.464, 3.536), (5.0, 5.0)]
    """
    points = [point for piece in pieces for point in _points(piece, count)[:-1]]
    return [*points, pieces[-1].end]


def support(pieces: Sequence[Line | Arc], psi: float) -> tuple[float, float]:
    """Return how far the pieces reach along an outward normal [mm], and how far points between may reach beyond.

    Parameters
    ----------
    pieces
        Of the half-profile.
    psi
        Angle of the normal from straight down [rad].

    Examples
    --------
    >>> reach, slack = support([Arc((0, 0), (5, 5), (5, 0))], math.radians(30.0))
    >>> round(reach + 5.0 * math.cos(math.radians(30.0)), 4), slack < 1e-4
    (5.0, True)
    """
    reach = max(radius * math.sin(psi) - height * math.cos(psi) for height, radius in outline(pieces))
    return reach, max(_sagitta(piece) for piece in pieces)


def _points(piece: Line | Arc, count: int) -> list[tuple[float, float]]:
    (h0, r0), (h1, r1) = piece.start, piece.end
    if isinstance(piece, Line):
        return [(h0 + (h1 - h0) * i / count, r0 + (r1 - r0) * i / count) for i in range(count + 1)]
    height, radius = piece.centre
    arm, swept = complex(h0 - height, r0 - radius), _swept(piece)
    turned = [arm * cmath.exp(-1j * swept * i / count) for i in range(count + 1)]
    return [(height + each.real, radius + each.imag) for each in turned]


def _swept(arc: Arc) -> float:
    """Angle [rad] through which an arc turns, from down to outward."""
    arms = [complex(h - arc.centre[0], r - arc.centre[1]) for h, r in (arc.start, arc.end)]
    return -cmath.phase(arms[1] / arms[0]) % (2.0 * math.pi)


def _sagitta(piece: Line | Arc) -> float:
    return 0.0 if isinstance(piece, Line) else piece.radius * (1.0 - math.cos(0.5 * _swept(piece) / _COUNT))
