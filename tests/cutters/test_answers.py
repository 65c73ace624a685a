"""What holds of every answer: names, units and words; scalars, arrays and quantities alike; errors that say why."""

import functools
import pickle
import re

import numpy as np
import pytest

import millcalc as m
from millcalc.cutters.answers import ANSWERS
from millcalc.errors import DomainError, SignatureError, UnitError
from millcalc.quantities.glossary import GLOSSARY

CUTTER = m.CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=4, overhang="40 mm")
TOOL = m.Assembly(CUTTER, [m.HolderSection(length="40 mm", lower_diameter="24 mm", upper_diameter="30 mm")])
FAMILIES = {
    "flat": m.FlatEndMill(diameter="10 mm", teeth=4),
    "ball": m.BallEndMill(diameter="10 mm", teeth=2),
    "corner radius": CUTTER,
    "tapered ball": m.TaperedBallEndMill(tip_diameter="4 mm", half_angle="4 deg", diameter="10 mm", teeth=3),
    "round insert": m.RoundInsertCutter(diameter="20 mm", insert_diameter="8 mm", teeth=3),
    "lens": m.family("lens")(diameter="10 mm", segment_radius="30 mm", corner_radius="1 mm", teeth=3),
    "oval": m.family("oval")(diameter="10 mm", tip_radius="1.5 mm", segment_radius="60 mm", teeth=3),
    "taper barrel": m.family("taper barrel")(
        diameter="12 mm", tip_radius="1.5 mm", half_angle="20 deg", segment_radius="100 mm", teeth=3
    ),
    "barrel": m.family("barrel")(
        diameter="12 mm", corner_radius="1 mm", segment_radius="60 mm", flute_length="20 mm", teeth=3
    ),
}
# numbers in trade units that every answer accepts of the cutter above
NUMBERS = {
    "normal_depth": 0.2,
    "lead": 4.0,
    "tilt": 3.0,
    "cutting_only": True,
    "stepover": 0.3,
    "uncut_side": "right",
    "surface_radius": 150.0,
    "scallop_height": 2.0,
    "axis_fixed": True,
    "length": 40.0,
    "ra": 0.5,
    "feed_per_tooth": 0.05,
    "chip_thickness": 0.02,
    "feed_mark_height": 0.5,
    "teeth": 4.0,
    "eccentricity": 2.0,
    "wall_distance": 30.0,
    "wall_height": 30.0,
    "draft": 5.0,
    "wall_side": "right",
    "margin": 1.0,
    "longest": 60.0,
    "step_down": 0.5,
    "slope": 60.0,
    "stair_thickness": 0.1,
    "slope_from": 20.0,
    "slope_to": 70.0,
}


def asked(name):
    return getattr(CUTTER if hasattr(CUTTER, name) else TOOL, name)


def given(name):
    return [NUMBERS[p.name] for p in asked(name).parameters]


def flat(result):
    return list(result) if isinstance(result, tuple) else [result]


@functools.cache
def alone(name):
    """What the scalars give."""
    return flat(asked(name).bare(*given(name)))


@pytest.mark.parametrize("name", ANSWERS)
def test_names_units_and_words(name):
    template = ANSWERS[name].template
    for parameter in template.parameters:
        assert GLOSSARY[parameter.name].kind is parameter.kind, parameter.name
    text = re.sub(r"^        ", "", ANSWERS[name].__doc__, flags=re.MULTILINE)
    parts = re.split(r"^(\w+)\n-+\n", text, flags=re.MULTILINE)
    stated = dict(zip(parts[1::2], parts[2::2], strict=True))
    assert parts[0].startswith("Return ")
    heads = set(re.findall(r"\w+", " ".join(re.findall(r"^(\w.*)$", stated["Parameters"], flags=re.MULTILINE))))
    assert {p.name for p in template.parameters} <= heads
    for parameter, unit in re.findall(r"^(\w+) \[(.+)\]$", stated["Parameters"], flags=re.MULTILINE):
        kind = GLOSSARY[parameter].kind
        assert unit == (kind.label or "1"), parameter
    assert {"Raises", "Notes", "Examples"} <= set(stated)
    assert f"{name}(" in stated["Examples"]
    assert "Source: GEOMETRY." in stated["Notes"]
    assert template.method
    assert len(template.symbol.split(",")) in (1, len(template.result_kinds))


@pytest.mark.parametrize("name", ANSWERS)
def test_arrays_give_what_scalars_give(name):
    formula, numbers = asked(name), given(name)
    assert all(np.isfinite(a) for a in alone(name)), alone(name)
    nudged = [np.array([n, n * 1.01]) if isinstance(n, float) and n else n for n in numbers]
    both = flat(formula.bare(*nudged))
    second = flat(formula.bare(*(n * 1.01 if isinstance(n, float) and n else n for n in numbers)))
    for pair, first, last in zip(both, alone(name), second, strict=True):
        assert np.shape(pair) == (2,)
        assert pair == pytest.approx([first, last], rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("name", ANSWERS)
def test_broadcasting_and_empty_arrays_and_nan(name):
    formula, numbers = asked(name), given(name)
    place = (
        next(i for i, p in enumerate(formula.parameters) if p.name == "lead")
        if "lead" in [p.name for p in formula.parameters]
        else 0
    )
    grid = [
        n * np.array([1.0, 1.02])[:, None] if isinstance(n, float) and i != place else n for i, n in enumerate(numbers)
    ]
    grid[place] = numbers[place] * np.array([1.0, 1.01, np.nan])
    shape = np.broadcast_shapes(*(np.shape(n) for n in grid))
    for result in flat(formula.bare(*grid)):
        whole = np.broadcast_arrays(result, np.zeros(shape))[0]
        assert whole.shape == shape
        assert np.isfinite(whole[..., :2]).all()
        assert np.isnan(whole[..., 2]).all()
    none = [np.array([]) if i == place else n for i, n in enumerate(numbers)]
    assert all(np.shape(r) == (0,) for r in flat(formula.bare(*none)))


@pytest.mark.parametrize("name", ANSWERS)
def test_quantities_sheet_and_pickle(name):
    formula, numbers = asked(name), given(name)
    units = [p.kind.unit for p in formula.parameters]
    texts = [f"{n} {u}" if u else n for n, u in zip(numbers, units, strict=True)]
    with_units = flat(formula(*texts))
    for quantity, kind, number in zip(with_units, formula.result_kinds, alone(name), strict=True):
        assert quantity.magnitude == pytest.approx(number, rel=1e-12)
        assert kind.unit
    sheet = str(formula.sheet(*texts))
    assert formula.method in sheet
    assert "GEOMETRY" in sheet
    again = pickle.loads(pickle.dumps(formula))
    assert flat(again.bare(*numbers)) == pytest.approx(alone(name), rel=1e-15)


@pytest.mark.parametrize("name", ANSWERS)
def test_a_bare_number_is_refused_where_a_unit_is_due(name):
    formula, numbers = asked(name), given(name)
    place = next(i for i, p in enumerate(formula.parameters) if p.kind.unit)
    with pytest.raises(
        UnitError, match=f"{formula.parameters[place].name}: given .* needs a unit; accepted: .*example"
    ):
        formula(
            *(
                n if i == place else f"{n} {p.kind.unit}" if p.kind.unit else n
                for i, (n, p) in enumerate(zip(numbers, formula.parameters, strict=True))
            )
        )


def test_the_lean_stays_below_a_right_angle():
    with pytest.raises(DomainError, match=r"lead: given .90 deg.*accepted: .*above -90 below 90"):
        CUTTER.contact("90 deg")
    with pytest.raises(SignatureError, match="scallop_height"):
        CUTTER.scallop_height()


def test_where_there_is_no_answer_it_says_why():
    with pytest.raises(DomainError, match="the stepover is wider than the tool reaches: passes meet up to 10 mm"):
        CUTTER.scallop_height("11 mm")
    with pytest.raises(DomainError, match=r"cuts 0\.02608 mm into the concave surface at the contact"):
        CUTTER.scallop_height("0.3 mm", "1 deg", surface_radius="-100 mm")
    with pytest.raises(DomainError, match="into the concave surface at its far side, with the flank"):
        FAMILIES["ball"].scallop_height("0.3 mm", tilt="60 deg", surface_radius="-20 mm")
    with pytest.raises(DomainError, match="at index 1, 1 of 3 values fail it: the stepover is wider"):
        CUTTER.scallop_height(np.array([1.0, 30.0, 2.0]) * CUTTER.diameter / 10)
    with pytest.raises(DomainError, match="no inclination up to 90 deg lifts the tip out"):
        CUTTER.clearing_inclination("9 mm")
    with pytest.raises(DomainError, match="the ridge leans over"):
        FAMILIES["ball"].roughness("16 mm", tilt="60 deg")
    with pytest.raises(DomainError, match="no stepover leaves a scallop so high"):
        FAMILIES["barrel"].stepover("30 mm")


@pytest.mark.parametrize("family", FAMILIES)
def test_every_family_answers_everything(family):
    cutter = FAMILIES[family]
    lean = ("3 deg", "2 deg")
    assert cutter.stepover(cutter.scallop_height("0.3 mm", *lean), *lean).magnitude == pytest.approx(0.3, rel=1e-9)
    values = cutter.roughness("0.3 mm", *lean)
    assert values.ra < values.rq < values.rz
    assert cutter.scallop_for_ra(values.ra, *lean).magnitude == pytest.approx(values.rz.magnitude, rel=1e-7)
    least, contact, largest = cutter.cutting_diameters("0.1 mm", *lean, "0.3 mm")
    assert least <= contact <= largest <= cutter.diameter * (1 + 1e-12)
    chip = cutter.max_chip_thickness("0.05 mm", "0.1 mm", *lean, "0.3 mm")
    assert cutter.mean_chip_thickness("0.05 mm", "0.1 mm", *lean, "0.3 mm") < chip
    assert cutter.feed_per_tooth_for_chip(chip, "0.1 mm", *lean, "0.3 mm").magnitude == pytest.approx(0.05, rel=1e-9)
    mark = cutter.mark_height("0.05 mm", *lean)
    assert cutter.feed_per_tooth_for_marks(mark, *lean).magnitude == pytest.approx(0.05, rel=1e-7)
    edge = cutter.engaged_edge("0.1 mm", "0.3 mm", *lean, points=9)
    engaged = ~np.isnan(edge.from_angle.magnitude)
    assert engaged.any()
    assert (edge.from_angle.magnitude[engaged] <= edge.to_angle.magnitude[engaged]).all()
    assert cutter.highest_edge("0.1 mm", *lean) >= edge.height.max() * (1 - 1e-12)


def test_the_segment_has_a_window_of_inclinations():
    # lens of 30 mm on 10 mm with a corner of 1 mm: up to asin((5 - 1)/(30 - 1)) = 7.9281 deg (derived)
    low, high = FAMILIES["lens"].segment_inclinations()
    assert (low.magnitude, high.magnitude) == pytest.approx((0.0, 7.9281), abs=5e-5)
    # tangent to the cylinder, so up to 90 deg; at the tip sin p = (60 - 5)/(60 - 1.5) (derived)
    low, high = FAMILIES["oval"].segment_inclinations()
    assert (low.magnitude, high.magnitude) == pytest.approx((np.degrees(np.arcsin(55.0 / 58.5)), 90.0), rel=1e-12)
    assert all(FAMILIES[f].segment_inclinations() is None for f in ("flat", "ball", "corner radius", "round insert"))
