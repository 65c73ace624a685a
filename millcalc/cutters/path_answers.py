"""What every cutter tells of the way along the feed: marks that teeth leave, and the paths of programmed points."""

from math import inf
from typing import Any

import numpy as np

from millcalc.cutters._engine import cap, marks, scallop
from millcalc.cutters.answers import Profiled, answer
from millcalc.cutters.shape_answers import LEAN, no_contact
from millcalc.quantities.kinds import (
    ONE_OR_MORE,
    POSITIVE_OR_INFINITE,
    Angle,
    Count,
    Deflection,
    FeedPerTooth,
    Length,
    Radius,
    ScallopHeight,
)

__all__ = ["PathAnswers"]

_PLACE = {"lead": LEAN, "tilt": LEAN}
_UM = 1000.0


def _no_mark(cutter: Any, value: float, lead: float, tilt: float, *_: Any) -> str:
    return no_contact(cutter, lead, tilt) or "marks so far apart, or so high, do not meet"


def _no_path(cutter: Any, surface_radius: float, lead: float, tilt: float) -> str:
    ill = no_contact(cutter, lead, tilt)
    return ill or "the tool does not fit into the concave radius along the feed"


class PathAnswers(Profiled):
    """Questions about the way along the feed."""

    @answer(
        symbol="h_z",
        method="height at which two copies of the tool, a feed apart, meet in the section along the feed",
        domain=_PLACE,
        reasons=_no_mark,
    )
    def mark_height(
        self, feed_per_tooth: FeedPerTooth, lead: Angle = 0.0, tilt: Angle = 0.0, surface_radius: Radius = inf
    ) -> ScallopHeight:
        """Return the height [um] of marks a feed apart, in the section along the feed.

        Parameters
        ----------
        feed_per_tooth [mm]
            Distance of the marks, 0 or more.
        lead, tilt [deg]
            Lean toward the feed, turned first, and across it; between -90 and 90.
        surface_radius [mm]
            Radius of the surface along the feed: convex positive, concave negative, flat infinite.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; marks so far apart do not meet.

        Notes
        -----
        Valid for a cutter without runout. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import FlatEndMill
        >>> print(f"{FlatEndMill(diameter='10 mm', teeth=4).mark_height('0.1 mm', '5 deg'):.4f~P}")
        8.6824 µm
        """
        return _UM * marks.mark_height(self.profile, feed_per_tooth, lead, tilt, surface_radius)

    @answer(
        symbol="h_f",
        method="height of marks a tooth apart, or a revolution apart where one proud tooth cuts the others' away: "
        "where, a tooth's feed from the contact, the section is not higher than the proud tooth stands out",
        domain=_PLACE | {"teeth": ONE_OR_MORE},
        reasons=_no_mark,
    )
    def runout_mark_height(
        self,
        feed_per_tooth: FeedPerTooth,
        lead: Angle = 0.0,
        tilt: Angle = 0.0,
        surface_radius: Radius = inf,
        teeth: Count = 1.0,
        eccentricity: Deflection = 0.0,
    ) -> ScallopHeight:
        """Return the height [um] of the feed marks to expect with runout.

        Parameters
        ----------
        feed_per_tooth, lead, tilt, surface_radius
            As of `mark_height`.
        teeth [1]
            Number of teeth, 1 or more.
        eccentricity [um]
            Half the runout, 0 or more.

        Raises
        ------
        UnitError, DomainError
            As of `mark_height`.

        Notes
        -----
        Valid for teeth evenly spaced, one of them proud by twice the eccentricity. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> cutter = BallEndMill(diameter="6 mm", teeth=2)
        >>> print(f"{cutter.runout_mark_height('0.1 mm', '15 deg', teeth=2, eccentricity='5 um'):.3f~P}")
        1.667 µm
        """
        together = feed_per_tooth >= _alone(self, lead, tilt, eccentricity)
        apart = np.where(together, feed_per_tooth, teeth * feed_per_tooth)
        return _UM * marks.mark_height(self.profile, apart, lead, tilt, surface_radius)

    @answer(
        symbol="f_r",
        method="chord of the tool, in the section along the feed, at the height of the marks; over the teeth where "
        "one proud tooth cuts the others' marks away",
        domain=_PLACE | {"teeth": ONE_OR_MORE, "feed_per_tooth": POSITIVE_OR_INFINITE},
        reasons=_no_mark,
    )
    def feed_per_tooth_for_marks(
        self,
        feed_mark_height: ScallopHeight,
        lead: Angle = 0.0,
        tilt: Angle = 0.0,
        surface_radius: Radius = inf,
        teeth: Count = 1.0,
        eccentricity: Deflection = 0.0,
        feed_per_tooth: FeedPerTooth = inf,
    ) -> FeedPerTooth:
        """Return the feed per tooth [mm] at which feed marks stay within a height, with runout.

        Parameters
        ----------
        feed_mark_height [um]
            Height allowed, 0 or more.
        lead, tilt, surface_radius, teeth, eccentricity
            As of `runout_mark_height`.
        feed_per_tooth [mm]
            Feed per tooth that other limits leave: where one tooth marks alone at it, the marks of a revolution must
            stay within the height.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; no marks are so high.

        Notes
        -----
        Valid for teeth evenly spaced, one of them proud by twice the eccentricity. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> print(f"{BallEndMill(diameter='6 mm', teeth=2).feed_per_tooth_for_marks('0.5 um'):.4f~P}")
        0.1095 mm
        """
        apart = marks.mark_feed(self.profile, np.divide(feed_mark_height, _UM), lead, tilt, surface_radius)
        together = np.minimum(apart, feed_per_tooth) >= _alone(self, lead, tilt, eccentricity)
        return np.where(together, apart, apart / teeth)[()]

    @answer(
        symbol="r_t",
        method="distance of the tip from the surface's centre along the feed",
        domain=_PLACE,
        reasons=_no_path,
    )
    def tip_path_radius(self, surface_radius: Radius, lead: Angle = 0.0, tilt: Angle = 0.0) -> Length:
        """Return the radius [mm] of the path of the tip along a curved surface; infinite on a plane.

        Parameters
        ----------
        surface_radius [mm]
            Radius of the surface along the feed: convex positive, concave negative, flat infinite.
        lead, tilt [deg]
            Lean toward the feed, turned first, and across it; between -90 and 90; both turn with the normal.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; the tool does not fit along the feed.

        Notes
        -----
        Valid for an axis that turns with the surface normal. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import FlatEndMill
        >>> print(f"{FlatEndMill(diameter='10 mm', teeth=4).tip_path_radius('50 mm', '5 deg'):.4f~P}")
        50.6811 mm
        """
        found = cap.contact(self.profile, lead, tilt)
        return _fitting(self, np.hypot(surface_radius + found[5], found[3]), surface_radius, lead, tilt)

    @answer(
        symbol="r_r",
        method="radius of the surface along the feed, moved along the normal by the way to the reference point",
        domain=_PLACE,
        reasons=_no_path,
    )
    def reference_path_radius(self, surface_radius: Radius, lead: Angle = 0.0, tilt: Angle = 0.0) -> Length:
        """Return the radius [mm] of the path of the reference point, the centre of the first rounding.

        Parameters
        ----------
        surface_radius, lead, tilt
            As of `tip_path_radius`.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; the tool does not fit along the feed.

        Notes
        -----
        Valid for an axis that turns with the surface normal; of a ball for any axis. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> print(f"{BallEndMill(diameter='10 mm', teeth=2).reference_path_radius('50 mm', '15 deg'):.1f~P}")
        55.0 mm
        """
        found = cap.contact(self.profile, lead, tilt)
        return _fitting(self, np.hypot(surface_radius + found[8], found[6]), surface_radius, lead, tilt)


def _alone(cutter: PathAnswers, lead: Any, tilt: Any, eccentricity: Any) -> Any:
    """Feed per tooth below which one proud tooth cuts away the marks of the others."""
    stands_out = 0.002 * eccentricity * np.sin(cap.inclination(lead, tilt))
    return marks.feed_at_height(cutter.profile, stands_out, lead, tilt)


def _fitting(cutter: PathAnswers, path_radius: Any, surface_radius: Any, lead: Any, tilt: Any) -> Any:
    """The radius where the tool fits into the surface along the feed, NaN elsewhere."""
    if not np.any(surface_radius < 0.0):
        return path_radius
    aside = cap.turned_aside(lead, tilt)
    depth = scallop.gouge_depth(cutter.profile, *aside, surface_radius, cutter.working_length)
    return np.where(depth > 0.0, np.nan, path_radius)[()]
