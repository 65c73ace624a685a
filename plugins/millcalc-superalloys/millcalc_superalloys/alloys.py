"""What the entry point names: the records of the file beside this module, and one computed from orthogonal data."""

from pathlib import Path

import attrs

from millcalc.materials import Material, material, read_materials
from millcalc_superalloys.orthogonal import TITANIUM

__all__ = ["FILE", "materials"]

FILE = Path(__file__).with_name("materials.toml")
"""The records, in the form that millcalc reads."""

# rake and helix [deg] of the cutters for which forces are worked out; the first is the one used
_GEOMETRIES = ((12.0, 30.0), (0.0, 30.0), (0.0, 0.0))


def materials() -> list[Material]:
    """Return all materials of this distribution.

    Examples
    --------
    >>> [record.key for record in materials()][:3]
    ['ti-grade-2', 'ti-5al-5mo-5v-3cr', 'n06625']
    """
    return [*read_materials(FILE).values(), _titanium()]


def _titanium() -> Material:
    """Return millcalc's own Ti-6Al-4V with the forces of orthogonal data; it goes by a name of its own."""
    rows = tuple(TITANIUM.row(rake, helix) for rake, helix in _GEOMETRIES)
    return attrs.evolve(
        material("builtin:Ti-6Al-4V"),
        key="ti-6al-4v-orthogonal",
        designation="Ti-6Al-4V by orthogonal data",
        name="Titanium alloy, alpha-beta, with forces from tests of orthogonal cutting",
        aliases=(),
        force_coefficients=rows,
    )
