"""Plugins that are wrong in every way a plugin can be, as wheels, and one that is right."""

from distributions import FAMILY
from wheels import Wheel

CUTTERS = "millcalc.cutters"


def _family(word: str, before: str = "") -> str:
    return FAMILY.format(word=word) + before


def _one(name: str, version: str, word: str, code: str, attribute: str = "Cone") -> Wheel:
    module = name.replace("-", "_")
    return Wheel(name, version, {f"{module}.py": code}, {CUTTERS: {word: f"{module}:{attribute}"}})


_REGISTERING = """
class Shy(type(Cone)):
    @property
    def family(cls):
        raise LookupError("the word of this family cannot be made up")

Shy_Cone = Shy("Shy_Cone", (Cone,), {})
"""
_ASKING = """
from millcalc import example_job, families, material, plan, plan_page, plugins

LISTED = families()
PAGE = plan_page(plan(example_job()))
STEEL = material("C45").designation
STATES = plugins(load=True)
"""
_DEEP = """
def outer():
    return inner()

def inner():
    return {}["no such key"]

outer()
"""

GOOD = _one("trial-good", "1.2", "good-cone", _family("good cone", "\nMILLCALC_API = 1\n"))
IMPORTING = _one("trial-importing", "0.1", "importing", _DEEP)
REGISTERING = _one("trial-registering", "0.2", "registering", _family("shy", _REGISTERING), "Shy_Cone")
WRONG_TYPE = _one("trial-wrong-type", "0.3", "function", "Cone = {'no': 'class'}\n")
OLD = Wheel(
    "trial-old",
    "0.4",
    {"trial_old/__init__.py": "MILLCALC_API = 2\n", "trial_old/shapes.py": _family("old")},
    {CUTTERS: {"old": "trial_old.shapes:Cone"}},
)
TWINS = tuple(_one(f"trial-twin-{x}", "2.0", "twin", _family("twin")) for x in "ab")
SHADOW = _one("trial-shadow", "0.5", "ball", _family("ball"))
ASKER = _one("trial-asker", "0.6", "asker", _family("asker", _ASKING))
NEEDY = Wheel(
    "trial-needy",
    "0.7",
    {"trial_needy.py": "import a_library_that_is_missing\n"},
    {CUTTERS: {"needy": "trial_needy:Cone"}},
    ["a-library-that-is-missing>=3"],
)
GONE = _one("trial-gone", "0.8", "gone", _family("gone"))
LEAVING = _one("trial-leaving", "0.9", "leaving", "raise SystemExit('goodbye')\n")
MISSPELT = Wheel(
    "trial-misspelt", "1.0", {"trial_misspelt.py": ""}, {"millcalc.cutter": {"lost": "trial_misspelt:Cone"}}
)
TWICE = Wheel(
    "trial-twice",
    "1.1",
    {"trial_twice.py": _family("twice")},
    {CUTTERS: {"twice": "trial_twice:Cone\ntwice = trial_twice:Other"}},
)

ALL = (*(GOOD, IMPORTING, REGISTERING, WRONG_TYPE, OLD, *TWINS, SHADOW, ASKER, NEEDY, GONE, LEAVING, MISSPELT, TWICE),)

CAUSES = {
    "importing": ("trial-importing", "0.1", "KeyError", "return inner()"),
    "registering": ("trial-registering", "0.2", "LookupError: the word of this family cannot be made up", "in family"),
    "function": ("trial-wrong-type", "0.3", "TypeError", "is no class derived from millcalc.cutters.Cutter"),
    "old": ("trial-old", "0.4", "another version of the interface", "MILLCALC_API of trial_old"),
    "needy": ("trial-needy", "0.7", "ModuleNotFoundError", "import a_library_that_is_missing"),
    "gone": ("trial-gone", "0.8", "ModuleNotFoundError", "No module named 'trial_gone'"),
    "leaving": ("trial-leaving", "0.9", "SystemExit: goodbye", "raise SystemExit"),
    "twice": ("trial-twice", "1.1", "no choice is made", "state this name twice"),
}
"""Name to distribution, version, how the cause begins, and what its traceback shows."""
