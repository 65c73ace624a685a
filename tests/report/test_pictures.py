"""Pictures: what is drawn are the answers' numbers; files are written, never over another; what is missing is said."""

import sys

import numpy as np
import pytest

import millcalc as m
from millcalc.errors import ArgumentError, DomainError, FileError, MissingExtraError, UnitError
from millcalc.report.pictures import cutter_picture, scallops_picture

BALL = m.BallEndMill(diameter="8 mm", teeth=4, overhang="32 mm")
BULL = m.CornerRadiusEndMill(diameter="10 mm", corner_radius="1.5 mm", teeth=4, flute_length="15 mm", overhang="35 mm")
LENS = m.family("lens")(diameter="8 mm", segment_radius="25 mm", corner_radius="1 mm", teeth=4)


def lines(figure):
    return [np.column_stack(line.get_data()) for axes in figure.axes for line in axes.get_lines()]


def texts(figure):
    found = [figure.get_suptitle()]
    for axes in figure.axes:
        found += [axes.get_title(), axes.get_xlabel(), axes.get_ylabel(), *(t.get_text() for t in axes.texts)]
    return "\n".join(found)


@pytest.mark.parametrize("cutter", [BALL, BULL, LENS], ids=lambda c: c.family)
@pytest.mark.parametrize("lean", [{}, {"lead": "3 deg"}, {"tilt": "-4 deg"}, {"lead": "3 deg", "tilt": "2 deg"}])
def test_the_contact_and_the_edge_are_drawn_where_they_are(cutter, lean):
    figure = cutter_picture(cutter, "0.2 mm", stepover="0.5 mm", **lean)
    contact = cutter.contact(**lean)
    place = (contact.radius.magnitude, contact.height.magnitude)
    assert any(len(line) == 1 and np.allclose(np.abs(line[0]), place, atol=1e-9) for line in lines(figure))
    edge = cutter.engaged_edge("0.2 mm", "0.5 mm", points=401, **lean)
    cuts = ~np.isnan(edge.from_angle.magnitude)
    drawn = np.column_stack([edge.radius.magnitude[cuts], edge.height.magnitude[cuts]])
    whole = [line[~np.isnan(line[:, 0])] for line in lines(figure) if len(line) == 401]
    assert any(len(line) == len(drawn) and np.allclose(np.abs(line), drawn, atol=1e-9) for line in whole)
    said = texts(figure)
    assert f"contact: diameter {2.0 * place[0]:.4g} mm" in said or place[0] == 0.0
    assert "height from the tip [mm]" in said
    assert "edge angle kappa" in said


def test_the_lean_is_said_in_words_and_inches_are_inches():
    assert "axis leans 15 deg ahead, contact ahead of the tip" in texts(cutter_picture(BALL, "0.2 mm", lead="15 deg"))
    assert "[in]" in texts(cutter_picture(BALL, "0.2 mm", system="inch"))
    with m.units("inch"):
        assert "[uin]" in texts(scallops_picture(BALL, "0.5 mm")) or "[in]" in texts(scallops_picture(BALL, "0.5 mm"))


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
    path = tmp_path / f"cutter.{ending}"
    cutter_picture(BALL, "0.2 mm", path=path)
    before = path.read_bytes()
    assert len(before) > 1000
    with pytest.raises(FileError, match=r"there is a file of this name; accepted: another name, or overwrite=True"):
        scallops_picture(BALL, "0.5 mm", path=path)
    assert path.read_bytes() == before
    scallops_picture(BALL, "0.5 mm", path=path, overwrite=True)
    assert path.read_bytes() != before
    with pytest.raises(FileError, match="names no kind of picture"):
        cutter_picture(BALL, "0.2 mm", path=tmp_path / "cutter.bmp")
    with pytest.raises(FileError, match="No such file"):
        cutter_picture(BALL, "0.2 mm", path=tmp_path / "none" / "cutter.png")


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
    with pytest.raises(ArgumentError):
        cutter_picture(BALL, np.array([0.1, 0.2]) * BALL.diameter.units)
