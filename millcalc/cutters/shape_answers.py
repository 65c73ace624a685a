"""What every cutter tells of its shape: where it touches, and at which diameters it cuts."""

from math import inf
from typing import Any, NamedTuple

import numpy as np

from millcalc.cutters._engine import cap, region
from millcalc.cutters.answers import Profiled, answer
from millcalc.cutters.profile import Profile
from millcalc.quantities.kinds import POSITIVE_OR_INFINITE, Angle, Flag, Interval, Length, Side

__all__ = ["LEAN", "Contact", "ShapeAnswers", "no_contact"]

LEAN = Interval(-90.0, 90.0, low_open=True, high_open=True)
_PLACE = {"lead": LEAN, "tilt": LEAN}


class Contact(NamedTuple):
    """Where a leaned cutter touches, and the way from there to the points that a program may state."""

    height: Any
    """Height of the contact from the tip, along the axis [mm]."""
    radius: Any
    """Distance of the contact from the axis [mm]."""
    bend: Any
    """Radius of curvature of the profile there [mm]; 0 at a sharp corner."""
    tip_along_feed: Any
    """From the contact to the tip: along the feed [mm]."""
    tip_across: Any
    """From the contact to the tip: across, positive to the left of the feed [mm]."""
    tip_along_normal: Any
    """From the contact to the tip: along the surface normal [mm]."""
    reference_along_feed: Any
    """From the contact to the reference, the centre of the first rounding on the axis: along the feed [mm]."""
    reference_across: Any
    """The same, across [mm]."""
    reference_along_normal: Any
    """The same, along the surface normal [mm]."""


def no_contact(cutter: Any, lead: float, tilt: float) -> str:
    """Say why the tool does not touch; an empty text where it does."""
    if np.isnan(cap.contact(cutter.profile, lead, tilt)[0]):
        return "the cutting part has no point with this normal: the tool cannot touch the surface so leaned"
    return ""


def _no_diameter(cutter: Any, normal_depth: float, lead: float, tilt: float, *_: Any) -> str:
    return no_contact(cutter, lead, tilt) or "the stock reaches above the cutting part"


class ShapeAnswers(Profiled):
    """Questions that are answered from the profile alone."""

    @answer(
        symbol="p_c",
        method="the point of the profile whose outward normal is opposed to the surface's: psi = inclination",
        domain=_PLACE,
        reasons=no_contact,
        shown_as=Contact,
    )
    def contact(
        self, lead: Angle = 0.0, tilt: Angle = 0.0
    ) -> tuple[Length, Length, Length, Length, Length, Length, Length, Length, Length]:
        """Return where the cutter touches the surface, and the way from there to tip and reference, a `Contact`.

        Where a straight piece touches it is the middle of the piece, the tip of a flat bottom, and the lower end of
        the cylinder.

        Parameters
        ----------
        lead [deg]
            Lean toward the feed, turned first; positive: contact ahead of the tip; between -90 and 90.
        tilt [deg]
            Lean across the feed; positive: toward the left; between -90 and 90.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; no point of the tool has this normal.

        Notes
        -----
        Valid without limit. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import FlatEndMill
        >>> found = FlatEndMill(diameter="10 mm", teeth=4).contact("20 deg")
        >>> print(f"{found.radius:.1f~P}, tip {found.tip_along_feed:.4f~P} along the feed")
        5.0 mm, tip -4.6985 mm along the feed
        """
        found: tuple[Any, ...] = cap.contact(self.profile, lead, tilt)
        return found

    @answer(
        symbol="D_c",
        method="twice the radius of the contact",
        domain=_PLACE,
        reasons=no_contact,
    )
    def contact_diameter(self, lead: Angle = 0.0, tilt: Angle = 0.0) -> Length:
        """Return the diameter [mm] about the cutter axis at the contact.

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
        Valid without limit. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> print(f"{BallEndMill(diameter='10 mm', teeth=2).contact_diameter('15 deg'):.4f~P}")
        2.5882 mm
        """
        return 2.0 * cap.contact(self.profile, lead, tilt)[1]

    @answer(
        symbol="D_e",
        method="twice the largest radius over the tool's surface below the stock plane: where rings of the profile "
        "touch the plane; of the part that cuts: on the silhouette, in the stock plane, and along the pass before",
        domain=_PLACE | {"stepover": POSITIVE_OR_INFINITE},
        reasons=_no_diameter,
    )
    def effective_diameter(
        self,
        normal_depth: Length,
        lead: Angle = 0.0,
        tilt: Angle = 0.0,
        cutting_only: Flag = False,
        stepover: Length = inf,
        uncut_side: Side = "left",
    ) -> Length:
        """Return the largest diameter [mm] about the cutter axis over the tool's surface below the stock plane.

        Parameters
        ----------
        normal_depth [mm]
            Stock along the surface normal, 0 or more.
        lead, tilt [deg]
            Lean toward the feed, turned first, and across it; between -90 and 90.
        cutting_only [1]
            Only the part that cuts: leading, and outside what the pass before removed.
        stepover [mm]
            Distance to the pass before, for the part that cuts; infinite for a full-width cut.
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
        >>> print(f"{cutter.effective_diameter('0.1 mm', '10 deg'):.4f~P}")
        9.1711 mm
        """
        return 2.0 * _radius(self.profile, 1, normal_depth, lead, tilt, cutting_only, stepover, uncut_side)

    @answer(
        symbol="D_l",
        method="twice the least radius, found as the largest is",
        domain=_PLACE | {"stepover": POSITIVE_OR_INFINITE},
        reasons=_no_diameter,
    )
    def least_diameter(
        self,
        normal_depth: Length,
        lead: Angle = 0.0,
        tilt: Angle = 0.0,
        cutting_only: Flag = False,
        stepover: Length = inf,
        uncut_side: Side = "left",
    ) -> Length:
        """Return the least diameter [mm] about the cutter axis over the tool's surface below the stock plane.

        Parameters
        ----------
        normal_depth [mm]
            Stock along the surface normal, 0 or more.
        lead, tilt [deg]
            Lean toward the feed, turned first, and across it; between -90 and 90.
        cutting_only, stepover, uncut_side
            As of `effective_diameter`.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; no point of the tool has this normal.

        Notes
        -----
        Valid on a plane; 0 where the tip, which stands still, is in the stock. Source: GEOMETRY.

        Examples
        --------
        >>> from millcalc import CornerRadiusEndMill
        >>> cutter = CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=4)
        >>> print(f"{cutter.least_diameter('0.1 mm', '10 deg'):.4f~P}")
        7.0232 mm
        """
        return 2.0 * _radius(self.profile, 0, normal_depth, lead, tilt, cutting_only, stepover, uncut_side)


def _radius(profile: Profile, which: int, depth: Any, lead: Any, tilt: Any, cutting: Any, step: Any, side: Any) -> Any:
    if not np.any(cutting):
        return cap.cap_radii(profile, depth, lead, tilt)[which]
    mirrored = np.where(np.asarray(side) == "right", 1.0, 0.0)
    found = region.cutting_radii(profile, depth, lead, tilt, step, mirrored)[which]
    return found if np.all(cutting) else np.where(cutting, found, cap.cap_radii(profile, depth, lead, tilt)[which])
