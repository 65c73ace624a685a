"""The body of a tool: the outline integrated as it is, assumptions, and questions asked with units."""

from __future__ import annotations

import math
import pickle
import re

import numpy as np
import pint
import pytest
from scipy import integrate

import millcalc as m
from millcalc.cutters.profile import Profile
from millcalc.errors import DomainError, JobError, UnitError
from millcalc.loads import beam as bar
from millcalc.loads.body import BODY_ANSWERS, ToolBody
from millcalc.loads.steps import body_material, body_of, measures_of, steps_of
from millcalc.quantities.display import units
from millcalc.quantities.glossary import GLOSSARY

CUTTERS = {
    "flat": m.FlatEndMill(diameter="10 mm", teeth=4, flute_length="20 mm", overhang="50 mm"),
    "ball": m.BallEndMill(diameter="6 mm", teeth=2, flute_length="12 mm", overhang="40 mm", shank_diameter="8 mm"),
    "corner": m.CornerRadiusEndMill(
        diameter="12 mm", corner_radius="3 mm", teeth=4, flute_length="18 mm", overhang="50 mm"
    ),
    "tapered": m.TaperedBallEndMill(
        tip_diameter="2 mm", half_angle="5 deg", diameter="10 mm", teeth=3, flute_length="60 mm", overhang="80 mm"
    ),
    "lens": m.family("lens")(
        diameter="10 mm", segment_radius="30 mm", corner_radius="1 mm", teeth=3, flute_length="15 mm", overhang="45 mm"
    ),
    "barrel": m.family("barrel")(
        diameter="12 mm", corner_radius="1 mm", segment_radius="60 mm", flute_length="20 mm", teeth=3, overhang="60 mm"
    ),
}
HOLDER = (m.HolderSection(length="40 mm", lower_diameter="24 mm", upper_diameter="30 mm"),)
MM = pint.application_registry.mm


def tip_moved(cutter, reach, ratio=0.8, modulus=580.0):
    """Movement of the tip [um/N]: the moment integral over the outline as the profile tells it."""
    flutes, overhang, shank, _ = measures_of(cutter)
    top = min(float(cutter.profile.top), flutes)

    def bend(x):
        return (x - reach) * x / (2.0 * ratio * cutter.profile.radius_at(min(x, top * (1 - 1e-12)))) ** 4

    inner, _ = integrate.quad(bend, reach, top, limit=400, epsrel=1e-10) if reach < top else (0.0, 0.0)
    middle, _ = integrate.quad(bend, max(top, reach), flutes, epsrel=1e-10)
    upper, _ = integrate.quad(lambda x: (x - reach) * x / shank**4, flutes, overhang, epsrel=1e-10)
    return 64.0 / (math.pi * modulus) * (inner + middle + upper)


@pytest.mark.parametrize("share", [0.002, 0.05, 0.5])
@pytest.mark.parametrize("name", CUTTERS)
def test_the_steps_follow_the_outline(name, share):
    """Cones between points of the outline stand inside it: softer, by up to a hundredth."""
    cutter = CUTTERS[name]
    reach = share * measures_of(cutter).flute_length
    found = bar.tip_compliance(body_of(cutter), reach)
    expected = tip_moved(cutter, reach)
    assert expected * (1 - 1e-9) <= found <= expected * 1.01


def test_the_pages_stepped_cutter():
    # published page (derived): 100 N, shank d 10 L 30, flutes 8 L 20, 600 GPa: 15.452 um
    beam = steps_of(CUTTERS["flat"].profile, 20.0, 50.0, 10.0, modulus=600.0)
    assert abs(100.0 * bar.compliance(beam) - 15.452) <= 0.0005


def test_a_ball_at_the_tip_is_a_small_part():
    """At the tip the integrand is 0/0; by l'Hopital the ball adds 1/(32 R) to the integral of x^2/d^4."""
    beam = steps_of(m.BallEndMill(diameter="6 mm", teeth=2).profile, 3.0, 3.0, 6.0, equivalent_ratio=1.0)
    assert bar.compliance(beam) * math.pi * 580.0 / 64.0 == pytest.approx(1.0 / (32.0 * 3.0), rel=0.12)
    longer = body_of(CUTTERS["ball"])
    assert bar.compliance(beam) < 0.005 * bar.compliance(longer)


def test_many_tools_side_by_side_are_each_alone():
    tapers = [
        m.TaperedBallEndMill(tip_diameter=f"{t} mm", half_angle="5 deg", diameter="10 mm", teeth=3) for t in (1, 2, 6)
    ]
    flutes, overhang, shank = np.array([20.0, 30.0, 70.0]), np.array([60.0, 20.0, 65.0]), np.array([10.0, 12.0, 10.0])
    beam = steps_of(
        Profile.stack([c.profile for c in tapers]), flutes, overhang, shank, modulus=np.array([580, 200, 580])
    )
    found = [bar.tip_compliance(beam, 0.3), bar.largest_stress(beam, 0.3).stress, bar.natural_frequency(beam)]
    for i, cutter in enumerate(tapers):
        one = steps_of(cutter.profile, flutes[i], overhang[i], shank[i], modulus=[580, 200, 580][i])
        alone = [bar.tip_compliance(one, 0.3), bar.largest_stress(one, 0.3).stress, bar.natural_frequency(one)]
        np.testing.assert_allclose([f[i] for f in found], alone, rtol=1e-12)
    # one profile and many overhangs
    many = steps_of(tapers[0].profile, 20.0, np.array([30.0, 60.0]), 10.0)
    np.testing.assert_allclose(many.total, [30.0, 60.0])


@pytest.mark.parametrize(("flutes", "overhang"), [(60.0, 12.0), (12.0, 12.0), (0.4, 0.4), (8.0, 25.0)])
def test_an_outline_is_cut_off_where_the_flutes_end(flutes, overhang):
    taper = CUTTERS["tapered"]
    beam = steps_of(taper.profile, flutes, overhang, 10.0, equivalent_ratio=1.0)
    assert beam.total == pytest.approx(overhang, rel=1e-14)
    end = min(flutes, overhang)
    heights = np.cumsum(beam.length)
    inner = np.flatnonzero((beam.length > 0.0) & (heights <= end * (1 + 1e-12)))
    for place in inner:
        assert beam.upper[place] <= 2.0 * taper.profile.radius_at(min(heights[place], end)) * (1 + 1e-9)
    # a chord of 22.5 deg on the ball of radius 1 mm lies 0.019 mm inside, square to the outline (derived)
    assert beam.upper[inner[-1]] == pytest.approx(2.0 * taper.profile.radius_at(end), abs=0.05)


def test_a_pointed_cutter_bends_at_its_point():
    class Pointed(m.FlatEndMill):
        def pieces(self):
            from millcalc.cutters import Line

            return [Line((0.0, 0.0), (5.0, 5.0))]

    beam = steps_of(Pointed(diameter="10 mm", teeth=2).profile, 15.0, 40.0, 10.0, equivalent_ratio=1.0)
    assert np.isfinite(bar.compliance(beam))
    # loaded where the cone is 2.5 mm wide: from there the cone is exact
    exact, _ = integrate.quad(lambda x: (x - 1.25) ** 2 / min(2 * x, 10.0) ** 4, 1.25, 40.0, points=[5.0])
    assert bar.compliance(beam, 1.25) == pytest.approx(64.0 / (math.pi * 580.0) * exact, rel=1e-7)


def test_what_is_assumed_is_said():
    bare = m.BallEndMill(diameter="6 mm", teeth=2, overhang="30 mm")
    assert measures_of(bare)[:3] == (9.0, 30.0, 6.0)
    assert ToolBody(cutter=bare).assumed == ("flute length 9 mm", "shank diameter 6 mm", "body of carbide")
    assert measures_of(bare.with_(overhang="5 mm"))[0] == 5.0
    stated = CUTTERS["ball"]
    assert ToolBody(cutter=stated, material="HSS").assumed == ()
    taper = m.TaperedBallEndMill(tip_diameter="2 mm", half_angle="5 deg", diameter="10 mm", teeth=3, overhang="80 mm")
    assert measures_of(taper)[0] == pytest.approx(float(taper.profile.top))


def test_without_an_overhang_there_is_no_body():
    for make in (lambda c: ToolBody(cutter=c), body_of, measures_of):
        with pytest.raises(JobError, match=r"overhang: .* no bar") as caught:
            make(m.BallEndMill(diameter="6 mm", teeth=2))
        assert caught.value.faults[0].where == "cutter.overhang"


def test_materials():
    pcd = CUTTERS["ball"].with_(substrate="PCD")
    assert body_material(pcd).word == "carbide"
    assert ToolBody(cutter=pcd).stiffness() == ToolBody(cutter=CUTTERS["ball"]).stiffness()
    inserts = m.RoundInsertCutter(diameter="20 mm", insert_diameter="8 mm", teeth=3, overhang="60 mm")
    assert body_material(inserts).word == "steel"
    assert ToolBody(cutter=inserts).allowable_stress.magnitude == pytest.approx(300.0)
    steel, carbide = (ToolBody(cutter=CUTTERS["flat"], material=w).stiffness().magnitude for w in ("steel", "carbide"))
    assert carbide / steel == pytest.approx(580.0 / 207.0, rel=1e-12)
    mixed = ToolBody(cutter=CUTTERS["flat"], shank_material="steel").stiffness().magnitude
    assert steel < mixed < carbide


def test_holder_and_clamp_add_up():
    alone = ToolBody(cutter=CUTTERS["flat"])
    held = ToolBody(cutter=CUTTERS["flat"], holder=HOLDER)
    soft = ToolBody(cutter=CUTTERS["flat"], holder=HOLDER, lateral_stiffness="20 N/um", tilting_stiffness="40 kN*m/rad")
    moves = [1.0 / t.stiffness().magnitude for t in (alone, held, soft)]
    cone, _ = integrate.quad(lambda x: (50.0 + x) ** 2 / (24.0 + 6.0 * x / 40.0) ** 4, 0.0, 40.0)
    assert moves[1] - moves[0] == pytest.approx(64.0 / (math.pi * 207.0) * cone, rel=1e-9)
    assert moves[2] - moves[1] == pytest.approx(1.0 / 20.0 + 90.0**2 / 40_000.0, rel=1e-9)
    falling = [t.natural_frequency().magnitude for t in (alone, held, soft)]
    assert falling[0] > falling[1] > falling[2]
    assert soft.largest_overhang("10 N", "5 um") < held.largest_overhang("10 N", "5 um")
    with pytest.raises(JobError, match=r"holder\[0\]"):
        ToolBody(cutter=CUTTERS["flat"], holder=["cone"])


@pytest.mark.parametrize("name", CUTTERS)
@pytest.mark.parametrize("holder", [(), HOLDER])
def test_largest_overhang_moves_by_the_deflection(name, holder):
    tool = ToolBody(cutter=CUTTERS[name], holder=holder)
    overhang = tool.largest_overhang("3 N", "25 um", "0.5 mm")
    again = ToolBody(cutter=CUTTERS[name].with_(overhang=overhang), holder=holder)
    assert again.tip_deflection("3 N", "0.5 mm").to("um").magnitude == pytest.approx(25.0, rel=1e-9)


NUMBERS = {"force": 40.0, "load_height": 1.0, "deflection": 30.0}


@pytest.mark.parametrize("name", BODY_ANSWERS)
def test_questions_are_told_and_answered_alike(name):
    template = BODY_ANSWERS[name].template
    text = re.sub(r"^        ", "", BODY_ANSWERS[name].__doc__, flags=re.MULTILINE)
    parts = re.split(r"^(\w+)\n-+\n", text, flags=re.MULTILINE)
    stated = dict(zip(parts[1::2], parts[2::2], strict=True))
    assert {"Raises", "Notes", "Examples"} <= set(stated)
    lines = re.findall(r"^(\w+) \[(.+)\]$", stated.get("Parameters", ""), flags=re.MULTILINE)
    assert lines == [(p.name, p.kind.label) for p in template.parameters]
    for parameter in template.parameters:
        assert GLOSSARY[parameter.name].kind is parameter.kind
    assert tuple(re.findall(r"\w+", re.search(r"Sources: (.+)\.", stated["Notes"])[1])) == template.sources
    asked = getattr(ToolBody(cutter=CUTTERS["ball"]), name)
    numbers = [NUMBERS[p.name] for p in asked.parameters]
    alone = asked.bare(*numbers)
    assert asked(
        *(f"{n} {p.kind.label.replace(' ', '*')}" for n, p in zip(numbers, asked.parameters, strict=True))
    ) == (pint.application_registry.Quantity(alone, template.result_kinds[0].unit))
    if numbers:
        both = asked.bare(*(np.array([n, 1.1 * n]) for n in numbers))
        np.testing.assert_allclose(both, [alone, asked.bare(*(1.1 * n for n in numbers))], rtol=1e-12)
    again = pickle.loads(pickle.dumps(asked))
    assert again.bare(*numbers) == alone
    assert template.method in asked.sheet(*numbers_as_text(asked, numbers)).text()


def numbers_as_text(asked, numbers):
    return [f"{n} {p.kind.label}" for n, p in zip(numbers, asked.parameters, strict=True)]


def test_errors_say_why():
    tool = ToolBody(cutter=CUTTERS["flat"])
    for asked, given in ((tool.stiffness, ()), (tool.tip_deflection, ("5 N",)), (tool.bending_stress, ("5 N",))):
        with pytest.raises(DomainError, match="above the clamp, which is 50 mm"):
            asked(*given, "51 mm")
    with pytest.raises(DomainError, match="above the clamp"):
        tool.weakest_height("51 mm")
    with pytest.raises(DomainError, match="alone move more"):
        tool.largest_overhang("1000 N", "1 um")
    with pytest.raises(DomainError, match="above the fluted part"):
        tool.largest_overhang("10 N", "10 um", "21 mm")
    with pytest.raises(DomainError):
        tool.largest_overhang("0 N", "10 um")
    with pytest.raises(UnitError):
        tool.tip_deflection(40)


def test_arrays_and_inch_units():
    tool = ToolBody(cutter=CUTTERS["flat"])
    heights = np.array([0.0, 10.0, 50.0]) * MM
    moved = tool.tip_deflection("100 N", heights).magnitude
    assert moved[0] == pytest.approx(100.0 / tool.stiffness().magnitude)
    assert moved[0] > moved[1] > moved[2] == 0.0
    with pytest.raises(DomainError, match="index 1"):
        tool.tip_deflection("100 N", np.array([0.0, 60.0]) * MM)
    with units("inch"):
        assert "lbf/in" in tool.stiffness.sheet().text()


def test_stress_of_a_thin_cutter_on_a_thick_shank_is_largest_at_the_end_of_the_flutes():
    thin = CUTTERS["flat"].with_(shank_diameter="16 mm")
    tool = ToolBody(cutter=thin)
    assert tool.weakest_height().to("mm").magnitude == pytest.approx(20.0)
    assert tool.bending_stress("100 N").magnitude == pytest.approx(32 * 100 * 20.0 / (math.pi * 8.0**3))
    assert tool.mass().magnitude == pytest.approx(14.45e-6 * math.pi / 4 * (8.0**2 * 20 + 16.0**2 * 30))
