"""What is known of one work material: immutable records whose every value says where it comes from.

All numbers are plain floats in trade units: speed m/min, length mm, stress N/mm^2, density g/cm^3,
conductivity W/(m K), specific energy W s/mm^3, hardness HB, HRC, HRB or HV as named by the value.
Sources that disagree stand side by side; the row listed first is the one used.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TypeVar

import attrs

from millcalc.errors import UnknownNameError
from millcalc.materials._words import known, positive

__all__ = [
    "ALIAS_SYSTEMS",
    "ISO513_GROUPS",
    "OPERATIONS",
    "SCOPES",
    "SEVERITIES",
    "STAGES",
    "SUBSTRATES",
    "Alias",
    "Caution",
    "FeedChart",
    "ForceRow",
    "Kienzle",
    "Material",
    "SpeedWindow",
    "Taylor",
    "Value",
]

ISO513_GROUPS = ("P", "M", "K", "N", "S", "H", "none")
"""Groups of ISO 513; "none" lies outside the standard (plastics, composites, wood, graphite)."""

SCOPES = ("grade", "neighbour", "group", "class")
"""What a value was printed for: this grade, a near grade, a named group of grades, a broad class."""

SEVERITIES = ("note", "caution", "stop")
ALIAS_SYSTEMS = ("en", "number", "aisi", "uns", "jis", "other")
SUBSTRATES = ("HSS", "carbide", "coated carbide", "cermet", "ceramic", "PCBN", "PCD")
OPERATIONS = (
    "finishing",
    "milling",
    "end milling",
    "face milling",
    "shoulder milling",
    "turning",
    "drilling",
)
STAGES = ("general", "starting value", "light to heavy cut", "whole range", "upper limit", "test range")

_SET_ASIDE = ("whole range", "upper limit", "test range")
_SPEED_ORDER = ("finishing", "milling", "end milling", "face milling")
_FEED_ORDER = ("finishing", "end milling", "milling")
_STAND_IN = {"coated carbide": "carbide", "carbide": "coated carbide"}


@attrs.frozen(kw_only=True)
class _Known:
    """Where a value comes from, how it is known, what it was stated for and under which conditions."""

    source: str
    how_known: str
    scope: str
    conditions: str = ""


@attrs.frozen(kw_only=True)
class Value(_Known):
    """A number or a range with its unit; a single number has `low` equal to `high`.

    Examples
    --------
    >>> Value(low=30, high=36, unit="HRC", source="PRACTICE", how_known="from memory", scope="grade").middle
    33.0
    """

    low: float
    high: float
    unit: str

    def __str__(self) -> str:
        span = f"{self.low:g}" if self.low == self.high else f"{self.low:g} to {self.high:g}"
        unit = "of the diameter" if self.unit == "1" else self.unit
        return f"{span} {unit} ({self.source}, {self.how_known}, {self.scope})"

    @property
    def middle(self) -> float:
        """The middle of the range, in the unit of the value."""
        return 0.5 * (self.low + self.high)


@attrs.frozen(kw_only=True)
class _Recommendation(Value):
    """A range recommended for a tool material and an operation.

    `stage` says what the range is for ("test range" is no recommendation); `why` says why a row is
    listed first, `fallback` what was stretched to answer a request.
    """

    substrate: str
    operation: str
    stage: str = "general"
    why: str = ""
    fallback: str = ""


@attrs.frozen(kw_only=True)
class SpeedWindow(_Recommendation):
    """A range of cutting speeds [m/min], with the hardness it was printed for, where one was."""

    hardness_low: float | None = None
    hardness_high: float | None = None
    hardness_unit: str = ""


@attrs.frozen(kw_only=True)
class FeedChart(_Recommendation):
    """A range of feeds per tooth, in mm (unit "mm") or as a share of the diameter (unit "1").

    A chart's feed per tooth is a feed at a stated engagement, not a chip thickness: `radial_share` is
    the a_e/D the row is stated for, 0.5 or more meaning that the greatest chip thickness equals the feed
    per tooth; `axial_share` is a_p/D, where stated.  The row holds for cutters of `diameter_low` to
    `diameter_high` [mm].
    """

    diameter_low: float
    diameter_high: float
    radial_share: float
    axial_share: float | None = None


@attrs.frozen(kw_only=True)
class Kienzle(_Known):
    """Constants of the specific cutting force kc = kc11 h^-mc [N/mm^2], h in mm.

    Valid for chip thicknesses of `chip_low` to `chip_high` [mm].
    """

    kc11: float
    mc: float
    chip_low: float
    chip_high: float
    unit: str = "N/mm^2"
    why: str = ""


@attrs.frozen(kw_only=True)
class ForceRow(_Known):
    """Force coefficients of milling: by the chip's section [N/mm^2] and by the edge's length [N/mm]."""

    ktc: float
    krc: float
    kac: float
    kte: float
    kre: float
    kae: float
    why: str = ""


@attrs.frozen(kw_only=True)
class Taylor(_Known):
    """Constants of the tool life T [min] from v T^n = C; `c` [m/min] is None where only n is known."""

    n: float
    substrate: str
    operation: str
    c: float | None = None
    unit: str = "m/min"


@attrs.frozen(kw_only=True)
class Caution:
    """A warning of the trade: "note", "caution" or "stop", with its source."""

    severity: str
    text: str
    source: str
    how_known: str


@attrs.frozen(kw_only=True)
class Alias:
    """Names of the material in one system of names: the nearest grades, never surely identical."""

    system: str
    names: tuple[str, ...]
    source: str
    how_known: str


_Row = TypeVar("_Row", bound=_Recommendation)


@attrs.frozen(kw_only=True)
class Material:
    """One work material; in every tuple the row listed first is the one used.

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
            If the record has none; the message says whether it has a specific energy instead.

        Examples
        --------
        >>> from millcalc.materials import material
        >>> row = material("cuzn39pb3").force_constants()
        >>> row.kc11, row.mc, row.unit
        (780.0, 0.18, 'N/mm^2')
        """
        if not self.kienzle:
            energy = "; it has a specific energy [W s/mm^3] instead" if self.specific_energy else ""
            raise UnknownNameError(f"{self.designation} has no kc1.1 and mc{energy}")
        return self.kienzle[0]

    def _choose(self, rows: Sequence[_Row], what: str, substrate: str, operation: str, order: tuple[str, ...]) -> _Row:
        substrate = known(substrate, SUBSTRATES, "tool material")
        operation = known(operation, order, "operation")
        # what is stated for light cuts is the last resort of a heavier one
        last = ("finishing",) if operation != "finishing" else ()
        ranked = (operation, *(o for o in order if o not in (operation, *last)), *last)
        for used in (substrate, _STAND_IN.get(substrate, substrate)):
            for row in _ranked(rows, used, ranked):
                return attrs.evolve(row, fallback=_stretched(row, substrate, operation))
        has = sorted({f"{r.substrate} ({r.operation})" for r in rows if _usable(r, order)})
        wanted = f"{what} for {substrate} in {operation}"
        raise UnknownNameError(f"{self.designation} has no {wanted}; it has {', '.join(has) or 'none'}")


def _usable(row: _Recommendation, order: Iterable[str]) -> bool:
    return row.operation in order and row.stage not in _SET_ASIDE


def _ranked(rows: Iterable[_Row], substrate: str, order: tuple[str, ...]) -> list[_Row]:
    found = [r for r in rows if r.substrate == substrate and _usable(r, order)]
    return sorted(found, key=lambda row: order.index(row.operation))


def _stretched(row: _Recommendation, substrate: str, operation: str) -> str:
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
