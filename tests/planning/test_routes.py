"""Routes: each plan against a job built by hand from what the operation before left; hand-overs, corners, times."""

import json
from math import radians, sin

import pytest
from route_jobs import AXIS, CORNERS, DRAWER, FINISH, LAST, MACHINE, POCKET, ROUGH, SEMI, SURFACE, ball, flat, route

import millcalc as m
from millcalc.errors import ArgumentError, ImpossibleJobError, JobError
from millcalc.planning import plan, plan_route
from millcalc.planning.routes.handover import hand_over
from millcalc.planning.routes.jobs import Left
from millcalc.quantities.record import fields_of, number

# --- the jobs of a route, built by hand ------------------------------------------------------------------------------


def roughing(cut, cutter, pocket=None, fixed=None, assumed=None):
    return plan(
        m.RoughingJob(
            material="42CrMo4",
            pocket=m.Pocket(**POCKET | (pocket or {})),
            cut=m.RoughingCut(**cut),
            cutter=DRAWER[cutter],
            machine=MACHINE,
            fixed=m.RoughingFixed(**fixed or {}),
            assumed=m.RoughingAssumptions(**assumed or {}),
        )
    )


def finishing(before, cutter, surface=None, finish=None, fixed=None, assumed=None):
    return plan(
        m.FinishingJob(
            material="42CrMo4",
            surface=m.Surface(**SURFACE | (surface or {})),
            before=m.Before(**before),
            finish=m.Finish(**finish or FINISH),
            cutter=DRAWER[cutter],
            machine=MACHINE,
            axis=AXIS,
            fixed=m.Fixed(**fixed or {}),
            assumed=m.Assumptions(**assumed or {}),
        )
    )


def mm(value):
    return f"{value!r} mm"


def stairs(made):
    return mm(number(made, "stair_thickness"))


def scallops(diameter, made):
    """Return 0.1 mm of stock with the scallops of a ball on it."""
    stepover = mm(number(made, "stepover"))
    return {"stock": "0.1 mm", "previous_diameter": f"{diameter} mm", "previous_stepover": stepover}


def semi_wants(stock, scallop):
    return {"scallop_height": f"{scallop} um", "form_tolerance": f"{stock} mm"}


SLOPED = {"slope_from": "30 deg"}


def all_four():
    """Roughing with thin stairs, corners with thick ones, and balls on a concave surface."""
    finished = {"radius_across": "-60 mm", "radius_along": "200 mm"}
    steps = (ROUGH | {"slope_step": "0.2 mm"}, CORNERS | {"assumed": {"depth_share": 0.08}}, SEMI, LAST)
    made = route(*steps, pocket=SLOPED, surface=finished)
    rough = roughing({"stock_left": "0.5 mm", "slope_step": "0.2 mm"}, "E12", SLOPED)
    cut = {"style": "corners", "stock_left": "0.5 mm", "larger_diameter": "12 mm"}
    corners = roughing(cut, "E6", SLOPED, None, {"depth_share": 0.08})
    assert number(corners, "stair_thickness") > number(rough, "stair_thickness")
    before = {"stock": "0.4 mm", "stair_thickness": stairs(corners)}
    with_stock = {"radius_across": "-59.9 mm", "radius_along": "200.1 mm"}
    semi = finishing(before, "B8", with_stock, semi_wants(0.1, 15))
    last = finishing(scallops(8, semi), "B6", finished)
    return made, [rough, corners, semi, last]


def thick_rough_stairs():
    """Roughing leaves thicker stairs than the corners after it; the finish follows at once."""
    made = route(ROUGH | {"slope_step": "0.4 mm"}, CORNERS | {"assumed": {"depth_share": 0.05}}, LAST, pocket=SLOPED)
    rough = roughing({"stock_left": "0.5 mm", "slope_step": "0.4 mm"}, "E12", SLOPED)
    cut = {"style": "corners", "stock_left": "0.5 mm", "larger_diameter": "12 mm"}
    corners = roughing(cut, "E6", SLOPED, None, {"depth_share": 0.05})
    assert number(corners, "stair_thickness") < number(rough, "stair_thickness")
    return made, [rough, corners, finishing({"stock": "0.5 mm", "stair_thickness": stairs(rough)}, "B6")]


def stairs_then_finish():
    """Deep roughing with loops and a ramp, then the finish of a convex surface."""
    step = ROUGH | {"style": "light radial", "entry": "ramp", "cutter": "C12", "fixed": {"axial_depth": "0.5 mm"}}
    made = route(step, LAST, pocket=SLOPED, surface={"radius_across": "80 mm"})
    cut = {"stock_left": "0.5 mm", "style": "light radial", "entry": "ramp"}
    rough = roughing(cut, "C12", SLOPED, {"axial_depth": "0.5 mm"})
    before = {"stock": "0.5 mm", "stair_thickness": stairs(rough)}
    return made, [rough, finishing(before, "B6", {"radius_across": "80 mm"})]


def no_ball_before():
    """A semi-finish with a corner radius leaves its scallops as stairs; the pocket has no slopes."""
    wanted = {"kind": "semi-finish", "cutter": "C6", "stock_left": "0.05 mm", "scallop_height": "3 um"}
    made = route(ROUGH | {"cutter": "C12"}, wanted, LAST)
    rough = roughing({"stock_left": "0.5 mm"}, "C12")
    semi = finishing({"stock": "0.45 mm"}, "C6", None, semi_wants(0.05, 3))
    scallop = mm(number(semi, "scallop_height") / 1000)
    return made, [rough, semi, finishing({"stock": "0.05 mm", "stair_thickness": scallop}, "B6")]


def two_semi_finishes():
    """From a stated ball, through a scallop of a fifth of its stock, with fixed values and assumptions."""
    first = {"kind": "semi-finish", "cutter": "B8", "stock_left": "0.2 mm", "fixed": {"spindle_speed": "6000 rpm"}}
    steps = (first, SEMI | {"assumed": {"chord_scallop_share": 0.2}}, LAST | {"fixed": {"stepover": "0.25 mm"}})
    ball_before = {"previous_diameter": "10 mm", "previous_stepover": "0.9 mm"}
    made = route(*steps, before=m.Before(stock="0.6 mm", **ball_before), surface={"radius_along": "-90 mm"})
    fixed = {"spindle_speed": "6000 rpm"}
    wanted = semi_wants(0.2, 40)
    one = finishing({"stock": "0.4 mm", **ball_before}, "B8", {"radius_along": "-89.8 mm"}, wanted, fixed)
    share = {"chord_scallop_share": 0.2}
    other = finishing(scallops(8, one), "B8", {"radius_along": "-89.9 mm"}, semi_wants(0.1, 15), None, share)
    last = finishing(scallops(8, other), "B6", {"radius_along": "-90 mm"}, None, {"stepover": "0.25 mm"})
    return made, [one, other, last]


def stated_stairs():
    made = route(SEMI, LAST, before=m.Before(stock="0.4 mm", stair_thickness="0.2 mm"))
    one = finishing({"stock": "0.3 mm", "stair_thickness": "0.2 mm"}, "B8", None, semi_wants(0.1, 15))
    return made, [one, finishing(scallops(8, one), "B6")]


def stated_step_down():
    steep = {"slope_from": "60 deg"}
    before = {"stock": "0.2 mm", "previous_diameter": "10 mm", "previous_step_down": "0.6 mm"}
    return route(LAST, before=m.Before(**before), surface=steep), [finishing(before, "B6", steep)]


CASES = (
    all_four,
    thick_rough_stairs,
    stairs_then_finish,
    no_ball_before,
    two_semi_finishes,
    stated_stairs,
    stated_step_down,
)


@pytest.mark.parametrize("case", CASES, ids=lambda c: c.__name__)
def test_each_plan_is_that_of_a_job_built_by_hand(case):
    made, by_hand = case()
    plans = plan_route(made).plans
    assert len(plans) == len(by_hand)
    for own, other in zip(plans, by_hand, strict=True):
        assert type(own) is type(other)
        for name, field in fields_of(own).items():
            if field.kind:
                expected = number(other, name)
                assert number(own, name) == (None if expected is None else pytest.approx(expected, rel=1e-9)), name
        assert own.governed == other.governed
        assert [str(c) for c in own.cautions] == [str(c) for c in other.cautions]


# --- hand-overs ------------------------------------------------------------------------------------------------------

DEFLECTIONS = ("tip_deflection", "slot_tip_deflection", "entry_tip_deflection", "corner_tip_deflection")


def test_hand_overs_add_up_what_the_plans_say():
    """Needed is the unevenness and, in mm, deflection and tolerance; corners keep what roughing left beside them."""
    made, (rough, corners, semi, _) = all_four()
    over = plan_route(made).hand_overs
    assert [(h.step, h.following) for h in over] == [
        ("rough", "corners"),
        ("corners", "semi-finish"),
        ("semi-finish", "finish"),
    ]
    bent = [max(number(p, n) or 0.0 for n in DEFLECTIONS) for p in (rough, corners)]
    assert min(bent) > 0.0
    bent = [bent[0], max(bent), max(number(semi, "tip_deflection"), number(semi, "first_pass_tip_deflection"))]
    uneven = [number(p, "stair_thickness") for p in (rough, corners)] + [number(semi, "scallop_height") / 1000]
    path = [50.0, 50.0, number(semi, "chord_error")]  # of roughing a tenth of its stock (common practice)
    for h, stock, u, d, e in zip(over, (0.5, 0.5, 0.1), uneven, bent, path, strict=True):
        found = [number(h, n) for n in ("stock", "unevenness", "deflection", "chord_error", "needed")]
        assert found == pytest.approx([stock, u, d, e, u + (d + e) / 1000], rel=1e-9)
        spare = stock - u - (d + e) / 1000
        assert h.verdict == ("kept" if spare >= 0.3 * d / 1000 else "exceeded" if spare < 0 else "not decided")


@pytest.mark.parametrize(
    ("stock", "verdict"),
    [(0.2621, "kept"), (0.2619, "not decided"), (0.25, "not decided"), (0.2381, "not decided"), (0.2379, "exceeded")],
)
def test_a_verdict_is_not_decided_within_what_the_deflection_may_be_off(stock, verdict):
    """0.2 mm of stairs, 40 um of deflection and 10 um of tolerance need 0.25 mm; the deflection may be 12 um off."""
    left = Left(stock=stock, stair_thickness=0.2, deflection=40.0, chord_error=10.0)
    made = hand_over(route(ROUGH), ("one", "other"), left, None)
    assert (number(made, "needed"), made.verdict) == (pytest.approx(0.25, rel=1e-12), verdict)


@pytest.mark.parametrize(("stock", "verdict"), [(0.25, "kept"), (0.2499, "exceeded")])
def test_without_deflection_a_verdict_is_sharp(stock, verdict):
    left = Left(stock=stock, stair_thickness=0.2, scallop_height=40.0, chord_error=10.0)
    assert hand_over(route(ROUGH), ("one", "other"), left, None).verdict == verdict


def test_the_cautions_of_a_route_tell_the_verdicts():
    """Scallops grow until the stock no longer covers them: kept, not decided, exceeded, each told in its rank."""
    ranks = {"kept": None, "not decided": "note", "exceeded": "caution"}
    seen = set()
    for scallop in (20, 60, 70, 75, 80, 85, 90, 100, 120):
        steps = (SEMI | {"scallop_height": f"{scallop} um"}, LAST)
        made = plan_route(route(*steps, before=m.Before(stock="0.6 mm")))
        (over,) = made.hand_overs
        bent = number(made.plans[0], "tip_deflection"), number(made.plans[0], "first_pass_tip_deflection")
        spare = 100 - number(made.plans[0], "scallop_height") - max(bent) - number(made.plans[0], "chord_error")
        spread = 0.3 * max(bent)
        assert over.verdict == ("kept" if spare > spread else "exceeded" if spare < -spread else "not decided")
        told = [c for c in made.cautions if c.name == "stock_not_covered"]
        assert [c.rank for c in told] == [r for r in [ranks[over.verdict]] if r]
        for caution in told:
            assert "semi-finish leaves 0.1 mm" in caution.text
            assert caution.text.endswith(over.verdict)
        seen.add(over.verdict)
    assert seen == set(ranks)


# --- corners ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("angle", [40, 60, 90, 120, 170])
def test_corner_stock_lies_between_two_circles_that_touch_both_walls(angle):
    """Along the bisector a rim ends where its circle, which touches both walls, is nearest to the corner (derived)."""
    nearest = [d / 2 / sin(radians(angle / 2)) - d / 2 for d in (12, 8)]
    made = hand_over(
        route(ROUGH, pocket={"corner_angle": f"{angle} deg"}), ("one", "other"), Left(0.5, flat(12)), flat(8)
    )
    assert number(made, "corner_depth") == pytest.approx(nearest[0] - nearest[1], rel=1e-9)
    assert number(made, "corner_allowed") == 2.0  # a quarter of 8 mm (common practice)


@pytest.mark.parametrize(
    ("larger", "verdict"),
    # (D1 - 6)/2 (sqrt(2) - 1) = 6/4 at D1 = 13.2426: on either side of it
    [(13.24, "kept"), (13.25, "exceeded"), (6, "kept"), (4, "kept")],
)
def test_a_cutter_may_meet_a_quarter_of_its_diameter_in_a_corner(larger, verdict):
    made = hand_over(route(ROUGH), ("one", "other"), Left(1.0, flat(larger)), flat(6))
    assert (made.corner_verdict, made.verdict) == (verdict, "kept")


def test_corners_too_deep_are_told_and_an_operation_for_them_helps():
    drawer = DRAWER | {"E20": flat(20)}
    steps = (ROUGH | {"cutter": "E20"}, LAST)
    pocket = {"width": "60 mm"}
    (caution,) = (c for c in plan_route(route(*steps, drawer=drawer, pocket=pocket)).cautions if c.rank == "caution")
    # (20 - 6)/2 (sqrt(2) - 1) = 2.8995 mm, a quarter of 6 mm is 1.5 mm
    assert (caution.name, caution.text) == (
        "corners_too_deep",
        "finish meets 2.9 mm in the inside corners, more than 1.5 mm: an operation for them before it",
    )
    helped = plan_route(route(steps[0], CORNERS | {"cutter": "E12"}, steps[1], drawer=drawer, pocket=pocket))
    assert [h.corner_verdict for h in helped.hand_overs] == ["kept", "kept"]
    assert helped.cautions == ()


def test_without_corners_nothing_is_met_in_them():
    pocket = {"corner_angle": None, "fillet_radius": None}
    made = hand_over(route(ROUGH, pocket=pocket), ("one", "other"), Left(1.0, flat(20)), flat(2))
    assert (number(made, "corner_depth"), made.corner_verdict) == (0.0, "kept")


@pytest.mark.parametrize(("fillet", "fits"), [("3 mm", True), ("2.99 mm", False), (None, True)])
def test_the_last_cutter_must_fit_the_fillet(fillet, fits):
    made = plan_route(route(LAST, before=m.Before(stock="0.1 mm"), pocket={"fillet_radius": fillet}))
    assert [c.name for c in made.cautions] == ([] if fits else ["cutter_above_fillet"])
    if not fits:
        assert "radius 3 mm, does not fit the fillet of 2.99 mm" in made.cautions[0].text


# --- the whole -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cutters", "changes"), [(("B8", "B6"), 1), (("B8", "B8"), 0), (("B8", ball(8, overhang="32 mm")), 0)]
)
def test_the_time_is_that_of_the_operations_and_of_the_changes(cutters, changes):
    """A cutter that equals the one before stays in the spindle, whatever its name."""
    steps = (SEMI | {"cutter": cutters[0]}, LAST | {"cutter": cutters[1]})
    made = plan_route(route(*steps, before=m.Before(stock="0.4 mm"), tool_change_time="0.75 min"))
    each = sum(number(p, "operation_time") for p in made.plans)
    assert (made.tool_changes, number(made, "tool_change_time")) == (changes, 0.75 * changes)
    assert number(made, "cutting_time") == pytest.approx(each, rel=1e-12)
    assert number(made, "total_time") == pytest.approx(each + 0.75 * changes, rel=1e-12)


def test_operations_are_named_and_counted():
    steps = (SEMI | {"stock_left": "0.2 mm"}, SEMI, LAST | {"name": "the crown"})
    made = plan_route(route(*steps, before=m.Before(stock="0.4 mm"), part="Rib (invented)", settings="inch"))
    assert made.names == ("semi-finish 1", "semi-finish 2", "the crown")
    assert [(h.step, h.following) for h in made.hand_overs] == list(zip(made.names, made.names[1:], strict=False))
    assert [p.job.part for p in made.plans] == ["Rib (invented)"] * 3
    assert [p.job.operation for p in made.plans] == ["semi-finish", "semi-finish", "the crown"]
    assert {p.job.settings for p in made.plans} == {"inch"}


def test_a_route_as_numbers_holds_every_operation_and_hand_over():
    made = plan_route(route(SEMI, LAST, before=m.Before(stock="0.4 mm")))
    held = json.loads(json.dumps(made.as_numbers()))
    assert held["total_time"] == {"value": number(made, "total_time"), "unit": "min"}
    assert [o["name"] for o in held["operations"]] == list(made.names)
    assert [o["spindle_speed"]["value"] for o in held["operations"]] == [number(p, "spindle_speed") for p in made.plans]
    assert [h["needed"] for h in held["hand_overs"]] == [number(h, "needed") for h in made.hand_overs]
    assert held["tool_changes"] == 1


# --- what cannot be planned ------------------------------------------------------------------------------------------

BEFORE = m.Before(stock="0.4 mm")
REFUSED = {
    "a cutter is open": ((ROUGH | {"cutter": None},), {}, JobError, ["[0].cutter: no cutter", "search_drawer"]),
    "stocks are open": (
        (ROUGH | {"stock_left": None}, SEMI | {"stock_left": None}, LAST), {}, JobError,
        ["operations[0].stock_left", "operations[1].stock_left", '"0.3 mm"'],
    ),
    "more is left than was there": (
        (SEMI | {"stock_left": "0.4 mm"}, LAST), {"before": BEFORE}, JobError,
        ["operations[0] (semi-finish) stock_left: given 0.4 mm", "no less than what the operation before leaves"],
    ),
    "the stock fills the surface": (
        (SEMI, LAST), {"before": BEFORE, "surface": {"radius_across": "-0.09 mm"}}, JobError,
        ["operations[0] (semi-finish) surface.radius_across", "stock of 0.1 mm fills it"],
    ),
    "corners after no larger cutter": (
        (ROUGH | {"cutter": "E6"}, CORNERS), {}, JobError,
        ["operations[1] (corners) cut.larger_diameter: given 6 mm", "above 6 mm"],
    ),
    "a ramp into an open pocket": (
        (ROUGH | {"entry": "ramp"},), {"pocket": {"sides": "open"}}, JobError,
        ["operations[0] (rough) cut.entry: given ramp", "from outside"],
    ),
    "a pocket too narrow": (
        (ROUGH | {"name": "the slot"},), {"pocket": {"width": "12 mm"}}, ImpossibleJobError,
        ["operations[0] (the slot) cutter.diameter: given 12 mm", "does not fit into the pocket"],
    ),
    "stock deeper than the ball": (
        (SEMI, LAST | {"name": "the crown"}), {"before": m.Before(stock="4.5 mm")}, ImpossibleJobError,
        ["operations[0] (semi-finish) before.stock", "deeper than half the cutter's diameter"],
    ),
    "an unknown material": ((ROUGH,), {"material": "nosuch"}, JobError, ["operations[0] (rough)", "'nosuch'"]),
    "no material": ((ROUGH,), {"material": 5}, JobError, ["operations[0] (rough)", "given 5", "'C45'"]),
    "half a ball before": (
        (LAST,), {"before": m.Before(stock="0.1 mm", previous_diameter="8 mm")}, JobError,
        ["operations[0] (finish) before", "both the ball's diameter and the stepover"],
    ),
    "stairs and a ball before": (
        (LAST,),
        {"before": m.Before(stock="1 mm", previous_diameter="8 mm", previous_stepover="1 mm", stair_thickness="1 mm")},
        JobError, ["operations[0] (finish) before", "not both"],
    ),
    "two axes": (
        (LAST,), {"before": BEFORE, "axis": m.Axis(lead="5 deg", direction="vertical")}, JobError,
        ["operations[0] (finish) axis", "lead or tilt, and direction"],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", list(REFUSED))
def test_what_cannot_be_planned_names_the_operation_and_the_field(name):
    steps, changes, error, parts = REFUSED[name]
    with pytest.raises(error) as caught:
        plan_route(route(*steps, **changes))
    assert type(caught.value) is error
    for part in parts:
        assert part in str(caught.value)


@pytest.mark.parametrize("given", [None, "route.toml", 5, {}, float("nan"), m.example_job()])
def test_what_is_no_route_is_refused(given):
    with pytest.raises(ArgumentError) as caught:
        plan_route(given)
    (fault,) = caught.value.faults
    assert fault.where == "route"
    assert fault.given
    assert "read_route" in fault.accepted
