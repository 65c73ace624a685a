"""The kinds of quantity, declared once: name, symbol, trade unit, spellings, plausible range.

A *kind* is more than a dimension: rev/min, Hz and 1/min share one and differ by 2 pi in silence, and a feed
per revolution passes as a length.  A formula annotates each parameter with a kind; everything that reads,
checks, converts, prints or documents a value takes what it needs from here.
"""

from __future__ import annotations

import math
from typing import Annotated, Any

import attrs

__all__ = ["KINDS", "Interval", "Kind", "kind_of"]


@attrs.frozen
class Interval:
    """A range of numbers in a trade unit; an end may be open."""

    low: float = -math.inf
    high: float = math.inf
    low_open: bool = False
    high_open: bool = False

    @property
    def least(self) -> float:
        """The smallest float inside."""
        return math.nextafter(self.low, math.inf) if self.low_open else self.low

    @property
    def greatest(self) -> float:
        """The largest float inside."""
        return math.nextafter(self.high, -math.inf) if self.high_open else self.high

    def __contains__(self, value: float) -> bool:
        return self.least <= value <= self.greatest

    def text(self, unit: str) -> str:
        """Say the range in words a message can use."""
        below = "" if self.low == -math.inf else f"{'above' if self.low_open else 'from'} {self.low:g}"
        above = "" if self.high == math.inf else f"{'below' if self.high_open else 'up to'} {self.high:g}"
        finite = "finite" if self.high == math.inf and self.high_open else ""
        words = " ".join(w for w in (below, above, unit if below or above else "") if w)
        return ", ".join(w for w in (words, finite) if w) or "any number"


POSITIVE = Interval(0.0, math.inf, low_open=True, high_open=True)
POSITIVE_OR_INFINITE = Interval(0.0, math.inf, low_open=True)
NOT_NEGATIVE = Interval(0.0, math.inf, high_open=True)
FINITE = Interval(low_open=True, high_open=True)
ONE_OR_MORE = Interval(1.0, math.inf, high_open=True)
ANY = Interval()


@attrs.frozen(repr=False)
class Kind:
    """One kind of quantity.

    `unit` is the trade unit as pint reads it, `label` as it is printed.  `also` lists units of another
    signature that mean the same in the shop, each with the number of trade units in one of it.
    `inch_unit` and `inch_label` are used when inch units are asked for.
    """

    name: str
    symbol: str
    unit: str
    label: str
    example: str
    accepted: tuple[str, ...] = ()
    inch_unit: str = ""
    inch_label: str = ""
    also: tuple[tuple[str, float], ...] = ()
    domain: Interval = NOT_NEGATIVE
    plausible: Interval = ANY
    whole: bool = False
    choices: tuple[str, ...] = ()
    words: tuple[tuple[str, Any], ...] = ()

    @property
    def bare(self) -> bool:
        """Whether a plain number is accepted: the kind has no unit."""
        return not self.unit

    @property
    def discrete(self) -> bool:
        """Whether values are words or yes and no, not numbers."""
        return bool(self.choices)

    @property
    def noun(self) -> str:
        """The name with its article, for a message."""
        return f"{'an' if self.name[0] in 'aeiou' else 'a'} {self.name}"

    def __hash__(self) -> int:
        return hash(self.name)

    def __repr__(self) -> str:
        return f"<{self.name} [{self.label or '1'}]>"

    def accepted_text(self) -> str:
        """Say what is accepted, for a message."""
        if self.choices:
            return " or ".join(map(repr, self.choices))
        if self.bare:
            return "a whole number without a unit" if self.whole else "a number without a unit"
        return f"a quantity or text in {', '.join(self.accepted or (self.label,))}"


def _length(name: str, symbol: str, example: str, **more: Any) -> Kind:
    options: dict[str, Any] = {
        "unit": "millimeter",
        "label": "mm",
        "accepted": ("mm", "um", "m", "in", "thou"),
        "inch_unit": "inch",
        "inch_label": "in",
        "plausible": Interval(-1e6, 1e6),
    }
    return Kind(name, symbol, example=example, **(options | more))


def _height(name: str, symbol: str, example: str, **more: Any) -> Kind:
    options: dict[str, Any] = {
        "unit": "micrometer",
        "label": "um",
        "accepted": ("um", "mm", "uin", "in"),
        "inch_unit": "microinch",
        "inch_label": "uin",
        "plausible": Interval(0.0, 1e6),
    }
    return _length(name, symbol, example, **(options | more))


_FEED_PER_TOOTH: dict[str, Any] = {
    "also": (("millimeter/count", 1.0),),
    "accepted": ("mm", "mm/tooth", "in", "in/tooth", "ipt", "thou"),
    "inch_label": "in/tooth",
    "plausible": Interval(0.0, 20.0),
}

LENGTH = _length("length", "l", '"12 mm"')
RADIUS = _length("radius", "r", '"120 mm"', domain=ANY, plausible=ANY)
FEED_PER_TOOTH = _length("feed per tooth", "f_z", '"0.05 mm"', **_FEED_PER_TOOTH)
CHIP_THICKNESS = _length("chip thickness", "h", '"0.02 mm"', plausible=Interval(0.0, 20.0))
FEED_PER_REVOLUTION = _length(
    "feed per revolution",
    "f",
    '"0.2 mm/rev"',
    unit="millimeter/revolution",
    label="mm/rev",
    accepted=("mm/rev", "in/rev", "ipr"),
    inch_unit="inch/revolution",
    inch_label="in/rev",
    plausible=Interval(0.0, 100.0),
)
SCALLOP_HEIGHT = _height("scallop height", "h_s", '"5 um"')
ROUGHNESS = _height("roughness", "Ra", '"0.8 um"', plausible=Interval(0.0, 500.0))
DEFLECTION = _height("deflection", "delta", '"10 um"')
CHORD_ERROR = _height("chord error", "e", '"2 um"')
ANGLE = Kind(
    "angle",
    "alpha",
    "degree",
    "deg",
    '"15 deg"',
    ("deg", "rad"),
    domain=FINITE,
    plausible=Interval(-360.0, 360.0),
)
CUTTING_SPEED = Kind(
    "cutting speed",
    "v_c",
    "meter/minute",
    "m/min",
    '"120 m/min"',
    ("m/min", "ft/min", "sfm", "m/s"),
    "foot/minute",
    "ft/min",
    plausible=Interval(0.0, 20_000.0),
)
SPINDLE_SPEED = Kind(
    "spindle speed",
    "n",
    "rpm",
    "rev/min",
    '"8000 rpm"',
    ("rpm", "rev/min", "1/min", "Hz", "rad/s"),
    also=(("1/minute", 1.0),),
    plausible=Interval(0.0, 1_000_000.0),
)
ROTARY_RATE = Kind(
    "rotary rate",
    "omega",
    "degree/second",
    "deg/s",
    '"60 deg/s"',
    ("deg/s", "deg/min", "rpm"),
    plausible=Interval(0.0, 10_000.0),
)
FEED_RATE = Kind(
    "feed rate",
    "v_f",
    "millimeter/minute",
    "mm/min",
    '"1200 mm/min"',
    ("mm/min", "m/min", "in/min", "ipm"),
    "inch/minute",
    "in/min",
    plausible=Interval(0.0, 500_000.0),
)
REMOVAL_RATE = Kind(
    "removal rate",
    "Q",
    "centimeter**3/minute",
    "cm^3/min",
    '"12 cm^3/min"',
    ("cm^3/min", "mm^3/min", "in^3/min"),
    "inch**3/minute",
    "in^3/min",
)
FORCE = Kind("force", "F", "newton", "N", '"150 N"', ("N", "lbf"), "force_pound", "lbf", domain=FINITE)
TORQUE = Kind(
    "torque",
    "M",
    "newton*meter",
    "N m",
    '"2.5 N*m"',
    ("N*m", "lbf*ft"),
    "force_pound*foot",
    "ft-lbf",
    domain=FINITE,
)
POWER = Kind("power", "P", "kilowatt", "kW", '"1.5 kW"', ("kW", "W", "HP"), "horsepower", "hp")
STRESS = Kind(
    "stress",
    "sigma",
    "newton/millimeter**2",
    "N/mm^2",
    '"1700 N/mm^2"',
    ("N/mm^2", "MPa", "psi"),
    "psi",
    "psi",
)
EDGE_FORCE = Kind(
    "edge force",
    "K_e",
    "newton/millimeter",
    "N/mm",
    '"25 N/mm"',
    ("N/mm", "lbf/in"),
    "lbf/inch",
    "lbf/in",
)
SPECIFIC_ENERGY = Kind(
    "specific energy",
    "u",
    "watt*second/millimeter**3",
    "W s/mm^3",
    '"2.5 J/mm^3"',
    ("J/mm^3", "kW*s/cm^3", "HP*min/in^3", "N/mm^2"),
    "horsepower*minute/inch**3",
    "hp min/in^3",
)
MODULUS = Kind(
    "modulus of elasticity",
    "E",
    "gigapascal",
    "GPa",
    '"600 GPa"',
    ("GPa", "N/mm^2", "psi"),
    "force_pound/inch**2",
    "psi",
    domain=POSITIVE,
    plausible=Interval(0.1, 1500.0),
)
MASS = Kind("mass", "m", "kilogram", "kg", '"1.2 kg"', ("kg", "g", "lb"), "pound", "lb")
UNBALANCE = Kind("unbalance", "U", "gram*millimeter", "g mm", '"2 g*mm"', ("g*mm", "oz*in"), "ounce*inch", "oz in")
BALANCE_GRADE = Kind(
    "balance grade",
    "G",
    "",
    "",
    '"G2.5"',
    domain=POSITIVE,
    words=tuple((f"G{grade:g}", grade) for grade in (0.4, 1.0, 2.5, 6.3, 16.0, 40.0)),
)
TIME = Kind("time", "t", "minute", "min", '"12 min"', ("min", "s", "h"))
BLOCK_TIME = Kind("block time", "t_b", "millisecond", "ms", '"2 ms"', ("ms", "s"), plausible=Interval(0.0, 1000.0))
BLOCK_RATE = Kind("block rate", "f_b", "1/second", "1/s", '"500 1/s"', ("1/s", "1/min"))
ACCELERATION = Kind(
    "acceleration",
    "a",
    "millimeter/second**2",
    "mm/s^2",
    '"2000 mm/s^2"',
    ("mm/s^2", "m/s^2", "in/s^2"),
    "inch/second**2",
    "in/s^2",
    domain=POSITIVE,
    plausible=Interval(1.0, 200_000.0),
)
DENSITY = Kind(
    "density",
    "rho",
    "gram/centimeter**3",
    "g/cm^3",
    '"7.85 g/cm^3"',
    ("g/cm^3", "kg/m^3"),
    "pound/inch**3",
    "lb/in^3",
)
STIFFNESS = Kind(
    "stiffness", "k", "newton/micrometer", "N/um", '"12 N/um"', ("N/um", "lbf/in"), "force_pound/inch", "lbf/in"
)
TILTING_STIFFNESS = Kind(
    "tilting stiffness", "k_t", "newton*meter/radian", "N m/rad", '"50000 N*m/rad"', ("N*m/rad", "kN*m/rad")
)
AREA = Kind("area", "A", "millimeter**2", "mm^2", '"12 mm^2"', ("mm^2", "cm^2", "in^2"), "inch**2", "in^2")
SECOND_MOMENT = Kind("second moment of area", "I", "millimeter**4", "mm^4", '"490 mm^4"', ("mm^4", "in^4"))
FREQUENCY = Kind("frequency", "f", "hertz", "Hz", '"900 Hz"', ("Hz", "kHz"))
COUNT = Kind("count", "z", "", "", "4", whole=True, plausible=Interval(0.0, 1e15))
RATIO = Kind("ratio", "", "", "", "0.5", domain=FINITE)
BRINELL = Kind("Brinell hardness", "HB", "", "", "220", plausible=Interval(0.0, 900.0))
COST = Kind("cost", "K", "", "", "2.5")  # of any one currency, the same all through a calculation
COST_RATE = Kind("cost rate", "C_m", "1/minute", "1/min", '"1.5 1/min"', ("1/min", "1/h"))
CUT = Kind("cut", "", "", "", '"climb"', choices=("climb", "conventional"))
SIDE = Kind("side", "", "", "", '"left"', choices=("left", "right"))
FLAG = Kind("yes or no", "", "", "", "True", choices=("True", "False"))
GRADE = Kind(
    "roughness grade",
    "N",
    "",
    "",
    '"N7"',
    whole=True,
    domain=Interval(1.0, 12.0),
    words=tuple((f"N{i}", i) for i in range(1, 13)),
)
_IT = tuple((f"IT{i}", i) for i in range(6, 9))
TOLERANCE_GRADE = Kind("tolerance grade", "IT", "", "", '"IT7"', whole=True, domain=Interval(6.0, 8.0), words=_IT)

KINDS: dict[str, Kind] = {k.name: k for k in list(globals().values()) if isinstance(k, Kind)}
"""Every kind by its name."""

# What a signature is annotated with.  The value may be anything that means such a quantity.
Length = Annotated[Any, LENGTH]
Radius = Annotated[Any, RADIUS]
FeedPerTooth = Annotated[Any, FEED_PER_TOOTH]
ChipThickness = Annotated[Any, CHIP_THICKNESS]
FeedPerRevolution = Annotated[Any, FEED_PER_REVOLUTION]
ScallopHeight = Annotated[Any, SCALLOP_HEIGHT]
Roughness = Annotated[Any, ROUGHNESS]
Deflection = Annotated[Any, DEFLECTION]
ChordError = Annotated[Any, CHORD_ERROR]
Angle = Annotated[Any, ANGLE]
CuttingSpeed = Annotated[Any, CUTTING_SPEED]
SpindleSpeed = Annotated[Any, SPINDLE_SPEED]
RotaryRate = Annotated[Any, ROTARY_RATE]
FeedRate = Annotated[Any, FEED_RATE]
RemovalRate = Annotated[Any, REMOVAL_RATE]
Force = Annotated[Any, FORCE]
Torque = Annotated[Any, TORQUE]
Power = Annotated[Any, POWER]
Stress = Annotated[Any, STRESS]
EdgeForce = Annotated[Any, EDGE_FORCE]
SpecificEnergy = Annotated[Any, SPECIFIC_ENERGY]
Modulus = Annotated[Any, MODULUS]
Mass = Annotated[Any, MASS]
Unbalance = Annotated[Any, UNBALANCE]
BalanceGrade = Annotated[Any, BALANCE_GRADE]
Cut = Annotated[Any, CUT]
Time = Annotated[Any, TIME]
BlockTime = Annotated[Any, BLOCK_TIME]
BlockRate = Annotated[Any, BLOCK_RATE]
Acceleration = Annotated[Any, ACCELERATION]
Density = Annotated[Any, DENSITY]
Stiffness = Annotated[Any, STIFFNESS]
TiltingStiffness = Annotated[Any, TILTING_STIFFNESS]
Area = Annotated[Any, AREA]
SecondMoment = Annotated[Any, SECOND_MOMENT]
Frequency = Annotated[Any, FREQUENCY]
Count = Annotated[Any, COUNT]
Ratio = Annotated[Any, RATIO]
Brinell = Annotated[Any, BRINELL]
Cost = Annotated[Any, COST]
CostRate = Annotated[Any, COST_RATE]
Side = Annotated[Any, SIDE]
Flag = Annotated[Any, FLAG]
Grade = Annotated[Any, GRADE]
ToleranceGrade = Annotated[Any, TOLERANCE_GRADE]


def kind_of(annotation: Any) -> Kind | None:
    """Return the kind that an annotation carries, or None."""
    for extra in getattr(annotation, "__metadata__", ()):
        if isinstance(extra, Kind):
            return extra
    return None
