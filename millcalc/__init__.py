"""Plan finishing cuts before a tool path is computed: scallop, finish, speed, feed, points, time.

The public names are loaded when first used, so that importing the package costs next to nothing.
"""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from millcalc.cutters import (
        Assembly,
        BallEndMill,
        CornerRadiusEndMill,
        FlatEndMill,
        HolderSection,
        RoundInsertCutter,
        TaperedBallEndMill,
        cutter_from_iso13399,
        cutter_text,
        families,
        family,
        iso13399_of,
        read_cutter,
        write_cutter,
    )
    from millcalc.errors import MillcalcError, MillcalcWarning, ValidityWarning
    from millcalc.loads.body import ToolBody
    from millcalc.loads.coefficients import ForceCoefficients
    from millcalc.loads.forces import MillingForce
    from millcalc.materials import Material, material, read_materials
    from millcalc.planning import (
        Assumptions,
        Axis,
        Before,
        Comparison,
        Finish,
        FinishingJob,
        Fixed,
        Machine,
        Operation,
        Passes,
        Patch,
        Plan,
        Pocket,
        RoughingAssumptions,
        RoughingCut,
        RoughingFixed,
        RoughingJob,
        RoughingPlan,
        Route,
        RouteFront,
        RoutePlan,
        Sensitivity,
        Shop,
        Spread,
        Surface,
        compare,
        example_job,
        example_route,
        example_route_text,
        example_text,
        plan,
        plan_route,
        read_job,
        read_route,
        search_drawer,
        sensitivity,
        spread,
        test_patch,
    )
    from millcalc.quantities.display import units
    from millcalc.quantities.registries import define_trade_words
    from millcalc.report import (
        Page,
        comparison_page,
        front_page,
        page_html,
        page_of,
        page_text,
        plan_page,
        route_page,
    )
    from millcalc.sources import source

__version__ = "0.1.0"

_HOMES = {
    "millcalc.cutters": (
        "Assembly",
        "BallEndMill",
        "CornerRadiusEndMill",
        "FlatEndMill",
        "HolderSection",
        "RoundInsertCutter",
        "TaperedBallEndMill",
        "cutter_from_iso13399",
        "cutter_text",
        "families",
        "family",
        "iso13399_of",
        "read_cutter",
        "write_cutter",
    ),
    "millcalc.errors": ("MillcalcError", "MillcalcWarning", "ValidityWarning"),
    "millcalc.loads.body": ("ToolBody",),
    "millcalc.loads.coefficients": ("ForceCoefficients",),
    "millcalc.loads.forces": ("MillingForce",),
    "millcalc.materials": ("Material", "material", "read_materials"),
    "millcalc.planning": (
        "Assumptions",
        "Axis",
        "Before",
        "Comparison",
        "Finish",
        "FinishingJob",
        "Fixed",
        "Machine",
        "Operation",
        "Passes",
        "Patch",
        "Plan",
        "Pocket",
        "RoughingAssumptions",
        "RoughingCut",
        "RoughingFixed",
        "RoughingJob",
        "RoughingPlan",
        "Route",
        "RouteFront",
        "RoutePlan",
        "Sensitivity",
        "Shop",
        "Spread",
        "Surface",
        "compare",
        "example_job",
        "example_route",
        "example_route_text",
        "example_text",
        "plan",
        "plan_route",
        "read_job",
        "read_route",
        "search_drawer",
        "sensitivity",
        "spread",
        "test_patch",
    ),
    "millcalc.quantities.display": ("units",),
    "millcalc.quantities.registries": ("define_trade_words",),
    "millcalc.report": (
        "Page",
        "comparison_page",
        "front_page",
        "page_html",
        "page_of",
        "page_text",
        "plan_page",
        "route_page",
    ),
    "millcalc.sources": ("source",),
}
_PACKAGES = ("cutters", "formulas", "materials")
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names}

__all__ = [
    "Assembly",
    "Assumptions",
    "Axis",
    "BallEndMill",
    "Before",
    "Comparison",
    "CornerRadiusEndMill",
    "Finish",
    "FinishingJob",
    "Fixed",
    "FlatEndMill",
    "ForceCoefficients",
    "HolderSection",
    "Machine",
    "Material",
    "MillcalcError",
    "MillcalcWarning",
    "MillingForce",
    "Operation",
    "Page",
    "Passes",
    "Patch",
    "Plan",
    "Pocket",
    "RoughingAssumptions",
    "RoughingCut",
    "RoughingFixed",
    "RoughingJob",
    "RoughingPlan",
    "RoundInsertCutter",
    "Route",
    "RouteFront",
    "RoutePlan",
    "Sensitivity",
    "Shop",
    "Spread",
    "Surface",
    "TaperedBallEndMill",
    "ToolBody",
    "ValidityWarning",
    "compare",
    "comparison_page",
    "cutter_from_iso13399",
    "cutter_text",
    "cutters",
    "define_trade_words",
    "example_job",
    "example_route",
    "example_route_text",
    "example_text",
    "families",
    "family",
    "formulas",
    "front_page",
    "iso13399_of",
    "material",
    "materials",
    "page_html",
    "page_of",
    "page_text",
    "plan",
    "plan_page",
    "plan_route",
    "read_cutter",
    "read_job",
    "read_materials",
    "read_route",
    "route_page",
    "search_drawer",
    "sensitivity",
    "source",
    "spread",
    "test_patch",
    "units",
    "write_cutter",
]


def __getattr__(name: str) -> Any:
    if name in _PACKAGES:
        return importlib.import_module(f"millcalc.{name}")
    home = _HOME_OF.get(name)
    if home is None:
        raise AttributeError(f"millcalc has no name {name!r}")
    value = getattr(importlib.import_module(home), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
