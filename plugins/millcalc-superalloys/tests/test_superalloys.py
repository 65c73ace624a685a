"""The records satisfy the conformance suite; millcalc finds them by name; forces are those worked out elsewhere."""

import doctest
import importlib
import importlib.metadata
import math
import tomllib
from pathlib import Path

import millcalc_superalloys as superalloys
import numpy as np
import pytest

from millcalc import material
from millcalc.loads.coefficients import ForceCoefficients
from millcalc.sources import source
from millcalc.testing import MaterialConformance

DISTRIBUTION = "millcalc-superalloys"
OPTIONS = doctest.NORMALIZE_WHITESPACE | doctest.ELLIPSIS


class TestSuperalloys(MaterialConformance):
    materials = superalloys.materials


def test_the_entry_point_is_installed():
    points = importlib.metadata.distribution(DISTRIBUTION).entry_points
    found = {p.name: p.value for p in points if p.group == "millcalc.materials"}
    assert found == {"superalloys": "millcalc_superalloys:materials"}


@pytest.mark.parametrize(
    ("name", "key"),
    [("UNS R50400", "ti-grade-2"), ("alloy 625", "n06625"), ("1.4980", "s66286"), ("L-605", "r30605")],
)
def test_millcalc_finds_them_by_name(name, key):
    found = material(name)
    assert found.key == key
    assert found.iso513 == "S"
    assert found.origin.startswith(f"{DISTRIBUTION} ")
    assert material(f"{DISTRIBUTION}:{name}") == found


def test_the_library_keeps_its_own_titanium():
    assert material("Ti-6Al-4V").origin == "built in"
    ours, own = material("Ti-6Al-4V by orthogonal data"), material("builtin:Ti-6Al-4V")
    assert ours.cutting_speeds == own.cutting_speeds
    assert ours.force_coefficients[0].source == "ORTHOGONAL96"
    assert ours.force_coefficients != own.force_coefficients


@pytest.mark.parametrize(
    ("rake", "helix", "expected"),
    [(0.0, 0.0, (1730.9, 599.4, 0.0)), (12.0, 30.0, (1510.0, 214.6, 514.9))],
)
def test_coefficients_at_a_chip_of_0p05(rake, helix, expected):
    """Derived elsewhere, chip flow at the inclination; printed to 0.1 N/mm^2."""
    assert superalloys.TITANIUM.section(rake, helix, 0.05) == pytest.approx(expected, abs=0.05)


def test_forces_balance_on_the_shear_plane():
    """A second way to an edge without inclination: the stress on the shear plane and the friction on the rake face."""
    data, rake, chip = superalloys.TITANIUM, 8.0, 0.03
    ratio = (1.755 - 0.028 * rake) * chip ** (0.331 - 0.0082 * rake)
    alpha, beta = math.radians(rake), math.radians(19.1 + 0.29 * rake)
    angles = np.linspace(0.01, 1.5, 400_001)  # the shear angle at which the chip is as thick as its ratio says
    phi = angles[np.argmin(np.abs(np.sin(angles) / np.cos(angles - alpha) - ratio))]
    resultant = 613.0 / math.sin(phi) / math.cos(phi + beta - alpha)
    expected = resultant * math.cos(beta - alpha), resultant * math.sin(beta - alpha), 0.0
    assert data.section(rake, 0.0, chip) == pytest.approx(expected, rel=2e-5, abs=1e-9)


@pytest.mark.parametrize(("rake", "chip"), [(-1.0, 0.05), (16.0, 0.05), (math.nan, 0.05), (5.0, 0.0), (5.0, math.nan)])
def test_what_lies_outside_the_range_is_refused(rake, chip):
    with pytest.raises(ValueError, match="a rake of 0 to 15 deg and a chip are needed"):
        superalloys.TITANIUM.section(rake, 30.0, chip)


def test_a_plan_takes_the_coefficients():
    made = superalloys.TITANIUM.coefficients(12.0, 30.0)
    by_name = ForceCoefficients.from_material("ti-6al-4v-orthogonal")
    assert made.numbers == pytest.approx(by_name.numbers)
    assert "derived" in by_name.origin


def test_its_sources_are_described():
    tables = tomllib.loads(superalloys.FILE.read_text(encoding="utf-8"))
    assert tables.pop("api") == superalloys.MILLCALC_API
    superalloys.materials()
    for key in (*tables["sources"], "ORTHOGONAL96"):
        assert source(key).how_known in ("read", "from memory")


@pytest.mark.parametrize("module", ["alloys", "orthogonal"])
def test_docstring_examples(module):
    failed, run = doctest.testmod(importlib.import_module(f"millcalc_superalloys.{module}"), optionflags=OPTIONS)
    assert run
    assert not failed


def test_readme_examples():
    path = Path(__file__).parents[1] / "README.md"
    failed, run = doctest.testfile(str(path), module_relative=False, optionflags=OPTIONS)
    assert run
    assert not failed
