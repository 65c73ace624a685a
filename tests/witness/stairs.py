"""Stairs from the process alone: outlines pushed against a surface level by level, what stays sampled densely.

The surface is a function x(z) that runs outward as it falls.  At each level the axis stands at the least x at which no
point of the outline is inside; then all outward above the outline is gone.  Mm, degrees; derived, to about 1e-5 mm.
"""

import numpy as np


def outline(kind, diameter, corner=None, half_angle=None, top=30.0, count=20001):
    """Return heights and radii of a dense outline from the tip upward; straight pieces are sampled, too."""
    R = diameter / 2
    tip = {"flat": 0.0, "ball": R}.get(kind, corner)
    a = np.radians(half_angle or 0.0)
    t = np.linspace(0.0, np.pi / 2 - a, count)
    bottom = 0.0 if half_angle else R - tip
    z, r = tip * (1 - np.cos(t)), bottom + tip * np.sin(t)
    z, r = np.concatenate([np.zeros(count), z]), np.concatenate([np.linspace(0.0, bottom, count), r])
    for end, radius in (((z[-1] + (R - r[-1]) / np.tan(a), R),) if half_angle else ()) + ((top, R),):
        z, r = np.append(z, np.linspace(z[-1], end, count)), np.append(r, np.linspace(r[-1], radius, count))
    return z, r


class Surface:
    """A surface in the plane of the steepest slope: flat, a dome's outward side, or a bowl's."""

    def __init__(self, slope, radius):
        self.slope, self.radius = np.radians(slope), radius

    def outward(self, z):
        """Return x at a height z; minus infinity above the top, infinity below the foot."""
        if np.isinf(self.radius):
            return -z / np.tan(self.slope)
        rho = abs(self.radius)
        if self.radius > 0:
            return np.where(z >= rho, -np.inf, np.sqrt(np.maximum(rho**2 - np.maximum(z, 0) ** 2, 0)))
        return np.where(z >= 0, -rho, -np.sqrt(np.maximum(rho**2 - np.maximum(z, -rho) ** 2, 0)))

    def distance(self, x, z):
        """Return how far a point stands off the surface."""
        if np.isinf(self.radius):
            return x * np.sin(self.slope) + z * np.cos(self.slope)
        away = np.hypot(x, z)
        return away - self.radius if self.radius > 0 else -self.radius - away


def stair(shape, step, surface, tip):
    """Return the thickness of what two levels leave, the upper tip at a height, and the slope where it touches."""
    fine, radius = shape

    def place(level):
        with np.errstate(invalid="ignore"):
            needed = surface.outward(level + fine) + radius
        return np.max(needed), int(np.argmax(needed))

    upper, at = place(tip)
    lower, at_lower = place(tip - step)
    touch = (upper - radius[at], tip + fine[at])
    slope = np.degrees(np.arctan2(touch[0], touch[1])) if np.isfinite(surface.radius) else np.degrees(surface.slope)
    if surface.radius < 0:
        slope = np.degrees(np.arctan2(-touch[0], -touch[1]))
    # the lower flank, as far as the upper level has not taken it
    x, up = lower - radius, tip - step + fine
    above = np.arange(len(fine)) >= at_lower  # what lies below the lower contact is the next level's
    kept = above & (up <= tip)  # under the floor
    under = np.interp(np.clip(upper - x, 0, None), radius, fine)  # the upper outline at that place
    kept |= above & (x < upper) & (up <= tip + under)
    return float(np.max(surface.distance(x[kept], up[kept]))), slope
