"""The library against the table of independent forces: 24 cuts of four forms, leaned, with helix and runout."""

import numpy as np
import pytest
from witness import force_cases

from millcalc.cutters.profile import Arc, Line, Profile
from millcalc.loads.course import force_course

CASES = force_cases.read_cases()
MAKERS = {"line": Line, "arc": Arc}


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c['form'][0]}-{c['lead']}-{c['tilt']}-{c['stepover']}")
def test_means_and_peaks(case):
    """Means to a thousandth of the peak; peaks fall below where a whole edge enters between two steps."""
    profile = Profile([MAKERS[word](*points) for word, *points in force_cases.profile(case["form"])])
    cut = (case["depth"], case["lead"], case["tilt"], case["stepover"], 1.0 if case["uncut_side"] == "right" else 0.0)
    coefficients = (*case["coefficients"], case["exponent"])
    runout = 1000.0 * case["eccentricity"]
    found = force_course(profile, cut, case["feed"], case["helix"], runout, coefficients, case["teeth"], 1440, 240)[1]
    means = [case[f"mean_{axis}"] for axis in "xyt"]
    assert found[:3].mean(axis=1) == pytest.approx(means, abs=1e-3 * case["peak_resultant"])
    assert found[3].mean() == pytest.approx(case["mean_torque"], rel=5e-3)
    bending = np.hypot(found[0], found[1])
    assert bending.max() == pytest.approx(case["peak_bending"], rel=0.03)
    assert np.hypot(bending, found[2]).max() == pytest.approx(case["peak_resultant"], rel=0.03)
