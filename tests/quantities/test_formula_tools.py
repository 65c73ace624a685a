"""A Formula keeps Python's own tools working: pickle, inspect, pydoc, doctest, functools, mypy."""

from __future__ import annotations

import copy
import doctest
import functools
import importlib.util
import inspect
import pickle
import pydoc
import subprocess
import sys

import numpy as np
import pytest
from foreign import REGISTRY

from millcalc.formulas import ball, speeds
from millcalc.formulas.ball import ball_effective_diameter
from millcalc.formulas.speeds import cutting_speed, feed_rate
from millcalc.quantities.formula import FORMULAS, formula

Q = REGISTRY.Quantity
RANDOM = np.random.default_rng(2)


@pytest.fixture
def declared():
    """Declare formulas for one test only."""
    before = dict(FORMULAS)
    yield formula
    FORMULAS.clear()
    FORMULAS.update(before)


def test_pickle_and_copy(each_formula):
    assert pickle.loads(pickle.dumps(each_formula)) is each_formula
    assert pickle.loads(pickle.dumps(each_formula.bare)) is each_formula.bare
    assert copy.copy(each_formula) is each_formula
    assert copy.deepcopy(each_formula) is each_formula


def test_the_signature_is_that_of_the_function(each_formula):
    assert inspect.signature(each_formula) == inspect.signature(each_formula.bare)
    assert list(inspect.signature(each_formula).parameters) == [p.name for p in each_formula.parameters]
    assert inspect.isroutine(each_formula)
    assert each_formula.__doc__ == each_formula.bare.__doc__
    assert each_formula.__name__ in repr(each_formula)


def test_pydoc_renders():
    page = pydoc.render_doc(ball, renderer=pydoc.plaintext)
    for name in ball.__all__:
        assert f"{name}(" in page
    assert "Return the largest diameter [mm]" in pydoc.render_doc(ball_effective_diameter, renderer=pydoc.plaintext)


def test_functools():
    at_ten = functools.partial(cutting_speed, "10 mm")
    assert at_ten("8000 rpm") == cutting_speed("10 mm", "8000 rpm")

    @functools.wraps(cutting_speed)
    def logged(*args, **kwargs):
        return cutting_speed(*args, **kwargs)

    assert logged.__name__ == "cutting_speed"
    assert inspect.signature(logged) == inspect.signature(cutting_speed)
    assert functools.lru_cache(cutting_speed)("10 mm", "8000 rpm") == cutting_speed("10 mm", "8000 rpm")
    assert next(map(feed_rate, ["0.1 mm"], [4], ["100 rpm"])).magnitude == pytest.approx(40)


def test_a_formula_as_attribute_of_a_class_needs_no_instance():
    class Shop:
        speed = cutting_speed

    assert Shop().speed is cutting_speed


MODULE = '''
from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import Length

@formula(symbol="x", expression="2*l", sources=("DEFINITION",))
def doubled(length: Length) -> Length:
    """Return twice a length [mm].

    >>> print(doubled("3 mm"))
    6.0 millimeter
    >>> print(doubled("3 mm"))
    7.0 millimeter
    """
    return 2.0 * length
'''


def test_doctests_are_found_and_run(tmp_path, declared):
    path = tmp_path / "shop_formulas.py"
    path.write_text(MODULE)
    spec = importlib.util.spec_from_file_location("shop_formulas", path)
    module = importlib.util.module_from_spec(spec)
    sys.modules["shop_formulas"] = module
    spec.loader.exec_module(module)
    try:
        results = doctest.testmod(module, report=False, verbose=False, raise_on_error=False)
        assert (results.attempted, results.failed) == (2, 1)
    finally:
        del sys.modules["shop_formulas"]


def test_every_formula_of_a_module_is_found_by_doctest():
    found = {t.name.rsplit(".", 1)[1] for t in doctest.DocTestFinder().find(speeds) if t.examples}
    assert found >= set(speeds.__all__)


RIGHT = """
from millcalc.formulas.ball import ball_effective_diameter
from millcalc.formulas.speeds import cutting_speed
cutting_speed("10 mm", spindle_speed="8000 rpm")
cutting_speed.bare(10.0, 8000.0)
ball_effective_diameter("10 mm", "0.2 mm")
print(cutting_speed.sheet("10 mm", "8000 rpm"))
"""
WRONG = {
    "missing": ('cutting_speed("10 mm")', 'Missing positional argument "spindle_speed"'),
    "misspelt": (
        'cutting_speed("10 mm", spindel_speed="8000 rpm")',
        'Unexpected keyword argument "spindel_speed"',
    ),
    "too many": ('cutting_speed("10 mm", "8000 rpm", 3)', "Too many arguments"),
    "bare missing": ("cutting_speed.bare(10.0)", "Too few arguments"),
    "sheet misspelt": ('cutting_speed.sheet("10 mm", spindel_speed="1 rpm")', "Unexpected keyword argument"),
}


def test_mypy_catches_a_missing_and_a_misspelt_argument(tmp_path):
    pytest.importorskip("mypy")
    (tmp_path / "right.py").write_text(RIGHT)
    lines = RIGHT.splitlines()[:3]
    (tmp_path / "wrong.py").write_text("\n".join([*lines, *(code for code, _ in WRONG.values())]))
    command = [sys.executable, "-m", "mypy", "--strict", "--cache-dir", str(tmp_path / "cache")]
    done = subprocess.run([*command, "right.py", "wrong.py"], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 1, done.stdout + done.stderr
    errors = [line for line in done.stdout.splitlines() if ": error: " in line]
    complaints = {line.split(":")[1]: line for line in errors if line.startswith("wrong.py")}
    assert len(errors) == len(WRONG)
    assert len(complaints) == len(WRONG)
    for number, (_, said) in enumerate(WRONG.values(), start=len(lines) + 1):
        assert said in complaints[str(number)]
