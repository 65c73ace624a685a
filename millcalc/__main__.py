"""The command line: reads a job file or values, prints plans, comparisons, sheets and lists."""

import argparse
import importlib
import os
import sys
import warnings
from collections.abc import Sequence
from typing import Any, NoReturn

from millcalc.errors import MillcalcError

__all__ = ["main"]

_COMMANDS = (
    "plans",
    "pages",
    "routes",
    "comparisons",
    "proving",
    "measured",
    "sheets",
    "lists",
    "path",
    "check",
    "plugins",
)
"""Modules of `millcalc.commands`, in the order in which help lists them."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit status: the command's, or 2 when the input cannot be used."""
    warnings.showwarning = _warning_line
    options = _options(arguments)
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="backslashreplace")  # a page is printed, whatever the terminal can show
    try:
        answer: str | tuple[str, int] = options.run(options)
        text, status = answer if isinstance(answer, tuple) else (answer, 0)
        print(text)
        sys.stdout.flush()
    except MillcalcError as error:
        print(f"millcalc: {_in_file(options, _line(error))}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        # the reader, head or a pager, has seen enough
        _drop_output()
        return 0
    except OSError as error:
        _drop_output()
        print(f"millcalc: the output cannot be written: {error.strerror}", file=sys.stderr)
        return 2
    return status


def _drop_output() -> None:
    """Send what is still to be printed nowhere, so that closing the program does not fail on it."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _options(arguments: Sequence[str] | None) -> Any:
    """Read the arguments; fields may stand behind options, too, which argparse alone does not read."""
    parser = _parser()
    options, left = parser.parse_known_args(arguments)
    fields = [word for word in left if "=" in word and not word.startswith("-")]
    strange = [word for word in left if word not in fields]
    if strange or (fields and not hasattr(options, "fields")):
        parser.error(f"unrecognized arguments: {' '.join(strange or fields)}")
    if fields:
        options.fields = [*options.fields, *fields]
    return options


def _line(error: MillcalcError) -> str:
    """Write an error with all its faults in one line."""
    return ": ".join(w for w in (error.headline, "; and ".join(map(str, error.faults))) if w)


def _in_file(options: Any, line: str) -> str:
    """Name the job file, where the error does not."""
    name = getattr(options, "job", None)
    return line if not name or "=" in name or name in line else f"{name}: {line}"


class _Parser(argparse.ArgumentParser):
    """A parser whose errors are one line, too."""

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"millcalc: {message} ({self.prog} --help shows how)\n")


def _warning_line(message: Any, *_: Any, **__: Any) -> None:
    print(f"millcalc: note: {message}", file=sys.stderr)


def _parser() -> _Parser:
    parser = _Parser(
        prog="millcalc",
        description="Plan roughing and finishing cuts, with a cutter of any form, before a tool path is computed.",
        epilog="example: millcalc plan --example",
    )
    commands = parser.add_subparsers(required=True, metavar="command")
    for word in _COMMANDS:
        importlib.import_module(f"millcalc.commands.{word}").add(commands)
    return parser


if __name__ == "__main__":
    sys.exit(main())
