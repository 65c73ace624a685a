"""The table of milling forces, force_cases.toml: its cases, how it is read and how it was written.

`python tests/witness/force_cases.py` writes it anew (some minutes).  Nothing is taken from the library.
"""

from __future__ import annotations

import math
import sys
import tomllib
from pathlib import Path

import numpy as np

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))

from witness import cutting_forces as cf

TABLE = Path(__file__).with_name("force_cases.toml")
FORMS = {"flat": cf.flat, "ball": cf.ball, "corner": cf.corner, "tapered_ball": cf.tapered_ball}
RESULTS = ("mean_x", "mean_y", "mean_t", "mean_torque", "peak_resultant", "peak_bending")
# invented for the check, in the range of steel; the exponent 0 pair from README.md of the published folder
CONSTANT = [1825.0, 770.0, 735.0, 29.7, 55.7, 1.8]
SHEAR = [631.0, 99.0, 273.0, 13.0, 10.0, 2.8]
KIENZLE = [1700.0, 600.0, 350.0, 15.0, 20.0, 3.0]
INF = math.inf
COLUMNS = ("form", "teeth", "helix", "eccentricity", "coefficients", "exponent", "feed", "depth", "lead", "tilt",
           "stepover", "uncut_side")  # fmt: skip
CASES = [
    (["ball", 10.0], 2, 30.0, 0.0, CONSTANT, 0.0, 0.08, 0.3, 0.0, 0.0, 0.3, "right"),
    (["ball", 10.0], 2, 30.0, 0.0, CONSTANT, 0.0, 0.08, 0.3, 0.0, 0.0, 0.3, "left"),
    (["ball", 10.0], 2, 30.0, 0.01, CONSTANT, 0.0, 0.08, 0.3, 15.0, 0.0, 0.3, "right"),
    (["ball", 10.0], 2, 30.0, 0.01, KIENZLE, 0.26, 0.08, 0.3, 0.0, 20.0, 0.3, "right"),
    (["ball", 8.0], 3, 0.0, 0.0, SHEAR, 0.0, 0.05, 1.5, 0.0, 0.0, INF, "left"),
    (["ball", 4.0], 4, 45.0, 0.01, KIENZLE, 0.26, 0.02, 0.1, -20.0, -15.0, 0.1, "left"),
    (["ball", 16.0], 2, 20.0, 0.0, SHEAR, 0.0, 0.15, 2.0, 30.0, 30.0, 4.0, "left"),
    (["ball", 6.0], 1, 30.0, 0.01, CONSTANT, 0.0, 0.06, 0.5, -10.0, 5.0, 1.5, "right"),
    (["ball", 12.0], 6, 40.0, 0.01, KIENZLE, 0.26, 0.05, 0.8, 10.0, -30.0, 2.0, "right"),
    (["flat", 10.0], 4, 0.0, 0.0, CONSTANT, 0.0, 0.05, 2.0, 0.0, 0.0, INF, "left"),
    (["flat", 10.0], 4, 30.0, 0.0, CONSTANT, 0.0, 0.05, 2.0, 0.0, 0.0, 5.0, "left"),
    (["flat", 10.0], 4, 45.0, 0.01, KIENZLE, 0.26, 0.05, 8.0, 0.0, 0.0, 1.0, "right"),
    (["flat", 16.0], 6, 38.0, 0.01, SHEAR, 0.0, 0.1, 3.0, 0.0, 0.0, 12.0, "left"),
    (["flat", 10.0], 2, 30.0, 0.0, CONSTANT, 0.0, 0.08, 0.3, -15.0, 10.0, 2.0, "right"),
    (["flat", 12.0], 3, 30.0, 0.01, KIENZLE, 0.26, 0.1, 0.5, 5.0, 0.0, 4.0, "left"),
    (["flat", 6.0], 2, 20.0, 0.01, SHEAR, 0.0, 0.04, 0.4, 10.0, -20.0, INF, "right"),
    (["corner", 10.0, 1.0], 4, 35.0, 0.0, CONSTANT, 0.0, 0.06, 0.5, 0.0, 0.0, 5.0, "right"),
    (["corner", 10.0, 2.0], 3, 30.0, 0.0, SHEAR, 0.0, 0.08, 1.3, 25.0, 20.0, 3.0, "left"),
    (["corner", 16.0, 3.0], 5, 45.0, 0.01, KIENZLE, 0.26, 0.1, 1.0, 3.0, 0.0, 8.0, "right"),
    (["corner", 8.0, 0.5], 2, 30.0, 0.01, CONSTANT, 0.0, 0.03, 0.2, -5.0, 2.0, INF, "left"),
    (["corner", 12.0, 4.0], 6, 0.0, 0.01, KIENZLE, 0.26, 0.07, 3.0, 15.0, -10.0, 6.0, "left"),
    (["tapered_ball", 4.0, 5.0, 12.0], 2, 30.0, 0.01, CONSTANT, 0.0, 0.08, 1.3, -15.0, -30.0, 1.0, "right"),
    (["tapered_ball", 2.0, 10.0, 6.0], 3, 20.0, 0.01, KIENZLE, 0.26, 0.02, 0.15, 10.0, 15.0, 0.15, "left"),
    (["tapered_ball", 3.0, 7.0, 10.0], 4, 30.0, 0.0, SHEAR, 0.0, 0.04, 6.0, 0.0, 0.0, 1.0, "right"),
]


def profile(form):
    """Return the pieces of a form given as its word and its lengths."""
    word, *lengths = form
    return FORMS[word](*lengths)


def setting(case):
    """Return the arguments of `mean_forces` and, but for the angles, of `forces`."""
    return [profile(case["form"]), *(case[name] for name in COLUMNS[1:])]


def read_cases():
    """Return the cases of the table: the columns, the results by name and their errors by name."""
    return tomllib.loads(TABLE.read_text(encoding="utf-8"))["case"]


def calculated(case, cells, steps):
    """Return the six results of a case."""
    mean, torque = cf.mean_forces(*setting(case), cells=cells)
    return np.array([*mean, torque, *cf.peak_forces(*setting(case), cells=cells, steps=steps)])


def _line(name, value):
    if isinstance(value, list):
        return f"{name} = [{', '.join(_text(v) for v in value)}]"
    return f"{name} = {_text(value)}"


def _text(value):
    return f'"{value}"' if isinstance(value, str) else str(value)


def table():
    """Return the text of the table."""
    lines = [
        "# Milling forces on the tool, N, and torque, N m: see cutting_forces.py for the model, the frame X, Y, T and",
        "# the angles.  Derived by that module, at 1000 cells; `error` is the change of a result from half as many",
        "# cells (of a peak also half as many rotation angles), at least half the last digit.  Lengths mm (runout",
        "# too), angles degrees.  A form's numbers: diameter; of a corner: diameter, corner radius; of a tapered ball:",
        "# tip diameter, half angle in degrees, diameter.  Written by force_cases.py.",
    ]
    for row in CASES:
        case = dict(zip(COLUMNS, row, strict=True))
        rough, fine = calculated(case, 500, 360), calculated(case, 1000, 720)
        lines += ["", "[[case]]", *(_line(k, v) for k, v in case.items())]
        errors = []
        for name, a, b in zip(RESULTS, rough, fine, strict=True):
            places = 6 if name == "mean_torque" else 4
            lines.append(f"{name} = {b:.{places}f}")
            errors.append(f"{name} = {max(abs(a - b), 0.5 * 10.0**-places):.1e}")
        lines.append(f"error = {{ {', '.join(errors)} }}")
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    TABLE.write_text(table(), encoding="utf-8")
