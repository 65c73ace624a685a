"""What several families refuse alike, and how a limit is written so that the number printed is itself accepted."""

import math

from millcalc.errors import Fault

__all__ = ["SLACK", "arc_faults", "at_least", "at_most", "refused", "segment_faults"]

SLACK = 1e-9
"""Relative distance to a limit below which a piece would have no length worth naming."""
_STEPS = 1e4  # a limit is printed to 0.0001 mm


def at_least(limit: float) -> str:
    """Write a lower limit [mm], rounded up."""
    return f"{math.ceil(limit * _STEPS - 1e-6) / _STEPS:.10g}"


def at_most(limit: float) -> str:
    """Write an upper limit [mm], rounded down."""
    return f"{math.floor(limit * _STEPS + 1e-6) / _STEPS:.10g}"


def refused(name: str, value: float, reason: str, accepted: str) -> Fault:
    """Return the fault of a length [mm]."""
    return Fault(name, f"{value:g} mm", reason, accepted)


def segment_faults(segment: float, diameter: float) -> list[Fault]:
    """Return the fault of a segment no flatter than a ball of the whole diameter [mm]."""
    half = 0.5 * diameter
    if segment > half * (1.0 + SLACK):
        return []
    reason = f"an arc of half the diameter, {half:g} mm, is a ball nose and a smaller one does not reach as far"
    return [refused("segment_radius", segment, reason, f"above {at_least(half)} mm")]


def arc_faults(name: str, radius: float, diameter: float) -> list[Fault]:
    """Return the fault of a tip or corner that fills the whole diameter [mm]."""
    half = 0.5 * diameter
    if radius < half * (1.0 - SLACK):
        return []
    reason = f"from half the diameter, {half:g} mm, on it fills the whole cutter: no segment is left"
    return [refused(name, radius, reason, f"below {at_most(half)} mm")]
