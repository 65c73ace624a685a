"""Closed forms where they are exact: a ball whose flank stays out of the ridge, a flat end leaned one way on a plane.

Each takes a profile and numbers in mm and degrees, and gives NaN where it does not hold; the engine answers there.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from millcalc.cutters.profile import Profile

__all__ = ["ball_radius", "closed_height", "closed_stepover"]


def ball_radius(profile: Profile) -> Any:
    """Radius of a ball on a cylinder of its own diameter, or None for any other profile."""
    if profile.count != 1 or not profile.endless or np.any(profile.centre_radius != 0.0):
        return None
    return profile.arc_radius[0]


def _flat_radius(profile: Profile) -> Any:
    """Radius of a flat end with a sharp corner, or None for any other profile."""
    if profile.count != 2 or not profile.endless or np.any(profile.arc_radius) or np.any(profile.centre_height):
        return None
    return None if np.any(profile.normal[1]) else profile.centre_radius[1]


def closed_height(profile: Profile, stepover: Any, lead: Any, tilt: Any, surface_radius: Any) -> Any:
    """Scallop height [mm], or NaN; None where the profile has no closed form."""
    with np.errstate(all="ignore"):
        radius = ball_radius(profile)
        if radius is not None:
            return _ball_height(radius, stepover, tilt, surface_radius)
        radius = _flat_radius(profile)
        return None if radius is None else _flat_height(radius, stepover, lead, tilt, surface_radius)


def closed_stepover(profile: Profile, scallop_height: Any, lead: Any, tilt: Any, surface_radius: Any) -> Any:
    """Stepover [mm], or NaN; None where the profile has no closed form."""
    with np.errstate(all="ignore"):
        radius = ball_radius(profile)
        if radius is not None:
            return _ball_stepover(radius, scallop_height, tilt, surface_radius)
        radius = _flat_radius(profile)
        return None if radius is None else _flat_stepover(radius, scallop_height, lead, tilt, surface_radius)


def _on_the_ball(turn: Any, tilt: Any, surface_radius: Any) -> Any:
    """Whether both sides of a ridge, `turn` round the ball from the contact, are the ball's; flat or convex."""
    return (turn <= np.radians(90.0 - np.abs(tilt))) & (surface_radius > 0.0)


def _ball_height(radius: Any, stepover: Any, tilt: Any, surface_radius: Any) -> Any:
    bend = 1.0 / surface_radius
    sine = 0.5 * stepover * np.sinc(0.5 * stepover * bend / np.pi) * (1.0 + radius * bend) / radius
    turn = np.arcsin(sine)
    drop = radius * 2.0 * np.sin(0.5 * turn) ** 2
    fall = (1.0 + radius * bend) * stepover * np.sin(0.25 * stepover * bend)
    # the centres of neighbouring balls lie `fall` lower at the ridge than over the contact
    height = drop - 0.5 * fall * np.sinc(0.25 * stepover * bend / np.pi)
    meets = 0.5 * stepover * bend <= 0.5 * np.pi
    return np.where(_on_the_ball(turn, tilt, surface_radius) & meets, height, np.nan)


def _ball_stepover(radius: Any, height: Any, tilt: Any, surface_radius: Any) -> Any:
    bend = 1.0 / surface_radius
    # half the angle at the surface's centre, from the triangle of that centre, the ball's, and the ridge
    grown = (1.0 + radius * bend) * (1.0 + height * bend)
    half_chord = np.sqrt(0.25 * height * (2.0 * radius - height) / grown)
    reach = np.where(
        bend == 0.0, 2.0 * half_chord, 2.0 * np.arcsin(bend * half_chord) / np.where(bend == 0.0, 1.0, bend)
    )
    sine = np.sin(bend * reach) * (surface_radius + radius) / radius
    turn = np.arcsin(np.where(bend == 0.0, reach / radius, sine))
    return np.where(_on_the_ball(turn, tilt, surface_radius) & (height <= radius), 2.0 * reach, np.nan)


def _flat_height(radius: Any, stepover: Any, lead: Any, tilt: Any, surface_radius: Any) -> Any:
    ahead, aside = np.radians(np.abs(lead)), np.radians(np.abs(tilt))
    half = 0.5 * stepover / radius
    ellipse = np.sin(ahead) * radius * half * half / (1.0 + np.sqrt(1.0 - half * half))
    triangle = stepover * np.sin(aside) * np.cos(aside)
    whole = triangle <= 2.0 * radius * np.sin(aside)  # the ridge lies on the flat end
    found = np.where(tilt == 0.0, ellipse, np.where((lead == 0.0) & whole, triangle, np.nan))
    return np.where(np.isinf(surface_radius), found, np.nan)


def _flat_stepover(radius: Any, height: Any, lead: Any, tilt: Any, surface_radius: Any) -> Any:
    ahead, aside = np.radians(np.abs(lead)), np.radians(np.abs(tilt))
    share = np.where(ahead > 0.0, height / (radius * np.sin(np.where(ahead > 0.0, ahead, 1.0))), np.inf)
    ellipse = np.where(share <= 1.0, 2.0 * radius * np.sqrt(share * (2.0 - share)), np.nan)
    triangle = height / (np.sin(aside) * np.cos(aside))
    whole = height <= 2.0 * radius * np.sin(aside)
    found = np.where(tilt == 0.0, ellipse, np.where((lead == 0.0) & whole, triangle, np.nan))
    return np.where(np.isinf(surface_radius), found, np.nan)
