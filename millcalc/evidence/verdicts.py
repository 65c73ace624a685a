"""The records of evidence: what is printed, what the library says of it, and all of that together."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

import attrs

__all__ = ["AGREES", "CANNOT_TELL", "DIFFERS", "OUTSIDE", "WORDS", "Case", "Report", "Verdict", "digits_of"]

AGREES, DIFFERS, OUTSIDE, CANNOT_TELL = WORDS = ("agrees", "differs", "outside validity", "cannot tell")
"""What a verdict may be."""

_NUMBER = re.compile(r"\s*[-+\u2212]?(?P<whole>\d*)(?:(?P<point>\.)(?P<part>\d*))?(?:[eE](?P<power>[-+]?\d+))?(?=\s|$)")


def digits_of(text: str) -> tuple[float, float]:
    """Return the place of the last printed digit, and that of the last digit that is not an idle zero.

    A fraction or a word is exact and has none: both are 0.

    Examples
    --------
    >>> digits_of("0.50 mm"), digits_of("1200 mm/min"), digits_of("1/2 in")
    ((0.01, 0.01), (1.0, 100.0), (0.0, 0.0))
    """
    match = _NUMBER.match(text)
    if match is None or not (match["whole"] or match["part"]):
        return 0.0, 0.0
    power = int(match["power"] or 0)
    last = 10.0 ** (power - len(match["part"] or ""))
    idle = 0 if match["point"] else len(match["whole"]) - len(match["whole"].rstrip("0"))
    if idle == len(match["whole"]):  # nothing but zeros
        idle = 0
    return last, 10.0**idle * last


@attrs.frozen
class Case:
    """One thing that a source prints: a formula by its name, the inputs, the output.

    `half_width`, in the unit of the output, takes the place of half the last printed digit; `wider` says why where
    it is wider.  `disagrees` says why the source is known not to agree.  `cutter`, `coefficients`, `body` and
    `holder` are the tables of what a question is asked of.  `place` names file and case for messages.
    """

    id: str
    formula: str
    inputs: Mapping[str, Any]
    output: str
    result: int = 1
    half_width: float | None = None
    wider: str = ""
    relation: str = ""
    variation: str = ""
    disagrees: str = ""
    rounded_inputs: bool = False
    cutter: Any = None
    coefficients: Any = None
    body: Any = None
    holder: Any = None
    how_known: str = ""
    page: str = ""
    address: str = ""
    note: str = ""
    place: str = ""
    source: str = ""

    @property
    def digit(self) -> float:
        """The place of the last printed digit, in the unit of the output; 0 if it is exact."""
        return digits_of(self.output)[0]

    @property
    def allowed(self) -> float:
        """How far off the output may be, in its unit."""
        return 0.5 * self.digit if self.half_width is None else self.half_width


@attrs.frozen
class Verdict:
    """What the library says of a case.

    `computed` and `printed` are in the unit of the print, or words; `difference` is computed less printed in units
    of the last printed digit, None where nothing can be compared.  `relation` is the one that was used.
    """

    case: Case
    word: str
    computed: Any
    printed: Any
    unit: str
    difference: float | None
    relation: str
    reason: str = ""

    @property
    def as_expected(self) -> bool:
        """Whether it agrees, or differs as the case says it does."""
        return self.word == (DIFFERS if self.case.disagrees else AGREES)

    @property
    def amiss(self) -> bool:
        """Whether it differs, or agrees although it is said not to."""
        return self.word == (AGREES if self.case.disagrees else DIFFERS)


@attrs.frozen
class Report:
    """The verdicts on all cases of some tables."""

    verdicts: Sequence[Verdict]
    titles: Sequence[str] = ()

    @property
    def counts(self) -> dict[str, int]:
        """How often each verdict was given."""
        found = Counter(v.word for v in self.verdicts)
        return {word: found[word] for word in WORDS}

    @property
    def amiss(self) -> tuple[Verdict, ...]:
        """The verdicts that differ, or agree although they are said not to."""
        return tuple(v for v in self.verdicts if v.amiss)

    @property
    def undecided(self) -> tuple[Verdict, ...]:
        """The verdicts that say neither."""
        return tuple(v for v in self.verdicts if not v.amiss and not v.as_expected)

    def status(self, strict: bool = False) -> int:
        """Return 0 if nothing is amiss and something was found as it should be, else 1; strictly, all must be."""
        found = any(v.as_expected for v in self.verdicts)
        return int(bool(self.amiss) or not found or (strict and bool(self.undecided)))

    def __str__(self) -> str:
        from millcalc.evidence.reports import report_text

        return report_text(self)
