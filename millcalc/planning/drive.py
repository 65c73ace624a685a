"""The power curve of a spindle: two ratings, or points, and what it gives at a speed."""

import itertools
from typing import Any

import numpy as np

from millcalc.errors import Fault, JobError
from millcalc.quantities.convert import Parameter, RefusedError, read_value
from millcalc.quantities.kinds import POSITIVE, POWER, SPINDLE_SPEED

__all__ = ["Points", "drive_points", "power_at"]


class Points(tuple[tuple[float, float], ...]):
    """Points of a power curve as they are kept: pairs of rev/min and kW."""


def drive_points(given: Any) -> Points | None:
    """Return the points of a power curve as pairs of rev/min and kW.

    Raises
    ------
    JobError
        They are no rows of a speed and a power, or the speeds do not rise.
    """
    if given is None or isinstance(given, Points):
        return given
    example = '[["1000 rpm", "4 kW"], ["3000 rpm", "12 kW"], ["18000 rpm", "12 kW"]]'
    made = []
    try:
        for place, row in enumerate(given):
            if isinstance(row, str) or len(row) != 2:
                raise RefusedError(Fault(f"drive_points[{place}]", repr(row), "it is no pair of speed and power"))
            made.append(
                tuple(_read(f"drive_points[{place}]", v, k) for v, k in zip(row, (SPINDLE_SPEED, POWER), strict=True))
            )
    except RefusedError as refused:
        raise JobError("the power curve cannot be used", [refused.fault]) from None
    except TypeError:
        fault = Fault("drive_points", repr(given)[:60], "it is no list of rows", "[[speed, power], ...]", example)
        raise JobError("the power curve cannot be used", [fault]) from None
    speeds = [speed for speed, _ in made]
    if not made or any(b <= a for a, b in itertools.pairwise(speeds)):
        fault = Fault("drive_points", repr(given)[:60], "it needs one row or more, speeds rising", "", example)
        raise JobError("the power curve cannot be used", [fault])
    return Points((float(speed), float(power)) for speed, power in made)


def _read(where: str, value: Any, kind: Any) -> float:
    return float(read_value(value, Parameter(where, kind, POSITIVE)))


def power_at(points: Points, spindle_speed: Any) -> Any:
    """Power [kW] at a spindle speed: straight between points, constant torque below, constant power above."""
    speeds, powers = (np.array(column) for column in zip(*points, strict=True))
    within = np.interp(spindle_speed, speeds, powers)
    return np.where(spindle_speed < speeds[0], powers[0] * spindle_speed / speeds[0], within)
