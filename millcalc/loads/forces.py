"""The force that a cut makes on a tool: over a turn, mean, peak, torque and power."""

from __future__ import annotations

from math import inf
from typing import Any, NamedTuple

import numpy as np

from millcalc.cutters import Cutter
from millcalc.cutters.answers import Answer, Profiled, answer, number_of_points
from millcalc.cutters.profile import Profile
from millcalc.loads.coefficients import ForceCoefficients
from millcalc.loads.course import force_course
from millcalc.quantities.kinds import (
    ANGLE,
    FORCE,
    POSITIVE,
    POSITIVE_OR_INFINITE,
    TORQUE,
    Angle,
    FeedPerTooth,
    Force,
    Interval,
    Length,
    Power,
    Side,
    SpindleSpeed,
    Torque,
)
from millcalc.quantities.record import number
from millcalc.quantities.registries import application_registry

__all__ = ["FORCE_ANSWERS", "ForceCourse", "MillingForce"]

FORCE_ANSWERS: dict[str, Answer] = {}
"""Every question that a milling force answers, by name."""
_LEAN = Interval(-90.0, 90.0, low_open=True, high_open=True)
_CUT = {"lead": _LEAN, "tilt": _LEAN, "stepover": POSITIVE_OR_INFINITE, "normal_depth": POSITIVE}
_ANGLES, _ELEMENTS = 360, 60
_METHOD = "the force on every element of the engaged edges, summed at steps of a turn"


class ForceCourse(NamedTuple):
    """Force on the tool over a turn, last axis the rotation.

    Along the feed made square to the axis, to the left of it, and along the axis from the tip to the spindle; the
    torque that drives it.
    """

    rotation: Any
    feed: Any
    cross: Any
    axial: Any
    torque: Any


class MillingForce(Profiled):
    """The force of a cutter in a material.

    Parameters
    ----------
    cutter
        Any cutter; its teeth, helix and eccentricity count, the last two as 0 where they are not stated.
    coefficients
        `ForceCoefficients`, or the name of a material.

    Raises
    ------
    UnknownNameError
        There is no such material, or its record has no data on forces.

    Examples
    --------
    >>> from millcalc import FlatEndMill
    >>> force = MillingForce(FlatEndMill(diameter="10 mm", teeth=4), "7075")
    >>> print(f"{force.power('8000 rpm', '0.05 mm', '2 mm', stepover='2 mm'):.3f~P}")
    0.218 kW
    """

    def __init__(self, cutter: Cutter, coefficients: Any) -> None:
        self.cutter = cutter
        given = isinstance(coefficients, ForceCoefficients)
        self.coefficients: ForceCoefficients = coefficients if given else ForceCoefficients.from_material(coefficients)

    @property
    def profile(self) -> Profile:
        return self.cutter.profile

    def _over_a_turn(self, feed: Any, cut: tuple[Any, ...], angles: int = _ANGLES, elements: int = _ELEMENTS) -> Any:
        depth, lead, tilt, stepover, side = cut
        mirrored = np.where(np.asarray(side) == "right", 1.0, 0.0)
        helix, runout = (number(self.cutter, name) or 0.0 for name in ("helix", "eccentricity"))
        teeth = int(number(self.cutter, "teeth"))
        case = ((depth, lead, tilt, stepover, mirrored), feed, helix, runout, self.coefficients.numbers, teeth)
        return force_course(self.profile, *case, angles, elements)

    @answer(symbol="F_x, F_y, F_z", method=_METHOD, domain=_CUT, sources=("MECHANISTIC",), listed=FORCE_ANSWERS)
    def mean_force(
        self,
        feed_per_tooth: FeedPerTooth,
        normal_depth: Length,
        lead: Angle = 0.0,
        tilt: Angle = 0.0,
        stepover: Length = inf,
        uncut_side: Side = "left",
    ) -> tuple[Force, Force, Force]:
        """Return the mean force [N] on the tool along the feed square to the axis, left of it, and along the axis.

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
        Valid on a plane, for a feed small against the tool, without vibration; as good as the coefficients, which
        differ by half and more between studies. Source: MECHANISTIC.

        Examples
        --------
        >>> from millcalc import FlatEndMill
        >>> force = MillingForce(FlatEndMill(diameter="10 mm", teeth=4), "ti-6al-4v")
        >>> print(*(f"{f:.1f~P}" for f in force.mean_force("0.05 mm", "2 mm")))
        -218.8 N 258.1 N -100.8 N
        """
        _, rows = self._over_a_turn(feed_per_tooth, (normal_depth, lead, tilt, stepover, uncut_side))
        x, y, z, _ = np.mean(rows, axis=1)
        return x, y, z

    @answer(symbol="F_b, F_r", method=_METHOD, domain=_CUT, sources=("MECHANISTIC",), listed=FORCE_ANSWERS)
    def peak_force(
        self,
        feed_per_tooth: FeedPerTooth,
        normal_depth: Length,
        lead: Angle = 0.0,
        tilt: Angle = 0.0,
        stepover: Length = inf,
        uncut_side: Side = "left",
    ) -> tuple[Force, Force]:
        """Return the largest force [N] over a turn: square to the axis, which bends the tool, and in all.

        Parameters
        ----------
        feed_per_tooth, normal_depth, lead, tilt, stepover, uncut_side
            As of `mean_force`.

        Raises
        ------
        UnitError, DomainError
            As of `mean_force`.

        Notes
        -----
        Valid as `mean_force`. Source: MECHANISTIC.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> force = MillingForce(BallEndMill(diameter="6 mm", teeth=2), "7075")
        >>> print(*(f"{f:.1f~P}" for f in force.peak_force("0.05 mm", "0.1 mm", "15 deg", stepover="0.2 mm")))
        18.7 N 23.2 N
        """
        _, rows = self._over_a_turn(feed_per_tooth, (normal_depth, lead, tilt, stepover, uncut_side))
        across = np.hypot(rows[0], rows[1])
        return np.max(across, axis=0), np.max(np.hypot(across, rows[2]), axis=0)

    @answer(symbol="M_c, M_p", method=_METHOD, domain=_CUT, sources=("MECHANISTIC",), listed=FORCE_ANSWERS)
    def torque(
        self,
        feed_per_tooth: FeedPerTooth,
        normal_depth: Length,
        lead: Angle = 0.0,
        tilt: Angle = 0.0,
        stepover: Length = inf,
        uncut_side: Side = "left",
    ) -> tuple[Torque, Torque]:
        """Return the mean and the largest torque [N m] over a turn.

        Parameters
        ----------
        feed_per_tooth, normal_depth, lead, tilt, stepover, uncut_side
            As of `mean_force`.

        Raises
        ------
        UnitError, DomainError
            As of `mean_force`.

        Notes
        -----
        Valid as `mean_force`. Source: MECHANISTIC.

        Examples
        --------
        >>> from millcalc import FlatEndMill
        >>> force = MillingForce(FlatEndMill(diameter="10 mm", teeth=4), "7075")
        >>> print(*(f"{m.magnitude:.3f} N m" for m in force.torque("0.05 mm", "2 mm", stepover="2 mm")))
        0.260 N m 0.581 N m
        """
        _, rows = self._over_a_turn(feed_per_tooth, (normal_depth, lead, tilt, stepover, uncut_side))
        return np.mean(rows[3], axis=0), np.max(rows[3], axis=0)

    @answer(symbol="P_c", method=_METHOD, domain=_CUT, sources=("MECHANISTIC",), listed=FORCE_ANSWERS)
    def power(
        self,
        spindle_speed: SpindleSpeed,
        feed_per_tooth: FeedPerTooth,
        normal_depth: Length,
        lead: Angle = 0.0,
        tilt: Angle = 0.0,
        stepover: Length = inf,
        uncut_side: Side = "left",
    ) -> Power:
        """Return the mean power [kW] at the cutter.

        Parameters
        ----------
        spindle_speed [rev/min]
            Spindle speed, 0 or more.
        feed_per_tooth, normal_depth, lead, tilt, stepover, uncut_side
            As of `mean_force`.

        Raises
        ------
        UnitError, DomainError
            As of `mean_force`.

        Notes
        -----
        Valid as `mean_force`. Source: MECHANISTIC.

        Examples
        --------
        >>> from millcalc import FlatEndMill
        >>> force = MillingForce(FlatEndMill(diameter="10 mm", teeth=4), "7075")
        >>> print(f"{force.power('8000 rpm', '0.05 mm', '2 mm', stepover='2 mm'):.3f~P}")
        0.218 kW
        """
        _, rows = self._over_a_turn(feed_per_tooth, (normal_depth, lead, tilt, stepover, uncut_side))
        return np.pi * spindle_speed * np.mean(rows[3], axis=0) / 30_000.0

    def course(
        self,
        feed_per_tooth: Any,
        normal_depth: Any,
        lead: Any = None,
        tilt: Any = None,
        stepover: Any = None,
        uncut_side: Any = None,
        angles: int = _ANGLES,
        points: int = 50,
    ) -> ForceCourse:
        """Return the force and the torque at steps of a turn.

        Parameters
        ----------
        feed_per_tooth, normal_depth, lead, tilt, stepover, uncut_side
            As of `mean_force`; arrays give a last axis over the rotation.
        angles
            Steps of the turn, raised to a multiple of the teeth.
        points
            Elements along each edge, 2 or more.

        Raises
        ------
        UnitError, DomainError
            As of `mean_force`.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> force = MillingForce(BallEndMill(diameter="6 mm", teeth=2), "7075")
        >>> print(f"{force.course('0.05 mm', '0.1 mm').cross.max():.2f~P}")
        25.68 N
        """
        stated = {"lead": lead, "tilt": tilt, "stepover": stepover, "uncut_side": uncut_side}
        given = {name: value for name, value in stated.items() if value is not None}
        asked: Any = self.mean_force
        asked(feed_per_tooth, normal_depth, **given)  # raises what is wrong
        feed, *cut = asked.numbers(feed_per_tooth, normal_depth, **given)
        rotation, rows = self._over_a_turn(feed, tuple(cut), number_of_points(angles), number_of_points(points))
        known = application_registry()
        forces = [known.quantity(np.moveaxis(row, 0, -1), FORCE) for row in rows[:3]]
        torque = known.quantity(np.moveaxis(rows[3], 0, -1), TORQUE)
        feed_force, cross, axial = forces
        return ForceCourse(known.quantity(rotation, ANGLE), feed_force, cross, axial, torque)
