"""Jobs for the tests of planning: the shipped one, and what is changed of it."""

from math import floor, sqrt

from millcalc.planning import example_job, plan
from millcalc.quantities.record import number

EXAMPLE = example_job()
ALONE = {"previous_diameter": None, "previous_stepover": None}
"""No scallops known from the operation before."""
QUIET = {"eccentricity": "0 um", "overhang": None}
UPRIGHT = {"lead": None, "tilt": None, "direction": "vertical"}
THIN = 4 / (9 * sqrt(3))  # Ra over the height of low circular scallops (derived, README.md of the published folder)


def changed(**tables):
    """Return the shipped job with fields of its tables changed."""
    return EXAMPLE.with_(**{t: getattr(EXAMPLE, t).with_(**c) if isinstance(c, dict) else c for t, c in tables.items()})


def numbers(job, *names):
    made = plan(job)
    values = tuple(number(made, name) for name in names)
    return values if len(names) > 1 else values[0]


def floored(value, increment):
    return increment * floor(value / increment + 1e-9)
