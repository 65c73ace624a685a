"""The rows of a material's record: values with their source, how they are known, scope and conditions.

All numbers are plain floats in trade units: speed m/min, length mm, stress N/mm^2, density g/cm^3,
conductivity W/(m K), specific energy W s/mm^3, hardness HB, HRC, HRB or HV as named by the value.
"""

from __future__ import annotations

import attrs

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
    "Recommendation",
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
class Recommendation(Value):
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
class SpeedWindow(Recommendation):
    """A range of cutting speeds [m/min], with the hardness it was printed for, where one was."""

    hardness_low: float | None = None
    hardness_high: float | None = None
    hardness_unit: str = ""


@attrs.frozen(kw_only=True)
class FeedChart(Recommendation):
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

    Valid for chip thicknesses of `chip_low` to `chip_high` [mm]; `fallback` says whose it is if not its own.
    """

    kc11: float
    mc: float
    chip_low: float
    chip_high: float
    unit: str = "N/mm^2"
    why: str = ""
    fallback: str = ""

    def __str__(self) -> str:
        return f"kc1.1 {self.kc11:g} {self.unit}, mc {self.mc:g} ({self.source}, {self.how_known}, {self.scope})"


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
