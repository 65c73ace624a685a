"""The picture of scallop and time against stepover: what is drawn are the numbers of a comparison."""

from __future__ import annotations

import numpy as np
import pytest
from jobs import EXAMPLE

from millcalc.errors import ArgumentError, FileError
from millcalc.planning import compare, plan
from millcalc.quantities.record import number
from millcalc.report.trade_off import stepover_picture


@pytest.fixture(scope="module")
def figure():
    return stepover_picture(EXAMPLE)


def curve(axes):
    return max(axes.get_lines(), key=lambda line: len(line.get_xdata())).get_data()


def test_the_curves_are_those_of_a_comparison(figure):
    steps, scallop = curve(figure.axes[0])
    some = [0, 20, 45, 60]
    table = compare(EXAMPLE, stepover=[f"{float(steps[i])!r} mm" for i in some])
    assert scallop[some] == pytest.approx(table.values["scallop_height"], rel=1e-9)
    assert curve(figure.axes[1])[1][some] == pytest.approx(table.values["operation_time"], rel=1e-9)
    assert np.all(np.diff(scallop) > 0.0)


def test_the_planned_stepover_is_marked(figure):
    planned = number(plan(EXAMPLE), "stepover_setting")
    for axes in figure.axes:
        marks = [line.get_xdata() for line in axes.get_lines() if line.get_label() == "planned"]
        assert [list(m) for m in marks] == [[planned, planned]]
    assert "0.19 mm" in figure.get_suptitle()


def test_inches_are_inches():
    figure = stepover_picture(EXAMPLE, system="inch")
    assert figure.axes[1].get_xlabel() == "stepover [in]"
    assert figure.axes[0].get_ylabel() == "scallop height [uin]"
    steps, scallop = curve(figure.axes[0])
    metric = curve(stepover_picture(EXAMPLE).axes[0])
    assert steps * 25.4 == pytest.approx(metric[0])
    assert scallop * 0.0254 == pytest.approx(metric[1])


def test_errors_and_files(tmp_path):
    with pytest.raises(ArgumentError, match="no finishing job"):
        stepover_picture("job.toml")
    path = tmp_path / "trade.svg"
    stepover_picture(EXAMPLE, path)
    assert path.stat().st_size > 1000
    with pytest.raises(FileError, match="a file of this name"):
        stepover_picture(EXAMPLE, path)
