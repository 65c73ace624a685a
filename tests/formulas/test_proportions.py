"""Sizes and feed rates as multiples of others: by counting, in mixed units, and where they refuse."""

from __future__ import annotations

import numpy as np
import pytest

from millcalc.errors import ArgumentError, DomainError, UnitError
from millcalc.formulas.proportions import share_of_diameter, share_of_feed_rate


@pytest.mark.parametrize(
    ("formula", "one", "unit"), [(share_of_diameter, "12 mm", "mm"), (share_of_feed_rate, "1200 mm/min", "mm/min")]
)
def test_a_multiple_is_so_many_of_it(formula, one, unit):
    """Laid end to end: five halves are two and a half, and none is nothing."""
    whole = formula(one, 1.0)
    assert f"{whole:g~P}" == one
    assert formula(one, 2.5).magnitude == pytest.approx(sum([whole.magnitude / 2] * 5), rel=1e-15)
    assert formula(one, 0.0).magnitude == 0.0
    assert formula(one, "0.4").to(unit).magnitude == pytest.approx(0.4 * whole.magnitude, rel=1e-15)
    assert formula.bare(np.array([1.0, 3.0]), 0.5).tolist() == [0.5, 1.5]


def test_inches_are_lengths():
    assert share_of_diameter("1/2 in", 1.5).to("mm").magnitude == pytest.approx(19.05, rel=1e-15)
    assert share_of_feed_rate("100 in/min", 0.5).to("mm/min").magnitude == pytest.approx(1270.0, rel=1e-15)


@pytest.mark.parametrize(
    ("formula", "inputs", "kind"),
    [
        (share_of_diameter, ("0 mm", 1.0), DomainError),
        (share_of_diameter, ("12 mm", -0.1), DomainError),
        (share_of_diameter, (12.0, 1.0), UnitError),
        (share_of_diameter, ("12 mm", "1 mm"), UnitError),
        (share_of_feed_rate, ("-1 mm/min", 1.0), DomainError),
        (share_of_feed_rate, ("12 mm", 1.0), UnitError),
        (share_of_feed_rate, ("12 mm/min", float("nan")), ArgumentError),
    ],
)
def test_what_is_refused(formula, inputs, kind):
    with pytest.raises(kind):
        formula(*inputs)
