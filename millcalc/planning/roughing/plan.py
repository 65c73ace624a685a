"""`plan(job)` of a roughing job: every number of the cut, what governed it, what it leaves, and the cautions."""

from typing import Any

import numpy as np

from millcalc.errors import ImpossibleJobError
from millcalc.planning import motion, speeds_feeds
from millcalc.planning.assumed import Assumed
from millcalc.planning.cautions import Caution, caution_text
from millcalc.planning.faults import fault_of
from millcalc.planning.margins import Margin, margins_of
from millcalc.planning.reported import Reported, causes_of, foot_of, plain, ranked, rows_used, single, stated_numbers
from millcalc.planning.roughing import cut, entry
from millcalc.planning.roughing.inputs import roughing_inputs
from millcalc.planning.roughing.job import RoughingJob
from millcalc.planning.roughing.kernel import run
from millcalc.planning.roughing.remarks import ROUGHING_CAUTIONS, ROUGHING_FAULTS
from millcalc.quantities.kinds import (
    Angle,
    ChipThickness,
    Cost,
    Count,
    CuttingSpeed,
    Deflection,
    FeedPerTooth,
    FeedRate,
    Force,
    Frequency,
    Length,
    Power,
    Ratio,
    RemovalRate,
    SpindleSpeed,
    Stiffness,
    Stress,
    Time,
    Torque,
)
from millcalc.quantities.record import entry as field
from millcalc.quantities.record import record
from millcalc.quantities.sheet import Sheet

__all__ = ["ROUGHING_CAUSES", "RoughingPlan", "plan_roughing"]

ROUGHING_CAUSES: dict[str, tuple[str, ...]] = {
    "axial_depth": cut.DEPTH_CAUSES,
    "radial_width": cut.WIDTH_CAUSES,
    "spindle_speed": speeds_feeds.SPINDLE_CAUSES,
    "feed_per_tooth": cut.FEED_CAUSES,
    "feed_rate": motion.FEED_RATE_CAUSES,
    "slot_feed_rate": cut.SLOT_CAUSES,
    "loop_feed_rate": entry.LOOP_CAUSES,
    "entry_feed_rate": cut.SLOT_CAUSES,
    "corner_feed_rate": entry.CORNER_CAUSES,
    "entry_hole_diameter": entry.HOLE_CAUSES,
}
"""For each number that is chosen, the causes that may govern it."""


@record
class RoughingPlan(Reported):
    """A plan of roughing: frozen, each number a quantity; None where the job has no such thing.

    `governed` tells what governed each chosen number, `cautions` come worst first, `assumed` lists the values
    nobody gave.  The times are lower bounds.
    """

    rough_width: Length = field(meaning="width to rough")
    rough_length: Length = field(meaning="length to rough")
    rough_depth: Length = field(meaning="depth to rough")
    levels: Count = field(meaning="number of levels")
    axial_depth: Length = field(meaning="axial depth of a level")
    radial_width: Length = field(meaning="radial width beside a pass")
    engagement_angle: Angle = field(meaning="angle of engagement beside a pass")
    passes: Count = field(meaning="passes of a level: rings round the centre line, or side by side")
    spindle_speed: SpindleSpeed = field(meaning="spindle speed as set")
    cutting_speed: CuttingSpeed = field(meaning="cutting speed at the largest diameter")
    wanted_chip: ChipThickness = field(meaning="chip thickness wanted")
    chip_thickness: ChipThickness = field(meaning="largest chip thickness beside a pass")
    mean_chip_thickness: ChipThickness = field(meaning="mean chip thickness beside a pass")
    least_chip: ChipThickness = field(meaning="least chip the edge can cut")
    feed_per_tooth: FeedPerTooth = field(meaning="feed per tooth beside a pass")
    feed_rate: FeedRate = field(meaning="feed rate beside a pass, as set")
    slot_feed_per_tooth: FeedPerTooth = field(meaning="feed per tooth at full width")
    slot_feed_rate: FeedRate = field(meaning="feed rate at full width, as set")
    slot_chip_thickness: ChipThickness = field(meaning="largest chip thickness at full width")
    slot_width: Length = field(meaning="width of the trochoidal slot")
    loop_step: Length = field(meaning="step between the loops")
    loop_radius: Length = field(meaning="radius of the loops, at the axis")
    loop_feed_rate: FeedRate = field(meaning="feed rate round the loops, as set")
    loops: Count = field(meaning="loops of a level")
    entry_hole_diameter: Length = field(meaning="hole of the helical entry")
    entry_path_radius: Length = field(meaning="radius of the helix, at the axis")
    entry_pitch: Length = field(meaning="pitch of the helix")
    ramp_passes: Count = field(meaning="ramps to a level")
    entry_angle: Angle = field(meaning="angle of the entry")
    entry_engagement: Angle = field(meaning="angle of engagement of the entry")
    entry_depth: Length = field(meaning="depth in stock during the entry")
    entry_path_length: Length = field(meaning="path of an entry")
    entry_feed_rate: FeedRate = field(meaning="feed rate of the entry, as set")
    entry_feed_per_tooth: FeedPerTooth = field(meaning="feed per tooth of the entry")
    entry_axial_feed: FeedPerTooth = field(meaning="of it along the axis, the chip under the tooth's end")
    entry_chip_thickness: ChipThickness = field(meaning="largest chip thickness of the entry")
    corner_engagement: Angle = field(meaning="largest angle of engagement in inside corners")
    corner_feed_rate: FeedRate = field(meaning="feed rate that keeps the mean chip there")
    corner_depth: Length = field(meaning="stock of the larger cutter in a corner, along the bisector")
    corner_stock: Length = field(meaning="stock over the fillet of inside corners, along the bisector")
    slope_step: Length = field(meaning="step of the passes along the slopes")
    slope_passes: Count = field(meaning="passes along the slopes in each level")
    removal_rate: RemovalRate = field(meaning="removal rate beside a pass")
    mean_removal_rate: RemovalRate = field(meaning="removal rate, mean of the operation")
    stair_thickness: Length = field(meaning="thickest stair left on the slopes, along the normal")
    greatest_depth: Length = field(meaning="greatest depth left for the next operation")
    depth_ratio: Ratio = field(meaning="greatest over least depth left: how far the next load peaks")
    tolerance: Deflection = field(meaning="tolerance of the path")
    cutting_power: Power = field(meaning="power at the cutter")
    mean_torque: Torque = field(meaning="mean torque")
    peak_torque: Torque = field(meaning="largest torque of a turn")
    peak_bending: Force = field(meaning="largest force that bends the tool")
    mean_force: Force = field(meaning="largest mean force on an axis")
    slot_cutting_power: Power = field(meaning="power, full width")
    slot_mean_torque: Torque = field(meaning="mean torque, full width")
    slot_peak_bending: Force = field(meaning="largest force that bends the tool, full width")
    entry_cutting_power: Power = field(meaning="power, entry")
    entry_peak_bending: Force = field(meaning="largest force that bends the tool, entry")
    corner_cutting_power: Power = field(meaning="power, in the corners")
    corner_peak_bending: Force = field(meaning="largest force that bends the tool, in the corners")
    corner_tip_deflection: Deflection = field(meaning="deflection of the tip, in the corners")
    tip_stiffness: Stiffness = field(meaning="stiffness at the tip")
    tip_deflection: Deflection = field(meaning="deflection of the tip")
    deflection_allowed: Deflection = field(meaning="deflection allowed: its share of the stock left")
    slot_tip_deflection: Deflection = field(meaning="deflection of the tip, full width")
    entry_tip_deflection: Deflection = field(meaning="deflection of the tip, entry")
    bending_stress: Stress = field(meaning="bending stress")
    slot_bending_stress: Stress = field(meaning="bending stress, full width")
    natural_frequency: Frequency = field(meaning="natural frequency of the tool, an estimate")
    path_length: Length = field(meaning="path length in the cut")
    slot_time: Time = field(meaning="of it the trochoidal slot of a level")
    slope_time: Time = field(meaning="of it the passes along the slopes")
    cutting_time: Time = field(meaning="in the cut")
    entry_exit_time: Time = field(meaning="entries")
    acceleration_time: Time = field(meaning="lost to acceleration")
    link_time: Time = field(meaning="links, and returns through the air")
    rapid_time: Time = field(meaning="rapid moves")
    operation_time: Time = field(meaning="time of the operation, a lower bound")
    tool_life: Time = field(meaning="life of an edge at this cut, mean")
    shortest_life: Time = field(meaning="life of an edge, the shortest to expect")
    longest_life: Time = field(meaning="life of an edge, the longest to expect")
    life_path: Length = field(meaning="path in the cut that the shortest life lasts")
    life_used: Ratio = field(meaning="share of the shortest life that a part uses")
    parts_per_edge: Count = field(meaning="whole parts that an edge lasts")
    cutters_needed: Count = field(meaning="edges needed for all parts")
    least_cost_speed: CuttingSpeed = field(meaning="cutting speed of least cost, at this feed per tooth")
    most_output_speed: CuttingSpeed = field(meaning="cutting speed of most output, at this feed per tooth")
    part_time: Time = field(meaning="time of a part, with its share of the changes")
    machine_cost: Cost = field(meaning="cost of the machine's time")
    operation_cost: Cost = field(meaning="cost of the operation for a part, with edges and changes")
    job: RoughingJob = field(meaning="the job")
    governed: tuple[tuple[str, str], ...] = field(meaning="what governed each chosen number: pairs of name and cause")
    margins: tuple[Margin, ...] = field(meaning="how far each limit is away, the tightest first")
    cautions: tuple[Caution, ...] = field(meaning="the cautions, worst first")
    assumed: tuple[Assumed, ...] = field(meaning="the values nobody gave")
    basis: tuple[Any, ...] = field(meaning="the rows of the material that were used")

    def sheet(self) -> Sheet:
        """Return the whole calculation as one page, by running the kernel again with a recorder."""
        inputs = roughing_inputs(self.job)
        steps = run(inputs.choices, inputs.numbers, record=True).steps or []
        title = " - ".join(t for t in (self.job.part, self.job.operation, "calculation") if t)
        return Sheet(title, tuple(steps), foot_of(self.assumed, inputs))


def plan_roughing(job: RoughingJob) -> RoughingPlan:
    """Return the plan of a roughing job; `plan` calls it."""
    inputs = roughing_inputs(job)
    done = run(inputs.choices, inputs.numbers)
    values = {name: plain(v) for name, v in (inputs.numbers | done.values).items()}
    faults = [fault_of(name, values, ROUGHING_FAULTS) for name, where in done.faults.items() if np.any(where)]
    if faults:
        raise ImpossibleJobError("the job cannot be cut as it is stated", faults)
    named = [name for name in ROUGHING_CAUTIONS if np.any(done.cautions.get(name, False))]
    rest = {
        "job": job,
        "governed": causes_of(done, ROUGHING_CAUSES),
        "margins": margins_of(single(values)),
        "cautions": ranked(
            [caution_text(n, values, ROUGHING_CAUTIONS) for n in named], inputs.material, job.shop.hardness
        ),
        "assumed": inputs.assumed,
        "basis": rows_used(inputs),
    }
    return RoughingPlan._from_numbers(stated_numbers(RoughingPlan, values) | rest)
