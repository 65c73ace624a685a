"""What every cutter tells of the cut: cutting diameters, chip, engaged edge, feed marks, and its paths."""

from math import inf
from typing import Any, NamedTuple

import numpy as np

from millcalc.cutters._engine import cap, edge, region, scallop
from millcalc.cutters.answers import Profiled, answer, number_of_points
from millcalc.cutters.shape_answers import LEAN, no_contact
from millcalc.quantities.kinds import (
    ANGLE,
    LENGTH,
    POSITIVE,
    POSITIVE_OR_INFINITE,
    Angle,
    ChipThickness,
    FeedPerTooth,
    Length,
    Radius,
    Side,
)
from millcalc.quantities.registries import application_registry

__all__ = ["CutAnswers", "EngagedEdge"]

_PLACE = {"lead": LEAN, "tilt": LEAN}
_CUT = _PLACE | {"stepover": POSITIVE_OR_INFINITE, "normal_depth": POSITIVE}


class EngagedEdge(NamedTuple):
    """The cutting part of the profile as rings from the lowest to the highest in the cut.

    Angles about the axis are counted from the direction square to it nearest the feed, positive to the left; a ring
    that does not cut has none; a stretch that passes behind the tool runs beyond 180; a second is rare.
    """

    height: Any
    radius: Any
    edge_angle: Any
    from_angle: Any
    to_angle: Any
    second_from: Any
    second_to: Any


def _no_cut(cutter: Any, first: float, *rest: Any) -> str:
    lead, tilt = (rest[1], rest[2]) if len(rest) > 3 else (rest[0], rest[1])
    return no_contact(cutter, lead, tilt) or "the stock reaches above the cutting part"


def _mirrored(uncut_side: Any) -> Any:
    return np.where(np.asarray(uncut_side) == "right", 1.0, 0.0)


class CutAnswers(Profiled):
    """Questions about the part of the tool that cuts."""

    @answer(
        symbol="D_l, D_c, D_e",
        method="twice the extreme radii over the leading part of the tool below the stock plane and outside the pass "
        "before: on the silhouette, in the stock plane, and along the pass before",
        domain=_CUT,
        reasons=_no_cut,
    )
    def cutting_diameters(
        self,
        normal_depth: Length,
        lead: Angle = 0.0,
        tilt: Angle = 0.0,
        stepover: Length = inf,
        uncut_side: Side = "left",
    ) -> tuple[Length, Length, Length]:
        """Return the least diameter [mm], that at the contact and the largest over the part that cuts.

        Parameters
        ----------
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
        Valid on a plane, for a feed per tooth small against the tool. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import CornerRadiusEndMill
        >>> cutter = CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=4)
        >>> print(*(f"{d:.4f~P}" for d in cutter.cutting_diameters("0.1 mm", "10 deg", stepover="0.3 mm")))
        8.3473 mm 8.3473 mm 8.8297 mm
        """
        mirrored = _mirrored(uncut_side)
        low, high = region.cutting_radii(self.profile, normal_depth, lead, tilt, stepover, mirrored)
        return 2.0 * low, 2.0 * cap.contact(self.profile, lead, tilt)[1] + 0.0 * low, 2.0 * high

    @answer(
        symbol="beta_c",
        method="the inclination at which the tip stands as high above the contact as the stock",
        reasons=lambda cutter, depth: "no inclination up to 90 deg lifts the tip out of so much stock",
    )
    def clearing_inclination(self, normal_depth: Length) -> Angle:
        """Return the inclination [deg] from which the tip is clear of the stock, whichever way the axis leans.

        Parameters
        ----------
        normal_depth [mm]
            Stock along the surface normal, 0 or more.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; no inclination clears the tip.

        Notes
        -----
        Valid without limit. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import CornerRadiusEndMill
        >>> cutter = CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=4)
        >>> print(f"{cutter.clearing_inclination('0.1 mm'):.3f~P}")
        1.428 deg
        """
        return np.degrees(cap.clearing_inclination(self.profile, normal_depth))

    @answer(
        symbol="a_q",
        method="the height over the contact's tangent plane at which the silhouette leaves the stock, the higher side",
        domain=_PLACE,
        reasons=lambda cutter, depth, lead, tilt, radius: (
            no_contact(cutter, lead, tilt)
            or "the stock reaches above the cutting part, or the tool does not fit into the concave surface"
        ),
    )
    def engaged_depth(
        self, normal_depth: Length, lead: Angle = 0.0, tilt: Angle = 0.0, surface_radius: Radius = inf
    ) -> Length:
        """Return the depth [mm] on a plane that engages as much of the silhouette as stock on a curved surface.

        Parameters
        ----------
        normal_depth [mm]
            Stock along the surface normal, 0 or more.
        lead, tilt [deg]
            Lean toward the feed, turned first, and across it; between -90 and 90.
        surface_radius [mm]
            Radius of the surface across the feed: convex positive, concave negative, flat infinite.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; the tool does not fit.

        Notes
        -----
        Valid where the tool fits; on the safe side: the higher of both sides. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> cutter = BallEndMill(diameter="10 mm", teeth=2)
        >>> print(f"{cutter.engaged_depth('0.2 mm', surface_radius='-20 mm'):.4f~P}")
        0.2653 mm
        """
        return scallop.depth_on_plane(self.profile, normal_depth, lead, tilt, surface_radius)

    @answer(
        symbol="h_max",
        method="f_z times the largest component of the tool's normal along the feed over the part that cuts",
        domain=_CUT,
        reasons=_no_cut,
    )
    def max_chip_thickness(
        self,
        feed_per_tooth: FeedPerTooth,
        normal_depth: Length,
        lead: Angle = 0.0,
        tilt: Angle = 0.0,
        stepover: Length = inf,
        uncut_side: Side = "left",
    ) -> ChipThickness:
        """Return the largest chip thickness [mm] over the part that cuts.

        Parameters
        ----------
        feed_per_tooth [mm]
            Feed per tooth, 0 or more.
        normal_depth, lead, tilt, stepover, uncut_side
            As of `cutting_diameters`.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; no point of the tool has this normal.

        Notes
        -----
        Valid for a feed per tooth small against the tool. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> cutter = BallEndMill(diameter="10 mm", teeth=2)
        >>> print(f"{cutter.max_chip_thickness('0.1 mm', '0.5 mm', stepover='0.5 mm'):.5f~P}")
        0.02778 mm
        """
        return feed_per_tooth * region.chip_reach(
            self.profile, normal_depth, lead, tilt, stepover, _mirrored(uncut_side)
        )

    @answer(
        symbol="h_mean",
        method="f_z times the area of the part that cuts as seen along the feed, over that of its surface",
        domain=_CUT,
        reasons=_no_cut,
    )
    def mean_chip_thickness(
        self,
        feed_per_tooth: FeedPerTooth,
        normal_depth: Length,
        lead: Angle = 0.0,
        tilt: Angle = 0.0,
        stepover: Length = inf,
        uncut_side: Side = "left",
    ) -> ChipThickness:
        """Return the mean chip thickness [mm] over the area of the part that cuts.

        Parameters
        ----------
        feed_per_tooth [mm]
            Feed per tooth, 0 or more.
        normal_depth, lead, tilt, stepover, uncut_side
            As of `cutting_diameters`.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; no point of the tool has this normal.

        Notes
        -----
        Valid for a feed per tooth small against the tool; good to about 1e-3, on smooth parts 1e-6. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> cutter = BallEndMill(diameter="10 mm", teeth=2)
        >>> print(f"{cutter.mean_chip_thickness('0.1 mm', '0.5 mm', stepover='0.5 mm'):.5f~P}")
        0.01055 mm
        """
        share = region.mean_reach(self.profile, normal_depth, lead, tilt, stepover, _mirrored(uncut_side))
        return feed_per_tooth * share

    @answer(
        symbol="f_z",
        method="chip thickness over the largest component of the tool's normal along the feed over the part that cuts",
        domain=_CUT,
        reasons=_no_cut,
    )
    def feed_per_tooth_for_chip(
        self,
        chip_thickness: ChipThickness,
        normal_depth: Length,
        lead: Angle = 0.0,
        tilt: Angle = 0.0,
        stepover: Length = inf,
        uncut_side: Side = "left",
    ) -> FeedPerTooth:
        """Return the feed per tooth [mm] whose largest chip has a thickness.

        Parameters
        ----------
        chip_thickness [mm]
            Largest chip thickness, 0 or more.
        normal_depth, lead, tilt, stepover, uncut_side
            As of `cutting_diameters`.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; no point of the tool has this normal.

        Notes
        -----
        Valid for a feed per tooth small against the tool. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> cutter = BallEndMill(diameter="10 mm", teeth=2)
        >>> print(f"{cutter.feed_per_tooth_for_chip('0.02778 mm', '0.5 mm', stepover='0.5 mm'):.4f~P}")
        0.1000 mm
        """
        reach = region.chip_reach(self.profile, normal_depth, lead, tilt, stepover, _mirrored(uncut_side))
        return np.divide(chip_thickness, reach)

    @answer(
        symbol="z_e",
        method="where a ring of the profile last touches the stock plane",
        domain=_PLACE,
        reasons=_no_cut,
    )
    def highest_edge(self, normal_depth: Length, lead: Angle = 0.0, tilt: Angle = 0.0) -> Length:
        """Return how high [mm] from the tip, along the axis, the edge is in the stock.

        Parameters
        ----------
        normal_depth [mm]
            Stock along the surface normal, 0 or more.
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
        >>> from millcalc import FlatEndMill
        >>> print(f"{FlatEndMill(diameter='10 mm', teeth=4).highest_edge('0.5 mm'):.2f~P}")
        0.50 mm
        """
        return cap.highest_edge(self.profile, normal_depth, lead, tilt)

    def engaged_edge(
        self,
        normal_depth: Any,
        stepover: Any = None,
        lead: Any = None,
        tilt: Any = None,
        uncut_side: Any = None,
        points: int = 50,
    ) -> EngagedEdge:
        """Return the cutting part of the profile as rings: place, edge angle kappa, and where an edge cuts there.

        Parameters
        ----------
        normal_depth, stepover, lead, tilt, uncut_side
            As of `cutting_diameters`; arrays give a last axis over the rings.
        points
            Number of rings, 2 or more, evenly along the profile.

        Raises
        ------
        UnitError, DomainError
            As of `cutting_diameters`.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> found = BallEndMill(diameter="10 mm", teeth=2).engaged_edge("0.5 mm", points=3)
        >>> print(found.edge_angle.magnitude.round(2))
        [ 0.   12.92 25.84]
        """
        stated = {"lead": lead, "tilt": tilt, "stepover": stepover, "uncut_side": uncut_side}
        given = {name: value for name, value in stated.items() if value is not None}
        asked: Any = self.cutting_diameters
        asked(normal_depth, **given)  # raises what is wrong
        depth, lead, tilt, step, side = asked.numbers(normal_depth, **given)
        rows = edge.engaged_edge(self.profile, depth, lead, tilt, step, _mirrored(side), number_of_points(points))
        known = application_registry()
        kinds = (LENGTH, LENGTH, *(ANGLE,) * 5)
        return EngagedEdge(*(known.quantity(row, kind) for row, kind in zip(rows, kinds, strict=True)))
