"""What cuts at each point of a block: diameters, chip, scallop; of a ball in one go, of other forms by the engine."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from millcalc.formulas import ball, ball_chip, scallops
from millcalc.planning.paths.moves import Laid
from millcalc.planning.paths.settings import Settings

__all__ = ["BallCut", "leans"]

Three = tuple[Any, Any, Any]


def leans(laid: Laid) -> tuple[Any, Any]:
    """Return lead and tilt [deg] of a block's points."""
    lead = np.arcsin(np.clip(laid.forward, -1.0, 1.0))
    tilt = np.arctan2(laid.across, laid.upward)
    lead *= 180.0 / np.pi
    tilt *= 180.0 / np.pi
    return lead, tilt


class BallCut:
    """A ball: the formulas `ball_cutting_diameters`, `ball_max_chip_thickness` and `scallop_height`, in one go."""

    def __init__(self, s: Settings) -> None:
        self.s = s
        self._fixed = None if s.depth is None else self._of_depth(s.depth)

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

    def mean_chip_share(self, laid: Laid, depth: Any) -> Any:
        """Mean chip as a share of the feed per tooth."""
        s = self.s
        return ball_chip.ball_mean_chip_thickness.bare(1.0, s.diameter, s.engaged(depth), s.stepover)

    def chip_share(self, laid: Laid, depth: Any) -> Any:
        """Largest chip as a share of the feed per tooth."""
        return self.of_depth(depth)[2]

    def scallop(self, laid: Laid) -> Any:
        """Scallop height [um]; none without a pass beside."""
        s = self.s
        if math.isinf(s.stepover):
            return None
        return scallops.scallop_height.bare(s.diameter, s.stepover, s.radius_across)

    def diameters(self, laid: Laid, depth: Any, out: Three) -> None:
        """Put the least, the contact's and the largest cutting diameter into arrays."""
        s = self.s
        if s.beside:
            lead, tilt = leans(laid)
            case = (s.diameter, s.engaged(depth), lead, tilt, s.stepover, s.uncut_side)
            for held, found in zip(out, ball.ball_cutting_diameters.bare(*case), strict=True):
                held[:] = found
            return
        cosine, sine, _ = self.of_depth(depth)
        _fused(laid, self.s.diameter, cosine, sine, out)


def _fused(laid: Laid, diameter: float, cosine: Any, sine: Any, out: Three) -> None:
    """The extremes of a ball's cap that leads, by products of sines and cosines alone.

    With the axis (f, c, n), sine and cosine of the cap's angle: the largest is reached at the stock plane, ahead where
    the axis leans ahead, else at its side; the least where the cap comes nearest to the tip, 0 where it holds it.
    """
    least, contact, largest = out
    work, m = laid.work, laid.count
    f, c, n = laid.forward, laid.across, laid.upward
    ahead, behind = work.get("a1", m), work.get("a2", m)
    spare, beside = work.get("a3", m), work.get("a4", m)
    np.abs(f, out=spare)
    np.add(f, spare, out=ahead)
    np.multiply(ahead, ahead, out=ahead)  # (2 max(f, 0))^2
    np.subtract(f, spare, out=behind)
    np.multiply(behind, behind, out=behind)
    ahead *= 0.25
    behind *= 0.25
    np.multiply(c, c, out=beside)
    np.multiply(n, sine, out=spare)
    # largest: sqrt(behind + (n sine + cosine sqrt(c^2 + ahead))^2)
    np.add(beside, ahead, out=largest)
    np.add(beside, behind, out=least)
    np.add(largest, behind, out=contact)
    np.sqrt(contact, out=contact)
    np.sqrt(largest, out=largest)
    whole = _above_equator(n, cosine, sine, largest)
    largest *= cosine
    largest += spare
    np.multiply(largest, largest, out=largest)
    largest += behind
    np.sqrt(largest, out=largest)
    # least: sqrt(ahead + max(cosine sqrt(c^2 + behind) - n sine, 0)^2)
    np.sqrt(least, out=least)
    least *= cosine
    least -= spare
    np.maximum(least, 0.0, out=least)
    np.multiply(least, least, out=least)
    least += ahead
    np.sqrt(least, out=least)
    if whole is not None:
        largest[whole] = 1.0
    for held in out:
        held *= diameter


def _above_equator(n: Any, cosine: Any, sine: Any, reach: Any) -> Any:
    """Where the stock reaches the ball's equator, or None where it does so nowhere."""
    if np.ndim(cosine) == 0 and float(n.min()) * cosine > sine:
        return None
    whole = n * cosine <= sine * reach
    return whole if whole.any() else None
