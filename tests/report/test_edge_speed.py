"""The picture of the speed along the engaged edge: its ends are the plan's least and largest cutting speeds."""

from __future__ import annotations

import numpy as np
import pytest
from jobs import EXAMPLE, changed

from millcalc.errors import ArgumentError, FileError
from millcalc.planning import plan
from millcalc.quantities.record import number
from millcalc.report.edge_speed import edge_speed_picture

SLOPES = {"slope_from": "30 deg", "slope_to": "60 deg"}
UPRIGHT = changed(axis={"lead": None, "tilt": None, "direction": "vertical"}, surface=SLOPES)


def lines(job, **more):
    return edge_speed_picture(job, **more).axes[0].get_lines()


def test_the_ends_are_those_of_the_plan():
    """A ring lies up to a sixtieth of the edge off the extreme, so the ends agree to a few hundredths."""
    made = plan(EXAMPLE)
    first, beside = lines(EXAMPLE)
    height, speed = first.get_data()
    assert np.min(speed) == pytest.approx(number(made, "least_cutting_speed"), rel=0.03)
    assert np.max(speed) == pytest.approx(number(made, "largest_cutting_speed"), rel=0.03)
    assert max(beside.get_ydata()) < 0.95 * max(speed)
    # on a ball of 6 mm each height has its radius
    radius = np.sqrt(9.0 - (3.0 - height) ** 2)
    assert speed == pytest.approx(2.0 * np.pi * radius * number(made, "spindle_speed") / 1000.0, rel=1e-9)


def test_a_line_for_each_end_of_a_slope():
    found = lines(UPRIGHT)
    made = plan(UPRIGHT)
    assert len(found) == 4
    ends = [max(line.get_ydata()) for line in found]
    assert max(ends) == pytest.approx(number(made, "largest_cutting_speed"), rel=0.03)
    names = [f"{word}, {c.name}" for c in made.conditions[:2] for word in ("first pass", "beside a pass")]
    assert [line.get_label() for line in found] == names


def test_inches_are_inches():
    figure = edge_speed_picture(EXAMPLE, system="inch")
    assert figure.axes[0].get_ylabel() == "cutting speed [ft/min]"
    metric, inch = lines(EXAMPLE)[0], figure.axes[0].get_lines()[0]
    assert inch.get_xdata() * 25.4 == pytest.approx(metric.get_xdata())
    assert inch.get_ydata() * 0.3048 == pytest.approx(metric.get_ydata())


def test_errors_and_files(tmp_path):
    with pytest.raises(ArgumentError, match="no finishing job"):
        edge_speed_picture("job.toml")
    path = tmp_path / "edge.svg"
    edge_speed_picture(EXAMPLE, path)
    assert path.stat().st_size > 1000
    with pytest.raises(FileError, match="a file of this name"):
        edge_speed_picture(EXAMPLE, path)
