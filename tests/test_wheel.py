"""The built wheel carries what the code reads, and works where only it is installed."""

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "--no-build-isolation", "-w", folder, ROOT]
    subprocess.run([*map(str, command)], check=True, capture_output=True)
    (built,) = folder.glob("millcalc-*.whl")
    return built


def test_wheel_carries_data_and_reference(wheel):
    names = set(zipfile.ZipFile(wheel).namelist())
    wanted = ["millcalc/py.typed", "millcalc/sources.toml", "millcalc/planning/examples/finishing.toml"]
    wanted += [f"millcalc/materials/data/{p.name}" for p in (ROOT / "millcalc/materials/data").glob("*.toml")]
    wanted += [f"millcalc/reference/{p.name}" for p in (ROOT / "reference").glob("*.toml")]
    assert len(wanted) > 15
    assert not set(wanted) - names
    assert not [n for n in names if n.startswith(("tests/", "plugins/"))]


def test_wheel_plans_where_only_it_is_installed(wheel, tmp_path):
    zipfile.ZipFile(wheel).extractall(tmp_path)
    code = "import millcalc; print(millcalc.__file__); print(millcalc.plan_page(millcalc.plan(millcalc.example_job())))"
    # -P and -I keep the checkout off the path; the unpacked wheel is put on it by hand
    code = f"import sys; sys.path.insert(0, {str(tmp_path)!r}); {code}"
    done = subprocess.run([sys.executable, "-I", "-c", code], capture_output=True, text=True, cwd=tmp_path, check=True)
    assert done.stdout.startswith(str(tmp_path))
    assert "FINISHING PLAN" in done.stdout
