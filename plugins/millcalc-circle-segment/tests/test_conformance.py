"""Every family satisfies the conformance suite of millcalc, in each shape that it can take."""

from millcalc_circle_segment import BarrelEndMill, LensEndMill, OvalEndMill

from millcalc.testing import CutterConformance


class TestBarrelConforms(CutterConformance):
    family = BarrelEndMill
    examples = (
        {"diameter": "10 mm", "corner_radius": "1 mm", "segment_radius": "85 mm", "flute_length": "21 mm", "teeth": 4},
    )


class TestOvalConforms(CutterConformance):
    family = OvalEndMill
    examples = ({"diameter": "12 mm", "tip_radius": "2 mm", "segment_radius": "80 mm", "teeth": 2, "helix": "30 deg"},)


class TestTaperBarrelConforms(CutterConformance):
    family = "taper barrel"
    examples = (
        {"diameter": "16 mm", "tip_radius": "3 mm", "half_angle": "20 deg", "segment_radius": "250 mm", "teeth": 3},
    )


class TestLensConforms(CutterConformance):
    family = LensEndMill
    examples = (
        {"diameter": "12 mm", "segment_radius": "25 mm", "corner_radius": "1 mm", "teeth": 4},
        {"diameter": "1/2 in", "segment_radius": "1 in", "teeth": 4},
    )
