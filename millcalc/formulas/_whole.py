"""Counts of equal shares: the whole number of them that does not fall short."""

from typing import Any

import numpy as np

__all__ = ["whole_up"]

_HAIR = 1e-9  # a quotient this little above a whole number is that number, rounded badly


def whole_up(quotient: Any) -> Any:
    """Return the next whole number up, or the one that the quotient is a hair above."""
    less = np.minimum(quotient - _HAIR, quotient * (1.0 - _HAIR))
    return np.ceil(less) + 0.0  # no negative zero
