"""What a checked call costs, as ratios measured in one run: never seconds, which are the machine's.

Both sides of a ratio are timed in turn, many times, and the least of each is taken, so that what else the
machine does hits both or neither.
"""

from __future__ import annotations

import atexit
import functools
import os
import subprocess
import sys
import tempfile
import timeit
from collections.abc import Callable

import numpy as np
import pytest
from foreign import REGISTRY
from rounds import settled

from millcalc.formulas.ball import ball_effective_diameter
from millcalc.formulas.speeds import cutting_speed

Q = REGISTRY.Quantity
RIGHT_ANGLE = Q(90.0, "deg")


def least(*calls: Callable[[], object], number: int, rounds: int) -> list[float]:
    """Return the least time of each call, the calls timed in turn."""
    timers = [timeit.Timer(c) for c in calls]
    times = [[t.timeit(number) for t in timers] for _ in range(rounds)]
    return [min(column) / number for column in zip(*times, strict=True)]


def in_pint(diameter, depth, inclination):
    """The same formula in pint arithmetic."""
    cap = np.arccos(1.0 - 2.0 * depth / diameter)
    return diameter * np.sin(np.minimum(inclination + cap, RIGHT_ANGLE))


@pytest.mark.parametrize(
    ("given", "limit"),
    [((Q(10.0, "mm"), Q(0.2, "mm")), 1 / 20), ((Q(0.4, "inch"), Q(0.008, "inch")), 1 / 15)],
    ids=["mm", "inch"],
)
def test_a_scalar_call_against_pint_arithmetic(given, limit):
    inclination = Q(15.0, "deg")
    assert ball_effective_diameter(*given, inclination).to("mm").magnitude == pytest.approx(
        in_pint(*given, inclination).to("mm").magnitude, rel=1e-12
    )

    def ratio() -> float:
        ours, pints = least(
            lambda: ball_effective_diameter(*given, inclination),
            lambda: in_pint(*given, inclination),
            number=100,
            rounds=40,
        )
        return ours / pints

    assert settled(ratio, limit) <= limit


def test_what_a_call_adds_to_the_bare_function(each_formula, numbers_for, monkeypatch):
    """At most three times what pint takes to make one quantity, defaults given or left out.

    What the bare function itself takes cancels in the difference and only adds noise, a hundred times the
    limit where it searches; so a function that has its answer ready takes its place on both sides.
    """
    numbers = numbers_for(each_formula, np.random.default_rng(7))
    unit = REGISTRY.millimeter
    parameters = each_formula.parameters
    given = [Q(n, p.kind.unit) if p.kind.unit else n for n, p in zip(numbers, parameters, strict=True)]
    answer = each_formula.bare(*numbers)

    def ready(*_):
        return answer

    monkeypatch.setattr(each_formula, "bare", ready)
    for arguments in (given, given[: sum(p.required for p in parameters)]):

        def ratio(arguments=arguments) -> float:
            call, plain, quantity = least(
                lambda: each_formula(*arguments),
                lambda: ready(*numbers),
                lambda: Q(1.0, unit),
                number=60,
                rounds=25,
            )
            return (call - plain) / quantity

        assert settled(ratio, 3.0) <= 3.0


def million():
    random = np.random.default_rng(1)
    return [random.uniform(*ends, 10**6) for ends in ((1, 20), (0, 0.4), (0, 60), (100, 20_000))]


def test_a_million_values_of_a_formula_with_work_in_it():
    diameter, depth, inclination, _ = million()
    given = Q(diameter, "mm"), Q(depth, "mm"), Q(inclination, "deg")

    def ratio() -> float:
        checked, bare = least(
            lambda: ball_effective_diameter(*given),
            lambda: ball_effective_diameter.bare(diameter, depth, inclination),
            number=1,
            rounds=12,
        )
        return checked / bare

    assert settled(ratio, 1.15) <= 1.15


def test_a_million_values_of_three_multiplications():
    diameter, _, _, speed = million()
    given = Q(diameter, "mm"), Q(speed, "rpm")

    def ratio() -> float:
        checked, bare = least(
            lambda: cutting_speed(*given), lambda: cutting_speed.bare(diameter, speed), number=3, rounds=25
        )
        return checked / bare

    assert settled(ratio, 3.0) <= 3.0


@functools.cache
def _bytecode_folder() -> str:
    folder = tempfile.TemporaryDirectory(prefix="bytecode-")
    atexit.register(folder.cleanup)
    return folder.name


def import_times(*statements: str, rounds: int = 9) -> list[float]:
    """Return the median time of each statement in fresh interpreters, the start of Python left out.

    As after an installation, all modules are there as bytecode: in a folder of its own, whatever the
    environment says about writing it.
    """
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    environment = kept | {"PYTHONPYCACHEPREFIX": _bytecode_folder()}
    for statement in statements:
        subprocess.run([sys.executable, "-c", statement], env=environment, check=True)
    code = "import time; t = time.perf_counter(); {}; print(time.perf_counter() - t)"
    times: list[list[float]] = [[] for _ in statements]
    for _ in range(rounds):
        for column, statement in zip(times, statements, strict=True):
            command = [sys.executable, "-c", code.format(statement)]
            column.append(
                float(subprocess.run(command, capture_output=True, text=True, check=True, env=environment).stdout)
            )
    return [float(np.median(column)) for column in times]


@pytest.mark.parametrize(("statement", "limit"), [("import millcalc", 1.5), ("from millcalc import plan", 2.0)])
def test_imports_against_numpy(statement, limit):
    def ratio() -> float:
        ours, numpys = import_times(statement, "import numpy")
        return ours / numpys

    assert settled(ratio, limit, tries=3) <= limit
