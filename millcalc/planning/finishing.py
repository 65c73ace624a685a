"""`plan(job)`: every number of a finishing cut, what governed it, and the cautions."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, overload

import numpy as np

from millcalc.errors import ArgumentError, Fault, ImpossibleJobError
from millcalc.planning import geometry, motion, speeds_feeds
from millcalc.planning.assumed import Assumed
from millcalc.planning.calculation import Calculation
from millcalc.planning.cautions import CAUTIONS, Caution, caution_text
from millcalc.planning.faults import fault_of
from millcalc.planning.inputs import inputs_of
from millcalc.planning.job import FinishingJob
from millcalc.planning.kernel import run
from millcalc.planning.margins import Margin, margins_of
from millcalc.planning.reported import Reported, causes_of, foot_of, plain, ranked, rows_used, single, stated_numbers
from millcalc.quantities.kinds import (
    Angle,
    BlockRate,
    ChipThickness,
    ChordError,
    Cost,
    Count,
    CuttingSpeed,
    Deflection,
    FeedPerRevolution,
    FeedPerTooth,
    FeedRate,
    Force,
    Frequency,
    Length,
    Power,
    Ratio,
    RemovalRate,
    Roughness,
    ScallopHeight,
    SpindleSpeed,
    Stiffness,
    Stress,
    Time,
    Torque,
)
from millcalc.quantities.record import Record, entry, fields_of, number, record

if TYPE_CHECKING:
    from millcalc.planning.roughing.job import RoughingJob
    from millcalc.planning.roughing.plan import RoughingPlan
    from millcalc.quantities.sheet import Sheet

__all__ = ["CAUSES", "Condition", "Plan", "plan"]

CAUSES: dict[str, tuple[str, ...]] = {
    "stepover": geometry.STEPOVER_CAUSES,
    "spindle_speed": speeds_feeds.SPINDLE_CAUSES,
    "feed_per_tooth": speeds_feeds.FEED_PER_TOOTH_CAUSES,
    "feed_rate": motion.FEED_RATE_CAUSES,
    "point_spacing": motion.SPACING_CAUSES,
    "chord_allowed": motion.CHORD_CAUSES,
    "first_pass_feed_rate": motion.FIRST_PASS_CAUSES,
}
"""For each number that is chosen, the causes that may govern it."""


@record
class Condition(Record):
    """What differs between the ends of a slope range and between the way out and the way back."""

    name: str = entry(meaning="which condition")
    slope: Angle = entry(meaning="slope of the surface")
    lead: Angle = entry(meaning="lean toward the feed")
    tilt: Angle = entry(meaning="lean across the feed, positive to the left")
    stepover: Length = entry(meaning="stepover along the surface")
    scallop_height: ScallopHeight = entry(meaning="scallop height")
    least_diameter: Length = entry(meaning="least cutting diameter")
    contact_diameter: Length = entry(meaning="cutting diameter at the contact")
    largest_diameter: Length = entry(meaning="largest cutting diameter")
    least_cutting_speed: CuttingSpeed = entry(meaning="cutting speed at the least diameter")
    contact_cutting_speed: CuttingSpeed = entry(meaning="cutting speed at the contact")
    largest_cutting_speed: CuttingSpeed = entry(meaning="cutting speed at the largest diameter")


@record
class Plan(Reported):
    """A plan: frozen, each number a quantity.

    `governed` tells what governed each chosen number, `cautions` come worst first, `assumed` lists the values
    nobody gave.  The times are lower bounds.
    """

    stepover_setting: Length = entry(meaning="stepover as set")
    stepover: Length = entry(meaning="largest stepover along the surface")
    equalised_stepover: Length = entry(meaning="stepover, shared evenly")
    passes: Count = entry(meaning="number of passes")
    scallop_height: ScallopHeight = entry(meaning="scallop height")
    scallop_allowed: ScallopHeight = entry(meaning="scallop height that the finish allows")
    previous_scallop_height: ScallopHeight = entry(meaning="scallop height of the operation before")
    ra: Roughness = entry(meaning="Ra across the passes, ideal geometry")
    rz: Roughness = entry(meaning="Rz across the passes, ideal geometry")
    rz_along: ScallopHeight = entry(meaning="Rz along the feed, with runout")
    feed_mark_height: ScallopHeight = entry(meaning="height of marks a tooth apart")
    revolution_mark_height: ScallopHeight = entry(meaning="height of marks a revolution apart")
    inclination: Angle = entry(meaning="largest inclination of the axis")
    clearing_inclination: Angle = entry(meaning="inclination that clears the tip")
    greatest_depth: Length = entry(meaning="greatest depth along the normal")
    least_diameter: Length = entry(meaning="least cutting diameter")
    contact_diameter: Length = entry(meaning="cutting diameter at the contact, least")
    largest_diameter: Length = entry(meaning="largest cutting diameter")
    least_cutting_speed: CuttingSpeed = entry(meaning="cutting speed at the least diameter")
    contact_cutting_speed: CuttingSpeed = entry(meaning="cutting speed at the contact")
    largest_cutting_speed: CuttingSpeed = entry(meaning="cutting speed at the largest diameter")
    spindle_speed: SpindleSpeed = entry(meaning="spindle speed as set")
    wanted_chip: ChipThickness = entry(meaning="chip thickness wanted")
    chip_thickness: ChipThickness = entry(meaning="largest chip thickness beside a pass")
    mean_chip_thickness: ChipThickness = entry(meaning="mean chip thickness beside a pass")
    first_pass_chip_thickness: ChipThickness = entry(meaning="largest chip thickness of the first pass")
    least_chip: ChipThickness = entry(meaning="least chip the edge can cut")
    feed_per_tooth: FeedPerTooth = entry(meaning="feed per tooth at the contact")
    feed_per_revolution: FeedPerRevolution = entry(meaning="feed per revolution at the contact")
    feed_rate: FeedRate = entry(meaning="feed rate as set, programmed point")
    contact_feed_rate: FeedRate = entry(meaning="feed rate at the contact")
    first_pass_feed_rate: FeedRate = entry(meaning="feed rate of the first pass")
    point_spacing: Length = entry(meaning="point spacing at the contact")
    programmed_spacing: Length = entry(meaning="point spacing at the programmed point")
    chord_error: ChordError = entry(meaning="chord error")
    chord_allowed: ChordError = entry(meaning="chord error allowed")
    form_budget: Length = entry(meaning="form tolerance used: chord, scallop, deflection")
    blocks_per_pass: Count = entry(meaning="straight moves in a pass")
    block_rate: BlockRate = entry(meaning="blocks a second")
    points: Count = entry(meaning="points")
    program_size: Count = entry(meaning="characters of the program")
    path_length: Length = entry(meaning="path length in the cut")
    removal_rate: RemovalRate = entry(meaning="removal rate")
    cutting_power: Power = entry(meaning="power at the cutter")
    mean_torque: Torque = entry(meaning="mean torque")
    peak_torque: Torque = entry(meaning="largest torque of a turn")
    peak_bending: Force = entry(meaning="largest force that bends the tool")
    mean_force: Force = entry(meaning="largest mean force on an axis")
    tip_stiffness: Stiffness = entry(meaning="stiffness at the tip")
    tip_deflection: Deflection = entry(meaning="deflection of the tip")
    deflection_allowed: Deflection = entry(meaning="deflection allowed: its share of the form tolerance")
    form_error: Deflection = entry(meaning="of it along the surface normal, left on the surface")
    bending_stress: Stress = entry(meaning="bending stress")
    natural_frequency: Frequency = entry(meaning="natural frequency of the tool, an estimate")
    first_pass_cutting_power: Power = entry(meaning="power, first pass")
    first_pass_peak_bending: Force = entry(meaning="largest force that bends the tool, first pass")
    first_pass_tip_deflection: Deflection = entry(meaning="deflection of the tip, first pass")
    first_pass_bending_stress: Stress = entry(meaning="bending stress, first pass")
    cutting_time: Time = entry(meaning="in the cut")
    entry_exit_time: Time = entry(meaning="entries and exits")
    acceleration_time: Time = entry(meaning="lost to acceleration")
    link_time: Time = entry(meaning="linking moves")
    rapid_time: Time = entry(meaning="rapid moves")
    operation_time: Time = entry(meaning="time of the operation, a lower bound")
    tool_life: Time = entry(meaning="life of an edge at this cut, mean")
    shortest_life: Time = entry(meaning="life of an edge, the shortest to expect")
    longest_life: Time = entry(meaning="life of an edge, the longest to expect")
    life_path: Length = entry(meaning="path in the cut that the shortest life lasts")
    life_used: Ratio = entry(meaning="share of the shortest life that a part uses")
    parts_per_edge: Count = entry(meaning="whole parts that an edge lasts")
    cutters_needed: Count = entry(meaning="edges needed for all parts")
    least_cost_speed: CuttingSpeed = entry(meaning="cutting speed of least cost, at this feed per tooth")
    most_output_speed: CuttingSpeed = entry(meaning="cutting speed of most output, at this feed per tooth")
    part_time: Time = entry(meaning="time of a part, with its share of the changes")
    machine_cost: Cost = entry(meaning="cost of the machine's time")
    operation_cost: Cost = entry(meaning="cost of the operation for a part, with edges and changes")
    conditions: tuple[Condition, ...] = entry(meaning="both ends of the slope range and both ways, where they differ")
    job: FinishingJob = entry(meaning="the job")
    governed: tuple[tuple[str, str], ...] = entry(meaning="what governed each chosen number: pairs of name and cause")
    margins: tuple[Margin, ...] = entry(meaning="how far each limit is away, the tightest first")
    cautions: tuple[Caution, ...] = entry(meaning="the cautions, worst first")
    assumed: tuple[Assumed, ...] = entry(meaning="the values nobody gave")
    basis: tuple[Any, ...] = entry(meaning="the rows of the material that were used")

    def as_numbers(self) -> dict[str, Any]:
        """Return every number with its unit, what governed, cautions and assumptions, as plain values."""
        return super().as_numbers() | {"conditions": [{n: number(c, n) for n in fields_of(c)} for c in self.conditions]}

    def sheet(self) -> Sheet:
        """Return the whole calculation as one page, by running the kernel again with a recorder."""
        from millcalc.quantities.sheet import Sheet  # loaded when somebody wants to read

        inputs = inputs_of(self.job)
        steps = run(inputs.choices, inputs.numbers, record=True).steps or []
        title = " - ".join(t for t in (self.job.part, self.job.operation, "calculation") if t)
        return Sheet(title, tuple(steps), foot_of(self.assumed, inputs))


@overload
def plan(job: FinishingJob) -> Plan: ...
@overload
def plan(job: RoughingJob) -> RoughingPlan: ...
def plan(job: FinishingJob | RoughingJob) -> Plan | RoughingPlan:
    """Return the plan of a job.

    Parameters
    ----------
    job
        A `FinishingJob` or a `RoughingJob`.

    Raises
    ------
    ImpossibleJobError
        The job cannot be cut; each fault says what would make it possible.
    UnknownNameError
        The material is not in the catalogue or lacks what is needed.

    Examples
    --------
    >>> from millcalc.planning import example_job
    >>> print(f"{plan(example_job()).spindle_speed:.0f~P}")
    17500 rpm
    """
    if not isinstance(job, FinishingJob):
        from millcalc.planning.roughing.job import RoughingJob  # loaded when it is planned, not with the package

        if isinstance(job, RoughingJob):
            from millcalc.planning.roughing.plan import plan_roughing

            return plan_roughing(job)
        fault = Fault(
            "job", repr(job)[:60], "it is no job", "a FinishingJob or RoughingJob; read_job reads one from a file"
        )
        raise ArgumentError("nothing to plan", (fault,))
    inputs = inputs_of(job)
    done = run(inputs.choices, inputs.numbers)
    values = {name: plain(v) for name, v in (inputs.numbers | done.values).items()}
    faults = [fault_of(name, values) for name, where in done.faults.items() if np.any(where)]
    if faults:
        raise ImpossibleJobError("the job cannot be cut as it is stated", faults)
    named = [name for name in CAUTIONS if np.any(done.cautions.get(name, False))]
    rest = {
        "conditions": _conditions(done),
        "job": job,
        "governed": causes_of(done, CAUSES),
        "margins": margins_of(single(values)),
        "cautions": ranked([caution_text(n, values) for n in named], inputs.material, job.shop.hardness),
        "assumed": inputs.assumed,
        "basis": rows_used(inputs),
    }
    return Plan._from_numbers(stated_numbers(Plan, values) | rest)


def _conditions(done: Calculation) -> tuple[Condition, ...]:
    """Return the numbers of each condition, if there is more than one."""
    if len(done.conditions) < 2:
        return ()
    made = []
    for place, name in enumerate(done.conditions):
        each = {n: plain(v[min(place, len(v) - 1)]) for n, v in done.each.items() if v is not None}
        made.append(Condition._from_numbers({"name": name} | each))
    # an end of the range is often where the axis leans least: it is shown once
    alike = [c.with_(name="") for c in made]
    return tuple(c for place, c in enumerate(made) if alike[place] not in alike[:place])
