@attrs.frozen
class _Case:
    """One cut, in trade units."""

    cutter: Cutter
    depth: float
    lead: float
    tilt: float
    stepover: float
    side: float
    """1 where the stock stands on the left of the feed, -1 where on the right."""
    contact: Contact
    diameters: tuple[float, float, float]
    edge: EngagedEdge
    """Only the rings that cut; the others are NaN."""

    @classmethod
    def of(cls, cutter: Any, normal_depth: Any, given: dict[str, Any]) -> _Case:
        depth, lead, tilt, step, side = _numbers(cutter.cutting_diameters, normal_depth, given)
        rings = [v.magnitude for v in cutter.engaged_edge(normal_depth, **given, points=_RINGS)]
        cuts = ~(np.isnan(rings[3]) & np.isnan(rings[5]))
        edge = EngagedEdge(*(np.where(cuts, row, np.nan) for row in rings))
        contact = Contact(*cutter.contact.bare(lead, tilt))
        diameters = tuple(map(float, cutter.cutting_diameters.bare(depth, lead, tilt, step, side)))
        return cls(cutter, depth, lead, tilt, step, -1.0 if side == "right" else 1.0, contact, diameters, edge)

    @property
    def along(self) -> View:
        tip = self.contact.tip_across, self.contact.tip_along_normal
        return View.along(self.lead, self.tilt, tip)

    @property
    def aside(self) -> View:
        tip = self.contact.tip_along_feed, self.contact.tip_along_normal
        return View.aside(self.lead, self.tilt, tip)

    def window(self) -> float:
        """Half the width [mm] of both leaned views: what is in the cut, and the tip."""
        body = tool_bodies(self.cutter)[0]
        outlines = self.along.outline(body), self.aside.outline(body)
        reach = [abs(flank(o, self.depth, s)[0][-1]) for o in outlines for s in (-1.0, 1.0)]
        tip = self.contact[3:6]
        return float(max(2.0 * max(reach), 1.4 * max(map(abs, tip)), 4.0 * self.depth))


def _length_unit() -> tuple[float, str]:
    """Return by what a length in mm is multiplied to be drawn, and the unit's label."""
    factor, label = in_system(1.0, LENGTH, system_in_use())
    return float(factor), label


def _draw_body(axes: Any, view: View, cutter: Cutter) -> list[Any]:
    """Draw a tool with its axis; return its patches from the tip upward."""
    unit, _ = _length_unit()
    drawn = []
    bodies = tool_bodies(cutter)
    for body, word in zip(bodies, ("cutting part", "shank"), strict=False):
        sideways, up = view.outline(body)
        drawn += axes.fill(unit * sideways, unit * up, label=word, zorder=3.0, **_TOOL)
    top = bodies[-1][-1][1]
    sideways, up = view.axis(-0.05 * top, 1.05 * top)
    axes.plot(unit * sideways, unit * up, label="tool axis", zorder=5.0, **_AXIS)
    return drawn


def _draw_section(axes: Any, case: _Case, title: str) -> None:
    unit, label = _length_unit()
    _draw_body(axes, View(), case.cutter)
    axes.plot(unit * case.edge.radius, unit * case.edge.height, label="edge in the cut", zorder=6.0, **_EDGE)
    place = unit * case.contact.radius, unit * case.contact.height
    axes.plot(*([v] for v in place), label="contact", zorder=7.0, **_CONTACT)
    axes.set(title=title, aspect="equal", xlabel=f"distance from the axis [{label}]")
    axes.set_ylabel(f"height from the tip [{label}]")


def _draw_whole(axes: Any, case: _Case) -> None:
    """Draw the whole tool upright; where the section stands wider than its panel, it is centred there."""
    _draw_section(axes, case, "upright, in section")
    axes.margins(0.08)


def _draw_edge(axes: Any, case: _Case) -> None:
    """Draw the section again, close to the engaged edge, with the contact's place and the edge angles at its ends."""
    unit, _ = _length_unit()
    _draw_section(axes, case, "the edge in the cut, enlarged")
    radius, height = case.contact.radius, case.contact.height
    axes.plot([0.0, unit * radius], [unit * height] * 2, color="black", linewidth=0.8, linestyle=":", zorder=6.0)
    text = f"contact: radius {quantity_text(radius, LENGTH)},\ndiameter {quantity_text(2.0 * radius, LENGTH)}"
    place = {"xy": (unit * radius, unit * height), "textcoords": "offset points", "zorder": 8.0, "bbox": _BOX}
    axes.annotate(text, xytext=(-8, 12), ha="right", va="bottom", **place)
    across, up = (np.append(row, at) for row, at in ((case.edge.radius, radius), (case.edge.height, height)))
    middle = [0.5 * (np.nanmin(v) + np.nanmax(v)) for v in (across, up)]
    half = max(0.75 * max(np.ptp(v[~np.isnan(v)]) for v in (across, up)), 0.02 * case.diameters[2], case.depth)
    axes.set_xlim(unit * (middle[0] - half), unit * (middle[0] + half))
    axes.set_ylim(unit * (middle[1] - half), unit * (middle[1] + half))
    for ring in _ends(case.edge):
        words = f"kappa {quantity_text(float(case.edge.edge_angle[ring]), ANGLE, digits=3)}"
        place["xy"] = unit * case.edge.radius[ring], unit * case.edge.height[ring]
        axes.annotate(words, xytext=(8, -8), ha="left", va="top", **place)


def _ends(edge: EngagedEdge) -> list[int]:
    """Return the first and the last ring that cut."""
    cuts = np.flatnonzero(~np.isnan(edge.radius))
    return sorted({int(cuts[0]), int(cuts[-1])}) if len(cuts) else []


def _draw_along(axes: Any, case: _Case) -> None:
    """Draw the leaned tool as seen along the feed, with the stock that it meets and the pass before."""
    unit, label = _length_unit()
    far, outline = 20.0 * case.window(), case.along.outline(tool_bodies(case.cutter)[0])
    _draw_work(axes, far)
    if math.isinf(case.stepover):
        stock = [-far, -far, far, far], [0.0, case.depth, case.depth, 0.0]
    else:
        shift = -case.side * case.stepover
        across, up = flank(outline, case.depth, case.side)
        end = case.side * far
        stock = [*(across + shift), end, end], [*up, case.depth, 0.0]
        axes.plot(unit * (outline[0] + shift), unit * outline[1], label="pass before", zorder=4.0, **_BEFORE)
    axes.fill(*(unit * np.array(v) for v in stock), label="stock", zorder=2.0, **_STOCK)
    tool = _draw_body(axes, case.along, case.cutter)
    (removed,) = axes.fill(*(unit * np.array(v) for v in stock), label="removed", zorder=4.0, **_REMOVED)
    removed.set_clip_path(tool[0])
    axes.plot([0.0], [0.0], label="contact", zorder=7.0, **_CONTACT)
    _frame(axes, case, "seen along the feed", f"across the feed, left positive [{label}]")
    axes.invert_xaxis()


def _draw_aside(axes: Any, case: _Case) -> None:
    """Draw the leaned tool as seen from the right of the feed, with the stock ahead of it."""
    unit, label = _length_unit()
    far, outline = 20.0 * case.window(), case.aside.outline(tool_bodies(case.cutter)[0])
    _draw_work(axes, far)
    ahead, up = flank(outline, case.depth, 1.0)
    stock = [*ahead, far, far], [*up, case.depth, 0.0]
    axes.fill(*(unit * np.array(v) for v in stock), label="stock", zorder=2.0, **_STOCK)
    _draw_body(axes, case.aside, case.cutter)
    axes.plot([0.0], [0.0], label="contact", zorder=7.0, **_CONTACT)
    _frame(axes, case, "seen from the right, the feed to the right", f"along the feed [{label}]")


def _draw_work(axes: Any, far: float) -> None:
    unit, _ = _length_unit()
    across, up = np.array([-far, -far, far, far]), np.array([-far, 0.0, 0.0, -far])
    axes.fill(unit * across, unit * up, label="finished surface", zorder=1.0, **_WORK)


def _frame(axes: Any, case: _Case, title: str, words: str) -> None:
    """Frame a leaned view about the contact; both have the same scale."""
    unit, label = _length_unit()
    half = unit * case.window()
    axes.set(title=title, aspect="equal", xlabel=words, ylabel=f"height over the surface [{label}]")
    axes.set_xlim(-half, half)
    axes.set_ylim(-0.4 * half, 1.6 * half)


def _write_words(axes: Any, panels: Any, case: _Case) -> None:
    """Write the numbers, and what is drawn how."""
    handles = {h.get_label(): h for panel in panels for h in panel.get_legend_handles_labels()[0]}
    del handles["shank" if "shank" in handles else "cutting part"]
    least, at_contact, largest = (quantity_text(v, LENGTH) for v in case.diameters)
    kappa = case.edge.edge_angle[~np.isnan(case.edge.edge_angle)]
    rows = [
        f"contact: radius {quantity_text(case.contact.radius, LENGTH)}, diameter {at_contact},",
        f"    {quantity_text(case.contact.height, LENGTH)} above the tip along the axis",
        f"edge in the cut: diameter {least} to {largest}",
        f"edge angle kappa: {_span(kappa, ANGLE) if len(kappa) else 'no ring cuts'}",
        f"stock along the normal: {quantity_text(case.depth, LENGTH)}",
        _stepover_words(case),
        *_length_words(case.cutter),
    ]
    axes.set_axis_off()
    axes.text(0.0, 1.0, "\n".join(rows), transform=axes.transAxes, va="top", linespacing=1.5)
    axes.legend(handles.values(), handles.keys(), loc="lower left", ncols=2, frameon=False)


def _stepover_words(case: _Case) -> str:
    if math.isinf(case.stepover):
        return "full-width cut"
    side = "left" if case.side > 0.0 else "right"
    return f"stepover: {quantity_text(case.stepover, LENGTH)}, uncut stock on the {side}"


def _length_words(cutter: Cutter) -> list[str]:
    words = {"flute_length": "flute length", "overhang": "overhang"}
    stated = {word: number(cutter, name) for name, word in words.items()}
    rows = [f"{word}: {quantity_text(value, LENGTH)}" for word, value in stated.items() if value is not None]
    return rows or ["length above the cutting part: not stated"]
