"""Job files: TOML with one table a part of the job."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

import attrs

from millcalc.cutters.reading import cutter_from_table
from millcalc.errors import Fault, FileError, JobError, MillcalcError, UnknownNameError, nearest
from millcalc.planning.job import FinishingJob
from millcalc.quantities.record import Record, fields_of

if TYPE_CHECKING:
    from millcalc.planning.roughing.job import RoughingJob

__all__ = ["example_job", "example_text", "file_text", "job_from_text", "read_job", "shop_material", "tables_of"]

_EXAMPLES = {"finishing": "finishing.toml", "roughing": "roughing.toml"}


def read_job(path: str | os.PathLike[str]) -> FinishingJob | RoughingJob:
    """Read a job file: of a roughing job if it has a table [pocket], else of a finishing job.

    Parameters
    ----------
    path
        A TOML file; `example_text` shows one.

    Raises
    ------
    FileError
        The file is missing, unreadable, or no TOML.
    JobError
        Unknown or missing tables and keys, values that cannot be used: all are listed, with file, table and key.

    Examples
    --------
    >>> import tempfile, pathlib
    >>> path = pathlib.Path(tempfile.mkdtemp(), "job.toml")
    >>> _ = path.write_text(example_text())
    >>> print(read_job(path).cutter.diameter)
    6.0 millimeter
    """
    name = os.fspath(path)
    return job_from_text(file_text(name), name)


def file_text(name: str, what: str = "job") -> str:
    """Return the text of a file."""
    try:
        return Path(name).read_text(encoding="utf-8-sig")  # some editors begin a file with a mark of its encoding
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "it is not text in UTF-8"
        raise FileError(f"the {what} file cannot be read", (Fault(name, "", reason),)) from None


def tables_of(text: str, name: str, what: str = "job") -> dict[str, Any]:
    """Return the tables of a TOML text."""
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise FileError(f"the {what} file cannot be read", (Fault(name, "", f"it is not TOML: {error}"),)) from None


def job_from_text(text: str, name: str = "job") -> FinishingJob | RoughingJob:
    """Read a job from the text of a job file; `name` stands for the file in messages."""
    tables = tables_of(text, name)
    if "operations" in tables:
        reason = "it is a route of several operations; read_route reads it"
        raise JobError("the job cannot be read", (Fault(f"{name}: operations", "", reason),))
    tables, laid, unknown = shop_material(tables, name)
    made = _job_class(tables)
    parts, faults = _parts(made, tables, name)
    parts |= laid
    job = None
    if not faults:
        try:
            job = made(**parts)
        except JobError as error:
            faults = [_in_file(made, f, name) for f in error.faults]
    faults += unknown
    if job is None or faults:
        raise JobError("the job cannot be read", faults)
    return job


def _job_class(tables: Mapping[str, Any]) -> type[FinishingJob] | type[RoughingJob]:
    """Return the kind of job that tables are of."""
    if "pocket" not in tables:
        return FinishingJob
    from millcalc.planning.roughing.job import RoughingJob  # loaded when one is read, not with the package

    return RoughingJob


def _in_file(made: type[Record], fault: Fault, name: str) -> Fault:
    table, _, key = fault.where.partition(".")
    field = fields_of(made).get(table)
    where = f"[{table}] {key}".rstrip() if field is not None and field.is_record else fault.where
    return attrs.evolve(fault, where=f"{name}: {where}")


def shop_material(tables: dict[str, Any], name: str) -> tuple[dict[str, Any], dict[str, Any], list[Fault]]:
    """Return tables without the key `materials`, the record of the file it names, and what is wrong with either.

    The file lies beside the job, or where its path says from there.  A material that it does not hold stays a name.
    """
    from millcalc.materials import Catalogue, material  # loaded when the first job is read, not with the package

    rest = {key: value for key, value in tables.items() if key != "materials"}
    named, path, shop = tables.get("material"), tables.get("materials"), None
    if path is not None:
        where = f"{name}: materials"
        if not isinstance(path, str) or not path.strip():
            return rest, {}, [Fault(where, repr(path)[:60], "it must be a text", "the path of a file of materials")]
        try:
            shop = Catalogue.of(Path(name).parent / path)
        except MillcalcError as error:
            return rest, {}, list(error.faults) or [Fault(where, repr(path), error.headline)]
    if not isinstance(named, str):
        return rest, {}, []
    try:
        found = material(named, catalogue=shop)
    except UnknownNameError as error:
        return rest, {}, [Fault(f"{name}: material", repr(named), error.headline)]
    return rest, {"material": found} if shop is not None and shop.find(named) is found else {}, []


def _parts(made: type[Record], tables: Mapping[str, Any], name: str) -> tuple[dict[str, Any], list[Fault]]:
    """Return the parts of the job, and every fault found in any of them."""
    fields = fields_of(made)
    parts: dict[str, Any] = {}
    faults = [Fault(f"{name}: {k}", "", f"unknown{nearest(k, fields)}") for k in tables if k not in fields]
    for key, field in fields.items():
        is_table = field.is_record
        if key not in tables:
            if field.required:
                what = f"the table [{key}]" if is_table else "the key"
                faults.append(Fault(f"{name}: {key}", "", f"{what} is missing"))
            continue
        if not is_table:
            parts[key] = tables[key]
            if not isinstance(tables[key], str):
                faults.append(Fault(f"{name}: {key}", repr(tables[key]), "it must be a text"))
        elif not isinstance(tables[key], dict):
            faults.append(Fault(f"{name}: {key}", repr(tables[key]), f"it must be a table, [{key}]"))
        else:
            part, wrong = _part(key, field.annotation, tables[key], f"{name}: [{key}]")
            parts[key] = part
            faults += wrong
    return parts, faults


def _part(key: str, cls: type[Record], table: Mapping[str, Any], where: str) -> tuple[Any, list[Fault]]:
    try:
        return (cutter_from_table(table) if key == "cutter" else cls(**table)), []
    except JobError as error:
        places = [f.where.removeprefix("cutter.") for f in error.faults]
        return None, [attrs.evolve(f, where=f"{where} {p}") for f, p in zip(error.faults, places, strict=True)]


def example_text(kind: str = "finishing") -> str:
    """Return the text of a shipped job file, "finishing" or "roughing", a scenario of our own.

    Raises
    ------
    JobError
        No such file is shipped.

    Examples
    --------
    >>> example_text().splitlines()[0]
    '# A finishing job: a rib of a press-tool insert. The part and all its values are invented for this example.'
    """
    if kind not in _EXAMPLES:
        fault = Fault(
            "kind", repr(kind), f"no such example is shipped{nearest(kind, _EXAMPLES)}", " or ".join(_EXAMPLES)
        )
        raise JobError("no example", (fault,))
    return resources.files("millcalc.planning").joinpath("examples", _EXAMPLES[kind]).read_text(encoding="utf-8")


def example_job() -> FinishingJob:
    """Return the job of the shipped job file.

    Examples
    --------
    >>> example_job().material
    '42CrMo4'
    """
    job = job_from_text(example_text(), _EXAMPLES["finishing"])
    assert isinstance(job, FinishingJob)
    return job
