"""A path evaluated: what the caller gives, the passes, what comes back."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from millcalc.cutters.cutter import Cutter
from millcalc.errors import ArgumentError, Fault, nearest
from millcalc.planning.parts import Machine
from millcalc.planning.paths.blocks import BLOCK, Block, aligned, blocks_of
from millcalc.planning.paths.fused import kernel_of
from millcalc.planning.paths.passes_over import VALUES, Done
from millcalc.planning.paths.pipeline import walk
from millcalc.planning.paths.points import PathSource, check_columns
from millcalc.planning.paths.result import PathResult
from millcalc.planning.paths.rows import Skipped
from millcalc.planning.paths.settings import PathCut, Settings, settings_of
from millcalc.planning.paths.totals import Totals, part_of

if TYPE_CHECKING:
    from millcalc.materials import Material

__all__ = ["evaluate_path"]

Progress = Callable[[int, "int | None"], Any]


def evaluate_path(
    path: PathSource,
    cutter: Cutter,
    machine: Machine,
    cut: PathCut,
    material: Material | str | None = None,
    *,
    keep: Iterable[str] | None = None,
    out: Mapping[str, Any] | None = None,
    skip: bool = False,
    threads: int | None = None,
    progress: Progress | None = None,
    block: int | None = None,
    compiled: bool = False,
) -> PathResult:
    """Evaluate a path: what cuts at each point and how fast, the feed rate of each move, and the time.

    Parameters
    ----------
    path
        The points: a `Path`, one that `read_path` reads, or any `PathSource`.
    cutter, machine, cut
        Cutter, machine, and how it is cut.
    material
        Work material, for the power where the cut states no specific force: a material or its name.
    keep
        Values kept at each point; all if left out, none with (): then only sums and extremes are found. The scallop of
        a cutter that is no ball is found only where it is named: the engine searches it at each point, some 10 us.
    out
        Arrays, or memory maps, in place of new ones, by the name of a value.
    skip
        Whether rows that cannot be used are left out and listed; they are not told of in the arrays (NaN).
    threads
        How many threads work side by side; as many as there are cores, four at most, if left out.
    progress
        Called after each block with the points done and, where known, how many there are.
    block
        Points in a block; some ten thousand if left out.
    compiled
        Whether the loops over the points are compiled, by the extra `compiled`: some three times quicker. Making the
        machine code takes fifteen seconds at the first use on a computer, loading it one second later. It is for a ball
        whose points, axes and normals are stated; any other path goes by NumPy. The numbers are the same to their
        last digits.

    Returns
    -------
    PathResult
        Values at each point, sums, extremes and where they are, what governed. For a path of dask arrays a lazy
        result: values as dask arrays, and `summary()`, which computes.

    Raises
    ------
    JobError
        Cut, cutter or machine contradict each other.
    DataError
        A row cannot be used, where rows are not skipped; it is named.
    ArgumentError, UnitError
        The path has too few points, or an argument cannot be used.

    Notes
    -----
    A move has one feed rate, the least of what its end point wants and what machine and control allow; speed changes
    with the machine's acceleration, from rest to rest, and a point is passed no faster than the corner there allows
    across the path. The jerk is not limited, so the time is a lower bound. Memory beyond arguments and results is
    bounded, as long as the way in which the machine stops from its largest feed rate holds a bounded number of points.

    Examples
    --------
    >>> from millcalc import BallEndMill, Machine, Path, PathCut
    >>> path = Path([[0, 0, 0], [50, 0, 0], [50, 0.5, 0]], axis=[0.2588190451, 0, 0.9659258263], normal=[0, 0, 1],
    ...             unit="mm")
    >>> cutter = BallEndMill(diameter="10 mm", teeth=2)
    >>> machine = Machine(largest_spindle_speed="18000 rpm", largest_feed_rate="8 m/min")
    >>> cut = PathCut(normal_depth="0.2 mm", stepover="0.3 mm", spindle_speed="12000 rpm", feed_per_tooth="0.1 mm")
    >>> found = evaluate_path(path, cutter, machine, cut)
    >>> print(f"{found.time.to('s').magnitude:.3f} s, {found['contact_diameter'][0]:.4f} mm")
    1.295 s, 2.5882 mm
    """
    s = _settings(path, cutter, machine, cut, material)
    wanted, needed = _names(s, keep, out)
    if getattr(path, "lazy", False):
        from millcalc.planning.paths.lazy import evaluate_lazily

        lazily: Any = evaluate_lazily(path, s, wanted, needed, compiled)  # type: ignore[arg-type]
        return lazily  # type: ignore[no-any-return]
    workers = _whole("threads", threads, min(os.cpu_count() or 1, 4))
    size = _whole("block", block, 2 * BLOCK if compiled else BLOCK)
    skipped = Skipped() if skip else None
    store = Store(path.length, wanted, out or {}, scattered=skip)
    totals = Totals()
    kernel = kernel_of(s, path, needed, compiled)
    blocks = blocks_of(path, size, max(1, s.look_ahead or 0), skipped)

    def finish(done: Done) -> Any:
        store.put(done)
        return part_of(done, s.least_speed)

    for done, part in walk(kernel, blocks, workers, store.target_of, finish):
        totals.add(part, done.block.count, done.block.row)
        store.add(done)
        if progress is not None:
            progress(totals.points, path.length)
    return PathResult(store.arrays(), totals, s, skipped)


def _names(
    s: Settings, keep: Iterable[str] | None, out: Mapping[str, Any] | None
) -> tuple[frozenset[str], frozenset[str]]:
    """Return the names of the values to keep, having made sure that there are such, and of those to find."""
    lacking = {}
    if math.isinf(s.stepover):
        lacking = dict.fromkeys(("removal_rate", "power", "scallop_height"), "the cut states no stepover")
    elif not s.load_wanted:
        lacking = {"power": "neither the cut states a specific force nor a material that has one is given"}
    known = tuple(n for n in VALUES if n not in lacking)
    slow = frozenset() if s.is_ball else frozenset(("scallop_height",))  # a search at each point
    known = known if keep is not None else tuple(n for n in known if n not in slow)
    asked = (*(known if keep is None else keep), *(out or ()))
    faults = [Fault(n, "", lacking[n]) for n in asked if n in lacking]
    unknown = [n for n in asked if n not in VALUES]
    faults += [Fault(n, "", f"there is no such value{nearest(n, VALUES)}", ", ".join(VALUES)) for n in unknown]
    if faults:
        raise ArgumentError("the path cannot be evaluated", faults)
    return frozenset(asked), frozenset(asked) | (frozenset(known) - {"step", "lead", "tilt"} - slow)


def _settings(path: Any, cutter: Any, machine: Any, cut: Any, material: Any) -> Settings:
    """Return the numbers, having made sure that each argument is what it should be."""
    faults = [
        Fault(name, type(given).__name__, f"it is no {kind.__name__}")
        for name, given, kind in (("cutter", cutter, Cutter), ("machine", machine, Machine), ("cut", cut, PathCut))
        if not isinstance(given, kind)
    ]
    if not all(hasattr(path, name) for name in ("names", "constants", "length", "chunks")):
        faults.append(Fault("path", type(path).__name__, "it is no path", example='Path(points, ..., unit="mm")'))
    if faults:
        raise ArgumentError("the path cannot be evaluated", faults)
    check_columns((*path.names, *path.constants))
    own_depth = "normal_depth" in (*path.names, *path.constants)
    turning = bool({"i", "j", "k", "lead", "tilt"} & {*path.names})
    return settings_of(cutter, machine, cut, material, own_depth, turning)


def _whole(name: str, given: Any, default: int) -> int:
    if given is None:
        return default
    if isinstance(given, bool) or not isinstance(given, (int, np.integer)) or given < 1:
        fault = Fault(name, repr(given), "it is no number of these", "a whole number, 1 or more", str(default))
        raise ArgumentError("the path cannot be evaluated", [fault])
    return int(given)


def _check_out(length: int | None, out: Mapping[str, Any]) -> None:
    """Refuse arrays that cannot take the values."""
    if out and length is None:
        reason = "how many points the path has is not known before it is read"
        raise ArgumentError("the path cannot be evaluated", [Fault("out", ", ".join(out), reason)])
    for name, array in out.items():
        kinds = "iuf" if name == "cause" else "f"
        if not isinstance(array, np.ndarray) or array.dtype.kind not in kinds or not array.flags.writeable:
            fault = Fault(name, type(array).__name__, "it is no array of floats that can be written")
            raise ArgumentError("the path cannot be evaluated", [fault])
        if array.shape != (length,):
            fault = Fault(name, f"shape {array.shape}", f"the path has {length} points")
            raise ArgumentError("the path cannot be evaluated", [fault])


def _kind(name: str) -> Any:
    return np.uint8 if name == "cause" else float


class Store:
    """The arrays of a path's values: whole ones where its length is known, else pieces."""

    def __init__(self, length: int | None, wanted: frozenset[str], out: Mapping[str, Any], scattered: bool) -> None:
        self.length = length
        self.wanted = wanted
        self.scattered = scattered
        self._whole: dict[str, Any] = {}
        self._pieces: dict[str, list[Any]] = {}
        self._constant: dict[str, float] = {}
        _check_out(length, out)
        self._given = dict(out)
        if length is not None:
            self._whole = {n: self._made(n) for n in wanted}

    def _made(self, name: str) -> Any:
        if name in self._given:
            return self._given[name]
        kind = _kind(name)
        if not self.scattered:
            return aligned(self.length or 0, kind)
        return np.full(self.length or 0, 255 if name == "cause" else np.nan, dtype=kind)

    def target_of(self, block: Block) -> Callable[[str], Any]:
        """Return what gives the array that a value of a block goes into."""

        def target(name: str) -> Any:
            held = self._whole.get(name)
            if held is not None and not self.scattered and held.dtype == _kind(name) and held.flags.c_contiguous:
                return np.asarray(held[block.start : block.start + block.count])
            return np.empty(block.count, dtype=_kind(name))

        return target

    def put(self, done: Done) -> None:
        """Put a block's values where they belong, in whichever thread."""
        block = done.block
        for name, value in done.values.items():
            if name not in self._whole or not isinstance(value, np.ndarray):
                continue
            rows = slice(block.start, block.start + block.count) if block.rows is None else block.rows
            held = self._whole[name]
            if isinstance(rows, slice) and np.shares_memory(held[rows][:1], value[:1]):
                continue
            held[rows] = value

    def add(self, done: Done) -> None:
        """Take what is the same at all points, and the pieces where the length is not known."""
        for name, value in done.values.items():
            if name in self.wanted and value is not None:
                if not isinstance(value, np.ndarray):
                    self._constant[name] = float(value)
                elif self.length is None:
                    self._pieces.setdefault(name, []).append(value.copy())

    def arrays(self) -> dict[str, Any]:
        """Return the values: arrays, or one number where it is the same at all points."""
        found: dict[str, Any] = dict(self._constant)
        for name, array in self._whole.items():
            if name in self._given and name in self._constant:
                array[:] = self._constant[name]
            if name in self._given or name not in self._constant:
                found[name] = array
        found |= {name: np.concatenate(pieces) for name, pieces in self._pieces.items()}
        return {name: found[name] for name in VALUES if name in found}
