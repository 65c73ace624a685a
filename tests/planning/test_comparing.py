"""The comparison: any field, as a grid or in step, each row the plan of its job; what cannot be read or cut."""

import json
import math

import numpy as np
import pytest
from foreign import REGISTRY
from jobs import EXAMPLE, changed

import millcalc as m
from millcalc.errors import ImpossibleJobError, JobError, UnknownNameError
from millcalc.planning import compare, comparing, plan
from millcalc.planning.cautions import CAUTIONS
from millcalc.planning.comparing import CHUNK, MULTIPLES
from millcalc.planning.faults import FAULTS
from millcalc.planning.finishing import CAUSES
from millcalc.quantities.record import fields_of, number

NUMBERS = [n for n, f in fields_of(m.Plan).items() if f.kind]


SLOPES = changed(
    axis={"lead": None, "tilt": None, "direction": "vertical"},
    surface={"slope_from": "20 deg", "slope_to": "60 deg"},
    passes={"pattern": "back and forth", "spacing": "step down"},
)


def assert_rows_are_plans(table):
    """Every array of a row equals, to the last bit, what the plan of the row's job states."""
    assert table.plan(-1) == plan(table.row_job(-1))
    for row in range(len(table)):
        made = table.plan(row)
        for name in NUMBERS:
            got, expected = float(table.values[name][row]), number(made, name)
            assert got == expected or (expected is None and math.isnan(got)), (row, name)
        governed = dict(made.governed)
        for name in CAUSES:
            assert table.governed_by(name)[row] == governed[name], (row, name)
        found = {n for n, where in table.cautions.items() if where[row]}
        assert found == {c.name for c in made.cautions} & set(CAUTIONS), row
        assert not any(where[row] for where in table.faults.values())


# without an overhang no forces are computed: quick, for fields that have nothing to do with them
LIGHT = EXAMPLE.with_(cutter=EXAMPLE.cutter.with_(overhang=None))


@pytest.mark.parametrize(
    ("job", "fields"),
    [
        (EXAMPLE, {"stepover": ["0.1 mm", "0.2 mm", "0.3 mm"]}),
        (EXAMPLE, {"diameter": ["2 mm", "3 mm", "6 mm", "8 mm", "10 mm", "25 mm"]}),
        (EXAMPLE, {"teeth": [1, 2, 4]}),
        (LIGHT, {"ra": ["0.2 um", "0.8 um", "3.2 um"]}),
        (LIGHT, {"grade": ["N4", "N6", 7]}),
        (LIGHT, {"rz": ["4 um", "8 um"]}),
        (LIGHT, {"scallop_height": ["1 um", "5 um"]}),
        (EXAMPLE, {"material": ["C45", "Ti-6Al-4V", m.material("42CrMo4")]}),
        (EXAMPLE, {"substrate": ["HSS", "carbide", "coated carbide"]}),
        (LIGHT, {"kind": ["older", "general", "high-speed"]}),
        (LIGHT, {"pattern": ["one way", "back and forth"], "cut": ["climb", "conventional"]}),
        (EXAMPLE, {"lead": ["-20 deg", "0 deg", "20 deg"], "tilt": ["-10 deg", "0 deg", "10 deg"]}),
        (LIGHT, {"radius_across": ["flat", "-40 mm", "40 mm"], "radius_along": ["flat", "-40 mm", "40 mm"]}),
        (EXAMPLE, {"spindle_speed": ["5000 rpm", "9000 rpm"], "feed_per_tooth": ["0.02 mm", "0.05 mm"]}),
        (LIGHT, {"cutting_speed": ["80 m/min", "120 m/min"], "point_spacing": ["0.1 mm", "1 mm"]}),
        (LIGHT, {"acceleration": ["0.5 m/s^2", "5 m/s^2"], "block_time": ["1 ms", "15 ms", "40 ms"]}),
        (EXAMPLE, {"stock": ["0.005 mm", "0.1 mm", "0.5 mm"], "previous_stepover": ["0.2 mm", "0.8 mm"]}),
        (LIGHT, {"scallop_share": [0.25, 0.5], "first_pass": ["own feed", "same feed"]}),
        (LIGHT, {"entry_length": [None, "2 mm"], "eccentricity": [None, "0 um", "8 um"]}),
        (LIGHT, {"holder_spindle_speed": [None, "9000 rpm", "12000 rpm"], "stepover": [None, "0.15 mm"]}),
        (LIGHT, {"settings": ["metric", "inch"], "programmed_point": ["tip", "ball centre"]}),
        (SLOPES, {"slope_from": ["10 deg", "30 deg"], "slope_to": ["40 deg", "80 deg"]}),
        (SLOPES, {"spacing": ["along the surface", "plan view", "step down"], "order": ["downward", "upward"]}),
        (SLOPES, {"direction": ["vertical", [0.3, 0.1, 1.0]], "diameter": ["4 mm", "8 mm"]}),
    ],
)
def test_any_field_can_be_varied_and_each_row_is_a_plan(job, fields):
    table = compare(job, **fields)
    assert len(table) == math.prod(map(len, fields.values()))
    assert_rows_are_plans(table)


def test_several_fields_are_a_grid_the_last_one_fastest():
    table = compare(EXAMPLE, stepover=["0.1 mm", "0.2 mm"], teeth=[2, 3, 4])
    assert list(table.settings["stepover"]) == [0.1] * 3 + [0.2] * 3
    assert list(table.settings["teeth"]) == [2.0, 3.0, 4.0] * 2
    assert list(table.values["stepover"]) == [0.1] * 3 + [0.2] * 3


def test_fields_go_in_step_when_asked():
    table = compare(EXAMPLE, in_step=True, stepover=["0.1 mm", "0.2 mm"], material=["C45", "7075"])
    assert len(table) == 2
    assert [j.material for j in (table.row_job(0), table.row_job(1))] == ["C45", "7075"]
    assert_rows_are_plans(table)


def test_lists_in_step_must_be_alike():
    with pytest.raises(JobError, match=r"stepover 2, teeth 3.*differ in length"):
        compare(EXAMPLE, in_step=True, stepover=["0.1 mm", "0.2 mm"], teeth=[2, 3, 4])


@pytest.mark.parametrize(
    "values",
    [
        REGISTRY.Quantity(np.array([0.1, 0.2]), "mm"),
        REGISTRY.Quantity(np.array([100.0, 200.0]), "um"),
        ("0.1 mm", "0.2 mm"),
        [REGISTRY.Quantity(0.1, "mm"), "200 um"],
        np.array(["0.1 mm", "0.2 mm"]),
    ],
    ids=["array", "array in um", "tuple", "mixed list", "array of texts"],
)
def test_values_may_be_an_array_of_quantities_or_a_list(values):
    table = compare(EXAMPLE, stepover=values)
    assert table.values["stepover"] == pytest.approx([0.1, 0.2], rel=1e-12)


def test_a_single_value_and_no_field_are_tables_of_one_row():
    for table in (compare(EXAMPLE, stepover="0.1 mm"), compare(EXAMPLE, material="C45"), compare(EXAMPLE)):
        assert len(table) == 1
        assert_rows_are_plans(table)


def test_numbers_are_given_as_quantities():
    table = compare(EXAMPLE, stepover=["0.1 mm", "0.2 mm"])
    assert str(table["scallop_height"].units) == "micrometer"
    assert list(table["scallop_height"].magnitude) == list(table.values["scallop_height"])
    assert list(table["points"]) == list(table.values["points"])
    with pytest.raises(JobError, match=r"no such number \(nearest: scallop_height"):
        table["scallop_hight"]


def test_an_impossible_row_stays_as_nan_with_its_reason():
    table = compare(EXAMPLE, stepover=["0.1 mm", "6.5 mm", "0.2 mm"])
    assert list(table.possible()) == [True, False, True]
    assert all(math.isnan(table.values[n][1]) for n in NUMBERS)
    assert not any(math.isnan(table.values[n][2]) for n in NUMBERS)
    assert list(table.faults["passes_do_not_meet"]) == [False, True, False]
    (reason,) = table.reasons(1)
    stated = FAULTS["passes_do_not_meet"]
    assert (reason.where, reason.reason, reason.accepted) == (stated.where, stated.reason, stated.remedy)
    assert table.reasons(0) == ()
    assert table.governed_by("feed_rate")[1] == ""
    with pytest.raises(ImpossibleJobError):
        table.plan(1)
    assert table.plan(2) == plan(changed(fixed={"stepover": "0.2 mm"}))


def test_the_first_row_may_be_the_impossible_one():
    """Also where the value is beyond a hard limit only together with another field."""
    job = changed(fixed={"feed_per_tooth": "0.01 mm", "feed_radial_width": "5 mm"})
    for sizes, possible in ((["4 mm", "8 mm"], [False, True]), (["8 mm", "4 mm"], [True, False])):
        table = compare(job, diameter=sizes)
        assert list(table.possible()) == possible
        assert [f.where for f in table.reasons(possible.index(False))] == ["fixed.feed_radial_width"]


def test_arrays_of_causes_cautions_and_faults_have_all_names():
    table = compare(EXAMPLE, teeth=[2, 3])
    assert set(table.causes) == set(CAUSES)
    assert set(table.cautions) == set(CAUTIONS)
    assert set(table.faults) == set(FAULTS)
    assert {a.shape for part in (table.values, table.causes, table.cautions, table.faults) for a in part.values()} == {
        (2,)
    }


def test_causes_change_along_the_rows():
    table = compare(EXAMPLE, largest_spindle_speed=["9000 rpm", "30000 rpm"], ra=["0.2 um", "6.3 um"])
    assert table.governed_by("spindle_speed") == ["machine"] * 2 + ["cutting speed of the material"] * 2
    assert len(set(table.governed_by("feed_per_tooth"))) == 2


def test_multiples_of_the_base_row():
    table = compare(EXAMPLE, stepover=["0.1 mm", "0.2 mm", "6.5 mm"], base=1)
    multiples = table.multiples()
    assert set(multiples) == set(MULTIPLES)
    for name, shares in multiples.items():
        assert shares[1] == 1.0
        assert shares[0] == table.values[name][0] / table.values[name][1]
        assert math.isnan(shares[2])
    # half the stepover: a quarter of the scallop, twice the passes less one
    assert multiples["scallop_height"][0] == pytest.approx(0.25, rel=1e-3)
    assert multiples["points"][0] > 3.9  # a third of the scallop goes to the chord: closer points, too
    assert table.multiples(0)["scallop_height"][0] == 1.0
    for base in (3, -4, "a", 1.0):
        with pytest.raises(JobError, match="no such row; accepted: 0 to 2"):
            table.multiples(base)


def test_the_operation_before_as_row_0():
    table = compare(EXAMPLE, before=True, stepover=["0.1 mm", "0.2 mm"], diameter=["6 mm", "4 mm"])
    assert len(table) == 5
    assert (table.settings["stepover"][0], table.settings["diameter"][0]) == (0.6, 10.0)
    assert table.values["stepover"][0] == 0.6
    assert table.values["scallop_height"][0] == pytest.approx(1000 * (5 - math.sqrt(25 - 0.09)), rel=1e-9)
    assert table.multiples()["scallop_height"][0] == 1.0
    assert_rows_are_plans(table)
    alone = changed(before={"previous_diameter": None, "previous_stepover": None})
    with pytest.raises(JobError, match="operation before needs its ball's diameter"):
        compare(alone, before=True, stepover=["0.1 mm"])


def test_a_smaller_ball_at_the_stepover_before_is_worse_not_better():
    """0.0052 in from 0.125 in at 0.050 in, 0.0025 in from 0.250 in (derived, README.md of the published folder)."""
    job = changed(
        cutter={"diameter": "0.125 in", "overhang": None},
        before={"stock": "0.025 in", "previous_diameter": "0.25 in", "previous_stepover": "0.05 in"},
    )
    table = compare(job, before=True, stepover=["0.05 in", "0.025 in", "0.010 in"])
    inches = table.values["scallop_height"] / 25400
    assert inches == pytest.approx([0.0025, 0.0052, 0.0013, 0.0002], abs=5.1e-5)
    assert list(table.cautions["no_better_than_before"]) == [False, True, False, False]


def test_unknown_field_names_the_nearest():
    with pytest.raises(JobError, match=r"stepovr: a job has no such field \(nearest: stepover"):
        compare(EXAMPLE, stepovr=["0.1 mm"])


def test_bad_values_are_listed_with_their_index_all_in_one_error():
    with pytest.raises(JobError) as caught:
        compare(EXAMPLE, stepover=["0.1 mm", 0.2, "0.3 deg"], teeth=[2, 2.5], pattern=["oneway"], nosuch=[1])
    assert [f.where for f in caught.value.faults] == ["stepover[1]", "stepover[2]", "teeth[1]", "pattern[0]", "nosuch"]
    with pytest.raises(JobError, match="index 1"):
        compare(EXAMPLE, stepover=REGISTRY.Quantity(np.array([0.1, -0.2]), "mm"))
    with pytest.raises(UnknownNameError, match="42CrMo5"):
        compare(EXAMPLE, material=["C45", "42CrMo5"])


@pytest.mark.parametrize("empty", [[], (), REGISTRY.Quantity(np.array([]), "mm")])
def test_no_values_are_an_error_that_says_so(empty):
    with pytest.raises(JobError, match="stepover: no values are given"):
        compare(EXAMPLE, stepover=empty, teeth=[2])


def test_an_array_of_two_dimensions_is_refused():
    with pytest.raises(JobError, match=r"stepover: .*2 dimensions"):
        compare(EXAMPLE, stepover=REGISTRY.Quantity(np.full((2, 2), 0.1), "mm"))


@pytest.mark.parametrize(("job", "chunk"), [(EXAMPLE, 50), (changed(cutter={"overhang": None}), CHUNK)])
def test_more_rows_than_a_chunk(monkeypatch, job, chunk):
    monkeypatch.setattr(comparing, "CHUNK", chunk)
    count = 2 * chunk + 17
    table = compare(job, stepover=REGISTRY.Quantity(np.linspace(0.05, 0.3, count), "mm"))
    assert len(table) == count
    assert np.all(np.diff(table.values["scallop_height"]) > 0)
    for row in (0, chunk - 1, chunk, 2 * chunk, count - 1, -1):
        made = plan(table.row_job(row))
        for name in NUMBERS:
            got, expected = float(table.values[name][row]), number(made, name)
            assert got == expected or (expected is None and math.isnan(got)), (row, name)


def test_rows_as_plain_values():
    table = compare(EXAMPLE, stepover=["0.1 mm", "6.5 mm"], material=["C45"])
    rows = table.as_rows()
    assert [r["stepover"] for r in rows] == [0.1, 6.5]
    assert rows[0]["material"] == "C45"
    assert rows[0]["numbers"]["scallop_height"] == table.values["scallop_height"][0]
    assert rows[0]["faults"] == []
    assert len(rows[1]["faults"]) == 1
    assert "theory_below_measured" in rows[0]["cautions"]
    assert json.loads(json.dumps(rows[0])) == rows[0]
    assert table.label(1) == ["6.5 mm", "C45"]


def test_the_cautions_of_a_row_are_those_of_its_plan():
    stepovers = ["0.1 mm", "0.9 mm", "6.5 mm"]
    table = compare(EXAMPLE, lead=["0 deg", "-10 deg", "15 deg"], stepover=stepovers, stock=["0.05 mm", "1 mm"])
    seen = set()
    for row in np.flatnonzero(table.possible()):
        of_plan = [c for c in table.plan(int(row)).cautions if c.name in CAUTIONS]
        assert [str(c) for c in table.cautions_of(int(row))] == [str(c) for c in of_plan]
        seen |= {c.name for c in of_plan}
    assert len(seen) > 8
    impossible = np.flatnonzero(~table.possible())
    assert len(impossible)
    assert not any(table.cautions_of(int(row)) for row in impossible)
