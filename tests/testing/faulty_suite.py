"""A test module of a plugin's author who got everything wrong once, and two things right; run by test_conformance."""

import math
from pathlib import Path
from types import SimpleNamespace

import attrs
import pytest

from millcalc.cutters import Arc, Cutter, Line, Profile
from millcalc.errors import Fault
from millcalc.materials import Material, material
from millcalc.quantities.kinds import POSITIVE, Length, Ratio
from millcalc.quantities.record import entry, number, record
from millcalc.testing import CutterConformance, MaterialConformance, questions

SHOP = Path(__file__).parents[2] / "plugins/millcalc-example-shop/millcalc_example_shop/materials.toml"


class Cone(Cutter):
    """What the families below have in common: a cone of 45 degrees."""

    def pieces(self):
        half = 0.5 * number(self, "diameter")
        return [Line((0.0, 0.0), (half, half))]


@record
class Right(Cone):
    """A cone.

    Parameters
    ----------
    diameter [mm]
        Largest diameter.
    """

    family = "right"
    diameter: Length = entry(domain=POSITIVE, meaning="largest diameter")


@record
class Silent(Cone):
    """A cone of which nobody says more."""

    family = "silent"
    diameter: Length = entry(domain=POSITIVE)


@record
class WithoutUnit(Cone):
    """A cone.

    Parameters
    ----------
    diameter [inch]
    land
    normal_depth [1]
    """

    family = "without unit"
    diameter: Length = entry(domain=POSITIVE, meaning="largest diameter")
    land: float = entry(default=0.0, meaning="width of the land")
    normal_depth: Ratio = entry(default=0.0, meaning="elsewhere a length")


@record
class Dented(Right):
    """Its pieces turn inward, its profile does not."""

    family = "dented"

    def pieces(self):
        half = 0.5 * number(self, "diameter")
        return [Line((0.0, 0.0), (0.8 * half, 0.4 * half)), Line((0.8 * half, 0.4 * half), (half, half))]

    @property
    def profile(self):
        half = 0.5 * number(self, "diameter")
        return Profile([Line((0.0, 0.0), (half, half))])


@record
class Mistaken(Right):
    """It answers for a ball, and is a cone."""

    family = "mistaken"

    @property
    def profile(self):
        half = 0.5 * number(self, "diameter")
        return Profile([Arc((0.0, 0.0), (half, half), (half, 0.0))])


@record
class Narrow(Right):
    """It is narrower than its diameter says."""

    family = "narrow"

    def pieces(self):
        return [Line((0.0, 0.0), (1.0, 1.0))]

    @property
    def profile(self):
        return Profile(self.pieces())

    def _check(self):
        pass


@record
class OneByOne(Right):
    """One of its answers takes the mean of an array."""

    family = "one by one"

    @property
    def flat_width(self):
        return SimpleNamespace(bare=lambda lead, tilt: tilt - tilt.mean() if hasattr(tilt, "mean") else 0.0)


@record
class Unwritten(Right):
    """One of its parameters cannot stand in a file.

    Parameters
    ----------
    marks
        Anything.
    """

    family = "unwritten"
    marks: object = entry(default=None, meaning="anything")


@record
class Crashing(Right):
    """It fails on what it should refuse."""

    family = "crashing"

    def shape_faults(self):
        return [] if math.sqrt(20.0 - number(self, "diameter")) >= 0.0 else [Fault("diameter", "", "it is too large")]


@record
class Deaf(Right):
    """It takes no changes."""

    family = "deaf"

    def with_(self, **changes):
        return self


@record
class Known(Right):
    """It takes a word that is built in."""

    family = "ball"


def _hidden():
    @record
    class Hidden(Right):
        """Nobody can import it."""

        family = "hidden"

    return Hidden


class Examples(CutterConformance):
    examples = ({"diameter": "10 mm", "teeth": 2},)

    @pytest.fixture(autouse=True)
    def few_questions(self, monkeypatch):
        """Ask little: whether all questions are asked is tested elsewhere."""
        monkeypatch.setattr(questions, "_questions", lambda: ["contact_diameter", "scallop_height", "flat_width"])


class TestRight(Examples):
    family = Right


class TestSilent(Examples):
    family = Silent


class TestWithoutUnit(Examples):
    family = WithoutUnit


class TestDented(Examples):
    family = Dented


class TestMistaken(Examples):
    family = Mistaken


class TestNarrow(Examples):
    family = Narrow


class TestOneByOne(Examples):
    family = OneByOne


class TestUnwritten(Examples):
    family = Unwritten
    examples = ({"diameter": "10 mm", "teeth": 2, "marks": ["a", "b"]},)


class TestCrashing(Examples):
    family = Crashing


class TestDeaf(Examples):
    family = Deaf


class TestKnown(Examples):
    family = Known


class TestHidden(Examples):
    family = _hidden()


STEEL = attrs.evolve(material("C45"), key="trial", designation="Trial", aliases=())
TITANIUM = attrs.evolve(material("Ti-6Al-4V"), key="trial-ti", designation="Trial titanium", aliases=())


def steel(**changes) -> list[Material]:
    return [attrs.evolve(STEEL, **changes)]


def first(field, **changes):
    rows = getattr(STEEL, field)
    return {field: (attrs.evolve(rows[0], **changes), *rows[1:])}


class TestFile(MaterialConformance):
    path = SHOP


class TestRecords(MaterialConformance):
    materials = (STEEL, TITANIUM)


class TestNoFile(MaterialConformance):
    path = SHOP.with_name("nothing.toml")


class TestTaken(MaterialConformance):
    materials = steel(designation="42CrMo4")


class TestTakenOnPurpose(MaterialConformance):
    materials = steel(designation="42CrMo4")
    names_taken = ("42CrMo4",)


class TestNameless(MaterialConformance):
    materials = steel(name="Trial")


class TestNoSource(MaterialConformance):
    materials = steel(**first("density", source="NO_SUCH_BOOK"))


class TestNotRead(MaterialConformance):
    materials = steel(**first("hardness", source="MEM_MIL5", how_known="read"))


class TestOwnWithoutConditions(MaterialConformance):
    materials = steel(**first("density", source="OWN_RECORD", how_known="read", conditions=""))


class TestOtherUnit(MaterialConformance):
    materials = steel(**first("density", low=7850.0, high=7850.0, unit="kg/m^3"))


class TestNotPlausible(MaterialConformance):
    materials = steel(**first("density", low=7850.0, high=7850.0))


class TestForces(MaterialConformance):
    materials = steel(**first("kienzle", kc11=STEEL.kienzle[0].kc11 * 100.0))


class TestBurning(MaterialConformance):
    materials = (attrs.evolve(TITANIUM, cautions=()),)


class TestNothingStated(MaterialConformance):
    pass
