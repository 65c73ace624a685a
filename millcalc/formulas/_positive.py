"""What has a meaning above 0 only, as a speed or a life."""

from typing import Any

import numpy as np

__all__ = ["positive"]


def positive(value: Any) -> Any:
    """Return the value where it is above 0, NaN elsewhere."""
    return np.where(np.greater(value, 0.0), value, np.nan)
