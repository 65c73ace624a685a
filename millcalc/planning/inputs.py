"""A job as the kernel takes it: choices that shape the calculation, and numbers in trade units."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, TypeAlias, cast

import attrs
import numpy as np

from millcalc.errors import UnknownNameError
from millcalc.planning.assumed import (
    ASSUMED,
    COOLANTS,
    ECCENTRICITIES,
    EDGE_RADII,
    MACHINE_CLASSES,
    OTHER_COOLANT,
    SET_UPS,
    SMALL_DIAMETER,
    Assumed,
)
from millcalc.planning.job import SIDE_OF_CUT, TABLES, FinishingJob, slope_range, slopes_across, wanted_finish
from millcalc.quantities.record import fields_of, given_fields, number

if TYPE_CHECKING:
    from millcalc.materials import FeedChart, Material, SpeedWindow
    from millcalc.planning.roughing.inputs import RoughingChoices
    from millcalc.planning.roughing.job import RoughingJob

    AnyJob: TypeAlias = "FinishingJob | RoughingJob"
    AnyChoices: TypeAlias = "Choices | RoughingChoices"

__all__ = [
    "Choices",
    "Inputs",
    "chart_numbers",
    "class_defaults",
    "economy_of",
    "force_numbers",
    "increments",
    "inputs_of",
    "loads_asked",
    "loads_wanted",
    "size_defaults",
    "stated_limits",
    "usual_coolant",
    "work_material",
]

_HEADINGS = {"up the slope": 90.0, "down the slope": 270.0}


@attrs.frozen
class Choices:
    """What shapes the calculation: the same for all variants that are computed together."""

    finish: str
    feed_is_fixed: bool
    spacing: str
    pattern: str
    fixed_axis: bool
    upright: bool
    way_back: str
    programmed_point: str
    uncut_side: str
    fixed: frozenset[str]
    previous: str
    slope_spacing: bool
    has_slope_range: bool
    slopes_across: bool
    has_window: bool
    entry_as_length: bool
    first_pass: str
    tip_caution: str
    work_hardening: bool
    limits: frozenset[str]
    loads: bool
    loads_asked: bool
    economy: frozenset[str]


@attrs.frozen
class Inputs:
    """Choices, numbers by name, what was assumed, and the rows of the material that were used."""

    choices: Choices
    numbers: dict[str, Any]
    assumed: tuple[Assumed, ...]
    material: Material
    speed_window: SpeedWindow | None
    feed_chart: FeedChart
    substrate: str


def work_material(job: AnyJob) -> Material:
    """Return the job's material, looked up if it was named.

    Raises
    ------
    UnknownNameError
        The catalogue has no such name.
    """
    # loaded when the first job is planned, not with the package
    from millcalc.materials import Material, material

    named = job.material
    # what is no text is refused by the catalogue
    return named if isinstance(named, Material) else material(cast(str, named))


def inputs_of(job: FinishingJob) -> Inputs:
    """Return what the kernel needs of a job."""
    numbers, assumed = _stated_and_assumed(job)
    work = work_material(job)
    assumed += (*_assumed_words(job), *usual_coolant(job, work))
    substrate = job.cutter.substrate
    window = _speed_window(job, work)
    if window is not None:
        numbers |= {"speed_low": window.low, "speed_high": window.high}
    chart = work.feed_chart(numbers["diameter"], substrate)
    numbers |= chart_numbers(chart)
    numbers["least_chip_ratio"] = work.least_chip_ratio.middle
    numbers |= _axis_numbers(job) | increments(job) | {"shape": job.cutter} | force_numbers(job, work)
    more, found, flags = economy_of(job, work, numbers)
    numbers, assumed = numbers | more, assumed + found
    choices = _choices(job, work, window, flags)
    return Inputs(choices, numbers, assumed, work, window, chart, substrate)


def _fixed(job: FinishingJob) -> frozenset[str]:
    """Return the names of the values that the user fixes."""
    return frozenset(n for n in fields_of(job.fixed) if number(job.fixed, n) is not None)


def _idle(job: FinishingJob) -> set[str]:
    """Return the assumptions that do nothing in this job."""
    fixed, idle = _fixed(job), set()
    if number(job.assumed, "entry_length") is not None:
        idle.add("entry_factor")
    if fixed & {"cutting_speed", "spindle_speed"}:
        idle.add("speed_position")
    if "feed_per_tooth" in fixed:
        idle.add("feed_position")
    if "point_spacing" in fixed:
        idle.add("chord_start_share")
    if job.passes.pattern == "back and forth":
        idle |= {"clearance", "rapid_rate"}
    if not loads_wanted(job):
        idle |= {"deflection_share", "force_spread", "least_width_share", "helix"}
    elif not {"largest_power", "largest_torque", "drive_points"} & given_fields(job.machine):
        idle.add("least_width_share")
    if number(job.cutter, "overhang") is None:
        idle.add("deflection_share")
    return idle


LOAD_LIMITS = ("largest_power", "largest_torque", "drive_points", "largest_thrust")
"""Limits of the machine that need the forces."""


def loads_asked(job: AnyJob) -> bool:
    """Whether the job states a limit of loads."""
    return any(getattr(job.machine, name) is not None for name in LOAD_LIMITS)


def loads_wanted(job: AnyJob) -> bool:
    """Whether forces are computed: the material's are known, and a limit or the overhang gives them a meaning."""
    work = work_material(job)
    known = work.force_coefficients or work.kienzle or work.specific_energy
    return bool(known) and (loads_asked(job) or number(job.cutter, "overhang") is not None)


def force_numbers(job: AnyJob, work: Material) -> dict[str, Any]:
    """Return the force coefficients, and what the tool and the machine state on loads."""
    if not loads_wanted(job):
        return {}
    from millcalc.loads.coefficients import ForceCoefficients

    coefficients = ForceCoefficients.from_material(work)
    chip_low = number(coefficients, "chip_low")
    return {"force_coefficients": coefficients, "force_chip_low": chip_low, "drive_points": job.machine.drive_points}


def economy_of(
    job: AnyJob, work: Material, numbers: Mapping[str, Any]
) -> tuple[dict[str, Any], tuple[Assumed, ...], frozenset[str]]:
    """Return what of tool life and costs is assumed, as numbers and as rows, and what is known of them at all."""
    if not (given_fields(job.wear) | given_fields(job.costs) or work.taylor):
        return {}, (), frozenset()
    from millcalc.planning import edge_life  # loaded when there is something to say of it

    more, assumed = edge_life.edge_numbers(job, work)
    return more, assumed, edge_life.flags_of({**numbers, **more})


def class_defaults(job: AnyJob) -> dict[str, Assumed]:
    """Return the assumptions that follow from the classes of machine and set-up."""
    return MACHINE_CLASSES[job.machine.kind] | SET_UPS.get(job.machine.rigidity, {})


def usual_coolant(job: AnyJob, work: Material) -> tuple[Assumed, ...]:
    """Return the coolant that is usual in the group of the material, if the shop names none."""
    if job.shop.coolant:
        return ()
    words = f"usual for {work.iso513} of ISO 513; its maker's and local rules come first"
    return (Assumed("coolant", COOLANTS.get(work.iso513, OTHER_COOLANT), None, words),)


def _assumed_words(job: FinishingJob) -> tuple[Assumed, ...]:
    """Return the words that shape the calculation and that nobody gave."""
    rows = [("surface", "radius_across", "flat"), ("surface", "radius_along", "flat")]
    rows += [("cutter", "substrate", job.cutter.substrate), ("machine", "kind", job.machine.kind)]
    rows.append(("machine", "rigidity", job.machine.rigidity))
    rows += [("passes", "pattern", job.passes.pattern), ("passes", "spacing", job.passes.spacing)]
    rows.append(("axis", "programmed_point", job.axis.programmed_point))
    if job.passes.pattern == "back and forth" and job.axis.direction is None:
        rows.append(("axis", "way_back", job.axis.way_back))
    if job.axis.direction is not None:
        rows += [("axis", "travel", job.axis.travel), ("axis", "order", job.axis.order)]
    found = [
        Assumed(n, word, None, f"not stated in {t}") for t, n, word in rows if n not in given_fields(getattr(job, t))
    ]
    if job.passes.cut is None and job.passes.uncut_side is None:
        found.append(Assumed("cut", "climb", None, "not stated in passes"))
    if job.axis.direction is None and number(job.axis, "lead") is None and number(job.axis, "tilt") is None:
        found.append(Assumed("axis", "along the surface normal, no lean", None, "not stated in axis"))
    return tuple(found)


def followed(numbers: Mapping[str, Any]) -> dict[str, Assumed]:
    """Return the assumptions that follow from other numbers of the job."""
    share = numbers["scallop_share"]
    share = ASSUMED["scallop_share"].value if share is None else share
    row = attrs.evolve(ASSUMED["feed_mark_share"], value=_plain(0.5 * (1.0 - share)))
    return {row.name: row} | size_defaults(numbers)


def size_defaults(numbers: Mapping[str, Any]) -> dict[str, Assumed]:
    """Return the assumptions that follow from the size of the cutter."""
    small = numbers["diameter"] < SMALL_DIAMETER
    rows = (("edge_radius", EDGE_RADII), ("eccentricity", ECCENTRICITIES))
    return {name: attrs.evolve(ASSUMED[name], value=_plain(np.where(small, *sizes))) for name, sizes in rows}


def _plain(value: Any) -> Any:
    return float(value) if np.ndim(value) == 0 else value


def chart_arrays(work: Material, diameters: Any, substrate: str) -> dict[str, Any]:
    """Return the numbers of the feed charts for many diameters: one look-up for all between the edges of rows."""
    rows = [r for r in work.feed_charts if r.unit != "1"]
    edges = sorted({edge for r in rows for edge in (r.diameter_low, r.diameter_high)})
    band = np.searchsorted(edges, diameters, "left") + np.searchsorted(edges, diameters, "right")
    found = {name: np.empty(len(diameters)) for name in ("feed_low", "feed_high", "radial_share")}
    for place in np.unique(band):
        some = band == place
        row = work.feed_row(float(diameters[some][0]), substrate)
        size = np.minimum(diameters[some], row.diameter_high) if row.unit == "1" else 1.0
        for name, value in (("feed_low", row.low * size), ("feed_high", row.high * size)):
            found[name][some] = value
        found["radial_share"][some] = row.radial_share
    return found


def chart_numbers(chart: FeedChart) -> dict[str, Any]:
    """Return what the kernel needs of a feed chart."""
    return {"feed_low": chart.low, "feed_high": chart.high, "radial_share": chart.radial_share}


def _stated_and_assumed(job: FinishingJob) -> tuple[dict[str, Any], tuple[Assumed, ...]]:
    numbers: dict[str, Any] = {}
    for table in TABLES:
        part = getattr(job, table)
        numbers |= {n: number(part, n) for n, field in fields_of(part).items() if field.kind}
    assumed, idle = [], _idle(job)
    for name, row in (ASSUMED | class_defaults(job) | followed(numbers)).items():
        if numbers[name] is None:
            numbers[name] = row.value
            if name not in idle:
                assumed.append(row)
    numbers["slope_from"], numbers["slope_to"] = slope_range(job)
    return numbers, tuple(assumed)


def _speed_window(job: FinishingJob, work: Material) -> SpeedWindow | None:
    """Return the material's window; a job that fixes its speed does without one, unchecked."""
    try:
        return work.speed_window(job.cutter.substrate)
    except UnknownNameError:
        if not _fixed(job) & {"cutting_speed", "spindle_speed"}:
            raise
        return None


def _choices(job: FinishingJob, work: Material, window: SpeedWindow | None, economy: frozenset[str]) -> Choices:
    previous = next((n for n in ("previous_stepover", "previous_step_down") if number(job.before, n) is not None), "")
    fixed = _fixed(job)
    return Choices(
        finish=wanted_finish(job),
        feed_is_fixed="feed_per_tooth" in fixed and "feed_radial_width" not in fixed,
        spacing=job.passes.spacing,
        pattern=job.passes.pattern,
        fixed_axis=job.axis.direction is not None,
        upright=job.axis.direction == "vertical",
        way_back=job.axis.way_back,
        programmed_point=job.axis.programmed_point,
        uncut_side=uncut_side(job),
        fixed=fixed,
        previous=previous,
        slope_spacing=_slope_spacing(job),
        has_slope_range=job.axis.direction is not None or _slope_spacing(job),
        slopes_across=slopes_across(job),
        has_window=window is not None,
        entry_as_length=number(job.assumed, "entry_length") is not None,
        first_pass=job.assumed.first_pass or "own feed",
        tip_caution=work.tip_caution.severity,
        work_hardening=work.iso513 in ("M", "S", "H"),
        limits=stated_limits(job),
        loads=loads_wanted(job),
        loads_asked=loads_asked(job),
        economy=economy,
    )


def stated_limits(job: AnyJob) -> frozenset[str]:
    """Return the names of the limits that the job states and may leave out."""
    rotary = ("rotary_rate", "rotary_distance")
    rows: list[tuple[Any, str]] = [
        (job.machine, n) for n in ("holder_spindle_speed", "largest_power", "largest_torque", "largest_thrust")
    ]
    rows += [(job.cutter, "rated_spindle_speed"), (job.cutter, "overhang"), *((job.machine, n) for n in rotary)]
    found = {name for part, name in rows if number(part, name) is not None}
    return frozenset(found | ({"drive_points"} if job.machine.drive_points else set()))


def uncut_side(job: FinishingJob) -> str:
    """Return the side of the uncut stock on the way out: as given, or as the cut implies; climb if neither."""
    if job.passes.uncut_side is not None:
        return job.passes.uncut_side
    return SIDE_OF_CUT[job.passes.cut or "climb"]


def _slope_spacing(job: FinishingJob) -> bool:
    """Whether the spacing, as it is measured, changes along the slope: passes up and down it lie side by side."""
    return slopes_across(job) and job.passes.spacing != "along the surface"


def _axis_numbers(job: FinishingJob) -> dict[str, Any]:
    numbers = dict(zip(("axis_downhill", "axis_along", "axis_up"), job.axis.components(), strict=True))
    if job.axis.travel in _HEADINGS:
        heading = _HEADINGS[job.axis.travel]
    else:
        # working downward the uncut stock lies downhill, so the hill is on the other side
        downhill_left = (uncut_side(job) == "left") == (job.axis.order == "downward")
        heading = 180.0 if downhill_left else 0.0
    return numbers | {"heading": heading}


def increments(job: AnyJob) -> dict[str, Any]:
    """Return the increments to which values are set."""
    if job.settings == "inch":
        return {"feed_increment": 2.54, "fine_increment": 0.00254, "coarse_increment": 0.00254}
    return {"feed_increment": 1.0, "fine_increment": 0.001, "coarse_increment": 0.01}
