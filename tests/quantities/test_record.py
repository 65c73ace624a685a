"""`@record`: floats inside, quantities outside, frozen, equal, and every fault in one error."""

import pickle

import attrs
import pint
import pytest

from millcalc.errors import JobError
from millcalc.quantities.kinds import POSITIVE, Count, FeedPerTooth, Grade, Interval, Length, Radius, Ratio
from millcalc.quantities.record import Record, entry, fields_of, number, record


@record
class Slot(Record):
    """A slot, to try records on."""

    width: Length = entry(domain=POSITIVE, meaning="width of the slot")
    depth: Length = entry(default=None)
    bend: Radius = entry(default=float("inf"), words={"straight": float("inf")})
    feed: FeedPerTooth = entry(default=None)
    share: Ratio = entry(default=0.5, domain=Interval(0.0, 1.0))
    ends: Count = entry(default=2)
    finish: Grade = entry(default=None)
    side: str = entry(default="left", choices=("left", "right", "both sides"))
    note: str = entry(default="")
    inner: object = entry(default=None)

    def _check(self) -> None:
        if number(self, "depth") is not None and number(self, "depth") > number(self, "width"):
            raise JobError("the slot is too deep")


SLOT = Slot(width="12 mm", depth="0.25 in", feed="0.05 mm/tooth", finish="N7")


def test_numbers_are_kept_as_floats_in_trade_units():
    assert {n: number(SLOT, n) for n in fields_of(SLOT)} == {
        "width": 12.0,
        "depth": 6.35,
        "bend": float("inf"),
        "feed": 0.05,
        "share": 0.5,
        "ends": 2.0,
        "finish": 7.0,
        "side": "left",
        "note": "",
        "inner": None,
    }


def test_numbers_are_shown_as_quantities_words_and_whole_numbers():
    assert str(SLOT.width) == "12.0 millimeter"
    assert SLOT.depth == pint.get_application_registry().Quantity(6.35, "mm")
    assert SLOT.finish == "N7"
    assert (SLOT.ends, type(SLOT.ends)) == (2, int)
    assert SLOT.share == 0.5
    assert Slot(width="1 mm").depth is None


def test_the_meaning_is_the_doc_of_the_property():
    assert Slot.width.__doc__ == "width of the slot"


def test_words_stand_for_numbers_and_choices_ignore_case():
    assert number(Slot(width="1 mm", bend=" Straight "), "bend") == float("inf")
    assert Slot(width="1 mm", side="Both Sides").side == "both sides"


def test_a_quantity_of_another_registry_is_read():
    other = pint.UnitRegistry()
    assert Slot(width=other.Quantity(12, "mm"), depth="0.25 in", feed="0.05 mm", finish=7) == SLOT


def test_frozen_equal_hashable_pickled():
    again = pickle.loads(pickle.dumps(SLOT))
    assert again == SLOT
    assert hash(again) == hash(SLOT)
    assert SLOT.with_(side="right") != SLOT
    assert Slot(width="12 mm") != SLOT
    for name in ("side", "note"):
        with pytest.raises(attrs.exceptions.FrozenInstanceError):
            setattr(SLOT, name, "x")
    with pytest.raises(AttributeError):
        SLOT.width = "13 mm"
    with pytest.raises(AttributeError):
        del SLOT.side
    assert number(SLOT, "width") == 12.0


def test_with_changes_only_what_is_named():
    changed = SLOT.with_(width="20 mm", depth=None)
    assert (number(changed, "width"), number(changed, "depth"), number(changed, "feed")) == (20.0, None, 0.05)
    assert number(SLOT, "width") == 12.0


def test_with_reads_and_checks():
    with pytest.raises(JobError, match="width: given 20; a length needs a unit"):
        SLOT.with_(width=20)
    with pytest.raises(JobError, match=r"wdith: .*\(nearest: width"):
        SLOT.with_(wdith="20 mm")
    with pytest.raises(JobError, match="the slot is too deep"):
        SLOT.with_(depth="13 mm")
    with pytest.raises(JobError, match="the slot is too deep"):
        Slot(width="1 mm", depth="2 mm")


@pytest.mark.parametrize(
    ("name", "value", "reason"),
    [
        ("width", 12, "a length needs a unit"),
        ("width", "12", "a length needs a unit"),
        ("width", "0 mm", "outside the domain"),
        ("width", "nan mm", "does not begin with a number"),
        ("width", float("nan"), "a length needs a unit"),
        ("width", "12 deg", "its unit is that of an angle"),
        ("width", None, "is not a length"),
        ("width", ["1 mm", "2 mm"], "a record holds single values"),
        ("width", True, "yes or no is not a number"),
        ("feed", "0.1 mm/rev", "its unit is that of a feed per revolution"),
        ("share", 1.5, "outside the domain"),
        ("share", "1 mm", "it has a unit"),
        ("ends", 1.5, "not a whole number"),
        ("finish", "N0", "accepted: "),
        ("side", "lef", "(nearest: left"),
        ("side", 1, "'left' or 'right' or 'both sides'"),
        ("note", 1, "it is not str"),
    ],
)
def test_bad_values_name_field_given_and_accepted(name, value, reason):
    with pytest.raises(JobError) as caught:
        Slot(**{"width": "12 mm"} | {name: value})
    (fault,) = caught.value.faults
    assert fault.where == name
    assert reason in str(fault)
    assert fault.given


def test_all_bad_values_stand_in_one_error():
    with pytest.raises(JobError) as caught:
        Slot(width=12, depth="1 deg", side="top", share=2, note=3)
    assert [f.where for f in caught.value.faults] == ["width", "depth", "side", "share", "note"]
    assert str(caught.value).startswith("Slot cannot be made:")


def test_a_repr_shows_what_is_given_with_units():
    text = repr(SLOT)
    assert text.startswith("Slot(width='12 mm', depth='6.35 mm'")
    assert "finish='N7'" in text
    assert "inner" not in text


def test_what_is_required_must_be_given():
    with pytest.raises((JobError, TypeError), match="width"):
        Slot(depth="1 mm")
    with pytest.raises((JobError, TypeError), match="wdith"):
        Slot(width="1 mm", wdith="1 mm")
