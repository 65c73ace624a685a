"""Every printed expression, evaluated as it stands in 30 digits, gives what the code gives.

The reader below knows nothing of the library: it walks the syntax tree of the printed text.  An angle in an
expression is an angle, so degrees are turned into radians on the way in and back on the way out.
"""

from __future__ import annotations

import ast
import operator
from pathlib import Path

import mpmath as mp
import numpy as np
import pytest

from millcalc.quantities.glossary import GLOSSARY
from millcalc.quantities.kinds import ANGLE

POINTS = 200
DIGITS = 30
TOLERANCE = 1e-12  # the code's 16 digits, less what a root near the end of a domain costs

# No closed expression: the witness that covers each instead.
WITHOUT_EXPRESSION = {
    "oblique_coefficients": "test_oblique.py::test_vectors_on_the_shear_plane",
    "linearised_force": "test_oblique.py::test_line_of_least_squares",
    "mean_milling_force": "test_average_force.py::test_quadrature",
    "entry_angle": "test_cutting_force.py::test_entry_and_exit",
    "exit_angle": "test_cutting_force.py::test_entry_and_exit",
    "ball_cutting_diameters": "test_witness_ball.py::test_cutting_diameters",
    "ball_mean_chip_thickness": "test_ball.py::test_mean_chip_ring_by_ring",
    "scallop_from_ra": "test_witness_finish.py::test_scallop_for_a_finish",
    "stepped_spindle_speed": "test_preferred_numbers.py::test_the_printed_series",
    "standard_tolerance": "test_tolerances.py::test_the_printed_table",
    "corner_path_length": "test_corner_passes.py::test_path_is_what_a_walk_along_it_finds",
}

FUNCTIONS = {
    "abs": abs,
    "sqrt": mp.sqrt,
    "sin": mp.sin,
    "cos": mp.cos,
    "tan": mp.tan,
    "arcsin": mp.asin,
    "arccos": mp.acos,
    "arctan2": mp.atan2,
    "exp": mp.exp,
    "log": mp.log,
    "ceil": mp.ceil,
    "floor": mp.floor,
    "min": min,
    "max": max,
}
OPERATORS = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
    ast.Lt: operator.lt,
    ast.LtE: operator.le,
    ast.Gt: operator.gt,
    ast.GtE: operator.ge,
    ast.Eq: operator.eq,
    ast.NotEq: operator.ne,
}


def value(node, names):
    """Evaluate a syntax tree in high precision; of a choice only the side taken."""
    match node:
        case ast.Constant(value=number):
            return mp.mpf(str(number))
        case ast.Name(id=name):
            return names[name]
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            return -value(operand, names)
        case ast.BinOp(left=left, op=op, right=right):
            return OPERATORS[type(op)](value(left, names), value(right, names))
        case ast.Compare(left=left, ops=[op], comparators=[right]):
            return OPERATORS[type(op)](value(left, names), value(right, names))
        case ast.IfExp(test=test, body=body, orelse=orelse):
            return value(body if value(test, names) else orelse, names)
        case ast.Call(func=ast.Name(id=name), args=arguments, keywords=[]):
            return FUNCTIONS[name](*(value(a, names) for a in arguments))
    raise AssertionError(f"not understood: {ast.dump(node)}")


def printed_value(formula, numbers):
    """Evaluate the printed expression of a formula for numbers in trade units."""
    with mp.workdps(DIGITS):
        names = {"pi": mp.pi, "inf": mp.inf}
        for parameter, number in zip(formula.parameters, numbers, strict=True):
            exact = number if isinstance(number, (bool, str)) else mp.mpf(number)
            names[GLOSSARY[parameter.name].symbol] = mp.radians(exact) if parameter.kind is ANGLE else exact
        *helpers, main = formula.expression.replace("^", "**").split(";")
        for helper in helpers:
            name, text = helper.split("=", 1)
            names[name.strip()] = value(ast.parse(text.strip(), mode="eval").body, names)
        result = value(ast.parse(main.strip(), mode="eval").body, names)
        return float(mp.degrees(result) if formula.result_kinds == (ANGLE,) else result)


def test_the_expression_is_what_the_code_computes(each_formula, numbers_for):
    if not each_formula.expression:
        assert each_formula.method
        assert each_formula.__name__ in WITHOUT_EXPRESSION
        return
    random = np.random.default_rng(4)
    for _ in range(POINTS):
        numbers = numbers_for(each_formula, random)
        expected = printed_value(each_formula, numbers)
        assert float(each_formula.bare(*numbers)) == pytest.approx(expected, rel=TOLERANCE, abs=1e-300), numbers


@pytest.mark.parametrize("name", ["scallop_height", "scallop_stepover", "programmed_feed_rate", "largest_stepover"])
def test_flat_surfaces_and_infinite_values(formulas, numbers_for, name):
    """The side of the expression that holds for a flat surface."""
    formula = formulas[name]
    at = [p.name for p in formula.parameters].index("surface_radius")
    random, checked = np.random.default_rng(6), 0
    while checked < POINTS:
        numbers = list(numbers_for(formula, random))
        numbers[at] = random.choice([-1.0, 1.0]) * np.inf if name == "programmed_feed_rate" else np.inf
        with np.errstate(invalid="ignore"):
            result = float(formula.bare(*numbers))
        if result == result:
            assert result == pytest.approx(printed_value(formula, numbers), rel=TOLERANCE)
            checked += 1


def test_the_formulas_without_expression_are_those_listed(formulas):
    assert {n for n, f in formulas.items() if not f.expression} == set(WITHOUT_EXPRESSION)


@pytest.mark.parametrize(("name", "witness"), WITHOUT_EXPRESSION.items())
def test_the_witness_that_stands_in_exists(name, witness):
    module, test = witness.split("::")
    text = (Path(__file__).parent / module).read_text(encoding="utf-8")
    body = text.split(f"def {test}(", 1)[1].split("\ndef ", 1)[0]
    assert name in body


@pytest.mark.parametrize(
    ("text", "names", "expected"),
    [
        ("-2**2", {}, -4),
        ("2*x if x > 3 else x/2", {"x": 5}, 10),
        ("2*x if x > 3 else 1/(x - 1)", {"x": 1.5}, 2),
        ("min(max(x, 1), sqrt(16))", {"x": 9}, 4),
    ],
)
def test_the_reader_itself(text, names, expected):
    exact = {n: mp.mpf(v) for n, v in names.items()}
    assert value(ast.parse(text, mode="eval").body, exact) == expected


def test_a_wrong_expression_is_noticed(formulas, numbers_for):
    """Or agreement would mean nothing: a factor changed by 1e-11 is told apart."""
    formula = formulas["cutting_speed"]
    numbers = numbers_for(formula, np.random.default_rng(5))
    expected = printed_value(formula, numbers)
    assert float(formula.bare(*numbers)) * (1 + 1e-11) != pytest.approx(expected, rel=TOLERANCE)
