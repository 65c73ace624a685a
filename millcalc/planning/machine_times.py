"""What a machine does, from timed moves: acceleration and block time; and the time factor of a plan that was cut."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

import attrs

from millcalc.errors import ArgumentError, Fault, JobError
from millcalc.planning.finishing import Plan
from millcalc.planning.move_fit import Fit, Timings, best_fit, further_move, ranges_of_fit
from millcalc.planning.reported import Reported
from millcalc.quantities.convert import Parameter, RefusedError, read_value
from millcalc.quantities.display import number_text, quantity_text
from millcalc.quantities.kinds import (
    ACCELERATION,
    BLOCK_TIME,
    FEED_RATE,
    ONE_OR_MORE,
    POSITIVE,
    TIME,
    Acceleration,
    BlockTime,
    Count,
    FeedRate,
    Length,
    Time,
)
from millcalc.quantities.record import Record, entry, number, record

__all__ = ["MachineFit", "TimedMove", "fit_machine", "time_factor_of"]

WIDEST = 2.0
"""Times by which a range may lie from the value: beyond, the value assumed for the class of machine is no worse."""
_TIMING_ERROR = "0.3 s"


@record
class TimedMove(Record):
    """A straight move, out and back so many times, timed as a whole.

    Parameters
    ----------
    length [mm]
        Length of the move, one way.
    point_spacing [mm]
        Distance of the points programmed on it; left out, it is one block.
    feed_rate [mm/min]
        Feed rate programmed.
    repeats [1]
        How often out and back: twice as many moves, each from rest to rest.
    time [min]
        Time measured for all of them.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> move = TimedMove(length="100 mm", feed_rate="3000 mm/min", repeats=5, time="20.3 s")
    >>> print(f"{move.time.to('s'):.1f~P}")
    20.3 s
    """

    length: Length = entry(domain=POSITIVE, meaning="length of the move, one way")
    point_spacing: Length = entry(default=None, domain=POSITIVE, meaning="distance of its points; none: one block")
    feed_rate: FeedRate = entry(domain=POSITIVE, meaning="feed rate programmed")
    repeats: Count = entry(domain=ONE_OR_MORE, meaning="how often out and back")
    time: Time = entry(domain=POSITIVE, meaning="time measured for all of them")

    def _check(self) -> None:
        length, spacing = number(self, "length"), number(self, "point_spacing")
        if spacing is not None and spacing > length:
            given = f"{number_text(spacing)} mm on {number_text(length)} mm"
            reason = "the points lie further apart than the move is long"
            fault = Fault("point_spacing", given, reason, "up to the length; left out, the move is one block")
            raise JobError("TimedMove cannot be made", (fault,))


@record
class MachineFit(Record):
    """Acceleration and block time that explain the timed moves best, each with its range (about 95 in 100)."""

    acceleration: Acceleration = entry(meaning="acceleration along the path")
    acceleration_low: Acceleration = entry(meaning="acceleration, low end of its range")
    acceleration_high: Acceleration = entry(meaning="acceleration, high end of its range")
    block_time: BlockTime = entry(meaning="time for one block")
    block_time_low: BlockTime = entry(meaning="time for one block, low end of its range")
    block_time_high: BlockTime = entry(meaning="time for one block, high end of its range")
    timing_error: Time = entry(meaning="error of one timing that the ranges stand for")
    residuals: tuple[float, ...] = entry(meaning="measured less computed time of each move [s]")
    remark: str = entry(meaning="whether the moves agree with each other")

    @property
    def text(self) -> str:
        """The result in words."""
        lines = []
        for name, kind in (("acceleration", ACCELERATION), ("block_time", BLOCK_TIME)):
            value, low, high = (
                quantity_text(number(self, f"{name}{e}"), kind, digits=3) for e in ("", "_low", "_high")
            )
            lines.append(f"{name.replace('_', ' ')} {value}, from {low} to {high}")
        return "\n".join([*lines, *([self.remark] if self.remark else [])])

    def __str__(self) -> str:
        return self.text


def fit_machine(moves: Iterable[TimedMove | Mapping[str, Any]], timing_error: Any = _TIMING_ERROR) -> MachineFit:
    """Find acceleration and block time of a machine from timed moves.

    Time short moves in one block, often out and back, for the acceleration; long ones with points close together for
    the block time; one with points further apart, so that it shows that it is the blocks that slow the machine.

    Parameters
    ----------
    moves
        Two or more `TimedMove`, or tables of their values.
    timing_error [s]
        Standard error of one timing, above 0; 0.3 s for a stopwatch in the hand.

    Raises
    ------
    ArgumentError
        Values that cannot be used; moves faster than their feed rate; or moves that cannot tell acceleration or block
        time to within a factor of two: the fault says which further move would.

    Notes
    -----
    The model is that of the plan: moves from rest to rest with constant acceleration, at the feed rate or as fast as
    the blocks can be read, the lower. Least squares; a range holds the values that no timing error of that size
    excludes (likelihood, about 95 in 100). Where the moves disagree by more than the timing error explains, the error
    is taken from their disagreement; few moves tell it only roughly. A limit of jerk, reading ahead and a stop of the
    control at the ends of a move are not in the model. Source: KINEMATICS; timing error: PRACTICE.

    Examples
    --------
    >>> short = {"length": "1 mm", "feed_rate": "6000 mm/min", "repeats": 100, "time": "8.9 s"}
    >>> long = {"length": "100 mm", "feed_rate": "6000 mm/min", "repeats": 2}
    >>> close, wide = {"point_spacing": "0.05 mm", "time": "16.2 s"}, {"point_spacing": "1 mm", "time": "4.3 s"}
    >>> print(fit_machine([short, long | close, long | wide]))
    acceleration 2018 mm/s^2, from 1776 mm/s^2 to 2313 mm/s^2
    block time 2.02 ms, from 1.95 ms to 2.09 ms
    """
    made = _moves(moves)
    error = 60.0 * _read("timing_error", timing_error)
    timings = Timings.of(made)
    _not_faster(made, timings, error)
    if len(made) < 2:
        fault = Fault("moves", f"{len(made)} of them", "two unknowns need two moves or more", "a list of TimedMove")
        raise ArgumentError("the machine cannot be told", (fault,))
    best = best_fit(timings, error)
    ranges = ranges_of_fit(timings, error, best)
    faults = _untold(timings, error, best, ranges)
    if faults:
        raise ArgumentError("the moves cannot tell what the machine does", faults)
    residuals = timings.residuals(best.acceleration, best.block_time)
    agree = "" if best.scale <= 1.0 else _disagreement(best.scale * error, residuals)
    kept = {f"{name}{end}": v for name, row in ranges.items() for end, v in zip(("_low", "_high"), row, strict=True)}
    return MachineFit._from_numbers(
        kept
        | {"acceleration": best.acceleration, "block_time": best.block_time}
        | {"timing_error": best.scale * error / 60.0, "residuals": tuple(map(float, residuals)), "remark": agree}
    )


def _read(name: str, value: Any) -> float:
    """Read a time [min] above 0."""
    parameter = Parameter(name, attrs.evolve(TIME, example='"0.3 s"'), POSITIVE)
    try:
        found = read_value(value, parameter)
        if getattr(found, "ndim", 0):
            raise parameter.refuse(value, "an array; a single value is needed")
    except RefusedError as refused:
        raise ArgumentError(f"{name.replace('_', ' ')} cannot be used", (refused.fault,)) from None
    return float(found)


def _moves(moves: Any) -> list[TimedMove]:
    """Return the moves as records, or raise all that is wrong with any of them."""
    if isinstance(moves, (TimedMove, Mapping, str)) or not isinstance(moves, Iterable):
        fault = Fault("moves", repr(moves)[:60], "it is no list of moves", "a list of TimedMove or tables")
        raise ArgumentError("the machine cannot be told", (fault,))
    made, faults = [], list[Fault]()
    for place, move in enumerate(moves):
        if isinstance(move, TimedMove):
            made.append(move)
        elif isinstance(move, Mapping):
            try:
                made.append(TimedMove(**{str(key): value for key, value in move.items()}))
            except JobError as error:
                faults += [attrs.evolve(f, where=f"moves[{place}].{f.where}") for f in error.faults]
        else:
            faults.append(Fault(f"moves[{place}]", repr(move)[:60], "it is no move", "a TimedMove or a table"))
    if faults:
        raise ArgumentError("the moves cannot be used", faults)
    return made


def _not_faster(made: list[TimedMove], timings: Timings, error: float) -> None:
    """Refuse moves that took less time than their feed rate allows."""
    least = timings.least_times()
    faults = []
    for place, (move, bound, time) in enumerate(zip(made, least, timings.time, strict=True)):
        if time < bound - 3.0 * error:
            feed = quantity_text(number(move, "feed_rate"), FEED_RATE)
            reason = f"at {feed} they take {bound:.4g} s or more: repeats count out and back; override at 100 %"
            faults.append(Fault(f"moves[{place}].time", f"{time:.4g} s", reason, f"{bound:.4g} s or more"))
    if faults:
        raise ArgumentError("moves faster than their feed rate", faults)


def _untold(timings: Timings, error: float, best: Fit, ranges: Mapping[str, tuple[float, float]]) -> list[Fault]:
    """Return what the moves cannot tell, each with the further move that would."""
    values = {"acceleration": best.acceleration, "block_time": best.block_time}
    faults = []
    for name, (low, high) in ranges.items():
        if high <= WIDEST * values[name] and low >= values[name] / WIDEST:
            continue
        reason = _reason(name, timings, low, high)
        faults.append(_fault(name, reason, further_move(name, timings, error * best.scale, best, (low, high))))
    spread = max(timings.spacing) / min(timings.spacing)
    if spread < 1.5 and not any(f.where == "block_time" for f in faults):
        reason = "all moves have the same point spacing: a feed that is lower for another reason looks alike"
        faults.append(
            _fault("block_time", reason, further_move("spacing", timings, error * best.scale, best, (0.0, 0.0)))
        )
    return faults


def _reason(name: str, timings: Timings, low: float, high: float) -> str:
    kind = ACCELERATION if name == "acceleration" else BLOCK_TIME
    known = [f"above {quantity_text(low, kind, digits=2)}"] if low > timings.bounds(name)[0] else []
    known += [f"below {quantity_text(high, kind, digits=2)}"] if high < timings.bounds(name)[1] else []
    so_far = f"; it lies {' and '.join(known)}" if known else ""
    if name == "acceleration":
        return f"the moves are too long, or too few out and back, for speeding up to show{so_far}"
    if low <= timings.bounds(name)[0]:
        return f"no move is surely slowed by its blocks{so_far}"
    return f"too little time passes on blocks{so_far}"


def _fault(name: str, reason: str, move: Mapping[str, str | int]) -> Fault:
    shown = ", ".join(f"{key}={value!r}" for key, value in move.items())
    return Fault(name, "", reason, "a further move that tells it", f"TimedMove({shown}, time=...)")


def _disagreement(error: float, residuals: Any) -> str:
    worst = max(range(len(residuals)), key=lambda place: abs(residuals[place]))
    return (
        f"the moves disagree by more than the timing error: {error:.2g} s is taken; the worst is moves[{worst}], off "
        f"by {residuals[worst]:.2g} s; a control that reads ahead, rounds corners or limits jerk is not in the model"
    )


def time_factor_of(plan: Reported, measured_time: Any) -> float:
    """Return measured over computed time of a plan: the `time_factor` to assume for the next.

    Parameters
    ----------
    plan
        The plan that was cut, of a finishing or a roughing job.
    measured_time [min]
        Time of the operation on the machine, above 0.

    Raises
    ------
    ArgumentError
        It is no plan with a time, or the time cannot be used.

    Notes
    -----
    A factor that the plan was computed with is taken out of its time first. Source: DEFINITION.

    Examples
    --------
    >>> from millcalc.planning import example_job, plan
    >>> round(time_factor_of(plan(example_job()), "18 min"), 3)
    1.205
    """
    from millcalc.planning.roughing.plan import RoughingPlan  # loaded when it is asked, not with the package

    if not isinstance(plan, (Plan, RoughingPlan)):
        fault = Fault("plan", repr(plan)[:60], "it is no plan of a job", "a Plan or RoughingPlan", "plan(job)")
        raise ArgumentError("no time to compare with", (fault,))
    measured = _read("measured_time", measured_time)
    factor = number(plan.job.assumed, "time_factor")
    computed = number(plan, "operation_time") / (1.0 if factor is None else factor)
    if not computed > 0.0 or math.isinf(computed):
        fault = Fault("plan", f"{computed:g} min", "it has no time to compare with")
        raise ArgumentError("no time to compare with", (fault,))
    return float(measured / computed)
