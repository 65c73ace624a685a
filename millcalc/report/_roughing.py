"""The plan of a roughing job as a page of plain text."""

from collections.abc import Iterable
from math import isinf

from millcalc.planning.cautions import SAFETY
from millcalc.planning.inputs import work_material
from millcalc.planning.proven import Proven
from millcalc.planning.roughing.job import RoughingJob, slopes
from millcalc.planning.roughing.plan import RoughingPlan
from millcalc.quantities.display import quantity_text, units
from millcalc.quantities.kinds import ANGLE
from millcalc.quantities.record import number
from millcalc.report._blocks import (
    basis_block,
    block,
    cause_text,
    cautions_block,
    cutter_text,
    margins_block,
    number_row,
    shown_text,
    system_of,
)
from millcalc.report._edges import edges_block
from millcalc.report._proven import proven_block

__all__ = ["entry_in_words", "pocket_in_words", "roughing_page"]

_SET = (
    "axial_depth",
    "radial_width",
    "spindle_speed",
    "feed_rate",
    "slot_feed_rate",
    "slot_width",
    "loop_step",
    "loop_feed_rate",
)
_ENTRY = (
    "entry_hole_diameter",
    "entry_path_radius",
    "entry_pitch",
    "ramp_passes",
    "entry_angle",
    "entry_engagement",
    "entry_depth",
    "entry_feed_rate",
    "entry_axial_feed",
    "entry_chip_thickness",
    "entry_path_length",
)
_EXPECT = (
    "levels",
    "passes",
    "loops",
    "engagement_angle",
    "cutting_speed",
    "feed_per_tooth",
    "slot_feed_per_tooth",
    "wanted_chip",
    "chip_thickness",
    "mean_chip_thickness",
    "slot_chip_thickness",
    "least_chip",
    "removal_rate",
    "mean_removal_rate",
)
_CORNERS = (
    "corner_engagement",
    "corner_feed_rate",
    "corner_depth",
    "corner_stock",
)
_LEAVES = (
    "slope_step",
    "slope_passes",
    "stair_thickness",
    "greatest_depth",
    "depth_ratio",
    "tolerance",
)
_LOADS = (
    "cutting_power",
    "mean_torque",
    "peak_torque",
    "peak_bending",
    "mean_force",
    "tip_deflection",
    "deflection_allowed",
    "bending_stress",
    "slot_cutting_power",
    "slot_mean_torque",
    "slot_peak_bending",
    "slot_tip_deflection",
    "slot_bending_stress",
    "entry_cutting_power",
    "entry_peak_bending",
    "entry_tip_deflection",
    "corner_cutting_power",
    "corner_peak_bending",
    "corner_tip_deflection",
    "tip_stiffness",
    "natural_frequency",
)
_TIMES = (
    "path_length",
    "cutting_time",
    "slot_time",
    "slope_time",
    "entry_exit_time",
    "acceleration_time",
    "link_time",
    "rapid_time",
    "operation_time",
)


def roughing_page(made: RoughingPlan, system: str | None = None, proven: Iterable[Proven] = ()) -> str:
    """Return the plan of a roughing job as a page of plain text."""
    with units(system_of(system, made.job)):
        blocks = [
            _head(made.job),
            _rows(made, "SET", _SET, 5),
            _rows(made, "ENTRY INTO EACH LEVEL", _ENTRY),
            _rows(made, "EXPECT", _EXPECT),
            _rows(made, "INSIDE CORNERS", _CORNERS),
            _rows(made, "LEFT FOR THE NEXT OPERATION", _LEAVES),
            _rows(made, "LOADS (as good as the force constants)", _LOADS),
            _rows(made, "PATH AND TIME (lower bound)", _TIMES),
            edges_block(made),
            proven_block(made, proven),
            margins_block(made),
            cautions_block(made),
            basis_block(made),
            "\n".join(SAFETY),
        ]
    return "\n\n".join(b for b in blocks if b)


def _rows(made: RoughingPlan, head: str, names: tuple[str, ...], digits: int = 3) -> str:
    known = [n for n in names if number(made, n) is not None]
    return block(head, [number_row(made, n, digits, cause_text(made, n)) for n in known]) if known else ""


def _head(job: RoughingJob) -> str:
    title = ", ".join(t for t in (job.part, job.operation) if t)
    work = work_material(job)
    rows = [
        ("material", f"{work.designation}, {work.group}"),
        ("cutter", cutter_text(job.cutter)),
        ("pocket", pocket_in_words(job)),
        ("cut", f"{job.cut.style}, {job.cut.cut}{entry_in_words(job)}"),
        ("leaves", f"{shown_text(job.cut, 'stock_left')} along the normal"),
    ]
    head = f"ROUGHING PLAN: {title}" if title else "ROUGHING PLAN"
    return "\n".join([head, *(f"  {word:<10}{text}" for word, text in rows)])


def entry_in_words(job: RoughingJob) -> str:
    if job.cut.style == "corners":
        return ", entered from what is cleared"
    return f", entry by {job.cut.entry}" if job.pocket.sides == "closed" else ", entered from outside"


def pocket_in_words(job: RoughingJob) -> str:
    pocket = job.pocket
    size = " by ".join(shown_text(pocket, n) for n in ("width", "length"))
    words = [f"{pocket.sides}, {size}, {shown_text(pocket, 'depth')} deep"]
    if slopes(job)[0] is not None:
        ends = " to ".join(dict.fromkeys(quantity_text(slope, ANGLE) for slope in slopes(job)))
        radius = number(pocket, "surface_radius")
        way = (
            "" if isinf(radius) else f", {'convex' if radius > 0 else 'concave'} {shown_text(pocket, 'surface_radius')}"
        )
        words.append(f"slope {ends}{way}")
    if number(pocket, "corner_angle") is not None:
        fillet = number(pocket, "fillet_radius")
        with_fillet = "" if fillet is None else f" with fillets of {shown_text(pocket, 'fillet_radius')}"
        words.append(f"corners of {shown_text(pocket, 'corner_angle')}{with_fillet}")
    return ", ".join(words)
