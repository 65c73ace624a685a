"""Where paths come from: quantities, plain numbers with a unit, pieces, memory maps, CSV; and what is no path."""

import math

import numpy as np
import pint
import pytest
from path_cases import BALL, CUT, MACHINE, wavy, wavy_path

from millcalc.errors import ArgumentError, DataError, FileError, JobError, UnitError
from millcalc.planning.paths.evaluation import evaluate_path
from millcalc.planning.paths.files import read_path
from millcalc.planning.paths.points import Path

HEAD = "x [mm],y [mm],z [mm],i,j,k,nx,ny,nz"
NAMES = ["x", "y", "z", "i", "j", "k", "nx", "ny", "nz"]
COUNT = 500


@pytest.fixture(scope="module")
def whole():
    return evaluate_path(wavy_path(COUNT), BALL, MACHINE, CUT)


def table():
    return np.hstack(wavy(COUNT))


def write_csv(file, rows, head=HEAD):
    file.write_text("\n".join([head, *(",".join(map(repr, map(float, row))) for row in rows)]) + "\n")
    return file


def assert_same(found, whole):
    for name in whole.keys():  # noqa: SIM118 - a result is no mapping
        np.testing.assert_allclose(found[name], whole[name], rtol=1e-9, atol=1e-12, err_msg=name)
    assert found.time.magnitude == pytest.approx(whole.time.magnitude, rel=1e-12)


def test_quantities_and_inch_numbers(whole):
    points, axis, normal = wavy(COUNT)
    registry = pint.UnitRegistry()
    as_quantity = Path(registry.Quantity(points / 1000.0, "m"), axis=axis, normal=normal)
    assert_same(evaluate_path(as_quantity, BALL, MACHINE, CUT), whole)
    in_inch = Path(points / 25.4, axis=axis.tolist(), normal=normal, unit="inch")
    assert_same(evaluate_path(in_inch, BALL, MACHINE, CUT), whole)


@pytest.mark.parametrize("size", [1, 7, 499])
def test_pieces_of_any_length(whole, size):
    rows = table()
    pieces = (dict(zip(NAMES, rows[a : a + size].T, strict=True)) for a in range(0, COUNT, size))
    found = evaluate_path(Path.from_chunks(pieces, unit="mm"), BALL, MACHINE, CUT, block=64)
    assert_same(found, whole)


def test_a_memory_map(whole, tmp_path):
    np.save(tmp_path / "path.npy", table())
    path = read_path(tmp_path / "path.npy", columns=NAMES, unit="mm")
    assert isinstance(path.columns()["x"].array, np.memmap)
    out = np.lib.format.open_memmap(tmp_path / "out.npy", mode="w+", shape=(COUNT,), dtype=float)
    found = evaluate_path(path, BALL, MACHINE, CUT, keep=("feed_rate",), out={"block_time": out}, block=100)
    np.testing.assert_allclose(np.load(tmp_path / "out.npy")[1:], whole["block_time"][1:], rtol=1e-9)
    np.testing.assert_allclose(found["feed_rate"], whole["feed_rate"], rtol=1e-12)
    assert found.keys() == ("feed_rate", "block_time")


def test_csv_in_two_units(whole, tmp_path):
    assert_same(evaluate_path(read_path(write_csv(tmp_path / "a.csv", table())), BALL, MACHINE, CUT, block=77), whole)
    rows = table()
    rows[:, :3] /= 25.4
    inches = write_csv(tmp_path / "b.csv", rows, HEAD.replace("mm", "in"))
    assert_same(evaluate_path(read_path(inches), BALL, MACHINE, CUT), whole)


def test_nothing_kept_gives_the_same_extremes(whole):
    found = evaluate_path(wavy_path(COUNT), BALL, MACHINE, CUT, keep=())
    assert found.keys() == ()
    assert found.time == whole.time
    assert found.governed == whole.governed
    assert found.extremes == whole.extremes
    assert len(found.extremes) == 14


@pytest.mark.parametrize(
    ("make", "error", "words"),
    [
        (lambda: Path([[0, 0, 0], [1, 0, 0]], axis=[0, 0, 1], normal=[0, 0, 1]), UnitError, 'unit = "mm" or "inch"'),
        (lambda: Path([[0, 0, 0]], axis=[0, 0, 1], normal=[0, 0, 1], unit="cm"), UnitError, "no such unit"),
        (lambda: Path([[0, 0]], axis=[0, 0, 1], normal=[0, 0, 1], unit="mm"), ArgumentError, "shape"),
        (lambda: Path([[0, 0, 0]], normal=[0, 0, 1], unit="mm"), ArgumentError, "axis, normal"),
        (lambda: Path([[0, 0, 0]], axis=[0, 0, 0], normal=[0, 0, 1], unit="mm"), ArgumentError, "no direction"),
        (lambda: Path([["a", 0, 0]], axis=[0, 0, 1], normal=[0, 0, 1], unit="mm"), ArgumentError, "no numbers"),
        (lambda: Path(step=[1, 1], lead=[1, 2], unit="mm"), UnitError, "angle_unit"),
        (lambda: Path(step=[1, 1], lead=[1, 2, 3], unit="mm", angle_unit="deg"), ArgumentError, "one length"),
        (lambda: Path(step=[1, 1], unit="mm"), ArgumentError, "lead and tilt"),
        (lambda: Path([], axis=[0, 0, 1], normal=[0, 0, 1], unit="mm"), ArgumentError, "shape"),
        (lambda: Path.from_chunks(iter(()), unit="mm"), ArgumentError, "needed"),
        (lambda: Path.from_columns({"q": [1.0]}, unit="mm"), ArgumentError, "no such column"),
    ],
)
def test_what_is_no_path(make, error, words):
    with pytest.raises(error) as raised:
        make()
    assert words in str(raised.value)


def test_pieces_that_differ_in_their_columns():
    pieces = [{"step": [1.0, 1.0], "lead": [1.0, 2.0]}, {"step": [1.0, 1.0]}]
    path = Path.from_chunks(pieces, unit="mm", angle_unit="deg")
    with pytest.raises(ArgumentError, match="row 2"):
        evaluate_path(path, BALL, MACHINE, CUT)


@pytest.mark.parametrize(
    ("row", "column", "value", "words"),
    [
        (17, 0, np.nan, "x is not a finite number"),
        (499, 2, np.inf, "z is not a finite number"),
        (0, 5, 0.0, "tool axis is not of unit length"),
        (250, slice(3, 6), 0.0, "tool axis is not of unit length"),
        (63, slice(6, 9), 0.9, "surface normal is not of unit length"),
        (64, slice(6, 9), (0.0, 0.0, -1.0), "opposed"),
    ],
)
def test_damaged_rows_are_named_or_skipped(row, column, value, words):
    rows = table()
    rows[row, column] = value
    for block in (64, 1000):
        path = Path.from_columns(dict(zip(NAMES, rows.T, strict=True)), unit="mm")
        with pytest.raises(DataError) as raised:
            evaluate_path(path, BALL, MACHINE, CUT, block=block)
        assert f"row {row}:" in str(raised.value)
        assert words in str(raised.value)
        found = evaluate_path(path, BALL, MACHINE, CUT, block=block, skip=True)
        assert found.skipped == (row,)
        assert np.isnan(found["feed_rate"]).nonzero()[0].tolist() == [row]
        left = Path.from_columns(dict(zip(NAMES, np.delete(rows, row, axis=0).T, strict=True)), unit="mm")
        without = evaluate_path(left, BALL, MACHINE, CUT)
        assert found.time.magnitude == pytest.approx(without.time.magnitude, rel=1e-12)
        np.testing.assert_allclose(np.delete(found["chip_thickness"], row), without["chip_thickness"], rtol=1e-9)


def test_repeated_points_are_named_or_skipped():
    rows = np.insert(table(), [100, 100, 300], table()[[99, 99, 299]], axis=0)
    path = Path.from_columns(dict(zip(NAMES, rows.T, strict=True)), unit="mm")
    with pytest.raises(DataError, match=r"row 100:.*repeated"):
        evaluate_path(path, BALL, MACHINE, CUT, block=50)
    found = evaluate_path(path, BALL, MACHINE, CUT, skip=True, block=50)
    assert found.skipped == (100, 101, 302)
    assert found.skipped_reasons == {"the point is repeated": 3}
    assert found.time.magnitude == pytest.approx(evaluate_path(wavy_path(COUNT), BALL, MACHINE, CUT).time.magnitude)


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [("lead", 90.0, "lead"), ("normal_depth", 0.0, "stock"), ("step", 0.0, "no length"), ("feed_rate", -1.0, "feed")],
)
def test_damaged_leans(name, value, words):
    columns = {"step": np.full(50, 0.1), "lead": np.full(50, 5.0), "normal_depth": np.full(50, 0.2)}
    columns["feed_rate"] = np.full(50, 900.0)
    columns[name][31] = value
    path = Path.from_columns(columns, unit="mm", angle_unit="deg")
    cut = CUT._with_kept({"normal_depth": None})
    with pytest.raises(DataError, match="row 31:") as raised:
        evaluate_path(path, BALL, MACHINE, cut, block=16)
    assert words in str(raised.value)
    assert evaluate_path(path, BALL, MACHINE, cut, skip=True).skipped == (31,)


def test_damaged_files(tmp_path):
    def refuses(error, words, file, **more):
        with pytest.raises(error) as raised:
            evaluate_path(read_path(file, **more), BALL, MACHINE, CUT)
        assert words in str(raised.value)

    refuses(FileError, "no such file", tmp_path / "none.csv")
    good = write_csv(tmp_path / "good.csv", table()).read_text()
    (tmp_path / "cut.csv").write_text(good[: len(good) - 60])
    refuses(DataError, "row 499", tmp_path / "cut.csv")
    lines = good.splitlines()
    lines[8] = lines[8].rsplit(",", 1)[0]
    (tmp_path / "few.csv").write_text("\n".join(lines))
    refuses(DataError, "row 7: given", tmp_path / "few.csv")
    refuses(DataError, "8 columns, the head names 9", tmp_path / "few.csv")
    lines[8] = lines[9].replace("0", "o", 1)
    (tmp_path / "word.csv").write_text("\n".join(lines))
    refuses(DataError, "row 7", tmp_path / "word.csv")
    (tmp_path / "bare.csv").write_text(good.replace("x [mm]", "x"))
    refuses(FileError, "needs a unit", tmp_path / "bare.csv")
    (tmp_path / "kind.csv").write_text(good.replace("x [mm]", "x [kg]"))
    refuses(FileError, "not that of a length", tmp_path / "kind.csv")
    (tmp_path / "head.csv").write_text(HEAD + "\n")
    refuses(ArgumentError, "two or more", tmp_path / "head.csv")
    (tmp_path / "empty.csv").write_text("")
    refuses(ArgumentError, "no path", tmp_path / "empty.csv")
    random = np.random.default_rng(0)
    (tmp_path / "garbage.csv").write_bytes(random.bytes(300_000))
    refuses(FileError, "is no path", tmp_path / "garbage.csv")
    (tmp_path / "garbage.npy").write_bytes(random.bytes(300_000))
    refuses(FileError, "no such array", tmp_path / "garbage.npy", columns=NAMES, unit="mm")
    np.save(tmp_path / "whole.npy", table())
    saved = (tmp_path / "whole.npy").read_bytes()
    (tmp_path / "short.npy").write_bytes(saved[: len(saved) // 2])
    refuses(FileError, "no such array", tmp_path / "short.npy", columns=NAMES, unit="mm")
    refuses(FileError, "columns are named", tmp_path / "whole.npy", columns=NAMES[:8], unit="mm")


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"spindle_speed": "19000 rpm"}, "allow 18000"),
        ({"radius_across": "-4 mm"}, "does not fit"),
        ({"stepover": "12 mm"}, "the passes do not meet"),
        ({"cutting_speed": "100 m/min"}, "one of the two"),
        ({"stepover": None, "engagement": "beside the pass"}, "one stepover away"),
    ],
)
def test_cuts_that_contradict_themselves(changes, words):
    with pytest.raises(JobError) as raised:
        evaluate_path(wavy_path(10), BALL, MACHINE, CUT._with_kept({"stepover": np.inf}).with_(**changes))
    assert words in str(raised.value)


@pytest.mark.parametrize(
    ("constants", "words"),
    [
        ({"i": 0.0, "j": 0.0, "k": 0.0}, "no direction"),
        ({"i": 0.0, "j": np.nan, "k": 1.0}, "j: given nan"),
        ({"i": 0.0, "j": 0.0, "k": "up"}, "k: given 'up'"),
        ({"i": 0.0, "j": 0.0}, "all of i, j, k"),
        ({"i": 0.0, "j": 0.0, "k": 1.0, "feed_rate": -1.0}, "feed_rate"),
    ],
)
def test_constants_that_cannot_be_used(constants, words):
    columns = {n: np.arange(3.0) for n in NAMES[:3]}
    more = constants | {"nx": 0.0, "ny": 0.0, "nz": 1.0}
    with pytest.raises(ArgumentError) as raised:
        Path.from_columns(columns, unit="mm", constants=more)
    assert words in str(raised.value)
    with pytest.raises(ArgumentError):
        Path.from_chunks([columns], unit="mm", constants=more)


def test_a_constant_direction_counts_by_its_direction_alone():
    columns = {n: np.arange(3.0) * (n == "x") for n in NAMES[:3]}
    long = {"i": 0.0, "j": 2.0, "k": 2.0, "nx": 0.0, "ny": 0.0, "nz": 7.0}
    found = evaluate_path(Path.from_columns(columns, unit="mm", constants=long), BALL, MACHINE, CUT)
    np.testing.assert_allclose(found["tilt"], 45.0, rtol=1e-12)
    np.testing.assert_allclose(found["contact_diameter"], 10.0 * np.sin(np.pi / 4), rtol=1e-12)


@pytest.mark.parametrize(
    "out",
    [
        {"feed_rate": np.empty(9)},
        {"feed_rate": np.empty(10, dtype=int)},
        {"feed_rate": [0.0] * 10},
        {"rate": np.empty(10)},
    ],
)
def test_arrays_that_cannot_take_the_values(out):
    with pytest.raises(ArgumentError):
        evaluate_path(wavy_path(10), BALL, MACHINE, CUT, out=out)


def test_narrow_arrays_take_rounded_values():
    out = {"feed_rate": np.empty(10, dtype=np.float32), "cause": np.empty(10, dtype=int)}
    found = evaluate_path(wavy_path(10), BALL, MACHINE, CUT)
    evaluate_path(wavy_path(10), BALL, MACHINE, CUT, out=out, keep=())
    np.testing.assert_allclose(out["feed_rate"], found["feed_rate"], rtol=1e-6)
    np.testing.assert_array_equal(out["cause"], found["cause"])


@pytest.mark.parametrize("more", [{"keep": ("feed",)}, {"keep": ("power",)}, {"threads": 0}, {"block": 1.5}])
def test_arguments_that_cannot_be_used(more):
    with pytest.raises(ArgumentError):
        evaluate_path(wavy_path(10), BALL, MACHINE, CUT, **more)
    with pytest.raises(ArgumentError, match="it is no Cutter"):
        evaluate_path(wavy_path(10), "ball", MACHINE, CUT)


def test_a_function_begins_the_pieces_anew_and_an_iterator_cannot():
    def pieces():
        for at in range(0, 200, 50):
            yield {n: c[at : at + 50] for n, c in columns.items()}

    columns = dict(zip(("x", "y", "z", "i", "j", "k", "nx", "ny", "nz"), np.hstack(wavy(200)).T, strict=True))
    again = Path.from_chunks(pieces, unit="mm")
    assert [evaluate_path(again, BALL, MACHINE, CUT, keep=()).points for _ in range(3)] == [200] * 3
    once = Path.from_chunks(pieces(), unit="mm")
    assert evaluate_path(once, BALL, MACHINE, CUT, keep=()).points == 200
    with pytest.raises(ArgumentError, match="its pieces have been walked; accepted: a function that begins them anew"):
        evaluate_path(once, BALL, MACHINE, CUT, keep=())


def test_a_rapid_that_is_no_number_is_told():
    points, axis, normal = wavy(50)
    rapid = np.zeros(50)
    rapid[7] = np.nan
    path = Path(points, axis=axis, normal=normal, rapid=rapid, unit="mm")
    with pytest.raises(DataError, match=r"row 7: .*rapid is not a finite number"):
        evaluate_path(path, BALL, MACHINE, CUT)
    assert list(evaluate_path(path, BALL, MACHINE, CUT, skip=True).skipped) == [7]


def test_points_are_columns():
    columns = dict(zip(("y", "z", "i", "j", "k", "nx", "ny", "nz"), np.hstack(wavy(20)).T[1:], strict=True))
    with pytest.raises(ArgumentError, match=r"x: given 0\.0; points are stated by columns"):
        Path.from_columns(columns, constants={"x": 0.0}, unit="mm")


def test_a_source_of_ones_own_may_state_a_direction_of_any_length():
    class Source:
        names = ("x", "y", "z")
        length = 30

        def __init__(self, k):
            self.constants = {"i": 0.3 * k, "j": 0.0, "k": k, "nx": 0.0, "ny": 0.0, "nz": 1.0}

        def chunks(self, size):
            for at in range(0, self.length, size):
                way = np.arange(at, min(at + size, self.length)) * 0.1
                yield {"x": way, "y": 0.0 * way, "z": 0.0 * way}

    one, other = (evaluate_path(Source(k), BALL, MACHINE, CUT) for k in (1.0, 1.0005))
    np.testing.assert_allclose(one["largest_diameter"], other["largest_diameter"], rtol=1e-14)
    with pytest.raises(ArgumentError, match="k: given nan"):
        evaluate_path(Source(math.nan), BALL, MACHINE, CUT)


def test_a_move_as_long_as_the_largest_space_is_measured():
    path = Path([[-1e9, 0, 0], [1e9, 0, 0], [1e9, 1, 0]], axis=[0, 0, 1], normal=[0, 0, 1], unit="mm")
    assert evaluate_path(path, BALL, MACHINE, CUT)["step"][1] == 2e9
