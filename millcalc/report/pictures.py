"""Pictures: a cutter in its cut, and the surface that several passes leave; drawn with matplotlib, an extra."""

from __future__ import annotations

import io
import numbers
import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from millcalc.cutters.cutter import Cutter
from millcalc.errors import Fault, FileError, MissingExtraError
from millcalc.quantities.display import system_in_use, units
from millcalc.report._cut_panels import Case, draw_along, draw_aside, draw_edge, draw_whole, write_words
from millcalc.report._drawing import cutter_words, lean_words, refused
from millcalc.report._left_panels import Left, draw_left, left_words, scale_left
from millcalc.report._writing import write_new

if TYPE_CHECKING:
    from matplotlib.figure import Figure

__all__ = ["check_ending", "cutter_picture", "figure_class", "save", "scallops_picture"]

_ENDINGS = (".png", ".svg", ".pdf")
_MOST_PASSES = 50
_PADS = {"w_pad": 0.08, "h_pad": 0.11}  # inch


def cutter_picture(
    cutter: Cutter,
    normal_depth: Any,
    lead: Any = None,
    tilt: Any = None,
    stepover: Any = None,
    uncut_side: Any = None,
    path: str | os.PathLike[str] | None = None,
    overwrite: bool = False,
    system: str | None = None,
) -> Figure:
    """Draw a cutter in its cut: upright in section, its engaged edge, and leaned as seen along and across the feed.

    Parameters
    ----------
    cutter
        The cutter; what is stated of flute length, overhang and shank is drawn above its profile.
    normal_depth [mm]
        Stock along the surface normal, above 0.
    lead, tilt [deg]
        Lean toward the feed, turned first, and across it; between -90 and 90; none: no lean.
    stepover [mm]
        Distance to the pass before; none: a full-width cut.
    uncut_side [1]
        Side of the feed on which the stock still stands, "left" (none) or "right".
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
    UnitError, DomainError
        As of `Cutter.cutting_diameters`.
    ArgumentError
        It is no cutter, an array of cases, or no system of units.
    FileError
        There is a file of that name, its ending is none of the three, or it cannot be written.

    Notes
    -----
    On a plane. The edge angles are those of 401 rings evenly along the edge.

    Examples
    --------
    >>> from millcalc import BallEndMill
    >>> drawn = cutter_picture(BallEndMill(diameter="10 mm", teeth=2), "0.2 mm", lead="15 deg")
    >>> print(drawn.get_suptitle())
    ball 10 mm, 2 teeth
    axis leans 15 deg ahead, contact ahead of the tip
    """
    make = figure_class()
    check_ending(path)
    stated = {"lead": lead, "tilt": tilt, "stepover": stepover, "uncut_side": uncut_side}
    case = Case.of(_checked_cutter(cutter), normal_depth, {n: v for n, v in stated.items() if v is not None})
    with units(system or system_in_use()):
        figure = make(figsize=(11.0, 8.4))
        figure.set_layout_engine("constrained", **_PADS)
        layout: Any = [["whole", "edge", "words"], ["whole", "along", "aside"]]
        panels = figure.subplot_mosaic(layout, width_ratios=[0.8, 1.0, 1.0])
        draw_whole(panels["whole"], case)
        draw_edge(panels["edge"], case)
        draw_along(panels["along"], case)
        draw_aside(panels["aside"], case)
        write_words(panels["words"], panels.values(), case)
        figure.suptitle(f"{cutter_words(cutter)}\n{lean_words(case.lead, case.tilt)}")
    save(figure, path, overwrite)
    return figure


def scallops_picture(
    cutter: Cutter | Sequence[Cutter],
    stepover: Any,
    lead: Any = None,
    tilt: Any = None,
    surface_radius: Any = None,
    passes: int = 3,
    path: str | os.PathLike[str] | None = None,
    overwrite: bool = False,
    system: str | None = None,
) -> Figure:
    """Draw the surface left across several passes, its height against the distance along the surface.

    Parameters
    ----------
    cutter
        A cutter, or several, drawn one above the other in the same scales.
    stepover [mm]
        Distance between neighbouring passes along the surface, above 0.
    lead, tilt [deg]
        Lean toward the feed, turned first, and across it; between -90 and 90; none: no lean.
    surface_radius [mm]
        Radius of the surface across the passes: convex positive, concave negative; none: flat.
    passes
        How many passes are shown, 1 to 50.
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
    UnitError, DomainError
        As of `Cutter.scallop_height`.
    ArgumentError
        It is no cutter or none is given, an array of cases, no number of passes, or no system of units.
    FileError
        There is a file of that name, its ending is none of the three, or it cannot be written.

    Notes
    -----
    Ideal geometry; Ra and Rz are left out where a ridge leans over, for such a profile has no single height.

    Examples
    --------
    >>> from millcalc import BallEndMill
    >>> drawn = scallops_picture(BallEndMill(diameter="10 mm", teeth=2), "0.5 mm")
    >>> print(drawn.axes[0].get_title())
    ball 10 mm, 2 teeth: scallop height 6.254 um, Ra 1.605 um, Rz 6.254 um
    """
    make = figure_class()
    check_ending(path)
    cutters = [_checked_cutter(c) for c in ([cutter] if isinstance(cutter, Cutter) else _listed(cutter))]
    stated = {"lead": lead, "tilt": tilt, "surface_radius": surface_radius}
    given = {n: v for n, v in stated.items() if v is not None}
    lefts = [Left.of(c, stepover, given, _checked_passes(passes)) for c in cutters]
    with units(system or system_in_use()):
        figure = make(figsize=(9.0, 1.6 + 2.4 * len(lefts)))
        figure.set_layout_engine("constrained", **_PADS)
        rows = list(figure.subplots(len(lefts), 1, sharex=True, sharey=True, squeeze=False)[:, 0])
        for axes, left in zip(rows, lefts, strict=True):
            draw_left(axes, left)
        scale_left(rows, lefts)
        figure.suptitle(left_words(lefts[0]))
    save(figure, path, overwrite)
    return figure


def figure_class() -> type[Figure]:
    try:
        from matplotlib.figure import Figure
    except ImportError as error:
        fault = Fault("matplotlib", "", "it is not installed", 'pip install "millcalc[plot]"')
        raise MissingExtraError("no picture can be drawn", (fault,)) from error
    return Figure


def _checked_cutter(cutter: Any) -> Cutter:
    if not isinstance(cutter, Cutter):
        raise refused("cutter", cutter, "it is no cutter", "a cutter, such as BallEndMill(...)")
    return cutter


def _listed(cutters: Any) -> list[Any]:
    if isinstance(cutters, str) or not hasattr(cutters, "__iter__"):
        _checked_cutter(cutters)
    found = list(cutters)
    if not found:
        raise refused("cutter", cutters, "none is given", "a cutter, or several")
    return found


def _checked_passes(passes: Any) -> int:
    whole = isinstance(passes, numbers.Integral) and not isinstance(passes, bool)
    if not whole or int(passes) not in range(1, _MOST_PASSES + 1):
        raise refused("passes", passes, "it is no number of passes to show", f"a whole number, 1 to {_MOST_PASSES}")
    return int(passes)


def check_ending(path: str | os.PathLike[str] | None) -> None:
    if path is not None and Path(path).suffix.lower() not in _ENDINGS:
        fault = Fault(os.fspath(path), "", "its ending names no kind of picture", "png, svg or pdf", "cutter.png")
        raise FileError("the picture is not written", (fault,))


def save(figure: Figure, path: str | os.PathLike[str] | None, overwrite: bool) -> None:
    if path is None:
        return
    name, drawn = os.fspath(path), io.BytesIO()
    figure.savefig(drawn, format=Path(name).suffix[1:].lower(), dpi=150, bbox_inches="tight", pad_inches=0.15)
    write_new(name, drawn.getvalue(), overwrite, "picture")
