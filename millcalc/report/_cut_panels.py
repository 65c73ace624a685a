"""The panels of a cutter's picture: in section, the edge in the cut, and leaned as seen along and across the feed."""

from __future__ import annotations

import math
from typing import Any

import attrs
import numpy as np

from millcalc.cutters.cap import inclination
from millcalc.cutters.cut_answers import EngagedEdge
from millcalc.cutters.cutter import Cutter
from millcalc.cutters.shape_answers import Contact
from millcalc.quantities.display import quantity_text
from millcalc.quantities.kinds import ANGLE, LENGTH
from millcalc.quantities.record import number
from millcalc.report._drawing import LINES, single_case, span_text, unit_of
from millcalc.report.outline import View, cutting_body, flank, tool_bodies

__all__ = ["Case", "draw_along", "draw_aside", "draw_edge", "draw_whole", "write_words"]

_RINGS = 401
_BOX = {"facecolor": "white", "edgecolor": "none", "alpha": 0.8, "pad": 1.5}
_ARROW = {"arrowstyle": "-", "color": "0.25", "linewidth": 0.7}


@attrs.frozen
class Case:
    """One cut, in trade units."""

    cutter: Cutter
    depth: float
    lead: float
    tilt: float
    stepover: float
    side: float
    """1 where the stock stands on the left of the feed, -1 where on the right."""
    contact: Contact
    diameters: tuple[float, ...]
    """Least, at the contact, largest [mm]."""
    edge: EngagedEdge
    """Only the rings that cut; the others are NaN."""

    @classmethod
    def of(cls, cutter: Any, normal_depth: Any, given: dict[str, Any]) -> Case:
        """Ask the cutter about a cut.

        Raises
        ------
        UnitError, DomainError, ArgumentError
            As of `cutter_picture`.
        """
        depth, lead, tilt, step, side = single_case(cutter.cutting_diameters, normal_depth, given)
        rings = [v.magnitude for v in cutter.engaged_edge(normal_depth, **given, points=_RINGS)]
        cuts = ~(np.isnan(rings[3]) & np.isnan(rings[5]))
        edge = EngagedEdge(*(np.where(cuts, row, np.nan) for row in rings))
        contact = Contact(*cutter.contact.bare(lead, tilt))
        diameters = tuple(map(float, cutter.cutting_diameters.bare(depth, lead, tilt, step, side)))
        return cls(cutter, depth, lead, tilt, step, -1.0 if side == "right" else 1.0, contact, diameters, edge)

    @property
    def along(self) -> View:
        """The view along the feed."""
        return View.along(self.lead, self.tilt, (self.contact.tip_across, self.contact.tip_along_normal))

    @property
    def aside(self) -> View:
        """The view from the right of the feed."""
        return View.aside(self.lead, self.tilt, (self.contact.tip_along_feed, self.contact.tip_along_normal))

    def outline(self, view: View) -> tuple[Any, Any]:
        """Outline [mm] of what removes stock: where a cylinder ends the profile, so far up that no stock reaches it."""
        upright = max(math.cos(math.radians(self.lead)) * math.cos(math.radians(self.tilt)), 1e-3)
        return view.outline(cutting_body(self.cutter, 5.0 * (self.diameters[2] + self.depth) / upright))

    def window(self) -> float:
        """Half the width [mm] of both leaned views: what is in the cut, and the tip."""
        outlines = self.outline(self.along), self.outline(self.aside)
        reach = [abs(flank(o, self.depth, s)[0][-1]) for o in outlines for s in (-1.0, 1.0)]
        return float(max(2.0 * max(reach), 1.4 * max(map(abs, self.contact[3:6])), 4.0 * self.depth))


def draw_whole(axes: Any, case: Case) -> None:
    """Draw the whole tool upright."""
    _draw_section(axes, case, "upright, in section")
    axes.margins(0.1, 0.02)


def draw_edge(axes: Any, case: Case) -> None:
    """Draw the section again, close to the edge in the cut, with the contact and the edge angles at its ends."""
    unit, _ = unit_of(LENGTH)
    _draw_section(axes, case, "the edge in the cut, enlarged")
    radius, height = case.contact.radius, case.contact.height
    axes.plot([0.0, unit * radius], [unit * height] * 2, color="black", linewidth=0.8, linestyle=":", zorder=6.0)
    across, up = (np.append(row, at) for row, at in ((case.edge.radius, radius), (case.edge.height, height)))
    middle = [0.5 * (np.nanmin(v) + np.nanmax(v)) for v in (across, up)]
    half = 0.75 * max(np.nanmax(v) - np.nanmin(v) for v in (across, up))
    half = max(half, 0.01 * case.diameters[2], case.depth)
    axes.set_xlim(unit * (middle[0] - half), unit * (middle[0] + half))
    axes.set_ylim(unit * (middle[1] - half), unit * (middle[1] + half))
    text = f"contact: radius {quantity_text(radius, LENGTH)}\ndiameter {quantity_text(2.0 * radius, LENGTH)}"
    _point_out(axes, text, (radius, height), (0.04, 0.96))
    for ring, place in zip(_ends(case.edge), ((0.04, 0.05), (0.96, 0.05)), strict=False):
        words = f"kappa {quantity_text(float(case.edge.edge_angle[ring]), ANGLE, digits=3)}"
        _point_out(axes, words, (case.edge.radius[ring], case.edge.height[ring]), place)


def draw_along(axes: Any, case: Case) -> None:
    """Draw the leaned tool as seen along the feed, with the stock that it meets and the pass before."""
    _, label = unit_of(LENGTH)
    far, outline = 20.0 * case.window(), case.outline(case.along)
    _draw_work(axes, far)
    if math.isinf(case.stepover):
        stock: Any = [-far, -far, far, far], [0.0, case.depth, case.depth, 0.0]
    else:
        shift, end = -case.side * case.stepover, case.side * far
        across, up = flank(outline, case.depth, case.side)
        stock = [*(across + shift), end, end], [*up, case.depth, 0.0]
        _line(axes, (outline[0] + shift, outline[1]), "pass before", 4.0)
    _fill(axes, stock, "stock", 2.0)
    _draw_tool(axes, case.along, case.cutter)
    reach = _fill(axes, outline, "tool", 0.0)
    reach.set(visible=False, label="_reach of the tool")
    _fill(axes, stock, "removed", 4.0).set_clip_path(reach)
    _frame(axes, case, "seen along the feed", f"across the feed, left positive [{label}]")
    axes.invert_xaxis()


def draw_aside(axes: Any, case: Case) -> None:
    """Draw the leaned tool as seen from the right of the feed, with the stock ahead of it."""
    _, label = unit_of(LENGTH)
    far = 20.0 * case.window()
    _draw_work(axes, far)
    ahead, up = flank(case.outline(case.aside), case.depth, 1.0)
    _fill(axes, ([*ahead, far, far], [*up, case.depth, 0.0]), "stock", 2.0)
    _draw_tool(axes, case.aside, case.cutter)
    _frame(axes, case, "seen from the right of the feed", f"along the feed [{label}]")


def write_words(axes: Any, panels: Any, case: Case) -> None:
    """Write the numbers, and the key to what is drawn."""
    handles = {h.get_label(): h for panel in panels for h in panel.get_legend_handles_labels()[0]}
    kappa = case.edge.edge_angle[~np.isnan(case.edge.edge_angle)]
    angles = span_text(kappa.min(), kappa.max(), ANGLE) if len(kappa) else "no ring cuts"
    rows = [
        f"contact: radius {quantity_text(case.contact.radius, LENGTH)}",
        f"contact: diameter {quantity_text(case.diameters[1], LENGTH)}",
        f"contact: {quantity_text(case.contact.height, LENGTH)} above the tip along the axis",
        f"edge in the cut: diameter {span_text(case.diameters[0], case.diameters[2], LENGTH)}",
        f"edge angle kappa: {angles}",
        f"stock along the normal: {quantity_text(case.depth, LENGTH)}",
        _stepover_words(case),
        *_length_words(case.cutter),
    ]
    axes.set_axis_off()
    axes.text(0.0, 1.0, "\n".join(rows), transform=axes.transAxes, va="top", linespacing=1.5, fontsize="medium")
    axes.legend(handles.values(), handles.keys(), loc="lower left", ncols=2, frameon=False, borderaxespad=0.0)


def _stepover_words(case: Case) -> str:
    if math.isinf(case.stepover):
        return "full-width cut"
    side = "left" if case.side > 0.0 else "right"
    return f"stepover: {quantity_text(case.stepover, LENGTH)}, uncut stock on the {side}"


def _length_words(cutter: Cutter) -> list[str]:
    words = {"flute_length": "flute length", "overhang": "overhang"}
    stated = {word: number(cutter, name) for name, word in words.items()}
    rows = [f"{word}: {quantity_text(value, LENGTH)}" for word, value in stated.items() if value is not None]
    return rows or ["length above the cutting part: not stated"]


def _line(axes: Any, points: tuple[Any, Any], word: str, order: float) -> None:
    unit, _ = unit_of(LENGTH)
    axes.plot(*(unit * np.asarray(v) for v in points), label=word, zorder=order, **LINES[word])


def _fill(axes: Any, points: tuple[Any, Any], word: str, order: float) -> Any:
    unit, _ = unit_of(LENGTH)
    (patch,) = axes.fill(*(unit * np.asarray(v) for v in points), label=word, zorder=order, **LINES[word])
    return patch


def _draw_tool(axes: Any, view: View, cutter: Cutter, close: float | None = None) -> None:
    bodies = tool_bodies(cutter)
    for body in bodies:
        _fill(axes, view.outline(body, close), "tool", 3.0)
    top = bodies[-1][-1][1]
    _line(axes, view.axis(-0.05 * top, 1.05 * top), "tool axis", 5.0)


def _draw_section(axes: Any, case: Case, title: str) -> None:
    _, label = unit_of(LENGTH)
    _draw_tool(axes, View(), case.cutter, float(inclination(case.lead, case.tilt)))
    _line(axes, (case.edge.radius, case.edge.height), "edge in the cut", 6.0)
    _line(axes, ([case.contact.radius], [case.contact.height]), "contact", 7.0)
    axes.set(title=title, aspect="equal", xlabel=f"distance from the axis [{label}]")
    axes.set_ylabel(f"height from the tip [{label}]")
    axes.locator_params(axis="x", nbins=5)


def _point_out(axes: Any, text: str, point: tuple[float, float], corner: tuple[float, float]) -> None:
    """Write in a corner of a panel what a line leads to."""
    unit, _ = unit_of(LENGTH)
    across, up = (("right", "left")[corner[0] < 0.5], ("top", "bottom")[corner[1] < 0.5])
    place = {"xytext": corner, "textcoords": "axes fraction", "ha": across, "va": up}
    axes.annotate(text, tuple(unit * v for v in point), zorder=6.5, bbox=_BOX, arrowprops=_ARROW, **place)


def _ends(edge: EngagedEdge) -> list[int]:
    """Return the first and the last ring that cut."""
    cuts = np.flatnonzero(~np.isnan(edge.radius))
    return sorted({int(cuts[0]), int(cuts[-1])}) if len(cuts) else []


def _draw_work(axes: Any, far: float) -> None:
    _fill(axes, ([-far, -far, far, far], [-far, 0.0, 0.0, -far]), "finished surface", 1.0)


def _frame(axes: Any, case: Case, title: str, words: str) -> None:
    """Frame a leaned view about the contact, which is marked; both views have the same scale."""
    unit, label = unit_of(LENGTH)
    _line(axes, ([0.0], [0.0]), "contact", 7.0)
    half = unit * case.window()
    axes.set(title=title, aspect="equal", xlabel=words, ylabel=f"height over the surface [{label}]")
    axes.locator_params(axis="x", nbins=5)
    axes.set_xlim(-half, half)
    axes.set_ylim(-0.4 * half, 1.6 * half)
