"""A roughing job as its kernel takes it: choices that shape the calculation, and numbers in trade units."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import attrs

from millcalc.errors import UnknownNameError
from millcalc.planning.assumed import Assumed
from millcalc.planning.inputs import (
    chart_numbers,
    class_defaults,
    economy_of,
    force_numbers,
    increments,
    loads_asked,
    loads_wanted,
    size_defaults,
    stated_limits,
    usual_coolant,
    work_material,
)
from millcalc.planning.roughing.job import ROUGHING_TABLES, RoughingJob, slopes
from millcalc.planning.roughing.parts import ROUGHING_ASSUMED
from millcalc.quantities.kinds import FEED_RATE
from millcalc.quantities.record import fields_of, given_fields, number

if TYPE_CHECKING:
    from millcalc.materials import FeedChart, Material, SpeedWindow

__all__ = ["OPERATION", "RoughingChoices", "RoughingInputs", "roughing_inputs"]

OPERATION = "end milling"
"""The rows of a material that roughing uses first."""


@attrs.frozen
class RoughingChoices:
    """What shapes the calculation: the same for all variants that are computed together."""

    style: str
    cut: str
    closed: bool
    walled: bool
    entry: str
    has_slopes: bool
    has_corners: bool
    fixed: frozenset[str]
    feed_is_fixed: bool
    has_window: bool
    limits: frozenset[str]
    loads: bool
    loads_asked: bool
    economy: frozenset[str]


@attrs.frozen
class RoughingInputs:
    """Choices, numbers by name, what was assumed, and the rows of the material that were used."""

    choices: RoughingChoices
    numbers: dict[str, Any]
    assumed: tuple[Assumed, ...]
    material: Material
    speed_window: SpeedWindow | None
    feed_chart: FeedChart
    substrate: str


def roughing_inputs(job: RoughingJob) -> RoughingInputs:
    """Return what the kernel needs of a job."""
    numbers, assumed = _stated_and_assumed(job)
    work = work_material(job)
    assumed += usual_coolant(job, work)
    substrate = job.cutter.substrate
    window = _speed_window(job, work)
    if window is not None:
        numbers |= {"speed_low": window.low, "speed_high": window.high}
    chart = work.feed_chart(numbers["diameter"], substrate, OPERATION)
    numbers |= chart_numbers(chart) | increments(job) | force_numbers(job, work)
    numbers |= {"least_chip_ratio": work.least_chip_ratio.middle, "shape": job.cutter}
    more, found, economy = economy_of(job, work, numbers)
    numbers, assumed = numbers | more, assumed + found
    choices = _choices(job, window, economy)
    return RoughingInputs(choices, numbers, assumed, work, window, chart, substrate)


def _stated_and_assumed(job: RoughingJob) -> tuple[dict[str, Any], tuple[Assumed, ...]]:
    numbers: dict[str, Any] = {}
    for table in ROUGHING_TABLES:
        part = getattr(job, table)
        numbers |= {n: number(part, n) for n, field in fields_of(part).items() if field.kind}
    assumed, idle = [], _idle(job)
    rows = ROUGHING_ASSUMED[job.cut.style] | class_defaults(job) | size_defaults(numbers)
    for name, row in rows.items():
        if numbers[name] is None:
            numbers[name] = row.value
            if name not in idle:
                assumed.append(row)
    if numbers["return_feed_rate"] is None:
        numbers["return_feed_rate"] = numbers["largest_feed_rate"]
        if not (_entered(job) and job.cut.style == "full width"):
            words = "returns through the air at the machine's largest feed rate"
            assumed.append(Assumed("return_feed_rate", numbers["return_feed_rate"], FEED_RATE, words))
    numbers["slope_from"], numbers["slope_to"] = slopes(job)
    return numbers, (*assumed, *_assumed_words(job))


def _assumed_words(job: RoughingJob) -> tuple[Assumed, ...]:
    rows: list[tuple[str, str, Any]] = [("cutter", "substrate", job.cutter.substrate)]
    rows += [
        ("machine", "kind", job.machine.kind),
        ("machine", "rigidity", job.machine.rigidity),
        ("pocket", "sides", job.pocket.sides),
    ]
    rows += [("cut", "style", job.cut.style), ("cut", "cut", job.cut.cut)]
    if _entered(job):
        rows.append(("cut", "entry", job.cut.entry))
    found = [(t, n, word) for t, n, word in rows if n not in given_fields(getattr(job, t))]
    return tuple(Assumed(n, word, None, f"not stated in {t}") for t, n, word in found)


def _entered(job: RoughingJob) -> bool:
    """Whether the cutter has to descend into solid stock."""
    return job.pocket.sides == "closed" and job.cut.style != "corners"


def _idle(job: RoughingJob) -> set[str]:
    """Return the assumptions that do nothing in this job."""
    fixed, idle = _fixed(job), {"block_time"}
    if fixed & {"cutting_speed", "spindle_speed"}:
        idle.add("speed_position")
    if "feed_per_tooth" in fixed:
        idle.add("feed_position")
    for size, value in (("width", "radial_width"), ("depth", "axial_depth")):
        if value in fixed:
            idle |= {f"{size}_share", f"least_{size}_share"}
    closed = _entered(job)
    if not closed or job.cut.entry != "helix":
        idle.add("entry_share")
    if not closed:
        idle |= {"ramp_angle", "entry_feed_share"}
    if not closed or job.cut.style != "light radial":
        idle.add("slot_share")
    if not loads_wanted(job):
        idle |= {"force_spread", "helix", "deflection_share"}
    elif number(job.cutter, "overhang") is None:
        idle.add("deflection_share")
    if not {"largest_power", "largest_torque", "drive_points"} & given_fields(job.machine) or not loads_wanted(job):
        idle |= {"least_width_share", "least_depth_share"}
    return idle


def _fixed(job: RoughingJob) -> frozenset[str]:
    return frozenset(n for n in fields_of(job.fixed) if number(job.fixed, n) is not None)


def _speed_window(job: RoughingJob, work: Material) -> SpeedWindow | None:
    """Return the material's window; a job that fixes its speed does without one, unchecked."""
    try:
        return work.speed_window(job.cutter.substrate, OPERATION)
    except UnknownNameError:
        if not _fixed(job) & {"cutting_speed", "spindle_speed"}:
            raise
        return None


def _choices(job: RoughingJob, window: SpeedWindow | None, economy: frozenset[str]) -> RoughingChoices:
    fixed = _fixed(job)
    return RoughingChoices(
        style=job.cut.style,
        cut=job.cut.cut,
        closed=_entered(job),
        walled=job.pocket.sides == "closed",
        entry=job.cut.entry,
        has_slopes=slopes(job)[0] is not None,
        has_corners=number(job.pocket, "corner_angle") is not None,
        fixed=fixed,
        feed_is_fixed="feed_per_tooth" in fixed and "feed_radial_width" not in fixed,
        has_window=window is not None,
        limits=stated_limits(job),
        loads=loads_wanted(job),
        loads_asked=loads_asked(job),
        economy=economy,
    )
