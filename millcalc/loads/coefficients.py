"""Force coefficients: from a material's record, from the law of Kienzle, from orthogonal cutting data."""

from __future__ import annotations

from typing import Any, Self

from millcalc.errors import UnknownNameError
from millcalc.formulas.oblique import oblique_coefficients
from millcalc.materials import Material
from millcalc.quantities.kinds import ChipThickness, EdgeForce, Interval, Ratio, Stress
from millcalc.quantities.record import Record, entry, number, record

__all__ = ["AXIAL_RATIO", "RADIAL_RATIO", "RATIO_SOURCE", "ForceCoefficients"]

RADIAL_RATIO, AXIAL_RATIO = 0.5, 0.25
"""Radial and axial force over the tangential one where a source states the tangential alone."""
RATIO_SOURCE = "PRACTICE_RATIO"

_SECTION = ("tangential_coefficient", "radial_coefficient", "axial_coefficient")
_EDGE = ("tangential_edge_force", "radial_edge_force", "axial_edge_force")


@record
class ForceCoefficients(Record):
    """The force on an edge: by the section of the chip, and by the length of the edge.

    Parameters
    ----------
    tangential_coefficient, radial_coefficient, axial_coefficient [N/mm^2]
        Along the cutting speed, square to the cut surface, and along the edge, 0 or more; at a chip of 1 mm if
        `mc` is not 0.
    tangential_edge_force, radial_edge_force, axial_edge_force [N/mm]
        The same by the length of the edge, 0 or more.
    mc [1]
        Exponent by which the coefficients rise in thin chips, 0 to below 1.
    origin
        Where they come from, in words.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> print(ForceCoefficients.from_material("7075").origin)
    force coefficients of EN AW-7075-T6 (CJME21, read, grade)
    """

    tangential_coefficient: Stress = entry(meaning="along the cutting speed, by the chip's section")
    radial_coefficient: Stress = entry(default=0.0, meaning="square to the cut surface")
    axial_coefficient: Stress = entry(default=0.0, meaning="along the edge")
    tangential_edge_force: EdgeForce = entry(default=0.0, meaning="along the cutting speed, by the edge's length")
    radial_edge_force: EdgeForce = entry(default=0.0, meaning="square to the cut surface")
    axial_edge_force: EdgeForce = entry(default=0.0, meaning="along the edge")
    mc: Ratio = entry(default=0.0, domain=Interval(0.0, 1.0, high_open=True), meaning="exponent of the chip thickness")
    chip_low: ChipThickness = entry(default=0.0, meaning="least chip thickness they were found at")
    origin: str = entry(default="")

    @classmethod
    def from_kienzle(
        cls, kc11: Any, mc: Any, radial_ratio: float = RADIAL_RATIO, axial_ratio: float = AXIAL_RATIO
    ) -> Self:
        """Return the coefficients of the law of Kienzle, with the other two forces as shares of the tangential one.

        Examples
        --------
        >>> print(ForceCoefficients.from_kienzle("1780 N/mm^2", 0.17).radial_coefficient)
        890.0 newton / millimeter ** 2
        """
        whole = cls(tangential_coefficient=kc11, mc=mc, origin="law of Kienzle")
        force = number(whole, "tangential_coefficient")
        return whole._with_kept({"radial_coefficient": radial_ratio * force, "axial_coefficient": axial_ratio * force})

    @classmethod
    def from_orthogonal(
        cls, shear_stress: Any, shear_angle: Any, friction_angle: Any, rake_angle: Any, helix: Any, **edge: Any
    ) -> Self:
        """Return the coefficients of an end mill from orthogonal cutting data; edge forces by their names.

        Examples
        --------
        >>> found = ForceCoefficients.from_orthogonal("613 N/mm^2", "30 deg", "20 deg", "5 deg", "30 deg")
        >>> print(f"{found.tangential_coefficient.magnitude:.1f}")
        1742.4
        """
        section = oblique_coefficients(shear_stress, shear_angle, friction_angle, rake_angle, helix)
        return cls(**dict(zip(_SECTION, section, strict=True)), **edge, origin="orthogonal cutting data")

    @classmethod
    def from_material(cls, named: str | Material) -> Self:
        """Return the coefficients of a material: those of milling, else by Kienzle, else by its specific energy.

        Raises
        ------
        UnknownNameError
            There is no such material, or its record has no data on forces.
        """
        from millcalc.materials import material

        work = named if isinstance(named, Material) else material(named)
        for row in work.force_coefficients:
            values = zip((*_SECTION, *_EDGE), (row.ktc, row.krc, row.kac, row.kte, row.kre, row.kae), strict=True)
            words = f"force coefficients of {work.designation} ({row.source}, {row.how_known}, {row.scope})"
            return cls._from_numbers({"mc": 0.0, "chip_low": 0.0, "origin": words} | dict(values))
        for line in work.kienzle:
            words = f"kc1.1 and mc of {work.designation} ({line.source}, {line.how_known}, {line.scope})"
            words += f"; {line.fallback}" if line.fallback else ""
            return cls._of_force(line.kc11, line.mc, line.chip_low, words)
        for energy in work.specific_energy:
            words = f"specific energy of {work.designation} ({energy.source}, {energy.how_known}, {energy.scope})"
            return cls._of_force(1000.0 * energy.high, 0.0, 0.0, words)
        raise UnknownNameError(f"{work.designation} has no data on forces: neither coefficients, kc1.1 nor an energy")

    @classmethod
    def _of_force(cls, force: float, mc: float, chip_low: float, origin: str) -> Self:
        section = zip(_SECTION, (force, RADIAL_RATIO * force, AXIAL_RATIO * force), strict=True)
        origin += f"; the other forces as shares of it ({RATIO_SOURCE})"
        rest = {"mc": mc, "chip_low": chip_low, "origin": origin} | dict.fromkeys(_EDGE, 0.0)
        return cls._from_numbers(dict(section) | rest)

    @property
    def numbers(self) -> tuple[float, ...]:
        """The six coefficients and the exponent in trade units, as the course of the force takes them."""
        return tuple(number(self, name) for name in (*_SECTION, *_EDGE, "mc"))
