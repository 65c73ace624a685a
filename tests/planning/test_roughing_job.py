"""The roughing job: what it accepts, what contradicts itself in it, and what no record of it takes."""

import re

import pytest
from second_roughing import CUT, CUTTER, MACHINE, OWN, POCKET
from second_roughing import bare as rough

import millcalc as m
from millcalc.errors import JobError
from millcalc.planning import plan
from millcalc.quantities.record import fields_of, number

CORNERS = {"style": "corners", "larger_diameter": "20 mm"}

# what is changed; where the message stands, what was given, why or what is accepted, an example
CONTRADICTIONS = {
    "fillet without corner": ({"pocket": {"fillet_radius": "4 mm"}}, "pocket.corner_angle", "", "fillet", '"90 deg"'),
    "radius without slope": ({"pocket": {"surface_radius": "50 mm"}}, "pocket.slope_from", "", "the slope", '"30 deg"'),
    "stock as deep as the pocket": (
        {"cut": {"stock_left": "12 mm"}},
        "cut.stock_left",
        "12 mm",
        "accepted: below 12 mm",
        '"0.3 mm"',
    ),
    "entry into an open pocket": (
        {"pocket": {"sides": "open"}, "cut": {"entry": "ramp"}},
        "cut.entry",
        "ramp",
        "entered from outside",
        "",
    ),
    "entry into cleared corners": (
        {"cut": CORNERS | {"entry": "ramp"}, "pocket": {"corner_angle": "90 deg"}},
        "cut.entry",
        "ramp",
        "what the larger cutter has cleared",
        "",
    ),
    "passes along no slope": ({"cut": {"slope_step": "1 mm"}}, "pocket.slope_from", "", "need the slope", '"30 deg"'),
    "slopes in corners": (
        {"cut": CORNERS | {"slope_step": "1 mm"}, "pocket": {"corner_angle": "90 deg", "slope_from": "30 deg"}},
        "cut.slope_step",
        "",
        "only the corners are cleared",
        "",
    ),
    "larger cutter for no corners": (
        {"cut": {"larger_diameter": "20 mm"}},
        "cut.larger_diameter",
        "20 mm",
        'belongs to style = "corners"',
        "",
    ),
    "corners without angle": ({"cut": CORNERS}, "pocket.corner_angle", "", "their angle is not stated", '"90 deg"'),
    "corners between walls in line": (
        {"cut": CORNERS, "pocket": {"corner_angle": "180 deg"}},
        "pocket.corner_angle",
        "180 deg",
        "below 180 deg",
        "",
    ),
    "corners after nothing": (
        {"cut": {"style": "corners"}, "pocket": {"corner_angle": "90 deg"}},
        "cut.larger_diameter",
        "",
        "is missing",
        '"16 mm"',
    ),
    "corners after the same cutter": (
        {"cut": CORNERS | {"larger_diameter": "12 mm"}, "pocket": {"corner_angle": "90 deg"}},
        "cut.larger_diameter",
        "12 mm",
        "accepted: above 12 mm",
        "",
    ),
    "two speeds": (
        {"fixed": {"cutting_speed": "100 m/min", "spindle_speed": "3000 rpm"}},
        "fixed",
        "cutting_speed and spindle_speed",
        "one of the two",
        "",
    ),
    "width for no feed": (
        {"fixed": {"feed_radial_width": "3 mm"}},
        "fixed.feed_radial_width",
        "3 mm",
        "belongs to a feed_per_tooth",
        "",
    ),
    "wider than the cutter": (
        {"fixed": {"radial_width": "12.1 mm"}},
        "fixed.radial_width",
        "12.1 mm",
        "up to the diameter, 12 mm",
        "",
    ),
}


@pytest.mark.parametrize("name", list(CONTRADICTIONS))
def test_a_contradiction_names_field_value_reason_and_example(name):
    tables, where, given, why, example = CONTRADICTIONS[name]
    with pytest.raises(JobError) as caught:
        rough(**tables)
    (fault,) = caught.value.faults
    assert (fault.where, fault.given, fault.example) == (where, given, example)
    message = str(caught.value)
    assert message.startswith("the job contradicts itself: ")
    assert all(word in message for word in (where, given, why, example))
    assert (f"given {given}" in message) == bool(given)
    assert (f"example {example}" in message) == bool(example)


def test_the_contradictions_of_the_source_all_have_a_job():
    """Each `Fault` that the module makes is one of those above."""
    from pathlib import Path

    source = Path(m.planning.roughing.job.__file__).read_text(encoding="utf-8")
    assert len(re.findall(r"\bFault\(", source)) == len(CONTRADICTIONS)


def test_all_contradictions_are_listed_at_once():
    with pytest.raises(JobError) as caught:
        rough(pocket={"fillet_radius": "4 mm"}, cut={"larger_diameter": "20 mm"}, fixed={"feed_radial_width": "3 mm"})
    assert [f.where for f in caught.value.faults] == [
        "pocket.corner_angle",
        "cut.larger_diameter",
        "fixed.feed_radial_width",
    ]


@pytest.mark.parametrize(
    "tables",
    [
        {"fixed": {"radial_width": "12 mm"}},
        {"cut": {"stock_left": "11.999 mm"}},
        {"pocket": {"slope_from": "20 deg", "surface_radius": "flat"}},
        {"fixed": {"feed_per_tooth": "0.05 mm", "feed_radial_width": "3 mm"}},
        {"cut": CORNERS | {"larger_diameter": "12.1 mm"}, "pocket": {"corner_angle": "179 deg"}},
    ],
)
def test_what_is_just_possible_is_planned(tables):
    assert number(plan(rough(**tables)), "operation_time") > 0


# --- what a record takes --------------------------------------------------------------------------------------

RECORDS = {m.Pocket: POCKET, m.RoughingCut: CUT, m.RoughingFixed: {}, m.RoughingAssumptions: {}}
FIELDS = [(cls, name) for cls in RECORDS for name, field in fields_of(cls).items() if field.kind]
SIGNED, NOUGHT_OR_MORE = {"surface_radius"}, {"slope_from", "slope_to", "fillet_radius", "clearance"}
NOUGHT_OR_MORE |= {"speed_position", "feed_position"}


@pytest.mark.parametrize(("cls", "name"), FIELDS, ids=[f"{c.__name__}.{n}" for c, n in FIELDS])
@pytest.mark.filterwarnings("ignore::millcalc.errors.ValidityWarning")
def test_no_record_takes_what_is_no_such_quantity(cls, name):
    unit = fields_of(cls)[name].kind.unit or ""
    wrong = [f"nan {unit}", float("nan"), "wide", [1.0, 2.0], "5 kg", b"3 mm", True, {}]
    wrong += [f"inf {unit}", f"-1 {unit}"] * (name not in SIGNED)
    wrong += [f"0 {unit}"] * (name not in NOUGHT_OR_MORE | SIGNED)
    wrong += [3.0] * bool(unit)
    for value in wrong:
        with pytest.raises(JobError) as caught:
            cls(**RECORDS[cls] | {name: value})
        (fault,) = caught.value.faults
        assert fault.where == name, value
        assert fault.given
        assert fault.reason
        assert fault.accepted or fault.example, value


@pytest.mark.parametrize(
    ("cls", "name", "value", "accepted"),
    [
        (m.Pocket, "sides", "half open", "'closed' or 'open'"),
        (m.RoughingCut, "style", "full widht", "'full width'"),
        (m.RoughingCut, "cut", "sideways", "'climb' or 'conventional'"),
        (m.RoughingCut, "entry", "plunge", "'helix' or 'ramp'"),
    ],
)
def test_words_are_those_accepted(cls, name, value, accepted):
    with pytest.raises(JobError, match=f"{name}: given '{value}'.*{accepted}"):
        cls(**RECORDS[cls] | {name: value})


@pytest.mark.parametrize("name", ["pocket", "cut", "cutter", "machine", "fixed", "assumed"])
def test_a_part_of_another_kind_is_refused(name):
    parts = {"pocket": m.Pocket(**POCKET), "cut": m.RoughingCut(**CUT)}
    parts |= {"cutter": m.FlatEndMill(**CUTTER), "machine": m.Machine(**MACHINE)}
    with pytest.raises(JobError, match=f"{name}: .*it is not "):
        m.RoughingJob(material=OWN, **parts | {name: {"width": "3 mm"}})
    missing = {"fixed", "assumed"} | parts.keys() - {name}
    if name in parts:
        with pytest.raises(JobError, match=f"{name}: it is missing"):
            m.RoughingJob(material=OWN, **{n: part for n, part in parts.items() if n in missing})


def test_unknown_names_are_met_with_the_nearest():
    with pytest.raises(JobError, match=r"wdith.*width"):
        m.Pocket(**POCKET, wdith="3 mm")
    with pytest.raises(m.MillcalcError, match="C44"):
        plan(rough(material="C44x"))


def test_inch_jobs_are_set_in_inches():
    made = plan(rough(settings="inch"))
    thousandths = number(made, "feed_rate") / 2.54
    assert thousandths == pytest.approx(round(thousandths), abs=1e-9)
    assert number(plan(rough()), "feed_rate") - number(made, "feed_rate") < 2.54
