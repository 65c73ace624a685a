"""How far each limit is away, and whether that is more than what the numbers behind it may be off."""

from collections.abc import Mapping
from typing import Any

import attrs

from millcalc.quantities.display import quantity_text
from millcalc.quantities.kinds import (
    BLOCK_RATE,
    CHIP_THICKNESS,
    DEFLECTION,
    FEED_RATE,
    FORCE,
    LENGTH,
    POWER,
    SPINDLE_SPEED,
    STRESS,
    TORQUE,
    Kind,
)

__all__ = ["Margin", "margins_of"]

_CHIP_SPREAD = 0.5  # least chip over edge radius: 0.14 to 0.68 in the sources


@attrs.frozen
class Margin:
    """One limit: what is used of it, in trade units, and the spread of what it is computed from.

    `margin` is the share of the limit that is left, below 0 where it is exceeded.
    """

    name: str
    used: float
    limit: float
    kind: Kind
    spread: float = 0.0
    is_floor: bool = False
    """Whether the limit is one to stay above."""

    @property
    def margin(self) -> float:
        return 1.0 - (self.limit / self.used if self.is_floor and self.used else self.used / self.limit)

    @property
    def verdict(self) -> str:
        """ "kept", "exceeded", or "not decided" where the margin is smaller than the spread of its inputs."""
        if self.spread and -self.spread < self.margin < self.spread:
            return "not decided"
        return "kept" if self.margin >= -1e-6 else "exceeded"

    @property
    def texts(self) -> tuple[str, str]:
        """What is used and the limit, in the system of units in use."""
        used, limit = (quantity_text(value, self.kind, digits=3) for value in (self.used, self.limit))
        return used, limit

    def __str__(self) -> str:
        used, limit = self.texts
        word = "at least" if self.is_floor else "of"
        return f"{self.name}: {used} {word} {limit}, {100.0 * self.margin:.0f} % left: {self.verdict}"


# name, what is used, the limit, kind, and which spread it has
_ROWS = (
    ("spindle speed, machine", "spindle_speed", "largest_spindle_speed", SPINDLE_SPEED, ""),
    ("spindle speed, holder", "spindle_speed", "holder_spindle_speed", SPINDLE_SPEED, ""),
    ("spindle speed, cutter", "spindle_speed", "rated_spindle_speed", SPINDLE_SPEED, ""),
    ("feed rate, machine", "feed_rate", "largest_feed_rate", FEED_RATE, ""),
    ("blocks a second", "block_rate", "largest_block_rate", BLOCK_RATE, ""),
    ("form tolerance: chord, scallop, deflection", "form_budget", "form_tolerance", LENGTH, ""),
    ("power", "cutting_power", "power_limit", POWER, "force_spread"),
    ("power, first pass", "first_pass_cutting_power", "power_limit", POWER, "force_spread"),
    ("power, full width", "slot_cutting_power", "power_limit", POWER, "force_spread"),
    ("power, entry", "entry_cutting_power", "power_limit", POWER, "force_spread"),
    ("power, corners", "corner_cutting_power", "power_limit", POWER, "force_spread"),
    ("torque", "mean_torque", "torque_limit", TORQUE, "force_spread"),
    ("torque, first pass", "first_pass_mean_torque", "torque_limit", TORQUE, "force_spread"),
    ("torque, full width", "slot_mean_torque", "torque_limit", TORQUE, "force_spread"),
    ("torque, entry", "entry_mean_torque", "torque_limit", TORQUE, "force_spread"),
    ("torque, corners", "corner_mean_torque", "torque_limit", TORQUE, "force_spread"),
    ("thrust", "mean_force", "thrust_limit", FORCE, "force_spread"),
    ("thrust, first pass", "first_pass_mean_force", "thrust_limit", FORCE, "force_spread"),
    ("thrust, full width", "slot_mean_force", "thrust_limit", FORCE, "force_spread"),
    ("thrust, entry", "entry_mean_force", "thrust_limit", FORCE, "force_spread"),
    ("thrust, corners", "corner_mean_force", "thrust_limit", FORCE, "force_spread"),
    ("tip deflection", "tip_deflection", "deflection_allowed", DEFLECTION, "force_spread"),
    ("tip deflection, first pass", "first_pass_tip_deflection", "deflection_allowed", DEFLECTION, "force_spread"),
    ("tip deflection, full width", "slot_tip_deflection", "deflection_allowed", DEFLECTION, "force_spread"),
    ("tip deflection, entry", "entry_tip_deflection", "deflection_allowed", DEFLECTION, "force_spread"),
    ("tip deflection, corners", "corner_tip_deflection", "deflection_allowed", DEFLECTION, "force_spread"),
    ("bending stress", "bending_stress", "allowable_stress", STRESS, "force_spread"),
    ("bending stress, full width", "slot_bending_stress", "allowable_stress", STRESS, "force_spread"),
    ("bending stress, entry", "entry_bending_stress", "allowable_stress", STRESS, "force_spread"),
    ("bending stress, corners", "corner_bending_stress", "allowable_stress", STRESS, "force_spread"),
    ("bending stress, first pass", "first_pass_bending_stress", "allowable_stress", STRESS, "force_spread"),
)


def margins_of(values: Mapping[str, Any]) -> tuple[Margin, ...]:
    """Return the margins of a plan from its numbers, the tightest first."""
    known = {name: value for name, value in values.items() if value is not None}
    if known.get("block_time"):
        known["largest_block_rate"] = 1000.0 / known["block_time"]
    made = [
        Margin(name, known[used], known[limit], kind, known.get(spread, 0.0))
        for name, used, limit, kind, spread in _ROWS
        if used in known and limit in known
    ]
    pair = known["mean_chip_thickness"], known["least_chip"]
    made.append(Margin("mean chip, above the least", *pair, CHIP_THICKNESS, _CHIP_SPREAD, True))
    return tuple(sorted(made, key=lambda m: m.margin))
