"""What the classes of set-up and coolant assume, and a hardness that the record is not for."""

from __future__ import annotations

import pytest
from jobs import EXAMPLE, changed
from second_roughing import bare

import millcalc as m
from millcalc.errors import JobError
from millcalc.quantities.record import number
from millcalc.report import page_of


def assumed(made, name):
    return next((a.value for a in made.assumed if a.name == name), None)


@pytest.mark.parametrize(("rigidity", "position"), [("weak", 0.25), ("ordinary", 0.5), ("rigid", 0.75)])
def test_the_set_up_shifts_the_positions_in_the_windows(rigidity, position):
    """The same plan as with the positions stated by hand."""
    made = m.plan(changed(machine={"rigidity": rigidity}))
    by_hand = m.plan(changed(assumed={"speed_position": position, "feed_position": position}))
    for name in ("spindle_speed", "feed_rate", "wanted_chip", "operation_time"):
        assert number(made, name) == number(by_hand, name)
    assert assumed(made, "speed_position") == assumed(made, "feed_position") == position
    rough = m.plan(bare(machine={"rigidity": rigidity}))
    assert assumed(rough, "speed_position") == position
    assert number(rough, "cutting_speed") <= 100.0 + 100.0 * position


def test_what_is_stated_goes_before_the_class():
    made = m.plan(changed(machine={"rigidity": "weak"}, assumed={"speed_position": 0.6}))
    assert assumed(made, "speed_position") is None
    assert assumed(made, "feed_position") == 0.25
    assert assumed(made, "rigidity") is None
    assert assumed(m.plan(EXAMPLE), "rigidity") == "ordinary"


def test_rows_of_a_comparison_know_the_set_up():
    table = m.compare(EXAMPLE, rigidity=["weak", "rigid"])
    for row, rigidity in enumerate(("weak", "rigid")):
        assert table.values["spindle_speed"][row] == number(
            m.plan(changed(machine={"rigidity": rigidity})), "spindle_speed"
        )


def test_the_coolant_is_the_usual_one_of_the_group_unless_stated():
    assert "mist" in assumed(m.plan(EXAMPLE), "coolant")
    titanium = changed(material="Ti-6Al-4V", assumed={})
    assert assumed(m.plan(titanium), "coolant") == "flood"
    stated = m.plan(changed(shop={"coolant": "air blast"}))
    assert assumed(stated, "coolant") is None
    for made, shown in ((stated, "air blast"), (m.plan(EXAMPLE), "(assumed)"), (m.plan(bare()), "(assumed)")):
        rows = {row[0]: row[1] for section in page_of(made).sections for row in section.rows}
        assert shown in rows["coolant"]


@pytest.mark.parametrize(
    ("hardness", "warned"),
    # 42CrMo4 as delivered: 28 to 32 HRC; 300 HB is 31.7 HRC, 400 HV 40.8 HRC (from memory of ISO 18265)
    [
        ("30 HRC", False),
        ("33.9 HRC", False),
        ("34.1 HRC", True),
        ("300 HB", False),
        ("400 HV", True),
        ("25 to 29 HRC", False),
    ],
)
def test_a_hardness_that_the_record_is_not_for(hardness, warned):
    for made in (
        m.plan(changed(shop={"hardness": hardness})),
        m.plan(bare(material="42CrMo4", shop=m.Shop(hardness=hardness))),
    ):
        found = [c.text for c in made.cautions if c.name == "hardness_off_record"]
        assert bool(found) == warned
        assert not warned or hardness in found[0]


def test_words_that_are_no_hardness_are_left_alone():
    made = m.plan(changed(shop={"hardness": "as delivered"}))
    assert "hardness_off_record" not in [c.name for c in made.cautions]


def test_a_set_up_that_is_none():
    with pytest.raises(JobError, match="rigidity"):
        m.Machine(largest_spindle_speed="8000 rpm", largest_feed_rate="5 m/min", rigidity="wobbly")
