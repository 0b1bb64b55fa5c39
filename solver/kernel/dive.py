"""Diving: the groups that the relaxation takes most of are fixed, until every item has its group.

After each step the relaxation of what is left is solved anew, with growing, so that groups which
fit the fixed ones are found. Dives differ by a little chance in what is fixed.
"""

from collections.abc import Sequence
from math import isfinite
from time import monotonic
from typing import Final

import numpy as np

from solver.kernel.relax import Relaxation

SURE: Final = 0.8  # taken so far, a group is fixed at once
CHANCE: Final = 0.3
SHARE: Final = 12  # of the items, one in so many is fixed at most in a step
ROUNDS: Final = 4  # of growing after each
WIDE: Final = 4


def dive(relaxation: Relaxation, kept: Sequence[Sequence[int]], number: int) -> list[list[int]]:
    """Groups that hold every item, in the order they were fixed.

    None where it leads nowhere, or not in time. `kept` are groups that do. Afterwards nothing is
    fixed, and the relaxation knows more groups.
    """
    size = relaxation.problem.size
    pool = relaxation.pool
    rng = np.random.default_rng(number)
    groups: list[list[int]] = []
    while relaxation.free.any():
        relaxation.run(kept, ROUNDS, WIDE)
        if not isfinite(relaxation.value) or monotonic() > relaxation.until:
            groups = []
            break
        rows, values = relaxation.taken()
        liking = values + CHANCE * rng.random(len(values)) * (number > 0)
        fixed: list[int] = []
        items = 0
        for at in np.argsort(-liking, kind="stable").tolist():
            group = pool.group(int(rows[at]))
            if not relaxation.free[group].all():
                continue
            if fixed and (values[at] < SURE or items > size // SHARE):
                break
            fixed.append(int(rows[at]))
            relaxation.fix(fixed[-1:])
            items += len(group)
        if not fixed:
            groups = []
            break
        groups += map(pool.group, fixed)
    relaxation.loosen()
    relaxation.run(kept, ROUNDS, WIDE)
    return groups
