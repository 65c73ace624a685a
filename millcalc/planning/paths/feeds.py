"""Feed rates of a block's moves: what the cut wants, what machine and control allow, and which of them governs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from millcalc.errors import DataError, Fault
from millcalc.planning.paths.moves import Laid
from millcalc.planning.paths.pointwise import BLOCK_TIME, LARGEST, PROGRAM, RAPID, ROTARY, SWUNG
from millcalc.planning.paths.settings import Settings

__all__ = ["allowed_by", "rates", "spindle"]


def spindle(s: Settings, contact: Any) -> Any:
    """Return the spindle speed [rev/min]: fixed, or what keeps the cutting speed at the contact within the limit."""
    if s.spindle_speed is not None:
        return s.spindle_speed
    return np.minimum(s.followed / contact, s.largest_spindle_speed)


def allowed_by(s: Settings, columns: Mapping[str, Any]) -> tuple[Any, Any]:
    """Return the feed rate [mm/s] that program and machine allow in each move, in a rapid its own, and its cause."""
    limit: Any = s.largest_feed
    cause: Any = np.uint8(LARGEST)
    if "feed_rate" in columns:
        program = columns["feed_rate"] / 60.0
        cause = np.where(program < limit, np.uint8(PROGRAM), cause)
        limit = np.minimum(program, limit)
    if "rapid" in columns:
        fast = columns["rapid"] != 0.0
        limit, cause = np.where(fast, s.rapid, limit), np.where(fast, np.uint8(RAPID), cause)
    return limit, cause


def rates(s: Settings, laid: Laid, feed_per_tooth: Any, speed: Any, columns: Mapping[str, Any]) -> tuple[Any, Any]:
    """Return the feed rate [mm/s] of the move to each point and the number of its cause."""
    step, cause = laid.step[: laid.count], np.zeros(laid.count, dtype=np.uint8)
    rate = feed_per_tooth * (speed * (s.teeth / 60.0))
    # the feed is held at the contact; the programmed point goes its own way in the same time
    rate = np.broadcast_to(rate if laid.way is None else rate * (step / laid.way), laid.count)
    if "rapid" in columns:
        rate = np.where(columns["rapid"] != 0.0, np.inf, rate)
    for limit, number in _limits(s, laid, columns):
        if np.ndim(limit) or rate.max() > limit:
            cause = np.where(limit < rate, number, cause)
            rate = np.minimum(rate, limit)
    if not rate.min() > 0.0:
        at = int(np.argmax(~(rate > 0.0)))
        reason = "the cutter has no chip there: none of its points touches, or nothing is cut"
        raise DataError("the path cannot be evaluated", [Fault(f"row {laid.block.row(at)}", "", reason)])
    return rate, cause


def _limits(s: Settings, laid: Laid, columns: Mapping[str, Any]) -> Iterator[tuple[Any, Any]]:
    """Yield the limits [mm/s] of the feed rates and the numbers of their causes."""
    step = laid.step[: laid.count]
    yield allowed_by(s, columns)
    yield step / s.block_time, np.uint8(BLOCK_TIME)
    if laid.swing is not None and s.rotary_rate is not None:
        yield step / laid.swing * s.rotary_rate, np.uint8(ROTARY)
    if laid.swing is not None and s.rotary_distance is not None:
        # rapid >= contact speed (1 + d/rho), rho = way of the contact by the swing; at the programmed point step/way
        limit = step / (laid.swing * s.rotary_distance + laid.contact_step) * s.rapid
        yield np.where(laid.swing > 0.0, limit, np.inf), np.uint8(SWUNG)
