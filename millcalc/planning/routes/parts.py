"""A route and its operations: what is stated of each, and what contradicts itself."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from millcalc.cutters import Cutter
from millcalc.errors import Fault, JobError
from millcalc.planning.job import FINISHES
from millcalc.planning.parts import Axis, Before, Finish, Machine, Passes, Surface
from millcalc.planning.roughing.parts import STYLES, Pocket
from millcalc.planning.routes.given import mapping_faults, without_iterators
from millcalc.quantities.display import quantity_text
from millcalc.quantities.kinds import NOT_NEGATIVE, POSITIVE, Length, ScallopHeight, Time
from millcalc.quantities.record import Record, entry, fields_of, number, record

__all__ = ["KINDS", "Operation", "Route"]

KINDS = ("rough", "corners", "semi-finish", "finish")
"""Kinds of operation, in the order in which they may follow one another."""


@record
class Operation(Record):
    """One operation of a route.

    Parameters
    ----------
    kind
        "rough", "corners", "semi-finish" or "finish".
    cutter
        Name of a cutter in the drawer, or a cutter; left out, the search of the drawer chooses one.
    stock_left [mm]
        Stock that it leaves along the normal; not of a finish, which leaves none, nor of corners, which keep that of
        the operation before.
    scallop_height [um]
        Scallop height that a semi-finish leaves; a fifth of its stock if left out.
    style
        Of roughing: "full width" or "light radial".
    entry
        Of roughing into a closed pocket: "helix" or "ramp".
    slope_step [mm]
        Of roughing: step of passes along the slopes after each level; none if left out.
    fixed, assumed
        Values fixed and assumptions changed, as mappings: what the job of this kind knows.
    tried
        For the search, a mapping of lists: of roughing stock_left, slope_step, depth_share and style; of corners
        depth_share; of a semi-finish stock_left and scallop_height; of a finish ra, or scallop_height where the route
        wants one. They go before what is stated.
    name
        Words for the page.

    Raises
    ------
    JobError
        Values that cannot be used; all are listed.

    Examples
    --------
    >>> print(Operation(kind="rough", cutter="E12", stock_left="0.4 mm").stock_left)
    0.4 millimeter
    """

    kind: str = entry(choices=KINDS, meaning="what is done")
    cutter: object = entry(default=None, meaning="name of a cutter in the drawer, or a cutter")
    stock_left: Length = entry(default=None, domain=POSITIVE, meaning="stock left, along the normal")
    scallop_height: ScallopHeight = entry(default=None, domain=POSITIVE, meaning="scallop a semi-finish leaves")
    style: str = entry(default="full width", choices=STYLES[:2], meaning="how roughing clears its levels")
    slope_step: Length = entry(default=None, domain=POSITIVE, meaning="step of passes along the slopes")
    fixed: object = entry(default=None, meaning="values fixed, a mapping")
    assumed: object = entry(default=None, meaning="assumptions changed, a mapping")
    tried: object = entry(default=None, meaning="values that the search tries, a mapping of lists")
    name: str = entry(default="", meaning="words for the page")
    entry: str = entry(default="helix", choices=("helix", "ramp"), meaning="into a closed pocket")

    def _check(self) -> None:
        object.__setattr__(self, "tried", without_iterators(self.tried))
        faults = [
            fault for n in ("fixed", "assumed", "tried") for fault in mapping_faults(self.kind, n, getattr(self, n))
        ]
        if not isinstance(self.cutter, (str, Cutter, type(None))):
            faults.append(Fault("cutter", repr(self.cutter)[:60], "it is neither a name nor a cutter", example='"E12"'))
        faults += self._of_kind()
        if faults:
            raise JobError("Operation cannot be made", faults)

    def _of_kind(self) -> list[Fault]:
        roughs, faults = self.kind == "rough", []
        for name, belongs in (
            ("scallop_height", self.kind == "semi-finish"),
            ("stock_left", self.kind in ("rough", "semi-finish")),
            ("slope_step", roughs),
        ):
            value, kind = number(self, name), fields_of(self)[name].kind
            if value is not None and not belongs and kind is not None:
                given = quantity_text(value, kind, digits=6)
                faults.append(Fault(name, given, f"an operation of the kind {self.kind!r} has none"))
        for name, default in (("style", "full width"), ("entry", "helix")):
            if not roughs and getattr(self, name) != default:
                faults.append(Fault(name, getattr(self, name), "it belongs to roughing"))
        return faults


@record
class Route(Record):
    """The operations of a part, one after the other, on one machine, with cutters of one drawer.

    Parameters
    ----------
    material, machine
        As of a job.
    operations
        The operations in their order: rough, corners, semi-finish, finish; any may be missing.
    pocket
        What is roughed; needed for roughing and corners.
    surface, finish
        What is finished and the finish wanted; needed for semi-finish and finish.
    before
        What stands before the first operation, if that is no roughing.
    axis, passes
        How finishing operations stand and go.
    drawer
        Cutters by name.
    tool_change_time [min]
        Time to change the tool between operations with different cutters.
    part
        Words for the page.
    settings
        "metric" or "inch".

    Raises
    ------
    JobError
        A route that states too little, or things that contradict each other; all are listed.
    """

    material: object = entry(meaning="work material")
    machine: Machine = entry()
    operations: object = entry(meaning="the operations in their order")
    pocket: Pocket = entry(default=None)
    surface: Surface = entry(default=None)
    finish: Finish = entry(default=None)
    before: Before = entry(default=None)
    axis: Axis = entry(default=Axis())
    passes: Passes = entry(default=Passes())
    drawer: object = entry(default=None, meaning="cutters by name")
    tool_change_time: Time = entry(default=0.2, domain=NOT_NEGATIVE, meaning="time to change the tool")
    part: str = entry(default="")
    settings: str = entry(default="metric", choices=("metric", "inch"))

    def _check(self) -> None:
        faults = _of_drawer(self)
        operations = self.operations
        if not isinstance(operations, Iterable) or isinstance(operations, (str, Mapping)):
            faults.append(Fault("operations", repr(operations)[:60], "it must be a list of operations"))
        else:
            object.__setattr__(self, "operations", tuple(operations))
            faults += _of_operations(self)
        if faults:
            raise JobError("the route contradicts itself", faults)

    @property
    def steps(self) -> tuple[Operation, ...]:
        """The operations."""
        made: tuple[Operation, ...] = self.operations  # type: ignore[assignment]
        return made

    @property
    def cutters(self) -> dict[str, Cutter]:
        """The cutters of the drawer by name."""
        return dict(self.drawer) if isinstance(self.drawer, Mapping) else {}

    def cutter_of(self, step: Operation) -> Cutter | None:
        """Return the cutter of an operation, or None where it is open."""
        return self.cutters[step.cutter] if isinstance(step.cutter, str) else step.cutter  # type: ignore[return-value]

    @property
    def is_open(self) -> bool:
        """Whether the search of the drawer has something to choose."""
        return any(step.cutter is None or step.tried or _lacks(step) for step in self.steps)


def _lacks(step: Operation) -> bool:
    """Whether an operation leaves its stock open."""
    return step.kind in ("rough", "semi-finish") and number(step, "stock_left") is None


def _of_drawer(route: Route) -> list[Fault]:
    drawer = route.drawer
    if drawer is None:
        return []
    if not isinstance(drawer, Mapping):
        return [Fault("drawer", repr(drawer)[:60], "it must be a mapping of names and cutters")]
    faults = [Fault("drawer", repr(name)[:60], "a name is a text") for name in drawer if not isinstance(name, str)]
    return faults + [
        Fault(f"drawer.{name}", repr(cutter)[:60], "it is no cutter")
        for name, cutter in drawer.items()
        if not isinstance(cutter, Cutter)
    ]


def _of_operations(route: Route) -> list[Fault]:
    steps, faults = route.steps, list[Fault]()
    if not steps:
        return [Fault("operations", "", "a route needs an operation")]
    wrong = [i for i, step in enumerate(steps) if not isinstance(step, Operation)]
    if wrong:
        return [Fault(f"operations[{i}]", repr(steps[i])[:60], "it is no Operation") for i in wrong]
    faults += _of_order(steps)
    kinds = {step.kind for step in steps}
    needs = (
        ("pocket", {"rough", "corners"}),
        ("surface", {"semi-finish", "finish"}),
        ("finish", {"semi-finish", "finish"}),
    )
    for name, users in needs:
        if kinds & users and getattr(route, name) is None:
            faults.append(Fault(name, "", f"operations of the kind {' or '.join(sorted(kinds & users))} need it"))
    finishes = [n for n in FINISHES if route.finish is not None and number(route.finish, n) is not None]
    if route.finish is not None and len(finishes) != 1:
        said = " and ".join(finishes) or "none"
        faults.append(Fault("finish", said, "exactly one finish is needed", ", ".join(FINISHES), 'ra = "0.8 um"'))
    if steps[0].kind != "rough" and route.before is None:
        reason = "without roughing, the stock before the first operation is needed"
        faults.append(Fault("before", "", reason, example='stock = "0.3 mm"'))
    if steps[0].kind == "rough" and route.before is not None:
        faults.append(Fault("before", "", "a route that begins with roughing begins with the solid"))
    faults += _of_tried(route)
    faults += _of_cutters(route)
    return faults


def _of_tried(route: Route) -> list[Fault]:
    """Return where finishes are tried that are not of the measure of the finish wanted."""
    faults = []
    for i, step in enumerate(route.steps):
        if step.kind != "finish" or not isinstance(step.tried, Mapping) or route.finish is None:
            continue
        measure = "ra" if number(route.finish, "scallop_height") is None else "scallop_height"
        reason = f"the finish wanted is told by {measure}"
        faults += [Fault(f"operations[{i}].tried.{n}", "", reason, measure) for n in step.tried if n != measure]
    return faults


def _of_order(steps: tuple[Operation, ...]) -> list[Fault]:
    places = [KINDS.index(step.kind) for step in steps]
    faults = [
        Fault(f"operations[{i + 1}].kind", steps[i + 1].kind, f"it cannot follow {steps[i].kind!r}", ", ".join(KINDS))
        for i in range(len(steps) - 1)
        if places[i + 1] < places[i] or (places[i + 1] == places[i] and steps[i].kind in ("rough", "finish"))
    ]
    if steps[0].kind == "corners":
        faults.append(Fault("operations[0].kind", "corners", "corners follow a larger cutter", '"rough" first'))
    return faults


def _of_cutters(route: Route) -> list[Fault]:
    faults, names = [], route.cutters
    for i, step in enumerate(route.steps):
        if isinstance(step.cutter, str) and step.cutter not in names:
            accepted = ", ".join(map(str, names)) or "a drawer with cutters"
            faults.append(Fault(f"operations[{i}].cutter", repr(step.cutter), "the drawer has none so named", accepted))
        if step.cutter is None and not names:
            faults.append(Fault(f"operations[{i}].cutter", "", "no cutter is stated, and the drawer is empty"))
    return faults
