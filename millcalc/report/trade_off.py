"""A picture of what a stepover costs: scallop and time against it, with the one that is planned; an extra, `plot`."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

import numpy as np

from millcalc.planning.comparing import compare
from millcalc.planning.finishing import plan
from millcalc.planning.job import FinishingJob
from millcalc.quantities import registries
from millcalc.quantities.display import inch_size, quantity_text, system_in_use, units
from millcalc.quantities.kinds import LENGTH, SCALLOP_HEIGHT, Kind
from millcalc.quantities.record import number
from millcalc.report._blocks import shown_text
from millcalc.report._drawing import refused
from millcalc.report.pictures import check_ending, figure_class, save

if TYPE_CHECKING:
    from matplotlib.figure import Figure

__all__ = ["scale_of", "stepover_picture", "unit_of"]

_POINTS = 61
_FROM, _TO = 0.4, 2.0  # of the stepover that is planned


def stepover_picture(
    job: FinishingJob,
    path: str | os.PathLike[str] | None = None,
    overwrite: bool = False,
    system: str | None = None,
) -> Figure:
    """Draw scallop height and time of a job against its stepover, and the stepover that is planned.

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

    Examples
    --------
    >>> from millcalc.planning import example_job
    >>> figure = stepover_picture(example_job())
    >>> [axes.get_ylabel() for axes in figure.axes]
    ['scallop height [um]', 'time [min]']
    """
    make = figure_class()
    check_ending(path)
    if not isinstance(job, FinishingJob):
        raise refused("job", job, "it is no finishing job", "a FinishingJob")
    made = plan(job)
    planned = number(made, "stepover_setting")
    steps = np.linspace(_FROM, _TO, _POINTS) * planned
    table = compare(job, stepover=registries.application_registry().quantity(steps, LENGTH))
    with units(system or system_in_use()):
        figure = make(figsize=(7.5, 6.0))
        figure.set_layout_engine("constrained")
        upper, lower = figure.subplots(2, 1, sharex=True)
        _draw(upper, steps, table.values["scallop_height"], SCALLOP_HEIGHT, "scallop height")
        allowed = number(made, "scallop_allowed") * scale_of(SCALLOP_HEIGHT)
        upper.axhline(allowed, color="0.4", linestyle="--", label="allowed by the finish")
        lower.plot(steps * scale_of(LENGTH), table.values["operation_time"], color="black")
        lower.set_ylabel("time [min]")
        lower.set_xlabel(f"stepover [{unit_of(LENGTH)}]")
        for axes in (upper, lower):
            axes.axvline(planned * scale_of(LENGTH), color="0.4", linestyle=":", label="planned")
            axes.grid(color="0.9")
        upper.legend(frameon=False)
        time = shown_text(made, "operation_time", 3)
        figure.suptitle(f"stepover {quantity_text(planned, LENGTH, digits=3)}: {time}")
    save(figure, path, overwrite)
    return figure


def _draw(axes: Any, steps: Any, values: Any, kind: Kind, word: str) -> None:
    axes.plot(steps * scale_of(LENGTH), values * scale_of(kind), color="black", label=word)
    axes.set_ylabel(f"{word} [{unit_of(kind)}]")


def scale_of(kind: Kind) -> float:
    """Return what a value in trade units is multiplied by to be shown."""
    return 1.0 / inch_size(kind) if system_in_use() == "inch" else 1.0


def unit_of(kind: Kind) -> str:
    """Return the unit in which values of a kind are shown."""
    return quantity_text(1.0, kind).split(" ", 1)[1]
