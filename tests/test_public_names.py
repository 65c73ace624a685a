"""The public names are there, load lazily, and stay what they are whatever has been imported."""

import subprocess
import sys

import pytest

import millcalc


@pytest.mark.parametrize("name", millcalc.__all__)
def test_each_public_name_is_there(name):
    assert getattr(millcalc, name) is getattr(millcalc, name)
    assert name in dir(millcalc)


def test_an_unknown_name_is_an_attribute_error():
    with pytest.raises(AttributeError, match="no name 'nothing'"):
        millcalc.nothing  # noqa: B018 - the access is the test
    with pytest.raises(AttributeError, match="no formula 'nothing'"):
        millcalc.formulas.nothing  # noqa: B018 - the access is the test


def test_packages_stay_packages_after_a_plan():
    code = (
        "import millcalc, types; names = ('materials', 'formulas');"
        "before = [getattr(millcalc, n) for n in names]; millcalc.plan(millcalc.example_job());"
        "assert all(isinstance(getattr(millcalc, n), types.ModuleType) for n in names);"
        "assert before == [getattr(millcalc, n) for n in names]; print(len(millcalc.materials.materials()))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert int(done.stdout) >= 10


def test_every_formula_is_an_attribute_of_the_package():
    found = millcalc.formulas.all_formulas()
    assert len(found) > 70
    for name, formula in found.items():
        assert getattr(millcalc.formulas, name) is formula or name in millcalc.formulas.SUBJECTS
