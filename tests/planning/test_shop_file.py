"""The shop's record: what is written reads back, what stands is never changed, and what is refused."""

from __future__ import annotations

import datetime
import errno
import io
import math
import os
import threading
import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jobs import EXAMPLE, changed

import millcalc.planning.shop_file as shop_file
from millcalc.cutters import BallEndMill, CornerRadiusEndMill
from millcalc.errors import ArgumentError, FileError, JobError
from millcalc.planning import example_text, plan
from millcalc.planning.proven import Proven, proven_for, proven_of
from millcalc.planning.reading import job_from_text
from millcalc.planning.shop_file import append_proven, read_proven
from millcalc.quantities.record import number

PLAN = plan(EXAMPLE)
ENTRY = Proven(
    date="2026-03-31",
    checksum="d06fa4ee",
    material="42CrMo4",
    family="ball",
    diameter="6 mm",
    substrate="coated carbide",
    spindle_speed="17500 rpm",
    feed_rate="2360 mm/min",
    stepover="0.19 mm",
    ra="0.5 um",
)


@pytest.fixture
def path(tmp_path):
    return tmp_path / "proven.toml"


def test_entries_read_back_in_their_order_and_the_text_is_plain_toml(path):
    second = ENTRY.with_(date="2026-04-02", ra_factor=1.3, time_factor=1.2, teeth=2, point_spacing="0.5 mm")
    append_proven(path, ENTRY)
    append_proven(str(path), second)
    assert read_proven(path) == (ENTRY, second)
    rows = tomllib.loads(path.read_text(encoding="utf-8"))["proven"]
    assert rows[0] == {
        "date": datetime.date(2026, 3, 31),
        "checksum": "d06fa4ee",
        "material": "42CrMo4",
        "family": "ball",
        "diameter": "6.0 mm",
        "substrate": "coated carbide",
        "spindle_speed": "17500.0 rev/min",
        "feed_rate": "2360.0 mm/min",
        "stepover": "0.19 mm",
        "ra": "0.5 um",
    }
    assert (rows[1]["teeth"], rows[1]["ra_factor"]) == (2, 1.3)
    assert path.read_text(encoding="utf-8").startswith("# Proven cuts")


WORDS = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
SIZES = st.floats(1e-3, 1e4, allow_subnormal=False)


@settings(max_examples=60, deadline=None)
@given(WORDS, WORDS, SIZES, SIZES, st.floats(1e-2, 1e2), st.dates())
def test_whatever_is_said_reads_back_as_it_was(tmp_path_factory, remark, part, size, speed, factor, date):
    path = tmp_path_factory.mktemp("shop") / "proven.toml"
    more = {"remark": remark, "part": part, "stepover": f"{size!r} mm", "spindle_speed": f"{speed!r} rpm"}
    entry = ENTRY.with_(**more, ra=f"{size / 100!r} um", ra_factor=factor, date=date)
    append_proven(path, entry)
    append_proven(path, ENTRY)
    assert read_proven(path) == (entry, ENTRY)


STANDING = [
    "# our own words, no entry yet",
    "# with a comment at the end and no new line\n[[proven]]\n# unfinished",
    "\ufeff# begins with a mark of its encoding\r\n\r\n",
    '[[proven]]\nnote = """\nlines\n"""',
    "[[proven]]\n[proven.more]\nkey = nan\n",
    "proven = []\n# replaced by",
    "",
]


@pytest.mark.parametrize("text", STANDING[:5] + STANDING[6:])
def test_what_stands_is_kept_byte_by_byte(path, text):
    before = text.encode("utf-8")
    path.write_bytes(before)
    append_proven(path, ENTRY)
    after = path.read_bytes()
    assert after.startswith(before)
    rows = tomllib.loads(after.decode("utf-8-sig"))["proven"]
    assert len(rows) == text.count("[[proven]]") + 1
    assert rows[-1]["checksum"] == "d06fa4ee"


REFUSED = {
    "no TOML": ('[[proven]\nx = "', "it is not TOML"),
    "an open text": ('[[proven]]\nremark = """ not closed', "it is not TOML"),
    "a job file": (example_text(), "it is no proven cut"),
    "entries as a list": ('proven = [{ checksum = "a" }]', "not as a list"),
    "an empty list": ("proven = []", "not as a list"),
    "one table": ("[proven]\nchecksum = 'a'", "it must be tables, [[proven]]"),
    "a misspelt table": ("[[prooven]]\nchecksum = 'a'", "(nearest: proven)"),
    "no text": (b"\xff\xfe\x00x", "it is not text in UTF-8"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_files_that_hold_something_else_are_left_alone(path, case):
    held, reason = REFUSED[case]
    before = held if isinstance(held, bytes) else held.encode("utf-8")
    path.write_bytes(before)
    with pytest.raises(FileError) as caught:
        append_proven(path, ENTRY)
    assert reason in str(caught.value)
    assert str(path) in str(caught.value)
    assert path.read_bytes() == before


def test_folders_read_only_and_odd_files_are_refused(tmp_path, path):
    with pytest.raises(FileError, match="it is a folder"):
        append_proven(tmp_path, ENTRY)
    append_proven(path, ENTRY)
    before = path.read_bytes()
    path.chmod(0o444)
    with pytest.raises(FileError, match="it is read-only"):
        append_proven(path, ENTRY)
    assert path.read_bytes() == before
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(FileError, match="it is no ordinary file"):
        append_proven(pipe, ENTRY)
    with pytest.raises(FileError, match="No such file"):
        append_proven(tmp_path / "missing" / "proven.toml", ENTRY)
    with pytest.raises(FileError, match="no file can have this name"):
        append_proven("a\0b", ENTRY)
    for odd in (3, None, b"proven.toml"):
        with pytest.raises(ArgumentError, match="it is no path of a file"):
            append_proven(odd, ENTRY)


class FullDisk(io.FileIO):
    """A file on a disk with room for so many bytes more."""

    room = 40
    fails = False

    def write(self, data):
        if self.fails:
            raise OSError(errno.ENOSPC, "No space left on device")
        return super().write(bytes(data)[: self.room])


@pytest.mark.parametrize("fails", [False, True])
def test_a_full_disk_leaves_the_file_as_it_was(path, monkeypatch, fails):
    append_proven(path, ENTRY)
    before = path.read_bytes()
    monkeypatch.setattr(FullDisk, "fails", fails)
    monkeypatch.setattr(shop_file, "open", lambda name, mode, buffering: FullDisk(name, mode), raising=False)
    with pytest.raises(FileError, match="No space left" if fails else "only 40 of"):
        append_proven(path, ENTRY)
    assert path.read_bytes() == before


def test_entries_appended_at_once_all_arrive_whole(path):
    entries = [ENTRY.with_(checksum=f"{place:08x}", remark="x" * 3000) for place in range(16)]
    threads = [threading.Thread(target=append_proven, args=(path, entry)) for entry in entries]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert {e.checksum for e in read_proven(path)} == {e.checksum for e in entries}


def test_a_character_that_no_file_can_hold_is_refused_before_the_file_is_made(path):
    with pytest.raises(ArgumentError, match="no character that a file can hold"):
        append_proven(path, ENTRY.with_(remark="\ud800"))
    with pytest.raises(ArgumentError, match="it is no proven cut"):
        append_proven(path, {"checksum": "d06fa4ee"})
    assert not path.exists()


def test_a_date_that_is_left_out_is_todays():
    kept = {n: getattr(ENTRY, n) for n in ("checksum", "material", "family", "diameter", "substrate")}
    kept |= {n: getattr(ENTRY, n) for n in ("spindle_speed", "feed_rate", "stepover", "ra")}
    before = datetime.date.today()
    made = Proven(**kept)
    assert before <= made.date <= datetime.date.today()
    assert Proven(**kept, date=datetime.datetime(2026, 3, 31, 12, 30)).date == datetime.date(2026, 3, 31)


def test_bad_entries_are_listed_with_file_entry_and_key(path):
    append_proven(path, ENTRY)
    bad = (
        '[[proven]]\ndate = "31.3.26"\nchecksum = ""\nmaterial = 5\nfamily = "ball"\ndiameter = 6\n'
        'substrate = "wood"\nspindle_speed = "17500 rpm"\nfeed_rate = "-1 mm/min"\nstepover = nan\nra = "0.5 um"\n'
        "ra_factor = nan\nteeth = true\nnote = 1\n[[proven]]\n"
    )
    path.write_text(path.read_text(encoding="utf-8") + bad, encoding="utf-8")
    with pytest.raises(JobError) as caught:
        read_proven(path)
    found = {f.where.removeprefix(f"{path}: [[proven]] ") for f in caught.value.faults}
    wrong = ("date", "material", "diameter", "substrate", "feed_rate", "stepover", "ra_factor", "teeth", "note")
    missing = (
        "date",
        "checksum",
        "material",
        "family",
        "diameter",
        "substrate",
        "spindle_speed",
        "feed_rate",
        "stepover",
        "ra",
    )
    assert found == {f"2 {key}" for key in wrong} | {f"3 {key}" for key in missing}
    said = str(caught.value)
    assert "2 diameter: given 6; a length needs a unit" in said
    # a bad entry of the user's keeps nobody from adding the next
    append_proven(path, ENTRY)
    assert path.read_text(encoding="utf-8").count("d06fa4ee") == 2


def test_files_that_cannot_be_read_are_refused(tmp_path, path):
    for text in ("[[proven]", example_text(), "proven = 3"):
        path.write_text(text, encoding="utf-8")
        with pytest.raises(FileError):
            read_proven(path)
    with pytest.raises(FileError, match="No such file"):
        read_proven(tmp_path / "missing.toml")
    path.write_text("", encoding="utf-8")
    assert read_proven(path) == ()


@pytest.mark.parametrize("field", ["checksum", "material", "family"])
def test_empty_words_are_refused(field):
    with pytest.raises(JobError, match=f"{field}: given ''; it is empty"):
        ENTRY.with_(**{field: "  "})


def test_an_entry_of_a_plan_holds_what_was_set():
    made = proven_of(PLAN, "d06fa4ee", "0.5 um", date="2026-03-31", initials="ab")
    assert (made.family, made.substrate, made.teeth, made.initials) == ("ball", "coated carbide", 2, "ab")
    assert made.material == "42CrMo4"
    assert number(made, "stepover") == number(PLAN, "stepover_setting")
    for name in ("spindle_speed", "feed_rate", "point_spacing"):
        assert number(made, name) == number(PLAN, name), name
    assert made.ra_factor == pytest.approx(0.5 / number(PLAN, "ra"))
    assert proven_of(PLAN, "d06fa4ee", "0.5 um", ra_factor=1.1, feed_rate="2000 mm/min").ra_factor == 1.1
    with pytest.raises(ArgumentError, match="no plan of a finishing cut"):
        proven_of(EXAMPLE, "d06fa4ee", "0.5 um")
    with pytest.raises(JobError, match=r"ra: given 0.5; a roughness needs a unit"):
        proven_of(PLAN, "d06fa4ee", 0.5)
    for ra in ("-0.5 um", "0 um", math.nan):
        with pytest.raises(JobError, match="ra: given"):
            proven_of(PLAN, "d06fa4ee", ra)


LIKE = {
    "the same": ({}, True),
    "a tenth larger": ({"diameter": "6.6 mm"}, True),
    "more than a tenth larger": ({"diameter": "6.61 mm"}, False),
    "a tenth smaller": ({"diameter": "5.4 mm"}, True),
    "more than a tenth smaller": ({"diameter": "5.39 mm"}, False),
    "another family": ({"family": "corner radius"}, False),
    "another substrate": ({"substrate": "HSS"}, False),
    "the number of the same grade": ({"material": "1.7225"}, True),
    "its AISI name": ({"material": "AISI 4140"}, True),
    "another grade": ({"material": "C45"}, False),
    "a name that no catalogue has": ({"material": "our own steel"}, False),
}


@pytest.mark.parametrize("case", LIKE)
def test_proven_cuts_of_the_same_material_with_a_like_cutter_are_found(case):
    change, found = LIKE[case]
    entry = ENTRY.with_(**change)
    assert proven_for([entry], EXAMPLE) == ((entry,) if found else ())


def test_the_latest_come_first_and_other_jobs_find_theirs():
    days = ["2026-03-31", "2027-01-01", "2025-12-24"]
    entries = [ENTRY.with_(date=day) for day in days]
    assert [str(e.date) for e in proven_for(iter(entries), EXAMPLE)] == sorted(days, reverse=True)
    other = CornerRadiusEndMill(diameter="6 mm", corner_radius="1 mm", teeth=2)
    assert proven_for(entries, EXAMPLE.with_(cutter=other)) == ()
    larger = changed(cutter={"diameter": "6.5 mm"})
    assert isinstance(larger.cutter, BallEndMill)
    assert len(proven_for(entries, larger)) == 3
    rough = job_from_text(example_text("roughing"))
    as_rough = ENTRY.with_(family="corner radius", diameter="12 mm")
    assert proven_for([as_rough, *entries], rough) == (as_rough,)


def test_what_is_no_entry_or_no_job_is_refused():
    with pytest.raises(ArgumentError, match="it is no job"):
        proven_for([ENTRY], "job.toml")
    with pytest.raises(ArgumentError, match=r"entries\[1\]: given 5; it is no proven cut"):
        proven_for([ENTRY, 5], EXAMPLE)
