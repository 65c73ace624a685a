"""What cuts at each point of a block: diameters, chip, scallop; of a ball in one go, of other forms by the engine."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from millcalc.formulas import ball, ball_chip, scallops
from millcalc.planning.paths.moves import Laid
from millcalc.planning.paths.pointwise import ball_diameters
from millcalc.planning.paths.settings import Settings

__all__ = ["BallCut", "leans"]

Three = tuple[Any, Any, Any]


def leans(axis: Three) -> tuple[Any, Any]:
    """Return lead and tilt [deg] by the axis along the travel, to its left, and along the normal."""
    lead = np.arcsin(np.clip(axis[0], -1.0, 1.0))
    tilt = np.arctan2(axis[1], axis[2])
    lead *= 180.0 / np.pi
    tilt *= 180.0 / np.pi
    return lead, tilt


class BallCut:
    """A ball: the formulas `ball_cutting_diameters`, `ball_max_chip_thickness` and `scallop_height`, in one go."""

    def __init__(self, s: Settings) -> None:
        self.s = s
        self._fixed = None if s.depth is None else self._of_depth(s.depth)
        beside = math.isfinite(s.stepover)
        self._scallop = scallops.scallop_height.bare(s.diameter, s.stepover, s.radius_across) if beside else None

    def _of_depth(self, depth: Any) -> tuple[Any, Any, Any]:
        """Cosine and sine of the cap's angle, and the largest chip as a share of the feed per tooth."""
        s = self.s
        engaged = s.engaged(depth)
        share = np.minimum(np.divide(engaged, s.diameter), 1.0)
        sine = 2.0 * np.sqrt(share * (1.0 - share))
        return 1.0 - 2.0 * share, sine, ball_chip.ball_max_chip_thickness.bare(1.0, s.diameter, engaged, s.stepover)

    def of_depth(self, depth: Any) -> tuple[Any, Any, Any]:
        """Return the numbers that depend on the depth alone."""
        return self._fixed if self._fixed is not None else self._of_depth(depth)

    def mean_chip_share(self, laid: object, depth: Any) -> Any:
        """Mean chip as a share of the feed per tooth."""
        s = self.s
        return ball_chip.ball_mean_chip_thickness.bare(1.0, s.diameter, s.engaged(depth), s.stepover)

    def chip_share(self, laid: object, depth: Any) -> Any:
        """Largest chip as a share of the feed per tooth."""
        return self.of_depth(depth)[2]

    def scallop(self, laid: object) -> Any:
        """Scallop height [um]; none without a pass beside."""
        return self._scallop

    def diameters(self, laid: Laid, depth: Any, out: Three) -> None:
        """Put the least, the contact's and the largest cutting diameter into arrays."""
        s = self.s
        if s.beside:
            lead, tilt = leans(laid.axis)
            case = (s.diameter, s.engaged(depth), lead, tilt, s.stepover, s.uncut_side)
            for held, found in zip(out, ball.ball_cutting_diameters.bare(*case), strict=True):
                held[:] = found
            return
        cosine, sine, _ = self.of_depth(depth)
        for held, found in zip(out, ball_diameters(*laid.axis, s.diameter, cosine, sine), strict=True):
            held[:] = found
