"""Rounds of a benchmark."""

from __future__ import annotations

from collections.abc import Callable


def settled(measure: Callable[[], float], limit: float, tries: int = 5) -> float:
    """Measure until the limit is kept, a few times at most: noise only ever makes a call look slow."""
    ratio = measure()
    for _ in range(tries - 1):
        if ratio <= limit:
            break
        ratio = min(ratio, measure())
    return ratio
