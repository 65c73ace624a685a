"""The program of a path: moves, points and characters."""

import numpy as np

from millcalc.quantities.formula import formula
from millcalc.quantities.kinds import POSITIVE_OR_INFINITE, Count, Length

__all__ = ["blocks_per_pass", "point_count", "program_size"]

_WHOLE = 1e-9  # a quotient this little above a whole number is that number, rounded badly


@formula(
    symbol="N_b",
    expression="max(ceil(l/l_s), 1)",
    sources=("DEFINITION",),
    domain={"step": POSITIVE_OR_INFINITE},
)
def blocks_per_pass(length: Length, step: Length) -> Count:
    """Return the number of straight moves that a pass needs.

    Parameters
    ----------
    length [mm]
        Length of the pass at the programmed point, 0 or more.
    step [mm]
        Distance between points, above 0; may be infinite.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> blocks_per_pass('80 mm', '0.632 mm')
    127.0
    """
    return np.maximum(np.ceil(np.divide(length, step) * (1.0 - _WHOLE)), 1.0)


@formula(
    symbol="N_pt",
    expression="N_p*(N_b + 1)",
    sources=("DEFINITION",),
)
def point_count(passes: Count, blocks: Count) -> Count:
    """Return the number of points of all passes, both ends of each counted.

    Parameters
    ----------
    passes [1]
        Number of passes.
    blocks [1]
        Straight moves in one pass.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> point_count(287, 127)
    36736.0
    """
    return passes * (blocks + 1.0)


@formula(
    symbol="N_c",
    expression="N_pt*q_c",
    sources=("DEFINITION",),
)
def program_size(points: Count, characters: Count) -> Count:
    """Return the size of the program in characters.

    Parameters
    ----------
    points [1]
        Number of points, a block each.
    characters [1]
        Characters in a block.

    Raises
    ------
    UnitError, DomainError
        A value has the wrong kind of unit or lies outside its domain.

    Notes
    -----
    Valid without limit. Scalars and arrays. Source: DEFINITION.

    Examples
    --------
    >>> program_size(36736, 40)
    1469440.0
    """
    return points * characters
