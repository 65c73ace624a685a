"""Roughing jobs for the tests, and a second computation of the whole plan of one: plain Python with `math` only.

`second` is written from the rules and calls nothing of the library: sizes, rings, loops, chips and forces are worked
out again here (derived); shares, angles and the defaults of a machine are the assumed values of the trade, stated where
they are used (common practice).
"""

from math import acos, asin, atan2, ceil, cos, degrees, floor, hypot, pi, radians, sin, sqrt, tan

import millcalc as m
from millcalc.materials import FeedChart, Kienzle, Material, SpeedWindow, Value
from millcalc.materials.record import Caution

# --- jobs -----------------------------------------------------------------------------------------------------

_KNOWN = {"source": "OWN_RECORD", "how_known": "common practice", "scope": "grade"}
_FOR = {"substrate": "coated carbide", "operation": "end milling"}
_WORD = {"source": "OWN_RECORD", "how_known": "common practice"}
OWN = Material(  # invented for the tests
    key="own",
    designation="Own steel",
    name="Steel invented for the tests",
    iso513="P",
    least_chip_ratio=Value(low=0.4, high=0.4, unit="1", **_KNOWN),
    tip_caution=Caution(severity="caution", text="the tip rubs", **_WORD),
    kienzle=(Kienzle(kc11=1700.0, mc=0.25, chip_low=0.02, chip_high=0.5, **_KNOWN),),
    cutting_speeds=(SpeedWindow(low=100.0, high=200.0, unit="m/min", **_KNOWN, **_FOR),),
    feed_charts=(
        FeedChart(
            low=0.04, high=0.08, unit="mm", diameter_low=0.05, diameter_high=500.0, radial_share=0.3, **_KNOWN, **_FOR
        ),
    ),
)
POCKET = {"width": "40 mm", "length": "70 mm", "depth": "12 mm"}
CUT = {"stock_left": "0.5 mm"}
CUTTER = {"diameter": "12 mm", "teeth": 4, "flute_length": "26 mm", "overhang": "40 mm", "substrate": "coated carbide"}
MACHINE = {"largest_spindle_speed": "12000 rpm", "largest_feed_rate": "8 m/min"}


def rough(family=m.FlatEndMill, material=OWN, **tables):
    """Return the job above with fields of its tables changed; None drops one."""
    made = {"pocket": POCKET, "cut": CUT, "cutter": CUTTER, "machine": MACHINE, "fixed": {}, "assumed": {}}
    made |= {"wear": {}, "costs": {}}
    kinds = {"pocket": m.Pocket, "cut": m.RoughingCut, "cutter": family, "machine": m.Machine}
    kinds |= {"fixed": m.RoughingFixed, "assumed": m.RoughingAssumptions, "wear": m.Wear, "costs": m.Costs}
    for table in made:
        merged = made[table] | tables.pop(table, {})
        made[table] = kinds[table](**{n: v for n, v in merged.items() if v is not None})
    return m.RoughingJob(material=material, **made, **tables)


def bare(family=m.FlatEndMill, **tables):
    """The same without an overhang, where no forces are wanted: quick to plan."""
    return rough(family, **tables | {"cutter": {"overhang": None} | tables.get("cutter", {})})


# --- the second computation -----------------------------------------------------------------------------------


def set_down(value, increment):
    return increment * floor(value / increment * (1 + 1e-9))


def shares_of(size, each):
    """How many equal shares a size needs."""
    return ceil(size / each - 1e-9)


def chip_over_feed(share):
    """Largest chip of a straight cut over the feed per tooth: the sine of the engagement, up to a right angle."""
    return 2 * sqrt(share * (1 - share)) if share < 0.5 else 1.0


def mean_over_feed(D, r_e, depth, width, bands=4000):
    """Mean of the feed's component along the normal over the engaged surface, band by band up the flank (derived).

    In a band at the angle psi of its normal the rim has the radius r and is engaged over arccos(1 - a_e/r).
    """
    weighted = area = 0.0

    def band(psi, slant):
        nonlocal weighted, area
        r = D / 2 - r_e + r_e * sin(psi)
        turn = pi if width >= 2 * r else acos(1 - width / r)
        weighted += slant * r * sin(psi) * (1 - cos(turn))
        area += slant * r * turn

    band(pi / 2, max(depth - r_e, 0.0))
    last = acos(max(1 - depth / r_e, 0.0)) if r_e else 0.0
    for place in range(bands if r_e else 0):
        band(last * (place + 0.5) / bands, r_e * last / bands)
    return weighted / area


def loop_arc(D, slot, step, at):
    """Angle over which the rim is engaged where the axis stands at an angle on its loop.

    The loop before has cleared a circle as wide as the slot, a step behind. The rim lies outside of it over an arc
    about the direction away from its centre, and cuts from its outermost point, or the arc's beginning, on (derived).
    """
    r, R, W = (slot - D) / 2, D / 2, slot / 2
    x, y = r * cos(at) + step, r * sin(at)
    away = hypot(x, y)
    cosine = (W * W - away * away - R * R) / (2 * away * R)
    if cosine >= 1:
        return 0.0
    half, toward = acos(max(cosine, -1.0)), atan2(y, x)
    return max(toward + half - max(at, toward - half), 0.0)


def most_engaged(D, slot, step):
    """Largest engagement on a loop: a coarse walk, then thirds."""
    places = [pi * (k / 200 - 1) for k in range(401)]
    best = max(range(401), key=lambda k: loop_arc(D, slot, step, places[k]))
    low, high = places[max(best - 1, 0)], places[min(best + 1, 400)]
    for _ in range(90):
        one, other = low + (high - low) / 3, high - (high - low) / 3
        low, high = (one, high) if loop_arc(D, slot, step, one) < loop_arc(D, slot, step, other) else (low, other)
    return loop_arc(D, slot, step, (low + high) / 2)


def loop_step(D, slot, angle):
    """Step whose loops are engaged over an angle, by halving."""
    low, high = 0.0, min(slot - D, D)
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if most_engaged(D, slot, middle) < angle else (low, middle)
    return low


def from_rest_to_rest(way, rate, acceleration):
    speed = rate / 60
    seconds = way / speed + speed / acceleration if way * acceleration >= speed**2 else 2 * sqrt(way / acceleration)
    return seconds / 60


def lost(way, rate, acceleration):
    return from_rest_to_rest(way, rate, acceleration) - way / rate


def second(case):
    """Return every number of a plan by name, from a flat table of what is given; what is not there has none."""
    c = {"r_e": 0.0, "closed": True, "style": "full width", "entry": "helix", "walls": 2, "v_max": 8000.0} | case
    c = {"accel": 2000.0, "rapid": 20000.0, "n_max": 12000.0, "flutes": 26.0} | c
    v = {}
    _levels(c, v)
    _widths(c, v)
    _speeds(c, v)
    if c["closed"]:
        _entry(c, v)
    _corners(c, v)
    _left(c, v)
    _time(c, v)
    return v


def _levels(c, v):
    open_end = c["walls"] == 1
    v["rough_width"] = c["width"] - c["walls"] * c["stock"]
    v["rough_length"] = c["length"] - (0 if open_end else 2 * c["stock"])
    v["rough_depth"] = c["depth"] - c["stock"]
    share = 1.5 if c["style"] == "light radial" else 0.5
    v["levels"] = shares_of(v["rough_depth"], min(share * c["D"], v["rough_depth"], c["flutes"]))
    v["axial_depth"] = v["rough_depth"] / v["levels"]


def _widths(c, v):
    D, width = c["D"], v["rough_width"]
    setting = (0.5 if c["style"] == "full width" else 0.1) * D
    if c["closed"] and c["style"] == "full width":
        setting = min(setting, (2 + sqrt(2)) / 4 * D)
    setting = set_down(setting, 0.001 if setting < 0.1 else 0.01)
    v["radial_width"] = setting
    if c["style"] == "corners":
        away = (c["D1"] - D) / 2  # how far apart the centres of both cutters lie from the walls
        v["corner_depth"] = away / sin(c["gamma"] / 2) - away
        # square to the walls the stock ends where the larger cutter's arc does not reach: on the bisector
        v["passes"] = shares_of(away * (1 - sin(c["gamma"] / 2)), setting)
    elif c["style"] == "full width" and c["closed"]:
        room = (min(width, v["rough_length"]) - D) / 2
        v["passes"] = shares_of(room, setting)
        v["radial_width"] = room / v["passes"]
    elif c["closed"]:
        v["slot_width"] = min(1.6 * D, width, v["rough_length"])
        v["passes"] = shares_of(width - v["slot_width"], setting)
    else:
        v["passes"] = shares_of(width, setting)
        v["radial_width"] = width / v["passes"]
    v["engagement_angle"] = degrees(acos(1 - 2 * v["radial_width"] / D))
    c["loaded"] = v["radial_width"]
    if c["style"] == "corners":
        turned = min(pi - c["gamma"] + radians(v["engagement_angle"]), pi)
        c["loaded"] = D * (1 - cos(turned)) / 2


def _rate(c, v, feed):
    """Feed rate as set and the feed per tooth it makes."""
    rate = set_down(min(feed * c["z"] * v["spindle_speed"], c["v_max"]), 1)
    return rate, rate / c["z"] / v["spindle_speed"]


def _speeds(c, v):
    D, depth = c["D"], v["axial_depth"]
    n = min(1000 * 150 / (pi * D), c["n_max"])  # the middle of the window of 100 to 200 m/min
    n = v["spindle_speed"] = set_down(n, 10 if n <= 10000 else 100)
    v["cutting_speed"] = pi * D * n / 1000
    chip = v["wanted_chip"] = 0.06 * chip_over_feed(0.3)  # the middle of 0.04 to 0.08 mm, for 0.3 of the diameter
    v["least_chip"] = 0.4 * 0.008
    v["feed_rate"], f_z = _rate(c, v, min(chip / chip_over_feed(c["loaded"] / D), 2 * 0.06))
    v["feed_per_tooth"] = f_z
    v["chip_thickness"] = f_z * chip_over_feed(c["loaded"] / D)
    v["mean_chip_thickness"] = f_z * mean_over_feed(D, c["r_e"], depth, c["loaded"])
    v["removal_rate"] = depth * v["radial_width"] * v["feed_rate"] / 1000
    if c["closed"] and c["style"] == "full width":
        v["slot_feed_rate"], v["slot_feed_per_tooth"] = _rate(c, v, min(chip, f_z))
        v["slot_chip_thickness"] = v["slot_feed_per_tooth"]
    if "slot_width" in v:
        v["loop_step"] = loop_step(D, v["slot_width"], radians(v["engagement_angle"]))
        v["loop_radius"] = (v["slot_width"] - D) / 2
        v["loop_feed_rate"] = set_down(min(v["feed_rate"], 60 * sqrt(c["accel"] * v["loop_radius"])), 1)
        v["loops"] = shares_of(v["rough_length"] - v["slot_width"], v["loop_step"])


def _entry(c, v):
    D, depth = c["D"], v["axial_depth"]
    if c["entry"] == "helix":
        v["entry_hole_diameter"] = min(1.6 * D, v["rough_width"], v["rough_length"])
        r = v["entry_path_radius"] = (v["entry_hole_diameter"] - D) / 2
        pitch = v["entry_pitch"] = v["entry_depth"] = min(2 * pi * r * tan(radians(3)), depth)
        angle = atan2(pitch, 2 * pi * r)
        turns = depth / pitch
        v["entry_path_length"] = turns * hypot(pitch, 2 * pi * r) + 2 * pi * r  # and once round on the level
    else:
        travel = max(v["rough_width"], v["rough_length"]) - D
        ramps = v["ramp_passes"] = shares_of(depth / travel, tan(radians(3)))
        drop = depth / ramps
        angle = atan2(drop, travel)
        v["entry_path_length"] = ramps * hypot(drop, travel)
        # floors along the travel after each ramp: the deepest step down to the next one
        v["entry_depth"] = min(2 * drop, depth)
    v["entry_angle"] = degrees(angle)
    v["entry_engagement"] = 180.0  # the front half of the rim stands in solid stock
    wanted = min(0.5 * v["wanted_chip"] / _rise(c, depth), v["feed_per_tooth"])
    v["entry_feed_rate"], feed = _rate(c, v, wanted)
    v["entry_feed_per_tooth"], v["entry_axial_feed"] = feed, feed * sin(angle)
    v["entry_chip_thickness"] = feed * _rise(c, v["entry_depth"])


def _rise(c, depth):
    """Sine of the angle of the edge at a height: below a corner radius the chip is thinner than the feed."""
    return 1.0 if depth >= c["r_e"] else sqrt(1 - (1 - depth / c["r_e"]) ** 2)


def _corners(c, v):
    if "gamma" not in c:
        return
    straight, half = radians(v["engagement_angle"]), c["gamma"] / 2
    corner = min(pi - c["gamma"] + straight, pi)
    v["corner_engagement"] = degrees(corner)
    if c["style"] != "corners":
        factor = ((1 - cos(straight)) / straight) / ((1 - cos(corner)) / corner)  # mean chips over the engagement
        v["corner_feed_rate"] = set_down(min(factor, 1.0) * v["feed_rate"], 1)
    if "fillet" in c:
        v["corner_stock"] = max(c["D"] / 2 - c["fillet"], 0) * (1 / sin(half) - 1)


def _left(c, v):
    v["tolerance"], v["deflection_allowed"] = 1000 * 0.1 * c["stock"], 1000 * 0.5 * c["stock"]
    step = v["axial_depth"]
    if "slope_step" in c:
        passes = shares_of(step, c["slope_step"])
        step = v["slope_step"] = step / passes
        v["slope_passes"] = passes - 1
        half_round = v["rough_width"] + v["rough_length"] - 2 * c["D"]
        v["slope_time"] = (passes - 1) * v["levels"] * 2 * half_round / v["feed_rate"]
        c["more_path"] = (passes - 1) * v["levels"] * 2 * half_round
    if "slopes" in c:
        # the ridge stands where the upright flank meets the floor above; its height over the slope, the cutter's
        # corner touching the slope below (derived): largest on the flattest slope, while the floor above reaches it
        flattest, r = min(c["slopes"]), c["r_e"]
        assert step > r
        assert step / tan(max(c["slopes"])) > r
        v["stair_thickness"] = (step - r) * cos(flattest) + r * (1 - sin(flattest))
        v["greatest_depth"] = c["stock"] + v["stair_thickness"]
        v["depth_ratio"] = v["greatest_depth"] / c["stock"]


def _time(c, v):
    ways = {"corners": _corner_time, "full width": _ring_time if c["closed"] else _open_time}
    ways["light radial"] = _loop_time if c["closed"] else _open_time
    v["entry_exit_time"] = 0.0
    lift = 2 * from_rest_to_rest(5.0, c["rapid"], c["accel"])  # retracts of 5 mm
    places = v["levels"] * (c["corners"] if c["style"] == "corners" else 1)
    v["rapid_time"] = places * lift
    ways[c["style"]](c, v)
    if "slope_time" in v:
        v["cutting_time"] += v["slope_time"]
        v["path_length"] += c["more_path"]
    if c["closed"]:
        v["entry_exit_time"] = v["levels"] * v["entry_path_length"] / v["entry_feed_rate"]
    names = ("cutting", "entry_exit", "acceleration", "link", "rapid")
    v["operation_time"] = sum(v[f"{name}_time"] for name in names)
    if c["style"] != "corners":
        box = v["rough_width"] * v["rough_length"] * v["rough_depth"]
        v["mean_removal_rate"] = box / v["operation_time"] / 1000


def _ring_time(c, v):
    """A cut along the centre line, then rectangles round it, each a ring farther out."""
    line = abs(v["rough_length"] - v["rough_width"])
    rounds = [2 * (line + 4 * k * v["radial_width"]) for k in range(1, v["passes"] + 1)]
    levels, moves = v["levels"], 4 * v["passes"] + 1
    v["cutting_time"] = levels * (line / v["slot_feed_rate"] + sum(rounds) / v["feed_rate"])
    v["path_length"] = levels * (line + sum(rounds))
    v["acceleration_time"] = levels * moves * lost((line + sum(rounds)) / moves, v["feed_rate"], c["accel"])
    link = from_rest_to_rest(v["radial_width"], v["feed_rate"], c["accel"])
    v["link_time"] = levels * v["passes"] * link


def _straight_passes(c, v, length, places):
    """Time lost in passes that end at rest, and the ways back at the largest feed rate."""
    count = v["passes"] * places
    v["acceleration_time"] = count * lost(length, v["feed_rate"], c["accel"])
    v["link_time"] = count * from_rest_to_rest(length, c["v_max"], c["accel"])


def _loop_time(c, v):
    D, slot, step, r = c["D"], v["slot_width"], v["loop_step"], v["loop_radius"]
    # the cut begins where the cutter leaves the circle cleared before and ends where its outermost point does
    cut = r * (pi + asin(step / (2 * r)) + asin(step / slot))
    once = cut / v["loop_feed_rate"] + (2 * pi * r - cut + step) / c["v_max"]
    length = v["rough_length"] - D
    v["slot_time"] = v["loops"] * once
    v["cutting_time"] = v["levels"] * (v["slot_time"] + v["passes"] * length / v["feed_rate"])
    v["path_length"] = v["levels"] * (v["loops"] * (2 * pi * r + step) + v["passes"] * length)
    _straight_passes(c, v, length, v["levels"])


def _open_time(c, v):
    length = v["rough_length"] + c["D"]  # half a diameter before and behind
    v["cutting_time"] = v["levels"] * v["passes"] * length / v["feed_rate"]
    v["path_length"] = v["levels"] * v["passes"] * length
    _straight_passes(c, v, length, v["levels"])


def _corner_time(c, v):
    """Passes along both walls, each nearer: from where the rim leaves the larger cutter's arc to the corner."""
    away, half, total = (c["D1"] - c["D"]) / 2, c["gamma"] / 2, 0.0
    for k in range(v["passes"]):
        w = away * (1 - sin(half)) * k / v["passes"]
        # seen from the larger cutter's last centre: the small one's lies `away` from it when it touches the arc
        aside = away - w
        total += 2 * (aside / tan(half) - sqrt(away**2 - aside**2))
    places = v["levels"] * c["corners"]
    v["cutting_time"] = places * total / v["feed_rate"]
    v["path_length"] = places * total
    _straight_passes(c, v, total / v["passes"], places)


def turning(D, r_e, z, depth, width, feed, angles=4000, bands=60):
    """Mean torque [N m] by the law of Kienzle, kc = 1700 h^-0.25: the sum over engagement and flank of kc h b r."""
    total = 0.0
    last = acos(max(1 - depth / r_e, 0.0)) if r_e else 0.0
    rows = [(last * (k + 0.5) / bands, r_e * last / bands) for k in range(bands if r_e else 0)]
    for psi, slant in [*rows, (pi / 2, max(depth - r_e, 0.0))]:
        r = D / 2 - r_e + r_e * sin(psi)
        turn = pi if width >= 2 * r else acos(1 - width / r)
        for k in range(angles):
            h = feed * sin(turn * (k + 0.5) / angles) * sin(psi)
            total += 1700 * h**0.75 * slant * r * turn / angles
    return z / (2 * pi) * total / 1000
