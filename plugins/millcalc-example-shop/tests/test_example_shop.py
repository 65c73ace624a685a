"""The file of materials satisfies the conformance suite, and millcalc finds what is in it."""

from millcalc_example_shop import MATERIALS

from millcalc import example_job, material, plan
from millcalc.testing import MaterialConformance


class TestMaterials(MaterialConformance):
    path = MATERIALS


def test_millcalc_finds_the_material_and_says_where_it_is_from():
    found = material("Example die steel")
    assert found.origin == "millcalc-example-shop 0.1.0"
    assert plan(example_job().with_(material="example-die-steel")).spindle_speed > 0
