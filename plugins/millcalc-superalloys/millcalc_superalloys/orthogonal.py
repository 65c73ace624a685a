"""Orthogonal cutting data: what turning a tube says of the forces of any end mill.

The data of Ti-6Al-4V are those of E. Budak, Y. Altintas, E. J. A. Armarego, Journal of Manufacturing Science and
Engineering 118 (1996) 216-224, from memory.
"""

import attrs

from millcalc.formulas.oblique import oblique_coefficients, shear_angle
from millcalc.loads.coefficients import ForceCoefficients
from millcalc.materials import ForceRow
from millcalc.sources import add_sources

__all__ = ["TITANIUM", "OrthogonalData"]

_SOURCE = "ORTHOGONAL96"
add_sources(
    {
        _SOURCE: {
            "title": "Prediction of milling force coefficients from orthogonal cutting data, "
            "Journal of Manufacturing Science and Engineering 118, 216-224",
            "author": "E. Budak, Y. Altintas, E. J. A. Armarego",
            "year": "1996",
            "how_known": "from memory",
        }
    },
    __name__,
)


@attrs.frozen
class OrthogonalData:
    """What tests of orthogonal cutting gave; straight lines in the rake angle alpha [deg], chips h in mm.

    The ratio of the chips is (r0 + r1 alpha) h^(a0 + a1 alpha), the friction angle b0 + b1 alpha [deg].

    Attributes
    ----------
    shear_stress
        Stress in the shear plane [N/mm^2].
    friction
        b0 [deg] and b1 [1].
    ratio, exponent
        r0 and r1, a0 and a1.
    edge_forces
        Along the cutting speed and square to the cut surface, by the edge's length [N/mm].
    rake_low, rake_high
        Rake angles [deg] between which the lines are used; those that were tested are not known here, so that these
        are a careful choice and no finding.
    """

    shear_stress: float
    friction: tuple[float, float]
    ratio: tuple[float, float]
    exponent: tuple[float, float]
    edge_forces: tuple[float, float]
    rake_low: float = 0.0
    rake_high: float = 15.0

    def section(self, rake: float, helix: float, chip: float = 0.05) -> tuple[float, float, float]:
        """Return tangential, radial and axial coefficient [N/mm^2].

        Parameters
        ----------
        rake, helix
            Normal rake angle and helix [deg].
        chip
            Chip thickness [mm].

        Raises
        ------
        ValueError
            The rake lies outside its range, or there is no chip.

        Examples
        --------
        >>> print(*(f"{force:.1f}" for force in TITANIUM.section(12.0, 30.0)))
        1510.0 214.6 514.9
        """
        if not self.rake_low <= rake <= self.rake_high or not chip > 0.0:
            raise ValueError(f"a rake of {self.rake_low:g} to {self.rake_high:g} deg and a chip are needed")
        ratio, exponent, friction = (base + slope * rake for base, slope in (self.ratio, self.exponent, self.friction))
        shear = shear_angle.bare(ratio * chip**exponent, rake)
        tangential, radial, axial = oblique_coefficients.bare(self.shear_stress, shear, friction, rake, helix)
        return float(tangential), float(radial), float(axial)

    def coefficients(self, rake: float, helix: float, chip: float = 0.05) -> ForceCoefficients:
        """Return the force coefficients of an end mill, to be asked for forces or put into a job.

        Examples
        --------
        >>> print(TITANIUM.coefficients(0.0, 0.0).radial_edge_force)
        43.0 newton / millimeter
        """
        names = ("tangential_coefficient", "radial_coefficient", "axial_coefficient")
        section = {n: f"{k!r} N/mm^2" for n, k in zip(names, self.section(rake, helix, chip), strict=True)}
        along, square = (f"{force!r} N/mm" for force in self.edge_forces)
        origin = f"orthogonal data ({_SOURCE}), rake {rake:g} deg, helix {helix:g} deg, chip {chip:g} mm"
        return ForceCoefficients(**section, tangential_edge_force=along, radial_edge_force=square, origin=origin)

    def row(self, rake: float, helix: float, chip: float = 0.05) -> ForceRow:
        """Return the coefficients as a row of a material's record."""
        tangential, radial, axial = self.section(rake, helix, chip)
        conditions = (
            f"worked out from orthogonal data for a rake of {rake:g} deg, a helix of {helix:g} deg and a chip of "
            f"{chip:g} mm; sharp edge, the chip flows at the inclination"
        )
        return ForceRow(
            ktc=tangential,
            krc=radial,
            kac=axial,
            kte=self.edge_forces[0],
            kre=self.edge_forces[1],
            kae=0.0,
            source=_SOURCE,
            how_known="derived",
            scope="grade",
            conditions=conditions,
        )


TITANIUM = OrthogonalData(
    shear_stress=613.0,
    friction=(19.1, 0.29),
    ratio=(1.755, -0.028),
    exponent=(0.331, -0.0082),
    edge_forces=(24.0, 43.0),
)
"""Ti-6Al-4V, from memory."""
