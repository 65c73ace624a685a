"""The body of a cutter as the steps of a bar: fluted part, shank and holder, for one tool or many side by side."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Any, NamedTuple

import numpy as np

from millcalc.cutters.assembly import HolderSection
from millcalc.cutters.cutter import Cutter
from millcalc.cutters.profile import SupportForm
from millcalc.errors import Fault, JobError
from millcalc.loads.beam import Beam
from millcalc.loads.substrates import TOOL_MATERIALS, ToolMaterial, tool_material
from millcalc.quantities.record import number

__all__ = ["Measures", "body_material", "body_of", "measures_of", "steps_of"]

FLUTES_OF = 1.5  # diameters, where nobody states how long the cutting edges are
_TURNS = 4  # cones to a rounding of the outline
_FROM_TIP = (0.125, 0.25, 0.5)  # a pointed end is no cone from nothing: its first eighth counts as a cylinder


class Measures(NamedTuple):
    """The lengths and the shank of a cutter [mm], and in words what of them is assumed."""

    flute_length: float
    overhang: float
    shank_diameter: float
    assumed: tuple[str, ...]


def measures_of(cutter: Cutter) -> Measures:
    """Return the measures of a cutter's body: as stated, or as assumed.

    Without a flute length the cutting edges are taken to be 1.5 diameters long, or as long as the outline widens, up to
    the overhang; without a shank diameter the shank is as thick as the cutter.

    Raises
    ------
    JobError
        The cutter states no overhang.

    Examples
    --------
    >>> from millcalc import BallEndMill
    >>> measures_of(BallEndMill(diameter="6 mm", teeth=2, overhang="30 mm")).assumed
    ('flute length 9 mm', 'shank diameter 6 mm')
    """
    overhang = number(cutter, "overhang")
    if overhang is None:
        reason = "it is missing: without an overhang there is no bar that could bend"
        raise JobError("the tool has no body", (Fault("cutter.overhang", "", reason, example='overhang = "30 mm"'),))
    diameter, flutes, shank = (number(cutter, n) for n in ("diameter", "flute_length", "shank_diameter"))
    assumed = []
    if flutes is None:
        flutes = min(max(FLUTES_OF * diameter, float(cutter.profile.top)), overhang)
        assumed.append(f"flute length {flutes:g} mm")
    if shank is None:
        shank = diameter
        assumed.append(f"shank diameter {shank:g} mm")
    return Measures(flutes, overhang, shank, tuple(assumed))


def steps_of(
    profile: SupportForm,
    flute_length: Any,
    overhang: Any,
    shank_diameter: Any,
    *,
    modulus: Any = 580.0,
    density: Any = 14.45,
    shank_modulus: Any = None,
    shank_density: Any = None,
    equivalent_ratio: Any = 0.8,
    holder: Sequence[tuple[Any, Any, Any]] = (),
    lateral: Any = inf,
    tilting: Any = inf,
) -> Beam:
    """Return the bar of one tool, or of many side by side: numbers or arrays over the tools.

    Up to the flute length the bar is the outline's diameter times the equivalent ratio, in cones; then follow the shank
    up to the overhang, and the holder.  A cone between fluted part and shank does not count: it would stiffen the
    tool a little.

    Parameters
    ----------
    profile
        Of one cutter, or of many (`Profile.stack`).
    flute_length, overhang, shank_diameter [mm]
        Of the body; flutes longer than the overhang end there.
    modulus [GPa], density [g/cm^3]
        Of the fluted part, and of the shank where it is another material; 10 % cobalt carbide unless stated.
    equivalent_ratio [1]
        Equivalent over outline diameter in the fluted part.
    holder
        Length, lower and upper diameter [mm] of each section of the holder, which is of steel.
    lateral [N/um], tilting [N m/rad]
        Stiffness of what holds the last step.

    Examples
    --------
    >>> from millcalc import FlatEndMill
    >>> from millcalc.loads.beam import compliance
    >>> profile = FlatEndMill(diameter="10 mm", teeth=4).profile
    >>> beam = steps_of(profile, 20.0, np.array([40.0, 50.0]), 10.0, modulus=600.0)
    >>> np.round(100.0 * compliance(beam), 3)
    array([ 8.548, 15.452])
    """
    flutes = np.minimum(flute_length, overhang)
    heights, radii = _outline(profile)
    heights, radii = _cut_off([*heights, flutes], [*radii, radii[-1]], flutes)
    thick = 2.0 * np.asarray(equivalent_ratio, dtype=float)
    rows = []
    for place in range(1, len(heights)):
        low, high = radii[place - 1], radii[place]
        # a ball is 0.707 times as wide at half the height of a flat cap
        middle = np.where(low > 0.0, 1.0, np.sqrt(0.5)) * high
        low, high = np.where(low > 0.0, low, middle), np.where(low > 0.0, high, middle)
        rows.append((heights[place] - heights[place - 1], thick * low, thick * high, modulus, density))
    above = modulus if shank_modulus is None else shank_modulus, density if shank_density is None else shank_density
    rows.append((overhang - flutes, shank_diameter, shank_diameter, *above))
    steel = TOOL_MATERIALS["steel"]
    rows += [(*section, steel.modulus.middle, steel.density.middle) for section in holder]
    shape = np.broadcast_shapes(*(np.shape(v) for row in rows for v in row))
    columns = [np.stack([np.broadcast_to(v, shape) for v in column]) for column in zip(*rows, strict=True)]
    length, lower, upper, elastic, heavy = columns
    return Beam.of(length, lower, upper, elastic, heavy, lateral, tilting)


def _outline(profile: SupportForm) -> tuple[list[Any], list[Any]]:
    """Heights and radii of points of the outline, from the tip upward, between which it counts as straight."""
    nodes: list[tuple[Any, Any]] = []
    for arc in range(profile.count):
        start, end = profile.normal[arc], profile.normal[arc + 1]
        turns = _TURNS if np.any(profile.arc_radius[arc] > 0.0) else 0
        points = [profile.on_arc(arc, start + (end - start) * i / max(turns, 1)) for i in range(turns + 1)]
        if arc == 1 and np.any(nodes[-1][1] <= 0.0):
            last, first = nodes[-1], points[0]
            nodes += [tuple(a + (b - a) * s for a, b in zip(last, first, strict=True)) for s in _FROM_TIP]
        nodes += points
    heights, radii = zip(*nodes, strict=True)
    return list(heights), list(radii)


def _cut_off(heights: list[Any], radii: list[Any], limit: Any) -> tuple[list[Any], list[Any]]:
    """Return the points with those above a limit brought down to it, along the outline."""
    kept = [(np.minimum(heights[0], limit), radii[0])]
    for place in range(1, len(heights)):
        low, high = heights[place - 1], heights[place]
        with np.errstate(all="ignore"):
            share = np.where(high > low, np.clip((limit - low) / (high - low), 0.0, 1.0), 1.0)
        kept.append(
            (np.minimum(np.maximum(high, low), limit), radii[place - 1] + share * (radii[place] - radii[place - 1]))
        )
    return [k[0] for k in kept], [k[1] for k in kept]


def body_of(
    cutter: Cutter,
    holder: Sequence[HolderSection] = (),
    *,
    material: str | None = None,
    shank_material: str | None = None,
    equivalent_ratio: float = 0.8,
    lateral: float = inf,
    tilting: float = inf,
) -> Beam:
    """Return the bar of a cutter, and of the steel sections of a holder above it.

    Parameters
    ----------
    material, shank_material
        Words of tool materials; by the cutter's tool material, of steel if it takes round inserts, unless stated.
    equivalent_ratio, lateral, tilting
        As of `steps_of`.

    Raises
    ------
    JobError
        The cutter states no overhang.

    Examples
    --------
    >>> from millcalc import BallEndMill
    >>> beam = body_of(BallEndMill(diameter="6 mm", teeth=2, overhang="30 mm"))
    >>> round(float(beam.total), 6)
    30.0
    """
    measures = measures_of(cutter)
    head = body_material(cutter, material)
    shank = head if shank_material is None else tool_material(shank_material)
    return steps_of(
        cutter.profile,
        *measures[:3],
        modulus=head.modulus.middle,
        density=head.density.middle,
        shank_modulus=shank.modulus.middle,
        shank_density=shank.density.middle,
        equivalent_ratio=equivalent_ratio,
        holder=[_section(s) for s in holder],
        lateral=lateral,
        tilting=tilting,
    )


def body_material(cutter: Cutter, stated: str | None = None) -> ToolMaterial:
    """Return what the fluted part is made of: as stated, or by the cutter's tool material; steel under round inserts.

    Examples
    --------
    >>> from millcalc import BallEndMill
    >>> body_material(BallEndMill(diameter="6 mm", teeth=2, substrate="PCD")).word
    'carbide'
    """
    if stated is None:
        stated = "steel" if cutter.family == "round insert" else cutter.substrate
    return tool_material(tool_material(stated).body)


def _section(section: HolderSection) -> tuple[float, float, float]:
    length, lower, upper = (number(section, n) for n in ("length", "lower_diameter", "upper_diameter"))
    return length, lower, lower if upper is None else upper
