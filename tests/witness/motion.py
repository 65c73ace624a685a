"""Chords, corners and moves, walked."""

from __future__ import annotations

import math

import mpmath as mp
import numpy as np
from scipy.integrate import quad
from scipy.optimize import brentq

from witness.engagement import _highest

DIGITS = 50
TINY = mp.mpf(10) ** -22  # a feed small enough that its square is nothing at 50 digits' tolerance of 1e-12


def sagitta(step: float, path_radius: float) -> float:
    """Return the largest distance, mm, between a circle and its chord: the arc is walked in 50 digits."""
    with mp.workdps(DIGITS):
        r = mp.mpf(path_radius)
        low, high = mp.mpf(0), mp.pi
        for _ in range(165):  # the angle whose chord has the length of the step
            angle = (low + high) / 2
            if abs(r * mp.expj(angle) - r) < step:
                low = angle
            else:
                high = angle
        start, end = r, r * mp.expj(angle)
        chord = end - start

        def off(turned: mp.mpf) -> mp.mpf:
            return abs((mp.conj(chord) * (r * mp.expj(turned) - start)).imag) / abs(chord)

        return float(_highest(off, mp.mpf(0), angle, 70))


def chord_for(error: float, path_radius: float) -> float:
    """Return the chord, mm, with that sagitta (mm), by a root (1e-9)."""
    return brentq(
        lambda s: sagitta(s, path_radius) - error,
        1e-9 * path_radius,
        2 * path_radius * (1 - 1e-12),
        xtol=1e-13,
    )


def bent_acceleration(feed_rate: float, path_radius: float) -> float:
    """Return the acceleration, mm/s^2, of a point on a circle: second difference of its place, 50 digits."""
    with mp.workdps(DIGITS):
        rate, r, dt = mp.mpf(feed_rate) / 60, mp.mpf(path_radius), mp.mpf(10) ** -12

        def place(t: mp.mpf) -> mp.mpc:
            return r * mp.expj(rate * t / r)

        return float(abs(place(dt) - 2 * place(mp.mpf(0)) + place(-dt)) / dt**2)


def feed_for_bend(acceleration: float, path_radius: float) -> float:
    """Return the feed rate, mm/min, whose acceleration on the circle is the given one, by a root."""
    return brentq(lambda f: bent_acceleration(f, path_radius) - acceleration, 1e-6, 1e9, xtol=1e-9, rtol=1e-13)


def corner_arc(tolerance: float, angle: float) -> float:
    """Return the radius, mm, of the arc between two moves that passes the corner at `tolerance` mm (1e-12).

    Two unit legs leave the corner at the given interior angle.  The centre slides along the bisector; its
    distance to a leg is a cross product; the arc passes the corner at centre distance minus radius.
    """
    one = np.array([1.0, 0.0])
    two = np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle))])
    bisector = (one + two) / np.linalg.norm(one + two)

    def radius(distance: float) -> float:
        centre = distance * bisector
        return float(abs(centre[0] * one[1] - centre[1] * one[0]))

    unit = 1.0 - radius(1.0)
    distance = brentq(lambda d: d - radius(d) - tolerance, 0.0, 2 * tolerance / unit, xtol=1e-18, rtol=1e-14)
    return radius(distance)


def travel_time(length: float, feed_rate: float, acceleration: float) -> float:
    """Return the time, min, of a rest-to-rest move: the integral of dx/v, v bounded by feed and acceleration.

    Tanh-sinh quadrature, split where the bounds cross, 1e-13.
    """
    with mp.workdps(30):
        L, top, a = mp.mpf(length), mp.mpf(feed_rate) / 60, mp.mpf(acceleration)

        def slowness(x: mp.mpf) -> mp.mpf:
            return 1 / min(top, mp.sqrt(2 * a * x))

        middle = L / 2  # the way down mirrors the way up
        low, high = mp.mpf(0), middle
        if mp.sqrt(2 * a * middle) <= top:
            return float(2 * mp.quad(slowness, [0, middle]) / 60)
        for _ in range(110):
            x = (low + high) / 2
            if mp.sqrt(2 * a * x) < top:
                low = x
            else:
                high = x
        return float(2 * mp.quad(slowness, [0, low, middle]) / 60)


def stepped_travel_time(length: float, feed_rate: float, acceleration: float, steps: int = 100_000) -> float:
    """Return the time, min, of the same move with a control that decides tick by tick.

    It speeds up while it could still stop in time, then brakes to rest; right to a few ticks, a tick being
    about the whole over `steps`.
    """
    top = min(feed_rate / 60, math.sqrt(2 * acceleration * length))
    tick = (length / top + top / acceleration) / steps
    x, v, t, braking = 0.0, 0.0, 0.0, False
    while True:
        faster = min(top, v + acceleration * tick)
        braking = braking or x + 0.5 * (v + faster) * tick + faster**2 / (2 * acceleration) > length
        new = v - acceleration * tick if braking else faster
        if new <= 0.0:
            return t / 60
        x += 0.5 * (v + new) * tick
        v = new
        t += tick


def peak_feed(acceleration: float, length: float) -> float:
    """Return the peak feed rate, mm/min, of a move from rest to rest: half the length speeds it up."""

    def way(v: float) -> float:
        return quad(lambda u: u / acceleration, 0.0, v)[0]

    return 60 * brentq(lambda v: way(v) - 0.5 * length, 0.0, 1e6, xtol=1e-12, rtol=1e-14)
