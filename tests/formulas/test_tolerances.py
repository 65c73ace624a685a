"""Standard tolerances: the printed table, its ends, and how far the formula behind it is off."""

from __future__ import annotations

import numpy as np
import pytest

from millcalc.errors import DomainError, UnitError
from millcalc.formulas.tolerances import standard_tolerance

# ISO 286-1, um (read as a table passed on, not in the standard): range above, up to, IT6, IT7, IT8
PRINTED = [
    (3, 6, 8, 12, 18),
    (6, 10, 9, 15, 22),
    (10, 18, 11, 18, 27),
    (18, 30, 13, 21, 33),
    (30, 50, 16, 25, 39),
    (50, 80, 19, 30, 46),
    (80, 120, 22, 35, 54),
]


@pytest.mark.parametrize(("above", "up_to", "six", "seven", "eight"), PRINTED)
def test_the_printed_table(above, up_to, six, seven, eight):
    for size in (above * 1.0001, 0.5 * (above + up_to), up_to):
        for grade, printed in (("IT6", six), ("IT7", seven), ("it8", eight)):
            assert standard_tolerance(f"{size} mm", grade).to("um").magnitude == pytest.approx(printed, rel=1e-12)


def test_arrays_of_sizes_and_grades():
    got = standard_tolerance.bare(np.array([[4.0], [100.0]]), np.array([6.0, 7.0, 8.0]))
    assert got.tolist() == [[0.008, 0.012, 0.018], [0.022, 0.035, 0.054]]
    assert np.isnan(standard_tolerance.bare(3.0, 7.0))
    assert np.isnan(standard_tolerance.bare(120.1, 7.0))
    assert np.isnan(standard_tolerance.bare(10.0, 9.0))


@pytest.mark.parametrize(
    ("size", "grade", "kind"),
    [
        ("3 mm", "IT7", DomainError),
        ("121 mm", "IT7", DomainError),
        ("20 mm", "IT9", UnitError),
        ("20 mm", 9, DomainError),
        ("20 um/s", "IT7", UnitError),
    ],
)
def test_outside_the_table_there_is_no_number(size, grade, kind):
    with pytest.raises(kind):
        standard_tolerance(size, grade)


def test_inches():
    assert standard_tolerance("1/2 in", "IT7").to("um").magnitude == pytest.approx(18.0)


def test_the_formula_behind_the_table_is_not_the_table():
    """With the geometric mean of a range it is within 9 %, with the size itself farther off."""
    means = {6: 10.0, 7: 16.0, 8: 25.0}
    off = []
    for above, up_to, *printed in PRINTED:
        middle = (above * up_to) ** 0.5
        unit = 0.45 * middle ** (1 / 3) + 0.001 * middle
        off += [abs(means[g] * unit / p - 1.0) for g, p in zip(means, printed, strict=True)]
    assert 0.05 < max(off) < 0.09
    alone = 16.0 * (0.45 * 3.1 ** (1 / 3) + 0.0031)
    assert alone / 12.0 - 1.0 == pytest.approx(-0.12, abs=0.02)
