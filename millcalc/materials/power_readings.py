"""kc1.1 and mc from the power of side milling at several feeds."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from millcalc.errors import ArgumentError, Fault
from millcalc.formulas._gauss import gauss
from millcalc.materials.fitting import LEAST_CHIPS, KienzleFit, kienzle_of, readings, refuse_untold
from millcalc.materials.straight_line import line_through
from millcalc.quantities.convert import Parameter, RefusedError, read_value
from millcalc.quantities.kinds import COUNT, CUTTING_SPEED, FEED_PER_TOOTH, LENGTH, ONE_OR_MORE, POSITIVE, POWER

__all__ = ["fit_kienzle_from_power"]

_POINTS = 48
_WHAT = "kc1.1 and mc"


def fit_kienzle_from_power(
    *,
    feed_per_tooth: Any,
    cutting_power: Any,
    cutting_speed: Any,
    diameter: Any,
    teeth: Any,
    radial_width: Any,
    axial_depth: Any,
) -> KienzleFit:
    """Return kc1.1 and mc from the power at several feeds per tooth, all else kept the same.

    Parameters
    ----------
    feed_per_tooth [mm]
        Feeds per tooth, three or more, above 0.
    cutting_power [kW]
        Power at the cutter at each of them: what the drive shows, less what it shows out of the cut, times its
        efficiency.
    cutting_speed [m/min]
        Cutting speed.
    diameter [mm]
        Cutter diameter.
    teeth [1]
        Number of teeth, 1 or more.
    radial_width [mm]
        Width of cut, up to the diameter.
    axial_depth [mm]
        Depth of cut.

    Raises
    ------
    ArgumentError
        Values that cannot be used; fewer than three readings; feeds that hardly differ; or readings that scatter so
        much that the exponent cannot be told from 0.

    Notes
    -----
    Valid for edges parallel to the axis or of a helix, of a cylindrical cutter beside a wall. The law of Kienzle is
    integrated over the engagement; the chips of the result are the geometric means over it, weighed by the force.
    Source: KIENZLE.

    Examples
    --------
    >>> print(fit_kienzle_from_power(feed_per_tooth=["0.05 mm", "0.1 mm", "0.2 mm"],
    ...     cutting_power=["1.245 kW", "2.213 kW", "3.935 kW"], cutting_speed="150 m/min", diameter="20 mm", teeth=4,
    ...     radial_width="10 mm", axial_depth="5 mm"))
    kc1.1 1780 N/mm^2, from 1772 N/mm^2 to 1789 N/mm^2
    mc 0.170, from 0.168 to 0.172
    3 readings, h 0.0356 mm to 0.142 mm
    """
    held = _held(
        cutting_speed=(cutting_speed, Parameter("cutting_speed", CUTTING_SPEED, POSITIVE)),
        diameter=(diameter, Parameter("diameter", LENGTH, POSITIVE)),
        teeth=(teeth, Parameter("teeth", COUNT, ONE_OR_MORE)),
        radial_width=(radial_width, Parameter("radial_width", LENGTH, POSITIVE)),
        axial_depth=(axial_depth, Parameter("axial_depth", LENGTH, POSITIVE)),
    )
    feed, power = readings(_WHAT, feed_per_tooth=(feed_per_tooth, FEED_PER_TOOTH), cutting_power=(cutting_power, POWER))
    refuse_untold(_WHAT, "feed_per_tooth", feed, LEAST_CHIPS, "mm")
    share = held["radial_width"] / held["diameter"]
    if share > 1.0:
        reason = "it is wider than the cutter"
        fault = Fault("radial_width", f"{held['radial_width']:g} mm", reason, f"up to {held['diameter']:g} mm")
        raise ArgumentError(f"{_WHAT} cannot be fitted", (fault,))
    angle = math.acos(1.0 - 2.0 * share)
    # kW over the section that a tooth would cut at the full feed, once a turn, by all teeth
    force = 60_000.0 * power * 2.0 * math.pi / (held["teeth"] * held["axial_depth"] * held["cutting_speed"] * feed)
    line = line_through(np.log(feed), np.log(force))
    whole, change = _over_engagement(min(max(-line.slope, 0.0), 0.999), angle)
    return kienzle_of(line, feed, force, place=change / whole, shift=math.log(whole))


def _over_engagement(mc: float, angle: float) -> tuple[float, float]:
    """Return the integral of sin(phi)^(1 - mc) over the engagement, and how it changes with mc."""
    if angle > 0.5 * math.pi:  # the same cusp at half a turn, from the other end
        quarter, rest = _over_engagement(mc, 0.5 * math.pi), _over_engagement(mc, math.pi - angle)
        return 2.0 * quarter[0] - rest[0], 2.0 * quarter[1] - rest[1]
    if angle <= 0.0:
        return 0.0, 0.0
    nodes, weights = gauss(_POINTS)
    # phi goes with the fourth power of the node: the cusp at 0 is smoothed
    phi = angle * nodes**4
    measure = weights * angle * 4.0 * nodes**3
    sine = np.sin(phi)
    powers = measure * sine ** (1.0 - mc)
    return float(np.sum(powers)), float(-np.sum(powers * np.log(sine)))


def _held(**given: tuple[Any, Parameter]) -> dict[str, float]:
    """Return the values that are the same for all readings."""
    found, faults = {}, []
    for name, (value, parameter) in given.items():
        try:
            read = read_value(value, parameter)
            if getattr(read, "ndim", 0):
                raise parameter.refuse(value, "an array; a single value is needed")
            found[name] = float(read)
        except RefusedError as refused:
            faults.append(refused.fault)
    if faults:
        raise ArgumentError(f"{_WHAT} cannot be fitted", faults)
    return found
