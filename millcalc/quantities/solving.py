"""Solving a formula for one of its inputs: the domain is looked through for brackets, each is closed on its root.

The search is on the bare function in trade units, for all elements of arrays at once.  A root is a place where the
function takes the wanted value, not one where it jumps across it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from millcalc.errors import ArgumentError, DomainError, Fault, SignatureError, nearest
from millcalc.quantities import arrays, roots
from millcalc.quantities.convert import Parameter, RefusedError, read, read_value, shown
from millcalc.quantities.formula import _error_of, _wrap
from millcalc.quantities.kinds import ANGLE, ANY, Interval

__all__ = ["solve_for"]

_NODES = 1201
_NODES_OF_ARRAYS = 301
_FEW = 121  # where the formula itself searches
_FAR = 1e9  # where nothing bounds an input, in trade units
_TURN = 180.0  # deg: an angle is looked for within a turn
_SAME = 1e-9  # share of the wanted value within which a value is that value
_LEVEL = 1e-4  # share of a value, or of one trade unit, from which on a course is level and not turning
_MOST_LISTED = 6
_CHUNK = 200  # elements of an array that are looked through at once


def solve_for(formula: Any, unknown: str, between: Any, known: Mapping[str, Any]) -> Any:
    """Return the value of an input, as a quantity, for which a formula gives a stated result.

    Parameters
    ----------
    formula
        A Formula with one result.
    unknown
        Name of the input that is looked for.
    between
        Two values of it between which the solution lies, or None.
    known
        The other inputs by name, and the result under the formula's name or as "result".

    Raises
    ------
    SignatureError
        The formula has no such input, an input or the result is missing, or it has several results.
    UnitError, DomainError, ArgumentError
        A value cannot be used; no solution exists, with the range the formula reaches; or several do, all listed.
    """
    places = {p.name: i for i, p in enumerate(formula.parameters)}
    target_name = _names(formula, unknown, known)
    parameter = formula.parameters[places[unknown]]
    target, registry = _target(formula, target_name, known[target_name])
    numbers, found = _numbers(formula, unknown, {n: v for n, v in known.items() if n != target_name})
    low, high = _bracket(parameter, between)
    names = [*(p.name for p in formula.parameters), target_name]
    values = [np.asarray(n if arrays.is_array(n) else 0.0) for n in numbers] + [np.asarray(target)]
    arrays.refuse_unlike_shapes(formula.__name__, names, values)
    shape = np.broadcast_shapes(*(np.shape(v) for v in values))
    flat = [np.broadcast_to(n, shape).reshape(-1) if arrays.is_array(n) else n for n in numbers]
    wanted = np.broadcast_to(np.asarray(target, dtype=float), shape).reshape(-1)
    out = np.empty(wanted.size)
    for start in range(0, wanted.size, _CHUNK):
        part = slice(start, start + _CHUNK)
        piece = [n[part] if arrays.is_array(n) else n for n in flat]
        search = _Search(formula, places[unknown], piece, wanted[part], (low, high), start if shape else None)
        out[part] = search.found()
    solution = out.reshape(shape) if shape else float(out[0])
    numbers[places[unknown]] = solution
    formula._evaluated(numbers, 5)  # warns where the solution lies outside the validated range
    return _wrap(solution, parameter.kind, found if found is not None else registry)


def _names(formula: Any, unknown: str, known: Mapping[str, Any]) -> str:
    """Check the names; return that under which the result is given."""
    name: str = formula.__name__
    inputs: dict[str, Parameter] = {p.name: p for p in formula.parameters}
    if len(formula.result_kinds) > 1:
        raise SignatureError(f"{name} has {len(formula.result_kinds)} results: it cannot be solved for an input")
    if unknown not in inputs:
        raise SignatureError(f"{name} has no input {unknown!r}{nearest(unknown, inputs)}; it has {', '.join(inputs)}")
    if inputs[unknown].kind.discrete:
        words = " or ".join(map(repr, inputs[unknown].kind.choices))
        raise SignatureError(f"{name} cannot be solved for {unknown}, which is {words}: try each")
    given = [word for word in dict.fromkeys((name, "result")) if word in known and word not in inputs]
    if len(given) != 1:
        raise SignatureError(f"{name} is solved for {unknown} with its result given once, as {name}=… or result=…")
    strange = [n for n in known if n not in inputs and n != given[0]]
    if strange:
        raise SignatureError(f"{name} has no input {strange[0]!r}{nearest(strange[0], inputs)}")
    if unknown in known:
        raise SignatureError(f"{name} is solved for {unknown}, which is given, too")
    missing = [p.name for p in inputs.values() if p.required and p.name not in known and p.name != unknown]
    if missing:
        raise SignatureError(
            f"{name} is solved for {unknown} with all other inputs given; missing: {', '.join(missing)}"
        )
    return given[0]


def _target(formula: Any, name: str, value: Any) -> tuple[Any, Any]:
    parameter = Parameter(name, formula.result_kinds[0], ANY)
    try:
        number, registry = read(value, parameter)
        if np.any(np.isnan(np.asarray(number, dtype=float))):
            raise parameter.refuse(value, "it is not a number (NaN)", about_domain=True)
    except RefusedError as refused:
        raise _error_of(formula.__name__, [refused]) from None
    return number, registry


def _numbers(formula: Any, unknown: str, known: Mapping[str, Any]) -> tuple[list[Any], Any]:
    """Return the numbers of the other inputs, None in the place of the unknown."""
    refusals, numbers, registry = [], [], None
    for parameter in formula.parameters:
        if parameter.name == unknown or (known.get(parameter.name) is None and not parameter.required):
            numbers.append(parameter.default)
            continue
        try:
            value = known[parameter.name]
            numbers.append(read_value(value, parameter))
            registry = registry if registry is not None else getattr(value, "_REGISTRY", None)
        except RefusedError as refused:
            refusals.append(refused)
    if refusals:
        raise _error_of(formula.__name__, refusals)
    return numbers, registry


def _bracket(parameter: Parameter, between: Any) -> tuple[float, float]:
    """Return where the unknown is looked for, in trade units."""
    plausible = parameter.kind.plausible
    low, high = max(parameter.domain.least, plausible.least), min(parameter.domain.greatest, plausible.greatest)
    if between is None:
        turn = _TURN if parameter.kind is ANGLE else _FAR
        return max(low, -turn), min(high, turn)
    anywhere = Parameter(parameter.name, parameter.kind, ANY)
    try:
        ends = sorted(float(read_value(end, anywhere)) for end in between)
    except RefusedError as refused:
        raise ArgumentError("the bracket cannot be used", (refused.fault,)) from None
    except TypeError:
        ends = []
    ends = [min(max(end, low), high) for end in ends]  # what lies outside the domain is not looked at
    if len(ends) != 2 or ends[0] == ends[1]:
        accepted = f"two values of {parameter.name}, {parameter.domain.text(parameter.kind.label)}"
        fault = Fault("between", shown(between), "no stretch of the domain lies between its ends", accepted)
        raise ArgumentError("the bracket cannot be used", (fault,))
    return ends[0], ends[1]


class _Search:
    """The search in some elements at once: the difference between what the formula gives and what is wanted."""

    def __init__(
        self, formula: Any, place: int, numbers: list[Any], wanted: Any, ends: tuple[float, float], start: int | None
    ) -> None:
        self.formula, self.place, self.numbers, self.wanted = formula, place, numbers, wanted
        self.parameter, self.ends, self.start = formula.parameters[place], ends, start

    def value(self, at: Any, which: Any = slice(None)) -> Any:
        """What the formula gives at places, elements on the last axis; NaN where it is not defined."""
        shape = np.shape(at)
        numbers = [np.broadcast_to(n[which], shape).reshape(-1) if arrays.is_array(n) else n for n in self.numbers]
        numbers[self.place] = flat = np.ascontiguousarray(at).reshape(-1)
        result = np.array(np.broadcast_to(arrays.called(self.formula.bare, numbers), flat.shape), dtype=float)
        for condition in self.formula.requires:
            result[~np.broadcast_to(arrays.called(condition.holds, numbers), flat.shape)] = np.nan
        return result.reshape(shape)

    def off(self, at: Any, which: Any = slice(None)) -> Any:
        return self.value(at, which) - self.wanted[which]

    def found(self) -> Any:
        """Return one root an element, or raise."""
        count = self.wanted.size
        many = _NODES if self.start is None else _NODES_OF_ARRAYS
        nodes = roots.nodes(*self.ends, many if self.formula.expression else _FEW)
        at = np.broadcast_to(nodes[:, None], (nodes.size, count))
        off = self.off(at)
        out, plain = np.full(count, np.nan), roots.crosses_once(off) & (not self.parameter.kind.whole)
        if plain.any():  # a monotonic course that crosses once: all such elements together
            which, row = np.flatnonzero(plain), np.argmax(roots.crossing(off[:, plain]), axis=0)
            out[which], good = self.closed(at[row, which], at[row + 1, which], which)
            plain[which[~good]] = False
        for element in np.flatnonzero(~plain):
            out[element] = self.one(int(element), at[:, element], off[:, element])
        return out

    def closed(self, low: Any, high: Any, which: Any) -> tuple[Any, Any]:
        """Close brackets on their roots (Chandrupatla's method); also whether each is a root and not a jump."""
        a, b = np.array(high, dtype=float), np.array(low, dtype=float)
        fa, fb = self.off(a, which), self.off(b, which)
        jump = np.minimum(np.abs(fa), np.abs(fb))
        c, fc = a.copy(), fa.copy()
        t = np.full(a.shape, 0.5)
        for _ in range(200):
            x = a + t * (b - a)
            fx = self.off(x, which)
            with np.errstate(invalid="ignore"):
                same = np.sign(fx) == np.sign(fa)
            c, fc = np.where(same, a, b), np.where(same, fa, fb)
            b, fb = np.where(same, b, a), np.where(same, fb, fa)
            a, fa = x, fx
            best = np.where(np.abs(fa) < np.abs(fb), a, b)
            width = np.abs(b - a)
            done = (width <= 2.0 * np.spacing(np.abs(best))) | (fa == 0.0) | (fb == 0.0)
            if done.all():
                break
            t = roots.next_share(a, b, c, fa, fb, fc, width)
        found = np.minimum(np.abs(fa), np.abs(fb))
        scale = np.maximum(np.abs(self.wanted[which]), 1e-12)
        with np.errstate(invalid="ignore"):
            # a jump stays as high as it was; where the course is steep, neighbouring floats lie apart
            good = (found <= 1e-7 * scale) | (found <= 1e-3 * jump)
        return best, good

    def one(self, element: int, at: Any, off: Any) -> float:
        """Return the only root of one element, or raise with what there is instead."""
        which = np.array([element])
        at, off = self.with_edges(at, off, which)
        scale = _SAME * max(abs(float(self.wanted[element])), 1e-12)
        level = np.abs(off) <= 1e-3 * scale
        wide = at[2:] - at[:-2] > _LEVEL * np.maximum(np.abs(at[1:-1]), 1.0)  # at a turn, too, neighbours are alike
        even = level[2:] & wide & (off[:-2] == off[1:-1]) & (off[1:-1] == off[2:])
        if even.any():
            raise self.level(element, at, level, 1 + int(np.argmax(even)))
        found = self.crossings(at, off, which) + self.touching(at, off, which, scale)
        found += [float(x) for x in at[level & roots.locally_least(np.abs(off))]]
        found, between = roots.apart(found, lambda x, y: self.differ(x, y, which, scale)), []
        if self.parameter.kind.whole:
            between = found
            found = [float(round(x)) for x in found if abs(x - round(x)) <= 1e-6 * max(abs(x), 1.0)]
        if len(found) == 1:
            return found[0]
        if found:
            raise self.several(element, found)
        raise self.nothing(element, at, off, between)

    def differ(self, low: float, high: float, which: Any, scale: float) -> bool:
        """Whether the course leaves the wanted value between two roots."""
        return not abs(float(self.off(np.array([0.5 * (low + high)]), which)[0])) <= scale

    def with_edges(self, at: Any, off: Any, which: Any) -> tuple[Any, Any]:
        """Add the last places at which the formula is defined, to the neighbouring float."""
        defined = ~np.isnan(off)
        rows = np.flatnonzero(defined[:-1] != defined[1:])
        if not rows.size:
            return at[defined], off[defined]
        inside = np.where(defined[rows], at[rows], at[rows + 1])
        outside = np.where(defined[rows], at[rows + 1], at[rows])
        many = np.repeat(which, rows.size)
        for _ in range(80):
            middle = 0.5 * (inside + outside)
            good = ~np.isnan(self.off(middle, many))
            inside, outside = np.where(good, middle, inside), np.where(good, outside, middle)
        at, off = np.append(at[defined], inside), np.append(off[defined], self.off(inside, many))
        order = np.argsort(at, kind="stable")
        return at[order], off[order]

    def crossings(self, at: Any, off: Any, which: Any) -> list[float]:
        rows = np.flatnonzero(np.sign(off[:-1]) * np.sign(off[1:]) < 0)
        if not rows.size:
            return []
        roots, good = self.closed(at[rows], at[rows + 1], np.repeat(which, rows.size))
        return [float(r) for r in roots[good]]

    def touching(self, at: Any, off: Any, which: Any, scale: float) -> list[float]:
        """Roots at which the course turns, or two that lie between neighbouring nodes."""
        size = np.abs(off)
        turns = (size[1:-1] <= size[:-2]) & (size[1:-1] < size[2:]) & (np.sign(off[:-2]) == np.sign(off[2:]))
        # between neighbours a smooth course moves by no more than it does from one to the next
        turns &= size[1:-1] <= np.maximum(size[:-2], size[2:]) - size[1:-1] + scale
        found: list[float] = []
        for row in np.flatnonzero(turns & (off[1:-1] != 0.0)) + 1:
            low, place, high = at[row - 1], at[row], at[row + 1]
            place = roots.least(lambda x: float(abs(self.off(np.array([x]), which)[0])), low, high)
            bottom = float(self.off(np.array([place]), which)[0])
            if abs(bottom) <= scale:
                found.append(place)
            elif np.sign(bottom) != np.sign(off[row]):
                three = np.array([low, place, high]), np.array([off[row - 1], bottom, off[row + 1]])
                found += self.crossings(*three, which)
        return found

    def level(self, element: int, at: Any, level: Any, row: int) -> DomainError:
        """Say from where to where the course has the wanted value, the ends closed in on."""
        which, ends = np.array([element]), []
        scale = 1e-3 * _SAME * max(abs(float(self.wanted[element])), 1e-12)
        for step in (-1, 1):
            last = row
            while 0 <= last + step < at.size and level[last + step]:
                last += step
            inside = outside = float(at[last])
            if 0 <= last + step < at.size:
                outside = float(at[last + step])
            for _ in range(60):
                middle = 0.5 * (inside + outside)
                within = bool(np.abs(self.off(np.array([middle]), which))[0] <= scale)
                inside, outside = (middle, outside) if within else (inside, middle)
            ends.append(inside)
        label = self.parameter.kind.label
        given = " to ".join(f"{x:.10g} {label}".strip() for x in ends)
        fault = Fault(self.parameter.name + self.at(element), f"every value from {given}", "all give the wanted result")
        return DomainError(f"{self.formula.__name__} has no single solution for {self.parameter.name}", (fault,))

    def nothing(self, element: int, at: Any, off: Any, between: list[float]) -> DomainError:
        kind = self.formula.result_kinds[0]
        if between:
            reason = f"only {', '.join(f'{x:.6g}' for x in between)} would give it, which is no whole number"
        elif not at.size:
            reason = f"the formula is defined for no {self.parameter.name} with the other values"
        else:
            least, most = (float(np.min(off)), float(np.max(off)))
            ends = (v + float(self.wanted[element]) for v in (least, most))
            reason = f"the formula reaches from {' to '.join(f'{v:.6g}' for v in ends)} {kind.label}".rstrip()
        given = f"{self.wanted[element]:.6g} {kind.label}".strip()
        fault = Fault(self.formula.__name__ + self.at(element), given, reason, f"{self.parameter.name} {self.looked()}")
        return DomainError(f"no {self.parameter.name} gives the wanted result", (fault,))

    def several(self, element: int, found: list[float]) -> DomainError:
        label = self.parameter.kind.label
        listed = ", ".join(f"{x:.10g} {label}".strip() for x in found[:_MOST_LISTED])
        more = f" and {len(found) - _MOST_LISTED} more" if len(found) > _MOST_LISTED else ""
        place, reason = self.parameter.name + self.at(element), "all of them give the wanted result"
        fault = Fault(place, f"{len(found)} solutions: {listed}{more}", reason, "a bracket around one: between=(…, …)")
        return DomainError(f"{self.formula.__name__} has no single solution for {self.parameter.name}", (fault,))

    def at(self, element: int) -> str:
        return "" if self.start is None else f" at index {self.start + element}"

    def looked(self) -> str:
        return f"was looked for {Interval(*self.ends).text(self.parameter.kind.label)}"
