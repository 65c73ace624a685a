"""What was proven beside the plan; the test patch and the effects of assumed values as text."""

from __future__ import annotations

import pytest
from jobs import EXAMPLE, changed

from millcalc.errors import ArgumentError
from millcalc.planning import plan, proven_of, sensitivity, test_patch
from millcalc.planning.reading import example_text, job_from_text
from millcalc.quantities.record import number
from millcalc.report import page_html, page_of, page_text, patch_page, plan_page, sensitivity_page

MADE = plan(EXAMPLE)
SET = {"spindle_speed": "16000 rpm", "initials": "AB", "time_factor": 1.2}
PROVEN = proven_of(MADE, "d06fa4ee", "0.5 um", date="2026-03-31", **SET)


def line(text, beginning):
    return next(row for row in text.splitlines() if row.strip().startswith(beginning)).split()


def test_textbook_and_proven_stand_side_by_side():
    text = plan_page(MADE, proven=[PROVEN])
    assert "TEXTBOOK AND PROVEN (2026-03-31, job d06fa4ee, AB)" in text
    block = text[text.index("TEXTBOOK AND PROVEN") :]
    assert line(block, "spindle speed")[-5:] == ["17500", "rev/min", "proven", "16000", "rev/min"]
    ra = 0.5 / number(MADE, "ra") * number(MADE, "ra")
    assert line(block, "Ra across")[8:10] == [f"{ra:.3g}", "um"]
    assert f"{1.2 * number(MADE, 'operation_time'):.3g} min" in block


def test_the_latest_counts_and_others_are_counted():
    older = PROVEN.with_(date="2025-01-01", spindle_speed="12000 rpm")
    text = plan_page(MADE, proven=[older, PROVEN, older])
    assert "and 2 earlier" in text
    assert "proven 16000 rev/min" in text
    assert "12000" not in text


@pytest.mark.parametrize("other", [{"diameter": "8 mm"}, {"substrate": "HSS"}, {"material": "C45"}])
def test_what_is_not_alike_is_not_shown(other):
    assert "TEXTBOOK" not in plan_page(MADE, proven=[PROVEN.with_(**other)])


def test_it_stands_on_the_page_of_the_shop_too():
    page = page_of(MADE, proven=[PROVEN])
    for text in (page_text(page), page_html(page)):
        assert "TEXTBOOK AND PROVEN" in text
        assert "proven 16000 rev/min" in text
    assert "TEXTBOOK" not in page_text(page_of(MADE))
    inch = page_text(page_of(MADE, "inch", proven=[PROVEN]))
    assert "proven 93.1" in inch  # in/min


def test_a_roughing_plan_has_its_own_record():
    rough = plan(job_from_text(example_text("roughing")))
    cutter = rough.job.cutter
    like = PROVEN.with_(
        material=str(rough.job.material), family=cutter.family, diameter=cutter.diameter, substrate=cutter.substrate
    )
    text = plan_page(rough, proven=[like])
    assert "proven 16000 rev/min" in text
    assert "stepover" not in text[text.index("TEXTBOOK") :]


def test_only_proven_cuts_are_looked_in():
    with pytest.raises(ArgumentError, match="no proven cut"):
        plan_page(MADE, proven=["a line"])


def test_the_patch_says_what_to_set_and_what_to_measure():
    made = test_patch(EXAMPLE)
    text = patch_page(made)
    for name, head in (("ra", "Ra across"), ("stepover", "stepover"), ("feed_rate", "feed rate")):
        shown = [float(w) for w in line(text, head) if w.replace(".", "").isdigit()]
        assert shown == [
            float(f"{number(f, name):.3g}") if name != "feed_rate" else number(f, name) for f in made.fields
        ]
    assert "in" in patch_page(made, "inch").splitlines()[0]
    with pytest.raises(ArgumentError, match="system"):
        patch_page(made, "imperial")


def test_the_table_of_effects_is_that_of_the_record():
    found = sensitivity(changed(machine={"acceleration": None}))
    text = sensitivity_page(found)
    first = found.effects[0]
    assert line(text, first.name.replace("_", " "))[-len(found.results) :] == [
        f"{100.0 * first.swing(r):.0f}" for r in found.results
    ]
    assert len(text.splitlines()) == len(found.effects) + 2
