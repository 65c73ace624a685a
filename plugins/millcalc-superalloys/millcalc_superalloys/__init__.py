"""Titanium and heat-resistant alloys for millcalc: records of ISO 513 group S, and forces from orthogonal data."""

from millcalc_superalloys.alloys import FILE, materials
from millcalc_superalloys.orthogonal import TITANIUM, OrthogonalData

__all__ = ["FILE", "MILLCALC_API", "TITANIUM", "OrthogonalData", "materials"]

MILLCALC_API = 1
"""The version of millcalc's interface that this was written for."""
