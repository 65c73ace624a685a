"""Cutters: a profile stated by its family, and the engine that derives the rest from it.

What a plan does not need, files, families by word, holder and shank, is loaded when first used.
"""

import importlib
from typing import TYPE_CHECKING, Any

from millcalc.cutters.built_in import (
    BallEndMill,
    CornerRadiusEndMill,
    FlatEndMill,
    RoundInsertCutter,
    TaperedBallEndMill,
)
from millcalc.cutters.cutter import Cutter
from millcalc.cutters.profile import Arc, Line, Profile

if TYPE_CHECKING:
    from millcalc.cutters.assembly import Assembly, HolderSection
    from millcalc.cutters.catalogue import families, family
    from millcalc.cutters.iso13399 import cutter_from_iso13399, iso13399_of
    from millcalc.cutters.reading import cutter_from_text, cutter_text, read_cutter, write_cutter

_HOME_OF = {
    "Assembly": "assembly",
    "HolderSection": "assembly",
    "cutter_from_iso13399": "iso13399",
    "cutter_from_text": "reading",
    "cutter_text": "reading",
    "families": "catalogue",
    "family": "catalogue",
    "iso13399_of": "iso13399",
    "read_cutter": "reading",
    "write_cutter": "reading",
}

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


def __getattr__(name: str) -> Any:
    home = _HOME_OF.get(name)
    if home is None:
        raise AttributeError(f"millcalc.cutters has no name {name!r}")
    value = getattr(importlib.import_module(f"millcalc.cutters.{home}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
