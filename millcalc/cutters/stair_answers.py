"""What every cutter tells of the stairs that step-down roughing with an upright axis leaves on a slope."""

from math import inf
from typing import Any, NamedTuple

import numpy as np

from millcalc.cutters._engine import stairs
from millcalc.cutters.answers import Profiled, answer
from millcalc.quantities.kinds import POSITIVE, Angle, Interval, Length, Radius

__all__ = ["Stair", "StairAnswers"]

_PLACE = {"slope": Interval(0.0, 90.0)}


class Stair(NamedTuple):
    """One stair between two levels, in the section of steepest slope, above the stock that was to be left."""

    thickness: Any
    """Largest thickness [mm] along the surface normal, under the ridge."""
    ridge_height: Any
    """Height [mm] of the ridge over the lower level, along the axis."""
    mean_thickness: Any
    """Mean thickness [mm]: area of the section over the length."""
    length: Any
    """Length [mm] of the surface below it; infinite on a level plane."""


def _ill_fit(cutter: Any, slope: float, surface_radius: float) -> str:
    """Say why the tool does not touch, or cuts where it should not; an empty text where it fits."""
    if surface_radius == 0.0:
        return "a surface has no radius of 0"
    if np.isnan(cutter.profile.at_normal(np.radians(slope))[0]):
        return "the cutting part has no point with this normal: the tool cannot touch a surface of this slope"
    # the least of steps tells whether the tool fits where it stands
    if np.isnan(stairs.stair_shape(cutter.profile, 1e-9, slope, surface_radius)[0]):
        return "the tool does not fit into the concave surface at this slope"
    return ""


def _no_stair(cutter: Any, step_down: float, slope: float, surface_radius: float) -> str:
    ill = _ill_fit(cutter, slope, surface_radius)
    return ill or "the levels are farther apart than the cutting part reaches, so that its body meets the ridge"


def _no_step(cutter: Any, thickness: float, slope: float, surface_radius: float) -> str:
    return _ill_fit(cutter, slope, surface_radius) or "its cutting part ends below the ridge"


class StairAnswers(Profiled):
    """Questions about roughing in levels."""

    @answer(
        symbol="t_s, h_r, t_m, l",
        method="where the lower level's flank meets the floor or the underside of the upper one; the section between "
        "these and the surface, by pieces of arc and line",
        domain=_PLACE | {"step_down": POSITIVE},
        reasons=_no_stair,
        shown_as=Stair,
    )
    def stairs(
        self, step_down: Length, slope: Angle, surface_radius: Radius = inf
    ) -> tuple[Length, Length, Length, Length]:
        """Return thickness, ridge height, mean thickness and length [mm] of the stairs between levels, a `Stair`.

        The largest thickness is along the surface normal, the ridge's height over the tip at the lower level; the mean
        thickness times the length of the surface is the area that a later pass removes.

        Parameters
        ----------
        step_down [mm]
            Distance between neighbouring levels, above 0.
        slope [deg]
            Angle between surface and horizontal where the upper level touches, 0 to 90.
        surface_radius [mm]
            Radius of the surface, offset by the stock to be left, along the steepest slope: convex positive, concave
            negative, flat infinite.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; the tool does not touch or fit; its cutting
            part ends below the ridge.

        Notes
        -----
        Valid for an upright axis and levels cleared outward from the surface, as a pocket or around a boss. The surface
        turns upright and level at most and runs on straight; the last level lies on its floor. On the stock that was
        to be left the thickness comes on top. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import CornerRadiusEndMill, FlatEndMill
        >>> print(f"{FlatEndMill(diameter='10 mm', teeth=4).stairs('1 mm', '45 deg')[0]:.4f~P}")
        0.7071 mm
        >>> cutter = CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=4)
        >>> print(f"{cutter.stairs('1 mm', '45 deg').thickness:.4f~P}")
        0.2929 mm
        """
        found: tuple[Any, Any, Any, Any] = stairs.stair_shape(self.profile, step_down, slope, surface_radius)
        return found

    @answer(
        symbol="t_max",
        method="the largest of evenly spread slopes, improved by golden sections between its neighbours",
        domain={"slope_from": _PLACE["slope"], "slope_to": _PLACE["slope"], "step_down": POSITIVE},
    )
    def largest_stair(
        self, step_down: Length, slope_from: Angle, slope_to: Angle, surface_radius: Radius = inf
    ) -> Length:
        """Return the largest thickness [mm] of the stairs between levels over a range of slopes.

        Parameters
        ----------
        step_down [mm]
            Distance between neighbouring levels, above 0.
        slope_from, slope_to [deg]
            Slopes at the ends of the range, 0 to 90, in either order.
        surface_radius [mm]
            As of `stairs`.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; the tool does not fit all of the range.

        Notes
        -----
        Valid as `stairs`. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import FlatEndMill
        >>> print(f"{FlatEndMill(diameter='10 mm', teeth=4).largest_stair('1 mm', '20 deg', '70 deg'):.3f~P}")
        0.940 mm
        """
        return stairs.largest_stair(self.profile, step_down, slope_from, slope_to, surface_radius)

    @answer(
        symbol="s_d",
        method="the step whose stairs are as thick, by secants in the logarithms",
        domain=_PLACE | {"stair_thickness": POSITIVE},
        reasons=_no_step,
    )
    def step_down_for_stairs(self, stair_thickness: Length, slope: Angle, surface_radius: Radius = inf) -> Length:
        """Return the step down [mm] whose stairs are as thick as stated.

        Parameters
        ----------
        stair_thickness [mm]
            Largest thickness along the surface normal, above 0.
        slope, surface_radius
            As of `stairs`.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; the tool does not touch or fit.

        Notes
        -----
        Valid as `stairs`; infinite where no step leaves stairs so thick, as a cylinder on an upright wall.
        Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import CornerRadiusEndMill
        >>> cutter = CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=4)
        >>> print(f"{cutter.step_down_for_stairs('0.2 mm', '60 deg'):.4f~P}")
        1.0517 mm
        """
        return stairs.largest_stair_step(self.profile, stair_thickness, slope, surface_radius)
