"""Parts of the stairs: the outline of a cutter by height, and the place where it touches a slope.

The cutter stands upright.  A place on the surface is told by the angle theta between surface and horizontal; from the
contact there x runs outward, away from the hill, and z up.
"""

from __future__ import annotations

from typing import Any

import attrs
import numpy as np

from millcalc.cutters.silhouette import Form, level

__all__ = ["Place", "flat_radius", "outline", "section", "top"]

_QUARTER = np.pi / 2


def top(form: Form) -> Any:
    """Height of the end of the last arc."""
    return form.ends(form.count - 1)[1][0]


def flat_radius(form: Form) -> Any:
    """Radius of the flat bottom; 0 where there is none."""
    found = 0.0 * form.normal[0]
    for arc in range(form.count):
        start = form.ends(arc)[0][1]
        found = np.where(form.normal[arc] <= 1e-12, np.maximum(found, start), found)
    return found


def outline(form: Form, height: Any) -> tuple[Any, Any]:
    """Radius at a height, and its change with height; an endless cutter goes on above with its last radius."""
    radius, slope = np.nan * height, np.nan * height
    below: tuple[Any, Any] = (np.nan, np.nan)
    for arc in range(form.count):
        start, end = form.ends(arc)
        lean = (start[1] - below[1]) / (start[0] - below[0])
        on_line = (height >= below[0]) & (height <= start[0])
        up = np.clip(form.centre_height[arc] - height, -form.arc_radius[arc], form.arc_radius[arc])
        out = np.sqrt(form.arc_radius[arc] ** 2 - up * up)
        on_arc = (height >= start[0]) & (height <= end[0])
        radius = np.where(on_line & (start[0] > below[0]), below[1] + lean * (height - below[0]), radius)
        slope = np.where(on_line, lean, slope)
        radius = np.where(on_arc, form.centre_radius[arc] + out, radius)
        slope = np.where(on_arc, up / out, slope)
        below = end
    above = (height >= below[0]) & form.endless
    return np.where(above, below[1], radius), np.where(above, 0.0, slope)


def section(form: Form, height: Any) -> Any:
    """Area between axis and outline up to a height."""
    found = 0.0 * height
    below: tuple[Any, Any] = (0.0, 0.0)
    for arc in range(form.count):
        start, end = form.ends(arc)
        rise, up = start[0] - below[0], np.clip(height, below[0], start[0]) - below[0]
        mean = below[1] + 0.5 * (start[1] - below[1]) * np.where(rise > 0.0, up / rise, 0.0)
        found = found + np.where(rise > 0.0, mean * up, 0.0)
        reached = np.clip(height, start[0], end[0])
        rho, centre = form.arc_radius[arc], form.centre_height[arc]
        part = _half_disc(reached - centre, rho) - _half_disc(start[0] - centre, rho)
        found = found + form.centre_radius[arc] * (reached - start[0]) + part
        below = end
    return found + below[1] * np.maximum(height - below[0], 0.0)


def _half_disc(up: Any, rho: Any) -> Any:
    """Area of half a disc from its middle to a height."""
    share = np.clip(up / np.where(rho > 0.0, rho, 1.0), -1.0, 1.0)
    return 0.5 * rho * rho * (share * np.sqrt(1.0 - share * share) + np.arcsin(share))


@attrs.frozen(eq=False)
class Place:
    """Where an upright cutter touches a surface of curvature `bend`, running on straight past level and upright."""

    form: Form
    sine: Any
    cosine: Any
    bend: Any
    height: Any
    radius: Any

    @classmethod
    def at(cls, form: Form, slope: Any, bend: Any) -> Place:
        """The place with a slope [rad]; the contact is NaN where the cutter has no such normal."""
        height, radius, _ = form.at_normal(slope)
        radius = np.where(slope <= 1e-12, flat_radius(form), radius)
        # a level plane is the end of ever flatter ones
        sine = np.where(bend == 0.0, np.maximum(np.sin(slope), 1e-15), np.sin(slope))
        return cls(form, sine, np.cos(slope), bend, height, radius)

    @property
    def room(self) -> Any:
        """How far the cutter can be lowered: until a concave surface has turned level."""
        sagitta = self.sine * self.sine / (1.0 + self.cosine) / np.where(self.bend < 0.0, -self.bend, 1.0)
        return np.where(self.bend < 0.0, np.maximum(sagitta - self.height, 0.0), np.inf)

    def surface(self, drop: Any, bend: Any) -> tuple[Any, Any]:
        """Sine and cosine of the slope that a surface of some curvature has a drop below the contact."""
        turned = drop * bend
        square = self.sine * self.sine + turned * (2.0 * self.cosine - turned)
        return np.sqrt(np.maximum(square, 0.0)), self.cosine - turned

    def outward(self, drop: Any) -> Any:
        """How far out the surface lies a drop below the contact; -inf above the top of a convex one."""
        sine, cosine = self.surface(drop, self.bend)
        out = drop * (2.0 * self.cosine - drop * self.bend) / (sine + self.sine)
        out = np.where(drop == 0.0, 0.0, out)
        out = np.where(cosine < 0.0, self.wall, out)
        return np.where((cosine > 1.0 + 1e-12) & (self.bend > 0.0), -np.inf, out)

    @property
    def wall(self) -> Any:
        """How far out the surface lies where it has turned upright."""
        return self.cosine * self.cosine / (1.0 + self.sine) / np.where(self.bend == 0.0, np.nan, self.bend)

    def lowered(self, drop: Any) -> tuple[Any, Any, Any]:
        """How far the cutter moves outward when it is lowered; height and radius of its contact then.

        No point of the cutter may lie in the surface: of all points that could touch, the one farthest out does.
        """
        form = self.form
        best, height, radius = -np.inf + 0.0 * drop, np.nan * drop, np.nan * drop

        def offer(up: Any, out: Any) -> None:
            nonlocal best, height, radius
            moved = out - self.radius + self.outward(drop + self.height - up)
            better = moved > best
            best, height, radius = (
                np.where(better, new, old) for new, old in zip((moved, up, out), (best, height, radius), strict=True)
            )

        for arc in range(form.count):
            low, high = (np.clip(form.normal[arc + i], 0.0, _QUARTER) for i in (0, 1))
            if arc:
                offer(*self._on_line(arc, drop))
            rho = form.arc_radius[arc]
            fall = drop + self.height - form.centre_height[arc] + rho * self.cosine
            turned = np.arctan2(*self.surface(fall, self.bend / (1.0 + rho * self.bend)))
            for psi in (np.clip(turned, low, high), low + 0.0 * drop, high + 0.0 * drop):
                offer(*form.on_arc(arc, psi))
        plane = self.bend == 0.0
        return (
            np.where(plane, drop * self.cosine / self.sine, best),
            np.where(plane, self.height, height),
            np.where(plane, self.radius, radius),
        )

    def _on_line(self, arc: int, drop: Any) -> tuple[Any, Any]:
        """Point of the straight piece before an arc that touches the convex surface where that is as steep."""
        form = self.form
        (_, lower), (upper, _) = form.ends(arc - 1), form.ends(arc)
        slope, normal = np.arctan2(self.sine, self.cosine), np.minimum(form.normal[arc], _QUARTER)
        fall = 2.0 * np.sin(0.5 * (normal + slope)) * np.sin(0.5 * (normal - slope)) / self.bend
        up = np.clip(drop + self.height - fall, lower[0], upper[0])
        rise = upper[0] - lower[0]
        share = np.where(rise > 0.0, (up - lower[0]) / np.where(rise > 0.0, rise, 1.0), np.nan)
        return up, lower[1] + share * (upper[1] - lower[1])

    def above(self, moved: Any, drop: Any, height: Any) -> Any:
        """Distance from the surface of a point of the outline of the cutter moved outward and down."""
        x = moved + self.radius - outline(self.form, height)[0]
        z = height - drop - self.height
        found = level(x * self.cosine - z * self.sine, x * self.sine + z * self.cosine, self.bend)
        upright = (self.bend > 0.0) & (z * self.bend < -self.cosine)
        return np.where(upright, x - self.wall, found)
