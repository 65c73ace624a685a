"""Small wheels for tests, written as what a wheel is: a zip of modules and of what describes the distribution."""

import base64
import hashlib
import subprocess
import sys
import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path

import attrs


@attrs.frozen
class Wheel:
    """A distribution: its modules or data by path, its entry points by group, names to targets, and its needs."""

    name: str
    version: str
    files: Mapping[str, str]
    points: Mapping[str, Mapping[str, str]]
    requires: Sequence[str] = ()

    def write(self, folder: Path) -> Path:
        """Write the wheel into a folder."""
        stem = f"{self.name.replace('-', '_')}-{self.version}"
        info = f"{stem}.dist-info"
        files = dict(self.files)
        needs = "".join(f"Requires-Dist: {each}\n" for each in self.requires)
        files[f"{info}/METADATA"] = f"Metadata-Version: 2.1\nName: {self.name}\nVersion: {self.version}\n{needs}"
        files[f"{info}/WHEEL"] = "Wheel-Version: 1.0\nGenerator: tests\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
        files[f"{info}/entry_points.txt"] = "".join(map(self._section, self.points))
        rows = [f"{path},sha256={_digest(text)},{len(text.encode())}" for path, text in files.items()]
        files[f"{info}/RECORD"] = "\n".join([*rows, f"{info}/RECORD,,", ""])
        path = folder / f"{stem}-py3-none-any.whl"
        with zipfile.ZipFile(path, "w") as wheel:
            for name, text in files.items():
                wheel.writestr(name, text)
        return path

    def _section(self, group: str) -> str:
        lines = [f"{name} = {target}" for name, target in self.points[group].items()]
        return "\n".join([f"[{group}]", *lines, "", ""])


def install(paths: Sequence[Path], target: Path) -> None:
    """Install wheels, or what can be built without a network, into a folder: one call of pip for all."""
    options = ("--quiet", "--no-deps", "--no-index", "--no-build-isolation", "--no-compile", "--target", str(target))
    command = [sys.executable, "-m", "pip", "install", "--disable-pip-version-check", *options, *map(str, paths)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def _digest(text: str) -> str:
    return base64.urlsafe_b64encode(hashlib.sha256(text.encode()).digest()).rstrip(b"=").decode()
