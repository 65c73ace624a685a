"""The records of a job: frozen, equal, hashable; every contradiction and bad value, all of them in one error."""

import copy
import pickle

import attrs
import pytest
from jobs import EXAMPLE, changed

import millcalc as m
from millcalc.errors import JobError
from millcalc.quantities.record import fields_of, number

PARTS = ("surface", "before", "finish", "cutter", "machine", "axis", "passes", "fixed", "assumed")


@pytest.mark.parametrize("part", [EXAMPLE, *(getattr(EXAMPLE, p) for p in PARTS)], ids=lambda p: type(p).__name__)
def test_records_are_frozen_equal_hashable_and_survive_copying(part):
    for again in (pickle.loads(pickle.dumps(part)), copy.deepcopy(part), part.with_()):
        assert again == part
        assert hash(again) == hash(part)
        assert again is not part
    name = next(iter(fields_of(part)))
    with pytest.raises(AttributeError):
        setattr(part, name, 1)
    with pytest.raises(attrs.exceptions.FrozenInstanceError):
        part._new = 1


def test_with_reads_and_checks_as_on_making():
    wider = EXAMPLE.surface.with_(width="6 cm")
    assert wider == EXAMPLE.surface
    assert EXAMPLE.surface.with_(width="61 mm") != EXAMPLE.surface
    with pytest.raises(JobError, match="width: given 60; a length needs a unit"):
        EXAMPLE.surface.with_(width=60)
    with pytest.raises(JobError, match=r"widht: .*\(nearest: width"):
        EXAMPLE.surface.with_(widht="60 mm")
    with pytest.raises(JobError, match="cutting_speed and spindle_speed"):
        changed(fixed={"cutting_speed": "100 m/min", "spindle_speed": "5000 rpm"})


def test_fields_are_shown_as_quantities():
    assert str(EXAMPLE.surface.width) == "60.0 millimeter"
    assert EXAMPLE.surface.radius_across.magnitude == float("inf")
    assert EXAMPLE.axis.lead.magnitude == 15.0
    assert EXAMPLE.fixed.stepover is None
    assert EXAMPLE.cutter.teeth == 2
    assert changed(finish={"ra": None, "grade": 6}).finish.grade == "N6"


def test_jobs_differ_by_any_field():
    jobs = {
        EXAMPLE,
        changed(surface={"radius_across": "40 mm"}),
        changed(passes={"pattern": "back and forth"}),
        EXAMPLE.with_(material="C45"),
        EXAMPLE.with_(settings="inch"),
        EXAMPLE.with_(material=m.material("C45")),
    }
    assert len(jobs) == 6


def test_a_direction_is_kept_as_a_tuple():
    assert m.Axis(direction=[0, 0, 1]) == m.Axis(direction=(0, 0, 1))
    assert hash(m.Axis().with_(direction=[0, 0, 1])) == hash(m.Axis(direction=(0, 0, 1)))


SLOPES = {"slope_from": "20 deg", "slope_to": "40 deg"}
UPRIGHT = {"lead": None, "tilt": None, "direction": "vertical"}
CONTRADICTIONS = {
    "two finishes": ({"finish": {"rz": "4 um"}}, "finish: given ra and rz; exactly one"),
    "three finishes": ({"finish": {"rz": "4 um", "grade": "N5"}}, "finish: given ra and rz and grade"),
    "no finish": ({"finish": {"ra": None}}, "finish: given none; exactly one"),
    "lean and direction": (
        {"axis": {"direction": "vertical"}, "surface": SLOPES},
        "axis: given lead or tilt, and direction",
    ),
    "direction without slopes": ({"axis": UPRIGHT}, "surface.slope_from: a fixed axis needs the slope range"),
    "no direction": (
        {"axis": UPRIGHT | {"direction": "upright"}, "surface": SLOPES},
        "axis.direction: given 'upright'; is no direction",
    ),
    "direction of zeros": (
        {"axis": UPRIGHT | {"direction": [0, 0, 0]}, "surface": SLOPES},
        "axis.direction: given \\(0, 0, 0\\)",
    ),
    "direction of two": (
        {"axis": UPRIGHT | {"direction": [0, 1]}, "surface": SLOPES},
        "axis.direction: given \\(0, 1\\)",
    ),
    "direction of texts": (
        {"axis": UPRIGHT | {"direction": ["0", "0", "1"]}, "surface": SLOPES},
        "axis.direction: .*three numbers",
    ),
    "climb on the left": (
        {"passes": {"cut": "climb", "uncut_side": "left"}},
        "passes: given climb and uncut_side left",
    ),
    "conventional on the right": (
        {"passes": {"cut": "conventional", "uncut_side": "right"}},
        "passes: given conventional and uncut_side right",
    ),
    "plan view without slope": ({"passes": {"spacing": "plan view"}}, 'spacing "plan view" needs the slope'),
    "step down without slope": ({"passes": {"spacing": "step down"}}, 'spacing "step down" needs the slope'),
    "step down up the slope": (
        {"passes": {"spacing": "step down"}, "axis": UPRIGHT | {"travel": "up the slope"}, "surface": SLOPES},
        "passes.spacing: .*a step down needs travel across",
    ),
    "two steps before": (
        {"before": {"previous_step_down": "0.2 mm"}, "surface": SLOPES},
        "before: given previous_stepover and previous_step_down",
    ),
    "a ball before without a step": ({"before": {"previous_stepover": None}}, "before: .*scallops need both"),
    "a step before without a ball": ({"before": {"previous_diameter": None}}, "before: .*scallops need both"),
    "a step down before without slope": (
        {"before": {"previous_stepover": None, "previous_step_down": "0.2 mm"}},
        "surface.slope_from: a step down needs the slope",
    ),
    "two speeds": (
        {"fixed": {"cutting_speed": "100 m/min", "spindle_speed": "5000 rpm"}},
        "fixed: given cutting_speed and spindle_speed",
    ),
    "a width without its feed": (
        {"fixed": {"feed_radial_width": "0.5 mm"}},
        "fixed.feed_radial_width: .*feed_per_tooth, which is missing",
    ),
    "two entries": (
        {"assumed": {"entry_factor": 1.0, "entry_length": "3 mm"}},
        "assumed: given entry_factor and entry_length",
    ),
}


@pytest.mark.parametrize("name", list(CONTRADICTIONS))
def test_contradictions_are_refused(name):
    tables, message = CONTRADICTIONS[name]
    with pytest.raises(JobError, match=message) as caught:
        changed(**tables)
    assert len(caught.value.faults) == 1


def test_all_contradictions_stand_in_one_error():
    with pytest.raises(JobError) as caught:
        changed(
            finish={"rz": "4 um"},
            axis={"direction": "sideways"},
            passes={"cut": "climb", "uncut_side": "left", "spacing": "plan view"},
            before={"previous_diameter": None},
            fixed={"cutting_speed": "100 m/min", "spindle_speed": "5000 rpm", "feed_radial_width": "1 mm"},
            assumed={"entry_factor": 1.0, "entry_length": "3 mm"},
        )
    places = [f.where for f in caught.value.faults]
    assert places == [
        "finish",
        "axis",
        "axis.direction",
        "surface.slope_from",
        "passes",
        "surface.slope_from",
        "before",
        "fixed",
        "fixed.feed_radial_width",
        "assumed",
    ]


BAD = {
    m.Surface: [
        ("width", "0 mm", "outside the domain"),
        ("width", "-1 mm", "outside the domain"),
        ("width", "inf mm", "outside the domain"),
        ("length", 80, "a length needs a unit"),
        ("length", "80", "a length needs a unit"),
        ("length", "80 deg", "its unit is that of an angle"),
        ("radius_across", "round", "does not begin with a number"),
        ("radius_along", "nan mm", "does not begin with a number"),
        ("slope_from", "91 deg", "outside the domain"),
        ("slope_to", "-1 deg", "outside the domain"),
    ],
    m.Axis: [
        ("lead", "90 deg", "outside the domain"),
        ("tilt", "-90 deg", "outside the domain"),
        ("lead", 15, "an angle needs a unit"),
        ("travel", "sideways", "none of the words"),
        ("order", "upwards", "none of the words accepted (nearest: upward"),
        ("way_back", 1, "none of the words"),
        ("programmed_point", "centre", "none of the words"),
    ],
    m.Passes: [
        ("pattern", "oneway", "(nearest: one way)"),
        ("cut", "up", "none of the words"),
        ("uncut_side", "l", "none of the words"),
        ("spacing", "plane view", "(nearest: plan view)"),
    ],
    m.Before: [
        ("stock", "0 mm", "outside the domain"),
        ("previous_diameter", "-1 mm", "outside the domain"),
        ("previous_stepover", 0.6, "a length needs a unit"),
        ("previous_step_down", "0,5 mm", "a comma is not read"),
        ("stair_thickness", "-0.1 mm", "outside the domain"),
    ],
    m.Finish: [
        ("scallop_height", "0 um", "outside the domain"),
        ("ra", "0.8", "a roughness needs a unit"),
        ("rz", "-4 um", "outside the domain"),
        ("grade", "N13", "accepted: "),
        ("grade", 0, "outside the domain"),
        ("form_tolerance", "0 mm", "outside the domain"),
    ],
    m.Machine: [
        ("kind", "generl", "(nearest: general)"),
        ("rigidity", "wek", "(nearest: weak)"),
        ("largest_spindle_speed", "18000 mm/min", "its unit is that of"),
        ("largest_feed_rate", "8000 rpm", "its unit is that of a spindle speed"),
        ("holder_spindle_speed", "0 rpm", "outside the domain"),
        ("acceleration", "0 m/s^2", "outside the domain"),
        ("block_time", "-1 ms", "outside the domain"),
        ("rapid_rate", 20000, "a feed rate needs a unit"),
        ("largest_torque", "-2 N*m", "outside the domain"),
        ("largest_power", 12, "a power needs a unit"),
        ("largest_thrust", "0 N", "outside the domain"),
        ("rotary_rate", "60 mm/s", "its unit is that of"),
        ("rotary_distance", "-1 mm", "outside the domain"),
        ("gauge_length", "0 mm", "outside the domain"),
        ("lateral_stiffness", "20 N", "its unit is that of a force"),
        ("tilting_stiffness", 0, "a tilting stiffness needs a unit"),
    ],
    m.Fixed: [
        ("cutting_speed", "100 mm", "its unit is that of a length"),
        ("spindle_speed", True, "yes or no is not a number"),
        ("feed_per_tooth", "0.1 mm/rev", "its unit is that of a feed per revolution"),
        ("feed_radial_width", "0 mm", "outside the domain"),
        ("stepover", "mil 5", "does not begin with a number"),
        ("point_spacing", ["0.1 mm", "0.2 mm"], "a record holds single values"),
    ],
    m.Assumptions: [
        ("scallop_share", 0.0, "outside the domain"),
        ("scallop_share", 1.1, "outside the domain"),
        ("feed_mark_share", "half", "does not begin with a number"),
        ("chord_tolerance_share", -0.1, "outside the domain"),
        ("chord_scallop_share", 2, "outside the domain"),
        ("chord_start_share", 0, "outside the domain"),
        ("speed_position", 1.5, "outside the domain"),
        ("feed_position", "0.5 mm", "it has a unit, a ratio has none"),
        ("feed_factor", 0, "outside the domain"),
        ("entry_factor", -1, "outside the domain"),
        ("entry_length", 3, "a length needs a unit"),
        ("clearance", "-5 mm", "outside the domain"),
        ("characters", 40.5, "not a whole number"),
        ("time_factor", float("nan"), "not a number"),
        ("deflection_share", 0, "outside the domain"),
        ("force_spread", 1.5, "outside the domain"),
        ("least_width_share", "half", "does not begin with a number"),
        ("first_pass", "slow", "none of the words"),
    ],
}


@pytest.mark.parametrize(
    ("record", "name", "value", "reason"),
    [(record, *row) for record, rows in BAD.items() for row in rows],
    ids=lambda x: x.__name__ if isinstance(x, type) else str(x)[:20],
)
def test_bad_values_are_refused(record, name, value, reason):
    with pytest.raises(JobError) as caught:
        record().with_(**{name: value}) if record in (m.Axis, m.Passes, m.Fixed, m.Assumptions) else getattr(
            EXAMPLE, {m.Surface: "surface", m.Before: "before", m.Finish: "finish", m.Machine: "machine"}[record]
        ).with_(**{name: value})
    (fault,) = caught.value.faults
    assert fault.where == name
    assert reason in str(fault)
    assert fault.given


def test_every_field_with_a_domain_is_tried_with_a_bad_value():
    tried = {(record, row[0]) for record, rows in BAD.items() for row in rows}
    every = {(record, name) for record in BAD for name in fields_of(record)}
    # whose contradictions are above, that is free text, and that is refused in test_drive.py
    assert every - tried == {(m.Axis, "direction"), (m.Machine, "duty"), (m.Machine, "drive_points")}


def test_all_bad_values_of_a_record_stand_in_one_error():
    with pytest.raises(JobError) as caught:
        m.Machine(kind="fast", largest_spindle_speed=18000, largest_feed_rate="8 deg", block_time="-1 ms")
    assert [f.where for f in caught.value.faults] == [
        "kind",
        "largest_spindle_speed",
        "largest_feed_rate",
        "block_time",
    ]


def test_parts_of_a_job_must_be_the_right_records():
    with pytest.raises(JobError, match="cutter: given 5; it is not Cutter"):
        EXAMPLE.with_(cutter=5)
    with pytest.raises(JobError, match=r"surface: .*it is not Surface"):
        EXAMPLE.with_(surface=EXAMPLE.cutter)
    with pytest.raises(JobError, match="settings: given 'imperial'"):
        EXAMPLE.with_(settings="imperial")


def test_inches_make_the_same_job():
    job = changed(surface={"width": "2.5 in", "length": "3-1/4 in"}, cutter={"diameter": "1/4 in"})
    assert number(job.surface, "width") == 63.5
    assert number(job.surface, "length") == pytest.approx(82.55, rel=1e-15)
    assert number(job.cutter, "diameter") == 6.35


def test_the_finish_is_shared_out_only_once():
    both = m.Assumptions(scallop_share=0.8, feed_mark_share=0.5)
    with pytest.raises(JobError, match="shared out only once"):
        m.example_job().with_(assumed=both)
    assert m.example_job().with_(assumed=m.Assumptions(scallop_share=0.8, feed_mark_share=0.2))
