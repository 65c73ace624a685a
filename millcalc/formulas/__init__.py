"""The physics: one module a subject; each public function is one formula.

Every formula is also an attribute of this package, loaded with its module when first used:
``millcalc.formulas.scallop_height`` is ``millcalc.formulas.scallops.scallop_height``.
"""

import importlib
from typing import Any

__all__ = ["SUBJECTS", "all_formulas"]

SUBJECTS = (
    "speeds",
    "chips",
    "arcs",
    "corners",
    "corner_passes",
    "entries",
    "helical_entries",
    "entry_paths",
    "entry_exit",
    "clearing",
    "loops",
    "cutting_force",
    "oblique",
    "average_force",
    "drive",
    "stiffness",
    "frequencies",
    "balance",
    "ball",
    "ball_chip",
    "scallops",
    "finish",
    "marks",
    "lean",
    "curves",
    "motion",
    "rotary",
    "times",
    "passes",
    "preferred_numbers",
    "program",
    "hardness",
    "tool_life",
    "life_conditions",
    "economics",
    "economic_speeds",
    "shares",
    "proportions",
    "stock",
    "settings",
    "tolerances",
)
"""The modules, in the order in which they are listed for a reader."""


def all_formulas() -> dict[str, Any]:
    """Return every formula of the library by name.

    Examples
    --------
    >>> all_formulas()["cutting_speed"].symbol
    'v_c'
    """
    found: dict[str, Any] = {}
    for subject in SUBJECTS:
        module = importlib.import_module(f"{__name__}.{subject}")
        found |= {name: getattr(module, name) for name in module.__all__ if hasattr(getattr(module, name), "bare")}
    return found


def __getattr__(name: str) -> Any:
    # a subject is left to the import system, which asks here first
    if not name.startswith("_") and name not in SUBJECTS:
        found = all_formulas()
        if name in found:
            return found[name]
    raise AttributeError(f"millcalc.formulas has no formula {name!r}")
