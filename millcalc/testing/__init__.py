"""The conformance suite for authors of plugins: classes to derive from in a test module, run with pytest.

A test module of a plugin says what is to be tested, and the checks of the class run on it::

    from millcalc.testing import CutterConformance
    from our_package import ChamferCutter


    class TestChamferCutter(CutterConformance):
        family = ChamferCutter
        examples = [{"diameter": "6 mm", "teeth": 2}, {"diameter": "1/2 in", "teeth": 4}]

What is tested need not be installed: the suite makes millcalc believe it is, for as long as a test runs.  Tests of
the author's own do that with the fixture `registered_plugin`, or the context manager `registered`.  Nothing else of
millcalc imports pytest.
"""

import pytest

pytest.register_assert_rewrite(*(f"millcalc.testing.{word}" for word in ("cutters", "materials", "references")))

from millcalc.discovery import registered  # noqa: E402
from millcalc.testing.cutters import CutterConformance  # noqa: E402
from millcalc.testing.fixtures import registered_plugin  # noqa: E402
from millcalc.testing.materials import MaterialConformance  # noqa: E402
from millcalc.testing.references import ReferenceConformance  # noqa: E402

__all__ = ["CutterConformance", "MaterialConformance", "ReferenceConformance", "registered", "registered_plugin"]
