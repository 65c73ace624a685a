"""Reading a file: the whole form is accepted, and every fault is refused and named."""

import pytest

from millcalc.errors import DataError, FileError
from millcalc.materials import material, read_materials
from millcalc.materials.reading import read_texts

P = 'source = "PRACTICE", how_known = "common practice"'
S = f'{P}, scope = "class", conditions = "as the shop cuts it"'
HEAD = f"""
designation = "Shop steel"
name = "a steel of the shop"
iso513 = "P"
least_chip_ratio = {{ value = 0.4, unit = "1", {S} }}
tip_caution = {{ severity = "caution", text = "lean the axis", {P} }}
"""
DENSITY = f'{{ value = 7.8, unit = "g/cm^3", {S} }}'
SPEED = f'{{ value = [80, 90], unit = "m/min", substrate = "carbide", operation = "milling", {S} }}'
FEED = (
    '{ value = [0.005, 0.01], unit = "1", diameter = [1, 20], radial_share = 0.05, '
    f'substrate = "carbide", operation = "finishing", {S} }}'
)
KIENZLE = f'{{ kc11 = 1780, mc = 0.17, unit = "N/mm^2", chip = [0.1, 0.63], {S} }}'
TAYLOR = f'{{ n = 0.25, c = 300, unit = "m/min", substrate = "carbide", operation = "milling", {S} }}'
ALIAS = f'{{ system = "other", names = ["Old Faithful"], {P} }}'
FULL = HEAD + "\n".join(
    f"{key} = [{row}]"
    for key, row in {
        "aliases": ALIAS,
        "density": DENSITY,
        "kienzle": KIENZLE,
        "cutting_speeds": SPEED,
        "feed_charts": FEED,
        "taylor": TAYLOR,
    }.items()
)


def read(body: str, key: str = "shop-steel"):
    return read_texts([("shop.toml", f"[{key}]\n{body}")])


def faults(body: str, key: str = "shop-steel") -> list[str]:
    with pytest.raises(DataError) as caught:
        read(body, key)
    assert all(str(fault) in str(caught.value) for fault in caught.value.faults)
    return [str(fault) for fault in caught.value.faults]


def test_a_full_record_is_read():
    steel = read(FULL)["shop-steel"]
    assert (steel.designation, steel.iso513, steel.density[0].low) == ("Shop steel", "P", 7.8)
    assert (steel.kienzle[0].kc11, steel.kienzle[0].chip_low, steel.kienzle[0].chip_high) == (1780, 0.1, 0.63)
    assert steel.speed_window("carbide").high == 90
    assert steel.feed_chart(10, "carbide").high == pytest.approx(0.1)
    assert (steel.taylor[0].n, steel.taylor[0].c) == (0.25, 300)
    assert steel.names("other") == ("Old Faithful",)


def test_the_least_record_is_read_and_knows_what_it_lacks():
    steel = read(HEAD)["shop-steel"]
    assert steel.cutting_speeds == steel.kienzle == steel.aliases == ()


def test_numbers_become_floats():
    row = read(FULL)["shop-steel"].cutting_speeds[0]
    assert [type(row.low), type(row.high)] == [float, float]


def test_hardness_of_a_window_is_kept():
    row = SPEED.replace("value", 'hardness = [275, 325], hardness_unit = "HB", value')
    window = read(f"{HEAD}cutting_speeds = [{row}]")["shop-steel"].cutting_speeds[0]
    assert (window.hardness_low, window.hardness_high, window.hardness_unit) == (275, 325, "HB")


ROWS = {
    "density": DENSITY,
    "kienzle": KIENZLE,
    "cutting_speeds": SPEED,
    "feed_charts": FEED,
    "taylor": TAYLOR,
}


@pytest.mark.parametrize("key", ROWS)
@pytest.mark.parametrize(
    ("part", "left"),
    [
        ("source", 'how_known = "read", scope = "class", conditions = "c"'),
        ("how_known", 'source = "PRACTICE", scope = "class", conditions = "c"'),
        ("scope", f'{P}, conditions = "c"'),
        ("conditions", f'{P}, scope = "class"'),
        ("unit", ""),
    ],
)
def test_a_row_without_source_how_known_scope_conditions_or_unit_is_refused(key, part, left):
    row = ROWS[key]
    old, new = (row[row.index("unit") :].split(",")[0] + ", ", "") if part == "unit" else (S, left)
    cut = row.replace(old, new)
    assert faults(f"{HEAD}{key} = [{row}, {cut}]") == [f"shop.toml [shop-steel] {key}[1].{part}: is missing"]


@pytest.mark.parametrize("kind", ["cautions", "aliases"])
def test_cautions_and_names_need_a_source_too(kind):
    row = {"cautions": '{ severity = "note", text = "t" }', "aliases": '{ system = "uns", names = ["X1"] }'}[kind]
    where = f"shop.toml [shop-steel] {kind}[0]"
    assert faults(f"{HEAD}{kind} = [{row}]") == [
        f"{where}.source: is missing",
        f"{where}.how_known: is missing",
    ]


# list, what is replaced, by what, then what the only fault must say
BAD = [
    ("density", "PRACTICE", "PRACTISE", "density[0].source: given 'PRACTISE'; is no key of the bibliography"),
    ("density", "PRACTICE", "PRACTISE", "(nearest: PRACTICE"),
    ("density", '"common practice"', '"hearsay"', "accepted: read, common practice, from memory, derived"),
    ("density", '"common practice"', '"read"', "known only by: common practice"),
    ("density", '"class"', '"world"', "accepted: grade, neighbour, group, class"),
    ("density", "g/cm^3", "kg/m^3", "density[0].unit: given 'kg/m^3'"),
    ("density", "7.8", "7800", "density[0].value: given 7800 g/cm^3; lies outside the plausible"),
    ("density", "7.8", '"7.8"', "density[0].value: given '7.8'; is no number"),
    ("density", "7.8", "true", "density[0].value: given True; is no number"),
    ("density", "7.8", "nan", "density[0].value: given nan; is no number"),
    ("density", "7.8", "inf", "density[0].value: given inf; lies outside the plausible range"),
    ("density", "7.8", "-7.8", "density[0].value: given -7.8; lies outside the plausible range"),
    ("density", "7.8", "1" + "0" * 400, "density[0].value: given 1000"),
    ("density", "7.8", "[7.9, 7.8]", "has its low end above its high end"),
    ("density", "7.8", "[7.7, 7.8, 7.9]", "is no range"),
    ("density", "7.8", "[7.7, true]", "is no number"),
    ("density", "7.8", "{ low = 7.7 }", "is no number"),
    ("density", "value", "vlaue", "density[0]: given 'vlaue'; is a key not known here (nearest: value)"),
    ("cutting_speeds", "[80, 90]", "[0.5, 90]", "lies outside the plausible range; accepted: 1 to 5000"),
    ("cutting_speeds", "[80, 90]", "[80, 5001]", "accepted: 1 to 5000"),
    ("cutting_speeds", "[80, 90]", "[90, 80]", "low end above its high end"),
    ("cutting_speeds", "m/min", "ft/min", "given 'ft/min'"),
    ("cutting_speeds", '"carbide"', '"carbyde"', "substrate: given 'carbyde'; is none of the words"),
    ("cutting_speeds", '"milling"', '"finish"', "operation: given 'finish'"),
    ("cutting_speeds", "value", 'stage = "maybe", value', "stage: given 'maybe'"),
    ("cutting_speeds", "value", "hardness = 300, value", "the two belong together"),
    ("cutting_speeds", "value", 'hardness_unit = "HB", value', "the two belong together"),
    ("cutting_speeds", "value", 'hardness = 300, hardness_unit = "HRC", value', "given 300 HRC"),
    ("feed_charts", "radial_share = 0.05", "radial_share = 0", "radial_share: given 0; lies outside"),
    ("feed_charts", "radial_share = 0.05", "radial_share = 1.5", "accepted: 0.001 to 1"),
    ("feed_charts", "radial_share = 0.05, ", "", "radial_share: is missing"),
    ("feed_charts", "diameter = [1, 20], ", "", "diameter: is missing"),
    ("feed_charts", "[0.005, 0.01]", "[0.05, 0.5]", "given 0.05 to 0.5; lies outside the plausible range"),
    ("feed_charts", '"1"', '"inch"', "given 'inch'"),
    (
        "kienzle",
        "1780",
        "99",
        "kienzle[0].kc11: given 99; lies outside the plausible range; accepted: 100 to 10000",
    ),
    ("kienzle", "1780", "10001", "kienzle[0].kc11: given 10001"),
    ("kienzle", "0.17", "1.7", "kienzle[0].mc: given 1.7"),
    ("kienzle", "[0.1, 0.63]", "[0.63, 0.1]", "kienzle[0].chip"),
    ("kienzle", "chip = [0.1, 0.63], ", "", "kienzle[0].chip: is missing"),
    ("taylor", "n = 0.25", "n = 2.5", "taylor[0].n: given 2.5"),
    ("aliases", '"other"', '"gost"', "aliases[0].system: given 'gost'"),
    (
        "aliases",
        '["Old Faithful"]',
        '"Old Faithful"',
        "aliases[0].names: given 'Old Faithful'; is no list of texts",
    ),
    ("aliases", '["Old Faithful"]', "[]", "is no list of texts"),
    ("aliases", '["Old Faithful"]', '["-"]', "is no name"),
]


@pytest.mark.parametrize(("key", "old", "new", "said"), BAD)
def test_bad_data_is_refused_with_its_place(key, old, new, said):
    row = {**ROWS, "aliases": ALIAS}[key]
    assert old in row
    body = f"{HEAD}{key} = [{row.replace(old, new, 1)}]"
    found = faults(body)
    assert any(said in fault for fault in found)
    assert all(fault.startswith(f"shop.toml [shop-steel] {key}[0]") for fault in found)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            'iso513 = "P"',
            'iso513 = "Q"',
            "iso513: given 'Q'; is none of the words used here; accepted: P, M, K",
        ),
        ('iso513 = "P"', "", "[shop-steel].iso513: is missing"),
        ('iso513 = "P"', 'iso513 = ["P"]', "iso513: given ['P']"),
        ("designation", "desigantion", "given 'desigantion'; is a key not known here (nearest: designation)"),
        ('"Shop steel"', "5", "designation: given 5; is no text"),
        ('"a steel of the shop"', '" "', "name: given ' '; is no text"),
        ("value = 0.4", "value = 40", "least_chip_ratio.value: given 40; lies"),
        ('severity = "caution"', 'severity = "panic"', "tip_caution.severity: given 'panic'"),
        ("tip_caution = {", "tip_caution = 5 # {", "tip_caution: given 5; is no row"),
    ],
)
def test_a_bad_head_is_refused(old, new, said):
    assert old in HEAD
    body = HEAD.replace(old, new, 1)
    assert any(said in " ".join(fault.split()) for fault in faults(body))


def test_rows_that_are_no_rows_are_refused():
    assert "is no list of rows" in faults(HEAD + "density = 7.8")[0]
    assert "density[0]: given 7.8; is no row" in faults(HEAD + "density = [7.8]")[0]


@pytest.mark.parametrize("key", ['"Shop Steel"', "shop_steel", '""', '"-x"'])
def test_a_key_that_is_no_slug_is_refused(key):
    assert "is no key" in faults(HEAD, key)[0]


def test_a_value_outside_a_table_is_refused():
    with pytest.raises(DataError, match=r"shop.toml \[density\]: given 7.8; is no table of a material"):
        read_texts([("shop.toml", "density = 7.8")])


def test_every_fault_is_told_at_once():
    body = (
        HEAD.replace('"P"', '"Q"')
        + f"""
density = [{DENSITY}, {DENSITY.replace("7.8", "nan")}]
kienzle = [{KIENZLE.replace("1780", "17800")}]
cutting_speeds = [{SPEED.replace("carbide", "cheese")}]
wood = 1
"""
    )
    found = faults(body)
    assert len(found) == 5
    for part in ("iso513", "density[1].value", "kienzle[0].kc11", "cutting_speeds[0].substrate", "'wood'"):
        assert sum(part in fault for fault in found) == 1


def test_a_name_that_two_materials_claim_is_refused():
    other = FULL.replace("Shop steel", "Other steel").replace("Old Faithful", "OLD-FAITHFUL")
    with pytest.raises(DataError, match=r"\[b\]: given 'OLD-FAITHFUL'; is a name that \[a\] claims too"):
        read_texts([("shop.toml", f"[a]\n{FULL}\n[b]\n{other}")])


def test_a_key_that_two_files_hold_is_refused():
    with pytest.raises(DataError, match=r"two.toml \[a\]: given 'a'; is a key that another file has taken"):
        read_texts([("one.toml", f"[a]\n{HEAD}"), ("two.toml", f"[a]\n{HEAD}")])


def test_a_shop_reads_its_own_file(tmp_path):
    path = tmp_path / "ours.toml"
    own = FULL.replace(
        'source = "PRACTICE", how_known = "common practice"', 'source = "OWN_RECORD", how_known = "read"'
    )
    path.write_text(f"\ufeff[ours]\n{own}", encoding="utf-8")
    for given in (path, str(path)):
        assert read_materials(given)["ours"].density[0].source == "OWN_RECORD"
    assert "Shop steel" not in [material(k).designation for k in ("c45", "s235jr")]


def test_a_real_file_with_every_kind_of_fault_lists_them_all(tmp_path):
    """Without source, without how it is known, without conditions; an unknown group; bounds; a name claimed twice."""
    speed = 'value = {}, unit = "m/min", substrate = "carbide", operation = "milling", {}'
    rows = [
        speed.format("[80, 90]", 'how_known = "read", scope = "grade", conditions = "c"'),
        speed.format("[80, 90]", 'source = "OWN_RECORD", scope = "grade", conditions = "c"'),
        speed.format("[80, 90]", 'source = "OWN_RECORD", how_known = "read", scope = "grade"'),
        speed.format("[0.2, 90]", S),
        speed.format("[80, 9000]", S),
    ]
    one = (
        HEAD.replace('"P"', '"Q"') + f"aliases = [{ALIAS}]\ncutting_speeds = [{', '.join(f'{{ {r} }}' for r in rows)}]"
    )
    two = HEAD.replace("Shop steel", "Other") + f"aliases = [{ALIAS}]\nkienzle = [{KIENZLE.replace('1780', '12')}]"
    path = tmp_path / "ours.toml"
    path.write_text(f"[one]\n{one}\n[two]\n{two}", encoding="utf-8")
    with pytest.raises(DataError) as caught:
        read_materials(path)
    assert [" ".join(str(fault).split())[:74] for fault in caught.value.faults] == [
        "ours.toml [one] iso513: given 'Q'; is none of the words used here; accepte",
        "ours.toml [one] cutting_speeds[0].source: is missing",
        "ours.toml [one] cutting_speeds[1].how_known: is missing",
        "ours.toml [one] cutting_speeds[2].conditions: is missing",
        "ours.toml [one] cutting_speeds[3].value: given [0.2, 90]; lies outside the",
        "ours.toml [one] cutting_speeds[4].value: given [80, 9000]; lies outside th",
        "ours.toml [two] kienzle[0].kc11: given 12; lies outside the plausible rang",
        "ours.toml [two]: given 'Old Faithful'; is a name that [one] claims too",
    ]


def test_a_fault_in_a_file_names_the_file(tmp_path):
    path = tmp_path / "ours.toml"
    path.write_text("[ours]\nname = 'x'", encoding="utf-8")
    with pytest.raises(DataError, match=r"ours.toml \[ours\].iso513: is missing"):
        read_materials(path)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (b"[a\n", "ours.toml is no TOML"),
        (b"a = 1\na = 2\n", "ours.toml is no TOML"),
        (b"a = " + b"9" * 5000, "ours.toml is no TOML"),
        (b"a = " + b"[" * 5000, "ours.toml is no TOML"),
        (b"\xff\xfe\x00", "is no text in UTF-8"),
        (b"", "holds no material"),
        (b"# nothing yet\n", "holds no material"),
    ],
)
def test_a_file_that_is_no_file_of_materials_is_refused(tmp_path, text, said):
    path = tmp_path / "ours.toml"
    path.write_bytes(text)
    with pytest.raises(FileError, match=said):
        read_materials(path)


def test_a_path_that_cannot_be_read_is_refused(tmp_path):
    for path in (tmp_path, tmp_path / "none.toml", "bad\0name.toml", None, 5):
        with pytest.raises(FileError, match="cannot read"):
            read_materials(path)
