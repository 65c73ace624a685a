"""The mean milling force against its printed case and against the force summed over the turn."""

import mpmath as mp
import numpy as np
import pytest

from millcalc.errors import DomainError
from millcalc.formulas import average_force, entry_exit

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


@pytest.mark.parametrize(("start", "end"), [(0.0, 1e-3), (180.0 - 1e-3, 180.0), (89.9995, 90.0005), (0.0, 1.0)])
def test_thin_cuts_keep_their_digits(start, end):
    """The integrals of the printed force in 40 digits (derived)."""
    ktc, krc, kac, kte, kre, kae = COEFFICIENTS
    teeth, depth, feed = CUT
    with mp.workdps(40):
        ends = [mp.radians(mp.mpf(a)) for a in (start, end)]

        def mean(force):
            return float(teeth * depth / (2 * mp.pi) * mp.quad(force, ends))

        expected = (
            mean(lambda a: -(ktc * feed * mp.sin(a) + kte) * mp.cos(a) - (krc * feed * mp.sin(a) + kre) * mp.sin(a)),
            mean(lambda a: (ktc * feed * mp.sin(a) + kte) * mp.sin(a) - (krc * feed * mp.sin(a) + kre) * mp.cos(a)),
            mean(lambda a: -kac * feed * mp.sin(a) - kae),
        )
    found = average_force.mean_milling_force.bare(*CUT, start, end, *COEFFICIENTS)
    assert found == pytest.approx(expected, rel=2e-10)  # 1e-3 deg before 180 is a float good to 3e-11 of itself


def test_a_slot_is_pushed_to_the_left_by_a_quarter_of_the_tangential_force():
    """z K_tc f_z a/4 (derived), and as much against the feed for the radial one."""
    assert average_force.mean_milling_force.bare(3, 2.0, 0.1, 0.0, 180.0, 1000.0, 0.0, 0.0)[1] == pytest.approx(150.0)
    assert average_force.mean_milling_force.bare(3, 2.0, 0.1, 0.0, 180.0, 0.0, 1000.0, 0.0)[0] == pytest.approx(-150.0)


@pytest.mark.parametrize(
    ("cut", "width", "feed_sign", "wall"),
    # the wall stands on the right of a climb cut, on the left of a conventional one
    [("climb", 0.2, 1.0, -1.0), ("climb", 2.0, 1.0, -1.0), ("conventional", 2.0, -1.0, 1.0)],
)
def test_climb_drags_along_and_off_the_wall_up_milling_back_and_into_it(cut, width, feed_sign, wall):
    """What the trade knows of thin cuts in which the tangential force governs (common practice)."""
    ends = [f.bare(10.0, width, cut) for f in (entry_exit.entry_angle, entry_exit.exit_angle)]
    feed, left, _ = average_force.mean_milling_force.bare(*CUT, *ends, 1800.0, 300.0, 0.0)
    assert np.sign(feed) == feed_sign
    toward_the_wall = left * wall
    assert bool(toward_the_wall > 0.0) == (cut == "conventional")


def test_coefficients_below_zero_and_arrays():
    ends = np.array([60.0, 180.0])
    found = average_force.mean_milling_force.bare(*CUT, 0.0, ends, 1800.0, -100.0, -200.0, 20.0, -5.0, -1.0)
    for k, end in enumerate(ends):
        expected = summed(*CUT, 0.0, end, 1800.0, -100.0, -200.0, 20.0, -5.0, -1.0)
        assert [part[k] for part in found] == pytest.approx(expected, rel=1e-8)
    pulled = average_force.mean_milling_force(
        4, "2 mm", "0.05 mm", "0 deg", "90 deg", "1800 N/mm^2", "-100 N/mm^2", "-200 N/mm^2"
    )
    assert pulled[2].magnitude > 0.0
    with pytest.raises(DomainError):
        average_force.mean_milling_force(
            4, "2 mm", "0.05 mm", "91 deg", "90 deg", "1800 N/mm^2", "100 N/mm^2", "200 N/mm^2"
        )


def test_nothing_in_the_cut_makes_no_force():
    assert average_force.mean_milling_force.bare(*CUT, 30.0, 30.0, *COEFFICIENTS) == pytest.approx((0, 0, 0))
    assert np.isnan(average_force.mean_milling_force.bare(*CUT, 40.0, 30.0, *COEFFICIENTS)).all()
