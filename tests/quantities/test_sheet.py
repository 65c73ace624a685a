"""The sheet: symbol, expression, the numbers put in, the result, validity and source."""

from __future__ import annotations

import pytest

from millcalc.errors import ArgumentError, DomainError, SignatureError
from millcalc.formulas.ball import ball_cutting_diameters
from millcalc.formulas.ball_chip import ball_max_chip_thickness
from millcalc.formulas.finish import grade_from_ra
from millcalc.formulas.scallops import scallop_height
from millcalc.formulas.speeds import cutting_speed
from millcalc.quantities.formula import Formula
from millcalc.quantities.kinds import LENGTH
from millcalc.quantities.sheet import Choice, Sheet
from millcalc.sources import source


def test_a_sheet():
    # 10 mm at 8000 rev/min: pi * 10 * 8000 / 1000 = 251.33 m/min (derived: definition of the cutting speed)
    assert cutting_speed.sheet("10 mm", "8000 rpm").text().splitlines() == [
        "cutting speed",
        "    v_c = pi*D*n/1000",
        "    with D = 10 mm, n = 8000 rev/min",
        "    v_c = 251.3 m/min",
        "    source: DEFINITION",
        "",
        "sources",
        f"    DEFINITION: {source('DEFINITION')}",
    ]


def test_a_sheet_takes_what_the_call_takes():
    text = str(cutting_speed.sheet(spindle_speed="133.33333333333334 Hz", diameter="1 cm"))
    assert text == str(cutting_speed.sheet("10 mm", "8000/min"))
    with pytest.raises(ArgumentError):
        cutting_speed.sheet(10, "8000 rpm")
    with pytest.raises(DomainError):
        scallop_height.sheet("10 mm", "12 mm")
    with pytest.raises(SignatureError):
        cutting_speed.sheet("10 mm")
    with pytest.raises(ArgumentError, match="no sheet for arrays"):
        cutting_speed.sheet(["10 mm", "12 mm"], "8000 rpm")


def test_defaults_are_shown_and_what_is_left_out_is_not():
    assert "rho = infinite" in str(scallop_height.sheet("10 mm", "0.5 mm"))
    text = str(ball_cutting_diameters.sheet("10 mm", "0.2 mm", "15 deg"))
    assert "lambda_f = 15 deg, tau = 0 deg, side = left" in text
    # printed in geometry_truths.md (derived there): 2.5882, 2.5882, 5.1893
    assert "D_l, D_c, D_e = 2.588 mm, 2.588 mm, 5.189 mm" in text


def test_requirements_and_validity_are_shown():
    text = str(ball_max_chip_thickness.sheet("0.1 mm", "10 mm", "0.5 mm", "0.5 mm"))
    assert "valid for f_z <= 0.1*D" in text


def test_words_for_numbers():
    # ISO 1302 (read in a hand-out): N5 is Ra 0.4 um
    assert "N = N5" in str(grade_from_ra.sheet("0.4 um"))


def test_the_sheet_shows_the_result_of_the_formula(each_formula, numbers_for):
    import numpy as np

    numbers = numbers_for(each_formula, np.random.default_rng(3))
    given = [
        f"{n!r} {p.kind.label}" if p.kind.unit else n for n, p in zip(numbers, each_formula.parameters, strict=True)
    ]
    sheet = each_formula.sheet(*given)
    step = sheet.steps[0]
    again = each_formula.bare(*step.numbers)
    assert step.result == again or again == pytest.approx(step.result, rel=1e-15)
    text = sheet.text()
    assert text.startswith(each_formula.__name__.replace("_", " "))
    for part in (each_formula.expression or each_formula.method).split("; "):
        assert part in text
    for key in each_formula.sources:
        assert f"{key}: {source(key)}" in text


def test_several_steps_are_numbered_under_a_title():
    steps = tuple(cutting_speed.sheet(d, "8000 rpm").steps[0] for d in ("6 mm", "10 mm"))
    choice = Choice("pick", LENGTH, (("first", 1.0), ("second", 2.5)), "second", 2.5)
    text = Sheet("two speeds", (*steps, choice), foot=("the end",)).text()
    assert text.startswith("two speeds\n\n1. cutting speed\n")
    assert "\n\n2. cutting speed\n" in text
    end = f"\n\nthe end\n\nsources\n    DEFINITION: {source('DEFINITION')}"
    assert text.endswith(f"\n\n3. pick\n    first: 1 mm\n    second: 2.5 mm\n    taken: 2.5 mm (second){end}")
    assert isinstance(cutting_speed, Formula)
