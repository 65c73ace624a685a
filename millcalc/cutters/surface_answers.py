"""What every cutter tells of the surface it leaves: scallop, stepover, roughness, and whether it fits at all."""

from math import inf
from typing import Any, NamedTuple

import numpy as np

from millcalc.cutters._engine import closed_forms, left_surface, scallop
from millcalc.cutters.answers import Profiled, answer, number_of_points
from millcalc.cutters.shape_answers import LEAN, no_contact
from millcalc.quantities.kinds import (
    LENGTH,
    POSITIVE,
    POSITIVE_OR_INFINITE,
    SCALLOP_HEIGHT,
    Angle,
    Flag,
    Length,
    Radius,
    Roughness,
    ScallopHeight,
)
from millcalc.quantities.registries import application_registry

__all__ = ["LeftProfile", "RoughnessValues", "SurfaceAnswers"]

_PLACE = {"lead": LEAN, "tilt": LEAN}
_UM = 1000.0


class RoughnessValues(NamedTuple):
    """Roughness of the surface left, across the feed, of the ideal geometry."""

    ra: Any
    rz: Any
    rq: Any


class LeftProfile(NamedTuple):
    """The surface left between two passes as points, from one contact over the ridge to the next."""

    across: Any
    height: Any


def _ill_fit(cutter: Any, lead: float, tilt: float, surface_radius: float) -> str:
    """Say why the tool does not touch, or cuts where it should not; an empty text where it fits."""
    untouched = no_contact(cutter, lead, tilt)
    if untouched:
        return untouched
    depth = scallop.gouge_depth(cutter.profile, lead, tilt, surface_radius, cutter.working_length)
    if not depth > 0.0:
        return ""
    nearby = scallop.gouge_depth(cutter.profile, lead, tilt, surface_radius, float(np.max(cutter.profile.top)))
    where = "at the contact" if nearby > 0.0 else "at its far side, with the flank"
    return f"the tool cuts {depth:.6g} mm into the concave surface {where}"


def _no_scallop(cutter: Any, stepover: float, lead: float, tilt: float, radius: float, *_: Any) -> str:
    ill = _ill_fit(cutter, lead, tilt, radius)
    if ill:
        return ill
    widest = scallop.largest_stepover(cutter.profile, lead, tilt, radius, cutter.working_length)
    return "" if np.isnan(widest) else f"the stepover is wider than the tool reaches: passes meet up to {widest:.6g} mm"


def _no_stepover(cutter: Any, height: float, lead: float, tilt: float, radius: float, *_: Any) -> str:
    return _ill_fit(cutter, lead, tilt, radius) or "no stepover leaves a scallop so high"


def _no_roughness(cutter: Any, stepover: float, lead: float, tilt: float, radius: float) -> str:
    if np.isnan(scallop.scallop_height(cutter.profile, stepover, lead, tilt, radius)):
        return _no_scallop(cutter, stepover, lead, tilt, radius)
    return "the ridge leans over, so the profile has no single height"


def _no_place(cutter: Any, lead: float, tilt: float, surface_radius: float = inf, *_: Any) -> str:
    return _ill_fit(cutter, lead, tilt, surface_radius)


class SurfaceAnswers(Profiled):
    """Questions about what the passes leave."""

    @answer(
        symbol="s_0",
        method="width, seen along the feed, of the straight piece that touches the plane",
        domain=_PLACE,
        reasons=_no_place,
    )
    def flat_width(self, lead: Angle = 0.0, tilt: Angle = 0.0) -> Length:
        """Return the stepover [mm] up to which no scallop is left on a plane: the width that touches it.

        Parameters
        ----------
        lead, tilt [deg]
            Lean toward the feed, turned first, and across it; between -90 and 90.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; no point of the tool has this normal.

        Notes
        -----
        Valid on a plane. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import CornerRadiusEndMill
        >>> print(f"{CornerRadiusEndMill(diameter='10 mm', corner_radius='1 mm', teeth=4).flat_width():.1f~P}")
        8.0 mm
        """
        return scallop.flat_width(self.profile, lead, tilt)

    @answer(
        symbol="h_s",
        method="height at which the silhouettes of neighbouring passes, seen along the feed, meet",
        domain=_PLACE | {"stepover": POSITIVE},
        reasons=_no_scallop,
    )
    def scallop_height(
        self,
        stepover: Length,
        lead: Angle = 0.0,
        tilt: Angle = 0.0,
        surface_radius: Radius = inf,
        axis_fixed: Flag = False,
    ) -> ScallopHeight:
        """Return the height [um] of the ridge that passes leave; 0 where a flat bottom leaves none.

        Parameters
        ----------
        stepover [mm]
            Distance between neighbouring passes along the surface, above 0.
        lead, tilt [deg]
            Lean toward the feed, turned first, and across it; between -90 and 90; with a fixed axis midway between
            the passes.
        surface_radius [mm]
            Radius of the surface across the passes: convex positive, concave negative, flat infinite.
        axis_fixed [1]
            Whether the axis keeps its direction in space, as in three-axis work, or turns with the surface normal.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit; the passes do not meet; the tool does not fit into the surface.

        Notes
        -----
        Valid without limit, the ridge may lean over; the surface is half a circle at most. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import FlatEndMill
        >>> cutter = FlatEndMill(diameter="10 mm", teeth=4)
        >>> print(f"{cutter.scallop_height('0.2 mm', '20 deg', '30 deg'):.4f~P}")
        1.6784 µm
        """
        return _UM * _height(self, stepover, lead, tilt, surface_radius, axis_fixed)

    @answer(
        symbol="s",
        method="width of the silhouette, seen along the feed, at the height of the ridge",
        domain=_PLACE,
        reasons=_no_stepover,
    )
    def stepover(
        self,
        scallop_height: ScallopHeight,
        lead: Angle = 0.0,
        tilt: Angle = 0.0,
        surface_radius: Radius = inf,
        axis_fixed: Flag = False,
    ) -> Length:
        """Return the stepover [mm] along the surface that leaves a ridge of a height.

        Parameters
        ----------
        scallop_height [um]
            Height of the ridge, 0 or more.
        lead, tilt, surface_radius, axis_fixed
            As of `scallop_height`.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit; no stepover leaves such a ridge; the tool does not fit.

        Notes
        -----
        Valid without limit; a height of 0 gives the width that touches. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import CornerRadiusEndMill
        >>> cutter = CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=4)
        >>> print(f"{cutter.stepover('1 um', '5 deg'):.4f~P}")
        0.6121 mm
        """
        return _stepover(self, np.divide(scallop_height, _UM), lead, tilt, surface_radius, axis_fixed)

    @answer(
        symbol="s_max",
        method="greatest width of the silhouette, seen along the feed, along the surface",
        domain=_PLACE,
        reasons=_no_place,
    )
    def largest_stepover(self, lead: Angle = 0.0, tilt: Angle = 0.0, surface_radius: Radius = inf) -> Length:
        """Return the stepover [mm] up to which passes, both turned with the normal, meet.

        Parameters
        ----------
        lead, tilt, surface_radius
            As of `scallop_height`.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; the tool does not fit.

        Notes
        -----
        Valid without limit. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> print(f"{BallEndMill(diameter='10 mm', teeth=2).largest_stepover('0 deg', '60 deg'):.3f~P}")
        20.000 mm
        """
        return scallop.largest_stepover(self.profile, lead, tilt, surface_radius, self.working_length)

    @answer(
        symbol="g",
        method="how far the silhouette, seen along the feed, reaches beyond half a circle of the concave surface",
        domain=_PLACE | {"length": POSITIVE_OR_INFINITE},
        reasons=_no_place,
    )
    def gouge_depth(
        self, lead: Angle = 0.0, tilt: Angle = 0.0, surface_radius: Radius = inf, length: Length = None
    ) -> Length:
        """Return how deep [mm] the tool cuts into a concave surface, at the contact or at its far side; 0: it fits.

        Parameters
        ----------
        lead, tilt, surface_radius
            As of `scallop_height`.
        length [mm]
            Length of the tool from its tip that may reach the surface; none: the overhang, or without end.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; no point of the tool has this normal.

        Notes
        -----
        Valid for a surface of half a circle, 90 degrees to either side of the contact. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import FlatEndMill
        >>> cutter = FlatEndMill(diameter="10 mm", teeth=4)
        >>> print(f"{cutter.gouge_depth('1 deg', '0 deg', '-200 mm'):.6f~P}")
        0.005698 mm
        """
        length = self.working_length if length is None else length
        return scallop.gouge_depth(self.profile, lead, tilt, surface_radius, length)

    @answer(
        symbol="Ra, Rz, Rq",
        method="integrals over the silhouettes between neighbouring ridges, by quadrature",
        domain=_PLACE | {"stepover": POSITIVE},
        reasons=_no_roughness,
        shown_as=RoughnessValues,
    )
    def roughness(
        self, stepover: Length, lead: Angle = 0.0, tilt: Angle = 0.0, surface_radius: Radius = inf
    ) -> tuple[Roughness, Roughness, Roughness]:
        """Return Ra, Rz and Rq [um] across the feed of the ideal geometry, a `RoughnessValues`.

        Parameters
        ----------
        stepover, lead, tilt, surface_radius
            As of `scallop_height`.

        Raises
        ------
        UnitError, DomainError
            As of `scallop_height`; the ridge leans over.

        Notes
        -----
        Valid where the ridge does not lean over; good to about 1e-7. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> found = BallEndMill(diameter="10 mm", teeth=2).roughness("0.5 mm")
        >>> print(f"{found.ra:.4f~P} of {found.rz:.4f~P}")
        1.6046 µm of 6.2539 µm
        """
        found = left_surface.roughness(self.profile, stepover, lead, tilt, surface_radius)
        return tuple(_UM * v for v in found)

    @answer(
        symbol="h_s",
        method="height of the ridge whose profile has this Ra, by secants",
        domain=_PLACE | {"ra": POSITIVE},
        reasons=_no_stepover,
    )
    def scallop_for_ra(
        self, ra: Roughness, lead: Angle = 0.0, tilt: Angle = 0.0, surface_radius: Radius = inf
    ) -> ScallopHeight:
        """Return the height [um] of the ridge between passes whose profile has an Ra.

        Parameters
        ----------
        ra [um]
            Ra across the feed, above 0.
        lead, tilt, surface_radius
            As of `scallop_height`.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit; no passes leave such an Ra; the tool does not fit.

        Notes
        -----
        Valid where the ridge does not lean over. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import FlatEndMill
        >>> print(f"{FlatEndMill(diameter='10 mm', teeth=4).scallop_for_ra('0.5 um', tilt='10 deg'):.4f~P}")
        2.0000 µm
        """
        return _UM * left_surface.height_for_ra(self.profile, np.divide(ra, _UM), lead, tilt, surface_radius)

    def scallop_profile(
        self,
        stepover: Any,
        lead: Any = None,
        tilt: Any = None,
        surface_radius: Any = None,
        points: int = 101,
    ) -> LeftProfile:
        """Return the surface left between two passes as points: distance across [mm] and height [um].

        Parameters
        ----------
        stepover, lead, tilt, surface_radius
            As of `scallop_height`; arrays give a last axis over the points.
        points
            Points on each side of the ridge, 2 or more.

        Raises
        ------
        UnitError, DomainError
            As of `scallop_height`.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> found = BallEndMill(diameter="10 mm", teeth=2).scallop_profile("1 mm", points=3)
        >>> print(found.height.magnitude.round(2))
        [ 0.    6.27 25.06  6.27  0.  ]
        """
        stated = {"lead": lead, "tilt": tilt, "surface_radius": surface_radius}
        given = {name: value for name, value in stated.items() if value is not None}
        asked: Any = self.scallop_height
        asked(stepover, **given)  # raises what is wrong
        step, lead, tilt, radius, _ = asked.numbers(stepover, **given)
        across, height = left_surface.left_profile(self.profile, step, lead, tilt, radius, number_of_points(points))
        known = application_registry()
        return LeftProfile(known.quantity(across, LENGTH), known.quantity(_UM * height, SCALLOP_HEIGHT))


def _height(cutter: SurfaceAnswers, *case: Any) -> Any:
    return _closed_first(closed_forms.closed_height, scallop.scallop_height, cutter, case[:4], case[4])


def _stepover(cutter: SurfaceAnswers, *case: Any) -> Any:
    return _closed_first(closed_forms.closed_stepover, scallop.scallop_stepover, cutter, case[:4], case[4])


def _closed_first(closed: Any, engine: Any, cutter: SurfaceAnswers, case: tuple[Any, ...], axis_fixed: Any) -> Any:
    """Answer in closed form where one is exact, by the engine elsewhere."""
    fixed = np.any(axis_fixed) and not np.all(np.isinf(case[3]))
    found = None if fixed else closed(cutter.profile, *case)
    if found is not None and not np.any(np.isnan(found)):
        return found
    turned = engine(cutter.profile, *case, cutter.working_length) if not np.all(axis_fixed) or not fixed else None
    if fixed:
        sought = engine(cutter.profile, *case, cutter.working_length, True)
        return sought if turned is None else np.where(axis_fixed, sought, turned)
    return turned if found is None else np.where(np.isnan(found), turned, found)
