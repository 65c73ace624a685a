"""Sources that a file of data brings along: added whole or not at all, never in the place of another."""

from pathlib import Path

import pytest

from millcalc.errors import DataError
from millcalc.materials import read_materials
from millcalc.sources import add_sources, bibliography, source

SHOP = Path(__file__).parents[1] / "plugins/millcalc-example-shop/millcalc_example_shop/materials.toml"
BOOK = {"title": "An invented book", "how_known": "read", "year": "2020"}


@pytest.fixture(autouse=True)
def as_before():
    before = dict(bibliography())
    yield
    bibliography().clear()
    bibliography().update(before)


def test_a_source_that_is_added_is_found_and_may_be_added_again():
    add_sources({"TRIAL_BOOK": BOOK}, "here")
    add_sources({"TRIAL_BOOK": dict(BOOK)}, "there")
    assert str(source("TRIAL_BOOK")) == "An invented book, 2020 (read)"


@pytest.mark.parametrize("key", ["GEOMETRY", "TRIAL_BOOK"])
def test_a_key_that_stands_for_another_source_is_refused_and_none_is_added(key):
    add_sources({"TRIAL_BOOK": BOOK}, "here")
    rows = {"TRIAL_PAPER": BOOK, key: BOOK | {"title": "Another book"}}
    with pytest.raises(DataError, match=f"there \\[{key}\\]: given 'Another book'; the key stands for another source"):
        add_sources(rows, "there")
    assert "TRIAL_PAPER" not in bibliography()


@pytest.mark.parametrize(
    "rows",
    [
        {"TRIAL": {"title": "A book"}},
        {"TRIAL": {"how_known": "read"}},
        {"TRIAL": BOOK | {"how_known": "heard"}},
        {"TRIAL": BOOK | {"publisher": "nobody"}},
        {"TRIAL": BOOK | {"key": "OTHER"}},
        {"TRIAL": BOOK | {"year": 2020}},
        {"TRIAL": "A book"},
        {"trial book": BOOK},
    ],
)
def test_what_is_no_source_is_refused(rows):
    with pytest.raises(DataError, match="needs a key in capitals, a title and how_known"):
        add_sources(rows, "here")
    assert not set(rows) & set(bibliography())


def written(tmp_path, text):
    path = tmp_path / "steels.toml"
    path.write_text(text + SHOP.read_text(encoding="utf-8").replace("api = 1\n", ""), encoding="utf-8")
    return path


def test_a_file_of_materials_brings_its_sources(tmp_path):
    path = written(tmp_path, '[sources.TRIAL_BOOK]\ntitle = "An invented book"\nhow_known = "read"\n')
    path.write_text(path.read_text().replace('"OWN_RECORD"', '"TRIAL_BOOK"'))
    (steel,) = read_materials(path).values()
    assert steel.density[0].source == "TRIAL_BOOK"
    assert source("TRIAL_BOOK").title == "An invented book"


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("sources = 7\n", r"steels.toml \[sources\]: given 7; is no table of sources"),
        ("[sources]\nTRIAL = 7\n", r"steels.toml \[sources\] \[TRIAL\]: given 7; needs a key in capitals"),
    ],
)
def test_what_is_wrong_with_them_is_told_with_all_else(tmp_path, text, fault):
    with pytest.raises(DataError, match=fault):
        read_materials(written(tmp_path, text))
