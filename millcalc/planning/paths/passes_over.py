"""The two passes over a block: first what each point wants and allows, then, with its neighbours known, the time."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import attrs
import numpy as np

from millcalc.planning.paths.along import Envelope, Joint, envelope_of, run
from millcalc.planning.paths.blocks import Block
from millcalc.planning.paths.cutting import BallCut, leans
from millcalc.planning.paths.extremes import Extreme, extremes_of
from millcalc.planning.paths.feeds import rates, spindle
from millcalc.planning.paths.form_values import FormCut
from millcalc.planning.paths.moves import Laid, lay_out
from millcalc.planning.paths.pointwise import SPEED
from millcalc.planning.paths.settings import Settings

__all__ = ["AT_POINT", "VALUES", "Done", "Kernel", "Wanted", "ahead_of", "blank"]

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
_ALONG = ("mean_feed_rate", "chip_thickness", "block_time", "removal_rate", "power")
"""Values that the second pass finds."""
_CUT = tuple(n for n in VALUES if n not in (*_ALONG, "cause", "step", "lead", "tilt"))
_PROGRAM = ("feed_rate", "rapid", "normal_depth")
Target = Any


@attrs.define(eq=False)
class Wanted:
    """A block whose cut is known and whose time is not."""

    block: Block
    values: dict[str, Any]
    envelope: Envelope
    way: Any
    speed: Any
    chip_share: Any
    mean_share: Any
    depth: Any
    idle: Any
    """Points to which the move cuts nothing, or None."""
    extremes: dict[str, Extreme]
    """Of the values so far."""
    by_loops: bool = False
    """Whether compiled loops have found them."""


@attrs.define(eq=False)
class Done:
    """A finished block."""

    block: Block
    values: dict[str, Any]
    time: Any
    cause: Any
    step: Any
    empty: Any
    extremes: dict[str, Extreme]
    """With the points of the block in place of rows."""
    sums: Any = None
    """Moves and times [s] by cause, where they are known already."""


class Kernel:
    """The passes over blocks with one cutter, machine and cut; `target` gives the array that a value goes into."""

    def __init__(
        self, s: Settings, names: tuple[str, ...], constants: Mapping[str, float], keep: frozenset[str]
    ) -> None:
        self.s = s
        self.names = names
        self.constants = constants
        self.keep = keep
        self.tool: BallCut | FormCut = BallCut(s) if s.is_ball else FormCut(s)

    def first(self, block: Block, target: Target) -> Wanted:
        """Find what cuts, the speeds, the feed rates, and the caps of the points."""
        s = self.s
        laid = lay_out(block, s, self.constants, self.names)
        columns = self._program(block)
        depth = columns.get("normal_depth", s.depth)
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            values = self._cut(laid, depth, target)
            speed = spindle(s, values["contact_diameter"])
            share = self.tool.chip_share(laid, depth)
            feed = self._feed(share)
            values |= self._speeds(values, speed, target)
            values |= {"spindle_speed": speed, "feed_per_tooth": feed, "scallop_height": self._scallop(laid)}
            rate, cause = rates(s, laid, feed, speed, columns)
            if "feed_rate" in self.keep:
                values["feed_rate"] = np.multiply(rate, 60.0, out=target("feed_rate"))
            envelope = envelope_of(s, ahead_of(block, laid.step), rate, cause, laid.corner, block.first)
            empty, idle = _empty(laid, columns)
            blank(values, AT_POINT, empty)
            mean = self.tool.mean_chip_share(laid, depth) if s.kienzle and s.load_wanted else None
        extremes = extremes_of(values, [n for n in _CUT if n in self.keep], block.first)
        way = laid.contact_step
        return Wanted(block, values, envelope, way, speed, share, mean, depth, idle, extremes)

    def _scallop(self, laid: Laid) -> Any:
        return self.tool.scallop(laid) if "scallop_height" in self.keep else None

    def _program(self, block: Block) -> dict[str, Any]:
        """What the path states of the cut at each point of a block."""
        columns: dict[str, Any] = {n: self.constants[n] for n in _PROGRAM if n in self.constants}
        return columns | {n: block.columns[n][1 : block.count + 1] for n in _PROGRAM if n in self.names}

    def _feed(self, share: Any) -> Any:
        """Feed per tooth, by the largest chip's share of it."""
        s = self.s
        return s.feed_per_tooth if s.feed_per_tooth is not None else np.divide(s.chip_thickness or 0.0, share)

    def _cut(self, laid: Laid, depth: Any, target: Target) -> dict[str, Any]:
        names = ("least_diameter", "contact_diameter", "largest_diameter")
        out = tuple(target(name) for name in names)
        self.tool.diameters(laid, depth, out)
        values = dict(zip(names, out, strict=True))
        return values | self._moves(laid.block, laid.step, laid.axis, target)

    def _moves(self, block: Block, step: Any, axis: Any, target: Target) -> dict[str, Any]:
        """Leans and lengths of moves, where they are kept."""
        values = {}
        if self.keep & {"lead", "tilt"}:
            for name, found in zip(("lead", "tilt"), leans(axis), strict=True):
                values[name] = target(name)
                values[name][:] = found
        if "step" in self.keep:
            values["step"] = target("step")
            values["step"][:] = step[: block.count]
            if block.first:
                values["step"][0] = 0.0
        return values

    def _speeds(self, values: dict[str, Any], speed: Any, target: Target) -> dict[str, Any]:
        found = {}
        factor = np.multiply(speed, SPEED)
        for which in ("least", "contact", "largest"):
            name = f"{which}_speed"
            if name in self.keep:
                found[name] = np.multiply(values[f"{which}_diameter"], factor, out=target(name))
        return found

    def second(self, wanted: Wanted, joint: Joint, behind: float, target: Target) -> Done:
        """Find the time of each move, and what follows from it."""
        s, block, values = self.s, wanted.block, wanted.values
        step = wanted.envelope.step
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            time, cause = run(s, wanted.envelope, joint, behind)
            if "block_time" in self.keep:
                values["block_time"] = np.multiply(time, 1000.0, out=target("block_time"))
            if "mean_feed_rate" in self.keep:
                mean = np.divide(step, time, out=target("mean_feed_rate"))
                values["mean_feed_rate"] = np.multiply(mean, 60.0, out=mean)
            self._load(wanted, time, target)
            if block.first:
                self._start(values)
            blank(values, _ON_MOVE, wanted.idle)
        if "cause" in self.keep:
            held = target("cause")
            held[:] = cause
            values["cause"] = held
        extremes = wanted.extremes | extremes_of(values, [n for n in _ALONG if n in self.keep], block.first)
        return Done(block, values, time, cause, step, wanted.idle, extremes)

    def _load(self, wanted: Wanted, time: Any, target: Target) -> None:
        """Chip, removal rate and power at the mean feed of each move at the contact."""
        s, values = self.s, wanted.values
        if not self.keep & {"chip_thickness", "removal_rate", "power"}:
            return
        contact = wanted.way / time * 60.0
        if "chip_thickness" in self.keep:
            share = self._chip_per_feed(wanted)
            values["chip_thickness"] = np.multiply(contact, share, out=target("chip_thickness"))
        if math.isinf(s.stepover):
            return
        removal = target("removal_rate")
        np.multiply(contact, self._removal_per_feed(wanted), out=removal)
        if "removal_rate" in self.keep:
            values["removal_rate"] = removal
        self._power(wanted, time, removal, target)

    def _chip_per_feed(self, wanted: Wanted) -> Any:
        """Chip thickness by the feed rate of the contact."""
        return np.divide(wanted.chip_share, np.multiply(wanted.speed, self.s.teeth))

    def _removal_per_feed(self, wanted: Wanted) -> Any:
        """Removal rate by the feed rate of the contact."""
        return np.multiply(wanted.depth, self.s.stepover / 1000.0)

    def _power(self, wanted: Wanted, time: Any, removal: Any, target: Target) -> None:
        s = self.s
        if "power" not in self.keep or not s.load_wanted:
            return
        power = np.multiply(removal, 1.0 / 60_000.0, out=target("power"))
        if s.kienzle is None:
            power *= s.specific_force
        else:
            feed = wanted.way / time * 60.0 / np.multiply(wanted.speed, s.teeth)
            power *= s.kienzle[0] * np.power(feed * wanted.mean_share, -s.kienzle[1])
        wanted.values["power"] = power

    def _start(self, values: dict[str, Any]) -> None:
        """No move leads to the first point, so nothing of one is told."""
        blank(values, ("mean_feed_rate", *_ON_MOVE), 0)


def ahead_of(block: Block, step: Any) -> Any:
    """Lengths of moves, those after the block without the one that the path does not have."""
    return step[: block.count] if block.last else step


def _empty(laid: Laid, columns: Mapping[str, Any]) -> tuple[Any, Any]:
    """Return at which points nothing cuts, and on the moves to which."""
    empty, idle = laid.undefined, laid.plunging
    if "rapid" in columns:
        fast = np.broadcast_to(columns["rapid"] != 0.0, (laid.count,))
        empty = fast if empty is None else empty | fast
        idle = fast if idle is None else idle | fast
    if empty is not None:
        idle = empty if idle is None else idle | empty
    return tuple(mask if mask is not None and mask.any() else None for mask in (empty, idle))  # type: ignore[return-value]


def blank(values: dict[str, Any], names: tuple[str, ...], rows: Any) -> None:
    """Put NaN where nothing is to be told."""
    if rows is not None:
        for name in names:
            if isinstance(values.get(name), np.ndarray):
                values[name][rows] = np.nan


AT_POINT = (
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
