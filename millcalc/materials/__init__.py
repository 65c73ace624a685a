"""Work materials: one record a material, every value with its source and how it is known.

What is not needed to look a material up is loaded when first used.
"""

import importlib
from typing import TYPE_CHECKING, Any

from millcalc.materials.catalogue import material, materials, use_materials
from millcalc.materials.layers import Catalogue
from millcalc.materials.reading import read_materials
from millcalc.materials.record import Material
from millcalc.materials.rows import Alias, Caution, FeedChart, ForceRow, Kienzle, SpeedWindow, Taylor, Value

if TYPE_CHECKING:
    from millcalc.materials.estimates import (
        energy_estimate,
        least_chip_estimate,
        speed_estimate,
        substrate_speed_estimate,
    )
    from millcalc.materials.fitting import KienzleFit, TaylorFit, fit_kienzle, fit_taylor
    from millcalc.materials.groups import GroupForce, group_force, group_force_constants, group_speed_window
    from millcalc.materials.hardness_scales import converted_hardness
    from millcalc.materials.power_readings import fit_kienzle_from_power
    from millcalc.materials.search import search_materials, tags_of

_HOMES = {
    "millcalc.materials.estimates": (
        "energy_estimate",
        "least_chip_estimate",
        "speed_estimate",
        "substrate_speed_estimate",
    ),
    "millcalc.materials.fitting": ("KienzleFit", "TaylorFit", "fit_kienzle", "fit_taylor"),
    "millcalc.materials.groups": ("GroupForce", "group_force", "group_force_constants", "group_speed_window"),
    "millcalc.materials.hardness_scales": ("converted_hardness",),
    "millcalc.materials.power_readings": ("fit_kienzle_from_power",),
    "millcalc.materials.search": ("search_materials", "tags_of"),
}
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names}

__all__ = [
    "Alias",
    "Catalogue",
    "Caution",
    "FeedChart",
    "ForceRow",
    "GroupForce",
    "Kienzle",
    "KienzleFit",
    "Material",
    "SpeedWindow",
    "Taylor",
    "TaylorFit",
    "Value",
    "converted_hardness",
    "energy_estimate",
    "fit_kienzle",
    "fit_kienzle_from_power",
    "fit_taylor",
    "group_force",
    "group_force_constants",
    "group_speed_window",
    "least_chip_estimate",
    "material",
    "materials",
    "read_materials",
    "search_materials",
    "speed_estimate",
    "substrate_speed_estimate",
    "tags_of",
    "use_materials",
]


def __getattr__(name: str) -> Any:
    home = _HOME_OF.get(name)
    if home is None:
        raise AttributeError(f"millcalc.materials has no name {name!r}")
    value = getattr(importlib.import_module(home), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
