"""What follows from a steel's hardness, by rules drawn from handbook rows: specific energy and cutting speed."""

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, Brinell, CuttingSpeed, Interval, Ratio, SpecificEnergy

__all__ = ["energy_at_hardness", "speed_at_hardness"]

_BRINELL = Interval(0.0, 700.0, low_open=True)


@formula(
    symbol="u",
    expression="u_0+u_B*HB",
    sources=("HARDNESS_FITS",),
    domain={"brinell_hardness": _BRINELL, "base_energy": POSITIVE, "energy_rise": POSITIVE},
    validity=("(brinell_hardness >= 80) & (brinell_hardness <= 360)",),
)
def energy_at_hardness(
    brinell_hardness: Brinell, base_energy: SpecificEnergy, energy_rise: SpecificEnergy
) -> SpecificEnergy:
    """Return the specific energy [W s/mm^3] of a steel by its hardness.

    Parameters
    ----------
    brinell_hardness [1]
        Brinell hardness, above 0 to 700.
    base_energy [W s/mm^3]
        Where the line meets no hardness, above 0; of plain carbon steel 1.243.
    energy_rise [W s/mm^3]
        Rise a point of hardness, above 0; of plain carbon steel 0.00512.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid from 80 to 360 HB, for sharp tools, at the cutter. The lines of millcalc.materials.energy_estimate meet the
    handbook's constants to 3 %; steels of another kind lie up to 35 % below. Scalars and arrays.
    Source: HARDNESS_FITS.

    Examples
    --------
    >>> print(f"{energy_at_hardness(190, '1.243 J/mm^3', '0.00512 J/mm^3').to('W*s/mm^3').magnitude:.2f}")
    2.22
    """
    return base_energy + energy_rise * brinell_hardness


@formula(
    symbol="v_B",
    expression="v_c*(HB/HB_w)^q_B",
    sources=("HARDNESS_FITS",),
    domain={
        "cutting_speed": POSITIVE,
        "brinell_hardness": _BRINELL,
        "wanted_hardness": _BRINELL,
        "hardness_exponent": POSITIVE,
    },
    validity=(
        "(brinell_hardness >= 150) & (brinell_hardness <= 425)",
        "(wanted_hardness >= 150) & (wanted_hardness <= 425)",
        "hardness_exponent <= 1.8",
    ),
)
def speed_at_hardness(
    cutting_speed: CuttingSpeed, brinell_hardness: Brinell, wanted_hardness: Brinell, hardness_exponent: Ratio
) -> CuttingSpeed:
    """Return the cutting speed [m/min] of a steel at another hardness.

    Parameters
    ----------
    cutting_speed [m/min]
        Cutting speed at the hardness it is stated for, above 0.
    brinell_hardness [1]
        Brinell hardness it is stated for, above 0 to 700.
    wanted_hardness [1]
        Brinell hardness of the work, above 0 to 700.
    hardness_exponent [1]
        Exponent, above 0: about 1.4 for high-speed steel (1.0 to 1.7), 0.75 for coated carbide (0.7 to 0.85).

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for steel from 150 to 425 HB; the rows reach no further, and hardened steel follows no such law. Scalars and
    arrays. Source: HARDNESS_FITS.

    Examples
    --------
    >>> print(f"{speed_at_hardness('150 m/min', 200, 300, 0.75):.1f~P}")
    110.7 m/min
    """
    return cutting_speed * np.power(np.divide(brinell_hardness, wanted_hardness), hardness_exponent)
