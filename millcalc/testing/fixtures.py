"""Fixtures for tests of plugins; a test module that imports one may use it."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from millcalc.discovery import Plugin, registered

__all__ = ["UNDER_TEST", "registered_plugin"]

UNDER_TEST = "plugin-under-test"
"""The distribution that is made believe where the author names none."""


@pytest.fixture
def registered_plugin() -> Iterator[Callable[..., Plugin]]:
    """A function that adds a name to a group until the test ends: group, name, what it stands for.

    The distribution and its version may follow.
    """
    with contextlib.ExitStack() as stack:

        def register(group: str, name: str, thing: Any, distribution: str = UNDER_TEST, version: str = "0") -> Plugin:
            return stack.enter_context(registered(group, name, thing, distribution, version))

        yield register
