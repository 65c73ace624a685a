"""What a shop does not know: defaults by class, each with its source, shown as assumed on every plan."""

from typing import Any

import attrs

from millcalc.quantities.display import quantity_text
from millcalc.quantities.kinds import (
    ACCELERATION,
    ANGLE,
    BLOCK_TIME,
    COUNT,
    DEFLECTION,
    FEED_RATE,
    LENGTH,
    NOT_NEGATIVE,
    ONE_OR_MORE,
    POSITIVE,
    RATIO,
    Count,
    Interval,
    Kind,
    Length,
    Ratio,
)
from millcalc.quantities.record import Record, entry, record

__all__ = [
    "ASSUMED",
    "COOLANTS",
    "ECCENTRICITIES",
    "EDGE_RADII",
    "MACHINE_CLASSES",
    "SET_UPS",
    "SMALL_DIAMETER",
    "Assumed",
    "Assumptions",
]

_SHARE = Interval(0.0, 1.0, low_open=True)
_PART = Interval(0.0, 1.0, low_open=True, high_open=True)
_POSITION = Interval(0.0, 1.0)


@record
class Assumptions(Record):
    """Assumptions that the user changes; what is left out has the default of `ASSUMED`."""

    scallop_share: Ratio = entry(default=None, domain=_PART, meaning="share of the finish for the scallop")
    feed_mark_share: Ratio = entry(default=None, domain=_PART, meaning="share of the finish for feed marks")
    chord_tolerance_share: Ratio = entry(default=None, domain=_SHARE, meaning="of the form tolerance, for chords")
    chord_scallop_share: Ratio = entry(default=None, domain=_PART, meaning="of the scallop, for chords")
    chord_start_share: Ratio = entry(default=None, domain=_SHARE, meaning="of the chord allowance, at the start")
    speed_position: Ratio = entry(default=None, domain=_POSITION, meaning="position in the speed window")
    feed_position: Ratio = entry(default=None, domain=_POSITION, meaning="position in the feed window")
    feed_factor: Ratio = entry(default=None, domain=POSITIVE, meaning="largest multiple of the chart's feed")
    entry_factor: Ratio = entry(default=None, domain=NOT_NEGATIVE, meaning="entry and exit in diameters")
    entry_length: Length = entry(default=None, meaning="entry and exit as a length, in place of the factor")
    clearance: Length = entry(default=None, meaning="height of the retract between one-way passes")
    characters: Count = entry(default=None, domain=ONE_OR_MORE, meaning="characters in a block")
    time_factor: Ratio = entry(default=None, domain=POSITIVE, meaning="measured time over computed time")
    deflection_share: Ratio = entry(default=None, domain=_SHARE, meaning="of the form tolerance, for deflection")
    force_spread: Ratio = entry(default=None, domain=_SHARE, meaning="how far computed forces may be off")
    least_width_share: Ratio = entry(default=None, domain=_SHARE, meaning="least share of the wanted stepover kept")
    first_pass: str = entry(default=None, choices=("own feed", "same feed"), meaning="feed of the first pass")


@attrs.frozen
class Assumed:
    """One assumed value: the number in trade units or the word, why, and where from."""

    name: str
    value: Any
    kind: Kind | None
    meaning: str
    source: str = "PRACTICE"

    def __str__(self) -> str:
        return f"{self.name} = {self.text}: {self.meaning} ({self.source})"

    @property
    def unit(self) -> str:
        """The unit of the value, empty where it has none."""
        return self.kind.label if self.kind else ""

    @property
    def text(self) -> str:
        """The value in words, in the system of units in use."""
        return str(self.value) if self.kind is None else quantity_text(self.value, self.kind, digits=3)


def _table(*rows: Assumed) -> dict[str, Assumed]:
    return {row.name: row for row in rows}


SMALL_DIAMETER = 3.0
"""Diameter [mm] below which a cutter is ground sharper and held truer."""
EDGE_RADII = (4.0, 8.0)
"""Edge radius [um] of a small and of an ordinary cutter."""
ECCENTRICITIES = (2.5, 5.0)
"""Eccentricity [um] of a small and of an ordinary cutter."""

ASSUMED = _table(
    Assumed("scallop_share", 0.5, RATIO, "half of the wanted finish goes to the scallop"),
    Assumed("feed_mark_share", 0.25, RATIO, "half of the rest goes to feed marks, the other to runout and material"),
    Assumed("chord_tolerance_share", 0.1, RATIO, "chords use at most a tenth of the form tolerance"),
    Assumed("chord_scallop_share", 1.0 / 3.0, RATIO, "chords use at most a third of the scallop"),
    Assumed("chord_start_share", 0.5, RATIO, "points start at half the chord allowance, with room to widen"),
    Assumed("speed_position", 0.5, RATIO, "the middle of the cutting-speed window"),
    Assumed("feed_position", 0.5, RATIO, "the middle of the feed window"),
    Assumed("feed_factor", 2.0, RATIO, "the feed per tooth is at most twice the chart's"),
    Assumed("entry_factor", 0.5, RATIO, "entry and exit of half the diameter each"),
    Assumed("clearance", 5.0, LENGTH, "retract height between one-way passes"),
    Assumed("characters", 40.0, COUNT, "characters in a block"),
    Assumed("time_factor", 1.0, RATIO, "no measured time is known"),
    Assumed("deflection_share", 0.5, RATIO, "deflection of the tip uses at most half of the form tolerance"),
    Assumed("force_spread", 0.3, RATIO, "force constants of one material differ by so much between sources"),
    Assumed("least_width_share", 0.5, RATIO, "for power and torque the stepover is at most halved"),
    Assumed("helix", 30.0, ANGLE, "helix of an ordinary end mill"),
    Assumed("edge_radius", 8.0, DEFLECTION, "edge of a sharp coated end mill, less below 3 mm diameter"),
    Assumed("eccentricity", 5.0, DEFLECTION, "half the runout in a collet holder, less below 3 mm diameter"),
)
"""The defaults, by name."""

SET_UPS: dict[str, dict[str, Assumed]] = {
    rigidity: _table(
        Assumed("speed_position", position, RATIO, f"{words} of the cutting-speed window, for a {rigidity} set-up"),
        Assumed("feed_position", position, RATIO, f"{words} of the feed window, for a {rigidity} set-up"),
    )
    for rigidity, position, words in (("weak", 0.25, "the lower quarter"), ("rigid", 0.75, "the upper quarter"))
}
"""The defaults that a set-up changes which is not ordinary."""

COOLANTS = {
    "P": "air or mist; flood for HSS",
    "M": "flood",
    "K": "dry with extraction, or air",
    "N": "air, mist or flood; no water on magnesium",
    "S": "flood",
    "H": "air or mist, not flood on a hot edge",
}
"""What is usual by group of ISO 513."""
OTHER_COOLANT = "air, dry with extraction"

MACHINE_CLASSES: dict[str, dict[str, Assumed]] = {
    kind: _table(
        Assumed("acceleration", acceleration, ACCELERATION, f"typical of a machine of the class {kind}"),
        Assumed("block_time", block_time, BLOCK_TIME, f"typical of a control of the class {kind}"),
        Assumed("rapid_rate", rapid, FEED_RATE, f"typical of a machine of the class {kind}"),
    )
    for kind, acceleration, block_time, rapid in (
        ("older", 500.0, 20.0, 10_000.0),
        ("general", 2_000.0, 2.0, 20_000.0),
        ("high-speed", 10_000.0, 0.5, 40_000.0),
    )
}
"""The defaults of a machine, by its class."""
