"""How far what nobody stated may be off: ranges of assumed values, each with its source."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import attrs

from millcalc.planning.inputs import inputs_of
from millcalc.planning.job import FinishingJob

if TYPE_CHECKING:
    from millcalc.planning.inputs import AnyJob

__all__ = ["RANGES", "ROUGHING_RANGES", "Range", "ranges_of"]


@attrs.frozen
class Range:
    """The range of an input, in trade units, or as multiples of its value; `choice` marks what the user decides."""

    low: float
    high: float
    meaning: str
    relative: bool = False
    choice: bool = False
    source: str = "PRACTICE"

    def around(self, value: float) -> tuple[float, float]:
        """Return both ends for a value, which lies between them."""
        ends = (self.low * value, self.high * value) if self.relative else (self.low, self.high)
        return min(ends[0], value), max(ends[1], value)


RANGES: dict[str, Range] = {
    "scallop_share": Range(0.3, 0.7, "shops give a third to two thirds of the finish to the scallop", choice=True),
    "chord_tolerance_share": Range(0.05, 0.25, "a twentieth to a quarter of the form tolerance", choice=True),
    "chord_scallop_share": Range(0.2, 0.5, "a fifth to half of the scallop", choice=True),
    "chord_start_share": Range(0.25, 1.0, "from the start or after widening", choice=True),
    "speed_position": Range(0.0, 1.0, "both ends of the material's window", choice=True),
    "feed_position": Range(0.0, 1.0, "both ends of the chart", choice=True),
    "feed_factor": Range(1.0, 3.0, "no thinning counted, or up to thrice the chart", choice=True),
    "entry_factor": Range(0.25, 1.0, "short or long entries", choice=True),
    "clearance": Range(2.0, 20.0, "low or careful retracts", choice=True),
    "characters": Range(20.0, 60.0, "short or long blocks"),
    "time_factor": Range(1.0, 1.5, "a measured time is seldom below the computed one, often half above"),
    "helix": Range(20.0, 45.0, "ordinary end mills"),
    "edge_radius": Range(0.5, 2.0, "a sharp or a worn edge", relative=True),
    "eccentricity": Range(0.4, 3.0, "a shrink-fit holder or a worn collet", relative=True),
    "acceleration": Range(0.4, 2.0, "machines of one class differ so far", relative=True),
    "block_time": Range(0.4, 2.5, "controls of one class differ so far", relative=True),
    "rapid_rate": Range(0.5, 1.5, "machines of one class differ so far", relative=True),
    "deflection_share": Range(0.3, 0.7, "a third to two thirds of the form tolerance", choice=True),
    "least_width_share": Range(0.3, 0.8, "how far a shop lets the stepover shrink", choice=True),
}
"""Ranges by the name of the input; what the user decides is no uncertainty of the result."""

ROUGHING_RANGES: dict[str, Range] = {
    "width_share": Range(0.5, 1.5, "half to one and a half times the usual width", relative=True, choice=True),
    "depth_share": Range(0.5, 1.5, "half to one and a half times the usual depth", relative=True, choice=True),
    "slot_share": Range(1.3, 2.0, "a narrow or a wide trochoidal slot", choice=True),
    "entry_share": Range(1.3, 1.9, "a narrow or a wide hole of entry", choice=True),
    "entry_feed_share": Range(0.3, 0.7, "a careful or a bold entry", choice=True),
    "ramp_angle": Range(1.0, 5.0, "what makers of end mills allow", choice=True),
    "tolerance_share": Range(0.05, 0.2, "a twentieth to a fifth of the stock left", choice=True),
    "least_depth_share": Range(0.1, 0.5, "how far a shop lets the depth shrink", choice=True),
}
"""Those of roughing besides."""


def ranges_of(job: AnyJob) -> Mapping[str, tuple[float, float, float, Range]]:
    """Return value, low and high of every assumed input of a job that has a range, in trade units.

    Examples
    --------
    >>> from millcalc.planning import example_job
    >>> ranges_of(example_job())["block_time"][:3]
    (2.0, 0.8, 5.0)
    """
    found: dict[str, tuple[float, float, float, Range]] = {}
    for row in _assumed(job):
        known = (RANGES | ROUGHING_RANGES).get(row.name)
        value: Any = row.value
        if known is not None and isinstance(value, (int, float)):
            low, high = known.around(float(value))
            found[row.name] = (float(value), low, high, known)
    return found


def _assumed(job: AnyJob) -> tuple[Any, ...]:
    if isinstance(job, FinishingJob):
        return inputs_of(job).assumed
    from millcalc.planning.roughing.inputs import roughing_inputs  # loaded when it is asked, not with the package

    return roughing_inputs(job).assumed
