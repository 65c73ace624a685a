"""Planning: a job in, a plan out.

The public names are loaded when first used: who only plans does not wait for the comparison.
"""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from millcalc.cutters import BallEndMill
    from millcalc.planning.assumed import Assumptions
    from millcalc.planning.comparing import Comparison, compare
    from millcalc.planning.costs import Costs, Wear
    from millcalc.planning.effects import Sensitivity, sensitivity
    from millcalc.planning.finishing import Plan, plan
    from millcalc.planning.job import FinishingJob
    from millcalc.planning.machine_times import MachineFit, TimedMove, fit_machine, time_factor_of
    from millcalc.planning.measured import MarkFit, Measured, SurfaceReading, read_surface
    from millcalc.planning.parts import Axis, Before, Finish, Fixed, Machine, Passes, Shop, Surface
    from millcalc.planning.patch import Patch, test_patch
    from millcalc.planning.paths.evaluation import evaluate_path
    from millcalc.planning.paths.files import read_path
    from millcalc.planning.paths.points import Path, PathSource
    from millcalc.planning.paths.result import PathResult
    from millcalc.planning.paths.settings import PathCut
    from millcalc.planning.proven import Proven, proven_for, proven_of
    from millcalc.planning.reading import example_job, example_text, read_job
    from millcalc.planning.roughing.job import RoughingJob
    from millcalc.planning.roughing.parts import Pocket, RoughingAssumptions, RoughingCut, RoughingFixed
    from millcalc.planning.roughing.plan import RoughingPlan
    from millcalc.planning.routes.drawer import RouteFront, search_drawer
    from millcalc.planning.routes.parts import Operation, Route
    from millcalc.planning.routes.plan import RoutePlan, plan_route
    from millcalc.planning.routes.reading import example_route, example_route_text, read_route
    from millcalc.planning.shop_file import append_proven, read_proven
    from millcalc.planning.uncertainty import Spread, spread

_HOMES = {
    "millcalc.cutters": ("BallEndMill",),
    "millcalc.planning.assumed": ("Assumptions",),
    "millcalc.planning.comparing": ("Comparison", "compare"),
    "millcalc.planning.job": ("FinishingJob",),
    "millcalc.planning.parts": ("Axis", "Before", "Finish", "Fixed", "Machine", "Passes", "Shop", "Surface"),
    "millcalc.planning.finishing": ("Plan", "plan"),
    "millcalc.planning.reading": ("example_job", "example_text", "read_job"),
    "millcalc.planning.roughing.job": ("RoughingJob",),
    "millcalc.planning.roughing.parts": ("Pocket", "RoughingAssumptions", "RoughingCut", "RoughingFixed"),
    "millcalc.planning.roughing.plan": ("RoughingPlan",),
    "millcalc.planning.routes.parts": ("Operation", "Route"),
    "millcalc.planning.routes.plan": ("RoutePlan", "plan_route"),
    "millcalc.planning.routes.drawer": ("RouteFront", "search_drawer"),
    "millcalc.planning.routes.reading": ("example_route", "example_route_text", "read_route"),
    "millcalc.planning.effects": ("Sensitivity", "sensitivity"),
    "millcalc.planning.uncertainty": ("Spread", "spread"),
    "millcalc.planning.patch": ("Patch", "test_patch"),
    "millcalc.planning.measured": ("Measured", "MarkFit", "SurfaceReading", "read_surface"),
    "millcalc.planning.machine_times": ("MachineFit", "TimedMove", "fit_machine", "time_factor_of"),
    "millcalc.planning.proven": ("Proven", "proven_for", "proven_of"),
    "millcalc.planning.shop_file": ("append_proven", "read_proven"),
    "millcalc.planning.costs": ("Costs", "Wear"),
    "millcalc.planning.paths.points": ("Path", "PathSource"),
    "millcalc.planning.paths.settings": ("PathCut",),
    "millcalc.planning.paths.evaluation": ("evaluate_path",),
    "millcalc.planning.paths.files": ("read_path",),
    "millcalc.planning.paths.result": ("PathResult",),
}
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names}

__all__ = [
    "Assumptions",
    "Axis",
    "BallEndMill",
    "Before",
    "Comparison",
    "Costs",
    "Finish",
    "FinishingJob",
    "Fixed",
    "Machine",
    "MachineFit",
    "MarkFit",
    "Measured",
    "Operation",
    "Passes",
    "Patch",
    "Path",
    "PathCut",
    "PathResult",
    "PathSource",
    "Plan",
    "Pocket",
    "Proven",
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
    "SurfaceReading",
    "TimedMove",
    "Wear",
    "append_proven",
    "compare",
    "evaluate_path",
    "example_job",
    "example_route",
    "example_route_text",
    "example_text",
    "fit_machine",
    "plan",
    "plan_route",
    "proven_for",
    "proven_of",
    "read_job",
    "read_path",
    "read_proven",
    "read_route",
    "read_surface",
    "search_drawer",
    "sensitivity",
    "spread",
    "test_patch",
    "time_factor_of",
]


def __getattr__(name: str) -> Any:
    home = _HOME_OF.get(name)
    if home is None:
        raise AttributeError(f"millcalc.planning has no name {name!r}")
    value = getattr(importlib.import_module(home), name)
    globals()[name] = value
    return value
