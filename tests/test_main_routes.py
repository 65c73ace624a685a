"""The command line on routes and roughing jobs: pages, JSON, units, and one readable line for every bad input."""

import json

import pytest

import millcalc as m
from millcalc.__main__ import main
from millcalc.planning import example_route, example_route_text, example_text, plan, plan_route, read_job, search_drawer
from millcalc.quantities.record import number
from millcalc.report.shop_page import checksum_of


@pytest.fixture
def run(capsys):
    def runs(*arguments):
        status = main(list(arguments))
        out, err = capsys.readouterr()
        return status, out, err

    return runs


@pytest.fixture(scope="module")
def shipped():
    return plan_route(example_route())


@pytest.fixture
def roughing(tmp_path):
    path = tmp_path / "roughing.toml"
    path.write_text(example_text("roughing"), encoding="utf-8")
    return str(path)


@pytest.fixture
def open_route(tmp_path):
    """A finish without a cutter, a drawer of two balls."""
    text = example_route_text()
    tables = [text[text.index(f"[{name}]") :].split("\n\n")[0] for name in ("surface", "finish", "axis", "machine")]
    lines = ['material = "42CrMo4"', *tables, '[before]\nstock = "0.1 mm"', '[[operations]]\nkind = "finish"']
    lines += [text[text.index(f"[drawer.{name}]") :].split("\n\n")[0] for name in ("B8", "B6")]
    path = tmp_path / "open.toml"
    path.write_text(
        "\n".join(lines).replace('overhang = "32 mm"', "").replace('overhang = "24 mm"', ""), encoding="utf-8"
    )
    return str(path)


def test_the_route_that_is_shipped(run, shipped, tmp_path):
    page = m.route_page(shipped) + "\n"
    assert run("route", "--example") == (0, page, "")
    status, out, _ = run("example", "route")
    path = tmp_path / "mine.toml"
    path.write_text(out, encoding="utf-8")
    assert (status, m.read_route(path)) == (0, example_route())
    assert json.loads(run("example", "route", "--json")[1])["job"] == example_route_text().rstrip("\n")
    assert run("route", str(path)) == (0, page, "")
    assert run("route", str(path), "--units", "inch") == (0, m.route_page(shipped, "inch") + "\n", "")


@pytest.mark.parametrize(("asked", "place"), [("rough", 0), ("2", 1), (" Semi-Finish ", 2), ("4", 3)])
def test_one_operation_of_a_route_by_name_or_number(run, shipped, asked, place):
    page = m.plan_page(shipped.plans[place])
    assert run("route", "--example", "--operation", asked) == (0, page + "\n", "")


def test_one_operation_in_inches_and_as_json(run, shipped):
    out = run("route", "--example", "--operation", "finish", "--units", "inch")
    assert out == (0, m.plan_page(shipped.plans[3], "inch") + "\n", "")
    held = json.loads(run("route", "--example", "--operation", "3", "--json")[1], parse_constant=pytest.fail)
    assert held["stepover"] == {"value": number(shipped.plans[2], "stepover"), "unit": "mm"}


def test_a_route_as_json_holds_all_operations(run, shipped):
    status, out, err = run("route", "--example", "--json")
    held = json.loads(out, parse_constant=pytest.fail)
    assert (status, err) == (0, "")
    assert [o["name"] for o in held["operations"]] == ["rough", "corners", "semi-finish", "finish"]
    for operation, made in zip(held["operations"], shipped.plans, strict=True):
        assert operation["operation_time"]["value"] == number(made, "operation_time")
    assert held["total_time"]["value"] == number(shipped, "total_time")
    assert [h["verdict"] for h in held["hand_overs"]] == ["kept", "kept", "kept"]


def test_an_open_route_is_searched(run, open_route):
    found = search_drawer(m.read_route(open_route))
    assert run("route", open_route) == (0, m.front_page(found) + "\n", "")
    assert run("route", open_route, "--units", "inch")[1] == m.front_page(found, "inch") + "\n"
    held = json.loads(run("route", open_route, "--json")[1], parse_constant=pytest.fail)
    assert [row["finish"] for row in held["front"]] == [c.finish for c in found.front]
    assert held["front"][0]["options"][0]["cutter"] == found.front[0].words()[0]
    assert (held["combinations"], held["best"]["total_time"]["value"]) == (12, number(found.best, "total_time"))
    assert run("route", open_route, "--operation", "finish")[1] == m.plan_page(found.best.plans[0]) + "\n"


def test_a_roughing_file_to_begin_with_and_its_plan(run, roughing):
    made = plan(read_job(roughing))
    status, out, _ = run("example", "roughing")
    assert (status, out) == (0, example_text("roughing").rstrip("\n") + "\n")
    assert run("plan", roughing) == (0, m.plan_page(made) + "\n", "")
    assert run("plan", roughing, "--sheet") == (0, f"{made.sheet()}\n", "")
    held = json.loads(run("plan", roughing, "--json", "--sheet")[1], parse_constant=pytest.fail)
    assert held["axial_depth"] == {"value": number(made, "axial_depth"), "unit": "mm"}
    assert held["sheet"] == str(made.sheet())


# --- bad input -------------------------------------------------------------------------------------------------------

BAD = {
    "no route": (["route"], ["no route", "a route file is needed", "--example"]),
    "two routes": (["route", "a.toml", "--example"], ["a.toml", "not both"]),
    "a missing route": (["route", "nosuch.toml"], ["nosuch.toml", "No such file"]),
    "a route that is not TOML": (["route", "{broken}"], ["the route file cannot be read", "broken.toml", "not TOML"]),
    "a job for a route": (["route", "{finishing}"], ["finishing.toml", "read_job reads it"]),
    "a route for a job": (["plan", "{route}"], ["route.toml", "read_route reads it"]),
    "a route for a comparison": (["compare", "{route}", "teeth=2"], ["route.toml", "read_route reads it"]),
    "a route with bad keys": (
        ["route", "{keys}"],
        ["keys.toml: [[operations]] 1 stok_left", "nearest: stock_left", "[drawer.B6] diametre"],
    ),
    "a route with an unknown cutter": (
        ["route", "{cutter}"],
        ["[[operations]] 2 cutter: given 'E7'", "R16, E12"],
    ),
    "a route that cannot be cut": (
        ["route", "{narrow}", "--json"],
        ["narrow.toml", "operations[0] (rough) cutter.diameter", "accepted: a smaller cutter"],
    ),
    "an unknown operation": (
        ["route", "--example", "--operation", "drill"],
        ["'drill'", "rough, corners, semi-finish"],
    ),
    "operation 0": (["route", "--example", "--operation", "0"], ["no operation '0'"]),
    "an operation too many": (["route", "--example", "--operation", "5"], ["no operation '5'"]),
    "roughing compared": (
        ["compare", "{roughing}", "depth=9 mm"],
        ["roughing.toml", "only finishing jobs are compared"],
    ),
}
FILES = {
    "broken": lambda text: "a = [",
    "finishing": lambda text: example_text(),
    "roughing": lambda text: example_text("roughing"),
    "route": lambda text: text,
    "keys": lambda text: text.replace("stock_left", "stok_left", 1).replace(
        "[drawer.B6]\ndiameter", "[drawer.B6]\ndiametre"
    ),
    "cutter": lambda text: text.replace('cutter = "E6"', 'cutter = "E7"'),
    "narrow": lambda text: text.replace('width = "50 mm"', 'width = "9 mm"'),
}


@pytest.fixture
def files(tmp_path):
    for name, change in FILES.items():
        (tmp_path / f"{name}.toml").write_text(change(example_route_text()), encoding="utf-8")
    return {p.stem: str(p) for p in tmp_path.iterdir()}


@pytest.mark.parametrize("name", list(BAD))
def test_bad_input_gets_one_readable_line(name, run, files):
    arguments, parts = BAD[name]
    status, out, err = run(*(a.format(**files) for a in arguments))
    assert (status, out) == (2, "")
    assert err.startswith("millcalc: ")
    assert err.count("\n") == 1
    assert err.endswith("\n")
    for part in parts:
        assert part in err


@pytest.mark.parametrize(
    ("arguments", "part"),
    [
        (["route", "--operation"], "operation"),
        (["route", "a.toml", "b.toml"], "b.toml"),
        (["route", "--units", "furlong"], "furlong"),
        (["example", "drilling"], "drilling"),
    ],
)
def test_a_command_that_cannot_be_read_gets_one_line(arguments, part, capsys):
    with pytest.raises(SystemExit) as left:
        main(arguments)
    out, err = capsys.readouterr()
    assert (left.value.code, out) == (2, "")
    assert err.startswith("millcalc: ")
    assert err.count("\n") == 1
    assert part in err


def test_each_operation_of_a_route_has_its_page(capsys):
    assert main(["route", "--example", "--pages"]) == 0
    out = capsys.readouterr().out
    route = plan_route(example_route())
    assert out.count("FIRST RUN") == len(route.plans)
    checksum = checksum_of(example_route_text())
    assert out.count(f"job {checksum}, millcalc") == len(route.plans)
    for name, made in zip(route.names, route.plans, strict=True):
        assert name in out
        assert f"{number(made, 'spindle_speed'):.0f} rev/min" in out
    assert main(["route", "--example", "--pages", "--json"]) == 2
    assert "give one of them" in capsys.readouterr().err
