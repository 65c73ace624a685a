"""The force of one cut as a plan asks for it: mean and peaks, for one variant or many."""

from __future__ import annotations

from math import inf
from typing import Any

import numpy as np

from millcalc.cutters.answers import Answer, Profiled, answer
from millcalc.cutters.profile import Profile
from millcalc.loads.summary import force_summary
from millcalc.quantities.kinds import Angle, FeedPerTooth, Force, Length, Side, Torque

__all__ = ["TURNING_ANSWERS", "TurningForce"]

TURNING_ANSWERS: dict[str, Answer] = {}
"""Every question that a turning force answers, by name."""


class TurningForce(Profiled):
    """What turns in a plan: a profile with teeth and helix, or many side by side, and force coefficients."""

    def __init__(
        self, profile: Profile, teeth: Any, helix: Any, eccentricity: Any, coefficients: tuple[float, ...]
    ) -> None:
        self._profile = profile
        self._rest = helix, eccentricity, coefficients, teeth

    @property
    def profile(self) -> Profile:
        return self._profile

    @answer(
        symbol="M_c, M_p, F_b, F_r, F_n, F_m",
        method="the force on every element of the engaged edges, summed at steps of the angle at which they cut",
        sources=("MECHANISTIC",),
        listed=TURNING_ANSWERS,
    )
    def turning_force(
        self,
        feed_per_tooth: FeedPerTooth,
        normal_depth: Length,
        lead: Angle = 0.0,
        tilt: Angle = 0.0,
        stepover: Length = inf,
        uncut_side: Side = "left",
    ) -> tuple[Torque, Torque, Force, Force, Force, Force]:
        """Return mean and peak torque [N m], and forces [N]: peak bending, peak, push on the surface, largest mean.

        Parameters
        ----------
        feed_per_tooth [mm]
            Feed per tooth, 0 or more.
        normal_depth [mm]
            Stock along the surface normal, above 0.
        lead, tilt [deg]
            Lean toward the feed, turned first, and across it; between -90 and 90.
        stepover [mm]
            Distance to the pass before; infinite for a full-width cut.
        uncut_side [1]
            Side of the feed on which the stock still stands, "left" or "right".

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; no point of the tool has this normal.

        Notes
        -----
        Valid on a plane, for a feed small against the tool, without vibration; good to a few hundredths beside the
        coefficients. The push is that along the surface normal as the edge passes the contact. Source: MECHANISTIC.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> ball = BallEndMill(diameter="6 mm", teeth=2)
        >>> force = TurningForce(ball.profile, 2, 30.0, 0.0, (767.0, 169.0, 222.0, 27.7, 26.6, 0.7, 0.0))
        >>> print(f"{force.turning_force('0.05 mm', '0.1 mm', '15 deg', stepover='0.2 mm')[2]:.0f~P}")
        18 N
        """
        cut = (normal_depth, lead, tilt, stepover, np.where(np.asarray(uncut_side) == "right", 1.0, 0.0))
        made = force_summary(self.profile, cut, feed_per_tooth, *self._rest)
        mean = np.maximum.reduce([np.abs(m) for m in (made.mean_feed, made.mean_cross, made.mean_axial)])
        return made.mean_torque, made.peak_torque, made.peak_bending, made.peak_force, made.push, mean
