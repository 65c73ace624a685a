"""Estimates for what a record lacks, each with its spread and its source; nothing takes them by itself."""

from __future__ import annotations

import math

import attrs

from millcalc.errors import ArgumentError, DomainError, Fault, UnknownNameError
from millcalc.formulas.hardness import energy_at_hardness, speed_at_hardness
from millcalc.formulas.shares import least_chip
from millcalc.materials._words import known
from millcalc.materials.rows import SUBSTRATES, SpeedWindow, Value

__all__ = [
    "ENERGY_BANDS",
    "ENERGY_LINES",
    "SPEED_EXPONENTS",
    "energy_estimate",
    "least_chip_estimate",
    "speed_estimate",
    "substrate_speed_estimate",
]

ENERGY_LINES = {
    "plain carbon": (1.243, 0.00512, 80.0, 360.0, 0.024),
    "4140 and 4340": (0.887, 0.00520, 140.0, 360.0, 0.013),
    "4130 and 8620": (0.768, 0.00493, 140.0, 340.0, 0.019),
}
"""Lines of the specific energy [W s/mm^3] over HB: base, rise, hardness from, to, worst misfit (HARDNESS_FITS)."""

ENERGY_BANDS = {
    "resulfurized 1108 to 1132": (1.12, 1.36, 100.0, 200.0),
    "resulfurized 1137 to 1151": (1.39, 1.69, 180.0, 260.0),
}
"""Ranges of the specific energy [W s/mm^3] that the same table prints: low, high, hardness from, to (MHB31)."""

SPEED_EXPONENTS = {"HSS": (1.0, 1.4, 1.7), "coated carbide": (0.7, 0.75, 0.85)}
"""Least, usual and largest exponent of the cutting speed over the hardness of steel (HARDNESS_FITS)."""

_SPEED_RANGE = (150.0, 425.0)
_MISFITS = {"HSS": 0.22, "coated carbide": 0.12}  # share by which a row lies off its law at worst (HARDNESS_FITS)
# coated carbide over HSS at the same depth, face milling, by hardness from, to: ranges of 57 read pairs (FMDB)
_RATIOS = ((125.0, 225.0, 3.6, 5.8), (225.0, 325.0, 4.6, 6.9), (325.0, 425.0, 6.1, 8.1))
_LEAST_CHIP = (0.14, 0.43)  # of the edge radius, measured (MINCHIP)
_HARDENING = 1.0  # of the edge radius, for metals that harden as they are cut: from memory


def energy_estimate(steel: str, brinell_hardness: float) -> Value:
    """Return the specific energy [W s/mm^3] of a steel by its hardness, for sharp tools, at the cutter.

    Parameters
    ----------
    steel
        "plain carbon", "4140 and 4340", "4130 and 8620", "resulfurized 1108 to 1132" or "resulfurized 1137 to 1151".
    brinell_hardness
        Brinell hardness.

    Raises
    ------
    UnknownNameError
        There is no such rule.
    DomainError
        The hardness lies outside the rows the rule was drawn from.

    Notes
    -----
    Worn tools and the losses of a machine come on top: other handbooks print 1.7 to 2 times as much. Source:
    HARDNESS_FITS, MHB31.

    Examples
    --------
    >>> print(energy_estimate("plain carbon", 190))
    2.16 to 2.27 W s/mm^3 (HARDNESS_FITS, derived, group)
    """
    steel = known(steel, (*ENERGY_LINES, *ENERGY_BANDS), "rule of the specific energy")
    if steel in ENERGY_LINES:
        base, rise, least, most, misfit = ENERGY_LINES[steel]
        hardness = _hardness(brinell_hardness, least, most)
        energy = float(energy_at_hardness.bare(hardness, base, rise))
        low, high, source, how_known = energy * (1.0 - misfit), energy * (1.0 + misfit), "HARDNESS_FITS", "derived"
    else:
        low, high, least, most = ENERGY_BANDS[steel]
        hardness = _hardness(brinell_hardness, least, most)
        source, how_known = "MHB31", "read"
    return Value(
        low=round(low, 2),
        high=round(high, 2),
        unit="W s/mm^3",
        source=source,
        how_known=how_known,
        scope="group",
        conditions=f"{steel} steel of {hardness:g} HB, sharp tools; rows from {least:g} to {most:g} HB",
    )


def speed_estimate(row: SpeedWindow, brinell_hardness: float) -> SpeedWindow:
    """Return a row of cutting speeds [m/min] of steel at another hardness, widened by the spread of the rule.

    Parameters
    ----------
    row
        Speeds that are stated for a range of Brinell hardness, with high-speed steel or coated carbide.
    brinell_hardness
        Brinell hardness of the work, 150 to 425.

    Raises
    ------
    UnknownNameError
        There is no rule for the tool material.
    DomainError
        The row states no Brinell hardness, or one of the two lies outside the rows the rule was drawn from.

    Notes
    -----
    Speed falls with the power of hardness: 1.0 to 1.7 for high-speed steel, 0.7 to 0.85 for coated carbide, so the
    estimate widens with the distance from the row's own hardness; at another hardness it is widened by what two rows
    may lie off the law too, 31 and 17 %. For steel only. Source: HARDNESS_FITS.

    Examples
    --------
    >>> from millcalc.materials import material
    >>> row = speed_estimate(material("42CrMo4").speed_window("coated carbide"), 350)
    >>> round(row.low), round(row.high), row.source
    (83, 232, 'HARDNESS_FITS')
    """
    if row.substrate not in SPEED_EXPONENTS:
        rules = ", ".join(SPEED_EXPONENTS)
        raise UnknownNameError(f"no rule of speed over hardness for {row.substrate}; there are {rules}")
    if row.hardness_unit != "HB" or row.hardness_low is None or row.hardness_high is None:
        fault = Fault("row", str(row), "it states no Brinell hardness", "a row with hardness in HB")
        raise DomainError("the speed cannot be estimated", (fault,))
    stated = _hardness(0.5 * (row.hardness_low + row.hardness_high), *_SPEED_RANGE)
    wanted = _hardness(brinell_hardness, *_SPEED_RANGE)
    least, _, most = SPEED_EXPONENTS[row.substrate]
    # the row stated and the one estimated may both lie off the law
    off = math.sqrt(2.0) * _MISFITS[row.substrate] if wanted != stated else 0.0
    low, high = (
        [float(speed_at_hardness.bare(end, stated, wanted, b)) for b in (least, most)] for end in (row.low, row.high)
    )
    return attrs.evolve(
        row,
        low=round(min(low) * (1.0 - off), 1),
        high=round(max(high) * (1.0 + off), 1),
        hardness_low=wanted,
        hardness_high=wanted,
        source="HARDNESS_FITS",
        how_known="derived",
        scope="class",
        fallback=_also(row.fallback, f"stated for {stated:g} HB ({row.source}), estimated for {wanted:g} HB"),
    )


def substrate_speed_estimate(row: SpeedWindow, brinell_hardness: float) -> SpeedWindow:
    """Return speeds [m/min] of coated carbide in steel from a row of high-speed steel.

    Parameters
    ----------
    row
        Speeds with high-speed steel.
    brinell_hardness
        Brinell hardness of the work, 125 to 425.

    Raises
    ------
    UnknownNameError
        The row is of another tool material: there is no rule.
    DomainError
        The hardness lies outside the rows the rule was drawn from.

    Notes
    -----
    Read pairs of face milling give 3.6 to 8.1 times the speed, more in harder steel; free-machining steel gives 2.9 to
    3.5. Shop sheets of brazed tools say 2 times. Source: FMDB.

    Examples
    --------
    >>> from millcalc.materials import material
    >>> row = substrate_speed_estimate(material("C45").speed_window("HSS"), 200)
    >>> round(row.low), round(row.high), row.substrate
    (93, 150, 'coated carbide')
    """
    if known(row.substrate, SUBSTRATES, "tool material") != "HSS":
        raise UnknownNameError(f"no rule of speed from {row.substrate} to coated carbide; there is one from HSS")
    hardness = _hardness(brinell_hardness, _RATIOS[0][0], _RATIOS[-1][1])
    bands = [(low, high) for start, end, low, high in _RATIOS if start <= hardness <= end]
    least, most = min(low for low, _ in bands), max(high for _, high in bands)
    return attrs.evolve(
        row,
        low=round(row.low * least, 1),
        high=round(row.high * most, 1),
        substrate="coated carbide",
        source="HARDNESS_FITS",
        how_known="derived",
        scope="class",
        fallback=_also(
            row.fallback, f"{least:g} to {most:g} times the speed of HSS ({row.source}), at {hardness:g} HB"
        ),
    )


def least_chip_estimate(edge_radius: float, work_hardening: bool = False) -> Value:
    """Return the least chip thickness [mm] that an edge can cut.

    Parameters
    ----------
    edge_radius
        Rounding of the edge [um].
    work_hardening
        Whether the metal hardens as it is cut, as stainless steel and the alloys of nickel and titanium do.

    Raises
    ------
    ArgumentError
        The edge radius is no positive number.

    Notes
    -----
    0.14 to 0.43 of the edge radius was measured for several metals, 0.60 to 0.68 for one brass; the chips of metals
    that harden should be as thick as the edge is round (from memory). Source: MINCHIP.

    Examples
    --------
    >>> print(least_chip_estimate(8))
    0.00112 to 0.00344 mm (MINCHIP, read, class)
    """
    number = _number(edge_radius)
    if not number > 0.0:
        fault = Fault("edge_radius", repr(edge_radius), "is not a positive number", "a radius in um", "8.0")
        raise ArgumentError("no least chip can be given", (fault,))
    shares = (_HARDENING, _HARDENING) if work_hardening else _LEAST_CHIP
    low, high = (float(least_chip.bare(number, share)) for share in shares)
    said = "work-hardening metals" if work_hardening else "conventional cutting of several metals"
    known_how = "from memory" if work_hardening else "read"
    conditions = f"{said}, edge radius {number:g} um"
    return Value(
        low=low, high=high, unit="mm", source="MINCHIP", how_known=known_how, scope="class", conditions=conditions
    )


def _number(given: object) -> float:
    if isinstance(given, (bool, str)):
        return math.nan
    try:
        number = float(given)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        return math.nan
    return number if math.isfinite(number) else math.nan


def _hardness(given: object, least: float, most: float) -> float:
    number = _number(given)
    if not least <= number <= most:
        reason = "the rows that the rule was drawn from lie elsewhere; nothing is extrapolated"
        fault = Fault(
            "brinell_hardness", repr(given), reason, f"a number from {least:g} to {most:g}", f"{least + 50:g}"
        )
        raise DomainError("the value cannot be estimated", (fault,))
    return number


def _also(before: str, said: str) -> str:
    return f"{before}; {said}" if before else said
