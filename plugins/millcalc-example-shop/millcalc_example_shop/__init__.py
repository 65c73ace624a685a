"""Materials of an invented shop: the smallest plugin there can be."""

from pathlib import Path

MATERIALS = Path(__file__).with_name("materials.toml")
