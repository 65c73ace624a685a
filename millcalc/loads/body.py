"""The body of a tool, which bends: its stiffness, deflection, bending stress and natural frequency as questions."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from math import inf
from typing import Any

import numpy as np

from millcalc.cutters.answers import Answer, answer
from millcalc.cutters.assembly import HolderSection
from millcalc.cutters.cutter import Cutter
from millcalc.errors import Fault, JobError
from millcalc.loads import beam as bar
from millcalc.loads.beam import Beam
from millcalc.loads.steps import Measures, body_material, body_of, measures_of
from millcalc.loads.substrates import TOOL_MATERIALS
from millcalc.quantities.kinds import (
    NOT_NEGATIVE,
    POSITIVE,
    STRESS,
    Deflection,
    Force,
    Frequency,
    Interval,
    Length,
    Mass,
    Ratio,
    Stiffness,
    Stress,
    TiltingStiffness,
)
from millcalc.quantities.record import Record, entry, number, record
from millcalc.quantities.registries import application_registry

__all__ = ["BODY_ANSWERS", "ToolBody"]

BODY_ANSWERS: dict[str, Answer] = {}
"""Every question that the body of a tool answers, by name."""

_SHARE = Interval(0.0, 1.0, low_open=True)
_SOURCES = ("BEAM", "KOPS90", "PRACTICE")


def _beyond(body: Any, *_: Any) -> str:
    return f"the force acts above the clamp, which is {float(body.beam.total):g} mm over the tip"


def _too_soft(body: Any, force: float, deflection: float, load_height: float = 0.0) -> str:
    if load_height > body.measures.flute_length:
        return "the force acts above the fluted part"
    return "fluted part, holder and clamp alone move more than that"


@record
class ToolBody(Record):
    """A cutter as a bar in its holder, which answers how it gives way to a force square to its axis.

    Bending alone counts; the clamp is rigid unless its stiffness is stated.  Holder and spindle often give way as
    much again: compare with a test on the machine before you trust a small number.

    Parameters
    ----------
    cutter
        A cutter with an overhang; without flute length or shank diameter both are assumed, see `assumed`.
    holder
        `HolderSection` records of steel from the holder's face upward; none: the cutter is clamped at its overhang.
    material, shank_material
        Words of tool materials; by the cutter's tool material, of steel if it takes round inserts, unless stated.
    equivalent_ratio [1]
        Diameter of the bar that bends as the fluted part does over the outline's, 0.8 unless stated.
    lateral_stiffness [N/um], tilting_stiffness [N m/rad]
        Of what holds the last section, against moving sideways and against tilting.

    Raises
    ------
    JobError
        Values that cannot be used, or the cutter states no overhang; all are listed.

    Examples
    --------
    >>> from millcalc import BallEndMill
    >>> cutter = BallEndMill(diameter="6 mm", teeth=2, flute_length="12 mm", overhang="30 mm")
    >>> body = ToolBody(cutter=cutter)
    >>> print(f"{body.stiffness():.2f~P}, {body.tip_deflection('40 N'):.1f~P}, {body.natural_frequency():.0f~P}")
    3.75 N/µm, 10.7 µm, 7575 Hz
    """

    cutter: Cutter = entry(meaning="the cutter")
    holder: Sequence[HolderSection] = entry(default=(), meaning="sections of the holder from its face upward")
    material: str = entry(default=None, choices=tuple(TOOL_MATERIALS), meaning="what the fluted part is made of")
    shank_material: str = entry(default=None, choices=tuple(TOOL_MATERIALS), meaning="what the shank is made of")
    equivalent_ratio: Ratio = entry(default=0.8, domain=_SHARE, meaning="equivalent over outline diameter")
    lateral_stiffness: Stiffness = entry(default=None, domain=POSITIVE, meaning="of the clamp against moving sideways")
    tilting_stiffness: TiltingStiffness = entry(default=None, domain=POSITIVE, meaning="of the clamp against tilting")

    def _check(self) -> None:
        faults = [
            Fault(f"holder[{place}]", repr(section)[:60], "it is no HolderSection")
            for place, section in enumerate(self.holder)
            if not isinstance(section, HolderSection)
        ]
        if faults:
            raise JobError("ToolBody cannot be made", faults)
        measures_of(self.cutter)

    @functools.cached_property
    def measures(self) -> Measures:
        """Flute length, overhang and shank diameter [mm], and what of them is assumed."""
        return measures_of(self.cutter)

    @property
    def assumed(self) -> tuple[str, ...]:
        """What nobody stated and is therefore assumed, in words; common practice."""
        made = () if self.material else (f"body of {body_material(self.cutter).word}",)
        return self.measures.assumed + made

    @functools.cached_property
    def beam(self) -> Beam:
        """The bar."""
        lateral, tilting = number(self, "lateral_stiffness"), number(self, "tilting_stiffness")
        return body_of(
            self.cutter,
            self.holder,
            material=self.material,
            shank_material=self.shank_material,
            equivalent_ratio=number(self, "equivalent_ratio"),
            lateral=inf if lateral is None else lateral,
            tilting=inf if tilting is None else tilting,
        )

    @property
    def allowable_stress(self) -> Any:
        """Bending stress allowed in finishing: a third of the strength of the fluted part's material."""
        found = body_material(self.cutter, self.material).allowable_stress
        return application_registry().quantity(found, STRESS)

    @answer(
        symbol="k",
        method="force over the deflection of the place where it acts, by the moment integral over the steps",
        domain={"load_height": NOT_NEGATIVE},
        reasons=_beyond,
        sources=_SOURCES,
        listed=BODY_ANSWERS,
    )
    def stiffness(self, load_height: Length = 0.0) -> Stiffness:
        """Return the stiffness [N/um] of tool and holder against a force square to the axis.

        Parameters
        ----------
        load_height [mm]
            Height over the tip at which the force acts, 0 up to the clamp.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; the force acts above the clamp.

        Notes
        -----
        Valid for bending, from an overhang of 3 diameters on. Sources: BEAM, KOPS90, PRACTICE.

        Examples
        --------
        >>> from millcalc import FlatEndMill
        >>> tool = ToolBody(cutter=FlatEndMill(diameter="10 mm", teeth=4, flute_length="20 mm", overhang="50 mm"))
        >>> print(f"{tool.stiffness():.3f~P}")
        6.256 N/µm
        """
        return 1.0 / bar.compliance(self.beam, load_height)

    @answer(
        symbol="delta_t",
        method="force times the deflection of the tip, by the moment integral over the steps",
        domain={"force": NOT_NEGATIVE, "load_height": NOT_NEGATIVE},
        reasons=lambda body, force, load_height=0.0: _beyond(body),
        sources=_SOURCES,
        listed=BODY_ANSWERS,
    )
    def tip_deflection(self, force: Force, load_height: Length = 0.0) -> Deflection:
        """Return how far [um] the tip gives way to a force square to the axis.

        Parameters
        ----------
        force [N]
            Force square to the axis, 0 or more.
        load_height [mm]
            Height over the tip at which the force acts, 0 up to the clamp.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; the force acts above the clamp.

        Notes
        -----
        Valid as of `stiffness`. Sources: BEAM, KOPS90, PRACTICE.

        Examples
        --------
        >>> from millcalc import FlatEndMill
        >>> tool = ToolBody(cutter=FlatEndMill(diameter="10 mm", teeth=4, flute_length="20 mm", overhang="50 mm"))
        >>> print(f"{tool.tip_deflection('100 N'):.2f~P}")
        15.99 µm
        """
        return force * bar.tip_compliance(self.beam, load_height)

    @answer(
        symbol="sigma",
        method="largest over the steps: at their ends, and inside cones where the stress turns",
        domain={"force": NOT_NEGATIVE, "load_height": NOT_NEGATIVE},
        reasons=lambda body, force, load_height=0.0: _beyond(body),
        sources=_SOURCES,
        listed=BODY_ANSWERS,
    )
    def bending_stress(self, force: Force, load_height: Length = 0.0) -> Stress:
        """Return the largest bending stress [N/mm^2] in tool and holder.

        Parameters
        ----------
        force [N]
            Force square to the axis, 0 or more.
        load_height [mm]
            Height over the tip at which the force acts, 0 up to the clamp.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; the force acts above the clamp.

        Notes
        -----
        Valid without the notch that a sharp step or the end of the flutes makes. Compare with `allowable_stress`;
        carbide breaks without warning, so guard the machine. Sources: BEAM, KOPS90, PRACTICE.

        Examples
        --------
        >>> from millcalc import FlatEndMill
        >>> tool = ToolBody(cutter=FlatEndMill(diameter="10 mm", teeth=4, flute_length="20 mm", overhang="50 mm"))
        >>> print(f"{tool.bending_stress('100 N'):.1f~P} of {tool.allowable_stress:.0f~P}")
        50.9 N/mm² of 800 N/mm²
        """
        return force * bar.largest_stress(self.beam, load_height).stress

    @answer(
        symbol="z_s",
        method="height of the largest bending stress over the steps",
        domain={"load_height": NOT_NEGATIVE},
        reasons=_beyond,
        sources=_SOURCES,
        listed=BODY_ANSWERS,
    )
    def weakest_height(self, load_height: Length = 0.0) -> Length:
        """Return the height [mm] over the tip at which the bending stress is largest.

        Parameters
        ----------
        load_height [mm]
            Height over the tip at which the force acts, 0 up to the clamp.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; the force acts above the clamp.

        Notes
        -----
        Valid as of `bending_stress`. Sources: BEAM, KOPS90, PRACTICE.

        Examples
        --------
        >>> from millcalc import FlatEndMill
        >>> cutter = FlatEndMill(diameter="6 mm", teeth=4, flute_length="12 mm", overhang="30 mm")
        >>> print(ToolBody(cutter=cutter.with_(shank_diameter="10 mm")).weakest_height())
        12.0 millimeter
        """
        return bar.largest_stress(self.beam, load_height).height

    @answer(
        symbol="f_1",
        method="largest eigenvalue of mass times compliance, the mass gathered at points of each step",
        sources=_SOURCES,
        listed=BODY_ANSWERS,
    )
    def natural_frequency(self) -> Frequency:
        """Return the first natural frequency [Hz] of tool and holder in bending: an estimate, without damping.

        Raises
        ------
        DomainError
            The bar has no mass.

        Notes
        -----
        Valid for a slender tool; a rigid clamp tells the most it can be, and what holds the tool lowers it, often by
        half. A tap test on the machine tells what it is. Sources: BEAM, KOPS90, PRACTICE.

        Examples
        --------
        >>> from millcalc import FlatEndMill
        >>> tool = ToolBody(cutter=FlatEndMill(diameter="10 mm", teeth=4, flute_length="20 mm", overhang="50 mm"))
        >>> print(f"{tool.natural_frequency():.0f~P}")
        4245 Hz
        """
        return bar.natural_frequency(self.beam)

    @answer(
        symbol="L_max",
        method="the shank's length at which the tip moves by the deflection, the root of a cubic, with the fluted part",
        domain={"force": POSITIVE, "load_height": NOT_NEGATIVE},
        reasons=_too_soft,
        sources=_SOURCES,
        listed=BODY_ANSWERS,
    )
    def largest_overhang(self, force: Force, deflection: Deflection, load_height: Length = 0.0) -> Length:
        """Return the overhang [mm] at which the tip gives way by the deflection stated.

        The fluted part and the holder stay as they are; the shank out of the holder grows or shrinks.

        Parameters
        ----------
        force [N]
            Force square to the axis, above 0.
        deflection [um]
            Deflection of the tip that may occur, 0 or more.
        load_height [mm]
            Height over the tip at which the force acts, up to the flute length.

        Raises
        ------
        UnitError, DomainError
            A value has the wrong kind of unit or lies outside its domain; the fluted part alone gives way more.

        Notes
        -----
        Valid as of `stiffness`; vibration usually limits the overhang before. Sources: BEAM, KOPS90, PRACTICE.

        Examples
        --------
        >>> from millcalc import FlatEndMill
        >>> tool = ToolBody(cutter=FlatEndMill(diameter="10 mm", teeth=4, flute_length="20 mm", overhang="40 mm"))
        >>> print(f"{tool.largest_overhang('100 N', '15.985 um'):.2f~P}")
        50.00 mm
        """
        shank = bar.largest_length(self.beam, np.divide(deflection, force), load_height, -1 - len(self.holder))
        return min(self.measures.flute_length, self.measures.overhang) + shank

    @answer(
        symbol="m",
        method="volume of the steps times density",
        sources=_SOURCES,
        listed=BODY_ANSWERS,
    )
    def mass(self) -> Mass:
        """Return the mass [kg] of the bar: of the tool out of its holder, and of the holder's sections.

        Raises
        ------
        DomainError
            Never for a cutter that could be made.

        Notes
        -----
        Valid for what swings; what sits in the holder does not count. Sources: BEAM, KOPS90, PRACTICE.

        Examples
        --------
        >>> from millcalc import FlatEndMill
        >>> tool = ToolBody(cutter=FlatEndMill(diameter="10 mm", teeth=4, flute_length="20 mm", overhang="50 mm"))
        >>> print(f"{tool.mass():.4f~P}")
        0.0486 kg
        """
        return bar.mass(self.beam)
