"""The search of a drawer against every combination, planned one by one as a route of its own."""

from __future__ import annotations

import itertools

import pytest

import millcalc as m
from millcalc.errors import ImpossibleJobError, JobError
from millcalc.quantities.record import number

ROUTE = m.example_route()
E12 = ROUTE.cutters["E12"].with_(overhang=None)
LIGHT = ROUTE.with_(
    drawer={n: ROUTE.cutters[n].with_(overhang=None) for n in ("B8", "B6")},
    machine=m.Machine(largest_spindle_speed="18000 rpm", largest_feed_rate="8 m/min"),
    operations=[
        m.Operation(kind="rough", cutter=E12, slope_step="0.5 mm", tried={"stock_left": ["0.4 mm", "0.6 mm"]}),
        m.Operation(kind="semi-finish", tried={"stock_left": ["0.1 mm"], "scallop_height": ["20 um"]}),
        m.Operation(kind="finish"),
    ],
)
FINISHES = (1.0, 2.0)


def by_hand(rough, semi, finish, ra):
    return LIGHT.with_(
        operations=[
            m.Operation(kind="rough", cutter=E12, stock_left=rough, slope_step="0.5 mm"),
            m.Operation(kind="semi-finish", cutter=semi, stock_left="0.1 mm", scallop_height="20 um"),
            m.Operation(kind="finish", cutter=finish),
        ],
        finish=LIGHT.finish.with_(ra=f"{ra!r} um"),
    )


@pytest.fixture(scope="module")
def searched():
    return m.search_drawer(LIGHT, FINISHES)


@pytest.fixture(scope="module")
def combinations():
    """The time of every combination; those that fail, or hand over too little, are left out."""
    found = {}
    finishes = [0.8 * f for f in FINISHES]
    for case in itertools.product(("0.4 mm", "0.6 mm"), LIGHT.cutters, LIGHT.cutters, finishes):
        try:
            made = m.plan_route(by_hand(*case))
        except (ImpossibleJobError, JobError):
            continue
        names = {c.name for c in made.cautions if c.rank != "note"}
        if not names & {"stock_not_covered", "corners_too_deep", "cutter_above_fillet"}:
            found[case] = number(made, "total_time")
    return found


def test_it_finds_what_every_combination_one_by_one_finds(searched, combinations):
    assert searched.combinations == 2 * 2 * (2 * 2)
    assert searched.possible == len(combinations) > 1
    for point in searched.front:
        best = min(t for (*_, ra), t in combinations.items() if ra == point.finish)
        assert point.time == pytest.approx(best, rel=1e-6)
        rough, semi, finish = point.options
        alone = by_hand(f"{rough.values['stock_left']!r} mm", semi.name, finish.name, point.finish)
        assert number(m.plan_route(alone), "total_time") == pytest.approx(best, rel=1e-6)
    wanted = min(t for (*_, ra), t in combinations.items() if ra == 0.8)
    assert number(searched.best, "total_time") == pytest.approx(wanted, rel=1e-6)


def test_the_front_has_no_point_that_a_finer_one_does_as_fast(searched):
    times = [p.time for p in searched.front]
    finishes = [p.finish for p in searched.front]
    assert finishes == sorted(finishes)
    assert all(one > other for one, other in itertools.pairwise(times))


def test_a_drawer_that_cannot_do_it_says_so():
    with pytest.raises(ImpossibleJobError, match="no route can be cut"):
        m.search_drawer(LIGHT.with_(drawer={"B10": ROUTE.cutters["B10"]}), (1.0,))


def test_the_page_of_a_search(searched):
    page = m.front_page(searched)
    assert page.startswith("TIME AGAINST FINISH (16 combinations")
    assert all(word in page for word in ("TAKEN FOR THE FINISH WANTED", "stock left 0.", "HAND-OVERS"))
