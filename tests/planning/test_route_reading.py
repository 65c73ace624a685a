"""Route files: what is read, and errors that name file, table and key, all of them at once."""

import pytest

import millcalc as m
from millcalc.errors import FileError, JobError, MillcalcError
from millcalc.planning import example_route, example_route_text, example_text, plan_route, read_job, read_route
from millcalc.planning.routes.reading import route_from_text
from millcalc.quantities.record import number

TEXT = example_route_text()


def faults_of(make, *given, **named):
    with pytest.raises(JobError) as caught:
        make(*given, **named)
    return list(map(str, caught.value.faults))


def with_lines(*pairs):
    """Return the shipped file with texts replaced; each stands in it once."""
    text = TEXT
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def table(name):
    """Return a table of the shipped file, with its head."""
    start = TEXT.index(f"[{name}]")
    return TEXT[start : TEXT.index("\n[", start) + 1] if "\n[" in TEXT[start:] else TEXT[start:]


OPERATION_TABLES = TEXT[TEXT.index("[[operations]]") : TEXT.index("[drawer.R16]")]
DRAWER_TABLES = TEXT[TEXT.index("[drawer.R16]") :]
PART = 'part = "Press-tool insert, pocket (invented)"'


def test_the_shipped_file_says_what_its_records_say(tmp_path):
    path = tmp_path / "route.toml"
    path.write_text(TEXT, encoding="utf-8")
    made = read_route(path)
    assert made == read_route(str(path)) == example_route()
    drawer = {name: m.BallEndMill(diameter=f"{d} mm", teeth=2, overhang=f"{4 * d} mm")
              for name, d in (("B10", 10), ("B8", 8), ("B6", 6))}  # fmt: skip
    corner = {"R16": ("16 mm", "3 mm", "50 mm"), "E12": ("12 mm", "1 mm", "40 mm"), "E6": ("6 mm", "0.5 mm", "24 mm")}
    for name, (diameter, radius, overhang) in corner.items():
        drawer[name] = m.CornerRadiusEndMill(diameter=diameter, corner_radius=radius, teeth=4, overhang=overhang)
    steps = [
        m.Operation(kind="rough", cutter="E12", stock_left="0.5 mm", slope_step="0.5 mm"),
        m.Operation(kind="corners", cutter="E6", assumed={"depth_share": 0.08}),
        m.Operation(kind="semi-finish", cutter="B8", stock_left="0.1 mm", scallop_height="15 um"),
        m.Operation(kind="finish", cutter="B6"),
    ]
    assert made.steps == tuple(steps)
    assert made.cutters == drawer
    assert made.pocket == m.Pocket(
        width="50 mm", length="90 mm", depth="14 mm", slope_from="20 deg", slope_to="50 deg", corner_angle="90 deg",
        fillet_radius="4 mm", sides="closed",
    )  # fmt: skip
    assert number(made, "tool_change_time") == 0.2
    assert (made.part, made.material) == ("Press-tool insert, pocket (invented)", "42CrMo4")
    assert made.axis == m.Axis(lead="10 deg")


def test_a_cutter_may_stand_in_its_operation_and_lists_be_tried():
    inline = 'cutter = { family = "ball", diameter = "5 mm", teeth = 2 }\ntried = { ra = ["0.4 um", "0.8 um"] }'
    made = route_from_text(with_lines(('cutter = "B6"', inline)))
    assert made.steps[3].cutter == m.BallEndMill(diameter="5 mm", teeth=2)
    assert made.steps[3].tried == {"ra": ["0.4 um", "0.8 um"]}
    assert made.is_open
    without = route_from_text(TEXT.replace(OPERATION_TABLES, '[[operations]]\nkind = "finish"\ncutter = "B6"\n')
                              + '[before]\nstock = "0.1 mm"\n')  # fmt: skip
    assert number(without.before, "stock") == 0.1


FILES = {  # texts replaced; each message, in its order, how it begins and what else it says
    "a table nobody knows": ([("[pocket]", "[pockt]")], [("pockt: unknown (nearest: pocket)", "")]),
    "a key nobody knows": ([("slope_step", "slop_step")], [("[[operations]] 1 slop_step: there is no", "slope_step")]),
    "a key of the pocket": (
        [("fillet_radius", "filet_radius")],
        [("[pocket] filet_radius: there is", "fillet_radius")],
    ),
    "a kind nobody knows": (
        [('kind = "rough"', 'kind = "roughing"')],
        [("[[operations]] 1 kind: given", "nearest: rough")],
    ),
    "no kind": ([('kind = "corners"\n', "")], [("[[operations]] 2 kind: it is missing", "")]),
    "no unit": (
        [('stock_left = "0.5 mm"', "stock_left = 0.5")],
        [("[[operations]] 1 stock_left: given 0.5", '"12 mm"')],
    ),
    "NaN": ([('stock_left = "0.5 mm"', "stock_left = nan")], [("[[operations]] 1 stock_left: given nan", "accepted")]),
    "no such cutter": ([('cutter = "E6"', 'cutter = "E7"')], [("[[operations]] 2 cutter: given 'E7'", "E12, E6, B10")]),
    "a number for a cutter": ([('cutter = "E6"', "cutter = 6")], [("[[operations]] 2 cutter: given 6", "neither")]),
    "a bad cutter in an operation": (
        [('cutter = "B6"', 'cutter = { diametr = "5 mm", teeth = 2 }')],
        [
            ("[[operations]] 4 cutter.diametr: there is", "diameter"),
            ("[[operations]] 4 cutter.diameter: it is miss", ""),
        ],
    ),
    "a bad cutter in the drawer": (
        [('[drawer.B10]\ndiameter = "10 mm"', '[drawer.B10]\ndiameter = "0 mm"')],
        [("[drawer.B10] diameter: given '0 mm'; it lies outside", '"12 mm"')],
    ),
    "a family nobody knows": (
        [('[drawer.E6]\nfamily = "corner radius"', '[drawer.E6]\nfamily = "corner radus"')],
        [("[drawer.E6] family: given 'corner radus'", "nearest: corner radius")],
    ),
    "a number in the drawer": (
        [(DRAWER_TABLES, "[drawer]\nE12 = 12\n")],
        [("[drawer.E12]: given 12; it must be a t", "")],
    ),
    "a list for a drawer": (
        [(DRAWER_TABLES, ""), (PART, "drawer = [1]")],
        [("drawer: given [1]; it must be a table", "")],
    ),
    "no drawer": (
        [(DRAWER_TABLES, "")],
        [(f"[[operations]] {i} cutter: given {c!r}", "a drawer") for i, c in enumerate(("E12", "E6", "B8", "B6"), 1)],
    ),
    "no operations": ([(OPERATION_TABLES, "")], [("operations: it is missing", "")]),
    "an empty list": ([(OPERATION_TABLES, ""), (PART, "operations = []")], [("operations: a route needs", "")]),
    "numbers for operations": (
        [(OPERATION_TABLES, ""), (PART, "operations = [1]")],
        [("operations: given [1]", "[[oper")],
    ),
    "a table for operations": (
        [(OPERATION_TABLES, '[operations]\nkind = "rough"\n')],
        [("operations: given {'kind': 'rough'}", "a list of tables")],
    ),
    "a list for a pocket": (
        [("[pocket]", "[[pocket]]")],
        [("pocket: given [{'width'", "it must be a table, [pocket]")],
    ),
    "a text for a machine": ([(table("machine"), ""), (PART, 'machine = "x"')], [("machine: given 'x'", "[machine]")]),
    "no machine": ([(table("machine"), "")], [("machine: it is missing", "")]),
    "no material": ([('material = "42CrMo4"', "")], [("material: it is missing", "")]),
    "a number for a material": ([('"42CrMo4"', "5")], [("material: given 5; it must be a text", "")]),
    "a material nobody knows": ([("42CrMo4", "42CrMo5")], [("material: given '42CrMo5'", "nearest: 42CrMo4")]),
    "a number for the part": ([(PART, "part = 5")], [("part: given 5", "")]),
    "a bare time": ([('"0.2 min"', "0.2")], [("tool_change_time: given 0.2; a time needs a unit", "min, s, h")]),
    "no pocket": ([(table("pocket"), "")], [("pocket: operations of the kind corners or rough need it", "")]),
    "wrong order": (
        [('kind = "rough"', 'kind = "semi-finish"'), ('slope_step = "0.5 mm"', "#")],
        [("[[operations]] 2 kind: given corners; it cannot follow", "rough, corners"), ("before: without rough", "")],
    ),
    "stock before roughing": (
        [("[machine]", '[before]\nstock = "1 mm"\n[machine]')],
        [("before: a route that begins", "")],
    ),
    "fixed for another kind": (
        [('cutter = "B6"', 'cutter = "B6"\nfixed = { axial_depth = "1 mm" }')],
        [("[[operations]] 4 fixed.axial_depth: there is no such field", "")],
    ),
    "tried without a list": (
        [('cutter = "B6"', 'tried = { ra = "0.8 um" }')],
        [("[[operations]] 4 tried.ra: given '0.8 um'; it must be", "a list")],
    ),
    "tried in the wrong measure": (
        [('cutter = "B6"', 'tried = { scallop_height = ["1 um"] }')],
        [("[[operations]] 4 tried.scallop_height: the finish wanted is told by ra", "accepted: ra")],
    ),
    "many things": (
        [('"0.2 min"', '"-1 min"'), ('kind = "finish"', 'kind = "finsh"'), ("[surface]", "[surfce]")],
        [
            ("surfce: unknown", "surface"),
            ("[[operations]] 4 kind: given 'finsh'", "finish"),
            ("tool_change_time: given", ""),
        ],
    ),
}


@pytest.mark.parametrize("name", list(FILES))
def test_a_bad_file_names_file_table_and_key(name):
    pairs, expected = FILES[name]
    found = faults_of(route_from_text, with_lines(*pairs), "part.toml")
    assert len(found) == len(expected), found
    for fault, (start, part) in zip(found, expected, strict=True):
        assert fault.startswith(f"part.toml: {start}"), found
        assert part in fault


@pytest.mark.parametrize(
    ("content", "parts"),
    [
        (None, ["route.toml", "No such file"]),
        (b"a = [", ["route.toml", "it is not TOML"]),
        (b'part = "\xe4"', ["route.toml", "it is not text in UTF-8"]),
    ],
)
def test_a_file_that_cannot_be_read(tmp_path, content, parts):
    path = tmp_path / "route.toml"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(FileError) as caught:
        read_route(path)
    assert all(part in str(caught.value) for part in ["the route file cannot be read", *parts])


def test_each_reader_says_which_one_reads_the_other_file(tmp_path):
    for name, text in (("route", TEXT), ("roughing", example_text("roughing")), ("finishing", example_text())):
        (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
    (fault,) = faults_of(read_job, tmp_path / "route.toml")
    assert fault.endswith("route.toml: operations: it is a route of several operations; read_route reads it")
    for name, made in (("roughing", m.RoughingJob), ("finishing", m.FinishingJob)):
        (fault,) = faults_of(read_route, tmp_path / f"{name}.toml")
        assert fault.endswith(f"{name}.toml: cutter: it is a job of one operation; read_job reads it")
        assert type(read_job(tmp_path / f"{name}.toml")) is made


def test_an_empty_file_lacks_what_every_route_needs():
    found = faults_of(route_from_text, "", "route.toml")
    assert [f.removeprefix("route.toml: ").split(":")[0] for f in found] == ["material", "machine", "operations"]


def test_what_contradicts_itself_between_tables_names_the_operation():
    with pytest.raises(MillcalcError) as caught:
        plan_route(route_from_text(with_lines(('corner_angle = "90 deg"', ""))))
    assert "operations[0] (rough) pocket.corner_angle: the fillet needs the angle" in str(caught.value)
