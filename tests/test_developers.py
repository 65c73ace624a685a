"""DEVELOPERS.md says what really happens: its walk from nothing to an installed plugin, followed to the letter."""

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from wheels import install

ROOT = Path(__file__).parents[1]
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
SECTION = re.search(r"^## From nothing to an installed plugin\n(.*?)(?=^## )", TEXT, re.MULTILINE | re.DOTALL)[1]
STEP = re.compile(r"(?P<before>[^\n]*)\n\n```(?P<language>\w+)\n(?P<block>.*?)```", re.DOTALL)


def steps():
    """Yield the language, the text before and the text of each code block, in their order."""
    for found in STEP.finditer(SECTION):
        yield found["language"], found["before"], found["block"]


class Follower:
    """Somebody who does what the text says, with an installation of their own and without a network."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.target = folder, folder / "installed"
        self.said: list[tuple[str, str, str]] = []

    def write(self, before: str, block: str) -> None:
        names = re.findall(r"`([\w/.-]+\.(?:toml|py))`", before)
        path = self.folder / names[-1]
        path.write_text(block, encoding="utf-8")

    def type(self, block: str) -> None:
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, _, shown = part.partition("\n")
            self.said.append((command, shown, self.run(shlex.split(command))))

    def run(self, words: list[str]) -> str:
        if words[0] == "mkdir":
            assert words[1] == "-p"
            for name in words[2:]:
                (self.folder / name).mkdir(parents=True)
            return ""
        if words[0] == "cd":
            self.folder = self.folder / words[1]
            return ""
        if words == ["python", "-m", "pip", "install", "--quiet", "."]:
            install([self.folder], self.target)  # into a folder of its own
            return ""
        before = [sys.executable, "-m", "millcalc"] if words[0] == "millcalc" else [sys.executable]
        assert words[0] in ("millcalc", "python")
        variables = os.environ | {"PYTHONPATH": str(self.target), "PYTHONDONTWRITEBYTECODE": "1", "PYTHONUTF8": "1"}
        command = [*before, *words[1:]]
        done = subprocess.run(
            command, cwd=self.folder, env=variables, capture_output=True, encoding="utf-8", check=False
        )
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout


@pytest.fixture(scope="module")
def followed(tmp_path_factory):
    reader = Follower(tmp_path_factory.mktemp("walk"))
    for language, before, block in steps():
        if language == "console":
            reader.type(block)
        else:
            reader.write(before, block)
    return reader


def timeless(text):
    return re.sub(r" in [\d.]+s\b", " in some time", text.rstrip("\n"))


def test_every_command_prints_what_is_shown(followed):
    commands = [command for command, _, _ in followed.said]
    assert len(commands) == 7
    for command, shown, printed in followed.said:
        assert timeless(printed) == timeless(shown), command


def test_the_files_are_the_walk(followed):
    written = {str(p.relative_to(followed.folder)) for p in followed.folder.rglob("*") if p.is_file()}
    expected = {"pyproject.toml", "dome_cutters/__init__.py", "tests/test_dome.py", "passes.py"}
    assert {name for name in written if ".pytest_cache" not in name and "__pycache__" not in name} == expected
