"""A second computation of a whole plan: plain Python with `math` only, written from the rules.

It calls nothing of the library: the geometry of ball and surface is worked out again here (derived); shares, multiples
and the defaults of a machine are the assumed values of the trade, stated where they are used (common practice).
"""

import math
from itertools import product
from math import acos, asin, atan2, ceil, cos, degrees, floor, hypot, inf, pi, sin, sqrt


def set_down(value, increment):
    return increment * floor(value / increment * (1 + 1e-9))


def stood_height(R, stepover, rho):
    """Height of the ridge between two passes: where two circles of radius R meet, above the surface (derived)."""
    if math.isinf(rho):
        return R - sqrt(R * R - stepover * stepover / 4)
    half = stepover / (2 * abs(rho))  # half the angle between the two centres, seen from the surface's centre
    centres = abs(rho + R)
    along, aside = centres * cos(half), centres * sin(half)
    if rho > 0:
        return along - sqrt(R * R - aside * aside) - rho
    return -rho - (along + sqrt(R * R - aside * aside))


def stood_apart(R, height, rho):
    """Stepover whose ridge has a height, by halving."""
    low, high = 0.0, 2 * R * (1 if math.isinf(rho) else abs(rho) / abs(rho + R)) * 0.999
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if stood_height(R, middle, rho) < height else (low, middle)
    return low


def arc_ra(R, height):
    """Ra of a row of circular arcs: the mean line from the arc's area, then the area above it (derived)."""
    a = sqrt(height * (2 * R - height))

    def under(x):  # integral of the circle
        return (x * sqrt(R * R - x * x) + R * R * asin(x / R)) / 2

    mean = R - under(a) / a
    cross = sqrt(mean * (2 * R - mean))
    return 2 / a * ((R - mean) * (a - cross) - (under(a) - under(cross)))


def height_of_ra(R, ra):
    low, high = 0.0, R
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if arc_ra(R, middle) < ra else (low, middle)
    return low


def spread_diameters(D, depth, lead, tilt, stepover, uncut):
    """Least and largest diameter about the axis over the part of the ball that cuts, from 180 000 points."""
    f, c, n = sin(lead), cos(lead) * sin(tilt), cos(lead) * cos(tilt)
    span = acos(1 - 2 * depth / D)
    before = None if stepover is None else (-1 if uncut == "left" else 1) * 2 * stepover / D
    low, high = inf, -inf
    rings, turns = 300, 600
    for i, j in product(range(rings + 1), range(turns + 1)):
        away, round_about = span * i / rings, pi * (j / turns - 0.5)
        x, y, z = sin(away) * cos(round_about), sin(away) * sin(round_about), -cos(away)
        if before is not None and (y - before) ** 2 + z * z < 1 - 1e-12:
            continue
        w = min(f * x + c * y + n * z, 0.0)
        low, high = min(low, w), max(high, w)
    return D * sqrt(max(1 - low * low, 0)), D * sqrt(max(1 - high * high, 0))


def beside_a_pass(D, depth, stepover):
    """Chip per feed: the sine of the angle up to which the engaged cap reaches ahead (derived)."""
    reach = sqrt(depth * (D - depth))
    side = max(reach - stepover, 0.0)
    return sqrt(reach * reach - side * side) / (D / 2)


def mean_beside_a_pass(D, depth, stepover, turns=20_000):
    """Mean of the feed's component along the normal, by area, over all directions from the contact (derived)."""
    span, sigma, weighted, area = acos(1 - 2 * depth / D), 2 * stepover / D, 0.0, 0.0
    for j in range(turns):
        turn = pi * ((j + 0.5) / turns - 0.5)
        away = min(span, asin(min(1.0, sigma / (1 - sin(turn)))))  # there the pass before has cut
        weighted += cos(turn) * (away / 2 - sin(2 * away) / 4)
        area += 1 - cos(away)
    return weighted / area


def sunk(R, depth, rho):
    """Depth on a plane that engages as much of the ball's section: chord where two circles meet (derived)."""
    if math.isinf(rho):
        return depth
    # centres rho + R apart, stock circle of radius rho + depth: distance of the common chord from the ball centre;
    # on a concave surface both are negative, and so is the side on which the contact lies
    apart = rho + R
    foot = (apart * apart + R * R - (rho + depth) ** 2) / (2 * apart)
    return R - foot


def second(case):
    """Return every number of a plan by name, from a flat table of what is given."""
    c = dict(case)
    D, z, R = c["D"], c["z"], c["D"] / 2
    v = {}
    # what stands on the surface
    depth = c["stock"]
    v["previous_scallop_height"] = None
    if "D_before" in c:
        before = stood_height(c["D_before"] / 2, c["s_before"], c["rho_c"])
        v["previous_scallop_height"], depth = 1000 * before, depth + before
    v["greatest_depth"] = depth
    engaged = max(sunk(R, depth, c["rho_c"]), sunk(R, depth, c["rho_f"]))
    # finish, half and a quarter of it
    allowed, mark = height_of_ra(R, c["ra"] / 2 / 1000), height_of_ra(R, c["ra"] / 4 / 1000)
    v["scallop_allowed"] = 1000 * allowed
    wanted = stood_apart(R, allowed, c["rho_c"])
    slopes = c.get("slopes", (0.0,))
    measure = sin(slopes[0]) if c["step_down"] else 1.0
    setting = wanted * measure
    setting = set_down(setting, 0.001 if setting < 0.1 else 0.01)
    v["stepover_setting"] = setting
    across = c["width"]
    if c["step_down"]:
        across *= (cos(slopes[0]) - cos(slopes[1])) / (slopes[1] - slopes[0])
    passes = ceil(across / setting - 1e-9) + 1
    v["passes"], v["equalised_stepover"] = passes, across / (passes - 1)
    s = v["stepover"] = v["equalised_stepover"] / measure
    h = stood_height(R, s, c["rho_c"])
    v["scallop_height"] = v["rz"] = 1000 * h
    v["ra"] = 1000 * arc_ra(R, h)
    # how the axis stands: at both ends, both ways, from vectors
    stands = []
    for slope, back in product(slopes, (False, True) if c["both_ways"] else (False,)):
        side = ("left" if c["uncut"] == "right" else "right") if back else c["uncut"]
        if c["vertical"]:
            # downhill x, along y, up z; the uncut stock lies downhill: the feed has it on its side
            normal, downhill = (sin(slope), 0.0, cos(slope)), (cos(slope), 0.0, -sin(slope))
            left = downhill if side == "left" else tuple(-d for d in downhill)
            feed = tuple(left[i - 2] * normal[i - 1] - left[i - 1] * normal[i - 2] for i in range(3))
            t_f, t_c, t_n = feed[2], left[2], normal[2]
            lead, tilt = asin(t_f), atan2(t_c, t_n)
        else:
            lead, tilt = c["lead"], 0.0
        stands.append((lead, tilt, side))
    lean = [acos(cos(lead) * cos(tilt)) for lead, tilt, _ in stands]
    v["inclination"] = degrees(max(lean))
    v["clearing_inclination"] = degrees(acos(1 - engaged / R))
    first = [spread_diameters(D, engaged, lead, tilt, None, side) for lead, tilt, side in stands]
    beside = [spread_diameters(D, engaged, lead, tilt, s, side) for lead, tilt, side in stands]
    v["least_diameter"] = min(low for low, _ in beside)
    v["contact_diameter"] = min(D * sin(b) for b in lean)
    v["largest_diameter"] = max(high for _, high in first + beside)
    # speed
    n = min(1000 * 150.0 / (pi * v["largest_diameter"]), c["n_max"])
    n = v["spindle_speed"] = set_down(n, 10 if n <= 10000 else 100)
    for place in ("least", "contact", "largest"):
        v[f"{place}_cutting_speed"] = pi * v[f"{place}_diameter"] * n / 1000
    # chip and feed: chart 0.03 to 0.06 mm at a tenth of the diameter, its sine 2 sqrt(0.1 0.9) = 0.6
    v["wanted_chip"], largest_chip = 0.045 * 0.6, 0.06 * 0.6
    v["least_chip"] = 0.4 * c.get("edge", 0.008)
    others = min(v["wanted_chip"] / beside_a_pass(D, engaged, s), 2 * 0.045, s)
    apart = stood_apart(R, mark, c["rho_f"])
    alone = sqrt(2 * D * 0.005 * sin(max(lean)))

    def marked(left):
        return apart if min(apart, left) >= alone else apart / z

    f_z = min(others, marked(others))
    # radii of the paths
    if math.isinf(c["rho_f"]):
        ratio, path = 1.0, inf
    else:
        lead = stands[0][0]
        path = abs(c["rho_f"] + R)  # the tip of an upright cutter runs as its ball centre
        if not c["vertical"]:
            path = hypot(c["rho_f"] + R - R * cos(lead), R * sin(lead))
        ratio = path / abs(c["rho_f"])
    length = c["length"] * ratio
    # points
    chord = v["chord_allowed"] = min(0.1 * 1000 * c["form"], 1000 * h / 3)
    feed = min(f_z * z * n * ratio, c["feed_max"], inf if math.isinf(path) else 60 * sqrt(c["acceleration"] * path))

    left = feed / ratio / z / n  # so small a feed that one tooth marks alone?
    if marked(min(others, left)) < left * (1 - 1e-9):
        feed = min(feed, marked(min(others, left)) * z * n * ratio)

    def step_of(error):
        return inf if math.isinf(path) else 2 * path * sin(acos(1 - error / 1000 / path))

    step = min(max(step_of(chord / 2), feed * c["block"] / 60000), step_of(chord), length)
    feed = v["feed_rate"] = set_down(min(feed, 60000 * step / c["block"]), 1)
    v["programmed_spacing"], v["point_spacing"] = step, step / ratio
    v["chord_error"] = 0.0 if math.isinf(path) else 1000 * (path - sqrt(path**2 - step**2 / 4))
    v["form_budget"] = (v["chord_error"] + v["scallop_height"]) / 1000
    v["contact_feed_rate"] = feed / ratio
    v["block_rate"] = feed / step / 60
    v["blocks_per_pass"] = ceil(length / step - 1e-9)
    v["points"] = passes * (v["blocks_per_pass"] + 1)
    v["program_size"] = 40 * v["points"]
    v["path_length"] = passes * c["length"]
    # chips and marks of what is set
    f_z = v["feed_per_tooth"] = feed / ratio / z / n
    v["feed_per_revolution"] = f_z * z
    v["chip_thickness"] = f_z * beside_a_pass(D, engaged, s)
    v["mean_chip_thickness"] = f_z * mean_beside_a_pass(D, engaged, s)
    v["feed_mark_height"] = 1000 * stood_height(R, f_z, c["rho_f"])
    v["revolution_mark_height"] = 1000 * stood_height(R, z * f_z, c["rho_f"])
    v["rz_along"] = v["feed_mark_height"] if f_z >= alone else v["revolution_mark_height"]
    v["removal_rate"] = c["stock"] * s * feed / ratio / 1000
    allowed_first = set_down(largest_chip / beside_a_pass(D, engaged, inf) * z * n * ratio, 1)
    v["first_pass_feed_rate"] = min(feed, allowed_first)
    v["first_pass_chip_thickness"] = v["first_pass_feed_rate"] / ratio / z / n * beside_a_pass(D, engaged, inf)
    # times
    entry = D / 2
    v["cutting_time"] = length / v["first_pass_feed_rate"] + (passes - 1) * length / feed
    v["entry_exit_time"] = 2 * passes * entry / feed

    def from_rest_to_rest(way, rate):
        speed, a = rate / 60, c["acceleration"]
        seconds = way / speed + speed / a if way * a >= speed**2 else 2 * sqrt(way / a)
        return seconds / 60

    whole = length + 2 * entry
    v["acceleration_time"] = passes * (from_rest_to_rest(whole, feed) - whole / feed)
    v["link_time"] = (passes - 1) * from_rest_to_rest(s, feed) if c["both_ways"] else 0.0
    back = from_rest_to_rest(whole, c["rapid"]) + 2 * from_rest_to_rest(5.0, c["rapid"])
    v["rapid_time"] = 0.0 if c["both_ways"] else (passes - 1) * back
    names = ("cutting", "entry_exit", "acceleration", "link", "rapid")
    v["operation_time"] = sum(v[f"{name}_time"] for name in names)
    return v
