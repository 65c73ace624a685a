"""Reading tables of evidence: TOML files of cases, tables of a handbook, folders of them, what plugins add."""

from __future__ import annotations

import os
import tomllib
import warnings
from collections.abc import Mapping, Sequence
from importlib import resources
from pathlib import Path
from typing import Any

import attrs

from millcalc.discovery import found, load, toml_files
from millcalc.errors import DataError, Fault, FileError, MillcalcError, MillcalcWarning
from millcalc.evidence.case_reading import cases_of, head_faults
from millcalc.evidence.column_reading import cases_of_columns, columns_of_text
from millcalc.evidence.verdicts import Case

__all__ = [
    "GROUP",
    "WITNESSES",
    "Table",
    "cells_of",
    "plugin_tables",
    "read_tables",
    "reference_folder",
    "shipped_tables",
    "text_of",
]

WITNESSES = "witnesses.toml"
"""The file of the shipped folder that lists tests, not cases."""

GROUP = "millcalc.references"
"""The entry-point group by which a distribution adds tables."""


@attrs.frozen
class Table:
    """The cases of one source."""

    title: str
    cases: Sequence[Case]
    name: str = ""
    head: Mapping[str, Any] = attrs.field(factory=dict, repr=False)


def read_tables(given: Any, **asked: Any) -> tuple[Table, ...]:
    """Read a TOML file of cases, a CSV file of a table, a folder of both, or a mapping of either form.

    Parameters
    ----------
    given
        A path; or a mapping, of the keys of a file or of columns: ``{"diameter [mm]": [10, 12], …}``.
    asked
        Of a table of columns: `formula`, `output`, `cutter`, `rounded_inputs`, `result`, as of `check`.

    Raises
    ------
    FileError
        A file is missing, unreadable, or of no form that is read.
    DataError
        Its content cannot be used: every fault is listed with file and case or row.

    Examples
    --------
    >>> columns = {"diameter [mm]": [10, 20], "spindle_speed [rpm]": [955, 477], "cutting_speed [m/min]": [30, 30]}
    >>> [case.output for case in read_tables(columns)[0].cases]
    ['30 m/min', '30 m/min']
    """
    if isinstance(given, Mapping):
        return (_of_mapping(given, "table", **asked),)
    name = os.fspath(given) if isinstance(given, (str, os.PathLike)) else None
    if name is None:
        fault = Fault(
            "table", repr(given)[:60], "it is neither a path nor a mapping", "a path, or columns by their heads"
        )
        raise DataError("the table cannot be read", (fault,))
    path = Path(name)
    if path.is_dir():
        files = sorted(p for p in path.iterdir() if p.suffix in (".toml", ".csv"))
        if not files:
            raise FileError(
                "the tables cannot be read", (Fault(name, "", "the folder holds no .toml and no .csv file"),)
            )
    else:
        files = [path]
    return _all([(file, asked) for file in files])


def _all(files: Sequence[tuple[Path, Mapping[str, Any]]]) -> tuple[Table, ...]:
    """Read files one by one and raise all that is wrong in any of them together."""
    tables: list[Table] = []
    faults: list[Fault] = []
    for path, asked in files:
        try:
            tables.append(_of_file(path, **asked))
        except DataError as error:
            faults += error.faults
    if faults:
        raise DataError("the tables cannot be read", faults)
    return tuple(tables)


def _of_file(path: Path, **asked: Any) -> Table:
    text = text_of(path)
    if path.suffix.casefold() != ".csv":
        try:
            content = tomllib.loads(text)
        except (tomllib.TOMLDecodeError, RecursionError) as error:
            raise DataError("the table cannot be read", (Fault(str(path), "", f"it is not TOML: {error}"),)) from None
        return _of_mapping(content, str(path), **asked)
    rows = columns_of_text(text, str(path))
    return Table(path.stem, cases_of_columns(rows, str(path), **asked), str(path))


def text_of(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")  # some editors begin a file with a mark of its encoding
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "it is not text in UTF-8"
        raise FileError("the table cannot be read", (Fault(str(path), "", reason),)) from None


def _of_mapping(content: Mapping[str, Any], name: str, **asked: Any) -> Table:
    if "case" in content or "title" in content or name.endswith(".toml"):
        cases, faults = cases_of(content, name)
        faults = [*head_faults(content, name), *faults]
        if faults:
            raise DataError("the table cannot be read", faults)
        head = {key: value for key, value in content.items() if key != "case"}
        return Table(str(content["title"]), cases, name, head)
    columns = {str(head): cells_of(cells) for head, cells in content.items()}
    return Table(name, cases_of_columns(columns, name, **asked), name)


def cells_of(cells: Any) -> list[Any]:
    return [str(cells)] if isinstance(cells, (str, int, float)) else [str(cell) for cell in cells]


def shipped_tables() -> tuple[Table, ...]:
    """Return the tables that are shipped with the library.

    Examples
    --------
    >>> len(shipped_tables()) > 20
    True
    """
    return _all([(path, {}) for path in sorted(reference_folder().glob("*.toml")) if path.name != WITNESSES])


def reference_folder() -> Path:
    """Return the folder of the shipped tables: inside the package, or beside it in a checkout.

    Raises
    ------
    FileError
        It is in neither place.
    """
    package = Path(str(resources.files("millcalc")))
    for folder in (package / "reference", package.parent / "reference"):
        if folder.is_dir():
            return folder
    raise FileError("the shipped tables cannot be read", (Fault(str(package), "", "there is no folder reference"),))


def plugin_tables() -> tuple[Table, ...]:
    """Return the tables that other installed distributions add by the group `millcalc.references`.

    One that cannot be loaded or read is passed over with a warning that says why; it stops no other.

    Examples
    --------
    >>> isinstance(plugin_tables(), tuple)
    True
    """
    tables: list[Table] = []
    for name in found(GROUP):
        try:
            tables += _all([(path, {}) for path in toml_files(load(GROUP, name))])
        except (MillcalcError, TypeError) as error:
            text = f"the reference tables {name!r} are passed over: {error}; `millcalc plugins --load` says more"
            warnings.warn(text, MillcalcWarning, stacklevel=3)
    return tuple(tables)
