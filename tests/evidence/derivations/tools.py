"""Derived of holders, forces and bodies of tools: by hand, by summed chips, by moment integrals."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

import mpmath as mp
import numpy as np
import witness as w
from evidence.derivations.case import Derived, asked
from evidence.derivations.working import bar_frequency, second_moment
from scipy.optimize import brentq

BALL = {"family": "ball", "diameter": "10 mm", "teeth": 2}
BAR = {
    "family": "flat",
    "diameter": "10 mm",
    "teeth": 4,
    "flute_length": "20 mm",
    "overhang": "40 mm",
    "shank_diameter": "12 mm",
}
SMALL = {"family": "ball", "diameter": "6 mm", "teeth": 2, "overhang": "30 mm"}
HOLDER = [{"length": "40 mm", "lower_diameter": "20 mm"}]
EVEN = {**BAR, "shank_diameter": "10 mm"}
_FORCES = Path(w.__file__).with_name("force_cases.toml")
_NAMES = (
    "tangential_coefficient",
    "radial_coefficient",
    "axial_coefficient",
    "tangential_edge_force",
    "radial_edge_force",
    "axial_edge_force",
)
_ROW = 10  # a flat end mill with a helix, half in the cut
_MOMENT = "the moment integral of the bar, by quadrature"


def over_the_floor(overhang, tilt):
    """Least height of the holder's lower rim over the plane: a ball of 3 mm radius, the axis turned across."""
    turn, lean = np.linspace(0, 2 * math.pi, 100_001), math.radians(tilt)
    heights = 3 + (overhang - 3) * math.cos(lean) + 10 * np.cos(turn) * math.sin(lean)
    return float(heights.min())


def bar(load=0.0, share=0.8):
    """Moment of 1 N and second moment along the stepped bar, from the tip."""
    wide = [(0.0, 20.0, 10.0 * share), (20.0, 40.0, 12.0)]
    return sum(
        1000 * mp.quad(lambda x, d=d: (x - load) * x / (580_000 * second_moment(d)), [max(a, load), b])
        for a, b, d in wide
    )


def bar_overhang(force, deflection):
    def moved(shank):
        one = 1000 * mp.quad(lambda x: x**2 / (580_000 * second_moment(8.0)), [0, 20])
        return force * float(one + 1000 * mp.quad(lambda x: x**2 / (580_000 * second_moment(12.0)), [20, 20 + shank]))

    return 20 + brentq(lambda s: moved(s) - deflection, 0.1, 200, xtol=1e-11)


def force_row(place):
    return tomllib.loads(_FORCES.read_text(encoding="utf-8"))["case"][place]


def force_case(name, formula, key, form, unit, result, more=None):
    row = force_row(_ROW)
    units = ["N/mm^2"] * 3 + ["N/mm"] * 3
    made = {n: f"{v} {u}" for n, v, u in zip(_NAMES, row["coefficients"], units, strict=True)}
    cutter = {"family": "flat", "diameter": "10 mm", "teeth": 4, "helix": "30 deg"}
    inputs = {"feed_per_tooth": "0.05 mm", "normal_depth": "2 mm", "stepover": "5 mm", "uncut_side": "left"}
    factor = 2 * math.pi * 8000 / 60000 if formula == "power" else 1.0
    return Derived(
        name,
        formula,
        {**inputs, **(more or {})},
        lambda: factor * row[key],
        form,
        unit,
        "chip areas of the engaged edge summed over a turn, ring by ring, in tests/witness/cutting_forces.py",
        {"cutter": cutter, "coefficients": made, "result": result},
    )


TITLE = "Holders, forces and bodies of tools, worked out by hand, by summed chips and by moment integrals"
CASES = [
    Derived(
        "holder-beside-a-wall",
        "wall_clearance",
        {"wall_distance": "12 mm", "wall_height": "60 mm"},
        lambda: 12 - 20 / 2,
        ".0f",
        "mm",
        "by hand: the wall less the holder's radius",
        asked(SMALL, holder=HOLDER),
    ),
    Derived(
        "holder-over-a-low-wall",
        "wall_clearance",
        {"wall_distance": "8 mm", "wall_height": "27 mm"},
        lambda: min(30 - 27, 8 - 3),
        ".0f",
        "mm",
        "by hand: the holder stands over the wall, the shank beside it",
        asked(SMALL, holder=HOLDER),
    ),
    Derived(
        "holder-in-the-floor",
        "floor_clearance",
        {"tilt": "75 deg"},
        lambda: over_the_floor(12.0, 75),
        ".3f",
        "mm",
        "the rim of the holder turned point by point",
        asked({**SMALL, "overhang": "12 mm"}, holder=HOLDER),
    ),
    Derived(
        "overhang-over-a-wall",
        "least_overhang",
        {"wall_distance": "8 mm", "wall_height": "25 mm", "margin": "1 mm"},
        lambda: 25 + 1,
        ".0f",
        "mm",
        "by hand: the holder stays above the wall by the margin",
        asked(SMALL, holder=HOLDER),
    ),
    Derived(
        "tilts-over-the-floor",
        "clearing_tilts",
        {"wall_distance": "inf", "wall_height": "0 mm"},
        lambda: brentq(lambda t: over_the_floor(30.0, t), 10, 89.9, xtol=1e-9),
        ".3f",
        "deg",
        "root: the rim of the holder, turned point by point, meets the floor",
        asked(SMALL, 2, holder=HOLDER),
    ),
    Derived(
        "ball-in-a-slot",
        "mean_force",
        {"feed_per_tooth": "0.1 mm", "normal_depth": "1 mm"},
        lambda: 2 * 2000 * 0.1 * 1 / 4,
        ".1f",
        "N",
        "z K_t f_z a/4, the integral over the slot: the radius drops out",
        {"cutter": BALL, "coefficients": {"tangential_coefficient": "2000 N/mm^2"}, "result": 2},
    ),
    force_case("mean-force-x", "mean_force", "mean_x", ".1f", "N", 1),
    force_case("mean-force-y", "mean_force", "mean_y", ".1f", "N", 2),
    force_case("mean-force-axis", "mean_force", "mean_t", ".1f", "N", 3),
    force_case("peak-bending", "peak_force", "peak_bending", ".0f", "N", 1),
    force_case("peak-in-all", "peak_force", "peak_resultant", ".0f", "N", 2),
    force_case("mean-torque", "torque", "mean_torque", ".3f", "N*m", 1),
    force_case("mean-power", "power", "mean_torque", ".3f", "kW", 1, {"spindle_speed": "8000 rpm"}),
    Derived(
        "stiffness-of-a-stepped-bar",
        "stiffness",
        {},
        lambda: 1 / bar(),
        ".3f",
        "N/um",
        _MOMENT,
        asked(BAR, body={"material": "carbide"}),
    ),
    Derived(
        "deflection-of-a-stepped-bar",
        "tip_deflection",
        {"force": "50 N", "load_height": "2 mm"},
        lambda: 50 * bar(2.0),
        ".3f",
        "um",
        _MOMENT,
        asked(BAR, body={"material": "carbide"}),
    ),
    Derived(
        "stress-of-a-stepped-bar",
        "bending_stress",
        {"force": "50 N"},
        lambda: max(50 * 20 * 4 / second_moment(8.0), 50 * 40 * 6 / second_moment(12.0)),
        ".3f",
        "N/mm^2",
        "moment over second moment at either end of the steps",
        asked(BAR, body={"material": "carbide"}),
    ),
    Derived(
        "weakest-place",
        "weakest_height",
        {},
        lambda: 20 if 20 * 4 / second_moment(8.0) > 40 * 6 / second_moment(12.0) else 40,
        ".0f",
        "mm",
        "moment over second moment at either end of the steps",
        asked(BAR, body={"material": "carbide"}),
    ),
    Derived(
        "frequency-of-an-even-bar",
        "natural_frequency",
        {},
        lambda: bar_frequency(40, 10, 580, 14.45),
        ".1f",
        "Hz",
        "root of cos b cosh b = -1 and the bar's own mass",
        asked(EVEN, body={"material": "carbide", "equivalent_ratio": 1.0}),
    ),
    Derived(
        "overhang-of-a-stepped-bar",
        "largest_overhang",
        {"force": "50 N", "deflection": "10 um"},
        lambda: bar_overhang(50, 10),
        ".3f",
        "mm",
        "root of " + _MOMENT,
        asked(BAR, body={"material": "carbide"}),
    ),
    Derived(
        "mass-of-an-even-bar",
        "mass",
        {},
        lambda: w.disc(5.0, corners=40_000).area * 40 * 14.45e-6,
        ".5f",
        "kg",
        "polygon area by length and density",
        asked(EVEN, body={"material": "carbide", "equivalent_ratio": 1.0}),
    ),
]
