"""The mean milling force against its printed case and against the force summed over the turn."""

import numpy as np
import pytest

from millcalc.formulas import average_force

COEFFICIENTS = (1825.0, 770.0, 735.0, 29.7, 55.7, 1.8)
CUT = (4, 2.0, 0.05)


def summed(teeth, depth, feed, start, end, ktc, krc, kac, kte, kre, kae):
    """Sum the force of a tooth over its way through the cut (derived)."""
    count = 200000
    phi = np.radians(start + (end - start) * (np.arange(count) + 0.5) / count)
    outward = np.array([np.sin(phi), np.cos(phi)])  # feed, left
    motion = np.array([np.cos(phi), -np.sin(phi)])
    chip = feed * np.sin(phi)
    plane = -(ktc * chip + kte) * motion - (krc * chip + kre) * outward
    scale = teeth * depth * np.radians(end - start) / (2 * np.pi)
    return [*(scale * plane.mean(axis=1)), -scale * np.mean(kac * chip + kae)]


def test_full_slot():
    """Derived in the shared check values; there the axis points from the spindle to the tip."""
    found = average_force.mean_milling_force.bare(*CUT, 0.0, 180.0, *COEFFICIENTS)
    assert found == pytest.approx((-218.839, 258.130, -100.783), abs=5e-4)


@pytest.mark.parametrize(("start", "end"), [(0.0, 60.0), (120.0, 180.0), (0.0, 90.0), (40.0, 130.0), (0.0, 180.0)])
def test_quadrature(start, end):
    found = average_force.mean_milling_force.bare(*CUT, start, end, *COEFFICIENTS)
    assert found == pytest.approx(summed(*CUT, start, end, *COEFFICIENTS), rel=1e-8, abs=1e-6)


def test_half_up_and_half_down_make_a_slot():
    halves = [average_force.mean_milling_force.bare(*CUT, a, a + 90.0, *COEFFICIENTS) for a in (0.0, 90.0)]
    assert np.sum(halves, axis=0) == pytest.approx(
        average_force.mean_milling_force.bare(*CUT, 0.0, 180.0, *COEFFICIENTS)
    )


def test_nothing_in_the_cut_makes_no_force():
    assert average_force.mean_milling_force.bare(*CUT, 30.0, 30.0, *COEFFICIENTS) == pytest.approx((0, 0, 0))
    assert np.isnan(average_force.mean_milling_force.bare(*CUT, 40.0, 30.0, *COEFFICIENTS)).all()
