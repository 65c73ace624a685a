"""Writing what was made to a file: nothing that stands there is replaced unless that is asked for."""

from __future__ import annotations

from millcalc.errors import Fault, FileError

__all__ = ["write_new"]


def write_new(name: str, content: bytes, overwrite: bool, what: str) -> None:
    """Write a file; `what` says in messages what it holds."""
    try:
        with open(name, "wb" if overwrite else "xb") as file:
            file.write(content)
    except FileExistsError:
        fault = Fault(name, "", "there is a file of this name", "another name, or overwrite=True")
        raise FileError(f"the {what} is not written", (fault,)) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name cannot be written"
        raise FileError(f"the {what} cannot be written", (Fault(name, "", reason),)) from None
