"""Finding materials by what they are: group, hardness, tags, and words of their names and notes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from millcalc.errors import ArgumentError, Fault, UnknownNameError, nearest
from millcalc.materials._words import known
from millcalc.materials.catalogue import records_of
from millcalc.materials.form import normal_form
from millcalc.materials.hardness_scales import converted_hardness, convertible
from millcalc.materials.layers import Source
from millcalc.materials.record import Material
from millcalc.materials.rows import ISO513_GROUPS, Value

__all__ = ["off_hardness", "search_materials", "tags_of"]

# of cautions: a tag for each word that stands in their texts
_HAZARDS = {
    "fire": ("fire", "burn", "ignite"),
    "explosion": ("explod", "explos"),
    "dust": ("dust",),
    "lead": ("lead ", "lead,", "lead;", "lead."),
    "nickel": ("nickel",),
    "cobalt": ("cobalt",),
    "chromium": ("chromium",),
    "beryllium": ("beryllium",),
    "hydrogen": ("hydrogen",),
    "fumes": ("fume", "formaldehyde", "chloride"),
}
_DATA = {
    "kc1.1": "kienzle",
    "force coefficients": "force_coefficients",
    "specific energy": "specific_energy",
    "tool life": "taylor",
}
_SAID = re.compile(r"\s*(\d+(?:\.\d+)?)(?:\s*(?:to|-)\s*(\d+(?:\.\d+)?))?\s*(HB|HRC|HRB|HV)\s*", re.IGNORECASE)
_CONVERTED = ("P", "H")  # the groups for whose steels the table of conversion is made


def search_materials(
    text: str = "",
    *,
    group: str | None = None,
    hardness: str | None = None,
    tag: str | Iterable[str] = (),
    plugins: bool = False,
    catalogue: Source | None = None,
) -> tuple[str, ...]:
    """Return the keys of the materials that are all that is asked for.

    Parameters
    ----------
    text
        Words that all stand in the names, the description or the notes, in any case and punctuation.
    group
        A group of ISO 513: "P", "M", "K", "N", "S", "H" or "none".
    hardness
        A hardness or a range, "300 HB" or "45 to 55 HRC": the materials whose stated hardness meets it.  Steels stated
        in another scale are converted.
    tag
        One or several tags that it must have; `tags_of` shows those of a material.
    plugins
        Whether to search what other distributions add too.
    catalogue
        Materials laid over the others for this call.

    Raises
    ------
    UnknownNameError
        There is no such group, or no material has such a tag; the message gives the nearest ones.
    ArgumentError
        The hardness cannot be read.

    Examples
    --------
    >>> search_materials("hot-work", hardness="50 to 60 HRC")
    ('x40crmov5-1-55hrc',)
    >>> "ti-6al-4v" in search_materials(group="S", tag=("fire", "coated carbide"))
    True
    """
    found = records_of(plugins=plugins, catalogue=catalogue)
    wanted = {tag} if isinstance(tag, str) else set(tag)
    if group is not None:
        group = known(group, ISO513_GROUPS, "group of ISO 513")
    span = None if hardness is None else _span(hardness)
    tags = {key: set(tags_of(record)) for key, record in found.items()} if wanted else {}
    wanted = {_tag(each, tags.values()) for each in wanted}
    words = [normal_form(word) for word in text.split()]
    return tuple(
        key
        for key, record in found.items()
        if (group is None or record.iso513 == group)
        and (span is None or _is_as_hard(record, span))
        and (not wanted or wanted <= tags[key])
        and all(word in _told(record) for word in words)
    )


def tags_of(record: Material) -> tuple[str, ...]:
    """Return what a material can be found by: hazards, data it has, tool materials with a speed, words of its name.

    Examples
    --------
    >>> from millcalc.materials import material
    >>> {"fire", "coated carbide", "titanium", "tool life"} <= set(tags_of(material("ti-6al-4v")))
    True
    """
    warned = " ".join(c.text.casefold() for c in (*record.cautions, record.tip_caution)) + " "
    tags = [tag for tag, words in _HAZARDS.items() if any(word in warned for word in words)]
    tags += [tag for tag, field in _DATA.items() if getattr(record, field)]
    tags += [row.substrate for row in record.cutting_speeds]
    if record.least_chip_ratio.low >= 1.0:
        tags.append("work hardening")
    tags += [word for word in re.findall(r"[^\W\d_]+(?:-[^\W\d_]+)*", record.name.casefold()) if len(word) > 2]
    return tuple(dict.fromkeys(tags))


def _tag(given: str, tags: Iterable[set[str]]) -> str:
    """Return the tag that is meant, whatever its case."""
    every = {tag.casefold(): tag for held in tags for tag in held}
    plain = given.strip().casefold() if isinstance(given, str) else ""
    if plain not in every:
        raise UnknownNameError(f"no material has the tag {given!r}{nearest(plain, every)}")
    return every[plain]


def _span(given: str) -> Value:
    said = _SAID.fullmatch(given) if isinstance(given, str) else None
    low, high = (float(end or said.group(1)) for end in said.groups()[:2]) if said else (1.0, 0.0)
    if said is None or low > high:
        accepted = "a hardness or a range with its scale, HB, HRC, HRB or HV"
        fault = Fault("hardness", repr(given)[:60], "it cannot be read", accepted, '"45 to 55 HRC"')
        raise ArgumentError("no material can be searched", (fault,))
    unit = said.group(3).upper()
    return Value(low=low, high=high, unit=unit, source="DEFINITION", how_known="derived", scope="class")


def off_hardness(record: Material, said: str) -> str:
    """Return the hardness that a record's values hold for, where what is said of the work is another one, else nothing.

    Words that are no hardness, and scales that the record cannot be compared in, say nothing.

    Examples
    --------
    >>> from millcalc.materials import material
    >>> off_hardness(material("42CrMo4"), "45 HRC")
    '28 to 32 HRC'
    >>> off_hardness(material("42CrMo4"), "30 HRC"), off_hardness(material("42CrMo4"), "as delivered")
    ('', '')
    """
    if _SAID.fullmatch(said) is None:
        return ""
    span = _span(said)
    rows = list(_in_scale(record, span.unit))
    room = 2.0 if span.unit.startswith("HR") else 0.05 * span.high  # what gauges of two shops differ by
    if not rows or any(row.low <= span.high + room and row.high >= span.low - room for row in rows):
        return ""
    ends = min(row.low for row in rows), max(row.high for row in rows)
    return f"{' to '.join(dict.fromkeys(f'{e:.0f}' for e in ends))} {span.unit}"


def _is_as_hard(record: Material, span: Value) -> bool:
    return any(row.low <= span.high and row.high >= span.low for row in _in_scale(record, span.unit))


def _in_scale(record: Material, unit: str) -> Iterator[Value]:
    """Yield the stated ranges of hardness in a scale; converted ones only where none is stated in it."""
    stated = [row for row in record.hardness if row.unit == unit]
    yield from stated
    if not stated and record.iso513 in _CONVERTED:
        for row in record.hardness:
            if convertible(row, unit):
                yield converted_hardness(row, unit)


def _told(record: Material) -> str:
    return normal_form(" ".join((*record.names(), record.name, *record.notes)))
