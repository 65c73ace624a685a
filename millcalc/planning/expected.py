"""The marks that a plan expects on the surface: how far apart, how high, in which direction."""

from __future__ import annotations

import math

import attrs

from millcalc.formulas.finish import ra_from_scallop
from millcalc.planning.finishing import Plan
from millcalc.quantities.record import number

__all__ = ["EXPECTED", "Expected", "expected_marks"]

EXPECTED = {
    "scallops": "scallops a stepover apart",
    "tooth marks": "marks a tooth apart",
    "revolution marks": "marks a revolution apart, of runout",
    "facets": "chord facets a point spacing apart",
}
"""The causes by word, in the words of the trade."""


@attrs.frozen
class Expected:
    """Marks of one cause: spacing [mm], Ra and Rz [um] of ideal geometry, from least to largest."""

    cause: str
    direction: str
    least_spacing: float
    spacing: float
    least_rz: float
    rz: float
    least_ra: float
    ra: float
    remark: str = ""


def expected_marks(plan: Plan) -> tuple[Expected, ...]:
    """Return the marks that a plan expects; with one tooth those of tooth and revolution are the same.

    Notes
    -----
    Heights are those of the plan; their Ra is that of rows of arcs, whatever their sign: facets cut off the arc
    between points leave the same deviations upside down. Source: GEOMETRY.

    Examples
    --------
    >>> from millcalc.planning import example_job, plan
    >>> for marks in expected_marks(plan(example_job())):
    ...     print(f"{marks.cause}: every {marks.spacing:.3f} mm, Ra {marks.ra:.3f} um")
    scallops: every 0.190 mm, Ra 0.386 um
    tooth marks: every 0.068 mm, Ra 0.050 um
    revolution marks: every 0.135 mm, Ra 0.200 um
    facets: every 0.490 mm, Ra 0.064 um
    """
    return (_scallops(plan), *_feed_marks(plan), _facets(plan))


def _scallops(plan: Plan) -> Expected:
    spacing, height = number(plan, "stepover"), number(plan, "scallop_height")
    ra, rz = number(plan, "ra"), number(plan, "rz")
    known = [(number(c, "stepover"), number(c, "scallop_height")) for c in plan.conditions]
    steps = [step for step, _ in known if step is not None]
    heights = [high for _, high in known if high is not None]
    # a narrower or flatter end of the slope range leaves as much less roughness as its scallop is lower
    share = min([height, *heights]) / height if height > 0.0 else 1.0
    remark = "" if height > 0.0 else "the plan leaves no scallop"
    return Expected("scallops", "across", min([spacing, *steps]), spacing, share * rz, rz, share * ra, ra, remark)


def _feed_marks(plan: Plan) -> list[Expected]:
    """Return the marks along the feed, with which of them the plan's runout leaves."""
    diameter, planned = number(plan.job.cutter, "diameter"), number(plan, "rz_along")
    tooth = (number(plan, "feed_per_tooth"), number(plan, "feed_mark_height"))
    revolution = (number(plan, "feed_per_revolution"), number(plan, "revolution_mark_height"))
    if number(plan.job.cutter, "teeth") == 1:
        return [_arcs("tooth marks", *tooth, diameter, "one tooth: also a revolution apart")]
    alone = "with the plan's runout one tooth marks alone"
    together = "with the plan's runout each tooth marks"
    as_planned = [math.isclose(planned, height, rel_tol=1e-6) for _, height in (tooth, revolution)]
    return [
        _arcs("tooth marks", *tooth, diameter, together if as_planned[0] else ""),
        _arcs("revolution marks", *revolution, diameter, alone if as_planned[1] else ""),
    ]


def _facets(plan: Plan) -> Expected:
    """Return the facets of the chords; the moves of a pass are evenly long, so a little shorter than the spacing."""
    spacing, height = number(plan, "point_spacing"), number(plan, "chord_error")
    even = number(plan.job.surface, "length") / number(plan, "blocks_per_pass")
    radius = abs(number(plan.job.surface, "radius_along"))
    if height <= 0.0 or math.isinf(radius):
        remark = "chords of a straight path leave none"
        return Expected("facets", "along", min(even, spacing), spacing, 0.0, 0.0, 0.0, 0.0, remark)
    made = _arcs("facets", spacing, height, 2.0 * radius, "")
    return attrs.evolve(made, least_spacing=min(even, spacing))


def _arcs(cause: str, spacing: float, height: float, diameter: float, remark: str) -> Expected:
    ra = float(ra_from_scallop.bare(diameter, height))
    return Expected(cause, "along", spacing, spacing, height, height, ra, ra, remark)
