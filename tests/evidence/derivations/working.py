"""Derived by quadrature, roots of differential laws, searches for the least, and loops walked place by place."""

from __future__ import annotations

import functools
import math

import mpmath as mp
import numpy as np
import witness as w
from evidence.derivations.case import Derived
from scipy.optimize import brentq
from witness import engaged

mp.mp.dps = max(mp.mp.dps, 20)


def least_squares(kc11, mc, low, high):
    """Slope and height of the line nearest to kc11 h^(1-mc) over a range of chips, from its normal equations."""
    moments = [mp.quad(lambda h, k=k: h**k, [low, high]) for k in range(3)]
    force = [mp.quad(lambda h, k=k: kc11 * h ** (1 - mp.mpf(mc) + k), [low, high]) for k in range(2)]
    height, slope = mp.lu_solve(mp.matrix([moments[:2], moments[1:]]), mp.matrix(force))
    return slope, height


@functools.cache
def second_moment(diameter):
    """Integral of y^2 over the disc, strip by strip."""
    r = mp.mpf(diameter) / 2
    return mp.quad(lambda t: 2 * (r * mp.sin(t)) ** 2 * (r * mp.cos(t)) ** 2, [-mp.pi / 2, 0, mp.pi / 2])


def bent(force, overhang, diameter, modulus, height=0.0):
    """Deflection of the tip [um] by the moment integral of a virtual force."""
    stiff = mp.mpf(modulus) * 1000 * second_moment(diameter)
    return 1000 * mp.quad(lambda x: force * (x - height) * x / stiff, [height, overhang])


def first_mode():
    return mp.findroot(lambda b: mp.cos(b) * mp.cosh(b) + 1, 1.9)


def bar_frequency(overhang, diameter, modulus, density):
    """First frequency [Hz] of a clamped bar from the root of its own equation; SI units."""
    length, area = mp.mpf(overhang) / 1000, mp.pi * (mp.mpf(diameter) / 2000) ** 2
    stiff = mp.mpf(modulus) * 10**9 * second_moment(diameter) / 10**12
    return first_mode() ** 2 / (2 * mp.pi * length**2) * mp.sqrt(stiff / (mp.mpf(density) * 1000 * area))


def cheapest(n, fixed, rate, share=1.0):
    """Life at which the cost of a cut is least: the slope of the cost over the life, by differences, is zero."""

    def cost(life):
        return life ** mp.mpf(n) * (rate + share * fixed / life)

    return mp.findroot(lambda t: mp.diff(cost, t), (1, 200), solver="anderson", tol=1e-18)


def second_difference(unbalance, speed):
    """Force [N] of a mass of 1 kg off the axis by the unbalance: its path differentiated twice."""
    turn = 2 * mp.pi * speed / 60
    out = mp.mpf(unbalance) / 10**6  # m, of 1 kg
    return abs(mp.diff(lambda t: out * mp.expj(turn * t), 0, 2))


class Loop:
    """A loop in a slot: the circle of its centre about the origin, the loop before a step behind."""

    def __init__(self, diameter, width, step):
        self.half, self.path, self.reach, self.step = diameter / 2, (width - diameter) / 2, width / 2, step

    def standing(self, turns, samples):
        """For each place on the loop, which samples of the leading half of the rim stand in stock."""
        away = np.linspace(-math.pi / 2, math.pi / 2, samples)
        rim = np.exp(1j * turns[:, None]) * (self.path + self.half * 1j * np.exp(1j * away))
        return np.abs(rim + self.step) > self.reach + 1e-9

    def engagement(self):
        """Largest share of the leading half in stock, in degrees."""
        turns = np.linspace(-math.pi, math.pi, 1441)
        best = turns[np.argmax(self.standing(turns, 1801).mean(axis=1))]
        near = best + np.linspace(-0.005, 0.005, 101)
        return 180.0 * float(self.standing(near, 8001).mean(axis=1).max())

    def time(self, feed, back):
        """Time of a loop: places with stock at the one feed, the others and the step forward at the other."""
        turns = (np.arange(18_000) + 0.5) * 2 * math.pi / 18_000
        cutting = self.standing(turns, 361).any(axis=1).mean() * 2 * math.pi
        return cutting * self.path / feed + ((2 * math.pi - cutting) * self.path + self.step) / back


def law(speed, life, feed, depth, n, x, y):
    return speed * life**n * feed**x * depth**y


_LAW = {"taylor_exponent": 0.25, "feed_exponent": 0.35, "depth_exponent": 0.15, "extended_constant": "100 m/min"}
_ROOT, _QUAD = "by bracketing a root", "by quadrature"
TITLE = "Forces, bars, lives, costs and motion, worked out by quadrature, roots and searches"
CASES = [
    Derived(
        "line-through-a-force",
        "linearised_force",
        {"kc11": "1700 N/mm^2", "mc": 0.25, "chip_low": "0.02 mm", "chip_high": "0.1 mm"},
        lambda: least_squares(1700, 0.25, 0.02, 0.1)[0],
        ".1f",
        "N/mm^2",
        "normal equations, their moments by quadrature",
    ),
    Derived(
        "edge-of-a-line",
        "linearised_force",
        {"kc11": "1700 N/mm^2", "mc": 0.25, "chip_low": "0.02 mm", "chip_high": "0.1 mm"},
        lambda: least_squares(1700, 0.25, 0.02, 0.1)[1],
        ".2f",
        "N/mm",
        "normal equations, their moments by quadrature",
        {"result": 2},
    ),
    Derived(
        "shear-plane",
        "shear_angle",
        {"chip_ratio": 0.5, "rake_angle": "10 deg"},
        lambda: math.degrees(
            brentq(lambda f: math.sin(f) / math.cos(f - math.radians(10)) - 0.5, 0.01, 1.5, xtol=1e-14)
        ),
        ".3f",
        "deg",
        _ROOT + ": chip and layer are as thick as the plane between them says",
    ),
    Derived(
        "power-below-the-knee",
        "available_power",
        {"rated_torque": "20 N*m", "rated_power": "15 kW", "spindle_speed": "3000 rpm"},
        lambda: mp.quad(lambda t: 20, [0, 2 * mp.pi * 3000 / 60]) / 1000,
        ".3f",
        "kW",
        "work of the torque over the turns of a second",
    ),
    Derived(
        "torque-above-the-knee",
        "available_torque",
        {"rated_torque": "20 N*m", "rated_power": "15 kW", "spindle_speed": "12000 rpm"},
        lambda: brentq(lambda m: m * 2 * math.pi * 12000 / 60 - 15000, 0, 100),
        ".3f",
        "N*m",
        _ROOT + ": the work of a second",
    ),
    Derived(
        "knee",
        "base_speed",
        {"rated_torque": "20 N*m", "rated_power": "15 kW"},
        lambda: brentq(lambda n: 20 * 2 * math.pi * n / 60 - 15000, 1, 1e5),
        ".1f",
        "rev/min",
        _ROOT + ": torque and power meet",
    ),
    Derived(
        "power-of-a-torque",
        "power_of_torque",
        {"spindle_torque": "12 N*m", "spindle_speed": "2500 rpm"},
        lambda: mp.quad(lambda t: 12, [0, 2 * mp.pi * 2500 / 60]) / 1000,
        ".4f",
        "kW",
        "work over the turns of a second",
    ),
    Derived(
        "second-moment",
        "second_moment",
        {"diameter": "10 mm"},
        lambda: second_moment(10),
        ".3f",
        "mm^4",
        _QUAD + " over the disc",
    ),
    Derived(
        "stress-of-a-bar",
        "bending_stress",
        {"force": "100 N", "lever": "40 mm", "diameter": "10 mm"},
        lambda: 100 * 40 * 5 / second_moment(10),
        ".3f",
        "N/mm^2",
        "moment over the second moment, " + _QUAD,
    ),
    Derived(
        "deflection-of-a-bar",
        "cantilever_deflection",
        {"force": "100 N", "overhang": "40 mm", "diameter": "10 mm", "modulus": "600 GPa"},
        lambda: bent(100, 40, 10, 600),
        ".4f",
        "um",
        "the moment integral, " + _QUAD,
    ),
    Derived(
        "deflection-from-above-the-tip",
        "tip_deflection",
        {"force": "100 N", "overhang": "40 mm", "diameter": "10 mm", "modulus": "600 GPa", "load_height": "5 mm"},
        lambda: bent(100, 40, 10, 600, 5),
        ".4f",
        "um",
        "the moment integral, " + _QUAD,
    ),
    Derived(
        "overhang-for-a-deflection",
        "largest_overhang",
        {"force": "100 N", "deflection": "10 um", "diameter": "10 mm", "modulus": "600 GPa"},
        lambda: brentq(lambda x: float(bent(100, x, 10, 600)) - 10, 1, 200),
        ".4f",
        "mm",
        _ROOT + " of the moment integral",
    ),
    Derived(
        "bar-frequency",
        "cantilever_frequency",
        {"overhang": "40 mm", "diameter": "10 mm", "modulus": "600 GPa", "density": "14.5 g/cm^3"},
        lambda: bar_frequency(40, 10, 600, 14.5),
        ".1f",
        "Hz",
        "root of cos b cosh b = -1 and the bar's own mass",
    ),
    Derived(
        "frequency-of-stiffness-and-mass",
        "overhung_frequency",
        {"stiffness": "10 N/um", "mass": "0.05 kg"},
        lambda: first_mode() ** 2 * mp.sqrt(mp.mpf(10**7) / 3 / mp.mpf("0.05")) / (2 * mp.pi),
        ".1f",
        "Hz",
        "a clamped bar of that stiffness and mass, 1 m long",
    ),
    Derived(
        "force-of-an-unbalance",
        "unbalance_force",
        {"unbalance": "10 g*mm", "spindle_speed": "20000 rpm"},
        lambda: second_difference(10, 20000),
        ".3f",
        "N",
        "a turning mass, its path differentiated twice",
    ),
    Derived(
        "mean-chip-of-a-ball",
        "ball_mean_chip_thickness",
        {"feed_per_tooth": "0.1 mm", "diameter": "10 mm", "normal_depth": "0.5 mm", "stepover": "0.5 mm"},
        lambda: 0.1 * engaged.chip_reach((("arc", (0.0, 0.0), (5.0, 5.0), (5.0, 0.0)),), 0.5, 0.0, 0.0, 0.5)[1],
        ".5f",
        "mm",
        "rings of the ball summed over the part that cuts",
    ),
    Derived(
        "loop-engagement",
        "loop_engagement",
        {"diameter": "10 mm", "slot_width": "16 mm", "loop_step": "1 mm"},
        lambda: Loop(10, 16, 1).engagement(),
        ".0f",
        "deg",
        "the rim sampled place by place",
    ),
    Derived(
        "loop-step",
        "loop_step_for_engagement",
        {"diameter": "10 mm", "slot_width": "16 mm", "engagement_angle": "60 deg"},
        lambda: brentq(lambda s: Loop(10, 16, s).engagement() - 60, 0.1, 3, xtol=1e-5),
        ".3f",
        "mm",
        _ROOT + " of the rim sampled place by place",
    ),
    Derived(
        "loop-time",
        "loop_time",
        {
            "slot_width": "16 mm",
            "diameter": "10 mm",
            "loop_step": "1 mm",
            "feed_rate": "1000 mm/min",
            "return_feed_rate": "3000 mm/min",
        },
        lambda: Loop(10, 16, 1).time(1000, 3000),
        ".4f",
        "min",
        "places of the loop with and without stock counted",
    ),
    Derived(
        "move-with-a-level",
        "move_time",
        {"length": "50 mm", "feed_rate": "6000 mm/min", "acceleration": "2000 mm/s^2"},
        lambda: w.travel_time(50.0, 6000.0, 2000.0),
        ".6f",
        "min",
        _QUAD + " of the slowness along the way",
    ),
    Derived(
        "move-without-a-level",
        "move_time",
        {"length": "1 mm", "feed_rate": "6000 mm/min", "acceleration": "2000 mm/s^2"},
        lambda: w.travel_time(1.0, 6000.0, 2000.0),
        ".7f",
        "min",
        _QUAD + " of the slowness along the way",
    ),
    Derived(
        "time-lost",
        "acceleration_loss",
        {"length": "50 mm", "feed_rate": "6000 mm/min", "acceleration": "2000 mm/s^2"},
        lambda: w.travel_time(50.0, 6000.0, 2000.0) - 50 / 6000,
        ".7f",
        "min",
        _QUAD + " of the slowness along the way, less the even time",
    ),
    Derived(
        "extended-life",
        "extended_life",
        {"cutting_speed": "150 m/min", "feed_per_tooth": "0.1 mm", "axial_depth": "2 mm", **_LAW},
        lambda: brentq(lambda t: law(150, t, 0.1, 2, 0.25, 0.35, 0.15) - 100, 1e-3, 1e4, xtol=1e-12),
        ".3f",
        "min",
        _ROOT + " of the law",
    ),
    Derived(
        "extended-feed",
        "extended_feed",
        {"tool_life": "30 min", "cutting_speed": "90 m/min", "axial_depth": "2 mm", **_LAW},
        lambda: brentq(lambda f: law(90, 30, f, 2, 0.25, 0.35, 0.15) - 100, 1e-9, 10, xtol=1e-15),
        ".5f",
        "mm",
        _ROOT + " of the law",
    ),
    Derived(
        "extended-depth",
        "extended_depth",
        {"tool_life": "30 min", "cutting_speed": "90 m/min", "feed_per_tooth": "0.1 mm", **_LAW},
        lambda: brentq(lambda a: law(90, 30, 0.1, a, 0.25, 0.35, 0.15) - 100, 1e-9, 100, xtol=1e-15),
        ".5f",
        "mm",
        _ROOT + " of the law",
    ),
    Derived(
        "cheapest-life",
        "least_cost_life",
        {"taylor_exponent": 0.25, "change_time": "2 min", "tool_cost": 5, "machine_rate": "1.5 1/min"},
        lambda: cheapest(0.25, 1.5 * 2 + 5, 1.5),
        ".3f",
        "min",
        "where the slope of the cost is zero",
    ),
    Derived(
        "quickest-life",
        "most_output_life",
        {"taylor_exponent": 0.25, "change_time": "2 min"},
        lambda: cheapest(0.25, 2, 1),
        ".3f",
        "min",
        "where the slope of the time is zero",
    ),
    Derived(
        "quickest-speed",
        "most_output_speed",
        {"taylor_constant": "200 m/min", "taylor_exponent": 0.25, "change_time": "2 min"},
        lambda: brentq(lambda v: v * float(cheapest(0.25, 2, 1)) ** 0.25 - 200, 1, 1e4),
        ".3f",
        "m/min",
        "the speed of the life at which the slope of the time is zero",
    ),
    Derived(
        "speed-of-a-hardness",
        "speed_at_hardness",
        {"cutting_speed": "100 m/min", "brinell_hardness": 200, "wanted_hardness": 300, "hardness_exponent": 1.5},
        lambda: 100 * mp.exp(-mp.quad(lambda b: 1.5 / b, [200, 300])),
        ".3f",
        "m/min",
        "the slope of the logarithms integrated",
    ),
]
