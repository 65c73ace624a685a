"""What every cutter tells of the stairs that roughing in levels leaves."""

from math import inf
from typing import Any

from millcalc.cutters import stairs
from millcalc.cutters.answers import Profiled, answer
from millcalc.quantities.kinds import POSITIVE, Angle, Interval, Length, Radius

__all__ = ["StairAnswers"]

_SLOPE = Interval(0.0, 90.0)


def _no_stair(cutter: Any, first: float, slope: float, *rest: Any) -> str:
    return "the surface ends before the lower level, or the tool cannot touch it at this slope"


class StairAnswers(Profiled):
    """Questions about roughing in levels with an upright axis."""

    @answer(
        symbol="t_s, H_c",
        method="where the lower tool's flank comes out under the floor, or the round, of the level above; its distance "
        "from the surface",
        domain={"step_down": POSITIVE, "slope": _SLOPE},
        reasons=_no_stair,
    )
    def stairs(self, step_down: Length, slope: Angle, surface_radius: Radius = inf) -> tuple[Length, Length]:
        """Return the largest thickness [mm] of a stair along the surface normal, and the height of its cusp.

        The height counts from the tip at the lower level.  On the stock that was to be left the thickness comes on top.

        Parameters
        ----------
        step_down [mm]
            Distance of the levels in height, above 0.
        slope [deg]
            Slope of the surface at the upper level, 0 to 90.
        surface_radius [mm]
            Radius of the surface in the plane of the steepest slope: convex positive, concave negative, flat infinite.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; the surface has no such level.

        Notes
        -----
        Valid for an upright axis where each level is cleared outward from the surface, as a pocket or around a boss.
        Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import CornerRadiusEndMill, FlatEndMill
        >>> print(f"{FlatEndMill(diameter='10 mm', teeth=4).stairs('1 mm', '45 deg')[0]:.4f~P}")
        0.7071 mm
        >>> cutter = CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=4)
        >>> print(f"{cutter.stairs('1 mm', '45 deg')[0]:.4f~P}")
        0.2929 mm
        """
        return stairs.stair_cusp(self.profile, step_down, slope, surface_radius)

    @answer(
        symbol="s_d",
        method="the step down whose stairs have the thickness, by halving",
        domain={"stair_thickness": POSITIVE, "slope": _SLOPE},
        reasons=_no_stair,
    )
    def step_down_for_stairs(self, stair_thickness: Length, slope: Angle, surface_radius: Radius = inf) -> Length:
        """Return the largest step down [mm] whose stairs are no thicker than this.

        Parameters
        ----------
        stair_thickness [mm]
            Largest thickness of the stairs along the surface normal, above 0.
        slope, surface_radius
            As of `stairs`.

        Raises
        ------
        UnitError, DomainError
            As of `stairs`.

        Notes
        -----
        Valid as `stairs`; infinite where no step leaves stairs so thick, as a cylinder on an upright wall. On a curved
        surface it ends where the surface does. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> print(f"{BallEndMill(diameter='10 mm', teeth=2).step_down_for_stairs('0.1 mm', '45 deg'):.4f~P}")
        1.4071 mm
        """
        return stairs.largest_stair_step(self.profile, stair_thickness, slope, surface_radius)
