"""Operations and routes: what they accept, what contradicts itself in them, and messages that name the field."""

import tomllib

import pytest
from route_jobs import CORNERS, DRAWER, LAST, MACHINE, POCKET, ROUGH, SEMI, route

import millcalc as m
from millcalc.errors import JobError


def faults_of(make, *given, **named):
    with pytest.raises(JobError) as caught:
        make(*given, **named)
    return list(map(str, caught.value.faults))


# --- operations ------------------------------------------------------------------------------------------------------

LISTS = {"ra": "0.8 um", "scallop_height": "5 um", "stock_left": "0.1 mm", "slope_step": "0.5 mm", "depth_share": 0.1}
TRIED = {  # what the search tries of each kind
    "rough": {"stock_left", "slope_step", "depth_share", "style"},
    "corners": {"depth_share"},
    "semi-finish": {"stock_left", "scallop_height"},
    "finish": {"ra", "scallop_height"},
}
KINDS = list(TRIED)
OPERATIONS = {  # what is given; how the one message begins, and what else it says
    "no kind": ({"kind": None}, "kind: given None; it is none of the words", ["'rough'", "'finish'"]),
    "a kind nobody knows": ({"kind": "roughing"}, "kind: given 'roughing'", ["nearest: rough"]),
    "a number for a cutter": ({"cutter": 5}, "cutter: given 5; it is neither a name nor a cutter", ['"E12"']),
    "a list for a cutter": ({"cutter": []}, "cutter: given []; it is neither", []),
    "a number for a name": ({"name": 5}, "name: given 5; it is not str", []),
    "a style of another job": ({"style": "corners"}, "style: given 'corners'", ["'light radial'"]),
    "an entry nobody knows": ({"entry": "plunge"}, "entry: given 'plunge'", ["'ramp'"]),
    "a field nobody knows": ({"stok_left": "1 mm"}, "stok_left: there is no such field (nearest: stock_left", []),
    "scallop of a rough": (
        {"scallop_height": "5 um"},
        "scallop_height: given 5 um; an operation of the kind",
        ["'rough'"],
    ),
    "scallop of corners": (CORNERS | {"scallop_height": "5 um"}, "scallop_height: given 5 um", ["'corners' has none"]),
    "scallop of a finish": (LAST | {"scallop_height": "5 um"}, "scallop_height: given 5 um", ["'finish' has none"]),
    "stock of corners": (CORNERS | {"stock_left": "0.1 mm"}, "stock_left: given 0.1 mm", ["'corners' has none"]),
    "stock of a finish": (LAST | {"stock_left": "0.1 mm"}, "stock_left: given 0.1 mm", ["'finish' has none"]),
    "slopes of corners": (CORNERS | {"slope_step": "0.1 mm"}, "slope_step: given 0.1 mm", ["'corners' has none"]),
    "slopes of a semi-finish": (
        SEMI | {"slope_step": "0.1 mm"},
        "slope_step: given 0.1 mm",
        ["'semi-finish' has none"],
    ),
    "style of a finish": (LAST | {"style": "light radial"}, "style: given light radial; it belongs to roughing", []),
    "entry of corners": (CORNERS | {"entry": "ramp"}, "entry: given ramp; it belongs to roughing", []),
    "a name nobody knows, fixed": ({"fixed": {"axial_deph": 1}}, "fixed.axial_deph: there is no such", ["axial_depth"]),
    "fixed of another kind": (LAST | {"fixed": {"axial_depth": "1 mm"}}, "fixed.axial_depth: there is no such", []),
    "assumed of another kind": ({"assumed": {"scallop_share": 0.5}}, "assumed.scallop_share: there is no such", []),
    "assumed of a finish": (LAST | {"assumed": {"depth_share": 0.5}}, "assumed.depth_share: there is no such", []),
    "no unit, fixed": ({"fixed": {"axial_depth": 1}}, "fixed.axial_depth: given 1; a length", ['"12 mm"']),
    "NaN, fixed": ({"fixed": {"axial_depth": float("nan")}}, "fixed.axial_depth: given nan", ["accepted"]),
    "too much, assumed": ({"assumed": {"width_share": 1.5}}, "assumed.width_share: given 1.5; it lies outside", []),
    "negative, assumed": ({"assumed": {"depth_share": -1}}, "assumed.depth_share: given -1; it lies outside", []),
    "a key that is no text": ({"fixed": {1: 1}}, "fixed: given 1; a name is a text", []),
}


@pytest.mark.parametrize("name", list(OPERATIONS))
def test_an_operation_says_what_it_cannot_take(name):
    given, start, parts = OPERATIONS[name]
    (fault,) = faults_of(
        m.Operation, **ROUGH | given if "kind" not in given or given["kind"] in (None, "roughing") else given
    )
    assert fault.startswith(start)
    assert all(part in fault for part in parts)


@pytest.mark.parametrize("field", ["stock_left", "slope_step"])
@pytest.mark.parametrize(
    "value", ["0 mm", "-1 mm", 1, "nan mm", float("nan"), float("inf"), "1 deg", "", [], {}, ["1 mm", "2 mm"], True]
)
def test_an_operation_refuses_every_length_that_is_none(field, value):
    (fault,) = faults_of(m.Operation, **ROUGH | {field: value})
    assert fault.startswith(f"{field}: given ")
    assert "accepted: a quantity or text in mm" in fault
    assert 'for example "12 mm"' in fault


@pytest.mark.parametrize("field", ["fixed", "assumed", "tried"])
@pytest.mark.parametrize("value", [[], ["a"], "stepover", 5, float("nan"), {1, 2}])
def test_mappings_are_mappings(field, value):
    (fault,) = faults_of(m.Operation, **ROUGH | {field: value})
    assert fault.startswith(f"{field}: given ")
    assert "it must be a mapping of names and values" in fault


def test_everything_wrong_in_an_operation_stands_in_one_error():
    given = {"scallop_height": "1 um", "slope_step": "1 mm", "style": "light radial", "cutter": 5, "fixed": {"a": 1}}
    found = faults_of(m.Operation, kind="finish", **given, tried={"style": ["full width"], "ra": []})
    starts = ("fixed.a", "tried.style", "tried.ra", "cutter", "scallop_height", "slope_step", "style")
    assert [fault.split(":")[0] for fault in found] == list(starts)


# --- what the search shall try ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", [*LISTS, "style", "nosuch"])
def test_each_kind_tries_what_it_can_choose(kind, name):
    tried = {name: ["light radial"] if name == "style" else [LISTS.get(name, 1)]}
    if name in TRIED[kind]:
        assert m.Operation(kind=kind, tried=tried).tried == tried
        return
    (fault,) = faults_of(m.Operation, kind=kind, tried=tried)
    assert fault.startswith(f"tried.{name}: the search does not try it of an operation of the kind {kind!r}")
    accepted, example = fault.split("; accepted: ")[1].split(", for example ")
    assert set(accepted.split(", ")) == TRIED[kind]
    assert m.Operation(kind=kind, tried=tomllib.loads(example)).tried  # the example is one


@pytest.mark.parametrize("name", [*LISTS, "style"])
@pytest.mark.parametrize("values", ["0.3 mm", 5, None, 0.5, {"a": 1}, float("nan")])
def test_what_is_tried_is_a_list(name, values):
    kind = next(k for k in KINDS if name in TRIED[k])
    (fault,) = faults_of(m.Operation, kind=kind, tried={name: values})
    assert fault.startswith(f"tried.{name}: given ")
    assert f"it must be a list, for example {name} = [" in fault


@pytest.mark.parametrize("name", [*LISTS, "style"])
def test_what_is_tried_is_something(name):
    kind = next(k for k in KINDS if name in TRIED[k])
    for empty in ([], (), iter([])):
        (fault,) = faults_of(m.Operation, kind=kind, tried={name: empty})
        assert fault.startswith(f"tried.{name}: the list is empty, for example {name} = [")


@pytest.mark.parametrize("name", LISTS)
@pytest.mark.parametrize(
    "value", [None, "x", "1 deg", float("nan"), float("inf"), -1, 0, "0 mm", "-1 mm", [], "1e999 mm", True]
)
def test_each_value_that_is_tried_is_one(name, value):
    kind = next(k for k in KINDS if name in TRIED[k])
    (fault,) = faults_of(m.Operation, kind=kind, tried={name: [LISTS[name], value]})
    assert fault.startswith(f"tried.{name}: given ")
    assert "; accepted: " in fault
    assert ", for example " in fault


@pytest.mark.parametrize("value", ["corners", "full", None, 5, ["full width"]])
def test_each_style_that_is_tried_is_one(value):
    (fault,) = faults_of(m.Operation, kind="rough", tried={"style": ["full width", value]})
    assert fault.startswith("tried.style: given ")
    assert "accepted: 'full width' or 'light radial', for example style = [\"light radial\"]" in fault


def test_a_finish_is_tried_in_the_measure_of_the_one_wanted():
    before = {"before": m.Before(stock="0.1 mm")}
    (fault,) = faults_of(route, LAST | {"tried": {"scallop_height": ["2 um"]}}, **before)
    assert fault == "operations[0].tried.scallop_height: the finish wanted is told by ra; accepted: ra"
    wanted = m.Finish(scallop_height="2 um", form_tolerance="0.02 mm")
    (fault,) = faults_of(route, LAST | {"tried": {"ra": ["2 um"]}}, finish=wanted, **before)
    assert fault.endswith("told by scallop_height; accepted: scallop_height")


# --- routes ----------------------------------------------------------------------------------------------------------

BEFORE = {"before": m.Before(stock="0.5 mm")}
ROUTES = {  # operations, what is changed; how the one message begins, and what else it says
    "no operation": ((), {}, "operations: a route needs an operation", []),
    "a semi-finish before a rough": (
        (SEMI, ROUGH),
        BEFORE,
        "operations[1].kind: given rough",
        ["cannot follow 'semi-"],
    ),
    "corners after a semi-finish": ((ROUGH, SEMI, CORNERS), {}, "operations[2].kind: given corners", ["cannot follow"]),
    "two roughs": ((ROUGH, ROUGH), {}, "operations[1].kind: given rough", ["cannot follow 'rough'", "rough, corners"]),
    "two finishes": ((ROUGH, LAST, LAST), {}, "operations[2].kind: given finish", ["cannot follow 'finish'"]),
    "no pocket": ((ROUGH,), {"pocket": None}, "pocket: operations of the kind rough need it", []),
    "no surface": ((ROUGH, SEMI, LAST), {"surface": None}, "surface: operations of the kind finish or semi-finish", []),
    "no finish": ((ROUGH, SEMI), {"finish": None}, "finish: operations of the kind semi-finish need it", []),
    "no stock before": ((LAST,), {}, "before: without roughing, the stock before the first operation", ['"0.3 mm"']),
    "stock before roughing": ((ROUGH,), BEFORE, "before: a route that begins with roughing begins with the solid", []),
    "an unknown name": ((ROUGH | {"cutter": "E13"},), {}, "operations[0].cutter: given 'E13'", ["E12, C12, E6"]),
    "a name without a drawer": ((ROUGH,), {"drawer": None}, "operations[0].cutter: given 'E12'", ["a drawer with"]),
    "nothing to choose from": (
        (ROUGH | {"cutter": None},),
        {"drawer": {}},
        "operations[0].cutter: no cutter",
        ["empty"],
    ),
    "no cutter in the drawer": ((ROUGH,), {"drawer": DRAWER | {"X": 5}}, "drawer.X: given 5; it is no cutter", []),
    "a key that is no text": (
        (ROUGH,),
        {"drawer": DRAWER | {1: DRAWER["E12"]}},
        "drawer: given 1; a name is a text",
        [],
    ),
    "two finishes wanted": (
        (ROUGH, LAST),
        {"finish": m.Finish(ra="1 um", rz="4 um", form_tolerance="0.1 mm")},
        "finish: given ra and rz",
        ["grade"],
    ),
    "no finish wanted": ((ROUGH, LAST), {"finish": m.Finish(form_tolerance="0.1 mm")}, "finish: given none", ["ra ="]),
    "a negative time": ((ROUGH,), {"tool_change_time": "-1 s"}, "tool_change_time: given '-1 s'", ["from 0 min"]),
    "NaN for a time": ((ROUGH,), {"tool_change_time": float("nan")}, "tool_change_time: given nan", ["accepted"]),
    "a time without end": (
        (ROUGH,),
        {"tool_change_time": "1e999 h"},
        "tool_change_time: given '1e999 h'",
        ["accepted"],
    ),
    "no machine": ((ROUGH,), {"machine": None}, "machine: given None; it is not Machine", []),
    "words for a machine": ((ROUGH,), {"machine": "mill"}, "machine: given 'mill'; it is not Machine", []),
    "settings nobody knows": ((ROUGH,), {"settings": "imperial"}, "settings: given 'imperial'", ["'inch'"]),
    "a field nobody knows": ((ROUGH,), {"pockt": 1}, "pockt: there is no such field (nearest: pocket", []),
}


@pytest.mark.parametrize("name", list(ROUTES))
def test_a_route_says_what_contradicts_itself(name):
    steps, changes, start, parts = ROUTES[name]

    def make():
        made = {"material": "42CrMo4", "machine": MACHINE, "drawer": DRAWER, "pocket": m.Pocket(**POCKET)}
        made |= {
            "surface": m.Surface(width="9 mm", length="9 mm"),
            "finish": m.Finish(ra="1 um", form_tolerance="1 mm"),
        }
        m.Route(operations=[m.Operation(**s) for s in steps], **made | changes)

    (fault,) = faults_of(make)
    assert fault.startswith(start)
    assert all(part in fault for part in parts)


def test_corners_do_not_come_first():
    found = faults_of(route, CORNERS, LAST)
    assert [f.split(":")[0] for f in found] == ["operations[0].kind", "before"]
    assert '"rough" first' in found[0]


@pytest.mark.parametrize("given", [None, "abc", 5, {}, float("nan"), b"abc"])
def test_operations_are_a_list(given):
    with pytest.raises(JobError) as caught:
        m.Route(material="42CrMo4", machine=MACHINE, operations=given)
    assert str(caught.value.faults[0]).startswith("operations")


def test_what_is_no_operation_is_named_by_its_place():
    made = [m.Operation(kind="rough"), "rough", {"kind": "rough"}]
    found = faults_of(m.Route, material="42CrMo4", machine=MACHINE, operations=made)
    assert [f.split(":")[0] for f in found] == ["operations[1]", "operations[2]"]


def test_a_drawer_is_a_mapping():
    found = faults_of(route, ROUGH, drawer=[DRAWER["E12"]])
    assert found[0].startswith("drawer: given [FlatEndMill")
    assert "mapping of names and cutters" in found[0]


def test_operations_may_come_from_an_iterator():
    steps = [m.Operation(**s) for s in (ROUGH, LAST)]
    made = route(ROUGH).with_(operations=iter(steps))
    assert made.steps == tuple(steps)
    assert made.with_(part="again").steps == tuple(steps)


@pytest.mark.parametrize(
    ("step", "is_open"),
    [
        (ROUGH, False),
        (ROUGH | {"cutter": None}, True),
        (ROUGH | {"cutter": DRAWER["E6"]}, False),
        (ROUGH | {"stock_left": None}, True),
        (ROUGH | {"tried": {"stock_left": ["0.1 mm"]}}, True),
        (ROUGH | {"tried": {}}, False),
    ],
)
def test_a_route_is_open_where_the_search_has_to_choose(step, is_open):
    assert route(step).is_open is is_open
    assert route(step | {"stock_left": "1 mm"}, CORNERS, SEMI | {"stock_left": None}, LAST).is_open is True
