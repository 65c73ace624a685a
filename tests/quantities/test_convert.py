"""What may be given for a value; the error for what may not names parameter, given, accepted and example."""

from __future__ import annotations

import math
import warnings
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pint
import pytest
from foreign import REGISTRY

from millcalc.errors import ArgumentError, DomainError, MillcalcError, UnitError, ValidityWarning
from millcalc.formulas.ball import ball_cutting_diameters, ball_effective_diameter
from millcalc.formulas.passes import equalised_stepover
from millcalc.formulas.program import point_count
from millcalc.formulas.proportions import share_of_diameter
from millcalc.formulas.scallops import scallop_height
from millcalc.formulas.speeds import cutting_speed
from millcalc.quantities import kinds
from millcalc.quantities.convert import Parameter, RefusedError, read_value, shown
from millcalc.quantities.kinds import ANY, FLAG, Interval

Q = REGISTRY.Quantity
SPEED_AT_10_MM = math.pi * 10 * 8000 / 1000  # m/min at 8000 rev/min (derived: definition of the cutting speed)


def magnitude(quantity):
    return np.asarray(quantity.magnitude)


GOOD = [
    "10 mm",
    Q(10.0, "mm"),
    Q(10, "mm"),
    Q(1, "cm"),
    Q(10_000, "micrometer"),
    Q(10 / 25.4, "inch"),
    Q(np.float64(10.0), "mm"),
    Q(np.float32(10.0), "mm"),
    Q(np.int32(10), "mm"),
    Q(np.array(10.0), "mm"),
    Q(np.array(10), "mm"),
    Q(Decimal("10"), "mm"),
    Q(Fraction(10), "mm"),
    pint.Quantity(10.0, "mm"),
    np.str_("10 mm"),
    np.array("10 mm"),
]


@pytest.mark.parametrize("diameter", GOOD, ids=repr)
def test_single_values(diameter):
    result = cutting_speed(diameter, "8000 rpm").to("m/min").magnitude
    assert type(result) is float
    assert result == pytest.approx(SPEED_AT_10_MM, rel=1e-14)


ARRAYS = [
    Q([10.0, 20.0], "mm"),
    Q([10, 20], "mm"),
    Q(np.array([10, 20]), "mm"),
    Q(np.array([10.0, 20.0], dtype=np.float32), "mm"),
    Q(np.array([10.0, 20.0], dtype=">f8"), "mm"),
    Q(np.array([10, 20], dtype=np.uint8), "mm"),
    Q(np.array([1.0, 2.0]), "cm"),
    Q(np.array([0.0, 10.0, 0.0, 20.0])[1::2], "mm"),
    Q(np.ma.array([10.0, 20.0]), "mm"),
    ["10 mm", "20 mm"],
    ("10 mm", "2 cm"),
    ["10 mm", Q(20, "mm")],
    [Q(10.0, "mm"), Q(2.0, "cm")],
    np.array(["10 mm", "20 mm"]),
    np.array(["10 mm", Q(20, "mm")], dtype=object),
]


@pytest.mark.parametrize("diameter", ARRAYS, ids=lambda a: f"{type(a).__name__}-{getattr(a, 'dtype', '')}")
def test_arrays_and_lists(diameter):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        result = cutting_speed(diameter, "8000 rpm")
    assert type(result.magnitude) is np.ndarray
    assert result.magnitude.dtype == float
    assert magnitude(result) == pytest.approx([SPEED_AT_10_MM, 2 * SPEED_AT_10_MM], rel=1e-14)


def test_nested_lists():
    result = cutting_speed([["10 mm", "20 mm"], ["30 mm", "40 mm"]], "8000 rpm")
    assert result.shape == (2, 2)
    with pytest.raises(UnitError, match="rows differ"):
        cutting_speed([["10 mm", "20 mm"], ["30 mm"]], "8000 rpm")


def test_numbers_without_unit_where_the_kind_has_none():
    for passes in (
        287,
        287.0,
        np.int64(287),
        np.float32(287),
        "287",
        Q(287, "count"),
        Q(287.0, ""),
        np.array(287),
    ):
        assert equalised_stepover("57.2 mm", passes).magnitude == pytest.approx(0.2, rel=1e-14)
    for passes in ([2, 3], (2, 3), np.array([2, 3]), [2.0, "3"], Q([2, 3], "count")):
        assert magnitude(equalised_stepover("6 mm", passes)) == pytest.approx([6, 3])
    assert share_of_diameter("6 mm", Q(50, "percent")).magnitude == 3.0
    assert share_of_diameter("6 mm", Fraction(1, 2)).magnitude == 3.0
    assert share_of_diameter("6 mm", "1/2").magnitude == 3.0


def test_empty_arrays():
    result = cutting_speed(Q(np.array([]), "mm"), "8000 rpm")
    assert result.shape == (0,)
    assert str(result.units) == "meter / minute"
    assert cutting_speed(Q(np.empty((0, 3)), "mm"), Q(np.ones(3), "rpm")).shape == (0, 3)
    assert point_count(np.array([]), 3).shape == (0,)
    assert scallop_height(Q([], "mm"), "1 mm", "20 mm").shape == (0,)


def test_zero_and_infinity():
    assert cutting_speed("10 mm", "0 rpm").magnitude == 0.0
    assert ball_effective_diameter("10 mm", Q(0, "inch")).magnitude == 0.0
    assert ball_effective_diameter("10 mm", Q(-0.0, "mm")).magnitude == 0.0
    flat = scallop_height("10 mm", "0.5 mm").magnitude
    # infinity is the same in every unit, so it needs none
    for infinite in (
        "inf",
        "inf mm",
        "infinity in",
        math.inf,
        np.inf,
        Q(math.inf, "mm"),
        Q(-math.inf, "inch"),
    ):
        try:
            assert scallop_height("10 mm", "0.5 mm", infinite).magnitude == flat
        except DomainError:  # minus infinity is a flat surface too, or is refused, but never another number
            assert infinite.magnitude < 0
    with pytest.raises(UnitError):
        scallop_height("10 mm", "0.5 mm", math.nan)


OUTSIDE = [
    ("0 mm", "above 0 mm, finite"),
    ("-10 mm", "outside the domain"),
    ("inf mm", "outside the domain"),
    ("-inf mm", "outside the domain"),
    (Q(0.0, "mm"), "outside the domain"),
    (Q(-10, "inch"), "given -10 inch"),
    (Q(math.nan, "mm"), "not a number"),
    (Q(math.inf, "mm"), "outside the domain"),
    (Q(-math.inf, "mm"), "outside the domain"),
    (Q(np.array(math.nan), "mm"), "not a number"),
    (Q([1.0, math.nan, 2.0, -1.0], "mm"), "given nan mm at index 1; 2 of 4 values"),
    (Q([[1.0, 2.0], [3.0, 0.0]], "mm"), r"given 0 mm at index \(1, 1\); 1 of 4 values"),
    (Q(np.ma.array([1.0, 2.0], mask=[False, True]), "mm"), "given nan mm at index 1"),
    (["1 mm", "-1 mm"], "given -1 mm at index 1"),
]


@pytest.mark.parametrize(("diameter", "said"), OUTSIDE, ids=lambda v: str(v)[:20])
def test_outside_the_domain(diameter, said):
    with pytest.raises(DomainError, match=said) as error:
        cutting_speed(diameter, "8000 rpm")
    fault = error.value.faults[0]
    assert (fault.where, fault.example) == ("diameter", '"12 mm"')
    assert "quantity or text in mm" in fault.accepted


UNUSABLE = [
    (10, "needs a unit", "10"),
    (10.0, "needs a unit", "10.0"),
    (np.float64(10), "needs a unit", "10.0"),
    (np.array([1.0, 2.0]), "needs a unit", "[1., 2.]"),
    ([1.0, 2.0], "needs a unit", "[1., 2.]"),
    ([], "needs a unit", "[]"),
    ("10", "needs a unit", "'10'"),
    ("", "empty", "''"),
    ("mm", "does not begin with a number", "'mm'"),
    ("0,5 mm", "comma", "'0,5 mm'"),
    ("12 mm 3 mm", "not a unit", "'12 mm 3 mm'"),
    ("10**10**3 mm", "not a unit", "'10**10**3 mm'"),
    ("10 furlongsies", "not known", "'10 furlongsies'"),
    ("10 mil", "write thou", "'10 mil'"),
    (Q(10, "mil"), "write thou", "10 mil"),
    ("10 s", "that of a time", "'10 s'"),
    (Q(10, "second"), "that of a time", "10 second"),
    ("0.1 mm/rev", "a feed per revolution, not of a length", "'0.1 mm/rev'"),
    ("0.1 mm/tooth", "a feed per tooth, not of a length", "'0.1 mm/tooth'"),
    (Q(3, "degC"), "not that of a length", "3 degree_Celsius"),
    (Q(3, "dB"), "not that of a length", "3 decibel"),
    (Q(3, "mm^2"), "that of an area, not of a length", "3 millimeter ** 2"),
    (Q(3, ""), "not that of a length", "3 dimensionless"),
    (Q(1j, "mm"), "neither a real number", "1j millimeter"),
    (Q(np.array([1j]), "mm"), "neither a real number", "[0.+1.j] millimeter"),
    (Q(np.array([True]), "mm"), "neither a real number", "[ True] millimeter"),
    (Q(10**400, "mm"), "too large", "1000"),
    (True, "yes or no", "True"),
    (np.bool_(True), "yes or no", "True"),
    (np.array([True]), "yes or no", "True"),
    (1j, "complex is not a length", "1j"),
    (None, "NoneType is not a length", "None"),
    (b"10 mm", "bytes is not a length", "b'10 mm'"),
    ({"mm": 1}, "dict is not a length", "{'mm': 1}"),
    (REGISTRY.mm, "Unit is not a length", "millimeter"),
    (np.array([1, 2], dtype="datetime64[s]"), "ndarray is not a length", "array("),
    (["10 mm", 3], "needs a unit", "3"),
]


@pytest.mark.parametrize(("diameter", "said", "given"), UNUSABLE, ids=lambda v: str(v)[:24])
def test_unusable_values(diameter, said, given):
    with pytest.raises(UnitError) as error:
        cutting_speed(diameter, "8000 rpm")
    fault = error.value.faults[0]
    assert fault.where.startswith("diameter")
    assert given in fault.given
    assert said in fault.reason
    assert fault.accepted == "a quantity or text in mm, um, m, in, thou (above 0 mm, finite)"
    assert fault.example == '"12 mm"'
    for part in (fault.where, fault.given, fault.reason, fault.accepted, fault.example):
        assert part in str(error.value)


def test_a_list_names_the_item():
    with pytest.raises(UnitError) as error:
        cutting_speed(["10 mm", ["20 mm", "30 s"]], "8000 rpm")
    assert error.value.faults[0].where == "diameter[1][1]"


@pytest.mark.parametrize(("passes", "said"), [(2.5, "whole"), ([2, 2.5], "at index 1"), ("4 mm", "has a unit")])
def test_counts(passes, said):
    with pytest.raises(ArgumentError, match=said):
        equalised_stepover("6 mm", passes)
    with pytest.raises(ArgumentError, match="has a unit"):
        equalised_stepover("6 mm", Q(3, "radian"))
    with pytest.raises(ArgumentError, match="has a unit"):
        share_of_diameter("6 mm", Q(3, "count"))
    with pytest.raises(ArgumentError):
        equalised_stepover(Q(6.0, "mm"), math.nan)
    with pytest.raises(UnitError, match="too large"):
        equalised_stepover(Q(6.0, "mm"), 10**400)


def test_infinity_for_a_count_never_crashes():
    endless = Parameter("passes", kinds.COUNT, Interval(1.0))
    assert endless.quick(math.inf) is None
    assert read_value(math.inf, endless) == math.inf


def test_all_bad_arguments_in_one_error():
    with pytest.raises(ArgumentError) as error:
        ball_effective_diameter(10, Q(-1.0, "mm"), "3 apples")
    assert [f.where for f in error.value.faults] == ["diameter", "normal_depth", "inclination"]
    text = str(error.value)
    assert text.startswith("ball_effective_diameter cannot be computed:\n  - diameter: given 10;")
    assert text.count("\n  - ") == 3


def test_the_type_of_the_error_is_that_of_its_faults():
    with pytest.raises(UnitError):
        cutting_speed(10, "8000")
    with pytest.raises(DomainError):
        cutting_speed("-1 mm", "-1 rpm")
    with pytest.raises(ArgumentError) as mixed:
        cutting_speed(10, "-1 rpm")
    assert type(mixed.value) is ArgumentError
    assert issubclass(ArgumentError, ValueError)
    assert issubclass(ArgumentError, MillcalcError)


@pytest.mark.parametrize("side", [True, False, 1, "up", "", None, Q(1, "mm"), ["left", "up"]])
def test_words_that_are_none_of_the_choices(side):
    # the other arguments are ordinary, so that the quick way is tried first
    with pytest.raises(UnitError) as error:
        ball_cutting_diameters(Q(10.0, "mm"), Q(0.2, "mm"), uncut_side=side)
    assert error.value.faults[0].accepted == "'left' or 'right'"


def test_choices():
    lean = {"tilt": Q(15.0, "deg"), "stepover": Q(0.5, "mm")}
    ball = (Q(10.0, "mm"), Q(0.5, "mm"))
    left = ball_cutting_diameters(*ball, **lean, uncut_side="left")
    right = ball_cutting_diameters(*ball, **lean, uncut_side="right")
    assert left[2] != right[2]
    assert ball_cutting_diameters(*ball, **lean, uncut_side=" RIGHT ") == right
    both = ball_cutting_diameters(*ball, **lean, uncut_side=np.array(["left", "right"]))
    assert magnitude(both[2]) == pytest.approx([left[2].magnitude, right[2].magnitude], rel=1e-14)


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        (True, True),
        (np.bool_(False), False),
        ("yes", True),
        ("False", False),
        ("no", False),
        (" TRUE ", True),
    ],
)
def test_yes_or_no(given, expected):
    flag = Parameter("inside", FLAG, ANY)
    assert read_value(given, flag) is expected
    assert flag.quick(given) in (expected if type(given) is bool else None, None)


@pytest.mark.parametrize("given", [1, 0, "maybe", None, 1.0, [1, 0]])
def test_what_is_neither_yes_nor_no(given):
    flag = Parameter("inside", FLAG, ANY)
    assert flag.quick(given) is None
    with pytest.raises(RefusedError):
        read_value(given, flag)


def test_lists_of_yes_and_no():
    flag = Parameter("inside", FLAG, ANY)
    assert read_value([True, False], flag).tolist() == [True, False]
    assert read_value(np.array([True]), flag).tolist() == [True]


def test_an_implausible_value_warns_and_an_error_comes_first():
    with pytest.warns(ValidityWarning, match="diameter = '1e9 mm' is not plausible for a length"):
        cutting_speed("1e9 mm", "8000 rpm")
    with warnings.catch_warnings():
        warnings.simplefilter("error", ValidityWarning)
        with pytest.raises(ValidityWarning):
            cutting_speed(Q(1e9, "mm"), Q(8000, "rpm"))
        with pytest.raises(UnitError):  # not the warning: what is wrong is said first, and all of it
            cutting_speed("1e9 mm", "8000 mm")


def test_what_was_given_is_shown_on_one_short_line():
    assert shown(Q(np.arange(6).reshape(2, 3), "mm")) == "[[0 1 2] [3 4 5]] millimeter"
    assert len(shown("x" * 500)) == 60
    assert shown(10**5000) == "a value of type int"
    latex = pint.UnitRegistry()
    latex.formatter.default_format = "Lx"
    assert shown(latex.Quantity(5, "mm")) == "5 millimeter"


def test_the_quick_way_and_the_careful_way_agree():
    """Every value that the quick way takes, the careful way reads as the same number."""
    values = [
        *GOOD,
        Q(3.0, "inch"),
        Q(7, "foot"),
        Q(5.0, "s"),
        Q(1e9, "mm"),
        3,
        2.5,
        True,
        "left",
        None,
        math.inf,
    ]
    kinds_and_domains = [
        (kinds.LENGTH, kinds.POSITIVE),
        (kinds.FEED_PER_TOOTH, kinds.NOT_NEGATIVE),
        (kinds.COUNT, kinds.NOT_NEGATIVE),
        (kinds.RATIO, kinds.FINITE),
        (kinds.SIDE, ANY),
        (kinds.FLAG, ANY),
    ]
    taken = 0
    for kind, domain in kinds_and_domains:
        parameter = Parameter("value", kind, domain)
        for value in values:
            quick = parameter.quick(value)
            if quick is not None:
                taken += 1
                assert quick == read_value(value, parameter)
    assert taken > 15
