"""The Formula: its call, its bare function, its sheet."""

from __future__ import annotations

import contextlib
import math
import warnings

import numpy as np
import pytest
from foreign import REGISTRY

from millcalc.errors import ArgumentError, DomainError, SignatureError, ValidityWarning
from millcalc.formulas.ball import ball_cutting_diameters, ball_effective_diameter
from millcalc.formulas.ball_chip import ball_max_chip_thickness
from millcalc.formulas.scallops import scallop_height
from millcalc.formulas.speeds import cutting_speed
from millcalc.quantities import arrays
from millcalc.quantities.formula import FORMULAS, Formula, formula
from millcalc.quantities.kinds import POSITIVE, Count, Length, Ratio

Q = REGISTRY.Quantity
RANDOM = np.random.default_rng(2)


@pytest.fixture
def declared():
    """Declare formulas for one test only."""
    before = dict(FORMULAS)
    yield formula
    FORMULAS.clear()
    FORMULAS.update(before)


# --- the call ----------------------------------------------------------------------------------------


def test_positional_keyword_default_and_optional():
    d, a, b = Q(10.0, "mm"), Q(0.2, "mm"), Q(15.0, "deg")
    expected = ball_effective_diameter(d, a, b)
    # printed in geometry_truths.md (derived there): 5.1893
    assert expected.magnitude == pytest.approx(5.1893, abs=5e-5)
    assert ball_effective_diameter(diameter=d, normal_depth=a, inclination=b) == expected
    assert ball_effective_diameter(d, inclination=b, normal_depth=a) == expected
    assert ball_effective_diameter(d, a) == ball_effective_diameter(d, a, Q(0.0, "deg"))
    assert ball_cutting_diameters(d, a, b) == ball_cutting_diameters(d, a, b, stepover=None)
    assert ball_cutting_diameters(d, a, b)[2].magnitude == pytest.approx(5.1893, abs=5e-5)


@pytest.mark.parametrize(
    ("args", "kwargs", "said"),
    [
        ((), {}, "missing 2 required positional arguments: 'diameter' and 'spindle_speed'"),
        (("10 mm",), {}, "missing 1 required positional argument: 'spindle_speed'"),
        (("10 mm", "1 rpm", "2 rpm"), {}, "takes 2 positional arguments but 3 were given"),
        (("10 mm",), {"spindel_speed": "1 rpm"}, "unexpected keyword argument 'spindel_speed'"),
        (
            ("10 mm",),
            {"diameter": "10 mm", "spindle_speed": "1 rpm"},
            "multiple values for argument 'diameter'",
        ),
    ],
)
def test_a_wrong_signature_is_said_in_the_formulas_name(args, kwargs, said):
    with pytest.raises(SignatureError) as error:
        cutting_speed(*args, **kwargs)
    assert str(error.value).startswith("cutting_speed()")
    assert said in str(error.value)
    assert "it takes cutting_speed(diameter, spindle_speed)" in str(error.value)
    assert isinstance(error.value, TypeError)


def test_bare_is_the_very_function(declared):
    def twice(length: Length) -> Length:
        return 2.0 * length

    made = declared(symbol="x", expression="2*l", sources=("DEFINITION",))(twice)
    assert isinstance(made, Formula)
    assert made.bare is twice
    assert cutting_speed.bare(10.0, 8000.0) == pytest.approx(80 * math.pi)


def test_kinds_without_a_unit_come_as_plain_numbers(declared):
    @declared(symbol="x", expression="z/2", sources=("DEFINITION",))
    def half(teeth: Count) -> Ratio:
        return teeth / 2.0

    assert half(3) == 1.5
    assert type(half(3)) is float
    assert half(Q([2, 3], "count")).tolist() == [1.0, 1.5]


def test_a_declaration_that_is_not_in_the_glossary_is_refused(declared):
    with pytest.raises(TypeError, match="glossary"):

        @declared(symbol="x", expression="2*l", sources=())
        def twice(lenght: Length) -> Length:
            return 2.0 * lenght

    with pytest.raises(TypeError, match="kind"):

        @declared(symbol="x", expression="2*l", sources=())
        def thrice(length: float) -> Length:
            return 3.0 * length

    with pytest.raises(TypeError, match="unknown parameters"):

        @declared(symbol="x", expression="2*l", sources=(), domain={"lenght": POSITIVE})
        def fourfold(length: Length) -> Length:
            return 4.0 * length

    with pytest.raises(TypeError, match="result"):

        @declared(symbol="x", expression="2*l", sources=())
        def fivefold(length: Length) -> float:
            return 5.0 * length


# --- arrays ------------------------------------------------------------------------------------------


def test_arrays_broadcast():
    d, n = Q(np.array([[6.0], [10.0], [12.0]]), "mm"), Q(np.array([1000.0, 8000.0]), "rpm")
    result = cutting_speed(d, n)
    assert result.shape == (3, 2)
    for i, j in np.ndindex(3, 2):
        assert result[i, j] == cutting_speed(d[i, 0], n[j])
    assert cutting_speed(d, "8000 rpm").shape == (3, 1)
    # a result that does not depend on all arrays still has the shape they have together
    assert scallop_height(Q(np.ones(4) * 10, "mm"), "1 mm", Q(np.full((2, 1), np.inf), "mm")).shape == (2, 4)


def test_shapes_that_do_not_fit():
    with pytest.raises(DomainError) as error:
        cutting_speed(Q(np.ones(3), "mm"), Q(np.ones(2), "rpm"))
    fault = error.value.faults[0]
    assert (fault.where, fault.given) == ("shapes", "diameter (3,), spindle_speed (2,)")


def prepared(length: int):
    d, a = RANDOM.uniform(1, 20, length), RANDOM.uniform(0, 0.5, length)
    return d, a, RANDOM.uniform(0, 60, length)


@pytest.mark.parametrize("length", [1, 7, 98_303, 98_304, 98_305, 250_001])
def test_pieces_give_what_the_whole_gives(length):
    d, a, b = prepared(length)
    result = ball_effective_diameter(Q(d, "mm"), Q(a, "mm"), Q(b, "deg"))
    np.testing.assert_array_equal(result.magnitude, ball_effective_diameter.bare(d, a, b))


def test_the_piecewise_way_is_taken(monkeypatch):
    """Or the tests of it would test nothing."""
    taken = []
    evaluate = arrays.evaluate_checked
    monkeypatch.setattr(arrays, "evaluate_checked", lambda *a: taken.append(evaluate(*a)) or taken[-1])
    d, a, b = prepared(200_000)
    result = ball_effective_diameter(Q(d, "mm"), Q(a, "mm"), Q(b, "deg"))
    assert result.magnitude is taken[0]


@pytest.mark.parametrize("shape", [(400, 500), (100, 40, 50)])
def test_arrays_of_more_dimensions(shape):
    d, a, b = (v.reshape(shape) for v in prepared(200_000))
    expected = ball_effective_diameter.bare(d, a, b)
    np.testing.assert_array_equal(ball_effective_diameter(Q(d, "mm"), Q(a, "mm"), Q(b, "deg")).magnitude, expected)
    fortran = ball_effective_diameter(Q(np.asfortranarray(d), "mm"), Q(a, "mm"), Q(b, "deg"))
    np.testing.assert_array_equal(fortran.magnitude, expected)


def test_arrays_that_are_views():
    d, a, b = (v[::2] for v in prepared(300_000))
    assert not d.flags.c_contiguous
    result = ball_effective_diameter(Q(d, "mm"), Q(a, "mm"), Q(b, "deg"))
    np.testing.assert_array_equal(result.magnitude, ball_effective_diameter.bare(d, a, b))
    backward = ball_effective_diameter(Q(d[::-1], "mm"), Q(a[::-1], "mm"), Q(b[::-1], "deg"))
    np.testing.assert_array_equal(backward.magnitude, result.magnitude[::-1])


@pytest.mark.parametrize("dtype", [np.int64, np.int16, np.float32, np.float16, ">f8"])
def test_arrays_of_other_numbers(dtype):
    d = RANDOM.integers(1, 30, 150_000).astype(dtype)
    result = ball_effective_diameter(Q(d, "mm"), Q(0.2, "mm"), Q(15.0, "deg"))
    assert result.magnitude.dtype == np.dtype(float)
    np.testing.assert_array_equal(result.magnitude, ball_effective_diameter.bare(d.astype(float), 0.2, 15.0))


def test_inch_arrays_and_scalars_beside_arrays():
    d, a, b = prepared(150_000)
    result = ball_effective_diameter(Q(d, "inch"), Q(0.01, "inch"), Q(b, "deg"))
    np.testing.assert_allclose(result.magnitude, ball_effective_diameter.bare(d * 25.4, 0.254, b), rtol=1e-14, atol=0)
    assert ball_effective_diameter(Q(10.0, "mm"), Q(a, "mm"), "15 deg").shape == a.shape


def test_several_results_from_arrays():
    d, a, b = prepared(150_000)
    least, contact, largest = ball_cutting_diameters(Q(d, "mm"), Q(a, "mm"), Q(b, "deg"))
    for got, expected in zip((least, contact, largest), ball_cutting_diameters.bare(d, a, b), strict=True):
        np.testing.assert_array_equal(got.magnitude, expected)
    single = ball_cutting_diameters(Q(d[:1], "mm"), Q(a[:1], "mm"), Q(b[:1], "deg"))
    assert [s.shape for s in single] == [(1,)] * 3


def test_the_arrays_given_are_left_as_they_are():
    d, a, b = prepared(150_000)
    copies = d.copy(), a.copy(), b.copy()
    result = ball_effective_diameter(Q(d, "mm"), Q(a, "mm"), Q(b, "deg"))
    for given, kept in zip((d, a, b), copies, strict=True):
        np.testing.assert_array_equal(given, kept)
        assert not np.shares_memory(result.magnitude, given)
    from millcalc.formulas.finish import rz_from_scallop

    height = np.array([1.0, 2.0])
    for given in (height, height[::-1]):
        assert not np.shares_memory(rz_from_scallop("10 mm", Q(given, "um")).magnitude, height)


@pytest.mark.parametrize("index", [0, 5, 98_304, 149_999])
def test_the_first_bad_index_and_how_many(index):
    d, a, b = prepared(150_000)
    d[index] = -1.0
    d[149_999] = np.nan
    count = len({index, 149_999})
    with pytest.raises(DomainError) as error:
        ball_effective_diameter(Q(d, "mm"), Q(a, "mm"), Q(b, "deg"))
    fault = error.value.faults[0]
    assert fault.where == "diameter"
    assert fault.reason == (f"{count} of 150000 values lie outside the domain, the first at index {index}")
    assert fault.given == ("-1 mm" if index != 149_999 else "nan mm") + f" at index {index}"


def test_the_first_index_at_which_a_requirement_fails():
    stepover = np.full((3, 4), 0.5)
    stepover[1, 2] = stepover[2, 3] = 12.0
    with pytest.raises(DomainError, match=r"index \(1, 2\), 2 of 12 values fail it") as error:
        scallop_height("10 mm", Q(stepover, "mm"))
    assert "stepover = 12 mm" in error.value.faults[0].where
    with pytest.raises(DomainError, match="at index 1, 1 of 2 values fail it") as error:
        scallop_height("10 mm", "0.5 mm", Q([20.0, -2.0], "mm"))
    assert "surface_radius = -2 mm" in error.value.faults[0].where
    assert "stepover" not in error.value.faults[0].where


def test_a_condition_names_only_the_parameters_in_it(declared):
    @declared(symbol="x", expression="s_d", sources=(), requires=("step_down < 5",))
    def kept(step: Length, step_down: Length) -> Length:
        return step_down + 0.0 * step

    with pytest.raises(DomainError) as error:
        kept(Q(np.ones((2, 3)), "mm"), Q([1.0, 6.0, 1.0], "mm"))
    assert error.value.faults[0].where == "step_down = 6 mm"


def test_a_bare_function_takes_dask_arrays():
    dask = pytest.importorskip("dask.array")
    d, a, b = (dask.from_array(v, chunks=400) for v in prepared(1000))
    result = ball_effective_diameter.bare(d, a, b)
    assert isinstance(result, dask.Array)
    np.testing.assert_array_equal(result.compute(), ball_effective_diameter.bare(d.compute(), a.compute(), b.compute()))


# --- domain and validity -----------------------------------------------------------------------------


def test_no_result_is_an_error_also_among_several(declared):
    @declared(symbol="x, y", expression="l", sources=())
    def pair(length: Length) -> tuple[Length, Length]:
        return length, np.where(length < 5.0, length, np.nan)[()]

    assert [x.magnitude for x in pair(Q(1.0, "mm"))] == [1.0, 1.0]
    for bad in (Q(6.0, "mm"), "6 mm", Q([1.0, 6.0], "mm"), Q(np.linspace(1, 6, 150_000), "mm")):
        with pytest.raises(DomainError, match="no result exists"):
            pair(bad)


def test_outside_the_validated_range_it_warns_once_at_the_users_line():
    arguments = Q(0.5, "mm"), Q(1.0, "mm"), Q(0.5, "mm")
    for call in (ball_max_chip_thickness, ball_max_chip_thickness.sheet):
        with warnings.catch_warnings(record=True) as seen:
            warnings.simplefilter("always")
            call(*arguments)
        assert len(seen) == 1
        assert seen[0].category is ValidityWarning
        assert "outside the validated range feed_per_tooth <= 0.1*diameter" in str(seen[0].message)
        assert seen[0].filename == __file__
    with warnings.catch_warnings(record=True) as seen:
        warnings.simplefilter("always")
        ball_max_chip_thickness(Q(np.full(200_000, 0.5), "mm"), *arguments[1:])
    assert [(w.category, w.filename) for w in seen] == [(ValidityWarning, __file__)]


def test_the_warning_can_be_made_an_error():
    with warnings.catch_warnings():
        warnings.simplefilter("error", ValidityWarning)
        with pytest.raises(ValidityWarning):
            ball_max_chip_thickness(Q(0.5, "mm"), Q(1.0, "mm"), Q(0.5, "mm"))
        ball_max_chip_thickness(Q(0.05, "mm"), Q(1.0, "mm"), Q(0.5, "mm"))


def test_a_call_makes_no_warning_of_its_own(each_formula, numbers_for):
    """No division by zero or root of a negative number is heard of, inside the domain or outside."""
    random = np.random.default_rng(8)
    columns = list(zip(*(numbers_for(each_formula, random) for _ in range(6)), strict=True))
    with warnings.catch_warnings():
        warnings.simplefilter("error", RuntimeWarning)
        for row in zip(*columns, strict=True):
            each_formula(*map(with_unit, row, each_formula.parameters))
        for scale in (-1.0, 0.0, 1e3, math.inf, -math.inf, math.nan):
            for changed in range(len(columns)):
                first = [c[0] for c in columns]
                if isinstance(first[changed], float):
                    first[changed] *= scale
                    with warnings.catch_warnings():
                        warnings.simplefilter("ignore", ValidityWarning)
                        with contextlib.suppress(ArgumentError):
                            each_formula(*map(with_unit, first, each_formula.parameters))


def test_however_large_or_small_a_value_only_typed_errors_come(each_formula, numbers_for):
    numbers = numbers_for(each_formula, np.random.default_rng(8))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for index, parameter in enumerate(each_formula.parameters):
            for value in (1e-320, 1e-200, 1e200, 1e308):
                if isinstance(numbers[index], float):
                    given = list(map(with_unit, numbers, each_formula.parameters))
                    given[index] = with_unit(value, parameter)
                    with contextlib.suppress(ArgumentError):
                        each_formula(*given)


def with_unit(value, parameter):
    return Q(value, parameter.kind.unit) if parameter.kind.unit else value


def test_arrays_scalars_and_texts_agree(each_formula, numbers_for):
    random = np.random.default_rng(9)
    rows = [numbers_for(each_formula, random) for _ in range(8)]
    single = [each_formula(*map(with_unit, row, each_formula.parameters)) for row in rows]
    columns = [np.array(c) for c in zip(*rows, strict=True)]
    many = each_formula(*map(with_unit, columns, each_formula.parameters))
    texts = [
        each_formula(
            *(f"{v!r} {p.kind.label}" if p.kind.unit else v for v, p in zip(r, each_formula.parameters, strict=True))
        )
        for r in rows
    ]
    several = len(each_formula.result_kinds) > 1
    for index, kind in enumerate(each_formula.result_kinds):
        for place in range(8):
            one, text = (r[place][index] if several else r[place] for r in (single, texts))
            element = (many[index] if several else many)[place]
            if kind.words:
                assert one == element == text
            else:
                assert getattr(element, "magnitude", element) == pytest.approx(
                    getattr(one, "magnitude", one), rel=1e-9, abs=1e-9
                )
                assert getattr(text, "magnitude", text) == getattr(one, "magnitude", one)
