"""What a path is evaluated with, as a file: TOML with the tables [cutter], [machine] and [cut]."""

from __future__ import annotations

import os
from typing import Any

import attrs

from millcalc.cutters.cutter import Cutter
from millcalc.cutters.reading import cutter_from_table
from millcalc.errors import Fault, JobError, nearest
from millcalc.planning.parts import Machine
from millcalc.planning.paths.settings import PathCut
from millcalc.planning.reading import file_text, shop_material, tables_of
from millcalc.quantities.record import Record, entry, fields_of, record

__all__ = ["PathJob", "read_path_job"]

_EXAMPLE = '[cut] normal_depth = "0.2 mm"'


@record
class PathJob(Record):
    """Cutter, machine, cut, and the work material where the power is to be told.

    Raises
    ------
    JobError
        Parts that are missing or of another kind.
    """

    cutter: Cutter = entry()
    machine: Machine = entry()
    cut: PathCut = entry()
    material: object = entry(default=None, meaning="work material, for the power")


def read_path_job(path: str | os.PathLike[str]) -> PathJob:
    """Read what a path is evaluated with.

    Parameters
    ----------
    path
        A TOML file with the tables [cutter], [machine] and [cut], and a key material where the power is to be told.

    Raises
    ------
    FileError
        The file is missing, unreadable, or no TOML.
    JobError
        Unknown or missing tables and keys, values that cannot be used: all are listed.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> file = pathlib.Path(tempfile.mkdtemp(), "path.toml")
    >>> _ = file.write_text('''
    ... [cutter]
    ... family = "ball"
    ... diameter = "10 mm"
    ... teeth = 2
    ... [machine]
    ... largest_spindle_speed = "18000 rpm"
    ... largest_feed_rate = "8 m/min"
    ... [cut]
    ... normal_depth = "0.2 mm"
    ... spindle_speed = "12000 rpm"
    ... feed_per_tooth = "0.1 mm"
    ... ''')
    >>> print(read_path_job(file).cut.spindle_speed)
    12000.0 revolutions_per_minute
    """
    name = os.fspath(path)
    tables, laid, faults = shop_material(tables_of(file_text(name, "path"), name, "path"), name)
    fields = fields_of(PathJob)
    faults += [Fault(f"{name}: {k}", "", f"unknown{nearest(k, fields)}") for k in tables if k not in fields]
    parts: dict[str, Any] = {}
    for key, field in fields.items():
        if key == "material":
            if key in tables and not isinstance(tables[key], str):
                faults.append(Fault(f"{name}: {key}", repr(tables[key])[:60], "it must be a text"))
            parts[key] = laid.get(key, tables.get(key))
        elif not isinstance(tables.get(key), dict):
            faults.append(Fault(f"{name}: {key}", "", f"the table [{key}] is missing", example=_EXAMPLE))
        else:
            parts[key], wrong = _part(key, field.annotation, tables[key], f"{name}: [{key}]")
            faults += wrong
    if faults:
        raise JobError("the path's file cannot be read", faults)
    return PathJob(**parts)


def _part(key: str, made: type[Record], table: dict[str, Any], where: str) -> tuple[Any, list[Fault]]:
    try:
        return (cutter_from_table(table) if key == "cutter" else made(**table)), []
    except JobError as error:
        return None, [attrs.evolve(f, where=f"{where} {f.where.removeprefix('cutter.')}") for f in error.faults]
