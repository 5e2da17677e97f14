"""From a case to its result."""

from __future__ import annotations

from .documents.case import Case
from .documents.result import Result
from .fitting.known_swing import DRAWS
from .fitting.solved import Solved


def solve(case: Case, *, draws: int = DRAWS) -> Result:
    """Work out a case: what its shots told, every layout, how the layouts compare, and what that means.

    Parameters
    ----------
    case : a checked case; an empty bag stands for the usual set of `norm_bag`, no layouts for the usual ones, as in
        `engine.sets.usual`
    draws : of the posterior, 16 to 4096; all intervals and chances come from them

    Returns
    -------
    Result, the same for the same case and draws

    Raises
    ------
    ValueError
        If there are too few draws or too many.

    >>> from engine.documents.case import Club, Shot
    >>> seven = Club("7i", "7-iron", "iron", length_m=0.94, loft_deg=32.0, lie_deg=62.0, head_kg=0.269)
    >>> result = solve(Case(bag=(seven,), shots=(Shot("7i", 131.0), Shot("7i", 136.0))), draws=64)
    >>> [group.n for group in result.shots], result.layout("now").clubs[0].name
    ([2], '7-iron')
    """
    return Solved(case, draws).result
