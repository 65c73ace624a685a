"""What the search of a drawer refuses, and what it says where no combination can be cut."""

import pytest
from route_jobs import LAST, ROUGH, SEMI, ball, flat, route

import millcalc as m
from millcalc.errors import ArgumentError, ImpossibleJobError, JobError
from millcalc.planning import search_drawer

BALLS = {"B16": ball(16), "B8": ball(8), "B6": ball(6)}
SLOPED = {"slope_from": "30 deg"}
SEMIS = SEMI | {"tried": {"stock_left": ["0.1 mm", "0.05 mm"], "scallop_height": ["10 um", "40 um"]}}
HUGE = {"stock_left": [f"{i} um" for i in range(1, 1001)], "depth_share": [i / 1000 for i in range(1, 1001)]}
OPEN = {"kind": "finish"}
FAILS = {  # operations, what is changed; the error and its words
    "none fits the pocket": (
        ({"kind": "rough"}, LAST), {"pocket": {"width": "5 mm"}}, ImpossibleJobError,
        ["operations[0] (rough): none of its options", "B16, for one: cutter.diameter", "does not fit into the pocket"],
    ),
    "none is smaller": (
        (ROUGH | {"cutter": "B6"}, {"kind": "corners", "name": "the corners"}), {}, ImpossibleJobError,
        ["operations[1] (the corners): none of its options", "must be larger than this one"],
    ),
    "none reaches the trough": (
        (OPEN,), {"before": m.Before(stock="0.1 mm"), "surface": {"radius_across": "-2 mm"}}, ImpossibleJobError,
        ["operations[0] (finish): none of its options", "surface.radius_across: given -2 mm"],
    ),
    "the stock fills the surface": (
        ({"kind": "semi-finish", "stock_left": "0.2 mm"}, OPEN),
        {"before": m.Before(stock="0.5 mm"), "surface": {"radius_along": "-0.15 mm"}}, ImpossibleJobError,
        ["operations[0] (semi-finish): none of its options", "surface.radius_along: stock of 0.2 mm fills it"],
    ),
    "all leave more than was there": (
        ({"kind": "semi-finish", "tried": {"stock_left": ["0.5 mm", "0.6 mm"]}}, OPEN),
        {"before": m.Before(stock="0.5 mm")}, ImpossibleJobError,
        ["operations[0] (semi-finish): none", "stock_left: given 0.5 mm; it is no less than what the operation before"],
    ),
    "too thick stairs": (
        ({"kind": "rough", "cutter": "B8", "stock_left": "0.2 mm", "slope_step": "2 mm"}, LAST), {"pocket": SLOPED},
        ImpossibleJobError, ["operations[0] (rough): whatever stock it leaves", "smaller steps"],
    ),
    "too much in the corners": (
        (ROUGH | {"cutter": "B16"}, LAST), {}, ImpossibleJobError, ["operations: every combination fails", "corners"],
    ),
    "too large for the fillet": (
        (OPEN,), {"before": m.Before(stock="0.1 mm"), "pocket": {"fillet_radius": "2 mm"}}, ImpossibleJobError,
        ["operations: every combination fails", "cutter too large"],
    ),
    "an unknown material": (
        ({"kind": "rough"}, LAST), {"material": "nosuch"}, ImpossibleJobError, ["operations[0] (rough)", "'nosuch'"],
    ),
    "half a ball before": (
        (OPEN,), {"before": m.Before(stock="0.1 mm", previous_diameter="8 mm")}, ImpossibleJobError,
        ["operations[0] (finish): none", "both the ball's diameter and the stepover"],
    ),
    "too many combinations": (
        (ROUGH | {"tried": HUGE}, SEMIS, OPEN), {"drawer": BALLS | {"E12": flat(12)}}, JobError,
        ["operations: given 9.6e+07 combinations (1000000 x 4 x 24)", "up to 5e+07", "`tried`"],
    ),
    "Rz wanted": (
        (OPEN,), {"before": m.Before(stock="1 mm"), "finish": m.Finish(rz="4 um", form_tolerance="1 mm")}, JobError,
        ["finish.rz: the front needs Ra, a grade or a scallop height"],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", list(FAILS))
def test_what_cannot_be_searched_names_the_operation_and_why(name):
    steps, changes, error, parts = FAILS[name]
    with pytest.raises(error) as caught:
        search_drawer(route(*steps, **{"drawer": BALLS} | changes))
    assert type(caught.value) is error
    assert len(caught.value.faults) == 1
    for part in parts:
        assert part in str(caught.value)


@pytest.mark.parametrize(
    "finishes", [None, "abc", ["a"], [0], [-1], [float("nan")], [float("inf")], [None], [True], {}, ["1"]]
)
def test_multiples_are_numbers_above_0(finishes):
    with pytest.raises(ArgumentError) as caught:
        search_drawer(route(LAST, before=m.Before(stock="0.1 mm")), finishes)
    (fault,) = caught.value.faults
    assert fault.where == "finishes"
    assert all((fault.given, fault.accepted, fault.example))


@pytest.mark.parametrize("given", [None, "route.toml", 5, m.example_job()])
def test_what_is_no_route_is_not_searched(given):
    with pytest.raises(ArgumentError) as caught:
        search_drawer(given)
    assert "a Route; read_route" in caught.value.faults[0].accepted
