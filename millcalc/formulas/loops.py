"""Trochoidal loops: a slot wider than the cutter, cut into solid stock by circles that step forward."""

from math import pi
from typing import Any

import numpy as np

from millcalc.formulas._whole import whole_up
from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE, Angle, Count, FeedRate, Interval, Length, RemovalRate, Time

__all__ = [
    "loop_engagement",
    "loop_path_length",
    "loop_removal_rate",
    "loop_step_for_engagement",
    "loop_time",
    "loops",
]

_HALF = pi / 360.0  # deg to rad, and halved
_ENGAGED = Interval(0.0, 180.0)
_ROOM = "diameter < slot_width"
_MEETS = "loop_step <= diameter"
_IN_AIR = "loop_step <= slot_width - diameter"


def _above_zero(value: Any) -> Any:
    return np.where(np.greater(value, 0.0), value, np.nan)


def _from_zero(value: Any) -> Any:
    return np.where(np.greater_equal(value, 0.0), value, np.nan)


def _room(slot_width: Any, diameter: Any) -> Any:
    """The diameter of the axis' circle; NaN where there is none."""
    return _above_zero(np.subtract(slot_width, _above_zero(diameter)))


def _step(loop_step: Any, largest: Any) -> Any:
    return np.where(np.less_equal(loop_step, largest), _from_zero(loop_step), np.nan)


@formula(
    symbol="phi_l",
    expression="2*arcsin(sqrt(s_l*(w_s - s_l)/(D*(w_s - D)))) if 2*D*s_l <= w_s*(w_s - D) "
    "else 2*arctan2(s_l*sqrt(1 - (s_l/w_s)^2), (w_s - D)/2 - s_l^2/w_s)",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "slot_width": POSITIVE},
    requires=(_ROOM, _MEETS, _IN_AIR),
)
def loop_engagement(diameter: Length, slot_width: Length, loop_step: Length) -> Angle:
    """Return the largest angle [deg] of engagement on a trochoidal loop.

    The rim is engaged from its outermost point on. It reaches farthest round, before the front of the loop, where it
    meets the foremost point that the loop before has cut, or, at larger steps in a narrow slot, where its outermost
    point comes into stock. At the front itself it is engaged less.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    slot_width [mm]
        Width of the slot, above the diameter; scalar or array.
    loop_step [mm]
        Step forward from loop to loop, 0 up to the diameter and to what the slot is wider; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, the slot is no wider than the cutter, or the step
        is too large.

    Notes
    -----
    Valid for whole circles that step forward at their rear, a feed small against the cutter, and a start from a clean
    hole as wide as the slot. A step above what the slot is wider than the cutter would itself cut; one above the
    diameter leaves stock between the loops. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{loop_engagement('10 mm', '16 mm', '1 mm'):.2f~P}")
    60.00 deg
    """
    room = _room(slot_width, diameter)
    step = _step(loop_step, np.minimum(diameter, room))
    # as tangents, with all digits at both ends
    behind = np.arctan2(
        np.sqrt(step * np.subtract(slot_width, step)), np.sqrt(np.subtract(diameter, step) * (room - step))
    )
    share = step / slot_width
    beside = np.arctan2(step * np.sqrt((1.0 - share) * (1.0 + share)), 0.5 * room - step * share)
    return np.degrees(2.0 * np.where(2.0 * diameter * step <= slot_width * room, behind, beside))[()]


@formula(
    symbol="s_l",
    expression="K = D*(w_s - D)*sin(phi/2)^2; S = 2*K/(w_s + sqrt(w_s^2 - 4*K)); r = (w_s - D)/2; "
    "C = r + D/2*cos(phi/2)^2; Y = C - sqrt(C^2 - (r*sin(phi/2))^2); "
    "S if 2*D*S <= w_s*(w_s - D) else min(sqrt(w_s*Y), w_s - D)",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "slot_width": POSITIVE, "engagement_angle": _ENGAGED},
    requires=(_ROOM,),
)
def loop_step_for_engagement(diameter: Length, slot_width: Length, engagement_angle: Angle) -> Length:
    """Return the largest step [mm] from loop to loop that engages the cutter no more than stated.

    Parameters
    ----------
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    slot_width [mm]
        Width of the slot, above the diameter; scalar or array.
    engagement_angle [deg]
        Largest angle of engagement, 0 to 180; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the slot is no wider than the cutter.

    Notes
    -----
    Valid as `loop_engagement`, whose inverse it is; no more than what the slot is wider than the cutter, so that the
    step itself is taken through air. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{loop_step_for_engagement('10 mm', '16 mm', '60 deg'):.3f~P}")
    1.000 mm
    """
    room = _room(slot_width, diameter)
    inside = np.greater_equal(engagement_angle, 0.0) & np.less_equal(engagement_angle, 180.0)
    half = np.where(inside, engagement_angle, np.nan) * _HALF
    sine, cosine = np.sin(half), np.cos(half)
    part = diameter * room * sine * sine
    # w^2 - 4 K and C^2 - (r sin)^2 as sums and products: no digits are lost where they vanish
    rest = np.hypot(np.subtract(room, diameter), 2.0 * np.sqrt(diameter * room) * cosine)
    behind = np.minimum(2.0 * part / (slot_width + rest), diameter)
    less, more = (0.5 * (room * (1.0 + way * sine) + diameter * cosine * cosine) for way in (-1.0, 1.0))
    height = (0.5 * room * sine) ** 2 / (0.5 * (less + more) + np.sqrt(less * more))
    beside = np.minimum(np.sqrt(slot_width * height), room)
    return np.where(2.0 * diameter * behind <= slot_width * room, behind, beside)[()]


@formula(
    symbol="N_l",
    expression="ceil(l/s_l)",
    sources=("DEFINITION",),
    domain={"loop_step": POSITIVE},
)
def loops(length: Length, loop_step: Length) -> Count:
    """Return the number of trochoidal loops that carry the slot forward by a length.

    Parameters
    ----------
    length [mm]
        Travel of the centre of the loops, 0 or more; scalar or array.
    loop_step [mm]
        Largest step from loop to loop, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid after a hole as wide as the slot, which is not counted; a quotient no more than 1e-9 above a whole number is
    taken as that. Source: DEFINITION.

    Examples
    --------
    >>> loops('54 mm', '1.1 mm')
    50.0
    """
    return whole_up(_from_zero(length) / _above_zero(loop_step))[()]


@formula(
    symbol="l_l",
    expression="pi*(w_s - D) + s_l",
    sources=("GEOMETRY",),
    domain={"diameter": POSITIVE, "slot_width": POSITIVE},
    requires=(_ROOM,),
)
def loop_path_length(slot_width: Length, diameter: Length, loop_step: Length) -> Length:
    """Return the length [mm] of the axis' path in one trochoidal loop: a whole circle and the step forward.

    Parameters
    ----------
    slot_width [mm]
        Width of the slot, above the diameter; scalar or array.
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    loop_step [mm]
        Step forward from loop to loop, 0 or more; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, or the slot is no wider than the cutter.

    Notes
    -----
    Valid for circles that step forward at their rear. Source: GEOMETRY.

    Examples
    --------
    >>> print(f"{loop_path_length('16 mm', '10 mm', '1 mm'):.2f~P}")
    19.85 mm
    """
    return (pi * _room(slot_width, diameter) + _from_zero(loop_step))[()]


@formula(
    symbol="t_l",
    expression="r = (w_s - D)/2; A = pi + arcsin(s_l/(2*r)) + arcsin(s_l/w_s); A*r/v_f + ((2*pi - A)*r + s_l)/v_r",
    sources=("GEOMETRY", "KINEMATICS"),
    domain={"diameter": POSITIVE, "slot_width": POSITIVE, "feed_rate": POSITIVE, "return_feed_rate": POSITIVE},
    requires=(_ROOM, _IN_AIR),
)
def loop_time(
    slot_width: Length, diameter: Length, loop_step: Length, feed_rate: FeedRate, return_feed_rate: FeedRate
) -> Time:
    """Return the time [min] of one trochoidal loop: round the front in the cut, the rest and the step through air.

    The cut is a little more than half a circle: it begins and ends where the circle before no longer covers the rim.

    Parameters
    ----------
    slot_width [mm]
        Width of the slot, above the diameter; scalar or array.
    diameter [mm]
        Cutter diameter, above 0; scalar or array.
    loop_step [mm]
        Step forward from loop to loop, 0 up to what the slot is wider than the cutter; scalar or array.
    feed_rate [mm/min]
        Feed rate of the axis while it cuts, above 0; scalar or array.
    return_feed_rate [mm/min]
        Feed rate of the axis through the air, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit, lies outside its domain, the slot is no wider than the cutter, or the step
        is too large.

    Notes
    -----
    Valid for constant feed rates, without acceleration: a lower bound. Sources: GEOMETRY, KINEMATICS.

    Examples
    --------
    >>> print(f"{loop_time('16 mm', '10 mm', '1 mm', '1500 mm/min', '4000 mm/min').to('s'):.3f~P}")
    0.551 s
    """
    room = _room(slot_width, diameter)
    step = _step(loop_step, room)
    more = np.arcsin(step / room) + np.arcsin(step / slot_width)
    cut, air = 0.5 * room * (pi + more), 0.5 * room * (pi - more) + step
    return (cut / _above_zero(feed_rate) + air / _above_zero(return_feed_rate))[()]


@formula(
    symbol="Q_l",
    expression="w_s*a_p*s_l/t_1/1000",
    sources=("KINEMATICS",),
    domain={"time": POSITIVE, "slot_width": POSITIVE},
)
def loop_removal_rate(slot_width: Length, axial_depth: Length, loop_step: Length, time: Time) -> RemovalRate:
    """Return the rate [cm^3/min] at which trochoidal loops remove a slot, as a mean over a loop.

    Parameters
    ----------
    slot_width [mm]
        Width of the slot, above 0; scalar or array.
    axial_depth [mm]
        Depth of the slot, 0 or more; scalar or array.
    loop_step [mm]
        Step forward from loop to loop, 0 or more; scalar or array.
    time [min]
        Time of one loop, above 0; scalar or array.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid for steps small against the width; the ridges between loops on the walls are a sixth of the square of step
    over width of it. Source: KINEMATICS.

    Examples
    --------
    >>> print(f"{loop_removal_rate('16 mm', '20 mm', '1 mm', '0.5 s'):.1f~P}")
    38.4 cm³/min
    """
    volume = np.multiply(_above_zero(slot_width), _from_zero(axial_depth)) * _from_zero(loop_step)
    return (volume / _above_zero(time) / 1000.0)[()]
