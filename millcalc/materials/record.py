"""What is known of one work material: an immutable record whose every value says where it comes from.

Sources that disagree stand side by side; the row listed first is the one used.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from typing import Any, TypeVar

import attrs

from millcalc.errors import UnknownNameError
from millcalc.materials._words import known, positive
from millcalc.materials.rows import (
    ALIAS_SYSTEMS,
    SUBSTRATES,
    Alias,
    Caution,
    FeedChart,
    ForceRow,
    Kienzle,
    Recommendation,
    SpeedWindow,
    Taylor,
    Value,
)

__all__ = ["BUILT_IN", "Material"]

BUILT_IN = "built in"
"""The origin of the library's own materials."""

_SET_ASIDE = ("whole range", "upper limit", "test range")
_SPEED_ORDER = ("finishing", "milling", "end milling", "face milling")
_FEED_ORDER = ("finishing", "end milling", "milling")
_STAND_IN = {"coated carbide": "carbide", "carbide": "coated carbide"}

_Row = TypeVar("_Row", bound=Recommendation)


@attrs.frozen(kw_only=True)
class Material:
    """One work material; in every tuple the row listed first is the one used.

    `origin` says where the record comes from: "built in", the path of a file, or a distribution and its version.

    Examples
    --------
    >>> from millcalc.materials import material
    >>> steel = material("C45")
    >>> steel.iso513, steel.density[0].low, steel.density[0].unit
    ('P', 7.85, 'g/cm^3')
    """

    key: str
    designation: str
    name: str
    iso513: str
    least_chip_ratio: Value
    tip_caution: Caution
    aliases: tuple[Alias, ...] = ()
    hardness: tuple[Value, ...] = ()
    density: tuple[Value, ...] = ()
    conductivity: tuple[Value, ...] = ()
    kienzle: tuple[Kienzle, ...] = ()
    force_coefficients: tuple[ForceRow, ...] = ()
    specific_energy: tuple[Value, ...] = ()
    cutting_speeds: tuple[SpeedWindow, ...] = ()
    feed_charts: tuple[FeedChart, ...] = ()
    taylor: tuple[Taylor, ...] = ()
    cautions: tuple[Caution, ...] = ()
    notes: tuple[str, ...] = ()
    origin: str = attrs.field(default=BUILT_IN, eq=False)

    @classmethod
    def from_file(cls, path: str | os.PathLike[str], name: str | None = None) -> Material:
        """Return the material of a shop's own file, in the form that `read_materials` reads.

        Parameters
        ----------
        path
            A TOML file with one material, or with several if `name` chooses one.
        name
            Any name of the material; needed where the file holds several.

        Raises
        ------
        FileError
            The file cannot be read, is no TOML or holds no material.
        DataError
            Anything in it is wrong; every fault is listed.
        UnknownNameError
            No material of the file has the name, or it holds several and none was named.

        Examples
        --------
        >>> Material.from_file("no such file.toml")
        Traceback (most recent call last):
        millcalc.errors.FileError: cannot read no such file.toml: No such file or directory
        """
        from millcalc.materials.deriving import only_material  # its checks are not needed to ask a record

        return only_material(path, name)

    def with_(self, **changes: Any) -> Material:
        """Return a copy with some fields changed, for what a shop knows better.

        Rows that are given as rows are kept as they are.  What is given as a text ("300 HB", "52 to 54 HRC"), a table
        of values as in a file, or a list of them, is checked as on reading; without a source of its own it is the
        shop's own: source OWN_RECORD, read, for this grade.  A field's rows are replaced, not added to; give
        ``(new, *old.kienzle)`` to keep the others.

        Parameters
        ----------
        changes
            Fields by their names, for example hardness, density, kienzle, cutting_speeds, notes.

        Raises
        ------
        DataError
            An unknown field or values that cannot be used; all are listed.

        Notes
        -----
        Nothing else follows a changed hardness: `estimates` says what speed and energy may.

        Examples
        --------
        >>> from millcalc.materials import material
        >>> ours = material("C45").with_(hardness="220 HB", kienzle={"kc11": 2050, "mc": 0.2, "chip": [0.05, 0.4]})
        >>> print(ours.hardness[0], "|", ours.force_constants())
        220 HB (OWN_RECORD, read, grade) | kc1.1 2050 N/mm^2, mc 0.2 (OWN_RECORD, read, grade)
        >>> ours.origin
        'built in, changed: hardness, kienzle'
        """
        from millcalc.materials.deriving import changed

        return changed(self, changes)

    @property
    def group(self) -> str:
        """The group as a reader is told it.

        Examples
        --------
        >>> from millcalc.materials import material
        >>> material("C45").group, material("graphite").group
        ('ISO 513 P', 'outside ISO 513')
        """
        return "outside ISO 513" if self.iso513 == "none" else f"ISO 513 {self.iso513}"

    def names(self, system: str | None = None) -> tuple[str, ...]:
        """Return the names of one system ("en", "number", "aisi", "uns", "jis", "other"), or all names.

        Raises
        ------
        UnknownNameError
            If there is no such system.

        Examples
        --------
        >>> from millcalc.materials import material
        >>> material("c45").names("number")
        ('1.0503', '1.1191')
        """
        if system is None:
            return (self.key, self.designation, *(n for a in self.aliases for n in a.names))
        system = known(system, ALIAS_SYSTEMS, "system of names")
        return tuple(n for a in self.aliases if a.system == system for n in a.names)

    def speed_window(self, substrate: str, operation: str = "finishing") -> SpeedWindow:
        """Return the cutting speeds [m/min] used for a tool material.

        Rows are tried in this order: the operation asked for, then milling, end milling, face milling (of its
        range the fast end belongs to shallow cuts), finishing at last; within one operation the row listed
        first.  Rows of turning, of tests, of limits and of whole ranges are never used.  Only if no row
        is left does carbide stand in for coated carbide, or the reverse; `fallback` then says so.

        Parameters
        ----------
        substrate
            Tool material, for example "HSS", "carbide", "coated carbide".
        operation
            "finishing", "milling", "end milling" or "face milling".

        Raises
        ------
        UnknownNameError
            If the words are unknown or the record has no such row; the message says what it has.

        Examples
        --------
        >>> from millcalc.materials import material
        >>> row = material("ti-6al-4v").speed_window("carbide")
        >>> row.low, row.high, row.how_known
        (50.0, 60.0, 'from memory')
        """
        return self._choose(self.cutting_speeds, "cutting speed", substrate, operation, _SPEED_ORDER)

    def feed_chart(self, diameter: float, substrate: str, operation: str = "finishing") -> FeedChart:
        """Return the feeds per tooth [mm] used for a cutter, and the engagement they are stated for.

        Rows are tried by operation (the one asked for, then end milling, milling, finishing at last; never face
        milling, whose feeds are those of inserts); within one operation a row in mm for this diameter,
        then a share of the diameter.  Above the diameters of a share the feed of the largest one is
        kept, below them the share is still used; `fallback` says so.

        Parameters
        ----------
        diameter
            Cutter diameter [mm].
        substrate
            Tool material, for example "HSS", "carbide", "coated carbide".
        operation
            "finishing", "end milling" or "milling".

        Raises
        ------
        ArgumentError
            If the diameter is not a positive number.
        UnknownNameError
            If the words are unknown or the record has no such row; the message says what it has.

        Examples
        --------
        >>> from millcalc.materials import material
        >>> row = material("c45").feed_chart(6.0, "coated carbide")
        >>> round(row.low, 4), round(row.high, 4), row.unit, row.radial_share
        (0.03, 0.06, 'mm', 0.05)
        """
        return _at(self.feed_row(diameter, substrate, operation), positive(diameter))

    def feed_row(self, diameter: float, substrate: str, operation: str = "finishing") -> FeedChart:
        """Return the row that `feed_chart` uses, as it is listed: in mm, or as a share of the diameter."""
        diameter = positive(diameter)
        rows = [r for r in self.feed_charts if r.unit == "1" or r.diameter_low <= diameter <= r.diameter_high]
        rows.sort(key=lambda row: row.unit == "1")
        return self._choose(rows, "feed per tooth", substrate, operation, _FEED_ORDER)

    def force_constants(self) -> Kienzle:
        """Return the Kienzle constants used, the first listed.

        Raises
        ------
        UnknownNameError
            If the record has none; the message says what can be taken instead: nothing is taken in silence.

        Examples
        --------
        >>> from millcalc.materials import material
        >>> row = material("cuzn39pb3").force_constants()
        >>> row.kc11, row.mc, row.unit
        (780.0, 0.18, 'N/mm^2')
        """
        if not self.kienzle:
            energy = "; it has a specific energy [W s/mm^3]" if self.specific_energy else ""
            group = f"or take the group's, which is wide: kienzle=group_force_constants({self.iso513!r})"
            own = "give your own with with_(kienzle=...)"
            raise UnknownNameError(f"no kc1.1 and mc for {self.designation}{energy}; {own}, {group}")
        return self.kienzle[0]

    def _choose(self, rows: Sequence[_Row], what: str, substrate: str, operation: str, order: tuple[str, ...]) -> _Row:
        substrate = known(substrate, SUBSTRATES, "tool material")
        operation = known(operation, order, "operation")
        # what is stated for light cuts is the last resort of a heavier one
        last = ("finishing",) if operation != "finishing" else ()
        ranked = (operation, *(o for o in order if o not in (operation, *last)), *last)
        for used in (substrate, _STAND_IN.get(substrate, substrate)):
            for row in _ranked(rows, used, ranked):
                said = (row.fallback, _stretched(row, substrate, operation))
                return attrs.evolve(row, fallback="; ".join(text for text in said if text))
        has = sorted({f"{r.substrate} ({r.operation})" for r in rows if _usable(r, order)})
        wanted = f"{what} for {substrate} in {operation}"
        raise UnknownNameError(f"{self.designation} has no {wanted}; it has {', '.join(has) or 'none'}")


def _usable(row: Recommendation, order: Iterable[str]) -> bool:
    return row.operation in order and row.stage not in _SET_ASIDE


def _ranked(rows: Iterable[_Row], substrate: str, order: tuple[str, ...]) -> list[_Row]:
    found = [r for r in rows if r.substrate == substrate and _usable(r, order)]
    return sorted(found, key=lambda row: order.index(row.operation))


def _stretched(row: Recommendation, substrate: str, operation: str) -> str:
    said = []
    if row.substrate != substrate:
        said.append(f"no row for {substrate}; the row for {row.substrate} stands in")
        if substrate == "carbide":
            said.append("uncoated carbide wants the lower end or less")
    if row.operation != operation:
        said.append(f"stated for {row.operation}, used for {operation}")
        if row.operation == "face milling":
            said.append("its fast end belongs to shallow cuts")
    return "; ".join(said)


def _at(row: FeedChart, diameter: float) -> FeedChart:
    if row.unit == "mm":
        return row
    measure, said = min(diameter, row.diameter_high), [row.fallback] if row.fallback else []
    if diameter > row.diameter_high:
        said.append(f"the rule ends at {row.diameter_high:g} mm diameter; the feed of that diameter is kept")
    if diameter < row.diameter_low:
        said.append(f"the rule begins at {row.diameter_low:g} mm diameter; below it is a guess")
    return attrs.evolve(
        row,
        low=row.low * measure,
        high=row.high * measure,
        unit="mm",
        diameter_low=diameter,
        diameter_high=diameter,
        fallback="; ".join(said),
    )
