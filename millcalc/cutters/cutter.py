"""What every cutter is: a profile stated by its family, teeth and a body; and the questions it answers."""

import functools
import math
from collections.abc import Sequence

from millcalc.cutters.profile import Piece, Profile
from millcalc.cutters.shape import Shape
from millcalc.errors import DataError, Fault, JobError
from millcalc.quantities.kinds import POSITIVE, Angle, Count, Deflection, Interval, Length, SpindleSpeed
from millcalc.quantities.record import Record, entry, number, record

__all__ = ["SUBSTRATES", "Cutter"]

SUBSTRATES = ("coated carbide", "carbide", "HSS", "cermet", "ceramic", "PCBN", "PCD")


@record
class Cutter(Record, Shape):
    """What all families have in common; a family adds its own parameters and states its profile.

    A family derives from it, names itself in `family`, and returns the pieces of its half-profile from `pieces`;
    what cannot be made it says in `shape_faults`.

    Parameters
    ----------
    teeth [1]
        Number of cutting edges that reach the contact, 1 or more.
    flute_length, overhang [mm]
        Length of the cutting edges from the tip, and length out of the holder.
    shank_diameter [mm]
        Diameter of the shank.
    helix [deg]
        Helix angle of the flutes.
    substrate
        Tool material: "coated carbide", "carbide", "HSS", "cermet", "ceramic", "PCBN" or "PCD".
    rated_spindle_speed [rev/min]
        Largest spindle speed the cutter's maker allows.
    edge_radius [um]
        Rounding of the cutting edge.
    eccentricity [um]
        Distance of the cutter's axis from the axis of rotation, half the runout read on a dial.

    Raises
    ------
    JobError
        Values that cannot be used, or that make no cutter; all are listed.
    """

    family = ""
    """The word by which a job file names the family."""
    endless = True
    """Whether a cylinder of the last radius follows the profile."""

    teeth: Count = entry(domain=Interval(1.0, 100.0), meaning="number of cutting edges")
    flute_length: Length = entry(default=None, domain=POSITIVE, meaning="length of the cutting edges from the tip")
    overhang: Length = entry(default=None, domain=POSITIVE, meaning="length out of the holder")
    shank_diameter: Length = entry(default=None, domain=POSITIVE, meaning="diameter of the shank")
    helix: Angle = entry(default=None, domain=Interval(-75.0, 75.0), meaning="helix angle of the flutes")
    substrate: str = entry(default="coated carbide", choices=SUBSTRATES, meaning="tool material")
    rated_spindle_speed: SpindleSpeed = entry(default=None, domain=POSITIVE, meaning="largest speed its maker allows")
    edge_radius: Deflection = entry(default=None, domain=POSITIVE, meaning="rounding of the cutting edge")
    eccentricity: Deflection = entry(default=None, meaning="half the runout")

    def pieces(self) -> Sequence[Piece]:
        """Return the straight pieces and arcs of the half-profile, from the tip upward, in mm."""
        raise TypeError(f"{type(self).__name__} states no pieces: a family returns those of its half-profile")

    def shape_faults(self) -> list[Fault]:
        """Return what makes no cutter of this family, found before the profile is built."""
        return []

    @functools.cached_property
    def profile(self) -> Profile:
        """The half-profile."""
        return Profile(self.pieces(), self.endless)

    @property
    def working_length(self) -> float:
        """Length from the tip that may reach the surface [mm]: the overhang; infinite where nobody states it."""
        stated = number(self, "overhang")
        return math.inf if stated is None else float(stated)

    def _check(self) -> None:
        faults = self.shape_faults() + self._body_faults()
        if not faults:
            try:
                faults = self._profile_faults(self.profile)
            except DataError as error:
                faults = list(error.faults)
        if faults:
            raise JobError(f"{type(self).__name__} cannot be made", faults)

    def _body_faults(self) -> list[Fault]:
        flutes, overhang = number(self, "flute_length"), number(self, "overhang")
        if flutes is not None and overhang is not None and flutes > overhang:
            reason = f"the cutting edges are longer than the overhang, {overhang:g} mm"
            return [Fault("flute_length", f"{flutes:g} mm", reason)]
        return []

    def _profile_faults(self, profile: Profile) -> list[Fault]:
        flutes, largest = number(self, "flute_length"), number(self, "diameter")
        faults = []
        if flutes is not None and flutes < float(profile.top) * (1.0 - 1e-9):
            reason = f"the profile of the cutting part reaches up to {float(profile.top):.6g} mm"
            faults.append(Fault("flute_length", f"{flutes:g} mm", reason, "that or more"))
        if not math.isclose(2.0 * float(profile.largest_radius), largest, rel_tol=1e-6):
            reason = f"the profile is {2.0 * float(profile.largest_radius):.6g} mm wide at its largest"
            faults.append(Fault("diameter", f"{largest:g} mm", reason))
        return faults
