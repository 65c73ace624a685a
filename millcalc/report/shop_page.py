"""The page a shop pins up: what to set, what to expect, how to prove it; as text or HTML, apart from the sheet."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable, Sequence
from importlib.metadata import PackageNotFoundError, version

import attrs

from millcalc.planning.cautions import SAFETY
from millcalc.planning.effects import sensitivity
from millcalc.planning.finishing import Plan
from millcalc.planning.inputs import work_material
from millcalc.planning.job import FinishingJob
from millcalc.planning.proven import Proven
from millcalc.planning.roughing.job import RoughingJob
from millcalc.planning.roughing.plan import RoughingPlan
from millcalc.quantities.display import inch_size, quantity_text, system_in_use, units
from millcalc.quantities.kinds import SCALLOP_HEIGHT
from millcalc.quantities.record import fields_of, number
from millcalc.report._blocks import clock_text, cutter_text, number_row, shown_text, system_of
from millcalc.report._edges import edge_rows
from millcalc.report._proven import proven_rows
from millcalc.report._roughing import entry_in_words, pocket_in_words
from millcalc.report.text import cut_in_words, finish_in_words, lean_in_words, spacing_in_words, stock_in_words

__all__ = ["Page", "Section", "checksum_of", "page_of", "page_text"]

MOST_CAUTIONS = 5
PROVING = (
    "Check overhang, holder and runout against this page; the holder balanced and rated for the speed.",
    "Run it dry, well above the part, with reduced rapid and feed override.",
    "Cut the first passes with the hand on the feed override; stop, look at chips, sound and surface.",
    "Measure the first passes: size, roughness across and along, distance of the marks.",
    "Write down what was changed; initials and date make it proven.",
)
"""The steps of proving out a first run."""
_ROUGH_SET = (
    "spindle_speed",
    "feed_rate",
    "slot_feed_rate",
    "entry_feed_rate",
    "axial_depth",
    "radial_width",
    "slot_width",
    "loop_step",
    "entry_hole_diameter",
    "entry_pitch",
    "entry_angle",
    "slope_step",
)
_ROUGH_EXPECT = (
    "levels",
    "passes",
    "feed_per_tooth",
    "chip_thickness",
    "removal_rate",
    "cutting_power",
    "tip_deflection",
    "corner_feed_rate",
    "corner_stock",
    "stair_thickness",
    "greatest_depth",
)


@attrs.frozen
class Section:
    """Rows under a head: what, value, remark."""

    head: str
    rows: tuple[tuple[str, str, str], ...]
    proven: bool = False
    """Whether an empty column is left for what was proven on the machine."""


@attrs.frozen
class Page:
    """A page, ready to be written as text or HTML."""

    title: str
    sections: tuple[Section, ...]
    cautions: tuple[tuple[str, str], ...]
    """Rank and words of each."""
    left_out: int
    """How many cautions more there are, in the plan."""
    proving: tuple[str, ...]
    footer: tuple[str, ...]
    checksum: str
    version: str

    def _repr_html_(self) -> str:
        """The page in a notebook."""
        from millcalc.report.shop_html import page_html

        return page_html(self, whole=False)

    def __str__(self) -> str:
        return page_text(self)


def checksum_of(text: str) -> str:
    """Return the checksum that a page carries: eight digits that change with the job.

    Examples
    --------
    >>> checksum_of("a job")
    'cec0dd20'
    """
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:8]


def page_of(
    made: Plan | RoughingPlan,
    system: str | None = None,
    source: str | None = None,
    proven: Iterable[Proven] = (),
) -> Page:
    """Return the page of a plan.

    Parameters
    ----------
    made
        The plan.
    system
        "metric" or "inch"; the system in use if left out.
    source
        The text of the job file, whose checksum the page carries; that of the job itself if left out.
    proven
        The shop's record of proven cuts; the latest like this one stands beside the plan.

    Raises
    ------
    ArgumentError
        The system is neither, or what is proven is no record of proven cuts.

    Examples
    --------
    >>> from millcalc.planning import example_job, plan
    >>> page_of(plan(example_job())).sections[1].rows[0]
    ('spindle speed as set', '17500 rev/min', 'governed by: cutting speed of the material')
    """
    with units(system_of(system, made.job)):
        parts = _roughing(made) if isinstance(made, RoughingPlan) else _finishing(made)
        head, rows = proven_rows(made, proven)
        parts += [Section(head, rows)] if rows else []
        # in words while the units are chosen
        shown = tuple((c.rank, c.text) for c in made.cautions[:MOST_CAUTIONS])
    kind = "ROUGHING" if isinstance(made, RoughingPlan) else "FINISHING"
    title = ": ".join([kind, ", ".join(t for t in (made.job.part, made.job.operation) if t) or "plan"])
    checksum = checksum_of(repr(made.job) if source is None else source)
    rest = len(made.cautions) - len(shown)
    return Page(title, tuple(parts), shown, rest, PROVING, SAFETY, checksum, _version())


def _version() -> str:
    try:
        return version("millcalc")
    except PackageNotFoundError:  # run from a folder, not installed
        return "not installed"


def _finishing(made: Plan) -> list[Section]:
    job = made.job
    entry = _row(made, "first_pass_feed_rate")
    work = [
        *_common(made),
        ("axis", lean_in_words(job), ""),
        ("passes", f"{job.passes.pattern}, {cut_in_words(job)}, spaced {spacing_in_words(job)}", ""),
        ("stock", stock_in_words(job), ""),
        ("wanted", f"{finish_in_words(job)}, form tolerance {shown_text(job.finish, 'form_tolerance')}", ""),
    ]
    names = ("stepover_setting", "passes", "point_spacing")
    settings = [_row(made, "spindle_speed"), _row(made, "feed_rate"), (entry[0], entry[1], "also into the stock")]
    settings += [_row(made, n) for n in names]
    expect = [_row(made, n) for n in ("scallop_height", "ra", "feed_per_tooth", "chip_thickness", "tip_deflection")]
    return [
        Section("WORK", tuple(work)),
        Section("SET", tuple(settings), proven=True),
        Section("EXPECT (ideal geometry; measured will be higher)", _known(expect), proven=True),
        Section("TIME (lower bound)", _times(made), proven=True),
        Section("EDGE", _edge(made), proven=True),
        Section("ASSUMED; these move the time most", _moving(job)),
    ]


def _roughing(made: RoughingPlan) -> list[Section]:
    job = made.job
    work = [
        *_common(made),
        ("pocket", pocket_in_words(job), ""),
        ("cut", f"{job.cut.style}, {job.cut.cut}{entry_in_words(job)}", ""),
        ("leaves", f"{shown_text(job.cut, 'stock_left')} along the normal", ""),
    ]
    return [
        Section("WORK", tuple(work)),
        Section("SET", _known([_row(made, n) for n in _ROUGH_SET]), proven=True),
        Section("EXPECT", _known([_row(made, n) for n in _ROUGH_EXPECT]), proven=True),
        Section("TIME (lower bound)", _times(made), proven=True),
        Section("EDGE", _edge(made), proven=True),
        Section("ASSUMED; these move the time most", _moving(job)),
    ]


def _common(made: Plan | RoughingPlan) -> list[tuple[str, str, str]]:
    """Material, cutter, holder: what has to lie ready."""
    job, shop = made.job, made.job.shop
    work = work_material(job)
    rows = [("material", f"{work.designation}, {work.group}", shop.hardness)]
    rows.append(("cutter", cutter_text(job.cutter), shop.cutter_name))
    overhang = number(job.cutter, "overhang")
    shortest = number(shop, "shortest_overhang")
    if overhang is not None and shortest is not None:
        reach = f"{shown_text(shop, 'shortest_overhang')} to {shown_text(job.cutter, 'overhang')}"
        rows.append(("overhang", reach, "not more"))
    count = number(shop, "cutters") or number(made, "cutters_needed")
    usual = next((a.value for a in made.assumed if a.name == "coolant"), "")
    for word, text in (("holder", shop.holder), ("coolant", shop.coolant or f"{usual} (assumed)")):
        if text:
            rows.append((word, text, ""))
    if count is not None:
        rows.append(("have ready", f"{count:.0f} cutter{'s' if count > 1 else ''}", ""))
    return rows


def _row(made: Plan | RoughingPlan, name: str) -> tuple[str, str, str]:
    """A number and what governs it; set values in full, others with three digits."""
    if number(made, name) is None:
        return ("", "", "")
    full = name in ("spindle_speed", "feed_rate", "first_pass_feed_rate", "stepover_setting", "point_spacing")
    cause = made.governed_by({"stepover_setting": "stepover"}.get(name, name))
    remark = f"governed by: {cause}" if cause else ""
    meaning, text, remark = number_row(made, name, 5 if full else 3, remark)
    return meaning, _decimal(made, name, text), remark


def _decimal(made: Plan | RoughingPlan, name: str, text: str) -> str:
    """Write inches as the shop does: four decimals or as many as three digits take, scallops in 0.0001 in."""
    kind, value = fields_of(type(made))[name].kind, number(made, name)
    if system_in_use() != "inch" or kind is None:
        return text
    if kind is SCALLOP_HEIGHT:
        return f"{value / 2.54:.3g} x 0.0001 in"
    if text.endswith(" in") and value > 0.0:
        inches = value / inch_size(kind)
        return f"{inches:.{max(4, 2 - math.floor(math.log10(inches)))}f} in"
    return text


def _known(rows: Sequence[tuple[str, str, str]]) -> tuple[tuple[str, str, str], ...]:
    return tuple(row for row in rows if row[0])


def _times(made: Plan | RoughingPlan) -> tuple[tuple[str, str, str], ...]:
    names = ("cutting_time", "entry_exit_time", "acceleration_time", "link_time", "rapid_time", "operation_time")
    rows = [(n, number_row(made, n)) for n in names if number(made, n)]
    return tuple((what, value, clock_text(number(made, n))) for n, (what, value, _) in rows)


def _edge(made: Plan | RoughingPlan) -> tuple[tuple[str, str, str], ...]:
    """Life and edges, and what a part costs; a page of the shop does not speak of speeds it does not run."""
    return tuple(edge_rows(made, ("life_used", "parts_per_edge", "operation_cost")))


def _moving(job: FinishingJob | RoughingJob) -> tuple[tuple[str, str, str], ...]:
    """The three assumed values that move the time most, and how far."""
    rows = []
    for effect in sensitivity(job).most(3):
        low, value, high = (quantity_text(v, effect.kind, digits=3) for v in (effect.low, effect.value, effect.high))
        moves = f"from {low} to {high} the time moves by {100.0 * effect.swing():.0f} %"
        rows.append((effect.name.replace("_", " "), value, moves))
    return tuple(rows)


def page_text(page: Page) -> str:
    """Return a page as plain text, with empty columns for what was proven."""
    blocks = [page.title]
    for section in page.sections:
        wide = [max(len(row[i]) for row in section.rows) for i in range(3)] if section.rows else [0, 0, 0]
        lines = []
        for what, value, remark in section.rows:
            line = f"  {what:<{wide[0]}}  {value:<{wide[1]}}  {remark:<{wide[2]}}"
            lines.append((line + "  ________" if section.proven else line).rstrip())
        head = section.head + ("  (proven: last column)" if section.proven and section.rows else "")
        blocks.append("\n".join([head, *lines]))
    blocks.append("\n".join(["CAUTIONS", *(f"  {rank.upper()}: {text}" for rank, text in page.cautions), *_more(page)]))
    blocks.append("\n".join(["FIRST RUN", *(f"  [ ] {step}" for step in page.proving)]))
    blocks.append("initials ________   date ____________")
    blocks.append("\n".join(page.footer))
    blocks.append(f"job {page.checksum}, millcalc {page.version}")
    return "\n\n".join(blocks)


def _more(page: Page) -> list[str]:
    return [f"  and {page.left_out} more in the plan"] if page.left_out else []
