"""A whole tool path: what cuts at each point, feed rates, and the time."""

from __future__ import annotations

import importlib
import os
import sys
from collections.abc import Sequence
from typing import Any

from millcalc.commands._shared import add_units, command, json_text
from millcalc.errors import Fault, FileError

__all__ = ["add"]

_ROWS = 65_536  # written at a time


def add(commands: Any) -> None:
    """Add the words of these commands."""
    text = "Evaluate a tool path: what cuts at each point and how fast, the feed rate of each move, and the time."
    made = command(commands, "path", _path, text, "millcalc path points.csv path.toml --out values.csv")
    made.add_argument("points", help="CSV with units in its head, x [mm],y [mm],z [mm],i,j,k,nx,ny,nz; or .npy")
    made.add_argument("cut", help="TOML with the tables [cutter], [machine] and [cut]")
    made.add_argument("--columns", metavar="names", help="of a .npy, for example x,y,z,i,j,k,nx,ny,nz")
    made.add_argument("--unit", choices=("mm", "inch"), help="unit of the lengths of a .npy")
    made.add_argument("--angle-unit", choices=("deg", "rad"), help="unit of the angles of a .npy")
    made.add_argument("--axis", metavar="i,j,k", help="one tool axis for all points")
    made.add_argument("--normal", metavar="nx,ny,nz", help="one surface normal for all points")
    made.add_argument(
        "--skip", action="store_true", help="leave out rows whose numbers cannot be used; --json lists them"
    )
    made.add_argument("--out", metavar="file", help="write the values at each point there, as CSV")
    made.add_argument("--keep", metavar="names", help="values to write; all if left out")
    text = "by compiled loops, for tens of millions of points: they take a second to load, fifteen at the first use"
    made.add_argument("--compiled", action="store_true", help=text)
    add_units(made)


def _path(options: Any) -> str:
    from millcalc.planning.paths.evaluation import evaluate_path
    from millcalc.planning.paths.files import read_path
    from millcalc.planning.paths.job import read_path_job
    from millcalc.quantities.display import units

    if options.out is not None and os.path.exists(options.out):
        raise _standing(options.out)
    job = read_path_job(options.cut)
    names = None if options.columns is None else [name.strip() for name in options.columns.split(",")]
    constants = _constants(options.axis, "ijk") | _constants(options.normal, ("nx", "ny", "nz"))
    read = {"columns": names, "unit": options.unit, "angle_unit": options.angle_unit, "constants": constants}
    path = read_path(options.points, **read)
    keep: Sequence[str] | None = None if options.keep is None else [n.strip() for n in options.keep.split(",")]
    if options.out is None:
        keep = ()  # what no file takes is not computed
    bar = _Bar()
    try:
        case: Any = (path, job.cutter, job.machine, job.cut, job.material)
        found = evaluate_path(*case, keep=keep, skip=options.skip, progress=bar.moved, compiled=options.compiled)
    finally:
        bar.close()
    if options.out is not None:
        _write(options.out, found)
    with units(options.units or "metric"):
        return json_text(found.as_numbers()) if options.json else str(found)


def _constants(given: str | None, names: Any) -> dict[str, float]:
    if given is None:
        return {}
    from millcalc.planning.paths.points import direction_of

    return dict(zip(names, direction_of(given), strict=True))


def _write(file: str, found: Any) -> None:
    """Write the values, a row a point."""
    import numpy as np

    from millcalc.planning.paths.result import KIND_OF_VALUE

    names = found.keys()
    units = [kind.label if kind else "" for kind in (KIND_OF_VALUE[n] for n in names)]
    head = ",".join(f"{n} [{unit}]" if unit else n for n, unit in zip(names, units, strict=True))
    count = max(np.size(found[n]) for n in names)
    columns = [np.broadcast_to(found[n], (count,)) for n in names]
    try:
        with open(file, "x", encoding="utf-8") as text:
            text.write(head + "\n")
            for at in range(0, count, _ROWS):
                np.savetxt(text, np.column_stack([c[at : at + _ROWS] for c in columns]), "%.9g", ",")
    except FileExistsError:
        raise _standing(file) from None
    except OSError as why:
        raise FileError("the values cannot be written", [Fault("out", file, why.strerror or "it fails")]) from None


def _standing(file: str) -> FileError:
    fault = Fault("out", file, "there is a file of this name", "another name")
    return FileError("the values are not written", [fault])


class _Bar:
    """A bar of progress on a terminal, where tqdm is installed."""

    def __init__(self) -> None:
        self._bar: Any = None
        self._wanted = sys.stderr.isatty()
        self._done = 0

    def moved(self, done: int, total: int | None) -> None:
        """Move on."""
        if not self._wanted:
            return
        if self._bar is None:
            try:
                bars: Any = importlib.import_module("tqdm")
            except ImportError:
                self._wanted = False
                return
            self._bar = bars.tqdm(total=total, unit="point", unit_scale=True)
        self._bar.update(done - self._done)
        self._done = done

    def close(self) -> None:
        """End the bar."""
        if self._bar is not None:
            self._bar.close()
