"""The shop's record of proven cuts and corrections: a TOML file that is only ever appended to."""

from __future__ import annotations

import datetime
import json
import os
import stat
import threading
from typing import Any

import attrs

from millcalc.errors import ArgumentError, Fault, FileError, JobError, nearest
from millcalc.planning.proven import Proven, day_of
from millcalc.planning.reading import file_text, tables_of
from millcalc.quantities.record import Field, fields_of, number

__all__ = ["append_proven", "read_proven"]

TABLE = "proven"
_HEAD = "# Proven cuts and corrections of this shop; entries are added at the end, none is changed.\n"
_WHAT = "shop's record"

_ONE_AT_A_TIME = threading.Lock()
"""Who appends reads what stands first: another thread must not write in between."""


def append_proven(path: str | os.PathLike[str], entry: Proven) -> None:
    """Append a proven cut to the shop's record; what stands in it is left as it is, byte by byte.

    Parameters
    ----------
    path
        The file; made if there is none.
    entry
        The entry; its date is its own, or the day on which it was made.

    Raises
    ------
    ArgumentError
        It is no entry, or holds text that no file can hold.
    FileError
        The file is no TOML, holds something else than proven cuts, is a folder or read-only, or cannot be written: then
        it is left as it was.

    Notes
    -----
    The entry is written in one piece at the end of the file, so that two who append at once do not mix theirs.

    Examples
    --------
    >>> import tempfile, pathlib
    >>> from millcalc.planning import example_job, plan
    >>> from millcalc.planning.proven import proven_of
    >>> path = pathlib.Path(tempfile.mkdtemp(), "proven.toml")
    >>> append_proven(path, proven_of(plan(example_job()), "d06fa4ee", "0.5 um", date="2026-03-31"))
    >>> str(read_proven(path)[0].date)
    '2026-03-31'
    """
    name = _name(path)
    if not isinstance(entry, Proven):
        fault = Fault("entry", repr(entry)[:60], "it is no proven cut", "a Proven")
        raise ArgumentError("nothing to append", (fault,))
    text = _entry_text(entry)
    try:
        added = text.encode("utf-8")
    except UnicodeEncodeError as error:
        fault = Fault("entry", repr(error.object[error.start : error.end]), "it is no character that a file can hold")
        raise ArgumentError("the entry cannot be written", (fault,)) from None
    with _ONE_AT_A_TIME:
        stands = _standing(name)
        _joined(name, stands, text, entry)
        _append(name, added if stands else _HEAD.encode() + added)


def _name(path: Any) -> str:
    name = os.fspath(path) if isinstance(path, os.PathLike) else path
    if not isinstance(name, str):
        fault = Fault("path", repr(path)[:60], "it is no path of a file", "a text or path", '"proven.toml"')
        raise ArgumentError("no file to use", (fault,))
    return name


def _standing(name: str) -> str:
    """Return the text that stands in the file, empty if there is none; refuse what must not be appended to."""
    try:
        mode = os.stat(name).st_mode
    except FileNotFoundError:
        return ""
    except (OSError, ValueError) as error:
        raise _refused(name, getattr(error, "strerror", None) or "no file can have this name") from None
    if not stat.S_ISREG(mode):
        raise _refused(name, "it is a folder" if stat.S_ISDIR(mode) else "it is no ordinary file")
    # also for a user who may write everything: read-only is meant
    if not mode & (stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH) or not os.access(name, os.W_OK):
        raise _refused(name, "it is read-only")
    text = file_text(name, _WHAT)
    _rows(tables_of(text, name, _WHAT), name)
    return text


def _joined(name: str, stands: str, text: str, entry: Proven) -> None:
    """Refuse where the file with the entry would not read as what stands in it and then the entry."""
    before = _rows(tables_of(stands, name, _WHAT), name)
    try:
        after = _rows(tables_of(stands + text, name, _WHAT), name)
    except FileError:
        reason = "no table can follow in it: write its entries as tables [[proven]], not as a list"
        raise _refused(name, reason) from None
    if len(after) != len(before) + 1 or Proven(**after[-1]) != entry:
        raise _refused(name, "the entry would not read back as it is")


def _refused(name: str, reason: str) -> FileError:
    return FileError("the shop's record is not written, and stands as it was", (Fault(name, "", reason),))


def _append(name: str, added: bytes) -> None:
    """Write bytes at the end of a file in one piece, or leave the file as it was."""
    try:
        with open(name, "ab", buffering=0) as file:
            before = file.seek(0, os.SEEK_END)
            written = 0
            try:
                written = file.write(added)
                if written != len(added):
                    raise OSError(0, f"only {written} of {len(added)} bytes were written: the disk may be full")
                os.fsync(file.fileno())
            except OSError:
                # what another has appended meanwhile stays
                if file.seek(0, os.SEEK_END) <= before + written:
                    file.truncate(before)
                raise
    except (OSError, ValueError) as error:
        raise _refused(name, getattr(error, "strerror", None) or "no file can have this name") from None


def _entry_text(entry: Proven) -> str:
    """Write an entry as TOML that begins on a line of its own, whatever the file ends with."""
    lines = ["", f"[[{TABLE}]]"]
    for name, field in fields_of(entry).items():
        value = number(entry, name)
        if value is not None and value != "":
            lines.append(f"{name} = {_written(field, value)}")
    return "\n".join([*lines, ""])


def _written(field: Field, value: Any) -> str:
    """Write a value as TOML: a date, a number with its unit, a number, or text."""
    if isinstance(value, datetime.date):
        return value.isoformat()
    if field.kind is None:
        return _quoted(value)
    if field.kind.whole:
        return str(int(value))
    return repr(value) if field.kind.bare else _quoted(f"{value!r} {field.kind.label}")


def _quoted(text: str) -> str:
    """Write text as a TOML string; JSON escapes the same way, but for one character."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def read_proven(path: str | os.PathLike[str]) -> tuple[Proven, ...]:
    """Read the shop's record of proven cuts, in the order in which they stand.

    Parameters
    ----------
    path
        A file that `append_proven` made, or one of that form.

    Raises
    ------
    FileError
        The file is missing, unreadable, no TOML, or holds something else than proven cuts.
    JobError
        Entries that cannot be used: all are listed, with file, entry (the first is 1) and key.

    Examples
    --------
    >>> import tempfile, pathlib
    >>> path = pathlib.Path(tempfile.mkdtemp(), "proven.toml")
    >>> _ = path.write_text('[[proven]]\\ndate = 2026-03-31')
    >>> read_proven(path)
    Traceback (most recent call last):
    millcalc.errors.JobError: the shop's record cannot be read:
      - ...proven.toml: [[proven]] 1 checksum: it is missing
      - ...
    """
    name = _name(path)
    rows = _rows(tables_of(file_text(name, _WHAT), name, _WHAT), name)
    made, faults = [], list[Fault]()
    for place, row in enumerate(rows, 1):
        where = f"{name}: [[{TABLE}]] {place}"
        try:
            # a date that is left out is today's only where an entry is made
            day = day_of(row.get("date", ""))
        except JobError as error:
            faults += [attrs.evolve(f, where=f"{where} {f.where}") for f in error.faults]
            day = datetime.date.min
        try:
            made.append(Proven(**row | {"date": day}))
        except JobError as error:
            faults += [attrs.evolve(f, where=f"{where} {f.where}") for f in error.faults]
    if faults:
        raise JobError("the shop's record cannot be read", faults)
    return tuple(made)


def _rows(tables: dict[str, Any], name: str) -> list[dict[str, Any]]:
    """Return the tables [[proven]]; refuse a file that holds anything else, such as a job."""
    others = [Fault(f"{name}: {k}", "", f"it is no proven cut{nearest(k, [TABLE])}") for k in tables if k != TABLE]
    rows = tables.get(TABLE, [])
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        others.append(Fault(f"{name}: {TABLE}", repr(rows)[:60], "it must be tables, [[proven]]"))
    if others:
        raise FileError("the file is no record of proven cuts", others)
    return list(rows)
