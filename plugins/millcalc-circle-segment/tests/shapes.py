"""What the test modules share: cutters drawn at random, and what every profile of them must satisfy."""

import math
import random
from collections.abc import Callable, Iterator

from millcalc_circle_segment import BarrelEndMill, LensEndMill, OvalEndMill, TaperBarrelEndMill

from millcalc.cutters import Arc, Cutter, Line

Point = tuple[float, float]
SETS = 300
"""How many cutters of each family are drawn."""


def mm(value: float) -> str:
    """A length as text that reads back as the very same float."""
    return f"{value!r} mm"


def barrel(diameter: float, corner: float, segment: float, top: float) -> BarrelEndMill:
    return BarrelEndMill(
        diameter=mm(diameter), corner_radius=mm(corner), segment_radius=mm(segment), flute_length=mm(top), teeth=4
    )


def oval(diameter: float, tip: float, segment: float) -> OvalEndMill:
    return OvalEndMill(diameter=mm(diameter), tip_radius=mm(tip), segment_radius=mm(segment), teeth=2)


def taper_barrel(diameter: float, tip: float, half_angle: float, segment: float) -> TaperBarrelEndMill:
    return TaperBarrelEndMill(
        diameter=mm(diameter),
        tip_radius=mm(tip),
        half_angle=f"{half_angle!r} deg",
        segment_radius=mm(segment),
        teeth=3,
    )


def lens(diameter: float, segment: float, corner: float | None = None) -> LensEndMill:
    given = {} if corner is None else {"corner_radius": mm(corner)}
    return LensEndMill(diameter=mm(diameter), segment_radius=mm(segment), teeth=4, **given)


def logarithmic(draw: random.Random, low: float, high: float) -> float:
    return math.exp(draw.uniform(math.log(low), math.log(high)))


def longest_barrel(diameter: float, corner: float, segment: float) -> float:
    """Flute length that leaves no flat, found by halving: the corner's centre comes to lie on the axis.

    A second way to the closed form of the family: with q the angle of the normal at the joint from straight down,
    the corner's centre lies at radius R - S + (S - r) sin(q), which falls from q = 90 deg down.
    """
    low, high = 0.0, math.pi / 2
    for _ in range(200):
        middle = 0.5 * (low + high)
        if 0.5 * diameter - segment + (segment - corner) * math.sin(middle) < 0.0:
            low = middle
        else:
            high = middle
    return corner + (2.0 * segment - corner) * math.cos(high)


def barrels() -> Iterator[tuple[BarrelEndMill, float, float, float, float]]:
    draw = random.Random(12)
    for _ in range(SETS):
        diameter = draw.uniform(2.0, 25.0)
        corner = 0.5 * diameter * draw.uniform(0.02, 0.95)
        segment = 0.5 * diameter * logarithmic(draw, 1.01, 60.0)
        top = corner + (longest_barrel(diameter, corner, segment) - corner) * draw.uniform(0.02, 0.999)
        yield barrel(diameter, corner, segment, top), diameter, corner, segment, top


def ovals() -> Iterator[tuple[OvalEndMill, float, float, float]]:
    draw = random.Random(34)
    for _ in range(SETS):
        diameter = draw.uniform(2.0, 25.0)
        tip = 0.5 * diameter * draw.uniform(0.02, 0.98)
        segment = 0.5 * diameter * logarithmic(draw, 1.01, 60.0)
        yield oval(diameter, tip, segment), diameter, tip, segment


def taper_barrels() -> Iterator[tuple[TaperBarrelEndMill, float, float, float, float]]:
    """Draw the normals at both ends of the segment and let the largest diameter follow from them."""
    draw = random.Random(56)
    for _ in range(SETS):
        tip = draw.uniform(0.3, 6.0)
        segment = tip * logarithmic(draw, 1.05, 200.0)
        lower = draw.uniform(0.02, 0.49 * math.pi)
        upper = draw.uniform(lower + 0.01, 0.5 * math.pi)
        half = segment * math.sin(upper) - (segment - tip) * math.sin(lower)
        half_angle = 90.0 - math.degrees(0.5 * (lower + upper))
        yield taper_barrel(2.0 * half, tip, half_angle, segment), 2.0 * half, tip, half_angle, segment


def lenses() -> Iterator[tuple[LensEndMill, float, float, float]]:
    draw = random.Random(78)
    for place in range(SETS):
        diameter = draw.uniform(2.0, 25.0)
        segment = 0.5 * diameter * logarithmic(draw, 1.01, 60.0)
        corner = 0.5 * diameter * draw.uniform(0.02, 0.98) if place % 5 else 0.0
        yield lens(diameter, segment, corner), diameter, segment, corner


DRAWN: dict[str, Callable[[], Iterator[tuple[Cutter, ...]]]] = {
    "barrel": barrels,
    "oval": ovals,
    "taper-barrel": taper_barrels,
    "lens": lenses,
}


def points_of(piece: Line | Arc, count: int = 40) -> list[Point]:
    """Points (height, radius) along a piece, both ends included, without asking the piece for its normals."""
    if isinstance(piece, Line):
        (h0, r0), (h1, r1) = piece.start, piece.end
        return [(h0 + (h1 - h0) * i / count, r0 + (r1 - r0) * i / count) for i in range(count + 1)]
    (h, r), (centre_h, centre_r) = piece.start, piece.centre
    arm, bend = complex(h - centre_h, r - centre_r), math.dist(piece.start, piece.centre)
    chord = math.dist(piece.start, piece.end)
    swept = 2.0 * math.asin(min(0.5 * chord / bend, 1.0))  # no segment of these cutters sweeps more than 180 deg
    turned = [arm * complex(math.cos(swept * i / count), -math.sin(swept * i / count)) for i in range(count + 1)]
    return [(centre_h + t.real, centre_r + t.imag) for t in turned]


def joint_errors(lower: Line | Arc, upper: Line | Arc) -> tuple[float, float]:
    """Gap [mm] and distance [mm] from tangency, where two pieces meet.

    Two arcs are tangent from within when their centres lie as far apart as their radii differ; an arc is tangent to
    the flat bottom when its centre stands straight above the joint.
    """
    gap = math.dist(lower.end, upper.start)
    if isinstance(lower, Line):
        assert isinstance(upper, Arc)
        return gap, abs(upper.centre[1] - lower.end[1]) + abs(upper.centre[0] - math.dist(upper.centre, upper.start))
    assert isinstance(upper, Arc)
    apart = math.dist(lower.centre, upper.centre)
    return gap, abs(apart - abs(upper.radius - lower.radius))


def refusal(make: Callable[..., Cutter], *values: float | None) -> tuple[str, str, str, str]:
    """Where, given, reason and accepted of the one fault with which a cutter is refused."""
    from millcalc.errors import JobError

    try:
        made = make(*values)
    except JobError as error:
        (fault,) = error.faults
        return fault.where, fault.given, fault.reason, fault.accepted
    raise AssertionError(f"{made!r} was made")


def limit_in(text: str, word: str) -> float:
    """The number [mm] that follows a word in what a fault says is accepted."""
    return float(text.split(word)[1].split()[0])
