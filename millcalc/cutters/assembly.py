"""A cutter in its holder: whether shank and holder clear a wall and the floor, and what overhang or lean they need."""

from collections.abc import Sequence
from math import inf
from typing import Any

import numpy as np

from millcalc.cutters import cap, clearance
from millcalc.cutters.answers import Profiled, answer
from millcalc.cutters.clearance import Frustum
from millcalc.cutters.cutter import Cutter
from millcalc.cutters.profile import Profile
from millcalc.cutters.shape_answers import LEAN, no_contact
from millcalc.errors import Fault, JobError
from millcalc.quantities.kinds import NOT_NEGATIVE, POSITIVE, POSITIVE_OR_INFINITE, Angle, Interval, Length, Side
from millcalc.quantities.record import Record, entry, number, record

__all__ = ["Assembly", "HolderSection"]

_WALL = {
    "lead": LEAN,
    "tilt": LEAN,
    "draft": LEAN,
    "wall_distance": POSITIVE,
    "wall_height": Interval(0.0, inf),
}


@record
class HolderSection(Record):
    """A cylinder or a cone of a holder.

    Parameters
    ----------
    length [mm]
        Along the axis, above 0.
    lower_diameter, upper_diameter [mm]
        At its end toward the tip and at the other; a cylinder states one.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> print(HolderSection(length="30 mm", lower_diameter="16 mm").lower_diameter)
    16.0 millimeter
    """

    length: Length = entry(domain=POSITIVE, meaning="length along the axis")
    lower_diameter: Length = entry(domain=POSITIVE, meaning="diameter toward the tip")
    upper_diameter: Length = entry(default=None, domain=POSITIVE, meaning="diameter at the other end; none: the same")


def _touches(assembly: Any, *numbers: Any) -> str:
    if not assembly.holder:
        return "no section of a holder is stated, so nothing limits the overhang"
    return "the tool collides at every overhang, or a value is out of range"


def _leans(assembly: Any, wall_distance: float, wall_height: float, lead: float, tilt: float, *_: Any) -> str:
    return no_contact(assembly, lead, tilt) or "the tool collides at this lean"


class Assembly(Profiled):
    """A cutter with its overhang in a holder.

    Parameters
    ----------
    cutter
        A cutter with an overhang; without a shank diameter its own counts.
    holder
        `HolderSection` records from the holder's face upward; none: the shank alone.

    Raises
    ------
    JobError
        The cutter states no overhang.

    Examples
    --------
    >>> from millcalc import BallEndMill
    >>> cutter = BallEndMill(diameter="6 mm", teeth=2, overhang="30 mm")
    >>> tool = Assembly(cutter, [HolderSection(length="40 mm", lower_diameter="20 mm")])
    >>> print(f"{tool.wall_clearance('8 mm', '40 mm'):.2f~P}")
    -2.00 mm
    >>> print(f"{tool.least_overhang('8 mm', '40 mm'):.2f~P}")
    40.00 mm
    """

    def __init__(self, cutter: Cutter, holder: Sequence[HolderSection] = ()) -> None:
        if number(cutter, "overhang") is None:
            fault = Fault("cutter.overhang", "", "it is missing", example='overhang = "30 mm"')
            raise JobError("the tool cannot be put together", (fault,))
        self.cutter = cutter
        self.holder = tuple(holder)
        self._sections = _stacked(self.holder)

    @property
    def profile(self) -> Profile:
        return self.cutter.profile

    def _body(self) -> tuple[Any, Any]:
        """Diameter of the shank, and the height at which it begins."""
        shank, flutes = number(self.cutter, "shank_diameter"), number(self.cutter, "flute_length")
        diameter = number(self.cutter, "diameter") if shank is None else shank
        start = float(self.profile.top) if flutes is None else flutes
        return diameter, min(start, number(self.cutter, "overhang"))

    def bodies(self) -> list[Frustum]:
        """Return shank and holder as cylinders and cones, heights from the tip, in mm."""
        overhang, (diameter, start) = number(self.cutter, "overhang"), self._body()
        if not self._sections:
            return [Frustum(start, overhang, 0.5 * diameter, 0.5 * diameter, "shank")]
        return clearance.assembled(overhang, self._sections, diameter, start)

    def _tip(self, lead: Any, tilt: Any) -> tuple[Any, Any, Any]:
        found = cap.contact(self.profile, lead, tilt)
        return found[3], found[4], found[5]

    @answer(
        symbol="g_w",
        method="least gap between wall and the silhouettes of shank and holder, seen along the feed",
        domain=_WALL,
        reasons=_leans,
    )
    def wall_clearance(
        self,
        wall_distance: Length,
        wall_height: Length,
        lead: Angle = 0.0,
        tilt: Angle = 0.0,
        draft: Angle = 0.0,
        wall_side: Side = "left",
    ) -> Length:
        """Return how far [mm] shank and holder are clear of a wall; below 0 how deep they overlap it.

        Parameters
        ----------
        wall_distance [mm]
            Distance of the wall from the contact, on the floor, above 0.
        wall_height [mm]
            Height of the wall along the surface normal, 0 or more; infinite for a wall without end.
        lead, tilt [deg]
            Lean toward the feed, turned first, and across it; between -90 and 90.
        draft [deg]
            Lean of the wall from the surface normal; positive: away from the tool.
        wall_side [1]
            Side of the feed on which the wall stands, "left" or "right".

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; no point of the tool has this normal.

        Notes
        -----
        Valid for a wall that runs along the feed without end. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import FlatEndMill
        >>> tool = Assembly(FlatEndMill(diameter="10 mm", teeth=4, overhang="40 mm", shank_diameter="12 mm"))
        >>> print(f"{tool.wall_clearance('8 mm', '20 mm'):.2f~P}")
        2.00 mm
        """
        return _by_side(
            lambda side: clearance.wall_clearance(
                self.bodies(), lead, tilt, self._tip(lead, tilt), wall_distance, wall_height, draft, side
            ),
            wall_side,
        )

    @answer(
        symbol="g_f",
        method="least height of shank and holder over the tangent plane of the contact",
        domain={"lead": LEAN, "tilt": LEAN},
        reasons=no_contact,
    )
    def floor_clearance(self, lead: Angle = 0.0, tilt: Angle = 0.0) -> Length:
        """Return how far [mm] shank and holder are clear of the plane that is cut; below 0: they overlap it.

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
        >>> from millcalc import BallEndMill
        >>> cutter = BallEndMill(diameter="6 mm", teeth=2, overhang="30 mm")
        >>> tool = Assembly(cutter, [HolderSection(length="40 mm", lower_diameter="20 mm")])
        >>> print(f"{tool.floor_clearance(tilt='75 deg'):.3f~P}")
        0.102 mm
        """
        return clearance.floor_clearance(self.bodies(), lead, tilt, self._tip(lead, tilt))

    @answer(
        symbol="L_min",
        method="end of the last stretch of overhangs at which a part of the holder collides",
        domain=_WALL | {"longest": POSITIVE, "margin": NOT_NEGATIVE},
        reasons=_touches,
    )
    def least_overhang(
        self,
        wall_distance: Length,
        wall_height: Length,
        lead: Angle = 0.0,
        tilt: Angle = 0.0,
        draft: Angle = 0.0,
        wall_side: Side = "left",
        margin: Length = 0.0,
        longest: Length = 1000.0,
    ) -> Length:
        """Return the least overhang [mm] from which on shank and holder stay clear of wall and floor.

        Parameters
        ----------
        wall_distance, wall_height, lead, tilt, draft, wall_side
            As of `wall_clearance`.
        margin [mm]
            Clearance that the holder keeps, 0 or more.
        longest [mm]
            Largest overhang looked at; the shank is judged at it.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; no overhang clears.

        Notes
        -----
        Valid for a wall that runs along the feed without end. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> cutter = BallEndMill(diameter="6 mm", teeth=2, overhang="30 mm")
        >>> tool = Assembly(cutter, [HolderSection(length="40 mm", lower_diameter="20 mm")])
        >>> print(f"{tool.least_overhang('8 mm', '25 mm', margin='2 mm'):.3f~P}")
        27.000 mm
        """
        if not self._sections:
            shape = np.broadcast_shapes(*map(np.shape, (wall_distance, wall_height, lead, tilt, draft, longest)))
            return np.full(shape, np.nan)[()]
        return _by_side(
            lambda side: clearance.least_overhang(
                self._sections,
                *self._body(),
                longest,
                lead,
                tilt,
                self._tip(lead, tilt),
                wall_distance,
                wall_height,
                draft,
                side,
                margin=margin,
            ),
            wall_side,
        )

    @answer(
        symbol="tau_1, tau_2",
        method="ends of the stretch of tilts about the one given over which shank and holder clear, by halving",
        domain=_WALL | {"wall_distance": POSITIVE_OR_INFINITE, "margin": NOT_NEGATIVE},
        reasons=_leans,
    )
    def clearing_tilts(
        self,
        wall_distance: Length,
        wall_height: Length,
        lead: Angle = 0.0,
        tilt: Angle = 0.0,
        draft: Angle = 0.0,
        wall_side: Side = "left",
        margin: Length = 0.0,
    ) -> tuple[Angle, Angle]:
        """Return the tilts [deg] between which shank and holder, at this overhang, clear wall and floor.

        Parameters
        ----------
        wall_distance, wall_height, draft, wall_side, margin
            As of `least_overhang`; an infinite distance leaves the floor alone.
        lead, tilt [deg]
            Lean toward the feed, and a tilt that clears, from which the stretch is followed.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; the tool collides at this lean.

        Notes
        -----
        Valid between -89.9 and 89.9 deg; ends to 1e-6 deg. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> cutter = BallEndMill(diameter="6 mm", teeth=2, overhang="30 mm")
        >>> tool = Assembly(cutter, [HolderSection(length="40 mm", lower_diameter="20 mm")])
        >>> print(*(f"{a:.2f~P}" for a in tool.clearing_tilts("8 mm", "25 mm")))
        -75.66 deg 12.62 deg
        """
        found = _by_side(
            lambda side: np.stack(
                clearance.clearing_tilt_range(
                    self.bodies(),
                    self._tip,
                    lead,
                    tilt,
                    -89.9,
                    89.9,
                    wall_distance,
                    wall_height,
                    draft,
                    side,
                    margin=margin,
                )
            ),
            wall_side,
        )
        return found[0], found[1]

    def clearing_leans(
        self,
        leads: Any,
        tilts: Any,
        wall_distance: Any,
        wall_height: Any,
        draft: Any = None,
        wall_side: Any = None,
        margin: Any = None,
    ) -> Any:
        """Return for each lead and each tilt whether shank and holder, at this overhang, clear wall and floor.

        Parameters
        ----------
        leads, tilts [deg]
            Arrays of leans to look at: the rows and the columns of the answer.
        wall_distance, wall_height, draft, wall_side, margin
            As of `least_overhang`.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> cutter = BallEndMill(diameter="6 mm", teeth=2, overhang="30 mm")
        >>> tool = Assembly(cutter, [HolderSection(length="40 mm", lower_diameter="20 mm")])
        >>> tool.clearing_leans(["0 deg", "20 deg"], ["0 deg", "10 deg", "20 deg"], "8 mm", "25 mm")
        array([[ True,  True, False],
               [ True, False, False]])
        """
        stated = {"draft": draft, "wall_side": wall_side, "margin": margin}
        given = {name: value for name, value in stated.items() if value is not None}
        asked: Any = self.least_overhang
        numbers = asked.numbers(wall_distance, wall_height, leads, tilts, **given)
        distance, height, lead, tilt, slope, side, kept, _ = numbers
        case = (self.bodies(), self._tip, lead, tilt, distance, height, slope)
        return _by_side(lambda s: clearance.clearing_leans(*case, s, margin=kept), side)


def _by_side(function: Any, side: Any) -> Any:
    """Call a function for the side, or for both where an array of sides is given."""
    sides = np.asarray(side)
    if not sides.ndim:
        return function(str(side))
    return np.where(sides == "left", function("left"), function("right"))


def _stacked(holder: Sequence[HolderSection]) -> list[Frustum]:
    """Put the sections of a holder on one another, heights from its face."""
    made, height = [], 0.0
    for place, section in enumerate(holder):
        if not isinstance(section, HolderSection):
            fault = Fault(f"holder[{place}]", repr(section)[:60], "it is no HolderSection")
            raise JobError("the tool cannot be put together", (fault,))
        lower, upper = number(section, "lower_diameter"), number(section, "upper_diameter")
        top = height + number(section, "length")
        wide = lower if upper is None else upper
        made.append(Frustum(height, top, 0.5 * lower, 0.5 * wide, f"holder section {place + 1}"))
        height = top
    return made
