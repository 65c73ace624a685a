"""Values at the points equal the scalar formulas, point by point."""

import math

import numpy as np
import pytest
from path_cases import BALL, CUT, MACHINE, framed, unit, wavy, wavy_path

from millcalc import CornerRadiusEndMill, FlatEndMill
from millcalc.formulas.ball import ball_contact_diameter, ball_cutting_diameters, ball_effective_diameter
from millcalc.formulas.ball_chip import ball_feed_per_tooth_for_chip, ball_mean_chip_thickness
from millcalc.formulas.cutting_force import energy_power, specific_cutting_force
from millcalc.formulas.scallops import scallop_height
from millcalc.formulas.speeds import cutting_speed, feed_rate, removal_rate, spindle_speed
from millcalc.planning.paths.evaluation import evaluate_path
from millcalc.planning.paths.points import Path

COUNT = 700


def alike(found, wanted):
    """Whether diameters of the ball agree to 1e-12, and to the digits that D sqrt(1 - w^2) keeps near the tip."""
    kept = 8.0 * np.finfo(float).eps * 10.0**2 / np.maximum(wanted, 1e-7)
    return np.all(np.abs(found - wanted) <= 1e-12 * wanted + np.minimum(kept, 3e-7))


@pytest.fixture(scope="module")
def case():
    points, axis, normal = wavy(COUNT, noise=1.0)
    return points, axis, normal, evaluate_path(wavy_path(COUNT, noise=1.0), BALL, MACHINE, CUT, block=97)


def test_lead_and_tilt(case):
    points, axis, normal, found = case
    lead, tilt, _ = framed(points, axis, normal)
    np.testing.assert_allclose(found["lead"][1:-1], lead, rtol=0, atol=1e-9)
    np.testing.assert_allclose(found["tilt"][1:-1], tilt, rtol=0, atol=1e-9)
    assert lead.min() < -10 < 10 < lead.max()


def test_diameters_and_speeds_of_a_ball(case):
    *_, found = case
    wanted = ball_cutting_diameters.bare(10.0, 0.2, found["lead"], found["tilt"])
    for name, diameter in zip(("least", "contact", "largest"), wanted, strict=True):
        assert alike(found[f"{name}_diameter"], diameter)
        speed = cutting_speed.bare(found[f"{name}_diameter"], 12_000.0)
        np.testing.assert_allclose(found[f"{name}_speed"], speed, rtol=1e-14)


@pytest.mark.parametrize("depth", [1e-4, 0.2, 3.0, 5.0, 6.0, 9.9])
@pytest.mark.parametrize("seed", [1, 2])
def test_diameters_of_a_ball_at_every_lean_and_depth(depth, seed):
    random = np.random.default_rng(seed)
    lead, tilt = random.uniform(-85.0, 85.0, (2, 4000))
    lead[:500], tilt[500:1000] = 0.0, 0.0
    path = Path(step=np.full(4000, 0.1), lead=lead, tilt=tilt, unit="mm", angle_unit="deg")
    found = evaluate_path(path, BALL, MACHINE, CUT.with_(normal_depth=f"{depth} mm"))
    wanted = ball_cutting_diameters.bare(10.0, depth, lead, tilt)
    for name, diameter in zip(("least", "contact", "largest"), wanted, strict=True):
        assert alike(found[f"{name}_diameter"], diameter)


def test_a_lead_alone_against_the_formulas_of_the_whole_cap():
    lead = np.linspace(0.001, 80.0, 3000)
    path = Path(step=np.full(3000, 0.1), lead=lead, unit="mm", angle_unit="deg")
    found = evaluate_path(path, BALL, MACHINE, CUT)
    largest = ball_effective_diameter.bare(10.0, 0.2, lead)
    np.testing.assert_allclose(found["largest_diameter"], largest, rtol=1e-12)
    np.testing.assert_allclose(found["contact_diameter"], ball_contact_diameter.bare(10.0, lead), rtol=1e-12)


def test_depth_at_each_point_and_the_engagement_beside_the_pass():
    random = np.random.default_rng(3)
    lead, tilt = random.uniform(-30.0, 30.0, (2, 300))
    depth = random.uniform(0.05, 0.5, 300)
    path = Path(step=np.full(300, 0.1), lead=lead, tilt=tilt, normal_depth=depth, unit="mm", angle_unit="deg")
    cut = CUT._with_kept({"normal_depth": None}).with_(engagement="beside the pass", uncut_side="left")
    found = evaluate_path(path, BALL, MACHINE, cut)
    wanted = ball_cutting_diameters.bare(10.0, depth, lead, tilt, 0.3, "left")
    for name, diameter in zip(("least", "contact", "largest"), wanted, strict=True):
        np.testing.assert_allclose(found[f"{name}_diameter"], diameter, rtol=1e-12, atol=1e-9)
    feed = ball_feed_per_tooth_for_chip.bare(0.02, 10.0, depth, 0.3)
    np.testing.assert_allclose(found["feed_per_tooth"], feed, rtol=1e-12)


def test_feed_chip_load_and_scallop(case):
    points, axis, normal, found = case
    feed = ball_feed_per_tooth_for_chip.bare(0.02, 10.0, 0.2, 0.3)
    assert found["feed_per_tooth"] == pytest.approx(feed, rel=1e-14)
    # the contact: from the tip one radius up the axis, and one down the normal
    contact = points + 5.0 * (unit(axis) - unit(normal))
    step = np.linalg.norm(np.diff(points, axis=0), axis=1)
    way = np.linalg.norm(np.diff(contact, axis=0), axis=1)
    wanted = feed_rate.bare(feed, 2, 12_000.0) * step / way
    block = step / 0.002 * 60.0
    np.testing.assert_allclose(found["feed_rate"][1:], np.minimum(np.minimum(wanted, 8000.0), block), rtol=1e-9)
    np.testing.assert_allclose(found["step"][1:], step, rtol=1e-14)
    mean = way / (found["block_time"][1:] / 60_000.0)  # mm/min, at the contact
    np.testing.assert_allclose(found["mean_feed_rate"][1:], mean * step / way, rtol=1e-12)
    np.testing.assert_allclose(found["chip_thickness"][1:], mean / 24_000.0 * 0.02 / feed, rtol=1e-9)
    np.testing.assert_allclose(found["removal_rate"][1:], removal_rate.bare(0.2, 0.3, mean), rtol=1e-9)
    assert found["scallop_height"] == scallop_height.bare(10.0, 0.3)
    assert np.nanmax(found["chip_thickness"]) <= 0.02 * (1 + 1e-9)


@pytest.mark.parametrize("force", ["1700 N/mm^2", None])
def test_power(force):
    path = wavy_path(200)
    found = evaluate_path(path, BALL, MACHINE, CUT.with_(specific_force=force) if force else CUT, "C45")
    contact = found["removal_rate"][1:] * 1000.0 / (0.2 * 0.3)
    if force:
        wanted = energy_power.bare(1.7, found["removal_rate"][1:])
    else:
        import millcalc

        law = millcalc.material("C45").kienzle[0]
        mean = ball_mean_chip_thickness.bare(contact / 24_000.0, 10.0, 0.2, 0.3)
        energy = specific_cutting_force.bare(law.kc11, law.mc, mean) / 1000.0
        wanted = energy_power.bare(energy, found["removal_rate"][1:])
    np.testing.assert_allclose(found["power"][1:], wanted, rtol=1e-9)


def test_the_spindle_follows_the_contact_within_its_limit():
    cut = CUT._with_kept({"spindle_speed": None, "cutting_speed": 90.0})
    found = evaluate_path(wavy_path(400), BALL, MACHINE, cut)
    wanted = np.minimum(spindle_speed.bare(90.0, found["contact_diameter"]), 18_000.0)
    np.testing.assert_allclose(found["spindle_speed"], wanted, rtol=1e-12)
    assert wanted.max() == 18_000.0 > wanted.min()
    at_limit = wanted == 18_000.0
    np.testing.assert_allclose(found["contact_speed"][~at_limit], 90.0, rtol=1e-12)
    assert np.all(found["contact_speed"][at_limit] < 90.0 + 1e-9)


@pytest.mark.parametrize(
    "cutter",
    [CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=4), FlatEndMill(diameter="10 mm", teeth=4)],
    ids=["corner radius", "flat"],
)
def test_other_forms_against_the_cutter(cutter):
    lead = np.array([5.0, 10.0, -5.0, 20.0, 3.0, 10.0])
    tilt = np.array([0.0, 5.0, 5.0, -10.0, 4.0, 5.0])
    path = Path(step=np.full(6, 0.1), lead=lead, tilt=tilt, unit="mm", angle_unit="deg")
    assert "scallop_height" not in evaluate_path(path, cutter, MACHINE, CUT)
    names = ("least_diameter", "contact_diameter", "largest_diameter", "feed_per_tooth", "scallop_height")
    found = evaluate_path(path, cutter, MACHINE, CUT, keep=names)
    effective = cutter.effective_diameter.bare(0.2, lead, tilt, False)
    np.testing.assert_allclose(found["largest_diameter"], effective, rtol=1e-9)
    np.testing.assert_allclose(found["least_diameter"], cutter.least_diameter.bare(0.2, lead, tilt, False), rtol=1e-9)
    np.testing.assert_allclose(found["contact_diameter"], cutter.contact_diameter.bare(lead, tilt), rtol=1e-9)
    feed = cutter.feed_per_tooth_for_chip.bare(0.02, 0.2, lead, tilt, 0.3, "right")
    np.testing.assert_allclose(found["feed_per_tooth"], feed, rtol=1e-9)
    np.testing.assert_allclose(found["scallop_height"], cutter.scallop_height.bare(0.3, lead, tilt), rtol=1e-9)


@pytest.mark.parametrize(("lowest", "share"), [(-6.0, 0.75), (3.0, 0.9)])
def test_between_the_nodes_the_feed_of_a_form_errs_to_the_safe_side(lowest, share):
    """How far depends on how steeply the chip changes with the lean: most where the axis lags."""
    cutter = CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=4)
    random = np.random.default_rng(5)
    lead, tilt = random.uniform(lowest, lowest + 3.0, 40), random.uniform(-2.0, 1.0, 40)
    path = Path(step=np.full(40, 0.1), lead=lead, tilt=tilt, unit="mm", angle_unit="deg")
    found = evaluate_path(path, cutter, MACHINE, CUT)
    wanted = cutter.feed_per_tooth_for_chip.bare(0.02, 0.2, lead, tilt, 0.3, "right")
    assert np.all(found["feed_per_tooth"] <= wanted * (1 + 1e-9))
    assert np.all(found["feed_per_tooth"] >= share * wanted)


def test_the_contact_of_a_form_goes_its_own_way():
    """On a convex cylinder the tool swings; the contact's way is that along the surface."""
    cutter = CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=4)
    around = np.radians(np.linspace(0.0, 40.0, 200))
    normal = np.column_stack((np.sin(around), np.zeros(200), np.cos(around)))
    travel = np.column_stack((np.cos(around), np.zeros(200), -np.sin(around)))
    axis = math.cos(math.radians(10)) * normal + math.sin(math.radians(10)) * travel
    contact = cutter.contact.bare(10.0, 0.0)
    tip = 50.0 * normal + contact[3] * travel + contact[5] * normal
    found = evaluate_path(Path(tip, axis=axis, normal=normal, unit="mm"), cutter, MACHINE, CUT)
    step, way = np.linalg.norm(np.diff(tip, axis=0), axis=1), 100.0 * np.sin(around[1] / 2)
    wanted = feed_rate.bare(found["feed_per_tooth"][5], 4, 12_000.0) * step[4] / way
    assert found["lead"][5] == pytest.approx(10.0, abs=1e-3)
    assert found["feed_rate"][5] == pytest.approx(min(wanted, step[4] / 0.002 * 60.0, 8000.0), rel=1e-6)
    assert wanted < step[4] / 0.002 * 60.0
