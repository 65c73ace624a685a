"""What holds at one point and in one move: formulas on floats and arrays alike.

Blocks go through them as arrays, by NumPy; the loops of `tiles_cut` and `tiles_along` take them point by point.
"""

from __future__ import annotations

from typing import Any

import numpy as np

__all__ = [
    "ACCELERATION",
    "ALONG",
    "BLOCK_TIME",
    "CAUSES",
    "CORNER",
    "FARTHEST",
    "IS_UNIT",
    "LARGEST",
    "LOOK_AHEAD",
    "PLUNGE",
    "PROGRAM",
    "RAPID",
    "ROTARY",
    "SAME",
    "SPEED",
    "SWUNG",
    "UNIT_SLACK",
    "axis_by_travel",
    "ball_diameters",
    "contact_way",
    "corner_radius",
    "dot",
    "minus",
    "move_time",
    "plus",
    "swing_angle",
    "times",
]

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
"""What may govern a move."""
PROGRAM, LARGEST, BLOCK_TIME, ROTARY, SWUNG, RAPID, ACCELERATION, CORNER, LOOK_AHEAD = range(1, len(CAUSES))
FARTHEST = 1e9
"""Distance [mm] from the origin beyond which a point lies outside of every machine."""
UNIT_SLACK = 2e-3
"""How far the square of a direction's length may be from 1: what four printed digits leave, and some more."""
ALONG = 1e-12
"""Square of the part of the travel in the surface below which a move runs along the normal."""
PLUNGE = 1.0 - 1e-9
"""Share of a move along the normal from which it runs along it."""
SPEED = np.pi / 1000.0
"""Cutting speed [m/min] by diameter and spindle speed."""
IS_UNIT = 4e-15
"""How far the square of a direction's length may be from 1 that is left as it is."""
SAME = 1.0 - 1e-9
"""Share of a limit from which it is reached."""
Three = tuple[Any, Any, Any]


def minus(a: Three, b: Three) -> Three:
    """Return the difference of two vectors."""
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def plus(a: Three, b: Three) -> Three:
    """Return the sum of two vectors."""
    return a[0] + b[0], a[1] + b[1], a[2] + b[2]


def times(factor: Any, a: Three) -> Three:
    """Return a vector made longer."""
    return factor * a[0], factor * a[1], factor * a[2]


def dot(a: Three, b: Three) -> Any:
    """Return the scalar product of two vectors."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def corner_radius(before: Three, after: Three, shorter: Any, tolerance: Any) -> Any:
    """Return the radius of the arc within the tolerance between two moves, or that which fits between their middles.

    By the directions before and after, the shorter of the moves and the tolerance delta.  With the turn theta,
    sine = sin(theta/2) and cosine = cos(theta/2): delta cosine/(1 - cosine), and half the shorter move by tan(theta/2).
    Straight on it is without bound.
    """
    turn = minus(after, before)
    square = 0.25 * dot(turn, turn)  # sin^2(theta/2)
    cosine, inverse = np.sqrt(np.maximum(1.0 - square, 0.0)), 1.0 / np.sqrt(square)
    return np.minimum(0.5 * shorter, tolerance * (1.0 + cosine) * inverse) * inverse * cosine


def contact_way(move: Three, turned: Three, radius: Any) -> Any:
    """Return the way of the contact in a move: of the programmed point, and of the contact seen from it."""
    way = plus(move, times(radius, turned))
    return np.sqrt(dot(way, way))


def axis_by_travel(travel: Three, less: Three, normal: Three, square: Any) -> tuple[Any, Any, Any, Any]:
    """Return the axis along the travel, to its left, and along the normal; and the square of the travel in the surface.

    `less` is the axis less the normal, and `square` its square, so that T.N = 1 - square/2: what is small keeps its
    digits. `travel` is of any length.
    """
    along = dot(travel, normal)
    size = dot(travel, travel) - along * along
    inverse = 1.0 / np.sqrt(size)
    # T.s - (s.N)(T.N) = less.s + (s.N) square/2
    forward = (dot(less, travel) + along * square * 0.5) * inverse
    turned = (
        less[1] * normal[2] - less[2] * normal[1],
        less[2] * normal[0] - less[0] * normal[2],
        less[0] * normal[1] - less[1] * normal[0],
    )
    return forward, dot(travel, turned) * inverse, 1.0 - 0.5 * square, size


def ball_diameters(
    forward: Any, across: Any, upward: Any, diameter: Any, cosine: Any, sine: Any
) -> tuple[Any, Any, Any]:
    """Return the least, the contact's and the largest cutting diameter of a ball over the part of its cap that leads.

    By products of sines and cosines alone; cosine and sine are those of the cap's angle.  The largest is reached at the
    stock plane, ahead where the axis leans ahead, else at its side, and is the ball's where the stock reaches its
    equator; the least where the cap comes nearest to the tip, 0 where it holds it.
    """
    ahead, behind = np.maximum(forward, 0.0), np.minimum(forward, 0.0)
    ahead, behind, beside, lift = ahead * ahead, behind * behind, across * across, upward * sine
    contact = np.sqrt(beside + ahead + behind)
    reach = np.sqrt(beside + ahead)
    rim = lift + cosine * reach
    largest = np.maximum(np.sqrt(behind + rim * rim), 1.0 * (upward * cosine <= sine * reach))
    inner = np.maximum(cosine * np.sqrt(beside + behind) - lift, 0.0)
    least = np.sqrt(ahead + inner * inner)
    return diameter * least, diameter * contact, diameter * largest


def move_time(step: Any, ends: Any, speeds: Any, peak: Any, acceleration: Any) -> Any:
    """Return the time of a move with constant acceleration, by the square of its greatest speed.

    `ends` is half the sum of the squares of the speeds at its ends, `speeds` the sum of the speeds.
    """
    top, inverse = np.sqrt(peak), 1.0 / acceleration
    steady = np.maximum(step - (peak - ends) * inverse, 0.0)  # what is left of the way at the greatest speed
    return (2.0 * top - speeds) * inverse + steady / top


def swing_angle(turn: Three) -> Any:
    """Return the angle [rad] between two directions of unit length, by their difference."""
    return 2.0 * np.arcsin(np.minimum(0.5 * np.sqrt(dot(turn, turn)), 1.0))
