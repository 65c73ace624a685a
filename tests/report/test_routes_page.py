"""The pages of a route and of a drawer search: every number of the plans, in metric and in inch."""

import re

import pytest
from route_jobs import LAST, ROUGH, SEMI, ball, route

import millcalc as m
from millcalc.errors import ArgumentError
from millcalc.planning import plan_route, search_drawer
from millcalc.planning.cautions import SAFETY
from millcalc.quantities.display import quantity_text
from millcalc.quantities.kinds import LENGTH, TIME
from millcalc.quantities.record import number
from millcalc.report import front_page, route_page

DRAWER = {"B8": ball(8, overhang="50 mm"), "B6": ball(6)}
BALLS = {"B12": ball(12), "B6": ball(6)}
BEFORE = {"before": m.Before(stock="0.5 mm"), "drawer": DRAWER}


@pytest.fixture(scope="module")
def uncovered():
    """Scallops nearly as high as the stock, and a cutter larger than the fillet."""
    steps = (SEMI | {"scallop_height": "90 um"}, LAST)
    return plan_route(route(*steps, part="Insert (invented)", pocket={"fillet_radius": "2 mm"}, **BEFORE))


@pytest.fixture(scope="module")
def searched():
    step = {"kind": "finish", "tried": {"ra": ["0.4 um", "0.8 um", "1.6 um"]}}
    return search_drawer(route(ROUGH | {"cutter": "B12"}, step, drawer=BALLS))


def blocks_of(page):
    return {block.split("\n")[0].split(" (")[0].split(":")[0]: block.split("\n") for block in page.split("\n\n")}


def cells(line):
    return re.split(r"  +", line.strip())


def test_the_head_states_times_and_changes(uncovered):
    head = blocks_of(route_page(uncovered))["ROUTE"]
    assert head[0] == "ROUTE: Insert (invented)"
    assert "42CrMo4, ISO 513 P" in head[1]
    total, cutting = (quantity_text(number(uncovered, n), TIME, digits=3) for n in ("total_time", "cutting_time"))
    assert f"{total} 0:17 h, a lower bound" in head[2]
    assert f"{cutting} for the operations, 0.2 min for 1 tool change" in head[3]
    assert "changes" not in head[3]


def test_every_operation_has_a_row_with_what_its_plan_says(searched):
    made = searched.best
    rows = blocks_of(route_page(made))["OPERATIONS"][2:]
    names = [("axial_depth", "radial_width"), ("greatest_depth", "stepover")]
    assert [cells(row)[0] for row in rows] == list(made.names)
    for row, plan, sizes in zip(rows, made.plans, names, strict=True):
        found = cells(row)
        assert found[2:4] == [f"{number(plan, 'spindle_speed'):g} rev/min", f"{number(plan, 'feed_rate'):g} mm/min"]
        assert found[4:6] == [quantity_text(number(plan, n), LENGTH, digits=4) for n in sizes]
        assert found[6] == quantity_text(number(plan, "operation_time"), TIME, digits=4)


def test_hand_overs_and_their_cautions_are_told(uncovered):
    page = blocks_of(route_page(uncovered))
    (over,) = uncovered.hand_overs
    row = cells(page["HAND-OVERS"][2])
    assert row[0] == "semi-finish to finish"
    lengths = [quantity_text(number(over, n), LENGTH, digits=3) for n in ("stock", "unevenness", "needed")]
    assert [row[1], row[2], row[5]] == lengths
    assert (row[6], row[9]) == ("exceeded", "kept")
    # (8 - 6)/2 (sqrt(2) - 1) = 0.414 mm, and a quarter of 6 mm
    assert row[7:9] == ["0.414 mm", "1.5 mm"]
    told = page["CAUTIONS"]
    assert told[1].endswith(
        f"semi-finish leaves 0.1 mm; stairs or scallops, deflection and tolerance need {row[5]}: exceeded"
    )
    assert told[2].startswith("  CAUTION: the last cutter, radius 3 mm, does not fit the fillet of 2 mm")
    assert any(line.startswith("  CAUTION, semi-finish: the overhang is above 5 diameters") for line in told)
    assert not any("NOTE" in line for line in told)


def test_the_safety_lines_end_every_page(uncovered, searched):
    for page in (route_page(uncovered), route_page(uncovered, "inch"), front_page(searched)):
        assert page.endswith("\n".join(SAFETY))


def test_a_single_operation_hands_nothing_over():
    page = route_page(plan_route(route(LAST, **BEFORE)))
    assert "HAND-OVERS" not in page
    assert page.startswith("ROUTE\n")
    assert "0 min for 0 tool changes" in page


def test_the_front_lists_what_more_time_buys(searched):
    page = blocks_of(front_page(searched))
    head = page["TIME AGAINST FINISH"]
    assert head[0] == "TIME AGAINST FINISH (6 combinations, 3 of them within all limits)"
    assert cells(head[1]) == ["Ra", "time", "rough", "finish"]
    assert len(searched.front) == len(head) - 2 == 3
    for line, choice in zip(head[2:], searched.front, strict=True):
        assert cells(line) == [f"{choice.finish:g} um", quantity_text(choice.time, TIME, digits=4), *choice.words()]
    taken = page["TAKEN FOR THE FINISH WANTED"]
    assert cells(taken[1]) == ["rough", "B12", "stock left 0.5 mm, style full width"]
    assert cells(taken[2]) == ["finish", searched.choice.words()[1], "Ra 0.8 um"]
    assert front_page(searched).endswith(route_page(searched.best))


def test_the_front_of_scallops_and_of_no_finish():
    wanted = m.Finish(scallop_height="3 um", form_tolerance="0.02 mm")
    page = front_page(search_drawer(route(LAST, finish=wanted, **BEFORE), [2]))
    assert cells(page.split("\n")[1]) == ["scallop", "time", "finish"]
    assert [cells(line)[0] for line in page.split("\n")[2:4]] == ["3 um", "6 um"]
    assert "  finish  B6  scallop 3 um\n" in page
    tried = {"depth_share": [0.2], "stock_left": ["0.5 mm"], "slope_step": ["1 mm"], "style": ["light radial"]}
    page = front_page(
        search_drawer(route(ROUGH | {"cutter": "B12", "tried": tried}, drawer=BALLS, pocket={"slope_from": "30 deg"}))
    )
    assert cells(page.split("\n")[2])[0] == "-"
    assert "stock left 0.5 mm, slope step 1 mm, depth share 0.2, style light radial" in page


def test_pages_in_inches(uncovered, searched):
    page = route_page(uncovered, "inch")
    assert not re.search(r"\d (mm|um)\b", page)
    row = cells(blocks_of(page)["HAND-OVERS"][2])
    assert row[1] == "0.00394 in"  # 0.1/25.4
    assert not re.search(r"\d (mm|um)\b", front_page(searched, "inch"))
    assert "31.5 uin" in front_page(searched, "inch")  # 0.8/0.0254
    assert route_page(uncovered) == route_page(uncovered, "metric")
    with m.units("inch"):
        assert route_page(uncovered) == page


def test_braces_in_a_name_are_kept():
    steps = (SEMI | {"scallop_height": "90 um", "name": "crown {0} {x}"}, LAST)
    assert "CAUTION: crown {0} {x} leaves 0.1 mm; " in route_page(plan_route(route(*steps, **BEFORE)))


@pytest.mark.parametrize("system", ["imperial", 5])
def test_a_system_nobody_knows(uncovered, searched, system):
    for made, page in ((uncovered, route_page), (searched, front_page)):
        with pytest.raises(ArgumentError) as caught:
            page(made, system)
        assert "metric" in str(caught.value)
