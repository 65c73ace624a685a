"""Limits that govern roughing: which gives way first, where each stops, and that none is ever exceeded."""

import numpy as np
import pytest
from second_roughing import rough

import millcalc as m
from millcalc.errors import ImpossibleJobError, JobError
from millcalc.planning import plan
from millcalc.planning.roughing.inputs import roughing_inputs
from millcalc.planning.roughing.kernel import run
from millcalc.quantities.record import fields_of, number

OPEN = {"pocket": {"sides": "open"}}
NAMES = ("radial_width", "axial_depth", "spindle_speed", "feed_per_tooth")
SLOWEST = 2650.0  # rev/min: 100 m/min, the bottom of the window, at 12 mm, set down
KEPT = 1 + 1e-4  # how close to a limit the kernel calls it kept


def of(made, *names):
    return [number(made, name) for name in names]


def swept(limit, unit, free, shares, **tables):
    """Return what limits of ever smaller shares leave of the sizes of the free plan, and their plans."""
    word = {"largest_power": "cutting_power", "largest_torque": "mean_torque"}[limit]
    rows = []
    for share in shares:
        most = share * number(free, word)
        made = plan(rough(**tables, machine={limit: f"{most} {unit}"}))
        assert number(made, word) <= most * KEPT
        rows.append((made, [now / was for now, was in zip(of(made, *NAMES), of(free, *NAMES), strict=True)]))
    return rows


def test_power_takes_the_width_then_the_depth_then_the_speed_then_the_feed():
    """Half of the width, a quarter of the depth, the bottom of the window, the least chip (order of the trade).

    14 passes of 2.82 mm, eight levels of 1.44 mm are the next that share the pocket evenly; less width and depth take
    more feed for the same chip.
    """
    free = plan(rough(**OPEN))
    rows = swept("largest_power", "kW", free, (0.95, 0.7, 0.5, 0.2, 0.13, 0.08, 0.03), **OPEN)
    width, depth, speed, feed = zip(*(left for _, left in rows), strict=True)
    assert 1 > width[0] > width[1] > width[2] == width[-1] == pytest.approx(0.5)
    assert depth[:2] == (1.0, 1.0)
    assert 1 > depth[2] > depth[3] > depth[4] == depth[-1] == pytest.approx(0.25)
    assert speed[:4] == (1.0, 1.0, 1.0, 1.0)
    assert 1 > speed[4] > speed[5] == speed[6] == SLOWEST / 3970
    assert 1 < feed[0] < feed[1] < feed[2] == pytest.approx(feed[3], rel=2e-3)
    assert feed[4] == pytest.approx(feed[3], rel=2e-3)
    assert 1 > feed[5] > feed[6]
    causes = [tuple(made.governed_by(n) for n in NAMES) for made, _ in rows]
    assert causes[0] == ("power", "share of the diameter", "cutting speed of the material", "wanted chip")
    assert causes[-1] == ("power", "power", "power", "power")
    last = rows[-1][0]
    assert number(last, "mean_chip_thickness") > number(last, "least_chip")
    with pytest.raises(ImpossibleJobError, match=r"given 0\.03\d+ kW; the cut needs more power than the spindle has"):
        plan(rough(**OPEN, machine={"largest_power": "0.02 kW"}))


@pytest.mark.parametrize("limit", ["largest_power", "largest_torque"])
def test_what_is_fixed_is_not_taken(limit):
    unit = "kW" if limit == "largest_power" else "N*m"
    for fixed, kept in (
        ({"axial_depth": "5.75 mm"}, 1),
        ({"radial_width": "6 mm"}, 0),
        ({"spindle_speed": "3970 rpm"}, 2),
    ):
        tables = OPEN | {"fixed": fixed}
        free = plan(rough(**tables))
        for _, left in swept(limit, unit, free, (0.9, 0.3), **tables):
            assert left[kept] == 1.0, fixed
    fixed = OPEN | {"fixed": {"feed_per_tooth": "0.05 mm"}}
    assert number(swept(limit, unit, plan(rough(**fixed)), (0.3,), **fixed)[0][0], "feed_rate") == 794


def test_a_fixed_depth_leaves_power_to_width_speed_and_feed():
    tables = OPEN | {"fixed": {"axial_depth": "5.75 mm"}}
    rows = swept("largest_power", "kW", plan(rough(**tables)), (0.7, 0.5, 0.4, 0.2), **tables)
    width, depth, speed, feed = zip(*(left for _, left in rows), strict=True)
    assert width[0] > width[1] == width[3] == pytest.approx(0.5)
    assert set(depth) == {1.0}
    assert 1 == speed[0] > speed[1] > speed[2] == speed[3] == SLOWEST / 3970
    assert feed[1] > 1 > feed[3]


def test_torque_takes_the_width_then_the_depth_then_the_feed_and_never_the_speed():
    free = plan(rough(**OPEN))
    rows = swept("largest_torque", "N*m", free, (0.95, 0.7, 0.5, 0.2, 0.1, 0.05), **OPEN)
    width, depth, speed, feed = zip(*(left for _, left in rows), strict=True)
    assert 1 > width[0] > width[1] > width[2] == width[-1] == pytest.approx(0.5)
    assert depth[0] == depth[1] == 1 > depth[2] > depth[3] > depth[4] == depth[5] == pytest.approx(0.25)
    assert set(speed) == {1.0}
    assert feed[3] > 1 > feed[4] > feed[5]
    assert tuple(rows[-1][0].governed_by(n) for n in NAMES) == (
        *("torque", "torque", "cutting speed of the material", "torque"),
    )


@pytest.mark.parametrize(("floor", "torque"), [(0.3, "0.4 N*m"), (0.8, "1.2 N*m")])
def test_the_floors_are_those_assumed(floor, torque):
    """No farther than the share that is kept, but for what sharing evenly takes of it: less than a pass, a level."""
    tables = OPEN | {"assumed": {"least_width_share": floor, "least_depth_share": floor}}
    made = plan(rough(**tables, machine={"largest_torque": torque}))
    wanted, depth = 6.0, 6.0  # half of the diameter both
    assert made.governed_by("feed_per_tooth") == "torque"
    assert number(made, "passes") == np.ceil(39.5 / np.floor(100 * floor * wanted + 1e-6) * 100)
    assert number(made, "levels") == np.ceil(11.5 / (floor * depth) - 1e-9)


@pytest.mark.parametrize(
    ("limit", "value", "cause", "used"),
    [
        ("machine", {"largest_thrust": "400 N"}, "thrust", "mean_force"),
        ("cutter", {"overhang": "60 mm", "flute_length": "14 mm"}, "tip deflection", "tip_deflection"),
        ("cutter", {"overhang": "110 mm", "flute_length": "14 mm"}, "bending stress", "bending_stress"),
    ],
)
def test_thrust_deflection_and_bending_take_the_feed_alone(limit, value, cause, used):
    """The tip may move by half of the stock: 0.15 mm of it for the deflection, for the stress so much that it may."""
    stock = {"tip deflection": "0.15 mm", "bending stress": "5 mm", "thrust": "0.5 mm"}[cause]
    tables = {"pocket": {"sides": "open", "depth": "17 mm"}, "cut": {"stock_left": stock}}
    free = plan(rough(**tables))
    made = plan(rough(**tables | {limit: value}))
    assert made.governed_by("feed_per_tooth") == cause
    assert of(made, *NAMES[:3]) == of(free, *NAMES[:3])
    assert number(made, "feed_per_tooth") < number(free, "feed_per_tooth")
    (row,) = (r for r in made.margins if r.name == cause)
    assert row.used == number(made, used)
    assert 0.95 * row.limit < row.used <= row.limit * KEPT


def test_deflection_stops_at_the_least_chip_and_says_so_with_numbers():
    tables = OPEN | {"cutter": {"overhang": "120 mm"}, "cut": {"stock_left": "0.02 mm"}}
    made, free = plan(rough(**tables)), plan(rough(**OPEN, cut={"stock_left": "0.02 mm"}))
    assert made.governed_by("feed_per_tooth") == "tip deflection"
    assert number(made, "mean_chip_thickness") == pytest.approx(number(made, "least_chip"), rel=0.02)
    assert of(made, *NAMES[:3]) == of(free, *NAMES[:3])
    (shown,) = (c for c in made.cautions if c.name == "deflection_above_share")
    assert [round(v, 6) for v, _ in shown.shows][:2] == [round(number(made, "tip_deflection"), 6), 10.0]
    assert 0 < shown.shows[2][0] < 120


def test_the_full_width_gives_its_own_feed_first_then_depth_then_speed():
    """Opening a level has no width to give: its feed falls, the cut beside a pass stays as it was."""
    free = plan(rough())
    full = number(free, "slot_cutting_power")
    own = plan(rough(machine={"largest_power": f"{0.6 * full} kW"}))
    assert of(own, *NAMES) == of(free, *NAMES)
    assert own.governed_by("slot_feed_rate") == "power"
    assert 0.55 * full < number(own, "slot_cutting_power") <= 0.6 * full * KEPT
    feed = number(own, "slot_feed_per_tooth")
    assert number(own, "slot_chip_thickness") == feed < number(free, "slot_feed_per_tooth")
    # at 2/pi of the feed its mean chip is the least, 0.0032 mm: then the depth, at last the speed
    tight = plan(rough(machine={"largest_power": f"{0.04 * full} kW"}))
    assert 2 / np.pi * number(tight, "slot_feed_per_tooth") == pytest.approx(0.0032, rel=0.02)
    assert number(tight, "axial_depth") == 1.4375
    assert tight.governed_by("spindle_speed") == "power"
    torque = plan(rough(machine={"largest_torque": f"{0.045 * number(free, 'slot_mean_torque')} N*m"}))
    assert (number(torque, "axial_depth"), number(torque, "spindle_speed")) == (1.4375, 3970)


def test_depth_and_speed_give_way_for_the_full_width_alone():
    """Rings so narrow, 0.3 mm, that they stay within the limits; the cut that opens a level does not."""
    narrow = {"fixed": {"radial_width": "0.3 mm"}}
    free = plan(rough(**narrow))
    torque = plan(rough(**narrow, machine={"largest_torque": "0.9 N*m"}))
    assert number(free, "mean_torque") < 0.9 < number(free, "slot_mean_torque")
    assert torque.governed_by("axial_depth") == "torque"
    assert of(torque, "axial_depth", "spindle_speed") == [2.875, 3970.0]
    power = plan(rough(**narrow, machine={"largest_power": "0.13 kW"}))
    assert (power.governed_by("axial_depth"), power.governed_by("spindle_speed")) == ("power", "power")
    assert number(power, "axial_depth") == 1.4375
    assert SLOWEST < number(power, "spindle_speed") < 3970


def test_an_entry_gives_its_own_feed():
    """Under a thrust that its full width meets and the passes do not."""
    tables = {"cut": {"style": "light radial"}, "assumed": {"ramp_angle": "20 deg", "entry_feed_share": 1.0}}
    free = plan(rough(**tables))
    made = plan(rough(**tables, machine={"largest_thrust": f"{1.05 * number(free, 'mean_force')} N"}))
    assert made.governed_by("entry_feed_rate") == "thrust"
    assert number(made, "entry_feed_rate") < number(free, "entry_feed_rate")
    assert of(made, *NAMES) == of(free, *NAMES)
    # nor is it fed faster than the user feeds a tooth beside a pass
    slow = plan(rough(fixed={"feed_per_tooth": "0.01 mm"}))
    assert slow.governed_by("entry_feed_rate") == "feed beside a pass"
    assert number(slow, "entry_feed_per_tooth") == number(slow, "feed_per_tooth") < 0.01


def test_the_feed_limit_takes_the_feed_then_the_speed_for_the_least_chip():
    limited = plan(rough(**OPEN, machine={"largest_feed_rate": "500 mm/min"}))
    assert limited.governed_by("feed_rate") == limited.governed_by("feed_per_tooth") == "machine"
    assert of(limited, "feed_rate", "spindle_speed") == [500.0, 3970.0]
    thin = plan(rough(**OPEN, machine={"largest_feed_rate": "70 mm/min"}))
    assert thin.governed_by("spindle_speed") == "least chip at the feed limit"
    assert SLOWEST < number(thin, "spindle_speed") < 3970
    assert number(thin, "mean_chip_thickness") == pytest.approx(0.0032, rel=0.01)
    slowest = plan(rough(**OPEN, machine={"largest_feed_rate": "30 mm/min"}))
    assert of(slowest, "feed_rate", "spindle_speed") == [30.0, SLOWEST]
    assert "chip_below_least" in {c.name for c in slowest.cautions}


def test_a_shallower_ball_keeps_the_window_at_its_smaller_diameter():
    """Power slows the spindle at one depth, torque then lessens that: never below 100 m/min, but for setting down."""
    tables = {"family": m.BallEndMill, "pocket": {"sides": "open"}}
    for power, torque in ((0.10, 0.4), (0.12, 0.3), (0.15, 0.35), (0.08, 0.25)):
        limits = {"largest_power": f"{power} kW", "largest_torque": f"{torque} N*m", "largest_feed_rate": "60 mm/min"}
        made = plan(rough(**tables, machine=limits))
        assert number(made, "cutting_speed") >= 99.0


def test_corners_are_never_fed_faster_than_a_pass():
    """Past 134 deg the mean chip falls again: 127 deg beside a pass, 180 deg in the corner would take 1.13 of it."""
    tables = {"fixed": {"radial_width": "9.6 mm"}, "pocket": {"corner_angle": "90 deg"}}
    made = plan(rough(**tables, machine={"largest_feed_rate": "800 mm/min"}))
    assert number(made, "corner_engagement") == 180.0
    assert of(made, "feed_rate", "corner_feed_rate") == [800.0, 800.0]
    assert made.governed_by("corner_feed_rate") == "feed beside a pass"


# --- many jobs ------------------------------------------------------------------------------------------------


def drawn(random):
    """A job drawn over all styles, families, sizes and limits; some contradict themselves, some are impossible."""

    def spread(low, high):
        return float(np.exp(random.uniform(np.log(low), np.log(high))))

    def maybe(share, name, text):
        return {name: text} if random.random() < share else {}

    D, style = spread(0.5, 40), str(random.choice(["full width", "light radial", "corners"]))
    family = (m.FlatEndMill, m.BallEndMill, m.CornerRadiusEndMill)[random.choice(3, p=[0.6, 0.2, 0.2])]
    pocket = {n: f"{D * spread(1.05, 15)} mm" for n in ("width", "length")} | {"depth": f"{D * spread(0.1, 3)} mm"}
    pocket |= maybe(0.3, "sides", "open")
    pocket |= maybe(1.0 if style == "corners" else 0.4, "corner_angle", f"{random.uniform(30, 170)} deg")
    cut = {"style": style, "stock_left": f"{D * spread(0.005, 0.05)} mm"}
    cut |= maybe(0.5, "cut", "conventional") | ({} if "sides" in pocket else maybe(0.5, "entry", "ramp"))
    cut |= {"larger_diameter": f"{D * random.uniform(1.1, 3)} mm"} if style == "corners" else {}
    flutes = D * random.uniform(0.3, 3)
    cutter = {"diameter": f"{D} mm", "teeth": int(random.integers(1, 7)), "flute_length": f"{flutes} mm"}
    cutter |= {"overhang": None} | maybe(0.7, "overhang", f"{max(flutes, D) * random.uniform(1.1, 3)} mm")
    cutter |= maybe(0.2, "rated_spindle_speed", f"{spread(2000, 40000)} rpm")
    cutter |= {"corner_radius": f"{D * random.uniform(0.02, 0.4)} mm"} if family is m.CornerRadiusEndMill else {}
    machine = {"largest_spindle_speed": f"{spread(3000, 60000)} rpm"}
    machine |= {"largest_feed_rate": f"{spread(100, 20000)} mm/min"}
    machine |= maybe(0.5, "largest_power", f"{spread(0.05, 10)} kW")
    machine |= maybe(0.5, "largest_torque", f"{spread(0.05, 50)} N*m")
    machine |= maybe(0.3, "largest_thrust", f"{spread(50, 5000)} N")
    machine |= maybe(0.2, "holder_spindle_speed", f"{spread(3000, 40000)} rpm")
    fixed = maybe(0.1, "cutting_speed", f"{spread(50, 250)} m/min") | maybe(
        0.1, "feed_per_tooth", f"{spread(0.01, 0.1)} mm"
    )
    fixed |= maybe(0.1, "axial_depth", f"{D * spread(0.05, 1.5)} mm")
    fixed |= maybe(0.1, "radial_width", f"{D * random.uniform(0.02, 1)} mm")
    tables = {"pocket": pocket, "cut": cut, "cutter": cutter, "machine": machine, "fixed": fixed}
    return rough(family, settings=str(random.choice(["metric", "inch"])), **tables)


def exceeded(made):
    """Names of what is no number, below 0, or above a limit of the job."""
    job, found = made.job, []
    values = {n: number(made, n) for n, f in fields_of(made).items() if f.kind and number(made, n) is not None}
    found += [(n, v) for n, v in values.items() if not (np.isfinite(v) and v >= 0)]
    limits = {n: number(job.machine, "largest_feed_rate") for n in values if n.endswith("feed_rate")}
    limits |= {"radial_width": number(job.cutter, "diameter"), "axial_depth": values["rough_depth"]}
    limits |= {f"{w}cutting_power": number(job.machine, "largest_power") for w in ("", "slot_", "entry_")}
    limits |= {f"{w}mean_torque": number(job.machine, "largest_torque") for w in ("", "slot_")}
    limits |= {"mean_force": number(job.machine, "largest_thrust")}
    speeds = [number(job.machine, f"{w}_spindle_speed") for w in ("largest", "holder")]
    speeds.append(number(job.cutter, "rated_spindle_speed"))
    limits["spindle_speed"] = min(s for s in speeds if s is not None)
    for name, limit in limits.items():
        room = KEPT if name.endswith(("power", "torque", "force")) else 1 + 1e-9
        if limit is not None and values.get(name, 0.0) > limit * room:
            found.append((name, values[name], limit))
    for name in ("axial_depth", "radial_width"):
        fixed = number(job.fixed, name)
        if fixed is not None and values[name] > fixed * (1 + 1e-9):
            found.append((name, values[name], fixed))
    if values["axial_depth"] > number(job.cutter, "flute_length") and number(job.fixed, "axial_depth") is None:
        found.append(("flutes", values["axial_depth"]))
    cautions = {c.name for c in made.cautions}
    for row in made.margins:
        over = row.limit > 0 and row.used > row.limit * (1 + 1e-3)
        for start, caution in (("tip deflection", "deflection_above_share"), ("bending", "bending_stress_high")):
            if row.name.startswith(start) and over and caution not in cautions:
                found.append((row.name, row.used, row.limit))
        if row.name.startswith(("power", "torque", "thrust")) and row.used > row.limit * KEPT:
            found.append((row.name, row.used, row.limit))
    caused = made.governed_by("spindle_speed") in ("power", "least chip at the feed limit")
    if caused and values["spindle_speed"] >= 1000 and values["cutting_speed"] < 99:
        found.append(("below the window", values["cutting_speed"]))
    return found


def test_no_plan_exceeds_a_limit_or_holds_a_number_that_is_none():
    random, kept, refused = np.random.default_rng(2), 0, []
    for place in range(30):
        try:
            made = plan(drawn(random))
        except (ImpossibleJobError, JobError) as error:
            refused.append(str(error))
            continue
        kept += 1
        assert not exceeded(made), place
    assert kept >= 15
    # each says what is wrong with it
    assert refused
    assert not [text for text in refused if "does not exist" in text]


GROUPS = {
    "helix": {},
    "ramp": {"cut": {"entry": "ramp", "cut": "conventional"}},
    "light radial": {"cut": {"style": "light radial"}, "pocket": {"corner_angle": "90 deg"}},
    "open": {"pocket": {"sides": "open", "corner_angle": "60 deg"}},
    "corners": {"cut": {"style": "corners", "larger_diameter": "20 mm"}, "pocket": {"corner_angle": "90 deg"}},
    "ball": {"family": m.BallEndMill, "pocket": {"sides": "open"}},
}
LIMITED = {"largest_power": "1 kW", "largest_torque": "1 N*m", "largest_thrust": "1 N"}


@pytest.mark.parametrize("name", list(GROUPS))
def test_no_row_of_many_exceeds_a_limit(name):
    """The same of 60 jobs of a kind in one run of the kernel, over all sizes of limits at once."""
    inputs, rows = roughing_inputs(rough(**GROUPS[name], machine=LIMITED)), 60
    random = np.random.default_rng(len(name))

    def spread(low, high):
        return np.exp(random.uniform(np.log(low), np.log(high), rows))

    varied = {"largest_power": spread(0.03, 5), "largest_torque": spread(0.1, 20), "largest_thrust": spread(50, 3000)}
    varied |= {"largest_feed_rate": spread(20, 3000), "largest_spindle_speed": spread(1000, 20000)}
    varied |= {
        "stock_left": spread(0.02, 3),
        "depth_share": spread(0.05, 3),
        "width_share": random.uniform(0.01, 1, rows),
    }
    varied |= {"return_feed_rate": varied["largest_feed_rate"]}
    done = run(inputs.choices, inputs.numbers | varied)
    possible = ~np.any([np.broadcast_to(f, rows) for f in done.faults.values()], axis=0)
    assert rows / 3 < possible.sum() < rows
    v = {n: np.broadcast_to(x, rows)[possible] for n, x in done.values.items() if np.ndim(x) < 2 and n != "bodies"}
    limits = {n: x[possible] for n, x in varied.items()}
    for word in ("", "slot_", "entry_"):
        for used, limit in (("cutting_power", "power"), ("mean_torque", "torque"), ("mean_force", "thrust")):
            if word + used in v:
                assert np.all(v[word + used] <= limits[f"largest_{limit}"] * KEPT), word + used
    feeds = {n for n in v if n.endswith("feed_rate") and not n.startswith("wanted")}
    assert {"feed_rate"} <= feeds
    for feed in feeds:
        assert np.all((v[feed] > 0) & (v[feed] <= limits["largest_feed_rate"] * (1 + 1e-9))), feed
    assert np.all(v["spindle_speed"] <= limits["largest_spindle_speed"])
    slow = (done.causes["spindle_speed"][possible] >= 6) & (v["spindle_speed"] >= 1000)
    assert np.all(v["cutting_speed"][slow] >= 99)
    assert np.all(v["radial_width"] <= 12 * np.minimum(np.maximum(limits["width_share"], 0), 1) * (1 + 1e-9))
    assert np.all(v["axial_depth"] <= np.minimum(12 * limits["depth_share"], v["rough_depth"]) * (1 + 1e-9))
    assert (
        np.all(v["tip_deflection"] <= v["deflection_allowed"] * KEPT) or done.cautions["deflection_above_share"].any()
    )
    for field in fields_of(plan(rough(**GROUPS[name]))):
        if field in v and done.values[field] is not None:
            assert np.all(np.isfinite(v[field]) & (v[field] >= 0)), field
