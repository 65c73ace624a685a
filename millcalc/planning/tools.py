"""What the kernel asks of the tool: of a ball in closed form, of any other form by the engine.

Both answer the same questions.  A ball's answers do not depend on how the axis leans, where they do on the form's the
worst of the job's conditions is taken.
"""

from collections.abc import Callable
from math import inf
from typing import Any, Protocol

import numpy as np

from millcalc.cutters._engine import cap
from millcalc.cutters.shape import Shape
from millcalc.formulas import ball, ball_chip, curves, finish, marks, passes, scallops
from millcalc.planning.calculation import Calculation
from millcalc.quantities.kinds import FEED_PER_TOOTH, LENGTH, ROUGHNESS, SCALLOP_HEIGHT, Kind

__all__ = ["BallTool", "FormTool", "Tool"]

Numbers = dict[str, Any]


class Tool(Protocol):
    """The questions of the kernel."""

    flat_bottom: Any
    """Whether the tool's bottom is flat."""

    def engaged_depths(self, calc: Calculation, n: Numbers, depth: Any) -> dict[str, Any]:
        """Depths on a plane that engage as much of the tool across and along."""

    def scallop_for(self, calc: Calculation, n: Numbers, quantity: str, value: Any, title: str) -> Any:
        """Scallop height whose "ra" or "rz" is a value."""

    def ra_of(self, calc: Calculation, n: Numbers, scallop_height: Any, title: str) -> Any:
        """Ra of the surface with a scallop height."""

    def stepover_for(self, calc: Calculation, n: Numbers, scallop_height: Any) -> tuple[Any, Any]:
        """Stepover that leaves a scallop height, and that up to which passes meet."""

    def scallop_of(self, calc: Calculation, n: Numbers, stepover: Any) -> Any:
        """Scallop height that a stepover leaves; notes it in each condition where they differ."""

    def surface_of(self, calc: Calculation, n: Numbers) -> tuple[Any, Any]:
        """Ra and Rz of the surface left."""

    def diameters(self, calc: Calculation, depth: Any, stepover: Any, title: str) -> tuple[Any, Any, Any]:
        """Least, contact and largest cutting diameter in each condition; a stepover of None is a full-width cut."""

    def clearing(self, calc: Calculation, depth: Any) -> Any:
        """Inclination that clears the tip."""

    def feed_for_chip(self, calc: Calculation, chip: Any, stepover: Any, title: str) -> Any:
        """Feed per tooth whose largest chip has a thickness."""

    def largest_chip(self, calc: Calculation, feed: Any, stepover: Any, title: str) -> Any:
        """Largest chip thickness of a feed per tooth."""

    def mean_chip(self, calc: Calculation, feed: Any, stepover: Any, title: str) -> Any:
        """Mean chip thickness of a feed per tooth."""

    def feed_for_marks(self, calc: Calculation, n: Numbers, others: Any) -> Any:
        """Feed per tooth whose marks stay within their height, where other limits leave a feed."""

    def marks_of(self, calc: Calculation, n: Numbers) -> tuple[Any, Any, Any]:
        """Height of marks a tooth apart, a revolution apart, and with runout."""

    def path_radius(self, calc: Calculation, n: Numbers, point: str) -> Any:
        """Radius of the path of the programmed point along the feed."""

    def misfits(self, calc: Calculation, n: Numbers) -> dict[str, Any]:
        """Where the tool does not fit into the surface across or along, or has no point that touches."""

    def remarks(self, calc: Calculation, n: Numbers) -> dict[str, Any]:
        """Where cautions that depend on the tool's form apply."""


class BallTool:
    """A ball-nose cutter: every answer a closed form of its diameter."""

    flat_bottom: Any = np.False_

    def __init__(self, diameter: Any) -> None:
        self.diameter = diameter

    def engaged_depths(self, calc: Calculation, n: Numbers, depth: Any) -> dict[str, Any]:
        across = calc.use(ball.engaged_depth, self.diameter, depth, n["radius_across"], title="depth engaged across")
        along = calc.use(ball.engaged_depth, self.diameter, depth, n["radius_along"], title="depth engaged along")
        return {"across": across, "along": along}

    def scallop_for(self, calc: Calculation, n: Numbers, quantity: str, value: Any, title: str) -> Any:
        inverse = finish.scallop_from_rz if quantity == "rz" else finish.scallop_from_ra
        return calc.use(inverse, self.diameter, value, title=title)

    def ra_of(self, calc: Calculation, n: Numbers, scallop_height: Any, title: str) -> Any:
        return calc.use(finish.ra_from_scallop, self.diameter, scallop_height, title=title)

    def stepover_for(self, calc: Calculation, n: Numbers, scallop_height: Any) -> tuple[Any, Any]:
        place = (self.diameter, n["radius_across"])
        exact = calc.use(scallops.scallop_stepover, self.diameter, scallop_height, n["radius_across"])
        return exact, calc.use(passes.largest_stepover, *place, title="stepover up to which passes meet")

    def scallop_of(self, calc: Calculation, n: Numbers, stepover: Any) -> Any:
        found = calc.use(scallops.scallop_height, self.diameter, stepover, n["radius_across"])
        if "stepover" in calc.each:
            each = (self.diameter, calc.each["stepover"], n["radius_across"])
            calc.each["scallop_height"] = calc.use(scallops.scallop_height, *each, title="scallop height")
        return found

    def surface_of(self, calc: Calculation, n: Numbers) -> tuple[Any, Any]:
        height = calc.values["scallop_height"]
        ra = calc.use(finish.ra_from_scallop, self.diameter, height, title="Ra across")
        return ra, calc.use(finish.rz_from_scallop, self.diameter, height, title="Rz across")

    def diameters(self, calc: Calculation, depth: Any, stepover: Any, title: str) -> tuple[Any, Any, Any]:
        case = (self.diameter, depth, calc.each["lead"], calc.each["tilt"], stepover, calc.uncut_side)
        found: tuple[Any, Any, Any] = calc.use(ball.ball_cutting_diameters, *case, title=title)
        return found

    def clearing(self, calc: Calculation, depth: Any) -> Any:
        return calc.use(ball.clearing_inclination, self.diameter, depth)

    def feed_for_chip(self, calc: Calculation, chip: Any, stepover: Any, title: str) -> Any:
        cut = (self.diameter, calc.values["engaged_depth"], stepover)
        return calc.use(ball_chip.ball_feed_per_tooth_for_chip, chip, *cut, title=title)

    def largest_chip(self, calc: Calculation, feed: Any, stepover: Any, title: str) -> Any:
        cut = (self.diameter, calc.values["engaged_depth"], stepover)
        return calc.use(ball_chip.ball_max_chip_thickness, feed, *cut, title=title)

    def mean_chip(self, calc: Calculation, feed: Any, stepover: Any, title: str) -> Any:
        cut = (self.diameter, calc.values["engaged_depth"], stepover)
        return calc.use(ball_chip.ball_mean_chip_thickness, feed, *cut, title=title)

    def feed_for_marks(self, calc: Calculation, n: Numbers, others: Any) -> Any:
        v = calc.values
        case = (self.diameter, v["mark_allowed"], n["teeth"], n["eccentricity"], v["inclination"], others)
        return calc.use(marks.feed_per_tooth_for_marks, *case, n["radius_along"])

    def marks_of(self, calc: Calculation, n: Numbers) -> tuple[Any, Any, Any]:
        v, along = calc.values, n["radius_along"]
        tooth = (self.diameter, v["feed_per_tooth"], along)
        revolution = (self.diameter, v["feed_per_revolution"], along)
        runout = (self.diameter, v["feed_per_tooth"], n["teeth"], n["eccentricity"], v["inclination"], along)
        return (
            calc.use(marks.tooth_mark_height, *tooth, title="marks per tooth"),
            calc.use(marks.revolution_mark_height, *revolution, title="marks per revolution"),
            calc.use(marks.runout_mark_height, *runout, title="Rz along the feed"),
        )

    def path_radius(self, calc: Calculation, n: Numbers, point: str) -> Any:
        place = (self.diameter, n["radius_along"])
        if point == "centre":
            return calc.use(curves.centre_path_radius, *place, title="radius of the programmed path")
        lean = (calc.each["lead"], calc.each["tilt"])
        radius = calc.use(curves.tip_path_radius, *place, *lean, title="radius of the tip's path")
        return calc.over_conditions("largest radius of the tip's path", LENGTH, radius, most=True)

    def misfits(self, calc: Calculation, n: Numbers) -> dict[str, Any]:
        radius = 0.5 * self.diameter
        return {
            f"concave_{way}": (n[f"radius_{way}"] <= 0) & (n[f"radius_{way}"] >= -radius) for way in ("across", "along")
        }

    def remarks(self, calc: Calculation, n: Numbers) -> dict[str, Any]:
        tilt = np.max(np.abs(calc.each["tilt"]), axis=0)
        tightest = np.minimum(*(np.where(n[r] < 0, np.abs(n[r]), np.inf) for r in ("radius_across", "radius_along")))
        return {
            "shank_cuts_scallop": calc.values["stepover"] > self.diameter * np.cos(np.radians(tilt)) * (1.0 + 1e-12),
            "tight_radius": tightest < 1.25 * 0.5 * self.diameter,
        }


class FormTool:
    """A cutter of any form: every answer from the engine, the worst of the job's conditions."""

    def __init__(self, shape: Shape, diameter: Any, axis_fixed: bool) -> None:
        self.shape = shape
        self.diameter = diameter
        self.axis_fixed = axis_fixed
        self.flat_bottom: Any = np.asarray(shape.flat_width.bare(0.0, 0.0)) > 0.0

    def _lean(self, calc: Calculation) -> tuple[Any, Any]:
        return calc.each["lead"], calc.each["tilt"]

    def _across(self, calc: Calculation, n: Numbers) -> tuple[Any, Any, Any]:
        return (*self._lean(calc), n["radius_across"])

    def _along(self, calc: Calculation, n: Numbers) -> tuple[Any, Any, Any]:
        return (*self._lean(calc), n["radius_along"])

    def _worst(self, calc: Calculation, title: str, kind: Kind, asked: Any, case: Any, most: bool) -> Any:
        """Ask in each condition and take the greatest or the least."""
        return calc.over_conditions(title, kind, calc.use(asked, *case, title=title), most=most)

    def engaged_depths(self, calc: Calculation, n: Numbers, depth: Any) -> dict[str, Any]:
        lean = self._lean(calc)
        leans = {"across": lean, "along": cap.turned_aside(*lean)}
        found = {}
        for way, seen in leans.items():
            case = (depth, *seen, n[f"radius_{way}"])
            title = f"depth engaged {way}"
            found[way] = self._worst(calc, title, LENGTH, self.shape.engaged_depth, case, True)
        return found

    def scallop_for(self, calc: Calculation, n: Numbers, quantity: str, value: Any, title: str) -> Any:
        if quantity == "rz":
            return calc.use(finish.scallop_from_rz, self.diameter, value, title=title)
        if "marks" in title:
            # marks are short arcs of the tool, whatever its form
            return calc.use(finish.scallop_from_ra, self.diameter, value, title=title)
        case = (value, *self._across(calc, n))
        found = self._worst(calc, title, SCALLOP_HEIGHT, self.shape.scallop_for_ra, case, False)
        if not np.any(np.isnan(found)):
            return found
        # a flat bottom that leaves no such scallop: the height of arcs is allowed, and every stepover that meets
        arcs = calc.use(finish.scallop_from_ra, self.diameter, value, title=f"{title}, of arcs")
        return np.where(np.isnan(found), arcs, found)

    def ra_of(self, calc: Calculation, n: Numbers, scallop_height: Any, title: str) -> Any:
        place = self._across(calc, n)
        stepover = calc.use(self.shape.stepover, scallop_height, *place, False, title="stepover of that scallop")
        ra = calc.use(self.shape.roughness, stepover, *place, title=title)[0]
        found = calc.over_conditions(title, ROUGHNESS, ra, most=True)
        if not np.any(np.isnan(found)):
            return found
        arcs = calc.use(finish.ra_from_scallop, self.diameter, scallop_height, title=f"{title}, of arcs")
        return np.where(np.isnan(found), arcs, found)

    def stepover_for(self, calc: Calculation, n: Numbers, scallop_height: Any) -> tuple[Any, Any]:
        place, fixed = self._across(calc, n), self.axis_fixed
        case = (scallop_height, *place, fixed)
        exact = self._worst(calc, "stepover for the scallop", LENGTH, self.shape.stepover, case, False)
        title = "stepover up to which passes meet"
        return exact, self._worst(calc, title, LENGTH, self.shape.largest_stepover, place, False)

    def scallop_of(self, calc: Calculation, n: Numbers, stepover: Any) -> Any:
        each = calc.each.get("stepover", stepover)
        case = (each, *self._across(calc, n), self.axis_fixed)
        found = calc.use(self.shape.scallop_height, *case, title="scallop height")
        calc.each["scallop_height"] = found
        return calc.over_conditions("largest scallop height", SCALLOP_HEIGHT, found, most=True)

    def surface_of(self, calc: Calculation, n: Numbers) -> tuple[Any, Any]:
        each = calc.each.get("stepover", calc.values["stepover"])
        ra, rz, _ = calc.use(self.shape.roughness, each, *self._across(calc, n), title="roughness across")
        largest = calc.over_conditions("largest Ra across", ROUGHNESS, ra, most=True)
        return largest, calc.over_conditions("largest Rz across", ROUGHNESS, rz, most=True)

    def diameters(self, calc: Calculation, depth: Any, stepover: Any, title: str) -> tuple[Any, Any, Any]:
        case = (depth, *self._lean(calc), inf if stepover is None else stepover, calc.uncut_side)
        found: tuple[Any, Any, Any] = calc.use(self.shape.cutting_diameters, *case, title=title)
        return found

    def clearing(self, calc: Calculation, depth: Any) -> Any:
        return calc.use(self.shape.clearing_inclination, depth)

    def _cut(self, calc: Calculation, stepover: Any) -> tuple[Any, ...]:
        return (calc.values["engaged_depth"], *self._lean(calc), stepover, calc.uncut_side)

    def feed_for_chip(self, calc: Calculation, chip: Any, stepover: Any, title: str) -> Any:
        case = (chip, *self._cut(calc, stepover))
        return self._worst(calc, title, FEED_PER_TOOTH, self.shape.feed_per_tooth_for_chip, case, False)

    def largest_chip(self, calc: Calculation, feed: Any, stepover: Any, title: str) -> Any:
        case = (feed, *self._cut(calc, stepover))
        return self._worst(calc, title, LENGTH, self.shape.max_chip_thickness, case, True)

    def mean_chip(self, calc: Calculation, feed: Any, stepover: Any, title: str) -> Any:
        case = (feed, *self._cut(calc, stepover))
        return self._worst(calc, title, LENGTH, self.shape.mean_chip_thickness, case, False)

    def feed_for_marks(self, calc: Calculation, n: Numbers, others: Any) -> Any:
        case = (calc.values["mark_allowed"], *self._along(calc, n), n["teeth"], n["eccentricity"], others)
        title = "feed per tooth for marks"
        return self._worst(calc, title, FEED_PER_TOOTH, self.shape.feed_per_tooth_for_marks, case, False)

    def marks_of(self, calc: Calculation, n: Numbers) -> tuple[Any, Any, Any]:
        v, place = calc.values, self._along(calc, n)
        height = self.shape.mark_height
        runout = (v["feed_per_tooth"], *place, n["teeth"], n["eccentricity"])
        cases: list[tuple[str, Callable[..., Any], tuple[Any, ...]]] = [
            ("marks per tooth", height, (v["feed_per_tooth"], *place)),
            ("marks per revolution", height, (v["feed_per_revolution"], *place)),
            ("Rz along the feed", self.shape.runout_mark_height, runout),
        ]
        one, other, last = (self._worst(calc, t, SCALLOP_HEIGHT, asked, case, True) for t, asked, case in cases)
        return one, other, last

    def path_radius(self, calc: Calculation, n: Numbers, point: str) -> Any:
        asked = self.shape.reference_path_radius if point == "centre" else self.shape.tip_path_radius
        case = (n["radius_along"], *self._lean(calc))
        return self._worst(calc, "radius of the programmed path", LENGTH, asked, case, True)

    def misfits(self, calc: Calculation, n: Numbers) -> dict[str, Any]:
        lean = self._lean(calc)
        touches = self.shape.contact.bare(*lean)[0]
        return {
            "concave_across": self._gouges(lean, n["radius_across"]),
            "concave_along": self._gouges(cap.turned_aside(*lean), n["radius_along"]),
            "no_contact": np.any(np.isnan(touches), axis=0) if np.ndim(touches) else np.isnan(touches),
        }

    def _gouges(self, lean: tuple[Any, Any], radius: Any) -> Any:
        if not np.any(radius < 0.0):
            return np.zeros(np.shape(radius), dtype=bool)
        return np.any(np.atleast_1d(self.shape.gouge_depth.bare(*lean, radius)) > 0.0, axis=0)

    def remarks(self, calc: Calculation, n: Numbers) -> dict[str, Any]:
        lean, found = self._lean(calc), {}
        near = [
            self._gouges(w, 0.8 * n[f"radius_{r}"]) for w, r in ((lean, "across"), (cap.turned_aside(*lean), "along"))
        ]
        found["tight_radius"] = near[0] | near[1]
        widest = self.shape.largest_stepover.bare(*lean, n["radius_across"])
        found["passes_hardly_meet"] = calc.values["stepover"] > 0.9 * np.min(np.atleast_1d(widest), axis=0)
        if n["flute_length"] is not None:
            height = self.shape.highest_edge.bare(calc.values["engaged_depth"], *lean)
            calc.values["highest_edge"] = np.max(np.atleast_1d(height), axis=0)
            found["above_flutes"] = calc.values["highest_edge"] > n["flute_length"] * (1.0 + 1e-9)
        segment = cap.segment_window(self.shape.profile)
        if segment is not None:
            inclination = np.degrees(cap.inclination(*lean))
            outside = (inclination < segment[0] - 1e-9) | (inclination > segment[1] + 1e-9)
            calc.values["segment_from"], calc.values["segment_to"] = segment
            found["off_segment"] = np.any(np.atleast_1d(outside), axis=0)
        return found
