@attrs.frozen
class _Left:
    """The surface that a cutter leaves, in trade units."""

    cutter: Cutter
    stepover: float
    lead: float
    tilt: float
    surface_radius: float
    height: float
    ra: float
    rz: float
    passes: int
    across: Any
    up: Any

    @classmethod
    def of(cls, cutter: Any, stepover: Any, given: dict[str, Any], passes: int) -> _Left:
        step, lead, tilt, radius, _ = _numbers(cutter.scallop_height, stepover, given)
        across, up = (v.magnitude for v in cutter.scallop_profile(stepover, **given))
        # one pass from ridge to ridge about its contact: from the ridge on its one side, and to that on its other
        top = len(across) // 2
        across, up = np.append(across[top:] - step, across[1 : top + 1]), np.append(up[top:], up[1 : top + 1])
        starts = step * np.arange(passes)[:, None]
        ra, rz, _ = cutter.roughness.bare(step, lead, tilt, radius)
        height = float(cutter.scallop_height.bare(step, lead, tilt, radius))
        numbers = step, lead, tilt, radius, height, float(ra), float(rz), passes
        return cls(cutter, *numbers, (starts + across).ravel(), np.tile(up, passes))


def _draw_left(axes: Any, left: _Left) -> None:
    length, length_label = _length_unit()
    height, height_label = in_system(1.0, SCALLOP_HEIGHT, system_in_use())
    across, up = length * left.across, height * left.up
    axes.fill_between(across, up, -1e3 * (1.0 + height * left.height), color=_WORK["facecolor"], linewidth=0.0)
    axes.plot(across, up, label="surface left", color="black", linewidth=1.4)
    contacts = length * left.stepover * np.arange(left.passes)
    axes.plot(contacts, 0.0 * contacts, label="contact of a pass", zorder=5.0, clip_on=False, **_CONTACT)
    words = [f"scallop height {quantity_text(left.height, SCALLOP_HEIGHT)}"]
    if math.isnan(left.ra):
        words.append("no Ra and Rz, the ridge leans over")
    else:
        words += [f"Ra {quantity_text(left.ra, ROUGHNESS)}", f"Rz {quantity_text(left.rz, ROUGHNESS)}"]
    axes.set_title(f"{_name(left.cutter)}: {', '.join(words)}")
    axes.set_ylabel(f"height over the surface [{height_label}]")
    axes.label_outer()
    axes.set_xlabel(f"distance across the feed along the surface, left positive [{length_label}]")


def _scale_left(rows: Sequence[Any], lefts: Sequence[_Left]) -> None:
    """Give all panels the same scales, the left of the feed on the left."""
    length, _ = _length_unit()
    height, _ = in_system(1.0, SCALLOP_HEIGHT, system_in_use())
    top = height * (max(left.height for left in lefts) or 1.0)
    rows[0].set_ylim(-0.15 * top, 1.25 * top)
    ends = [f(left.across) for left in lefts for f in (np.min, np.max)]
    rows[0].set_xlim(length * max(ends), length * min(ends))
    rows[0].legend(loc="upper right", ncols=2, frameon=False)


def _left_words(left: _Left) -> str:
    radius = left.surface_radius
    bend = f"{'convex' if radius > 0 else 'concave'}, radius {quantity_text(abs(radius), LENGTH)}"
    surface = "flat" if math.isinf(radius) else bend
    head = f"passes {quantity_text(left.stepover, LENGTH)} apart, surface {surface} across, seen along the feed"
    return f"{head}\n{_lean_words(left.lead, left.tilt)}; heights enlarged"
