"""The ball-nose cutter: what it accepts, what it refuses, all faults in one error."""

import pickle

import attrs
import pytest

from millcalc.cutters import BallEndMill
from millcalc.errors import JobError
from millcalc.planning import compare, example_job, plan
from millcalc.quantities.record import number

CUTTER = BallEndMill(diameter="6 mm", teeth=2)


def test_what_is_not_given_is_left_open():
    assert (CUTTER.overhang, CUTTER.rated_spindle_speed, CUTTER.edge_radius, CUTTER.eccentricity) == (None,) * 4
    assert CUTTER.substrate == "coated carbide"
    assert (CUTTER.teeth, str(CUTTER.diameter)) == (2, "6.0 millimeter")


def test_frozen_equal_hashable_and_pickled():
    again = pickle.loads(pickle.dumps(CUTTER))
    assert again == CUTTER == BallEndMill(diameter="0.6 cm", teeth="2")
    assert hash(again) == hash(CUTTER)
    assert CUTTER.with_(teeth=3) != CUTTER
    with pytest.raises(attrs.exceptions.FrozenInstanceError):
        CUTTER.substrate = "HSS"
    with pytest.raises(AttributeError):
        CUTTER.diameter = "7 mm"


def test_inches_and_words_in_any_case():
    cutter = BallEndMill(diameter="1/4 in", teeth=4, overhang="1-1/2 in", substrate="hss", edge_radius="0.4 thou")
    assert (number(cutter, "diameter"), number(cutter, "overhang")) == (6.35, pytest.approx(38.1, rel=1e-15))
    assert cutter.substrate == "HSS"
    assert number(cutter, "edge_radius") == pytest.approx(10.16, rel=1e-12)


@pytest.mark.parametrize(
    ("name", "value", "reason"),
    [
        ("diameter", "0 mm", "outside the domain"),
        ("diameter", "-6 mm", "outside the domain"),
        ("diameter", "inf mm", "outside the domain"),
        ("diameter", 6, "a length needs a unit"),
        ("diameter", "6 deg", "its unit is that of an angle"),
        ("diameter", None, "is not a length"),
        ("teeth", 0, "outside the domain"),
        ("teeth", 2.5, "not a whole number"),
        ("teeth", 101, "outside the domain"),
        ("teeth", "2 mm", "it has a unit"),
        ("overhang", "0 mm", "outside the domain"),
        ("substrate", "carbid", "(nearest: carbide"),
        ("substrate", 3, "none of the words accepted"),
        ("rated_spindle_speed", "0 rpm", "outside the domain"),
        ("edge_radius", "0 um", "outside the domain"),
        ("eccentricity", "-1 um", "outside the domain"),
    ],
)
def test_bad_values_are_refused(name, value, reason):
    with pytest.raises(JobError) as caught:
        BallEndMill(**{"diameter": "6 mm", "teeth": 2} | {name: value})
    (fault,) = caught.value.faults
    assert fault.where == name
    assert reason in str(fault)


def test_all_bad_values_stand_in_one_error():
    with pytest.raises(JobError) as caught:
        BallEndMill(diameter="-6 mm", teeth=2.5, substrate="steel", eccentricity="1 deg")
    assert [f.where for f in caught.value.faults] == ["diameter", "teeth", "substrate", "eccentricity"]


@pytest.mark.parametrize(
    ("field", "values", "changes"),
    [
        ("diameter", ["4 mm", "6 mm"], "scallop_height"),
        ("teeth", [2, 3], "feed_per_revolution"),
        ("substrate", ["HSS", "coated carbide"], "spindle_speed"),
        ("rated_spindle_speed", ["9000 rpm", "18000 rpm"], "spindle_speed"),
        ("edge_radius", ["4 um", "8 um"], "least_chip"),
        ("eccentricity", ["0 um", "5 um"], "rz_along"),
    ],
)
def test_every_field_counts_in_the_plan(field, values, changes):
    job = example_job()
    if field in ("diameter", "teeth"):  # with values fixed that would follow from the field
        job = job.with_(fixed=job.fixed.with_(stepover="0.2 mm", feed_per_tooth="0.05 mm"))
    table = compare(job, **{field: values})
    assert table.values[changes][0] != table.values[changes][1]


def test_a_long_overhang_is_cautioned_about_and_bends():
    """The tip bends with the cube of the overhang; the feed per tooth gives way, never the spindle speed."""
    job = example_job()
    long = job.with_(cutter=job.cutter.with_(overhang="40 mm"))
    more = {c.name for c in plan(long).cautions} - {c.name for c in plan(job).cautions}
    assert more == {"long_overhang", "deflection_above_share", "chip_below_least"}
    assert plan(long).feed_rate < plan(job).feed_rate
    assert plan(long).spindle_speed == plan(job).spindle_speed
