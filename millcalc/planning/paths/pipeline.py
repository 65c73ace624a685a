"""Blocks on their way: first passes side by side, then, with what lies around a block known, its second."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Any

from millcalc.planning.paths.along import Ends, Joint
from millcalc.planning.paths.blocks import Block
from millcalc.planning.paths.passes_over import Done, Kernel, Target, Wanted

__all__ = ["behind_of", "walk"]


def behind_of(following: Iterable[Ends], ended: bool, fastest: float) -> float | None:
    """Return the square of the speed allowed at a block's last point by what follows, or None: more must be known."""
    allowed, way = math.inf, 0.0
    for ends in following:
        allowed = min(allowed, way + ends.first_rate, way + ends.backward)
        way += ends.way
        if way >= fastest:
            return allowed
    return min(allowed, way) if ended else None  # a path ends at rest


class _Line:
    """First passes that are running or done, in the order of their blocks."""

    def __init__(self, blocks: Iterator[Block], run: Callable[[Block], Future[Wanted]]) -> None:
        self._blocks = blocks
        self._run = run
        self.waiting: deque[Future[Wanted]] = deque()
        self.ended = False

    def fill(self, count: int) -> None:
        while len(self.waiting) < count and not self.ended:
            block = next(self._blocks, None)
            if block is None:
                self.ended = True
            else:
                self.waiting.append(self._run(block))

    def behind(self, fastest: float, ahead: int) -> float:
        """What the blocks behind the first allow; as many are begun as that takes."""
        while True:
            known = (self.waiting[at].result().envelope.ends for at in range(1, len(self.waiting)))
            found = behind_of(known, self.ended, fastest)
            if found is not None:
                return found
            ahead = max(ahead, len(self.waiting)) + 1
            self.fill(ahead)


def walk(
    kernel: Kernel,
    blocks: Iterator[Block],
    threads: int,
    target_of: Callable[[Block], Target],
    finish: Callable[[Done], Any],
) -> Iterator[tuple[Done, Any]]:
    """Yield the finished blocks in their order, each with what `finish`, called in the thread, made of it."""
    fastest = max(kernel.s.largest_feed, kernel.s.rapid) ** 2

    def second(wanted: Wanted, joint: Joint, behind: float) -> tuple[Done, Any]:
        done = kernel.second(wanted, joint, behind, target_of(wanted.block))
        return done, finish(done)

    pool = ThreadPoolExecutor(threads, thread_name_prefix="path")
    line = _Line(blocks, lambda block: pool.submit(kernel.first, block, target_of(block)))
    finished: deque[Future[tuple[Done, Any]]] = deque()
    joint, ahead = Joint(), threads + 1
    try:
        line.fill(ahead)
        while line.waiting:
            wanted = line.waiting[0].result()
            behind = line.behind(fastest, ahead)
            line.waiting.popleft()
            finished.append(pool.submit(second, wanted, joint, behind))
            joint = joint.passed(wanted.envelope.ends, behind)
            line.fill(ahead)
            while len(finished) > (threads if line.waiting else 0):
                yield finished.popleft().result()
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
