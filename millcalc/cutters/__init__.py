"""Cutters: a profile stated by its family, and the engine that derives the rest from it."""

from millcalc.cutters.assembly import Assembly, HolderSection
from millcalc.cutters.built_in import (
    BallEndMill,
    CornerRadiusEndMill,
    FlatEndMill,
    RoundInsertCutter,
    TaperedBallEndMill,
)
from millcalc.cutters.catalogue import families, family
from millcalc.cutters.cutter import Cutter
from millcalc.cutters.iso13399 import cutter_from_iso13399, iso13399_of
from millcalc.cutters.profile import Arc, Line, Profile
from millcalc.cutters.reading import cutter_from_text, cutter_text, read_cutter, write_cutter

__all__ = [
    "Arc",
    "Assembly",
    "BallEndMill",
    "CornerRadiusEndMill",
    "Cutter",
    "FlatEndMill",
    "HolderSection",
    "Line",
    "Profile",
    "RoundInsertCutter",
    "TaperedBallEndMill",
    "cutter_from_iso13399",
    "cutter_from_text",
    "cutter_text",
    "families",
    "family",
    "iso13399_of",
    "read_cutter",
    "write_cutter",
]
