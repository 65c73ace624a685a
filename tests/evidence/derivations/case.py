"""One derived case: what is asked, how it is worked out, and the value to print."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True)
class Derived:
    """A case: `value` gives the number, `form` how it is printed, `unit` its unit."""

    id: str
    formula: str
    inputs: dict[str, Any]
    value: Callable[[], Any]
    form: str
    unit: str
    how: str
    extra: dict[str, Any] = field(default_factory=dict)

    @property
    def output(self) -> str:
        """The value as it is printed."""
        return f"{float(self.value()):{self.form}} {self.unit}".strip()


def asked(cutter: Any, result: int = 1, **more: Any) -> dict[str, Any]:
    """Return what a case says beside its inputs: of which cutter, holder or body it asks, and for which result."""
    return {"cutter": cutter, **({"result": result} if result > 1 else {}), **more}
