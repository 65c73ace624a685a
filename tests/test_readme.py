"""The README says what really comes out: its Python and console blocks, its set-up commands, its first words."""

import doctest
import importlib
import re
import shlex
from pathlib import Path

import pytest

from millcalc.__main__ import main

README = Path(__file__).parents[1] / "README.md"
TEXT = README.read_text(encoding="utf-8")


def blocks(language):
    return re.findall(rf"```{language}\n(.*?)```", TEXT, flags=re.DOTALL)


def test_python_blocks_print_what_they_show():
    examples = "\n".join(blocks("python"))
    assert examples.count(">>>") > 15
    parser, runner = doctest.DocTestParser(), doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE)
    runner.run(parser.get_doctest(examples, {}, "README", str(README), 0))
    assert runner.summarize(verbose=False).failed == 0


def consoles():
    for block in blocks("console"):
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, _, shown = part.partition("\n")
            yield command, shown.strip("\n")


@pytest.mark.parametrize(("command", "shown"), list(consoles()), ids=lambda text: text[:30])
def test_console_blocks_print_what_they_show(command, shown, capsys):
    program, *arguments = shlex.split(command)
    assert program == "millcalc"
    assert main(arguments) == 0
    assert capsys.readouterr().out.rstrip("\n") == shown


def test_pictures_stand_beside_it_and_are_drawn_by_what_is_named():
    named = re.findall(r"!\[[^\]]+\]\((\.pictures/\w+\.png)\)", TEXT)
    assert len(named) == 4
    for name in named:
        assert (README.parent / name).read_bytes()[:4] == b"\x89PNG"
    for module, function in (
        ("trade_off", "stepover_picture"),
        ("edge_speed", "edge_speed_picture"),
        ("pictures", "scallops_picture"),
    ):
        assert f"report.{module}.{function}" in TEXT
        assert callable(getattr(importlib.import_module(f"millcalc.report.{module}"), function))


def test_there_are_two_set_up_commands_each_one_line():
    commands = blocks("sh")
    assert len(commands) == 2
    assert all(c.count("\n") == 1 and c.startswith("python3 -m venv") for c in commands)
    assert "plan --example" in commands[0]
    assert "pytest" in commands[1]


def test_the_job_stands_in_the_first_paragraph():
    first = TEXT.split("\n\n")[1]
    assert all(word in first for word in ("finish", "stepover", "point spacing", "spindle speed", "feed", "time"))
