"""A picture of the cutting speed along the engaged edge of a job, from its least to its largest; extra `plot`."""

from __future__ import annotations

import os
from itertools import product
from typing import TYPE_CHECKING, Any

import numpy as np

from millcalc.formulas.speeds import cutting_speed
from millcalc.planning.finishing import plan
from millcalc.planning.inputs import inputs_of
from millcalc.planning.job import FinishingJob
from millcalc.planning.kernel import run
from millcalc.quantities.display import quantity_text, system_in_use, units
from millcalc.quantities.kinds import CUTTING_SPEED, LENGTH, SPINDLE_SPEED
from millcalc.quantities.record import number
from millcalc.report._drawing import refused
from millcalc.report.pictures import check_ending, figure_class, save
from millcalc.report.trade_off import scale_of, unit_of

if TYPE_CHECKING:
    from matplotlib.figure import Figure

__all__ = ["edge_speed_picture"]

_RINGS = 60
_FIRST, _BESIDE = "first pass", "beside a pass"


def edge_speed_picture(
    job: FinishingJob,
    path: str | os.PathLike[str] | None = None,
    overwrite: bool = False,
    system: str | None = None,
) -> Figure:
    """Draw the cutting speed of a job along the part of the edge that cuts, over its height on the cutter.

    Parameters
    ----------
    job
        A finishing job that can be planned.
    path
        A file to write, png, svg or pdf by its ending; none: no file.
    overwrite
        Whether a file of that name may be replaced.
    system
        "metric" or "inch"; the system in use if left out.

    Returns
    -------
    Figure
        A matplotlib figure, on its own: nothing of pyplot is touched.

    Raises
    ------
    MissingExtraError
        matplotlib is not installed.
    ArgumentError
        It is no finishing job, or no system of units.
    ImpossibleJobError
        The job cannot be cut as it is stated.
    FileError
        There is a file of that name, its ending is none of the three, or it cannot be written.

    Notes
    -----
    Of the first pass, at full width, and beside a pass; lines of their own for conditions of the job that stand
    otherwise. The material's window is shaded.

    Examples
    --------
    >>> from millcalc.planning import example_job
    >>> figure = edge_speed_picture(example_job())
    >>> figure.axes[0].get_xlabel(), figure.axes[0].get_ylabel()
    ('height above the tip [mm]', 'cutting speed [m/min]')
    """
    make = figure_class()
    check_ending(path)
    if not isinstance(job, FinishingJob):
        raise refused("job", job, "it is no finishing job", "a FinishingJob")
    made = plan(job)
    speed = number(made, "spindle_speed")
    inputs = inputs_of(job)
    with units(system or system_in_use()):
        figure = make(figsize=(7.5, 4.5))
        figure.set_layout_engine("constrained")
        axes = figure.subplots()
        for name, height, radius in _edges(job, number(made, "greatest_depth"), inputs):
            values = cutting_speed.bare(2.0 * radius, speed)
            first = name.startswith(_FIRST)
            style: dict[str, Any] = {"linestyle": "--" if first else "-", "color": "black", "label": name}
            axes.plot(height * scale_of(LENGTH), values * scale_of(CUTTING_SPEED), **style)
        low, high = (inputs.numbers.get(n) for n in ("speed_low", "speed_high"))
        if low is not None and high is not None:
            ends = (low * scale_of(CUTTING_SPEED), high * scale_of(CUTTING_SPEED))
            axes.axhspan(*ends, color="0.92", label="window of the material")
        axes.set_xlabel(f"height above the tip [{unit_of(LENGTH)}]")
        axes.set_ylabel(f"cutting speed [{unit_of(CUTTING_SPEED)}]")
        axes.set_ylim(bottom=0.0)
        axes.grid(color="0.9")
        axes.legend(frameon=False)
        figure.suptitle(f"along the engaged edge, {quantity_text(speed, SPINDLE_SPEED, digits=5)}")
    save(figure, path, overwrite)
    return figure


def _edges(job: FinishingJob, depth: float, inputs: Any) -> list[tuple[str, Any, Any]]:
    """Return name, heights and radii of the rings that cut, for each condition that differs from those before."""
    done = run(inputs.choices, inputs.numbers)
    shape: Any = job.cutter
    found: list[tuple[str, Any, Any]] = []
    steps = done.each.get("stepover", done.values["equalised_stepover"])
    for (place, condition), word in product(enumerate(done.conditions), (_FIRST, _BESIDE)):
        # the first pass has no pass beside it
        step = f"{_at(steps, place)} mm" if word == _BESIDE else None
        lean = (f"{_at(done.each[n], place)} deg" for n in ("lead", "tilt"))
        rings = shape.engaged_edge(f"{depth} mm", step, *lean, str(_at(done.uncut_side, place)), points=_RINGS)
        cuts = ~np.isnan(rings[3].magnitude)
        name = ", ".join(t for t in (word, condition) if t)
        row = (name, rings[0].magnitude[cuts], rings[1].magnitude[cuts])
        if not any(np.array_equal(row[1], r[1]) and np.array_equal(row[2], r[2]) for r in found):
            found.append(row)
    return found


def _at(values: Any, place: int) -> Any:
    """Return what belongs to a condition; what is the same in all stands once."""
    flat = np.ravel(values)
    return flat[min(place, len(flat) - 1)]
