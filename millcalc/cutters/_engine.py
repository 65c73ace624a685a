"""The modules of the geometry, each loaded when a question first needs it: a ball has closed forms for most."""

import importlib
from typing import Any

__all__ = ["cap", "closed_forms", "edge", "left_surface", "marks", "region", "scallop", "stairs"]


class _Module:
    """A module of this package, loaded at the first use of a name in it."""

    def __init__(self, name: str) -> None:
        self._name = name

    def __getattr__(self, name: str) -> Any:
        found = getattr(importlib.import_module(f"millcalc.cutters.{self._name}"), name)
        setattr(self, name, found)
        return found


cap, closed_forms, edge, left_surface = map(_Module, ("cap", "closed_forms", "edge", "left_surface"))
marks, region, scallop, stairs = map(_Module, ("marks", "region", "scallop", "stairs"))
