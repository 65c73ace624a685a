"""Families by name: those built in without a look around, those of others checked, chosen and listed."""

import subprocess
import sys

import pytest
from distributions import FAMILY, Installed, fresh

from millcalc import discovery
from millcalc.cutters import BallEndMill, Cutter, FlatEndMill, RoundInsertCutter, families, family
from millcalc.cutters.catalogue import GROUP, word_of, words
from millcalc.errors import ArgumentError, PluginError, UnknownNameError

BUILT_IN = ("flat", "ball", "corner radius", "tapered ball", "round insert")


@pytest.fixture
def installed(tmp_path, monkeypatch):
    yield from fresh(tmp_path, monkeypatch)


@pytest.fixture
def cone(installed: Installed) -> Installed:
    installed.add("trial-cones", {"steep-cone": "trial_cone:Cone"}, {"trial_cone": FAMILY.format(word="steep cone")})
    return installed


@pytest.mark.parametrize("word", BUILT_IN)
def test_each_built_in_word_finds_its_family(word):
    for spelled in (word, word.upper(), word.replace(" ", "-"), word.replace(" ", "_"), f" {word} "):
        assert family(spelled).family == word


def test_a_built_in_word_looks_at_nothing_else():
    code = (
        "import sys; from millcalc.cutters import family\n"
        f"[family(w) for w in {BUILT_IN}]; print('importlib_metadata' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_an_unknown_word_gets_the_nearest_of_all(cone):
    with pytest.raises(UnknownNameError, match=r"'falt' \(nearest: flat"):
        family("falt")
    with pytest.raises(UnknownNameError, match=r"'step cone' \(nearest: steep-cone\)"):
        family("step cone")
    assert "trial_cone" not in sys.modules
    with pytest.raises(ArgumentError, match="name: given 3; it is no text; accepted"):
        family(3)


def test_a_family_of_another_distribution_is_found_and_makes_cutters(cone):
    found = family("Steep Cone")
    assert found is family("trial-cones:steep-cone") is sys.modules["trial_cone"].Cone
    assert issubclass(found, Cutter)
    assert found(diameter="6 mm", teeth=2).profile.largest_radius == 3.0


@pytest.mark.parametrize(
    ("target", "reason"),
    [
        ("trial_wrong:made", "7 is no class derived from millcalc.cutters.Cutter"),
        ("trial_wrong:Plain", "Plain'> is no class derived from millcalc.cutters.Cutter"),
        ("trial_wrong:Cone", "the family of Cone is 'another cone', it is listed as 'wrong'"),
        ("trial_wrong:Nothing", "has no attribute 'Nothing'"),
    ],
)
def test_what_is_no_family_of_its_word_is_refused_by_distribution(installed, target, reason):
    code = FAMILY.format(word="another cone") + "\nmade = 7\n\n\nclass Plain:\n    family = 'wrong'\n"
    installed.add("trial-wrong", {"wrong": target}, {"trial_wrong": code}, version="0.9")
    with pytest.raises(PluginError) as raised:
        family("wrong")
    assert raised.value.faults[0].where == "trial-wrong 0.9"
    assert reason in raised.value.faults[0].reason
    assert reason in families()["wrong"].failure
    assert families()["ball"].usable


def test_a_built_in_word_cannot_be_taken_over(installed):
    installed.add("trial-balls", {"Ball": "trial_ball:Cone"}, {"trial_ball": FAMILY.format(word="ball")})
    assert family("ball") is BallEndMill
    theirs = family("trial-balls:ball")
    assert theirs is not BallEndMill
    assert theirs.family == "ball"
    listed = families()
    assert (listed["ball"].origin, listed["trial-balls:Ball"].origin) == ("millcalc", "trial-balls 1.0")
    assert (word_of(BallEndMill), word_of(theirs)) == ("ball", "trial-balls:Ball")


def test_two_distributions_with_one_word(installed):
    for name in ("one", "two"):
        code = {f"trial_{name}": FAMILY.format(word="wedge")}
        installed.add(f"trial-{name}", {"wedge": f"trial_{name}:Cone"}, code)
    with pytest.raises(PluginError, match="'trial-two:wedge' or 'trial-one:wedge'"):
        family("wedge")
    assert family("trial-one:wedge") is sys.modules["trial_one"].Cone
    assert {w for w in families() if "wedge" in w} == {"trial-one:wedge", "trial-two:wedge"}
    assert word_of(family("trial-two:wedge")) == "trial-two:wedge"


def test_words_are_listed_without_importing(cone):
    assert words()[:5] == BUILT_IN
    assert "steep-cone" in words()
    assert "trial_cone" not in sys.modules


def test_families_are_listed_with_origin_and_parameters(cone):
    cone.add("trial-bad", {"bad": "trial_bad:Cone"}, {"trial_bad": "1 / 0"}, version="0.2")
    listed = families()
    assert tuple(listed)[:5] == BUILT_IN
    assert {w for w, f in listed.items() if f.origin == "millcalc"} == set(BUILT_IN)
    steep, bad = listed["steep-cone"], listed["bad"]
    assert (steep.word, steep.origin, steep.usable, steep.failure) == ("steep-cone", "trial-cones 1.0", True, "")
    assert (bad.origin, bad.usable, bad.parameters) == ("trial-bad 0.2", False, ())
    assert "ZeroDivisionError: division by zero" in bad.failure
    assert isinstance(discovery.found(GROUP)["bad"].failure, ZeroDivisionError)


def test_parameters_say_unit_default_meaning_and_what_is_accepted(cone):
    listed = {p.name: p for p in families()["steep-cone"].parameters}
    shown = {n: (p.unit, p.default, p.required, p.accepted) for n, p in listed.items()}
    assert shown["diameter"] == ("mm", None, True, "above 0 mm, finite")
    assert shown["half_angle"] == ("deg", 30.0, False, "finite")
    assert shown["land"] == ("mm", float("inf"), False, "from 0 mm, finite or 'all'")
    assert shown["teeth"] == ("1", None, True, "from 1 up to 100")
    assert shown["substrate"][:3] == ("", "coated carbide", False)
    assert "'carbide' or 'HSS'" in shown["substrate"][3]
    assert shown["note"] == ("", "", False, "")
    assert listed["teeth"].meaning == "number of cutting edges"


def test_every_built_in_parameter_has_a_meaning():
    for listed in families().values():
        if listed.origin == "millcalc":
            assert all(p.meaning for p in listed.parameters), listed.word


def test_a_family_that_nobody_adds_has_no_word(installed):
    class Own(FlatEndMill):
        family = "own"

    with pytest.raises(UnknownNameError, match="no distribution adds the family 'own' of Own"):
        word_of(Own)
    assert word_of(RoundInsertCutter) == "round insert"
