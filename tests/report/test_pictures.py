"""Pictures: what is drawn are the answers' numbers; files are written, never over another; what is missing is said."""

import functools
import subprocess
import sys
from xml.etree import ElementTree

import numpy as np
import pytest
from matplotlib import image
from matplotlib.figure import Figure

import millcalc as m
from millcalc.errors import ArgumentError, DomainError, FileError, MissingExtraError, UnitError
from millcalc.report.pictures import cutter_picture, save, scallops_picture

BALL = m.BallEndMill(diameter="8 mm", teeth=4, overhang="32 mm")
BULL = m.CornerRadiusEndMill(diameter="10 mm", corner_radius="1.5 mm", teeth=4, flute_length="15 mm", overhang="35 mm")
LENS = m.family("lens")(diameter="8 mm", segment_radius="25 mm", corner_radius="1 mm", teeth=4)
LEAN, TILT, BOTH_WAYS = {"lead": "3 deg"}, {"tilt": "-4 deg"}, {"lead": "3 deg", "tilt": "2 deg"}
BESIDE, LEFT = {"stepover": "0.5 mm"}, {"stepover": "0.5 mm", "uncut_side": "left"}
# drawn once, looked at by several tests
cutter_drawn, scallops_drawn = functools.cache(cutter_picture), functools.cache(scallops_picture)


def panel(figure, title):
    (found,) = [axes for axes in figure.axes if axes.get_title() == title]
    return found


def points(axes, word):
    """Points of what is drawn under a word of the key: a line, or the corners of a filled shape."""
    (found,) = [artist for artist in (*axes.get_lines(), *axes.patches) if artist.get_label() == word]
    return np.column_stack(found.get_data()) if hasattr(found, "get_data") else found.get_xy()[:-1]


def lines(figure):
    return [np.column_stack(line.get_data()) for axes in figure.axes for line in axes.get_lines()]


def texts(figure):
    found = [figure.get_suptitle()]
    for axes in figure.axes:
        found += [axes.get_title(), axes.get_xlabel(), axes.get_ylabel(), *(t.get_text() for t in axes.texts)]
    return "\n".join(found)


@pytest.mark.parametrize(
    ("cutter", "stepover", "lean"),
    [
        (BALL, {}, BOTH_WAYS),
        (BALL, LEFT, {}),
        (BULL, {}, {}),
        (BULL, BESIDE, LEAN),
        (LENS, BESIDE, TILT),
    ],
    ids=lambda c: c if isinstance(c, dict) else c.family,
)
def test_the_contact_and_the_edge_are_drawn_where_they_are(cutter, stepover, lean):
    figure = cutter_drawn(cutter, "0.2 mm", **stepover, **lean)
    contact = cutter.contact(**lean)
    place = (contact.radius.magnitude, contact.height.magnitude)
    assert any(len(line) == 1 and np.allclose(np.abs(line[0]), place, atol=1e-9) for line in lines(figure))
    edge = cutter.engaged_edge("0.2 mm", **stepover, points=401, **lean)
    cuts = ~np.isnan(edge.from_angle.magnitude)
    drawn = np.column_stack([edge.radius.magnitude[cuts], edge.height.magnitude[cuts]])
    whole = [line[~np.isnan(line[:, 0])] for line in lines(figure) if len(line) == 401]
    assert any(len(line) == len(drawn) and np.allclose(np.abs(line), drawn, atol=1e-9) for line in whole)
    said = texts(figure)
    assert f"contact: diameter {2.0 * place[0]:.4g} mm" in said or place[0] == 0.0
    assert "height from the tip [mm]" in said
    assert "edge angle kappa" in said


def test_the_lean_is_said_in_words_and_inches_are_inches():
    assert "axis leans 15 deg ahead, contact ahead of the tip" in texts(cutter_drawn(BALL, "0.2 mm", lead="15 deg"))
    assert "[in]" in texts(cutter_drawn(BALL, "0.2 mm", lead="15 deg", system="inch"))
    with m.units("inch"):
        said = texts(scallops_picture(BALL, "0.5 mm"))
    assert "[uin]" in said or "[in]" in said


@pytest.mark.parametrize("side", ["left", "right"])
def test_the_stock_stands_on_its_side_and_the_pass_before_on_the_other(side):
    sign = 1.0 if side == "left" else -1.0
    figure = cutter_drawn(BALL, "0.2 mm", stepover="0.5 mm", uncut_side=side)
    along, aside = panel(figure, "seen along the feed"), panel(figure, "seen from the right of the feed")
    assert points(along, "contact").tolist() == points(aside, "contact").tolist() == [[0.0, 0.0]]
    assert along.xaxis_inverted()  # the left of the feed is on the left
    assert not aside.xaxis_inverted()
    before = points(along, "pass before")
    assert before[np.argmin(before[:, 1])] == pytest.approx([-0.5 * sign, 0.0], abs=1e-9)
    stock = points(along, "stock")
    reach = np.sqrt(4.0**2 - 3.8**2)  # of a ball of 8 mm, 0.2 mm above its lowest point
    assert stock[:, 1].max() == pytest.approx(0.2)
    assert np.min(sign * stock[:, 0]) == pytest.approx(-0.5, abs=1e-9)
    edge = stock[np.isclose(stock[:, 1], 0.2)]
    assert np.min(sign * edge[:, 0]) == pytest.approx(reach - 0.5, rel=2e-3)
    ahead = points(aside, "stock")
    assert ahead[np.isclose(ahead[:, 1], 0.2), 0].min() == pytest.approx(reach, rel=2e-3)
    (removed,) = [patch for patch in along.patches if patch.get_label() == "removed"]
    assert removed.get_clip_path() is not None
    said = texts(figure)
    assert f"stepover: 0.5 mm, uncut stock on the {side}" in said
    assert "full-width cut" in texts(cutter_drawn(BALL, "0.2 mm", **BOTH_WAYS))


def test_the_axis_leans_as_stated():
    figure = cutter_picture(BULL, "0.2 mm", lead="10 deg", tilt="-20 deg")
    for title, slope in (("seen along the feed", -20.0), ("seen from the right of the feed", None)):
        (low, high) = points(panel(figure, title), "tool axis")
        run = (high - low) / np.hypot(*(high - low))
        lead, tilt = np.radians([10.0, -20.0])
        leans = np.tan(np.radians(slope)) if slope else np.tan(lead) / np.cos(tilt)
        assert run[0] / run[1] == pytest.approx(leans)


def test_the_tool_is_drawn_to_its_lengths_in_equal_scales():
    figure = cutter_drawn(BULL, "0.2 mm", **BESIDE, **LEAN)
    whole = panel(figure, "upright, in section")
    bodies = [patch.get_xy() for patch in whole.patches if patch.get_label() == "tool"]
    assert [body[:, 1].max() for body in bodies] == [15.0, 35.0]
    assert [np.ptp(body[:, 0]) for body in bodies] == pytest.approx([10.0, 10.0])
    for axes in figure.axes:
        if axes.axison:
            assert axes.get_aspect() == 1.0
            assert axes.get_xlabel().endswith("[mm]")
            assert axes.get_ylabel().endswith("[mm]")
    said = texts(figure)
    assert "flute length: 15 mm" in said
    assert "overhang: 35 mm" in said
    assert "not stated" in texts(cutter_drawn(LENS, "0.2 mm", **BESIDE, **TILT))


def test_the_edge_angles_are_those_of_the_ends():
    figure = cutter_drawn(BALL, "0.2 mm", lead="15 deg")
    top = np.degrees(np.arccos(1.0 - 0.2 / 4.0))  # of the ball's cap about the contact
    assert f"edge angle kappa: 15 to {15.0 + top:.3g} deg" in texts(figure)
    drawn = points(panel(figure, "the edge in the cut, enlarged"), "edge in the cut")
    assert f"kappa {np.degrees(np.arcsin(drawn[-1, 0] / 4.0)):.3g} deg" in texts(figure)


def test_inch_is_millimetre_over_25_4():
    metric, inch = (
        cutter_drawn(BALL, "0.2 mm", lead="15 deg"),
        cutter_drawn(BALL, "0.2 mm", lead="15 deg", system="inch"),
    )
    for one, other in zip(metric.axes, inch.axes, strict=True):
        for line, same in zip(one.get_lines(), other.get_lines(), strict=True):
            np.testing.assert_allclose(np.array(line.get_data()) / 25.4, same.get_data())
        assert other.get_xlabel() == one.get_xlabel().replace("[mm]", "[in]")
    assert " mm" not in texts(inch)
    metric, inch = scallops_drawn(BALL, "0.5 mm"), scallops_picture(BALL, "0.5 mm", system="inch")
    across, up = points(metric.axes[0], "surface left").T
    np.testing.assert_allclose(points(inch.axes[0], "surface left"), np.column_stack([across / 25.4, up / 0.0254]))
    assert inch.axes[0].get_ylabel() == "height over the surface [uin]"


def test_a_pass_runs_from_ridge_to_ridge_as_the_answer_says():
    lean = {"lead": "10 deg", "tilt": "5 deg", "surface_radius": "-50 mm"}
    figure = scallops_picture(BULL, "1.5 mm", passes=2, **lean)
    found = BULL.scallop_profile("1.5 mm", **lean)
    drawn = points(figure.axes[0], "surface left")
    order = np.argsort(drawn[:, 0], kind="stable")
    np.testing.assert_array_equal(order, np.arange(len(drawn)))
    between = (drawn[:, 0] >= -1e-12) & (drawn[:, 0] <= 1.5 + 1e-12)
    np.testing.assert_allclose(
        np.interp(found.across.magnitude, *drawn[between].T), found.height.magnitude, atol=1e-6, rtol=1e-9
    )
    assert np.ptp(drawn[:, 0]) == pytest.approx(3.0)
    assert "concave across, radius 50 mm" in texts(figure)
    assert figure.axes[0].xaxis_inverted()


def test_a_ridge_that_leans_over_has_no_roughness():
    figure = scallops_picture(m.BallEndMill(diameter="10 mm", teeth=2), "10.63 mm", tilt="20 deg")
    assert "no Ra and Rz, for the ridge leans over" in texts(figure)
    assert "surface flat" in texts(figure)


def test_a_flat_that_leaves_nothing_is_drawn():
    drawn = points(scallops_picture(BULL, "2 mm").axes[0], "surface left")
    assert np.all(drawn[:, 1] == 0.0)


@pytest.mark.parametrize("cutter", [BALL, LENS], ids=lambda c: c.family)
def test_scallops_are_those_of_the_answer(cutter):
    figure = scallops_picture(cutter, "0.7 mm", lead="3 deg", passes=4)
    heights = np.concatenate([line[:, 1] for line in lines(figure) if len(line) > 1])
    found = cutter.scallop_height("0.7 mm", "3 deg").magnitude
    assert heights.max() == pytest.approx(found, rel=1e-9)
    assert heights.min() == pytest.approx(0.0, abs=1e-12)
    values = cutter.roughness("0.7 mm", "3 deg")
    assert f"Ra {values.ra.magnitude:.4g} um" in texts(figure)
    contacts = next(line for line in lines(figure) if np.allclose(line[:, 1], 0.0))
    assert np.diff(np.sort(contacts[:, 0])) == pytest.approx([0.7] * 3)


def test_several_cutters_share_their_scales():
    figure = scallops_picture([BALL, LENS], "0.7 mm", lead="3 deg")
    assert len(figure.axes) == 2
    assert figure.axes[0].get_ylim() == figure.axes[1].get_ylim()


@pytest.mark.parametrize("ending", ["png", "svg", "pdf"])
def test_files_are_written_and_never_over_another(tmp_path, ending):
    path, one, other = tmp_path / f"cutter.{ending}", Figure(figsize=(1.0, 1.0)), Figure(figsize=(1.0, 1.0))
    one.text(0.2, 0.5, "one")
    other.text(0.2, 0.5, "another")
    save(one, path, False)
    before = path.read_bytes()
    assert len(before) > 500
    with pytest.raises(FileError, match=r"there is a file of this name; accepted: another name, or overwrite=True"):
        save(other, path, False)
    assert path.read_bytes() == before
    save(other, path, True)
    assert path.read_bytes() != before


def test_both_pictures_are_written_and_never_over_another(tmp_path):
    path = tmp_path / "cutter.svg"
    cutter_picture(BALL, "0.2 mm", path=path)
    before = path.read_bytes()
    assert len(before) > 1000
    assert ElementTree.fromstring(before).tag.endswith("svg")
    with pytest.raises(FileError, match=r"there is a file of this name; accepted: another name, or overwrite=True"):
        scallops_picture(BALL, "0.5 mm", path=path)
    assert path.read_bytes() == before
    scallops_picture(BALL, "0.5 mm", path=path, overwrite=True)
    assert path.read_bytes() != before
    with pytest.raises(FileError, match="names no kind of picture"):
        cutter_picture(BALL, "0.2 mm", path=tmp_path / "cutter.bmp")
    with pytest.raises(FileError, match="names no kind of picture"):
        scallops_picture(BALL, "0.5 mm", path=tmp_path / "cutter.bmp")
    with pytest.raises(FileError, match="No such file"):
        save(Figure(figsize=(1.0, 1.0)), tmp_path / "none" / "cutter.png", False)


def test_what_is_written_can_be_read(tmp_path):
    image_path, page = tmp_path / "cutter.PNG", tmp_path / "scallops.pdf"
    save(cutter_drawn(BALL, "0.2 mm", **BOTH_WAYS), image_path, False)
    assert image.imread(image_path).shape[0] > 500
    scallops_picture(BALL, "0.5 mm", path=page)
    assert page.read_bytes().startswith(b"%PDF")


def test_nothing_of_pyplot_is_touched():
    code = (
        "import sys, millcalc as m; from millcalc.report.pictures import cutter_picture;"
        "assert 'matplotlib' not in sys.modules;"
        "cutter_picture(m.BallEndMill(diameter='8 mm', teeth=2), '0.2 mm');"
        "assert 'matplotlib.pyplot' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


def test_without_matplotlib_it_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "matplotlib.figure", None)
    with pytest.raises(MissingExtraError, match=r'pip install "millcalc\[plot\]"'):
        cutter_picture(BALL, "0.2 mm")


def test_what_cannot_be_drawn_is_an_error_of_the_library():
    with pytest.raises(ArgumentError, match="it is no cutter"):
        cutter_picture("ball", "0.2 mm")
    with pytest.raises(UnitError, match="needs a unit"):
        cutter_picture(BALL, 0.2)
    with pytest.raises(DomainError, match="passes meet up to"):
        scallops_picture(BALL, "9 mm")
    with pytest.raises(ArgumentError, match="none is given"):
        scallops_picture([], "0.5 mm")
    with pytest.raises(ArgumentError, match="no number of passes"):
        scallops_picture(BALL, "0.5 mm", passes=0)
    with pytest.raises(ArgumentError, match="a picture shows one case"):
        cutter_picture(BALL, np.array([0.1, 0.2]) * BALL.diameter.units)
    with pytest.raises(ArgumentError, match="no system of units"):
        cutter_picture(BALL, "0.2 mm", system="imperial")
    with pytest.raises(ArgumentError, match="it is no cutter"):
        scallops_picture([BALL, "lens"], "0.5 mm")
    with pytest.raises(ArgumentError, match="it is no cutter"):
        scallops_picture(None, "0.5 mm")
