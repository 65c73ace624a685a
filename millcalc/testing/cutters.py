"""What a family of cutters must satisfy so that all that millcalc derives from it holds."""

from __future__ import annotations

import contextlib
import math
import pickle
import re
import warnings
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, ClassVar

import numpy as np
import pytest

from millcalc.cutters import Cutter, cutter_from_text, cutter_text
from millcalc.cutters.catalogue import GROUP, check_family, families, family, is_built_in, word_of
from millcalc.discovery import Plugin, registered
from millcalc.errors import JobError, UnknownNameError, ValidityWarning
from millcalc.quantities.glossary import GLOSSARY
from millcalc.quantities.record import Field, fields_of, number
from millcalc.quantities.registries import application_registry
from millcalc.testing.fixtures import UNDER_TEST
from millcalc.testing.outlines import outline, support
from millcalc.testing.questions import asked_both_ways

__all__ = ["CutterConformance"]

_NAME = re.compile(r"[a-z][a-z0-9_]*")
_FACTORS = (1e-3, 0.5, 2.0, 1e3)


class CutterConformance:
    """Tests of one family of cutters; derive from it in a test module and state `family` and `examples`.

    Attributes
    ----------
    family
        The class, or the word by which an installed distribution adds it.
    examples
        Parameters of cutters to try, a mapping each: at least one, and one for each shape the family can take.
    """

    family: ClassVar[type[Cutter] | str]
    examples: ClassVar[Sequence[Mapping[str, Any]]] = ()

    def pytest_generate_tests(self, metafunc: pytest.Metafunc) -> None:
        """Run what asks for an example once for each of them."""
        if not self.examples or not hasattr(self, "family"):
            raise pytest.UsageError(f"{type(self).__name__} states no family, or no examples: a test without a cutter")
        if "example" in metafunc.fixturenames:
            metafunc.parametrize("example", self.examples, ids=[f"example{i}" for i in range(len(self.examples))])

    @pytest.fixture(autouse=True)
    def made_known(self) -> Iterator[None]:
        """Make the family known by its word for as long as a test runs, if it is not installed."""
        cls = self.cutter_class()
        try:
            word_of(cls)
        except UnknownNameError:
            with registered(GROUP, cls.family, cls, UNDER_TEST, "0"):
                yield
        else:
            yield

    @pytest.fixture
    def cutter(self, example: Mapping[str, Any]) -> Cutter:
        """The cutter of an example."""
        return self.cutter_class()(**example)

    def cutter_class(self) -> type[Cutter]:
        """Return the class under test."""
        return family(self.family) if isinstance(self.family, str) else self.family

    def own_fields(self) -> dict[str, Field]:
        """Return the parameters that the family adds, or states anew."""
        common = fields_of(Cutter)
        return {n: f for n, f in fields_of(self.cutter_class()).items() if f is not common.get(n)}

    # --- the family ---------------------------------------------------------------------------------------------

    def test_it_is_a_family_that_its_word_finds(self) -> None:
        cls = self.cutter_class()
        check_family(cls, Plugin(cls.family, UNDER_TEST, "0", f"{cls.__module__}:{cls.__qualname__}"))
        assert not is_built_in(cls.family), f"{cls.family!r} is the word of a built-in family, which keeps it"
        word = word_of(cls)
        assert family(word) is cls
        assert families()[word].usable, families()[word].failure

    def test_every_parameter_says_what_it_is(self) -> None:
        documented: dict[str, str] = {}
        for cls in reversed(self.cutter_class().__mro__):
            documented |= documented_units(cls.__doc__ or "")
        for name, field in self.own_fields().items():
            assert _NAME.fullmatch(name), f"{name}: small letters, digits and underscores make a key of a job file"
            assert field.stated.meaning, f"{name}: entry(meaning=...) is what lists and messages say of it"
            assert name in documented, f"{name}: the docstring of the class does not name it under Parameters"
            unit = field.kind.label if field.kind else ""
            assert not unit or documented[name] == unit, f"{name}: the docstring does not state its unit as [{unit}]"

    def test_every_number_has_a_kind(self) -> None:
        for name, field in self.own_fields().items():
            plain = field.annotation in (int, float, "int", "float")
            assert not plain, (
                f"{name}: a plain number has no unit; annotate it with a kind, Ratio or Count if it has none"
            )
            kind, term = field.kind, GLOSSARY.get(name)
            if kind is not None and term is not None:
                assert kind is term.kind, f"{name}: everywhere in millcalc this is {term.kind.noun}"

    # --- each cutter --------------------------------------------------------------------------------------------

    def test_units_are_read(self, cutter: Cutter) -> None:
        """The same value in another unit makes the same cutter, and a bare number makes none."""
        for name, field in fields_of(cutter).items():
            value = number(cutter, name)
            if (
                field.kind is None
                or field.kind.bare
                or field.kind.discrete
                or value is None
                or not math.isfinite(value)
            ):
                continue
            other = "radian" if field.kind.unit == "degree" else field.kind.inch_unit
            quantity = application_registry().quantity(value, field.kind)
            again = cutter.with_(**{name: quantity.to(other) if other else quantity})
            assert number(again, name) == pytest.approx(value, rel=1e-12), name
            with pytest.raises(JobError, match="needs a unit"):
                cutter.with_(**{name: value})

    def test_the_profile_is_convex(self, cutter: Cutter) -> None:
        """The polygon through points of the pieces starts at the tip and turns one way only, outward to upward."""
        points, size = outline(cutter.pieces()), _size(cutter)
        assert math.dist(points[0], (0.0, 0.0)) <= 1e-9 * size, "the first piece does not start at the tip"
        for (h0, r0), (h1, r1), (h2, r2) in zip(points, points[1:], points[2:], strict=False):
            turn = (r1 - r0) * (h2 - h1) - (h1 - h0) * (r2 - r1)
            assert turn >= -1e-9 * size**2, f"the profile turns inward at height {h1:.6g} mm, radius {r1:.6g} mm"

    def test_the_diameter_is_the_largest(self, cutter: Cutter) -> None:
        widest = max(radius for _, radius in outline(cutter.pieces()))
        diameter = number(cutter, "diameter")
        assert 2.0 * widest <= diameter * (1.0 + 1e-9)
        assert 2.0 * float(cutter.profile.largest_radius) == pytest.approx(diameter, rel=1e-6)

    def test_the_contact_is_the_farthest_point(self, cutter: Cutter) -> None:
        """No point of the pieces lies deeper in a surface at any inclination than the contact that is answered."""
        profile, pieces = cutter.profile, cutter.pieces()
        window = max(float(profile.normal[0]), 0.0), min(float(profile.normal[-1]), 0.5 * math.pi)
        for psi in np.linspace(*window, 25)[1:-1]:
            height, radius, _ = profile.at_normal(psi)
            farthest, slack = support(pieces, psi)
            reached = float(radius) * math.sin(psi) - float(height) * math.cos(psi)
            assert -1e-9 * _size(cutter) <= reached - farthest <= slack + 1e-9 * _size(cutter), math.degrees(psi)

    def test_answers_for_arrays_equal_those_for_scalars(self, cutter: Cutter) -> None:
        differing, answered = asked_both_ways(cutter)
        assert differing == []
        assert answered >= {"contact_diameter", "scallop_height"}, "nothing is answered for this cutter"

    def test_a_job_file_with_it_is_read_back_the_same(self, cutter: Cutter, tmp_path: Path) -> None:
        from millcalc.planning import example_text, read_job

        text, count = re.subn(r"^\[cutter\]\n(?:.+\n)*", lambda _: cutter_text(cutter), example_text(), flags=re.M)
        assert count == 1
        path = tmp_path / "job.toml"
        path.write_text(text, encoding="utf-8")
        assert read_job(path).cutter == cutter
        assert cutter_from_text(cutter_text(cutter)) == cutter

    def test_copies_are_equal(self, cutter: Cutter) -> None:
        assert cutter.with_(teeth=cutter.teeth) == cutter
        assert pickle.loads(pickle.dumps(cutter)) == cutter

    def test_what_makes_no_cutter_is_refused(self, cutter: Cutter) -> None:
        """Values far off make another cutter or a JobError that says why, never another exception."""
        for name, field in self.own_fields().items():
            value = number(cutter, name)
            if field.kind is None or field.kind.discrete or not value or not math.isfinite(value):
                continue
            for factor in _FACTORS:
                quantity = application_registry().quantity(factor * value, field.kind)
                with warnings.catch_warnings(), contextlib.suppress(JobError):
                    warnings.simplefilter("ignore", ValidityWarning)
                    other = cutter.with_(**{name: quantity})
                    assert float(other.profile.largest_radius) > 0.0, f"{name} = {quantity}: a cutter of no width"


def documented_units(text: str) -> dict[str, str]:
    """Return the names that a docstring lists under Parameters, with the units in brackets behind them.

    Examples
    --------
    >>> documented_units("Parameters\\n----------\\nland, step [mm]\\n    Widths.\\nnote\\n    A note.")
    {'land': 'mm', 'step': 'mm', 'note': ''}
    """
    found = {}
    for names, _, unit in re.findall(r"^\s*(\w+(?:, \w+)*)( \[(.+?)\])?$", text, flags=re.MULTILINE):
        found.update(dict.fromkeys(names.split(", "), unit))
    for word in ("Parameters", "Raises", "Notes", "Examples", "----------"):
        found.pop(word, None)
    return found


def _size(cutter: Cutter) -> float:
    return float(max(abs(value) for point in outline(cutter.pieces()) for value in point))
