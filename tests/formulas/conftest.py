"""The second witness, for every test that asks for it."""

from types import ModuleType

import pytest
import witness as second_witness


@pytest.fixture(scope="session")
def witness() -> ModuleType:
    """Return the package tests/witness."""
    return second_witness
