"""`read_surface(plan, ...)`: what made a cut surface, from mark spacings and roughness measured on the part."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from millcalc.cutters import BallEndMill
from millcalc.errors import ArgumentError, Fault, JobError
from millcalc.planning.expected import EXPECTED, expected_marks
from millcalc.planning.finishing import Plan
from millcalc.planning.mark_fits import (
    DIRECTIONS,
    HEIGHT_ERROR,
    RULE,
    SPACING_ERROR,
    MarkFit,
    Measured,
    cut_off,
    fit_of,
    is_near,
    spacing_ratio,
)
from millcalc.planning.uncertainty import RA_FACTOR
from millcalc.quantities.display import quantity_text
from millcalc.quantities.kinds import LENGTH, Ratio
from millcalc.quantities.record import Record, entry, number, record

__all__ = ["MarkFit", "Measured", "SurfaceReading", "read_surface"]

_FITS = 0.5  # the least fit of a cause, and the share of it that a second may reach at most


@record
class SurfaceReading(Record):
    """What made a surface: causes that could have, best fit first, and what follows for the next plan.

    `across` and `along` name the cause that is decided, or are empty; `ra_factor` and `rz_factor` are measured over
    computed roughness of the scallop, None where that cannot be told.
    """

    rows: tuple[MarkFit, ...] = entry(meaning="the causes, best fit first")
    across: str = entry(meaning="what made the surface across the passes")
    along: str = entry(meaning="what made the surface along the feed")
    ra_factor: Ratio = entry(meaning="measured over computed Ra of the scallop")
    rz_factor: Ratio = entry(meaning="measured over computed Rz of the scallop")
    remarks: tuple[str, ...] = entry(meaning="what follows from it")
    undecided: tuple[str, ...] = entry(meaning="what could not be decided")
    measured: Measured = entry(meaning="what was measured")
    plan: Plan = entry(meaning="the plan that was cut")

    @property
    def text(self) -> str:
        """The reading in words."""
        made = [(way, getattr(self, way)) for way in DIRECTIONS]
        lines = [f"made {way} by {EXPECTED[cause]}" for way, cause in made if cause]
        for word in ("Ra", "Rz"):
            factor = number(self, f"{word.lower()}_factor")
            if factor is not None:
                lines.append(f"correction: measured {word} is {factor:.2f} times that computed for the scallop")
        lines += [*self.remarks, *(f"not decided: {reason}" for reason in self.undecided)]
        return "\n".join([*lines, *(f"  {row.text}" for row in self.rows), f"  {RULE}"])

    def __str__(self) -> str:
        return self.text


def read_surface(
    plan: Plan,
    spacing_across: Any = None,
    ra_across: Any = None,
    spacing_along: Any = None,
    ra_along: Any = None,
    rz_across: Any = None,
    rz_along: Any = None,
) -> SurfaceReading:
    """Say what made a surface: scallops, marks of teeth or of runout, chord facets; from what the part measures.

    Parameters
    ----------
    plan
        The plan of the finishing cut, as it was cut.
    spacing_across, spacing_along [mm]
        Distance of the marks across the passes and along the feed, above 0: over several marks, divided by them.
    ra_across, ra_along, rz_across, rz_along [um]
        Roughness measured in these directions, above 0.

    Raises
    ------
    ArgumentError
        No plan of a finishing cut, nothing measured, or values that cannot be used; all are listed.

    Notes
    -----
    A cause is decided if the spacing was measured, its fit is 0.5 or more and no second one reaches more than half of
    it; `RULE` states the fit. Roughness counts by Ra where it was measured, else by Rz. Ideal geometry, marks
    as low circular arcs; chatter, built-up edge and play of the axes are no candidates. What lies further
    apart than the gauge's cut-off, taken as 0.8 mm or the longer one of the measured Ra, it counts as waviness: there
    the height says nothing. Source: GEOMETRY, ISO4288, PRACTICE.

    Examples
    --------
    >>> from millcalc.planning import example_job, plan
    >>> made = read_surface(plan(example_job()), spacing_across="0.19 mm", ra_across="0.5 um", spacing_along="0.133 mm")
    >>> made.across, made.along, round(made.ra_factor, 2)
    ('scallops', 'revolution marks', 1.3)
    """
    if not isinstance(plan, Plan):
        fault = Fault("plan", repr(plan)[:60], "it is no plan of a finishing cut", "a Plan", "plan(job)")
        raise ArgumentError("the surface cannot be read", (fault,))
    given = {
        "spacing_across": spacing_across,
        "ra_across": ra_across,
        "spacing_along": spacing_along,
        "ra_along": ra_along,
        "rz_across": rz_across,
        "rz_along": rz_along,
    }
    try:
        measured = Measured(**{name: value for name, value in given.items() if value is not None})
    except JobError as error:
        raise ArgumentError("the surface cannot be read", error.faults) from None
    rows = [fit_of(marks, measured) for marks in expected_marks(plan)]
    rows.sort(key=lambda row: (number(row, "fit") is None, -(number(row, "fit") or 0.0)))
    remarks, undecided = list[str](), list[str]()
    causes = {way: _decided(way, rows, measured, undecided) for way in DIRECTIONS}
    factors = _factors(plan, rows, measured, remarks, undecided)
    remarks += _of_runout(plan, causes["along"]) + _of_height(rows, causes)
    kept = {"rows": tuple(rows), "measured": measured, "plan": plan}
    return SurfaceReading._from_numbers(
        kept | causes | factors | {"remarks": tuple(remarks), "undecided": tuple(undecided)}
    )


def _decided(way: str, rows: Sequence[MarkFit], measured: Measured, undecided: list[str]) -> str:
    """Return the cause that made the surface in a direction, or say why it is not decided."""
    spacing = number(measured, f"spacing_{way}")
    own = [row for row in rows if row.direction == way and number(row, "fit") is not None]
    if not own:
        undecided.append(f"{way}: nothing was measured there")
    elif spacing is None:
        names = ", ".join(f"{EXPECTED[r.cause]} (fit {number(r, 'fit'):.2f})" for r in own)
        undecided.append(f"{way}: roughness alone names no cause; measure how far the marks lie apart: {names}")
    elif number(own[0], "fit") < _FITS:
        undecided.append(f"{way}: {_nothing_fits(way, spacing, rows)}")
    elif len(own) > 1 and number(own[1], "fit") > _FITS * number(own[0], "fit"):
        both = " and ".join(EXPECTED[r.cause] for r in own[:2])
        reason = f"{both} fit alike; cut again with another spindle speed at the same feed rate: facets stay where"
        undecided.append(f"{way}: {reason} they are, marks of teeth and of the revolution move with it")
    else:
        return own[0].cause
    return ""


def _nothing_fits(way: str, spacing: float, rows: Sequence[MarkFit]) -> str:
    """Say how a spacing lies to the nearest that is expected, and whether directions may be exchanged."""
    own = [row for row in rows if row.direction == way and number(row, "rz") > 0.0]
    others = [row for row in rows if row.direction != way and number(row, "rz") > 0.0]
    text = f"no marks of the plan lie {quantity_text(spacing, LENGTH, digits=3)} apart"
    if own:
        nearest = min(own, key=lambda row: abs(math.log(spacing_ratio(spacing, row))))
        text += f"; {EXPECTED[nearest.cause]} are nearest, at {spacing_ratio(spacing, nearest):.2f} times theirs"
    still = [r for r in rows if r.direction == way and not number(r, "rz") and is_near(spacing, r)]
    if still:
        return f"{EXPECTED[still[0].cause]} would lie so far apart, but ideal geometry leaves none: lean or runout may"
    swapped = [row for row in others if is_near(spacing, row)]
    if swapped:
        return f"{text}; it is that of {EXPECTED[swapped[0].cause]}: were across and along exchanged?"
    return f"{text}: look for a feed override, chatter, or play of the axes"


def _factors(
    plan: Plan, rows: Sequence[MarkFit], measured: Measured, remarks: list[str], undecided: list[str]
) -> dict[str, float | None]:
    """Return measured over computed roughness of the scallop, where the surface across may be that of scallops."""
    scallop = next(row for row in rows if row.cause == "scallops")
    spacing = number(measured, "spacing_across")
    reason = _why_no_factor(plan, scallop, measured)
    if reason:
        undecided.append(f"the correction of the scallop: {reason}")
        return {"ra_factor": None, "rz_factor": None}
    if spacing is None:
        remarks.append("the correction holds if scallops made the surface across: the spacing there was not measured")
    least, most = number(scallop, "least_spacing"), number(scallop, "spacing")
    # low scallops rise with the square of the stepover
    share = (min(max(spacing, least), most) / most) ** 2 if _is_range(scallop) else 1.0
    found = {}
    for name in ("ra", "rz"):
        value = number(measured, f"{name}_across")
        found[f"{name}_factor"] = None if value is None else value / (share * number(scallop, name))
    return found


def _why_no_factor(plan: Plan, scallop: MarkFit, measured: Measured) -> str:
    """Return why measured over computed roughness of the scallop cannot be told, or an empty text."""
    spacing = number(measured, "spacing_across")
    if number(measured, "ra_across") is None and number(measured, "rz_across") is None:
        return "no roughness was measured across"
    if number(scallop, "rz") <= 0.0:
        return "the plan leaves none"
    if spacing is not None and not is_near(spacing, scallop):
        return "the marks across do not lie a stepover apart"
    if number(scallop, "spacing") > cut_off(number(measured, "ra_across"), number(measured, "rz_across")):
        return "scallops lie further apart than the gauge's cut-off, so it does not count them"
    if _is_range(scallop) and spacing is None:
        return "the stepover changes with the slope; measure it where the roughness was measured"
    if _is_range(scallop) and not isinstance(plan.job.cutter, BallEndMill):
        return "slope and form of the cutter both change it along the range"
    return ""


def _is_range(row: MarkFit) -> bool:
    """Whether the spacing changes by more than the error of measuring it."""
    least, most = number(row, "least_spacing"), number(row, "spacing")
    return bool(least < most * (1.0 - SPACING_ERROR))


def _of_runout(plan: Plan, cause: str) -> list[str]:
    """Say where the marks along tell another runout than planned."""
    if cause not in ("tooth marks", "revolution marks") or number(plan.job.cutter, "teeth") == 1:
        return []
    heights = {
        "tooth marks": number(plan, "feed_mark_height"),
        "revolution marks": number(plan, "revolution_mark_height"),
    }
    planned = number(plan, "rz_along")
    if abs(planned - heights[cause]) <= 1e-6 * planned:
        return []
    if cause == "revolution marks":
        return ["marks a revolution apart where the plan expects them a tooth apart: more runout than planned; dial it"]
    return ["marks a tooth apart where the plan expects one tooth to mark alone: less runout than planned"]


def _of_height(rows: Sequence[MarkFit], causes: dict[str, str]) -> list[str]:
    """Say where a decided cause does not explain the roughness."""
    found = []
    for row in rows:
        word = "ra" if number(row, "ra_ratio") is not None else "rz"
        ratio = number(row, f"{word}_ratio")
        if causes[row.direction] != row.cause or ratio is None:
            continue
        if ratio > RA_FACTOR.high * (1.0 + HEIGHT_ERROR):
            why = "something else roughens it too: runout, built-up edge, chatter, scratches"
        elif ratio < RA_FACTOR.low * (1.0 - HEIGHT_ERROR):
            why = "smoother than ideal geometry allows: check gauge, direction and cut-off"
        else:
            continue
        found.append(f"{row.direction}: {EXPECTED[row.cause]}, but {word.title()} is {ratio:.2f} times ideal; {why}")
    return found
