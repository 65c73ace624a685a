"""Work materials: one record a material, every value with its source and how it is known."""

from millcalc.materials.catalogue import material, materials
from millcalc.materials.reading import read_materials
from millcalc.materials.record import (
    Alias,
    Caution,
    FeedChart,
    ForceRow,
    Kienzle,
    Material,
    SpeedWindow,
    Taylor,
    Value,
)

__all__ = [
    "Alias",
    "Caution",
    "FeedChart",
    "ForceRow",
    "Kienzle",
    "Material",
    "SpeedWindow",
    "Taylor",
    "Value",
    "material",
    "materials",
    "read_materials",
]
