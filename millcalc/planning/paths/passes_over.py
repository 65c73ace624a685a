"""The two passes over a block: first what each point wants and allows, then, with its neighbours known, the time."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import attrs
import numpy as np

from millcalc.planning.paths.along import Envelope, Joint, envelope_of, run
from millcalc.planning.paths.blocks import Block, Work
from millcalc.planning.paths.cutting import BallCut, leans
from millcalc.planning.paths.feeds import rates, spindle
from millcalc.planning.paths.form_values import FormCut
from millcalc.planning.paths.moves import Laid, lay_out
from millcalc.planning.paths.settings import Settings

__all__ = ["VALUES", "Done", "Kernel", "Wanted"]

VALUES = (
    "step",
    "lead",
    "tilt",
    "least_diameter",
    "contact_diameter",
    "largest_diameter",
    "spindle_speed",
    "least_speed",
    "contact_speed",
    "largest_speed",
    "feed_per_tooth",
    "feed_rate",
    "mean_feed_rate",
    "chip_thickness",
    "block_time",
    "removal_rate",
    "power",
    "scallop_height",
    "cause",
)
"""What is told of each point, in the order of the tables."""
_SPEED = np.pi / 1000.0
Target = Any


@attrs.define(eq=False)
class Wanted:
    """A block whose cut is known and whose time is not."""

    block: Block
    work: Work
    values: dict[str, Any]
    envelope: Envelope
    way: Any
    speed: Any
    chip_share: Any
    mean_share: Any
    depth: Any
    idle: Any
    """Points to which the move cuts nothing, or None."""


@attrs.define(eq=False)
class Done:
    """A finished block."""

    block: Block
    work: Work
    values: dict[str, Any]
    time: Any
    cause: Any
    step: Any
    empty: Any


class Kernel:
    """The passes over blocks with one cutter, machine and cut; `target` gives the array that a value goes into."""

    def __init__(
        self, s: Settings, names: tuple[str, ...], constants: Mapping[str, float], keep: frozenset[str]
    ) -> None:
        self.s = s
        self.names = names
        self.constants = constants
        self.keep = keep
        self.tool = BallCut(s) if s.is_ball else FormCut(s)

    def first(self, block: Block, work: Work, target: Target) -> Wanted:
        """Find what cuts, the speeds, the feed rates, and the caps of the points."""
        s, m = self.s, block.count
        laid = lay_out(block, work, s, self.constants, self.names)
        named = ("feed_rate", "rapid", "normal_depth")
        columns = {n: self.constants[n] for n in named if n in self.constants}
        columns |= {n: block.columns[n][1 : m + 1] for n in named if n in self.names}
        depth = columns.get("normal_depth", s.depth)
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            values = self._cut(laid, depth, target)
            speed = spindle(s, laid, values["contact_diameter"], target("spindle_speed", work, m))
            share = self.tool.chip_share(laid, depth)
            feed = s.feed_per_tooth if s.feed_per_tooth is not None else np.divide(s.chip_thickness or 0.0, share)
            values |= self._speeds(values, speed, work, m, target)
            values |= {"spindle_speed": speed, "feed_per_tooth": feed, "scallop_height": self._scallop(laid)}
            rate, cause = rates(s, laid, feed, speed, columns)
            if "feed_rate" in self.keep:
                values["feed_rate"] = np.multiply(rate, 60.0, out=target("feed_rate", work, m))
            envelope = envelope_of(s, work, self._ahead(laid), rate, cause, laid.corner, block.first)
            empty, idle = self._empty(laid, columns)
            _blank(values, _AT_POINT, empty)
            mean = self.tool.mean_chip_share(laid, depth) if s.kienzle and s.load_wanted else None
        return Wanted(block, work, values, envelope, laid.contact_step[:m], speed, share, mean, depth, idle)

    def _scallop(self, laid: Laid) -> Any:
        return self.tool.scallop(laid) if "scallop_height" in self.keep else None

    def _ahead(self, laid: Laid) -> Any:
        """Lengths of moves, those after the block without the one that the path does not have."""
        if not laid.block.last:
            return laid.step
        return laid.step[: laid.count]

    def _cut(self, laid: Laid, depth: Any, target: Target) -> dict[str, Any]:
        work, m = laid.work, laid.count
        names = ("least_diameter", "contact_diameter", "largest_diameter")
        out = tuple(target(name, work, m) for name in names)
        self.tool.diameters(laid, depth, out)
        values = dict(zip(names, out, strict=True))
        if self.keep & {"lead", "tilt"}:
            for name, found in zip(("lead", "tilt"), leans(laid), strict=True):
                held = target(name, work, m)
                held[:] = found
                values[name] = held
        if "step" in self.keep:
            held = target("step", work, m)
            held[:] = laid.step[:m]
            if laid.block.first:
                held[0] = 0.0
            values["step"] = held
        return values

    def _speeds(self, values: dict[str, Any], speed: Any, work: Work, m: int, target: Target) -> dict[str, Any]:
        found = {}
        factor = np.multiply(speed, _SPEED)
        for which in ("least", "contact", "largest"):
            name = f"{which}_speed"
            if name in self.keep:
                found[name] = np.multiply(values[f"{which}_diameter"], factor, out=target(name, work, m))
        return found

    def _empty(self, laid: Laid, columns: Mapping[str, Any]) -> tuple[Any, Any]:
        """Return at which points nothing cuts, and on the moves to which."""
        empty, idle = laid.undefined, laid.plunging
        if "rapid" in columns:
            fast = np.broadcast_to(columns["rapid"] != 0.0, (laid.count,))
            empty = fast if empty is None else empty | fast
            idle = fast if idle is None else idle | fast
        if empty is not None:
            idle = empty if idle is None else idle | empty
        return tuple(mask if mask is not None and mask.any() else None for mask in (empty, idle))  # type: ignore[return-value]

    def second(self, wanted: Wanted, joint: Joint, behind: float, target: Target) -> Done:
        """Find the time of each move, and what follows from it."""
        s, work, m, block = self.s, wanted.work, wanted.block.count, wanted.block
        values = wanted.values
        time = work.get("time", m)
        step = wanted.envelope.step
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            cause = run(s, work, wanted.envelope, joint, behind, time)
            if "block_time" in self.keep:
                values["block_time"] = np.multiply(time, 1000.0, out=target("block_time", work, m))
            if "mean_feed_rate" in self.keep:
                mean = np.divide(step, time, out=target("mean_feed_rate", work, m))
                values["mean_feed_rate"] = np.multiply(mean, 60.0, out=mean)
            self._load(wanted, time, target)
            if block.first:
                self._start(values)
            _blank(values, _ON_MOVE, wanted.idle)
        if "cause" in self.keep:
            held = target("cause", work, m)
            held[:] = cause
            values["cause"] = held
        return Done(block, work, values, time, cause, step, wanted.idle)

    def _load(self, wanted: Wanted, time: Any, target: Target) -> None:
        """Chip, removal rate and power at the mean feed of each move at the contact."""
        s, work, m, values = self.s, wanted.work, wanted.block.count, wanted.values
        if not self.keep & {"chip_thickness", "removal_rate", "power"}:
            return
        contact = np.divide(wanted.way, time, out=work.get("a1", m))
        contact *= 60.0
        if "chip_thickness" in self.keep:
            share = np.divide(wanted.chip_share, np.multiply(wanted.speed, s.teeth))
            values["chip_thickness"] = np.multiply(contact, share, out=target("chip_thickness", work, m))
        if math.isinf(s.stepover):
            return
        removal = target("removal_rate", work, m)
        np.multiply(contact, np.multiply(wanted.depth, s.stepover / 1000.0), out=removal)
        if "removal_rate" in self.keep:
            values["removal_rate"] = removal
        if "power" in self.keep and s.load_wanted:
            power = target("power", work, m)
            np.multiply(removal, 1.0 / 60_000.0, out=power)
            if s.kienzle is None:
                power *= s.specific_force
            else:
                feed = np.divide(contact, np.multiply(wanted.speed, s.teeth))
                power *= s.kienzle[0] * np.power(feed * wanted.mean_share, -s.kienzle[1])
            values["power"] = power

    def _start(self, values: dict[str, Any]) -> None:
        """No move leads to the first point, so nothing of one is told."""
        _blank(values, ("mean_feed_rate", *_ON_MOVE), 0)


def _blank(values: dict[str, Any], names: tuple[str, ...], rows: Any) -> None:
    """Put NaN where nothing is to be told."""
    if rows is not None:
        for name in names:
            if isinstance(values.get(name), np.ndarray):
                values[name][rows] = np.nan


_AT_POINT = (
    "lead",
    "tilt",
    "least_diameter",
    "contact_diameter",
    "largest_diameter",
    "least_speed",
    "contact_speed",
    "largest_speed",
    "feed_per_tooth",
    "scallop_height",
)
_ON_MOVE = ("chip_thickness", "removal_rate", "power")
