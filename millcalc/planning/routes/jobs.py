"""From a route to its jobs: what each operation finds is what the one before has left."""

from __future__ import annotations

from typing import Any

import attrs

from millcalc.cutters import BallEndMill, Cutter
from millcalc.errors import Fault, JobError
from millcalc.formulas import stock
from millcalc.planning.assumed import Assumptions
from millcalc.planning.job import FinishingJob
from millcalc.planning.parts import Before, Finish, Fixed, Surface
from millcalc.planning.roughing.job import RoughingJob
from millcalc.planning.roughing.parts import RoughingAssumptions, RoughingCut, RoughingFixed
from millcalc.planning.routes.parts import Operation, Route
from millcalc.quantities.record import number

__all__ = ["SEMI_SCALLOP", "Left", "job_of", "left_at_start"]

SEMI_SCALLOP = 0.2
"""Scallop of a semi-finish over the stock it leaves, if nobody states it (common practice)."""
_UM = 1000.0


@attrs.frozen
class Left:
    """What an operation leaves for the next: lengths in mm, heights and errors in um.

    `stated` is what stands before the first operation, as the route states it.
    """

    stock: float
    cutter: Cutter | None = None
    stair_thickness: float | None = None
    scallop_height: float | None = None
    stepover: float | None = None
    deflection: float = 0.0
    chord_error: float = 0.0
    stated: Before | None = None

    @property
    def unevenness(self) -> float:
        """Thickness [mm] of stairs or scallops that stand on the stock."""
        return (self.stair_thickness or 0.0) + (self.scallop_height or 0.0) / _UM


def left_at_start(route: Route) -> Left | None:
    """Return what stands before the first operation, or None where that is roughing from the solid."""
    if route.before is None:
        return None
    return Left(stock=number(route.before, "stock"), stated=route.before)


def job_of(route: Route, step: Operation, cutter: Cutter, left: Left | None) -> RoughingJob | FinishingJob:
    """Return the job of an operation.

    Raises
    ------
    JobError
        The operation cannot be made into a job; each fault says why.
    """
    if step.kind in ("rough", "corners"):
        return _roughing(route, step, cutter, left)
    assert left is not None
    return _finishing(route, step, cutter, left)


def _roughing(route: Route, step: Operation, cutter: Cutter, left: Left | None) -> RoughingJob:
    stock_left = number(step, "stock_left")
    cut: dict[str, Any] = {"style": step.style}
    if step.kind == "corners":
        assert left is not None
        assert left.cutter is not None
        stock_left = left.stock
        cut = {"style": "corners", "larger_diameter": f"{number(left.cutter, 'diameter')!r} mm"}
    elif route.pocket.sides == "closed" or step.entry != "helix":
        cut["entry"] = step.entry
    if number(step, "slope_step") is not None:
        cut["slope_step"] = f"{number(step, 'slope_step')!r} mm"
    if stock_left is None:
        raise JobError("the job cannot be made", (Fault("stock_left", "", "the stock it leaves is missing"),))
    return RoughingJob(
        material=route.material,
        pocket=route.pocket,
        cut=RoughingCut(stock_left=f"{stock_left!r} mm", **cut),
        cutter=cutter,
        machine=route.machine,
        fixed=RoughingFixed(**_mapping(step.fixed)),
        assumed=RoughingAssumptions(**_mapping(step.assumed)),
        **_words(route, step),
    )


def _finishing(route: Route, step: Operation, cutter: Cutter, left: Left) -> FinishingJob:
    semi = step.kind == "semi-finish"
    stock_left = number(step, "stock_left") if semi else 0.0
    if stock_left is None:
        raise JobError("the job cannot be made", (Fault("stock_left", "", "the stock it leaves is missing"),))
    if stock_left >= left.stock:
        reason = f"it is no less than what the operation before leaves, {left.stock:g} mm"
        raise JobError("the job cannot be made", (Fault("stock_left", f"{stock_left:g} mm", reason),))
    return FinishingJob(
        material=route.material,
        surface=_offset(route.surface, stock_left),
        before=_before(left, stock_left),
        finish=_semi_finish(step, stock_left) if semi else route.finish,
        cutter=cutter,
        machine=route.machine,
        axis=route.axis,
        passes=route.passes,
        fixed=Fixed(**_mapping(step.fixed)),
        assumed=Assumptions(**_mapping(step.assumed)),
        **_words(route, step),
    )


def _before(left: Left, stock_left: float) -> Before:
    kept: dict[str, Any] = {"stock": left.stock - stock_left}
    if left.stated is not None:
        return left.stated._with_kept(kept)
    if isinstance(left.cutter, BallEndMill) and left.stepover is not None:
        kept |= {"previous_diameter": number(left.cutter, "diameter"), "previous_stepover": left.stepover}
    elif left.unevenness > 0.0:
        kept["stair_thickness"] = left.unevenness
    return Before(stock="1 mm")._with_kept(kept)


def _offset(surface: Surface, stock_left: float) -> Surface:
    """Return the surface that a semi-finish cuts: the finished one with stock on it."""
    radii = {
        n: float(stock.offset_radius.bare(number(surface, n), stock_left)) for n in ("radius_across", "radius_along")
    }
    unfit = [Fault(f"surface.{n}", "", f"stock of {stock_left:g} mm fills it") for n, r in radii.items() if r != r]
    if unfit:
        raise JobError("the job cannot be made", unfit)
    changed = {n: r for n, r in radii.items() if r != number(surface, n)}
    return surface._with_kept(changed) if changed else surface


def _semi_finish(step: Operation, stock_left: float) -> Finish:
    """Return what a semi-finish wants: its scallop; all its errors stay within the stock that it leaves."""
    stated = number(step, "scallop_height")
    scallop = SEMI_SCALLOP * _UM * stock_left if stated is None else stated
    return Finish(scallop_height=f"{scallop!r} um", form_tolerance=f"{stock_left!r} mm")


def _mapping(given: object) -> dict[str, Any]:
    return dict(given or {})  # type: ignore[call-overload, no-any-return]


def _words(route: Route, step: Operation) -> dict[str, Any]:
    return {"part": route.part, "operation": step.name or step.kind, "settings": route.settings}
