"""What materials must satisfy so that plans with them say where every value comes from."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from typing import Any, ClassVar

import attrs
import pytest

from millcalc import discovery
from millcalc.discovery import registered
from millcalc.errors import UnknownNameError
from millcalc.materials import Material, material
from millcalc.materials.added import GROUP, check_materials, records
from millcalc.sources import HOW_KNOWN, bibliography
from millcalc.testing.fixtures import UNDER_TEST

__all__ = ["MaterialConformance"]

_UNITS = {
    "density": {"g/cm^3": (0.02, 25.0)},
    "conductivity": {"W/(m K)": (0.01, 2500.0)},
    "specific_energy": {"W s/mm^3": (0.01, 20.0)},
    "hardness": {"HB": (1.0, 900.0), "HRC": (1.0, 75.0), "HV": (1.0, 3000.0), "HRB": (1.0, 110.0)},
    "cutting_speeds": {"m/min": (1.0, 5000.0)},
    "feed_charts": {"mm": (1e-4, 5.0), "1": (1e-5, 0.2)},
}
"""Unit of each field, and the plausible range in it."""
_BURNING = ("titan", "magnes", "zircon")
_AGREE = 8.0
"""How far data on the force may lie apart: printings differ by a factor of 3, a wrong unit by one of 10 or more."""


class MaterialConformance:
    """Tests of the materials of a plugin; derive from it in a test module and state `path` or `materials`.

    Attributes
    ----------
    path
        The TOML file of materials, what the entry point stands for.
    materials
        Instead of a file: records, or the function that returns what the entry point would stand for.
    names_taken
        Names of built-in materials that these use on purpose; they are then reached as "dist:name" only.
    """

    path: ClassVar[str | os.PathLike[str] | None] = None
    materials: ClassVar[Any] = None
    names_taken: ClassVar[tuple[str, ...]] = ()

    @pytest.fixture(autouse=True)
    def made_known(self) -> Iterator[None]:
        """Make millcalc believe for as long as a test runs that a distribution adds the materials."""
        stated = type(self).materials  # asked of the class, a function stays one
        if (self.path is None) == (stated is None):
            raise pytest.UsageError(f"{type(self).__name__} states one of path and materials: what is tested")
        with registered(GROUP, UNDER_TEST, stated if self.path is None else self.path, UNDER_TEST, "0"):
            yield

    def found(self) -> dict[str, Material]:
        """Return the materials by their keys."""
        discovery.load(GROUP, f"{UNDER_TEST}:{UNDER_TEST}", check_materials)
        ours = {key.partition(":"): record for key, record in records().items()}
        return {key: record for (distribution, _, key), record in ours.items() if distribution == UNDER_TEST}

    def test_all_of_it_can_be_read(self) -> None:
        assert self.found()

    def test_every_name_finds_its_material(self) -> None:
        for record in self.found().values():
            assert record.designation.strip(), f"{record.key}: no designation"
            assert record.name.strip() not in ("", record.designation), f"{record.key}: no words say what it is"
            for name in record.names():
                assert material(f"{UNDER_TEST}:{name}") == record, f"{name!r} finds another material"

    def test_no_name_is_that_of_a_built_in_material(self) -> None:
        for record in self.found().values():
            for name in (n for n in record.names() if n not in self.names_taken):
                try:
                    owner = material(f"builtin:{name}")
                except UnknownNameError:
                    continue
                pytest.fail(f"{name!r} of {record.key} is a name of the built-in {owner.key}, which keeps it")

    def test_every_value_has_a_source(self) -> None:
        for record in self.found().values():
            for field, row in _rows(record):
                place = f"{record.key}, {field}: {row}"
                assert row.source in bibliography(), f"{place}: its source {row.source!r} is nowhere described"
                assert row.how_known in HOW_KNOWN, f"{place}: nothing says how it is known"
                known = bibliography()[row.source].how_known
                assert row.how_known != "read" or known in ("read", "derived"), f"{place}: its source was never read"
                if row.source == "OWN_RECORD" and hasattr(row, "conditions"):
                    assert row.conditions.strip(), f"{place}: of one's own records the conditions say more"

    def test_units_are_right(self) -> None:
        for record in self.found().values():
            for field, accepted in _UNITS.items():
                for row in getattr(record, field):
                    assert row.unit in accepted, f"{record.key}, {field}: {row.unit!r} is none of {', '.join(accepted)}"
                    low, high = accepted[row.unit]
                    assert low <= row.low <= row.high <= high, f"{record.key}, {field}: {row} is not plausible"

    def test_data_on_the_force_agree(self) -> None:
        """Specific forces [N/mm^2] at a chip of 0.2 mm from all rows of a material lie within a factor."""
        for record in self.found().values():
            forces = [row.kc11 * 0.2**-row.mc for row in record.kienzle]
            forces += [row.ktc + row.kte / 0.2 for row in record.force_coefficients]
            forces += [1000.0 * row.high for row in record.specific_energy]
            if forces:
                assert max(forces) <= _AGREE * min(forces), f"{record.key}: {forces} N/mm^2, is a unit wrong?"

    def test_what_burns_says_so(self) -> None:
        for record in self.found().values():
            if any(word in f"{record.name} {record.designation}".casefold() for word in _BURNING):
                said = " ".join(caution.text.casefold() for caution in record.cautions)
                assert any(word in said for word in ("fire", "burn", "pyrophoric")), f"{record.key}: its chips burn"

    def test_plans_come_out(self) -> None:
        """Of each material that has speeds and feeds, by its name and as a record."""
        from millcalc.planning import example_job, plan

        for record in self.found().values():
            substrate = _substrate(record)
            if substrate:
                job = example_job()
                job = job.with_(cutter=job.cutter.with_(substrate=substrate))
                named, held = (plan(job.with_(material=m)) for m in (f"{UNDER_TEST}:{record.key}", record))
                assert named.spindle_speed == held.spindle_speed > 0
                assert named.feed_rate == held.feed_rate > 0


def _rows(record: Material) -> Iterator[tuple[str, Any]]:
    """Yield everything of a record that has a source, with the name of its field."""
    for field in attrs.fields(Material):
        value = getattr(record, field.name)
        held: Iterable[Any] = value if isinstance(value, tuple) else (value,)
        yield from ((field.name, row) for row in held if hasattr(row, "source"))


def _substrate(record: Material) -> str:
    """Return a tool material for which the record has a speed and a feed; empty if there is none."""
    for word in ("coated carbide", "carbide", "HSS"):
        try:
            record.speed_window(word)
            record.feed_chart(6.0, word)
        except UnknownNameError:
            continue
        return word
    return ""
