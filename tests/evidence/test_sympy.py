"""Every printed expression, turned into a sympy expression as a whole, gives what the code gives.

Unlike the reader of tests/formulas/test_expressions.py, which evaluates the side of a choice that is taken, this keeps
the whole of it: choices become Piecewise, and what is printed can be simplified and differentiated.
"""

from __future__ import annotations

import ast

import numpy as np
import pytest
import sympy

from millcalc.quantities.glossary import GLOSSARY
from millcalc.quantities.kinds import ANGLE, RADIUS

POINTS = 2
FUNCTIONS = {
    "abs": sympy.Abs,
    "sqrt": sympy.sqrt,
    "sin": sympy.sin,
    "cos": sympy.cos,
    "tan": sympy.tan,
    "arcsin": sympy.asin,
    "arccos": sympy.acos,
    "arctan2": sympy.atan2,
    "exp": sympy.exp,
    "log": sympy.log,
    "ceil": sympy.ceiling,
    "floor": sympy.floor,
    "min": sympy.Min,
    "max": sympy.Max,
}
BINARY = {
    ast.Add: lambda a, b: a + b,
    ast.Sub: lambda a, b: a - b,
    ast.Mult: lambda a, b: a * b,
    ast.Div: lambda a, b: a / b,
    ast.Pow: lambda a, b: a**b,
}
COMPARED = {
    ast.Lt: sympy.Lt,
    ast.LtE: sympy.Le,
    ast.Gt: sympy.Gt,
    ast.GtE: sympy.Ge,
    ast.Eq: sympy.Eq,
    ast.NotEq: sympy.Ne,
}


def translated(node, names):
    """Return a syntax tree as a sympy expression."""
    match node:
        case ast.Constant(value=number):
            return sympy.Rational(str(number))
        case ast.Name(id=name):
            return names[name]
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            return -translated(operand, names)
        case ast.BinOp(left=left, op=op, right=right):
            return BINARY[type(op)](translated(left, names), translated(right, names))
        case ast.Compare(left=left, ops=[op], comparators=[right]):
            return COMPARED[type(op)](translated(left, names), translated(right, names))
        case ast.IfExp(test=test, body=body, orelse=orelse):
            condition = translated(test, names)
            return sympy.Piecewise((translated(body, names), condition), (translated(orelse, names), True))
        case ast.Call(func=ast.Name(id=name), args=arguments, keywords=[]):
            return FUNCTIONS[name](*(translated(a, names) for a in arguments))
    raise AssertionError(f"not understood: {ast.dump(node)}")


def symbolic(formula):
    """Return the printed expression, its helpers put in, and the symbols of the parameters in order."""
    symbols = [
        sympy.Symbol(GLOSSARY[p.name].symbol, **({} if p.kind.discrete else {"real": True})) for p in formula.parameters
    ]
    names = {"pi": sympy.pi, "inf": sympy.oo} | {str(s): s for s in symbols}
    *helpers, main = formula.expression.replace("^", "**").split(";")
    for helper in helpers:
        name, text = helper.split("=", 1)
        names[name.strip()] = translated(ast.parse(text.strip(), mode="eval").body, names)
    return translated(ast.parse(main.strip(), mode="eval").body, names), symbols


def exact(parameter, number):
    if isinstance(number, bool):
        return sympy.true if number else sympy.false
    value = sympy.Float(number, 40) if np.isfinite(number) else sympy.oo
    return value * sympy.pi / 180 if parameter.kind is ANGLE else value


def test_the_expression_in_sympy(each_formula, numbers_for):
    if not each_formula.expression:
        return
    expression, symbols = symbolic(each_formula)
    random = np.random.default_rng(11)
    for _ in range(POINTS):
        numbers = numbers_for(each_formula, random)
        at = {s: exact(p, n) for s, p, n in zip(symbols, each_formula.parameters, numbers, strict=True)}
        value = sympy.N(expression.xreplace(at).doit(), 30)
        number = float(value * 180 / sympy.pi) if each_formula.result_kinds == (ANGLE,) else float(value)
        assert float(each_formula.bare(*numbers)) == pytest.approx(number, rel=1e-12, abs=1e-300), numbers


@pytest.mark.parametrize(
    ("name", "by", "expected"),
    [
        ("cutting_speed", "D", "pi*n/1000"),
        ("removal_rate", "a_p", "a_e*v_f/1000"),
        ("spindle_torque", "P_c", "30000/(pi*n)"),
        ("second_moment", "D", "pi*D**3/16"),
        ("taylor_life", "v_c", "-(C/v_c)**(1/n)/(n*v_c)"),
    ],
)
def test_derivatives_of_what_is_printed(formulas, name, by, expected):
    """The printed form is mathematics: its derivative is the one of the books."""
    expression, symbols = symbolic(formulas[name])
    places = {str(s): s for s in symbols}
    stated = sympy.sympify(expected, locals=places)
    numbers = {s: sympy.Rational(k + 3, 2) for k, s in enumerate(symbols)}
    assert float((expression.diff(places[by]) - stated).xreplace(numbers)) == pytest.approx(0.0, abs=1e-12)


def test_a_curved_surface_becomes_a_plane(formulas):
    """The limit of the scallop on a surface of infinite radius is that on a plane, in symbols' own series."""
    expression, symbols = symbolic(formulas["scallop_height"])
    (rho,) = (s for s, p in zip(symbols, formulas["scallop_height"].parameters, strict=True) if p.kind is RADIUS)
    size, stepover = (s for s in symbols if s != rho)
    curved = expression.xreplace({size: sympy.Integer(10), stepover: sympy.Integer(1), rho: sympy.Float("1e12", 60)})
    flat = 1000 * (5 - sympy.sqrt(25 - sympy.Rational(1, 4)))
    assert float(sympy.N(curved.doit(), 40)) == pytest.approx(float(flat), rel=1e-9)
