"""Cutter files: TOML with the family's word and its parameters."""

from __future__ import annotations

import json
import os
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import attrs

from millcalc.cutters.built_in import BallEndMill
from millcalc.cutters.catalogue import family, word_of, words
from millcalc.cutters.cutter import Cutter
from millcalc.errors import ArgumentError, Fault, FileError, JobError, PluginError, UnknownNameError
from millcalc.quantities.record import Field, fields_of, given_fields, number

__all__ = ["cutter_from_table", "cutter_from_text", "cutter_text", "read_cutter", "write_cutter"]


def read_cutter(path: str | os.PathLike[str]) -> Cutter:
    """Read a cutter from a TOML file.

    Parameters
    ----------
    path
        A file with `family` (left out: "ball") and the family's parameters, at its top or in a table [cutter].

    Raises
    ------
    FileError
        The file is missing, unreadable, or no TOML.
    JobError
        An unknown family, unknown or missing keys, values that cannot be used: all are listed, with file and key.

    Examples
    --------
    >>> import tempfile, pathlib
    >>> path = pathlib.Path(tempfile.mkdtemp(), "cutter.toml")
    >>> _ = path.write_text('family = "flat"\\ndiameter = "10 mm"\\nteeth = 4')
    >>> read_cutter(path)
    FlatEndMill(diameter='10 mm', teeth='4', substrate='coated carbide')
    """
    name = os.fspath(path)
    try:
        text = Path(name).read_text(encoding="utf-8-sig")  # some editors begin a file with a mark of its encoding
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "it is not text in UTF-8"
        raise FileError("the cutter file cannot be read", (Fault(name, "", reason),)) from None
    return cutter_from_text(text, name)


def cutter_from_text(text: str, name: str = "cutter") -> Cutter:
    """Read a cutter from the text of a TOML file; `name` stands for the file in messages.

    Raises
    ------
    FileError
        The text is no TOML.
    JobError
        As of `read_cutter`.

    Examples
    --------
    >>> cutter_from_text('[cutter]\\ndiameter = "6 mm"\\nteeth = 2').family
    'ball'
    """
    try:
        tables = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise FileError("the cutter file cannot be read", (Fault(name, "", f"it is not TOML: {error}"),)) from None
    if "cutter" not in tables:
        return _made(tables, f"{name}: ")
    table = tables.pop("cutter")
    outside = [Fault(f"{name}: {key}", "", "it stands outside the table [cutter]") for key in tables]
    if not isinstance(table, dict):
        fault = Fault(f"{name}: cutter", repr(table), "it must be a table, [cutter]")
        raise JobError("the cutter cannot be read", [*outside, fault])
    return _made(table, f"{name}: [cutter] ", outside)


def cutter_from_table(table: Mapping[str, Any], where: str = "cutter") -> Cutter:
    """Make a cutter of a table that has been read, such as the table [cutter] of a job file.

    Parameters
    ----------
    table
        `family` (left out: "ball") and the family's parameters: quantities or text with units.
    where
        What the faults name before the key: "cutter.diameter".

    Raises
    ------
    JobError
        As of `read_cutter`.

    Examples
    --------
    >>> cutter_from_table({"diameter": "6", "teeth": 2})
    Traceback (most recent call last):
    millcalc.errors.JobError: the cutter cannot be read: cutter.diameter: given '6'; a length needs a unit; ...
    """
    if not isinstance(table, Mapping):
        raise JobError("the cutter cannot be read", (Fault(where, repr(table), "it must be a table"),))
    return _made(table, f"{where}.")


def cutter_text(cutter: Cutter) -> str:
    """Write a cutter as TOML that reads back to an equal one: a table [cutter] with what was given.

    Raises
    ------
    ArgumentError
        A parameter of the family holds what TOML cannot say; all are listed.
    UnknownNameError
        The family is neither built in nor added by a distribution, so that no file could name it.

    Examples
    --------
    >>> print(cutter_text(BallEndMill(diameter="1/4 in", teeth=2)))
    [cutter]
    family = "ball"
    diameter = "6.35 mm"
    teeth = 2
    <BLANKLINE>
    """
    lines, faults = ["[cutter]", f"family = {_quoted(word_of(type(cutter)))}"], []
    for name, field in fields_of(cutter).items():
        value = number(cutter, name)
        if value is None or name not in given_fields(cutter):
            continue
        written = _written(field, value)
        lines.append(f"{name if name.isascii() else _quoted(name)} = {written}")
        if written is None:
            reason = f"{type(value).__name__} cannot be written to a file"
            faults.append(Fault(name, repr(value), reason, "a quantity, a number, text, or yes and no"))
    if faults:
        raise ArgumentError("the cutter cannot be written", faults)
    return "\n".join([*lines, ""])


def write_cutter(cutter: Cutter, path: str | os.PathLike[str], overwrite: bool = False) -> None:
    """Write a cutter to a TOML file that `read_cutter` reads back to an equal one.

    Parameters
    ----------
    cutter
        The cutter.
    path
        The file.
    overwrite
        Whether a file of that name may be replaced.

    Raises
    ------
    FileError
        There is a file of that name, or it cannot be written.
    ArgumentError, UnknownNameError
        As of `cutter_text`.

    Examples
    --------
    >>> import tempfile, pathlib
    >>> path = pathlib.Path(tempfile.mkdtemp(), "cutter.toml")
    >>> cutter = BallEndMill(diameter="6 mm", teeth=2)
    >>> write_cutter(cutter, path)
    >>> read_cutter(path) == cutter
    True
    """
    name, text = os.fspath(path), cutter_text(cutter)
    try:
        data = text.encode("utf-8")
        with open(name, "wb" if overwrite else "xb") as file:
            file.write(data)
    except FileExistsError:
        fault = Fault(name, "", "there is a file of this name", "another name, or overwrite=True")
        raise FileError("the cutter file is not written", (fault,)) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its text or name cannot be written"
        raise FileError("the cutter file cannot be written", (Fault(name, "", reason),)) from None


def _made(table: Mapping[str, Any], before: str, outside: Sequence[Fault] = ()) -> Cutter:
    """Make a cutter, or raise all that is wrong with its keys and `outside` of them, each with what goes `before`."""
    given = {str(key): value for key, value in table.items()}
    word, faults, cause = given.pop("family", BallEndMill.family), list(outside), None
    try:
        cutter = family(word)(**given)
    except JobError as error:
        faults += [attrs.evolve(f, where=before + f.where) for f in error.faults]
    except (ArgumentError, PluginError, UnknownNameError) as error:
        cause = error
        faults.append(Fault(f"{before}family", repr(word), str(error), " or ".join(map(repr, words()))))
    if faults:
        raise JobError("the cutter cannot be read", faults) from cause
    return cutter


def _written(field: Field, value: Any) -> str | None:
    """Write the value of a field as TOML: a word that stands for it, with its unit, or as it is; None if none can."""
    word = next((word for word, meant in field.stated.words.items() if meant == value), None)
    if word is not None or isinstance(value, str):
        return _quoted(value if word is None else word)
    if field.kind is not None and field.kind.discrete:
        return "true" if value else "false"
    if field.kind is not None and not field.kind.bare:
        return _quoted(f"{value!r} {field.kind.label}")
    if field.kind is not None and float(value).is_integer():
        return str(int(value))
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(int(value))
    return repr(float(value)) if isinstance(value, float) else None


def _quoted(text: str) -> str:
    """Write text as a TOML string; JSON escapes the same way, but for one character."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
