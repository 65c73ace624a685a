"""Feed rates of a block's moves: what the cut wants, what machine and control allow, and which of them governs."""

from __future__ import annotations

from math import pi
from typing import Any

import numpy as np

from millcalc.errors import DataError, Fault
from millcalc.planning.paths.moves import Laid
from millcalc.planning.paths.settings import Settings

__all__ = ["ACCELERATION", "CAUSES", "CORNER", "LOOK_AHEAD", "rates", "spindle"]

CAUSES = (
    "feed per tooth",
    "feed rate of the program",
    "largest feed rate",
    "block time",
    "rotary rate",
    "linear axes that follow the swing",
    "rapid rate",
    "acceleration",
    "corner",
    "look-ahead",
)
ACCELERATION, CORNER, LOOK_AHEAD = (CAUSES.index(word) for word in ("acceleration", "corner", "look-ahead"))


def spindle(s: Settings, laid: Laid, contact: Any, out: Any) -> Any:
    """Return the spindle speed [rev/min]: fixed, or what keeps the cutting speed at the contact within the limit."""
    if s.spindle_speed is not None:
        return s.spindle_speed
    assert s.cutting_speed is not None
    np.divide(1000.0 * s.cutting_speed / pi, contact, out=out)
    return np.minimum(out, s.largest_spindle_speed, out=out)


def rates(s: Settings, laid: Laid, feed_per_tooth: Any, speed: Any, columns: dict[str, Any]) -> tuple[Any, Any]:
    """Return the feed rate [mm/s] of the move to each point and the number of its cause."""
    work, m = laid.work, laid.count
    rate, cause = work.get("rate", m), work.get("cause", m, np.uint8)
    limit, mask, code = work.get("a1", m), work.get("mask", m, bool), work.get("code", m, np.uint8)
    step, way = laid.step[:m], laid.contact_step[:m]
    cause[:] = 0

    def capped(at: int, value: Any) -> None:
        np.less(value, rate, out=mask)
        np.multiply(mask, np.uint8(at), out=code)
        np.maximum(cause, code, out=cause)
        np.minimum(rate, value, out=rate)

    wanted = np.multiply(feed_per_tooth, np.multiply(speed, s.teeth / 60.0))
    if way is step or (way.base is not None and way.base is step.base and way.ctypes.data == step.ctypes.data):
        rate[:] = wanted
    else:
        # the feed is held at the contact; the programmed point goes its own way in the same time
        np.multiply(step, wanted, out=rate)
        np.divide(rate, way, out=rate)
    if "feed_rate" in columns:
        capped(1, columns["feed_rate"] / 60.0)
    capped(2, s.largest_feed)
    _by_control(s, laid, capped, limit)
    if "rapid" in columns:
        fast = columns["rapid"] != 0.0
        rate[fast] = s.rapid
        cause[fast] = 6
    if not rate.min() > 0.0:
        at = int(np.argmax(~(rate > 0.0)))
        reason = "the cutter has no chip there: none of its points touches, or nothing is cut"
        raise DataError("the path cannot be evaluated", [Fault(f"row {laid.block.row(at)}", "", reason)])
    np.divide(step, s.block_time, out=limit)
    capped_code = np.less(limit, rate, out=mask)
    if capped_code.any():
        cause[capped_code] = 3
        np.minimum(rate, limit, out=rate)
    return rate, cause


def _by_control(s: Settings, laid: Laid, capped: Any, limit: Any) -> None:
    """Rotary axes: their rate, and linear axes that follow their swing."""
    if laid.swing is None:
        return
    m = laid.count
    step, way = laid.step[:m], laid.contact_step[:m]
    if s.rotary_rate is not None:
        np.divide(step, laid.swing, out=limit)
        limit *= s.rotary_rate
        capped(4, limit)
    if s.rotary_distance is not None:
        # rapid >= contact speed (1 + d/rho), rho = way of the contact by the swing; at the programmed point step/way
        np.multiply(laid.swing, s.rotary_distance, out=limit)
        limit += way
        np.divide(step, limit, out=limit)
        limit *= s.rapid
        capped(5, limit)
