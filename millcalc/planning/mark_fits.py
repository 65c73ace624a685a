"""How well marks that a plan expects fit what was measured on the part."""

from __future__ import annotations

import math

from millcalc.errors import Fault, JobError
from millcalc.formulas.finish import cut_off_length
from millcalc.planning.expected import EXPECTED, Expected
from millcalc.planning.uncertainty import RA_FACTOR
from millcalc.quantities.display import number_text, quantity_text
from millcalc.quantities.kinds import LENGTH, POSITIVE, ROUGHNESS, Length, Ratio, Roughness
from millcalc.quantities.record import Record, entry, fields_of, number, record

__all__ = ["DIRECTIONS", "RULE", "MarkFit", "Measured", "cut_off", "fit_of", "is_near", "spacing_ratio"]

SPACING_ERROR = 0.1
"""Share by which a spacing read under a magnifier or off a profile may be off: common practice."""
SPACING_FADES = 1.4
"""Times as far beyond that error as makes a spacing fit no more."""
HEIGHT_ERROR = 0.1
"""Share by which a shop's roughness gauge may be off: common practice."""
HEIGHT_FADES = 2.0
"""Times as far beyond the range of measured over ideal roughness as makes a height fit no more."""
COMMON_CUT_OFF = 0.8
"""Cut-off [mm] of a shop's gauge, if the roughness asks for no longer one: common practice."""
DIRECTIONS = ("across", "along")
RULE = (
    "fit = spacing part x (1 + height part)/2; what was not measured counts half. The spacing part is 1 within "
    f"{100 * SPACING_ERROR:.0f} % of the expected spacing (error of reading it) and 0 from {SPACING_FADES:g} times "
    f"beyond; the height part is 1 from {RA_FACTOR.low:g} to {RA_FACTOR.high:g} times the ideal roughness, "
    f"{100 * HEIGHT_ERROR:.0f} % allowed for the gauge, and 0 from {HEIGHT_FADES:g} times beyond; between, evenly by "
    "the logarithm"
)
"""How the fit is found."""


@record
class Measured(Record):
    """What was measured on the cut part, across the passes and along the feed.

    Parameters
    ----------
    spacing_across, spacing_along [mm]
        Distance of the marks, above 0.
    ra_across, ra_along, rz_across, rz_along [um]
        Roughness, above 0; Ra is below Rz.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> print(Measured(spacing_across="0.19 mm").spacing_across)
    0.19 millimeter
    """

    spacing_across: Length = entry(default=None, domain=POSITIVE, meaning="distance of marks across the passes")
    ra_across: Roughness = entry(default=None, domain=POSITIVE, meaning="Ra across the passes")
    spacing_along: Length = entry(default=None, domain=POSITIVE, meaning="distance of marks along the feed")
    ra_along: Roughness = entry(default=None, domain=POSITIVE, meaning="Ra along the feed")
    rz_across: Roughness = entry(default=None, domain=POSITIVE, meaning="Rz across the passes")
    rz_along: Roughness = entry(default=None, domain=POSITIVE, meaning="Rz along the feed")

    def _check(self) -> None:
        faults = []
        if all(number(self, name) is None for name in fields_of(self)):
            names = ", ".join(fields_of(self))
            faults.append(Fault("measured", "nothing", "there is nothing to read", names, 'spacing_across="0.19 mm"'))
        for way in DIRECTIONS:
            ra, rz = number(self, f"ra_{way}"), number(self, f"rz_{way}")
            if ra is not None and rz is not None and ra >= rz:
                given = f"Ra {number_text(ra)} um and Rz {number_text(rz)} um"
                reason = "the mean deviation of a profile is below its height: they may be exchanged"
                faults.append(Fault(f"ra_{way}", given, reason, "Ra below Rz"))
        if faults:
            raise JobError("the surface cannot be read", faults)


@record
class MarkFit(Record):
    """How well one cause fits what was measured; `fit` is None where nothing was measured in its direction.

    The expected spacing is a range where the slope changes it; ratios are to its nearer end.
    """

    cause: str = entry(meaning="scallops, tooth marks, revolution marks or facets")
    direction: str = entry(meaning="across the passes or along the feed")
    least_spacing: Length = entry(meaning="least spacing expected")
    spacing: Length = entry(meaning="spacing expected, largest")
    least_ra: Roughness = entry(meaning="least Ra expected, ideal geometry")
    ra: Roughness = entry(meaning="Ra expected, ideal geometry, largest")
    rz: Roughness = entry(meaning="Rz expected, ideal geometry, largest")
    spacing_ratio: Ratio = entry(meaning="measured over expected spacing")
    ra_ratio: Ratio = entry(meaning="measured over expected Ra")
    rz_ratio: Ratio = entry(meaning="measured over expected Rz")
    fit: Ratio = entry(meaning="how well it fits, 0 to 1")
    remark: str = entry(meaning="what the plan says of it")

    @property
    def text(self) -> str:
        """The row in words."""
        parts = [f"{self.direction}: {EXPECTED[self.cause]}"]
        parts.append(f"expected every {_range_text(number(self, 'least_spacing'), number(self, 'spacing'))}")
        parts.append(f"Ra {quantity_text(number(self, 'ra'), ROUGHNESS, digits=3)}")
        ratios = [(word, number(self, n)) for word, n in zip(("spacing", "Ra", "Rz"), _RATIOS, strict=True)]
        shown = [f"{word} {q:.2f} times" for word, q in ratios if q is not None]
        parts.append(f"measured: {', '.join(shown)}; fit {number(self, 'fit'):.2f}" if shown else "not measured")
        return "; ".join([*parts, *([self.remark] if self.remark else [])])


_RATIOS = ("spacing_ratio", "ra_ratio", "rz_ratio")


def fit_of(marks: Expected, measured: Measured) -> MarkFit:
    """Compare what is expected of one cause with what was measured in its direction."""
    way, remark = marks.direction, marks.remark
    spacing, ra, rz = (number(measured, f"{what}_{way}") for what in ("spacing", "ra", "rz"))
    ratios = {
        "spacing_ratio": _ratio(spacing, marks.least_spacing, marks.spacing),
        "ra_ratio": _ratio(ra, marks.least_ra, marks.ra),
        "rz_ratio": _ratio(rz, marks.least_rz, marks.rz),
    }
    height = ratios["ra_ratio"] if ra is not None else ratios["rz_ratio"]
    if marks.rz > 0.0 and marks.spacing > cut_off(ra, rz):
        height = None
        beyond = "further apart than the gauge's cut-off: it counts them as waviness"
        remark = "; ".join(r for r in (remark, beyond) if r)
    fit = None if spacing is None and ra is None and rz is None else 0.0
    if fit is not None and marks.rz > 0.0:
        near = _part(ratios["spacing_ratio"], 1.0 - SPACING_ERROR, 1.0 + SPACING_ERROR, SPACING_FADES)
        low, high = RA_FACTOR.low * (1.0 - HEIGHT_ERROR), RA_FACTOR.high * (1.0 + HEIGHT_ERROR)
        fit = near * (1.0 + _part(height, low, high, HEIGHT_FADES)) / 2.0
    stated = {n: getattr(marks, n) for n in ("cause", "direction", "least_spacing", "spacing", "least_ra", "ra", "rz")}
    return MarkFit._from_numbers(stated | ratios | {"fit": fit, "remark": remark})


def cut_off(ra: float | None, rz: float | None) -> float:
    """Return the cut-off [mm] with which a roughness was probably measured; infinite where none was."""
    if ra is None:
        if rz is None:
            return math.inf
        ra = rz / 5.0  # of ordinary surfaces, as the two columns of the standard have it
    return max(COMMON_CUT_OFF, float(cut_off_length.bare(min(ra, 80.0))))


def _ratio(measured: float | None, least: float, most: float) -> float | None:
    """Return measured over expected, of a range over its nearer end, 1 inside it."""
    if measured is None or most <= 0.0:
        return None
    return measured / min(max(measured, least), most) if least > 0.0 else measured / most


def _part(ratio: float | None, low: float, high: float, fades: float) -> float:
    """Return 1 between low and high, 0 from so many times beyond, evenly by the logarithm between; unknown: a half."""
    if ratio is None:
        return 0.5
    beyond = max(low / ratio, ratio / high, 1.0)
    return max(0.0, 1.0 - math.log(beyond) / math.log(fades))


def is_near(spacing: float, row: MarkFit) -> bool:
    """Whether a spacing is that of a row, within the error of measuring it."""
    return abs(spacing_ratio(spacing, row) - 1.0) <= SPACING_ERROR


def spacing_ratio(spacing: float, row: MarkFit) -> float:
    """Return a spacing over that of a row."""
    found = _ratio(spacing, number(row, "least_spacing"), number(row, "spacing"))
    assert found is not None
    return found


def _range_text(least: float, most: float) -> str:
    text = quantity_text(most, LENGTH, digits=3)
    return text if least >= most * (1.0 - 1e-3) else f"{quantity_text(least, LENGTH, digits=3)} to {text}"
