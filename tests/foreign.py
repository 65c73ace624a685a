"""A registry of units that is not the application's, one for all test modules: reading its definitions takes long."""

import pint

REGISTRY = pint.UnitRegistry()
