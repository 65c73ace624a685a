"""Whether a ball fits a surface: convex and flat always, concave where its radius is larger than the ball's."""

from typing import Any

__all__ = ["FITS", "fits"]

FITS = "(surface_radius > 0) | (surface_radius < -0.5*diameter)"
"""The condition, as formulas require it and print it."""


def fits(diameter: Any, surface_radius: Any) -> Any:
    """Return where the ball fits."""
    return (surface_radius > 0.0) | (surface_radius < -0.5 * diameter)
