"""What a record answers: the window used, the chart used, and that nothing of it can be changed."""

import math
import pickle

import attrs
import numpy as np
import pytest

from millcalc.errors import ArgumentError, UnknownNameError
from millcalc.materials import Caution, FeedChart, Kienzle, Material, SpeedWindow, Value, material, materials

KNOWN = {"source": "PRACTICE", "how_known": "common practice", "scope": "class"}


OPERATIONS = ("face milling", "end milling", "milling", "finishing")


def speed(low, high, substrate, operation, stage="general"):
    return SpeedWindow(low=low, high=high, unit="m/min", substrate=substrate, operation=operation, stage=stage, **KNOWN)


def feed(low, high, unit, diameters, substrate="carbide", operation="finishing", stage="general"):
    return FeedChart(
        low=low,
        high=high,
        unit=unit,
        diameter_low=diameters[0],
        diameter_high=diameters[1],
        radial_share=0.1,
        substrate=substrate,
        operation=operation,
        stage=stage,
        **KNOWN,
    )


def made(**rows) -> Material:
    return Material(
        key="x",
        designation="X",
        name="a metal",
        iso513="P",
        least_chip_ratio=Value(low=0.4, high=0.4, unit="1", **KNOWN),
        tip_caution=Caution(severity="note", text="t", source="PRACTICE", how_known="common practice"),
        **rows,
    )


def test_middle_of_a_range():
    assert Value(low=10, high=20, unit="HB", **KNOWN).middle == 15


def test_finishing_comes_before_milling_end_milling_and_face_milling():
    rows = tuple(speed(v, v, "HSS", o) for v, o in enumerate(OPERATIONS, 1))
    m = made(cutting_speeds=rows)
    assert m.speed_window("HSS").operation == "finishing"
    assert made(cutting_speeds=rows[:3]).speed_window("HSS").operation == "milling"
    assert made(cutting_speeds=rows[:2]).speed_window("HSS").operation == "end milling"
    assert made(cutting_speeds=rows[:1]).speed_window("HSS").operation == "face milling"
    assert m.speed_window("HSS", "end milling").operation == "end milling"
    assert m.speed_window("HSS", "end milling").fallback == ""


def test_within_one_operation_the_row_listed_first_is_used():
    m = made(cutting_speeds=(speed(30, 40, "HSS", "milling"), speed(20, 25, "HSS", "milling")))
    assert m.speed_window("HSS").low == 30


def test_a_face_milling_row_says_whose_its_fast_end_is():
    m = made(cutting_speeds=(speed(100, 200, "carbide", "face milling"),))
    assert m.speed_window("carbide").fallback == (
        "stated for face milling, used for finishing; its fast end belongs to shallow cuts"
    )


@pytest.mark.parametrize("stage", ["test range", "whole range", "upper limit"])
def test_rows_that_are_no_recommendation_are_never_used(stage):
    m = made(cutting_speeds=(speed(500, 2400, "carbide", "finishing", stage),))
    with pytest.raises(UnknownNameError, match="has no cutting speed for carbide in finishing; it has none"):
        m.speed_window("carbide")


@pytest.mark.parametrize("operation", ["turning", "drilling", "shoulder milling"])
def test_rows_of_other_work_are_never_used(operation):
    m = made(cutting_speeds=(speed(50, 60, "carbide", operation),))
    with pytest.raises(UnknownNameError, match="it has none"):
        m.speed_window("carbide")
    with pytest.raises(UnknownNameError, match="no operation is called"):
        m.speed_window("carbide", operation)


def test_carbide_stands_in_for_coated_carbide_and_says_so():
    m = made(cutting_speeds=(speed(80, 90, "carbide", "finishing"),))
    row = m.speed_window("coated carbide")
    assert (row.substrate, row.low) == ("carbide", 80)
    assert row.fallback == "no row for coated carbide; the row for carbide stands in"


def test_coated_carbide_stands_in_for_carbide_with_a_warning():
    m = made(cutting_speeds=(speed(80, 90, "coated carbide", "finishing"),))
    row = m.speed_window("carbide")
    assert row.fallback.endswith("uncoated carbide wants the lower end or less")


def test_the_tool_material_asked_for_comes_before_a_better_operation():
    rows = (speed(80, 90, "carbide", "finishing"), speed(150, 200, "coated carbide", "face milling"))
    assert made(cutting_speeds=rows).speed_window("coated carbide").low == 150


@pytest.mark.parametrize("substrate", ["HSS", "PCBN", "ceramic"])
def test_nothing_stands_in_for_other_tool_materials(substrate):
    m = made(cutting_speeds=(speed(80, 90, "carbide", "milling"), speed(1, 2, "cermet", "turning")))
    with pytest.raises(UnknownNameError, match=rf"X has no cutting speed for {substrate} in finishing") as caught:
        m.speed_window(substrate)
    assert str(caught.value).endswith("it has carbide (milling)")


def test_words_are_forgiving_of_case_and_unknown_ones_give_the_nearest():
    m = made(cutting_speeds=(speed(80, 90, "coated carbide", "finishing"),))
    assert m.speed_window(" Coated Carbide ", "Finishing").low == 80
    with pytest.raises(UnknownNameError, match=r"no tool material is called 'carbid' \(nearest: carbide"):
        m.speed_window("carbid")
    with pytest.raises(UnknownNameError, match=r"no operation is called 'finish' \(nearest: finishing"):
        m.speed_window("carbide", "finish")
    with pytest.raises(UnknownNameError, match="no tool material is called None"):
        m.speed_window(None)


def test_a_chart_in_millimetres_for_this_diameter_comes_before_a_share():
    m = made(feed_charts=(feed(0.005, 0.01, "1", (1, 20)), feed(0.04, 0.05, "mm", (6, 8))))
    assert (m.feed_chart(6, "carbide").low, m.feed_chart(6, "carbide").high) == (0.04, 0.05)
    assert m.feed_chart(8, "carbide").low == 0.04
    assert m.feed_chart(8.1, "carbide").low == pytest.approx(0.0405)


def test_a_share_becomes_millimetres_at_the_stated_engagement():
    row = made(feed_charts=(feed(0.005, 0.01, "1", (1, 20)),)).feed_chart(10, "carbide")
    assert (row.low, row.high, row.unit) == (pytest.approx(0.05), pytest.approx(0.1), "mm")
    assert (row.diameter_low, row.diameter_high, row.radial_share, row.fallback) == (10, 10, 0.1, "")


def test_above_the_diameters_of_a_share_the_feed_is_kept_and_below_it_is_a_guess():
    m = made(feed_charts=(feed(0.005, 0.01, "1", (1, 20)),))
    large, small = m.feed_chart(32, "carbide"), m.feed_chart(0.5, "coated carbide")
    assert large.high == pytest.approx(0.2)
    assert "ends at 20 mm" in large.fallback
    assert small.low == pytest.approx(0.0025)
    assert "carbide stands in" in small.fallback
    assert "begins at 1 mm" in small.fallback


def test_feeds_of_face_milling_and_of_tests_are_never_used():
    charts = (
        feed(0.2, 0.4, "mm", (1, 100), operation="face milling"),
        feed(0.05, 0.05, "mm", (6, 6), stage="test range"),
    )
    with pytest.raises(UnknownNameError, match="no feed per tooth for carbide in finishing; it has none"):
        made(feed_charts=charts).feed_chart(6, "carbide")
    with pytest.raises(UnknownNameError, match="no operation is called 'face milling'"):
        made(feed_charts=charts).feed_chart(6, "carbide", "face milling")


def test_end_milling_feeds_answer_for_finishing_and_say_so():
    row = material("c45").feed_chart(8.0, "HSS")
    assert (row.low, row.high, row.radial_share) == (0.025, 0.051, 0.5)
    assert row.fallback == "stated for end milling, used for finishing"


@pytest.mark.parametrize("diameter", [0, -1, math.nan, math.inf, "6", True, None, [6]])
def test_a_diameter_that_is_no_positive_number_is_refused(diameter):
    with pytest.raises(ArgumentError, match=r"diameter: given .* is not a positive number"):
        material("c45").feed_chart(diameter, "carbide")


def test_numbers_of_arrays_are_accepted_as_a_diameter():
    row = material("c45").feed_chart(np.float64(6), "carbide")
    assert row == material("c45").feed_chart(6, "carbide")
    assert type(row.low) is float


def test_force_constants_are_the_first_listed_and_a_lack_is_said():
    rows = tuple(Kienzle(kc11=k, mc=0.2, chip_low=0.1, chip_high=1, **KNOWN) for k in (2000.0, 1500.0))
    assert made(kienzle=rows).force_constants().kc11 == 2000
    ways = r"give your own with with_\(kienzle=\.\.\.\), or take the group's, which is wide"
    with pytest.raises(
        UnknownNameError, match=rf"no kc1\.1 and mc for X; {ways}: kienzle=group_force_constants\('P'\)$"
    ):
        made().force_constants()
    energy = (Value(low=2, high=3, unit="W s/mm^3", **KNOWN),)
    with pytest.raises(UnknownNameError, match=r"no kc1\.1 and mc for X; it has a specific energy"):
        made(specific_energy=energy).force_constants()


def test_names_by_system():
    steel = material("42CrMo4")
    assert steel.names("AISI") == ("4140",)
    assert set(steel.names()) >= {"42crmo4", "42CrMo4", "1.7225", "G41400", "SCM440"}
    with pytest.raises(UnknownNameError, match="no system of names is called 'gost'"):
        steel.names("gost")


@pytest.mark.parametrize("key", materials())
def test_records_cannot_be_changed_and_survive_pickling(key):
    m = material(key)
    assert pickle.loads(pickle.dumps(m)) == m
    assert hash(m) == hash(pickle.loads(pickle.dumps(m)))
    for thing, name in (
        (m, "name"),
        (m.cutting_speeds[0], "low"),
        (m.tip_caution, "text"),
        (m.aliases[0], "names"),
    ):
        with pytest.raises(attrs.exceptions.FrozenInstanceError):
            setattr(thing, name, "else")
    for field in attrs.fields(Material):
        assert not isinstance(getattr(m, field.name), (list, dict, set))


def test_asking_does_not_change_the_record():
    before = pickle.dumps(material("s235jr"))
    material("s235jr").speed_window("coated carbide")
    material("s235jr").feed_chart(25, "HSS")
    assert pickle.dumps(material("s235jr")) == before
