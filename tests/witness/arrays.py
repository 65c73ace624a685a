"""Arrays give what scalars give."""

from __future__ import annotations

from collections.abc import Callable

import mpmath as mp
import numpy as np

DIGITS = 50
TINY = mp.mpf(10) ** -22  # a feed small enough that its square is nothing at 50 digits' tolerance of 1e-12


def assert_same_as_scalars(bare: Callable[..., object], *columns: object, **fixed: object) -> None:
    """Check that columns of values, and the first column crossed with the rest, give what scalars give.

    Allowed: 1e-12 relative, since vector and scalar versions of a sine may differ in the last digits.
    """
    first, *rest = np.broadcast_arrays(*[np.asarray(c, dtype=float) for c in columns])
    grids = [([first, *rest], (first.size,))]
    if rest:
        grids.append(([first[:, None], *(r[None, :] for r in rest)], (first.size, first.size)))
    for arrays, shape in grids:
        answer = bare(*arrays, **fixed)
        together = [np.broadcast_to(a, shape) for a in (answer if isinstance(answer, tuple) else (answer,))]
        full = [np.broadcast_to(a, shape) for a in arrays]
        for place in np.ndindex(shape):
            alone = bare(*(float(a[place]) for a in full), **fixed)
            pieces = alone if isinstance(alone, tuple) else (alone,)
            for part, value in zip(together, pieces, strict=True):
                np.testing.assert_allclose(part[place], value, rtol=1e-12, err_msg=f"at {place}")
