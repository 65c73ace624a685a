"""What has a profile and answers all questions: every cutter, and many cutters side by side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from millcalc.cutters._engine import cap
from millcalc.cutters.cut_answers import CutAnswers
from millcalc.cutters.path_answers import PathAnswers
from millcalc.cutters.profile import Profile
from millcalc.cutters.shape_answers import ShapeAnswers
from millcalc.cutters.stair_answers import StairAnswers
from millcalc.cutters.surface_answers import SurfaceAnswers
from millcalc.quantities.kinds import ANGLE
from millcalc.quantities.registries import application_registry

if TYPE_CHECKING:
    from millcalc.cutters.cutter import Cutter

__all__ = ["Shape", "SideBySide"]


class Shape(ShapeAnswers, SurfaceAnswers, CutAnswers, PathAnswers, StairAnswers):
    """Everything that is derived from a profile."""

    def segment_inclinations(self) -> tuple[Any, Any] | None:
        """Return the window of inclinations [deg] in which the contact lies on the segment; None without a segment.

        The segment is the arc of the largest radius, if that is above half the diameter.

        Examples
        --------
        >>> from millcalc import BallEndMill
        >>> BallEndMill(diameter="6 mm", teeth=2).segment_inclinations() is None
        True
        """
        window = cap.segment_window(self.profile)
        known = application_registry()
        return None if window is None else (known.quantity(window[0], ANGLE), known.quantity(window[1], ANGLE))


class SideBySide(Shape):
    """Many cutters of one family as one shape; answers have a last axis over them.

    Examples
    --------
    >>> from millcalc import FlatEndMill
    >>> cutters = [FlatEndMill(diameter=d, teeth=4) for d in ("6 mm", "10 mm")]
    >>> print(SideBySide(cutters).contact_diameter("10 deg"))
    [6.0 10.0] millimeter
    """

    def __init__(self, cutters: Sequence[Cutter]) -> None:
        self.cutters = tuple(cutters)
        self._profile = Profile.stack([c.profile for c in cutters])
        self._lengths = np.array([c.working_length for c in cutters])

    @property
    def profile(self) -> Profile:
        return self._profile

    @property
    def working_length(self) -> Any:
        return self._lengths
