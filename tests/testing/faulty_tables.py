"""A test module of an author whose reference tables are wrong once each, and right three times; run by a test."""

import tempfile
from pathlib import Path

from millcalc.testing import ReferenceConformance

HELD = tempfile.TemporaryDirectory()
FOLDER = Path(HELD.name)
HEAD = 'title = "An invented book"\npage = "12"\nhow_known = "derived"\n'
CASE = """
[[case]]
id = "one"
formula = "scallop_height"
inputs = { diameter = "2 mm", stepover = "0.1 mm" }
output = "1.25078 um"
half_width = 5e-06
relation = "the circular arc"
"""


def table(name, *changes):
    text = HEAD + CASE
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = FOLDER / f"{name}.toml"
    path.write_text(text, encoding="utf-8")
    return path


class TestFile(ReferenceConformance):
    path = table("right", (HEAD, f"api = 1\n{HEAD}"))


class TestOwnTables(ReferenceConformance):
    path = Path(__file__).parents[2] / "reference" / "ball_geometry.toml"


class TestFunction(ReferenceConformance):
    tables = staticmethod(lambda: [TestFile.path])


class TestDisagreeing(ReferenceConformance):
    path = table("disagreeing", ("1.25078", "1.26000"), ("half_width", 'disagrees = "a slip"\nhalf_width'))


class TestOtherVersion(ReferenceConformance):
    path = table("version", (HEAD, f"api = 2\n{HEAD}"))


class TestNoPage(ReferenceConformance):
    path = table("page", ('page = "12"\n', ""))


class TestHearsay(ReferenceConformance):
    path = table("hearsay", ('"derived"', '"heard"'))


class TestNoRelation(ReferenceConformance):
    path = table("relation", ('relation = "the circular arc"\n', ""))


class TestTwice(ReferenceConformance):
    path = table("twice", (CASE, CASE + CASE))


class TestInput(ReferenceConformance):
    path = table("input", ("stepover =", "step_over ="))


class TestWide(ReferenceConformance):
    path = table("wide", ("5e-06", "0.05"))


class TestOff(ReferenceConformance):
    path = table("off", ("1.25078", "1.25079"))


class TestAgreesAfterAll(ReferenceConformance):
    path = table("agrees", ("half_width", 'disagrees = "a slip"\nhalf_width'))


class TestEmpty(ReferenceConformance):
    path = table("empty", (CASE, ""))


class TestNumber(ReferenceConformance):
    tables = 7
