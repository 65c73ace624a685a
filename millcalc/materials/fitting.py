"""Constants fitted to a shop's own readings: specific cutting force after Kienzle, tool life after Taylor."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from millcalc.errors import ArgumentError, Fault
from millcalc.materials.deriving import OWN_SOURCE
from millcalc.materials.rows import Kienzle, Taylor
from millcalc.materials.straight_line import Line, line_through
from millcalc.quantities.convert import Parameter, RefusedError, read_value
from millcalc.quantities.display import quantity_text
from millcalc.quantities.kinds import (
    CHIP_THICKNESS,
    CUTTING_SPEED,
    POSITIVE,
    STRESS,
    TIME,
    ChipThickness,
    CuttingSpeed,
    Kind,
    Ratio,
    Stress,
)
from millcalc.quantities.record import Record, entry, number, record

__all__ = ["KienzleFit", "TaylorFit", "fit_kienzle", "fit_taylor", "kienzle_of", "readings", "refuse_untold"]

LEAST_POINTS = 3
_HAIR = 1e-6  # an exponent this small is 0, rounded badly
LEAST_CHIPS = 1.5
"""Times by which the thickest chip must exceed the thinnest."""
LEAST_SPEEDS = 1.2
"""Times by which the highest speed must exceed the lowest."""


@record
class KienzleFit(Record):
    """Constants of kc = kc1.1 h^-mc from readings, each with its range (95 in 100) and standard error.

    `residuals` are the readings over the fitted values, less 1; `row` makes the row for a record.
    """

    kc11: Stress = entry(meaning="specific cutting force at a chip of 1 mm")
    kc11_low: Stress = entry(meaning="the same, low end of its range")
    kc11_high: Stress = entry(meaning="the same, high end of its range")
    kc11_error: Stress = entry(meaning="the same, standard error")
    mc: Ratio = entry(meaning="exponent of the chip thickness")
    mc_low: Ratio = entry(meaning="the same, low end of its range")
    mc_high: Ratio = entry(meaning="the same, high end of its range")
    mc_error: Ratio = entry(meaning="the same, standard error")
    chip_low: ChipThickness = entry(meaning="thinnest chip of the readings")
    chip_high: ChipThickness = entry(meaning="thickest chip of the readings")
    residuals: tuple[float, ...] = entry(meaning="reading over fitted value, less 1")

    @property
    def text(self) -> str:
        """The result in words."""
        low, high = (quantity_text(number(self, n), CHIP_THICKNESS, digits=3) for n in ("chip_low", "chip_high"))
        kc, lowest, highest = (quantity_text(number(self, f"kc11{e}"), STRESS, digits=4) for e in _ENDS)
        mc = "mc {:.3f}, from {:.3f} to {:.3f}".format(*(number(self, f"mc{e}") for e in _ENDS))
        return f"kc1.1 {kc}, from {lowest} to {highest}\n{mc}\n{len(self.residuals)} readings, h {low} to {high}"

    def __str__(self) -> str:
        return self.text

    def row(self, conditions: str = "") -> Kienzle:
        """Return the row for a record, ``material.with_(kienzle=fit.row("our mill, coated carbide"))``."""
        said = "; ".join((*([conditions] if conditions else []), "fit: " + ", ".join(self.text.splitlines())))
        kept = {name: number(self, name) for name in ("kc11", "mc", "chip_low", "chip_high")}
        return Kienzle(**kept, source=OWN_SOURCE, how_known="derived", scope="grade", conditions=said)


@record
class TaylorFit(Record):
    """Constants of v T^n = C from tests, each with its range (95 in 100) and standard error.

    `residuals` are the tool lives over the fitted ones, less 1; `row` makes the row for a record.
    """

    taylor_constant: CuttingSpeed = entry(meaning="cutting speed at which an edge lasts 1 min")
    taylor_constant_low: CuttingSpeed = entry(meaning="the same, low end of its range")
    taylor_constant_high: CuttingSpeed = entry(meaning="the same, high end of its range")
    taylor_constant_error: CuttingSpeed = entry(meaning="the same, standard error")
    taylor_exponent: Ratio = entry(meaning="exponent of the tool life")
    taylor_exponent_low: Ratio = entry(meaning="the same, low end of its range")
    taylor_exponent_high: Ratio = entry(meaning="the same, high end of its range")
    taylor_exponent_error: Ratio = entry(meaning="the same, standard error")
    speed_low: CuttingSpeed = entry(meaning="lowest speed of the tests")
    speed_high: CuttingSpeed = entry(meaning="highest speed of the tests")
    residuals: tuple[float, ...] = entry(meaning="tool life over fitted life, less 1")

    @property
    def text(self) -> str:
        """The result in words."""
        low, high = (quantity_text(number(self, n), CUTTING_SPEED, digits=3) for n in ("speed_low", "speed_high"))
        c, lowest, highest = (
            quantity_text(number(self, f"taylor_constant{e}"), CUTTING_SPEED, digits=4) for e in _ENDS
        )
        n = "n {:.3f}, from {:.3f} to {:.3f}".format(*(number(self, f"taylor_exponent{e}") for e in _ENDS))
        return f"C {c}, from {lowest} to {highest}\n{n}\n{len(self.residuals)} tests, {low} to {high}"

    def __str__(self) -> str:
        return self.text

    def row(self, substrate: str, operation: str = "milling", conditions: str = "") -> Taylor:
        """Return the row for a record, ``material.with_(taylor=fit.row("coated carbide"))``."""
        said = "; ".join((*([conditions] if conditions else []), "fit: " + ", ".join(self.text.splitlines())))
        return Taylor(
            n=number(self, "taylor_exponent"),
            c=number(self, "taylor_constant"),
            substrate=substrate,
            operation=operation,
            source=OWN_SOURCE,
            how_known="derived",
            scope="grade",
            conditions=said,
        )


_ENDS = ("", "_low", "_high")


def fit_kienzle(*, chip_thickness: Any, specific_cutting_force: Any) -> KienzleFit:
    """Return kc1.1 and mc from specific cutting forces at several chip thicknesses.

    Parameters
    ----------
    chip_thickness [mm]
        Chip thicknesses, three or more, above 0.
    specific_cutting_force [N/mm^2]
        Force over the section of the chip at each of them, above 0.

    Raises
    ------
    ArgumentError
        Values that cannot be used; fewer than three readings; chips all of about one thickness; or readings that
        scatter so much that the exponent cannot be told from 0.

    Notes
    -----
    The line of least squares of the logarithms: each reading is taken to be as good as any other, as a share of its
    value. The ranges are Student's, and hold for the chips that were cut and the edge they were cut with; kc1.1 at
    1 mm is far outside thin chips, and its range says so. Source: KIENZLE.

    Examples
    --------
    >>> forces = ["2632 N/mm^2", "2339 N/mm^2", "2079 N/mm^2", "1926 N/mm^2"]
    >>> print(fit_kienzle(chip_thickness=["0.1 mm", "0.2 mm", "0.4 mm", "0.63 mm"], specific_cutting_force=forces))
    kc1.1 1780 N/mm^2, from 1777 N/mm^2 to 1783 N/mm^2
    mc 0.170, from 0.169 to 0.171
    4 readings, h 0.1 mm to 0.63 mm
    """
    chip, force = readings(
        "kc1.1 and mc",
        chip_thickness=(chip_thickness, CHIP_THICKNESS),
        specific_cutting_force=(specific_cutting_force, STRESS),
    )
    refuse_untold("kc1.1 and mc", "chip_thickness", chip, LEAST_CHIPS, "mm")
    return kienzle_of(line_through(np.log(chip), np.log(force)), chip, force)


def kienzle_of(line: Line, chip: Any, force: Any, *, place: float = 0.0, shift: float = 0.0) -> KienzleFit:
    """Return the constants that a line of logarithms stands for: ln kc1.1 is its start less `shift`.

    Where the shift follows from the slope too, kc1.1 is off as the line is at `place`, how the shift changes with it.
    For readings of kc itself both are 0.
    """
    low, high = (-slope for slope in reversed(line.slope_range()))
    if low <= _HAIR:
        shown = [f"{round(value, 3) + 0.0:.3f}" for value in (-line.slope, low, high)]
        reason = "mc {} is between {} and {}: it cannot be told from 0".format(*shown)
        raise _untold("kc1.1 and mc", Fault("mc", "", reason, "more readings, or chips that differ more"))
    if -line.slope >= 1.0:
        reason = "the force falls as fast as the chip grows thicker: no law of Kienzle, mc is below 1"
        raise _untold(
            "kc1.1 and mc", Fault("mc", f"{-line.slope:.3f}", reason, "forces less those of the idle spindle")
        )
    height, off = line.start - shift, line.t * line.error_at(place)
    kc11 = math.exp(height)
    fitted = np.exp(line.start + line.slope * np.log(chip))
    return KienzleFit._from_numbers(
        {
            "kc11": kc11,
            "kc11_low": math.exp(height - off),
            "kc11_high": math.exp(height + off),
            "kc11_error": kc11 * line.error_at(place),
            "mc": -line.slope,
            "mc_low": low,
            "mc_high": high,
            "mc_error": line.slope_error,
            "chip_low": float(np.min(chip)) * math.exp(-place),
            "chip_high": float(np.max(chip)) * math.exp(-place),
            "residuals": tuple(map(float, force / fitted - 1.0)),
        }
    )


def fit_taylor(*, cutting_speed: Any, tool_life: Any) -> TaylorFit:
    """Return n and C of Taylor's law from tool lives at several cutting speeds.

    Parameters
    ----------
    cutting_speed [m/min]
        Cutting speeds of the tests, three or more, above 0.
    tool_life [min]
        Time in the cut until the edge was worn to its limit, above 0.

    Raises
    ------
    ArgumentError
        Values that cannot be used; fewer than three tests; speeds that hardly differ; or lives that scatter so much
        that the exponent cannot be told.

    Notes
    -----
    The line of least squares of ln T on ln v, as the lives scatter and the speeds are set. The range of n is that of
    the slope, the range of C that of the speed at which the line reaches 1 min (Fieller). Valid at the feed, depth,
    width and limit of wear of the tests, between their speeds. Source: TAYLOR.

    Examples
    --------
    >>> speeds, lives = ["100 m/min", "150 m/min", "200 m/min"], ["81 min", "16 min", "5 min"]
    >>> print(fit_taylor(cutting_speed=speeds, tool_life=lives))
    C 298.8 m/min, from 290.3 m/min to 308.1 m/min
    n 0.249, from 0.240 to 0.259
    3 tests, 100 m/min to 200 m/min
    """
    speed, life = readings("n and C", cutting_speed=(cutting_speed, CUTTING_SPEED), tool_life=(tool_life, TIME))
    refuse_untold("n and C", "cutting_speed", speed, LEAST_SPEEDS, "m/min")
    line = line_through(np.log(speed), np.log(life))
    steep, flat = (-slope for slope in line.slope_range())
    if flat <= _HAIR:
        reason = f"1/n {-line.slope:.3g} is between {flat:.3g} and {steep:.3g}: it cannot be told from 0"
        raise _untold("n and C", Fault("taylor_exponent", "", reason, "more tests, or speeds that differ more"))
    if -line.slope < 1.0:
        reason = "tool life falls by less than the speed rises: no law of Taylor, n is up to 1"
        raise _untold(
            "n and C", Fault("taylor_exponent", f"{-1.0 / line.slope:.3g}", reason, "tests to one limit of wear")
        )
    n, zero = -1.0 / line.slope, -line.start / line.slope
    lowest, highest = line.zero_range()
    c, fitted = math.exp(zero), np.exp(line.start + line.slope * np.log(speed))
    return TaylorFit._from_numbers(
        {
            "taylor_constant": c,
            "taylor_constant_low": math.exp(lowest),
            "taylor_constant_high": math.exp(highest),
            "taylor_constant_error": c * line.error_at(zero) * n,
            "taylor_exponent": n,
            "taylor_exponent_low": 1.0 / steep,
            "taylor_exponent_high": 1.0 / flat,
            "taylor_exponent_error": n**2 * line.slope_error,
            "speed_low": float(np.min(speed)),
            "speed_high": float(np.max(speed)),
            "residuals": tuple(map(float, life / fitted - 1.0)),
        }
    )


def readings(what: str, **given: tuple[Any, Kind]) -> list[Any]:
    """Return lists of readings as arrays in trade units, each as long as the others, all above 0."""
    found, faults = [], []
    for name, (value, kind) in given.items():
        parameter = Parameter(name, kind, POSITIVE)
        try:
            read = np.asarray(read_value(value, parameter), dtype=float)
            if read.ndim != 1:
                raise parameter.refuse(value, "a list of readings is needed")
            found.append(read)
        except RefusedError as refused:
            faults.append(refused.fault)
    if not faults and len({each.size for each in found}) > 1:
        sizes = ", ".join(f"{name} {each.size}" for name, each in zip(given, found, strict=True))
        faults.append(Fault(" and ".join(given), sizes, "each reading needs a value of both", "lists of one length"))
    if faults:
        raise ArgumentError(f"{what} cannot be fitted", faults)
    return found


def refuse_untold(what: str, name: str, values: Any, least: float, unit: str) -> None:
    """Refuse too few readings, and readings that lie too close together."""
    if values.size < LEAST_POINTS:
        reason = "two constants and how far they are off need three or more"
        raise _untold(what, Fault(name, f"{values.size} readings", reason))
    low, high = float(np.min(values)), float(np.max(values))
    if high < least * low:
        reason = "they lie too close together for an exponent"
        accepted = f"the largest at least {least:g} times the least"
        raise _untold(what, Fault(name, f"{low:.4g} to {high:.4g} {unit}", reason, accepted))


def _untold(what: str, fault: Fault) -> ArgumentError:
    return ArgumentError(f"the readings cannot tell {what}", (fault,))
