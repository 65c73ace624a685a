"""Paths to test with: random wavy ones, and a simulation of the motion in fine steps as the second witness."""

from __future__ import annotations

import itertools
import math

import numpy as np

from millcalc import BallEndMill
from millcalc.planning.parts import Machine
from millcalc.planning.paths.points import Path
from millcalc.planning.paths.settings import PathCut

BALL = BallEndMill(diameter="10 mm", teeth=2)
MACHINE = Machine(largest_spindle_speed="18000 rpm", largest_feed_rate="8 m/min")
CUT = PathCut(normal_depth="0.2 mm", stepover="0.3 mm", spindle_speed="12000 rpm", chip_thickness="0.02 mm")


def unit(vectors):
    return vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)


def wavy(count: int, seed: int = 0, noise: float = 0.0):
    """Return points, axes and normals of passes over a wavy surface, the axis leaning every way."""
    random = np.random.default_rng(seed)
    way = np.arange(count) * 0.1 + noise * random.uniform(-0.04, 0.04, count)
    x, y = way % 20.0, np.floor(way / 20.0) * 0.3
    points = np.column_stack((x, y, 3.0 * np.sin(x / 10.0) * np.cos(y / 10.0)))
    points += noise * random.normal(0.0, 0.005, points.shape)
    slopes = (-0.3 * np.cos(x / 10.0) * np.cos(y / 10.0), 0.3 * np.sin(x / 10.0) * np.sin(y / 10.0), np.ones(count))
    normal = unit(np.column_stack(slopes))
    lean = np.column_stack((0.3 * np.sin(way / 5.0), 0.2 * np.sin(way / 7.0), np.zeros(count)))
    return points, unit(normal + lean), normal


def wavy_path(count: int, seed: int = 0, noise: float = 0.0, **more) -> Path:
    points, axis, normal = wavy(count, seed, noise)
    return Path(points, axis=axis, normal=normal, unit="mm", **more)


def framed(points, axis, normal):
    """Return lead and tilt [deg] and the turn [deg] at the inner points, by vectors one at a time."""
    leads, tilts, turns = [], [], []
    for at in range(1, len(points) - 1):
        before, after = points[at] - points[at - 1], points[at + 1] - points[at]
        before, after = before / np.linalg.norm(before), after / np.linalg.norm(after)
        n = normal[at] / np.linalg.norm(normal[at])
        travel = before + after
        travel = travel - (travel @ n) * n
        travel /= np.linalg.norm(travel)
        left = np.cross(n, travel)
        t = axis[at] / np.linalg.norm(axis[at])
        leads.append(math.degrees(math.asin(t @ travel)))
        tilts.append(math.degrees(math.atan2(t @ left, t @ n)))
        turns.append(math.degrees(math.acos(min(1.0, before @ after))))
    return np.array(leads), np.array(tilts), np.array(turns)


def simulated_time(steps, rates, caps, acceleration, fine: int = 4000) -> float:
    """Time [s] of moves with their rates [mm/s] and the speeds at which their ends may be passed, in fine steps.

    The way is cut into equal small pieces; the speed is held down by every cap, forward and backward, and each piece
    takes its length over the mean of the speeds at its ends.
    """
    edges = np.concatenate(([0.0], np.cumsum(steps)))
    places = np.unique(np.concatenate([np.linspace(a, b, fine) for a, b in itertools.pairwise(edges)]))
    square = np.full(len(places), np.inf)
    for start, end, rate in zip(edges[:-1], edges[1:], rates, strict=True):
        inside = (places >= start) & (places <= end)
        square[inside] = np.minimum(square[inside], rate * rate)
    for edge, cap in zip(edges, caps, strict=True):
        at = int(np.argmin(np.abs(places - edge)))
        square[at] = min(square[at], cap * cap)
    gaps = np.diff(places)
    for order in (range(1, len(places)), range(len(places) - 2, -1, -1)):
        for at in order:
            other = at - 1 if order.step > 0 else at + 1
            square[at] = min(square[at], square[other] + 2.0 * acceleration * gaps[min(at, other)])
    speed = np.sqrt(square)
    return float(np.sum(2.0 * gaps / (speed[1:] + speed[:-1])))
