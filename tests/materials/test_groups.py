"""The ranges of a group: wide, marked as the group's, and never taken in silence."""

import statistics

import pytest

import millcalc as m
from millcalc.errors import UnknownNameError
from millcalc.materials import group_force, group_force_constants, group_speed_window, material, materials
from millcalc.materials.groups import GROUP_SOURCE
from millcalc.planning import example_text
from millcalc.planning.reading import job_from_text
from millcalc.sources import bibliography

MEMBERS = {g: [material(k) for k in materials() if material(k).iso513 == g] for g in "PMKNSH"}
WITH_FORCE = {g: [r for r in rows if r.kienzle] for g, rows in MEMBERS.items()}
ENOUGH = [g for g, rows in WITH_FORCE.items() if len(rows) > 1]


def steel():
    return material("42CrMo4").with_(kienzle=(), force_coefficients=(), specific_energy=())


@pytest.mark.parametrize("group", ENOUGH)
@pytest.mark.parametrize("chip", [0.02, 0.1, 1.0])
def test_the_range_is_that_of_the_grades(group, chip):
    found = group_force(group, chip_thickness=chip)
    rows = [r.kienzle[0] for r in WITH_FORCE[group]]
    forces = sorted(r.kc11 * chip**-r.mc for r in rows)
    assert (found.force.low, found.force.high) == pytest.approx((forces[0], forces[-1]))
    assert found.spread == pytest.approx(forces[-1] / forces[0])
    assert (found.kc11.low, found.kc11.high) == (min(r.kc11 for r in rows), max(r.kc11 for r in rows))
    assert (found.mc.low, found.mc.high) == (min(r.mc for r in rows), max(r.mc for r in rows))
    assert found.row.kc11 * chip**-found.row.mc == pytest.approx(statistics.median_high(forces))
    assert found.grades == tuple(r.designation for r in WITH_FORCE[group])
    for row in (found.row, found.kc11, found.mc, found.force):
        assert (row.scope, row.source, row.how_known) == ("group", GROUP_SOURCE, "derived")
        assert f"{len(rows)} grades of group {group}" in row.conditions
    assert GROUP_SOURCE in bibliography()


def test_a_group_of_one_grade_has_no_range():
    one = material("C45").with_(key="x", designation="X", aliases=(), iso513="none")
    with pytest.raises(UnknownNameError, match=r"group none has no range of kc1.1 and mc: grades that have it: X$"):
        group_force("none", catalogue=one)
    other = one.with_(key="y", designation="Y", kienzle={"kc11": 900, "mc": 0.1, "chip": [0.1, 1]})
    assert group_force("none", catalogue=[one, other]).kc11.low == 900
    with pytest.raises(UnknownNameError, match="no group of ISO 513 is called 'Q'"):
        group_force("Q")


def test_what_was_taken_from_a_group_is_no_grade_of_it():
    shop = material("C45").with_(key="x", designation="X", aliases=(), kienzle=group_force_constants("P"))
    assert "X" not in group_force("P", catalogue=shop).grades


@pytest.mark.parametrize(("group", "substrate"), [("P", "HSS"), ("P", "coated carbide"), ("M", "carbide")])
def test_speeds_reach_from_the_slowest_to_the_fastest(group, substrate):
    found, rows = group_speed_window(group, substrate), []
    for record in MEMBERS[group]:
        if any(row.substrate == substrate and row.operation != "turning" for row in record.cutting_speeds):
            rows.append(record.speed_window(substrate))
    rows = [row for row in rows if row.substrate == substrate]
    assert (found.low, found.high) == (min(r.low for r in rows), max(r.high for r in rows))
    assert (found.scope, found.substrate, found.operation) == ("group", substrate, "finishing")
    assert found.fallback.startswith("no speed of its own; from the slowest to the fastest of ")


def test_a_group_without_such_speeds_says_so():
    with pytest.raises(UnknownNameError, match="group P has no range of cutting speed for PCD"):
        group_speed_window("P", "PCD")
    with pytest.raises(UnknownNameError, match="no operation is called 'turning'"):
        group_speed_window("P", "HSS", "turning")


def test_a_lack_is_said_when_it_is_needed():
    with pytest.raises(UnknownNameError, match=r"no kc1.1 and mc for 42CrMo4; .* kienzle=group_force_constants\('P'\)"):
        steel().force_constants()
    with pytest.raises(UnknownNameError, match="has no cutting speed for PCD in finishing"):
        steel().speed_window("PCD")


LIMIT = {"machine": m.example_job().machine.with_(largest_power="5 kW")}


def test_nothing_is_taken_in_silence():
    """Without data on forces the plan computes none, even if the machine's limit asks for them."""
    made = m.plan(m.example_job().with_(material=steel(), **LIMIT))
    assert made.cutting_power is None
    assert "cutting force" not in m.plan_page(made)


def test_the_plan_shows_that_a_value_is_the_groups():
    job = m.example_job().with_(material=steel().with_(kienzle=group_force_constants("P")), **LIMIT)
    made = m.plan(job)
    assert made.cutting_power is not None
    row = made.basis[-1]
    assert (row.scope, row.source) == ("group", GROUP_SOURCE)
    for text in (m.plan_page(made), str(made.sheet())):
        assert f"cutting force {row}" in text
        assert "no kc1.1 of its own; the middle of " in text
    own = m.plan(m.example_job().with_(**LIMIT))
    assert all(row.source != GROUP_SOURCE for row in own.basis)
    assert "cutting force kc1.1" not in m.plan_page(own)


def test_a_speed_of_the_group_shows_in_the_plan():
    work = steel().with_(cutting_speeds=group_speed_window("P", "coated carbide"))
    made = m.plan(m.example_job().with_(material=work))
    assert made.basis[0].scope == "group"
    for text in (m.plan_page(made), str(made.sheet())):
        assert "no speed of its own; from the slowest to the fastest of " in text


def test_a_plan_of_roughing_shows_it_too():
    job = job_from_text(example_text("roughing"))
    work = steel().with_(kienzle=group_force_constants("P"))
    made = m.plan(job.with_(material=work, machine=job.machine.with_(largest_power="50 kW")))
    assert made.basis[-1].source == GROUP_SOURCE
    assert "no kc1.1 of its own; the middle of " in m.plan_page(made)
