"""What the part and the clock say back: the surface that was measured, the record of proven cuts, timed moves."""

from __future__ import annotations

from typing import Any

from millcalc.commands._shared import add_job, add_units, command, given_text, json_text
from millcalc.commands.proving import finishing
from millcalc.errors import Fault, JobError

__all__ = ["add"]

_MEASURED = ("spacing_across", "ra_across", "spacing_along", "ra_along", "rz_across", "rz_along")


def add(commands: Any) -> None:
    """Add the words of these commands."""
    text = "Say what made a surface from what the part measures: scallops, tooth marks, runout or chords."
    made = command(commands, "surface", _surface, text, 'millcalc surface job.toml --ra-across "0.5 um"')
    add_job(made)
    add_units(made)
    for name in _MEASURED:
        what = "distance of the marks" if name.startswith("spacing") else name[:2].capitalize()
        made.add_argument(
            f"--{name.replace('_', '-')}", metavar="value", help=f"{what} measured {name[-6:].strip('_')}"
        )
    text = "Add a proven cut to the shop's record, a file that is only ever added to."
    made = command(commands, "proven", _proven, text, 'millcalc proven shop.toml job.toml --ra "0.5 um" --initials AB')
    made.add_argument("record", help="the shop's record (TOML); made if it is not there")
    add_job(made)
    made.add_argument("--ra", required=True, metavar="value", help="Ra measured across the passes")
    made.add_argument("--time", metavar="value", help="time measured for the operation")
    for name, what in (("spindle-speed", "spindle speed"), ("feed-rate", "feed rate"), ("stepover", "stepover")):
        made.add_argument(f"--{name}", metavar="value", help=f"{what} as it was set, if not as planned")
    for name, what in (("initials", "who proved it"), ("remark", "what else is to be known"), ("date", "day of it")):
        made.add_argument(f"--{name}", help=what)
    text = "Find acceleration and block time of a machine from timed moves, tables [[move]] of a file."
    made = command(commands, "timing", _timing, text, "millcalc timing moves.toml")
    made.add_argument("moves", help="file (TOML) of moves: length, point_spacing, feed_rate, repeats, time")
    made.add_argument("--timing-error", default="0.3 s", metavar="value", help="error of one timing; 0.3 s if left out")


def _surface(options: Any) -> str:
    from millcalc.planning import plan, read_surface
    from millcalc.quantities.display import units
    from millcalc.quantities.record import number

    job = finishing(options, "surface reading")
    given = {n: getattr(options, n) for n in _MEASURED if getattr(options, n) is not None}
    found = read_surface(plan(job), **given)
    if options.json:
        factors = {n: number(found, n) for n in ("ra_factor", "rz_factor")}
        words = {"remarks": list(found.remarks), "undecided": list(found.undecided)}
        return json_text({"across": found.across, "along": found.along} | factors | words)
    with units(options.units or job.settings):
        return str(found)


def _proven(options: Any) -> str:
    from millcalc.planning import append_proven, plan, proven_of, time_factor_of
    from millcalc.quantities.record import fields_of, number
    from millcalc.report.shop_page import checksum_of

    made = plan(finishing(options, "record"))
    names = ("spindle_speed", "feed_rate", "stepover", "initials", "remark", "date")
    more = {n: getattr(options, n) for n in names if getattr(options, n) is not None}
    if options.time is not None:
        more["time_factor"] = time_factor_of(made, options.time)
    entry = proven_of(made, checksum_of(given_text(options)), options.ra, **more)
    append_proven(options.record, entry)
    if options.json:
        return json_text(
            {n: number(entry, n) if f.kind else str(getattr(entry, n)) for n, f in fields_of(entry).items()}
        )
    factor = f", {number(entry, 'ra_factor'):.3g} times the computed one" if entry.ra_factor is not None else ""
    return f"added to {options.record}: job {entry.checksum}, Ra {entry.ra:.3g~P}{factor}"


def _timing(options: Any) -> str:
    from millcalc.planning import fit_machine
    from millcalc.planning.reading import file_text, tables_of
    from millcalc.quantities.record import fields_of, number

    tables = tables_of(file_text(options.moves, "moves"), options.moves, "moves")
    rows = tables.get("move")
    if set(tables) != {"move"} or not isinstance(rows, list) or not all(isinstance(r, dict) for r in rows):
        reason = "it must hold tables [[move]], and nothing else"
        raise JobError("the moves cannot be read", (Fault(options.moves, ", ".join(tables) or "nothing", reason),))
    found = fit_machine(rows, options.timing_error)
    if options.json:
        return json_text(
            {n: number(found, n) for n, f in fields_of(found).items() if f.kind} | {"remark": found.remark}
        )
    return str(found)
