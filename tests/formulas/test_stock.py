"""Stock left for the next operation: offsets against a curve moved along its normals, depths against sums."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely.geometry import Point

from millcalc.errors import DomainError, UnitError
from millcalc.formulas import stock


@pytest.mark.parametrize(("radius", "depth"), [(40.0, 0.5), (0.2, 0.5), (-20.0, 0.5), (-1.0, 0.5), (300.0, 0.0)])
def test_a_surface_with_even_stock_is_its_offset(radius, depth):
    """A disc grown, or a hole narrowed, by the stock; its area gives the radius back (polygons of 256 in a quarter)."""
    way = 1.0 if radius > 0 else -1.0
    moved = Point(0.0, 0.0).buffer(abs(radius), 256).buffer(way * depth, 256)
    found = way * math.sqrt(moved.area / math.pi)
    assert stock.offset_radius.bare(radius, depth) == pytest.approx(found, rel=2e-5)


def test_offsets_at_the_ends():
    assert stock.offset_radius.bare(math.inf, 0.5) == math.inf
    # stock that fills a hollow, or a sharp edge, leaves no such surface
    found = stock.offset_radius.bare(np.array([-0.5, -0.4, -0.6, 0.0, 0.3]), 0.5)
    assert np.isnan(found).tolist() == [True, True, False, True, False]
    assert found[[2, 4]] == pytest.approx([-0.1, 0.8])
    assert stock.offset_radius("inf mm", "0.5 mm").magnitude == math.inf
    with pytest.raises(DomainError):
        stock.offset_radius("-0.4 mm", "0.5 mm")


def test_depth_with_stairs_and_its_ratio():
    """What stands on the stock adds to it; the ratio tells how many times the stock that is (derived)."""
    deepest = stock.depth_with_stairs("0.3 mm", "0.29 mm")
    assert deepest.magnitude == pytest.approx(0.59, rel=1e-15)
    ratio = stock.depth_ratio(deepest, "0.3 mm")
    assert ratio * 0.3 == pytest.approx(0.59, rel=1e-15)
    assert stock.depth_ratio("0.3 mm", "0.3 mm") == 1.0
    layers = np.linspace(0.3, 0.59, 101)
    assert stock.depth_ratio.bare(layers, 0.3)[[0, -1]] == pytest.approx([1.0, ratio], rel=1e-14)
    assert (np.diff(stock.depth_ratio.bare(layers, 0.3)) > 0).all()


@pytest.mark.parametrize(
    ("thickness", "deflection", "error", "least"),
    [("0.12 mm", "40 um", "10 um", 0.17), ("0 mm", "0 um", "0 um", 0.0), ("5 thou", "1 thou", "0 um", 0.1524)],
)
def test_needed_stock_is_what_all_errors_reach_at_one_place(thickness, deflection, error, least):
    """By hand, in one unit; 6 thou are 0.1524 mm."""
    assert stock.needed_stock(thickness, deflection, error).magnitude == pytest.approx(least, rel=1e-12)


@pytest.mark.parametrize(
    ("formula", "inputs", "kind"),
    [
        (stock.depth_ratio, ("0.5 mm", "0 mm"), DomainError),
        (stock.depth_ratio, (0.5, "0.3 mm"), UnitError),
        (stock.depth_with_stairs, ("-0.1 mm", "0.3 mm"), DomainError),
        (stock.offset_radius, ("20 mm", "-0.5 mm"), DomainError),
        (stock.needed_stock, ("0.1 mm", "0.1 N", "1 um"), UnitError),
    ],
)
def test_what_is_refused(formula, inputs, kind):
    with pytest.raises(kind):
        formula(*inputs)
