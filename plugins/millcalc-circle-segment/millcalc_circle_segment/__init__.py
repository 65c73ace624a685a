"""Circle-segment cutters for millcalc: part of the edge is an arc far flatter than a ball of the same diameter."""

from millcalc_circle_segment.barrel import BarrelEndMill
from millcalc_circle_segment.lens import LensEndMill
from millcalc_circle_segment.oval import OvalEndMill
from millcalc_circle_segment.taper_barrel import TaperBarrelEndMill

__all__ = ["BarrelEndMill", "LensEndMill", "OvalEndMill", "TaperBarrelEndMill"]
