"""Machine code of the loops over points, made by the extra `compiled` at their first use and kept on the disk."""

from __future__ import annotations

import functools
import hashlib
import importlib
from pathlib import Path
from types import FunctionType, SimpleNamespace
from typing import Any

from millcalc.errors import MissingExtraError
from millcalc.planning.paths import pointwise, tiles, tiles_along, tiles_cut

__all__ = ["loops"]

_LOOP = "loop_"
_MODULES = (pointwise, tiles, tiles_cut, tiles_along)


@functools.cache
def loops() -> Any:
    """Return the compiled loops by their names, `cut` for `loop_cut`.

    Raises
    ------
    MissingExtraError
        numba is not installed.
    """
    try:
        numba: Any = importlib.import_module("numba")
        extending: Any = importlib.import_module("numba.extending")
    except ImportError:
        raise MissingExtraError('compiled loops need numba: pip install "millcalc[compiled]"') from None
    for function in _called():
        extending.register_jitable(error_model="numpy")(function)
    made = {}
    for name, signature in _signatures(numba.types).items():
        loop = getattr(tiles_cut, name, None) or getattr(tiles_along, name)
        made[name.removeprefix(_LOOP)] = _compiled(numba, _stamped(loop), signature)
    return SimpleNamespace(**made)


def _called() -> list[Any]:
    """Return the functions that the loops call."""
    found = {name: f for module in _MODULES for name, f in vars(module).items() if isinstance(f, FunctionType)}
    return [f for name, f in found.items() if not name.startswith(_LOOP)]


@functools.cache
def _stamp() -> str:
    text = b"".join(Path(str(module.__file__)).read_bytes() for module in _MODULES)
    return hashlib.sha256(text).hexdigest()[:12]


def _stamped(function: Any) -> Any:
    """A loop under a name that tells its text and that of all it calls: by it machine code is found on the disk."""
    named = FunctionType(function.__code__, function.__globals__, function.__name__)
    named.__qualname__ = f"{function.__name__}_{_stamp()}"
    named.__module__ = function.__module__
    return named


def _compiled(numba: Any, function: Any, signature: Any) -> Any:
    options = {"nogil": True, "error_model": "numpy"}
    try:
        return numba.njit(signature, cache=True, **options)(function)
    except Exception:  # no directory in which it could be kept, or what is kept there cannot be read
        return numba.njit(signature, **options)(function)


def _signatures(types: Any) -> dict[str, Any]:
    """One signature a loop: whatever array may be read, those that are written are ours."""
    number, whole, flag, nothing = types.float64, types.int64, types.boolean, types.void
    read, read_marks = (types.Array(kind, 1, "A", readonly=True) for kind in (number, types.uint8))
    write, marks, table = number[::1], types.uint8[::1], number[:, ::1]
    n = {count: types.UniTuple(number, count) for count in (3, 4, 5)}
    numbers = types.Tuple((n[3], n[4], n[5], number, flag, flag, whole))
    caps, moves = types.Tuple((write, write, marks, marks)), types.Tuple((*(write,) * 4, marks, marks))
    told, per = types.UniTuple(read, 4), types.UniTuple(read, 3)
    columns = types.UniTuple(per, 3)
    values, joint = {count: types.UniTuple(write, count) for count in (4, 8)}, types.Tuple((number, number, whole))
    axis, begun = types.UniTuple(write, 3), types.Tuple((number, flag, whole))
    return {
        "loop_cut": flag(columns, told, read_marks, numbers, write, write, axis, values[8], caps, table),
        "loop_caps": nothing(write, write, marks),
        "loop_seen": n[3](write, write, number),
        "loop_along": nothing(moves, per, joint, begun, values[4], write, marks, table, table),
    }
