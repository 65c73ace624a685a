"""Compiled loops give what the arrays give: on every kind of path, in blocks of every size, on damaged rows."""

from __future__ import annotations

import importlib
import sys
from types import SimpleNamespace

import numpy as np
import pytest
from path_cases import BALL, CUT, MACHINE, unit, wavy, wavy_path

from millcalc import CornerRadiusEndMill
from millcalc.errors import DataError, MissingExtraError
from millcalc.planning.paths import compiled, tiles_along, tiles_cut
from millcalc.planning.paths.evaluation import evaluate_path
from millcalc.planning.paths.fused import CompiledKernel
from millcalc.planning.paths.points import Path

BEFORE_TIME = (
    *("step", "lead", "tilt", "least_diameter", "contact_diameter", "largest_diameter", "spindle_speed"),
    *("least_speed", "contact_speed", "largest_speed", "feed_per_tooth", "feed_rate", "scallop_height", "cause"),
)
COUNT = 1300
QUICK = MACHINE.with_(acceleration="40 m/s^2", block_time="0.001 ms", rapid_rate="6 m/min")
MODULES = (tiles_cut, tiles_along)
LOOPS = {
    name.removeprefix("loop_"): getattr(module, name)
    for module in MODULES
    for name in vars(module)
    if name.startswith("loop_")
}


@pytest.fixture(params=["compiled", "as they stand"])
def loops(request, monkeypatch):
    """Have the loops compiled, where numba is there, and as Python runs them."""
    if request.param == "compiled":
        pytest.importorskip("numba")
    else:
        monkeypatch.setattr("millcalc.planning.paths.fused.loops", lambda: SimpleNamespace(**LOOPS))


def both(path_of, cutter=BALL, machine=MACHINE, cut=CUT, material=None, exactly=True, **more):
    """Evaluate twice and compare; return the result by the loops and how many blocks went by them."""
    blocks, own = [], CompiledKernel._first

    def counted(self, block, target):
        found = own(self, block, target)
        blocks.append(found is not None)
        return found

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(CompiledKernel, "_first", counted)
        found = evaluate_path(path_of(), cutter, machine, cut, material, compiled=True, threads=1, **more)
    wanted = evaluate_path(path_of(), cutter, machine, cut, material, threads=1, **more)
    compare(found, wanted, exactly=exactly and machine.rotary_rate is None and machine.rotary_distance is None)
    return found, blocks


def compare(found, wanted, exactly=True):
    """The same digits but for the time; with an angle by another arc sine the last of them may differ."""
    assert found.keys() == wanted.keys()
    for name in wanted.keys():  # noqa: SIM118 - a result is no mapping
        if exactly and name in BEFORE_TIME:
            np.testing.assert_array_equal(found[name], wanted[name], err_msg=name)
        np.testing.assert_allclose(found[name], wanted[name], rtol=1e-9, atol=1e-12, err_msg=name)
    one, other = found.as_numbers(), wanted.as_numbers()
    assert list(one["extremes"]) == list(other["extremes"])
    for name, ends in other["extremes"].items():
        assert one["extremes"][name]["least"] == pytest.approx(ends["least"], rel=1e-9), name
        assert one["extremes"][name]["greatest"] == pytest.approx(ends["greatest"], rel=1e-9), name
        if name in BEFORE_TIME and exactly:
            assert one["extremes"][name] == ends
    for name in ("points", "slow_points", "first_slow_row", "without_cut", "skipped", "assumed"):
        assert one[name] == other[name], name
    for name in ("time", "length", "slow_time"):
        assert one[name] == pytest.approx(other[name], rel=1e-11), name
    assert {c: n["moves"] for c, n in one["governed"].items()} == {c: n["moves"] for c, n in other["governed"].items()}


@pytest.mark.parametrize("block", [2, 3, 499, 500, 501, 1000, 1299, 5000])
def test_blocks_and_tiles_of_every_size(loops, block):
    count = COUNT if block > 10 else 60
    found, blocks = both(lambda: wavy_path(count, noise=1.0), block=block)
    assert all(blocks)
    assert len(blocks) == -(-count // block)
    assert len({*found["cause"]}) > 2


def followed(**more):
    return CUT._with_kept({"spindle_speed": None, "cutting_speed": 90.0}).with_(**more)


@pytest.mark.parametrize(
    ("machine", "cut", "material"),
    [
        (MACHINE, followed(), None),
        (MACHINE, CUT.with_(programmed_point="ball centre"), None),
        (MACHINE, CUT.with_(look_ahead=2), None),
        (MACHINE, CUT.with_(look_ahead=40), None),
        (MACHINE, CUT.with_(least_cutting_speed="70 m/min"), None),
        (MACHINE, CUT.with_(specific_force="1700 N/mm^2"), None),
        (MACHINE, CUT, "C45"),
        (MACHINE, CUT._with_kept({"stepover": float("inf")}), None),
        (MACHINE, CUT._with_kept({"chip_thickness": None, "feed_per_tooth": 0.4}), None),
        (MACHINE, CUT.with_(normal_depth="6 mm"), None),
        (MACHINE.with_(rotary_rate="60 deg/s"), CUT, None),
        (MACHINE.with_(rotary_distance="250 mm"), CUT, None),
        (MACHINE.with_(rotary_rate="900 deg/s", rotary_distance="250 mm"), followed(), "C45"),
        (QUICK, CUT, None),
    ],
    ids=[
        *("followed", "centre", "2 ahead", "40 ahead", "rubs", "force", "C45", "wide", "feed", "deep"),
        *("rotary", "swung", "all", "quick"),
    ],
)
def test_every_kind_of_cut_and_machine(loops, machine, cut, material):
    _, blocks = both(lambda: wavy_path(COUNT, noise=0.3), machine=machine, cut=cut, material=material, block=700)
    assert blocks == [True, True]


def test_the_rotary_axes_govern_in_some_of_these():
    pytest.importorskip("numba")
    for machine, cause in (
        (QUICK.with_(rotary_rate="60 deg/s"), "rotary rate"),
        (QUICK.with_(rotary_distance="250 mm"), "linear axes that follow the swing"),
    ):
        found, _ = both(lambda: wavy_path(COUNT, noise=0.3), machine=machine)
        assert found.governed[cause][0] > 50


def columns(count, **more):
    points, axis, normal = wavy(count, noise=1.0)
    return {"points": points, "axis": axis, "normal": normal, **more}


@pytest.mark.parametrize("one", ["axis", "normal", "both"])
def test_directions_that_are_the_same_for_all(loops, one):
    more = {"axis": [0.2, 0.1, 1.0], "normal": [0.0, 0.0, 1.0]}
    given = columns(COUNT) | ({one: more[one]} if one != "both" else more)
    _, blocks = both(lambda: Path(**given, unit="mm"), exactly=one != "both")
    assert all(blocks)


def test_depth_feed_rate_and_rapids_at_each_point(loops):
    random = np.random.default_rng(8)
    given = columns(COUNT, normal_depth=random.uniform(0.05, 0.4, COUNT), feed_rate=random.uniform(500, 5000, COUNT))
    given["rapid"] = random.uniform(size=COUNT) < 0.1
    cut = CUT._with_kept({"normal_depth": None})
    found, blocks = both(lambda: Path(**given, unit="mm"), machine=QUICK, cut=cut, material="C45", block=400)
    assert all(blocks)
    assert found.without_cut > 50
    assert {"rapid rate", "feed rate of the program"} <= {*found.governed}
    assert np.isnan(found["largest_diameter"][given["rapid"]]).all()
    assert np.isnan(found["power"][given["rapid"]]).all()


@pytest.mark.parametrize(
    ("machine", "cut", "more"),
    [
        (MACHINE.with_(largest_feed_rate="120 mm/min"), CUT, {}),
        (MACHINE, CUT._with_kept({"chip_thickness": None, "feed_per_tooth": 2.0}), {}),
        (MACHINE, CUT, {"feed_rate": 3000.0}),
        (MACHINE, CUT, {"rapid": True}),
        (MACHINE, CUT, {"rapid": False, "feed_rate": 120.0}),
        (MACHINE.with_(rotary_distance="250 mm", rapid_rate="1 m/min"), CUT, {"axis": [0.1, 0.0, 1.0]}),
    ],
    ids=["2 mm per s", "2 mm per tooth", "one feed", "rapid", "no rapid", "no swing"],
)
def test_numbers_that_are_the_same_for_all(loops, machine, cut, more):
    _, blocks = both(lambda: Path(**columns(60) | more, unit="mm"), machine=machine, cut=cut)
    assert all(blocks)


def test_sharp_corners_after_a_long_way_are_told_alike(loops):
    """In the running minima the corners' squares are the rest of differences that are a million times larger."""
    at = np.arange(6000)
    points = np.column_stack((200.0 * ((at + 1) // 2 % 2), 0.3 * (at // 2), 0.0 * at))
    cut = CUT.with_(corner_tolerance="0.1 um")
    found, _ = both(lambda: Path(points, axis=[0, 0, 1], normal=[0, 0, 1], unit="mm"), cut=cut, exactly=False)
    assert found.governed["corner"][0] > 2990


def test_a_move_along_the_normal_goes_by_the_arrays(loops):
    points, axis, normal = wavy(COUNT, noise=1.0)
    points = np.vstack((points[:600], points[599] + 3.0 * normal[599], points[600:]))
    axis, normal = np.insert(axis, 600, axis[599], axis=0), np.insert(normal, 600, normal[599], axis=0)
    found, blocks = both(lambda: Path(points, axis=axis, normal=normal, unit="mm"), block=300)
    assert blocks == [True, True, False, True, True]
    assert found.without_cut >= 1


def test_axes_of_four_digits_are_made_one_long(loops):
    points, axis, normal = wavy(COUNT, noise=1.0)
    path = Path(points, axis=np.round(axis, 4), normal=np.round(normal, 4), unit="mm")
    found = evaluate_path(path, BALL, MACHINE, CUT, compiled=True)
    compare(found, evaluate_path(path, BALL, MACHINE, CUT), exactly=False)


def faulty():
    points, axis, normal = wavy(COUNT)
    cases = {}
    for name, change in {
        "repeated": lambda p, a, n: p.__setitem__(700, p[699]),
        "not a number": lambda p, a, n: p.__setitem__((700, 1), np.nan),
        "axis not a number": lambda p, a, n: a.__setitem__((701, 1), np.nan),
        "infinite": lambda p, a, n: p.__setitem__((700, 2), np.inf),
        "too far": lambda p, a, n: p.__setitem__((700, 2), 1e12),
        "opposed": lambda p, a, n: n.__setitem__(700, -n[700]),
        "not unit": lambda p, a, n: a.__setitem__(slice(700, 703), 2.0 * a[700:703]),
        "zero normal": lambda p, a, n: n.__setitem__(1299, 0.0),
    }.items():
        case = points.copy(), axis.copy(), normal.copy()
        change(*case)
        cases[name] = case
    return cases


@pytest.mark.parametrize("name", faulty())
def test_rows_that_cannot_be_used_are_told_alike(loops, name):
    points, axis, normal = faulty()[name]
    path = Path(points, axis=axis, normal=normal, unit="mm")
    told = []
    for way in (True, False):
        with pytest.raises(DataError) as error:
            evaluate_path(path, BALL, MACHINE, CUT, compiled=way, block=250)
        told.append(str(error.value))
    assert told[0] == told[1]
    assert "row 7" in told[0] or "row 1299" in told[0]
    found, _ = both(lambda: path, skip=True, block=250)
    assert 1 <= len(found.skipped) <= 3


def test_a_point_outside_of_every_machine_is_told():
    points, axis, normal = faulty()["too far"]
    with pytest.raises(DataError, match="row 700: given z = 1e\\+12; z lies outside of every machine"):
        evaluate_path(Path(points, axis=axis, normal=normal, unit="mm"), BALL, MACHINE, CUT)


def test_maps_on_the_disk_and_arrays_of_other_kinds(loops, tmp_path):
    names = ("x", "y", "z", "i", "j", "k", "nx", "ny", "nz")
    table = np.hstack(wavy(COUNT, noise=1.0))
    np.save(tmp_path / "points.npy", table)
    held = np.load(tmp_path / "points.npy", mmap_mode="r")
    unaligned = np.zeros(COUNT, dtype=[("flag", np.uint8), *((name, float) for name in names)])
    for at, name in enumerate(names):
        unaligned[name] = table[:, at]
    wanted = evaluate_path(wavy_path(COUNT, noise=1.0), BALL, MACHINE, CUT)
    for given in ({n: held[:, at] for at, n in enumerate(names)}, {n: unaligned[n] for n in names}):
        found = evaluate_path(Path.from_columns(given, unit="mm"), BALL, MACHINE, CUT, compiled=True)
        compare(found, wanted)
    other = {n: np.asfortranarray(table)[::-1][::-1, at].astype(">f8") for at, n in enumerate(names)}
    compare(evaluate_path(Path.from_columns(other, unit="mm"), BALL, MACHINE, CUT, compiled=True), wanted)


def test_results_into_arrays_of_the_callers(loops, tmp_path):
    wanted = evaluate_path(wavy_path(COUNT), BALL, MACHINE, CUT)
    out = {
        "largest_diameter": np.zeros((COUNT, 2))[:, 0],
        "feed_rate": np.lib.format.open_memmap(tmp_path / "rate.npy", "w+", shape=(COUNT,)),
        "block_time": np.zeros(COUNT, dtype=np.float32),
        "cause": np.zeros(COUNT, dtype=np.int64),
        "spindle_speed": np.zeros(COUNT),
    }
    evaluate_path(wavy_path(COUNT), BALL, MACHINE, CUT, keep=(), out=out, compiled=True, block=333)
    for name, array in out.items():
        tolerance = 1e-6 if array.dtype == np.float32 else 1e-12
        np.testing.assert_allclose(array, wanted[name], rtol=tolerance, err_msg=name)


def test_pieces_whose_length_is_not_known(loops):
    points, axis, normal = wavy(COUNT, noise=1.0)
    table = np.hstack((points, axis, normal))
    names = ("x", "y", "z", "i", "j", "k", "nx", "ny", "nz")

    def pieces():
        for at in range(0, COUNT, 170):
            yield dict(zip(names, table[at : at + 170].T, strict=True))

    both(lambda: Path.from_chunks(pieces, unit="mm"), block=400)


def test_other_forms_and_leans_go_by_the_arrays():
    pytest.importorskip("numba")
    cutter = CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=4)
    axis = unit(np.array([0.1, 0.0, 1.0]))
    _, blocks = both(lambda: Path(wavy(200)[0], axis=axis, normal=[0, 0, 1], unit="mm"), cutter=cutter)
    _, more = both(lambda: Path(wavy(200)[0], lead=10.0, tilt=2.0, unit="mm", angle_unit="deg"))
    beside = CUT.with_(engagement="beside the pass")
    _, most = both(lambda: wavy_path(40), cut=beside)
    assert blocks == more == most == []


def test_lazy_arrays_by_the_loops():
    pytest.importorskip("numba")
    da = pytest.importorskip("dask.array")
    points, axis, normal = (da.from_array(part, chunks=(300, 3)) for part in wavy(COUNT))
    found = evaluate_path(Path(points, axis=axis, normal=normal, unit="mm"), BALL, MACHINE, CUT, compiled=True)
    wanted = evaluate_path(wavy_path(COUNT), BALL, MACHINE, CUT)
    for name in found.keys():  # noqa: SIM118 - a result is no mapping
        np.testing.assert_allclose(np.asarray(found[name]), wanted[name], rtol=1e-9, atol=1e-12, err_msg=name)
    assert found.summary().extremes["feed_rate"] == wanted.extremes["feed_rate"]


@pytest.fixture
def fresh():
    compiled.loops.cache_clear()
    yield
    compiled.loops.cache_clear()


def test_without_numba_the_extra_is_named(monkeypatch, fresh):
    monkeypatch.setitem(sys.modules, "numba", None)
    with pytest.raises(MissingExtraError, match=r"millcalc\[compiled\]"):
        evaluate_path(wavy_path(10), BALL, MACHINE, CUT, compiled=True)
    assert evaluate_path(wavy_path(10), BALL, MACHINE, CUT).points == 10


def test_where_nothing_can_be_kept_on_the_disk_it_is_compiled_anew(monkeypatch, fresh):
    numba = pytest.importorskip("numba")
    asked = []

    def njit(signature, **options):
        asked.append(options)
        if options.get("cache"):
            raise RuntimeError("cannot cache function: no locator available")
        return lambda function: function

    monkeypatch.setattr(numba, "njit", njit)
    made = compiled.loops()
    assert sum("cache" not in options for options in asked) == len(vars(made)) == len(LOOPS)
    assert all(options["nogil"] and options["error_model"] == "numpy" for options in asked)


def test_kept_code_is_named_by_all_that_it_is_made_of(tmp_path, monkeypatch):
    """A change of a formula in another file must not find what was compiled before."""
    names = []
    for text in ("a = 1\n", "a = 2\n"):
        compiled._stamp.cache_clear()
        changed = tmp_path / "changed.py"
        changed.write_text(text)
        module = SimpleNamespace(__file__=str(changed))
        monkeypatch.setattr(compiled, "_MODULES", (*compiled._MODULES[1:], module))
        names.append(compiled._stamped(tiles_cut.loop_cut).__qualname__)
    compiled._stamp.cache_clear()
    assert names[0] != names[1]
    assert all(name.startswith("loop_cut_") for name in names)


def test_each_loop_has_a_signature():
    numba = pytest.importorskip("numba")
    assert {f"loop_{name}" for name in LOOPS} == {*compiled._signatures(numba.types)}
    assert importlib.import_module("millcalc.planning.paths.tiles").TILE < COUNT / 2
